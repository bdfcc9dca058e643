r"""Pitch, flanks and diameters from the two edges of a shadow.

The shadow of a thread is not its axial profile. The surface is r = f(z - L theta / 2 pi); looked at square to
the axis it reaches X(z), the greatest f cos theta over all theta. Where that is stationary

.. math:: \tan\theta = -\frac{L}{2\pi}\,\frac{X'}{X}, \qquad
          f = \frac{X}{\cos\theta}, \qquad \zeta = z - \frac{L}{2\pi}\theta

since X' = f' cos theta there (envelope theorem): each visible point of the shadow gives back one point of the
axial profile, exactly and for either hand. On the flank of an M6 the shadow stands 0.014 mm outside the
profile; at crests and at roots that are not sharp X' = 0 and both agree.
Derived from the geometry; no printed source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from threadwright import judgement
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.scan.axis import Aligned, Side

    Array = NDArray[np.float64]

__all__ = ["Measured", "Optics", "ThreadShape", "axial_points", "measure"]

_FLANK: Final = (0.25, 0.75)  # part of the depth on which flanks of the common forms are straight
_END: Final = 0.05  # half width of the part of a crest or root that is looked at, over the pitch
_ROUNDS: Final = 4  # the flank slope and the points that belong to it settle in two


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard uncertainty, in the same unit."""

    value: float
    u: float


@dataclass(frozen=True, slots=True)
class Optics:
    """What limits a picture.

    Attributes
    ----------
    step, blur, u_edge : float
        Size of a pixel, standard deviation of an edge, and standard uncertainty of its place. [mm]
    u_share : float
        Standard uncertainty of the scale of each direction. [-]
    """

    step: float
    blur: float
    u_edge: float
    u_share: float


@dataclass(frozen=True, slots=True)
class ThreadShape:
    """What both edges say together; lengths in mm, angles in degrees, taper as growth of diameter per length.

    ``flank_first`` faces the start of the picture's rows (left, or top if the axis is upright),
    ``flank_second`` its end; ``growth`` is how much the pitch grows from end to end, as a share;
    ``hidden_root`` tells that the minor diameter shown is too large.
    """

    pitch: Measured
    major: Measured
    minor: Measured
    pitch_diameter: Measured
    flank_first: Measured
    flank_second: Measured
    taper: Measured
    starts: int
    threads: int
    growth: float
    hidden_root: bool


@dataclass(frozen=True, slots=True)
class _Flank:
    """One flank of all threads of one side: where it crosses half depth, and its slope dz/df."""

    at: Array
    number: Array
    slope: float
    u_slope: float


@dataclass(frozen=True, slots=True)
class _Level:
    """Crests or roots of one side: distance from the axis halfway along, slope and uncertainties."""

    value: float
    slope: float
    u_value: float
    u_slope: float
    curvature: float


@dataclass(frozen=True, slots=True)
class _SideShape:
    crest: _Level
    root: _Level
    rising: _Flank
    falling: _Flank
    middle: float


def axial_points(z: Array, reach: Array, slope: Array, *, lead: float) -> tuple[Array, Array]:
    r"""Points of the axial profile from points of a shadow's edge and its slope there.

    .. math::

        \zeta = z + \frac{L}{2\pi}\arctan t, \quad f = X \sqrt{1 + t^2}, \quad t = \frac{L}{2\pi}\frac{X'}{X}

    Parameters
    ----------
    z, reach : array (n,)
        Place along the axis, and distance of the edge from the axis, X. [mm]
    slope : array (n,)
        Slope of the edge, X' = dX/dz. [-]
    lead : float
        Lead, L. [mm]

    Returns
    -------
    tuple of array (n,)
        Place along the axis and radius of the axial profile. [mm]

    References
    ----------
    Envelope of the helicoid, derived at the top of this module.

    Examples
    --------
    >>> z, r = axial_points(np.zeros(1), np.array([2.675]), np.array([1.7321]), lead=1.0)
    >>> float(r[0] - 2.675)
    0.0141...
    """
    turn = lead / (2 * np.pi)
    t = turn * slope / reach
    return np.asarray(z + turn * np.arctan(t)), np.asarray(reach * np.hypot(1.0, t))


