"""Building every thread of every system, beyond importing numpy; medians, round-robin in fresh processes.

Run: python tests/bench/catalogue.py [ROUNDS]. Prints one JSON line and a sentence.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import time

BUILD = (
    "from threadwright.tables.catalogue import candidates, class_rows; "
    "rows = candidates(); class_rows('external'); class_rows('internal')"
)
COMMANDS = {
    "numpy": "import numpy",
    "tables": "import numpy, threadwright.tables.catalogue",
    "catalogue": BUILD,
}
COUNT = f"{BUILD}; print(len(rows), sum(map(len, rows.names)))"
TARGET_MS = 30


def run(code: str, environment: dict[str, str]) -> tuple[float, float]:
    """Wall and processor time of one fresh process. [s]"""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, env=environment)
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 25
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in COMMANDS}
    for _ in range(rounds + 1):  # the first round fills the caches of bytecode and files
        for name, code in COMMANDS.items():
            times[name].append(run(code, environment))

    def beyond(name: str, clock: int) -> float:
        pairs = zip(times[name][1:], times["numpy"][1:], strict=True)
        return round(1000 * statistics.median(one[clock] - numpy[clock] for one, numpy in pairs), 1)

    count = subprocess.run(
        [sys.executable, "-c", COUNT], check=True, env=environment, capture_output=True, text=True
    )
    distinct, names = map(int, count.stdout.split())
    result = {
        "bench": "catalogue",
        "rounds": rounds,
        "candidates": distinct,
        "names": names,
        "numpy_ms": round(1000 * statistics.median(wall for wall, _ in times["numpy"][1:]), 1),
        "import_beyond_numpy_ms": beyond("tables", 0),
        "build_beyond_numpy_ms": beyond("catalogue", 0),
        "import_processor_ms": beyond("tables", 1),
        "build_processor_ms": beyond("catalogue", 1),
    }
    print(json.dumps(result))
    print(
        f"All {names} threads ({distinct} distinct) with the limits of both sides are built in "
        f"{result['build_beyond_numpy_ms']} ms beyond importing numpy (target {TARGET_MS}; processor time "
        f"{result['build_processor_ms']} ms), {result['import_beyond_numpy_ms']} ms of them to import the "
        "tables."
    )


if __name__ == "__main__":
    main()
