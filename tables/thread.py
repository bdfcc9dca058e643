"""One thread and its limits; one system as columns.

A system is built as whole columns (:class:`SeriesTable`) in the unit its standard is written in;
a :class:`Thread` is one row of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from threadwright.tables.columns import (
    BOTH_SIDES,
    LIMIT_QUANTITIES,
    MM_PER_INCH,
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Side,
    TaperLengths,
    Unit,
)
from threadwright.tables.errors import TableError, UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.numbers import float_column, round_columns
from threadwright.tables.periods import COMMONWEALTH, CONTINENT, NORTH_AMERICA, Period, Standing

__all__ = [
    "BOTH_SIDES",
    "COMMONWEALTH",
    "CONTINENT",
    "LIMIT_QUANTITIES",
    "MM_PER_INCH",
    "NORTH_AMERICA",
    "Array",
    "Basic",
    "Basis",
    "DeferredColumns",
    "LimitColumns",
    "Limits",
    "Period",
    "SeriesTable",
    "Side",
    "Size",
    "Source",
    "Standing",
    "System",
    "TaperLengths",
    "Thread",
    "Unit",
    "coarse_first",
    "fine_first",
    "seed_columns",
    "tpi_column",
]


class Size(NamedTuple):
    """One exact seed of a series, in the unit of its standard."""

    name: str
    """The size as the standard prints it, without the pitch: ``"M8"``, ``"3/8"``, ``"No. 10"``, ``"2"``."""
    major: Fraction
    """Nominal major diameter."""
    pitch: Fraction
    """Pitch; for inch series 1 / tpi exactly."""
    choice: int = 1
    """Order of preference in the standard: 1 first choice, 2 second, 3 third or not for new work."""
    aliases: tuple[str, ...] = ()
    """Other spellings that find this size."""
    basis: Basis | None = None
    """Where the seed comes from, if it differs from the rest of the series."""
    starts: int = 1
    nominal: Fraction | None = None
    """The size the name means, where it is not the major diameter: 1/2 in of G 1/2."""
    tpi: Fraction | None = None
    """Threads per inch of a size whose series otherwise gives pitches in millimetres; exact."""
    since: int | None = None
    """First year the size was in use, where that is known and later or earlier than its series."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a fact was read."""

    document: str
    note: str = ""
    seen: bool = True
    """False when the numbers are recalled, not read."""


