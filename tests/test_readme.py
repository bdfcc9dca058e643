"""What the README shows is what happens: every block of it is run."""

import doctest
import os
import re
import shutil
import stat
import subprocess
import sys
import sysconfig
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from project_files import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
TAGS = {"sh", "console", "python", "toml", "text"}
FENCE = re.compile(r"^```(?P<tag>[^\n`]*)\n(?P<body>.*?)^```[ \t]*$", re.MULTILINE | re.DOTALL)
STATUS = re.compile(r"\n\x01(\d+)\x01\n")


@dataclass(frozen=True)
class Block:
    """One fenced block of a Markdown text."""

    tag: str
    line: int
    body: str


@dataclass(frozen=True)
class Step:
    """One command of a console block and the output that is printed below it."""

    command: str
    output: str


def blocks(text: str) -> list[Block]:
    """Fenced blocks in the order in which they stand."""
    return [
        Block(found["tag"].strip(), text.count("\n", 0, found.start()) + 1, found["body"])
        for found in FENCE.finditer(text)
    ]


def tagged(tag: str) -> list[object]:
    """Blocks of the README with one tag, as test parameters that are named by their line."""
    return [pytest.param(block, id=f"line {block.line}") for block in blocks(README) if block.tag == tag]


def steps(body: str) -> list[Step]:
    """Commands of a console block: a line with `$`, the lines it continues on, and the output below."""
    result: list[Step] = []
    lines = iter(body.splitlines())
    for line in lines:
        if line.startswith("$ "):
            command = line[2:]
            while command.endswith("\\"):
                command += "\n" + next(lines).removeprefix("> ")
            result.append(Step(command, ""))
        else:
            assert result, f"a console block begins with a command, not with {line!r}"
            result[-1] = Step(result[-1].command, result[-1].output + line + "\n")
    return result


def run_in_one_shell(commands: list[str], folder: Path, path: str) -> list[tuple[str, int]]:
    """Output (both streams) and exit status of each command."""
    script = "".join(
        f"{{ {command}\n}}; kept=$?; printf '\\n\\001%d\\001\\n' $kept; (exit $kept)\n"
        for command in commands
    )
    environment = os.environ | {"PATH": path, "COLUMNS": "100", "NO_COLOR": "1", "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        ["/bin/sh", "-c", script],
        cwd=folder,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    parts = STATUS.split(done.stdout)
    return [(text, int(status)) for text, status in zip(parts[0:-1:2], parts[1::2], strict=True)]


def shown(text: str) -> str:
    """Text without blank ends, as a reader compares it."""
    return "\n".join(line.rstrip() for line in text.strip("\n").splitlines()) + "\n"


def complaint(block: Block, ran: list[tuple[str, int]]) -> str:
    """What differs between a console block and what its commands did; empty if nothing does."""
    expected = steps(block.body)
    if len(ran) != len(expected):
        return f"{len(expected)} commands, {len(ran)} of them ran"
    checker = doctest.OutputChecker()
    for number, (step, (output, status)) in enumerate(zip(expected, ran, strict=True)):
        if not checker.check_output(shown(step.output), shown(output), doctest.ELLIPSIS):
            return f"$ {step.command}\nREADME shows:\n{step.output}\nit printed:\n{output}"
        following = expected[number + 1].command if number + 1 < len(expected) else ""
        if status and following != "echo $?":
            return f"$ {step.command}\nexit status {status}, and the README does not show it with `echo $?`"
    return ""


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a copy of samples/, made the current one."""
    shutil.copytree(ROOT / "samples", tmp_path / "samples")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def search_path(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A PATH on which `threadwright` is the package under test."""
    folder = tmp_path_factory.mktemp("bin")
    script = folder / "threadwright"
    lines = [f"#!{sys.executable}", "import sys", "from threadwright.cli import main", "sys.exit(main())"]
    script.write_text("\n".join(lines) + "\n")
    script.chmod(script.stat().st_mode | stat.S_IXUSR)
    return os.pathsep.join([sysconfig.get_path("scripts"), str(folder), os.environ["PATH"]])


def test_the_readme_has_two_command_lines_and_at_least_one_example_with_its_output() -> None:
    commands = [line for block in blocks(README) if block.tag == "sh" for line in block.body.splitlines()]
    assert len(commands) == 2
    assert [block.tag for block in blocks(README)].count("console") >= 1


def test_every_block_of_the_readme_has_a_tag_that_says_how_it_is_checked() -> None:
    assert {block.tag for block in blocks(README)} <= TAGS
    assert README.count("\n```") == 2 * len(blocks(README))


@pytest.mark.parametrize("block", tagged("console"))
def test_each_command_in_the_readme_prints_what_the_readme_shows(
    block: Block, workshop: Path, search_path: str
) -> None:
    commands = [step.command for step in steps(block.body)]
    assert complaint(block, run_in_one_shell(commands, workshop, search_path)) == ""


@pytest.mark.parametrize("block", tagged("python"))
@pytest.mark.usefixtures("workshop")
def test_each_python_example_in_the_readme_prints_what_the_readme_shows(block: Block) -> None:
    test = doctest.DocTestParser().get_doctest(block.body, {}, "README.md", "README.md", block.line)
    assert test.examples
    report: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    runner.run(test, out=report.append)
    assert "".join(report) == ""


@pytest.mark.parametrize("block", tagged("toml"))
def test_each_file_shown_in_the_readme_is_readable_toml(block: Block) -> None:
    assert tomllib.loads(block.body)


def test_a_console_block_is_compared_line_by_line_with_an_ellipsis_where_the_text_has_one(
    tmp_path: Path,
) -> None:
    def said(body: str) -> str:
        block = Block("console", 1, body)
        commands = [step.command for step in steps(body)]
        return complaint(block, run_in_one_shell(commands, tmp_path, os.environ["PATH"]))

    assert said("$ echo one; echo two\none\ntwo\n") == ""
    assert said("$ echo one \\\n> and two\none and two\n") == ""
    assert said("$ printf 'a\\nb\\nc\\n'\na\n...\nc\n") == ""
    assert said("$ true\n") == ""
    assert said("$ (exit 3)\n$ echo $?\n3\n") == ""
    assert "README shows:\ntwo" in said("$ echo one\ntwo\n")
    assert "it printed:\none" in said("$ echo one\n")
    assert "exit status 3" in said("$ (exit 3)\n")
    assert "2 commands, 0 of them ran" in said("$ exit 0\n$ echo more\nmore\n")
