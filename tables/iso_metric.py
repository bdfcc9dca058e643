"""ISO metric threads: profile of ISO 68-1, sizes of ISO 261, tolerances of ISO 965-1.

The recipe of ISO 965-1 is: compute the grade 6 tolerance, snap it to the R40 series of preferred
numbers, multiply *that* by the factor of the wanted grade, snap again, print as whole micrometres,
half to even. Where the standard's tables were smoothed by hand the exceptions are listed here.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_decimal, round_columns
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = [
    "ISO_FORM",
    "SYSTEMS",
    "crest_tolerance_external",
    "crest_tolerance_internal",
    "fundamental_deviation",
    "metric_basic",
    "pitch_tolerance",
]

ISO_FORM = Form(
    name="ISO 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(1, 4)),
)

# ISO 261: d(choice):coarse|fine pitches. The choice column is from memory, about 85 % sure.
_ISO_261 = """
1(1):.25|.2 1.1(2):.25|.2 1.2(1):.25|.2 1.4(2):.3|.2 1.6(1):.35|.2 1.8(2):.35|.2
2(1):.4|.25 2.2(2):.45|.25 2.5(1):.45|.35 3(1):.5|.35 3.5(2):.6|.35 4(1):.7|.5
4.5(2):.75|.5 5(1):.8|.5 5.5(3):-|.5 6(1):1|.75 7(2):1|.75 8(1):1.25|1,.75
9(3):1.25|1,.75 10(1):1.5|1.25,1,.75 11(3):1.5|1,.75 12(1):1.75|1.5,1.25,1
14(2):2|1.5,1.25,1 15(3):-|1.5,1 16(1):2|1.5,1 17(3):-|1.5,1 18(2):2.5|2,1.5,1
20(1):2.5|2,1.5,1 22(2):2.5|2,1.5,1 24(1):3|2,1.5,1 25(3):-|2,1.5,1 26(3):-|1.5
27(2):3|2,1.5,1 28(3):-|2,1.5,1 30(1):3.5|3,2,1.5,1 32(3):-|2,1.5 33(2):3.5|3,2,1.5
35(3):-|1.5 36(1):4|3,2,1.5 38(3):-|1.5 39(2):4|3,2,1.5 40(3):-|3,2,1.5
42(1):4.5|4,3,2,1.5 45(2):4.5|4,3,2,1.5 48(1):5|4,3,2,1.5 50(3):-|3,2,1.5 52(2):5|4,3,2,1.5
55(3):-|4,3,2,1.5 56(1):5.5|4,3,2,1.5 58(3):-|4,3,2,1.5 60(2):5.5|4,3,2,1.5 62(3):-|4,3,2,1.5
64(1):6|4,3,2,1.5 65(3):-|4,3,2,1.5 68(2):6|4,3,2,1.5
70(3):-|6,4,3,2,1.5 72(1):-|6,4,3,2,1.5 75(3):-|4,3,2,1.5 76(2):-|6,4,3,2,1.5 78(3):-|2
80(1):-|6,4,3,2,1.5 82(3):-|2 85(2),90(1),95(2),100(1),105(2),110(1),115(2),120(2):-|6,4,3,2
125(1),130(2),140(1),150(2):-|8,6,4,3,2 135(3),145(3):-|6,4,3,2
160(1),170(2),180(1),190(2),200(1),210(2),220(1),230(3),240(2),250(1):-|8,6,4,3
155(3),165(3),175(3),185(3),195(3),205(3),215(3),225(3),235(3),245(3):-|6,4,3
260(2),270(3),280(1),290(3),300(2):-|8,6,4 255(3),265(3),275(3),285(3),295(3):-|6,4
"""

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
    above = np.clip(np.searchsorted(_R40, mantissa), 1, len(_R40) - 1)
    low, high = _R40[above - 1], _R40[above]
    return np.asarray(np.where(mantissa - low < (high - mantissa) - 1e-9, low, high) * decade)


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
    return _RANGES[np.clip(np.searchsorted(_RANGES, diameter), 1, len(_RANGES) - 1)]


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
    top = _range_top(diameter)
    mean = np.sqrt(top * _RANGES[np.searchsorted(_RANGES, top) - 1])
    base = _replace_cells(_snap(90.0 * pitch**0.4 * mean**0.1), top, pitch, _TD2_BASE)
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


def _defined(columns: dict[str, Array]) -> dict[str, Array]:
    """Limits to 0.001 mm; none at all where the standard leaves a tolerance of the class blank."""
    blank = np.isnan(np.sum(list(columns.values()), axis=0))
    return {key: np.where(blank, np.nan, round_columns(value, 3)) for key, value in columns.items()}


def _external(letter: str, grade: int, nominal: Array, pitch: Array, basic: Basic) -> dict[str, Array]:
    deviation = fundamental_deviation(letter, pitch) / 1000
    major_max = nominal - deviation
    pitch_max = basic.pitch_diameter - deviation
    pitch_min = pitch_max - pitch_tolerance("external", grade, nominal, pitch) / 1000
    columns = {
        "major_max": major_max,
        "major_min": major_max - crest_tolerance_external(grade, pitch) / 1000,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": nominal - deviation - (17 / 12) * ISO_FORM.height * pitch,
        "minor_min": pitch_min - 0.616025 * pitch,
        "minor_flat_max": pitch_max - 0.433013 * pitch,
    }
    return _defined(columns)


def _internal(letter: str, grade: int, nominal: Array, pitch: Array, basic: Basic) -> dict[str, Array]:
    deviation = fundamental_deviation(letter, pitch) / 1000
    pitch_min = basic.pitch_diameter + deviation
    pitch_max = pitch_min + pitch_tolerance("internal", grade, nominal, pitch) / 1000
    minor_min = basic.minor + deviation
    columns = {
        "major_max": pitch_max + 0.793857 * pitch,
        "major_min": nominal + deviation,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": minor_min + crest_tolerance_internal(grade, pitch) / 1000,
        "minor_min": minor_min,
    }
    return _defined(columns)


def metric_basic(form: Form, nominal: Array, pitch: Array) -> Basic:
    """Basic sizes of a metric thread, each worked from the nominal diameter and rounded once to 0.001 mm.

    Parameters
    ----------
    form : Form
        Gives the pitch line and the depth.
    nominal, pitch : array (n,)
        Nominal diameter and pitch. [mm]

    Returns
    -------
    Basic

    References
    ----------
    ISO 724.

    Examples
    --------
    >>> metric_basic(ISO_FORM, np.array([8.0]), np.array([1.25])).minor
    array([6.647])
    """
    return Basic(
        round_columns(nominal, 3),
        round_columns(nominal - 2 * form.addendum * pitch, 3),
        round_columns(nominal - 2 * form.depth_over_pitch * pitch, 3),
    )


def metric_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of ISO 724 and limits of ISO 965-1 for the usual classes, length of engagement N."""
    nominal, pitch = seed_columns(system)
    basic = metric_basic(ISO_FORM, nominal, pitch)
    names: tuple[tuple[Side, Callable[..., dict[str, Array]], str], ...] = (
        ("external", _external, "4h 6g 6h 6e 8g"),
        ("internal", _internal, "5H 6H 6G 7H"),
    )
    return basic, tuple(
        LimitColumns(
            side=side,
            tolerance_class=name,
            columns=DeferredColumns(partial(make, name[1], int(name[0]), nominal, pitch, basic)),
        )
        for side, make, classes in names
        for name in classes.split()
    )


