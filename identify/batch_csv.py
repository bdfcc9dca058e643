"""A table of readings in CSV, cut into rows and cells piece by piece.

The first line that is not empty names the columns: ``id`` and readings, each perhaps with its unit
(``major [mm]``). Wholly empty lines are no rows. A quoted cell may hold commas and quotes, a quoted id line
ends too; a quote that is not closed spoils its own line only. What stands in the cells is read in
:mod:`threadwright.batch_cells`.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from itertools import islice
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, TextIO

from threadwright.readings import LABELS
from threadwright.tables.errors import FileFaultError, ReadingError
from threadwright.tables.numbers import shorten
from threadwright.units import column_unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from threadwright.units import ColumnUnit, Dimension

__all__ = ["ANSWERED", "COLUMNS", "DIMENSIONS_OF", "MOST_IDS", "Column", "Sheet", "named_columns", "sheets"]

MOST_IDS: Final = 1_000_000
"""Rows up to which ids are checked for doubles."""
COLUMNS: Final = ("id", *LABELS, "side", "condition")
"""Names a column may have."""
ANSWERED: Final = tuple(name for name in LABELS if name != "wire")
"""Names of readings; the size of a wire alone is none."""
DIMENSIONS_OF: Final[Mapping[str, tuple[Dimension, ...]]] = MappingProxyType(
    {**dict.fromkeys(LABELS, ("length",)), "pitch": ("pitch", "length"), "flank_angle": ("angle",)}
)
"""What the units of a column of readings may be."""
_HEADER_LIKE: Final = "'id,major [mm],pitch [tpi]'"
_CHUNK_CHARACTERS: Final = 1 << 19
_LINES_OF_A_ROW: Final = 50  # lines looked at for the end of a quoted cell


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the table: its name, and the unit of its header if it has one."""

    name: str
    unit: ColumnUnit | None = None


@dataclass(slots=True, eq=False)
class Sheet:
    """Some rows of the table, cut into cells."""

    columns: tuple[Column, ...]
    cells: list[list[str]]
    """The cells of each column; empty ones for a row that has not as many as there are columns."""
    ids: list[str]
    faults: dict[int, str]
    """Row, and what is wrong with it."""
    unchecked: int = 0
    """Rows whose ids were not looked at for doubles."""

    def __len__(self) -> int:
        return len(self.ids)


def sheets(file: TextIO, *, name: str) -> Iterator[Sheet]:
    """Read a table of readings piece by piece.

    Parameters
    ----------
    file : text file
        Opened as UTF-8 with ``errors="surrogateescape"`` and universal newlines.
    name : str
        What to call the file in a message.

    Yields
    ------
    Sheet
        A few thousand rows, in order.

    Raises
    ------
    FileFaultError
        If there is no header, or it names no ``id``, no reading, or an unknown or doubled column.

    Examples
    --------
    >>> import io
    >>> sheet = next(sheets(io.StringIO("id,major [in]\\na,0.5\\n"), name="table.csv"))
    >>> sheet.ids, sheet.cells
    (['a'], [['a'], ['0.5']])
    """
    columns = _header(file, name=name)
    seen: set[str] = set()
    count = 0
    while lines := file.readlines(_CHUNK_CHARACTERS):
        sheet = _cut(lines, file, columns)
        _check_ids(sheet, seen, count)
        count += len(sheet)
        if count > MOST_IDS:
            seen.clear()
        yield sheet


def _header(file: TextIO, *, name: str) -> tuple[Column, ...]:
    """The columns named by the first line that is not empty."""
    line = next((line for line in file if line != "\n"), "")
    if not line.strip():
        raise FileFaultError(f"{name}: no header; write a first line like {_HEADER_LIKE}")
    if _dirt(line):
        raise FileFaultError(f"{name}: the header is not text; save the table as CSV in UTF-8")
    try:
        words = next(csv.reader([line], strict=True))
    except csv.Error as fault:
        raise FileFaultError(f"{name}: the header cannot be read as CSV: {fault}") from None
    return named_columns(words, name=name)


