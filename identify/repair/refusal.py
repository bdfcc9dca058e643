"""Why no bush fits: the rule that binds, and what would relieve it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.candidates import (
    Candidate,
    Case,
    evaluate,
    least_depth,
    least_metal_first,
    major_mm,
    named,
    next_hole_distance,
    outer_threads,
)
from threadwright.repair.wall import edge_distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.drawer import Drawer

__all__ = ["why_none"]


def why_none(case: Case, looked_at: Sequence[Candidate], boss_mm: float | None, drawer: Drawer | None) -> str:
    """Name the binding rules when no thread is left, and what would relieve them."""
    if drawer is not None and not looked_at and case.outer_hand is not None:
        return (
            f"hand: the drawer holds no {case.outer_hand}-hand tap; add one, or leave the hand out to take "
            "what it holds"
        )
    thick = [one for one in looked_at if one.refused_by != "wall"]
    if not thick:
        return _why_no_wall(case, looked_at, drawer)
    at_hand = [one for one in thick if one.tap != "special"] or thick
    rule = least_metal_first(at_hand)[0].refused_by
    bound = [one for one in at_hand if one.refused_by == rule]
    if rule in ("next hole", "collar", "old hole"):
        return _why_no_clearance(case, bound, rule)
    found = [_why_no_room(case, bound, boss_mm)] if rule == "edge" else []
    if case.too_shallow or rule != "edge":
        found.append(_why_no_depth(case, [one for one in thick if one.refused_by == "depth"]))
    return "; ".join(found) + ("; otherwise use a through bolt and nut" if case.clamps else "")


def _why_no_clearance(case: Case, bound: Sequence[Candidate], rule: str) -> str:
    """Why threads with wall enough come too near the next hole, outgrow the collar or miss the old hole."""
    least = least_metal_first(bound)[0]
    if rule == "old hole":
        most = max(bound, key=lambda one: one.sizes.hole_least_minor)
        return (
            f"old hole: bored true it is cleaned up from {case.clean_up_mm:.2f} mm only, and {most.name} "
            f"bores {most.sizes.hole_least_minor:.2f} mm; take a larger outer thread, or plug the hole and "
            "tap it again"
        )
    if rule == "next hole":
        wanted = next_hole_distance(outer_major_mm=least.major_mm, next_major_mm=major_mm(case.inner))
        return (
            f"next hole: {case.next_hole_mm:g} mm from centre to centre is too little for a bush: the "
            f"smallest outer thread with wall enough, {least.name}, wants {wanted:.1f} mm; "
            f"use a smaller inner thread{'' if case.no_wire else ' or a wire thread insert'}"
        )
    wanted = least.major_mm + judgement.COLLAR_OVER_THREAD_MM
    return (
        f"collar: {case.collar_diameter_mm:g} mm across is no larger than the smallest outer thread with "
        f"wall enough, {least.name}; open the counterbore to {wanted:.2f} mm or more, use a "
        "smaller inner thread, or a plain bush with a ring dowel"
    )


def _why_no_depth(case: Case, shallow: Sequence[Candidate]) -> str:
    if case.too_shallow:
        name = named(case.inner)
        wanted = least_depth(case.inner.pitch_mm) + case.collar_mm
    else:
        least = min(shallow, key=lambda one: one.thread.pitch_mm)
        name = least.name
        full = judgement.LEAST_FULL_THREADS * least.thread.pitch_mm
        wanted = case.depth_mm + full - least.engaged_mm
        if not case.collar_mm and math.isinf(case.spare_below_mm):
            wanted = least_depth(least.thread.pitch_mm)
    collar = f" below a collar of {case.collar_mm:g} mm" if case.collar_mm else ""
    return (
        f"depth: {case.depth_mm:g} mm{collar} leaves fewer than {judgement.LEAST_FULL_THREADS:g} full "
        f"threads of {name}; deepen the hole to {wanted:.2f} mm or more"
    )


def _why_no_room(case: Case, edge: Sequence[Candidate], boss_mm: float | None) -> str:
    least = least_metal_first(edge)[0]
    wanted = edge_distance(case.parent, outer_major_mm=least.major_mm)
    bound_by_boss = boss_mm is not None and case.edge_mm == boss_mm / 2
    room = (
        f"boss: {boss_mm:g} mm across"
        if bound_by_boss
        else f"edge: {case.edge_mm:g} mm from the hole's centre"
    )
    relief = f"a boss of {2 * wanted:.1f} mm" if bound_by_boss else f"{wanted:.1f} mm to the edge"
    old = major_mm(case.inner) / 2
    smaller = "use a smaller inner thread"
    if case.edge_mm is not None and case.edge_mm <= old:
        smaller += f" (a hole {named(case.inner)} breaks out of it by itself: read the size again)"
    elif (
        case.no_wire is None
        and case.edge_mm is not None
        and case.edge_mm > old + case.inner.pitch_mm + judgement.LEAST_FLOOR_MM
    ):
        smaller += " or a wire thread insert"
    return (
        f"{room} is too little for a bush in {case.parent.name}: the smallest outer thread with wall enough, "
        f"{least.name}, wants {relief}; {smaller}"
    )


def _why_no_wall(case: Case, looked_at: Sequence[Candidate], drawer: Drawer | None) -> str:
    if drawer is None:
        return (
            f"wall: no outer thread in the tables leaves {case.least_wall_mm:.2f} mm of wall "
            f"round {named(case.inner)}; use a smaller inner thread"
        )
    best = max(looked_at, key=lambda one: one.wall_mm, default=None)
    nearest = "" if best is None else f" (the most is {best.wall_mm:.3f} mm with {best.name})"
    others = [
        evaluate(case, thread, tap) for thread, tap in outer_threads(case.inner_sizes, None) if tap == "usual"
    ]
    fitting = least_metal_first(one for one in others if one.refused_by is None)
    remedy = f"add a tap {fitting[0].name}" if fitting else "use a smaller inner thread"
    return (
        f"drawer: none of its taps leaves {case.least_wall_mm:.2f} mm of wall round "
        f"{named(case.inner)}{nearest}; {remedy}"
    )
