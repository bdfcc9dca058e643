"""Many screws in many holes at once: the room, the turns before they bind, what is left of the strength.

A rigid model. The clearance on the effective diameter pays for unlike flank angles first; what is left is
axial play, and unlike pitches eat it up turn by turn (:mod:`threadwright.binding`). Crests and roots
must clear each other too. A taper thread starts with the room that its small end has, and wedges.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from threadwright import judgement
from threadwright.binding import extra_interference, flank_mismatch, free_turns
from threadwright.mating_sizes import SideSizes
from threadwright.tables.thread import Array

__all__ = ["OUTCOMES", "Outcome", "Paired", "corner_drop", "pair"]

Outcome = Literal["another helix", "does not enter", "drops through", "binds", "wedges", "strips", "runs"]
OUTCOMES: Final[tuple[Outcome, ...]] = (
    "another helix",
    "does not enter",
    "drops through",
    "binds",
    "wedges",
    "strips",
    "runs",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Paired:
    """What pairs of one shape do; diametral lengths, those of a taper thread at its gauge plane. [mm]"""

    clearance: Array
    """Hole less screw on the effective diameter."""
    mismatch: Array
    """What of it unlike flank angles take up."""
    crest_room: Array
    """Between the screw's crest and the hole's root, less than 0 where they foul."""
    root_room: Array
    """Between the hole's crest and the screw's root."""
    free: Array
    """Turns before the play is used up. [-]"""
    per_turn: Array
    """Interference that each further turn adds by unlike pitches."""
    wedging: Array
    """Interference that each further turn adds by taper."""
    small_end: Array
    """What the small end of a taper screw is below its size at the gauge plane."""
    overlap: Array
    """Radial depth over which the threads cover each other."""
    overlap_share: Array
    """The same over the hole's basic depth. [-]"""
    holds: Array
    """Strength of one engaged turn over that of the proper pair in the same state. [-]"""
    same_helix: NDArray[np.bool_]
    """Whether hand and starts agree."""
    needed: Array
    """Turns in the length engaged. [-]"""

    @property
    def room(self) -> Array:
        """The least of the three rooms as the screw starts: on the flanks, at the crest, at the root."""
        least = np.minimum(self.clearance - self.mismatch, self.crest_room)
        return np.asarray(np.minimum(least, self.root_room) + self.small_end)

    @property
    def enters(self) -> NDArray[np.bool_]:
        """Whether the screw starts by hand."""
        return np.asarray(self.same_helix & (self.room >= -judgement.START_SLACK_MM))

    @property
    def turns(self) -> Array:
        """Turns by hand before it binds. [-]

        The free ones and about one for chamfer and burrs, or as many as use up the slack with which it
        starts, if that is more (pitches that differ by a rounding).
        """
        rate = self.per_turn + self.wedging
        slack = judgement.START_SLACK_MM - self.interference(0.0)
        with np.errstate(divide="ignore"):
            used_up = np.where(rate > 0, slack / np.where(rate > 0, rate, 1.0), np.inf)
        return np.asarray(np.where(self.enters, np.maximum(self.free + judgement.EXTRA_TURNS, used_up), 0.0))

    @property
    def catches(self) -> NDArray[np.bool_]:
        """Whether the hand feels a thread at all."""
        return np.asarray(self.overlap_share >= judgement.LEAST_CATCH)

    @property
    def strength(self) -> Array:
        """Share of the proper joint's strength that is left; once it has bound, two threads bear. [-]"""
        full = self.turns >= self.needed
        bearing = np.where(full, 1.0, np.minimum(1.0, judgement.BEARING_THREADS / self.needed))
        return np.asarray(np.where(self.enters, self.holds * bearing, 0.0))

    @property
    def outcome(self) -> NDArray[np.int64]:
        """Index into :data:`OUTCOMES`."""
        weak = self.holds < judgement.HOLDS_SHARE
        full = self.turns >= self.needed
        wedged = ~full & (self.wedging >= self.per_turn)
        cases = [~self.same_helix, ~self.enters, self.overlap <= 0, ~full & ~wedged, wedged, weak]
        return np.asarray(np.select(cases, range(len(cases)), len(cases)), dtype=np.int64)

    def interference(self, turns: ArrayLike) -> Array:
        """Interference on the effective diameter after a number of turns; below 0 there is room.

        Parameters
        ----------
        turns : float or array
            Turns engaged. [-]
        """
        used = self.mismatch + np.asarray(turns, dtype=np.float64) * (self.per_turn + self.wedging)
        return np.asarray(used - self.clearance - self.small_end)


def corner_drop(*, half_flat: ArrayLike, radius: ArrayLike, tangent: ArrayLike) -> Array:
    r"""How far off the bottom of a rounded root the corners of a flat crest come to rest.

    .. math:: r - \sqrt{r^2 - \min(x, r \cos\alpha)^2}

    with x half the width of the flat; corners beyond the arc do not reach the root, the flanks meet first.

    Parameters
    ----------
    half_flat : float or array
        Half the width of the crest's flat; 0 for a rounded crest. [mm]
    radius : float or array
        Radius of the root; 0 for a flat root, which takes the corners to its bottom. [mm]
    tangent : float or array
        Tangent of the greater flank angle of the two. [-]

    Returns
    -------
    array
        Radial distance. [mm]

    References
    ----------
    Geometry: a corner leaves the arc where that is as steep as a flank.

    Examples
    --------
    A Unified crest (flat P/8) in a Whitworth root clears if it is 0.030 P smaller:

    >>> drop = corner_drop(half_flat=1 / 16, radius=0.137329, tangent=np.tan(np.radians(27.5)))
    >>> round(2 * float(drop), 3)
    0.03
    """
    x, r, tan = (np.asarray(value, dtype=np.float64) for value in (half_flat, radius, tangent))
    reach = np.minimum(x, r / np.hypot(1, tan))
    return np.asarray(r - np.sqrt(r * r - reach * reach))