def measure(aligned: Aligned, optics: Optics) -> ThreadShape:
    """Measure a thread.

    Parameters
    ----------
    aligned : Aligned
        Both edges along the axis.
    optics : Optics
        What limits the picture.

    Returns
    -------
    ThreadShape
        Sizes with standard uncertainties; diameters are those at the middle of the visible thread.

    Raises
    ------
    ReadingError
        If the pitch is too fine for the picture or the blur too wide, or the two sides do not fit each other.
    """
    pitch = aligned.pitch
    _check_sharpness(pitch, optics)
    starts = _starts(aligned)
    middle = float(np.mean([np.mean(side.rising) for side in aligned.sides]))
    shapes = []
    for side in aligned.sides:
        shapes.append(_side_shape(side, pitch=pitch, lead=starts * pitch, middle=middle, optics=optics))
    found, growth = _pitch(shapes, optics)
    u_plane = (1 - np.cos(np.radians(judgement.OUT_OF_PLANE_DEG))) / np.sqrt(3.0)
    pitch_u = float(np.hypot(found.u, found.value * np.hypot(optics.u_share, u_plane)))
    first = [s.rising for s in shapes]
    second = [s.falling for s in shapes]
    crests, roots = [s.crest for s in shapes], [s.root for s in shapes]
    length = found.value * min(len(side.rising) for side in aligned.sides)
    return ThreadShape(
        pitch=Measured(found.value, pitch_u),
        major=_diameter(crests, optics),
        minor=_diameter(roots, optics),
        pitch_diameter=_pitch_diameter(shapes, found, optics),
        flank_first=_flank_angle(first, shapes, optics),
        flank_second=_flank_angle(second, shapes, optics),
        taper=_taper(crests, length, optics),
        starts=starts,
        threads=min(len(side.rising) for side in aligned.sides),
        growth=growth,
        hidden_root=_hidden(shapes, pitch=found.value, lead=starts * found.value, optics=optics),
    )


def _check_sharpness(pitch: float, optics: Optics) -> None:
    """Refuse a pitch of too few pixels, and too much blur."""
    pixels = pitch / optics.step
    if pixels < judgement.LEAST_PITCH_PIXELS:
        raise ReadingError(
            f"picture: a pitch has only {pixels:.0f} pixels; scan with more dpi, at least "
            f"{judgement.LEAST_PITCH_PIXELS:.0f} pixels to a pitch"
        )
    if optics.blur > judgement.MOST_BLUR_SHARE * pitch:
        raise ReadingError(
            f"picture: blurred, its edges are {2 * optics.blur / optics.step:.1f} pixels wide at a pitch of "
            f"{pixels:.0f} pixels; lay the screw on the glass, focus, or scan with more dpi"
        )


def _starts(aligned: Aligned) -> int:
    """1 where crests stand across from roots, 2 where they stand across from crests."""
    centres = [(side.rising + side.falling) / 2 for side in aligned.sides]
    turns = np.exp(2j * np.pi * (np.mean(centres[1]) - np.mean(centres[0])) / aligned.pitch)
    per_side = [np.exp(2j * np.pi * (c - np.mean(c)) / aligned.pitch).mean() for c in centres]
    apart = abs(float(np.angle(turns * per_side[1] / per_side[0]))) / (2 * np.pi)
    if apart > 0.4:
        return 1
    if apart < 0.1:
        return 2
    raise ReadingError(
        f"picture: the two sides are {apart:.2f} of a pitch apart, which no screw seen square shows; "
        "hold camera or screw square"
    )


def _side_shape(side: Side, *, pitch: float, lead: float, middle: float, optics: Optics) -> _SideShape:
    """Crests, roots and flanks of one side."""
    centres = (side.rising + side.falling) / 2
    crest = _level(side, centres, pitch=pitch, middle=middle, optics=optics)
    valleys = (side.falling[:-1] + side.rising[1:]) / 2
    root = _level(side, valleys, pitch=pitch, middle=middle, optics=optics)
    if root.value < crest.value / 2:
        raise ReadingError(
            "picture: the thread would be too deep; show both sides of the screw, and nothing touching it"
        )
    number = np.round((side.rising - side.rising[0]) / pitch)
    flanks = [
        _flank(side, at, number, sign, crest=crest, root=root, lead=lead, middle=middle, pitch=pitch)
        for at, sign in ((side.rising, 1.0), (side.falling, -1.0))
    ]
    return _SideShape(crest, root, flanks[0], flanks[1], (crest.value + root.value) / 2)


