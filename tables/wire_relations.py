"""Relations of shop measurement over wires and balls: two wires, one wire, balls in a nut, flattening."""

from __future__ import annotations

import math

from threadwright.tables.errors import TableError

__all__ = [
    "elastic_compression",
    "over_wires_from_one_wire",
    "pitch_diameter_between_balls",
    "pitch_diameter_from_ball_ends",
    "pitch_diameter_under_wires",
    "span_of_offset_balls",
]


def pitch_diameter_under_wires(under: float, *, flank_angle: float, pitch: float, wire: float) -> float:
    r"""Effective diameter from the size under two wires, without the lead-angle correction.

    .. math:: E = T + P, \quad P = \tfrac{p}{2} \cot\alpha - w (\csc\alpha - 1)

    Parameters
    ----------
    under : float
        Size under the wires, T: the size over them less two wires, square to the axis. [mm]
    flank_angle : float
        One flank. [deg]
    pitch, wire : float
        Pitch and wire diameter. [mm]

    Returns
    -------
    float
        Effective diameter. [mm]

    References
    ----------
    Two-wire method of the floating-carriage machine, National Physical Laboratory, Notes on Screw Gauges.

    Examples
    --------
    >>> round(pitch_diameter_under_wires(8.5927, flank_angle=30.0, pitch=1.5, wire=0.866), 3)
    9.026
    """
    alpha = math.radians(flank_angle)
    return under + pitch / 2 / math.tan(alpha) - wire * (1 / math.sin(alpha) - 1)


def over_wires_from_one_wire(over_one: float, *, crest: float) -> float:
    r"""Size over wires from a measurement over one wire and the opposite crest.

    .. math:: M = 2 M_1 - d

    Parameters
    ----------
    over_one : float
        Mean of two readings over one wire, half a turn apart. [mm]
    crest : float
        Major diameter as it is, measured at the same place. [mm]

    Returns
    -------
    float
        Size over wires. [mm]

    References
    ----------
    Geometry; the wear of the crest enters in full.

    Examples
    --------
    >>> round(over_wires_from_one_wire(10.1124, crest=9.900), 4)
    10.3248
    """
    return 2 * over_one - crest


def pitch_diameter_between_balls(gap: float, *, flank_angle: float, pitch: float, ball: float) -> float:
    r"""Effective diameter of an internal thread from the gap between two balls in its grooves.

    .. math:: E = g + w (1 + \csc\alpha) - \tfrac{p}{2} \cot\alpha

    Parameters
    ----------
    gap : float
        Gap between the inner faces of the balls, g, square to the axis. [mm]
    flank_angle : float
        One flank. [deg]
    pitch, ball : float
        Pitch and ball diameter w. [mm]

    Returns
    -------
    float
        Effective diameter. [mm]

    References
    ----------
    Geometry of two balls on opposite sides; see :func:`span_of_offset_balls` for balls half a pitch apart.

    Examples
    --------
    >>> round(pitch_diameter_between_balls(7.7747, flank_angle=30.0, pitch=1.5, ball=0.85), 4)
    9.0257
    """
    alpha = math.radians(flank_angle)
    return gap + ball * (1 + 1 / math.sin(alpha)) - pitch / 2 / math.tan(alpha)


def pitch_diameter_from_ball_ends(span: float, *, flank_angle: float, pitch: float, ball: float) -> float:
    r"""Effective diameter of an internal thread from an inside micrometer with ball ends.

    .. math:: E = s + w (\csc\alpha - 1) - \tfrac{p}{2} \cot\alpha

    Parameters
    ----------
    span : float
        Size over the ball ends, s. [mm]
    flank_angle : float
        One flank. [deg]
    pitch, ball : float
        Pitch and ball diameter w. [mm]

    Returns
    -------
    float
        Effective diameter. [mm]

    References
    ----------
    Geometry; the same contact as :func:`pitch_diameter_between_balls`.

    Examples
    --------
    >>> round(pitch_diameter_from_ball_ends(9.4747, flank_angle=30.0, pitch=1.5, ball=0.85), 4)
    9.0257
    """
    return pitch_diameter_between_balls(span - 2 * ball, flank_angle=flank_angle, pitch=pitch, ball=ball)


