"""The catalogue: sorted candidates, one row for each class, and the laws of every registered system."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from threadwright.tables import catalogue
from threadwright.tables.catalogue import candidates, class_rows, every_thread
from threadwright.tables.form import Form
from threadwright.tables.registry import SYSTEMS, find_thread, series
from threadwright.tables.thread import (
    LIMIT_QUANTITIES,
    Array,
    Basic,
    LimitColumns,
    Side,
    Size,
    Source,
    System,
    seed_columns,
)
from threadwright.tables.wires import wire_constants

Rows = NDArray[np.bool_]
SYMBOLS = [entry.symbol for entry in SYSTEMS]
SIDES: tuple[Side, Side] = ("external", "internal")
MM = {"mm": 1.0, "in": 25.4}
SAME_METAL = 0.0005  # mm

# Where a greatest screw may be larger than the smallest nut of its own standard: a taper thread is screwed in
# until it jams, and its tolerance is one turn either way of where it does.
INTERFERENCE = frozenset(("NPT", "", "", part) for part in ("major", "pitch_diameter", "minor"))

# Threads sealed on the taper: the tolerance of the gauge plane lies on both sides of the basic size.
EITHER_WAY = ("R", "Rc", "Rp", "NPT", "NPSC")

# A limit that the standard prints to fewer places than the basic size: half a unit of its last place. [in]
ROUNDED = {("NPSM", "internal", "major"): 0.0005}


def column(limits: LimitColumns, quantity: str) -> Array:
    """One limit of a side and class; NaN where there is none."""
    return limits.columns.get(quantity, np.full(len(next(iter(limits.columns.values()))), np.nan))


def names(table_rows: Rows, symbol: str) -> list[str]:
    return [series(symbol).designations[row] for row in np.flatnonzero(table_rows)]


def every_limits() -> list[tuple[str, LimitColumns]]:
    return [(symbol, limits) for symbol in SYMBOLS for limits in series(symbol).limits]


def where_above(low: Array, high: Array) -> Rows:
    """Rows where both are given and the first is not below the second."""
    with np.errstate(invalid="ignore"):
        return np.asarray(low >= high)


def test_candidates_are_sorted_by_major_diameter() -> None:
    rows = candidates()
    assert np.all(np.diff(rows.major) > -SAME_METAL)
    assert np.all(np.diff(np.rint(rows.major / SAME_METAL)) >= 0)
    assert 0 < rows.major[0] < 1
    assert len(rows) == len(rows.names) == len(rows.major)


def test_every_thread_of_every_system_is_a_name_of_exactly_one_candidate() -> None:
    named = sorted(name for group in candidates().names for name in group)
    assert sorted((symbol, row) for symbol in SYMBOLS for row in range(len(series(symbol)))) == named


def test_every_thread_comes_in_the_order_of_the_registry() -> None:
    designations = [thread.designation for thread in every_thread()]
    assert [name for symbol in SYMBOLS for name in series(symbol).designations] == designations


def test_columns_say_in_millimetres_what_the_table_of_the_system_says_in_its_unit() -> None:
    rows = candidates()
    for number in range(len(rows)):
        for symbol, row in rows.names[number]:
            table = series(symbol)
            scale, form = MM[table.system.unit], table.system.form
            expected = (
                table.basic.major[row] * scale,
                table.basic.pitch_diameter[row] * scale,
                table.pitch[row] * scale,
            )
            actual = (
                rows.major[number],
                rows.pitch_diameter[number],
                rows.pitch[number],
            )
            assert np.allclose(expected, actual, rtol=0, atol=SAME_METAL), rows.designation(number)
            assert (form.flank_angle, form.thread_angle) == (
                rows.flank_angle[number],
                rows.thread_angle[number],
            )
            assert table.system.sizes[row].starts == rows.starts[number]
            assert float(table.system.taper) == rows.taper[number]
        # what a size is called after, where it is gauged and its roots may differ between names of one metal:
        # MJ, or an old nut with a deeper form, goes under the name of ISO metric
        leading, row = rows.names[number][0]
        table = series(leading)
        scale = MM[table.system.unit]
        assert table.basic.minor[row] * scale == rows.minor[number]
        assert table.nominal_major[row] * scale == rows.nominal_major[number]
        gauge = np.nan if table.lengths is None else table.lengths.gauge[row] * scale
        assert np.array_equal(gauge, rows.gauge_length[number], equal_nan=True)


def test_a_thread_in_millimetres_is_the_same_thread() -> None:
    rows = candidates()
    for number in range(len(rows)):
        thread = rows.thread(number)
        assert np.isclose(rows.pitch[number], thread.pitch_mm, rtol=1e-12)
        assert np.isclose(rows.nominal_major[number], thread.nominal_major_mm, rtol=1e-12)


def find(designation: str) -> int:
    rows = candidates()
    return next(n for n in range(len(rows)) if designation in (rows.designation(n), *rows.also(n)))


def test_the_same_metal_under_two_names_is_one_candidate() -> None:
    # 26 threads to the inch, Whitworth form, in the fine series and in the brass trade
    rows, number = candidates(), find("1/4-26 BSB")
    assert ("1/4-26 BSF", ("1/4-26 BSB",)) == (rows.designation(number), rows.also(number))
    assert "BSF" == rows.thread(number).system
    assert () == rows.also(find("0 BA"))


def test_different_metal_under_like_names_stays_apart() -> None:
    # the cycle thread of 1/4 in has 26 threads to the inch too, but 60 deg and another depth
    assert find("1/4-26 BSC") != find("1/4-26 BSF")
    # the same form and diameter, another pitch
    assert find("1/2-12 BSW") != find("1/2-16 BSF")
    # the same diameter and pitch, 60 deg and 55 deg
    assert find("3/8-16 UNC") != find("3/8-16 BSW")


def test_neighbouring_candidates_differ_by_more_than_the_names_of_one_candidate_do() -> None:
    rows = candidates()
    metal = np.stack([rows.flank_angle, rows.thread_angle, rows.starts, rows.taper], axis=1)
    for number in range(len(rows)):
        near = np.arange(number + 1, np.searchsorted(rows.major, rows.major[number] + 2 * SAME_METAL))
        same = (
            (np.abs(rows.major[near] - rows.major[number]) <= SAME_METAL / 2)
            & (np.abs(rows.pitch_diameter[near] - rows.pitch_diameter[number]) <= SAME_METAL / 2)
            & (np.abs(rows.pitch[near] - rows.pitch[number]) <= 0.00002)
            & (metal[near] == metal[number]).all(axis=1)
        )
        assert [] == [rows.designation(other) for other in near[same]], rows.designation(number)


def test_wire_columns_are_those_of_the_form_times_the_pitch() -> None:
    rows = candidates()
    for number in range(len(rows)):
        form = rows.thread(number).form
        actual = [rows.wire_factor[number], rows.wire_least[number], rows.wire_greatest[number]]
        if form.symmetric:
            wires = wire_constants(form)
            pitch = rows.pitch[number]
            expected = [wires.diameter_factor, wires.least * pitch, wires.greatest * pitch]
            assert np.allclose(expected, actual, rtol=1e-12), rows.designation(number)
        else:
            assert np.isnan(actual).all()


def test_the_best_wire_of_every_thread_touches_its_flanks() -> None:
    rows = candidates()
    best = rows.pitch / (2 * np.cos(np.radians(rows.flank_angle)))
    symmetric = ~np.isnan(rows.wire_factor)
    assert np.array_equal(symmetric, np.isclose(rows.thread_angle, 2 * rows.flank_angle))
    # at a sharp crest it is the least wire itself
    reaches = (best >= rows.wire_least - 1e-12) & (best <= rows.wire_greatest)
    assert [] == [rows.designation(int(number)) for number in np.flatnonzero(symmetric & ~reaches)]


@pytest.mark.parametrize("side", SIDES)
def test_class_rows_are_grouped_by_candidate_and_every_name_has_each_of_its_classes(side: Side) -> None:
    rows, metal = class_rows(side), candidates()
    assert np.all(np.diff(rows.candidate) >= 0)
    assert set(range(len(metal))) == set(rows.candidate.tolist())
    classes = {
        symbol: [limits.tolerance_class for limits in series(symbol).limits if limits.side == side] or [""]
        for symbol in SYMBOLS
    }
    sided = {entry.symbol for entry in SYSTEMS if side in entry.sides}
    expected = sorted(
        (number, SYMBOLS.index(symbol), row, name)
        for number, group in enumerate(metal.names)
        for symbol, row in group
        for name in classes[symbol]
        if symbol in sided or not sided & {other for other, _ in group}
    )
    columns = (rows.candidate.tolist(), rows.system.tolist(), rows.row.tolist(), rows.tolerance_class)
    assert expected == sorted(zip(*columns, strict=True))


@pytest.mark.parametrize("side", SIDES)
def test_class_rows_hold_the_limits_of_every_thread_in_millimetres(side: Side) -> None:
    rows, metal = class_rows(side), candidates()
    bounds = [f"{name}_{end}" for name in ("major", "pitch_diameter", "minor") for end in ("low", "high")]
    table = np.array([getattr(rows, name) for name in bounds]).T.tolist()
    held: dict[tuple[int, int, str], list[list[float]]] = {}
    keys = zip(rows.system.tolist(), rows.row.tolist(), rows.tolerance_class, strict=True)
    for key, candidate, values in zip(keys, rows.candidate.tolist(), table, strict=True):
        assert (SYMBOLS[key[0]], key[1]) in metal.names[candidate]
        if not all(value != value for value in values):  # one class may stand in several columns
            held.setdefault(key, []).append(values)
    for system, entry in enumerate(SYSTEMS):
        for row in range(len(series(entry.symbol))):
            thread = series(entry.symbol).thread(row)
            for name in thread.classes(side):
                limits = thread.limits(side, name).in_mm()
                (actual,) = held.pop((system, row, name))
                for bound, value in zip(bounds, actual, strict=True):
                    expected = getattr(limits, bound.replace("low", "min").replace("high", "max"))
                    assert expected == value or (expected != expected and value != value), thread.designation
    assert not held


@pytest.mark.parametrize(
    "side, designation, tolerance_class",
    [
        ("external", "No. 4-40 UNC", "1A"),  # ASME B1.1: class 1 from 1/4 in up
        ("external", "M3x0.5", "8g"),  # ISO 965-1: grade 8 from a pitch of 0.8 mm
        ("internal", "M1x0.25", "6H"),  # ISO 965-1: grade 6 nuts from a pitch of 0.3 mm
        ("external", "12 BA", "close"),  # BS 93: close bolts from 0 to 10
        ("internal", "17 BA", "normal"),  # BS 93: limits to 16
    ],
)
def test_a_class_that_the_standard_does_not_give_for_a_size_is_a_row_of_nan(
    side: Side, designation: str, tolerance_class: str
) -> None:
    rows, number = class_rows(side), find(designation)
    index = next(
        i for i in np.flatnonzero(rows.candidate == number) if rows.tolerance_class[i] == tolerance_class
    )
    values = [
        getattr(rows, f"{name}_{end}")[index]
        for name in ("major", "pitch_diameter", "minor")
        for end in ("low", "high")
    ]
    assert np.isnan(values).all()
    assert tolerance_class not in find_thread(designation).classes(side)


# Laws of every system, over whole columns.


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_basic_minor_below_pitch_diameter_below_major(symbol: str) -> None:
    basic = series(symbol).basic
    assert [] == names(~((0 < basic.minor) & (basic.minor < basic.pitch_diameter)), symbol)
    assert [] == names(~(basic.pitch_diameter < basic.major), symbol)


# ASME B1.10M prints it so (0.30 UNM: minor to 0.254, pitch diameter from 0.248 mm): up to a pitch of 0.175 mm
# the tolerance of the nut's minor diameter is as wide as its distance from the pitch diameter or wider.
OVERLAP_IN_PRINT = ("UNM", "internal", "minor_max", "pitch_diameter_min")


def test_minor_below_pitch_diameter_below_major_in_every_class() -> None:
    faults = []
    for symbol, limits in every_limits():
        for low, high in (
            ("minor_max", "pitch_diameter_min"),
            ("minor_min", "pitch_diameter_min"),
            ("minor_max", "pitch_diameter_max"),
            ("minor_flat_max", "pitch_diameter_min"),
            ("pitch_diameter_max", "major_min"),
            ("pitch_diameter_max", "major_max"),
        ):
            bad = where_above(column(limits, low), column(limits, high))
            if (symbol, limits.side, low, high) == OVERLAP_IN_PRINT:
                assert np.array_equal(bad, series(symbol).pitch < 0.18)
                continue
            faults += [(name, limits.tolerance_class, low, high) for name in names(bad, symbol)]
    assert [] == faults


def test_the_least_limit_lies_below_the_greatest_in_every_class() -> None:
    faults = []
    for symbol, limits in every_limits():
        for part in ("major", "pitch_diameter", "minor"):
            bad = where_above(column(limits, f"{part}_min"), column(limits, f"{part}_max"))
            faults += [(name, limits.tolerance_class, part) for name in names(bad, symbol)]
    assert [] == faults


def test_a_class_has_pitch_diameter_limits_for_a_size_or_no_limits_at_all() -> None:
    faults = []
    for symbol, limits in every_limits():
        given = ~np.isnan(np.array(list(limits.columns.values())))
        both = ~np.isnan(column(limits, "pitch_diameter_min") + column(limits, "pitch_diameter_max"))
        faults += [(name, limits.tolerance_class) for name in names(given.any(axis=0) & ~both, symbol)]
    assert [] == faults


def test_a_screw_at_its_largest_enters_a_nut_at_its_smallest_of_its_own_standard() -> None:
    faults = set()
    for symbol in SYMBOLS:
        screws = [limits for limits in series(symbol).limits if limits.side == "external"]
        nuts = [limits for limits in series(symbol).limits if limits.side == "internal"]
        for screw in screws:
            for nut in nuts:
                for part in ("major", "pitch_diameter", "minor"):
                    over = column(screw, f"{part}_max") - column(nut, f"{part}_min")
                    with np.errstate(invalid="ignore"):
                        bad = names(over > 1e-9, symbol)
                    if bad:
                        faults.add((symbol, screw.tolerance_class, nut.tolerance_class, part))
    assert INTERFERENCE == faults


def test_no_screw_is_larger_than_basic_and_no_nut_smaller_but_of_threads_sealed_on_the_taper() -> None:
    faults = []
    for symbol, limits in every_limits():
        basic = series(symbol).basic
        if symbol in EITHER_WAY:
            middle = (column(limits, "pitch_diameter_max") + column(limits, "pitch_diameter_min")) / 2
            places = {"NPT": 5, "NPSC": 4}.get(symbol, 3)
            assert np.abs(middle - basic.pitch_diameter).max() < 0.51 * 10**-places, symbol
            continue
        for part in ("major", "pitch_diameter"):
            size = getattr(basic, part) - ROUNDED.get((symbol, limits.side, part), 0.0)
            if limits.side == "external":
                bad = where_above(column(limits, f"{part}_max") - 1e-9, size + 1e-12)
            else:
                bad = where_above(size - 1e-12, column(limits, f"{part}_min") + 1e-9)
            faults += [(name, limits.tolerance_class, part) for name in names(bad, symbol)]
    assert [] == faults


def test_every_pair_of_classes_of_a_side_is_ordered_by_its_tolerance_everywhere() -> None:
    # a class is finer than another for every size of its system or for none
    faults = []
    for symbol in SYMBOLS:
        for side in SIDES:
            spans = {
                limits.tolerance_class: column(limits, "pitch_diameter_max")
                - column(limits, "pitch_diameter_min")
                for limits in series(symbol).limits
                if limits.side == side
            }
            for one, first in spans.items():
                for other, second in spans.items():
                    difference = np.round((first - second)[~np.isnan(first - second)], 9)
                    if (difference > 0).any() and (difference < 0).any():
                        faults.append((symbol, side, one, other))
    assert [] == faults


def test_inch_and_millimetre_limits_agree_for_every_class() -> None:
    for symbol in SYMBOLS:
        scale = MM[series(symbol).system.unit]
        for row in range(len(series(symbol))):
            for limits in series(symbol).thread(row).all_limits:
                metric = limits.in_mm()
                expected = [getattr(limits, quantity) * scale for quantity in LIMIT_QUANTITIES]
                actual = [getattr(metric, quantity) for quantity in LIMIT_QUANTITIES]
                np.testing.assert_array_equal(expected, actual)


# Systems that no standard has.


def _invented(symbol: str, form: Form, sizes: tuple[Size, ...], **given: Any) -> System:
    return System(
        symbol=symbol,
        title="Invented",
        form=form,
        seeds=lambda: sizes,
        source=Source("invented for the test"),
        used="nowhere",
        designation=lambda size: f"{size.name} {symbol}",
        default_classes=MappingProxyType({}),
        **given,
    )


def _rules(above_basic: float) -> Callable[[System], tuple[Basic, tuple[LimitColumns, ...]]]:
    """Basic sizes alone, the pitch diameter greater than half the depth gives it by a little. [mm or in]"""

    def rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
        major, pitch = seed_columns(system)
        return Basic(major, major - 0.5 * pitch + above_basic, major - pitch), ()

    return rules


@pytest.fixture
def registered(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """Make the catalogue of these systems instead of the registry's."""
    caches = (catalogue._grouped, candidates, class_rows)

    def register(*entries: System) -> None:
        tables = {entry.symbol: entry.build() for entry in entries}
        monkeypatch.setattr(catalogue, "SYSTEMS", entries)
        monkeypatch.setattr(catalogue, "series", tables.__getitem__)
        for cached in caches:
            cached.cache_clear()

    yield register
    for cached in caches:
        cached.cache_clear()


