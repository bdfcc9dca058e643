"""What stands on a page in a fixed place: frame, title block, check bar, stamp."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from threadwright.sheet.blocks import LEADING, line_of_text
from threadwright.sheet.layout import scale_name
from threadwright.sheet.lettering import text_width, wrap
from threadwright.sheet.model import Box, Line, Point, Polyline, Text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.sheet.model import Entity, LayerName

__all__ = ["check_bar", "frame_around", "stamp", "title_block"]


def frame_around(box: Box, layer: LayerName = "frame") -> Polyline:
    """The four edges of a box.

    Examples
    --------
    >>> len(frame_around(Box(0.0, 0.0, 1.0, 1.0)).points)
    4
    """
    left, bottom, right, top = box
    corners = (Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top))
    return Polyline(corners, layer, closed=True)


def check_bar(start: Point, *, scale: float | None = None) -> tuple[Entity, ...]:
    """A bar of exactly 100 mm from edge to edge in blocks of 10 mm, and what it means.

    Parameters
    ----------
    start : Point
        Its left end.
    scale : float, optional
        Of the drawing; what the bar is of the part is then written too.

    Returns
    -------
    tuple of Entity

    Examples
    --------
    >>> check_bar(Point(0.0, 0.0), scale=5.0)[-1].text
    'Check bar 100 mm (20 mm of the part at 5:1). Print at 100 %.'
    """
    x, y = start
    found: list[Entity] = [_filled(Box(x, y, x + 100.0, y + 0.5))]
    found += [_filled(Box(x + at, y + 0.5, x + at + 10.0, y + 1.5)) for at in range(0, 100, 20)]
    meant = "" if scale is None else f" ({100 / scale:g} mm of the part at {scale_name(scale)})"
    words = f"Check bar 100 mm{meant}. Print at 100 %."
    return (*found, Text(Point(x + 103.0, y + 0.2), words, 2.1))


def _filled(box: Box) -> Polyline:
    """A black box; what is filled has no outline, so that its edges are where they are said to be."""
    return replace(frame_around(box), filled=True)


def stamp(texts: Sequence[str], *, width: float, left: float, top: float) -> tuple[tuple[Entity, ...], float]:
    """NOT SETTLED in a heavy frame, with what is in doubt.

    Parameters
    ----------
    texts : sequence of str
        What is in doubt.
    width, left, top : float
        Of the frame. [mm]

    Returns
    -------
    tuple of (entities, height)
    """
    heading = Text(Point(left + 4.0, top - 7.2), "NOT SETTLED", 5.0, bold=True, layer="stamp")
    beside = left + 4.0 + heading.width + 6.0
    lines = [line for text in texts for line in wrap(text, width=left + width - 4.0 - beside, size=2.5)]
    height = max(10.0, len(lines) * LEADING * 2.5 + 4.0)
    found: list[Entity] = [frame_around(Box(left, top - height, left + width, top), "stamp"), heading]
    for number, line in enumerate(lines):
        found.append(line_of_text(beside, top - 2.0 - number * LEADING * 2.5, line, 2.5))
    return tuple(found), height


def title_block(box: Box, rows: Sequence[Sequence[tuple[str, str, float]]]) -> tuple[Entity, ...]:
    """The title block: rows of cells, each with a small name and its text.

    Parameters
    ----------
    box : Box
        Its place.
    rows : sequence of rows
        Each row a sequence of (name, text, share of the width).

    Returns
    -------
    tuple of Entity
        A text that is too long is set smaller, and cut with three points in the end.
    """
    found: list[Entity] = [frame_around(box)]
    height = box.height / len(rows)
    for number, row in enumerate(rows):
        top, left = box.top - number * height, box.left
        if number:
            found.append(Line(Point(box.left, top), Point(box.right, top), "thread"))
        for name, text, share in row:
            if left > box.left:
                found.append(Line(Point(left, top), Point(left, top - height), "thread"))
            found += _cell(name, text, Box(left, top - height, left + share * box.width, top))
            left += share * box.width
    return tuple(found)


def _cell(name: str, text: str, box: Box) -> list[Entity]:
    """One cell of the title block."""
    room = box.width - 2.4
    size, shown = _fitted(text, room)
    found: list[Entity] = [Text(Point(box.left + 1.2, box.top - 2.4), name, 1.8)]
    if shown:
        found.append(Text(Point(box.left + 1.2, box.bottom + 1.5), shown, size))
    return found


def _fitted(text: str, room: float) -> tuple[float, str]:
    """Size of type at which a text fits, and the text, cut if it fits at none."""
    for size in (3.0, 2.5, 2.1):
        lines = wrap(text, width=room, size=size)
        if len(lines) == 1:
            return size, lines[0]
    shown = " ".join(lines)
    while text_width(f"{shown}...", size=2.1) > room:
        shown = shown[:-1]
    return 2.1, f"{shown}..."