def named_columns(words: Sequence[str], *, name: str) -> tuple[Column, ...]:
    """The columns that a header names.

    Parameters
    ----------
    words : sequence of str
        Like ``major`` or ``major [mm]``.
    name : str
        What to call the table in a message.

    Returns
    -------
    tuple of Column

    Raises
    ------
    FileFaultError
        If they name no ``id``, no reading, or an unknown or doubled column.

    Examples
    --------
    >>> [column.name for column in named_columns(["id", "major [mm]"], name="table.csv")]
    ['id', 'major']
    """
    columns = tuple(_column(word, name=name) for word in words)
    names = [column.name for column in columns]
    doubled = [word for word in dict.fromkeys(names) if names.count(word) > 1]
    if doubled:
        raise FileFaultError(f"{name}: column {doubled[0]!r} is there twice; leave one")
    if "id" not in names:
        raise FileFaultError(f"{name}: no column 'id'; name each row in one, as in {_HEADER_LIKE}")
    if not set(names) & set(ANSWERED):
        raise FileFaultError(f"{name}: no column of readings; write some of {', '.join(ANSWERED)}")
    return columns


def _column(word: str, *, name: str) -> Column:
    """One word of the header: ``major`` or ``major [mm]``."""
    plain, bracket, rest = word.strip().partition("[")
    plain = plain.strip()
    if plain not in COLUMNS:
        raise FileFaultError(f"{name}: {_unknown(plain)}")
    if not bracket:
        return Column(plain)
    if not rest.endswith("]"):
        raise FileFaultError(
            f"{name}: column {shorten(word)}: the bracket is not closed; write {plain + ' [mm]'!r}"
        )
    try:
        unit = column_unit(rest[:-1])
    except ReadingError as fault:
        raise FileFaultError(f"{name}: column {shorten(word)}: {fault}") from None
    if unit.dimension not in DIMENSIONS_OF.get(plain, ()):
        raise FileFaultError(
            f"{name}: column {shorten(word)}: {plain} is not given in {unit.word}; "
            f"write one of {', '.join(_unit_words(plain)) or 'no unit'}"
        )
    return Column(plain, unit)


def _unit_words(name: str) -> tuple[str, ...]:
    """Some units a column may have."""
    words = {"length": ("mm", "in"), "pitch": ("tpi",), "angle": ("deg",)}
    return tuple(word for dimension in DIMENSIONS_OF.get(name, ()) for word in words[dimension])


def _unknown(word: str) -> str:
    """What to say of a column that is none of ours."""
    import difflib

    if re.search(r"[;\t]", word):
        return f"column {shorten(word)} is unknown; part the cells with commas"
    if re.search(r"\d", word) or not word:
        return f"no header, or an unknown column {shorten(word)}; write a first line like {_HEADER_LIKE}"
    near = difflib.get_close_matches(word.lower().replace(" ", "_")[:40], COLUMNS, n=1, cutoff=0.6)
    remedy = f"did you mean {near[0]!r}?" if near else f"write some of {', '.join(COLUMNS)}"
    return f"no column {shorten(word)}; {remedy}"


def _dirt(text: str) -> str | None:
    """What in a line is not text, if anything."""
    if "\0" in text:
        return "row: holds a NUL character; write the row again"
    if not text.isascii():
        try:
            text.encode()
        except UnicodeEncodeError:
            return "row: holds bytes that are not UTF-8; save the table as CSV in UTF-8"
    return None


