"""In what order readings settle an answer soonest."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright.planning import Ahead, _spread, minutes_ahead
from threadwright.tables.thread import Array

EVEN = np.array([0.5, 0.5])


def chances(k: int, g: int, seed: int) -> Array:
    return np.random.default_rng(seed).dirichlet(np.full(g, 0.3), size=k).T


def by_recursion(p: Array, readings: list[Ahead], certainty: float) -> float:
    """Least expected minutes of every adaptive order, over all that each reading may show."""
    if not readings or p.max() >= certainty * p.sum():
        return 0.0
    costs = []
    for place, one in enumerate(readings):
        rest = readings[:place] + readings[place + 1 :]
        later = sum(by_recursion(p * row, rest, certainty) for row in one.outcomes if (p * row).sum() > 0)
        costs.append(one.minutes * float(p.sum()) + later)
    return min(costs)


@settings(max_examples=40, deadline=None)
@given(st.integers(2, 4), st.integers(0, 10_000), st.floats(0.8, 0.99))
def test_the_first_reading_costs_next_to_no_more_than_the_best_of_all_adaptive_orders(
    k: int, seed: int, certainty: float
) -> None:
    rng = np.random.default_rng(seed)
    p = rng.dirichlet(np.ones(k))
    readings = [Ahead(chances(k, 3, seed + i), float(rng.uniform(0.5, 8))) for i in range(3)]
    first = int(minutes_ahead(p, readings, certainty=certainty).argmin())
    rest = readings[:first] + readings[first + 1 :]
    after = sum(by_recursion(p * row, rest, certainty) for row in readings[first].outcomes)
    best = by_recursion(p, readings, certainty)
    mine = 0.0 if p.max() >= certainty else readings[first].minutes + after
    assert best <= mine + 1e-9
    assert mine <= 1.15 * best + 0.05


def test_a_reading_after_which_all_is_settled_costs_its_own_minutes() -> None:
    found = minutes_ahead(EVEN, [Ahead(np.eye(2), 3.0), Ahead(np.full((2, 2), 0.5), 1.0)], certainty=0.99)
    assert [3.0, 4.0] == pytest.approx((found / 1.1).tolist(), abs=0.3)
    assert found.argmin() == 0


def test_the_order_in_which_readings_are_given_does_not_matter() -> None:
    readings = [Ahead(chances(2, 4, seed), minutes) for seed, minutes in ((1, 1.0), (2, 2.0), (3, 5.0))]
    found = {one.minutes: [] for one in readings}
    for order in permutations(readings):
        minutes = minutes_ahead(np.array([0.7, 0.3]), order, certainty=0.95)
        for one, each in zip(order, minutes, strict=True):
            found[one.minutes].append(float(each))
    for each in found.values():
        assert max(each) == pytest.approx(min(each), rel=0.06)


def test_a_coarser_reading_of_what_was_read_finely_is_never_waited_for() -> None:
    """The coarse one leaves doubt; after the fine one it would say nothing more."""
    coarse = Ahead(np.array([[0.8, 0.2], [0.2, 0.8]]), 1.0, "pitch")
    fine = Ahead(np.array([[0.97, 0.03], [0.03, 0.97]]), 2.0, "pitch", finer=True)
    found = minutes_ahead(EVEN, [coarse, fine], certainty=0.99)
    # after the fine one nothing is left: its minutes alone; after the coarse one the fine one follows always
    assert [3.0, 2.0] == pytest.approx((found / found[1] * 2).tolist(), abs=0.25)


def test_two_fine_readings_of_one_thing_are_not_counted_twice() -> None:
    fine = np.array([[0.9, 0.1], [0.1, 0.9]])
    apart = minutes_ahead(EVEN, [Ahead(fine, 1.0, "a", True), Ahead(fine, 1.0, "b", True)], certainty=0.98)
    same = minutes_ahead(EVEN, [Ahead(fine, 1.0, "a", True), Ahead(fine, 1.0, "a", True)], certainty=0.98)
    assert (same < apart).all()  # nothing follows, so nothing more is spent


def test_the_points_lie_evenly_in_every_direction() -> None:
    points = _spread(512, 8)
    for column in points.T:
        assert np.histogram(column, bins=8, range=(0, 1))[0] == pytest.approx(np.full(8, 64), abs=8)
    quarters = np.histogram2d(points[:, 0], points[:, 1], bins=4, range=[[0, 1], [0, 1]])[0]
    assert quarters.min() >= 22
