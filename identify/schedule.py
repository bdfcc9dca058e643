"""A machine's thread schedule: the thread of each place, its spanner, tapping drill, torque, look-alikes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from threadwright import judgement
from threadwright.dangers import LookAlike, look_alikes
from threadwright.machine import prior_of
from threadwright.repair.strength import screw_stress_area
from threadwright.repair.torque import ClampTorque, clamp_torque
from threadwright.tables.drills import TappingDrill, tapping_drills
from threadwright.tables.hexagons import Hexagon, hexagons_for
from threadwright.tables.screw_grades import ScrewGrade, find_grade
from threadwright.uses import use_of

if TYPE_CHECKING:
    from threadwright.record import Entry, Record
    from threadwright.tables.thread import Thread

__all__ = ["ScheduleLine", "schedule", "spanners_for", "tightening"]

_GRADE: Final = "unmarked"
_LAG_YEARS: Final = 5  # stocks were used up, and "about" a year is not that year: common practice, no source
_STANDINGS: Final = ("usual", "met", "rare", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleLine:
    """One fastener of the machine, and what the tables tell of its thread.

    Attributes
    ----------
    place, thread : str
    tolerance_class, notes : str or None
    probability : float
        How sure the identification was. [-]
    spanners : tuple of Hexagon
        Hexagons usual where and when the machine was made; empty where no table speaks of the size.
    tapping_hole : tuple of float or None
        Limits of the minor diameter of the hole. [mm]
    drills : tuple of TappingDrill
        For the usual depth of thread, one of each kind, a metric one first where there is one.
    torque : ClampTorque or None
        Greatest for an unmarked screw.
    beware : tuple of LookAlike
        Screws that start in its hole by hand and then bind or strip, the worst first.
    """

    place: str
    thread: str
    tolerance_class: str | None
    probability: float
    notes: str | None
    spanners: tuple[Hexagon, ...]
    tapping_hole: tuple[float, float] | None
    drills: tuple[TappingDrill, ...]
    torque: ClampTorque | None
    beware: tuple[LookAlike, ...]

    @property
    def settled(self) -> bool:
        """Whether its probability counts as settled."""
        return self.probability >= judgement.SETTLED

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON, lengths in mm."""
        return {
            "place": self.place,
            "thread": self.thread,
            "class": self.tolerance_class,
            "probability": self.probability,
            "settled": self.settled,
            "spanners": [_spanner(one) for one in self.spanners],
            "tapping_hole": None if self.tapping_hole is None else list(self.tapping_hole),
            "tapping_drills": [_drill(one) for one in self.drills],
            "torque": None if self.torque is None else {**self.torque.to_dict(), "screw": _screw()},
            "look_alikes": [one.to_dict() for one in self.beware],
            "notes": self.notes,
        }


def schedule(record: Record) -> tuple[ScheduleLine, ...]:
    """Every fastener of a machine's record, in its order.

    Parameters
    ----------
    record : Record

    Returns
    -------
    tuple of ScheduleLine

    Raises
    ------
    RecordError
        If the record's country or year is impossible.

    Examples
    --------
    >>> from threadwright.record import parse_record
    >>> press = parse_record('[[fastener]]\\nplace = "lid"\\nthread = "M8"\\n', name="press.toml")
    >>> line = schedule(press)[0]
    >>> line.thread, line.drills[0].drill.name, line.beware[0].designation
    ('M8x1.25', '6.9 mm', '5/16-18 BSW')
    """
    origin = prior_of(record).origin  # an impossible one is told here already, not at the next fastener
    return tuple(_line(entry, origin.country, origin.year) for entry in record.entries)


def _line(entry: Entry, made_in: str | None, year: int | None) -> ScheduleLine:
    thread = entry.thread
    return ScheduleLine(
        place=entry.place,
        thread=entry.designation,
        tolerance_class=entry.tolerance_class,
        probability=entry.probability,
        notes=entry.notes,
        spanners=spanners_for(thread, made_in=made_in, year=year),
        tapping_hole=_tapping_hole(thread, entry.tolerance_class),
        drills=_drills(thread),
        torque=tightening(thread),
        beware=look_alikes(thread, "internal") if "internal" in thread.sides else (),
    )


