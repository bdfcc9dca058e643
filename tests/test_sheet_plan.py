"""Sheets of planned bushes: what the plan computes is what is drawn and written."""

import math
import re
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from test_sheet_layout import crossed_by, drawn_lines, overlapping
from threadwright import judgement
from threadwright.job import job_from_tables, plan_job
from threadwright.repair.bush import recommend_bush
from threadwright.repair.plan import BushPlan
from threadwright.repair.settle import RepairPlan, plan_for_thread
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import BushDrawing, Title
from threadwright.sheet.dxf import to_dxf
from threadwright.sheet.from_plan import bush_drawing
from threadwright.sheet.model import Arc, Box, Dimension, Hatch, Leader, Line, Page, Polyline, Text
from threadwright.sheet.svg import to_svg
from threadwright.sheet.wording import in_unit
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread

MM = {"mm": 1.0, "in": 25.4}
TITLE = Title(part="bracket foot", bush_material="steel", parent_material="grey iron")
SPIGOT: dict[str, Any] = {
    "mating_bore": ["16.02 mm", "16.03 mm", "16.02 mm", "16.04 mm"],
    "mating_depth": "8 mm",
    "bored_from": "hole pattern",
    "collar": "18 mm",
}


def answer_to(tables: dict[str, Any]) -> RepairPlan:
    """The plan of a job."""
    return plan_job(job_from_tables(tables, where=lambda section, key: f"{section} {key}"))


def tables_of(
    thread: str | dict[str, str] = "3/8-16 BSW",
    *,
    depth: str = "26 mm",
    metal: str = "cast iron",
    **more: Any,
) -> dict[str, Any]:
    """The sections of a job with a blind hole, and what is given beside."""
    fastener = {"designation": thread} if isinstance(thread, str) else thread
    hole = {"depth": depth, "through": False, **more.pop("hole", {})}
    return {"fastener": fastener, "hole": hole, "parent": {"material": metal}, **more}


def drawing_of(tables: dict[str, Any], **more: Any) -> BushDrawing:
    """The drawing of a job."""
    return bush_drawing(
        answer_to(tables), title=TITLE, through=tables["hole"]["through"], **{"unit": "mm", **more}
    )


def plan_of(tables: dict[str, Any]) -> BushPlan:
    """The leading plan of a job."""
    plan = answer_to(tables).leading
    assert plan is not None
    return plan


def words_on(page: Page) -> str:
    """All lettering of a page."""
    return " ".join(words for words, _ in page.labels())


def dimensions(page: Page) -> list[Dimension]:
    """The dimensions of a page."""
    return [one for one in page.entities if isinstance(one, Dimension)]


def frame_of(page: Page) -> Box:
    """The frame of ISO 5457: 20 mm at the left, 10 mm elsewhere."""
    return Box(20.0, 10.0, page.width - 10.0, page.height - 10.0)


@st.composite
def jobs(draw: st.DrawFn) -> dict[str, Any]:
    """Jobs of all kinds of bush; some cannot be made."""
    kind = draw(
        st.sampled_from(["spigot", "spigot", "open spigot", "collar", "seat", "pilot", "stop", "plain"])
    )
    thread, wide = draw(
        st.sampled_from(
            [
                ("M6x1", 12.0),
                ("1/4-20 BSW", 12.0),
                ("2 BA", 9.0),
                ("5/16-22 BSF", 15.0),
                ("3/8-16 UNC", 18.0),
                ("M10x1.5", 18.0),
                ("1/2-12 BSW LH", 24.0),
            ]
        )
    )
    bore = [f"{wide + step:g} mm" for step in (0.02, 0.03, 0.02, 0.02)]
    locate: dict[str, dict[str, Any]] = {
        "spigot": {"mating_bore": bore, "mating_depth": draw(st.sampled_from(["5 mm", "1/2 in"]))},
        "open spigot": {"spigot": bore[0]},
        "collar": {"register": "collar", "register_fit": draw(st.sampled_from(["h6", "k6"]))},
        "seat": {"seat": [f"{2 * wide:g} mm", f"{2 * wide + 0.02:g} mm"]},
        "pilot": {"register": "pilot"},
        "stop": {"register": "none"},
        "plain": {},
    }
    asked = dict(locate[kind])
    if kind in ("spigot", "collar") and draw(st.booleans()):
        asked["collar"] = f"{1.5 * wide:g} mm"
    if kind == "spigot":
        asked["flush"] = draw(st.sampled_from(["0.03 mm", "0.1 mm"]))
    bush: dict[str, Any] = {"driving": draw(st.sampled_from(["slot", "two holes", "flats", "jam nut"]))}
    if kind == "stop":
        bush["collar"] = True
    hole = {"through": draw(st.booleans())}
    return tables_of(
        thread,
        depth=f"{draw(st.integers(8, 45))} mm",
        metal=draw(st.sampled_from(["cast iron", "cast aluminium", "bronze", "zinc die casting"])),
        locate=asked,
        bush=bush,
        hole=hole if hole["through"] else hole | draw(st.sampled_from([{}, {"floor": "20 mm"}])),
    )


