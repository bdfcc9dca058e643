"""Unified inch threads: UNC, UNF, UNEF, the constant pitch series UN and the usual specials UNS.

Limits follow the formulas of ASME B1.1 with the rounding of its current edition (ASME B1.30), shown
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

From memory: that class 1 is usual only for UNC and UNF from 1/4 in up, which diameters are first and
which second choice, and that 1-14 UNS keeps the engagement of the fine series it came from. No least
minor diameter of the external thread was found in print, so none is given. The greatest major diameter
of the internal thread, D2 max + 0.793857 P, is a reference value.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache, partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import (
    exact,
    format_decimal,
    format_mixed,
    per_inch,
    round_all,
    round_columns,
    tpi_text,
)
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
    tpi_column,
)

__all__ = [
    "SYSTEMS",
    "UNIFIED_FORM",
    "allowance",
    "major_tolerance",
    "minor_tolerance",
    "number_size",
    "pitch_tolerance",
    "unified_rules",
]

UNIFIED_FORM = Form(
    name="Unified 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(1, 4)),
)

# ASME B1.1 series; "#" marks a number size, "+" joins a mixed number.
_UNC = """
#1-64 #2-56 #3-48 #4-40 #5-40 #6-32 #8-32 #10-24 #12-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12
5/8-11 3/4-10 7/8-9 1-8 1+1/8-7 1+1/4-7 1+3/8-6 1+1/2-6 1+3/4-5 2-4.5 2+1/4-4.5 2+1/2-4 2+3/4-4
3-4 3+1/4-4 3+1/2-4 3+3/4-4 4-4
"""
_UNF = """
#0-80 #1-72 #2-64 #3-56 #4-48 #5-44 #6-40 #8-36 #10-32 #12-28 1/4-28 5/16-24 3/8-24 7/16-20 1/2-20
9/16-18 5/8-18 3/4-16 7/8-14 1-12 1+1/8-12 1+1/4-12 1+3/8-12 1+1/2-12
"""
_UNEF = """
#12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 11/16-24 3/4-20 13/16-20 7/8-20 15/16-20
1-20 1+1/16-18 1+1/8-18 1+3/16-18 1+1/4-18 1+5/16-18 1+3/8-18 1+7/16-18 1+1/2-18 1+9/16-18
1+5/8-18 1+11/16-18
"""
_UNS = """
#10-28 #10-36 #10-40 #10-48 #10-56 #12-36 #12-40 #12-48 #12-56
1/4-24 1/4-27 1/4-36 1/4-40 1/4-48 1/4-56 5/16-27 5/16-36 5/16-40 5/16-48 3/8-18 3/8-27 3/8-36 3/8-40
7/16-18 7/16-24 7/16-27 1/2-12 1/2-14 1/2-18 1/2-24 1/2-27 9/16-14 9/16-27 5/8-14 5/8-27
3/4-14 3/4-18 3/4-24 3/4-27 7/8-10 7/8-18 7/8-24 7/8-27 1-10 1-14 1-18 1-24 1-27
2+7/16-16 2+1/2-10 2+1/2-14 2+1/2-18
"""
# ASME B1.1 constant pitch series: tpi, number sizes, then runs of diameters as (from, to, step) in 1/16 in.
_UN = (
    (4, (), ((40, 96, 2),)),
    (6, (), ((22, 32, 1), (34, 96, 2))),
    (8, (), ((16, 32, 1), (34, 96, 2))),
    (12, (), ((9, 32, 1), (34, 96, 2))),
    (16, (), ((6, 32, 1), (34, 96, 2))),
    (20, (), ((4, 32, 1), (34, 48, 2))),
    (28, (12,), ((4, 24, 1),)),
    (32, (6, 8, 10, 12), ((4, 16, 1),)),
)
_SECOND_CHOICE_NUMBERS = ("No. 1", "No. 3", "No. 12")  # from memory
_FROM_MEMORY = ("15/16-32", "1-32", "1-14")  # as constant pitch sizes; engagement of 1-14

_PITCH_FACTOR = MappingProxyType({"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975})
_MAJOR_FACTOR = MappingProxyType({"1A": 0.09, "2A": 0.06, "3A": 0.06})

# Multiples of the pitch, as ASME B1.1 prints them.
_PITCH_DIAMETER = 0.64951905
_MINOR = 1.08253175
_UNR_ROOT = 1.19078493
_INTERNAL_MAJOR = 0.793857


@lru_cache(maxsize=64)
def number_size(number: int) -> Fraction:
    """Major diameter of a number size, D = 0.060 + 0.013 N.

    Parameters
    ----------
    number : int
        Number of the size, 0 or more.

    Returns
    -------
    Fraction
        Major diameter. [in]

    References
    ----------
    ASME B1.1, number sizes 0 to 12.

    Examples
    --------
    >>> float(number_size(10))
    0.19
    """
    return Fraction(60 + 13 * number, 1000)


def _pitch(tpi: Array) -> Array:
    """Pitch as ASME B1.30 carries it, 8 decimal places. [in]"""
    return round_columns(1 / tpi, 8)


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
    factor = _factor(_PITCH_FACTOR, "pitch diameter", tolerance_class)
    raw = 0.0015 * np.cbrt(diameter) + 0.0015 * np.sqrt(engagement) + 0.015 * _pitch(tpi) ** (2 / 3)
    return round_columns(factor * round_columns(raw, 6), 6)


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
    share = 0.3 if tolerance_class in ("1A", "2A") else 0.0
    return round_columns(share * pitch_tolerance("2A", diameter=diameter, tpi=tpi, engagement=engagement), 4)


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
    return round_columns(
        _factor(_MAJOR_FACTOR, "major diameter", tolerance_class) * _pitch(tpi) ** (2 / 3), 6
    )


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
    pitch = _pitch(tpi)
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
    one_diameter = (tpi <= 8) if system.symbol == "UN" else (diameter == 1) & (tpi == 14)
    return np.where(one_diameter, diameter, 9 * _pitch(tpi))


def _external(name: str, diameter: Array, tpi: Array, engagement: Array) -> dict[str, Array]:
    pitch = _pitch(tpi)
    given = (diameter >= 0.25) | (name != "1A")
    es = allowance(name, diameter=diameter, tpi=tpi, engagement=engagement)
    major_max = np.where(given, round_columns(diameter - es, 4), np.nan)
    pitch_max = round_columns(major_max - round_columns(_PITCH_DIAMETER * pitch, 6), 4)
    columns = {
        "major_max": major_max,
        "major_min": major_max - major_tolerance(name, tpi=tpi),
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_max
        - pitch_tolerance(name, diameter=diameter, tpi=tpi, engagement=engagement),
        "minor_max": major_max - round_columns(_UNR_ROOT * pitch, 6),
        "minor_flat_max": major_max - round_columns(_MINOR * pitch, 6),
    }
    return round_all(columns, 4)


def _internal(name: str, diameter: Array, tpi: Array, engagement: Array) -> dict[str, Array]:
    pitch = _pitch(tpi)
    major_min = np.where((diameter >= 0.25) | (name != "1B"), diameter, np.nan)
    pitch_min = round_columns(major_min - round_columns(_PITCH_DIAMETER * pitch, 6), 4)
    pitch_max = round_columns(
        pitch_min + pitch_tolerance(name, diameter=diameter, tpi=tpi, engagement=engagement), 4
    )
    minor_min = major_min - round_columns(_MINOR * pitch, 6)
    minor_max = minor_min + minor_tolerance(name, diameter=diameter, tpi=tpi)
    coarse = diameter >= 0.138  # printed to 3 places from No. 6 up
    return {
        "major_max": round_columns(pitch_max + round_columns(_INTERNAL_MAJOR * pitch, 6), 4),
        "major_min": major_min,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": np.where(
            coarse & (name != "3B"), round_columns(minor_max, 3), round_columns(minor_max, 4)
        ),
        "minor_min": np.where(coarse, round_columns(minor_min, 3), round_columns(minor_min, 4)),
    }


@lru_cache(maxsize=64)
def unified_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of ASME B1.1; works for any sizes in inches, specials included.

    Class 1 only for UNC and UNF, and there from 1/4 in up.
    """
    diameter, tpi = round_columns(seed_columns(system)[0], 4), tpi_column(system)
    engagement = _engagement(system, diameter, tpi)
    pitch = _pitch(tpi)
    basic = Basic(
        diameter,
        round_columns(diameter - round_columns(_PITCH_DIAMETER * pitch, 6), 4),
        round_columns(diameter - round_columns(_MINOR * pitch, 6), 4),
    )
    grades = "123" if system.symbol in ("UNC", "UNF") else "23"
    sides: tuple[tuple[Side, Callable[..., dict[str, Array]], str], ...] = (
        ("external", _external, "A"),
        ("internal", _internal, "B"),
    )
    return basic, tuple(
        LimitColumns(
            side=side,
            tolerance_class=f"{grade}{letter}",
            columns=DeferredColumns(partial(make, f"{grade}{letter}", diameter, tpi, engagement)),
        )
        for side, make, letter in sides
        for grade in grades
    )


