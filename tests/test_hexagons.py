"""Hexagons against print, and the way back from a measured size."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from published_facts import Answer, excluded_facts, fact_rows, faults, rule_value
from published_values import FormulaRow
from threadwright.tables.errors import TableError
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES
from threadwright.tables.hexagons import (
    Hexagon,
    across_flats_for_opening,
    hexagons_for,
    hexagons_of,
    sizes_for_across_flats,
    wrench_opening,
)
from threadwright.tables.registry import find_thread, system

ROWS = fact_rows("hexagons")
RULES = [row for row in ROWS if row.quantity.endswith("_rule")]
CELLS = {
    "head_thickness": "head_thickness",
    "ordinary_nut_thickness": "nut_thickness",
    "lock_nut_thickness": "lock_nut_thickness",
    "plain_shank_diameter": "shank_diameter",
}


def every_hexagon() -> list[Hexagon]:
    return [hexagon for series in HEXAGON_SERIES for hexagon in hexagons_of(series.name)]


def held(row: FormulaRow) -> Answer:
    """What the tables hold for a row."""
    (hexagon,) = (h for h in hexagons_of(row.topic) if h.size == row.case)
    if row.quantity.startswith("across"):
        return getattr(hexagon, row.quantity), hexagon.unit
    name, end = row.quantity.rsplit("_", 1)
    band = getattr(hexagon, CELLS[name])
    return band[0 if end == "max" else 1], hexagon.unit


def test_every_published_hexagon_agrees_to_half_its_last_digit() -> None:
    rows = [row for row in ROWS if row.gates and row not in RULES]
    assert len(rows) >= 430
    assert [] == faults(rows, held)


def test_hexagons_from_memory_are_reported_and_never_a_gate(record_property: pytest.RecordProperty) -> None:
    recalled = [row for row in ROWS if not row.gates]
    assert {row.topic for row in recalled} == {"BS 57"}
    record_property("from_memory", f"{len(recalled)} rows, {len(faults(recalled, held))} differ")


@pytest.mark.parametrize("row", RULES, ids=lambda row: f"{row.topic} {row.quantity}")
def test_printed_rules_hold_for_every_size(row: FormulaRow) -> None:
    if row.topic == "wrench opening":
        for number in range(1, 300):
            across = Fraction(number, 64)
            least, largest = wrench_opening(float(across))
            asked = {"opening_min_rule": least, "opening_max_rule": largest}[row.quantity]
            exact = rule_value(row.value, W=across, min=Fraction(least))
            assert asked == pytest.approx(float(exact), rel=1e-12)
        return
    wanted = {
        "across_flats_rule": lambda h: h.across_flats_max,
        "head_thickness_rule": lambda h: h.head_thickness and h.head_thickness[0],
        "nut_thickness_rule": lambda h: h.nut_thickness and h.nut_thickness[0],
    }[row.quantity]
    checked = 0
    for hexagon in hexagons_of(row.topic):
        if hexagon.size.endswith("BA"):
            size, close = Fraction(find_thread(hexagon.size).nominal_major / 25.4), 0.003  # recalled, rounded
        else:
            size, close = Fraction(hexagon.nominal), 1e-12
        if (value := wanted(hexagon)) is not None:
            assert value == pytest.approx(float(rule_value(row.value, D=size)), abs=close), hexagon.size
            checked += 1
    assert checked


def test_excluded_rows_say_why_and_are_not_compared() -> None:
    out = excluded_facts()
    assert [] == [record["case"] for record in out if not record["reason"]]
    compared = {(row.topic, row.case, row.quantity, row.value, row.source) for row in ROWS}
    assert not compared & {
        (record["topic"], record["case"], record["quantity"], record["value"], record["source"])
        for record in out
    }


def test_limits_are_ordered_and_every_row_has_a_spanner_a_period_and_a_source() -> None:
    for hexagon in every_hexagon():
        least, largest = hexagon.band_mm
        assert 0 < least < largest, hexagon
        assert hexagon.spanner
        assert hexagon.period
        assert hexagon.source.document
        assert hexagon.source.seen == (hexagon.basis != "from memory")
        for band in (hexagon.head_thickness, hexagon.nut_thickness, hexagon.lock_nut_thickness):
            assert band is None or math.isnan(band[1]) or band[0] > band[1]


def test_a_hexagon_is_wider_than_its_thread_and_grows_with_it() -> None:
    for series in HEXAGON_SERIES:
        sized = [h for h in hexagons_of(series.name) if not math.isnan(h.nominal)]
        assert [] == [h for h in sized if h.across_flats_max <= h.nominal]
        assert sized == sorted(sized, key=lambda h: (h.nominal, h.across_flats_max))
        across = [h.across_flats_max for h in sized]
        assert across == sorted(across)


def test_no_size_stands_twice_in_a_series() -> None:
    for series in HEXAGON_SERIES:
        names = [hexagon.size for hexagon in hexagons_of(series.name)]
        assert len(names) == len(set(names)), series.name


@pytest.mark.parametrize(
    "designation, expected",
    [
        ("3/8-20 BSF", [("BS 1083", 0.6)]),
        ("1/2-12 BSW", [("BS 1083", 0.82), ("large Whitworth", 0.92), ("original Whitworth", 0.9191)]),
        (
            "7/16-14 UNC",
            [("BS 1768", 0.625), ("ASME B18.2.1", 0.625), ("ASME B18.2.2", 0.6875), ("ASME heavy", 0.78125)],
        ),
        ("No. 8-32 UNC", [("machine screw nut", 0.34375)]),
        ("2 BA", [("BS 57", 0.324)]),
        ("5/16-26 BSC", [("cycle", 0.525)]),
        ("M45x4.5", [("ISO 272", 70), ("DIN 931", 70)]),
        (
            "M14",
            [("ISO 272", 21), ("DIN 931", 22), ("JIS normal", 22), ("JIS small", 19), ("JIS flange", 18)],
        ),
        ("G 1/2", []),
    ],
)
def test_a_thread_finds_its_hexagons(designation: str, expected: list[tuple[str, float]]) -> None:
    assert expected == [(h.series, h.across_flats_max) for h in hexagons_for(find_thread(designation))]


def test_spanners_of_both_british_markings_fit_the_same_hexagon() -> None:
    marks = {h.size: h.spanner for h in hexagons_of("BS 1083")}
    assert marks["1/4"] == "1/4 BS = 3/16 W"
    assert marks["3/4"] == "3/4 BS = 11/16 W"
    assert marks["2"] == "2 BS"


@given(st.integers(0, 10**6), st.floats(0.005, 0.2))
def test_a_size_inside_its_limits_finds_its_hexagon(pick: int, u: float) -> None:
    everything = every_hexagon()
    hexagon = everything[pick % len(everything)]
    least, largest = hexagon.band_mm
    for size in (least, (least + largest) / 2, largest):
        assert (hexagon, 0.0) in sizes_for_across_flats(size, u)


def test_matches_come_nearest_first_and_say_how_far_outside_they_lie() -> None:
    found = sizes_for_across_flats(13.3, 0.2)
    assert [abs(m.outside_mm) for m in found] == sorted(abs(m.outside_mm) for m in found)
    iso = next(m for m in found if m.hexagon.series == "ISO 272")
    assert (iso.hexagon.size, round(iso.outside_mm, 6)) == ("M8", 0.3)
    assert all(abs(m.outside_mm) <= 0.4 for m in found)


@given(st.floats(0.1, 6.0))
def test_the_way_back_from_a_wrench_gives_the_hexagon(across: float) -> None:
    for opening in wrench_opening(across):
        least, largest = across_flats_for_opening(opening)
        assert least - 1e-9 <= across <= largest + 1e-9


@pytest.mark.parametrize("size, u", [(0.0, 0.1), (-3.0, 0.1), (math.nan, 0.1), (10.0, 0.0), (10.0, math.inf)])
def test_an_impossible_size_is_refused(size: float, u: float) -> None:
    with pytest.raises(TableError, match="give a size above 0, like 11.2 mm"):
        sizes_for_across_flats(size, u)


def test_an_impossible_wrench_or_series_is_refused() -> None:
    with pytest.raises(TableError, match="across flats: cannot use 0.0 in"):
        wrench_opening(0.0)
    with pytest.raises(TableError, match="wrench opening: cannot use 0.005 in"):
        across_flats_for_opening(0.005)
    with pytest.raises(TableError, match="no series 'BS 9'; write one of 'BS 1083', "):
        hexagons_of("BS 9")


def test_systems_named_by_the_series_that_exist_are_spelled_as_the_registry_spells_them() -> None:
    named = {symbol for series in HEXAGON_SERIES for symbol in series.systems}
    for symbol in ("BSW", "BSF", "BSC", "BA", "M", "UNC", "UNF", "UNEF"):
        assert symbol in named
        assert system(symbol).symbol == symbol
