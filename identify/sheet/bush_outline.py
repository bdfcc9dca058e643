"""Outlines of a bush in a plane through its axis: outside, inside, and the metal that a section cuts."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from threadwright.sheet.drawing import BushDrawing
    from threadwright.sheet.frame import Profile

__all__ = ["POINT_ANGLE", "inside", "metal", "outside", "pocket", "radius_at"]

POINT_ANGLE: Final = 59.0
"""Half of the usual point angle of a drill, 118 degrees."""


def outside(bush: BushDrawing) -> Profile:
    """Outside of the bush from its face to its lower end: place and radius."""
    at, found = 0.0, []
    for step in (bush.spigot, bush.collar):
        if step is not None:
            radius = step.diameter.nominal / 2
            found += [(at, radius), (at + step.length.nominal, radius)]
            at += step.length.nominal
    if bush.undercut is not None:
        radius = bush.undercut.diameter.nominal / 2
        found += [(at, radius), (at + bush.undercut.width.nominal, radius)]
        at += bush.undercut.width.nominal
    end, radius = bush.thread_end, bush.outer.major / 2
    found += [(at, radius), (end - bush.chamfer, radius)]
    if bush.chamfer:
        found.append((end, radius - bush.chamfer))
    if bush.pilot is not None:
        radius = bush.pilot.diameter.nominal / 2
        found += [(end, radius), (bush.length.nominal, radius)]
    if bush.face_chamfer:
        first = found[0][1]
        found[0] = (bush.face_chamfer, first)
        found.insert(0, (0.0, first - bush.face_chamfer))
    return found


def inside(bush: BushDrawing) -> Profile:
    """Inside of the bush from its face to its lower end; a blind bore ends where its thread does."""
    minor, end = bush.inner.minor / 2, bush.length.nominal
    sink = 0.0 if bush.countersink is None else bush.countersink.nominal / 2 - minor
    start = bush.inner_start
    found: Profile = []
    mouth = sink
    if bush.bore is not None:
        radius = bush.bore.diameter.nominal / 2
        mouth = min(sink, radius - minor)
        found += [(0.0, radius), (start, radius)]
    if mouth > 0:
        found += [(start, minor + mouth), (start + mouth, minor)]
    else:
        found.append((start, minor))
    if bush.pilot is not None:
        return [*found, (end, minor)]
    if bush.inner_depth is not None:
        return [*found, (bush.inner_depth.nominal, minor)]
    if sink > 0:
        return [*found, (end - sink, minor), (end, minor + sink)]
    return [*found, (end, minor)]


def radius_at(profile: Profile, along: float) -> float:
    """Radius of a profile at a place, the larger one where it steps.

    Examples
    --------
    >>> radius_at([(0.0, 5.0), (2.0, 5.0), (2.0, 7.0), (4.0, 7.0)], 2.0)
    7.0
    """
    near = [max(r, s) for (a, r), (b, s) in pairwise(profile) if a - 1e-9 <= along <= b + 1e-9]
    return max(near, default=profile[-1][1])


def _after(profile: Profile, along: float) -> Profile:
    """A profile from a place on."""
    return [(along, radius_at(profile, along)), *(point for point in profile if point[0] > along)]


def pocket(bush: BushDrawing) -> Profile:
    """The upper of two spanner holes with its drill point, from the axis outward; else nothing."""
    driving = bush.driving
    if driving is None or driving.spacing is None:
        return []
    half, middle = driving.width.nominal / 2, driving.spacing / 2
    face, bottom = driving.at, driving.at + driving.depth.nominal
    tip = bottom + half / math.tan(math.radians(POINT_ANGLE))
    return [
        (face, middle - half),
        (bottom, middle - half),
        (tip, middle),
        (bottom, middle + half),
        (face, middle + half),
    ]


def metal(bush: BushDrawing) -> Profile:
    """What the section above the axis cuts, as a closed outline: slot and holes are open."""
    outer, inner, end = outside(bush), inside(bush), bush.length.nominal
    if inner[-1][0] < end:
        inner = [*inner, (inner[-1][0], 0.0), (end, 0.0)]
    driving = bush.driving
    if driving is not None and driving.kind == "slot":
        bottom = driving.at + driving.depth.nominal
        return [*_after(outer, bottom), *reversed(_after(inner, bottom))]
    hole = pocket(bush)
    if not hole:
        return [*outer, *reversed(inner)]
    face = hole[0][0]
    before = [point for point in outer if point[0] < face]
    if not before:
        return [*outer, *reversed(inner), *hole]
    inner_edge = [point for point in outer if point[0] == face][:1]
    return [*before, *inner_edge, *hole, *outer[len(before) + 1 :], *reversed(inner)]
