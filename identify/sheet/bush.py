"""The two pages of a bush: the bush itself, and the hole it goes into."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

from threadwright.sheet.blocks import (
    Block,
    bulleted,
    flow,
    height_needed,
    inspection_table,
    prose,
    size_table,
)
from threadwright.sheet.border import check_bar, frame_around, stamp, title_block
from threadwright.sheet.bush_view import bush_view, face_view
from threadwright.sheet.drawing import BushDrawing
from threadwright.sheet.frame import OVER, Frame, View
from threadwright.sheet.hole_view import hole_view
from threadwright.sheet.layout import SCALES, hang_notes, scale_name, stack
from threadwright.sheet.model import PAPERS, Box, Page, Point, Sheet, Text, box_around
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from threadwright.sheet.drawing import Lists, Texts
    from threadwright.sheet.model import Entity

__all__ = ["BushDrawing", "compose"]

_MARGINS: Final = (20.0, 10.0, 10.0, 10.0)  # ISO 5457: left, bottom, right, top
_TITLE_HEIGHT: Final = 25.5
_BAR_HEIGHT: Final = 6.0
_SIZES_OF_TYPE: Final = (2.5, 2.35, 2.2, 2.05, 1.95)
_TYPE_OF_MORE: Final = 2.2  # where the lists go on to a further page anyway
_LEAST_DRAWING: Final = 80.0
_UNDER_VIEW: Final = 2.0
_LEAST_DRAWN: Final = 30.0  # a bush is drawn as long as this, or in its true size
_SHARES_OF_CHOICE: Final = (0.58, 0.54, 0.5)  # of the page, for lists that go on on a further one
_SHARES: Final = (*_SHARES_OF_CHOICE, 0.35, 0.2)
_FACE_GAP: Final = 8.0
_HOLE: Final = "Hole"

_Aside = Callable[[float, float], tuple["Entity", ...]]
"""Draws what stands beside a view, given its left end and the height of its axis."""


@dataclass(frozen=True, slots=True)
class _Picture:
    """A view with its dimensions at one scale."""

    frame: Frame
    entities: tuple[Entity, ...]
    box: Box


def compose(bush: BushDrawing) -> Sheet:
    """Lay out the pages of a bush.

    Parameters
    ----------
    bush : BushDrawing
        All that is to be drawn and written.

    Returns
    -------
    Sheet
        Two pages, the bush and the hole; further ones only for lists that are too long for them.

    Raises
    ------
    SheetError
        If a view fits no page at the smallest scale.
    """
    first, left = _bush_page(bush)
    second, rest = _hole_page(bush, left)
    drawn = [first, second]
    while rest:
        page, rest = _list_page(bush, rest)
        drawn.append(page)
    count = len(drawn)
    finished = (
        Page(bush.paper, page.title, (*page.entities, *_title(bush, page, number, count)))
        for number, page in enumerate(drawn, start=1)
    )
    title = f"Bush {bush.outer.designation} / {bush.inner.designation}: {bush.title.part}"
    return Sheet(title, tuple(finished), made_with=bush.title.made_with)


@dataclass(frozen=True, slots=True)
class _Draft:
    """A page without its title block."""

    title: str
    scale: float | None
    entities: tuple[Entity, ...]


def _inner(bush: BushDrawing) -> Box:
    """What is inside the frame."""
    width, height = PAPERS[bush.paper]
    left, bottom, right, top = _MARGINS
    return Box(left, bottom, width - right, height - top)


def _room(bush: BushDrawing) -> Box:
    """What is left above title block and check bar."""
    left, bottom, right, top = _inner(bush)
    return Box(left + 3.0, bottom + _TITLE_HEIGHT + _BAR_HEIGHT + 1.0, right - 3.0, top - 3.0)


def _bush_page(bush: BushDrawing) -> tuple[_Draft, list[Block]]:
    def blocks(width: float, size: float) -> list[Block]:
        found = _lists("of the bush", bush.bush, bush, width, size)
        if bush.verdict:
            found.append(prose("Verdict", bush.verdict, width=width, size=size))
        if bush.assumptions:
            found.append(bulleted("Taken for this sheet", bush.assumptions, width=width, size=size))
        return found

    def picture(room: Box) -> _Picture:
        return _with_face(bush, room)

    return _page(bush, "Bush", blocks, picture)


def _hole_page(bush: BushDrawing, more: list[Block]) -> tuple[_Draft, list[Block]]:
    """The page of the hole, with what found no room on that of the bush at its end."""

    def blocks(width: float, size: float) -> list[Block]:
        found = _lists("of the hole", bush.hole_lists, bush, width, size)
        if bush.cautions:
            found.append(bulleted("Cautions", bush.cautions, width=width, size=size))
        return [*found, *more]

    def picture(room: Box) -> _Picture:
        least = (bush.hole.thread_depth.nominal, bush.hole.thread.major)
        return _largest(lambda frame: hole_view(bush.hole, frame, unit=bush.unit), room, least=least)

    return _page(bush, _HOLE, blocks, picture)


def _lists(of: str, lists: Lists, bush: BushDrawing, width: float, size: float) -> list[Block]:
    """What must be said, sizes, operations and inspection of one page."""
    found = [_texts(one, width, size) for one in lists.says]
    if lists.sizes:
        heading = f"Sizes {of} in {'inches' if bush.unit == 'in' else 'mm'}"
        found.append(size_table(heading, lists.sizes, unit=bush.unit, width=width, size=size))
    found += [_texts(one, width, size) for one in lists.operations]
    if lists.inspections:
        heading = f"Inspection in {'inches' if bush.unit == 'in' else 'mm'}"
        found.append(inspection_table(heading, lists.inspections, unit=bush.unit, width=width, size=size))
    return found


def _texts(one: Texts, width: float, size: float) -> Block:
    """One list of sentences."""
    return bulleted(one.heading, one.texts, width=width, size=size, first=one.first)


def _page(
    bush: BushDrawing,
    title: str,
    blocks: Callable[[float, float], list[Block]],
    picture: Callable[[Box], _Picture],
) -> tuple[_Draft, list[Block]]:
    """One page: stamp, drawing, lists; and the lists that found no room."""
    room = _room(bush)
    entities: list[Entity] = []
    if bush.not_settled:
        drawn, height = stamp(bush.not_settled, width=room.width, left=room.left, top=room.top)
        entities += drawn
        room = room._replace(top=room.top - height - 2.0)
    column = (room.width - 6.0) / 2
    made = {size: blocks(column, size) for size in _SIZES_OF_TYPE}

    def view_over(height: float) -> _Picture:
        return picture(room._replace(bottom=room.bottom + height + _UNDER_VIEW))

    part = max(bush.length.nominal, bush.outer.major)
    size, height, view = _arranged(made, room.height, view_over, least=min(1.0, _LEAST_DRAWN / part))
    drawn, left = flow(made[size], room=room._replace(top=room.bottom + height))
    return _Draft(title, view.frame.scale, (*entities, *view.entities, *drawn)), list(left)


def _arranged(
    lists: dict[float, list[Block]], height: float, view_over: Callable[[float], _Picture], *, least: float
) -> tuple[float, float, _Picture]:
    """Size of type, height of the lists, and the view over them.

    All lists go on the page if the view keeps the least scale then; their type is the largest that costs
    the view nothing. Else they go on on a further page, where that makes the view larger.
    """
    needed = {size: height_needed(one, most=height - _LEAST_DRAWING) for size, one in lists.items()}
    fitting = {size: tall for size, tall in needed.items() if tall is not None}
    smallest = _SIZES_OF_TYPE[-1]
    best = _tried(view_over, fitting[smallest]) if fitting else None
    if best is None or best.frame.scale < least:
        large = 0.0 if best is None else best.frame.scale
        for share in _SHARES if best is None else _SHARES_OF_CHOICE:
            roomy = _tried(view_over, share * height)
            if roomy is not None and roomy.frame.scale > large:
                return _TYPE_OF_MORE, share * height, roomy
    if best is None:
        return _TYPE_OF_MORE, 0.0, view_over(0.0)
    under = height - best.box.height - _UNDER_VIEW
    size = next(size for size, tall in fitting.items() if size == smallest or tall <= under)
    return size, fitting[size], best if size == smallest else view_over(fitting[size])


def _tried(draw: Callable[[float], _Picture], height: float) -> _Picture | None:
    """A picture over lists of a height, if there is room for one."""
    try:
        return draw(height)
    except SheetError:
        return None


def _list_page(bush: BushDrawing, blocks: list[Block]) -> tuple[_Draft, list[Block]]:
    """A further page for lists."""
    drawn, left = flow(blocks, room=_room(bush))
    if not drawn:
        raise SheetError(f"{blocks[0].heading}: one entry is longer than a page; shorten it")
    return _Draft("Lists", None, drawn), list(left)


# --- pictures -----------------------------------------------------------------------------------------------


def _picture(
    draw: Callable[[Frame], View], scale: float, origin: Point, aside: _Aside | None, width: float
) -> _Picture:
    """A view with all its dimensions and notes: sides first, then below and above what they take up."""
    view = draw(Frame(scale, origin))
    body = box_around(view.entities)
    sides = (
        *stack(view.left, side="left", edge=body.left, scale=scale),
        *stack(view.right, side="right", edge=body.right, scale=scale),
    )
    box = box_around((*view.entities, *sides))
    beside = () if aside is None else aside(box.right + _FACE_GAP, origin.y)
    below = stack(view.below, side="below", edge=box.bottom, scale=scale)
    whole = box_around((*view.entities, *sides, *beside))
    notes = hang_notes(view.notes, above=whole.top + 2.0, beside=whole, width=width)
    entities = (*view.entities, *sides, *below, *beside, *notes)
    return _Picture(Frame(scale, origin), entities, box_around(entities))


def _largest(
    draw: Callable[[Frame], View],
    room: Box,
    *,
    least: tuple[float, float],
    asides: Callable[[float], tuple[_Aside | None, ...]] = lambda _: (None,),
) -> _Picture:
    """The view at the largest scale at which it fits, in the middle of its room.

    ``least`` is the width and height of the part itself; ``asides`` tells what may stand to the right of a
    view at a scale, the best first.
    """
    for scale in SCALES:
        if scale * least[0] > room.width or scale * least[1] > room.height:
            continue
        for aside in asides(scale):
            tried = _picture(draw, scale, Point(0.0, 0.0), aside, room.width)
            if tried.box.width <= room.width and tried.box.height <= room.height:
                x = room.left + (room.width - tried.box.width) / 2 - tried.box.left
                y = room.bottom + (room.height - tried.box.height) / 2 - tried.box.bottom
                return _picture(draw, scale, Point(round(x, 3), round(y, 3)), aside, room.width)
    raise SheetError(
        f"drawing: it fits no room of {room.width:.0f} x {room.height:.0f} mm even at "
        f"{scale_name(SCALES[-1])}; check its sizes"
    )


def _with_face(bush: BushDrawing, room: Box) -> _Picture:
    """The bush with the view from its face at the right, that one at the same scale or the next smaller."""
    steps = (bush.spigot, bush.collar)
    largest = max([bush.outer.major, *(step.diameter.nominal for step in steps if step is not None)])
    smaller = dict(zip(SCALES, (*SCALES[1:], SCALES[-1]), strict=True))

    def asides(main: float) -> tuple[_Aside, ...]:
        return tuple(partial(_face, bush, main, scale, largest) for scale in (main, smaller[main]))

    least = (bush.length.nominal, largest)
    return _largest(lambda frame: bush_view(bush, frame), room, least=least, asides=asides)


def _face(
    bush: BushDrawing, main: float, scale: float, largest: float, left: float, y: float
) -> tuple[Entity, ...]:
    """The view from the face at a scale, from a left end on, with its name."""
    reach = scale * largest / 2 + OVER
    centre = Point(left + reach, y)
    caption = f"from the face{'' if scale == main else f', {scale_name(scale)}'}"
    words = Text(Point(centre.x, y - reach - 3.0), caption, 2.1, "middle")
    return (*face_view(bush, Frame(scale, centre)).entities, words)


# --- title block --------------------------------------------------------------------------------------------


def _title(bush: BushDrawing, page: _Draft, number: int, count: int) -> tuple[Entity, ...]:
    """Frame, title block and check bar."""
    inner, title = _inner(bush), bush.title
    threads = f"{bush.outer.designation} outside, {bush.inner.designation} inside"
    if page.title == _HOLE:
        threads = bush.hole.thread.designation
    scale = "-" if page.scale is None else scale_name(page.scale)
    rows = (
        (
            ("part of the machine", title.part, 0.5),
            ("drawing", f"{page.title}: {threads}", 0.5),
        ),
        (
            ("metal of the bush", title.bush_material, 0.32),
            ("metal of the part", title.parent_material, 0.32),
            ("sizes in", "inches" if bush.unit == "in" else "mm", 0.12),
            ("projection", "first angle", 0.24),
        ),
        (
            ("scale", scale, 0.12),
            ("date", title.date, 0.16),
            ("drawn by", title.drawn_by, 0.22),
            ("number", title.number, 0.14),
            ("drawn with", title.made_with, 0.2),
            ("sheet", f"{number} of {count}", 0.16),
        ),
    )
    return (
        frame_around(inner),
        *title_block(inner._replace(top=inner.bottom + _TITLE_HEIGHT), rows),
        *check_bar(Point(inner.left + 3.0, inner.bottom + _TITLE_HEIGHT + 1.5), scale=page.scale),
    )
