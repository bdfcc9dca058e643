"""Which reading to take next."""

from dataclasses import replace

import numpy as np
import pytest

from threadwright import judgement
from threadwright.next_reading import leaders, next_reading, pick, ranked_readings
from threadwright.ranking import Identification, identify
from threadwright.readings import Readings


def answer(**given: str) -> Identification:
    return identify(Readings(**given))


def test_two_threads_of_one_size_and_pitch_are_parted_by_the_flank_angle() -> None:
    hint = next_reading(answer(major="0.372 in", pitch="20 tpi"), without=("across_flats", "crest"))
    assert hint is not None
    assert ("flank_angle", "deg") == (hint.reading, hint.unit)
    assert (("3/8-20 BSF", 27.5, 27.5), ("3/8-20 UN", 30.0, 30.0)) == hint.expected
    assert 0 < hint.bits < hint.doubt < 1


def test_their_hexagons_part_them_sooner_as_a_head_is_quickly_measured() -> None:
    hint = next_reading(answer(major="0.372 in", pitch="20 tpi"))
    assert hint is not None
    assert ("across_flats", "mm") == (hint.reading, hint.unit)
    (fine, *fine_ends), (unified, *unified_ends) = hint.expected
    assert ("3/8-20 BSF", "3/8-20 UN") == (fine, unified)
    assert [0.592 * 25.4, 0.600 * 25.4] == pytest.approx(fine_ends)
    assert 9 / 16 * 25.4 == pytest.approx(unified_ends[1])


def test_a_hexagon_read_is_not_asked_for_again() -> None:
    hint = next_reading(answer(major="7.9 mm", across_flats="13 mm"))
    assert hint is not None
    assert "across_flats" != hint.reading


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
        major="0.310 in",
        pitch="10 pitches over 9.77 mm by caliper",
        flank_angle="28.7 deg",
        pitch_diameter="0.2880 in",
        minor="0.266 in",
        crest="flat",
        across_flats="13.3 mm",
    )
    names = {one.reading for one in ranked_readings(seen)}
    assert names <= {"tried"}


def test_of_two_readings_that_settle_it_the_quicker_is_taken() -> None:
    ranked = ranked_readings(answer(major="0.372 in", pitch="20 tpi"), without=("across_flats",))
    flank = next(one for one in ranked if one.reading == "flank_angle")
    slow = replace(flank, minutes=2 * flank.minutes, words="slowly")
    assert flank == pick([slow, flank])
    assert slow == pick([slow])


def test_the_most_telling_reading_is_planned_for_however_many_there_are() -> None:
    ranked = ranked_readings(answer(major="0.372 in", pitch="20 tpi"), without=("across_flats",))
    flank = next(one for one in ranked if one.reading == "flank_angle")
    blind = replace(flank, bits=0.01, outcomes=np.full_like(flank.outcomes, 1 / len(flank.outcomes)))
    assert flank == pick([*(replace(blind, minutes=float(m)) for m in range(10, 30)), flank])


def test_what_a_leader_would_show_is_said_in_words_where_it_is_no_number() -> None:
    ranked = ranked_readings(answer(major="0.372 in", pitch="20 tpi"))
    crest = next(one for one in ranked if one.reading == "crest")
    shows = {row["designation"]: row["shows"] for row in crest.to_dict()["expected"]}
    assert {"3/8-20 BSF": "rounded", "3/8-20 UN": "flat"} == shows


def test_the_leaders_are_those_worth_planning_for() -> None:
    seen = answer(major="5.92 mm", pitch="1 mm")
    assert ["M6x1", "0 BA"] == [one.designation for one in leaders(seen)]
    nothing = answer(major="5.0 mm", pitch="3.3 mm")
    assert nothing.candidates[:1] == leaders(nothing)


