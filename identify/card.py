"""The card of one thread: all that the tables say of it and that follows from them, block by block.

A block that cannot be worked out is empty, and ``unknown`` says in one line why.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from threadwright import judgement
from threadwright.dangers import LookAlike, look_alikes
from threadwright.engagement import tensile_stress_area
from threadwright.over_wires import WireSheet, wire_sheet
from threadwright.repair.strength import screw_stress_area
from threadwright.tables.catalogue import candidates
from threadwright.tables.drills import (
    ClearanceHole,
    TappingDrill,
    clearance_holes,
    tapping_drills,
    tapping_hole,
)
from threadwright.tables.hexagons import Hexagon, hexagons_for
from threadwright.tables.numbers import format_decimal
from threadwright.tables.registry import series, system
from threadwright.tables.screw_grades import find_grade
from threadwright.tables.taper import Plane, planes
from threadwright.tables.thread import Side, System, Thread
from threadwright.uses import HOLLOW, is_power

__all__ = ["Block", "Bore", "Breaking", "Card", "StressArea", "thread_card"]

Block = Literal[
    "along the axis", "limits", "tapping drills", "clearance holes", "wires", "hexagons", "stress area"
]

_FULL = 1.005  # a smaller hole than the basic minor diameter jams the tap
_ARCS = frozenset({"E"})  # two arcs without a straight flank


class Bore(NamedTuple):
    """One engagement, the hole that leaves it, and the drills that come nearest."""

    share: float
    """Share of the basic depth. [-]"""
    hole: float
    """Diameter. [mm]"""
    drills: tuple[TappingDrill, ...]


class StressArea(NamedTuple):
    """Area on which a screw breaks in tension."""

    tolerance_class: str
    """Class at whose least sizes the area is taken; empty for the basic sizes."""
    area: float
    """[mm2]"""
    taken_at: Literal["basic", "least"]
    """Sizes on whose mean it is taken."""


class Breaking(NamedTuple):
    """Load at which a solid screw without a mark breaks."""

    load_kN: float
    """[kN]"""
    strength: str
    """The strength it is reckoned with, and its basis, in a few words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One thread with everything that belongs to it. [mm]"""

    thread: Thread
    tolerance_class: str | None
    """The one class that was asked for; None for all."""
    also: tuple[str, ...]
    """Other names of the same metal."""
    planes: tuple[Plane, ...]
    """Sizes of a taper thread along its axis, in the unit of the thread."""
    bores: tuple[Bore, ...]
    clearance: tuple[ClearanceHole, ...]
    wires: WireSheet | None
    hexagons: tuple[Hexagon, ...]
    stress_areas: tuple[StressArea, ...]
    breaking: Breaking | None
    """For a fastening screw of unmarked steel."""
    look_alikes: Mapping[Side, tuple[LookAlike, ...]]
    unknown: Mapping[Block, str]
    """Why a block is empty, in a few words."""

    @property
    def system(self) -> System:
        """The system of the thread, with its source, and when and where it was used."""
        return system(self.thread.system)


def thread_card(thread: Thread, tolerance_class: str | None = None, *, top: int = 3) -> Card:
    """All that is known of one thread beside its sizes and limits.

    Parameters
    ----------
    thread : Thread
    tolerance_class : str, optional
        Narrows sizes over wires and stress areas to one class.
    top : int, optional
        Most look-alikes to name on each side.

    Returns
    -------
    Card

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> card = thread_card(find_thread("3/8-20 BSF"))
    >>> round(card.stress_areas[0].area, 1), [hexagon.spanner for hexagon in card.hexagons]
    (54.2, ['3/8 BS = 5/16 W'])
    >>> thread_card(find_thread("Rc 1/2")).unknown["wires"]
    'wires lie on a screw, and this thread is internal only'
    """
    unknown: dict[Block, str] = {}
    if thread.taper and thread.gauge_length is None:
        unknown["along the axis"] = (
            "the lengths of this size are not known, only the sizes at the gauge plane"
        )
    if not thread.all_limits:
        unknown["limits"] = "no limits of this thread were found; the basic sizes are all that is known"
    areas = _stress_areas(thread, tolerance_class, unknown)
    return Card(
        thread=thread,
        tolerance_class=tolerance_class,
        also=_same_metal(thread),
        planes=planes(thread),
        bores=_bores(thread, unknown),
        clearance=_clearance(thread, unknown),
        wires=_wires(thread, unknown),
        hexagons=_hexagons(thread, unknown),
        stress_areas=areas,
        breaking=_breaking(thread, areas),
        look_alikes={side: look_alikes(thread, side, top=top) for side in thread.sides},
        unknown=unknown,
    )


def _same_metal(thread: Thread) -> tuple[str, ...]:
    """Other names of the same metal; none for a thread that no series lists."""
    table = series(thread.system)
    if thread.designation not in table.designations:
        return ()
    own = (thread.system, table.designations.index(thread.designation))
    group = next(names for names in candidates().names if own in names)
    return tuple(series(symbol).designations[row] for symbol, row in group if (symbol, row) != own)


def _bores(thread: Thread, unknown: dict[Block, str]) -> tuple[Bore, ...]:
    """Holes for a few engagements, each drill at the engagement that it comes nearest to."""
    if "internal" not in thread.sides or thread.system in _ARCS:
        unknown["tapping drills"] = (
            "this thread is rolled in sheet"
            if thread.system in _ARCS
            else f"this thread is external only; its hole is {_holes(thread)}"
        )
        return ()
    shares = judgement.POWER_ENGAGEMENTS if is_power(thread) else judgement.CARD_ENGAGEMENTS
    offered = {
        one.drill.name: one
        for share in shares
        for one in tapping_drills(thread, share)
        if one.engagement.basic <= _FULL
    }
    found = []
    for share in shares:
        near = [one for one in offered.values() if share == _nearest(one, shares)]
        near.sort(key=lambda one: _miss(one, share))
        found.append(Bore(share, tapping_hole(thread, share), tuple(near)))
    return tuple(found)


def _nearest(one: TappingDrill, shares: tuple[float, ...]) -> float:
    """The engagement that a drill comes nearest to."""
    return min(shares, key=lambda share: _miss(one, share))


def _miss(one: TappingDrill, share: float) -> float:
    return abs(one.engagement.basic - share)


def _holes(thread: Thread) -> str:
    """The internal threads that an external one goes into: R of ISO 7-1 is the only one without a hole."""
    size = thread.designation.removeprefix(thread.system)
    return f"Rc{size} (taper) or Rp{size} (parallel)"


def _clearance(thread: Thread, unknown: dict[Block, str]) -> tuple[ClearanceHole, ...]:
    """Holes for a fastening screw."""
    if "external" not in thread.sides:
        unknown["clearance holes"] = "this thread is internal only"
    elif thread.system in HOLLOW:
        unknown["clearance holes"] = "this thread is cut on tubes and other hollow parts"
    elif is_power(thread):
        unknown["clearance holes"] = "this is the thread of a power screw or a coupling, not of a fastener"
    else:
        found = clearance_holes(thread)
        if not found:
            unknown["clearance holes"] = "ISO 273 does not go so far"
        return found
    return ()


def _wires(thread: Thread, unknown: dict[Block, str]) -> WireSheet | None:
    """Best wire and sizes over it, where a wire finds a rest on straight flanks."""
    if "external" not in thread.sides:
        unknown["wires"] = "wires lie on a screw, and this thread is internal only"
    elif not thread.form.symmetric:
        unknown["wires"] = "the flanks differ, and wires need a symmetric form"
    elif thread.system in _ARCS:
        unknown["wires"] = "the profile is two arcs without a straight flank"
    else:
        sheet = wire_sheet(thread)
        if all(math.isfinite(size) for size in sheet.basic.three_wires):
            return sheet
        unknown["wires"] = "the thread is so steep that the best wire finds no rest on its flanks"
    return None


def _hexagons(thread: Thread, unknown: dict[Block, str]) -> tuple[Hexagon, ...]:
    found = hexagons_for(thread)
    if not found:
        unknown["hexagons"] = "no table of hexagons speaks of this thread"
    return found


def _stress_areas(
    thread: Thread, tolerance_class: str | None, unknown: dict[Block, str]
) -> tuple[StressArea, ...]:
    """The area of a solid screw; of a power thread, whose root is deeper, at each class's least sizes."""
    if "external" not in thread.sides:
        unknown["stress area"] = "this thread is internal only"
    elif thread.system in HOLLOW:
        unknown["stress area"] = (
            "this thread is cut on tubes and other hollow parts, whose wall carries the load"
        )
    elif not is_power(thread):
        return (StressArea("", screw_stress_area(thread), "basic"),)
    else:
        found = _class_areas(thread, tolerance_class)
        if not found:
            unknown["stress area"] = "the least root diameter of this screw is not known"
        return found
    return ()


def _breaking(thread: Thread, areas: tuple[StressArea, ...]) -> Breaking | None:
    """Least load that breaks an unmarked screw in tension."""
    if not areas or areas[0].taken_at != "basic":
        return None
    grade = find_grade("unmarked")
    strength = f"{format_decimal(grade.step(thread.nominal_major_mm).tensile)} {grade.unit}"
    basis = "" if grade.source.seen else " from memory"
    load = areas[0].area * grade.tensile_MPa(thread.nominal_major_mm) / 1000
    return Breaking(load, f"{strength}{basis}")


def _class_areas(thread: Thread, tolerance_class: str | None) -> tuple[StressArea, ...]:
    """Areas on the mean of the least pitch and minor diameters, as ASME B1.5 takes them."""
    rows = [row.in_mm() for row in thread.all_limits if row.side == "external"]
    return tuple(
        StressArea(row.tolerance_class, float(area), "least")
        for row in rows
        if tolerance_class in (None, row.tolerance_class)
        and math.isfinite(
            area := tensile_stress_area(pitch_diameter=row.pitch_diameter_min, root_diameter=row.minor_min)
        )
    )
