"""What is to be drawn: the bush, the hole it goes into, and what is written beside them.

Plain records in millimetres without a calculation; whoever plans the repair fills them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from threadwright.sheet.model import PAPERS, Label
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "Bore",
    "BushDrawing",
    "Driving",
    "HoleDrawing",
    "Inspection",
    "Lists",
    "Size",
    "SizeRow",
    "Step",
    "ThreadDrawing",
    "Title",
    "Undercut",
    "Unit",
    "number",
]

Unit = Literal["mm", "in"]
_MM: Final[Mapping[str, float]] = {"mm": 1.0, "in": 25.4}
_PLACES: Final[Mapping[str, int]] = {"mm": 3, "in": 4}


def number(value_mm: float, unit: Unit, *, places: int | None = None) -> str:
    """A length without needless zeros.

    Parameters
    ----------
    value_mm : float
        Length. [mm]
    unit : {"mm", "in"}
        Unit it is written in.
    places : int, optional
        Decimals kept; thousandths of a millimetre or tenths of a thou if left out.

    Examples
    --------
    >>> number(12.7, "mm"), number(12.7, "in"), number(12.0, "mm")
    ('12.7', '0.5', '12')
    """
    text = f"{value_mm / _MM[unit]:.{_PLACES[unit] if places is None else places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class Size:
    """A size and its limits. [mm]

    Parameters
    ----------
    nominal : float
        What is drawn. [mm]
    low, high : float, optional
        Limits; both or none. [mm]
    note : str
        What stands behind it, such as a tolerance class.

    Raises
    ------
    SheetError
        If it is not a positive number, or the limits are not in order.

    Examples
    --------
    >>> Size(14.0, 13.989, 14.0, "h6").words("mm"), Size(12.7).words("in")
    ('13.989 to 14.000 h6', '0.5')
    """

    nominal: float
    low: float | None = None
    high: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        given = [value for value in (self.nominal, self.low, self.high) if value is not None]
        if not all(math.isfinite(value) and value > 0 for value in given):
            raise SheetError(f"size: {self.nominal}, {self.low}, {self.high} mm; every value must be above 0")
        if (self.low is None) != (self.high is None):
            raise SheetError(f"size {self.nominal:g} mm: it has one limit only; give both, or none")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise SheetError(
                f"size {self.nominal:g} mm: the limits {self.low:g} and {self.high:g} mm are the wrong way "
                "round; give the lower one first"
            )

    def limits(self, unit: Unit) -> tuple[str, str] | None:
        """Both limits as text, rounded so that the zone never grows; None if there are none."""
        if self.low is None or self.high is None:
            return None
        places = _PLACES[unit]
        grid = 10**places
        low = math.ceil(self.low / _MM[unit] * grid - 1e-6)
        high = math.floor(self.high / _MM[unit] * grid + 1e-6)
        if low > high:
            low = high = round(self.nominal / _MM[unit] * grid)
        spare = 1 if places == 3 and low % 10 == 0 and high % 10 == 0 else 0
        return f"{low / grid:.{places - spare}f}", f"{high / grid:.{places - spare}f}"

    def label(self, unit: Unit, *, before: str = "", after: str = "", size: float = 2.5) -> Label:
        """What a dimension says: the limits one above the other, or the size alone."""
        behind = " ".join(part for part in (self.note, after) if part)
        limits = self.limits(unit)
        if limits is None:
            return Label(" ".join(filter(None, (before + number(self.nominal, unit), behind))), size=size)
        return Label(before, upper=limits[1], lower=limits[0], after=behind, size=size)

    def words(self, unit: Unit) -> str:
        """The size on one line."""
        limits = self.limits(unit)
        text = number(self.nominal, unit) if limits is None else f"{limits[0]} to {limits[1]}"
        return f"{text} {self.note}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadDrawing:
    """A thread as it is drawn: its designation, and where its two lines lie. [mm]"""

    designation: str
    major: float
    minor: float
    pitch: float

    def __post_init__(self) -> None:
        if not 0 < self.minor < self.major:
            raise SheetError(
                f"thread {self.designation}: minor diameter {self.minor:g} mm must be above 0 and below the "
                f"major diameter {self.major:g} mm"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A plain cylinder of the bush: collar or spigot."""

    diameter: Size
    length: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Undercut:
    """A groove in which a thread ends, or the relief at the mouth of a counterbore."""

    diameter: Size
    width: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A plain bore from the face: clearance through spigot and collar, or a counterbore."""

    diameter: Size
    depth: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """What the bush is turned in by: slot, two holes, or flats.

    ``width`` is that of the slot, the diameter of the holes, or the size across the flats; ``spacing``
    is between the holes' centres.
    """

    kind: Literal["slot", "two holes", "flats"]
    width: Size
    depth: Size
    spacing: float | None = None
    note: str = ""
    """How it is hidden or removed."""

    def __post_init__(self) -> None:
        if (self.kind == "two holes") != (self.spacing is not None):
            raise SheetError(f"driving feature: {self.kind} with spacing {self.spacing}; two holes need one")


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One line of the table of sizes; a text where the size is not a length."""

    name: str
    size: Size | str
    diameter: bool = False

    def words(self, unit: Unit) -> str:
        """What is written in the table."""
        if isinstance(self.size, str):
            return self.size
        return f"{'Ø ' if self.diameter else ''}{self.size.words(unit)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """One thing to measure and write down."""

    name: str
    wanted: Size | str
    diameter: bool = False

    def words(self, unit: Unit) -> str:
        """What it should be."""
        return SizeRow(name=self.name, size=self.wanted, diameter=self.diameter).words(unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lists:
    """What is written beside one view."""

    sizes: tuple[SizeRow, ...] = ()
    operations: tuple[str, ...] = ()
    inspections: tuple[Inspection, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Title:
    """What stands in the title block."""

    part: str
    """The machine's part that is repaired."""
    bush_material: str
    parent_material: str
    date: str = ""
    drawn_by: str = ""
    number: str = ""
    made_with: str = "threadwright"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleDrawing:
    """The hole as it is to be made, seen from its face. Depths are from the face. [mm]"""

    thread: ThreadDrawing
    drill: Size
    thread_depth: Size
    """Full thread."""
    drill_depth: Size | None = None
    """Cylindrical part of the tapping hole; None where the hole goes through or it is not known."""
    through: bool = False
    thickness: float | None = None
    """Of the metal, where the hole goes through; else of drill depth and floor together."""
    counterbore: Bore | None = None
    relief: Undercut | None = None
    """At the bottom of the counterbore, round the mouth of the thread."""
    countersink: Size | None = None
    """Diameter at the mouth of the thread."""
    boss: float | None = None
    """Outside diameter of a round boss about the hole."""

    def __post_init__(self) -> None:
        start = 0.0 if self.counterbore is None else self.counterbore.depth.nominal
        if self.thread_depth.nominal <= start:
            raise SheetError(
                f"hole: the thread ends at {self.thread_depth.nominal:g} mm, above the counterbore's "
                f"bottom at {start:g} mm; give depths from the face"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class BushDrawing:
    """A whole job to draw: bush, hole, and all that is written on the two pages.

    Lengths of the bush run from its face, the end that the screw enters: spigot, then collar, then
    undercut and outer thread. ``bore`` is clear of the screw from the face; without it the inner thread
    begins at the face.
    """

    title: Title
    outer: ThreadDrawing
    inner: ThreadDrawing
    length: Size
    hole: HoleDrawing
    spigot: Step | None = None
    collar: Step | None = None
    undercut: Undercut | None = None
    bore: Bore | None = None
    inner_depth: Size | None = None
    """From the face to the end of the inner thread, where the bush is not threaded through."""
    chamfer: float = 0.0
    """At 45 degrees on the threaded end. [mm]"""
    face_chamfer: float = 0.0
    """At 45 degrees on the face. [mm]"""
    countersink: Size | None = None
    """Diameter at both ends of the inner thread."""
    driving: Driving | None = None
    runout: str = ""
    bush: Lists = field(default_factory=Lists)
    hole_lists: Lists = field(default_factory=Lists)
    verdict: str = ""
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    not_settled: tuple[str, ...] = ()
    """What is in doubt; each is printed under the stamp."""
    unit: Unit = "mm"
    paper: str = "A4"

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise SheetError(f"paper: there is no {self.paper!r} here; write {' or '.join(PAPERS)}")
        if self.unit not in _MM:
            raise SheetError(f"unit: there is no {self.unit!r} here; write 'mm' or 'in'")
        if self.thread_start >= self.length.nominal:
            raise SheetError(
                f"bush: {self.length.nominal:g} mm long, but spigot, collar and undercut take "
                f"{self.thread_start:g} mm; make it longer"
            )
        if self.inner.major >= self.outer.minor:
            raise SheetError(
                f"bush: inner thread {self.inner.designation} (major {self.inner.major:g} mm) leaves no wall "
                f"in {self.outer.designation} (root {self.outer.minor:g} mm)"
            )

    @property
    def shoulder(self) -> float:
        """From the face to the end of the collar. [mm]"""
        return sum(step.length.nominal for step in (self.spigot, self.collar) if step is not None)

    @property
    def thread_start(self) -> float:
        """From the face to where the outer thread begins. [mm]"""
        return self.shoulder + (0.0 if self.undercut is None else self.undercut.width.nominal)
