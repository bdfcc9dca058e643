"""Acme threads of ASME B1.5, general purpose, and stub Acme threads of ASME B1.8: 29 deg, flat.

Basic sizes, allowances and tolerances are each rounded to 0.0001 in, ties to even, before they are added, as
the printed limits are. Stub Acme has basic sizes only: two accounts of its tolerances differ and neither is
verified.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import exact, format_mixed, per_inch
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = ["ACME_FORM", "STUB_FORM", "SYSTEMS", "crest_clearance", "pitch_allowance", "pitch_tolerance"]

ACME_FORM = Form(name="Acme 29 deg", flank_angle=14.5, depth=Fraction(1, 2), root_end="flat")
STUB_FORM = Form(name="Stub Acme 29 deg", flank_angle=14.5, depth=Fraction(3, 10), root_end="flat")

# diameter-tpi; ASME B1.5 Table 3 was read to 1 1/8, the same pairs in ASME B1.8 to 4
_PAIRS = """
1/4-16 5/16-14 3/8-12 7/16-12 1/2-10 5/8-8 3/4-6 7/8-6 1-5 1+1/8-5 1+1/4-5 1+3/8-4 1+1/2-4 1+3/4-4 2-4
2+1/4-3 2+1/2-3 2+3/4-3 3-2 3+1/2-2 4-2 4+1/2-2 5-2
"""
_LAST_READ = {"ACME": Fraction(9, 8), "STUB ACME": Fraction(4)}
# ASME B1.5 Table 10: upper ends of the ranges of nominal diameter, in sixteenths of an inch
_RANGE_TOPS = (
    np.array([0, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 30, 34, 38, 42, 46, 52, 60, 68, 76, 88]) / 16
)
_ALLOWANCE = {"2G": 0.008, "3G": 0.006, "4G": 0.004}
_TOLERANCE = {"2G": (0.030, 0.006), "3G": (0.014, 0.0028), "4G": (0.010, 0.002)}
_LEAST_CREST = 0.005  # in
_PLACES = 4


def _rounded(values: Array) -> Array:
    """Round to 0.0001 in, ties to even: 0.21875 prints as 0.2188 and 0.23125 as 0.2312."""
    return np.asarray(np.rint(np.round(values * 10**_PLACES, 5)) / 10**_PLACES)


def pitch_allowance(tolerance_class: str, diameter: Array) -> Array:
    r"""Allowance on the pitch diameter of the screw.

    .. math:: a = k \sqrt{D_m}

    with k = 0.008, 0.006, 0.004 for 2G, 3G, 4G and D_m the middle of the range of nominal diameters.

    Parameters
    ----------
    tolerance_class : {"2G", "3G", "4G"}
    diameter : array (n,)
        Nominal diameter, up to 5 1/2. [in]

    Returns
    -------
    array (n,)
        Allowance, to 0.0001 in. [in]

    References
    ----------
    ASME B1.5-1988 Table 10 (Machinery's Handbook 27th ed.); some bounds of the ranges from memory.

    Examples
    --------
    >>> pitch_allowance("2G", np.array([0.5, 1.75]))
    array([0.0057, 0.0105])
    """
    above = np.clip(np.searchsorted(_RANGE_TOPS, diameter), 1, len(_RANGE_TOPS) - 1)
    middle = (_RANGE_TOPS[above] + _RANGE_TOPS[above - 1]) / 2
    return _rounded(_ALLOWANCE[tolerance_class] * np.sqrt(middle))


def pitch_tolerance(tolerance_class: str, *, diameter: Array, pitch: Array) -> Array:
    r"""Tolerance on the pitch diameter of screw and nut, before rounding.

    .. math:: T = k_1 \sqrt{P} + k_2 \sqrt{D}

    Parameters
    ----------
    tolerance_class : {"2G", "3G", "4G"}
    diameter, pitch : array (n,)
        Nominal diameter D and pitch P. [in]

    Returns
    -------
    array (n,)
        Tolerance, T. [in]

    References
    ----------
    ASME B1.5; 2G reproduces printed limits, 3G and 4G are seen in transcriptions only.

    Examples
    --------
    >>> pitch_tolerance("2G", diameter=np.array([0.5]), pitch=np.array([0.1])).round(4)
    array([0.0137])
    """
    of_pitch, of_diameter = _TOLERANCE[tolerance_class]
    return np.asarray(of_pitch * np.sqrt(pitch) + of_diameter * np.sqrt(diameter))


def crest_clearance(pitch: Array) -> Array:
    """Clearance at crest and root, on the diameter: 0.020 in up to 10 tpi, 0.010 in for finer pitches.

    Parameters
    ----------
    pitch : array (n,)
        Pitch, P. [in]

    Returns
    -------
    array (n,)
        The clearance. [in]

    References
    ----------
    ASME B1.5-1988 (Machinery's Handbook 27th ed. Table 8a).

    Examples
    --------
    >>> crest_clearance(np.array([0.1, 1 / 12]))
    array([0.02, 0.01])
    """
    return np.where(pitch > 1 / 11, 0.020, 0.010)


def _basic(system: System) -> Basic:
    major, pitch = seed_columns(system)
    depth = system.form.depth_over_pitch
    return Basic(*_rounded(np.array([major, major - depth * pitch, major - 2 * depth * pitch])))


def _screw(system: System, basic: Basic, name: str) -> dict[str, Array]:
    major, pitch = seed_columns(system)
    tolerance = pitch_tolerance(name, diameter=major, pitch=pitch)
    pitch_max = basic.pitch_diameter - pitch_allowance(name, major)
    root = basic.minor - crest_clearance(pitch)
    return _all_rounded(
        major_max=major,
        major_min=major - np.maximum(0.05 * pitch, _LEAST_CREST),
        pitch_diameter_max=pitch_max,
        pitch_diameter_min=pitch_max - _rounded(tolerance),
        minor_max=root,
        minor_min=root - _rounded(1.5 * tolerance),
    )


def _nut(system: System, basic: Basic, name: str) -> dict[str, Array]:
    major, pitch = seed_columns(system)
    clearance = crest_clearance(pitch)
    return _all_rounded(
        major_max=major + 2 * clearance,
        major_min=major + clearance,
        pitch_diameter_max=basic.pitch_diameter
        + _rounded(pitch_tolerance(name, diameter=major, pitch=pitch)),
        pitch_diameter_min=basic.pitch_diameter,
        minor_max=basic.minor + np.maximum(0.05 * pitch, _LEAST_CREST),
        minor_min=basic.minor,
    )


def _all_rounded(**columns: Array) -> dict[str, Array]:
    return dict(zip(columns, _rounded(np.array(list(columns.values()))), strict=True))


def acme_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of general purpose Acme threads, classes 2G, 3G and 4G. [in]"""
    basic = _basic(system)
    sides: tuple[tuple[Side, Callable[..., dict[str, Array]]], ...] = (
        ("external", _screw),
        ("internal", _nut),
    )
    return basic, tuple(
        LimitColumns(
            side=side, tolerance_class=name, columns=DeferredColumns(partial(make, system, basic, name))
        )
        for side, make in sides
        for name in _TOLERANCE
    )


def stub_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of stub Acme threads; their tolerances are not verified. [in]"""
    return _basic(system), ()


def _sizes(word: str) -> tuple[Size, ...]:
    sizes = []
    for entry in _PAIRS.split():
        text, tpi = entry.split("-")
        major = exact(text)
        name = format_mixed(major)
        sizes.append(
            Size(
                name=name,
                major=major,
                pitch=per_inch(tpi),
                aliases=(f"{name}-{tpi} STUB-ACME",) if word == "STUB ACME" else (),
                basis=None if major <= _LAST_READ[word] else "from memory",
            )
        )
    return tuple(sizes)


SYSTEMS = (
    System(
        symbol="ACME",
        title="Acme, general purpose",
        unit="in",
        form=ACME_FORM,
        seeds=lambda: _sizes("ACME"),
        source=Source(
            "ASME B1.5-1988, Machinery's Handbook 27th ed. Tables 3, 8a and 10; printed 2G limits",
            "sizes above 1 1/8 in from memory; the tolerances of 3G and 4G are from a transcription, no "
            "printed limits of theirs were seen; the centralizing classes are left out",
        ),
        used=(
            "North America and Britain from the 1890s, standard from 1895 and 1918 (from memory): lathes, "
            "vices, valves. Shop Acme of 1895 to the 1920s is P/2 + 0.010 in deep at every pitch (from "
            "memory). The worm thread of 29 deg is 0.6866 P deep and is not Acme."
        ),
        periods=(
            Period(NORTH_AMERICA, 1895, 2100, "usual"),
            Period(COMMONWEALTH, 1895, 2100, "met"),
        ),
        designation=lambda size: f"{size.name}-{1 / size.pitch} ACME",
        rules=acme_rules,
        default_classes=MappingProxyType({"external": "2G", "internal": "2G"}),
    ),
    System(
        symbol="STUB-ACME",
        title="Stub Acme",
        unit="in",
        form=STUB_FORM,
        seeds=lambda: _sizes("STUB ACME"),
        source=Source(
            "ASME B1.8-1988, Machinery's Handbook 27th ed. Table 13",
            "basic sizes only: the tolerances are not verified; 4 1/2 and 5 in from memory; the modified "
            "forms of 0.375 P and 0.25 P depth are left out",
        ),
        used=(
            "North America, from the 1940s (from memory): where a coarse pitch needs a shallow thread, on "
            "thin tubes and short nuts. It looks like a worn Acme."
        ),
        periods=(Period(NORTH_AMERICA, 1940, 2100, "rare"),),
        designation=lambda size: f"{size.name}-{1 / size.pitch} STUB ACME",
        rules=stub_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
    ),
)
