"""A sheet as SVG, pages one below the other, at true size."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from threadwright.sheet.model import LAYERS, Arc, Line, Polyline, Text, strokes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.sheet.model import LayerName, Page, Point, Sheet, Stroke

__all__ = ["to_svg"]

_ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def to_svg(sheet: Sheet) -> bytes:
    """Render a sheet as an SVG document.

    Parameters
    ----------
    sheet : Sheet
        What to draw.

    Returns
    -------
    bytes
        UTF-8; the same sheet gives the same bytes. One user unit is one millimetre.

    Examples
    --------
    >>> from threadwright.sheet.model import Page, Point, Sheet, Text
    >>> page = Page("A4", "one", (Text(Point(10.0, 10.0), "<b>"),))
    >>> b"&lt;b&gt;</text>" in to_svg(Sheet("a sheet", (page,)))
    True
    """
    width = max(page.width for page in sheet.pages)
    height = sum(page.height for page in sheet.pages)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}">',
        f"<title>{escape(sheet.title)}</title>",
        f"<desc>{escape(sheet.made_with)}</desc>",
        f"<style>{''.join(_rules())}</style>",
        f'<rect width="{_n(width)}" height="{_n(height)}" fill="#fff"/>',
    ]
    top = 0.0
    for page in sheet.pages:
        lines.append(f'<g transform="translate(0 {_n(top)})" aria-label={quoteattr(page.title)}>')
        lines += [_shape(part, page) for entity in page.entities for part in strokes(entity)]
        lines.append("</g>")
        top += page.height
    return "\n".join([*lines, "</svg>", ""]).encode("utf-8")


def _n(value: float) -> str:
    """A number to a ten-thousandth, without needless zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _rules() -> Iterator[str]:
    """Style of each layer."""
    yield "text{font-family:Helvetica,Arial,'Liberation Sans',sans-serif;fill:#000}"
    yield ".b{font-weight:bold}"
    for name, layer in LAYERS.items():
        dashes = f";stroke-dasharray:{' '.join(map(_n, layer.dashes))}" if layer.dashes else ""
        yield (
            f".{name}{{fill:none;stroke:#000;stroke-width:{_n(layer.weight)};"
            f"stroke-linecap:{'butt' if layer.dashes else 'round'};stroke-linejoin:round{dashes}}}"
        )


def _xy(point: Point, page: Page) -> str:
    return f"{_n(point.x)} {_n(page.height - point.y)}"


def _path(layer: LayerName, course: str, *, fill: bool = False) -> str:
    inside = ' style="fill:#000;stroke:none"' if fill else ""
    return f'<path class="{layer}" d="{course}"{inside}/>'


def _shape(part: Stroke, page: Page) -> str:
    """One element."""
    if isinstance(part, Text):
        return _text(part, page)
    if isinstance(part, Line):
        return _path(part.layer, f"M{_xy(part.start, page)}L{_xy(part.end, page)}")
    if isinstance(part, Polyline):
        course = "L".join(_xy(point, page) for point in part.points)
        return _path(part.layer, f"M{course}{'Z' if part.closed else ''}", fill=part.filled)
    return _arc(part, page)


def _arc(arc: Arc, page: Page) -> str:
    radius = _n(arc.radius)
    if arc.whole:
        x, y = _n(arc.centre.x), _n(page.height - arc.centre.y)
        return f'<circle class="{arc.layer}" cx="{x}" cy="{y}" r="{radius}"/>'
    large = int(arc.end - arc.start > 180.0)
    start, end = _xy(arc.at(arc.start), page), _xy(arc.at(arc.end), page)
    return _path(arc.layer, f"M{start}A{radius} {radius} 0 {large} 0 {end}")


def _text(text: Text, page: Page) -> str:
    """Letters; their length is written too, so that another font does not run out of its place."""
    x, y = _n(text.at.x), _n(page.height - text.at.y)
    turn = f' transform="rotate(-90 {x} {y})"' if text.rotation else ""
    bold = ' class="b"' if text.bold else ""
    length = f' textLength="{_n(text.width)}" lengthAdjust="spacingAndGlyphs"' if len(text.text) > 1 else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_n(text.size)}" text-anchor="{_ANCHORS[text.anchor]}"'
        f"{length}{bold}{turn}>{escape(text.text)}</text>"
    )