def drawn_or_refused(tables: dict[str, Any], **more: Any) -> BushDrawing:
    """The drawing of a job, where such a bush can be made."""
    try:
        return drawing_of(tables, **more)
    except JobError:
        assume(False)
        raise


# --- laws over many jobs ------------------------------------------------------------------------------------


@settings(max_examples=40)
@given(
    jobs(), st.sampled_from(["mm", "in"]), st.sampled_from(["A4", "Letter"]), st.sampled_from([None, 60.0])
)
def test_nothing_on_the_sheet_of_a_planned_bush_overlaps_is_crossed_or_leaves_the_frame(
    tables: dict[str, Any], unit: str, paper: str, boss: float | None
) -> None:
    sheet = compose(drawn_or_refused(tables, unit=unit, paper=paper, boss_mm=boss, floor_mm=20.0))
    for page in sheet.pages:
        assert [] == overlapping(page.labels())
        boxes = [box for _, box in page.labels()]
        assert [] == [words for words, box in page.labels() if not box.inside(frame_of(page))]
        assert [] == [(line, box) for line in drawn_lines(page) for box in boxes if crossed_by(line, box)]


@settings(max_examples=40)
@given(jobs(), st.sampled_from(["mm", "in"]))
def test_every_dimension_is_drawn_between_the_limits_it_says(tables: dict[str, Any], unit: str) -> None:
    bush = drawn_or_refused(tables, unit=unit)
    at_will = bush.spigot is not None and any("at will" in text for text in bush.not_settled)
    checked = 0
    for page in compose(bush).pages:
        for one in dimensions(page):
            if one.label.limited and not (at_will and one.label.after.startswith("deep")):
                low, high = (float(text) * MM[unit] for text in (one.label.lower, one.label.upper))
                slack = 0.03 if unit == "in" else 0.006  # limits are rounded inward, the middle is drawn
                assert low - slack <= one.true_length <= high + slack
                checked += 1
    assert checked >= 2


@settings(max_examples=10)
@given(jobs())
def test_files_of_planned_bushes_are_sound(
    tmp_path_factory: pytest.TempPathFactory, tables: dict[str, Any]
) -> None:
    import ezdxf

    library: Any = ezdxf
    sheet = compose(drawn_or_refused(tables))
    ElementTree.fromstring(to_svg(sheet))
    path = tmp_path_factory.mktemp("dxf") / "sheet.dxf"
    path.write_bytes(to_dxf(sheet))
    audit = library.readfile(path).audit()
    assert ([], []) == (audit.errors, audit.fixes)


@settings(max_examples=25)
@given(jobs())
def test_the_sheet_says_what_pulls_the_bush_out_and_that_a_thread_does_not_locate(
    tables: dict[str, Any],
) -> None:
    for page in compose(drawn_or_refused(tables)).pages[:2]:
        said = words_on(page)
        assert "hread does not locate" in said
        assert "the screw pulls the bush out against its outer thread alone" in re.sub(r"\s+", " ", said)


# --- what is in the views -----------------------------------------------------------------------------------


