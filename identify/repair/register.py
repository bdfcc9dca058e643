"""What locates the bush in its hole: never the thread, but a collar in a counterbore or a pilot below it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.repair.size import down_to
from threadwright.repair.spigot import fit_to_measured
from threadwright.tables.errors import JobError
from threadwright.tables.fits import fit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.spigot import Limits

__all__ = [
    "REGISTER_FITS",
    "WHERE_IT_BELONGS",
    "Datum",
    "Register",
    "RegisterFit",
    "RegisterKind",
    "collar_diameter",
    "collar_register",
    "no_register",
    "pilot_register",
    "stop_collar",
]

RegisterKind = Literal["collar", "pilot", "stop collar", "none"]
RegisterFit = Literal["h6", "k6"]
Datum = Literal["spigot seat", "mating part", "hole pattern"]
REGISTER_FITS: Final[tuple[RegisterFit, ...]] = ("h6", "k6")

WHERE_IT_BELONGS: Final = "the original location (surviving spigot seat, mating part or hole pattern)"
_DATUM_WORDS: Final[dict[Datum | None, str]] = {
    "spigot seat": "the surviving spigot seat (dial indicator)",
    "mating part": "the mating part (bolted on by its other screws)",
    "hole pattern": "the pattern of the other holes (dowels or coordinates)",
    None: WHERE_IT_BELONGS,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """What sets the bush's place and depth. Lengths in mm."""

    kind: RegisterKind
    bush: Limits | None = None
    """Limits of the register's diameter on the bush."""
    hole: Limits | None = None
    """Limits of the bore it goes into."""
    length: float = 0.0
    """Nominal length: of a collar from the part's face, of a pilot below the thread."""
    fit: str = ""
    bored_from: str = ""
    kept: bool = False
    """Whether a surviving seat is kept as it is."""
    says: tuple[str, ...] = ()

    @property
    def at_face(self) -> bool:
        """Whether it is a collar at the face."""
        return self.kind in ("collar", "stop collar")

    @property
    def locates(self) -> bool:
        """Whether the bush is located by it."""
        return self.kind in ("collar", "pilot")

    @property
    def clearance(self) -> Limits | None:
        """Least and greatest clearance on the diameter; negative is interference."""
        if self.bush is None or self.hole is None:
            return None
        return round(self.hole[0] - self.bush[1], 6), round(self.hole[1] - self.bush[0], 6)

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""

        def pair(limits: Limits | None) -> list[float] | None:
            return None if limits is None else [round(value, 3) for value in limits]

        return {
            "kind": self.kind,
            "bush_diameter_mm": pair(self.bush),
            "bore_diameter_mm": pair(self.hole),
            "clearance_mm": pair(self.clearance),
            "length_mm": round(self.length, 3),
            "fit": self.fit,
            "bored_from": self.bored_from,
            "seat_kept": self.kept,
        }


_THREAD_FREE: Final = (
    "The thread does not locate: it is left free, never a tight thread and a tight register together."
)
_DEPTH_ONLY: Final = (
    "The collar sets the depth only: the screw pulls the bush out against its outer thread alone."
)


_FREE_DEPTH: Final = (
    "Nothing but the fixing holds the depth: the screw pulls the bush out against its outer thread alone."
)


