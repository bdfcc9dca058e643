"""From the recommended bush to what is made: sizes, order of operations, and what is printed of them."""

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import run
from project_files import ROOT
from threadwright.cli.making import making_lines
from threadwright.job import Job, job_from_tables, plan_job, read_job, wish
from threadwright.repair.bush import recommend_bush
from threadwright.repair.cutting import external_depth, infeed, over_wires
from threadwright.repair.drawer import Drawer
from threadwright.repair.lathe import Lathe, read_leadscrew, read_wheels
from threadwright.repair.making import Making, recommend_for, work_up
from threadwright.repair.operations import operations
from threadwright.repair.plan import BushPlan
from threadwright.repair.size import Size, down_to
from threadwright.repair.sizes import size_bush
from threadwright.repair.wish import Wish
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread
from threadwright.tables.wires import wire_constants

SAMPLE = ROOT / "samples" / "milk-separator-foot.toml"
BORE = (16.02, 16.03, 16.02, 16.025)


def made(
    screw: str = "M8", *, asked: Wish | None = None, depth: float = 25.0, **hole: Any
) -> tuple[BushPlan, Making]:
    """A bush for a screw, worked up."""
    asked = Wish(through=True) if asked is None else asked
    collar = asked.length_mm if asked.kind in ("collar", "stop collar") else None
    plan = recommend_bush(
        screw, parent=hole.pop("parent", "cast iron"), depth_mm=depth, collar_mm=collar, **hole
    )
    plan = work_up(plan, wish=asked)
    assert plan.making is not None
    return plan, plan.making


def keys(making: Making, part: str) -> list[str]:
    return [row.key for row in making.sizes.of(part)]  # type: ignore[arg-type]


def steps(making: Making, where: str) -> str:
    return " | ".join(one.text for one in making.operations if one.where == where)


# --- cutting ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name, share", [("M12x1.5", 0.613435), ("1/2-13 UNC", 0.613435), ("3/8-20 BSF", 0.640327), ("2 BA", 0.6)]
)
def test_the_depth_of_cut_is_that_of_the_form(name: str, share: float) -> None:
    thread = find_thread(name)
    assert math.isclose(share * thread.pitch_mm, external_depth(thread), rel_tol=2e-6)


@pytest.mark.parametrize("name, share", [("M12x1.5", 0.708), ("3/8-20 BSF", 0.722), ("2 BA", 0.656)])
def test_the_infeed_along_the_flank_is_the_depth_over_the_cosine_of_the_flank_angle(
    name: str, share: float
) -> None:
    thread = find_thread(name)
    assert share == round(infeed(thread, lathe=None).along_flank_mm / thread.pitch_mm, 3)


@given(st.sampled_from(["M6", "M12x1.5", "3/8-20 BSF", "2 BA"]), st.floats(0.01, 0.1))
def test_a_dial_that_shows_the_diameter_counts_twice_what_one_that_shows_the_travel_does(
    name: str, division: float
) -> None:
    thread = find_thread(name)
    travel, across = (
        infeed(thread, lathe=Lathe(dial=dial, division_mm=division))  # type: ignore[arg-type]
        for dial in ("radius", "diameter")
    )
    assert travel.divisions is not None
    assert math.isclose(2 * travel.divisions, across.divisions or 0.0)
    assert travel.along_flank_mm == across.along_flank_mm
    assert math.isclose(travel.divisions * division, travel.depth_mm)


def test_the_wire_at_hand_is_taken_if_it_touches_the_flanks_and_else_the_best() -> None:
    thread = find_thread("M12x1.5")
    constants = wire_constants(thread.form)
    held, none = over_wires(thread, wires=[0.1, 0.9, 0.8, 5.0]), over_wires(thread, wires=[0.1, 5.0])
    assert held is not None
    assert none is not None
    assert (0.9, True) == (held.wire_mm, held.at_hand)
    assert (constants.best * 1.5, False) == (none.wire_mm, none.at_hand)


