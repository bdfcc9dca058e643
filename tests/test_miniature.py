"""Miniature threads: an exact decimal route, designations, and what S and UNM share."""

from __future__ import annotations

from decimal import Decimal, localcontext

import pytest

from sixty_degrees import (
    HEIGHT,
    assert_basic_sizes_are_exact,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
    decimal,
    rounded,
)
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.registry import find_thread, series


@pytest.mark.parametrize(("symbol", "depth"), [("S", "0.96"), ("UNM", "1.04")])
def test_basic_sizes_equal_the_exact_route(symbol: str, depth: str) -> None:
    assert_basic_sizes_are_exact(symbol, pitch_share="0.75", minor_share=Decimal(depth), places=3)


def test_every_unm_limit_equals_the_exact_route() -> None:
    table = series("UNM")
    lines = {
        ("external", "major"): ("0", "0.12", "0.006"),
        ("external", "minor"): ("-1.2", "0.16", "0.008"),
        ("internal", "major"): ("0.072", "0.168", "0.008"),
        ("internal", "minor"): ("-1.04", "0.32", "0.012"),
    }
    with localcontext(prec=40):
        for row, size in enumerate(table.system.sizes):
            d, p = decimal(size.major), decimal(size.pitch)
            ends = {
                (side, part): (d + Decimal(a) * p, Decimal(b) * p + Decimal(c))
                for (side, part), (a, b, c) in lines.items()
            }
            for side in ("external", "internal"):
                ends[side, "pitch_diameter"] = (
                    d - HEIGHT * 3 / 4 * p,
                    Decimal("0.08") * p + Decimal("0.008"),
                )
            for (side, part), (edge, width) in ends.items():
                limits = table.thread(row).limits(side)  # type: ignore[arg-type]
                low, high = (edge - width, edge) if side == "external" else (edge, edge + width)
                assert (size.name, rounded(low, 3), rounded(high, 3)) == (
                    size.name,
                    getattr(limits, f"{part}_min"),
                    getattr(limits, f"{part}_max"),
                )


@pytest.mark.parametrize("symbol", ["S", "UNM"])
def test_laws_of_a_thread(symbol: str) -> None:
    assert_laws_of_a_thread(symbol)
    assert_every_designation_reads_back(symbol)


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("S0.9", "S0.9x0.225"),
        ("s 1.0 x 0.25", "S1x0.25"),
        ("0.50 UNM", "0.50-0.125 UNM"),
        (".5 unm", "0.50-0.125 UNM"),
        ("1.00 UNM", "1.00-0.25 UNM"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_both_are_one_candidate_because_a_gauge_on_the_flanks_cannot_tell_them() -> None:
    catalogue = candidates()
    groups = [{symbol for symbol, _ in names} for names in catalogue.names]
    assert 14 == sum({"S", "UNM"} <= group for group in groups)
    assert 4 == sum({"M", "S", "UNM"} <= group for group in groups)  # from 1 mm up: ISO metric as well


def test_the_greatest_minor_of_the_smallest_nut_is_above_its_least_pitch_diameter_as_printed() -> None:
    # ASME B1.10M: 0.30 UNM, minor at most 0.254, pitch diameter 0.248 to 0.262 mm
    nut = find_thread("0.30 UNM").limits("internal")
    assert (0.254, 0.248, 0.262) == (nut.minor_max, nut.pitch_diameter_min, nut.pitch_diameter_max)


def test_iso_miniature_has_no_limits_and_says_where_it_comes_from() -> None:
    thread = find_thread("S0.5x0.125")
    assert ("from memory", ()) == (thread.basis, thread.all_limits)
    with pytest.raises(UnknownThreadError, match="the tables hold none for this side"):
        thread.limits("external")
