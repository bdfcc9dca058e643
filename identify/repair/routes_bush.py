"""Routes with a turned part: plain bush, collar and spigot, ring dowel, flange from behind, plug."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.bush import choose
from threadwright.repair.candidates import evaluate, named
from threadwright.repair.register import collar_diameter
from threadwright.repair.route import Route, Site
from threadwright.repair.spigot import spigot_fault
from threadwright.tables.errors import JobError

if TYPE_CHECKING:
    from threadwright.repair.candidates import Candidate, Case

__all__ = ["collar_bush", "flanged_bush", "plain_bush", "plug", "ring_dowel"]

_WRONG = "its thread follows the old hole, which is not where it belongs"


def _chosen(site: Site, case: Case) -> Candidate | str:
    """The outer thread for a case, or why there is none."""
    try:
        return choose(case, drawer=site.drawer, boss_mm=site.hole.boss_mm)[0]
    except JobError as fault:
        return str(fault)


def _made(
    site: Site,
    one: Candidate,
    key: str,
    name: str,
    words: str,
    *,
    removed_mm3: float = 0.0,
    tools: tuple[str, ...] = (),
    numbers: tuple[tuple[str, float], ...] = (),
) -> Route:
    """A route with a threaded bush."""
    strip = one.loads.least_strip if one.loads.parent_strip is not None else None
    holds, clamp, verdict = site.verdict(strip)
    tap = f"tap {one.name}{' (special)' if one.tap == 'special' else ''}"
    return Route(
        key=key,
        name=name,
        sentence=f"{words}: {verdict}.",
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        metal_mm3=site.removed(one.major_mm, one.length_mm) + removed_mm3,
        tools=(tap, "lathe", *tools),
        numbers=(
            ("outer_major_mm", one.major_mm),
            ("wall_mm", one.wall_mm),
            ("length_mm", one.length_mm),
            ("engaged_mm", one.engaged_mm),
            *numbers,
        ),
    )


def plain_bush(site: Site) -> Route:
    """A bush threaded outside and inside, flush with the face."""
    key, name = "plain bush", "plain bush"
    if site.wrong_place:
        return site.refuse(key, name, _WRONG)
    one = _chosen(site, site.case)
    if isinstance(one, str):
        return site.refuse(key, name, one)
    lost = site.seat_lost(one.major_mm)
    if lost is not None:
        return site.refuse(key, name, f"{lost}, and a thread does not locate")
    return _made(site, one, key, name, f"{one.name} outside, wall {one.wall_mm:.3f} mm, fixed in place")


def _spigot_fault(site: Site) -> str | None:
    """Whether the spigot can go round the screw."""
    spigot = site.hole.spigot_mm
    return None if spigot is None else spigot_fault(spigot, screw=site.case.inner)


def collar_bush(site: Site) -> Route:
    """A bush with a collar as register and, where the part is located there, a spigot on it."""
    hole = site.hole
    key, name = "collar bush", "bush with register collar" + (" and locating spigot" if hole.locates else "")
    fault = _spigot_fault(site)
    if fault is not None:
        return site.refuse(key, name, fault)
    length = hole.counterbore_depth_mm or judgement.COLLAR_LENGTH_MM
    one = _chosen(site, site.with_collar(length_mm=length, diameter_mm=hole.counterbore_mm))
    if isinstance(one, str):
        return site.refuse(key, name, one)
    collar = hole.counterbore_mm or collar_diameter(outer_major_mm=one.major_mm, spigot_mm=hole.spigot_mm)
    edge = hole.nearest_edge_mm
    if edge is not None and edge < collar / 2 + judgement.LEAST_FLOOR_MM:
        return site.refuse(
            key, name, f"the collar of {collar:.2f} mm breaks out of the edge at {edge:.1f} mm"
        )
    spigot = f" and a spigot of {hole.spigot_mm:g} mm" if hole.spigot_mm else ""
    words = (
        f"{one.name} outside, wall {one.wall_mm:.3f} mm, a collar of {collar:.2f} mm by "
        f"{length:g} mm as register{spigot}"
    )
    ring = math.pi / 4 * max(collar**2 - one.major_mm**2, 0.0) * length
    numbers: tuple[tuple[str, float], ...] = (("collar_mm", collar), ("collar_length_mm", length))
    if hole.spigot_mm is not None:
        numbers += (("spigot_wall_mm", (hole.spigot_mm - site.clearance) / 2),)
    return _made(
        site, one, key, name, words, removed_mm3=ring, tools=("boring tool set true",), numbers=numbers
    )


def ring_dowel(site: Site) -> Route:
    """A plain bush set below the face, and a separate ring that locates."""
    key, name = "ring dowel", "plain bush with a separate ring dowel"
    hole = site.hole
    ring = hole.spigot_mm or hole.mating_bore_mm
    if ring is None:
        return site.refuse(key, name, "nothing is located round this screw")
    fault = _WRONG if site.wrong_place else _spigot_fault(site)
    if fault is not None:
        return site.refuse(key, name, fault)
    seat = hole.counterbore_depth_mm or judgement.COLLAR_LENGTH_MM
    one = _chosen(site, replace(site.case, depth_mm=max(site.case.depth_mm - seat, 1e-9)))
    if isinstance(one, str):
        return site.refuse(key, name, one)
    wanted = one.major_mm + judgement.COLLAR_OVER_THREAD_MM
    if ring < wanted - 1e-9:
        return site.refuse(
            key,
            name,
            f"ring: {ring:g} mm across would sit in the bush {one.name}, not in the part; a "
            f"ring of {wanted:.2f} mm or more would do",
        )
    words = (
        f"{one.name} outside set {seat:g} mm below the face, wall {one.wall_mm:.3f} mm, and a "
        f"ring of {ring:g} mm in a counterbore bored from the old location, simpler to make and to true than "
        "a spigot on the bush"
    )
    metal = math.pi / 4 * max(ring**2 - site.bore**2, 0.0) * seat
    return _made(
        site,
        one,
        key,
        name,
        words,
        removed_mm3=metal,
        tools=("boring tool set true",),
        numbers=(("ring_mm", ring), ("seat_mm", seat)),
    )


def flanged_bush(site: Site) -> Route:
    """A bush put in from behind, whose flange carries the load."""
    key, name = "flanged bush", "flanged bush from behind"
    hole, case = site.hole, site.case
    if hole.through is not True or hole.far_side is not True:
        because = (
            "the hole is blind" if hole.through is False else "nothing says that the far side is reached"
        )
        return site.refuse(key, name, because)
    barrel = case.inner_sizes.hole_greatest_major + 2 * case.least_wall_mm
    lost = _WRONG if site.wrong_place else site.seat_lost(barrel)
    if lost is not None:
        return site.refuse(key, name, lost)
    shear = case.bush.shear or 0.0
    thick = max(judgement.FLANGE_THICKNESS * site.major, 1000 * case.required_kN / (shear * math.pi * barrel))
    flange = barrel + 2 * judgement.FLANGE_OVERHANG * site.major
    edge = hole.nearest_edge_mm
    if edge is not None and edge < flange / 2:
        return site.refuse(key, name, f"the flange of {flange:.1f} mm reaches over the edge at {edge:.1f} mm")
    inner = evaluate(case, case.inner, "usual").loads.bush_inner_strip
    seat = (case.parent.tensile or 0.0) * math.pi / 4 * (flange**2 - barrel**2) / 1000
    strip = None if case.parent.shear is None else min(shear * math.pi * barrel * thick / 1000, inner, seat)
    holds, clamp, verdict = site.verdict(strip)
    return Route(
        key=key,
        name=name,
        sentence=(
            f"A plain barrel of {barrel:.2f} mm with a flange of {flange:.1f} mm by {thick:.1f} mm behind, "
            f"pressed to the part by the screw itself: {verdict}."
        ),
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        metal_mm3=site.removed(barrel, hole.depth_mm),
        tools=("lathe", "drill or reamer"),
        numbers=(("barrel_mm", barrel), ("flange_mm", flange), ("flange_thickness_mm", thick)),
    )


def plug(site: Site) -> Route:
    """Plug the hole and tap it again, also where it belongs."""
    key, name = "plug", "plug and re-tap"
    hole, case = site.hole, site.case
    off = hole.off_by_mm or 0.0
    least = max(case.least_wall_mm, judgement.PLUG_WALL * site.major) + off
    one = _chosen(site, replace(case, least_wall_mm=least, clean_up_mm=None))
    if isinstance(one, str):
        return site.refuse(key, name, one)
    lost = site.seat_lost(one.major_mm)
    if lost is not None:
        return site.refuse(key, name, lost)
    where = f", drilled {off:g} mm over to where the hole belongs" if off else ""
    words = (
        f"A plug {one.name} fixed in place, then drilled and tapped {named(case.inner)} in the part{where}"
    )
    return _made(
        site,
        one,
        key,
        name,
        words,
        tools=(f"tap {named(case.inner)}",),
        numbers=(("moved_mm", off),),
    )
