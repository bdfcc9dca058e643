"""Trapezoidal threads: against an exact decimal route, several starts, and the laws of a thread."""

from __future__ import annotations

import itertools
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from published_values import formula_rows
from threadwright.tables import trapezoidal
from threadwright.tables.errors import DesignationError, UnknownThreadError
from threadwright.tables.registry import designation_key, find_thread, find_thread_and_class, series
from threadwright.tables.thread import Thread

_R40 = """1 1.06 1.12 1.18 1.25 1.32 1.4 1.5 1.6 1.7 1.8 1.9 2 2.12 2.24 2.36 2.5 2.65 2.8 3 3.15 3.35 3.55
3.75 4 4.25 4.5 4.75 5 5.3 5.6 6 6.3 6.7 7.1 7.5 8 8.5 9 9.5 10"""
_SERIES = [Decimal(text) * scale for scale in (10, 100, 1000, 10000) for text in _R40.split()]
_RANGES = [Decimal(text) for text in ["5.6", "11.2", "22.4", "45", "90", "180", "355"]]


def _threads() -> list[Thread]:
    table = series("Tr")
    return [table.thread(row) for row in range(len(table))]


def _nearest(value: Decimal) -> Decimal:
    """Nearest preferred number, the greater of two equally near."""
    return min(_SERIES, key=lambda number: (round(abs(number - value), 9), -number))


def _whole(value: Decimal) -> Decimal:
    return value.quantize(Decimal(1), rounding=ROUND_HALF_EVEN)


def _td2(diameter: Decimal, pitch: Decimal, factor: str) -> Decimal:
    """Tolerance of ISO 965-1 continued to coarse pitches: grade 6, then the grade's factor. [um]"""
    top = next(limit for limit in _RANGES if diameter <= limit)
    mean = (top * _RANGES[_RANGES.index(top) - 1]).sqrt()
    six = _nearest(90 * pitch ** Decimal("0.4") * mean ** Decimal("0.1"))
    return _whole(_nearest(six * Decimal(factor)))


def _td(pitch: Decimal) -> Decimal:
    if pitch == 4:
        return Decimal(300)  # ISO 2903 Table 3, where the formula gives 280
    return _whole(
        _nearest(Decimal("0.63") * (180 * pitch ** (Decimal(2) / 3) - Decimal("3.15") / pitch.sqrt()))
    )


def _td1(pitch: Decimal) -> Decimal:
    if pitch == 12:
        return Decimal(800)  # ISO 2903 Table 3, where the formula gives 850
    return _whole(_nearest(Decimal("0.63") * 230 * pitch ** Decimal("0.7")))


def _es(position: str, pitch: Decimal) -> Decimal:
    if pitch <= 3:
        if (position, pitch) == ("c", 3):
            return Decimal(170)  # ISO 2903 Table 1, where the rule gives 158
        return _whole(_nearest((50 if position == "e" else 125) + 11 * pitch))
    return _whole(_nearest(Decimal("47.43" if position == "e" else "95") * pitch.sqrt()))


def _clearance(pitch: Decimal) -> Decimal:
    return next(Decimal(ac) for top, ac in ((2, "0.15"), (6, "0.25"), (14, "0.5"), (99, "1")) if pitch < top)


def _exact(thread: Thread, position: str, factor: str, starts: str = "1") -> list[float]:
    """Major, pitch and minor diameter of the screw, greatest and least of each. [mm]"""
    d, p = Decimal(str(thread.nominal_major)), Decimal(str(thread.pitch))
    width = (_td2(d, p, factor) * Decimal(starts)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    es, root = _es(position, p), d - p - 2 * _clearance(p)
    values = [d, d - _td(p) / 1000, d - p / 2 - es / 1000, d - p / 2 - (es + width) / 1000]
    return [float(v) for v in (*values, root, root - (_whole(width * Decimal("1.25")) + es) / 1000)]


def _held(thread: Thread, tolerance_class: str) -> list[float]:
    limits = thread.limits("external", tolerance_class)
    parts = ("major", "pitch_diameter", "minor")
    return [getattr(limits, f"{part}_{end}") for part in parts for end in ("max", "min")]


@pytest.mark.parametrize(("name", "factor"), [("7e", "1.25"), ("8e", "1.6"), ("8c", "1.6")])
def test_every_screw_limit_equals_the_exact_route(name: str, factor: str) -> None:
    for thread in _threads():
        assert (thread.designation, _exact(thread, name[1], factor)) == (
            thread.designation,
            _held(thread, name),
        )


@pytest.mark.parametrize(("name", "factor"), [("7H", "1.7"), ("8H", "2.12")])
def test_every_nut_limit_and_basic_size_equals_the_exact_route(name: str, factor: str) -> None:
    for thread in _threads():
        d, p = Decimal(str(thread.nominal_major)), Decimal(str(thread.pitch))
        middle, minor = d - p / 2, d - p
        limits = thread.limits("internal", name)
        expected = [
            d,
            middle,
            minor,
            d + 2 * _clearance(p),
            middle,
            middle + _td2(d, p, factor) / 1000,
            minor,
        ]
        actual = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic, limits.major_min]
        actual += [limits.pitch_diameter_min, limits.pitch_diameter_max, limits.minor_min]
        assert (thread.designation, [float(v) for v in expected]) == (thread.designation, actual)
        assert float(minor + _td1(p) / 1000) == limits.minor_max
        assert np.isnan(limits.major_max)


