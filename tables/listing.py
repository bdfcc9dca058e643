"""The tables as plain records: one row for each quantity of each thread, for export."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from threadwright.tables.catalogue import candidates
from threadwright.tables.form import Form
from threadwright.tables.numbers import format_decimal
from threadwright.tables.registry import SYSTEMS, find_row, series, system
from threadwright.tables.system import LIMIT_QUANTITIES, MM_PER_INCH, LimitColumns, SeriesTable, Unit

__all__ = [
    "LENGTH_PLACES",
    "Count",
    "Record",
    "Selection",
    "counts",
    "describe",
    "every_selection",
    "records",
    "select",
]

LENGTH_PLACES: Mapping[str, int] = MappingProxyType({"mm": 6, "in": 8})
"""Decimals of a converted length."""


class Record(NamedTuple):
    """One value of one thread; ``value`` is written as the standard rounds it."""

    system: str
    designation: str
    side: str
    tolerance_class: str
    quantity: str
    value: str
    unit: str
    basis: str


class Selection(NamedTuple):
    """Rows of one system; a class narrows the limits to that class."""

    symbol: str
    rows: tuple[int, ...]
    tolerance_class: str | None = None
    unlisted: SeriesTable | None = None
    """The table of a thread that its series does not list, such as one with several starts."""
    left_hand: bool = False

    @property
    def table(self) -> SeriesTable:
        """The table that the rows belong to."""
        return series(self.symbol) if self.unlisted is None else self.unlisted


class Count(NamedTuple):
    """How many threads a series holds."""

    system: str
    threads: int
    aliases: int
    """How many of them are the same metal as a thread of a series before it, or an earlier one of its own."""
    unit: str
    title: str


def counts() -> tuple[Count, ...]:
    """The series in the registry's order, each with its threads and those that only are another name.

    Examples
    --------
    >>> next(row for row in counts() if row.system == "BSB").aliases
    1
    """
    others = Counter(symbol for names in candidates().names for symbol, _ in names[1:])
    return tuple(
        Count(entry.symbol, len(entry.sizes), others[entry.symbol], entry.unit, entry.title)
        for entry in SYSTEMS
    )


def every_selection() -> tuple[Selection, ...]:
    """All threads of all systems, in the registry's order."""
    return tuple(Selection(entry.symbol, tuple(range(len(entry.sizes)))) for entry in SYSTEMS)


def records(selections: Iterable[Selection], *, unit: Unit | None = None) -> Iterator[Record]:
    """Every value of the selected threads: basic sizes first, then the limits by side and class.

    Parameters
    ----------
    selections : iterable of Selection
        What to list.
    unit : {"mm", "in"}, optional
        Unit of all lengths; that of each standard if left out, with the standard's own rounding.

    Yields
    ------
    Record
        A limit that the standard does not give has none.

    Examples
    --------
    >>> next(records([Selection("BA", (0,))]))[:6]
    ('BA', '0 BA', 'basic', '', 'nominal_major', '6')
    """
    for selection in selections:
        table = selection.table
        scale, places = _scale(table, unit)
        limits = [
            columns
            for columns in table.limits
            if selection.tolerance_class in (None, columns.tolerance_class)
        ]
        named = unit or table.system.unit
        for row in selection.rows:
            yield from _basic(table, row, scale, places, named)
            for columns in limits:
                yield from _limits(table, columns, row, scale, places, named)


def _scale(table: SeriesTable, unit: Unit | None) -> tuple[float, int]:
    """Factor from the system's unit to the one asked for, and the places to print."""
    if unit is None or unit == table.system.unit:
        return 1.0, 10
    return (MM_PER_INCH if unit == "mm" else 1 / MM_PER_INCH), LENGTH_PLACES[unit]


