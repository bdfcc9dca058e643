"""Parallel pipe threads of ISO 228-1 (G), the British Standard Pipe thread, joints not made on the thread.

The pitch is 25.4 mm over the threads per inch, rounded to 0.001 mm before anything else; the depth is rounded
to 0.001 mm and then doubled. The size names a bore, not a diameter of the thread.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from types import MappingProxyType

import numpy as np

from threadwright.tables.numbers import exact, format_mixed, per_inch, round_all, round_columns
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)
from threadwright.tables.whitworth import WHITWORTH_FORM

__all__ = ["SYSTEMS", "basic_sizes", "pipe_sizes", "rounded_depth"]

# tpi: size, major diameter in mm
_ISO_228 = {
    28: "1/16:7.723 1/8:9.728",
    19: "1/4:13.157 3/8:16.662",
    14: "1/2:20.955 5/8:22.911 3/4:26.441 7/8:30.201",
    11: """1:33.249 1+1/8:37.897 1+1/4:41.910 1+1/2:47.803 1+3/4:53.746 2:59.614 2+1/4:65.710 2+1/2:75.184
    2+3/4:81.534 3:87.884 3+1/2:100.330 4:113.030 4+1/2:125.730 5:138.430 5+1/2:151.130 6:163.830""",
}
# tpi: TD1 (internal minor); TD2 = Td2 of class A; Td2 of class B = Td (external major). [mm]
_TOLERANCES = {
    28: (0.282, 0.107, 0.214),
    19: (0.445, 0.125, 0.250),
    14: (0.541, 0.142, 0.284),
    11: (0.640, 0.180, 0.360),
}
_ABOVE_G2 = (0.217, 0.434)
_LAST_SMALL = 2
_MM_PER_INCH = Fraction("25.4")
_PLACES = 3


def rounded_depth(pitch: Array) -> Array:
    """Depth of thread, 0.640327 P to 0.001 mm.

    Parameters
    ----------
    pitch : array (n,)
        Pitch rounded to 0.001 mm, P. [mm]

    Returns
    -------
    array (n,)
        Depth, h. [mm]

    References
    ----------
    ISO 228-1:2000 Table 1.

    Examples
    --------
    >>> rounded_depth(np.array([0.907, 1.337, 1.814, 2.309]))
    array([0.581, 0.856, 1.162, 1.479])
    """
    return round_columns(WHITWORTH_FORM.depth_over_pitch * pitch, _PLACES)


def _tolerance_columns(system: System) -> tuple[Array, Array, Array]:
    """TD1, TD2 (and Td2 of class A), Td (and Td2 of class B) of every size. [mm]"""
    rows = []
    for size in system.sizes:
        minor, fine, coarse = _TOLERANCES[size.pitch.denominator]
        if exact(size.name) > _LAST_SMALL:
            fine, coarse = _ABOVE_G2
        rows.append((minor, fine, coarse))
    minor_column, fine_column, coarse_column = np.array(rows).T
    return minor_column, fine_column, coarse_column


def _external(name: str, basic: Basic, on_major: Array, on_pitch_diameter: Array) -> LimitColumns:
    columns = {
        "major_max": basic.major,
        "major_min": basic.major - on_major,
        "pitch_diameter_max": basic.pitch_diameter,
        "pitch_diameter_min": basic.pitch_diameter - on_pitch_diameter,
        "minor_max": basic.minor,
    }
    return LimitColumns(
        side="external",
        tolerance_class=name,
        columns=round_all(columns, _PLACES),
        basis="table",
        basis_of=MappingProxyType(
            {"major_max": "computed", "pitch_diameter_max": "computed", "minor_max": "computed"}
        ),
    )


def _internal(basic: Basic, on_pitch_diameter: Array, on_minor: Array) -> LimitColumns:
    columns = {
        "major_min": basic.major,
        "pitch_diameter_max": basic.pitch_diameter + on_pitch_diameter,
        "pitch_diameter_min": basic.pitch_diameter,
        "minor_max": basic.minor + on_minor,
        "minor_min": basic.minor,
    }
    return LimitColumns(
        side="internal",
        tolerance_class="",
        columns=round_all(columns, _PLACES),
        basis="table",
        basis_of=MappingProxyType(
            {"major_min": "computed", "pitch_diameter_min": "computed", "minor_min": "computed"}
        ),
    )


def basic_sizes(system: System) -> Basic:
    """Basic sizes of ISO 228-1, which are those of ISO 7-1 at the gauge plane too. [mm]"""
    major, pitch = seed_columns(system)
    depth = rounded_depth(pitch)
    return Basic(major, round_columns(major - depth, _PLACES), round_columns(major - 2 * depth, _PLACES))


def pipe_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of ISO 228-1: external A and B, one internal class without a name. [mm]"""
    basic = basic_sizes(system)
    on_minor, fine, coarse = _tolerance_columns(system)
    return basic, (
        _external("A", basic, coarse, fine),
        _external("B", basic, coarse, coarse),
        _internal(basic, fine, on_minor),
    )


def _designation(size: Size) -> str:
    return f"G {size.name}"


def _aliases(name: str, tpi: int) -> tuple[str, ...]:
    return (
        *(f"{name} {symbol}" for symbol in ("BSP", "BSPP", "G")),
        *(f"{symbol} {name}" for symbol in ("BSP", "BSPP", "PF")),
        *(f"{name}-{tpi} {symbol}" for symbol in ("BSP", "BSPP", "G")),
    )


@cache
def _listed() -> tuple[tuple[str, int, Fraction, Fraction, Fraction], ...]:
    """Name, threads per inch, major diameter, pitch and nominal size of every size. [-, 1/in, mm, in, mm]"""
    rows = []
    for tpi, group in _ISO_228.items():
        for entry in group.split():
            text, major = entry.split(":")
            inches = exact(text)
            rows.append((format_mixed(inches), tpi, exact(major), per_inch(str(tpi)), inches * _MM_PER_INCH))
    return tuple(rows)


def pipe_sizes(aliases: Callable[[str, int], tuple[str, ...]] | None = None) -> tuple[Size, ...]:
    """The sizes of ISO 228-1 with the other spellings that ``aliases(name, tpi)`` gives them."""
    return tuple(
        Size(name, major, pitch, aliases=() if aliases is None else aliases(name, tpi), nominal=nominal)
        for name, tpi, major, pitch, nominal in _listed()
    )


def _sizes() -> tuple[Size, ...]:
    return pipe_sizes(_aliases)


SYSTEMS = (
    System(
        symbol="G",
        title="Pipe thread, parallel",
        unit="mm",
        form=WHITWORTH_FORM,
        seeds=_sizes,
        source=Source(
            "ISO 228-1 Table 1, as reproduced; formerly BS 2779",
            "an external minor and an internal major diameter are limited on the side of most metal only",
        ),
        used=(
            "World-wide except North America, from 1905 (BS 21, then BS 2779 of 1956, withdrawn 2003 for "
            "ISO 228); in Japan as PF."
        ),
        periods=(
            Period(f"{COMMONWEALTH} JP {CONTINENT}", 1905, 2100, "usual"),
            Period(NORTH_AMERICA, 1905, 2100, "rare"),
        ),
        designation=_designation,
        rules=pipe_rules,
        default_classes=MappingProxyType({"external": "A", "internal": ""}),
        tpi_pitch=True,
        pitch_places=3,
    ),
)
