"""Which pairs of a fastener and a thread are worth working out, and what the pitch says of them.

Most threads are out of the question for a reading, and their densities are not worked out. What decides is
an upper bound: a size a distance d outside the widest zone of a thread has a density of at most
exp(-(d/u)^2/2) / (u sqrt(2 pi)), whatever the class and the wear. A thread is left out when the product of
such bounds is below exp(-29) of "none of these", which always competes; as prior probabilities add to one,
all that is left out together is below 3e-13. For one diameter that is a window of 8 u at least, mostly about
9 u, beyond the widest zone.
"""

from __future__ import annotations

from dataclasses import fields, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar

import numpy as np

from threadwright import judgement
from threadwright.batch_sums import Classes, spread, wear_zones
from threadwright.instruments import comb_leaves
from threadwright.likelihood import (
    CombColumn,
    FlatsColumn,
    LengthColumn,
    Observations,
    WireColumn,
    log_likelihood,
    no_contact,
    pitch_diameter_over_wires,
)
from threadwright.tables.catalogue import candidates, class_rows

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["Pairs", "survivors", "take", "widest", "window"]

_LEAVES: Final = 256  # different comb leaves in a piece up to which each is laid against every thread once
_LEAST_WINDOW_IN_U: Final = 8.0
_LOG_SQRT_2PI: Final = 0.5 * float(np.log(2 * np.pi))
_Columns = TypeVar("_Columns", LengthColumn, WireColumn, CombColumn, FlatsColumn)


class Pairs(NamedTuple):
    """Pairs of a fastener and a thread, fasteners ascending, threads ascending within one."""

    obs: Integers
    cand: Integers
    light: Array
    """Log density of comb, pitch, flank angle and hexagon."""


def _cut(column: _Columns, rows: Integers | slice) -> _Columns:
    """Some rows of one column of readings."""
    arrays: dict[str, Any] = {
        entry.name: values[rows]
        for entry in fields(column)
        if isinstance(values := getattr(column, entry.name), np.ndarray)
    }
    return replace(column, **arrays)


def take(seen: Observations, rows: Integers | slice) -> Observations:
    """Some of the fasteners.

    Parameters
    ----------
    seen : Observations
    rows : array of int or slice

    Returns
    -------
    Observations

    Examples
    --------
    >>> one = LengthColumn(np.array([7.9, 5.9]), np.array([0.02, 0.02]))
    >>> take(Observations(n=2, lengths={"major": one}), slice(1, 2)).lengths["major"].value
    array([5.9])
    """
    n = len(range(*rows.indices(seen.n))) if isinstance(rows, slice) else len(rows)
    return replace(
        seen,
        n=n,
        lengths={name: _cut(column, rows) for name, column in seen.lengths.items()},
        over_wires=None if seen.over_wires is None else _cut(seen.over_wires, rows),
        comb=None if seen.comb is None else _cut(seen.comb, rows),
        pitch=None if seen.pitch is None else _cut(seen.pitch, rows),
        flank_angle=None if seen.flank_angle is None else _cut(seen.flank_angle, rows),
        flats=None if seen.flats is None else _cut(seen.flats, rows),
    )


class Zones(NamedTuple):
    """The widest zone of every thread, and what bounds those after and before it. [mm]"""

    low: Array
    high: Array
    least_low_from: Array
    greatest_high_to: Array


@lru_cache(maxsize=32)
def widest(side: Side, dimension: str, condition: str, classes: Classes = "all") -> Zones:
    """Least and greatest size that any class and any wear explains, for every thread.

    Parameters
    ----------
    side, dimension, condition, classes : str

    Returns
    -------
    Zones

    Examples
    --------
    >>> zones = widest("external", "major", "good")
    >>> bool((zones.low < zones.high).all())
    True
    """
    rows, zones = wear_zones(side, dimension, condition, classes)
    first = np.flatnonzero(np.diff(class_rows(side).candidate[rows], prepend=-1))  # every thread has a row
    least = np.minimum.reduceat(np.min([bottom for _, bottom, _ in zones], axis=0), first)
    greatest = np.maximum.reduceat(np.max([top for _, _, top in zones], axis=0), first)
    return Zones(least, greatest, np.minimum.accumulate(least[::-1])[::-1], np.maximum.accumulate(greatest))


