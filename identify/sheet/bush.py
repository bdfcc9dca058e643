"""The two pages of a bush: the bush itself, and the hole it goes into."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from threadwright.sheet.blocks import (
    Block,
    bulleted,
    check_bar,
    flow,
    frame_around,
    height_needed,
    inspection_table,
    prose,
    size_table,
    stamp,
    title_block,
)
from threadwright.sheet.bush_view import bush_view, face_view
from threadwright.sheet.drawing import BushDrawing
from threadwright.sheet.frame import OVER, Frame, View
from threadwright.sheet.hole_view import hole_view
from threadwright.sheet.layout import SCALES, hang_notes, scale_name, stack
from threadwright.sheet.model import PAPERS, Box, Page, Point, Sheet, Text, box_around
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from collections.abc import Callable

    from threadwright.sheet.drawing import Lists
    from threadwright.sheet.model import Entity

__all__ = ["BushDrawing", "compose"]

_MARGINS: Final = (20.0, 10.0, 10.0, 10.0)  # ISO 5457: left, bottom, right, top
_TITLE_HEIGHT: Final = 25.5
_BAR_HEIGHT: Final = 6.0
_SIZES_OF_TYPE: Final = (2.5, 2.35, 2.2, 2.05, 1.9)
_LEAST_DRAWING: Final = 80.0
_FACE_GAP: Final = 8.0


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
    pages = [_bush_page(bush), _hole_page(bush)]
    rest = [block for _, left in pages for block in left]
    drawn = [page for page, _ in pages]
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
        return found

    def picture(room: Box) -> _Picture:
        return _with_face(bush, room)

    return _page(bush, "Bush", blocks, picture)


def _hole_page(bush: BushDrawing) -> tuple[_Draft, list[Block]]:
    def blocks(width: float, size: float) -> list[Block]:
        found = _lists("of the hole", bush.hole_lists, bush, width, size)
        if bush.assumptions:
            found.append(bulleted("Taken for this sheet", bush.assumptions, width=width, size=size))
        if bush.cautions:
            found.append(bulleted("Cautions", bush.cautions, width=width, size=size))
        return found

    def picture(room: Box) -> _Picture:
        return _largest(lambda frame: hole_view(bush.hole, frame, unit=bush.unit), room)

    return _page(bush, "Hole", blocks, picture)


def _lists(of: str, lists: Lists, bush: BushDrawing, width: float, size: float) -> list[Block]:
    """Sizes, operations and inspection of one page."""
    found = []
    if lists.sizes:
        heading = f"Sizes {of} in {'inches' if bush.unit == 'in' else 'mm'}"
        found.append(size_table(heading, lists.sizes, unit=bush.unit, width=width, size=size))
    if lists.operations:
        found.append(bulleted("Operations", lists.operations, width=width, size=size, numbered=True))
    if lists.inspections:
        heading = f"Inspection in {'inches' if bush.unit == 'in' else 'mm'}"
        found.append(inspection_table(heading, lists.inspections, unit=bush.unit, width=width, size=size))
    return found


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
    most = room.height - _LEAST_DRAWING
    for size in _SIZES_OF_TYPE:
        lists = blocks(column, size)
        needed = height_needed(lists, most=most)
        if needed is not None:
            break
    split = room.bottom + (most if needed is None else needed)
    view = picture(room._replace(bottom=split + 2.0))
    drawn, left = flow(lists, room=room._replace(top=split))
    return _Draft(title, view.frame.scale, (*entities, *view.entities, *drawn)), list(left)


def _list_page(bush: BushDrawing, blocks: list[Block]) -> tuple[_Draft, list[Block]]:
    """A further page for lists."""
    drawn, left = flow(blocks, room=_room(bush))
    if not drawn:
        raise SheetError(f"{blocks[0].heading}: one entry is longer than a page; shorten it")
    return _Draft("Lists", None, drawn), list(left)


# --- pictures -----------------------------------------------------------------------------------------------


def _picture(draw: Callable[[Frame], View], scale: float, origin: Point) -> _Picture:
    """A view with all its dimensions and notes: sides first, then below and above what they take up."""
    view = draw(Frame(scale, origin))
    body = box_around(view.entities)
    sides = (
        *stack(view.left, side="left", edge=body.left, scale=scale),
        *stack(view.right, side="right", edge=body.right, scale=scale),
    )
    box = box_around((*view.entities, *sides))
    below = stack(view.below, side="below", edge=box.bottom, scale=scale)
    notes = hang_notes(view.notes, above=box.top + 2.0)
    entities = (*view.entities, *sides, *below, *notes)
    return _Picture(Frame(scale, origin), entities, box_around(entities))


def _largest(
    draw: Callable[[Frame], View], room: Box, *, aside: Callable[[float], float] = lambda _: 0.0
) -> _Picture:
    """The view at the largest scale at which it fits, in the middle of its room.

    ``aside`` tells the width to be kept free beside a view at a scale.
    """
    for scale in SCALES:
        tried = _picture(draw, scale, Point(0.0, 0.0))
        if tried.box.width + aside(scale) <= room.width and tried.box.height <= room.height:
            x = room.left + (room.width - tried.box.width) / 2 - tried.box.left
            y = room.bottom + (room.height - tried.box.height) / 2 - tried.box.bottom
            return _picture(draw, scale, Point(round(x, 3), round(y, 3)))
    raise SheetError(
        f"drawing: it fits no room of {room.width:.0f} x {room.height:.0f} mm even at "
        f"{scale_name(SCALES[-1])}; check its sizes"
    )


def _with_face(bush: BushDrawing, room: Box) -> _Picture:
    """The bush with the view from its face at the right, that one at the same scale or the next smaller."""

    def draw(frame: Frame) -> View:
        return bush_view(bush, frame)

    steps = (bush.spigot, bush.collar)
    largest = max([bush.outer.major, *(step.diameter.nominal for step in steps if step is not None)])
    smaller = dict(zip(SCALES, (*SCALES[1:], SCALES[-1]), strict=True))

    def face(scale: float) -> float:
        """Width of the view from the face, with the gap before it."""
        return scale * largest + 2 * OVER + _FACE_GAP

    main = _largest(draw, room, aside=lambda scale: face(smaller[scale]))
    space = room.width - main.box.width
    scale = max(one for one in (main.frame.scale, smaller[main.frame.scale]) if face(one) <= space)
    space, across = space - _FACE_GAP, face(scale) - _FACE_GAP
    left = room.left + (space - across) / 2
    origin = Point(round(main.frame.origin.x + left - main.box.left, 3), main.frame.origin.y)
    main = _picture(draw, main.frame.scale, origin)
    centre = Point(main.box.right + _FACE_GAP + across / 2, origin.y)
    caption = f"from the face{'' if scale == main.frame.scale else f', {scale_name(scale)}'}"
    words = Text(Point(centre.x, centre.y - across / 2 - 3.0), caption, 2.1, "middle")
    entities = (*main.entities, *face_view(bush, Frame(scale, centre)).entities, words)
    return _Picture(main.frame, entities, box_around(entities))


# --- title block --------------------------------------------------------------------------------------------


def _title(bush: BushDrawing, page: _Draft, number: int, count: int) -> tuple[Entity, ...]:
    """Frame, title block and check bar."""
    inner, title = _inner(bush), bush.title
    threads = f"{bush.outer.designation} outside, {bush.inner.designation} inside"
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
