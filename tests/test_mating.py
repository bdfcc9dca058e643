"""One screw in one hole: cases worked by hand, the laws of a rigid pair, and the look-alikes."""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from command_line import run
from threadwright.binding import free_turns
from threadwright.dangers import count_outcomes, look_alikes, warning_line
from threadwright.judgement import EXTRA_TURNS, START_SLACK_MM
from threadwright.mating import WARNING, Case, Mating, mate
from threadwright.mating_sizes import STATES, SideSizes, catalogue_sizes, sizes_of, straight_depth
from threadwright.pairing import OUTCOMES, Paired, corner_drop, pair
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates, has_side
from threadwright.tables.errors import ReadingError, UnknownThreadError
from threadwright.tables.form import Form, Truncation
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Side

INCH = 25.4
SIDES: tuple[Side, ...] = ("external", "internal")
ROWS = st.integers(0, len(candidates()) - 1)


def answer(screw: str, hole: str) -> Mating:
    return mate(find_thread(screw), find_thread(hole))


def case(screw: str, hole: str, sizes: str = "basic") -> Case:
    return next(one for one in answer(screw, hole).cases if one.sizes == sizes)


# Clearance from the basic effective diameters of the standards; h of the straight Whitworth flank is
# 0.49249 P, and two flanks that differ by 2.5 deg each take h * 0.08727 / sin 57.5 deg of it. [in]
@pytest.mark.parametrize(
    ("screw", "hole", "clearance", "mismatch", "per_turn"),
    [
        ("1/4-26 BSF", "1/4-28 UNF", 0.0014, 0.0020, 0.0050),
        ("1/4-28 UNF", "1/4-26 BSF", -0.0014, 0.0020, 0.0050),
        ("1/2-12 BSW", "1/2-13 UNC", 0.0034, 0.0042, 0.0117),
        ("1/4-20 BSW", "1/4-20 UNC", -0.0005, 0.0025, 0.0),
    ],
)
def test_whitworth_and_unified_threads_of_one_size_at_basic_sizes(
    screw: str, hole: str, clearance: float, mismatch: float, per_turn: float
) -> None:
    found = case(screw, hole)
    assert clearance == pytest.approx(found.clearance / INCH, abs=5.1e-5)
    assert mismatch == pytest.approx(found.flank_mismatch / INCH, abs=6e-5)
    assert per_turn == pytest.approx(found.interference_per_turn / INCH, abs=5e-5)


@pytest.mark.parametrize(("screw", "hole"), [("1/4-26 BSF", "1/4-28 UNF"), ("1/2-12 BSW", "1/2-13 UNC")])
def test_at_the_loosest_limits_the_allowance_of_the_screw_adds_to_the_clearance(
    screw: str, hole: str
) -> None:
    outer = find_thread(screw).limits("external")
    inner = find_thread(hole).limits("internal", "2B")
    found = case(screw, hole, "loosest")
    assert inner.pitch_diameter_max - outer.pitch_diameter_min == pytest.approx(found.clearance / INCH)
    allowance = find_thread(screw).pitch_diameter_basic - outer.pitch_diameter_max
    assert allowance > 0
    tolerance = outer.pitch_diameter_max - outer.pitch_diameter_min
    without = inner.pitch_diameter_max - (find_thread(screw).pitch_diameter_basic - tolerance)
    assert without + allowance == pytest.approx(found.clearance / INCH)
    assert "binds" == found.outcome
    assert 1.0 < found.turns < 3.5


def test_a_quarter_inch_26_screw_starts_in_a_28_nut_and_binds_in_the_first_turns() -> None:
    found = answer("1/4-26 BSF", "1/4-28 UNF")
    assert "binds" == found.verdict
    assert ["binds"] * 3 == [one.outcome for one in found.cases]
    assert EXTRA_TURNS == found.cases[1].turns
    assert (
        "Screw 1/4-26 BSF in hole 1/4-28 UNF: it starts by hand, then binds; not a joint." == found.sentence()
    )


def test_the_28_screw_is_tight_at_once_in_the_26_hole() -> None:
    assert "does not enter" == case("1/4-28 UNF", "1/4-26 BSF").outcome
    assert "does not enter" == case("1/4-28 UNF", "1/4-26 BSF", "tightest").outcome


def test_a_half_inch_whitworth_screw_binds_in_a_unified_hole_where_it_starts() -> None:
    found = answer("1/2-12 BSW", "1/2-13 UNC")
    assert "binds" == found.verdict
    assert found.sentence().endswith("(at the tightest limits and at the loosest limits).")


