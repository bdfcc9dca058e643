"""The card of one thread: every block against print, and laws over all series."""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import replace

import pytest

from command_line import run
from published_facts import fact_rows
from threadwright.card import Card, thread_card
from threadwright.card_facts import card_dict, card_records, facts
from threadwright.repair.strength import screw_stress_area
from threadwright.tables.catalogue import every_thread
from threadwright.tables.registry import SYSTEMS, find_thread, series
from threadwright.tables.thread import Thread
from threadwright.tables.wires import wire_constants

SQUARE_INCH = 25.4**2
BLOCKS = ("tapping drills", "clearance holes", "wires", "hexagons", "stress area")


def two_of_each_series() -> list[Thread]:
    """The first and the middle size of every series."""
    tables = [series(entry.symbol) for entry in SYSTEMS]
    return [table.thread(row) for table in tables for row in sorted({0, len(table) // 2})]


SAMPLE = two_of_each_series()


def held(card: Card, block: str) -> bool:
    return bool(
        {
            "tapping drills": card.bores,
            "clearance holes": card.clearance,
            "wires": card.wires,
            "hexagons": card.hexagons,
            "stress area": card.stress_areas,
        }[block]
    )


def test_each_block_of_a_card_is_there_or_the_card_says_why_it_is_not() -> None:
    for thread in SAMPLE:
        card = thread_card(thread)
        both = [
            (thread.designation, block) for block in BLOCKS if held(card, block) == (block in card.unknown)
        ]
        assert [] == both
        assert set(thread.sides) == set(card.look_alikes)
        assert all(why and why[0].islower() and not why.endswith(".") for why in card.unknown.values())


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_card_of_every_series_is_readable_at_eighty_columns(
    unit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    names = [thread.designation for thread in SAMPLE]
    ran = run(capsys, "table", *names, "--unit", unit)
    assert (0, "") == (ran.status, ran.err)
    lines = ran.out.splitlines()
    assert [] == [line for line in lines if len(line) > 80]
    assert [] == [line for line in lines if "nan" in line.split() or "inf" in line.split()]
    assert len(names) == sum(line.startswith("In use: ") for line in lines)
    assert len(names) == sum(line.startswith("Mistaken for") for line in lines)


def test_the_facts_of_a_card_are_the_same_in_csv_and_json_and_hold_no_number_that_is_none() -> None:
    for thread in SAMPLE[::3]:
        card = thread_card(thread)
        rows = list(card_records(card, "mm"))
        plain = json.loads(json.dumps(card_dict(card, "mm"), allow_nan=False))
        found = [
            value
            for block, entries in plain.items()
            if block != "unit"
            for entry in entries
            for name, value in entry.items()
            if name not in ("item", "side", "tolerance_class", "basis")
        ]
        assert len(rows) == len(found) == len(list(facts(card)))
        assert all(row.value for row in rows)


def test_the_stress_area_lies_between_core_and_pitch_line_for_every_fastening_thread() -> None:
    counted = 0
    for thread in every_thread():
        if "external" not in thread.sides or thread.form.flank_angle < 20:
            continue
        mean = math.sqrt(screw_stress_area(thread) * 4 / math.pi)
        pitch_line = thread.pitch_diameter_basic * thread.to_mm
        sharp_root = pitch_line - thread.form.height * thread.pitch_mm
        assert sharp_root < mean < pitch_line, thread.designation
        counted += 1
    assert counted > 2000


def area(name: str, tolerance_class: str = "") -> float:
    found = {one.tolerance_class: one.area for one in thread_card(find_thread(name)).stress_areas}
    return found[tolerance_class]


@pytest.mark.parametrize(
    "name, printed, half_digit",
    [  # ISO 898-1, mm2
        ("M5", 14.2, 0.05),
        ("M8", 36.6, 0.05),
        ("M20", 245.0, 0.5),
    ],
)
def test_metric_stress_areas_are_those_of_iso_898(name: str, printed: float, half_digit: float) -> None:
    assert area(name) == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    "name, d, tpi", [("1/4-26 BSF", 0.25, 26), ("3/8-20 BSF", 0.375, 20), ("1/2-16 BSF", 0.5, 16)]
)
def test_whitworth_stress_areas_are_on_the_mean_of_effective_and_core(name: str, d: float, tpi: int) -> None:
    assert area(name) / SQUARE_INCH == pytest.approx(math.pi / 4 * (d - 0.960491 / tpi) ** 2, abs=0.0001)


@pytest.mark.parametrize(
    "name, tolerance_class, printed, half_digit",
    [  # ASME B1.5, worked out there from limits before rounding: one more unit for the first
        ("1/2-10 ACME", "3G", 0.1287, 0.00015),
        ("1-5 ACME", "3G", 0.5354, 0.00005),
    ],
)
def test_acme_stress_areas_are_at_the_least_sizes_of_a_class(
    name: str, tolerance_class: str, printed: float, half_digit: float
) -> None:
    assert area(name, tolerance_class) / SQUARE_INCH == pytest.approx(printed, abs=half_digit)


def test_a_sharp_v_is_cut_deeper_than_an_american_national_thread_and_so_is_weaker() -> None:
    """Root of the sharp V: D - 1.732051 p (Rose, Mechanical Drawing Self-Taught)."""
    mean = 0.5 - (0.866025 + 1.732051) / 2 / 12
    assert area("1/2-12 V") / SQUARE_INCH == pytest.approx(math.pi / 4 * mean**2, rel=1e-3)
    assert area("1/2-13 NC") > area("1/2-12 V")


def test_an_unmarked_screw_breaks_at_area_times_the_low_end_of_its_strength() -> None:
    card = thread_card(find_thread("3/8-20 BSF"))
    assert card.breaking is not None
    assert card.breaking.load_kN == pytest.approx(0.0840 * 26 * 9.96402, rel=1e-3)  # 26 tonf/in2 of 2240 lbf
    assert "26 tonf/in2 from memory" == card.breaking.strength
    assert thread_card(find_thread("Tr 20x4")).breaking is None


@pytest.mark.parametrize(
    "name, best", [("M8", 0.57735), ("3/8-20 BSF", 0.56369), ("2 BA", 0.54626), ("1/2-10 ACME", 0.51645)]
)
def test_best_wires_are_the_printed_share_of_the_pitch(name: str, best: float) -> None:
    thread = find_thread(name)
    sheet = thread_card(thread).wires
    assert sheet is not None
    assert sheet.best / thread.pitch_mm == pytest.approx(best, abs=0.000005)


@pytest.mark.parametrize("name", ["M8", "3/8-20 BSF", "3/8-16 UNC", "2 BA"])
def test_sizes_over_wires_stand_at_both_limits_of_each_class(name: str) -> None:
    thread = find_thread(name)
    sheet = thread_card(thread).wires
    assert sheet is not None
    constants = wire_constants(thread.form)
    assert thread.classes("external") == tuple(one.tolerance_class for one in sheet.classes)
    for one in sheet.classes:
        limits = thread.limits("external", one.tolerance_class).in_mm()
        for over, effective in zip(
            one.three_wires, (limits.pitch_diameter_min, limits.pitch_diameter_max), strict=True
        ):
            plain = (
                effective + constants.diameter_factor * sheet.best - constants.pitch_factor * thread.pitch_mm
            )
            assert 0 < over - plain < 0.005  # the slope of the thread


def test_the_hexagons_of_the_card_are_those_in_print() -> None:
    printed = {
        (row.case, row.quantity): float(row.value) for row in fact_rows("hexagons") if row.topic == "BS 1083"
    }
    compared = 0
    for row, name in enumerate(series("BSF").designations):
        size = name.rpartition("-")[0]
        if (size, "across_flats_min") not in printed:
            continue
        hexagons = thread_card(series("BSF").thread(row)).hexagons
        hexagon = next(one for one in hexagons if one.series == "BS 1083")
        both = (printed[size, "across_flats_max"], printed[size, "across_flats_min"])
        assert both == (hexagon.across_flats_max, hexagon.across_flats_min)
        compared += 1
    assert compared >= 10


def test_tapping_drills_stand_under_the_engagement_that_they_come_nearest_to() -> None:
    card = thread_card(find_thread("M8"))
    assert [0.9, 0.8, 0.7] == [bore.share for bore in card.bores]
    assert "6.8 mm" == card.bores[0].drills[0].drill.name  # the usual drill of the trade
    names = [one.drill.name for bore in card.bores for one in bore.drills]
    assert len(names) == len(set(names))
    for bore in card.bores:
        for one in bore.drills:
            miss = [abs(one.engagement.basic - other.share) for other in card.bores]
            assert min(miss) == abs(one.engagement.basic - bore.share)


def test_no_drill_smaller_than_the_basic_minor_diameter_is_offered() -> None:
    for thread in SAMPLE:
        drills = [one for bore in thread_card(thread).bores for one in bore.drills]
        assert all(one.engagement.basic <= 1.005 for one in drills), thread.designation


def test_figures_are_written_so_that_they_can_be_read(capsys: pytest.CaptureFixture[str]) -> None:
    assert "flank angle 26.56505 deg" in run(capsys, "table", "LOEW 8x1.2").out
    assert "breaks at 27300 kN" in " ".join(run(capsys, "table", "M300x6").out.split())
    assert "0.1151 mm2" in run(capsys, "table", "S 0.5x0.125").out


def test_a_power_thread_is_bored_to_its_basic_minor_diameter_or_little_more() -> None:
    card = thread_card(find_thread("Tr 20x4"))
    assert [(1.0, pytest.approx(16.0)), (0.9, pytest.approx(16.4))] == [
        (bore.share, bore.hole) for bore in card.bores
    ]
    assert "power screw" in card.unknown["clearance holes"]


def test_the_same_metal_under_other_names_stands_on_the_card() -> None:
    assert ("3/8-16 UNJ", "3/8-16 NC", "3/8-16 USS") == thread_card(find_thread("3/8-16 UNC")).also
    assert () == thread_card(find_thread("3/8-20 BSF")).also
    assert () == thread_card(find_thread("Tr 20x8 P4")).also  # no series lists it


@pytest.mark.parametrize(
    "name, block, said",
    [
        ("R 1/2", "tapping drills", "its hole is Rc 1/2 (taper) or Rp 1/2 (parallel)"),
        ("R 3 1/2", "along the axis", "the lengths of this size are not known"),
        ("Rc 1/2", "stress area", "internal only"),
        ("Rc 1/2", "clearance holes", "internal only"),
        ("G 1/2", "stress area", "tubes and other hollow parts"),
        ("M2x0.4 SI", "hexagons", "no table of hexagons"),
        ("S 105x4", "wires", "the flanks differ"),
        ("S 105x4", "stress area", "root diameter of this screw is not known"),
        ("E27", "wires", "two arcs"),
        ("E27", "tapping drills", "rolled in sheet"),
        ("M300x6", "clearance holes", "ISO 273 does not go so far"),
        ("2-4.5 USS", "limits", "basic sizes are all that is known"),
    ],
)
def test_a_block_that_cannot_be_worked_out_says_why_in_one_line(name: str, block: str, said: str) -> None:
    thread = find_thread(name) if name != "M2x0.4 SI" else series("SI").thread(0)
    assert said in thread_card(thread).unknown[block]


def test_a_hole_is_widest_at_its_mouth_and_a_screw_has_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert "a hole is widest at its mouth" in run(capsys, "table", "Rc 1/2").out
    assert "a hole is widest" not in run(capsys, "table", "R 1/2").out


def test_a_thread_too_steep_for_its_wires_says_so() -> None:
    """Forty starts of a small trapezoidal screw: the helix is steeper than any wire can lie on."""
    steep = replace(find_thread("Tr 10x2"), starts=40)
    assert "so steep" in thread_card(steep).unknown["wires"]


CARD_WORDS = (
    "Form: ",
    "Limits in ",
    "Source: ",
    "Tapping drills",
    "Clearance holes",
    "Wires: best",
    "Hexagon across flats",
    "Stress area",
    "In use: ",
    "Mistaken for",
)


def test_the_card_of_a_thread_has_its_blocks_in_order(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "3/8-20 BSF").out
    places = [text.index(f"\n{word}") for word in CARD_WORDS]
    assert sorted(places) == places
    for said in (
        "letter P* 81 %",
        "0.5920-0.6000  3/8 BS = 5/16 W",
        "0.0840 in2",
        "3/8-16 BSW",
        "Mixed: computed and from memory;",
        'table --around "0.375 in"',
    ):
        assert said in text
    assert "17/64 in* 93 % (77)" in run(capsys, "table", "M8").out


def test_printed_charts_stand_in_brackets_only_where_they_mean_another_depth(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "most printed charts" in run(capsys, "table", "1/4-20 UNC").out
    for name in ("1/2-13 NC", "1/2 NPT", "3/8 BSF", "Rd 72x1/6"):
        assert "most printed charts" not in run(capsys, "table", name).out


def test_a_taper_thread_is_shown_along_its_axis(capsys: pytest.CaptureFixture[str]) -> None:
    """ASME B1.20.1: E0 0.75843, E1 0.77843, E2 0.79179 in for 1/2 NPT, L1 0.320, L2 0.5337 in."""
    rows = [line.split() for line in run(capsys, "table", "1/2 NPT").out.splitlines()]
    assert ["small", "end", "0.0000", "0.8156", "0.7584", "0.7013"] in rows
    assert ["gauge", "plane,", "hand-tight", "0.3200", "0.8356", "0.7784", "0.7213"] in rows
    assert ["end", "of", "useful", "thread", "0.5337", "0.8489", "0.7918", "0.7346"] in rows
    said = run(capsys, "table", "R 3 1/2").out
    assert "Along the axis: the lengths of this size are not known" in said


def test_a_class_in_the_name_narrows_the_wires_to_it(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "M8x1.25-6g").out
    assert [["basic", "8.272", "6.829"], ["6g", "8.126-8.244", "6.683-6.801"]] == [
        line.split() for line in text.splitlines() if line.startswith(("  basic", "  6g "))
    ]
    assert [("3G", pytest.approx(83.1, abs=0.1))] == [
        (one.tolerance_class, one.area) for one in thread_card(find_thread("1/2-10 ACME"), "3G").stress_areas
    ]


def test_a_left_hand_thread_is_not_mistaken_for_right_hand_ones(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(run(capsys, "table", "M8 LH").out.split())
    assert "flank angle 30 deg, left hand" in text
    assert "Mistaken for: no thread of the tables starts by hand here" in text


def test_the_card_is_in_csv_and_json_too(capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.DictReader(io.StringIO(run(capsys, "table", "M8", "--csv", "--unit", "in").out)))
    found = {(row["tolerance_class"], row["quantity"]): row for row in rows}
    row = found["", "stress area:area"]
    assert ("0.05674251", "in2", "computed") == (row["value"], row["unit"], row["basis"])
    assert "0.26771654" == found["", "tapping drill:6.8 mm:diameter"]["value"]
    assert "yes" == found["", "tapping drill:6.8 mm:within_limits"]["value"]
    assert "0.31992817" == found["6g", "wires:over_three_min"]["value"]
    (thread,) = json.loads(run(capsys, "table", "M8", "--json").out)["threads"]
    card = thread["card"]
    assert "mm" == card["unit"]
    wires = next(one for one in card["wires"] if one["tolerance_class"] == "6g")
    assert (8.126176, "computed") == (wires["over_three_min"], wires["basis"]["over_three_min"])
    assert 13.0 == next(one for one in card["hexagon"] if one["item"] == "ISO 272")["across_flats_max"]
    assert {"external", "internal"} == {one["side"] for one in card["look_alike"]}


def test_whole_series_are_exported_without_cards(capsys: pytest.CaptureFixture[str]) -> None:
    threads = json.loads(run(capsys, "table", "BA", "--json").out)["threads"]
    assert 26 == len(threads)
    assert not any("card" in thread for thread in threads)


def test_a_name_that_four_pipe_threads_share_is_answered_by_a_question(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said = run(capsys, "table", "1/4 BSP").refusal
    for name in ("'G 1/4'", "'R 1/4'", "'Rc 1/4'", "'Rp 1/4'"):
        assert name in said


def test_a_thread_shows_itself_in_a_notebook_as_a_plain_table() -> None:
    html = find_thread("3/8-20 BSF")._repr_html_()
    assert html.startswith("<table><caption>3/8-20 BSF, British Standard Fine: pitch 0.05 in (20 tpi)")
    assert "<td>external</td><td>medium</td><td>0.3671-0.3737</td>" in html
    assert "<td>from 0.375</td>" in html
    assert "style" not in html
    assert ", 2 starts, left hand" in find_thread("Tr 20x8 P4 LH")._repr_html_()
    assert "<td>to 0.84003</td>" in find_thread("1/2 NPT")._repr_html_()
