"""How common threads are."""

from __future__ import annotations

import numpy as np
import pytest

from threadwright import judgement, priors
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.registry import SYSTEMS, series


def test_prior_and_none_of_these_add_to_one() -> None:
    assert np.exp(priors.log_prior()).sum() + judgement.NONE_OF_THESE == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("symbol", [system.symbol for system in SYSTEMS])
def test_size_weights_add_to_one_and_none_is_zero(symbol: str) -> None:
    weights = priors.size_weights(series(symbol))
    assert weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert (weights > 0).all()


def test_coarse_metric_is_commoner_than_fine() -> None:
    table = series("M")
    weights = dict(zip(table.designations, priors.size_weights(table), strict=True))
    assert weights["M8x1.25"] > weights["M8x1"]


@pytest.mark.parametrize("side", ["external", "internal"])
def test_class_weights_of_a_candidate_add_to_one(side: str) -> None:
    rows = class_rows(side)  # type: ignore[arg-type]
    weights = np.exp(priors.class_log_weights(side))  # type: ignore[arg-type]
    sums = np.bincount(rows.candidate, weights, minlength=len(candidates()))
    assert sums == pytest.approx(np.ones(len(candidates())), abs=1e-12)


def test_a_class_without_limits_does_not_count_where_others_have_them() -> None:
    rows = class_rows("external")
    weights = np.exp(priors.class_log_weights("external"))
    blank = np.isnan(rows.major_low) & np.isnan(rows.pitch_diameter_low) & np.isnan(rows.minor_high)
    named = np.array([bool(name) for name in rows.tolerance_class])
    several = np.bincount(rows.candidate)[rows.candidate] > 1
    lone_names = np.array([len(candidates().names[c]) == 1 for c in rows.candidate])
    known = np.bincount(rows.candidate, ~blank)[rows.candidate] > 0
    assert (weights[blank & named & several & lone_names & known] == 0).all()


def test_system_weights_name_systems_only() -> None:
    # a weight for a system that is not in the registry yet is a slip of the pen
    assert set(judgement.SERIES_WEIGHT) <= {system.symbol for system in SYSTEMS}
