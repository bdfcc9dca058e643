"""Metric threads before ISO: an exact decimal route, printed old JIS sizes, and what mates with ISO."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from sixty_degrees import (
    HEIGHT,
    assert_basic_sizes_are_exact,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
)
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import DesignationError
from threadwright.tables.registry import find_thread, series, system

SYMBOLS = ("SI", "DIN-M", "JIS-M")


@pytest.mark.parametrize(("symbol", "minor"), [("SI", "1.5"), ("DIN-M", "1.5"), ("JIS-M", "1.25")])
def test_basic_sizes_equal_the_exact_route(symbol: str, minor: str) -> None:
    share = HEIGHT * Fraction(minor).numerator / Fraction(minor).denominator
    assert_basic_sizes_are_exact(symbol, pitch_share="0.75", minor_share=share, places=3)


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_laws_of_a_thread(symbol: str) -> None:
    assert () == assert_laws_of_a_thread(symbol).limits
    assert_every_designation_reads_back(symbol)


@pytest.mark.parametrize("symbol", ["SI", "DIN-M"])
def test_the_old_nut_is_0_2165_pitches_tighter_than_the_iso_one(symbol: str) -> None:
    iso = {(s.major, s.pitch): series("M").basic.minor[row] for row, s in enumerate(system("M").sizes)}
    table = series(symbol)
    shared = [row for row, size in enumerate(table.system.sizes) if (size.major, size.pitch) in iso]
    assert len(shared) > 20
    for row in shared:
        size = table.system.sizes[row]
        gap = iso[size.major, size.pitch] - table.basic.minor[row]
        assert abs(gap - 0.216506 * float(size.pitch)) <= 0.0011


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("SI 10x1.5", "M10x1.5 SI"),
        ("m10 x 1.5 si", "M10x1.5 SI"),
        ("M72x6.5", "M72x6.5 SI"),
        ("M1.7x0.35", "M1.7x0.35 DIN"),
        ("M2.60 x 0.45", "M2.6x0.45 DIN"),
        ("M5.5x0.9 JIS", "M5.5x0.9 JIS"),
        ("M13x1.75", "M13x1.75 DIN"),
        ("M10x1.5", "M10x1.5"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_pitch_of_two_old_standards_asks_which() -> None:
    with pytest.raises(DesignationError, match="'M3x0.6 DIN' .* or 'M3x0.6 JIS'"):
        find_thread("M3x0.6")


def test_an_old_coarse_size_is_the_iso_one_under_another_name() -> None:
    catalogue = candidates()
    names = {catalogue.designation(i): catalogue.also(i) for i in range(len(catalogue))}
    assert {"M10x1.5 SI", "M10x1.5 DIN"} <= set(names["M10x1.5"])
    assert "M3x0.6 JIS" in names["M3x0.6 DIN"]


def test_coarse_pitches_grow_with_the_diameter() -> None:
    for symbol in ("SI", "DIN-M"):
        coarse = [size for size in system(symbol).sizes if size.choice == 1]
        assert np.all(np.diff([float(size.pitch) for size in coarse]) >= 0)


def test_recalled_sizes_say_so() -> None:
    assert "from memory" == find_thread("M10x1.5 SI").basis
    assert "computed" == find_thread("M2.3x0.4 DIN").basis
    assert "from memory" == find_thread("M4.5x0.75 JIS").basis
