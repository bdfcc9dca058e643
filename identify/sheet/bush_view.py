"""Views of the bush: along its axis in half-section, and from its face.

Threads follow ISO 6410-1: the crests are a wide line, the roots a narrow one, in the view along the axis
a narrow arc of about three quarters of a circle; hatching runs to the wide line.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright.sheet.drawing import number
from threadwright.sheet.frame import OVER, Profile, View, across, axis, course, edges, lengthwise, line
from threadwright.sheet.layout import Span
from threadwright.sheet.model import Arc, Hatch, Label, Line, Point, Polyline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.drawing import BushDrawing, Driving, ThreadDrawing, Unit
    from threadwright.sheet.frame import Frame
    from threadwright.sheet.model import Entity

__all__ = ["bush_view", "face_view"]


def _outer_profile(bush: BushDrawing) -> Profile:
    """Outside of the bush from its face to its threaded end: place and radius."""
    at, found = 0.0, []
    for step in (bush.spigot, bush.collar):
        if step is not None:
            radius = step.diameter.nominal / 2
            found += [(at, radius), (at + step.length.nominal, radius)]
            at += step.length.nominal
    if bush.undercut is not None:
        radius = bush.undercut.diameter.nominal / 2
        found += [(at, radius), (at + bush.undercut.width.nominal, radius)]
        at += bush.undercut.width.nominal
    end, radius = bush.length.nominal, bush.outer.major / 2
    found += [(at, radius), (end - bush.chamfer, radius)]
    if bush.chamfer:
        found.append((end, radius - bush.chamfer))
    if bush.face_chamfer:
        first = found[0][1]
        found[0] = (bush.face_chamfer, first)
        found.insert(0, (0.0, first - bush.face_chamfer))
    return found


def _inner_profile(bush: BushDrawing) -> Profile:
    """Inside of the bush from its face to its threaded end."""
    minor, end = bush.inner.minor / 2, bush.length.nominal
    sink = 0.0 if bush.countersink is None else bush.countersink.nominal / 2 - minor
    start = 0.0 if bush.bore is None else bush.bore.depth.nominal
    found: Profile = []
    if bush.bore is not None:
        found += [(0.0, bush.bore.diameter.nominal / 2), (start, bush.bore.diameter.nominal / 2)]
    if sink > 0:
        found += [(start, minor + sink), (start + sink, minor)]
    else:
        found.append((start, minor))
    if bush.inner_depth is not None:
        stop = bush.inner_depth.nominal
        return [*found, (stop, minor)]
    if sink > 0:
        return [*found, (end - sink, minor), (end, minor + sink)]
    return [*found, (end, minor)]


def bush_view(bush: BushDrawing, frame: Frame) -> View:
    """The bush along its axis: upper half in section, lower half from outside.

    Parameters
    ----------
    bush : BushDrawing
        What to draw.
    frame : Frame
        Scale and place.

    Returns
    -------
    View
        Its lines, and the sizes to be dimensioned.
    """
    outer, inner = _outer_profile(bush), _inner_profile(bush)
    end = bush.length.nominal
    entities: list[Entity] = [
        Hatch((*course(outer, frame, 1.0), *reversed(course(_closed(inner, end), frame, 1.0)))),
        Polyline(course([(0.0, 0.0), *outer, (end, 0.0)], frame, 1.0), "outline"),
        Polyline(course([(0.0, 0.0), *outer, (end, 0.0)], frame, -1.0), "outline"),
        Polyline(course(_closed(inner, end), frame, 1.0), "outline"),
        *edges(inner, frame, 1.0),
        *edges(outer, frame, -1.0),
        *_thread_lines(bush, frame),
        *_hidden_driving(bush, frame),
        axis(frame, end),
    ]
    return View(
        tuple(entities),
        left=_bush_left(bush, frame),
        right=_bush_right(bush, frame),
        below=_bush_below(bush, frame),
        notes=_bush_notes(bush, frame),
    )


def _closed(inner: Profile, end: float) -> Profile:
    """The inside as far as the end of the bush: a blind bore is closed by its bottom."""
    return inner if inner[-1][0] >= end else [*inner, (inner[-1][0], 0.0), (end, 0.0)]


def _thread_lines(bush: BushDrawing, frame: Frame) -> Iterator[Line]:
    """The narrow lines of both threads, and the wide one where the outer thread begins."""
    end, start, root = bush.length.nominal, bush.thread_start, bush.outer.minor / 2
    stop = end - max(0.0, bush.chamfer - (bush.outer.major - bush.outer.minor) / 2)
    for sign in (1.0, -1.0):
        yield line(frame, (start, sign * root), (stop, sign * root), "thread")
    begin = 0.0 if bush.bore is None else bush.bore.depth.nominal
    last = end if bush.inner_depth is None else bush.inner_depth.nominal
    radius = bush.inner.major / 2
    room = 0.0 if bush.countersink is None else max(0.0, bush.countersink.nominal / 2 - radius)
    yield line(
        frame, (begin + room, radius), (last - (room if bush.inner_depth is None else 0.0), radius), "thread"
    )


def _hidden_driving(bush: BushDrawing, frame: Frame) -> Iterator[Line]:
    """The driving feature as the outside view hides it."""
    if bush.driving is None:
        return
    depth, radius = bush.driving.depth.nominal, _outer_profile(bush)[0][1]
    width = bush.driving.width.nominal / 2
    if bush.driving.kind == "slot":
        yield line(frame, (depth, -radius), (depth, 0.0), "hidden")
    elif bush.driving.kind == "flats":
        yield line(frame, (0.0, -width), (depth, -width), "hidden")
    else:
        middle = (bush.driving.spacing or 0.0) / 2
        for edge in (-middle - width, -middle + width):
            yield line(frame, (0.0, edge), (depth, edge), "hidden")
        yield line(frame, (depth, -middle - width), (depth, -middle + width), "hidden")


def _bush_left(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Diameters seen from the face."""
    found = []
    at = 0.0
    for step in (bush.spigot, bush.collar):
        if step is not None:
            chamfer = bush.face_chamfer if at == 0.0 else 0.0
            points = across(frame, at + chamfer, step.diameter.nominal)
            found.append(Span(*points, step.diameter.label(bush.unit, before="Ø"), "diameter"))
            at += step.length.nominal
    if bush.bore is not None:
        points = across(frame, 0.0, bush.bore.diameter.nominal)
        label = bush.bore.diameter.label(bush.unit, before="Ø")
        found.append(Span(*points, label, "diameter", half=True))
    return tuple(found)


