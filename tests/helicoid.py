"""Pictures of screw shadows, drawn from the three-dimensional thread surface.

The surface of a thread is ``r = f(z - L theta / 2 pi)``: the axial profile *f* moved along the axis as the
angle goes round. Looked at square to the axis, a height *z* shows the greatest reach of its cross-section,
``X(z) = max over theta of f(z - L theta / 2 pi) cos theta``, found here by trying all angles. Nothing is
shared with the package: profiles, silhouette, blur, light and grey levels are made up here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Profile:
    """Axial profile for a pitch of one: flank angle [deg], truncations, and whether each end is round."""

    flank: float
    crest_cut: float
    root_cut: float
    crest_round: bool
    root_round: bool

    @property
    def depth(self) -> float:
        """Crest to root over pitch."""
        return 0.5 / math.tan(math.radians(self.flank)) - self.crest_cut - self.root_cut

    @property
    def to_pitch_line(self) -> float:
        """Crest to pitch line over pitch."""
        return 0.25 / math.tan(math.radians(self.flank)) - self.crest_cut

    def below_crest(self, where: Array) -> Array:
        """Depth below the crest at ``where`` pitches from the middle of a crest."""
        slope = 1 / math.tan(math.radians(self.flank))
        off = np.abs((where + 0.5) % 1.0 - 0.5)
        drop = off * slope - self.crest_cut
        drop = np.maximum(drop, self._arc(off, self.crest_cut) if self.crest_round else 0.0)
        rest = (0.5 - off) * slope - self.root_cut
        rest = np.maximum(rest, self._arc(0.5 - off, self.root_cut) if self.root_round else 0.0)
        return np.asarray(np.where(off < 0.25, drop, self.depth - rest))

    def _arc(self, off: Array, cut: float) -> Array:
        """Sagitta of the arc that touches the end and both flanks, and -1 beyond the points of tangency."""
        radius = cut / (1 / math.sin(math.radians(self.flank)) - 1)
        inside = off < radius * math.cos(math.radians(self.flank))
        return np.where(inside, radius - np.sqrt(np.maximum(radius**2 - off**2, 0.0)), -1.0)


_H60 = math.sqrt(3) / 2
_H55 = 0.5 / math.tan(math.radians(27.5))
_CUT_BA = (0.5 / math.tan(math.radians(23.75)) - 0.6) / 2
_CUT_TR = 0.5 / math.tan(math.radians(15.0)) / 2 - 0.25
FORMS = {
    "60 flat crest": Profile(30.0, _H60 / 8, _H60 / 6, False, True),
    "55 round": Profile(27.5, _H55 / 6, _H55 / 6, True, True),
    "47.5 round": Profile(23.75, _CUT_BA, _CUT_BA, True, True),
    "60 radius p/6": Profile(30.0, 1 / 6, 1 / 6, True, True),
    "30 trapezoidal": Profile(15.0, _CUT_TR, _CUT_TR - 0.1, False, False),
    "53 flat": Profile(math.degrees(math.atan(0.5)), 0.125, 0.125, False, False),
    "60 sharp root": Profile(30.0, _H60 / 8, 0.0, False, False),
}
COMMON = tuple(FORMS)[:-1]


@dataclass(frozen=True, kw_only=True)
class Shadow:
    """All it takes to draw a screw; lengths in mm, angles in degrees, blur in pixels, light from 0 to 1."""

    form: str = "60 flat crest"
    pitch: float = 1.5
    major: float = 10.0
    threads: float = 10.6
    starts: int = 1
    taper: float = 0.0
    dpi: float = 1200.0
    stretch: float = 1.0  # rows are this many times closer together than columns
    turn: float = 0.0
    offset: tuple[float, float] = (0.3, 0.1)
    blur: float = 1.0
    noise: float = 0.01
    dark: float = 0.12
    light: float = 0.92
    penumbra: float = 0.0  # share of the light lost beside one edge
    penumbra_px: float = 4.0
    srgb: bool = False
    inverted: bool = False
    margin: int = 40
    head: float = 0.0  # diameter of a head
    disc: float = 0.0  # diameter of a disc beside the screw
    pitch_drift: float = 0.0  # growth of the pitch from end to end, as a far camera never sees it
    seed: int = 1

    @property
    def step(self) -> tuple[float, float]:
        """Millimetres from one column to the next, and from one row to the next."""
        return 25.4 / self.dpi, 25.4 / self.dpi / self.stretch

    @property
    def truth(self) -> dict[str, float]:
        """What the axial profile measures."""
        form = FORMS[self.form]
        return {
            "pitch": self.pitch,
            "major": self.major,
            "minor": self.major - 2 * form.depth * self.pitch,
            "pitch_diameter": self.major - 2 * form.to_pitch_line * self.pitch,
            "flank_angle": form.flank,
            "taper": self.taper,
        }


def silhouette(shadow: Shadow, *, samples: int = 1024, angles: int = 2049) -> Array:
    """Depth of the shadow's edge below its crest, over one pitch that begins at the middle of a crest."""
    form = FORMS[shadow.form]
    where = np.arange(samples) / samples
    reach = np.full(samples, -np.inf)
    for theta in np.linspace(-math.pi / 2, math.pi / 2, angles):
        axial = form.below_crest(where - shadow.starts * theta / (2 * math.pi)) * shadow.pitch
        reach = np.maximum(reach, (shadow.major / 2 - axial) * math.cos(theta))
    return np.asarray(shadow.major / 2 - reach)


