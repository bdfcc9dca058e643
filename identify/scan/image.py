"""A picture file as grey levels, checked before it costs memory; and its scale."""

from __future__ import annotations

import os
import struct
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from threadwright import judgement
from threadwright.instruments import INSTRUMENTS
from threadwright.tables.errors import FileFaultError, ReadingError
from threadwright.tables.numbers import shorten
from threadwright.units import parse_length, parse_uncertainty

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray
    from PIL.Image import Image as PilImage

__all__ = ["Box", "Scale", "Screw", "cut_box", "find_screw", "parse_box", "parse_size", "read_picture"]

Box = tuple[float, float, float, float]
_FORMATS: Final = ("PNG", "JPEG", "TIFF", "BMP", "GIF", "WEBP", "PPM")
_DAMAGED: Final = (OSError, SyntaxError, ValueError, EOFError, KeyError, IndexError, struct.error, TypeError)
_MARGIN = 8  # pixels kept round the screw


@dataclass(frozen=True, slots=True)
class Scale:
    """Millimetres in a pixel, along the rows and down the columns.

    Attributes
    ----------
    x_mm, y_mm : float
        Distance from one column to the next, and from one row to the next. [mm]
    u_share : float
        Standard uncertainty of each as a share, independent of each other. [-]

    Raises
    ------
    ReadingError
        If a distance is not above zero, or the uncertainty is not from 0 to below 0.5.

    Examples
    --------
    >>> scale = Scale.from_dpi(1200)
    >>> round(scale.x_mm, 6), scale.u_share
    (0.021167, 0.003)
    """

    x_mm: float
    y_mm: float
    u_share: float

    def __post_init__(self) -> None:
        if not (0 < self.x_mm < np.inf and 0 < self.y_mm < np.inf and 0 <= self.u_share < 0.5):
            raise ReadingError(
                f"scale: {self.x_mm!r} by {self.y_mm!r} mm with a share of {self.u_share!r} is impossible; "
                "give millimetres in a pixel above zero, and a share from 0 to below 0.5"
            )

    @classmethod
    def from_dpi(cls, dpi: float) -> Scale:
        """Scale of a scanner's dots per inch, the same in both directions.

        Parameters
        ----------
        dpi : float
            Pixels in an inch. [1/in]

        Returns
        -------
        Scale
            With the standard uncertainty that a dpi figure alone carries.

        Raises
        ------
        ReadingError
            If it is not from 50 to 20000.
        """
        if not 50 <= dpi <= 20000:
            raise ReadingError(
                f"dpi: {dpi:g} is impossible; write the scanner's pixels in an inch from 50 to 20000"
            )
        return cls(25.4 / dpi, 25.4 / dpi, judgement.DPI_U_SHARE)


@dataclass(frozen=True, slots=True)
class Screw:
    """The part of a picture with the screw on it.

    Attributes
    ----------
    grey : array (rows, columns)
        Grey levels, dark screw on light ground whatever the picture was; 0 to 1 as encoded in the file.
    mask : array (rows, columns)
        Whether a pixel belongs to the screw.
    corner : tuple of int
        Column and row of the first pixel in the whole picture.
    dark_on_light : bool
        How the picture was.
    levels : tuple of float
        Grey level of the screw and of the ground.
    """

    grey: NDArray[np.float64]
    mask: NDArray[np.bool_]
    corner: tuple[int, int]
    dark_on_light: bool
    levels: tuple[float, float]