def test_without_limits_of_the_pitch_diameter_there_is_no_size_over_wires() -> None:
    thread = find_thread("1/4-20 BSW")
    bare = [replace(row, pitch_diameter_max=math.nan) for row in thread.all_limits]
    assert None is over_wires(replace(thread, all_limits=tuple(bare)))
    assert None is over_wires(replace(thread, all_limits=()))


def test_over_wires_the_two_limits_lie_as_far_apart_as_those_of_the_pitch_diameter() -> None:
    thread = find_thread("3/8-20 BSF")
    over, limits = over_wires(thread), thread.limits("external").in_mm()
    assert over is not None
    apart = limits.pitch_diameter_max - limits.pitch_diameter_min
    assert math.isclose(apart, over.high - over.low, abs_tol=1e-4)  # the slope of the thread takes the rest


# --- sizes ------------------------------------------------------------------------------------------


def test_a_plain_blind_bush_has_every_size_for_lathe_and_tap() -> None:
    plan, making = made(asked=Wish(through=False))
    assert ["countersink_diameter", "tapping_hole", "thread_depth", "tapping_depth"] == keys(making, "hole")
    for key in ("length", "inner_tapping_hole", "outer_major", "die_blank", "outer_root", "lead_chamfer"):
        assert key in keys(making, "bush")
    assert plan.bush.length_mm == making.sizes.find("length").high
    with pytest.raises(JobError, match="this bush has no 'spigot_diameter'; it has countersink_diameter"):
        making.sizes.find("spigot_diameter")


def test_a_bush_with_a_spigot_has_the_sizes_of_register_and_spigot() -> None:
    _, making = made(asked=Wish(mating_bore_mm=BORE, mating_depth_mm=8.0, through=False))
    for key in ("counterbore_diameter", "counterbore_depth"):
        assert key in keys(making, "hole")
    wanted = ("register_diameter", "collar_length", "spigot_diameter", "shoulder_to_spigot_end", "projection")
    for key in (*wanted, "clearance_bore", "undercut_diameter", "undercut_width", "overall_length"):
        assert key in keys(making, "bush")


def test_every_size_has_its_limits_in_order_and_a_name() -> None:
    for asked in (Wish(), Wish(register="pilot"), Wish(mating_bore_mm=BORE, mating_depth_mm=8.0)):
        for row in made(asked=asked)[1].sizes.rows:
            assert row.low is not None or row.high is not None
            assert row.low is None or row.high is None or row.low <= row.high
            assert row.name
            assert row.text in (row.text.strip(), "")


def made_or_too_shallow(screw: str, asked: Wish, depth: float) -> Making | None:
    """The bush, or None where so long a collar leaves the screw no room below it."""
    try:
        return made(screw, asked=asked, depth=depth)[1]
    except JobError as fault:
        if not str(fault).startswith("net section"):
            raise
        return None


@given(
    screw=st.sampled_from(["M6", "M8", "3/8-16 BSW", "1/4-20 UNC", "5/16-22 BSF"]),
    depth=st.floats(14.0, 40.0),
    collar=st.floats(1.5, 3.0),
)
def test_the_bush_fits_its_hole_at_every_limit(screw: str, depth: float, collar: float) -> None:
    asked = Wish(register="collar", collar_length_mm=collar, through=False)
    making = made_or_too_shallow(screw, asked, depth)
    if making is None:
        assert depth < 20.0
        return
    sizes = making.sizes
    assert sizes.find("register_diameter").high <= sizes.find("counterbore_diameter").low  # type: ignore[operator]
    assert sizes.find("collar_length").high <= sizes.find("counterbore_depth").low + 1e-9  # type: ignore[operator]
    below = sizes.find("below_shoulder").high
    deep = sizes.find("thread_depth").low
    assert below is not None
    assert deep is not None
    assert below + collar <= depth + 1e-6
    assert deep >= below + collar - 1e-6
    assert sizes.find("tapping_depth").low > deep  # type: ignore[operator]
    assert sizes.find("undercut_diameter").high < sizes.find("outer_root").low  # type: ignore[operator]
    assert sizes.find("stock_diameter").low > sizes.find("register_diameter").high  # type: ignore[operator]
    reach = sizes.find("screw_reach")
    assert reach.low <= reach.high  # type: ignore[operator]


