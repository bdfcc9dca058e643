"""A frame of readings to columns of answers; the frame is asked for its columns, and for nothing else."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from threadwright.batch_answers import EACH, FIRST, answered, verdicts
from threadwright.batch_csv import Sheet, named_columns
from threadwright.batch_many import check_top
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from threadwright.batch_answers import Answered
    from threadwright.tables.thread import Side

__all__ = ["FrameLike", "identify_frame"]

_NAME = "frame"
_PIECE = 10_000  # rows read at a time


class FrameLike(Protocol):
    """A table that knows the names of its columns and gives one by its name, as in pandas and polars."""

    @property
    def columns(self) -> Iterable[Any]:
        """Names of the columns."""

    def __getitem__(self, name: Any, /) -> Iterable[Any]:
        """One column."""


def identify_frame(frame: FrameLike, top: int = 3) -> dict[str, list[Any]]:
    """Identify every fastener of a frame.

    Parameters
    ----------
    frame : frame
        Of pandas, polars or another library: ``frame.columns`` names the columns, ``frame[name]`` is one.
        Columns are named as in a table for ``threadwright batch``, numbers with the unit in the name, as in
        ``major [mm]``; text is read as a cell of such a table. None and NaN are readings not taken. A column
        ``id`` is not needed; without it the rows are numbered from 0.
    top : int
        How many threads to give for each row.

    Returns
    -------
    dict of str to list
        Columns of the answers, as in the table that ``threadwright batch`` writes, in the order of the rows:
        any library makes a frame of them. None where there is no answer.

    Raises
    ------
    FileFaultError
        If the frame has no column of readings, or an unknown or doubled one.
    ReadingError
        If ``top`` is not between 1 and the number of threads, or columns differ in length.

    Examples
    --------
    >>> class Frame(dict):
    ...     columns = property(list)
    >>> answers = identify_frame(Frame({"major [mm]": [7.9, 9.9], "pitch [mm]": [1.25, None]}), top=1)
    >>> answers["designation_1"], answers["status"]
    (['M8x1.25', 'M10x1.5'], ['ok', 'unsettled'])
    """
    check_top(top)
    names = [str(name) for name in frame.columns]
    columns = named_columns(names if "id" in names else ["id", *names], name=_NAME)
    given = {str(name): list(frame[name]) for name in frame.columns}
    lengths = {name: len(column) for name, column in given.items()}
    if len(set(lengths.values())) > 1:
        raise ReadingError(f"{_NAME}: columns differ in length: {lengths}; give one cell for each row")
    n = next(iter(lengths.values()), 0)
    given = given if "id" in given else {"id": list(range(n)), **given}
    each = [f"{name}_{rank + 1}" for rank in range(top) for name in EACH]
    answers: dict[str, list[Any]] = {name: [None] * n for name in (*FIRST, *each)}
    answers["id"] = given["id"]
    for start in range(0, n, _PIECE):
        cells = [[_text(cell) for cell in column[start : start + _PIECE]] for column in given.values()]
        ids = [str(name) for name in given["id"][start : start + _PIECE]]
        _answer(answers, Sheet(columns, cells, ids, {}), start, top)
    return answers


def _text(cell: object) -> str:
    """A cell as it would stand in a table."""
    if cell is None or (isinstance(cell, float | np.floating) and math.isnan(cell)):
        return ""
    if isinstance(cell, float | np.floating) and math.isfinite(cell):
        return np.format_float_positional(cell, trim="-")
    return str(cell)


def _answer(answers: dict[str, list[Any]], sheet: Sheet, start: int, top: int) -> None:
    """Write the answers to some rows into their places."""
    for group in answered(sheet, top):
        places = (start + group.rows).tolist()
        which, said = verdicts(group)
        put: dict[str, list[Any]] = {
            "status": [said[i][0] for i in which.tolist()],
            "message": [said[i][1] for i in which.tolist()],
            "none_of_these": group.ranked.none_of_these.tolist(),
        }
        for rank in range(top):
            put |= {f"{name}_{rank + 1}": column for name, column in _threads(group, rank).items()}
        for name, column in put.items():
            for place, value in zip(places, column, strict=True):
                answers[name][place] = value
    for row, message in sheet.faults.items():
        for name in answers:
            if name != "id":
                answers[name][start + row] = {"status": "error", "message": message}.get(name)


def _threads(group: Answered, rank: int) -> dict[str, list[Any]]:
    """Columns of the threads of one rank."""
    index, catalogue, side = group.ranked.index[:, rank], candidates(), group.seen.side
    names = {i: _names(i, side) for i in set(index.tolist())}
    return {
        "designation": [names[i][0] for i in index.tolist()],
        "system": [names[i][1] for i in index.tolist()],
        "probability": group.ranked.probability[:, rank].tolist(),
        "nominal_major_mm": catalogue.nominal_major[index].tolist(),
        "pitch_mm": catalogue.pitch[index].tolist(),
        "thread_angle_deg": catalogue.thread_angle[index].tolist(),
    }


def _names(candidate: int, side: Side) -> tuple[str, str]:
    """Designation and system of a thread."""
    thread = candidates().thread(candidate, side)
    return thread.designation, thread.system
