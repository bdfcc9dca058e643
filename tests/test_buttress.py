"""Buttress threads: against an exact decimal route, their two flanks, and the laws of a thread."""

from __future__ import annotations

import itertools
import math
from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pytest

from threadwright.tables import buttress
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import TableError
from threadwright.tables.registry import find_thread, find_thread_and_class, series
from threadwright.tables.thread import Thread
from threadwright.tables.wires import wire_constants

_TOPS = [Decimal(text) for text in ["0.5", "0.7", "1", "1.5", "2.5", "4", "6", "10", "16"]]


def _threads(symbol: str) -> list[Thread]:
    table = series(symbol)
    return [table.thread(row) for row in range(len(table))]


def _round(value: Decimal, places: str) -> Decimal:
    return round(value, 12).quantize(Decimal(places), rounding=ROUND_HALF_UP)


def _tolerance(diameter: Decimal, pitch: Decimal, share: Decimal) -> Decimal:
    above = next(number for number, top in enumerate(_TOPS) if number and diameter <= top)
    mean = (_TOPS[above] + _TOPS[above - 1]) / 2
    return _round(
        share * (Decimal("0.002") * mean ** (Decimal(1) / 3) + Decimal("0.0173") * pitch.sqrt()), "0.0001"
    )


@pytest.mark.parametrize(("name", "share"), [("2", Decimal(1)), ("3", Decimal(2) / 3)])
def test_every_american_limit_equals_the_exact_route(name: str, share: Decimal) -> None:
    parts = [f"{part}_{end}" for part in ("major", "pitch_diameter", "minor") for end in ("max", "min")]
    for thread in _threads("BUTT"):
        assert thread.tpi is not None
        d, p = Decimal(str(thread.nominal_major)), 1 / Decimal(int(thread.tpi))
        width, gap = _tolerance(d, p, share), _tolerance(d, p, Decimal(2) / 3)
        middle = _round(d - Decimal("0.6") * p, "0.0001")
        minor = _round(d - Decimal("1.2") * p, "0.0001")
        beyond = Decimal("0.80803") * p
        screw = [d - gap, d - gap - width, middle - gap, middle - gap - width]
        screw += [d - Decimal("1.32542") * p - gap, middle - gap - width - beyond]
        nut = [
            middle + width + beyond,
            d + Decimal("0.12542") * p,
            middle + width,
            middle,
            minor + width,
            minor,
        ]
        for side, expected in (("external", screw), ("internal", nut)):
            limits = thread.limits(side, name)  # type: ignore[arg-type]
            actual = [getattr(limits, part) for part in parts]
            wanted = [float(_round(value, "0.0001")) for value in expected]
            assert (thread.designation, side, wanted) == (thread.designation, side, actual)


def test_every_metric_basic_size_equals_the_exact_route() -> None:
    for thread in _threads("S-BUTT"):
        d, p = Decimal(str(thread.nominal_major)), Decimal(str(thread.pitch))
        expected = [float(d), float(d - Decimal("0.75") * p), float(d - Decimal("1.5") * p)]
        actual = [thread.major_basic, thread.pitch_diameter_basic, thread.minor_basic]
        assert (thread.designation, expected) == (thread.designation, actual)
        root = buttress.metric_root_diameter(np.array([thread.major_basic]), np.array([thread.pitch]))[0]
        assert float(_round(d - Decimal("1.73554") * p, "0.001")) == root
        assert root < thread.minor_basic


def test_the_two_flanks_make_the_height_and_the_angle_of_the_form() -> None:
    for form, load, clear in (
        (buttress.METRIC_BUTTRESS_FORM, 3, 30),
        (buttress.AMERICAN_BUTTRESS_FORM, 7, 45),
    ):
        slopes = math.tan(math.radians(load)) + math.tan(math.radians(clear))
        assert form.height == pytest.approx(1 / slopes, abs=1e-12)
        assert (load, clear, load + clear) == (form.flank_angle, form.flank_angle_clear, form.thread_angle)
        assert not form.symmetric


def test_wires_are_refused_and_the_catalogue_holds_no_wire_constants() -> None:
    with pytest.raises(TableError, match="wires need a symmetric form"):
        wire_constants(buttress.METRIC_BUTTRESS_FORM)
    catalogue = candidates()
    own = np.array([names[0][0] in ("S-BUTT", "BUTT") for names in catalogue.names])
    assert np.count_nonzero(own) == len(series("S-BUTT")) + len(series("BUTT"))
    for column in (catalogue.wire_factor, catalogue.wire_least, catalogue.wire_greatest):
        assert np.all(np.isnan(column[own]))
        assert not np.any(np.isnan(column[~own]))


def test_american_limits_are_ordered_and_no_screw_is_bigger_than_the_nut() -> None:
    table = series("BUTT")
    order = ("minor_min", "minor_max", "pitch_diameter_min", "pitch_diameter_max", "major_min", "major_max")
    for limits in table.limits:
        for low, high in itertools.pairwise(order):
            assert np.all(limits.columns[low] < limits.columns[high]), (limits.tolerance_class, low)
    for screw in (row.columns for row in table.limits if row.side == "external"):
        for nut in (row.columns for row in table.limits if row.side == "internal"):
            for part in ("major", "pitch_diameter", "minor"):
                assert np.all(screw[f"{part}_max"] < nut[f"{part}_min"])


def test_the_metric_list_with_one_pitch_for_each_diameter_is_first_choice() -> None:
    table = series("S-BUTT")
    first = [size for size in table.system.sizes if size.choice == 1]
    assert (52, 52, 186) == (len(first), len({size.major for size in first}), len(table))
    assert all((size.choice == 1) == (size.basis is None) for size in table.system.sizes)
    assert "S 10x2" == table.designations[0]
    assert () == table.limits


def test_every_designation_and_every_alias_finds_its_thread() -> None:
    for symbol in ("S-BUTT", "BUTT"):
        table = series(symbol)
        for name, size in zip(table.designations, table.system.sizes, strict=True):
            for spelling in (name, name.lower(), *size.aliases):
                assert (spelling, name) == (spelling, find_thread(spelling).designation)


def test_metric_buttress_threads_of_several_starts_are_found() -> None:
    thread = find_thread("S40x14 P7")
    assert ("S 40x14 P7", "S-BUTT", 2, 14.0) == (
        thread.designation,
        thread.system,
        thread.starts,
        thread.lead_mm,
    )


def test_a_class_may_follow_and_external_limits_own_up_to_memory() -> None:
    thread, tolerance_class = find_thread_and_class("1 1/2-10 BUTT-3")
    assert ("1 1/2-10 BUTT", "3") == (thread.designation, tolerance_class)
    bases = [thread.limits(side, "2").basis for side in ("external", "internal")]  # type: ignore[arg-type]
    assert ["from memory", "computed"] == bases
