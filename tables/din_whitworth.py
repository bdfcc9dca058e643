"""Whitworth threads of DIN 11, worked with an inch of 25.40095 mm: a variant beside BSW.

The diameters are the inch sizes times that inch, to 0.001 mm from the unrounded depth. No reading tells them
from BSW: they are 0.0005 mm greater at 1/2 in and 0.006 mm at 6 in.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.numbers import (
    exact,
    format_mixed,
    per_inch,
    round_columns,
    round_half_up,
    tpi_text,
)
from threadwright.tables.system import Basic, LimitColumns, Period, Size, Source, System, seed_columns
from threadwright.tables.whitworth import WHITWORTH_FORM

__all__ = ["GERMAN_INCH", "SYSTEMS"]

GERMAN_INCH = Fraction("25.40095")  # mm

# size-tpi: printed in a table worked with this inch; below the stroke from memory. Sizes below 1/4 in and
# 11/16 in stand in such tables too.
_LIST = """
1/16-60 3/32-48 5/32-32 7/32-24 5/8-11 11/16-11 3/4-10 7/8-9 1+1/8-7 1+1/4-7 1+3/8-6 1+5/8-5 1+3/4-5 1+7/8-4.5
2-4.5 2+1/4-4 2+1/2-4 2+3/4-3.5 3-3.5 3+1/4-3.25 3+1/2-3.25 3+3/4-3 4-3 4+1/4-2.875 4+1/2-2.875 5-2.75
5+1/4-2.625 5+1/2-2.625 5+3/4-2.5 6-2.5
| 1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 1-8 1+1/2-6
"""
_PLACES = 3


def _entries() -> list[tuple[Fraction, Fraction, bool]]:
    """Inches, pitch in inches, whether read."""
    rows = []
    for group, read in zip(_LIST.split("|"), (True, False), strict=True):
        for entry in group.split():
            size, tpi = entry.split("-")
            rows.append((exact(size), per_inch(tpi), read))
    return sorted(rows, key=lambda row: float(row[0]))


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for inches, pitch, read in _entries():
        name = format_mixed(inches)
        sizes.append(
            Size(
                name,
                round_half_up(inches * GERMAN_INCH, _PLACES),
                pitch,
                aliases=(f"{name} DIN 11", f"DIN 11 {name}"),
                basis=None if read else "from memory",
            )
        )
    return tuple(sizes)


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes, each rounded once to 0.001 mm; limits are not held. [mm]"""
    _, pitch = seed_columns(system)
    major = np.array([float(inches * GERMAN_INCH) for inches, _, _ in _entries()])
    depth = WHITWORTH_FORM.depth_over_pitch * pitch
    return Basic(*(round_columns(major - turns * depth, _PLACES) for turns in (0, 1, 2))), ()


def _designation(size: Size) -> str:
    return f"{size.name}-{tpi_text(size.pitch)} DIN 11"


SYSTEMS = (
    System(
        symbol="DIN11",
        title="Whitworth thread, DIN 11",
        unit="mm",
        form=WHITWORTH_FORM,
        seeds=_sizes,
        source=Source(
            "two reproduced tables headed BSW that are worked with this inch; Kress, Gewindetoleranzen",
            "DIN 11 itself was not read: that it has the inch of 25.40095 mm is from memory, and the inch "
            "reproduces the printed values; sizes 1/4 to 1/2, 1 and 1 1/2 in from memory; no limits",
        ),
        used=(
            "Germany, Austria, the Netherlands, Scandinavia: Whitworth on machine tools and structures from "
            "the 19th century, DIN 11 of 1923, into the 1950s. No reading tells it from BSW."
        ),
        periods=(
            Period("DE AT NL SE NO DK BE FI", 1860, 1935, "usual"),
            Period("DE AT NL SE NO DK BE FI", 1936, 1958, "met"),
        ),
        designation=_designation,
        rules=_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        tpi_pitch=True,
        inch=GERMAN_INCH,
        spellings=("DIN11",),
    ),
)
