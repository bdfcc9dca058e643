"""What a job asks for, as plain frozen records, and how they come together."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from threadwright.repair.hole import Surroundings
from threadwright.repair.wish import Locate, Wish

if TYPE_CHECKING:
    from threadwright.readings import Readings
    from threadwright.repair.drawer import Drawer
    from threadwright.repair.driving import DrivingKind
    from threadwright.repair.lathe import Lathe
    from threadwright.tables.thread import Thread

__all__ = [
    "BushWish",
    "Fastener",
    "Hole",
    "Job",
    "Parent",
    "Screw",
    "SheetWish",
    "collar_length",
    "surroundings",
    "wish",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """What was held: a thread by name, or readings of it."""

    thread: Thread | None = None
    readings: Readings | None = None
    made_in: str | None = None
    year: int | None = None
    hand: str | None = None
    """Hand that was given beside readings, which do not tell it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """The stripped hole. Lengths in mm."""

    depth: float
    through: bool | None = None
    bore: float | None = None
    floor: float | None = None
    edge: float | None = None
    next_hole: float | None = None
    face_counterbore: float | None = None
    counterbore_depth: float | None = None
    state: str = "stripped"
    beyond: str = "nothing"
    far_side: bool | None = None
    off_by: float | None = None
    temperature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Parent:
    """The part with the hole: its metal, the boss about the hole [mm], and what it is called."""

    material: str
    boss: float | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """The screw that goes into the bush: its grade, the clamp load asked of it [kN], its length [mm]."""

    grade: str = "unmarked"
    clamp: float | None = None
    length: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BushWish:
    """What the bush is to be."""

    material: str = "free-cutting steel"
    collar: bool | None = None
    driving: DrivingKind = "jam nut"
    hand: str | None = None
    """Hand of the outer thread; None takes what there is a tap for."""
    routes: int | None = None
    """How many routes are printed in full."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWish:
    """What stands in the title block of the drawing, its paper and the unit of its sizes."""

    date: str = ""
    drawn_by: str = ""
    number: str = ""
    paper: Literal["A4", "Letter"] = "A4"
    unit: Literal["mm", "in"] = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole repair as it was asked for.

    ``noted`` names what was given and checked but has no bearing on this plan.
    """

    fastener: Fastener
    hole: Hole
    parent: Parent
    screw: Screw
    bush: BushWish
    sheet: SheetWish = SheetWish()
    locate: Locate = field(default_factory=Locate)
    lathe: Lathe | None = None
    drawer: Drawer | None = None
    noted: tuple[str, ...] = ()
    from_file: bool = False


def wish(job: Job) -> Wish:
    """Put together how the bush is to be located, driven and made.

    Parameters
    ----------
    job : Job
        What was asked for.

    Raises
    ------
    JobError
        If it contradicts itself.
    """
    asked = job.locate.wish(
        collar=job.bush.collar,
        counterbore_mm=job.hole.face_counterbore,
        counterbore_depth_mm=job.hole.counterbore_depth,
        driving=job.bush.driving,
        lathe=job.lathe,
        through=job.hole.through,
        edge_mm=surroundings(job).nearest_edge_mm,
        service_C=job.hole.temperature,
    )
    return replace(asked, state=job.hole.state, reamers_mm=() if job.drawer is None else job.drawer.reamers)


def surroundings(job: Job) -> Surroundings:
    """Put the hole and what lies around it together.

    Parameters
    ----------
    job : Job
        What was asked for.

    Raises
    ------
    JobError
        If two sizes contradict each other.
    """
    hole, locate = job.hole, job.locate
    return Surroundings(
        depth_mm=hole.depth,
        through=hole.through,
        state=hole.state,
        bore_mm=hole.bore,
        floor_mm=hole.floor,
        boss_mm=job.parent.boss,
        edge_mm=hole.edge,
        next_hole_mm=hole.next_hole,
        beyond=hole.beyond,
        far_side=hole.far_side,
        counterbore_mm=locate.collar_mm or hole.face_counterbore,
        counterbore_depth_mm=hole.counterbore_depth,
        spigot_mm=locate.spigot_mm,
        spigot_length_mm=locate.spigot_length,
        mating_bore_mm=max(locate.bores, default=None),
        mating_thickness_mm=locate.mating_thickness,
        off_by_mm=hole.off_by,
        screw_length_mm=job.screw.length,
        temperature_C=hole.temperature,
    )


def collar_length(job: Job) -> float | None:
    """Length of the collar that a job asks for; a spigot stands on one. None without. [mm]"""
    asked = wish(job)
    return asked.length_mm if asked.kind in ("collar", "stop collar") else None
