"""Which leaf of a comb a person chooses for a pitch."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.instruments import comb_leaves
from threadwright.observations import CombColumn
from threadwright.tables.thread import Array

__all__ = ["comb_leaf_probabilities", "comb_terms", "leaves_of"]

Integers = NDArray[np.int64]
_SAME_LEAF = 1e-6  # relative


@lru_cache(maxsize=8)
def leaves_of(combs: tuple[str, ...]) -> Array:
    return np.array(comb_leaves(combs))


def _leaf_term(leaf: Array, pitch: Array, length: Array) -> Array:
    """Log weight of a comb leaf against a pitch, over a length; leaf may have one axis more."""
    drift = length * np.abs(leaf / pitch - 1)
    clean = -0.5 * (drift / judgement.COMB_DAYLIGHT_MM) ** 2
    share = np.log(leaf / pitch) / judgement.COMB_POOR_SPREAD
    poor = np.log(judgement.COMB_POOR_SHARE) - 0.5 * share**2
    return np.asarray(np.logaddexp(np.log1p(-judgement.COMB_POOR_SHARE) + clean, poor))


def comb_terms(comb: CombColumn, obs: Integers, pitch: Array) -> Array:
    """Log probability that the leaf read is the one chosen among the leaves owned."""
    if len(comb.leaf) == 1 and len(pitch) > 1:  # one fastener: the same few pitches again and again
        few, place = np.unique(pitch, return_inverse=True)
        return _terms(comb, np.zeros(len(few), dtype=np.int64), few)[place]
    return _terms(comb, obs, pitch)


def _terms(comb: CombColumn, obs: Integers, pitch: Array) -> Array:
    leaf, visible = comb.leaf[obs], comb.visible[obs]
    length = np.where(np.isnan(visible), judgement.COMB_PITCHES * pitch, visible)
    owned = leaves_of(comb.combs)
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
    terms = _leaf_term(leaves_of(combs)[:, None], pitch, judgement.COMB_PITCHES * pitch)
    return np.asarray(np.exp(terms - np.logaddexp.reduce(terms, axis=0)))
