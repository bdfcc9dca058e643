"""Conform or not, with the doubt of the measurement: the decision rule and the probability of conformity."""

from __future__ import annotations

import math
from typing import Final, Literal

from threadwright.tables.errors import ReadingError

__all__ = ["GUARD_FACTOR", "Decision", "conformance_probability", "decide"]

Decision = Literal["conforms", "does not conform", "cannot tell"]

# One-sided guard band over the standard uncertainty: 95 % conformance probability, the default of ISO
# 14253-1:2017 (from memory).
GUARD_FACTOR: Final = 1.645
_SHARP = 1e-9  # width of an interval over its uncertainty below which it is one value


def decide(
    low: float,
    high: float,
    u: float,
    *,
    least: float | None,
    greatest: float | None,
    guard_factor: float = GUARD_FACTOR,
) -> Decision:
    """Prove conformity, prove non-conformity, or neither.

    Conformity is proven inside the limits drawn in by the guard band, non-conformity outside the limits
    pushed out by it. A reading may be an interval; one end of it may be open (infinite).

    Parameters
    ----------
    low, high : float
        Ends of the reading; equal for a single value.
    u : float
        Standard uncertainty, of each end of an interval.
    least, greatest : float or None
        Limits; None where there is none.
    guard_factor : float
        Guard band over standard uncertainty. [-]

    Returns
    -------
    {"conforms", "does not conform", "cannot tell"}

    Raises
    ------
    ReadingError
        If the ends are out of order, the uncertainty is not above 0, or there is no limit.

    References
    ----------
    ISO 14253-1, decision rules for verifying conformity or nonconformity with specifications.

    Examples
    --------
    >>> decide(4.52, 4.52, 0.01, least=4.513, greatest=4.675)
    'cannot tell'
    """
    _check(low, high, u)
    if least is None and greatest is None:
        raise ReadingError("limits: none is given; give the least size, the greatest or both")
    guard = guard_factor * u
    bottom, top = -math.inf if least is None else least, math.inf if greatest is None else greatest
    if high < bottom - guard or low > top + guard:
        return "does not conform"
    inside_bottom = least is None or low >= bottom + guard
    inside_top = greatest is None or high <= top - guard
    return "conforms" if inside_bottom and inside_top else "cannot tell"


def conformance_probability(
    low: float, high: float, u: float, *, least: float | None, greatest: float | None
) -> float | None:
    r"""Probability that the true size lies inside the limits, from the reading alone.

    .. math:: p_c = \Phi\left(\frac{T_U - y}{u}\right) - \Phi\left(\frac{T_L - y}{u}\right)

    For an interval the true size has even odds over its width, with the same doubt at each end.

    Parameters
    ----------
    low, high : float
        Ends of the reading; equal for a single value.
    u : float
        Standard uncertainty.
    least, greatest : float or None
        Limits, T_L and T_U; None where there is none.

    Returns
    -------
    float or None
        None for an interval with an open end. [-]

    Raises
    ------
    ReadingError
        If the ends are out of order or the uncertainty is not above 0.

    References
    ----------
    JCGM 106:2012, conformance probability with a normal distribution.

    Examples
    --------
    A 2 BA screw whose major diameter reads 4.500 mm:

    >>> round(conformance_probability(4.5, 4.5, 0.015, least=4.513, greatest=4.675), 3)
    0.193
    """
    _check(low, high, u)
    if not (math.isfinite(low) and math.isfinite(high)):
        return None
    middle = (low + high) / 2
    reading = (low, high, u)
    if least is not None and middle < least:  # each tail from its own side, so that small ones stay exact
        beyond = 0.0 if greatest is None else _share_above(greatest, *reading)
        return max(0.0, _share_above(least, *reading) - beyond)
    if greatest is not None and middle > greatest:
        beyond = 0.0 if least is None else _share_below(least, *reading)
        return max(0.0, _share_below(greatest, *reading) - beyond)
    below = 0.0 if least is None else _share_below(least, *reading)
    above = 0.0 if greatest is None else _share_above(greatest, *reading)
    return max(0.0, 1.0 - below - above)


def _share_below(limit: float, low: float, high: float, u: float) -> float:
    """Probability that the true size is below a limit."""
    width = (high - low) / u
    if width < _SHARP:
        return _cdf((limit - (low + high) / 2) / u)
    return (_ramp((limit - low) / u) - _ramp((limit - high) / u)) / width


def _share_above(limit: float, low: float, high: float, u: float) -> float:
    return _share_below(-limit, -high, -low, u)


def _cdf(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def _ramp(x: float) -> float:
    """Integral of the normal distribution function."""
    return x * _cdf(x) + math.exp(-0.5 * x * x) / math.sqrt(2 * math.pi)


def _check(low: float, high: float, u: float) -> None:
    if not low <= high:
        raise ReadingError(f"interval {low:g}..{high:g} is not in order; write the smaller end first")
    if not 0 < u < math.inf:
        raise ReadingError(f"uncertainty {u!r} is impossible; give a finite number above zero")