def pair(screw: SideSizes, hole: SideSizes, *, length: ArrayLike | None = None) -> Paired:
    """Put screws into holes.

    Parameters
    ----------
    screw, hole : SideSizes
        Columns that broadcast against each other. [mm]
    length : float or array, optional
        Length engaged; the usual one for each screw if left out. [mm]

    Returns
    -------
    Paired

    References
    ----------
    Effective diameter and flank angles: National Physical Laboratory, Notes on Screw Gauges; shear
    areas: FED-STD-H28/2B (1991), formulas (2a) and (4a).

    Examples
    --------
    >>> from threadwright.mating_sizes import sizes_of
    >>> from threadwright.tables.registry import find_thread
    >>> screw = sizes_of(find_thread("2 BA"), "external")
    >>> one = pair(screw, sizes_of(find_thread("M5"), "internal"))
    >>> one.overlap_share.round(2), OUTCOMES[int(one.outcome[0])]
    (array([0.65]), 'strips')
    """
    tangent = (screw.tangent + hole.tangent) / 2
    overlap = np.maximum(screw.major - hole.minor, 0.0) / 2
    mismatch = _mismatch(screw, hole, np.minimum(np.minimum(screw.straight, hole.straight), overlap))
    clearance = hole.pitch_diameter - screw.pitch_diameter
    steps = {
        "flank_angle": np.degrees(np.arctan(tangent)),
        "pitch_external": screw.pitch,
        "pitch_internal": hole.pitch,
    }
    lead = screw.pitch * screw.starts
    small_end = screw.gauge * screw.taper
    wedging = lead * np.maximum(screw.taper, hole.taper)
    room = clearance - mismatch + small_end
    engaged = judgement.USUAL_ENGAGEMENT * screw.major if length is None else np.asarray(length)
    return Paired(
        clearance=clearance,
        mismatch=mismatch,
        crest_room=hole.major - screw.major - 2 * _drop(screw, screw.major - screw.pitch_diameter, hole),
        root_room=hole.minor - screw.minor - 2 * _drop(hole, hole.pitch_diameter - hole.minor, screw),
        free=_free(free_turns(clearance=room, **steps) / screw.starts, room=room, wedging=wedging),
        per_turn=extra_interference(**steps) * screw.starts,
        wedging=wedging + 0 * clearance,
        small_end=small_end + 0 * clearance,
        overlap=overlap,
        overlap_share=overlap / hole.depth,
        holds=np.minimum(_hole_share(screw, hole), _screw_share(screw, hole)),
        same_helix=(screw.starts == hole.starts) & (screw.left_hand == hole.left_hand),
        needed=np.maximum(engaged / lead, 1.0),
    )


def _free(drifting: Array, *, room: Array, wedging: Array) -> Array:
    """Turns until unlike pitches and taper together use up the room, from those of the pitches alone."""
    with np.errstate(divide="ignore"):
        alone = np.where(wedging > 0, np.maximum(room, 0.0) / np.where(wedging > 0, wedging, 1.0), np.inf)
        return np.asarray(1 / (1 / drifting + 1 / alone))


def _mismatch(screw: SideSizes, hole: SideSizes, depth: Array) -> Array:
    """Diametral cost of unlike flanks; each of the two counts by its tangent."""
    total, weight = np.zeros(()), np.zeros(())
    for name in ("load_flank", "clear_flank"):
        outer, inner = getattr(screw, name), getattr(hole, name)
        tan = np.tan(np.radians((outer + inner) / 2))
        cost = flank_mismatch(depth=depth, flank_external=outer, flank_internal=inner)
        total, weight = total + cost * tan, weight + tan
    return np.asarray(total / weight)


def _drop(one: SideSizes, height: Array, other: SideSizes) -> Array:
    """Radial distance that the crest of one side keeps from the bottom of the other side's root."""
    steeper = np.maximum(one.tangent, other.tangent)
    flat = one.flat_crest * np.maximum(one.pitch / 4 - height / 2 * one.tangent, 0.0)
    return corner_drop(half_flat=flat, radius=other.root_radius, tangent=steeper)


def _hole_share(screw: SideSizes, hole: SideSizes) -> Array:
    """Shear area of the hole's thread at the crest of this screw, over that at the crest of its own."""

    def area(crest: Array) -> Array:
        width = hole.pitch / 2 + hole.tangent * (crest - hole.pitch_diameter)
        return np.asarray(crest * np.maximum(width, 0.0))

    caught = np.where(screw.major > hole.minor, area(screw.major - screw.rounding), 0.0)
    return _capped(caught, area(hole.mate_crest))


def _screw_share(screw: SideSizes, hole: SideSizes) -> Array:
    """Shear area of the screw's thread at the crest of this hole, over that at the crest of its own nut."""

    def area(crest: Array) -> Array:
        width = screw.pitch / 2 + screw.tangent * (screw.pitch_diameter - crest)
        return np.asarray(crest * np.maximum(width, 0.0))

    caught = np.where(screw.major > hole.minor, area(hole.minor), 0.0)
    return _capped(caught, area(screw.mate_crest))


def _capped(area: Array, own: Array) -> Array:
    return np.asarray(np.clip(area / np.maximum(own, 1e-12), 0.0, 1.0))
