"""Where dimensions, leaders and scales go, so that no label lies on another or on a line of one.

Dimensions are stacked in rows outside the view, short ones nearest to it. A label keeps clear of the
extension lines of every dimension that is placed after it, so that later rows can't run through it.
Notes hang on risers like stairs that fall to the left and to the right, so that no riser meets a label.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, NamedTuple

from threadwright.sheet.leader import CELL
from threadwright.sheet.model import Anchor, Box, Dimension, Kind, Label, Leader, Point, Text

__all__ = ["SCALES", "Note", "Side", "Span", "hang_notes", "scale_name", "stack"]

SCALES: Final = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""ISO 5455, largest first."""

Side = Literal["below", "above", "left", "right"]

_ARROWS: Final = 8.0  # a shorter dimension has its arrows outside
_CLEAR: Final = 0.8  # label to a line beside it
_OFF: Final = 0.7  # dimension line to the label above it
_AFTER: Final = 2.0  # dimension line to the next row
_FIRST: Final = 4.0  # view to the first row
_DATUM: Final = 3.5 + CELL  # what a datum's letter takes up beyond the end of its dimension


@dataclass(frozen=True, slots=True)
class Span:
    """A size to be dimensioned, on the page: its two points and what is to be said."""

    first: Point
    second: Point
    label: Label
    kind: Kind = "linear"
    half: bool = False
    datum: str = ""
    """Letter of the datum that its axis is."""


class Note(NamedTuple):
    """What a leader points to, and what it says; with cells it is a tolerance frame for runout."""

    tip: Point
    words: str
    cells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Placed:
    """A span with its label's place along the row and what the row is taken up from and to."""

    span: Span
    middle: float
    low: float
    high: float
    outside: bool


def scale_name(scale: float) -> str:
    """A scale as ISO 5455 writes it.

    Examples
    --------
    >>> scale_name(5.0), scale_name(0.5)
    ('5:1', '1:2')
    """
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def stack(spans: Sequence[Span], *, side: Side, edge: float, scale: float) -> tuple[Dimension, ...]:
    """Place dimensions in rows beside a view.

    Parameters
    ----------
    spans : sequence of Span
        Along x for a side below or above, along y for left or right.
    side : {"below", "above", "left", "right"}
        Where the rows go.
    edge : float
        Where the view ends on that side. [mm]
    scale : float
        Of the view.

    Returns
    -------
    tuple of Dimension
        No label overlaps another, nor an extension line of another.

    Examples
    --------
    >>> wide = Span(Point(0.0, 0.0), Point(30.0, 0.0), Label("30"))
    >>> near = Span(Point(0.0, 0.0), Point(12.0, 0.0), Label("12"))
    >>> [(one.label.text, one.line) for one in stack([wide, near], side="below", edge=0.0, scale=1.0)]
    [('12', -7.05), ('30', -12.1)]
    """
    order = sorted(spans, key=lambda span: (_length(span, side), _ends(span, side)))
    rows: list[list[_Placed]] = []
    for index, span in enumerate(order):
        later = [end for other in order[index + 1 :] for end in _lines_of(other, side)]
        _seat(span, rows, later, side)
    return tuple(_lay_out(rows, side=side, edge=edge, scale=scale))


def _along(point: Point, side: Side) -> float:
    return point.x if side in ("below", "above") else point.y


def _ends(span: Span, side: Side) -> tuple[float, float]:
    first, second = _along(span.first, side), _along(span.second, side)
    return min(first, second), max(first, second)


def _length(span: Span, side: Side) -> float:
    low, high = _ends(span, side)
    return high - low


def _lines_of(span: Span, side: Side) -> list[float]:
    """Where the extension lines of a span run."""
    ends = [_along(span.first, side)]
    return ends if span.half else [*ends, _along(span.second, side)]


def _seat(span: Span, rows: list[list[_Placed]], later: list[float], side: Side) -> None:
    """Put a span into the first row that has room, or into a new one."""
    for number, row in enumerate(rows):
        deeper = [end for one in rows[number + 1 :] for placed in one for end in _lines_of(placed.span, side)]
        for placed in _choices(span, [*later, *deeper], side):
            if all(_apart(one, placed, side) or _apart(placed, one, side) for one in row):
                row.append(placed)
                return
    rows.append([_choices(span, later, side)[0]])


def _apart(before: _Placed, behind: _Placed, side: Side) -> bool:
    """Whether one placed span is over where another begins; arrows may meet at an extension line."""
    meets = before.high == _ends(before.span, side)[1] and behind.low == _ends(behind.span, side)[0]
    return behind.low >= before.high - 1e-6 if meets else behind.low > before.high + 2.0


def _choices(span: Span, lines: list[float], side: Side) -> list[_Placed]:
    """Places for the label that no extension line crosses: inside if it fits, right but for a datum, left."""
    low, high = _ends(span, side)
    reach = span.label.width / 2 + _CLEAR
    outside = high - low < _ARROWS
    beyond = 5.5 if outside else 1.0
    found = []
    room = 0.5 if outside else 2.0
    inside = _free(lines, low + reach + room, high - reach - room, near=(low + high) / 2, reach=reach)
    if inside is not None:
        found.append(inside)
    right = _free(lines, high + beyond + reach, float("inf"), near=high, reach=reach)
    left = _free(lines, float("-inf"), low - beyond - reach, near=low, reach=reach)
    found += [place for place in (None if span.datum else right, left) if place is not None]
    out = 5.0 if outside else 0.0
    top = high + out + (_DATUM if span.datum else 0.0)
    return [_Placed(span, at, min(low - out, at - reach), max(top, at + reach), outside) for at in found]


