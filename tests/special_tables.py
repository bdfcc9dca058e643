"""Laws and helpers shared by the tests of the special threads."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import SeriesTable

TAN_27_5 = Fraction("0.520567050551746250516580990395")
"""Tangent of 27 1/2 deg, to 30 figures."""
WHITWORTH_DEPTH = 1 / (3 * TAN_27_5)
"""Two thirds of the sharp height, for a pitch of one."""


def rounded(value: Fraction, places: int) -> float:
    """Round an exact number half up, by integers."""
    scaled = value * 10**places
    return ((2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)) / 10**places


def basic_rows(table: SeriesTable) -> list[tuple[float, float, float]]:
    """Major, pitch and minor diameter of every size."""
    return [
        (float(a), float(b), float(c))
        for a, b, c in zip(table.basic.major, table.basic.pitch_diameter, table.basic.minor, strict=True)
    ]


def check_laws(symbol: str) -> None:
    """Order of diameters and limits, no interference, and every designation finds itself."""
    table = series(symbol)
    assert np.all(table.basic.minor < table.basic.pitch_diameter)
    assert np.all(table.basic.pitch_diameter < table.basic.major)
    assert np.all(table.basic.minor > 0)
    for designation in table.designations:
        thread = find_thread(designation)
        assert (symbol, designation) == (thread.system, thread.designation)
        for limits in thread.all_limits:
            for part in ("major", "pitch_diameter", "minor"):
                high, low = getattr(limits, f"{part}_max"), getattr(limits, f"{part}_min")
                assert not high <= low, (designation, part)
            assert not limits.pitch_diameter_max >= limits.major_min, designation
            assert not limits.minor_max >= limits.pitch_diameter_min, designation
        for screw in (row for row in thread.all_limits if row.side == "external"):
            for nut in (row for row in thread.all_limits if row.side == "internal"):
                for part in ("major", "pitch_diameter", "minor"):
                    assert not getattr(screw, f"{part}_max") > getattr(nut, f"{part}_min"), designation