def test_a_thread_that_is_deeper_than_its_plug_tap_reaches_names_the_depth_for_one() -> None:
    _, making = made(asked=Wish(through=False))
    assert "with a plug tap" in making.sizes.find("tapping_depth").note
    _, inch = made(
        "3/8-16 BSW", asked=Wish(through=False), drawer=Drawer.from_mapping({"taps": ["5/8-14 BSF"]})
    )
    assert "plug tap" not in inch.sizes.find("tapping_depth").note


def test_a_pilot_takes_its_room_from_the_depth() -> None:
    asked = Wish(register="pilot", through=False)

    def work_out(thread: Any, *, depth_mm: float) -> BushPlan:
        return recommend_bush(thread, parent="cast iron", depth_mm=depth_mm)

    plan = recommend_for(work_out, find_thread("M8"), wish=asked, depth_mm=30.0)
    making = work_up(plan, wish=asked).making
    assert making is not None
    pilot = making.sizes.find("pilot_length").high
    assert pilot is not None
    shoulder, bore = making.sizes.find("tapping_depth"), making.sizes.find("pilot_bore_depth").low
    assert None not in (shoulder.low, shoulder.high, bore)
    assert shoulder.high + bore <= 30.0 + 1e-9  # type: ignore[operator]
    assert plan.bush.length_mm + pilot < shoulder.low + bore  # type: ignore[operator]
    text = steps(making, "bush")
    assert order(text, "the inner thread comes from the other end", "Part off", "Tap M8x1.25 from the face")
    assert "before parting off" not in text
    assert ["tapping_depth", "pilot_bore", "pilot_bore_depth"] == keys(making, "hole")[-3:]
    assert "Drill and ream the pilot's bore below." in steps(making, "hole")
    with pytest.raises(
        JobError, match=r"pilot: with the room above it, it takes .* and the hole is 7 mm deep"
    ):
        recommend_for(
            lambda thread, depth_mm: work_out(thread, depth_mm=25.0),  # noqa: ARG005 - the depth is ignored
            find_thread("M8"),
            wish=asked,
            depth_mm=7.0,
        )


def test_a_stop_collar_stays_inside_the_thread() -> None:
    _, making = made(asked=Wish(register="stop collar"))
    collar, thread = making.sizes.find("register_diameter"), making.sizes.find("outer_major")
    assert (thread.low, thread.high, "locates nothing") == (collar.low, collar.high, collar.note)
    assert "set it by the hole" in steps(making, "hole")


def test_a_size_says_its_limits_in_words() -> None:
    def size(low: float | None, high: float | None, unit: Any = "mm") -> str:
        return Size(key="k", name="n", part="bush", low=low, high=high, unit=unit).text

    assert ["at least 2.00 mm", "at most 3.00 mm", "45 deg"] == [
        size(2, None),
        size(None, 3),
        size(45, 45, "deg"),
    ]
    assert 5.7 == down_to(5.79, 0.1)


# --- order of operations ----------------------------------------------------------------------------


def order(text: str, *words: str) -> bool:
    """Whether the words stand in this order."""
    places = [text.find(word) for word in words]
    return -1 not in places and sorted(places) == places


def test_the_bush_is_made_threaded_end_outward_and_tapped_while_the_stock_is_thick() -> None:
    _, making = made(asked=Wish(mating_bore_mm=BORE, mating_depth_mm=8.0))
    text = steps(making, "bush")
    assert order(
        text, "threaded end outward; face it", "Drill", "tap M8x1.25 now, while the stock",
        "Turn the register and outside", "Cut the undercut", "Chamfer the lead", "Cut the outer thread",
        "Try the real screw", "Measure over three wires", "Part off", "Bore and tap a stub",
        "turn the spigot",
        "clear of the screw", "chamfer the end",
    )  # fmt: skip
    assert "a die" not in text or "cannot pass the collar" in text


