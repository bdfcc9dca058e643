"""A sheet as PDF, through reportlab, at true size."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from threadwright.sheet.model import LAYERS, Arc, Line, Polyline, Text, strokes

if TYPE_CHECKING:
    from threadwright.sheet.model import LayerName, Sheet, Stroke

__all__ = ["to_pdf"]

_POINTS: Final = 72.0 / 25.4  # points in a millimetre


def to_pdf(sheet: Sheet) -> bytes:
    """Render a sheet as a PDF document, one page for each page.

    Parameters
    ----------
    sheet : Sheet
        What to draw.

    Returns
    -------
    bytes
        The same sheet gives the same bytes with the same version of reportlab.

    Examples
    --------
    >>> from threadwright.sheet.model import Page, Point, Sheet, Text
    >>> page = Page("A4", "one", (Text(Point(10.0, 10.0), "a bush"),))
    >>> to_pdf(Sheet("a sheet", (page,)))[:5]
    b'%PDF-'
    """
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas: Any = Canvas(out, pageCompression=1, invariant=1)
    canvas.setTitle(sheet.title)
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setCreator(sheet.made_with)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in sheet.pages:
        canvas.setPageSize((page.width * _POINTS, page.height * _POINTS))
        canvas.scale(_POINTS, _POINTS)
        for entity in page.entities:
            for part in strokes(entity):
                _draw(canvas, part)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _pen(canvas: Any, name: LayerName) -> None:
    """Line weight and type of a layer."""
    layer = LAYERS[name]
    canvas.setLineWidth(layer.weight)
    canvas.setLineCap(0 if layer.dashes else 1)
    canvas.setLineJoin(1)
    canvas.setDash(list(layer.dashes))


def _draw(canvas: Any, part: Stroke) -> None:
    """Put one stroke on the page."""
    if isinstance(part, Text):
        _letters(canvas, part)
        return
    _pen(canvas, part.layer)
    if isinstance(part, Line):
        canvas.line(*part.start, *part.end)
    elif isinstance(part, Polyline):
        path = canvas.beginPath()
        path.moveTo(*part.points[0])
        for point in part.points[1:]:
            path.lineTo(*point)
        if part.closed:
            path.close()
        canvas.drawPath(path, stroke=int(not part.filled), fill=int(part.filled))
    else:
        _arc(canvas, part)


def _arc(canvas: Any, arc: Arc) -> None:
    x, y, radius = *arc.centre, arc.radius
    if arc.whole:
        canvas.circle(x, y, radius, stroke=1, fill=0)
    else:
        canvas.arc(x - radius, y - radius, x + radius, y + radius, arc.start, arc.end - arc.start)


def _letters(canvas: Any, text: Text) -> None:
    canvas.saveState()
    canvas.setFont("Helvetica-Bold" if text.bold else "Helvetica", text.size)
    canvas.translate(*text.start)
    canvas.rotate(text.rotation)
    canvas.drawString(0, 0, text.text)
    canvas.restoreState()
