"""What a hexagon's size across flats says of its thread."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.across_flats import (
    flats_terms,
    likeliest_hexagon,
    log_none_flats,
    own_hexagons,
    spanner_zones,
)
from threadwright.batch_many import identify_many
from threadwright.observations import CombColumn, FlatsColumn, LengthColumn, Observations
from threadwright.priors import Origin, Prior
from threadwright.ranking import Identification, identify, posterior
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES
from threadwright.tables.hexagons import bands_of, hexagons_of, wrench_opening

NAMES = [candidates().designation(i) for i in range(len(candidates()))]
EVERY = np.arange(len(NAMES))
WITH_HEXAGON = [i for i in range(len(NAMES)) if own_hexagons(i, "spanner")]
MM = 25.4


def of(value: float, u: float = 0.08, part: str = "head", **origin: object) -> FlatsColumn:
    return FlatsColumn(np.array([value]), np.array([u]), part, **origin)  # type: ignore[arg-type]


def log_of(flats: FlatsColumn, *names: str) -> list[float]:
    places = np.array([NAMES.index(name) for name in names])
    return flats_terms(flats, np.zeros_like(places), places).tolist()


def odds(first: str, second: str, **given: object) -> float:
    answer = identify(Readings(**given), top=None)  # type: ignore[arg-type]
    found = {one.designation: one.probability for one in answer.candidates}
    return found[first] / found[second]


# --- published hexagons ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("across", "whitworth"),
    [
        (0.820, True),  # BS 1083 Table 1, 1/2 in: 0.820 to 0.812
        (0.812, True),
        (
            0.920,
            True,
        ),  # the large hexagon for 1/2 in, spanner chart; original Whitworth 0.9191, cyclopaedia table
        (0.750, False),  # ASME B18.2.1, 1/2 in: 3/4 in; BS 1768 Table 1: 0.7500 to 0.7420
        (0.742, False),
    ],
)
def test_half_inch_whitworth_and_unified_are_told_apart_by_their_hexagons(
    across: float, whitworth: bool
) -> None:
    """Same diameter, 12 and 13 threads to the inch; the hexagons are those printed."""
    plain = odds("1/2-12 BSW", "1/2-13 UNC", major="0.495 in")
    seen = odds("1/2-12 BSW", "1/2-13 UNC", major="0.495 in", across_flats=f"{across} in")
    assert (seen > 5 * plain) if whitworth else (seen < plain / 5)


def test_a_small_and_a_large_whitworth_hexagon_of_one_size_are_different_threads() -> None:
    """BS 1083 3/8 in and the large hexagon of 5/16 in are both 0.600 in: "3/8 BS = 5/16 W"."""
    small, large = log_of(of(0.600 * MM), "3/8-20 BSF", "5/16-18 BSW")
    assert small == pytest.approx(large, abs=1.5)
    for name in ("3/8-20 BSF", "5/16-18 BSW"):
        (far,) = log_of(of(0.710 * MM), name)
        assert far < min(small, large) - 2


def test_m10_has_16_mm_by_iso_272_and_17_by_din_931() -> None:
    young, old = of(16.0, year=2005), of(17.0, year=2005)
    assert log_of(of(16.0, country="DE", year=1960), "M10x1.5") < log_of(
        of(17.0, country="DE", year=1960), "M10x1.5"
    )
    assert log_of(young, "M10x1.5") > log_of(old, "M10x1.5")


def test_a_wrench_made_for_three_quarters_fits_half_inch_unified() -> None:
    """Machinery's Handbook, 19th edition: opening from 1.005 W + 0.001 to that + 0.005 W + 0.004 in."""
    for opening in wrench_opening(0.750):
        unified, whitworth = log_of(of(opening * MM, 0.02, "spanner"), "1/2-13 UNC", "1/2-12 BSW")
        assert unified > whitworth + 1


def test_a_13_mm_spanner_goes_on_half_an_inch_loosely() -> None:
    m8, quarter = log_of(of(13.0, 0.02, "spanner"), "M8x1.25", "5/16-18 UNC")  # 1/2 in = 12.70 mm
    (far,) = log_of(of(13.0, 0.02, "spanner"), "1/4-20 UNC")  # 7/16 in
    assert m8 > quarter > far


def test_7_16_nut_and_cap_screw_differ() -> None:
    """ASME B18.2.2: 11/16 in; ASME B18.2.1: 5/8 in."""
    head, nut = of(11 / 16 * MM), of(11 / 16 * MM, part="nut")
    assert log_of(nut, "7/16-14 UNC") > log_of(head, "7/16-14 UNC")
    assert log_of(of(5 / 8 * MM), "7/16-14 UNC") > log_of(of(5 / 8 * MM, part="nut"), "7/16-14 UNC")


# --- laws ------------------------------------------------------------------------------------------------


