"""DIN 11, DIN 405 round, Pg conduit and Edison threads."""

from fractions import Fraction

import numpy as np
import pytest

from special_tables import WHITWORTH_DEPTH, basic_rows, check_laws, rounded
from threadwright.tables.conduit_pg import PG_FORM
from threadwright.tables.edison import EDISON_FORM, arc_radius, mean_flank_angle
from threadwright.tables.numbers import parse_number
from threadwright.tables.registry import find_thread, series
from threadwright.tables.round_thread import ROUND_FORM


@pytest.mark.parametrize("symbol", ["DIN11", "Rd", "Pg", "E"])
def test_diameters_and_limits_are_ordered_and_names_parse_back(symbol: str) -> None:
    check_laws(symbol)


def test_every_size_of_din_11_is_worked_with_the_german_inch() -> None:
    table = series("DIN11")
    expected = [
        tuple(
            rounded(
                (parse_number(size.name) - turns * WHITWORTH_DEPTH * size.pitch) * Fraction("25.40095"), 3
            )
            for turns in (0, 1, 2)
        )
        for size in table.system.sizes
    ]
    assert expected == basic_rows(table)
    assert 25.40095 / 8 == pytest.approx(find_thread("1-8 DIN 11").pitch, abs=1e-12)


def test_din_11_is_never_smaller_than_bsw_nor_7_um_greater() -> None:
    for thread in (series("DIN11").thread(row) for row in range(len(series("DIN11")))):
        british = find_thread(thread.designation.replace("DIN 11", "BSW"))
        assert -0.002 <= thread.major_basic - british.major_basic * 25.4 <= 0.007


def test_every_round_thread_equals_the_exact_route() -> None:
    table = series("Rd")
    assert 64 == len(table)
    pitches = [size.pitch * Fraction("25.4") for size in table.system.sizes]
    expected = [
        (float(size.major), rounded(size.major - pitch / 2, 4), rounded(size.major - pitch, 4))
        for size, pitch in zip(table.system.sizes, pitches, strict=True)
    ]
    assert expected == basic_rows(table)
    nut = table.limits[1].columns
    assert nut["major_min"].tolist() == [
        rounded(size.major + pitch / 10, 4) for size, pitch in zip(table.system.sizes, pitches, strict=True)
    ]
    assert nut["minor_min"].tolist() == [
        rounded(size.major - pitch * 9 / 10, 4)
        for size, pitch in zip(table.system.sizes, pitches, strict=True)
    ]
    assert {"estimated"} == {row.basis for row in table.limits}
    assert (30.0, 0.238507) == (ROUND_FORM.thread_angle, round(ROUND_FORM.crest_radius, 6))


def test_every_pg_thread_equals_the_exact_route() -> None:
    sharp = 1 / (2 * Fraction("0.839099631177280011763127298123"))  # tan 40 deg
    table = series("Pg")
    expected = []
    for size in table.system.sizes:
        depth = Fraction(str(rounded(sharp * Fraction(4, 5) * size.pitch * Fraction("25.4"), 2)))
        expected.append(tuple(rounded(size.major - turns * depth, 2) for turns in (0, 1, 2)))
    assert expected == basic_rows(table)
    assert 0.107225 == round(PG_FORM.crest_radius, 6)


def test_a_pg_number_names_a_bore() -> None:
    thread = find_thread("PG 13.5")
    assert (13.5, 20.4) == (thread.nominal_major, thread.major_basic)


def test_two_equal_arcs_meet_with_one_tangent_at_the_mean_diameter() -> None:
    table = series("E")
    depth = (table.basic.major - table.basic.minor) / 2
    radius = arc_radius(table.pitch, depth)
    # an arc about the crest line, h/2 - r above the mean line, must pass P/4 to the side on the mean line
    assert np.allclose((table.pitch / 4) ** 2 + (radius - depth / 2) ** 2, radius**2, rtol=0, atol=1e-12)
    assert np.allclose(table.basic.pitch_diameter, (table.basic.major + table.basic.minor) / 2, atol=5e-5)


def test_the_equivalent_edison_flank_stands_for_all_but_e21() -> None:
    table = series("E")
    angle = dict(
        zip(
            table.designations,
            mean_flank_angle(table.pitch, (table.basic.major - table.basic.minor) / 2),
            strict=True,
        )
    )
    assert angle.pop("E21") < 17
    assert all(26.5 < value < 31.6 for value in angle.values())
    assert 0 < EDISON_FORM.straight_addendum < 0.002


def test_edison_limits_carry_the_weaker_basis_of_their_column() -> None:
    basis = {
        name: [row.basis for row in find_thread(name).all_limits] for name in ("E5", "E10", "E27", "E40")
    }
    assert basis == {
        "E5": ["from memory", "table"],
        "E10": ["from memory"],
        "E27": ["from memory"],
        "E40": [],
    }


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("1/2 DIN 11", "1/2-12 DIN 11"),
        ("DIN 11 2 1/2", "2 1/2-4 DIN 11"),
        ('Rd 40 x 1/6"', "Rd 40x1/6"),
        ("Rd 40", "Rd 40x1/6"),
        ("PG16", "Pg 16"),
        ("e 27", "E27"),
        ("Edison E14", "E14"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation
