"""Tapping drills for a chosen engagement, clearance holes, and the blank for a die.

An engagement is a share of a depth, and printed charts differ in the depth they mean: every percentage here
comes with its basis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from threadwright.tables.drill_sizes import DRILL_KINDS, Drill, DrillKind, drills
from threadwright.tables.errors import TableError
from threadwright.tables.thread import MM_PER_INCH, Basis, Thread

__all__ = [
    "CHART_DEPTH",
    "ClearanceHole",
    "Engagement",
    "TappingDrill",
    "clearance_holes",
    "die_blank",
    "engagement_of_hole",
    "tapping_drills",
    "tapping_hole",
]

CHART_DEPTH = 3 * math.sqrt(3) / 8
"""Depth over pitch behind most printed American charts for 60 degree threads: 3H/4 = 0.649519 P, the depth
of the American National form."""
USUAL_ENGAGEMENT = 0.80
"""Share of the basic depth: common practice, no source; BS 1157 drills give 0.77 to 0.87."""
NEAR = 0.15
"""A drill is offered if its engagement is within this of the one asked for."""


class Engagement(NamedTuple):
    """How much of a full thread a hole leaves."""

    basic: float
    """Share of the basic depth of the form; above 1 if the hole is below the basic minor diameter. [-]"""
    chart: float | None
    """Share of 0.6495 P as American charts print it; None for a form that is not 60 degrees. [-]"""
    basis: str
    """The two bases in words, for printing beside the percentages."""


class TappingDrill(NamedTuple):
    """A drill, and the engagement it gives."""

    drill: Drill
    engagement: Engagement
    within_limits: bool | None
    """Whether the hole lies inside the minor limits of the usual internal class; None if there are none."""


def _is_sixty(thread: Thread) -> bool:
    return thread.form.symmetric and math.isclose(thread.form.flank_angle, 30.0)


def _drilled_major(thread: Thread) -> float:
    """Major diameter; of a taper thread that at the small end, where a parallel hole holds least. [mm]"""
    deep = float(thread.taper) * (thread.gauge_length or 0.0)
    return (thread.major_basic - deep) * thread.to_mm


def tapping_hole(thread: Thread, engagement: float = USUAL_ENGAGEMENT) -> float:
    r"""Hole that leaves a share of the basic depth.

    .. math:: D_h = D - 2 h X

    Parameters
    ----------
    thread : Thread
        For a taper thread the diameter D is that at the small end, where a parallel hole holds least.
    engagement : float, optional
        Share X of the basic depth h of the form. [-]

    Returns
    -------
    float
        Diameter of the hole. [mm]

    Raises
    ------
    TableError
        If the share is not above 0 and at most 1.

    References
    ----------
    Machinery's Handbook, tap drill formulas: D - 1.08253 P X for Unified and ISO threads.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(tapping_hole(find_thread("M10x1.5"), 0.75), 3)
    8.782
    """
    if not 0 < engagement <= 1:
        raise TableError(f"engagement: cannot use {engagement}; give a share above 0 and up to 1, like 0.75")
    depth = thread.form.depth_over_pitch * thread.pitch_mm
    return _drilled_major(thread) - 2 * depth * engagement


def engagement_of_hole(thread: Thread, hole: float) -> Engagement:
    """Engagement that a hole leaves, on both bases.

    Parameters
    ----------
    thread : Thread
    hole : float
        Diameter of the hole. [mm]

    Returns
    -------
    Engagement

    Raises
    ------
    TableError
        If the hole is not positive.

    References
    ----------
    Machinery's Handbook, tap drill formulas: basic 1.08253 P, American National 1.29904 P.

    Examples
    --------
    The No. 7 drill in a 1/4-20 hole:

    >>> from threadwright.tables.registry import find_thread
    >>> share = engagement_of_hole(find_thread("1/4-20 UNC"), 0.201 * 25.4)
    >>> round(share.basic, 3), round(share.chart, 3)
    (0.905, 0.754)
    """
    if not hole > 0:
        raise TableError(f"hole: cannot use {hole} mm; give a diameter above 0, like 8.5 mm")
    depth = (_drilled_major(thread) - hole) / 2 / thread.pitch_mm
    words = f"of the basic depth, {thread.form.depth_over_pitch:.4f} P"
    if thread.taper:
        words += ", at the small end"
    if not _is_sixty(thread):
        return Engagement(depth / thread.form.depth_over_pitch, None, words)
    return Engagement(
        depth / thread.form.depth_over_pitch,
        depth / CHART_DEPTH,
        f"{words}; of {CHART_DEPTH:.4f} P on most printed charts",
    )


def tapping_drills(
    thread: Thread, engagement: float = USUAL_ENGAGEMENT, *, kinds: Sequence[DrillKind] = DRILL_KINDS
) -> tuple[TappingDrill, ...]:
    """The nearest drill of each kind for a chosen engagement, the nearest of all first.

    Parameters
    ----------
    thread : Thread
    engagement : float, optional
        Share of the basic depth of the form. [-]
    kinds : sequence of str, optional
        Kinds of drills held: metric, fraction, number, letter.

    Returns
    -------
    tuple of TappingDrill
        Empty if no drill comes near (bore the hole to :func:`tapping_hole`), or if the thread is never
        internal.

    Raises
    ------
    TableError
        If the share is not above 0 and at most 1.

    References
    ----------
    See :func:`tapping_hole`; drill sizes from memory.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [(t.drill.name, round(t.engagement.basic, 2)) for t in tapping_drills(find_thread("3/8-20 BSF"), 0.8)]
    [('letter P', 0.81), ('8.2 mm', 0.81), ('21/64 in', 0.73)]
    """
    hole = tapping_hole(thread, engagement)
    if "internal" not in thread.sides:
        return ()
    nearest = [min(drills(kind), key=lambda drill: abs(drill.diameter - hole)) for kind in kinds]
    offered = [
        TappingDrill(drill, share, _within(thread, drill.diameter))
        for drill in sorted(nearest, key=lambda drill: abs(drill.diameter - hole))
        if abs((share := engagement_of_hole(thread, drill.diameter)).basic - engagement) <= NEAR
    ]
    return tuple(offered)


def _within(thread: Thread, hole: float) -> bool | None:
    """Whether a hole lies inside the minor diameter limits of the usual internal class."""
    if thread.taper or not thread.classes("internal"):
        return None
    limits = thread.limits("internal").in_mm()
    if math.isnan(limits.minor_min) or math.isnan(limits.minor_max):
        return None
    return limits.minor_min <= hole <= limits.minor_max


def die_blank(thread: Thread) -> float:
    r"""Diameter to turn a bar for a die, a little below the major diameter.

    .. math:: d_b = d - (0.06 + 0.06 p) \text{ mm}

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    float
        Estimated diameter of the blank. [mm]

    References
    ----------
    Fitted to a shop chart for M3 to M30, within 0.012 mm: estimated. Another rule is d - 0.1 p (from memory).

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(die_blank(find_thread("M10x1.5")), 2)
    9.85
    """
    return thread.major_basic * thread.to_mm - (0.06 + 0.06 * thread.pitch_mm)


ClearanceFit = Literal["fine", "medium", "coarse"]
CLEARANCE_FITS: tuple[ClearanceFit, ...] = ("fine", "medium", "coarse")


class ClearanceHole(NamedTuple):
    """A hole through which a screw passes."""

    fit: ClearanceFit
    diameter: float
    """Diameter. [mm]"""
    basis: Basis
    source: str


def _iso_273() -> str:
    """Screw diameter: fine, medium and coarse hole, mm; from memory."""
    return """
    1 1.1 1.2 1.3; 1.2 1.3 1.4 1.5; 1.4 1.5 1.6 1.8; 1.6 1.7 1.8 2; 1.8 2 2.1 2.2; 2 2.2 2.4 2.6
    2.5 2.7 2.9 3.1; 3 3.2 3.4 3.6; 3.5 3.7 3.9 4.2; 4 4.3 4.5 4.8; 4.5 4.8 5 5.3; 5 5.3 5.5 5.8
    6 6.4 6.6 7; 7 7.4 7.6 8; 8 8.4 9 10; 10 10.5 11 12; 12 13 13.5 14.5; 14 15 15.5 16.5
    16 17 17.5 18.5; 18 19 20 21; 20 21 22 24; 22 23 24 26; 24 25 26 28; 27 28 30 32; 30 31 33 35
    33 34 36 38; 36 37 39 42; 39 40 42 45; 42 43 45 48; 45 46 48 52; 48 50 52 56; 52 54 56 62
    56 58 62 66; 60 62 66 70; 64 66 70 74; 68 70 74 78; 72 74 78 82; 76 78 82 86; 80 82 86 91
    85 87 91 96; 90 93 96 101; 95 98 101 107; 100 104 107 112"""


INCH_CLEARANCES = (
    (0.25, (0.006, 0.011, 0.020)),
    (0.50, (1 / 64, 1 / 32, 1 / 16)),
    (math.inf, (1 / 32, 1 / 16, 1 / 8)),
)
"""Below this diameter, what is added for a fine, medium and coarse hole: common practice, no source. [in]"""
LARGEST_TABULATED = 100.0  # mm


def clearance_holes(thread: Thread) -> tuple[ClearanceHole, ...]:
    """Clearance holes for a screw: fine, medium and coarse.

    Parameters
    ----------
    thread : Thread
        The screw. A metric size of ISO 273 has its table; a size in mm that the table does not hold gets the
        clearance of the nearest one; an inch size the shop rule.

    Returns
    -------
    tuple of ClearanceHole
        Empty for a metric screw above 100 mm, and for a thread that is never external.

    References
    ----------
    ISO 273 (from memory); for inch sizes common practice, no source.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [hole.diameter for hole in clearance_holes(find_thread("M8"))]
    [8.4, 9.0, 10.0]
    >>> [round(hole.diameter, 2) for hole in clearance_holes(find_thread("3/8-20 BSF"))]
    [9.92, 10.32, 11.11]
    """
    major = thread.major_basic
    if "external" not in thread.sides:
        return ()
    if thread.unit == "in":
        extra = next(row for below, row in INCH_CLEARANCES if major < below)
        return tuple(
            ClearanceHole(fit, (major + add) * MM_PER_INCH, "estimated", "common practice, no source")
            for fit, add in zip(CLEARANCE_FITS, extra, strict=True)
        )
    if major > LARGEST_TABULATED:
        return ()
    rows = [
        [float(cell) for cell in row.split()]
        for row in _iso_273().replace(";", "\n").split("\n")
        if row.strip()
    ]
    nearest = min(rows, key=lambda row: abs(row[0] - major))
    shift = major - nearest[0]
    named: tuple[Basis, str] = ("from memory", "ISO 273")
    if abs(shift) > 1e-9:
        named = ("estimated", f"the clearance of ISO 273 for {nearest[0]:g} mm; common practice, no source")
    return tuple(
        ClearanceHole(fit, round(hole + shift, 6), *named)
        for fit, hole in zip(CLEARANCE_FITS, nearest[1:], strict=True)
    )
