"""The bush: wall, edge, depth, the loads worked by hand, and the choice among the threads."""

import json
import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from project_files import ROOT
from threadwright import judgement
from threadwright.repair.bush import recommend_bush
from threadwright.repair.candidates import outer_threads
from threadwright.repair.cautions import (
    ALWAYS,
    DANGEROUS_USES,
    METAL_CAUTIONS,
    NAMED_USES,
    SHOP,
    cautions_for,
    dangerous_use,
)
from threadwright.repair.drawer import Drawer, read_drawer
from threadwright.repair.strength import boss_hoop_stress
from threadwright.repair.usual import usual_tap
from threadwright.repair.wall import edge_distance, least_wall, wall, worst_sizes
from threadwright.tables.errors import FileFaultError, JobError, MaterialError, UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.materials import MATERIALS, find_material
from threadwright.tables.registry import find_thread

COVER = {"parent": "cast aluminium", "depth_mm": 25.0, "boss_mm": 40.0}
TONF = 15.444256  # MPa


def drawer(*taps, dies=()):
    return Drawer.from_mapping({"taps": list(taps), "dies": list(dies)})


@pytest.fixture(scope="module")
def plan():
    return recommend_bush("M8x1.25", **COVER)


@pytest.fixture(scope="module")
def others(plan):
    return {one["designation"]: one for one in plan.to_dict()["alternatives"]}


# --- the cover of a milk separator: M8 in cast aluminium, 25 mm deep, boss 40 mm ------------------


def test_the_inner_thread_reaches_8_340_mm_at_most(plan):
    assert plan.to_dict()["bush"]["inner_greatest_major_mm"] == 8.34


@pytest.mark.parametrize("name", ["M10x1", "M12x1.75", "M12x1.5", "M12x1.25", "M14x1.5"])
def test_the_least_root_lies_0_616025_pitches_below_the_least_pitch_diameter(name):
    thread = find_thread(name)
    least = thread.limits("external", "6g").pitch_diameter_min
    assert worst_sizes(thread).screw_least_root == least - 0.616025 * thread.pitch


@pytest.mark.parametrize(
    "name, walled",
    [("M10x1", 0.128), ("M12x1.75", 0.630), ("M12x1.5", 0.795), ("M12x1.25", 0.959), ("M14x1.5", 1.795)],
)
def test_walls_round_m8(name, walled):
    found = wall(outer=worst_sizes(find_thread(name)), inner=worst_sizes(find_thread("M8x1.25")))
    assert round(found, 3) == walled


def test_m12x1_5_is_recommended_and_the_screw_is_the_fuse(plan):
    answer = plan.to_dict()
    assert answer["bush"]["outer_thread"]["designation"] == "M12x1.5"
    assert answer["bush"]["wall_mm"] == 0.795
    assert (answer["loads_kN"]["limited_by"], answer["verdict"], answer["holds"]) == ("screw", "holds", True)


def test_the_runners_up_are_refused_on_wall_or_say_what_they_lose_by(others):
    assert others["M12x1.75"]["refused_because"] == "wall 0.630 mm, 0.75 mm wanted"
    assert others["M10x1"]["refused_because"] == "wall 0.128 mm, 0.75 mm wanted"
    for name, walled in (("M12x1.25", 0.959), ("M14x1.5", 1.795)):
        assert others[name]["wall_mm"] == walled
        assert "refused_because" not in others[name]
    assert others["M12x1.25"]["loses_by"].startswith("margin 2.08")
    assert "takes 2.00 mm more on the diameter" in others["M14x1.5"]["loses_by"]


def test_a_special_tap_of_less_diameter_is_named_but_not_picked(others):
    assert others["M11x0.75"]["loses_by"] == "needs a special tap"


