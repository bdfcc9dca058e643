"""Geometry of one screw in one hole: overlap, tensile stress areas, shear areas, lengths of engagement.

Every function takes floats or arrays in mm and degrees, any symmetrical flank angle.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from threadwright.tables.errors import JobError

__all__ = [
    "end_of_straight_flank",
    "external_shear_area",
    "internal_shear_area",
    "length_for_screw_to_break",
    "length_for_shear_at_pitch_line",
    "overlap",
    "percent_engagement",
    "tensile_stress_area",
]

Array = NDArray[np.float64]


def _tangent(flank_angle: float) -> float:
    """Tangent of one flank angle, refused outside 0 to 60 degrees."""
    if not 0.0 <= flank_angle <= 60.0:
        raise JobError(
            f"flank angle: {flank_angle} deg is not the angle of one flank; give 0 to 60 deg, e.g. 30"
        )
    return math.tan(math.radians(flank_angle))


def tensile_stress_area(*, pitch_diameter: ArrayLike, root_diameter: ArrayLike) -> Array:
    r"""Area on which a screw breaks in tension, for a thread of any form.

    .. math:: A_s = \frac{\pi}{4} \left(\frac{d_2 + d_3}{2}\right)^2

    Parameters
    ----------
    pitch_diameter : float or array (n,)
        Basic pitch (effective) diameter of the screw, d2. [mm]
    root_diameter : float or array (n,)
        Basic root (core) diameter of the screw, d3. [mm]

    Returns
    -------
    float or array (n,)
        Tensile stress area. [mm2]

    References
    ----------
    ISO 898-1 and ISO/TR 16224:2012, 4.2.2.2: d3 = d - 1.226869 P, so the mean is d - 0.938194 P.
    FED-STD-H28/2B (1991), Table II.B.1 (1b): d - 0.974279 P. Whitworth and BA: mean of the effective
    and core diameters, d - 0.960491 P and d - 0.9 P.

    Examples
    --------
    >>> float(tensile_stress_area(pitch_diameter=7.188, root_diameter=6.466).round(1))
    36.6
    """
    mean = (np.asarray(pitch_diameter, dtype=np.float64) + np.asarray(root_diameter, dtype=np.float64)) / 2
    return np.asarray(math.pi / 4 * mean**2)


def end_of_straight_flank(crest_diameter: ArrayLike, *, crest_radius: ArrayLike, flank_angle: float) -> Array:
    r"""Diameter where the straight flank of an external thread ends and the rounded crest begins.

    .. math:: d_e = d - 2 r (1 - \sin\alpha)

    Parameters
    ----------
    crest_diameter : float or array (n,)
        Major diameter of the external thread, d. [mm]
    crest_radius : float or array (n,)
        Radius of the crest, 0 for a flat one. [mm]
    flank_angle : float
        Angle of one flank. [deg]

    Returns
    -------
    float or array (n,)
        Diameter at the end of the straight flank. [mm]

    Raises
    ------
    JobError
        If the flank angle is not between 0 and 60 deg.

    References
    ----------
    Geometry of a radius tangent to both flanks; Whitworth d - 0.1478 P, BA d - 0.2160 P.

    Examples
    --------
    >>> float(end_of_straight_flank(10.0, crest_radius=0.137329, flank_angle=27.5).round(4))
    9.8522
    """
    _tangent(flank_angle)
    crest = np.asarray(crest_diameter, dtype=np.float64)
    radius = np.asarray(crest_radius, dtype=np.float64)
    return np.asarray(crest - 2 * radius * (1 - math.sin(math.radians(flank_angle))))


def internal_shear_area(
    *,
    length: ArrayLike,
    pitch: ArrayLike,
    external_major: ArrayLike,
    internal_pitch_diameter: ArrayLike,
    flank_angle: float,
) -> Array:
    r"""Area on which the internal thread shears, at the crest of the screw.

    .. math:: A_{Sn} = \frac{\pi L_e}{P} d_{min} \left[\frac{P}{2} + \tan\alpha\,(d_{min} - D_{2max})\right]

    Parameters
    ----------
    length : float or array (n,)
        Length of full engaged thread. [mm]
    pitch : float or array (n,)
        Pitch. [mm]
    external_major : float or array (n,)
        Least major diameter of the external thread; with a rounded crest, no further out than
        :func:`end_of_straight_flank`. [mm]
    internal_pitch_diameter : float or array (n,)
        Greatest pitch diameter of the internal thread. [mm]
    flank_angle : float
        Angle of one flank. [deg]

    Returns
    -------
    float or array (n,)
        Shear area, 0 where the threads do not overlap. [mm2]

    Raises
    ------
    JobError
        If the flank angle is not between 0 and 60 deg.

    References
    ----------
    FED-STD-H28/2B (1991), formula (2a), written for any flank angle.

    Examples
    --------
    >>> float(internal_shear_area(length=1.0, pitch=1.5, external_major=9.732,
    ...                           internal_pitch_diameter=9.206, flank_angle=30.0).round(2))
    21.48
    """
    run = np.asarray(length, dtype=np.float64) / np.asarray(pitch, dtype=np.float64)
    crest = np.asarray(external_major, dtype=np.float64)
    reach = crest - np.asarray(internal_pitch_diameter, dtype=np.float64)
    width = np.asarray(pitch, dtype=np.float64) / 2 + _tangent(flank_angle) * reach
    return np.asarray(math.pi * np.maximum(run, 0.0) * crest * np.maximum(width, 0.0))


def external_shear_area(
    *,
    length: ArrayLike,
    pitch: ArrayLike,
    internal_minor: ArrayLike,
    external_pitch_diameter: ArrayLike,
    flank_angle: float,
) -> Array:
    r"""Area on which the external thread shears, at the crest of the tapped hole.

    .. math:: A_{Ss} = \frac{\pi L_e}{P} D_{1max} \left[\frac{P}{2} + \tan\alpha\,(d_{2min} - D_{1max})\right]

    Parameters
    ----------
    length : float or array (n,)
        Length of full engaged thread. [mm]
    pitch : float or array (n,)
        Pitch. [mm]
    internal_minor : float or array (n,)
        Greatest minor diameter of the internal thread. [mm]
    external_pitch_diameter : float or array (n,)
        Least pitch diameter of the external thread. [mm]
    flank_angle : float
        Angle of one flank. [deg]

    Returns
    -------
    float or array (n,)
        Shear area, 0 where the threads do not overlap. [mm2]

    Raises
    ------
    JobError
        If the flank angle is not between 0 and 60 deg.

    References
    ----------
    FED-STD-H28/2B (1991), formula (4a), written for any flank angle.

    Examples
    --------
    >>> area = external_shear_area(length=25.4, pitch=25.4 / 13, internal_minor=0.434 * 25.4,
    ...                            external_pitch_diameter=0.4435 * 25.4, flank_angle=30.0)
    >>> float((area / 25.4**2).round(4))
    0.7789
    """
    run = np.asarray(length, dtype=np.float64) / np.asarray(pitch, dtype=np.float64)
    bore = np.asarray(internal_minor, dtype=np.float64)
    reach = np.asarray(external_pitch_diameter, dtype=np.float64) - bore
    width = np.asarray(pitch, dtype=np.float64) / 2 + _tangent(flank_angle) * reach
    return np.asarray(math.pi * np.maximum(run, 0.0) * bore * np.maximum(width, 0.0))


def overlap(*, external_major: ArrayLike, internal_minor: ArrayLike) -> Array:
    """Radial depth over which the threads cover each other, ``(d - D1) / 2``, never below 0.

    Parameters
    ----------
    external_major : float or array (n,)
        Major diameter of the screw, d. [mm]
    internal_minor : float or array (n,)
        Minor diameter of the hole, D1. [mm]

    Returns
    -------
    float or array (n,)
        Overlap. [mm]

    Examples
    --------
    >>> float(overlap(external_major=8.0, internal_minor=6.8).round(3))
    0.6
    """
    gap = np.asarray(external_major, dtype=np.float64) - np.asarray(internal_minor, dtype=np.float64)
    return np.asarray(np.maximum(gap, 0.0) / 2)


def percent_engagement(
    *, external_major: ArrayLike, internal_minor: ArrayLike, pitch: ArrayLike, depth_over_pitch: float
) -> Array:
    """Overlap in per cent of the full basic depth of the form.

    Parameters
    ----------
    external_major : float or array (n,)
        Major diameter of the screw, d. [mm]
    internal_minor : float or array (n,)
        Minor diameter of the hole, D1. [mm]
    pitch : float or array (n,)
        Pitch. [mm]
    depth_over_pitch : float
        Full depth over pitch: 0.541266 (60 deg, 5H/8), 0.640327 (Whitworth), 0.6 (BA); most shop
        charts for 60 deg divide by 0.649519 (3H/4) and print a smaller figure. [-]

    Returns
    -------
    float or array (n,)
        Engagement. [%]

    References
    ----------
    Machinery's Handbook: hole = D - 1.08253 P X for 60 deg, D - 1.29904 P X for the older charts.

    Examples
    --------
    >>> hole = {"external_major": 6.35, "internal_minor": 0.201 * 25.4, "pitch": 1.27}
    >>> float(percent_engagement(**hole, depth_over_pitch=0.541266).round(1))
    90.5
    >>> float(percent_engagement(**hole, depth_over_pitch=0.649519).round(1))
    75.4
    """
    full = np.asarray(pitch, dtype=np.float64) * depth_over_pitch
    return np.asarray(100 * overlap(external_major=external_major, internal_minor=internal_minor) / full)


def length_for_shear_at_pitch_line(*, stress_area: ArrayLike, pitch_diameter: ArrayLike) -> Array:
    r"""Length at which the screw breaks before its thread shears at the pitch line.

    .. math:: L_e = \frac{4 A_s}{\pi d_2}

    Parameters
    ----------
    stress_area : float or array (n,)
        Tensile stress area. [mm2]
    pitch_diameter : float or array (n,)
        Basic pitch diameter of the screw. [mm]

    Returns
    -------
    float or array (n,)
        Length of engagement; shear strength is taken as half the tensile strength. [mm]

    References
    ----------
    FED-STD-H28/2B (1991), formula (13).

    Examples
    --------
    >>> inch = 25.4
    >>> length = length_for_shear_at_pitch_line(stress_area=0.1419 * inch**2, pitch_diameter=0.45 * inch)
    >>> float((length / inch).round(3))
    0.401
    """
    circle = math.pi * np.asarray(pitch_diameter, dtype=np.float64)
    return np.asarray(4 * np.asarray(stress_area, dtype=np.float64) / circle)


def length_for_screw_to_break(
    *, stress_area: ArrayLike, shear_area_per_length: ArrayLike, strength_ratio: ArrayLike = 1.0
) -> Array:
    r"""Length at which the screw breaks before a thread of known shear area strips.

    .. math:: L_e = \frac{2 A_s}{A_S / L} \Big/ R_2, \quad R_2 = R_{m,n} / R_{m,s}

    Parameters
    ----------
    stress_area : float or array (n,)
        Tensile stress area of the screw. [mm2]
    shear_area_per_length : float or array (n,)
        Shear area of the thread for one millimetre of engagement. [mm2/mm]
    strength_ratio : float or array (n,), optional
        Tensile strength of the shearing metal over that of the screw, 1 for the screw's own thread. [-]

    Returns
    -------
    float or array (n,)
        Length of engagement; shear strength is taken as half the tensile strength. [mm]

    References
    ----------
    FED-STD-H28/2B (1991), formulas (14) and (16); BS 3580:1964 also takes shear as half the tensile
    strength.

    Examples
    --------
    >>> inch = 25.4
    >>> length = length_for_screw_to_break(stress_area=0.1419 * inch**2, shear_area_per_length=0.77895 * inch)
    >>> float((length / inch).round(3))
    0.364
    """
    twice = (
        2 * np.asarray(stress_area, dtype=np.float64) / np.asarray(shear_area_per_length, dtype=np.float64)
    )
    return np.asarray(twice / np.asarray(strength_ratio, dtype=np.float64))