@given(st.sampled_from(WITH_HEXAGON), st.integers(0, 10), st.floats(0, 1), st.sampled_from([0.02, 0.08, 0.3]))
def test_a_hexagon_inside_its_own_threads_limits_never_excludes_it(
    candidate: int, pick: int, where: float, u: float
) -> None:
    held = own_hexagons(candidate, "head") or own_hexagons(candidate, "nut")
    part = "head" if own_hexagons(candidate, "head") else "nut"
    _, _, band = held[pick % len(held)]
    flats = of(band.least_mm + where * (band.largest_mm - band.least_mm), u, part)
    (own,) = flats_terms(flats, np.zeros(1, dtype=int), np.array([candidate]))
    none = log_none_flats(flats, np.array([candidates().major[candidate]]))[0]
    assert own > none - 1.5


@given(st.floats(1.0, 150.0), st.floats(0.01, 0.5), st.sampled_from(["head", "nut", "spanner"]))
def test_no_size_across_flats_excludes_a_thread_for_good(value: float, u: float, part: str) -> None:
    assert np.isfinite(flats_terms(of(value, u, part), np.zeros_like(EVERY), EVERY)).all()


@pytest.mark.parametrize("part", ["head", "nut", "spanner"])
@pytest.mark.parametrize("name", ["1/2-12 BSW", "M10x1.5", "2 BA", "7/16-14 UNC", "3/8-26 BSB", "G 1/2"])
def test_the_density_of_a_size_across_flats_adds_to_one(name: str, part: str) -> None:
    y = np.linspace(0.5, 120, 60_001)
    flats = FlatsColumn(y, np.full(len(y), 0.05), part)
    density = np.exp(flats_terms(flats, np.arange(len(y)), np.full(len(y), NAMES.index(name))))
    assert float(density.sum() * (y[1] - y[0])) == pytest.approx(1.0, abs=2e-3)


@given(st.floats(5, 60))
def test_inch_and_millimetre_hexagons_agree(value: float) -> None:
    def answer(text: str) -> list[float]:
        return [one.probability for one in identify(Readings(across_flats=text)).candidates]

    assert answer(f"{value:.12f} mm") == pytest.approx(answer(f"{value / MM:.12f} in"), rel=1e-6)


@pytest.mark.parametrize("part", ["head", "nut", "spanner"])
def test_shares_of_a_threads_own_hexagons_add_to_one(part: str) -> None:
    for candidate in range(len(NAMES)):
        held = own_hexagons(candidate, part, "GB", 1938)
        assert not held or sum(share for share, _, _ in held) == pytest.approx(1.0)


def test_many_at_once_are_the_same_as_dense() -> None:
    rng = np.random.default_rng(4)
    n = 400
    row = rng.integers(0, len(NAMES), n)
    major = candidates().major[row] * rng.uniform(0.97, 1.0, n)
    flats = FlatsColumn(1.6 * major * rng.uniform(0.8, 1.2, n), np.full(n, 0.08), "head", "GB", 1925)
    leaf = np.round(candidates().pitch[row], 2)
    for comb in (None, CombColumn(leaf, np.full(n, np.nan), ("metric",))):
        seen = Observations(
            n=n, lengths={"major": LengthColumn(major, np.full(n, 0.02))}, flats=flats, comb=comb
        )
        many = identify_many(seen, top=3)
        for i in range(0, n, 9):
            one = Observations(
                n=1,
                lengths={"major": LengthColumn(major[i : i + 1], np.full(1, 0.02))},
                flats=of(float(flats.value[i]), country="GB", year=1925),
                comb=None if comb is None else CombColumn(leaf[i : i + 1], np.full(1, np.nan), ("metric",)),
            )
            p, none = posterior(one, np.zeros_like(EVERY), EVERY)
            assert many.none_of_these[i] == pytest.approx(none[0], abs=1e-12)
            assert many.probability[i] == pytest.approx(np.sort(p)[::-1][:3], abs=1e-12)


def test_a_few_candidates_are_weighed_as_among_all() -> None:
    flats = of(20.7)
    few = np.array([3, 700, 1500, 3])
    every = flats_terms(flats, np.zeros_like(EVERY), EVERY)
    assert flats_terms(flats, np.zeros_like(few), few).tolist() == every[few].tolist()
    assert [] == flats_terms(flats, few[:0], few[:0]).tolist()


def test_a_coarser_caliper_tells_less_of_a_hexagon_on_average() -> None:
    places = np.array([NAMES.index(name) for name in ("1/2-12 BSW", "1/2-13 UNC", "M12x1.75")])
    y = np.linspace(8, 40, 8001)
    told = []
    for u in (0.02, 0.08, 0.3, 1.0):
        flats = FlatsColumn(y, np.full(len(y), u), "head")
        density = np.stack(
            [np.exp(flats_terms(flats, np.arange(len(y)), np.full(len(y), p))) for p in places]
        )
        mean = density.mean(axis=0)
        told.append(float((density * np.log2(density / mean)).mean(axis=0).sum() * (y[1] - y[0])))
    assert told == sorted(told, reverse=True)


