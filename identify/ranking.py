"""From readings to ranked threads with probabilities."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.clues import log_evidence
from threadwright.evidence import Hand
from threadwright.explanation import Fit, fits_of
from threadwright.likelihood import Observations, log_likelihood, log_none
from threadwright.observing import observe
from threadwright.priors import UNKNOWN, Prior, class_log_weights, log_prior, log_side
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError
from threadwright.tables.registry import system
from threadwright.tables.thread import Array, Thread

__all__ = [
    "Candidate",
    "Fit",
    "Identification",
    "check_wire",
    "identify",
    "identify_same",
    "observe",
    "posterior",
]

SCHEMA_VERSION = 1
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thread that the readings may mean.

    ``each`` holds the fit of every fastener where several are taken to be the same; ``readings`` is
    then that of the first.
    """

    designation: str
    system: str
    also: tuple[str, ...]
    probability: float
    nominal_major_mm: float
    pitch_mm: float
    thread_angle_deg: float
    readings: dict[str, Fit]
    thread: Thread
    place: int
    """Where it stands in the catalogue."""
    each: tuple[dict[str, Fit], ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        plain = {
            "designation": self.designation,
            "system": self.system,
            "also": list(self.also),
            "probability": self.probability,
            "nominal_major_mm": self.nominal_major_mm,
            "pitch_mm": self.pitch_mm,
            "thread_angle_deg": self.thread_angle_deg,
            "readings": {name: fit.to_dict() for name, fit in self.readings.items()},
        }
        if self.each:
            plain["each"] = [{name: fit.to_dict() for name, fit in one.items()} for one in self.each]
        return plain


@dataclass(frozen=True, slots=True)
class Identification:
    """Ranked candidates; ``candidates``, ``rest`` and ``none_of_these`` add to one.

    ``same`` holds all fasteners where several are taken to be the same; ``readings`` is the first.
    """

    readings: Readings
    candidates: tuple[Candidate, ...]
    rest: float
    none_of_these: float
    same: tuple[Readings, ...] = ()

    @property
    def settled(self) -> bool:
        """Whether the first candidate reaches the probability that counts as settled."""
        return bool(self.candidates) and self.candidates[0].probability >= judgement.SETTLED

    @property
    def fasteners(self) -> tuple[Readings, ...]:
        """Readings of every fastener that was looked at; one, unless several are the same."""
        return self.same or (self.readings,)

    @property
    def hand(self) -> Hand | None:
        """Hand that was seen on any of the fasteners; it is part of the threads' names."""
        return next((one.evidence.hand for one in self.fasteners if one.evidence.hand is not None), None)

    @property
    def fits_nothing(self) -> bool:
        """Whether "none of these" is more probable than any thread."""
        return all(one.probability <= self.none_of_these for one in self.candidates)

    def _repr_html_(self) -> str:
        """The ranking as a table, for a notebook."""
        from threadwright.notebook import candidates_html

        titled = ((one, system(one.system).title) for one in self.candidates)
        named = [(one.designation, one.probability, title, one.also) for one, title in titled]
        none, fits = self.none_of_these, not self.fits_nothing
        return candidates_html(named, none=none, settled=self.settled, fits=fits)

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "schema_version": SCHEMA_VERSION,
            "hand": self.hand,
            "candidates": [candidate.to_dict() for candidate in self.candidates],
            "rest": self.rest,
            "none_of_these": self.none_of_these,
        }


def posterior(
    observations: Observations,
    obs: Integers,
    cand: Integers,
    *,
    prior: Prior = UNKNOWN,
    beside: Array | None = None,
) -> tuple[Array, Array]:
    """Probability of each pair, and of "none of these" for each fastener.

    Parameters
    ----------
    observations : Observations
        N fasteners.
    obs, cand : array of int (k,)
        Pairs of fastener and candidate, ``obs`` ascending; what is left out counts as impossible.
    prior : Prior
        Origin and machine record.
    beside : array (m,), optional
        Log weight of other evidence for each candidate of the catalogue.

    Returns
    -------
    tuple of array (k,), array (n,)
        The probabilities of a fastener's pairs and its "none of these" add to one.

    Examples
    --------
    >>> seen = observe(Readings(major="7.9 mm", pitch="1.25 mm"))
    >>> every = np.arange(len(candidates()))
    >>> p, none = posterior(seen, np.zeros_like(every), every)
    >>> round(float(p.sum() + none[0]), 9)
    1.0
    """
    joint, none = _log_joint(observations, obs, cand, prior, beside)
    top = none.copy()
    np.maximum.at(top, obs, joint)
    weight, none_weight = np.exp(joint - top[obs]), np.exp(none - top)
    total = none_weight + np.bincount(obs, weight, minlength=observations.n)
    return weight / total[obs], none_weight / total


