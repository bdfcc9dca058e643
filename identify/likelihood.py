"""Log density of readings for every thread of the catalogue: array kernels.

A reading's true size lies anywhere in one of a few bounded zones (the standard's limits, stretched
by wear), and the instrument blurs it; so every term is a difference of two normal integrals.
Readings of the *same* dimension are combined first and laid against the limits once; readings of
*different* dimensions multiply within a class; classes are summed with their weights.

Kernels work on pairs: a fastener and a candidate. One fastener is the case of one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache, reduce
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.instruments import comb_leaves
from threadwright.normal import log_density, log_interval
from threadwright.tables.catalogue import Catalogue, candidates, class_rows
from threadwright.tables.errors import ReadingError
from threadwright.tables.thread import Array, Side
from threadwright.tables.wires import lead_correction

__all__ = [
    "CombColumn",
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
Dimension = str  # "major", "pitch_diameter" or "minor"
DIMENSIONS: tuple[Dimension, ...] = ("major", "pitch_diameter", "minor")
_SAME_LEAF = 1e-6  # relative


@dataclass(frozen=True, slots=True, eq=False)
class LengthColumn:
    """Readings of one dimension, one for each of N fasteners. [mm or deg]"""

    value: Array
    u: Array
    width: Array | None = None
    """Width of an interval reading around ``value``; None for plain values."""


@dataclass(frozen=True, slots=True, eq=False)
class WireColumn:
    """Sizes over wires of N fasteners. [mm]"""

    value: Array
    u: Array
    wire: Array
    u_wire: Array


@dataclass(frozen=True, slots=True, eq=False)
class CombColumn:
    """Comb leaves read on N fasteners. [mm]"""

    leaf: Array
    visible: Array
    """Length over which the comb was laid; NaN means ten pitches."""
    combs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Observations:
    """The readings of N fasteners that all have the same kinds of reading."""

    n: int
    side: Side = "external"
    condition: str = "unknown"
    lengths: Mapping[Dimension, LengthColumn] = field(default_factory=lambda: MappingProxyType({}))
    over_wires: WireColumn | None = None
    comb: CombColumn | None = None
    pitch: LengthColumn | None = None
    flank_angle: LengthColumn | None = None
    anvil: float | None = None
    """Angle of the thread micrometer's anvils; None means that they fit. [deg]"""


@lru_cache(maxsize=8)
def class_zones(side: Side, dimension: Dimension) -> tuple[Array, Array]:
    """Limits of one dimension for every class row; a band is estimated where there are none.

    Parameters
    ----------
    side : {"external", "internal"}
    dimension : {"major", "pitch_diameter", "minor"}

    Returns
    -------
    tuple of array (m,)
        Least and greatest size. [mm]

    Examples
    --------
    >>> low, high = class_zones("external", "major")
    >>> bool((low < high).all())
    True
    """
    rows, catalogue = class_rows(side), candidates()
    low = getattr(rows, f"{dimension}_low")
    high = getattr(rows, f"{dimension}_high")
    basic = getattr(catalogue, dimension)[rows.candidate]
    pitch = catalogue.pitch[rows.candidate]
    below, above = judgement.ESTIMATED_ZONE[side, dimension]
    # one limit missing: the band keeps its estimated width beside the limit that is given
    estimated_low = np.where(np.isnan(high), basic + below * pitch, high - (above - below) * pitch)
    low = np.where(np.isnan(low), estimated_low, low)
    high = np.where(
        np.isnan(high), np.maximum(basic + above * pitch, low + (above - below) * pitch / 2), high
    )
    # a taper thread is smaller towards its small end, and the reading may have been taken anywhere
    unknown = np.isnan(catalogue.gauge_length)
    length = np.where(unknown, judgement.TAPER_PITCHES * catalogue.pitch, catalogue.gauge_length)
    return low - (catalogue.taper * length)[rows.candidate], high


