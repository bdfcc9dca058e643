"""Which reading to take next: the one from which the answer is soonest settled.

The doubt among the leading candidates is measured in bits; what each reading would be expected to
take away, and what it costs, is worked out in :mod:`threadwright.information`, and how the readings
follow each other in :mod:`threadwright.planning`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from threadwright import judgement
from threadwright.doubt import entropy
from threadwright.information import Option, options
from threadwright.planning import Ahead, minutes_ahead
from threadwright.priors import UNKNOWN, Prior
from threadwright.ranking import observe
from threadwright.tables.thread import Array

if TYPE_CHECKING:
    from threadwright.ranking import Candidate, Identification

__all__ = ["Suggestion", "leaders", "next_reading", "pick", "ranked_readings", "settling_reading"]

_MOST_LEADERS = 4
_MOST_PLANNED = 7
_FINER = ("steel rule", "micrometer", "thread micrometer")  # nothing coarser follows on one measurand
_VERBS = {"tried": "try", "crest": "look at"}
_MEASURAND = {"pitch": "pitch", "over_wires": "pitch diameter", "pitch_diameter": "pitch diameter"}


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reading to take next.

    ``expected`` holds for each leading candidate its designation and the ends of what it would show,
    in ``unit``; None where it is not a number. ``bits`` of the ``doubt`` are expected to go, for
    ``minutes`` of work. ``chances`` are the probabilities of the candidates planned for and of
    "none of these" if it counts, (k,), and ``outcomes`` the chance of each of g things it may show on
    them, (g, k).
    """

    reading: str
    words: str
    unit: str
    expected: tuple[tuple[str, float | None, float | None], ...]
    instrument: str
    minutes: float
    bits: float
    doubt: float
    chances: Array = field(repr=False, compare=False)
    outcomes: Array = field(repr=False, compare=False)
    takes_back: Array | None = field(default=None, repr=False, compare=False)
    """That of the :class:`threadwright.information.Option`."""
    wire_mm: float | None = None
    """Wires to measure over, where that is the reading."""
    piece: str = ""
    """Piece to try, where that is the reading."""
    shows: tuple[tuple[str, float], ...] = ()
    """What each leading candidate would most likely show and the chance of it, where it is not a number."""

    @property
    def planned(self) -> float:
        """Probability of all that was planned for; the rest lies with threads each too unlikely to count."""
        return float(self.chances.sum())

    @property
    def action(self) -> str:
        """What to do: measure, look at or try what ``words`` name."""
        return f"{_VERBS.get(self.reading, 'measure')} {self.words}"

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        said = self.shows or ((None, None),) * len(self.expected)
        return {
            "reading": self.reading,
            "how": self.words,
            "instrument": self.instrument,
            "minutes": self.minutes,
            "bits": self.bits,
            "doubt_bits": self.doubt,
            "unit": self.unit,
            "expected": [
                {"designation": name, "low": low, "high": high, "shows": shows, "chance": chance}
                for (name, low, high), (shows, chance) in zip(self.expected, said, strict=True)
            ],
        }


def leaders(identification: Identification) -> tuple[Candidate, ...]:
    """Candidates that are worth naming, at most four and at least the first."""
    likely = [one for one in identification.candidates if one.probability > judgement.WORTH_PLANNING]
    return tuple(likely[:_MOST_LEADERS]) or identification.candidates[:1]


def ranked_readings(
    identification: Identification,
    *,
    prior: Prior = UNKNOWN,
    without: tuple[str, ...] = (),
    certainty: float = judgement.SETTLED,
) -> tuple[Suggestion, ...]:
    """Readings not yet given that would take away some doubt, the most telling for its effort first.

    Parameters
    ----------
    identification : Identification
    prior : Prior
        As for the identification.
    without : tuple of str
        Readings that cannot be taken, such as ``"across_flats"`` of a screw without a hexagon.
    certainty : float
        Probability of the first candidate from which nothing more is asked. [-]

    Returns
    -------
    tuple of Suggestion
        Empty if the answer is settled or has one leader.

    Examples
    --------
    >>> from threadwright.ranking import identify
    >>> from threadwright.readings import Readings
    >>> [one.reading for one in ranked_readings(identify(Readings(major="7.9 mm")))][:2]
    ['pitch', 'across_flats']
    """
    first = identification.candidates[0].probability
    least = judgement.PLANNED_SHARE * (1.0 - certainty)
    among = [one for one in identification.candidates[:_MOST_LEADERS] if one.probability > least]
    none = identification.none_of_these if identification.none_of_these > least else 0.0
    if len(among) + (none > 0) < 2 or max(first, none) >= certainty:
        return ()
    answered = identification.fasteners
    chances = np.array([one.probability for one in among])
    ranked = options(
        observe(answered[0], prior),
        np.array([one.place for one in among]),
        chances,
        given=tuple(name for one in answered for name in (*one.given(), *one.evidence.given())),
        prior=prior,
        none=none,
        tried=[tried for one in answered for tried in one.evidence.tried],
    )
    chances = np.append(chances, none) if none else chances
    shown = leaders(identification)
    return tuple(
        _suggestion(option, shown, chances)
        for option in ranked
        if option.bits >= judgement.LEAST_BITS * _finer(certainty) and option.reading not in without
    )