def test_the_nut_tolerance_is_the_printed_multiple_of_the_screw_tolerance() -> None:
    row = next(row for row in formula_rows() if row.topic == "trapezoidal_ratio")
    table = series("Tr")
    columns = {limits.tolerance_class: limits.columns for limits in table.limits}
    for screw, nut in (("7e", "7H"), ("8e", "8H")):
        widths = [
            np.rint((columns[name]["pitch_diameter_max"] - columns[name]["pitch_diameter_min"]) * 1000)
            for name in (screw, nut)
        ]
        snapped = [_whole(_nearest(Decimal(row.value) * Decimal(int(width)))) for width in widths[0]]
        assert [float(value) for value in snapped] == list(widths[1])


def test_all_of_iso_2902_is_held() -> None:
    table = series("Tr")
    assert (185, 65) == (len(table), len({size.major for size in table.system.sizes}))
    assert {size.major for size in table.system.sizes if size.choice == 1} == {
        size.major for size in table.system.sizes
    }


def test_limits_are_ordered_and_screw_and_nut_always_clear_each_other() -> None:
    table = series("Tr")
    screws = [limits.columns for limits in table.limits if limits.side == "external"]
    nuts = [limits.columns for limits in table.limits if limits.side == "internal"]
    for screw in screws:
        for nut in nuts:
            assert np.all(screw["major_max"] < nut["major_min"])
            assert np.all(screw["pitch_diameter_max"] < nut["pitch_diameter_min"])
            assert np.all(screw["minor_max"] < nut["minor_min"])
        order = (
            "minor_min",
            "minor_max",
            "pitch_diameter_min",
            "pitch_diameter_max",
            "major_min",
            "major_max",
        )
        for low, high in itertools.pairwise(order):
            assert np.all(screw[low] < screw[high])
    for nut in nuts:
        order = ("minor_min", "minor_max", "pitch_diameter_min", "pitch_diameter_max", "major_min")
        for low, high in itertools.pairwise(order):
            assert np.all(nut[low] < nut[high])


def test_every_designation_finds_its_thread() -> None:
    for name in series("Tr").designations:
        for spelling in (name, name.replace(" ", ""), name.upper(), f"{name}-7e"):
            assert (spelling, name) == (spelling, find_thread(spelling).designation)


@given(
    row=st.integers(0, len(series("Tr")) - 1),
    starts=st.integers(2, trapezoidal.MOST_STARTS),
    name=st.sampled_from(["7e", "8e", "8c", "7H", "8H"]),
)
def test_any_number_of_starts_is_found_and_reads_back(row: int, starts: int, name: str) -> None:
    single = series("Tr").thread(row)
    lead = Decimal(str(single.pitch)) * starts
    spelling = f"Tr {single.nominal_major:g}x{lead.normalize():f} P{single.pitch:g}"
    thread, tolerance_class = find_thread_and_class(f"{spelling}-{name}")
    assert (spelling, name, starts) == (thread.designation, tolerance_class, thread.starts)
    assert (single.pitch, float(lead)) == (thread.pitch, thread.lead_mm)
    assert single.pitch_diameter_basic == thread.pitch_diameter_basic
    side = "internal" if name.endswith("H") else "external"
    one, several = single.limits(side, name), thread.limits(side, name)
    assert one.pitch_diameter_max - one.pitch_diameter_min < (
        several.pitch_diameter_max - several.pitch_diameter_min
    )
    assert (one.major_min, "from memory") == (several.major_min, several.basis)


@pytest.mark.parametrize(
    ("spelling", "factor"),
    [("Tr 40x14 P7", "1.12"), ("Tr 40x21 P7", "1.25"), ("Tr 40x28 P7", "1.4"), ("Tr 40x35 P7", "1.6")],
)
def test_several_starts_widen_the_pitch_diameter_tolerance(spelling: str, factor: str) -> None:
    thread = find_thread(spelling)
    assert _exact(thread, "e", "1.25", factor) == _held(thread, "7e")
    assert trapezoidal.starts_factor(thread.starts) == float(factor)


def test_only_the_limits_that_rest_on_the_factor_are_from_memory() -> None:
    table = series("Tr")
    assert {"computed"} == {limits.basis for limits in table.limits}
    size = trapezoidal.more_starts("Tr", table.system, designation_key("Tr 20x8 P4"))
    assert size is not None
    assert ("20", 2) == (size.name, size.starts)


@pytest.mark.parametrize(
    ("spelling", "name"),
    [("Tr 20x8 (P4)", "Tr 20x8 P4"), ("tr20x8p4", "Tr 20x8 P4"), ("Tr 20x4 P4", "Tr 20x4")],
)
def test_usual_spellings_of_lead_and_pitch_are_read(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_left_hand_with_several_starts_is_read() -> None:
    thread = find_thread("Tr 20x8 P4 LH")
    assert (2, True) == (thread.starts, thread.left_hand)


@pytest.mark.parametrize("spelling", ["Tr 20x6 P4", "Tr 20x2 P4", "Tr 20x60 P4-7e"])
def test_a_lead_that_is_no_whole_number_of_pitches_is_refused(spelling: str) -> None:
    with pytest.raises(DesignationError, match=r"1 to 12 whole pitches of 4 mm; write it like 'Tr 20x8 P4'"):
        find_thread(spelling)


def test_starts_of_a_pitch_that_is_not_listed_are_unknown() -> None:
    with pytest.raises(UnknownThreadError, match="no table holds 'Tr 20x10 P5'"):
        find_thread("Tr 20x10 P5")


def test_a_deviation_is_not_defined_for_a_pitch_outside_the_table() -> None:
    assert np.isnan(trapezoidal.fundamental_deviation("e", np.array([1.0]))[0])
