"""Bushes to draw: one with everything, and generated ones."""

from dataclasses import replace
from typing import Any, Literal

from hypothesis import strategies as st

from threadwright.sheet.drawing import (
    Along,
    Bore,
    BushDrawing,
    Driving,
    HoleDrawing,
    Inspection,
    Lists,
    Size,
    SizeRow,
    Step,
    Texts,
    ThreadDrawing,
    Title,
    Undercut,
)
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

INNER = (
    "M3x0.5",
    "2 BA",
    "1/4-20 BSW",
    "M6x1",
    "5/16-22 BSF",
    "3/8-16 UNC",
    "M10x1.5",
    "1/2-12 BSW",
    "M20x2.5",
)
OUTER = (
    "M6x1",
    "M8x1.25",
    "M12x1.5",
    "G 1/4",
    "M14x1.5",
    "5/8-14 BSF",
    "M18x1.5",
    "3/4-16 UNF",
    "M24x2",
    "M30x2",
)
WORDS = (
    "Face the threaded end, drill, bore true and tap while the stock is thick.",
    "Turn the register.",
    "Cut the thread by single point to the shoulder; the cross slide is set by the undercut.",
    "Part off; turn the second end on a stub threaded and faced in place.",
)


def drawn(designation: str) -> ThreadDrawing:
    """A thread of the tables at its basic sizes."""
    return drawn_thread(find_thread(designation))


def drawn_thread(thread: Thread) -> ThreadDrawing:
    """A thread at its basic sizes."""
    return ThreadDrawing(
        designation=thread.designation,
        major=thread.major_basic * thread.to_mm,
        minor=thread.minor_basic * thread.to_mm,
        pitch=thread.pitch_mm,
    )


def near(value: float, zone: float = 0.0, note: str = "") -> Size:
    """A size, with limits if it has a zone."""
    return Size(value, value - zone, value, note) if zone else Size(value, note=note)


def full_bush() -> BushDrawing:
    """A bush with spigot, collar and everything else that can be drawn."""
    outer, inner = drawn("M14x1.5"), drawn("3/8-20 BSF")
    return BushDrawing(
        title=Title(
            part="ink-disc bracket foot <script>",
            bush_material="free-cutting steel",
            parent_material="grey iron",
            date="2026-11-25",
            drawn_by="the workshop",
            number="7",
        ),
        outer=outer,
        inner=inner,
        length=near(26.0, 0.1),
        spigot=Step(diameter=near(16.0, 0.011, "h6"), length=near(4.2, 0.1)),
        collar=Step(diameter=near(20.0, 0.013, "h6"), length=near(3.0, 0.02)),
        undercut=Undercut(diameter=near(11.8, 0.2), width=near(2.0)),
        bore=Bore(diameter=near(10.0), depth=near(7.5, 0.2)),
        chamfer=1.0,
        face_chamfer=0.3,
        countersink=Size(9.8),
        driving=Driving(kind="slot", width=Size(2.0), depth=Size(1.5), note="turned off after fitting"),
        runout=0.02,
        hole=HoleDrawing(
            thread=outer,
            drill=Size(12.5, 12.376, 12.676),
            thread_depth=near(20.0, 0.5),
            drill_depth=near(25.0, 0.5),
            thickness=40.0,
            counterbore=Bore(diameter=near(20.021, 0.021, "H7"), depth=near(3.0, 0.02)),
            relief=Undercut(diameter=near(14.6), width=near(1.0)),
            boss=50.0,
        ),
        bush=Lists(
            sizes=(SizeRow(name="pitch diameter", size=Size(12.9, 12.854, 12.994), diameter=True),),
            operations=(Texts(heading="Operations", texts=WORDS, first=1),),
            inspections=(
                Inspection(name="register", wanted=near(20.0, 0.013, "h6"), diameter=True),
                Inspection(name="the real screw", wanted="runs in by hand"),
            ),
        ),
        hole_lists=Lists(
            sizes=(SizeRow(name="tap", size="from the drawer"),),
            operations=(Texts(heading="Operations", texts=WORDS[:2], first=1),),
            inspections=(Inspection(name="depth", wanted=near(20.0, 0.5)),),
        ),
        verdict="Holds: every strip load is at least 1.25 times the load.",
        assumptions=("Grey iron at the low end of strength.",),
        cautions=("A thread does not locate.", "No substitute for licensed practice and local codes."),
        not_settled=("Inner thread of the bush: 3/8-20 BSF or 3/8-16 UNC.",),
    )


