"""How common threads are."""

from __future__ import annotations

import numpy as np
import pytest

from threadwright import judgement, priors
from threadwright.tables.catalogue import candidates, class_rows, has_side
from threadwright.tables.errors import ReadingError
from threadwright.tables.registry import SYSTEMS, series


def test_prior_and_none_of_these_add_to_one() -> None:
    assert np.exp(priors.log_prior()).sum() + judgement.NONE_OF_THESE == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("side", ["external", "internal"])
def test_prior_of_what_exists_on_a_side_and_none_of_these_add_to_one(side: str) -> None:
    on_side = np.exp(priors.log_prior(side=side))[has_side(side)]  # type: ignore[arg-type]
    assert on_side.sum() + judgement.NONE_OF_THESE == pytest.approx(1.0, abs=1e-12)


def test_how_common_a_thread_of_holes_is_does_not_bear_on_screws() -> None:
    """Rp 1/2 is the metal of G 1/2, and Rc 1/2 that of R 1/2; neither is ever a screw."""
    rare = priors.Prior(weights={"Rp": 0.001, "Rc": 0.001})
    common = priors.Prior(weights={"Rp": 0.5, "Rc": 0.5})
    screws, holes = (
        [priors.log_prior(prior, side)[has_side(side)] for prior in (rare, common)]
        for side in ("external", "internal")
    )
    assert screws[0] == pytest.approx(screws[1], abs=1e-12)
    assert holes[0] != pytest.approx(holes[1], abs=0.1)


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
    # a weight without a system is a slip of the pen; a system without one takes the general weight
    assert set(judgement.SERIES_WEIGHT) <= {system.symbol for system in SYSTEMS}


def test_every_system_says_where_and_when_it_was_usual() -> None:
    assert [] == [system.symbol for system in SYSTEMS if not system.periods]


def test_a_british_machine_of_1925_has_whitworth_rather_than_unified() -> None:
    british = priors.Prior(priors.Origin("GB", 1925))
    plain, local = np.exp(priors.log_prior()), np.exp(priors.log_prior(british))
    names = [candidates().designation(i) for i in range(len(candidates()))]
    bsf, unf = names.index("3/8-20 BSF"), names.index("3/8-24 UNF")
    assert local[bsf] / local[unf] > 10 * plain[bsf] / plain[unf]


@pytest.mark.parametrize(
    ("origin", "message"),
    [(("XX", None), "made in: no country 'XX'"), ((None, 1492), "year: 1492 is impossible")],
)
def test_an_impossible_origin_is_refused(origin: tuple[str | None, int | None], message: str) -> None:
    with pytest.raises(ReadingError, match=message):
        priors.Origin(*origin)


def test_each_fastener_found_raises_its_system() -> None:
    bsf = [i for i, names in enumerate(candidates().names) if names[0][0] == "BSF"]
    shares = [np.exp(priors.log_prior(priors.Prior(found={"BSF": n})))[bsf].sum() for n in range(4)]
    assert shares == sorted(shares)
    assert shares[3] > 3 * shares[0]


def test_a_weight_given_replaces_the_general_one() -> None:
    names = [candidates().designation(i) for i in range(len(candidates()))]
    none = priors.Prior(weights={"UN": 1e-9, "UNJ": 1e-9})  # the same metal
    assert np.exp(priors.log_prior(none))[names.index("3/8-20 UN")] < 1e-9


def test_periods_are_in_order_and_name_their_standing() -> None:
    for system in SYSTEMS:
        for period in system.periods:
            assert period.since <= period.until, system.symbol
            assert period.standing in judgement.STANDING_WEIGHT
