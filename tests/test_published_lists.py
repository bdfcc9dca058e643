"""Which sizes and classes documents say a series has, against the series: ``published/facts/lists.csv``."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from published_facts import excluded_facts, fact_rows, rule_value
from published_values import FormulaRow, printed_number
from threadwright.tables.iso_metric import fundamental_deviation
from threadwright.tables.registry import find_thread, series, system

ROWS = fact_rows("lists")


def majors(row: FormulaRow) -> list[Fraction]:
    """Nominal diameters of the sizes of a series, those of one pitch if the row names it, in its order."""
    sizes = system(row.topic).sizes
    if "tpi" in row.given:
        sizes = tuple(size for size in sizes if 1 / size.pitch == int(row.given["tpi"]))
    return [size.major for size in sizes]


def agrees(row: FormulaRow) -> bool:
    """Whether the tables say what a row says."""
    match row.quantity:
        case "least_size":
            return printed_number(row.value) == min(majors(row))
        case "greatest_size":
            return printed_number(row.value) == max(majors(row))
        case "sizes":
            return list(map(printed_number, row.value.split(" "))) == sorted(majors(row))
        case "holds":
            thread = find_thread(row.value)
            return (row.topic, row.value) == (thread.system, thread.designation)
        case "class":
            return row.value in {limits.tolerance_class for limits in series(row.topic).limits}
        case "position":
            return bool(np.isfinite(fundamental_deviation(row.value, np.array([1.0]))).all())
    raise AssertionError(f"{row.name}: no such list")


@pytest.mark.parametrize("row", [r for r in ROWS if r.quantity != "root_rule"], ids=lambda row: row.name)
def test_every_series_has_the_sizes_and_classes_that_a_document_lists(row: FormulaRow) -> None:
    assert row.basis == "read"
    assert agrees(row), f"{row.name}: {row.value} ({row.source})"


def test_the_printed_root_of_the_sharp_thread_gives_that_of_every_size() -> None:
    (rule,) = (row for row in ROWS if row.quantity == "root_rule")
    table = series("V")
    for size, minor in zip(table.system.sizes, table.basic.minor.tolist(), strict=True):
        printed = rule_value(rule.value, D=size.major, n=1 / size.pitch)
        held = Fraction(
            str(minor)
        )  # rounded to 4 places; the last digit of the factor times the pitch beside it
        assert abs(held - printed) <= Fraction(5, 10**5) + Fraction(5, 10**6) * size.pitch, size.name
    assert 30 == len(table)


def test_no_excluded_list_is_compared_all_the_same() -> None:
    compared = {(row.topic, row.case, row.quantity, row.value) for row in ROWS}
    out = [(r["topic"], r["case"], r["quantity"], r["value"]) for r in excluded_facts()]
    assert not compared & set(out)
    assert len(out) == len(set(out))
