"""What the size across flats of a hexagon says of its thread.

A thread's own standards give its hexagon, by system and period; some hexagons are worn, and some are not
of the thread's own standard at all. So the density is a mixture: narrow where a standard says so, and broad
beneath it, that a head made in the shop excludes no thread.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.normal import log_density, log_interval
from threadwright.observations import FlatsColumn
from threadwright.tables.catalogue import candidates
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES, HexagonSeries
from threadwright.tables.hexagons import SizeBand, bands_of, wrench_opening
from threadwright.tables.periods import Period
from threadwright.tables.registry import series
from threadwright.tables.thread import MM_PER_INCH, Array, System

__all__ = ["flats_terms", "likeliest_hexagon", "log_none_flats", "own_hexagons", "spanner_zones"]

Integers = NDArray[np.int64]
_FEW = 50  # candidates up to which zones are worked out for them alone
_FAR = 4.0  # spreads of the logarithm beyond which a hexagon is not one for about that diameter


class _Zones(NamedTuple):
    """Zones of all candidates laid end to end, by candidate."""

    first: Integers
    """Where the zones of each begin."""
    many: Integers
    low: Array
    high: Array
    log_weight: Array


class _Row(NamedTuple):
    """One zone and its weight; NaN for the ends of the zone without ends. [-, mm, mm]"""

    weight: float
    low: float
    high: float


def _standing(periods: tuple[Period, ...], country: str | None, year: int | None) -> str:
    return next((one.standing for one in periods if one.holds(country, year)), "not usual")


def _series_weight(entry: HexagonSeries, country: str | None, year: int | None) -> float:
    """How common a series of hexagons is among fasteners of its threads."""
    weight = judgement.HEXAGON_WEIGHT.get(entry.name, 1.0)
    if country is None and year is None:
        return weight
    return weight * judgement.HEXAGON_STANDING[_standing(entry.periods, country, year)]


def spanner_zones(least: float, largest: float) -> list[tuple[float, float, float]]:
    """Sizes of spanners that fit a hexagon: share, least and largest.

    Parameters
    ----------
    least, largest : float
        Limits of the hexagon across flats. [mm]

    Returns
    -------
    list of (share, low, high)
        The size marked, the opening, and a loose spanner of another series. [-, mm, mm]

    References
    ----------
    Machinery's Handbook, 19th edition: wrench openings.

    Examples
    --------
    >>> [(low, round(high, 2)) for _, low, high in spanner_zones(12.73, 13.0)][0::2]
    [(13.0, 13.0), (12.73, 13.45)]
    """
    marked, opening, loose = judgement.SPANNER_SHARES
    ends = [MM_PER_INCH * end for end in wrench_opening(largest / MM_PER_INCH)]
    return [
        (marked, largest, largest),
        (opening, ends[0], ends[1]),
        (loose, least, (1 + judgement.LOOSE_SPANNER) * largest),
    ]


def _hexagon_zones(least: float, largest: float, of: str) -> list[tuple[float, float, float]]:
    """What may be read of one hexagon: share, least and largest. [-, mm, mm]"""
    if of == "spanner":
        return spanner_zones(least, largest)
    worn = judgement.WORN_HEXAGON
    return [(1 - worn, least, largest), (worn, (1 - judgement.HEXAGON_WEAR) * least, largest)]


def _applies(entry: HexagonSeries, of: str) -> bool:
    return of == "spanner" or entry.of in ("both", of)


class _Known(NamedTuple):
    """Every hexagon of every series, by the diameter of its thread."""

    log_diameter: Array
    entries: tuple[HexagonSeries, ...]
    bands: tuple[SizeBand, ...]


@lru_cache(maxsize=1)
def _known() -> _Known:
    ba = series("BA")
    diameters = dict(zip(ba.designations, ba.nominal_major.tolist(), strict=True))
    held = []
    for entry in HEXAGON_SERIES:
        scale = MM_PER_INCH if entry.unit == "in" else 1.0
        for band in bands_of(entry):
            held.append((math.log(diameters.get(band.size, band.nominal * scale)), entry, band))
    held.sort(key=lambda one: one[0])
    logs, entries, bands = zip(*held, strict=True)
    return _Known(np.array(logs), entries, bands)


@lru_cache(maxsize=64)
def _by_size(place: int) -> dict[str | float, SizeBand]:
    """The hexagons of a series by the name of their size and by their diameter."""
    found: dict[str | float, SizeBand] = {}
    for band in bands_of(HEXAGON_SERIES[place]):
        found[band.size] = band
        if not math.isnan(band.nominal):
            found[round(band.nominal, 6)] = band
    return found


def own_hexagons(
    candidate: int, of: str, country: str | None = None, year: int | None = None
) -> list[tuple[float, HexagonSeries, SizeBand]]:
    """A candidate's hexagons by its own standards.

    Parameters
    ----------
    candidate : int
        Place in the catalogue.
    of : {"head", "nut", "spanner"}
    country, year : optional
        Where and when the machine was made.

    Returns
    -------
    list of (share, series, limits)
        The shares, by how usual each was there and then, add to one; empty if no table tells of this thread.

    Examples
    --------
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> place = names.index("3/8-16 BSW")
    >>> [(round(share, 2), entry.name) for share, entry, _ in own_hexagons(place, "head", "GB", 1948)]
    [(0.77, 'BS 1083'), (0.23, 'large Whitworth')]
    """
    found = []
    for symbol, row in candidates().names[candidate]:
        table = series(symbol)
        name, nominal = table.designation(row), round(float(table.nominal_major[row]), 6)
        for place, entry in enumerate(HEXAGON_SERIES):
            if symbol not in entry.systems or not _applies(entry, of):
                continue
            sizes = _by_size(place)
            band = sizes.get(name) or (sizes.get(nominal) if entry.unit == table.system.unit else None)
            if band is not None:
                weight = _system_weight(table.system, country, year) * _series_weight(entry, country, year)
                found.append((weight, entry, band))
    total = sum(weight for weight, _, _ in found)
    return [(weight / total, entry, band) for weight, entry, band in found]


def _system_weight(system: System, country: str | None, year: int | None) -> float:
    weight = judgement.SERIES_WEIGHT.get(system.symbol, judgement.OTHER_SERIES_WEIGHT)
    if country is None and year is None:
        return weight
    return weight * judgement.STANDING_WEIGHT[_standing(system.periods, country, year)]


@lru_cache(maxsize=4096)
def _rows(candidate: int, of: str, country: str | None, year: int | None) -> tuple[_Row, ...]:
    """Zones of a candidate's hexagon: of its own standards, of others for about its size, and any at all."""
    own = own_hexagons(candidate, of, country, year)
    foreign = judgement.FOREIGN_HEXAGON if own else 1.0
    parts = [((1 - foreign) * share, band) for share, _, band in own]
    known, major = _known(), math.log(candidates().major[candidate])
    reach = _FAR * judgement.ALIKE_SPREAD_LOG
    first, last = np.searchsorted(known.log_diameter, (major - reach, major + reach))
    near = np.exp(-0.5 * ((known.log_diameter[first:last] - major) / judgement.ALIKE_SPREAD_LOG) ** 2)
    near *= [_series_weight(one, country, year) * _applies(one, of) for one in known.entries[first:last]]
    if near.sum() > 0:
        shares = 0.5 * foreign * near / near.sum()
        parts += zip(shares.tolist(), known.bands[first:last], strict=True)
    rows = [
        _Row(share * part, low, high)
        for part, band in parts
        for share, low, high in _hexagon_zones(band.least_mm, band.largest_mm, of)
        if share * part > 0
    ]
    # what is left is any hexagon: its zone has no ends
    return (*rows, _Row(1.0 - sum(row.weight for row in rows), math.nan, math.nan))


