"""``threadwright repair``, and what may be cut while the thread is in doubt."""

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from command_line import run
from project_files import ROOT
from threadwright.ranking import Identification, identify
from threadwright.readings import Readings
from threadwright.repair.bush import recommend_bush
from threadwright.repair.plan import BushPlan
from threadwright.repair.settle import RepairPlan, plan_for_identification, plan_for_thread
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

HOLE = ("--parent", "cast aluminium", "--depth", "25 mm", "--boss", "40 mm")
WorkOut = Callable[[Thread], BushPlan]


def work_out(**changed: float) -> WorkOut:
    hole = {"depth_mm": 25.0, "boss_mm": 40.0, **changed}
    return partial(recommend_bush, parent="cast aluminium", **hole)


def doubtful() -> Identification:
    return identify(Readings(major="5.92 mm", pitch="1 mm"))


def by_name(answer: RepairPlan) -> dict[str, bool]:
    return {one.name: one.settled for one in answer.decisions}


# --- what is settled --------------------------------------------------------------------------------


def test_everything_may_be_cut_for_a_thread_that_was_named() -> None:
    answer = plan_for_thread(find_thread("M8"), work_out())
    assert answer.settled
    assert answer.identification is None
    assert {True} == set(by_name(answer).values())


def test_a_settled_identification_is_worked_for_its_first_candidate_alone() -> None:
    seen = identify(Readings(major="0.372 in", pitch="20 tpi", flank_angle="27.5deg"))
    answer = plan_for_identification(seen, work_out())
    assert ["3/8-20 BSF"] == [one.designation for one in answer.plans]
    assert answer.settled
    assert answer.settle_by is None


def test_in_doubt_the_plan_is_worked_for_every_likely_candidate() -> None:
    seen = doubtful()
    answer = plan_for_identification(seen, work_out())
    likely = [one.designation for one in seen.candidates if one.probability > 0.05]
    assert ["M6x1", "0 BA"] == likely == [one.designation for one in answer.plans]
    for decision in answer.decisions:
        assert decision.settled == (len({value for _, value in decision.wanted}) == 1)
    assert not by_name(answer)["inner thread of the bush"]
    assert answer.settle_by is not None
    assert "flank_angle" == answer.settle_by.reading


def test_a_lone_candidate_below_the_mark_leaves_the_inner_thread_open() -> None:
    seen = identify(Readings(major="3.73 mm", pitch="0.5 mm"))
    answer = plan_for_identification(seen, work_out())
    assert 1 == len(answer.plans)
    settled = by_name(answer)
    assert settled["outer thread of the bush"]
    assert not settled["inner thread of the bush"]
    assert not settled["tapping drill in the bush"]


def test_a_candidate_without_a_bush_leaves_everything_open() -> None:
    first, *_ = doubtful().candidates
    plain = work_out()

    def choosy(thread: Thread) -> BushPlan:
        if thread.designation == first.designation:
            raise JobError("boss: too small")
        return plain(thread)

    answer = plan_for_identification(doubtful(), choosy)
    assert {False} == set(by_name(answer).values())
    assert answer.leading is not None
    assert "0 BA" == answer.leading.inner_thread
    assert "boss: too small" == answer.to_dict()["plans"][0]["refused_because"]


def test_where_no_candidate_has_a_bush_the_reason_of_the_first_is_given() -> None:
    with pytest.raises(JobError, match="M6x1: "):
        plan_for_identification(doubtful(), work_out(boss_mm=8.0))


def test_nothing_is_planned_for_a_thread_that_is_none_of_the_tables() -> None:
    answer = plan_for_identification(identify(Readings(major="5.0 mm", pitch="3.3 mm")), work_out())
    assert () == answer.plans
    assert answer.leading is None
    assert not answer.to_dict()["settled"]


# --- the command ------------------------------------------------------------------------------------


def test_the_json_of_a_named_thread_has_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "repair", "M8x1.25", *HOLE, "--json")
    assert (0, "") == (ran.status, ran.err)
    plain = json.loads(ran.out)
    assert "M12x1.5" == plain["bush"]["outer_thread"]["designation"]
    assert {"screw", "parent_strip", "bush_outer_strip", "bush_inner_strip", "limited_by"} == set(
        plain["loads_kN"]
    )
    assert all(("refused_because" in one) != ("loses_by" in one) for one in plain["alternatives"])
    assert 1 == plain["schema_version"]
    assert [] == plain["not_settled"]


