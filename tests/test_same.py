"""Several fasteners believed to have the same thread."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.next_reading import next_reading
from threadwright.priors import log_prior
from threadwright.ranking import Identification, identify, identify_same, observe, posterior
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError


def everything(answer: Identification) -> dict[str, float]:
    found = {one.designation: one.probability for one in answer.candidates}
    return {**found, "none of these": answer.none_of_these}


def test_one_fastener_is_the_case_of_one() -> None:
    readings = Readings(major="0.372 in", pitch="20 tpi")
    assert identify(readings).to_dict() == identify_same([readings]).to_dict()


@settings(max_examples=10)
@given(st.permutations(["5.92 mm", "5.88 mm", "5.97 mm", "5.91..5.95 mm"]))
def test_the_order_of_fasteners_does_not_matter(sizes: list[str]) -> None:
    def found(order: list[str]) -> dict[str, float]:
        return everything(identify_same([Readings(major=size, pitch="1 mm") for size in order], top=20))

    assert found(sizes) == pytest.approx(found(sorted(sizes)), abs=1e-12)


def test_likelihoods_multiply_and_the_prior_counts_once() -> None:
    screw, hole = Readings(major="9.45 mm", pitch="20 tpi"), Readings(side="internal", minor="8.2 mm")
    prior = np.append(np.exp(log_prior()), judgement.NONE_OF_THESE)
    alone = []
    for readings in (screw, hole):
        every = np.arange(len(candidates()))
        p, none = posterior(observe(readings), np.zeros_like(every), every)
        alone.append(
            np.append(p, none) / np.append(np.exp(log_prior(side=readings.side)), judgement.NONE_OF_THESE)
        )
    product = prior * alone[0] * alone[1]
    product /= product.sum()
    both = identify_same([screw, hole], top=None)
    order = [candidates().designation(i) for i in range(len(candidates()))]
    found = everything(both)
    assert product[-1] == pytest.approx(both.none_of_these, rel=1e-9)
    assert list(product[:-1]) == pytest.approx([found[name] for name in order], rel=1e-9, abs=1e-300)


def test_each_fastener_that_is_the_same_has_its_own_fit() -> None:
    several = [Readings(major="9.45 mm"), Readings(pitch="20 tpi", flank_angle="27.5 deg")]
    answer = identify_same(several)
    assert tuple(several) == answer.fasteners
    assert [{"major"}, {"pitch", "flank_angle"}] == [set(fits) for fits in answer.candidates[0].each]
    assert "flank_angle" not in answer.candidates[0].readings
    assert 2 == len(answer.to_dict()["candidates"][0]["each"])


def test_a_reading_that_one_of_them_has_is_not_asked_for() -> None:
    pair = [
        Readings(major="9.45 mm", pitch="20 tpi"),
        Readings(major="9.45 mm", flank_angle="28.7deg +- 2deg"),
    ]
    hint = next_reading(identify_same(pair))
    assert hint is None or hint.reading not in ("major", "pitch", "flank_angle")


def test_fasteners_without_readings_are_refused_by_their_number() -> None:
    with pytest.raises(ReadingError, match="same: no fastener given"):
        identify_same([])
    with pytest.raises(ReadingError, match="fastener 2: no reading given"):
        identify_same([Readings(major="8 mm"), Readings()])
    with pytest.raises(ReadingError, match="top: 0 candidates are none"):
        identify_same([Readings(major="8 mm")], top=0)


def test_fasteners_of_either_hand_are_not_the_same() -> None:
    both = [Readings(major="7.9 mm", hand=hand) for hand in ("left", "right")]
    with pytest.raises(ReadingError, match="hand: one is left-handed and another right-handed"):
        identify_same(both)
    one = identify_same([Readings(major="7.9 mm", hand="left"), Readings(major="7.91 mm")])
    assert one.candidates[0].designation.endswith(" LH")
