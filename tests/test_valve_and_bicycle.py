"""Tyre valve and bicycle threads, and parts found by their names."""

from fractions import Fraction

import pytest

from special_tables import basic_rows, check_laws, rounded
from threadwright.tables.named_parts import NAMED_PARTS
from threadwright.tables.registry import find_thread, series

ROOT_3 = Fraction("1.732050807568877293527446341506")


@pytest.mark.parametrize("symbol", ["VG", "BC", "BCR"])
def test_diameters_and_limits_are_ordered_and_names_parse_back(symbol: str) -> None:
    check_laws(symbol)


@pytest.mark.parametrize(
    ("symbol", "shares"),
    [
        ("VG", (ROOT_3 * 3 / 8, ROOT_3 * 5 / 8)),
        ("BC", (ROOT_3 * 3 / 8, ROOT_3 * 5 / 8)),
        ("BCR", (ROOT_3 / 2 - Fraction(1, 3), ROOT_3 - Fraction(2, 3))),
    ],
)
def test_every_computed_basic_size_equals_the_exact_route(
    symbol: str, shares: tuple[Fraction, Fraction]
) -> None:
    table = series(symbol)
    for size, row in zip(table.system.sizes, basic_rows(table), strict=True):
        if size.basis != "table":
            expected = [rounded(size.major - share * size.pitch, 3) for share in shares]
            assert (size.name, [float(size.major), *expected]) == (size.name, list(row))


def test_threads_with_printed_limits_only_have_the_largest_screw_as_basic_size() -> None:
    for name in ("5V2", "6V1"):
        thread = find_thread(name)
        screw = thread.limits("external")
        assert (screw.major_max, screw.pitch_diameter_max, screw.minor_max) == (
            thread.major_basic,
            thread.pitch_diameter_basic,
            thread.minor_basic,
        )


def test_inch_pitches_among_metric_ones_are_exact() -> None:
    assert (Fraction(24), None) == (find_thread("BC 36x24 tpi").tpi, find_thread("BC 35x1").tpi)
    assert 25.4 / 32 == find_thread("8V1").pitch_mm


def test_spokes_have_the_form_of_the_cycle_thread() -> None:
    assert [2.096, 1.613] == [find_thread("FG 2").major_basic, find_thread("FG 2").minor_basic]
    assert find_thread("FG 2").form is find_thread("1/4-26 BSC").form


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("VG 8V1", "8V1"),
        (".305-32 valve", "8V1"),
        ("BC 36 x 24", "BC 36x24 tpi"),
        ("Italian bottom bracket", "BC 36x24 tpi"),
        ("BC 5/16", "5/16-26 BSC"),
        ("FG 9.5", "3/8-26 BSC"),
        ("14 mm spark plug", "M14x1.25"),
        ("tripod 1/4", "1/4-20 UNC"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_left_hand_cup_is_asked_for_with_lh() -> None:
    thread = find_thread("BC 35x1 LH")
    assert (True, "BC 35x1") == (thread.left_hand, thread.designation)


def test_every_named_part_has_the_thread_it_names() -> None:
    for part in NAMED_PARTS:
        for name in part.names:
            assert part.designation == find_thread(name).designation
