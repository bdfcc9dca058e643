"""Tapped holes for wire thread inserts: the hole is the thread of the screw, one wire larger all round."""

from __future__ import annotations

from typing import NamedTuple

from threadwright.tables.errors import TableError
from threadwright.tables.thread import Basis, Thread, Unit

__all__ = ["INSERT_LENGTHS", "InsertHole", "insert_depths", "insert_hole"]

INSERT_LENGTHS = (1.0, 1.5, 2.0, 2.5, 3.0)
"""Nominal lengths of inserts in screw diameters: ASME B18.29.1 and B18.29.2M."""
SMALL_SCREW = 8.0
"""Up to this diameter the drilled depth gets half a diameter more with a plug tap. [mm]"""


class InsertHole(NamedTuple):
    """Least (basic) sizes of the tapped hole."""

    major: float
    pitch_diameter: float
    minor: float
    unit: Unit
    basis: Basis


def insert_hole(thread: Thread) -> InsertHole:
    r"""Basic sizes of the hole for a wire thread insert that receives a screw.

    .. math:: D_{STI} = D + 3 H / 2, \quad D_{2,STI} = D + 3 H / 4, \quad D_{1,STI} = D + H / 4

    Parameters
    ----------
    thread : Thread
        The screw. Standards cover ISO metric and Unified threads; another form is worked out by the same
        construction and says "estimated".

    Returns
    -------
    InsertHole
        In the unit of the thread.

    Raises
    ------
    TableError
        If the form is asymmetric.

    References
    ----------
    NASM33537 (hole truncated P/8 at the major diameter); pitch diameters by the taps of ASME B94.9-2008 in
    Machinery's Handbook, 31st edition, pp. 1006-1007; the minor diameter from memory.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [round(x, 3) for x in insert_hole(find_thread("M8"))[:3]]
    [9.624, 8.812, 8.271]
    """
    if not thread.form.symmetric:
        raise TableError(f"{thread.designation}: wire thread inserts need a symmetric form")
    covered = thread.system in ("M", "UNC", "UNF", "UNEF", "UN", "UNS")
    height = thread.form.height * thread.pitch
    return InsertHole(
        thread.major_basic + 1.5 * height,
        thread.major_basic + 0.75 * height,
        thread.major_basic + 0.25 * height,
        thread.unit,
        "computed" if covered else "estimated",
    )


def insert_depths(thread: Thread, length: float, *, bottoming: bool = False) -> tuple[float, float]:
    r"""Least depth of full thread and of the drilled hole for a wire thread insert.

    .. math:: T = L + p, \quad G = L + 4 p + p + p \;(+ D / 2 \text{ up to 8 mm}), \quad
        G_{bottoming} = L + 2 p + p + p

    Parameters
    ----------
    thread : Thread
    length : float
        Nominal length of the insert. [mm]
    bottoming : bool, optional
        True for a bottoming tap, otherwise a plug tap.

    Returns
    -------
    tuple of float
        Depth of full thread and drilled depth. [mm]

    Raises
    ------
    TableError
        If the length is not positive.

    References
    ----------
    ASME B18.29.1 and B18.29.2M; Machinery's Handbook, 31st edition, p. 1746.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> insert_depths(find_thread("M8"), 12.0)
    (13.25, 23.5)
    """
    if not length > 0:
        raise TableError(f"insert length: cannot use {length} mm; give a length above 0, like 12 mm")
    pitch, major = thread.pitch_mm, thread.nominal_major_mm
    if bottoming:
        return length + pitch, length + 4 * pitch
    point = major / 2 if major <= SMALL_SCREW else 0.0
    return length + pitch, length + 6 * pitch + point
