"""Whitworth threads of BS 84: coarse (BSW), fine (BSF), and the 26 tpi brass thread of the trade (BSB).

The effective and minor diameters are each rounded once to 0.0001 in, from the depth at full length.
The tolerances all hang on one length, T, see :func:`tolerance_unit`; each is rounded once to 0.0001 in
and then taken from the rounded limit, as a table with columns "max., tolerance, min." has it.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, format_mixed, per_inch, round_all, round_columns, tpi_text
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Array,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)

__all__ = [
    "SYSTEMS",
    "WHITWORTH_FORM",
    "allowance",
    "inch_basic",
    "inch_designation",
    "limits_from_tolerance_unit",
    "tolerance_unit",
]

WHITWORTH_FORM = Form(
    name="Whitworth 55 deg",
    flank_angle=27.5,
    crest=Truncation(Fraction(1, 6)),
    root=Truncation(Fraction(1, 6)),
    crest_end="rounded",
    root_end="rounded",
)

# size-tpi, by choice. BS 84 marks the second row "to be dispensed with where possible"; the third is of the
# list of 1841 or of older tables; the fourth, met on old work, is from memory.
_BSW = """
1/8-40 3/16-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 5/8-11 3/4-10 7/8-9 1-8 1+1/8-7 1+1/4-7 1+1/2-6 1+3/4-5
2-4.5 2+1/4-4 2+1/2-4 2+3/4-3.5 3-3.5 3+1/2-3.25 4-3 4+1/2-2.875 5-2.75 5+1/2-2.625 6-2.5
| 9/16-12 11/16-11 3+1/4-3.25 3+3/4-3
| 1/16-60 3/32-48 5/32-32 7/32-24 1+3/8-6 1+5/8-5 1+7/8-4.5 4+1/4-2.875 4+3/4-2.75 5+1/4-2.625 5+3/4-2.5
| 13/16-10 15/16-9 2+1/8-4.5 2+3/8-4 2+5/8-4 2+7/8-3.5
"""
# Whitworth's paper of 1841, in his Miscellaneous Papers; Holtzapffel vol. 2 agrees.
_LIST_OF_1841 = """
1/4 5/16 3/8 7/16 1/2 5/8 3/4 7/8 1 1+1/8 1+1/4 1+3/8 1+1/2 1+5/8 1+3/4 1+7/8 2 2+1/4 2+1/2 2+3/4 3 3+1/4
3+1/2 3+3/4 4 4+1/4 4+1/2 4+3/4 5 5+1/4 5+1/2 5+3/4 6
"""
# Not in that list; that they are later than about 1860 is inferred from it.
_LATER_THAN_1841 = "9/16 11/16 13/16 15/16"
_SINCE = {
    **dict.fromkeys(_LIST_OF_1841.split(), 1841),
    **dict.fromkeys(_LATER_THAN_1841.split(), 1860),
}
# The second choice of the fine series is from memory. Lists disagree on its largest size, 4 1/4 or 4 1/2 in.
_BSF = """
3/16-32 7/32-28 1/4-26 5/16-22 3/8-20 7/16-18 1/2-16 9/16-16 5/8-14 3/4-12 7/8-11 1-10 1+1/8-9 1+1/4-9 1+3/8-8
1+1/2-8 1+3/4-7 2-7 2+1/4-6 2+1/2-6 2+3/4-6 3-5 3+1/4-5 3+1/2-4.5 3+3/4-4.5 4-4.5 4+1/4-4
| 9/32-26 11/16-14 1+5/8-8
| 4+1/2-4
| 13/16-12
"""
# No standard; gauges were listed from 1/8 to 2 in without 7/32 and 11/16. The steps are from memory.
_BSB = """
1/8-26 3/16-26 1/4-26 5/16-26 3/8-26 7/16-26 1/2-26 9/16-26 5/8-26 3/4-26 7/8-26 1-26
1+1/8-26 1+1/4-26 1+3/8-26 1+1/2-26 1+5/8-26 1+3/4-26 1+7/8-26 2-26
| 13/16-26 15/16-26
"""

_ALLOWANCE_UP_TO = 0.75  # in
_SMALLEST_OWN_ALLOWANCE = 0.25  # in; below, the allowance of this size holds
_BOLT_CLASSES = {  # share of T; then the share of sqrt(p) added on the minor diameter; allowance or none
    "close": (2 / 3, 0.013, False),
    "medium": (1.0, 0.02, True),
    "free": (1.5, 0.02, True),
}
_NUT_CLASSES = {"medium": 1.0, "normal": 1.5}
_PLACES = 4


def tolerance_unit(diameter: Array, pitch: Array, *, length: Array | None = None) -> Array:
    r"""Effective diameter tolerance of the medium class, T.

    .. math:: T = 0.002 \sqrt[3]{D} + 0.003 \sqrt{L} + 0.005 \sqrt{p}

    Parameters
    ----------
    diameter, pitch : array (n,)
        Nominal major diameter, D, and pitch, p. [in]
    length : array (n,), optional
        Length of engagement, L; the diameter if left out, as for the tabulated limits. [in]

    Returns
    -------
    array (n,)
        T, not rounded. [in]

    References
    ----------
    BS 84:1956, the same as BS 84:2007 Annex B; read in quotation only. L = D is from memory.

    Examples
    --------
    >>> tolerance_unit(np.array([0.25, 1.0]), np.array([0.05, 0.125])).round(5)
    array([0.00388, 0.00677])
    """
    engaged = diameter if length is None else length
    return np.asarray(0.002 * np.cbrt(diameter) + 0.003 * np.sqrt(engaged) + 0.005 * np.sqrt(pitch))


def allowance(diameter: Array, pitch: Array, *, quarter_inch_pitch: Array | float) -> Array:
    """Allowance of medium and free bolts, 0.3 T up to 3/4 in, nil above, rounded to 0.0001 in.

    Parameters
    ----------
    diameter, pitch : array (n,)
        Nominal major diameter and pitch. [in]
    quarter_inch_pitch : float or array (n,)
        Pitch of the 1/4 in size of the series: smaller sizes take the allowance of that one. [in]

    Returns
    -------
    array (n,)
        What is taken off all three diameters of the bolt. [in]

    References
    ----------
    BS 84:1956; that medium and free bolts have an allowance up to 3/4 in was read in gauge makers' notes,
    the factor 0.3 and the rule below 1/4 in are from memory.

    Examples
    --------
    >>> allowance(np.array([0.125, 0.25, 1.0]), np.array([0.025, 0.05, 0.125]), quarter_inch_pitch=0.05)
    array([0.0012, 0.0012, 0.    ])
    """
    small = diameter < _SMALLEST_OWN_ALLOWANCE
    unit = tolerance_unit(
        np.where(small, _SMALLEST_OWN_ALLOWANCE, diameter), np.where(small, quarter_inch_pitch, pitch)
    )
    return round_columns(np.where(diameter <= _ALLOWANCE_UP_TO, 0.3 * unit, 0.0), _PLACES)


def _nut_minor_tolerance(pitch: Array) -> Array:
    """0.2 p and 0.004, 0.005 or 0.007 in: 26 tpi and finer, 24 and 22 tpi, 20 tpi and coarser."""
    tpi = 1 / pitch
    return np.asarray(0.2 * pitch + np.where(tpi > 25, 0.004, np.where(tpi > 21, 0.005, 0.007)))


def _columns(
    side: Side,
    name: str,
    limits: Mapping[str, Array],
    basis: Basis,
    basis_of: Mapping[str, Basis],
) -> LimitColumns:
    return LimitColumns(
        side=side,
        tolerance_class=name,
        columns=round_all(limits, _PLACES),
        basis=basis,
        basis_of=MappingProxyType(dict(basis_of)),
    )


def limits_from_tolerance_unit(
    nominal: Array,
    pitch: Array,
    basic: Basic,
    *,
    quarter_inch_pitch: Array | float,
    basis: Basis,
    basis_of_basic: Basis,
) -> tuple[LimitColumns, ...]:
    """Limits of close, medium and free bolts and of medium and normal nuts by the formulas of BS 84.

    Bolt tolerances are kT on the effective diameter, kT + 0.01 sqrt(p) on the major and
    kT + 0.02 sqrt(p) (close 0.013) on the minor, with k = 2/3, 1 and 3/2. Nut tolerances are T and 3T/2
    on the effective diameter and 0.2 p + 0.004, 0.005 or 0.007 in on the minor. The major diameter of a
    nut has no upper limit.

    Parameters
    ----------
    nominal, pitch : array (n,)
        Nominal major diameter and pitch. [in]
    basic : Basic
        Basic sizes, already rounded. [in]
    quarter_inch_pitch : float or array (n,)
        See :func:`allowance`. [in]
    basis : Basis
        Where the limits come from.
    basis_of_basic : Basis
        Where those limits come from that are basic sizes: close bolts at most, nuts at least.

    Returns
    -------
    tuple of LimitColumns
        Three external, two internal classes. [in]

    References
    ----------
    BS 84:1956, the same as BS 84:2007 Annex B, read in quotation only.
    """
    unit = tolerance_unit(nominal, pitch)
    root = np.sqrt(pitch)
    columns: list[LimitColumns] = []
    for name, (share, on_minor, allowed) in _BOLT_CLASSES.items():
        gap = allowance(nominal, pitch, quarter_inch_pitch=quarter_inch_pitch) if allowed else 0.0 * nominal
        tolerances = {
            "major": share * unit + 0.01 * root,
            "pitch_diameter": share * unit,
            "minor": share * unit + on_minor * root,
        }
        limits: dict[str, Array] = {}
        for part, tolerance in tolerances.items():
            limits[f"{part}_max"] = getattr(basic, part) - gap
            limits[f"{part}_min"] = limits[f"{part}_max"] - round_columns(tolerance, _PLACES)
        known: dict[str, Basis] = {} if allowed else {f"{part}_max": basis_of_basic for part in tolerances}
        columns.append(_columns("external", name, limits, basis, known))
    for name, share in _NUT_CLASSES.items():
        limits = {
            "major_min": basic.major,
            "pitch_diameter_max": basic.pitch_diameter + round_columns(share * unit, _PLACES),
            "pitch_diameter_min": basic.pitch_diameter,
            "minor_max": basic.minor + round_columns(_nut_minor_tolerance(pitch), _PLACES),
            "minor_min": basic.minor,
        }
        known = {f"{part}_min": basis_of_basic for part in ("major", "pitch_diameter", "minor")}
        columns.append(_columns("internal", name, limits, basis, known))
    return tuple(columns)


def inch_basic(form: Form, nominal: Array, pitch: Array) -> Basic:
    """Basic diameters D, D - h and D - 2h, each rounded once to 0.0001 in. [in]

    Parameters
    ----------
    form : Form
        Gives the depth, h.
    nominal, pitch : array (n,)
        Nominal major diameter and pitch. [in]

    Returns
    -------
    Basic

    References
    ----------
    BS 84; the rule reproduces every printed row that was read, a depth rounded first does not.

    Examples
    --------
    >>> inch_basic(WHITWORTH_FORM, np.array([0.25]), np.array([0.05])).minor
    array([0.186])
    """
    depth = form.depth_over_pitch * pitch
    return Basic(
        round_columns(nominal, _PLACES),
        round_columns(nominal - depth, _PLACES),
        round_columns(nominal - 2 * depth, _PLACES),
    )


def _rules(system: System, basis: Basis, basis_of_basic: Basis) -> tuple[Basic, tuple[LimitColumns, ...]]:
    nominal, pitch = seed_columns(system)
    basic = inch_basic(system.form, nominal, pitch)
    quarter = next(size.pitch for size in system.sizes if size.major == Fraction(1, 4))
    return basic, limits_from_tolerance_unit(
        nominal,
        pitch,
        basic,
        quarter_inch_pitch=float(quarter),
        basis=basis,
        basis_of_basic=basis_of_basic,
    )


def standard_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of a series of BS 84; limits that are not basic sizes are from memory."""
    return _rules(system, "from memory", "computed")


