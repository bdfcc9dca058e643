"""The command line as a whole: help, start-up, and the one place where faults end."""

import errno
import gc
import os
import re
import runpy
import shlex
import subprocess
import sys
import tomllib
from itertools import pairwise

import click
import pytest

from command_line import python, run
from project_files import ROOT
from threadwright.cli import VERSION, cli, main
from threadwright.cli.values import Number, OneOf, Whole

COMMANDS = list(cli.list_commands(click.Context(cli)))
HEAVY = {"numpy", "scipy", "pint", "reportlab", "ezdxf", "tomlkit", "PIL", "threadwright.tables.registry"}
LOADED = "import sys; from threadwright.cli import main; main(sys.argv[1:]); print(*sorted(sys.modules))"


def loaded_by(*args: str) -> set[str]:
    return set(python(LOADED, *args).out.splitlines()[-1].split())


def test_help_and_version_import_nothing_but_click() -> None:
    for words in ("--help", "--version"):
        loaded = loaded_by(words)
        assert set() == loaded & HEAVY
        assert set() == {name for name in loaded if name.startswith("threadwright.cli.")}


def test_the_help_of_a_command_imports_nothing_heavy() -> None:
    loaded = loaded_by("identify", "--help")
    assert set() == loaded & HEAVY
    assert "threadwright.cli.identify_command" in loaded


def test_identify_imports_numpy_but_neither_scipy_nor_pint() -> None:
    loaded = loaded_by("identify", "--major", "0.372 in", "--pitch", "20 tpi")
    assert {"numpy"} == loaded & {"numpy", "scipy", "pint", "reportlab", "ezdxf", "tomlkit", "PIL"}


def test_the_version_is_that_of_the_project(capsys: pytest.CaptureFixture[str]) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert VERSION == project["version"]
    assert f"threadwright {VERSION}\n" == run(capsys, "--version").out


def test_the_help_lists_every_command_with_its_own_first_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "--help").out
    context = click.Context(cli)
    assert COMMANDS == cli.list_commands(context)
    for name in COMMANDS:
        command = cli.get_command(context, name)
        assert command is not None
        assert name == command.name
        assert f"  {name} " in text
    assert cli.get_command(context, "xyzzy") is None


def test_the_help_tells_the_exit_status(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "--help").out
    assert ["0", "2", "3", "130"] == [
        line.split()[0] for line in text.splitlines() if line.startswith("    ") and line.split()[0].isdigit()
    ]


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_every_command_has_an_example(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, name, "--help")
    assert 0 == ran.status
    after = ran.out.partition("Example:\n")[2]
    assert f"  threadwright {name} " in after


WRITTEN_AFTER = {"-o", "--sheet", ">", "--record"}  # a record that is not there is begun


