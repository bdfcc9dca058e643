"""Wires against print, against the exact contact of a wire with a helicoid, and the laws of the formula."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize, minimize_scalar

from published_values import FormulaRow, disagreement, formula_rows, printed_number
from threadwright.tables.errors import TableError
from threadwright.tables.form import Form, Truncation
from threadwright.tables.registry import SYSTEMS, find_thread, system
from threadwright.tables.thread import Array, Thread
from threadwright.tables.wires import lead_correction, size_over_wires, wire_constants

ROWS = formula_rows("wires")
SHARP = Form(name="sharp V 60 deg", flank_angle=30.0, crest=Truncation(), root=Truncation())
FORMS = {"Whitworth": system("BSW").form, "Unified": system("UNC").form, "sharp V": SHARP}
SYMMETRIC = {entry.form.name: entry.form for entry in SYSTEMS if entry.form.symmetric}


def _constant(row: FormulaRow) -> tuple[float, str]:
    angle = float(printed_number(row.given["angle"]))
    constants = wire_constants(Form(name=row.case, flank_angle=angle / 2, depth=Fraction(1, 2)))
    if row.quantity == "pitch_term":
        return constants.pitch_factor / float(row.given["tpi"]), "in"
    return getattr(constants, row.quantity), row.unit


def _over_wires(row: FormulaRow) -> tuple[float, str]:
    """Size over wires of a basic thread; the printed tables leave out the lead."""
    major, tpi, wire = (float(printed_number(row.given[name])) for name in ("D", "tpi", "w"))
    form = FORMS[row.given["form"]]
    pitch_diameter = np.array([major - 2 * form.addendum / tpi])
    size = size_over_wires(
        flank_angle=form.flank_angle, pitch=1 / tpi, lead=0.0, pitch_diameter=pitch_diameter, wire=wire
    )
    return float(size[0]), "in"


def best_wire_correction(thread: Thread) -> float:
    """Lead correction of a basic thread with best wires. [mm]"""
    return float(
        lead_correction(
            flank_angle=thread.form.flank_angle,
            lead=thread.pitch_mm,
            pitch_diameter=thread.pitch_diameter_basic * thread.to_mm,
            wire=wire_constants(thread.form).best * thread.pitch_mm,
        )
    )


def _correction(row: FormulaRow) -> tuple[float, str]:
    in_mm = best_wire_correction(find_thread(row.given["thread"]))
    return (in_mm * 1000, "um") if row.unit == "um" else (in_mm / 25.4 * 1e5, row.unit)


TOPICS: dict[str, Callable[[FormulaRow], tuple[float, str]]] = {
    "wire_constant": _constant,
    "over_wires": _over_wires,
    "lead_correction": _correction,
}


@pytest.mark.parametrize("topic", TOPICS)
def test_every_published_value_agrees_to_half_its_last_digit(topic: str) -> None:
    rows = [row for row in ROWS if row.topic == topic and row.gates]
    assert len(rows) >= 15
    assert [] == [fault for row in rows if (fault := disagreement(row, *TOPICS[topic](row)))]


def test_every_row_is_compared_has_a_source_and_a_reason_for_its_allowance() -> None:
    assert {row.topic for row in ROWS} == {*TOPICS}
    assert [] == [row.name for row in ROWS if not (row.source and row.edition and row.basis == "read")]
    assert [] == [row.name for row in ROWS if bool(row.allow) != bool(row.reason)]
    assert len(ROWS) == len({(row.name, row.source) for row in ROWS})


def test_an_allowance_is_given_only_where_it_is_needed() -> None:
    for row in ROWS:
        if row.allow:
            value, _ = TOPICS[row.topic](row)
            assert abs(Fraction(value) - row.number) > row.tolerance / 3, row.name


@pytest.mark.parametrize(
    "name", ["M4", "M6", "M8", "M36", "0 BA", "2 BA", "10 BA", "G 1/8", "1/4-20 UNC", "1/8-40 BSW"]
)
def test_the_lead_correction_is_that_of_the_exact_contact_of_a_best_wire(name: str) -> None:
    thread = find_thread(name)
    exact = _contact_correction(thread)
    assert 0 < exact < best_wire_correction(thread) < exact * 1.005


def _contact_correction(thread: Thread) -> float:
    """M of a wire resting in the groove less the formula without lead. [mm]

    A straight wire lies at the height R, turned by a tilt: it touches both flanks where
    R = max(r cos(phi) + sqrt(w^2 / 4 - s^2)), s the distance along the groove's normal, and it turns until it
    lies as deep as it can.
    """
    alpha = math.radians(thread.form.flank_angle)
    pitch, middle = thread.pitch_mm, thread.pitch_diameter_basic * thread.to_mm
    wire = wire_constants(thread.form).best * pitch
    start = middle / 2 + wire / 2 * math.cos(alpha) / math.tan(alpha) - pitch / 4 / math.tan(alpha)
    simplex = np.array([[start, 0.0], [start * 1.005, 0.0], [start, 0.02]])

    def height(tilt: float) -> float:
        def below(at: Array) -> float:
            radius, turn = (float(number) for number in at)
            along = pitch * turn / (2 * math.pi) + pitch / 4 + (radius - middle / 2) * math.tan(alpha)
            across = along * math.cos(tilt) - radius * math.sin(turn) * math.sin(tilt)
            return -(radius * math.cos(turn) + math.sqrt(max(wire**2 / 4 - across**2, 0.0)))

        found = minimize(
            below,
            [start, 0.0],
            method="Nelder-Mead",
            options={"xatol": 1e-9, "fatol": 1e-13, "initial_simplex": simplex},
        )
        return -float(found.fun)

    lead_angle = math.atan(pitch / math.pi / middle)
    resting = minimize_scalar(height, bounds=(0.5 * lead_angle, 1.5 * lead_angle), method="bounded")
    constants = wire_constants(thread.form)
    flat = middle + constants.diameter_factor * wire - constants.pitch_factor * pitch
    return 2 * float(resting.fun) + wire - flat


@pytest.mark.parametrize("name", SYMMETRIC)
def test_the_best_wire_lies_between_the_thinnest_and_the_thickest(name: str) -> None:
    constants = wire_constants(SYMMETRIC[name])
    assert constants.least <= constants.best < constants.greatest
    # at a sharp crest the best wire does not stand proud at all
    sharp = SYMMETRIC[name].crest_truncation == 0
    assert sharp == math.isclose(constants.least, constants.best)


@pytest.mark.parametrize("name", SYMMETRIC)
def test_the_best_wire_touches_at_the_pitch_line_and_the_thickest_at_the_end_of_the_straight_flank(
    name: str,
) -> None:
    form, constants = SYMMETRIC[name], wire_constants(SYMMETRIC[name])
    alpha = math.radians(form.flank_angle)

    def contact(wire: float) -> float:
        """Height of the point of contact above the pitch line: that of the wire's centre less w/2 sin(a)."""
        centre = wire / 2 / math.sin(alpha) - form.height / 2
        return centre - wire / 2 * math.sin(alpha)

    assert math.isclose(0.0, contact(constants.best), abs_tol=1e-14)
    assert math.isclose(form.straight_addendum, contact(constants.greatest), rel_tol=1e-12)


