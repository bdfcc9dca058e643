"""Threads of every system whose major diameter lies near a size."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import TableError
from threadwright.tables.registry import series, system
from threadwright.tables.thread import Thread

__all__ = ["Near", "around", "nearest"]


class Near(NamedTuple):
    """One thread near a size, with all its names."""

    thread: Thread
    """Under its leading name; a taper thread is as large as at its gauge plane."""
    names: tuple[tuple[str, str, str], ...]
    """Designation, system and title of every name of the same metal, the leading one first."""
    off: float
    """Basic major diameter less the size. [mm]"""


def around(major: float, *, within: float) -> tuple[Near, ...]:
    """Threads whose basic major diameter lies within a distance of a size, sorted by it.

    Parameters
    ----------
    major : float
        [mm]
    within : float
        Greatest distance, either way. [mm]

    Returns
    -------
    tuple of Near
        Names of the same metal are one entry; of one diameter the coarsest pitch comes first.

    Raises
    ------
    TableError
        If the size is not above 0, or the distance is below 0.

    Examples
    --------
    >>> [near.thread.designation for near in around(9.5, within=0.03)][:4]
    ['3/8-12 ACME', '3/8-12 STUB ACME', '3/8-16 DIN 11', '3/8-16 BSW']
    """
    for name, value, least in (("major diameter", major, 0.001), ("distance", within, 0.0)):
        if not least <= value < math.inf:
            raise TableError(f"{name}: cannot use {value} mm; give a size like 9.5 mm")
    catalogue = candidates()
    off = catalogue.major - major
    inside = np.flatnonzero(np.abs(off) <= within + 1e-9)
    order = inside[np.lexsort((-catalogue.pitch[inside].round(6), catalogue.major[inside].round(4)))]
    return tuple(_near(int(index), float(off[index])) for index in order)


def nearest(major: float) -> Near:
    """The thread whose basic major diameter is nearest to a size.

    Parameters
    ----------
    major : float
        [mm]

    Examples
    --------
    >>> nearest(0.1).thread.designation
    '25 BA'
    """
    off = candidates().major - major
    index = int(np.argmin(np.abs(off)))
    return _near(index, float(off[index]))


def _near(index: int, off: float) -> Near:
    catalogue = candidates()
    names = tuple(
        (series(symbol).designations[row], symbol, system(symbol).title)
        for symbol, row in catalogue.names[index]
    )
    return Near(catalogue.thread(index), names, off)
