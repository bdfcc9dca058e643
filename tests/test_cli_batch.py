"""``threadwright batch`` as a command; what it computes is tested where it is computed."""

import csv
from pathlib import Path

import pytest

from command_line import run
from project_files import ROOT


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
    assert "missing option '-o'" in run(capsys, "batch", "in.csv").refusal
