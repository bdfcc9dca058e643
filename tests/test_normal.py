"""The normal distribution in logarithms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.special import log_ndtr as scipy_log_ndtr

from threadwright import normal


@given(st.floats(-1e5, 30))
def test_own_log_ndtr_equals_scipy_to_1e_12(x: float) -> None:
    own = normal._own_log_ndtr(np.array([x]))[0]
    assert own == pytest.approx(float(scipy_log_ndtr(x)), rel=1e-12, abs=1e-300)


def test_log_ndtr_has_the_shape_it_was_given() -> None:
    assert normal.log_ndtr(np.zeros((2, 3))).shape == (2, 3)


def test_own_route_keeps_the_shape_when_scipy_is_not_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(normal.sys.modules, "scipy.special")
    grid = np.linspace(-50, 5, 12).reshape(3, 4)
    assert normal.log_ndtr(grid) == pytest.approx(scipy_log_ndtr(grid), rel=1e-12)


def test_log_density_is_that_of_the_normal_distribution() -> None:
    y, mean, u = np.array([1.0, 2.0]), np.array([0.5, 9.0]), np.array([0.3, 2.0])
    assert normal.log_density(y, mean, u) == pytest.approx(stats.norm(mean, u).logpdf(y), rel=1e-13)


@given(st.floats(-30, 30), st.floats(1e-3, 40))
def test_log_interval_is_the_mean_density_between_its_bounds(low: float, width: float) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(60)
    # by quadrature over short pieces; the far side of a wide interval adds nothing
    edges = np.linspace(low, low + width, 41)
    middle, half = (edges[1:] + edges[:-1]) / 2, (edges[1] - edges[0]) / 2
    logs = stats.norm.logpdf(middle[:, None] + half * nodes) + np.log(weights * half)
    expected = np.logaddexp.reduce(logs, axis=None) - np.log(width)
    found = normal.log_interval(np.array(low), np.array(low + width))
    assert float(found) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(st.floats(-30, 30), st.floats(0, 1e-4))
def test_a_narrow_log_interval_is_the_density_at_its_middle(middle: float, width: float) -> None:
    found = normal.log_interval(np.array(middle - width / 2), np.array(middle + width / 2))
    curvature = width**2 / 24 * (middle**2 - 1)
    assert float(found) == pytest.approx(stats.norm.logpdf(middle) + curvature, rel=1e-12, abs=1e-12)


def test_log_interval_of_no_width_is_the_density() -> None:
    x = np.array([-1e4, -3.0, 0.0, 2.0, 1e4])
    assert normal.log_interval(x, x) == pytest.approx(stats.norm.logpdf(x), rel=1e-14)


def test_log_interval_stays_finite_far_away() -> None:
    far = np.array([1e3, 1e5])
    assert np.isfinite(normal.log_interval(far, far + 10)).all()
    assert np.isfinite(normal.log_interval(-far - 10, -far)).all()


@given(st.floats(-50, 50), st.floats(0, 20))
def test_log_interval_is_symmetric(low: float, width: float) -> None:
    right = normal.log_interval(np.array(low), np.array(low + width))
    left = normal.log_interval(np.array(-low - width), np.array(-low))
    assert float(right) == pytest.approx(float(left), rel=1e-12)


def test_zone_density_adds_to_one() -> None:
    y = np.linspace(9, 11, 20001)
    density = np.exp(normal.log_zone(y, 0.02, np.array(9.8), np.array(10.1)))
    assert np.trapezoid(density, y) == pytest.approx(1.0, abs=1e-9)