def test_quarter_inch_20_whitworth_and_unified_run_only_where_there_is_room() -> None:
    for screw, hole in (("1/4-20 BSW", "1/4-20 UNC"), ("1/4-20 UNC", "1/4-20 BSW")):
        found = answer(screw, hole)
        assert ("tight", "runs", math.inf) == (found.verdict, found.cases[2].outcome, found.cases[2].turns)
        assert found.sentence().endswith("then runs in and holds (at the loosest limits).")


# d = 4.7, D1 = 5 - 1.0825 * 0.8 = 4.134, depth 0.433: (4.7 - 4.134)/2 = 0.283 is 65 %. At worst the screw is
# 4.513 and the bore 4.334 (BS 93 normal class, 6H): 0.09 is 21 %. Clearance 4.480 - 4.215 = 0.265; without
# the flanks' share 0.265 tan 26.9 / 0.01 = 13.4 turns. The flanks are 6.25 deg apart each: over the overlap
# they take 0.283 * 2 * 0.1091 / sin 53.75 = 0.077.
def test_a_2_ba_screw_runs_into_an_m5_nut_and_strips() -> None:
    found = answer("2 BA", "M5")
    basic, loosest = found.cases[1], found.cases[2]
    assert "strips" == found.verdict
    assert 0.265 == pytest.approx(basic.clearance, abs=5e-4)
    assert 0.283 == pytest.approx(basic.overlap, abs=5e-4)
    assert 0.65 == pytest.approx(basic.overlap_share, abs=5e-3)
    assert 0.077 == pytest.approx(basic.flank_mismatch, abs=1e-3)
    assert (0.265 - 0.077) * math.tan(math.radians(26.9)) / 0.01 == pytest.approx(basic.turns - 1, abs=0.1)
    assert 0.02 == pytest.approx(basic.interference_per_turn, abs=5e-4)
    assert 0.09 == pytest.approx(loosest.overlap, abs=5e-4)
    assert 0.21 == pytest.approx(loosest.overlap_share, abs=5e-3)


def test_an_m5_screw_does_not_enter_a_2_ba_hole() -> None:
    found = answer("M5", "2 BA")
    assert "does not enter" == found.verdict
    assert -0.265 == pytest.approx(found.cases[1].clearance, abs=5e-4)
    assert any("crest fouls" in note for note in found.notes)
    assert any("root fouls" in note for note in found.notes)


# 5.725 from 5.350 and 0.0231 mm of pitch: 0.375 tan 28.75 / 0.0231 = 8.9 turns before the flanks' share;
# D1 = 6.35 - 1.2807 * 0.9769 = 5.099: (6 - 5.099)/2 = 0.451 of 0.6255 is 72 %.
def test_an_m6_screw_goes_loose_into_a_quarter_inch_26_hole() -> None:
    found = answer("M6", "1/4-26 BSF")
    basic = found.cases[1]
    assert "strips" == found.verdict
    assert "at the loosest limits" in found.sentence()
    assert 0.375 == pytest.approx(basic.clearance, abs=1e-3)
    assert 0.72 == pytest.approx(basic.overlap_share, abs=5e-3)
    free = (basic.turns - 1) * basic.clearance / (basic.clearance - basic.flank_mismatch)
    assert 8.9 == pytest.approx(free, abs=0.05)
    assert 0.04 == pytest.approx(basic.interference_per_turn, abs=3e-3)
    assert "does not enter" == answer("1/4-26 BSF", "M6").verdict


# 0 BA is 6.0 x 1 with an effective diameter of 5.400, M6 has 5.350
def test_a_0_ba_screw_is_tight_in_an_m6_nut_and_easy_where_both_are_loose() -> None:
    found = answer("0 BA", "M6")
    assert ["does not enter", "does not enter", "strips"] == [one.outcome for one in found.cases]
    assert -0.05 == pytest.approx(found.cases[1].clearance, abs=1e-9)


# Flat crest P/8: its corners lie 0.0625 P off the axis of a root of radius 0.137329 P, which is there
# 0.137329 - sqrt(0.137329^2 - 0.0625^2) = 0.01505 P below its bottom.
def test_a_unified_screw_clears_a_whitworth_root_only_if_it_is_0_030_p_smaller() -> None:
    found = case("1/4-20 UNC", "1/4-20 BSW")
    assert -0.030 == pytest.approx(found.crest_room / INCH * 20, abs=5e-4)


# d - 1.226869 P stands in the way of D - 1.280654 P by 0.0269 P on each side
def test_a_unified_root_fouls_the_crest_of_a_whitworth_nut() -> None:
    found = case("1/4-20 UNC", "1/4-20 BSW")
    assert -2 * 0.0269 == pytest.approx(found.root_room / INCH * 20, abs=1.5e-3)


