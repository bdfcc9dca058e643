"""Round threads of DIN 405 (Rd): 30 deg, depth half the pitch, pitch in threads per inch."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import exact, round_all, round_columns
from threadwright.tables.system import (
    CONTINENT,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = ["ROUND_FORM", "SYSTEMS"]

ROUND_FORM = Form(
    name="round 30 deg",
    flank_angle=15.0,
    depth=Fraction(1, 2),
    crest_end="rounded",
    root_end="rounded",
)

# threads per inch: diameters in mm. The list has 64 sizes; DIN 405-1 is said to have 63.
_DIN_405 = {
    10: "8 9 10 11 12",
    8: "14 16 18 20 22 24 26 28 30 32 34 36 38",
    6: "40 42 44 46 48 50 52 55 58 60 62 65 68 70 72 75 78 80 82 85 88 90 92 95 98 100",
    4: "105 110 115 120 125 130 135 140 145 150 155 160 165 170 175 180 185 190 195 200",
}
# threads per inch: screw major, pitch diameter, minor; nut pitch diameter, minor. [mm]
# From one program that fitted them to gauge tables; 0.830 at 4 tpi is doubtful, the R40 series has 0.850.
_TOLERANCES = {
    10: (0.335, 0.200, 0.250, 0.265, 0.450),
    8: (0.375, 0.236, 0.300, 0.315, 0.530),
    6: (0.475, 0.300, 0.375, 0.400, 0.630),
    4: (0.630, 0.400, 0.500, 0.530, 0.830),
}
_NUT_MAJOR = 0.1  # of the pitch, above the screw
_NUT_MINOR = 0.9  # of the pitch, below the major diameter of the screw
_PLACES = 4


def _columns(side: str, columns: dict[str, Array]) -> LimitColumns:
    return LimitColumns(
        side="external" if side == "external" else "internal",
        tolerance_class="7h" if side == "external" else "7H",
        columns=round_all(columns, _PLACES),
        basis="estimated",
    )


def round_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes d, d - 0.5 P, d - P of the screw, and provisional limits 7h and 7H. [mm]

    The nut has d + 0.1 P and d - 0.9 P at its major and minor diameters.
    """
    major, pitch = seed_columns(system)
    basic = Basic(
        major,
        round_columns(major - 2 * ROUND_FORM.addendum * pitch, _PLACES),
        round_columns(major - 2 * ROUND_FORM.depth_over_pitch * pitch, _PLACES),
    )
    on = np.array([_TOLERANCES[size.pitch.denominator] for size in system.sizes]).T
    external: dict[str, Array] = {}
    for part, tolerance in zip(("major", "pitch_diameter", "minor"), on[:3], strict=True):
        external[f"{part}_max"] = getattr(basic, part)
        external[f"{part}_min"] = getattr(basic, part) - tolerance
    nut_minor = major - _NUT_MINOR * pitch
    internal = {
        "major_min": major + _NUT_MAJOR * pitch,
        "pitch_diameter_max": basic.pitch_diameter + on[3],
        "pitch_diameter_min": basic.pitch_diameter,
        "minor_max": nut_minor + on[4],
        "minor_min": nut_minor,
    }
    return basic, (_columns("external", external), _columns("internal", internal))


def _sizes() -> tuple[Size, ...]:
    return tuple(
        Size(text, exact(text), Fraction(1, tpi), aliases=(f"Rd {text}",))
        for tpi, group in _DIN_405.items()
        for text in group.split()
    )


def _designation(size: Size) -> str:
    return f"Rd {size.name}x{size.pitch}"


SYSTEMS = (
    System(
        symbol="Rd",
        title="Round thread, DIN 405",
        unit="mm",
        form=ROUND_FORM,
        seeds=_sizes,
        source=Source(
            "DIN 405, data sheet as reproduced",
            "proportions from memory; limits 7h and 7H provisional, from one calculation program that fitted "
            "them to gauge tables",
        ),
        used=(
            "Germany and the continent, DIN 405 from April 1922: couplings, valves, hydrants, hose and fire "
            "gear. Rd threads of DIN 15403, DIN 20400 and EN 148 (Rd 40x1/7) have other forms and are not "
            "held. Glass (DIN 168) and lamp cap threads are round too."
        ),
        periods=(Period(CONTINENT, 1922, 2100, "met"),),
        designation=_designation,
        rules=round_rules,
        default_classes=MappingProxyType({"external": "7h", "internal": "7H"}),
        tpi_pitch=True,
    ),
)
