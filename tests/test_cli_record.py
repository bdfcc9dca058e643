"""``threadwright record``, and what ``threadwright identify`` does with the machine."""

import json
import os
import re
import tomllib
from pathlib import Path

import pytest

from command_line import Ran, python, run
from project_files import ROOT

TWIN = ("--major", "5.92 mm", "--pitch", "1 mm")  # M6x1 or 0 BA
BA_FLANK = ("--flank-angle", "23.75deg")
BRACKET = ("--major", "0.372 in", "--pitch", "20 tpi")


@pytest.fixture
def shed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, made the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *words: str) -> Ran:
    return run(capsys, "identify", *words)


def flowing(ran: Ran) -> str:
    """Output with its lines unfolded."""
    return " ".join(ran.out.split())


def saved(capsys: pytest.CaptureFixture[str], place: str, *words: str) -> Ran:
    return said(capsys, *words, "--record", "drill.toml", "--place", place, "--save")


# --- a session on one machine -------------------------------------------------------------------------------


def test_three_fasteners_of_one_machine_change_the_answer_to_the_fourth_and_it_says_so(
    shed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "Most likely M6x1" in said(capsys, *TWIN).out
    first = saved(capsys, "top cover", "--major", "4.66 mm", "--pitch", "0.81 mm +- 0.005", *BA_FLANK)
    assert "holds no other fastener yet" in flowing(first)
    assert 'Saved in drill.toml as "top cover": 2 BA, probability ' in flowing(first)
    second = saved(capsys, "oil cup", "--major", "3.57 mm", "--pitch", "0.66 mm +- 0.005")
    assert "(1 fastener: 1 BA) does not change the answer." in flowing(second)
    saved(capsys, "name plate", "--major", "2.78 mm", "--pitch", "0.53 mm +- 0.005", *BA_FLANK)
    fourth = saved(capsys, "table clamp", *TWIN)
    assert "Most likely 0 BA" in fourth.out
    assert re.search(
        r"The record drill.toml .3 fasteners: 3 BA. changed the answer: without it, M6x1 would come first, "
        r"probability 0.\d\d. Saved in drill.toml as .table clamp.: 0 BA, probability 0.\d\d, not settled: "
        r"it counts by its probability.$",
        flowing(fourth),
    )
    assert max(map(len, fourth.out.splitlines())) <= 80
    held = tomllib.loads((shed / "drill.toml").read_text())["fastener"]
    assert ["2 BA", "4 BA", "6 BA", "0 BA"] == [one["thread"] for one in held]
    assert {"major": "5.92 mm", "pitch": "1 mm"} == held[3]["readings"]


@pytest.mark.usefixtures("shed")
def test_the_fastener_in_hand_is_no_evidence_of_itself(capsys: pytest.CaptureFixture[str]) -> None:
    saved(capsys, "table clamp", *TWIN, "--flank-angle", "23.75deg")
    again = said(capsys, *TWIN, "--record", "drill.toml", "--place", "Table clamp")
    assert "holds no other fastener yet" in flowing(again)
    assert "Its own entry there, 0 BA, was not counted." in flowing(again)
    elsewhere = said(capsys, *TWIN, "--record", "drill.toml")
    assert "changed the answer: without it, M6x1 would come first" in flowing(elsewhere)


def test_every_kind_of_effect_is_told(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shed / "ba.toml").write_text('[[fastener]]\nplace = "a"\nthread = "2 BA"\n')
    (shed / "un.toml").write_text('[[fastener]]\nplace = "a"\nthread = "7/16-16 UN"\n')
    british = ("--made-in", "GB", "--year", "1938")
    told = [
        (
            (*TWIN, *british, "--record", "ba.toml"),
            "changed the answer: without it, 0 BA would not be settled",
        ),
        (
            (*BRACKET, *british, "--record", "un.toml"),
            "changed the answer: without it, 3/8-20 BSF would be settled",
        ),
        ((*BRACKET, "--record", "un.toml"), "changed the answer: without it, 3/8-20 BSF would come first"),
        (
            ("--major", "5.92 mm", "--record", "ba.toml", "--year", "1938", "--made-in", "DE"),
            "did not change the answer; without it, M6x1 would have probability",
        ),
        ((*BRACKET, "--record", "ba.toml"), "(1 fastener: 1 BA) does not change the answer."),
    ]
    for words, text in told:
        assert text in flowing(said(capsys, *words)), words


def test_a_record_under_which_something_fits_is_told(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [f'[[fastener]]\nplace = "{n}"\nthread = "7/16-16 UN"\n' for n in range(30)]
    (shed / "un.toml").write_text("".join(rows))
    words = ("--major", "70.00 mm", "--pitch", "20 tpi")  # 0.15 mm above 2 3/4 in
    before = said(capsys, *words)
    after = said(capsys, *words, "--record", "un.toml")
    assert (before.status, after.status) == (3, 0)
    assert "without it, none of the threads in the tables would fit" in flowing(after)


@pytest.mark.usefixtures("shed")
def test_the_json_tells_what_the_record_did(capsys: pytest.CaptureFixture[str]) -> None:
    saved(capsys, "top cover", "--major", "4.66 mm", "--pitch", "0.81 mm +- 0.005")
    ran = said(
        capsys, *TWIN, "--record", "drill.toml", "--made-in", "gb", "--place", "clamp", "--save", "--json"
    )
    plain = json.loads(ran.out)
    assert {"made_in": "GB", "year": None} == plain["origin"]
    record = plain["record"]
    assert ("drill.toml", {"BA": 1}, "0 BA") == (record["path"], record["counted"], record["saved"])
    assert record["changed_the_answer"] is (record["change"] in ("first", "settled", "unsettled"))
    assert {"designation", "probability", "none_of_these"} == set(record["without_record"])
    assert json.loads(said(capsys, *TWIN, "--record", "drill.toml", "--json").out)["record"]["saved"] is None


# --- origin and weights without a record --------------------------------------------------------------------


def test_where_and_when_the_machine_was_made_weighs(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, *TWIN, "--made-in", "GB", "--year", "1938")
    assert "Most likely 0 BA" in ran.out
    assert "Weighed for a machine made in GB, 1938." in ran.out
    assert "Weighed for a machine made in GB.\n" in said(capsys, *TWIN, "--made-in", "gb").out
    assert "Weighed for a machine made in 1938." in said(capsys, *TWIN, "--year", "1938").out


def test_weights_of_series_from_a_file_weigh(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shed / "weights.toml").write_text("[series]\nBA = 3\n")
    ran = said(capsys, *TWIN, "--priors", "weights.toml")
    assert "0 BA, probability 0.9" in ran.out
    assert "Weights given for BA." in ran.out


# --- saving -------------------------------------------------------------------------------------------------


def test_what_was_typed_is_kept_as_it_was_typed(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    saved(
        capsys, "lid", "--internal", "--minor", "6.6..6.7 mm", "--tried", "M8 screw: runs in",
        "--tried", "5/16 BSW screw: will not start", "--hand", "left", "--made-in", "DE", "--year", "1931",
    )  # fmt: skip
    held = tomllib.loads((shed / "drill.toml").read_text())
    assert {"made_in": "DE", "year": 1931} == held["machine"]
    one = held["fastener"][0]
    assert one["thread"].endswith(" LH")
    assert {
        "side": "internal",
        "minor": "6.6..6.7 mm",
        "tried": ["M8 screw: runs in", "5/16 BSW screw: will not start"],
        "hand": "left",
    } == one["readings"]


def test_a_place_is_saved_once_unless_it_is_replaced(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    saved(capsys, "lid", *TWIN)
    before = (shed / "drill.toml").read_text()
    assert "place 'lid' is there already, as M6x1; say --replace" in saved(capsys, "lid", *BRACKET).refusal
    assert before == (shed / "drill.toml").read_text()
    ran = said(capsys, *BRACKET, "--record", "drill.toml", "--place", "lid", "--save", "--replace")
    assert 0 == ran.status
    assert ["3/8-20 BSF"] == [
        one["thread"] for one in tomllib.loads((shed / "drill.toml").read_text())["fastener"]
    ]


def test_what_fits_nothing_is_not_saved(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = saved(capsys, "lid", "--major", "5.0 mm", "--pitch", "3.3 mm")
    assert (3, []) == (ran.status, list(shed.iterdir()))
    assert "Not saved: no thread fits." in ran.out


def test_a_lock_left_behind_is_named_and_nothing_is_printed(
    shed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = """
import os, sys
from threadwright.safe_file import locked
with locked(sys.argv[1]):
    os._exit(1)
"""
    assert 1 == python(code, "drill.toml").status
    assert "that process has ended. If no other program" in saved(capsys, "lid", *TWIN).refusal
    assert ["drill.toml.lock"] == os.listdir(shed)


# --- fasteners that are the same ----------------------------------------------------------------------------


def test_several_fasteners_that_are_the_same_say_more_than_one(
    shed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shed / "screws.csv").write_text(
        "id,major,pitch\na,0.3731 in,20 tpi\nb,0.3665 in,20 tpi\nc,0.3702 in,20 tpi\n"
    )
    one = json.loads(said(capsys, *BRACKET, "--json").out)
    all_four = json.loads(said(capsys, *BRACKET, "--same", "screws.csv", "--json").out)
    assert "each" not in one["candidates"][0]
    assert 4 == len(all_four["candidates"][0]["each"])
    only = said(capsys, "--same", "screws.csv")
    assert "3  major diameter  9.403 mm +- 0.020" in only.out
    assert 3 == only.out.partition("If it is 3/8-20 BSF:")[2].partition("If it is")[0].count("major diameter")


def test_fasteners_that_are_the_same_are_saved_as_one(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shed / "screws.csv").write_text("id,major,pitch\na,0.3731 in,20 tpi\nb,0.3665 in,20 tpi\n")
    saved(capsys, "cover", *BRACKET, "--same", "screws.csv")
    (held,) = tomllib.loads((shed / "drill.toml").read_text())["fastener"]
    assert ("3 alike, of screws.csv", {"major": "0.372 in", "pitch": "20 tpi"}) == (
        held["notes"], held["readings"],
    )  # fmt: skip


def test_several_readings_of_one_diameter_are_taken_together(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "9.40 mm", "--major", "9.44 mm", "--pitch", "20 tpi")
    assert "major diameter  9.420 mm +- 0.035" in ran.out


def test_evidence_alone_gives_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--internal", "--tried", "M8 screw: runs in", "--clearance", "9 mm", "--crest", "flat")
    assert "M8x1.25" in ran.out
    assert "If it is" not in ran.out


# --- refusals -----------------------------------------------------------------------------------------------

REFUSALS = [
    (("--major", "8 mm", "--major", "soft"), "major diameter: cannot read 'soft'"),
    (("--major", "8..9 mm", "--major", "8 mm"), "major diameter: an interval stands among several readings"),
    (("--minor", "6 mm", "--minor", "-6 mm"), "minor diameter: '-6 mm' is negative"),
    (("--pitch-diameter", "7 mm", "--pitch-diameter", "7"), "pitch diameter: '7' has no unit"),
    ((*TWIN, "--over-wires", "6 mm", "--over-wires", "6,1 mm"), "over wires: cannot read '6,1 mm'"),
    ((*TWIN, "--starts", "0"), "starts: 0 is impossible; write 1 to 8"),
    ((*TWIN, "--starts", "two"), "--starts: cannot be 'two'"),
    ((*TWIN, "--lead", "2"), "lead: '2' has no unit"),
    ((*TWIN, "--lead", "nan mm"), "lead: cannot read 'nan mm'"),
    ((*TWIN, "--hand", "both"), "hand: cannot be 'both'; write one of right, left"),
    ((*TWIN, "--taper", "steep"), "taper: cannot read 'steep'"),
    ((*TWIN, "--crest", "soft"), "crest: cannot be 'soft'; write one of flat, rounded, sharp"),
    ((*TWIN, "--across-flats", "10"), "across flats: '10' has no unit"),
    ((*TWIN, "--flats-of", "hat"), "flats of: cannot be 'hat'; write one of head, nut, spanner"),
    ((*TWIN, "--tried", "M8 nut"), "tried: cannot read 'M8 nut'; write it like"),
    ((*TWIN, "--tried", "M8 nut: perhaps"), "tried: cannot read the outcome 'perhaps'"),
    ((*TWIN, "--tried", "M8 screw: runs in"), "is tried in the wrong part; try a nut there"),
    ((*TWIN, "--tried", "M8x1.3 nut: runs in"), "thread: no table holds 'M8x1.3'"),
    ((*TWIN, "--clearance", "wide"), "clearance hole: cannot read 'wide'"),
    ((*TWIN, "--cast", "0.5 %"), "cast: only a hole is cast"),
    (("--internal", "--minor", "6 mm", "--cast", "a lot"), "cast: cannot read 'a lot'"),
    ((*TWIN, "--anvil", "60"), "anvil: given without a pitch diameter"),
    (("--pitch-diameter", "7 mm", "--anvil", "600"), "anvil: 600 deg is impossible"),
    ((*TWIN, "--anvil", "steep"), "--anvil: cannot be 'steep'"),
    ((*TWIN, "--made-in", "Atlantis"), "made in: no country 'Atlantis'; write one of AT"),
    ((*TWIN, "--made-in", ""), "made in: no country ''"),
    ((*TWIN, "--year", "1492"), "year: 1492 is impossible"),
    ((*TWIN, "--year", "old"), "--year: cannot be 'old'"),
    ((*TWIN, "--record", "none.toml"), "record none.toml: cannot be read (No such file or directory)"),
    ((*TWIN, "--record", "."), "record .: cannot be read (Is a directory)"),
    ((*TWIN, "--record", "cut.toml"), "record cut.toml: not a whole TOML file"),
    ((*TWIN, "--record", "typo.toml"), "[[fastener]] 1, 'plaice': no such key; did you mean 'place'?"),
    ((*TWIN, "--record", "cut.toml", "--place", "lid", "--save"), "record cut.toml: not a whole TOML file"),
    ((*TWIN, "--record", "no/such.toml", "--place", "lid", "--save"), "no/such.toml: cannot be locked"),
    ((*TWIN, "--record", "new.toml", "--place", " ", "--save"), "place: cannot be ''"),
    ((*TWIN, "--place", "lid"), "--place needs a record; give --record FILE.toml too"),
    ((*TWIN, "--place", "lid", "--save"), "--save needs a record; give --record FILE.toml too"),
    ((*TWIN, "--record", "new.toml", "--save"), "--save needs a place; give --place too"),
    ((*TWIN, "--record", "new.toml", "--replace"), "--replace does nothing alone"),
    ((*TWIN, "--priors", "none.toml"), "priors none.toml: cannot be read"),
    ((*TWIN, "--priors", "cut.toml"), "priors cut.toml: not a TOML file"),
    ((*TWIN, "--priors", "typo.toml"), "priors typo.toml, 'fastener': no such section"),
    (("--same", "none.csv"), "none.csv: cannot be read"),
    (("--same", "cut.toml"), "cut.toml: no header"),
    (("--same", "wire.csv"), "fastener 1: wire: 0.100 mm is too thin to touch the flanks"),
]


@pytest.mark.parametrize("words, text", REFUSALS)
def test_an_option_that_cannot_be_is_refused_in_one_line_and_nothing_is_written(
    words: tuple[str, ...], text: str, shed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shed / "cut.toml").write_text('[[fastener]]\nplace = "li')
    (shed / "typo.toml").write_text('[[fastener]]\nplaice = "lid"\n')
    (shed / "wire.csv").write_text("id,major,over_wires,wire\na,8 mm,9 mm,0.1 mm\nb,8 mm,9 mm,0.1 mm\n")
    before = sorted(shed.iterdir())
    assert text in said(capsys, *words).refusal
    assert before == sorted(shed.iterdir())


# --- the record as it is read ---------------------------------------------------------------------------


def test_the_record_is_read_without_the_library_that_keeps_comments(shed: Path) -> None:
    code = "import sys; from threadwright.cli import main; main(sys.argv[1:]); print(*sorted(sys.modules))"
    sample = str(ROOT / "samples" / "milk-separator-record.toml")
    loaded = python(code, "identify", *TWIN, "--record", sample, cwd=shed).out.splitlines()[-1].split()
    assert {"numpy"} == set(loaded) & {"numpy", "scipy", "pint", "reportlab", "ezdxf", "tomlkit", "PIL"}


def test_the_options_of_identify_stand_under_headings(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "identify", "--help").out
    headings = [
        "Sizes:",
        "What else was seen or tried:",
        "How it was read:",
        "The machine it is from:",
        "Answer:",
    ]
    assert headings == [line for line in text.splitlines() if line.endswith(":") and line in headings]
    assert "Options:" not in text


# --- evidence ----------------------------------------------------------------------------------------------

BORE = ("--internal", "--minor", "6.6..6.7 mm")
EVIDENCE = [
    (TWIN, ("--starts", "2")),
    (TWIN, ("--lead", "2 mm")),
    (TWIN, ("--taper", "1:16")),
    (TWIN, ("--taper", "5.9 mm and 5.95 mm 8 mm apart")),
    (TWIN, ("--crest", "rounded")),
    (TWIN, ("--tried", "0 BA nut: tight after 2 turns")),
    (TWIN, ("--tried", "0 BA nut: runs in", "--tried", "M6 nut: will not start")),
    (TWIN, ("--clearance", "7 mm")),
    (("--pitch-diameter", "5.3 mm"), ("--anvil", "55")),
    (BORE, ("--cast", "0.5 %")),
    (BORE, ("--clearance", "9 mm")),
    (BORE, ("--tried", "M8x1.25 screw: runs in")),
]


@pytest.mark.parametrize("readings, evidence", EVIDENCE)
def test_each_kind_of_evidence_weighs(
    readings: tuple[str, ...], evidence: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    def found(*words: str) -> list[tuple[str, float]]:
        plain = json.loads(said(capsys, *words, "--json").out)
        return [(one["designation"], one["probability"]) for one in plain["candidates"]]

    assert found(*readings) != found(*readings, *evidence)


def test_it_is_said_what_the_hand_is_used_for(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, *TWIN, "--across-flats", "10 mm", "--flats-of", "spanner", "--hand", "left")
    assert "across flats" in ran.out
    assert "Left hand: it goes into the thread's name, the record and the repair" in ran.out
    right = said(capsys, *TWIN, "--hand", "right").out
    assert "Right hand, as nearly all: it does not tell one standard from another." in right
    assert " LH" not in right
    assert "hand" not in said(capsys, *TWIN, "--crest", "flat").out
