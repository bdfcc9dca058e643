"""American threads before 1924: US Standard (Sellers), sharp V, ASME machine screws of 1907, SAE.

All have 60 deg flanks. US Standard, the machine screws and SAE share the Sellers form, a flat of an eighth
of the pitch at crest and root; the sharp V thread has no flats. None of them had limits that were found in
print, so these systems give basic sizes. A screw made to them stands a few thousandths of an inch under.

From memory: the sharp V list, the SAE lists, the US Standard sizes from 3 1/4 to 4 1/2 in, and the
two lists of 1907, of which diameters and pitches of the odd sizes were also read in an old list of specials.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import partial
from types import MappingProxyType

from threadwright.tables import unified
from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_mixed, per_inch, tpi_text
from threadwright.tables.system import (
    NORTH_AMERICA,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)
from threadwright.tables.whitworth import inch_basic, inch_designation

__all__ = ["SELLERS_FORM", "SHARP_V_FORM", "SYSTEMS", "basic_rules", "wire_gauge_size"]

SELLERS_FORM = Form(
    name="Sellers 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(1, 8)),
    root_end="flat",
)
SHARP_V_FORM = Form(
    name="sharp V 60 deg",
    flank_angle=30.0,
    crest=Truncation(),
    root=Truncation(),
    root_end="flat",
)

# size-tpi in groups by choice; "#" a number size, "+" joins a mixed number, "?" ends an entry from memory.
_USS = """
1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12 5/8-11 3/4-10 7/8-9 1-8 1+1/8-7 1+1/4-7 1+3/8-6 1+1/2-6 1+5/8-5.5
1+3/4-5 1+7/8-5 2-4.5 2+1/4-4.5 2+1/2-4 2+3/4-4 3-3.5
3+1/4-3.5? 3+1/2-3.25? 3+3/4-3? 4-3? 4+1/4-2.875? 4+1/2-2.75?
4+3/4-2.625 5-2.5 5+1/4-2.5 5+1/2-2.375 5+3/4-2.375 6-2.25
"""
# Third choice: screws by wire gauge, free in their pitch, of before 1907.
_V = """
1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 9/16-12 5/8-11 3/4-10 7/8-9 1-8 1+1/8-7 1+1/4-7 1+3/8-6 1+1/2-6 1+5/8-5
1+3/4-5 1+7/8-4.5 2-4.5
| 11/16-11 13/16-10 15/16-9
| #4-36 #5-32 #6-30 #8-30 #10-30 #12-20 #14-20 1/4-24 1/4-30
"""
# Standard list, special list, and pitches that only an old list of special screws has.
_ASME = """
#0-80? #1-72? #2-64? #3-56? #4-48? #5-44? #6-40? #7-36 #8-36? #9-32 #10-30 #12-28? #14-24 #16-22 #18-20
#20-20 #22-18 #24-16 #26-16? #28-14? #30-14?
| #1-64? #2-56? #3-48? #4-40? #4-36 #5-40? #5-36 #6-36 #6-32? #7-32 #7-30 #8-32? #8-30 #9-30 #9-24 #10-32?
#10-24? #12-24? #14-20 #16-20 #18-18 #20-18 #22-16 #24-18 #26-14? #28-16? #30-16?
| #1-56 #4-32 #8-40 #10-28 #12-32 #16-18 #20-16
"""
# The list of 1911 (of 1906 before that), then extra fine.
_SAE = """
1/4-28 5/16-24 3/8-24 7/16-20 1/2-20 9/16-18 5/8-18 11/16-16 3/4-16 7/8-14 1-14 1+1/8-12
1+1/4-12 1+3/8-12 1+1/2-12
| 1/4-36 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 11/16-24 3/4-20 7/8-20 1-20 1+1/8-18 1+1/4-18 1+1/2-18
1+3/4-16 2-16
"""


def wire_gauge_size(number: int) -> Fraction:
    """Major diameter of an American screw by wire gauge, before 1907: 0.0578 + 0.01316 N.

    Parameters
    ----------
    number : int
        Number of the size, 0 or more.

    Returns
    -------
    Fraction
        Major diameter, about; makers differed. [in]

    References
    ----------
    From memory. For No. 2 to 12 it lies inside the limits of an old screw gauge that are in print.

    Examples
    --------
    >>> float(wire_gauge_size(10))
    0.1894
    """
    return Fraction("0.0578") + Fraction("0.01316") * number


def basic_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes to 0.0001 in, no limits. [in]"""
    nominal, pitch = seed_columns(system)
    return inch_basic(system.form, nominal, pitch), ()


def _size(entry: str, symbol: str, choice: int, number_size: Callable[[int], Fraction]) -> Size:
    """One entry of a list, with the short spelling of a first choice, and 4 1/2 for 4.5 tpi."""
    size, tpi = entry.rstrip("?").split("-")
    if size.startswith("#"):
        name, major = f"No. {size[1:]}", number_size(int(size[1:]))
    else:
        major = exact(size)
        name = format_mixed(major)
    basis: Basis | None = "from memory" if entry.endswith("?") else None
    aliases = [f"{name} {symbol}"] if choice == 1 else []
    if "." in tpi:
        aliases.append(f"{name}-{format_mixed(exact(tpi))} {symbol}")
    return Size(name, major, per_inch(tpi), choice, tuple(aliases), basis)


