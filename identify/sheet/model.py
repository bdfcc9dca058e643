"""The sheet: pages of primitives in millimetres, origin at the lower left, y upwards.

Everything a renderer draws is one of :class:`Line`, :class:`Polyline`, :class:`Arc`, :class:`Hatch`,
:class:`Text`, :class:`Leader` and :class:`Dimension`. The last two can be taken apart into the first
(:meth:`Dimension.parts`), so that all renderers show the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from threadwright.sheet.leader import Leader, arrow, datum_letter
from threadwright.sheet.lettering import ASCENT, DESCENT, plain, text_width
from threadwright.sheet.shapes import (
    LAYERS,
    PAPERS,
    Anchor,
    Arc,
    Box,
    Hatch,
    Layer,
    LayerName,
    Line,
    Point,
    Polyline,
    Text,
)
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "LAYERS",
    "PAPERS",
    "Anchor",
    "Arc",
    "Box",
    "Dimension",
    "Entity",
    "Hatch",
    "Kind",
    "Label",
    "Layer",
    "LayerName",
    "Leader",
    "Line",
    "Page",
    "Point",
    "Polyline",
    "Sheet",
    "Stroke",
    "Text",
    "box_around",
    "strokes",
]

Kind = Literal["linear", "diameter", "radius"]


@dataclass(frozen=True, slots=True)
class Label:
    """What a dimension says: text, perhaps two limits one above the other, and text behind them."""

    text: str = ""
    upper: str = ""
    lower: str = ""
    after: str = ""
    size: float = 2.5

    def __post_init__(self) -> None:
        for name in ("text", "upper", "lower", "after"):
            object.__setattr__(self, name, plain(getattr(self, name)))

    @property
    def limited(self) -> bool:
        """Whether it has two limits."""
        return bool(self.upper or self.lower)

    @property
    def height(self) -> float:
        """From its lower to its upper end. [mm]"""
        return (ASCENT + DESCENT) * self.size + (1.1 * self.size if self.limited else 0.0)

    @property
    def width(self) -> float:
        """Length along the dimension line. [mm]"""
        return sum(self._widths())

    def _widths(self) -> tuple[float, float, float]:
        """Lengths of the three parts, each with the space before it."""
        whole = text_width(self.text, size=self.size)
        stack = max(text_width(one, size=self.size) for one in (self.upper, self.lower))
        after = text_width(f" {self.after}", size=self.size) if self.after else 0.0
        if self.limited and self.text:
            stack += 0.15 * self.size
        return whole, stack, after

    def texts(self, middle: Point, rotation: Literal[0, 90]) -> tuple[Text, ...]:
        """The letters, centred about a point."""
        whole, stack, _ = self._widths()
        end = self.width / 2
        base = -self.height / 2 + DESCENT * self.size
        raised = base + (0.55 * self.size if self.limited else 0.0)
        rows: tuple[tuple[str, float, float, Anchor], ...] = (
            (self.text, -end, raised, "left"),
            (self.upper, whole + stack - end, base + 1.1 * self.size, "right"),
            (self.lower, whole + stack - end, base, "right"),
            (self.after, end, raised, "right"),
        )
        return tuple(
            Text(
                Point(middle.x - y, middle.y + x) if rotation else Point(middle.x + x, middle.y + y),
                text,
                self.size,
                anchor,
                rotation,
                layer="dimension",
            )
            for text, x, y, anchor in rows
            if text
        )

    @property
    def words(self) -> str:
        """The label on one line."""
        limits = f"{self.lower}..{self.upper}" if self.limited else ""
        return " ".join(f"{self.text}{limits} {self.after}".split())


@dataclass(frozen=True, slots=True)
class Dimension:
    """A size: extension lines, dimension line and arrows, and what it says.

    ``first`` and ``second`` are the measured points, ``line`` the place of the dimension line: its y
    for a dimension along x, its x for one along y. A ``half`` dimension has only its first end: the other
    is not in the view, as in a half-section. The radius or diameter of an arc runs from the
    first point to the second.
    """

    kind: Kind
    first: Point
    second: Point
    line: float
    along: Literal["x", "y", "points"]
    label: Label
    label_at: Point
    """Middle of the label."""
    outside: bool = False
    """Whether the arrows point inwards from outside."""
    half: bool = False
    scale: float = 1.0
    """Of the view: measured length over true length."""
    datum: str = ""
    """Letter of the datum that the axis of this diameter is; it stands over the first point."""

    def __post_init__(self) -> None:
        if self.first == self.second:
            raise SheetError(f"dimension {self.label.words!r}: both ends are at {tuple(self.first)}")

    @property
    def rotation(self) -> Literal[0, 90]:
        """Of the text. [deg]"""
        return 90 if self.along == "y" else 0

    @property
    def true_length(self) -> float:
        """What is measured, at full size. [mm]"""
        if self.along == "x":
            return abs(self.second.x - self.first.x) / self.scale
        if self.along == "y":
            return abs(self.second.y - self.first.y) / self.scale
        return math.dist(self.first, self.second) / self.scale

    @property
    def ends(self) -> tuple[Point, Point]:
        """Where the arrows point to."""
        if self.along == "x":
            return Point(self.first.x, self.line), Point(self.second.x, self.line)
        if self.along == "y":
            return Point(self.line, self.first.y), Point(self.line, self.second.y)
        return self.first, self.second

    @property
    def box(self) -> Box:
        """What the label covers."""
        across, up = self.label.width / 2, self.label.height / 2
        if self.rotation:
            across, up = up, across
        x, y = self.label_at
        return Box(x - across, y - up, x + across, y + up)

    def parts(self) -> tuple[Stroke, ...]:
        """Lines, arrows and letters."""
        first, second = self.ends
        angle = math.degrees(math.atan2(second.y - first.y, second.x - first.x))
        turn = 180.0 if self.outside else 0.0
        found: list[Stroke] = [*self._extensions(first, second), *self._dimension_line(first, second, angle)]
        if self.kind != "radius":
            found.append(arrow(first, angle + turn))
        if not self.half:
            found.append(arrow(second, angle + 180.0 + turn))
        found += self._datum()
        return (*found, *self.label.texts(self.label_at, self.rotation))

    def _datum(self) -> tuple[Stroke, ...]:
        """The datum's triangle and letter, over the arrow at the first point."""
        return datum_letter(self.ends[0], self.datum, clear=5.0 * self.outside) if self.datum else ()

    @property
    def datum_box(self) -> Box | None:
        """What the frame of the datum's letter covers."""
        frames = [part for part in self._datum() if isinstance(part, Polyline) and len(part.points) == 4]
        return box_around((*frames,)) if frames else None

    def _extensions(self, first: Point, second: Point) -> Iterator[Line]:
        """Extension lines: from just off the feature to just beyond the dimension line."""
        for origin, end in ((self.first, first), (self.second, second))[: 1 if self.half else 2]:
            length = math.dist(origin, end)
            if length > 1.0:
                dx, dy = (end.x - origin.x) / length, (end.y - origin.y) / length
                yield Line(
                    Point(origin.x + 0.8 * dx, origin.y + 0.8 * dy),
                    Point(end.x + 1.5 * dx, end.y + 1.5 * dy),
                    "dimension",
                )

    def _dimension_line(self, first: Point, second: Point, angle: float) -> Iterator[Line]:
        """The line between the arrows, prolonged to a label or to arrows outside."""
        length = math.dist(first, second)
        dx, dy = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        reach = [0.0, length]
        if self.outside:
            reach += [-5.0] if self.half else [-5.0, length + 5.0]
        if self.half:
            reach[1] = 0.5 * length + 2.0
        place = (self.label_at.x - first.x) * dx + (self.label_at.y - first.y) * dy
        half_width = self.label.width / 2
        if self.along != "points":
            reach += [place - half_width, place + half_width]
        low, high = min(reach), max(reach)
        yield Line(
            Point(first.x + low * dx, first.y + low * dy),
            Point(first.x + high * dx, first.y + high * dy),
            "dimension",
        )


