"""ISO 286 limits against print, and the laws of the system."""

from __future__ import annotations

import math

import pytest

from published_facts import Answer, excluded_facts, fact_rows, faults
from published_values import FormulaRow
from threadwright.tables.errors import TableError
from threadwright.tables.fits import (
    HOLE_LETTERS,
    SHAFT_LETTERS,
    STEPS,
    SUBSTEPS,
    fit,
    fundamental_deviation,
    hole_correction,
    standard_tolerance,
)

ROWS = fact_rows("fits")
STEMS = ("hexagons", "wires", "drills", "fits", "inserts", "undercuts")


def sizes(row: FormulaRow) -> list[float]:
    """The nominal sizes a row speaks of: one size, or both ends and the middle of a step."""
    if "size" in row.given:
        return [float(row.given["size"])]
    low, high = (float(end) for end in row.given["step"].split("-"))
    return [low + 0.001, (low + high) / 2, high]


def held(row: FormulaRow, size: float) -> Answer:
    """What the tables hold for a row at a size. [um]"""
    given = row.given
    if row.topic == "tolerance":
        value = standard_tolerance(int(given["grade"]), size)
    elif row.topic == "hole_correction":
        value = hole_correction(int(given["grade"]), size)
    elif row.topic == "deviation":
        value = fundamental_deviation(given["letter"], int(given["grade"]), size)
    else:
        value = getattr(fit(given["class"], size), row.quantity) - size
    return round(value * 1000, 6), "um"


@pytest.mark.parametrize("topic", ["tolerance", "deviation", "hole_correction", "limits"])
def test_every_published_limit_agrees_over_its_whole_step(topic: str) -> None:
    rows = [row for row in ROWS if row.topic == topic and row.gates]
    assert rows
    for end in range(3):
        assert [] == faults(rows, lambda row, end=end: held(row, sizes(row)[min(end, len(sizes(row)) - 1)]))


def test_every_topic_is_compared() -> None:
    assert {row.topic for row in ROWS} == {"tolerance", "deviation", "hole_correction", "limits"}
    assert len([row for row in ROWS if row.gates]) >= 240


def test_recalled_limits_are_reported_and_never_a_gate(record_property: pytest.RecordProperty) -> None:
    recalled = [row for row in ROWS if not row.gates]
    wrong = faults(recalled, lambda row: held(row, sizes(row)[-1]))
    record_property("from_memory", f"{len(recalled)} rows, {len(wrong)} differ: {wrong}")
    assert {row.topic for row in recalled} == {"limits"}


def test_excluded_rows_of_all_facts_say_why_and_are_not_compared() -> None:
    keys = ("topic", "case", "quantity", "value", "source")
    out = excluded_facts()
    assert [] == [record["case"] for record in out if not record["reason"]]
    compared = {tuple(getattr(row, key) for key in keys) for stem in STEMS for row in fact_rows(stem)}
    assert [] == [record for record in out if tuple(record[key] for key in keys) in compared]


def test_no_published_row_of_the_facts_stands_twice() -> None:
    for stem in STEMS:
        rows = [(r.topic, r.case, r.quantity, r.value, r.source, r.basis) for r in fact_rows(stem)]
        assert len(rows) == len(set(rows)), stem


@pytest.mark.parametrize(
    "tolerance_class, size, lower, upper",
    [  # Machine Drawing texts and ISO 286-2 as generally printed, from memory
        ("K7", 25.0, -0.015, 0.006),
        ("M7", 25.0, -0.021, 0.0),
        ("N7", 25.0, -0.028, -0.007),
        ("P7", 25.0, -0.035, -0.014),
        ("K8", 25.0, -0.023, 0.010),
        ("js6", 25.0, -0.0065, 0.0065),
        ("k6", 25.0, 0.002, 0.015),
        ("k8", 25.0, 0.0, 0.033),
        ("s6", 60.0, 0.053, 0.072),
    ],
)
def test_well_known_limits(tolerance_class: str, size: float, lower: float, upper: float) -> None:
    found = fit(tolerance_class, size)
    assert (round(found.lower - size, 6), round(found.upper - size, 6)) == (lower, upper)