@pytest.mark.parametrize("name", COMMANDS)
def test_an_example_reads_no_file_but_a_sample_that_is_there(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    example = run(capsys, name, "--help").out.partition("Example:\n")[2].replace("\\\n", "")
    words = shlex.split(example)
    files = {
        word
        for before, word in pairwise(words)
        if re.fullmatch(r"[\w/-]+\.[a-z]{3,4}", word) and before not in WRITTEN_AFTER
    }
    assert set() == {word for word in files if not (word.startswith("samples/") and (ROOT / word).exists())}


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_no_help_shows_a_pitch_of_26_threads_per_inch(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "26 tpi" not in run(capsys, *filter(None, [name]), "--help").out


def test_neither_does_a_message_that_says_how_a_pitch_is_written(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (("--pitch", "0 tpi"), ("--pitch", "many"), ("--major", "9 mm", "--visible", "9 mm")):
        said = run(capsys, "identify", *words).refusal
        assert "'20 tpi'" in said
        assert "26" not in said


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_no_help_is_wider_than_80_columns(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, *filter(None, [name]), "--help").out
    assert [] == [line for line in text.splitlines() if len(line) > 80]


def test_a_command_that_does_not_exist_is_refused_with_the_nearest(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert (
        "threadwright: no command 'tabel'; did you mean 'table'? See 'threadwright --help'"
        == run(capsys, "tabel").refusal
    )
    assert f"there is {', '.join(COMMANDS)};" in run(capsys, "xyzzy").refusal
    assert {"identify", "table", "repair", "batch"} <= set(COMMANDS)


def test_no_command_at_all_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    said = "threadwright: no command; write one, like 'threadwright identify'; see 'threadwright --help'"
    assert said == run(capsys).refusal
    assert said == run(capsys, "--no-color").refusal


@pytest.mark.parametrize("words", [["--lisst"], ["table", "--lisst"], ["table", "--unit", "ell"], ["batch"]])
def test_wrong_usage_is_one_line(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, *words).refusal.endswith("--help'")


WHEELS = ("change-wheels", "M12x1.5", "--leadscrew", "8 tpi", "--wheels", "20,40,60,80")


@pytest.mark.parametrize(
    "words, said",
    [
        ((*WHEELS, "--top", "0"), "--top: cannot be '0'; write a whole number from 1 to 50, like 5"),
        ((*WHEELS, "--top", "51"), "--top: cannot be '51'; write a whole number from 1 to 50, like 5"),
        ((*WHEELS, "--top", "few"), "--top: cannot be 'few'; write a whole number from 1 to 50, like 5"),
        (("identify", "--wires", "2.5"), "--wires: cannot be '2.5'; write a whole number, like 3"),
        (("identify", "--anvil", "60 deg"), "--anvil: cannot be '60 deg'; write a number without a unit"),
        (("table", "--unit", "ell"), "--unit: cannot be 'ell'; write mm or in"),
        (("completion", "csh"), "shell: cannot be 'csh'; write bash, zsh or fish"),
        (("completion",), "shell: not given; write bash, zsh or fish"),
        (("template",), "SYSTEM: not given; write it behind 'threadwright template'"),
        (("template", "BSF"), "--output: not given; add --output FILE.pdf"),
        (("identify", "--major"), "--major: no value given; write --major LENGTH"),
        (("identify", "--json=yes"), "--json: takes no value; leave out what follows the '='"),
        (("identify", "-x"), "no option '-x'"),
        (("identify", "9 mm"), "'9 mm' belongs to no option; write each value behind its option, and one"),
        (("identify", "9 mm", "8 mm"), "'9 mm 8 mm' belongs to no option"),
    ],
)
def test_wrong_usage_is_told_as_any_wrong_reading_is(
    words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    refusal = run(capsys, *words).refusal
    assert refusal.startswith(f"threadwright: {said}")
    assert refusal.endswith(f"ee 'threadwright {words[0]} --help'")


def test_a_value_given_to_the_program_itself_is_refused_too(capsys: pytest.CaptureFixture[str]) -> None:
    said = "--no-color: takes no value; leave out what follows the '='; see 'threadwright --help'"
    assert f"threadwright: {said}" == run(capsys, "--no-color=yes", "table").refusal


def test_a_value_of_no_option_is_refused_without_a_name() -> None:
    for kind, value in ((Whole(3), "x"), (Number(60), "x"), (OneOf(["mm", "in"]), "x")):
        with pytest.raises(click.UsageError, match="value: cannot be 'x'; write "):
            kind.convert(value, None, None)


@pytest.mark.parametrize("top", ["1", "50"])
def test_both_ends_of_a_span_may_be_written(top: str, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, *WHEELS, "--top", top)
    assert "" == ran.err


def test_an_interrupt_gives_status_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_: click.Context) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(cli, "invoke", interrupted)
    ran = run(capsys, "table", "--list")
    assert (130, "", "") == (ran.status, ran.out, ran.err.strip())


def test_output_that_nobody_reads_to_the_end_ends_quietly() -> None:
    code = "import sys; from threadwright.cli import main; sys.exit(main(['table', '--csv']))"
    read, write = os.pipe()
    process = subprocess.Popen([sys.executable, "-c", code], stdout=write, stderr=subprocess.PIPE)
    os.close(write)
    with os.fdopen(read) as pipe:
        first = pipe.readline()
    _, err = process.communicate(timeout=60)
    assert "system,designation,side,tolerance_class,quantity,value,unit,basis\n" == first
    assert (0, b"") == (process.returncode, err)


def test_a_pipe_that_breaks_turns_the_rest_of_the_output_into_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(_: click.Context) -> None:
        raise BrokenPipeError(errno.EPIPE, "broken pipe")

    turned: list[int] = []
    monkeypatch.setattr(sys, "stdout", sys.stdout)  # click puts wrappers in their places
    monkeypatch.setattr(sys, "stderr", sys.stderr)
    monkeypatch.setattr(cli, "invoke", broken)
    monkeypatch.setattr(os, "dup2", lambda _, to: turned.append(to))
    assert 0 == main(["table"])
    assert [1] == turned


def test_the_package_runs_as_a_module(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    usual = gc.get_threshold()
    monkeypatch.setattr(sys, "argv", ["threadwright", "--version"])
    with pytest.raises(SystemExit) as end:
        runpy.run_module("threadwright", run_name="__main__")
    gc.set_threshold(*usual)  # the process of the tests lives on
    gc.unfreeze()
    assert 0 == end.value.code
    assert f"threadwright {VERSION}\n" == capsys.readouterr().out


def test_the_program_ends_with_the_status_of_its_command_and_collects_no_garbage_on_the_way() -> None:
    code = (
        "import gc, sys; from threadwright.cli import run; runs = []; "
        "gc.callbacks.append(lambda phase, info: runs.append(phase)); sys.argv[1:] = WORDS; "
        "status = run(); print(status, len(runs), gc.get_freeze_count() > 0)"
    )
    answered = python(code.replace("WORDS", "['identify', '--major', '0.372 in', '--pitch', '20 tpi']"))
    assert "0 0 True" == answered.out.splitlines()[-1]
    refused = python(code.replace("WORDS", "['identify', '--major', '1 furlong']"))
    assert "2 0 True" == refused.out.splitlines()[-1]


class Screen:
    """A stdout that says it is a terminal."""

    encoding = "utf-8"

    def __init__(self) -> None:
        self.text = ""

    def write(self, text: str) -> int:
        self.text += text
        return len(text)

    def flush(self) -> None:
        pass

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    "variables, bold",
    [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False), ({"NO_COLOR": ""}, True)],
)
def test_headings_are_bold_on_a_terminal_unless_it_or_its_owner_says_no(
    variables: dict[str, str], bold: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in ({"TERM": "xterm"} | variables).items():
        monkeypatch.setenv(name, value)
    if "NO_COLOR" not in variables:
        monkeypatch.delenv("NO_COLOR", raising=False)
    screen = Screen()
    monkeypatch.setattr(sys, "stdout", screen)
    assert 0 == main(["table", "--list"])
    assert bold == ("\x1b[1m" in screen.text)


def test_a_table_is_cut_to_a_terminal_but_never_in_a_pipe(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = run(capsys, "table", "3/8 BSF").out.splitlines()
    screen = Screen()
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", screen)
        patch.setenv("COLUMNS", "60")
        patch.setenv("NO_COLOR", "1")
        main(["table", "3/8 BSF"])
    assert max(map(len, whole)) > 60
    assert max(map(len, screen.text.splitlines())) <= 60


@pytest.mark.parametrize("words, bold", [((), True), (("--no-color",), False)])
def test_no_color_is_an_option_too(
    words: tuple[str, ...], bold: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    screen = Screen()
    monkeypatch.setattr(sys, "stdout", screen)
    assert 0 == main([*words, "table", "--list"])
    assert bold == ("\x1b" in screen.text)


PIPED = [
    ("--help",),
    ("identify", "--major", "0.372 in", "--pitch", "20 tpi"),
    ("table", "M8"),
    ("verify", "M8", "--major", "7.9 mm"),
    ("mate", "2 BA", "M5"),
    ("mate", "M6", "--dangers"),
    ("wires", "M8", "--owned", "0.7 mm"),
    ("repair", "M8", "--parent", "cast iron", "--depth", "20 mm"),
    ("record", str(ROOT / "samples" / "milk-separator-record.toml")),
    ("change-wheels", "M12x1.5", "--leadscrew", "8 tpi", "--wheels", "20,30,40x2,50,60,63,80"),
]


@pytest.mark.parametrize("words", PIPED, ids=lambda words: words[0])
def test_nothing_is_bold_in_a_pipe(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, *words)
    assert (0, "") == (ran.status, ran.err)
    assert "\x1b" not in ran.out


WITHOUT_JSON = {"completion"}  # a script is its whole output


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in WITHOUT_JSON])
def test_every_command_that_answers_can_answer_in_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "--json" in run(capsys, name, "--help").out