def collar_register(
    *,
    outer_major_mm: float,
    length_mm: float,
    fitted: RegisterFit = "h6",
    asked_mm: float | None = None,
    seat_mm: Sequence[float] = (),
    spigot_mm: float | None = None,
    edge_mm: float | None = None,
    datum: Datum | None = None,
) -> Register:
    """A collar at the face as register, in a counterbore bored from the original location.

    Parameters
    ----------
    outer_major_mm : float
        Greatest major diameter of the bush's outer thread. [mm]
    length_mm : float
        Length of the collar. [mm]
    fitted : {"h6", "k6"}, optional
        Fit of the collar in the counterbore H7.
    asked_mm : float, optional
        Diameter asked for; one that suits thread and spigot if left out. [mm]
    seat_mm : sequence of float, optional
        A surviving counterbore that is kept, as measured. [mm]
    spigot_mm : float, optional
        Greatest diameter of the spigot on it. [mm]
    edge_mm : float, optional
        Hole's centre to the nearest edge. [mm]
    datum : str, optional
        What the counterbore is bored from.

    Raises
    ------
    JobError
        If the collar is too small for the thread or the spigot, or breaks out of the edge.

    References
    ----------
    ISO 286-1 for the fits.

    Examples
    --------
    >>> one = collar_register(outer_major_mm=12.0, length_mm=2.0)
    >>> one.bush, one.hole, one.clearance
    ((13.489, 13.5), (13.5, 13.518), (0.0, 0.029))
    """
    least = outer_major_mm + judgement.COLLAR_OVER_THREAD_MM
    if seat_mm:
        bush, _ = fit_to_measured(fitted, seat_mm)
        hole, nominal = (min(seat_mm), max(seat_mm)), min(seat_mm)
    else:
        chosen = collar_diameter(outer_major_mm=outer_major_mm, spigot_mm=spigot_mm)
        nominal = chosen if asked_mm is None else asked_mm
        bush, hole = _limits(fitted, nominal), _limits("H7", nominal)
    if nominal < least - 1e-9:
        raise JobError(
            f"collar: {nominal:g} mm across does not clear the outer thread of {outer_major_mm:.2f} mm; bore "
            f"the counterbore to {least:.2f} mm or more, or take a smaller outer thread"
        )
    if spigot_mm is not None and nominal < spigot_mm - 1e-9:
        raise JobError(
            f"collar: {nominal:g} mm across is smaller than the spigot of {spigot_mm:.2f} mm on it; make the "
            "collar as large as the spigot or larger"
        )
    if edge_mm is not None and edge_mm - nominal / 2 < judgement.LEAST_RIM_MM - 1e-9:
        most = down_to(2 * (edge_mm - judgement.LEAST_RIM_MM), 0.1)
        raise JobError(
            f"collar: a counterbore of {nominal:g} mm leaves {edge_mm - nominal / 2:.1f} mm to the edge, "
            f"{judgement.LEAST_RIM_MM:g} mm wanted; at most {most:g} mm across fits there"
        )
    return Register(
        kind="collar",
        bush=bush,
        hole=hole,
        length=length_mm,
        fit=f"{'measured seat' if seat_mm else 'H7'}/{fitted}",
        bored_from=_DATUM_WORDS[datum],
        kept=bool(seat_mm),
        says=(_THREAD_FREE, _bored(datum, kept=bool(seat_mm)), _DEPTH_ONLY),
    )


def _limits(tolerance_class: str, nominal: float) -> Limits:
    zone = fit(tolerance_class, nominal)
    return zone.lower, zone.upper


def collar_diameter(*, outer_major_mm: float, spigot_mm: float | None = None) -> float:
    """Diameter of a collar where none is asked for: wider than the thread and than the spigot.

    Parameters
    ----------
    outer_major_mm : float
        Major diameter of the outer thread. [mm]
    spigot_mm : float, optional
        Diameter of the spigot on it. [mm]

    Returns
    -------
    float
        Diameter, in half millimetres. [mm]

    Examples
    --------
    >>> collar_diameter(outer_major_mm=12.0), collar_diameter(outer_major_mm=12.0, spigot_mm=15.8)
    (13.5, 17.5)
    """
    within = max(outer_major_mm, spigot_mm or 0.0)
    return math.ceil(2 * (within + 2 * judgement.COLLAR_SHOULDER_MM) - 1e-9) / 2


def _bored(datum: Datum | None, *, kept: bool) -> str:
    where = _DATUM_WORDS[datum]
    if kept:
        return (
            f"The surviving counterbore is kept: set the part by {where}, and drill and tap in that setting."
        )
    return (
        f"Bore the counterbore from {where}, square to the face, in one setting with the tapping hole; never "
        "from the stripped thread."
    )


