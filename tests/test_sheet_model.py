"""The parts of a sheet: letters, boxes, hatching, dimensions, and what is refused."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from sheet_cases import drawn, full_bush, near
from threadwright.sheet.blocks import bulleted, flow
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import Bore, Driving, HoleDrawing, Lists, Size, SizeRow
from threadwright.sheet.lettering import plain, text_width, wrap
from threadwright.sheet.model import (
    Arc,
    Box,
    Dimension,
    Hatch,
    Label,
    Line,
    Page,
    Point,
    Polyline,
    Sheet,
    Text,
    box_around,
    strokes,
)
from threadwright.tables.errors import SheetError

# --- letters ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bold", [False, True])
def test_every_character_is_as_wide_as_in_the_metrics_of_the_font(bold: bool) -> None:
    font = "Helvetica-Bold" if bold else "Helvetica"
    shown = [chr(code) for code in (*range(32, 127), *range(0xA1, 0x100)) if plain(chr(code)) == chr(code)]
    assert len(shown) > 180
    assert {one: pdfmetrics.stringWidth(one, font, 1000) for one in shown} == {
        one: pytest.approx(text_width(one, size=1000.0, bold=bold)) for one in shown
    }


@given(st.text())
def test_plain_text_is_one_line_of_latin_1_and_plain_again(text: str) -> None:
    once = plain(text)
    assert once.encode("latin-1").decode("cp1252").isprintable() or once == ""
    assert once == plain(once)


@given(st.text(alphabet="abc WM1/2", max_size=80), st.floats(4.0, 60.0))
def test_folded_lines_fit_the_column_and_lose_nothing(text: str, width: float) -> None:
    lines = wrap(text, width=width, size=2.5)
    assert "".join(text.split()) == "".join(lines).replace(" ", "")
    assert all(text_width(line, size=2.5) <= width + 1e-9 for line in lines)


def test_a_column_narrower_than_a_letter_still_ends() -> None:
    assert ["M", "M"] == wrap("MM", width=0.5, size=5.0)


# --- shapes -------------------------------------------------------------------------------------------------


def test_the_lines_of_a_hatch_lie_inside_and_cover_the_area() -> None:
    ring = Hatch((Point(0, 0), Point(20, 0), Point(20, 10), Point(0, 10)), spacing=1.0)
    lines = list(ring.lines())
    length = sum(math.dist(line.start, line.end) for line in lines)
    assert 200.0 == pytest.approx(length, rel=0.02)  # area over spacing
    edge = Box(0, 0, 20, 10)
    assert all(Box(*line.start, *line.start).inside(edge) for line in lines)


def test_the_box_around_shapes_is_that_of_their_ends() -> None:
    shapes = (
        Arc(Point(0, 0), 5.0, "outline"),
        Hatch((Point(0, 0), Point(9, 0), Point(0, 1))),
        Polyline((Point(-7, 0), Point(0, 0)), "thread"),
    )
    assert Box(-7, -5, 9, 5) == box_around(shapes)


def test_turned_text_has_a_turned_box() -> None:
    flat = Text(Point(10, 10), "M12x1.5", anchor="middle").box
    turned = Text(Point(10, 10), "M12x1.5", anchor="middle", rotation=90).box
    assert (flat.width, flat.height) == pytest.approx((turned.height, turned.width))
    assert 10.0 == pytest.approx((turned.bottom + turned.top) / 2)


@given(st.sampled_from([0, 90]), st.booleans(), st.booleans())
def test_the_letters_of_a_label_lie_inside_its_box(rotation: int, limits: bool, after: bool) -> None:
    label = Label("Ø", "20.0", "19.9", "h6" if after else "") if limits else Label("Ø20", after="h6" * after)
    along = "y" if rotation else "x"
    ends = (Point(0, 0), Point(0, 40)) if rotation else (Point(0, 0), Point(40, 0))
    dimension = Dimension("linear", *ends, -9.0, along, label, Point(-5, -5))  # type: ignore[arg-type]
    letters = [part for part in dimension.parts() if isinstance(part, Text)]
    assert letters
    assert all(one.box.inside(dimension.box) for one in letters)
    pairs = [(a.box, b.box) for a in letters for b in letters if a is not b]
    assert not any(a.overlaps(b, gap=-0.6) for a, b in pairs)


def test_a_dimension_between_points_measures_their_distance() -> None:
    radius = Dimension("radius", Point(0, 0), Point(3, 4), 0.0, "points", Label("R5"), Point(9, 9), scale=0.5)
    assert 10.0 == radius.true_length
    assert 1 == sum(isinstance(part, Polyline) for part in radius.parts())


def test_strokes_of_simple_shapes_are_the_shapes_themselves() -> None:
    line = Line(Point(0, 0), Point(1, 1), "outline")
    assert [line] == list(strokes(line))


# --- refusals -----------------------------------------------------------------------------------------------


def test_what_cannot_be_drawn_is_refused() -> None:
    bush = full_bush()
    same = Point(1, 1), Point(1, 1)
    deep = Bore(diameter=Size(12.0), depth=Size(3.0))
    thread, spacing = drawn("M8x1.25"), {"width": Size(2.0), "depth": Size(1.0)}
    for message, make in (
        ("nothing is drawn", lambda: box_around(())),
        ("paper: there is no 'A3'", lambda: Page("A3", "", ())),
        ("it has no page", lambda: Sheet("empty", ())),
        (
            "both ends are at",
            lambda: Dimension("linear", *same, 0.0, "x", Label("0"), Point(0, 0)),
        ),
        ("every value must be above 0", lambda: Size(-1.0)),
        ("every value must be above 0", lambda: Size(math.nan)),
        ("one limit only", lambda: Size(5.0, low=4.0)),
        ("the wrong way round", lambda: Size(5.0, 5.1, 4.9)),
        ("two holes need one", lambda: Driving(kind="two holes", **spacing)),
        ("two holes need one", lambda: Driving(kind="slot", spacing=3.0, **spacing)),
        ("below the major diameter", lambda: replace(thread, minor=8.0)),
        ("leaves no wall", lambda: replace(bush, inner=drawn("M14x1.5"))),
        ("make it longer", lambda: replace(bush, length=Size(9.0))),
        ("paper: there is no", lambda: replace(bush, paper="A0")),
        ("unit: there is no", lambda: replace(bush, unit="cm")),
        (
            "begins where the tapping hole ends",
            lambda: HoleDrawing(thread=thread, drill=Size(6.8), thread_depth=Size(9.0), pilot=deep),
        ),
        (
            "above the counterbore's bottom",
            lambda: HoleDrawing(
                thread=thread,
                drill=Size(6.8),
                thread_depth=Size(2.0),
                counterbore=deep,
            ),
        ),
    ):
        with pytest.raises(SheetError, match=message):
            make()


def test_a_bush_that_no_scale_brings_onto_the_page_is_refused() -> None:
    with pytest.raises(SheetError, match="even at 1:100"):
        compose(replace(full_bush(), length=Size(9e5), hole=replace(full_bush().hole)))


def test_a_single_entry_longer_than_a_page_is_refused() -> None:
    with pytest.raises(SheetError, match="Cautions.*longer than a page"):
        compose(replace(full_bush(), cautions=("far too long " * 2000,)))


# --- sizes --------------------------------------------------------------------------------------------------


def test_limits_are_rounded_into_their_zone() -> None:
    assert ("12.346", "12.354") == Size(12.35, 12.3456, 12.3549).limits("mm")
    assert ("0.4861", "0.4864") == Size(12.35, 12.3456, 12.3549).limits("in")
    assert ("12.30", "12.50") == Size(12.4, 12.3, 12.5).limits("mm")


@given(st.floats(1.0, 300.0), st.floats(0.01, 1.0), st.sampled_from(["mm", "in"]))
def test_written_limits_never_leave_the_zone(low: float, zone: float, unit: str) -> None:
    written = Size(low + zone / 2, low, low + zone).limits(unit)  # type: ignore[arg-type]
    assert written is not None
    mm = 25.4 if unit == "in" else 1.0
    least, most = (float(text) * mm for text in written)
    assert low - 1e-4 <= least <= most <= low + zone + 1e-4


def test_a_zone_finer_than_the_last_digit_is_written_as_the_size() -> None:
    assert ("12.35", "12.35") == Size(12.35, 12.3501, 12.3504).limits("mm")


def test_sizes_are_written_in_the_unit_asked_for() -> None:
    assert "0.5" == Size(12.7).words("in")
    assert "Ø 13.989 to 14.000 h6" == SizeRow(name="", size=near(14.0, 0.011, "h6"), diameter=True).words(
        "mm"
    )
    assert "by hand" == SizeRow(name="", size="by hand").words("mm")


# --- lists and pages ----------------------------------------------------------------------------------------


def words_on(sheet: Sheet) -> str:
    """All text of a sheet."""
    return " ".join(one.text for page in sheet.pages for one in page.entities if isinstance(one, Text))


@settings(max_examples=25)
@given(st.integers(0, 90))
def test_no_caution_is_lost_however_many_there_are(count: int) -> None:
    cautions = tuple(f"caution{number} holds for this bush and for its hole" for number in range(count))
    sheet = compose(replace(full_bush(), cautions=cautions))
    shown = words_on(sheet)
    assert [] == [number for number in range(count) if f"caution{number} " not in shown]
    assert f"{len(sheet.pages)} of {len(sheet.pages)}" in shown
    assert len(sheet.pages) == 2 or count > 20


def test_lists_that_are_empty_have_no_heading() -> None:
    empty = replace(
        full_bush(), bush=Lists(), hole_lists=Lists(), verdict="", assumptions=(), cautions=(), not_settled=()
    )
    headings = [one.text for page in compose(empty).pages for one in page.entities if isinstance(one, Text)]
    assert [] == [
        text for text in headings if text in ("Operations", "Verdict", "Cautions", "Inspection in mm")
    ]


def test_a_block_goes_on_in_the_next_column() -> None:
    block = bulleted("Cautions", [f"line {n}" for n in range(8)], width=50.0, size=2.5)
    entities, left = flow([block], room=Box(0, 0, 110, 20))
    heads = [one.text for one in entities if isinstance(one, Text) and one.bold]
    assert ["Cautions", "Cautions, continued"] == heads
    assert () == left or left[0].heading == "Cautions, continued"
    assert box_around(entities).inside(Box(0, 0, 110, 20))


def test_the_stamp_stands_on_both_pages_and_only_if_there_is_a_doubt() -> None:
    assert 2 == words_on(compose(full_bush())).count("NOT SETTLED")
    assert 0 == words_on(compose(replace(full_bush(), not_settled=()))).count("NOT SETTLED")


def test_a_title_that_is_too_long_is_set_smaller_and_then_cut() -> None:
    title = replace(full_bush().title, part="bracket of the feed board on the side of the treadle " * 4)
    sheet = compose(replace(full_bush(), title=title))
    cells = [
        one for one in sheet.pages[0].entities if isinstance(one, Text) and one.text.startswith("bracket of")
    ]
    assert [(2.1, True)] == [(one.size, one.text.endswith("...")) for one in cells]


def test_every_page_says_what_its_bar_means_and_how_to_print_it() -> None:
    for page in compose(full_bush()).pages:
        said = [one.text for one in page.entities if isinstance(one, Text)]
        assert "Check bar 100 mm (50 mm of the part at 2:1). Print at 100 %." in said


def test_inspection_lists_have_an_empty_box_for_what_was_measured() -> None:
    boxes = [
        one for one in compose(full_bush()).pages[0].entities if isinstance(one, Polyline) and one.closed
    ]
    assert 2 == sum(one.layer == "text" for one in boxes)
    assert "as measured" in words_on(compose(full_bush()))


def test_threads_are_drawn_with_a_narrow_line_and_an_arc_of_three_quarters() -> None:
    page = compose(full_bush()).pages[0]
    arcs = [one for one in page.entities if isinstance(one, Arc) and not one.whole]
    assert [("thread", 250.0)] == [(arc.layer, arc.end - arc.start) for arc in arcs]
    plain_bush = replace(
        full_bush(), spigot=None, collar=None, bore=None, undercut=None, driving=None, runout=None
    )
    arcs = [one for one in compose(plain_bush).pages[0].entities if isinstance(one, Arc) and not one.whole]
    assert 2 == len(arcs)
    lines = [one for one in page.entities if isinstance(one, Line) and one.layer == "thread"]
    assert len(lines) >= 3
