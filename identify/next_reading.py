"""Which reading to take next: the easiest that parts the leaders well, else the one that parts them most.

A reading parts two threads by the distance between what they would show, in units of its own doubt
and of the width of their limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from threadwright import judgement
from threadwright.tables.thread import Side

if TYPE_CHECKING:
    from threadwright.ranking import Candidate, Identification
    from threadwright.tables.thread import Thread

__all__ = ["Suggestion", "leaders", "next_reading"]

_MOST_LEADERS = 4
# from the easiest
_READINGS: dict[Side, tuple[str, ...]] = {
    "external": ("pitch", "major", "flank_angle", "pitch_diameter", "minor"),
    "internal": ("pitch", "minor", "flank_angle", "pitch_diameter", "major"),
}
_WORDS = {
    "pitch": "the pitch, with a comb",
    "major": "the major diameter, over the crests",
    "flank_angle": "the flank angle, against a bright background or on an enlarged picture",
    "pitch_diameter": "the pitch diameter, over three wires or with a thread micrometer",
    "minor": "the minor diameter",
}
_HOLE_WORDS = {
    "major": "the major diameter, on a cast of the hole",
    "flank_angle": "the flank angle, on a cast of the hole",
    "pitch_diameter": "the pitch diameter, on a cast of the hole",
    "minor": "the minor diameter, by the largest drill shank that enters",
}


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reading to take next.

    ``expected`` holds for each leading candidate its designation and the ends of what it would show,
    in ``unit``.
    """

    reading: str
    words: str
    unit: str
    expected: tuple[tuple[str, float, float], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "reading": self.reading,
            "how": self.words,
            "unit": self.unit,
            "expected": [
                {"designation": name, "low": low, "high": high} for name, low, high in self.expected
            ],
        }


def leaders(identification: Identification) -> tuple[Candidate, ...]:
    """Candidates that are still worth planning for, at most four and at least the first."""
    likely = [one for one in identification.candidates if one.probability > judgement.WORTH_PLANNING]
    return tuple(likely[:_MOST_LEADERS]) or identification.candidates[:1]


def next_reading(identification: Identification) -> Suggestion | None:
    """Suggest a reading, not yet given, that parts the leading candidates.

    Parameters
    ----------
    identification : Identification

    Returns
    -------
    Suggestion or None
        None if the answer is settled, or if no single reading parts the leaders.

    Examples
    --------
    >>> from threadwright.ranking import identify
    >>> from threadwright.readings import Readings
    >>> next_reading(identify(Readings(major="0.372 in", pitch="20 tpi"))).reading
    'flank_angle'
    """
    among = leaders(identification)
    if identification.settled or len(among) < 2:
        return None
    side, given = identification.readings.side, set(identification.readings.given())
    if "over_wires" in given:
        given.add("pitch_diameter")
    parted = {name: _parted(name, among, side) for name in _READINGS[side] if name not in given}
    good = [name for name, parting in parted.items() if parting >= judgement.GOOD_PARTING]
    name = good[0] if good else max(parted, key=lambda name: parted[name], default="")
    if parted.get(name, 0.0) < judgement.LEAST_PARTING:
        return None
    words = _HOLE_WORDS if side == "internal" else _WORDS
    return Suggestion(
        reading=name,
        words=words.get(name, _WORDS[name]),
        unit="deg" if name == "flank_angle" else "mm",
        expected=tuple((one.designation, *_shows(name, one.thread, side)) for one in among),
    )


def _parted(name: str, among: tuple[Candidate, ...], side: Side) -> float:
    """How far a reading parts the leader from the others on average, each weighted by its probability."""
    first, *others = among
    parting = sum(one.probability * _parting(name, first.thread, one.thread, side) for one in others)
    return parting / sum(one.probability for one in others)


def _parting(name: str, one: Thread, other: Thread, side: Side) -> float:
    """Distance between the middles of two ranges, over the doubt of the reading and the widths."""
    (low, high), (other_low, other_high) = _shows(name, one, side), _shows(name, other, side)
    doubt = _doubt(name)
    spread = math.sqrt(doubt**2 + ((high - low) ** 2 + (other_high - other_low) ** 2) / 12)
    return abs(low + high - other_low - other_high) / 2 / spread


def _doubt(name: str) -> float:
    """Standard uncertainty of the reading as it would be taken. [mm or deg]"""
    if name == "flank_angle":
        return judgement.FLANK_ANGLE_U_DEG
    if name == "pitch":
        return judgement.COMB_DAYLIGHT_MM / judgement.COMB_PITCHES
    taken_with = {"major": "digital caliper", "pitch_diameter": "thread micrometer", "minor": "inside jaws"}
    return judgement.INSTRUMENT_U_MM[taken_with[name]]


def _shows(name: str, thread: Thread, side: Side) -> tuple[float, float]:
    """Ends of what a thread would show: limits of its usual class, the basic size where there are none."""
    if name == "flank_angle":
        return thread.form.flank_angle, thread.form.flank_angle
    if name == "pitch":
        return thread.pitch_mm, thread.pitch_mm
    basic = float(getattr(thread, f"{name}_basic")) * thread.to_mm
    if thread.default_classes.get(side) not in thread.classes(side):
        return basic, basic
    limits = thread.limits(side).in_mm()
    ends = [float(getattr(limits, f"{name}_{end}")) for end in ("min", "max")]
    low, high = (end if math.isfinite(end) else basic for end in ends)
    return min(low, high), max(low, high)
