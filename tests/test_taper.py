"""Sizes along a taper thread: laws of the cone, and the standard's own planes."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.tables.errors import TableError
from threadwright.tables.registry import SYSTEMS, find_thread, series
from threadwright.tables.taper import (
    axial_distance,
    planes,
    sizes_from_gauge_plane,
    sizes_from_small_end,
    taper_angle,
)
from threadwright.tables.thread import Thread

TAPERED: list[Thread] = [
    series(entry.symbol).thread(row)
    for entry in SYSTEMS
    if entry.taper
    for row in range(len(series(entry.symbol)))
]
GAUGED = [thread for thread in TAPERED if thread.gauge_length is not None]


def test_three_systems_are_tapered_one_in_sixteen() -> None:
    assert {"R", "Rc", "NPT"} == {thread.system for thread in TAPERED}
    assert {1 / 16} == {float(thread.taper) for thread in TAPERED}


@given(st.sampled_from(TAPERED), st.floats(-50, 50))
def test_all_diameters_change_by_a_sixteenth_of_the_distance(thread: Thread, distance: float) -> None:
    here = sizes_from_gauge_plane(thread, distance)
    for there, basic in zip(
        here, (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic), strict=True
    ):
        assert float(there) - basic == pytest.approx(distance / 16, abs=1e-9)


@given(st.sampled_from(GAUGED), st.floats(0, 40))
def test_both_ways_to_a_place_give_the_same_size(thread: Thread, distance: float) -> None:
    assert thread.gauge_length is not None
    one = sizes_from_small_end(thread, distance)
    other = sizes_from_gauge_plane(thread, distance - thread.gauge_length)
    assert [float(value) for value in one] == [float(value) for value in other]


@given(st.sampled_from(TAPERED), st.floats(-50, 50))
def test_the_distance_is_found_back_from_the_change_of_diameter(thread: Thread, distance: float) -> None:
    change = sizes_from_gauge_plane(thread, distance).major - thread.major_basic
    assert float(axial_distance(thread, change)) == pytest.approx(distance, abs=1e-6)


def test_the_planes_follow_each_other_and_the_gauge_plane_has_the_basic_sizes() -> None:
    for thread in GAUGED:
        small, gauge, useful = planes(thread)
        assert ("small end", 0.0) == (small.name, small.from_small_end)
        assert ("gauge plane", thread.gauge_length) == (gauge.name, gauge.from_small_end)
        assert ("end of useful thread", thread.useful_length) == (useful.name, useful.from_small_end)
        assert [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic] == list(gauge[2:])
        assert (np.array(small[1:]) < np.array(gauge[1:])).all()
        assert (np.array(gauge[1:]) < np.array(useful[1:])).all()


def test_the_small_end_of_r_equals_an_exact_route() -> None:
    expected = [Decimal("20.955") - Decimal("8.2") / 16, Decimal("19.793") - Decimal("8.2") / 16]
    small = planes(find_thread("R 1/2"))[0]
    assert [float(value) for value in expected] == pytest.approx(
        [small.major, small.pitch_diameter], abs=1e-12
    )


def test_a_size_without_a_gauge_length_knows_its_gauge_plane_only() -> None:
    thread = find_thread("R 3 1/2")
    (only,) = planes(thread)
    assert ("gauge plane", 100.33) == (only.name, only.major)
    assert math.isnan(only.from_small_end)
    with pytest.raises(TableError, match="R 3 1/2: the tables hold no gauge length; give the distance from"):
        sizes_from_small_end(thread, 0.0)


def test_a_parallel_thread_has_the_same_sizes_all_along_and_no_planes() -> None:
    thread = find_thread("G 1/2")
    assert () == planes(thread)
    assert [20.955, 20.955] == list(sizes_from_gauge_plane(thread, [0.0, 10.0]).major)
    assert 0.0 == taper_angle(thread)
    with pytest.raises(TableError, match="G 1/2 is parallel: it has no small end"):
        sizes_from_small_end(thread, 0.0)
    with pytest.raises(TableError, match="G 1/2 is parallel: its diameter does not change"):
        axial_distance(thread, 0.1)


def test_the_cone_is_one_degree_forty_seven_minutes_to_the_axis() -> None:
    assert 1 * 60 + 47 == round(taper_angle(find_thread("1/2-14 NPT")) * 60)
