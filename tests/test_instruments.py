"""Instruments, their uncertainty on an old thread, and the leaves of the combs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.instruments import (
    INSTRUMENTS,
    check_combs,
    comb_leaves,
    find_instrument,
    one_wire_to_three,
    wires_uncertainty,
)
from threadwright.tables.errors import ReadingError, ThreadwrightError


def test_each_instrument_has_its_name_its_basis_and_at_most_one_uncertainty() -> None:
    for name, instrument in INSTRUMENTS.items():
        assert instrument.name == name
        assert instrument.basis
        assert instrument.u_mm is None or instrument.u_deg is None
        assert (instrument.u_mm is None) == (instrument.kind in ("comb", "angle"))


def test_the_better_instrument_has_the_smaller_uncertainty() -> None:
    order = [
        "micrometer",
        "thread micrometer",
        "digital caliper",
        "vernier caliper",
        "inside jaws",
        "steel rule",
    ]
    figures = [INSTRUMENTS[name].u_mm or 0.0 for name in order]
    assert figures == sorted(figures)
    assert figures[0] == 0.006


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("caliper", "digital caliper"),
        ("Calliper", "digital caliper"),
        ("vernier", "vernier caliper"),
        ("mic", "micrometer"),
        ("  thread   micrometer ", "thread micrometer"),
        ("rule", "steel rule"),
        ("drill", "drill shank"),
        ("wires", "wires"),
    ],
)
def test_an_instrument_is_found_by_its_usual_names(text: str, name: str) -> None:
    assert find_instrument(text).name == name


def test_an_unknown_instrument_is_refused_with_what_comes_nearest() -> None:
    with pytest.raises(
        ReadingError, match="instrument: no instrument 'micrometre'; did you mean 'micrometer'?"
    ):
        find_instrument("micrometre")
    with pytest.raises(
        ReadingError, match="depth: no instrument 'zzz'; write one of digital caliper, vernier"
    ):
        find_instrument("zzz", name="depth")


@given(st.text(max_size=60))
def test_arbitrary_text_is_an_instrument_or_is_refused(text: str) -> None:
    message = ""
    try:
        assert find_instrument(text) in INSTRUMENTS.values()
    except ThreadwrightError as fault:
        message = str(fault)
    assert len(message.splitlines()) <= 1


def test_the_leaves_are_the_pitches_of_the_combs_owned_from_the_finest() -> None:
    both, inch, metric = comb_leaves(), comb_leaves("inch"), comb_leaves(["metric"])
    assert set(both) == set(inch) | set(metric)
    for leaves in (both, inch, metric):
        assert list(leaves) == sorted(set(leaves))
    assert {25.4 / 26, 25.4 / 20, 25.4 / 11.5, 25.4 / 19} <= set(inch)
    assert {0.7, 0.8, 1.0, 1.25, 1.5} <= set(metric)
    assert (metric[0], metric[-1]) == (0.25, 6.0)


@pytest.mark.parametrize(
    ("combs", "remedy"),
    [
        ("metrc", "no comb 'metrc'; did you mean 'metric'?"),
        ("BA", "no comb 'BA'; write 'inch', 'metric' or 'inch,metric'"),
        ([], "none is named"),
    ],
)
def test_a_comb_that_is_none_is_refused(combs: str | list[str], remedy: str) -> None:
    with pytest.raises(ReadingError) as fault:
        check_combs(combs)
    assert remedy in str(fault.value)


@pytest.mark.parametrize(
    ("flank_angle", "factor"), [(30.0, 3.0), (27.5, 3.165681), (23.75, 3.482950), (14.5, 4.993929)]
)
def test_an_error_of_the_wires_counts_one_and_cosecant_times(flank_angle: float, factor: float) -> None:
    # 1 + cosec alpha as printed for 60, 55, 47.5 and 29 degree threads: Machinery's Handbook, 31st ed., wires
    assert wires_uncertainty(flank_angle=flank_angle, u_over_wires=0.0, u_wire=1.0) == pytest.approx(
        factor, abs=5e-5
    )


def test_the_uncertainty_over_wires_adds_its_three_parts_by_squares() -> None:
    total = wires_uncertainty(flank_angle=30.0, u_over_wires=0.006, u_wire=0.002, u_pitch=0.004)
    assert total == pytest.approx(math.sqrt(0.006**2 + 0.006**2 + (0.8660254 * 0.004) ** 2), rel=1e-7)


def test_the_uncertainty_over_wires_is_the_same_one_by_one_and_by_the_column() -> None:
    angles = np.array([30.0, 27.5, 23.75])
    column = wires_uncertainty(flank_angle=angles, u_over_wires=0.006, u_wire=0.002)
    assert column.tolist() == [
        wires_uncertainty(flank_angle=float(angle), u_over_wires=0.006, u_wire=0.002) for angle in angles
    ]


@given(st.floats(5, 30), st.floats(0.1, 2))
def test_one_wire_and_the_opposite_crest_give_the_size_over_three(crest: float, proud: float) -> None:
    over_three, u = one_wire_to_three(crest + proud, u_over_one=0.006, crest=crest, u_crest=0.02)
    assert over_three == pytest.approx(crest + 2 * proud)
    assert u == pytest.approx(math.hypot(0.012, 0.02))
