"""Fasteners identified in a second, against the ways one would otherwise write it.

Run: python tests/bench/throughput.py [N]. Prints one JSON line and a sentence.
"""

from __future__ import annotations

import json
import resource
import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy import stats
from scipy.spatial import cKDTree
from scipy.special import ndtr

from threadwright.batch import run_batch
from threadwright.batch_many import identify_many
from threadwright.instruments import comb_leaves
from threadwright.likelihood import CombColumn, LengthColumn, Observations, class_zones
from threadwright.tables.catalogue import candidates, class_rows

LEAVES = np.array(comb_leaves(("inch", "metric")))
U_MAJOR, U_PITCH = 0.02, 0.01


def fasteners(n: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Major diameters and comb leaves of n screws of common sizes."""
    rng = np.random.default_rng(seed)
    catalogue = candidates()
    common = np.flatnonzero((catalogue.major > 2) & (catalogue.major < 40))
    row = rng.choice(common, n)
    major = catalogue.major[row] - rng.uniform(0, 0.15, n) * catalogue.pitch[row] + rng.normal(0, U_MAJOR, n)
    leaf = LEAVES[np.argmin(np.abs(LEAVES[None, :] - catalogue.pitch[row][:, None]), axis=1)]
    return major, leaf


def observed(major: np.ndarray, leaf: np.ndarray, condition: str) -> Observations:
    n = len(major)
    return Observations(
        n=n,
        condition=condition,
        lengths={"major": LengthColumn(major, np.full(n, U_MAJOR))},
        comb=CombColumn(leaf, np.full(n, np.nan), ("inch", "metric")),
    )


def rate(work, n: int, repeats: int = 5) -> float:
    seconds = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return n / statistics.median(seconds)


def _boxes() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    owner = class_rows("external").candidate
    low, high = class_zones("external", "major")
    return low, high, candidates().pitch[owner]


def frozen(n: int) -> float:
    low, high, pitch = _boxes()
    major, leaf = fasteners(n)

    def work() -> None:
        for y, p in zip(major, leaf, strict=True):
            for a, b, q in zip(low, high, pitch, strict=True):
                zone = stats.norm(y, U_MAJOR)
                (zone.cdf(b) - zone.cdf(a)) * stats.norm(q, U_PITCH).pdf(p)

    return rate(work, n, 1)


def cdf_loop(n: int) -> float:
    low, high, pitch = _boxes()
    major, leaf = fasteners(n)

    def work() -> None:
        for y, p in zip(major, leaf, strict=True):
            zone = stats.norm.cdf(high, y, U_MAJOR) - stats.norm.cdf(low, y, U_MAJOR)
            np.argmax(zone * stats.norm.pdf(pitch, p, U_PITCH))

    return rate(work, n)


def dense(n: int) -> float:
    low, high, pitch = _boxes()
    major, leaf = fasteners(n)

    def work() -> None:
        for part in range(0, n, 32):
            y, p = major[part : part + 32, None], leaf[part : part + 32, None]
            zone = ndtr((high - y) / U_MAJOR) - ndtr((low - y) / U_MAJOR)
            np.argmax(zone * np.exp(-0.5 * ((pitch - p) / U_PITCH) ** 2), axis=1)

    return rate(work, n)


def tree(n: int) -> float:
    low, high, pitch = _boxes()
    points = np.stack([(low + high) / 2 / U_MAJOR, pitch / U_PITCH], axis=1)
    major, leaf = fasteners(n)
    found = cKDTree(points)
    read = np.stack([major / U_MAJOR, leaf / U_PITCH], axis=1)
    return rate(lambda: found.query(read, k=16, workers=2), n)


def machine_limit() -> float:
    x = np.random.default_rng(0).uniform(-3, 3, 20_000)
    return rate(lambda: [ndtr(x) for _ in range(50)], 50 * len(x))


def csv_rate(n: int, top: int) -> float:
    major, leaf = fasteners(n)
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "in.csv", Path(folder) / "out.csv"
        with source.open("w") as file:
            file.write("id,major [mm],pitch [mm]\n")
            file.writelines(
                f"r{i},{y:.3f},{p:.6f}\n" for i, (y, p) in enumerate(zip(major, leaf, strict=True))
            )
        return rate(lambda: run_batch(source, target, top=top), n, 3)


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    major, leaf = fasteners(n)
    good, unknown = observed(major, leaf, "good"), observed(major, leaf, "unknown")
    identify_many(observed(major[:1000], leaf[:1000], "good"), top=1)
    result = {
        "bench": "throughput",
        "n": n,
        "good_per_second": rate(lambda: identify_many(good, top=1), n, 3),
        "all_classes_and_wear_per_second": rate(lambda: identify_many(unknown, top=1), n, 3),
        "csv_top_1_per_second": csv_rate(n, 1),
        "csv_top_3_per_second": csv_rate(n, 3),
        "frozen_distributions_per_second": frozen(1),
        "norm_cdf_loop_per_second": cdf_loop(200),
        "dense_per_second": dense(1000),
        "kd_tree_per_second": tree(n),
        "ndtr_per_second": machine_limit(),
        "memory_peak_MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }
    sizes = [10**k for k in range(3, 7) if 10**k <= max(n, 1000)]
    result["seconds_by_rows"] = {
        str(size): round(
            size / rate(lambda s=size: identify_many(observed(*fasteners(s), "unknown"), top=1), size, 1), 3
        )
        for size in sizes
    }
    print(json.dumps({k: round(v, 2) if isinstance(v, float) else v for k, v in result.items()}))
    rates = {name: f"{value:,.0f}" for name, value in result.items() if isinstance(value, float)}
    print(
        f"{rates['good_per_second']} fasteners/s in good condition, "
        f"{rates['all_classes_and_wear_per_second']}/s with all classes and wear, CSV to CSV "
        f"{rates['csv_top_1_per_second']} rows/s (K = 1) and {rates['csv_top_3_per_second']} (K = 3); "
        f"a loop of frozen distributions does {result['frozen_distributions_per_second']:.2f}/s, norm.cdf "
        f"{rates['norm_cdf_loop_per_second']}/s, dense broadcasting {rates['dense_per_second']}/s, a "
        f"KD-tree {rates['kd_tree_per_second']}/s."
    )


if __name__ == "__main__":
    main()
