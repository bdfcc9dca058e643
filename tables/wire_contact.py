"""How a straight wire really lies in a screw thread.

The closed lead-angle corrections of :mod:`~threadwright.tables.wires` are series in the lead angle; here
the wire is laid against the flank helicoid itself.
"""

from __future__ import annotations

import math

import numpy as np

from threadwright.tables.errors import TableError
from threadwright.tables.system import Array

__all__ = [
    "contact_best_wire",
    "contact_correction",
    "first_order_correction",
    "lead_angle",
]

_STEPS = 30
_CLOSE = 1e-13  # of the radius of the wire: below the noise of binary floats in a size over wires
_LEVEL = 1e-9  # slope left at the point of contact


def lead_angle(*, lead: Array | float, pitch_diameter: Array | float) -> Array:
    r"""Lead angle at the effective diameter.

    .. math:: \tan \lambda = L / (\pi E)

    Parameters
    ----------
    lead, pitch_diameter : array or float
        Lead L and effective diameter E, in one unit.

    Returns
    -------
    array
        Lead angle. [deg]

    References
    ----------
    Machinery's Handbook, 31st edition, p. 2127.

    Examples
    --------
    >>> round(float(lead_angle(lead=1.0, pitch_diameter=5.35)), 2)
    3.4
    """
    return np.asarray(np.degrees(np.arctan(np.asarray(lead) / (math.pi * np.asarray(pitch_diameter)))))


def first_order_correction(
    *, flank_angle: Array | float, lead: Array | float, pitch_diameter: Array | float, wire: Array | float
) -> Array:
    r"""The usual printed lead-angle term, first order in :math:`\tan^2 \lambda`.

    .. math:: c = \frac{w}{2} \tan^2 \lambda \cos\alpha \cot\alpha

    Parameters
    ----------
    flank_angle : array or float
        One flank. [deg]
    lead, pitch_diameter, wire : array or float
        Lead L, effective diameter E and wire w, in one unit.

    Returns
    -------
    array
        What the slope adds to the size over wires; too large by about the share (w / E) sin(alpha).

    References
    ----------
    Machinery's Handbook, 31st edition, p. 2127, after National Bureau of Standards Handbook H28.

    Examples
    --------
    >>> term = first_order_correction(flank_angle=30, lead=1.25, pitch_diameter=7.188, wire=0.7217)
    >>> round(float(term) * 1000, 2)
    1.66
    """
    alpha = np.radians(flank_angle)
    slope = np.asarray(lead) / (math.pi * np.asarray(pitch_diameter))
    return np.asarray(np.asarray(wire) / 2 * slope**2 * np.cos(alpha) / np.tan(alpha))


def contact_correction(
    *,
    flank_angle: Array | float,
    pitch: Array | float,
    lead: Array | float,
    pitch_diameter: Array | float,
    wire: Array | float,
) -> Array:
    r"""What the slope of the thread adds to the size over wires, by the exact contact of wire and flank.

    A straight wire, tilted by :math:`\lambda'` about the radius on which it lies, rests on the flank
    helicoid at the height

    .. math:: R(\lambda') = \max_{r, \varphi} \left( r \cos\varphi + \sqrt{w^2/4 - s^2} \right),
        \quad s = z \cos\lambda' - r \sin\varphi \sin\lambda',
        \quad z = \frac{L \varphi}{2 \pi} + \frac{p}{4} + (r - E/2) \tan\alpha

    and turns until it lies deepest: :math:`M = 2 \min R + w`. The saddle point is found by Newton steps on
    all threads at once.

    Parameters
    ----------
    flank_angle : array or float
        One flank. [deg]
    pitch, lead, pitch_diameter, wire : array or float
        Pitch p, lead L, effective diameter E and wire w, in one unit.

    Returns
    -------
    array
        M less its value without lead, in the same unit; NaN where the wire finds no rest on the flanks.

    References
    ----------
    Geometry; agrees with the rake corrections of the National Physical Laboratory, Notes on Screw Gauges,
    Appendix 7, and with the table for multiple-start Acme threads in Machinery's Handbook, 31st edition,
    p. 2136.

    Examples
    --------
    >>> exact = contact_correction(flank_angle=30, pitch=1.25, lead=1.25, pitch_diameter=7.188, wire=0.7217)
    >>> round(float(exact) * 1000, 2)
    1.58
    """
    columns = np.broadcast_arrays(
        np.radians(flank_angle), *(np.asarray(c, float) for c in (pitch, lead, pitch_diameter, wire))
    )
    alpha, p, advance, middle, w = (np.atleast_1d(c).ravel() for c in columns)
    flat = middle / 2 + w / 2 / np.sin(alpha) - p / (4 * np.tan(alpha))
    height, _ = _laid(alpha, p, advance / (2 * math.pi), middle, w / 2)
    return np.asarray((2 * (height - flat)).reshape(columns[0].shape))


