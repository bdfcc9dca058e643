"""A table of readings in CSV to a table of answers.

What a table may hold is told in :mod:`threadwright.batch_csv` and :mod:`threadwright.batch_cells`; the
ranking of many fasteners at once is in :mod:`threadwright.batch_many`.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

import numpy as np

from threadwright.batch_answers import EACH, FIRST, Answered, answered, verdicts
from threadwright.batch_csv import Sheet, sheets
from threadwright.batch_many import Ranked, check_top, identify_many
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import FileFaultError
from threadwright.tables.numbers import format_decimal

if TYPE_CHECKING:
    import io
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from threadwright.tables.thread import Side

    Integers = NDArray[np.int64]

__all__ = ["BatchReport", "Ranked", "identify_many", "run_batch"]

_MARKS: Final = ',"\n\r'


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What a batch did.

    Attributes
    ----------
    rows : int
        Rows read, and written.
    faults : int
        Rows among them with status ``error``.
    ids_unchecked : int
        Rows whose ids were not looked at for doubles, because so many came before.
    """

    rows: int
    faults: int
    ids_unchecked: int = 0


def run_batch(
    in_path: str | os.PathLike[str],
    out_path: str | os.PathLike[str],
    *,
    top: int = 3,
    progress: Callable[[int], None] | None = None,
) -> BatchReport:
    """Identify every fastener of a table, and write a table of the answers.

    Parameters
    ----------
    in_path : path
        Table of readings in CSV, UTF-8: a column ``id``, readings (``major``, ``pitch``, ``over_wires``,
        ``wire``, ``pitch_diameter``, ``minor``, ``flank_angle``), ``side`` and ``condition``. A unit stands
        in the header, as in ``major [mm]``, or in the cell, which comes first. Empty lines are no rows.
    out_path : path
        Table of answers, one row for each row read, in their order; it appears whole or not at all.
    top : int
        How many threads to write for each row.
    progress : callable, optional
        Called now and then with the number of rows done.

    Returns
    -------
    BatchReport

    Raises
    ------
    FileFaultError
        If the table cannot be read as one, or the answers cannot be written.
    ReadingError
        If ``top`` is not between 1 and the number of threads.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     table, answers = Path(folder, "in.csv"), Path(folder, "out.csv")
    ...     _ = table.write_text("id,major [mm],pitch [mm]\\nfoot,9.88,1.5\\n")
    ...     report = run_batch(table, answers, top=1)
    ...     print(report, answers.read_text().splitlines()[1].split(",")[4])
    BatchReport(rows=1, faults=0, ids_unchecked=0) M10x1.5
    """
    check_top(top)
    source, target = _one_line(in_path), _one_line(out_path)
    rows = faults = unchecked = 0
    with _opened(in_path, source) as file, _whole(in_path, out_path, target) as out:
        _write(out, _heading(top), target)
        for sheet in _read(file, source):
            _write(out, _answers(sheet, top), target)
            rows, faults = rows + len(sheet), faults + len(sheet.faults)
            unchecked += sheet.unchecked
            if progress is not None:
                progress(rows)
    return BatchReport(rows, faults, unchecked)


def _one_line(path: str | os.PathLike[str]) -> str:
    """A path as a message shows it."""
    return " ".join(os.fsdecode(path).encode(errors="replace").decode().split())


@contextlib.contextmanager
def _opened(path: str | os.PathLike[str], name: str) -> Iterator[io.TextIOWrapper]:
    """The table to read, as text in which bytes that are none stay recognisable."""
    try:
        file = open(path, encoding="utf-8-sig", errors="surrogateescape")  # noqa: SIM115
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or fault
        raise FileFaultError(f"{name}: cannot be read: {reason}; name a table in CSV") from None
    with file:
        yield file


def _read(file: io.TextIOWrapper, name: str) -> Iterator[Sheet]:
    """Pieces of the table; a fault of the disk is a fault of the file."""
    pieces = sheets(file, name=name)
    while True:
        try:
            sheet = next(pieces, None)
        except FileFaultError:
            raise
        except OSError as fault:
            raise FileFaultError(f"{name}: cannot be read: {fault.strerror or fault}") from None
        if sheet is None:
            return
        yield sheet


