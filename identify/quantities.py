"""Lengths, angles and pitches given as text or as quantities of a units library.

A quantity of any registry is accepted from library callers; a bare number is refused for want of a unit.
"""

from __future__ import annotations

import math
from typing import Any, Protocol

from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import shorten
from threadwright.units import (
    INCH,
    WRITE_LIKE,
    Dimension,
    check_range,
    parse_angle,
    parse_length,
    parse_pitch,
)

__all__ = ["QuantityLike", "angle_deg", "length_mm", "pitch_mm"]


class QuantityLike(Protocol):
    """A quantity that converts itself, as every registry of pint makes them."""

    def m_as(self, units: Any, /) -> Any:
        """Magnitude in the units named."""


def length_mm(value: str | QuantityLike, *, name: str) -> float:
    """Length of a text or of a quantity.

    Parameters
    ----------
    value : str or quantity
        Text for :func:`parse_length`, or a quantity of any registry.
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Length. [mm]

    Raises
    ------
    ReadingError
        If the value has no unit, is no length, or is not within 0.01 to 2000 mm.

    Examples
    --------
    >>> length_mm("0.5 in", name="depth")
    12.7
    """
    if isinstance(value, str):
        return parse_length(value, name=name)
    found = _magnitude(value, "mm", name=name, dimension="length")
    return check_range(found, name=name, given=shorten(str(value)), dimension="length")


def angle_deg(value: str | QuantityLike, *, name: str) -> float:
    """Angle of a text or of a quantity.

    Parameters
    ----------
    value : str or quantity
        Text for :func:`parse_angle`, or a quantity of any registry.
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Angle. [deg]

    Raises
    ------
    ReadingError
        If the value has no unit, is no angle, or is not between 0 and 180 degrees.

    Examples
    --------
    >>> angle_deg("30 deg", name="flank angle")
    30.0
    """
    if isinstance(value, str):
        return parse_angle(value, name=name)
    found = _magnitude(value, "degree", name=name, dimension="angle")
    return check_range(found, name=name, given=shorten(str(value)), dimension="angle")


def pitch_mm(value: str | QuantityLike, *, name: str) -> float:
    """Pitch of a text or of a quantity, which may be a length or a number per length.

    Parameters
    ----------
    value : str or quantity
        Text for :func:`parse_pitch`, or a quantity of any registry.
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Pitch. [mm]

    Raises
    ------
    ReadingError
        If the value has no unit, is no pitch, or is not within 0.05 to 50 mm.

    Examples
    --------
    >>> pitch_mm("0.05 in", name="pitch")
    1.27
    """
    if isinstance(value, str):
        return parse_pitch(value, name=name)
    try:
        found = _magnitude(value, "mm", name=name, dimension="pitch")
    except ReadingError:
        per_inch = _magnitude(value, "1/inch", name=name, dimension="pitch")
        found = float(INCH) / per_inch if per_inch else math.inf
    return check_range(found, name=name, given=shorten(str(value)), dimension="pitch")


def _magnitude(value: object, unit: str, *, name: str, dimension: Dimension) -> float:
    """Magnitude of a foreign quantity; everything else is refused for want of a unit."""
    convert = getattr(value, "m_as", None)
    given = shorten(str(value))
    if convert is None:
        raise ReadingError(f"{name}: {given} has no unit; write it as text like {WRITE_LIKE[dimension]}")
    try:
        return float(convert(unit))
    except (TypeError, ValueError, AttributeError):
        raise ReadingError(
            f"{name}: {given} is not one {dimension}; write it like {WRITE_LIKE[dimension]}"
        ) from None
