"""Many fasteners at once, arrays in and arrays out.

Pieces of some hundred fasteners are worked by two threads: first which threads are in question at all
(:mod:`threadwright.batch_window`), then their densities (:mod:`threadwright.batch_sums`). Rows whose first
few reach further down than is looked at first, or that no thread is near, take the logarithmic kernel.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from functools import lru_cache, partial
from importlib import import_module
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from threadwright import judgement
from threadwright.batch_sums import (
    Classes,
    EndCells,
    EndSums,
    class_row_spans,
    class_weights,
    end_cells,
    end_sums,
    spread,
    sum_density,
)
from threadwright.batch_tables import LogTable, log_table, look_up
from threadwright.batch_window import Pairs, survivors, take, window
from threadwright.likelihood import (
    CombColumn,
    FlatsColumn,
    LengthColumn,
    Observations,
    WireColumn,
    effective_reading,
    log_likelihood,
    log_none,
    no_contact,
)
from threadwright.priors import log_prior, log_side
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["Ranked", "check_top", "identify_many"]

_ROWS: Final = 6000  # fasteners worked at a time
_PAIRS: Final = 300_000  # pairs of a fastener and a thread looked at in one go
_THREADS: Final = 2  # numpy works outside the interpreter's lock
_KEPT: Final = 4_000_000  # numbers: 32 MB, the most that has this effect; the block is not touched
_SCIPY_PAYS: Final = 100  # fasteners above which importing scipy (0.15 s) pays
# How far below "none of these" a thread is left out: the first serves nearly all rows, the others
# those whose first few reach further down.
_DEPTHS: Final = (29.0, 300.0, np.inf)
_TABLED_DEPTH: Final = 17.0  # leaves out less than 1e-7
_CELLS_PAY: Final = 3000  # fasteners above which a table of the ends that count, and a second thread, pay
_NARROW: Final = (
    1e-3  # width of a zone in standard uncertainties below which a sum over its ends loses digits
)
_LEAST: Final = 1e-300  # density that stands for none
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


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


class _Way(NamedTuple):
    """How densities are worked out."""

    classes: Classes
    summed: bool
    """By sums over the ends of zones; else by the logarithmic kernel."""
    celled: bool
    """Only the ends that are near."""
    tabled: bool
    """Interpolated in a table where one size was read with one instrument."""


def identify_many(
    observations: Observations, *, top: int = 3, classes: Classes = "all", tabulate: bool = False
) -> Ranked:
    """Rank the threads of the catalogue for many fasteners with the same kinds of reading.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    top : int
        How many threads to return for each.
    classes : {"all", "usual"}
        ``"all"`` weighs all classes of tolerance of a thread, as for one fastener. ``"usual"`` takes every
        thread to be of its usual class, which is quicker, and right for parts known to be ordinary ones.
    tabulate : bool
        Whether to work out the densities of one instrument once and interpolate, if one diameter was read
        and all with the same standard uncertainty. It pays from some hundred thousand fasteners.

    Returns
    -------
    Ranked
        With all classes the same as one by one, to 1e-12; to 1e-6 with ``tabulate``.

    Raises
    ------
    ReadingError
        If there is no reading, columns differ in length, ``top`` is below 1 or above the number of
        threads, or ``classes`` is neither.

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
    class_weights(observations.side, classes)
    n = observations.n
    if n > _SCIPY_PAYS:
        import_module("scipy.special")  # the normal distribution takes what is loaded
    ranked = Ranked(np.zeros((n, top), dtype=np.int64), np.zeros((n, top)), np.zeros(n), np.zeros(n))
    way = _Way(classes, summed=n > _SCIPY_PAYS, celled=n > _CELLS_PAY, tabled=tabulate)
    _each_piece(observations, ranked, way)
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


def _columns(seen: Observations) -> dict[str, LengthColumn | WireColumn | CombColumn | FlatsColumn]:
    """All columns of readings, by name."""
    named = {name: getattr(seen, name) for name in ("over_wires", "comb", "pitch", "flank_angle", "flats")}
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


# --- densities --------------------------------------------------------------------------------------------


