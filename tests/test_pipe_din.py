"""DIN 259 pipe threads: against an exact fraction route, and apart from the threads they look like."""

from __future__ import annotations

from fractions import Fraction

import pytest

from threadwright.tables.numbers import parse_number, round_half_up
from threadwright.tables.registry import find_thread, series

INCH = Fraction("25.40095")
DEPTH = Fraction("0.6403273757")  # over pitch
SIZES = """1/8 .383 28;1/4 .518 19;3/8 .656 19;1/2 .825 14;5/8 .902 14;3/4 1.041 14;7/8 1.189 14;1 1.309 11
1 1/8 1.492 11;1 1/4 1.650 11;1 1/2 1.882 11;1 3/4 2.116 11;2 2.347 11;2 1/4 2.587 11;2 1/2 2.960 11
2 3/4 3.210 11;3 3.460 11;3 1/2 3.950 11;4 4.450 11;4 1/2 4.950 11;5 5.450 11;5 1/2 5.950 11;6 6.450 11
7 7.450 10;8 8.450 10;9 9.450 10;10 10.450 10;11 11.450 8;12 12.450 8"""


def test_every_size_equals_the_exact_route() -> None:
    rows = [entry.rsplit(" ", 2) for entry in SIZES.replace("\n", ";").split(";")]
    table = series("DIN259")
    assert [f"R {name} DIN 259" for name, _, _ in rows] == list(table.designations)
    for row, (name, inches, tpi) in enumerate(rows):
        thread = table.thread(row)
        major, pitch = Fraction(inches) * INCH, INCH / int(tpi)
        expected = [float(round_half_up(major - share * DEPTH * pitch, 3)) for share in (0, 1, 2)]
        assert expected == [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
        assert float(pitch) == pytest.approx(thread.pitch, abs=1e-12)
        assert float(parse_number(name) * INCH) == pytest.approx(thread.nominal_major, abs=1e-12)
        assert int(tpi) == thread.tpi


def test_it_is_one_to_six_thousandths_of_a_millimetre_greater_than_the_thread_of_iso_228() -> None:
    for size in series("G").system.sizes:
        if size.name != "1/16":
            more = find_thread(f"R {size.name} DIN 259").major_basic - float(size.major)
            assert 0.001 <= round(more, 3) <= 0.006


def test_no_limits_are_held_and_other_sizes_than_the_printed_are_from_memory() -> None:
    table = series("DIN259")
    assert () == table.limits
    recalled = [size.name for size in table.system.sizes if size.basis == "from memory"]
    assert {"1/8", "3/8", "5/8", "7/8", "7", "9", "11"} < set(recalled)
    assert 13 == len(table) - len(recalled)


def test_its_letter_alone_means_the_taper_thread_of_iso_7_1() -> None:
    assert "R" == find_thread("R 1/4").system
    assert "DIN259" == find_thread("R 1/4 DIN 259").system


def test_every_designation_and_every_alias_finds_its_thread() -> None:
    table = series("DIN259")
    for name, size in zip(table.designations, table.system.sizes, strict=True):
        for spelling in (name, name.lower(), *size.aliases):
            assert (spelling, name) == (spelling, find_thread(spelling).designation)
