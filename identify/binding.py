"""One screw in one hole: the room on the flanks, and the turns before it binds.

A rigid model on mean sizes: the diametral clearance on the effective diameter pays for the mismatch
of the flank angles first; what is left is axial play, and the difference of the pitches eats it up
turn by turn. Chamfer, burrs and spring add about one turn (common practice, no source).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from threadwright.tables.thread import Array

__all__ = ["extra_interference", "flank_mismatch", "free_turns"]


def flank_mismatch(*, depth: ArrayLike, flank_external: ArrayLike, flank_internal: ArrayLike) -> Array:
    r"""Diametral clearance taken up by flanks of different angles.

    .. math:: \delta E = h \, (\delta\alpha_1 + \delta\alpha_2) / \sin 2\alpha

    Parameters
    ----------
    depth : array or float
        Depth of straight flank in contact, h. [mm]
    flank_external, flank_internal : array or float
        One flank of the screw and of the hole. [deg]

    Returns
    -------
    array
        Clearance on the effective diameter that is used up. [mm]

    References
    ----------
    National Physical Laboratory, Notes on Screw Gauges, section 3.4 (its contents page; teaching slides).

    Examples
    --------
    A Whitworth screw of 12 tpi in a Unified hole:

    >>> round(float(flank_mismatch(depth=0.4925 * 25.4 / 12, flank_external=27.5, flank_internal=30.0)), 3)
    0.108
    """
    mean = np.radians((np.asarray(flank_external) + np.asarray(flank_internal)) / 2)
    apart = np.radians(np.abs(np.asarray(flank_external) - np.asarray(flank_internal)))
    return np.asarray(np.asarray(depth) * 2 * apart / np.sin(2 * mean))


def free_turns(
    *, clearance: ArrayLike, flank_angle: ArrayLike, pitch_external: ArrayLike, pitch_internal: ArrayLike
) -> Array:
    r"""Threads that engage freely before the difference of the pitches uses up the play.

    .. math:: N = C \tan\alpha / |P_m - P_f|

    Parameters
    ----------
    clearance : array or float
        Diametral clearance on the effective diameter, D2 - d2, less the flank mismatch. [mm]
    flank_angle : array or float
        Mean flank angle. [deg]
    pitch_external, pitch_internal : array or float
        Pitches. [mm]

    Returns
    -------
    array
        Number of threads; 0 where there is no clearance, inf where the pitches are equal. [-]

    Examples
    --------
    A 2 BA screw in an M5x0.8 nut at basic sizes (clearance 0.265 mm, pitches 0.81 and 0.80 mm):

    >>> turns = free_turns(clearance=0.265, flank_angle=26.9, pitch_external=0.81, pitch_internal=0.8)
    >>> round(float(turns), 1)
    13.4
    """
    play = np.maximum(np.asarray(clearance, dtype=np.float64), 0.0) * np.tan(np.radians(flank_angle))
    drift = np.abs(np.asarray(pitch_external, dtype=np.float64) - np.asarray(pitch_internal))
    room = np.asarray(clearance) >= 0
    with np.errstate(divide="ignore", invalid="ignore"):
        turns = np.where(drift > 0, play / np.where(drift > 0, drift, 1.0), np.inf)
    return np.asarray(np.where(room, turns, 0.0))


def extra_interference(
    *, flank_angle: ArrayLike, pitch_external: ArrayLike, pitch_internal: ArrayLike
) -> Array:
    r"""Interference on the effective diameter that each further turn adds once the screw binds.

    .. math:: |P_m - P_f| \cot\alpha

    Parameters
    ----------
    flank_angle : array or float
        Mean flank angle. [deg]
    pitch_external, pitch_internal : array or float
        Pitches. [mm]

    Returns
    -------
    array
        Interference for each turn. [mm]

    Examples
    --------
    >>> added = extra_interference(
    ...     flank_angle=28.75, pitch_external=25.4 / 12, pitch_internal=25.4 / 13
    ... )
    >>> round(float(added) / 25.4, 4)
    0.0117
    """
    drift = np.abs(np.asarray(pitch_external, dtype=np.float64) - np.asarray(pitch_internal))
    return np.asarray(drift / np.tan(np.radians(flank_angle)))