def test_parent_strip_load_by_hand(plan):
    """pi L/P d_min [P/2 + tan 30 (d_min - D2max)] times 0.52 x 130 MPa; 25 - 2 x 1.5 mm engaged."""
    d_min = 12 - 0.032 - 0.236
    d2_max = 11.026 + 0.190
    area = math.pi * 22 / 1.5 * d_min * (0.75 + math.tan(math.radians(30)) * (d_min - d2_max))
    assert plan.loads.parent_strip == pytest.approx(0.52 * 130 * area / 1000, rel=1e-9)


def test_bush_outer_strip_load_by_hand(plan):
    """pi L/P D1max [P/2 + tan 30 (d2_min - D1max)] times 0.6 of 380 MPa."""
    d1_max = 10.376 + 0.300
    d2_min = 11.026 - 0.032 - 0.140
    area = math.pi * 22 / 1.5 * d1_max * (0.75 + math.tan(math.radians(30)) * (d2_min - d1_max))
    assert plan.loads.bush_outer_strip == pytest.approx(0.6 * 380 * area / 1000, rel=1e-9)


def test_bush_inner_strip_load_by_hand(plan):
    """M8x1.25-6g in 6H, 25 - 2 x 1.25 mm engaged."""
    d_min = 8 - 0.028 - 0.212
    d2_max = 7.188 + 0.160
    area = math.pi * 22.5 / 1.25 * d_min * (0.625 + math.tan(math.radians(30)) * (d_min - d2_max))
    assert plan.loads.bush_inner_strip == pytest.approx(0.6 * 380 * area / 1000, rel=1e-9)


def test_screw_breaking_load_by_hand(plan):
    """Stress area of ISO 898-1 times 26 tonf/in2."""
    area = math.pi / 4 * ((7.188 + 8 - 1.226869 * 1.25) / 2) ** 2
    assert plan.loads.screw == pytest.approx(26 * TONF * area / 1000, rel=1e-9)


def test_tapping_drills_lie_inside_the_minor_limits(plan):
    assert (plan.bush.outer_thread.tapping_drill_mm, plan.bush.inner_tapping_drill_mm) == (10.5, 6.8)
    assert plan.bush.outer_thread.hole_minor_mm == (10.376, 10.676)


def test_the_clamp_load_is_six_tenths_of_the_weakest(plan):
    assert plan.allowed_clamp_kN == pytest.approx(0.6 * plan.loads.screw)


def test_a_boss_of_14_mm_is_refused_by_name_with_what_would_do():
    with pytest.raises(
        JobError, match=r"boss: 14 mm across is too little .* M12x1.5, wants a boss of 36.0 mm"
    ):
        recommend_bush("M8x1.25", **{**COVER, "boss_mm": 14.0})


def test_a_depth_of_4_mm_is_refused_by_name_with_what_would_do():
    with pytest.raises(JobError, match=r"depth: 4 mm .* M8x1.25; deepen the hole to 6.25 mm or more"):
        recommend_bush("M8x1.25", **{**COVER, "depth_mm": 4.0})


def test_boss_and_depth_are_both_named_when_both_bind():
    with pytest.raises(
        JobError, match=r"^boss: 14 mm .*; depth: 4 mm .*; otherwise use a through bolt and nut$"
    ):
        recommend_bush("M8x1.25", parent="cast aluminium", depth_mm=4.0, boss_mm=14.0)


def test_a_depth_that_suits_the_inner_thread_alone_names_the_finest_outer_one():
    with pytest.raises(JobError, match=r"depth: 7 mm .* of M14x1.5; deepen the hole to 7.50 mm"):
        recommend_bush("M8x1.25", parent="cast aluminium", depth_mm=7.0, drawer=drawer("M14x2", "M14x1.5"))


def test_from_a_drawer_of_m12x1_75_and_m14x1_5_the_answer_is_m14x1_5():
    found = recommend_bush("M8x1.25", **COVER, drawer=drawer("M12x1.75", "M14x1.5"))
    assert found.bush.outer_thread.designation == "M14x1.5"
    assert found.cautions[0].startswith(
        "Edge: 20.0 mm from the hole's centre to the edge where 21.0 mm is wanted"
    )
    assert [(one.designation, one.refused_because) for one in found.alternatives] == [
        ("M12x1.75", "wall 0.630 mm, 0.75 mm wanted")
    ]