def _peak(u: Array) -> Array:
    """Greatest log density that a reading can have at all."""
    return np.asarray(-np.log(u) - _LOG_SQRT_2PI)


def _shortfall(value: Array, half: Array | float, u: Array, low: Array, high: Array) -> Array:
    """How far at least the log density is below its peak, of a size that lies somewhere between two ends."""
    short = np.maximum(low - value, value - high)
    short -= half
    np.maximum(short, 0.0, out=short)
    short /= u
    short *= short
    short *= 0.5
    return short


def _half(column: LengthColumn) -> Array | float:
    return 0.0 if column.width is None else column.width / 2


def _doubtful(seen: Observations) -> bool:
    """Whether the effective diameter hangs on the thread it is laid against."""
    return seen.over_wires is not None or seen.anvil is not None


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
    """Upper bound of the log density of pitch, flank angle and hexagon of each fastener, on any thread."""
    cap = np.zeros(seen.n)
    if seen.pitch is not None:
        cap += _peak(seen.pitch.u)
    if seen.flank_angle is not None:
        cap += _peak(np.hypot(seen.flank_angle.u, judgement.FLANK_ERROR_DEG))
    if seen.flats is not None:
        cap += _peak(seen.flats.u)
    return cap


def window(seen: Observations, floor: Array, classes: Classes) -> tuple[Integers, Integers]:
    """First thread, and how many, that one diameter does not rule out.

    Parameters
    ----------
    seen : Observations
        N fasteners.
    floor : array (n,)
        Log density below which a thread is left out.
    classes : {"all", "usual"}

    Returns
    -------
    tuple of array of int (n,)

    Examples
    --------
    >>> one = LengthColumn(np.array([7.9]), np.array([0.02]))
    >>> first, count = window(Observations(n=1, lengths={"major": one}), np.array([-40.0]), "all")
    >>> bool(0 < count[0] < len(candidates()) / 4)
    True
    """
    name = next((name for name in ("major", "pitch_diameter", "minor") if name in seen.lengths), None)
    if name is None or (name == "pitch_diameter" and _doubtful(seen)):
        return np.zeros(seen.n, dtype=np.int64), np.full(seen.n, len(candidates()))
    column, zones = seen.lengths[name], widest(seen.side, name, seen.condition, classes)
    room = np.maximum(2 * (_size_cap(seen) + _light_cap(seen) - floor), _LEAST_WINDOW_IN_U**2)
    reach = np.sqrt(room) * column.u + _half(column)
    first = np.searchsorted(zones.greatest_high_to, column.value - reach, side="left")
    last = np.searchsorted(zones.least_low_from, column.value + reach, side="right")
    return first, np.maximum(last - first, 0)


def _size_bound(seen: Observations, obs: Integers, cand: Integers, classes: Classes) -> Array:
    """Upper bound of the log density of the diameters for pairs, less that on any thread."""
    total = np.zeros(len(obs))
    for name, column in seen.lengths.items():
        if name == "pitch_diameter" and _doubtful(seen):
            continue
        zones, half = widest(seen.side, name, seen.condition, classes), _half(column)
        half = half if isinstance(half, float) else half[obs]
        total -= _shortfall(column.value[obs], half, column.u[obs], zones.low[cand], zones.high[cand])
    if seen.over_wires is None:
        return total
    zones = widest(seen.side, "pitch_diameter", seen.condition, classes)
    over = pitch_diameter_over_wires(seen.over_wires, obs, candidates(), cand)
    bound = _peak(over.u) - _shortfall(over.value, 0.0, over.u, zones.low[cand], zones.high[cand])
    direct = seen.lengths.get("pitch_diameter")
    if direct is not None and seen.anvil is None:
        pair = _cut(direct, obs)
        u = pair.u if pair.width is None else np.hypot(pair.u, pair.width / np.sqrt(12.0))
        bound += _peak(u) - _shortfall(pair.value, 0.0, u, zones.low[cand], zones.high[cand])
    elif direct is not None:
        bound += _peak(direct.u)[obs]
    others = sum(
        (_peak(c.u) for name, c in seen.lengths.items() if name != "pitch_diameter"), np.zeros(seen.n)
    )
    total += (others - _size_cap(seen))[obs]
    return np.asarray(total + np.where(np.isnan(over.value), no_contact(seen)[obs], bound))