def test_the_plan_shows_bush_drills_loads_and_why_the_others_lost(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "repair", "M8", *HOLE)
    for text in (
        "Bush for M8x1.25 in cast aluminium: outer thread M12x1.5",
        "wall            0.795 mm at the worst limits; 0.75 mm is the least",
        "drill the part  10.50 mm",
        "drill the bush  6.80 mm",
        "the screw breaks at",
        "Verdict: holds.",
        "M12x1.75     refused: wall 0.630 mm, 0.75 mm wanted",
        "needs a special tap",
        "more with --json.",
        "Cautions\n",
    ):
        assert text in ran.out
    assert "If it is" not in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_a_drawer_limits_the_choice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawer = tmp_path / "drawer.toml"
    drawer.write_text('taps = ["M12x1.75", "M14x1.5"]\n', encoding="utf-8")
    ran = run(capsys, "repair", "M8", *HOLE, "--drawer", str(drawer), "--json")
    assert "M14x1.5" == json.loads(ran.out)["bush"]["outer_thread"]["designation"]


def test_one_tap_in_the_drawer_leaves_no_runner_up_to_show(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawer = tmp_path / "drawer.toml"
    drawer.write_text('taps = ["M14x1.5"]\n', encoding="utf-8")
    ran = run(capsys, "repair", "M8", *HOLE, "--drawer", str(drawer))
    assert 0 == ran.status
    assert "Why not another thread" not in ran.out


def test_a_clamp_load_takes_the_place_of_a_grade(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "repair", "M8", *HOLE, "--clamp", "5 kN", "--json")
    assert 6.25 == json.loads(ran.out)["required_strip_kN"]


def test_zinc_gets_loads_but_no_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "repair", "M6", "--parent", "zinc die casting", "--depth", "20 mm", "--edge", "40 mm")
    assert "no strength may be assumed" in ran.out
    assert "Verdict: no verdict." in ran.out
    assert "Clamp it with" not in ran.out


@pytest.mark.parametrize("word", ["steam", "compressed air", "gas"])
def test_a_hole_into_pressure_gets_loads_but_no_verdict(
    word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "Verdict: holds." in run(capsys, "repair", "M8", *HOLE).out
    ran = run(capsys, "repair", "M8", *HOLE, "--beyond", word)
    assert 0 == ran.status
    assert "the screw breaks at" in ran.out
    assert "Verdict: no verdict." in ran.out
    assert "it holds; clamp" not in ran.out
    assert "Clamp it with" not in ran.out


def test_a_hole_into_oil_is_to_be_sealed_and_a_job_file_says_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "repair", "M8", *HOLE, "--beyond", "oil", "--json")
    path = tmp_path / "job.toml"
    path.write_text(
        '[fastener]\ndesignation = "M8"\n[hole]\ndepth = "25 mm"\nbeyond = "oil"\n'
        '[parent]\nmaterial = "cast aluminium"\nboss = "40 mm"\n',
        encoding="utf-8",
    )
    by_file = run(capsys, "repair", "--job", str(path), "--json")
    assert ran.out == by_file.out
    cautions = json.loads(ran.out)["cautions"]
    assert any(text.startswith("There is oil beyond the floor or wall") for text in cautions)


