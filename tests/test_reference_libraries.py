"""Threads, hexagons, holes, areas and fits against three libraries that other people wrote for other ends.

A modelling library draws screws (its tables are read as text), a strength library works out joints, a third
one holds ISO 286. Every size that both sides hold is compared; where they differ, the rows are written out
here with who is right and why, and a test fails if one of them is no longer there.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

import numpy as np
import pressfit
import pytest
from pressfit.tables import DEV_SUBBAND, IT_BANDS
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict
from screw_thread_lib.threads import Assembly

from modelling_library import between, table, text_of
from threadwright.engagement import (
    external_shear_area,
    internal_shear_area,
    length_for_shear_at_pitch_line,
    tensile_stress_area,
)
from threadwright.tables.drills import CLEARANCE_FITS, clearance_holes
from threadwright.tables.errors import TableError
from threadwright.tables.fits import fit
from threadwright.tables.hexagons import hexagons_of
from threadwright.tables.numbers import format_decimal, format_mixed
from threadwright.tables.registry import find_thread, series
from threadwright.tables.thread import Thread

MM = Fraction("25.4")
UNIFIED = table("screws.scad", "UTS_thread = [")
METRIC = table("screws.scad", "ISO_thread = [")
METRIC_LISTS = {
    "coarse": "get_metric_iso_coarse_thread_pitch(size) = lookup(size, [",
    "fine": "get_metric_iso_fine_thread_pitch(size) = lookup(size, [",
    "finest": "get_metric_iso_superfine_thread_pitch(size) = lookup(size, [",
    "Japanese": "get_metric_jis_thread_pitch(size) = lookup(size, [",
}

OLD_METRIC = {"M1.7x0.35", "M2.3x0.4", "M2.6x0.45"}
"""The library calls these ISO. ISO 261 has none of the three diameters; they are sizes of DIN 13 before it
was made to agree with ISO, and the tables hold them as such. The tables are right."""


def inch_name(size: object) -> str:
    return f"No. {size[1:]}" if isinstance(size, str) else format_mixed(Fraction(size))


def metric_name(size: Fraction, pitch: Fraction) -> str:
    return f"M{format_decimal(size)}x{format_decimal(pitch)}"


def unified_threads() -> Iterator[tuple[str, object, Fraction]]:
    for size, counts in UNIFIED:
        for symbol, tpi in zip(("UNC", "UNF", "UNEF"), counts, strict=True):
            if tpi is not None:
                yield symbol, size, tpi


def test_every_unified_thread_that_is_drawn_is_held_with_its_pitch_and_diameter() -> None:
    checked = 0
    for symbol, size, tpi in unified_threads():
        thread = find_thread(f"{inch_name(size)}-{format_decimal(tpi)} {symbol}")
        assert (symbol, tpi) == (thread.system, thread.tpi)
        inches = Fraction(60 + 13 * int(size[1:]), 1000) if isinstance(size, str) else size
        assert float(inches) == thread.nominal_major
        checked += 1
    assert 64 == checked


def test_every_unified_series_has_one_pitch_for_a_diameter_and_it_is_the_drawn_one() -> None:
    drawn = {(symbol, inch_name(size)): tpi for symbol, size, tpi in unified_threads()}
    held = {(s, size.name): 1 / size.pitch for s in ("UNC", "UNF", "UNEF") for size in series(s).system.sizes}
    assert drawn == {key: tpi for key, tpi in held.items() if key in drawn}
    # held and not drawn: coarse above 2 in, extra fine in sixteenths and 1 5/8
    above = ["2 1/4", "2 1/2", "2 3/4", "3", "3 1/4", "3 1/2", "3 3/4", "4"]
    odd = ["11/16", "13/16", "15/16", *(f"1 {n}/16" for n in (1, 3, 5, 7, 9)), "1 5/8", "1 11/16"]
    expected = [*(("UNC", size) for size in above), *(("UNEF", size) for size in odd)]
    assert expected == [key for key in held if key not in drawn]


def test_every_metric_thread_that_is_drawn_is_held_in_iso_or_as_an_old_german_size() -> None:
    found: dict[str, str] = {}
    for size, pitches in METRIC:
        for pitch in pitches:
            if pitch is not None:
                thread = find_thread(metric_name(size, pitch))
                assert (float(size), float(pitch)) == (thread.nominal_major, thread.pitch)
                found[metric_name(size, pitch)] = thread.system
    assert 139 == len(found)
    assert OLD_METRIC == {name for name, system in found.items() if system != "M"}
    assert {"DIN-M"} == {found[name] for name in OLD_METRIC}


def test_the_coarse_pitch_meant_by_a_bare_metric_size_is_the_drawn_one() -> None:
    coarse = {
        f"M{format_decimal(size)}": float(pitches[0])
        for size, pitches in METRIC
        if size <= 68 and metric_name(size, pitches[0]) not in OLD_METRIC  # ISO 261: coarse up to 68 mm
    }
    assert coarse == {name: find_thread(name).pitch for name in coarse}
    assert 38 == len(coarse)


@pytest.mark.parametrize("which", METRIC_LISTS)
def test_the_shorter_lists_of_metric_pitches_hold_threads_of_iso_only(which: str) -> None:
    rows = table("metric_screws.scad", METRIC_LISTS[which])
    threads = [find_thread(metric_name(size, pitch)) for size, pitch in rows]
    assert len(threads) >= 14
    assert {"M"} == {thread.system for thread in threads}


def test_the_drawn_acme_thread_has_the_angle_and_depth_of_the_form() -> None:
    form = series("ACME").system.form
    assert "thread_angle=29,thread_depth=pitch/2," in "".join(text_of("threading.scad").split())
    assert 29 == pytest.approx(form.thread_angle, rel=1e-15)
    assert 0.5 == form.depth_over_pitch


# Crest truncation of NPT over the pitch, least and most, ASME B1.20.1 Table 1 (from memory), by tpi.
CREST = {
    27: ("0.033", "0.096"),
    18: ("0.033", "0.088"),
    14: ("0.033", "0.078"),
    Fraction("11.5"): ("0.033", "0.073"),
}


def test_the_drawn_pipe_threads_have_our_pitches_lengths_and_crests() -> None:
    rows = table("threading.scad", "info_table = [")
    assert 10 == len(rows)
    for size, (length, outside, tpi) in rows:
        thread = find_thread(f"{format_mixed(size)}-{format_decimal(tpi)} NPT")
        assert tpi == thread.tpi
        # ASME B1.20.1: after the useful threads those that vanish, 3.47 pitches; for 14 tpi it prints 0.2478,
        # from the pitch of 0.0714, where 3.47/14 is 0.24786
        assert thread.useful_length is not None
        vanishing = 0.2478 if tpi == 14 else round(3.47 / float(tpi), 4)
        assert float(length) == round(thread.useful_length + vanishing, 4)
        # drawn with one diameter for the crests at the gauge plane, cut a little below the basic ones:
        # between the least and the most that the standard lets the crests be cut
        cut = (Fraction(str(thread.major_basic)) - outside) / 2 * tpi
        least, most = map(Fraction, CREST[tpi])
        assert 0 < cut < most - least


HEXAGONS = [
    ("ISO 272", "screws.scad", "ISO_table =", 29),
    ("DIN 931", "screws.scad", "DIN_table =", 30),
    ("DIN 931", "screws.scad", "metric_hex = [", 11),
    ("DIN 931", "metric_screws.scad", "get_metric_bolt_head_size(size) = lookup(size, [", 19),
    ("DIN 931", "metric_screws.scad", "get_metric_nut_size(size) = lookup(size, [", 14),
    ("ASME B18.2.1", "screws.scad", "UTS_hex = [", 15),
    ("machine screw nut", "screws.scad", "normal = [", 10),
]


@pytest.mark.parametrize(
    "name, file, after, shared", HEXAGONS, ids=[f"{h[0]}, {h[2][:12]}" for h in HEXAGONS]
)
def test_every_hexagon_that_is_drawn_has_our_size_across_flats(
    name: str, file: str, after: str, shared: int
) -> None:
    ours = {hexagon.size: hexagon.across_flats_max for hexagon in hexagons_of(name)}
    metric = hexagons_of(name)[0].unit == "mm"
    flats = -1 if name == "machine screw nut" else 0  # its rows begin with the thickness
    drawn = {
        f"M{format_decimal(size)}" if metric else inch_name(size): cells[flats] if cells else cell
        for size, cell in table(file, after)
        for cells in [cell if isinstance(cell, list) else []]
    }
    both = sorted(ours.keys() & drawn.keys())
    assert shared == len(both)
    assert {size: float(drawn[size]) for size in both} == {size: ours[size] for size in both}


def test_the_rule_and_the_table_behind_drawn_inch_nuts_give_our_sizes_across_flats() -> None:
    assert "quantup(1.5*diameter,1/16)" in text_of("screws.scad")
    small = {inch_name(size): cells[1] for size, cells in table("screws.scad", "normal = [")}
    drawn = {
        nut.size: float(small.get(nut.size, Fraction(ceil(24 * Fraction(nut.nominal)), 16)))
        for nut in hexagons_of("ASME B18.2.2")
    }
    assert drawn == {nut.size: nut.across_flats_max for nut in hexagons_of("ASME B18.2.2")}
    assert 14 == len(drawn)


CLOSE, NORMAL, LOOSE = CLEARANCE_FITS
SMALL_HOLES = {
    # size: the holes that differ, (ISO 273, drawn)
    "1": {LOOSE: (1.3, 1.25)},
    "1.2": {LOOSE: (1.5, 1.45)},
    "1.4": {LOOSE: (1.8, 1.65)},
    "1.6": {LOOSE: (2.0, 1.85)},
    "1.8": {CLOSE: (2.0, 1.9), LOOSE: (2.2, 2.075)},
    "2": {CLOSE: (2.2, 2.1), LOOSE: (2.6, 2.3)},
    "2.5": {CLOSE: (2.7, 2.6), LOOSE: (3.1, 2.95)},
    "3": {CLOSE: (3.2, 3.15)},
}
"""Below 3.5 mm the corners of the library are not those of ISO 273: 0.1 mm for a fine hole of 2 and 2.5 mm
where the standard has 0.2, 0.25 and 0.3 for a coarse one where it has 0.4 and 0.6, and a straight line in
between. Ours is believed: it is remembered, but a second modelling library (bd-warehouse 0.4.0, too large to
install for this) copied the standard with the same figures for every size here and below."""
BETWEEN_HOLES = {
    "7": {NORMAL: (7.6, 7.8), LOOSE: (8.0, 8.5)},
    "18": {NORMAL: (20.0, 19.75), LOOSE: (21.0, 21.25)},
    "27": {NORMAL: (30.0, 29.5), LOOSE: (32.0, 31.5)},
    "33": {LOOSE: (38.0, 38.5)},
    "45": {CLOSE: (46.0, 46.5), NORMAL: (48.0, 48.5)},
    "52": {NORMAL: (56.0, 57.0), LOOSE: (62.0, 61.0)},
}
"""Second choice sizes that are no corner of the library's tables: it draws a straight line between first
choice sizes, the standard prints a hole. The standard is right."""


def test_metric_clearance_holes_differ_only_where_the_library_has_no_corner_or_a_wrong_one() -> None:
    tables = table("screws.scad", "ISO_clearance = [")
    differ: dict[str, dict[str, tuple[float, float]]] = {}
    checked = 0
    for size, pitches in METRIC:
        thread = find_thread(metric_name(size, pitches[0]))
        for rows, hole in zip(tables, clearance_holes(thread), strict=True):
            if hole.basis != "from memory":  # M9 and others are not in ISO 273: estimated, and said to be
                continue
            checked += 1
            drawn = float(size + between(rows, size))
            if drawn != pytest.approx(hole.diameter, abs=1e-9):
                differ.setdefault(format_decimal(size), {})[hole.fit] = (hole.diameter, drawn)
    assert 117 == checked
    assert SMALL_HOLES | BETWEEN_HOLES == differ
    for name, holes in BETWEEN_HOLES.items():
        for which in holes:
            corners = {size for size, _ in tables[CLEARANCE_FITS.index(which)]}
            assert Fraction(name) not in corners


def test_inch_clearance_holes_are_those_of_the_standard_from_quarter_to_seven_eighths() -> None:
    # ASME B18.2.8 as drawn. The shop rule of the tables says of itself that it is estimated: it agrees for
    # fine and medium holes from 1/4 to 7/8 in, and departs for number sizes, coarse holes and above 1 in,
    # where the standard is right for Unified screws.
    tables = table("screws.scad", "UTS_clearance = [")
    agree: dict[str, list[str]] = {}
    for size, counts in UNIFIED:
        symbol, tpi = ("UNC", counts[0]) if counts[0] is not None else ("UNF", counts[1])
        thread = find_thread(f"{inch_name(size)}-{format_decimal(tpi)} {symbol}")
        across = Fraction(str(thread.major_basic)) * MM
        for rows, hole in zip(tables, clearance_holes(thread), strict=True):
            assert "estimated" == hole.basis
            drawn = float(across + between(rows, across))
            if drawn == pytest.approx(hole.diameter, abs=1e-9):
                agree.setdefault(hole.fit, []).append(inch_name(size))
    eighths = ["1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "3/4", "7/8"]
    assert {CLOSE: [*eighths, "1", "1 1/8", "1 1/4"], NORMAL: eighths} == agree


# Fields of the strength library, and ours: side, quantity.
FIELDS = {
    "dmax": ("external", "major_max"),
    "dmin": ("external", "major_min"),
    "d2max": ("external", "pitch_diameter_max"),
    "d2min": ("external", "pitch_diameter_min"),
    "d1max": ("external", "minor_flat_max"),
    "D1min": ("internal", "minor_min"),
    "D1max": ("internal", "minor_max"),
    "D2min": ("internal", "pitch_diameter_min"),
    "D2max": ("internal", "pitch_diameter_max"),
}
LONGER = {
    "dmax": (0.9983, 0.9984),
    "dmin": (0.9880, 0.9881),
    "d2max": (0.9519, 0.9520),
    "d2min": (0.9463, 0.9467),
    "d1max": (0.9210, 0.9211),
    "D2max": (0.9609, 0.9605),
}
"""1-14 UNS, ours and theirs. The library copies ASME B1.1-2019, where the special is worked like the others,
for an engagement of nine pitches; the tables follow B1.1-2003, which kept the limits this size had while it
was a UNF size, for an engagement of one diameter (from memory). Each is right for its edition."""
MISCOPIED = {"d2min": (0.42043, 0.42023)}
"""M12x1.75 6g, ours and theirs. d2 = 10.863 mm, es = 0.034 mm, Td2 = 0.150 mm give 10.679 mm = 0.42043 in, as
ISO 965-2 prints; 0.42023 in would be a tolerance of 0.155 mm, which no grade has. A figure was miscopied."""


def unified_of(name: str) -> Thread:
    return find_thread(f"{name} {ASME_UN_2A2B_dict[name]['series']}")


def differences(thread: Thread, printed: dict[str, float], places: int) -> dict[str, tuple[float, float]]:
    """Fields that differ, ours rounded as printed in inches; the minor diameter d1min is not held by us."""
    scale = thread.to_mm / 25.4
    assert {"dbsc", "n", "d1min", "series"} >= printed.keys() - FIELDS.keys()
    assert printed["dbsc"] == pytest.approx(thread.major_basic * scale, rel=1e-12)
    assert printed["n"] == pytest.approx(25.4 / thread.pitch_mm, rel=1e-12)
    ours = {
        key: round(getattr(thread.limits(side), quantity) * scale, places)  # type: ignore[arg-type]
        for key, (side, quantity) in FIELDS.items()
    }
    return {key: (ours[key], printed[key]) for key in FIELDS if ours[key] != printed[key]}


@pytest.mark.parametrize("name", ASME_UN_2A2B_dict)
def test_unified_limits_of_2a_and_2b_are_those_the_strength_library_copied(name: str) -> None:
    expected = LONGER if name == "1-14" else {}
    assert expected == differences(unified_of(name), ASME_UN_2A2B_dict[name], 4)


@pytest.mark.parametrize("name", ASME_M_6g6H_dict)
def test_metric_limits_of_6g_and_6h_are_those_the_strength_library_copied(name: str) -> None:
    expected = MISCOPIED if name == "M12-1.75" else {}
    thread = find_thread(name.replace("-", "x"))
    assert expected == differences(thread, ASME_M_6g6H_dict[name], 5)


def test_the_engagement_behind_the_specials_of_the_later_edition_is_nine_pitches() -> None:
    # the explanation given above, worked: 2A tolerance of 1-14 for LE = 9 P instead of LE = D
    pitch = 1 / 14
    tolerance = 0.0015 + 0.0015 * (9 * pitch) ** 0.5 + 0.015 * pitch ** (2 / 3)
    largest = 1 - round(0.3 * tolerance, 4)
    printed = ASME_UN_2A2B_dict["1-14"]
    assert printed["dmax"] == pytest.approx(largest, abs=1e-9)
    assert printed["d2min"] == pytest.approx(largest - 0.64951905 * pitch - tolerance, abs=0.00005)
    assert printed["D2max"] == pytest.approx(1 - 0.64951905 * pitch + 1.3 * tolerance, abs=0.00005)


@pytest.mark.parametrize("name", [*ASME_UN_2A2B_dict, *ASME_M_6g6H_dict])
def test_areas_and_lengths_of_engagement_are_those_of_the_strength_library(name: str) -> None:
    inch = name in ASME_UN_2A2B_dict
    printed = (ASME_UN_2A2B_dict if inch else ASME_M_6g6H_dict)[name]
    joint = Assembly(printed)
    pitch_diameter = joint.d2bsc
    of_iso = tensile_stress_area(pitch_diameter=pitch_diameter, root_diameter=joint.d1bsc - joint.H / 6)
    of_fed_std = tensile_stress_area(pitch_diameter=pitch_diameter, root_diameter=joint.d1bsc - joint.H / 4)
    sheared = {
        "screw": external_shear_area(
            length=1.0,
            pitch=joint.p,
            internal_minor=printed["D1max"],
            external_pitch_diameter=printed["d2min"],
            flank_angle=30.0,
        ),
        "nut": internal_shear_area(
            length=1.0,
            pitch=joint.p,
            external_major=printed["dmin"],
            internal_pitch_diameter=printed["D2max"],
            flank_angle=30.0,
        ),
    }
    needed = length_for_shear_at_pitch_line(stress_area=of_fed_std, pitch_diameter=pitch_diameter)
    assert joint.As_ISO() == pytest.approx(float(of_iso), rel=1e-12)
    assert joint.As_FEDSTD_1a() == pytest.approx(float(of_fed_std), rel=1e-12)
    assert joint.ASs_min_FEDSTD_4a() == pytest.approx(float(sheared["screw"]), rel=1e-12)
    assert joint.ASn_min_FEDSTD_2a() == pytest.approx(float(sheared["nut"]), rel=1e-12)
    assert joint.LEr_FEDSTD_13() == pytest.approx(float(needed), rel=1e-12)


def ends_of_steps() -> list[float]:
    """The end of every step and substep of ISO 286 and a size just above the one before."""
    uppers = sorted({*IT_BANDS, *(upper for rows in DEV_SUBBAND.values() for upper, _ in rows)})
    return sorted({1.0, *map(float, uppers), *(upper + 0.01 for upper in uppers if upper < 500)})


def their_zone(letter: str, grade: int, size: float) -> tuple[float, float]:
    """Lower and upper deviation by the library. [um]"""
    found = pressfit.fit(f"H{grade}/{'h' if letter == 'H' else letter}{grade}", size)
    if letter == "H":
        return found.hole_ei_um, found.hole_es_um
    return found.shaft_ei_um, found.shaft_es_um


def test_every_fit_that_both_hold_has_the_same_limits() -> None:
    checked, above = 0, set()
    for size in ends_of_steps():
        for letter in ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "H"):
            for grade in range(5, 12):
                try:
                    ours = fit(f"{letter}{grade}", size)
                except TableError:
                    above.add((letter, size > 120))  # d was compared with print up to 120 mm only
                    continue
                deviations = np.round((np.array(ours) - size) * 1000, 2)
                assert their_zone(letter, grade, size) == tuple(deviations.tolist())
                checked += 1
    assert {("d", True)} == above
    assert checked >= 3800
