"""Which instrument of a workshop could tell, where the one that was used cannot, or none was used yet."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from threadwright import judgement
from threadwright.decision import GUARD_FACTOR
from threadwright.instruments import wires_uncertainty
from threadwright.tables.numbers import format_decimal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.diameters import Size
    from threadwright.tables.thread import Limits, Thread

__all__ = ["could_measure", "could_tell"]

_OTHER: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pitch": "more pitches, counted along a longer thread or with a caliper",
        "flank_angle": "a scan or an enlarged shadow of the thread",
        "virtual_pitch_diameter": "more pitches counted, and a scan of the flanks",
    }
)


def could_tell(thread: Thread, side: str, size: Size, least: float | None, greatest: float | None) -> str:
    """The roughest instrument that would decide if it read the same.

    Parameters
    ----------
    thread : Thread
    side : {"external", "internal"}
    size : Size
        What was read; its doubt that is not the instrument's stays. [mm]
    least, greatest : float or None
        Limits. [mm]

    Returns
    -------
    str
        Instrument and its standard uncertainty, or why none would do.

    Examples
    --------
    >>> from threadwright.diameters import Size
    >>> from threadwright.tables.registry import find_thread
    >>> read = Size(quantity="major", label="major", low=7.94, high=7.94, u=0.02, instrument="caliper")
    >>> could_tell(find_thread("M8"), "external", read, 7.76, 7.972)
    'a micrometer (standard uncertainty 0.006 mm), if it reads the same'
    """
    quantity = size.quantity.removeprefix("plated_")
    if quantity in _OTHER:
        return _OTHER[quantity]
    if not size.single:
        return "a narrower interval: plugs or known screws nearer to the limits"
    width = math.inf if least is None or greatest is None else greatest - least
    margin = min(abs(size.low - limit) for limit in (least, greatest) if limit is not None)
    inside = (least is None or size.low >= least) and (greatest is None or size.low <= greatest)
    for name, u in _instruments(thread, side, quantity):
        whole = math.hypot(u, size.u_beside)
        reach = GUARD_FACTOR * whole
        if whole < size.u and reach < margin and (not inside or 2 * reach < width):
            return f"{name} (standard uncertainty {format_decimal(u, 3)} mm), if it reads the same"
    near = f"the reading is within {format_decimal(margin, 3)} mm of a limit"
    if GUARD_FACTOR * size.u_beside >= margin:
        return f"none of a workshop: {near}, and the plating alone leaves more doubt; measure its thickness"
    return f"none of a workshop: {near}"


def could_measure(thread: Thread, limits: Limits, quantity: str) -> str:
    """The roughest instrument that can prove a diameter that was not measured.

    Parameters
    ----------
    thread : Thread
    limits : Limits
        In mm.
    quantity : {"major", "pitch_diameter", "minor"}

    Returns
    -------
    str
        Instrument and its standard uncertainty, or why none would do.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> could_measure(find_thread("M8"), find_thread("M8").limits("external", "6g"), "pitch_diameter")
    'a thread micrometer (standard uncertainty 0.015 mm)'
    """
    width = getattr(limits, f"{quantity}_max") - getattr(limits, f"{quantity}_min")
    instruments = _instruments(thread, limits.side, quantity)
    for name, u in instruments:
        if not 2 * GUARD_FACTOR * u >= width:  # an open end leaves room for any instrument
            return f"{name} (standard uncertainty {format_decimal(u, 3)} mm)"
    if not instruments:
        return "none of a workshop: wires, balls and anvils need flanks of one angle"
    return f"none of a workshop: the tolerance, {format_decimal(width, 3)} mm, is too narrow"


def _instruments(thread: Thread, side: str, quantity: str) -> list[tuple[str, float]]:
    """Instruments that read a diameter of a screw or a hole, the roughest first. [mm]"""
    known = judgement.INSTRUMENT_U_MM
    if quantity != "pitch_diameter":
        names = ("digital caliper", "micrometer") if side == "external" else ("inside jaws", "plug gauge")
        return [
            (f"{_article(name)} {name}" if name != "inside jaws" else name, known[name]) for name in names
        ]
    if not thread.form.symmetric:
        return []
    over = math.hypot(known["wires"], judgement.WIRE_FLATTENING_U_MM)
    u = wires_uncertainty(
        flank_angle=thread.form.flank_angle, u_over_wires=over, u_wire=judgement.WIRE_U_MM["wires"]
    )
    if side == "external":
        return [("a thread micrometer", known["thread micrometer"]), ("a micrometer over measured wires", u)]
    return [("measured balls and slip gauges", u)]


def _article(name: str) -> str:
    return "an" if name[0] in "aeiou" else "a"
