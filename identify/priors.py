"""How common a thread is before anything was measured: by system, size, origin and machine record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from threadwright import judgement
from threadwright.tables.catalogue import class_rows, has_side, owners
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import SYSTEMS, series
from threadwright.tables.thread import Array, SeriesTable, Side, System

__all__ = ["UNKNOWN", "Origin", "Prior", "class_log_weights", "log_prior", "log_side", "size_weights"]

_IMPOSSIBLE = -1e6  # finite, so that what is impossible still comes in an order


_COUNTRY_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "great britain": "GB",
        "britain": "GB",
        "uk": "GB",
        "united kingdom": "GB",
        "england": "GB",
        "scotland": "GB",
        "ireland": "IE",
        "australia": "AU",
        "new zealand": "NZ",
        "india": "IN",
        "south africa": "ZA",
        "united states": "US",
        "united states of america": "US",
        "usa": "US",
        "canada": "CA",
        "germany": "DE",
        "austria": "AT",
        "switzerland": "CH",
        "france": "FR",
        "italy": "IT",
        "belgium": "BE",
        "netherlands": "NL",
        "holland": "NL",
        "denmark": "DK",
        "sweden": "SE",
        "norway": "NO",
        "finland": "FI",
        "spain": "ES",
        "czechoslovakia": "CZ",
        "poland": "PL",
        "russia": "RU",
        "soviet union": "RU",
        "japan": "JP",
        "china": "CN",
    }
)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where and when a machine was made; None is not known.

    The country is a two-letter code, or its usual English name.

    Raises
    ------
    ReadingError
        If no system knows the country, or the year is not from 1800 to 2100.

    Examples
    --------
    >>> Origin("Great Britain", 1938)
    Origin(country='GB', year=1938)
    """

    country: str | None = None
    year: int | None = None

    def __post_init__(self) -> None:
        known = countries()
        if self.country is not None:
            word = " ".join(self.country.split())
            object.__setattr__(
                self, "country", _COUNTRY_NAMES.get(word.lower(), word.upper() if len(word) == 2 else word)
            )
        if self.country is not None and self.country not in known:
            raise ReadingError(
                f"made in: no country {shorten(self.country)}; write one of {', '.join(known)} or none"
            )
        if self.year is not None and not 1800 <= self.year <= 2100:
            raise ReadingError(f"year: {self.year} is impossible; write one from 1800 to 2100, like 1938")


