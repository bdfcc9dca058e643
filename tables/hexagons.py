"""Hexagons across flats by standard and period, and the sizes a measured hexagon may belong to.

A head and a nut may differ, so may two periods of one thread: every record names its standard.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from threadwright.tables.errors import TableError
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES, HexagonSeries, Part, printed_rows
from threadwright.tables.numbers import format_decimal, format_mixed
from threadwright.tables.periods import Period
from threadwright.tables.thread import MM_PER_INCH, Basis, Source, Thread, Unit

__all__ = [
    "AcrossFlatsMatch",
    "Hexagon",
    "SizeBand",
    "across_flats_for_opening",
    "bands_of",
    "hexagons_for",
    "hexagons_of",
    "sizes_for_across_flats",
    "wrench_opening",
]

Band = tuple[float, float]

ESTIMATED_WIDTH = 0.025
"""Width of the across flats limits over the size, where only the largest size is known: estimated, from
the printed limits of BS 1083 and BS 1768 (0.8 to 2.4 per cent)."""
COVERAGE = 2.0
"""A hexagon is offered if it lies within this many standard uncertainties of its limits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hexagon:
    """One hexagon of one series; lengths in ``unit``, limits as (largest, least)."""

    series: str
    standard: str
    period: str
    periods: tuple[Period, ...]
    """``period`` to compute with."""
    of: Part
    systems: tuple[str, ...]
    unit: Unit
    size: str
    """The thread size as the table names it: ``"3/8"``, ``"M8"``, ``"No. 10"``, ``"2 BA"``."""
    nominal: float
    """The size as a diameter in ``unit``; NaN for BA numbers."""
    across_flats_max: float
    across_flats_min: float
    """NaN where the table prints one size only."""
    spanner: str
    """Spanner that fits, as marked."""
    basis: Basis
    source: Source
    head_thickness: Band | None = None
    nut_thickness: Band | None = None
    lock_nut_thickness: Band | None = None
    shank_diameter: Band | None = None

    @property
    def across_corners_max(self) -> float:
        """Across the corners of a sharp hexagon of the largest size."""
        return self.across_flats_max / math.cos(math.pi / 6)

    @property
    def band_mm(self) -> Band:
        """Least and largest across flats; the least is estimated where none is printed. [mm]"""
        scale = 1.0 if self.unit == "mm" else MM_PER_INCH
        least = self.across_flats_min
        if math.isnan(least):
            least = self.across_flats_max * (1 - ESTIMATED_WIDTH)
        return least * scale, self.across_flats_max * scale


class AcrossFlatsMatch(NamedTuple):
    """A hexagon that a measured size may be, and how far the size lies outside its limits."""

    hexagon: Hexagon
    outside_mm: float
    """Zero inside the limits, negative below, positive above. [mm]"""


class SizeBand(NamedTuple):
    """Limits across flats of one size of one series; the least is estimated where none is printed."""

    size: str
    """As the table names it."""
    nominal: float
    """The size as a diameter in the unit of the series; NaN for BA numbers."""
    least_mm: float
    largest_mm: float


def _number(cell: str) -> float:
    """A printed number; a quotient of whole numbers rounds as the fraction does."""
    over, _, under = cell.partition("/")
    return math.nan if cell == "-" else float(over) / float(under) if under else float(cell)


@cache
def bands_of(entry: HexagonSeries) -> tuple[SizeBand, ...]:
    """Limits across flats of all sizes of one series, without what else its table holds.

    Parameters
    ----------
    entry : HexagonSeries

    Examples
    --------
    >>> from threadwright.tables.hexagon_seeds import HEXAGON_SERIES
    >>> [round(x, 3) for x in bands_of(HEXAGON_SERIES[0])[0][2:]]
    [11.125, 11.303]
    """
    scale, found = (1.0 if entry.unit == "mm" else MM_PER_INCH), []
    for size, texts in printed_rows(entry.rows()):
        largest = _number(texts[0])
        least = _number(texts[1]) if len(texts) > 1 else math.nan
        least = largest * (1 - ESTIMATED_WIDTH) if math.isnan(least) else least
        found.append(SizeBand(size, _nominal(size), least * scale, largest * scale))
    return tuple(found)


def _nominal(size: str) -> float:
    """Diameter that a size name means, in the unit of its series."""
    if size.endswith("BA"):
        return math.nan
    if size.startswith("No. "):
        return round(0.060 + 0.013 * int(size[4:]), 3)
    if size.startswith("M"):
        return float(size[1:])
    return sum(_number(part) for part in size.split(" "))


def _spanner(series: HexagonSeries, size: str, across: float) -> str:
    if series.spanner == "mm":
        return f"{format_decimal(across)} mm"
    if series.spanner == "size":
        return size
    if series.spanner == "AF":
        return f"{format_mixed(Fraction(across).limit_denominator(64))} in AF"
    other = "W" if series.spanner == "BS" else "BS"
    same = [
        f"{name} {other}"
        for twin in HEXAGON_SERIES
        if twin.name in (("large Whitworth",) if other == "W" else ("BS 1083", "BSF 11/16"))
        for name, cells in printed_rows(twin.rows())
        if abs(float(cells[0]) - across) <= 0.006
    ]
    return " = ".join([f"{size} {series.spanner}", *same])


def _pair(cells: list[float], at: int) -> Band | None:
    pair = tuple(cells[at : at + 2])
    return None if len(pair) < 2 or math.isnan(pair[0]) else (pair[0], pair[1])