def stretched_zones(
    low: Array,
    high: Array,
    pitch: Array,
    *,
    side: Side,
    dimension: Dimension,
    condition: str,
    flank_angle: Array,
) -> list[tuple[float, Array, Array]]:
    """Zones in which the true size of a part in use may lie, by stretching its limits.

    Parameters
    ----------
    low, high : array (k,)
        Limits of the class. [mm]
    pitch : array (k,)
        Pitch. [mm]
    side, dimension, condition : str
        Which zones of ``judgement.ZONES``, with the shares of which condition.
    flank_angle : array (k,)
        One flank: a coating of thickness t enlarges the effective diameter of a screw by
        2 t / sin(alpha), its other diameters by 2 t. [deg]

    Returns
    -------
    list of (share, bottom, top)
        Only zones with a share; ``bottom <= top``. [mm]

    Examples
    --------
    >>> one = np.array([1.0])
    >>> zones = stretched_zones(
    ...     7.7 * one,
    ...     7.9 * one,
    ...     1.25 * one,
    ...     side="external",
    ...     dimension="major",
    ...     condition="good",
    ...     flank_angle=30 * one,
    ... )
    >>> [(share, float(bottom[0]), float(top[0])) for share, bottom, top in zones][0]
    (0.86, 7.7, 7.9)
    """
    tolerance = high - low
    if condition == "plated":
        thin, thick = judgement.PLATING_MM
        factor = 2 / np.sin(np.radians(flank_angle)) if dimension == "pitch_diameter" else 2.0
        grow = (thin, thick) if side == "external" else (-thick, -thin)
        low, high = low + grow[0] * factor, high + grow[1] * factor
    found = []
    shares = judgement.ZONE_SHARES[condition]
    for share, (_, down, up, outside) in zip(shares, judgement.ZONES[side, dimension], strict=True):
        if share:
            bottom = low + down * pitch - outside * tolerance
            # a zone that wear turns inside out is a point at its lower end
            found.append((share, bottom, np.maximum(high + up * pitch + outside * tolerance, bottom)))
    return found


def _zone_terms(y: Array, u: Array, zones: list[tuple[float, Array, Array]]) -> Array:
    """Log density of a size over the zones of wear, for rows (k,)."""
    terms = [np.log(share) + log_interval((low - y) / u, (high - y) / u) for share, low, high in zones]
    return np.asarray(reduce(np.logaddexp, terms) - np.log(u))


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


def _dimension_terms(reading: LengthColumn, obs: Integers, zones: list[tuple[float, Array, Array]]) -> Array:
    y, u = reading.value[obs], reading.u[obs]
    if reading.width is None:
        return _zone_terms(y, u, zones)
    half = reading.width[obs] / 2
    terms = [
        np.log(w / 2) + _zone_terms(y + half * node, u, zones)
        for node, w in zip(_NODES, _WEIGHTS, strict=True)
    ]
    return np.asarray(np.logaddexp.reduce(terms, axis=0))


def pitch_diameter_over_wires(
    wires: WireColumn, obs: Integers, catalogue: Catalogue, cand: Integers
) -> LengthColumn:
    """Effective diameter that a size over wires means on each candidate.

    Parameters
    ----------
    wires : WireColumn
        N sizes over wires.
    obs, cand : array of int (k,)
        Pairs of fastener and candidate.
    catalogue : Catalogue

    Returns
    -------
    LengthColumn
        Effective diameter and its standard uncertainty for each pair; the diameter is NaN where the wire does
        not touch the flanks of the candidate or its form is asymmetric. [mm]

    References
    ----------
    Machinery's Handbook 31st ed. p. 2127.
    """
    wire = wires.wire[obs]
    factor = catalogue.wire_factor[cand]
    pitch = catalogue.pitch[cand]
    flat = wires.value[obs] - wire * factor + pitch * catalogue_pitch_factor(catalogue, cand)
    slope = lead_correction(
        flank_angle=catalogue.flank_angle[cand],
        lead=pitch * catalogue.starts[cand],
        pitch_diameter=catalogue.pitch_diameter[cand],
        wire=wire,
    )
    touches = (wire >= catalogue.wire_least[cand]) & (wire <= catalogue.wire_greatest[cand])
    of_wire = np.where(touches, factor, 0.0) * wires.u_wire[obs]
    return LengthColumn(np.where(touches, flat - slope, np.nan), np.hypot(wires.u[obs], of_wire))