def _level(side: Side, centres: Array, *, pitch: float, middle: float, optics: Optics) -> _Level:
    """Crest or root line: a parabola across each end, freed from what blur does to a curved edge."""
    nearest = np.argmin(np.abs(side.z[:, None] - centres[None, :]), axis=1)
    off = (side.z - centres[nearest]) / pitch
    width = max(_END, 1.6 * optics.step / pitch)
    near = np.abs(off) < width
    where, z, x = off[near] / width, side.z[near] - middle, side.x[near]
    design = np.column_stack([np.ones_like(z), z, where, where**2])
    keep = np.ones(len(x), dtype=bool)
    for _ in range(4):
        fit = np.linalg.lstsq(design[keep], x[keep], rcond=None)[0]
        rest = x - design @ fit
        keep = np.abs(rest) <= 4 * 1.4826 * float(np.median(np.abs(rest))) + 1e-9
    per_end = [float(np.mean(rest[keep & (nearest[near] == k)])) for k in np.unique(nearest[near][keep])]
    spread = float(np.std(per_end, ddof=1)) if len(per_end) > 1 else optics.step
    length = float(np.std(centres)) * np.sqrt(len(per_end))
    curvature = 2 * float(fit[3]) / (width * pitch) ** 2
    value = float(fit[0]) - curvature * optics.blur**2 / 2
    u_value = float(np.hypot(spread / np.sqrt(len(per_end)), curvature * optics.blur**2 / 6))
    return _Level(value, float(fit[1]), u_value, spread / length, curvature)


def _flank(
    side: Side,
    at: Array,
    number: Array,
    sign: float,
    *,
    crest: _Level,
    root: _Level,
    lead: float,
    middle: float,
    pitch: float,
) -> _Flank:
    """Straight line through one flank of all threads, in the axial profile: one slope, a place for each."""
    nearest = np.argmin(np.abs(side.z[:, None] - at[None, :]), axis=1)
    close = np.abs(side.z - at[nearest]) < 0.3 * pitch
    z, x, thread = side.z[close], side.x[close], nearest[close]
    depth, half = crest.value - root.value, (crest.value + root.value) / 2
    level = crest.slope * (z - middle)
    slope = sign * 0.5 * pitch / (2 * depth)  # dz/df; only a start
    for _ in range(_ROUNDS):
        steep = 1 / slope  # df/dz
        cosine = np.ones_like(z)
        for _ in range(3):
            _, f = axial_points(z, x, steep * cosine, lead=lead)
            cosine = x / f
        zeta, f = axial_points(z, x, steep * cosine, lead=lead)
        share = (f - level - root.value) / depth
        inside = (share > _FLANK[0]) & (share < _FLANK[1])
        slope, u_slope, places, threads = _common_slope(zeta, f - level - half, thread, inside)
        slope = sign * abs(slope)
    return _Flank(places, number[threads], slope, u_slope)


def _common_slope(
    zeta: Array, f: Array, thread: NDArray[np.intp], inside: NDArray[np.bool_]
) -> tuple[float, float, Array, NDArray[np.intp]]:
    """One slope for all threads, its uncertainty from their scatter, and the place of each at f = 0."""
    slopes, means, threads, weights = [], [], [], []
    for k in np.unique(thread[inside]):
        on = inside & (thread == k)
        if on.sum() < 5:
            continue
        df = f[on] - f[on].mean()
        weight = float((df**2).sum())
        slopes.append(float((df * zeta[on]).sum()) / weight)
        means.append((float(f[on].mean()), float(zeta[on].mean())))
        threads.append(int(k))
        weights.append(weight)
    if len(slopes) < judgement.LEAST_THREADS:
        raise ReadingError("picture: flanks are too short or too ragged to measure; scan with more dpi")
    each, weight_of, mean = np.asarray(slopes), np.asarray(weights), np.asarray(means)
    off = np.abs(each - np.median(each))
    good = off <= 4 * 1.4826 * float(np.median(off)) + 1e-9
    good &= weight_of > 0.5 * np.median(weight_of)
    if good.sum() < judgement.LEAST_THREADS - 1:
        raise ReadingError("picture: the flanks of the threads differ too much; show clean threads")
    slope = float(np.average(each[good], weights=weight_of[good]))
    u_slope = float(np.std(each[good], ddof=1) / np.sqrt(good.sum()))
    places = mean[good, 1] - slope * mean[good, 0]
    return slope, u_slope, places, np.asarray(threads, dtype=np.intp)[good]


