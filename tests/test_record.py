"""The machine record: reading it, saving into it, and what must not be lost."""

import datetime
import errno
import os
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import python
from project_files import ROOT
from threadwright.record import (
    Answer,
    Entry,
    Machine,
    OpenSession,
    parse_record,
    read_record,
    save_entry,
    save_session,
)
from threadwright.safe_file import locked
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import FileFaultError, RecordError
from threadwright.tables.registry import find_thread

HAND_MADE = """\
# The press in the shed.
[machine]
name = "treadle press"  # bought in the spring
made_in = "GB"
year = 1926

# three alike
[[fastener]]
place = "ink disc bracket"
thread = "3/8-20 BSF medium"
probability = 0.98   # by the flank angle
readings = { major = ["0.372 in", "0.371 in"], pitch = "20 tpi", wires = 3 }
date = 2026-05-31
notes = "look again in winter"

  [[fastener]]   # indented
  place = "side cover"
  thread = '2 ba lh'
# the end"""


def entry(place: str, thread: str = "1/4-20 BSW", **more: object) -> Entry:
    return Entry(place=place, thread=find_thread(thread), probability=0.9, **more)  # type: ignore[arg-type]


@pytest.fixture
def press(tmp_path: Path) -> Path:
    path = tmp_path / "press.toml"
    path.write_text(HAND_MADE, encoding="utf-8")
    return path


# --- reading ------------------------------------------------------------------------------------------------


def test_a_record_holds_the_machine_and_its_fasteners(press: Path) -> None:
    record = read_record(press)
    assert Machine(name="treadle press", made_in="GB", year=1926) == record.machine
    bracket, cover = record.entries
    assert ("3/8-20 BSF", "medium", 0.98) == (
        bracket.designation, bracket.tolerance_class, bracket.probability,
    )  # fmt: skip
    assert {"major": ["0.372 in", "0.371 in"], "pitch": "20 tpi", "wires": 3} == dict(bracket.readings)
    assert datetime.date(2026, 5, 31) == bracket.date
    assert ("2 BA LH", None, 1.0) == (cover.designation, cover.tolerance_class, cover.probability)
    assert ({}, None, None) == (dict(cover.readings), cover.date, cover.notes)


def test_each_fastener_counts_by_its_probability_and_never_for_itself(press: Path) -> None:
    record = read_record(press)
    assert {"BSF": 0.98, "BA": 1.0} == record.counts()
    assert {"BA": 1.0} == record.counts(without="Ink  disc BRACKET")
    assert {"BSF": 0.98, "BA": 1.0} == record.counts(without="elsewhere")


def test_the_thread_of_every_candidate_can_be_written_and_read_again() -> None:
    catalogue = candidates()
    for index in range(len(catalogue)):
        thread = catalogue.thread(index)
        assert thread.system == find_thread(thread.designation).system


@pytest.mark.parametrize("name", [path.name for path in (ROOT / "samples").glob("*-record.toml")])
def test_the_sample_record_is_one(name: str) -> None:
    assert read_record(ROOT / "samples" / name).entries