def _sizes(
    text: str, symbol: str, number_size: Callable[[int], Fraction] = unified.number_size
) -> tuple[Size, ...]:
    """Read a list in groups by choice."""
    sizes = [
        _size(entry, symbol, choice, number_size)
        for choice, group in enumerate(text.split("|"), start=1)
        for entry in group.split()
    ]
    return in_order(sizes)


def _machine_screws() -> tuple[Size, ...]:
    """The machine screws of 1907; those that Unified does not have are found by the bare size as well."""
    numbered = (size for other in unified.SYSTEMS for size in other.sizes if size.name.startswith("No."))
    held = {(size.name, size.pitch.denominator) for size in numbered}
    return tuple(
        size
        if (size.name, size.pitch.denominator) in held
        else size._replace(aliases=(*size.aliases, f"{size.name}-{tpi_text(size.pitch)}"))
        for size in _sizes(_ASME, "ASME")
    )


def _designation(symbol: str, size: Size) -> str:
    return inch_designation(size, symbol)


_NO_CLASSES: Mapping[Side, str] = MappingProxyType({"external": "", "internal": ""})

SYSTEMS = (
    System(
        symbol="USS",
        title="US Standard (Sellers)",
        unit="in",
        form=SELLERS_FORM,
        seeds=partial(_sizes, _USS, "USS"),
        source=Source(
            "US Standard tables in Rose, Mechanical Drawing Self-Taught, and in a machine-shop text",
            "sizes from 3 1/4 to 4 1/2 in from memory; no limits were found",
        ),
        used=(
            "United States: proposed 1864, navy and railroads 1868, general to 1924 and then American "
            "National NC. Steam, railroad and farm machines, machine tools. No allowance; holes were tapped "
            "at or near the root diameter. An old 1/2 in by 12 tpi is sharp V."
        ),
        periods=(
            Period(NORTH_AMERICA, 1868, 1924, "usual"),
            Period(NORTH_AMERICA, 1864, 1948, "met"),
        ),
        designation=partial(_designation, "USS"),
        rules=basic_rules,
        default_classes=_NO_CLASSES,
        spellings=("US Standard", "US Std", "Sellers", "Franklin Institute"),
    ),
    System(
        symbol="V",
        title="Sharp V thread",
        unit="in",
        form=SHARP_V_FORM,
        seeds=partial(_sizes, _V, "V", number_size=wire_gauge_size),
        source=Source(
            "root diameter D - 1.73205 p: Rose, Mechanical Drawing Self-Taught",
            "sizes from memory, no list was found; held to 2 in; no limits were found. Number sizes are "
            "screws by wire gauge, whose diameter is about 0.0578 + 0.01316 N",
            seen=False,
        ),
        used=(
            "United States to about 1900-10, brass pipe and boilers later: wood-working machines, early "
            "machine tools, cocks, bicycles (from memory). Real crests are worn or topped, so a screw "
            "measures well under its nominal size; it enters a US Standard hole only when they are."
        ),
        periods=(
            Period(NORTH_AMERICA, 1841, 1905, "usual"),
            Period(NORTH_AMERICA, 1906, 1925, "rare"),
        ),
        designation=partial(_designation, "V"),
        rules=basic_rules,
        default_classes=_NO_CLASSES,
        basis="from memory",
        spellings=("sharp V",),
    ),
    System(
        symbol="ASME1907",
        title="ASME machine screw of 1907",
        unit="in",
        form=SELLERS_FORM,
        seeds=_machine_screws,
        source=Source(
            "ASME machine screw standard of 1907; an old American list of special screws",
            "standard and special list from memory, except the pitches that stand in the list of specials; "
            "diameters of No. 0 to 24 read; third choice: in the list of specials alone; no limits",
        ),
        used=(
            "United States, 1907 to about 1930 for the odd numbers 7, 9, 14 to 30: instruments, telephones, "
            "gas engines. No. 14-20 (0.242 in) is easily taken for 1/4-20."
        ),
        periods=(Period(NORTH_AMERICA, 1907, 1930, "usual"),),
        designation=partial(_designation, "ASME"),
        rules=basic_rules,
        default_classes=_NO_CLASSES,
    ),
    System(
        symbol="SAE",
        title="SAE, regular and extra fine",
        unit="in",
        form=SELLERS_FORM,
        seeds=partial(_sizes, _SAE, "SAE"),
        source=Source(
            "SAE screw standard of 1911 and extra fine list of 1915-18",
            "both lists from memory; that American National fine was SAE before was read; no limits",
            seen=False,
        ),
        used=(
            "United States, motor vehicles and their engines: A.L.A.M. 1906, SAE 1911, extra fine from "
            "1915-18; from 1924 American National NF. 1 in has 14 tpi, 1/4 in extra fine 36."
        ),
        periods=(
            Period(NORTH_AMERICA, 1906, 1924, "usual"),
            Period(NORTH_AMERICA, 1925, 1948, "met"),
        ),
        designation=partial(_designation, "SAE"),
        rules=basic_rules,
        default_classes=_NO_CLASSES,
        basis="from memory",
        spellings=("ALAM",),
    ),
)