@lru_cache(maxsize=1)
def countries() -> tuple[str, ...]:
    """Two-letter codes of the countries whose threads the tables tell of.

    Examples
    --------
    >>> "GB" in countries()
    True
    """
    return tuple(sorted({code for s in SYSTEMS for period in s.periods for code in period.countries.split()}))


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known before anything was measured.

    ``weights`` replaces the weight of systems by symbol; ``found`` counts the fasteners already
    identified on the same machine, by system symbol, each by its own probability.
    """

    origin: Origin = field(default_factory=Origin)
    weights: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    found: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def key(self) -> tuple[object, ...]:
        """What two equal priors share."""
        return self.origin, tuple(sorted(self.weights.items())), tuple(sorted(self.found.items()))


UNKNOWN = Prior()


def system_weight(system: System, prior: Prior = UNKNOWN) -> float:
    """Weight of a system on a machine of that origin, before its record is counted.

    Parameters
    ----------
    system : System
    prior : Prior

    Returns
    -------
    float
        Not normalised. [-]

    Examples
    --------
    >>> from threadwright.tables.registry import system
    >>> british = Prior(Origin("GB", 1925))
    >>> system_weight(system("BSW"), british) > system_weight(system("UNC"), british)
    True
    """
    weight = prior.weights.get(
        system.symbol, judgement.SERIES_WEIGHT.get(system.symbol, judgement.OTHER_SERIES_WEIGHT)
    )
    origin = prior.origin
    if not system.periods or (origin.country is None and origin.year is None):
        return weight
    held = [period.standing for period in system.periods if period.holds(origin.country, origin.year)]
    return weight * judgement.STANDING_WEIGHT[held[0] if held else "not usual"]


def size_weights(table: SeriesTable) -> Array:
    """Share of each size of a system among all its fasteners.

    Parameters
    ----------
    table : SeriesTable

    Returns
    -------
    array (n,)
        Adds to one. [-]

    Examples
    --------
    >>> weights = size_weights(series("M"))
    >>> series("M").designations[int(np.argmax(weights))]
    'M8x1.25'
    """
    system = table.system
    to_mm = 25.4 if system.unit == "in" else 1.0
    log_size = np.log(table.nominal_major * to_mm / judgement.COMMON_DIAMETER_MM)
    bell = np.exp(-0.5 * (log_size / judgement.DIAMETER_SPREAD_LOG) ** 2) + judgement.DIAMETER_FLOOR
    choice = np.array([judgement.CHOICE_WEIGHT[size.choice] for size in system.sizes])
    weights = bell * choice
    if system.symbol == "M":
        coarse = np.array([bool(size.aliases) for size in system.sizes])
        weights = np.where(coarse, weights, weights * judgement.FINE_METRIC_WEIGHT)
    return np.asarray(weights / weights.sum())


class _Weights:
    """Weights of all names under one prior, worked out once."""

    def __init__(self, prior: Prior) -> None:
        shares = np.array([system_weight(system, prior) for system in SYSTEMS])
        shares = judgement.RECORD_STRENGTH * shares / shares.sum()
        shares += [prior.found.get(system.symbol, 0) for system in SYSTEMS]
        names = [
            share * size_weights(series(system.symbol))
            for system, share in zip(SYSTEMS, (shares / shares.sum()).tolist(), strict=True)
        ]
        self.first = np.cumsum([0, *map(len, names)])[:-1]
        self.names = np.concatenate(names)  # in the registry's order

    def log_prior(self, side: Side | None) -> Array:
        total = np.bincount(owners(), self.names)
        if side is not None:  # a screw cannot have a name that only holes have
            sided = [np.full(len(system.sizes), side in system.sides) for system in SYSTEMS]
            on_side = np.bincount(owners(), self.names * np.concatenate(sided))
            total = np.where(has_side(side), on_side / on_side.sum() * total.sum(), total)
        return np.asarray(np.log(total / self.names.sum() * (1 - judgement.NONE_OF_THESE)))

    def class_log_weights(self, side: Side) -> Array:
        rows = class_rows(side)
        known = ~np.isnan(
            np.stack([rows.major_low, rows.major_high, rows.pitch_diameter_low, rows.minor_high])
        ).all(axis=0)
        held = set(rows.tolerance_class)
        weight_of = {name: judgement.CLASS_WEIGHT.get(name, judgement.OTHER_CLASS_WEIGHT) for name in held}
        classed = np.array([weight_of[name] for name in rows.tolerance_class])
        key = self.first[rows.system] + rows.row
        name_of = self.names[key]
        any_known = np.zeros(int(key.max()) + 1, dtype=bool)
        any_known[key[known]] = True
        classed = np.where(known | ~any_known[key], classed, 0.0)
        within = classed / np.bincount(key, classed)[key] * name_of
        weight = within / np.bincount(rows.candidate, within)[rows.candidate]
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(weight))


_CACHE_SIZE = 16


@lru_cache(maxsize=_CACHE_SIZE)
def _weights(key: tuple[object, ...]) -> _Weights:
    origin, weights, found = key
    assert isinstance(origin, Origin)
    assert isinstance(weights, tuple)
    assert isinstance(found, tuple)
    return _Weights(Prior(origin, dict(weights), dict(found)))


@lru_cache(maxsize=_CACHE_SIZE)
def _log_prior(key: tuple[object, ...], side: Side | None) -> Array:
    return _weights(key).log_prior(side)


@lru_cache(maxsize=2 * _CACHE_SIZE)
def _class_log_weights(side: Side, key: tuple[object, ...]) -> Array:
    return _weights(key).class_log_weights(side)


def log_prior(prior: Prior = UNKNOWN, side: Side | None = None) -> Array:
    """Logarithm of the prior probability of each candidate of the catalogue.

    Parameters
    ----------
    prior : Prior
        Origin, replaced weights and machine record. The record counts as a Dirichlet prior: each
        fastener found adds one to its system's weight, against the strength of the general weights.
    side : {"external", "internal"}, optional
        Side of the part in hand, if there is but one: names that do not exist on it do not count, as Rp
        for a screw, whose G is the same metal.

    Returns
    -------
    array (n,)
        The probabilities add to one less the share of "none of these"; on a side those that
        :func:`log_side` leaves do.

    Examples
    --------
    >>> round(float(np.exp(log_prior()).sum()), 6)
    0.98
    """
    return _log_prior(prior.key(), side)


@lru_cache(maxsize=2)
def log_side(side: Side) -> Array:
    """What to add to the logarithm of the prior for a part of one side.

    Parameters
    ----------
    side : {"external", "internal"}

    Returns
    -------
    array (n,)
        0, or for a candidate that does not exist on that side a number whose exponential is nought.

    Examples
    --------
    >>> lacking = np.exp(log_side("external")) == 0
    >>> bool((lacking == ~has_side("external")).all())
    True
    """
    return np.where(has_side(side), 0.0, _IMPOSSIBLE)


def class_log_weights(side: Side, prior: Prior = UNKNOWN) -> Array:
    """Logarithm of the weight of each class row within its candidate.

    A row's weight is that of its name times that of its class; rows whose standard gives no limits
    while other rows of the same name have some do not count.

    Parameters
    ----------
    side : {"external", "internal"}
    prior : Prior

    Returns
    -------
    array (m,)
        The weights of a candidate's rows add to one; -inf for a row that does not count.

    Examples
    --------
    >>> rows = class_rows("external")
    >>> sums = np.bincount(rows.candidate, np.exp(class_log_weights("external")))
    >>> bool(np.allclose(sums, 1.0))
    True
    """
    return _class_log_weights(side, prior.key())
