"""The job file: what it holds, and how each fault in it is named."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from project_files import ROOT
from threadwright import judgement
from threadwright.job import (
    Job,
    collar_length,
    job_from_tables,
    parse_load,
    plan_job,
    read_job,
    surroundings,
)
from threadwright.tables.errors import FileFaultError, JobError

LEAST = {"fastener": {"designation": "M8"}, "hole": {"depth": "25 mm"}, "parent": {"material": "cast iron"}}


def where(section: str, key: str) -> str:
    return f"[{section}] {key}".strip()


def job(**sections: Mapping[str, Any]) -> Job:
    """The least job with the keys of some sections added or replaced."""
    return job_from_tables(
        {name: {**LEAST.get(name, {}), **sections.get(name, {})} for name in {*LEAST, *sections}}, where=where
    )


def test_the_least_job_takes_the_usual_screw_and_bush() -> None:
    least = job()
    assert least.fastener.thread is not None
    assert ("M8x1.25", 25.0, "grey iron") == (
        least.fastener.thread.designation, least.hole.depth, least.parent.material,
    )  # fmt: skip
    assert ("unmarked", "free-cutting steel", None) == (least.screw.grade, least.bush.material, least.drawer)
    assert () == least.noted


def test_every_key_of_the_file_arrives_in_its_own_unit() -> None:
    whole = job(
        hole={"depth": "1 in", "edge": "30 mm", "through": False, "floor": "4 mm", "bore": "8.4 mm"},
        parent={"boss": "1 1/2 in", "part": "top cover"},
        screw={"clamp": "6.5 kN", "length": "30 mm"},
        bush={"material": "bronze", "hand": "left", "collar": False, "driving": "slot"},
        drawer={"taps": ["M12x1.5"], "dies": []},
    )
    assert (25.4, 30.0, False) == (whole.hole.depth, whole.hole.edge, whole.hole.through)
    assert math.isclose(38.1, whole.parent.boss or 0.0)
    assert 6.5 == whole.screw.clamp
    assert whole.drawer is not None
    assert ["M12x1.5"] == [tap.designation for tap in whole.drawer.taps]
    assert ("slot", "left", ()) == (whole.bush.driving, whole.bush.hand, whole.noted)


def test_readings_stand_in_the_place_of_a_designation() -> None:
    tables = {**LEAST, "fastener": {"major": "7.9 mm", "pitch": "1.25 mm", "side": "external", "year": 1930}}
    read = job_from_tables(tables, where=where)
    assert read.fastener.thread is None
    assert read.fastener.readings is not None
    assert ("major", "pitch") == read.fastener.readings.given()
    assert () == read.noted
    assert 1930 == read.fastener.year


FAULTS: list[tuple[dict[str, Any], str]] = [
    ({"hole": {"dept": "25 mm"}}, "[hole] dept: no such key; did you mean 'depth'?"),
    ({"hole": {"xyzzy": 1}}, "[hole] xyzzy: no such key; there is depth, through"),
    ({"holle": {}}, "[holle]: no such section; did you mean 'hole'?"),
    ({"hole": {"depth": 25}}, "[hole] depth: '25' has no unit"),
    ({"hole": {"depth": "25"}}, "[hole] depth: '25' has no unit; write '25 mm'"),
    ({"hole": {"depth": "2,5 mm"}}, "[hole] depth: cannot read '2,5 mm'"),
    ({"hole": {"through": "yes"}}, "[hole] through: 'yes' is neither true nor false"),
    ({"fastener": {"year": "1926"}}, "[fastener] year: '1926' is not a whole number"),
    ({"fastener": {"wires": True}}, "[fastener] wires: 'True' is not a whole number"),
    ({"fastener": {"designation": "M8x1.3"}}, "[fastener] designation: thread: no table holds 'M8x1.3'"),
    ({"fastener": {"designation": ""}}, "[fastener] designation: '' is not text"),
    ({"fastener": {"major": "8 mm"}}, "[fastener] major: the designation is given too"),
    ({"parent": {"material": "cheese"}}, "[parent] material: material: no table holds 'cheese'"),
    ({"parent": {"material": 7}}, "[parent] material: '7' is not text"),
    ({"screw": {"grade": "tinsel"}}, "[screw] grade: screw grade: no table holds 'tinsel'"),
    ({"screw": {"clamp": "6 kg"}}, "[screw] clamp: cannot read '6 kg' as a load"),
    ({"fastener": {"designation": "M8 LH", "hand": "right"}}, "[fastener] hand: the designation M8x1.25 LH"),
    ({"bush": {"hand": "both"}}, "[bush] hand: 'both' is no hand"),
    ({"drawer": {"taps": "M12"}}, "[drawer] taps: 'M12' is not a list"),
    ({"drawer": {"taps": []}}, "[drawer]: it holds no taps"),
    ({"drawer": {"taps": ["M12x1.3"]}}, "no table holds 'M12x1.3'"),
]


@pytest.mark.parametrize("change, text", FAULTS)
def test_a_fault_is_named_with_its_section_and_key(change: dict[str, Any], text: str) -> None:
    with pytest.raises(JobError) as caught:
        job(**change)
    assert text in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "tables, text",
    [
        ({**LEAST, "hole": {}}, '[hole] depth is missing; write it like depth = "25 mm"'),
        ({**LEAST, "parent": {}}, '[parent] material is missing; write it like material = "cast aluminium"'),
        ({"parent": LEAST["parent"], "hole": LEAST["hole"]}, "[fastener]: neither designation nor readings"),
        ({**LEAST, "fastener": {"major": "8,5 mm"}}, "[fastener]: major diameter: cannot read '8,5 mm'"),
        ({**LEAST, "hole": 25}, "[hole]: it is not a section"),
    ],
)
def test_what_is_missing_is_named(tables: dict[str, Any], text: str) -> None:
    with pytest.raises(JobError) as caught:
        job_from_tables(tables, where=where)
    assert text in str(caught.value)


@pytest.mark.parametrize("text", ["6", "kN", "0 kN", "-2 kN", "1e3 N", "6 kg"])
def test_a_load_is_a_number_above_zero_with_its_unit(text: str) -> None:
    with pytest.raises(JobError, match="write it like '6.5 kN' or '1400 lbf'"):
        parse_load(text, name="clamp")


def test_a_load_reads_the_same_in_every_unit() -> None:
    loads = [parse_load(text, name="clamp") for text in ("9.80665 kN", "9806.65 N", "1000 kgf")]
    assert [9.80665] * 3 == loads


def test_a_file_is_named_in_its_own_faults(tmp_path: Path) -> None:
    path = tmp_path / "press.toml"
    with pytest.raises(FileFaultError, match="press.toml: cannot read it"):
        read_job(path)
    path.write_text("[hole\n", encoding="utf-8")
    with pytest.raises(FileFaultError, match="press.toml: not a TOML file"):
        read_job(path)
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(FileFaultError, match="press.toml: not a TOML file"):
        read_job(path)
    path.write_text("[hole]\ndept = '25 mm'\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"press.toml, \[hole\] dept: no such key"):
        read_job(path)


def samples() -> list[Path]:
    return sorted(path for path in (ROOT / "samples").glob("*.toml") if not path.stem.endswith("-record"))


@pytest.mark.parametrize("path", samples(), ids=lambda path: path.stem)
def test_every_sample_job_is_said_to_be_invented_and_ends_in_a_bush_that_holds(path: Path) -> None:
    assert "# Invented" in path.read_text(encoding="utf-8").splitlines()[0]
    plan = plan_job(read_job(path)).leading
    assert plan is not None
    assert "holds" == plan.verdict
    assert plan.bush.outer_thread.nominal_major_mm != 10.0


def test_there_are_three_sample_jobs() -> None:
    assert 3 == len(samples())


def test_hole_and_located_part_reach_the_plan_and_the_routes() -> None:
    located = job(
        hole={
            "depth": "22 mm", "through": False, "face_counterbore": "16 mm", "counterbore_depth": "3 mm",
            "temperature": "60 C", "beyond": "oil", "next_hole": "40 mm",
        },
        locate={"spigot": "14 mm", "mating_bore": "14.02 mm", "mating_thickness": "10 mm"},
    )  # fmt: skip
    around = surroundings(located)
    assert (14.02, 16.0, 60.0, "oil") == (
        around.spigot_mm, around.counterbore_mm, around.temperature_C, around.beyond,
    )  # fmt: skip
    answer = plan_job(located)
    assert answer.leading is not None
    assert answer.leading.bush.inner_engaged_mm == pytest.approx(22 - 3 - 2 * 1.25)
    assert {"ring dowel", "collar bush"} == {one.key for one in answer.routes if one.offered}


def test_a_clamp_load_beyond_an_unmarked_screw_is_taken_with_a_stronger_grade() -> None:
    with pytest.raises(JobError, match="ask for at most 8.81 kN or name a stronger grade"):
        plan_job(job(screw={"clamp": "12 kN"}))
    plan = plan_job(job(screw={"clamp": "12 kN", "grade": "8.8"})).leading
    assert plan is not None
    assert (15.0, "8.8") == (plan.required_strip_kN, plan.grade)


@pytest.mark.parametrize(
    "fastener",
    [
        {"designation": "M8", "hand": "left"},
        {"designation": "M8 LH"},
        {"designation": "M8 LH", "hand": "left"},
    ],
)
def test_the_hand_of_a_named_screw_reaches_the_plan(fastener: dict[str, Any]) -> None:
    plan = plan_job(job(fastener={**LEAST["fastener"], **fastener})).leading
    assert plan is not None
    assert "M8x1.25 LH" == plan.inner_thread
    assert plan.making is not None
    assert "tap M8x1.25 LH now" in " ".join(one.text for one in plan.making.operations)


def test_the_hand_given_beside_readings_reaches_plan_and_routes_and_its_absence_is_told() -> None:
    read = {"major": "7.9 mm", "pitch": "1.25 mm", "flank_angle": "30deg"}
    left = plan_job(job_from_tables({**LEAST, "fastener": {**read, "hand": "left"}}, where=where))
    assert left.leading is not None
    assert "M8x1.25 LH" == left.leading.inner_thread == left.plans[0].designation
    insert = next(one for one in left.routes if one.key == "wire insert")
    assert "inserts for left-hand threads" in (insert.refused_because or "")
    taken = plan_job(job_from_tables({**LEAST, "fastener": read}, where=where)).leading
    assert taken is not None
    assert any("taken for right-hand" in line for line in taken.assumptions)
    assert not any("right-hand:" in line for line in left.leading.assumptions)


IDLE: list[tuple[dict[str, Any], tuple[str, ...]]] = [
    ({"locate": {"fit": "snug", "flush": "0.1 mm"}}, ("locate fit", "locate flush")),
    ({"locate": {"register": "collar", "flush": "0.1 mm"}}, ()),
    (
        {"fastener": {"designation": "M8", "year": 1926, "condition": "worn"}},
        ("fastener condition", "fastener year"),
    ),
    ({"locate": {"collar_length": "3 mm"}}, ("locate collar_length",)),
    ({"drawer": {"taps": ["M14x1.5"], "reamers": ["9 mm"]}}, ("drawer reamers",)),
    ({"drawer": {"taps": ["M14x1.5"], "reamers": ["9 mm"]}, "locate": {"register": "pilot"}}, ()),
    ({"lathe": {"leadscrew": "8 tpi"}}, ("lathe leadscrew",)),
    ({"lathe": {"leadscrew": "8 tpi", "wheels": [20, 40]}}, ()),
]


@pytest.mark.parametrize("change, noted", IDLE)
def test_a_key_without_a_bearing_on_this_plan_is_named(
    change: dict[str, Any], noted: tuple[str, ...]
) -> None:
    assert noted == job(**change).noted


def test_a_collar_without_a_counterbore_has_the_usual_length() -> None:
    assert collar_length(job()) is None
    assert judgement.COLLAR_LENGTH_MM == collar_length(job(bush={"collar": True}))
    deep = job(bush={"collar": True}, hole={"depth": "25 mm", "counterbore_depth": "4 mm"})
    assert 4.0 == collar_length(deep)


@pytest.mark.parametrize(
    "change, text",
    [
        ({"hole": {"depth": "25 mm", "state": "striped"}}, "[hole] state: no such word 'striped'; did"),
        ({"hole": {"depth": "25 mm", "beyond": "xyzzy"}}, "[hole] beyond: no such word 'xyzzy'; write"),
        ({"hole": {"depth": "25 mm", "temperature": "hot"}}, "[hole] temperature: cannot take 'hot'"),
        ({"hole": {"depth": "25 mm", "through": True, "floor": "3 mm"}}, "[hole]: floor: a through hole"),
        ({"locate": {"spiggot": "14 mm"}}, "[locate] spiggot: no such key; did you mean 'spigot'?"),
        ({"locate": {"spigot": 14}}, "[locate] spigot: '14' has no unit"),
    ],
)
def test_what_lies_around_the_hole_is_checked_with_its_section(change: dict[str, Any], text: str) -> None:
    with pytest.raises(JobError) as caught:
        job(**change)
    assert text in str(caught.value)
