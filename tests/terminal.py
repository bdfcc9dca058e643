"""A program in a pseudo-terminal of 80 columns: what it shows is waited for, and lines are typed to it."""

import contextlib
import os
import select
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

CODE = "import sys; from threadwright.cli import main; sys.exit(main(sys.argv[1:]))"
_OWN = "import os; os.close(os.open(os.ttyname(0), os.O_RDWR))"  # so that Ctrl-C reaches it


class Terminal:
    """One command line that runs in a pseudo-terminal."""

    def __init__(self, *words: str, cwd: Path, **variables: str) -> None:
        pty = pytest.importorskip("pty", reason="there is no pseudo-terminal on this system")
        fcntl, termios = pytest.importorskip("fcntl"), pytest.importorskip("termios")
        try:
            self.master, slave = pty.openpty()
        except OSError as fault:
            pytest.skip(f"no pseudo-terminal to be had: {fault}")
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, "-c", f"{_OWN}; {CODE}", *words],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=cwd,
            env=os.environ | {"TERM": "xterm", "COLUMNS": "80"} | variables,
            start_new_session=True,
        )
        os.close(slave)
        self.shown = ""

    def wait_for(self, text: str, *, within_s: float = 30.0) -> str:
        """Read until a text is shown; everything shown up to and with it, since the last call."""
        until = time.monotonic() + within_s
        while text not in self.shown:
            if time.monotonic() > until or not self._read(until - time.monotonic()):
                raise AssertionError(f"{text!r} was not shown; shown: {self.shown!r}")
        head, _, self.shown = self.shown.partition(text)
        return head + text

    def type(self, line: str) -> None:
        """Type a line and press Enter."""
        os.write(self.master, f"{line}\n".encode())

    def kill(self) -> None:
        """End it as a lost terminal or a power cut does."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(timeout=30)

    def end(self, *, within_s: float = 30.0) -> tuple[int, str]:
        """Exit status, and what was shown to the end."""
        until = time.monotonic() + within_s
        while self._read(until - time.monotonic()):
            pass
        status = self.process.wait(timeout=within_s)
        shown, self.shown = self.shown, ""
        return status, shown

    def _read(self, within_s: float) -> bool:
        """Read once; False at the end."""
        ready, _, _ = select.select([self.master], [], [], max(within_s, 0.0))
        if not ready:
            return False
        try:
            raw = os.read(self.master, 65536)
        except OSError:  # Linux tells the end of a pseudo-terminal so
            return False
        self.shown += raw.decode().replace("\r\n", "\n")
        return bool(raw)


@contextlib.contextmanager
def terminal(*words: str, cwd: Path, **variables: str) -> Iterator[Terminal]:
    """Run a command line in a pseudo-terminal, and end it at the end."""
    one = Terminal(*words, cwd=cwd, **variables)
    try:
        yield one
    finally:
        if one.process.poll() is None:
            one.kill()
        os.close(one.master)
