"""Routes that keep the old thread: leave it, chase it, a longer screw."""

from __future__ import annotations

from threadwright import judgement
from threadwright.engagement import external_shear_area, overlap
from threadwright.repair.candidates import engaged_length, named
from threadwright.repair.route import Route, Site

__all__ = ["chase", "leave_it", "longer_screw"]

_WRONG = "it would keep the hole where it is"


def _share(site: Site, bore_mm: float) -> tuple[float, float]:
    """Overlap left at the worst screw, and its share of the full depth of the form. [mm, -]"""
    inner = site.case.inner
    left = float(overlap(external_major=site.case.inner_sizes.screw_least_major, internal_minor=bore_mm))
    return left, min(left / (inner.form.depth_over_pitch * inner.pitch_mm), 1.0)


def _reach(site: Site) -> float:
    """Length of thread that the screw at hand reaches. [mm]"""
    hole = site.hole
    if hole.screw_length_mm is None:
        return hole.depth_mm
    return min(hole.depth_mm, max(hole.screw_length_mm - (hole.mating_thickness_mm or 0.0), 0.0))


def _worn_strip(site: Site, *, bore_mm: float, share: float, length_mm: float) -> float | None:
    """Strip load of a worn thread: the parent's in proportion to the overlap, or the screw's. [kN]"""
    case = site.case
    full = _full_strip(site, length_mm=length_mm)
    if full is None:
        return None
    area = external_shear_area(
        length=length_mm,
        pitch=case.inner.pitch_mm,
        internal_minor=bore_mm,
        external_pitch_diameter=case.inner_sizes.screw_least_pitch_diameter,
        flank_angle=case.inner.form.flank_angle,
    )
    screw = judgement.SCREW_SHEAR_RATIO * case.grade.tensile_MPa(site.major) * float(area) / 1000
    return min(share * full, screw)


def _full_strip(site: Site, *, length_mm: float) -> float | None:
    sizes, inner = site.case.inner_sizes, site.case.inner
    return site.parent_strip(
        length_mm=length_mm,
        pitch_mm=inner.pitch_mm,
        flank_angle=inner.form.flank_angle,
        external_major_mm=sizes.screw_least_major,
        pitch_diameter_mm=sizes.hole_greatest_pitch_diameter,
    )


def _worn(site: Site, key: str, name: str, words: str, least: float, tools: tuple[str, ...]) -> Route:
    """A route on what is left of the thread."""
    bore = site.hole.bore_mm
    if bore is None:
        return site.refuse(key, name, "measure the bore over what is left of the thread first")
    left, share = _share(site, bore)
    if share < least:
        return site.refuse(
            key, name, f"{100 * share:.0f} % of the thread's depth is left, {100 * least:.0f} % wanted"
        )
    length = engaged_length(_reach(site), pitch_mm=site.case.inner.pitch_mm)
    strip = _worn_strip(site, bore_mm=bore, share=share, length_mm=length)
    holds, clamp, verdict = site.verdict(strip)
    about = "" if strip is None else f", which strips at about {strip:.1f} kN (estimated from the overlap)"
    return Route(
        key=key,
        name=name,
        sentence=f"{words} {left:.2f} mm of overlap, {100 * share:.0f} % of the depth{about}: {verdict}.",
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        tools=tools,
        reversible="nothing is changed" if not tools else "can be repaired again",
        numbers=(("overlap_mm", left), ("share_of_depth", share), ("engaged_mm", length)),
    )


def leave_it(site: Site) -> Route:
    """Leave the thread as it is, if overlap and strength left are enough."""
    key, name = "leave", "leave it as it is"
    if site.wrong_place or site.hole.state == "broken screw":
        because = _WRONG if site.wrong_place else "a broken screw stands in the hole"
        return site.refuse(key, name, because)
    return _worn(site, key, name, "There is", judgement.LEAVE_SHARE, ())


def chase(site: Site) -> Route:
    """Clean the thread with a tap of the same size."""
    key, name = "chase", "chase with a tap of the same thread"
    if site.wrong_place:
        return site.refuse(key, name, _WRONG)
    if site.hole.state == "broken screw":
        return site.refuse(key, name, "see what thread is left once the broken screw is out")
    if site.hole.state == "stripped":
        return site.refuse(key, name, "a stripped thread has no metal left for a tap of the same size")
    tools = (f"tap {named(site.case.inner)}",)
    return _worn(site, key, name, "The tap leaves", judgement.CHASE_SHARE, tools)


def longer_screw(site: Site) -> Route:
    """Reach sound thread below the stripped one."""
    key, name = "longer screw", "longer screw into sound thread"
    hole, inner = site.hole, site.case.inner
    if site.wrong_place:
        return site.refuse(key, name, _WRONG)
    if hole.screw_length_mm is None or hole.mating_thickness_mm is None:
        return site.refuse(
            key, name, "give the screw's length and the mating part's thickness to know what lies below it"
        )
    sound = hole.depth_mm - _reach(site)
    length = engaged_length(sound, pitch_mm=inner.pitch_mm)
    if length < judgement.LEAST_FULL_THREADS * inner.pitch_mm:
        return site.refuse(key, name, f"{sound:.1f} mm of unused thread lies below the old screw, too little")
    strip = _full_strip(site, length_mm=length)
    holds, clamp, verdict = site.verdict(strip)
    screw = hole.depth_mm + hole.mating_thickness_mm
    return Route(
        key=key,
        name=name,
        sentence=(
            f"A screw up to {screw:.1f} mm long reaches {sound:.1f} mm of thread the old one never used, if "
            f"it is tapped that deep: {verdict}."
        ),
        holds=holds,
        strip_kN=strip,
        clamp_kN=clamp,
        diameter_mm=site.major,
        tools=("longer screw",),
        reversible="nothing is changed",
        numbers=(("greatest_screw_length_mm", screw), ("sound_mm", sound), ("engaged_mm", length)),
    )
