"""Ready-made locked bushes of the published documents: their walls, holes and threads against ours."""

from __future__ import annotations

from fractions import Fraction

import pytest

from published_bushes import Published, differs, outer_thread, pairs, published
from threadwright.repair.pair import check_pair
from threadwright.repair.wall import worst_sizes
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread

WALLS_IN = {
    "MS51830-101": ".0190", "MS51830-102": ".0190", "MS51830-103": ".0165", "MS51830-104": ".0240",
    "MS51830-105": ".0295", "MS51830-201": ".0295", "MS51830-106": ".0310", "MS51830-202": ".0310",
    "MS51830-107": ".0313", "MS51830-203": ".0313", "MS51830-108": ".0285", "MS51830-204": ".0285",
    "MS51830-109": ".0288", "MS51830-205": ".0288", "MS51830-110": ".0255", "MS51830-206": ".0255",
    "No. 10-32 UNF": ".0250", "No. 12-28 UNF": ".0189", "1/4-28 UNF": ".0229", ".2812-28 UNS": ".0255",
    ".3438-24 UNS": ".0238", ".4219-20 UNS": ".0263", ".4844-20 UNS": ".0263", "9/16-18 UNF": ".0309",
    "5/8-18 UNF": ".0309",
}  # fmt: skip
"""Walls by the documents' own sizes: (least altered minor - basic inner major) / 2, by hand. [in]"""


def wall_in(row: Published) -> str:
    return WALLS_IN.get(row.document) or WALLS_IN[row.outer]


def given(row: Published, parent: str = "LM25-TF") -> dict[str, object]:
    """The inputs that the document fixes."""
    known: dict[str, object] = {
        "length_mm": row.mm("length"), "parent": parent, "root_mm": row.mm(row.root),
    }  # fmt: skip
    if "hole_min" in row.sizes:
        known["hole_mm"] = (row.mm("hole_min"), row.mm("hole_max"))
    return known


def test_every_row_of_the_documents_is_here() -> None:
    documents = [row.document for row in published()]
    assert 16 == sum(name.startswith("MS51830") for name in documents)
    assert 22 == sum(name.startswith(("MS51831", "MS51832")) for name in documents)
    assert 15 == documents.count("MIL-DTL-45932/3")


@pytest.mark.parametrize("row", pairs(), ids=lambda row: row.name)
def test_with_the_altered_minor_given_the_wall_is_the_published_one(row: Published) -> None:
    found = check_pair(find_thread(row.inner), outer_thread(row), **given(row))  # type: ignore[arg-type]
    exact = (Fraction(row.sizes[row.root]) - Fraction(find_thread(row.inner).nominal_major)) / 2
    assert abs(found.wall_mm / 25.4 - float(exact)) < 1e-9
    assert abs(found.wall_mm / 25.4 - float(wall_in(row))) <= 0.00005 + 1e-9


@pytest.mark.parametrize("row", pairs(), ids=lambda row: row.name)
def test_each_published_pair_can_be_made_and_its_least_strength_is_named(row: Published) -> None:
    found = check_pair(find_thread(row.inner), outer_thread(row), **given(row))  # type: ignore[arg-type]
    assert found.can_be_made
    loads = found.loads.to_dict()
    named = {name: load for name, load in loads.items() if name != "limited_by"}
    assert min(named.values()) == named[str(found.loads.limited_by)]  # type: ignore[type-var]
    assert f"the least strength is {found.loads.limited_by.replace('_', ' ')}" in found.because


@pytest.mark.parametrize(
    "outer, low, high",
    [("5/16-18 UNC", 61, 69), ("3/8-16 UNC", 58, 65), ("7/16-14 UNC", 47, 54), ("5/8-11 UNC", 43, 49)],
)
def test_with_the_hole_given_the_thread_left_in_the_part_is_the_published_share(
    outer: str, low: int, high: int
) -> None:
    rows = [row for row in pairs() if row.outer == outer and "hole_min" in row.sizes]
    assert rows
    for row in rows:
        left = check_pair(find_thread(row.inner), outer_thread(row), **given(row)).thread_left_percent  # type: ignore[arg-type]
        assert abs(left[0] - low) <= 1
        assert abs(left[1] - high) <= 1


def test_every_published_hole_is_larger_than_the_altered_root_and_leaves_some_thread() -> None:
    for row in published():
        if "hole_max" not in row.sizes:
            continue
        thread = outer_thread(row)
        assert row.inch("hole_max") < thread.nominal_major
        if row.inner:
            assert row.inch("outer_minor_max") < row.inch("hole_min")


def test_a_soft_bush_of_a_published_pair_is_said_to_be_too_thin() -> None:
    row = next(row for row in pairs() if row.document == "MS51830-110")
    mild = check_pair(
        find_thread(row.inner),
        outer_thread(row),
        **{**given(row), "bush_material": "mild steel"},  # type: ignore[arg-type]
    )
    assert not mild.can_be_made
    assert "is too little" in mild.because
    assert mild.to_dict()["can_be_made"] is False


@pytest.mark.parametrize(
    "change, text",
    [
        ({"length_mm": 0.0}, "length: 0.0 is not a size"),
        ({"root_mm": float("nan")}, "root: nan is not a size"),
        ({"hole_mm": (-1.0, 9.0)}, "hole: -1.0 is not a size"),
        ({"root_mm": 10.0, "hole_mm": (9.9, 10.1)}, "root: 10.000 mm does not clear the hole of 9.900 mm"),
    ],
)
def test_a_size_that_cannot_be_is_refused_by_name(change: dict[str, object], text: str) -> None:
    known = {"length_mm": 11.0, "parent": "LM6", **change}
    with pytest.raises(JobError, match=text):
        check_pair(find_thread("5/16-18 UNC"), find_thread("7/16-14 UNC"), **known)  # type: ignore[arg-type]


def test_without_root_and_hole_the_standard_sizes_are_taken() -> None:
    outer = find_thread("7/16-14 UNC")
    sizes = worst_sizes(outer)
    found = check_pair(find_thread("5/16-18 UNC"), outer, length_mm=11.1, parent="LM25-TF")
    assert found.wall_mm == pytest.approx((sizes.screw_least_root - 0.3125 * 25.4) / 2)
    assert found.thread_left_percent[0] < found.thread_left_percent[1] == pytest.approx(100, abs=5)


def test_with_root_and_hole_withheld_every_difference_has_its_reason() -> None:
    reasons = [differs(row)[1] for row in pairs()]
    assert all(why.startswith(("the same", "theirs", "ours", "at equal", "depth", "wall")) for why in reasons)
    thin = [why for why in reasons if why.startswith("theirs refused as standard: wall")]
    assert (31, 27) == (len(reasons), len(thin))
