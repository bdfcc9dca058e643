"""The cells of a table of readings: whole columns at once where they are plain numbers, the strict grammar
cell by cell where they are not.

A unit written in a cell comes before that of the header. An empty cell is a reading not taken.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from threadwright import judgement
from threadwright.batch_csv import ANSWERED, DIMENSIONS_OF, Column, Sheet
from threadwright.instruments import COMBS
from threadwright.likelihood import DIMENSIONS, CombColumn, LengthColumn, Observations, WireColumn
from threadwright.ranking import observe
from threadwright.reading_text import parse_reading
from threadwright.readings import CONDITIONS, LABELS, SIDES, Readings
from threadwright.tables.errors import ReadingError
from threadwright.units import column_unit, split_unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from threadwright.tables.thread import Array
    from threadwright.units import ColumnUnit

__all__ = ["NO_READING", "groups", "readings_of", "usual_u"]

_SIDE_CODES: Final = MappingProxyType({"": 0, **{word: code for code, word in enumerate(SIDES)}})
NO_READING: Final = "row: no reading given; measure the major diameter first, then the pitch"
_STATES: Final = ("unknown", *CONDITIONS)
_STATE_CODES: Final = MappingProxyType({"": 0, **{word: i + 1 for i, word in enumerate(CONDITIONS)}})
_LONGEST: Final = 24  # characters of a plain number, as in the grammar of numbers
_PLAIN = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*([^\d\s.][^\d\s]*)?\s*", re.ASCII)
_SPREADS: Final = tuple(f"{name}_{part}" for name in DIMENSIONS for part in ("u", "width"))
_FIELDS: Final = (*LABELS, *_SPREADS, "over_wires_u", "wire_u", "pitch_u", "flank_angle_u")


@dataclass(slots=True, eq=False)
class _Numbers:
    """The readings of some rows, as columns; NaN is a reading not taken. [mm or deg]"""

    n: int
    values: dict[str, Array] = field(init=False)
    side: NDArray[np.int64] = field(init=False)
    state: NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        self.values = {name: np.full(self.n, np.nan) for name in _FIELDS}
        self.side, self.state = np.zeros(self.n, dtype=np.int64), np.zeros(self.n, dtype=np.int64)


def _filled(sheet: Sheet) -> _Numbers:
    """Read the cells: whole columns of plain numbers at once, what is left row by row."""
    n = len(sheet)
    found = _Numbers(n)
    hard, checked = np.zeros(n, dtype=bool), np.ones(n, dtype=bool)
    checked[list(sheet.faults)] = False
    for column, cells in zip(sheet.columns, sheet.cells, strict=True):
        if column.name in LABELS:
            found.values[column.name], hard = _numbers(cells, column, hard)
        elif column.name != "id":
            known = _SIDE_CODES if column.name == "side" else _STATE_CODES
            codes = np.array([known.get(cell, -1) for cell in cells], dtype=np.int64)
            if column.name == "side":
                found.side = codes
            else:
                found.state = codes
            hard |= codes < 0
    _fill_uncertainties(found)
    for row in np.flatnonzero(checked & (hard | _suspect(found))).tolist():
        _fill_row(found, sheet, row)
    return found


def _numbers(
    cells: Sequence[str], column: Column, hard: NDArray[np.bool_]
) -> tuple[Array, NDArray[np.bool_]]:
    """Values of a column [mm or deg], and the cells that are more than a plain number."""
    joined = "\n".join(cells)
    if column.unit is not None and not joined.strip("0123456789.\n") and max(map(len, cells)) <= _LONGEST:
        try:
            plain = list(map(float, cells)) if all(cells) else [float(c) if c else np.nan for c in cells]
            return column.unit.to_mm(np.array(plain)), hard
        except ValueError:  # a point alone, or two of them
            pass
    values, hard = np.full(len(cells), np.nan), hard.copy()
    by_unit: dict[ColumnUnit, tuple[list[int], list[float]]] = {}
    for row, cell in enumerate(cells):
        match = _PLAIN.fullmatch(cell)
        if match is None or len(match[1]) > _LONGEST:
            hard[row] |= bool(cell.strip())
            continue
        unit = column.unit if match[2] is None else _unit(match[2], column.name)
        if unit is None:
            hard[row] = True
            continue
        places, numbers = by_unit.setdefault(unit, ([], []))
        places.append(row)
        numbers.append(float(match[1]))
    for unit, (places, numbers) in by_unit.items():
        values[places] = unit.to_mm(np.array(numbers))
    return values, hard


@lru_cache(maxsize=256)
def _unit(word: str, name: str) -> ColumnUnit | None:
    """The unit of a cell, if it is one that its column may have."""
    try:
        unit = column_unit(word)
    except ReadingError:
        return None
    return unit if unit.dimension in DIMENSIONS_OF[name] else None


@lru_cache(maxsize=32)
def usual_u(name: str, side: str) -> float:
    """Standard uncertainty of a plain reading, taken with its usual instrument.

    Parameters
    ----------
    name : str
        Which reading, other than the pitch.
    side : {"external", "internal"}

    Returns
    -------
    float
        Standard uncertainty. [mm or deg]

    Examples
    --------
    >>> usual_u("major", "external")
    0.02
    """
    return parse_reading(name, "27.5 deg" if name == "flank_angle" else "10 mm", side=side).u


def _fill_uncertainties(found: _Numbers) -> None:
    """Give every plain reading the uncertainty of its usual instrument."""
    for name in LABELS:
        if name != "pitch":
            usual = np.array([usual_u(name, side) for side in SIDES])
            found.values[f"{name}_u"] = np.where(
                np.isnan(found.values[name]), np.nan, usual[np.maximum(found.side, 0)]
            )


def _suspect(found: _Numbers) -> NDArray[np.bool_]:
    """Rows that may be refused: they are read again by the strict grammar, which says why."""
    column = found.values
    major, minor, middle = column["major"], column["minor"], column["pitch_diameter"]
    over, wire, pitch = column["over_wires"], column["wire"], column["pitch"]
    doubt = np.isnan([column[name] for name in ANSWERED]).all(axis=0)
    for name in LABELS:
        least, most = judgement.LEAST_LENGTH_MM, judgement.GREATEST_LENGTH_MM
        if name == "pitch":
            least, most = judgement.LEAST_PITCH_MM, judgement.GREATEST_PITCH_MM
        elif name == "flank_angle":
            least, most = judgement.LEAST_FLANK_DEG, judgement.GREATEST_FLANK_DEG
        doubt |= (column[name] < least) | (column[name] > most)
    doubt |= (minor >= major) | (minor >= middle) | (middle >= major) | (pitch >= major)
    doubt |= np.isnan(over) != np.isnan(wire)
    doubt |= ~np.isnan(wire) & (found.side == SIDES.index("internal"))
    doubt |= (wire < judgement.LEAST_WIRE_SHARE * pitch) | (wire > judgement.GREATEST_WIRE_SHARE * pitch)
    slack = judgement.CONTRADICTION_IN_U * np.hypot(column["over_wires_u"], column["major_u"])
    return np.asarray(doubt | (3 * wire >= over) | (over < major - slack))


def readings_of(sheet: Sheet, row: int) -> Readings:
    """Read one row by the strict grammar.

    Parameters
    ----------
    sheet : Sheet
    row : int

    Returns
    -------
    Readings

    Raises
    ------
    ReadingError
        If a cell cannot be read or is impossible, cells contradict each other, or there is no reading.

    Examples
    --------
    >>> import io
    >>> from threadwright.batch_csv import sheets
    >>> sheet = next(sheets(io.StringIO("id,major [mm]\\na,9.41 +- 0.05\\n"), name="table.csv"))
    >>> readings_of(sheet, 0).major.u
    0.05
    """
    given: dict[str, Any] = {}
    for column, cells in zip(sheet.columns, sheet.cells, strict=True):
        text = cells[row].strip()
        if column.name != "id" and text:
            given[column.name] = text if column.unit is None else _lend_unit(text, column.unit.word)
    readings = Readings(**given)
    if not readings.given():
        raise ReadingError(NO_READING)
    return readings


def _lend_unit(text: str, unit: str) -> str:
    """The text of a cell with the header's unit, unless it has its own."""
    body, by, instrument = text.replace("±", "+-").partition(" by ")
    return f"{body if split_unit(body)[1] else f'{body.strip()} {unit}'}{by}{instrument}"


