"""Sizes of one thread at its worst limits, and the wall left between the two threads of a bush."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.engagement import end_of_straight_flank
from threadwright.tables.errors import MaterialError

if TYPE_CHECKING:
    from threadwright.tables.materials import Material
    from threadwright.tables.thread import Limits, Thread

__all__ = ["WorstSizes", "edge_distance", "least_wall", "wall", "worst_sizes"]

_ISO_LEAST_ROOT = 0.616025  # least root radius 0.125 P: d3 = d2 - 0.616025 P, ISO 965-1
_UN_LEAST_ROOT = 0.649519  # flat or radius of H/8 at the root: d2 - 3H/4, ASME B1.1
_GREATEST_MAJOR = (
    0.793857  # 11 H / 12: greatest major diameter of a 60 deg internal thread, ISO 68-1 and ASME B1.1
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstSizes:
    """Sizes of one thread that weaken it most. [mm]

    ``estimated`` names the sizes for which the standard gives no limit.
    """

    screw_least_major: float
    """Least major diameter of the external thread, at most the end of its straight flank."""
    screw_least_pitch_diameter: float
    screw_least_root: float
    hole_greatest_major: float
    hole_greatest_pitch_diameter: float
    hole_greatest_minor: float
    hole_least_minor: float
    estimated: tuple[str, ...] = ()


def _flat_sixty(thread: Thread) -> bool:
    return math.isclose(thread.form.thread_angle, 60.0) and thread.form.crest_end == "flat"


def _limits(thread: Thread, side: str) -> Limits | None:
    """Usual commercial limits of one side in mm; None if the tables hold no class for it."""
    if side == "external":
        return thread.limits("external").in_mm() if thread.classes("external") else None
    return thread.limits("internal").in_mm() if thread.classes("internal") else None


def _least_root(thread: Thread, limits: Limits | None, pitch_diameter: float) -> float:
    if _flat_sixty(thread):
        factor = _ISO_LEAST_ROOT if thread.unit == "mm" else _UN_LEAST_ROOT
        return pitch_diameter - factor * thread.pitch_mm
    if limits is not None and math.isfinite(limits.minor_min):
        return limits.minor_min
    return pitch_diameter - 2 * thread.form.dedendum * thread.pitch_mm


def _given(limits: Limits | None, name: str, instead: float, estimated: list[str], label: str) -> float:
    """Return a limit of the standard, or the value to use instead, noting that it is estimated."""
    value = math.nan if limits is None else float(getattr(limits, name))
    if math.isfinite(value):
        return value
    estimated.append(label)
    return instead


def _greatest_major(
    thread: Thread, limits: Limits | None, pitch_diameter: float, estimated: list[str]
) -> float:
    if _flat_sixty(thread):
        return pitch_diameter + _GREATEST_MAJOR * thread.pitch_mm
    if limits is not None and math.isfinite(limits.major_max):
        return limits.major_max
    estimated.append("greatest major diameter of the internal thread")
    return thread.major_basic * thread.to_mm + pitch_diameter - thread.pitch_diameter_basic * thread.to_mm


def worst_sizes(thread: Thread) -> WorstSizes:
    """Sizes of a thread at the limits that weaken it most, in its usual commercial class.

    Parameters
    ----------
    thread : Thread
        Any thread of the tables.

    Returns
    -------
    WorstSizes
        In mm; sizes without a limit in the standard are estimated and named so.

    References
    ----------
    Least root: ISO 965-1, d2 - 0.616025 P; ASME B1.1, d2 - 0.649519 P; rounded forms by their depth.
    Greatest internal major: D2 + 0.793857 P for 60 deg; elsewhere the basic major diameter plus the
    pitch diameter tolerance, estimated.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> sizes = worst_sizes(find_thread("M8x1.25"))
    >>> round(sizes.hole_greatest_major, 3), round(sizes.screw_least_root, 3)
    (8.34, 6.272)
    """
    outside, inside = _limits(thread, "external"), _limits(thread, "internal")
    pitch_diameter = thread.pitch_diameter_basic * thread.to_mm
    minor = thread.minor_basic * thread.to_mm
    estimated: list[str] = []
    crest = _given(
        outside, "major_min", thread.major_basic * thread.to_mm, estimated, "least external major diameter"
    )
    least_d2 = _given(
        outside, "pitch_diameter_min", pitch_diameter, estimated, "least external pitch diameter"
    )
    greatest_d2 = _given(
        inside, "pitch_diameter_max", pitch_diameter, estimated, "greatest internal pitch diameter"
    )
    radius = thread.form.crest_radius * thread.pitch_mm
    return WorstSizes(
        screw_least_major=float(
            end_of_straight_flank(crest, crest_radius=radius, flank_angle=thread.form.flank_angle)
        ),
        screw_least_pitch_diameter=least_d2,
        screw_least_root=_least_root(thread, outside, least_d2),
        hole_greatest_major=_greatest_major(thread, inside, greatest_d2, estimated),
        hole_greatest_pitch_diameter=greatest_d2,
        hole_greatest_minor=_given(inside, "minor_max", minor, estimated, "greatest internal minor diameter"),
        hole_least_minor=_given(inside, "minor_min", minor, estimated, "least internal minor diameter"),
        estimated=tuple(estimated),
    )


def wall(*, outer: WorstSizes, inner: WorstSizes) -> float:
    """Least wall of a bush: from the least root outside to the greatest major diameter inside.

    Parameters
    ----------
    outer, inner : WorstSizes
        The bush's outer and inner thread.

    Returns
    -------
    float
        Radial wall, negative where the threads cut into each other. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> sizes = [worst_sizes(find_thread(name)) for name in ("M12x1.5", "M8x1.25")]
    >>> round(wall(outer=sizes[0], inner=sizes[1]), 3)
    0.795
    """
    return (outer.screw_least_root - inner.hole_greatest_major) / 2


def least_wall(material: Material, *, inner_pitch_mm: float) -> float:
    """Least wall a bush of one metal may have.

    Parameters
    ----------
    material : Material
        Metal of the bush.
    inner_pitch_mm : float
        Pitch of the inner thread. [mm]

    Returns
    -------
    float
        The greater of a share of the pitch and a fixed wall; judgement. [mm]

    Raises
    ------
    MaterialError
        If bushes are not made of this metal.

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> least_wall(find_material("free-cutting steel"), inner_pitch_mm=1.25)
    0.75
    """
    if material.name == "heat-treated steel":
        share, fixed = judgement.HEAT_TREATED_WALL
        return max(share * inner_pitch_mm, fixed)
    if material.kind not in judgement.LEAST_WALL:
        raise MaterialError(
            f"bush material: there is no rule for a bush of {material.name}; write free-cutting steel, "
            "stainless steel, brass or bronze"
        )
    share, fixed = judgement.LEAST_WALL[material.kind]
    return max(share * inner_pitch_mm, fixed)


def edge_distance(parent: Material, *, outer_major_mm: float) -> float:
    """Least distance from the hole's centre to the edge of the metal; judgement.

    Parameters
    ----------
    parent : Material
        Metal of the part.
    outer_major_mm : float
        Major diameter of the bush's outer thread. [mm]

    Returns
    -------
    float
        Distance. [mm]

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> edge_distance(find_material("cast iron"), outer_major_mm=12.0)
    24.0
    """
    return judgement.EDGE_DISTANCE[parent.kind] * outer_major_mm
