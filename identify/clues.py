"""Log weight of the evidence that is not a size: one number for each candidate of the catalogue."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from threadwright import judgement
from threadwright.binding import flank_mismatch, free_turns
from threadwright.evidence import CRESTS, Evidence, Tried
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.registry import SYSTEMS
from threadwright.tables.thread import Array, Side

__all__ = ["crest_looks", "log_evidence", "outcome_probability"]

_POINTS = (np.arange(9) + 0.5) / 9  # where in its range the clearance lies, evenly
_CATEGORIES = 4  # outcomes of a trial


def log_evidence(evidence: Evidence, *, side: Side) -> Array:
    """Log weight of all evidence but the sizes, for each candidate.

    Parameters
    ----------
    evidence : Evidence
    side : {"external", "internal"}

    Returns
    -------
    array (n,)
        Natural logarithm of a probability or of a density. [-]

    Examples
    --------
    >>> float(log_evidence(Evidence(), side="external").sum())
    0.0
    """
    catalogue = candidates()
    total = np.zeros(len(catalogue))
    if evidence.starts is not None:
        total += np.where(catalogue.starts == evidence.starts, 0.0, np.log(judgement.POOR_TRIALS))
    if evidence.lead is not None:
        lead = catalogue.pitch * catalogue.starts
        total += _normal(evidence.lead.value_mm, lead, evidence.lead.u_mm)
    if evidence.taper is not None:
        taper = catalogue.taper
        total += _normal(
            evidence.taper.value, taper, np.hypot(evidence.taper.u, judgement.TAPER_SPREAD_SHARE * taper)
        )
    if evidence.crest is not None:
        total += np.log(crest_looks()[:, CRESTS.index(evidence.crest)])
    if evidence.clearance_mm is not None:
        ratio = np.log(evidence.clearance_mm / catalogue.major)
        total += _normal(ratio, judgement.CLEARANCE_RATIO_LOG, judgement.CLEARANCE_SPREAD_LOG)
    for tried in _each_once(evidence.tried):
        total += np.log(outcome_probability(tried, side=side))
    return total


def _each_once(tried: tuple[Tried, ...]) -> list[Tried]:
    """Trials, one of those that are the same trial told again: it is no second witness."""
    return list({(one.piece.system, one.piece.designation, *_said(one)): one for one in tried}.values())


def _said(one: Tried) -> tuple[str, str, float | None]:
    return one.kind, one.outcome, one.turns


def _normal(value: Array | float, mean: Array | float, u: Array | float) -> Array:
    return np.asarray(-0.5 * ((value - mean) / u) ** 2 - np.log(u))


@lru_cache(maxsize=1)
def crest_looks() -> Array:
    """Chances that each candidate's crests look flat, rounded and sharp.

    Returns
    -------
    array (n, 3)
        Rows add to one. [-]

    Examples
    --------
    >>> bool(np.allclose(crest_looks().sum(axis=1), 1.0))
    True
    """
    ends = {
        system.symbol: "sharp" if system.form.crest_truncation < 0.02 else system.form.crest_end
        for system in SYSTEMS
    }
    return np.array([judgement.CREST_LOOK[ends[names[0][0]]] for names in candidates().names])


@lru_cache(maxsize=4)
def _effective_range(side: Side) -> tuple[Array, Array]:
    """Least and greatest effective diameter of each candidate over its classes. [mm]"""
    rows, catalogue = class_rows(side), candidates()
    low = np.full(len(catalogue), np.inf)
    high = np.full(len(catalogue), -np.inf)
    np.fmin.at(low, rows.candidate, rows.pitch_diameter_low)
    np.fmax.at(high, rows.candidate, rows.pitch_diameter_high)
    below, above = judgement.ESTIMATED_ZONE[side, "pitch_diameter"]
    low = np.where(np.isfinite(low), low, catalogue.pitch_diameter + below * catalogue.pitch)
    high = np.where(np.isfinite(high), high, catalogue.pitch_diameter + above * catalogue.pitch)
    return low, high


def outcome_probability(tried: Tried, *, side: Side) -> Array:
    """Chance of the outcome of a trial, for each candidate.

    Parameters
    ----------
    tried : Tried
        A piece of known thread and how it went.
    side : {"external", "internal"}
        Side of the unknown part.

    Returns
    -------
    array (n,)
        Between 0 and 1. [-]

    Notes
    -----
    The clearance on the effective diameter lies anywhere between the tightest and the loosest
    limits; the flank mismatch is paid first, then the pitch difference eats the play
    (:mod:`threadwright.binding`).

    Examples
    --------
    >>> from threadwright.evidence import read_evidence
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> evidence = read_evidence([], tried="M8x1.25 screw: runs in", side="internal")
    >>> p = outcome_probability(evidence.tried[0], side="internal")
    >>> bool(p[names.index("M8x1.25")] > 0.9 > 0.3 > p[names.index("5/16-18 UNC")])
    True
    """
    catalogue, piece = candidates(), tried.piece
    other: Side = "external" if side == "internal" else "internal"
    mine_low, mine_high = _effective_range(side)
    his_low, his_high = _piece_range(tried, other)
    if side == "internal":
        least, most = mine_low - his_high, mine_high - his_low
    else:
        least, most = his_low - mine_high, his_high - mine_low
    depth = np.minimum(catalogue.pitch, piece.pitch_mm) * (
        piece.form.straight_addendum + min(piece.form.dedendum, piece.form.straight_addendum)
    )
    flanks = (catalogue.flank_angle, piece.form.flank_angle)
    cost = flank_mismatch(depth=depth, flank_external=flanks[0], flank_internal=flanks[1])
    room = least[:, None] + (most - least)[:, None] * _POINTS - cost[:, None]
    turns = free_turns(
        clearance=room,
        flank_angle=((flanks[0] + flanks[1]) / 2)[:, None],
        pitch_external=catalogue.pitch[:, None],
        pitch_internal=piece.pitch_mm,
    )
    turns = np.minimum(turns + judgement.EXTRA_TURNS, 1e3)
    # the piece is smaller than the crests of the hole, or the hole than the crests of the screw
    overlap = (piece.major_basic * piece.to_mm - catalogue.minor) / 2
    if side == "external":
        overlap = (catalogue.major - piece.minor_basic * piece.to_mm) / 2
    return _mean_outcome(tried, room, turns, overlap)


def _piece_range(tried: Tried, side: Side) -> tuple[float, float]:
    """Least and greatest effective diameter of the piece in its usual class. [mm]"""
    piece = tried.piece
    basic = piece.pitch_diameter_basic * piece.to_mm
    below, above = judgement.ESTIMATED_ZONE[side, "pitch_diameter"]
    low, high = basic + below * piece.pitch_mm, basic + above * piece.pitch_mm
    if piece.classes(side):
        limits = piece.limits(side).in_mm()
        if limits.pitch_diameter_min == limits.pitch_diameter_min:
            low = limits.pitch_diameter_min
        if limits.pitch_diameter_max == limits.pitch_diameter_max:
            high = limits.pitch_diameter_max
    return low, high


def _soft(x: Array) -> Array:
    return np.asarray(1 / (1 + np.exp(-np.clip(x, -60, 60))))


def _mean_outcome(tried: Tried, room: Array, turns: Array, overlap: Array) -> Array:
    starts = _soft((room + judgement.START_SLACK_MM) / judgement.START_SOFTNESS_MM)
    grips = _soft(overlap / 0.05)[:, None]
    runs = _soft((turns - judgement.RUNS_IN_TURNS) / judgement.TURNS_SPREAD)
    if tried.outcome == "will not start":
        chance = 1 - starts
    elif tried.outcome == "slides in":
        chance = starts * (1 - grips)
    elif tried.outcome == "runs in":
        chance = starts * grips * runs
    else:
        assert tried.turns is not None
        spread = np.maximum(judgement.TURNS_SPREAD, 0.35 * turns)
        near = np.exp(-0.5 * ((turns - tried.turns) / spread) ** 2) / spread
        chance = starts * grips * (1 - runs) * near / np.sqrt(2 * np.pi)
    poor = judgement.POOR_TRIALS
    return np.asarray((1 - poor) * chance.mean(axis=1) + poor / _CATEGORIES)
