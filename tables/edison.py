"""Edison threads of lamp caps, fuses and their holders (E): two equal arcs that touch at the mean diameter.

There is no straight flank and no pitch diameter in the usual sense. Held as the pitch diameter is the mean of
major and minor diameter, where the arcs touch; held as the flank is the steepest place of the profile, which
lies there: 27 to 32 deg from the normal (16 deg for E21, whose printed radius does not fit its diameters).
Both are equivalents for identification, not sizes of a standard.
"""

from __future__ import annotations

import math
from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import exact, round_columns
from threadwright.tables.system import (
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

__all__ = ["EDISON_FORM", "SYSTEMS", "arc_radius", "gauge_offset", "mean_flank_angle"]

# Flanks of 30 deg rounded until hardly anything straight is left: at a depth of P / (2 sqrt 3) = 0.2887 P
# nothing would be, and the radius would equal the depth. Real depths are 0.28 to 0.31 P, 0.375 P of E21.
EDISON_FORM = Form(
    name="Edison, two arcs (equivalent flank)",
    flank_angle=30.0,
    depth=Fraction("0.29"),
    crest_end="rounded",
    root_end="rounded",
)

# size: GO plug gauge major/minor in mm; pitch as threads per inch (t) or mm
_GAUGES = """
E5:5.41/4.85:1.000 E10:9.63/8.61:14t E14:13.99/12.39:9t E16:16.05/14.55:2.500 E18:18.62/16.92:3.000
E21:21.07/19.57:2.000 E27:26.57/24.38:7t E33:33.18/30.58:6t E40:39.63/36.03:4t
"""
_READ = "E5"  # whose nut limits were read; the others follow from the gauge
_LAST_SMALL = 27
_PLACES = 4
_QUANTITIES = ("major_max", "major_min", "minor_max", "minor_min")
_SCREW_READ = {"E5": (5.33, 5.23, 4.77, 4.67), "E10": (9.53, 9.36, 8.51, 8.34)}
_SCREW_RECALLED = {"E14": (13.89, 13.70, 12.29, 12.10), "E27": (26.45, 26.05, 24.26, 23.96)}
_NUT_READ = {"E5": (5.49, 5.39, 4.93, 4.83)}


def gauge_offset(name: str) -> Fraction:
    """How much larger the GO plug gauge is than the smallest nut, 0.02 mm to E27 and 0.03 mm above.

    Parameters
    ----------
    name : str
        ``"E27"``.

    Returns
    -------
    Fraction
        [mm]

    References
    ----------
    GOST 25578-83 against GOST 6042-83: confirmed for E5 only; the step to 0.03 mm is inferred.

    Examples
    --------
    >>> gauge_offset("E40")
    Fraction(3, 100)
    """
    return Fraction("0.02") if int(name.removeprefix("E")) <= _LAST_SMALL else Fraction("0.03")


def arc_radius(pitch: Array, depth: Array) -> Array:
    r"""Radius of the two arcs that make the profile.

    .. math:: r = P^2 / (16 h) + h / 4

    Parameters
    ----------
    pitch, depth : array (n,)
        Pitch, P, and depth, h, half the difference of the diameters. [mm]

    Returns
    -------
    array (n,)
        [mm]

    References
    ----------
    By geometry; the radii of GOST 25578-83 agree except E18 (by one in the last place) and E21.

    Examples
    --------
    >>> arc_radius(np.array([6.35]), np.array([1.8])).round(3)
    array([1.85])
    """
    return np.asarray(pitch**2 / (16 * depth) + depth / 4)


def mean_flank_angle(pitch: Array, depth: Array) -> Array:
    """Flank angle at the mean diameter, where the profile is steepest.

    Parameters
    ----------
    pitch, depth : array (n,)
        [mm]

    Returns
    -------
    array (n,)
        From the normal to the axis. [deg]

    Examples
    --------
    >>> mean_flank_angle(np.array([25.4 / 7]), np.array([1.095])).round(1)
    array([27.8])
    """
    return np.asarray(90 - np.degrees(np.arcsin(pitch / 4 / arc_radius(pitch, depth))))


def _entries() -> list[tuple[str, Fraction, Fraction, Fraction, Fraction | None]]:
    """Name, smallest nut major and minor, pitch, threads per inch if the pitch is an inch one. [mm]"""
    rows = []
    for entry in _GAUGES.split():
        name, diameters, pitch = entry.split(":")
        major, minor = (exact(text) - gauge_offset(name) for text in diameters.split("/"))
        tpi = exact(pitch.removesuffix("t")) if pitch.endswith("t") else None
        rows.append((name, major, minor, exact(pitch) if tpi is None else Fraction("25.4") / tpi, tpi))
    return rows


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for name, major, _, pitch, tpi in _entries():
        basis: Basis | None = None if name == _READ else "estimated"
        aliases = (f"{name} Edison", f"Edison {name}")
        sizes.append(Size(name, major, pitch, aliases=aliases, basis=basis, tpi=tpi))
    return tuple(sizes)


def _table(system: System, rows: dict[str, tuple[float, float, float, float]]) -> dict[str, Array]:
    blank = (math.nan,) * len(_QUANTITIES)
    values = np.array([rows.get(size.name, blank) for size in system.sizes])
    columns = dict(zip(_QUANTITIES, values.T, strict=True))
    for end in ("max", "min"):
        mean = (columns[f"major_{end}"] + columns[f"minor_{end}"]) / 2
        columns[f"pitch_diameter_{end}"] = round_columns(mean, _PLACES)
    return columns


def edison_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Smallest nut as the basic size, the mean diameter as its pitch diameter, and the limits known. [mm]

    Limits of the mean diameter are those that follow from the other two. Screw limits are read for E5 and
    E10, from memory for E14 and E27, and carry the weaker basis; nut limits are read for E5.
    """
    major, _ = seed_columns(system)
    minor = np.array([float(row[2]) for row in _entries()])
    basic = Basic(major, round_columns((major + minor) / 2, _PLACES), minor)
    screw = LimitColumns(
        side="external",
        tolerance_class="",
        columns=_table(system, _SCREW_READ | _SCREW_RECALLED),
        basis="from memory",
    )
    nut = screw.but(side="internal", columns=_table(system, _NUT_READ), basis="table")
    return basic, (screw, nut)


def _designation(size: Size) -> str:
    return size.name


SYSTEMS = (
    System(
        symbol="E",
        title="Edison, lamp caps and fuses",
        unit="mm",
        form=EDISON_FORM,
        seeds=_sizes,
        source=Source(
            "GOST 25578-83 Table 1, GOST 6042-83 Table 1, GOST 28108-89",
            "basic is the smallest nut: read for E5, otherwise the GO gauge less 0.02 mm (0.03 above E27); "
            "the pitch diameter is the mean of major and minor, the flank that of the profile there; screw "
            "limits read for E5 and E10, from memory for E14 and E27 (minimum 26.05 or 26.15), nut limits E5",
        ),
        used=(
            "World-wide: lamp caps and holders from 1881, DIN 40400, IEC 60061; fuses D01 E14, D02 E18, DI "
            "E16, DII E27, DIII E33 (from memory). The American E26, 1 in by 7 tpi, nearly interchanges with "
            "E27. Screws are of sheet metal."
        ),
        periods=(Period("", 1881, 2100, "met"),),
        designation=_designation,
        rules=edison_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        basis="table",
    ),
)