def test_a_wider_grade_gives_a_wider_zone_and_a_larger_size_a_coarser_one() -> None:
    for size in (*SUBSTEPS, 1.0):
        widths = [standard_tolerance(grade, size) for grade in range(5, 12)]
        assert widths == sorted(set(widths))
    for grade in range(5, 12):
        widths = [standard_tolerance(grade, size) for size in STEPS]
        assert widths == sorted(widths)
        assert standard_tolerance(11, STEPS[-1]) == 10 * standard_tolerance(6, STEPS[-1])


def test_shafts_grow_and_holes_shrink_through_the_alphabet() -> None:
    for size in (1.0, 5.0, 17.0, 60.0, 110.0):
        uppers = [fit(f"{letter}6", size).upper for letter in ("d", "e", "f", "g", "h")]
        lowers = [fit(f"{letter}6", size).lower for letter in ("h", "js", "k", "m", "n", "p", "r", "s")]
        assert uppers == sorted(set(uppers))
        assert lowers == sorted(set(lowers) | set(lowers))
        holes = [fit(f"{letter}7", size).lower for letter in HOLE_LETTERS]
        assert holes == sorted(holes, reverse=True)


def test_a_hole_and_the_shaft_of_its_letter_mirror_each_other() -> None:
    for size in (2.0, 12.0, 100.0):
        for letter in ("d", "e", "f", "g", "h"):
            hole, shaft = fit(f"{letter.upper()}8", size), fit(f"{letter}8", size)
            assert hole.lower - size == pytest.approx(size - shaft.upper)
            assert hole.upper - hole.lower == pytest.approx(shaft.upper - shaft.lower)


def test_a_press_fit_is_the_same_in_the_hole_basis_and_the_shaft_basis() -> None:
    for size in (5.0, 25.0, 110.0):
        hole_basis = fit("p6", size).upper - fit("H7", size).lower
        shaft_basis = fit("h6", size).upper - fit("P7", size).lower
        assert hole_basis == pytest.approx(shaft_basis)


@pytest.mark.parametrize(
    "tolerance_class, size, message",
    [
        ("H12", 10.0, "the tables hold no 'H12'; write a hole like 'H7'"),
        ("H4", 10.0, "the tables hold no 'H4'"),
        ("z6", 10.0, "the tables hold no 'z6'"),
        ("7H", 10.0, "the tables hold no '7H'"),
        ("", 10.0, "the tables hold no ''"),
        ("H7", 0.0, "nominal size: 0.0 mm is outside the ISO 286 tables"),
        ("h6", 500.1, "nominal size: 500.1 mm is outside"),
        ("H7", math.nan, "nominal size: nan mm is outside"),
        ("d9", 121.0, "deviation d: the table ends at 120 mm, 121.0 mm was given"),
        ("K7", 150.0, "holes K to P: no grade 7 at 150.0 mm"),
        ("K9", 50.0, "hole K: no grade 9 in the tables; write 6 to 8"),
        ("P8", 50.0, "hole P: no grade 8 in the tables; write 6 to 7"),
    ],
)
def test_classes_and_sizes_outside_the_tables_are_refused(
    tolerance_class: str, size: float, message: str
) -> None:
    with pytest.raises(TableError, match=message):
        fit(tolerance_class, size)


def test_grades_and_letters_outside_the_tables_are_refused() -> None:
    with pytest.raises(TableError, match="no IT4 in the tables; write 5 to 11"):
        standard_tolerance(4, 10.0)
    with pytest.raises(TableError, match="no letter 'js'; write one of d, e, f, g, h, k"):
        fundamental_deviation("js", 6, 10.0)
    with pytest.raises(TableError, match="holes K to P: no grade 5"):
        hole_correction(5, 10.0)


def test_every_letter_offered_works_at_some_size() -> None:
    for letter in (*SHAFT_LETTERS, *HOLE_LETTERS):
        found = fit(f"{letter}7", 10.0)
        assert found.lower < found.upper
