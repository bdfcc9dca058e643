"""Change wheels: the best trains for a thread from the wheels at hand, and how far each is off."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from threadwright import judgement
from threadwright.tables.errors import JobError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.repair.lathe import Lathe, Leadscrew
    from threadwright.tables.thread import Thread

__all__ = ["Train", "Trains", "best_trains", "exact_lead", "half_nuts", "permitted_error", "trains_for"]

Wheels = tuple[int, ...]
_LOOKED_AT = 256  # trains looked at first; more are only needed where most of them cannot mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class Train:
    """One train of change wheels, from the spindle to the leadscrew."""

    drivers: Wheels
    driven: Wheels
    lead: Fraction
    """Lead it cuts. [mm]"""
    wanted: Fraction
    """Lead asked for. [mm]"""
    fits: bool | None = None
    """Whether the error over the engagement stays within the thread's clearance; None: no limits known."""

    @property
    def error_ppm(self) -> float:
        """How far the lead is off, positive if it is long. [ppm]"""
        return float((self.lead / self.wanted - 1) * 1_000_000)

    @property
    def ratio(self) -> Fraction:
        """Turns of the leadscrew for one of the first driver."""
        return Fraction(math.prod(self.drivers), math.prod(self.driven))

    def __str__(self) -> str:
        """Drivers over driven wheels: ``40/75`` or ``40/75 x 63/80``."""
        return " x ".join(f"{a}/{b}" for a, b in zip(self.drivers, self.driven, strict=True))

    def to_dict(self) -> dict[str, object]:
        """Plain data: wheels, lead in mm, error in ppm."""
        return {
            "drivers": list(self.drivers),
            "driven": list(self.driven),
            "lead_mm": round(float(self.lead), 6),
            "error_ppm": round(self.error_ppm, 1),
            "fits": self.fits,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Trains:
    """The best trains for one thread, and how to run the lathe with them."""

    thread: str
    leadscrew: str
    engagement_mm: float
    permitted_ppm: float | None
    trains: tuple[Train, ...]
    half_nuts: str

    def to_dict(self) -> dict[str, object]:
        """Plain data."""
        return {
            "thread": self.thread,
            "leadscrew": self.leadscrew,
            "engagement_mm": round(self.engagement_mm, 3),
            "permitted_error_ppm": None if self.permitted_ppm is None else round(self.permitted_ppm),
            "trains": [one.to_dict() for one in self.trains],
            "half_nuts": self.half_nuts,
        }


def exact_lead(thread: Thread) -> Fraction:
    """Lead of a thread as its standard writes it, exactly. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> exact_lead(find_thread("3/8-20 BSF")), exact_lead(find_thread("M8"))
    (Fraction(127, 100), Fraction(5, 4))
    """
    if thread.tpi is not None and thread.unit == "in":
        return thread.starts * Fraction("25.4") / thread.tpi
    return thread.starts * Fraction(f"{thread.pitch:.6f}")


def _simple(counts: Counter[int]) -> Iterator[tuple[Wheels, Wheels]]:
    for first in counts:
        for last in counts:
            if first != last or counts[first] > 1:
                yield (first,), (last,)


def _pairs(counts: Counter[int]) -> NDArray[np.int64]:
    """Pairs of wheels, each once, as rows."""
    teeth = sorted(counts)
    found = [(a, b) for i, a in enumerate(teeth) for b in teeth[i:] if a != b or counts[a] > 1]
    return np.array(found, dtype=np.int64).reshape(-1, 2)


def _meshed(drivers: Sequence[int], driven: Sequence[int]) -> tuple[Wheels, Wheels] | None:
    """Order in which a compound train can stand on the banjo: no wheel rubs on the next shaft."""
    room = judgement.WHEEL_ROOM_TEETH
    for a, c in permutations(drivers):
        for b, d in permutations(driven):
            if a + b >= c + room and c + d >= b + room:
                return (a, c), (b, d)
    return None


def _compound(counts: Counter[int], wanted: float, top: int) -> list[tuple[Wheels, Wheels]]:
    """The compound trains nearest to a ratio that can mesh, without those that shorten to simple ones."""
    pairs = _pairs(counts)
    if len(pairs) < 2:
        return []
    product = pairs.prod(axis=1).astype(float)
    off = np.abs(product[:, None] / product[None, :] / wanted - 1)
    shared = (pairs[:, None, :, None] == pairs[None, :, None, :]).any(axis=(2, 3))
    off[shared] = np.inf
    take = _LOOKED_AT
    while True:
        take = min(take, off.size)
        nearest = np.argpartition(off, take - 1, axis=None)[:take]
        rows = [divmod(int(flat), len(pairs)) for flat in nearest if np.isfinite(off.flat[flat])]
        meshed = [_meshed(pairs[i].tolist(), pairs[j].tolist()) for i, j in rows]
        found = [one for one in meshed if one is not None]
        if len({_ratio(one) for one in found}) >= top or take == off.size:
            return found
        take *= 8


def _ratio(train: tuple[Wheels, Wheels]) -> Fraction:
    return Fraction(math.prod(train[0]), math.prod(train[1]))


def best_trains(
    lead: Fraction,
    *,
    leadscrew: Fraction,
    wheels: Sequence[int],
    spindle_ratio: Fraction = Fraction(1),
    top: int = 5,
) -> tuple[Train, ...]:
    r"""Best trains for a lead: simple ones and compound ones of four wheels, the least error first.

    .. math:: \frac{\text{drivers}}{\text{driven}} = \frac{\text{lead}}{\text{leadscrew}}

    Parameters
    ----------
    lead, leadscrew : Fraction
        Lead to cut and lead of the leadscrew. [mm]
    wheels : sequence of int
        Teeth of every wheel held.
    spindle_ratio : Fraction, optional
        Turns of the first driver's shaft for one turn of the spindle.
    top : int, optional
        How many trains, one for each ratio; a simple one where there is a choice.

    Returns
    -------
    tuple of Train
        Empty if no two wheels are held.

    Raises
    ------
    JobError
        If a lead is not above zero.

    References
    ----------
    F. D. Jones, Turning and Boring (1914): drivers / driven = 5 x tpi of the leadscrew x mm / 127.

    Examples
    --------
    >>> lead, screw = Fraction(3), Fraction(127, 40)
    >>> [(str(one), one.error_ppm) for one in best_trains(lead, leadscrew=screw, wheels=(120, 127))][:1]
    [('120/127', 0.0)]
    """
    if not (lead > 0 and leadscrew > 0 and spindle_ratio > 0):
        raise JobError(f"change wheels: a lead of {lead} mm from one of {leadscrew} mm cannot be cut")
    counts = Counter(wheels)
    wanted = lead / leadscrew / spindle_ratio
    pool = [*_simple(counts), *_compound(counts, float(wanted), top)]
    best: dict[Fraction, tuple[Wheels, Wheels]] = {}
    for train in pool:
        ratio = _ratio(train)
        if ratio not in best or _handiness(train) < _handiness(best[ratio]):
            best[ratio] = train
    order = sorted(best, key=lambda ratio: (abs(ratio / wanted - 1), ratio))[:top]
    return tuple(
        Train(
            drivers=best[ratio][0],
            driven=best[ratio][1],
            lead=ratio * spindle_ratio * leadscrew,
            wanted=lead,
        )
        for ratio in order
    )


def _handiness(train: tuple[Wheels, Wheels]) -> tuple[int, int, tuple[Wheels, Wheels]]:
    """Simple before compound, then fewer teeth."""
    return len(train[0]), sum(train[0]) + sum(train[1]), train


def permitted_error(thread: Thread, *, engagement_mm: float) -> float | None:
    r"""Lead error that the clearance of a thread takes up over an engagement.

    .. math:: |\varepsilon| \le \frac{C / 4}{L \cot\alpha}

    Parameters
    ----------
    thread : Thread
        The thread to cut, external.
    engagement_mm : float
        Engaged length, L. [mm]

    Returns
    -------
    float or None
        Error; None where the tables give the thread no limits. [ppm]

    Raises
    ------
    JobError
        If the engagement is not above zero.

    Notes
    -----
    C is the clearance on the pitch diameter between a screw cut to the middle of its limits and the smallest
    hole. A lead error of eps L needs eps L cot(alpha) of it; a quarter is given away: judgement.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(permitted_error(find_thread("M12x1.5"), engagement_mm=20.0))
    736
    """
    if not engagement_mm > 0:
        raise JobError(f"engagement: {engagement_mm} mm is no length; write it like 20.0, above 0")
    if not (thread.classes("external") and thread.classes("internal")):
        return None
    screw, hole = thread.limits("external").in_mm(), thread.limits("internal").in_mm()
    middle = (screw.pitch_diameter_max + screw.pitch_diameter_min) / 2
    clearance = hole.pitch_diameter_min - middle
    if not math.isfinite(clearance):
        return None
    slope = 1 / math.tan(math.radians(thread.form.flank_angle))
    return max(judgement.LEAD_ERROR_SHARE * clearance / (engagement_mm * slope) * 1e6, 0.0)


def half_nuts(thread: Thread, leadscrew: Leadscrew) -> str:
    """Say whether the half-nuts may be opened between the cuts.

    Parameters
    ----------
    thread : Thread
        The thread to cut.
    leadscrew : Leadscrew
        Of the lathe.

    Examples
    --------
    >>> from threadwright.repair.lathe import read_leadscrew
    >>> from threadwright.tables.registry import find_thread
    >>> half_nuts(find_thread("M12x1.5"), read_leadscrew("8 tpi"))[:48]
    'Keep the half-nuts closed from the first cut to '
    """
    inch = thread.tpi is not None
    if inch != leadscrew.inch:
        kind = "an inch thread on a metric" if inch else "a metric thread on an inch"
        return (
            f"Keep the half-nuts closed from the first cut to the last: {kind} leadscrew ({leadscrew}). Draw "
            "the tool back, reverse the lathe to run back, set the next cut."
        )
    if (leadscrew.lead_mm / exact_lead(thread)).denominator == 1:
        return (
            f"The half-nuts may be opened and closed anywhere: the leadscrew's {leadscrew} is a whole number "
            "of pitches."
        )
    return (
        f"Close the half-nuts by the thread dial, or keep them closed and reverse the lathe to run back: the "
        f"leadscrew's {leadscrew} is no whole number of pitches."
    )


def trains_for(thread: Thread, *, lathe: Lathe, engagement_mm: float, top: int = 5) -> Trains:
    """Best trains of one lathe for a thread, each accepted or not over its engagement.

    Parameters
    ----------
    thread : Thread
        The thread to cut.
    lathe : Lathe
        With a leadscrew and wheels.
    engagement_mm : float
        Length over which the thread engages. [mm]
    top : int, optional
        How many trains.

    Raises
    ------
    JobError
        If the lathe has no leadscrew or fewer than two wheels, or the engagement is not above zero.

    Examples
    --------
    >>> from threadwright.repair.lathe import Lathe, read_leadscrew
    >>> from threadwright.tables.registry import find_thread
    >>> lathe = Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(30, 40, 50, 60, 63, 80))
    >>> found = trains_for(find_thread("M12x1.5"), lathe=lathe, engagement_mm=20.0, top=1)
    >>> str(found.trains[0]), round(found.trains[0].error_ppm), found.trains[0].fits
    ('30/50 x 63/80', 125, True)
    """
    if lathe.leadscrew is None or not lathe.can_cut:
        raise JobError(
            'lathe: change wheels need the leadscrew and at least two wheels; write leadscrew = "8 tpi" and '
            "wheels = [20, 40, 63, 80]"
        )
    permitted = permitted_error(thread, engagement_mm=engagement_mm)
    found = best_trains(
        exact_lead(thread),
        leadscrew=lathe.leadscrew.lead_mm,
        wheels=lathe.wheels,
        spindle_ratio=lathe.spindle_ratio,
        top=top,
    )
    return Trains(
        thread=thread.designation,
        leadscrew=str(lathe.leadscrew),
        engagement_mm=engagement_mm,
        permitted_ppm=permitted,
        trains=tuple(
            Train(
                drivers=one.drivers,
                driven=one.driven,
                lead=one.lead,
                wanted=one.wanted,
                fits=None if permitted is None else abs(one.error_ppm) <= permitted,
            )
            for one in found
        ),
        half_nuts=half_nuts(thread, lathe.leadscrew),
    )
