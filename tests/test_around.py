"""Threads near a size: ``threadwright table --around``."""

from __future__ import annotations

import csv
import io
import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import run
from threadwright.tables.around import around, nearest
from threadwright.tables.catalogue import candidates, every_thread
from threadwright.tables.errors import TableError


def names_of(size: float, within: float) -> list[str]:
    return [name for near in around(size, within=within) for name, _, _ in near.names]


@given(st.floats(0.3, 120.0), st.floats(0.0, 3.0))
def test_every_thread_within_reach_is_listed_once_and_no_other(size: float, within: float) -> None:
    found = around(size, within=within)
    majors = [near.thread.major_basic * near.thread.to_mm for near in found]
    inside = np.abs(candidates().major - size) <= within + 1e-9
    assert int(inside.sum()) == len(found)
    assert all(abs(major - size) <= within + 0.001 for major in majors)  # names of one metal are 0.5 um apart
    assert sorted(np.round(majors, 3)) == list(np.round(majors, 3))


def test_all_names_of_a_size_are_found_by_reading_the_tables_one_by_one() -> None:
    one_by_one = [
        thread.designation
        for thread in every_thread()
        if abs(thread.major_basic * thread.to_mm - 9.525) < 0.002
    ]
    assert len(one_by_one) > 20
    assert sorted(one_by_one) == sorted(names_of(9.525, 0.002))


def test_of_one_diameter_the_coarsest_pitch_comes_first() -> None:
    pitches = [near.thread.pitch_mm for near in around(8.0, within=0.0)]
    assert sorted(pitches, reverse=True) == pitches
    assert len(pitches) > 5


def test_the_nearest_thread_is_the_nearest() -> None:
    assert ("25 BA", "M8x1.25") == (nearest(0.01).thread.designation, "M8x1.25")
    assert 0.0 == min(abs(nearest(8.0).off), abs(nearest(9.525).off))


@pytest.mark.parametrize("size, within", [(0.0, 1.0), (-3.0, 1.0), (float("nan"), 1.0), (8.0, -0.1)])
def test_a_size_that_is_none_is_refused(size: float, within: float) -> None:
    with pytest.raises(TableError, match="cannot use"):
        around(size, within=within)


def test_the_list_is_sorted_and_readable_at_eighty_columns(capsys: pytest.CaptureFixture[str]) -> None:
    for size in ("9.5 mm", "20 mm", "1 in", "33.3 mm", "1.2 mm", "100 mm"):
        lines = run(capsys, "table", "--around", size).out.splitlines()
        assert max(map(len, lines)) <= 80
        majors = [
            float(line.split()[0]) for line in lines if line.startswith("  ") and line.split()[0][0].isdigit()
        ]
        assert len(majors) > 3
        assert sorted(majors) == majors


def test_names_of_the_same_metal_share_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "--around", "9.5 mm").out
    assert "  9.525  1.5875   16     30  3/8-16 UNC = UNJ NC USS  Unified coarse" in text.splitlines()
    words = " ".join(text.split())
    assert "within 0.238 mm of 9.500 mm (2.5 %, at least 0.100 mm; --within sets another)" in words
    assert "A taper thread stands at the size of its gauge plane." in words
    assert "3/30" in run(capsys, "table", "--around", "20 mm").out


def test_the_unit_is_that_of_the_size_unless_another_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    def said(*args: str) -> str:
        return " ".join(run(capsys, "table", "--around", *args).out.split())

    inches = said("3/8 in", "--within", "0.002 in")
    assert "within 0.0020 in of 0.3750 in, sizes in inches:" in inches
    assert "0.3750 0.05000 20 27.5 3/8-20 BSF" in inches
    assert (
        "within 0.238 mm of 9.525 mm (2.5 %, at least 0.100 mm; --within sets another), sizes in mm"
        in said("3/8 in", "--unit", "mm")
    )
    assert "sizes in mm" in said("0.95 cm")
    assert "sizes in inches" in said("375 thou")


def test_the_list_is_exported_with_one_row_for_each_name(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("table", "--around", "9.5 mm", "--within", "0.03 mm")
    rows = list(csv.DictReader(io.StringIO(run(capsys, *asked, "--csv").out)))
    assert names_of(9.5, 0.03) == [row["designation"] for row in rows]
    national = next(row for row in rows if row["designation"] == "3/8-16 NC")
    assert ("3/8-16 UNC", "NC", "9.525", "1.5875", "16.0", "30.0") == tuple(
        national[name]
        for name in ("leading_name", "system", "major_basic", "pitch", "tpi", "flank_angle_load")
    )
    answer = json.loads(run(capsys, *asked, "--json", "--unit", "in").out)
    assert (1, "in", 0.37401575) == (answer["schema_version"], answer["unit"], answer["around"])
    assert len(rows) == len(answer["threads"])
    assert (
        0.375 == next(one for one in answer["threads"] if one["designation"] == "3/8-20 BSF")["major_basic"]
    )


def test_where_no_thread_is_near_the_nearest_is_named_and_the_status_says_so(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = run(capsys, "table", "--around", "1900 mm")
    assert (3, "") == (ran.status, ran.err)
    assert "none. The nearest is 24-8 NPT" in " ".join(ran.out.split())
    empty = run(capsys, "table", "--around", "1900 mm", "--json")
    assert (3, []) == (empty.status, json.loads(empty.out)["threads"])


@pytest.mark.parametrize(
    "args, said",
    [
        (["--around", "9.5"], "--around: '9.5' has no unit; write '9.5 mm' or '9.5 in'"),
        (["--around", "9,5 mm"], "--around: cannot read '9,5 mm'"),
        (["--around", "0 mm"], "--around"),
        (["--around", "9.5 mm", "--within", "wide"], "--within: cannot read 'wide'"),
        (["--around", "9.5", "mm"], "--around takes no names, but 'mm' was given"),
        (["--around", "9.5 mm", "M8"], "--around takes no names, but 'M8' was given"),
        (["--around", "9.5 mm", "--list"], "--list takes no --around"),
        (["M8", "--within", "1 mm"], "--within needs --around"),
    ],
)
def test_bad_input_is_refused_in_one_line(
    args: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in run(capsys, "table", *args).refusal