# The corners of the nut's flat P/4 lie 0.125 P off the axis, beyond the root's arc of radius 0.137329 P: it
# is as steep as their own flank 0.1189 P off the axis and 0.0687 P above the bottom, where the flanks meet
# first. 0.640327 - 0.0687 - 0.541266 = 0.0304 P are left on each side.
def test_a_whitworth_screw_in_a_unified_hole_fouls_neither_crest_nor_root() -> None:
    found = case("1/4-20 BSW", "1/4-20 UNC")
    assert found.crest_room >= -1e-9
    assert 2 * 0.0304 == pytest.approx(found.root_room / INCH * 20, abs=2e-3)


def test_the_profile_of_an_iso_screw_just_fits_its_own_hole() -> None:
    found = case("M10", "M10")
    rooms = (found.clearance, found.flank_mismatch, found.crest_room, found.root_room)
    assert (0, 0, 0, 0) == pytest.approx(rooms, abs=2e-3)
    assert ("runs", 1.0) == (found.outcome, found.strength_left)


@pytest.mark.parametrize("half_flat", [0.0, 0.05, 0.13, 0.2])
def test_a_flat_root_takes_the_corners_of_a_crest_to_its_bottom(half_flat: float) -> None:
    assert 0.0 == corner_drop(half_flat=half_flat, radius=0.0, tangent=0.5)


def test_an_iso_crest_just_fits_an_iso_root() -> None:
    # flat P/4 in a root of radius H/6, whose bottom is 1.226869 P and whose crest 1.082532 P below the major
    drop = corner_drop(half_flat=0.125, radius=0.144338, tangent=math.tan(math.radians(30)))
    assert (1.226869 - 1.082532) / 2 == pytest.approx(float(drop), abs=2e-6)


def test_hands_and_starts_must_agree() -> None:
    left = answer("M8", "M8 LH")
    assert ("another helix", "M8x1.25 LH") == (left.verdict, left.to_dict()["hole"])
    assert "One is left hand, the other right hand." in left.notes
    two = mate(replace(find_thread("M8"), starts=2), find_thread("M8"))
    assert "another helix" == two.verdict
    assert "The screw has 2 starts, the hole 1." in two.notes
    both = mate(replace(find_thread("M8"), starts=2), replace(find_thread("M8"), starts=2))
    assert "fits" == both.verdict


def test_a_screw_smaller_than_the_bore_drops_through() -> None:
    assert "drops through" == answer("M3", "M8").verdict


@pytest.mark.parametrize("name", ["M8", "3/8-20 BSF", "1/4-20 UNC", "2 BA", "1/4-26 BSC", "G 1/2"])
def test_every_thread_fits_its_own_hole(name: str) -> None:
    found = answer(name, name)
    assert "fits" == found.verdict
    assert 1.0 == min(one.strength_left for one in found.cases)
    assert () == found.notes


def test_every_screw_of_the_catalogue_runs_into_its_own_hole_at_any_limits() -> None:
    own = np.flatnonzero(has_side("external") & has_side("internal") & (candidates().taper == 0))
    for state in STATES:
        screws, holes = (catalogue_sizes(side, state).pick(own) for side in SIDES)
        ran = [OUTCOMES[i] for i in pair(screws, holes).outcome]
        assert [] == [(candidates().designation(own[i]), o) for i, o in enumerate(ran) if o != "runs"]


# --- taper threads ------------------------------------------------------------------------------------


# the gauge plane of R 1/2 lies 8.164 mm (4 1/2 pitches of 14 tpi, in round figures) behind its small end
def test_a_taper_screw_wedges_in_its_own_hole_where_the_gauge_planes_meet() -> None:
    thread = find_thread("R 1/2")
    assert thread.gauge_length is not None
    found = case("R 1/2", "Rc 1/2")
    assert "wedges" == found.outcome
    assert thread.gauge_length * thread.to_mm / thread.pitch_mm == pytest.approx(found.turns - EXTRA_TURNS)
    assert "wedges" == case("R 1/2", "Rp 1/2").outcome


def test_a_taper_screw_goes_as_far_into_a_parallel_hole_as_its_small_end_has_room() -> None:
    screw, hole = sizes_of(find_thread("R 1/2"), "external"), sizes_of(find_thread("G 1/2"), "internal")
    wider = replace(hole, **{n: getattr(hole, n) + 0.1 for n in ("major", "pitch_diameter", "minor")})
    more = pair(screw, wider).free - pair(screw, hole).free
    assert 0.1 * 16 / (25.4 / 14) == pytest.approx(float(more[0]), abs=0.01)


def test_tapers_that_differ_are_noted_and_fouling_at_the_gauge_plane_is_not() -> None:
    found = answer("R 1/2", "G 1/2")
    assert "Tapers differ: the screw has 1 in 16, the hole none." in found.notes
    assert not any("fouls" in note for note in found.notes)
    assert "wedges" == found.verdict


