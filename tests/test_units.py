"""Text in, millimetres and degrees out."""

import math
import subprocess
import sys
from collections.abc import Callable

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright.quantities import angle_deg, length_mm, pitch_mm
from threadwright.tables.errors import ReadingError, ThreadwrightError
from threadwright.units import (
    check_range,
    column_unit,
    parse_angle,
    parse_length,
    parse_pitch,
    parse_uncertainty,
)

PARSERS = [parse_length, parse_angle, parse_pitch]


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("8.5 mm", 8.5),
        ("8.5mm", 8.5),
        ("1.2 cm", 12.0),
        ("970 um", 0.97),
        ("970 µm", 0.97),
        ("970 \u03bcm", 0.97),
        ("0.372 in", 9.4488),
        ("0.372 inch", 9.4488),
        ("2 inches", 50.8),
        ('0.372"', 9.4488),
        ("3/8″", 9.525),
        ("1 1/4''", 31.75),
        ("1-1/4 in", 31.75),
        ("1¼ in", 31.75),
        ("372 thou", 9.4488),
        ("372 mil", 9.4488),
    ],
)
def test_a_length_is_read_to_the_nearest_float(text: str, mm: float) -> None:
    assert parse_length(text, name="major diameter") == mm


@pytest.mark.parametrize(
    ("text", "mm"), [("20 tpi", 1.27), ("26tpi", 25.4 / 26), ("11 1/2 tpi", 25.4 / 11.5), ("1.25 mm", 1.25)]
)
def test_threads_per_inch_are_taken_exactly(text: str, mm: float) -> None:
    assert parse_pitch(text, name="pitch") == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(("text", "deg"), [("27.5deg", 27.5), ("27.5 deg", 27.5), ("23 3/4°", 23.75)])
def test_an_angle_is_read_in_degrees(text: str, deg: float) -> None:
    assert parse_angle(text, name="flank angle") == deg


@pytest.mark.parametrize(
    ("parse", "text", "remedy"),
    [
        (parse_length, "8,5 mm", "the decimal sign is a point; write '8.5 mm'"),
        (parse_length, "-3 mm", "'-3 mm' is negative; write a value above zero"),
        (parse_length, "\u22123 mm", "is negative"),
        (parse_length, "nan mm", "cannot read 'nan mm'; write it like '8.5 mm'"),
        (parse_length, "1e400 mm", "cannot read '1e400 mm'; write it like"),
        (parse_length, "9**9**9 mm", "cannot read '9**9**9 mm'; write it like"),
        (parse_length, "0.25", "'0.25' has no unit; write '0.25 mm' or '0.25 in'"),
        (parse_length, "8 Mm", "did you mean '8 mm'?"),
        (parse_length, "8 MM", "did you mean '8 mm'?"),
        (parse_length, "8 IN", "did you mean '8 in'?"),
        (parse_length, "8 m", "did you mean '8 mm'?"),
        (parse_length, "8 furlongs", "cannot read '8 furlongs'; write it like"),
        (parse_length, "8.5 mm mm", "cannot read"),
        (parse_length, "26 tpi", "'26 tpi' is a pitch; write it like"),
        (parse_length, "27 deg", "'27 deg' is an angle; write it like"),
        (parse_angle, "27 mm", "'27 mm' is a length; write it like '27.5deg'"),
        (parse_angle, "26 tpi", "'26 tpi' is a pitch"),
        (parse_angle, "27.5", "'27.5' has no unit; write '27.5 deg'"),
        (parse_length, "0", "'0' is nothing; write a size over zero with its unit, like '8.5 mm'"),
        (parse_length, "0.00", "'0.00' is nothing; write a size over zero"),
        (parse_length, "0 Mm", "'0 Mm' is nothing; write a size over zero"),
        (parse_angle, "0", "'0' is nothing; write an angle over zero with its unit, like '27.5deg'"),
        (parse_pitch, "0", "'0' is nothing; write a pitch over zero with its unit, like"),
        (parse_angle, "0 deg", "write one between 0 and 180 deg"),
        (parse_pitch, "0 mm", "write one from 0.05 to 50 mm"),
        (parse_pitch, "26", "'26' has no unit; write '26 tpi' or '26 mm'"),
        (parse_pitch, "26 tip", "did you mean '26 tpi'?"),
        (parse_pitch, "26 TPI", "did you mean '26 tpi'?"),
        (parse_pitch, "0 tpi", "'0 tpi' is no thread"),
        (parse_length, "0 mm", "'0 mm' is impossible; write one from 0.01 to 2000 mm"),
        (parse_length, "0.009 mm", "is impossible"),
        (parse_length, "2001 mm", "is impossible"),
        (parse_pitch, "51 mm", "write one from 0.05 to 50 mm"),
        (parse_pitch, "600 tpi", "write one from 0.05 to 50 mm"),
        (parse_angle, "180deg", "write one between 0 and 180 deg"),
    ],
)
def test_a_refusal_names_the_reading_the_value_and_the_remedy(
    parse: Callable[..., float], text: str, remedy: str
) -> None:
    with pytest.raises(ReadingError) as fault:
        parse(text, name="this reading")
    assert str(fault.value).startswith("this reading: ")
    assert remedy in str(fault.value)


