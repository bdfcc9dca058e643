"""The tables as plain records: one row for each quantity of each thread, for export."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from threadwright.tables.numbers import format_decimal
from threadwright.tables.registry import SYSTEMS, find_thread_and_class, series, system
from threadwright.tables.thread import LIMIT_QUANTITIES, MM_PER_INCH, LimitColumns, SeriesTable, Unit

__all__ = ["Record", "Selection", "describe", "every_selection", "records", "select"]

_CONVERTED_PLACES = {"mm": 6, "in": 8}


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
        table = series(selection.symbol)
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
    return (MM_PER_INCH if unit == "mm" else 1 / MM_PER_INCH), _CONVERTED_PLACES[unit]


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
    yield Record(*head, "flank_angle", format_decimal(system.form.flank_angle), "deg", basis)
    yield from lengths(
        major_basic=table.basic.major[row],
        pitch_diameter_basic=table.basic.pitch_diameter[row],
        minor_basic=table.basic.minor[row],
    )


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
    table = series(selection.symbol)
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
    thread, tolerance_class = find_thread_and_class(name)
    row = series(thread.system).designations.index(thread.designation)
    return Selection(thread.system, (row,), tolerance_class)
