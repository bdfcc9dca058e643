"""Evidence beside the sizes: reading it, and what it says."""

from __future__ import annotations

import numpy as np
import pytest

from threadwright.clues import log_evidence, outcome_probability
from threadwright.evidence import Evidence, read_evidence
from threadwright.ranking import identify
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError

NAMES = [candidates().designation(i) for i in range(len(candidates()))]


def probabilities(**given: object) -> dict[str, float]:
    answer = identify(Readings(**given), top=None)  # type: ignore[arg-type]
    return {c.designation: c.probability for c in answer.candidates}


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"starts": 0}, "starts: 0 is impossible; write 1 to 8"),
        ({"lead": "5"}, "lead"),
        ({"hand": "up"}, "hand: cannot be 'up'; write one of right, left"),
        ({"crest": "blunt"}, "crest: cannot be 'blunt'; write one of flat, rounded, sharp"),
        ({"taper": "steep"}, "taper: cannot read 'steep'; write it like"),
        ({"taper": "12 mm and 13 mm 5 apart"}, "taper"),
        ({"across_flats": "14"}, "across flats"),
        ({"across_flats": "14 mm", "flats_of": "bolt"}, "flats of: cannot be 'bolt'"),
        ({"tried": "M8 fits"}, "tried: cannot read 'M8 fits'; write it like"),
        ({"tried": "M8 screw: hm", "side": "internal"}, "tried: cannot read the outcome 'hm'"),
        ({"tried": "M8 screw: runs in"}, "is tried in the wrong part; try a nut there"),
        ({"tried": "M8 nut: runs in", "side": "internal"}, "try a screw or tap there"),
        ({"tried": "M8x7 screw: runs in", "side": "internal"}, "no table holds 'M8x7'"),
        ({"clearance": "nine"}, "clearance hole"),
        ({"cast": "0.5 %"}, "cast: only a hole is cast"),
        ({"cast": "half", "side": "internal"}, "cast: cannot read 'half'"),
        ({"cast": "9 %", "side": "internal"}, "at most 5 %"),
        ({"major": ["8 mm", "7.9..8 mm"]}, "major diameter: an interval stands among several"),
        ({"anvil": 10.0, "pitch_diameter": "7 mm"}, "anvil: 10 deg is impossible"),
        ({"anvil": 60.0}, "anvil: given without a pitch diameter"),
    ],
)
def test_evidence_that_cannot_be_read_says_what_to_write(given: dict[str, object], message: str) -> None:
    with pytest.raises(ReadingError) as refused:
        Readings(**{"side": "external", **given})  # type: ignore[arg-type]
    assert message in str(refused.value)
    assert "\n" not in str(refused.value)


def test_unknown_evidence_is_a_slip_of_the_programmer() -> None:
    with pytest.raises(TypeError, match="colour"):
        Readings(major="8 mm", colour="red")


def test_a_stated_taper_is_read_as_a_ratio() -> None:
    evidence = read_evidence([], taper="1:16")
    assert evidence.taper is not None
    assert evidence.taper.value == pytest.approx(0.0625)


def test_nothing_seen_weighs_nothing() -> None:
    assert (log_evidence(Evidence(), side="external") == 0).all()


def test_rounded_crests_speak_for_whitworth() -> None:
    plain = probabilities(major="0.372 in", pitch="20 tpi")
    rounded = probabilities(major="0.372 in", pitch="20 tpi", crest="rounded")
    flat = probabilities(major="0.372 in", pitch="20 tpi", crest="flat")
    assert flat["3/8-20 BSF"] < plain["3/8-20 BSF"] < rounded["3/8-20 BSF"]


def test_two_starts_are_not_a_fastener_of_the_catalogue() -> None:
    one = log_evidence(read_evidence([], starts=1), side="external")
    two = log_evidence(read_evidence([], starts=2), side="external")
    m8 = NAMES.index("M8x1.25")
    assert one[m8] == 0 > two[m8]


def test_the_lead_prefers_pitches_near_it() -> None:
    found = probabilities(major="7.9 mm", lead="1.2 mm")
    assert found["M8x1.25"] > found["5/16-26 BSC"]


def test_the_clearance_hole_tells_the_screw() -> None:
    small = probabilities(side="internal", clearance="8.4 mm", minor="6.7 mm")
    large = probabilities(side="internal", clearance="9 mm", minor="6.7 mm")
    assert small["5/16-18 UNC"] / small["M8x1.25"] > large["5/16-18 UNC"] / large["M8x1.25"]


