"""What is to be drawn: the bush, the hole it goes into, and what is written beside them.

Plain records in millimetres without a calculation; whoever plans the repair fills them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from threadwright.sheet.model import PAPERS
from threadwright.sheet.quantity import UNITS, Size, Unit, number
from threadwright.tables.errors import SheetError

__all__ = [
    "Along",
    "Bore",
    "BushDrawing",
    "Driving",
    "HoleDrawing",
    "Inspection",
    "Lists",
    "Size",
    "SizeRow",
    "Step",
    "Texts",
    "ThreadDrawing",
    "Title",
    "Undercut",
    "Unit",
    "number",
]


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
    """A plain cylinder of the bush: spigot, collar, or pilot."""

    diameter: Size
    length: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Undercut:
    """A groove in which a thread ends, or the relief at the mouth of a counterbore."""

    diameter: Size
    width: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A plain bore: clearance through spigot and collar, a counterbore, or the bore of a pilot."""

    diameter: Size
    depth: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """What the bush is turned in by.

    ``width`` is that of the slot, the diameter of the holes, or the size across the flats; ``spacing``
    is between the holes' centres. Slot and holes are cut into the face that lies ``at`` from the bush's
    end; flats are on a head before that end, which is sawn off afterwards. [mm]
    """

    kind: Literal["slot", "two holes", "flats"]
    width: Size
    depth: Size
    spacing: float | None = None
    at: float = 0.0
    note: str = ""
    """How it is hidden or removed."""

    def __post_init__(self) -> None:
        if (self.kind == "two holes") != (self.spacing is not None):
            raise SheetError(f"driving feature: {self.kind} with spacing {self.spacing}; two holes need one")


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """A length along the bush to be dimensioned, between two places as drawn from its face. [mm]"""

    start: float
    end: float
    size: Size
    auxiliary: bool = False
    """Whether it follows from others, and stands in brackets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One line of the table of sizes; a text where the size is not a length."""

    name: str
    size: Size | str
    diameter: bool = False
    note: str = ""

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
class Texts:
    """Sentences under a heading, numbered from ``first`` on or with dashes."""

    heading: str
    texts: tuple[str, ...]
    first: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lists:
    """What is written beside one view."""

    sizes: tuple[SizeRow, ...] = ()
    operations: tuple[Texts, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    says: tuple[Texts, ...] = ()
    """What must be said beside the numbers."""


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
    pilot: Bore | None = None
    """Below the tapping hole; its depth is from the tapping hole's end."""
    boss: float | None = None
    """Outside diameter of a round boss about the hole."""

    def __post_init__(self) -> None:
        start = 0.0 if self.counterbore is None else self.counterbore.depth.nominal
        if self.thread_depth.nominal <= start:
            raise SheetError(
                f"hole: the thread ends at {self.thread_depth.nominal:g} mm, above the counterbore's "
                f"bottom at {start:g} mm; give depths from the face"
            )
        if self.pilot is not None and self.drill_depth is None:
            raise SheetError("hole: a pilot's bore begins where the tapping hole ends; give its depth too")


@dataclass(frozen=True, slots=True, kw_only=True)
class BushDrawing:
    """A whole job to draw: bush, hole, and all that is written on the two pages.

    Lengths of the bush run from its face, the end that the screw enters: spigot, then collar, then
    undercut and outer thread, then a pilot. ``bore`` is clear of the screw from the face; without it the
    inner thread begins at the face.
    """

    title: Title
    outer: ThreadDrawing
    inner: ThreadDrawing
    length: Size
    """Overall, as drawn."""
    hole: HoleDrawing
    spigot: Step | None = None
    collar: Step | None = None
    undercut: Undercut | None = None
    washout: float = 0.0
    """Where there is no undercut: incomplete thread below the collar. [mm]"""
    pilot: Step | None = None
    bore: Bore | None = None
    inner_depth: Size | None = None
    """From the face to the end of the inner thread, where the bush is not threaded through; its tapping hole
    ends there too, unless a pilot is below it."""
    along: tuple[Along, ...] = ()
    """Lengths to be dimensioned; without any, those of spigot and collar, and the whole."""
    chamfer: float = 0.0
    """At 45 degrees on the threaded end. [mm]"""
    chamfer_to: Size | None = None
    """Diameter to which that chamfer is cut, where that is given instead of its length."""
    face_chamfer: float = 0.0
    """At 45 degrees on the face. [mm]"""
    countersink: Size | None = None
    """Diameter at both ends of the inner thread."""
    driving: Driving | None = None
    runout: float | None = None
    """Circular runout of the spigot to the register. [mm]"""
    vent: Size | None = None
    """Depth of a flat along the outer thread."""
    remarks: tuple[tuple[float, str], ...] = ()
    """Notes on the outside of the bush, each at its place from the face. [mm]"""
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
        if self.unit not in UNITS:
            raise SheetError(f"unit: there is no {self.unit!r} here; write 'mm' or 'in'")
        if self.thread_start >= self.thread_end:
            raise SheetError(
                f"bush: {self.length.nominal:g} mm long, but spigot, collar, undercut and pilot leave no "
                f"thread between {self.thread_start:g} and {self.thread_end:g} mm; make it longer"
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
        return self.shoulder + (self.washout if self.undercut is None else self.undercut.width.nominal)

    @property
    def thread_end(self) -> float:
        """From the face to where the outer thread ends. [mm]"""
        return self.length.nominal - (0.0 if self.pilot is None else self.pilot.length.nominal)

    @property
    def inner_start(self) -> float:
        """From the face to where the inner thread begins. [mm]"""
        return 0.0 if self.bore is None else self.bore.depth.nominal