def trade_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of a series without standard tolerances; its limits estimated by BS 84."""
    return _rules(system, "estimated", "estimated")


def inch_designation(size: Size, symbol: str) -> str:
    """Print an inch size: ``1/4-20 BSW``, ``2-4.5 BSW``.

    Examples
    --------
    >>> inch_designation(Size("2", Fraction(2), Fraction(2, 9)), "BSW")
    '2-4.5 BSW'
    """
    return f"{size.name}-{tpi_text(size.pitch)} {symbol}"


def _bsw(size: Size) -> str:
    return inch_designation(size, "BSW")


def _bsf(size: Size) -> str:
    return inch_designation(size, "BSF")


def _bsb(size: Size) -> str:
    return inch_designation(size, "BSB")


def _sizes(text: str, symbol: str) -> tuple[Size, ...]:
    """Read a list of sizes: groups by choice; a fourth group is of the third choice and from memory."""
    sizes = []
    for choice, group in enumerate(text.split("|"), start=1):
        for entry in group.split():
            size, tpi = entry.split("-")
            diameter = exact(size)
            name = format_mixed(diameter)
            aliases = [f"{name} {symbol}"]
            if "." in tpi:
                aliases.append(f"{name}-{format_mixed(exact(tpi))} {symbol}")
            basis: Basis | None = "from memory" if choice == 4 else None
            since = _SINCE.get(size) if symbol == "BSW" else None
            sizes.append(
                Size(name, diameter, per_inch(tpi), min(choice, 3), tuple(aliases), basis, since=since)
            )
    return in_order(sizes)


_TOLERANCES = "tolerance formulas read in quotation only; engagement L = D and allowance 0.3 T from memory"

SYSTEMS = (
    System(
        symbol="BSW",
        title="British Standard Whitworth",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSW, "BSW"),
        source=Source(
            "BS 84:1956, BS 84:2007; Whitworth's list of 1841; Machinery's Handbook 31st ed. p. 2087",
            f"{_TOLERANCES}; 13/16, 15/16, 2 1/8, 2 3/8, 2 5/8 and 2 7/8 in from memory",
        ),
        used=(
            "Great Britain and the Commonwealth from 1841 (BS 84 from 1918), common to about 1948 and on "
            "machine tools and farm plant into the 1970s; also German, Dutch and Scandinavian machine "
            "tools into the 1950s. The list of 1841 has no 9/16, 11/16, 13/16 or 15/16 in. Black bolts "
            "free, black nuts normal (BS 916)."
        ),
        periods=(
            Period(COMMONWEALTH, 1841, 1960, "usual"),
            Period(COMMONWEALTH, 1961, 1980, "met"),
            Period("DE AT NL SE NO DK BE FI", 1860, 1935, "usual"),
            Period("DE AT NL SE NO DK BE FI", 1936, 1958, "met"),
            Period("FR IT CH", 1860, 1920, "met"),
            Period("JP", 1900, 1968, "met"),
            Period(NORTH_AMERICA, 1841, 1870, "rare"),
            Period("CA", 1871, 1950, "met"),
        ),
        designation=_bsw,
        rules=standard_rules,
        default_classes=MappingProxyType({"external": "free", "internal": "normal"}),
        spellings=("Whitworth", "Whit", "BS Whitworth"),
    ),
    System(
        symbol="BSF",
        title="British Standard Fine",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSF, "BSF"),
        source=Source(
            "BS 84:1956, BS 84:2007; tables of the fine series as reproduced",
            f"{_TOLERANCES}; BS 84:2007 gives limits up to 3 in only; largest size 4 1/4 in one list, "
            "4 1/2 in another; 13/16 in from memory",
        ),
        used=(
            "Great Britain and the Commonwealth from 1908: road vehicles to about 1948-55, machine tools and "
            "plant into the 1970s. The 1/4 in size is said to have had 25 tpi at first (from memory)."
        ),
        periods=(
            Period(COMMONWEALTH, 1908, 1965, "usual"),
            Period(COMMONWEALTH, 1966, 1980, "met"),
            Period("CA", 1908, 1950, "met"),
        ),
        designation=_bsf,
        rules=standard_rules,
        default_classes=MappingProxyType({"external": "medium", "internal": "normal"}),
        spellings=("BS Fine", "Whitworth fine"),
    ),
    System(
        symbol="BSB",
        title="Brass thread, 26 tpi",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, _BSB, "BSB"),
        source=Source(
            "gauge makers' lists; no British Standard of its own",
            "every diameter from 1/8 to 2 in has 26 tpi; which steps were listed is from memory; limits "
            "estimated by the formulas of BS 84 with L = D",
        ),
        used=(
            "Great Britain and the Commonwealth, from the 19th century (from memory) to today: gas, lamp "
            "and optical fittings, brass tube. At 1/4 in it is the same thread as 1/4-26 BSF."
        ),
        periods=(
            Period(COMMONWEALTH, 1860, 2100, "met"),
            Period("CA", 1860, 1950, "rare"),
        ),
        designation=_bsb,
        rules=trade_rules,
        default_classes=MappingProxyType({"external": "medium", "internal": "normal"}),
        spellings=("brass", "BS brass"),
    ),
)
