"""The density of one size as a sum over the ends of its zones: the fast form of the exact kernel.

A thread's true size lies in one of several zones, of its classes and of wear. Each zone is even, so the
density of a reading is a sum over the ends e of all zones of a thread,

    f(y) = sum of c_e Phi((e - y) / u),    c_e = +share / width at a top, -share / width at a bottom,

and ends that coincide, as most upper limits do, are added up beforehand. To the right of a thread all terms
are small numbers of the left tail; to its left the sum is taken with -c_e and (y - e), which are. Where many
readings have one u, a table tells which ends are near enough to be worked out. The sum
holds as long as no zone is far narrower than u, and a reading is not tens of u away from all zones; the
logarithmic kernel of :mod:`threadwright.likelihood` serves the others.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np

from threadwright.likelihood import class_zones, stretched_zones
from threadwright.priors import class_log_weights
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import shorten

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = [
    "CLASSES",
    "Classes",
    "EndCells",
    "EndSums",
    "RowSpans",
    "class_row_spans",
    "class_weights",
    "end_cells",
    "end_sums",
    "spread",
    "sum_density",
    "wear_zones",
]

Classes = Literal["all", "usual"]
CLASSES: Final[tuple[Classes, ...]] = ("all", "usual")
_ROUNDING: Final = 4  # units in the last place by which ends that are meant to coincide may differ
_CELL_IN_U: Final = 1.5
_LEAST_CELL_MM: Final = 0.01
_FAR_IN_U: Final = 13.0  # so far outside all zones of a thread no other reading makes up for it
_SATURATED_IN_U: Final = 7.8  # beyond, the normal distribution is 0 or 1 to 3e-15
_APART_MM: Final = 10_000.0  # parts the ends of one owner from those of the next in a common order
_LOST: Final = 1e-9  # share of the steepest zone below which a sum between the ends is mostly rounding


class EndSums(NamedTuple):
    """Ends of the zones of every owner, laid end to end; an owner is a thread or one of its classes."""

    first: Integers
    many: Integers
    end: Array
    """Ascending within an owner. [mm]"""
    factor: Array
    """c_e, weighted by class and wear. [1/mm]"""
    middle: Array
    least: Array
    greatest: Array
    """Middle, least and greatest end of each owner. [mm]"""
    steepest: Array
    """Greatest of the factors of each owner. [1/mm]"""
    narrowest: float
    """Width of the narrowest zone of all. [mm]"""


class EndCells(NamedTuple):
    """Readings of one standard uncertainty cut into cells, and the ends that count in each."""

    step: float
    """Width of a cell. [mm]"""
    origin: Array
    """Where the first cell of each owner begins. [mm]"""
    start: Integers
    last: Integers
    """Place of the first cell of each owner, and how many follow it."""
    first: Integers
    many: Integers
    """First end that counts in each cell, and how many follow one another."""
    sign: Array
    """1 where the sum is taken from the right, -1 where from the left."""
    fixed: Array
    """What the ends add that are too far above or below for more than 0 or 1. [1/mm]"""


class RowSpans(NamedTuple):
    """Class rows that count, grouped by thread."""

    first: Integers
    many: Integers
    weight: Array
    """Weight of each row within its thread. [-]"""


@lru_cache(maxsize=4)
def class_weights(side: Side, classes: Classes) -> Array:
    """Logarithm of the weight of each class row within its thread.

    Parameters
    ----------
    side : {"external", "internal"}
    classes : {"all", "usual"}
        ``"usual"`` gives all weight to the likeliest row of each thread, the first of equal ones.

    Returns
    -------
    array (m,)
        -inf for a row that does not count.

    Raises
    ------
    ReadingError
        If ``classes`` is neither.

    Examples
    --------
    >>> usual = class_weights("external", "usual")
    >>> int(np.isfinite(usual).sum()) == len(candidates())
    True
    """
    if classes not in CLASSES:
        raise ReadingError(f"classes: cannot be {shorten(str(classes))}; write one of {', '.join(CLASSES)}")
    weights = class_log_weights(side)
    if classes == "all":
        return weights
    owner = class_rows(side).candidate
    order = np.lexsort((np.arange(len(owner)), -weights, owner))
    usual = np.full(len(owner), -np.inf)
    usual[order[np.flatnonzero(np.diff(owner[order], prepend=-1))]] = 0.0
    return usual


@lru_cache(maxsize=64)
def wear_zones(
    side: Side, dimension: str, condition: str, classes: Classes
) -> tuple[Integers, list[tuple[float, Array, Array]]]:
    """Class rows that count, and the zones of wear of one dimension of each.

    Parameters
    ----------
    side, dimension, condition, classes : str

    Returns
    -------
    tuple of array of int (k,) and list of (share, bottom, top)
        Rows of :func:`threadwright.tables.catalogue.class_rows`; zones as arrays (k,). [mm]

    Examples
    --------
    >>> rows, zones = wear_zones("external", "major", "good", "usual")
    >>> len(rows) == len(candidates()), len(zones)
    (True, 3)
    """
    rows = np.flatnonzero(np.isfinite(class_weights(side, classes)))
    owner, catalogue = class_rows(side).candidate[rows], candidates()
    low, high = (bound[rows] for bound in class_zones(side, dimension))
    zones = stretched_zones(
        low,
        high,
        catalogue.pitch[owner],
        side=side,
        dimension=dimension,
        condition=condition,
        flank_angle=catalogue.flank_angle[owner],
    )
    return rows, zones


@lru_cache(maxsize=4)
def class_row_spans(side: Side, classes: Classes) -> RowSpans:
    """Which of the class rows that count belong to each thread.

    Parameters
    ----------
    side, classes : str

    Examples
    --------
    >>> spans = class_row_spans("external", "all")
    >>> bool(np.allclose(np.add.reduceat(spans.weight, spans.first), 1.0))
    True
    """
    rows = np.flatnonzero(np.isfinite(class_weights(side, classes)))
    count = np.bincount(class_rows(side).candidate[rows], minlength=len(candidates()))
    return RowSpans(np.cumsum(count) - count, count, np.exp(class_weights(side, classes)[rows]))


@lru_cache(maxsize=32)
def end_sums(side: Side, dimension: str, condition: str, classes: Classes, *, whole: bool) -> EndSums:
    """Ends of the zones of every thread, or of every class row that counts.

    Parameters
    ----------
    side, dimension, condition, classes : str
    whole : bool
        Whether the classes of a thread are added up: they are where one dimension was read. Where several
        were, they couple within a class.

    Returns
    -------
    EndSums

    Examples
    --------
    >>> sums = end_sums("external", "major", "good", "usual", whole=True)
    >>> round(float(np.abs(np.add.reduceat(sums.factor, sums.first)).max()), 9)
    0.0
    """
    rows, zones = wear_zones(side, dimension, condition, classes)
    owner = class_rows(side).candidate[rows] if whole else np.arange(len(rows))
    weight = np.exp(class_weights(side, classes)[rows]) if whole else np.ones(len(rows))
    shares = np.stack([share * weight / np.maximum(top - bottom, 1e-300) for share, bottom, top in zones])
    ends = np.stack([*(top for *_, top in zones), *(bottom for _, bottom, _ in zones)])
    return _merged(
        np.tile(owner, len(ends)),
        ends.ravel(),
        np.concatenate([shares, -shares]).ravel(),
        min(float((top - bottom).min()) for _, bottom, top in zones),
    )


def _merged(owner: Integers, end: Array, factor: Array, narrowest: float) -> EndSums:
    """Ends sorted by owner, those that coincide added up."""
    order = np.lexsort((end, owner))
    owner, end, factor = owner[order], end[order], factor[order]
    new = np.diff(owner, prepend=-1) != 0
    new[1:] |= np.diff(end) > _ROUNDING * np.spacing(end[1:])
    places = np.flatnonzero(new)
    owner, end, factor = owner[places], end[places], np.add.reduceat(factor, places)
    count = np.bincount(owner)
    first = np.cumsum(count) - count
    least, greatest = end[first], end[first + count - 1]
    steepest = np.maximum.reduceat(np.abs(factor), first)
    return EndSums(first, count, end, factor, (least + greatest) / 2, least, greatest, steepest, narrowest)


@lru_cache(maxsize=32)
def end_cells(
    side: Side, dimension: str, condition: str, classes: Classes, *, whole: bool, u: float
) -> EndCells:
    """Which ends count in each cell of readings of one standard uncertainty.

    Parameters
    ----------
    side, dimension, condition, classes, whole
        As for :func:`end_sums`.
    u : float
        Standard uncertainty. [mm]

    Returns
    -------
    EndCells
        Cells reach 13 u beyond the zones; further out there is nothing.

    Examples
    --------
    >>> cells = end_cells("external", "major", "good", "usual", whole=True, u=0.02)
    >>> round(cells.step, 3)
    0.03
    """
    sums = end_sums(side, dimension, condition, classes, whole=whole)
    step = max(_CELL_IN_U * u, _LEAST_CELL_MM)
    origin = sums.least - _FAR_IN_U * u
    cells = np.ceil((sums.greatest + _FAR_IN_U * u - origin) / step).astype(np.int64)
    owner = np.repeat(np.arange(len(cells)), cells)
    index, starts = spread(np.zeros_like(cells), cells)
    centre = origin[owner] + (index + 0.5) * step
    outside = np.maximum(np.maximum(sums.least[owner] - centre, centre - sums.greatest[owner]), 0.0)
    far = np.where(outside > 0, outside / u + step / u / 2, 0.0)
    reach = u * np.sqrt(far * far + _SATURATED_IN_U**2) + step / 2
    key = np.repeat(np.arange(len(cells)), sums.many) * _APART_MM + sums.end
    low = np.searchsorted(key, owner * _APART_MM + centre - reach)
    high = np.searchsorted(key, owner * _APART_MM + centre + reach)
    sign = np.where(centre < sums.middle[owner], -1.0, 1.0)
    fixed = _beyond(sums, owner, low, high, sign)
    return EndCells(step, origin, starts, cells - 1, low, high - low, sign, fixed)


def _beyond(sums: EndSums, owner: Integers, low: Integers, high: Integers, sign: Array) -> Array:
    """What the ends beyond a cell add: those above it are reached wholly, those below it not at all."""
    index, _ = spread(np.zeros_like(sums.many), sums.many)
    padded = np.zeros((len(sums.many), int(sums.many.max()) + 1))
    padded[np.repeat(np.arange(len(sums.many)), sums.many), index] = sums.factor
    above = np.cumsum(padded[:, ::-1], axis=1)[:, ::-1][owner, high - sums.first[owner]]
    below = np.cumsum(padded, axis=1) - padded
    return np.asarray(np.where(sign > 0, above, -below[owner, low - sums.first[owner]]))


def spread(first: Integers, count: Integers) -> tuple[Integers, Integers]:
    """Indices of ragged groups laid end to end, and where each group starts.

    Parameters
    ----------
    first, count : array of int (k,)
        First index of each group, and how many follow one another.

    Returns
    -------
    tuple of array of int

    Examples
    --------
    >>> [part.tolist() for part in spread(np.array([5, 2]), np.array([2, 3]))]
    [[5, 6, 2, 3, 4], [0, 2]]
    """
    starts = np.cumsum(count) - count
    index = np.repeat(first - starts, count)
    index += np.arange(len(index))
    return index, starts


def sum_density(
    sums: EndSums, owner: Integers, value: Array, u: Array, cells: EndCells | None = None
) -> tuple[Array, NDArray[np.bool_] | None]:
    """Density of sizes if they belong to owners.

    Parameters
    ----------
    sums : EndSums
    owner : array of int (k,)
    value, u : array (k,)
        Reading and its standard uncertainty. [mm]
    cells : EndCells, optional
        Of that standard uncertainty, which is the same for all then.

    Returns
    -------
    tuple of array (k,) and array of bool (k,) or None
        Densities [1/mm], and where rounding has spoilt them, if it has anywhere: far from every zone, but
        between two of them.

    Examples
    --------
    >>> sums = end_sums("external", "major", "good", "usual", whole=True)
    >>> owner = next(i for i in range(len(candidates())) if candidates().designation(i) == "M8x1.25")
    >>> density, _ = sum_density(sums, np.array([owner]), np.array([7.9]), np.array([0.02]))
    >>> density.round(4)
    array([4.4005])
    """
    from scipy.special import ndtr

    if cells is None:
        first, many, fixed = sums.first[owner], sums.many[owner], None
        sign = np.where(value < sums.middle[owner], -1.0, 1.0)
    else:
        cell = ((value - cells.origin[owner]) / cells.step).astype(np.int64)
        np.clip(cell, 0, cells.last[owner], out=cell)
        cell += cells.start[owner]
        first, many, sign, fixed = cells.first[cell], cells.many[cell], cells.sign[cell], cells.fixed[cell]
    index, starts = spread(first, many)
    terms = sums.end[index]
    terms -= np.repeat(value, many)
    terms *= np.repeat(sign / u, many)
    ndtr(terms, out=terms)
    terms *= sums.factor[index]
    density = _group_sums(terms, starts, many)
    density *= sign
    if fixed is not None:
        density += fixed
    lost = density < _LOST * sums.steepest[owner]
    if lost.any():
        lost &= (value > sums.least[owner]) & (value < sums.greatest[owner])
    return density, lost if lost.any() else None


def _group_sums(terms: Array, starts: Integers, many: Integers) -> Array:
    """Sums of ragged groups; 0 of an empty one."""
    total, filled = np.zeros(len(starts)), np.flatnonzero(many)
    if len(filled):
        total[filled] = np.add.reduceat(terms, starts[filled])
    return total
