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


def _leaf_weights(leaf: Array, pitch: Array, length: Array) -> tuple[Array, Array]:
    """Log weights of a leaf laid on a clean thread and on a poor one; leaf may have one axis more."""
    drift = length * np.abs(leaf / pitch - 1)
    clean = -0.5 * (drift / judgement.COMB_DAYLIGHT_MM) ** 2
    return clean, -0.5 * (np.log(leaf / pitch) / judgement.COMB_POOR_SPREAD) ** 2


def _either(clean: Array, poor: Array) -> Array:
    """Log probability of a leaf from those on a clean thread and on a poor one, by their shares."""
    share = judgement.COMB_POOR_SHARE
    return np.asarray(np.logaddexp(np.log1p(-share) + clean, np.log(share) + poor))


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
    extra = ~(np.abs(leaf[:, None] / owned - 1) < _SAME_LEAF).any(axis=1)
    chances = []
    for chosen, each in zip(
        _leaf_weights(leaf, pitch, length), _leaf_weights(owned[:, None], pitch, length), strict=True
    ):
        others = np.logaddexp.reduce(each, axis=0)
        chances.append(chosen - np.where(extra, np.logaddexp(others, chosen), others))
    return _either(*chances)


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

    Notes
    -----
    On a clean thread a leaf's weight falls with the drift that builds up over the length, on a poor one
    with the ratio of the pitches; each kind adds to one over the leaves, and they mix by their shares.

    Examples
    --------
    >>> bool(np.allclose(comb_leaf_probabilities(("inch",), np.array([1.27, 1.0])).sum(axis=0), 1.0))
    True
    """
    weights = _leaf_weights(leaves_of(combs)[:, None], pitch, judgement.COMB_PITCHES * pitch)
    return np.asarray(np.exp(_either(*(each - np.logaddexp.reduce(each, axis=0) for each in weights))))
