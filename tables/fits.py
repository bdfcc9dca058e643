"""ISO 286 limits of holes and shafts from the columns of the standard, 0 to 500 mm.

The formulas of the standard with its rounding miss a good part of the printed table, so the columns are kept.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from functools import cache
from typing import NamedTuple

from threadwright.tables.errors import TableError
from threadwright.tables.numbers import shorten

__all__ = [
    "HOLE_LETTERS",
    "SHAFT_LETTERS",
    "Tolerance",
    "fit",
    "fundamental_deviation",
    "hole_correction",
    "standard_tolerance",
]

STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
"""Upper ends of the nominal steps: over the one before, up to and including this. [mm]"""
SUBSTEPS = (
    3,
    6,
    10,
    18,
    30,
    50,
    65,
    80,
    100,
    120,
    140,
    160,
    180,
    200,
    225,
    250,
    280,
    315,
    355,
    400,
    450,
    500,
)
"""Upper ends of the finer steps of r and s. [mm]"""
GRADES = ("5", "6", "7", "8", "9", "10", "11")
SHAFT_LETTERS = ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
HOLE_LETTERS = ("D", "E", "F", "G", "H", "JS", "K", "M", "N", "P")
TRANSITION_GRADES = {"K": (6, 8), "M": (6, 8), "N": (6, 8), "P": (6, 7)}
"""Grades of the hole letters that follow the shaft with the correction Delta."""
DELTA_TO = 120
"""Largest size for which the correction was compared with print. [mm]"""


class Tolerance(NamedTuple):
    """Limits of a class for one size."""

    lower: float
    """Lower limit. [mm]"""
    upper: float
    """Upper limit. [mm]"""


@cache
def _columns() -> dict[str, tuple[int, ...]]:
    """Tolerances and deviations by step or substep, um, without sign; d only to 120 mm."""
    text = """
    5  4 5 6 8 9 11 13 15 18 20 23 25 27
    6  6 8 9 11 13 16 19 22 25 29 32 36 40
    7  10 12 15 18 21 25 30 35 40 46 52 57 63
    8  14 18 22 27 33 39 46 54 63 72 81 89 97
    9  25 30 36 43 52 62 74 87 100 115 130 140 155
    10 40 48 58 70 84 100 120 140 160 185 210 230 250
    11 60 75 90 110 130 160 190 220 250 290 320 360 400
    d  20 30 40 50 65 80 100 120
    e  14 20 25 32 40 50 60 72 85 100 110 125 135
    f  6 10 13 16 20 25 30 36 43 50 56 62 68
    g  2 4 5 6 7 9 10 12 14 15 17 18 20
    k  0 1 1 1 2 2 2 3 3 4 4 4 5
    m  2 4 6 7 8 9 11 13 15 17 20 21 23
    n  4 8 10 12 15 17 20 23 27 31 34 37 40
    p  6 12 15 18 22 26 32 37 43 50 56 62 68
    r  10 15 19 23 28 34 41 43 51 54 63 65 68 77 80 84 94 98 108 114 126 132
    s  14 19 23 28 35 43 53 59 71 79 92 100 108 122 130 140 158 170 190 208 232 252"""
    lines = [line.split() for line in text.splitlines() if line.strip()]
    return {name: tuple(map(int, cells)) for name, *cells in lines}


def _cell(column: str, size: float) -> int:
    """The cell of a column for a nominal size. [um]"""
    steps = SUBSTEPS if column in ("r", "s") else STEPS
    values = _columns()[column]
    if not (math.isfinite(size) and 0 < size <= STEPS[-1]):
        raise TableError(
            f"nominal size: {size} mm is outside the ISO 286 tables; give more than 0 and up to 500 mm"
        )
    row = bisect_left(steps, size)
    if row >= len(values):
        raise TableError(
            f"deviation {column}: the table ends at {steps[len(values) - 1]} mm, {size} mm was given; "
            "choose another letter"
        )
    return values[row]


def standard_tolerance(grade: int, size: float) -> float:
    """Standard tolerance of a grade.

    Parameters
    ----------
    grade : int
        5 to 11.
    size : float
        Nominal size, above 0 and up to 500. [mm]

    Returns
    -------
    float
        Tolerance. [mm]

    Raises
    ------
    TableError
        If the grade or the size is outside the table.

    References
    ----------
    ISO 286-1, table of standard tolerances, reproduced in three open sources.

    Examples
    --------
    >>> standard_tolerance(7, 10.0)
    0.015
    """
    if str(grade) not in GRADES:
        raise TableError(f"tolerance grade: no IT{grade} in the tables; write 5 to 11")
    return _cell(str(grade), size) / 1000


def hole_correction(grade: int, size: float) -> float:
    r"""Correction Delta of the holes K to P against the shafts of the same letter.

    .. math:: \Delta = IT_n - IT_{n-1}, \quad 0 \text{ up to 3 mm}

    Parameters
    ----------
    grade : int
        6 to 8.
    size : float
        Nominal size, above 0 and up to 120. [mm]

    Returns
    -------
    float
        Correction. [mm]

    Raises
    ------
    TableError
        If the grade or the size is outside the table.

    References
    ----------
    ISO 286-1, Delta column, reproduced; one witness.

    Examples
    --------
    >>> hole_correction(7, 25.0)
    0.008
    """
    if grade not in (6, 7, 8) or size > DELTA_TO:
        raise TableError(
            f"holes K to P: no grade {grade} at {size} mm in the tables; write grade 6 to 8 and up to 120 mm"
        )
    wide, narrow = _cell(str(grade), size), _cell(str(grade - 1), size)
    return 0.0 if size <= STEPS[0] else (wide - narrow) / 1000


def fundamental_deviation(letter: str, grade: int, size: float) -> float:
    """Deviation of the nearer limit from the nominal size, with its sign.

    Parameters
    ----------
    letter : str
        Shaft d to s, or hole D to P. js and JS have none: their zone lies symmetrically.
    grade : int
        Matters for k, which is 0 outside IT4 to IT7, and for the holes K to P.
    size : float
        Nominal size. [mm]

    Returns
    -------
    float
        Upper deviation of d to h and of K to P, lower deviation of k to s and of D to H. [mm]

    Raises
    ------
    TableError
        If the letter or the size is outside the tables.

    References
    ----------
    ISO 286-1, tables of fundamental deviations, reproduced in three open sources; r and s by their substeps.

    Examples
    --------
    >>> fundamental_deviation("g", 6, 10.0), fundamental_deviation("k", 6, 25.0)
    (-0.005, 0.002)
    """
    if letter == "h" or letter == "H":
        _cell("5", size)
        return 0.0
    if letter in TRANSITION_GRADES:
        least, most = TRANSITION_GRADES[letter]
        if not least <= grade <= most:
            raise TableError(f"hole {letter}: no grade {grade} in the tables; write {least} to {most}")
        return hole_correction(grade, size) - _cell(letter.lower(), size) / 1000
    if letter in ("D", "E", "F", "G"):
        return _cell(letter.lower(), size) / 1000
    if letter not in SHAFT_LETTERS or letter == "js":
        known = ", ".join(name for name in (*SHAFT_LETTERS, *HOLE_LETTERS) if name.lower() != "js")
        raise TableError(f"deviation: the tables hold no letter {shorten(letter)}; write one of {known}")
    if letter in ("d", "e", "f", "g"):
        return -_cell(letter, size) / 1000
    if letter == "k" and grade > 7:
        _cell(letter, size)
        return 0.0
    return _cell(letter, size) / 1000


def fit(tolerance_class: str, size: float) -> Tolerance:
    """Limits of a hole or a shaft.

    Parameters
    ----------
    tolerance_class : str
        Letter and grade: ``"H7"`` is a hole, ``"g6"`` a shaft.
    size : float
        Nominal size, above 0 and up to 500. [mm]

    Returns
    -------
    Tolerance
        Lower and upper limit. [mm]

    Raises
    ------
    TableError
        If the class cannot be read, or the class or size is outside the tables.

    References
    ----------
    ISO 286-1 and ISO 286-2.

    Examples
    --------
    >>> fit("H7", 12.0)
    Tolerance(lower=12.0, upper=12.018)
    >>> fit("g6", 12.0)
    Tolerance(lower=11.983, upper=11.994)
    """
    match = re.fullmatch(r"([A-Za-z]{1,2})\s?(\d{1,2})", tolerance_class.strip())
    if match is None or match[1] not in (*SHAFT_LETTERS, *HOLE_LETTERS) or match[2] not in GRADES:
        raise TableError(
            f"tolerance class: the tables hold no {shorten(tolerance_class)}; write a hole like 'H7' "
            f"({', '.join(HOLE_LETTERS)}) or a shaft like 'g6' ({', '.join(SHAFT_LETTERS)}), grades 5 to 11"
        )
    letter, grade = match[1], int(match[2])
    width = standard_tolerance(grade, size)
    if letter.lower() == "js":
        lower = -width / 2
    elif letter in ("d", "e", "f", "g", "h", *TRANSITION_GRADES):
        lower = fundamental_deviation(letter, grade, size) - width
    else:
        lower = fundamental_deviation(letter, grade, size)
    return Tolerance(round(size + lower, 6), round(size + lower + width, 6))
