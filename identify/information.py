"""How much a reading not yet taken would be expected to tell, and what it costs.

The doubt is the entropy of the leading candidates; a reading's information is the doubt it is
expected to take away, by integration over everything it might show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from threadwright import judgement
from threadwright.clues import crest_looks, outcome_probability
from threadwright.comb_choice import leaves_of
from threadwright.doubt import Leaders
from threadwright.evidence import CRESTS, Tried
from threadwright.likelihood import (
    CombColumn,
    FlatsColumn,
    LengthColumn,
    Observations,
    WireColumn,
    comb_leaf_probabilities,
)
from threadwright.priors import UNKNOWN, Prior
from threadwright.tables.catalogue import candidates
from threadwright.tables.thread import Array
from threadwright.tables.wires import size_over_wires

__all__ = ["Option", "options"]

Integers = NDArray[np.int64]
_GRID = 61
_TIGHT = "goes tight"
_REACH = 4.0  # standard uncertainties beyond the limits that the grid covers


@dataclass(frozen=True, slots=True)
class Option:
    """A reading that could be taken.

    ``expected`` holds, for each of the leading candidates in their order, the least and greatest
    value it would show, in ``unit``; None where it says nothing of that candidate. ``outcomes`` is the
    chance of each of g things it may show on each candidate, (g, k), and ``words`` what they are called
    where the reading is not a number.
    """

    reading: str
    how: str
    instrument: str
    minutes: float
    bits: float
    unit: str
    expected: tuple[tuple[float, float] | None, ...]
    outcomes: Array = field(repr=False, compare=False)
    wire_mm: float | None = None
    piece: str = ""
    words: tuple[str, ...] = ()
    takes_back: Array | None = field(default=None, repr=False, compare=False)
    """What it does to each probability beside what it shows, as it takes the place of another reading."""

    @property
    def worth(self) -> float:
        """Bits for each minute."""
        return self.bits / self.minutes


def _grid(ends: list[tuple[float, float]], u: float, reach: float) -> tuple[Array, Array]:
    low = min(low for low, _ in ends) - reach - _REACH * u
    high = max(high for _, high in ends) + reach + _REACH * u
    points = max(_GRID, int((high - low) / max(u, 1e-9)))
    y = np.linspace(max(low, 1e-3), high, min(points, 5 * _GRID))
    weights = np.full(len(y), y[1] - y[0])
    weights[[0, -1]] /= 2
    return y, weights


def _told(among: Leaders, seen: Observations, weights: Array) -> tuple[float, Array]:
    """What a reading tells of which every value that it may show is given, with the steps between."""
    return among.told(among.density(seen) * weights[:, None], among.density_of_none(seen) * weights)


def options(
    observations: Observations,
    cand: Integers,
    probabilities: Array,
    *,
    given: tuple[str, ...],
    prior: Prior = UNKNOWN,
    none: float = 0.0,
    tried: Sequence[Tried] = (),
) -> list[Option]:
    """Every reading not yet taken, with what it would tell of the leading candidates.

    Parameters
    ----------
    observations : Observations
        The readings of one fastener.
    cand : array of int (k,)
        The leading candidates.
    probabilities : array (k,)
        Their probabilities.
    given : tuple of str
        Names of the readings taken.
    prior : Prior
        As for the identification.
    none : float
        Probability of "none of these"; zero leaves it out.
    tried : sequence of Tried
        Pieces that were tried: they are not tried again.

    Returns
    -------
    list of Option
        The most telling for its effort first.

    Examples
    --------
    >>> from threadwright.ranking import observe
    >>> from threadwright.readings import Readings
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> leaders = np.array([names.index("3/8-20 BSF"), names.index("3/8-20 UN")])
    >>> seen = observe(Readings(major="0.372 in", pitch="20 tpi"))
    >>> ranked = options(seen, leaders, np.array([0.8, 0.2]), given=("major", "pitch"))
    >>> [option.reading for option in ranked if option.bits > 0.2]
    ['across_flats', 'flank_angle']
    """
    among = Leaders(observations, cand, probabilities, prior, none)
    found: list[Option] = []
    hole = observations.side == "internal"
    if "major" not in given:
        found.append(_length(among, "major", "inside jaws" if hole else "digital caliper"))
    if "minor" not in given:
        found.append(_length(among, "minor", "drill shank" if hole else "digital caliper"))
    if "over_wires" not in given:
        if "pitch_diameter" not in given:
            found.append(_length(among, "pitch_diameter", "thread micrometer"))
        if not hole:
            found.extend(_wires(among))
    if "pitch" not in given:
        found.append(_comb(among))
    if observations.pitch is None:
        found.append(_counted(among))
    if "flank_angle" not in given:
        found.append(_flank(among))
    if "crest" not in given and not hole:
        found.append(_crest(among))
    if "flats" not in given and not hole:
        found.append(_hexagon(among, prior))
    if "taper" not in given and np.ptp(candidates().taper[cand]) > 0:
        found.append(_taper(among))
    found.extend(_trials(among, {(one.piece.system, one.piece.designation, one.kind) for one in tried}))
    ranked = [option for option in found if option.bits > 0]
    return sorted(ranked, key=lambda option: (-option.worth, option.reading, option.how))


def _effort(among: Leaders, reading: str) -> float:
    return judgement.EFFORT_MINUTES[among.side, reading]


def _option(
    among: Leaders,
    reading: str,
    how: str,
    instrument: str,
    told: tuple[float, Array],
    unit: str,
    expected: tuple[tuple[float, float] | None, ...],
    *,
    minutes: float | None = None,
    wire_mm: float | None = None,
    piece: str = "",
    words: tuple[str, ...] = (),
) -> Option:
    bits, outcomes = told
    effort = _effort(among, reading) if minutes is None else minutes
    return Option(reading, how, instrument, effort, bits, unit, expected, outcomes, wire_mm, piece, words)


def _length(among: Leaders, name: str, instrument: str) -> Option:
    u = judgement.INSTRUMENT_U_MM[instrument]
    ends = among.limits(name)
    pitch = float(candidates().pitch[among.cand].max())
    y, weights = _grid(ends, u, 0.3 * pitch)
    seen = Observations(
        n=len(y),
        side=among.side,
        condition=among.condition,
        lengths={name: LengthColumn(y, np.full(len(y), u))},
    )
    told = _told(among, seen, weights)
    how = judgement.HOW_TO_READ[among.side, name]
    return _option(among, name, how, instrument, told, "mm", tuple(ends))


def _wires(among: Leaders) -> list[Option]:
    """The size over the best wires of the first leader, if they touch."""
    catalogue, cand = candidates(), among.cand
    pitch = float(catalogue.pitch[cand[0]])
    best = 0.5 / np.cos(np.radians(catalogue.flank_angle[cand[0]])) * pitch
    wire = round(float(best) / judgement.WIRE_STEP_MM) * judgement.WIRE_STEP_MM
    least, greatest = catalogue.wire_least[cand], catalogue.wire_greatest[cand]
    touches = (least <= wire) & (wire <= greatest)
    if not touches[0]:
        return []
    u = float(np.hypot(judgement.INSTRUMENT_U_MM["wires"], judgement.WIRE_FLATTENING_U_MM))
    over: list[tuple[float, float] | None] = []
    for index, ends, touching in zip(cand, among.limits("pitch_diameter"), touches, strict=True):
        sizes = size_over_wires(
            flank_angle=catalogue.flank_angle[index],
            pitch=catalogue.pitch[index],
            lead=catalogue.pitch[index] * catalogue.starts[index],
            pitch_diameter=np.array(ends),
            wire=wire,
        )
        over.append((float(sizes[0]), float(sizes[1])) if touching else None)
    y, weights = _grid([ends for ends in over if ends is not None], u, 0.05 * pitch)
    seen = Observations(
        n=len(y),
        side=among.side,
        condition=among.condition,
        over_wires=WireColumn(
            y,
            np.full(len(y), u),
            np.full(len(y), wire),
            np.full(len(y), judgement.WIRE_U_MM["wires"]),
        ),
    )
    density = among.density(seen)
    # a candidate that the wires cannot touch shows anything on the grid
    density[:, ~touches] = 1 / (y[-1] - y[0])
    told = among.told(density * weights[:, None], among.density_of_none(seen) * weights)
    how = f"over {wire:.2f} mm wires"
    return [_option(among, "over_wires", how, "micrometer", told, "mm", tuple(over), wire_mm=wire)]


def _pitches(among: Leaders) -> tuple[tuple[float, float], ...]:
    return tuple((float(p), float(p)) for p in candidates().pitch[among.cand])


def _comb(among: Leaders) -> Option:
    combs = ("inch", "metric")
    leaves, on = comb_leaf_probabilities(combs, candidates().pitch[among.cand]), leaves_of(combs)
    how = judgement.HOW_TO_READ[among.side, "pitch"]
    none = among.density_of_none(
        Observations(n=len(on), comb=CombColumn(on, np.full(len(on), np.nan), combs))
    )
    return _option(among, "pitch", how, "comb", among.told(leaves, none), "mm", _pitches(among))


def _counted(among: Leaders) -> Option:
    u = judgement.INSTRUMENT_U_MM["steel rule"] / judgement.COUNTED_PITCHES
    ends = list(_pitches(among))
    y, weights = _grid(ends, u, 0.0)
    seen = Observations(n=len(y), side=among.side, pitch=LengthColumn(y, np.full(len(y), u)))
    mass, none = among.density(seen) * weights[:, None], among.density_of_none(seen) * weights
    told = among.told(mass, none, among.without_comb)
    how, minutes = judgement.HOW_TO_READ[among.side, "counted"], _effort(among, "counted")
    found = _option(among, "pitch", how, "steel rule", told, "mm", tuple(ends), minutes=minutes)
    return replace(found, takes_back=among.without_comb)


def _flank(among: Leaders) -> Option:
    u = judgement.FLANK_ANGLE_U_DEG
    ends = [(float(a), float(a)) for a in candidates().flank_angle[among.cand]]
    y, weights = _grid(ends, u, 0.0)
    seen = Observations(n=len(y), side=among.side, flank_angle=LengthColumn(y, np.full(len(y), u)))
    told = _told(among, seen, weights)
    how = judgement.HOW_TO_READ[among.side, "flank_angle"]
    return _option(among, "flank_angle", how, "shadow", told, "deg", tuple(ends))


def _crest(among: Leaders) -> Option:
    looks = crest_looks()
    told = among.told(looks[among.cand].T, among.average(looks))
    how = judgement.HOW_TO_READ[among.side, "crest"]
    unknown = (None,) * len(among.cand)
    return _option(among, "crest", how, "loupe", told, "", unknown, words=CRESTS)


def _hexagon(among: Leaders, prior: Prior) -> Option:
    """The size across flats of a head; that a fastener has no hexagon tells nothing."""
    from threadwright.across_flats import own_hexagons

    u, origin = judgement.FLATS_U_MM["head"], (prior.origin.country, prior.origin.year)
    ends: list[tuple[float, float] | None] = []
    for index in among.cand.tolist():
        held = own_hexagons(index, "head", *origin)
        _, _, band = max(held, key=lambda one: one[0], default=(0.0, None, None))
        ends.append(None if band is None else (band.least_mm, band.largest_mm))
    sizes = judgement.FLATS_RATIO * candidates().major[among.cand]
    wide = np.exp(3 * judgement.FLATS_SPREAD_LOG)
    step = 1.5 * u  # of a bell whose spread is u less than a thousandth is lost
    y = np.arange(sizes.min() / wide, sizes.max() * wide, step)
    flats = FlatsColumn(y, np.full(len(y), u), "head", *origin)
    bits, outcomes = _told(among, Observations(n=len(y), side=among.side, flats=flats), np.full(len(y), step))
    have = judgement.HAVE_A_HEXAGON
    told = have * bits, np.vstack([np.full((1, outcomes.shape[1]), 1.0 - have), have * outcomes])
    how = judgement.HOW_TO_READ[among.side, "across_flats"]
    return _option(among, "across_flats", how, "digital caliper", told, "mm", tuple(ends))


def _taper(among: Leaders) -> Option:
    """Two diameters and how far apart they were read, where some leaders taper and others do not."""
    every, tapers = candidates().taper, candidates().taper[among.cand]
    apart = judgement.TAPER_APART_PITCHES * float(candidates().pitch[among.cand].min())
    u = judgement.INSTRUMENT_U_MM["digital caliper"] * 2**0.5 / apart
    y = np.arange(0.0, every.max() + 4 * u, u / 2)
    ends = tuple((float(one), float(one)) for one in tapers)

    def shown(taper: Array) -> Array:
        """Density of each reading, which has no sign, on each thread. (n, g)"""
        spread = np.hypot(u, judgement.TAPER_SPREAD_SHARE * taper)[:, None]
        either = [np.exp(-0.5 * ((y * sign - taper[:, None]) / spread) ** 2) for sign in (1, -1)]
        bell = (either[0] + either[1]) / spread
        chances: Array = bell / bell.sum(axis=1, keepdims=True)
        return chances

    told = among.told(shown(tapers).T, among.average(shown(every)))
    how = judgement.HOW_TO_READ[among.side, "taper"]
    return _option(among, "taper", how, "digital caliper", told, "", ends)


def _trials(among: Leaders, tried: set[tuple[str, str, str]]) -> list[Option]:
    """A piece of each leader's own thread, tried in the hole or on the screw."""
    found = []
    kind: Literal["screw", "nut"] = "screw" if among.side == "internal" else "nut"
    for index in among.cand[: judgement.PIECES_TRIED]:
        piece = candidates().thread(int(index))
        if (piece.system, piece.designation, kind) in tried:
            continue
        weight = judgement.SERIES_WEIGHT.get(piece.system, judgement.OTHER_SERIES_WEIGHT)
        if piece.choice > 1 or weight < judgement.COMMON_SERIES or among.side not in piece.default_classes:
            continue  # nobody has such a piece to try
        blank = Tried("", piece, kind, "runs in")
        outcomes = [
            blank,
            replace(blank, outcome="will not start"),
            replace(blank, outcome="slides in"),
        ]
        shown = np.stack([outcome_probability(tried, side=among.side) for tried in outcomes])
        every = np.vstack([shown, np.clip(1 - shown.sum(axis=0), 0, 1)])
        name, unknown = f"{piece.designation} {kind}", (None,) * len(among.cand)
        told = among.told(every[:, among.cand], among.average(every.T))
        words = (*(one.outcome for one in outcomes), _TIGHT)
        found.append(
            _option(among, "tried", f"a good {name}", kind, told, "", unknown, piece=name, words=words)
        )
    return found
