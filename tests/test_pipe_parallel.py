"""Parallel pipe threads: against print, against an exact decimal route, and the laws of a thread."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import numpy as np
import pytest

from threadwright.tables import pipe_parallel
from threadwright.tables.numbers import parse_number
from threadwright.tables.registry import find_thread, find_thread_and_class, series, system
from threadwright.tables.thread import Thread

# Old inch sizes of the British Standard Pipe thread; times 25.4 they are the millimetres of ISO 228-1.
# G 1/16 is not among them: ISO 228-1 prints 7.723, and the 0.304 in of old tables gives 7.722.
_INCH = {
    "1/8": "0.383",
    "1/4": "0.518",
    "3/8": "0.656",
    "1/2": "0.825",
    "5/8": "0.902",
    "3/4": "1.041",
    "7/8": "1.189",
    "1": "1.309",
    "1 1/8": "1.492",
    "1 1/4": "1.650",
    "1 1/2": "1.882",
    "1 3/4": "2.116",
    "2": "2.347",
    "2 1/4": "2.587",
    "2 1/2": "2.960",
    "2 3/4": "3.210",
    "3": "3.460",
    "3 1/2": "3.950",
    "4": "4.450",
    "4 1/2": "4.950",
    "5": "5.450",
    "5 1/2": "5.950",
    "6": "6.450",
}
_TD1 = {28: "0.282", 19: "0.445", 14: "0.541", 11: "0.640"}


def _threads() -> list[Thread]:
    table = series("G")
    return [table.thread(row) for row in range(len(table))]


def _micron(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)


def _exact(thread: Thread) -> tuple[Decimal, Decimal, Decimal]:
    """Major, pitch and minor diameter: rounded pitch, rounded depth, the depth doubled."""
    assert thread.tpi is not None
    pitch = _micron(Decimal("25.4") / int(thread.tpi))
    depth = _micron(Decimal("0.640327") * pitch)
    major = Decimal(str(thread.major_basic))
    return major, major - depth, major - 2 * depth


def test_majors_are_the_old_inch_sizes() -> None:
    expected = {f"G {name}": float(_micron(Decimal(size) * Decimal("25.4"))) for name, size in _INCH.items()}
    expected["G 1/16"] = 7.723
    assert expected == {thread.designation: thread.major_basic for thread in _threads()}


def test_the_pitch_is_rounded_before_anything_else_and_the_tpi_is_kept() -> None:
    seen = {(int(thread.tpi or 0), thread.pitch) for thread in _threads()}
    assert {(28, 0.907), (19, 1.337), (14, 1.814), (11, 2.309)} == seen
    assert [0.581, 0.856, 1.162, 1.479] == list(
        pipe_parallel.rounded_depth(np.array([0.907, 1.337, 1.814, 2.309]))
    )


def test_every_basic_size_equals_the_exact_route() -> None:
    for thread in _threads():
        expected = [float(value) for value in _exact(thread)]
        actual = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
        assert (thread.designation, expected) == (thread.designation, actual)


def test_every_limit_equals_the_exact_route() -> None:
    for thread in _threads():
        assert thread.tpi is not None
        major, effective, minor = _exact(thread)
        fine = {28: "0.107", 19: "0.125", 14: "0.142"}.get(int(thread.tpi))
        size = parse_number(thread.designation.removeprefix("G "))
        td2 = Decimal(fine or ("0.180" if size <= 2 else "0.217"))
        for name, share in (("A", 1), ("B", 2)):
            bolt = thread.limits("external", name)
            assert [
                float(v) for v in (major, major - 2 * td2, effective, effective - share * td2, minor)
            ] == [
                bolt.major_max,
                bolt.major_min,
                bolt.pitch_diameter_max,
                bolt.pitch_diameter_min,
                bolt.minor_max,
            ]
            assert np.isnan(bolt.minor_min)
        nut = thread.limits("internal", "")
        top = minor + Decimal(_TD1[int(thread.tpi)])
        assert [float(v) for v in (major, effective + td2, effective, top, minor)] == [
            nut.major_min,
            nut.pitch_diameter_max,
            nut.pitch_diameter_min,
            nut.minor_max,
            nut.minor_min,
        ]
        assert np.isnan(nut.major_max)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [  # internal minor diameters, a printed chart of ISO 228-1
        ("G 1/16", 6.561, 6.843),
        ("G 1/8", 8.566, 8.848),
        ("G 1/4", 11.445, 11.890),
        ("G 1/2", 18.631, 19.172),
        ("G 3/4", 24.117, 24.658),
        ("G 1", 30.291, 30.931),
        ("G 2", 56.656, 57.296),
        ("G 2 1/2", 72.226, 72.866),
    ],
)
def test_internal_minor_limits_are_as_printed(name: str, low: float, high: float) -> None:
    limits = find_thread(name).limits("internal")
    assert (low, high) == (limits.minor_min, limits.minor_max)


def test_limits_are_ordered_and_no_male_thread_is_bigger_than_the_female() -> None:
    table = series("G")
    nut = table.limits[-1].columns
    assert np.all(nut["minor_min"] < nut["minor_max"])
    assert np.all(nut["minor_max"] < nut["pitch_diameter_min"])
    assert np.all(nut["pitch_diameter_min"] < nut["pitch_diameter_max"])
    for bolt in (row.columns for row in table.limits[:-1]):
        for part in ("major", "pitch_diameter", "minor"):
            assert np.all(bolt[f"{part}_max"] <= nut[f"{part}_min"])
        assert np.all(bolt["major_min"] < bolt["major_max"])
        assert np.all(bolt["pitch_diameter_min"] < bolt["pitch_diameter_max"])
        assert np.all(bolt["minor_max"] < bolt["pitch_diameter_min"])
        assert np.all(bolt["pitch_diameter_max"] < bolt["major_min"])


def test_the_size_names_an_inch_size_that_is_not_the_major_diameter() -> None:
    thread = find_thread("G 1/2")
    assert (12.7, 20.955, Fraction(14)) == (thread.nominal_major, thread.major_basic, thread.tpi)
    assert all(thread.nominal_major < thread.major_basic for thread in _threads())


def test_every_designation_and_every_alias_finds_its_thread() -> None:
    table = series("G")
    tapered = {spelling for size in system("R").sizes for spelling in size.aliases}
    for name, size in zip(table.designations, table.system.sizes, strict=True):
        for spelling in (name, name.replace("G ", "G"), *size.aliases):
            if spelling.replace("BSP", "BSPT") in tapered:
                continue  # a taper thread goes by this name too
            assert (spelling, name) == (spelling, find_thread(spelling).designation)


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("G1/2", "G 1/2"),
        ("5/8 BSP", "G 5/8"),
        ("1/2 BSPP", "G 1/2"),
        ("½ BSPP", "G 1/2"),
        ("G 1-1/4", "G 1 1/4"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_class_may_follow_the_designation() -> None:
    thread, tolerance_class = find_thread_and_class("G 1/2 B")
    assert ("G 1/2", "B") == (thread.designation, tolerance_class)
    assert "" == thread.default_class("internal")


def test_limits_say_where_they_come_from() -> None:
    for row in series("G").limits:
        assert "table" == row.basis
        basic_end = "max" if row.side == "external" else "min"
        assert "computed" == row.basis_of[f"pitch_diameter_{basic_end}"]
