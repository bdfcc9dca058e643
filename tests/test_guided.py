"""The guided session without a terminal: what is asked, what an answer does, and when it ends."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright.guided import Session, _asked, begin, check_kept, differences, reply
from threadwright.guided_questions import FIRST, NAMES, QUESTIONS
from threadwright.machine import prior_of
from threadwright.next_reading import next_reading, pick, ranked_readings
from threadwright.readings import Readings
from threadwright.record import Answer
from threadwright.tables.errors import ReadingError, ThreadwrightError


def after(*lines: str) -> Session:
    session = begin()
    for line in lines:
        session = reply(session, line).session
    return session


def asked(*lines: str) -> str:
    one = after(*lines).asked
    return "" if one is None else one.ask


def leader(session: Session) -> str:
    assert session.belief is not None
    return session.belief.candidates[0].designation


# --- what is asked ------------------------------------------------------------------------------------------


def test_first_comes_the_side_then_the_diameter() -> None:
    assert "side" == asked()
    assert "major" == asked("screw")
    assert "minor" == asked("hole")
    assert "major" == asked("hole with its screw")


def test_after_that_the_reading_asked_is_the_next_reading() -> None:
    session = after("screw", "4.66 mm")
    assert session.belief is not None
    hint = next_reading(session.belief)
    assert hint is not None
    assert session.asked is not None
    assert (hint.reading, hint) == (session.asked.kind, session.asked.suggestion)


def test_where_and_when_the_machine_was_made_weighs() -> None:
    answers = [Answer("side", "screw"), Answer("major", "5.92 mm"), Answer("pitch", "1 mm")]
    assert "M6x1" == leader(begin(answers))
    assert "0 BA" == leader(begin(answers, prior=prior_of(made_in="GB", year=1938)))


def test_no_question_is_asked_twice_and_the_session_always_ends() -> None:
    for side in ("screw", "hole"):
        session, seen = after(side), ["side"]
        while session.asked is not None:
            seen.append(session.asked.ask)
            session = reply(session, "6.7 mm" if len(seen) == 2 else "skip").session
        assert len(seen) == len(set(seen))
        assert session.belief is not None
        assert not session.belief.settled
        assert not session.done


def test_skipping_everything_ends_without_a_reading() -> None:
    session = after("screw", *["skip"] * len(FIRST["external"]))
    assert (None, None) == (session.asked, session.belief)


def test_a_skipped_question_gives_way_to_the_next_best() -> None:
    assert "pitch" == asked("screw", "4.66 mm")
    session = after("screw", "4.66 mm")
    assert session.belief is not None
    others = [
        one for one in ranked_readings(session.belief) if one.reading != "pitch" or one.instrument != "comb"
    ]
    hint = pick(others)
    now = reply(session, "skip").session.asked
    assert now is not None
    assert hint == now.suggestion


def test_what_is_not_owned_is_never_asked_for_again() -> None:
    session = after("hole", "6.6..6.7 mm")
    kinds = []
    while session.asked is not None:
        kinds.append(session.asked.gear)
        session = reply(session, "don't have" if session.asked.gear else "skip").session
    assert 1 == kinds.count("cast of the hole")
    assert 1 == kinds.count("comb")


def test_a_piece_that_is_not_at_hand_does_not_stand_for_all_pieces() -> None:
    session = after("screw", "4.66 mm", "0.81 mm")
    assert session.asked is not None
    assert "tried 2 BA nut" == session.asked.ask
    seen, session = set(), reply(session, "dont have").session
    while session.asked is not None:
        seen.add(session.asked.ask)
        session = reply(session, "skip").session
    assert any(ask.startswith("tried ") for ask in seen)


def test_a_settled_session_asks_for_the_hand_and_ends() -> None:
    lines = ("screw", "4.66 mm", "pitch: 0.81 mm +- 0.005")
    assert "hand" == asked(*lines)
    ended = after(*lines, "left")
    assert (None, "left", "2 BA LH") == (ended.asked, ended.typed["hand"], leader(ended))
    assert () == differences(ended)
    with pytest.raises(ReadingError, match="the session is at its end; write back"):
        reply(ended, "8 mm")
    again = reply(ended, "back").session.asked
    assert again is not None
    assert "hand" == again.ask


def test_readings_that_fit_nothing_ask_on_for_the_basic_ones() -> None:
    session = after("screw", "9 mm", "3.3 mm")
    assert session.belief is not None
    assert session.belief.fits_nothing
    assert "flank_angle" == (session.asked.ask if session.asked else "")
    assert reply(session, "skip").session.asked is None


def test_done_and_stop_end_it_with_what_is_known() -> None:
    for word in ("done", "STOP"):
        session = after("screw", "4.66 mm", word)
        assert (None, True, 2) == (session.asked, session.done, len(session.answers))


def test_a_reading_for_which_there_is_no_question_is_not_asked() -> None:
    session = after("screw", "4.66 mm")
    assert session.asked is not None
    assert session.asked.suggestion is not None
    assert _asked(session.asked.suggestion, "external") == session.asked
    assert _asked(replace(session.asked.suggestion, reading="colour"), "external") is None


# --- what an answer does ------------------------------------------------------------------------------------

ANSWERED = [
    ((), "stud", {"side": "external"}),
    ((), "hole, stripped", {"side": "internal", "condition": "stripped"}),
    ((), "hole with its screw worn", {"side": "external", "condition": "worn"}),
    (("screw",), "crest: r", {"crest": "rounded"}),
    (("screw",), "over wires: 9.78 mm over 2 wires 0.75 mm", {"over_wires": "9.78 mm", "wires": 2}),
    (("screw",), "over_wires: 9.78 mm over 0.75 mm wires", {"over_wires": "9.78 mm", "wire": "0.75 mm"}),
    (("screw",), "tried: M8 nut: runs in", {"tried": ["M8 nut: runs in"]}),
    (("screw",), "taper: 1:16", {"taper": "1:16"}),
    (("screw",), "hand: l, 2 starts", {"hand": "left", "starts": 2}),
    (("screw",), "starts: 3", {"starts": 3}),
    (("screw",), "lead: 3 mm", {"lead": "3 mm"}),
    (("screw",), "across flats: 14 mm", {"across_flats": "14 mm"}),
    (("hole",), "clearance: 9 mm", {"clearance": "9 mm"}),
    (("hole",), "Bore: 6.6..6.7 mm", {"minor": "6.6..6.7 mm"}),
    (("hole", "6.6..6.7 mm"), "cast: 0.5 %", {"cast": "0.5 %"}),
    (("screw", "condition: plated"), "0.372 in", {"condition": "plated", "major": "0.372 in"}),
    (("screw", "pitch diameter: 8.7 mm"), "anvil: 60", {"anvil": 60.0}),
    (("screw", "pitch diameter: 8.7 mm"), "anvil: 55 deg", {"anvil": 55.0}),
    (("screw", "major: 9.4 mm", "major: 9.5 mm"), "20 tpi", {"major": "9.5 mm", "pitch": "20 tpi"}),
    (("screw", "4.66 mm", "skip"), "10 pitches over 8.1 mm", {"pitch": "10 pitches over 8.1 mm"}),
]  # fmt: skip


@pytest.mark.parametrize("before, line, readings", ANSWERED)
def test_an_answer_becomes_a_reading(before: tuple[str, ...], line: str, readings: dict[str, object]) -> None:
    session = reply(after(*before), line).session
    assert readings == {name: session.typed.get(name) for name in readings}
    assert Readings(**session.typed)


@pytest.mark.parametrize(
    "line, tried",
    [
        ("r", "2 BA nut: runs in"),
        ("tight after 2", "2 BA nut: tight after 2 turns"),
        ("t 1", "2 BA nut: tight after 1 turn"),
        ("will not", "2 BA nut: will not start"),
        ("0 BA nut: slides in", "0 BA nut: slides in"),
    ],
)
def test_how_a_piece_went_is_said_in_a_word(line: str, tried: str) -> None:
    assert [tried] == reply(after("screw", "4.66 mm", "0.81 mm"), line).session.typed["tried"]


def test_pieces_that_were_tried_add_up() -> None:
    session = after("hole", "tried: M8 screw: will not start", "tried: 5/16 BSW screw: runs in")
    assert 2 == len(session.typed["tried"])


def test_the_wires_asked_for_are_those_of_the_answer() -> None:
    session = after("screw", "4.66 mm", "24 tpi")
    while session.asked is not None and session.asked.kind != "over_wires":
        session = reply(session, "skip").session
    assert session.asked is not None
    wire = session.asked.ask.removeprefix("over_wires ")
    assert f"Size over three wires of {wire}." == session.asked.words
    typed = reply(session, "9.78 mm").session.typed
    assert ("9.78 mm", wire) == (typed["over_wires"], typed["wire"])


def test_back_takes_back_any_answer_one_by_one() -> None:
    lines = ("screw", "4.66 mm", "skip", "don't have", "crest: flat")
    session = after(*lines)
    for count in range(len(lines) - 1, -1, -1):
        told = reply(session, "back")
        assert session.answers[-1] == told.undone
        session = told.session
        assert after(*lines[:count]) == session
    with pytest.raises(ReadingError, match="back: there is no answer to take back"):
        reply(session, "back")


REFUSED = [
    ((), "washer", "side: cannot be 'washer'; write screw, hole or hole with its screw"),
    ((), "hole rusty", "side: 'rusty' says nothing; write screw, hole"),
    (
        (),
        "skip",
        "side: it decides all the rest; write screw, hole or hole with its screw; add worn, stripped or "
        r"plated; or \?$",
    ),
    ((), "don't have", "side: it decides all the rest"),
    ((), " ", "nothing written; write screw, hole or hole with its screw"),
    (("screw",), "4.66", "major diameter: '4.66' has no unit"),
    (("screw",), "pitch:", "nothing written; write its value behind it"),
    (("screw",), "?soup", r"\?: no reading 'soup'; there is side, major"),
    (("hole",), "? crest", r"\?: no reading 'crest'"),
    (("screw", "4.66 mm"), "5 mm over there", "pitch: cannot read"),
    (("screw", "4.66 mm"), "minor: 5 mm", "minor diameter: 5 mm is not below the major diameter 4.66 mm"),
    (("hole",), "over wires: 9 mm over 0.7 mm", "over wires: wires lie on an external thread only"),
    (("screw",), "over wires: 9 mm", "over wires: '9 mm' without the wires; write it like '9.78 mm over 0.7"),
    (("screw",), "crest: soft", "crest: cannot be 'soft'; write one of flat, rounded, sharp"),
    (("screw",), "condition: p and q", "condition: cannot be 'p and q'"),
    (("screw",), "hand: r, many", "starts: cannot read 'many'; write a count, like 2"),
    (("screw",), "tried: M8 nut", "tried: cannot read 'M8 nut'"),
    (("screw",), "anvil: steep", "anvil"),
    (
        ("screw", "4.66 mm", "0.81 mm"),
        "stuck",
        "tried: cannot be 'stuck'; write one of runs in, slides in, will not start, tight after 2 turns",
    ),
    (
        ("screw", "4.66 mm", "pitch: 0.81 mm +- 0.005"),
        "don't have",
        "nothing is needed for it; write right or",
    ),
]


@pytest.mark.parametrize("before, line, message", REFUSED)
def test_a_bad_answer_says_what_to_write(before: tuple[str, ...], line: str, message: str) -> None:
    session = after(*before)
    with pytest.raises(ReadingError, match=message):
        reply(session, line)


def test_the_curly_apostrophe_is_one_too() -> None:
    told = reply(after("screw", "4.66 mm"), "Don\u2019t  have")
    assert ("not owned", Answer("pitch", "don't have")) == (told.did, told.session.answers[-1])


# --- help ---------------------------------------------------------------------------------------------------


def test_every_question_has_a_text_and_a_drawing_that_fit_the_terminal() -> None:
    for (side, kind), question in QUESTIONS.items():
        assert side in ("external", "internal")
        assert kind in NAMES.values()
        assert question.how.endswith(".")
        assert question.like
        lines = question.sketch.strip("\n").splitlines()
        assert 2 <= len(lines) <= 8
        assert max(map(len, lines)) <= 70
        assert question.sketch.isascii()


def test_the_example_of_every_question_is_an_answer() -> None:
    detail = {"over_wires": "over_wires 0.75 mm"}
    for (side, kind), question in QUESTIONS.items():
        piece = f"tried M8 {'nut' if side == 'external' else 'screw'}"
        example = question.like.split(",")[0].split(" or ")[0].split(" (")[0]
        answers = [Answer("side", "screw" if side == "external" else "hole")]
        answers.append(Answer(piece if kind == "tried" else detail.get(kind, kind), example))
        assert answers[-1].say == example == begin(answers).answers[-1].say


def test_help_tells_of_the_question_or_of_another_and_changes_nothing() -> None:
    session = after("screw", "4.66 mm")
    own, other = reply(session, "?"), reply(session, "? flank angle")
    assert (own.session, other.session) == (session, session)
    assert own.help is not None
    assert own.help.question is QUESTIONS["external", "pitch"]
    assert own.help.suggestion is not None
    assert other.help is not None
    assert (QUESTIONS["external", "flank_angle"], None) == (other.help.question, other.help.suggestion)


# --- the doubt left, and answers that were kept -------------------------------------------------------------


def test_what_was_left_out_is_told_with_the_reason() -> None:
    session = after("screw", "0.372 in", "20 tpi", "skip", "skip", "don't have")
    reasons = {one.suggestion.reading: one.because for one in differences(session)}
    assert "not at hand" == reasons["flank_angle"]
    assert "skipped" == reasons["crest"]
    assert "not taken" == reasons["minor"]
    skipped = differences(after("screw", "0.372 in", "20 tpi", "skip"))
    assert "skipped" in {one.because for one in skipped}
    assert () == differences(after("screw"))


def test_answers_that_were_kept_go_on_where_they_ended() -> None:
    session = after("screw", "4.66 mm", "skip", "don't have", "crest: flat")
    assert session == check_kept(session.answers, prior=session.prior, where="x")


@pytest.mark.parametrize(
    "answers, message",
    [
        ([Answer("side", "screw"), Answer("weight", "3 kg")], "x, answer 2: 'weight': no such question"),
        ([Answer("weight", "skip")], "x, answer 1: 'weight': no such question"),
        ([Answer("side", "hole"), Answer("minor", "8"), Answer("pitch", "soft")], "x, answer 2: minor"),
    ],
)
def test_an_answer_that_was_spoilt_by_hand_is_named(answers: list[Answer], message: str) -> None:
    with pytest.raises(ReadingError, match=message):
        check_kept(answers, prior=begin().prior, where="x")


def test_an_instrument_of_the_other_side_that_was_not_owned_is_no_fault() -> None:
    session = begin([Answer("over_wires", "don't have"), Answer("side", "hole")])
    assert "minor" == (session.asked.ask if session.asked else "")


WORDS = ["back", "skip", "don't have", "?", "8 mm", "done"]


@settings(max_examples=30)
@given(
    st.lists(
        st.text(max_size=30) | st.sampled_from(["back", "skip", "don't have", "?", "8 mm", "done"]),
        max_size=8,
    )
)
def test_no_line_breaks_a_session(lines: list[str]) -> None:
    session = after("screw")
    for line in lines:
        try:
            told = reply(session, line)
        except ThreadwrightError:
            continue
        session = told.session
        assert session.done or session == begin(session.answers)
        if session.done:
            break
