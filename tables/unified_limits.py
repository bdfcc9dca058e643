"""Tolerances and limits of ASME B1.1 for inch sizes of any series, specials included.

They follow the formulas of ASME B1.1 with the rounding of its current edition (ASME B1.30), shown
step by step in the worked examples of Machinery's Handbook, 31st ed., Tables 3 to 6: nominal
diameter and allowance to 4 decimal places, pitch to 8, every constant times the pitch and every
tolerance to 6, and the sums to 4. The minor diameter of a 1B or 2B nut is printed to 3 places from
0.138 in up, to 4 below; of a 3B nut only the least one is cut to 3.

The tables up to B1.1-1989, and handbooks that copy them, round each tolerance to 4 places before
adding it and a 2B minor diameter to 4 and then to 3. Laid against 429 values of such tables (34 of
them from memory) that rule meets 406 and this one 394, and both meet the worked examples; none of the
108 orders of rounding tried meets more than 406. The newer rule is kept because it is the rule in
force and the only one whose every step is in print. The two differ by one unit in the last place.
Of the other 23, five pitch diameter limits of 15/16 and 2 3/8 in come out if the tolerance is worked for
the next usual diameter, 1 and 2 1/2 in; three limits of No. 12-32 UNEF if it is worked for an
engagement of one diameter; and the UNR roots at 6, 10 and 56 tpi if the depth is cut off after four
places. All that is inferred, not read in ASME B1.1, so it is not copied.
The handbook's example squares the pitch to 6 places on the way to a major diameter tolerance of
0.006508 in; the formula gives 0.006507. Nothing else in the examples shows that step, so it is not taken.

From memory: that class 1 is usual only for UNC and UNF from 1/4 in up, and that 1-14 UNS keeps the
engagement of the fine series it came from. No least minor diameter of the external thread was found in
print, so none is given. The greatest major diameter of the internal thread, D2 max + 0.793857 P, is a
reference value.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.numbers import round_all, round_columns
from threadwright.tables.record import Record
from threadwright.tables.system import (
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Side,
    System,
    rounded_basic,
    seed_columns,
    tpi_column,
)

__all__ = ["allowance", "major_tolerance", "minor_tolerance", "pitch_tolerance", "unified_rules"]

_PITCH_FACTOR = MappingProxyType({"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975})
_MAJOR_FACTOR = MappingProxyType({"1A": 0.09, "2A": 0.06, "3A": 0.06})

# Multiples of the pitch, as ASME B1.1 prints them.
_PITCH_DIAMETER = 0.64951905
_MINOR = 1.08253175
_UNR_ROOT = 1.19078493
_INTERNAL_MAJOR = 0.793857


def _pitch(tpi: Array) -> Array:
    """Pitch as ASME B1.30 carries it, 8 decimal places. [in]"""
    return round_columns(1 / tpi, 8)


def _unit(diameter: Array, pitch: Array, engagement: Array) -> Array:
    """Tolerance of the pitch diameter in class 2A before it is shared out, to 6 decimal places. [in]"""
    raw = 0.0015 * np.cbrt(diameter) + 0.0015 * np.sqrt(engagement) + 0.015 * pitch ** (2 / 3)
    return round_columns(raw, 6)


def _of_pitch_diameter(tolerance_class: str, unit: Array) -> Array:
    return round_columns(_factor(_PITCH_FACTOR, "pitch diameter", tolerance_class) * unit, 6)


def _allowed(tolerance_class: str, unit: Array) -> Array:
    share = 0.3 if tolerance_class in ("1A", "2A") else 0.0
    return round_columns(share * _of_pitch_diameter("2A", unit), 4)


def pitch_tolerance(tolerance_class: str, *, diameter: Array, tpi: Array, engagement: Array) -> Array:
    r"""Tolerance of the pitch diameter, Td2 or TD2.

    .. math:: T_{d2}(2A) = 0.0015 D^{1/3} + 0.0015 LE^{1/2} + 0.015 P^{2/3}

    The other classes take 1.5 (1A), 0.75 (3A), 1.95 (1B), 1.3 (2B) and 0.975 (3B) times the rounded 2A one.

    Parameters
    ----------
    tolerance_class : {"1A", "2A", "3A", "1B", "2B", "3B"}
    diameter : array (n,)
        Basic major diameter, D. [in]
    tpi : array (n,)
        Threads per inch. [1/in]
    engagement : array (n,)
        Length of engagement, LE: D for UNC, UNF and 4, 6, 8-UN, nine pitches for the rest. [in]

    Returns
    -------
    array (n,)
        The tolerance to 6 decimal places. [in]

    Raises
    ------
    UnknownThreadError
        If there is no such class.

    References
    ----------
    ASME B1.1-2003 clause 5.8; ASME B1.30 as worked in Machinery's Handbook, 31st ed., Table 3.

    Examples
    --------
    >>> pitch_tolerance("2A", diameter=np.array([0.5]), tpi=np.array([28]), engagement=np.array([9 / 28]))
    array([0.003668])
    """
    return _of_pitch_diameter(tolerance_class, _unit(diameter, _pitch(tpi), engagement))


def allowance(tolerance_class: str, *, diameter: Array, tpi: Array, engagement: Array) -> Array:
    """Allowance of the external thread, es: 0.3 of the 2A pitch diameter tolerance in 1A and 2A, else none.

    Parameters
    ----------
    tolerance_class : {"1A", "2A", "3A"}
    diameter, tpi, engagement : array (n,)
        As for :func:`pitch_tolerance`. [in, 1/in, in]

    Returns
    -------
    array (n,)
        The allowance to 4 decimal places. [in]

    References
    ----------
    ASME B1.1-2003 clause 5.8; it is 0.3 of the 2A tolerance for 1A too (2 1/2-4 UNC-1A: 0.0031 in).

    Examples
    --------
    >>> allowance("1A", diameter=np.array([2.5]), tpi=np.array([4.0]), engagement=np.array([2.5]))
    array([0.0031])
    """
    return _allowed(tolerance_class, _unit(diameter, _pitch(tpi), engagement))


def _of_major(tolerance_class: str, pitch: Array) -> Array:
    return round_columns(_factor(_MAJOR_FACTOR, "major diameter", tolerance_class) * pitch ** (2 / 3), 6)


def major_tolerance(tolerance_class: str, *, tpi: Array) -> Array:
    r"""Tolerance of the external major diameter, Td.

    .. math:: T_d = 0.060 P^{2/3} \quad (1A: 0.090 P^{2/3})

    Parameters
    ----------
    tolerance_class : {"1A", "2A", "3A"}
    tpi : array (n,)
        Threads per inch. [1/in]

    Returns
    -------
    array (n,)
        The tolerance to 6 decimal places. [in]

    Raises
    ------
    UnknownThreadError
        If there is no such class.

    References
    ----------
    ASME B1.1-2003 clause 5.8.

    Examples
    --------
    >>> major_tolerance("2A", tpi=np.array([20.0]))
    array([0.008143])
    """
    return _of_major(tolerance_class, _pitch(tpi))


def minor_tolerance(tolerance_class: str, *, diameter: Array, tpi: Array) -> Array:
    r"""Tolerance of the internal minor diameter, TD1.

    .. math:: A = 0.05 P^{2/3} + 0.03 P / D - 0.002, \quad A \le 0.394 P

    3B: A, at least :math:`0.23 P - 1.5 P^2` from 13 tpi up, 0.12 P below. 1B and 2B under 0.25 in: A,
    at least :math:`0.25 P - 0.4 P^2`; from 0.25 in up just that, or 0.15 P for fewer than 4 tpi.

    Parameters
    ----------
    tolerance_class : {"1B", "2B", "3B"}
    diameter, tpi : array (n,)
        Basic major diameter and threads per inch. [in, 1/in]

    Returns
    -------
    array (n,)
        The tolerance to 6 decimal places. [in]

    Raises
    ------
    UnknownThreadError
        If there is no such class.

    References
    ----------
    ASME B1.1-2003 clause 5.8.

    Examples
    --------
    >>> minor_tolerance("2B", diameter=np.array([0.25]), tpi=np.array([20.0]))
    array([0.0115])
    """
    if tolerance_class not in ("1B", "2B", "3B"):
        raise UnknownThreadError(f"minor diameter: no Unified class {tolerance_class!r}; write 1B, 2B or 3B")
    return _of_minor(tolerance_class, diameter, tpi, _pitch(tpi))


def _of_minor(tolerance_class: str, diameter: Array, tpi: Array, pitch: Array) -> Array:
    small = np.minimum(0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002, 0.394 * pitch)
    if tolerance_class == "3B":
        return round_columns(
            np.maximum(small, np.where(tpi >= 13, 0.23 * pitch - 1.5 * pitch**2, 0.12 * pitch)), 6
        )
    wide = 0.25 * pitch - 0.4 * pitch**2
    large = np.where(tpi >= 4, wide, 0.15 * pitch)
    return round_columns(np.where(diameter < 0.25, np.maximum(small, wide), large), 6)


def _factor(factors: MappingProxyType[str, float], what: str, tolerance_class: str) -> float:
    if tolerance_class not in factors:
        raise UnknownThreadError(
            f"{what}: no Unified class {tolerance_class!r}; write one of {', '.join(factors)}"
        )
    return factors[tolerance_class]


def _engagement(system: System, diameter: Array, tpi: Array) -> Array:
    """Length of engagement the tolerances of a series are worked for. [in]"""
    if system.symbol in ("UNC", "UNF"):
        return diameter
    # that 1-14 UNS has its diameter, as the fine size it once was, is from memory
    one_diameter = (tpi <= 8) if system.symbol == "UN" else (diameter == 1) & (tpi == 14)
    return np.where(one_diameter, diameter, 9 * _pitch(tpi))


class _Worked(Record):
    """What the limits of every class of a series start from. [in]"""

    diameter: Array
    tpi: Array
    pitch: Array
    unit: Array
    """Tolerance of the pitch diameter, class 2A."""
    below: Array
    """Pitch diameter, minor diameter and rounded root below the major diameter, (3, n)."""
    beyond: Array
    """Internal root beyond the pitch diameter."""


def _worked(diameter: Array, tpi: Array, engagement: Array) -> _Worked:
    pitch = _pitch(tpi)
    depths = np.multiply.outer((_PITCH_DIAMETER, _MINOR, _UNR_ROOT, _INTERNAL_MAJOR), pitch)
    *below, beyond = round_columns(depths, 6)
    return _Worked(
        diameter=diameter,
        tpi=tpi,
        pitch=pitch,
        unit=_unit(diameter, pitch, engagement),
        below=np.array(below),
        beyond=beyond,
    )


def _external(name: str, of: _Worked) -> dict[str, Array]:
    given = (of.diameter >= 0.25) | (name != "1A")
    major_max = np.where(given, round_columns(of.diameter - _allowed(name, of.unit), 4), np.nan)
    to_pitch_line, to_minor, to_root = of.below
    pitch_max = round_columns(major_max - to_pitch_line, 4)
    columns = {
        "major_max": major_max,
        "major_min": major_max - _of_major(name, of.pitch),
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_max - _of_pitch_diameter(name, of.unit),
        "minor_max": major_max - to_root,
        "minor_flat_max": major_max - to_minor,
    }
    return round_all(columns, 4)


def _internal(name: str, of: _Worked) -> dict[str, Array]:
    major_min = np.where((of.diameter >= 0.25) | (name != "1B"), of.diameter, np.nan)
    to_pitch_line, to_minor, _ = of.below
    pitch_min = round_columns(major_min - to_pitch_line, 4)
    pitch_max = round_columns(pitch_min + _of_pitch_diameter(name, of.unit), 4)
    minor_min = major_min - to_minor
    minors = np.array([minor_min + _of_minor(name, of.diameter, of.tpi, of.pitch), minor_min])
    printed = round_columns(minors, 4)
    cut = (of.diameter >= 0.138) & np.array([[name != "3B"], [True]])  # to 3 places from No. 6 up
    minor_max, minor_min = np.where(cut, round_columns(minors, 3), printed)
    return {
        "major_max": round_columns(pitch_max + of.beyond, 4),
        "major_min": major_min,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": minor_max,
        "minor_min": minor_min,
    }


@lru_cache(maxsize=64)
def unified_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of ASME B1.1; works for any sizes in inches, specials included.

    Class 1 only for UNC and UNF, and there from 1/4 in up.
    """
    diameter, tpi = round_columns(seed_columns(system)[0], 4), tpi_column(system)
    worked = _worked(diameter, tpi, _engagement(system, diameter, tpi))
    basic = rounded_basic(diameter, diameter - worked.below[0], diameter - worked.below[1], 4)
    grades = "123" if system.symbol in ("UNC", "UNF") else "23"
    sides: tuple[tuple[Side, Callable[..., dict[str, Array]], str], ...] = (
        ("external", _external, "A"),
        ("internal", _internal, "B"),
    )
    return basic, tuple(
        LimitColumns(
            side=side,
            tolerance_class=f"{grade}{letter}",
            columns=DeferredColumns(partial(make, f"{grade}{letter}", worked)),
        )
        for side, make, letter in sides
        for grade in grades
    )
