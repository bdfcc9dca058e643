"""When no thread fits: which slip of the person who measured would make sense of the readings.

Each slip is undone on the readings; what the threads then say of them, weighed by how often the
slip is made, competes with the readings as they stand and with "none of these".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from threadwright import judgement
from threadwright.batch_many import identify_many
from threadwright.instruments import comb_leaves
from threadwright.likelihood import LengthColumn, Observations, log_none
from threadwright.ranking import observe
from threadwright.readings import LABELS, Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.thread import Array, Side

__all__ = ["Slip", "SlipScores", "find_slips", "slip_scores"]

_MM_PER_INCH = 25.4
_NEVER = 1e-300  # a probability too small for a number
_DIAMETERS = ("major", "pitch_diameter", "minor")
_WORDS = {
    "inch": "{label}: written in millimetres, meant in inches",
    "millimetre": "{label}: written in inches, meant in millimetres",
    "radius": "{label}: a radius given for the diameter",
    "leaf": "pitch: the neighbouring leaf of the comb",
    "count": "pitch: crests counted for spaces, or one too few or too many",
    "zero": "caliper: not at zero when it was closed",
    "wire": "wire: the wires are of another size",
    "side": "side: a screw given for a hole, or a hole for a screw",
}


@dataclass(frozen=True, slots=True)
class _Undone:
    """Readings with one slip undone: its kind, the reading it was made on, and its log weight."""

    kind: str
    reading: str
    log_weight: float
    observations: Observations


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip that would make sense of the readings."""

    kind: str
    reading: str
    words: str
    probability: float
    leads_to: str
    """Thread the readings would then mean."""

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        names = ("kind", "reading", "words", "probability", "leads_to")
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True, slots=True, eq=False)
class SlipScores:
    """Probabilities of the slips of N fasteners.

    ``kinds`` names the slips, (s,); ``probability`` is (n, s); ``as_read`` and ``none_of_these``
    are (n,); ``leads_to`` holds catalogue places, (n, s).
    """

    kinds: tuple[tuple[str, str], ...]
    probability: Array
    as_read: Array
    none_of_these: Array
    leads_to: np.ndarray[Any, np.dtype[np.int64]]


def _scaled(seen: Observations, names: tuple[str, ...], factor: float) -> Observations:
    lengths = {
        name: LengthColumn(c.value * factor, c.u * factor, None if c.width is None else c.width * factor)
        if name in names
        else c
        for name, c in seen.lengths.items()
    }
    wires = seen.over_wires
    if wires is not None and "over_wires" in names:
        wires = replace(wires, value=wires.value * factor, u=wires.u * factor)
    return replace(seen, lengths=lengths, over_wires=wires)


def _shifted(seen: Observations, by: float) -> Observations:
    lengths = {name: replace(c, value=np.maximum(c.value + by, 0.05)) for name, c in seen.lengths.items()}
    return replace(seen, lengths=lengths)


def _units(seen: Observations, groups: list[tuple[str, ...]]) -> Iterator[_Undone]:
    for kind, factor in (("inch", _MM_PER_INCH), ("millimetre", 1 / _MM_PER_INCH)):
        for names in groups:
            changed = len(names)
            weight = np.log(judgement.SLIP_SHARE[kind] / len(groups)) + changed * np.log(factor)
            yield _Undone(kind, names[0], float(weight), _scaled(seen, names, factor))
        if seen.pitch is not None:
            column = LengthColumn(seen.pitch.value * factor, seen.pitch.u * factor)
            weight = np.log(judgement.SLIP_SHARE[kind]) + np.log(factor)
            yield _Undone(kind, "pitch", float(weight), replace(seen, pitch=column))


def _leaves(seen: Observations) -> Iterator[_Undone]:
    comb = seen.comb
    if comb is None:
        return
    owned = np.array(sorted(comb_leaves(comb.combs)))
    at = np.clip(np.searchsorted(owned, comb.leaf * (1 - 1e-9)), 0, len(owned) - 1)
    for step in (-2, -1, 1, 2):
        leaf = owned[np.clip(at + step, 0, len(owned) - 1)]
        weight = float(np.log(judgement.SLIP_SHARE["leaf"] / 4))
        yield _Undone("leaf", "pitch", weight, replace(seen, comb=replace(comb, leaf=leaf)))


def _counts(seen: Observations, counted: Array | None) -> Iterator[_Undone]:
    if seen.pitch is None:
        return
    count = np.full(seen.n, float(judgement.COUNTED_PITCHES)) if counted is None else counted
    for true in (count - 1, count + 1):
        factor = count / np.maximum(true, 1.0)
        column = LengthColumn(seen.pitch.value * factor, seen.pitch.u * factor)
        weight = float(np.log(judgement.SLIP_SHARE["count"] / 2) + np.log(factor).mean())
        yield _Undone("count", "pitch", weight, replace(seen, pitch=column))