def test_a_taper_screw_of_another_pitch_binds_before_it_wedges() -> None:
    assert "binds" == answer("1/8-27 NPT", "Rc 1/8").verdict


def test_a_thread_has_no_side_that_its_standard_does_not_give() -> None:
    with pytest.raises(UnknownThreadError, match="Rc 1/8: this thread has no external side"):
        answer("Rc 1/8", "Rc 1/8")
    with pytest.raises(UnknownThreadError, match="no internal side, so it is no hole"):
        answer("R 1/8", "R 1/8")
    assert not {"Rc 1/8", "Rp 1/8"} & set(names("G 1/8", "internal"))


def test_pitches_that_differ_by_a_rounding_do_not_bind() -> None:
    assert "R 1/8 DIN 259" not in names("G 1/8", "internal")
    assert "runs" == case("R 1/8 DIN 259", "G 1/8").outcome


def test_the_columns_of_the_catalogue_are_those_of_each_thread() -> None:
    for side in SIDES:
        for state in STATES:
            columns = catalogue_sizes(side, state)
            for index in np.flatnonzero(has_side(side))[::37].tolist():
                one = sizes_of(candidates().thread(index, side), side, state)
                for field in fields(SideSizes):
                    expected = getattr(one, field.name)
                    assert expected == pytest.approx(getattr(columns, field.name)[[index]], abs=1e-9)


def test_a_limit_that_the_standard_does_not_give_is_estimated_from_the_basic_size() -> None:
    bare = replace(find_thread("M8"), all_limits=())
    assert 8.0 - 0.20 * 1.25 == pytest.approx(float(sizes_of(bare, "external", "loosest").major[0]))


def test_the_class_counts() -> None:
    tight = mate(find_thread("M8"), find_thread("M8"), screw_class="4h", hole_class="5H")
    assert tight.cases[2].clearance < answer("M8", "M8").cases[2].clearance
    with pytest.raises(UnknownThreadError, match="no external class '6H'"):
        mate(find_thread("M8"), find_thread("M8"), screw_class="6H")


def test_unlike_flanks_of_an_asymmetric_form_count_each_by_its_tangent() -> None:
    saw = Form(
        name="saw 7/45",
        flank_angle=7.0,
        flank_angle_clear=45.0,
        crest=Truncation(Fraction(1, 8)),
        root=Truncation(Fraction(1, 8)),
    )
    thread = replace(find_thread("M8"), form=saw)
    own = pair(sizes_of(thread, "external"), sizes_of(thread, "internal"))
    assert 0.0 == own.mismatch[0]
    other = pair(sizes_of(find_thread("M8"), "external"), sizes_of(thread, "internal"))
    h = min(float(own.overlap[0]), straight_depth(find_thread("M8").form) * 1.25)
    h = min(h, float(other.overlap[0]), straight_depth(saw) * 1.25)
    wedge = sum(
        h / 2 * math.radians(abs(30 - angle)) / math.cos(math.radians((30 + angle) / 2)) ** 2
        for angle in (7, 45)
    )
    tangents = sum(math.tan(math.radians((30 + angle) / 2)) for angle in (7, 45))
    assert 2 * wedge / tangents == pytest.approx(float(other.mismatch[0]))


# --- laws ---------------------------------------------------------------------------------------------


def one_pair(screw: int, hole: int, *, length: float | None = None) -> Paired:
    return pair(
        catalogue_sizes("external").pick([screw]), catalogue_sizes("internal").pick([hole]), length=length
    )


NEAR = st.tuples(ROWS, st.integers(-25, 25)).map(
    lambda two: (two[0], min(max(two[0] + two[1], 0), len(candidates()) - 1))
)


@given(NEAR, st.floats(1, 60), st.floats(1, 60))
def test_more_engagement_never_frees_a_bound_pair(both: tuple[int, int], one: float, other: float) -> None:
    short, long = sorted((one, other))
    before, after = (one_pair(*both, length=length) for length in (short, long))
    if OUTCOMES[int(before.outcome[0])] == "binds":
        assert "binds" == OUTCOMES[int(after.outcome[0])]
        assert after.strength[0] <= before.strength[0]
    assert before.interference(short)[0] <= before.interference(long)[0]


@given(NEAR)
def test_parallel_threads_run_as_many_free_turns_as_the_play_allows(both: tuple[int, int]) -> None:
    screw, hole = catalogue_sizes("external").pick([both[0]]), catalogue_sizes("internal").pick([both[1]])
    found = pair(screw, hole)
    assume(screw.taper[0] == hole.taper[0] == 0)
    alone = free_turns(
        clearance=found.clearance - found.mismatch,
        flank_angle=np.degrees(np.arctan((screw.tangent + hole.tangent) / 2)),
        pitch_external=screw.pitch,
        pitch_internal=hole.pitch,
    )
    assert alone / screw.starts == pytest.approx(found.free)


