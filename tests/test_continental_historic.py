"""Loewenherz and Thury threads."""

from fractions import Fraction

import pytest

from special_tables import basic_rows, check_laws, rounded
from threadwright.tables.continental_historic import LOEWENHERZ_FORM, THURY_FORM
from threadwright.tables.registry import find_thread, series


@pytest.mark.parametrize("symbol", ["LOEW", "THURY"])
def test_diameters_are_ordered_and_names_parse_back(symbol: str) -> None:
    check_laws(symbol)
    assert () == series(symbol).limits


def test_the_sharp_height_of_loewenherz_is_the_pitch() -> None:
    assert (1.0, 0.75) == (
        pytest.approx(LOEWENHERZ_FORM.height, abs=1e-10),
        pytest.approx(LOEWENHERZ_FORM.depth_over_pitch, abs=1e-10),
    )


def test_every_loewenherz_size_equals_the_exact_route() -> None:
    table = series("LOEW")
    expected = [
        tuple(float(size.major - turns * Fraction(3, 4) * size.pitch) for turns in (0, 1, 2))
        for size in table.system.sizes
    ]
    assert expected == basic_rows(table)


def test_the_official_loewenherz_range_ends_at_ten_millimetres() -> None:
    assert {(size.choice, size.major <= 10) for size in series("LOEW").system.sizes} == {
        (1, True),
        (3, False),
    }


def _nearest_of_three_figures(value: Fraction, power: int, exact: Fraction) -> bool:
    """Whether exact ** (1 / power) lies within half a unit of the third figure of value."""
    step = Fraction(1, 1000)
    while value >= 1000 * step:
        step *= 10
    while value < 100 * step:
        step /= 10
    return (value - step / 2) ** power <= exact < (value + step / 2) ** power


def test_every_thury_pitch_and_diameter_is_the_exact_rule_to_three_figures() -> None:
    for size in series("THURY").system.sizes:
        n = int(size.name)
        pitch = Fraction(9, 10) ** n
        assert _nearest_of_three_figures(size.pitch, 1, pitch), size
        assert _nearest_of_three_figures(size.major, 5, 6**5 * pitch**6), size


def test_thury_pitch_and_minor_diameters_equal_the_exact_route() -> None:
    sharp = 1 / (2 * Fraction("0.440010528529127"))  # tan 23.75 deg
    crest = Fraction("0.247157")
    table = series("THURY")
    expected = [
        (
            float(size.major),
            rounded(size.major - (sharp - 2 * crest) * size.pitch, 4),
            rounded(size.major - Fraction(6, 5) * size.pitch, 4),
        )
        for size in table.system.sizes
    ]
    assert expected == basic_rows(table)


def test_the_thury_crest_has_a_radius_of_a_sixth_of_the_pitch() -> None:
    assert 0.16667 == round(THURY_FORM.crest_radius, 5)


def test_thury_0_and_loewenherz_6_have_the_diameter_and_pitch_of_0_ba() -> None:
    found = [find_thread(name) for name in ("Thury 0", "LOEW 6x1", "0 BA")]
    assert {(6.0, 1.0)} == {(thread.major_basic, thread.pitch) for thread in found}
    assert [47.5, 53.13, 47.5] == [round(thread.form.thread_angle, 2) for thread in found]


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("Loewenherz 3", "LOEW 3x0.5"),
        ("L\u00f6wenherz 3 x 0.5", "LOEW 3x0.5"),
        ("Thury No. 4", "Thury 4"),
        ("No. 4 Thury", "Thury 4"),
        ("Thury -20", "Thury -20"),
        ("Thury 20", "Thury 20"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation
