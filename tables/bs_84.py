"""Basic sizes and tolerances of BS 84 for inch sizes of any series.

The effective and minor diameters are each rounded once to 0.0001 in, from the depth at full length.
The tolerances all hang on one length, T, see :func:`tolerance_unit`; each is rounded once to 0.0001 in
and then taken from the rounded limit, as a table with columns "max., tolerance, min." has it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.columns import (
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Side,
    rounded_basic,
)
from threadwright.tables.form import Form
from threadwright.tables.numbers import round_all, round_columns

__all__ = ["allowance", "inch_basic", "limits_from_tolerance_unit", "tolerance_unit"]

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
    make: Callable[[], dict[str, Array]],
    basis: Basis,
    basis_of: Mapping[str, Basis],
) -> LimitColumns:
    """Limits that are worked out, and rounded, when they are asked for."""
    return LimitColumns(
        side=side,
        tolerance_class=name,
        columns=DeferredColumns(lambda: round_all(make(), _PLACES)),
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
    gap = allowance(nominal, pitch, quarter_inch_pitch=quarter_inch_pitch)
    bolts = [_bolt(name, basic, unit, np.sqrt(pitch), gap, basis, basis_of_basic) for name in _BOLT_CLASSES]
    known: dict[str, Basis] = {f"{part}_min": basis_of_basic for part in Basic._fields}
    nuts = [
        _columns("internal", name, partial(_nut_limits, basic, pitch, share * unit), basis, known)
        for name, share in _NUT_CLASSES.items()
    ]
    return (*bolts, *nuts)


def _bolt(
    name: str, basic: Basic, unit: Array, root: Array, gap: Array, basis: Basis, basis_of_basic: Basis
) -> LimitColumns:
    """Limits of one class of bolts; ``root`` is the square root of the pitch. [in]"""
    share, on_minor, allowed = _BOLT_CLASSES[name]
    known: dict[str, Basis] = {} if allowed else {f"{part}_max": basis_of_basic for part in Basic._fields}
    make = partial(_bolt_limits, basic, share * unit, root, gap if allowed else 0.0, on_minor)
    return _columns("external", name, make, basis, known)


def _bolt_limits(
    basic: Basic, width: Array, root: Array, gap: Array | float, on_minor: float
) -> dict[str, Array]:
    tolerances = round_columns(np.array([width + 0.01 * root, width, width + on_minor * root]), _PLACES)
    largest = np.array(basic) - gap
    limits: dict[str, Array] = {}
    for part, most, tolerance in zip(Basic._fields, largest, tolerances, strict=True):
        limits |= {f"{part}_max": most, f"{part}_min": most - tolerance}
    return limits


def _nut_limits(basic: Basic, pitch: Array, width: Array) -> dict[str, Array]:
    return {
        "major_min": basic.major,
        "pitch_diameter_max": basic.pitch_diameter + round_columns(width, _PLACES),
        "pitch_diameter_min": basic.pitch_diameter,
        "minor_max": basic.minor + round_columns(_nut_minor_tolerance(pitch), _PLACES),
        "minor_min": basic.minor,
    }


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
    >>> from threadwright.tables.whitworth import WHITWORTH_FORM
    >>> inch_basic(WHITWORTH_FORM, np.array([0.25]), np.array([0.05])).minor
    array([0.186])
    """
    depth = form.depth_over_pitch * pitch
    return rounded_basic(nominal, nominal - depth, nominal - 2 * depth, _PLACES)
