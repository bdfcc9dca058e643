"""Slips of the person who measures."""

from __future__ import annotations

import numpy as np
import pytest

from threadwright import judgement
from threadwright.likelihood import LengthColumn, Observations
from threadwright.open_set import find_slips, slip_scores
from threadwright.ranking import observe
from threadwright.readings import Readings


@pytest.mark.parametrize(
    ("given", "kind", "leads_to"),
    [
        ({"major": "9.45 in", "pitch": "20 tpi"}, "millimetre", "3/8-20 BSF"),
        ({"major": "0.62 mm +- 0.002", "minor": "0.52 mm +- 0.002"}, "inch", None),
        ({"major": "3.95 mm", "pitch": "1.25 mm"}, "radius", "M8x1.25"),
        ({"major": "9.9 mm", "pitch": "10 pitches over 13.5 mm by caliper"}, "count", "M10x1.5"),
        ({"major": "23.85 mm", "pitch": "3.5 mm", "minor": "20.2 mm"}, "leaf", "M24x3"),
    ],
)
def test_a_slip_is_found_and_named(given: dict[str, str], kind: str, leads_to: str | None) -> None:
    slips = find_slips(Readings(**given))  # type: ignore[arg-type]
    assert slips[0].kind == kind
    assert leads_to is None or slips[0].leads_to == leads_to
    assert set(slips[0].to_dict()) == {"kind", "reading", "words", "probability", "leads_to"}


def test_good_readings_are_no_slip() -> None:
    assert find_slips(Readings(major="7.9 mm", pitch="1.25 mm")) == ()


def test_wrong_wires_are_named() -> None:
    readings = Readings(major="9.85 mm", over_wires="10.05 mm", wire="0.78 mm", pitch="1.5 mm")
    kinds = {slip.kind for slip in find_slips(readings, least=0.001)}
    assert "wire" in kinds


def test_slips_and_the_rest_add_to_one() -> None:
    scores = slip_scores(observe(Readings(major="8.4 mm", pitch="1.25 mm")))
    total = scores.probability.sum(axis=1) + scores.as_read + scores.none_of_these
    assert total == pytest.approx(1.0)


def test_readings_without_a_diameter_have_no_diameter_slips() -> None:
    scores = slip_scores(observe(Readings(flank_angle="28deg")))
    assert scores.kinds == ()
    assert scores.probability.shape == (1, 0)


def test_an_interval_keeps_its_width_when_a_unit_is_changed() -> None:
    slips = find_slips(Readings(side="internal", minor="0.26..0.27 mm", pitch="10 pitches over 12.5 mm"))
    assert slips[0].kind == "inch"


def test_many_fasteners_are_scored_at_once() -> None:
    many = Observations(n=2, lengths={"major": LengthColumn(np.array([3.95, 7.9]), np.array([0.02, 0.02]))})
    scores = slip_scores(many)
    alone = slip_scores(observe(Readings(major="3.95 mm")))
    assert scores.probability[0] == pytest.approx(alone.probability[0], abs=1e-9)


def test_slips_are_rare() -> None:
    assert sum(judgement.SLIP_SHARE.values()) < 0.05
