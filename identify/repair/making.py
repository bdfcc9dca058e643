"""From the bush that was recommended to what is made: place, sizes, operations, wheels and fixing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.change_wheels import trains_for
from threadwright.repair.fixing import Joint, fix_bush
from threadwright.repair.locating import locate
from threadwright.repair.operations import operations
from threadwright.repair.sizes import room_below_thread, size_bush
from threadwright.repair.wall import worst_sizes
from threadwright.tables.errors import JobError
from threadwright.tables.materials import find_material
from threadwright.tables.registry import find_thread
from threadwright.uses import use_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from threadwright.repair.change_wheels import Trains
    from threadwright.repair.fixing import Fixing
    from threadwright.repair.locating import Locating
    from threadwright.repair.operations import Operation
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.sizes import Sizes
    from threadwright.repair.wish import Wish
    from threadwright.tables.thread import Thread

__all__ = ["Making", "recommend_for", "work_up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How one bush is placed, made and fixed."""

    locating: Locating
    sizes: Sizes
    operations: tuple[Operation, ...]
    fixing: Fixing
    change_wheels: Trains | None
    """None without a lathe, or where the tables give no trains."""

    def to_dict(self) -> dict[str, object]:
        """Plain data, lengths in mm, torques in N m."""
        return {
            "locating": self.locating.to_dict(),
            "sizes": self.sizes.to_dict(),
            "operations": [one.to_dict() for one in self.operations],
            "fixing": self.fixing.to_dict(),
            "change_wheels": None if self.change_wheels is None else self.change_wheels.to_dict(),
        }


def recommend_for(
    work_out: Callable[..., BushPlan], thread: Thread, *, wish: Wish, depth_mm: float
) -> BushPlan:
    """Recommend a bush that leaves room for a pilot below its thread, where one is asked for.

    Parameters
    ----------
    work_out : callable
        Gives the bush for an inner thread; takes ``depth_mm``.
    thread : Thread
        Inner thread.
    wish : Wish
        What was asked for.
    depth_mm : float
        Depth that the bush may fill. [mm]

    Raises
    ------
    JobError
        If no bush fits, or the pilot takes the whole depth.
    """
    plan = work_out(thread, depth_mm=depth_mm)
    if wish.kind != "pilot":
        return plan
    for _ in range(2):  # the room below the thread goes by its pitch, and the pitch by the room
        room = room_below_thread(plan.bush.outer_thread.pitch_mm)
        taken = wish.length_mm + room + judgement.PILOT_SPARE_MM
        if depth_mm <= taken:
            raise JobError(
                f"pilot: with the room above it, it takes {taken:.1f} mm, and the hole is {depth_mm:g} mm "
                "deep; "
                "make the hole deeper, or take a collar as register"
            )
        plan = work_out(thread, depth_mm=depth_mm - taken)
    return plan


def work_up(
    plan: BushPlan,
    *,
    wish: Wish,
    inner: Thread | None = None,
    wires: Sequence[float] = (),
) -> BushPlan:
    """Work a recommended bush up to what is made at the lathe.

    Parameters
    ----------
    plan : BushPlan
        The bush; with a collar, recommended with that collar's length.
    wish : Wish
        How it is to be located, driven and made.
    inner : Thread, optional
        Its inner thread; looked up by name if left out.
    wires : sequence of float, optional
        Wires at hand. [mm]

    Returns
    -------
    BushPlan
        The same plan with ``making``.

    Raises
    ------
    JobError
        If the bush cannot be made so; the message names what binds and what would relieve it.

    Examples
    --------
    >>> from threadwright.repair.bush import recommend_bush
    >>> from threadwright.repair.wish import Wish
    >>> plan = work_up(recommend_bush("M8", parent="cast iron", depth_mm=25.0), wish=Wish(through=True))
    >>> plan.making.sizes.find("outer_major").text
    '11.732 to 11.968 mm'
    """
    screw = find_thread(plan.inner_thread) if inner is None else inner
    named = plan.bush.outer_thread
    outer = replace(find_thread(named.designation), left_hand=named.left_hand)
    placed = locate(plan, outer=outer, inner=screw, wish=wish)
    sizes = size_bush(plan, outer=outer, inner=screw, placed=placed, wish=wish, wires=wires)
    fixing = fix_bush(_joint(plan, outer, screw, placed, wish))
    lathe = wish.lathe
    wheels = None
    if lathe is not None and lathe.can_cut:
        wheels = trains_for(outer, lathe=lathe, engagement_mm=placed.zones.outer_full_mm, top=3)
    made = Making(
        locating=placed,
        sizes=sizes,
        operations=operations(plan, sizes=sizes, placed=placed, fixing=fixing, wish=wish),
        fixing=fixing,
        change_wheels=wheels,
    )
    return replace(
        plan,
        making=made,
        assumptions=(
            *plan.assumptions,
            *_taken(placed, lathe=wheels is not None, torque=plan.torque is not None),
        ),
    )


def _taken(placed: Locating, *, lathe: bool, torque: bool) -> list[str]:
    """What the sizes take for granted beyond the choice of the thread."""
    bore = placed.zones.bore
    lines = [] if bore is None else [f"Clearance bore of {bore.low:.2f} mm, {bore.fit}: {bore.basis}."]
    dry, oiled = judgement.TORQUE_FACTORS
    if torque:
        lines.append(
            f"Torques of the screw: K {dry:.2f} dry and {oiled:.2f} oiled, from memory, scatter "
            f"{judgement.TORQUE_SCATTER_PERCENT} %."
        )
    lines.append("Torques of cutting are estimated for a worn tool.")
    if lathe:
        share = 100 * judgement.LEAD_ERROR_SHARE
        lines.append(f"{share:.0f} % of the thread's clearance may go into the error of its lead: judgement.")
    return lines


def _joint(plan: BushPlan, outer: Thread, inner: Thread, placed: Locating, wish: Wish) -> Joint:
    register, major = placed.register, outer.major_basic * outer.to_mm
    bore = placed.zones.bore
    within = max(plan.bush.inner_greatest_major_mm, 0.0 if bore is None else bore.high)
    asked = None if plan.torque_asked is None else plan.torque_asked.clamp_kN
    pinned = register.kind == "collar" and register.bush is not None
    return Joint(
        parent=find_material(plan.parent),
        bush=find_material(plan.bush.material),
        diameter_mm=major,
        length_mm=placed.zones.outer_full_mm,
        pitch_mm=outer.pitch_mm,
        screw_mm=inner.major_basic * inner.to_mm,
        clamp_kN=None if use_of(inner) else asked or plan.allowed_clamp_kN or plan.loads.screw,
        wall_mm=(major - within) / 2,
        gap_mm=_gap(outer),
        blind=None if wish.through is None else not wish.through,
        collar=(register.bush[1], register.length) if pinned and register.bush is not None else None,
        spigot_mm=None if placed.spigot is None else placed.spigot.diameter[1],
        service_C=wish.service_C,
        left_hand_screw=inner.left_hand,
        outer_left_hand=outer.left_hand,
    )


def _gap(outer: Thread) -> tuple[float, float] | None:
    """Clearance on the pitch diameter within the usual limits. [mm]"""
    if not (outer.classes("external") and outer.classes("internal")):
        return None
    screw, hole = outer.limits("external").in_mm(), outer.limits("internal").in_mm()
    least = hole.pitch_diameter_min - screw.pitch_diameter_max
    greatest = worst_sizes(outer).hole_greatest_pitch_diameter - screw.pitch_diameter_min
    return (least, greatest) if least == least and greatest == greatest else None