def _cut(lines: list[str], file: TextIO, columns: tuple[Column, ...]) -> Sheet:
    """Cut lines into cells."""
    text = "".join(lines)
    easy = text.isascii() and "\0" not in text and '"' not in text
    place = [column.name for column in columns].index("id")
    if easy and (by_column := _cut_evenly(text, len(lines), len(columns))) is not None:
        return Sheet(columns, by_column, by_column[place], {})
    faults: dict[int, str] = {}
    if easy:
        cells = [line.rstrip("\n").split(",") for line in lines if line != "\n"]
    else:
        cells = _cut_carefully(lines, file, columns, faults)
    ids = [parts[place] if place < len(parts) else "" for parts in cells]
    for row, parts in enumerate(cells):
        if len(parts) != len(columns):
            faults.setdefault(
                row,
                f"row: {len(parts)} cells where the header has {len(columns)}; write decimals with a point, "
                "and quote a cell that holds a comma",
            )
            cells[row] = [""] * len(columns)
    by_column = [list(column) for column in zip(*cells, strict=True)] or [[] for _ in columns]
    return Sheet(columns, by_column, ids, faults)


def _cut_evenly(text: str, rows: int, columns: int) -> list[list[str]] | None:
    """Cut a text in which every line has as many cells as the header; None if one has not."""
    cells = text.replace("\n", ",\n,").split(",")
    if not text.endswith("\n"):
        cells += ["\n", ""]
    ends = cells[columns :: columns + 1]
    if len(cells) != rows * (columns + 1) + 1 or ends.count("\n") != rows:
        return None
    return [cells[column : -1 : columns + 1] for column in range(columns)]


def _cut_carefully(
    lines: list[str], file: TextIO, columns: tuple[Column, ...], faults: dict[int, str]
) -> list[list[str]]:
    """Cut lines that may hold quotes or bytes that are not text."""
    cells: list[list[str]] = []
    at = 0
    while at < len(lines):
        line = lines[at]
        taken = 1
        if line != "\n":
            if '"' in line:
                lines.extend(islice(file, max(0, at + _LINES_OF_A_ROW - len(lines))))
                parts, taken, fault = _quoted(lines[at : at + _LINES_OF_A_ROW], columns)
            else:
                parts, fault = line.rstrip("\n").split(","), None
            fault = _dirt("".join(lines[at : at + taken])) or fault
            if fault is not None:
                faults[len(cells)] = fault
                parts = [_clean(part) for part in parts]
            cells.append(parts)
        at += taken
    return cells


def _quoted(lines: list[str], columns: tuple[Column, ...]) -> tuple[list[str], int, str | None]:
    """Cells of a row with quotes, the lines it takes, and what is wrong with it."""
    reader = csv.reader(lines, strict=True)
    try:
        parts = next(reader)
    except csv.Error as error:
        fault = f"row: cannot be read as CSV: {error}; check its quotes"
    else:
        names = [column.name for column in columns]
        spread = len(parts) != len(names) or any(
            name != "id" and "\n" in part for name, part in zip(names, parts, strict=True)
        )
        if reader.line_num == 1 or not spread:  # a reading never goes on in the next line
            return parts, reader.line_num, None
        fault = "row: a quote is opened and not closed; close it, or leave it out"
    return [part.strip('"') for part in lines[0].rstrip("\n").split(",")], 1, fault


def _clean(text: str) -> str:
    """The text with a mark where it is not text."""
    return text.encode(errors="replace").decode().replace("\0", "?")


def _check_ids(sheet: Sheet, seen: set[str], before: int) -> None:
    """Mark rows without an id of their own, up to the number of rows that are checked."""
    sheet.unchecked = min(len(sheet), max(0, before + len(sheet) - MOST_IDS))
    keys = [name.strip() for name in sheet.ids[: len(sheet) - sheet.unchecked]]
    new = set(keys)
    if not sheet.faults and "" not in new and len(new) == len(keys) and seen.isdisjoint(new):
        seen |= new
        return
    for row, key in enumerate(keys):
        if row in sheet.faults:
            continue
        if not key:
            sheet.faults[row] = "id: empty; give each row a name of its own"
        elif key in seen:
            sheet.faults[row] = f"id: {shorten(key)} is there already; give each row a name of its own"
        seen.add(key)
