"""What keeps a bush from turning, and what its two metals do to each other."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.repair.bush import recommend_bush
from threadwright.repair.fixing import Joint, compound, fix_bush, key_pin, metals_warning, unscrewing_torque
from threadwright.repair.making import work_up
from threadwright.repair.wish import Wish
from threadwright.tables.joints import JOINTS, clearance_change, galvanic_difference
from threadwright.tables.materials import MATERIALS, find_material


def joint(parent: str = "grey iron", bush: str = "mild steel", **changed: object) -> Joint:
    usual = Joint(
        parent=find_material(parent),
        bush=find_material(bush),
        diameter_mm=9.5,
        length_mm=12.0,
        pitch_mm=1.0,
        screw_mm=6.0,
        clamp_kN=5.0,
        wall_mm=1.5,
        gap_mm=(0.02, 0.08),
    )
    return replace(usual, **changed)  # type: ignore[arg-type]


# --- the two metals ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "bush, parent, volts",
    [
        ("stainless steel", "cast aluminium", 0.84),
        ("brass", "cast aluminium", 0.44),
        ("steel", "cast aluminium", 0.09),
        ("brass", "grey iron", 0.30),
        ("stainless steel", "grey iron", 0.70),
        ("steel", "magnesium", 0.95),
    ],
)
def test_pairs_of_metals_stand_as_far_apart_as_the_galvanic_table_says(
    bush: str, parent: str, volts: float
) -> None:
    assert volts == round(galvanic_difference(find_material(parent).kind, bush), 2)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "bush, parent, change_um",
    [
        ("brass", "cast aluminium", 1.8),
        ("steel", "cast aluminium", 16.0),
        ("stainless steel", "cast aluminium", 7.5),
        ("brass", "grey iron", -16.2),
        ("stainless steel", "grey iron", -10.4),
    ],
)
def test_a_bush_of_20_mm_warmed_by_80_k_loosens_in_aluminium_and_tightens_in_iron(
    bush: str, parent: str, change_um: float
) -> None:
    change = clearance_change(parent, bush, diameter=20.0, warming=80.0)  # type: ignore[arg-type]
    assert change_um == round(1000 * change, 1)


def test_every_metal_of_the_tables_has_a_potential_and_an_expansion() -> None:
    assert {entry.kind for entry in MATERIALS} == set(JOINTS)


@given(st.sampled_from(sorted(JOINTS)), st.sampled_from(sorted(JOINTS)))
def test_changing_part_and_bush_about_turns_both_signs_round(first: str, second: str) -> None:
    one, other = first, second
    assert galvanic_difference(one, other) == -galvanic_difference(other, one)  # type: ignore[arg-type]
    forth = clearance_change(one, other, diameter=12.0, warming=60.0)  # type: ignore[arg-type]
    assert forth == -clearance_change(other, one, diameter=12.0, warming=60.0)  # type: ignore[arg-type]


def test_the_warning_names_which_side_damp_eats_and_by_how_many_volts() -> None:
    stainless = metals_warning(joint("cast aluminium", "stainless steel"))
    assert "0.84 V apart" in stainless[0]
    assert "Damp eats the part" in stainless[0]
    assert "Damp eats the bush" in metals_warning(joint("brass", "mild steel"))[0]
    assert "Damp" not in metals_warning(joint("grey iron", "mild steel"))[0]


def test_only_steel_goes_bare_into_magnesium() -> None:
    assert any(
        "Never bare brass in magnesium" in line for line in metals_warning(joint("magnesium", "brass"))
    )
    assert not any("Never bare" in line for line in metals_warning(joint("magnesium", "mild steel")))


def test_the_service_temperature_takes_the_place_of_the_usual_warming() -> None:
    cold = metals_warning(joint("cast aluminium", service_C=-20.0))
    assert any("Warmed by -40 K the bush tightens" in line for line in cold)
    assert any("Warmed by 80 K the bush loosens" in line for line in metals_warning(joint("cast aluminium")))
    assert any("grow alike" in line for line in metals_warning(joint("mild steel")))


def test_what_is_from_memory_is_said_and_what_was_read_is_not() -> None:
    assert any(line.startswith("From memory") for line in metals_warning(joint()))
    assert not any(
        line.startswith("From memory") for line in metals_warning(joint("cast aluminium", "brass"))
    )


# --- compound ---------------------------------------------------------------------------------------


def test_the_breakaway_torque_is_shear_over_the_bond_times_its_radius() -> None:
    bond = compound(joint(), against_Nm=6.0)
    by_hand = 10.0 * math.pi * 9.5 * 12.0 * 9.5 / 2 / 1000
    assert math.isclose(by_hand, bond.torque_Nm[0])
    assert (17, "carries the screw's torque, estimated") == (round(by_hand), bond.verdict.split(";")[0])
    assert bond.ratio == pytest.approx(by_hand / 6.0)


def test_passive_metal_and_heat_each_halve_the_bond() -> None:
    plain, passive = (compound(joint(metal), against_Nm=6.0) for metal in ("grey iron", "cast aluminium"))
    hot = compound(joint(service_C=120.0), against_Nm=6.0)
    assert [plain.torque_Nm[0] / 2] * 2 == [passive.torque_Nm[0], hot.torque_Nm[0]]
    assert any("use an activator" in note for note in passive.notes)
    assert any("Above 100 C" in note for note in hot.notes)
    assert not any("activator" in note or "Above" in note for note in plain.notes)


def test_a_bond_that_the_screw_breaks_asks_for_a_pin() -> None:
    assert "add a key pin" in compound(joint(length_mm=2.0), against_Nm=6.0).verdict


@pytest.mark.parametrize(
    "gap, words",
    [
        ((0.02, 0.08), "any grade"),
        ((0.03, 0.2), "take a thick grade"),
        ((0.03, 0.3), "no grade bridges it"),
        (None, "the tables give no limits"),
    ],
)
def test_the_gap_of_the_thread_decides_the_grade(gap: tuple[float, float] | None, words: str) -> None:
    assert any(words in note for note in compound(joint(gap_mm=gap), against_Nm=6.0).notes)


def test_clean_dry_and_heat_are_told_with_every_bond() -> None:
    notes = " ".join(compound(joint(), against_Nm=6.0).notes)
    assert all(word in notes for word in ("Clean and dry", "heat the bush", "from memory"))
    assert "near food" in compound(joint(), against_Nm=6.0).verdict


# --- key pin ----------------------------------------------------------------------------------------


@given(
    wall=st.floats(0.2, 6.0),
    length=st.floats(2.0, 40.0),
    across=st.floats(6.0, 40.0),
    parent=st.sampled_from(["grey iron", "cast aluminium", "mild steel"]),
)
def test_a_key_pin_never_takes_more_than_its_share_of_the_wall_and_gives_way_at_the_weakest(
    wall: float, length: float, across: float, parent: str
) -> None:
    one = joint(parent, wall_mm=wall, length_mm=length, diameter_mm=across)
    pin = key_pin(one, against_Nm=5.0)
    if pin is None:
        assert min(judgement.KEY_PINS_MM) / 2 > judgement.KEY_PIN_WALL_SHARE * wall
        return
    assert pin.diameter_mm / 2 <= judgement.KEY_PIN_WALL_SHARE * wall
    assert pin.length_mm <= length
    assert one.parent.tensile is not None
    bearing = one.parent.tensile * pin.length_mm * pin.diameter_mm / 2 * across / 2 / 1000
    assert pin.torque_Nm <= bearing * (1 + 1e-12)


def test_thread_or_collar_is_pinned_where_the_pin_stands_more() -> None:
    thin = key_pin(joint(collar=(14.0, 8.0)), against_Nm=6.0)
    assert thin is not None
    assert ("collar", 14.0, 8.0, 8.0) == (thin.place, thin.circle_mm, thin.length_mm, thin.deep_mm)
    low = key_pin(joint(collar=(14.0, 1.0), wall_mm=3.0), against_Nm=6.0)
    assert low is not None
    assert ("thread", 9.5, 12.0, 13.0) == (low.place, low.circle_mm, low.length_mm, low.deep_mm)


def test_a_pin_is_drilled_beside_a_spigot_or_not_at_all() -> None:
    wide = joint(collar=(20.0, 3.0), spigot_mm=16.0, wall_mm=3.0)
    pin = key_pin(wide, against_Nm=6.0)
    assert pin is not None
    assert "collar" == pin.place
    assert pin.circle_mm - pin.diameter_mm >= 16.0
    full = replace(wide, spigot_mm=19.9)
    assert None is key_pin(full, against_Nm=6.0)
    assert fix_bush(full).together.startswith("The compound may do alone")


def test_what_does_not_hold_together_says_how_far_the_screw_may_be_tightened() -> None:
    weak = fix_bush(joint("cast aluminium", length_mm=3.0, wall_mm=0.5, clamp_kN=9.0))
    assert "The compound stands about 2.1 N m, 10.8 N m are asked: not to be trusted" in weak.together
    assert "no more than 1.8 kN" in weak.together
    pinned = fix_bush(joint(length_mm=4.0, wall_mm=2.0))
    assert "Compound and pin together stand about" in pinned.together
    assert "enough, estimated" in pinned.together


def test_where_it_is_hot_a_compound_that_carries_is_never_alone() -> None:
    hot = fix_bush(joint(service_C=130.0, wall_mm=2.0))
    assert (hot.compound.ratio or 0.0) > 1
    assert not hot.compound.alone
    assert "never alone at 130 C: add a key pin" in hot.compound.verdict
    assert "enough, estimated" in hot.together
    bare = fix_bush(joint(service_C=130.0, wall_mm=0.2))
    assert "is not to be trusted alone at 130 C, and no pin finds room" in bare.together


def test_a_short_pin_in_hard_metal_shears_and_one_in_zinc_counts_for_nothing() -> None:
    steel = key_pin(joint("mild steel", "stainless steel"), against_Nm=6.0)
    assert steel is not None
    assert "the part" == steel.gives_way
    zinc = key_pin(joint("zinc die casting"), against_Nm=6.0)
    assert zinc is not None
    assert (0.0, True) == (zinc.torque_Nm, zinc.gives_way.startswith("the part (no strength"))


# --- all of it --------------------------------------------------------------------------------------


def test_the_screw_is_undone_with_what_it_was_tightened_with() -> None:
    assert 12.8 == unscrewing_torque(8.0, screw_mm=8.0)
    assert fix_bush(joint()).screw_torque_Nm == unscrewing_torque(5.0, screw_mm=6.0)


def test_where_nothing_is_clamped_no_torque_is_told_and_the_compound_is_not_trusted_alone() -> None:
    pinned, bare = (fix_bush(joint(wall_mm=wall, clamp_kN=None)) for wall in (2.0, 0.2))
    assert None is pinned.screw_torque_Nm
    assert (None, False) == (pinned.compound.ratio, pinned.compound.alone)
    assert "not judged: add a key pin" in pinned.compound.verdict
    assert pinned.undoing.startswith("What torque comes on the bush is not known")
    assert pinned.together.startswith("Compound and pin together stand about")
    assert bare.together.startswith("The compound stands about 17.0 N m: hold the bush")
    told = pinned.to_dict()
    assert None is told["screw_torque_Nm"]
    assert pinned.key_pin is not None
    assert [None, None] == [one.to_dict()["over_screw_torque"] for one in (pinned.compound, pinned.key_pin)]


@pytest.mark.parametrize("inner", ["G 1/2", "1/2 NPT", "Tr 20x4", "M20"])
def test_only_the_bush_of_a_screw_that_clamps_is_fixed_against_a_torque(inner: str) -> None:
    plan = work_up(recommend_bush(inner, parent="grey iron", depth_mm=30.0), wish=Wish())
    assert plan.making is not None
    fixing = plan.making.fixing
    assert ("M20" == inner) == (fixing.screw_torque_Nm is not None) == (plan.torque is not None)
    assert ("M20" != inner) == ("hold the bush whenever" in fixing.together)
    assert plan.loads.least_strip > plan.loads.screw


def test_brittle_metals_are_not_staked() -> None:
    assert fix_bush(joint()).staking.startswith("Do not stake: grey iron")
    assert "light duty" in fix_bush(joint("cast aluminium")).staking


@pytest.mark.parametrize(
    "blind, words", [(True, "The hole is blind"), (None, "Unless the hole goes through"), (False, None)]
)
def test_a_vent_flat_is_filed_unless_the_hole_goes_through(blind: bool | None, words: str | None) -> None:
    vent = fix_bush(joint(blind=blind)).vent
    assert (vent is None) == (words is None)
    assert vent is None or vent.startswith(words or "")


def test_the_hand_of_the_screw_tells_which_way_the_bush_is_turned() -> None:
    assert "Undoing the right-hand screw turns the right-hand bush out" in fix_bush(joint()).hand
    other = fix_bush(joint(left_hand_screw=True)).hand
    assert "Tightening the left-hand screw turns the right-hand bush out" in other


def test_plain_data_holds_every_way_of_fixing() -> None:
    told = fix_bush(joint(wall_mm=0.1)).to_dict()
    assert None is told["key_pin"]
    told = fix_bush(joint(wall_mm=3.0)).to_dict()
    assert {
        "diameter_mm", "length_mm", "circle_mm", "torque_Nm", "over_screw_torque", "gives_way", "place",
        "deep_mm",
    } == set(told["key_pin"])  # type: ignore[call-overload]  # fmt: skip
    assert {"breakaway_Nm", "over_screw_torque", "alone", "verdict", "notes"} == set(told["compound"])  # type: ignore[call-overload]
