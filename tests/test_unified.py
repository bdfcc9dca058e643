"""Unified threads against an exact 40-digit route, the worked examples in print, and the laws of the form."""

from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import unified
from threadwright.tables.errors import DesignationError, UnknownThreadError
from threadwright.tables.registry import find_thread, find_thread_and_class, series, system
from threadwright.tables.thread import Size

SYMBOLS = ("UNC", "UNF", "UNEF", "UN", "UNS")
EXTERNAL_FACTOR = {"1A": ("1.5", "0.090"), "2A": ("1", "0.060"), "3A": ("0.75", "0.060")}
INTERNAL_FACTOR = {"1B": "1.95", "2B": "1.3", "3B": "0.975"}


def decimal(value):
    value = Fraction(value)
    return Decimal(value.numerator) / Decimal(value.denominator)


def rounded(value, places):
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


class Exact:
    """One thread worked step by step to ASME B1.1 and B1.30, in decimals of 40 digits."""

    def __init__(self, symbol, major, tpi):
        self.D = rounded(decimal(major), 4)
        self.n = decimal(tpi)
        self.P = rounded(1 / self.n, 8)
        self.P23 = (self.P * self.P) ** (1 / Decimal(3))
        fine_of_old = symbol == "UNS" and (self.D, self.n) == (1, 14)
        one_diameter = symbol in ("UNC", "UNF") or (symbol == "UN" and self.n in (4, 6, 8)) or fine_of_old
        self.LE = self.D if one_diameter else 9 * self.P
        self.Td2 = rounded(
            Decimal("0.0015") * self.D ** (1 / Decimal(3))
            + Decimal("0.0015") * self.LE.sqrt()
            + Decimal("0.015") * self.P23,
            6,
        )

    def times_pitch(self, constant):
        return rounded(Decimal(constant) * self.P, 6)

    def basic(self):
        pitch_diameter = rounded(self.D - self.times_pitch("0.64951905"), 4)
        return self.D, pitch_diameter, rounded(self.D - self.times_pitch("1.08253175"), 4)

    def external(self, name):
        pitch_factor, major_factor = EXTERNAL_FACTOR[name]
        es = Decimal(0) if name == "3A" else rounded(Decimal("0.3") * self.Td2, 4)
        d = self.D - es
        d2 = rounded(d - self.times_pitch("0.64951905"), 4)
        return {
            "major_max": d,
            "major_min": rounded(d - rounded(Decimal(major_factor) * self.P23, 6), 4),
            "pitch_diameter_max": d2,
            "pitch_diameter_min": rounded(d2 - rounded(Decimal(pitch_factor) * self.Td2, 6), 4),
            "minor_max": rounded(d - self.times_pitch("1.19078493"), 4),
            "minor_flat_max": rounded(d - self.times_pitch("1.08253175"), 4),
        }

    def minor_tolerance(self, name):
        P = self.P
        A = Decimal("0.05") * self.P23 + Decimal("0.03") * P / self.D - Decimal("0.002")
        A = min(A, Decimal("0.394") * P)
        if name == "3B" and self.n >= 13:
            value = max(A, Decimal("0.23") * P - Decimal("1.5") * P * P)
        elif name == "3B":
            value = max(A, Decimal("0.120") * P)
        elif self.D < Decimal("0.25"):
            value = max(A, Decimal("0.25") * P - Decimal("0.40") * P * P)
        elif self.n >= 4:
            value = Decimal("0.25") * P - Decimal("0.40") * P * P
        else:
            value = Decimal("0.15") * P
        return rounded(value, 6)

    def internal(self, name):
        D2 = rounded(self.D - self.times_pitch("0.64951905"), 4)
        D2_max = rounded(D2 + rounded(Decimal(INTERNAL_FACTOR[name]) * self.Td2, 6), 4)
        D1 = self.D - self.times_pitch("1.08253175")
        few = 3 if self.D >= Decimal("0.138") else 4
        return {
            "major_max": rounded(D2_max + self.times_pitch("0.793857"), 4),
            "major_min": self.D,
            "pitch_diameter_max": D2_max,
            "pitch_diameter_min": D2,
            "minor_max": rounded(D1 + self.minor_tolerance(name), 4 if name == "3B" else few),
            "minor_min": rounded(D1, few),
        }


def has_class(symbol, size, name):
    return name[0] != "1" or (symbol in ("UNC", "UNF") and size.major >= Fraction(1, 4))


