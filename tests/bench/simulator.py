"""Fasteners as a workshop meets them, with what the program's model does not know.

Reads ``threadwright table --csv`` and the numbers of ``threadwright.judgement``; imports nothing of the
likelihood, the priors or the ranking. Beyond that model it adds ovality, burrs, a caliper that shows
hundredths, and a person who picks the comb leaf with the least daylight. Heads are of the thread's own
standards, of another standard for about that diameter, or made in the shop to any size; a taper thread is
read anywhere between its gauge plane and its small end. Two names are one metal where the tables' own list
holds them together. The Bayes-optimal answer under this very simulation is worked out here too, by code of
its own.
"""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from scipy.special import ndtr

from threadwright import judgement
from threadwright.instruments import comb_leaves
from threadwright.tables.catalogue import candidates
from threadwright.tables.hexagon_seeds import HEXAGON_SERIES
from threadwright.tables.hexagons import hexagons_for, hexagons_of
from threadwright.tables.registry import SYSTEMS, series

OVALITY_MM = 0.008
BURR_SHARE, BURR_MM = 0.03, 0.06
DISPLAY_MM = 0.01
CALIPER_U = judgement.INSTRUMENT_U_MM["digital caliper"]
WIRES_U = float(np.hypot(judgement.INSTRUMENT_U_MM["wires"], judgement.WIRE_FLATTENING_U_MM))
WIRE_SIZE_U = judgement.WIRE_U_MM["wires"]
FLATS_U = judgement.FLATS_U_MM["head"]
EYE_MM = 0.05  # how well the eye compares the daylight of two leaves
TAPER_PLACES = (np.arange(8) + 0.5) / 8  # from the gauge plane to the small end
INCH = 25.4
LEAVES = np.array(comb_leaves(("inch", "metric")))


@dataclass(frozen=True)
class World:
    """How things really are; the defaults are what the program believes."""

    noise: float = 1.0
    wear: float = 1.0
    class_factors: tuple[float, ...] = (1.0,)
    ovality: float = OVALITY_MM
    burrs: float = BURR_SHARE
    dirty: float = judgement.COMB_POOR_SHARE
    """Share of threads on which the comb sits badly, so that another pitch seems to fit."""


BELIEVED = World()
PLAIN = World(ovality=0.0, burrs=0.0)
OFF_BY_TWO = World(noise=2.0, wear=2.0, class_factors=(2.0, 0.5), dirty=2 * judgement.COMB_POOR_SHARE)


@dataclass
class Threads:
    """External class rows of every thread of the tables, millimetres."""

    name: list[str] = field(default_factory=list)
    metal: list[int] = field(default_factory=list)
    system: list[str] = field(default_factory=list)
    weight: np.ndarray = field(default_factory=lambda: np.zeros(0))
    columns: dict[str, np.ndarray] = field(default_factory=dict)
    hexagons: np.ndarray = field(default_factory=lambda: np.zeros((0, 0, 3)))
    """Heads of the thread's own standards, by row: share, least and largest across flats; share 0 is none."""


