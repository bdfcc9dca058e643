"""One thread, its limits, and the checks a system makes of its own data."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

import numpy as np
import pytest

from threadwright.tables.errors import TableError, UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.thread import (
    LIMIT_QUANTITIES,
    Basic,
    LimitColumns,
    SeriesTable,
    Size,
    Source,
    System,
    seed_columns,
)

FORM = Form(name="test form", flank_angle=30.0, depth=Fraction(1, 2))


def rules(made: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Half the depth to the pitch line, the depth to the root; one screw class with two limits."""
    major, pitch = seed_columns(made)
    basic = Basic(major, major - 0.5 * pitch, major - pitch)
    given = {"major_max": major, "major_min": major - 0.1 * pitch}
    return basic, (LimitColumns(side="external", tolerance_class="", columns=given),)


def make_system(*sizes: Size, tpi_pitch: bool = False, pitch_places: int | None = None) -> System:
    return System(
        symbol="XT",
        title="Test thread",
        unit="mm",
        form=FORM,
        seeds=lambda: sizes,
        source=Source("invented for the test"),
        used="nowhere",
        designation=lambda size: f"{size.name} XT",
        rules=rules,
        default_classes=MappingProxyType({"external": ""}),
        tpi_pitch=tpi_pitch,
        pitch_places=pitch_places,
    )


def test_an_inch_thread_answers_in_millimetres_too() -> None:
    thread = find_thread("1/4-26 BSF")
    assert ("in", 25.4, Fraction(26)) == (thread.unit, thread.to_mm, thread.tpi)
    assert 0.25 * 25.4 == thread.nominal_major_mm
    assert math.isclose(25.4 / 26, thread.pitch_mm, rel_tol=1e-15)
    assert thread.pitch_mm == thread.lead_mm


def test_a_metric_thread_has_a_pitch_and_no_threads_per_inch() -> None:
    thread = find_thread("M8")
    assert ("mm", 1.0, None) == (thread.unit, thread.to_mm, thread.tpi)
    assert (8.0, 1.25) == (thread.nominal_major_mm, thread.pitch_mm)
    assert (1, False, 1) == (thread.starts, thread.left_hand, thread.choice)


def test_lead_is_starts_times_pitch() -> None:
    assert 3.75 == replace(find_thread("M8"), starts=3).lead_mm


def test_classes_stand_in_the_order_of_the_standard_and_the_usual_one_is_the_default() -> None:
    thread = find_thread("3/8-20 BSF")
    assert ("close", "medium", "free") == thread.classes("external")
    assert ("medium", "normal") == thread.classes("internal")
    assert "medium" == thread.default_class("external")
    assert thread.limits("external") is thread.limits("external", "medium")


def test_a_class_without_a_name_is_found_as_default_and_by_its_empty_name() -> None:
    thread = find_thread("G 1/2")
    assert ("",) == thread.classes("internal")
    assert thread.limits("internal") is thread.limits("internal", "")


def test_a_thread_without_its_usual_class_falls_back_on_the_first_class_it_has() -> None:
    # ISO 965-1 leaves 6H blank at a pitch of 0.25 mm; the usual nut class of the smallest sizes is 5H
    thread = find_thread("M1x0.25")
    assert ("5H",) == thread.classes("internal")
    assert "5H" == thread.limits("internal").tolerance_class
    with pytest.raises(UnknownThreadError, match="M1x0.25: no internal class '6H'; the tables hold 5H"):
        thread.limits("internal", "6H")


def test_a_class_without_any_limit_does_not_stand_among_the_classes_of_the_thread() -> None:
    assert (("normal",), ()) == (
        find_thread("12 BA").classes("external"),
        find_thread("17 BA").classes("external"),
    )
    assert all(row.defined for row in find_thread("12 BA").all_limits)


def test_an_unknown_class_is_refused_with_the_classes_there_are() -> None:
    with pytest.raises(
        UnknownThreadError, match="M8x1.25: no external class '6H'; the tables hold 4h, 6g, 6h, 6e, 8g"
    ):
        find_thread("M8").limits("external", "6H")
    with pytest.raises(
        UnknownThreadError, match=r"G 1/2: no internal class 'A'; the tables hold \(unnamed\)"
    ):
        find_thread("G 1/2").limits("internal", "A")


def test_a_side_without_limits_is_refused_and_says_there_are_none() -> None:
    thread = make_system(Size("1", Fraction(6), Fraction(1))).build().thread(0)
    with pytest.raises(UnknownThreadError, match="1 XT: no internal class ''; the tables hold none"):
        thread.limits("internal")


