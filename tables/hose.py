"""American hose coupling threads NH: garden hose of ASME B1.20.7, fire hose of NFPA 1963.

The coupling (internal) is basic, the nipple (external) smaller by the allowance; depth 0.649519 p, flats
of an eighth of the sharp triangle at both ends. Major and minor tolerances are twice that of the pitch
diameter.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_decimal, format_mixed, round_columns, tpi_text
from threadwright.tables.record import Record
from threadwright.tables.system import (
    NORTH_AMERICA,
    Array,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = ["SYSTEMS"]

HOSE_FORM = Form(
    name="American hose 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(1, 8)),
    crest_end="flat",
    root_end="flat",
)
# designation: greatest major diameter of the nipple, allowance, tolerance of the pitch diameter. [in]
_FIRE = """0.75-8:1.3750:.0120:.0111 1-8:1.3750:.0120:.0111 1.5-9:1.9900:.0120:.0111
2.5-7.5:3.0686:.0150:.0160 3-6:3.6239:.0150:.0180 3.5-6:4.2439:.0200:.0180
4-4:5.0109:.0250:.0250 4.5-4:5.7609:.0250:.0250 5-4:6.2600:.0250:.0250 6-4:7.0250:.0250:.0250"""
_GARDEN = "0.75-11.5:1.0625:.0100:.0085"  # allowance and tolerance from memory
_PLACES = 4


class _Entry(Record):
    name: Fraction
    tpi: Fraction
    nipple: Fraction
    allowance: Fraction
    tolerance: Fraction
    garden: bool


@cache
def _entries() -> tuple[_Entry, ...]:
    rows = []
    for text, garden in ((_GARDEN, True), (_FIRE, False)):
        for entry in text.split():
            printed, *texts = entry.split(":")
            name, tpi = map(exact, printed.split("-"))
            nipple, allowance, tolerance = map(exact, texts)
            rows.append(
                _Entry(
                    name=name, tpi=tpi, nipple=nipple, allowance=allowance, tolerance=tolerance, garden=garden
                )
            )
    return tuple(rows)


def _designation(size: Size) -> str:
    return f"{size.name}-{tpi_text(size.pitch)} NH"


def _aliases(entry: _Entry) -> tuple[str, ...]:
    name, tpi = format_mixed(entry.name), format_decimal(entry.tpi)
    spellings = {f"{name}-{tpi} NH", f"{name}-{format_mixed(entry.tpi)} NH", f"{name} NH"}
    spellings |= {f"{format_decimal(entry.name)} NH"}
    spellings |= (
        {f"{name} GHT", f"{name}-{tpi} GHT"} if entry.garden else {f"{name} NST", f"{name}-{tpi} NST"}
    )
    return tuple(sorted(spellings))


def _sizes() -> tuple[Size, ...]:
    return tuple(
        Size(
            name=format_decimal(entry.name),
            major=entry.nipple + entry.allowance,
            pitch=1 / entry.tpi,
            aliases=_aliases(entry),
            basis="from memory" if entry.garden else None,
            nominal=entry.name,
        )
        for entry in _entries()
    )


def _limits(
    entries: tuple[_Entry, ...], basic: Basic, depth: Array, *, garden: bool
) -> tuple[LimitColumns, ...]:
    """Limits of the garden or of the fire hose sizes, both sides; the others are left open."""
    ours = np.array([entry.garden is garden for entry in entries])
    allowed = np.array([float(entry.allowance) for entry in entries])
    tolerance = np.array([float(entry.tolerance) for entry in entries])
    nipple = basic.major - allowed
    external = {
        "major_max": nipple,
        "major_min": nipple - 2 * tolerance,
        "pitch_diameter_max": nipple - depth,
        "pitch_diameter_min": nipple - depth - tolerance,
        "minor_max": nipple - 2 * depth,
    }
    internal = {
        "major_min": basic.major,
        "pitch_diameter_max": basic.major - depth + tolerance,
        "pitch_diameter_min": basic.major - depth,
        "minor_max": basic.major - 2 * depth + 2 * tolerance,
        "minor_min": basic.major - 2 * depth,
    }
    basis: Basis = "from memory" if garden else "computed"
    read: dict[str, Basis] = {"major_max": "table"}
    return (
        LimitColumns(
            side="external",
            tolerance_class="",
            columns=_open(external, ours),
            basis=basis,
            basis_of=MappingProxyType(read),
        ),
        LimitColumns(side="internal", tolerance_class="", columns=_open(internal, ours), basis=basis),
    )


def _open(columns: dict[str, Array], ours: Array) -> dict[str, Array]:
    return {key: np.where(ours, round_columns(value, _PLACES), np.nan) for key, value in columns.items()}


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    major, pitch = seed_columns(system)
    depth = HOSE_FORM.depth_over_pitch * pitch
    basic = Basic(major, round_columns(major - depth, _PLACES), round_columns(major - 2 * depth, _PLACES))
    entries = _entries()
    return basic, (
        *_limits(entries, basic, depth, garden=False),
        *_limits(entries, basic, depth, garden=True),
    )


SYSTEMS = (
    System(
        symbol="NH",
        title="American hose coupling thread",
        unit="in",
        form=HOSE_FORM,
        seeds=_sizes,
        source=Source(
            "NFPA 1963-1993, in Machinery's Handbook, 27th ed., pp. 1875-1876; garden hose ASME B1.20.7",
            "garden hose: only the 1 1/16 in nipple with 11.5 threads was read, its limits are from memory; "
            "the rolled form NHR and the greatest major diameter of the coupling are not held",
        ),
        used=(
            "United States and Canada: garden hose of 1/2, 5/8 and 3/4 in bore from the early 1900s, all "
            "with the 0.75-11.5 coupling; fire hose with the others."
        ),
        periods=(Period(NORTH_AMERICA, 1900, 2100, "met"),),
        designation=_designation,
        rules=_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
    ),
)