def _laid_end_to_end(found: list[tuple[_Row, ...]]) -> _Zones:
    count = np.array([len(rows) for rows in found])
    columns = np.array([row for rows in found for row in rows])
    return _Zones(np.cumsum(count) - count, count, columns[:, 1], columns[:, 2], np.log(columns[:, 0]))


@lru_cache(maxsize=8)
def _all_zones(of: str, country: str | None, year: int | None) -> _Zones:
    return _laid_end_to_end([_rows(index, of, country, year) for index in range(len(candidates()))])


def _zones(flats: FlatsColumn, cand: Integers) -> tuple[_Zones, Integers]:
    """Zones, and where those of each pair stand among them; of a few candidates only those are worked out."""
    origin = (flats.of, flats.country, flats.year)
    few, place = np.unique(cand, return_inverse=True)
    if len(few) > _FEW:
        return _all_zones(*origin), cand
    return _laid_end_to_end([_rows(index, *origin) for index in few.tolist()]), place


def _log_any(y: Array, u: Array, major: Array) -> Array:
    """Log density of any hexagon on a thread of that diameter, even one of no standard. [1/mm]"""
    spread = np.hypot(judgement.FLATS_SPREAD_LOG, u / y)
    return log_density(np.log(y / (judgement.FLATS_RATIO * major)), 0.0, spread) - np.log(y)


