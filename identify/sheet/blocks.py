"""What is written on a page: lists and tables in columns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from threadwright.sheet.lettering import DESCENT, text_width, wrap
from threadwright.sheet.model import Box, Line, Point, Polyline, Text

if TYPE_CHECKING:
    from threadwright.sheet.drawing import Inspection, SizeRow, Unit
    from threadwright.sheet.model import Entity

__all__ = [
    "LEADING",
    "Block",
    "Row",
    "bulleted",
    "flow",
    "height_needed",
    "inspection_table",
    "line_of_text",
    "prose",
    "size_table",
]

LEADING: Final = 1.35
"""Line to line over the size of the type."""
_AFTER_BLOCK: Final = 1.6  # space below a block over the size of the type
_GUTTER: Final = 6.0

Draw = Callable[[float, float], list["Entity"]]
"""Draws a row, given its left and its upper end."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a list or table, kept whole."""

    height: float
    draw: Draw


@dataclass(frozen=True, slots=True)
class Block:
    """A heading and its rows."""

    heading: str
    rows: tuple[Row, ...]
    size: float

    @property
    def head(self) -> float:
        """Height of the heading. [mm]"""
        return 1.75 * self.size

    @property
    def height(self) -> float:
        """Height of the whole, with the space below. [mm]"""
        return self.head + sum(row.height for row in self.rows) + _AFTER_BLOCK * self.size


def line_of_text(x: float, top: float, text: str, size: float, *, bold: bool = False) -> Text:
    """A line of text under an upper end."""
    return Text(Point(x, top - (LEADING - DESCENT - 0.08) * size), text, size, bold=bold)


def _paragraph(text: str, *, mark: str, width: float, size: float, bold: bool = False) -> Row:
    """A paragraph behind a mark or number."""
    hang = text_width("00. " if mark != "-" else "- ", size=size) if mark else 0.0
    lines = wrap(text, width=width - hang, size=size, bold=bold)

    def draw(x: float, top: float) -> list[Entity]:
        found: list[Entity] = [line_of_text(x, top, mark, size)] if mark else []
        for number, line in enumerate(lines):
            found.append(line_of_text(x + hang, top - number * LEADING * size, line, size, bold=bold))
        return found

    return Row(len(lines) * LEADING * size + 0.15 * size, draw)


def bulleted(
    heading: str, texts: Sequence[str], *, width: float, size: float, first: int | None = None
) -> Block:
    """A list of sentences, with dashes or numbers.

    Parameters
    ----------
    heading : str
        Above the list.
    texts : sequence of str
        One sentence each.
    width, size : float
        Of the column and the type. [mm]
    first : int, optional
        Number of the first; dashes if left out.
    """
    rows = (
        _paragraph(text, mark="-" if first is None else f"{index}.", width=width, size=size)
        for index, text in enumerate(texts, start=first or 0)
    )
    return Block(heading, tuple(rows), size)


def prose(heading: str, text: str, *, width: float, size: float) -> Block:
    """One paragraph under a heading."""
    return Block(heading, (_paragraph(text, mark="", width=width, size=size),), size)


def _table_row(cells: Sequence[str], widths: Sequence[float], *, size: float, least: float) -> Row:
    """Cells beside each other over a narrow line; each cell is folded to its width."""
    folded = [wrap(cell, width=width - 1.5, size=size) for cell, width in zip(cells, widths, strict=True)]
    height = max(least, max(map(len, folded)) * LEADING * size + 0.5 * size)
    total = sum(widths)

    def draw(x: float, top: float) -> list[Entity]:
        found: list[Entity] = [Line(Point(x, top - height), Point(x + total, top - height), "hatch")]
        left = x
        for lines, width in zip(folded, widths, strict=True):
            for number, line in enumerate(lines):
                place = top - number * LEADING * size - 0.1 * size
                found.append(line_of_text(left, place, line, size))
            left += width
        return [one for one in found if not (isinstance(one, Text) and not one.text)]

    return Row(height, draw)


def size_table(heading: str, rows: Sequence[SizeRow], *, unit: Unit, width: float, size: float) -> Block:
    """A table of sizes with their limits.

    Parameters
    ----------
    heading : str
        Above the table.
    rows : sequence of SizeRow
        Name and size of each.
    unit : {"mm", "in"}
        Unit written.
    width, size : float
        Of the column and the type. [mm]
    """
    noted = any(row.note for row in rows)
    widths = tuple(share * width for share in ((0.29, 0.29, 0.42) if noted else (0.52, 0.48)))
    cells = ((row.name, row.words(unit), row.note)[: len(widths)] for row in rows)
    made = (_table_row(row, widths, size=size, least=0.0) for row in cells)
    return Block(heading, tuple(made), size)


