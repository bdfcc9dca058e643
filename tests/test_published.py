"""The tables against print: every published size of every system."""

from __future__ import annotations

from fractions import Fraction

import pytest

from published_values import (
    SYSTEM_FILES,
    Row,
    disagreement,
    excluded,
    formula_rows,
    last_digit,
    printed_number,
    rows,
)
from threadwright.tables.errors import ThreadwrightError
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

LEAST_GATING_ROWS = 600


def library_value(thread: Thread, row: Row) -> tuple[float | Fraction, str]:
    """What the library holds for a row, and its unit."""
    if row.side != "basic":
        limits = thread.limits(row.side, row.tolerance_class)
        return getattr(limits, row.quantity), limits.unit
    if row.quantity == "tpi":
        assert thread.tpi is not None
        return thread.tpi, row.unit
    if row.quantity == "flank_angle":
        return thread.form.flank_angle, row.unit
    return getattr(thread, row.quantity), "" if row.quantity == "starts" else thread.unit


def check(row: Row) -> str | None:
    """What is wrong with one row, or None."""
    try:
        thread = find_thread(row.designation)
        if (row.system, row.designation) != (thread.system, thread.designation):
            return f"{row.name}: the library calls it {thread.system} {thread.designation}"
        return disagreement(row, *library_value(thread, row))
    except ThreadwrightError as error:
        return f"{row.name}: {error}"


@pytest.mark.parametrize("stem", SYSTEM_FILES)
def test_every_published_size_agrees_to_half_its_last_digit(stem: str) -> None:
    assert [] == [fault for row in rows(stem) if row.gates and (fault := check(row))]


@pytest.mark.parametrize("stem", SYSTEM_FILES)
def test_sizes_from_memory_are_reported_and_never_a_gate(
    stem: str, record_property: pytest.RecordProperty
) -> None:
    recalled = [row for row in rows(stem) if not row.gates]
    faults = [fault for row in recalled if (fault := check(row))]
    record_property("from_memory", f"{stem}: {len(recalled)} rows, {len(faults)} differ")
    for fault in faults:
        record_property("from_memory_differs", fault)
        print(f"from memory, not a gate: {fault}")
    assert all(row.basis == "from memory" for row in recalled)


def test_at_least_six_hundred_printed_sizes_gate() -> None:
    gating = [row for stem in SYSTEM_FILES for row in rows(stem) if row.gates]
    cells = {(row.system, row.name, row.value, row.source) for row in gating}
    assert len(gating) == len(cells), "a row stands twice"
    assert len(gating) >= LEAST_GATING_ROWS


def test_every_allowance_has_a_reason_and_every_row_a_source() -> None:
    everything = [*formula_rows(), *(row for stem in SYSTEM_FILES for row in rows(stem))]
    assert [] == [row.name for row in everything if row.allow not in ("", "1ulp")]
    assert [] == [row.name for row in everything if bool(row.allow) != bool(row.reason)]
    assert [] == [row.name for row in everything if not (row.source and row.edition)]
    assert [] == [row.name for row in everything if row.basis not in ("read", "from memory")]


def test_an_allowance_is_given_only_where_it_is_needed() -> None:
    for stem in SYSTEM_FILES:
        for row in rows(stem):
            if row.allow:
                value, unit = library_value(find_thread(row.designation), row)
                strict = Row(
                    **{name: getattr(row, name) for name in Row.__dataclass_fields__} | {"allow": ""}
                )
                assert disagreement(strict, value, unit) is not None, row.name


def test_excluded_rows_say_why_and_do_not_gate() -> None:
    out = excluded()
    assert out
    assert [] == [record["designation"] for record in out if not record["reason"]]
    keys = ("system", "designation", "side", "tolerance_class", "quantity", "value", "source")
    compared = {tuple(getattr(row, key) for key in keys) for stem in SYSTEM_FILES for row in rows(stem)}
    compared |= {(r.topic, r.case, "", "", r.quantity, r.value, r.source) for r in formula_rows()}
    assert [] == [record for record in out if tuple(record[key] for key in keys) in compared]


@pytest.mark.parametrize(
    "text, number, unit_of_last_digit",
    [
        ("0.1540", Fraction("0.154"), Fraction(1, 10000)),
        ("0.154", Fraction("0.154"), Fraction(1, 1000)),
        ("8", Fraction(8), Fraction(1)),
        ("-45", Fraction(-45), Fraction(1)),
        ("1/2", Fraction(1, 2), Fraction(0)),
        ("4 1/2", Fraction(9, 2), Fraction(0)),
    ],
)
def test_printed_text_gives_its_number_and_its_last_digit(
    text: str, number: Fraction, unit_of_last_digit: Fraction
) -> None:
    assert (number, unit_of_last_digit) == (printed_number(text), last_digit(text))


def test_a_value_just_beyond_half_the_last_digit_disagrees() -> None:
    row = next(row for row in rows("iso_metric") if row.quantity == "major_max" and not row.allow)
    step = row.tolerance
    assert disagreement(row, row.number + step, row.unit) is None
    assert disagreement(row, row.number + step + Fraction(1, 10**9), row.unit) is not None
    assert disagreement(row, float("nan"), row.unit) is not None
