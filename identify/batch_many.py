"""Many fasteners at once, arrays in and arrays out.

Most threads are out of the question for a reading, and their densities are not worked out. What decides is
an upper bound: a size a distance d outside the widest zone of a thread has a density of at most
exp(-(d/u)^2/2) / (u sqrt(2 pi)), whatever the class and the wear. A thread is left out when the product of
such bounds is below exp(-33) of "none of these", which always competes; as prior probabilities add to one,
all that is left out together is below 1e-14. For one diameter that is a window of 8 u at least, mostly about
10 u, beyond the widest zone.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar

import numpy as np

from threadwright import judgement
from threadwright.likelihood import (
    CombColumn,
    LengthColumn,
    Observations,
    WireColumn,
    class_zones,
    log_likelihood,
    log_none,
    no_contact,
    pitch_diameter_over_wires,
    stretched_zones,
)
from threadwright.priors import class_log_weights, log_prior, log_side
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["Ranked", "check_top", "identify_many"]

_ROWS: Final = 4000  # fasteners worked at a time: their pairs stay in the cache
_PAIRS: Final = 400_000  # pairs of a fastener and a thread looked at in one go
_SCIPY_PAYS: Final = 100  # fasteners above which importing scipy (0.15 s) pays
_LEAVES: Final = 256  # different comb leaves in a piece up to which each is laid against every thread once
# How far below "none of these" a thread is left out: the first serves nearly all rows, the others
# those whose first few reach further down.
_DEPTHS: Final = (33.0, 300.0, np.inf)
_LEAST_WINDOW_IN_U: Final = 8.0
_LOG_SQRT_2PI: Final = 0.5 * float(np.log(2 * np.pi))
_Columns = TypeVar("_Columns", LengthColumn, WireColumn, CombColumn)


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """The likeliest threads of N fasteners, best first; equal ones in the order of the catalogue.

    Attributes
    ----------
    index : array of int (n, top)
        Their places in :func:`threadwright.tables.catalogue.candidates`.
    probability : array (n, top)
        Their probabilities. [-]
    none_of_these, rest : array (n,)
        Probability of no thread of the catalogue, and of all that are not among the first. [-]
    """

    index: Integers
    probability: Array
    none_of_these: Array
    rest: Array


def identify_many(observations: Observations, *, top: int = 3) -> Ranked:
    """Rank the threads of the catalogue for many fasteners with the same kinds of reading.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    top : int
        How many threads to return for each.

    Returns
    -------
    Ranked
        The same as one by one, to 1e-12.

    Raises
    ------
    ReadingError
        If there is no reading, columns differ in length, or ``top`` is below 1 or above the number of
        threads.

    Examples
    --------
    >>> many = Observations(
    ...     n=2, lengths={"major": LengthColumn(np.array([7.9, 5.92]), np.array([0.02, 0.02]))}
    ... )
    >>> ranked = identify_many(many, top=1)
    >>> [candidates().designation(row) for row in ranked.index[:, 0]]
    ['M8x1.25', 'M6x1']
    """
    _check(observations, top)
    if observations.n > _SCIPY_PAYS:
        import_module("scipy.special")  # the normal distribution takes what is loaded
    shape = (observations.n, top)
    ranked = Ranked(np.zeros(shape, dtype=np.int64), np.zeros(shape), np.zeros(shape[0]), np.zeros(shape[0]))
    for start in range(0, observations.n, _ROWS):
        rows = np.arange(start, min(start + _ROWS, observations.n))
        for depth in _DEPTHS:
            rows = rows[~_rank(_take(observations, rows), rows, depth, ranked)]
            if not len(rows):
                break
    np.clip(1.0 - ranked.none_of_these - ranked.probability.sum(axis=1), 0.0, None, out=ranked.rest)
    return ranked


def check_top(top: int) -> int:
    """Refuse a number of threads that cannot be given.

    Parameters
    ----------
    top : int
        How many threads to return.

    Returns
    -------
    int
        The same.

    Raises
    ------
    ReadingError
        If it is not between 1 and the number of threads.

    Examples
    --------
    >>> check_top(3)
    3
    """
    if not 1 <= top <= len(candidates()):
        raise ReadingError(f"top: {top} candidates cannot be given; write 1 to {len(candidates())}")
    return top


def _columns(seen: Observations) -> dict[str, LengthColumn | WireColumn | CombColumn]:
    """All columns of readings, by name."""
    named = {name: getattr(seen, name) for name in ("over_wires", "comb", "pitch", "flank_angle")}
    return {**seen.lengths, **{name: column for name, column in named.items() if column is not None}}


def _check(seen: Observations, top: int) -> None:
    """Refuse what cannot be ranked."""
    check_top(top)
    columns = _columns(seen)
    if not columns:
        raise ReadingError("no reading given; give at least one column, like the major diameter")
    for name, column in columns.items():
        for entry in fields(column):
            values = getattr(column, entry.name)
            if isinstance(values, np.ndarray) and values.shape != (seen.n,):
                raise ReadingError(
                    f"{name}: {entry.name} has shape {values.shape}; give one number for each of {seen.n} "
                    "fasteners"
                )


def _cut(column: _Columns, rows: Integers | slice) -> _Columns:
    """Some rows of one column of readings."""
    arrays: dict[str, Any] = {
        entry.name: values[rows]
        for entry in fields(column)
        if isinstance(values := getattr(column, entry.name), np.ndarray)
    }
    return replace(column, **arrays)


def _take(seen: Observations, rows: Integers | slice) -> Observations:
    """Some of the fasteners."""
    return replace(
        seen,
        n=len(np.arange(seen.n)[rows]),
        lengths={name: _cut(column, rows) for name, column in seen.lengths.items()},
        over_wires=None if seen.over_wires is None else _cut(seen.over_wires, rows),
        comb=None if seen.comb is None else _cut(seen.comb, rows),
        pitch=None if seen.pitch is None else _cut(seen.pitch, rows),
        flank_angle=None if seen.flank_angle is None else _cut(seen.flank_angle, rows),
    )


# --- which pairs of a fastener and a thread are worth working out ------------------------------------------


class _Zones(NamedTuple):
    """The widest zone of every thread, and what bounds those after and before it."""

    low: Array
    high: Array
    least_low_from: Array
    greatest_high_to: Array


@lru_cache(maxsize=32)
def _widest(side: Side, dimension: str, condition: str) -> _Zones:
    """Least and greatest size that any class and any wear explains, for every thread. [mm]"""
    owner = class_rows(side).candidate
    low, high = class_zones(side, dimension)
    catalogue = candidates()
    zones = stretched_zones(
        low,
        high,
        catalogue.pitch[owner],
        side=side,
        dimension=dimension,
        condition=condition,
        flank_angle=catalogue.flank_angle[owner],
    )
    bottom = np.min([bottom for _, bottom, _ in zones], axis=0)
    top = np.max([top for _, _, top in zones], axis=0)
    least, greatest = np.full(len(candidates()), np.inf), np.full(len(candidates()), -np.inf)
    counts = np.isfinite(class_log_weights(side))
    np.minimum.at(least, owner[counts], bottom[counts])
    np.maximum.at(greatest, owner[counts], top[counts])
    return _Zones(least, greatest, np.minimum.accumulate(least[::-1])[::-1], np.maximum.accumulate(greatest))


def _peak(u: Array) -> Array:
    """Greatest log density that a reading can have at all."""
    return np.asarray(-np.log(u) - _LOG_SQRT_2PI)


def _bound(value: Array, half: Array | float, u: Array, low: Array, high: Array) -> Array:
    """Upper bound of the log density of a size whose true value lies somewhere between two ends."""
    distance = np.maximum(np.maximum(low - value, value - high) - half, 0.0)
    return np.asarray(_peak(u) - 0.5 * (distance / u) ** 2)


def _half(column: LengthColumn) -> Array | float:
    return 0.0 if column.width is None else column.width / 2


def _size_cap(seen: Observations) -> Array:
    """Upper bound of the log density of the diameters of each fastener, on any thread."""
    cap = np.zeros(seen.n)
    for column in seen.lengths.values():
        cap += _peak(column.u)
    if seen.over_wires is None:
        return cap
    touching = cap + _peak(seen.over_wires.u)
    others = sum(
        (_peak(c.u) for name, c in seen.lengths.items() if name != "pitch_diameter"), np.zeros(seen.n)
    )
    return np.maximum(touching, others + no_contact(seen))


def _light_cap(seen: Observations) -> Array:
    """Upper bound of the log density of pitch and flank angle of each fastener, on any thread."""
    cap = np.zeros(seen.n)
    if seen.pitch is not None:
        cap += _peak(seen.pitch.u)
    if seen.flank_angle is not None:
        cap += _peak(np.hypot(seen.flank_angle.u, judgement.FLANK_ERROR_DEG))
    return cap


def _window(seen: Observations, floor: Array) -> tuple[Integers, Integers]:
    """First thread, and how many, that one diameter does not rule out."""
    name = next((name for name in ("major", "pitch_diameter", "minor") if name in seen.lengths), None)
    if name is None or (name == "pitch_diameter" and seen.over_wires is not None):
        return np.zeros(seen.n, dtype=np.int64), np.full(seen.n, len(candidates()))
    column, zones = seen.lengths[name], _widest(seen.side, name, seen.condition)
    room = np.maximum(2 * (_size_cap(seen) + _light_cap(seen) - floor), _LEAST_WINDOW_IN_U**2)
    reach = np.sqrt(room) * column.u + _half(column)
    first = np.searchsorted(zones.greatest_high_to, column.value - reach, side="left")
    last = np.searchsorted(zones.least_low_from, column.value + reach, side="right")
    return first, np.maximum(last - first, 0)


def _size_bound(seen: Observations, obs: Integers, cand: Integers) -> Array:
    """Upper bound of the log density of the diameters, for pairs."""
    total = np.zeros(len(obs))
    for name, column in seen.lengths.items():
        if name == "pitch_diameter" and seen.over_wires is not None:
            continue
        pair, zones = _cut(column, obs), _widest(seen.side, name, seen.condition)
        total += _bound(pair.value, _half(pair), pair.u, zones.low[cand], zones.high[cand])
    if seen.over_wires is None:
        return total
    zones = _widest(seen.side, "pitch_diameter", seen.condition)
    over = pitch_diameter_over_wires(seen.over_wires, obs, candidates(), cand)
    bound = _bound(over.value, 0.0, over.u, zones.low[cand], zones.high[cand])
    direct = seen.lengths.get("pitch_diameter")
    if direct is not None:
        pair = _cut(direct, obs)
        u = pair.u if pair.width is None else np.hypot(pair.u, pair.width / np.sqrt(12.0))
        bound += _bound(pair.value, 0.0, u, zones.low[cand], zones.high[cand])
    return np.asarray(total + np.where(np.isnan(over.value), no_contact(seen)[obs], bound))


# --- comb leaves: few, and the same again and again -------------------------------------------------------


@lru_cache(maxsize=512)
def _leaf_row(leaf: float, combs: tuple[str, ...]) -> Array:
    """Log probability of one leaf on every thread, laid over ten pitches."""
    comb = CombColumn(np.array([leaf]), np.array([np.nan]), combs)
    every = np.arange(len(candidates()))
    return log_likelihood(Observations(n=1, comb=comb), np.zeros_like(every), every, np.empty(0))


def _light(seen: Observations, obs: Integers, cand: Integers) -> Array:
    """Log density of comb, pitch and flank angle, for pairs."""
    total = np.zeros(len(obs))
    if seen.comb is not None:
        leaves, place = np.unique(seen.comb.leaf, return_inverse=True)
        if len(leaves) <= _LEAVES and np.isnan(seen.comb.visible).all():
            table = np.stack([_leaf_row(float(leaf), seen.comb.combs) for leaf in leaves])
            total += table[place[obs], cand]
        else:
            alone = Observations(n=seen.n, comb=seen.comb)
            for start in range(0, len(obs), 10_000):  # every pair is laid against all leaves
                part = slice(start, start + 10_000)
                total[part] += log_likelihood(alone, obs[part], cand[part], np.empty(0))
    if seen.pitch is not None or seen.flank_angle is not None:
        alone = Observations(n=seen.n, pitch=seen.pitch, flank_angle=seen.flank_angle)
        total += log_likelihood(alone, obs, cand, np.empty(0))
    return total


def _sizes(seen: Observations, obs: Integers, cand: Integers) -> Array:
    """Log density of the diameters, for pairs."""
    weights = class_log_weights(seen.side)
    alone = replace(seen, comb=None, pitch=None, flank_angle=None)
    if seen.over_wires is None:
        return log_likelihood(alone, obs, cand, weights)
    wire = seen.over_wires.wire[obs]
    touches = (wire >= candidates().wire_least[cand]) & (wire <= candidates().wire_greatest[cand])
    total = no_contact(seen)[obs]
    total[touches] = log_likelihood(alone, obs[touches], cand[touches], weights)
    # where the wire cannot touch, nothing is known of the flanks
    others = {name: column for name, column in seen.lengths.items() if name != "pitch_diameter"}
    if others:
        alone = replace(alone, over_wires=None, lengths=others)
        total[~touches] += log_likelihood(alone, obs[~touches], cand[~touches], weights)
    return total


# --- ranking ----------------------------------------------------------------------------------------------


def _rank(seen: Observations, rows: Integers, depth: float, ranked: Ranked) -> NDArray[np.bool_]:
    """Rank some fasteners into their rows; tells which are sure to have the right first few."""
    none = np.log(judgement.NONE_OF_THESE) + log_none(seen)
    first, count = _window(seen, none - depth)
    sure = np.zeros(seen.n, dtype=bool)
    start, total = 0, np.cumsum(count)
    while start < seen.n:
        before = total[start - 1] if start else 0
        stop = max(start + 1, int(np.searchsorted(total, before + _PAIRS, side="right")))
        part = slice(start, stop)
        piece = _take(seen, part)
        sure[part] = _rank_piece(
            piece, (first[part], count[part]), none[part], depth=depth, rows=rows[part], ranked=ranked
        )
        start = stop
    return sure


def _rank_piece(
    seen: Observations,
    span: tuple[Integers, Integers],
    none: Array,
    *,
    depth: float,
    rows: Integers,
    ranked: Ranked,
) -> NDArray[np.bool_]:
    """Rank a piece whose pairs fit into memory."""
    first, count = span
    obs = np.repeat(np.arange(seen.n), count)
    cand = np.arange(len(obs)) + np.repeat(first - (np.cumsum(count) - count), count)
    light = _light(seen, obs, cand)
    floor = none - depth
    keep = light + _size_cap(seen)[obs] >= floor[obs]
    obs, cand, light = obs[keep], cand[keep], light[keep]
    keep = light + _size_bound(seen, obs, cand) >= floor[obs]
    obs, cand, light = obs[keep], cand[keep], light[keep]
    joint = (log_prior() + log_side(seen.side))[cand] + light + _sizes(seen, obs, cand)
    peak = none.copy()
    np.maximum.at(peak, obs, joint)
    weight = np.exp(none - peak)
    total = weight + np.bincount(obs, np.exp(joint - peak[obs]), minlength=seen.n)
    index, best = _first_few(obs, cand, joint, shape=(seen.n, ranked.index.shape[1]))
    ranked.index[rows] = index
    ranked.probability[rows] = np.exp(best - peak[:, None]) / total[:, None]
    ranked.none_of_these[rows] = weight / total
    # what was left out has a joint density below the floor times the greatest prior
    return np.asarray(best[:, -1] >= floor + log_prior().max())


def _first_few(
    obs: Integers, cand: Integers, joint: Array, *, shape: tuple[int, int]
) -> tuple[Integers, Array]:
    """Threads of each fastener by falling density, and the densities; -inf where there are no more."""
    index, best = np.zeros(shape, dtype=np.int64), np.full(shape, -np.inf)
    starts = np.flatnonzero(np.diff(obs, prepend=-1))
    if not len(starts):
        return index, best
    owners, count = obs[starts], np.diff(starts, append=len(obs))
    left = joint.copy()
    for rank in range(shape[1]):
        greatest = np.maximum.reduceat(left, starts)
        place = np.flatnonzero((left == np.repeat(greatest, count)) & np.isfinite(left))
        place = place[np.diff(obs[place], prepend=-1) > 0]  # of equals the first of the catalogue
        index[obs[place], rank] = cand[place]
        best[owners, rank] = greatest
        left[place] = -np.inf
    return index, best
