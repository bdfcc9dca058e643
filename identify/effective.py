"""The effective diameter that thread micrometer and wires mean, on each thread they are laid against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.normal import log_density
from threadwright.observations import LengthColumn, Observations, WireColumn
from threadwright.tables.catalogue import Catalogue, candidates
from threadwright.tables.errors import ReadingError
from threadwright.tables.thread import Array
from threadwright.tables.wires import wire_correction

__all__ = ["effective_reading", "no_contact", "pair_reading", "pitch_diameter_over_wires"]

Integers = NDArray[np.int64]


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
    touches = (wire >= catalogue.wire_least[cand]) & (wire <= catalogue.wire_greatest[cand])
    slope = np.full(len(wire), np.nan)
    slope[touches] = _slopes(wires, obs[touches], catalogue, cand[touches])
    of_wire = np.where(touches, factor, 0.0) * wires.u_wire[obs]
    return LengthColumn(np.where(touches, flat - slope, np.nan), np.hypot(wires.u[obs], of_wire))


def _slopes(wires: WireColumn, obs: Integers, catalogue: Catalogue, cand: Integers) -> Array:
    """What the slope of the thread adds for each pair; a wire on a thread is laid once, as it takes time."""
    few, size = np.unique(wires.wire, return_inverse=True)
    pairs, place = np.unique(cand * len(few) + size[obs], return_inverse=True)
    own, wire = pairs // len(few), few[pairs % len(few)]
    pitch = catalogue.pitch[own]
    slopes = wire_correction(
        flank_angle=catalogue.flank_angle[own],
        pitch=pitch,
        lead=pitch * catalogue.starts[own],
        pitch_diameter=catalogue.pitch_diameter[own],
        wire=wire,
    )
    return np.asarray(slopes[place])


def catalogue_pitch_factor(catalogue: Catalogue, cand: Integers) -> Array:
    """Half the cotangent of the flank angle of each candidate. [-]"""
    return np.asarray(0.5 / np.tan(np.radians(catalogue.flank_angle[cand])))


def _combine(first: LengthColumn, second: LengthColumn) -> tuple[LengthColumn, Array]:
    """Two readings of one dimension as one, and the log density of their disagreement."""
    weight = second.u**2 / (first.u**2 + second.u**2)
    value = weight * first.value + (1 - weight) * second.value
    u = first.u * second.u / np.hypot(first.u, second.u)
    return LengthColumn(value, u), log_density(first.value, second.value, np.hypot(first.u, second.u))


def pair_reading(reading: LengthColumn, obs: Integers) -> LengthColumn:
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
        direct = _by_anvils(pair_reading(direct, obs), observations.anvil, cand)
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