def test_an_edge_more_than_a_tenth_short_is_refused():
    taps = drawer("M14x1.5")
    assert (
        recommend_bush("M8", parent="cast aluminium", depth_mm=25.0, edge_mm=18.9, drawer=taps).edge_mm
        == 18.9
    )
    with pytest.raises(JobError, match=r"edge: 18.8 mm from the hole's centre .* wants 21.0 mm to the edge"):
        recommend_bush("M8", parent="cast aluminium", depth_mm=25.0, edge_mm=18.8, drawer=taps)


def test_a_thread_that_keeps_the_edge_rule_comes_before_one_that_does_not():
    """In a boss of 40 mm M12 keeps 1.5 diameters to the edge, M14 does not."""
    found = recommend_bush("M8x1.25", **COVER, drawer=drawer("M14x1.5", "M12x1.25"))
    assert found.bush.outer_thread.designation == "M12x1.25"


def test_the_nearer_of_boss_and_edge_counts():
    assert recommend_bush("M8", **COVER, edge_mm=19.0).edge_mm == 19.0
    assert recommend_bush("M8", **COVER, edge_mm=50.0).edge_mm == 20.0


def test_cast_iron_wants_two_diameters():
    iron, aluminium = find_material("cast iron"), find_material("cast aluminium")
    assert (edge_distance(iron, outer_major_mm=12.0), edge_distance(aluminium, outer_major_mm=12.0)) == (
        24.0,
        18.0,
    )


# --- wall by metal --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "metal, pitch, least",
    [
        ("free-cutting steel", 1.25, 0.75),
        ("stainless steel", 1.0, 0.7),
        ("brass", 1.0, 1.0),
        ("bronze", 1.5, 1.2),
    ],
)
def test_least_wall_is_the_greater_of_a_share_of_the_pitch_and_a_fixed_wall(metal, pitch, least):
    assert least_wall(find_material(metal), inner_pitch_mm=pitch) == pytest.approx(least)


def test_a_brass_bush_needs_a_larger_thread_than_a_steel_one():
    brass = recommend_bush("M8x1.25", **{**COVER, "boss_mm": 60.0}, bush_material="brass")
    assert brass.bush.least_wall_mm == 1.0
    assert brass.bush.outer_thread.major_mm > 12.0


def test_a_bush_is_not_made_of_iron():
    with pytest.raises(MaterialError, match="no rule for a bush of grey iron; write free-cutting steel"):
        recommend_bush("M8", **COVER, bush_material="cast iron")


# --- loads that do not suffice --------------------------------------------------------------------


def test_a_strong_screw_in_soft_metal_gets_the_strongest_thread_and_a_clamp_load():
    found = recommend_bush("M8", parent="LM0-M", depth_mm=12.0, boss_mm=40.0, bolt_grade="12.9")
    assert (found.verdict, found.holds, found.loads.limited_by) == (
        "reduced clamp load",
        False,
        "parent_strip",
    )
    assert found.allowed_clamp_kN == pytest.approx(0.6 * found.loads.parent_strip)
    assert found.because.startswith("the thread in the parent metal strips at ")
    kept = [
        one for one in found.alternatives if one.refused_because is None and "special" not in one.loses_by
    ]
    assert all(one.margin <= found.margin for one in kept if "edge" not in one.loses_by)


def test_a_thread_that_does_not_carry_says_so_beside_one_that_does():
    found = recommend_bush(
        "M8", parent="cast iron", depth_mm=14.0, bolt_grade="8.8", drawer=drawer("M12x1.5", "M20x1.5")
    )
    assert found.bush.outer_thread.designation == "M20x1.5"
    assert found.alternatives[0].loses_by.startswith("the thread in the parent metal strips at ")


