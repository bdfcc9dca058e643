"""The locating spigot round the screw: its fit in the measured bore, its wall, how far it stands out."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.repair.size import down_to, up_to
from threadwright.tables.drills import clearance_holes
from threadwright.tables.errors import JobError
from threadwright.tables.fits import fit, standard_tolerance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from threadwright.tables.drills import ClearanceFit
    from threadwright.tables.thread import Thread

__all__ = [
    "SPIGOT_FITS",
    "Bore",
    "Spigot",
    "SpigotFit",
    "clearance_basis",
    "clearance_bores",
    "fit_to_measured",
    "screw_clearance",
    "spigot",
    "spigot_fault",
]

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
    measured: Limits | None
    """Least and greatest bore measured; None where only an old spigot is known."""
    clearance: Limits | None
    """Least and greatest clearance in the bore as measured; negative is interference."""
    projection: Limits | None
    """How far it stands out of the part's face; None until the mating bore's depth is known."""
    mating_depth: float | None
    wall: float
    """Least wall between spigot and clearance bore."""
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""

        def pair(limits: Limits | None) -> list[float] | None:
            return None if limits is None else [round(value, 3) for value in limits]

        return {
            "diameter_mm": pair(self.diameter),
            "fit": self.fit,
            "shaft": self.shaft,
            "measured_bore_mm": pair(self.measured),
            "clearance_mm": pair(self.clearance),
            "projection_mm": pair(self.projection),
            "mating_depth_mm": None if self.mating_depth is None else round(self.mating_depth, 3),
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


def clearance_bores(screw: Thread) -> tuple[Bore, ...]:
    """Clearance bores for a screw, the easiest first.

    Parameters
    ----------
    screw : Thread
        The screw that passes.

    Returns
    -------
    tuple of Bore
        Medium, then fine, which leaves more wall. [mm]

    Raises
    ------
    JobError
        If no clearance hole is known for the screw.

    References
    ----------
    ISO 273, from memory; inch screws by common practice: see :mod:`threadwright.tables.drills`.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [(bore.fit, bore.low) for bore in clearance_bores(find_thread("M8"))]
    [('medium', 9.0), ('fine', 8.4)]
    """
    offered = {hole.fit: hole for hole in clearance_holes(screw)}
    if not offered:
        raise JobError(
            f"screw: there is no clearance hole for {screw.designation}; a bush with a collar ends at 100 mm"
        )
    return tuple(
        Bore(
            low=hole.diameter,
            high=hole.diameter + judgement.DRILLED_OVER_MM,
            fit=hole.fit,
            basis=clearance_basis(screw),
        )
        for hole in (offered["medium"], offered["fine"])
    )


def screw_clearance(screw: Thread, *, fitted: ClearanceFit = "medium") -> float:
    """Plain bore that lets a screw through; near the medium series where no table holds the screw. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> screw_clearance(find_thread("M8")), screw_clearance(find_thread("M8"), fitted="fine")
    (9.0, 8.4)
    """
    for hole in clearance_holes(screw):
        if hole.fit == fitted:
            return hole.diameter
    share, least = judgement.SCREW_CLEARANCE
    major = screw.major_basic * screw.to_mm
    return major + max(share * major, least)


def clearance_basis(screw: Thread) -> str:
    """Where the clearance bore of a screw comes from.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> clearance_basis(find_thread("M8")), clearance_basis(find_thread("3/8-20 BSF"))
    ('ISO 273, from memory', 'common practice, no source')
    """
    for hole in clearance_holes(screw):
        return hole.source if hole.basis == "estimated" else f"{hole.source}, {hole.basis}"
    return "common practice, no source"


def spigot_fault(spigot_mm: float, *, screw: Thread) -> str | None:
    """Say why a spigot cannot go round a screw, and what would relieve it.

    Parameters
    ----------
    spigot_mm : float
        Least outside diameter of the spigot. [mm]
    screw : Thread
        The screw that passes through it.

    Returns
    -------
    str or None
        None where it can, be it with the fine clearance bore.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> spigot_fault(12.0, screw=find_thread("M8")) is None
    True
    """
    bore = screw_clearance(screw, fitted="fine")
    least, wanted = judgement.LEAST_SPIGOT_WALL_MM, bore + judgement.DRILLED_OVER_MM
    wall = (spigot_mm - wanted) / 2
    if wall >= least - 1e-9:
        return None
    relief = (
        f"bore the mating part to {up_to(wanted + 2 * least, 0.1):.1f} mm or more, take a smaller screw, or "
        "locate by a dowel beside it"
    )
    major = screw.major_basic * screw.to_mm
    if spigot_mm <= major:
        return (
            f"spigot: {spigot_mm:.2f} mm across is no larger than the screw {screw.designation} of "
            f"{major:.2f} mm that goes through it; {relief}"
        )
    return (
        f"spigot: {spigot_mm:.2f} mm across round a bore of {bore:.2f} mm for {screw.designation} leaves a "
        f"wall of {max(wall, 0.0):.2f} mm, {least:g} mm wanted; {relief}"
    )


def _projection(asked: float | None, depth: float | None, width: float) -> Limits | None:
    """Limits of the projection: the greatest stays short of the mating bore's bottom."""
    least = judgement.LEAST_SPIGOT_MM
    if asked is not None and asked - width / 2 < least - 1e-9:
        raise JobError(f"projection: a spigot of {asked:g} mm locates nothing; make it {least:g} mm or more")
    if depth is None:
        return None if asked is None else (asked - width / 2, asked + width / 2)
    most = depth - judgement.SPIGOT_SHORT_MM
    if most - width < least - 1e-9:
        raise JobError(
            f"mating depth: {depth:g} mm leaves a spigot of {max(most - width, 0.0):.2f} mm when it stops "
            f"{judgement.SPIGOT_SHORT_MM:g} mm short, {least:g} mm wanted; bore the mating part deeper, or "
            "locate by dowels"
        )
    if asked is None:
        greatest = max(down_to(most, 0.1), least + width)
        return greatest - width, greatest
    if asked + width / 2 > most + 1e-9:
        raise JobError(
            f"projection: {asked:g} mm may come out at {asked + width / 2:.2f} mm and the mating bore is "
            f"{depth:g} mm deep; keep it {judgement.SPIGOT_SHORT_MM:g} mm short so that the faces clamp: at "
            f"most {down_to(most - width / 2, 0.01):g} mm"
        )
    return asked - width / 2, asked + width / 2