@st.composite
def bushes(draw: st.DrawFn) -> BushDrawing:
    """Bushes of all shapes: with and without spigot, collar, undercut, driving feature, limits."""
    inner = drawn(draw(st.sampled_from(INNER)))
    wide = [name for name in OUTER if drawn(name).minor > inner.major + 0.3]
    outer = drawn(draw(st.sampled_from(wide)))
    zone = draw(st.sampled_from([0.0, 0.02, 0.15]))
    start = 0.0
    parts: dict[str, Any] = {}
    root = outer.minor
    if draw(st.booleans()):
        length = draw(st.floats(0.8, 12.0))
        parts["spigot"] = Step(
            diameter=near(draw(st.floats(inner.major + 1.5, outer.major * 1.5 + 1.5)), zone, "h6"),
            length=near(length, zone),
        )
        start += length
    if draw(st.booleans()):
        length = draw(st.floats(0.5, 6.0))
        diameter = draw(st.floats(outer.major, outer.major * 1.7))
        parts["collar"] = Step(diameter=near(diameter, zone, "k6"), length=near(length, zone))
        start += length
    if draw(st.booleans()):
        width = draw(st.floats(0.5, 3.0))
        parts["undercut"] = Undercut(diameter=near(root - 0.1, 0.05 if zone else 0.0), width=near(width))
        start += width
    elif start and draw(st.booleans()):
        parts["washout"] = draw(st.floats(0.5, 2.0))
        start += parts["washout"]
    if start and draw(st.booleans()):
        parts["bore"] = Bore(diameter=near(inner.major + 0.4), depth=near(start + 0.3, zone))
    thread_end = length = start + draw(st.floats(4.0, 60.0))
    if not start and draw(st.booleans()):
        parts["pilot"] = Step(
            diameter=near(root - 0.2, zone, "h6"), length=near(draw(st.floats(2.0, 9.0)), zone)
        )
        length += parts["pilot"].length.nominal
        parts["inner_depth"] = Size(thread_end, note="max")
    elif draw(st.booleans()):
        parts["inner_depth"] = near(start + 0.3 + 0.7 * (length - start), zone)
    parts |= _driving(draw, inner, outer, parts)
    if start and draw(st.booleans()):
        parts["along"] = (
            Along(start=0.0, end=start, size=near(start, zone)),
            Along(start=start, end=length, size=near(length - start, zone)),
            Along(start=0.0, end=length, size=Size(length), auxiliary=True),
        )
    parts["vent"] = draw(st.sampled_from([None, Size(0.6)]))
    parts["remarks"] = draw(st.sampled_from([(), ((start / 2, "left proud, its face finished in place"),)]))
    unit: Literal["mm", "in"] = draw(st.sampled_from(["mm", "in"]))
    return replace(
        full_bush(),
        **{
            "spigot": None,
            "collar": None,
            "undercut": None,
            "bore": None,
            "driving": None,
            "outer": outer,
            "inner": inner,
            "length": near(length, zone),
            "chamfer": draw(st.sampled_from([0.0, 0.8])),
            "face_chamfer": draw(st.sampled_from([0.0, 0.3])),
            "countersink": draw(st.sampled_from([None, Size(inner.major + 0.2)])),
            "runout": draw(st.sampled_from([None, 0.02])),
            "hole": _hole(draw, outer, length, zone),
            "not_settled": draw(st.sampled_from([(), ("Inner thread: M6x1 or 0 BA.",) * 3])),
            "cautions": draw(st.sampled_from([(), WORDS, WORDS * 12])),
            "unit": unit,
            "paper": draw(st.sampled_from(["A4", "Letter"])),
            **parts,
        },
    )


def _driving(
    draw: st.DrawFn, inner: ThreadDrawing, outer: ThreadDrawing, parts: dict[str, Any]
) -> dict[str, Driving]:
    """A driving feature for a bush with these parts; two holes only where the ring is wide enough."""
    kind = draw(st.sampled_from(["none", "slot", "two holes", "flats"]))
    depth = Size(0.4)
    if kind == "slot":
        return {"driving": Driving(kind="slot", width=Size(1.5), depth=depth, note="under the mating part")}
    if kind == "flats":
        return {"driving": Driving(kind="flats", width=Size(outer.minor - 0.2), depth=Size(5.0))}
    spigot, collar = parts.get("spigot"), parts.get("collar")
    rim = (collar or spigot).diameter.nominal if collar or spigot else outer.major
    within = spigot.diameter.nominal if spigot and collar else inner.major + 0.4
    if kind == "none" or rim - within < 3.0:
        return {}
    width, at = Size((rim - within) / 6), spigot.length.nominal if spigot and collar else 0.0
    spacing = (rim + within) / 2
    return {"driving": Driving(kind="two holes", width=width, depth=depth, spacing=spacing, at=at)}


def _hole(draw: st.DrawFn, outer: ThreadDrawing, length: float, zone: float) -> HoleDrawing:
    deep = length + 0.5
    through = draw(st.booleans())
    drill_depth = near(deep + draw(st.floats(1.0, 9.0)), zone)
    blind = not through and draw(st.booleans())
    bore = Bore(diameter=near(outer.major * 1.3, zone, "H7"), depth=near(draw(st.floats(0.5, 3.0)), zone))
    with_bore = draw(st.booleans())
    pilot = None
    if (blind or through) and draw(st.booleans()):
        pilot = Bore(diameter=near(outer.minor - 0.3, zone, "H7"), depth=Size(3.5, note="min"))
    return HoleDrawing(
        thread=outer,
        drill=near(outer.minor + 0.1, zone),
        thread_depth=near(deep, zone),
        drill_depth=drill_depth if blind or pilot else None,
        pilot=pilot,
        through=through,
        thickness=draw(st.sampled_from([None, deep + 30.0])),
        counterbore=bore if with_bore else None,
        relief=Undercut(diameter=near(outer.major + 0.4), width=near(0.8)) if with_bore else None,
        countersink=None if with_bore else Size(outer.major + 0.2),
        boss=draw(st.sampled_from([None, outer.major * 2.2, outer.major * 5])),
    )