def _free(lines: list[float], low: float, high: float, *, near: float, reach: float) -> float | None:
    """The middle nearest to a place, between two ends, whose label no line crosses."""
    if low > high:
        return None
    tried = [min(max(near, low), high)]
    tried += [at for line in lines for at in (line - reach, line + reach) if low <= at <= high]
    clear = [at for at in tried if all(abs(at - line) >= reach - 1e-9 for line in lines)]
    return min(clear, key=lambda at: (abs(at - near), at), default=None)


def _lay_out(rows: list[list[_Placed]], *, side: Side, edge: float, scale: float) -> Iterable[Dimension]:
    """Give each row its distance from the view."""
    outward = 1.0 if side in ("above", "right") else -1.0
    label_first = side in ("below", "right")  # letters stand above the line, or to the left of it
    away = _FIRST
    for row in rows:
        tall = max(placed.span.label.height for placed in row) + _OFF
        away += 1.0 if any(placed.span.datum for placed in row) else 0.0
        line = away + tall if label_first else away
        away = away + tall + _AFTER
        for placed in row:
            yield _dimension(placed, side=side, line=round(edge + outward * line, 6), scale=scale)


def _dimension(placed: _Placed, *, side: Side, line: float, scale: float) -> Dimension:
    span, height = placed.span, placed.span.label.height
    level = side in ("below", "above")
    at = (
        Point(placed.middle, line + _OFF + height / 2)
        if level
        else Point(line - _OFF - height / 2, placed.middle)
    )
    return Dimension(
        span.kind,
        span.first,
        span.second,
        line,
        "x" if level else "y",
        span.label,
        at,
        outside=placed.outside,
        half=span.half,
        scale=scale,
        datum=span.datum,
    )


def hang_notes(
    notes: Sequence[Note],
    *,
    above: float,
    beside: Box | None = None,
    width: float = math.inf,
    size: float = 2.5,
) -> tuple[Leader, ...]:
    """Hang notes over a view, each on a riser from what it speaks of, to the left and to the right.

    Parameters
    ----------
    notes : sequence of Note
        What each points to, and what it says.
    above : float
        Height above which everything is free. [mm]
    beside : Box, optional
        What is drawn already.
    width : float, optional
        What that and the notes may take up together. [mm]
    size : float
        Size of the type. [mm]

    Returns
    -------
    tuple of Leader
        No text overlaps another, and no riser crosses a text. Of all ways to share them out between the
        sides it is the lowest that keeps to the width, and of several such the narrowest.

    Examples
    --------
    >>> first, second = hang_notes(
    ...     [Note(Point(0.0, 0.0), "undercut"), Note(Point(5.0, 0.0), "chamfer")], above=10.0
    ... )
    >>> first.text.at.y == second.text.at.y
    True
    """
    order = sorted(notes, key=lambda note: (note.tip.x, note.tip.y, note.words))
    ways = [
        (*_hang(order[:count], above, size, side=-1.0), *_hang(order[count:], above, size, side=1.0))
        for count in range(len(order) + 1)
    ]

    def taken(way: Sequence[Leader]) -> tuple[float, float, float]:
        boxes = [one.box for one in way] + ([] if beside is None else [beside])
        wide = max(box.right for box in boxes) - min(box.left for box in boxes)
        return max(0.0, wide - width), round(max(one.box.top for one in way), 6), wide

    return min(ways, key=taken) if order else ()


def _hang(order: Sequence[Note], above: float, size: float, *, side: float) -> tuple[Leader, ...]:
    """Stairs to one side: the note that is farthest from that side hangs highest."""
    order = order if side > 0 else order[::-1]
    risers: list[float] = []
    for note in order:
        start = side * note.tip.x + 2.0
        risers.append(max(start, risers[-1] + 3.5) if risers else start)
    widths = [_leader(note, 0.0, 0.0, 0.0, size).box.right for note in order]
    rows = [0] * len(order)
    for index in range(len(order) - 1, -1, -1):
        end = risers[index] + widths[index] + 2.0
        under = [rows[other] for other in range(index + 1, len(order)) if risers[other] < end]
        rows[index] = 1 + max(under) if under else 0
    levels = _levels(order, rows, size)
    return tuple(
        _leader(note, side * riser, above, above + 3.0 + levels[row], size, side=side)
        for note, riser, row in zip(order, risers, rows, strict=True)
    )


def _levels(notes: Sequence[Note], rows: Sequence[int], size: float) -> list[float]:
    """Height of each row over the lowest: frames are taller than lines of text."""
    tall = [
        max(
            0.5 * CELL + 0.4 if note.cells else 0.9 * size
            for note, at in zip(notes, rows, strict=True)
            if at == row
        )
        for row in range(max(rows, default=-1) + 1)
    ]
    levels = [0.0]
    for lower, upper in pairwise(tall):
        levels.append(levels[-1] + lower + upper)
    return levels


def _leader(
    note: Note, riser: float, above: float, level: float, size: float, *, side: float = 1.0
) -> Leader:
    shelf = Point(riser + side * 1.5, level)
    points = (note.tip, Point(riser, above), Point(riser, level), shelf)
    place = Point(riser + side * 2.0, level - 0.35 * size)
    anchor: Anchor = "left" if side > 0 else "right"
    return Leader(points, Text(place, note.words, size, anchor, layer="dimension"), note.cells)
