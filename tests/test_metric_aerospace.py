"""MJ threads: an exact decimal route, the worked example in print, and what mates with ISO metric."""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction

import numpy as np
import pytest

from sixty_degrees import (
    HEIGHT,
    assert_basic_sizes_are_exact,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
    decimal,
    rounded,
)
from threadwright.tables import iso_metric
from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.registry import find_thread, find_thread_and_class, series


def test_basic_sizes_equal_the_exact_route() -> None:
    assert_basic_sizes_are_exact("MJ", pitch_share="0.75", minor_share=HEIGHT * 9 / 8, places=3)


def test_every_limit_equals_the_exact_route() -> None:
    table = series("MJ")
    nominal, pitches = table.basic.major, table.pitch
    um = {
        "Td": iso_metric.crest_tolerance_external(6, pitches),
        "Td2": iso_metric.pitch_tolerance("external", 4, nominal, pitches),
        "TD2": iso_metric.pitch_tolerance("internal", 4, nominal, pitches),
        "5H": iso_metric.crest_tolerance_internal(5, pitches),
        "6H": iso_metric.crest_tolerance_internal(6, pitches),
    }
    with localcontext(prec=40):
        for row, size in enumerate(table.system.sizes):
            d, p = decimal(size.major), decimal(size.pitch)
            width = {name: Decimal(repr(float(column[row]))) / 1000 for name, column in um.items()}
            middle, minor = d - HEIGHT * 3 / 4 * p, d - HEIGHT * 9 / 8 * p
            least = middle - width["Td2"]
            name = "4H5H" if size.major > 5 else "4H6H"
            crest = width[name[2:]]
            screw, nut = table.thread(row).limits("external"), table.thread(row).limits("internal", name)
            expected = {
                "major_max": d,
                "major_min": d - width["Td"],
                "pitch_diameter_max": middle,
                "pitch_diameter_min": least,
                "minor_max": middle - Decimal("0.505181") * p,
                "minor_min": least - Decimal("0.565805") * p,
            }
            assert {key: rounded(value, 3) for key, value in expected.items()} == {
                key: getattr(screw, key) for key in expected
            }
            assert [rounded(middle, 3), rounded(middle + width["TD2"], 3), rounded(minor, 3)] == [
                nut.pitch_diameter_min,
                nut.pitch_diameter_max,
                nut.minor_min,
            ]
            if crest.is_nan():  # ISO 965-1 leaves grade 6 blank at pitches of 0.2 and 0.25 mm
                assert size.pitch <= Fraction(1, 4)
                assert np.isnan(nut.minor_max)
            else:
                assert rounded(minor + crest, 3) == nut.minor_max


def test_laws_of_a_thread() -> None:
    assert_laws_of_a_thread("MJ")


def test_every_designation_reads_back_with_and_without_a_class() -> None:
    assert_every_designation_reads_back("MJ")
    thread, name = find_thread_and_class("MJ6x1-4h6h")
    assert ("MJ6x1", "4h6h") == (thread.designation, name)


def test_the_pitch_is_always_stated() -> None:
    with pytest.raises(UnknownThreadError, match="did you mean .*'MJ6x1'"):
        find_thread("MJ6")


def test_an_mj_nut_clears_a_plain_screw_and_an_mj_screw_may_foul_a_plain_nut() -> None:
    mj, plain = find_thread("MJ8x1.25"), find_thread("M8x1.25")
    assert mj.limits("internal").minor_min > plain.limits("internal").minor_min
    assert mj.limits("external").minor_max > plain.limits("external", "6h").minor_max


def test_sizes_are_those_of_iso_261_from_1_6_mm() -> None:
    metric = {(size.major, size.pitch) for size in series("M").system.sizes if size.major >= Fraction("1.6")}
    assert metric == {(size.major, size.pitch) for size in series("MJ").system.sizes}


def test_the_grade_of_the_minor_diameter_changes_above_5_mm() -> None:
    assert ("4H6H",) == find_thread("MJ5x0.8").classes("internal")
    assert ("4H5H",) == find_thread("MJ6x1").classes("internal")
    assert "4H6H" == find_thread("MJ5x0.8").limits("internal").tolerance_class
