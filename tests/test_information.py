"""What a reading not yet taken would be expected to tell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright import information, judgement
from threadwright.doubt import Leaders, entropy, mutual_information
from threadwright.information import Option, options
from threadwright.likelihood import LengthColumn, Observations
from threadwright.priors import UNKNOWN
from threadwright.ranking import identify, observe
from threadwright.reading import Pitch
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates

NAMES = [candidates().designation(i) for i in range(len(candidates()))]


def ranked(top: int = 6, **given: object) -> tuple[list[str], list[Option]]:
    readings = Readings(**given)  # type: ignore[arg-type]
    leaders = [c for c in identify(readings).candidates if c.probability > 0.002][:top]
    index = np.array([NAMES.index(c.designation) for c in leaders])
    found = options(
        observe(readings), index, np.array([c.probability for c in leaders]), given=readings.given()
    )
    return [c.designation for c in leaders], found


@given(st.lists(st.floats(0.01, 1), min_size=2, max_size=5), st.integers(2, 6), st.integers(0, 1000))
def test_information_lies_between_nothing_and_the_doubt_there_is(
    shares: list[float], shown: int, seed: int
) -> None:
    p = np.array(shares) / sum(shares)
    density = np.random.default_rng(seed).dirichlet(np.ones(shown), size=len(p)).T
    assert 0 <= mutual_information(p, density, np.ones(shown)) <= entropy(p) + 1e-12


def test_a_reading_that_shows_the_same_on_all_tells_nothing() -> None:
    assert mutual_information(np.array([0.3, 0.7]), np.full((4, 2), 0.25), np.ones(4)) == 0


@pytest.mark.parametrize("name", ["major", "minor", "pitch_diameter"])
def test_a_less_precise_instrument_never_tells_more_on_average(name: str) -> None:
    """Averaged over the readings that the model itself predicts."""
    cand = np.array([NAMES.index("5/16-26 BSC"), NAMES.index("5/16-26 BSB"), NAMES.index("M8x1")])
    among = Leaders(Observations(n=1), cand, np.array([0.4, 0.4, 0.2]), UNKNOWN)
    told = []
    for u in (0.005, 0.01, 0.02, 0.05, 0.1):
        y = np.linspace(5.5, 9.0, 4001)
        seen = Observations(n=len(y), lengths={name: LengthColumn(y, np.full(len(y), u))})
        steps = np.full(len(y), y[1] - y[0])
        told.append(mutual_information(among.probabilities, among.density(seen), steps))
    assert told == sorted(told, reverse=True)


def test_the_grid_holds_all_of_a_reading() -> None:
    cand = np.array([NAMES.index("M8x1.25")])
    among = Leaders(Observations(n=1), cand, np.ones(1), UNKNOWN)
    y, weights = information._grid(among.limits("major"), 0.02, 0.3 * 1.25)
    seen = Observations(n=len(y), lengths={"major": LengthColumn(y, np.full(len(y), 0.02))})
    assert float(weights @ among.density(seen)[:, 0]) == pytest.approx(1.0, abs=2e-3)


def test_brass_and_cycle_threads_are_parted_by_the_effective_diameter() -> None:
    names, found = ranked(major="0.310 in", pitch="26 tpi")
    over = next(option for option in found if option.reading == "over_wires")
    shows = dict(zip(names, over.expected, strict=True))
    assert over.wire_mm == pytest.approx(0.55)
    assert shows["5/16-26 BSB"] == pytest.approx((7.93, 8.12), abs=0.015)
    assert shows["5/16-26 BSC"] == pytest.approx((8.04, 8.22), abs=0.015)


def test_the_pitch_is_the_first_thing_to_measure_on_a_hole() -> None:
    _, found = ranked(side="internal", minor="6.6..6.7 mm")
    assert found[0].reading == "pitch"


def test_what_was_read_is_not_proposed_again() -> None:
    everything = {
        "major": "0.372 in",
        "minor": "7.8 mm",
        "pitch": "10 pitches over 12.7 mm",
        "pitch_diameter": "8.6 mm",
        "flank_angle": "28deg",
    }
    _, found = ranked(**everything)
    assert {option.reading for option in found} <= {"crest", "tried", "across_flats", "over_wires"}


def test_options_come_in_the_order_of_their_worth() -> None:
    _, found = ranked(major="7.9 mm")
    worth = [option.worth for option in found]
    assert worth == sorted(worth, reverse=True)


def test_a_wire_that_no_leader_can_take_is_not_proposed() -> None:
    cand = np.array([NAMES.index("M8x1.25")])
    among = Leaders(Observations(n=1), cand, np.ones(1), UNKNOWN)
    assert len(information._wires(among)) == 1
    tiny = np.array([NAMES.index("M1x0.2")])
    among = Leaders(Observations(n=1), tiny, np.ones(1), UNKNOWN)
    assert len(information._wires(among)) in (0, 1)


def test_a_density_far_above_what_all_expect_still_gives_a_number() -> None:
    density = np.array([[1.0, 0.0], [0.0, 1.0]])
    told = mutual_information(np.array([1.0, 1e-310]), density, np.ones(2))
    assert told == pytest.approx(0.0, abs=1e-300)
    assert np.isfinite(told)


@given(st.integers(0, 10_000), st.floats(0.01, 0.5))
def test_what_none_of_these_would_show_adds_to_one(seed: int, none: float) -> None:
    rng = np.random.default_rng(seed)
    cand = np.array([NAMES.index("M8x1.25"), NAMES.index("5/16-18 BSW")])
    among = Leaders(observe(Readings(major="7.9 mm")), cand, np.array([0.6, 0.3]), UNKNOWN, none)
    assert among.probabilities.sum() == pytest.approx(1)
    mass = rng.random((7, 2))
    bits, chances = among.told(mass, rng.random(7) / 7)
    assert (8, 3) == chances.shape
    assert chances.sum(axis=0) == pytest.approx(np.ones(3))
    assert 0 <= bits <= entropy(among.probabilities)


def test_without_none_of_these_the_chances_are_those_of_the_leaders() -> None:
    among = Leaders(observe(Readings(major="7.9 mm")), np.array([0, 1]), np.array([0.6, 0.3]), UNKNOWN)
    bits, chances = among.told(np.eye(2), np.zeros(2))
    assert np.array_equal(chances, np.eye(2))
    assert bits == pytest.approx(entropy(np.array([2, 1]) / 3))


def test_a_counted_pitch_is_weighed_as_it_will_be_answered_with_the_comb_taken_back() -> None:
    """The expected doubt after it, from the answers themselves: the count takes the comb's place."""
    comb = Readings(major="7.9 mm", pitch="20 tpi")
    few = [c for c in identify(comb).candidates if c.probability > 0.002][:4]
    p = np.array([c.probability for c in few])
    p /= p.sum()
    index = np.array([NAMES.index(c.designation) for c in few])
    counted = next(
        one
        for one in options(observe(comb), index, p, given=comb.given())
        if (one.reading, one.instrument) == ("pitch", "steel rule")
    )
    assert counted.takes_back is not None
    y = np.linspace(1.1, 1.5, 41)
    among = Leaders(observe(comb), index, p, UNKNOWN)
    u = judgement.INSTRUMENT_U_MM["steel rule"] / judgement.COUNTED_PITCHES
    seen = Observations(n=len(y), pitch=LengthColumn(y, np.full(len(y), u)))
    shown = among.density(seen) * (y[1] - y[0])
    after = []
    for value in y:
        pitch = Pitch(kind="measured", value_mm=float(value), text="", u_mm=u)
        both = identify(Readings(major="7.9 mm", pitch=pitch), top=None)
        found = {c.designation: c.probability for c in both.candidates}
        left = np.array([found[c.designation] for c in few])
        after.append(entropy(left / left.sum()))
    expected = entropy(p) - float((shown @ p) @ np.array(after))
    assert counted.bits == pytest.approx(max(expected, 0.0), abs=0.01)