def _one_nan(value: float) -> float:
    """Every "not defined" the same object, so that equal limits compare equal."""
    return math.nan if math.isnan(value) else value


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of one thread for a side and a class, in the thread's unit; NaN is "not defined"."""

    side: Side
    tolerance_class: str
    unit: Unit
    major_max: float
    major_min: float
    pitch_diameter_max: float
    pitch_diameter_min: float
    minor_max: float
    minor_min: float
    minor_flat_max: float
    basis: Basis

    @property
    def defined(self) -> bool:
        """Whether the standard gives any of them."""
        return any(getattr(self, name) == getattr(self, name) for name in LIMIT_QUANTITIES)

    def in_mm(self) -> Limits:
        """Return the same limits in millimetres."""
        if self.unit == "mm":
            return self
        scaled = {name: _one_nan(getattr(self, name) * MM_PER_INCH) for name in LIMIT_QUANTITIES}
        return Limits(
            side=self.side, tolerance_class=self.tolerance_class, unit="mm", basis=self.basis, **scaled
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One designation of one system.

    Diameters, lengths and the pitch are in ``unit``, the unit the standard is written in. The basic
    sizes and limits of a taper thread are those at its gauge plane.
    """

    designation: str
    system: str
    title: str
    form: Form
    unit: Unit
    nominal_major: float
    pitch: float
    tpi: Fraction | None
    """Threads per inch, exact; None for a metric pitch."""
    starts: int
    left_hand: bool
    choice: int
    major_basic: float
    pitch_diameter_basic: float
    minor_basic: float
    basis: Basis
    all_limits: tuple[Limits, ...]
    default_classes: Mapping[Side, str] = field(hash=False)
    sides: tuple[Side, ...] = BOTH_SIDES
    """The sides the standard knows: R of ISO 7-1 is external only, Rc and Rp are internal only."""
    taper: Fraction = Fraction(0)
    """Change of diameter over the length it happens in; 0 for a parallel thread. [-]"""
    gauge_length: float | None = None
    """Small end to gauge plane of a taper thread; None if parallel or not held."""
    useful_length: float | None = None
    """Small end to the last thread complete at its root; None if parallel or not held."""

    @property
    def to_mm(self) -> float:
        """Millimetres in the thread's unit. [mm]"""
        return 1.0 if self.unit == "mm" else MM_PER_INCH

    @property
    def pitch_mm(self) -> float:
        """Pitch. [mm]"""
        return self.pitch * self.to_mm

    @property
    def nominal_major_mm(self) -> float:
        """Nominal major diameter. [mm]"""
        return self.nominal_major * self.to_mm

    @property
    def lead_mm(self) -> float:
        """Advance in one turn: starts times pitch. [mm]"""
        return self.pitch_mm * self.starts

    def classes(self, side: Side) -> tuple[str, ...]:
        """Tolerance classes of one side, in the standard's order."""
        return tuple(row.tolerance_class for row in self.all_limits if row.side == side)

    def default_class(self, side: Side) -> str:
        """Class assumed when none is given: the usual commercial one.

        Raises
        ------
        UnknownThreadError
            If this thread has no such side.
        """
        self._check_side(side)
        return self.default_classes[side]

    def _repr_html_(self) -> str:
        """The basic sizes and limits as a plain table, for a notebook."""
        from threadwright.tables.html import thread_html

        return thread_html(self)

    def _check_side(self, side: Side) -> None:
        if side not in self.sides:
            raise UnknownThreadError(
                f"{self.designation}: this thread has no {side} side; ask for the {self.sides[0]} one"
            )

    def limits(self, side: Side, tolerance_class: str | None = None) -> Limits:
        """Limits of one side and class.

        Parameters
        ----------
        side : {"external", "internal"}
        tolerance_class : str, optional
            The usual commercial class if left out; the first one if that has no limits.

        Raises
        ------
        UnknownThreadError
            If this thread has no such side, or no such class on that side.
        """
        self._check_side(side)
        wanted = self.default_classes.get(side, "") if tolerance_class is None else tolerance_class
        rows = [row for row in self.all_limits if row.side == side]
        for row in rows:
            if row.tolerance_class == wanted:
                return row
        if tolerance_class is None and rows:
            return rows[0]
        known = ", ".join(name or "(unnamed)" for name in self.classes(side)) or "none"
        raise UnknownThreadError(
            f"{self.designation}: no {side} class {wanted!r}; the tables hold {known} for this side"
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class SeriesTable:
    """A system as columns, in the unit of its standard."""

    system: System
    nominal_major: Array
    pitch: Array
    basic: Basic
    limits: tuple[LimitColumns, ...]
    lengths: TaperLengths | None = None

    def __len__(self) -> int:
        return len(self.pitch)

    @property
    def designations(self) -> tuple[str, ...]:
        """Every size as its standard writes it.

        Raises
        ------
        TableError
            If a designation stands twice.
        """
        return _designations(self.system)

    def thread(self, row: int) -> Thread:
        """Return one row as a :class:`Thread`."""
        system, size = self.system, self.system.sizes[row]
        return Thread(
            designation=system.designation(size),
            system=system.symbol,
            title=system.title,
            form=system.form,
            unit=system.unit,
            nominal_major=float(self.nominal_major[row]),
            pitch=float(self.pitch[row]),
            tpi=1 / size.pitch if system.unit == "in" or system.tpi_pitch else size.tpi,
            starts=size.starts,
            left_hand=False,
            choice=size.choice,
            major_basic=float(self.basic.major[row]),
            pitch_diameter_basic=float(self.basic.pitch_diameter[row]),
            minor_basic=float(self.basic.minor[row]),
            basis=size.basis or system.basis,
            all_limits=tuple(found for c in self.limits if (found := self._limits_row(c, row)).defined),
            default_classes=system.default_classes,
            sides=system.sides,
            taper=system.taper,
            gauge_length=None if self.lengths is None else _known(self.lengths.gauge[row]),
            useful_length=None if self.lengths is None else _known(self.lengths.useful[row]),
        )

    def _limits_row(self, columns: LimitColumns, row: int) -> Limits:
        values = dict.fromkeys(LIMIT_QUANTITIES, math.nan)
        for name, column in columns.columns.items():
            values[name] = _one_nan(float(column[row]))
        return Limits(
            side=columns.side,
            tolerance_class=columns.tolerance_class,
            unit=self.system.unit,
            basis=columns.basis,
            **values,
        )


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class System:
    """One thread system: exact seeds, rules, source; its table is built when first asked for.

    ``rules(system)`` returns the basic sizes and the limits as whole columns. ``designation(size)``
    prints a size as its standard writes it, in plain ASCII, always with the pitch.
    """

    symbol: str
    title: str
    unit: Unit
    form: Form
    seeds: Callable[[], tuple[Size, ...]]
    """Makes the exact seeds; called once, when the system is first used."""
    source: Source
    used: str
    """When and where the system was in use."""
    designation: Callable[[Size], str]
    rules: Callable[[System], tuple[Basic, tuple[LimitColumns, ...]]]
    default_classes: Mapping[Side, str]
    basis: Basis = "computed"
    tpi_pitch: bool = False
    """True for a system in millimetres whose pitch is given in threads per inch."""
    pitch_places: int | None = None
    """Decimal places the standard rounds the pitch to before anything else."""
    periods: tuple[Period, ...] = ()
    """The same as ``used``, to compute with; empty means nothing is known."""
    spellings: tuple[str, ...] = ()
    """Other names of the system that may stand in a designation, for example ``"BSP"``."""
    inch: Fraction = Fraction("25.4")
    """Millimetres in the inch of a system in millimetres with threads per inch."""
    sides: tuple[Side, ...] = BOTH_SIDES
    taper: Fraction = Fraction(0)
    """Change of diameter over length: 1/16 of pipe threads, 0 of parallel ones."""
    lengths: Callable[[System], TaperLengths] | None = None
    """Gauge and useful lengths of a taper system, whose basic sizes are those at the gauge plane."""
    unlisted: Callable[[System, str], Size | None] | None = None
    """Reads the key of a designation that follows from a listed size, such as one with several starts."""

    @property
    def sizes(self) -> tuple[Size, ...]:
        """The exact seeds, checked against each other.

        Raises
        ------
        TableError
            If a pitch is not below its major diameter.
        """
        return _seeded(self)[0]

    def build(self) -> SeriesTable:
        """Compute the whole system."""
        basic, limits = self.rules(self)
        major, pitch = seed_columns(self)
        named = [(row, size.nominal) for row, size in enumerate(self.sizes) if size.nominal is not None]
        if named:
            major = major.copy()
            major[[row for row, _ in named]] = float_column(nominal for _, nominal in named)
        return SeriesTable(
            system=self,
            nominal_major=major,
            pitch=pitch,
            basic=basic,
            limits=limits,
            lengths=None if self.lengths is None else self.lengths(self),
        )


def fine_first(size: Size) -> tuple[float, float]:
    """Sorts sizes by diameter, the finest pitch of one diameter first."""
    major, pitch = size.major, size.pitch
    return major.numerator / major.denominator, pitch.numerator / pitch.denominator


def coarse_first(size: Size) -> tuple[float, float]:
    """Sorts sizes by diameter, the coarsest pitch of one diameter first."""
    major, pitch = fine_first(size)
    return major, -pitch


def tpi_column(system: System) -> Array:
    """Threads per inch of every size of a system in inches. [1/in]"""
    pitches = [size.pitch for size in system.sizes]
    return np.array([pitch.denominator / pitch.numerator for pitch in pitches], dtype=np.float64)


_KEPT = 128  # systems whose seeds stay at hand: all that are registered, and some made up of one size


@lru_cache(maxsize=_KEPT)
def _seeded(system: System) -> tuple[tuple[Size, ...], Array, Array]:
    """The checked seeds, and their major diameters and pitches as columns, as they stand in the list."""
    sizes = system.seeds()
    major, pitch = (float_column(getattr(size, name) for size in sizes) for name in ("major", "pitch"))
    inch = float(system.inch) if system.unit == "mm" and system.tpi_pitch else 1.0
    for row in np.flatnonzero(~((pitch > 0) & (pitch * inch < major))):
        size = sizes[row]
        raise TableError(
            f"{system.symbol} {system.designation(size)}: pitch {size.pitch} must be below major diameter "
            f"{size.major}"
        )
    return sizes, major, pitch


@lru_cache(maxsize=_KEPT)
def _designations(system: System) -> tuple[str, ...]:
    names = tuple(system.designation(size) for size in system.sizes)
    if len(set(names)) < len(names):
        twice = next(name for row, name in enumerate(names) if name in names[:row])
        raise TableError(f"{system.symbol} {twice} stands twice in its table")
    return names


@lru_cache(maxsize=_KEPT)
def seed_columns(system: System) -> tuple[Array, Array]:
    """Nominal major diameters and pitches of a system as columns, in its unit.

    A system in millimetres with pitches in threads per inch gets its pitch in millimetres, rounded
    first if its standard says so.
    """
    _, major, pitch = _seeded(system)
    if system.tpi_pitch and system.unit == "mm":
        pitch = pitch * float(system.inch)
    if system.pitch_places is not None:
        pitch = round_columns(pitch, system.pitch_places)
    major.flags.writeable = pitch.flags.writeable = False
    return major, pitch
