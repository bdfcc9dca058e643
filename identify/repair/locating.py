"""How the bush finds its place and depth: register, spigot, threads, and the chain from shoulder to face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.driving import drive
from threadwright.repair.register import collar_register, no_register, pilot_register, stop_collar
from threadwright.repair.spigot import clearance_bores, spigot
from threadwright.repair.wall import worst_sizes
from threadwright.repair.zones import Zones, by_standard, thread_zones, tube_shear_kN
from threadwright.tables.materials import find_material

if TYPE_CHECKING:
    from threadwright.repair.driving import Driving
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.register import Register
    from threadwright.repair.spigot import Bore, Limits, Spigot
    from threadwright.repair.wish import Wish
    from threadwright.repair.zones import Relief
    from threadwright.tables.thread import Thread

__all__ = ["DepthChain", "Locating", "locate", "major_limits"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthChain:
    """The lengths from the counterbore's shoulder, and what comes of them at the part's face. [mm]"""

    counterbore: Limits
    """Depth of the counterbore, or of the pilot's shoulder, below the part's face."""
    collar: Limits
    """Length of the collar as turned."""
    flush: Limits
    """Collar's face against the part's face, as it ends up; positive stands proud."""
    finish_in_place: bool
    """Whether the collar is left proud and its face finished in place."""
    shoulder_to_end: Limits | None = None
    """Shoulder to the spigot's end."""
    projection: Limits | None = None
    """Spigot's end above the part's face: shoulder to end, less the counterbore's depth."""

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""

        def pair(limits: Limits | None) -> list[float] | None:
            return None if limits is None else [round(value, 3) for value in limits]

        return {
            "counterbore_depth_mm": pair(self.counterbore),
            "collar_length_mm": pair(self.collar),
            "flush_mm": pair(self.flush),
            "finish_in_place": self.finish_in_place,
            "shoulder_to_spigot_end_mm": pair(self.shoulder_to_end),
            "projection_mm": pair(self.projection),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Locating:
    """Everything that places one bush."""

    register: Register
    spigot: Spigot | None
    zones: Zones
    relief: Relief | None
    chain: DepthChain | None
    driving: Driving
    says: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Plain data, lengths in mm."""
        return {
            "register": self.register.to_dict(),
            "spigot": None if self.spigot is None else self.spigot.to_dict(),
            "threads": self.zones.to_dict(),
            "relief": None if self.relief is None else self.relief.to_dict(),
            "depth_chain": None if self.chain is None else self.chain.to_dict(),
            "driving": self.driving.to_dict(),
            "says": list(self.says),
        }


def major_limits(thread: Thread) -> Limits:
    """Limits of the major diameter of an external thread in its usual class; basic without limits. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [round(size, 3) for size in major_limits(find_thread("M12x1.5"))]
    [11.732, 11.968]
    """
    basic = thread.major_basic * thread.to_mm
    if not thread.classes("external"):
        return basic, basic
    limits = thread.limits("external").in_mm()
    low, high = limits.major_min, limits.major_max
    return (low if low == low else basic), (high if high == high else basic)


def _tolerances(flush: float) -> tuple[float, bool]:
    """Tolerance of each length of the chain, and whether the face is finished in place. [mm]"""
    in_place = flush < judgement.FINISH_IN_PLACE_BELOW_MM - 1e-9
    width = judgement.LENGTH_TOLERANCE_MM
    return (width, True) if in_place else (min(width, flush / 2), False)


def _chain(length: float, flush: float, stands_out: Limits | None) -> DepthChain:
    """Lengths whose worst case keeps the flush limit and never lets the collar stand proud."""
    width, in_place = _tolerances(flush)
    left = judgement.LEFT_TO_FACE_MM if in_place else -width
    counterbore = (length, length + width)
    return DepthChain(
        counterbore=counterbore,
        collar=(length + width + left, length + 2 * width + left) if in_place else (length - width, length),
        flush=(-flush, 0.0) if in_place else (-2 * width, 0.0),
        finish_in_place=in_place,
        shoulder_to_end=None
        if stands_out is None
        else (stands_out[0] + counterbore[1], stands_out[1] + counterbore[0]),
        projection=stands_out,
    )


def locate(plan: BushPlan, *, outer: Thread, inner: Thread, wish: Wish) -> Locating:
    """Place a bush: what locates it, where its threads lie, and what is left at the face.

    Parameters
    ----------
    plan : BushPlan
        The bush as recommended; its length is that below the part's face, without a pilot.
    outer, inner : Thread
        Its two threads.
    wish : Wish
        What was asked for.

    Returns
    -------
    Locating

    Raises
    ------
    JobError
        If a spigot, collar, pilot, neck or driving feature finds no room; the message names what binds and
        what would relieve it.

    Examples
    --------
    >>> from threadwright.repair.bush import recommend_bush
    >>> from threadwright.repair.wish import Wish
    >>> from threadwright.tables.registry import find_thread
    >>> plan = recommend_bush("M8", parent="cast iron", depth_mm=25.0, collar_mm=2.0)
    >>> placed = locate(plan, outer=find_thread(plan.bush.outer_thread.designation),
    ...                 inner=find_thread("M8"), wish=Wish(register="collar"))
    >>> placed.register.bush, placed.zones.inside
    ((13.489, 13.5), True)
    """
    length = wish.length_mm
    flush = judgement.FLUSH_MM if wish.flush_mm is None else wish.flush_mm
    stands: Spigot | None = None
    bores: tuple[Bore, ...] = ()
    if wish.has_spigot:
        stands, bores = spigot(
            inner,
            measured=wish.mating_bore_mm,
            old_mm=wish.spigot_mm,
            mating_depth=wish.mating_depth_mm,
            fitted=wish.spigot_fit,
            projection=wish.projection_mm,
            chain_width=2 * _tolerances(flush)[0],
        )
    register = _register(
        plan, outer, wish, length=length, spigot_mm=None if stands is None else stands.diameter[1]
    )
    if not register.at_face:
        return _without_collar(plan, outer, inner, wish, register)
    zones, relief = _zones(plan, outer, inner, length, bores or clearance_bores(inner))
    chain = _chain(length, flush, None if stands is None else stands.projection)
    return Locating(
        register=register,
        spigot=stands,
        zones=zones,
        relief=relief,
        chain=chain,
        driving=_driving(wish, register, stands, zones, screw_mm=inner.major_basic * inner.to_mm),
        says=(
            *register.says,
            *_says(stands, zones, chain),
            relief.says,
            by_standard(outer, relief, within_mm=_within(plan, zones)),
            *_shear(plan, stands, zones),
            *(stands.notes if stands else ()),
        ),
    )


def _shear(plan: BushPlan, stands: Spigot | None, zones: Zones) -> tuple[str, ...]:
    """What the spigot stands across, where there is one."""
    shear = find_material(plan.bush.material).shear
    if stands is None or zones.bore is None or shear is None:
        return ()
    load = tube_shear_kN(outside_mm=stands.diameter[0], inside_mm=zones.bore.high, shear_MPa=shear)
    return (
        f"Across, the spigot shears off at about {load:.1f} kN, estimated: it locates and is no dowel pin.",
    )


def _within(plan: BushPlan, zones: Zones) -> float:
    """Greatest diameter of what is bored inside the neck below the collar. [mm]"""
    return zones.bore.high if zones.inside and zones.bore is not None else plan.bush.inner_greatest_major_mm


def _register(
    plan: BushPlan, outer: Thread, wish: Wish, *, length: float, spigot_mm: float | None
) -> Register:
    sizes = worst_sizes(outer)
    if wish.kind == "collar":
        return collar_register(
            outer_major_mm=major_limits(outer)[1],
            length_mm=length,
            fitted=wish.register_fit,
            asked_mm=wish.collar_mm,
            seat_mm=wish.seat_mm,
            spigot_mm=spigot_mm,
            edge_mm=wish.edge_mm,
            datum=wish.datum,
        )
    if wish.kind == "stop collar":
        return stop_collar(major=major_limits(outer), length_mm=length)
    if wish.kind == "pilot":
        return pilot_register(
            hole_minor_mm=sizes.hole_least_minor,
            least_root_mm=sizes.screw_least_root,
            core_mm=plan.bush.inner_tapping_drill_mm,
            asked_mm=wish.collar_mm,
            length_mm=length,
            fitted=wish.register_fit,
            datum=wish.datum,
            reamers_mm=wish.reamers_mm,
        )
    return no_register()


def _zones(
    plan: BushPlan, outer: Thread, inner: Thread, length: float, bores: tuple[Bore, ...]
) -> tuple[Zones, Relief]:
    """Threads below a collar, by what the load asks of the inner thread and of the neck."""
    bush, loads = plan.bush, plan.loads
    sizes = worst_sizes(outer)
    wanted = min(plan.required_strip_kN, loads.least_strip)
    return thread_zones(
        collar_mm=length,
        length_mm=bush.length_mm,
        outer_pitch_mm=outer.pitch_mm,
        inner_pitch_mm=inner.pitch_mm,
        least_root_mm=sizes.screw_least_root,
        outer_major_mm=major_limits(outer)[1],
        inner_major_mm=bush.inner_greatest_major_mm,
        bores=bores,
        by_die=bush.outer_thread.cut_by.endswith("from the drawer"),
        inner_needed_mm=bush.inner_engaged_mm * wanted / loads.bush_inner_strip,
        tensile_MPa=find_material(bush.material).tensile or 0.0,
        required_kN=wanted,
    )


def _without_collar(plan: BushPlan, outer: Thread, inner: Thread, wish: Wish, register: Register) -> Locating:
    """A plain bush, or one with a pilot below its thread: both threads begin at the part's face."""
    bush = plan.bush
    zones = Zones(
        outer=(0.0, bush.length_mm),
        inner=(0.0, bush.length_mm),
        outer_full_mm=bush.outer_engaged_mm,
        inner_full_mm=bush.inner_engaged_mm,
        bore=None,
        bore_end=0.0,
        inside=True,
    )
    return Locating(
        register=register,
        spigot=None,
        zones=zones,
        relief=None,
        chain=None,
        driving=drive(
            wish.driving,
            face_mm=worst_sizes(outer).screw_least_root,
            within_mm=bush.inner_greatest_major_mm,
            deep_mm=judgement.COLLAR_LENGTH_MM,
            spigot=False,
            screw_mm=inner.major_basic * inner.to_mm,
        ),
        says=register.says,
    )


def _driving(
    wish: Wish, register: Register, stands: Spigot | None, zones: Zones, *, screw_mm: float
) -> Driving:
    """The driving feature: at the spigot's end, if there is one; two holes are in the collar's face."""
    assert register.bush is not None
    assert zones.bore is not None
    outside, within, deep = register.bush[0], zones.bore.high, register.length / 2
    out = 0.0
    if stands is not None:
        out = judgement.LEAST_SPIGOT_MM if stands.projection is None else stands.projection[0]
    if stands is not None and wish.driving != "two holes":
        outside, deep = stands.diameter[0], out / 2
    elif stands is not None:
        within = stands.diameter[1]
    return drive(
        wish.driving,
        face_mm=outside,
        within_mm=within,
        deep_mm=deep,
        spigot=stands is not None,
        screw_mm=screw_mm,
        above_mm=out + zones.inner[0],
    )


def _says(stands: Spigot | None, zones: Zones, chain: DepthChain) -> tuple[str, ...]:
    """What the lengths mean at the bench."""
    through = "spigot and collar" if stands is not None else "the collar"
    bore = zones.bore
    assert bore is not None
    lines = [
        f"The inner thread starts below the collar; through {through} the bore is clear of the screw "
        f"({bore.low:.2f} mm, {bore.fit})."
    ]
    if not zones.inside:
        lines.append(
            "The screw also engages above the outer thread: the neck between them stands "
            f"{zones.net_section_kN:.1f} kN."
        )
    if chain.finish_in_place:
        lines.append(
            f"Flush within {-chain.flush[0]:.2f} mm cannot be turned to: leave the collar proud and "
            "finish its "
            "face in place."
        )
    else:
        lines.append(f"At the worst the collar's face lies {-chain.flush[0]:.2f} mm below the part's face.")
    if chain.shoulder_to_end is not None and chain.projection is not None:
        (low, high), (shallow, deep) = chain.shoulder_to_end, chain.counterbore
        lines.append(
            f"Chain from shoulder to face: {low:.2f} to {high:.2f} mm to the spigot's end, less the "
            f"counterbore's {shallow:.2f} to {deep:.2f} mm, leaves {chain.projection[0]:.2f} to "
            f"{chain.projection[1]:.2f} mm standing out."
        )
    if stands is not None and stands.projection is not None and stands.mating_depth is not None:
        lines.append(
            f"The spigot stays at least {stands.mating_depth - stands.projection[1]:.2f} mm short of the "
            "mating bore's bottom, so that the faces clamp."
        )
    if stands is not None:
        lines.append(f"Runout of the spigot to the register at most {judgement.SPIGOT_RUNOUT_MM:g} mm.")
    return tuple(lines)