@pytest.mark.parametrize("parse", PARSERS)
@given(text=st.text(max_size=40) | st.text(alphabet="0123456789.,/- +mintpdeg°\"'", max_size=12))
def test_arbitrary_text_is_read_within_range_or_refused_in_one_line(
    parse: Callable[..., float], text: str
) -> None:
    message = ""
    try:
        assert 0 < parse(text, name="reading") <= 2000
    except ThreadwrightError as fault:
        message = str(fault)
    assert len(message.splitlines()) <= 1


@given(st.integers(10, 2_000_000))
def test_a_length_in_mm_reads_back_as_it_was_written(um: int) -> None:
    assert parse_length(f"{um / 1000:.3f} mm", name="x") == um / 1000
    assert parse_length(f"{um} um", name="x") == um / 1000


@given(st.integers(1, 70_000))
def test_inches_thou_and_mm_of_the_same_length_are_the_same_number(thou: int) -> None:
    inch = parse_length(f"{thou / 1000:.3f} in", name="x")
    assert parse_length(f"{thou} thou", name="x") == inch
    assert parse_length(f"{thou * 254 / 10_000:.4f} mm", name="x") == inch


@given(st.integers(1, 400))
def test_a_pitch_is_the_same_by_the_thread_and_by_the_inch(tpi: int) -> None:
    assert parse_pitch(f"{tpi} tpi", name="pitch") == parse_pitch(f"1/{tpi} in", name="pitch")


def test_an_uncertainty_has_the_unit_of_its_reading() -> None:
    assert parse_uncertainty("0.02 mm", name="x", dimension="length", of=9.41) == 0.02
    assert parse_uncertainty("0.5 deg", name="x", dimension="angle", of=27.5) == 0.5
    assert parse_uncertainty("0.2 tpi", name="x", dimension="pitch", of=25.4 / 26) == pytest.approx(
        0.2 * 25.4 / 26**2
    )


@pytest.mark.parametrize(
    ("text", "dimension", "remedy"),
    [
        ("0 mm", "length", "from 0.0001 to below 4.705 mm, like '9.41 mm +- 0.02'"),
        ("5 mm", "length", "to below 4.705 mm"),
        ("0.001 deg", "angle", "from 0.01 to below 4.705 deg, like '27.5deg +- 0.5'"),
    ],
)
def test_an_uncertainty_of_nothing_or_of_everything_is_refused(
    text: str, dimension: str, remedy: str
) -> None:
    with pytest.raises(ReadingError) as fault:
        parse_uncertainty(text, name="x", dimension=dimension, of=9.41)  # type: ignore[arg-type]
    assert remedy in str(fault.value)