def test_a_spigot_on_a_collar_is_drawn_to_the_plan() -> None:
    tables = tables_of(locate=SPIGOT, bush={"driving": "slot"}, hole={"floor": "10 mm"})
    made, bush = plan_of(tables).making, drawing_of(tables, floor_mm=10.0)
    assert made is not None
    assert (bush.spigot, bush.collar, bush.undercut, bush.bore) != (None,) * 4
    first, second = compose(bush).pages
    said = {one.label.words for one in dimensions(first)}
    assert {"Ø16.003..16.014 g6", "Ø17.989..18.000 h6"} <= said
    assert {"M14x1.5-6g", "3/8-16 BSW normal", "9.65..9.70", "1.95..2.00"} <= said
    assert {"Ø18.000..18.018 H7", "2.00..2.05", "36"} <= {one.label.words for one in dimensions(second)}
    whole = sum(made.sizes.find(key).high or 0.0 for key in ("below_shoulder", "shoulder_to_spigot_end"))
    assert whole == pytest.approx(bush.length.nominal, abs=0.11)


def test_the_runout_stands_in_its_frame_and_the_register_is_its_datum() -> None:
    page = compose(drawing_of(tables_of(locate=SPIGOT))).pages[0]
    framed = [one for one in page.entities if isinstance(one, Leader) and one.cells]
    assert ["0.02 A"] == [one.words for one in framed]
    assert ["A"] == [one.datum for one in dimensions(page) if one.datum]
    (datum,) = [one for one in dimensions(page) if one.datum]
    assert "Ø17.989..18.000 h6" == datum.label.words
    letters = [part.text for part in framed[0].parts() if isinstance(part, Text)]
    assert ["0.02", "A"] == letters
    assert all(part.box.inside(framed[0].box) for part in framed[0].parts() if isinstance(part, Text))


def section_area(page: Page) -> float:
    """Area of the first hatched outline at true size. [mm2]"""
    outline = next(one for one in page.entities if isinstance(one, Hatch)).outline
    pairs = pairwise([*outline, outline[0]])
    return abs(sum(a.x * b.y - b.x * a.y for a, b in pairs)) / 2 / dimensions(page)[0].scale ** 2


def open_area(bush: BushDrawing) -> float:
    """What a driving feature takes from the section of a bush with a spigot. [mm2]"""
    driving, spigot, bore = bush.driving, bush.spigot, bush.bore
    assert driving is not None
    assert spigot is not None
    assert bore is not None
    width, depth = driving.width.nominal, driving.depth.nominal
    if driving.kind == "slot":
        return (spigot.diameter.nominal - bore.diameter.nominal) / 2 * depth
    return width * depth + (width / 2) ** 2 / math.tan(math.radians(59.0))  # with the drill's point


@pytest.mark.parametrize("kind", ["slot", "two holes"])
def test_the_section_is_open_where_a_driving_feature_is_cut(kind: str) -> None:
    locate = SPIGOT | {"collar": "24 mm", "collar_length": "4 mm"}
    bush = drawing_of(tables_of(locate=locate, bush={"driving": kind}, depth="30 mm"))
    page, bare = compose(bush).pages[0], compose(replace(bush, driving=None)).pages[0]
    lost = section_area(bare) - section_area(page)
    assert open_area(bush) == pytest.approx(lost, abs=1e-6)


def test_a_head_with_flats_stands_before_the_face_in_phantom_lines() -> None:
    bush = drawing_of(tables_of(locate=SPIGOT | {"collar": "24 mm"}, bush={"driving": "flats"}))
    assert bush.driving is not None
    assert bush.spigot is not None
    assert bush.driving.width.nominal < bush.spigot.diameter.nominal  # the head comes off over the spigot
    page = compose(bush).pages[0]
    (head,) = [one for one in page.entities if isinstance(one, Polyline) and one.layer == "phantom"]
    hatch = next(one for one in page.entities if isinstance(one, Hatch))
    assert min(point.x for point in hatch.outline) == pytest.approx(max(point.x for point in head.points))
    assert any("sawn off" in one.words for one in page.entities if isinstance(one, Leader))


def test_a_jam_nut_is_named_with_its_spanner() -> None:
    said = words_on(compose(drawing_of(tables_of(bush={"driving": "jam nut"}))).pages[0])
    assert "screw and jam nut" in said
    assert "3/8-16 BSW, spanner 3/8 BS" in said


