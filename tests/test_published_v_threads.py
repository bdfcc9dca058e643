"""The rules of the aerospace, miniature and historic 60 degree threads against print."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pytest

from published_values import FormulaRow, disagreement, formula_rows
from threadwright.tables import iso_metric, metric_aerospace
from threadwright.tables.historic_american import wire_gauge_size
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.thread import Limits, Side, Size

Answer = tuple[float | Fraction, str]
ROWS = formula_rows("formulas_v_threads")
NOT_HELD = {
    "old_metric_root": "the root of an old metric screw stands in the words of the system, not in its columns"
}


def _special_mj(side: str, tolerance_class: str) -> Limits:
    size = Size("MJ6.5", Fraction("6.5"), Fraction(1))
    thread = system("MJ").but(seeds=lambda: (size,)).build().thread(0)
    assert "MJ6.5x1" == thread.designation
    return thread.limits(side, tolerance_class)  # type: ignore[arg-type]


def _mj_example(row: FormulaRow) -> Answer:
    return getattr(_special_mj(row.given["side"], row.given["class"]), row.quantity), "mm"


def _mj_form(row: FormulaRow) -> Answer:
    """Proportions, from the limits of a thread of 250 mm by 8 where the rounding to 0.001 mm hardly shows."""
    thread = find_thread("MJ250x8")
    bolt = thread.limits("external")
    return {
        "root_radius_min_over_p": metric_aerospace.ROOT_RADIUS[0],
        "root_radius_max_over_p": metric_aerospace.ROOT_RADIUS[1],
        "nut_depth_over_p": 2 * thread.form.depth_over_pitch,
        "root_below_pitch_diameter_max_over_p": (bolt.pitch_diameter_max - bolt.minor_max) / 8,
        "root_below_pitch_diameter_min_over_p": (bolt.pitch_diameter_min - bolt.minor_min) / 8,
    }[row.quantity], row.unit


def _sharp_v(row: FormulaRow) -> Answer:
    assert "two_depths_over_p" == row.quantity
    return 2 * system("V").form.depth_over_pitch, row.unit


def _old_jis(row: FormulaRow) -> Answer:
    thread = find_thread(row.case)
    return thread.form.depth_over_pitch * thread.pitch, "mm"


def _si_range(row: FormulaRow) -> Answer:
    majors = series("SI").nominal_major
    return float({"least_diameter": min, "greatest_diameter": max}[row.quantity](majors)), "mm"


def _si_form(row: FormulaRow) -> Answer:
    form = system("SI").form
    return 2 * form.crest_truncation * math.tan(math.radians(form.flank_angle)), row.unit


def _fine_pitch(row: FormulaRow) -> Answer:
    """Fine pitches on large diameters, which ISO 965-1 leaves blank: its formula carried on."""
    diameter, pitch = np.array([float(row.given["d"].split("-")[1])]), np.array([float(row.given["P"])])
    side: Side = "external" if row.quantity == "Td2" else "internal"
    return float(iso_metric.pitch_tolerance(side, int(row.given["grade"]), diameter, pitch)[0]), "um"


TOPICS: dict[str, Callable[[FormulaRow], Answer]] = {
    "mj_form": _mj_form,
    "mj_worked_example": _mj_example,
    "sharp_v_form": _sharp_v,
    "old_jis_form": _old_jis,
    "si_series": _si_range,
    "si_form": _si_form,
    "din_13_14_fine_pitch": _fine_pitch,
}
# constants that six places of the limits cannot show are laid against the exact proportions below
SHOWN_BY_LIMITS = ("root_below_pitch_diameter_max_over_p", "root_below_pitch_diameter_min_over_p")


@pytest.mark.parametrize("topic", TOPICS)
def test_every_printed_rule_agrees_to_half_its_last_digit(topic: str) -> None:
    faults = []
    for row in ROWS:
        if row.topic == topic and row.quantity not in SHOWN_BY_LIMITS:
            fault = disagreement(row, *TOPICS[topic](row))
            if fault and not row.gates:
                print(f"from memory, not a gate: {fault}")
            elif fault:
                faults.append(fault)
    assert [] == faults


@pytest.mark.parametrize("quantity", SHOWN_BY_LIMITS)
def test_the_mj_root_lies_below_the_pitch_diameter_as_printed(quantity: str) -> None:
    (row,) = (row for row in ROWS if row.quantity == quantity)
    value, _ = _mj_form(row)
    assert abs(value - row.number) <= Fraction(1, 8000)  # two limits to half a micrometre each, over 8 mm


def test_the_printed_multiples_of_the_mj_root_are_shares_of_the_triangle() -> None:
    # root of the screw 4H/3 under the major diameter, pitch line 3H/4 under it, both on diameter
    height = system("MJ").form.height
    (row,) = (row for row in ROWS if row.quantity == SHOWN_BY_LIMITS[0])
    assert abs(float(row.number) - (4 / 3 - 3 / 4) * height) < 1e-6


def test_the_wire_gauge_rule_lies_inside_the_printed_limits_of_an_old_gauge() -> None:
    rows = [row for row in ROWS if row.topic == "wire_gauge_limits"]
    assert 16 == len(rows)
    for row in rows:
        diameter = wire_gauge_size(int(row.case.removeprefix("No. ")))
        if row.quantity == "major_max":
            assert diameter <= row.number, row.name
        else:
            assert row.number <= diameter, row.name


def test_every_topic_is_compared_or_named_as_not_held() -> None:
    assert {row.topic for row in ROWS} == {*TOPICS, *NOT_HELD, "wire_gauge_limits"}
