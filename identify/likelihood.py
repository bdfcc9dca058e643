"""Log density of readings for every thread of the catalogue: array kernels.

A reading's true size lies anywhere in one of a few bounded zones (the standard's limits, stretched
by wear), and the instrument blurs it; so every term is a difference of two normal integrals.
Readings of the *same* dimension are combined first and laid against the limits once; readings of
*different* dimensions multiply within a class; classes are summed with their weights.

Kernels work on pairs: a fastener and a candidate. One fastener is the case of one.
"""

from __future__ import annotations

from functools import lru_cache, reduce

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.comb_choice import comb_leaf_probabilities, comb_terms, leaves_of
from threadwright.effective import effective_reading, no_contact, pair_reading, pitch_diameter_over_wires
from threadwright.normal import log_density, log_interval
from threadwright.observations import (
    DIMENSIONS,
    CombColumn,
    FlatsColumn,
    LengthColumn,
    Observations,
    WireColumn,
)
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.thread import Array, Side
from threadwright.zones import class_zones, stretched_zones

__all__ = [
    "DIMENSIONS",
    "CombColumn",
    "FlatsColumn",
    "LengthColumn",
    "Observations",
    "WireColumn",
    "class_log_posterior",
    "class_zones",
    "comb_leaf_probabilities",
    "effective_reading",
    "log_likelihood",
    "log_none",
    "no_contact",
    "pitch_diameter_over_wires",
    "stretched_zones",
]

Integers = NDArray[np.int64]


def _zone_terms(y: Array, u: Array, zones: list[tuple[float, Array, Array]]) -> Array:
    """Log density of a size over the zones of wear, for rows (k,)."""
    terms = [np.log(share) + log_interval((low - y) / u, (high - y) / u) for share, low, high in zones]
    return np.asarray(reduce(np.logaddexp, terms) - np.log(u))


@lru_cache(maxsize=1)
def _nodes() -> list[tuple[float, float]]:
    """Places in an interval and their weights; found when first asked for, as numpy loads much for it."""
    return list(zip(*(column.tolist() for column in np.polynomial.legendre.leggauss(8)), strict=True))


def _dimension_terms(reading: LengthColumn, obs: Integers, zones: list[tuple[float, Array, Array]]) -> Array:
    y, u = reading.value[obs], reading.u[obs]
    if reading.width is None:
        return _zone_terms(y, u, zones)
    half = reading.width[obs] / 2
    terms = [np.log(w / 2) + _zone_terms(y + half * node, u, zones) for node, w in _nodes()]
    return np.asarray(np.logaddexp.reduce(terms, axis=0))


def _candidate_terms(observations: Observations, obs: Integers, cand: Integers) -> Array:
    """Log density of the readings that do not depend on the class: pitch, flank angle and hexagon."""
    catalogue = candidates()
    total = np.zeros(len(obs))
    pitch = catalogue.pitch[cand]
    if observations.comb is not None:
        total += comb_terms(observations.comb, obs, pitch)
    if observations.pitch is not None:
        u = np.hypot(observations.pitch.u[obs], judgement.PITCH_ERROR_SHARE * pitch)
        total += log_density(observations.pitch.value[obs], pitch, u)
    if observations.flank_angle is not None:
        u = np.hypot(observations.flank_angle.u[obs], judgement.FLANK_ERROR_DEG)
        total += log_density(observations.flank_angle.value[obs], catalogue.flank_angle[cand], u)
    if observations.flats is not None:
        from threadwright.across_flats import flats_terms

        total += flats_terms(observations.flats, obs, cand)
    return total


def log_likelihood(
    observations: Observations, obs: Integers, cand: Integers, class_log_weights: Array
) -> Array:
    """Log density of all readings of a fastener if it is a candidate, its class unknown.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    obs, cand : array of int (k,)
        Pairs of fastener and candidate.
    class_log_weights : array (m,)
        Log weight of every class row of the side within its candidate.

    Returns
    -------
    array (k,)
        Natural logarithm; always finite.

    Notes
    -----
    The model is described at the top of this module; its figures are in ``threadwright.judgement``.
    """
    total, rows = _terms(observations, obs, cand, class_log_weights)
    if rows is None:
        return total
    _, pair, terms = rows
    return total + np.logaddexp.reduceat(terms, np.flatnonzero(np.diff(pair, prepend=-1)))


def class_log_posterior(
    observations: Observations, candidate: int, class_log_weights: Array
) -> tuple[Integers, Array]:
    """How the readings of one fastener share a candidate's weight among its classes.

    Parameters
    ----------
    observations : Observations
        One fastener.
    candidate : int
        Index in the catalogue.
    class_log_weights : array (m,)
        Log weight of every class row of the side within its candidate, before the readings.

    Returns
    -------
    tuple of array of int (k,), array (k,)
        Class rows of the candidate, and the logarithms of their weights after the readings.

    Examples
    --------
    >>> from threadwright.priors import class_log_weights
    >>> nothing = Observations(n=1)
    >>> rows, logs = class_log_posterior(nothing, 0, class_log_weights("external"))
    >>> round(float(np.exp(logs).sum()), 9)
    1.0
    """
    pair = np.zeros(1, dtype=np.int64)
    _, rows = _terms(observations, pair, pair + candidate, class_log_weights)
    if rows is None:
        first, count = _row_span(observations.side)
        row = np.arange(first[candidate], first[candidate] + count[candidate])
        row = row[np.isfinite(class_log_weights[row])]
        terms = class_log_weights[row]
    else:
        row, _, terms = rows
    return row, terms - np.logaddexp.reduce(terms)


