"""Every way to repair a hole: offered with its numbers or refused with its reason, and the order."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright.repair.bush import case_for
from threadwright.repair.drawer import Drawer
from threadwright.repair.hole import Surroundings
from threadwright.repair.route import Route
from threadwright.repair.routes import ROUTES, work_out_routes
from threadwright.tables.registry import find_thread

METALS: dict[str, Any] = {
    "parent": "cast aluminium", "bush_material": "free-cutting steel",
    "bolt_grade": "unmarked", "clamp_kN": None,
}  # fmt: skip


def routes(
    inner: str = "M8x1.25",
    *,
    drawer: Drawer | None = None,
    part: str | None = None,
    metals: dict[str, Any] | None = None,
    **hole: Any,
) -> dict[str, Route]:
    """Every route by its key, in order, for a hole of the pillar drill's cover."""
    site = Surroundings(**{"depth_mm": 25.0, "boss_mm": 60.0, "through": False, **hole})
    case = case_for(find_thread(inner), site, **{**METALS, **(metals or {})})
    return {one.key: one for one in work_out_routes(case, site, drawer=drawer, part=part)}


def refused(one: Route) -> str:
    assert not one.offered
    assert one.refused_because is not None
    assert one.sentence.lower() == f"{one.refused_because}.".lower()
    return one.refused_because


# --- the whole list ---------------------------------------------------------------------------------


def test_every_route_is_offered_with_numbers_or_refused_with_its_reason() -> None:
    found = routes()
    assert len(ROUTES) + 2 == len(found)
    for one in found.values():
        assert one.sentence.endswith(".")
        plain = one.to_dict()
        assert json.loads(json.dumps(plain, allow_nan=False)) == plain
        assert ("refused_because" in plain) != ("holds" in plain)
    assert all(one.numbers and one.tools for one in found.values() if one.offered)


def test_they_come_by_holds_then_metal_then_tools_then_what_can_be_undone() -> None:
    found = routes(bore_mm=7.3, state="worn", through=True, far_side=True)
    ranks = [one.rank for key, one in found.items() if key not in ("welding", "filling")]
    assert sorted(ranks) == ranks
    holding = [one.metal_mm3 for one in found.values() if one.offered and one.holds]
    assert sorted(holding) == holding
    assert "through bolt" == next(iter(found))


def test_welding_and_filling_are_named_and_never_calculated() -> None:
    found = routes()
    assert "is not calculated" in refused(found["welding"])
    assert "no strength to calculate" in refused(found["filling"])


@pytest.mark.parametrize("metals, part", [({"parent": "zinc die casting"}, None), ({}, "belt guard")])
def test_zinc_and_dangerous_uses_get_no_verdict_on_any_route(
    metals: dict[str, Any], part: str | None
) -> None:
    found = routes(metals=metals, part=part, through=True, far_side=True, bore_mm=7.0, state="worn")
    offered = [one for one in found.values() if one.offered]
    assert len(offered) > 5
    assert {(None, None)} == {(one.holds, one.clamp_kN) for one in offered}
    assert all("no verdict is given" in one.sentence for one in offered)


def test_a_broken_screw_must_come_out_first_whatever_follows() -> None:
    found = routes(state="broken screw", bore_mm=6.8)
    offered = [one for one in found.values() if one.offered]
    assert offered
    assert all(str(one.first).startswith("get the broken screw out") for one in offered)
    assert "a broken screw stands in the hole" == refused(found["leave"])
    assert refused(found["chase"]).startswith("see what thread is left")
    assert all(one.first is None for one in routes().values())


# --- what keeps the thread --------------------------------------------------------------------------


def test_a_cover_with_a_small_clamp_load_is_left_as_it_is() -> None:
    """M8-6g least major 7.760 mm in a bore of 7.1 mm: overlap 0.33 mm, 49 % of 0.541266 P."""
    found = routes(bore_mm=7.1, metals={"clamp_kN": 2.0})["leave"]
    assert found.offered
    assert found.holds is True
    left = (7.760 - 7.1) / 2
    numbers = dict(found.numbers)
    assert numbers["overlap_mm"] == pytest.approx(left)
    assert numbers["share_of_depth"] == pytest.approx(left / (0.541266 * 1.25), abs=1e-5)
    assert "nothing is changed" == found.reversible
    assert found.metal_mm3 == 0.0


