"""All readings of one fastener, read one by one and against each other."""

import dataclasses
import math
import pickle
from collections.abc import Callable
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.reading_text import parse_pitch_reading, parse_reading
from threadwright.readings import Pitch, Reading, Readings
from threadwright.tables.errors import ReadingError, ThreadwrightError


def refusal(**given: Any) -> str:
    """The message with which readings are refused."""
    with pytest.raises(ReadingError) as fault:
        Readings(**given)
    message = str(fault.value)
    assert "\n" not in message
    return message


@pytest.mark.parametrize(
    ("text", "value", "u", "instrument"),
    [
        ("9.41 mm", 9.41, 0.02, "digital caliper"),
        ("9.41 mm by vernier", 9.41, 0.03, "vernier caliper"),
        ("0.372 in by micrometer", 9.4488, 0.006, "micrometer"),
        ("9.41 mm +- 0.02", 9.41, 0.02, "stated"),
        ("9.41 +- 0.02 mm", 9.41, 0.02, "stated"),
        ("9.41mm±0.02mm", 9.41, 0.02, "stated"),
        ("9.41 mm +/- 1 thou", 9.41, 0.0254, "stated"),
        ("3/8 in +- 0.001 by mic", 9.525, 0.0254, "micrometer"),
    ],
)
def test_a_reading_has_the_uncertainty_given_or_that_of_its_instrument(
    text: str, value: float, u: float, instrument: str
) -> None:
    assert Readings(major=text).major == Reading("major", value, u, "mm", None, instrument)


@pytest.mark.parametrize(
    ("text", "ends", "u", "instrument"),
    [
        ("6.4..6.5 mm", (6.4, 6.5), 0.01, "drill shank"),
        ("6.4 mm..6.5 mm", (6.4, 6.5), 0.01, "drill shank"),
        ("6.4 mm .. 6.5 mm by plug gauge", (6.4, 6.5), 0.005, "plug gauge"),
        ("1/4..17/64 in", (6.35, 6.746875), 0.01, "drill shank"),
        ("6.4..6.5 +- 0.03 mm", (6.4, 6.5), 0.03, "stated"),
        ("6.4..6.5 mm +- 0.03 by drill", (6.4, 6.5), 0.03, "drill shank"),
    ],
)
def test_an_interval_keeps_its_ends_and_reads_as_its_middle(
    text: str, ends: tuple[float, float], u: float, instrument: str
) -> None:
    minor = Readings(side="internal", minor=text).minor
    assert minor == Reading("minor", sum(ends) / 2, u, "mm", ends, instrument)
    assert (minor.low, minor.high) == ends
    assert minor.spread == pytest.approx(math.hypot(u, (ends[1] - ends[0]) / math.sqrt(12)))


def test_each_reading_has_its_usual_instrument() -> None:
    readings = Readings(
        major="7.9 mm", minor="6.5 mm", pitch_diameter="7.1 mm", over_wires="8.2 mm", wire="0.7 mm",
        flank_angle="30deg", pitch="1.25 mm",
    )  # fmt: skip
    assert [
        getattr(readings, name).instrument
        for name in ("major", "minor", "pitch_diameter", "wire", "flank_angle")
    ] == ["digital caliper", "digital caliper", "thread micrometer", "wires", "shadow"]
    assert readings.flank_angle == Reading("flank_angle", 30.0, 1.0, "deg", None, "shadow")
    assert readings.pitch == Pitch(kind="comb", value_mm=1.25, text="1.25 mm")
    assert readings.given() == ("major", "pitch", "over_wires", "pitch_diameter", "minor", "flank_angle")


def test_a_caliper_reads_the_minor_diameter_of_a_hole_with_its_inside_jaws() -> None:
    for text in ("6.5 mm", "6.5 mm by caliper", "6.5 mm by inside jaws"):
        minor = Readings(side="internal", minor=text).minor
        assert minor == Reading("minor", 6.5, 0.035, "mm", None, "inside jaws")


def test_the_instrument_named_for_all_serves_the_readings_it_can_take() -> None:
    readings = Readings(
        major="7.9 mm", minor="6.5 mm by caliper", pitch="1.25 mm", flank_angle="30deg", instrument="mic"
    )
    assert [getattr(readings, name).instrument for name in ("major", "minor", "pitch", "flank_angle")] == [
        "micrometer", "digital caliper", "comb", "shadow",
    ]  # fmt: skip
    plug = Readings(side="internal", minor="6.4..6.5 mm", major="8.2 mm", instrument="plug gauge")
    assert plug.minor is not None
    assert plug.major is not None
    assert (plug.minor.instrument, plug.major.instrument) == ("plug gauge", "digital caliper")
    assert Readings(instrument="comb").instrument is not None


