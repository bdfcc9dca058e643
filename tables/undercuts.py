"""Undercuts, runout and overrun of threads by DIN 76-1, by the pitch.

An undercut ends a thread at a shoulder; its diameter is given against the nominal diameter of the thread.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Literal, NamedTuple

from threadwright.tables.errors import TableError
from threadwright.tables.system import Basis, Side, Source

__all__ = [
    "UNDERCUT_SOURCE",
    "Undercut",
    "blind_hole_overrun",
    "runout",
    "shoulder_distance",
    "undercut",
    "undercut_pitches",
]

Length = Literal["normal", "short"]

UNDERCUT_SOURCE = Source(
    "DIN 76-1:2016-08 Tables 1 and 2, reproduced",
    "g1 and the internal form have one witness; P 0.6 external by the 1983 edition, which has g2 1.8 and 1.3 "
    "at P 0.5 external; g2 of the internal short form at P 1.75 is printed 6.1 and 6.4 by two witnesses",
)
OVERRUN_SOURCE = Source("DIN 76-1, table of blind holes, reproduced", "one witness")
RUNOUT_SOURCE = Source("ISO 3508 and DIN 76-1 by the tables of ISO 1580 and DIN 85", "x 2.5 P, a 2 P")
NEAR = 1e-6
"""Two pitches nearer than this are the same. [mm]"""


class Undercut(NamedTuple):
    """One undercut; lengths in mm, ``None`` where the table has a blank."""

    side: Side
    length: Length
    pitch: float
    diameter_offset: float
    """Diameter of the groove less the nominal diameter: negative on a screw, positive in a hole."""
    least_width: float | None
    """Least cylindrical width, g1."""
    greatest_width: float
    """Greatest width with the run-in, g2."""
    radius: float
    basis: Basis
    source: Source


@cache
def _rows(side: Side) -> dict[float, tuple[float, ...]]:
    """Pitch: groove less nominal diameter, g1 normal and short, g2 normal and short, r."""
    text = {
        "external": """
        .4   -.7  -   -   1.4  1.0  .2
        .45  -.7  -   -   1.6  1.1  .2
        .5   -.8  1.1 .5  1.75 1.25 .2
        .6   -1.0 -   -   2.1  1.5  .4
        .7   -1.1 1.5 .8  2.45 1.75 .4
        .8   -1.3 1.7 .9  2.8  2.0  .4
        1    -1.6 2.1 1.1 3.5  2.5  .6
        1.25 -2.0 2.7 1.5 4.4  3.2  .6
        1.5  -2.3 3.2 1.8 5.2  3.8  .8
        1.75 -2.6 3.9 2.1 6.1  4.3  1.0
        2    -3.0 4.5 2.5 7.0  5.0  1.0
        2.5  -3.6 5.6 3.2 8.7  6.3  1.2
        3    -4.4 6.7 3.7 10.5 7.5  1.6
        3.5  -5.0 7.7 4.7 12   9    1.6""",
        "internal": """
        .4   .2 -   -    2.2  1.6  .2
        .45  .2 -   -    2.4  1.7  .2
        .5   .3 2   1.25 2.7  2.0  .2
        .6   .3 -   -    3.3  2.4  .4
        .7   .3 2.8 1.75 3.8  2.75 .4
        .8   .3 3.2 2.0  4.2  3.0  .4
        1    .5 4   2.5  5.2  3.7  .6
        1.25 .5 5   3.2  6.7  4.9  .6
        1.5  .5 6   3.8  7.8  5.6  .8
        1.75 .5 7   4.3  9.1  6.4  1.0
        2    .5 8   5    10.3 7.3  1.0
        2.5  .5 10  6.3  13.0 9.3  1.2
        3    .5 12  7.5  15.2 10.7 1.6
        3.5  .5 14  9    17.7 12.7 1.6""",
    }[side]
    lines = [line.split() for line in text.splitlines() if line.strip()]
    return {float(p): tuple(math.nan if c == "-" else float(c) for c in cells) for p, *cells in lines}


@cache
def _overruns() -> dict[float, float]:
    """Pitch and overrun e1 of the normal form."""
    text = """
    .2 1.3; .25 1.5; .3 1.8; .35 2.1; .4 2.3; .45 2.6; .5 2.8; .6 3.4; .7 3.8; .75 4.0; .8 4.2; 1 5.1
    1.25 6.2; 1.5 7.3; 1.75 8.3; 2 9.3; 2.5 11.2; 3 13.1; 3.5 15.2; 4 16.8; 4.5 18.4; 5 20.8; 5.5 22.4
    6 24.0"""
    pairs = [pair.split() for pair in text.replace("\n", ";").split(";") if pair.strip()]
    return {float(pitch): float(overrun) for pitch, overrun in pairs}


def undercut_pitches(side: Side) -> tuple[float, ...]:
    """Pitches that the undercut table of one side holds. [mm]"""
    return tuple(_rows(side))


def _pitch(wanted: float, held: tuple[float, ...], what: str) -> float:
    """The tabulated pitch that is meant."""
    for pitch in held:
        if abs(pitch - wanted) < NEAR:
            return pitch
    near = min(held, key=lambda pitch: abs(pitch - wanted))
    raise TableError(
        f"pitch: the table of {what} holds no {wanted} mm; the nearest it holds is {near:g} mm "
        f"({held[0]:g} to {held[-1]:g} mm)"
    )


def undercut(side: Side, pitch: float, length: Length = "normal") -> Undercut:
    """Undercut of a thread.

    Parameters
    ----------
    side : {"external", "internal"}
    pitch : float
        A pitch of the table, 0.4 to 3.5. [mm]
    length : {"normal", "short"}, optional

    Returns
    -------
    Undercut

    Raises
    ------
    TableError
        If the table does not hold the pitch; for an inch pitch ask for the next larger one.

    References
    ----------
    DIN 76-1:2016-08 Tables 1 and 2.

    Examples
    --------
    >>> groove = undercut("external", 1.5)
    >>> groove.diameter_offset, groove.least_width, groove.greatest_width, groove.radius
    (-2.3, 3.2, 5.2, 0.8)
    """
    held = _pitch(pitch, undercut_pitches(side), f"{side} undercuts")
    offset, g1, g1_short, g2, g2_short, radius = _rows(side)[held]
    least, greatest = (g1, g2) if length == "normal" else (g1_short, g2_short)
    blank = math.isnan(least)
    return Undercut(
        side, length, held, offset, None if blank else least, greatest, radius, "table", UNDERCUT_SOURCE
    )


def blind_hole_overrun(pitch: float) -> float:
    """Least distance from the last full thread of a tapped blind hole to the end of its drilled cylinder, e1.

    Parameters
    ----------
    pitch : float
        A pitch of the table, 0.2 to 6. [mm]

    Returns
    -------
    float
        Overrun of the normal form. [mm]

    Raises
    ------
    TableError
        If the table does not hold the pitch.

    References
    ----------
    DIN 76-1, table of blind holes.

    Examples
    --------
    >>> blind_hole_overrun(1.25)
    6.2
    """
    return _overruns()[_pitch(pitch, tuple(_overruns()), "blind-hole overruns")]


def runout(pitch: float, length: Length = "normal") -> float:
    r"""Greatest runout of an external thread, the incomplete thread before a shoulder or a shank.

    .. math:: x_{max} = 2.5 P, \quad \text{short } 1.25 P

    Parameters
    ----------
    pitch : float
        Pitch. [mm]
    length : {"normal", "short"}, optional
        The short form is from memory.

    Returns
    -------
    float
        Runout, not rounded as the tables round it. [mm]

    Raises
    ------
    TableError
        If the pitch is not positive.

    References
    ----------
    ISO 3508 and DIN 76-1.

    Examples
    --------
    >>> runout(1.5)
    3.75
    """
    if not pitch > 0:
        raise TableError(f"pitch: cannot use {pitch} mm; give a pitch above 0, like 1.5 mm")
    return (2.5 if length == "normal" else 1.25) * pitch


def shoulder_distance(pitch: float) -> float:
    r"""Greatest distance of the last full thread from the bearing face of a head threaded to it, a.

    .. math:: a_{max} = 2 P

    Parameters
    ----------
    pitch : float
        Pitch. [mm]

    Returns
    -------
    float
        Distance. [mm]

    Raises
    ------
    TableError
        If the pitch is not positive.

    References
    ----------
    ISO 1580 and DIN 85 after DIN 76-1.

    Examples
    --------
    >>> shoulder_distance(0.8)
    1.6
    """
    if not pitch > 0:
        raise TableError(f"pitch: cannot use {pitch} mm; give a pitch above 0, like 1.5 mm")
    return 2 * pitch