def undone(seen: Observations, counted: Array | None = None) -> Iterator[_Undone]:
    """The readings with each slip undone in turn.

    Parameters
    ----------
    seen : Observations
        N fasteners.
    counted : array (n,), optional
        Pitches counted for a measured pitch; ten if not known.

    Yields
    ------
    _Undone
    """
    read = tuple(name for name in _DIAMETERS if name in seen.lengths)
    both = (*read, *(("over_wires",) if seen.over_wires is not None else ()))
    groups = [(name,) for name in both] + ([both] if len(both) > 1 else [])
    yield from _units(seen, groups)
    for name in read:
        weight = float(np.log(judgement.SLIP_SHARE["radius"] / len(read)) + np.log(2.0))
        yield _Undone("radius", name, weight, _scaled(seen, (name,), 2.0))
    yield from _leaves(seen)
    yield from _counts(seen, counted)
    if read:
        share = judgement.SLIP_SHARE["zero"] / len(judgement.ZERO_ERRORS_MM)
        for error in judgement.ZERO_ERRORS_MM:
            yield _Undone("zero", read[0], float(np.log(share)), _shifted(seen, error))
    wires = seen.over_wires
    if wires is not None:
        share = judgement.SLIP_SHARE["wire"] / len(judgement.WIRE_ERRORS_MM)
        for error in judgement.WIRE_ERRORS_MM:
            other = replace(wires, wire=np.maximum(wires.wire + error, 0.05))
            yield _Undone("wire", "over_wires", float(np.log(share)), replace(seen, over_wires=other))
    elif read:
        other_side: Side = "internal" if seen.side == "external" else "external"
        weight = float(np.log(judgement.SLIP_SHARE["side"]))
        yield _Undone("side", read[0], weight, replace(seen, side=other_side))


def _log_catalogue(seen: Observations) -> tuple[Array, Array, Any]:
    """Log density of the readings under the catalogue and under none of it, and the likeliest thread."""
    ranked = identify_many(seen, top=1)
    none = np.log(judgement.NONE_OF_THESE) + log_none(seen)
    none_share = np.maximum(ranked.none_of_these, _NEVER)
    threads = np.maximum(1.0 - ranked.none_of_these, _NEVER)
    return none + np.log(threads) - np.log(none_share), none, ranked.index[:, 0]


def slip_scores(seen: Observations, counted: Array | None = None) -> SlipScores:
    """Probability of each slip for many fasteners with the same kinds of reading.

    Parameters
    ----------
    seen : Observations
        N fasteners.
    counted : array (n,), optional
        Pitches counted for a measured pitch.

    Returns
    -------
    SlipScores
        Slips, the readings as they stand and "none of these" add to one.

    Examples
    --------
    >>> from threadwright.ranking import observe
    >>> scores = slip_scores(observe(Readings(major="9.45 in", pitch="20 tpi")))
    >>> scores.kinds[int(np.argmax(scores.probability[0]))]
    ('millimetre', 'major')
    """
    as_read, none, _ = _log_catalogue(seen)
    total_share = sum(judgement.SLIP_SHARE.values())
    merged: dict[tuple[str, str], tuple[Array, Array, Any]] = {}
    for one in undone(seen, counted):
        log_density, _, lead = _log_catalogue(one.observations)
        score = log_density + one.log_weight
        key = (one.kind, one.reading)
        if key in merged:
            before, best, where = merged[key]
            better = score > best
            merged[key] = (
                np.logaddexp(before, score),
                np.maximum(best, score),
                np.where(better, lead, where),
            )
        else:
            merged[key] = (score, score, lead)
    kinds = tuple(merged)
    logs = np.stack([as_read + np.log1p(-total_share), none, *(merged[key][0] for key in kinds)], axis=1)
    shares = np.exp(logs - np.logaddexp.reduce(logs, axis=1)[:, None])
    leads = np.stack([merged[key][2] for key in kinds], axis=1) if kinds else np.zeros((seen.n, 0), np.int64)
    return SlipScores(kinds, shares[:, 2:], shares[:, 0], shares[:, 1], leads)


def find_slips(readings: Readings, *, least: float = 0.05) -> tuple[Slip, ...]:
    """Slips that would make sense of the readings of one fastener, the likeliest first.

    Parameters
    ----------
    readings : Readings
        At least one size.
    least : float
        Probability below which a slip is not told.

    Returns
    -------
    tuple of Slip

    Examples
    --------
    >>> slip = find_slips(Readings(major="9.45 in", pitch="20 tpi"))[0]
    >>> slip.leads_to, slip.words
    ('3/8-20 BSF', 'major diameter: written in inches, meant in millimetres')
    """
    pitch = readings.pitch
    counted = None
    if pitch is not None and pitch.kind == "measured" and " over " in pitch.text:
        counted = np.array([float(pitch.text.split()[0])])
    scores = slip_scores(observe(readings), counted)
    found = []
    for place, (kind, reading) in enumerate(scores.kinds):
        probability = float(scores.probability[0, place])
        if probability >= least:
            words = _WORDS[kind].format(label=LABELS[reading])
            lead = candidates().designation(int(scores.leads_to[0, place]), readings.side)
            found.append(Slip(kind, reading, words, probability, lead))
    return tuple(sorted(found, key=lambda slip: -slip.probability))
