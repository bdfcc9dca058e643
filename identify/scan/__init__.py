"""Readings from a picture: the shadow of a screw on a flatbed scan or a backlit photograph.

From the file to readings: :mod:`~threadwright.scan.image` finds the screw, :mod:`~threadwright.scan.edges`
its outline, :mod:`~threadwright.scan.axis` the axis and the threads, :mod:`~threadwright.scan.profile` sizes
and uncertainties.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from threadwright.readings import Pitch, Reading, Readings
from threadwright.scan.image import Scale, parse_box
from threadwright.scan.profile import Measured
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from pathlib import Path

    from threadwright.scan.edges import Edges
    from threadwright.scan.image import Box, Screw

__all__ = ["Measured", "Scale", "ScanResult", "parse_box", "scan"]

SCHEMA_VERSION = 1
_SAME_IN_U = 3.0  # flanks, or a taper from none, count as different from here


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanResult:
    """What a picture shows of an external thread, each value with a standard uncertainty.

    Attributes
    ----------
    pitch, major, minor, pitch_diameter : Measured
        Sizes of the axial profile; diameters at the middle of the visible thread. [mm]
    flank_first, flank_second : Measured
        Angle of the flanks that face the start of the picture's rows (its top, if the axis is upright) and
        their end. [deg]
    taper : Measured
        Growth of the diameter over the length, without sign: 1/16 is 0.0625. [-]
    threads : int
        Whole threads used on the side that shows fewer.
    starts : int
        1 for an odd number of starts, 2 for an even one: a shadow shows no more.
    turn_deg : float
        Angle of the axis to the rows, or to the columns if it is upright. [deg]
    blur_pixels : float
        Standard deviation of the edges. [pixels]
    dark_on_light, srgb : bool
        Whether the screw was darker than its ground; whether grey levels were read as encoded by sRGB.
    scale : Scale
        Scale of the picture.
    notes : tuple of str
        What a reader should know.
    """

    pitch: Measured
    major: Measured
    minor: Measured
    pitch_diameter: Measured
    flank_first: Measured
    flank_second: Measured
    taper: Measured
    threads: int
    starts: int
    turn_deg: float
    blur_pixels: float
    dark_on_light: bool
    srgb: bool
    scale: Scale
    notes: tuple[str, ...]

    @property
    def flank_angle(self) -> Measured | None:
        """Mean of both flanks [deg]; None if they differ by more than their doubt and two degrees."""
        first, second = self.flank_first, self.flank_second
        u = (first.u**2 + second.u**2) ** 0.5
        if abs(first.value - second.value) > _SAME_IN_U * u + 2.0:
            return None
        return Measured((first.value + second.value) / 2, max(first.u, second.u))

    @property
    def tapered(self) -> bool:
        """Whether the diameter grows along the thread beyond doubt."""
        return self.taper.value > _SAME_IN_U * self.taper.u and self.taper.value > 0.01

    def readings(self) -> Readings:
        """Readings for :func:`threadwright.ranking.identify`.

        Returns
        -------
        Readings
            Pitch, major, pitch and minor diameter, the flank angle if both flanks are alike, and the taper as
            two diameters at the ends of the visible thread. The minor diameter is left out where the root is
            hidden.
        """
        names = ("major", "pitch_diameter") if self.minor_hidden else ("major", "pitch_diameter", "minor")
        given: dict[str, Any] = {}
        for name in names:
            size: Measured = getattr(self, name)
            given[name] = Reading(name, round(size.value, 5), round(size.u, 5), instrument="scan")
        flank = self.flank_angle
        if flank is not None:
            given["flank_angle"] = Reading(
                "flank_angle", round(flank.value, 2), round(flank.u, 2), "deg", instrument="scan"
            )
        length = (self.threads - 1) * self.pitch.value
        ends = (self.major.value + sign * self.taper.value * length / 2 for sign in (-1, 1))
        taper = " mm and ".join(f"{end:.4f}" for end in ends) + f" mm {length:.4f} mm apart"
        value, u = round(self.pitch.value, 5), round(self.pitch.u, 5)
        pitch = Pitch(
            kind="measured", value_mm=value, u_mm=u, text=f"{value:.4f} +- {u:.4f} mm", instrument="scan"
        )
        return Readings(pitch=pitch, taper=taper, **given)

    @property
    def minor_hidden(self) -> bool:
        """Whether the shadow of the next turns hides the root, so that the minor diameter is too large."""
        return any(note.startswith("minor diameter") for note in self.notes)

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        names = ("pitch", "major", "minor", "pitch_diameter", "flank_first", "flank_second", "taper")
        units = {"flank_first": "deg", "flank_second": "deg", "taper": "1"}
        return {
            "schema_version": SCHEMA_VERSION,
            "sizes": {
                name: {
                    "value": getattr(self, name).value,
                    "u": getattr(self, name).u,
                    "unit": units.get(name, "mm"),
                }
                for name in names
            },
            "threads": self.threads,
            "starts": self.starts,
            "turn_deg": self.turn_deg,
            "blur_pixels": self.blur_pixels,
            "dark_on_light": self.dark_on_light,
            "srgb": self.srgb,
            "scale": {
                "x_mm": self.scale.x_mm,
                "y_mm": self.scale.y_mm,
                "u_share": self.scale.u_share,
            },
            "notes": list(self.notes),
        }


def scan(
    path: str | Path,
    *,
    dpi: float | None = None,
    scale_object: str | None = None,
    box: Box | None = None,
    scale: Scale | None = None,
) -> ScanResult:
    """Measure the external thread in a picture.

    Parameters
    ----------
    path : str or Path
        A flatbed scan or a backlit photograph; PNG, JPEG, TIFF, BMP, GIF, WebP or PNM.
    dpi : float, optional
        Pixels in an inch. [1/in]
    scale_object : str, optional
        Size of a disc or upright square beside the screw, as wide as high: ``25.00 mm`` or ``25.00 mm +-
        0.01``.
    box : tuple of float, optional
        Column, row, width and height of a box round that object. [pixels]
    scale : Scale, optional
        A scale known otherwise. One of ``dpi``, ``scale_object`` with ``box``, and ``scale`` is needed.

    Returns
    -------
    ScanResult
        Sizes with standard uncertainties.

    Raises
    ------
    FileFaultError
        If the picture cannot be read.
    ReadingError
        If no scale is given, or the picture cannot be measured; the message says why.
    """
    from threadwright.scan.edges import find_edges, object_scale
    from threadwright.scan.image import cut_box, find_screw, parse_size, read_picture

    _check_ways(dpi, scale_object, box, scale)
    size = None if scale_object is None else parse_size(scale_object)
    if dpi is not None:
        scale = Scale.from_dpi(dpi)
    picture = read_picture(path)
    screw = find_screw(picture, leave_out=box)
    edges = find_edges(screw)
    if box is not None and size is not None:
        part = cut_box(picture, box)
        scale = object_scale(part, size=size[0], u_size=size[1], srgb_share=edges.srgb_share)
    assert scale is not None
    return _measured(screw, edges, scale)


def _check_ways(dpi: float | None, scale_object: str | None, box: Box | None, scale: Scale | None) -> None:
    """Exactly one scale, and a box with its object."""
    if (scale_object is None) != (box is None):
        lacking = "box, like 100,80,600,600" if box is None else "scale object, like '25.00 mm'"
        raise ReadingError(
            f"scale: an object of known size needs its size and a box round it; give the {lacking}"
        )
    if sum(way is not None for way in (dpi, scale_object, scale)) != 1:
        raise ReadingError(
            "scale: give either the dpi or an object of known size with its box, one of the two"
        )


def _measured(screw: Screw, edges: Edges, scale: Scale) -> ScanResult:
    """Measure an outline of known scale."""
    import numpy as np

    from threadwright.scan.axis import align
    from threadwright.scan.profile import Optics, measure

    step = (scale.x_mm + scale.y_mm) / 2
    aligned = align(edges.points * np.array([scale.x_mm, scale.y_mm]), step=step)
    optics = Optics(step, edges.blur * step, edges.u_pixels * step, scale.u_share)
    shape = measure(aligned, optics)
    return ScanResult(
        pitch=shape.pitch,
        major=shape.major,
        minor=shape.minor,
        pitch_diameter=shape.pitch_diameter,
        flank_first=shape.flank_first,
        flank_second=shape.flank_second,
        taper=shape.taper,
        threads=shape.threads,
        starts=shape.starts,
        turn_deg=aligned.turn,
        blur_pixels=edges.blur,
        dark_on_light=screw.dark_on_light,
        srgb=edges.srgb_share > 0.5,
        scale=scale,
        notes=_notes(shape.starts, shape.hidden_root),
    )


def _notes(starts: int, hidden_root: bool) -> tuple[str, ...]:
    """What a reader should know beyond the numbers."""
    notes = ["the shadow of a right-hand and of a left-hand thread is the same; look which way it climbs"]
    if starts == 2:
        notes.append(
            "crests stand across from crests: an even number of starts, taken as two; or rings, no thread"
        )
    if hidden_root:
        notes.append(
            "minor diameter: the roots are too sharp to be seen in a shadow; it is smaller than shown"
        )
    return tuple(notes)