def _designation(symbol: str, size: Size) -> str:
    return f"{size.name}-{tpi_text(size.pitch)} {symbol}"


def _choice(name: str, major: Fraction) -> int:
    """First or second choice of diameter: eighths to 2 in and quarters above, sixteenths up to 5/8 in."""
    if name.startswith("No."):
        return 2 if name in _SECOND_CHOICE_NUMBERS else 1
    inches = major.numerator / major.denominator  # exact in binary
    first = 16 if inches <= 0.625 else 8 if inches <= 2 else 4
    return 1 if first % major.denominator == 0 else 2


def _size(symbol: str, name: str, major: Fraction, tpi: str) -> Size:
    bare = f"{name}-{tpi}"
    aliases = [f"{format_decimal(major, 4)}-{tpi} {symbol}"]
    if name.startswith("No."):
        aliases.append(bare)  # fractional sizes without a series could be Whitworth too
    if "." in tpi:
        aliases.append(f"{name}-{format_mixed(exact(tpi))} {symbol}")
    if symbol in ("UNC", "UNF", "UNEF"):
        aliases.append(f"{name} {symbol}")
    if symbol == "UNS" and bare == "1-14":
        aliases.append("1-14 UNF")  # what the American National fine size is still called
    choice = 3 if symbol == "UNS" else _choice(name, major)
    basis: Basis | None = "from memory" if bare in _FROM_MEMORY else None
    return Size(name, major, per_inch(tpi), choice, tuple(aliases), basis)


