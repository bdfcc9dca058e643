"""Cycle threads: against print, against an exact decimal route, and the laws of a thread."""

from decimal import ROUND_HALF_UP, Decimal, localcontext

import numpy as np
import pytest

from threadwright.tables import cycle
from threadwright.tables.errors import DesignationError
from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import Limits, Thread


def _threads() -> list[Thread]:
    table = series("BSC")
    return [table.thread(row) for row in range(len(table))]


def _rounded(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.0001"), rounding=ROUND_HALF_UP)


def _unit(diameter: Decimal, pitch: Decimal) -> Decimal:
    return 2 * diameter ** (Decimal(1) / 3) / 1000 + 3 * diameter.sqrt() / 1000 + 5 * pitch.sqrt() / 1000


def test_the_form_is_cut_and_rounded_by_a_sixth_of_the_pitch() -> None:
    form = cycle.CYCLE_FORM
    assert (60.0, 0.532692, 0.166667) == (
        round(form.thread_angle, 6),
        round(form.depth_over_pitch, 6),
        round(form.crest_radius, 6),
    )


@pytest.mark.parametrize(
    ("name", "minor"),
    [  # a printed table of British Standard Cycle threads
        ("1/4-26 BSC", 0.209),
        ("5/16-26 BSC", 0.272),
        ("3/8-26 BSC", 0.334),
        ("7/16-26 BSC", 0.397),
        ("1/2-26 BSC", 0.459),
        ("9/16-26 BSC", 0.522),
        ("5/8-26 BSC", 0.584),
        ("11/16-26 BSC", 0.647),
        ("3/4-26 BSC", 0.709),
        ("1-26 BSC", 0.959),
    ],
)
def test_minor_diameters_are_as_printed(name: str, minor: float) -> None:
    assert abs(find_thread(name).minor_basic - minor) <= 0.0005 + 1e-9


@pytest.mark.parametrize(
    ("name", "major", "effective", "minor"),
    [  # JIS B 0225-1960, mm to 0.01
        ("5/16-26 BSC", 7.94, 7.42, 6.90),
        ("3/8-26 BSC", 9.53, 9.01, 8.49),
        ("7/16-26 BSC", 11.11, 10.59, 10.07),
        ("9/16-20 BSC", 14.29, 13.61, 12.93),
        ("11/16-24 BSC", 17.46, 16.90, 16.34),
        ("3/4-30 BSC", 19.05, 18.60, 18.15),
        ("31/32-30 BSC", 24.61, 24.16, 23.71),
    ],
)
def test_the_japanese_standard_has_the_same_form(
    name: str, major: float, effective: float, minor: float
) -> None:
    thread = find_thread(name)
    actual = (thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic)
    for printed, value in zip((major, effective, minor), actual, strict=True):
        assert abs(value * 25.4 - printed) <= 0.01


def test_every_basic_size_equals_the_exact_route() -> None:
    with localcontext() as context:
        context.prec = 40
        share = Decimal(3).sqrt() / 2 - Decimal(1) / 3
        for size, thread in zip(series("BSC").system.sizes, _threads(), strict=True):
            diameter = Decimal(size.major.numerator) / size.major.denominator
            depth = share * size.pitch.numerator / size.pitch.denominator
            expected = [float(_rounded(diameter - turns * depth)) for turns in (0, 1, 2)]
            actual = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
            assert (thread.designation, expected) == (thread.designation, actual)


def _parts(limits: Limits, end: str) -> list[float]:
    return [getattr(limits, f"{part}_{end}") for part in ("major", "pitch_diameter", "minor")]


def test_every_estimated_limit_equals_the_exact_route() -> None:
    shares = {
        "close": (Decimal(2) / 3, 13, 0),
        "medium": (Decimal(1), 20, 1),
        "free": (Decimal("1.5"), 20, 1),
    }
    with localcontext() as context:
        context.prec = 40
        for size, thread in zip(series("BSC").system.sizes, _threads(), strict=True):
            diameter = Decimal(size.major.numerator) / size.major.denominator
            pitch = Decimal(size.pitch.numerator) / size.pitch.denominator
            unit = _unit(diameter, pitch)
            small = _unit(Decimal("0.25"), 1 / Decimal(26)) if diameter < Decimal("0.25") else unit
            gap = _rounded(small * 3 / 10) if diameter <= Decimal("0.75") else Decimal(0)
            basic = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
            for name, (share, on_minor, allowed) in shares.items():
                if name != "medium" and size.choice != 1:
                    continue
                extra = (pitch.sqrt() / 100, Decimal(0), on_minor * pitch.sqrt() / 1000)
                top = [Decimal(str(value)) - allowed * gap for value in basic]
                low = [a - _rounded(share * unit + b) for a, b in zip(top, extra, strict=True)]
                limits = thread.limits("external", name)
                assert [float(value) for value in top] == _parts(limits, "max")
                assert [float(value) for value in low] == _parts(limits, "min")
            nut = thread.limits("internal")
            tpi = 1 / size.pitch
            clear = {True: 4, False: 5 if tpi >= 22 else 7}[tpi >= 26]
            assert basic == _parts(nut, "min")
            assert float(Decimal(str(basic[1])) + _rounded(unit)) == nut.pitch_diameter_max
            assert (
                float(Decimal(str(basic[2])) + _rounded(pitch / 5 + Decimal(clear) / 1000)) == nut.minor_max
            )


def test_every_limit_is_marked_estimated() -> None:
    limits = [row for thread in _threads() for row in thread.all_limits]
    assert {"estimated"} == {row.basis for row in limits}
    assert all(
        not row.basis_of or set(row.basis_of.values()) == {"estimated"} for row in series("BSC").limits
    )


def test_special_threads_have_the_medium_class_only() -> None:
    special, bolt = find_thread("1.370-24 BSC"), find_thread("5/16-26 BSC")
    assert ("medium",) == special.classes("external") == special.classes("internal")
    assert 1.37 == special.limits("external", "medium").major_max
    assert ("close", "medium", "free") == bolt.classes("external")


def test_limits_are_ordered_and_no_bolt_is_bigger_than_the_nut() -> None:
    table = series("BSC")
    assert np.all(table.basic.minor < table.basic.pitch_diameter)
    assert np.all(table.basic.pitch_diameter < table.basic.major)
    nut = table.limits[-1].columns
    assert np.all(nut["minor_min"] < nut["minor_max"])
    assert np.all(nut["minor_max"] < nut["pitch_diameter_min"])
    for bolt in (row.columns for row in table.limits[:-1]):
        held = ~np.isnan(bolt["major_max"])
        assert held.any()
        for part in ("major", "pitch_diameter", "minor"):
            assert np.all(bolt[f"{part}_min"][held] < bolt[f"{part}_max"][held])
            assert np.all(bolt[f"{part}_max"][held] <= nut[f"{part}_min"][held])
        assert np.all(bolt["minor_max"][held] < bolt["pitch_diameter_min"][held])


def test_every_designation_parses_back() -> None:
    names = list(series("BSC").designations)
    assert names == [find_thread(name).designation for name in names]


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("5/16 BSC", "5/16-26 BSC"),
        ("5/16-26 CEI", "5/16-26 BSC"),
        ("5/16-26 cycle", "5/16-26 BSC"),
        ("5/16 CEI", "5/16-26 BSC"),
        ("1.37 x 24 cycle", "1.370-24 BSC"),
        (".266-26 CEI", "17/64-26 BSC"),
        (".080-62 BSC", "0.080-62 BSC"),
    ],
)
def test_usual_spellings_find_the_thread(spelling: str, name: str) -> None:
    assert name == find_thread(spelling).designation


def test_a_size_with_several_pitches_asks_which() -> None:
    with pytest.raises(DesignationError, match="'1/2-26 BSC' or '1/2-24 BSC' or '1/2-20 BSC'"):
        find_thread("1/2 BSC")


def test_the_bracket_thread_of_iso_6696_has_the_pitch_diameter_of_the_cycle_thread() -> None:
    iso = 1.375 - 0.649519 / 24  # ISO 68 form
    assert abs(find_thread("1.370-24 BSC").pitch_diameter_basic - iso) < 0.0002
