"""Whitworth threads: against print, against an exact decimal route, and the laws of a thread."""

from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import whitworth
from threadwright.tables.registry import find_thread, find_thread_and_class, series
from threadwright.tables.thread import Thread

_SYMBOLS = ["BSW", "BSF", "BSB"]
_PI = Decimal("3.14159265358979323846264338327950288419716939937510582")
_TEN_THOUSANDTH = Decimal("0.0001")


def _threads(symbol: str) -> list[Thread]:
    table = series(symbol)
    return [table.thread(row) for row in range(len(table))]


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _rounded(value: Decimal) -> float:
    return float(value.quantize(_TEN_THOUSANDTH, rounding=ROUND_HALF_UP))


def _cot_27_5() -> Decimal:
    """Cotangent of 27.5 deg from the series of sine and cosine."""
    angle = _PI * Decimal("27.5") / 180
    sine = cosine = Decimal(0)
    term = Decimal(1)
    for power in range(60):
        sign = -1 if power % 4 in (2, 3) else 1
        if power % 2:
            sine += sign * term
        else:
            cosine += sign * term
        term = term * angle / (power + 1)
    return cosine / sine


def _tolerance_unit(diameter: Decimal, pitch: Decimal) -> Decimal:
    return (
        Decimal("0.002") * diameter ** (Decimal(1) / 3)
        + Decimal("0.003") * diameter.sqrt()
        + Decimal("0.005") * pitch.sqrt()
    )


def test_depth_and_radius_are_those_of_the_standard_form() -> None:
    form = whitworth.WHITWORTH_FORM
    assert (0.960491, 0.640327, 0.137329) == (
        round(form.height, 6),
        round(form.depth_over_pitch, 6),
        round(form.crest_radius, 6),
    )
    assert form.thread_angle == 55.0


@pytest.mark.parametrize(
    ("name", "major", "effective", "minor"),
    [  # a printed chart of BSW basic sizes; doubling a rounded depth would fail on eight of them
        ("1/8-40 BSW", 0.1250, 0.1090, 0.0930),
        ("3/16-24 BSW", 0.1875, 0.1608, 0.1341),
        ("1/4-20 BSW", 0.2500, 0.2180, 0.1860),
        ("5/16-18 BSW", 0.3125, 0.2769, 0.2414),
        ("3/8-16 BSW", 0.3750, 0.3350, 0.2950),
        ("7/16-14 BSW", 0.4375, 0.3918, 0.3460),
        ("1/2-12 BSW", 0.5000, 0.4466, 0.3933),
        ("9/16-12 BSW", 0.5625, 0.5091, 0.4558),
        ("5/8-11 BSW", 0.6250, 0.5668, 0.5086),
        ("3/4-10 BSW", 0.7500, 0.6860, 0.6219),
        ("7/8-9 BSW", 0.8750, 0.8039, 0.7327),
        ("1-8 BSW", 1.0000, 0.9200, 0.8399),
        ("1 1/8-7 BSW", 1.1250, 1.0335, 0.9420),
        ("1 1/4-7 BSW", 1.2500, 1.1585, 1.0670),
        ("1 1/2-6 BSW", 1.5000, 1.3933, 1.2866),
        ("1 3/4-5 BSW", 1.7500, 1.6219, 1.4939),
        ("2-4.5 BSW", 2.0000, 1.8577, 1.7154),
    ],
)
def test_basic_sizes_are_as_printed(name: str, major: float, effective: float, minor: float) -> None:
    thread = find_thread(name)
    assert (major, effective, minor) == (
        thread.major_basic,
        thread.pitch_diameter_basic,
        thread.minor_basic,
    )


@pytest.mark.parametrize("symbol", _SYMBOLS)
def test_every_basic_size_equals_the_exact_route(symbol: str) -> None:
    with localcontext() as context:
        context.prec = 40
        for size, thread in zip(series(symbol).system.sizes, _threads(symbol), strict=True):
            diameter, depth = _decimal(size.major), _cot_27_5() / 3 * _decimal(size.pitch)
            expected = (_rounded(diameter), _rounded(diameter - depth), _rounded(diameter - 2 * depth))
            actual = (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic)
            assert (thread.designation, *expected) == (thread.designation, *actual)