def special(symbol, name, major, tpi):
    """The table of one special size under the rules of a series."""
    size = Size(name, Fraction(major), Fraction(1, tpi))
    return system(symbol).but(seeds=lambda: (size,)).build().thread(0)


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_value_equals_the_exact_decimal_route(symbol):
    table = series(symbol)
    with localcontext(prec=40):
        for row, size in enumerate(table.system.sizes):
            exact = Exact(symbol, size.major, 1 / size.pitch)
            where = table.designations[row]
            assert [float(value) for value in exact.basic()] == [column[row] for column in table.basic], where
            for limits in table.limits:
                expected = getattr(exact, limits.side)(limits.tolerance_class)
                actual = {name: column[row] for name, column in limits.columns.items()}
                if not has_class(symbol, size, limits.tolerance_class):
                    assert all(np.isnan(value) for value in actual.values()), where
                else:
                    assert {name: float(value) for name, value in expected.items()} == actual, where


def test_worked_example_of_external_limits_in_print():
    # Machinery's Handbook, 31st ed., Tables 3 and 4: 1/2-28 UNEF-2A to the rounding of ASME B1.30
    limits = find_thread("1/2-28 UNEF").limits("external", "2A")
    assert (0.4989, 0.4924) == (limits.major_max, limits.major_min)
    assert (0.4757, 0.4720) == (limits.pitch_diameter_max, limits.pitch_diameter_min)
    assert (0.4564, 0.4602) == (limits.minor_max, limits.minor_flat_max)


def test_worked_example_of_internal_limits_in_print():
    # Machinery's Handbook, 31st ed., Tables 5 and 6: the special 19/64-36 UNS-2B and its 2A screw
    thread = special("UNS", "19/64", "19/64", 36)
    nut, screw = thread.limits("internal", "2B"), thread.limits("external", "2A")
    assert "19/64-36 UNS" == thread.designation
    assert 0.2969 == thread.major_basic
    assert (0.267, 0.273) == (nut.minor_min, nut.minor_max)
    assert 0.2789 == nut.pitch_diameter_min
    assert (0.2960, 0.2629) == (screw.major_max, screw.minor_max)


def test_the_worked_tolerance_of_the_major_diameter_differs_in_the_sixth_place_only():
    # the handbook rounds the square of the pitch to 0.001276 and gets 0.006508
    assert 0.006507 == unified.major_tolerance("2A", tpi=np.array([28.0]))[0]
    assert 0.006508 == round(0.060 * 0.001276 ** (1 / 3), 6)


def test_class_1_takes_the_allowance_of_class_2():
    # Machinery's Handbook, 27th ed., p. 1755: 2 1/2-4 UNC, allowance 0.0031 in both
    thread = find_thread("2 1/2-4 UNC")
    assert 2.4969 == thread.limits("external", "1A").major_max == thread.limits("external", "2A").major_max


def test_fewer_than_four_threads_per_inch_take_the_flat_minor_tolerance():
    assert 0.05 == unified.minor_tolerance("2B", diameter=np.array([6.0]), tpi=np.array([3.0]))[0]


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_minor_below_pitch_below_major_and_least_below_greatest(symbol):
    table = series(symbol)
    assert np.all(
        (table.basic.minor < table.basic.pitch_diameter) & (table.basic.pitch_diameter < table.basic.major)
    )
    for limits in table.limits:
        columns = limits.columns
        given = ~np.isnan(columns["major_max"])
        assert given.any()
        for quantity in ("major", "pitch_diameter"):
            assert np.all(columns[f"{quantity}_min"][given] < columns[f"{quantity}_max"][given])
        assert np.all(columns["minor_max"][given] < columns["pitch_diameter_min"][given])
        assert np.all(columns["pitch_diameter_max"][given] < columns["major_min"][given])


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_any_screw_at_its_largest_enters_any_nut_at_its_smallest(symbol):
    limits = series(symbol).limits
    for screw in (entry.columns for entry in limits if entry.side == "external"):
        for nut in (entry.columns for entry in limits if entry.side == "internal"):
            given = ~np.isnan(screw["major_max"]) & ~np.isnan(nut["major_min"])
            assert np.all(screw["major_max"][given] <= nut["major_min"][given])
            assert np.all(screw["pitch_diameter_max"][given] <= nut["pitch_diameter_min"][given])
            assert np.all(screw["minor_max"][given] < nut["minor_min"][given])


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_a_finer_class_has_the_smaller_tolerance(symbol):
    spans = {
        entry.tolerance_class: entry.columns["pitch_diameter_max"] - entry.columns["pitch_diameter_min"]
        for entry in series(symbol).limits
    }
    for side in "AB":
        assert np.all(spans[f"3{side}"] < spans[f"2{side}"])
        if f"1{side}" in spans:
            given = ~np.isnan(spans[f"1{side}"])
            assert np.all(spans[f"2{side}"][given] < spans[f"1{side}"][given])


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_designation_reads_back_with_and_without_a_class(symbol):
    for row, designation in enumerate(series(symbol).designations):
        thread = find_thread(designation)
        size = system(symbol).sizes[row]
        assert (symbol, designation) == (thread.system, thread.designation)
        assert (float(size.major), 1 / size.pitch) == (thread.nominal_major, thread.tpi)
        classed, tolerance_class = find_thread_and_class(f"{designation}-3B")
        assert (designation, "3B") == (classed.designation, tolerance_class)


