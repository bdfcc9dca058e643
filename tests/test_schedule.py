"""A machine's thread schedule: spanners by country and time, drills, torques, look-alikes; the command."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import run
from project_files import ROOT
from threadwright import judgement
from threadwright.dangers import look_alikes
from threadwright.record import Record, parse_record
from threadwright.schedule import ScheduleLine, schedule, spanners_for, tightening
from threadwright.tables.catalogue import every_thread
from threadwright.tables.errors import RecordError
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES, HexagonSeries
from threadwright.tables.hexagons import hexagons_for
from threadwright.tables.registry import SYSTEMS, find_thread
from threadwright.uses import HOLLOW

SEPARATOR = str(ROOT / "samples" / "milk-separator-record.toml")
YEARS = st.integers(1850, 2020)
# when the small hexagon became the rule for BSW; when BS 57 was issued, for heads as old as the BA sizes
OTHERWISE = {"BS 1083": 1940, "BS 57": 1920}


def record_of(*threads: str, machine: str = "", more: str = "") -> Record:
    rows = [f'[[fastener]]\nplace = "p{n}"\nthread = "{thread}"\n{more}' for n, thread in enumerate(threads)]
    return parse_record(machine + "".join(rows), name="record press.toml")


def line_of(thread: str, **given: str) -> ScheduleLine:
    return schedule(record_of(thread, **given))[0]


def spanners(thread: str, **given: object) -> list[str]:
    return [one.spanner for one in spanners_for(find_thread(thread), **given)]  # type: ignore[arg-type]


# --- spanners ----------------------------------------------------------------------------------------------


def test_a_whitworth_head_is_the_large_one_early_and_the_small_one_late() -> None:
    assert ["3/8 W = 7/16 BS"] == spanners("3/8-16 BSW", year=1910)
    assert ["3/8 BS = 5/16 W", "3/8 W = 7/16 BS"] == spanners("3/8-16 BSW", year=1936)
    assert ["3/8 BS = 5/16 W"] == spanners("3/8-16 BSW", year=1955)
    assert ["3/8 BS = 5/16 W"] == spanners("3/8-20 BSF", year=1910)


def test_a_metric_head_is_that_of_the_country_and_the_time() -> None:
    assert ["13 mm", "14 mm"] == spanners("M8", made_in="DE", year=1936)
    assert ["13 mm"] == spanners("M8", made_in="FR", year=1936)
    assert ["13 mm"] == spanners("M8", made_in="JP", year=1936)
    assert ["17 mm"] == spanners("M10", made_in="FR", year=1936)
    assert ["16 mm"] == list(dict.fromkeys(spanners("M10", made_in="US", year=2010)))


def test_where_none_was_usual_those_that_were_met_are_given_and_else_all() -> None:
    assert ["13 mm"] == spanners("M8", made_in="GB", year=1936)
    assert ["3/8 W = 7/16 BS"] == spanners("3/8-16 BSW", made_in="FR", year=1930)
    assert spanners("2 BA") == spanners("2 BA", made_in="US", year=1850)
    assert [one.spanner for one in hexagons_for(find_thread("M8"))] == spanners("M8", made_in="US", year=1850)


@pytest.mark.parametrize("entry", HEXAGON_SERIES, ids=lambda entry: entry.name)
def test_the_years_in_the_words_of_a_period_are_those_that_are_computed_with(entry: HexagonSeries) -> None:
    ends = {year for one in entry.periods for year in (one.since, one.until)}
    assert ends
    for text, decade in re.findall(r"(\d{4})(s?)", entry.period):
        year = int(text)
        assert {year, year + 9 if decade else year} & ends or OTHERWISE[entry.name] == year


@given(st.sampled_from(["3/8-16 BSW", "M8", "1/2-13 UNC", "2 BA", "3/8-16 USS", "1/4-26 BSC"]), YEARS)
def test_some_spanner_of_the_size_is_always_named(name: str, year: int) -> None:
    thread = find_thread(name)
    found = spanners_for(thread, made_in="GB", year=year)
    assert found
    assert set(found) <= set(hexagons_for(thread))


# --- torque ------------------------------------------------------------------------------------------------


# 26 tonf/in2 = 401.55 MPa on 36.61 mm2 is 14.70 kN; 0.6 of it is 8.82 kN; 0.2 x 8 mm x 8.82 kN = 14.1 N m
def test_the_torque_is_that_of_an_unmarked_screw_clamped_at_six_tenths() -> None:
    found = tightening(find_thread("M8"))
    assert found is not None
    assert (8.82, 14.1, 10.6) == (
        round(found.clamp_kN, 2), round(found.dry_Nm, 1), round(found.oiled_Nm, 1),
    )  # fmt: skip


def test_pipes_hollow_parts_and_screws_that_move_have_no_torque() -> None:
    known = {system.symbol for system in SYSTEMS}
    assert HOLLOW <= known
    for name in ("G 1/2", "R 1/8", "Tr 16x4", "Pg 16", "Rp 1/8"):
        assert tightening(find_thread(name)) is None


# --- lines of the schedule ---------------------------------------------------------------------------------


def test_the_schedule_gives_the_hole_of_each_thread_where_the_standard_does() -> None:
    held = {name: line_of("M8", more=f'class = "{name}"\n').tapping_hole for name in ("6H", "7H", "6g")}
    # ISO 965-1: D1 = 6.647, T_D1 = 0.265 for grade 6 and 0.335 for grade 7
    assert (6.647, 6.912) == pytest.approx(held["6H"])
    assert held["6H"] == held["6g"]
    assert (6.647, 6.982) == pytest.approx(held["7H"])


def test_a_thread_for_whose_hole_no_limits_are_held_has_none() -> None:
    unheld = [one for one in every_thread() if not one.classes("internal")][:3]
    assert 3 == len(unheld)
    assert [None] * 3 == [line_of(thread.designation).tapping_hole for thread in unheld]


def test_a_drill_inside_the_limits_of_the_hole_goes_before_a_metric_one_outside() -> None:
    drills = line_of("1/4-28 UNF").drills
    assert ["7/32 in", "5.6 mm"] == [one.drill.name for one in drills][:2]
    assert [True, False] == [one.within_limits for one in drills][:2]
    assert "7.9 mm" == line_of("3/8-16 BSW").drills[0].drill.name


def test_the_look_alikes_are_those_of_the_hole() -> None:
    assert look_alikes(find_thread("M5"), "internal") == line_of("M5").beware
    assert "2 BA" == line_of("M5").beware[0].designation
    assert () == line_of("R 1/8").beware


def test_the_machine_says_which_spanners() -> None:
    early = line_of("3/8-16 BSW", machine="[machine]\nyear = 1905\n")
    assert ["large Whitworth", "original Whitworth"][:1] == [one.series for one in early.spanners][:1]
    assert ("M8x1.25 LH", 14.1) == (
        line_of("M8 LH").thread, round(line_of("M8 LH").torque.dry_Nm, 1),  # type: ignore[union-attr]
    )  # fmt: skip


def test_an_impossible_origin_in_the_record_is_named_with_its_file() -> None:
    with pytest.raises(RecordError, match=r"record press.toml, \[machine\]: year: 1492 is impossible"):
        schedule(record_of("M8", machine="[machine]\nyear = 1492\n"))


def test_a_line_of_the_schedule_is_settled_by_its_probability() -> None:
    assert line_of("M8").settled
    at = judgement.SETTLED
    assert [False, True] == [
        line_of("M8", more=f"probability = {share}\n").settled for share in (at - 0.01, at)
    ]


# --- command line ------------------------------------------------------------------------------------------


def test_the_schedule_has_one_line_for_each_place(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "record", SEPARATOR)
    assert (0, "") == (ran.status, ran.err)
    lines = ran.out.splitlines()
    assert "milk separator (1936)" == lines[0]
    assert ["place", "thread", "spanner", "drill", "depth", "N m", "look-alike"] == [
        word.strip() for word in lines[1].split("  ") if word.strip()
    ]
    assert "gear cover, upper  2 BA        2 BA*            3.9 mm   82 %   2.8  M4x0.7" == lines[2]
    assert "screw" == lines[3]
    assert "    a 4 BA nut from the drawer runs on" == lines[5]
    assert lines[6].startswith("foot               3/8-16 BSW  3/8 BS or 3/8 W  7.9 mm   80 %   23 ")
    assert "    NOT SETTLED, probability 0.62: measure again before anything is cut to it." == lines[7]
    assert max(map(len, lines)) <= 80
    text = " ".join(ran.out.split())
    assert "* from memory or computed, not from a printed table" in text
    assert "unmarked steel screw (26 tonf/in2, from memory) clamped at 0.6 of its breaking load" in text
    assert "never force one" in text


def test_the_schedule_in_json_has_every_entry(capsys: pytest.CaptureFixture[str]) -> None:
    plain = json.loads(run(capsys, "record", SEPARATOR, "--json").out)
    assert (2, {"name": "milk separator", "made_in": None, "year": 1936}) == (
        plain["schema_version"], plain["machine"],
    )  # fmt: skip
    first, *_, last = plain["fasteners"]
    assert [True, True, False] == [one["settled"] for one in plain["fasteners"]]
    assert [3.73, 4.034] == pytest.approx(first["tapping_hole"])
    assert ("2 BA", "from memory") == (first["spanners"][0]["spanner"], first["spanners"][0]["basis"])
    assert ("3.9 mm", True) == (
        first["tapping_drills"][0]["drill"], first["tapping_drills"][0]["within_limits"],
    )  # fmt: skip
    assert "unmarked, 402 MPa" in first["torque"]["screw"]
    assert "from memory" in first["torque"]["screw"]
    assert {"designation", "outcome", "words"} <= set(last["look_alikes"][0])


def test_the_schedule_goes_into_a_spreadsheet(capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.DictReader(io.StringIO(run(capsys, "record", SEPARATOR, "--csv").out)))
    assert ["gear cover, upper screw", "oil cup", "foot"] == [row["place"] for row in rows]
    assert ("yes", "no") == (rows[0]["settled"], rows[2]["settled"])
    assert ("3/8 BS = 5/16 W or 3/8 W = 7/16 BS", "table") == (rows[2]["spanner"], rows[2]["spanner_basis"])
    names = ("tapping_hole_min_mm", "tapping_hole_max_mm", "drill", "engagement")
    assert ["7.493", "7.9883", "7.9 mm", "0.799"] == [rows[2][name] for name in names]
    assert "binds after about" in rows[2]["look_alike_does"]


def test_what_the_tables_do_not_tell_stays_empty(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "pipes.toml"
    path.write_text('[[fastener]]\nplace = "oil pipe"\nthread = "R 1/8"\n')
    assert ["A machine without a name", "place     thread", "oil pipe  R 1/8"] == run(
        capsys, "record", str(path)
    ).out.splitlines()
    (row,) = csv.DictReader(io.StringIO(run(capsys, "record", str(path), "--csv").out))
    assert {"oil pipe", "R 1/8", "1.0", "yes", ""} == set(row.values())
    plain = json.loads(run(capsys, "record", str(path), "--json").out)["fasteners"][0]
    assert (None, None, []) == (plain["torque"], plain["tapping_hole"], plain["look_alikes"])


def test_more_spanners_than_two_are_hinted_at_and_large_torques_are_whole(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "drill.toml"
    path.write_text(
        '[machine]\nname = "pillar drill"\nmade_in = "DE"\n'
        '[[fastener]]\nplace = "column clamp, at the back, lower of the two screws"\nthread = "M8x1.25-6g"\n'
        '[[fastener]]\nplace = "foot"\nthread = "M24"\n'
    )
    text = run(capsys, "record", str(path)).out
    assert text.startswith("pillar drill (DE)\n")
    assert "M8x1.25 6g" in text
    assert " 408 " in text or " 407 " in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_record_without_a_fastener_says_how_to_add_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "new.toml").touch()
    out = run(capsys, "record", str(tmp_path / "new.toml")).out
    assert out.startswith("A machine without a name\nNo fastener yet; add one with identify --record")


@pytest.mark.parametrize(
    "text, message",
    [
        ('[machine]\nmade_in = "Atlantis"', "x.toml, [machine]: made in: no country 'Atlantis'"),
        ("[machine", "x.toml: not a whole TOML file"),
        ("[[fastener]]\nplace = 3\n", "place"),
        ('[[fastener]]\nplace = "lid"\nthread = "M99x9"\n', "no table holds 'M99x9'"),
        ("\x00", "x.toml: not a whole TOML file"),
    ],
)
@pytest.mark.parametrize("layout", [[], ["--json"], ["--csv"]])
def test_a_wrong_record_is_refused_in_one_line(
    text: str, message: str, layout: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.toml"
    path.write_text(text)
    assert message in run(capsys, "record", str(path), *layout).refusal


@pytest.mark.parametrize(
    "words, message",
    [
        ([], "FILE.toml: not given"),
        (["none.toml"], "none.toml: cannot be read"),
        ([SEPARATOR, "--xml"], "no option '--xml'"),
        ([SEPARATOR, SEPARATOR], "belongs to no option"),
    ],
)
def test_a_faulty_question_is_refused_in_one_line(
    words: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert message in run(capsys, "record", *words).refusal