def _bush_right(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Threads, dimensioned by their designation."""
    end = bush.length.nominal
    last = end if bush.inner_depth is None else bush.inner_depth.nominal
    outside = across(frame, end - bush.chamfer, bush.outer.major)
    inside = across(frame, last, bush.inner.major)
    return (
        Span(*outside, Label(bush.outer.designation), "diameter"),
        Span(*inside, Label(bush.inner.designation), "diameter", half=True),
    )


def _bush_below(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Lengths from the face."""
    outer = _outer_profile(bush)
    found, at, radius = [], 0.0, outer[0][1]
    for step in (bush.spigot, bush.collar):
        if step is not None:
            end = (at + step.length.nominal, step.diameter.nominal / 2)
            found.append(lengthwise(frame, (at, max(radius, end[1])), end, step.length, bush.unit))
            at, radius = end
    ends = (0.0, outer[0][1]), (bush.length.nominal, outer[-1][1])
    return (*found, lengthwise(frame, *ends, bush.length, bush.unit))


def _bush_notes(bush: BushDrawing, frame: Frame) -> tuple[tuple[Point, str], ...]:
    """Notes on leaders: undercut, chamfers, bore, inner thread, countersink, runout."""
    unit, end, face = bush.unit, bush.length.nominal, _outer_profile(bush)[0][1]
    found: list[tuple[Point, str]] = []
    if bush.undercut is not None:
        cut = bush.undercut
        place = frame.at(bush.shoulder + cut.width.nominal / 2, cut.diameter.nominal / 2)
        found.append((place, f"undercut {cut.width.words(unit)} x Ø{cut.diameter.words(unit)}"))
    if bush.chamfer:
        place = frame.at(end - bush.chamfer / 2, (bush.outer.major - bush.chamfer) / 2)
        found.append((place, f"{number(bush.chamfer, unit)} x 45°"))
    if bush.face_chamfer:
        place = frame.at(bush.face_chamfer / 2, face + bush.face_chamfer / 2)
        found.append((place, f"{number(bush.face_chamfer, unit)} x 45°"))
    if bush.driving is not None:
        found.append((frame.at(bush.driving.depth.nominal / 2, face), _driving_words(bush.driving, unit)))
    if bush.runout:
        step = bush.collar or bush.spigot
        radius = (step.diameter.nominal if step else bush.outer.major) / 2
        found.append((frame.at(bush.shoulder * 0.8, radius), bush.runout))
    return (*found, *_inner_notes(bush, frame))


def _driving_words(driving: Driving, unit: Unit) -> str:
    """What the driving feature is."""
    width, depth = driving.width.words(unit), driving.depth.words(unit)
    words = {
        "slot": f"slot {width} wide, {depth} deep",
        "flats": f"two flats, {width} across, {depth} long",
        "two holes": f"two holes Ø{width}, {depth} deep, {number(driving.spacing or 0.0, unit)} apart",
    }[driving.kind]
    return f"{words}; {driving.note}" if driving.note else words


def _inner_notes(bush: BushDrawing, frame: Frame) -> Iterator[tuple[Point, str]]:
    """Notes on the bore and the inner thread."""
    unit, begin, minor = bush.unit, 0.0, bush.inner.minor
    if bush.bore is not None:
        begin = bush.bore.depth.nominal
        yield (
            frame.at(begin * 0.7, bush.bore.diameter.nominal / 2),
            f"bore {bush.bore.depth.words(unit)} deep",
        )
    if bush.inner_depth is not None:
        depth = bush.inner_depth
        yield frame.at(depth.nominal * 0.8, minor / 2), f"thread to {depth.words(unit)} from the face"
    if bush.countersink is not None:
        wide = bush.countersink.nominal
        ends = "both ends" if bush.inner_depth is None else "mouth"
        place = frame.at(begin + (wide - minor) / 4, (wide + minor) / 4)
        yield place, f"Ø{bush.countersink.words(unit)} x 90°, {ends} of the thread"


def face_view(bush: BushDrawing, frame: Frame) -> View:
    """The bush seen on its face.

    Parameters
    ----------
    bush : BushDrawing
        What to draw.
    frame : Frame
        Scale, and where the axis is.

    Returns
    -------
    View
        Without dimensions.
    """
    scale, centre = frame.scale, frame.origin
    found: list[Entity] = []
    largest = 0.0
    for step in (bush.spigot, bush.collar):
        if step is not None:
            found.append(Arc(centre, scale * step.diameter.nominal / 2, "outline"))
            largest = max(largest, step.diameter.nominal)
    if not largest:
        found.append(Arc(centre, scale * bush.outer.major / 2, "outline"))
        found.append(Arc(centre, scale * bush.outer.minor / 2, "thread", 100.0, 350.0))
    if bush.bore is not None:
        found.append(Arc(centre, scale * bush.bore.diameter.nominal / 2, "outline"))
    found += _thread_from_its_end(bush.inner, frame)
    found += _driving_from_face(bush, frame)
    reach = scale * max(largest, bush.outer.major) / 2 + OVER
    x, y = centre
    found += [
        Line(Point(x - reach, y), Point(x + reach, y), "centre"),
        Line(Point(x, y - reach), Point(x, y + reach), "centre"),
    ]
    return View(tuple(found))


def _thread_from_its_end(inner: ThreadDrawing, frame: Frame) -> Iterator[Arc]:
    yield Arc(frame.origin, frame.scale * inner.minor / 2, "outline")
    yield Arc(frame.origin, frame.scale * inner.major / 2, "thread", 100.0, 350.0)


def _driving_from_face(bush: BushDrawing, frame: Frame) -> Iterator[Entity]:
    """Slot, holes or flats as they are seen."""
    if bush.driving is None:
        return
    half, outside = bush.driving.width.nominal / 2, _outer_profile(bush)[0][1]
    inside = (bush.inner.minor if bush.bore is None else bush.bore.diameter.nominal) / 2
    if bush.driving.kind == "two holes":
        for sign in (1.0, -1.0):
            place = frame.at(0.0, sign * (bush.driving.spacing or 0.0) / 2)
            yield Arc(place, frame.scale * half, "outline")
        return
    if bush.driving.kind == "flats":
        reach = math.sqrt(max(0.0, outside**2 - half**2))
        for sign in (1.0, -1.0):
            yield line(frame, (-reach, sign * half), (reach, sign * half), "outline")
        return
    near, far = (math.sqrt(max(0.0, radius**2 - half**2)) for radius in (inside, outside))
    for end in (1.0, -1.0):
        for sign in (1.0, -1.0):
            yield line(frame, (sign * half, end * near), (sign * half, end * far), "outline")
