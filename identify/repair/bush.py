"""Recommend the outer thread of a bush for a stripped hole."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, overload

from threadwright import judgement
from threadwright.repair.candidates import (
    Candidate,
    Case,
    boss_ratio,
    evaluate,
    least_metal_first,
    major_mm,
    named,
    outer_threads,
    strongest,
)
from threadwright.repair.cautions import cautions_for
from threadwright.repair.corrected import corrected_loads
from threadwright.repair.hole import Surroundings
from threadwright.repair.outer import outer_work
from threadwright.repair.pareto import view
from threadwright.repair.plan import Bush, BushPlan, OuterThread
from threadwright.repair.reasons import alternatives, assumptions, own_cautions, verdict
from threadwright.repair.refusal import why_none
from threadwright.repair.spigot import spigot_fault
from threadwright.repair.strength import boss_hoop_stress, screw_stress_area
from threadwright.repair.torque import clamp_torque
from threadwright.repair.wall import WorstSizes, least_wall, worst_sizes
from threadwright.tables.errors import JobError
from threadwright.tables.materials import find_material
from threadwright.tables.registry import find_thread
from threadwright.tables.screw_grades import find_grade
from threadwright.uses import use_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.drawer import Drawer
    from threadwright.tables.thread import Thread

__all__ = ["case_for", "choose", "recommend_bush"]


def recommend_bush(
    inner: Thread | str,
    *,
    parent: str,
    depth_mm: float,
    boss_mm: float | None = None,
    edge_mm: float | None = None,
    bolt_grade: str = "unmarked",
    clamp_kN: float | None = None,
    bush_material: str = "free-cutting steel",
    drawer: Drawer | None = None,
    part: str | None = None,
    next_hole_mm: float | None = None,
    floor_mm: float | None = None,
    beyond: str = "nothing",
    temperature_C: float | None = None,
    collar_mm: float | None = None,
    collar_diameter_mm: float | None = None,
    spigot_mm: float | None = None,
    outer_hand: str | None = None,
    through: bool | None = None,
    state: str = "stripped",
    off_by_mm: float | None = None,
) -> BushPlan:
    """Recommend the outer thread of a bush that gives a stripped hole its thread back.

    Threads are kept whose wall, edge distance and depth meet the rules. Of those with a usual tap
    whose strips carry 1.25 times the load, the one that removes least metal is picked, at equal
    diameter the one with the greater margin; if none carries the load, the strongest.

    Parameters
    ----------
    inner : Thread or str
        Inner thread of the bush.
    parent : str
        Metal of the part.
    depth_mm : float
        Depth the bush may fill, from the face. [mm]
    boss_mm : float, optional
        Outside diameter of a round boss about the hole. [mm]
    edge_mm : float, optional
        Hole's centre to the nearest edge. [mm]
    bolt_grade : str, optional
        Grade of the screw.
    clamp_kN : float, optional
        Clamp load asked for, instead of the screw's breaking load. [kN]
    bush_material : str, optional
        Metal of the bush.
    drawer : Drawer, optional
        Only threads whose tap lies in it.
    part : str, optional
        What the part is called; some uses get no verdict.
    next_hole_mm : float, optional
        Centre to centre of the next hole. [mm]
    floor_mm : float, optional
        Metal below the depth of a blind hole; tap lead, chips and drill point must find room in it. [mm]
    beyond : str, optional
        What lies beyond that floor.
    temperature_C : float, optional
        Service temperature. [deg C]
    collar_mm : float, optional
        Length of a collar at the face; the threads begin below it. [mm]
    collar_diameter_mm : float, optional
        Its diameter, where a counterbore or the mating part fixes it. [mm]
    spigot_mm : float, optional
        Outside diameter of a locating spigot that the screw goes through. [mm]
    outer_hand : {"right", "left"}, optional
        Hand of the outer thread; left out, what there is a tap for, at equal diameter the screw's.
    through : bool, optional
        Whether the hole goes through.
    state : str
        State of the hole; off position or out of square, it is bored true and must be cleaned up.
    off_by_mm : float, optional
        How far it stands from where it belongs. [mm]

    Returns
    -------
    BushPlan
        The bush, its loads, and what the other threads lose by.

    Raises
    ------
    JobError
        If a size makes no sense, or no thread leaves wall, edge and depth enough.
    MaterialError
        If a metal or grade is unknown, or bushes are not made of the metal.
    DesignationError, UnknownThreadError
        If the inner thread cannot be read or found.

    Examples
    --------
    >>> plan = recommend_bush("M8x1.25", parent="cast aluminium", depth_mm=25.0, boss_mm=40.0)
    >>> plan.bush.outer_thread.designation, round(plan.bush.wall_mm, 3), plan.loads.limited_by
    ('M12x1.5', 0.795, 'screw')
    """
    thread = find_thread(inner) if isinstance(inner, str) else inner
    hole = Surroundings(
        depth_mm=_positive("depth", depth_mm),
        boss_mm=_positive("boss", boss_mm),
        edge_mm=_positive("edge", edge_mm),
        next_hole_mm=_positive("next hole", next_hole_mm),
        floor_mm=_positive("floor", floor_mm),
        spigot_mm=_positive("spigot", spigot_mm),
        temperature_C=temperature_C,
        beyond=beyond,
        through=through,
        state=state,
        off_by_mm=_positive("off by", off_by_mm),
    )
    case = case_for(
        thread,
        hole,
        parent=parent,
        bush_material=bush_material,
        bolt_grade=bolt_grade,
        clamp_kN=clamp_kN,
        collar_mm=collar_mm,
        collar_diameter_mm=collar_diameter_mm,
        outer_hand=outer_hand,
    )
    if spigot_mm is not None:
        fault = spigot_fault(spigot_mm, screw=thread)
        if fault is not None:
            raise JobError(fault)
    pick, looked_at = choose(case, drawer=drawer, boss_mm=boss_mm)
    return _plan(case, pick, looked_at, hole=hole, drawer=drawer, part=part)


def choose(
    case: Case, *, drawer: Drawer | None, boss_mm: float | None = None
) -> tuple[Candidate, list[Candidate]]:
    """Pick the outer thread for one case, beside all that were looked at.

    Raises
    ------
    JobError
        If no thread leaves wall, edge and depth enough; the message says what binds and what relieves it.
    """
    looked_at = [
        evaluate(case, outer, tap, by_die=drawer is not None and drawer.has_die(outer))
        for outer, tap in outer_threads(case.inner_sizes, drawer, hand=case.outer_hand)
    ]
    pick = None if case.too_shallow else _pick(looked_at)
    if pick is None:
        raise JobError(why_none(case, looked_at, boss_mm, drawer))
    return pick, looked_at


@overload
def _positive(name: str, value: float) -> float: ...
@overload
def _positive(name: str, value: float | None) -> float | None: ...
def _positive(name: str, value: float | None) -> float | None:
    if value is not None and not (math.isfinite(value) and value > 0):
        raise JobError(f"{name}: {value} is not a size; write it like 25.0, above 0")
    return value


def case_for(
    inner: Thread,
    hole: Surroundings,
    *,
    parent: str,
    bush_material: str,
    bolt_grade: str,
    clamp_kN: float | None,
    collar_mm: float | None = None,
    collar_diameter_mm: float | None = None,
    outer_hand: str | None = None,
) -> Case:
    """Put hole, metals and load together for one inner thread.

    Raises
    ------
    JobError
        If the thread has flanks of two angles, the collar leaves no depth, or the clamp load is beyond the
        screw.
    MaterialError
        If a metal or grade is unknown.
    """
    _positive("clamp", clamp_kN)
    _positive("collar", collar_mm)
    _positive("collar diameter", collar_diameter_mm)
    if not inner.form.symmetric:
        raise JobError(
            f"inner thread: {inner.designation} has flanks of two angles; a bush takes a fastening thread"
        )
    bush, grade = find_material(bush_material), find_grade(bolt_grade)
    breaking = grade.tensile_MPa(major_mm(inner)) * screw_stress_area(inner) / 1000
    solid = "at which a solid screw breaks" if use_of(inner) else "at which the screw breaks"
    if clamp_kN is not None and clamp_kN > judgement.CLAMP_SHARE * breaking:
        raise JobError(
            f"clamp: {clamp_kN:g} kN is more than {judgement.CLAMP_SHARE:g} of the {breaking:.1f} kN at "
            f"which a screw {inner.designation} ({grade.name}) breaks; ask for at most "
            f"{math.floor(100 * judgement.CLAMP_SHARE * breaking) / 100:g} kN or name a stronger grade"
        )
    return Case(
        inner=inner,
        inner_sizes=worst_sizes(inner),
        parent=find_material(parent),
        bush=bush,
        grade=grade,
        depth_mm=hole.depth_mm,
        edge_mm=hole.nearest_edge_mm,
        least_wall_mm=least_wall(bush, inner_pitch_mm=inner.pitch_mm),
        load_kN=breaking if clamp_kN is None else clamp_kN,
        load_name=solid if clamp_kN is None else "asked for",
        next_hole_mm=hole.next_hole_mm,
        spare_below_mm=hole.spare_below_mm,
        collar_mm=collar_mm or 0.0,
        collar_diameter_mm=collar_diameter_mm,
        outer_hand=outer_hand,
        through=hole.through,
        clean_up_mm=_clean_up(inner, hole),
    )


def _clean_up(inner: Thread, hole: Surroundings) -> float | None:
    """Bore set true that leaves nothing of a hole that stands wrong; None where it stands right. [mm]"""
    if hole.state not in ("off position", "out of square"):
        return None
    return max(worst_sizes(inner).hole_greatest_major, hole.bore_mm or 0.0) + 2 * (hole.off_by_mm or 0.0)


def _pick(looked_at: Sequence[Candidate]) -> Candidate | None:
    """Choose: usual taps before special ones, full edge distance before a short one, carrying before not."""
    kept = [one for one in looked_at if one.refused_by is None]
    for special in (False, True):
        for short in (False, True):
            pool = [
                one for one in kept if (one.tap == "special", one.edge_short is not None) == (special, short)
            ]
            carrying = [one for one in pool if one.carries]
            if carrying:
                return least_metal_first(carrying)[0]
            if pool:
                return strongest(pool)
    return None


def _plan(
    case: Case,
    pick: Candidate,
    looked_at: Sequence[Candidate],
    *,
    hole: Surroundings,
    drawer: Drawer | None,
    part: str | None,
) -> BushPlan:
    given, because = verdict(case, pick, part, hole.beyond)
    clamp = (
        None
        if given == "no verdict" or not case.clamps
        else judgement.CLAMP_SHARE * min(pick.loads.screw, pick.loads.least_strip)
    )
    asked = None
    if clamp is not None and case.load_name == "asked for":
        asked = clamp_torque(min(case.load_kN, clamp), diameter_mm=major_mm(case.inner))
    hoop = _hoop(case, pick)
    corrected = corrected_loads(case, pick)
    return BushPlan(
        inner_thread=named(case.inner),
        parent=case.parent.name,
        grade=case.grade.name,
        depth_mm=case.depth_mm,
        edge_mm=case.edge_mm,
        bush=_bush(case, pick, drawer),
        loads=pick.loads,
        required_strip_kN=case.required_kN,
        margin=pick.margin,
        verdict=given,
        because=because,
        allowed_clamp_kN=clamp,
        boss_hoop_MPa=hoop,
        alternatives=alternatives(case, pick, looked_at),
        assumptions=assumptions(case, pick),
        cautions=cautions_for(
            parent=case.parent,
            bush=case.bush,
            grade=case.grade,
            part=part,
            beyond=hole.beyond,
            temperature_C=hole.temperature_C,
            through=hole.through,
            also=own_cautions(case, pick, hoop, corrected, drawer),
        ),
        work=outer_work(case, pick),
        corrected=corrected,
        torque=None if clamp is None else clamp_torque(clamp, diameter_mm=major_mm(case.inner)),
        torque_asked=asked,
        front=view(pick, looked_at),
    )


def _drill(sizes: WorstSizes, drawer: Drawer | None) -> float:
    """Tapping drill nearest the middle of the minor limits: the drawer's, else a round size. [mm]"""
    own = None if drawer is None else drawer.drill_between(sizes.hole_least_minor, sizes.hole_greatest_minor)
    if own is not None:
        return own
    middle = (sizes.hole_least_minor + sizes.hole_greatest_minor) / 2
    tenth = round(middle * 10) / 10
    fits = sizes.hole_least_minor <= tenth <= sizes.hole_greatest_minor
    return round(tenth, 2) if fits else round(round(middle * 20) / 20, 2)


