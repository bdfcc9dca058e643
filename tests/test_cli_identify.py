"""``threadwright identify``."""

import json
import math

import pytest

from command_line import Ran, run


def answer(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> dict[str, float]:
    """Probability of each candidate by designation, in order."""
    ran = run(capsys, "identify", *words, "--json")
    assert (status, "") == (ran.status, ran.err)
    return {one["designation"]: one["probability"] for one in json.loads(ran.out)["candidates"]}


def said(capsys: pytest.CaptureFixture[str], *words: str) -> Ran:
    return run(capsys, "identify", *words)


def test_a_size_and_a_pitch_shared_by_two_threads_leave_both_open(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "--major", "0.372 in", "--pitch", "20 tpi")
    both = [found["3/8-20 BSF"], found["3/8-20 UN"]]
    assert sum(both) > 0.90
    assert min(both) > 0.05


def test_the_flank_angle_settles_it(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "--major", "0.372 in", "--pitch", "20 tpi", "--flank-angle", "27.5deg")
    assert found["3/8-20 BSF"] > 0.95


def test_a_metric_reading_leads_to_the_metric_thread_and_then_to_its_british_twin(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = said(capsys, "--major", "5.92 mm", "--pitch", "1 mm", "--json")
    rows = json.loads(ran.out)["candidates"]
    assert "M6x1" == rows[0]["designation"]
    assert "0 BA" == next(row["designation"] for row in rows if row["thread_angle_deg"] != 60.0)


def test_two_threads_of_26_to_the_inch_lead(capsys: pytest.CaptureFixture[str]) -> None:
    found = list(answer(capsys, "--major", "0.310 in", "--pitch", "26 tpi"))
    assert {"5/16-26 BSC", "5/16-26 BSB"} == set(found[:2])


def test_readings_that_fit_nothing_say_so_and_give_status_3(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--major", "5.0 mm", "--pitch", "3.3 mm")
    ran = said(capsys, *words)
    assert (3, "") == (ran.status, ran.err)
    assert ran.out.startswith("None of the threads in the tables fits these readings")
    assert max(answer(capsys, *words, status=3).values()) < 0.5


def test_the_json_adds_to_one_and_has_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "7.9 mm", "--pitch", "1.25 mm", "--top", "2", "--json")
    plain = json.loads(ran.out)
    keys = {"schema_version", "hand", "candidates", "rest", "none_of_these", "measure_next", "slips"}
    assert keys == set(plain)
    assert 2 == len(plain["candidates"])
    total = sum(one["probability"] for one in plain["candidates"]) + plain["rest"] + plain["none_of_these"]
    assert math.isclose(1.0, total, abs_tol=1e-9)
    first = plain["candidates"][0]
    assert {
        "designation", "system", "also", "probability", "nominal_major_mm", "pitch_mm", "thread_angle_deg",
        "readings",
    } == set(first)  # fmt: skip
    assert {"value", "u", "low", "high", "unit", "fit"} == set(first["readings"]["major"])


def test_an_answer_shows_ranking_readings_doubt_and_what_to_measure_next(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = said(capsys, "--major", "0.372 in", "--pitch", "20 tpi")
    assert (0, "") == (ran.status, ran.err)
    for text in (
        "Most likely 3/8-20 BSF, probability 0.85: not settled.",
        "If it is 3/8-20 UN:",
        "9.449 mm +- 0.020  9.289 to 9.525  inside",
        "none of these  <0.01",
        "Not settled: 3/8-20 BSF or 3/8-20 UN.",
        "Next, measure its hexagon, across flats: 15.037 to 15.240 mm for 3/8-20 BSF,",
        "If it has none, look at the crests, flat or rounded, under a loupe: rounded for",
        "3/8-20 BSF (chance 0.75), flat for 3/8-20 UN (chance 0.72).",
        "The limits used for 3/8-20 BSF are from memory.",
    ):
        assert text in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_lengths_are_shown_in_inches_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "0.372 in", "--pitch", "20 tpi", "--unit", "in")
    assert "0.3720 in +- 0.0008  0.3657 to 0.3750  inside" in ran.out


def test_an_interval_is_shown_as_it_was_found(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--internal", "--minor", "6.6..6.7 mm", "--pitch", "1.25 mm")
    assert "minor diameter  6.600..6.700 mm  6.647 to 6.994  inside" in ran.out


def test_other_names_of_the_same_metal_are_shown(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "0.248 in", "--pitch", "26 tpi", "--flank-angle", "27.5deg")
    assert "also called" in ran.out
    assert "1/4-26 BSB" in ran.out


def test_a_flank_angle_is_shown_beside_that_of_the_thread(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "5.0 mm", "--flank-angle", "45 deg")
    assert "45 deg" in ran.out
    assert "too high" in ran.out


def test_a_wire_that_touches_no_flank_of_a_candidate_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "3.0 mm", "--over-wires", "3.9 mm", "--wire", "0.722 mm")
    assert "over wires      3.900 mm           no contact      the wire touches no flank" in ran.out


def test_the_pitch_to_look_for_is_told_in_the_words_of_each_standard(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = said(capsys, "--major", "3.0 mm")
    assert "Next, measure the pitch, with a comb: 0.5 mm for M3x0.5, 40 tpi for 1/8-40" in ran.out


def test_a_diameter_to_look_for_is_told_as_a_range(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "0.310 in", "--pitch", "26 tpi")
    assert "Next, measure the minor diameter: 6.614 to 6.896 mm for 5/16-26 BSC, 6.403 to" in ran.out


def test_a_lone_leader_below_the_mark_is_not_settled(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "3.73 mm", "--pitch", "0.5 mm")
    assert "Not settled: M4x0.5, or a thread that the tables do not hold." in ran.out
    assert "Next, try a good M4x0.5 nut: runs in for M4x0.5 (chance 0.95)." in ran.out


def test_without_a_reading_it_says_what_to_measure_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert "measure the major diameter over the crests first" in said(capsys).refusal


MAJOR = ("--major", "8 mm", "--pitch", "1.25 mm", "--over-wires", "9 mm")
REFUSALS = [
    (("--major", "8,5 mm"), "major diameter: cannot read '8,5 mm'"),
    (("--major", "-3 mm"), "major diameter: '-3 mm' is negative"),
    (("--major", "nan mm"), "major diameter: cannot read 'nan mm'"),
    (("--major", "1e400 mm"), "major diameter: cannot read '1e400 mm'"),
    (("--major", "9**9**9 mm"), "major diameter: cannot read '9**9**9 mm'"),
    (("--major", "0.25"), "major diameter: '0.25' has no unit; write '0.25 mm' or '0.25 in'"),
    (("--major", "8 Mm"), "did you mean '8 mm'?"),
    (("--pitch", "26 tip"), "did you mean '26 tpi'?"),
    ((*MAJOR, "--wire", "0.1 mm"), "wire: 0.1 mm is too thin to touch the flanks"),
    ((*MAJOR, "--wire", "3 mm"), "wire: 3 mm is too thick to touch the flanks"),
    (MAJOR, "over wires: needs the diameter of the wires"),
    (("--major", "8 mm", "--condition", "rusty"), "condition: cannot be 'rusty'"),
    (("--major", "8 mm", "--instrument", "sundial"), "sundial"),
    (("--major", "8 mm", "--combs", "hair"), "hair"),
    (("--major", "8 mm", "--top", "0"), "top: 0 candidates are none"),
    (("--major", "8 mm", "--top", "many"), "--top: cannot be 'many'; write a whole number"),
    (
        ("--major", "8 mm", "--flank_angle", "30deg"),
        "no option '--flank_angle'; did you mean '--flank-angle'?",
    ),
]


@pytest.mark.parametrize("words, text", REFUSALS)
def test_a_reading_that_cannot_be_is_refused_in_one_line(
    words: tuple[str, ...], text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert text in said(capsys, *words).refusal


def test_a_slip_that_would_make_sense_is_told_when_nothing_fits(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "3.95 mm", "--pitch", "1.25 mm")
    assert "a radius given for" in ran.out
    assert "then M8x1.25" in ran.out


def test_json_holds_the_next_reading_and_the_slips(capsys: pytest.CaptureFixture[str]) -> None:
    open_ = json.loads(said(capsys, "--major", "0.372 in", "--pitch", "20 tpi", "--json").out)
    assert "across_flats" == open_["measure_next"]["reading"]
    assert [] == open_["slips"]
    sure = ("--major", "0.372 in", "--pitch", "20 tpi", "--flank-angle", "27.5deg")
    settled = json.loads(said(capsys, *sure, "--json").out)
    assert settled["measure_next"] is None
    slipped = json.loads(said(capsys, "--major", "13.7 mm", "--pitch", "7 tpi", "--json").out)
    assert slipped["measure_next"] is None
    assert slipped["slips"][0]["words"]


def test_rivals_too_unlikely_to_name_are_not_a_thread_of_no_table(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "Not settled: M8x1.25, or another of the tables.\n" in said(capsys, "--flank-angle", "30deg").out
    near = said(capsys, "--major", "19.9 mm", "--pitch", "4 mm").out
    assert "Not settled: Tr 20x4, or another.\n" in near
    assert "Next, measure the minor diameter: 14.891 to 15.500 mm for Tr 20x4." in near


def test_a_part_of_the_doubt_is_said_to_be_only_that(capsys: pytest.CaptureFixture[str]) -> None:
    assert "bits of doubt among the 4\nlikeliest." in said(capsys, "--flank-angle", "30deg").out


def test_none_of_these_below_a_half_is_not_said_to_be_certain(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "300 mm")
    assert 3 == ran.status
    assert "No thread of the tables is more likely than that none of them fits" in ran.out.replace("\n", " ")


def test_a_leader_whose_hexagon_no_table_tells_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "; no table tells of No. 4-48 UNF." in said(capsys, "--major", "2.77 mm", "--pitch", "0.5 mm").out


def test_no_column_of_other_names_is_begun_without_room(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--pitch", "55 tpi")
    assert max(map(len, ran.out.splitlines())) <= 80


def test_starts_that_no_table_holds_are_said_to_make_it_a_special(capsys: pytest.CaptureFixture[str]) -> None:
    ran = said(capsys, "--major", "7.9 mm", "--pitch", "18 tpi", "--starts", "2")
    assert "5/16-18 BSW has 1 start in the tables and 2 were seen: a special" in ran.out.replace("\n", " ")
    assert "special" not in said(capsys, "--major", "7.9 mm", "--pitch", "18 tpi", "--starts", "1").out


def test_bits_are_told_to_a_tenth_and_few_of_them_to_a_hundredth() -> None:
    from threadwright.cli.identify_command import _bits

    assert ["1.5", "0.1", "0.03"] == [_bits(1.46), _bits(0.05), _bits(0.031)]
