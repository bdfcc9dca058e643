"""Threads of continental instruments before the metric ones: Loewenherz (LOEW) and Thury (THURY)."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_decimal, round_columns
from threadwright.tables.system import Basic, LimitColumns, Period, Side, Size, Source, System, seed_columns

__all__ = ["LOEWENHERZ_FORM", "SYSTEMS", "THURY_FORM"]

LOEWENHERZ_FORM = Form(
    name="Loewenherz 53 deg 8 min",
    flank_angle=26.5650511771,  # its tangent is 1/2, an isosceles triangle in a square: H = P
    crest=Truncation(of_pitch=Fraction(1, 8)),
    root=Truncation(of_pitch=Fraction(1, 8)),
    crest_end="flat",
    root_end="flat",
)

_THURY_DEPTH = Fraction(3, 5)
# What a crest of radius p/6 takes off the sharp triangle of 47 1/2 deg, to the sixth place.
_THURY_CREST = Fraction("0.247157")
# The quoted depth 3/5 p, crest radius p/6, root radius p/5 and angle 47 1/2 deg do not close (they meet at
# 46.67 deg): angle, depth and crest radius are kept, the root radius is then 0.195 p instead of 0.2 p.
THURY_FORM = Form(
    name="Thury 47 1/2 deg",
    flank_angle=23.75,
    crest=Truncation(of_pitch=_THURY_CREST),
    root=Truncation(of_height=Fraction(1), of_pitch=-_THURY_DEPTH - _THURY_CREST),
    crest_end="rounded",
    root_end="rounded",
)

# d x P in mm; the official range of 1890 ends at 10 mm, the rest stands in the handbook only
_LOEWENHERZ = """
1x.25 1.2x.25 1.4x.3 1.7x.35 2x.4 2.3x.4 2.6x.45 3x.5 3.5x.6 4x.7 4.5x.75 5x.8 5.5x.9 6x1 7x1.1 8x1.2 9x1.3
10x1.4 | 12x1.6 14x1.8 16x2 18x2.2 20x2.4 22x2.8 24x2.8 26x3.2 28x3.2 30x3.6 32x3.6 36x4 40x4.4
"""
_THURY_NUMBERS = (-20, 25)
_PLACES = 4


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes from the form, rounded to 0.0001 mm; no limits are held. [mm]"""
    major, pitch = seed_columns(system)
    return Basic(
        major,
        round_columns(major - 2 * system.form.addendum * pitch, _PLACES),
        round_columns(major - 2 * system.form.depth_over_pitch * pitch, _PLACES),
    ), ()


def _loewenherz_sizes() -> tuple[Size, ...]:
    sizes = []
    for choice, group in zip((1, 3), _LOEWENHERZ.split("|"), strict=True):
        for entry in group.split():
            diameter, pitch = entry.split("x")
            sizes.append(Size(diameter, exact(diameter), exact(pitch), choice, (f"LOEW {diameter}",)))
    return tuple(sizes)


def _loewenherz(size: Size) -> str:
    return f"LOEW {size.name}x{format_decimal(size.pitch)}"


def _thury_sizes() -> tuple[Size, ...]:
    """Pitch 0.9^n and diameter 6 p^1.2, each to three significant figures from the exact rule."""
    first, last = _THURY_NUMBERS
    return tuple(
        Size(
            str(n),
            exact(f"{6 * 0.9 ** (1.2 * n):.3g}"),
            exact(f"{0.9**n:.3g}"),
            aliases=(f"{n} Thury", f"{n} filiere suisse"),
        )
        for n in range(first, last + 1)
    )


def _thury(size: Size) -> str:
    return f"Thury {size.name}"


_NO_CLASS: Mapping[Side, str] = MappingProxyType({"external": "", "internal": ""})

SYSTEMS = (
    System(
        symbol="LOEW",
        title="Loewenherz",
        unit="mm",
        form=LOEWENHERZ_FORM,
        seeds=_loewenherz_sizes,
        source=Source(
            "Machinery's Handbook 31st ed. p. 2119; Kress, Gewindetoleranzen",
            "the official range was 1 to 10 mm; sizes above stand in the handbook only; no published "
            "tolerances found",
        ),
        used=(
            "Germany, Austria and Switzerland: instruments, optics, telegraphs, proposed 1888-89, in use "
            "1890 to the 1920s. To 6 mm diameter and pitch are those of the later metric threads, but 53 "
            "deg and deeper."
        ),
        periods=(
            Period("DE AT CH", 1890, 1925, "usual"),
            Period("DE AT CH", 1888, 1945, "rare"),
        ),
        designation=_loewenherz,
        rules=_rules,
        default_classes=_NO_CLASS,
        spellings=("Loewenherz", "Lowenherz", "L\u00f6wenherz"),
    ),
    System(
        symbol="THURY",
        title="Thury, Swiss screw plate",
        unit="mm",
        form=THURY_FORM,
        seeds=_thury_sizes,
        source=Source(
            "encyclopaedia article on Thury threads: pitch 0.9^n, diameter 6 p^1.2, 47 1/2 deg",
            "depth and radii from memory and over-determined: the root radius was let go; no tolerances",
        ),
        used=(
            "Switzerland: instruments and horology, begun 1876, form set 1878; rare. Diameter and pitch are "
            "those of BA before rounding, the crest is sharper."
        ),
        periods=(Period("CH", 1878, 1920, "met"),),
        designation=_thury,
        rules=_rules,
        default_classes=_NO_CLASS,
        basis="from memory",
    ),
)
