"""One screw in one hole: cases worked by hand at basic sizes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.binding import extra_interference, flank_mismatch, free_turns

INCH = 25.4


# The rigid-body model on basic sizes; all worked by hand from the standards' basic sizes.
@pytest.mark.parametrize(
    ("clearance_in", "flank", "tpi", "turns", "each"),
    [
        (0.0014, 28.75, (26, 28), 0.28, 0.0050),
        (0.0034, 28.75, (12, 13), 0.29, 0.0117),
    ],
)
def test_whitworth_screw_in_unified_hole_of_another_pitch(
    clearance_in: float, flank: float, tpi: tuple[int, int], turns: float, each: float
) -> None:
    pitches = {"pitch_external": INCH / tpi[0], "pitch_internal": INCH / tpi[1]}
    found = free_turns(clearance=clearance_in * INCH, flank_angle=flank, **pitches)
    assert float(found) == pytest.approx(turns, abs=0.01)
    assert float(extra_interference(flank_angle=flank, **pitches)) / INCH == pytest.approx(each, abs=5e-5)


def test_equal_pitches_never_bind_once_there_is_room() -> None:
    assert free_turns(clearance=0.01, flank_angle=30, pitch_external=1.0, pitch_internal=1.0) == np.inf
    assert free_turns(clearance=-0.01, flank_angle=30, pitch_external=1.0, pitch_internal=1.0) == 0


# H/2 - e straight flank of 26 tpi Whitworth 0.49249 p and 5 degrees in all between 55 and 60
def test_flank_mismatch_of_quarter_inch_26_and_28() -> None:
    cost = flank_mismatch(depth=0.49249 / 26, flank_external=27.5, flank_internal=30.0)
    assert float(cost) == pytest.approx(0.0020, abs=5e-5)


@given(st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0.5, 3), st.floats(0.5, 3))
def test_more_clearance_never_binds_sooner(less: float, more: float, own: float, other: float) -> None:
    low, high = sorted((less, more))
    kwargs = {"flank_angle": 28.75, "pitch_external": own, "pitch_internal": other}
    assert free_turns(clearance=low, **kwargs) <= free_turns(clearance=high, **kwargs)