def test_a_clamp_load_replaces_the_breaking_load():
    found = recommend_bush("M8", **COVER, clamp_kN=5.0)
    assert found.required_strip_kN == 1.25 * 5.0
    assert "5.0 kN asked for" in found.because


def test_a_clamp_load_beyond_the_screw_is_refused():
    with pytest.raises(
        JobError, match=r"clamp: 9 kN is more than 0.6 of the 14.7 kN .* ask for at most 8.81 kN"
    ):
        recommend_bush("M8", **COVER, clamp_kN=9.0)


def test_zinc_die_casting_gets_no_verdict():
    found = recommend_bush("M6", parent="zinc die casting", depth_mm=15.0, boss_mm=60.0)
    answer = found.to_dict()
    assert (answer["verdict"], answer["holds"], answer["allowed_clamp_kN"]) == ("no verdict", None, None)
    assert answer["loads_kN"]["parent_strip"] is None
    assert found.cautions[0].startswith("Zinc die castings may be corroded")


@pytest.mark.parametrize(
    "part", ["flywheel key plate", "Eye-bolt pad", "belt guard", "steam chest cover", "brake lever"]
)
def test_dangerous_uses_get_no_verdict(part):
    found = recommend_bush("M8", **COVER, part=part)
    assert found.verdict == "no verdict"
    assert "no verdict that it holds is given" in found.cautions[0]


@pytest.mark.parametrize(
    "part", ["inspection cover", "ink table bracket", "foot of the frame", "cover of the gear case", None]
)
def test_covers_feet_and_brackets_get_their_verdict(part):
    assert dangerous_use(part) is None
    assert recommend_bush("M8", **COVER, part=part).verdict == "holds"


def test_the_boss_is_cautioned_when_the_flanks_would_open_it():
    found = recommend_bush("M8", parent="cast aluminium", depth_mm=9.0, boss_mm=33.0, bolt_grade="12.9")
    assert any(line.startswith("The flanks open the boss") for line in found.cautions)


def test_hoop_stress_of_a_thick_ring_by_hand():
    """29.8 MPa of flank pressure: 49.7 MPa at k = 2 and 77.5 MPa at k = 1.5."""
    load = 29.8 * math.pi * 8.7 * 10.2 / math.tan(math.radians(27.5)) / 1000
    sizes = {"load_kN": load, "pitch_diameter_mm": 8.7, "length_mm": 10.2, "flank_angle": 27.5}
    assert boss_hoop_stress(**sizes, boss_over_major=2.0) == pytest.approx(29.8 * 5 / 3)
    assert boss_hoop_stress(**sizes, boss_over_major=1.5) == pytest.approx(29.8 * 3.25 / 1.25)


# --- other inner threads and estimates ------------------------------------------------------------


@pytest.mark.parametrize(
    "inner", ["3/8-20 BSF", "5/16-18 BSW", "2 BA", "5/16-26 BSC", "3/8-16 UNC", "No. 10-32 UNF"]
)
def test_every_kind_of_inner_thread_gets_a_bush_that_keeps_the_rules(inner):
    found = recommend_bush(inner, parent="SG iron", depth_mm=25.0)
    assert found.bush.wall_mm >= found.bush.least_wall_mm
    assert found.verdict == "holds"
    assert found.boss_hoop_MPa is None
    assert "Edge distance not given: not checked." in found.assumptions


def test_the_greatest_major_of_a_whitworth_hole_is_estimated_from_its_pitch_diameter_tolerance():
    thread = find_thread("3/8-20 BSF")
    sizes = worst_sizes(thread)
    tolerance = thread.limits("internal").in_mm().pitch_diameter_max - thread.pitch_diameter_basic * 25.4
    assert sizes.hole_greatest_major == pytest.approx(9.525 + tolerance)
    assert sizes.estimated == ("greatest major diameter of the internal thread",)
    found = recommend_bush(thread, parent="SG iron", depth_mm=25.0)
    assert any(line.startswith("Estimated for 3/8-20 BSF") for line in found.assumptions)
    assert f"Limits of 3/8-20 BSF: {thread.limits('internal').basis}." in found.assumptions


