"""Which reading to take next: what takes away most of the doubt for its effort.

The doubt among the leading candidates is measured in bits; what each reading would be expected to
take away, and what it costs, is worked out in :mod:`threadwright.information`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from threadwright import judgement
from threadwright.information import Option, entropy, options
from threadwright.priors import UNKNOWN, Prior
from threadwright.ranking import observe

if TYPE_CHECKING:
    from threadwright.ranking import Candidate, Identification

__all__ = ["Suggestion", "leaders", "next_reading", "pick", "ranked_readings", "settling_reading"]

_MOST_LEADERS = 4


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reading to take next.

    ``expected`` holds for each leading candidate its designation and the ends of what it would show,
    in ``unit``; None where it is not a number. ``bits`` of the ``doubt`` are expected to go, for
    ``minutes`` of work.
    """

    reading: str
    words: str
    unit: str
    expected: tuple[tuple[str, float | None, float | None], ...]
    instrument: str
    minutes: float
    bits: float
    doubt: float
    wire_mm: float | None = None
    """Wires to measure over, where that is the reading."""
    piece: str = ""
    """Piece to try, where that is the reading."""

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "reading": self.reading,
            "how": self.words,
            "instrument": self.instrument,
            "minutes": self.minutes,
            "bits": self.bits,
            "doubt_bits": self.doubt,
            "unit": self.unit,
            "expected": [
                {"designation": name, "low": low, "high": high} for name, low, high in self.expected
            ],
        }


def leaders(identification: Identification, *, certainty: float = judgement.SETTLED) -> tuple[Candidate, ...]:
    """Candidates that are still worth planning for, at most four and at least the first."""
    worth = judgement.WORTH_PLANNING * _finer(certainty)
    likely = [one for one in identification.candidates if one.probability > worth]
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
    among = leaders(identification, certainty=certainty)
    if len(among) < 2 and certainty > judgement.SETTLED:  # what is left of the doubt lies behind the first
        among = identification.candidates[:_MOST_LEADERS]
    if len(among) < 2 or among[0].probability >= certainty:
        return ()
    answered = identification.fasteners
    chances = np.array([one.probability for one in among])
    ranked = options(
        observe(answered[0], prior),
        np.array([one.place for one in among]),
        chances,
        given=tuple(name for one in answered for name in (*one.given(), *one.evidence.given())),
        prior=prior,
    )
    doubt = entropy(chances / chances.sum())
    return tuple(
        _suggestion(option, among, doubt)
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

    Of the readings expected to take away a fair share of the doubt, the one that tells most for its
    effort; where none does, the one that takes away most.

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
    'flank_angle'
    """
    return pick(ranked_readings(identification, prior=prior, without=without, certainty=certainty))


def pick(ranked: Sequence[Suggestion]) -> Suggestion | None:
    """The reading to take of several: the first that takes away a fair share of the doubt, or the most.

    Parameters
    ----------
    ranked : sequence of Suggestion
        The most telling for its effort first.

    Returns
    -------
    Suggestion or None
        None of none.

    Examples
    --------
    >>> pick([]) is None
    True
    """
    telling = (one for one in ranked if one.bits >= judgement.FAIR_SHARE * one.doubt)
    return next(telling, max(ranked, key=lambda one: one.bits, default=None))


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


def _suggestion(option: Option, among: tuple[Candidate, ...], doubt: float) -> Suggestion:
    ends = [(None, None) if ends is None else ends for ends in option.expected]
    return Suggestion(
        reading=option.reading,
        words=option.how,
        unit=option.unit,
        expected=tuple((one.designation, *end) for one, end in zip(among, ends, strict=True)),
        instrument=option.instrument,
        minutes=option.minutes,
        bits=option.bits,
        doubt=doubt,
        wire_mm=option.wire_mm,
        piece=option.piece,
    )