def test_a_die_cannot_pass_a_collar_and_a_single_point_can() -> None:
    with_collar, plain = (made(asked=Wish(register=kind))[1] for kind in ("collar", "none"))  # type: ignore[arg-type]
    assert "cannot pass the collar: turn it round for the last pass" in steps(with_collar, "bush")
    assert "cannot pass" not in steps(plain, "bush")
    drawer = Drawer.from_mapping({"taps": ["M14x1.5"]})
    single = made(asked=Wish(register="collar"), drawer=drawer)[1]
    assert "Single-point the outer thread M14x1.5 into the relief." in steps(single, "bush")
    die = made(
        asked=Wish(register="collar"),
        drawer=Drawer.from_mapping({"taps": ["M14x1.5"], "dies": ["M14x1.5"]}),
    )[1]
    assert "cannot pass the collar" in steps(die, "bush")
    wide, narrow = (one.sizes.find("undercut_width").low for one in (die, single))
    assert wide > narrow  # type: ignore[operator]


def test_the_hole_is_bored_in_one_setting_and_a_kept_seat_is_left_alone() -> None:
    bored, kept = (
        steps(made(asked=asked)[1], "hole")
        for asked in (Wish(register="collar"), Wish(register="collar", seat_mm=(16.0, 16.01)))
    )
    assert order(bored, "Clamp the part", "Bore the counterbore", "Drill", "Tap M")
    assert "Bore the counterbore" not in kept
    assert {"the part, one setting"} == {
        one.setting for one in made(asked=Wish(register="collar"))[1].operations if one.where == "hole"
    }


def test_the_collar_is_finished_in_place_only_where_the_flush_limit_asks_for_it() -> None:
    for flush, spigot in ((0.03, True), (0.03, False), (0.1, True)):
        bores = BORE if spigot else ()
        asked = Wish(register="collar", mating_bore_mm=bores, mating_depth_mm=8.0, flush_mm=flush)
        text = steps(made(asked=asked)[1], "fitting")
        assert (flush < 0.05) == ("Finish the collar's face in place" in text)
        assert (flush < 0.05 and spigot) == ("round the spigot with a hollow cutter" in text)


def test_driving_feature_and_pin_have_their_steps() -> None:
    flats = made(asked=Wish(driving="flats"))[1]
    assert "Flats on a head left on" in steps(flats, "bush")
    assert "Saw the driving head off" in steps(flats, "fitting")
    jam = made(asked=Wish())[1]
    assert "a nut locked against the bush's face, with a soft washer of" in steps(jam, "fitting")
    weak = made("M8", parent="cast aluminium", bush_material="stainless steel", depth=9.0, bolt_grade="8.8")[
        1
    ]
    assert (weak.fixing.compound.ratio < 1) == ("drive the pin below the face" in steps(weak, "fitting"))


def test_where_no_verdict_is_given_no_torque_is_named() -> None:
    _, making = made(parent="zinc die casting")
    assert making.operations[-1].text == "Try the mating part and the real screw."


def test_the_relief_at_the_hole_is_bored_where_the_neck_is_too_thin() -> None:
    asked = Wish(register="collar")
    plan, making = made("M8", asked=asked)
    assert making.locating.relief is not None
    placed = replace(making.locating, relief=replace(making.locating.relief, chosen="mouth"))
    threads = {"outer": find_thread(plan.bush.outer_thread.designation), "inner": find_thread("M8")}
    sizes = size_bush(plan, **threads, placed=placed, wish=asked)
    relieved = replace(making, sizes=sizes)
    assert ["mouth_relief_diameter", "mouth_relief_depth"] == keys(relieved, "hole")[2:4]
    assert "undercut_width" not in keys(relieved, "bush")
    steps_now = operations(plan, sizes=sizes, placed=placed, fixing=making.fixing, wish=asked)
    text = " | ".join(one.text for one in steps_now)
    assert order(text, "Bore the counterbore", "Bore the relief below it", "Drill", "Tap")
    assert "Cut the undercut" not in text