def test_the_strip_load_of_a_worn_thread_goes_with_its_overlap_by_hand() -> None:
    found = routes(bore_mm=7.1, metals={"clamp_kN": 2.0})["leave"]
    area = math.pi * 22.5 / 1.25 * 7.760 * (0.625 + math.tan(math.radians(30)) * (7.760 - 7.348))
    share = (7.760 - 7.1) / 2 / (0.541266 * 1.25)
    assert found.strip_kN == pytest.approx(share * 0.52 * 130 * area / 1000, rel=1e-5)
    assert found.clamp_kN == pytest.approx(0.6 * found.strip_kN)


def test_too_little_overlap_is_neither_left_nor_chased() -> None:
    found = routes(bore_mm=7.6, state="worn")
    assert "12 % of the thread's depth is left, 25 % wanted" == refused(found["leave"])
    assert "12 % of the thread's depth is left, 50 % wanted" == refused(found["chase"])


def test_a_bore_that_nobody_measured_is_asked_for() -> None:
    found = routes(state="worn")
    for key in ("leave", "chase"):
        assert "measure the bore over what is left of the thread first" == refused(found[key])


def test_a_damaged_thread_with_depth_left_is_chased_and_a_stripped_one_is_not() -> None:
    chased = routes(state="damaged", bore_mm=6.9, metals={"clamp_kN": 2.0})["chase"]
    assert ("tap M8x1.25",) == chased.tools
    assert chased.holds is True
    assert "no metal left" in refused(routes(state="stripped", bore_mm=6.9)["chase"])


def test_a_longer_screw_reaches_thread_that_the_old_one_never_used() -> None:
    found = routes(screw_length_mm=22.0, mating_thickness_mm=12.0, metals={"clamp_kN": 4.0})["longer screw"]
    assert found.holds is True
    assert (37.0, 15.0, 12.5) == tuple(value for _, value in found.numbers)
    assert "too little" in refused(routes(screw_length_mm=33.0, mating_thickness_mm=10.0)["longer screw"])
    assert refused(routes()["longer screw"]).startswith("give the screw's length")


# --- what cuts another thread -----------------------------------------------------------------------


def test_a_wire_insert_states_its_hole_and_depths() -> None:
    numbers = dict(routes()["wire insert"].numbers)
    assert 9.624 == round(numbers["hole_major_mm"], 3)
    assert 20.0 == numbers["length_mm"]
    assert numbers["drilling_depth_plug_tap_mm"] == 20.0 + 6 * 1.25 + 4.0


@pytest.mark.parametrize(
    "hole, inner, text",
    [
        ({"depth_mm": 9.0}, "M8", "the shortest wants 9.2 mm of full thread"),
        ({"spigot_mm": 14.0}, "M8", "leaves no seat for the spigot"),
        ({"boss_mm": 24.0}, "M8", "the edge is 12.0 mm from the centre, 14.4 mm wanted"),
        ({"state": "out of square"}, "M8", "it follows the old hole"),
        ({}, "M8 LH", "inserts for left-hand threads"),
        ({}, "Tr 10x2", "the flanks of this one are steep"),
        ({}, "1/8 NPT", "wire is wound for parallel threads"),
        ({"floor_mm": 2.0, "depth_mm": 11.0}, "M8", "room for the tap below it"),
    ],
)
def test_a_wire_insert_is_refused_with_its_reason(hole: dict[str, Any], inner: str, text: str) -> None:
    assert text in refused(routes(inner, **hole)["wire insert"])


def test_a_wire_insert_for_a_whitworth_thread_says_that_its_sizes_are_estimated() -> None:
    assert "sizes estimated" in routes("3/8-20 BSF")["wire insert"].sentence


