"""Views of the bush: along its axis in half-section, and from its face.

Threads follow ISO 6410-1: the crests are a wide line, the roots a narrow one, in the view along the axis
a narrow arc of about three quarters of a circle; hatching runs to the wide line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from threadwright.sheet.bush_outline import inside, metal, outside, radius_at
from threadwright.sheet.drawing import Along, number
from threadwright.sheet.driving_view import driving_from_face, driving_lengthwise, driving_notes
from threadwright.sheet.frame import OVER, View, across, axis, course, edges, line
from threadwright.sheet.layout import Note, Span
from threadwright.sheet.model import Arc, Hatch, Label, Line, Point, Polyline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.drawing import BushDrawing, ThreadDrawing
    from threadwright.sheet.frame import Frame
    from threadwright.sheet.model import Entity

__all__ = ["bush_view", "face_view"]

_DATUM = "A"


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
    outer, inner = outside(bush), inside(bush)
    end = bush.length.nominal
    closed = inner if inner[-1][0] >= end else [*inner, (inner[-1][0], 0.0), (end, 0.0)]
    entities: list[Entity] = [
        Hatch(course(metal(bush), frame, 1.0)),
        Polyline(course([(0.0, 0.0), *outer, (end, 0.0)], frame, 1.0), "outline"),
        Polyline(course([(0.0, 0.0), *outer, (end, 0.0)], frame, -1.0), "outline"),
        Polyline(course(closed, frame, 1.0), "outline"),
        *edges(inner, frame, 1.0),
        *edges(outer, frame, -1.0),
        *_thread_lines(bush, frame),
        *driving_lengthwise(bush, frame),
        axis(frame, end),
    ]
    return View(
        tuple(entities),
        left=_left(bush, frame),
        right=_right(bush, frame),
        below=_below(bush, frame),
        notes=(*_notes(bush, frame), *_inner_notes(bush, frame), *driving_notes(bush, frame)),
    )


def _thread_lines(bush: BushDrawing, frame: Frame) -> Iterator[Line]:
    """The narrow lines of both threads, and the wide ones where a thread ends in the metal."""
    end, start, root = bush.thread_end, bush.thread_start, bush.outer.minor / 2
    stop = end - max(0.0, bush.chamfer - (bush.outer.major - bush.outer.minor) / 2)
    for sign in (1.0, -1.0):
        yield line(frame, (start, sign * root), (stop, sign * root), "thread")
    if bush.washout and bush.undercut is None:
        crest = bush.outer.major / 2
        yield line(frame, (start, crest), (start, root), "outline")
        yield line(frame, (start, -crest), (start, 0.0), "outline")
    begin, radius = bush.inner_start, bush.inner.major / 2
    last = bush.length.nominal if bush.inner_depth is None else bush.inner_depth.nominal
    room = 0.0 if bush.countersink is None else max(0.0, bush.countersink.nominal / 2 - radius)
    yield line(
        frame, (begin + room, radius), (last - (room if bush.inner_depth is None else 0.0), radius), "thread"
    )
    if bush.inner_depth is not None:
        yield line(frame, (last, radius), (last, 0.0), "outline")


def _left(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Diameters seen from the face; the register is the datum of a runout."""
    found = []
    at = 0.0
    for step in (bush.spigot, bush.collar):
        if step is not None:
            chamfer = bush.face_chamfer if at == 0.0 else 0.0
            points = across(frame, at + chamfer, step.diameter.nominal)
            datum = _DATUM if step is bush.collar and _has_datum(bush) else ""
            label = step.diameter.label(bush.unit, before="Ø")
            found.append(Span(*points, label, "diameter", datum=datum))
            at += step.length.nominal
    if bush.bore is not None:
        points = across(frame, 0.0, bush.bore.diameter.nominal)
        label = bush.bore.diameter.label(bush.unit, before="Ø")
        found.append(Span(*points, label, "diameter", half=True))
    return tuple(found)


def _has_datum(bush: BushDrawing) -> bool:
    """Whether a runout is asked for, and the register stands out far enough to carry its letter."""
    if bush.runout is None or bush.collar is None or bush.spigot is None:
        return False
    return bush.collar.diameter.nominal >= bush.spigot.diameter.nominal


def _right(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Threads, dimensioned by their designation, and a pilot."""
    end = bush.length.nominal
    last = end if bush.inner_depth is None else bush.inner_depth.nominal
    outer = across(frame, bush.thread_end - bush.chamfer, bush.outer.major)
    inner = across(frame, last, bush.inner.major)
    found = (
        Span(*outer, Label(bush.outer.designation), "diameter"),
        Span(*inner, Label(bush.inner.designation), "diameter", half=True),
    )
    if bush.pilot is None:
        return found
    label = bush.pilot.diameter.label(bush.unit, before="Ø")
    return (*found, Span(*across(frame, end, bush.pilot.diameter.nominal), label, "diameter"))


def _below(bush: BushDrawing, frame: Frame) -> tuple[Span, ...]:
    """Lengths, each from the outline of the bush at its two ends."""
    outer = outside(bush)
    found = []
    for one in bush.along or _usual_lengths(bush):
        label = one.size.label(bush.unit)
        if one.auxiliary:
            label = Label(f"({number(one.size.nominal, bush.unit, places=2 if bush.unit == 'mm' else 3)})")
        start, end = (frame.at(place, -radius_at(outer, place)) for place in (one.start, one.end))
        found.append(Span(start, end, label))
    return tuple(found)


def _usual_lengths(bush: BushDrawing) -> Iterator[Along]:
    """Spigot, collar, pilot, and the whole."""
    at = 0.0
    for step in (bush.spigot, bush.collar):
        if step is not None:
            yield Along(start=at, end=at + step.length.nominal, size=step.length)
            at += step.length.nominal
    if bush.pilot is not None:
        yield Along(start=bush.thread_end, end=bush.length.nominal, size=bush.pilot.length)
    yield Along(start=0.0, end=bush.length.nominal, size=bush.length)


def _notes(bush: BushDrawing, frame: Frame) -> Iterator[Note]:
    """Notes on the outside: undercut, chamfers, runout, vent flat, remarks."""
    unit, outer = bush.unit, outside(bush)
    if bush.undercut is not None:
        cut = bush.undercut
        place = frame.at(bush.shoulder + cut.width.nominal / 2, cut.diameter.nominal / 2)
        yield Note(place, f"undercut {cut.width.words(unit)} x Ø{cut.diameter.words(unit)}")
    if bush.chamfer:
        place = frame.at(bush.thread_end - bush.chamfer / 2, (bush.outer.major - bush.chamfer) / 2)
        to = bush.chamfer_to
        words = f"{number(bush.chamfer, unit)} x 45°" if to is None else f"45° to Ø{to.words(unit)}"
        yield Note(place, words)
    if bush.face_chamfer:
        place = frame.at(bush.face_chamfer / 2, outer[0][1] + bush.face_chamfer / 2)
        yield Note(place, f"{number(bush.face_chamfer, unit)} x 45°")
    if bush.vent is not None:
        place = frame.at((bush.thread_start + 3 * bush.thread_end) / 4, bush.outer.major / 2)
        yield Note(place, f"flat {bush.vent.words(unit)} deep along the thread: vent")
    for at, words in bush.remarks:
        yield Note(frame.at(at, radius_at(outer, at)), words)
    if bush.runout is not None and (bush.spigot or bush.collar):
        step = bush.spigot or bush.collar
        assert step is not None
        place = frame.at(0.75 * step.length.nominal, step.diameter.nominal / 2)
        cells = (_DATUM,) if _has_datum(bush) else ("register",)
        yield Note(place, number(bush.runout, unit), cells)


def _inner_notes(bush: BushDrawing, frame: Frame) -> Iterator[Note]:
    """Notes on the bore and the inner thread."""
    unit, begin, minor = bush.unit, bush.inner_start, bush.inner.minor
    if bush.bore is not None:
        place = frame.at(begin * 0.7, bush.bore.diameter.nominal / 2)
        yield Note(place, f"bore {bush.bore.depth.words(unit)}{'' if bush.bore.depth.note else ' deep'}")
    if bush.inner_depth is not None:
        depth = bush.inner_depth
        place = frame.at(depth.nominal * 0.8, minor / 2)
        yield Note(place, f"thread to {depth.words(unit)} from the face")
    if bush.countersink is not None:
        wide = bush.countersink.nominal
        ends = "both ends" if bush.inner_depth is None else "mouth"
        place = frame.at(begin + (wide - minor) / 4, (wide + minor) / 4)
        yield Note(place, f"Ø{bush.countersink.words(unit)} x 90°, {ends} of the thread")


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
        if step is not None and step.diameter.nominal > largest:
            found.append(Arc(centre, scale * step.diameter.nominal / 2, "outline"))
            largest = max(largest, step.diameter.nominal)
    if bush.outer.major > largest:
        found.append(Arc(centre, scale * bush.outer.major / 2, "outline"))
    if not largest:
        found.append(Arc(centre, scale * bush.outer.minor / 2, "thread", 100.0, 350.0))
    if bush.bore is not None:
        found.append(Arc(centre, scale * bush.bore.diameter.nominal / 2, "outline"))
    found += _thread_from_its_end(bush.inner, frame)
    found += driving_from_face(bush, frame)
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
