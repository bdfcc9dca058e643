"""Fasteners identified in a second, against the ways one would otherwise write it.

Run: python tests/bench/throughput.py [N] [GREATEST]. Prints one JSON line and a sentence. N fasteners for
the rates; times by number of rows up to GREATEST (as N unless given). A rate is by the clock; beside it
stands what two idle cores would do by the processor time used, as other work slows the clock down.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy import stats
from scipy.spatial import cKDTree
from scipy.special import ndtr

from threadwright import judgement
from threadwright.batch import run_batch
from threadwright.batch_many import identify_many
from threadwright.batch_sums import end_cells
from threadwright.batch_window import survivors, window
from threadwright.instruments import comb_leaves
from threadwright.likelihood import CombColumn, LengthColumn, Observations, class_zones, log_none
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
    nearest = LEAVES[np.argmin(np.abs(LEAVES[None, :] - catalogue.pitch[:, None]), axis=1)]
    return major, nearest[row]


def observed(major: np.ndarray, leaf: np.ndarray, condition: str) -> Observations:
    n = len(major)
    return Observations(
        n=n,
        condition=condition,
        lengths={"major": LengthColumn(major, np.full(n, U_MAJOR))},
        comb=CombColumn(leaf, np.full(n, np.nan), ("inch", "metric")),
    )


def rates(work, n: int, repeats: int = 5) -> tuple[float, float]:
    """Median rates a second: by the clock, and of two idle cores by the processor time used."""
    work()
    clock, used = [], []
    for _ in range(repeats):
        start, cpu = time.perf_counter(), time.process_time()
        work()
        clock.append(time.perf_counter() - start)
        used.append(time.process_time() - cpu)
    return n / statistics.median(clock), 2 * n / statistics.median(used)


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


def frozen(n: int, most: int) -> float:
    """Rate of a loop over all threads, timed on the first ``most`` of them: each takes as long."""
    every = _boxes()
    low, high, pitch = (column[:most] for column in every)
    major, leaf = fasteners(n)

    def work() -> None:
        for y, p in zip(major, leaf, strict=True):
            for a, b, q in zip(low, high, pitch, strict=True):
                zone = stats.norm(y, U_MAJOR)
                (zone.cdf(b) - zone.cdf(a)) * stats.norm(q, U_PITCH).pdf(p)

    return rate(work, n, 1) * len(low) / len(every[0])


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


def ends_of(seen: Observations, classes: str) -> float:
    """Values of the normal distribution that one fastener takes, after all that can be left out is."""
    floor = np.log(judgement.NONE_OF_THESE) + log_none(seen) - 29.0
    pairs = survivors(seen, window(seen, floor, classes), floor, classes)
    cells = end_cells(seen.side, "major", seen.condition, classes, whole=True, u=U_MAJOR)
    place = ((seen.lengths["major"].value[pairs.obs] - cells.origin[pairs.cand]) / cells.step).astype(int)
    return float(cells.many[cells.start[pairs.cand] + place].sum() / seen.n)


def table_of(path: Path, n: int) -> None:
    major, leaf = fasteners(n)
    with path.open("w") as file:
        file.write("id,major [mm],pitch [mm]\n")
        rows = enumerate(zip(major, leaf, strict=True))
        file.writelines(f"r{i},{y:.3f},{p:.6f}\n" for i, (y, p) in rows)


def csv_rate(n: int, top: int) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "in.csv", Path(folder) / "out.csv"
        table_of(source, n)
        return rates(lambda: run_batch(source, target, top=top), n, 3)


CSV_ALONE = """
import sys
from threadwright.batch import run_batch
run_batch(sys.argv[1], sys.argv[2], top=1)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""


def csv_memory(n: int) -> float:
    """Greatest memory of a process that does nothing but a table. [MB]"""
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "in.csv", Path(folder) / "out.csv"
        table_of(source, n)
        command = [sys.executable, "-c", CSV_ALONE, str(source), str(target)]
        return float(subprocess.run(command, check=True, capture_output=True, text=True).stdout) / 1024


def seconds_of(n: int) -> float:
    seen = observed(*fasteners(n), "unknown")
    return n / rate(lambda: identify_many(seen, top=1), n, 1)


WAYS = {
    "usual_class_good": ("good", {"classes": "usual", "tabulate": True}),
    "usual_class_good_exact": ("good", {"classes": "usual"}),
    "all_classes_and_wear": ("unknown", {"tabulate": True}),
    "all_classes_and_wear_exact": ("unknown", {}),
}


def ours(n: int) -> dict[str, float]:
    major, leaf = fasteners(n)
    result = {}
    for name, (condition, options) in WAYS.items():
        seen = observed(major, leaf, condition)
        found = rates(lambda seen=seen, options=options: identify_many(seen, top=1, **options), n, 5)
        result[f"{name}_per_second"], result[f"{name}_per_second_by_cpu"] = found
    for top in (1, 3):
        found = csv_rate(n, top)
        result[f"csv_top_{top}_per_second"], result[f"csv_top_{top}_per_second_by_cpu"] = found
    return result


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    greatest = int(sys.argv[2]) if len(sys.argv) > 2 else n
    result = {"bench": "throughput", "n": n, **ours(n)}
    phi = machine_limit()
    few = fasteners(4000)
    for name, condition, classes in (("usual_good", "good", "usual"), ("all_unknown", "unknown", "all")):
        result[f"ndtr_limit_{name}_per_second"] = 2 * phi / ends_of(observed(*few, condition), classes)
    result |= {
        "frozen_distributions_per_second": frozen(1, 10 * n),
        "norm_cdf_loop_per_second": cdf_loop(200),
        "dense_per_second": dense(1000),
        "kd_tree_per_second": tree(n),
        "ndtr_per_second": phi,
    }
    sizes = [10**k for k in range(3, 8) if 10**k <= max(greatest, 1000)]
    result["seconds_by_rows"] = {str(size): round(seconds_of(size), 3) for size in sizes}
    result["csv_memory_MB_by_rows"] = {
        str(size): round(csv_memory(size)) for size in sizes if 10**4 <= size <= 10**6
    }
    print(json.dumps({k: round(v, 2) if isinstance(v, float) else v for k, v in result.items()}))
    told = {name: f"{value:,.0f}" for name, value in result.items() if isinstance(value, float)}
    print(
        f"{told['usual_class_good_per_second']} fasteners/s of the usual class in good condition (exactly: "
        f"{told['usual_class_good_exact_per_second']}), {told['all_classes_and_wear_per_second']}/s with all "
        f"classes and wear (exactly: {told['all_classes_and_wear_exact_per_second']}), CSV to CSV "
        f"{told['csv_top_1_per_second']} rows/s (K = 1) and {told['csv_top_3_per_second']} (K = 3); "
        f"a loop of frozen distributions does {result['frozen_distributions_per_second']:.2f}/s, norm.cdf "
        f"{told['norm_cdf_loop_per_second']}/s, dense broadcasting {told['dense_per_second']}/s, a "
        f"KD-tree {told['kd_tree_per_second']}/s."
    )


if __name__ == "__main__":
    main()
