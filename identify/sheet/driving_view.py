"""The driving feature of a bush as the views show it: slot and two holes cut, flats on a head before it.

They lie so that the section cuts slot and holes along their length, and shows the flats on edge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright.sheet.bush_outline import inside, outside, pocket, radius_at
from threadwright.sheet.drawing import number
from threadwright.sheet.frame import course, line
from threadwright.sheet.layout import Note
from threadwright.sheet.model import Arc, Polyline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.drawing import BushDrawing, Driving, Unit
    from threadwright.sheet.frame import Frame
    from threadwright.sheet.model import Entity

__all__ = ["driving_from_face", "driving_lengthwise", "driving_notes"]


def driving_lengthwise(bush: BushDrawing, frame: Frame) -> Iterator[Entity]:
    """Along the axis: cut in the upper half, hidden in the lower one; a head that goes is a phantom."""
    driving = bush.driving
    if driving is None:
        return
    depth, half = driving.depth.nominal, driving.width.nominal / 2
    if driving.kind == "slot":
        bottom = driving.at + depth
        radius, bore = radius_at(outside(bush), driving.at), radius_at(inside(bush), bottom)
        yield line(frame, (bottom, radius), (bottom, bore), "outline")
        yield line(frame, (bottom, -radius), (bottom, 0.0), "hidden")
    elif driving.kind == "flats":
        head = [(0.0, half), (-depth, half), (-depth, -half), (0.0, -half)]
        yield Polyline(course(head, frame, 1.0), "phantom")
    else:
        hole = pocket(bush)
        yield Polyline(course(hole, frame, 1.0), "outline")
        yield Polyline(course(hole, frame, -1.0), "hidden")


def driving_from_face(bush: BushDrawing, frame: Frame) -> Iterator[Entity]:
    """As the bush's face shows it."""
    driving = bush.driving
    if driving is None:
        return
    half, rim = driving.width.nominal / 2, radius_at(outside(bush), driving.at)
    if driving.kind == "two holes":
        for sign in (1.0, -1.0):
            place = frame.at(0.0, sign * (driving.spacing or 0.0) / 2)
            yield Arc(place, frame.scale * half, "outline")
        return
    if driving.kind == "flats":
        reach = math.sqrt(max(0.0, outside(bush)[0][1] ** 2 - half**2))
        for sign in (1.0, -1.0):
            if reach:
                yield line(frame, (-reach, sign * half), (reach, sign * half), "phantom")
        return
    bore = radius_at(inside(bush), 0.0)
    near, far = (math.sqrt(max(0.0, radius**2 - half**2)) for radius in (bore, rim))
    for end in (1.0, -1.0):
        for sign in (1.0, -1.0):
            yield line(frame, (sign * half, end * near), (sign * half, end * far), "outline")


def driving_notes(bush: BushDrawing, frame: Frame) -> Iterator[Note]:
    """What the driving feature is, and how it is hidden or removed."""
    driving = bush.driving
    if driving is None:
        return
    words = _words(driving, bush.unit)
    if driving.kind == "flats":
        yield Note(frame.at(-driving.depth.nominal / 2, driving.width.nominal / 2), words)
    elif driving.kind == "slot":
        radius = radius_at(outside(bush), driving.at)
        yield Note(frame.at(driving.at + driving.depth.nominal / 2, radius), words)
    else:
        yield Note(frame.at(driving.at, (driving.spacing or 0.0) / 2), words)


def _words(driving: Driving, unit: Unit) -> str:
    width, depth = driving.width.words(unit), driving.depth.words(unit)
    words = {
        "slot": f"slot {width} wide, {depth} deep",
        "flats": f"flats {width} across, {depth} long",
        "two holes": f"two holes Ø{width}, {depth} deep, {number(driving.spacing or 0.0, unit)} apart",
    }[driving.kind]
    return f"{words}; {driving.note}" if driving.note else words
