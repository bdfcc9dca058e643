"""Acme and stub Acme threads: against an exact decimal route and the laws of a thread."""

from __future__ import annotations

import itertools
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import acme
from threadwright.tables.registry import find_thread, find_thread_and_class, series
from threadwright.tables.thread import Thread

_CLASSES = {
    "2G": ("0.008", "0.030", "0.006"),
    "3G": ("0.006", "0.014", "0.0028"),
    "4G": ("0.004", "0.010", "0.002"),
}
_TOPS = [Fraction(top, 16) for top in (0, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25)]
_TOPS += [Fraction(top, 8) for top in (15, 17, 19, 21, 23, 26, 30, 34, 38, 44)]


def _threads(symbol: str) -> list[Thread]:
    table = series(symbol)
    return [table.thread(row) for row in range(len(table))]


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _printed(value: Decimal) -> Decimal:
    return round(value, 12).quantize(Decimal("0.0001"), rounding=ROUND_HALF_EVEN)


def _middle(diameter: Fraction) -> Decimal:
    above = next(number for number, top in enumerate(_TOPS) if diameter <= top)
    return _decimal((_TOPS[above] + _TOPS[above - 1]) / 2)


def _exact(thread: Thread, name: str) -> dict[str, list[float]]:
    assert thread.tpi is not None
    k, of_pitch, of_diameter = (Decimal(text) for text in _CLASSES[name])
    d, p = Decimal(str(thread.nominal_major)), _decimal(1 / thread.tpi)
    clearance = Decimal("0.02") if thread.tpi <= 10 else Decimal("0.01")
    crest = max(p / 20, Decimal("0.005"))
    tolerance = of_pitch * p.sqrt() + of_diameter * d.sqrt()
    middle, minor, width = _printed(d - p / 2), _printed(d - p), _printed(tolerance)
    top = middle - _printed(k * _middle(Fraction(str(thread.nominal_major))).sqrt())
    screw = [d, _printed(d - crest), top, top - width, minor - clearance]
    screw.append(minor - clearance - _printed(tolerance * 3 / 2))
    nut = [d + 2 * clearance, d + clearance, middle + width, middle, _printed(minor + crest), minor]
    return {"external": [float(v) for v in screw], "internal": [float(v) for v in nut]}


@pytest.mark.parametrize("name", _CLASSES)
def test_every_limit_equals_the_exact_route(name: str) -> None:
    parts = ("major", "pitch_diameter", "minor")
    for thread in _threads("ACME"):
        for side, expected in _exact(thread, name).items():
            limits = thread.limits(side, name)  # type: ignore[arg-type]
            actual = [getattr(limits, f"{part}_{end}") for part in parts for end in ("max", "min")]
            assert (thread.designation, side, expected) == (thread.designation, side, actual)


@pytest.mark.parametrize(("symbol", "depth"), [("ACME", "0.5"), ("STUB-ACME", "0.3")])
def test_every_basic_size_equals_the_exact_route(symbol: str, depth: str) -> None:
    for thread in _threads(symbol):
        assert thread.tpi is not None
        d, step = Decimal(str(thread.nominal_major)), Decimal(depth) * _decimal(1 / thread.tpi)
        expected = [float(_printed(value)) for value in (d, d - step, d - 2 * step)]
        actual = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
        assert (thread.designation, expected) == (thread.designation, actual)


def test_limits_are_ordered_and_screw_and_nut_always_clear_each_other() -> None:
    table = series("ACME")
    order = ("minor_min", "minor_max", "pitch_diameter_min", "pitch_diameter_max", "major_min", "major_max")
    for limits in table.limits:
        for low, high in itertools.pairwise(order):
            assert np.all(limits.columns[low] < limits.columns[high])
    for screw in (row.columns for row in table.limits if row.side == "external"):
        for nut in (row.columns for row in table.limits if row.side == "internal"):
            for part in ("major", "pitch_diameter", "minor"):
                assert np.all(screw[f"{part}_max"] < nut[f"{part}_min"])


def test_a_closer_class_has_a_smaller_allowance_and_tolerance() -> None:
    size = {"diameter": np.array([0.25, 1.0, 5.0]), "pitch": np.array([1 / 16, 0.2, 0.5])}
    for loose, close in (("2G", "3G"), ("3G", "4G")):
        assert np.all(acme.pitch_tolerance(close, **size) < acme.pitch_tolerance(loose, **size))
        assert np.all(
            acme.pitch_allowance(close, size["diameter"]) < acme.pitch_allowance(loose, size["diameter"])
        )


def test_acme_and_stub_acme_hold_the_same_pairs_and_stub_acme_no_limits() -> None:
    full, stub = series("ACME"), series("STUB-ACME")
    assert [(s.major, s.pitch) for s in full.system.sizes] == [(s.major, s.pitch) for s in stub.system.sizes]
    assert (23, ()) == (len(stub), stub.limits)
    assert () == find_thread("1/2-10 STUB ACME").classes("external")


def test_sizes_that_were_not_read_in_print_say_so() -> None:
    recalled = [thread.designation for thread in _threads("STUB-ACME") if thread.basis == "from memory"]
    assert ["4 1/2-2 STUB ACME", "5-2 STUB ACME"] == recalled
    assert ["computed", "from memory"] == [find_thread(f"{name} ACME").basis for name in ("1-5", "1 1/4-5")]


def test_every_designation_and_every_alias_finds_its_thread() -> None:
    for symbol in ("ACME", "STUB-ACME"):
        table = series(symbol)
        for name, size in zip(table.designations, table.system.sizes, strict=True):
            for spelling in (name, name.lower(), *size.aliases):
                assert (spelling, name) == (spelling, find_thread(spelling).designation)


def test_a_class_may_follow_the_designation() -> None:
    thread, tolerance_class = find_thread_and_class("1/2-10 ACME-3G")
    assert ("1/2-10 ACME", "3G", "2G") == (
        thread.designation,
        tolerance_class,
        thread.default_class("external"),
    )