def test_sizes_without_limits_are_the_basic_ones_and_said_to_be_estimated():
    bare = replace(find_thread("3/8-20 BSF"), all_limits=())
    sizes = worst_sizes(bare)
    basic = bare.pitch_diameter_basic * 25.4
    assert sizes.hole_greatest_pitch_diameter == sizes.screw_least_pitch_diameter == basic
    assert sizes.screw_least_root == pytest.approx(basic - 0.640327 * 1.27, abs=1e-6)
    assert len(sizes.estimated) == 6


def test_a_greatest_major_diameter_that_the_standard_gives_is_taken():
    thread = find_thread("3/8-20 BSF")
    given_one = replace(thread.limits("internal"), major_max=0.385)
    assert worst_sizes(replace(thread, all_limits=(given_one,))).hole_greatest_major == 0.385 * 25.4


def test_an_inner_thread_with_two_flank_angles_is_refused():
    form = Form(name="buttress 7/45 deg", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(3, 5))
    with pytest.raises(JobError, match="M8x1.25 has flanks of two angles"):
        recommend_bush(replace(find_thread("M8"), form=form), **COVER)


def test_the_greatest_major_of_a_unified_hole_is_0_793857_pitches_above_its_pitch_diameter():
    thread = find_thread("3/8-16 UNC")
    greatest = thread.limits("internal").pitch_diameter_max + 0.793857 / 16
    assert worst_sizes(thread).hole_greatest_major == pytest.approx(greatest * 25.4)


def test_a_pipe_thread_goes_by_its_true_diameter_not_by_its_name():
    found = recommend_bush("M8", **{**COVER, "boss_mm": 60.0}, drawer=drawer("G 3/8"))
    assert found.bush.outer_thread.major_mm == pytest.approx(16.662)
    assert found.bush.outer_thread.nominal_major_mm == pytest.approx(9.525)


@pytest.mark.parametrize(
    "name, usual",
    [
        ("M12x1.5", True),
        ("M12x1", False),
        ("3/8-16 UNC", True),
        ("2 BA", True),
        ("11 BA", False),
        ("G 1/8", True),
        ("G 1/16", False),
        ("1/2 BSF", True),
        ("5/16-26 BSC", False),
    ],
)
def test_which_taps_are_usual(name, usual):
    assert usual_tap(find_thread(name)) is usual


def test_a_left_hand_tap_is_never_usual():
    assert not usual_tap(find_thread("M12x1.5 LH"))


def test_where_only_special_taps_fit_the_plan_says_so():
    """In a boss of 30.5 mm M12, the smallest usual one with wall enough, is refused."""
    tight = recommend_bush("M8", parent="cast aluminium", depth_mm=25.0, boss_mm=30.5)
    assert tight.bush.outer_thread.tap == "special"
    assert tight.bush.outer_thread.major_mm < 12.0
    assert any("is a special one" in line for line in tight.cautions)


def test_no_thread_in_the_tables_is_large_enough_for_the_largest():
    with pytest.raises(JobError, match=r"wall: no outer thread in the tables leaves 2.40 mm .* M300x4"):
        recommend_bush("M300x4", parent="SG iron", depth_mm=100.0)


def test_an_unknown_inner_thread_is_refused():
    with pytest.raises(UnknownThreadError, match="no table holds 'M8x9'"):
        recommend_bush("M8x9", **COVER)


@pytest.mark.parametrize("name", ["depth_mm", "boss_mm", "edge_mm", "clamp_kN"])
@pytest.mark.parametrize("value", [0.0, -3.0, float("nan"), float("inf")])
def test_a_size_that_is_none_is_refused_by_name(name, value):
    with pytest.raises(JobError, match=rf"{name.split('_')[0]}: .* is not a size"):
        recommend_bush("M8", **{**COVER, name: value})


