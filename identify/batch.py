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
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, TextIO

import numpy as np

from threadwright import judgement
from threadwright.batch_cells import groups, readings_of, usual_u
from threadwright.batch_csv import Sheet, sheets
from threadwright.batch_many import Ranked, check_top, identify_many
from threadwright.likelihood import Observations, class_zones
from threadwright.ranking import check_wire
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.errors import FileFaultError, ReadingError
from threadwright.tables.numbers import format_decimal

if TYPE_CHECKING:
    import io
    from collections.abc import Callable, Iterator, Mapping

    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["BatchReport", "Ranked", "identify_many", "run_batch"]

_FIRST: Final = ("id", "status", "message", "none_of_these")
_EACH: Final = ("designation", "system", "probability", "nominal_major_mm", "pitch_mm", "thread_angle_deg")
_NONE_MESSAGE: Final = "no thread on file fits; check the units, or measure again"
_SAY: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pitch": "read the pitch",
        "flank_angle": "read the flank angle",
        "major": "measure the major diameter",
        "minor": "measure the minor diameter",
        "pitch_diameter": "measure over wires",
    }
)


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
    except BaseException:
        with contextlib.suppress(OSError):  # what could not be written cannot be on closing either
            file.close()
        part.unlink(missing_ok=True)
        raise


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
    each = (f"{name}_{rank + 1}" for rank in range(top) for name in _EACH)
    return ",".join((*_FIRST, *each)) + "\n"


def _cell(text: str) -> str:
    """A text as a cell of CSV."""
    if any(mark in text for mark in ',"\n\r'):
        return '"' + text.replace('"', '""') + '"'
    return text


@lru_cache(maxsize=4096)
def _ends(candidate: int, side: Side) -> tuple[str, str]:
    """Cells of a thread before and after its probability."""
    catalogue = candidates()
    thread = catalogue.thread(candidate, side)
    numbers = (catalogue.nominal_major, catalogue.pitch, catalogue.thread_angle)
    after = ",".join(format_decimal(float(column[candidate])) for column in numbers)
    return f",{_cell(thread.designation)},{_cell(thread.system)},", f",{after}"


def _answers(sheet: Sheet, top: int) -> str:
    """The lines of the answers to some rows."""
    shown = max(top, min(2, len(candidates())))  # the second is named where the first is unsettled
    lines = [""] * len(sheet)
    for rows, seen in groups(sheet):
        ranked = identify_many(seen, top=shown)
        if seen.over_wires is not None:
            _check_wires(sheet, rows, seen, ranked)
        _put_lines(lines, sheet, (rows, seen, ranked), top=top)
    blank = "," * (1 + top * len(_EACH))
    for row, message in sheet.faults.items():
        lines[row] = f"{_cell(sheet.ids[row])},error,{_cell(message)}{blank}\n"
    return "".join(lines)


def _put_lines(
    lines: list[str], sheet: Sheet, answered: tuple[Integers, Observations, Ranked], *, top: int
) -> None:
    """Write the lines of one group of rows into their places."""
    rows, seen, ranked = answered
    given = frozenset(_given(seen))
    answers = zip(
        rows.tolist(),
        ranked.index.tolist(),
        ranked.probability.tolist(),
        ranked.none_of_these.tolist(),
        strict=True,
    )
    for row, index, probability, none in answers:
        status, message = "ok", ""
        if none > probability[0]:
            status, message = "none", _cell(_NONE_MESSAGE)
        elif probability[0] < judgement.SETTLED:
            status = "unsettled"
            leaders = [i for i, p in zip(index, probability, strict=True) if p >= judgement.WORTH_PLANNING]
            message = _cell(_doubt(tuple(leaders or index[:1]), index[1], seen.side, given))
        parts = [f"{_cell(sheet.ids[row])},{status},{message},{none:.12g}"]
        for i, p in zip(index[:top], probability, strict=False):
            before, after = _ends(i, seen.side)
            parts.append(f"{before}{p:.12g}{after}")
        lines[row] = "".join(parts) + "\n"


def _given(seen: Observations) -> Iterator[str]:
    """What was read of the fasteners of a group."""
    yield from seen.lengths
    if seen.over_wires is not None:
        yield "pitch_diameter"
    if seen.comb is not None or seen.pitch is not None:
        yield "pitch"
    if seen.flank_angle is not None:
        yield "flank_angle"


@lru_cache(maxsize=4096)
def _doubt(leaders: tuple[int, ...], second: int, side: Side, given: frozenset[str]) -> str:
    """Which threads it may be, and the reading not yet taken that tells the first two apart."""
    names = [candidates().designation(i, side) for i in leaders]
    text = " or ".join(names if len(names) > 1 else [*names, "another"])
    apart = {name: value for name, value in _apart(leaders[0], second, side).items() if name not in given}
    best = max(apart, key=lambda name: apart[name], default=None)
    return text if best is None or apart[best] < 1 else f"{text}; {_SAY[best]}"


def _apart(first: int, second: int, side: Side) -> dict[str, float]:
    """How far two threads differ, in standard uncertainties with the tolerance in them."""
    catalogue = candidates()
    pitches = catalogue.pitch[[first, second]]
    flanks = catalogue.flank_angle[[first, second]]
    daylight = judgement.COMB_DAYLIGHT_MM / judgement.COMB_PITCHES
    found = {
        "pitch": float(abs(np.diff(pitches)[0]) / daylight),
        "flank_angle": float(
            abs(np.diff(flanks)[0]) / np.hypot(usual_u("flank_angle", side), judgement.FLANK_ERROR_DEG)
        ),
    }
    reachable = ("major", "pitch_diameter") if side == "external" else ("minor",)
    owner = class_rows(side).candidate
    for name in reachable:
        low, high = class_zones(side, name)
        zones = [(low[owner == i].min(), high[owner == i].max()) for i in (first, second)]
        middle = [(a + b) / 2 for a, b in zones]
        width = max(b - a for a, b in zones) / np.sqrt(12.0)
        u = usual_u("over_wires" if name == "pitch_diameter" else name, side)
        found[name] = float(abs(middle[0] - middle[1]) / np.hypot(u, width))
    return found


def _check_wires(sheet: Sheet, rows: Integers, seen: Observations, ranked: Ranked) -> None:
    """Refuse rows whose wire touches the flanks of no thread near the size over it."""
    wires, catalogue = seen.over_wires, candidates()
    assert wires is not None
    best = ranked.index[:, 0]
    sure = np.abs(catalogue.pitch_diameter[best] - wires.value) < 3 * wires.wire
    sure &= (catalogue.wire_least[best] <= wires.wire) & (wires.wire <= catalogue.wire_greatest[best])
    read: Array | None = None
    if seen.comb is not None:
        read = seen.comb.leaf
    elif seen.pitch is not None:
        read = seen.pitch.value
    if read is not None:
        sure &= np.abs(catalogue.pitch[best] / read - 1) < 2 * judgement.COMB_POOR_SPREAD
    for row in rows[~sure].tolist():
        try:
            check_wire(readings_of(sheet, row))
        except ReadingError as fault:
            sheet.faults[row] = str(fault)
