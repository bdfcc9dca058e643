"""BA threads of BS 93: 47 1/2 deg, rounded, sizes from a geometric rule.

Pitch 0.9^n mm, diameter 6 p^1.2 mm, both to two significant figures (the diameter from the pitch before
rounding), depth 0.6 p to the nearest 0.005 mm. BS 93 holds 0 to 16; 17 to 25 continue the rule.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import exact, round_all, round_columns
from threadwright.tables.system import (
    COMMONWEALTH,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = ["BA_FORM", "SYSTEMS", "rounded_depth"]

BA_FORM = Form(
    name="BA 47 1/2 deg",
    flank_angle=23.75,
    depth=Fraction(3, 5),
    crest_end="rounded",
    root_end="rounded",
)

# major diameter x pitch of 0, 1, 2, ... BA in mm: BS 93 to 16, then the rule to two significant figures
_BA = """
6.0x1.00 5.3x.90 4.7x.81 4.1x.73 3.6x.66 3.2x.59 2.8x.53 2.5x.48 2.2x.43 1.9x.39 1.7x.35 1.5x.31 1.3x.28
1.2x.25 1.0x.23 .90x.21 .79x.19
.70x.17 .62x.15 .54x.14 .48x.12 .42x.11 .37x.098 .33x.089 .29x.080 .25x.072
"""
_LAST_OF_STANDARD = 16
_LAST_CLOSE = 10
_ALLOWANCE = 0.025  # mm, normal bolts 0 to 10
_PLACES = 3


def rounded_depth(pitch: Array) -> Array:
    """Depth of thread, 0.6 p to the nearest 0.005 mm.

    Parameters
    ----------
    pitch : array (n,)
        Pitch, p. [mm]

    Returns
    -------
    array (n,)
        Depth, h. [mm]

    References
    ----------
    BS 93:1951; the rule reproduces the printed depths of 0 to 16 BA.

    Examples
    --------
    >>> rounded_depth(np.array([1.0, 0.81]))
    array([0.6  , 0.485])
    """
    return round_columns(round_columns(0.6 * pitch / 0.005, 0) * 0.005, _PLACES)


def _external(name: str, basic: Basic, gap: Array, tolerances: tuple[Array, Array, Array]) -> LimitColumns:
    columns: dict[str, Array] = {}
    for part, tolerance in zip(("major", "pitch_diameter", "minor"), tolerances, strict=True):
        columns[f"{part}_max"] = getattr(basic, part) - gap
        columns[f"{part}_min"] = columns[f"{part}_max"] - tolerance
    return LimitColumns(
        side="external",
        tolerance_class=name,
        columns=round_all(columns, _PLACES),
    )


def ba_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of BS 93: close bolts 0 to 10, normal bolts and nuts 0 to 16. [mm]

    Limits are the formulas of the standard rounded to 0.001 mm; the standard's own tables may be rounded
    to 0.005 mm (from memory).
    """
    nominal, pitch = seed_columns(system)
    depth = rounded_depth(pitch)
    basic = Basic(
        nominal,
        round_columns(nominal - depth, _PLACES),
        round_columns(nominal - 2 * depth, _PLACES),
    )
    number = np.array([int(size.name) for size in system.sizes])
    standard = np.where(number <= _LAST_OF_STANDARD, 0.0, np.nan)
    large = number <= _LAST_CLOSE
    only_large = np.where(large, 0.0, np.nan)
    close = (0.15 * pitch, 0.08 * pitch + 0.02, 0.16 * pitch + 0.04)
    normal = (np.where(large, 0.20, 0.25) * pitch, 0.10 * pitch + 0.025, 0.20 * pitch + 0.05)
    nut = {
        "major_min": basic.major + standard,
        "pitch_diameter_max": basic.pitch_diameter + 0.12 * pitch + 0.03 + standard,
        "pitch_diameter_min": basic.pitch_diameter + standard,
        "minor_max": basic.minor + 0.375 * pitch + standard,
        "minor_min": basic.minor + standard,
    }
    return basic, (
        _external("close", basic, only_large, close),
        _external("normal", basic, np.where(large, _ALLOWANCE, 0.0) + standard, normal),
        LimitColumns(
            side="internal",
            tolerance_class="normal",
            columns=round_all(nut, _PLACES),
        ),
    )


def _designation(size: Size) -> str:
    return f"{size.name} BA"


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for number, entry in enumerate(_BA.split()):
        major, pitch = entry.split("x")
        small = number > _LAST_OF_STANDARD
        sizes.append(
            Size(
                name=str(number),
                major=exact(major),
                pitch=exact(pitch),
                choice=3 if small else 1,
                aliases=(f"{number}BA", f"BA {number}", f"No. {number} BA"),
                basis="from memory" if small else None,
            )
        )
    return tuple(sizes)


SYSTEMS = (
    System(
        symbol="BA",
        title="British Association",
        unit="mm",
        form=BA_FORM,
        seeds=_sizes,
        source=Source(
            "BS 93:1951, BS 93:2008 Annex B; Machinery's Handbook 31st ed. p. 2115",
            "17 to 25 BA by the rule to two significant figures (the list of 1884, from memory; some tables "
            "round the pitch to 0.01 mm); BS 93 gives limits for 0 to 16 only",
        ),
        used=(
            "Great Britain and the Commonwealth, proposed 1884, adopted 1903, to about 1965: instruments,"
            " telephones, radio, aircraft, small electrical work; recommended in place of BSW and BSF "
            "below 1/4 in."
        ),
        periods=(
            Period(COMMONWEALTH, 1903, 1970, "usual"),
            Period(COMMONWEALTH, 1884, 1902, "met"),
            Period(COMMONWEALTH, 1971, 2100, "rare"),
        ),
        designation=_designation,
        rules=ba_rules,
        default_classes=MappingProxyType({"external": "normal", "internal": "normal"}),
        spellings=("British Association",),
    ),
)
