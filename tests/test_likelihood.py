"""Log density of readings: laws of the model."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.instruments import comb_leaves
from threadwright.likelihood import (
    CombColumn,
    LengthColumn,
    Observations,
    WireColumn,
    class_zones,
    comb_leaf_probabilities,
    log_likelihood,
    log_none,
    no_contact,
    pitch_diameter_over_wires,
)
from threadwright.priors import class_log_weights
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError
from threadwright.tables.wires import size_over_wires

NAMES = {candidates().designation(i): i for i in range(len(candidates()))}
M8, BSF = NAMES["M8x1.25"], NAMES["3/8-20 BSF"]


def col(value: float, u: float, width: float | None = None) -> LengthColumn:
    return LengthColumn(np.array([value]), np.array([u]), None if width is None else np.array([width]))


def score(observations: Observations, candidate: int) -> float:
    pair = np.zeros(1, dtype=np.int64)
    weights = class_log_weights(observations.side)
    return float(log_likelihood(observations, pair, pair + candidate, weights)[0])


@pytest.mark.parametrize("side", ["external", "internal"])
@pytest.mark.parametrize("dimension", ["major", "pitch_diameter", "minor"])
def test_every_class_has_a_zone_with_width(side: str, dimension: str) -> None:
    low, high = class_zones(side, dimension)  # type: ignore[arg-type]
    assert np.isfinite(low).all()
    assert np.isfinite(high).all()
    assert (low < high).all()


@pytest.mark.parametrize("dimension", ["major", "pitch_diameter", "minor"])
@pytest.mark.parametrize("side", ["external", "internal"])
@pytest.mark.parametrize("condition", list(judgement.ZONE_SHARES))
def test_density_of_one_size_adds_to_one(dimension: str, side: str, condition: str) -> None:
    y = np.linspace(4.5, 11.0, 26001)
    many = Observations(
        n=len(y),
        side=side,  # type: ignore[arg-type]
        condition=condition,
        lengths={dimension: LengthColumn(y, np.full(len(y), 0.01))},
    )
    obs = np.arange(len(y))
    logs = log_likelihood(many, obs, np.full(len(y), M8), class_log_weights(many.side))
    assert np.trapezoid(np.exp(logs), y) == pytest.approx(1.0, abs=1e-4)


def test_zone_shares_add_to_one() -> None:
    for condition, shares in judgement.ZONE_SHARES.items():
        assert sum(shares) == pytest.approx(1.0), condition


def test_every_dimension_has_as_many_zones_as_shares() -> None:
    for zones in judgement.ZONES.values():
        assert len(zones) == 4


def test_comb_probabilities_of_the_leaves_owned_add_to_one() -> None:
    leaves = np.array(comb_leaves(("inch", "metric")))
    n = len(leaves)
    many = Observations(n=n, comb=CombColumn(leaves, np.full(n, np.nan), ("inch", "metric")))
    logs = log_likelihood(many, np.arange(n), np.full(n, BSF), class_log_weights("external"))
    assert np.exp(logs).sum() == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("tpi", [19, 18, 16, 14])
def test_where_no_other_leaf_is_near_only_a_dirty_thread_misleads(tpi: int) -> None:
    """The share of dirty threads is one of threads, however many leaves lie within their scatter."""
    pitch = 25.4 / tpi
    leaves = np.array(comb_leaves(("inch", "metric")))
    chances = comb_leaf_probabilities(("inch", "metric"), np.array([pitch]))[:, 0]
    own = np.isclose(leaves, pitch)
    assert (np.abs(leaves[~own] - pitch) * judgement.COMB_PITCHES > 5 * judgement.COMB_DAYLIGHT_MM).all()
    assert 1 - judgement.COMB_POOR_SHARE < chances[own].sum() < 1


def test_a_longer_visible_thread_tells_neighbouring_leaves_apart_better() -> None:
    def odds(visible: float) -> float:
        comb = CombColumn(np.array([1.27]), np.array([visible]), ("inch", "metric"))
        seen = Observations(n=1, comb=comb)
        return score(seen, BSF) - score(seen, M8)

    assert odds(5.0) < odds(12.0) < odds(40.0)


def test_two_readings_of_one_dimension_count_once() -> None:
    """Two equal readings are one reading with a smaller uncertainty, not two passes through the limits."""
    value, u = 7.1, 0.01
    wire = 0.72
    over = float(
        size_over_wires(flank_angle=30.0, pitch=1.25, lead=1.25, pitch_diameter=np.array([value]), wire=wire)[
            0
        ]
    )
    # lead correction at the basic size against that at the true size differs by nanometres
    both = Observations(
        n=1,
        lengths={"pitch_diameter": col(value, u)},
        over_wires=WireColumn(np.array([over]), np.array([u]), np.array([wire]), np.array([1e-9])),
    )
    once = Observations(n=1, lengths={"pitch_diameter": col(value, u / np.sqrt(2))})
    agreement = -np.log(np.sqrt(2) * u) - 0.5 * np.log(2 * np.pi)
    assert score(both, M8) == pytest.approx(score(once, M8) + agreement, abs=1e-4)


def test_interval_beside_wires_is_taken_with_its_spread() -> None:
    wires = WireColumn(np.array([8.05]), np.array([0.01]), np.array([0.72]), np.array([0.002]))
    interval = Observations(n=1, lengths={"pitch_diameter": col(7.1, 0.003, 0.04)}, over_wires=wires)
    spread = float(np.hypot(0.003, 0.04 / np.sqrt(12)))
    plain = Observations(n=1, lengths={"pitch_diameter": col(7.1, spread)}, over_wires=wires)
    assert score(interval, M8) == pytest.approx(score(plain, M8), abs=1e-12)


def test_a_narrow_interval_is_a_plain_reading() -> None:
    plain = Observations(n=1, lengths={"major": col(7.9, 0.02)})
    interval = Observations(n=1, lengths={"major": col(7.9, 0.02, 1e-6)})
    assert score(interval, M8) == pytest.approx(score(plain, M8), abs=1e-9)


def test_interval_density_is_the_mean_over_the_interval() -> None:
    grid = np.linspace(7.6, 7.8, 401)
    mean = np.mean([np.exp(score(Observations(n=1, lengths={"major": col(y, 0.02)}), M8)) for y in grid])
    interval = Observations(n=1, lengths={"major": col(7.7, 0.02, 0.2)})
    assert np.exp(score(interval, M8)) == pytest.approx(mean, rel=2e-3)


def test_a_wire_that_cannot_touch_says_no_more_than_none_of_these() -> None:
    thin = WireColumn(np.array([8.2]), np.array([0.01]), np.array([0.3]), np.array([0.002]))
    pair = np.zeros(1, dtype=np.int64)
    assert np.isnan(pitch_diameter_over_wires(thin, pair, candidates(), pair + M8).value[0])
    alone = Observations(n=1, over_wires=thin)
    assert score(alone, M8) == pytest.approx(log_none(alone)[0])
    beside = Observations(n=1, over_wires=thin, lengths={"major": col(7.9, 0.02)})
    only = Observations(n=1, lengths={"major": col(7.9, 0.02)})
    assert score(beside, M8) - score(only, M8) == pytest.approx(log_none(beside)[0] - log_none(only)[0])
    with pytest.raises(ReadingError, match="over wires: not read"):
        no_contact(only)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_wires_on_a_steep_thread_give_back_its_effective_diameter(share: float) -> None:
    """Lead angle 8.1 degrees: the closed correction is up to 0.058 mm off with the thickest wires."""
    catalogue = candidates()
    steep = NAMES["Tr 22x8"]
    wire = (1 - share) * float(catalogue.wire_least[steep]) + share * float(catalogue.wire_greatest[steep])
    effective = catalogue.pitch_diameter[[steep]]
    over = size_over_wires(flank_angle=15.0, pitch=8.0, lead=8.0, pitch_diameter=effective, wire=wire)
    column = WireColumn(over, np.array([0.01]), np.array([wire]), np.array([0.002]))
    back = pitch_diameter_over_wires(column, np.array([0]), catalogue, np.array([steep]))
    assert effective == pytest.approx(back.value, abs=1e-9)


def test_wires_give_back_the_effective_diameter() -> None:
    over = size_over_wires(
        flank_angle=30.0, pitch=1.25, lead=1.25, pitch_diameter=np.array([7.188]), wire=0.7217
    )
    column = WireColumn(over, np.array([0.01]), np.array([0.7217]), np.array([0.002]))
    pair = np.zeros(1, dtype=np.int64)
    back = pitch_diameter_over_wires(column, pair, candidates(), pair + M8)
    assert back.value[0] == pytest.approx(7.188, abs=1e-9)
    assert back.u[0] == pytest.approx(np.hypot(0.01, 3 * 0.002))


def test_measured_pitch_and_flank_angle_prefer_the_thread_they_fit() -> None:
    seen = Observations(n=1, pitch=col(1.25, 0.003), flank_angle=col(30.0, 1.0))
    assert score(seen, M8) > score(seen, BSF)


@given(st.floats(0.5, 250), st.floats(0.005, 0.05))
def test_far_readings_stay_finite(y: float, u: float) -> None:
    seen = Observations(n=1, lengths={"major": col(y, u), "minor": col(y * 0.8, u)})
    assert np.isfinite(score(seen, M8))


def test_none_of_these_has_a_density_for_every_reading() -> None:
    wires = WireColumn(np.array([8.2]), np.array([0.01]), np.array([0.7]), np.array([0.002]))
    everything = Observations(
        n=1,
        lengths={"major": col(7.9, 0.02), "minor": col(6.4, 0.03)},
        over_wires=wires,
        comb=CombColumn(np.array([1.25]), np.array([np.nan]), ("metric",)),
        pitch=col(1.25, 0.01),
        flank_angle=col(30.0, 1.0),
    )
    assert np.isfinite(log_none(everything)).all()
    fewer = Observations(n=1, lengths={"major": col(7.9, 0.02)})
    assert log_none(everything)[0] != log_none(fewer)[0]
