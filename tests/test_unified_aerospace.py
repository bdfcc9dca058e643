"""UNJ threads: minor diameters by an exact decimal route, the rest as Unified."""

from __future__ import annotations

from decimal import Decimal, localcontext

import numpy as np
import pytest

from sixty_degrees import (
    HEIGHT,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
    decimal,
    rounded,
)
from threadwright.tables.registry import find_thread, find_thread_and_class, series, system

SERIES = ("UNC", "UNF", "UNEF", "UN")


def test_minor_diameters_equal_the_exact_route() -> None:
    table = series("UNJ")
    with localcontext(prec=40):
        for row, size in enumerate(table.system.sizes):
            thread = table.thread(row)
            d = Decimal(repr(rounded(decimal(size.major), 4)))
            pitch = Decimal(repr(rounded(decimal(size.pitch), 8)))  # the steps of ASME B1.30
            nut, screw = (
                Decimal(repr(rounded(share * HEIGHT * pitch, 6)))
                for share in (Decimal(9) / 8, Decimal(4) / 3)
            )
            assert rounded(d - nut, 4) == thread.minor_basic
            for name in ("2B", "3B"):
                assert thread.minor_basic == thread.limits("internal", name).minor_min
            for name in ("2A", "3A"):
                limits = thread.limits("external", name)
                assert rounded(Decimal(repr(limits.major_max)) - screw, 4) == limits.minor_max


@pytest.mark.parametrize("symbol", SERIES)
def test_every_other_limit_is_that_of_the_unified_size(symbol: str) -> None:
    for row, size in enumerate(system(symbol).sizes):
        plain = series(symbol).thread(row)
        round_root = find_thread(plain.designation.replace(symbol, "UNJ"))
        assert (size.major, size.pitch) == (
            size.major,
            1 / round_root.tpi if round_root.tpi is not None else None,
        )
        for side, names in (("external", ("2A", "3A")), ("internal", ("2B", "3B"))):
            for name in names:
                mine, other = round_root.limits(side, name), plain.limits(side, name)  # type: ignore[arg-type]
                for quantity in ("major_max", "major_min", "pitch_diameter_max", "pitch_diameter_min"):
                    same = [getattr(limits, quantity) for limits in (mine, other)]
                    np.testing.assert_equal(*same)


def test_laws_of_a_thread_and_sizes() -> None:
    table = assert_laws_of_a_thread("UNJ")
    assert_every_designation_reads_back("UNJ")
    assert sum(len(series(symbol)) for symbol in SERIES) == len(table)
    assert ("2A", "3A") == table.thread(0).classes("external")


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("1/4-28 UNJF", "1/4-28 UNJ"),
        ("1/4 UNJF", "1/4-28 UNJ"),
        ("10-32 UNJF", "No. 10-32 UNJ"),
        (".250-28 UNJF", "1/4-28 UNJ"),
        ("1/4-20 UNJC", "1/4-20 UNJ"),
        ("7/16-28 UNJEF", "7/16-28 UNJ"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_class_reads_back() -> None:
    thread, name = find_thread_and_class("1/4-28 UNJF-3A")
    assert ("1/4-28 UNJ", "3A") == (thread.designation, name)
    assert "3A" == thread.limits("external").tolerance_class


def test_the_greatest_minor_diameter_of_the_nut_is_not_defined() -> None:
    assert np.isnan(find_thread("1/4-28 UNJ").limits("internal").minor_max)