@pytest.mark.parametrize(
    ("text", "value", "u"),
    [
        ("10 pitches over 12.7 mm", 1.27, 0.015),
        ("10 pitches over 1/2 in by caliper", 1.27, 0.002),
        ("10 pitches over 12.7 mm +- 0.1", 1.27, 0.01),
        ("1 pitch over 1.27 +- 0.05 mm by caliper", 1.27, 0.05),
        ("1.25 mm +- 0.01", 1.25, 0.01),
        ("20 tpi +- 0.2", 1.27, 0.2 * 25.4 / 400),
        ("20 tpi +- 0.01 mm by caliper", 1.27, 0.01),
    ],
)
def test_a_measured_pitch_has_the_uncertainty_of_its_length_over_the_count(
    text: str, value: float, u: float
) -> None:
    pitch = Readings(pitch=text).pitch
    assert pitch is not None
    assert (pitch.kind, pitch.text) == ("measured", text)
    assert (pitch.value_mm, pitch.u_mm) == (pytest.approx(value), pytest.approx(u))


def test_a_count_of_pitches_takes_the_instrument_named_for_all() -> None:
    pitch = Readings(pitch="10 pitches over 12.7 mm", instrument="vernier").pitch
    assert pitch is not None
    assert (pitch.instrument, pitch.u_mm) == ("vernier caliper", 0.003)


def test_a_comb_reading_keeps_its_text_the_length_seen_and_the_combs_owned() -> None:
    readings = Readings(pitch="26 tpi by comb", visible="12 mm", combs="inch")
    assert readings.pitch == Pitch(
        kind="comb", value_mm=25.4 / 26, text="26 tpi", visible_mm=12.0, combs=("inch",)
    )
    assert (readings.visible, readings.combs) == (12.0, ("inch",))
    assert Readings().combs == ("inch", "metric")


@pytest.mark.parametrize("wires", [3, 2])
def test_two_and_three_wires_keep_the_size_as_read(wires: int) -> None:
    over = Readings(over_wires="8.2 mm", wire="0.7 mm", wires=wires).over_wires
    assert over is not None
    u = math.hypot(judgement.INSTRUMENT_U_MM["wires"], judgement.WIRE_FLATTENING_U_MM)
    assert (over.value_mm, over.u_mm, over.wire_mm, over.u_wire_mm, over.wires) == (8.2, u, 0.7, 0.002, wires)
    assert over.three_wire == (8.2, u)


def test_one_wire_is_turned_into_three_by_the_crest_of_the_same_screw() -> None:
    # M10, crest measured 9.900, M1 = 10.1124, so M = 2 M1 - d = 10.3248
    over = Readings(
        major="9.9 mm by micrometer", over_wires="10.1124 mm +- 0.01", wire="0.866 mm +- 0.003", wires=1
    ).over_wires
    assert over is not None
    assert (over.crest_mm, over.u_crest_mm, over.u_wire_mm) == (9.9, 0.006, 0.003)
    assert over.three_wire == (pytest.approx(10.3248), pytest.approx(math.hypot(0.02, 0.006)))


def test_a_wire_measured_with_a_caliper_is_less_sure_than_with_a_micrometer() -> None:
    figures = [
        over.u_wire_mm
        for tool in ("micrometer", "caliper")
        if (over := Readings(over_wires="8.2 mm", wire=f"0.7 mm by {tool}").over_wires) is not None
    ]
    assert figures == [0.002, 0.02]


def test_quantities_and_ready_readings_are_accepted() -> None:
    quantity = pint.UnitRegistry().Quantity
    ready = Reading("minor", 6.5, 0.01)
    readings = Readings(
        major=quantity(0.3125, "inch"),
        pitch=quantity(26, "1/inch"),
        minor=ready,
        flank_angle=quantity(30, "degree"),
        visible=quantity(12, "mm"),
    )
    assert readings.major == Reading("major", 7.9375, 0.02, "mm", None, "digital caliper")
    assert readings.pitch == Pitch(kind="comb", value_mm=25.4 / 26, text="0.9769 mm", visible_mm=12.0)
    assert readings.minor is ready
    assert readings.visible == 12.0