def _fill_row(found: _Numbers, sheet: Sheet, row: int) -> None:
    """Read one row by the strict grammar into its place, or note its fault."""
    for column in found.values.values():
        column[row] = np.nan
    try:
        one = observe(readings_of(sheet, row))
    except ReadingError as fault:
        sheet.faults[row] = str(fault)
        return
    found.side[row], found.state[row] = SIDES.index(one.side), _STATES.index(one.condition)
    lengths = {**one.lengths, "pitch": one.pitch, "flank_angle": one.flank_angle}
    put: dict[str, Array] = {}
    for name, reading in lengths.items():
        if reading is not None:
            put |= {name: reading.value, f"{name}_u": reading.u}
            if reading.width is not None:
                put[f"{name}_width"] = reading.width
    if one.over_wires is not None:
        over = one.over_wires
        put |= {"over_wires": over.value, "over_wires_u": over.u, "wire": over.wire, "wire_u": over.u_wire}
    if one.comb is not None:
        put["pitch"] = one.comb.leaf
    for name, value in put.items():
        found.values[name][row] = value[0]


def groups(sheet: Sheet) -> Iterator[tuple[NDArray[np.int64], Observations]]:
    """Read the cells, and gather the rows without a fault by side, condition and kinds of reading.

    Faults found in the cells are added to those of the sheet before the first group is given.

    Parameters
    ----------
    sheet : Sheet

    Yields
    ------
    tuple of array of int (n,) and Observations
        Rows of the sheet, ascending, and their readings.

    Examples
    --------
    >>> import io
    >>> from threadwright.batch_csv import sheets
    >>> table = "id,major [mm],pitch [mm]\\na,7.9,1.25\\nb,5.9,\\nc,9.9,1.5\\n"
    >>> [rows.tolist() for rows, _ in groups(next(sheets(io.StringIO(table), name="table.csv")))]
    [[1], [0, 2]]
    """
    found = _filled(sheet)
    marks = ("pitch_u", *(f"{name}_width" for name in DIMENSIONS), *ANSWERED)
    key = found.side * len(_STATES) + found.state
    for name in marks:
        key = 2 * key + ~np.isnan(found.values[name])
    key[list(sheet.faults)] = -1
    for value in np.unique(key[key >= 0]):
        rows = np.flatnonzero(key == value)
        yield rows, _observations(found, rows)


def _observations(found: _Numbers, rows: NDArray[np.int64]) -> Observations:
    """The readings of rows that have the same kinds of reading."""
    values = {name: column[rows] for name, column in found.values.items() if not np.isnan(column[rows[0]])}

    def length(name: str) -> LengthColumn | None:
        if name not in values:
            return None
        return LengthColumn(values[name], values[f"{name}_u"], values.get(f"{name}_width"))

    comb = over = None
    if "over_wires" in values:
        over = WireColumn(*(values[name] for name in ("over_wires", "over_wires_u", "wire", "wire_u")))
    measured = "pitch_u" in values
    if "pitch" in values and not measured:
        comb = CombColumn(values["pitch"], np.full(len(rows), np.nan), COMBS)
    sized = {name: column for name in DIMENSIONS if (column := length(name)) is not None}
    first = rows[0]
    return Observations(
        n=len(rows),
        side=SIDES[found.side[first]],
        condition=_STATES[found.state[first]],
        lengths=sized,
        over_wires=over,
        comb=comb,
        pitch=length("pitch") if measured else None,
        flank_angle=length("flank_angle"),
    )