@pytest.fixture
def bare(registered: Callable[..., None]) -> None:
    """An asymmetric form without limits on either side."""
    sizes = (
        Size("1", Fraction(1), Fraction(1, 4), starts=2),
        Size("3/4", Fraction(3, 4), Fraction(1, 8)),
    )
    form = Form(name="bare", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(1, 2))
    registered(_invented("XB", form, sizes, unit="in", rules=_rules(0.0)))


@pytest.mark.usefixtures("bare")
def test_an_asymmetric_form_has_no_wires_and_keeps_both_flanks() -> None:
    rows = candidates()
    assert ["3/4 XB", "1 XB"] == [rows.designation(number) for number in range(2)]
    assert np.isnan([rows.wire_factor, rows.wire_least, rows.wire_greatest]).all()
    assert [7.0, 52.0, 1] == [rows.flank_angle[0], rows.thread_angle[0], rows.starts[0]]
    assert (25.4, 2) == (rows.major[1], rows.starts[1])


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize("side", SIDES)
def test_a_name_without_limits_has_one_unnamed_row_of_nan(side: Side) -> None:
    rows = class_rows(side)
    assert ([0, 1], ("", "")) == (rows.candidate.tolist(), rows.tolerance_class)
    for name in ("major", "pitch_diameter", "minor"):
        assert np.isnan([getattr(rows, f"{name}_low"), getattr(rows, f"{name}_high")]).all()


@pytest.mark.parametrize("apart, count", [(0.0, 3), (0.0003, 3), (0.0008, 4)])
def test_inch_and_metric_names_are_one_metal_if_their_rounding_alone_keeps_them_apart(
    registered: Callable[..., None], apart: float, count: int
) -> None:
    # half a micrometre: less than any standard prints
    form = Form(name="invented", flank_angle=30.0, depth=Fraction(1, 2))
    inch = (Size("1/2", Fraction(1, 2), Fraction(1, 20)), Size("5/8", Fraction(5, 8), Fraction(1, 20)))
    metric = (
        Size("12.7", Fraction("12.7"), Fraction("1.27")),
        Size("12.7 coarse", Fraction("12.7"), Fraction("1.28")),
    )
    registered(
        _invented("XI", form, inch, unit="in", rules=_rules(0.0)),
        _invented("XM", form, metric, unit="mm", rules=_rules(apart)),
    )
    rows = candidates()
    assert count == len(rows)
    assert ("12.7 XM" in rows.also(0)) == (count == 3)
    assert "1/2 XI" == rows.designation(0)
