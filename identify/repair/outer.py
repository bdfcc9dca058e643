"""The outer thread of a bush, worked out: walls, metal left round it, cutting torque, grip and hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.candidates import major_mm, room_below
from threadwright.repair.torque import CuttingTorque, cutting_torque, jaw_grip

if TYPE_CHECKING:
    from threadwright.repair.candidates import Candidate, Case
    from threadwright.repair.wall import WorstSizes
    from threadwright.tables.thread import Thread

__all__ = ["OuterWork", "Walls", "basic_root", "greatest_root", "hand", "outer_work", "relief", "walls"]

_BASIC_ROOT = 1.226869  # 17 H / 12: d - 1.226869 P, ISO 965-1 and ASME B1.1 (rounded root)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Walls of one bush, radial. [mm]"""

    root_basic: float
    root_worst: float
    undercut_basic: float
    undercut_worst: float
    root_to_hold: float
    """Root diameter from which the wall suffices at the worst inner thread."""

    def to_dict(self) -> dict[str, float]:
        """Plain data to 0.001 mm."""
        return {
            "root_basic_mm": round(self.root_basic, 3),
            "root_worst_mm": round(self.root_worst, 3),
            "undercut_basic_mm": round(self.undercut_basic, 3),
            "undercut_worst_mm": round(self.undercut_worst, 3),
            "root_to_hold_mm": round(self.root_to_hold, 3),
        }


def basic_root(thread: Thread) -> float:
    """Root diameter of the external thread at its basic size. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(basic_root(find_thread("M12x1.5")), 3)
    10.16
    """
    if math.isclose(thread.form.thread_angle, 60.0) and thread.form.crest_end == "flat":
        return (thread.major_basic - _BASIC_ROOT * thread.pitch) * thread.to_mm
    return thread.minor_basic * thread.to_mm


def greatest_root(thread: Thread, sizes: WorstSizes) -> float:
    """Largest root that the usual external limits allow, and that clears the tapped hole. [mm]

    Examples
    --------
    >>> from threadwright.repair.wall import worst_sizes
    >>> from threadwright.tables.registry import find_thread
    >>> thread = find_thread("M12x1.75")
    >>> round(greatest_root(thread, worst_sizes(thread)), 3)
    10.071
    """
    limits = thread.limits("external").in_mm() if thread.classes("external") else None
    known = [] if limits is None else [limits.minor_flat_max, limits.minor_max]
    allowed = next((size for size in known if math.isfinite(size)), basic_root(thread))
    return min(allowed, sizes.hole_least_minor)


def walls(thread: Thread, sizes: WorstSizes, *, case: Case) -> Walls:
    """Walls at the root and at an undercut, at basic sizes and at the worst limits.

    Parameters
    ----------
    thread : Thread
        Outer thread of the bush.
    sizes : WorstSizes
        Of that thread.
    case : Case
        The hole, with the inner thread.

    Returns
    -------
    Walls
    """
    inner_basic = case.inner.major_basic * case.inner.to_mm
    inner_worst = case.inner_sizes.hole_greatest_major
    root, least = basic_root(thread), sizes.screw_least_root
    cut = judgement.UNDERCUT_BELOW_ROOT_MM
    return Walls(
        root_basic=(root - inner_basic) / 2,
        root_worst=(least - inner_worst) / 2,
        undercut_basic=(root - cut - inner_basic) / 2,
        undercut_worst=(least - cut - inner_worst) / 2,
        root_to_hold=inner_worst + 2 * case.least_wall_mm,
    )


