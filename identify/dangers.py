"""Threads that start by hand where another belongs, and then bind or strip.

Every thread of the catalogue is tried at its basic size and at its loosest limits, as a rigid pair.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from threadwright.mating_sizes import State, catalogue_sizes, sizes_of
from threadwright.pairing import OUTCOMES, Outcome, Paired, pair
from threadwright.priors import log_prior
from threadwright.tables.catalogue import candidates, has_side
from threadwright.tables.errors import ReadingError
from threadwright.tables.thread import Array, Side, Thread

__all__ = ["LookAlike", "count_outcomes", "look_alikes", "warning_line", "warning_text"]

_BLOCK = 64  # screws that meet the whole catalogue at once: about a megabyte for each column
_STATES: tuple[State, ...] = ("basic", "loosest")


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlike:
    """A thread that starts by hand where another belongs, and then binds or strips."""

    designation: str
    also: tuple[str, ...]
    side: Side
    """The side of the look-alike: a screw for a hole, a hole for a screw."""
    outcome: Outcome
    sizes: str
    """Sizes at which the harm is greatest."""
    turns: float
    """Turns by hand before it binds; inf if it never does. [-]"""
    overlap_share: float
    strength_left: float
    risk: float
    """How usual it is, times how far it runs in, how deep the threads meet, and the strength that is lost.

    The most usual thread counts 1. A shallow thread rattles and deceives less.
    """

    def words(self) -> str:
        """What it does, in a few words."""
        if self.outcome == "binds":
            return f"binds after about {self.turns:.0f} turn{'' if round(self.turns) == 1 else 's'}"
        return f"runs in but holds only {100 * self.strength_left:.0f} %"

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON; turns are None where it never binds."""
        turns = self.turns if math.isfinite(self.turns) else None
        return asdict(self) | {"also": list(self.also), "turns": turns, "words": self.words()}


def look_alikes(thread: Thread, side: Side, *, top: int | None = 3) -> tuple[LookAlike, ...]:
    """Threads that start by hand in, or on, this one and then bind or strip, worst first.

    Parameters
    ----------
    thread : Thread
        The thread that belongs there.
    side : {"external", "internal"}
        Its side: for a hole the look-alikes are screws, for a screw they are holes.
    top : int, optional
        Most to return; None for all.

    Returns
    -------
    tuple of LookAlike

    Raises
    ------
    ReadingError
        If ``top`` is below 1 or the side is neither.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> "2 BA" in [one.designation for one in look_alikes(find_thread("M5"), "internal", top=None)]
    True
    """
    if side not in ("external", "internal"):
        raise ReadingError(f"side: cannot be {side!r}; write external or internal")
    if top is not None and top < 1:
        raise ReadingError(f"look-alikes: cannot list {top}; give 1 or more")
    weights = np.exp(log_prior())
    usual = weights / weights.max()
    other: Side = "internal" if side == "external" else "external"
    worst: dict[int, tuple[float, str, Paired]] = {}
    risks: dict[int, float] = {}
    for state in _STATES:
        own, many = sizes_of(thread, side, state), catalogue_sizes(other, state)
        found = pair(own, many) if side == "external" else pair(many, own)
        harm = _harm(found)
        for index in map(int, np.flatnonzero(_harms(found) & has_side(other) & ~_right(thread))):
            depth = min(float(found.overlap_share[index]), 1.0)
            risks[index] = max(float(usual[index] * harm[index]) * depth, risks.get(index, 0.0))
            if harm[index] > worst.get(index, (0.0,))[0]:
                worst[index] = (float(harm[index]), state, found)
    ranked = sorted(worst, key=lambda index: (-risks[index], index))
    return tuple(_look_alike(index, other, risks[index], *worst[index][1:]) for index in ranked[:top])


def warning_line(thread: Thread, side: Side, *, top: int = 3) -> str:
    """The worst look-alikes of a thread in one sentence, for the foot of an answer; empty if there are none.

    Parameters
    ----------
    thread : Thread
        The thread that belongs there.
    side : {"external", "internal"}
        Its side.
    top : int
        Most to name.

    Returns
    -------
    str

    Raises
    ------
    ReadingError
        As :func:`look_alikes`.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> warning_line(find_thread("M5"), "internal", top=1)
    'Must not go into the M5x0.8 hole, though they start by hand: 2 BA (runs in but holds only 42 %).'
    """
    return warning_text(thread, side, look_alikes(thread, side, top=top))


def warning_text(thread: Thread, side: Side, found: tuple[LookAlike, ...]) -> str:
    """The sentence of :func:`warning_line` for look-alikes that are known already.

    Parameters
    ----------
    thread : Thread
        The thread that belongs there.
    side : {"external", "internal"}
        Its side.
    found : tuple of LookAlike

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> warning_text(find_thread("M5"), "external", ())
    ''
    """
    if not found:
        return ""
    named = ", ".join(f"{one.designation} ({one.words()})" for one in found)
    if side == "internal":
        return f"Must not go into the {thread.designation} hole, though they start by hand: {named}."
    return f"Must not go on the {thread.designation} screw, though they start by hand: {named}."


def _harms(found: Paired) -> NDArray[np.bool_]:
    """Pairs that start by hand, catch, and then bind or strip."""
    outcome = found.outcome
    bad = (outcome == OUTCOMES.index("binds")) | (outcome == OUTCOMES.index("strips"))
    return np.asarray(bad & found.catches)


def _harm(found: Paired) -> Array:
    """How far it runs in before it warns, times the strength that is lost. [-]"""
    run = np.minimum(found.turns / found.needed, 1.0)
    return np.asarray(run * (1 - found.strength))


def _right(thread: Thread) -> NDArray[np.bool_]:
    """The candidate that is this very thread."""
    catalogue = candidates()
    same = [
        any(symbol == thread.system for symbol, _ in names)
        and thread.designation in (catalogue.designation(index), *catalogue.also(index))
        for index, names in enumerate(catalogue.names)
    ]
    return np.array(same)


def _look_alike(index: int, side: Side, risk: float, state: str, found: Paired) -> LookAlike:
    catalogue = candidates()
    return LookAlike(
        designation=catalogue.designation(index, side),
        also=catalogue.also(index, side),
        side=side,
        outcome=OUTCOMES[int(found.outcome[index])],
        sizes=state,
        turns=float(found.turns[index]),
        overlap_share=float(found.overlap_share[index]),
        strength_left=float(found.strength[index]),
        risk=risk,
    )


def count_outcomes(state: State = "basic") -> dict[Outcome, int]:
    """How often each outcome comes up when every screw of the catalogue meets every hole.

    Parameters
    ----------
    state : {"tightest", "basic", "loosest"}
        Sizes of both.

    Examples
    --------
    >>> counts = count_outcomes()
    >>> sum(counts.values()) == len(candidates()) ** 2
    True
    """
    screws, holes = catalogue_sizes("external", state), catalogue_sizes("internal", state)
    total = np.zeros(len(OUTCOMES), dtype=np.int64)
    for start in range(0, len(screws), _BLOCK):
        found = pair(screws.pick(slice(start, start + _BLOCK)).column(), holes)
        total += np.bincount(found.outcome.ravel(), minlength=len(OUTCOMES))
    return {outcome: int(number) for outcome, number in zip(OUTCOMES, total, strict=True)}