# --- comb leaves: few, and the same again and again -------------------------------------------------------


@lru_cache(maxsize=512)
def _leaf_row(leaf: float, combs: tuple[str, ...]) -> Array:
    """Log probability of one leaf on every thread, laid over ten pitches."""
    comb = CombColumn(np.array([leaf]), np.array([np.nan]), combs)
    every = np.arange(len(candidates()))
    return log_likelihood(Observations(n=1, comb=comb), np.zeros_like(every), every, np.empty(0))


@lru_cache(maxsize=8)
def _owned(combs: tuple[str, ...]) -> tuple[Array, Array]:
    """The leaves of combs, ascending, and the log probability of each on every thread."""
    leaves = np.unique(comb_leaves(combs))
    return leaves, np.stack([_leaf_row(float(leaf), combs) for leaf in leaves])


def _leaf_table(comb: CombColumn) -> tuple[Integers, Array] | None:
    """Row of each fastener in a table of log probabilities of leaves on threads, if there is one."""
    if not np.isnan(comb.visible).all():
        return None
    leaves, table = _owned(comb.combs)
    place = np.minimum(np.searchsorted(leaves, comb.leaf), len(leaves) - 1)
    if np.array_equal(leaves[place], comb.leaf):
        return place, table
    leaves, place = np.unique(comb.leaf, return_inverse=True)
    if len(leaves) > _LEAVES:
        return None
    return place, np.stack([_leaf_row(float(leaf), comb.combs) for leaf in leaves])


def _laid_alone(seen: Observations) -> bool:
    """Whether there is a reading that is laid against each pair, and on which no class bears."""
    return seen.pitch is not None or seen.flank_angle is not None or seen.flats is not None


def _light(seen: Observations, obs: Integers, cand: Integers, table: tuple[Integers, Array] | None) -> Array:
    """Log density of comb, pitch, flank angle and hexagon, for pairs."""
    total = np.zeros(len(obs))
    if table is not None:
        place, rows = table
        total += rows.ravel()[(place * rows.shape[1])[obs] + cand]
    elif seen.comb is not None:
        alone = Observations(n=seen.n, comb=seen.comb)
        for start in range(0, len(obs), 10_000):  # every pair is laid against all leaves
            part = slice(start, start + 10_000)
            total[part] += log_likelihood(alone, obs[part], cand[part], np.empty(0))
    if _laid_alone(seen):
        alone = Observations(n=seen.n, pitch=seen.pitch, flank_angle=seen.flank_angle, flats=seen.flats)
        total += log_likelihood(alone, obs, cand, np.empty(0))
    return total


def survivors(
    seen: Observations, span: tuple[Integers, Integers], floor: Array, classes: Classes = "all"
) -> Pairs:
    """Pairs whose upper bound is not below the floor.

    Parameters
    ----------
    seen : Observations
        N fasteners.
    span : tuple of array of int (n,)
        First thread of each, and how many.
    floor : array (n,)
        Log density below which a thread is left out.
    classes : {"all", "usual"}

    Returns
    -------
    Pairs

    Examples
    --------
    >>> one = Observations(n=1, lengths={"major": LengthColumn(np.array([7.9]), np.array([0.02]))})
    >>> everything = np.array([0]), np.array([len(candidates())])
    >>> pairs = survivors(one, everything, np.array([-40.0]))
    >>> "M8x1.25" in [candidates().designation(cand) for cand in pairs.cand]
    True
    """
    first, count = span
    cand, _ = spread(first, count)
    obs = np.repeat(np.arange(seen.n), count)
    table = None if seen.comb is None else _leaf_table(seen.comb)
    bound, room = _size_bound(seen, obs, cand, classes), floor - _size_cap(seen)
    if (seen.comb is not None and table is None) or _laid_alone(seen):
        keep = np.flatnonzero(bound >= (room - _light_cap(seen))[obs])
        obs, cand, bound = obs[keep], cand[keep], bound[keep]
    light = _light(seen, obs, cand, table)
    keep = np.flatnonzero(bound + light >= room[obs])
    return Pairs(obs[keep], cand[keep], light[keep])