@cache
def hexagons_of(name: str) -> tuple[Hexagon, ...]:
    """All hexagons of one series.

    Parameters
    ----------
    name : str
        For example ``"BS 1083"``.

    Raises
    ------
    TableError
        If there is no such series.

    Examples
    --------
    >>> hexagons_of("BS 1083")[2].spanner
    '3/8 BS = 5/16 W'
    """
    found = [series for series in HEXAGON_SERIES if series.name == name]
    if not found:
        known = ", ".join(repr(series.name) for series in HEXAGON_SERIES)
        raise TableError(f"hexagons: no series {name!r}; write one of {known}")
    series, made = found[0], []
    for size, texts in printed_rows(series.rows()):
        cells = [_number(text) for text in texts]
        made.append(
            Hexagon(
                series=series.name,
                standard=series.standard,
                period=series.period,
                periods=series.periods,
                of=series.of,
                systems=series.systems,
                unit=series.unit,
                size=size,
                nominal=_nominal(size),
                across_flats_max=cells[0],
                across_flats_min=cells[1] if len(cells) > 1 else math.nan,
                spanner=_spanner(series, size, cells[0]),
                basis=series.basis,
                source=series.source,
                head_thickness=_pair(cells, 2),
                nut_thickness=_pair(cells, 4),
                lock_nut_thickness=_pair(cells, 6),
                shank_diameter=_pair(cells, 8),
            )
        )
    return tuple(made)


def hexagons_for(thread: Thread) -> tuple[Hexagon, ...]:
    """Hexagons that heads and nuts of a thread have, by standard and period.

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    tuple of Hexagon
        Empty if no table speaks of this size.

    References
    ----------
    Each record names its own source.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [(h.series, h.spanner) for h in hexagons_for(find_thread("3/8-16 BSW"))]
    [('BS 1083', '3/8 BS = 5/16 W'), ('large Whitworth', '3/8 W = 7/16 BS')]
    """
    return tuple(
        hexagon
        for series in HEXAGON_SERIES
        if thread.system in series.systems
        for hexagon in hexagons_of(series.name)
        if hexagon.size == thread.designation
        or (hexagon.unit == thread.unit and abs(hexagon.nominal - thread.nominal_major) < 1e-6)
    )


def sizes_for_across_flats(across_flats: float, u: float) -> tuple[AcrossFlatsMatch, ...]:
    """Hexagons that a measured size across flats may be, the nearest first.

    Parameters
    ----------
    across_flats : float
        Measured across flats. [mm]
    u : float
        Its standard uncertainty, rounding by wear included. [mm]

    Returns
    -------
    tuple of AcrossFlatsMatch
        Those whose limits lie within two standard uncertainties; the least size is estimated where the
        table prints only one.

    Raises
    ------
    TableError
        If the size or the uncertainty is not positive.

    Examples
    --------
    >>> [(m.hexagon.series, m.hexagon.size) for m in sizes_for_across_flats(11.2, 0.03)][:2]
    [('BS 1083', '1/4'), ('large Whitworth', '3/16')]
    """
    for name, value in (("across flats", across_flats), ("uncertainty of the size across flats", u)):
        if not (math.isfinite(value) and value > 0):
            raise TableError(f"{name}: cannot use {value} mm; give a size above 0, like 11.2 mm")
    found = []
    for series in HEXAGON_SERIES:
        for hexagon in hexagons_of(series.name):
            least, largest = hexagon.band_mm
            outside = min(across_flats - least, 0.0) + max(across_flats - largest, 0.0)
            if abs(outside) <= COVERAGE * u:
                found.append(AcrossFlatsMatch(hexagon, outside))
    return tuple(sorted(found, key=lambda match: abs(match.outside_mm)))


def wrench_opening(across_flats: float) -> Band:
    r"""Least and largest opening of a wrench for a hexagon.

    .. math:: g_{min} = 1.005 W + 0.001, \quad g_{max} = g_{min} + 0.005 W + 0.004 \text{ in}

    Parameters
    ----------
    across_flats : float
        Largest size across flats, W. [in]

    Returns
    -------
    tuple of float
        Least and largest opening. [in]

    Raises
    ------
    TableError
        If the size is not positive.

    References
    ----------
    Machinery's Handbook, 19th edition: wrench openings.

    Examples
    --------
    >>> [round(x, 4) for x in wrench_opening(0.76)]
    [0.7648, 0.7726]
    """
    if not across_flats > 0:
        raise TableError(f"across flats: cannot use {across_flats} in; give a size above 0, like 0.75 in")
    least = 1.005 * across_flats + 0.001
    return least, least + 0.005 * across_flats + 0.004


def across_flats_for_opening(opening: float) -> Band:
    """Least and largest hexagon for which a measured wrench was made; the reverse of :func:`wrench_opening`.

    Parameters
    ----------
    opening : float
        Measured opening. [in]

    Returns
    -------
    tuple of float
        Least and largest size across flats. [in]

    Raises
    ------
    TableError
        If the opening is 0.005 in or less.

    References
    ----------
    Machinery's Handbook, 19th edition: wrench openings.

    Examples
    --------
    >>> [round(x, 4) for x in across_flats_for_opening(0.7562)]
    [0.7438, 0.7514]
    """
    if not opening > 0.005:
        raise TableError(f"wrench opening: cannot use {opening} in; give an opening like 0.7562 in")
    return (opening - 0.005) / 1.010, (opening - 0.001) / 1.005