def _log_joint(
    observations: Observations, obs: Integers, cand: Integers, prior: Prior, beside: Array | None
) -> tuple[Array, Array]:
    """Log of prior times density, of each pair and of "none of these"."""
    density, none = _log_density(observations, obs, cand, prior, beside)
    common = log_prior(prior, observations.side)
    return common[cand] + density, np.log(judgement.NONE_OF_THESE) + none


def _log_density(
    observations: Observations, obs: Integers, cand: Integers, prior: Prior, beside: Array | None
) -> tuple[Array, Array]:
    """Log density, of each pair and of "none of these"; the prior weighs the classes of a candidate."""
    weights = class_log_weights(observations.side, prior)
    density = log_side(observations.side)[cand] + log_likelihood(observations, obs, cand, weights)
    none = log_none(observations)
    if beside is not None:
        # to "none of these" the evidence is as likely as it is to the catalogue on average
        density = density + beside[cand]
        common = np.exp(log_prior(prior, observations.side))
        none = none + np.log((common / common.sum() * np.exp(beside - beside.max())).sum()) + beside.max()
    return density, none


def identify(readings: Readings, *, top: int | None = 8, prior: Prior = UNKNOWN) -> Identification:
    """Rank the threads of the catalogue by how well they explain the readings.

    Parameters
    ----------
    readings : Readings
        At least one reading.
    top : int, optional
        How many candidates to return; None for all. The probability of the others is ``rest``.
    prior : Prior, optional
        Where and when the machine was made, and what was found on it before.

    Returns
    -------
    Identification

    Raises
    ------
    ReadingError
        If there is no reading, ``top`` is below 1, or the wire fits no thread of the catalogue.

    Examples
    --------
    >>> answer = identify(Readings(major="0.372 in", pitch="20 tpi", flank_angle="27.5 deg"))
    >>> answer.candidates[0].designation
    '3/8-20 BSF'
    """
    return _ranked((readings,), top=top, prior=prior)


def identify_same(
    fasteners: Sequence[Readings], *, top: int | None = 8, prior: Prior = UNKNOWN
) -> Identification:
    """Rank the threads of the catalogue for several fasteners believed to have the same thread.

    Their likelihoods multiply, and the prior counts once: p(t) is proportional to p0(t) L1(t) ... Ln(t).
    Class and wear may differ from one to the next, and so may the side (screws and their holes).

    Parameters
    ----------
    fasteners : sequence of Readings
        At least one, each with at least one reading.
    top : int, optional
        How many candidates to return; None for all.
    prior : Prior, optional
        Where and when the machine was made, and what was found on it before.

    Returns
    -------
    Identification
        ``same`` holds the fasteners.

    Raises
    ------
    ReadingError
        If there is no fastener, or as :func:`identify` for any of them; the message says which.

    Notes
    -----
    The errors of the readings are taken as independent. An error that all share, such as that of a
    caliper's zero, does not shrink with their number.

    Examples
    --------
    >>> several = [Readings(major=size, pitch="20 tpi") for size in ("0.372 in", "0.373 in", "0.369 in")]
    >>> identify_same(several).candidates[0].designation
    '3/8-20 BSF'
    """
    if not fasteners:
        raise ReadingError("same: no fastener given; give the readings of at least one")
    return _ranked(tuple(fasteners), top=top, prior=prior)


