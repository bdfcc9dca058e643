"""A plan in words: the verdict, what was assumed, and what the other threads lose by."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.candidates import Candidate, Case, least_metal_first, major_mm, room_below
from threadwright.repair.cautions import dangerous_use_or_place
from threadwright.repair.outer import hand, relief
from threadwright.repair.plan import Alternative, Verdict
from threadwright.uses import HOLLOW, PIPE_THREADS, use_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.corrected import CorrectedLoads
    from threadwright.repair.drawer import Drawer
    from threadwright.tables.thread import Thread

__all__ = ["alternatives", "assumptions", "own_cautions", "verdict"]

_SHOWN_ABOVE = 1.25  # times the pick's diameter: larger threads only remove more metal
_SHOWN_SPECIAL = 3
_LOAD_NAMES = {
    "screw": "the screw",
    "parent_strip": "the thread in the parent metal",
    "bush_outer_strip": "the bush's outer thread",
    "bush_inner_strip": "the bush's inner thread",
}


def verdict(case: Case, pick: Candidate, part: str | None, beyond: str = "nothing") -> tuple[Verdict, str]:
    """Give the verdict on a pick and its reason; dangerous uses and metals without strength get none."""
    use = dangerous_use_or_place(part, beyond)
    if use is not None:
        return "no verdict", f"{use.name}: not to be judged by this calculation"
    if case.parent.shear is None:
        return "no verdict", f"no strength may be assumed for {case.parent.name}"
    if pick.carries:
        return "holds", (
            f"every strip load is at least {judgement.STRIP_FACTOR:g} times the {case.load_kN:.1f} kN "
            f"{case.load_name}; "
            f"the weakest part is {_LOAD_NAMES[pick.loads.limited_by]}"
        )
    return "reduced clamp load", (
        f"{_LOAD_NAMES[pick.loads.weakest_strip]} strips at {pick.loads.least_strip:.1f} kN, "
        f"{case.required_kN:.1f} kN wanted"
    )


def own_cautions(
    case: Case, pick: Candidate, hoop: float | None, corrected: CorrectedLoads, drawer: Drawer | None
) -> tuple[str, ...]:
    """Cautions that come from the pick itself: edge, tap, boss, corrected strips, hand, undercut."""
    found = _of_its_use(case.inner, f"the {case.load_kN:.1f} kN {case.load_name}")
    if pick.edge_short is not None:
        found.append(
            f"Edge: {pick.edge_short}; take a thread nearer the middle of the metal if there is a choice."
        )
    if pick.tap == "special":
        found.append(f"The tap for {pick.name} is a special one.")
    if drawer is not None:
        found += _of_the_drawer(drawer, pick)
    if (
        hoop is not None
        and case.parent.tensile is not None
        and hoop > judgement.HOOP_SHARE * case.parent.tensile
    ):
        found.append(
            f"The flanks open the boss: hoop stress {hoop:.0f} MPa, {case.parent.tensile:.0f} MPa tensile."
        )
    if corrected.least is not None and case.load_kN > corrected.least:
        found.append(
            f"With the corrections for bell mouth and bending the weakest strip carries "
            f"{corrected.least:.1f} kN, less than the {case.load_kN:.1f} kN {case.load_name}."
        )
    if case.inner.left_hand != pick.thread.left_hand:
        text = hand(screw_left=case.inner.left_hand, bush_left=pick.thread.left_hand)
        found.append(f"{text[0].upper()}{text[1:]}.")
    if case.collar_mm:
        found.append(
            "The collar sets the depth only: the screw pulls the bush out against the outer thread alone."
        )
    return tuple(found)


def _of_its_use(inner: Thread, load: str) -> list[str]:
    """What the plan leaves out where the inner thread is not that of a screw that clamps."""
    found, use = [], use_of(inner)
    if use:
        left_out = "a tube breaks before a solid screw" if inner.system in HOLLOW else "wear is not judged"
        found.append(
            f"{inner.designation} {use}: no clamp load and no torque is given. The bush is held to {load}; "
            f"{left_out}."
        )
    if inner.system in PIPE_THREADS:
        found.append(
            f"{inner.designation} joins pipes: whether the bush seals is not judged here. No verdict holds "
            "for pressure, steam, air or gas."
        )
    if inner.taper:
        found.append(
            f"{inner.designation} tapers: wall and drills are worked as if it were parallel; ream and tap it "
            "to its taper, and try the fitting before the bush is parted off."
        )
    return found


def _of_the_drawer(drawer: Drawer, pick: Candidate) -> list[str]:
    """What the drawer lacks for the pick."""
    found = []
    if drawer.lacks_bottoming_tap(pick.thread):
        found.append(
            f"The drawer has no bottoming tap {pick.name}: a blind hole wants the longer lead "
            "of its taps below the bush as well."
        )
    least, greatest = pick.sizes.hole_least_minor, pick.sizes.hole_greatest_minor
    if drawer.drills and drawer.drill_between(least, greatest) is None:
        found.append(f"No drill of the drawer lies between {least:.2f} and {greatest:.2f} mm: bore the hole.")
    return found


def _limits_basis(thread: Thread) -> list[str]:
    """Bases of a thread's usual limits that a plan must name."""
    usual = [row for row in thread.all_limits if row.tolerance_class == thread.default_classes[row.side]]
    return sorted({str(row.basis) for row in usual} & {"from memory", "estimated"})