def test_a_ready_pitch_is_accepted() -> None:
    measured = Readings(pitch=Reading("pitch", 1.25, 0.01)).pitch
    assert measured == Pitch(
        kind="measured", value_mm=1.25, text="1.25 +- 0.01 mm", u_mm=0.01, instrument="stated"
    )
    assert Readings(pitch=measured).pitch is measured
    comb = Pitch(kind="comb", value_mm=1.25, text="1.25 mm", combs=("metric",))
    assert Readings(pitch=comb, visible="9 mm").pitch == dataclasses.replace(comb, visible_mm=9.0)


def test_nothing_at_all_may_be_given() -> None:
    readings = Readings()
    assert readings.given() == ()
    assert (readings.side, readings.condition, readings.wires) == ("external", None, 3)


def test_readings_are_values_that_do_not_change() -> None:
    readings = Readings(major="0.372 in", pitch="20 tpi", condition="worn")
    assert readings == Readings(pitch="20 tpi", major="9.4488 mm", condition="worn")
    assert hash(readings) == hash(pickle.loads(pickle.dumps(readings)))
    with pytest.raises(dataclasses.FrozenInstanceError):
        readings.side = "internal"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        (
            {"major": "8,5 mm"},
            "major diameter: cannot read '8,5 mm': the decimal sign is a point; write '8.5 mm'",
        ),
        ({"major": ""}, "major diameter: cannot read ''; write it like"),
        ({"major": 8.5}, "major diameter: '8.5' has no unit"),
        ({"pitch": 1.25}, "pitch: '1.25' has no unit"),
        ({"pitch": "26 tip"}, "pitch: cannot read '26 tip': no unit 'tip'; did you mean '26 tpi'?"),
        ({"side": "inside"}, "side: cannot be 'inside'; write one of external, internal"),
        ({"condition": "rusty"}, "condition: cannot be 'rusty'; write one of good, worn, stripped, plated"),
        ({"combs": "BA"}, "combs: no comb 'BA'"),
        ({"combs": "BA", "pitch": "20 tpi"}, "combs: no comb 'BA'"),
        ({"wires": 4}, "wires: cannot be '4'; write 3, 2 or 1"),
        ({"wires": True}, "wires: cannot be 'True'"),
        ({"instrument": "laser"}, "instrument: no instrument 'laser'"),
        ({"major": "8 mm by lasser"}, "major diameter: no instrument 'lasser'"),
        ({"major": "8 mm", "instrument": "comb"}, "instrument: none of major is read with 'comb'"),
        ({"major": "8 mm by comb"}, "major diameter: not read with 'comb'; write one of digital caliper"),
        (
            {"pitch_diameter": "8 mm by caliper"},
            "pitch diameter: not read with 'digital caliper'; write one of thread",
        ),
        (
            {"flank_angle": "30deg by mic"},
            "flank angle: not read with 'micrometer'; write one of shadow, protractor",
        ),
        ({"major": "6.4 mm by drill shank"}, "'drill shank' gives an interval; write the size that enters"),
        ({"major": "8.5 mm +- 0.02 +- 3"}, "has two uncertainties; write one"),
        ({"major": "8.5 mm +- 9"}, "an uncertainty of '9 mm' is not possible here"),
        ({"major": "8.5 mm +- 0"}, "an uncertainty of '0 mm' is not possible here"),
        ({"minor": "6.5..6.4 mm"}, "interval 6.5..6.4 mm is not in order; write the smaller end first"),
        ({"minor": "6.4..6.5"}, "'6.4' has no unit"),
        ({"minor": "6.4 +- 0.1..0.2 mm"}, "minor diameter +-: cannot read '0.1..0.2 mm'"),
        ({"minor": "6.4..6.5 mm by comb"}, "minor diameter: not read with 'comb'"),
        ({"pitch_diameter": "6.4..6.5 mm"}, "is an interval; write one value, like '9.41 mm +- 0.02'"),
        ({"flank_angle": "25..30deg"}, "is an interval; write one value, like '27.5deg'"),
        ({"flank_angle": "75deg"}, "flank angle is one flank, half the thread angle"),
        ({"flank_angle": "4deg"}, "flank angle is one flank, half the thread angle"),
        ({"flank_angle": "27.5"}, "'27.5' has no unit; write '27.5 deg'"),
        ({"pitch": "1.2..1.3 mm"}, "pitch: '1.2..1.3 mm' is an interval"),
        ({"pitch": "10 threads over 12 mm"}, "ten spaces, from the first crest to the eleventh"),
        ({"pitch": "0 pitches over 12 mm"}, "count from 1 to 500 pitches"),
        ({"pitch": "3 pitches over 0.1 mm"}, "0.0333 mm from '3 pitches over 0.1 mm' is impossible"),
        ({"pitch": "1 pitch over 0.2 mm"}, "leaves the pitch open by 0.15 mm in 0.2 mm; count more pitches"),
        (
            {"pitch": "10 pitches over 12 mm by mic"},
            "pitch: not read with 'micrometer'; write one of steel rule",
        ),
        (
            {"pitch": "26 tpi by caliper"},
            "is not read with 'digital caliper'; write the count and the length",
        ),
        ({"pitch": "26 tpi by over"}, "pitch: no instrument 'over'"),
        ({"pitch": "26 tpi", "combs": "metric"}, "needs the inch comb, and the combs owned are metric"),
        ({"pitch": "1 mm", "combs": "inch"}, "needs the metric comb, and the combs owned are inch"),
        ({"pitch": "1 mm", "visible": "0.5 mm"}, "does not hold one pitch"),
        (
            {"pitch": "1 mm +- 0.01", "visible": "9 mm"},
            "was measured, not read from a comb; leave the visible",
        ),
        ({"visible": "9 mm"}, "visible length: given without a pitch"),
        ({"visible": "9"}, "visible length: '9' has no unit"),
        ({"over_wires": "8.2 mm"}, "over wires: needs the diameter of the wires; give wire too"),
        ({"wire": "0.7 mm"}, "wire: 0.7 mm alone says nothing; give the measurement over_wires too"),
        (
            {"over_wires": "8.2 mm", "wire": "0.7 mm", "wires": 1},
            "one wire is measured against the opposite crest",
        ),
        (
            {"over_wires": "8.2 mm", "wire": "0.7 mm", "side": "internal"},
            "wires lie on an external thread only",
        ),
        ({"over_wires": "8.2 mm", "wire": "3 mm"}, "leaves no screw between wires of 3 mm"),
        (
            {"over_wires": "8.2 mm", "wire": "0.7 mm", "major": "9 mm"},
            "the wires do not stand proud of the crests",
        ),
        ({"minor": "9 mm", "major": "8 mm"}, "minor diameter: 9 mm is not below the major diameter 8 mm"),
        ({"minor": "8 mm", "major": "8 mm"}, "is not below the major diameter"),
        (
            {"minor": "7 mm", "pitch_diameter": "6.9 mm"},
            "minor diameter: 7 mm is not below the pitch diameter",
        ),
        (
            {"major": "7 mm", "pitch_diameter": "7.1 mm"},
            "pitch diameter: 7.1 mm is not below the major diameter",
        ),
        ({"major": "3 mm", "pitch": "3 mm"}, "pitch: '3 mm' is not below the major diameter 3 mm"),
        (
            {"major": Reading("minor", 6.5, 0.01)},
            "major diameter: this is a reading of 'minor'; give it as minor",
        ),
        ({"pitch": Reading("minor", 6.5, 0.01)}, "pitch: this is a reading of 'minor'"),
    ],
)
def test_a_refusal_names_the_reading_the_value_and_the_remedy(given: dict[str, Any], remedy: str) -> None:
    assert remedy in refusal(**given)


