"""How common a thread is before anything was measured."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from threadwright import judgement
from threadwright.tables.catalogue import candidates, class_rows, has_side
from threadwright.tables.registry import SYSTEMS, series
from threadwright.tables.thread import Array, SeriesTable, Side

__all__ = ["class_log_weights", "log_prior", "log_side", "size_weights"]

_IMPOSSIBLE = -1e6  # finite, so that what is impossible still comes in an order


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


@lru_cache(maxsize=1)
def _name_weights() -> dict[str, Array]:
    """Weight of every name: that of its system times the share of its size."""
    return {
        system.symbol: judgement.SERIES_WEIGHT.get(system.symbol, judgement.OTHER_SERIES_WEIGHT)
        * size_weights(series(system.symbol))
        for system in SYSTEMS
    }


@lru_cache(maxsize=1)
def log_prior() -> Array:
    """Logarithm of the prior probability of each candidate of the catalogue.

    Returns
    -------
    array (n,)
        The probabilities add to one less the share of "none of these".

    Examples
    --------
    >>> round(float(np.exp(log_prior()).sum()), 6)
    0.98
    """
    weights = _name_weights()
    total = np.array(
        [sum(weights[symbol][row] for symbol, row in names) for names in candidates().names],
        dtype=np.float64,
    )
    return np.asarray(np.log(total / total.sum() * (1 - judgement.NONE_OF_THESE)))


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


@lru_cache(maxsize=2)
def class_log_weights(side: Side) -> Array:
    """Logarithm of the weight of each class row within its candidate.

    A row's weight is that of its name times that of its class; rows whose standard gives no limits
    while other rows of the same name have some do not count.

    Parameters
    ----------
    side : {"external", "internal"}

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
    rows = class_rows(side)
    names = [_name_weights()[system.symbol] for system in SYSTEMS]
    known = ~np.isnan(
        np.stack([rows.major_low, rows.major_high, rows.pitch_diameter_low, rows.minor_high])
    ).all(axis=0)
    classed = np.array(
        [judgement.CLASS_WEIGHT.get(name, judgement.OTHER_CLASS_WEIGHT) for name in rows.tolerance_class]
    )
    first = np.cumsum([0, *map(len, names)])[:-1]
    key = first[rows.system] + rows.row
    name_of = np.concatenate(names)[key]
    any_known = np.zeros(int(key.max()) + 1, dtype=bool)
    any_known[key[known]] = True
    classed = np.where(known | ~any_known[key], classed, 0.0)
    within = classed / np.bincount(key, classed)[key] * name_of
    weight = within / np.bincount(rows.candidate, within)[rows.candidate]
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(weight))