def test_a_weak_bond_adds_a_key_pin_to_the_order() -> None:
    asked = Wish()
    plan, making = made(parent="mild steel", asked=asked)
    assert making.fixing.key_pin is not None
    fixing = replace(making.fixing, compound=replace(making.fixing.compound, alone=False))
    found = operations(plan, sizes=making.sizes, placed=making.locating, fixing=fixing, wish=asked)
    assert any("drive the pin below the face" in one.text for one in found)
    assert not any("drive the pin" in one.text for one in making.operations)


def test_an_outer_thread_without_limits_has_no_size_over_wires_and_no_judged_train() -> None:
    lathe = Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(20, 40, 63, 80))
    drawer = Drawer.from_mapping({"taps": ["R 1/4 DIN 259"]})
    _, making = made("M6", asked=Wish(lathe=lathe), drawer=drawer)
    assert None is making.sizes.over_wires
    assert "outer_pitch_diameter" not in keys(making, "bush")
    assert any("the tables give no limits" in note for note in making.fixing.compound.notes)
    assert making.change_wheels is not None
    assert {None} == {train.fits for train in making.change_wheels.trains}
    assert "no limits to judge it by" in "\n".join(making_lines(making))


def test_a_thin_bush_has_no_room_for_a_key_pin_and_a_through_hole_no_vent() -> None:
    _, making = made()
    thin = replace(making, fixing=replace(making.fixing, key_pin=None))
    text = "\n".join(making_lines(thin))
    assert "No key pin finds room" in text
    assert "vent flat" not in text


def test_an_unmeasured_mating_part_leaves_the_projection_out() -> None:
    _, making = made(asked=Wish(spigot_mm=15.9))
    assert "projection" not in keys(making, "bush")
    assert "overall_length" not in keys(making, "bush")
    assert "Measure how far" not in steps(making, "fitting")
    assert any("Measure the depth of the mating bore" in line for line in making.locating.says)


# --- job file ---------------------------------------------------------------------------------------


def sample() -> Job:
    return read_job(SAMPLE)


def test_the_sample_with_a_spigot_is_worked_up_whole() -> None:
    plan = plan_job(sample()).leading
    assert plan is not None
    assert plan.making is not None
    told = plan.to_dict()
    assert {"locating", "sizes", "operations", "fixing", "change_wheels"} <= told.keys()
    assert plan.making.locating.spigot is not None
    assert plan.making.change_wheels is not None
    assert plan.making.change_wheels.trains[0].fits
    assert plan.making.sizes.over_wires is not None
    assert 0.87 == plan.making.sizes.over_wires.wire_mm
    json.dumps(told, allow_nan=False)


def job(**sections: dict[str, Any]) -> Job:
    least: dict[str, dict[str, Any]] = {
        "fastener": {"designation": "M8"}, "hole": {"depth": "25 mm"}, "parent": {"material": "cast iron"},
    }  # fmt: skip
    tables = {name: {**least.get(name, {}), **sections.get(name, {})} for name in {*least, *sections}}
    return job_from_tables(tables, where=lambda section, key: f"[{section}] {key}".strip())


