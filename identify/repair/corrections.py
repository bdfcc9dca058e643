"""Corrections of strip strength: bell mouth, dilation, and the bending of both threads.

They belong to the model of ISO/TR 16224 (after SAE 770420), whose strip loads are ``0.6 Rm A C1 C2``
for the screw thread and ``0.6 Rm A C1 C3`` for the tapped one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from threadwright.engagement import external_shear_area

__all__ = [
    "bell_mouth_area",
    "dilation_factor",
    "screw_thread_factor",
    "strip_ratio",
    "tapped_thread_factor",
]

Array = NDArray[np.float64]

BELL_MOUTH_SHARE = 0.4  # of the length of engagement, ISO/TR 16224:2012 4.2.3.1
BELL_MOUTH_WIDENING = 1.026  # of the internal minor diameter, same clause


def bell_mouth_area(
    *,
    length: ArrayLike,
    pitch: ArrayLike,
    internal_minor: ArrayLike,
    external_pitch_diameter: ArrayLike,
    flank_angle: float,
) -> Array:
    r"""External shear area in a hole that is bell-mouthed over 40 % of its length.

    .. math:: A'_{Ss} = 0.6\,A_{Ss}(D_1) + 0.4\,A_{Ss}(1.026\,D_1)

    Parameters
    ----------
    length, pitch, internal_minor, external_pitch_diameter, flank_angle
        As for :func:`external_shear_area`. [mm, deg]

    Returns
    -------
    float or array (n,)
        Shear area. [mm2]

    Raises
    ------
    JobError
        If the flank angle is not between 0 and 60 deg.

    References
    ----------
    ISO/TR 16224:2012, 4.2.3.1, after SAE 770420; read second-hand.

    Examples
    --------
    >>> sizes = {"length": 1.0, "pitch": 1.5, "external_pitch_diameter": 8.862, "flank_angle": 30.0}
    >>> float(bell_mouth_area(internal_minor=8.676, **sizes).round(2))
    14.77
    """
    bore = np.asarray(internal_minor, dtype=np.float64)
    areas = [
        external_shear_area(
            length=length,
            pitch=pitch,
            internal_minor=diameter,
            external_pitch_diameter=external_pitch_diameter,
            flank_angle=flank_angle,
        )
        for diameter in (bore, bore * BELL_MOUTH_WIDENING)
    ]
    return np.asarray((1 - BELL_MOUTH_SHARE) * areas[0] + BELL_MOUTH_SHARE * areas[1])


def strip_ratio(
    *,
    internal_strength: ArrayLike,
    internal_area: ArrayLike,
    external_strength: ArrayLike,
    external_area: ArrayLike,
) -> Array:
    r"""Ratio of the strip strengths of the tapped thread and of the screw thread.

    .. math:: R_s = \frac{R_{m,n} A_{Sn}}{R_{m,s} A'_{Ss}}

    Parameters
    ----------
    internal_strength, external_strength : float or array (n,)
        Tensile strength of the tapped metal and of the screw. [MPa]
    internal_area, external_area : float or array (n,)
        Their shear areas. [mm2]

    Returns
    -------
    float or array (n,)
        Strip ratio. [-]

    References
    ----------
    ISO/TR 16224:2012, 4.2.3.

    Examples
    --------
    >>> float(strip_ratio(internal_strength=130, internal_area=21.5, external_strength=400,
    ...                   external_area=14.5).round(3))
    0.482
    """
    above = np.asarray(internal_strength, dtype=np.float64) * np.asarray(internal_area, dtype=np.float64)
    return np.asarray(above / (np.asarray(external_strength) * np.asarray(external_area)), dtype=np.float64)


def dilation_factor(width_over_diameter: ArrayLike) -> Array:
    r"""Loss of strip strength because the metal round the hole opens, C1.

    .. math:: C_1 = -(s/D)^2 + 3.8\,(s/D) - 2.61

    Parameters
    ----------
    width_over_diameter : float or array (n,)
        Width across flats, or outside diameter of a round boss, over the major diameter. [-]

    Returns
    -------
    float or array (n,)
        C1: 1 from 1.9 upwards, NaN below 1.4, where the source gives no value. [-]

    Notes
    -----
    One transcription prints 2.6 for the last constant; only 2.61 meets 1 at s/D = 1.9.

    References
    ----------
    ISO/TR 16224:2012, 4.2.3; read second-hand. A round boss by its outside diameter: from memory.

    Examples
    --------
    >>> dilation_factor([1.3, 1.4, 1.6, 2.5]).round(2)
    array([ nan, 0.75, 0.91, 1.  ])
    """
    ratio = np.asarray(width_over_diameter, dtype=np.float64)
    curve = -(ratio**2) + 3.8 * ratio - 2.61
    return np.asarray(np.where(ratio >= 1.9, 1.0, np.where(ratio < 1.4, np.nan, curve)))


def screw_thread_factor(ratio: ArrayLike) -> Array:
    """Loss of strip strength of the screw thread as both threads bend, C2.

    Parameters
    ----------
    ratio : float or array (n,)
        Strip ratio, Rs. [-]

    Returns
    -------
    float or array (n,)
        C2: 0.897 up to 1, NaN from 2.2 upwards, where the source gives no value. [-]

    References
    ----------
    ISO/TR 16224:2012, 4.2.3, after SAE 770420; read second-hand.

    Examples
    --------
    >>> screw_thread_factor([0.5, 1.0, 1.5, 2.0]).round(3)
    array([0.897, 0.897, 1.104, 1.167])
    """
    value = np.asarray(ratio, dtype=np.float64)
    curve = 5.594 - 13.682 * value + 14.107 * value**2 - 6.057 * value**3 + 0.9353 * value**4
    return np.asarray(np.where(value <= 1.0, 0.897, np.where(value >= 2.2, np.nan, curve)))


def tapped_thread_factor(ratio: ArrayLike) -> Array:
    """Loss of strip strength of the tapped thread as both threads bend, C3.

    Parameters
    ----------
    ratio : float or array (n,)
        Strip ratio, Rs. [-]

    Returns
    -------
    float or array (n,)
        C3: 0.897 from 1 upwards, NaN below 0.4, where the source gives no value. [-]

    References
    ----------
    ISO/TR 16224:2012, 4.2.3, after SAE 770420; read second-hand.

    Examples
    --------
    >>> tapped_thread_factor([0.3, 0.4, 0.6, 0.8, 1.5]).round(3)
    array([ nan, 1.055, 1.027, 0.953, 0.897])
    """
    value = np.asarray(ratio, dtype=np.float64)
    curve = 0.728 + 1.769 * value - 2.896 * value**2 + 1.296 * value**3
    return np.asarray(np.where(value >= 1.0, 0.897, np.where(value < 0.4, np.nan, curve)))
