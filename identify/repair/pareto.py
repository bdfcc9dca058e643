"""Outer threads that no other beats on every count: the pick, the next two, and what each loses by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright.repair.candidates import Candidate, least_metal_first

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["CRITERIA", "Front", "FrontEntry", "pareto_front", "view"]

CRITERIA = (
    "holds",
    "tap at hand",
    "full edge distance",
    "major diameter [mm]",
    "least strip over load asked for",
    "wall [mm]",
    "P2 D, to which the cutting torque is in proportion [mm3]",
    "hand of the screw",
)
_TAP_RANK = {"drawer": 0, "usual": 0, "special": 1}
_LOSSES = (
    "does not carry the load",
    "needs a special tap",
    "falls short of the edge distance",
    "{0:.2f} mm against {1:.2f} mm of major diameter",
    "strips at {0:.3f} times the load asked for against {1:.3f}",
    "wall {0:.2f} mm against {1:.2f} mm",
    "cutting torque {2:.1f} times as great",
    "is not of the screw's hand",
)


def _measures(one: Candidate) -> tuple[float, ...]:
    """What counts, less is better."""
    return (
        float(not one.carries),
        float(_TAP_RANK[one.tap]),
        float(one.edge_short is not None),
        round(one.major_mm, 3),
        -one.margin,  # as the pick compares it: rounded, a thread as good to the eye could beat it
        -round(one.wall_mm, 3),
        round(one.thread.pitch_mm**2 * one.major_mm, 3),
        float(one.other_hand),
    )


_GAINS = (
    "carries the load",
    "needs no special tap",
    "keeps the full edge distance",
    "{0:.2f} mm against {1:.2f} mm of major diameter",
    "strips at {0:.3f} times the load asked for against {1:.3f}",
    "wall {0:.2f} mm against {1:.2f} mm",
    "cutting torque {2:.2f} times as great",
    "is of the screw's hand",
)


def _beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one != other and all(a <= b for a, b in zip(one, other, strict=True))


def pareto_front(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Admitted threads that no other is at least as good as on every count, least metal first.

    Parameters
    ----------
    candidates : sequence of Candidate
        Threads that were looked at; refused ones are left out.
    """
    kept = [(one, _measures(one)) for one in candidates if one.refused_by is None]
    return least_metal_first(one for one, own in kept if not any(_beats(theirs, own) for _, theirs in kept))


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEntry:
    """One thread of the front, and what it loses and gains by against the pick."""

    designation: str
    loses_by: tuple[str, ...]
    gains: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Plain data."""
        return {
            "designation": self.designation,
            "loses_by": list(self.loses_by),
            "gains": list(self.gains),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """The pick, the next two, and how many threads no other beats."""

    pick: FrontEntry
    following: tuple[FrontEntry, ...]
    size: int

    def to_dict(self) -> dict[str, object]:
        """Plain data with the counts that were compared."""
        return {
            "criteria": list(CRITERIA),
            "pick": self.pick.to_dict(),
            "next": [one.to_dict() for one in self.following],
            "on_the_front": self.size,
        }


def _loses_by(one: Candidate, against: Candidate) -> tuple[str, ...]:
    """Counts on which a thread is worse than another, in words."""
    return _differences(one, against, _LOSSES, worse=True)


def _gains(one: Candidate, against: Candidate) -> tuple[str, ...]:
    """Counts on which a thread is better than another, in words."""
    return _differences(one, against, _GAINS, worse=False)


def _differences(
    one: Candidate, against: Candidate, words: tuple[str, ...], *, worse: bool
) -> tuple[str, ...]:
    pairs = zip(_measures(one), _measures(against), words, strict=True)
    return tuple(
        text.format(abs(mine), abs(theirs), mine / theirs if theirs else 0.0)
        for mine, theirs, text in pairs
        if (mine > theirs if worse else mine < theirs)
    )


def view(pick: Candidate, candidates: Sequence[Candidate]) -> Front:
    """Lay the pick beside the next two of the front.

    Parameters
    ----------
    pick : Candidate
        The thread that was picked.
    candidates : sequence of Candidate
        All that were looked at.

    Returns
    -------
    Front
        The next two come in the order of the pick's own rule: those that carry the load with a tap at
        hand and full edge distance first, then least metal. There is no score.
    """
    front = pareto_front(candidates)
    others = sorted(
        (one for one in front if one is not pick),
        key=lambda one: (_measures(one)[1], _measures(one)[2], _measures(one)[0]),
    )
    following = tuple(
        FrontEntry(designation=one.name, loses_by=_loses_by(one, pick), gains=_gains(one, pick))
        for one in others[:2]
    )
    against = tuple(f"{words} ({one.name})" for one in others[:2] for words in _loses_by(pick, one))
    return Front(
        pick=FrontEntry(designation=pick.name, loses_by=against, gains=()),
        following=following,
        size=len(front),
    )