def spanners_for(
    thread: Thread, *, made_in: str | None = None, year: int | None = None
) -> tuple[Hexagon, ...]:
    """Hexagons that a thread usually had on machines of a country and a year.

    Parameters
    ----------
    thread : Thread
    made_in : str, optional
        Country of the machine, such as ``"GB"``.
    year : int, optional
        When it was made.

    Returns
    -------
    tuple of Hexagon
        Those most usual there and then: where none was usual the ones that were met, or else rare, and
        all that the tables hold where they tell of none.

    References
    ----------
    The periods are those of :mod:`threadwright.tables.hexagon_seeds`; five years either way are allowed
    for old stock (common practice, no source).

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> thread = find_thread("3/8-16 BSW")
    >>> [one.spanner for one in spanners_for(thread, year=1910)], len(spanners_for(thread, year=1930))
    (['3/8 W = 7/16 BS'], 2)
    """
    found = hexagons_for(thread)
    standing = [_standing(one, made_in, year) for one in found]
    best = min(standing, key=_STANDINGS.index, default="")
    return tuple(one for one, held in zip(found, standing, strict=True) if held == best)


def _standing(one: Hexagon, made_in: str | None, year: int | None) -> str:
    """How usual a hexagon was there and then; empty if no period of it was."""
    for period in one.periods:
        lagging = period._replace(since=period.since - _LAG_YEARS, until=period.until + _LAG_YEARS)
        if lagging.holds(made_in, year):
            return period.standing
    return ""


def _tapping_hole(thread: Thread, tolerance_class: str | None) -> tuple[float, float] | None:
    """Limits of the hole in its own class if that is one of a hole, else in the usual one. [mm]"""
    held = thread.classes("internal")
    named = tolerance_class if tolerance_class in held else thread.default_classes.get("internal")
    if named not in held:
        return None
    limits = thread.limits("internal", named).in_mm()
    ends = (limits.minor_min, limits.minor_max)
    return ends if all(map(math.isfinite, ends)) else None


def _drills(thread: Thread) -> tuple[TappingDrill, ...]:
    """Metric drill first; of each kind one inside the limits of the hole before one outside."""
    return tuple(
        sorted(
            tapping_drills(thread), key=lambda one: (one.within_limits is False, one.drill.kind != "metric")
        )
    )


def tightening(thread: Thread) -> ClampTorque | None:
    """Greatest torque for an unmarked steel screw; a soft hole or a brass screw holds less.

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    ClampTorque or None
        None for pipes and other hollow parts, and for screws that move.

    References
    ----------
    Clamp load 0.6 of the load at which the screw breaks (common practice, no source); strength of an
    unmarked screw from memory.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> found = tightening(find_thread("3/8-20 BSF"))
    >>> round(found.clamp_kN, 1), round(found.dry_Nm, 1)
    (13.1, 24.9)
    """
    if use_of(thread) or "external" not in thread.sides:
        return None
    diameter = thread.major_basic * thread.to_mm
    breaks = _grade().tensile_MPa(diameter) * screw_stress_area(thread) / 1000
    return clamp_torque(judgement.CLAMP_SHARE * breaks, diameter_mm=diameter)


def _grade() -> ScrewGrade:
    return find_grade(_GRADE)


def _screw() -> str:
    grade = _grade()
    memory = "" if grade.source.seen else "; from memory"
    return f"{grade.name}, {grade.tensile_MPa(1.0):.0f} MPa ({grade.source.document}{memory})"


def _spanner(one: Hexagon) -> dict[str, str]:
    return {
        "spanner": one.spanner,
        "of": one.of,
        "standard": one.standard,
        "period": one.period,
        "basis": one.basis,
    }


def _drill(one: TappingDrill) -> dict[str, object]:
    return {
        "drill": one.drill.name,
        "diameter": one.drill.diameter,
        "engagement": one.engagement.basic,
        "engagement_basis": one.engagement.basis,
        "within_limits": one.within_limits,
    }