def test_none_of_these_is_laid_beside_the_diameter_if_there_is_one() -> None:
    near, far = (log_none_flats(of(13.0), np.array([size]))[0] for size in (7.9, 3.0))
    assert near > log_none_flats(of(13.0), None)[0] > far


# --- the answer ------------------------------------------------------------------------------------------


def answer(**given: object) -> Identification:
    return identify(Readings(**given))  # type: ignore[arg-type]


def test_the_answer_lays_a_hexagon_beside_that_of_each_candidate() -> None:
    first = answer(major="0.372 in", pitch="20 tpi", across_flats="0.596 in").candidates[0]
    fit = first.readings["across_flats"]
    assert ("3/8-20 BSF", "inside", "BS 1083") == (first.designation, fit.fit, fit.standard)
    assert (0.592 * MM, 0.600 * MM) == pytest.approx((fit.low, fit.high))
    assert "BS 1083" == fit.to_dict()["standard"]
    plain = answer(major="0.372 in", across_flats="0.7 in")
    fits = {one.designation: one.readings["across_flats"].fit for one in plain.candidates}
    assert ("inside", "above", "no table") == (fits["3/8-16 BSW"], fits["3/8-20 BSF"], fits["3/8-26 BSB"])


def test_a_hexagon_that_no_table_tells_of_has_no_range() -> None:
    seen = identify(Readings(major="0.248 in", pitch="26 tpi", across_flats="11 mm"), top=None)
    brass = next(one for one in seen.candidates if "1/4-26 BSB" in (one.designation, *one.also))
    if not own_hexagons(brass.place, "head"):
        assert "no table" == brass.readings["across_flats"].fit
    pipe = next(one for one in seen.candidates if one.designation == "G 1/2")
    assert ("no table", None) == (pipe.readings["across_flats"].fit, pipe.readings["across_flats"].low)


def test_the_year_of_the_machine_bears_on_its_hexagons() -> None:
    def likeliest(year: int) -> str:
        found = likeliest_hexagon(of(16.2, 0.3, country="GB", year=year), NAMES.index("5/16-18 BSW"))
        assert found is not None
        return found[0].name

    assert "large Whitworth" == likeliest(1900)
    shares = {
        entry.name: share for share, entry, _ in own_hexagons(NAMES.index("1/2-12 BSW"), "head", "GB", 1900)
    }
    assert shares["large Whitworth"] > shares["BS 1083"]
    late = {
        entry.name: share for share, entry, _ in own_hexagons(NAMES.index("1/2-12 BSW"), "head", "GB", 1948)
    }
    assert late["BS 1083"] > late["large Whitworth"]
    machine = Prior(Origin("GB", 1900))
    size = Readings(major="0.494 in", across_flats="0.92 in")
    assert identify(size, prior=machine).candidates[0].readings["across_flats"].standard in (
        "large Whitworth",
        "original Whitworth",
    )


def test_every_series_of_hexagons_says_when_and_where_it_was_usual() -> None:
    assert [] == [entry.name for entry in HEXAGON_SERIES if not entry.periods]
    assert set(judgement.HEXAGON_WEIGHT) <= {entry.name for entry in HEXAGON_SERIES}


def test_bands_are_those_of_the_whole_records() -> None:
    for entry in HEXAGON_SERIES:
        whole = [(h.size, *h.band_mm) for h in hexagons_of(entry.name)]
        assert whole == [(band.size, band.least_mm, band.largest_mm) for band in bands_of(entry)]


def test_a_spanner_is_marked_opened_or_loose() -> None:
    (marked, low, high), opening, loose = spanner_zones(12.73, 13.0)
    assert low == high == 13.0
    assert 13.0 < opening[1] < opening[2] < loose[2]
    assert marked + opening[0] + loose[0] == pytest.approx(1.0)


# --- hand ------------------------------------------------------------------------------------------------


def test_a_left_hand_thread_is_named_so_and_keeps_its_probability() -> None:
    right, left = (answer(major="0.372 in", pitch="20 tpi", hand=hand) for hand in ("right", "left"))
    assert [one.probability for one in right.candidates] == [one.probability for one in left.candidates]
    assert [f"{one.designation} LH" for one in right.candidates] == [o.designation for o in left.candidates]
    assert left.candidates[0].thread == dataclasses.replace(right.candidates[0].thread, left_hand=True)
    assert all(name.endswith(" LH") for one in left.candidates for name in one.also)
    assert ("left", "right", None) == (left.hand, right.hand, answer(major="8 mm").hand)
    assert "left" == left.to_dict()["hand"]