@pytest.mark.parametrize("name", SYMMETRIC)
def test_the_thinnest_wire_is_level_with_the_crests(name: str) -> None:
    form, constants = SYMMETRIC[name], wire_constants(SYMMETRIC[name])
    pitch, major = 1.0, 20.0
    over = size_over_wires(
        flank_angle=form.flank_angle,
        pitch=pitch,
        lead=0.0,
        pitch_diameter=np.array([major - 2 * form.addendum]),
        wire=constants.least,
    )
    assert math.isclose(major, float(over[0]), rel_tol=1e-12)


def test_wires_are_refused_for_an_asymmetric_form() -> None:
    form = Form(name="buttress 7/45", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(1, 2))
    with pytest.raises(
        TableError, match="buttress 7/45: wires need a symmetric form; measure the flanks apart"
    ):
        wire_constants(form)


flanks = st.floats(min_value=14.0, max_value=31.0)
wires = st.floats(min_value=0.4, max_value=1.2)


@given(flanks, wires, st.floats(min_value=5.0, max_value=50.0))
def test_size_over_wires_grows_with_the_thread_as_much_as_the_thread(
    flank: float, wire: float, middle: float
) -> None:
    low, high = (
        float(
            size_over_wires(
                flank_angle=flank, pitch=1.0, lead=0.0, pitch_diameter=np.array([size]), wire=wire
            )[0]
        )
        for size in (middle, middle + 0.1)
    )
    assert math.isclose(0.1, high - low, rel_tol=1e-9)


@given(flanks, st.floats(min_value=0.2, max_value=4.0), st.floats(min_value=5.0, max_value=50.0))
def test_the_correction_grows_with_the_square_of_the_lead(flank: float, lead: float, middle: float) -> None:
    once, thrice = (
        float(lead_correction(flank_angle=flank, lead=turns * lead, pitch_diameter=middle, wire=0.6))
        for turns in (1, 3)
    )
    assert 0 < once
    assert math.isclose(9 * once, thrice, rel_tol=1e-12)


@given(st.floats(min_value=0.3, max_value=6.0))
def test_with_a_best_wire_the_flank_angle_hardly_matters(pitch: float) -> None:
    # dM/d(alpha) vanishes at the best wire: a degree of thread angle moves M by less than 0.1 % of the pitch
    wire = wire_constants(SHARP).best * pitch
    sizes = [
        float(
            size_over_wires(
                flank_angle=flank, pitch=pitch, lead=0.0, pitch_diameter=np.array([20.0]), wire=wire
            )[0]
        )
        for flank in (29.5, 30.0, 30.5)
    ]
    assert max(sizes) - min(sizes) < 0.001 * pitch


def test_columns_give_what_single_sizes_give() -> None:
    pitch, middle = np.array([1.0, 1.5]), np.array([9.35, 9.026])
    columns = size_over_wires(
        flank_angle=np.array([30.0, 30.0]), pitch=pitch, lead=pitch, pitch_diameter=middle, wire=0.866
    )
    single = [
        float(size_over_wires(flank_angle=30.0, pitch=p, lead=p, pitch_diameter=np.array([e]), wire=0.866)[0])
        for p, e in zip(pitch.tolist(), middle.tolist(), strict=True)
    ]
    assert single == columns.tolist()


def test_the_lead_lifts_the_wires_by_its_correction() -> None:
    middle = np.array([9.026])
    level, sloping = (
        float(size_over_wires(flank_angle=30.0, pitch=1.5, lead=lead, pitch_diameter=middle, wire=0.866)[0])
        for lead in (0.0, 1.5)
    )
    correction = float(lead_correction(flank_angle=30.0, lead=1.5, pitch_diameter=9.026, wire=0.866))
    assert correction > 0
    assert math.isclose(correction, sloping - level, abs_tol=1e-12)