def catalogue_pitch_factor(catalogue: Catalogue, cand: Integers) -> Array:
    """Half the cotangent of the flank angle of each candidate. [-]"""
    return np.asarray(0.5 / np.tan(np.radians(catalogue.flank_angle[cand])))


def _combine(first: LengthColumn, second: LengthColumn) -> tuple[LengthColumn, Array]:
    """Two readings of one dimension as one, and the log density of their disagreement."""
    weight = second.u**2 / (first.u**2 + second.u**2)
    value = weight * first.value + (1 - weight) * second.value
    u = first.u * second.u / np.hypot(first.u, second.u)
    return LengthColumn(value, u), log_density(first.value, second.value, np.hypot(first.u, second.u))


def _pair_reading(reading: LengthColumn, obs: Integers) -> LengthColumn:
    width = None if reading.width is None else reading.width[obs]
    return LengthColumn(reading.value[obs], reading.u[obs], width)


def no_contact(observations: Observations) -> Array:
    """Log density of each size over wires on a thread whose flanks the wire cannot touch.

    Parameters
    ----------
    observations : Observations
        N fasteners with sizes over wires.

    Returns
    -------
    array (n,)
        As for "none of these": it says nothing of the thread.

    Raises
    ------
    ReadingError
        If there are no sizes over wires.
    """
    if observations.over_wires is None:
        raise ReadingError("over wires: not read; give the size over wires and the wire")
    spread: float = judgement.NONE_DIAMETER_SHARE
    if not observations.lengths:
        least, greatest = judgement.NONE_DIAMETERS_MM
        spread = float(np.log(greatest / least))
    return np.asarray(-np.log(spread * observations.over_wires.value))


def _by_anvils(reading: LengthColumn, anvil: float | None, cand: Integers) -> LengthColumn:
    """A thread micrometer's reading, more doubtful on threads whose angle its anvils do not have."""
    if anvil is None:
        return reading
    wrong = np.abs(candidates().thread_angle[cand] - anvil) > judgement.ANVIL_TOLERANCE_DEG
    u = np.where(wrong, np.hypot(reading.u, judgement.WRONG_ANVIL_U_MM), reading.u)
    return LengthColumn(reading.value, u, reading.width)


def effective_reading(
    observations: Observations, obs: Integers, cand: Integers
) -> tuple[LengthColumn | None, Array, NDArray[np.bool_]]:
    """The effective diameter of each pair, what stands beside it, and where it says nothing.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    obs, cand : array of int (k,)
        Pairs of fastener and candidate.

    Returns
    -------
    tuple of LengthColumn or None, array (k,), array of bool (k,)
        Reading by micrometer and over wires as one, None if neither was taken; log density of their
        disagreement, or of the size over wires where the wire cannot touch the flanks; and where that is.

    Examples
    --------
    >>> pair = np.array([0])
    >>> effective_reading(Observations(n=1), pair, pair)[0] is None
    True
    """
    beside = np.zeros(len(obs))
    direct = observations.lengths.get("pitch_diameter")
    if direct is not None:
        direct = _by_anvils(_pair_reading(direct, obs), observations.anvil, cand)
    if observations.over_wires is None:
        return direct, beside, np.zeros(len(obs), dtype=bool)
    over = pitch_diameter_over_wires(observations.over_wires, obs, candidates(), cand)
    untouched = np.isnan(over.value)
    value = np.where(untouched, candidates().pitch_diameter[cand], over.value)
    over = LengthColumn(value, over.u)
    if direct is not None:
        pair = direct
        if pair.width is not None:
            pair = LengthColumn(pair.value, np.hypot(pair.u, pair.width / np.sqrt(12.0)))
        over, beside = _combine(pair, over)
    silent = no_contact(observations)[obs]
    return over, np.where(untouched, silent, beside), untouched


