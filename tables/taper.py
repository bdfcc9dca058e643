"""Sizes of a taper thread anywhere along its axis.

The basic sizes lie at the gauge plane. Towards the small end every diameter shrinks by the taper times the
distance, pitch and depth staying the same.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from threadwright.tables.errors import TableError
from threadwright.tables.system import Array, Basic

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from threadwright.tables.thread import Thread

__all__ = [
    "Plane",
    "axial_distance",
    "planes",
    "sizes_from_gauge_plane",
    "sizes_from_small_end",
    "taper_angle",
]


class Plane(NamedTuple):
    """Basic sizes of a taper thread at one place, in the unit of the thread."""

    name: str
    from_small_end: float
    major: float
    pitch_diameter: float
    minor: float


def taper_angle(thread: Thread) -> float:
    r"""Angle between the cone's side and the axis: what a lathe's top slide or taper bar is set to.

    .. math:: \phi = \arctan(\text{taper} / 2)

    Returns
    -------
    float
        Half the angle of the cone; 0 for a parallel thread. [deg]

    References
    ----------
    ASME B1.20.1 and ISO 7-1: 1 in 16 on the diameter, 1 deg 47 min to the axis.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(taper_angle(find_thread("1/2 NPT")), 4)
    1.7899
    """
    return math.degrees(math.atan(float(thread.taper) / 2))


def sizes_from_gauge_plane(thread: Thread, distance: ArrayLike) -> Basic:
    r"""Basic sizes at a distance from the gauge plane.

    .. math:: d(x) = d + x \cdot \text{taper}

    Parameters
    ----------
    thread : Thread
        A parallel thread has the same sizes everywhere.
    distance : float or array (n,)
        Distance from the gauge plane along the axis, positive towards the large end. [unit of the thread]

    Returns
    -------
    Basic
        Major, pitch and minor diameter. [unit of the thread]

    References
    ----------
    ASME B1.20.1: E1 = E0 + 0.0625 L1; ISO 7-1: taper 1 in 16.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> sizes_from_gauge_plane(find_thread("R 1/2"), [-8.0, 0.0]).major
    array([20.455, 20.955])
    """
    change = np.asarray(distance, dtype=np.float64) * float(thread.taper)
    return Basic(
        thread.major_basic + change, thread.pitch_diameter_basic + change, thread.minor_basic + change
    )


def sizes_from_small_end(thread: Thread, distance: ArrayLike) -> Basic:
    """Basic sizes at a distance from the small end: the end of the pipe.

    Parameters
    ----------
    thread : Thread
        A taper thread with a gauge length.
    distance : float or array (n,)
        Distance from the small end along the axis. [unit of the thread]

    Returns
    -------
    Basic
        Major, pitch and minor diameter. [unit of the thread]

    Raises
    ------
    TableError
        If the thread is parallel, or the tables hold no gauge length of it.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> float(sizes_from_small_end(find_thread("1/2 NPT"), 0.0).pitch_diameter.round(5))
    0.75843
    """
    return sizes_from_gauge_plane(thread, np.asarray(distance, dtype=np.float64) - _gauge_length(thread))


def _gauge_length(thread: Thread) -> float:
    if thread.taper == 0:
        raise TableError(
            f"{thread.designation} is parallel: it has no small end; its sizes are the same all along"
        )
    if thread.gauge_length is None:
        raise TableError(
            f"{thread.designation}: the tables hold no gauge length; give the distance from the gauge plane"
        )
    return thread.gauge_length


def axial_distance(thread: Thread, difference: ArrayLike) -> Array:
    """Distance along the axis over which the diameter changes by a difference.

    Parameters
    ----------
    thread : Thread
        A taper thread.
    difference : float or array (n,)
        Diameter at the one place less diameter at the other. [unit of the thread]

    Returns
    -------
    array
        Distance, positive towards the large end. [unit of the thread]

    Raises
    ------
    TableError
        If the thread is parallel.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> float(axial_distance(find_thread("R 1/2"), 0.25))
    4.0
    """
    if thread.taper == 0:
        raise TableError(f"{thread.designation} is parallel: its diameter does not change along the axis")
    return np.asarray(difference, dtype=np.float64) / float(thread.taper)


def planes(thread: Thread) -> tuple[Plane, ...]:
    """Sizes at the small end, at the gauge plane and at the end of the useful thread.

    Parameters
    ----------
    thread : Thread
        A taper thread; without a gauge length only the gauge plane is known, at NaN from the small end.

    Returns
    -------
    tuple of Plane
        From the small end on; none for a parallel thread. [unit of the thread]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> for plane in planes(find_thread("R 1/2")):
    ...     print(plane.name, plane.from_small_end, round(plane.major, 3))
    small end 0.0 20.442
    gauge plane 8.2 20.955
    end of useful thread 13.2 21.267
    """
    if thread.taper == 0:
        return ()
    if thread.gauge_length is None:
        basic = (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic)
        return (Plane("gauge plane", math.nan, *basic),)
    named = [("small end", 0.0), ("gauge plane", thread.gauge_length)]
    if thread.useful_length is not None:
        named.append(("end of useful thread", thread.useful_length))
    return tuple(
        Plane(name, at, *(float(size) for size in sizes_from_small_end(thread, at))) for name, at in named
    )