@pytest.mark.parametrize(("symbol", "quarter_tpi"), [("BSW", 20), ("BSF", 26), ("BSB", 26)])
def test_every_bolt_limit_equals_the_exact_route(symbol: str, quarter_tpi: int) -> None:
    classes = {
        "close": (Decimal(2) / 3, Decimal("0.013"), 0),
        "medium": (Decimal(1), Decimal("0.02"), 1),
        "free": (Decimal("1.5"), Decimal("0.02"), 1),
    }
    with localcontext() as context:
        context.prec = 40
        for size, thread in zip(series(symbol).system.sizes, _threads(symbol), strict=True):
            diameter, pitch = _decimal(size.major), _decimal(size.pitch)
            unit = _tolerance_unit(diameter, pitch)
            own = size.major >= Fraction(1, 4)
            gap = (unit if own else _tolerance_unit(Decimal("0.25"), 1 / Decimal(quarter_tpi))) * Decimal(
                "0.3"
            )
            gap = Decimal(str(_rounded(gap))) if size.major <= Fraction(3, 4) else Decimal(0)
            for name, (share, on_minor, allowed) in classes.items():
                tolerances = {
                    "major": share * unit + pitch.sqrt() / 100,
                    "pitch_diameter": share * unit,
                    "minor": share * unit + on_minor * pitch.sqrt(),
                }
                limits = thread.limits("external", name)
                for part, tolerance in tolerances.items():
                    top = Decimal(str(getattr(thread, f"{part}_basic"))) - allowed * gap
                    expected = (float(top), float(top - Decimal(str(_rounded(tolerance)))))
                    actual = (getattr(limits, f"{part}_max"), getattr(limits, f"{part}_min"))
                    assert (thread.designation, name, part, *expected) == (
                        thread.designation,
                        name,
                        part,
                        *actual,
                    )


@pytest.mark.parametrize("symbol", _SYMBOLS)
def test_every_nut_limit_equals_the_exact_route(symbol: str) -> None:
    with localcontext() as context:
        context.prec = 40
        for size, thread in zip(series(symbol).system.sizes, _threads(symbol), strict=True):
            unit = _tolerance_unit(_decimal(size.major), _decimal(size.pitch))
            tpi = 1 / size.pitch
            extra = Decimal("0.004") if tpi >= 26 else Decimal("0.005") if tpi >= 22 else Decimal("0.007")
            on_minor = Decimal(str(_rounded(_decimal(size.pitch) / 5 + extra)))
            for name, share in (("medium", Decimal(1)), ("normal", Decimal("1.5"))):
                limits = thread.limits("internal", name)
                effective = Decimal(str(thread.pitch_diameter_basic)) + Decimal(str(_rounded(share * unit)))
                assert (thread.designation, float(effective)) == (
                    thread.designation,
                    limits.pitch_diameter_max,
                )
                assert float(Decimal(str(thread.minor_basic)) + on_minor) == limits.minor_max
                assert (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic) == (
                    limits.major_min,
                    limits.pitch_diameter_min,
                    limits.minor_min,
                )
                assert np.isnan(limits.major_max)


@pytest.mark.parametrize("symbol", _SYMBOLS)
def test_a_thread_has_minor_below_pitch_below_major_and_ordered_limits(symbol: str) -> None:
    table = series(symbol)
    assert np.all(table.basic.minor < table.basic.pitch_diameter)
    assert np.all(table.basic.pitch_diameter < table.basic.major)
    for row in table.limits:
        columns = row.columns
        for part in ("pitch_diameter", "minor"):
            assert np.all(columns[f"{part}_min"] < columns[f"{part}_max"])
        assert np.all(columns["minor_max"] < columns["pitch_diameter_min"])
        assert np.all(columns["pitch_diameter_max"] < columns["major_min"])


@pytest.mark.parametrize("symbol", _SYMBOLS)
def test_no_bolt_is_bigger_than_the_smallest_nut(symbol: str) -> None:
    table = series(symbol)
    for bolt in (row for row in table.limits if row.side == "external"):
        for nut in (row for row in table.limits if row.side == "internal"):
            for part in ("major", "pitch_diameter", "minor"):
                assert np.all(bolt.columns[f"{part}_max"] <= nut.columns[f"{part}_min"])


