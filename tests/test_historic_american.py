"""American threads before 1924: an exact decimal route, the old pitch rule, what mates with Unified."""

from __future__ import annotations

from decimal import Decimal
from math import sqrt

import pytest

from sixty_degrees import (
    HEIGHT,
    assert_basic_sizes_are_exact,
    assert_every_designation_reads_back,
    assert_laws_of_a_thread,
)
from threadwright.tables.catalogue import candidates
from threadwright.tables.historic_american import SELLERS_FORM, wire_gauge_size
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.unified import number_size

SYMBOLS = ("USS", "V", "ASME1907", "SAE")


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_basic_sizes_equal_the_exact_route(symbol: str) -> None:
    sharp = symbol == "V"
    assert_basic_sizes_are_exact(
        symbol,
        pitch_share="1" if sharp else "0.75",
        minor_share=HEIGHT * 2 if sharp else HEIGHT * 3 / 2,
        places=4,
    )


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_laws_of_a_thread(symbol: str) -> None:
    assert () == assert_laws_of_a_thread(symbol).limits
    assert_every_designation_reads_back(symbol)


def test_the_sellers_form_has_an_eighth_of_the_pitch_flat_at_both_ends() -> None:
    assert SELLERS_FORM.crest_truncation == SELLERS_FORM.root_truncation
    assert 0.649519 == round(SELLERS_FORM.depth_over_pitch, 6)


def test_us_standard_pitches_follow_the_rule_of_sellers() -> None:
    # p = 0.24 sqrt(D + 0.625) - 0.175, from memory; the list takes a handy number of threads, mostly the next
    # one up, and is never two thirds of a thread per inch away
    for size in system("USS").sizes:
        rule = 0.24 * sqrt(float(size.major) + 0.625) - 0.175
        assert abs(float(1 / size.pitch) - 1 / rule) < 2 / 3, size


def test_number_sizes_of_1907_step_by_thirteen_thousandths() -> None:
    for size in system("ASME1907").sizes:
        assert number_size(int(size.name.removeprefix("No. "))) == size.major
    assert Decimal("0.242") == Decimal(repr(find_thread("No. 14-20 ASME").major_basic))


def test_screws_by_wire_gauge_are_thinner_than_those_of_1907_up_to_no_13_and_thicker_from_no_14() -> None:
    thinner = [number for number in range(2, 31) if wire_gauge_size(number) < number_size(number)]
    assert list(range(2, 14)) == thinner


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("1/4 USS", "1/4-20 USS"),
        ("1/4-20 US Standard", "1/4-20 USS"),
        ("1/2 Sellers", "1/2-13 USS"),
        ("4 3/4 - 2 5/8 USS", "4 3/4-2.625 USS"),
        ("1/2-12 V", "1/2-12 V"),
        ("1/2-12 sharp V", "1/2-12 V"),
        ("#14-20", "No. 14-20 ASME"),
        ("14-20 ASME", "No. 14-20 ASME"),
        ("10-32", "No. 10-32 UNF"),
        ("1/4 SAE", "1/4-28 SAE"),
        ("1/4-36 SAE", "1/4-36 SAE"),
        ("1-14 ALAM", "1-14 SAE"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_predecessors_are_the_same_metal_as_unified_and_sharp_v_is_not() -> None:
    catalogue = candidates()
    also = {catalogue.designation(i): catalogue.also(i) for i in range(len(catalogue))}
    assert {"3/8-16 USS", "3/8-16 NC"} <= set(also["3/8-16 UNC"])
    assert {"3/8-24 SAE", "3/8-24 NF"} <= set(also["3/8-24 UNF"])
    assert "No. 10-24 ASME" in also["No. 10-24 UNC"]
    assert "3/8-16 V" in also


def test_recalled_sizes_say_so() -> None:
    basis = {name: find_thread(name).basis for name in ("1-8 USS", "4-3 USS", "No. 14-20 ASME", "1-14 SAE")}
    assert {
        "1-8 USS": "computed",
        "4-3 USS": "from memory",
        "No. 14-20 ASME": "computed",
        "1-14 SAE": "from memory",
    } == basis
    assert {"from memory"} == {series("V").thread(row).basis for row in range(len(series("V")))}
