"""Deviations and tolerances of ISO 965-1, worked out by its formulas and corrected where its tables differ.

The recipe of ISO 965-1 is: compute the grade 6 tolerance, snap it to the R40 series of preferred
numbers, multiply *that* by the factor of the wanted grade, snap again, print as whole micrometres,
half to even. Where the standard's tables were smoothed by hand the exceptions are listed here.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from threadwright.tables.columns import Array, Side
from threadwright.tables.errors import UnknownThreadError

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "crest_tolerance_external",
    "crest_tolerance_internal",
    "fundamental_deviation",
    "pitch_tolerance",
]

_RANGES = np.array([0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0])
# fmt: off
_R40 = np.array([
    1, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3,
    3.15, 3.35, 3.55, 3.75, 4, 4.25, 4.5, 4.75, 5, 5.3, 5.6, 6, 6.3, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5, 10,
])
# fmt: on
_GRADE_FACTOR = {3: 0.5, 4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6, 9: 2.0}
_NUT_FACTOR = {4: 0.85, 5: 1.06, 6: 1.32, 7: 1.7, 8: 2.12}

# Cells of the ISO 965-1 tables that differ from the recipe; keys are the upper limit of the diameter
# range (0: any) and the pitch, values are micrometres.
_TD_TABLE = {6: {4.0: 475.0}, 8: {8.0: 1180.0}}
_TD1_TABLE = {6: {0.5: 140.0, 2.5: 450.0}, 4: {0.25: 45.0}, 5: {0.25: 56.0}}
_TD2_BASE = {(5.6, 0.5): 75.0, (90.0, 5.0): 250.0, (355.0, 3.0): 250.0, (355.0, 4.0): 280.0}
_BOLT_TABLE = {5: {(22.4, 2.5): 132.0, (45.0, 2.0): 132.0}}
_NUT_TABLE = {
    4: {(22.4, 2.0): 132.0, (90.0, 1.5): 132.0},
    6: {(11.2, 1.5): 180.0, (22.4, 1.25): 180.0, (22.4, 1.5): 190.0},
}
_DEVIATION_TABLE = {
    "g": {0.75: 22.0, 8.0: 100.0},
    "e": {0.5: 50.0, 0.6: 53.0, 0.75: 56.0},
}
# ISO 965-1 position f follows no rule; read from DIN 13-14 / ISO 965-1 as reproduced.
_DEVIATION_F = dict(
    zip(
        [0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 8],
        [34.0, 34, 35, 36, 36, 38, 38, 38, 40, 42, 45, 48, 52, 58, 63, 70, 75, 80, 85, 90, 95, 118],
        strict=True,
    )
)


def _snap(values: Array) -> Array:
    """Nearest R40 number, ties upward."""
    decade = 10.0 ** np.floor(np.log10(values) + 1e-12)
    mantissa = values / decade
    above = _between(_R40, mantissa)
    low, high = _R40[above - 1], _R40[above]
    return np.asarray(np.where(mantissa - low < (high - mantissa) - 1e-9, low, high) * decade)


def _between(steps: Array, values: Array) -> NDArray[np.intp]:
    """Place of the upper one of the two steps that each value lies between."""
    return np.minimum(np.maximum(steps.searchsorted(values), 1), len(steps) - 1)


def _micrometres(values: Array) -> Array:
    """Whole micrometres, half to even, of R40 numbers."""
    return np.asarray(np.rint(np.round(values, 6)))


def _replace(values: Array, pitch: Array, table: dict[float, float]) -> Array:
    for at, value in table.items():
        values = np.where(pitch == at, value, values)
    return values


def _replace_cells(
    values: Array, upper: Array, pitch: Array, cells: dict[tuple[float, float], float]
) -> Array:
    for (top, at), value in cells.items():
        values = np.where((upper == top) & (pitch == at), value, values)
    return values


def _check(what: str, value: str | int, known: str | tuple[int, ...]) -> None:
    if value not in tuple(known):
        choices = ", ".join(str(choice) for choice in known)
        raise UnknownThreadError(f"{what}: ISO 965-1 has no {value!r} here; write one of {choices}")


def fundamental_deviation(position: str, pitch: Array) -> Array:
    """Amount of the fundamental deviation, es of the screw (e f g h) or EI of the nut (G H).

    Parameters
    ----------
    position : {"e", "f", "g", "h", "G", "H"}
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        Distance from basic into the material's clear side; NaN where ISO 965-1 gives none. [um]

    Raises
    ------
    UnknownThreadError
        If there is no such position.

    References
    ----------
    ISO 965-1:1998 clause 13 and Table 1.

    Examples
    --------
    >>> fundamental_deviation("g", np.array([1.25, 0.75]))
    array([28., 22.])
    """
    _check("tolerance position", position, "efghGH")
    letter = position.lower()
    if letter == "h":
        return np.zeros_like(pitch)
    if letter == "f":
        return np.array([_DEVIATION_F.get(float(p), np.nan) for p in pitch])
    base, least = {"e": (50.0, 0.5), "g": (15.0, 0.0)}[letter]
    values = _replace(_micrometres(_snap(base + 11.0 * pitch)), pitch, _DEVIATION_TABLE[letter])
    return np.where(pitch >= least, values, np.nan)


def crest_tolerance_external(grade: int, pitch: Array) -> Array:
    """Tolerance of the external major diameter, Td, by grade (4, 6, 8). [um]

    Parameters
    ----------
    grade : {4, 6, 8}
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        Td; NaN where the table is blank. [um]

    Raises
    ------
    UnknownThreadError
        If there is no such grade.

    References
    ----------
    ISO 965-1:1998 Table 4: Td(6) = 180 P^(2/3) - 3.15 / sqrt(P).

    Examples
    --------
    >>> crest_tolerance_external(6, np.array([1.25, 4.0]))
    array([212., 475.])
    """
    _check("grade of the major diameter", grade, (4, 6, 8))
    base = _snap(180.0 * pitch ** (2 / 3) - 3.15 / np.sqrt(pitch))
    base = _replace(base, pitch, _TD_TABLE[6])
    values = base if grade == 6 else _snap(base * _GRADE_FACTOR[grade])
    values = _replace(values, pitch, _TD_TABLE.get(grade, {}))
    return np.where((grade < 8) | (pitch >= 0.8), _micrometres(values), np.nan)


def crest_tolerance_internal(grade: int, pitch: Array) -> Array:
    """Tolerance of the internal minor diameter, TD1, by grade (4 to 8). [um]

    Parameters
    ----------
    grade : {4, 5, 6, 7, 8}
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        TD1; NaN where the table is blank. [um]

    Raises
    ------
    UnknownThreadError
        If there is no such grade.

    References
    ----------
    ISO 965-1:1998 Table 3: 433 P - 190 P^1.22 up to 0.8 mm, 230 P^0.7 from 1 mm.

    Examples
    --------
    >>> crest_tolerance_internal(6, np.array([0.5, 1.25, 0.2]))
    array([140., 265.,  nan])
    """
    _check("grade of the minor diameter", grade, (4, 5, 6, 7, 8))
    raw = np.where(pitch < 0.9, 433.0 * pitch - 190.0 * pitch**1.22, 230.0 * pitch**0.7)
    base = _replace(_snap(raw), pitch, _TD1_TABLE[6])
    values = base if grade == 6 else _snap(base * _GRADE_FACTOR[grade])
    values = _replace(values, pitch, _TD1_TABLE.get(grade, {}))
    least = {4: 0.0, 5: 0.25, 6: 0.3, 7: 0.5, 8: 0.8}[grade]
    return np.where(pitch >= least, _micrometres(values), np.nan)


def _range_top(diameter: Array) -> Array:
    return _RANGES[_between(_RANGES, diameter)]


@lru_cache(maxsize=16)
def _grade_six(diameter: bytes, pitch: bytes) -> tuple[Array, Array]:
    """Top of the range of each diameter and Td2 of grade 6 before its rounding, for all grades at once."""
    top, column = _range_top(np.frombuffer(diameter)), np.frombuffer(pitch)
    mean = np.sqrt(top * _RANGES[_RANGES.searchsorted(top) - 1])
    return top, _replace_cells(_snap(90.0 * column**0.4 * mean**0.1), top, column, _TD2_BASE)


def pitch_tolerance(side: Side, grade: int, diameter: Array, pitch: Array, *, coarsest: float = 8.0) -> Array:
    """Tolerance of the pitch diameter, Td2 or TD2.

    Parameters
    ----------
    side : {"external", "internal"}
    grade : int
        3 to 9 external, 4 to 8 internal.
    diameter, pitch : array (n,)
        Nominal diameter and pitch; 0.99 to 355 and 0.2 to ``coarsest``. [mm]
    coarsest : float
        Greatest pitch of the table; ISO 2903 carries the same formula on. [mm]

    Returns
    -------
    array (n,)
        The tolerance; NaN where the table is blank. [um]

    Raises
    ------
    UnknownThreadError
        If the side has no such grade.

    References
    ----------
    ISO 965-1:1998 Tables 5 and 6: Td2(6) = 90 P^0.4 d^0.1, d the geometric mean of the range.
    TD2(8) of M24 to M45 by 2: two transcriptions print 335 and 355; the factors give 355.

    Examples
    --------
    >>> pitch_tolerance("external", 6, np.array([8.0, 30.0]), np.array([1.25, 3.5]))
    array([118., 212.])
    """
    _check("grade of the pitch diameter", grade, tuple(_GRADE_FACTOR if side == "external" else _NUT_FACTOR))
    top, base = _grade_six(*(np.asarray(column, dtype=np.float64).tobytes() for column in (diameter, pitch)))
    fine = (pitch >= 0.8) & ~((top == 11.2) & (pitch == 0.75)) & ~((top == 45.0) & (pitch == 1.0))
    if side == "external":
        values = base if grade == 6 else _snap(base * _GRADE_FACTOR[grade])
        values = _replace_cells(values, top, pitch, _BOLT_TABLE.get(grade, {}))
        printed = fine | ((top == 45.0) & (pitch == 1.0)) if grade > 7 else (grade < 7) | (pitch >= 0.35)
    else:
        values = _replace_cells(_snap(base * _NUT_FACTOR[grade]), top, pitch, _NUT_TABLE.get(grade, {}))
        wide = (pitch >= 0.5) & (top > 2.8)
        printed = {4: pitch > 0, 5: pitch > 0.2, 6: pitch > 0.25, 7: wide, 8: fine}[grade]
    inside = (diameter > _RANGES[0]) & (diameter <= _RANGES[-1]) & (pitch >= 0.2) & (pitch <= coarsest)
    return np.where(printed & inside, _micrometres(values), np.nan)
