"""Undercuts, runout and overrun against DIN 76-1 as printed."""

from __future__ import annotations

import math

import pytest

from published_facts import Answer, fact_rows, faults, rule_value
from published_values import FormulaRow
from threadwright.tables.errors import TableError
from threadwright.tables.undercuts import (
    blind_hole_overrun,
    runout,
    shoulder_distance,
    undercut,
    undercut_pitches,
)

ROWS = fact_rows("undercuts")
RULES = [row for row in ROWS if row.quantity.endswith("_rule")]


def held(row: FormulaRow) -> Answer:
    pitch = float(row.given["P"])
    if row.topic == "overrun":
        return blind_hole_overrun(pitch), "mm"
    if row.topic == "runout":
        return runout(pitch), "mm"
    groove = undercut(row.given["side"], pitch, "short" if row.quantity.endswith("_short") else "normal")
    value = {
        "diameter_offset": groove.diameter_offset,
        "g1_min": groove.least_width,
        "g2_max": groove.greatest_width,
        "r": groove.radius,
    }[row.quantity.removesuffix("_short")]
    return math.nan if value is None else value, "mm"


def test_every_published_undercut_agrees_to_half_its_last_digit() -> None:
    rows = [row for row in ROWS if row.gates and row not in RULES]
    assert len(rows) >= 180
    assert [] == faults(rows, held)


def test_recalled_undercuts_are_reported_and_never_a_gate(record_property: pytest.RecordProperty) -> None:
    recalled = [row for row in ROWS if not row.gates]
    wrong = faults(recalled, held)
    record_property("from_memory", f"{len(recalled)} rows, {len(wrong)} differ: {wrong}")
    assert {row.topic for row in recalled} == {"undercut"}


def test_printed_rules_hold() -> None:
    (row,) = RULES
    for pitch in (0.5, 1.0, 2.5, 6.0):
        assert shoulder_distance(pitch) == rule_value(row.value, P=rule_value(str(pitch)))


@pytest.mark.parametrize("side", ["external", "internal"])
def test_the_short_form_is_shorter_and_everything_grows_with_the_pitch(side: str) -> None:
    pitches = undercut_pitches(side)
    normal = [undercut(side, pitch) for pitch in pitches]
    short = [undercut(side, pitch, "short") for pitch in pitches]
    for long, brief in zip(normal, short, strict=True):
        assert brief.greatest_width < long.greatest_width
        assert (brief.least_width is None) == (long.least_width is None)
        assert long.least_width is None or brief.least_width < long.least_width < long.greatest_width
        assert (brief.diameter_offset, brief.radius) == (long.diameter_offset, long.radius)
    for name in ("greatest_width", "radius"):
        values = [getattr(groove, name) for groove in normal]
        assert values == sorted(values)


def test_the_width_beyond_the_cylinder_is_the_same_in_both_forms() -> None:
    # g2 - g1 is the run-in; the cell of 1.75 mm that two witnesses print apart is settled by this rule
    for pitch in undercut_pitches("internal"):
        normal, short = undercut("internal", pitch), undercut("internal", pitch, "short")
        if normal.least_width is not None and short.least_width is not None:
            run_in = normal.greatest_width - normal.least_width
            assert short.greatest_width - short.least_width == pytest.approx(run_in, abs=0.35)
    settled = undercut("internal", 1.75, "short")
    assert settled.greatest_width - 4.3 == pytest.approx(2.1)


def test_an_external_groove_clears_the_root_and_an_internal_one_the_major_diameter() -> None:
    for pitch in undercut_pitches("external"):
        assert undercut("external", pitch).diameter_offset < -1.226869 * pitch
        assert undercut("internal", pitch).diameter_offset > 0


def test_the_overrun_grows_with_the_pitch_and_leaves_room_for_the_lead_of_a_tap() -> None:
    pitches = (0.2, 0.25, 0.3, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0)
    overruns = [blind_hole_overrun(pitch) for pitch in pitches]
    assert overruns == sorted(overruns)
    assert all(overrun >= 4 * pitch for overrun, pitch in zip(overruns, pitches, strict=True))


def test_the_short_runout_is_half_the_normal_one() -> None:
    assert (runout(2.0), runout(2.0, "short")) == (5.0, 2.5)


def test_pitches_outside_the_tables_are_refused_with_the_nearest() -> None:
    with pytest.raises(
        TableError, match="table of external undercuts holds no 0.9 mm; the nearest it holds is"
    ):
        undercut("external", 0.9)
    with pytest.raises(TableError, match="table of blind-hole overruns holds no 1.27 mm; .* 1.25 mm"):
        blind_hole_overrun(1.27)
    with pytest.raises(TableError, match="pitch: cannot use 0 mm"):
        runout(0)
    with pytest.raises(TableError, match="pitch: cannot use -1 mm"):
        shoulder_distance(-1)
