"""One thread and its limits, a row of the table of its system."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.system import (
    BOTH_SIDES,
    COMMONWEALTH,
    CONTINENT,
    LIMIT_QUANTITIES,
    MM_PER_INCH,
    NORTH_AMERICA,
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Period,
    SeriesTable,
    Side,
    Size,
    Source,
    Standing,
    System,
    TaperLengths,
    Unit,
    fine_first,
    in_order,
    seed_columns,
    tpi_column,
)

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
    "fine_first",
    "in_order",
    "seed_columns",
    "thread_of",
    "tpi_column",
]


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


def thread_of(table: SeriesTable, row: int, *, left_hand: bool = False) -> Thread:
    """One row of the table of a system as a thread."""
    system, size, lengths = table.system, table.system.sizes[row], table.lengths
    return Thread(
        designation=system.designation(size),
        system=system.symbol,
        title=system.title,
        form=system.form,
        unit=system.unit,
        nominal_major=float(table.nominal_major[row]),
        pitch=float(table.pitch[row]),
        tpi=1 / size.pitch if system.unit == "in" or system.tpi_pitch else size.tpi,
        starts=size.starts,
        left_hand=left_hand,
        choice=size.choice,
        major_basic=float(table.basic.major[row]),
        pitch_diameter_basic=float(table.basic.pitch_diameter[row]),
        minor_basic=float(table.basic.minor[row]),
        basis=size.basis or system.basis,
        all_limits=tuple(found for c in table.limits if (found := _limits(c, row, system.unit)).defined),
        default_classes=system.default_classes,
        sides=system.sides,
        taper=system.taper,
        gauge_length=None if lengths is None else _known(float(lengths.gauge[row])),
        useful_length=None if lengths is None else _known(float(lengths.useful[row])),
    )


def _limits(columns: LimitColumns, row: int, unit: Unit) -> Limits:
    values = dict.fromkeys(LIMIT_QUANTITIES, math.nan)
    for name, column in columns.columns.items():
        values[name] = _one_nan(float(column[row]))
    return Limits(
        side=columns.side,
        tolerance_class=columns.tolerance_class,
        unit=unit,
        basis=columns.basis,
        **values,
    )


def _known(value: float) -> float | None:
    return None if math.isnan(value) else value