# --- the drawer -----------------------------------------------------------------------------------


def test_the_drawer_says_how_the_bush_is_cut():
    one = recommend_bush("M8", **COVER, drawer=drawer("M12x1.5", dies=["M12x1.5"]))
    other = recommend_bush("M8", **COVER, drawer=drawer("M12x1.5", dies=["M12x1.75"]))
    assert (one.bush.outer_thread.cut_by, other.bush.outer_thread.cut_by) == (
        "die from the drawer",
        "single point",
    )
    assert recommend_bush("M8", **COVER).bush.outer_thread.cut_by == "die or single point"


def test_a_drawer_without_a_fitting_tap_says_which_to_add():
    with pytest.raises(
        JobError, match=r"drawer: none .* \(the most is 0.630 mm with M12x1.75\); add a tap M12x1.5"
    ):
        recommend_bush("M8", **COVER, drawer=drawer("M10x1", "M12x1.75"))


def test_a_drawer_without_a_fitting_tap_for_a_hole_no_usual_tap_fits():
    with pytest.raises(JobError, match="use a smaller inner thread"):
        recommend_bush("M8", parent="cast aluminium", depth_mm=25.0, boss_mm=14.0, drawer=drawer("M10x1"))


def test_a_drawer_file_is_read(tmp_path):
    path = tmp_path / "drawer.toml"
    path.write_text('taps = ["m12 x 1.5", "3/8 BSF"]\ndies = ["M12x1.5"]\n', encoding="utf-8")
    found = read_drawer(path)
    assert [tap.designation for tap in found.taps] == ["M12x1.5", "3/8-20 BSF"]
    assert found.has_die(found.taps[0])


@pytest.mark.parametrize(
    "text, message",
    [
        ('tap = ["M8"]', r"no such key 'tap'; did you mean 'taps'\?"),
        ('colour = "red"', "no such key 'colour'; it may hold taps, dies, drills, reamers, wires"),
        ("taps = []", "it holds no taps; write a list"),
        ('taps = "M8"', "taps must be a list of designations"),
        ("taps = [8]", "taps must be a list of designations"),
        ('taps = ["M8x9"]', "drawer .*, taps: thread: no table holds 'M8x9'"),
        ('taps = [""]', "drawer .*, taps: thread: cannot read"),
        ('taps = [{ kind = "taper" }]', "drawer .*, taps: cannot read .* write it like"),
        ('taps = [{ thread = "M8", size = 8 }]', "drawer .*, taps: cannot read .* write it like"),
        ('taps = [{ thread = "M8", kind = "split" }]', "'split' is no kind of it; write taper or second or"),
        ('taps = [{ thread = "M8", hand = "both" }]', "'both' is no hand"),
        ('taps = ["M8"]\ndrills = "6.8 mm"', "drawer .*, drills: it must be a list of diameters"),
        ('taps = ["M8"]\nwires = ["0.7"]', "drawer .*, wires: .*0.7"),
    ],
)
def test_a_faulty_drawer_is_refused_with_the_remedy(tmp_path, text, message):
    path = tmp_path / "drawer.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match=message):
        read_drawer(path)


@pytest.mark.parametrize("content", [b"taps = [", b"taps = ['\xff']"])
def test_a_drawer_that_is_not_toml_is_a_file_fault(tmp_path, content):
    path = tmp_path / "drawer.toml"
    path.write_bytes(content)
    with pytest.raises(FileFaultError, match="not a TOML file"):
        read_drawer(path)


def test_a_missing_drawer_is_a_file_fault(tmp_path):
    with pytest.raises(FileFaultError, match=r"cannot read it \(No such file"):
        read_drawer(tmp_path / "none.toml")


