"""View of the hole in section along its axis; threads as in ISO 6410-1."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright.sheet.bush_outline import POINT_ANGLE
from threadwright.sheet.drawing import Size
from threadwright.sheet.frame import Profile, View, across, axis, break_line, course, edges, lengthwise, line
from threadwright.sheet.layout import Note, Span
from threadwright.sheet.model import Hatch, Label, Polyline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.drawing import HoleDrawing, Unit
    from threadwright.sheet.frame import Frame
    from threadwright.sheet.model import Entity, Line

__all__ = ["hole_view"]


def _hole_profile(hole: HoleDrawing, end: float) -> Profile:
    """Half of the hole from its face to where it ends or is broken off."""
    minor = hole.drill.nominal / 2
    found: Profile = []
    start = 0.0
    if hole.counterbore is not None:
        start, radius = hole.counterbore.depth.nominal, hole.counterbore.diameter.nominal / 2
        found += [(0.0, radius), (start, radius)]
    if hole.relief is not None:
        radius, width = hole.relief.diameter.nominal / 2, hole.relief.width.nominal
        found += [(start, radius), (start + width, radius)]
        start += width
    if hole.countersink is not None and hole.countersink.nominal / 2 > minor:
        sink = hole.countersink.nominal / 2 - minor
        found += [(start, minor + sink), (start + sink, minor)]
    else:
        found.append((start, minor))
    if hole.drill_depth is None:
        return [*found, (end, minor)]
    bottom = hole.drill_depth.nominal
    found.append((bottom, minor))
    if hole.pilot is not None:
        minor, top = hole.pilot.diameter.nominal / 2, bottom
        bottom += hole.pilot.depth.nominal
        found += [(top, minor), (bottom, minor)]
        if hole.through:
            return [*found[:-1], (end, minor)]
    return [*found, (bottom + minor / math.tan(math.radians(POINT_ANGLE)), 0.0)]


def _hole_end(hole: HoleDrawing) -> tuple[float, bool]:
    """Where the drawn piece of metal ends, and whether it is broken off there."""
    if hole.thickness is not None:
        return hole.thickness, False
    if hole.through:
        return hole.thread_depth.nominal, False
    deepest = (hole.drill_depth or hole.thread_depth).nominal
    deepest += 0.0 if hole.pilot is None else hole.pilot.depth.nominal
    return deepest + hole.thread.major * 0.75, True


def _far_radius(hole: HoleDrawing) -> float:
    """Radius of the hole where the drawn piece ends; nothing if it is blind."""
    if hole.drill_depth is None:
        return hole.drill.nominal / 2
    return hole.pilot.diameter.nominal / 2 if hole.through and hole.pilot is not None else 0.0


def _half_width(hole: HoleDrawing) -> tuple[float, bool]:
    """Half the height of the drawn piece of metal, and whether it is broken off there."""
    wide = hole.thread.major if hole.counterbore is None else hole.counterbore.diameter.nominal
    usual = max(0.85 * wide, 1.0 * hole.thread.major)
    if hole.boss is not None and hole.boss / 2 <= 1.4 * usual:
        return hole.boss / 2, False
    return usual, True


def hole_view(hole: HoleDrawing, frame: Frame, *, unit: Unit = "mm") -> View:
    """The hole in section along its axis, its face to the left.

    Parameters
    ----------
    hole : HoleDrawing
        What to draw.
    frame : Frame
        Scale and place.
    unit : {"mm", "in"}
        Of the sizes written.

    Returns
    -------
    View
        Its lines, and the sizes to be dimensioned.
    """
    end, broken_end = _hole_end(hole)
    half, broken_side = _half_width(hole)
    profile = _hole_profile(hole, end)
    entities: list[Entity] = []
    for sign in (1.0, -1.0):
        inside = course(profile, frame, sign)
        corners = [(end, half), (0.0, half)]
        corners = corners if _far_radius(hole) else [(end, 0.0), *corners]
        entities.append(Hatch((*inside, *course(corners, frame, sign))))
        entities.append(Polyline(inside, "outline"))
        mouth = (0.0, sign * profile[0][1])
        entities.append(line(frame, (0.0, sign * half), mouth, "outline"))
        entities += _side(frame, end, sign * half, broken=broken_side)
        entities += edges(profile, frame, sign)
        entities += _hole_thread(hole, frame, sign, end)
    entities += _far_end(hole, frame, end, half, broken=broken_end)
    entities.append(axis(frame, end))
    return View(
        tuple(entities),
        left=_hole_left(hole, frame, unit),
        right=_hole_right(frame, end, half, unit, broken=broken_side),
        below=_hole_below(hole, frame, half, unit),
        notes=_hole_notes(hole, frame, unit),
    )


def _side(frame: Frame, end: float, half: float, *, broken: bool) -> Iterator[Entity]:
    if broken:
        yield break_line(frame, (0.0, half), (end, half))
    else:
        yield line(frame, (0.0, half), (end, half), "outline")


def _far_end(hole: HoleDrawing, frame: Frame, end: float, half: float, *, broken: bool) -> Iterator[Entity]:
    """The far face, or the break."""
    if broken:
        yield break_line(frame, (end, -half), (end, half))
        return
    inside = _far_radius(hole)
    yield line(frame, (end, half), (end, inside), "outline")
    yield line(frame, (end, -half), (end, -inside), "outline")


def _hole_thread(hole: HoleDrawing, frame: Frame, sign: float, end: float) -> Iterator[Line]:
    """The narrow line of the thread, and the wide one where it ends in the metal."""
    begin = 0.0 if hole.counterbore is None else hole.counterbore.depth.nominal
    begin += 0.0 if hole.relief is None else hole.relief.width.nominal
    last = min(hole.thread_depth.nominal, end)
    radius = sign * hole.thread.major / 2
    yield line(frame, (begin, radius), (last, radius), "thread")
    if last < end:
        yield line(frame, (last, radius), (last, 0.0), "outline")


def _hole_left(hole: HoleDrawing, frame: Frame, unit: Unit) -> tuple[Span, ...]:
    """Diameters, all from the face: counterbore, thread, tapping hole."""
    found = []
    if hole.counterbore is not None:
        points = across(frame, 0.0, hole.counterbore.diameter.nominal)
        found.append(Span(*points, hole.counterbore.diameter.label(unit, before="Ø"), "diameter"))
    start = 0.0 if hole.counterbore is None else hole.counterbore.depth.nominal
    start += 0.0 if hole.relief is None else hole.relief.width.nominal
    points = across(frame, start, hole.thread.major)
    found.append(Span(*points, Label(hole.thread.designation), "diameter"))
    points = across(frame, start, hole.drill.nominal)
    found.append(Span(*points, hole.drill.label(unit, before="Ø"), "diameter"))
    return tuple(found)


def _hole_right(frame: Frame, end: float, half: float, unit: Unit, *, broken: bool) -> tuple[Span, ...]:
    """The boss, where it is drawn whole."""
    if broken:
        return ()
    label = Size(2 * half).label(unit, before="Ø")
    return (Span(*across(frame, end, 2 * half), label, "diameter"),)


def _hole_below(hole: HoleDrawing, frame: Frame, half: float, unit: Unit) -> tuple[Span, ...]:
    """Depths from the face."""
    found, face = [], (0.0, half)
    if hole.counterbore is not None:
        bore = hole.counterbore
        radius = bore.diameter.nominal / 2
        found.append(lengthwise(frame, face, (bore.depth.nominal, radius), bore.depth, unit))
    if not hole.through or hole.thread_depth.nominal < _hole_end(hole)[0] - 1e-6:
        depth = hole.thread_depth
        found.append(lengthwise(frame, face, (depth.nominal, hole.thread.major / 2), depth, unit))
    if hole.drill_depth is not None:
        depth = hole.drill_depth
        found.append(lengthwise(frame, face, (depth.nominal, hole.drill.nominal / 2), depth, unit))
    if hole.thickness is not None or hole.through:
        end = _hole_end(hole)[0]
        found.append(lengthwise(frame, face, (end, half), Size(end, coarse=True), unit))
    return tuple(found)


def _hole_notes(hole: HoleDrawing, frame: Frame, unit: Unit) -> tuple[Note, ...]:
    """Notes on leaders: relief, countersink, what is beyond the thread."""
    found: list[Note] = []
    start = 0.0 if hole.counterbore is None else hole.counterbore.depth.nominal
    if hole.relief is not None:
        cut = hole.relief
        place = frame.at(start + cut.width.nominal / 2, cut.diameter.nominal / 2)
        found.append(Note(place, f"relief {cut.width.words(unit)} x Ø{cut.diameter.words(unit)}"))
        start += cut.width.nominal
    if hole.countersink is not None:
        sink = (hole.countersink.nominal - hole.drill.nominal) / 4
        radius = (hole.countersink.nominal + hole.drill.nominal) / 4
        found.append(Note(frame.at(start + sink, radius), f"Ø{hole.countersink.words(unit)} x 90°"))
    if hole.pilot is not None and hole.drill_depth is not None:
        bore = hole.pilot
        place = frame.at(hole.drill_depth.nominal + bore.depth.nominal / 2, bore.diameter.nominal / 2)
        found.append(Note(place, f"ream Ø{bore.diameter.words(unit)}, {bore.depth.words(unit)} deep below"))
    if hole.drill_depth is None and not hole.through:
        end = _hole_end(hole)[0]
        place = frame.at((hole.thread_depth.nominal + end) / 2, hole.drill.nominal / 2)
        found.append(Note(place, "room for tap lead and drill point"))
    return tuple(found)
