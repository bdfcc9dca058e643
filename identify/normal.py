"""The normal distribution in logarithms, exact far into the tails.

For a few thousand numbers ``math.erfc`` is used, so that one identification needs no scipy; above
that, or where scipy is loaded already, ``scipy.special.log_ndtr``. The two agree to 1e-12.
"""

from __future__ import annotations

import math
import sys

import numpy as np

from threadwright.tables.thread import Array

__all__ = ["log_density", "log_interval", "log_ndtr", "log_zone"]

_LOG_SQRT_2PI = 0.5 * math.log(2 * math.pi)
_MANY = 200_000  # elements above which importing scipy (0.15 s) pays
_TAIL = -30.0  # below this the asymptotic series is exact to double precision
_NARROW = 0.15  # zone width in standard uncertainties, times distance, below which the series is used

_erfc = np.frompyfunc(math.erfc, 1, 1)


def _own_log_ndtr(x: Array) -> Array:
    result = np.empty_like(x)
    tail = x < _TAIL
    body = x[~tail]
    # right of the median log1p keeps the full relative precision of the small complement
    upper = body > 0
    half = 0.5 * np.asarray(_erfc(np.abs(body) / math.sqrt(2)), dtype=np.float64)
    logs = np.log1p(-half)
    logs[~upper] = np.log(half[~upper])
    result[~tail] = logs
    far = x[tail]
    inverse = 1.0 / (far * far)
    series = 1 - inverse * (1 - 3 * inverse * (1 - 5 * inverse * (1 - 7 * inverse * (1 - 9 * inverse))))
    result[tail] = -0.5 * far * far - np.log(-far) - _LOG_SQRT_2PI + np.log(series)
    return result


def log_ndtr(x: Array) -> Array:
    r"""Logarithm of the standard normal distribution function, :math:`\ln \Phi(x)`.

    Parameters
    ----------
    x : array
        Any finite numbers.

    Returns
    -------
    array
        Same shape; relative error below 1e-12.

    Examples
    --------
    >>> log_ndtr(np.array([0.0, -40.0])).round(6).tolist()
    [-0.693147, -804.608442]
    """
    x = np.asarray(x, dtype=np.float64)
    if x.size > _MANY or "scipy.special" in sys.modules:
        from scipy.special import log_ndtr as scipy_log_ndtr

        return np.asarray(scipy_log_ndtr(x))
    return _own_log_ndtr(np.atleast_1d(x)).reshape(x.shape)


def log_density(y: Array, mean: Array | float, u: Array | float) -> Array:
    """Logarithm of the normal density of a reading.

    Parameters
    ----------
    y, mean, u : array or float
        Reading, true value, standard uncertainty (above 0), in one unit.

    Returns
    -------
    array
        log of the density. [1/unit]

    Examples
    --------
    >>> float(log_density(np.array(1.0), 1.0, 0.5).round(4))
    -0.2258
    """
    z = (np.asarray(y) - mean) / u
    return np.asarray(-0.5 * z * z - np.log(u) - _LOG_SQRT_2PI)


def log_interval(low: Array, high: Array) -> Array:
    r"""Logarithm of the mean of the standard normal density between two bounds.

    .. math:: \ln \frac{\Phi(b) - \Phi(a)}{b - a}

    Reflected into the left tail; a narrow interval goes through a midpoint series, so that a width
    of nothing is the plain density.

    Parameters
    ----------
    low, high : array
        Bounds a and b in standard uncertainties, ``low <= high``.

    Returns
    -------
    array
        The logarithm; finite for all finite bounds.

    Examples
    --------
    >>> log_interval(np.array([0.0]), np.array([0.0])).round(6)
    array([-0.918939])
    """
    low, high = np.broadcast_arrays(np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64))
    middle = -np.abs(low + high) / 2
    half = (high - low) / 2
    width = high - low
    result = np.empty(low.shape)
    narrow = width * (1 + np.abs(middle)) < _NARROW
    m, h2 = middle[narrow] ** 2, width[narrow] ** 2
    series = (
        h2 / 24 * (m - 1)
        + h2**2 / 1920 * (m * m - 6 * m + 3)
        + h2**3 / 322560 * (m**3 - 15 * m * m + 45 * m - 15)
    )
    result[narrow] = -0.5 * m - _LOG_SQRT_2PI + np.log1p(series)
    wide = ~narrow
    if wide.any():
        upper = log_ndtr(middle[wide] + half[wide])
        lower = log_ndtr(middle[wide] - half[wide])
        result[wide] = upper + np.log(-np.expm1(lower - upper)) - np.log(width[wide])
    return result


def log_zone(y: Array, u: Array | float, low: Array, high: Array) -> Array:
    """Log density of a reading whose true value lies anywhere in a zone with equal chance.

    Parameters
    ----------
    y : array
        Reading. [mm]
    u : array or float
        Its standard uncertainty, above 0. [mm]
    low, high : array
        Ends of the zone. [mm]

    Returns
    -------
    array
        log of the density. [1/mm]

    Examples
    --------
    Well inside a zone of 0.2 mm the density is 1 / 0.2:

    >>> log_zone(np.array([5.0]), 0.01, np.array([4.9]), np.array([5.1])).round(6)
    array([1.609438])
    """
    return log_interval((low - y) / u, (high - y) / u) - np.log(u)
