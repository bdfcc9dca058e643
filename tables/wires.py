"""Wires laid in a thread: best size, allowed range, size over wires, effective diameter from it.

Everything is for symmetric forms and external threads.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from threadwright.tables.errors import TableError
from threadwright.tables.form import Form
from threadwright.tables.system import Array
from threadwright.tables.wire_contact import contact_correction, lead_angle

__all__ = ["WireConstants", "lead_correction", "size_over_wires", "wire_constants", "wire_correction"]

CLOSED_BELOW = 5.0
"""Lead angle up to which the closed correction is used: there it lies within 0.6 per cent of the exact
contact of a best wire. [deg]"""


class WireConstants(NamedTuple):
    """What wires need to know of a symmetric form, for a pitch of one."""

    diameter_factor: float
    """1 + cosec(alpha): what one unit of wire diameter adds to the size over wires."""
    pitch_factor: float
    """(1/2) cot(alpha): what one unit of pitch takes from it."""
    best: float
    """Best wire: touches at the pitch line, so that the flank angle hardly matters."""
    least: float
    """Thinnest wire that stands proud of the crests."""
    greatest: float
    """Thickest wire that still touches the straight flanks."""


def wire_constants(form: Form) -> WireConstants:
    r"""Wire constants of a symmetric form.

    .. math:: M = E + w (1 + \csc \alpha) - \tfrac{P}{2} \cot \alpha

    Parameters
    ----------
    form : Form

    Returns
    -------
    WireConstants
        All over the pitch, or without unit. [-]

    Raises
    ------
    TableError
        If the form is asymmetric.

    References
    ----------
    Machinery's Handbook 31st ed. p. 2127 (60 deg: 3, 0.86603, 0.57735; 55 deg: 3.16568, 0.96049, 0.56369);
    the range by geometry: a wire touches the flank (w/2) cos(a) cot(a) - H/2 outside the pitch line.

    Examples
    --------
    >>> from threadwright.tables.iso_metric import ISO_FORM
    >>> [round(x, 5) for x in wire_constants(ISO_FORM)]
    [3.0, 0.86603, 0.57735, 0.50518, 1.01036]
    """
    if not form.symmetric:
        raise TableError(f"{form.name}: wires need a symmetric form; measure the flanks apart")
    alpha = math.radians(form.flank_angle)
    cot, csc = 1 / math.tan(alpha), 1 / math.sin(alpha)
    half = form.height / 2
    return WireConstants(
        1 + csc,
        cot / 2,
        1 / (2 * math.cos(alpha)),
        2 * (half + form.addendum) / (1 + csc),
        2 * (half + form.straight_addendum) / (math.cos(alpha) * cot),
    )


def lead_correction(
    *, flank_angle: Array | float, lead: Array | float, pitch_diameter: Array | float, wire: Array | float
) -> Array:
    r"""What the slope of the thread adds to the size over wires, for leads up to about 5 degrees.

    .. math:: c = \frac{w}{2} \cos\alpha \cot\alpha \frac{L^2}{\pi^2 E (E + w \sin\alpha)}

    Parameters
    ----------
    flank_angle : array or float
        One flank. [deg]
    lead, pitch_diameter, wire : array or float
        Lead L, effective diameter E and wire diameter w, in one unit.

    Returns
    -------
    array
        The correction, in the same unit.

    References
    ----------
    Second order in the lead; for best wires it lies up to 0.003 um above the exact contact of wire and flank
    and reproduces the rake corrections of the National Physical Laboratory for M4 to M36 within 0.06 um.

    Examples
    --------
    >>> round(float(lead_correction(flank_angle=30, lead=1.25, pitch_diameter=7.188, wire=0.7217)) * 1000, 2)
    1.58
    """
    alpha = np.radians(flank_angle)
    slope = np.asarray(lead) ** 2 / (math.pi**2 * pitch_diameter * (pitch_diameter + wire * np.sin(alpha)))
    return np.asarray(np.asarray(wire) / 2 * np.cos(alpha) / np.tan(alpha) * slope)


def wire_correction(
    *,
    flank_angle: Array | float,
    pitch: Array | float,
    lead: Array | float,
    pitch_diameter: Array | float,
    wire: Array | float,
) -> Array:
    """What the slope of the thread adds to the size over wires, for every lead angle.

    The closed :func:`lead_correction` up to a lead angle of 5 degrees, the exact contact of wire and flank
    above it.

    Parameters
    ----------
    flank_angle : array or float
        One flank. [deg]
    pitch, lead, pitch_diameter, wire : array or float
        Pitch, lead, effective diameter and wire diameter, in one unit.

    Returns
    -------
    array
        The correction, in the same unit; NaN where a wire finds no rest on the flanks of a steep thread.

    References
    ----------
    See :func:`lead_correction` and :func:`threadwright.tables.wire_contact.contact_correction`.

    Examples
    --------
    A two-start Acme thread of one inch pitch at 12 degrees: M - E is 0.63095 in print.

    >>> slope = wire_correction(flank_angle=14.5, pitch=1.0, lead=2.0, pitch_diameter=2.995, wire=0.50535)
    >>> round(float(slope) + 0.50535 * 4.993929 - 1.933357, 4)
    0.6309
    """
    closed = lead_correction(flank_angle=flank_angle, lead=lead, pitch_diameter=pitch_diameter, wire=wire)
    steep = np.broadcast_to(lead_angle(lead=lead, pitch_diameter=pitch_diameter) > CLOSED_BELOW, closed.shape)
    if not steep.any():
        return closed
    columns = (
        np.broadcast_to(c, closed.shape)[steep] for c in (flank_angle, pitch, lead, pitch_diameter, wire)
    )
    names = ("flank_angle", "pitch", "lead", "pitch_diameter", "wire")
    corrected = closed.copy()
    corrected[steep] = contact_correction(**dict(zip(names, columns, strict=True)))
    return corrected


def size_over_wires(
    *,
    flank_angle: Array | float,
    pitch: Array | float,
    lead: Array | float,
    pitch_diameter: Array,
    wire: float,
) -> Array:
    """Size over three wires, or two in a floating carriage, of symmetric threads.

    Parameters
    ----------
    flank_angle : array or float
        One flank. [deg]
    pitch, lead : array or float
        Pitch and lead. [mm]
    pitch_diameter : array
        Effective diameter. [mm]
    wire : float
        Wire diameter. [mm]

    Returns
    -------
    array
        Size over wires, M. [mm]

    References
    ----------
    Machinery's Handbook 31st ed. pp. 2127-2131.

    Examples
    --------
    The best wire on a basic M10x1.5:

    >>> m = size_over_wires(
    ...     flank_angle=30.0, pitch=1.5, lead=1.5, pitch_diameter=np.array([9.026]), wire=0.866
    ... )
    >>> m.round(3)
    array([10.327])
    """
    alpha = np.radians(flank_angle)
    slope = wire_correction(
        flank_angle=flank_angle, pitch=pitch, lead=lead, pitch_diameter=pitch_diameter, wire=wire
    )
    flat = pitch_diameter + wire * (1 + 1 / np.sin(alpha)) - np.asarray(pitch) / 2 / np.tan(alpha)
    return np.asarray(flat + slope)