def test_a_stepped_stud_cleans_the_old_thread_up() -> None:
    numbers = dict(routes()["stepped stud"].numbers)
    assert numbers["hole_minor_mm"] >= 8.0
    metric = routes(drawer=Drawer.from_mapping({"taps": ["M9x1", "M10x1.5", "M12x1.5"]}))["stepped stud"]
    assert "M10x1.5 below and M8x1.25 above" in metric.sentence


@pytest.mark.parametrize(
    "inner, use", [("G 1/8", "joins hollow parts"), ("Tr 10x2", "is that of a screw that")]
)
def test_no_stud_and_no_bolt_takes_the_place_of_a_pipe_or_of_a_screw_that_moves(inner: str, use: str) -> None:
    found = routes(inner, boss_mm=90.0, through=True, far_side=True)
    for key, what in (("stepped stud", "stud"), ("through bolt", "bolt")):
        assert f"{use}" in refused(found[key])
        assert f"no {what} takes its place" in refused(found[key])
    assert all(one.clamp_kN is None and "clamp with" not in one.sentence for one in found.values())


@pytest.mark.parametrize(
    "hole, text",
    [
        ({"state": "off position"}, "it follows the old hole"),
        ({"boss_mm": 20.0}, "the edge is 10.0 mm from the centre"),
        ({"spigot_mm": 14.0}, "leaves no seat for the spigot"),
        ({"depth_mm": 5.0}, "leaves too few full threads"),
        ({"drawer": Drawer.from_mapping({"taps": ["M8"]})}, "no tap at hand"),
    ],
)
def test_a_stepped_stud_is_refused_with_its_reason(hole: dict[str, Any], text: str) -> None:
    assert text in refused(routes(**hole)["stepped stud"])


@pytest.mark.parametrize(
    "hole, text",
    [
        ({}, "the hole is blind"),
        ({"through": None}, "nothing says that a nut can be reached"),
        ({"through": True, "far_side": False}, "the far side cannot be reached"),
        ({"through": True, "far_side": True, "spigot_mm": 14.0}, "leaves no seat for the spigot"),
        ({"through": True, "far_side": True, "boss_mm": 15.0}, "the edge is 7.5 mm"),
    ],
)
def test_a_through_bolt_is_refused_with_its_reason(hole: dict[str, Any], text: str) -> None:
    assert text in refused(routes(**hole)["through bolt"])


def test_a_through_bolt_carries_what_the_screw_carries() -> None:
    found = routes(through=True, far_side=True)["through bolt"]
    assert (True, 9.0) == (found.holds, dict(found.numbers)["clearance_mm"])


# --- what is turned ---------------------------------------------------------------------------------


def test_where_the_screw_carries_a_spigot_only_the_routes_with_a_seat_are_left() -> None:
    found = routes(spigot_mm=14.0, mating_bore_mm=14.02, counterbore_mm=16.0, counterbore_depth_mm=3.0)
    assert {"ring dowel", "collar bush"} == {key for key, one in found.items() if one.offered}
    numbers = dict(found["collar bush"].numbers)
    assert (16.0, 3.0) == (numbers["collar_mm"], numbers["collar_length_mm"])
    assert numbers["spigot_wall_mm"] == pytest.approx((14.0 - 9.0) / 2)
    assert "a thread does not locate" in refused(found["plain bush"])


@pytest.mark.parametrize(
    "spigot, text", [(7.9, "no larger than the screw"), (9.4, "leaves a wall of 0.45 mm")]
)
def test_a_spigot_that_cannot_go_round_the_screw_is_refused_with_its_relief(spigot: float, text: str) -> None:
    found = routes(spigot_mm=spigot)
    for key in ("collar bush", "ring dowel"):
        assert text in refused(found[key])
        assert "bore the mating part to 10.1 mm or more, take a smaller screw, or" in refused(found[key])


