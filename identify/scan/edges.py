"""Edges of a shadow, finer than a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from threadwright import judgement
from threadwright.scan.image import Scale, find_screw
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.scan.image import Screw

    Array = NDArray[np.float64]

__all__ = ["Edges", "find_edges", "object_scale", "to_linear"]

_REACH: Final = 5.0  # pixels sampled on each side of an edge
_STEP: Final = 0.25
_OFFSETS: Final = tuple(float(s) for s in np.arange(-_REACH, _REACH + _STEP / 2, _STEP))
# An edge without a shadow has a skewness of about 0 +- _SKEW in the right encoding; one with a shadow any
# above 0, about _SHADOW_SKEW. Seen on drawn shadows (tests/bench/scan_accuracy.py); taken as even odds for
# each direction.
_SKEW: Final = 0.015
_SHADOW_SKEW: Final = 0.2
_FWHM: Final = 2.3548  # full width at half height of a normal curve, in standard deviations


@dataclass(frozen=True, slots=True)
class Edges:
    """Points on the outline of a shadow.

    Attributes
    ----------
    points : array (n, 2)
        Column and row in the part of the picture that holds the screw. [pixels]
    blur : float
        Standard deviation of the edge. [pixels]
    srgb_share : float
        How far grey levels were taken as encoded by sRGB, 1, or as proportional to light, 0.
    u_pixels : float
        Standard uncertainty of the place of the whole edge. [pixels]
    """

    points: Array
    blur: float
    srgb_share: float
    u_pixels: float


def to_linear(encoded: Array) -> Array:
    """Light of grey levels that are encoded by sRGB.

    Parameters
    ----------
    encoded : array (n,)
        Grey levels from 0 to 1. [-]

    Returns
    -------
    array (n,)
        Light from 0 to 1. [-]

    References
    ----------
    IEC 61966-2-1 (from memory).

    Examples
    --------
    >>> to_linear(np.array([0.0, 0.5, 1.0])).round(4)
    array([0.   , 0.214, 1.   ])
    """
    clipped = np.clip(encoded, 0.0, 1.0)
    return np.asarray(np.where(clipped <= 0.04045, clipped / 12.92, ((clipped + 0.055) / 1.055) ** 2.4))


def find_edges(screw: Screw, *, srgb_share: float | None = None) -> Edges:
    """Find the outline of a screw: where the light rises fastest along the normal.

    Parameters
    ----------
    screw : Screw
        Dark on light.
    srgb_share : float, optional
        Encoding, if it is known from another outline in the same picture.

    Returns
    -------
    Edges
        The outline; what the frame of the picture cuts off is no part of it.

    Raises
    ------
    ReadingError
        If there is too little outline.

    Notes
    -----
    A lens blurs the light, not its encoded grey level, so that an edge is symmetric only in the encoding it
    was stored in: of the two in use each counts by how well it explains the skewness of the edges, where a
    shadow beside the screw can only stretch an edge towards the light. The place of an edge is the centroid
    of the squared slope around its steepest point, which a faint shadow or unequal light hardly moves.
    """
    rough, normals = _crossings(screw)
    if len(rough) < 40:
        raise ReadingError("picture: no outline of a screw is in it; leave a margin of light round the screw")
    sampled = _sample(screw.grey, rough, normals)
    lights = [_light(sampled, srgb=srgb, dark_on_light=screw.dark_on_light) for srgb in (False, True)]
    places, means = zip(*(_locate(light) for light in lights), strict=True)
    if srgb_share is None:
        reach = 2.25 * float(np.sqrt(_blur(means[0]) * _blur(means[1]))) + 0.5
        linear, srgb = (
            _log_chance(light, place, normals, reach=reach)
            for light, place in zip(lights, places, strict=True)
        )
        share = float(1 / (1 + np.exp(np.clip(linear - srgb, -50, 50))))
    else:
        share = srgb_share
    place = (1 - share) * places[0] + share * places[1]
    keep = np.isfinite(place)
    shift = float(np.mean(places[1][keep] - places[0][keep])) if keep.any() else 0.0
    u_pixels = float(np.hypot(judgement.EDGE_U_PIXELS, np.sqrt(share * (1 - share)) * shift))
    points = rough[keep] + place[keep, None] * normals[keep]
    return Edges(points, _blur(means[int(share > 0.5)]), share, u_pixels)


def object_scale(
    part: NDArray[np.float32], *, size: float, u_size: float, srgb_share: float | None = None
) -> Scale:
    """Scale of both directions from an upright object whose height and width are both known.

    Parameters
    ----------
    part : array (rows, columns)
        The picture inside the box: the object alone, with some ground round it.
    size : float
        Width and height of the object, a disc or a square. [mm]
    u_size : float
        Its standard uncertainty. [mm]
    srgb_share : float, optional
        Encoding of the picture, as the outline of the screw in it shows.

    Returns
    -------
    Scale
        Scale of each direction by itself.

    Raises
    ------
    ReadingError
        If nothing stands out in the box, or the object touches its side, or is far from as wide as high.
    """
    screw = find_screw(np.pad(part, 8, mode="edge"))  # room to sample along the normals
    found = screw.mask
    at_side = found[0].any() or found[-1].any() or found[:, 0].any() or found[:, -1].any()
    if at_side:
        raise ReadingError(
            "box: the object in it touches its side; draw the box with a little ground round it"
        )
    edges = find_edges(screw, srgb_share=srgb_share)
    across, down = _extent(edges.points, 0), _extent(edges.points, 1)
    if not 0.9 < across / down < 1.1:
        raise ReadingError(
            f"box: the object in it is {across:.0f} pixels wide and {down:.0f} high; "
            "use a disc or an upright square"
        )
    u_pixels = 2 * edges.u_pixels / min(across, down)
    return Scale(size / across, size / down, float(np.hypot(u_pixels, u_size / size)))


def _extent(points: Array, axis: int) -> float:
    """Width of an outline, by a parabola through each of its two ends. [pixels]"""
    along, across = points[:, axis], points[:, 1 - axis]
    ends = []
    for sign in (-1.0, 1.0):
        height = sign * along
        top = np.sort(height)[-4]  # a stray point or two may stand out
        near = np.abs(height - top) < max(1.0, 0.01 * float(np.ptp(along)))
        middle = (across[near].max() + across[near].min()) / 2
        half = max(float(np.ptp(across[near])) / 2, 1.0)
        where = (across[near] - middle) / half
        design = np.column_stack([where**2, where, np.ones_like(where)])
        curve = np.linalg.lstsq(design, height[near], rcond=1e-6)[0]
        peak = -curve[1] / (2 * curve[0]) if curve[0] < 0 else 0.0
        ends.append(float(np.polyval(curve, np.clip(peak, -1, 1))))
    return ends[0] + ends[1]


def _crossings(screw: Screw) -> tuple[Array, Array]:
    """Rough places where the outline crosses rows and columns, and the normals towards the light."""
    from scipy import ndimage

    middle = (screw.levels[0] + screw.levels[1]) / 2
    found = []
    for axis in (0, 1):
        first = [slice(None), slice(None)]
        second = [slice(None), slice(None)]
        first[axis], second[axis] = slice(None, -1), slice(1, None)
        a, b = screw.grey[tuple(first)], screw.grey[tuple(second)]
        row, column = np.nonzero(screw.mask[tuple(first)] != screw.mask[tuple(second)])
        before, after = a[row, column], b[row, column]
        rise = np.where(np.abs(after - before) > 1e-6, after - before, 1e-6)
        part = np.clip((middle - before) / rise, 0.0, 1.0)
        shift = (part, np.zeros_like(part)) if axis == 0 else (np.zeros_like(part), part)
        found.append(np.column_stack([column + shift[1], row + shift[0]]))
    points = np.concatenate(found)
    slopes = [ndimage.gaussian_filter(screw.grey, 1.5, order=order) for order in ((0, 1), (1, 0))]
    normals = np.column_stack([ndimage.map_coordinates(s, points.T[::-1], order=1) for s in slopes])
    steep = np.hypot(normals[:, 0], normals[:, 1])
    rows, columns = screw.grey.shape
    room = _REACH + 1
    inside = (points > room).all(axis=1) & (points < (columns - 1 - room, rows - 1 - room)).all(axis=1)
    keep = inside & (steep > 0.02 * (screw.levels[1] - screw.levels[0]))
    return points[keep], normals[keep] / steep[keep, None]


def _sample(grey: Array, points: Array, normals: Array) -> Array:
    """Grey levels along the normal of each point, from the screw to the light."""
    from scipy import ndimage

    offsets = np.asarray(_OFFSETS)
    smooth = ndimage.spline_filter(grey, order=3)
    where = points[:, None, :] + offsets[None, :, None] * normals[:, None, :]
    sampled = ndimage.map_coordinates(smooth, where.reshape(-1, 2).T[::-1], order=3, prefilter=False)
    return np.asarray(sampled.reshape(len(points), len(offsets)))


def _light(grey: Array, *, srgb: bool, dark_on_light: bool) -> Array:
    """Light of grey levels in one encoding; of a light screw, what is missing to white."""
    if not srgb:
        return grey
    return to_linear(grey) if dark_on_light else 1 - to_linear(1 - grey)


def _slopes(light: Array) -> tuple[Array, Array]:
    """Slope of the light between samples, and where it is taken. [1/pixel, pixels]"""
    offsets = np.asarray(_OFFSETS)
    wide = 4  # one pixel: a shorter base would measure noise
    slope = (light[:, wide:] - light[:, :-wide]) / (wide * _STEP)
    return slope, (offsets[wide:] + offsets[:-wide]) / 2


def _locate(light: Array) -> tuple[Array, Array]:
    """Place of each edge along its normal, NaN where there is none, and the mean slope about the edges."""
    slope, where = _slopes(light)
    mean = np.zeros_like(where)
    place = np.zeros(len(light))
    width = 1.5
    for _ in range(6):
        window = np.exp(-((where[None, :] - place[:, None]) ** 2) / (2 * width**2))
        weight = window * slope**2
        total = weight.sum(axis=1)
        place = np.clip((weight * where).sum(axis=1) / np.where(total > 0, total, 1.0), -3.0, 3.0)
    mean = _aligned(slope, where, place)
    lost = (total <= 0) | (np.abs(place) >= 2.9)
    return np.where(lost, np.nan, place), mean


def _aligned(slope: Array, where: Array, place: Array) -> Array:
    """Mean slope, each edge moved to zero."""
    at = (where[None, :] + np.nan_to_num(place)[:, None] - where[0]) / _STEP
    low = np.clip(np.floor(at).astype(np.intp), 0, len(where) - 2)
    part = np.clip(at - low, 0.0, 1.0)
    row = np.arange(len(place))[:, None]
    return np.asarray(((1 - part) * slope[row, low] + part * slope[row, low + 1]).mean(axis=0))


def _log_chance(light: Array, place: Array, normals: Array, *, reach: float) -> float:
    """How well one encoding explains the skewness of the edges, over the four directions they look in."""
    slope, where = _slopes(light)
    window = np.clip((reach - np.abs(where)) / _STEP + 0.5, 0.0, 1.0)
    total = 0.0
    for axis in (0, 1):
        for sign in (-1.0, 1.0):
            chosen = (sign * normals[:, axis] > 0.3) & np.isfinite(place)
            if chosen.sum() < 0.05 * len(place):
                continue
            curve = window * np.maximum(_aligned(slope[chosen], where, place[chosen]), 0.0)
            weight = max(float(curve.sum()), 1e-9)
            centre = (curve * where).sum() / weight
            spread = np.sqrt((curve * (where - centre) ** 2).sum() / weight)
            skew = float((curve * (where - centre) ** 3).sum() / weight / max(spread, 0.1) ** 3)
            clear = np.exp(-(skew**2) / (2 * _SKEW**2)) / (_SKEW * np.sqrt(2 * np.pi))
            shadowed = np.exp(-skew / _SHADOW_SKEW) / _SHADOW_SKEW if skew > 0 else 0.0
            total += float(np.log(0.5 * clear + 0.5 * shadowed + 1e-4))
    return total


def _blur(mean: Array) -> float:
    """Standard deviation of an edge by the width of its mean slope, less the base that is taken over."""
    top = int(np.argmax(mean))
    half = mean[top] / 2
    below = np.nonzero(mean[top:] < half)[0]
    above = np.nonzero(mean[: top + 1][::-1] < half)[0]
    if not (below.size and above.size):
        return _REACH
    sides = []
    for step, count in ((1, int(below[0])), (-1, int(above[0]))):
        inner, outer = mean[top + step * (count - 1)], mean[top + step * count]
        sides.append(count - 1 + (inner - half) / (inner - outer))
    sigma = sum(sides) * _STEP / _FWHM
    base = (4 * _STEP) ** 2 / 12
    return float(np.sqrt(max(sigma**2 - base, 0.01)))