def test_the_interference_is_used_up_just_where_the_free_turns_end() -> None:
    found = one_pair_of("2 BA", "M5")
    assert 0.0 == pytest.approx(found.interference(found.free)[0], abs=1e-3)


def one_pair_of(screw: str, hole: str) -> Paired:
    return pair(sizes_of(find_thread(screw), "external"), sizes_of(find_thread(hole), "internal"))


@given(NEAR, st.floats(0, 1), st.sampled_from(["major", "pitch_diameter", "minor", "all"]))
def test_a_bigger_hole_never_hurts_entry(both: tuple[int, int], more: float, which: str) -> None:
    screw, hole = catalogue_sizes("external").pick([both[0]]), catalogue_sizes("internal").pick([both[1]])
    names = ["major", "pitch_diameter", "minor"] if which == "all" else [which]
    bigger = replace(hole, **{name: getattr(hole, name) + more for name in names})
    before, after = pair(screw, hole), pair(screw, bigger)
    assert after.room[0] >= before.room[0] - 1e-9
    assert bool(after.enters[0]) >= bool(before.enters[0])
    assert after.turns[0] >= before.turns[0] - 1e-9


@given(NEAR, st.floats(0.01, 100))
def test_lengths_in_another_unit_give_the_same_answer(both: tuple[int, int], scale: float) -> None:
    def scaled(sizes: SideSizes) -> SideSizes:
        kept = ("load_flank", "clear_flank", "flat_crest", "starts", "taper", "left_hand")
        names = [f.name for f in fields(SideSizes) if f.name not in kept]
        return replace(sizes, **{name: getattr(sizes, name) * scale for name in names})

    screw, hole = catalogue_sizes("external").pick([both[0]]), catalogue_sizes("internal").pick([both[1]])
    plain, other = pair(screw, hole), pair(scaled(screw), scaled(hole))
    for name in ("room", "clearance", "mismatch", "per_turn", "overlap"):
        assert getattr(plain, name) * scale == pytest.approx(getattr(other, name), rel=1e-9, abs=1e-9 * scale)
    for name in ("overlap_share", "holds", "needed"):
        assert getattr(plain, name) == pytest.approx(getattr(other, name), rel=1e-9)
    assume(abs(plain.clearance[0] - plain.mismatch[0]) > 1e-9)
    assert plain.free == pytest.approx(other.free, rel=1e-6)


@given(st.floats(4.4, 4.7), st.floats(4.0, 4.4))
def test_readings_in_inches_and_in_millimetres_give_the_same_answer(major: float, minor: float) -> None:
    found = [
        mate(
            find_thread("2 BA"),
            find_thread("M5"),
            screw_readings=Readings(major=f"{major / size:.9f} {unit} +- {0.02 / size:.9f}"),
            hole_readings=Readings(side="internal", minor=f"{minor / size:.9f} {unit} +- {0.02 / size:.9f}"),
        )
        for unit, size in (("mm", 1.0), ("in", INCH))
    ]
    assert found[0].verdict == found[1].verdict
    for mm, inch in zip(found[0].cases, found[1].cases, strict=True):
        assert mm.overlap == pytest.approx(inch.overlap, abs=1e-6)


@given(NEAR)
def test_shares_stay_between_nothing_and_one(both: tuple[int, int]) -> None:
    found = one_pair(*both)
    for name in ("holds", "strength"):
        assert 0 <= getattr(found, name)[0] <= 1
    assert 0 <= found.turns[0]
    assert bool(found.enters[0]) == bool(found.room[0] >= -START_SLACK_MM)


# --- readings -----------------------------------------------------------------------------------------


def test_readings_take_the_place_of_the_limits_and_bring_their_doubt() -> None:
    found = mate(
        find_thread("2 BA"),
        find_thread("M5"),
        screw_readings=Readings(major="4.62 +- 0.02 mm", pitch="10 pitches over 8.1 mm +- 0.01 mm"),
        hole_readings=Readings(side="internal", minor="4.2..4.3 mm"),
    )
    tight, read, loose = found.cases[3:]
    assert ["as read, tight end", "as read", "as read, loose end"] == [tight.sizes, read.sizes, loose.sizes]
    assert (4.62 - 4.25) / 2 == pytest.approx(read.overlap)
    assert (4.66 - 4.25 + 2 * math.hypot(0.01, 0.1 / math.sqrt(12))) / 2 == pytest.approx(tight.overlap)
    assert tight.overlap > read.overlap > loose.overlap
    assert "strips" == found.verdict
    assert "Screw 2 BA in hole M5x0.8: it runs in, but holds too little and strips." == found.sentence()


