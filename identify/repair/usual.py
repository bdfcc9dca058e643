"""Which taps a shop usually has, and which threads serve on the outside of a bush.

Which taps are usual is common practice, no source; the selections themselves are the standards'.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadwright.tables.thread import Thread

__all__ = ["OUTER_SYSTEMS", "usual_tap"]

OUTER_SYSTEMS = ("M", "UNC", "UNF", "UNEF", "UN", "UNS", "BSW", "BSF", "BSB", "BA", "BSC", "G")

# Coarse and fine pitches of the ISO 262 selection, from memory.
_METRIC = (
    "M1.6x0.35 M2x0.4 M2.5x0.45 M3x0.5 M3.5x0.6 M4x0.7 M5x0.8 M6x1 M8x1.25 M8x1 M10x1.5 M10x1.25 M10x1 "
    "M12x1.75 M12x1.5 M12x1.25 M14x2 M14x1.5 M16x2 M16x1.5 M18x2.5 M18x2 M18x1.5 M20x2.5 M20x2 M20x1.5 "
    "M22x2.5 M22x2 M22x1.5 M24x3 M24x2 M27x3 M27x2 M30x3.5 M30x2 M33x3.5 M33x2 M36x4 M36x3 M39x4 M39x3 "
    "M42x4.5 M42x3 M45x4.5 M45x3 M48x5 M48x3 "
)
_METRIC_USUAL = frozenset(_METRIC.split())

# Largest nominal diameter [mm] up to which taps of the other series are usual.
_LARGEST_MM = {"UNC": 38.1, "UNF": 38.1, "BSW": 38.1, "BSF": 25.4, "BA": 6.0, "G": 34.0}
_LEAST_MM = {"BA": 1.7, "G": 9.5}  # 10 BA, G 1/8


def usual_tap(thread: Thread) -> bool:
    """Whether a shop or a tool dealer is likely to have the tap.

    Parameters
    ----------
    thread : Thread
        A right-hand thread of the tables; left-hand and multi-start ones are never usual.

    Returns
    -------
    bool
        True for the ISO 262 selection, UNC and UNF, first-choice BSW and BSF, 0 to 10 BA, G 1/8 to 1.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> usual_tap(find_thread("M12x1.5")), usual_tap(find_thread("M12x1"))
    (True, False)
    """
    if thread.left_hand or thread.starts > 1:
        return False
    if thread.system == "M":
        return thread.designation in _METRIC_USUAL
    major = thread.major_basic * thread.to_mm
    in_range = _LEAST_MM.get(thread.system, 0.0) <= major <= _LARGEST_MM.get(thread.system, 0.0)
    return in_range and (thread.choice == 1 or thread.system in _LEAST_MM)
