"""A small plain HTML table for notebooks; every text in it is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

__all__ = ["table_html"]


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