def flats_terms(flats: FlatsColumn, obs: Integers, cand: Integers) -> Array:
    """Log density of a size across flats if the thread is a candidate.

    Parameters
    ----------
    flats : FlatsColumn
        N sizes across flats.
    obs, cand : array of int (k,)
        Pairs of fastener and candidate.

    Returns
    -------
    array (k,)
        Natural logarithm; always finite.

    Notes
    -----
    p(y) = (1 - f) sum of w_h N(y; zone of hexagon h, u) over the hexagons of the thread's own standards, the
    w_h by period, + f/2 the same over all standards' hexagons for about that diameter, + f/2 a broad bell.

    Examples
    --------
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> pair = np.array([names.index("1/2-12 BSW"), names.index("1/2-13 UNC")])
    >>> hexagon = FlatsColumn(np.array([20.8]), np.array([0.08]), "head")
    >>> whitworth, unified = flats_terms(hexagon, np.zeros_like(pair), pair)
    >>> bool(whitworth > unified + 2)
    True
    """
    if not len(cand):
        return np.zeros(0)
    zones, place = _zones(flats, cand)
    count = zones.many[place]
    pair = np.repeat(np.arange(len(cand)), count)
    starts = np.cumsum(count) - count
    row = np.repeat(zones.first[place] - starts, count) + np.arange(len(pair))
    y, u = flats.value[obs][pair], flats.u[obs][pair]
    low, high = zones.low[row], zones.high[row]
    terms = zones.log_weight[row].copy()
    narrow = ~np.isnan(low)
    y_narrow, u_narrow = y[narrow], u[narrow]
    ends = ((low[narrow] - y_narrow) / u_narrow, (high[narrow] - y_narrow) / u_narrow)
    terms[narrow] += log_interval(*ends) - np.log(u_narrow)
    terms[~narrow] += _log_any(y[~narrow], u[~narrow], candidates().major[cand[pair[~narrow]]])
    return np.asarray(np.logaddexp.reduceat(terms, starts))


def log_none_flats(flats: FlatsColumn, size: Array | None) -> Array:
    """Log density of a size across flats on a thread that is in no table, beside a diameter if there is one.

    Parameters
    ----------
    flats : FlatsColumn
    size : array (n,) or None
        A diameter of the thread. [mm]

    Returns
    -------
    array (n,)
        Natural logarithm.

    Examples
    --------
    >>> hexagon = FlatsColumn(np.array([13.0]), np.array([0.08]), "head")
    >>> bool(log_none_flats(hexagon, np.array([7.9])) > log_none_flats(hexagon, np.array([4.0])))
    True
    """
    if size is not None:
        return _log_any(flats.value, flats.u, size)
    least, greatest = judgement.NONE_DIAMETERS_MM
    return np.asarray(-np.log(flats.value * math.log(greatest / least)))


def likeliest_hexagon(flats: FlatsColumn, candidate: int) -> tuple[HexagonSeries, float, float] | None:
    """What a candidate's own standards make of the first size across flats.

    Parameters
    ----------
    flats : FlatsColumn
    candidate : int
        Place in the catalogue.

    Returns
    -------
    tuple of HexagonSeries, float, float or None
        The series that explains it best, and the least and largest size that it explains, without wear and
        loose spanners; None if no table tells the hexagon of this thread. [mm]

    Examples
    --------
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> hexagon = FlatsColumn(np.array([18.0]), np.array([0.08]), "head")
    >>> entry, least, largest = likeliest_hexagon(hexagon, names.index("3/8-16 BSW"))
    >>> entry.name, round(largest, 2)
    ('large Whitworth', 18.03)
    """
    y, u = flats.value[:1], flats.u[:1]
    best, found = -math.inf, None
    for share, entry, band in own_hexagons(candidate, flats.of, flats.country, flats.year):
        zones = _hexagon_zones(band.least_mm, band.largest_mm, flats.of)
        terms = [
            math.log(part) + float(log_interval((low - y) / u, (high - y) / u)[0])
            for part, low, high in zones
        ]
        chance = math.log(share) + float(np.logaddexp.reduce(terms))
        if chance > best:
            best, found = chance, (entry, min(z[1] for z in zones[:-1]), max(z[2] for z in zones[:-1]))
    return found