def _log_sizes(seen: Observations, pairs: Pairs, classes: Classes) -> Array:
    """Log density of the diameters, for pairs."""
    obs, cand, _ = pairs
    weights = class_weights(seen.side, classes)
    alone = replace(seen, comb=None, pitch=None, flank_angle=None, flats=None)
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


@lru_cache(maxsize=2)
def _log_common(side: Side) -> Array:
    return log_prior(side=side) + log_side(side)


def _sized(seen: Observations, pairs: Pairs) -> tuple[dict[str, LengthColumn], Array, NDArray[np.bool_]]:
    """Sizes of each pair, what stands beside them, and where the effective diameter says nothing."""
    effective, beside, silent = effective_reading(seen, pairs.obs, pairs.cand)
    sized = {
        name: LengthColumn(
            column.value[pairs.obs],
            column.u[pairs.obs],
            None if column.width is None else column.width[pairs.obs],
        )
        for name, column in seen.lengths.items()
        if name != "pitch_diameter"
    }
    if effective is not None:
        sized["pitch_diameter"] = effective
    return sized, beside, silent


def _one_density(
    reading: LengthColumn, pair: Integers, sums: EndSums, owner: Integers, cells: EndCells | None
) -> tuple[Array, NDArray[np.bool_] | None]:
    """Density of one size, plain or an interval, and where it is lost."""
    if reading.width is None:
        return sum_density(sums, owner, reading.value[pair], reading.u[pair], cells)
    half, total, spoilt = reading.width / 2, np.zeros(len(owner)), np.zeros(len(owner), dtype=bool)
    for node, share in zip(_NODES, _WEIGHTS / 2, strict=True):
        density, lost = sum_density(sums, owner, (reading.value + half * node)[pair], reading.u[pair], cells)
        total += share * density
        spoilt |= False if lost is None else lost
    return total, spoilt


def _summed_sizes(seen: Observations, pairs: Pairs, way: _Way) -> Array | None:
    """Log density of the diameters, for pairs, as sums; None where no sum will do."""
    sized, beside, silent = _sized(seen, pairs)
    whole, spoilt = len(sized) < 2, np.zeros(len(pairs.cand), dtype=bool)
    starts = pair = np.arange(len(pairs.cand))
    owner, total = pairs.cand, np.ones(len(pair))
    if not whole:  # the classes couple what was read of one fastener
        spans = class_row_spans(seen.side, way.classes)
        owner, starts = spread(spans.first[pairs.cand], spans.many[pairs.cand])
        pair = np.repeat(pair, spans.many[pairs.cand])
        total = spans.weight[owner]
    table = _table(seen, sized, way) if way.tabled and len(pair) else None
    if table is not None:
        logs = look_up(table, pairs.cand, *(reading.value for reading in sized.values()))
        return _mended(logs, np.isnan(logs), seen, pairs, way)
    for name, reading in sized.items():
        sums = end_sums(seen.side, name, seen.condition, way.classes, whole=whole)
        if sums.narrowest < _NARROW * reading.u.max(initial=0.0):
            return None
        cells = None
        if way.celled and len(pair) and (reading.u == (u := float(reading.u[0]))).all():
            cells = end_cells(seen.side, name, seen.condition, way.classes, whole=whole, u=u)
        density, lost = _one_density(reading, pair, sums, owner, cells)
        if name == "pitch_diameter" and silent.any():
            density = np.where(silent[pair], 1.0, density)
        if lost is not None:
            spoilt[pair[lost]] = True
        total = total * density
    if not whole and len(total):
        total = np.add.reduceat(total, starts)
    return _mended(np.log(np.maximum(total, _LEAST)) + beside, spoilt, seen, pairs, way)


def _table(seen: Observations, sized: dict[str, LengthColumn], way: _Way) -> LogTable | None:
    """A table of the log densities, where one plain size was read with one instrument."""
    (name, reading), *others = sized.items() or [("", None)]
    if reading is None or others or seen.over_wires is not None or seen.anvil is not None:
        return None
    u = float(reading.u[0])
    if reading.width is not None or (reading.u != u).any():
        return None
    return log_table(seen.side, name, seen.condition, way.classes, u)


