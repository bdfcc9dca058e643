"""The exact number grammar, and rounding as the standards round."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.tables.errors import NumberError, ThreadwrightError
from threadwright.tables.numbers import (
    exact,
    float_column,
    format_decimal,
    format_mixed,
    parse_number,
    round_columns,
    round_half_up,
    shorten,
)
from threadwright.tables.registry import SYSTEMS


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.372", Fraction(93, 250)),
        (".5", Fraction(1, 2)),
        ("8.", Fraction(8)),
        ("  12 ", Fraction(12)),
        ("3/8", Fraction(3, 8)),
        ("3 / 8", Fraction(3, 8)),
        ("1 1/4", Fraction(5, 4)),
        ("1-1/4", Fraction(5, 4)),
        ("1¼", Fraction(5, 4)),
        ("⅜", Fraction(3, 8)),
        ("3⁄8", Fraction(3, 8)),  # noqa: RUF001 the fraction slash is what is tested
    ],
)
def test_a_number_is_read_exactly(text: str, value: Fraction) -> None:
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "8,5",
        "-3",
        "+3",
        "nan",
        "inf",
        "1e5",
        "1e400",
        "9**9**9",
        "1/2/3",
        "1 2",
        "0x10",
        "1_0",
        "٣",
        "1" * 25,
    ],
)
def test_anything_else_is_refused_and_quoted(text: str) -> None:
    with pytest.raises(NumberError, match="write it like"):
        parse_number(text)


def test_a_fraction_over_zero_is_refused() -> None:
    with pytest.raises(NumberError, match="'1/0' divides by zero"):
        parse_number("1/0")


@given(st.text(max_size=60))
def test_arbitrary_text_is_a_number_or_is_refused(text: str) -> None:
    message = ""
    try:
        assert parse_number(text) >= 0
    except ThreadwrightError as fault:
        message = str(fault)
    assert len(message.splitlines()) <= 1


@given(st.integers(0, 10**6), st.integers(0, 128), st.integers(1, 128))
def test_a_mixed_number_reads_back_as_it_prints(whole: int, numerator: int, denominator: int) -> None:
    value = whole + Fraction(numerator, denominator)
    assert parse_number(format_mixed(value)) == value


@given(st.integers(0, 10**9))
def test_a_decimal_reads_back_as_it_prints(ten_thousandths: int) -> None:
    value = Fraction(ten_thousandths, 10_000)
    assert parse_number(format_decimal(value)) == value


def test_a_long_text_is_cut_to_one_line() -> None:
    assert shorten("8.5\n mm") == "'8.5 mm'"
    assert shorten("x" * 60) == repr("x" * 37 + "...")


def test_a_number_below_half_the_last_place_prints_as_zero() -> None:
    assert format_decimal(-0.00001, 3) == "0"


@given(st.integers(-(10**7), 10**7), st.integers(0, 5))
def test_a_rounded_column_equals_the_rounded_exact_numbers(millionths: int, places: int) -> None:
    exact = Fraction(millionths, 10**6)
    expected = float(round_half_up(exact, places))
    assert round_columns(np.array([float(exact)]), places)[0] == expected


def test_a_tie_rounds_away_from_zero() -> None:
    assert round_half_up(Fraction("0.125"), 2) == Fraction("0.13")
    assert round_half_up(Fraction("-0.125"), 2) == Fraction("-0.13")
    assert np.isnan(round_columns(np.array([np.nan]), 2)[0])


def test_a_column_holds_the_floats_nearest_to_every_exact_seed() -> None:
    for system in SYSTEMS:
        majors, pitches = zip(*((size.major, size.pitch) for size in system.sizes), strict=True)
        assert [float(major) for major in majors] == float_column(majors).tolist()
        assert [float(pitch) for pitch in pitches] == float_column(iter(pitches)).tolist()
        assert [float(1 / pitch) for pitch in pitches] == float_column(pitches, inverse=True).tolist()


@given(st.integers(0, 9999), st.integers(0, 9999), st.integers(1, 999))
def test_a_text_of_the_tables_is_read_exactly(whole: int, numerator: int, denominator: int) -> None:
    assert Fraction(whole) == exact(str(whole))
    assert Fraction(f"{whole}.{numerator:04d}") == exact(f"{whole}.{numerator:04d}")
    assert whole + Fraction(numerator, denominator) == exact(f"{whole}+{numerator}/{denominator}")