def next_reading(
    identification: Identification,
    *,
    prior: Prior = UNKNOWN,
    without: tuple[str, ...] = (),
    certainty: float = judgement.SETTLED,
) -> Suggestion | None:
    """The reading, not yet given, to take next.

    The one from which, with the best that can follow it, the answer is expected to be settled in the
    fewest minutes.

    Parameters
    ----------
    identification : Identification
    prior : Prior
        As for the identification.
    without : tuple of str
        Readings that cannot be taken, such as ``"across_flats"`` of a screw without a hexagon.
    certainty : float
        Probability of the first candidate from which nothing more is asked. [-]

    Returns
    -------
    Suggestion or None
        None if the answer is settled, or if no reading parts the leaders.

    Examples
    --------
    >>> from threadwright.ranking import identify
    >>> from threadwright.readings import Readings
    >>> answer = identify(Readings(major="0.372 in", pitch="20 tpi"))
    >>> next_reading(answer).reading
    'across_flats'
    >>> next_reading(answer, without=("across_flats",)).reading
    'crest'
    """
    ranked = ranked_readings(identification, prior=prior, without=without, certainty=certainty)
    return pick(ranked, certainty=certainty)


def pick(ranked: Sequence[Suggestion], *, certainty: float = judgement.SETTLED) -> Suggestion | None:
    """The reading to take first of several that can be taken.

    Parameters
    ----------
    ranked : sequence of Suggestion
        The most telling for its effort first.
    certainty : float
        Probability of the first candidate from which nothing more is read. [-]

    Returns
    -------
    Suggestion or None
        None of none.

    Examples
    --------
    >>> pick([]) is None
    True
    """
    if len(ranked) < 2:
        return ranked[0] if ranked else None
    planned = list(ranked[:_MOST_PLANNED])
    if (most := max(ranked, key=lambda one: one.bits)) not in planned:
        planned[-1] = most
    ahead = [
        Ahead(
            one.outcomes,
            one.minutes,
            _MEASURAND.get(one.reading, ""),
            one.instrument in _FINER,
            one.takes_back,
        )
        for one in planned
    ]
    chances = ranked[0].chances / ranked[0].planned
    minutes = minutes_ahead(chances, ahead, certainty=certainty)
    as_soon = minutes <= (1.0 + judgement.AS_SOON) * minutes.min()
    return max((one for one, soon in zip(planned, as_soon, strict=True) if soon), key=lambda one: one.bits)


def settling_reading(
    identification: Identification, *, prior: Prior = UNKNOWN, without: tuple[str, ...] = ()
) -> Suggestion | None:
    """The reading, not yet given, that would leave the least doubt, whatever its effort.

    Parameters
    ----------
    identification : Identification
    prior : Prior
        As for the identification.
    without : tuple of str
        Readings that cannot be taken, such as ``"across_flats"`` of a screw without a hexagon.

    Returns
    -------
    Suggestion or None
        None if the answer is settled, or if no reading parts the leaders.

    Examples
    --------
    >>> from threadwright.ranking import identify
    >>> from threadwright.readings import Readings
    >>> settling_reading(identify(Readings(major="5.92 mm", pitch="1 mm"))).reading
    'flank_angle'
    """
    ranked = ranked_readings(identification, prior=prior, without=without)
    return max(ranked, key=lambda one: one.bits, default=None)


def _finer(certainty: float) -> float:
    """How much smaller doubts count where more certainty is sought than settles an answer."""
    return min(1.0, (1.0 - certainty) / (1.0 - judgement.SETTLED))


def _in_words(option: Option, leaders: int) -> tuple[tuple[str, float], ...]:
    """What each leader would most likely show; where that is the same, what would part them best."""
    chances = option.outcomes[: len(option.words), :leaders]
    if not len(chances):
        return ()
    rows = chances.argmax(axis=0)
    if leaders > 1 and (rows == rows[0]).all():
        rows[:] = np.ptp(chances, axis=1).argmax()
    return tuple((option.words[row], float(chances[row, place])) for place, row in enumerate(rows))


def _suggestion(option: Option, shown: tuple[Candidate, ...], chances: Array) -> Suggestion:
    shows = _in_words(option, len(shown))
    ends = [(None, None) if ends is None else ends for ends in option.expected]
    return Suggestion(
        reading=option.reading,
        words=option.how,
        unit=option.unit,
        expected=tuple((one.designation, *end) for one, end in zip(shown, ends, strict=False)),
        instrument=option.instrument,
        minutes=option.minutes,
        bits=option.bits,
        doubt=entropy(chances / chances.sum()),
        chances=chances,
        outcomes=option.outcomes,
        takes_back=option.takes_back,
        wire_mm=option.wire_mm,
        piece=option.piece,
        shows=shows,
    )