@pytest.mark.parametrize(
    "text, designation",
    [
        ("10-32 UNF", "No. 10-32 UNF"),
        ("No 10 UNF", "No. 10-32 UNF"),
        ("#10-32 unf", "No. 10-32 UNF"),
        ("#10-32", "No. 10-32 UNF"),
        ("0.190-32 UNF", "No. 10-32 UNF"),
        ("1/4 UNC", "1/4-20 UNC"),
        (".250-20 UNC", "1/4-20 UNC"),
        ("1/4-20 UNRC", "1/4-20 UNC"),
        ("1-1/2-6 UNC", "1 1/2-6 UNC"),
        ("1 1/2 unc", "1 1/2-6 UNC"),
        ("0-80", "No. 0-80 UNF"),
        ("2 1/4 - 4 1/2 UNC", "2 1/4-4.5 UNC"),
        ("2.375-20UN", "2 3/8-20 UN"),
        ("1-14 UNF", "1-14 UNS"),
    ],
)
def test_a_usual_spelling_finds_the_thread(text, designation):
    assert designation == find_thread(text).designation


def test_a_bare_size_that_two_threads_share_is_reported_with_both_names():
    with pytest.raises(DesignationError, match="'No. 2-56 UNC' or '2-4.5 UNC'"):
        find_thread("2 UNC")


def test_a_fractional_size_without_a_series_is_not_taken_for_unified():
    # 3/8-20 is British Standard Fine as well as a constant pitch size
    with pytest.raises(UnknownThreadError, match="did you mean .*'3/8-20 UN'"):
        find_thread("3/8-20")


def test_series_hold_the_sizes_of_the_standard():
    assert {"UNC": 33, "UNF": 24, "UNEF": 25} == {name: len(series(name)) for name in ("UNC", "UNF", "UNEF")}
    assert "No. 1-64 UNC" == series("UNC").designations[0]
    assert "4-4 UNC" == series("UNC").designations[-1]
    assert "No. 0-80 UNF" == series("UNF").designations[0]
    assert {4, 6, 8, 12, 16, 20, 28, 32} == {1 / size.pitch for size in system("UN").sizes}


def test_a_constant_pitch_gives_way_to_the_coarse_fine_and_extra_fine_series():
    threads = [(size.major, size.pitch) for symbol in SYMBOLS for size in system(symbol).sizes]
    assert len(threads) == len(set(threads))
    names = {thread.split()[0]: thread for symbol in SYMBOLS for thread in series(symbol).designations}
    assert ["1-8 UNC", "1-12 UNF", "1-20 UNEF", "1-16 UN"] == [
        names[at] for at in ("1-8", "1-12", "1-20", "1-16")
    ]


def test_number_sizes_step_by_thirteen_thousandths():
    # ASME B1.1: No. 0 is 0.060, No. 5 0.125, No. 10 0.190, No. 12 0.216 in
    assert ["0.06", "0.125", "0.19", "0.216"] == [str(float(unified.number_size(n))) for n in (0, 5, 10, 12)]


def test_commercial_classes_are_2a_and_2b():
    thread = find_thread("3/8-16 UNC")
    assert ("2A", "2B") == (thread.default_class("external"), thread.default_class("internal"))
    assert thread.limits("external") is thread.limits("external", "2A")


def test_usual_diameters_are_first_choice_and_specials_last():
    chosen = {
        find_thread(name).designation: find_thread(name).choice for name in ("No. 12-24 UNC", "1 1/2-6 UNC")
    }
    assert {"No. 12-24 UNC": 2, "1 1/2-6 UNC": 1} == chosen
    assert 2 == find_thread("15/16-20 UNEF").choice
    assert {3} == {size.choice for size in system("UNS").sizes}


def test_recalled_sizes_say_so():
    recalled = [
        series(symbol).designations[row]
        for symbol in SYMBOLS
        for row, size in enumerate(system(symbol).sizes)
        if size.basis == "from memory"
    ]
    assert ["15/16-32 UN", "1-32 UN", "1-14 UNS"] == recalled


def test_an_unknown_class_is_refused_by_name():
    one = np.array([1.0])
    with pytest.raises(
        UnknownThreadError, match="no Unified class '6g'; write one of 1A, 2A, 3A, 1B, 2B, 3B"
    ):
        unified.pitch_tolerance("6g", diameter=one, tpi=8 * one, engagement=one)
    with pytest.raises(UnknownThreadError, match="no Unified class '2B'; write one of 1A, 2A, 3A"):
        unified.major_tolerance("2B", tpi=8 * one)
    with pytest.raises(UnknownThreadError, match="no Unified class '2A'; write 1B, 2B or 3B"):
        unified.minor_tolerance("2A", diameter=one, tpi=8 * one)
