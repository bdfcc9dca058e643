"""Miniature threads under 1.4 mm: ISO miniature (S) of ISO 1501 and Unified Miniature (UNM) of ASME B1.10M.

Both have the same 14 sizes, 60 deg flanks and the crest of ISO metric, but shallower threads: the basic
depth is 0.48 P (S) and 0.52 P (UNM) where ISO metric has 0.541 P. Pitch diameters are equal.

The tolerances of ISO 1501 were not found in print: S has basic sizes only. Those of ASME B1.10M are
straight lines in the pitch that reproduce every printed limit; the lines are inferred from the table, the
standard's own text was not read.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType

from threadwright.tables.form import Form, Truncation
from threadwright.tables.iso_metric import metric_basic
from threadwright.tables.numbers import exact, format_decimal, round_all
from threadwright.tables.system import (
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)

__all__ = ["MINIATURE_FORM", "SYSTEMS", "UNM_FORM", "miniature_rules", "unm_rules"]


def _form(name: str, depth: Fraction) -> Form:
    """60 deg, crest cut by H/8, the given depth over pitch: the root loses the rest of the triangle."""
    return Form(
        name=name,
        flank_angle=30.0,
        crest=Truncation(Fraction(1, 8)),
        root=Truncation(Fraction(7, 8), -depth),
    )


MINIATURE_FORM = _form("ISO miniature 60 deg", Fraction("0.48"))
UNM_FORM = _form("Unified miniature 60 deg", Fraction("0.52"))

# diameter x pitch [mm], first choice before the bar; which ones are preferred is from memory
_SIZES = """
0.3x0.08 0.4x0.1 0.5x0.125 0.6x0.15 0.8x0.2 1x0.25 1.2x0.25
| 0.35x0.09 0.45x0.1 0.55x0.125 0.7x0.175 0.9x0.225 1.1x0.25 1.4x0.3
"""

# ASME B1.10M, as far as its printed limits show: (share of the pitch, constant [mm])
_MAJOR_TOLERANCE = (0.12, 0.006)
_PITCH_TOLERANCE = (0.08, 0.008)
_ROOT_TOLERANCE = (0.16, 0.008)
_NUT_MINOR_TOLERANCE = (0.32, 0.012)
_NUT_MAJOR_TOLERANCE = (0.168, 0.008)
_ROOT_DEPTH = 1.20  # external minor diameter: d - 1.20 P
_NUT_ROOT_CLEARANCE = 0.072  # internal major diameter: D + 0.072 P


def miniature_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes to 0.001 mm; no limits. [mm]"""
    return metric_basic(system.form, *seed_columns(system)), ()


def unm_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of the one class of ASME B1.10M, without allowance. [mm]"""
    nominal, pitch = seed_columns(system)
    middle = nominal - 2 * UNM_FORM.addendum * pitch
    minor = nominal - 2 * UNM_FORM.depth_over_pitch * pitch
    root = nominal - _ROOT_DEPTH * pitch
    clear = nominal + _NUT_ROOT_CLEARANCE * pitch

    def width(line: tuple[float, float]) -> Array:
        return line[0] * pitch + line[1]

    screw = {
        "major_max": nominal,
        "major_min": nominal - width(_MAJOR_TOLERANCE),
        "pitch_diameter_max": middle,
        "pitch_diameter_min": middle - width(_PITCH_TOLERANCE),
        "minor_max": root,
        "minor_min": root - width(_ROOT_TOLERANCE),
    }
    nut = {
        "major_max": clear + width(_NUT_MAJOR_TOLERANCE),
        "major_min": clear,
        "pitch_diameter_max": middle + width(_PITCH_TOLERANCE),
        "pitch_diameter_min": middle,
        "minor_max": minor + width(_NUT_MINOR_TOLERANCE),
        "minor_min": minor,
    }
    return metric_basic(UNM_FORM, nominal, pitch), (
        LimitColumns(
            side="external",
            tolerance_class="",
            columns=round_all(screw, 3),
        ),
        LimitColumns(
            side="internal",
            tolerance_class="",
            columns=round_all(nut, 3),
        ),
    )


def _s_designation(size: Size) -> str:
    return f"S{size.name}x{format_decimal(size.pitch)}"


def _unm_designation(size: Size) -> str:
    return f"{float(size.major):.2f}-{format_decimal(size.pitch)} UNM"


def _sizes(alias: str) -> tuple[Size, ...]:
    sizes = []
    for choice, group in enumerate(_SIZES.split("|"), start=1):
        for entry in group.split():
            diameter, pitch = entry.split("x")
            sizes.append(Size(diameter, exact(diameter), exact(pitch), choice, (alias.format(diameter),)))
    return in_order(sizes)


SYSTEMS = (
    System(
        symbol="S",
        title="ISO miniature",
        unit="mm",
        form=MINIATURE_FORM,
        seeds=partial(_sizes, "S{}"),
        source=Source(
            "ISO 1501:2009 (cover and designations); DIN 14",
            "form and sizes from memory, tolerances (classes 3G5 to 4H6, 5h3) not found: basic sizes only; "
            "the external root, d - 1.12 P, from memory",
            seen=False,
        ),
        used="Watches, instruments, cameras and spectacles, Switzerland, Europe and Japan, from about 1955 "
        "(from memory). Limits printed for 'M0.3' to 'M0.9' in class 6g are those of UNM or JIS B 0201.",
        periods=(Period(f"{CONTINENT} JP", 1955, 2100, "met"),),
        designation=_s_designation,
        rules=miniature_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        basis="from memory",
    ),
    System(
        symbol="UNM",
        title="Unified miniature",
        unit="mm",
        form=UNM_FORM,
        seeds=partial(_sizes, "{} UNM"),
        source=Source(
            "ASME B1.10M, limits in Machinery's Handbook, 31st ed., Table 5",
            "tolerances by straight lines in the pitch inferred from the printed limits, which they "
            "reproduce; order of preference from memory",
        ),
        used="Watches, instruments and cameras, United States, from 1955 (from memory). Pitch diameters are "
        "those of ISO miniature, which is shallower.",
        periods=(Period(NORTH_AMERICA, 1955, 2100, "rare"),),
        designation=_unm_designation,
        rules=unm_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
    ),
)