def test_the_allowance_ends_above_three_quarter_inch_and_close_bolts_have_none() -> None:
    medium = [
        find_thread(name).limits("external", "medium").major_max for name in ("3/4-10 BSW", "7/8-9 BSW")
    ]
    assert [0.7482, 0.875] == medium
    assert 0.75 == find_thread("3/4-10 BSW").limits("external", "close").major_max


def test_a_small_bolt_takes_the_allowance_of_the_quarter_inch_size() -> None:
    thread = find_thread("1/8-40 BSW")
    assert 0.0012 == pytest.approx(thread.major_basic - thread.limits("external", "free").major_max, abs=1e-9)


def test_a_given_length_of_engagement_changes_the_tolerance_unit() -> None:
    diameter, pitch = np.array([1.0]), np.array([0.125])
    short = whitworth.tolerance_unit(diameter, pitch, length=np.array([0.25]))
    assert 0.0015 == pytest.approx(float((whitworth.tolerance_unit(diameter, pitch) - short)[0]), abs=1e-12)


def test_limits_say_where_they_come_from() -> None:
    close, medium, _, nut, _ = series("BSW").limits
    assert ("from memory", "computed", "from memory") == (
        close.basis,
        close.basis_of["major_max"],
        close.basis_of.get("major_min", close.basis),
    )
    assert {} == dict(medium.basis_of)
    assert "computed" == nut.basis_of["minor_min"]
    assert {"estimated"} == {row.basis for row in series("BSB").limits}


@pytest.mark.parametrize("symbol", _SYMBOLS)
def test_every_designation_and_every_alias_finds_its_thread(symbol: str) -> None:
    table = series(symbol)
    for name, size in zip(table.designations, table.system.sizes, strict=True):
        for spelling in (name, *size.aliases, name.lower()):
            assert (spelling, name) == (spelling, find_thread(spelling).designation)


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("3/8 BSF", "3/8-20 BSF"),
        ("1/2 Whitworth", "1/2-12 BSW"),
        ("½ Whit", "1/2-12 BSW"),
        ('1/4" BSW', "1/4-20 BSW"),
        ("5/16-26 brass", "5/16-26 BSB"),
        ("5/16 brass", "5/16-26 BSB"),
        ("2-4 1/2 BSW", "2-4.5 BSW"),
        ("4 1/2-2 7/8 Whitworth", "4 1/2-2.875 BSW"),
        ("1-1/8 BSW", "1 1/8-7 BSW"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_class_may_follow_the_designation() -> None:
    thread, tolerance_class = find_thread_and_class("3/8 BSF medium")
    assert ("3/8-20 BSF", "medium") == (thread.designation, tolerance_class)


def test_the_quarter_inch_fine_and_brass_threads_are_the_same_metal() -> None:
    fine, brass = find_thread("1/4-26 BSF"), find_thread("1/4-26 BSB")
    assert (fine.major_basic, fine.pitch, fine.pitch_diameter_basic) == (
        brass.major_basic,
        brass.pitch,
        brass.pitch_diameter_basic,
    )


def test_the_list_of_1841_stands_in_the_coarse_series() -> None:
    # Whitworth's paper of 1841; Holtzapffel vol. 2
    printed = """
    1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 5/8-11 3/4-10 7/8-9 1-8 1_1/8-7 1_1/4-7 1_3/8-6 1_1/2-6
    1_5/8-5 1_3/4-5 1_7/8-4.5 2-4.5 2_1/4-4 2_1/2-4 2_3/4-3.5 3-3.5 3_1/4-3.25 3_1/2-3.25 3_3/4-3
    4-3 4_1/4-2.875 4_1/2-2.875 4_3/4-2.75 5-2.75 5_1/4-2.625 5_1/2-2.625 5_3/4-2.5 6-2.5
    """
    names = {f"{entry.replace('_', ' ')} BSW" for entry in printed.split()}
    assert set() == names - set(series("BSW").designations)


def test_sizes_from_memory_say_so() -> None:
    assert "from memory" == find_thread("13/16-10 BSW").basis
    assert "computed" == find_thread("1/4-20 BSW").basis