def test_a_pilot_is_drawn_below_the_thread_and_its_bore_below_the_tapping_hole() -> None:
    tables = tables_of("M8x1.25", depth="30 mm", locate={"register": "pilot"})
    bush = drawing_of(tables)
    assert bush.pilot is not None
    assert bush.hole.pilot is not None
    assert bush.collar is None
    first, second = compose(bush).pages
    assert {"Ø10.089..10.100 h6"} <= {one.label.words for one in dimensions(first)}
    notes = [one.words for one in second.entities if isinstance(one, Leader)]
    assert any(words.startswith("ream Ø10.100 to 10.118 H7") for words in notes)
    through = drawing_of(
        tables_of("M8x1.25", depth="30 mm", locate={"register": "pilot"}, hole={"through": True})
    )
    assert 2 == len(compose(through).pages)


def test_a_collar_no_larger_than_the_thread_is_said_to_locate_nothing() -> None:
    tables = tables_of("M8x1.25", locate={"register": "none"}, bush={"collar": True, "driving": "slot"})
    first, second = compose(drawing_of(tables)).pages
    assert "sets the depth only, locates nothing" in [
        one.words for one in first.entities if isinstance(one, Leader)
    ]
    for page in (first, second):
        assert "Nothing is located here" in words_on(page)


def test_a_thin_neck_gives_the_hole_a_relief_and_the_bush_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judgement, "LEAST_NECK_WALL_MM", 9.0)
    tables = tables_of("M8x1.25", locate={"register": "collar"}, drawer={"taps": ["M20x1.5"]})
    bush = drawing_of(tables)
    assert bush.undercut is None
    assert bush.washout > 0
    assert bush.hole.relief is not None
    first, second = compose(bush).pages
    assert not [one for one in first.entities if isinstance(one, Leader) and "undercut" in one.words]
    assert [one for one in second.entities if isinstance(one, Leader) and "relief" in one.words]


def test_what_the_mating_part_has_not_told_is_not_settled() -> None:
    bush = drawing_of(tables_of("M8x1.25", locate={"spigot": "14 mm"}))
    first, second = compose(bush).pages
    for page in (first, second):
        assert "NOT SETTLED" in words_on(page)
        assert "Length of the spigot, here drawn at will" in words_on(page)
    assert not [one for one in dimensions(first) if one.label.words.startswith("(")]
    notes = [one.words for one in first.entities if isinstance(one, Leader)]
    assert any("deep from the collar's face" in words for words in notes)
    assert () == drawing_of(tables_of(locate=SPIGOT)).not_settled


def test_a_left_hand_is_named_wherever_its_thread_is() -> None:
    bush = drawing_of(tables_of("3/8-16 BSW LH", locate=SPIGOT))
    assert "3/8-16 BSW normal LH" == bush.inner.designation
    for page in compose(bush).pages:
        assert [] == re.findall(r"3/8-16 BSW(?! LH| normal LH)\b", words_on(page))
    read = tables_of() | {"fastener": {"major": "0.372 in", "pitch": "20 tpi", "hand": "left"}}
    assert drawing_of(read).inner.designation.endswith(" LH")
    plain = bush_drawing(
        plan_for_thread(
            find_thread("M8"), lambda thread: recommend_bush(thread, parent="cast iron", depth_mm=20.0)
        ),
        title=TITLE,
    )
    assert "LH" not in plain.inner.designation
    assert plain.hole.drill_depth is not None


# --- what is written beside them ----------------------------------------------------------------------------


def test_the_inspection_names_the_wires_and_all_fits_are_to_be_measured() -> None:
    tables = tables_of(locate=SPIGOT, drawer={"taps": ["M14x1.5"], "wires": ["0.87 mm"]})
    bush, made = drawing_of(tables), plan_of(tables).making
    assert made is not None
    assert made.sizes.over_wires is not None
    over = made.sizes.over_wires
    (wired,) = [one for one in bush.bush.inspections if "wires" in one.name]
    assert "over three wires of 0.87 (best 0.866; 0.758 to 1.516 will do)" == wired.name
    assert f"{over.low:.3f} to {over.high:.3f}" in (wired.words("mm"), "14.166 to 14.306")
    names = [one.name for one in (*bush.bush.inspections, *bush.hole_lists.inspections)]
    assert {"collar, the register", "spigot", "runout, spigot to register", "counterbore"} <= set(names)
    assert {"collar below the face", "spigot stands out"} <= set(names)