def test_a_drawer_tells_kind_hand_and_sizes_of_its_tools():
    table = {
        "taps": [{"thread": "M12x1.5", "kind": "taper"}, {"thread": "M14x1.5", "hand": "left"}, "M10x1 LH"],
        "dies": [{"thread": "M12x1.5", "kind": "split"}, {"thread": "M14x1.5", "kind": "solid"}, "M8"],
        "drills": ["10.4 mm", "10.6 mm", "13/32 in"],
        "wires": ["0.866 mm"],
        "reamers": ["12 mm"],
    }
    owned = Drawer.from_mapping(table)
    assert [tap.left_hand for tap in owned.taps] == [False, True, True]
    names = [owned.die_name(find_thread(name)) for name in ("M12x1.5", "M14x1.5", "M8")]
    assert [die.designation for die in owned.dies] == ["M12x1.5", "M14x1.5", "M8x1.25"]
    assert names == ["split die", "solid die", "die"]
    assert (owned.wires, owned.reamers, owned.drills[2]) == ((0.866,), (12.0,), pytest.approx(10.31875))
    found = recommend_bush("M8", **COVER, drawer=owned)
    assert found.bush.outer_thread.cut_by == "split die from the drawer"
    assert found.bush.outer_thread.tapping_drill_mm == 10.6
    assert any(line.startswith("The drawer has no bottoming tap M12x1.5") for line in found.cautions)


def test_a_drawer_without_a_drill_for_the_hole_says_so():
    owned = Drawer.from_mapping({"taps": ["M12x1.5"], "drills": ["8 mm"]})
    found = recommend_bush("M8", **COVER, drawer=owned)
    assert found.bush.outer_thread.tapping_drill_mm == 10.5
    assert "No drill of the drawer lies between 10.38 and 10.68 mm: bore the hole." in found.cautions
    assert not any("bottoming" in line for line in found.cautions)


# --- cautions and JSON ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "joins", "tapers"),
    [("1/8 NPT", True, True), ("R 1/8", True, True), ("G 1/8", True, False), ("M10", False, False)],
)
def test_a_thread_that_joins_pipes_is_not_said_to_seal(name: str, joins: bool, tapers: bool):
    lines = recommend_bush(name, parent="cast iron", depth_mm=20.0).cautions
    assert any("joins pipes: whether the bush seals is not judged here" in line for line in lines) is joins
    assert (
        any("tapers: wall and drills are worked as if it were parallel" in line for line in lines) is tapers
    )


@pytest.mark.parametrize(
    ("boss", "said"),
    [
        (8.0, r"smaller inner thread \(a hole M8x1.25 breaks out of it by itself: read the size again\);"),
        (13.0, "wants a boss of 48.0 mm; use a smaller inner thread; otherwise"),
        (20.0, "use a smaller inner thread or a wire thread insert; otherwise"),
    ],
)
def test_a_boss_too_small_for_a_wire_thread_insert_is_not_sent_to_one(boss: float, said: str):
    with pytest.raises(JobError, match=said):
        recommend_bush("M8", parent="cast iron", depth_mm=20.0, boss_mm=boss)


@pytest.mark.parametrize(
    ("inner", "said"),
    [
        ("G 1/2", "use a smaller inner thread or a wire thread insert$"),
        ("1/2 NPT", "use a smaller inner thread$"),
        ("Tr 20x4", "use a smaller inner thread$"),
    ],
)
def test_a_pipe_and_a_screw_that_moves_are_sent_to_no_bolt_nor_to_wire_not_wound(inner: str, said: str):
    with pytest.raises(JobError, match=said):
        recommend_bush(inner, parent="cast iron", depth_mm=30.0, boss_mm=42.0)