def draw(shadow: Shadow) -> NDArray[np.uint8]:
    """The picture: rows by columns, grey levels."""
    step_x, step_y = shadow.step
    z, x, extent = _grid(shadow)
    clear = _clearance(shadow, z, x)
    fine = min(step_x, step_y) / 2
    body = np.clip(0.5 - clear / fine, 0.0, 1.0)
    rim = np.where(x < 0, np.exp(-np.maximum(clear, 0.0) / (shadow.penumbra_px * 2 * fine)), 0.0)
    lit = (1 - shadow.penumbra * rim) * (1 - body)
    if shadow.disc:
        lit *= np.clip(0.5 + _from_disc(shadow, extent) / fine, 0.0, 1.0)
    scene = shadow.dark + (shadow.light - shadow.dark) * lit
    if shadow.inverted:
        scene = shadow.dark + shadow.light - scene
    rows, columns = scene.shape[0] // 2, scene.shape[1] // 2
    coarse = scene.reshape(rows, 2, columns, 2).mean(axis=(1, 3))
    return _expose(shadow, coarse)


def disc_box(shadow: Shadow) -> tuple[int, int, int, int]:
    """Box around the disc: column, row, width, height; a little loose, as a hand draws it."""
    step_x, step_y = shadow.step
    _, _, (width, height) = _frame(shadow)
    centre = width - shadow.disc / 2 - 20 * step_x, height - shadow.disc / 2 - 20 * step_y
    left, top = (centre[0] - shadow.disc / 2) / step_x - 8, (centre[1] - shadow.disc / 2) / step_y - 7
    return round(left), round(top), round(shadow.disc / step_x + 15), round(shadow.disc / step_y + 16)


def _frame(shadow: Shadow) -> tuple[float, float, tuple[float, float]]:
    """Length of the screw, widest diameter, and size of the picture. [mm]"""
    step_x, step_y = shadow.step
    length = shadow.threads * shadow.pitch
    widest = max(shadow.major, shadow.head)
    long = length + (0.5 * shadow.head if shadow.head else 0.0)
    turn = math.radians(shadow.turn)
    across = abs(long * math.cos(turn)) + abs(widest * math.sin(turn)) + 2 * shadow.margin * step_x
    down = abs(long * math.sin(turn)) + abs(widest * math.cos(turn)) + 2 * shadow.margin * step_y
    if not shadow.disc:
        return length, widest, (across, down)
    return length, widest, (max(across, shadow.disc + 40 * step_x), down + shadow.disc + 30 * step_y)


def _grid(shadow: Shadow) -> tuple[Array, Array, tuple[Array, Array]]:
    """Position along and across the screw of every half pixel, and its place in the picture. [mm]"""
    step_x, step_y = shadow.step
    length, _, (width, height) = _frame(shadow)
    columns, rows = math.ceil(width / step_x), math.ceil(height / step_y)
    right = (np.arange(2 * columns) + 0.5)[None, :] * step_x / 2
    down = (np.arange(2 * rows) + 0.5)[:, None] * step_y / 2
    turn = math.radians(shadow.turn)
    middle = height / 2 - (shadow.disc / 2 + 15 * step_y if shadow.disc else 0.0)
    u = right - width / 2 - shadow.offset[0] * step_x
    v = down - middle - shadow.offset[1] * step_y
    lengthwise = u * math.cos(turn) + v * math.sin(turn)
    across = v * math.cos(turn) - u * math.sin(turn)
    shift = -0.25 * shadow.head
    place = np.broadcast_arrays(right, down)
    return lengthwise + length / 2 + shift, across, (place[0], place[1])