LEAST = '[[fastener]]\nplace = "foot"\nthread = "M8"\n'
FAULTS = [
    ("machine = 3", "x.toml, [machine]: it is not a section"),
    ("[machin]", "x.toml, machin: no such section; did you mean 'machine'?"),
    ("[xyzzy]", "x.toml, xyzzy: no such section; there is machine, fastener"),
    ("[machine]\nyaer = 1926", "[machine], 'yaer': no such key; did you mean 'year'?"),
    ('[machine]\nyear = "1926"', "[machine], year: '1926' is not a whole number"),
    ("[machine]\nyear = true", "[machine], year: 'True' is not a whole number"),
    ("[machine]\nname = 7", "[machine], name: '7' is not text"),
    ("[fastener]\nplace = 1", "fastener: it is no list; write [[fastener]], with two brackets"),
    ("fastener = [7]", "[[fastener]] 1: it is not a section"),
    ('[[fastener]]\nthread = "M8"', "[[fastener]] 1, place is missing"),
    ('[[fastener]]\nplace = "foot"', "[[fastener]] 1, thread is missing"),
    ('[[fastener]]\nplace = " "\nthread = "M8"', "[[fastener]] 1, place: '' is not text"),
    (
        '[[fastener]]\nplace = "foot"\nthred = "M8"',
        "[[fastener]] 1, 'thred': no such key; did you mean 'thread'?",
    ),
    (
        '[[fastener]]\nplace = "foot"\nthread = "M8x1.3"',
        "[[fastener]] 1 ('foot'), thread: no table holds 'M8x1.3'",
    ),
    ('[[fastener]]\nplace = "foot"\nthread = 8', "[[fastener]] 1, thread: '8' is not text"),
    (LEAST + 'class = "7z"', "('foot'), class: M8x1.25 has no class '7z' in the tables; they hold 4h, 6g,"),
    (LEAST + "probability = 1.2", "probability: 1.2 is no probability; write one above 0 and up to 1"),
    (LEAST + "probability = 0", "probability: 0 is no probability"),
    (LEAST + "probability = nan", "probability: nan is no probability"),
    (LEAST + 'probability = "0.9"', "probability: '0.9' is not a number"),
    (LEAST + "probability = true", "probability: 'True' is not a number"),
    (LEAST + 'readings = "8 mm"', "readings: it is no table"),
    (LEAST + "readings = {majr = '8 mm'}", "readings, 'majr': no such key; did you mean 'major'?"),
    (LEAST + "readings = {major = 8}", "readings, major: '8' is not text"),
    (LEAST + "readings = {major = []}", "readings, major: '[]' is not text"),
    (LEAST + "readings = {major = ['8 mm', 8]}", "readings, major: '8' is not text"),
    (LEAST + "readings = {major = '8'}", "('foot'), readings: major diameter: '8' has no unit"),
    (LEAST + 'date = "2026-05-31"', "date: '2026-05-31' is not a date; write it without quotes"),
    (LEAST + "date = 2026-05-31T10:00:00", "date: '2026-05-31 10:00:00' is not a date"),
    (LEAST + "notes = 3", "notes: '3' is not text"),
    (LEAST + LEAST.replace("foot", "Foot"), "place 'Foot' is there twice; leave one, or rename it"),
    (LEAST + 'notes = "cut of', "x.toml: not a whole TOML file"),
    (LEAST + "class", "x.toml: not a whole TOML file"),
]


@pytest.mark.parametrize("text, message", FAULTS)
def test_a_wrong_edit_is_named_in_one_line(text: str, message: str) -> None:
    with pytest.raises((RecordError, FileFaultError)) as refused:
        parse_record(text, name="record x.toml")
    assert message in str(refused.value)
    assert str(refused.value).startswith("record x.toml")
    assert "\n" not in str(refused.value)


@given(st.integers(0, len(HAND_MADE)))
def test_a_file_cut_off_anywhere_is_read_or_refused_but_never_a_crash(length: int) -> None:
    try:
        record = parse_record(HAND_MADE[:length], name="record x.toml")
    except (RecordError, FileFaultError):
        return
    assert len(record.entries) <= 2


