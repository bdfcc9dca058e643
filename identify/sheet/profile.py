"""The profiles of the leading candidates over each other, enlarged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from threadwright.sheet.border import check_bar, frame_around
from threadwright.sheet.layout import SCALES, scale_name
from threadwright.sheet.lettering import wrap
from threadwright.sheet.model import PAPERS, Box, Line, Page, Point, Polyline, Sheet, Text
from threadwright.sheet.outline import thread_outline
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from threadwright.sheet.model import Entity, LayerName
    from threadwright.tables.thread import Thread

__all__ = ["MOST", "Shown", "compose_profiles"]

_LAYERS: Final[tuple[LayerName, ...]] = ("outline", "hidden", "thread", "centre")
MOST: Final = len(_LAYERS)
"""Profiles that one picture can keep apart."""
_TURNS: Final = 3
_HEIGHT: Final = 150.0


@dataclass(frozen=True, slots=True)
class Shown:
    """A thread to be drawn, and what is said of it."""

    thread: Thread
    words: str = ""


def compose_profiles(shown: Sequence[Shown], *, paper: str = "A4", made_with: str = "threadwright") -> Sheet:
    """Lay basic profiles over each other, the middle of one crest on that of the other.

    Heights are true to each other: the axis of all lies at the same place, so that a difference of
    the diameters is seen.

    Parameters
    ----------
    shown : sequence of Shown
        One to four threads.
    paper : {"A4", "Letter"}
        Size of the page.
    made_with : str
        Name and version of the program.

    Returns
    -------
    Sheet
        One page.

    Raises
    ------
    SheetError
        If there is none, or more than line types can keep apart.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> sheet = compose_profiles([Shown(find_thread("M6x1")), Shown(find_thread("0 BA"))])
    >>> sheet.title
    'Profiles of M6x1, 0 BA at 50:1'
    """
    if not 1 <= len(shown) <= MOST:
        raise SheetError(f"profiles: {len(shown)} threads; give 1 to {MOST}")
    width, height = PAPERS[paper]
    inner = Box(20.0, 10.0, width - 10.0, height - 10.0)
    scale = _scale([one.thread for one in shown], inner.width - 10.0)
    top = max(one.thread.major_basic * one.thread.to_mm for one in shown) / 2
    names = ", ".join(one.thread.designation for one in shown)
    title = f"Profiles of {names} at {scale_name(scale)}"
    entities: list[Entity] = [frame_around(inner), *check_bar(Point(25.0, 13.0), scale=scale)]
    for row, line in enumerate(wrap(title, width=inner.width - 10.0, size=4.0, bold=True)):
        entities.append(Text(Point(25.0, inner.top - 8.0 - 5.5 * row), line, 4.0, bold=True))
    crest = Point(inner.left + inner.width / 2, inner.top - 45.0)
    curves = [
        _curve(one.thread, layer, scale, crest, top) for layer, one in zip(_LAYERS, shown, strict=False)
    ]
    lowest = min(point.y for curve in curves for point in curve.points)
    entities += [*curves, *_key(shown, Point(25.0, lowest - 15.0), inner)]
    return Sheet(title, (Page(paper, "Profiles", tuple(entities)),), made_with=made_with)


def _scale(threads: Sequence[Thread], width: float) -> float:
    """The largest scale at which three turns of the coarsest and all depths have room."""
    pitch = max(thread.pitch_mm for thread in threads)
    ends = [(thread.major_basic * thread.to_mm, thread.minor_basic * thread.to_mm) for thread in threads]
    depth = (max(end[0] for end in ends) - min(end[1] for end in ends)) / 2
    return next(
        (scale for scale in SCALES if _TURNS * pitch * scale <= width and depth * scale <= _HEIGHT),
        SCALES[-1],
    )


def _curve(thread: Thread, layer: LayerName, scale: float, crest: Point, top: float) -> Polyline:
    """One profile; ``top`` is the radius that lies at the height of ``crest``. [mm]"""
    pitch_line = thread.pitch_diameter_basic * thread.to_mm / 2
    points = thread_outline(thread.form, pitch=thread.pitch_mm, turns=_TURNS)
    back = _TURNS // 2 * thread.pitch_mm
    return Polyline(
        tuple(
            Point(crest.x + scale * (x - back), crest.y + scale * (pitch_line + y - top)) for x, y in points
        ),
        layer,
    )


def _key(shown: Sequence[Shown], at: Point, inner: Box) -> list[Entity]:
    """Which line is which thread."""
    found: list[Entity] = []
    y = at.y
    for layer, one in zip(_LAYERS, shown, strict=False):
        found.append(Line(Point(at.x, y + 0.9), Point(at.x + 22.0, y + 0.9), layer))
        for line in wrap(f"{_sizes(one.thread)}. {one.words}", width=inner.right - at.x - 30.0, size=2.5):
            found.append(Text(Point(at.x + 26.0, y), line))
            y -= 3.6
        y -= 1.8
    note = "Basic profiles, without wear and tolerance; one crest of each at the same place."
    return [*found, Text(Point(at.x, y), note, 2.1)]


def _sizes(thread: Thread) -> str:
    """Designation and basic sizes."""
    basic = (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic)
    major, pitch_diameter, minor = (f"{value * thread.to_mm:.3f}" for value in basic)
    return (
        f"{thread.designation}: pitch {thread.pitch_mm:.4g} mm, thread angle {thread.form.thread_angle:g}°, "
        f"major {major}, pitch diameter {pitch_diameter}, minor {minor} mm"
    )
