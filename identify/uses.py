"""What a thread is for: to clamp, to join hollow parts, or to move."""

from __future__ import annotations

from threadwright import judgement
from threadwright.tables.thread import Thread

__all__ = ["HOLLOW", "PIPE_THREADS", "is_power", "use_of"]

PIPE_THREADS = frozenset(("G", "R", "Rc", "Rp", "DIN259", "NPT", "NPSM", "NPSC"))
"""Symbols of the systems whose threads join pipes, and often seal as well."""

HOLLOW = PIPE_THREADS | {"NH", "CON", "Pg", "E", "VG", "RMS"}
"""Systems cut on tubes and other hollow parts, or rolled in sheet: there is no solid screw of such a thread.
Basis: common practice, no source."""


def is_power(thread: Thread) -> bool:
    """Whether a thread is that of a screw that moves, or of a coupling: its flanks are steep.

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    bool

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> is_power(find_thread("Tr 22x5")), is_power(find_thread("M8"))
    (True, False)
    """
    return thread.form.flank_angle < judgement.POWER_FLANK_DEG


def use_of(thread: Thread) -> str:
    """Why a thread is not that of a screw that clamps; empty if it is.

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    str
        What the thread is for.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> use_of(find_thread("G 1/2")), use_of(find_thread("Tr 22x5")), use_of(find_thread("M8"))
    ('joins hollow parts', 'is that of a screw that moves', '')
    """
    if thread.system in HOLLOW:
        return "joins hollow parts"
    return "is that of a screw that moves" if is_power(thread) else ""