def test_a_screw_measured_over_wires_counts_by_its_effective_diameter() -> None:
    found = mate(
        find_thread("M10"),
        find_thread("M10"),
        screw_readings=Readings(over_wires="10.227 mm", wire="0.866 mm"),
    )
    assert 9.026 - 8.926 == pytest.approx(found.cases[4].clearance, abs=1e-3)
    # the root is cut with the flanks and lies as much deeper
    assert 0.1 == pytest.approx(found.cases[4].root_room - case("M10", "M10").root_room, abs=1e-3)


def test_a_comb_reading_counts_as_the_pitch_of_its_leaf() -> None:
    found = mate(find_thread("M6"), find_thread("M6"), screw_readings=Readings(pitch="26 tpi"))
    assert ("binds", EXTRA_TURNS) == (found.cases[4].outcome, found.cases[4].turns)


def test_a_flank_angle_that_was_read_counts_on_both_flanks() -> None:
    screw, hole = find_thread("1/4-20 BSW"), find_thread("1/4-20 UNC")
    found = mate(screw, hole, screw_readings=Readings(flank_angle="30deg"))
    assert case("1/4-20 BSW", "1/4-20 UNC").flank_mismatch > 0
    assert [0.0] * 3 == [one.flank_mismatch for one in found.cases[3:]]
    assert () == tuple(note for note in found.notes if "angles differ" in note)
    other = mate(screw, hole, hole_readings=Readings(side="internal", flank_angle="29deg"))
    assert "The thread angles differ by 3 deg: the flanks touch at one end of their depth." in other.notes


def test_a_pitch_that_was_read_is_the_one_that_drifts() -> None:
    read = Readings(pitch="10 pitches over 10.1 mm +- 0.01 mm")
    found = mate(find_thread("M6"), find_thread("M6"), screw_readings=read)
    assert "The pitches part by 0.0100 mm in each thread (1.0 %)." in found.notes


def test_one_flank_angle_of_a_thread_with_unlike_flanks_is_refused() -> None:
    saw = find_thread("2-8 BUTT")
    with pytest.raises(ReadingError, match="flank angle: the flanks of 2-8 BUTT differ"):
        mate(saw, saw, screw_readings=Readings(flank_angle="30deg"))


@pytest.mark.parametrize("length", [0.0, -1.0, math.inf, math.nan])
def test_a_length_engaged_must_be_one(length: float) -> None:
    with pytest.raises(ReadingError, match="length engaged: cannot be"):
        mate(find_thread("M6"), find_thread("M6"), length=length)


def test_readings_of_the_wrong_side_are_refused() -> None:
    with pytest.raises(ReadingError, match="of the internal thread; give those of the external one"):
        mate(find_thread("M6"), find_thread("M6"), screw_readings=Readings(side="internal", minor="5 mm"))


# --- look-alikes --------------------------------------------------------------------------------------


def names(thread: str, side: Side, top: int | None = None) -> list[str]:
    return [one.designation for one in look_alikes(find_thread(thread), side, top=top)]


@pytest.mark.parametrize(
    ("thread", "side", "other"),
    [
        ("M5", "internal", "2 BA"),
        ("2 BA", "external", "M5x0.8"),
        ("1/4-28 UNF", "internal", "1/4-26 BSF"),
        ("1/2-13 UNC", "internal", "1/2-12 BSW"),
        ("1/4-26 BSF", "internal", "M6x1"),
        ("M6", "external", "1/4-26 BSF"),
    ],
)
def test_the_classic_look_alikes_are_named(thread: str, side: Side, other: str) -> None:
    assert other in names(thread, side)


def test_what_does_not_start_or_holds_as_well_is_no_danger() -> None:
    assert "2 BA" not in names("M5", "external")
    assert "1/4-26 BSC" not in names("1/4-26 BSF", "internal")
    for side in ("external", "internal"):
        assert "M6x1" not in names("M6", side)  # type: ignore[arg-type]


def test_look_alikes_come_worst_first_and_top_cuts_the_list() -> None:
    every = look_alikes(find_thread("M6"), "internal", top=None)
    risks = [one.risk for one in every]
    assert sorted(risks, reverse=True) == risks
    assert every[:3] == look_alikes(find_thread("M6"), "internal")
    assert {"external"} == {one.side for one in every}
    assert {"binds", "strips"} >= {one.outcome for one in every}


def test_a_deep_look_alike_deceives_more_than_a_shallow_one() -> None:
    found = names("1/4-26 BSC", "internal")
    # both do harm; 0 BA covers 66 % of the depth at basic sizes, 7/32-28 BSF 24 %
    assert found.index("0 BA") < found.index("7/32-28 BSF")


