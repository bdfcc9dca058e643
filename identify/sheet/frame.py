"""What the views share: where a part lies on the page, its edges, and its dimensions."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from threadwright.sheet.layout import Note, Span
from threadwright.sheet.model import Line, Point, Polyline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.drawing import Size, Unit
    from threadwright.sheet.model import Entity, LayerName

__all__ = [
    "OVER",
    "Frame",
    "Profile",
    "View",
    "across",
    "axis",
    "break_line",
    "course",
    "edges",
    "lengthwise",
    "line",
]

OVER: Final = 3.0
"""How far a centre line goes on beyond the view. [mm]"""
Profile = list[tuple[float, float]]
"""Places along the axis, and the radius at each."""


@dataclass(frozen=True, slots=True)
class Frame:
    """From the part to the page: scale, and where the middle of the face lies."""

    scale: float
    origin: Point

    def at(self, along: float, radius: float) -> Point:
        """A point of the part on the page."""
        return Point(self.origin.x + self.scale * along, self.origin.y + self.scale * radius)


@dataclass(frozen=True, slots=True)
class View:
    """What is drawn of a part, and what is to be dimensioned about it."""

    entities: tuple[Entity, ...]
    left: tuple[Span, ...] = ()
    right: tuple[Span, ...] = ()
    below: tuple[Span, ...] = ()
    notes: tuple[Note, ...] = ()


def course(profile: Profile, frame: Frame, sign: float) -> tuple[Point, ...]:
    """A profile on the page; sign -1 is its mirror image below the axis."""
    return tuple(frame.at(along, sign * radius) for along, radius in profile)


def edges(profile: Profile, frame: Frame, sign: float) -> Iterator[Line]:
    """Edges of a turned shape, seen as lines from where its outline turns to the axis."""
    places: dict[float, float] = {}
    for (a, r), (b, s) in pairwise(profile):
        if r != s:
            places[a] = max(places.get(a, 0.0), r)
            places[b] = max(places.get(b, 0.0), s)
    for along, radius in places.items():
        if radius > 0:
            yield line(frame, (along, sign * radius), (along, 0.0), "outline")


def line(frame: Frame, a: tuple[float, float], b: tuple[float, float], layer: LayerName) -> Line:
    """A line between two points of the part."""
    return Line(frame.at(*a), frame.at(*b), layer)


def axis(frame: Frame, end: float) -> Line:
    """The centre line of a part that ends somewhere along it."""
    y = frame.origin.y
    return Line(Point(frame.origin.x - OVER, y), Point(frame.at(end, 0.0).x + OVER, y), "centre")


def across(frame: Frame, along: float, diameter: float) -> tuple[Point, Point]:
    """Ends of a diameter."""
    return frame.at(along, diameter / 2), frame.at(along, -diameter / 2)


def lengthwise(
    frame: Frame, start: tuple[float, float], end: tuple[float, float], size: Size, unit: Unit
) -> Span:
    """A length between two places, each with the radius at which its extension line begins."""
    return Span(frame.at(start[0], -start[1]), frame.at(end[0], -end[1]), size.label(unit))


def break_line(frame: Frame, a: tuple[float, float], b: tuple[float, float]) -> Polyline:
    """A narrow line with a zigzag in its middle: here the drawn piece ends, not the part."""
    start, end = frame.at(*a), frame.at(*b)
    length = math.dist(start, end)
    dx, dy = (end.x - start.x) / length, (end.y - start.y) / length
    course = [(0.0, 0.0), (0.5 * length - 1.5, 0.0), (0.5 * length - 0.7, 2.0), (0.5 * length + 0.7, -2.0)]
    course += [(0.5 * length + 1.5, 0.0), (length, 0.0)]
    points = (Point(start.x + u * dx - v * dy, start.y + u * dy + v * dx) for u, v in course)
    return Polyline(tuple(points), "thread")
