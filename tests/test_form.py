"""Thread forms against an exact 40-digit route, printed proportions, and the laws of the triangle."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from exact import ExactForm, Number, cosine, root, sine, tangent
from published_values import last_digit
from threadwright.tables.errors import TableError
from threadwright.tables.form import Form, Truncation, fundamental_height
from threadwright.tables.registry import SYSTEMS, system

PROPORTIONS = (
    "height",
    "crest_truncation",
    "root_truncation",
    "addendum",
    "dedendum",
    "depth_over_pitch",
    "crest_radius",
    "straight_addendum",
)
FORMS = {entry.form.name: entry.form for entry in SYSTEMS}


def pair(end: Truncation | None) -> tuple[Number, Number] | None:
    return None if end is None else (end.of_height, end.of_pitch)


def exact_form(form: Form) -> ExactForm:
    clear = form.flank_angle_clear
    return ExactForm(
        flank_angle=Fraction(form.flank_angle),
        flank_angle_clear=None if clear is None else Fraction(clear),
        crest=pair(form.crest),
        root=pair(form.root),
        depth=form.depth,
        crest_is_rounded=form.crest_end == "rounded" and form.symmetric,
    )


def test_exact_helper_knows_the_angles_and_roots_of_school_geometry() -> None:
    forty_digits = Decimal(10) ** -40
    assert abs(sine(30) - Decimal("0.5")) < forty_digits
    assert abs(cosine(60) - Decimal("0.5")) < forty_digits
    assert abs(tangent(45) - 1) < forty_digits
    assert abs(tangent(60) - root(3)) < forty_digits * 10
    assert abs(root(27, 3) - 3) < forty_digits


@pytest.mark.parametrize("name", FORMS)
def test_every_proportion_of_every_registered_form_equals_the_exact_route(name: str) -> None:
    form, expected = FORMS[name], exact_form(FORMS[name])
    for proportion in PROPORTIONS:
        actual = getattr(form, proportion)
        assert math.isclose(float(getattr(expected, proportion)), actual, rel_tol=1e-13, abs_tol=1e-15), (
            proportion
        )


@pytest.mark.parametrize(
    "symbol, expected",
    [
        # ISO 68-1: crest flat P/8, root flat P/4
        ("M", ExactForm(flank_angle=30, crest=(Fraction(1, 8), 0), root=(Fraction(1, 4), 0))),
        # ASME B1.1: the same profile
        ("UNC", ExactForm(flank_angle=30, crest=(Fraction(1, 8), 0), root=(Fraction(1, 4), 0))),
        # BS 84: a sixth of the sharp height rounded off both ends
        (
            "BSW",
            ExactForm(
                flank_angle=Fraction("27.5"),
                crest=(Fraction(1, 6), 0),
                root=(Fraction(1, 6), 0),
                crest_is_rounded=True,
            ),
        ),
        # BS 93: depth 0.6 p
        ("BA", ExactForm(flank_angle=Fraction("23.75"), depth=Fraction("0.6"), crest_is_rounded=True)),
        # BS 811: radius p/6 at 60 deg takes p/6 off the sharp crest
        (
            "BSC",
            ExactForm(
                flank_angle=30,
                crest=(0, Fraction(1, 6)),
                root=(0, Fraction(1, 6)),
                crest_is_rounded=True,
            ),
        ),
    ],
)
def test_a_form_is_the_one_its_standard_describes(symbol: str, expected: ExactForm) -> None:
    assert expected == exact_form(system(symbol).form)


@pytest.mark.parametrize(
    "symbol, proportion, factor, printed",
    [
        # ISO 68-1 and Machinery's Handbook, 27th ed., p. 1815
        ("M", "height", 1, "0.866025404"),
        ("M", "addendum", 2, "0.649519053"),
        ("M", "depth_over_pitch", 1, "0.541265877"),
        ("M", "depth_over_pitch", 2, "1.082531755"),
        # BS 84
        ("BSW", "height", 1, "0.960491"),
        ("BSW", "depth_over_pitch", 1, "0.640327"),
        ("BSW", "crest_radius", 1, "0.137329"),
        # BS 93
        ("BA", "height", 1, "1.136336"),
        ("BA", "depth_over_pitch", 1, "0.6"),
        ("BA", "crest_radius", 1, "0.180834"),
    ],
)
def test_printed_proportions_agree_to_half_the_last_digit(
    symbol: str, proportion: str, factor: int, printed: str
) -> None:
    actual = factor * getattr(system(symbol).form, proportion)
    assert abs(Fraction(printed) - Fraction(actual)) <= last_digit(printed) / 2


def test_height_of_an_asymmetric_triangle_in_print() -> None:
    # ASME B1.9: 7 and 45 deg, H = 0.890643 P
    assert "0.890643" == f"{fundamental_height(flank_angle_load=7.0, flank_angle_clear=45.0):.6f}"


def test_a_buttress_form_has_two_flanks_and_no_single_crest_radius() -> None:
    form = Form(
        name="buttress 7/45",
        flank_angle=7.0,
        flank_angle_clear=45.0,
        depth=Fraction(6, 10),
        crest_end="rounded",
    )
    assert not form.symmetric
    assert 52.0 == form.thread_angle
    assert (0.0, form.addendum) == (form.crest_radius, form.straight_addendum)
    assert math.isclose(0.6, form.depth_over_pitch, rel_tol=1e-15)


def test_two_equal_flanks_are_symmetric_however_they_are_written() -> None:
    once = Form(name="once", flank_angle=30.0, depth=Fraction(1, 2))
    twice = Form(name="twice", flank_angle=30.0, flank_angle_clear=30.0, depth=Fraction(1, 2))
    assert once.symmetric
    assert twice.symmetric
    assert (60.0, once.height) == (twice.thread_angle, twice.height)


angles = st.floats(min_value=0.5, max_value=80.0)
shares = st.fractions(min_value=0, max_value=Fraction(2, 5), max_denominator=64)


@given(angles, angles)
def test_the_sharp_triangle_is_one_pitch_wide_whichever_flank_is_loaded(load: float, clear: float) -> None:
    height = fundamental_height(flank_angle_load=load, flank_angle_clear=clear)
    width = height * (math.tan(math.radians(load)) + math.tan(math.radians(clear)))
    assert math.isclose(1.0, width, rel_tol=1e-12)
    assert math.isclose(
        height, fundamental_height(flank_angle_load=clear, flank_angle_clear=load), rel_tol=1e-15
    )


@given(angles, shares, shares)
def test_depth_and_truncations_fill_the_sharp_height(
    flank: float, crest: Fraction, root_cut: Fraction
) -> None:
    form = Form(name="any", flank_angle=flank, crest=Truncation(crest), root=Truncation(root_cut))
    whole = form.crest_truncation + form.depth_over_pitch + form.root_truncation
    assert math.isclose(form.height, whole, rel_tol=1e-12)
    assert math.isclose(form.depth_over_pitch, form.addendum + form.dedendum, rel_tol=1e-12)


@given(angles, st.fractions(min_value=Fraction(1, 20), max_value=Fraction(19, 20), max_denominator=64))
def test_a_depth_shares_the_rest_of_the_triangle_equally(flank: float, share: Fraction) -> None:
    depth = Fraction(share * Fraction(fundamental_height(flank_angle_load=flank))).limit_denominator(10**6)
    assume(0 < depth < fundamental_height(flank_angle_load=flank))
    form = Form(name="any", flank_angle=flank, depth=depth)
    assert form.crest_truncation == form.root_truncation
    assert math.isclose(float(depth), form.depth_over_pitch, rel_tol=1e-9)


@given(angles, shares.filter(lambda share: share > 0))
def test_a_rounded_crest_is_tangent_to_the_flank_where_the_straight_part_ends(
    flank: float, crest: Fraction
) -> None:
    form = Form(
        name="any", flank_angle=flank, crest=Truncation(crest), root=Truncation(crest), crest_end="rounded"
    )
    alpha = math.radians(flank)
    centre = form.addendum - form.crest_radius
    half_width = (form.height / 2 - form.straight_addendum) * math.tan(alpha)
    assert math.isclose(form.crest_radius * math.cos(alpha), half_width, rel_tol=1e-7, abs_tol=1e-12)
    assert math.isclose(
        form.crest_radius * math.sin(alpha), form.straight_addendum - centre, rel_tol=1e-7, abs_tol=1e-12
    )


@pytest.mark.parametrize(
    "load, clear", [(90.0, None), (-1.0, 30.0), (30.0, 90.0), (0.0, 0.0), (math.nan, 7.0)]
)
def test_angles_that_make_no_thread_are_refused(load: float, clear: float | None) -> None:
    with pytest.raises(TableError, match="do not make a thread; give 0 to 90 deg"):
        fundamental_height(flank_angle_load=load, flank_angle_clear=clear)


@pytest.mark.parametrize(
    "givens, message",
    [
        ({}, "give either the depth or both truncations"),
        ({"depth": Fraction(1, 2), "crest": Truncation()}, "give either the depth or both truncations"),
        ({"crest": Truncation()}, "give the truncation of both ends"),
        ({"root": Truncation()}, "give the truncation of both ends"),
        ({"crest": Truncation(Fraction(1, 2)), "root": Truncation()}, "leave no flank on both sides"),
        ({"crest": Truncation(), "root": Truncation(Fraction(1, 2))}, "leave no flank on both sides"),
        ({"depth": Fraction(0)}, "leave no flank on both sides"),
        ({"depth": Fraction(7, 8)}, "beyond the sharp triangle of 0.866025 P"),
        ({"crest": Truncation(Fraction(-1, 8)), "root": Truncation()}, "beyond the sharp triangle"),
    ],
)
def test_a_form_that_contradicts_itself_is_refused_by_name(
    givens: dict[str, Truncation | Fraction], message: str
) -> None:
    with pytest.raises(TableError, match=f"odd form: .*{message}"):
        Form(name="odd form", flank_angle=30.0, **givens)  # type: ignore[arg-type]