def _pitch(shapes: list[_SideShape], optics: Optics) -> tuple[Measured, float]:
    """Least squares over all flanks: one pitch, an offset for each of the four rows; growth of the pitch."""
    at, number = [], []
    for flank in (flank for shape in shapes for flank in (shape.rising, shape.falling)):
        at.append(flank.at - flank.at.mean())
        number.append(flank.number - flank.number.mean())
    places, numbers = np.concatenate(at), np.concatenate(number)
    keep = np.ones(len(places), dtype=bool)
    for _ in range(4):
        pitch = float((numbers[keep] * places[keep]).sum() / (numbers[keep] ** 2).sum())
        rest = places - pitch * numbers
        keep = np.abs(rest) <= 4 * 1.4826 * float(np.median(np.abs(rest))) + 1e-3 * optics.step
    spread = float(np.sqrt((rest[keep] ** 2).sum() / max(keep.sum() - 5, 1)))
    u = spread / float(np.sqrt((numbers[keep] ** 2).sum()))
    bend = np.polyfit(numbers[keep], rest[keep], 2)[0]
    growth = float(2 * bend * np.ptp(numbers) / pitch)
    if abs(growth) > judgement.MOST_PITCH_GROWTH:
        raise ReadingError(
            f"picture: the pitch grows by {100 * abs(growth):.1f} % from one end to the other; "
            "hold the camera square, or scan the screw flat on the glass"
        )
    return Measured(pitch, u), growth


def _diameter(levels: list[_Level], optics: Optics) -> Measured:
    """Both sides together; what the lamp does to an edge it does to both."""
    value = levels[0].value + levels[1].value
    own = np.hypot(levels[0].u_value, levels[1].u_value)
    return Measured(value, float(np.sqrt(own**2 + (2 * optics.u_edge) ** 2 + (value * optics.u_share) ** 2)))


def _pitch_diameter(shapes: list[_SideShape], pitch: Measured, optics: Optics) -> Measured:
    """Where ridge and groove of the axial profile are equally wide, on both sides."""
    total, own, turned = 0.0, 0.0, 0.0
    for shape in shapes:
        width, variance, tangents = _ridge(shape)
        total += shape.middle + (width - pitch.value / 2) / tangents
        own += variance / tangents**2
        turned += 2 * optics.u_edge / np.sin(np.arctan(tangents / 2))
    scale = total * optics.u_share
    return Measured(total, float(np.sqrt(own + (turned / 2) ** 2 + scale**2)))


def _ridge(shape: _SideShape) -> tuple[float, float, float]:
    """Width of the ridge at half depth, variance of its mean, and the sum of the tangents of both flanks."""
    common, at_up, at_down = np.intersect1d(
        shape.rising.number, shape.falling.number, assume_unique=True, return_indices=True
    )
    if len(common) < 2:
        raise ReadingError("picture: too few whole threads; show at least four clean ones")
    widths = shape.falling.at[at_down] - shape.rising.at[at_up]
    tangents = shape.rising.slope - shape.falling.slope
    return float(np.mean(widths)), float(np.var(widths, ddof=1)) / len(common), tangents


def _flank_angle(flanks: list[_Flank], shapes: list[_SideShape], optics: Optics) -> Measured:
    """Mean of both sides; scale, scatter, and what a crooked edge does over the length of the flank."""
    tangent = float(np.mean([abs(flank.slope) for flank in flanks]))
    angle = np.arctan(tangent)
    scatter = float(np.hypot(flanks[0].u_slope, flanks[1].u_slope)) / 2 * np.cos(angle) ** 2
    sides = abs(abs(flanks[0].slope) - abs(flanks[1].slope)) / (2 * np.sqrt(3.0)) * np.cos(angle) ** 2
    depth = float(np.mean([shape.crest.value - shape.root.value for shape in shapes]))
    length = (_FLANK[1] - _FLANK[0]) * depth / np.cos(angle)
    crooked = judgement.FLANK_EDGE_U_PIXELS * optics.step / length
    scale = np.sqrt(2.0) * optics.u_share * np.sin(2 * angle) / 2
    u = float(np.sqrt(scatter**2 + sides**2 + crooked**2 + scale**2))
    return Measured(float(np.degrees(angle)), float(np.degrees(u)))


def _taper(crests: list[_Level], length: float, optics: Optics) -> Measured:
    """Growth of the major diameter along the axis, without sign: which end is thicker is not asked."""
    value = crests[0].slope + crests[1].slope
    own = float(np.hypot(crests[0].u_slope, crests[1].u_slope))
    return Measured(abs(value), float(np.hypot(own, optics.u_edge / length)))


def _hidden(shapes: list[_SideShape], *, pitch: float, lead: float, optics: Optics) -> bool:
    """Whether the flanks meet in the shadow before the root shows: it is sharp, or the blur fills it."""
    for shape in shapes:
        width, _, tangents = _ridge(shape)
        sharp = shape.middle - (pitch - width) / tangents  # radius at which the flanks of the profile meet
        climb = lead / (2 * np.pi) * 2 / tangents  # radius a flank gains in one radian
        meeting = sharp + climb**2 / (2 * sharp) if sharp > 0 else climb
        if shape.root.value < meeting + 1.5 * optics.blur:
            return True
    return False
