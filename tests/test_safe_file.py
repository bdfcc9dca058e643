"""Locks with an owner, and files that are written whole or not at all."""

import errno
import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from command_line import python
from threadwright import safe_file
from threadwright.safe_file import Owner, lock_path, locked, write_whole
from threadwright.tables.errors import FileFaultError


def dead_pid() -> int:
    """Number of a process that has ended."""
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def leave_lock(path: Path, said: str) -> Path:
    lock = Path(lock_path(path))
    lock.write_text(said, encoding="utf-8")
    return lock


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "press.toml"
    path.write_text("old\n")
    return path


def test_a_lock_names_its_owner_while_it_is_held_and_is_gone_afterwards(file: Path) -> None:
    lock = Path(lock_path(file))
    with locked(file):
        assert re.fullmatch(rf"pid {os.getpid()} on \S+ since \S+\n", lock.read_text())
    assert not lock.exists()


def test_a_lock_is_given_back_when_the_work_under_it_fails(file: Path) -> None:
    with pytest.raises(ZeroDivisionError), locked(file):
        _ = 1 / 0
    assert [file] == list(file.parent.iterdir())


def test_a_lock_that_is_held_is_waited_for_and_then_named(file: Path) -> None:
    with (
        locked(file),
        pytest.raises(FileFaultError, match=rf"process {os.getpid()} on .* more than 0.1 s") as refused,
        locked(file, timeout_s=0.1),
    ):
        pass
    assert "\n" not in str(refused.value)
    assert str(lock_path(file)) in str(refused.value)


def test_a_lock_left_by_a_dead_process_is_named_at_once_and_not_taken(file: Path) -> None:
    pid = dead_pid()
    lock = leave_lock(file, f"pid {pid} on {safe_file._host()} since 2026-05-31T10:00:00+00:00\n")
    with pytest.raises(FileFaultError, match=f"process {pid} on .* has ended.* remove .*lock"), locked(file):
        pass
    assert lock.exists()


@pytest.mark.parametrize(
    "said, named",
    [
        ("", "an owner without a name"),
        ("pid 0 on here since now\n", "an owner without a name"),
        ("pid 42 on another-bench since now\n", "process 42 on another-bench since now"),
    ],
)
def test_an_owner_of_whom_nothing_can_be_known_is_waited_for(said: str, named: str, file: Path) -> None:
    lock = leave_lock(file, said)
    with pytest.raises(FileFaultError, match=named), locked(file, timeout_s=0.05):
        pass
    assert said == lock.read_text()


def test_a_number_too_great_for_a_process_has_ended() -> None:
    assert Owner(9_999_999_999, safe_file._host(), "now").has_ended


def test_the_process_of_another_user_has_not_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: int) -> None:
        raise PermissionError(errno.EPERM, "not yours")

    monkeypatch.setattr(os, "kill", refused)
    assert not Owner(42, safe_file._host(), "now").has_ended


def test_a_lock_that_another_took_meanwhile_is_left_to_it(file: Path) -> None:
    with locked(file):
        lock = leave_lock(file, "pid 42 on another-bench since now\n")
    assert lock.exists()


def test_a_lock_that_somebody_removed_is_no_fault(file: Path) -> None:
    with locked(file):
        os.unlink(lock_path(file))
    assert [file] == list(file.parent.iterdir())


def test_a_lock_in_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFaultError, match="cannot be locked"), locked(tmp_path / "no" / "press.toml"):
        pass


def test_a_lock_that_cannot_take_its_owners_name_is_not_left_behind(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Full:
        """A file on a full disk."""

        def __enter__(self) -> "Full":
            Path(lock_path(file)).touch()
            return self

        def __exit__(self, *_: object) -> None:
            pass

        def write(self, _: str) -> None:
            raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr("builtins.open", lambda *_, **__: Full())
    with pytest.raises(FileFaultError, match="cannot be locked .no space left."), locked(file):
        pass
    assert not os.path.exists(lock_path(file))


def test_all_names_of_a_file_share_one_lock(file: Path) -> None:
    link = file.parent / "link.toml"
    link.symlink_to(file)
    assert lock_path(file) == lock_path(link)


def test_a_file_is_replaced_whole_with_its_permissions_through_a_link(file: Path) -> None:
    file.chmod(0o600)
    link = file.parent / "link.toml"
    link.symlink_to(file)
    write_whole(link, "new\r\n")
    assert b"new\r\n" == file.read_bytes()
    assert 0o600 == stat.S_IMODE(file.stat().st_mode)
    assert link.is_symlink()
    assert {file, link} == set(file.parent.iterdir())


def test_a_new_file_is_made(tmp_path: Path) -> None:
    write_whole(tmp_path / "new.toml", "new\n")
    assert "new\n" == (tmp_path / "new.toml").read_text()


@pytest.mark.parametrize("step", ["replace", "fsync"])
def test_what_cannot_be_brought_to_the_disk_leaves_the_old_file(
    step: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(os, step, full)
    with pytest.raises(FileFaultError, match="cannot be written .no space left.; it is as it was before"):
        write_whole(file, "new\n")
    assert "old\n" == file.read_text()
    assert [file] == list(file.parent.iterdir())


def test_a_folder_that_cannot_be_synced_is_no_fault(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_: str) -> None:
        raise OSError(errno.EINVAL, "no such thing here")

    monkeypatch.setattr(safe_file, "_sync_folder", none)
    write_whole(file, "new\n")
    assert "new\n" == file.read_text()


def test_a_process_killed_between_write_and_replace_loses_nothing(file: Path) -> None:
    code = """
import os, signal, sys
from threadwright.safe_file import locked, write_whole
os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
with locked(sys.argv[1]):
    write_whole(sys.argv[1], "new")
"""
    assert python(code, str(file)).status < 0
    assert "old\n" == file.read_text()
    with pytest.raises(FileFaultError, match="that process has ended"), locked(file):
        pass
    os.unlink(lock_path(file))
    with locked(file):
        write_whole(file, "newer\n")
    assert "newer\n" == file.read_text()
    assert [file] == list(file.parent.iterdir())