def test_every_size_of_the_plan_is_on_the_sheet() -> None:
    for locate in (SPIGOT, {"register": "pilot"}, {}):
        tables = tables_of(locate=locate, depth="32 mm")
        made, sheet = plan_of(tables).making, compose(drawing_of(tables))
        assert made is not None
        said = " ".join(map(words_on, sheet.pages)).replace("..", " to ")
        missing = [row.key for row in made.sizes.rows if not said_as(row.low, row.high, said)]
        assert [] == [key for key in missing if key not in ("overall_length", "stock_diameter")]


def said_as(low: float | None, high: float | None, said: str) -> bool:
    """Whether a limit stands in a text, with one to three decimals."""
    limits = [one for one in (low, high) if one is not None]
    return any(f"{one:.{places}f}".rstrip("0").rstrip(".") in said for one in limits for places in (3, 2, 1))


def test_a_sheet_in_inches_says_no_length_in_millimetres_but_of_drills_and_wires() -> None:
    sheet = compose(drawing_of(tables_of(locate=SPIGOT, bush={"driving": "slot"}), unit="in"))
    for page in sheet.pages:
        said = words_on(page).replace("Check bar 100 mm", "").replace("(50 mm of the part", "")
        said = re.sub(r"\(\d+ mm of the part", "", said)
        bare = re.findall(r"[\d.]+ mm(?! \()", said)
        assert [] == bare


def test_a_load_that_was_asked_for_is_the_one_to_tighten_to() -> None:
    bush = drawing_of(tables_of(locate=SPIGOT, screw={"clamp": "4 kN"}))
    assert "Clamp it with the 4.0 kN asked for, at most" in bush.verdict
    assert "asked for" not in drawing_of(tables_of(locate=SPIGOT)).verdict


def test_a_pin_is_named_where_the_compound_may_not_hold_alone() -> None:
    def fixing(temperature: str) -> str:
        bush = drawing_of(tables_of(locate=SPIGOT, hole={"temperature": temperature}))
        return " ".join(
            text for one in bush.hole_lists.operations if one.heading == "Fixing" for text in one.texts
        )

    assert "Key pin" in fixing("150 C")
    assert "Key pin" not in fixing("20 C")


def test_lengths_in_sentences_are_turned_into_inches_within_their_limits() -> None:
    assert "0 to 0.0012 in; 0.5000 to 0.5003 in" == in_unit("0.00 to 0.03 mm; 12.70 to 12.71 mm", "in")
    assert "Gap 0.04 mm, M8x1.25" == in_unit("Gap 0.04 mm, M8x1.25", "mm")
    assert "three wires of 0.870 mm (0.0343 in)" == in_unit("three wires of 0.870 mm", "in")


def test_the_change_wheels_and_the_slides_divisions_are_on_the_sheet() -> None:
    lathe = {
        "leadscrew": "8 tpi",
        "wheels": [20, 30, 40, 50, 63, 80],
        "dial": "diameter",
        "division": "0.02 mm",
    }
    rows = {row.name: row for row in drawing_of(tables_of(locate=SPIGOT, lathe=lathe)).bush.sizes}
    assert "63" in rows["change wheels"].words("mm")
    assert "half-nuts" in rows["change wheels"].note
    assert "92.0 divisions" in rows["infeed straight"].words("mm")
    assert "showing the diameter" in rows["infeed straight"].note


def test_the_narrow_lines_of_both_threads_are_drawn_as_the_standard_asks() -> None:
    first, _ = compose(drawing_of(tables_of(locate={}))).pages
    arcs = [one for one in first.entities if isinstance(one, Arc) and one.layer == "thread"]
    assert [250.0, 250.0] == [arc.end - arc.start for arc in arcs]
    spigot, _ = compose(drawing_of(tables_of(locate=SPIGOT))).pages
    arcs = [one for one in spigot.entities if isinstance(one, Arc) and one.layer == "thread"]
    assert [250.0] == [arc.end - arc.start for arc in arcs]  # the collar hides the outer thread
    assert 3 <= sum(isinstance(one, Line) and one.layer == "thread" for one in spigot.entities)
