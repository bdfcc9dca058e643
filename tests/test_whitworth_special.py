"""Whitworth-form specials, model engineer, conduit and objective threads."""

from fractions import Fraction

import pytest

from special_tables import WHITWORTH_DEPTH, basic_rows, check_laws, rounded
from threadwright.tables.errors import DesignationError
from threadwright.tables.registry import find_thread, series
from threadwright.tables.whitworth_special import SYSTEMS

SYMBOLS = [system.symbol for system in SYSTEMS]


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_diameters_and_limits_are_ordered_and_names_parse_back(symbol: str) -> None:
    check_laws(symbol)


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_basic_size_equals_the_exact_route(symbol: str) -> None:
    table = series(symbol)
    expected = [
        tuple(rounded(size.major - turns * WHITWORTH_DEPTH * size.pitch, 4) for turns in (0, 1, 2))
        for size in table.system.sizes
    ]
    assert expected == basic_rows(table)


def test_constant_pitches_leave_out_the_standard_series() -> None:
    standard = {(size.major, size.pitch) for symbol in ("BSW", "BSF") for size in series(symbol).system.sizes}
    special = {(size.major, size.pitch) for size in series("WHIT").system.sizes}
    assert set() == special & standard
    assert {4, 6, 8, 12, 16, 20} == {1 / pitch for _, pitch in special}


def test_a_special_is_finer_than_the_coarse_thread_and_has_at_most_forty_turns_in_a_diameter() -> None:
    coarse = {size.major: size.pitch for size in series("BSW").system.sizes}
    for size in series("WHIT").system.sizes:
        assert size.pitch < coarse[size.major]
        assert size.major / size.pitch <= 40


def test_model_engineer_has_ten_sizes_of_40_and_six_of_32() -> None:
    pitches = [1 / size.pitch for size in series("ME").system.sizes]
    assert (10, 6) == (pitches.count(Fraction(40)), pitches.count(Fraction(32)))


def test_small_model_engineer_bolts_take_the_allowance_of_a_quarter_inch_of_the_same_pitch() -> None:
    unit = 0.002 * 0.25 ** (1 / 3) + 0.003 * 0.5 + 0.005 * (1 / 40) ** 0.5
    small, quarter = (find_thread(name).limits("external", "medium") for name in ("1/8-40 ME", "1/4-40 ME"))
    assert round(0.125 - small.major_max, 6) == round(0.25 - quarter.major_max, 6) == round(0.3 * unit, 4)


def test_limits_of_the_specials_are_estimated_and_conduit_has_none() -> None:
    for symbol in ("WHIT", "ME"):
        assert {"estimated"} == {row.basis for row in series(symbol).limits}
    assert () == series("CON").limits


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("3/4-16 Whit", "3/4-16 WHIT"),
        ("1-12 Whit. S.", "1-12 WHIT"),
        ("3/4 conduit", "3/4-16 CON"),
        ("conduit 1 1/4", "1 1/4-16 CON"),
        ("1/8x40 ME", "1/8-40 ME"),
        ("RMS", "0.800-36 RMS"),
        ("0.8-36 RMS", "0.800-36 RMS"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_model_engineer_size_of_two_pitches_asks_which() -> None:
    with pytest.raises(DesignationError, match="'1/4-40 ME' or '1/4-32 ME'"):
        find_thread("1/4 ME")


def test_whit_still_names_the_standard_coarse_thread() -> None:
    assert "3/4-10 BSW" == find_thread("3/4-10 Whit").designation == find_thread("3/4 Whitworth").designation


def test_sizes_of_the_list_of_1841_carry_its_year() -> None:
    since = {size.name: size.since for size in series("BSW").system.sizes}
    assert 33 == list(since.values()).count(1841)
    assert (1841, 1860, None) == (since["1/2"], since["9/16"], since["1/8"])
    assert {None} == {size.since for size in series("BSF").system.sizes}