def _terms(
    observations: Observations, obs: Integers, cand: Integers, class_log_weights: Array
) -> tuple[Array, tuple[Integers, Integers, Array] | None]:
    """Log density that all classes of a pair share, and class rows with their pairs and their own."""
    side, catalogue = observations.side, candidates()
    effective, beside, silent = effective_reading(observations, obs, cand)
    total = _candidate_terms(observations, obs, cand) + beside
    sized = {
        name: pair_reading(reading, obs)
        for name, reading in observations.lengths.items()
        if name != "pitch_diameter"
    }
    if effective is not None:
        sized["pitch_diameter"] = effective
    if not sized:
        return total, None
    first, count = _row_span(side)
    row, pair = _expand(first[cand], count[cand])
    terms = class_log_weights[row].copy()
    live = np.isfinite(terms)
    row, pair, terms = row[live], pair[live], terms[live]
    pitch = catalogue.pitch[cand][pair]
    for name in DIMENSIONS:
        if name not in sized:
            continue
        low, high = (bound[row] for bound in class_zones(side, name))
        zones = stretched_zones(
            low,
            high,
            pitch,
            side=side,
            dimension=name,
            condition=observations.condition,
            flank_angle=catalogue.flank_angle[cand][pair],
        )
        value = _dimension_terms(sized[name], pair, zones)
        terms += np.where(silent[pair], 0.0, value) if name == "pitch_diameter" else value
    return total, (row, pair, terms)


@lru_cache(maxsize=2)
def _row_span(side: Side) -> tuple[Integers, Integers]:
    """First class row and number of class rows of each candidate."""
    owner = class_rows(side).candidate
    count = np.bincount(owner, minlength=len(candidates()))
    return np.cumsum(count) - count, count


def _expand(first: Integers, count: Integers) -> tuple[Integers, Integers]:
    """Row indices of all pairs laid end to end, and the pair each belongs to."""
    pair = np.repeat(np.arange(len(count)), count)
    offset = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
    return np.repeat(first, count) + offset, pair


def log_none(observations: Observations, *, beside: float | None = None) -> Array:
    """Log density of the readings of each fastener if it is none of the candidates.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    beside : float, optional
        A diameter that was read before all of these. [mm]

    Returns
    -------
    array (n,)
        Natural logarithm of a broad density: diameters even in the logarithm, a second diameter even
        over a share of itself, pitches mostly in the usual proportion to the diameter, comb leaves
        likewise, flank angles even.

    Examples
    --------
    >>> one = Observations(n=1, lengths={"major": LengthColumn(np.array([8.0]), np.array([0.02]))})
    >>> log_none(one).round(3)
    array([-3.935])
    """
    total = np.zeros(observations.n)
    sizes = [observations.lengths[name].value for name in DIMENSIONS if name in observations.lengths]
    if observations.over_wires is not None:
        sizes.append(observations.over_wires.value)
    least, greatest = judgement.NONE_DIAMETERS_MM
    for index, value in enumerate(sizes):
        further = index or beside is not None
        total -= np.log(value * (judgement.NONE_DIAMETER_SHARE if further else np.log(greatest / least)))
    if beside is not None:
        sizes = [np.full(observations.n, beside)]
    size = sizes[0] if sizes else None
    if observations.comb is not None:
        step = float(np.ptp(np.log(leaves := leaves_of(observations.comb.combs)))) / len(leaves)
        total += np.log(step) + _log_none_pitch(observations.comb.leaf, size)
    if observations.pitch is not None:
        total += _log_none_pitch(observations.pitch.value, size) - np.log(observations.pitch.value)
    if observations.flank_angle is not None:
        total -= np.log(judgement.NONE_FLANK_RANGE_DEG)
    if observations.flats is not None:
        from threadwright.across_flats import log_none_flats

        total += log_none_flats(observations.flats, size)
    return total


def _log_none_pitch(pitch: Array, size: Array | None) -> Array:
    """Log density of the logarithm of a pitch that is in no table, beside a diameter if there is one."""
    finest, coarsest = judgement.NONE_PITCHES_MM
    even = np.full(len(pitch), -np.log(np.log(coarsest / finest)))
    if size is None:
        return even
    apart = np.log(pitch / (judgement.NONE_PITCH_SHARE * size))
    usual = log_density(apart, 0.0, judgement.NONE_PITCH_SPREAD_LOG)
    odd = judgement.NONE_ODD_PITCH
    return np.asarray(np.logaddexp(np.log1p(-odd) + usual, np.log(odd) + even))
