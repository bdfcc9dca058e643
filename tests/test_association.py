"""BA threads: against print, against the rule in exact decimals, and the laws of a thread."""

from decimal import ROUND_HALF_UP, Decimal, localcontext

import numpy as np
import pytest

from threadwright.tables import association
from threadwright.tables.registry import find_thread, find_thread_and_class, series
from threadwright.tables.thread import Limits, Thread

_STANDARD = range(17)


def _thread(number: int) -> Thread:
    return find_thread(f"{number} BA")


def _two_figures(value: Decimal) -> Decimal:
    step = Decimal(1).scaleb(value.adjusted() - 1)
    return value.quantize(step, rounding=ROUND_HALF_UP)


def _micron(value: Decimal) -> float:
    return float(value.quantize(Decimal("0.001"), rounding=ROUND_HALF_UP))


def _exact(number: int) -> tuple[Decimal, Decimal, Decimal]:
    """Diameter, pitch and depth by the rule, in forty digits."""
    with localcontext() as context:
        context.prec = 40
        full = Decimal("0.9") ** number
        pitch = _two_figures(full)
        diameter = _two_figures(6 * full ** Decimal("1.2"))
        steps = (pitch * Decimal("0.6") / Decimal("0.005")).quantize(Decimal(1), rounding=ROUND_HALF_UP)
        return diameter, pitch, steps * Decimal("0.005")


@pytest.mark.parametrize(
    ("number", "pitch", "major", "effective", "minor"),
    [  # BS 93:1951, Machinery's Handbook 31st ed. p. 2115
        (0, 1.00, 6.00, 5.400, 4.80),
        (1, 0.90, 5.30, 4.760, 4.22),
        (2, 0.81, 4.70, 4.215, 3.73),
        (3, 0.73, 4.10, 3.660, 3.22),
        (4, 0.66, 3.60, 3.205, 2.81),
        (5, 0.59, 3.20, 2.845, 2.49),
        (6, 0.53, 2.80, 2.480, 2.16),
        (7, 0.48, 2.50, 2.210, 1.92),
        (8, 0.43, 2.20, 1.940, 1.68),
        (9, 0.39, 1.90, 1.665, 1.43),
        (11, 0.31, 1.50, 1.315, 1.13),
        (12, 0.28, 1.30, 1.130, 0.96),
        (13, 0.25, 1.20, 1.050, 0.90),
        (14, 0.23, 1.00, 0.860, 0.72),
        (15, 0.21, 0.90, 0.775, 0.65),
        (16, 0.19, 0.79, 0.675, 0.56),
    ],
)
def test_sizes_are_as_printed(
    number: int, pitch: float, major: float, effective: float, minor: float
) -> None:
    thread = _thread(number)
    assert (pitch, major, effective, minor) == (
        thread.pitch,
        thread.major_basic,
        thread.pitch_diameter_basic,
        thread.minor_basic,
    )


@pytest.mark.parametrize("number", range(26))
def test_every_size_follows_the_rule(number: int) -> None:
    diameter, pitch, depth = _exact(number)
    thread = _thread(number)
    expected = (float(diameter), float(pitch), _micron(diameter - depth), _micron(diameter - 2 * depth))
    actual = (thread.nominal_major, thread.pitch, thread.pitch_diameter_basic, thread.minor_basic)
    assert expected == actual
    assert thread.nominal_major == thread.major_basic


def _expected_bolt(number: int, name: str) -> dict[str, float]:
    diameter, pitch, depth = _exact(number)
    gap = Decimal("0.025") if name == "normal" and number <= 10 else Decimal(0)
    if name == "close":
        tolerances = (pitch * 15 / 100, pitch * 8 / 100 + Decimal("0.02"), pitch * 16 / 100 + Decimal("0.04"))
    else:
        share = 20 if number <= 10 else 25
        tolerances = (
            pitch * share / 100,
            pitch * 10 / 100 + Decimal("0.025"),
            pitch * 20 / 100 + Decimal("0.05"),
        )
    limits = {}
    for part, turns, tolerance in zip(
        ("major", "pitch_diameter", "minor"), (0, 1, 2), tolerances, strict=True
    ):
        top = diameter - turns * depth - gap
        limits[f"{part}_max"], limits[f"{part}_min"] = _micron(top), _micron(top - tolerance)
    return limits