@pytest.mark.parametrize("side", ["external", "internal"])
def test_a_suggestion_names_the_range_of_every_leader(side: str) -> None:
    size = {"major": "5.92 mm"} if side == "external" else {"minor": "5.0 mm"}
    seen = answer(side=side, pitch="1 mm", **size)
    hint = next_reading(seen)
    assert hint is not None
    plain = hint.to_dict()
    assert [one.designation for one in leaders(seen)] == [row["designation"] for row in plain["expected"]]
    assert all(row["low"] is None or row["low"] <= row["high"] for row in plain["expected"])


def test_more_certainty_than_settles_an_answer_can_be_sought() -> None:
    seen = answer(major="0.372 in", pitch="20 tpi", flank_angle="27.5deg")
    assert judgement.SETTLED <= seen.candidates[0].probability < 0.9999
    assert next_reading(seen) is None
    hint = next_reading(seen, certainty=0.9999)
    assert hint is not None
    assert "flank_angle" != hint.reading


def test_a_lone_leader_is_tested_against_a_thread_of_no_table() -> None:
    seen = answer(major="3.73 mm", pitch="0.5 mm")
    assert ["M4x0.5"] == [one.designation for one in leaders(seen)]
    assert not seen.settled
    hint = next_reading(seen)
    assert hint is not None
    assert 2 == len(hint.chances)
    assert hint.outcomes.sum(axis=0) == pytest.approx(np.ones(2))
    assert [one.designation for one in leaders(seen)] == [name for name, _, _ in hint.expected]


def test_nothing_is_asked_where_no_thread_of_the_tables_fits() -> None:
    assert next_reading(answer(major="5.0 mm", pitch="3.3 mm")) is None


def test_a_piece_that_was_tried_is_not_tried_again() -> None:
    hole = {"side": "internal", "pitch": "1 mm", "minor": "5.0..5.1 mm"}
    first = {one.piece for one in ranked_readings(answer(**hole))}
    assert "0 BA screw" in first
    tried = identify(Readings(**hole, tried=["0 BA screw: runs in"]))  # type: ignore[arg-type]
    assert "0 BA screw" not in {one.piece for one in ranked_readings(tried)}


def test_the_same_trial_told_twice_is_one_witness() -> None:
    hole = {"side": "internal", "pitch": "1 mm", "minor": "5.0..5.1 mm"}
    told = [identify(Readings(**hole, tried=n * ["0 BA screw: runs in"])) for n in (1, 2, 6)]  # type: ignore[arg-type]
    assert 1 == len({one.candidates[0].probability for one in told})


def test_a_taper_is_looked_for_where_a_parallel_and_a_taper_thread_lead() -> None:
    seen = answer(major="13.1 mm", pitch="19 tpi")
    hint = next_reading(seen, without=("across_flats",))
    assert hint is not None
    assert "taper" == hint.reading
    shows = {name: low for name, low, _ in hint.expected}
    assert (0.0, 1 / 16) == (shows["G 1/4"], shows["R 1/4"])
    read = answer(major="13.1 mm", pitch="19 tpi", taper="1:16")
    assert "taper" not in {one.reading for one in ranked_readings(read)}
    assert "taper" not in {one.reading for one in ranked_readings(answer(major="7.9 mm"))}


def test_where_all_would_show_the_same_the_outcome_that_parts_them_is_named() -> None:
    seen = answer(side="internal", pitch="1 mm", minor="5.0..5.1 mm")
    trial = next(one for one in ranked_readings(seen) if one.piece == "0 BA screw")
    words = {word for word, _ in trial.shows}
    assert 1 == len(words)
    assert max(p for _, p in trial.shows) - min(p for _, p in trial.shows) > 0.3


def test_what_was_planned_for_is_told_as_a_share() -> None:
    vague = ranked_readings(answer(flank_angle="30deg"))[0]
    assert vague.planned < 0.3
    sharp = ranked_readings(answer(major="0.372 in", pitch="20 tpi"))[0]
    assert sharp.planned > 0.99