def relief(case: Case, one: Candidate) -> str | None:
    """Say what would let a thread in that is refused on wall at the worst limits alone.

    Parameters
    ----------
    case : Case
        The hole.
    one : Candidate
        A thread that was looked at.

    Returns
    -------
    str or None
        The root diameter to hold, and the bore that clears it where the thread's own limits do not; None
        where the wall is too thin at basic sizes as well, or too little thread would be left.
    """
    if one.refused_by != "wall":
        return None
    held = walls(one.thread, one.sizes, case=case)
    hold = math.ceil(100 * held.root_to_hold - 1e-6) / 100
    if held.root_basic < case.least_wall_mm:
        return None
    if hold <= greatest_root(one.thread, one.sizes):
        return f"keep the root at {hold:.2f} mm or more"
    bore = hold + judgement.ROOT_CLEARANCE_MM
    depth = one.thread.form.depth_over_pitch * one.thread.pitch_mm
    if bore > one.major_mm - 2 * judgement.LEAST_THREAD_LEFT * depth:
        return None
    return f"keep the root at {hold:.2f} mm or more and bore the hole to {bore:.2f} mm"


def hand(*, screw_left: bool, bush_left: bool) -> str:
    """Say which way the screw would carry the bush.

    Parameters
    ----------
    screw_left, bush_left : bool
        Whether the screw, and the bush's outer thread, are left-hand.

    Examples
    --------
    >>> hand(screw_left=False, bush_left=False)[:67]
    'undoing the right-hand screw turns the right-hand bush out with it,'
    """
    screw, bush = ("left" if left else "right" for left in (screw_left, bush_left))
    if screw_left == bush_left:
        return (
            f"undoing the {screw}-hand screw turns the {bush}-hand bush out with it, tightening it drives "
            "the bush home: the fixing must hold against undoing"
        )
    return (
        f"tightening the {screw}-hand screw turns the {bush}-hand bush out, undoing it drives the bush home: "
        f"the fixing must hold against tightening, or the outer thread be cut {screw}-hand like the screw"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OuterWork:
    """What the picked outer thread leaves, asks for and does."""

    walls: Walls
    metal_round_mm: float | None
    """From the outer thread's major diameter to the nearest edge."""
    to_next_hole_mm: float | None
    """Metal between the outer thread and the next hole."""
    room_below_mm: float
    """Asked for below the bush in a blind hole: tap lead, chips, drill point."""
    tapping: CuttingTorque
    die: CuttingTorque
    grip_kN: float
    """All jaws together, to hold the bush's bar against a worn die."""
    hand: str

    def to_dict(self) -> dict[str, object]:
        """Plain data: mm, N m, kN."""

        def place(value: float | None) -> float | None:
            return None if value is None else round(value, 3)

        return {
            "walls": self.walls.to_dict(),
            "metal_round_mm": place(self.metal_round_mm),
            "to_next_hole_mm": place(self.to_next_hole_mm),
            "room_below_mm": place(self.room_below_mm),
            "tapping_torque_Nm": [round(self.tapping.sharp_Nm, 1), round(self.tapping.worn_Nm, 1)],
            "die_torque_Nm": [round(self.die.sharp_Nm, 1), round(self.die.worn_Nm, 1)],
            "grip_kN": round(self.grip_kN, 1),
            "hand": self.hand,
        }


def outer_work(case: Case, one: Candidate) -> OuterWork:
    """Work out what one outer thread leaves and asks for.

    Parameters
    ----------
    case : Case
        The hole.
    one : Candidate
        The thread that was picked.
    """
    held = walls(one.thread, one.sizes, case=case)
    half = one.major_mm / 2
    sizes = {"pitch_mm": one.thread.pitch_mm, "diameter_mm": one.major_mm}
    die = cutting_torque(**sizes, metal=case.bush)
    next_rim = None if case.next_hole_mm is None else case.next_hole_mm - major_mm(case.inner) / 2
    return OuterWork(
        walls=held,
        metal_round_mm=None if case.edge_mm is None else case.edge_mm - half,
        to_next_hole_mm=None if next_rim is None else next_rim - half,
        room_below_mm=room_below(one.thread, hole_minor_mm=one.sizes.hole_least_minor),
        tapping=cutting_torque(**sizes, metal=case.parent),
        die=die,
        grip_kN=jaw_grip(die.worn_Nm, held_diameter_mm=one.major_mm),
        hand=hand(screw_left=case.inner.left_hand, bush_left=one.thread.left_hand),
    )