@pytest.mark.parametrize(
    ("wire", "word"), [("0.5 mm", "thin"), ("1.4 mm", "thick")]
)  # 0.45 and 1.05 of 1.25 mm are 0.5625 and 1.3125 mm
def test_a_wire_that_touches_no_flank_is_refused_with_the_sizes_that_do(wire: str, word: str) -> None:
    message = refusal(pitch="1.25 mm", over_wires="8.6 mm", wire=wire)
    assert message == (
        f"wire: {wire} is too {word} to touch the flanks at a pitch of '1.25 mm'; "
        "use wires from 0.5625 mm to 1.3125 mm"
    )


def test_all_faults_come_in_one_message() -> None:
    message = refusal(
        side="left", condition="rusty", major="8 MM", pitch="26", minor="7 mm mm", flank_angle="90deg",
        over_wires="x", wire="-1 mm", pitch_diameter="nan mm", visible="9", combs="BA", instrument="laser",
        wires=7,
    )  # fmt: skip
    for word in (
        "side:", "condition:", "major diameter:", "minor diameter:", "flank angle:", "over wires:", "wire:",
        "pitch diameter:", "visible length:", "combs:", "instrument:", "wires:",
    ):  # fmt: skip
        assert word in message


def test_a_wire_that_cannot_be_read_is_not_also_called_missing() -> None:
    assert "needs the diameter" not in refusal(over_wires="8.2 mm", wire="0,7 mm")


