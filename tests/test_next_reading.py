"""Which reading to take next."""

from dataclasses import replace

import pytest

from threadwright.next_reading import leaders, next_reading
from threadwright.ranking import Identification, identify
from threadwright.readings import Readings


def answer(**given: str) -> Identification:
    return identify(Readings(**given))


def test_two_threads_of_one_size_and_pitch_are_parted_by_the_flank_angle() -> None:
    hint = next_reading(answer(major="0.372 in", pitch="20 tpi"))
    assert hint is not None
    assert ("flank_angle", "deg") == (hint.reading, hint.unit)
    assert (("3/8-20 BSF", 27.5, 27.5), ("3/8-20 UN", 30.0, 30.0)) == hint.expected


def test_without_a_pitch_the_pitch_comes_first() -> None:
    hint = next_reading(answer(major="7.9 mm"))
    assert hint is not None
    assert "pitch" == hint.reading


def test_a_hole_is_never_sent_to_the_wires() -> None:
    hint = next_reading(answer(side="internal", minor="5.05 mm", pitch="1 mm", flank_angle="27 deg"))
    assert hint is not None
    assert "wires" not in hint.words


def test_what_has_been_read_is_not_asked_for_again() -> None:
    seen = answer(major="4.7 mm", pitch="0.8 mm", over_wires="5.12 mm", wire="0.46 mm")
    hint = next_reading(seen)
    assert hint is None or hint.reading not in ("major", "pitch", "pitch_diameter")


def test_a_settled_answer_asks_for_nothing() -> None:
    seen = answer(major="0.372 in", pitch="20 tpi", flank_angle="27.5deg")
    assert seen.settled
    assert next_reading(seen) is None


def test_nothing_is_suggested_where_no_reading_parts_the_leaders() -> None:
    seen = answer(
        major="0.310 in", pitch="26 tpi", flank_angle="28.7 deg", pitch_diameter="0.2880 in", minor="0.266 in"
    )
    assert not seen.settled
    assert next_reading(seen) is None


def test_the_leaders_are_those_worth_planning_for() -> None:
    seen = answer(major="5.92 mm", pitch="1 mm")
    assert ["M6x1", "0 BA"] == [one.designation for one in leaders(seen)]
    nothing = answer(major="5.0 mm", pitch="3.3 mm")
    assert nothing.candidates[:1] == leaders(nothing)


def test_a_thread_without_limits_would_show_its_basic_size() -> None:
    seen = answer(major="7.86 mm", pitch="1.25 mm", visible="3 mm")
    bare = tuple(replace(one, thread=replace(one.thread, all_limits=())) for one in seen.candidates)
    hint = next_reading(replace(seen, candidates=bare))
    assert hint is not None
    assert "pitch_diameter" == hint.reading
    assert [("M8x1.25", 7.188, 7.188)] == [row for row in hint.expected if row[0] == "M8x1.25"]


@pytest.mark.parametrize("side", ["external", "internal"])
def test_a_suggestion_names_the_range_of_every_leader(side: str) -> None:
    size = {"major": "5.92 mm"} if side == "external" else {"minor": "5.0 mm"}
    seen = answer(side=side, pitch="1 mm", **size)
    hint = next_reading(seen)
    assert hint is not None
    plain = hint.to_dict()
    assert [one.designation for one in leaders(seen)] == [row["designation"] for row in plain["expected"]]
    assert all(row["low"] <= row["high"] for row in plain["expected"])