def inspection_table(
    heading: str, rows: Sequence[Inspection], *, unit: Unit, width: float, size: float
) -> Block:
    """A table of what to measure, with a blank in which to write what was measured.

    Parameters
    ----------
    heading : str
        Above the table.
    rows : sequence of Inspection
        Name and wanted size of each.
    unit : {"mm", "in"}
        Unit written.
    width, size : float
        Of the column and the type. [mm]
    """
    widths = (0.36 * width, 0.36 * width, 0.28 * width)
    head = _table_row(("", "wanted", "as measured"), widths, size=size, least=0.0)
    made = [
        _blank_behind(_table_row((row.name, row.words(unit), ""), widths, size=size, least=4.6), widths)
        for row in rows
    ]
    return Block(heading, (head, *made), size)


def _blank_behind(row: Row, widths: Sequence[float]) -> Row:
    """The row with an empty box in its last column."""

    def draw(x: float, top: float) -> list[Entity]:
        left, right = x + sum(widths[:-1]), x + sum(widths)
        low, high = top - row.height + 0.5, top - 0.5
        box = (Point(left, low), Point(right, low), Point(right, high), Point(left, high))
        return [*row.draw(x, top), Polyline(box, "text", closed=True)]

    return Row(row.height, draw)


# --- columns ------------------------------------------------------------------------------------------------


def flow(
    blocks: Sequence[Block], *, room: Box, columns: int = 2
) -> tuple[tuple[Entity, ...], tuple[Block, ...]]:
    """Set blocks into columns, row by row.

    Parameters
    ----------
    blocks : sequence of Block
        In reading order.
    room : Box
        Where they may go.
    columns : int
        Columns of equal width.

    Returns
    -------
    tuple of (entities, blocks left over)
        What has no room is left over, whole rows each; nothing is lost.
    """
    step = (room.width + _GUTTER) / columns
    pieces, left = _pieces(blocks, room.height, columns)
    entities: list[Entity] = []
    for piece in pieces:
        entities += _drawn(piece.block, room.left + piece.column * step, room.top - piece.down)
    return tuple(entities), left


def height_needed(blocks: Sequence[Block], *, most: float, columns: int = 2) -> float | None:
    """Least height, to a millimetre, at which columns hold all blocks.

    Parameters
    ----------
    blocks : sequence of Block
        In reading order.
    most : float
        Height that there is. [mm]
    columns : int
        Columns of equal width.

    Returns
    -------
    float or None
        None if they need more than there is. [mm]
    """
    height = max(8.0, sum(block.height for block in blocks) / columns - 10.0)
    while height <= most:
        if not _pieces(blocks, height, columns)[1]:
            return height
        height += 1.0
    return None


@dataclass(frozen=True, slots=True)
class _Piece:
    """A block or part of one, and where it goes: its column, and how far down."""

    block: Block
    column: int
    down: float


def _pieces(blocks: Sequence[Block], height: float, columns: int) -> tuple[list[_Piece], tuple[Block, ...]]:
    """Cut blocks into pieces that fit the columns, and what is left over."""
    found: list[_Piece] = []
    column, down = 0, 0.0
    waiting = list(blocks)
    while waiting:
        block = waiting[0]
        fitting = _rows_that_fit(block, height - down)
        if not fitting:
            if column + 1 == columns:
                break
            column, down = column + 1, 0.0
            continue
        piece = Block(block.heading, block.rows[:fitting], block.size)
        found.append(_Piece(piece, column, down))
        down += piece.height
        heading = f"{block.heading.removesuffix(', continued')}, continued"
        waiting[0] = Block(heading, block.rows[fitting:], block.size)
        if not waiting[0].rows:
            waiting.pop(0)
    return found, tuple(waiting)


def _rows_that_fit(block: Block, height: float) -> int:
    """How many of its first rows fit under the heading."""
    left, fitting = height - block.head, 0
    for row in block.rows:
        left -= row.height
        if left < 0:
            break
        fitting += 1
    return fitting


def _drawn(block: Block, x: float, top: float) -> list[Entity]:
    """A heading and its rows."""
    found: list[Entity] = [line_of_text(x, top - 0.1 * block.size, block.heading, block.size, bold=True)]
    down = block.head
    for row in block.rows:
        found += row.draw(x, top - down)
        down += row.height
    return found