def span_of_offset_balls(centres: float, *, pitch: float) -> float:
    r"""Distance of ball centres square to the axis, from that of two balls half a pitch apart.

    .. math:: 2 R = \sqrt{K^2 - (p / 2)^2}

    Parameters
    ----------
    centres : float
        Distance of the centres as measured, K. [mm]
    pitch : float
        Pitch; the two grooves on opposite sides lie half a pitch apart. [mm]

    Returns
    -------
    float
        Distance square to the axis. [mm]

    Raises
    ------
    TableError
        If the centres are nearer than half a pitch.

    Examples
    --------
    >>> round(span_of_offset_balls(8.65, pitch=1.5), 4)
    8.6174
    """
    if not centres > pitch / 2:
        raise TableError(
            f"ball centres: {centres} mm is not above half the pitch of {pitch} mm; "
            "give the distance between the centres"
        )
    return math.sqrt(centres**2 - (pitch / 2) ** 2)


def elastic_compression(
    force: float,
    *,
    flank_angle: float,
    pitch_diameter: float,
    wire: float,
    elastic_modulus: float = 207e3,
    poisson: float = 0.29,
) -> float:
    r"""How much too small a size over three wires reads under a force, estimated.

    Every contact of wire and flank is a Hertz contact of a cylinder of radius w / 2 with one of radius
    (E / 2) / sin(alpha) across it; a flank carries F / (2 sin(alpha)). The one wire sees the whole force,
    each of the two wires half of it; the flattening at the anvils is left out (below 0.5 um).

    Parameters
    ----------
    force : float
        Measuring force. [N]
    flank_angle : float
        One flank. [deg]
    pitch_diameter, wire : float
        Effective diameter and wire. [mm]
    elastic_modulus, poisson : float
        Of wire and screw; hardened steel if left out. [MPa, -]

    Returns
    -------
    float
        Estimate of the amount to add to the size over wires. [mm]

    Raises
    ------
    TableError
        If the force is negative.

    References
    ----------
    K. L. Johnson, Contact Mechanics, 1985, section 4.2 (from memory).

    Examples
    --------
    >>> round(elastic_compression(10.0, flank_angle=30.0, pitch_diameter=9.026, wire=0.866) * 1000, 1)
    3.8
    """
    if not force >= 0:
        raise TableError(f"measuring force: cannot use {force} N; give 0 N or more, like 5 N")
    sin = math.sin(math.radians(flank_angle))
    stiffness = elastic_modulus / (2 * (1 - poisson**2))

    def flattening(load: float) -> float:
        return _crossed_cylinders(load / (2 * sin), wire / 2, pitch_diameter / 2 / sin, stiffness)

    return (flattening(force) + flattening(force / 2)) / sin


def _elliptic(e: float) -> tuple[float, float]:
    """Complete elliptic integrals K and E of the modulus e, by the arithmetic-geometric mean."""
    a, b, total, weight = 1.0, math.sqrt(1 - e * e), e * e / 2, 1.0
    while a - b > 1e-15:
        a, b, c = (a + b) / 2, math.sqrt(a * b), (a - b) / 2
        total += weight * c * c
        weight *= 2
    return math.pi / (2 * a), math.pi / (2 * a) * (1 - total)


def _crossed_cylinders(load: float, radius: float, other: float, stiffness: float) -> float:
    """Approach of two cylinders at right angles, by Hertz. [mm]"""
    if load == 0:
        return 0.0
    least, greatest = sorted((1 / (2 * radius), 1 / (2 * other)))
    low, high = 1e-6, 1 - 1e-12
    for _ in range(80):
        e = (low + high) / 2
        first, second = _elliptic(e)
        ratio = (second / (1 - e * e) - first) / (first - second)
        low, high = (e, high) if ratio < greatest / least else (low, e)
    first, second = _elliptic(low)
    major = math.cbrt(3 * load * (first - second) / (2 * math.pi * low**2 * stiffness * least))
    return 3 * load * first / (2 * math.pi * major * stiffness)
