"""Leaders: a line from a feature to a text or to a tolerance frame; and the letter of a datum."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from threadwright.sheet.lettering import ASCENT, DESCENT, text_width
from threadwright.sheet.shapes import Box, Point, Polyline, Text

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["CELL", "Leader", "arrow", "datum_letter"]

CELL: Final = 4.6
"""Height of a tolerance frame, and width of its first cell. [mm]"""
_BESIDE: Final = 1.0  # letters to the edge of their cell


def arrow(tip: Point, angle: float, length: float = 2.5) -> Polyline:
    """A filled arrow head whose point is the tip; it lies at the angle as seen from the tip. [deg]

    Examples
    --------
    >>> arrow(Point(0.0, 0.0), 0.0).filled
    True
    """
    sides = [math.radians(angle + turn) for turn in (10.0, -10.0)]
    ends = (Point(tip.x + length * math.cos(a), tip.y + length * math.sin(a)) for a in sides)
    return Polyline((tip, *ends), "dimension", closed=True, filled=True)


def _rectangle(box: Box) -> Polyline:
    left, bottom, right, top = box
    corners = (Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top))
    return Polyline(corners, "dimension", closed=True)


def datum_letter(place: Point, letter: str, *, clear: float = 0.0) -> tuple[Polyline | Text, ...]:
    """A datum over the end of a dimension line: triangle, stem, and the letter in its frame.

    Parameters
    ----------
    place : Point
        End of the dimension line.
    letter : str
        Of the datum.
    clear : float
        How far the dimension line goes on beyond its end. [mm]

    References
    ----------
    ISO 5459: the triangle in line with a dimension line means the axis of the dimensioned feature.

    Examples
    --------
    >>> [part.text for part in datum_letter(Point(0.0, 0.0), "A") if isinstance(part, Text)]
    ['A']
    """
    x, low = place.x, place.y + clear
    top = low + 2.0
    half = CELL / 2
    frame = Box(x - half, top + 1.5, x + half, top + 1.5 + CELL)
    return (
        Polyline((Point(x, low + 2.0), Point(x - 1.2, low), Point(x + 1.2, low)), "dimension", True, True),
        Polyline((Point(x, top), Point(x, frame.bottom)), "dimension"),
        _rectangle(frame),
        Text(Point(x, frame.bottom + 1.4), letter, 2.5, "middle", layer="dimension"),
    )


@dataclass(frozen=True, slots=True)
class Leader:
    """A line from a feature to a text that stands on a shelf, or to a tolerance frame for circular runout.

    A frame holds the sign of circular runout, then the text, then ``cells``.
    """

    points: tuple[Point, ...]
    """From the arrow's tip to the beginning of the text or frame."""
    text: Text
    cells: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What it says, on one line."""
        return " ".join((self.text.text, *self.cells))

    @property
    def box(self) -> Box:
        """What text or frame covers."""
        if not self.cells:
            return self.text.box
        edges, y = self._edges(), self.points[-1].y
        return Box(edges[0], y - CELL / 2, edges[-1], y + CELL / 2)

    def _edges(self) -> list[float]:
        """Where the cells of the frame begin and end; it stands on the side that the leader comes from."""
        edges = [0.0, CELL]
        for words in (self.text.text, *self.cells):
            edges.append(edges[-1] + text_width(words, size=self.text.size) + 2 * _BESIDE)
        x = self.points[-1].x - (edges[-1] if self.text.anchor == "right" else 0.0)
        return [x + edge for edge in edges]

    def parts(self) -> tuple[Polyline | Text, ...]:
        """Lines, arrow and text."""
        tip, other = self.points[:2]
        angle = math.degrees(math.atan2(other.y - tip.y, other.x - tip.x))
        drawn = (Polyline(self.points, "dimension"), arrow(tip, angle, 2.0))
        return (*drawn, *self._frame()) if self.cells else (*drawn, self.text)

    def _frame(self) -> Iterator[Polyline | Text]:
        """The cells, each with its letters, and the sign of circular runout."""
        box, edges, size = self.box, self._edges(), self.text.size
        yield _rectangle(box)
        foot, head = Point(box.left + 1.3, box.bottom + 0.9), Point(edges[1] - 1.1, box.top - 0.9)
        angle = math.degrees(math.atan2(foot.y - head.y, foot.x - head.x))
        yield Polyline((foot, head), "dimension")
        yield arrow(head, angle, 2.0)
        base = (box.bottom + box.top - (ASCENT - DESCENT) * size) / 2
        for left, words in zip(edges[1:], (self.text.text, *self.cells), strict=False):
            yield Polyline((Point(left, box.bottom), Point(left, box.top)), "dimension")
            yield Text(Point(left + _BESIDE, base), words, size, layer="dimension")
