"""``threadwright guide``: over a pipe, in a terminal, killed and taken up again."""

import io
import json
import os
import shlex
import signal
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from command_line import Ran, run
from terminal import CODE, terminal
from threadwright.cli import format
from threadwright.record import Answer, OpenSession, read_record, save_session

Guide = Callable[..., Ran]
KEPT = ("--record", "press.toml", "--place", "ink disc bracket")


@pytest.fixture
def shed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, made the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


class Pipe:
    """A stdin that is no terminal."""

    def __init__(self, text: bytes) -> None:
        self.buffer = io.BytesIO(text)

    def isatty(self) -> bool:
        return False


@pytest.fixture
def guide(shed: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Guide:
    """Run a session in this process and an empty folder, with lines from a pipe."""
    assert shed.is_dir()

    def piped(*words: str, lines: str = "") -> Ran:
        monkeypatch.setattr(sys, "stdin", Pipe(lines.encode()))
        return run(capsys, "guide", *words)

    return piped


def typed(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def flowing(text: str) -> str:
    return " ".join(text.split())


SETTLED = typed("screw", "4.66 mm", "pitch: 0.81 mm +- 0.005", "right")


# --- over a pipe --------------------------------------------------------------------------------------------


def test_a_script_gets_a_transcript_that_can_be_read(guide: Guide) -> None:
    ran = guide(lines=typed("screw", "4.66 mm", "skip", "done"))
    assert (0, "") == (ran.status, ran.err)
    assert ran.out.startswith(
        "Answer with a reading, or: ? how to measure, back, skip, don't have, done.\n"
        "Nothing is kept; --record FILE.toml and --place TEXT keep every answer.\n\n"
        "Is it a screw or a hole?\n"
    )
    assert "\n> screw\n\nMajor diameter, over the crests.\n  Write it like 9.45 mm, " in ran.out
    assert "\n> 4.66 mm\n  3/16-24 BSW 0.25, 2 BA 0.19, No. 10-24 UNC 0.17; others 0.39.\n" in ran.out
    assert max(map(len, ran.out.partition("\nNext\n")[0].splitlines())) <= 80
    assert "\x1b" not in ran.out


def test_it_ends_when_it_is_settled_with_the_dangers_and_the_next_command(guide: Guide) -> None:
    ran = guide(lines=SETTLED + typed("this is not read"))
    assert (0, "") == (ran.status, ran.err)
    assert "2 BA 0.97, M5x0.8 0.01, 3/16-32 BSF 0.01; others 0.01. Settled." in flowing(ran.out)
    assert "\n2 BA, probability 0.97.\n" in ran.out
    assert "Must not go on the 2 BA screw, though they start by hand: M5x0.8" in flowing(ran.out)
    assert "not read" not in ran.out
    assert ran.out.endswith(
        '\nNext\n  threadwright verify "2 BA" --external --major "4.66 mm" --pitch "0.81 mm +- 0.005"\n'
    )


def test_an_end_that_is_not_settled_says_what_would_part_the_leaders(guide: Guide) -> None:
    ran = guide("--made-in", "GB", "--year", "1926", lines=typed("screw", "0.372 in", "done"))
    said = flowing(ran.out)
    assert "Not settled: 3/8-16 BSW or 3/8-20 BSF. Cut nothing to it yet." in said
    assert "Next, measure" not in said
    assert ran.out.rstrip().endswith('threadwright identify --major "0.372 in" --made-in GB --year 1926')
    skipped = typed("screw", "4.66 mm", "24 tpi", "skip", "skip", "skip", "skip", "done")
    american = flowing(guide(lines=skipped).out)
    assert "To part them, measure the minor diameter (skipped): 3.139 to 3.406 mm for 3/16-24 BSW" in american
    assert "To part them, measure the flank angle, against" in american
    assert "If it is 3/16-24 BSW: must not go on the 3/16-24 BSW screw" in american


def test_leaders_that_no_reading_parts_are_said_to_be_so(guide: Guide) -> None:
    lines = typed("hole", "tried: M8 screw: runs in", "done")
    assert "Not settled: M8x1.25" in flowing(guide(lines=lines).out)


def test_a_bad_answer_is_one_line_on_stderr_and_the_next_line_is_taken(guide: Guide) -> None:
    ran = guide(lines=typed("screw", "4,66 mm", "4.66 mm", "pitch: soft", "done"))
    assert 0 == ran.status
    assert [
        "threadwright: major diameter: cannot read '4,66 mm': the decimal sign is a point",
        "threadwright: pitch: cannot read 'soft'",
    ] == [line.partition(";")[0] for line in ran.err.splitlines()]
    assert 1 == ran.out.count("Major diameter, over the crests.")


def test_the_end_of_input_ends_it_with_what_is_known(guide: Guide) -> None:
    ran = guide(lines="screw\n4.66 mm")
    assert (0, "") == (ran.status, ran.err)
    assert "Most likely 3/16-24 BSW, probability 0.25: not settled." in ran.out
    assert "Not finished" not in ran.out


def test_the_exit_status_is_that_of_identify(guide: Guide) -> None:
    none = guide(lines=typed("screw", "done"))
    assert (2, 1) == (none.status, none.err.count("\n"))
    assert "no reading given; measure the major diameter over the crests first" in none.err
    nothing = guide(lines=typed("screw", "9 mm", "3.3 mm", "done"))
    assert (3, "") == (nothing.status, nothing.err)
    assert "No thread of the tables fits (>0.99)" in nothing.out
    assert "Next" not in nothing.out


def test_without_any_stdin_nothing_is_known(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert 2 == run(capsys, "guide").status


def test_what_is_no_text_is_shown_as_question_marks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", Pipe(b"scr\xff\x1b[2J\n" + b"x" * 9000 + b"\nscrew\n8 mm\ndone\n"))
    ran = run(capsys, "guide")
    assert 0 == ran.status
    assert "\x1b" not in ran.out + ran.err
    assert "Most likely" in ran.out
    assert max(map(len, ran.err.splitlines())) < 250


@pytest.mark.parametrize("line", ["?", "? flank angle"])
def test_a_question_mark_tells_how_to_measure_with_a_drawing(line: str, guide: Guide) -> None:
    ran = guide(lines=typed("screw", "4.66 mm", line))
    if line == "?":
        assert "  [========= 20 ==========]   leaf\n" in ran.out
        assert "About 1 min. It would show 24 tpi for 3/16-24 BSW, 0.81 mm for 2 BA," in flowing(ran.out)
    else:
        assert "        \\__|__/\n" in ran.out
    assert "'? pitch' tells of it." in flowing(ran.out)


def test_back_skip_and_dont_have(guide: Guide) -> None:
    ran = guide(lines=typed("screw", "4.66 mm", "0.81 mm", "don't have", "back", "back", "20 tpi", "done"))
    said = flowing(ran.out)
    assert "No more questions that need: 2 BA nut." in said
    assert "Taken back: tried 2 BA nut: don't have. 2 BA 0.81," in said
    assert "Taken back: pitch: 0.81 mm. 3/16-24 BSW 0.25," in said
    assert "pitch 20 tpi" in said
    assert "> back Taken back: side: screw. Is it" in flowing(guide(lines=typed("screw", "back")).out)


def test_the_screw_that_came_out_is_measured_for_the_hole(guide: Guide) -> None:
    british = ("--made-in", "GB", "--year", "1926")
    ran = guide(*KEPT, *british, lines=typed("hole with its screw", "0.372 in", "20 tpi", "left"))
    said = flowing(ran.out)
    assert "Must not go" not in said  # no right-hand screw starts in a left-hand hole
    assert 'threadwright verify "3/8-20 BSF LH" --external --major "0.372 in" --pitch "20 tpi"' in said
    assert 'threadwright repair "3/8-20 BSF LH" --parent "cast iron" --depth "20 mm"' in said
    assert "Put the part's own metal and depth into the last line." in said
    (held,) = read_record("press.toml").entries
    assert ("3/8-20 BSF LH", "read on the screw of this hole") == (held.designation, held.notes)
    assert {"side": "external", "major": "0.372 in", "pitch": "20 tpi", "hand": "left"} == held.readings


@pytest.mark.parametrize(
    "lines",
    [
        SETTLED,
        typed("screw", "4.66 mm", "done"),
        typed("hole with its screw", "0.372 in by micrometer", "20 tpi", "flank angle: 27.5deg", "left"),
        typed("hole worn", "6.6..6.7 mm", "tried: M8 screw: runs in", "skip", "done"),
        typed("screw", "0.372 in", "over wires: 9.81 mm over 0.75 mm", "pitch diameter: 8.7 mm", "done"),
    ],
)
def test_the_commands_offered_can_be_run(
    lines: str, guide: Guide, capsys: pytest.CaptureFixture[str]
) -> None:
    commands = [line for line in guide(lines=lines).out.splitlines() if line.startswith("  threadwright ")]
    assert commands
    for command in commands:
        ran = run(capsys, *shlex.split(command)[1:])
        assert (True, "") == (ran.status in (0, 3), ran.err), command


def test_a_word_that_double_quotes_would_spoil_is_quoted_otherwise() -> None:
    from threadwright.cli.guide_end import _command

    words = ["identify", "--major", '0.372"', "--pitch", "20 tpi", "--hand", "left"]
    assert """identify --major '0.372"' --pitch "20 tpi" --hand left""" == _command(words)
    assert words == shlex.split(_command(words))


# --- JSON ---------------------------------------------------------------------------------------------------


def test_the_json_stands_alone_on_stdout(guide: Guide) -> None:
    ran = guide(*KEPT, "--json", lines=SETTLED)
    plain = json.loads(ran.out)
    assert "Is it a screw or a hole?" in ran.err
    assert (True, True, []) == (plain["finished"], plain["settled"], plain["differ_in"])
    assert {"ask": "major", "say": "4.66 mm"} == plain["answers"][1]
    assert "M5x0.8" == plain["dangers"][0]["designation"]
    assert plain["next"][0].startswith('threadwright verify "2 BA"')
    assert "2 BA" == plain["record"]["saved"]
    open_one = json.loads(guide("--json", lines=typed("screw", "4.66 mm", "24 tpi", "skip")).out)
    assert (False, False) == (open_one["finished"], open_one["settled"])
    assert "skipped" in {one["because"] for one in open_one["differ_in"]}
    nothing = json.loads(guide("--json", lines=typed("screw", "9 mm", "3.3 mm", "done")).out)
    assert (False, [], []) == (nothing["finished"], nothing["dangers"], nothing["next"])


# --- the record ---------------------------------------------------------------------------------------------


def test_every_answer_is_in_the_record_and_the_session_goes_on(guide: Guide) -> None:
    first = guide(*KEPT, "--made-in", "GB", lines=typed("screw", "0.372 in", "don't have", "crest: flat"))
    assert 'Not finished: open in press.toml as "ink disc bracket"; the same command goes on.' in flowing(
        first.out
    )
    record = read_record("press.toml")
    (held,) = record.sessions
    asked = ("side: screw", "major: 0.372 in", "pitch: don't have", "crest: flat")
    assert asked == tuple(f"{one.ask}: {one.say}" for one in held.answers)
    assert ("GB", ()) == (record.machine.made_in, record.entries)
    again = guide(*KEPT, lines=typed("pitch: 20 tpi", "flank angle: 27.5deg", "right"))
    assert "Going on after side: screw; major: 0.372 in; pitch: don't have; crest: flat." in flowing(
        again.out
    )
    assert 'Saved in press.toml as "ink disc bracket": 3/8-20 BSF, probability ' in flowing(again.out)
    record = read_record("press.toml")
    assert ((), "3/8-20 BSF") == (record.sessions, record.entries[0].designation)
    assert {"side": "external", "major": "0.372 in", "pitch": "20 tpi", "crest": "flat"}.items() <= (
        record.entries[0].readings.items()
    )


def test_a_session_that_is_not_finished_shows_in_the_schedule(
    guide: Guide, capsys: pytest.CaptureFixture[str]
) -> None:
    guide(*KEPT, lines=typed("screw", "0.372 in"))
    out = run(capsys, "record", "press.toml").out
    assert "ink disc bracket: not finished; 2 answers kept, and guide goes on with it\n" in out
    assert "NOT SETTLED" not in out
    plain = json.loads(run(capsys, "record", "press.toml", "--json").out)
    assert [] == plain["fasteners"]
    assert "ink disc bracket" == plain["not_finished"][0]["place"]
    other = run(capsys, "identify", "--major", "8 mm", "--record", "press.toml", "--json")
    assert {} == json.loads(other.out)["record"]["counted"]


def test_a_place_that_is_in_the_record_is_measured_again_on_request(guide: Guide, shed: Path) -> None:
    guide(*KEPT, lines=typed("screw", "4.66 mm", "done"))
    text = (shed / "press.toml").read_text()
    assert "say --replace to measure it again, or name another place" in guide(*KEPT, lines="screw\n").refusal
    assert text == (shed / "press.toml").read_text()
    assert 0 == guide(*KEPT, "--replace", lines=SETTLED).status
    assert [("2 BA", 0.97)] == [
        (one.designation, round(one.probability, 2)) for one in read_record("press.toml").entries
    ]


def test_what_fits_nothing_stays_open(guide: Guide) -> None:
    ran = guide(*KEPT, lines=typed("screw", "9 mm", "3.3 mm", "done"))
    assert 3 == ran.status
    assert "Not saved: no thread fits." in ran.out
    record = read_record("press.toml")
    assert ((), 3) == (record.entries, len(record.sessions[0].answers))
    assert "Taken back: pitch: 3.3 mm." in guide(*KEPT, lines="back\n").out


def test_two_sessions_on_one_record_keep_each_their_own(shed: Path) -> None:
    lines = typed("screw", "4.66 mm", "skip", "crest: flat", "condition: worn")
    started = [
        subprocess.Popen(
            [sys.executable, "-c", CODE, "guide", "--record", "press.toml", "--place", place],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for place in ("lid", "foot", "cover")
    ]  # fmt: skip
    for process in started:
        assert process.stdin is not None
        process.stdin.write(lines)
        process.stdin.close()
        process.stdin = None
    assert [0, 0, 0] == [process.wait(timeout=60) for process in started]
    assert [""] * 3 == [process.communicate(timeout=60)[1] for process in started]
    sessions = read_record("press.toml").sessions
    assert {"lid": 5, "foot": 5, "cover": 5} == {one.place: len(one.answers) for one in sessions}
    assert ["press.toml"] == [path.name for path in shed.iterdir()]


def test_a_second_session_at_the_same_place_is_told(guide: Guide, monkeypatch: pytest.MonkeyPatch) -> None:
    from threadwright.cli.guide_record import Keeper

    keep = Keeper.keep

    def overtaken(self: Keeper, session):  # type: ignore[no-untyped-def]
        """Another program writes before the second answer is kept."""
        if len(session.answers) == 2:
            other = OpenSession(place=self.place, answers=(*session.answers, Answer("crest", "flat")))
            save_session("press.toml", other, before=self.held)
        keep(self, session)

    monkeypatch.setattr(Keeper, "keep", overtaken)
    ran = guide(*KEPT, lines=typed("screw", "4.66 mm"))
    assert 2 == ran.status
    assert "another program has changed the session at 'ink disc bracket' meanwhile" in ran.err
    assert 3 == len(read_record("press.toml").sessions[0].answers)


@pytest.mark.parametrize(
    "text, message",
    [
        ('[[session]]\nplace = "ink disc bracket"\nanswers = [\n    {ask = "si', "not a whole TOML file"),
        (
            '[[session]]\nplace = "ink disc bracket"\nanswers = [{ask = "side", say = "tree"}]\n',
            "record press.toml, [[session]] 'ink disc bracket', answer 1: side: cannot be 'tree'",
        ),
    ],
)
def test_a_record_that_is_cut_off_or_spoilt_is_refused_in_one_line(
    text: str, message: str, guide: Guide, shed: Path
) -> None:
    (shed / "press.toml").write_text(text)
    assert message in guide(*KEPT, lines="screw\n").refusal
    assert text == (shed / "press.toml").read_text()


USAGE = [
    (("--record", "press.toml"), "a session is kept in a record under a place; give a --place"),
    (("--place", "lid"), "a session is kept in a record under a place; give --record FILE.toml too"),
    (("--replace",), "--replace needs --record and --place"),
    (("--record", "press.toml", "--place", " "), "place: cannot be ''"),
    (("--record", "no/such.toml", "--place", "lid"), None),
    (("--made-in", "Atlantis"), "made in: no country 'Atlantis'"),
    (("--priors", "none.toml"), "priors none.toml: cannot be read"),
    (("--record", ".", "--place", "lid"), "record .: cannot be read (Is a directory)"),
]


@pytest.mark.parametrize("words, message", USAGE)
def test_options_that_cannot_be_are_refused(
    words: tuple[str, ...], message: str | None, guide: Guide, shed: Path
) -> None:
    ran = guide(*words, lines="screw\n8 mm\n")
    assert 2 == ran.status
    assert (message or "no/such.toml: cannot be locked") in ran.err
    assert 1 == ran.err.count("\n")
    assert [] == list(shed.iterdir())


def test_an_interrupt_between_two_answers_is_status_130_and_the_session_stays(
    guide: Guide, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Broken(io.BytesIO):
        """Lines, and then Ctrl-C."""

        def readline(self, size: int | None = -1, /) -> bytes:
            line = super().readline(size)
            if not line:
                raise KeyboardInterrupt
            return line

    assert 0 == guide(*KEPT, lines="screw\n4.66 mm\n").status
    pipe = Pipe(b"")
    pipe.buffer = Broken(b"skip\n")
    monkeypatch.setattr(sys, "stdin", pipe)
    ran = run(capsys, "guide", *KEPT)
    assert (130, "") == (ran.status, ran.err.strip())
    assert "Not finished: open in press.toml" in ran.out
    assert 3 == len(read_record("press.toml").sessions[0].answers)


def test_a_session_that_was_cut_off_after_its_last_answer_is_finished_at_once(guide: Guide) -> None:
    answers = [("side", "screw"), ("major", "4.66 mm"), ("pitch", "0.81 mm +- 0.005"), ("hand", "right")]
    session = OpenSession(place="ink disc bracket", answers=tuple(Answer(*one) for one in answers))
    save_session("press.toml", session, before=None)
    ran = guide(*KEPT)
    assert 0 == ran.status
    assert "> " not in ran.out
    record = read_record("press.toml")
    assert ("2 BA", ()) == (record.entries[0].designation, record.sessions)


# --- in a terminal ------------------------------------------------------------------------------------------


def test_a_session_is_killed_in_the_middle_taken_up_again_and_finished(shed: Path) -> None:
    words = ("guide", *KEPT, "--made-in", "GB", "--year", "1926")
    with terminal(*words, cwd=shed) as first:
        first.wait_for("Is it a screw or a hole?")
        first.wait_for("> ")
        first.type("screw")
        first.wait_for("Major diameter, over the crests.")
        first.type("0.372 in")
        first.wait_for("Pitch, with the comb.")
        first.type("20")
        first.wait_for("threadwright: pitch: '20' has no unit")
        first.type("20 tpi")
        first.wait_for("3/8-20 BSF >0.99")
        first.kill()
        assert -signal.SIGKILL == first.process.returncode
    assert ["press.toml"] == [path.name for path in shed.iterdir()]
    held = tomllib.loads((shed / "press.toml").read_text())["session"][0]
    assert ["screw", "0.372 in", "20 tpi"] == [one["say"] for one in held["answers"]]
    with terminal(*words, cwd=shed) as second:
        said = second.wait_for("\n> ")
        assert "Going on after side: screw; major: 0.372 in; pitch: 20 tpi." in flowing(said)
        assert "3/8-20 BSF >0.99" in said
        second.type("?")
        second.wait_for("'? pitch' tells of it.")
        second.type("flank angle: 27.5deg")
        second.wait_for("Right-hand or left-hand")
        second.type("right")
        status, shown = second.end()
    assert 0 == status
    assert "3/8-20 BSF, probability " in shown
    assert 'Saved in press.toml as "ink disc bracket"' in flowing(shown)
    assert max(map(len, shown.partition("Next")[0].splitlines())) <= 80 + len(format.heading(""))
    record = read_record(shed / "press.toml")
    assert ((), "3/8-20 BSF") == (record.sessions, record.entries[0].designation)


def test_an_interrupt_or_the_end_of_input_leaves_the_session_open(shed: Path) -> None:
    for key, status, kept in (("\x03", 130, 2), ("\x04", 0, 3)):
        with terminal("guide", *KEPT, cwd=shed, NO_COLOR="1") as session:
            session.wait_for("> ")
            session.type("screw" if kept == 2 else "skip")
            session.wait_for("> ")
            if kept == 2:
                session.type("4.66 mm")
                session.wait_for("Pitch, with the comb.")
                session.wait_for("> ")
            os.write(session.master, key.encode())
            ended, shown = session.end()
        assert status == ended
        assert "Not finished: open in press.toml" in shown
        assert "\x1b" not in shown
        assert kept == len(read_record(shed / "press.toml").sessions[0].answers)
