"""A template: the profiles of a series at true scale, to lay a screw against."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from threadwright.sheet.border import check_bar, frame_around
from threadwright.sheet.lettering import wrap
from threadwright.sheet.model import PAPERS, Box, Page, Point, Polyline, Sheet, Text
from threadwright.sheet.outline import thread_outline
from threadwright.tables.numbers import format_decimal
from threadwright.tables.registry import series

if TYPE_CHECKING:
    from threadwright.sheet.model import Entity
    from threadwright.tables.thread import Thread

__all__ = ["compose_template"]

_LENGTH: Final = 85.0  # of a profile
_GAP: Final = 7.0  # between profiles
_SIZE: Final = 2.3
_MOST_NAMED: Final = 30  # sizes named beside one pitch


def compose_template(symbol: str, *, paper: str = "A4", made_with: str = "threadwright") -> Sheet:
    """Draw each pitch of a system once, at true scale, with the sizes that have it.

    Parameters
    ----------
    symbol : str
        Of the system, such as ``"BSF"``.
    paper : {"A4", "Letter"}
        Size of the pages.
    made_with : str
        Name and version of the program.

    Returns
    -------
    Sheet
        As many pages as the pitches need, each with its check bar.

    Raises
    ------
    UnknownThreadError
        If there is no such system.
    SheetError
        If the paper is unknown.

    Examples
    --------
    >>> [page.title for page in compose_template("BSF").pages]
    ['BSF, 1 of 1']
    """
    table = series(symbol)
    by_pitch: dict[tuple[float, int], list[Thread]] = {}
    for row in range(len(table)):
        thread = table.thread(row)
        by_pitch.setdefault((round(thread.pitch_mm, 6), thread.starts), []).append(thread)
    groups = [by_pitch[key] for key in sorted(by_pitch)]
    pages = _pages(groups, paper)
    title = f"Template {symbol}: {table.system.title}, true scale"
    made = []
    for number, drawn in enumerate(pages, start=1):
        name = f"{symbol}, {number} of {len(pages)}"
        made.append(Page(paper, name, (*_fixed(title, name, paper), *drawn)))
    return Sheet(title, tuple(made), made_with=made_with)


def _inner(paper: str) -> Box:
    width, height = PAPERS.get(paper, PAPERS["A4"])
    return Box(10.0, 10.0, width - 10.0, height - 10.0)


def _fixed(title: str, name: str, paper: str) -> list[Entity]:
    """Frame, heading and check bar of a page."""
    inner = _inner(paper)
    note = (
        "Print at 100 %. Basic profiles: lay the screw on a row against the light; it fits when no tooth "
        "walks off along the whole length. A pitch that fits does not name the thread; measure the diameter."
    )
    found: list[Entity] = [
        frame_around(inner),
        Text(Point(inner.left + 5.0, inner.top - 8.0), title, 4.0, bold=True),
        Text(Point(inner.right - 5.0, inner.bottom + 3.2), name, 2.1, "right"),
        *check_bar(Point(inner.left + 5.0, inner.bottom + 3.0)),
    ]
    for row, line in enumerate(wrap(note, width=inner.width - 10.0, size=_SIZE)):
        found.append(Text(Point(inner.left + 5.0, inner.top - 13.0 - 3.2 * row), line, _SIZE))
    return found


def _pages(groups: list[list[Thread]], paper: str) -> list[list[Entity]]:
    """The rows of all pages."""
    inner = _inner(paper)
    first, last = inner.top - 22.0, inner.bottom + 10.0
    pages: list[list[Entity]] = [[]]
    top = first
    for threads in groups:
        drawn, height = _row(threads, Point(inner.left + 5.0, top), inner.right - 5.0)
        if top - height < last and pages[-1]:
            pages.append([])
            top = first
            drawn, height = _row(threads, Point(inner.left + 5.0, top), inner.right - 5.0)
        pages[-1] += drawn
        top -= height
    return pages


def _row(threads: list[Thread], at: Point, right: float) -> tuple[list[Entity], float]:
    """One profile under an upper end, what it is beside it; and the height of both."""
    one = threads[0]
    pitch = one.pitch_mm
    turns = max(1, int(_LENGTH / pitch))
    points = thread_outline(one.form, pitch=pitch, turns=turns)
    start = points[0][0]
    high, low = max(y for _, y in points), min(y for _, y in points)
    base = at.y - high
    body = low - 3.0
    course = [Point(at.x + x - start, base + y) for x, y in points]
    course += [Point(course[-1].x, base + body), Point(at.x, base + body)]
    left = at.x + _LENGTH + 5.0
    lines = wrap(_named(threads), width=right - left, size=_SIZE)
    entities: list[Entity] = [Polyline(tuple(course), "dimension", closed=True)]
    entities.append(Text(Point(left, at.y - _SIZE), _pitch(one), _SIZE, bold=True))
    for row, line in enumerate(lines, start=1):
        entities.append(Text(Point(left, at.y - _SIZE - 1.35 * _SIZE * row), line, _SIZE))
    words = 1.35 * _SIZE * (len(lines) + 1)
    return entities, max(high - body, words) + _GAP


def _pitch(thread: Thread) -> str:
    """The pitch in the unit of the standard, and in the other."""
    starts = f", {thread.starts} starts" if thread.starts > 1 else ""
    if thread.tpi is None:
        return f"pitch {format_decimal(thread.pitch_mm, 4)} mm{starts}"
    return f"{format_decimal(thread.tpi)} tpi, pitch {thread.pitch_mm:.4f} mm{starts}"


def _named(threads: list[Thread]) -> str:
    """Designations that have the pitch."""
    names = [thread.designation for thread in threads]
    if len(names) > _MOST_NAMED:
        names = [*names[:_MOST_NAMED], f"and {len(names) - _MOST_NAMED} more"]
    return ", ".join(names)