def _basic(table: SeriesTable, row: int, scale: float, places: int, unit: str) -> Iterator[Record]:
    system, size = table.system, table.system.sizes[row]
    head = (system.symbol, table.designations[row], "basic", "")
    basis = size.basis or system.basis

    def lengths(**values: float) -> Iterator[Record]:
        for quantity, value in values.items():
            yield Record(*head, quantity, format_decimal(value * scale, places), unit, basis)

    yield from lengths(nominal_major=table.nominal_major[row], pitch=table.pitch[row])
    if system.unit == "in" or system.tpi_pitch:
        yield Record(*head, "tpi", format_decimal(1 / size.pitch), "", basis)
    yield Record(*head, "starts", str(size.starts), "", basis)
    for quantity, angle in _flank_angles(system.form).items():
        yield Record(*head, quantity, format_decimal(angle), "deg", basis)
    yield from lengths(
        major_basic=table.basic.major[row],
        pitch_diameter_basic=table.basic.pitch_diameter[row],
        minor_basic=table.basic.minor[row],
    )
    if system.taper:
        yield Record(*head, "taper", format_decimal(system.taper), "", basis)
    if table.lengths is not None:
        held = {"gauge_length": table.lengths.gauge[row], "useful_length": table.lengths.useful[row]}
        yield from lengths(**{name: value for name, value in held.items() if math.isfinite(value)})


def _flank_angles(form: Form) -> dict[str, float]:
    """The flank angle, or both of an asymmetric form. [deg]"""
    if form.flank_angle_clear is None:
        return {"flank_angle": form.flank_angle}
    return {"flank_angle_load": form.flank_angle, "flank_angle_clear": form.flank_angle_clear}


def _limits(
    table: SeriesTable, columns: LimitColumns, row: int, scale: float, places: int, unit: str
) -> Iterator[Record]:
    head = (table.system.symbol, table.designations[row], columns.side, columns.tolerance_class)
    for quantity in LIMIT_QUANTITIES:
        column = columns.columns.get(quantity)
        if column is not None and math.isfinite(value := float(column[row])):
            basis = columns.basis_of.get(quantity, columns.basis)
            yield Record(*head, quantity, format_decimal(value * scale, places), unit, basis)


def describe(selection: Selection, row: int, *, unit: Unit | None = None) -> dict[str, object]:
    """One thread as plain data: its basic sizes, and its limits by side and class; None where there is none.

    Parameters
    ----------
    selection : Selection
        System and class.
    row : int
        Row of the system.
    unit : {"mm", "in"}, optional
        Unit of all lengths; that of the standard if left out.
    """
    table = selection.table
    basic: dict[str, object] = {}
    limits: dict[tuple[str, str], dict[str, object]] = {}
    for record in records([selection._replace(rows=(row,))], unit=unit):
        if record.side == "basic":
            basic[record.quantity] = float(record.value)
            basic["basis"] = record.basis
            continue
        key = (record.side, record.tolerance_class)
        blank: dict[str, object] = {"side": key[0], "tolerance_class": key[1], "basis": {}}
        entry = limits.setdefault(key, {**blank, **dict.fromkeys(LIMIT_QUANTITIES)})
        entry[record.quantity] = float(record.value)
        kept = entry["basis"]
        assert isinstance(kept, dict)
        kept[record.quantity] = record.basis
    return {
        "designation": table.designations[row],
        "system": table.system.symbol,
        "title": table.system.title,
        "unit": unit or table.system.unit,
        **basic,
        "limits": list(limits.values()),
    }


def select(name: str) -> Selection:
    """What a name means: a series by its symbol, or a thread, perhaps with its class.

    Parameters
    ----------
    name : str
        ``"BSF"``, ``"M8x1.25"``, ``"M8-6g"``.

    Raises
    ------
    DesignationError, UnknownThreadError
        If no series or thread has this name; the message gives the nearest.

    Examples
    --------
    >>> select("bsf").symbol, select("M8x1.25-6g").tolerance_class
    ('BSF', '6g')
    """
    plain = name.strip()
    symbols = {entry.symbol.upper(): entry for entry in SYSTEMS}
    entry = symbols.get(plain.upper())
    if entry is not None:
        return Selection(entry.symbol, tuple(range(len(entry.sizes))))
    if plain and not any(sign.isdigit() for sign in plain):
        system(plain)
    table, row, tolerance_class, left_hand = find_row(name)
    symbol = table.system.symbol
    return Selection(symbol, (row,), tolerance_class, None if table is series(symbol) else table, left_hand)
