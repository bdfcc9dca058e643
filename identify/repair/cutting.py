"""Cutting the outer thread: depth of cut and infeed on the slides' own graduations, and size over wires."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from threadwright.tables.wires import size_over_wires, wire_constants

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.lathe import Dial, Lathe
    from threadwright.tables.thread import Thread

__all__ = ["Infeed", "OverWires", "external_depth", "infeed", "over_wires", "pitch_diameter_limits"]

_SIXTY_DEPTH: Final = 17 / 24  # of H: d - d3 = 1.226869 P, ISO 724 and ASME B1.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Infeed:
    """How far the tool goes in."""

    depth_mm: float
    """Radial depth of the thread."""
    along_flank_mm: float
    """Travel of a top slide set over by the flank angle."""
    flank_angle: float
    dial: Dial
    dial_reading_mm: float
    """What the cross-slide's dial moves by, straight in: twice the depth where it shows the diameter."""
    division_mm: float | None
    divisions: float | None
    """The same in divisions of the cross-slide."""
    along_flank_divisions: float | None
    """Along the flank in divisions of the same width; a top slide shows its travel."""

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm and 0.1 divisions."""
        return {
            "depth_mm": round(self.depth_mm, 3),
            "along_flank_mm": round(self.along_flank_mm, 3),
            "flank_angle_deg": self.flank_angle,
            "dial": self.dial,
            "dial_reading_mm": round(self.dial_reading_mm, 3),
            "division_mm": None if self.division_mm is None else round(self.division_mm, 5),
            "divisions": None if self.divisions is None else round(self.divisions, 1),
            "along_flank_divisions": None
            if self.along_flank_divisions is None
            else round(self.along_flank_divisions, 1),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class OverWires:
    """Size over three wires at both limits of the pitch diameter. [mm]"""

    best_mm: float
    allowed_mm: tuple[float, float]
    """Thinnest and thickest wire that touches the flanks and stands proud."""
    wire_mm: float
    """The wire taken: one of those at hand nearest to the best, else the best."""
    at_hand: bool
    low: float
    high: float

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""
        return {
            "best_wire_mm": round(self.best_mm, 3),
            "allowed_wire_mm": [round(size, 3) for size in self.allowed_mm],
            "wire_mm": round(self.wire_mm, 3),
            "wire_at_hand": self.at_hand,
            "over_wires_mm": [round(self.low, 3), round(self.high, 3)],
        }


def external_depth(thread: Thread) -> float:
    r"""Radial depth of an external thread as it is cut.

    .. math:: h = \tfrac{17}{24} H \text{ (60 deg)}, \text{ else the basic depth of the form}

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    float
        Depth. [mm]

    References
    ----------
    ISO 724 (0.613435 P); BS 84 (0.640327 P); BS 93 (0.6 P).

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(external_depth(find_thread("M12x1.5")), 3), round(external_depth(find_thread("3/8-20 BSF")), 3)
    (0.92, 0.813)
    """
    form = thread.form
    if math.isclose(form.thread_angle, 60.0) and form.crest_end == "flat":
        return _SIXTY_DEPTH * form.height * thread.pitch_mm
    return form.depth_over_pitch * thread.pitch_mm


def infeed(thread: Thread, *, lathe: Lathe | None) -> Infeed:
    r"""Infeed straight and along the flank.

    .. math:: s = h / \cos\alpha

    Parameters
    ----------
    thread : Thread
        The thread to cut, external.
    lathe : Lathe or None
        For the graduations of its cross-slide.

    Returns
    -------
    Infeed

    Examples
    --------
    >>> from threadwright.repair.lathe import Lathe
    >>> from threadwright.tables.registry import find_thread
    >>> cut = infeed(find_thread("M12x1.5"), lathe=Lathe(dial="diameter", division_mm=0.02))
    >>> round(cut.depth_mm, 3), round(cut.along_flank_mm, 3), round(cut.divisions, 1)
    (0.92, 1.062, 92.0)
    """
    depth = external_depth(thread)
    along = depth / math.cos(math.radians(thread.form.flank_angle))
    dial: Dial = "radius" if lathe is None else lathe.dial
    division = None if lathe is None else lathe.division_mm
    reading = 2 * depth if dial == "diameter" else depth
    return Infeed(
        depth_mm=depth,
        along_flank_mm=along,
        flank_angle=thread.form.flank_angle,
        dial=dial,
        dial_reading_mm=reading,
        division_mm=division,
        divisions=None if division is None else reading / division,
        along_flank_divisions=None if division is None else along / division,
    )


def pitch_diameter_limits(thread: Thread) -> tuple[float, float] | None:
    """Limits of the pitch diameter of an external thread in its usual class; None without any. [mm]

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> [round(size, 3) for size in pitch_diameter_limits(find_thread("M12x1.5"))]
    [10.854, 10.994]
    """
    if not thread.classes("external"):
        return None
    limits = thread.limits("external").in_mm()
    pair = (limits.pitch_diameter_min, limits.pitch_diameter_max)
    return pair if all(map(math.isfinite, pair)) else None


def over_wires(thread: Thread, *, wires: Sequence[float] = ()) -> OverWires | None:
    """Best wire, and the size over wires at both limits of the outer thread.

    Parameters
    ----------
    thread : Thread
        The thread to cut, external.
    wires : sequence of float, optional
        Wires at hand. [mm]

    Returns
    -------
    OverWires or None
        None where the tables give the pitch diameter no limits.

    Raises
    ------
    TableError
        If the thread has flanks of two angles.

    References
    ----------
    :mod:`threadwright.tables.wires`.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> over = over_wires(find_thread("M12x1.5"), wires=[0.7, 0.9])
    >>> over.wire_mm, round(over.low, 3), round(over.high, 3)
    (0.9, 12.256, 12.396)
    """
    constants, sizes = wire_constants(thread.form), pitch_diameter_limits(thread)
    if sizes is None:
        return None
    pitch = thread.pitch_mm
    best, least, greatest = (pitch * share for share in (constants.best, constants.least, constants.greatest))
    fitting = [wire for wire in wires if least < wire < greatest]
    wire = min(fitting, key=lambda held: abs(held - best), default=best)
    low, high = size_over_wires(
        flank_angle=thread.form.flank_angle,
        pitch=pitch,
        lead=thread.lead_mm,
        pitch_diameter=np.array(sizes),
        wire=wire,
    ).tolist()
    return OverWires(
        best_mm=best, allowed_mm=(least, greatest), wire_mm=wire, at_hand=bool(fitting), low=low, high=high
    )