def _shown(limits: Limits, names: dict[str, float]) -> dict[str, float]:
    return {name: getattr(limits, name) for name in names}


@pytest.mark.parametrize("number", range(11))
def test_close_bolts_equal_the_exact_formulas(number: int) -> None:
    expected = _expected_bolt(number, "close")
    assert expected == _shown(_thread(number).limits("external", "close"), expected)


@pytest.mark.parametrize("number", _STANDARD)
def test_normal_bolts_equal_the_exact_formulas(number: int) -> None:
    expected = _expected_bolt(number, "normal")
    assert expected == _shown(_thread(number).limits("external"), expected)


@pytest.mark.parametrize("number", _STANDARD)
def test_nuts_equal_the_exact_formulas(number: int) -> None:
    diameter, pitch, depth = _exact(number)
    expected = {
        "major_min": float(diameter),
        "pitch_diameter_min": _micron(diameter - depth),
        "pitch_diameter_max": _micron(diameter - depth + pitch * 12 / 100 + Decimal("0.03")),
        "minor_min": _micron(diameter - 2 * depth),
        "minor_max": _micron(diameter - 2 * depth + pitch * 375 / 1000),
    }
    limits = _thread(number).limits("internal")
    assert expected == _shown(limits, expected)
    assert np.isnan(limits.major_max)


def test_there_are_no_limits_where_the_standard_gives_none() -> None:
    held = [
        (_thread(number).classes("external"), _thread(number).classes("internal")) for number in range(26)
    ]
    both, normal = (("close", "normal"), ("normal",)), (("normal",), ("normal",))
    assert [both] * 11 + [normal] * 6 + [((), ())] * 9 == held


def test_limits_are_ordered_and_no_bolt_is_bigger_than_the_nut() -> None:
    table = series("BA")
    standard = slice(0, 17)
    nut = table.limits[2].columns
    assert np.all(table.basic.minor < table.basic.pitch_diameter)
    assert np.all(table.basic.pitch_diameter < table.basic.major)
    assert np.all(nut["minor_max"][standard] > nut["minor_min"][standard])
    assert np.all(nut["pitch_diameter_max"][standard] > nut["pitch_diameter_min"][standard])
    for bolt, rows in ((table.limits[0].columns, slice(0, 11)), (table.limits[1].columns, standard)):
        for part in ("major", "pitch_diameter", "minor"):
            assert np.all(bolt[f"{part}_min"][rows] < bolt[f"{part}_max"][rows])
            assert np.all(bolt[f"{part}_max"][rows] <= nut[f"{part}_min"][rows])
        assert np.all(bolt["minor_max"][rows] < bolt["pitch_diameter_min"][rows])
        assert np.all(bolt["pitch_diameter_max"][rows] < bolt["major_min"][rows])


def test_the_form_has_the_printed_proportions() -> None:
    form = association.BA_FORM
    assert (47.5, 1.1363, 0.6, 0.1808) == (
        form.thread_angle,
        round(form.height, 4),
        round(form.depth_over_pitch, 9),
        round(form.crest_radius, 4),
    )


@pytest.mark.parametrize("number", range(26))
def test_every_usual_spelling_finds_its_thread(number: int) -> None:
    spellings = [
        f"{number} BA",
        f"{number}BA",
        f"BA {number}",
        f"BA{number}",
        f"No. {number} BA",
        f"{number} ba",
    ]
    assert [f"{number} BA"] * len(spellings) == [find_thread(text).designation for text in spellings]


def test_a_class_may_follow_the_designation() -> None:
    thread, tolerance_class = find_thread_and_class("2 BA close")
    assert ("2 BA", "close") == (thread.designation, tolerance_class)


def test_sizes_beyond_the_standard_are_from_memory() -> None:
    assert ["computed", "from memory"] == [_thread(number).basis for number in (16, 17)]
