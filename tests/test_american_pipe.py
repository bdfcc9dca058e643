"""American pipe threads: against an exact fraction route, and the laws between the three systems."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import american_pipe
from threadwright.tables.numbers import parse_number, round_half_up
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.thread import Thread

HEIGHT = Fraction("0.86602540378443865")  # sharp triangle of 60 deg over pitch
NPT = """1/16 27 .3125 .160;1/8 27 .405 .1615;1/4 18 .540 .2278;3/8 18 .675 .240;1/2 14 .840 .320
3/4 14 1.050 .339;1 11.5 1.315 .400;1 1/4 11.5 1.660 .420;1 1/2 11.5 1.900 .420;2 11.5 2.375 .436
2 1/2 8 2.875 .682;3 8 3.5 .766;3 1/2 8 4 .821;4 8 4.5 .844;5 8 5.563 .937;6 8 6.625 .958;8 8 8.625 1.063
10 8 10.75 1.210;12 8 12.75 1.360;14 8 14 1.562;16 8 16 1.812;18 8 18 2.000;20 8 20 2.125;24 8 24 2.375"""


def _table() -> dict[str, tuple[Fraction, Fraction, Fraction]]:
    """Pitch, outside diameter and hand-tight engagement by size. [in]"""
    rows = (entry.rsplit(" ", 3) for entry in NPT.replace("\n", ";").split(";"))
    return {name: (1 / Fraction(tpi), Fraction(d), Fraction(l1)) for name, tpi, d, l1 in rows}


def _e0_e1(name: str) -> tuple[Fraction, Fraction]:
    pitch, d, l1 = _table()[name]
    e0 = d - (Fraction("0.05") * d + Fraction("1.1")) * pitch
    return e0, e0 + l1 / 16


def _threads(symbol: str) -> dict[str, Thread]:
    table = series(symbol)
    names = [size.name for size in table.system.sizes]
    return {name: table.thread(row) for row, name in enumerate(names)}


def _places(value: Fraction, places: int) -> float:
    return float(round_half_up(value, places))


def test_every_taper_size_equals_the_exact_route() -> None:
    threads = _threads("NPT")
    assert list(_table()) == list(threads)
    for name, thread in threads.items():
        pitch, d, l1 = _table()[name]
        _, e1 = _e0_e1(name)
        depth = Fraction("0.8") * pitch
        expected = [_places(value, 5) for value in (e1 + depth, e1, e1 - depth)]
        assert expected == [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
        useful = _places((Fraction("0.8") * d + Fraction("6.8")) * pitch, 4)
        assert (float(l1), useful) == (thread.gauge_length, thread.useful_length)
        assert (float(parse_number(name)), 1 / pitch) == (thread.nominal_major, thread.tpi)


def test_the_tolerance_of_a_taper_thread_is_one_turn_either_way() -> None:
    for name, thread in _threads("NPT").items():
        pitch, _, _ = _table()[name]
        for side in ("external", "internal"):
            limits = thread.limits(side)
            across = limits.pitch_diameter_max - limits.pitch_diameter_min
            assert across == pytest.approx(float(pitch / 8), abs=1.1e-5)


def test_the_columns_of_the_standard_keep_their_relations() -> None:
    columns = american_pipe.pipe_lengths(system("NPT"))
    for row, (name, (pitch, d, _)) in enumerate(_table().items()):
        e0, e1 = _e0_e1(name)
        p = float(pitch)
        exact = (float(d), float(e0), float(e1))
        assert exact == pytest.approx((columns.d[row], columns.e0[row], columns.e1[row]), abs=1e-12)
        turns = 2 if parse_number(name) >= Fraction(5, 2) else 3
        assert (turns * p, 3.47 * p) == pytest.approx((columns.l3[row], columns.v[row]), abs=1e-12)
        assert float(e0) - 0.8 * p == pytest.approx(columns.k0[row], abs=1e-12)
    assert (columns.l1 < columns.l2).all()
    assert (columns.l2 < columns.l4).all()


def test_the_form_is_cut_by_a_thirtieth_of_the_pitch_at_both_ends() -> None:
    form = system("NPT").form
    assert [0.033, 0.033] == [round(form.crest_truncation, 3), round(form.root_truncation, 3)]
    assert 0.8 == pytest.approx(form.depth_over_pitch, abs=1e-15)


def test_every_mechanical_thread_equals_an_exact_route() -> None:
    for name, thread in _threads("NPSM").items():
        pitch, _, _ = _table()[name]
        _, e1 = _e0_e1(name)
        p, e = float(pitch), float(e1)
        middle = round_half_up(e1, 4)
        tolerance = 0.0015 * e ** (1 / 3) + 0.0015 * (9 * p) ** 0.5 + 0.015 * p ** (2 / 3)
        allowed = round_half_up(Fraction(f"{0.3 * tolerance:.8f}"), 4)
        top = middle - allowed
        major = round_half_up(top + HEIGHT * 3 / 4 * pitch, 3)
        bolt, hole = thread.limits("external"), thread.limits("internal")
        assert [float(top), float(major)] == [bolt.pitch_diameter_max, bolt.major_max]
        assert float(top) - tolerance == pytest.approx(bolt.pitch_diameter_min, abs=5.2e-5)
        assert float(major) - 0.06 * p ** (2 / 3) == pytest.approx(bolt.major_min, abs=5.2e-4)
        assert [float(middle), _places(e1 - HEIGHT / 2 * pitch, 3)] == [
            hole.pitch_diameter_min,
            hole.minor_min,
        ]
        assert float(middle) + 1.3 * tolerance == pytest.approx(hole.pitch_diameter_max, abs=5.2e-5)


def test_the_largest_minor_diameter_is_held_for_the_printed_sizes_only() -> None:
    held = {
        name for name, thread in _threads("NPSM").items() if not np.isnan(thread.limits("internal").minor_max)
    }
    assert {"1/8", "1/4", "3/8", "1/2", "3/4"} == held
    (internal,) = [columns for columns in series("NPSM").limits if columns.side == "internal"]
    assert "table" == internal.basis_of["minor_max"]


def test_a_coupling_is_the_hand_tight_size_of_the_taper_thread_within_one_and_a_half_turns() -> None:
    for name, thread in _threads("NPSC").items():
        pitch, _, _ = _table()[name]
        _, e1 = _e0_e1(name)
        turns = Fraction(3, 2) * pitch / 16
        least = round_half_up(e1 - turns, 4)
        limits = thread.limits("internal")
        assert [float(least), _places(e1 + turns, 4), _places(least - Fraction("0.8") * pitch, 3)] == [
            limits.pitch_diameter_min,
            limits.pitch_diameter_max,
            limits.minor_min,
        ]
        assert ("internal",) == thread.sides


def test_a_mechanical_thread_has_clearance_at_every_size() -> None:
    for thread in _threads("NPSM").values():
        bolt, hole = thread.limits("external"), thread.limits("internal")
        assert bolt.pitch_diameter_max < hole.pitch_diameter_min
        assert bolt.major_max < hole.major_min


@pytest.mark.parametrize("symbol", ["NPT", "NPSM", "NPSC"])
def test_every_designation_and_every_alias_finds_its_thread(symbol: str) -> None:
    table = series(symbol)
    for name, size in zip(table.designations, table.system.sizes, strict=True):
        for spelling in (name, name.lower(), *size.aliases):
            assert (spelling, name) == (spelling, find_thread(spelling).designation)


def test_sizes_whose_engagement_was_not_read_say_so() -> None:
    basis = {name: thread.basis for name, thread in _threads("NPT").items()}
    recalled = [name for name in basis if basis[name] == "from memory"]
    assert ["8", "10", "12", "14", "16", "18", "20", "24"] == recalled
