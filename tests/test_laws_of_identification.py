"""Laws that hold for any readings: units, order, limits, instruments, and one by one as all together."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright.batch_many import identify_many
from threadwright.clues import log_evidence
from threadwright.comb_choice import leaves_of
from threadwright.doubt import Leaders, mutual_information
from threadwright.evidence import read_evidence
from threadwright.likelihood import (
    CombColumn,
    FlatsColumn,
    LengthColumn,
    Observations,
    WireColumn,
    class_zones,
)
from threadwright.priors import UNKNOWN
from threadwright.ranking import observe, posterior
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates, class_rows, has_side
from threadwright.tables.thread import Side

EVERY = np.arange(len(candidates()))
SIDES = st.sampled_from(["external", "internal"])
COMMON = np.flatnonzero((candidates().major > 2) & (candidates().major < 40) & (candidates().pitch > 0.3))
PLACES = st.integers(0, len(COMMON) - 1).map(lambda k: int(COMMON[k]))
ONE = np.zeros(1, dtype=np.int64)


def probabilities(**given: Any) -> list[float]:
    """Of every thread, and of none."""
    readings = Readings(**given)
    beside = log_evidence(readings.evidence, side=readings.side)
    p, none = posterior(observe(readings), np.zeros_like(EVERY), EVERY, beside=beside)
    return [*p.tolist(), *none.tolist()]


# --- units -----------------------------------------------------------------------------------------------


@st.composite
def lengths(draw: st.DrawFn) -> tuple[str, dict[str, Any], dict[str, float]]:
    """Side, what else is given, and lengths in mm that go together."""
    place = draw(PLACES)
    catalogue = candidates()
    major, pitch = float(catalogue.major[place]), float(catalogue.pitch[place])
    side = draw(SIDES)
    sizes = {"pitch": pitch}
    names = ["across_flats", "lead", "clearance"] + (["major"] if side == "external" else ["minor"])
    size = {
        "major": major - 0.05 * pitch,
        "minor": major - pitch,
        "across_flats": 1.6 * major,
        "lead": pitch,
        "clearance": 1.1 * major,
    }
    for name in draw(st.lists(st.sampled_from(names), min_size=1, unique=True)):
        sizes[name] = size[name]
    return side, {"crest": "flat"} if side == "external" else {}, sizes


@given(lengths())
@settings(max_examples=30)
def test_every_length_means_the_same_in_inches_and_millimetres(
    case: tuple[str, dict[str, Any], dict[str, float]],
) -> None:
    side, others, sizes = case
    doubt = {name: " +- 0.025 mm" if name in ("major", "minor", "pitch") else "" for name in sizes}
    metric = {name: f"{value:.4f} mm{doubt[name]}" for name, value in sizes.items()}
    inches = {
        name: f"{round(value, 4) / 25.4:.12f} in{' +- 0.000984251969 in' if doubt[name] else ''}"
        for name, value in sizes.items()
    }
    expected = probabilities(side=side, **others, **metric)
    assert expected == pytest.approx(probabilities(side=side, **others, **inches), abs=1e-6)


# --- order -----------------------------------------------------------------------------------------------


@given(st.permutations(["9.40 mm", "9.38 mm", "9.43 mm", "9.41 mm"]), st.randoms(use_true_random=False))
@settings(max_examples=20)
def test_neither_the_order_of_places_nor_that_of_the_readings_matters(sizes: list[str], dice: Any) -> None:
    given_ = {
        "major": sizes,
        "pitch": "20 tpi",
        "pitch_diameter": "8.6 mm",
        "flank_angle": "28 deg",
        "crest": "rounded",
        "across_flats": "15.1 mm",
    }
    names = list(given_)
    dice.shuffle(names)
    settled = probabilities(**{**given_, "major": sorted(sizes)})
    assert settled == pytest.approx(probabilities(**{name: given_[name] for name in names}), abs=1e-12)


@given(
    st.permutations(["M8x1.25 screw: runs in", "5/16-18 UNC screw: tight after 2 turns", "M8 tap: runs in"])
)
def test_the_order_of_trials_does_not_matter(tried: list[str]) -> None:
    first = probabilities(side="internal", minor="6.7 mm", tried=sorted(tried))
    assert first == pytest.approx(probabilities(side="internal", minor="6.7 mm", tried=tried), abs=1e-12)


# --- limits ----------------------------------------------------------------------------------------------


@given(st.integers(0, len(EVERY) - 1), SIDES, st.floats(0, 1), st.floats(0, 1), st.integers(0, 50))
@settings(max_examples=200)
def test_sizes_inside_a_class_of_its_own_never_exclude_a_thread(
    place: int, side: Side, first: float, second: float, pick: int
) -> None:
    """Any thread of the tables, any class: the density stays above nothing, and near that of the best."""
    if not has_side(side)[place]:
        return
    rows = np.flatnonzero(class_rows(side).candidate == place)
    row = rows[pick % len(rows)]
    names = ("major", "pitch_diameter") if side == "external" else ("minor", "pitch_diameter")
    sized = {}
    for name, share in zip(names, (first, second), strict=True):
        low, high = (float(end[row]) for end in class_zones(side, name))
        size = max(low + share * (high - low), 0.05)
        sized[name] = LengthColumn(np.array([size]), np.array([0.02]))
    pitch = LengthColumn(candidates().pitch[[place]], np.array([0.01]))
    flank = LengthColumn(candidates().flank_angle[[place]], np.array([1.0]))
    seen = Observations(n=1, side=side, lengths=sized, pitch=pitch, flank_angle=flank)
    p, none = posterior(seen, np.zeros_like(EVERY), EVERY)
    assert p[place] > 1e-7
    # against nothing but "none of these", which the same size and pitch must not win outright
    alone, _ = posterior(seen, ONE, np.array([place]))
    assert math.isfinite(float(alone[0]))
    assert float(none[0]) < 0.9999


# --- instruments -----------------------------------------------------------------------------------------


@given(
    st.lists(PLACES, min_size=2, max_size=4, unique=True),
    st.sampled_from(["major", "pitch_diameter", "pitch", "flank_angle", "flats"]),
    st.floats(0.005, 0.2),
    st.floats(1.05, 20.0),
    st.integers(0, 2**32 - 1),
)
@settings(max_examples=40)
def test_expected_information_falls_as_the_uncertainty_grows(
    places: list[int], kind: str, u: float, coarser: float, seed: int
) -> None:
    """Averaged over what the model itself predicts, for any leaders and any chances of theirs."""
    cand = np.array(places)
    chances = np.random.default_rng(seed).dirichlet(np.ones(len(cand)))
    among = Leaders(Observations(n=1), cand, chances, UNKNOWN)
    u *= 10.0 if kind == "flank_angle" else 1.0
    told = []
    for spread in (u, coarser * u):
        sizes = {
            "major": candidates().major,
            "pitch_diameter": candidates().major,
            "pitch": candidates().pitch,
            "flank_angle": candidates().flank_angle,
            "flats": 1.65 * candidates().major,
        }[kind][cand]
        room = 8 * spread + 2 * float(candidates().pitch[cand].max())
        low, high = float(sizes.min()) - room, float(sizes.max()) + room
        if kind == "flats":
            low, high = 0.4 * float(sizes.min()), 2.5 * float(sizes.max())
        y = np.linspace(max(low, 0.05), high, 6001)
        column = LengthColumn(y, np.full(len(y), spread))
        if kind in ("major", "pitch_diameter"):
            seen = Observations(n=len(y), lengths={kind: column})
        elif kind == "flats":
            seen = Observations(n=len(y), flats=FlatsColumn(y, column.u, "head"))
        else:
            seen = Observations(n=len(y), **{kind: column})  # type: ignore[arg-type]
        steps = np.full(len(y), y[1] - y[0])
        told.append(mutual_information(among.probabilities, among.density(seen), steps))
    # what the grid leaves out at its ends is below a hundredth of a bit
    assert told[1] <= told[0] + 0.01


# --- one by one ------------------------------------------------------------------------------------------


@st.composite
def several(draw: st.DrawFn) -> Observations:
    """A few fasteners near threads of the tables, with any kinds of reading."""
    n, side = draw(st.integers(1, 6)), draw(SIDES)
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    place = rng.choice(COMMON, n)
    catalogue = candidates()
    pitch, major = catalogue.pitch[place], catalogue.major[place]
    flank = catalogue.flank_angle[place] + 0.5
    kinds = draw(
        st.sets(
            st.sampled_from(["size", "pitch_diameter", "comb", "pitch", "flank", "flats", "wires"]),
            min_size=1,
        )
    )
    sized = {}
    if "size" in kinds:
        name = "major" if side == "external" else "minor"
        base = major if side == "external" else catalogue.minor[place]
        sized[name] = LengthColumn(base * rng.uniform(0.97, 1.01, n), np.full(n, 0.02))
    if "pitch_diameter" in kinds:
        sized["pitch_diameter"] = LengthColumn(
            catalogue.pitch_diameter[place] * rng.uniform(0.98, 1.0, n), np.full(n, 0.015)
        )
    comb = wires = None
    if "comb" in kinds:
        owned = leaves_of(("inch", "metric"))
        leaf = owned[np.argmin(np.abs(owned - pitch[:, None]), axis=1)]
        comb = CombColumn(leaf, np.full(n, np.nan), ("inch", "metric"))
    if "wires" in kinds and side == "external":
        wire = np.round(0.57 * pitch, 2)
        wires = WireColumn(major + 0.05 * pitch, np.full(n, 0.01), wire, np.full(n, 0.002))
    return Observations(
        n=n,
        side=side,  # type: ignore[arg-type]
        condition=draw(st.sampled_from(["unknown", "good", "worn", "stripped", "plated"])),
        lengths=sized,
        over_wires=wires,
        comb=comb,
        pitch=LengthColumn(pitch + 0.005, np.full(n, 0.01)) if "pitch" in kinds else None,
        flank_angle=LengthColumn(flank, np.ones(n)) if "flank" in kinds else None,
        flats=FlatsColumn(1.6 * major, np.full(n, 0.08), "head") if "flats" in kinds else None,
    )


@given(several())
@settings(max_examples=60)
def test_any_readings_are_ranked_together_as_each_against_every_thread(seen: Observations) -> None:
    empty = not seen.lengths and all(
        one is None for one in (seen.over_wires, seen.comb, seen.pitch, seen.flank_angle, seen.flats)
    )
    if empty:  # wires on a hole are left out
        return
    many = identify_many(seen, top=4)
    obs = np.repeat(np.arange(seen.n), len(EVERY))
    p, none = posterior(seen, obs, np.tile(EVERY, seen.n))
    dense = p.reshape(seen.n, -1)
    assert many.none_of_these == pytest.approx(none, abs=1e-12)
    assert many.probability == pytest.approx(np.sort(dense, axis=1)[:, ::-1][:, :4], abs=1e-12)


def test_evidence_without_readings_is_read_alike_in_any_words() -> None:
    first = read_evidence([], tried="M8x1.25  screw :  Runs  in", side="internal").tried[0]
    second = read_evidence([], tried="M8 screw: runs in", side="internal").tried[0]
    assert (first.piece, first.outcome) == (second.piece, second.outcome)
