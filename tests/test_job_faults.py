"""Every key of a job file with what it cannot hold: one line, its place named, nothing written."""

import datetime
import math
from pathlib import Path
from typing import Any

import pytest

from command_line import run
from threadwright.job import job_from_tables
from threadwright.job.keys import KEYS, READING_KEYS
from threadwright.tables.errors import JobError

LEAST: dict[str, dict[str, Any]] = {
    "fastener": {"designation": "M8"}, "hole": {"depth": "25 mm"}, "parent": {"material": "cast iron"},
}  # fmt: skip
PLACES = [(section, key) for section, keys in KEYS.items() for key in keys]
NEVER: list[Any] = [  # what no key can hold
    "", " ", "-3 mm", "nan mm", "1e9 mm", "x" * 300, "a\nb", 0.5, math.nan, -1, {"a": 1}, [[]], [1.5],
    datetime.time(1),
]  # fmt: skip
FREE = {("parent", "part"), ("sheet", "drawn_by"), ("sheet", "number")}
NUMBERS = {("fastener", "year"), ("bush", "routes"), ("fastener", "wires")}


def job(section: str, key: str, value: Any) -> None:
    tables = {name: dict(keys) for name, keys in LEAST.items()}
    if section == "fastener" and key in READING_KEYS:
        tables["fastener"] = {"major": "7.9 mm", "pitch": "1.25 mm"}
    if section == "drawer":
        tables["drawer"] = {"taps": ["M14x1.5"]}
    tables.setdefault(section, {})[key] = value
    job_from_tables(tables, where=lambda part, name: f"[{part}] {name}".strip())


@pytest.mark.parametrize("section, key", PLACES)
def test_a_value_that_a_key_cannot_hold_is_refused_in_one_line_that_names_the_place(
    section: str, key: str
) -> None:
    for value in NEVER:
        text = isinstance(value, str) and bool(value.strip())
        if (text and (section, key) in FREE) or (value == -1 and (section, key) in NUMBERS):
            continue
        with pytest.raises(JobError) as caught:
            job(section, key, value)
        message = str(caught.value)
        assert f"[{section}]" in message
        assert "\n" not in message
        assert len(message) < 400


@pytest.mark.parametrize("section, key", [place for place in PLACES if len(place[1]) > 4])
def test_a_key_with_a_letter_left_out_is_answered_with_a_key_of_that_section(section: str, key: str) -> None:
    wrong = key[:1] + key[2:]
    with pytest.raises(JobError, match=rf"\[{section}\] {wrong}: no such key; did you mean '") as caught:
        job(section, wrong, "x")
    assert str(caught.value).split("'")[1] in KEYS[section]


@pytest.mark.parametrize("value", [-1, 0, 100000])
@pytest.mark.parametrize("section, key", sorted(NUMBERS))
def test_a_whole_number_out_of_all_bounds_is_refused(section: str, key: str, value: int) -> None:
    if (section, key, value) == ("bush", "routes", 0):
        return
    with pytest.raises(JobError) as caught:
        job(section, key, value)
    assert f"[{section}]" in str(caught.value)


@pytest.mark.parametrize("ending", ["pdf", "svg", "dxf"])
def test_a_faulty_job_leaves_no_sheet_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str
) -> None:
    path, sheet = tmp_path / "job.toml", tmp_path / f"bush.{ending}"
    path.write_text('[fastener]\ndesignation = "M8"\n[hole]\ndepth = "4 mm"\n[parent]\nmaterial = "zinc"\n')
    ran = run(capsys, "repair", "--job", str(path), "--sheet", str(sheet))
    assert ran.refusal
    assert not sheet.exists()
