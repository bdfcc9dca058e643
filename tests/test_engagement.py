"""Stress areas, shear areas, lengths and corrections against print, and laws that hold everywhere."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.engagement import (
    end_of_straight_flank,
    external_shear_area,
    internal_shear_area,
    length_for_screw_to_break,
    length_for_shear_at_pitch_line,
    overlap,
    percent_engagement,
    tensile_stress_area,
)
from threadwright.repair.corrections import (
    bell_mouth_area,
    dilation_factor,
    screw_thread_factor,
    strip_ratio,
    tapped_thread_factor,
)
from threadwright.repair.outer import basic_root
from threadwright.repair.strength import boss_hoop_stress, screw_stress_area
from threadwright.repair.zones import net_section_kN, tube_shear_kN
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread

SQUARE_INCH = 25.4**2
M10 = {"pitch": 1.5, "flank_angle": 30.0}


@pytest.mark.parametrize(
    "name, printed, half_digit",
    [  # ISO 898-1, mm2
        ("M5", 14.2, 0.05),
        ("M6", 20.1, 0.05),
        ("M8", 36.6, 0.05),
        ("M10", 58.0, 0.05),
        ("M12", 84.3, 0.05),
        ("M16", 157.0, 0.5),
        ("M20", 245.0, 0.5),
    ],
)
def test_stress_areas_of_iso_898(name, printed, half_digit):
    assert screw_stress_area(find_thread(name)) == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    "name, printed, half_digit",
    [  # SAE J995, in2
        ("1/2-13 UNC", 0.1419, 0.00005),
        ("5/8-11 UNC", 0.226, 0.0005),
        ("3/4-10 UNC", 0.334, 0.0005),
        ("7/8-9 UNC", 0.462, 0.0005),
        ("1-8 UNC", 0.606, 0.0005),
    ],
)
def test_stress_areas_of_sae_j995(name, printed, half_digit):
    assert screw_stress_area(find_thread(name)) / SQUARE_INCH == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    "name, area_in2",
    [  # mean of effective and core: pi/4 (d - 0.960491 P)^2, the principle of BS 3580
        ("1/4-20 BSW", 0.0320),
        ("3/8-16 BSW", 0.0779),
        ("1/2-12 BSW", 0.1385),
        ("1-8 BSW", 0.6081),
        ("1/4-26 BSF", 0.0357),
        ("3/8-20 BSF", 0.0840),
        ("1/2-16 BSF", 0.1520),
    ],
)
def test_whitworth_stress_areas_are_on_the_mean_of_effective_and_core(name, area_in2):
    thread = find_thread(name)
    across = thread.major_basic - 0.960491 * thread.pitch
    assert math.pi / 4 * across**2 == pytest.approx(area_in2, abs=0.00005)
    rounding = math.pi / 2 * across * 0.00005  # BS 84 rounds its diameters to 0.0001 in
    assert screw_stress_area(thread) / SQUARE_INCH == pytest.approx(math.pi / 4 * across**2, abs=rounding)


@pytest.mark.parametrize("name, area", [("0 BA", 20.43), ("2 BA", 12.38), ("4 BA", 7.10)])
def test_association_stress_areas_are_on_d_minus_nine_tenths_of_the_pitch(name, area):
    thread = find_thread(name)
    assert math.pi / 4 * (thread.major_basic - 0.9 * thread.pitch) ** 2 == pytest.approx(area, abs=0.005)
    assert screw_stress_area(thread) == pytest.approx(area, abs=0.02)  # BS 93 rounds diameters to 5 or 10 um


def test_half_inch_coarse_breaks_before_it_strips_at_the_printed_lengths():
    """FED-STD-H28/2B (1991), formulas (13) and (14), 1/2-13 UNC-2A/2B: 0.401 and 0.364 in."""
    area = 0.1419
    external = external_shear_area(
        length=1.0, pitch=1 / 13, internal_minor=0.434, external_pitch_diameter=0.4435, flank_angle=30.0
    )
    assert length_for_shear_at_pitch_line(stress_area=area, pitch_diameter=0.45) == pytest.approx(
        0.401, abs=0.0005
    )
    length = length_for_screw_to_break(stress_area=area, shear_area_per_length=external)
    assert length == pytest.approx(0.364, abs=0.0005)


def test_a_weaker_nut_needs_a_longer_thread_in_proportion():
    lengths = length_for_screw_to_break(
        stress_area=58.0, shear_area_per_length=21.5, strength_ratio=[1.0, 0.5]
    )
    assert lengths[1] == 2 * lengths[0]


def test_the_published_length_in_aluminium_took_the_greatest_major_for_the_least():
    """Handbook chapter: M10 class 10.9 at 69.6 kN, aluminium in shear 130 MPa, 21.6 mm.

    It reproduces with its "least" major diameter of 9.968 mm, but ISO 965-1 has 9.968 as the greatest
    major diameter of 6g; with the least, 9.732 mm, the length is 24.9 mm.
    """

    def length(major):
        area = internal_shear_area(length=1.0, external_major=major, internal_pitch_diameter=9.206, **M10)
        return float(69600 / (130 * area))

    limits = find_thread("M10").limits("external")
    assert (limits.major_max, limits.major_min) == (9.968, 9.732)
    assert length(9.968) == pytest.approx(21.6, abs=0.05)
    assert length(9.732) == pytest.approx(24.9, abs=0.05)


def test_dilation_factor_at_the_published_ratios():
    """ISO/TR 16224 C1; a transcription with 2.6 for 2.61 would not reach 1 at 1.9."""
    values = dilation_factor([1.4, 1.5, 1.6, 1.9, 3.0])
    np.testing.assert_allclose(values, [0.75, 0.84, 0.91, 1.0, 1.0], atol=0.005)
    assert -(1.9**2) + 3.8 * 1.9 - 2.61 == pytest.approx(1.0, abs=1e-9)


def test_bending_factors_at_the_published_ratios():
    np.testing.assert_allclose(screw_thread_factor([1.0, 1.5, 2.0]), [0.897, 1.104, 1.167], atol=0.0005)
    np.testing.assert_allclose(tapped_thread_factor([0.4, 0.6, 0.8]), [1.055, 1.027, 0.953], atol=0.0005)
    np.testing.assert_allclose(screw_thread_factor(1.0001), 0.897, atol=0.001)
    np.testing.assert_allclose(tapped_thread_factor(0.9999), 0.897, atol=0.001)


def test_corrections_have_no_value_outside_the_range_of_their_source():
    assert np.isnan(dilation_factor(1.39))
    assert np.isnan(screw_thread_factor(2.2))
    assert np.isnan(tapped_thread_factor(0.39))


@pytest.mark.parametrize(
    "shear, weak, strong",
    [  # lengths over d for M10-6g/6H to break a class 4.6 and a class 8.8 screw; None: ratio below 0.4
        (0.7 * 130, 1.14, None),  # LM25-M
        (180, 0.71, 1.15),  # LM25-TF
        (0.7 * 140, 1.07, None),  # LM4-M
        (0.7 * 160, 0.96, None),  # LM6-M
        (150, 0.79, 1.36),  # grey iron
        (200, 0.68, 1.05),
        (250, 0.59, 0.89),
        (240, 0.60, 0.92),  # free-cutting steel
        (280, 0.57, 0.82),  # leaded brass
    ],
)
def test_lengths_by_the_corrected_model(shear, weak, strong):
    """The strengths in the strip ratio are shear strengths, as VDI 2230 takes them."""
    hole = internal_shear_area(length=1.0, external_major=9.732, internal_pitch_diameter=9.206, **M10)
    screw = bell_mouth_area(length=1.0, internal_minor=8.676, external_pitch_diameter=8.862, **M10)
    for screw_tensile, expected in ((400, weak), (800, strong)):
        screw_shear = 0.6 * screw_tensile
        ratio = strip_ratio(
            internal_strength=shear, internal_area=hole, external_strength=screw_shear, external_area=screw
        )
        per_mm = np.minimum(
            shear * hole * tapped_thread_factor(ratio), screw_shear * screw * screw_thread_factor(ratio)
        )
        length = screw_tensile * 58.0 / per_mm / 10
        if expected is None:
            assert np.isnan(length)
        else:
            assert length == pytest.approx(expected, abs=0.005)


def test_bush_worked_example_of_a_quarter_bsf_screw():
    """1/4 BSF in a medium hole, 13.4 mm2/mm; a bush 3/8-20 BSF outside has 1.54 times as much."""
    areas = []
    for name in ("1/4-26 BSF", "3/8-20 BSF"):
        thread = find_thread(name)
        areas.append(
            internal_shear_area(
                length=1.0,
                pitch=thread.pitch_mm,
                external_major=thread.limits("external", "medium").in_mm().major_min,
                internal_pitch_diameter=thread.limits("internal", "medium").in_mm().pitch_diameter_max,
                flank_angle=27.5,
            )
        )
    assert areas[0] == pytest.approx(13.4, abs=0.05)
    assert areas[1] / areas[0] == pytest.approx(1.54, abs=0.005)
    breaking = 45 * 15.444256 * screw_stress_area(find_thread("1/4-26 BSF"))
    assert breaking == pytest.approx(16000, abs=50)
    assert breaking / (91 * areas[0]) == pytest.approx(13.1, abs=0.05)
    assert breaking / (91 * areas[1]) == pytest.approx(8.5, abs=0.05)


@pytest.mark.parametrize("radius, angle, factor", [(0.137329, 27.5, 0.148), (0.180834, 23.75, 0.216)])
def test_the_straight_flank_of_a_rounded_thread_ends_below_its_crest(radius, angle, factor):
    """Whitworth d - 0.148 P, BA d - 0.216 P."""
    assert end_of_straight_flank(1.0, crest_radius=radius, flank_angle=angle) == pytest.approx(
        1 - factor, abs=0.0005
    )


def test_a_flat_crest_is_the_end_of_its_flank():
    assert end_of_straight_flank(8.0, crest_radius=0.0, flank_angle=30.0) == 8.0


@pytest.mark.parametrize("depth, printed", [(0.541266, 90.5), (0.649519, 75.4)])
def test_engagement_of_a_201_drill_by_both_reckonings(depth, printed):
    """1/4-20 with 0.201 in: 75.4 % in the shop charts, 90.5 % of 5H/8."""
    percent = percent_engagement(
        external_major=0.25, internal_minor=0.201, pitch=0.05, depth_over_pitch=depth
    )
    assert percent == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(
    "share, relative",
    [(1.0, 1.0), (0.9, 0.93), (0.8, 0.87), (0.75, 0.83), (0.7, 0.79), (0.6, 0.72), (0.5, 0.64)],
)
def test_shear_area_left_in_a_screw_as_the_hole_is_opened(share, relative):
    """M10x1.5 at basic sizes, minor diameter opened to a share of 5H/8."""

    def area(part):
        bore = 10.0 - 2 * 0.541266 * 1.5 * part
        return external_shear_area(length=1.0, internal_minor=bore, external_pitch_diameter=9.026, **M10)

    assert float(area(share) / area(1.0)) == pytest.approx(relative, abs=0.0051)


@pytest.mark.parametrize("major, relative", [(9.8, 0.89), (9.6, 0.79), (9.5, 0.74), (9.3, 0.64)])
def test_shear_area_left_in_a_hole_as_the_screw_wears(major, relative):
    """M10x1.5 at basic sizes."""

    def area(diameter):
        return internal_shear_area(length=1.0, external_major=diameter, internal_pitch_diameter=9.026, **M10)

    assert float(area(major) / area(10.0)) == pytest.approx(relative, abs=0.0051)


def test_threads_that_do_not_overlap_carry_nothing():
    assert overlap(external_major=6.0, internal_minor=6.5) == 0.0
    assert internal_shear_area(length=9.0, external_major=6.0, internal_pitch_diameter=9.0, **M10) == 0.0
    assert external_shear_area(length=9.0, internal_minor=12.0, external_pitch_diameter=9.0, **M10) == 0.0


@pytest.mark.parametrize("angle", [-1.0, 61.0, float("nan")])
def test_a_flank_angle_out_of_range_is_refused(angle):
    with pytest.raises(JobError, match="is not the angle of one flank"):
        end_of_straight_flank(8.0, crest_radius=0.1, flank_angle=angle)


SIZES = st.floats(2.0, 60.0)


@given(SIZES, st.floats(0.02, 0.15), st.floats(15.0, 40.0), st.floats(0.0, 50.0), st.floats(0.0, 50.0))
def test_a_longer_thread_never_has_less_shear_area(major, share, angle, length, more):
    sizes = {"pitch": major * share, "flank_angle": angle}
    d2 = major * (1 - 0.6 * share)
    for kernel, names in (
        (internal_shear_area, {"external_major": major, "internal_pitch_diameter": d2}),
        (external_shear_area, {"internal_minor": major * (1 - 1.1 * share), "external_pitch_diameter": d2}),
    ):
        assert kernel(length=length + more, **names, **sizes) >= kernel(length=length, **names, **sizes)


@given(SIZES, st.floats(0.02, 0.15), st.floats(15.0, 40.0), st.floats(0.0, 0.05))
def test_a_smaller_screw_or_larger_hole_never_has_more_shear_area(major, share, angle, worn):
    sizes = {"length": 10.0, "pitch": major * share, "flank_angle": angle}
    d2 = major * (1 - 0.6 * share)
    unworn = internal_shear_area(external_major=major, internal_pitch_diameter=d2, **sizes)
    assert (
        internal_shear_area(external_major=major * (1 - worn), internal_pitch_diameter=d2, **sizes) <= unworn
    )
    assert (
        internal_shear_area(external_major=major, internal_pitch_diameter=d2 * (1 + worn), **sizes) <= unworn
    )


@given(SIZES, st.floats(0.02, 0.15), st.floats(0.0, 30.0))
def test_areas_scale_with_the_square_of_size_whatever_the_unit(major, share, length):
    sizes = {"external_major": major, "internal_pitch_diameter": major * (1 - 0.6 * share)}
    mm = internal_shear_area(length=length, pitch=major * share, flank_angle=27.5, **sizes)
    scaled = {name: value / 25.4 for name, value in sizes.items()}
    inch = internal_shear_area(length=length / 25.4, pitch=major * share / 25.4, flank_angle=27.5, **scaled)
    assert inch * SQUARE_INCH == pytest.approx(mm, rel=1e-9)


@given(st.lists(st.tuples(SIZES, st.floats(0.5, 0.95)), min_size=1, max_size=8))
def test_arrays_give_what_each_element_gives(rows):
    pitch_diameters, shares = (np.array(column) for column in zip(*rows, strict=True))
    whole = tensile_stress_area(pitch_diameter=pitch_diameters, root_diameter=pitch_diameters * shares)
    single = [
        tensile_stress_area(pitch_diameter=d, root_diameter=d * s)
        for d, s in zip(pitch_diameters, shares, strict=True)
    ]
    np.testing.assert_allclose(whole, single, rtol=1e-14)


def test_the_worked_bush_has_the_printed_pressure_hoop_stress_and_net_section():
    """1/4-26 BSF, grade R at 16.0 kN, in 3/8-20 BSF: 29.8 MPa of pressure over 10.2 mm of thread.

    49.7 MPa round the hole at k = 2 and 77.6 at k = 1.5; a net section of 16.3 mm2 at basic sizes would see
    980 MPa. The greatest major diameter of the medium 1/4-26 BSF hole in it is 6.4505 mm.
    """
    outer = find_thread("3/8-20 BSF")
    sizes = {
        "load_kN": 16.0, "pitch_diameter_mm": outer.pitch_diameter_basic * 25.4, "length_mm": 10.2,
        "flank_angle": 27.5,
    }  # fmt: skip
    thick = boss_hoop_stress(**sizes, boss_over_major=1e6)  # the pressure itself
    assert thick == pytest.approx(29.8, abs=0.05)
    assert boss_hoop_stress(**sizes, boss_over_major=2.0) == pytest.approx(49.7, abs=0.05)
    assert boss_hoop_stress(**sizes, boss_over_major=1.5) == pytest.approx(77.6, abs=0.05)
    section = {"neck_mm": basic_root(outer), "inner_major_mm": 6.4505}
    assert 1000 * net_section_kN(**section, tensile_MPa=1.0) == pytest.approx(16.3, abs=0.05)
    assert 16.0 / net_section_kN(**section, tensile_MPa=1.0) == pytest.approx(980, abs=5)


def test_a_locating_tube_of_10_by_6_6_mm_shears_at_the_printed_load():
    """44.3 mm2, 10.6 kN at 240 MPa."""
    tube = {"outside_mm": 10.0, "inside_mm": 6.6}
    assert 1000 * tube_shear_kN(**tube, shear_MPa=1.0) == pytest.approx(44.3, abs=0.05)
    assert tube_shear_kN(**tube, shear_MPa=240.0) == pytest.approx(10.6, abs=0.05)


def test_the_length_in_aluminium_is_21_55_mm_as_the_source_reckoned():
    area = internal_shear_area(length=1.0, external_major=9.968, internal_pitch_diameter=9.206, **M10)
    assert float(1200 * 58.0 / (130 * area)) == pytest.approx(21.55, abs=0.005)