@pytest.mark.parametrize(
    ("clamp", "load"),
    [(None, "the 116.4 kN at which a solid screw breaks"), (6.0, "the 6.0 kN asked for")],
)
def test_the_bush_of_a_pipe_is_told_to_be_held_to_the_load_that_it_is_held_to(clamp: float | None, load: str):
    plan = recommend_bush("G 1/2", parent="cast iron", depth_mm=30.0, clamp_kN=clamp)
    assert f"The bush is held to {load}; a tube breaks before a solid screw." in plan.cautions[0]
    assert load in plan.because


def test_values_from_memory_are_named_in_the_cautions():
    lines = cautions_for(parent=find_material("mild steel"), bush=find_material("brass"))
    assert "From memory, not read: tensile strength and shear strength of the parent (mild steel)." in lines
    assert "From memory, not read: shear strength of the bush (brass)." in lines
    assert set(ALWAYS) <= set(lines)


def test_the_readme_holds_the_whole_list_of_cautions():
    readme = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    every = [*ALWAYS, *SHOP, *(text for texts in METAL_CAUTIONS.values() for text in texts)]
    assert [text for text in every if text not in readme] == []
    words = {use.name.split()[-1].lower().rstrip("s,") for use in DANGEROUS_USES} - {"wheel"}
    assert {word for word in words if word not in NAMED_USES} == set()


def test_the_plan_is_plain_json(plan):
    answer = plan.to_dict()
    assert json.loads(json.dumps(answer, allow_nan=False)) == answer
    assert answer["schema_version"] == 1
    assert set(answer["loads_kN"]) == {
        "screw",
        "parent_strip",
        "bush_outer_strip",
        "bush_inner_strip",
        "limited_by",
    }
    assert all(("loses_by" in one) != ("refused_because" in one) for one in answer["alternatives"])


# --- laws -----------------------------------------------------------------------------------------

DEPTHS = st.floats(8.0, 60.0)


@given(DEPTHS, st.floats(0.0, 30.0))
def test_a_deeper_hole_never_lowers_a_strip_load(depth, more):
    kept = drawer("M12x1.5")
    shallow, deep = (
        recommend_bush("M8", parent="LM6", depth_mm=size, drawer=kept).loads.strips()
        for size in (depth, depth + more)
    )
    assert all(deep[name] >= shallow[name] for name in shallow)


@given(
    DEPTHS,
    st.sampled_from(["LM0-M", "LM6", "grey iron", "SG iron"]),
    st.sampled_from(["unmarked", "8.8", "12.9"]),
)
def test_the_pick_keeps_every_rule_and_removes_least_metal(depth, parent, grade):
    found = recommend_bush("M8", parent=parent, depth_mm=depth, boss_mm=60.0, bolt_grade=grade)
    assert found.bush.wall_mm >= found.bush.least_wall_mm
    assert found.bush.outer_thread.tap == "usual"
    admitted = [
        one for one in found.alternatives if one.refused_because is None and "special" not in one.loses_by
    ]
    smaller = [
        one
        for one in admitted
        if find_thread(one.designation).nominal_major_mm < found.bush.outer_thread.major_mm - 1e-9
    ]
    if found.holds:
        assert all(one.margin < 1 for one in smaller if not one.designation.startswith("G"))


@settings(max_examples=30)
@given(st.floats(5.0, 60.0))
def test_a_larger_boss_never_takes_a_bush_away(boss):
    def possible(size):
        try:
            recommend_bush("M8", parent="LM6", depth_mm=25.0, boss_mm=size)
        except JobError:
            return False
        return True

    assert possible(boss) <= possible(boss * 1.2)


def test_every_usual_thread_leaves_less_wall_than_the_gap_of_the_diameters():
    inner = worst_sizes(find_thread("M8"))
    for thread, _ in outer_threads(inner, None):
        gap = (thread.major_basic * thread.to_mm - inner.hole_greatest_major) / 2
        assert wall(outer=worst_sizes(thread), inner=inner) < gap


def test_every_parent_metal_has_an_edge_rule():
    assert {material.kind for material in MATERIALS} <= set(judgement.EDGE_DISTANCE)
