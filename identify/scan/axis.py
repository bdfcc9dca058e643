"""Where the axis of a screw lies in a picture, and where its threads begin and end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from threadwright import judgement
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

__all__ = ["Aligned", "Side", "align", "robust_line"]

_REGULAR: Final = 0.15  # how far a spacing of flanks may differ from the pitch, as a share
_MOST_PAIRED: Final = 200  # points taken for the first guess of a line
_LEAST_DEPTH: Final = 3.0  # pixels: shallower waves are not a thread


@dataclass(frozen=True, slots=True)
class Side:
    """One edge of the screw's shadow.

    Attributes
    ----------
    z, x : array (n,)
        Place along the axis, and distance from it. [mm]
    rising, falling : array (k,)
        Where the edge climbs to a crest and comes down from it, at half depth, one of each for each thread.
        [mm]
    """

    z: Array
    x: Array
    rising: Array
    falling: Array


@dataclass(frozen=True, slots=True)
class Aligned:
    """Both edges with the axis laid along z.

    Attributes
    ----------
    sides : tuple of Side
        The two edges.
    pitch : float
        Rough pitch. [mm]
    turn : float
        Angle of the axis to the rows, or to the columns if it is nearer to them. [deg]
    upright : bool
        Whether the axis is nearer to the columns.
    """

    sides: tuple[Side, Side]
    pitch: float
    turn: float
    upright: bool


def align(points: Array, *, step: float) -> Aligned:
    """Find the axis and the threads of an outline.

    Parameters
    ----------
    points : array (n, 2)
        Outline in true lengths. [mm]
    step : float
        Size of a pixel. [mm]

    Returns
    -------
    Aligned
        The axis is midway between the crest lines of both sides.

    Raises
    ------
    ReadingError
        If there are too few threads, or the axis is turned too far from rows and columns.
    """
    best, faults = None, []
    for quarter in (0.0, 90.0):
        turn = quarter + _sharpest(points, quarter=quarter, step=step)
        try:
            found = _settle(points, np.radians(turn), step=step)
        except ReadingError as fault:
            faults.append(str(fault))
            continue
        if best is None or min(len(s.rising) for s in found[1]) > min(len(s.rising) for s in best[1]):
            best = found
    if best is None:
        raise ReadingError(min(faults, key=len))
    angle, sides, pitch = best
    degrees = float(np.degrees(angle))
    upright = degrees > 45
    turn = degrees - 90 if upright else degrees
    if abs(turn) > judgement.MOST_TURN_DEG:
        raise ReadingError(
            f"picture: the screw lies {abs(turn):.0f} deg askew; lay it along the rows or columns, within "
            f"{judgement.MOST_TURN_DEG:.0f} deg"
        )
    return Aligned(sides, pitch, turn, upright)


def robust_line(at: Array, value: Array) -> tuple[float, float]:
    """Straight line through points some of which are far off.

    Parameters
    ----------
    at, value : array (n,)
        The points.

    Returns
    -------
    tuple of float
        Slope, and value at 0.

    Examples
    --------
    >>> slope, base = robust_line(np.arange(9.0), 2 * np.arange(9.0) + 1 + 50 * (np.arange(9) == 4))
    >>> round(slope, 9), round(base, 9)
    (2.0, 1.0)
    """
    few = np.unique(
        np.linspace(0, len(at) - 1, _MOST_PAIRED).astype(np.intp)
    )  # median of the slopes of all pairs
    first, second = np.triu_indices(len(few), 1)
    run = at[few[second]] - at[few[first]]
    rise = value[few[second]] - value[few[first]]
    slope = float(np.median(rise[run != 0] / run[run != 0]))
    base = float(np.median(value - slope * at))
    for _ in range(3):
        off = np.abs(value - slope * at - base)
        keep = off <= 3.5 * 1.4826 * float(np.median(off)) + 1e-9
        slope, base = (float(v) for v in np.polyfit(at[keep], value[keep], 1))
    return slope, base


def _turned(points: Array, angle: float) -> tuple[Array, Array]:
    """Places along and across a direction."""
    along = points @ np.array([np.cos(angle), np.sin(angle)])
    across = points @ np.array([-np.sin(angle), np.cos(angle)])
    return along, across


def _sharpest(points: Array, *, quarter: float, step: float) -> float:
    """Turn at which crests, roots and shank fall on fewest lines parallel to the axis. [deg]"""
    reach = judgement.MOST_TURN_DEG + 5
    some = points[:: max(1, len(points) // 6000)]
    centre, span = 0.0, reach
    for grid in (0.5, 0.05):
        turns = centre + np.arange(-span, span + grid / 2, grid)
        sharp = []
        for turn in turns:
            _, across = _turned(some, np.radians(quarter + turn))
            bins = max(8, int(np.ptp(across) / step))
            counts = np.histogram(across, bins=bins)[0] / len(some)
            sharp.append(float((counts**2).sum()))
        centre, span = float(turns[int(np.argmax(sharp))]), 0.5
    return centre


def _settle(points: Array, angle: float, *, step: float) -> tuple[float, tuple[Side, Side], float]:
    """Find the threads and turn the axis midway between the crest lines, until it stays."""
    for _ in range(3):
        z, x = _turned(points, angle)
        middle = (np.percentile(x, 99) + np.percentile(x, 1)) / 2
        parts = [_threads(z[on], np.abs(x[on] - middle), step=step) for on in (x > middle, x < middle)]
        lines = [_crest_line(part, step=step) for part in parts]
        angle += float(np.arctan((lines[0][0] - lines[1][0]) / 2))
    z, x = _turned(points, angle)
    parts = [_threads(z[on], np.abs(x[on] - middle), step=step) for on in (x > middle, x < middle)]
    lines = [_crest_line(part, step=step) for part in parts]
    centre = middle + (lines[0][1] - lines[1][1]) / 2
    sides = [
        Side(part.z, np.abs(x[on] - centre), part.rising, part.falling)
        for part, on in zip(parts, (x > middle, x < middle), strict=True)
    ]
    pitch = float(np.mean([np.median(np.diff(part.rising)) for part in parts]))
    return angle, (sides[0], sides[1]), pitch


def _crest_line(side: Side, *, step: float) -> tuple[float, float]:
    """Line through the crests: slope, and distance at z = 0."""
    crests, tops = [], []
    for up, down in zip(side.rising, side.falling, strict=True):
        near = np.abs(side.z - (up + down) / 2) < max(0.15 * (down - up), step)
        if near.any():
            crests.append((up + down) / 2)
            tops.append(float(np.median(side.x[near])))
    return robust_line(np.asarray(crests), np.asarray(tops))


def _threads(z: Array, x: Array, *, step: float) -> Side:
    """Longest regular row of threads on one side."""
    from scipy import ndimage, signal

    if len(z) < 40:
        raise ReadingError("picture: only one side of a screw is in it; show both")
    columns = ((z - z.min()) / step).astype(np.intp)
    reach = np.full(int(columns.max()) + 1, -np.inf)
    np.maximum.at(reach, columns, x)
    at = np.nonzero(np.isfinite(reach))[0]
    edge = ndimage.gaussian_filter1d(np.interp(np.arange(len(reach)), at, reach[at]), 1.0)
    tops, facts = signal.find_peaks(edge, prominence=_LEAST_DEPTH * step, plateau_size=(None, None))
    if len(tops) < judgement.LEAST_THREADS:
        raise _too_short(len(tops))
    prominence = facts["prominences"]
    typical = float(np.median(prominence[prominence > 0.3 * np.percentile(prominence, 75)]))
    alike = (prominence > 0.6 * typical) & (prominence < 1.5 * typical)
    if alike.sum() < judgement.LEAST_THREADS:
        raise _too_short(int(alike.sum()))
    slope, base = robust_line(tops[alike].astype(np.float64), edge[tops[alike]])
    below = edge - (slope * np.arange(len(edge)) + base - typical / 2)
    rising, falling = _flank_pairs(below, limit=1.0 * typical)
    first, last = _regular(rising, falling)
    start = float(z.min()) + 0.5 * step
    return Side(z, x, start + rising[first:last] * step, start + falling[first:last] * step)


def _flank_pairs(height: Array, *, limit: float) -> tuple[Array, Array]:
    """Places where a wave climbs through zero and where it next comes down, of waves not above a limit."""
    change = np.nonzero(np.diff(np.signbit(height)))[0]
    where = change + height[change] / (height[change] - height[change + 1])
    up = ~np.signbit(height[change + 1])
    pairs = [
        (where[i], where[i + 1])
        for i in range(len(change) - 1)
        if up[i] and not up[i + 1] and height[change[i] : change[i + 1] + 1].max() < limit
    ]
    found = np.asarray(pairs, dtype=np.float64).reshape(-1, 2)
    return found[:, 0], found[:, 1]


def _regular(rising: Array, falling: Array) -> tuple[int, int]:
    """First and last (excluded) of the longest row of threads that follow each other at one pitch."""
    if len(rising) < judgement.LEAST_THREADS:
        raise _too_short(len(rising))
    pitch = float(np.median(np.concatenate([np.diff(rising), np.diff(falling)])))
    steady = (np.abs(np.diff(rising) - pitch) < _REGULAR * pitch) & (
        np.abs(np.diff(falling) - pitch) < _REGULAR * pitch
    )
    best, start = (0, 1), 0
    for i in range(len(steady) + 1):
        if i == len(steady) or not steady[i]:
            if i + 1 - start > best[1] - best[0]:
                best = (start, i + 1)
            start = i + 1
    if best[1] - best[0] < judgement.LEAST_THREADS:
        raise _too_short(best[1] - best[0])
    return best


def _too_short(count: int) -> ReadingError:
    return ReadingError(
        f"picture: {count} regular threads are visible on one side; show at least {judgement.LEAST_THREADS} "
        "whole ones on both, sharp and clean, ten if there are so many"
    )
