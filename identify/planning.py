"""How long it takes to be certain: the readings not yet taken, in every order.

What the readings would show is played through on a few hundred cases, each with its thread and what every
reading shows on it. A reading is the better the sooner the best that can follow it settles the answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.tables.thread import Array

__all__ = ["Ahead", "minutes_ahead"]

_CASES = 512
_FLOOR = 1e-300


@dataclass(frozen=True, slots=True)
class Ahead:
    """A reading that may be taken.

    ``outcomes`` is the chance of each of g things it may show on each candidate, (g, k); of readings
    of one ``measurand`` a ``finer`` one takes the place of any other, and none of them follows it.
    """

    outcomes: Array
    minutes: float
    measurand: str = ""
    finer: bool = False
    takes_back: Array | None = None
    """Logarithm of what it does to each probability beside what it shows, where it takes the place of a
    reading that was taken before; (k,)."""


def minutes_ahead(probabilities: Array, readings: Sequence[Ahead], *, certainty: float) -> Array:
    r"""Expected minutes until the answer is settled, for each reading that may come first.

    After the first reading the best order for what it makes the likeliest candidate is followed until
    one candidate is certain, or nothing is left to read:

    .. math:: T_r = m_r + \sum_k \min_{r_2, \dots} \sum_{i \ge 2} m_{r_i} \, P(k, \text{open after } i - 1)

    Readings are taken to be independent of each other on one and the same candidate. An unsettled case
    counts a little more where more doubt is left, so that of two orders which settle as much in as
    many minutes the one that tells more early is the better.

    Parameters
    ----------
    probabilities : array (k,)
        Of the candidates before any of the readings; add to one.
    readings : sequence of Ahead (n)
        The time it takes doubles with each: give eight at most.
    certainty : float
        Probability of one candidate from which nothing more is read. [-]

    Returns
    -------
    array (n,)
        [min]

    Examples
    --------
    Of two readings that settle it, the one in half the time; and one that tells nothing only costs:

    >>> sure, blind = np.eye(2), np.full((2, 2), 0.5)
    >>> readings = [Ahead(sure, 4.0), Ahead(sure, 2.0), Ahead(blind, 1.0)]
    >>> minutes_ahead(np.array([0.5, 0.5]), readings, certainty=0.95).round(2).tolist()
    [4.4, 2.2, 3.3]
    """
    true, shown = _cases(probabilities, readings)
    posterior = _posteriors(probabilities, readings, shown)
    left = _unsettled(posterior, certainty)
    n = len(readings)
    leads = posterior[1 << np.arange(n)].argmax(axis=2)  # (n, cases)
    split = leads[:, None, :] == np.arange(len(probabilities))[None, :, None]
    share = np.einsum("sc,nkc->snk", left, split.astype(float)) / len(true)
    later = _best_orders(share, readings)
    minutes = np.array([one.minutes for one in readings])
    expected: Array = minutes * left[0].mean() + later[1 << np.arange(n), np.arange(n)].sum(axis=1)
    return expected


def _cases(probabilities: Array, readings: Sequence[Ahead]) -> tuple[NDArray[np.int64], list[Array]]:
    """Candidates that may be true, and the chances (cases, k) of what each reading shows on them."""
    u = _spread(_CASES, len(readings) + 1)
    k = len(probabilities)
    true = np.searchsorted(np.cumsum(probabilities), u[:, 0]).clip(0, k - 1)
    shown = []
    for place, one in enumerate(readings, start=1):
        below = np.cumsum(one.outcomes, axis=0)
        row = np.empty(_CASES, dtype=np.int64)
        for candidate in range(k):
            of_it = true == candidate
            row[of_it] = np.searchsorted(below[:, candidate], u[of_it, place] * below[-1, candidate])
        shown.append(one.outcomes[row.clip(0, len(below) - 1)])
    return true, shown


def _spread(n: int, d: int) -> Array:
    """Points spread evenly over the unit cube: multiples of the powers of one irrational number.

    The number solves g^(d+1) = g + 1, the golden ratio for d = 1.
    """
    g = 2.0
    for _ in range(40):
        g = (1.0 + g) ** (1.0 / (d + 1))
    return (0.5 + np.outer(np.arange(1, n + 1), g ** -np.arange(1.0, d + 1))) % 1.0


def _posteriors(probabilities: Array, readings: Sequence[Ahead], shown: list[Array]) -> Array:
    """Probabilities after every set of readings, (2^n, cases, k); bit i of the first index is reading i."""
    logs = [
        np.log(np.maximum(chances, _FLOOR)) + (0.0 if one.takes_back is None else one.takes_back)
        for chances, one in zip(shown, readings, strict=True)
    ]
    weights = np.empty((1 << len(readings), *logs[0].shape))
    weights[0] = np.log(probabilities)
    for new, told in enumerate(logs):
        sets = 1 << new
        np.add(weights[:sets], told, out=weights[sets : 2 * sets])
    for coarse, fine in _replaced(readings):
        both = [s for s in range(len(weights)) if s >> coarse & s >> fine & 1]
        weights[both] = weights[[s ^ 1 << coarse for s in both]]
    weights -= weights.max(axis=2, keepdims=True)
    np.exp(weights, out=weights)
    weights /= weights.sum(axis=2, keepdims=True)
    return weights


def _replaced(readings: Sequence[Ahead]) -> list[tuple[int, int]]:
    """Pairs (coarse, fine) of which the fine one takes the place of the coarse."""
    return [
        (i, j)
        for i, one in enumerate(readings)
        for j, other in enumerate(readings)
        if i != j and one.measurand and one.measurand == other.measurand and other.finer
    ]


def _unsettled(posterior: Array, certainty: float) -> Array:
    """Cases that are not settled after each set of readings, those with more doubt a little heavier."""
    open_ = posterior.max(axis=2) < certainty
    doubt = -(posterior * np.log2(np.maximum(posterior, _FLOOR))).sum(axis=2)
    at_first = max(float(doubt[0].mean()), _FLOOR)
    weighed: Array = open_ * (1.0 + judgement.DOUBT_ON_THE_WAY * doubt / at_first)
    return weighed


def _best_orders(share: Array, readings: Sequence[Ahead]) -> Array:
    """Least expected minutes from every set of readings on, of the shape of ``share`` (2^n, ...)."""
    barred = [(1 << i, 1 << j) for i, j in _replaced(readings)]
    least = np.zeros_like(share)
    for s in range(len(share) - 2, -1, -1):
        ways = [
            one.minutes * share[s] + least[s | 1 << i]
            for i, one in enumerate(readings)
            if not s >> i & 1 and not any(coarse == 1 << i and s & fine for coarse, fine in barred)
        ]
        if ways:
            least[s] = np.minimum.reduce(ways)
    return least