def test_limits_in_millimetres_are_twenty_five_point_four_times_those_in_inches() -> None:
    inch = find_thread("1/2-13 UNC").limits("external", "2A")
    metric = inch.in_mm()
    assert ("mm", inch.side, inch.tolerance_class) == (metric.unit, metric.side, metric.tolerance_class)
    for quantity in LIMIT_QUANTITIES:
        expected = getattr(inch, quantity) * 25.4
        actual = getattr(metric, quantity)
        assert expected == actual or (math.isnan(expected) and math.isnan(actual))
    assert metric is metric.in_mm()


def test_what_the_standard_does_not_limit_is_nan() -> None:
    nut = find_thread("3/8-20 BSF").limits("internal", "normal")
    assert math.isnan(nut.major_max)
    assert math.isnan(nut.minor_flat_max)
    assert math.isnan(nut.in_mm().major_max)


@pytest.mark.parametrize("name", ["M8x1.25", "M1x0.2", "G 1/2", "3/8-20 BSF", "17 BA"])
def test_the_same_thread_found_twice_is_equal_with_its_undefined_limits(name: str) -> None:
    first, second = find_thread(name), find_thread(name)
    assert first == second
    assert 1 == len({first, second})
    assert [row.in_mm() for row in first.all_limits] == [row.in_mm() for row in second.all_limits]


def test_a_limit_with_an_unknown_name_is_refused() -> None:
    with pytest.raises(TableError, match="internal 6H: no such limit 'core_max'"):
        LimitColumns(side="internal", tolerance_class="6H", columns={"core_max": np.array([1.0])})


def test_limits_have_one_basis_unless_some_are_named() -> None:
    columns = LimitColumns(side="internal", tolerance_class="6H", columns={"major_min": np.array([1.0])})
    assert ("computed", {}) == (columns.basis, dict(columns.basis_of))


def test_a_size_whose_pitch_is_not_below_its_diameter_is_refused() -> None:
    with pytest.raises(TableError, match="XT 1 XT: pitch 6 must be below major diameter 6"):
        _ = make_system(Size("1", Fraction(6), Fraction(6))).sizes
    with pytest.raises(TableError, match="XT 1 XT: pitch 0 must be below major diameter 6"):
        _ = make_system(Size("1", Fraction(6), Fraction(0))).sizes


def test_a_pitch_in_threads_per_inch_is_compared_in_millimetres() -> None:
    # 4 tpi is 6.35 mm: above a diameter of 6 mm, though 1/4 is below 6
    with pytest.raises(TableError, match="XT 1 XT: pitch 1/4 must be below major diameter 6"):
        _ = make_system(Size("1", Fraction(6), Fraction(1, 4)), tpi_pitch=True).sizes


def test_a_designation_that_stands_twice_is_refused() -> None:
    size = Size("1", Fraction(6), Fraction(1))
    with pytest.raises(TableError, match="XT 1 XT stands twice in its table"):
        _ = make_system(size, size).build().designations


def test_a_table_has_one_row_for_each_size_and_keeps_what_the_size_says() -> None:
    sizes = (
        Size("1", Fraction(6), Fraction(1)),
        Size("2", Fraction(8), Fraction(1), choice=2, basis="from memory", starts=2, nominal=Fraction(5)),
    )
    table = make_system(*sizes).build()
    assert isinstance(table, SeriesTable)
    assert (2, ("1 XT", "2 XT")) == (len(table), table.designations)
    first, second = table.thread(0), table.thread(1)
    assert (6.0, 6.0, 5.5, 5.0) == (
        first.nominal_major,
        first.major_basic,
        first.pitch_diameter_basic,
        first.minor_basic,
    )
    assert ("computed", 1, 1) == (first.basis, first.starts, first.choice)
    assert ("from memory", 2, 2) == (second.basis, second.starts, second.choice)
    assert (5.0, 8.0, 2.0) == (second.nominal_major, second.major_basic, second.lead_mm)
    assert (6.0, 5.9) == (first.limits("external").major_max, first.limits("external").major_min)
    assert math.isnan(first.limits("external").pitch_diameter_max)


@pytest.mark.parametrize("places, pitch", [(None, 25.4 / 19), (3, 1.337)])
def test_a_pitch_in_threads_per_inch_becomes_millimetres_rounded_as_the_standard_says(
    places: int | None, pitch: float
) -> None:
    made = make_system(Size("1", Fraction(13), Fraction(1, 19)), tpi_pitch=True, pitch_places=places)
    thread = made.build().thread(0)
    assert (pitch, Fraction(19)) == (thread.pitch, thread.tpi)


@pytest.mark.parametrize("symbol", ["M", "BSF", "G", "BA"])
def test_seed_columns_are_the_seeds_in_the_unit_of_the_system(symbol: str) -> None:
    major, pitch = seed_columns(system(symbol))
    assert [float(size.major) for size in system(symbol).sizes] == major.tolist()
    assert np.array_equal(series(symbol).pitch, pitch)