def _ranked(fasteners: tuple[Readings, ...], *, top: int | None, prior: Prior) -> Identification:
    """Rank by the product of the fasteners' likelihoods and the prior."""
    several = len(fasteners) > 1
    for number, readings in enumerate(fasteners, start=1):
        try:
            _check(readings)
        except ReadingError as fault:
            raise ReadingError(f"fastener {number}: {fault}" if several else str(fault)) from fault
    if len({one.evidence.hand for one in fasteners if one.evidence.hand is not None}) > 1:
        raise ReadingError("hand: one is left-handed and another right-handed; identify them each alone")
    if top is not None and top < 1:
        raise ReadingError(f"top: {top} candidates are none; give 1 or more")
    sides = {one.side for one in fasteners}
    common = log_prior(prior, fasteners[0].side if len(sides) == 1 else None)
    joint, log_none_of_these = common, np.log([judgement.NONE_OF_THESE])
    for readings in fasteners:
        density, none = _log_density_of(readings, prior)
        joint, log_none_of_these = joint + density, log_none_of_these + none
    total = np.logaddexp(np.logaddexp.reduce(joint), log_none_of_these)
    probability, none = np.exp(joint - total), np.exp(log_none_of_these - total)
    # by the logarithm, so that threads too improbable for a number still come in order
    order = np.lexsort((np.arange(len(joint)), -joint))[:top]
    return Identification(
        readings=fasteners[0],
        candidates=tuple(
            _candidate(fasteners, int(index), float(probability[index]), prior) for index in order
        ),
        rest=max(0.0, 1.0 - float(none[0]) - float(probability[order].sum())),
        none_of_these=float(none[0]),
        same=fasteners if several else (),
    )


def _check(readings: Readings) -> None:
    """Refuse readings that are none, or a wire that fits nothing."""
    if not readings.given() and not readings.evidence.given():
        raise ReadingError(
            "no reading given; measure the major diameter over the crests first (caliper), "
            "then the pitch (comb)"
        )
    check_wire(readings)


def _log_density_of(readings: Readings, prior: Prior) -> tuple[Array, Array]:
    """Log density of one fastener's readings for every candidate, and for "none of these"."""
    evidence, every = readings.evidence, np.arange(len(candidates()))
    beside = log_evidence(evidence, side=readings.side) if evidence.given() else None
    return _log_density(observe(readings, prior), np.zeros_like(every), every, prior, beside)


def check_wire(readings: Readings) -> None:
    """Refuse a wire that touches the flanks of no thread near the size over it.

    Parameters
    ----------
    readings : Readings
        With or without a size over wires.

    Raises
    ------
    ReadingError
        Naming the wire and the range that would touch.
    """
    over = readings.over_wires
    if over is None:
        return
    catalogue, wire = candidates(), over.wire_mm
    size, _ = over.three_wire
    near = np.abs(catalogue.pitch_diameter - size) < 3 * wire
    if readings.pitch is not None:
        near &= np.abs(catalogue.pitch / readings.pitch.value_mm - 1) < 2 * judgement.COMB_POOR_SPREAD
    if (
        not near.any()
        or ((catalogue.wire_least[near] <= wire) & (wire <= catalogue.wire_greatest[near])).any()
    ):
        return
    thin, thick = np.nanmin(catalogue.wire_least[near]), np.nanmax(catalogue.wire_greatest[near])
    word = "thin" if wire < thin else "thick"
    raise ReadingError(
        f"wire: {wire:.3f} mm is too {word} to touch the flanks of any thread near this size; "
        f"use one between {thin:.3f} and {thick:.3f} mm"
    )


def _candidate(fasteners: tuple[Readings, ...], index: int, probability: float, prior: Prior) -> Candidate:
    catalogue = candidates()
    fits = tuple(fits_of(one, index, prior=prior) for one in fasteners)
    side = fasteners[0].side
    thread, mark = catalogue.thread(index, side), ""
    if any(one.evidence.hand == "left" for one in fasteners):
        thread, mark = replace(thread, left_hand=True), " LH"
    return Candidate(
        designation=f"{thread.designation}{mark}",
        system=thread.system,
        also=tuple(f"{name}{mark}" for name in catalogue.also(index, side)),
        probability=probability,
        nominal_major_mm=float(catalogue.nominal_major[index]),
        pitch_mm=float(catalogue.pitch[index]),
        thread_angle_deg=float(catalogue.thread_angle[index]),
        readings=fits[0],
        thread=thread,
        place=index,
        each=fits if len(fits) > 1 else (),
    )