def test_every_danger_of_a_hole_is_one_by_the_pair_itself() -> None:
    for one in look_alikes(find_thread("5/16-22 BSF"), "internal", top=None):
        found = case(one.designation, "5/16-22 BSF", one.sizes)
        assert one.outcome == found.outcome


def test_the_words_of_a_look_alike_say_what_it_does() -> None:
    binds = next(
        one for one in look_alikes(find_thread("3/8-24 UNF"), "internal", top=None) if one.turns < 1.4
    )
    assert "binds after about 1 turn" == binds.words()
    strips = next(one for one in look_alikes(find_thread("M5"), "internal") if one.designation == "2 BA")
    assert "runs in but holds only 42 %" == strips.words()
    assert strips.turns == strips.to_dict()["turns"]


def test_a_left_hand_thread_has_no_look_alikes_in_the_tables() -> None:
    assert () == look_alikes(find_thread("M6 LH"), "internal")


def test_a_look_alike_that_never_binds_has_no_number_of_turns_in_json() -> None:
    found = look_alikes(find_thread("M6"), "internal", top=None)
    endless = next(one for one in found if math.isinf(one.turns))
    assert endless.to_dict()["turns"] is None


def test_the_warning_of_a_thread_is_one_sentence() -> None:
    line = warning_line(find_thread("M5"), "internal")
    assert line.startswith(
        "Must not go into the M5x0.8 hole, though they start by hand: 2 BA (runs in but holds only 42 %), "
    )
    assert line.endswith(").")
    assert warning_line(find_thread("2 BA"), "external").startswith(
        "Must not go on the 2 BA screw, though they start by hand: "
    )
    assert "" == warning_line(find_thread("M6 LH"), "internal")


def test_faulty_questions_for_look_alikes_are_refused() -> None:
    with pytest.raises(ReadingError, match="side: cannot be 'inside'; write external or internal"):
        look_alikes(find_thread("M6"), "inside")  # type: ignore[arg-type]
    with pytest.raises(ReadingError, match="look-alikes: cannot list 0; give 1 or more"):
        look_alikes(find_thread("M6"), "internal", top=0)


def test_all_pairs_of_the_catalogue_are_counted_and_none_of_its_own_is_lost() -> None:
    counts = count_outcomes()
    assert len(candidates()) ** 2 == sum(counts.values())
    assert len(candidates()) <= counts["runs"]


# --- command line -------------------------------------------------------------------------------------


def test_the_command_shows_the_pair_at_its_limits(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "mate", "2 BA", "M5")
    assert 0 == ran.status
    lines = ran.out.splitlines()
    assert "Screw 2 BA in hole M5x0.8: it runs in, but holds too little and strips." == lines[0]
    rows = [line.split() for line in lines]
    assert ["basic", "strips", "0.188", "about", "10.6", "65", "%", "55", "%"] in rows
    assert WARNING == lines[-1]
    assert max(map(len, lines)) <= 80


