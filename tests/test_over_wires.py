"""Wires for one thread: sizes at the limits of each class, and the best of those owned."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import run
from threadwright import judgement
from threadwright.over_wires import (
    check_wire,
    owned_wires,
    pitch_diameter_from_wires,
    read_wire_drawer,
    size_over,
    wire_sheet,
)
from threadwright.reading import Reading
from threadwright.tables.catalogue import candidates, has_side
from threadwright.tables.errors import FileFaultError, ReadingError, TableError
from threadwright.tables.form import Form
from threadwright.tables.registry import find_thread
from threadwright.tables.wire_contact import contact_best_wire

SYMMETRIC = [int(i) for i in np.flatnonzero(np.isfinite(candidates().wire_factor) & has_side("external"))]


@given(st.sampled_from(SYMMETRIC), st.floats(0, 1), st.floats(-0.2, 0))
def test_the_pitch_diameter_comes_back_from_the_size_over_wires(
    index: int, where: float, down: float
) -> None:
    thread = candidates().thread(index)
    least, greatest = wire_sheet(thread).least, wire_sheet(thread).greatest
    wire = least + where * (greatest - least)
    pitch_diameter = (thread.pitch_diameter_basic + down * thread.pitch) * thread.to_mm
    over = size_over(thread, pitch_diameter=pitch_diameter, wire=wire)
    assert pitch_diameter == pytest.approx(pitch_diameter_from_wires(thread, over=over, wire=wire), abs=1e-8)


# E + 3.16568 w - 0.96049 P of BS 84, the slope of the thread added
def test_sizes_over_wires_follow_from_the_limits_of_each_class() -> None:
    thread = find_thread("3/8-20 BSF")
    sheet = wire_sheet(thread, wire=0.75)
    medium = next(one for one in sheet.classes if one.tolerance_class == "medium")
    limits = thread.limits("external", "medium").in_mm()
    assert (limits.pitch_diameter_min, limits.pitch_diameter_max) == medium.pitch_diameter
    expected = limits.pitch_diameter_max + 3.16568 * 0.75 - 0.96049 * 1.27 + sheet.lead_correction
    assert expected == pytest.approx(medium.three_wires[1], abs=1e-4)
    assert medium.three_wires[0] - 1.5 == pytest.approx(medium.two_wires[0])
    assert 0.375 * 25.4 == pytest.approx(2 * medium.one_wire[0] - medium.three_wires[0])
    assert 0.0012 < sheet.lead_correction < 0.0014


# p = 1.27: 0.56369 p; 0.50568 p and 0.85272 p
def test_the_best_wire_and_the_range_of_a_whitworth_thread() -> None:
    sheet = wire_sheet(find_thread("3/8-20 BSF"))
    expected = (0.56369 * 1.27, 0.50568 * 1.27, 0.85272 * 1.27)
    assert expected == pytest.approx((sheet.best, sheet.least, sheet.greatest), abs=1e-5)
    assert sheet.best == sheet.wire


# Hertz contact of best wires on an M10: 3.8 um under 10 N, growing as the force to the power 2/3
def test_the_compression_is_that_of_hertz_contacts() -> None:
    thread = find_thread("M10")
    ten, half = (wire_sheet(thread, wire=0.866, force=force).compression for force in (10.0, 5.0))
    assert 0.0038 == pytest.approx(ten, abs=5e-5)
    assert 2 ** (2 / 3) == pytest.approx(ten / half, rel=1e-6)


def test_of_the_wires_owned_the_one_that_brings_least_doubt_is_first() -> None:
    owned = owned_wires("0.7 mm, 0.75 mm by micrometer, 0.8 mm, 0.85 mm +- 0.001 mm, 0.5 mm, 2 mm, 0.7 mm")
    sheet = wire_sheet(find_thread("M8"), owned=owned)
    assert [0.85, 0.75, 0.7] == [one.wire for one in sheet.owned]
    assert (0.5, 2.0) == sheet.unfit
    assert 0.85 == sheet.wire
    best = sheet.owned[0]
    assert 3 * 0.001 == pytest.approx(best.u_from_wire)
    # dE/d(alpha) = (w cos(alpha) - P/2) / sin(alpha)^2
    slope = (0.85 * math.cos(math.radians(30)) - 0.625) / 0.25
    assert slope * math.radians(judgement.FLANK_ERROR_DEG) == pytest.approx(best.u_from_flank)
    over = (judgement.INSTRUMENT_U_MM["wires"], judgement.WIRE_FLATTENING_U_MM)
    assert math.hypot(*over, best.u_from_wire, best.u_from_flank) == pytest.approx(best.u_pitch_diameter)


@given(st.floats(0.64, 1.25), st.floats(0.64, 1.25), st.floats(0.001, 0.02))
def test_of_two_wires_as_well_known_the_nearer_to_the_best_is_taken(
    one: float, other: float, u: float
) -> None:
    sheet = wire_sheet(find_thread("M8"), owned=[Reading("wire", size, u) for size in (one, other)])
    assert min(abs(one - sheet.best), abs(other - sheet.best)) == pytest.approx(
        abs(sheet.wire - sheet.best), abs=1e-9
    )


def test_a_best_wire_leaves_the_flank_angle_without_weight() -> None:
    best = wire_sheet(find_thread("M8")).best
    assert 0 == pytest.approx(
        wire_sheet(find_thread("M8"), owned=[Reading("wire", best, 0.002)]).owned[0].u_from_flank, abs=1e-12
    )


def test_a_class_without_pitch_diameter_limits_has_no_line() -> None:
    bare = tuple(replace(row, pitch_diameter_min=math.nan) for row in find_thread("M8").all_limits)
    assert () == wire_sheet(replace(find_thread("M8"), all_limits=bare)).classes


def test_a_wire_outside_the_range_is_refused() -> None:
    with pytest.raises(
        ReadingError, match="wire: 0.5 mm does not stand proud of the crests of M8x1.25; use wires"
    ):
        check_wire(find_thread("M8"), 0.5)
    with pytest.raises(ReadingError, match="wire: 2 mm does not reach the flanks of M8x1.25"):
        wire_sheet(find_thread("M8"), wire=2.0)


def test_a_size_that_leaves_no_screw_is_refused() -> None:
    with pytest.raises(ReadingError, match="over wires: 1 mm leaves no M8x1.25 between wires of 0.72 mm"):
        pitch_diameter_from_wires(find_thread("M8"), over=1.0, wire=0.72)


def test_an_asymmetric_form_takes_no_wires() -> None:
    crest = find_thread("M8").form.crest
    saw = Form(name="saw", flank_angle=7.0, flank_angle_clear=45.0, crest=crest, root=crest)
    thread = replace(find_thread("M8"), form=saw)
    with pytest.raises(TableError, match="wires need a symmetric form"):
        wire_sheet(thread)
    with pytest.raises(TableError, match="wires need a symmetric form"):
        size_over(thread, pitch_diameter=7.0, wire=0.7)


def test_wires_lie_on_an_external_thread_only(capsys: pytest.CaptureFixture[str]) -> None:
    assert "wires lie on an external thread only" in run(capsys, "wires", "Rc 1/8").refusal
    assert "Taper thread: sizes are those at the gauge plane" in run(capsys, "wires", "R 1/8").out


# lead 8 mm on 18 mm: 8.05 deg; the handbook's table of steep Acme wires is as much thinner
def test_a_steep_thread_wants_a_thinner_wire_that_touches_at_the_pitch_diameter() -> None:
    two = find_thread("Tr 20x8P4")
    best = wire_sheet(two).best
    assert contact_best_wire(flank_angle=15.0, pitch=4.0, lead=8.0, pitch_diameter=18.0) == best
    assert 0.985 * 0.517638 * 4 < best < 0.995 * 0.517638 * 4
    assert 0.517638 * 4 == pytest.approx(wire_sheet(find_thread("Tr 20x4")).best, abs=1e-5)


def test_every_thread_that_takes_wires_has_a_best_one_inside_its_range() -> None:
    threads = [candidates().thread(index, "external") for index in SYMMETRIC[::17]]
    for thread in (*threads, find_thread("No. 4-36 V")):
        sheet = wire_sheet(thread)
        assert sheet.least <= sheet.best < sheet.greatest, thread.designation


# --- drawer -------------------------------------------------------------------------------------------


def drawer(folder: Path, text: str) -> Path:
    path = folder / "needles.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_drawer_holds_marked_shanks_and_measured_needles_and_wires(tmp_path: Path) -> None:
    text = 'shanks = ["0.7 mm", "0.75 mm by micrometer"]\nneedles = ["0.61 mm"]\nwires = ["0.0284 in"]\n'
    found = read_wire_drawer(drawer(tmp_path, text))
    assert [(0.7, 0.01), (0.75, 0.002), (0.61, 0.002), (0.72136, 0.002)] == [
        (round(wire.value, 5), wire.u) for wire in found
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it holds no wires"),
        ("shanks = []", "it holds no wires"),
        ('drills = ["0.7 mm"]', "no such key 'drills'; it may hold wires, needles, shanks"),
        ('shanks = "0.7 mm"', "shanks must be a list of sizes"),
        ("shanks = [0.7]", "shanks must be a list of sizes"),
        ('shanks = ["0.7"]', "wire: "),
        ("shanks = [", "not a TOML file"),
    ],
)
def test_a_faulty_drawer_is_refused_in_one_line(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = drawer(tmp_path, text)
    with pytest.raises((ReadingError, FileFaultError), match=said):
        read_wire_drawer(path)
    assert said in run(capsys, "wires", "M8", "--drawer", str(path)).refusal


def test_a_missing_drawer_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFaultError, match="cannot read it"):
        read_wire_drawer(tmp_path / "none.toml")


# --- command line -------------------------------------------------------------------------------------


def test_the_command_shows_sizes_at_the_limits(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "wires", "3/8-20", "BSF", "--wire", "0.75 mm")
    assert 0 == ran.status
    lines = ran.out.splitlines()
    assert "Wires for 3/8-20 BSF, Whitworth 55 deg" == lines[0]
    assert "  medium  8.567-8.679     9.723-9.835       8.223-8.335      9.624-9.680" in lines
    assert "Best wire 0.716 mm; any from 0.642 to 1.083" in ran.out
    assert max(map(len, lines)) <= 80


# (w/2) cos 27.5 cot 27.5 L^2 / (pi^2 E (E + w sin 27.5)), w = 0.02818, L = 0.05, E = 0.343 in: 49.8e-6 in
def test_inches_are_shown_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "wires", "3/8-20 BSF", "--unit", "in").out
    assert "Best wire 0.0282 in" in text
    assert "the slope of the thread, 49.8 millionths of an inch" in " ".join(text.split())


def test_owned_wires_and_those_that_do_not_fit_are_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = drawer(tmp_path, 'needles = ["0.72 mm"]')
    text = run(capsys, "wires", "M8", "--owned", "0.5 mm,0.7 mm", "--drawer", str(path)).out
    rows = [line.split() for line in text.splitlines()]
    assert ["0.720", "0.002", "0.006", "0.000", "0.010"] in rows
    assert "Owned, but outside the range: 0.500 mm." in text
    assert "Sizes below are for wires of 0.720 mm" in text


def test_the_json_of_wires_holds_every_size(capsys: pytest.CaptureFixture[str]) -> None:
    plain = json.loads(run(capsys, "wires", "M8", "--owned", "0.7 mm", "--json").out)
    assert (1, "M8x1.25", 0.7) == (plain["schema_version"], plain["thread"], plain["wire"])
    assert ["4h", "6g", "6h", "6e", "8g"] == [one["tolerance_class"] for one in plain["classes"]]
    assert 0.7 == plain["owned"][0]["wire"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "DESIGNATION: not given"),
        (["M8", "--wire", "2 mm"], "wire: 2 mm does not reach the flanks"),
        (["M8", "--wire", "2"], "wire: "),
        (["M8", "--owned", "0,7 mm"], "wire: "),
        (["M8", "--drawer", "/nowhere/at/all.toml"], "cannot read it"),
        (["M99"], "no table holds 'M99'"),
        (["M8", "--wire", "-0.7 mm"], "wire: '-0.7 mm' is negative"),
        (["M8", "--wire", "0,7 mm"], "wire: cannot read '0,7 mm'"),
        (["M8", "--wire", "nan mm"], "wire: cannot read 'nan mm'"),
        (["M8", "--owned", ""], "wire: cannot read ''"),
        (["M8", "--owned", "0.7 mm,,0.8 mm"], "wire: cannot read ''"),
        (["M8", "--owned", "0.6..0.7 mm"], "wire: '0.6..0.7 mm' is an interval"),
        (["M8", "--owned", "0.7 mm by guess"], "wire: "),
        (["M8", "--drawer", "."], "cannot read it"),
        (["M8", "--unit", "ell"], "--unit: cannot be 'ell'; write mm or in"),
        (["M8", "--wire"], "--wire: no value given; write --wire LENGTH"),
        (["2-8 BUTT"], "wires need a symmetric form"),
        (["Rc 1/8"], "wires lie on an external thread only"),
    ],
)
def test_a_faulty_question_is_refused_in_one_line(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    refusal = run(capsys, "wires", *words).refusal
    assert said in refusal or said in refusal.lower()


@pytest.mark.parametrize(
    "words", [("3/8-20 BSF", "--unit", "in"), ("Tr 20x8P4",), ("1-5 ACME", "--unit", "in")]
)
def test_every_line_fits_80_columns(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "wires", *words, "--owned", "0.7 mm, 0.72 mm by micrometer, 2.1 mm, 2.6 mm, 9 mm")
    assert 0 == ran.status
    assert [] == [line for line in ran.out.splitlines() if len(line) > 80]
