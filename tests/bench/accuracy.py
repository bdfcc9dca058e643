"""How often the right thread comes first: against the Bayes-optimal limit, a chart and nearest neighbours.

Run: python tests/bench/accuracy.py [N]. Prints one JSON line and a sentence for each kit and world.
"""

from __future__ import annotations

import json
import sys
import time

import numpy as np
import simulator
from scipy.spatial import cKDTree

from threadwright.batch_many import identify_many
from threadwright.observations import CombColumn, FlatsColumn, LengthColumn, Observations, WireColumn
from threadwright.tables.catalogue import candidates

KITS = {
    "caliper": (),
    "caliper and comb": ("comb",),
    "caliper, comb and wires": ("comb", "wires"),
    "caliper, comb, wires and across flats": ("comb", "wires", "flats"),
    "caliper, comb and across flats": ("comb", "flats"),
}
NEIGHBOURS = 60  # nearest by diameter and pitch, among which the other readings choose


def observations(sample: simulator.Sample, kit: tuple[str, ...]) -> Observations:
    n = len(sample.row)
    u = np.full(n, simulator.CALIPER_U)
    comb = wires = None
    if "comb" in kit:
        comb = CombColumn(sample.leaf, np.full(n, np.nan), ("inch", "metric"))
    if "wires" in kit:
        wires = WireColumn(
            sample.over_wires,
            np.full(n, simulator.WIRES_U),
            sample.wire,
            np.full(n, simulator.WIRE_SIZE_U),
        )
    flats = None
    if "flats" in kit:
        flats = FlatsColumn(sample.flats, np.full(n, simulator.FLATS_U), "head")
    lengths = {"major": LengthColumn(sample.major, u)}
    return Observations(n=n, lengths=lengths, comb=comb, over_wires=wires, flats=flats)


def metal_of_candidates(threads: simulator.Threads) -> np.ndarray:
    """The simulation's metal of every candidate of the catalogue, -1 if it draws none."""
    drawn = np.unique(threads.metal)
    every = np.arange(len(candidates()))
    return np.where(np.isin(every, drawn), every, -1)


def _interval(share: float, n: int) -> float:
    return 1.96 * float(np.sqrt(max(share * (1 - share), 1e-9) / n))


def calibration(first: np.ndarray, right: np.ndarray) -> float:
    """Mean gap between probability and share right, over ten bins of equal count."""
    order = np.argsort(first)
    bins = np.array_split(order, 10)
    return float(np.mean([abs(first[b].mean() - right[b].mean()) for b in bins]))


def nearest(threads: simulator.Threads, sample: simulator.Sample, kit: tuple[str, ...], *, chart: bool):
    """Row of the nearest nominal in a chart, or of the nearest middle of the limits by all readings."""
    columns = threads.columns
    size = columns["major_high"] if chart else (columns["major_high"] + columns["major_low"]) / 2
    scale = (1.0, 0.15) if chart else (0.05, 0.02)
    parts = [size / scale[0]]
    read = [sample.major / scale[0]]
    if "comb" in kit:
        parts.append(np.log(columns["pitch"]) / scale[1])
        read.append(np.log(sample.leaf) / scale[1])
    tree = cKDTree(np.stack(parts, axis=1))
    far, near = tree.query(np.stack(read, axis=1), k=1 if chart else NEIGHBOURS)
    if chart:
        return near
    squares = far**2
    if "wires" in kit:
        middle = (columns["pitch_diameter_low"][near] + columns["pitch_diameter_high"][near]) / 2
        over = simulator.over_wires(threads, near, middle, sample.wire[:, None])
        squares += ((sample.over_wires[:, None] - over) / 0.05) ** 2
    if "flats" in kit:
        share, least, largest = (threads.hexagons[near, :, k] for k in range(3))
        apart = np.abs(sample.flats[:, None, None] - (least + largest) / 2) / 0.1
        squares += np.where(share > 0, apart, 3.0).min(axis=2) ** 2
    return near[np.arange(len(near)), squares.argmin(axis=1)]


def run(n: int, kit_name: str, world_name: str, world: simulator.World) -> dict[str, object]:
    kit = KITS[kit_name]
    threads = simulator.load(world)
    sample = simulator.draw(threads, n, world, seed=20)
    metal = np.array(threads.metal)
    true = metal[sample.row]
    best, share, _ = simulator.bayes_optimal(threads, sample, world, kit)
    start = time.perf_counter()
    ranked = identify_many(observations(sample, kit), top=3)
    seconds = time.perf_counter() - start
    mine = metal_of_candidates(threads)[ranked.index]
    right, could = mine[:, 0] == true, best[:, 0] == true
    # no simulated screw is of no table, while the probability printed allows for such
    listed = ranked.probability[:, 0] / np.maximum(1 - ranked.none_of_these, 1e-12)
    behind = could.astype(float) - right
    result = {
        "bench": "accuracy",
        "world": world_name,
        "kit": kit_name,
        "n": n,
        "first": float(right.mean()),
        "first_interval_95": _interval(float(right.mean()), n),
        "in_three": float((mine == true[:, None]).any(axis=1).mean()),
        "limit_first": float(could.mean()),
        "behind_limit": float(behind.mean()),
        "behind_limit_interval_95": float(1.96 * behind.std() / np.sqrt(n)),
        "limit_in_three": float((best == true[:, None]).any(axis=1).mean()),
        "chart": float((metal[nearest(threads, sample, kit, chart=True)] == true).mean()),
        "nearest_neighbour": float((metal[nearest(threads, sample, kit, chart=False)] == true).mean()),
        "calibration": calibration(ranked.probability[:, 0], right),  # as printed
        "calibration_if_listed": calibration(listed, right),
        "limit_calibration": calibration(share[:, 0], could),
        "rows_per_second": n / seconds,
    }
    print(json.dumps({k: round(v, 4) if isinstance(v, float) else v for k, v in result.items()}))
    percent = {k: f"{100 * v:.1f}" for k, v in result.items() if isinstance(v, float)}
    print(
        f"{kit_name}, {world_name}: right first {percent['first']} % (+- {percent['first_interval_95']}), "
        f"limit {percent['limit_first']} % ({percent['behind_limit']} +- "
        f"{percent['behind_limit_interval_95']} behind), in the first three {percent['in_three']} % against "
        f"{percent['limit_in_three']} %; chart {percent['chart']} %, nearest neighbour "
        f"{percent['nearest_neighbour']} %; calibration {result['calibration']:.3f}."
    )
    return result


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    worlds = {
        "the model is true": simulator.PLAIN,
        "with ovality and burrs": simulator.BELIEVED,
        "noise, wear and classes off by two": simulator.OFF_BY_TWO,
    }
    for world_name, world in worlds.items():
        for kit_name in KITS:
            run(n, kit_name, world_name, world)


if __name__ == "__main__":
    main()
