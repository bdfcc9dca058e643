"""Outer threads for one bush: which are looked at, and whether wall, edge and depth allow each."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from threadwright import judgement
from threadwright.repair.size import down_to
from threadwright.repair.strength import Loads, bush_loads
from threadwright.repair.usual import OUTER_SYSTEMS, usual_tap
from threadwright.repair.wall import WorstSizes, edge_distance, wall, worst_sizes
from threadwright.repair.zones import undercut_width
from threadwright.tables.registry import SYSTEMS, series
from threadwright.uses import is_power, use_of

if TYPE_CHECKING:
    from threadwright.repair.drawer import Drawer
    from threadwright.tables.materials import Material
    from threadwright.tables.screw_grades import ScrewGrade
    from threadwright.tables.thread import Thread

__all__ = ["Candidate", "Case", "Tap", "evaluate", "lengths", "named", "outer_threads"]

Tap = Literal["drawer", "usual", "special"]
Refusal = Literal["wall", "edge", "next hole", "collar", "old hole", "depth"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One hole to bush: inner thread, metals, room and the load asked for."""

    inner: Thread
    inner_sizes: WorstSizes
    parent: Material
    bush: Material
    grade: ScrewGrade
    depth_mm: float
    edge_mm: float | None
    """Hole's centre to the nearest edge; None where it is not known."""
    least_wall_mm: float
    load_kN: float
    """Screw's breaking load, or the clamp load asked for."""
    load_name: str
    next_hole_mm: float | None = None
    """Centre of the hole to the centre of the next one."""
    spare_below_mm: float = math.inf
    """What may be drilled below the depth for the tap's lead, chips and the drill's point."""
    collar_mm: float = 0.0
    """Length of a collar at the face; the threads begin below it."""
    collar_diameter_mm: float | None = None
    """Diameter of that collar, where it is fixed: the outer thread must stay below it."""
    outer_hand: str | None = None
    """Hand asked for of the outer thread, ``right`` or ``left``; None takes what there is a tap for."""
    through: bool | None = None
    clean_up_mm: float | None = None
    """Where the old hole stands wrong: bore that, set true, leaves nothing of it."""

    @property
    def required_kN(self) -> float:
        """What each strip must carry."""
        return judgement.STRIP_FACTOR * self.load_kN

    @property
    def clamps(self) -> bool:
        """Whether the screw is tightened: a pipe and a screw that moves are not."""
        return not use_of(self.inner)

    @property
    def no_wire(self) -> str | None:
        """Why no wire thread insert is to be had for the inner thread; None where one is.

        Basis: common practice, no source.
        """
        if is_power(self.inner):
            return "wire is wound to fill a V thread, and the flanks of this one are steep"
        if self.inner.taper:
            return "wire is wound for parallel threads, and this one tapers"
        if self.inner.left_hand:
            return "inserts for left-hand threads are not to be had in the ordinary way"
        return None

    @property
    def too_shallow(self) -> bool:
        """Whether the depth leaves too few full threads for the screw itself."""
        return self.depth_mm - self.collar_mm < least_depth(self.inner.pitch_mm) - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One outer thread, worked out."""

    thread: Thread
    sizes: WorstSizes
    tap: Tap
    wall_mm: float
    length_mm: float
    """Length of the bush in the hole."""
    engaged_mm: float
    inner_engaged_mm: float
    loads: Loads
    margin: float
    """Least strip load over the load required."""
    refused_by: Refusal | None = None
    refused_because: str | None = None
    edge_short: str | None = None
    """Set where the edge distance falls a little short of the rule."""
    other_hand: bool = False
    """Whether it is of the other hand than the screw."""

    @property
    def name(self) -> str:
        """Designation, with LH behind a left-hand thread."""
        return named(self.thread)

    @property
    def major_mm(self) -> float:
        """Basic major diameter of the outer thread. [mm]"""
        return major_mm(self.thread)

    @property
    def carries(self) -> bool:
        """Whether every strip load reaches what is required."""
        return self.margin >= 1.0


def named(thread: Thread) -> str:
    """Designation of a thread, with LH behind a left-hand one.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> named(find_thread("M8 LH")), named(find_thread("M8"))
    ('M8x1.25 LH', 'M8x1.25')
    """
    return f"{thread.designation} LH" if thread.left_hand else thread.designation


def major_mm(thread: Thread) -> float:
    """Basic major diameter; for a pipe thread not its nominal size. [mm]"""
    return thread.major_basic * thread.to_mm


def engaged_length(depth_mm: float, *, pitch_mm: float) -> float:
    """Length of full thread in a depth, the ends taken off. [mm]"""
    return max(depth_mm - judgement.LOST_PITCHES * pitch_mm, 0.0)


def least_depth(pitch_mm: float) -> float:
    """Least depth that leaves enough full threads. [mm]"""
    return (judgement.LOST_PITCHES + judgement.LEAST_FULL_THREADS) * pitch_mm


def room_below(thread: Thread, *, hole_minor_mm: float) -> float:
    """Room a bush asks for below itself in a blind hole: tap lead, chips and drill point. [mm]"""
    pitches = judgement.BOTTOMING_LEAD_PITCHES + judgement.CHIP_PITCHES
    return pitches * thread.pitch_mm + judgement.DRILL_POINT * hole_minor_mm


def lengths(
    case: Case, thread: Thread, sizes: WorstSizes, *, by_die: bool = False
) -> tuple[float, float, float]:
    """Length of the bush, and full threads outside and inside, after collar, runout and the room below."""
    short = max(room_below(thread, hole_minor_mm=sizes.hole_least_minor) - case.spare_below_mm, 0.0)
    length = max(down_to(case.depth_mm - short, 0.1), 0.0) if short else case.depth_mm
    # Behind a collar the undercut takes the place of the pitch lost at the mouth.
    lost = judgement.LOST_PITCHES / 2 * thread.pitch_mm
    relief = max(undercut_width(thread.pitch_mm, by_die=by_die) - lost, 0.0) if case.collar_mm else 0.0
    below = length - case.collar_mm
    outside = engaged_length(below - relief, pitch_mm=thread.pitch_mm)
    return length, outside, engaged_length(below, pitch_mm=case.inner.pitch_mm)


@lru_cache(maxsize=64)
def _catalogue_between(least: float, most: float) -> tuple[tuple[Thread, Tap], ...]:
    """Threads of the outer systems with a major diameter above ``least`` and up to ``most``."""
    found: list[tuple[Thread, Tap]] = []
    for table in [series(system.symbol) for system in SYSTEMS if system.symbol in OUTER_SYSTEMS]:
        scale = 25.4 if table.system.unit == "in" else 1.0
        for row, major in enumerate(table.basic.major * scale):
            if least < major <= most:
                thread = table.thread(row)
                found.append((thread, "usual" if usual_tap(thread) else "special"))
    return tuple(found)


def outer_threads(
    inner_sizes: WorstSizes, drawer: Drawer | None, *, hand: str | None = None
) -> list[tuple[Thread, Tap]]:
    """Outer threads worth looking at: the drawer's, or the catalogue's up to a few sizes above.

    Parameters
    ----------
    inner_sizes : WorstSizes
        Of the inner thread.
    drawer : Drawer or None
        What the person owns; None for the whole catalogue.
    hand : {"right", "left"}, optional
        Hand asked for; left out, the drawer's taps of both hands, or right-hand threads of the catalogue.
        Left-hand taps are special ones, had in the sizes whose right-hand tap is usual.
    """
    if drawer is not None:
        own = {named(tap): tap for tap in drawer.taps if tap.form.symmetric}
        return [(tap, "drawer") for tap in own.values() if hand is None or tap.left_hand == (hand == "left")]
    least = inner_sizes.hole_greatest_major
    found = _catalogue_between(least, judgement.LARGEST_BUSH * least)
    if hand == "left":
        return [(replace(thread, left_hand=True), "special") for thread, tap in found if tap == "usual"]
    return list(found)


def _refusal(
    case: Case, thread: Thread, *, wall_mm: float, engaged_mm: float, hole_minor_mm: float
) -> tuple[Refusal, str] | None:
    """Give the first rule that refuses a thread, and its reason."""
    if wall_mm < case.least_wall_mm - 1e-9:
        return "wall", f"wall {wall_mm:.3f} mm, {case.least_wall_mm:.2f} mm wanted"
    outer = major_mm(thread)
    wanted = edge_distance(case.parent, outer_major_mm=outer)
    if case.edge_mm is not None and case.edge_mm < (1 - judgement.EDGE_SHORTFALL) * wanted - 1e-9:
        return "edge", f"{case.edge_mm:.1f} mm from the hole's centre to the edge, {wanted:.1f} mm wanted"
    wanted = next_hole_distance(outer_major_mm=outer, next_major_mm=major_mm(case.inner))
    if case.next_hole_mm is not None and case.next_hole_mm < wanted - 1e-9:
        return "next hole", f"{case.next_hole_mm:.1f} mm to the next hole, {wanted:.1f} mm wanted"
    if case.collar_diameter_mm is not None:
        wanted = outer + judgement.COLLAR_OVER_THREAD_MM
        if case.collar_diameter_mm < wanted - 1e-9:
            return "collar", f"collar {case.collar_diameter_mm:.2f} mm across, {wanted:.2f} mm wanted"
    if case.clean_up_mm is not None and hole_minor_mm < case.clean_up_mm - 1e-9:
        return "old hole", (
            f"bored true to {hole_minor_mm:.2f} mm it does not clean up the old hole, "
            f"{case.clean_up_mm:.2f} mm wanted"
        )
    if engaged_mm < judgement.LEAST_FULL_THREADS * thread.pitch_mm - 1e-9:
        wanted = case.depth_mm + judgement.LEAST_FULL_THREADS * thread.pitch_mm - engaged_mm
        if case.spare_below_mm == math.inf and not case.collar_mm:
            wanted = least_depth(thread.pitch_mm)
        return "depth", f"depth {case.depth_mm:.1f} mm, {wanted:.1f} mm wanted for this pitch"
    return None


def next_hole_distance(*, outer_major_mm: float, next_major_mm: float) -> float:
    """Least distance between the centres of a bush and of the next hole; judgement. [mm]"""
    return outer_major_mm / 2 + next_major_mm / 2 + judgement.NEXT_HOLE_WEB * outer_major_mm


def _edge_short(case: Case, thread: Thread) -> str | None:
    wanted = edge_distance(case.parent, outer_major_mm=major_mm(thread))
    if case.edge_mm is None or case.edge_mm >= wanted - 1e-9:
        return None
    return f"{case.edge_mm:.1f} mm from the hole's centre to the edge where {wanted:.1f} mm is wanted"


def evaluate(case: Case, thread: Thread, tap: Tap, *, by_die: bool = False) -> Candidate:
    """Work out one outer thread.

    Parameters
    ----------
    case : Case
        The hole.
    thread : Thread
        Outer thread of the bush.
    tap : {"drawer", "usual", "special"}
        Where the tap for the hole comes from.
    by_die : bool
        Whether the bush is cut with a die, which asks for a wider relief behind a collar.

    Returns
    -------
    Candidate
        With the rule that refuses it, if any.
    """
    sizes = worst_sizes(thread)
    wall_mm = wall(outer=sizes, inner=case.inner_sizes)
    length, engaged, inner_engaged = lengths(case, thread, sizes, by_die=by_die)
    loads = bush_loads(
        outer=thread,
        outer_sizes=sizes,
        outer_engaged_mm=engaged,
        inner=case.inner,
        inner_sizes=case.inner_sizes,
        inner_engaged_mm=inner_engaged,
        parent=case.parent,
        bush=case.bush,
        grade=case.grade,
    )
    refusal = _refusal(
        case, thread, wall_mm=wall_mm, engaged_mm=engaged, hole_minor_mm=sizes.hole_least_minor
    )
    return Candidate(
        thread=thread,
        sizes=sizes,
        tap=tap,
        wall_mm=wall_mm,
        length_mm=length,
        engaged_mm=engaged,
        inner_engaged_mm=inner_engaged,
        loads=loads,
        margin=loads.least_strip / case.required_kN,
        refused_by=None if refusal is None else refusal[0],
        refused_because=None if refusal is None else refusal[1],
        edge_short=_edge_short(case, thread),
        other_hand=thread.left_hand != case.inner.left_hand,
    )


def least_metal_first(candidates: Iterable[Candidate]) -> list[Candidate]:
    """Sort by metal removed, at equal diameter by margin, the screw's own hand first, then by wall."""
    return sorted(candidates, key=lambda one: (round(one.major_mm, 4), -one.margin, *_last(one)))


def strongest(candidates: Iterable[Candidate]) -> Candidate:
    """The greatest margin, the smaller diameter where it is the same."""
    return min(candidates, key=lambda one: (-round(one.margin, 9), one.major_mm, *_last(one)))


def _last(one: Candidate) -> tuple[bool, float, float, str]:
    """What decides between threads of one diameter and one margin."""
    return one.other_hand, -round(one.wall_mm, 9), one.thread.pitch_mm, one.name


def boss_ratio(case: Case, thread: Thread) -> float:
    """Boss over outer thread diameter; infinite where the edge is not known. [-]"""
    return math.inf if case.edge_mm is None else 2 * case.edge_mm / major_mm(thread)