def test_stripped_crests_may_end_below_the_pitch_line() -> None:
    readings = Readings(major="7 mm", pitch_diameter="7.1 mm", condition="stripped")
    assert readings.given() == ("major", "pitch_diameter")


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        ({"name": "depth"}, "no reading 'depth'; write one of major, pitch"),
        ({"unit": "deg"}, "unit 'deg' is wrong"),
        ({"value": math.nan}, "nan mm is impossible"),
        ({"value": 3000.0}, "3000.0 mm is impossible"),
        ({"u": 0.0}, "uncertainty 0.0 is impossible"),
        ({"u": math.nan}, "uncertainty nan is impossible"),
        ({"interval": (9.0, 8.0)}, "interval 9..8 mm is not in order"),
        ({"interval": (8.0, math.inf)}, "inf mm is impossible"),
    ],
)
def test_a_reading_made_by_hand_is_checked_too(given: dict[str, Any], remedy: str) -> None:
    with pytest.raises(ReadingError) as fault:
        Reading(**{"name": "major", "value": 8.5, "u": 0.02, **given})
    assert remedy in str(fault.value)


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        ({"value_mm": 0.0}, "0.0 mm is impossible"),
        ({"u_mm": 0.01}, "none for a comb"),
        ({"kind": "measured"}, "give u_mm for a measured pitch"),
        ({"kind": "measured", "u_mm": math.inf}, "uncertainty inf is impossible"),
        ({"visible_mm": math.inf}, "does not hold one pitch"),
    ],
)
def test_a_pitch_made_by_hand_is_checked_too(given: dict[str, Any], remedy: str) -> None:
    with pytest.raises(ReadingError) as fault:
        Pitch(**{"kind": "comb", "value_mm": 1.25, "text": "1.25 mm", **given})
    assert remedy in str(fault.value)


WORKSHOP = st.text(alphabet="0123456789./,+-± mintpdegbyover\"'", max_size=24)
PIECES = st.lists(
    st.sampled_from(
        [
            "9.41",
            "6",
            "1/4",
            "mm",
            "in",
            "tpi",
            "deg",
            "+-",
            "..",
            " by ",
            "mic",
            "comb",
            "10 pitches over ",
            " ",
        ]
    ),
    max_size=8,
).map("".join)


def read_or_refusal(read: Callable[[], Any]) -> Any:
    """What was read, or the text of the refusal."""
    try:
        return read()
    except ThreadwrightError as fault:
        return str(fault)


@pytest.mark.parametrize("name", ["major", "over_wires", "wire", "pitch_diameter", "minor", "flank_angle"])
@given(text=st.text(max_size=40) | WORKSHOP | PIECES)
def test_arbitrary_text_is_a_reading_or_is_refused_in_one_line(name: str, text: str) -> None:
    found = read_or_refusal(lambda: parse_reading(name, text))
    if isinstance(found, str):
        assert len(found.splitlines()) == 1
    else:
        assert 0 < found.low <= found.value <= found.high
        assert found.u > 0


@given(text=st.text(max_size=40) | WORKSHOP | PIECES)
def test_arbitrary_text_is_a_pitch_or_is_refused_in_one_line(text: str) -> None:
    found = read_or_refusal(lambda: parse_pitch_reading(text))
    if isinstance(found, str):
        assert len(found.splitlines()) == 1
    else:
        assert 0.05 <= found.value_mm <= 50


@given(st.integers(40, 4000), st.integers(1, 15))
def test_a_reading_is_the_same_in_inches_and_in_millimetres(thou: int, u_thou: int) -> None:
    inch = parse_reading("major", f"{thou / 1000:.3f} in +- {u_thou} thou")
    mm = parse_reading("major", f"{thou * 254 / 10_000:.4f} +- {u_thou * 254 / 10_000:.4f} mm")
    assert inch == mm


@given(st.integers(1, 500), st.integers(100, 3000))
def test_a_counted_pitch_times_the_count_is_the_length(count: int, pitch_um: int) -> None:
    length = count * pitch_um / 1000
    if length > 2000:
        return
    pitch = parse_pitch_reading(f"{count} pitches over {length:.3f} mm +- 0.02")
    assert pitch.value_mm * count == pytest.approx(length)
    assert pitch.u_mm is not None
    assert pitch.u_mm * count == pytest.approx(0.02)
