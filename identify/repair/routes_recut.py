"""Routes that cut another thread or none in the part: stepped stud, wire insert, through bolt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.engagement import external_shear_area
from threadwright.repair.candidates import Tap, engaged_length, lengths, major_mm, named, outer_threads
from threadwright.repair.route import Route, Site
from threadwright.repair.spigot import clearance_basis
from threadwright.repair.wall import WorstSizes, worst_sizes
from threadwright.tables.inserts import INSERT_LENGTHS, insert_depths, insert_hole
from threadwright.uses import use_of

if TYPE_CHECKING:
    from threadwright.tables.thread import Thread

__all__ = ["stepped_stud", "through_bolt", "wire_insert"]

_WRONG = "it follows the old hole, which is not where it belongs"


def _stud_thread(site: Site) -> tuple[Thread, WorstSizes] | None:
    """The smallest thread with a tap at hand whose hole cleans up the old thread."""
    bore = max(site.bore, site.major)
    found: list[tuple[float, float, Thread, WorstSizes]] = []
    for thread, tap in outer_threads(site.case.inner_sizes, site.drawer):
        if not _at_hand(tap):
            continue
        sizes = worst_sizes(thread)
        if sizes.hole_least_minor >= bore:
            found.append((round(major_mm(thread), 4), -thread.pitch_mm, thread, sizes))
    if not found:
        return None
    best = min(found, key=lambda row: (row[0], row[1], row[2].designation))
    return best[2], best[3]


def _at_hand(tap: Tap) -> bool:
    return tap != "special"


def stepped_stud(site: Site) -> Route:
    """Re-cut the hole oversize, and turn a stud with the new thread below and the old one above."""
    key, name = "stepped stud", "re-cut oversize, with a stepped stud"
    case = site.case
    found = _stud_thread(site)
    if not case.clamps:
        why = f"{case.inner.designation} {use_of(case.inner)}: no stud takes its place"
        return site.refuse(key, name, why)
    if site.wrong_place:
        return site.refuse(key, name, _WRONG)
    if found is None:
        return site.refuse(key, name, "no tap at hand cleans up the old thread")
    thread, sizes = found
    outer = major_mm(thread)
    because = site.too_near(outer) or site.seat_lost(outer)
    depth, length, _ = lengths(case, thread, sizes)
    if because is None and length < judgement.LEAST_FULL_THREADS * thread.pitch_mm - 1e-9:
        because = f"depth {case.depth_mm:.1f} mm leaves too few full threads of {thread.designation}"
    if because is not None:
        return site.refuse(key, name, because)
    parent = site.parent_strip(
        length_mm=length,
        pitch_mm=thread.pitch_mm,
        flank_angle=thread.form.flank_angle,
        external_major_mm=sizes.screw_least_major,
        pitch_diameter_mm=sizes.hole_greatest_pitch_diameter,
    )
    area = external_shear_area(
        length=length,
        pitch=thread.pitch_mm,
        internal_minor=sizes.hole_greatest_minor,
        external_pitch_diameter=sizes.screw_least_pitch_diameter,
        flank_angle=thread.form.flank_angle,
    )
    stud = judgement.SCREW_SHEAR_RATIO * case.grade.tensile_MPa(site.major) * float(area) / 1000
    strip = None if parent is None else min(parent, stud)
    holds, clamp, verdict = site.verdict(strip)
    return Route(
        key=key,
        name=name,
        sentence=(
            f"A stud {thread.designation} below and {named(case.inner)} above, of steel as strong as "
            f"the screw, with a nut: {verdict}."
        ),
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        metal_mm3=site.removed(outer, depth),
        tools=(f"tap {thread.designation}", "lathe", "nut"),
        numbers=(
            ("outer_major_mm", outer),
            ("engaged_mm", length),
            ("hole_minor_mm", sizes.hole_least_minor),
        ),
    )


def _insert_length(site: Site) -> float | None:
    """The longest usual insert that thread and drilling depth allow. [mm]"""
    hole = site.hole
    for share in reversed(INSERT_LENGTHS):
        length = share * site.major
        full, drilled = insert_depths(site.case.inner, length, bottoming=True)
        if full <= hole.depth_mm + 1e-9 and drilled <= hole.depth_mm + hole.spare_below_mm + 1e-9:
            return length
    return None


def wire_insert(site: Site) -> Route:
    """Tap for a wire thread insert of the old thread."""
    key, name = "wire insert", "wire thread insert"
    if site.case.no_wire is not None:
        return site.refuse(key, name, site.case.no_wire)
    inner, sizes = site.case.inner, site.case.inner_sizes
    tapped = insert_hole(inner)
    major, pitch_diameter, minor = (inner.to_mm * size for size in tapped[:3])
    length = _insert_length(site)
    because = _WRONG if site.wrong_place else site.seat_lost(major) or site.too_near(major)
    if because is None and length is None:
        wanted, _ = insert_depths(inner, INSERT_LENGTHS[0] * site.major)
        because = f"the shortest wants {wanted:.1f} mm of full thread and room for the tap below it"
    if because is not None or length is None:
        return site.refuse(key, name, because or "")
    pitch = inner.pitch_mm
    engaged = engaged_length(length, pitch_mm=pitch)
    spread = sizes.hole_greatest_pitch_diameter - inner.pitch_diameter_basic * inner.to_mm
    strip = site.parent_strip(
        length_mm=engaged,
        pitch_mm=pitch,
        flank_angle=inner.form.flank_angle,
        external_major_mm=major,
        pitch_diameter_mm=pitch_diameter + spread,
    )
    holds, clamp, verdict = site.verdict(strip)
    (full, drilled), (_, bottoming) = (insert_depths(inner, length, bottoming=by) for by in (False, True))
    estimated = tapped.basis == "estimated"
    trade = " (sizes estimated: such wire is a trade item, go by its own tap)" if estimated else ""
    return Route(
        key=key,
        name=name,
        sentence=(
            f"Drill {minor:.2f} mm or a little over, tap {major:.2f} mm at the old pitch"
            f"{trade}, insert {length:.1f} mm long, set 0.75 to 1.5 pitches below the face: {verdict}."
        ),
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        metal_mm3=site.removed(major, full),
        tools=("insert tap", "inserting tool", "inserts"),
        numbers=(
            ("hole_major_mm", major),
            ("hole_pitch_diameter_mm", pitch_diameter),
            ("hole_minor_mm", minor),
            ("length_mm", length),
            ("thread_depth_mm", full),
            ("drilling_depth_plug_tap_mm", drilled),
            ("drilling_depth_bottoming_tap_mm", bottoming),
        ),
    )


def through_bolt(site: Site) -> Route:
    """Drill clear through, and hold with a bolt and nut."""
    key, name = "through bolt", "through bolt and nut"
    hole = site.hole
    if hole.through is not True or hole.far_side is not True:
        reason = "the hole is blind" if hole.through is False else "nothing says that a nut can be reached"
        if hole.through and hole.far_side is False:
            reason = "the far side cannot be reached"
        return site.refuse(key, name, reason)
    if not site.case.clamps:
        why = f"{site.case.inner.designation} {use_of(site.case.inner)}: no bolt takes its place"
        return site.refuse(key, name, why)
    clear = site.clearance
    because = site.seat_lost(clear) or site.too_near(clear)
    if because is not None:
        return site.refuse(key, name, because)
    basis = clearance_basis(site.case.inner)
    # A nut of the bolt's own grade carries the bolt's breaking load by its standard.
    screw = site.case.grade.tensile_MPa(site.major) * site.screw_area / 1000
    holds = None if site.unjudged else True
    clamp = None if site.unjudged else judgement.CLAMP_SHARE * screw
    words = "no verdict is given" if clamp is None else f"it holds; clamp with at most {clamp:.1f} kN"
    return Route(
        key=key,
        name=name,
        sentence=f"Drill {clear:.1f} mm through ({basis}), bolt and nut of one grade with a washer: {words}.",
        holds=holds,
        clamp_kN=clamp,
        diameter_mm=site.major,
        metal_mm3=site.removed(clear, hole.depth_mm),
        tools=("bolt, nut and washer",),
        numbers=(("clearance_mm", clear),),
    )