def _listed(symbol: str, text: str) -> tuple[Size, ...]:
    sizes = []
    for entry in text.split():
        size, threads = entry.split("-")
        if size.startswith("#"):
            name, major = f"No. {size[1:]}", number_size(int(size[1:]))
        else:
            major = exact(size)
            name = format_mixed(major)
        sizes.append(_size(symbol, name, major, threads))
    return tuple(sizes)


@lru_cache(maxsize=128)
def _sixteenths(count: int) -> tuple[str, Fraction]:
    """Name and diameter of a size in sixteenths of an inch."""
    major = Fraction(count, 16)
    return format_mixed(major), major


def _constant_pitch() -> tuple[Size, ...]:
    """The constant pitch series without the sizes that carry a name of their own, by diameter."""
    named_series = [entry for entry in SYSTEMS if entry.symbol in ("UNC", "UNF", "UNEF")]
    taken = {(size.name, size.pitch.denominator) for entry in named_series for size in entry.sizes}
    sizes = []
    for tpi, numbers, runs in _UN:
        named = [(f"No. {number}", number_size(number)) for number in numbers]
        named += [_sixteenths(at) for start, stop, step in runs for at in range(start, stop + 1, step)]
        sizes += [_size("UN", *entry, str(tpi)) for entry in named if (entry[0], tpi) not in taken]
    return in_order(sizes, coarse_first=True)


_PERIODS = (
    Period(NORTH_AMERICA, 1948, 2100, "usual"),
    Period(NORTH_AMERICA, 1920, 1947, "met"),  # the same sizes as American National
    Period(COMMONWEALTH, 1948, 1980, "met"),
    Period("", 1948, 2100, "rare"),
)


def _systems() -> tuple[System, ...]:
    accord = "United States, Canada and Britain from the accord of November 1948; before that as American"
    rows = (
        (
            ("UNC", "Unified coarse", partial(_listed, "UNC", _UNC)),
            f"{accord} National NC, with the same pitches. In Britain to about the end of the 1970s.",
        ),
        (
            ("UNF", "Unified fine", partial(_listed, "UNF", _UNF)),
            f"{accord} National NF, which has 14 tpi, not 12, at 1 in.",
        ),
        (
            ("UNEF", "Unified extra fine", partial(_listed, "UNEF", _UNEF)),
            "United States from 1948, on thin walls and collars; as extra fine from 1915-18 (from memory).",
        ),
        (
            ("UN", "Unified constant pitch", _constant_pitch),
            "United States: 8 tpi on flange bolts, 12 tpi in boiler work, 16 tpi on adjusting collars and "
            "bearing nuts, from the commission reports of the 1920s and 1930s; Unified from 1948.",
        ),
        (
            ("UNS", "Unified special", partial(_listed, "UNS", _UNS)),
            "Pitches outside the series: instruments, cameras, microphone stands; 1-14 was National NF.",
        ),
    )
    source = Source(
        "ASME B1.1-2003; ASME B1.30 as worked in Machinery's Handbook, 31st ed., Tables 3 to 6",
        "usual classes, order of preference and part of the list of specials from memory; "
        "minor_max is the UNR root, minor_flat_max the UN root; internal major_max is a reference value",
    )
    return tuple(
        System(
            symbol=symbol,
            title=title,
            unit="in",
            form=UNIFIED_FORM,
            seeds=seeds,
            source=source,
            used=used,
            periods=_PERIODS,
            designation=partial(_designation, symbol),
            rules=unified_rules,
            default_classes=MappingProxyType({"external": "2A", "internal": "2B"}),
            spellings=(symbol.replace("UN", "UNR"),),
        )
        for (symbol, title, seeds), used in rows
    )


SYSTEMS = _systems()