def test_every_key_of_locate_and_lathe_arrives() -> None:
    whole = job(
        locate={"mating_bore": ["16 mm", "16.1 mm"], "mating_depth": "8 mm", "register": "collar",
                "register_fit": "k6", "bored_from": "mating part", "collar": "20 mm", "collar_length": "3 mm",
                "fit": "snug", "projection": "5 mm", "flush": "0.1 mm"},
        lathe={"leadscrew": "4 tpi", "wheels": [20, 40], "dial": "diameter", "division": "0.02 mm",
               "spindle_ratio": "1/2"},
        bush={"driving": "two holes"},
    )  # fmt: skip
    asked = wish(whole)
    assert ((16.0, 16.1), 8.0, "k6", "mating part") == (
        asked.mating_bore_mm, asked.mating_depth_mm, asked.register_fit, asked.datum,
    )  # fmt: skip
    assert (20.0, 3.0, "snug", 5.0, 0.1) == (
        asked.collar_mm, asked.collar_length_mm, asked.spigot_fit, asked.projection_mm, asked.flush_mm,
    )  # fmt: skip
    assert asked.lathe is not None
    assert ("diameter", 0.02, (20, 40)) == (asked.lathe.dial, asked.lathe.division_mm, asked.lathe.wheels)
    assert ("two holes", 0.5) == (asked.driving, float(asked.lathe.spindle_ratio))


@pytest.mark.parametrize(
    "sections, text",
    [
        ({"locate": {"regster": "collar"}}, "[locate] regster: no such key; did you mean 'register'?"),
        ({"locate": {"register": "thread"}}, "[locate] register: cannot take 'thread'; write \"collar\" or"),
        ({"locate": {"fit": "loose"}}, "[locate] fit: cannot take 'loose'; write \"sliding\" or \"snug\""),
        ({"locate": {"seat": 16}}, "[locate] seat: '16' has no unit"),
        ({"locate": {"seat": ["16"]}}, "[locate] seat: '16' has no unit"),
        ({"locate": {"spigot": "12 mm", "register": "pilot"}}, "[locate]: register: a spigot stands on"),
        ({"lathe": {"leadscrew": "8"}}, "[lathe] leadscrew: cannot take '8' as the lead of a leadscrew"),
        ({"lathe": {"wheels": "20,40"}}, "[lathe] wheels: '20,40' is not a list; write it like [20"),
        ({"lathe": {"wheels": ["20"]}}, "[lathe] wheels: '20' is not a whole number"),
        ({"lathe": {"wheels": [3]}}, "[lathe]: wheels: a change wheel has no 3 teeth"),
        ({"lathe": {"spindle_ratio": "half"}}, "[lathe] spindle_ratio: cannot read 'half' as a number"),
        ({"bush": {"driving": "slots"}}, "[bush] driving: no bush is driven by 'slots'"),
        ({"drawer": {"taps": ["M12"], "wires": [0.9]}}, "[drawer], wires: it must be a list of diameters"),
        ({"drawer": {"taps": ["M12"], "wires": ["0.9"]}}, "[drawer], wires: '0.9' has no unit"),
    ],
)  # fmt: skip
def test_a_fault_of_the_new_sections_is_named(sections: dict[str, dict[str, Any]], text: str) -> None:
    with pytest.raises(JobError) as caught:
        job(**sections)
    assert text in str(caught.value)


def test_a_job_with_a_pilot_keeps_bush_and_pilot_inside_its_depth() -> None:
    plan = plan_job(job(locate={"register": "pilot"}, hole={"depth": "30 mm", "through": False})).leading
    assert plan is not None
    assert plan.making is not None
    pilot = plan.making.sizes.find("pilot_length").low
    assert pilot is not None
    assert plan.bush.length_mm + pilot <= 30.0
    assert None is plan.making.change_wheels


def test_a_spigot_no_larger_than_the_screw_is_refused_with_what_would_relieve_it() -> None:
    with pytest.raises(JobError, match="spigot: 7.90 mm across is no larger than the screw"):
        plan_job(job(locate={"mating_bore": "7.9 mm", "mating_depth": "6 mm"}))


# --- on the terminal --------------------------------------------------------------------------------