def read_picture(path: str | Path) -> NDArray[np.float32]:
    """Read a picture as grey levels from 0 to 1.

    Parameters
    ----------
    path : str or Path
        A PNG, JPEG, TIFF, BMP, GIF, WebP or PNM file; 8 or 16 bits, grey or colour.

    Returns
    -------
    array (rows, columns)
        Grey levels as encoded in the file. [-]

    Raises
    ------
    FileFaultError
        If Pillow is not installed, or the file is missing, no picture, damaged or too large.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ImportError:
        raise FileFaultError(
            "scan: reading pictures needs Pillow; install it with: pip install 'threadwright[scan]'"
        ) from None
    name = shorten(os.fspath(path))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a damaged file warns before it fails; large ones are refused below
        try:
            with Image.open(path, formats=_FORMATS) as picture:
                _check_size(picture.size, name)
                return _grey(ImageOps.exif_transpose(picture))
        except FileFaultError:
            raise
        except FileNotFoundError:
            raise FileFaultError(f"picture: there is no file {name}; check the path") from None
        except Image.DecompressionBombError:
            raise FileFaultError(
                f"picture: {name} is far too large; crop it to the screw and its scale"
            ) from None
        except UnidentifiedImageError:
            raise FileFaultError(
                f"picture: {name} is not a picture that can be read; save it as PNG, TIFF or JPEG"
            ) from None
        except IsADirectoryError:
            raise FileFaultError(f"picture: {name} is a directory; name a picture in it") from None
        except _DAMAGED as fault:
            raise FileFaultError(
                f"picture: {name} cannot be read ({' '.join(str(fault).split())[:80]}); save it again as PNG"
            ) from None


def _check_size(size: tuple[int, int], name: str) -> None:
    """Refuse too many pixels, from the header alone."""
    pixels, most = size[0] * size[1], judgement.MOST_PIXELS
    if pixels > most:
        raise FileFaultError(
            f"picture: {name} has {pixels / 1e6:.0f} million pixels; crop it to the screw and its scale, "
            f"at most {most / 1e6:.0f} million"
        )


def _grey(picture: PilImage) -> NDArray[np.float32]:
    """Grey levels from 0 to 1 of any mode; what is transparent is white."""
    from PIL import Image

    if picture.mode.startswith("I") or picture.mode == "F":
        levels = np.asarray(picture, dtype=np.float32)
        return np.asarray(np.clip(levels / 65535 if picture.mode != "F" else levels, 0, 1), dtype=np.float32)
    if "A" in picture.mode or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        ground = Image.new("RGBA", clear.size, "white")
        picture = Image.alpha_composite(ground, clear)
    return np.asarray(np.asarray(picture.convert("L")), dtype=np.float32) / np.float32(255)


def find_screw(picture: NDArray[np.float32], *, leave_out: Box | None = None) -> Screw:
    """Find the largest thing in a picture that stands out from its ground.

    Parameters
    ----------
    picture : array (rows, columns)
        Grey levels from 0 to 1.
    leave_out : tuple of float, optional
        Column, row, width and height of a part that is not the screw. [pixels]

    Returns
    -------
    Screw
        The part of the picture that holds it; specks of dust and bright spots inside are ignored.

    Raises
    ------
    ReadingError
        If nothing stands out.
    """
    from scipy import ndimage

    if min(picture.shape) < 32:
        raise ReadingError(
            f"picture: {picture.shape[1]} by {picture.shape[0]} pixels hold no screw; scan at 1200 dpi"
        )
    low, high = _two_levels(picture)
    middle = (low + high) / 2
    rim = np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])
    dark_on_light = float(np.mean(rim > middle)) >= 0.5
    mask = picture < middle if dark_on_light else picture >= middle
    if leave_out is not None:
        left, top, right, bottom = _corners(leave_out, picture.shape)
        mask[top:bottom, left:right] = False
    labels, count = ndimage.label(mask)
    if count == 0:
        raise ReadingError("picture: nothing but the object in the box stands out; put the screw beside it")
    largest = 1 + int(np.argmax(np.bincount(labels.ravel())[1:]))
    rows, columns = ndimage.find_objects(labels, max_label=largest)[largest - 1]
    top, left = max(rows.start - _MARGIN, 0), max(columns.start - _MARGIN, 0)
    part = (slice(top, rows.stop + _MARGIN), slice(left, columns.stop + _MARGIN))
    whole = ndimage.binary_fill_holes(labels[part] == largest)
    grey = np.asarray(picture[part], dtype=np.float64)
    if dark_on_light:
        return Screw(grey, np.asarray(whole, dtype=np.bool_), (left, top), True, (low, high))
    return Screw(1 - grey, np.asarray(whole, dtype=np.bool_), (left, top), False, (1 - high, 1 - low))


def _two_levels(picture: NDArray[np.float32]) -> tuple[float, float]:
    """Grey level of what is dark and of what is light, by the split that leaves least scatter in each."""
    counts, edges = np.histogram(picture, bins=256, range=(0.0, 1.0))
    centres = (edges[:-1] + edges[1:]) / 2
    below, total = np.cumsum(counts), counts.sum()
    sums = np.cumsum(counts * centres)
    with np.errstate(invalid="ignore", divide="ignore"):
        between = (sums[-1] * below - sums * total) ** 2 / (below * (total - below))
    split = centres[int(np.nanargmax(np.where(np.isfinite(between), between, -1.0)))]
    dark, light = picture[picture <= split], picture[picture > split]
    if not (dark.size and light.size) or np.median(light) - np.median(dark) < judgement.LEAST_CONTRAST:
        raise ReadingError(
            "picture: nothing stands out in it; scan the screw on a light ground with the lid open in a dark "
            "room, or photograph it against the light"
        )
    return float(np.median(dark)), float(np.median(light))


def _corners(box: Box, shape: tuple[int, ...]) -> tuple[int, int, int, int]:
    """Whole pixels of a box: left, top, right, bottom."""
    x, y, width, height = box
    inside = 0 <= x and 0 <= y and x + width <= shape[1] and y + height <= shape[0]
    if not (inside and width >= 16 and height >= 16):
        raise ReadingError(
            f"box: {x:g},{y:g},{width:g},{height:g} does not lie in the picture of {shape[1]} by {shape[0]} "
            "pixels; write column, row, width and height, at least 16 pixels each way"
        )
    return int(x), int(y), int(np.ceil(x + width)), int(np.ceil(y + height))


def cut_box(picture: NDArray[np.float32], box: Box) -> NDArray[np.float32]:
    """The part of a picture inside a box.

    Parameters
    ----------
    picture : array (rows, columns)
        Grey levels.
    box : tuple of float
        Column, row, width and height. [pixels]

    Returns
    -------
    array (rows, columns)
        That part.

    Raises
    ------
    ReadingError
        If the box is not inside the picture, or smaller than 16 pixels.
    """
    left, top, right, bottom = _corners(box, picture.shape)
    return picture[top:bottom, left:right]


def parse_box(text: str) -> Box:
    """Read a box in a picture.

    Parameters
    ----------
    text : str
        Column, row, width and height in pixels, parted by commas.

    Returns
    -------
    tuple of float
        The four numbers. [pixels]

    Raises
    ------
    ReadingError
        If they are not four numbers.

    Examples
    --------
    >>> parse_box("900,80,600,600")
    (900.0, 80.0, 600.0, 600.0)
    """
    try:
        x, y, width, height = (float(part) for part in text.split(","))
    except ValueError:
        raise ReadingError(
            f"box: cannot read {shorten(text)}; write column, row, width and height, like '900,80,600,600'"
        ) from None
    return x, y, width, height


def parse_size(text: str) -> tuple[float, float]:
    """Size of the object that gives the scale, and its standard uncertainty.

    Parameters
    ----------
    text : str
        Length, perhaps with an uncertainty: ``25.00 mm`` or ``25.00 mm +- 0.01``; without one it was measured
        with a digital caliper.

    Returns
    -------
    tuple of float
        Size and standard uncertainty. [mm]

    Raises
    ------
    ReadingError
        If it cannot be read.

    Examples
    --------
    >>> parse_size("25.00 mm")
    (25.0, 0.02)
    >>> parse_size("1 in +- 0.0005 in")
    (25.4, 0.0127)
    """
    value_text, _, u_text = text.partition("+-")
    size = parse_length(value_text, name="scale object")
    if not u_text:
        u_mm = INSTRUMENTS["digital caliper"].u_mm
        assert u_mm is not None
        return size, u_mm
    u_text = u_text.strip()
    if not u_text[-1:].isalpha():
        u_text += " " + value_text.strip().split()[-1]
    return size, parse_uncertainty(u_text, name="scale object", dimension="length", of=size)