def test_a_ring_must_sit_in_the_part_and_not_in_the_bush() -> None:
    assert "a ring of 12.20 mm or more would do" in refused(routes(spigot_mm=11.0)["ring dowel"])
    assert "nothing is located round this screw" == refused(routes()["ring dowel"])
    assert "follows the old hole" in refused(routes(spigot_mm=14.0, state="off position")["ring dowel"])
    assert "depth: " in refused(routes(spigot_mm=14.0, depth_mm=6.0)["ring dowel"])


def test_the_collar_binds_by_its_counterbore_or_the_edge() -> None:
    assert refused(routes(counterbore_mm=10.0)["collar bush"]).startswith("collar: 10 mm across")
    assert "breaks out of the edge" in refused(routes(counterbore_mm=38.0, boss_mm=40.0)["collar bush"])


def test_a_hole_off_position_is_bored_true_or_plugged() -> None:
    found = routes(state="off position", off_by_mm=0.5)
    assert {"collar bush", "plug"} == {key for key, one in found.items() if one.offered}
    assert "drilled 0.5 mm over" in found["plug"].sentence
    far = routes(state="off position", off_by_mm=1.5)
    assert (
        dict(far["collar bush"].numbers)["outer_major_mm"]
        > dict(found["collar bush"].numbers)["outer_major_mm"]
    )
    taps = Drawer.from_mapping({"taps": ["M12x1.5", "M14x1.5"]})
    own = routes(state="off position", off_by_mm=2.5, drawer=taps)["collar bush"]
    assert "old hole: bored true it is cleaned up from 13.34 mm only, and M14x1.5 bores" in refused(own)
    assert dict(far["plug"].numbers)["wall_mm"] >= 0.25 * 8 + 1.5


def test_a_plug_needs_room_and_leaves_no_seat() -> None:
    assert "boss: 36 mm across" in refused(routes(boss_mm=36.0)["plug"])
    assert "no seat for the spigot" in refused(routes(spigot_mm=14.0)["plug"])


@pytest.mark.parametrize(
    "hole, text",
    [
        ({}, "the hole is blind"),
        ({"through": None}, "nothing says that the far side is reached"),
        ({"through": True, "far_side": True, "boss_mm": 13.0}, "reaches over the edge at 6.5 mm"),
        ({"through": True, "far_side": True, "spigot_mm": 14.0}, "no seat for the spigot"),
        ({"through": True, "far_side": True, "state": "off position"}, "follows the old hole"),
    ],
)
def test_a_flanged_bush_is_refused_with_its_reason(hole: dict[str, Any], text: str) -> None:
    assert text in refused(routes(**hole)["flanged bush"])


def test_the_flange_is_made_thick_enough_for_the_screw() -> None:
    found = routes(through=True, far_side=True, metals={"bolt_grade": "8.8"})["flanged bush"]
    numbers = dict(found.numbers)
    shear = 0.6 * 380 * math.pi * numbers["barrel_mm"] * numbers["flange_thickness_mm"] / 1000
    assert shear >= 1.25 * 800 * 36.6 / 1000 * 0.999
    assert found.strip_kN is not None


def test_a_special_tap_is_named_among_the_tools() -> None:
    found = routes(boss_mm=30.5)["plain bush"]
    assert found.tools[0].endswith("(special)")


def test_a_load_asked_for_and_not_carried_is_said_so() -> None:
    found = routes(depth_mm=8.0, metals={"clamp_kN": 8.0, "parent": "LM0-M"})
    short = [one for one in found.values() if one.offered and one.holds is False]
    assert short
    assert any("it does not carry 1.25 times the 8.0 kN asked" in one.sentence for one in short)


@settings(max_examples=25)
@given(st.floats(8.0, 40.0), st.sampled_from(["LM0-M", "LM6", "grey iron"]), st.floats(0.5, 8.0))
def test_a_smaller_load_never_makes_a_route_fail(depth: float, parent: str, clamp: float) -> None:
    low, high = (
        routes(depth_mm=depth, metals={"parent": parent, "clamp_kN": load}) for load in (clamp / 2, clamp)
    )
    for key in ("wire insert", "stepped stud"):
        if high[key].offered and high[key].holds:
            assert low[key].holds