def pilot_register(
    *,
    hole_minor_mm: float,
    least_root_mm: float,
    core_mm: float,
    length_mm: float,
    asked_mm: float | None = None,
    fitted: RegisterFit = "h6",
    datum: Datum | None = None,
    reamers_mm: Sequence[float] = (),
) -> Register:
    """A plain pilot below the thread as register, in a reamed bore below the tapping hole.

    Parameters
    ----------
    hole_minor_mm, least_root_mm : float
        Least minor diameter of the tapped hole, which the pilot must pass, and least root of the bush's
        outer thread. [mm]
    core_mm : float
        Bore through the pilot: the tapping drill of the inner thread, which ends above it. [mm]
    length_mm : float
        Length of the pilot in its bore. [mm]
    asked_mm : float, optional
        Its diameter; the largest that passes the tapped hole if left out. [mm]
    fitted : {"h6", "k6"}, optional
        Fit in the bore H7.
    datum : str, optional
        What the bore is set from.
    reamers_mm : sequence of float, optional
        Reamers at hand; the largest that serves decides the diameter where none is asked for. [mm]

    Raises
    ------
    JobError
        If the pilot cannot pass the tapped hole, or its wall is thin.

    Examples
    --------
    >>> one = pilot_register(hole_minor_mm=10.376, least_root_mm=9.93, core_mm=6.8, length_mm=3.0)
    >>> one.bush, one.length
    ((9.791, 9.8), 3.0)
    """
    most = min(hole_minor_mm, least_root_mm) - judgement.PILOT_CLEAR_MM
    serve = [size for size in reamers_mm if _pilot_wall(size, core_mm, fitted) and size <= most + 1e-9]
    nominal = max(serve, default=down_to(most, 0.1)) if asked_mm is None else asked_mm
    if nominal > most + 1e-9:
        raise JobError(
            f"pilot: {nominal:g} mm does not pass the tapped hole freely; make it {down_to(most, 0.1):g} "
            "mm or less"
        )
    bush = _limits(fitted, nominal)
    if not _pilot_wall(nominal, core_mm, fitted):
        wall = (bush[0] - core_mm) / 2
        raise JobError(
            f"pilot: {nominal:g} mm round a bore of {core_mm:g} mm leaves a wall of {wall:.2f} mm, "
            f"{judgement.LEAST_SPIGOT_WALL_MM:g} mm wanted; take a larger outer thread, or a collar as "
            "register"
        )
    return Register(
        kind="pilot",
        bush=bush,
        hole=_limits("H7", nominal),
        length=length_mm,
        fit=f"H7/{fitted}",
        bored_from=_DATUM_WORDS[datum],
        says=(
            _THREAD_FREE,
            f"{_reamed(nominal, reamers_mm, most)} below the tapping hole from {_DATUM_WORDS[datum]}, in one "
            "setting with it; never from the stripped thread.",
            _FREE_DEPTH,
        ),
    )


def _pilot_wall(nominal: float, core: float, fitted: RegisterFit) -> bool:
    """Whether a pilot keeps its wall round the bore through it."""
    return (_limits(fitted, nominal)[0] - core) / 2 >= judgement.LEAST_SPIGOT_WALL_MM - 1e-9


def _reamed(nominal: float, reamers: Sequence[float], most: float) -> str:
    """How the pilot's bore is finished with the reamers at hand."""
    if any(math.isclose(size, nominal, abs_tol=1e-3) for size in reamers):
        return f"Ream the pilot's bore with the drawer's reamer of {nominal:.2f} mm"
    if reamers:
        return f"Bore the pilot's bore to size (no reamer of the drawer serves: {most:.2f} mm at most)"
    return "Ream the pilot's bore"


def stop_collar(*, major: Limits, length_mm: float) -> Register:
    """A collar no larger than the thread: it stops on the shoulder of a counterbore and locates nothing.

    Parameters
    ----------
    major : tuple of float
        Limits of the outer thread's major diameter. [mm]
    length_mm : float
        Length of the collar. [mm]

    Examples
    --------
    >>> stop_collar(major=(11.732, 11.968), length_mm=2.0).locates
    False
    """
    clear = major[1] + judgement.COUNTERBORE_OVER_MM
    return Register(
        kind="stop collar",
        bush=major,
        hole=(clear, clear + judgement.COUNTERBORE_OVER_MM),
        length=length_mm,
        fit="clearance",
        says=(
            "Nothing is located here: the collar is no larger than the thread and stops on the shoulder of a "
            "counterbore bored to the thread's full diameter.",
            "The thread does not locate: do not use this bush where a part is located by this hole.",
            _DEPTH_ONLY,
        ),
    )


def no_register() -> Register:
    """A plain bush: nothing is located, and nothing but its fixing sets its depth."""
    return Register(
        kind="none",
        says=(
            "The thread does not locate: nothing may be located by this hole.",
            _FREE_DEPTH,
        ),
    )