def _mended(logs: Array, spoilt: NDArray[np.bool_], seen: Observations, pairs: Pairs, way: _Way) -> Array:
    """The logarithms with those of some pairs worked out by the logarithmic kernel."""
    if spoilt.any():
        few = Pairs(pairs.obs[spoilt], pairs.cand[spoilt], pairs.light[spoilt])
        logs[spoilt] = _log_sizes(seen, few, way.classes)
    return logs


# --- ranking ----------------------------------------------------------------------------------------------


def _each_piece(seen: Observations, ranked: Ranked, way: _Way) -> None:
    """Rank all fasteners piece by piece, on two threads if there are many."""
    if seen.n <= min(_ROWS, _CELLS_PAY):
        _rank_rows(0, seen=seen, ranked=ranked, way=way, length=seen.n)
        return
    # the tables kept are filled once, and not by each thread
    _rank(take(seen, slice(0, 1)), np.arange(1), _DEPTHS[0], ranked, way)
    # a block taken and given back: glibc then keeps the memory of arrays up to this size for the next,
    # where it would fetch it from the system for each one again
    np.empty(_KEPT)
    pieces = _THREADS * -(-seen.n // (_THREADS * _ROWS))
    length = -(-seen.n // pieces)
    work = partial(_rank_rows, seen=seen, ranked=ranked, way=way, length=length)
    with ThreadPoolExecutor(_THREADS) as pool:
        for _ in pool.map(work, range(0, seen.n, length)):
            pass


def _rank_rows(start: int, *, seen: Observations, ranked: Ranked, way: _Way, length: int) -> None:
    """Rank a piece of the fasteners into their rows; again and deeper those whose first few are not sure."""
    rows = np.arange(start, min(start + length, seen.n))
    piece = take(seen, slice(start, start + length))
    exact = way._replace(tabled=False)
    steps = [*zip(_DEPTHS, (exact, exact._replace(celled=False), exact._replace(summed=False)), strict=True)]
    for depth, how in [(_TABLED_DEPTH, way), *steps] if way.tabled else steps:
        left = np.flatnonzero(~_rank(piece, rows, depth, ranked, how))
        if not len(left):
            return
        rows, piece = rows[left], take(piece, left)


def _rank(seen: Observations, rows: Integers, depth: float, ranked: Ranked, way: _Way) -> NDArray[np.bool_]:
    """Rank some fasteners into their rows; tells which are sure to have the right first few."""
    none = np.log(judgement.NONE_OF_THESE) + log_none(seen)
    first, count = window(seen, none - depth, way.classes)
    sure = np.zeros(seen.n, dtype=bool)
    start, total = 0, np.cumsum(count)
    while start < seen.n:
        before = total[start - 1] if start else 0
        stop = max(start + 1, int(np.searchsorted(total, before + _PAIRS, side="right")))
        part = slice(start, stop)
        piece = seen if stop - start == seen.n else take(seen, part)
        pairs = survivors(piece, (first[part], count[part]), none[part] - depth, way.classes)
        sizes = _summed_sizes(piece, pairs, way) if way.summed else None
        if sizes is None:
            sizes = _log_sizes(piece, pairs, way.classes)
        least = _write(
            ranked, rows[part], pairs, sizes + pairs.light + _log_common(seen.side)[pairs.cand], none[part]
        )
        # what was left out has a joint density below the floor times the greatest prior
        sure[part] = least >= none[part] - depth + log_prior(side=seen.side).max()
        start = stop
    return sure


def _write(ranked: Ranked, rows: Integers, pairs: Pairs, joint: Array, none: Array) -> Array:
    """Write the first few of a piece into their rows; gives the log density of the last of them."""
    index, best = _first_few(pairs.obs, pairs.cand, joint, shape=(len(rows), ranked.index.shape[1]))
    peak = np.maximum(none, best[:, 0])
    weight = np.exp(none - peak)
    total = weight + np.bincount(pairs.obs, np.exp(joint - peak[pairs.obs]), minlength=len(rows))
    ranked.index[rows] = index
    ranked.probability[rows] = np.exp(best - peak[:, None]) / total[:, None]
    ranked.none_of_these[rows] = weight / total
    return best[:, -1]


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
