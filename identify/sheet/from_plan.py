"""From the plan of a plain bush to its drawing."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from threadwright.sheet.drawing import (
    BushDrawing,
    HoleDrawing,
    Inspection,
    Lists,
    Size,
    SizeRow,
    ThreadDrawing,
    Title,
    Unit,
    number,
)
from threadwright.tables.registry import find_thread

if TYPE_CHECKING:
    from threadwright.repair.plan import Bush, BushPlan
    from threadwright.repair.settle import RepairPlan
    from threadwright.tables.thread import Side, Thread

__all__ = ["bush_drawing", "doubts"]

_PULL = "The screw pulls the bush out against its outer thread alone: a plain bush has no shoulder behind it."


def bush_drawing(
    answer: RepairPlan,
    *,
    title: Title,
    through: bool = False,
    boss_mm: float | None = None,
    driving: str = "",
    left_hand: bool = False,
    unit: Unit = "mm",
    paper: str = "A4",
) -> BushDrawing:
    """What the leading plan asks for, as a drawing of bush and hole.

    Parameters
    ----------
    answer : RepairPlan
        With a leading plan.
    title : Title
        What stands in the title block; its metals are those of the plan.
    through : bool
        Whether the hole goes through.
    boss_mm : float, optional
        Outside diameter of the boss. [mm]
    driving : str
        What the bush is to be turned in by, in words.
    left_hand : bool
        Whether the inner thread is left-handed.
    unit : {"mm", "in"}
        Of the sizes written.
    paper : {"A4", "Letter"}
        Size of the pages.

    Returns
    -------
    BushDrawing
    """
    plan = answer.leading
    assert plan is not None
    outer = find_thread(plan.bush.outer_thread.designation)
    inner = replace(find_thread(plan.inner_thread), left_hand=left_hand)
    chamfer = _up(_depth(outer), 1)
    return BushDrawing(
        title=title,
        outer=_drawn(outer, "external"),
        inner=_drawn(inner, "internal"),
        length=Size(plan.bush.length_mm),
        hole=_hole(plan, outer, through=through, boss_mm=boss_mm),
        chamfer=chamfer if chamfer < plan.bush.length_mm / 2 else 0.0,
        countersink=_countersink(inner, outer.major_basic * outer.to_mm - 2 * chamfer),
        bush=Lists(
            sizes=_bush_sizes(plan, outer, inner, unit),
            operations=_bush_operations(plan, unit, chamfer, driving),
            inspections=_bush_inspections(plan, outer),
        ),
        hole_lists=Lists(
            sizes=_hole_sizes(plan, outer, boss_mm),
            operations=_hole_operations(plan, outer, unit, through=through),
            inspections=_hole_inspections(plan),
        ),
        verdict=_verdict(plan),
        assumptions=plan.assumptions,
        cautions=(_PULL, *plan.cautions),
        not_settled=doubts(answer),
        unit=unit,
        paper=paper,
    )


def doubts(answer: RepairPlan) -> tuple[str, ...]:
    """What is in doubt about a plan, as sentences for the stamp; none if everything may be cut."""
    found = []
    for one in answer.decisions:
        if not one.settled:
            wanted = " or ".join(
                name if value == name else f"{value} for {name}" for name, value in one.wanted
            )
            found.append(f"{one.name[0].upper()}{one.name[1:]}: {wanted}.")
    if found and answer.settle_by is not None:
        found.append(f"Drawn for the most likely. To settle it, measure {answer.settle_by.words}.")
    return tuple(found)


def _up(value: float, places: int) -> float:
    """Rounded up. [mm]"""
    grid = 10.0**places
    return math.ceil(value * grid - 1e-9) / grid


def _depth(thread: Thread) -> float:
    """Depth of the basic profile. [mm]"""
    return (thread.major_basic - thread.minor_basic) * thread.to_mm / 2


def _drawn(thread: Thread, side: Side) -> ThreadDrawing:
    """The thread with its usual class behind the designation, as its standard writes it."""
    name = thread.default_classes.get(side, "")
    joined = f"{thread.designation}-{name}" if name[:1].isdigit() else f"{thread.designation} {name}"
    return ThreadDrawing(
        designation=joined.strip() + (" LH" if thread.left_hand else ""),
        major=thread.major_basic * thread.to_mm,
        minor=thread.minor_basic * thread.to_mm,
        pitch=thread.pitch_mm,
    )


def _limits(thread: Thread, side: Side, quantity: str) -> Size | None:
    """Limits of the usual class; None where the standard gives not both."""
    if not thread.classes(side):
        return None
    limits = thread.limits(side).in_mm()
    low, high = (getattr(limits, f"{quantity}_{end}") for end in ("min", "max"))
    return Size((low + high) / 2, low, high) if math.isfinite(low) and math.isfinite(high) else None


def _countersink(inner: Thread, most: float) -> Size | None:
    """To the major diameter of the inner thread, where the end face is wide enough for it."""
    wanted = _up(inner.major_basic * inner.to_mm + 0.1, 1)
    return Size(wanted) if wanted < most else None


def _hole(plan: BushPlan, outer: Thread, *, through: bool, boss_mm: float | None) -> HoleDrawing:
    thread = plan.bush.outer_thread
    return HoleDrawing(
        thread=_drawn(outer, "internal"),
        drill=_drill(plan.bush),
        thread_depth=Size(plan.bush.length_mm),
        through=through,
        countersink=Size(_up(thread.major_mm + 0.1, 1)),
        boss=boss_mm,
    )


def _drill(bush: Bush) -> Size:
    return Size(bush.outer_thread.tapping_drill_mm, *bush.outer_thread.hole_minor_mm)


def _rows(wanted: list[tuple[str, Size | None]]) -> tuple[SizeRow, ...]:
    return tuple(SizeRow(name=name, size=size, diameter=True) for name, size in wanted if size is not None)


def _bush_sizes(plan: BushPlan, outer: Thread, inner: Thread, unit: Unit) -> tuple[SizeRow, ...]:
    bush = plan.bush
    threads = _rows(
        [
            ("outer thread, major diameter", _limits(outer, "external", "major")),
            ("outer thread, pitch diameter", _limits(outer, "external", "pitch_diameter")),
            ("root of the outer thread, at least", Size(bush.outer_thread.least_root_mm)),
            ("inner thread, minor diameter", _limits(inner, "internal", "minor")),
            ("inner thread, pitch diameter", _limits(inner, "internal", "pitch_diameter")),
            ("tapping drill in the bush", Size(bush.inner_tapping_drill_mm)),
        ]
    )
    wall = f"{number(bush.wall_mm, unit)}; {number(bush.least_wall_mm, unit)} is the least"
    return (*threads, SizeRow(name="wall at the worst limits", size=wall))


def _hole_sizes(plan: BushPlan, outer: Thread, boss_mm: float | None) -> tuple[SizeRow, ...]:
    threads = _rows(
        [
            ("tapping drill", Size(plan.bush.outer_thread.tapping_drill_mm)),
            ("minor diameter", _drill(plan.bush)),
            ("pitch diameter", _limits(outer, "internal", "pitch_diameter")),
            ("boss", None if boss_mm is None else Size(boss_mm)),
        ]
    )
    if plan.edge_mm is None:
        return threads
    return (*threads, SizeRow(name="middle of the hole to the nearest edge", size=Size(plan.edge_mm)))


def _bush_operations(plan: BushPlan, unit: Unit, chamfer: float, driving: str) -> tuple[str, ...]:
    bush, outer = plan.bush, plan.bush.outer_thread
    tapped = plan.inner_thread
    drill, length = number(bush.inner_tapping_drill_mm, unit), number(bush.length_mm, unit)
    found = [
        f"Chuck {bush.material} with the threaded end outward; face it.",
        f"Drill {drill} deeper than {length}, bore it true, tap {tapped} while the stock is "
        "thick; countersink.",
        f"Turn the outside to the major diameter; chamfer {number(chamfer, unit)} x 45°.",
        f"Cut {outer.designation} ({outer.cut_by}); try it in the tapped hole.",
        "Run the real screw in by hand before parting off.",
        f"Part off longer than {length}. On a stub threaded and faced in place, face the second end to "
        f"{length}; countersink.",
    ]
    return (*found, f"Driving feature: {driving}.") if driving else tuple(found)


def _hole_operations(plan: BushPlan, outer: Thread, unit: Unit, *, through: bool) -> tuple[str, ...]:
    thread = plan.bush.outer_thread
    depth = "through" if through else f"for {number(plan.bush.length_mm, unit)} of full thread"
    tap = {"drawer": "tap from the drawer", "usual": "usual tap", "special": "special tap"}[thread.tap]
    return (
        "Clamp the part with its face square to the spindle. Find the middle from what locates the part, "
        "not from the stripped thread.",
        f"Drill or bore {number(thread.tapping_drill_mm, unit)}, {depth}.",
        f"Countersink the mouth to Ø{number(_up(thread.major_mm + 0.1, 1), unit)}.",
        f"Tap {outer.designation} ({tap}), {depth}, square to the face in the same setting.",
        "Clear the chips, wash and dry. Screw the bush in flush with the face, and secure it.",
    )


def _bush_inspections(plan: BushPlan, outer: Thread) -> tuple[Inspection, ...]:
    found = []
    major = _limits(outer, "external", "major")
    if major is not None:
        found.append(Inspection(name="major diameter outside", wanted=major, diameter=True))
    return (
        *found,
        Inspection(name="length", wanted=Size(plan.bush.length_mm)),
        Inspection(name="bush in the tapped hole", wanted="runs in by hand"),
        Inspection(name="the real screw", wanted="runs in by hand"),
    )


def _hole_inspections(plan: BushPlan) -> tuple[Inspection, ...]:
    return (
        Inspection(name="bore before tapping", wanted=_drill(plan.bush), diameter=True),
        Inspection(name="full thread", wanted=Size(plan.bush.length_mm)),
    )


def _verdict(plan: BushPlan) -> str:
    text = f"{plan.verdict[0].upper()}{plan.verdict[1:]}: {plan.because}."
    if plan.allowed_clamp_kN is not None:
        text += f" Clamp it with at most {plan.allowed_clamp_kN:.1f} kN."
    return text
