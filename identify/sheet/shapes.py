"""The plain shapes of a sheet, in millimetres: points, boxes, layers, lines, arcs, hatches and text."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from threadwright.sheet.lettering import ASCENT, DESCENT, plain, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

__all__ = [
    "LAYERS",
    "PAPERS",
    "Anchor",
    "Arc",
    "Box",
    "Hatch",
    "Layer",
    "LayerName",
    "Line",
    "Point",
    "Polyline",
    "Text",
]

Anchor = Literal["left", "middle", "right"]
LayerName = Literal[
    "outline", "thread", "centre", "hidden", "phantom", "hatch", "dimension", "text", "frame", "stamp"
]


class Point(NamedTuple):
    """A place on the page. [mm]"""

    x: float
    y: float


class Box(NamedTuple):
    """A rectangle along the edges of the page. [mm]"""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Left to right. [mm]"""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Bottom to top. [mm]"""
        return self.top - self.bottom

    def overlaps(self, other: Box, *, gap: float = 0.0) -> bool:
        """Whether two boxes share more than an edge, or are nearer than a gap.

        Examples
        --------
        >>> Box(0, 0, 2, 1).overlaps(Box(1, 0, 3, 1)), Box(0, 0, 2, 1).overlaps(Box(2, 0, 3, 1))
        (True, False)
        """
        slack = gap - 1e-9
        return (
            self.left < other.right + slack
            and other.left < self.right + slack
            and self.bottom < other.top + slack
            and other.bottom < self.top + slack
        )

    def inside(self, other: Box) -> bool:
        """Whether nothing of this box is outside the other."""
        return (
            self.left >= other.left - 1e-6
            and self.bottom >= other.bottom - 1e-6
            and self.right <= other.right + 1e-6
            and self.top <= other.top + 1e-6
        )


@dataclass(frozen=True, slots=True)
class Layer:
    """Line weight and line type. ``dashes`` are lengths of stroke and gap in turn. [mm]"""

    weight: float
    dashes: tuple[float, ...] = ()


LAYERS: Final[Mapping[LayerName, Layer]] = MappingProxyType(
    {
        "outline": Layer(0.5),  # ISO 128-2: 01.2 continuous wide
        "thread": Layer(0.25),  # ISO 6410-1: the other line of a thread is continuous narrow
        "centre": Layer(0.25, (6.0, 1.0, 0.6, 1.0)),  # 04.1 long-dashed dotted narrow
        "hidden": Layer(0.25, (2.0, 1.0)),  # 02.1 dashed narrow
        "phantom": Layer(0.25, (6.0, 1.0, 0.6, 1.0, 0.6, 1.0)),  # 05.1 long-dashed double-dotted narrow
        "hatch": Layer(0.18),
        "dimension": Layer(0.18),
        "text": Layer(0.18),
        "frame": Layer(0.35),
        "stamp": Layer(0.7),
    }
)
"""Line weights and types; ISO 128-2 line types, group 0.5."""

PAPERS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
)
"""Width and height of a page upright. [mm]"""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    layer: LayerName


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines from point to point; filled, it has no outline."""

    points: tuple[Point, ...]
    layer: LayerName
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, anticlockwise from one angle to the other. [deg]"""

    centre: Point
    radius: float
    layer: LayerName
    start: float = 0.0
    end: float = 360.0

    @property
    def whole(self) -> bool:
        """Whether it is a full circle."""
        return self.end - self.start >= 360.0

    def at(self, angle: float) -> Point:
        """Point at an angle. [deg]"""
        turned = math.radians(angle)
        return Point(
            self.centre.x + self.radius * math.cos(turned), self.centre.y + self.radius * math.sin(turned)
        )


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines inside a closed outline."""

    outline: tuple[Point, ...]
    layer: LayerName = "hatch"
    angle: float = 45.0
    spacing: float = 2.5

    def lines(self) -> Iterator[Line]:
        """The lines that fill the outline, by its even-odd inside."""
        turned = math.radians(self.angle)
        cos, sin = math.cos(turned), math.sin(turned)
        flat = [Point(p.x * cos + p.y * sin, p.y * cos - p.x * sin) for p in self.outline]
        edges = list(zip(flat, flat[1:] + flat[:1], strict=True))
        first = math.floor(min(p.y for p in flat) / self.spacing)
        last = math.ceil(max(p.y for p in flat) / self.spacing)
        for row in range(first, last + 1):
            level = row * self.spacing
            cuts = sorted(
                a.x + (level - a.y) * (b.x - a.x) / (b.y - a.y)
                for a, b in edges
                if (a.y <= level) != (b.y <= level)
            )
            for left, right in zip(cuts[::2], cuts[1::2], strict=True):
                if right - left > 1e-6:
                    yield Line(
                        Point(left * cos - level * sin, left * sin + level * cos),
                        Point(right * cos - level * sin, right * sin + level * cos),
                        self.layer,
                    )


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``at`` is on its base line. Only characters that every renderer has are kept."""

    at: Point
    text: str
    size: float = 2.5
    anchor: Anchor = "left"
    rotation: Literal[0, 90] = 0
    bold: bool = False
    layer: LayerName = "text"

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", plain(self.text))

    @property
    def width(self) -> float:
        """Length of the line. [mm]"""
        return text_width(self.text, size=self.size, bold=self.bold)

    @property
    def start(self) -> Point:
        """Where the first letter stands."""
        back = self.width * {"left": 0.0, "middle": 0.5, "right": 1.0}[self.anchor]
        return Point(self.at.x, self.at.y - back) if self.rotation else Point(self.at.x - back, self.at.y)

    @property
    def box(self) -> Box:
        """What the letters may cover."""
        x, y = self.start
        up, down = ASCENT * self.size, DESCENT * self.size
        if self.rotation:
            return Box(x - up, y, x + down, y + self.width)
        return Box(x, y - down, x + self.width, y + up)
