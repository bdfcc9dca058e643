"""The locating spigot round the screw: its fit in the measured bore, its wall, how far it stands out."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.repair.size import down_to
from threadwright.tables.drills import clearance_holes
from threadwright.tables.errors import JobError
from threadwright.tables.fits import fit, standard_tolerance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from threadwright.tables.thread import Thread

__all__ = ["SPIGOT_FITS", "Bore", "Spigot", "SpigotFit", "clearance_bore", "fit_to_measured", "spigot"]

SpigotFit = Literal["sliding", "snug", "press"]
Limits = tuple[float, float]
SPIGOT_FITS: Final[Mapping[SpigotFit, str]] = MappingProxyType({"sliding": "g6", "snug": "h6", "press": "p6"})
"""Shaft of ISO 286 for each word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """Clearance bore for the screw, through spigot and collar. [mm]"""

    low: float
    high: float
    fit: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spigot:
    """A locating spigot. Lengths in mm."""

    diameter: Limits
    fit: SpigotFit
    shaft: str
    """Class of ISO 286, laid from the least measured bore."""
    measured: Limits
    """Least and greatest bore measured."""
    clearance: Limits
    """Least and greatest clearance in the bore as measured; negative is interference."""
    projection: Limits
    """How far it stands out of the part's face."""
    mating_depth: float
    wall: float
    """Least wall between spigot and clearance bore."""
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""
        return {
            "diameter_mm": [round(value, 3) for value in self.diameter],
            "fit": self.fit,
            "shaft": self.shaft,
            "measured_bore_mm": [round(value, 3) for value in self.measured],
            "clearance_mm": [round(value, 3) for value in self.clearance],
            "projection_mm": [round(value, 3) for value in self.projection],
            "mating_depth_mm": round(self.mating_depth, 3),
            "wall_mm": round(self.wall, 3),
            "runout_to_register_mm": judgement.SPIGOT_RUNOUT_MM,
            "notes": list(self.notes),
        }


def fit_to_measured(shaft: str, measured: Sequence[float]) -> tuple[Limits, Limits]:
    """Limits of a shaft that goes into a bore as it was measured, and the clearance there.

    Parameters
    ----------
    shaft : str
        Class of ISO 286, laid from the least bore.
    measured : sequence of float
        The bore, at more than one depth and direction. [mm]

    Returns
    -------
    tuple
        Limits of the shaft, and least and greatest clearance. [mm]

    Raises
    ------
    JobError
        If nothing was measured.
    TableError
        If the class or size is outside the tables.

    References
    ----------
    ISO 286-1.

    Examples
    --------
    >>> fit_to_measured("g6", [12.02, 12.03])
    ((12.003, 12.014), (0.006, 0.027))
    """
    if not measured:
        raise JobError('mating bore: not measured; write mating_bore = ["12.02 mm", "12.03 mm", ...]')
    least, greatest = min(measured), max(measured)
    limits = fit(shaft, least)
    clearance = (round(least - limits.upper, 6), round(greatest - limits.lower, 6))
    return (limits.lower, limits.upper), clearance


def clearance_bore(screw: Thread, *, around_mm: float, least_wall_mm: float) -> tuple[Bore, float]:
    """The easiest clearance bore that leaves wall enough, and the wall.

    Parameters
    ----------
    screw : Thread
        The screw that passes.
    around_mm : float
        Least diameter of the metal round it. [mm]
    least_wall_mm : float
        Wall to keep. [mm]

    Returns
    -------
    tuple of Bore and float
        Medium clearance, fine where medium leaves too little; the wall may still be short. [mm]

    Raises
    ------
    JobError
        If no clearance hole is known for the screw.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> bore, wall = clearance_bore(find_thread("M8"), around_mm=11.0, least_wall_mm=0.8)
    >>> bore.fit, bore.low, round(wall, 2)
    ('medium', 9.0, 0.95)
    """
    offered = {hole.fit: hole for hole in clearance_holes(screw)}
    if not offered:
        raise JobError(
            f"screw: there is no clearance hole for {screw.designation}; a bush with a spigot ends at 100 mm"
        )
    wall = 0.0
    for name in ("medium", "fine"):
        hole = offered[name]
        bore = Bore(
            low=hole.diameter,
            high=hole.diameter + judgement.DRILLED_OVER_MM,
            fit=name,
            basis=f"{hole.source}, {hole.basis}",
        )
        wall = (around_mm - bore.high) / 2
        if wall >= least_wall_mm - 1e-9:
            break
    return bore, wall


def _refuse_thin(spigot_mm: float, screw: Thread, bore: Bore, wall: float) -> None:
    """Refuse a spigot that the screw leaves no wall, naming what binds and what would relieve it."""
    major = screw.major_basic * screw.to_mm
    if spigot_mm <= major:
        raise JobError(
            f"spigot: {spigot_mm:.2f} mm across, and the screw {screw.designation} that must pass through "
            "it is "
            f"{major:.2f} mm; take a smaller screw, bore the mating part larger, or locate by a separate "
            "dowel"
        )
    if wall < judgement.LEAST_SPIGOT_WALL_MM - 1e-9:
        needed = bore.high + 2 * judgement.LEAST_SPIGOT_WALL_MM
        raise JobError(
            f"spigot: {spigot_mm:.2f} mm across round a clearance bore of {bore.low:.2f} mm for "
            f"{screw.designation} leaves a wall of {wall:.2f} mm, {judgement.LEAST_SPIGOT_WALL_MM:g} mm "
            "wanted; "
            f"bore the mating part to {needed:.1f} mm or more, take a smaller screw, or locate by a "
            "separate ring "
            "dowel or dowel pins"
        )