def _designation(size: Size) -> str:
    return f"{size.name}x{format_decimal(size.pitch)}"


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for group in _ISO_261.split():
        diameters, pitches = group.split(":")
        coarse, fine = pitches.split("|")
        for entry in diameters.split(","):
            text, choice = entry.rstrip(")").split("(")
            name = f"M{text}"
            if coarse != "-":
                sizes.append(Size(name, exact(text), exact(coarse), int(choice), (name,)))
            sizes += [Size(name, exact(text), exact(p), int(choice)) for p in fine.split(",")]
    return tuple(sizes)


SYSTEMS = (
    System(
        symbol="M",
        title="ISO metric",
        unit="mm",
        form=ISO_FORM,
        seeds=_sizes,
        source=Source(
            "ISO 68-1, ISO 261, ISO 724, ISO 965-1:1998",
            "the choice column of ISO 261 from memory; minor_max is the rounded root d3 of DIN 13",
        ),
        used="Continental Europe from about 1919 as DIN and SI forms that mate with it, ISO from about 1959; "
        "Japan from 1964-68; Britain from 1965; North America from the 1970s.",
        periods=(
            Period(CONTINENT, 1919, 2100, "usual"),
            Period("FR CH IT BE", 1898, 1918, "usual"),
            Period("JP", 1920, 2100, "usual"),
            Period(f"{COMMONWEALTH} CA", 1970, 2100, "usual"),
            Period(COMMONWEALTH, 1955, 1969, "met"),
            Period("US", 1975, 2100, "met"),
            Period("RU", 1925, 2100, "usual"),
            Period(f"{COMMONWEALTH} {NORTH_AMERICA}", 1900, 1974, "rare"),
        ),
        designation=_designation,
        rules=metric_rules,
        default_classes=MappingProxyType({"external": "6g", "internal": "6H"}),
    ),
)
