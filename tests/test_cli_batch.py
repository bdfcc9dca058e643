"""``threadwright batch`` as a command; what it computes is tested where it is computed."""

import csv
import json
import sys
from pathlib import Path

import pytest

from command_line import run
from project_files import ROOT
from threadwright import batch_csv


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_sample_table_is_answered_row_by_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, target = ROOT / "samples" / "mixed-fasteners.csv", tmp_path / "named.csv"
    ran = run(capsys, "batch", str(source), "-o", str(target))
    assert (0, "", "") == (ran.status, ran.out, ran.err)
    asked, answered = table(source), table(target)
    assert [row["id"] for row in asked] == [row["id"] for row in answered]
    found = {row["id"]: row["designation_1"] for row in answered}
    assert "3/8-20 BSF" == found["press-ink-disc-screw-2"]
    assert "M8x1.25" == found["separator-cover-hole-9"]
    assert ["odd-screw-12"] == [row["id"] for row in answered if row["status"] == "none"]


def test_rows_that_cannot_be_read_are_counted_and_give_status_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source, target = tmp_path / "in.csv", tmp_path / "out.csv"
    source.write_text('id,major\na,7.9 mm\nb,"8,5 mm"\nc,5.9 mm\n', encoding="utf-8")
    ran = run(capsys, "batch", str(source), "-o", str(target), "--top", "1")
    assert (3, "") == (ran.status, ran.out)
    assert "threadwright: 1 of 3 rows failed; see their messages\n" == ran.err
    assert ["error"] == [row["status"] for row in table(target) if row["id"] == "b"]
    assert "designation_2" not in table(target)[0]


def test_a_file_fault_is_one_line_and_leaves_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source, target = tmp_path / "in.csv", tmp_path / "out.csv"
    source.write_text("7.9 mm,1.25 mm\n", encoding="utf-8")
    for path in (source, tmp_path / "missing.csv"):
        assert path.name in run(capsys, "batch", str(path), "-o", str(target)).refusal
    assert not target.exists()


def test_a_table_without_a_place_for_the_answers_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert "--output: not given; add --output OUT.csv" in run(capsys, "batch", "in.csv").refusal


def test_ids_beyond_those_looked_at_are_told_on_stderr(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch_csv, "MOST_IDS", 2)
    source = tmp_path / "in.csv"
    source.write_text("id,major\na,7.9 mm\nb,5.9 mm\nb,9.9 mm\n", encoding="utf-8")
    ran = run(capsys, "batch", str(source), "-o", str(tmp_path / "out.csv"))
    expected = "threadwright: ids are looked at for doubles up to 2 rows; those of the last 1 were not\n"
    assert (0, "", expected) == (ran.status, ran.out, ran.err)


def test_progress_is_shown_at_a_terminal_and_wiped_in_the_end(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    source = tmp_path / "in.csv"
    source.write_text("id,major\na,7.9 mm\nb,5.9 mm\n", encoding="utf-8")
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    ran = run(capsys, "batch", str(source), "-o", str(tmp_path / "out.csv"))
    assert (0, "") == (ran.status, ran.out)
    assert "\r2 rows\r" + " " * 20 + "\r" == ran.err
    source.write_text("none\n", encoding="utf-8")
    assert "\r" in run(capsys, "batch", str(source), "-o", str(tmp_path / "out.csv")).err


def test_the_json_counts_rows_and_failures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, target = tmp_path / "in.csv", tmp_path / "out.csv"
    source.write_text('id,major\na,7.9 mm\nb,"8,5 mm"\n', encoding="utf-8")
    ran = run(capsys, "batch", str(source), "-o", str(target), "--json")
    assert 3 == ran.status
    assert {
        "schema_version": 1, "path": str(target), "rows": 2, "failed": 1, "ids_unchecked": 0,
    } == json.loads(ran.out)  # fmt: skip
