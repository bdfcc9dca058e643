"""A small plain HTML table for notebooks; every text in it is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from threadwright.tables.numbers import format_decimal

if TYPE_CHECKING:
    from threadwright.tables.thread import Limits, Thread

__all__ = ["table_html", "thread_html"]

_SIZES = ("major", "pitch_diameter", "minor")
_PLACES = {"mm": 4, "in": 5}


def table_html(
    rows: Iterable[Sequence[object]],
    header: Sequence[object] | None = None,
    caption: str | None = None,
) -> str:
    """Write rows as an HTML table without any styling.

    Parameters
    ----------
    rows : iterable of sequence
        Cells, turned to text and escaped; None gives an empty cell.
    header : sequence, optional
        Titles of the columns.
    caption : str, optional
        Title of the whole table.

    Returns
    -------
    str

    Examples
    --------
    >>> table_html([("major", 9.525)], caption="3/8-20 BSF")
    '<table><caption>3/8-20 BSF</caption><tbody><tr><td>major</td><td>9.525</td></tr></tbody></table>'
    """
    title = "" if caption is None else f"<caption>{escape(caption)}</caption>"
    head = "" if header is None else f"<thead>{_row(header, 'th')}</thead>"
    body = "".join(_row(cells, "td") for cells in rows)
    return f"<table>{title}{head}<tbody>{body}</tbody></table>"


def _row(cells: Iterable[object], tag: str) -> str:
    texts = ("" if cell is None else escape(str(cell)) for cell in cells)
    return f"<tr>{''.join(f'<{tag}>{text}</{tag}>' for text in texts)}</tr>"


def thread_html(thread: Thread) -> str:
    """Basic sizes and limits of a thread as an HTML table.

    Parameters
    ----------
    thread : Thread

    Returns
    -------
    str

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> "<td>7.76-7.972</td>" in thread_html(find_thread("M8"))
    True
    """
    places = _PLACES[thread.unit]
    pitch = f"{format_decimal(thread.pitch, places)} {thread.unit}"
    if thread.tpi is not None:
        pitch += f" ({format_decimal(thread.tpi)} tpi)"
    starts = "" if thread.starts == 1 else f", {thread.starts} starts"
    hand = ", left hand" if thread.left_hand else ""
    basic = [format_decimal(getattr(thread, f"{name}_basic"), places) for name in _SIZES]
    rows = [("basic", "", *basic, thread.basis)]
    rows += [_limits_row(limits, places) for limits in thread.all_limits]
    return table_html(
        rows,
        header=("side", "class", "major", "pitch diameter", "minor", "basis"),
        caption=f"{thread.designation}, {thread.title}: pitch {pitch}{starts}{hand}; sizes in {thread.unit}",
    )


def _limits_row(limits: Limits, places: int) -> tuple[str, ...]:
    ranges = []
    for name in _SIZES:
        least, most = (getattr(limits, f"{name}_{end}") for end in ("min", "max"))
        held = [format_decimal(value, places) for value in (least, most) if value == value]
        word = "" if len(held) != 1 else "from " if least == least else "to "
        ranges.append(word + "-".join(held))
    return (limits.side, limits.tolerance_class, *ranges, limits.basis)