def test_the_command_takes_readings_lengths_and_inches(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("2 BA", "M5", "--screw-major", "4.62 mm", "--hole-minor", "4.2..4.3 mm", "--unit", "in")
    ran = run(capsys, "mate", *words, "--length", "10 mm")
    assert "read, tight" in ran.out
    assert "Over 0.3937 in engaged." in ran.out


def test_wires_and_flank_angles_are_taken_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--screw-over-wires", "10.227 mm", "--screw-wire", "0.866 mm", "--hole-flank-angle", "30deg")
    plain = json.loads(run(capsys, "mate", "M10", "M10", *words, "--json").out)
    assert 9.026 - 8.926 == pytest.approx(plain["cases"][4]["clearance"], abs=1e-3)


@pytest.mark.parametrize(
    "words",
    [
        ("1/2-12 BSW", "1/2-13 UNC", "--screw-major", "0.49 in", "--unit", "in"),
        ("M5", "2 BA", "--hole-minor", "3.7..3.9 mm"),
        ("No. 10-32 UNF", "--dangers"),
        ("1/4-28 UNF", "--dangers"),
    ],
)
def test_every_line_fits_80_columns(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert [] == [line for line in run(capsys, "mate", *words).out.splitlines() if len(line) > 80]


def test_a_pair_without_a_joint_shows_no_turns(capsys: pytest.CaptureFixture[str]) -> None:
    rows = [line.split() for line in run(capsys, "mate", "M5", "2 BA").out.splitlines()]
    assert ["basic", "does", "not", "enter", "-0.349", "-", "131", "%", "-"] in rows
    assert "no limit" in run(capsys, "mate", "M8", "M8").out


def test_the_json_of_a_pair_has_no_infinity(capsys: pytest.CaptureFixture[str]) -> None:
    plain = json.loads(run(capsys, "mate", "M8", "M8", "--json").out)
    assert (1, "fits", None) == (plain["schema_version"], plain["verdict"], plain["cases"][0]["turns"])
    assert WARNING == plain["warning"]


def test_the_dangers_of_a_thread_are_listed_for_its_hole_and_its_screw(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = run(capsys, "mate", "M5", "--dangers").out
    assert "Screws that must not go into the M5x0.8 hole:" in text
    assert "Holes that must not take the M5x0.8 screw:" in text
    assert "2 BA" in text
    plain = json.loads(run(capsys, "mate", "M5", "--dangers", "--json", "--top", "2").out)
    assert (2, 2) == (len(plain["screws"]), len(plain["holes"]))


def test_a_thread_with_one_side_has_the_dangers_of_that_side_only(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "Screws that" not in run(capsys, "mate", "R 1/8", "--dangers").out
    assert "Holes that" not in run(capsys, "mate", "Rp 1/8", "--dangers").out
    assert [] == json.loads(run(capsys, "mate", "R 1/8", "--dangers", "--json").out)["screws"]


def test_a_thread_without_dangers_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "mate", "M6", "LH", "--dangers").out
    assert "The tables hold no screws that must not go into the M6x1 hole." in text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["M5"], "1 thread named; name the screw, then the hole"),
        (["M5", "M6", "M8"], "3 threads named"),
        (["M5", "M6", "--top", "3"], "--top given"),
        (["--dangers"], "--dangers takes one thread and no readings"),
        (["M5", "--dangers", "--length", "5 mm"], "--dangers takes one thread and no readings"),
        (["M5", "--dangers", "--top", "0"], "look-alikes: cannot list 0"),
        (["M5", "M99"], "no table holds 'M99'"),
        (["M5-6H", "M5"], "no external class '6H'"),
        (["M5", "M5", "--screw-major", "5"], "screw, major diameter:"),
        (["M5", "M5", "--hole-minor", "4,2 mm"], "hole, minor diameter: cannot read '4,2 mm'"),
        (["M5", "M5", "--length", "-5 mm"], "length engaged"),
        ([], "0 threads named"),
        (["M5", "M5", "--length", "5"], "length engaged: '5' has no unit"),
        (["M5", "M5", "--screw-pitch-diameter", "4,4 mm"], "screw, pitch diameter: cannot read '4,4 mm'"),
        (["M5", "M5", "--screw-minor", "nan mm"], "screw, minor diameter: cannot read 'nan mm'"),
        (["M5", "M5", "--screw-pitch", "0.8"], "screw, pitch: '0.8' has no unit"),
        (["M5", "M5", "--screw-flank-angle", "60"], "screw, flank angle: '60' has no unit"),
        (["M5", "M5", "--screw-over-wires", "5.2 mm"], "screw, over wires: needs the diameter"),
        (["M5", "M5", "--screw-wire", "0.5 mm"], "screw, "),
        (["M5", "M5", "--screw-over-wires", "5 mm", "--screw-wire", "2 mm"], "leaves no screw between wires"),
        (["M5", "M5", "--screw-over-wires", "9 mm", "--screw-wire", "2 mm"], "does not reach the flanks"),
        (["M5", "M5", "--screw-over-wires", "5 mm", "--screw-wire", "x"], "screw, wire: cannot read 'x'"),
        (["M5", "M5", "--hole-major", "0 mm"], "hole, major diameter: '0 mm' is impossible"),
        (["M5", "M5", "--hole-pitch-diameter", "4.5"], "hole, pitch diameter: '4.5' has no unit"),
        (["M5", "M5", "--hole-minor", "4.3..4.2 mm"], "hole, minor diameter: interval"),
        (["M5", "M5", "--hole-pitch", "0 tpi"], "hole, pitch: '0 tpi' is no thread"),
        (["M5", "M5", "--hole-flank-angle", "89deg"], "hole, flank angle: 89 deg is impossible"),
        (["2-8 BUTT", "2-8 BUTT", "--screw-flank-angle", "30deg"], "the flanks of 2-8 BUTT differ"),
        (["M5", "--dangers", "--top", "many"], "--top: cannot be 'many'; write a whole number, like 5"),
        (["M5", "M6", "--dangers"], "no table holds 'M5 M6'"),
        (["M5", "--dangers", "--screw-wire", "0.5 mm"], "--dangers takes one thread and no readings"),
        (["M5", "M6", "--unit", "ell"], "--unit: cannot be 'ell'; write mm or in"),
    ],
)
def test_a_faulty_pair_is_refused_in_one_line(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in run(capsys, "mate", *words).refusal