def _clearance(shadow: Shadow, z: Array, x: Array) -> Array:
    """Distance outside the screw's outline, negative inside. [mm]"""
    table = silhouette(shadow)
    samples = len(table)
    length = shadow.threads * shadow.pitch
    along = z / shadow.pitch - shadow.pitch_drift * z / shadow.pitch * (z / length - 0.5) / 2
    side = np.where(x > 0, 0.0, 0.5 * shadow.starts)
    at = ((along + side) % 1.0) * samples
    low = np.floor(at).astype(np.intp) % samples
    depth = table[low] + (at - np.floor(at)) * (table[(low + 1) % samples] - table[low])
    slope = np.gradient(np.concatenate([table, table, table]))[samples : 2 * samples][low]
    edge = shadow.major / 2 + shadow.taper / 2 * (z - length / 2) - depth
    clear = (np.abs(x) - edge) / np.hypot(1.0, slope * samples / shadow.pitch)
    if shadow.head:
        head = np.maximum(np.abs(x) - shadow.head / 2, np.maximum(-z - 0.5 * shadow.head, z - 0.2))
        return np.asarray(np.minimum(head, np.maximum(clear, np.maximum(-z, z - length))))
    return np.asarray(np.maximum(clear, np.maximum(-z, z - length)))


def _from_disc(shadow: Shadow, place: tuple[Array, Array]) -> Array:
    """Distance outside the disc in the lower right corner. [mm]"""
    step_x, step_y = shadow.step
    _, _, (width, height) = _frame(shadow)
    centre = width - shadow.disc / 2 - 20 * step_x, height - shadow.disc / 2 - 20 * step_y
    return np.asarray(np.hypot(place[0] - centre[0], place[1] - centre[1]) - shadow.disc / 2)


def _expose(shadow: Shadow, scene: Array) -> NDArray[np.uint8]:
    """Blur, encode, add noise, and round to 8 bits."""
    seen = ndimage.gaussian_filter(scene, shadow.blur, mode="nearest")
    if shadow.srgb:
        seen = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
    seen = seen + np.random.default_rng(shadow.seed).normal(0.0, shadow.noise, seen.shape)
    return np.asarray(np.clip(np.round(seen * 255), 0, 255), dtype=np.uint8)


def random_shadow(number: int, **fixed: Any) -> Shadow:
    """One of a long row of different pictures, the same each time for the same number."""
    draw_from = np.random.default_rng(1000 + number)
    form = COMMON[number % len(COMMON)]
    pitch = float(draw_from.choice([1.0, 1.058, 1.25, 1.27, 1.411, 1.5, 1.75, 2.0, 2.54]))
    if form == "30 trapezoidal":
        pitch = max(pitch, 1.5)
    shadow = Shadow(
        form=form,
        pitch=pitch,
        major=pitch * float(draw_from.uniform(4.5, 9.0)),
        threads=float(draw_from.uniform(10.6, 11.6)),
        stretch=1 + 0.003 * float(draw_from.uniform(-1, 1)),
        turn=float(draw_from.uniform(-6, 6)),
        offset=(float(draw_from.uniform(-0.5, 0.5)), float(draw_from.uniform(-0.5, 0.5))),
        blur=float(draw_from.uniform(0.6, 1.6)),
        noise=float(draw_from.uniform(0.003, 0.02)),
        dark=float(draw_from.uniform(0.04, 0.2)),
        light=float(draw_from.uniform(0.8, 0.97)),
        penumbra=float(draw_from.choice([0.0, 0.15, 0.3])),
        penumbra_px=float(draw_from.uniform(2.0, 6.0)),
        srgb=bool(draw_from.integers(2)),
        inverted=bool(draw_from.integers(5) == 0),
        seed=number,
    )
    return replace(shadow, **fixed)
