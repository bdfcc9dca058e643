"""Whitworth threads of BS 84: coarse (BSW), fine (BSF), and the 26 tpi brass thread of the trade (BSB).

Limits by the formulas of :mod:`~threadwright.tables.bs_84`.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType

from threadwright.tables.bs_84 import allowance, inch_basic, limits_from_tolerance_unit, tolerance_unit
from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_mixed, per_inch, tpi_text
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)

__all__ = [
    "SYSTEMS",
    "WHITWORTH_FORM",
    "allowance",
    "inch_basic",
    "inch_designation",
    "limits_from_tolerance_unit",
    "tolerance_unit",
]

WHITWORTH_FORM = Form(
    name="Whitworth 55 deg",
    flank_angle=27.5,
    crest=Truncation(Fraction(1, 6)),
    root=Truncation(Fraction(1, 6)),
    crest_end="rounded",
    root_end="rounded",
)

# size-tpi, by choice. BS 84 marks the second row "to be dispensed with where possible"; the third is of the
# list of 1841 or of older tables; the fourth, met on old work, is from memory.
_BSW = """
1/8-40 3/16-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 5/8-11 3/4-10 7/8-9 1-8 1+1/8-7 1+1/4-7 1+1/2-6 1+3/4-5
2-4.5 2+1/4-4 2+1/2-4 2+3/4-3.5 3-3.5 3+1/2-3.25 4-3 4+1/2-2.875 5-2.75 5+1/2-2.625 6-2.5
| 9/16-12 11/16-11 3+1/4-3.25 3+3/4-3
| 1/16-60 3/32-48 5/32-32 7/32-24 1+3/8-6 1+5/8-5 1+7/8-4.5 4+1/4-2.875 4+3/4-2.75 5+1/4-2.625 5+3/4-2.5
| 13/16-10 15/16-9 2+1/8-4.5 2+3/8-4 2+5/8-4 2+7/8-3.5
"""
# Whitworth's paper of 1841, in his Miscellaneous Papers; Holtzapffel vol. 2 agrees.
_LIST_OF_1841 = """
1/4 5/16 3/8 7/16 1/2 5/8 3/4 7/8 1 1+1/8 1+1/4 1+3/8 1+1/2 1+5/8 1+3/4 1+7/8 2 2+1/4 2+1/2 2+3/4 3 3+1/4
3+1/2 3+3/4 4 4+1/4 4+1/2 4+3/4 5 5+1/4 5+1/2 5+3/4 6
"""
# Not in that list; that they are later than about 1860 is inferred from it.
_LATER_THAN_1841 = "9/16 11/16 13/16 15/16"
_SINCE = {
    **dict.fromkeys(_LIST_OF_1841.split(), 1841),
    **dict.fromkeys(_LATER_THAN_1841.split(), 1860),
}
# The second choice of the fine series is from memory. Lists disagree on its largest size, 4 1/4 or 4 1/2 in.
_BSF = """
3/16-32 7/32-28 1/4-26 5/16-22 3/8-20 7/16-18 1/2-16 9/16-16 5/8-14 3/4-12 7/8-11 1-10 1+1/8-9 1+1/4-9 1+3/8-8
1+1/2-8 1+3/4-7 2-7 2+1/4-6 2+1/2-6 2+3/4-6 3-5 3+1/4-5 3+1/2-4.5 3+3/4-4.5 4-4.5 4+1/4-4
| 9/32-26 11/16-14 1+5/8-8
| 4+1/2-4
| 13/16-12
"""
# No standard; gauges were listed from 1/8 to 2 in without 7/32 and 11/16. The steps are from memory.
_BSB = """
1/8-26 3/16-26 1/4-26 5/16-26 3/8-26 7/16-26 1/2-26 9/16-26 5/8-26 3/4-26 7/8-26 1-26
1+1/8-26 1+1/4-26 1+3/8-26 1+1/2-26 1+5/8-26 1+3/4-26 1+7/8-26 2-26
| 13/16-26 15/16-26
"""


def _rules(system: System, basis: Basis, basis_of_basic: Basis) -> tuple[Basic, tuple[LimitColumns, ...]]:
    nominal, pitch = seed_columns(system)
    basic = inch_basic(system.form, nominal, pitch)
    quarter = next(size.pitch for size in system.sizes if size.major == Fraction(1, 4))
    return basic, limits_from_tolerance_unit(
        nominal,
        pitch,
        basic,
        quarter_inch_pitch=float(quarter),
        basis=basis,
        basis_of_basic=basis_of_basic,
    )


def standard_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of a series of BS 84; limits that are not basic sizes are from memory."""
    return _rules(system, "from memory", "computed")


