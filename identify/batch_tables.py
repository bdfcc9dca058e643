"""Log densities of one size, tabulated once for an instrument and interpolated.

For one standard uncertainty, side and condition the log density of a size is a function of one number for
each thread. It is smooth on the scale of u, so polynomials of the fifth degree over cells half a u wide give
it to 1e-6. A table takes some tenths of a second and 15 to 35 MB, which pays for some hundred thousand
fasteners.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from threadwright.batch_sums import Classes, end_cells, end_sums, spread, sum_density
from threadwright.tables.catalogue import candidates

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["LogTable", "log_table", "look_up"]

_CELL_IN_U: Final = 0.5
_FAR_IN_U: Final = 10.0
_DEGREE: Final = 5
_MOST_CELLS: Final = 1_000_000  # above, the table is larger than it is worth
_LARGEST_ERROR: Final = 5e-7  # of a logarithm; a cell with more is left to the exact kernel
_AT_A_TIME: Final = 4_000  # cells filled at a time
_LEAST: Final = 1e-300  # density that stands for none


class LogTable(NamedTuple):
    """Polynomials over cells laid end to end; the first and the last of every thread are empty."""

    step: float
    """Width of a cell. [mm]"""
    origin: Array
    """Where the first cell of each thread begins. [mm]"""
    start: Integers
    last: Integers
    """Place of the first cell of each thread, and how many follow it."""
    factors: Array
    """Polynomial of each cell from -1 to 1, highest power first (cells, 6); NaN where there is none."""


@lru_cache(maxsize=4)
def log_table(side: Side, dimension: str, condition: str, classes: Classes, u: float) -> LogTable | None:
    """Tabulate the log density of a size for every thread.

    Parameters
    ----------
    side, dimension, condition, classes : str
    u : float
        Standard uncertainty. [mm]

    Returns
    -------
    LogTable or None
        None where u is so small beside the zones that a table would be too large.

    Examples
    --------
    >>> log_table("external", "major", "good", "usual", 1e-4) is None
    True
    """
    sums = end_sums(side, dimension, condition, classes, whole=True)
    step = _CELL_IN_U * u
    origin = sums.least - _FAR_IN_U * u - step
    count = np.ceil((sums.greatest + _FAR_IN_U * u - origin) / step).astype(np.int64) + 1
    if count.sum() > _MOST_CELLS:
        return None
    index, start = spread(np.zeros_like(count), count)
    owner = np.repeat(np.arange(len(candidates())), count)
    begin = origin[owner] + index * step
    factors = np.empty((len(owner), _DEGREE + 1))
    for at in range(0, len(owner), _AT_A_TIME):
        part = slice(at, at + _AT_A_TIME)
        factors[part] = _fitted((side, dimension, condition, classes), owner[part], begin[part], u)
    factors[start] = factors[start + count - 1] = np.nan
    return LogTable(step, origin, start, count - 1, factors)


def _fitted(key: tuple[Side, str, str, Classes], owner: Integers, begin: Array, u: float) -> Array:
    """Polynomials of some cells, through the roots of a Chebyshev polynomial and checked at both ends."""
    nodes = np.cos(np.pi * (np.arange(_DEGREE + 1) + 0.5) / (_DEGREE + 1))
    places = np.concatenate([nodes, [-1.0, 1.0]])
    value = begin[:, None] + (places + 1) * (_CELL_IN_U * u / 2)
    sums, cells = end_sums(*key, whole=True), end_cells(*key, whole=True, u=u)
    every = np.repeat(owner, len(places))
    density, lost = sum_density(sums, every, value.ravel(), np.full(len(every), u), cells)
    if lost is not None:
        density[lost] = np.nan
    logs = np.log(np.maximum(density, _LEAST)).reshape(value.shape)
    factors = logs[:, : len(nodes)] @ np.linalg.inv(np.vander(nodes)).T
    error = np.abs(factors @ np.vander(places[len(nodes) :], _DEGREE + 1).T - logs[:, len(nodes) :]).max(
        axis=1
    )
    factors[~(error < _LARGEST_ERROR)] = np.nan
    return np.asarray(factors)


def look_up(table: LogTable, cand: Integers, value: Array) -> Array:
    """Log density of sizes on threads.

    Parameters
    ----------
    table : LogTable
    cand : array of int (k,)
    value : array (k,)
        Readings. [mm]

    Returns
    -------
    array (k,)
        To 1e-6; NaN where the table does not hold it.

    Examples
    --------
    >>> table = log_table("external", "major", "good", "usual", 0.2)
    >>> thread = next(i for i in range(len(candidates())) if candidates().designation(i) == "M8x1.25")
    >>> sums = end_sums("external", "major", "good", "usual", whole=True)
    >>> size, u = np.array([7.9]), np.array([0.2])
    >>> exact, _ = sum_density(sums, np.array([thread]), size, u)
    >>> bool(abs(look_up(table, np.array([thread]), size) - np.log(exact))[0] < 1e-6)
    True
    """
    place = value - table.origin[cand]
    place /= table.step
    cell = place.astype(np.int64)
    np.maximum(cell, 0, out=cell)
    np.minimum(cell, table.last[cand], out=cell)
    place -= cell
    place *= 2
    place -= 1
    cell += table.start[cand]
    factors = table.factors[cell]
    logs = factors[:, 0] * place
    for power in range(1, _DEGREE):
        logs += factors[:, power]
        logs *= place
    logs += factors[:, _DEGREE]
    return logs
