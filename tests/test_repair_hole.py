"""The hole and its surroundings: what contradicts itself is refused by name."""

from __future__ import annotations

import math
from typing import Any

import pytest

from threadwright.repair.hole import Surroundings, parse_temperature, read_beyond, read_state
from threadwright.tables.errors import JobError


@pytest.mark.parametrize(
    "given, text",
    [
        ({"depth_mm": 0.0}, "depth: 0.0 is not a size"),
        ({"next_hole_mm": math.inf}, "next hole: inf is not a size"),
        ({"through": True, "floor_mm": 3.0}, "floor: a through hole has none"),
        ({"through": False, "far_side": True}, "far side: a blind hole has none to reach"),
        ({"boss_mm": 8.0, "bore_mm": 8.5}, "boss: 8 mm is no larger than the bore of 8.5 mm"),
        ({"counterbore_mm": 8.0, "bore_mm": 8.5}, "counterbore: 8 mm is no larger than the bore"),
        ({"counterbore_depth_mm": 25.0}, "counterbore: its depth of 25 mm leaves nothing"),
        ({"spigot_mm": 14.1, "mating_bore_mm": 14.0}, "spigot: 14.1 mm does not enter the mating bore"),
        ({"state": "striped"}, "state: no such word 'striped'; did you mean 'stripped'?"),
        ({"beyond": "xyzzy"}, "beyond: no such word 'xyzzy'; write one of: nothing, oil"),
    ],
)
def test_what_cannot_be_is_refused_with_the_remedy(given: dict[str, Any], text: str) -> None:
    with pytest.raises(JobError) as caught:
        Surroundings(**{"depth_mm": 25.0, **given})
    assert text in str(caught.value)


def test_the_nearer_of_boss_and_edge_counts() -> None:
    assert 15.0 == Surroundings(depth_mm=9.0, boss_mm=40.0, edge_mm=15.0).nearest_edge_mm
    assert Surroundings(depth_mm=9.0).nearest_edge_mm is None


def test_a_fluid_beyond_the_floor_keeps_more_of_it() -> None:
    dry, wet = (Surroundings(depth_mm=9.0, floor_mm=5.0, beyond=word) for word in ("nothing", "water"))
    assert (3.0, 2.0) == (dry.spare_below_mm, wet.spare_below_mm)
    assert math.isinf(Surroundings(depth_mm=9.0).spare_below_mm)
    assert 0.0 == Surroundings(depth_mm=9.0, floor_mm=1.0).spare_below_mm


def test_words_are_read_in_any_spelling() -> None:
    assert "off position" == read_state("Off-Position")
    assert "compressed air" == read_beyond(" compressed  AIR ")


@pytest.mark.parametrize(
    "text, celsius", [("80 C", 80.0), ("-20 degC", -20.0), ("212 F", 100.0), ("0 C", 0.0)]
)
def test_temperatures_are_read_with_their_unit(text: str, celsius: float) -> None:
    assert celsius == pytest.approx(parse_temperature(text, name="temperature"))


@pytest.mark.parametrize("text", ["80", "C", "warm", "900 C", "-100 C", "8,5 C", "80 K"])
def test_a_temperature_without_unit_or_sense_is_refused(text: str) -> None:
    with pytest.raises(JobError, match="temperature: cannot take .* write it like '80 C'"):
        parse_temperature(text, name="temperature")