def trade_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of a series without standard tolerances; its limits estimated by BS 84."""
    return _rules(system, "estimated", "estimated")


def inch_designation(size: Size, symbol: str) -> str:
    """Print an inch size: ``1/4-20 BSW``, ``2-4.5 BSW``.

    Examples
    --------
    >>> inch_designation(Size("2", Fraction(2), Fraction(2, 9)), "BSW")
    '2-4.5 BSW'
    """
    return f"{size.name}-{tpi_text(size.pitch)} {symbol}"


def _bsw(size: Size) -> str:
    return inch_designation(size, "BSW")


def _bsf(size: Size) -> str:
    return inch_designation(size, "BSF")


def _bsb(size: Size) -> str:
    return inch_designation(size, "BSB")


def _sizes(text: str, symbol: str) -> tuple[Size, ...]:
    """Read a list of sizes: groups by choice; a fourth group is of the third choice and from memory."""
    sizes = []
    for choice, group in enumerate(text.split("|"), start=1):
        for entry in group.split():
            size, tpi = entry.split("-")
            diameter = exact(size)
            name = format_mixed(diameter)
            aliases = [f"{name} {symbol}"]
            if "." in tpi:
                aliases.append(f"{name}-{format_mixed(exact(tpi))} {symbol}")
            basis: Basis | None = "from memory" if choice == 4 else None
            since = _SINCE.get(size) if symbol == "BSW" else None
            sizes.append(
                Size(name, diameter, per_inch(tpi), min(choice, 3), tuple(aliases), basis, since=since)
            )
    return in_order(sizes)


_TOLERANCES = "tolerance formulas read in quotation only; engagement L = D and allowance 0.3 T from memory"

SYSTEMS = (
    System(
        symbol="BSW",
        title="British Standard Whitworth",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSW, "BSW"),
        source=Source(
            "BS 84:1956, BS 84:2007; Whitworth's list of 1841; Machinery's Handbook 31st ed. p. 2087",
            f"{_TOLERANCES}; 13/16, 15/16, 2 1/8, 2 3/8, 2 5/8 and 2 7/8 in from memory",
        ),
        used=(
            "Great Britain and the Commonwealth from 1841 (BS 84 from 1918), common to about 1948 and on "
            "machine tools and farm plant into the 1970s; also German, Dutch and Scandinavian machine "
            "tools into the 1950s. The list of 1841 has no 9/16, 11/16, 13/16 or 15/16 in. Black bolts "
            "free, black nuts normal (BS 916)."
        ),
        periods=(
            Period(COMMONWEALTH, 1841, 1960, "usual"),
            Period(COMMONWEALTH, 1961, 1980, "met"),
            Period("DE AT NL SE NO DK BE FI", 1860, 1935, "usual"),
            Period("DE AT NL SE NO DK BE FI", 1936, 1958, "met"),
            Period("FR IT CH", 1860, 1920, "met"),
            Period("JP", 1900, 1968, "met"),
            Period(NORTH_AMERICA, 1841, 1870, "rare"),
            Period("CA", 1871, 1950, "met"),
        ),
        designation=_bsw,
        rules=standard_rules,
        default_classes=MappingProxyType({"external": "free", "internal": "normal"}),
        spellings=("Whitworth", "Whit", "BS Whitworth"),
    ),
    System(
        symbol="BSF",
        title="British Standard Fine",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSF, "BSF"),
        source=Source(
            "BS 84:1956, BS 84:2007; tables of the fine series as reproduced",
            f"{_TOLERANCES}; BS 84:2007 gives limits up to 3 in only; largest size 4 1/4 in one list, "
            "4 1/2 in another; 13/16 in from memory",
        ),
        used=(
            "Great Britain and the Commonwealth from 1908: road vehicles to about 1948-55, machine tools and "
            "plant into the 1970s. The 1/4 in size is said to have had 25 tpi at first (from memory)."
        ),
        periods=(
            Period(COMMONWEALTH, 1908, 1965, "usual"),
            Period(COMMONWEALTH, 1966, 1980, "met"),
            Period("CA", 1908, 1950, "met"),
        ),
        designation=_bsf,
        rules=standard_rules,
        default_classes=MappingProxyType({"external": "medium", "internal": "normal"}),
        spellings=("BS Fine", "Whitworth fine"),
    ),
    System(
        symbol="BSB",
        title="Brass thread, 26 tpi",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSB, "BSB"),
        source=Source(
            "gauge makers' lists; no British Standard of its own",
            "every diameter from 1/8 to 2 in has 26 tpi; which steps were listed is from memory; limits "
            "estimated by the formulas of BS 84 with L = D",
        ),
        used=(
            "Great Britain and the Commonwealth, from the 19th century (from memory) to today: gas, lamp "
            "and optical fittings, brass tube. At 1/4 in it is the same thread as 1/4-26 BSF."
        ),
        periods=(
            Period(COMMONWEALTH, 1860, 2100, "met"),
            Period("CA", 1860, 1950, "rare"),
        ),
        designation=_bsb,
        rules=trade_rules,
        default_classes=MappingProxyType({"external": "medium", "internal": "normal"}),
        spellings=("brass", "BS brass"),
    ),
)
