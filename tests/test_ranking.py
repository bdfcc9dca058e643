"""From readings to ranked threads."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright.ranking import identify
from threadwright.readings import Readings
from threadwright.tables.catalogue import every_thread
from threadwright.tables.errors import ReadingError
from threadwright.tables.thread import Thread


def probabilities(**readings: str) -> dict[str, float]:
    answer = identify(Readings(**readings), top=None)  # type: ignore[arg-type]
    return {c.designation: c.probability for c in answer.candidates}


def test_three_eighths_20_is_fine_whitworth_or_constant_pitch_unified() -> None:
    found = probabilities(major="0.372 in", pitch="20 tpi")
    assert found["3/8-20 BSF"] + found["3/8-20 UN"] > 0.90
    assert found["3/8-20 BSF"] > 0.05
    assert found["3/8-20 UN"] > 0.05


def test_the_flank_angle_settles_three_eighths_20() -> None:
    assert probabilities(major="0.372 in", pitch="20 tpi", flank_angle="27.5deg")["3/8-20 BSF"] > 0.95


def test_5_92_by_1_is_m6_before_0_ba() -> None:
    answer = identify(Readings(major="5.92 mm", pitch="1 mm"))
    assert answer.candidates[0].designation == "M6x1"
    others = [c for c in answer.candidates if c.thread_angle_deg != 60.0]
    assert others[0].designation == "0 BA"


def test_five_sixteenths_26_is_cycle_or_brass() -> None:
    answer = identify(Readings(major="0.310 in", pitch="26 tpi"))
    assert {c.designation for c in answer.candidates[:2]} == {"5/16-26 BSC", "5/16-26 BSB"}


def test_a_pitch_that_no_thread_has_is_none_of_these() -> None:
    answer = identify(Readings(major="5.0 mm", pitch="3.3 mm"))
    assert answer.none_of_these > 0.5
    assert not answer.settled


@pytest.mark.parametrize("top", [1, 3, 8, None])
def test_candidates_rest_and_none_add_to_one(top: int | None) -> None:
    answer = identify(Readings(major="7.9 mm", pitch="1.25 mm"), top=top)
    total = sum(c.probability for c in answer.candidates) + answer.rest + answer.none_of_these
    assert total == pytest.approx(1.0, abs=1e-9)


def test_probabilities_fall_down_the_list() -> None:
    found = list(probabilities(major="7.9 mm").values())
    assert found == sorted(found, reverse=True)


def test_json_holds_no_infinities_and_every_reading() -> None:
    readings = Readings(
        major="7.9 mm",
        pitch="10 pitches over 12.5 mm",
        over_wires="8.05 mm",
        wire="0.72 mm",
        flank_angle="30deg",
    )
    text = json.dumps(identify(readings).to_dict(), allow_nan=False)
    first = json.loads(text)["candidates"][0]
    assert set(first["readings"]) == {"major", "pitch", "over_wires", "flank_angle"}
    assert first["readings"]["over_wires"]["fit"] == "inside"


def test_no_reading_says_what_to_measure_first() -> None:
    with pytest.raises(ReadingError, match="measure the major diameter"):
        identify(Readings())


def test_top_below_one_is_refused() -> None:
    with pytest.raises(ReadingError, match="top: 0"):
        identify(Readings(major="8 mm"), top=0)


# at 18 mm there is no sharp V and no Pg conduit, whose flanks a thicker wire can reach
@pytest.mark.parametrize(
    ("wire", "over", "message"),
    [("0.57 mm", "8.2 mm", "too thin .* between 0.584"), ("1.31 mm", "18 mm", "too thick .* and 1.283")],
)
def test_a_wire_that_cannot_touch_is_refused_with_the_range_that_can(
    wire: str, over: str, message: str
) -> None:
    with pytest.raises(ReadingError, match=message):
        identify(Readings(pitch="1.25 mm", over_wires=over, wire=wire))


def test_a_wire_out_of_reach_of_one_candidate_is_shown_as_no_contact() -> None:
    answer = identify(Readings(over_wires="8.3 mm", wire="0.55 mm"), top=None)
    fits = {c.designation: c.readings["over_wires"].fit for c in answer.candidates}
    assert fits["M8x1.25"] == "no contact"
    assert fits["M8x1"] != "no contact"


def test_one_wire_against_the_crest_agrees_with_three() -> None:
    three = probabilities(major="7.9 mm", over_wires="8.05 mm", wire="0.72 mm")
    one = identify(
        Readings(major="7.9 mm", over_wires="7.975 mm", wire="0.72 mm", wires=1), top=None
    ).candidates
    assert one[0].designation == max(three, key=lambda name: three[name])


def test_interval_and_internal_readings_are_ranked() -> None:
    answer = identify(Readings(side="internal", minor="6.6..6.7 mm"))
    assert "M8x1.25" in [c.designation for c in answer.candidates[:3]]


LIMITED = ("major_min", "major_max", "pitch_diameter_min", "pitch_diameter_max")
COMMON = [
    t
    for t in every_thread()
    if t.choice == 1
    and 3 < t.nominal_major_mm < 40
    and t.system != "G"
    and t.classes("external")
    and not t.taper
    and all(math.isfinite(getattr(t.limits("external"), name)) for name in LIMITED)
]


@given(st.sampled_from(COMMON), st.floats(0.05, 0.95))
@settings(max_examples=40)
def test_readings_inside_its_own_limits_never_exclude_a_thread(thread: Thread, share: float) -> None:
    limits = thread.limits("external").in_mm()
    major = limits.major_min + share * (limits.major_max - limits.major_min)
    pitch_diameter = limits.pitch_diameter_min + share * (
        limits.pitch_diameter_max - limits.pitch_diameter_min
    )
    answer = identify(
        Readings(
            major=f"{major:.4f} mm",
            pitch_diameter=f"{pitch_diameter:.4f} mm",
            pitch=f"{thread.pitch_mm:.4f} mm +- 0.01",
            flank_angle=f"{thread.form.flank_angle} deg",
        ),
        top=None,
    )
    found = {name: c.probability for c in answer.candidates for name in (c.designation, *c.also)}
    assert found[thread.designation] > 1e-4


@given(st.floats(2, 40), st.sampled_from(["1 mm", "20 tpi", "1.25 mm", "26 tpi"]))
@settings(max_examples=30)
def test_inch_and_millimetre_readings_agree(major: float, pitch: str) -> None:
    in_mm = probabilities(major=f"{major:.4f} mm +- 0.02", pitch=pitch)
    inches = probabilities(major=f"{round(major, 4) / 25.4:.10f} in +- {0.02 / 25.4:.10f}", pitch=pitch)
    assert inches == pytest.approx(in_mm, abs=1e-6)


def test_a_thread_that_does_not_exist_on_the_side_read_has_no_probability() -> None:
    # a coupling's NPSC is a hole: as a screw of its very size it is not to be had
    outside = probabilities(major="0.403 in", pitch="27 tpi", side="external")
    inside = probabilities(major="0.403 in", pitch="27 tpi", side="internal")
    assert (0.0, True) == (outside["1/8-27 NPSC"], inside["1/8-27 NPSC"] > 0.001)


def test_a_thread_goes_by_its_name_on_the_side_read() -> None:
    screw = probabilities(major="20.955 mm", pitch="14 tpi", side="external")
    hole = probabilities(major="20.955 mm", pitch="14 tpi", side="internal")
    assert ("R 1/2" in screw, "Rc 1/2" in screw) == (True, False)
    assert ("R 1/2" in hole, "Rc 1/2" in hole) == (False, True)