def assumptions(case: Case, pick: Candidate) -> tuple[str, ...]:
    """What the plan takes for granted: strengths, lost thread, limits that no standard gives."""

    def stated(label: str, name: str, tensile: float | None, note: str) -> str:
        strength = "no strength assumed" if tensile is None else f"{tensile:.0f} MPa tensile, low end"
        return f"{label}: {name}, {strength}{f' ({note})' if note else ''}"

    grade_MPa = case.grade.tensile_MPa(major_mm(case.inner))
    lines = [
        stated("Parent", case.parent.name, case.parent.tensile, case.parent.note),
        stated("Bush", case.bush.name, case.bush.tensile, case.bush.note),
        f"Screw: {case.grade.name}, {grade_MPa:.0f} MPa tensile ({case.grade.source.document})",
        f"{judgement.LOST_PITCHES:g} pitches of each length carry nothing: chamfers and countersinks.",
    ]
    for thread, sizes in ((pick.thread, pick.sizes), (case.inner, case.inner_sizes)):
        lines += [f"Limits of {thread.designation}: {basis}." for basis in _limits_basis(thread)]
        if sizes.estimated:
            lines.append(f"Estimated for {thread.designation}: {', '.join(sizes.estimated)}.")
    if case.edge_mm is None:
        lines.append("Edge distance not given: not checked.")
    if math.isinf(case.spare_below_mm) and not case.through:
        room = room_below(pick.thread, hole_minor_mm=pick.sizes.hole_least_minor)
        where = "The blind hole" if case.through is False else "If the hole is blind, it"
        lines.append(
            f"{where} has {room:.1f} mm of room below the bush for tap lead, chips and drill point; give the "
            "floor to have it checked."
        )
    return tuple(lines)


def alternatives(case: Case, pick: Candidate, looked_at: Sequence[Candidate]) -> tuple[Alternative, ...]:
    """List the other threads near the pick: those with a tap at hand, and the best special ones."""
    largest = _SHOWN_ABOVE * pick.major_mm
    ordered = least_metal_first(one for one in looked_at if one is not pick)
    at_hand = [
        one
        for one in ordered
        if one.tap == "drawer" or (one.tap == "usual" and one.wall_mm > 0 and one.major_mm <= largest)
    ]
    special = [one for one in ordered if one.tap == "special" and one.refused_by is None]
    return tuple(
        _alternative(case, pick, one) for one in least_metal_first([*at_hand, *special[:_SHOWN_SPECIAL]])
    )


def _alternative(case: Case, pick: Candidate, one: Candidate) -> Alternative:
    loses = None if one.refused_by is not None else "; ".join(_loses_by(case, pick, one))
    return Alternative(
        designation=one.name,
        wall_mm=one.wall_mm,
        margin=one.margin,
        refused_because=one.refused_because,
        loses_by=loses,
        relief=relief(case, one),
    )


def _loses_by(case: Case, pick: Candidate, one: Candidate) -> list[str]:
    reasons = []
    if one.tap == "special" and pick.tap != "special":
        reasons.append("needs a special tap")
    if one.edge_short is not None and pick.edge_short is None:
        reasons.append(one.edge_short)
    if pick.carries and not one.carries:
        name = _LOAD_NAMES[one.loads.weakest_strip]
        reasons.append(f"{name} strips at {one.loads.least_strip:.1f} kN, {case.required_kN:.1f} kN wanted")
    more = one.major_mm - pick.major_mm
    if more > 0.0005:
        reasons.append(f"takes {more:.2f} mm more on the diameter")
    if one.other_hand and not pick.other_hand:
        reasons.append("is not of the screw's hand")
    if not reasons and f"{one.margin:.3f}" == f"{pick.margin:.3f}":
        reasons.append(f"wall {one.wall_mm:.3f} mm against {pick.wall_mm:.3f} mm")
    if not reasons or (one.margin < pick.margin and not pick.carries):
        reasons.append(f"margin {one.margin:.3f} against {pick.margin:.3f}")
    return reasons
