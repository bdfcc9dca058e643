"""Unified inch threads: UNC, UNF, UNEF, the constant pitch series UN and the usual specials UNS.

Limits by :mod:`~threadwright.tables.unified_limits`. From memory: which diameters are first and which second
choice.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache, partial
from types import MappingProxyType
from typing import TypeAlias

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import (
    exact,
    format_decimal,
    format_mixed,
    per_inch,
    tpi_text,
)
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Basis,
    Period,
    Size,
    Source,
    System,
    in_order,
)
from threadwright.tables.unified_limits import (
    allowance,
    major_tolerance,
    minor_tolerance,
    pitch_tolerance,
    unified_rules,
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
_FROM_MEMORY = ("15/16-32", "1-32", "1-14")  # as constant pitch sizes


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


def _designation(symbol: str, size: Size) -> str:
    return f"{size.name}-{tpi_text(size.pitch)} {symbol}"


_Named: TypeAlias = tuple[str, Fraction, str, int]
"""A diameter as the standard names it, exactly, as a decimal of four places, and first or second choice."""


def _named(name: str, major: Fraction) -> _Named:
    return name, major, format_decimal(major, 4), _choice(name, major)


def _choice(name: str, major: Fraction) -> int:
    """First or second choice of diameter: eighths to 2 in and quarters above, sixteenths up to 5/8 in."""
    if name.startswith("No."):
        return 2 if name in _SECOND_CHOICE_NUMBERS else 1
    inches = major.numerator / major.denominator  # exact in binary
    first = 16 if inches <= 0.625 else 8 if inches <= 2 else 4
    return 1 if first % major.denominator == 0 else 2


def _size(symbol: str, named: _Named, tpi: str) -> Size:
    name, major, decimal, choice = named
    bare = f"{name}-{tpi}"
    aliases = [f"{decimal}-{tpi} {symbol}"]
    if name.startswith("No."):
        aliases.append(bare)  # fractional sizes without a series could be Whitworth too
    if "." in tpi:
        aliases.append(f"{name}-{format_mixed(exact(tpi))} {symbol}")
    if symbol in ("UNC", "UNF", "UNEF"):
        aliases.append(f"{name} {symbol}")
    if symbol == "UNS" and bare == "1-14":
        aliases.append("1-14 UNF")  # what the American National fine size is still called
    if symbol == "UNS":
        choice = 3
    basis: Basis | None = "from memory" if bare in _FROM_MEMORY else None
    return Size(name, major, per_inch(tpi), choice, tuple(aliases), basis)


def _listed(symbol: str, text: str) -> tuple[Size, ...]:
    sizes = []
    for entry in text.split():
        size, threads = entry.split("-")
        sizes.append(_size(symbol, _listed_name(size), threads))
    return tuple(sizes)


@lru_cache(maxsize=128)
def _listed_name(size: str) -> _Named:
    if size.startswith("#"):
        return _named(f"No. {size[1:]}", number_size(int(size[1:])))
    major = exact(size)
    return _named(format_mixed(major), major)


@lru_cache(maxsize=128)
def _sixteenths(count: int) -> _Named:
    """A diameter in sixteenths of an inch."""
    major = Fraction(count, 16)
    return _named(format_mixed(major), major)


def _constant_pitch() -> tuple[Size, ...]:
    """The constant pitch series without the sizes that carry a name of their own, by diameter."""
    named_series = [entry for entry in SYSTEMS if entry.symbol in ("UNC", "UNF", "UNEF")]
    taken = {(size.name, size.pitch.denominator) for entry in named_series for size in entry.sizes}
    sizes = []
    for tpi, numbers, runs in _UN:
        named = [_listed_name(f"#{number}") for number in numbers]
        named += [_sixteenths(at) for start, stop, step in runs for at in range(start, stop + 1, step)]
        sizes += [_size("UN", one, str(tpi)) for one in named if (one[0], tpi) not in taken]
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