@contextlib.contextmanager
def _whole(in_path: str | os.PathLike[str], out_path: str | os.PathLike[str], name: str) -> Iterator[TextIO]:
    """A file that takes the place of the output when all is written, and else leaves no trace."""
    target = Path(os.path.realpath(out_path))
    if target.exists() and not target.is_file():
        raise FileFaultError(f"{name}: is not an ordinary file; name another for the answers")
    if target.exists() and os.path.samefile(in_path, target):
        raise FileFaultError(f"{name}: is the table itself; name another file for the answers")
    part = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
    try:
        file = open(part, "x", encoding="utf-8", newline="")  # noqa: SIM115
    except OSError as fault:
        raise FileFaultError(f"{name}: cannot be written: {fault.strerror or fault}") from None
    try:
        yield file
        _settle(file, part, target, name)
    finally:
        with contextlib.suppress(OSError):  # what could not be written cannot be on closing either
            file.close()
        part.unlink(missing_ok=True)  # nothing is left of that name once it has taken its place


def _settle(file: TextIO, part: Path, target: Path, name: str) -> None:
    """Put the finished file in its place."""
    try:
        file.flush()
        os.fsync(file.fileno())
        file.close()
        if target.exists():
            part.chmod(target.stat().st_mode & 0o7777)
        os.replace(part, target)
    except OSError as fault:
        raise FileFaultError(f"{name}: cannot be written: {fault.strerror or fault}") from None


def _write(file: TextIO, text: str, name: str) -> None:
    try:
        file.write(text)
    except OSError as fault:
        raise FileFaultError(f"{name}: cannot be written: {fault.strerror or fault}") from None


# --- answers ----------------------------------------------------------------------------------------------


def _heading(top: int) -> str:
    """The first line of the answers."""
    each = (f"{name}_{rank + 1}" for rank in range(top) for name in EACH)
    return ",".join((*FIRST, *each)) + "\n"


def _cell(text: str) -> str:
    """A text as a cell of CSV."""
    if any(mark in text for mark in _MARKS):
        return '"' + text.replace('"', '""') + '"'
    return text


@lru_cache(maxsize=8192)
def _ends(candidate: int, side: Side) -> tuple[str, str]:
    """Cells of a thread before and after its probability."""
    catalogue = candidates()
    thread = catalogue.thread(candidate, side)
    numbers = (catalogue.nominal_major, catalogue.pitch, catalogue.thread_angle)
    after = ",".join(format_decimal(float(column[candidate])) for column in numbers)
    return f",{_cell(thread.designation)},{_cell(thread.system)},", f",{after}"


def _answers(sheet: Sheet, top: int) -> str:
    """The lines of the answers to some rows."""
    lines = [""] * len(sheet)
    for group in answered(sheet, top):
        _put_lines(lines, sheet, group, top=top)
    blank = "," * (1 + top * len(EACH))
    for row, message in sheet.faults.items():
        lines[row] = f"{_cell(sheet.ids[row])},error,{_cell(message)}{blank}\n"
    return "".join(lines)


def _put_lines(lines: list[str], sheet: Sheet, group: Answered, *, top: int) -> None:
    """Write the lines of one group of rows into their places."""
    rows, seen, ranked = group
    which, said = verdicts(group)
    middles = [f",{status},{_cell(message)}," for status, message in said]
    ids = sheet.ids if len(rows) == len(sheet) else [sheet.ids[row] for row in rows.tolist()]
    if any(mark in "".join(ids) for mark in _MARKS):
        ids = [_cell(name) for name in ids]
    # text and numbers of a line by turns
    parts: list[list[str] | list[float]] = [
        [name + middles[i] for name, i in zip(ids, which.tolist(), strict=True)],
        ranked.none_of_these.tolist(),
    ]
    closing = [""] * len(rows)
    for rank in range(top):
        place = ranked.index[:, rank].tolist()
        ends = {i: _ends(i, seen.side) for i in set(place)}
        parts += [[end + ends[i][0] for end, i in zip(closing, place, strict=True)]]
        parts += [ranked.probability[:, rank].tolist()]
        closing = [ends[i][1] for i in place]
    form = "%s%.12g" * (top + 1) + "%s\n"
    found = [form % line for line in zip(*parts, closing, strict=True)]
    if len(rows) == len(sheet):
        lines[:] = found
    else:
        for row, line in zip(rows.tolist(), found, strict=True):
            lines[row] = line
