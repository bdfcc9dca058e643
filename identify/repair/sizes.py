"""Every size of a bush and its hole, with limits, for lathe and tap."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.candidates import named
from threadwright.repair.cutting import infeed, over_wires, pitch_diameter_limits
from threadwright.repair.locating import major_limits
from threadwright.repair.size import Part, Size
from threadwright.repair.wall import worst_sizes
from threadwright.tables.drills import die_blank, engagement_of_hole
from threadwright.tables.errors import JobError, TableError
from threadwright.tables.undercuts import blind_hole_overrun

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.cutting import Infeed, OverWires
    from threadwright.repair.locating import Locating
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.wish import Wish
    from threadwright.tables.thread import Thread

__all__ = ["Sizes", "room_below_thread", "size_bush"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """What to measure and cut to."""

    rows: tuple[Size, ...]
    infeed: Infeed
    over_wires: OverWires | None

    def find(self, key: str) -> Size:
        """One size by its key.

        Raises
        ------
        JobError
            If this bush has no such size.
        """
        for row in self.rows:
            if row.key == key:
                return row
        raise JobError(f"sizes: this bush has no '{key}'; it has {', '.join(row.key for row in self.rows)}")

    def of(self, part: Part) -> tuple[Size, ...]:
        """The sizes of the hole or of the bush, in the order in which they are cut."""
        return tuple(row for row in self.rows if row.part == part)

    def to_dict(self) -> dict[str, object]:
        """Plain data, lengths in mm."""
        return {
            "hole": [row.to_dict() for row in self.of("hole")],
            "bush": [row.to_dict() for row in self.of("bush")],
            "infeed": self.infeed.to_dict(),
            "over_wires": None if self.over_wires is None else self.over_wires.to_dict(),
        }


def size_bush(
    plan: BushPlan,
    *,
    outer: Thread,
    inner: Thread,
    placed: Locating,
    wish: Wish,
    wires: Sequence[float] = (),
) -> Sizes:
    """Size a bush and its hole.

    Parameters
    ----------
    plan : BushPlan
        The bush as recommended.
    outer, inner : Thread
        Its threads.
    placed : Locating
        Where register, spigot and threads lie.
    wish : Wish
        What was asked for.
    wires : sequence of float, optional
        Wires at hand. [mm]

    Returns
    -------
    Sizes
    """
    rows = (
        *_mouth(outer, placed),
        *_tapping(plan, outer, placed, wish),
        *_lengths(plan, outer, placed),
        *_register_rows(placed),
        *_bore(inner, placed),
        *_inner(plan, inner, placed, wish),
        *_outer(plan, outer, placed),
        *_driving(placed),
    )
    return Sizes(rows=rows, infeed=infeed(outer, lathe=wish.lathe), over_wires=over_wires(outer, wires=wires))


def _hole(key: str, name: str, low: float | None, high: float | None, note: str = "") -> Size:
    return Size(key=key, name=name, part="hole", low=low, high=high, note=note)


def _bush(key: str, name: str, low: float | None, high: float | None, note: str = "") -> Size:
    return Size(key=key, name=name, part="bush", low=low, high=high, note=note)


def _mouth(outer: Thread, placed: Locating) -> list[Size]:
    """Counterbore and its relief, or the countersink of a plain hole."""
    register, chain, relief = placed.register, placed.chain, placed.relief
    if not register.at_face or register.hole is None or chain is None or relief is None:
        mouth = outer.major_basic * outer.to_mm
        low, high = (mouth + over for over in judgement.COUNTERSINK_OVER_MM)
        return [_hole("countersink_diameter", "countersink 90 deg", low, high, "keeps the first thread in")]
    rows = [
        _hole(
            "counterbore_diameter",
            "counterbore",
            *register.hole,
            "kept as measured" if register.kept else register.fit,
        ),
        _hole("counterbore_depth", "its depth", *chain.counterbore, "to a flat, square shoulder"),
    ]
    if relief.chosen == "mouth":
        rows.append(_hole("mouth_relief_diameter", "relief below it", *relief.mouth))
        rows.append(_hole("mouth_relief_depth", "depth of the relief", relief.width, relief.width))
    return rows


def _tapping(plan: BushPlan, outer: Thread, placed: Locating, wish: Wish) -> list[Size]:
    """Tapping hole, its depth, the depth of full thread, and the bore of a pilot."""
    thread = plan.bush.outer_thread
    share = engagement_of_hole(outer, thread.tapping_drill_mm)
    rows = [
        _hole(
            "tapping_hole",
            "tapping hole",
            *thread.hole_minor_mm,
            f"drill {thread.tapping_drill_mm:.2f} mm and bore true: {100 * share.basic:.0f} % of the "
            "basic depth",
        )
    ]
    register, end, pitch = placed.register, plan.bush.length_mm, outer.pitch_mm
    if register.kind == "pilot" and register.hole is not None:
        room = room_below_thread(pitch)
        rows += [
            _hole(
                "tapping_depth", "tapping hole deep", end + room - 0.2, end + room, "then the pilot's bore"
            ),
            _hole("pilot_bore", "pilot's bore, reamed", *register.hole, register.fit),
            _hole("pilot_bore_depth", "its depth below", register.length + judgement.PILOT_SPARE_MM, None),
        ]
    elif wish.through:
        rows.append(_hole("thread_depth", "full thread", end, None, "through"))
    else:
        rows.append(
            _hole(
                "thread_depth", "full thread to", end + judgement.CHIP_PITCHES * pitch, None, "room for chips"
            )
        )
        point = judgement.DRILL_POINT * thread.tapping_drill_mm
        rows.append(
            _hole(
                "tapping_depth",
                "drill to",
                end + room_below_thread(pitch),
                None,
                _drill_note(pitch, end, point),
            )
        )
    return rows


def room_below_thread(pitch: float) -> float:
    """Room below a bush's thread for chips and the lead of a bottoming tap. [mm]

    Examples
    --------
    >>> room_below_thread(1.5)
    4.5
    """
    return (judgement.CHIP_PITCHES + judgement.BOTTOMING_LEAD_PITCHES) * pitch


def _drill_note(pitch: float, end: float, point: float) -> str:
    """What the drill's depth allows for."""
    note = f"bottoming tap; the drill's point takes {point:.1f} mm more"
    try:
        return f"{note}; with a plug tap {end + blind_hole_overrun(pitch):.1f} mm (DIN 76-1)"
    except TableError:
        return note


