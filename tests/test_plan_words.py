"""What a plan says besides its loads: what comes first, where figures come from, how the bush is driven."""

from typing import Any

import pytest

from command_line import run
from threadwright import judgement
from threadwright.job import Job, job_from_tables, plan_job
from threadwright.repair.plan import BushPlan
from threadwright.repair.spigot import clearance_basis, screw_clearance
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread

LEAST: dict[str, dict[str, Any]] = {
    "fastener": {"designation": "M8"}, "hole": {"depth": "25 mm"}, "parent": {"material": "cast iron"},
}  # fmt: skip
SPIGOT = {"mating_bore": ["14.01 mm", "14.02 mm"], "mating_depth": "6 mm"}


def job(**sections: dict[str, Any]) -> Job:
    tables = {name: {**LEAST.get(name, {}), **sections.get(name, {})} for name in {*LEAST, *sections}}
    return job_from_tables(tables, where=lambda section, key: f"[{section}] {key}".strip())


def planned(**sections: dict[str, Any]) -> BushPlan:
    plan = plan_job(job(**sections)).leading
    assert plan is not None
    assert plan.making is not None
    return plan


def said(plan: BushPlan) -> str:
    assert plan.making is not None
    return " ".join(plan.making.locating.says)


def steps(plan: BushPlan, where: str) -> list[str]:
    assert plan.making is not None
    return [one.text for one in plan.making.operations if one.where == where]


def limits(plan: BushPlan, key: str) -> tuple[float | None, float | None]:
    assert plan.making is not None
    row = plan.making.sizes.find(key)
    return row.low, row.high


# --- where figures come from ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "screw, bore, basis",
    [
        ("M8", "9.00 mm, medium", "ISO 273, from memory"),
        ("3/8-20 BSF", "9.92 mm, fine", "common practice, no source"),
        ("0 BA", "6.60 mm, medium", "ISO 273, from memory"),
        ("2 BA", "5.00 mm, fine", "the clearance of ISO 273 for 4.5 mm; common practice, no source"),
    ],
)
def test_a_clearance_bore_says_where_it_comes_from(screw: str, bore: str, basis: str) -> None:
    plan = planned(fastener={"designation": screw}, locate={"register": "collar"})
    assert f"Clearance bore of {bore}: {basis}." in plan.assumptions


def test_torques_say_that_their_factor_is_from_memory() -> None:
    assert any("K 0.20 dry and 0.15 oiled, from memory" in line for line in planned().assumptions)


def test_the_share_of_the_clearance_that_a_lead_may_use_is_told_with_the_wheels() -> None:
    lathe = {"leadscrew": "8 tpi", "wheels": [30, 40, 50, 63, 80]}
    assert any("error of its lead: judgement" in line for line in planned(lathe=lathe).assumptions)
    assert not any("error of its lead" in line for line in planned().assumptions)


def test_a_screw_that_no_table_of_clearance_holes_holds_gets_the_shop_rule() -> None:
    screw = find_thread("M110x2")
    assert 110.0 * (1 + judgement.SCREW_CLEARANCE[0]) == pytest.approx(screw_clearance(screw))
    assert "common practice, no source" == clearance_basis(screw)


def test_a_left_hand_thread_behind_a_collar_is_cut_away_from_the_chuck() -> None:
    tools = {"taps": [{"thread": "M14x1.5", "hand": "left"}]}
    plan = planned(drawer=tools, locate={"register": "collar"})
    assert "Single-point the outer thread M14x1.5 LH: reverse the leadscrew, start in the relief" in " ".join(
        steps(plan, "bush")
    )


# --- first things first -----------------------------------------------------------------------------


def test_a_broken_screw_comes_out_before_anything_is_clamped() -> None:
    first = steps(planned(hole={"depth": "25 mm", "state": "broken screw"}), "hole")
    assert first[0].startswith("Get the broken screw out")
    assert first[1].startswith("Clamp the part")


@pytest.mark.parametrize("state", ["off position", "out of square"])
def test_a_hole_that_stands_wrong_is_not_set_by_itself(state: str) -> None:
    plan = planned(hole={"depth": "25 mm", "state": state, "off_by": "0.5 mm"})
    assert "set it by the original location" in steps(plan, "hole")[0]
    assert "the old hole only shows what must be cleaned up" in steps(plan, "hole")[0]
    right = planned(hole={"depth": "25 mm"})
    assert steps(right, "hole")[0].endswith("set it by the hole.")


# --- spigot -----------------------------------------------------------------------------------------


def test_the_spigot_is_laid_to_the_measured_bore_in_plan_and_routes_alike() -> None:
    answer = plan_job(job(locate={**SPIGOT, "spigot": "13.7 mm"}))
    collar = next(one for one in answer.routes if one.key == "collar bush")
    assert "a spigot of 14.01 mm" in collar.sentence
    assert answer.leading is not None
    assert answer.leading.making is not None
    assert (14.01, 14.02) == answer.leading.making.locating.spigot.measured  # type: ignore[union-attr]


def test_an_old_spigot_larger_than_the_bore_was_measured_wrong() -> None:
    with pytest.raises(
        JobError, match=r"\[locate\]: spigot: 15 mm does not enter the mating bore of 14.02 mm"
    ):
        job(locate={**SPIGOT, "spigot": "15 mm"})