def _projection(asked: float | None, depth: float, width: float) -> Limits:
    """Limits of the projection: the greatest stays short of the mating bore's bottom."""
    most = depth - judgement.SPIGOT_SHORT_MM
    if most - width < judgement.LEAST_SPIGOT_MM - 1e-9:
        raise JobError(
            f"mating depth: {depth:g} mm leaves a spigot of {max(most - width, 0.0):.2f} mm when it stops "
            f"{judgement.SPIGOT_SHORT_MM:g} mm short, {judgement.LEAST_SPIGOT_MM:g} mm wanted; bore the "
            "mating "
            "part deeper, or locate by dowel pins"
        )
    if asked is None:
        greatest = max(down_to(most, 0.1), judgement.LEAST_SPIGOT_MM + width)
        return greatest - width, greatest
    greatest = asked + width / 2
    if greatest > most + 1e-9:
        raise JobError(
            f"projection: {asked:g} mm may come out at {greatest:.2f} mm and the mating bore is {depth:g} "
            "mm deep; "
            f"keep it {judgement.SPIGOT_SHORT_MM:g} mm short so that the faces clamp: at most "
            f"{down_to(most - width / 2, 0.01):g} mm"
        )
    if asked - width / 2 < judgement.LEAST_SPIGOT_MM - 1e-9:
        raise JobError(
            f"projection: a spigot of {asked:g} mm locates nothing; make it {judgement.LEAST_SPIGOT_MM:g} "
            "mm or more"
        )
    return asked - width / 2, greatest


def _notes(measured: Sequence[float], clearance: Limits, projection: Limits, fitted: SpigotFit) -> list[str]:
    least, greatest = min(measured), max(measured)
    notes = []
    if len(measured) < judgement.BORE_READINGS:
        notes.append(
            f"The mating bore was measured {len(measured)} times; measure it at two depths and in two "
            "directions."
        )
    if greatest - least > standard_tolerance(7, least):
        notes.append(
            f"The mating bore is worn or oval by {greatest - least:.3f} mm: there the spigot has up to "
            f"{clearance[1]:.3f} mm of play. Bore it true if the location matters."
        )
    if fitted == "press":
        notes.append(
            "A press fit stays in the mating part: choose it only where that is not taken off again."
        )
    if projection[0] < judgement.SPIGOT_GUIDE * least:
        notes.append(
            f"The spigot is shorter than half its diameter ({judgement.SPIGOT_GUIDE:g} x {least:.1f} mm): "
            "it locates, "
            "but does not guide the part on."
        )
    notes.append(
        "Break the spigot's end with a 30 deg lead-in of about 0.5 mm; the tube locates, the screw clamps."
    )
    return notes


def spigot(
    screw: Thread,
    *,
    measured: Sequence[float],
    mating_depth: float | None,
    fitted: SpigotFit,
    projection: float | None,
    chain_width: float,
) -> tuple[Spigot, Bore]:
    """Work out a locating spigot for a mating bore as it was measured.

    Parameters
    ----------
    screw : Thread
        The screw that passes through it.
    measured : sequence of float
        The mating bore, at two depths and in two directions. [mm]
    mating_depth : float or None
        Depth of the mating bore. [mm]
    fitted : {"sliding", "snug", "press"}
        How the spigot goes in.
    projection : float or None
        Middle of the projection asked for; None for the longest that does not bottom. [mm]
    chain_width : float
        Width of the projection's limits: the tolerances between shoulder and face together. [mm]

    Returns
    -------
    tuple of Spigot and Bore

    Raises
    ------
    JobError
        If the spigot is smaller than the screw, its wall is thin, or the mating bore is too shallow.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> one, bore = spigot(find_thread("M6"), measured=[12.02, 12.03, 12.02, 12.02], mating_depth=8.0,
    ...                    fitted="sliding", projection=None, chain_width=0.1)
    >>> one.diameter, [round(value, 3) for value in one.projection], round(one.wall, 2)
    ((12.003, 12.014), [7.6, 7.7], 2.65)
    """
    shaft = SPIGOT_FITS[fitted]
    diameter, clearance = fit_to_measured(shaft, measured)
    bore, wall = clearance_bore(screw, around_mm=diameter[0], least_wall_mm=judgement.LEAST_SPIGOT_WALL_MM)
    _refuse_thin(diameter[0], screw, bore, wall)
    if mating_depth is None:
        raise JobError('mating depth: not given; a spigot must not bottom, write mating_depth = "8 mm"')
    stands_out = _projection(projection, mating_depth, chain_width)
    return (
        Spigot(
            diameter=diameter,
            fit=fitted,
            shaft=shaft,
            measured=(min(measured), max(measured)),
            clearance=clearance,
            projection=stands_out,
            mating_depth=mating_depth,
            wall=wall,
            notes=tuple(_notes(measured, clearance, stands_out, fitted)),
        ),
        bore,
    )
