"""Doubt among the leading candidates: how much there is, and what a reading would tell of it.

"None of these" counts among them: its densities are the broad ones of
:func:`threadwright.likelihood.log_none`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from threadwright.comb_choice import comb_terms
from threadwright.likelihood import (
    Observations,
    class_log_posterior,
    class_zones,
    log_likelihood,
    log_none,
)
from threadwright.priors import Prior, class_log_weights, log_prior
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.thread import Array, Side

__all__ = ["Leaders", "entropy", "mutual_information"]

Integers = NDArray[np.int64]
_NO_DENSITY = 1e-200  # below this a density is nothing, and its ratios are not numbers
_BEYOND = 1e-9  # chance that a leader shows what no leader is expected to show
_RULED_OUT = np.log(0.02)  # classes less likely than this do not widen what is expected


def entropy(probabilities: Array) -> float:
    """Doubt left among candidates. [bit]

    Parameters
    ----------
    probabilities : array (k,)
        Add to one.

    Examples
    --------
    >>> entropy(np.array([0.5, 0.5])), entropy(np.array([1.0, 0.0]))
    (1.0, 0.0)
    """
    p = probabilities[probabilities > 0]
    return float(-(p * np.log2(p)).sum()) + 0.0


def mutual_information(probabilities: Array, density: Array, weights: Array) -> float:
    r"""Doubt that a reading is expected to take away.

    .. math:: I = \sum_k p_k \int f_k \log_2 \frac{f_k}{\sum_j p_j f_j} \, dy

    Parameters
    ----------
    probabilities : array (k,)
        Of the candidates before the reading.
    density : array (g, k)
        What the reading would show on each candidate, at g points.
    weights : array (g,)
        Length of the step at each point; ones for a reading that shows one of g things.

    Returns
    -------
    float
        Between 0 and the entropy of the probabilities. [bit]

    Examples
    --------
    A reading that tells two equally likely candidates apart for certain:

    >>> mutual_information(np.array([0.5, 0.5]), np.eye(2), np.ones(2))
    1.0
    """
    total = density @ probabilities
    told = (density > _NO_DENSITY) & (total > 0)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        # the logarithms apart, as the ratio of a density to next to nothing is no number
        terms = np.where(told, density * (np.log2(density) - np.log2(total)[:, None]), 0.0)
    return max(0.0, float((weights @ terms) @ probabilities))


class Leaders:
    """The leading candidates of one fastener, and how its readings share each one's classes.

    Parameters
    ----------
    observations : Observations
        The readings of one fastener.
    cand : array of int (k,)
        Places in the catalogue.
    probabilities : array (k,)
        In any unit: they are made to add to one with ``none``.
    prior : Prior
    none : float
        Probability of "none of these", in the same unit; zero leaves it out.
    """

    def __init__(
        self,
        observations: Observations,
        cand: Integers,
        probabilities: Array,
        prior: Prior,
        none: float = 0.0,
    ) -> None:
        self.side: Side = observations.side
        self.condition = observations.condition
        self.prior = prior
        self.cand = cand
        chances = np.append(probabilities, none) if none else probabilities
        self.probabilities = chances / chances.sum()
        self.with_none = none > 0
        self.size = _a_size(observations)
        self.without_comb = self._without_comb(observations)
        before = class_log_weights(self.side, prior)
        weights = before.copy()
        for candidate in cand:
            rows, logs = class_log_posterior(observations, int(candidate), before)
            weights[rows] = logs
        self.class_weights = weights

    def _without_comb(self, observations: Observations) -> Array | None:
        """What a counted pitch takes back, as it takes the comb's place: logarithms, (k,) or (k + 1,)."""
        if observations.comb is None or observations.pitch is not None:
            return None
        first = np.zeros(len(self.cand), dtype=np.int64)
        told = comb_terms(observations.comb, first, candidates().pitch[self.cand])
        if self.with_none:
            alone = Observations(n=1, side=self.side, comb=observations.comb)
            told = np.append(told, log_none(alone, beside=self.size))
        return -told

    def limits(self, dimension: str) -> list[tuple[float, float]]:
        """Least and greatest size of each leader over the classes that are left. [mm]"""
        owner = class_rows(self.side).candidate
        low, high = class_zones(self.side, dimension)
        ends = []
        for candidate in self.cand:
            rows = np.flatnonzero((owner == candidate) & (self.class_weights > _RULED_OUT))
            ends.append((float(low[rows].min()), float(high[rows].max())))
        return ends

    def density(self, observations: Observations) -> Array:
        """Density of each of n readings on each leader, (n, k)."""
        n, k = observations.n, len(self.cand)
        obs = np.repeat(np.arange(n), k)
        logs = log_likelihood(observations, obs, np.tile(self.cand, n), self.class_weights)
        return np.exp(logs).reshape(n, k)

    def density_of_none(self, observations: Observations) -> Array:
        """Density of each of n readings on a thread that is in no table, (n,)."""
        return np.exp(log_none(observations, beside=self.size))

    def average(self, chances: Array) -> Array:
        """What of the catalogue on average shows each of g things, of its chances (n, g); (g,)."""
        common = np.exp(log_prior(self.prior, self.side))
        mean: Array = common @ chances / common.sum()
        return mean

    def told(self, mass: Array, none: Array, takes_back: Array | None = None) -> tuple[float, Array]:
        """Bits that a reading tells, and the chances of what it shows.

        Parameters
        ----------
        mass : array (g, k)
            Chance of each of g things on each leader, in any unit.
        none : array (g,)
            Chance of each on "none of these", one at most in all; the rest is something else.
        takes_back : array (k,) or (k + 1,), optional
            Logarithm of what the reading also does to each probability, whatever it shows.

        Returns
        -------
        float, array
            [bit]; and (g, k), or (g + 1, k + 1) with "none of these" last.
        """
        total = mass.sum(axis=0)
        chances = np.where(total > _NO_DENSITY, mass / np.maximum(total, _NO_DENSITY), 1.0 / len(mass))
        if self.with_none:
            inside = min(float(none.sum()), 1.0)
            column = np.append(none / max(float(none.sum()), 1.0), 1.0 - inside)
            chances = np.vstack([chances * (1.0 - _BEYOND), np.full((1, len(self.cand)), _BEYOND)])
            chances = np.column_stack([chances, column])
        if takes_back is None:
            return mutual_information(self.probabilities, chances, np.ones(len(chances))), chances
        return self._doubt_taken(chances, takes_back), chances

    def _doubt_taken(self, chances: Array, takes_back: Array) -> float:
        """Doubt expected to go where a reading takes another's place; if it would even grow, none."""
        shown = chances @ self.probabilities
        after = chances * self.probabilities * np.exp(takes_back - takes_back.max())
        total = after.sum(axis=1)
        told = total > _NO_DENSITY
        left = [entropy(row / one) for row, one in zip(after[told], total[told], strict=True)]
        return max(0.0, entropy(self.probabilities) - float(shown[told] @ np.array(left)))


def _a_size(observations: Observations) -> float | None:
    """A diameter that was read; None if none was."""
    sizes = [column.value[0] for column in observations.lengths.values()]
    if observations.over_wires is not None:
        sizes.append(observations.over_wires.value[0])
    return float(sizes[0]) if sizes else None
