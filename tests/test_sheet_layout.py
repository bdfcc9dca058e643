"""Dimensions, notes and pages: no label lies on another."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheet_cases import bushes, full_bush
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import BushDrawing
from threadwright.sheet.layout import SCALES, Note, Span, hang_notes, scale_name, stack
from threadwright.sheet.model import Box, Dimension, Label, Leader, Line, Page, Point

SIDES = ("below", "above", "left", "right")
LABELS = st.sampled_from(
    [Label("5"), Label("M12x1.5-6g"), Label("Ø", "20.021", "20.000", "H7"), Label("1 1/4-9 BSF")]
)


@st.composite
def spans(draw: st.DrawFn, side: str) -> Span:
    """A size along one side of a view."""
    low = draw(st.integers(0, 60))
    high = low + draw(st.integers(1, 60))
    half = draw(st.booleans())
    ends = [Point(low, 0.0), Point(high, 0.0)]
    if side in ("left", "right"):
        ends = [Point(0.0, high), Point(0.0, low)]
    return Span(*ends, draw(LABELS), half=half)


def overlapping(labels: tuple[tuple[str, Box], ...]) -> list[tuple[str, str]]:
    """Pairs of labels whose boxes share some area."""
    return [(a[0], b[0]) for a, b in combinations(labels, 2) if a[1].overlaps(b[1])]


def crossed_by(line: Line, box: Box) -> bool:
    """Whether a line goes through the inside of a box: its part between the box's edges is not empty."""
    enters, leaves = 0.0, 1.0
    for start, end, low, high in (
        (line.start.x, line.end.x, box.left + 0.01, box.right - 0.01),
        (line.start.y, line.end.y, box.bottom + 0.01, box.top - 0.01),
    ):
        if start == end:
            if not low < start < high:
                return False
            continue
        ends = sorted(((low - start) / (end - start), (high - start) / (end - start)))
        enters, leaves = max(enters, ends[0]), min(leaves, ends[1])
    return enters < leaves


def drawn_lines(page: Page) -> list[Line]:
    """Lines of dimensions and leaders."""
    found = []
    for entity in page.entities:
        if isinstance(entity, Dimension):
            found += [part for part in entity.parts() if isinstance(part, Line)]
        if isinstance(entity, Leader):
            found += [Line(a, b, "dimension") for a, b in pairwise(entity.points)]
    return found


@pytest.mark.parametrize("side", SIDES)
@given(data=st.data())
def test_stacked_dimensions_keep_their_labels_off_each_other_and_off_all_lines(
    side: str, data: st.DataObject
) -> None:
    wanted = data.draw(st.lists(spans(side), min_size=1, max_size=8))
    placed = stack(wanted, side=side, edge=-3.0 if side in ("below", "left") else 63.0, scale=2.0)  # type: ignore[arg-type]
    assert sorted(one.label.words for one in wanted) == sorted(one.label.words for one in placed)
    boxes = [one.box for one in placed]
    assert [] == [(a, b) for a, b in combinations(boxes, 2) if a.overlaps(b)]
    lines = [part for one in placed for part in one.parts() if isinstance(part, Line)]
    assert [] == [(line, box) for line in lines for box in boxes if crossed_by(line, box)]


@given(
    st.lists(
        st.tuples(
            st.integers(0, 80),
            st.sampled_from(["a", "undercut 2 x Ø11.8", "1 x 45°"]),
            st.sampled_from([(), ("A",)]),
        ),
        max_size=9,
    ),
    st.sampled_from([20.0, 120.0, 1e9]),
)
def test_notes_keep_off_each_other_and_no_riser_crosses_a_text(
    notes: list[tuple[int, str, tuple[str, ...]]], width: float
) -> None:
    hung = hang_notes(
        [Note(Point(x, 0.0), words, cells) for x, words, cells in notes], above=10.0, width=width
    )
    assert len(notes) == len(hung)
    assert [] == [(a, b) for a, b in combinations((one.box for one in hung), 2) if a.overlaps(b)]
    risers = [Line(one.points[1], one.points[2], "dimension") for one in hung]
    assert [] == [(riser, one.box) for riser in risers for one in hung if crossed_by(riser, one.box)]


def leaving(page: Page) -> list[str]:
    """Labels that leave the page."""
    paper = Box(5.0, 5.0, page.width - 5.0, page.height - 5.0)
    return [words for words, box in page.labels() if not box.inside(paper)]


@settings(max_examples=60)
@given(bushes())
def test_no_label_of_a_bush_overlaps_another_is_crossed_or_leaves_the_page(bush: BushDrawing) -> None:
    for page in compose(bush).pages:
        assert [] == overlapping(page.labels())
        assert [] == leaving(page)
        labels = [box for _, box in page.labels()]
        assert [] == [(line, box) for line in drawn_lines(page) for box in labels if crossed_by(line, box)]


def test_labels_that_do_overlap_are_found() -> None:
    box = Box(0.0, 0.0, 10.0, 2.0)
    assert [("a", "b")] == overlapping(
        (("a", box), ("b", Box(9.0, 1.0, 12.0, 3.0)), ("c", Box(20, 0, 21, 1)))
    )


def test_a_short_dimension_has_its_arrows_and_its_label_outside() -> None:
    (placed,) = stack([Span(Point(0, 0), Point(3, 0), Label("1.5"))], side="below", edge=0.0, scale=2.0)
    assert placed.outside
    assert placed.box.left > 3.0
    assert 1.5 == placed.true_length


def test_scales_are_those_of_the_standard_and_named_as_it_names_them() -> None:
    assert ["50:1", "20:1", "10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10"] == [
        scale_name(scale) for scale in SCALES[:9]
    ]


def test_a_dimension_of_the_sheet_measures_the_true_size() -> None:
    bush = full_bush()
    found = {
        round(one.true_length, 6)
        for page in compose(bush).pages
        for one in page.entities
        if isinstance(one, Dimension)
    }
    assert {26.0, 4.2, 3.0, 16.0, 20.0, 10.0, 14.0, 9.525, 20.021, 12.5, 40.0, 25.0} <= found
