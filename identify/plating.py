"""A plated thread: how thick the plating is, what it adds to each diameter, how much of it a class takes."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from threadwright import judgement
from threadwright.tables.errors import NumberError, ReadingError
from threadwright.tables.numbers import format_decimal, parse_number, shorten
from threadwright.units import split_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.diameters import Size
    from threadwright.tables.form import Form
    from threadwright.tables.thread import Limits, Thread

__all__ = ["Plating", "bare", "growth", "limit_when_plated", "parse_plating", "thickest"]

_UNITS: Final[Mapping[str, Fraction]] = MappingProxyType(
    {
        "um": Fraction(1, 1000),
        "\u00b5m": Fraction(1, 1000),
        "\u03bcm": Fraction(1, 1000),
        "mm": Fraction(1),
        "thou": Fraction(127, 5000),
        "in": Fraction(127, 5),
    }
)
_PLUS_MINUS: Final = re.compile(r"\+/?-|±")
_LIKE: Final = "write it like '8 um', '8 um +- 2 um', '5..12 um' or '0.3 thou'"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plating:
    """Thickness of a coating, square to the surface, and its standard uncertainty. [mm]"""

    thickness: float
    u: float


def parse_plating(text: str) -> Plating:
    """Read the thickness of a plating.

    Parameters
    ----------
    text : str
        A thickness, with its uncertainty or as a range: ``"8 um"``, ``"8 um +- 2 um"``, ``"5..12 um"``. One
        alone is taken to be known to a quarter of itself.

    Returns
    -------
    Plating

    Raises
    ------
    ReadingError
        If it cannot be read, or no plating is so thin or so thick.

    Examples
    --------
    >>> parse_plating("8 um")
    Plating(thickness=0.008, u=0.002)
    """
    body, *doubt = _PLUS_MINUS.split(text)
    first, *last = body.split("..")
    if len(doubt) > 1 or len(last) > 1 or (doubt and last):
        raise ReadingError(f"plating: cannot read {shorten(text)}; {_LIKE}")
    unit = next((one for part in (first, *last, *doubt) if (one := split_unit(part)[1])), "")
    low = _thickness(first, unit, text)
    if last:
        high = _thickness(last[0], unit, text)
        if not low < high:
            raise ReadingError(f"plating: {shorten(text)} is not in order; write the smaller end first")
        return Plating(thickness=(low + high) / 2, u=(high - low) / math.sqrt(12))
    u = _thickness(doubt[0], unit, text) if doubt else judgement.PLATING_U_SHARE * low
    if not u < low:
        raise ReadingError(f"plating: {shorten(text)} is no thicker than its doubt; {_LIKE}")
    return Plating(thickness=low, u=u)


def _thickness(part: str, unit: str, text: str) -> float:
    number, own = split_unit(part)
    factor = _UNITS.get(own or unit)
    try:
        value = parse_number(number)
    except NumberError:
        raise ReadingError(f"plating: cannot read {shorten(text)}; {_LIKE}") from None
    if factor is None:
        fault = "has no unit" if not (own or unit) else f"has an unknown unit {shorten(own or unit)}"
        raise ReadingError(f"plating: {shorten(text)} {fault}; {_LIKE}")
    found = float(value * factor)
    if not 0 < found <= judgement.THICKEST_PLATING_MM:
        most = format_decimal(1000 * judgement.THICKEST_PLATING_MM)
        raise ReadingError(f"plating: {shorten(text)} is impossible; write one above 0 and up to {most} um")
    return found


def growth(form: Form, quantity: str) -> float:
    r"""What a plating adds to a diameter of a screw, or takes from one of a hole, over its thickness.

    .. math:: \Delta d = 2 t, \quad \Delta d_2 = 2 t / \sin\alpha

    Parameters
    ----------
    form : Form
        Unlike flanks count each by its own angle.
    quantity : {"major", "pitch_diameter", "minor"}

    Returns
    -------
    float
        [-]

    References
    ----------
    Geometry; ISO 4042 takes the same four times the thickness for 60 degrees.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [round(growth(find_thread(name).form, "pitch_diameter"), 3) for name in ("M8", "3/8-20 BSF", "2 BA")]
    [4.0, 4.331, 4.966]
    """
    if quantity != "pitch_diameter":
        return 2.0
    clear = form.flank_angle if form.flank_angle_clear is None else form.flank_angle_clear
    flanks = [math.radians(angle) for angle in (form.flank_angle, clear)]
    return 2 * sum(1 / math.cos(angle) for angle in flanks) / sum(math.tan(angle) for angle in flanks)


def bare(thread: Thread, side: str, size: Size, plating: Plating) -> Size:
    """A diameter below its plating.

    Parameters
    ----------
    thread : Thread
    side : {"external", "internal"}
    size : Size
        As it was measured on the plated part. [mm]
    plating : Plating

    Returns
    -------
    Size
        The doubt of the thickness is added to that of the reading. [mm]

    Examples
    --------
    >>> from threadwright.diameters import Size
    >>> from threadwright.tables.registry import find_thread
    >>> read = Size(quantity="major", label="major", low=7.9, high=7.9, u=0.006, instrument="micrometer")
    >>> found = bare(find_thread("M8"), "external", read, Plating(thickness=0.008, u=0.002))
    >>> round(found.low, 3), round(found.u, 4)
    (7.884, 0.0072)
    """
    factor = growth(thread.form, size.quantity)
    off = (-1 if side == "external" else 1) * factor * plating.thickness
    beside = factor * plating.u
    return replace(
        size,
        label=f"bare {size.label}",
        low=size.low + off,
        high=size.high + off,
        u=math.hypot(size.u, beside),
        u_beside=beside,
    )


def limit_when_plated(thread: Thread, side: str, quantity: str) -> float | None:
    """Size that the plated thread may reach but not pass: the basic one.

    Parameters
    ----------
    thread : Thread
    side : {"external", "internal"}
    quantity : {"major", "pitch_diameter", "minor"}

    Returns
    -------
    float or None
        Greatest size of a screw, least size of a hole; None for a root, which has no such limit. [mm]

    References
    ----------
    ISO 965-1: limits hold before coating, and the coated thread stays inside the most metal of positions h
    and H; ASME B1.1 the same for classes 2A and 2B. BS 84 and BS 93 call the allowance one for plating. All
    from memory.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> limit_when_plated(find_thread("M8"), "external", "major")
    8.0
    """
    root = "minor" if side == "external" else "major"
    if quantity == root:
        return None
    return float(getattr(thread, f"{quantity}_basic")) * thread.to_mm


def thickest(thread: Thread, limits: Limits) -> tuple[float, float] | None:
    """Allowance of a class on the pitch diameter, and the thickest plating that it takes at its worst limit.

    Parameters
    ----------
    thread : Thread
    limits : Limits
        In mm.

    Returns
    -------
    tuple of float or None
        Allowance and thickness, 0 where the class leaves no room; None where it has no pitch diameter limits.
        [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> allowance, plating = thickest(find_thread("M8"), find_thread("M8").limits("external", "6g"))
    >>> round(allowance, 3), round(plating, 4)
    (0.028, 0.007)
    """
    basic = float(thread.pitch_diameter_basic) * thread.to_mm
    if limits.side == "external":
        room = basic - limits.pitch_diameter_max
    else:
        room = limits.pitch_diameter_min - basic
    if not math.isfinite(room):
        return None
    room = max(room, 0.0)
    return room, room / growth(thread.form, "pitch_diameter")