def _bush(case: Case, pick: Candidate, drawer: Drawer | None) -> Bush:
    thread, sizes = pick.thread, pick.sizes
    die = drawer.die_name(thread) if drawer is not None and drawer.has_die(thread) else None
    by_lathe = "die or single point" if drawer is None else "single point"
    return Bush(
        outer_thread=OuterThread(
            designation=pick.name,
            system=thread.system,
            nominal_major_mm=thread.nominal_major_mm,
            major_mm=pick.major_mm,
            pitch_mm=thread.pitch_mm,
            thread_angle_deg=thread.form.thread_angle,
            least_root_mm=sizes.screw_least_root,
            tapping_drill_mm=_drill(sizes, drawer),
            hole_minor_mm=(sizes.hole_least_minor, sizes.hole_greatest_minor),
            tap=pick.tap,
            cut_by=by_lathe if die is None else f"{die} from the drawer",
            left_hand=thread.left_hand,
            estimated=sizes.estimated,
        ),
        wall_mm=pick.wall_mm,
        least_wall_mm=case.least_wall_mm,
        length_mm=pick.length_mm,
        outer_engaged_mm=pick.engaged_mm,
        inner_engaged_mm=pick.inner_engaged_mm,
        material=case.bush.name,
        inner_greatest_major_mm=case.inner_sizes.hole_greatest_major,
        inner_tapping_drill_mm=_drill(case.inner_sizes, drawer),
    )


def _hoop(case: Case, pick: Candidate) -> float | None:
    ratio = boss_ratio(case, pick.thread)
    if math.isinf(ratio):
        return None
    return boss_hoop_stress(
        load_kN=case.load_kN,
        pitch_diameter_mm=pick.thread.pitch_diameter_basic * pick.thread.to_mm,
        length_mm=pick.engaged_mm,
        flank_angle=pick.thread.form.flank_angle,
        boss_over_major=ratio,
    )
