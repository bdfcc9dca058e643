"""Each kind of evidence by an example that was printed: the thread it was printed for comes out."""

from __future__ import annotations

import csv
import math
import re
from fractions import Fraction

import numpy as np
import pytest

from published_values import FOLDER
from threadwright import judgement
from threadwright.clues import crest_looks, log_evidence, outcome_probability
from threadwright.evidence import CRESTS, read_evidence
from threadwright.likelihood import Observations, WireColumn, effective_reading, stretched_zones
from threadwright.ranking import identify, observe
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.drills import clearance_holes
from threadwright.tables.registry import find_thread

NAMES = [candidates().designation(i) for i in range(len(candidates()))]
INCH = 25.4


def shares(**given: object) -> dict[str, float]:
    found = identify(Readings(**given), top=None).candidates  # type: ignore[arg-type]
    return {name: one.probability for one in found for name in (one.designation, *one.also)}


def _whitworth_rows() -> list[tuple[str, str, float, float]]:
    """Designation, size over wires, wire and half the last digit, of a printed table. [in]"""
    with (FOLDER / "wires.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["case"].startswith("form=Whitworth D=")]
    found = []
    for row in rows:
        size, tpi, wire = (
            float(re.search(rf"{key}=([\d.]+)", row["case"])[1])  # type: ignore[index]
            for key in ("D", "tpi", "w")
        )
        name = f"{Fraction(size)}-{tpi:g} BSW"
        half = 0.5 * 10.0 ** -len(row["value"].partition(".")[2])
        if name in NAMES:
            found.append((name, row["value"], wire, 3 * half if row["allow"] else half))
    return found


@pytest.mark.parametrize("name, over, wire, half", _whitworth_rows(), ids=lambda x: str(x))
def test_over_wires(name: str, over: str, wire: float, half: float) -> None:
    """Machinery's Handbook, 31st edition, p. 2131: sizes over wires of Whitworth threads."""
    place = np.array([NAMES.index(name)])
    seen = Observations(
        n=1, over_wires=WireColumn(*(np.array([x]) for x in (float(over) * INCH, 0.008, wire * INCH, 0.002)))
    )
    effective, _, silent = effective_reading(seen, np.zeros(1, dtype=int), place)
    if silent[0]:
        assert not candidates().wire_least[place] <= wire * INCH <= candidates().wire_greatest[place]
        return
    assert effective is not None
    basic = find_thread(name).pitch_diameter_basic
    # the print leaves out the slope of the thread, at most 0.0004 in here
    assert -half - 4e-4 <= float(effective.value[0]) / INCH - basic <= half
    tpi = name.partition("-")[2].partition(" ")[0]
    major = f"{float(find_thread(name).nominal_major)} in"
    answer = shares(major=major, pitch=f"{tpi} tpi", over_wires=f"{over} in", wire=f"{wire} in")
    assert answer[name] > 0.1  # 3/16-24 has the No. 10-24 beside it


def test_the_tables_of_whitworth_sizes_over_wires_are_read() -> None:
    assert len(_whitworth_rows()) >= 12


def test_taper() -> None:
    """ASME B1.20.1 for 1/2-14 NPT: 0.77843 in at the gauge plane, 0.320 in from the small end's 0.75843."""
    taper = "0.75843 in and 0.77843 in 0.320 in apart"
    evidence = read_evidence([], taper=taper).taper
    assert evidence is not None
    assert 1 / 16 == pytest.approx(evidence.value, abs=1e-5)
    plain = shares(major="0.83 in", pitch="14 tpi")
    seen = shares(major="0.83 in", pitch="14 tpi", taper=taper)
    assert seen["1/2-14 NPT"] > plain["1/2-14 NPT"] > seen["R 1/2"] > plain["R 1/2"]
    assert plain["G 1/2"] > 0.1 > 100 * seen["G 1/2"]


def test_pitch_by_many_threads() -> None:
    """The inch is 25.4 mm exactly: 20 threads of BSF 3/8 in (BS 84) lie on one inch."""
    assert 25.4 / 20 == pytest.approx(Readings(pitch="20 pitches over 25.4 mm").pitch.value_mm)  # type: ignore[union-attr]
    seen = shares(major="0.372 in", pitch="10 pitches over 12.70 mm by caliper")
    assert seen["3/8-20 BSF"] + seen["3/8-20 UN"] > 0.95
    # ISO 261, M10x1.25
    assert shares(major="9.9 mm", pitch="10 pitches over 12.50 mm by caliper")["M10x1.25"] > 0.9


def test_lead_and_starts() -> None:
    """Machinery's Handbook, 31st edition, p. 2134: Acme, 5 tpi, four starts: it advances 0.8 in a turn."""
    evidence = read_evidence([], starts=4, lead="0.8 in")
    assert evidence.lead is not None
    assert 4 / 5 * INCH == pytest.approx(evidence.lead.value_mm)
    single = [name for name in NAMES if re.fullmatch(r"1 1/8-5 (STUB )?ACME", name)]
    seen = shares(major="1.12 in", pitch="5 tpi", lead="0.8 in", starts=4)
    plain = shares(major="1.12 in", pitch="5 tpi", lead="0.2 in", starts=1)
    assert sum(plain[name] for name in single) > 0.9 > 0.01 > sum(seen[name] for name in single)


@pytest.mark.parametrize(
    "name, look",
    [
        ("M8x1.25", "flat"),  # ISO 68-1: crest flat P/8
        ("1/2-13 UNC", "flat"),  # ASME B1.1
        ("3/8-16 BSW", "rounded"),  # BS 84: crests and roots rounded, r = 0.137329 p
        ("2 BA", "rounded"),  # BS 93: r = 2 p / 11
    ],
)
def test_crest_form(name: str, look: str) -> None:
    looks = dict(zip(CRESTS, crest_looks()[NAMES.index(name)], strict=True))
    assert look == max(looks, key=lambda word: looks[word])


@pytest.mark.parametrize(
    "system, flank", [("M8x1.25", 30.0), ("3/8-16 BSW", 27.5), ("2 BA", 23.75), ("1-5 ACME", 14.5)]
)
def test_flank_angle(system: str, flank: float) -> None:
    """Half the printed thread angles: ISO 68-1 60 deg, BS 84 55 deg, BS 93 47.5 deg, ASME B1.5 29 deg."""
    assert flank == pytest.approx(float(candidates().flank_angle[NAMES.index(system)]))
    thread = find_thread(system)
    size = f"{0.99 * thread.nominal_major_mm:.3f} mm"
    assert shares(major=size, flank_angle=f"{flank} deg")[system] > shares(major=size)[system]


@pytest.mark.parametrize("microns, deviation", [(3, 12), (5, 20), (8, 32), (10, 40), (12, 48), (15, 60)])
def test_plating(microns: float, deviation: float) -> None:
    """ISO 4042 for 60 deg: a coating of thickness t takes 4 t of the effective diameter, 2 t of others."""
    one, enlarged = np.ones(1), {}
    for dimension in ("pitch_diameter", "major"):
        plain, plated = (
            stretched_zones(
                7.0 * one,
                7.1 * one,
                1.25 * one,
                side="external",
                dimension=dimension,
                condition=condition,
                flank_angle=30 * one,
            )[0]
            for condition in ("unknown", "plated")
        )
        enlarged[dimension] = [float(plated[k][0] - plain[k][0]) for k in (1, 2)]
    factors = [end / t for end, t in zip(enlarged["pitch_diameter"], judgement.PLATING_MM, strict=True)]
    assert [deviation / microns] * 2 == pytest.approx(factors)
    halves = [end / 2 for end in enlarged["pitch_diameter"]]
    assert halves == pytest.approx(enlarged["major"])


def test_a_new_part_outside_its_limits() -> None:
    """Of about 200 new American bolts 25 lay outside (student study, 2011): 9 to 18 % by Wilson."""
    n, k, z = 201, 25, 1.96
    middle = (k + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * math.sqrt(k * (n - k) / n + z * z / 4)
    for condition in ("good", "unknown"):
        assert middle - half < judgement.ZONE_SHARES[condition][1] < middle + half


def test_pieces_tried() -> None:
    """1/2 in Whitworth has 12 threads to the inch, Unified coarse 13 (BS 84, ASME B1.1): they do not run."""
    names = ("1/2-12 BSW", "1/2-13 UNC")
    both = np.array([NAMES.index(name) for name in names])
    for hole, own in enumerate(names):
        for name in names:
            piece = read_evidence([], tried=f"{name} screw: runs in", side="internal").tried[0]
            chance = outcome_probability(piece, side="internal")[both[hole]]
            assert (chance > 0.9) if name == own else (chance < 0.05)


@pytest.mark.parametrize("size", range(1, 9))
def test_clearance_hole(size: int) -> None:
    """ISO 273, medium series (from memory): the hole speaks for its own screw rather than for the next."""
    screws = [find_thread(f"M{d}") for d in (3, 4, 5, 6, 8, 10, 12, 16, 20, 24)]
    places = [NAMES.index(screw.designation) for screw in screws]
    hole = next(one for one in clearance_holes(screws[size]) if one.fit == "medium")
    logs = log_evidence(read_evidence([], clearance=f"{hole.diameter} mm"), side="internal")[places]
    assert size == int(np.argmax(logs))


def test_a_cast() -> None:
    """A cast that shrinks by s shows D (1 - s): the basic 8 mm of ISO 724 at 0.5 % is 7.96 mm."""
    seen = observe(Readings(side="internal", major="7.96 mm", cast="0.5 %"))
    assert 8.0 == pytest.approx(float(seen.lengths["major"].value[0]))