@lru_cache(maxsize=8)
def _leaves(combs: tuple[str, ...]) -> Array:
    return np.array(comb_leaves(combs))


def _leaf_term(leaf: Array, pitch: Array, length: Array) -> Array:
    """Log weight of a comb leaf against a pitch, over a length; leaf may have one axis more."""
    drift = length * np.abs(leaf / pitch - 1)
    clean = -0.5 * (drift / judgement.COMB_DAYLIGHT_MM) ** 2
    share = np.log(leaf / pitch) / judgement.COMB_POOR_SPREAD
    poor = np.log(judgement.COMB_POOR_SHARE) - 0.5 * share**2
    return np.asarray(np.logaddexp(np.log1p(-judgement.COMB_POOR_SHARE) + clean, poor))


def _comb_terms(comb: CombColumn, obs: Integers, pitch: Array) -> Array:
    """Log probability that the leaf read is the one chosen among the leaves owned."""
    leaf, visible = comb.leaf[obs], comb.visible[obs]
    length = np.where(np.isnan(visible), judgement.COMB_PITCHES * pitch, visible)
    owned = _leaves(comb.combs)
    chosen = _leaf_term(leaf, pitch, length)
    others = np.logaddexp.reduce(_leaf_term(owned[:, None], pitch, length), axis=0)
    extra = ~(np.abs(leaf[:, None] / owned - 1) < _SAME_LEAF).any(axis=1)
    return np.asarray(chosen - np.where(extra, np.logaddexp(others, chosen), others))


def comb_leaf_probabilities(combs: tuple[str, ...], pitch: Array) -> Array:
    """Chance that each leaf of the combs owned is the one chosen for a pitch, over the usual length.

    Parameters
    ----------
    combs : tuple of str
        Combs owned.
    pitch : array (k,)
        True pitches. [mm]

    Returns
    -------
    array (g, k)
        One row for each leaf; columns add to one. [-]

    Examples
    --------
    >>> bool(np.allclose(comb_leaf_probabilities(("inch",), np.array([1.27, 1.0])).sum(axis=0), 1.0))
    True
    """
    terms = _leaf_term(_leaves(combs)[:, None], pitch, judgement.COMB_PITCHES * pitch)
    return np.asarray(np.exp(terms - np.logaddexp.reduce(terms, axis=0)))


def _candidate_terms(observations: Observations, obs: Integers, cand: Integers) -> Array:
    """Log density of the readings that do not depend on the class: pitch and flank angle."""
    catalogue = candidates()
    total = np.zeros(len(obs))
    pitch = catalogue.pitch[cand]
    if observations.comb is not None:
        total += _comb_terms(observations.comb, obs, pitch)
    if observations.pitch is not None:
        u = np.hypot(observations.pitch.u[obs], judgement.PITCH_ERROR_SHARE * pitch)
        total += log_density(observations.pitch.value[obs], pitch, u)
    if observations.flank_angle is not None:
        u = np.hypot(observations.flank_angle.u[obs], judgement.FLANK_ERROR_DEG)
        total += log_density(observations.flank_angle.value[obs], catalogue.flank_angle[cand], u)
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
        name: _pair_reading(reading, obs)
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


def log_none(observations: Observations) -> Array:
    """Log density of the readings of each fastener if it is none of the candidates.

    Parameters
    ----------
    observations : Observations
        N fasteners.

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
        spread = judgement.NONE_DIAMETER_SHARE if index else np.log(greatest / least)
        total -= np.log(value * spread)
    size = sizes[0] if sizes else None
    if observations.comb is not None:
        step = float(np.ptp(np.log(leaves := _leaves(observations.comb.combs)))) / len(leaves)
        total += np.log(step) + _log_none_pitch(observations.comb.leaf, size)
    if observations.pitch is not None:
        total += _log_none_pitch(observations.pitch.value, size) - np.log(observations.pitch.value)
    if observations.flank_angle is not None:
        total -= np.log(judgement.NONE_FLANK_RANGE_DEG)
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
