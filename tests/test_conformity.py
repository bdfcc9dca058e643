"""Conformity: the decision rule, the probability, virtual diameters, holes, and the command."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from command_line import run
from threadwright import diameters
from threadwright.conformity import Conformity, verify
from threadwright.decision import GUARD_FACTOR, conformance_probability, decide
from threadwright.diameters import Balls, virtual_pitch_diameter
from threadwright.judgement import INSTRUMENT_U_MM
from threadwright.over_wires import size_over
from threadwright.plating import Plating, bare, growth, parse_plating, thickest
from threadwright.reading import Reading
from threadwright.readings import Readings
from threadwright.remedies import could_measure
from threadwright.tables.errors import ReadingError, UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.registry import find_thread, system
from threadwright.tables.wire_relations import pitch_diameter_between_balls

ORDER = ("does not conform", "cannot tell", "conforms")
SIZES = st.floats(-3, 3)
U = st.floats(0.01, 1)


def proved(name: str, *, tolerance_class: str | None = None, **given: object) -> Conformity:
    return verify(find_thread(name), Readings(**given), tolerance_class=tolerance_class)  # type: ignore[arg-type]


# --- decision rule and probability --------------------------------------------------------------------


# Phi((4.675 - 4.500) / 0.015) - Phi((4.513 - 4.500) / 0.015) = 1 - Phi(0.8667) = 0.193
def test_a_2_ba_screw_just_below_its_limit_conforms_with_probability_0_193() -> None:
    found = proved("2 BA", tolerance_class="normal", major="4.500 +- 0.015 mm")
    (check,) = found.checks
    assert (4.513, 4.675) == (check.least, check.greatest)
    assert check.probability is not None
    assert 0.193 == pytest.approx(check.probability, abs=5e-4)
    assert "cannot tell" == check.decision


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (9.0, "conforms"),
        (8.0165, "conforms"),
        (8.0164, "cannot tell"),
        (8.0, "cannot tell"),
        (7.9836, "cannot tell"),
        (7.983, "does not conform"),
        (10.0164, "cannot tell"),
        (10.017, "does not conform"),
    ],
)
def test_the_guard_band_is_1_645_standard_uncertainties_wide(value: float, expected: str) -> None:
    assert expected == decide(value, value, 0.01, least=8.0, greatest=10.0)


def test_an_interval_proves_only_what_holds_for_both_its_ends() -> None:
    assert "conforms" == decide(8.1, 9.9, 0.01, least=8.0, greatest=10.0)
    assert "cannot tell" == decide(7.9, 9.9, 0.01, least=8.0, greatest=10.0)
    assert "does not conform" == decide(7.0, 7.9, 0.01, least=8.0, greatest=10.0)
    assert "cannot tell" == decide(8.1, math.inf, 0.01, least=8.0, greatest=10.0)
    assert "conforms" == decide(8.1, math.inf, 0.01, least=8.0, greatest=None)
    assert "does not conform" == decide(-math.inf, 7.9, 0.01, least=8.0, greatest=None)


@given(SIZES, st.floats(0, 2), U, SIZES, st.floats(0, 2), st.floats(0, 1), st.floats(0, 1))
def test_wider_limits_never_turn_a_verdict_for_the_worse(
    low: float, width: float, u: float, least: float, tolerance: float, down: float, up: float
) -> None:
    greatest = least + tolerance
    narrow = {"least": least, "greatest": greatest}
    wide = {"least": least - down, "greatest": greatest + up}
    reading = (low, low + width, u)
    assert ORDER.index(decide(*reading, **narrow)) <= ORDER.index(decide(*reading, **wide))
    less, more = conformance_probability(*reading, **narrow), conformance_probability(*reading, **wide)
    assert less is not None
    assert more is not None
    assert less <= more + 1e-12


@given(SIZES, U, SIZES, st.floats(0.01, 3))
def test_a_verdict_is_as_sure_as_the_rule_promises(
    value: float, u: float, least: float, tolerance: float
) -> None:
    limits = {"least": least, "greatest": least + tolerance}
    probability = conformance_probability(value, value, u, **limits)
    assert probability is not None
    assert 0 <= probability <= 1
    decision = decide(value, value, u, **limits)
    if decision == "conforms":
        assert probability >= 0.9 - 1e-3  # 95 % at either end
    if decision == "does not conform":
        assert probability <= 0.05 + 1e-3


@given(SIZES, st.floats(0.01, 2), U, SIZES, st.floats(0.01, 3))
def test_the_probability_of_an_interval_is_the_mean_of_those_of_its_points(
    low: float, width: float, u: float, least: float, tolerance: float
) -> None:
    limits = {"least": least, "greatest": least + tolerance}
    steps = (np.arange(400) + 0.5) / 400 * width + low
    points = [conformance_probability(float(x), float(x), u, **limits) or 0.0 for x in steps]
    found = conformance_probability(low, low + width, u, **limits)
    assert np.mean(points) == pytest.approx(found, abs=2e-3)


@given(SIZES, U, SIZES, st.floats(0.01, 3))
def test_the_probability_is_the_same_seen_from_the_other_end(
    value: float, u: float, least: float, tolerance: float
) -> None:
    ahead = conformance_probability(value, value, u, least=least, greatest=least + tolerance)
    behind = conformance_probability(-value, -value, u, least=-least - tolerance, greatest=-least)
    assert ahead == pytest.approx(behind, abs=1e-12)


def test_one_limit_is_enough() -> None:
    assert 0.5 == pytest.approx(conformance_probability(1.0, 1.0, 0.1, least=1.0, greatest=None))
    assert 0.5 == pytest.approx(conformance_probability(1.0, 1.0, 0.1, least=None, greatest=1.0))
    far = conformance_probability(1.0, 1.0, 0.1, least=2.0, greatest=None)
    assert far is not None
    assert 0 < far < 1e-20
    assert None is conformance_probability(1.0, math.inf, 0.1, least=1.0, greatest=None)


@pytest.mark.parametrize(
    ("reading", "limits", "said"),
    [
        ((1.0, 1.0, 0.0), (0.0, 2.0), "uncertainty 0.0 is impossible"),
        ((1.0, 1.0, math.nan), (0.0, 2.0), "uncertainty nan is impossible"),
        ((1.0, 0.5, 0.1), (0.0, 2.0), "interval 1..0.5 is not in order"),
        ((1.0, 1.0, 0.1), (None, None), "limits: none is given"),
    ],
)
def test_faulty_questions_are_refused(
    reading: tuple[float, float, float], limits: tuple[float | None, float | None], said: str
) -> None:
    with pytest.raises(ReadingError, match=said):
        decide(*reading, least=limits[0], greatest=limits[1])


# --- screws -------------------------------------------------------------------------------------------


def test_a_screw_inside_all_its_limits_conforms() -> None:
    thread = find_thread("3/8-20 BSF")
    limits = thread.limits("external", "medium").in_mm()
    middle = (limits.pitch_diameter_max + limits.pitch_diameter_min) / 2
    over = size_over(thread, pitch_diameter=middle, wire=0.75)
    found = proved(
        "3/8-20 BSF", tolerance_class="medium", major="9.41 mm", over_wires=f"{over:.6f} mm", wire="0.75 mm"
    )
    assert "conforms" == found.decision
    assert () == found.missing
    assert middle == pytest.approx(found.checks[1].low, abs=1e-6)
    assert "As far as it was measured, this screw conforms to 3/8-20 BSF medium." == found.sentence()
    assert found.probability == pytest.approx(math.prod(c.probability or 0 for c in found.checks))


def test_without_the_pitch_diameter_a_screw_is_never_proven() -> None:
    found = proved("M8", major="7.87 mm")
    assert ("cannot tell", ("pitch diameter",)) == (found.decision, found.missing)
    assert (
        "Cannot tell whether this screw conforms to M8x1.25 6g: pitch diameter not measured."
        == found.sentence()
    )


def test_one_diameter_outside_its_limits_is_enough_to_tell() -> None:
    found = proved("M8", major="7.60 mm")
    assert "does not conform" == found.decision
    assert "This screw does not conform to M8x1.25 6g: major diameter." == found.sentence()


def test_near_a_limit_the_instrument_that_could_tell_is_named() -> None:
    (check,) = proved("M8", major="7.94 mm").checks
    assert "cannot tell" == check.decision
    assert "a micrometer (standard uncertainty 0.006 mm), if it reads the same" == check.remedy
    (near,) = proved("M8", major="7.97 mm").checks
    assert "none of a workshop: the reading is within 0.002 mm of a limit" == near.remedy
    (out,) = proved("M8", major="8.0 mm").checks
    assert out.remedy.startswith("a micrometer")


def test_the_instruments_that_read_a_pitch_diameter_are_named_too() -> None:
    limits = find_thread("M8").limits("external", "6g")
    found = proved("M8", pitch_diameter=f"{limits.pitch_diameter_max - 0.02} mm").checks[0]
    assert found.remedy.startswith("a micrometer over measured wires (standard uncertainty 0.01 mm)")
    rough = proved("M8", pitch_diameter=f"{limits.pitch_diameter_max - 0.03} mm +- 0.05 mm").checks[0]
    assert rough.remedy.startswith("a thread micrometer (standard uncertainty 0.015 mm)")


def test_an_instrument_that_uses_up_the_tolerance_cannot_prove_conformity() -> None:
    limits = find_thread("M8").limits("external", "6g")
    middle = (limits.major_min + limits.major_max) / 2
    (check,) = proved("M8", major=f"{middle} mm +- 0.07 mm").checks
    assert "cannot tell" == check.decision
    assert "a digital caliper (standard uncertainty 0.02 mm), if it reads the same" == check.remedy


def test_anvils_for_another_thread_widen_the_doubt() -> None:
    read = {"pitch_diameter": "8.62 mm", "major": "9.4 mm"}
    fit, not_fit = (proved("3/8-20 BSF", **read, anvil=angle).checks[1].u for angle in (55.0, 60.0))
    assert INSTRUMENT_U_MM["thread micrometer"] == fit
    assert math.hypot(fit, 0.03) == pytest.approx(not_fit)


def test_one_wire_is_laid_against_the_crest_of_this_very_screw() -> None:
    thread = find_thread("M10")
    over = size_over(thread, pitch_diameter=8.93, wire=0.866)
    found = proved("M10", major="9.9 mm", over_wires=f"{(over + 9.9) / 2:.6f} mm", wire="0.866 mm", wires=1)
    assert 8.93 == pytest.approx(found.checks[1].low, abs=1e-5)


# --- virtual pitch diameter ---------------------------------------------------------------------------


# Allowance for each degree that both flanks together are off, over the pitch, at the depth of straight flank
@pytest.mark.parametrize(
    ("symbol", "depth", "expected"),
    [("M", 0.54127, 0.01091), ("UNC", 0.48714, 0.00982), ("BSW", 0.49249, 0.01049), ("BA", 0.38399, 0.00909)],
)
def test_flank_errors_take_up_their_known_share_of_the_pitch(
    symbol: str, depth: float, expected: float
) -> None:
    angle = system(symbol).form.flank_angle
    found = virtual_pitch_diameter(5.0, side="external", flank_angle=angle, depth=depth, flank_error=-0.5)
    assert expected == pytest.approx(found.from_flanks, abs=5.1e-6)
    assert 5.0 + found.from_flanks == found.value


@pytest.mark.parametrize(("angle", "cot"), [(30.0, 1.7321), (27.5, 1.9210), (23.75, 2.2727), (14.5, 3.8667)])
def test_a_pitch_error_takes_up_its_cotangent(angle: float, cot: float) -> None:
    found = virtual_pitch_diameter(5.0, side="internal", flank_angle=angle, depth=0.5, pitch_error=-1.0)
    assert cot == pytest.approx(found.from_pitch, abs=5e-5)
    assert 5.0 - found.from_pitch == found.value


@given(st.floats(-0.1, 0.1), st.floats(-2, 2), st.floats(0, 1), st.floats(0, 1))
def test_an_error_always_takes_room_and_a_greater_one_takes_more(
    pitch: float, flank: float, less: float, lesser: float
) -> None:
    fixed = {"flank_angle": 27.5, "depth": 0.5}
    for side, sign in (("external", 1), ("internal", -1)):
        full = virtual_pitch_diameter(8.0, side=side, pitch_error=pitch, flank_error=flank, **fixed)
        part = virtual_pitch_diameter(
            8.0, side=side, pitch_error=pitch * less, flank_error=flank * lesser, **fixed
        )
        assert sign * full.value >= sign * part.value >= sign * 8.0


def test_a_long_pitch_spoils_a_screw_whose_pitch_diameter_is_right() -> None:
    read = {"major": "7.87 mm", "pitch_diameter": "7.12 mm +- 0.005"}
    right = verify(find_thread("M8"), Readings(**read, pitch="20 pitches over 25.0 mm +- 0.01"))
    long = verify(find_thread("M8"), Readings(**read, pitch="20 pitches over 25.6 mm +- 0.01"))
    assert ("conforms", "does not conform") == (right.decision, long.decision)
    assert long.virtual is not None
    # 8 mm of thread hold 6.4 pitches, each 0.03 mm long
    assert 6.4 * 0.03 * math.sqrt(3) == pytest.approx(long.virtual.from_pitch)
    u = math.hypot(0.005, 6.4 * 0.01 / 20 * math.sqrt(3))
    assert u == pytest.approx(long.virtual.u)
    assert "virtual pitch diameter" in long.sentence()


def test_a_shorter_engagement_adds_up_less_pitch_error() -> None:
    read = Readings(pitch_diameter="7.12 mm +- 0.005", pitch="20 pitches over 25.1 mm +- 0.01")
    virtual = [verify(find_thread("M8"), read, length=length).virtual for length in (4.0, 16.0)]
    assert virtual[0] is not None
    assert virtual[1] is not None
    assert 4 * virtual[0].from_pitch == pytest.approx(virtual[1].from_pitch)


def test_flanks_of_another_form_are_told_by_the_angle() -> None:
    found = proved("M8", pitch_diameter="7.13 mm +- 0.005", flank_angle="27.5deg +- 0.2deg")
    assert "does not conform" == found.decision
    loose = proved("M8", pitch_diameter="7.14 mm", flank_angle="29deg")
    virtual = next(c for c in loose.checks if c.quantity == "virtual_pitch_diameter")
    assert "more pitches counted, and a scan of the flanks" == virtual.remedy


# all of the tolerance 0.118 mm over 6.4 pitches: 0.118 tan 30 / 6.4 = 0.0106 mm of pitch each
def test_a_pitch_alone_may_use_up_the_tolerance_but_no_more() -> None:
    limits = find_thread("M8").limits("external", "6g")
    room = (limits.pitch_diameter_max - limits.pitch_diameter_min) * math.tan(math.radians(30)) / 6.4
    (check,) = proved("M8", pitch="1.25 mm +- 0.001").checks
    assert (1.25 - room, 1.25 + room) == pytest.approx((check.least, check.greatest))
    assert "does not conform" == proved("M8", pitch="1.27 mm +- 0.003").decision
    assert "counted along a longer thread" in proved("M8", pitch="1.26 mm +- 0.003").checks[0].remedy
    (angle,) = proved("M8", flank_angle="30deg").checks
    assert ("deg", "conforms") == (angle.unit, angle.decision)
    assert "scan" in proved("M8", flank_angle="25.5deg").checks[0].remedy


def test_a_comb_of_another_pitch_proves_another_thread() -> None:
    found = proved("3/8-20 BSF", major="9.44 mm", pitch="24 tpi")
    assert "does not conform" == found.decision
    assert found.probability is None
    assert [] == [
        c for c in proved("3/8-20 BSF", major="9.44 mm", pitch="20 tpi").checks if c.label == "pitch"
    ]
    near = proved("3/8-20 BSF", major="9.44 mm", pitch="1.25 mm", visible="4 mm")
    assert ["major diameter"] == [c.label for c in near.checks]


# --- holes --------------------------------------------------------------------------------------------


def test_plugs_give_an_interval_of_the_minor_diameter() -> None:
    found = verify(find_thread("M8"), Readings(side="internal", minor="6.7..6.8 mm"))
    assert ("conforms", (6.7, 6.8)) == (found.checks[0].decision, (found.checks[0].low, found.checks[0].high))
    wide = verify(find_thread("M8"), Readings(side="internal", minor="6.6..6.8 mm"))
    assert "cannot tell" == wide.checks[0].decision
    assert "a narrower interval: plugs or known screws nearer to the limits" == wide.checks[0].remedy
    jaws = verify(find_thread("M8"), Readings(side="internal", minor="6.68 mm"))
    assert "a plug gauge (standard uncertainty 0.005 mm), if it reads the same" == jaws.checks[0].remedy


# E = g + w (1 + cosec 30) - 0.866025 P: 9.026 for M10 with balls of 0.850 mm a gap of 7.7750 mm apart
def test_balls_give_the_pitch_diameter_of_a_hole() -> None:
    ball = Reading("wire", 0.85, 0.001)
    gap = verify(
        find_thread("M10"),
        Readings(side="internal"),
        balls=Balls(ball=ball, gap=Reading("over_wires", 7.85, 0.005)),
    ).checks[0]
    assert 7.85 + 3 * 0.85 - 0.866025 * 1.5 == pytest.approx(gap.low, abs=1e-5)
    assert math.hypot(0.005, 3 * 0.001) == pytest.approx(gap.u)
    # ball ends find grooves half a pitch apart: their centres are sqrt((7.85 + 0.85)^2 + 0.75^2) apart
    over = math.hypot(7.85 + 0.85, 0.75) + 0.85
    span = verify(
        find_thread("M10"),
        Readings(side="internal"),
        balls=Balls(ball=ball, span=Reading("over_wires", over, 0.005)),
    ).checks[0]
    assert 0.032 == pytest.approx(over - 9.55, abs=5e-4)
    assert gap.low == pytest.approx(span.low)
    assert math.hypot(0.005, 0.001) == pytest.approx(span.u)
    assert gap.low == pytest.approx(
        pitch_diameter_between_balls(7.85, flank_angle=30.0, pitch=1.5, ball=0.85), abs=1e-12
    )


def test_grooves_of_an_even_number_of_starts_lie_opposite_each_other() -> None:
    two = replace(find_thread("M10"), starts=2)
    balls = Balls(ball=Reading("wire", 0.85, 0.001), span=Reading("over_wires", 9.55, 0.005))
    found = verify(two, Readings(side="internal"), balls=balls).checks[0]
    assert 9.55 + 0.85 - 0.866025 * 1.5 == pytest.approx(found.low, abs=1e-5)


def test_a_cast_of_a_hole_is_enlarged_by_its_shrinkage() -> None:
    read = Readings(side="internal", pitch_diameter="7.20 mm +- 0.01", cast="0.5 %")
    check = verify(find_thread("M8"), read).checks[0]
    assert 7.20 / 0.995 == pytest.approx(check.low)
    assert math.hypot(0.01, 0.002 * 7.20 / 0.995) == pytest.approx(check.u)


def test_near_a_limit_of_a_hole_balls_are_named_as_what_could_tell() -> None:
    read = Readings(side="internal", pitch_diameter="9.08 mm +- 0.05 mm")
    assert "measured balls and slip gauges" in verify(find_thread("M10"), read).checks[0].remedy


def test_known_screws_bracket_the_pitch_diameter_of_a_hole() -> None:
    hole = Readings(side="internal")
    found = verify(find_thread("M8"), hole, enters=["7.16 mm", "7.20 mm"], refused=["7.32 mm", "7.4 mm"])
    check = found.checks[0]
    assert (7.20, 7.32, INSTRUMENT_U_MM["plug gauge"]) == (check.low, check.high, check.u)
    assert "conforms" == check.decision
    only = verify(find_thread("M8"), hole, enters=["7.2 mm"]).checks[0]
    assert ("cannot tell", None, math.inf) == (only.decision, only.probability, only.high)
    small = verify(find_thread("M8"), hole, refused=["7.16 mm"]).checks[0]
    assert "does not conform" == small.decision


def test_a_screw_of_a_known_class_bounds_a_hole_by_its_limits() -> None:
    limits = find_thread("M8").limits("external", "6g")
    check = verify(find_thread("M8"), Readings(side="internal"), enters=["M8x1.25-6g"], refused=["M8-6g"])
    assert (limits.pitch_diameter_min, limits.pitch_diameter_max) == (
        check.checks[0].low,
        check.checks[0].high,
    )


def test_a_measured_pitch_of_a_hole_takes_room_inside() -> None:
    read = Readings(
        side="internal", pitch_diameter="7.22 mm +- 0.005", pitch="20 pitches over 25.2 mm +- 0.01"
    )
    found = verify(find_thread("M8"), read)
    assert found.virtual is not None
    assert found.virtual.value < 7.22
    virtual = next(c for c in found.checks if c.quantity == "virtual_pitch_diameter")
    assert (7.188, None) == (virtual.least, virtual.greatest)
    assert "does not conform" == found.decision
    assert any("left to the tap" in note for note in found.notes)


# --- plating ------------------------------------------------------------------------------------------


# ISO 4042, annex, read in a reproduction: deviation needed for a coating, threads up to 5 d long [um]
@pytest.mark.parametrize(
    ("coating", "deviation"),
    [(3, 12), (5, 20), (8, 32), (10, 40), (12, 48), (15, 60), (20, 80), (25, 100), (30, 120)],
)
def test_a_coating_takes_four_times_its_thickness_of_a_60_degree_thread(coating: int, deviation: int) -> None:
    assert deviation == pytest.approx(coating * growth(find_thread("M8").form, "pitch_diameter"))


@pytest.mark.parametrize(
    ("name", "factor"), [("3/8-20 BSF", 4.331), ("2 BA", 4.966), ("1-5 ACME", 7.988), ("M8", 4.0)]
)
def test_steeper_flanks_make_more_of_a_plating(name: str, factor: float) -> None:
    form = find_thread(name).form
    assert factor == pytest.approx(growth(form, "pitch_diameter"), abs=5e-4)
    assert (2.0, 2.0) == (growth(form, "major"), growth(form, "minor"))


def test_unlike_flanks_count_each_by_its_own_angle() -> None:
    form = find_thread("M8").form.but(flank_angle=30.0, flank_angle_clear=30.0)
    assert 4.0 == pytest.approx(growth(form, "pitch_diameter"))
    # a coating moves a flank axially by t / cos(alpha); the diameter makes up both: 7 and 45 deg
    saw = growth(find_thread("2-8 BUTT").form, "pitch_diameter")
    gaps = [1 / math.cos(math.radians(angle)) for angle in (7, 45)]
    assert 2 * sum(gaps) / (math.tan(math.radians(7)) + 1) == pytest.approx(saw)


@given(st.floats(1, 30), st.floats(0.5, 0.99), st.floats(6.9, 7.3))
def test_stripping_a_plating_gives_back_what_it_added(thick: float, share: float, size: float) -> None:
    thread, plating = find_thread("M8"), Plating(thickness=thick / 1000, u=thick * (1 - share) / 1000)
    for side, sign in (("external", 1), ("internal", -1)):
        plated = diameters.Size(
            quantity="pitch_diameter",
            label="pitch diameter",
            low=size + sign * 4 * plating.thickness,
            high=size + sign * 4 * plating.thickness,
            u=0.01,
            instrument="wires",
        )
        found = bare(thread, side, plated, plating)
        assert size == pytest.approx(found.low, abs=1e-12)
        assert math.hypot(0.01, 4 * plating.u) == pytest.approx(found.u)


# 6g of M8: es = 28 um, so that 28 / 4 = 7 um may be laid on a screw at its largest size (ISO 965-1)
def test_a_class_takes_as_much_plating_as_its_allowance_holds() -> None:
    thread = find_thread("M8")
    assert (0.028, 0.007) == pytest.approx(thickest(thread, thread.limits("external", "6g")), abs=1e-9)
    assert (0.0, 0.0) == pytest.approx(thickest(thread, thread.limits("external", "6h")), abs=1e-9)
    assert (0.0, 0.0) == pytest.approx(thickest(thread, thread.limits("internal", "6H")), abs=1e-9)
    bare_limits = replace(thread.limits("external", "6g"), pitch_diameter_max=math.nan)
    assert None is thickest(thread, bare_limits)


def plated(thickness: str, **given: object) -> Conformity:
    return verify(find_thread("M8"), Readings(**given), plating=parse_plating(thickness))  # type: ignore[arg-type]


def test_a_plated_screw_is_held_to_its_class_below_the_plating_and_to_the_basic_size_above() -> None:
    read = {"major": "7.950 mm by micrometer", "pitch_diameter": "7.130 mm +- 0.004 mm"}
    found = plated("7 um +- 0.5 um", **read)
    limits = find_thread("M8").limits("external", "6g")
    assert ["major", "pitch_diameter", "plated_major", "plated_pitch_diameter"] == [
        check.quantity for check in found.checks
    ]
    under, over = found.checks[1], found.checks[3]
    assert (limits.pitch_diameter_min, limits.pitch_diameter_max) == (under.least, under.greatest)
    assert 7.130 - 4 * 0.007 == pytest.approx(under.low)
    assert (7.130, None, 7.188) == (over.low, over.least, over.greatest)
    assert "conforms" == found.decision
    assert "bare pitch diameter" == under.label
    assert any("takes 7 um of plating at its limit of most metal" in note for note in found.notes)


def test_a_plating_can_hide_a_screw_that_was_cut_too_small_or_choke_one_that_was_right() -> None:
    thin = plated("15 um +- 1 um", major="7.90 mm", pitch_diameter="7.080 mm +- 0.004 mm")
    assert "does not conform" == thin.decision
    assert "bare pitch diameter" in thin.sentence()
    thick = plated("25 um +- 1 um", major="7.98 mm", pitch_diameter="7.22 mm +- 0.004 mm")
    assert "conforms" == next(c for c in thick.checks if c.quantity == "pitch_diameter").decision
    assert "does not conform" == thick.decision
    assert "plated pitch diameter" in thick.sentence()


def test_a_plated_hole_is_smaller_than_it_was_cut() -> None:
    found = verify(
        find_thread("M8"),
        Readings(side="internal", minor="6.70 mm", pitch_diameter="7.25 mm +- 0.005 mm"),
        plating=parse_plating("8 um +- 1 um"),
    )
    under = {check.quantity: check for check in found.checks}
    assert 6.716 == pytest.approx(under["minor"].low)
    assert 7.282 == pytest.approx(under["pitch_diameter"].low)
    assert (7.188, None) == (under["plated_pitch_diameter"].least, under["plated_pitch_diameter"].greatest)
    assert any("there is no allowance" in note for note in found.notes)


def test_pitch_errors_take_the_room_that_a_plating_needs_as_well() -> None:
    read = {"pitch_diameter": "7.10 mm +- 0.004", "pitch": "20 pitches over 25.06 mm +- 0.01"}
    found = plated("8 um +- 1 um", **read)
    checks = {check.quantity: check for check in found.checks}
    lower, upper = checks["virtual_pitch_diameter"], checks["plated_virtual_pitch_diameter"]
    assert 4 * 0.008 == pytest.approx(upper.low - lower.low)
    assert 4 * 0.001 == pytest.approx(math.sqrt(lower.u**2 - upper.u**2))
    assert (7.160, 7.188) == pytest.approx((lower.greatest, upper.greatest))


def test_a_root_has_no_limit_above_its_plating() -> None:
    found = plated("8 um", minor="6.5 mm", major="7.9 mm")
    assert "plated_minor" not in {check.quantity for check in found.checks}


def test_a_thickness_too_doubtful_to_tell_is_said_to_want_measuring() -> None:
    (check, *_) = plated("12 um", pitch_diameter="7.10 mm +- 0.004 mm").checks
    assert "measure its thickness" in check.remedy


def test_a_class_without_pitch_diameter_limits_says_nothing_of_its_allowance() -> None:
    bare_rows = tuple(replace(row, pitch_diameter_max=math.nan) for row in find_thread("M8").all_limits)
    thread = replace(find_thread("M8"), all_limits=bare_rows)
    notes = verify(thread, Readings(major="7.9 mm"), plating=parse_plating("8 um")).notes
    assert not any("allowance" in note for note in notes)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8 um", (0.008, 0.002)),
        ("8 um +- 1 um", (0.008, 0.001)),
        ("8 +- 1 um", (0.008, 0.001)),
        ("8 \u00b5m", (0.008, 0.002)),
        ("5..12 um", (0.0085, 0.007 / math.sqrt(12))),
        ("0.005..0.012 mm", (0.0085, 0.007 / math.sqrt(12))),
        ("0.5 thou", (0.0127, 0.003175)),
    ],
)
def test_the_thickness_of_a_plating_is_read(text: str, expected: tuple[float, float]) -> None:
    found = parse_plating(text)
    assert expected == pytest.approx((found.thickness, found.u))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8", "plating: '8' has no unit; write it like '8 um'"),
        ("8 mm", "plating: '8 mm' is impossible; write one above 0 and up to 200 um"),
        ("0 um", "is impossible"),
        ("thick", "plating: cannot read 'thick'"),
        ("8 lux", "has an unknown unit 'lux'"),
        ("12..5 um", "is not in order; write the smaller end first"),
        ("5..8..12 um", "cannot read"),
        ("5..8 um +- 1 um", "cannot read"),
        ("8 um +- 1 um +- 1 um", "cannot read"),
        ("8 um +- 9 um", "is no thicker than its doubt"),
        ("8,5 um", "cannot read"),
        ("-8 um", "cannot read"),
        ("nan um", "cannot read"),
        ("", "cannot read"),
    ],
)
def test_a_thickness_that_cannot_be_is_refused(text: str, said: str) -> None:
    with pytest.raises(ReadingError, match="plating: ") as refused:
        parse_plating(text)
    assert said in str(refused.value)


# --- what could tell --------------------------------------------------------------------------------


def test_for_a_diameter_that_was_not_measured_an_instrument_is_named() -> None:
    found = proved("M8", major="7.87 mm")
    assert ("a thread micrometer (standard uncertainty 0.015 mm)",) == found.could_measure
    # BS 93 normal class of 2 BA: T = 0.106 mm on the effective diameter, four times 0.015 mm and more
    assert ("a thread micrometer (standard uncertainty 0.015 mm)",) == proved(
        "2 BA", major="4.6 mm"
    ).could_measure
    hole = verify(find_thread("M8"), Readings(side="internal", minor="6.75 mm"))
    assert ("measured balls and slip gauges (standard uncertainty 0.01 mm)",) == hole.could_measure
    limits = find_thread("M8").limits("external", "6g")
    # 2 x 1.645 x 0.01 mm: over wires is fine enough for 0.034 mm, and nothing is for 0.03 mm
    narrow = "none of a workshop: the tolerance, 0.03 mm, is too narrow"
    for tolerance, named in ((0.034, "a micrometer over measured wires"), (0.03, narrow)):
        tight = replace(limits, pitch_diameter_min=limits.pitch_diameter_max - tolerance)
        assert named == could_measure(find_thread("M8"), tight, "pitch_diameter").partition(" (")[0]
    (saw,) = proved("2-8 BUTT", major="1.99 in").could_measure
    assert "none of a workshop: wires, balls and anvils need flanks of one angle" == saw


def test_a_left_hand_thread_is_named_with_its_hand(capsys: pytest.CaptureFixture[str]) -> None:
    assert "conforms to M8x1.25 LH 6g" in proved("M8 LH", major="7.9 mm").sentence()
    assert "Wires for M8x1.25 LH, ISO 60 deg" in run(capsys, "wires", "M8", "LH").out


def test_the_json_names_an_instrument_for_what_is_missing_and_the_plating() -> None:
    plain = plated("8 um", major="7.9 mm").to_dict()
    assert [
        {"quantity": "pitch diameter", "could_measure": "a thread micrometer (standard uncertainty 0.015 mm)"}
    ] == (plain["missing"])
    assert {"thickness": 0.008, "u": 0.002} == plain["plating"]
    assert None is proved("M8", major="7.9 mm").to_dict()["plating"]


def test_a_comb_that_agrees_proves_nothing_and_is_said_not_to() -> None:
    assert any(
        "A comb can prove another pitch" in note
        for note in proved("M8", major="7.9 mm", pitch="1.25 mm").notes
    )


# --- refusals -----------------------------------------------------------------------------------------

BALL = Reading("wire", 0.85, 0.001)
GAP = Reading("over_wires", 7.85, 0.005)


@pytest.mark.parametrize(
    ("name", "side", "more", "said"),
    [
        ("M8", "external", {}, "verify: no reading has a limit in M8x1.25"),
        ("M8", "external", {"enters": ["7.2 mm"]}, "balls and known screws measure a hole"),
        ("M10", "external", {"balls": Balls(ball=BALL, gap=GAP)}, "balls and known screws measure a hole"),
        ("M10", "internal", {"balls": Balls(ball=BALL)}, "balls: give either the gap"),
        ("M10", "internal", {"balls": Balls(ball=BALL, gap=GAP, span=GAP)}, "balls: give either the gap"),
        ("M20", "internal", {"balls": Balls(ball=BALL, gap=GAP)}, "wire: 0.85 mm does not stand proud"),
        (
            "M8",
            "internal",
            {"enters": ["7.3 mm"], "refused": ["7.2 mm"]},
            "known screws: one of 7.3 mm runs in",
        ),
        (
            "M8",
            "internal",
            {"enters": ["M6"]},
            "known screw: 'M6' has another pitch, form or hand than M8x1.25",
        ),
        ("M8", "internal", {"enters": ["seven"]}, "pitch diameter: cannot read 'seven'"),
        ("M8", "internal", {"length": 0.0}, "length engaged: cannot be 0.0 mm"),
    ],
)
def test_what_says_nothing_of_the_thread_is_refused(
    name: str, side: str, more: dict[str, object], said: str
) -> None:
    with pytest.raises(ReadingError, match=said):
        verify(find_thread(name), Readings(side=side), **more)  # type: ignore[arg-type]


def test_a_class_of_the_other_side_is_refused() -> None:
    with pytest.raises(UnknownThreadError, match="no external class '6H'"):
        verify(find_thread("M8"), Readings(major="7.9 mm"), tolerance_class="6H")


def test_a_known_screw_without_limits_is_refused() -> None:
    bare = next(
        row.tolerance_class
        for row in find_thread("M8").all_limits
        if row.side == "external" and math.isfinite(row.pitch_diameter_max)
    )
    thread = replace(
        find_thread("M8"),
        all_limits=tuple(replace(row, pitch_diameter_min=math.nan) for row in find_thread("M8").all_limits),
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(diameters, "find_thread_and_class", lambda _: (thread, bare))
        with pytest.raises(ReadingError, match="the tables hold no pitch diameter limits of 'M8'"):
            verify(thread, Readings(side="internal"), enters=["M8"])


def test_without_pitch_diameter_limits_errors_of_pitch_and_flank_have_none_either() -> None:
    bare = tuple(replace(row, pitch_diameter_max=math.nan) for row in find_thread("M8").all_limits)
    thread = replace(find_thread("M8"), all_limits=bare)
    read = {"major": "7.87 mm", "pitch": "1.25 mm +- 0.001"}
    assert ["major diameter"] == [c.label for c in verify(thread, Readings(**read)).checks]  # type: ignore[arg-type]
    more = verify(thread, Readings(**read, pitch_diameter="7.12 mm"))  # type: ignore[arg-type]
    assert ["major diameter", "pitch diameter"] == [c.label for c in more.checks]


def test_limits_from_memory_are_said_to_be() -> None:
    assert any("from memory" in note for note in proved("3/8-20 BSF", major="9.4 mm").notes)


def test_a_taper_thread_is_measured_at_its_gauge_plane() -> None:
    notes = proved("R 1/2", major="20.9 mm").notes
    assert "Limits of a taper thread are those at its gauge plane: measure there." in notes


def test_a_form_that_takes_no_wires_has_no_instrument_for_its_pitch_diameter() -> None:
    saw = Form(
        name="saw", flank_angle=7.0, flank_angle_clear=45.0, crest=find_thread("M8").form.crest,
        root=find_thread("M8").form.crest,
    )  # fmt: skip
    thread = replace(find_thread("M8"), form=saw)
    check = verify(thread, Readings(pitch_diameter="7.15 mm +- 0.05 mm")).checks[0]
    assert check.remedy.startswith("none of a workshop")


# --- command line -------------------------------------------------------------------------------------

BSF = ("verify", "3/8-20 BSF", "--class", "medium")
READ = ("--major", "9.44 mm", "--over-wires", "9.78 mm", "--wire", "0.75 mm")


def test_the_command_lays_each_reading_against_its_limits(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, *BSF, *READ)
    assert 0 == ran.status
    lines = ran.out.splitlines()
    assert "As far as it was measured, this screw conforms to 3/8-20 BSF medium." == lines[0]
    assert "  major diameter     9.440  0.020  9.324-9.492  conforms  >0.99" in lines
    assert "  pitch dia., wires  8.624  0.010  8.567-8.679  conforms  >0.99" in lines


def test_a_part_that_does_not_conform_ends_with_status_3(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "verify", "M8-6g", "--major", "7.6 mm")
    assert 3 == ran.status
    assert "does not conform" in ran.out


def test_the_json_says_why_and_holds_no_infinity(capsys: pytest.CaptureFixture[str]) -> None:
    plain = json.loads(run(capsys, "verify", "M8-6H", "--screw-enters", "7.2 mm", "--json").out)
    assert ("internal", "6H", "cannot tell") == (plain["side"], plain["tolerance_class"], plain["decision"])
    assert (7.2, None) == (plain["checks"][0]["low"], plain["checks"][0]["high"])
    assert GUARD_FACTOR == plain["guard_factor"]


def test_the_side_follows_from_the_class_unless_it_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert "this hole" in run(capsys, "verify", "M8", "--class", "6H", "--minor", "6.75 mm").out
    assert "this screw" in run(capsys, "verify", "M8", "--class", "6g", "--major", "7.9 mm").out
    assert "this hole" in run(capsys, "verify", "3/8", "BSF", "--internal", "--minor", "8.0 mm").out


def test_virtual_diameters_angles_and_open_limits_are_shown(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--pitch-diameter", "7.10 mm", "--pitch", "10 pitches over 12.5 mm", "--flank-angle", "30deg")
    text = run(capsys, "verify", "M8", *words).out
    assert "Virtual pitch diameter 7.100 mm: the pitch accounts for 0.000" in text
    assert "to 7.160" in text
    flowing = " ".join(text.split())
    assert "To tell the virtual pitch diameter: more pitches counted, and a scan of the flanks." in flowing
    hole = ("--internal", "--pitch-diameter", "7.25 mm", "--flank-angle", "30deg")
    assert "from 7.188" in run(capsys, "verify", "M8", *hole).out
    assert "30.00  1.00" in run(capsys, "verify", "M8", "--flank-angle", "30deg").out
    assert "1.270" in run(capsys, "verify", "M8", "--pitch", "20 tpi", "--major", "7.9 mm").out
    assert "7.200..  0.005" in run(capsys, "verify", "M8-6H", "--screw-enters", "7.2 mm").out


def test_balls_are_read_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--ball", "0.85 mm", "--ball-gap", "7.85 mm", "--length", "12 mm", "--unit", "in")
    assert "  pitch dia., balls  0.3583  " in run(capsys, "verify", "M10", "--internal", *words).out
    words = ("--ball", "0.85 mm", "--ball-span", "9.58 mm")
    assert "  pitch dia., balls  9.0" in run(capsys, "verify", "M10", "--internal", *words).out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["M8"], "verify: no reading has a limit in M8x1.25"),
        ([], "DESIGNATION: not given"),
        (["M8", "--major", "8,5 mm"], "major diameter: cannot read '8,5 mm'"),
        (["M8-6g", "--class", "4h", "--major", "7.9 mm"], "--class 4h and class 6g in the name"),
        (["M8", "--class", "9z", "--major", "7.9 mm"], "no external class '9z'"),
        (["M99", "--major", "7.9 mm"], "no table holds 'M99'"),
        (
            ["M8", "--over-wires", "9 mm", "--wire", "0.3 mm"],
            "wire: 0.3 mm does not stand proud of the crests",
        ),
        (["M8", "--over-wires", "9 mm", "--wire", "2 mm"], "wire: 2 mm does not reach the flanks"),
        (["M8", "--internal", "--ball-gap", "7 mm"], "balls need --ball"),
        (["M8", "--major", "7.9 mm", "--length", "x"], "length engaged"),
        (["M8", "--major", "7.9 mm", "--length", "0 mm"], "length engaged"),
        (["M8", "--major", "7.9 mm", "--plated", "8"], "plating: '8' has no unit"),
        (["M8", "--major", "nan mm"], "major diameter: cannot read 'nan mm'"),
        (["M8", "--major", "-7.9 mm"], "major diameter: '-7.9 mm' is negative"),
        (["M8", "--major", "7.9 mm", "--major", "7.8..7.9 mm"], "an interval stands among several readings"),
        (["M8", "--minor", "6,5 mm"], "minor diameter: cannot read '6,5 mm'"),
        (["M8", "--pitch-diameter", "7.1"], "pitch diameter: '7.1' has no unit"),
        (["M8", "--pitch-diameter", "7.1 mm", "--anvil", "5"], "anvil: 5 deg is impossible"),
        (["M8", "--pitch-diameter", "7.1 mm", "--anvil", "steep"], "--anvil: cannot be 'steep'"),
        (["M8", "--major", "7.9 mm", "--anvil", "60"], "anvil: given without a pitch diameter"),
        (["M8", "--over-wires", "8.1 mm"], "wire"),
        (["M8", "--over-wires", "8.1 mm", "--wire", "thin"], "wire: cannot read 'thin'"),
        (["M8", "--over-wires", "8.1 mm", "--wire", "0.72 mm", "--wires", "4"], "wires"),
        (["M8", "--over-wires", "8.1 mm", "--wire", "0.72 mm", "--wires", "x"], "--wires: cannot be 'x'"),
        (["M8", "--pitch", "25"], "pitch: '25' has no unit"),
        (["M8", "--pitch", "0 tpi"], "pitch: '0 tpi' is no thread"),
        (["M8", "--flank-angle", "60"], "flank angle: '60' has no unit"),
        (["M8", "--flank-angle", "80deg"], "flank angle: 80 deg is impossible"),
        (["M8", "--major", "7.9 mm", "--cast", "0.5 %"], "cast: only a hole is cast"),
        (["M8", "--internal", "--minor", "6.7 mm", "--cast", "much"], "cast: cannot read 'much'"),
        (["M8", "--internal", "--ball", "0.8"], "ball: '0.8' has no unit"),
        (["M8", "--internal", "--ball", "0.8 mm", "--ball-gap", "6,1 mm"], "ball gap: cannot read '6,1 mm'"),
        (["M8", "--internal", "--ball", "0.8 mm", "--ball-span", "far"], "ball span: cannot read 'far'"),
        (["M8", "--internal", "--ball", "0.8 mm", "--ball-span", "1 mm"], "ball centres: "),
        (["M8", "--internal", "--ball", "0.8 mm"], "give either the gap"),
        (["M8", "--internal", "--screw-enters", "7.2"], "pitch diameter: '7.2' has no unit"),
        (["M8", "--internal", "--screw-refused", "M6"], "known screw: 'M6' has another pitch"),
        (["M8", "--screw-refused", "7.2 mm"], "balls and known screws measure a hole"),
        (["M8", "--major", "7.9 mm", "--instrument", "guess"], "instrument"),
        (["M8", "--major", "7.9 mm", "--unit", "ell"], "--unit: cannot be 'ell'; write mm or in"),
        (["M8", "--major"], "--major: no value given"),
        (["M8", "--majr", "7.9 mm"], "no option '--majr'"),
    ],
)
def test_a_faulty_question_is_refused_in_one_line(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    refusal = run(capsys, "verify", *words).refusal
    assert said in refusal or said in refusal.lower()


WIDE = [
    ("M8", "--internal", "--unit", "in", "--plated", "5..12 um", "--minor", "6.7..6.8 mm",
     "--screw-enters", "7.20 mm", "--screw-refused", "7.32 mm"),
    ("M8", "--pitch-diameter", "7.1 mm", "--pitch", "20 pitches over 25.06 mm", "--plated", "8 um"),
    ("1-8 UNC", "--internal", "--unit", "in", "--ball", "2 mm", "--ball-gap", "19.0 mm",
     "--minor", "0.87..0.88 in"),
    ("3/8-20 BSF", "--over-wires", "9.78 mm", "--wire", "0.75 mm", "--flank-angle", "27.5deg",
     "--unit", "in"),
]  # fmt: skip


@pytest.mark.parametrize("words", WIDE)
def test_every_table_and_sentence_fits_80_columns(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "verify", *words)
    assert ran.status in (0, 3)
    assert [] == [line for line in ran.out.splitlines() if len(line) > 80]


def test_several_readings_of_one_diameter_are_taken_together(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "verify", "M8", "--major", "7.86 mm", "--major", "7.90 mm").out
    assert "  major diameter  7.880  0.035" in text
