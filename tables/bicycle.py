"""Bicycle threads beside BSC: ISO and French parts (BC), Italian parts and German spokes (BCR).

BC has flat crests, BCR the rounded p/6 form of the cycle thread. Parts that have a thread of another table
(pedal, axles, English parts) are found by their names, see :mod:`threadwright.tables.named_parts`.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from threadwright.tables.cycle import CYCLE_FORM
from threadwright.tables.iso_metric import ISO_FORM
from threadwright.tables.numbers import exact, format_decimal, round_columns
from threadwright.tables.system import (
    CONTINENT,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = ["SYSTEMS"]

_INCH = Fraction("25.4")
_READ: Basis | None = None
_RECALLED: Basis | None = "from memory"
_PLACES = 3

# name as written, major diameter in mm, pitch in mm or threads per inch, other names
_FLAT = (
    ("BC 25", "25", "1", ("French steerer",), _READ),
    ("BC 26", "26", "1", ("steerer 26x1",), _READ),
    ("BC 34.7", "34.7", "1", ("French freewheel", "Swiss freewheel"), _RECALLED),
    ("BC 35", "35", "1", ("French bottom bracket", "Swiss bottom bracket"), _READ),
    ("BC 1.375", "34.925", "24t", ("ISO bottom bracket", "ISO freewheel"), _READ),
)
_ROUNDED: tuple[tuple[str, str, str, tuple[str, ...], Basis | None], ...] = (
    ("FG 1.8", "1.803", "56t", ("FG 1.8",), "estimated"),
    ("FG 2", "2.096", "56t", ("FG 2",), _READ),
    ("FG 2.3", "2.299", "56t", ("FG 2.3",), _READ),
    ("FG 2.6", "2.604", "56t", ("FG 2.6",), _READ),
    ("BC 25.4", "25.4", "24t", ("Italian steerer",), _RECALLED),
    ("BC 35", "35", "24t", ("Italian freewheel",), _RECALLED),
    ("BC 36", "36", "24t", ("Italian bottom bracket",), _READ),
)


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes, rounded to 0.001 mm; the limits of ISO 6696 to 6698 and DIN 79012 were not found. [mm]"""
    major, pitch = seed_columns(system)
    return Basic(
        major,
        round_columns(major - 2 * system.form.addendum * pitch, _PLACES),
        round_columns(major - 2 * system.form.depth_over_pitch * pitch, _PLACES),
    ), ()


def _sizes(rows: tuple[tuple[str, str, str, tuple[str, ...], Basis | None], ...]) -> tuple[Size, ...]:
    sizes = []
    for name, major, pitch, aliases, basis in rows:
        tpi = exact(pitch.removesuffix("t")) if pitch.endswith("t") else None
        step = exact(pitch) if tpi is None else _INCH / tpi
        sizes.append(Size(name, exact(major), step, aliases=aliases, basis=basis, tpi=tpi))
    return tuple(sizes)


def _flat_sizes() -> tuple[Size, ...]:
    return _sizes(_FLAT)


def _rounded_sizes() -> tuple[Size, ...]:
    return _sizes(_ROUNDED)


def _designation(size: Size) -> str:
    return f"{size.name}x{format_decimal(size.pitch) if size.tpi is None else f'{size.tpi} tpi'}"


_NO_CLASS: Mapping[Side, str] = MappingProxyType({"external": "", "internal": ""})

SYSTEMS = (
    System(
        symbol="BC",
        title="Bicycle, ISO and French parts",
        unit="mm",
        form=ISO_FORM,
        seeds=_flat_sizes,
        source=Source(
            "tables of the cycle trade; ISO 6696:1989 (scope)",
            "that the French parts have the flat-crested 60 deg form is from memory; freewheel 34.7x1 from "
            "memory; 26x1 has one witness; limits of ISO 6696 not found",
        ),
        used=(
            "France, Switzerland and the continent to about 1980; ISO parts world-wide. Bottom bracket 35x1: "
            "both cups right hand in France, fixed cup left hand in Switzerland; 1.375 in by 24 tpi: fixed "
            "cup left hand. Steerer 26x1 on some east German and Austrian machines. Pedals 14x1.25 and axles "
            "9x1 and 10x1 are ISO metric threads; left pedals left hand."
        ),
        periods=(
            Period(f"{CONTINENT} JP", 1890, 2100, "met"),
            Period("", 1890, 2100, "rare"),
        ),
        designation=_designation,
        rules=_rules,
        default_classes=_NO_CLASS,
    ),
    System(
        symbol="BCR",
        title="Bicycle, Italian parts and German spokes",
        unit="mm",
        form=CYCLE_FORM,
        seeds=_rounded_sizes,
        source=Source(
            "DIN 79012 (FG), as reproduced; tables of the cycle trade",
            "FG 1.8 from its printed core; freewheel and steerer from memory; limits not found",
        ),
        used=(
            "Italian bottom bracket 36 mm by 24 tpi, both cups right hand; steerer and freewheel in 24 tpi. "
            "Its printed core 34.87 mm is of the rounded 60 deg form, but a mechanic gives 55 deg for the "
            "Italian steerer: take the angle as doubtful. Spokes and nipples of Germany: FG 2 on 1.8 mm, "
            "FG 2.3 on 2.0 mm, FG 2.6 on 2.3 mm wire."
        ),
        periods=(
            Period("IT", 1890, 2100, "met"),
            Period("DE AT CH", 1900, 2100, "rare"),
        ),
        designation=_designation,
        rules=_rules,
        default_classes=_NO_CLASS,
    ),
)