Stroke = Line | Polyline | Arc | Text
Entity = Line | Polyline | Arc | Hatch | Text | Leader | Dimension


@dataclass(frozen=True, slots=True)
class Page:
    """One page and what is on it."""

    paper: str
    title: str
    entities: tuple[Entity, ...]

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise SheetError(f"paper: there is no {self.paper!r} here; write {' or '.join(PAPERS)}")

    @property
    def width(self) -> float:
        """Width. [mm]"""
        return PAPERS[self.paper][0]

    @property
    def height(self) -> float:
        """Height. [mm]"""
        return PAPERS[self.paper][1]

    def labels(self) -> tuple[tuple[str, Box], ...]:
        """Every piece of lettering on the page with the box that it covers."""
        found = []
        for entity in self.entities:
            if isinstance(entity, Text):
                found.append((entity.text, entity.box))
            elif isinstance(entity, Leader):
                found.append((entity.words, entity.box))
            elif isinstance(entity, Dimension):
                found.append((entity.label.words, entity.box))
                if entity.datum_box is not None:
                    found.append((entity.datum, entity.datum_box))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Pages that belong together."""

    title: str
    pages: tuple[Page, ...]
    made_with: str = "threadwright"

    def __post_init__(self) -> None:
        object.__setattr__(self, "title", plain(self.title))
        if not self.pages:
            raise SheetError(f"sheet {self.title!r}: it has no page; give at least one")


def box_around(entities: tuple[Entity, ...]) -> Box:
    """The smallest box that holds everything drawn, line weights left out.

    Parameters
    ----------
    entities : tuple of Entity
        At least one.

    Raises
    ------
    SheetError
        If there is nothing to go round.

    Examples
    --------
    >>> box_around((Line(Point(1.0, 2.0), Point(3.0, 0.0), "outline"),))
    Box(left=1.0, bottom=0.0, right=3.0, top=2.0)
    """
    boxes = [box for entity in entities for box in _boxes(entity)]
    if not boxes:
        raise SheetError("box: nothing is drawn; give at least one entity")
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def strokes(entity: Entity) -> Iterator[Stroke]:
    """Take an entity apart into what every renderer can draw.

    Parameters
    ----------
    entity : Entity
        Any.

    Yields
    ------
    Line, Polyline, Arc or Text
    """
    if isinstance(entity, Hatch):
        yield from entity.lines()
    elif isinstance(entity, Dimension | Leader):
        yield from entity.parts()
    else:
        yield entity


def _boxes(entity: Entity) -> Iterator[Box]:
    """Boxes of the points and letters of one entity."""
    if isinstance(entity, Text):
        yield entity.box
        return
    if isinstance(entity, Dimension | Leader):
        for part in entity.parts():
            yield from _boxes(part)
        return
    points: tuple[Point, ...]
    if isinstance(entity, Line):
        points = (entity.start, entity.end)
    elif isinstance(entity, Arc):
        x, y, r = *entity.centre, entity.radius
        points = (Point(x - r, y - r), Point(x + r, y + r))
    elif isinstance(entity, Hatch):
        points = entity.outline
    else:
        points = entity.points
    yield Box(
        min(p.x for p in points),
        min(p.y for p in points),
        max(p.x for p in points),
        max(p.y for p in points),
    )