def test_a_file_that_is_missing_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFaultError, match="cannot be read .No such file.*begin one with --save"):
        read_record(tmp_path / "none.toml")
    (tmp_path / "noise.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileFaultError, match="it is not text in UTF-8"):
        read_record(tmp_path / "noise.toml")
    with pytest.raises(FileFaultError, match="cannot be read"):
        read_record(tmp_path)


# --- saving -------------------------------------------------------------------------------------------------


def test_an_entry_is_added_below_and_every_line_of_the_rest_stays(press: Path) -> None:
    readings = {"major": "6.3 mm", "tried": ["1/4 BSW nut: runs in"]}
    one = entry("foot", tolerance_class="free", readings=readings,
                date=datetime.date(2026, 6, 1), notes="rusty")  # fmt: skip
    record = save_entry(press, one)
    text = press.read_text(encoding="utf-8")
    assert text.startswith(HAND_MADE + "\n")
    assert """
[[fastener]]
place = "foot"
thread = "1/4-20 BSW"
class = "free"
probability = 0.9
readings = {major = "6.3 mm", tried = ["1/4 BSW nut: runs in"]}
date = 2026-06-01
notes = "rusty"
""" == text.removeprefix(HAND_MADE + "\n")
    assert record == read_record(press)
    assert one == record.at("foot")


def test_a_record_that_is_missing_is_begun_with_what_is_known_of_the_machine(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    save_entry(path, entry("foot"), machine=Machine(made_in="GB", year=1938))
    assert {"made_in": "GB", "year": 1938} == tomllib.loads(path.read_text())["machine"]
    assert ["foot"] == [one.place for one in read_record(path).entries]
    other = tmp_path / "other.toml"
    save_entry(other, entry("foot"))
    assert Machine() == read_record(other).machine
    empty = tmp_path / "empty.toml"
    empty.touch()
    save_entry(empty, entry("foot"), machine=Machine(year=1938))
    assert Machine() == read_record(empty).machine


def test_a_place_that_is_there_is_not_overwritten_by_chance(press: Path) -> None:
    with pytest.raises(RecordError, match="place 'side cover' is there already, as 2 BA LH; say --replace"):
        save_entry(press, entry("Side  Cover"))
    assert HAND_MADE == press.read_text()


def test_an_entry_that_is_replaced_keeps_its_notes_and_comments_and_nothing_else(press: Path) -> None:
    record = save_entry(press, entry("Ink disc bracket", "3/8-16 BSW"), replace=True)
    new = record.at("ink disc bracket")
    assert new is not None
    assert ("3/8-16 BSW", None, 0.9, {}, None, "look again in winter") == (
        new.designation, new.tolerance_class, new.probability, dict(new.readings), new.date, new.notes,
    )  # fmt: skip
    text = press.read_text()
    for comment in ("# The press", "# bought", "# three alike", "# by the flank", "# indented", "# the end"):
        assert comment in text
    assert read_record(press).at("side cover") == parse_record(HAND_MADE, name="x").at("side cover")


def test_replacing_what_is_not_there_adds_it(press: Path) -> None:
    assert 3 == len(save_entry(press, entry("foot"), replace=True).entries)


def test_sections_in_an_unusual_order_keep_what_they_hold(tmp_path: Path) -> None:
    path = tmp_path / "press.toml"
    path.write_text(f"{LEAST}[machine]\nyear = 1926\n{LEAST.replace('foot', 'lid')}# end")
    record = save_entry(path, entry("cover"))
    assert {"foot", "lid", "cover"} == {one.place for one in record.entries}
    assert 1926 == record.machine.year
    record = save_entry(path, entry("lid", "2 BA"), replace=True)
    assert "2 BA" == record.at("lid").designation  # type: ignore[union-attr]
    assert "# end" in path.read_text()


def test_windows_line_ends_stay(tmp_path: Path) -> None:
    path = tmp_path / "press.toml"
    path.write_bytes(LEAST.replace("\n", "\r\n").encode())
    save_entry(path, entry("lid"))
    assert path.read_bytes().startswith(LEAST.replace("\n", "\r\n").encode())
    assert 2 == len(read_record(path).entries)


def test_fasteners_in_one_list_are_read_but_not_added_to(tmp_path: Path) -> None:
    path = tmp_path / "press.toml"
    path.write_text('fastener = [{place = "foot", thread = "M8"}]\n')
    assert {"M": 1.0} == read_record(path).counts()
    with pytest.raises(RecordError, match=r"written as one list; begin each with \[\[fastener\]\]"):
        save_entry(path, entry("lid"))


@pytest.mark.parametrize("place", ["", "  ", "x" * 61])
def test_a_place_without_a_name_or_with_too_long_a_one_is_refused(place: str, press: Path) -> None:
    with pytest.raises(RecordError, match="place: cannot be .*write 1 to 60 letters"):
        save_entry(press, entry(place))


def test_a_wrong_file_is_not_saved_into(press: Path) -> None:
    press.write_text(HAND_MADE + "\nprobability =")
    with pytest.raises(FileFaultError, match="not a whole TOML file"):
        save_entry(press, entry("foot"))
    assert HAND_MADE + "\nprobability =" == press.read_text()
    assert [press] == list(press.parent.iterdir())


def test_an_entry_that_could_not_be_read_again_is_not_saved(press: Path) -> None:
    with pytest.raises(RecordError, match="readings: major diameter: '8' has no unit"):
        save_entry(press, entry("foot", readings={"major": "8"}))
    assert HAND_MADE == press.read_text()


# --- nothing lost -------------------------------------------------------------------------------------------


def test_a_save_that_fails_on_the_last_step_leaves_the_file_as_it_was(
    press: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.EIO, "the disk is gone")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(FileFaultError, match="the disk is gone.; it is as it was before"):
        save_entry(press, entry("foot"))
    assert HAND_MADE == press.read_text()
    assert [press] == list(press.parent.iterdir())


def test_a_record_that_another_program_writes_is_waited_for(press: Path) -> None:
    with locked(press), pytest.raises(FileFaultError, match="held the lock for more than 0.05 s"):
        save_entry(press, entry("foot"), timeout_s=0.05)
    assert HAND_MADE == press.read_text()


SAVER = """
import sys, time
from threadwright.record import Entry, save_entry
from threadwright.tables.registry import find_thread
path, name, start = sys.argv[1], sys.argv[2], float(sys.argv[3])
thread = find_thread("2 BA")
time.sleep(max(0.0, start - time.time()))
for number in range(12):
    save_entry(path, Entry(place=f"{name} {number}", thread=thread), timeout_s=50)
"""


def test_two_processes_that_write_at_once_lose_nothing(press: Path) -> None:
    start = str(time.time() + 2.0)
    processes = [
        subprocess.Popen([sys.executable, "-c", SAVER, str(press), name, start]) for name in ("left", "right")
    ]
    assert [0, 0] == [process.wait(timeout=100) for process in processes]
    places = {one.place for one in read_record(press).entries}
    written = {f"{name} {number}" for name in ("left", "right") for number in range(12)}
    assert {"ink disc bracket", "side cover"} | written == places
    assert press.read_text().startswith(HAND_MADE)
    assert [press] == list(press.parent.iterdir())


def test_a_process_killed_between_write_and_replace_loses_nothing(press: Path) -> None:
    killed = "import os, signal\nos.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)\n"
    assert python(killed + SAVER, str(press), "left", "0").status < 0
    assert HAND_MADE == press.read_text()
    with pytest.raises(FileFaultError, match="that process has ended"):
        save_entry(press, entry("foot"))
    os.unlink(f"{press}.lock")  # as the message says
    assert 3 == len(save_entry(press, entry("foot")).entries)
    assert [press] == list(press.parent.iterdir())


# --- sessions that are not finished -------------------------------------------------------------------------

ASKED = (Answer("side", "screw"), Answer("major", "0.372 in"))


def session(place: str, *answers: Answer) -> OpenSession:
    return OpenSession(place=place, answers=answers, date=datetime.date(2026, 5, 31))


def test_a_session_is_kept_beside_the_fasteners_and_weighs_nothing(press: Path) -> None:
    before = read_record(press)
    record = save_session(press, session("oil  cup", *ASKED), before=None)
    assert record == read_record(press)
    assert session("oil cup", *ASKED) == record.session_at("Oil Cup")
    assert (before.entries, before.counts()) == (record.entries, record.counts())
    assert record.at("oil cup") is None
    text = press.read_text(encoding="utf-8")
    assert text.startswith(HAND_MADE.rstrip("\n"))
    assert "# not finished; threadwright guide goes on with it" in text


def test_a_session_grows_shrinks_and_goes_with_the_entry_that_finishes_it(press: Path) -> None:
    one, two = session("oil cup", *ASKED[:1]), session("oil cup", *ASKED)
    other = session("foot", *ASKED[:1])
    save_session(press, one, before=None)
    save_session(press, other, before=None)
    save_session(press, two, before=one)
    assert (session("oil cup"), other) == save_session(press, session("oil cup"), before=two).sessions
    record = save_entry(press, entry("oil cup"), end_session=True)
    assert (other,) == record.sessions
    assert "oil cup" == record.entries[-1].place
    assert () == save_entry(press, entry("foot"), end_session=True).sessions
    assert "[[session]]" not in press.read_text(encoding="utf-8")
    assert "# three alike" in press.read_text(encoding="utf-8")


def test_an_entry_of_another_place_leaves_a_session_alone(press: Path) -> None:
    save_session(press, session("oil cup", *ASKED), before=None)
    record = save_entry(press, entry("foot"), end_session=True)
    assert (session("oil cup", *ASKED),) == record.sessions


def test_a_session_begins_a_record(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    record = save_session(path, session("lid"), before=None, machine=Machine(made_in="GB"))
    assert Machine(made_in="GB") == record.machine
    assert session("lid") == read_record(path).session_at("lid")


def test_a_session_that_another_program_went_on_with_is_not_overwritten(press: Path) -> None:
    one, two = session("oil cup", *ASKED[:1]), session("oil cup", *ASKED)
    save_session(press, one, before=None)
    text = press.read_bytes()
    with pytest.raises(RecordError, match="another program has changed the session at 'oil cup' meanwhile"):
        save_session(press, two, before=None)
    save_session(press, two, before=one)
    with pytest.raises(RecordError, match="begin again, to go on with what is there now"):
        save_session(press, session("oil cup"), before=one)
    assert text != press.read_bytes()
    assert two == read_record(press).session_at("oil cup")


def test_a_session_needs_a_place_and_a_list_of_tables(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="place: cannot be ''"):
        save_session(tmp_path / "x.toml", session(" "), before=None)
    path = tmp_path / "list.toml"
    path.write_text('session = [{place = "lid"}]\n', encoding="utf-8")
    with pytest.raises(RecordError, match="session: written as one list; begin each with"):
        save_session(path, session("foot"), before=None)
    assert [path] == list(tmp_path.iterdir())


OPEN = '[[session]]\nplace = "foot"\n'


@pytest.mark.parametrize(
    "text, message",
    [
        ("session = 3", r"session: it is no list; write \[\[session\]\]"),
        ("[[session]]", r"\[\[session\]\] 1, place is missing; write it like"),
        (OPEN + OPEN, "a session at place 'foot' is there twice"),
        (OPEN + "answers = 3", "answers: it is no list; write it like"),
        (OPEN + "answers = [3]", "answers 1: it is not a section"),
        (OPEN + 'answers = [{ask = "major"}]', "answers 1, say is missing; write it like"),
        (OPEN + 'answers = [{ask = "major", say = 8}]', "answers 1, say: '8' is not text"),
        (OPEN + 'answers = [{aks = "major"}]', "no such key; did you mean 'ask'?"),
        (OPEN + 'answer = "x"', "'answer': no such key; did you mean 'answers'?"),
    ],
)
def test_a_session_that_cannot_be_is_refused(text: str, message: str) -> None:
    with pytest.raises(RecordError, match=message):
        parse_record(text, name="x.toml")
