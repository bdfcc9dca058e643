"""Wire thread inserts: the hole they ask for, their lengths, and how deep to drill and tap."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadwright.tables.thread import Thread

__all__ = ["LENGTHS", "InsertHole", "drilling_depth", "insert_hole", "thread_depth"]

LENGTHS = (1.0, 1.5, 2.0, 2.5, 3.0)
"""Usual lengths over the nominal diameter, ASME B18.29.1."""

_DRILL_ALLOWANCE_UP_TO_MM = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertHole:
    """Basic sizes of the tapped hole for a wire thread insert. [mm]"""

    major_mm: float
    pitch_diameter_mm: float
    minor_mm: float
    estimated: bool
    """True for a form that no standard of wire inserts covers; the same construction is used."""


def insert_hole(thread: Thread) -> InsertHole:
    r"""Sizes of the tapped hole that takes a wire insert for one thread.

    .. math:: D_{STI} = D + 1.5 H, \quad D_{2,STI} = D + 0.75 H, \quad D_{1,STI} = D + 0.25 H

    Parameters
    ----------
    thread : Thread
        The thread to be restored.

    Returns
    -------
    InsertHole
        Least sizes of the hole: D + 1.299038 P, D + 0.649519 P and D + 0.216506 P for 60 deg. [mm]

    References
    ----------
    NASM33537 (major diameter truncated to 0.125 P) and the pitch diameters of Machinery's Handbook, 31st
    edition, tables 25 and 26a; the minor diameter from memory. Other forms: the same construction on
    their own H, estimated; such wire is a trade item.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> hole = insert_hole(find_thread("M8"))
    >>> round(hole.major_mm, 3), round(hole.pitch_diameter_mm, 3), round(hole.minor_mm, 3)
    (9.624, 8.812, 8.271)
    """
    sharp = thread.form.height * thread.pitch_mm
    major = thread.major_basic * thread.to_mm
    return InsertHole(
        major_mm=major + 1.5 * sharp,
        pitch_diameter_mm=major + 0.75 * sharp,
        minor_mm=major + 0.25 * sharp,
        estimated=not (
            math.isclose(thread.form.thread_angle, 60.0)
            and thread.system in ("M", "UNC", "UNF", "UNEF", "UN")
        ),
    )


def thread_depth(*, length_mm: float, pitch_mm: float) -> float:
    """Least depth of full thread for a wire insert: its length and one pitch.

    Parameters
    ----------
    length_mm, pitch_mm : float
        Nominal length of the insert, and pitch. [mm]

    Returns
    -------
    float
        Depth from the face. [mm]

    References
    ----------
    Machinery's Handbook, 31st edition, p. 1746; formulas read second-hand.

    Examples
    --------
    >>> thread_depth(length_mm=12.0, pitch_mm=1.25)
    13.25
    """
    return length_mm + pitch_mm


def drilling_depth(
    *, length_mm: float, pitch_mm: float, diameter_mm: float, bottoming: bool = False
) -> float:
    """Least drilling depth for a wire insert in a blind hole.

    Length, one pitch of set-down, one of chips and the lead of the tap: 4 pitches of a plug tap and, up
    to 8 mm, half a diameter; 2 pitches of a bottoming tap.

    Parameters
    ----------
    length_mm, pitch_mm, diameter_mm : float
        Nominal length of the insert, pitch and nominal diameter. [mm]
    bottoming : bool
        Whether a bottoming tap finishes the hole.

    Returns
    -------
    float
        Depth to the drill's shoulder. [mm]

    References
    ----------
    Machinery's Handbook, 31st edition, p. 1746, with the example M8x1.25x12: 23.5 mm.

    Examples
    --------
    >>> drilling_depth(length_mm=12.0, pitch_mm=1.25, diameter_mm=8.0)
    23.5
    """
    if bottoming:
        return length_mm + (2 + 1 + 1) * pitch_mm
    extra = diameter_mm / 2 if diameter_mm <= _DRILL_ALLOWANCE_UP_TO_MM else 0.0
    return length_mm + (4 + 1 + 1) * pitch_mm + extra