def _lengths(plan: BushPlan, outer: Thread, placed: Locating) -> list[Size]:
    """Stock and lengths along the bush."""
    register, chain = placed.register, placed.chain
    known = [register.bush, None if placed.spigot is None else placed.spigot.diameter]
    across = max([major_limits(outer)[1], *(limits[1] for limits in known if limits is not None)])
    stock = math.ceil(2 * (across + judgement.STOCK_OVER_MM)) / 2
    width = judgement.LENGTH_TOLERANCE_MM
    rows = [_bush("stock_diameter", "stock", stock, None, plan.bush.material)]
    end = plan.bush.length_mm
    if chain is None:
        low = end - 2 * width
        if register.kind == "pilot":
            pilot = room_below_thread(outer.pitch_mm) + register.length
            rows.append(_bush("pilot_length", "pilot below the thread", pilot - width, pilot + width))
        return [*rows, _bush("length", "length in the hole", low, end, "flush or a trifle below the face")]
    below = end - register.length
    rows.append(_bush("below_shoulder", "shoulder to lower end", below - 2 * width, below))
    if chain.shoulder_to_end is not None:
        low, high = chain.shoulder_to_end
        rows.append(_bush("shoulder_to_spigot_end", "shoulder to spigot's end", low, high))
        rows.append(_bush("overall_length", "overall length", below - 2 * width + low, below + high))
    elif placed.spigot is None:
        low, high = chain.collar
        rows.append(_bush("overall_length", "overall length", below - 2 * width + low, below + high))
    return rows


def _register_rows(placed: Locating) -> list[Size]:
    """Collar or pilot, and spigot."""
    register, chain, stands = placed.register, placed.chain, placed.spigot
    rows = []
    if register.bush is not None:
        name = "pilot" if register.kind == "pilot" else "collar"
        note = register.fit if register.locates else "locates nothing"
        rows.append(_bush("register_diameter", name, *register.bush, note))
    if chain is not None:
        note = "left proud, faced in place" if chain.finish_in_place else "shoulder to its face"
        rows.append(_bush("collar_length", "length of the collar", *chain.collar, note))
        rows.append(
            _bush("collar_edge", "its lower edge broken", 0.2, 0.3, "clears the counterbore's corner")
        )
    if stands is not None:
        note = f"{stands.shaft}, {stands.fit}, runout to the collar {judgement.SPIGOT_RUNOUT_MM:g} mm"
        rows.append(_bush("spigot_diameter", "spigot", *stands.diameter, note))
        if stands.projection is not None:
            rows.append(_bush("projection", "it stands out of the face", *stands.projection, "when home"))
    return rows


def _bore(inner: Thread, placed: Locating) -> list[Size]:
    """Clearance bore above the inner thread."""
    bore, chain = placed.zones.bore, placed.chain
    if bore is None or chain is None:
        return []
    above = chain.collar[0] - placed.register.length
    if placed.spigot is not None:
        above = 0.0 if chain.projection is None else sum(chain.projection) / 2
    depth = above + placed.zones.bore_end
    end = (
        "from the spigot's end"
        if placed.spigot is not None and chain.projection
        else "from the collar's face"
    )
    clear = f"clear of {named(inner)}, {bore.fit}"
    return [
        _bush("clearance_bore", "bore", bore.low, bore.high, clear),
        _bush("clearance_bore_depth", "its depth", depth - 0.1, depth + 0.1, end),
    ]


