"""Run a command line in this process, or in one of its own."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from threadwright.cli import main


@dataclass(frozen=True)
class Ran:
    """What one command line did."""

    status: int
    out: str
    err: str

    @property
    def refusal(self) -> str:
        """The one line on stderr; everything else about a refusal is checked here."""
        assert (2, "") == (self.status, self.out)
        assert self.err.endswith("\n")
        assert 1 == self.err.count("\n")
        return self.err.removesuffix("\n")


def run(capsys: pytest.CaptureFixture[str], *args: str) -> Ran:
    """Run in this process, through the program's own entry."""
    status = main(list(args))
    said = capsys.readouterr()
    return Ran(status, said.out, said.err)


def python(code: str, *args: str, cwd: Path | None = None, **variables: str) -> Ran:
    """Run Python code in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", code, *args],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=cwd,
        env=os.environ | variables,
    )
    return Ran(done.returncode, done.stdout, done.stderr)
