"""UNJ threads of ASME B1.15: Unified with a large controlled root radius, for aircraft bolts.

Sizes, major diameters, pitch diameters and their tolerances are those of the Unified series of the same
pitch; the form is that of MJ, with larger minor diameters. The greatest minor diameter of the nut has a
tolerance of its own that was not found in print, so it is left out. Rounding as for Unified.
"""

from __future__ import annotations

from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables import unified
from threadwright.tables.form import Form
from threadwright.tables.metric_aerospace import MJ_FORM
from threadwright.tables.numbers import round_columns
from threadwright.tables.system import (
    NORTH_AMERICA,
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    tpi_column,
)
from threadwright.tables.whitworth import inch_designation

__all__ = ["SYSTEMS", "UNJ_FORM", "unj_rules"]

UNJ_FORM = Form(name="UNJ 60 deg", flank_angle=MJ_FORM.flank_angle, crest=MJ_FORM.crest, root=MJ_FORM.root)
_SERIES = ("UNC", "UNF", "UNEF", "UN")
_CLASSES = ("2A", "3A", "2B", "3B")

# Multiples of the pitch: nut D - 9H/8, root of the screw 4H/3 below its major diameter.
_NUT_MINOR = 0.97427858
_SCREW_MINOR = 1.15470054


def _bases() -> tuple[System, ...]:
    return tuple(entry for entry in unified.SYSTEMS if entry.symbol in _SERIES)


def _times(factor: float, pitch: Array) -> Array:
    return round_columns(factor * pitch, 6)


def _columns(rows: list[LimitColumns], pitch: Array) -> dict[str, Array]:
    """One class of all series end to end, the minor diameters replaced."""
    first = rows[0]
    kept = [name for name in first.columns if not name.startswith("minor")]
    columns = {name: np.concatenate([row.columns[name] for row in rows]) for name in kept}
    if first.side == "external":
        columns["minor_max"] = round_columns(columns["major_max"] - _times(_SCREW_MINOR, pitch), 4)
    else:
        columns["minor_min"] = round_columns(columns["major_min"] - _times(_NUT_MINOR, pitch), 4)
    return columns


def unj_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Limits of the Unified series with the minor diameters of UNJ; classes 2A, 3A, 2B, 3B. [in]"""
    pitch = round_columns(1 / tpi_column(system), 8)
    parts = [unified.unified_rules(base) for base in _bases()]
    major, middle = (np.concatenate([basic[column] for basic, _ in parts]) for column in (0, 1))
    basic = Basic(major, middle, round_columns(major - _times(_NUT_MINOR, pitch), 4))
    classes = [[row for _, rows in parts for row in rows if row.tolerance_class == name] for name in _CLASSES]
    return basic, tuple(
        LimitColumns(
            side=rows[0].side,
            tolerance_class=rows[0].tolerance_class,
            columns=DeferredColumns(partial(_columns, rows, pitch)),
        )
        for rows in classes
    )


def _sizes() -> tuple[Size, ...]:
    """The sizes of the four Unified series, one after the other; UNJC, UNJF and UNJEF find them too."""
    sizes = []
    for base in _bases():
        named = base.symbol.replace("UN", "UNJ")
        for size in base.sizes:
            bare = inch_designation(size, "").rstrip()
            aliases = [alias.replace(base.symbol, named) for alias in size.aliases if base.symbol in alias]
            spellings = (f"{bare} {named}", *aliases)
            sizes.append(Size(size.name, size.major, size.pitch, size.choice, spellings, size.basis))
    return tuple(sizes)


def _designation(size: Size) -> str:
    return inch_designation(size, "UNJ")


SYSTEMS = (
    System(
        symbol="UNJ",
        title="UNJ, Unified with controlled root radius",
        unit="in",
        form=UNJ_FORM,
        seeds=_sizes,
        source=Source(
            "ASME B1.15-1995 (scope); ASME B1.1-2003 for sizes and tolerances",
            "minor diameters by the form of MJ (FED-STD-H28/21B), which it shares; tolerance of the nut's "
            "minor diameter not found; that the sizes are those of UNC, UNF, UNEF and UN from memory; root "
            "radius 0.15011 p to 0.18042 p",
        ),
        used="United States and Britain, aircraft and rocket engines, from MIL-S-8879 (about 1960, from "
        "memory). A UNJ screw may foul a plain Unified nut; a Unified screw enters a UNJ nut.",
        periods=(Period(f"{NORTH_AMERICA} GB", 1960, 2100, "rare"),),
        designation=_designation,
        rules=unj_rules,
        default_classes=MappingProxyType({"external": "3A", "internal": "3B"}),
    ),
)