def _csv_rows() -> list[dict[str, str]]:
    command = [sys.executable, "-m", "threadwright", "table", "--csv"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return list(csv.DictReader(io.StringIO(text)))


def _gather() -> dict[tuple[str, str], dict]:
    found: dict[tuple[str, str], dict] = {}
    for row in _csv_rows():
        thread = found.setdefault((row["system"], row["designation"]), {"basic": {}, "classes": {}})
        scale = INCH if row["unit"] == "in" else 1.0
        value = float(row["value"]) * scale
        if row["side"] == "basic":
            thread["basic"][row["quantity"]] = value
        elif row["side"] == "external":
            thread["classes"].setdefault(row["tolerance_class"], {})[row["quantity"]] = value
    return found


def _choices() -> dict[tuple[str, str], tuple[int, bool, bool]]:
    """Order of preference, whether it has a name of its own (coarse), and whether a screw exists."""
    return {
        (s.symbol, s.designation(size)): (size.choice, bool(size.aliases), "external" in s.sides)
        for s in SYSTEMS
        for size in s.sizes
    }


def _size_weight(symbol: str, nominal: float, choice: int, coarse: bool) -> float:
    log_size = np.log(nominal / judgement.COMMON_DIAMETER_MM)
    bell = np.exp(-0.5 * (log_size / judgement.DIAMETER_SPREAD_LOG) ** 2) + judgement.DIAMETER_FLOOR
    fine = judgement.FINE_METRIC_WEIGHT if symbol == "M" and not coarse else 1.0
    return float(bell * judgement.CHOICE_WEIGHT[choice] * fine)


def load(world: World) -> Threads:
    """All class rows with their weights in that world."""
    gathered, choices = _gather(), _choices()
    sums: dict[str, float] = {}
    for key, thread in gathered.items():
        choice, coarse, _ = choices[key]
        weight = _size_weight(key[0], thread["basic"]["nominal_major"], choice, coarse)
        thread["weight"] = weight
        sums[key[0]] = sums.get(key[0], 0.0) + weight
    rows: list[tuple] = []
    metals = metal_places()
    for key, thread in gathered.items():
        basic = thread["basic"]
        flank = basic.get("flank_angle", basic.get("flank_angle_load"))
        if not choices[key][2] or flank is None:
            continue
        share = judgement.SERIES_WEIGHT.get(key[0], judgement.OTHER_SERIES_WEIGHT) / sums[key[0]]
        classes = {
            name: limits
            for name, limits in thread["classes"].items()
            if "major_max" in limits and "major_min" in limits
        } or {"": {}}
        names = list(classes)
        factors = np.resize(np.array(world.class_factors), len(names))
        weights = np.array([judgement.CLASS_WEIGHT.get(n, judgement.OTHER_CLASS_WEIGHT) for n in names])
        weights = weights * factors / (weights * factors).sum()
        for name, class_weight in zip(names, weights, strict=True):
            rows.append(
                (key, metals[key], thread["weight"] * share * class_weight, flank, basic, classes[name])
            )
    return _as_columns(rows)


def metal_places() -> dict[tuple[str, str], int]:
    """Place in the tables' own list of distinct metals, by system and designation."""
    return {
        (symbol, series(symbol).designations[row]): place
        for place, names in enumerate(candidates().names)
        for symbol, row in names
    }


def _heads(symbol: str, designation: str) -> list[tuple[float, float, float]]:
    """(share, least, largest) of the heads that the thread's own standards have. [-, mm, mm]"""
    table = series(symbol)
    own = [
        (judgement.HEXAGON_WEIGHT.get(one.series, 1.0), *one.band_mm)
        for one in hexagons_for(table.thread(table.designations.index(designation)))
        if one.of in ("both", "head")
    ]
    total = sum(weight for weight, _, _ in own)
    return [(weight / total, least, largest) for weight, least, largest in own]


def _as_columns(rows: list[tuple]) -> Threads:
    threads = Threads()
    threads.name = [row[0][1] for row in rows]
    threads.system = [row[0][0] for row in rows]
    threads.metal = [row[1] for row in rows]
    weight = np.array([row[2] for row in rows])
    threads.weight = weight / weight.sum()
    pitch = np.array([row[4]["pitch"] for row in rows])
    threads.columns = {"pitch": pitch, "flank": np.array([row[3] for row in rows])}
    for dimension in ("major", "pitch_diameter", "minor"):
        below, above = judgement.ESTIMATED_ZONE["external", dimension]
        basic = np.array([row[4][f"{dimension}_basic"] for row in rows])
        high = np.array([row[5].get(f"{dimension}_max", np.nan) for row in rows])
        low = np.array([row[5].get(f"{dimension}_min", np.nan) for row in rows])
        high = np.where(np.isnan(high), basic + above * pitch, high)
        low = np.where(np.isnan(low), np.minimum(basic + below * pitch, high - 0.05 * pitch), low)
        threads.columns |= {f"{dimension}_low": low, f"{dimension}_high": high}
    gauge = np.array([row[4].get("gauge_length", np.nan) for row in rows])
    gauge = np.where(np.isnan(gauge), judgement.TAPER_PITCHES * pitch, gauge)
    threads.columns["fall"] = gauge * np.array([row[4].get("taper", 0.0) for row in rows])
    threads.columns["major"] = np.array([row[4]["major_basic"] for row in rows])
    known = {key: _heads(*key) for key in dict.fromkeys(row[0] for row in rows)}
    heads = [known[row[0]] for row in rows]
    threads.hexagons = np.zeros((len(rows), max(map(len, heads)), 3))
    for at, own in enumerate(heads):
        threads.hexagons[at, : len(own)] = own or np.zeros((0, 3))
    return threads


def _zones(world: World, dimension: str) -> list[tuple[float, float, float, float]]:
    """(share, low end in pitches, high end in pitches, both ends in tolerances)."""
    shares = np.array(judgement.ZONE_SHARES["unknown"])
    worn = np.clip(shares[2:] * world.wear, 0, 0.45)
    shares = np.concatenate([shares[:2] * (1 - worn.sum()) / shares[:2].sum(), worn])
    return [
        (float(share), down, up, outside)
        for share, (_, down, up, outside) in zip(shares, judgement.ZONES["external", dimension], strict=True)
    ]


@dataclass
class Sample:
    """What was measured on n fasteners, and what they were."""

    row: np.ndarray
    major: np.ndarray
    leaf: np.ndarray
    over_wires: np.ndarray
    wire: np.ndarray
    flats: np.ndarray


def _true_size(threads: Threads, row: np.ndarray, world: World, dimension: str, rng: np.random.Generator):
    zones = _zones(world, dimension)
    which = rng.choice(len(zones), size=len(row), p=[zone[0] for zone in zones])
    down, up, outside = (np.array([zone[k] for zone in zones])[which] for k in (1, 2, 3))
    low, high = threads.columns[f"{dimension}_low"][row], threads.columns[f"{dimension}_high"][row]
    pitch, tolerance = threads.columns["pitch"][row], high - low
    bottom = low + down * pitch - outside * tolerance
    top = np.maximum(high + up * pitch + outside * tolerance, bottom)
    return rng.uniform(bottom, top) - threads.columns["fall"][row] * rng.random(len(row))


def over_wires(threads: Threads, row: np.ndarray, effective: np.ndarray, wire: np.ndarray) -> np.ndarray:
    """Size over three wires, the slope of the thread not counted. [mm]"""
    alpha = np.radians(threads.columns["flank"][row])
    return effective + wire * (1 + 1 / np.sin(alpha)) - threads.columns["pitch"][row] / 2 / np.tan(alpha)


@cache
def every_head() -> np.ndarray:
    """Heads of all standards: diameter of the thread, least and largest across flats, weight. (h, 4)"""
    ba = series("BA")
    number = dict(zip(ba.designations, ba.nominal_major.tolist(), strict=True))
    return np.array(
        [
            (
                number.get(one.size, one.nominal * (INCH if one.unit == "in" else 1.0)),
                *one.band_mm,
                judgement.HEXAGON_WEIGHT.get(entry.name, 1.0),
            )
            for entry in HEXAGON_SERIES
            if entry.of in ("both", "head")
            for one in hexagons_of(entry.name)
        ]
    )


def _alike(heads: np.ndarray, major: np.ndarray) -> np.ndarray:
    """Share of each standard head among those for about each diameter; noughts where there is none. (n, h)"""
    away = np.log(heads[None, :, 0] / major[:, None]) / judgement.ALIKE_SPREAD_LOG
    near = np.where(np.abs(away) < 4, np.exp(-0.5 * away**2) * heads[None, :, 3], 0.0)
    total = near.sum(axis=1, keepdims=True)
    return near / np.where(total > 0, total, 1.0)


def _head(threads: Threads, row: np.ndarray, world: World, rng: np.random.Generator) -> np.ndarray:
    """Size across flats of each head: of an own standard, perhaps worn, or of any size at all."""
    n, shares = len(row), threads.hexagons[row, :, 0]
    which = (np.cumsum(shares, axis=1) < rng.random((n, 1))).sum(axis=1).clip(0, shares.shape[1] - 1)
    least, largest = threads.hexagons[row, which, 1], threads.hexagons[row, which, 2]
    worn = rng.random(n) < np.minimum(judgement.WORN_HEXAGON * world.wear, 0.9)
    standard = rng.uniform(np.where(worn, (1 - judgement.HEXAGON_WEAR) * least, least), largest)
    ratio = judgement.FLATS_RATIO * np.exp(rng.normal(0, judgement.FLATS_SPREAD_LOG, n))
    foreign = (shares.sum(axis=1) == 0) | (rng.random(n) < judgement.FOREIGN_HEXAGON)
    major = threads.columns["major"][row]
    size = np.where(foreign, ratio * major, standard)
    heads = every_head()
    replaced = np.flatnonzero(foreign & (rng.random(n) < 0.5))
    chances = _alike(heads, major[replaced])
    some = chances.sum(axis=1) > 0
    replaced, chances = replaced[some], chances[some]
    pick = (np.cumsum(chances, axis=1) < rng.random((len(replaced), 1))).sum(axis=1).clip(0, len(heads) - 1)
    least, largest = heads[pick, 1], heads[pick, 2]
    bottom = np.where(worn[replaced], (1 - judgement.HEXAGON_WEAR) * least, least)
    size[replaced] = rng.uniform(bottom, largest)
    read = size + rng.normal(0, FLATS_U * world.noise, n)
    return np.maximum(np.round(read / DISPLAY_MM) * DISPLAY_MM, 0.5)


def chosen_leaves(pitch: np.ndarray, world: World, rng: np.random.Generator) -> np.ndarray:
    """The leaf with the least daylight for each pitch, or for what a dirty thread's seems to be."""
    seeming = np.where(
        rng.random(len(pitch)) < world.dirty,
        pitch * np.exp(rng.normal(0, judgement.COMB_POOR_SPREAD, len(pitch))),
        pitch,
    )[:, None]
    daylight = np.abs(LEAVES[None, :] / seeming - 1) * judgement.COMB_PITCHES * seeming
    daylight += rng.normal(0, EYE_MM * world.noise, daylight.shape)
    return LEAVES[np.argmin(daylight, axis=1)]


def draw(threads: Threads, n: int, world: World, seed: int) -> Sample:
    """n fasteners and their readings."""
    rng = np.random.default_rng(seed)
    row = rng.choice(len(threads.weight), size=n, p=threads.weight)
    pitch = threads.columns["pitch"][row]
    size = _true_size(threads, row, world, "major", rng)
    size = size + rng.normal(0, world.ovality, n) if world.ovality else size
    size = size + np.where(rng.random(n) < world.burrs, rng.uniform(0, BURR_MM, n), 0.0)
    major = size + rng.normal(0, CALIPER_U * world.noise, n)
    major = np.round(major / DISPLAY_MM) * DISPLAY_MM
    leaf = chosen_leaves(pitch, world, rng)
    wire = np.maximum(np.round(0.577 * leaf / judgement.WIRE_STEP_MM), 1) * judgement.WIRE_STEP_MM
    effective = _true_size(threads, row, world, "pitch_diameter", rng)
    true_wire = wire + rng.normal(0, WIRE_SIZE_U * world.noise, n)
    over = over_wires(threads, row, effective, true_wire) + rng.normal(0, WIRES_U * world.noise, n)
    flats = _head(threads, row, world, rng)
    return Sample(row, np.maximum(major, 0.3), leaf, over, wire, flats)


def leaf_chances(pitches: np.ndarray, world: World, draws: int = 4000, seed: int = 5) -> np.ndarray:
    """Chance of each leaf for each distinct pitch, by simulation; never quite nought."""
    rng = np.random.default_rng(seed)
    table = np.empty((len(pitches), len(LEAVES)))
    order = np.argsort(LEAVES)
    for k, pitch in enumerate(pitches):
        chosen = chosen_leaves(np.full(draws, pitch), world, rng)
        at = order[np.searchsorted(LEAVES[order], chosen - 1e-9)]
        table[k] = np.bincount(at, minlength=len(LEAVES))
    table += 0.01
    return table / table.sum(axis=1, keepdims=True)


def _zone_density(y, u, low, high, pitch, zones):
    total = np.zeros(np.broadcast(y, low).shape)
    tolerance = high - low
    for share, down, up, outside in zones:
        if share <= 0:
            continue
        bottom = low + down * pitch - outside * tolerance
        top = np.maximum(high + up * pitch + outside * tolerance, bottom + 1e-6)
        total += share * (ndtr((top - y) / u) - ndtr((bottom - y) / u)) / (top - bottom)
    return total


def size_density(threads: Threads, rows, dimension: str, y: np.ndarray, u, world: World) -> np.ndarray:
    """Density of sizes (n, 1) or (n, rows) for class rows, without burrs. (n, rows), [1/mm]"""
    names = (f"{dimension}_low", f"{dimension}_high", "pitch", "fall")
    low, high, pitch, fall = (threads.columns[name][rows] for name in names)
    zones = _zones(world, dimension)
    total = _zone_density(y, u, low, high, pitch, zones)
    taper = np.flatnonzero(fall > 0)
    if len(taper):  # read anywhere between the gauge plane and the small end
        at_gauge = np.broadcast_to(y, total.shape)[:, taper]
        total[:, taper] = np.mean(
            [
                _zone_density(at_gauge + place * fall[taper], u, low[taper], high[taper], pitch[taper], zones)
                for place in TAPER_PLACES
            ],
            axis=0,
        )
    return total


def _head_density(threads: Threads, rows: np.ndarray, flats: np.ndarray, world: World) -> np.ndarray:
    """Density of each size across flats for each row. (fasteners, rows), [1/mm]"""
    u = float(np.hypot(FLATS_U * world.noise, DISPLAY_MM / np.sqrt(12)))
    shares, least, largest = (threads.hexagons[rows, :, k] for k in range(3))
    worn = min(judgement.WORN_HEXAGON * world.wear, 0.9)
    y = flats[:, None]

    def density(low: np.ndarray, high: np.ndarray) -> np.ndarray:
        total = np.zeros((len(flats), len(low)))
        for part, bottom in ((1 - worn, low), (worn, (1 - judgement.HEXAGON_WEAR) * low)):
            inside = ndtr((high - y) / u) - ndtr((bottom - y) / u)
            total += part * inside / np.maximum(high - bottom, 1e-6)
        return total

    own = np.zeros((len(flats), len(rows)))
    for share, low, high in zip(shares.T, least.T, largest.T, strict=True):
        own += share * density(low, high)
    heads, major = every_head(), threads.columns["major"][rows]
    alike = _alike(heads, major)
    some = np.where(alike.sum(axis=1) > 0, 0.5, 0.0)
    other = density(heads[:, 1], heads[:, 2]) @ alike.T
    log_ratio = np.log(y / (judgement.FLATS_RATIO * major))
    total = np.hypot(judgement.FLATS_SPREAD_LOG, u / y)
    any_head = np.exp(-0.5 * (log_ratio / total) ** 2) / (np.sqrt(2 * np.pi) * total * y)
    foreign = np.where(shares.sum(axis=1) == 0, 1.0, judgement.FOREIGN_HEXAGON)
    return (1 - foreign) * own + foreign * (some * other + (1 - some) * any_head)


def bayes_optimal(threads: Threads, sample: Sample, world: World, kit: tuple[str, ...]):
    """Probability of every metal for every fastener: the best that anybody could do in that world.

    Returns the likeliest three metals (n, 3), their probabilities (n, 3), and the readings' density (n,).
    """
    columns = threads.columns
    metal = np.array(threads.metal)
    metals = metal.max() + 1
    pitches, which_pitch = np.unique(columns["pitch"], return_inverse=True)
    chances = leaf_chances(pitches, world)
    leaf_at = np.searchsorted(LEAVES, sample.leaf) if (np.diff(LEAVES) > 0).all() else None
    if leaf_at is None:
        order = np.argsort(LEAVES)
        leaf_at = order[np.searchsorted(LEAVES[order], sample.leaf - 1e-9)]
    u_major = np.sqrt((CALIPER_U * world.noise) ** 2 + world.ovality**2 + DISPLAY_MM**2 / 12)
    u_wires = np.hypot(WIRES_U * world.noise, 3 * WIRE_SIZE_U * world.noise)
    best, share = np.zeros((len(sample.row), 3), dtype=int), np.zeros((len(sample.row), 3))
    density_of = np.zeros(len(sample.row))
    order = np.argsort(sample.major)
    for piece in np.array_split(order, max(1, len(order) // 40)):
        y = sample.major[piece]
        near = (columns["major_high"] > y.min() - 1.0) & (
            columns["major_low"] - 0.6 * columns["pitch"] - columns["fall"] < y.max() + 1.0
        )
        rows = np.flatnonzero(near)
        density = (1 - world.burrs) * size_density(threads, rows, "major", y[:, None], u_major, world)
        if world.burrs:
            for part in (1 / 6, 1 / 2, 5 / 6):
                burred = y[:, None] - part * BURR_MM
                density += world.burrs / 3 * size_density(threads, rows, "major", burred, u_major, world)
        if "comb" in kit:
            density = density * chances[which_pitch[rows]][:, leaf_at[piece]].T
        if "wires" in kit:
            wire = sample.wire[piece][:, None]
            alpha = np.radians(columns["flank"][rows])
            above = wire * (1 + 1 / np.sin(alpha)) - columns["pitch"][rows] / 2 / np.tan(alpha)
            effective = sample.over_wires[piece][:, None] - above
            density = density * size_density(threads, rows, "pitch_diameter", effective, u_wires, world)
        if "flats" in kit:
            density = density * _head_density(threads, rows, sample.flats[piece], world)
        joint = density * threads.weight[rows]
        by_metal = np.zeros((len(piece), metals))
        np.add.at(by_metal.T, metal[rows], joint.T)
        total = by_metal.sum(axis=1, keepdims=True)
        density_of[piece] = total[:, 0]
        by_metal /= np.where(total > 0, total, 1.0)
        top = np.argsort(-by_metal, axis=1)[:, :3]
        best[piece], share[piece] = top, np.take_along_axis(by_metal, top, axis=1)
    return best, share, density_of