def _inner(plan: BushPlan, inner: Thread, placed: Locating, wish: Wish) -> list[Size]:
    """Inner thread: drill, minor limits, length, countersink, and how far the screw must reach."""
    sizes, zones = worst_sizes(inner), placed.zones
    drill = plan.bush.inner_tapping_drill_mm
    pitch, major = inner.pitch_mm, inner.major_basic * inner.to_mm
    over = judgement.COUNTERSINK_OVER_MM
    needed = plan.bush.inner_engaged_mm * plan.required_strip_kN / plan.loads.bush_inner_strip
    reach = zones.inner[0] + min(needed, zones.inner_full_mm) + judgement.LOST_PITCHES / 2 * pitch
    through = (
        "right through" if placed.register.kind != "pilot" else "the pilot is bored to the drill's size only"
    )
    return [
        _bush(
            "inner_tapping_hole",
            "inner tapping hole",
            sizes.hole_least_minor,
            sizes.hole_greatest_minor,
            f"drill {drill:.2f} mm, {through}",
        ),
        _bush(
            "inner_thread_length",
            f"inner thread {named(inner)}",
            zones.inner[1] - zones.inner[0],
            None,
            f"{zones.inner_full_mm:.1f} mm full",
        ),
        _bush("inner_countersink", "countersink 90 deg, both ends", major + over[0], major + over[1]),
        _bush(
            "screw_reach",
            "screw below the face",
            reach,
            zones.inner[1] if wish.through is False else None,
            _reach_note(plan),
        ),
    ]


def _reach_note(plan: BushPlan) -> str:
    """What the length of screw in the bush is enough for."""
    if plan.verdict != "holds":
        return "for the load it may carry"
    asked = f"for {judgement.STRIP_FACTOR:g} times the load asked for"
    return "so that it breaks before it strips" if plan.torque_asked is None else asked


def _driving(placed: Locating) -> list[Size]:
    """Sizes of the driving feature."""
    one = placed.driving
    names = {
        "slot": ("driving slot, width", "its depth"),
        "two holes": ("driving holes", "their depth"),
        "flats": ("driving flats, across", "length of their head"),
    }
    if one.kind == "jam nut":
        return [
            _bush("driving_washer", "washer under the jam nut", None, one.washer_mm),
            _bush("driving_screw", "thread of the driving screw", one.screw_mm, None),
        ]
    width, depth = names[one.kind]
    rows = [_bush("driving_width", width, one.width_mm, one.width_mm)]
    rows.append(_bush("driving_depth", depth, one.depth_mm, one.depth_mm))
    if one.spacing_mm is not None:
        rows.append(_bush("driving_spacing", "between their centres", one.spacing_mm, one.spacing_mm))
    return rows


def _outer(plan: BushPlan, outer: Thread, placed: Locating) -> list[Size]:
    """Outer thread: limits, root, blank for a die, relief and chamfer."""
    sizes, zones, relief, bush = worst_sizes(outer), placed.zones, placed.relief, plan.bush
    rows = [_bush("outer_major", f"outer thread {named(outer)}", *major_limits(outer), "single point")]
    if "die" in bush.outer_thread.cut_by:
        blank = die_blank(outer)
        rows.append(_bush("die_blank", "blank for a die", blank - 0.03, blank, "estimated"))
    pair = pitch_diameter_limits(outer)
    if pair is not None:
        rows.append(
            _bush("outer_pitch_diameter", "its pitch diameter", *pair, outer.default_class("external"))
        )
    keep = bush.inner_greatest_major_mm + 2 * bush.least_wall_mm
    note = f"wall {bush.least_wall_mm:.2f} mm or more"
    rows.append(_bush("outer_root", "its root", max(keep, sizes.screw_least_root), None, note))
    rows.append(_bush("outer_thread_length", "its length", zones.outer[1] - zones.outer[0], None))
    if relief is not None and relief.chosen == "undercut":
        note = f"radius {judgement.UNDERCUT_RADIUS_PITCHES * outer.pitch_mm:.1f} mm or more in the corners"
        rows.append(_bush("undercut_diameter", "undercut below the collar", *relief.undercut, note))
        rows.append(_bush("undercut_width", "its width", relief.width, relief.width + 0.2))
    chamfer = sizes.screw_least_root - 2 * judgement.UNDERCUT_BELOW_ROOT_MM
    rows.append(
        _bush("lead_chamfer", "lead chamfer 45 deg to", chamfer - 0.2, chamfer, "just below the root")
    )
    return rows