def test_a_quantity_of_any_registry_is_converted() -> None:
    for registry in (pint.UnitRegistry(), pint.UnitRegistry()):
        assert length_mm(registry.Quantity(0.5, "inch"), name="x") == pytest.approx(12.7)
        assert pitch_mm(registry.Quantity(20, "1/inch"), name="x") == pytest.approx(1.27)
        assert pitch_mm(registry.Quantity(1.25, "mm"), name="x") == 1.25
        assert angle_deg(registry.Quantity(math.pi / 6, "radian"), name="x") == pytest.approx(30)


def test_text_goes_to_the_same_grammar_by_every_door() -> None:
    assert length_mm("3/8 in", name="x") == parse_length("3/8 in", name="x")
    assert pitch_mm("20 tpi", name="x") == parse_pitch("20 tpi", name="x")
    assert angle_deg("30deg", name="x") == parse_angle("30deg", name="x")


@pytest.mark.parametrize("value", [8.5, 8, None, [8.5], True])
def test_a_bare_number_is_refused_for_want_of_a_unit(value: object) -> None:
    for read in (length_mm, pitch_mm, angle_deg):
        with pytest.raises(ReadingError, match="has no unit; write it as text like"):
            read(value, name="depth")  # type: ignore[arg-type]


def test_a_quantity_of_the_wrong_kind_or_size_is_refused() -> None:
    quantity = pint.UnitRegistry().Quantity
    with pytest.raises(ReadingError, match="x: '8 second' is not one length"):
        length_mm(quantity(8, "second"), name="x")
    with pytest.raises(ReadingError, match="is not one length"):
        length_mm(quantity(np.array([8.0, 9.0]), "mm"), name="x")
    with pytest.raises(ReadingError, match="is not one pitch"):
        pitch_mm(quantity(8, "second"), name="x")
    with pytest.raises(ReadingError, match="is impossible"):
        pitch_mm(quantity(0, "1/inch"), name="x")
    for bad in (math.nan, math.inf, -3.0, 0.0):
        with pytest.raises(ReadingError, match="is impossible"):
            length_mm(quantity(bad, "mm"), name="x")


def test_a_number_that_is_not_one_is_out_of_every_range() -> None:
    for bad in (math.nan, math.inf, -math.inf):
        with pytest.raises(ReadingError, match="x: 'that' is impossible"):
            check_range(bad, name="x", given="'that'", dimension="length")


@pytest.mark.parametrize(
    ("word", "dimension", "values", "expected"),
    [
        ("mm", "length", [8.5, math.nan], [8.5, math.nan]),
        (" in ", "length", [0.5, -1.0], [12.7, -25.4]),
        ("thou", "length", [500.0], [12.7]),
        ("tpi", "pitch", [20.0, 0.0], [1.27, math.inf]),
        ("deg", "angle", [27.5], [27.5]),
    ],
)
def test_a_column_is_converted_whole(
    word: str, dimension: str, values: list[float], expected: list[float]
) -> None:
    unit = column_unit(word)
    assert unit.dimension == dimension
    np.testing.assert_allclose(unit.to_mm(np.array(values)), expected, rtol=1e-15)


@pytest.mark.parametrize(
    ("word", "remedy"), [("MM", "did you mean 'mm'?"), ("", "write one of mm, in, thou")]
)
def test_a_column_unit_that_is_none_is_refused(word: str, remedy: str) -> None:
    with pytest.raises(ReadingError) as fault:
        column_unit(word)
    assert remedy in str(fault.value)


def test_reading_text_imports_neither_pint_nor_scipy() -> None:
    code = (
        "import sys\n"
        "from threadwright.readings import Readings\n"
        "Readings(major='0.372 in', pitch='20 tpi', flank_angle='27.5deg', minor='6.4..6.5 mm')\n"
        "print(sorted({'pint', 'scipy'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