def _bore_notes(measured: Sequence[float], clearance: Limits) -> list[str]:
    least, greatest = min(measured), max(measured)
    notes = []
    if len(measured) < judgement.BORE_READINGS:
        notes.append(
            f"The mating bore was read {len(measured)} time{'s' if len(measured) > 1 else ''}: measure it "
            "at two "
            "depths and in two directions."
        )
    if greatest - least > standard_tolerance(7, least):
        notes.append(
            f"The mating bore is worn or oval by {greatest - least:.3f} mm: the spigot has up to "
            f"{clearance[1]:.3f} mm of play there. Bore it true if the location matters."
        )
    return notes


def _notes(diameter: float, wall: float, projection: Limits | None, fitted: SpigotFit) -> list[str]:
    notes = [
        f"The spigot's wall round the bore is {wall:.2f} mm or more, {judgement.LEAST_SPIGOT_WALL_MM:g} mm "
        "is the least."
    ]
    if projection is None:
        notes.append("Measure the depth of the mating bore before the spigot is cut to length.")
    elif projection[0] < judgement.SPIGOT_GUIDE * diameter:
        notes.append(
            "The spigot is shorter than half its diameter: it locates, but does not guide the part on."
        )
    if fitted == "press":
        notes.append("A press fit stays in the mating part: only where that is not taken off again.")
    notes.append("Break the spigot's end with a 30 deg lead-in; the spigot locates, the screw clamps.")
    return notes


def spigot(
    screw: Thread,
    *,
    measured: Sequence[float] = (),
    old_mm: float | None = None,
    mating_depth: float | None = None,
    fitted: SpigotFit = "sliding",
    projection: float | None = None,
    chain_width: float,
) -> tuple[Spigot, tuple[Bore, ...]]:
    """Work out a locating spigot for a mating bore as it was measured.

    Parameters
    ----------
    screw : Thread
        The screw that passes through it.
    measured : sequence of float
        The mating bore, at two depths and in two directions. [mm]
    old_mm : float, optional
        Diameter of the old spigot, used with a warning while the bore is not measured. [mm]
    mating_depth : float, optional
        Depth of the mating bore. [mm]
    fitted : {"sliding", "snug", "press"}, optional
        How the spigot goes in: g6, h6 or p6 of ISO 286.
    projection : float, optional
        Middle of the projection asked for; the longest that does not bottom if left out. [mm]
    chain_width : float
        Width of the projection's limits: the tolerances between shoulder and face together. [mm]

    Returns
    -------
    tuple of Spigot and tuple of Bore
        The clearance bores that leave it wall enough, the easiest first.

    Raises
    ------
    JobError
        If the spigot is smaller than the screw, its wall is thin, or the mating bore is too shallow.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> one, bores = spigot(find_thread("M6"), measured=[12.02, 12.03, 12.02, 12.02], mating_depth=8.0,
    ...                     chain_width=0.1)
    >>> one.diameter, [round(value, 3) for value in one.projection], bores[0].low
    ((12.003, 12.014), [7.6, 7.7], 6.6)
    """
    shaft = SPIGOT_FITS[fitted]
    known = measured or ([] if old_mm is None else [old_mm])
    diameter, clearance = fit_to_measured(shaft, known)
    offered = clearance_bores(screw)
    fault = spigot_fault(diameter[0], screw=screw)
    if fault is not None:
        raise JobError(fault)
    wall = [(diameter[0] - bore.high) / 2 for bore in offered]
    enough = [at >= judgement.LEAST_SPIGOT_WALL_MM - 1e-9 for at in wall]
    stands_out = _projection(projection, mating_depth, chain_width)
    unmeasured = (
        f"Measure the mating bore before the spigot is turned: these limits are laid from the old spigot of "
        f"{old_mm} mm."
    )
    left = next(at for at, fits in zip(wall, enough, strict=True) if fits)
    first = _bore_notes(measured, clearance) if measured else [unmeasured]
    return (
        Spigot(
            diameter=diameter,
            fit=fitted,
            shaft=shaft,
            measured=(min(measured), max(measured)) if measured else None,
            clearance=clearance if measured else None,
            projection=stands_out,
            mating_depth=mating_depth,
            wall=left,
            notes=(*first, *_notes(diameter[0], left, stands_out, fitted)),
        ),
        tuple(bore for bore, fits in zip(offered, enough, strict=True) if fits),
    )