def test_the_sample_jobs_run_the_whole_way(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    sure = run(capsys, "repair", "--job", "samples/press-ink-disc-bracket.toml")
    assert 0 == sure.status
    assert sure.out.startswith("3/8-20 BSF, probability >0.99.")
    assert "NOT SETTLED" not in sure.out
    assert "without a bearing on this plan" not in sure.out
    doubt = run(capsys, "repair", "--job", "samples/pillar-drill-cover.toml")
    assert 0 == doubt.status
    assert "What may be cut now\n  outer thread of the bush M12x1.5," in doubt.out
    assert "NOT SETTLED  inner thread of the bush: M6x1, 0 BA" in doubt.out
    assert "To settle it, measure the flank angle" in doubt.out
    assert "If it is 0 BA (0.32): bush for 0 BA" in doubt.out
    for ran in (sure, doubt):
        assert max(map(len, ran.out.splitlines())) <= 80


def test_the_json_of_a_doubtful_job_tells_what_may_be_cut(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    plain = json.loads(run(capsys, "repair", "--job", "samples/pillar-drill-cover.toml", "--json").out)
    assert not plain["settled"]
    assert "outer thread of the bush" in [one["name"] for one in plain["may_be_cut_now"]]
    assert "inner thread of the bush" in [one["name"] for one in plain["not_settled"]]
    assert ["M6x1", "0 BA"] == [one["designation"] for one in plain["plans"]]
    assert "flank_angle" == plain["settle_by"]["reading"]


def job_file(tmp_path: Path, *, fastener: str, boss: str = "40 mm") -> str:
    path = tmp_path / "job.toml"
    path.write_text(
        f'[fastener]\n{fastener}\n[hole]\ndepth = "25 mm"\n'
        f'[parent]\nmaterial = "cast aluminium"\nboss = "{boss}"\n',
        encoding="utf-8",
    )
    return str(path)


def test_a_job_whose_readings_fit_nothing_is_not_planned(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job_file(tmp_path, fastener='major = "5.0 mm"\npitch = "3.3 mm"')
    ran = run(capsys, "repair", "--job", path)
    assert (3, "") == (ran.status, ran.err)
    assert "No bush is planned for a thread that has no name." in ran.out
    assert 3 == run(capsys, "repair", "--job", path, "--json").status


def test_a_lone_candidate_below_the_mark_is_stamped_and_a_trial_would_settle_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job_file(tmp_path, fastener='major = "3.73 mm"\npitch = "0.5 mm"')
    ran = run(capsys, "repair", "--job", path)
    assert "NOT SETTLED  inner thread of the bush: M4x0.5" in ran.out
    assert "\nTo settle it, try a good M4x0.5 nut.\n" in ran.out


def test_a_candidate_that_no_bush_fits_is_told_and_nothing_may_be_cut(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job_file(tmp_path, fastener='major = "5.92 mm"\npitch = "1 mm"', boss="26 mm")
    drawer = tmp_path / "drawer.toml"
    drawer.write_text('taps = ["3/8-20 BSF", "M12x1.5"]\n', encoding="utf-8")
    ran = run(capsys, "repair", "--job", path, "--drawer", str(drawer))
    assert "What may be cut now\n  nothing" in ran.out
    assert "No bush: boss: 26 mm across is too little" in ran.out
    assert "no bush fits for M6x1" in ran.out


REFUSALS = [
    (("M8x1.3", *HOLE), "--json", "no table holds 'M8x1.3'"),
    (("M8", "--parent", "cheese", "--depth", "25 mm"), "", "--parent: material: no table holds 'cheese'"),
    (("M8", *HOLE, "--bolt-grade", "tinsel"), "", "--bolt-grade: screw grade: no table holds 'tinsel'"),
    (("M8", *HOLE, "--bush-material", "magnesium"), "", "bush material: there is no rule"),
    (("M8", "--parent", "cast iron"), "", "--depth is missing"),
    (("M8", "--depth", "25 mm"), "", "--parent is missing"),
    (("M8", "--parent", "cast iron", "--depth", "25"), "", "--depth: '25' has no unit"),
    (("M8", *HOLE, "--clamp", "5"), "", "--clamp: cannot read '5' as a load"),
    (("M8", *HOLE, "--clamp", "50 kN", "--bolt-grade", "8.8"), "", "clamp: 50 kN is more than 0.6 of the 29"),
    (("M8", "--parent", "cast aluminium", "--depth", "25 mm", "--boss", "14 mm"), "", "boss"),
    (("M8", "--parent", "cast aluminium", "--depth", "4 mm", "--boss", "40 mm"), "", "depth"),
    (("M8", *HOLE, "--beyond", "stem"), "", "--beyond: no such word 'stem'; did you mean 'steam'?"),
    (("M8", *HOLE, "--drawer", "no-such-drawer.toml"), "", "no-such-drawer.toml: cannot read it"),
    (("--job", "no-such-job.toml"), "", "no-such-job.toml: cannot read it"),
    (("--job", "x.toml", "M8"), "", "--job holds the whole repair; leave out M8"),
    (("--job", "x.toml", "--beyond", "oil"), "", "leave out --beyond, or write it into the file"),
    (("--job", "x.toml", "--bolt-grade", "8.8"), "", "leave out --bolt-grade"),
    ((), "", "no thread and no job; name the thread, like M8x1.25, or give --job FILE.toml"),
]


@pytest.mark.parametrize("words, also, text", REFUSALS)
def test_what_cannot_be_planned_is_refused_in_one_line(
    words: tuple[str, ...], also: str, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert text in run(capsys, "repair", *words, *filter(None, [also])).refusal


@pytest.mark.parametrize(
    "fastener, text",
    [
        ('desination = "M8"', "[fastener] desination: no such key; did you mean 'designation'?"),
        ("designation = 8", "[fastener] designation: '8' is not text"),
        ('major = "8,5 mm"', "[fastener]: major diameter: cannot read '8,5 mm'"),
        ("designation = ", "not a TOML file"),
    ],
)
def test_a_fault_in_a_job_file_is_one_line_that_names_file_section_and_key(
    fastener: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refusal = run(capsys, "repair", "--job", job_file(tmp_path, fastener=fastener)).refusal
    assert "job.toml" in refusal
    assert text in refusal


# --- the ways to repair the hole --------------------------------------------------------------------


def test_the_ways_come_before_the_bush_and_three_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "repair", "M8", *HOLE).out
    assert out.startswith("Ways to repair the hole, best first\n  1  wire thread insert: ")
    assert out.index("\n  3  plain bush") < out.index("\n  Also: ") < out.index("\nBush for M8x1.25")
    assert "\n  4  " not in out
    assert "--routes all" in out


@pytest.mark.parametrize("count, told", [("0", 0), ("1", 1), ("all", 5)])
def test_how_many_ways_are_told_is_chosen(capsys: pytest.CaptureFixture[str], count: str, told: int) -> None:
    out = run(capsys, "repair", "M8", *HOLE, "--routes", count).out
    assert [f"\n  {number}  " in out for number in (1, 2, 5)] == [told >= 1, told >= 2, told >= 5]
    assert ("through bolt and nut: Nothing says" in out) == (count == "all")


@pytest.mark.parametrize("text", ["some", "-1", "1.5", "100"])
def test_a_count_of_ways_that_is_none_is_a_usage_error(capsys: pytest.CaptureFixture[str], text: str) -> None:
    ran = run(capsys, "repair", "M8", *HOLE, "--routes", text)
    assert (2, "") == (ran.status, ran.out)
    assert "write a count like 3, or all" in ran.err


def test_the_job_file_may_say_how_many_ways_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(job_file(tmp_path, fastener='designation = "M8"'))
    path.write_text(path.read_text(encoding="utf-8") + "\n[bush]\nroutes = 1\n", encoding="utf-8")
    out = run(capsys, "repair", "--job", str(path)).out
    assert "\n  1  " in out
    assert "\n  2  " not in out


def test_where_no_bush_fits_the_other_ways_are_told_when_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    shallow = ("--parent", "LM25-TF", "--depth", "7 mm", "--boss", "26 mm")
    assert 2 == run(capsys, "repair", "M8", *shallow).status
    asked = run(capsys, "repair", "M8", *shallow, "--routes", "all")
    assert (0, "") == (asked.status, asked.err)
    assert "No bush: boss: 26 mm across is too little" in asked.out
    assert "  1  re-cut oversize, with a stepped stud" in asked.out


def test_where_nothing_can_be_done_the_status_is_3(capsys: pytest.CaptureFixture[str]) -> None:
    tiny = ("--parent", "LM25-TF", "--depth", "4 mm", "--boss", "14 mm")
    asked = run(capsys, "repair", "M8", *tiny, "--routes", "3")
    assert 3 == asked.status
    assert "Not here (" in asked.out
    answer = json.loads(run(capsys, "repair", "M8", *tiny, "--routes", "3", "--json").out)
    assert [] == [one for one in answer["routes"] if one["offered"]]
    assert not answer["settled"]


def test_what_must_be_done_first_stands_above_the_ways(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(job_file(tmp_path, fastener='designation = "M8"'))
    text = path.read_text(encoding="utf-8").replace("[hole]", '[hole]\nstate = "broken screw"')
    path.write_text(text, encoding="utf-8")
    out = run(capsys, "repair", "--job", str(path)).out
    assert "\n  First: Get the broken screw out" in out


def test_the_json_holds_every_way_and_the_grown_outer_thread(capsys: pytest.CaptureFixture[str]) -> None:
    answer = json.loads(run(capsys, "repair", "M8", *HOLE, "--json").out)
    assert "wire insert" == answer["routes"][0]["key"]
    assert {"outer_work", "loads_corrected_kN", "torque", "pareto"} < set(answer)
    relieved = {one["designation"]: one.get("relief") for one in answer["alternatives"]}
    assert "keep the root at 9.85 mm or more" == relieved["M12x1.75"]


def test_a_bush_of_the_other_hand_says_how_it_is_cut_and_what_turns_it_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(job_file(tmp_path, fastener='designation = "M8 LH"'))
    out = " ".join(run(capsys, "repair", "--job", str(path)).out.split())
    assert "Bush for M8x1.25 LH in" in out
    assert "Tightening the left-hand screw turns the right-hand bush out" in out
    path.write_text(path.read_text(encoding="utf-8") + '[bush]\nhand = "left"\n', encoding="utf-8")
    out = " ".join(run(capsys, "repair", "--job", str(path)).out.split())
    assert "Undoing the left-hand screw turns the left-hand bush out with it" in out
    assert "reverse the leadscrew" in out


def test_without_boss_or_edge_no_metal_beside_the_bush_is_told_and_idle_keys_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(job_file(tmp_path, fastener='designation = "M8"'))
    text = path.read_text(encoding="utf-8").replace('boss = "40 mm"\n', "")
    path.write_text(text + '[locate]\nfit = "snug"\n', encoding="utf-8")
    out = run(capsys, "repair", "--job", str(path)).out
    assert "of metal is left beside the bush" not in out
    assert "Given, without a bearing on this plan: locate fit." in out
