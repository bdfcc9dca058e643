"""A file that several programs may change: one at a time, and always whole.

A lock is a second file beside the first that names its owner. It is never taken from an owner, dead or
alive: a person removes it.
"""

from __future__ import annotations

import contextlib
import os
import re
import socket
import stat
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from threadwright.tables.errors import FileFaultError

__all__ = ["LOCK_TIMEOUT_S", "Owner", "lock_path", "locked", "write_whole"]

LOCK_TIMEOUT_S: Final = 10.0
"""How long a program waits for another one that writes the same file. [s]"""
_POLL_S: Final = 0.02
_OWNER: Final = re.compile(r"pid (?P<pid>[1-9]\d{0,9}) on (?P<host>\S+) since (?P<since>\S+)\n")


@dataclass(frozen=True, slots=True)
class Owner:
    """Who holds a lock: process, computer, and since when.

    Examples
    --------
    >>> print(Owner(42, "bench", "2026-05-31T10:00:00+00:00"))
    process 42 on bench since 2026-05-31T10:00:00+00:00
    """

    pid: int
    host: str
    since: str

    def __str__(self) -> str:
        return f"process {self.pid} on {self.host} since {self.since}"

    @property
    def has_ended(self) -> bool:
        """Whether it ran on this computer and runs no longer; what cannot be known is no."""
        return os.name == "posix" and self.host == _host() and not _runs(self.pid)


def lock_path(path: str | os.PathLike[str]) -> str:
    """Path of the lock of a file; links are followed, so that all its names share one lock.

    Examples
    --------
    >>> lock_path("/press.toml")
    '/press.toml.lock'
    """
    return f"{os.path.realpath(path)}.lock"


@contextlib.contextmanager
def locked(path: str | os.PathLike[str], *, timeout_s: float = LOCK_TIMEOUT_S) -> Iterator[None]:
    """Hold the lock of a file.

    Parameters
    ----------
    path : path
        The file; it need not exist.
    timeout_s : float
        How long to wait for another owner. [s]

    Raises
    ------
    FileFaultError
        If the lock cannot be made, its owner has ended without giving it back, or another owner keeps it for
        longer than the time-out; the message names the owner, and the file to remove.
    """
    lock = lock_path(path)
    mine = f"pid {os.getpid()} on {_host()} since {datetime.now(UTC).isoformat(timespec='seconds')}\n"
    until = time.monotonic() + timeout_s
    while not _taken(path, lock, mine):
        owner = _owner(lock)
        if owner is not None and owner.has_ended:
            raise FileFaultError(
                f"{os.fspath(path)}: nothing was written; the lock of {owner} is still there, and that "
                f"process has ended. If no other program writes this file, remove {lock} and try again"
            )
        if time.monotonic() >= until:
            raise FileFaultError(
                f"{os.fspath(path)}: nothing was written; {owner or 'an owner without a name'} has held the "
                f"lock for more than {timeout_s:g} s. Wait for it to end, or, if it has ended, remove {lock}"
            )
        time.sleep(_POLL_S)
    try:
        yield
    finally:
        if _content(lock) == mine:  # a lock that somebody removed may be another's by now
            _remove(lock)


def write_whole(path: str | os.PathLike[str], text: str) -> None:
    """Write a file so that whoever reads it finds the old text or the new one, never a part.

    The text goes to a second file, which is brought to the disk and then takes the place of the first.
    Hold the lock of the file meanwhile.

    Parameters
    ----------
    path : path
        The file; a link is followed, and an old file's permissions are kept.
    text : str
        All of it.

    Raises
    ------
    FileFaultError
        If it cannot be written; the old file is as it was.
    """
    target = os.path.realpath(path)
    part = f"{target}.new"
    try:
        with open(part, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileNotFoundError):
            os.chmod(part, stat.S_IMODE(os.stat(target).st_mode))
        os.replace(part, target)
    except OSError as fault:
        _remove(part)
        raise FileFaultError(
            f"{os.fspath(path)}: cannot be written ({fault.strerror or fault}); it is as it was before"
        ) from fault
    with contextlib.suppress(OSError):  # the new text is in place; some file systems sync no folder
        _sync_folder(os.path.dirname(target))


def _taken(path: str | os.PathLike[str], lock: str, mine: str) -> bool:
    """Make the lock file, unless there is one."""
    made = False
    try:
        with open(lock, "x", encoding="utf-8") as file:
            made = True
            file.write(mine)
    except FileExistsError:
        return False
    except OSError as fault:
        if made:
            _remove(lock)
        raise FileFaultError(
            f"{os.fspath(path)}: cannot be locked ({fault.strerror}); name one in a writable folder"
        ) from fault
    return True


def _remove(path: str) -> None:
    """Remove a file, if it is there and can be removed."""
    with contextlib.suppress(OSError):
        os.unlink(path)


def _content(lock: str) -> str:
    """What a lock file says; nothing if there is none."""
    try:
        with open(lock, encoding="utf-8", errors="replace") as file:
            return file.read(400)
    except OSError:
        return ""


def _owner(lock: str) -> Owner | None:
    """Owner of a lock; None while it has not written its name."""
    said = _OWNER.fullmatch(_content(lock))
    return None if said is None else Owner(int(said["pid"]), said["host"], said["since"])


def _host() -> str:
    return "-".join(socket.gethostname().split()) or "unnamed"


def _runs(pid: int) -> bool:
    """Whether a process of this computer runs."""
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:  # it runs, and is another user's
        return True
    return True


def _sync_folder(folder: str) -> None:
    """Bring the names in a folder to the disk."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
