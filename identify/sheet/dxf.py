"""A sheet as DXF (R2000), through ezdxf: layers, line weights and real dimensions. Write only.

Model space holds the pages side by side as they are printed, in millimetres; a dimension of a view at
another scale carries the factor, so that it measures the true size.
"""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING, Any, Final

from threadwright.sheet.lettering import CAP_HEIGHT
from threadwright.sheet.model import LAYERS, Arc, Dimension, Hatch, Line, Point, Polyline, Text, strokes

if TYPE_CHECKING:
    from threadwright.sheet.model import Entity, Label, Sheet, Stroke

__all__ = ["to_dxf"]

_MILLIMETRES: Final = 4  # code of the unit
_BETWEEN_PAGES: Final = 20.0
_ALIGN: Final = {"left": 0, "middle": 1, "right": 2}
_USER_TEXT: Final = 128  # dimension type: the text stands where the file says
_BLOCK_ONLY: Final = 32  # dimension type: the block belongs to this dimension alone


def to_dxf(sheet: Sheet) -> bytes:
    """Render a sheet as a DXF document.

    Parameters
    ----------
    sheet : Sheet
        What to draw.

    Returns
    -------
    bytes
        R2000, Windows-1252; the same sheet gives the same bytes with the same version of ezdxf.

    Examples
    --------
    >>> from threadwright.sheet.model import Line, Page, Point, Sheet
    >>> page = Page("A4", "one", (Line(Point(0.0, 0.0), Point(100.0, 0.0), "outline"),))
    >>> b"LINE" in to_dxf(Sheet("a sheet", (page,)))
    True
    """
    import ezdxf

    library: Any = ezdxf
    options = library.options

    kept = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document: Any = library.new("R2000", units=_MILLIMETRES)
        _prepare(document)
        left = 0.0
        for page in sheet.pages:
            for entity in page.entities:
                _put(document, entity, left)
            left += page.width + _BETWEEN_PAGES
        out = StringIO()
        document.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = kept
    return out.getvalue().encode("cp1252", errors="dxfreplace")


def _prepare(document: Any) -> None:
    """Layers, line types, lettering and the style of dimensions."""
    document.header["$MEASUREMENT"] = 1
    document.header["$LWDISPLAY"] = 1
    document.header["$LTSCALE"] = 1.0
    document.styles.add("SHEET", font="arial.ttf")
    document.styles.add("SHEET_BOLD", font="arialbd.ttf")
    for name, layer in LAYERS.items():
        linetype = "CONTINUOUS"
        if layer.dashes:
            linetype = name.upper()
            strokes_and_gaps = [length * (-1) ** index for index, length in enumerate(layer.dashes)]
            document.linetypes.add(linetype, [sum(layer.dashes), *strokes_and_gaps])
        document.layers.add(name.upper(), color=7, linetype=linetype, lineweight=round(100 * layer.weight))
    document.dimstyles.add(
        "SHEET",
        dxfattribs={
            "dimtxsty": "SHEET",
            "dimtxt": 2.5 * CAP_HEIGHT,
            "dimasz": 2.5,
            "dimexo": 0.8,
            "dimexe": 1.5,
            "dimgap": 0.6,
            "dimtad": 1,
            "dimtih": 0,
            "dimtoh": 0,
            "dimdec": 3,
            "dimzin": 8,
        },
    )


def _put(document: Any, entity: Entity, left: float) -> None:
    """Put one entity into model space; hatches and dimensions stay what they are."""
    space = document.modelspace()
    if isinstance(entity, Hatch):
        hatch = space.add_hatch(color=256, dxfattribs={"layer": entity.layer.upper()})
        hatch.set_pattern_fill("ANSI31", scale=entity.spacing / 3.175, angle=entity.angle - 45.0)
        hatch.paths.add_polyline_path([(p.x + left, p.y) for p in entity.outline], is_closed=True)
    elif isinstance(entity, Dimension):
        _dimension(document, entity, left)
    else:
        for part in strokes(entity):
            _stroke(space, part, left)


def _stroke(space: Any, part: Stroke, left: float) -> None:
    attribs: dict[str, Any] = {"layer": part.layer.upper()}
    if isinstance(part, Line):
        space.add_line(_moved(part.start, left), _moved(part.end, left), dxfattribs=attribs)
    elif isinstance(part, Polyline):
        points = [_moved(point, left) for point in part.points]
        if part.filled:
            space.add_solid([*points, points[-1]][:4], dxfattribs=attribs)
        else:
            space.add_lwpolyline(points, close=part.closed, dxfattribs=attribs)
    elif isinstance(part, Arc):
        centre = _moved(part.centre, left)
        if part.whole:
            space.add_circle(centre, part.radius, dxfattribs=attribs)
        else:
            space.add_arc(centre, part.radius, part.start, part.end, dxfattribs=attribs)
    else:
        _letters(space, part, left)


def _moved(point: Point, left: float) -> tuple[float, float]:
    return point.x + left, point.y


def _letters(space: Any, text: Text, left: float) -> None:
    """A TEXT entity; two percent signs would begin a code."""
    where = _moved(text.at, left)
    space.add_text(
        text.text.replace("%%", "% %"),
        height=text.size * CAP_HEIGHT,
        rotation=text.rotation,
        dxfattribs={
            "layer": text.layer.upper(),
            "style": "SHEET_BOLD" if text.bold else "SHEET",
            "insert": where,
            "align_point": where,
            "halign": _ALIGN[text.anchor],
        },
    )


def _dimension(document: Any, dimension: Dimension, left: float) -> None:
    """A DIMENSION whose picture is the block of our own strokes."""
    space = document.modelspace()
    first, second = (_moved(point, left) for point in (dimension.first, dimension.second))
    middle = _moved(dimension.label_at, left)
    text = _dimension_text(dimension.label)
    override = {
        "dimlfac": 1.0 / dimension.scale,
        "dimse2": int(dimension.half),
        "dimsd2": int(dimension.half),
    }
    attribs = {"layer": "DIMENSION", "text_midpoint": middle}
    shared = {"text": text, "dimstyle": "SHEET", "override": override, "dxfattribs": attribs}
    if dimension.kind == "radius":
        made = space.add_radius_dim(center=first, mpoint=second, **shared)
    elif dimension.along == "points":
        made = space.add_diameter_dim_2p(p1=first, p2=second, **shared)
    else:
        along_y = dimension.along == "y"
        base = (dimension.line + left, first[1]) if along_y else (first[0], dimension.line)
        made = space.add_linear_dim(base=base, p1=first, p2=second, angle=90 if along_y else 0, **shared)
    made.commit()
    entity = made.dimension
    block = document.blocks.new_anonymous_block(type_char="D")
    for part in dimension.parts():
        _stroke(block, part, left)
    entity.dxf.geometry = block.name
    entity.dxf.dimtype |= _USER_TEXT | _BLOCK_ONLY


def _dimension_text(label: Label) -> str:
    """The label in the codes of a dimension's text: limits one above the other."""

    def safe(text: str) -> str:
        for sign in "\\{}":
            text = text.replace(sign, f"\\{sign}")
        return text.replace("%%", "% %")

    def stacked(text: str) -> str:
        return "".join(f"\\{sign}" if sign in "\\;^/#{}" else sign for sign in text)

    limits = f"\\S{stacked(label.upper)}^ {stacked(label.lower)};" if label.limited else ""
    after = f" {safe(label.after)}" if label.after else ""
    return f"{safe(label.text)}{limits}{after}" or " "
