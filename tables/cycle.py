"""Cycle threads of BS 811 (BSC), the former CEI thread: 60 deg, rounded with a radius of p/6.

The tolerances of BS 811 were not found; the limits here are estimated by the formulas of BS 84.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_mixed, per_inch
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
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
from threadwright.tables.whitworth import inch_basic, inch_designation, limits_from_tolerance_unit

__all__ = ["CYCLE_FORM", "SYSTEMS"]

# An arc of radius r tangent to flanks of 60 deg takes r off the sharp crest: the truncation is p/6 as well.
CYCLE_FORM = Form(
    name="cycle 60 deg",
    flank_angle=30.0,
    crest=Truncation(of_pitch=Fraction(1, 6)),
    root=Truncation(of_pitch=Fraction(1, 6)),
    crest_end="rounded",
    root_end="rounded",
)

# Bolts and nuts of BS 811: read, from memory.
_BOLTS = (
    "1/4-26 5/16-26 3/8-26 7/16-26 1/2-26 9/16-26 5/8-26 11/16-26 3/4-26 | 1/8-40 5/32-32 3/16-32 7/32-26"
)
# Special applications (axles, pedals, head sets, brackets) and other pitches of the trade: read, from memory.
_SPECIALS = """
13/32-26 1-26 1+3/8-26 7/16-20 7/16-24 1/2-20 1/2-24 9/16-20 5/8-20 11/16-24 3/4-30 31/32-30 1-24 1.37-24
| 17/64-26 9/32-26 1.29-24 1+7/16-24 1+1/2-24
"""
# The rest of the list of 1902, its small sizes mostly spokes: all from memory.
_LIST_OF_1902 = "| .056-62 .064-62 .072-62 .080-62 .092-56 .104-44 .154-40 .175-32"
_THOUSANDTHS = {"17/64": ".266", "9/32": ".281"}  # as the list of 1902 writes them
# General use list of JIS B 0225-1960, which writes BC 5/16; sizes of DIN 79012 (FG) that are the same
# thread, from memory.
_JAPANESE = "5/16-26 3/8-26 7/16-26 1/2-20 9/16-20 5/8-20 11/16-24 3/4-30 31/32-30"
_GERMAN = {"5/16-26": "7.9", "3/8-26": "9.5", "9/16-20": "14.3", "1-24": "25.4", "1.370-24": "34.8"}
_QUARTER_INCH_PITCH = 1 / 26  # in
_NUT_CLASS = "medium"


def cycle_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of the p/6 form and estimated limits: close, medium, free bolts; medium nuts. [in]

    BS 811 has special threads and spokes in the medium class only: these get no close and no free limits.
    """
    nominal, pitch = seed_columns(system)
    basic = inch_basic(system.form, nominal, pitch)
    every_class = np.array([size.choice == 1 for size in system.sizes])
    limits = limits_from_tolerance_unit(
        nominal,
        pitch,
        basic,
        quarter_inch_pitch=_QUARTER_INCH_PITCH,
        basis="estimated",
        basis_of_basic="estimated",
    )
    return basic, tuple(
        row.but(
            columns={
                key: value if row.tolerance_class == "medium" else np.where(every_class, value, np.nan)
                for key, value in row.columns.items()
            },
        )
        for row in limits
        if row.side == "external" or row.tolerance_class == _NUT_CLASS
    )


def _designation(size: Size) -> str:
    return inch_designation(size, "BSC")


def _entries() -> list[tuple[str, Fraction, int, Basis | None]]:
    entries: list[tuple[str, Fraction, int, Basis | None]] = []
    for choice, text in enumerate((_BOLTS, _SPECIALS, _LIST_OF_1902), start=1):
        read, recalled = text.split("|")
        for group, basis in ((read, None), (recalled, "from memory")):
            for entry in group.split():
                size, tpi = entry.split("-")
                known: Basis | None = "from memory" if basis else None
                entries.append((size.replace("+", " "), per_inch(tpi), choice, known))
    return entries


def _sizes() -> tuple[Size, ...]:
    sizes, japanese = [], _JAPANESE.split()
    for text, pitch, choice, basis in _entries():
        major, tpi = exact(text), 1 / pitch
        name = f"{float(major):.3f}" if "." in text else format_mixed(major)
        aliases = [f"{name} BSC"]
        if name in _THOUSANDTHS:
            aliases.append(f"{_THOUSANDTHS[name]}-{tpi} BSC")
        entry = f"{name}-{tpi}"
        if entry in japanese:
            aliases += [f"BC {name}", f"BC {entry}"]
        if entry in _GERMAN:
            aliases.append(f"FG {_GERMAN[entry]}")
        sizes.append(Size(name, major, pitch, choice, tuple(aliases), basis))
    return in_order(sizes)


SYSTEMS = (
    System(
        symbol="BSC",
        title="British Standard Cycle",
        unit="in",
        form=CYCLE_FORM,
        seeds=_sizes,
        source=Source(
            "BS 811:1950 (contents only), JIS B 0225-1960, DIN 79012, tables of cycle threads as reproduced",
            "tolerances of BS 811 not found: limits estimated by the formulas of BS 84 with L = D; the list "
            "of 1902 and several sizes from memory",
        ),
        used=(
            "Great Britain and the Commonwealth: CEI 1902, BS 811 1938 and 1950, cycles "
            "to about 1970; Japan (JIS B 0225), China and India to today. The angle of the 20 tpi sizes "
            "is doubtful: Japanese ones have 60 deg, BS 811 speaks of a 20 tpi series of Whitworth form "
            "(55 deg) used by the British trade. Japanese nuts have a truncated minor diameter of about D"
            " - 0.9 p. The 1.375 in by 24 tpi bracket thread of ISO 6696 has the pitch diameter of "
            "1.370-24 and another form; compare on the pitch diameter. Pedals and brackets are also left "
            "hand."
        ),
        periods=(
            Period(COMMONWEALTH, 1902, 1970, "met"),
            Period("JP CN IN", 1925, 2100, "met"),
            Period(CONTINENT, 1905, 1960, "rare"),
        ),
        designation=_designation,
        rules=cycle_rules,
        default_classes=MappingProxyType({"external": "medium", "internal": _NUT_CLASS}),
        spellings=("CEI", "cycle", "BS cycle", "BSCy"),
    ),
)
