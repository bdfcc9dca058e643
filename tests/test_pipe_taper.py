"""Pipe threads of ISO 7-1: against an exact decimal route, the turn rule, and what each spelling means."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import pipe_taper
from threadwright.tables.catalogue import candidates, class_rows, has_side
from threadwright.tables.errors import DesignationError, UnknownThreadError
from threadwright.tables.numbers import parse_number
from threadwright.tables.registry import SYSTEMS, find_thread, find_thread_and_class, series
from threadwright.tables.thread import Side, Thread

SIDES: dict[str, Side] = {"R": "external", "Rc": "internal", "Rp": "internal"}


def _threads(symbol: str) -> list[Thread]:
    table = series(symbol)
    return [table.thread(row) for row in range(len(table))]


def _micron(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)


def _exact(thread: Thread) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    """Pitch, major, pitch and minor diameter by rounded pitch and rounded depth."""
    assert thread.tpi is not None
    pitch = _micron(Decimal("25.4") / int(thread.tpi))
    depth = _micron(Decimal("0.640327") * pitch)
    major = Decimal(str(thread.major_basic))
    return pitch, major, major - depth, major - 2 * depth


def _turn(thread: Thread, side: Side) -> Decimal:
    """Turns of tolerance: 1 outside, 1 1/4 inside, 1 1/2 both above size 2."""
    if parse_number(thread.designation.split(" ", 1)[1]) > 2:
        return Decimal("1.5")
    return Decimal(1) if side == "external" else Decimal("1.25")


@pytest.mark.parametrize("symbol", SIDES)
def test_the_sizes_are_those_of_the_parallel_thread_of_the_same_name(symbol: str) -> None:
    for thread in _threads(symbol):
        same = find_thread(thread.designation.replace(symbol, "G"))
        assert (same.major_basic, same.pitch_diameter_basic, same.minor_basic, same.pitch) == (
            thread.major_basic,
            thread.pitch_diameter_basic,
            thread.minor_basic,
            thread.pitch,
        )
        assert same.nominal_major == thread.nominal_major


@pytest.mark.parametrize("symbol", SIDES)
def test_every_size_and_limit_equals_the_exact_route(symbol: str) -> None:
    side = SIDES[symbol]
    for thread in _threads(symbol):
        pitch, major, effective, minor = _exact(thread)
        either = _micron(_turn(thread, side) * pitch / 16)
        expected = {
            "pitch_diameter_max": effective + either,
            "pitch_diameter_min": effective - either,
            "minor_max": minor + either,
        }
        if side == "external":
            expected |= {"major_max": major + either, "major_min": major - either}
        else:
            expected |= {"major_min": major - either, "minor_min": minor - either}
        limits = thread.limits(side)
        assert {name: float(value) for name, value in expected.items()} == {
            name: getattr(limits, name) for name in expected
        }
        assert "from memory" == limits.basis
        assert [float(effective), float(minor)] == [thread.pitch_diameter_basic, thread.minor_basic]


def test_the_gauge_plane_moves_by_the_turns_of_the_thread() -> None:
    for side in ("external", "internal"):
        for thread in _threads("R"):
            pitch = _exact(thread)[0]
            expected = (_turn(thread, side) * pitch).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
            size = float(parse_number(thread.designation.split(" ", 1)[1]))
            held = pipe_taper.gauge_plane_tolerance(
                side, size=np.array([size]), pitch=np.array([float(pitch)])
            )
            assert float(expected) == held[0]


@pytest.mark.parametrize("symbol", ["R", "Rc"])
def test_a_taper_thread_has_a_gauge_length_shorter_than_its_useful_length(symbol: str) -> None:
    for thread in _threads(symbol):
        assert Fraction(1, 16) == thread.taper
        if thread.designation.endswith("3 1/2"):
            assert (None, None, "from memory") == (thread.gauge_length, thread.useful_length, thread.basis)
        else:
            assert thread.gauge_length is not None
            assert thread.useful_length is not None
            assert 4 * thread.pitch < thread.gauge_length < thread.useful_length


def test_the_parallel_hole_has_no_taper_and_no_lengths() -> None:
    for thread in _threads("Rp"):
        assert (0, None, None) == (thread.taper, thread.gauge_length, thread.useful_length)


@pytest.mark.parametrize(
    ("name", "missing", "there"),
    [
        ("R 3/4", "internal", "external"),
        ("Rc 3/4", "external", "internal"),
        ("Rp 3/4", "external", "internal"),
    ],
)
def test_a_thread_of_one_side_says_that_the_other_does_not_exist(
    name: str, missing: Side, there: Side
) -> None:
    thread = find_thread(name)
    words = f"{name}: this thread has no {missing} side; ask for the {there} one"
    with pytest.raises(UnknownThreadError, match=words):
        thread.limits(missing)
    with pytest.raises(UnknownThreadError, match=words):
        thread.default_class(missing)
    assert "" == thread.default_class(there)


@pytest.mark.parametrize("symbol", SIDES)
def test_every_designation_finds_its_thread(symbol: str) -> None:
    for name in series(symbol).designations:
        for spelling in (name, name.replace(" ", "", 1), name.upper(), name.lower()):
            assert (spelling, name) == (spelling, find_thread(spelling).designation)


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("R 3/4", "R 3/4"),
        ("Rp 1/2", "Rp 1/2"),
        ("Rc 1/2", "Rc 1/2"),
        ("RC1/2", "Rc 1/2"),
        ("1/4 BSPT", "R 1/4"),
        ("¼ BSPT", "R 1/4"),
        ("PT 1/4", "R 1/4"),
        ("PS 1/4", "Rp 1/4"),
        ("1-1/4 BSPT", "R 1 1/4"),
        ("1/4-19 BSPT", "R 1/4"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_name_that_a_parallel_and_a_taper_thread_share_asks_which_in_one_line() -> None:
    for spelling in ("1/4 BSP", "BSP 1/4", "1/4-19 BSP"):
        with pytest.raises(DesignationError) as caught:
            find_thread(spelling)
        assert (
            f"thread: '{spelling}' fits several threads; write 'G 1/4' (Pipe thread, parallel) or "
            "'R 1/4' (Pipe thread, taper external) or 'Rc 1/4' (Pipe thread, taper internal) or "
            "'Rp 1/4' (Pipe thread, parallel internal, for R)"
        ) == str(caught.value)


def test_a_class_of_the_parallel_thread_settles_the_shared_name() -> None:
    thread, tolerance_class = find_thread_and_class("1/4 BSP A")
    assert ("G 1/4", "A") == (thread.designation, tolerance_class)


def test_the_taper_pair_is_one_candidate_and_the_parallel_hole_another_name_of_g() -> None:
    catalogue = candidates()
    names = {catalogue.names[index][0]: index for index in range(len(catalogue))}
    pair, parallel = names["R", 4], names["G", 4]
    assert ("R 1/2", ("Rc 1/2",)) == (catalogue.designation(pair), catalogue.also(pair))
    assert ("G 1/2", ("Rp 1/2",)) == (catalogue.designation(parallel), catalogue.also(parallel))
    assert [1 / 16, 0.0] == [catalogue.taper[pair], catalogue.taper[parallel]]
    assert 8.2 == catalogue.gauge_length[pair]
    assert np.isnan(catalogue.gauge_length[parallel])


def test_a_name_has_class_rows_on_its_own_side_only() -> None:
    symbols = [entry.symbol for entry in SYSTEMS]
    for side, absent in (("external", {"Rc", "Rp"}), ("internal", {"R"})):
        assert not absent & {symbols[index] for index in class_rows(side).system}


def test_every_candidate_keeps_a_class_row_and_only_couplings_lack_a_side() -> None:
    catalogue = candidates()
    for side in ("external", "internal"):
        assert list(range(len(catalogue))) == list(np.unique(class_rows(side).candidate))
    lacking = [catalogue.names[index][0][0] for index in np.flatnonzero(~has_side("external"))]
    assert 13 * ["NPSC"] == lacking
    assert has_side("internal").all()
