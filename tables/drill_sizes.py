"""Twist drills that a workshop may hold: metric, fractional, number and letter sizes."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Literal, NamedTuple

from threadwright.tables.numbers import format_decimal, format_mixed
from threadwright.tables.system import MM_PER_INCH

__all__ = ["DRILL_KINDS", "Drill", "DrillKind", "drills"]

DrillKind = Literal["metric", "fraction", "number", "letter"]
DRILL_KINDS: tuple[DrillKind, ...] = ("metric", "fraction", "number", "letter")


class Drill(NamedTuple):
    """One drill."""

    name: str
    """As marked: ``"8.5 mm"``, ``"21/64 in"``, ``"No. 7"``, ``"letter F"``."""
    kind: DrillKind
    diameter: float
    """Diameter. [mm]"""


def _number_sizes() -> str:
    """Number drills 1 to 80 in inches, from memory."""
    return """
    .2280 .2210 .2130 .2090 .2055 .2040 .2010 .1990 .1960 .1935 .1910 .1890 .1850 .1820 .1800 .1770
    .1730 .1695 .1660 .1610 .1590 .1570 .1540 .1520 .1495 .1470 .1440 .1405 .1360 .1285 .1200 .1160
    .1130 .1110 .1100 .1065 .1040 .1015 .0995 .0980 .0960 .0935 .0890 .0860 .0820 .0810 .0785 .0760
    .0730 .0700 .0670 .0635 .0595 .0550 .0520 .0465 .0430 .0420 .0410 .0400 .0390 .0380 .0370 .0360
    .0350 .0330 .0320 .0310 .0292 .0280 .0260 .0250 .0240 .0225 .0210 .0200 .0180 .0160 .0145 .0135"""


def _letter_sizes() -> str:
    """Letter drills A to Z in inches, from memory."""
    return """
    .234 .238 .242 .246 .250 .257 .261 .266 .272 .277 .281 .290 .295
    .302 .316 .323 .332 .339 .348 .358 .368 .377 .386 .397 .404 .413"""


def _metric_hundredths() -> list[int]:
    """Hundredths of a mm: 0.05 apart to 3, 0.1 and quarters to 14, 0.25 to 25, 0.5 to 50; from memory."""
    small = range(30, 300, 5)
    middle = {*range(300, 1400, 10), *range(300, 1400, 25)}
    return sorted({*small, *middle, *range(1400, 2500, 25), *range(2500, 5001, 50)})


@cache
def drills(kind: DrillKind) -> tuple[Drill, ...]:
    """All drills of one kind, the thinnest first.

    Parameters
    ----------
    kind : {"metric", "fraction", "number", "letter"}
        Metric 0.3 to 50 mm; fractions 1/64 to 1 in by 1/64, to 1 1/2 in by 1/32; numbers 80 to 1; letters.

    Returns
    -------
    tuple of Drill

    References
    ----------
    From memory: the number and letter gauges of ASME B94.11M, the usual metric jobber drills of ISO 235.

    Examples
    --------
    >>> drills("letter")[5], drills("number")[-7].name
    (Drill(name='letter F', kind='letter', diameter=6.5278), 'No. 7')
    """
    if kind == "metric":
        sizes = [Fraction(n, 100) for n in _metric_hundredths()]
        return tuple(Drill(f"{format_decimal(size)} mm", kind, float(size)) for size in sizes)
    if kind == "fraction":
        parts = [Fraction(n, 64) for n in range(1, 65)] + [Fraction(n, 32) for n in range(33, 49)]
        return tuple(
            Drill(f"{format_mixed(size)} in", kind, float(size * Fraction("25.4"))) for size in parts
        )
    if kind == "number":
        found = [(f"No. {n}", size) for n, size in enumerate(_number_sizes().split(), start=1)][::-1]
    else:
        found = [
            (f"letter {letter}", size)
            for letter, size in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", _letter_sizes().split(), strict=True)
        ]
    return tuple(Drill(name, kind, round(float(size) * MM_PER_INCH, 6)) for name, size in found)
