"""Hose couplings: against an exact fraction route, and the laws between nipple and coupling."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables.errors import DesignationError
from threadwright.tables.numbers import round_half_up
from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import Thread

DEPTH = Fraction("0.649519052838329")  # over pitch
# greatest nipple, allowance, tolerance of the pitch diameter
SIZES = {
    "0.75-11.5 NH": ("1.0625", ".0100", ".0085"),
    "0.75-8 NH": ("1.3750", ".0120", ".0111"),
    "1-8 NH": ("1.3750", ".0120", ".0111"),
    "1.5-9 NH": ("1.9900", ".0120", ".0111"),
    "2.5-7.5 NH": ("3.0686", ".0150", ".0160"),
    "3-6 NH": ("3.6239", ".0150", ".0180"),
    "3.5-6 NH": ("4.2439", ".0200", ".0180"),
    "4-4 NH": ("5.0109", ".0250", ".0250"),
    "4.5-4 NH": ("5.7609", ".0250", ".0250"),
    "5-4 NH": ("6.2600", ".0250", ".0250"),
    "6-4 NH": ("7.0250", ".0250", ".0250"),
}


def _threads() -> dict[str, Thread]:
    table = series("NH")
    return {name: table.thread(row) for row, name in enumerate(table.designations)}


def _places(value: Fraction) -> float:
    return float(round_half_up(value, 4))


def test_every_limit_equals_the_exact_route() -> None:
    threads = _threads()
    assert list(SIZES) == list(threads)
    for name, (nipple, allowance, tolerance) in SIZES.items():
        thread, top, t = threads[name], Fraction(nipple), Fraction(tolerance)
        assert thread.tpi is not None
        depth, basic = DEPTH / thread.tpi, Fraction(nipple) + Fraction(allowance)
        bolt, nut = thread.limits("external"), thread.limits("internal")
        assert [_places(v) for v in (top, top - 2 * t, top - depth, top - depth - t, top - 2 * depth)] == [
            bolt.major_max,
            bolt.major_min,
            bolt.pitch_diameter_max,
            bolt.pitch_diameter_min,
            bolt.minor_max,
        ]
        middle, core = basic - depth, basic - 2 * depth
        assert [_places(v) for v in (basic, middle, middle + t, core, core + 2 * t)] == [
            nut.major_min,
            nut.pitch_diameter_min,
            nut.pitch_diameter_max,
            nut.minor_min,
            nut.minor_max,
        ]
        assert np.isnan(nut.major_max)


def test_only_the_garden_hose_is_from_memory() -> None:
    for name, thread in _threads().items():
        expected = "from memory" if name == "0.75-11.5 NH" else "computed"
        assert {(name, expected)} == {(name, limits.basis) for limits in thread.all_limits}
        assert expected == thread.basis
        assert 2 == len(thread.all_limits)


def test_every_designation_and_spelling_of_its_own_finds_its_thread() -> None:
    table = series("NH")
    shared = {"3/4 NH", "0.75 NH"}
    for name, size in zip(table.designations, table.system.sizes, strict=True):
        for spelling in (name, name.removeprefix("0"), name.lower(), *size.aliases):
            if spelling not in shared:
                assert (spelling, name) == (spelling, find_thread(spelling).designation)


def test_three_quarter_hose_without_a_pitch_asks_which() -> None:
    with pytest.raises(
        DesignationError, match=r"'3/4 NH' fits several threads; write '0.75-11.5 NH' or '0.75-8 NH'"
    ):
        find_thread("3/4 NH")


def test_the_size_names_the_hose_and_not_the_thread() -> None:
    thread = find_thread("0.75-11.5 NH")
    assert (0.75, 1.0725) == (thread.nominal_major, thread.major_basic)