def contact_best_wire(*, flank_angle: float, pitch: float, lead: float, pitch_diameter: float) -> float:
    """Wire that touches the flank helicoid exactly at the effective diameter.

    Parameters
    ----------
    flank_angle : float
        One flank. [deg]
    pitch, lead, pitch_diameter : float
        Pitch, lead and effective diameter, in one unit.

    Returns
    -------
    float
        Wire diameter, in the same unit; the best wire of the form for a small lead, thinner for a steep one.

    Raises
    ------
    TableError
        If no wire rests at the effective diameter.

    References
    ----------
    Geometry of :func:`contact_correction`; Machinery's Handbook, 31st edition, p. 2136, w1.

    Examples
    --------
    >>> round(contact_best_wire(flank_angle=14.5, pitch=1.0, lead=2.0, pitch_diameter=3.6105), 4)
    0.5086
    """
    alpha, p, middle = (np.array([x]) for x in (math.radians(flank_angle), pitch, pitch_diameter))
    climb = np.array([lead / (2 * math.pi)])

    def proud(wire: float) -> float:
        """How far outside the effective diameter the wire touches."""
        return float(_laid(alpha, p, climb, middle, np.array([wire / 2]))[1][0]) - pitch_diameter / 2

    least, most = (share * pitch / (2 * math.cos(math.radians(flank_angle))) for share in (0.8, 1.05))
    if not proud(least) < 0 < proud(most):
        raise TableError(
            f"lead: no wire rests at an effective diameter of {pitch_diameter} with a lead of {lead}; "
            "give the lead and the effective diameter in one unit"
        )
    for _ in range(60):
        wire = (least + most) / 2
        least, most = (wire, most) if proud(wire) < 0 else (least, wire)
    return wire


def _laid(alpha: Array, p: Array, climb: Array, middle: Array, half: Array) -> tuple[Array, Array]:
    """Height of the axis of a wire that has found its rest, and the radius of the contact; NaN for none."""
    tan = np.tan(alpha)
    r = middle / 2 + half / np.sin(alpha) - p / (4 * tan) - half * np.sin(alpha)
    at = np.stack([r, np.zeros_like(r), np.arctan(climb / (middle / 2))], axis=-1)
    at[:, 1] = -(p / 4 + (r - middle / 2) * tan) * np.tan(at[:, 2]) / r
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for _ in range(_STEPS):
            height, gradient, curvature = _resting(at, p, climb, middle, half, tan)
            sound = np.isfinite(curvature).all(axis=(1, 2)) & (np.abs(np.linalg.det(curvature)) > 0)
            safe = np.where(sound[:, None, None], curvature, np.eye(3))
            step = np.linalg.solve(safe, gradient[..., None])[..., 0]
            at = at - step
            if not (np.abs(step[sound]) > _CLOSE * half[sound, None]).any():
                break
        height, gradient, curvature = _resting(at, p, climb, middle, half, tan)
    rests = sound & (np.abs(gradient).max(axis=-1) < _LEVEL)
    rests &= (curvature[:, 0, 0] < 0) & (curvature[:, 1, 1] < 0) & (at[:, 0] > 0)
    return np.where(rests, height, np.nan), np.where(rests, at[:, 0], np.nan)


def _resting(
    at: Array, p: Array, climb: Array, middle: Array, half: Array, tan: Array
) -> tuple[Array, Array, Array]:
    """Height of the wire over a point of the flank; gradient and second derivatives in (r, phi, tilt)."""
    r, phi, tilt = at.T
    sin, cos, down, along = np.sin(phi), np.cos(phi), np.sin(tilt), np.cos(tilt)
    z = climb * phi + p / 4 + (r - middle / 2) * tan
    s = z * along - r * sin * down
    q = np.sqrt(half**2 - s**2)
    first = np.stack([tan * along - sin * down, climb * along - r * cos * down, -z * down - r * sin * along])
    second = np.empty((3, 3, r.size))
    second[0, 0] = 0.0
    second[0, 1] = second[1, 0] = -cos * down
    second[0, 2] = second[2, 0] = -tan * down - sin * along
    second[1, 1] = r * sin * down
    second[1, 2] = second[2, 1] = -climb * down - r * cos * along
    second[2, 2] = -z * along + r * sin * down
    gradient = -s * first / q
    curvature = -(first[:, None] * first[None, :] * half**2 / q**2 + s * second) / q
    gradient[0] += cos
    gradient[1] -= r * sin
    curvature[0, 1] -= sin
    curvature[1, 0] -= sin
    curvature[1, 1] -= r * cos
    return r * cos + q, gradient.T, np.moveaxis(curvature, -1, 0)