@pytest.mark.parametrize("outcome", ["runs in", "tight after 2 turns", "will not start", "slides in"])
def test_every_outcome_is_a_chance(outcome: str) -> None:
    evidence = read_evidence([], tried=f"M8 screw: {outcome}", side="internal")
    chance = outcome_probability(evidence.tried[0], side="internal")
    assert ((chance > 0) & (chance < 1)).all()


def test_outcomes_of_one_trial_do_not_add_to_more_than_one() -> None:
    texts = ["runs in", "will not start", "slides in", *(f"tight after {n} turns" for n in range(1, 8))]
    pieces = read_evidence([], tried=[f"M8 screw: {t}" for t in texts], side="internal").tried
    total = sum(outcome_probability(piece, side="internal") for piece in pieces)
    assert (np.asarray(total) < 1.2).all()


def test_a_screw_that_runs_in_settles_a_stripped_hole() -> None:
    before = probabilities(side="internal", minor="6.6..6.8 mm")
    after = probabilities(side="internal", minor="6.6..6.8 mm", tried="M8x1.25 screw: runs in")
    assert after["M8x1.25"] > 0.85 > before["M8x1.25"]


def test_a_screw_that_binds_speaks_against_its_own_thread() -> None:
    bound = probabilities(side="internal", minor="6.6..6.8 mm", tried="M8x1.25 screw: tight after 2 turns")
    assert bound["M8x1.25"] < 0.3
    assert bound["5/16-18 UNC"] > bound["M8x1.25"]


def test_a_nut_is_tried_on_a_screw() -> None:
    found = probabilities(major="9.45 mm", tried="3/8-16 UNC nut: will not start")
    plain = probabilities(major="9.45 mm")
    assert found["3/8-16 UNC"] < plain["3/8-16 UNC"]


def test_a_pd_without_limits_still_takes_part_in_a_trial() -> None:
    evidence = read_evidence([], tried="17 BA screw: runs in", side="internal")
    assert np.isfinite(np.log(outcome_probability(evidence.tried[0], side="internal"))).all()


def test_several_places_add_their_spread() -> None:
    one = Readings(major="9.40 mm").major
    many = Readings(major=["9.38 mm", "9.42 mm", "9.40 mm"]).major
    assert one is not None
    assert many is not None
    assert many.value == pytest.approx(9.40)
    assert many.u == pytest.approx(np.hypot(0.02, 0.02))


def test_a_cast_is_enlarged_by_its_shrinkage() -> None:
    hole = identify(Readings(side="internal", major="7.98 mm", pitch="1.25 mm", cast="0.5 %"))
    assert hole.candidates[0].designation == "M8x1.25"


def test_wrong_anvils_make_the_effective_diameter_more_doubtful() -> None:
    near = {"major": "7.85 mm", "pitch_diameter": "6.97 mm", "pitch": "1.25 mm"}
    right = probabilities(**near, anvil=60.0)
    wrong = probabilities(**near, anvil=55.0)
    assert wrong["M8x1.25"] != right["M8x1.25"]


def test_plating_explains_a_screw_above_its_limits() -> None:
    sizes = {"major": "7.99 mm +- 0.003", "pitch_diameter": "7.19 mm +- 0.005", "pitch": "1.25 mm"}
    plated = identify(Readings(**sizes, condition="plated"))
    assert plated.candidates[0].designation == "M8x1.25"
    hole = identify(Readings(side="internal", minor="6.64 mm +- 0.005", condition="plated"))
    assert hole.candidates


def test_evidence_alone_is_enough_to_rank() -> None:
    assert identify(Readings(side="internal", tried="M8 screw: runs in")).candidates


def test_a_measured_taper_speaks_for_a_taper_pipe_thread() -> None:
    sizes = {"major": "20.7 mm", "pitch": "14 tpi"}
    plain = probabilities(**sizes)
    tapered = probabilities(**sizes, taper="20.5 mm and 21.1 mm 9.6 mm apart")
    pipes = [name for name in plain if name.startswith(("R ", "Rc ")) or name.endswith("NPT")]
    assert sum(tapered[name] for name in pipes) > 0.9 > sum(plain[name] for name in pipes)
