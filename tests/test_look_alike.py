"""The threads that deceive the hand, on a plan and beside wires."""

from __future__ import annotations

import json

import pytest

from command_line import run

PART = ("--parent", "cast aluminium", "--depth", "25 mm", "--boss", "40 mm")
WARNING = "Must not go into the M8x1.25 hole, though they start by hand: 5/16-18 BSW"


def words(text: str) -> str:
    return " ".join(text.split())


def test_a_plan_names_the_screws_that_must_not_go_into_the_hole(capsys: pytest.CaptureFixture[str]) -> None:
    text = words(run(capsys, "repair", "M8", *PART).out)
    assert text.index("Cautions") < text.index(WARNING)
    assert 1 == text.count("Must not go into")


def test_the_json_of_a_plan_has_them_with_what_they_do(capsys: pytest.CaptureFixture[str]) -> None:
    answer = json.loads(run(capsys, "repair", "M8", *PART, "--json").out)
    (entry,) = answer["look_alikes"]
    assert ("M8x1.25", "internal") == (entry["thread"], entry["side"])
    first = entry["look_alikes"][0]
    assert ("5/16-18 BSW", "external", "binds") == (first["designation"], first["side"], first["outcome"])
    assert all(0 <= one["strength_left"] < 1 for one in entry["look_alikes"])


def test_no_right_hand_screw_deceives_in_a_left_hand_hole(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Must not go into" not in run(capsys, "repair", "M8 LH", *PART).out
    answer = json.loads(run(capsys, "repair", "M8 LH", *PART, "--json").out)
    assert [{"thread": "M8x1.25 LH", "side": "internal", "look_alikes": []}] == answer["look_alikes"]


def test_the_unnamed_class_of_a_pipe_thread_is_not_called_basic_beside_wires(
    capsys: pytest.CaptureFixture[str],
) -> None:
    starts = [
        line.split()[0] for line in run(capsys, "wires", "1/2 NPT").out.splitlines() if line[:2] == "  "
    ]
    assert ["class", "basic", "limits"] == starts