def test_wall_and_chain_of_a_spigot_are_told_and_the_chain_closes() -> None:
    plan = planned(locate=SPIGOT)
    assert "The spigot's wall round the bore is 2.45 mm or more, 0.8 mm is the least." in said(plan)
    assert (
        "Chain from shoulder to face: 7.65 to 7.70 mm to the spigot's end, less the counterbore's 2.00 to "
        in (said(plan))
    )
    end, bored, out = (
        limits(plan, key) for key in ("shoulder_to_spigot_end", "counterbore_depth", "projection")
    )
    assert None not in (*end, *bored, *out)
    assert out[0] == pytest.approx(end[0] - bored[1])  # type: ignore[operator]
    assert out[1] == pytest.approx(end[1] - bored[0])  # type: ignore[operator]


def test_the_collar_leaves_a_face_round_its_spigot() -> None:
    plan = planned(locate=SPIGOT)
    collar, stands = limits(plan, "register_diameter"), limits(plan, "spigot_diameter")
    assert collar[0] is not None
    assert stands[1] is not None
    assert (collar[0] - stands[1]) / 2 >= judgement.COLLAR_SHOULDER_MM - 0.02


# --- driving ----------------------------------------------------------------------------------------

DRIVEN: list[tuple[str, dict[str, Any], dict[str, tuple[float | None, float | None]]]] = [
    ("jam nut", {}, {"driving_washer": (None, 9.8), "driving_screw": (16.5, None)}),
    ("jam nut", SPIGOT, {"driving_washer": (None, 13.8), "driving_screw": (26.0, None)}),
    ("slot", {}, {"driving_width": (1.6, 1.6), "driving_depth": (1.6, 1.6)}),
    ("flats", {}, {"driving_width": (8.0, 8.0), "driving_depth": (5.0, 5.0)}),
    (
        "two holes",
        {**SPIGOT, "collar": "22 mm"},
        {"driving_width": (2.0, 2.0), "driving_depth": (1.0, 1.0), "driving_spacing": (18.0, 18.0)},
    ),
]


@pytest.mark.parametrize("kind, located, wanted", DRIVEN)
def test_every_driving_feature_has_its_sizes_by_key(
    kind: str, located: dict[str, Any], wanted: dict[str, tuple[float | None, float | None]]
) -> None:
    plan = planned(bush={"driving": kind}, locate=located)
    assert plan.making is not None
    found = {row.key: (row.low, row.high) for row in plan.making.sizes.rows if row.key.startswith("driving")}
    assert wanted == found


def test_a_washer_follows_the_bush_in_and_its_screw_takes_hold_of_a_whole_diameter() -> None:
    plan = planned(locate=SPIGOT)
    washer, screw = limits(plan, "driving_washer")[1], limits(plan, "driving_screw")[0]
    stands, above = limits(plan, "spigot_diameter")[0], limits(plan, "clearance_bore_depth")[0]
    assert washer is not None
    assert stands is not None
    assert screw is not None
    assert above is not None
    assert washer < stands
    assert screw >= above + 8.0 + judgement.JAM_NUT * 8.0


# --- on the terminal --------------------------------------------------------------------------------


def test_the_load_asked_for_is_what_the_screw_is_tightened_to(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("M8", "--parent", "cast iron", "--depth", "25 mm", "--clamp", "5 kN")
    out = " ".join(run(capsys, "repair", *words).out.split())
    assert "Clamp it with the 5.0 kN asked for: about 8.0 N m dry, 6.0 N m oiled; at most 8.8 kN." in out
    plan = planned(screw={"clamp": "5 kN"})
    assert plan.making is not None
    assert 8.0 == pytest.approx(plan.making.fixing.screw_torque_Nm)
    assert "for 1.25 times the load asked for" == plan.making.sizes.find("screw_reach").note
    assert steps(plan, "fitting")[-1].endswith("tightened to 8.0 N m dry or 6.0 N m oiled.")


def test_walls_hoop_and_the_way_that_is_worked_out_are_told(
    tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        '[fastener]\ndesignation = "M8"\n[hole]\ndepth = "25 mm"\nedge = "30 mm"\n[parent]\n'
        'material = "cast iron"\n[locate]\nmating_bore = "14.01 mm"\nmating_depth = "6 mm"\n',
        encoding="utf-8",
    )
    out = " ".join(run(capsys, "repair", "--job", str(path)).out.split())
    assert "mm at basic sizes" in out
    assert "mm at an undercut" in out
    assert "The flanks stretch the rim of the hole with" in out
    assert out.index("a spigot of 14.01 mm: it holds") < out.index("Worked out below.")
    assert 1 == out.count("Worked out below.")
    assert "a coarse thread spins in them" in out
    path.write_text(path.read_text(encoding="utf-8").split("[locate]")[0], encoding="utf-8")
    plain = " ".join(run(capsys, "repair", "--job", str(path)).out.split())
    assert "mm at an undercut" not in plain
    assert "Worked out below." in plain[plain.index("plain bush:") : plain.index("Not here")]
