"""What the tests of the 60 degree systems share: an exact route in 40 digits, and laws of any thread."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction
from itertools import product

import numpy as np

from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import SeriesTable

with localcontext(prec=40):
    HEIGHT = Decimal(3).sqrt() / 2
    """Height of the sharp triangle of 60 degrees for a pitch of one."""

PARTS = ("major", "pitch_diameter", "minor")


def decimal(value: Fraction | float) -> Decimal:
    """An exact number to 40 digits; a float by its shortest text."""
    with localcontext(prec=40):
        exact = value if isinstance(value, Fraction) else Fraction(repr(value))
        return Decimal(exact.numerator) / Decimal(exact.denominator)


def rounded(value: Decimal, places: int) -> float:
    """Round half away from zero, as printed tables do."""
    return float(value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP))


def assert_basic_sizes_are_exact(symbol: str, *, minor_share: Decimal, pitch_share: str, places: int) -> None:
    """Each basic size is the nominal diameter less a share of the triangle, rounded once."""
    table = series(symbol)
    with localcontext(prec=40):
        shares = (Decimal(0), Decimal(pitch_share) * HEIGHT, minor_share)
        for row, size in enumerate(table.system.sizes):
            major, pitch = decimal(size.major), decimal(size.pitch)
            expected = [rounded(major - share * pitch, places) for share in shares]
            assert (table.designations[row], expected) == (
                table.designations[row],
                [float(column[row]) for column in table.basic],
            )


def assert_every_designation_reads_back(symbol: str) -> None:
    """A designation finds its own thread, with the size and the pitch of its seed."""
    table = series(symbol)
    for row, designation in enumerate(table.designations):
        thread, size = find_thread(designation), table.system.sizes[row]
        assert (symbol, designation) == (thread.system, thread.designation)
        assert (float(size.major), float(size.pitch)) == (thread.nominal_major, thread.pitch)
        assert designation.isascii()


def assert_laws_of_a_thread(symbol: str) -> SeriesTable:
    """Minor below pitch below major diameter, limits ordered, no screw bigger than any nut."""
    table = series(symbol)
    assert (table.basic.minor > 0).all()
    assert (table.basic.minor < table.basic.pitch_diameter).all()
    assert (table.basic.pitch_diameter < table.basic.major).all()
    screws = [row.columns for row in table.limits if row.side == "external"]
    nuts = [row.columns for row in table.limits if row.side == "internal"]
    for columns in (*screws, *nuts):
        blank = np.full(len(table), np.nan)
        low, high = ([columns.get(f"{part}_{end}", blank) for part in PARTS] for end in ("min", "max"))
        for least, greatest in zip(low, high, strict=True):
            assert not (least >= greatest).any()
        for end in (
            low,
            high,
        ):  # the greatest minor of the smallest printed nut is above its least pitch diameter
            assert not (end[2] >= end[1]).any()
            assert not (end[1] >= end[0]).any()
    for screw, nut in product(screws, nuts):
        for part in PARTS:
            if f"{part}_max" in screw and f"{part}_min" in nut:
                assert not (screw[f"{part}_max"] > nut[f"{part}_min"]).any()
    return table
