"""American National threads: the sizes of Unified, and tolerances recalled for 4 to 20 tpi."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from sixty_degrees import (
    HEIGHT,
    assert_basic_sizes_are_exact,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
)
from threadwright.tables.american_national import pitch_tolerance
from threadwright.tables.errors import DesignationError, UnknownThreadError
from threadwright.tables.registry import find_thread, find_thread_and_class, series, system

SYMBOLS = ("NC", "NF")


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_basic_sizes_equal_the_exact_route(symbol: str) -> None:
    assert_basic_sizes_are_exact(symbol, pitch_share="0.75", minor_share=HEIGHT * 3 / 2, places=4)


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_laws_of_a_thread(symbol: str) -> None:
    assert_laws_of_a_thread(symbol)
    assert_every_designation_reads_back(symbol)


def test_sizes_are_those_of_unified_except_one_inch_fine() -> None:
    for symbol, unified in (("NC", "UNC"), ("NF", "UNF")):
        mine = {(size.major, size.pitch) for size in system(symbol).sizes}
        other = {(size.major, size.pitch) for size in system(unified).sizes}
        changed = {"NC": set(), "NF": {(Fraction(1), Fraction(1, 14))}}[symbol]
        assert changed == mine - other
        assert len(mine) == len(other)


def test_limits_leave_no_allowance_and_take_the_tolerance_on_both_sides() -> None:
    for symbol in SYMBOLS:
        table = series(symbol)
        for row, size in enumerate(table.system.sizes):
            thread, tpi = table.thread(row), np.array([float(1 / size.pitch)])
            for name in thread.classes("external"):
                width = float(pitch_tolerance(name, tpi)[0])
                screw, nut = thread.limits("external", name), thread.limits("internal", name)
                assert (thread.major_basic, thread.pitch_diameter_basic) == (
                    screw.major_max,
                    screw.pitch_diameter_max,
                )
                assert thread.pitch_diameter_basic == nut.pitch_diameter_min
                assert round(thread.pitch_diameter_basic - width, 4) == screw.pitch_diameter_min
                assert round(thread.pitch_diameter_basic + width, 4) == nut.pitch_diameter_max
                assert ("from memory", "from memory") == (screw.basis, nut.basis)


def test_a_finer_class_and_a_finer_pitch_have_the_smaller_tolerance() -> None:
    tpi = np.array([4, 4.5, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 20.0])
    free, medium = pitch_tolerance("2", tpi), pitch_tolerance("3", tpi)
    assert (medium < free).all()
    assert (np.diff(free) < 0).all()
    assert (np.diff(medium) < 0).all()


def test_pitches_without_a_recalled_tolerance_have_no_limits() -> None:
    assert () == find_thread("1/4-28 NF").all_limits
    assert math.isnan(pitch_tolerance("2", np.array([28.0]))[0])


def test_a_class_that_is_not_held_is_refused() -> None:
    with pytest.raises(
        UnknownThreadError, match="no American National class '1' in the tables; write 2 or 3"
    ):
        pitch_tolerance("1", np.array([20.0]))


def test_a_bare_1_nf_could_be_a_number_size_and_asks_which() -> None:
    with pytest.raises(DesignationError, match="'No. 1-72 NF' or '1-14 NF'"):
        find_thread("1 NF")


@pytest.mark.parametrize(
    ("spelling", "name", "tolerance_class"),
    [
        ("1/4-20 NC-2", "1/4-20 NC", "2"),
        ("1/4 NC 3", "1/4-20 NC", "3"),
        ("1-14 NF", "1-14 NF", None),
        ("10-24 NC", "No. 10-24 NC", None),
        ("2 1/4 - 4 1/2 NC", "2 1/4-4.5 NC", None),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str, tolerance_class: str | None) -> None:
    thread, found = find_thread_and_class(spelling)
    assert (name, tolerance_class) == (thread.designation, found)
