"""Tapping drills, clearance holes, die blanks and the holes of wire thread inserts against print and law."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from published_facts import Answer, fact_rows, faults, rule_value
from published_values import FormulaRow
from threadwright.tables.drill_sizes import DRILL_KINDS, drills
from threadwright.tables.drills import (
    clearance_holes,
    die_blank,
    engagement_of_hole,
    tapping_drills,
    tapping_hole,
)
from threadwright.tables.errors import TableError
from threadwright.tables.form import Form
from threadwright.tables.inserts import INSERT_LENGTHS, insert_depths, insert_hole
from threadwright.tables.numbers import round_half_up
from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import Thread

ROWS = fact_rows("drills")
INSERT_ROWS = fact_rows("inserts")
COMPARED = ("chart_percent", "die_blank")
TAP_STEP = "0.0005"
"""Step of the H limits of ground taps. [in]"""
usual = st.sampled_from(
    [
        find_thread(name)
        for name in (
            "M3",
            "M8",
            "M10x1",
            "1/4-20 UNC",
            "3/8-24 UNF",
            "3/8-20 BSF",
            "1/2-12 BSW",
            "2 BA",
            "G 1/4",
        )
    ]
)


def held(row: FormulaRow) -> Answer:
    thread = find_thread(row.given["thread"])
    if row.topic == "die_blank":
        return round(die_blank(thread), 6), "mm"
    chart = engagement_of_hole(thread, float(row.given["drill"]) * 25.4).chart
    assert chart is not None
    return chart * 100, row.unit


def test_every_published_percentage_and_blank_agrees_to_half_its_last_digit() -> None:
    rows = [row for row in ROWS if row.topic in COMPARED]
    assert len(rows) == 14
    assert [] == faults(rows, held)


def test_every_topic_is_compared() -> None:
    assert {row.topic for row in ROWS} == {*COMPARED, "hole", "bs_1157", "bs_1157_range"}
    assert all(row.gates for row in (*ROWS, *INSERT_ROWS))


def test_the_printed_hole_rules_are_the_two_bases_of_the_percentage() -> None:
    rules = {row.given["form"]: row.value for row in ROWS if row.topic == "hole"}
    for designation in ("1/4-20 UNC", "3/8-16 UNC", "1-8 UNC"):
        thread = find_thread(designation)
        for share in (Fraction(1, 2), Fraction(3, 4), Fraction(1)):
            names = {"D": Fraction(thread.nominal_major), "P": 1 / thread.tpi, "X": share}
            hole = float(rule_value(rules["UN"], **names)) * 25.4
            assert tapping_hole(thread, float(share)) == pytest.approx(hole, abs=1e-4)
            charted = engagement_of_hole(
                thread, float(rule_value(rules["American National"], **names)) * 25.4
            )
            assert charted.chart == pytest.approx(float(share), abs=1e-5)


def test_the_drill_of_bs_1157_gives_an_engagement_in_the_printed_range() -> None:
    (drill,) = (row for row in ROWS if row.topic == "bs_1157")
    (band,) = (row for row in ROWS if row.topic == "bs_1157_range")
    least, most = (float(end) / 100 for end in band.value.split("-"))
    thread = find_thread(drill.given["thread"])
    assert least <= engagement_of_hole(thread, float(drill.number)).basic <= most
    assert drill.number in {Fraction(str(round(d.diameter, 3))) for d in drills("metric")}


def test_the_number_7_drill_in_a_quarter_inch_coarse_hole_shows_both_bases() -> None:
    thread = find_thread("1/4-20 UNC")
    found = engagement_of_hole(thread, 0.201 * 25.4)
    assert (round(found.basic * 100, 1), round(found.chart * 100, 1)) == (90.5, 75.4)
    assert found.basis == "of the basic depth, 0.5413 P; of 0.6495 P on most printed charts"
    whitworth = engagement_of_hole(find_thread("1/4-20 BSW"), 5.1)
    assert whitworth.chart is None
    assert whitworth.basis == "of the basic depth, 0.6403 P"


@pytest.mark.parametrize(
    "designation, names",
    [
        ("M8", ["6.9 mm", "letter I", "17/64 in"]),
        ("1/4-20 UNC", ["5.25 mm", "No. 5", "13/64 in"]),
    ],
)
def test_the_nearest_drill_of_each_kind(designation: str, names: list[str]) -> None:
    found = tapping_drills(find_thread(designation))
    assert set(names) <= {item.drill.name for item in found}


def test_a_kind_that_is_not_in_the_drawer_is_not_offered() -> None:
    thread = find_thread("1/4-20 UNC")
    assert ["metric"] == [item.drill.kind for item in tapping_drills(thread, kinds=("metric",))]
    assert () == tapping_drills(find_thread("M100x6"))


@given(usual, st.floats(0.5, 1.0))
def test_the_drills_offered_come_nearest_first_and_near_what_was_asked(thread: Thread, share: float) -> None:
    hole = tapping_hole(thread, share)
    found = tapping_drills(thread, share)
    distances = [abs(item.drill.diameter - hole) for item in found]
    assert distances == sorted(distances)
    for item in found:
        assert abs(item.engagement.basic - share) <= 0.15
        others = (abs(drill.diameter - hole) for drill in drills(item.drill.kind))
        assert abs(item.drill.diameter - hole) == min(others)


@given(usual, st.floats(0.05, 1.0))
def test_hole_and_engagement_lead_back_to_each_other(thread: Thread, share: float) -> None:
    assert engagement_of_hole(thread, tapping_hole(thread, share)).basic == pytest.approx(share)


def test_full_engagement_is_the_basic_minor_diameter() -> None:
    for symbol in ("M", "UNC", "BSF", "BA"):
        for row in range(len(series(symbol))):
            thread = series(symbol).thread(row)
            rounding = 0.006 if symbol == "BA" else 0.003  # the standards round the minor diameter
            assert tapping_hole(thread, 1.0) == pytest.approx(thread.minor_basic * thread.to_mm, abs=rounding)


def test_a_hole_is_judged_by_the_minor_limits_of_the_usual_class() -> None:
    found = {item.drill.name: item.within_limits for item in tapping_drills(find_thread("M8"), 0.9)}
    assert found["6.8 mm"] is True
    tight = tapping_drills(find_thread("M8"), 1.0, kinds=("metric",))[0]
    assert (tight.drill.name, tight.within_limits) == ("6.6 mm", False)


def test_a_thread_without_internal_limits_gets_no_verdict() -> None:
    thread = find_thread("M8")
    bare = replace(thread, all_limits=())
    assert {None} == {item.within_limits for item in tapping_drills(bare)}
    blank = replace(thread.limits("internal"), minor_max=math.nan)
    assert {None} == {item.within_limits for item in tapping_drills(replace(thread, all_limits=(blank,)))}


@pytest.mark.parametrize(
    "designation, usual_drill",  # drills for taper taps without a reamer, from memory
    [("1/8-27 NPT", 8.61), ("1/4-18 NPT", 11.11), ("1/2-14 NPT", 18.26), ("Rc 1/2", 18.6)],
)
def test_a_taper_thread_is_drilled_for_its_small_end(designation: str, usual_drill: float) -> None:
    thread = find_thread(designation)
    found = engagement_of_hole(thread, usual_drill)
    assert 0.75 < found.basic < 1.0
    assert "at the small end" in found.basis
    assert {None} == {item.within_limits for item in tapping_drills(thread)}


def test_nothing_is_drilled_for_a_thread_that_knows_one_side_only() -> None:
    assert () == tapping_drills(find_thread("R 1/2"))
    assert () == clearance_holes(find_thread("Rc 1/2"))


def test_drills_of_a_kind_rise_and_none_stands_twice() -> None:
    for kind in DRILL_KINDS:
        sizes = [drill.diameter for drill in drills(kind)]
        assert sizes == sorted(set(sizes))
        names = [drill.name for drill in drills(kind)]
        assert len(names) == len(set(names))
    assert (80, 26) == (len(drills("number")), len(drills("letter")))
    assert drills("number")[-1].diameter < drills("letter")[0].diameter


def test_known_drills() -> None:
    sizes = {drill.name: drill.diameter for kind in DRILL_KINDS for drill in drills(kind)}
    assert sizes["No. 10"] == round(0.1935 * 25.4, 6)  # screw gauge against drill gauge: No. 10 is 0.190
    assert sizes["No. 7"] == round(0.201 * 25.4, 6)
    assert sizes["letter E"] == sizes["1/4 in"] == 6.35
    assert sizes["8.5 mm"] == 8.5


@pytest.mark.parametrize("share", [0.0, -0.5, 1.01, math.nan])
def test_an_impossible_engagement_is_refused(share: float) -> None:
    with pytest.raises(TableError, match="engagement: cannot use .*; give a share above 0 and up to 1"):
        tapping_hole(find_thread("M8"), share)


def test_an_impossible_hole_is_refused() -> None:
    with pytest.raises(TableError, match="hole: cannot use 0 mm"):
        engagement_of_hole(find_thread("M8"), 0)


def test_a_die_blank_is_a_little_below_the_bolt_and_inside_its_limits() -> None:
    for designation in ("M5", "M8", "M12", "M24"):
        thread = find_thread(designation)
        limits = thread.limits("external")
        assert limits.major_min < die_blank(thread) < limits.major_max


def test_clearance_holes_of_iso_273() -> None:
    found = clearance_holes(find_thread("M10x1.5"))
    assert [(hole.fit, hole.diameter, hole.basis) for hole in found] == [
        ("fine", 10.5, "from memory"),
        ("medium", 11.0, "from memory"),
        ("coarse", 12.0, "from memory"),
    ]
    near = clearance_holes(find_thread("M9"))
    assert {hole.basis for hole in near} == {"estimated"}
    assert "ISO 273 for " in near[0].source


def test_every_clearance_hole_passes_its_screw_and_coarse_ones_are_larger() -> None:
    for symbol in ("M", "UNC", "UNF", "BSW", "BA"):
        for row in range(len(series(symbol))):
            thread = series(symbol).thread(row)
            sizes = [hole.diameter for hole in clearance_holes(thread)]
            assert sizes == sorted(set(sizes))
            assert bool(sizes) == (thread.nominal_major_mm <= 100 or thread.unit == "in")
            assert [] == [size for size in sizes if size <= thread.nominal_major_mm]


def test_inch_clearances_are_common_practice() -> None:
    found = clearance_holes(find_thread("1/2-12 BSW"))
    assert [hole.diameter / 25.4 for hole in found] == pytest.approx([17 / 32, 9 / 16, 5 / 8])
    assert {hole.source for hole in found} == {"common practice, no source"}


def _screw(text: str) -> Thread:
    """The thread of an insert row; the Unified rows leave out the series."""
    for name in (text, f"{text} UNC", f"{text} UNF"):
        for symbol in ("M", "UNC", "UNF"):
            if name in series(symbol).designations:
                return find_thread(name)
    return find_thread(text)


def insert_held(row: FormulaRow) -> Answer:
    """What the tables hold for a row; taps stand whole steps of their gauge above the basic diameter.

    The Unified table was worked out from four-place parts: the major diameter of the hole less 0.6495 P.
    """
    thread = _screw(row.given["thread"])
    if row.topic == "depth":
        full, drilled = insert_depths(thread, float(row.given["length"]))
        return (drilled, "mm") if row.quantity == "drilled" else (round(full / 25.4, 6), "in")
    hole = insert_hole(thread)
    if "H" in row.given:
        parts = round_half_up(Fraction(hole.major), 4) - round_half_up(
            Fraction(hole.major - hole.pitch_diameter), 4
        )
        return parts + (int(row.given["H"]) - 1) * Fraction(TAP_STEP), "in"
    basic = hole.pitch_diameter / 25.4
    steps = round((float(row.number) - basic) / float(TAP_STEP))
    assert 0 <= steps <= 3  # limits H1 to H3, and the upper end of H3
    return basic + steps * float(TAP_STEP), "in"


def test_every_published_tap_and_depth_of_an_insert_hole_agrees() -> None:
    rows = [row for row in INSERT_ROWS if row.topic in ("depth", "tap_pitch_diameter")]
    assert [] == faults(rows, insert_held)


def test_the_taps_for_inserts_are_larger_than_the_basic_hole() -> None:
    rows = [row for row in INSERT_ROWS if row.topic == "tap_major_diameter"]
    assert rows
    for row in rows:
        thread = _screw(row.given["thread"])
        above = float(row.number) - insert_hole(thread).major * thread.to_mm / 25.4
        assert 0.0010 < above < 0.0080, row.name


def test_the_holes_for_forming_taps_fit_between_the_minor_and_the_pitch_diameter() -> None:
    for row in INSERT_ROWS:
        if row.topic in ("forming_tap_minor", "forming_tap_hole"):
            hole = insert_hole(find_thread(row.given["thread"]))
            assert hole.minor < float(row.number) < hole.major, row.name
        if row.topic == "forming_tap_minor":
            assert float(row.number) < hole.pitch_diameter, row.name


def test_the_printed_truncation_of_the_insert_hole_holds() -> None:
    (row,) = (row for row in INSERT_ROWS if row.topic == "hole_rule")
    for name in ("M3", "M10x1.5", "1/4-20 UNC"):
        thread = find_thread(name)
        hole = insert_hole(thread)
        found = (hole.major - hole.pitch_diameter) / thread.pitch
        assert abs(Fraction(f"{found:.9f}") - row.number) <= row.tolerance


def test_every_insert_row_is_compared() -> None:
    assert {row.topic for row in INSERT_ROWS} == {
        "depth",
        "tap_pitch_diameter",
        "tap_major_diameter",
        "forming_tap_minor",
        "forming_tap_hole",
        "hole_rule",
    }


def test_insert_holes_of_forms_outside_the_standards_are_estimates() -> None:
    assert insert_hole(find_thread("M8")).basis == "computed"
    assert insert_hole(find_thread("1/4-20 BSW")).basis == "estimated"
    lopsided = Form(name="lopsided", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(3, 5))
    with pytest.raises(TableError, match="M8x1.25: wire thread inserts need a symmetric form"):
        insert_hole(replace(find_thread("M8"), form=lopsided))
    assert INSERT_LENGTHS == (1.0, 1.5, 2.0, 2.5, 3.0)


def test_a_bottoming_tap_needs_a_shallower_hole_and_a_large_screw_no_room_for_a_point() -> None:
    small, large = find_thread("M8"), find_thread("M12")
    assert insert_depths(small, 12.0, bottoming=True) == (13.25, 17.0)
    assert insert_depths(large, 18.0) == (19.75, 28.5)
    with pytest.raises(TableError, match="insert length: cannot use 0 mm"):
        insert_depths(small, 0)


@pytest.mark.parametrize(
    "name, major, pitch, minor",
    [
        ("M6", 7.299, 6.650, 6.217),
        ("M8", 9.624, 8.812, 8.271),
        ("M10", 11.949, 10.974, 10.325),
        ("1/4-20 UNC", 0.3150, 0.2825, 0.2608),
    ],
)
def test_the_hole_of_a_wire_insert(name: str, major: float, pitch: float, minor: float) -> None:
    hole = insert_hole(find_thread(name))
    allowed = 0.0005 if name.startswith("M") else 0.00005
    for expected, value in zip((major, pitch, minor), hole[:3], strict=True):
        assert abs(expected - value) <= allowed + 1e-9
    assert "computed" == hole.basis


@pytest.mark.parametrize(
    "name, pitch_in, number",
    [  # least of the tap, basic and (H - 1) half thousandths: Machinery's Handbook, 31st ed.
        ("No. 4-40 UNC", 0.1283, 1), ("No. 6-32 UNC", 0.1588, 2), ("No. 10-32 UNF", 0.2108, 2),
        ("1/4-20 UNC", 0.2830, 2), ("5/16-18 UNC", 0.3496, 3), ("3/8-16 UNC", 0.4166, 3),
        ("1/2-13 UNC", 0.5509, 3), ("M3", 0.1309, 1), ("M5", 0.2179, 2), ("M6", 0.2624, 2),
        ("M8", 0.3475, 2), ("M10", 0.4331, 3),
    ],
)  # fmt: skip
def test_the_pitch_diameters_of_insert_taps(name: str, pitch_in: float, number: int) -> None:
    thread = find_thread(name)
    basic = insert_hole(thread).pitch_diameter * thread.to_mm / 25.4
    assert abs(pitch_in - (basic + 0.0005 * (number - 1))) <= 0.00016


def test_wire_for_a_rounded_form_is_built_on_its_own_height() -> None:
    hole = insert_hole(find_thread("3/8-20 BSF"))
    assert hole.major == pytest.approx(0.375 + 1.5 * 0.960491 * 0.05, abs=1e-6)
    assert (1.0, 3.0) == (INSERT_LENGTHS[0], INSERT_LENGTHS[-1])


def test_the_printed_example_of_a_drilling_depth_is_23_5_mm() -> None:
    assert (13.25, 23.5) == insert_depths(find_thread("M8"), 12.0)
    assert 10.0 + 6 * 1.5 == insert_depths(find_thread("M10"), 10.0)[1]


def test_the_printed_example_of_a_thread_depth_is_0_43_in() -> None:
    """ASME B18.29.1-2010, 2.1.1: 1/4-20 UNC-2B STI; an insert of 1 1/2 diameters and one pitch, 0.425 in."""
    full, _ = insert_depths(find_thread("1/4-20 UNC"), 1.5 * 6.35)
    assert full / 25.4 == pytest.approx(0.43, abs=0.005 + 1e-9)