def test_a_job_prints_sizes_operations_wheels_and_fixing_within_80_columns(
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = run(capsys, "repair", "--job", str(SAMPLE)).out
    headings = (
        "How it finds its place",
        "Sizes of the hole, mm",
        "Sizes of the bush, mm",
        "Order of operations",
    )
    assert order(out, *headings, "Change wheels for", "Fixing", "Taken for this plan")
    assert "Each pair is driver over driven, from the spindle to the leadscrew." in out
    assert [] == [line for line in out.splitlines() if len(line) > 80]
    assert "36.2 divisions of 0.0254 mm" in out
    assert "at hand" in out


def test_the_json_of_a_job_has_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    told = json.loads(run(capsys, "repair", "--job", str(SAMPLE), "--json").out)
    assert {"hole", "bush", "infeed", "over_wires"} == told["sizes"].keys()
    assert {"where", "setting", "text", "sizes"} == told["operations"][0].keys()
    assert "collar" == told["locating"]["register"]["kind"]


def test_while_the_thread_is_in_doubt_nothing_is_printed_that_could_be_cut(
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = run(capsys, "repair", "--job", str(ROOT / "samples" / "pillar-drill-cover.toml")).out
    assert "Sizes, operations and fixing: they wait until the thread is settled" in out
    assert "Order of operations" not in out


def test_a_thread_in_doubt_that_fits_nothing_prints_no_sizes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        '[fastener]\ndesignation = "M8"\n[hole]\ndepth = "25 mm"\nedge = "5 mm"\n'
        '[parent]\nmaterial = "cast iron"\n',
        encoding="utf-8",
    )
    ran = run(capsys, "repair", "--job", str(path), "--routes", "all")
    assert "Order of operations" not in ran.out


def test_a_plain_job_without_lathe_prints_the_best_wire_and_no_wheels(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        '[fastener]\ndesignation = "M8"\n[hole]\ndepth = "25 mm"\nthrough = true\n[parent]\n'
        'material = "cast aluminium"\n[lathe]\ndial = "diameter"\n',
        encoding="utf-8",
    )
    out = run(capsys, "repair", "--job", str(path)).out
    assert "(the best size, " in " ".join(out.split())
    assert "a cross-slide that shows the diameter" in " ".join(out.split())
    assert "Change wheels" not in out


# --- threadwright change-wheels ---------------------------------------------------------------------

WHEELS = ("--leadscrew", "8 tpi", "--wheels", "20,30,40x2,50,60,63,80")


def test_change_wheels_prints_the_best_trains_and_the_half_nuts(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "change-wheels", "M12x1.5", *WHEELS, "--top", "2")
    assert 0 == ran.status
    assert "30/50 x 63/80  1.50019 mm   +125 ppm  fits" in ran.out
    assert "Keep the half-nuts closed" in ran.out
    told = json.loads(run(capsys, "change-wheels", "M12x1.5", *WHEELS, "--json").out)
    assert [30, 63] == told["trains"][0]["drivers"]


def test_change_wheels_that_fit_nothing_end_with_status_3(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "change-wheels", "M12x1.5", "--leadscrew", "8 tpi", "--wheels", "20,97")
    assert (3, True) == (ran.status, "does not fit" in ran.out)


@pytest.mark.parametrize(
    "words, text",
    [
        (("M12x1.5", "--leadscrew", "8", "--wheels", "20,40"), "--leadscrew: cannot take '8'"),
        (("M12x1.5", "--leadscrew", "8 tpi", "--wheels", "20,x"), "--wheels: cannot read 'x' as a wheel"),
        (("M12x1.5", "--leadscrew", "8 tpi", "--wheels", "20"), "at least two wheels"),
        (WHEELS, "no thread; name it, like M12x1.5"),
        (("M12x1.5", *WHEELS, "--ratio", "half"), "cannot read 'half' as a number"),
        (
            ("M8", *WHEELS, "--ratio", "two"),
            "--ratio: cannot read 'two' as a number; write it like '8.5', '5/16'",
        ),
    ],
)
def test_change_wheels_refuses_in_one_line(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], text: str
) -> None:
    assert text in run(capsys, "change-wheels", *words).refusal


def test_two_of_the_same_wheel_are_written_with_an_x() -> None:
    assert (20, 40, 40) == read_wheels("20,40x2")
