"""``threadwright completion``, and the completion that its scripts ask for."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import get_completion_class

from command_line import run
from terminal import CODE
from threadwright.cli import cli
from threadwright.tables.registry import SYSTEMS

SHELLS = ("bash", "zsh", "fish")


def completed(*words: str) -> list[str]:
    """What bash is told for a line whose last word is not finished; the kind stands before each."""
    bash = get_completion_class("bash")
    assert bash is not None
    asked = bash(cli, {}, "threadwright", "_THREADWRIGHT_COMPLETE")
    return [f"{one.type},{one.value}" for one in asked.get_completions(list(words[:-1]), words[-1])]


def plain(*words: str) -> list[str]:
    return [line.removeprefix("plain,") for line in completed(*words)]


@pytest.mark.parametrize("shell", SHELLS)
def test_each_shell_has_a_script(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "completion", shell)
    assert (0, "") == (ran.status, ran.err)
    assert f"_THREADWRIGHT_COMPLETE={shell}_complete" in ran.out
    assert ran.out.endswith("\n")


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_is_one_that_its_shell_can_read(
    shell: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed")
    script = tmp_path / "script"
    script.write_text(run(capsys, "completion", shell).out)
    done = subprocess.run([shell, "-n", str(script)], capture_output=True, text=True, check=False, timeout=60)
    assert (0, "") == (done.returncode, done.stderr)


def test_the_script_completes_in_bash(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if shutil.which("bash") is None:
        pytest.skip("bash is not installed")
    command = tmp_path / "threadwright"
    command.write_text(f"#!{sys.executable}\n{CODE}\n")
    command.chmod(0o755)
    asked = "COMP_WORDS=(threadwright ta)\nCOMP_CWORD=1\n_threadwright_completion threadwright\n"
    script = f"{run(capsys, 'completion', 'bash').out}\n{asked}echo ${{COMPREPLY[@]}}\n"
    path = f"{tmp_path}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["bash", "-c", script], capture_output=True, text=True, check=False, timeout=60,
        env=os.environ | {"PATH": path},
    )  # fmt: skip
    assert ("table\n", "") == (done.stdout, done.stderr)


def test_a_shell_that_is_not_known_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert "shell: cannot be 'tcsh'; write bash, zsh or fish" in run(capsys, "completion", "tcsh").refusal


def test_commands_options_and_choices_are_completed() -> None:
    assert ["table"] == plain("ta")
    assert ["--made-in"] == plain("identify", "--made")
    assert ["mm"] == plain("table", "--unit", "m")
    assert ["bash"] == plain("completion", "b")
    assert [] == completed("no-such-command", "x")


def test_series_are_completed_by_their_symbols() -> None:
    assert [one.symbol for one in SYSTEMS if one.symbol.startswith("BS")] == [
        name for name in plain("template", "bs") if not name.startswith("-")
    ]
    assert "BSF" in plain("table", "BS")


def test_threads_are_completed_word_by_word() -> None:
    assert {"M8x1.25", "M8x1"} <= set(plain("verify", "M8"))
    assert "3/8-20 BSF" in plain("wires", "3/8-20")
    assert ["BSF"] == plain("repair", "3/8-20", "B")
    assert "M12x1.5" in plain("change-wheels", "m12x1")
    assert {"M5x0.8"} <= set(plain("mate", "M5"))
    assert [] == [name for name in plain("mate", "3/8") if " " in name]


@pytest.mark.parametrize(
    "words",
    [
        ("record", "pr"),
        ("batch", "pr"),
        ("scan", "pr"),
        ("guide", "--record", "pr"),
        ("identify", "--same", "pr"),
        ("repair", "--job", "pr"),
        ("wires", "M8", "--drawer", "pr"),
    ],
)
def test_files_are_left_to_the_shell(words: tuple[str, ...]) -> None:
    assert ["file,pr"] == completed(*words)
