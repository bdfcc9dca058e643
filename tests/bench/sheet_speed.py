"""How long a job file takes to become a PDF, beside what importing reportlab alone takes.

Run: python tests/bench/sheet_speed.py [ROUNDS]. Each figure is the median of so many processes. Prints one
JSON line and a sentence; the status is 1 if a job takes too long.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "samples"
JOBS = ("press-ink-disc-bracket.toml", "milk-separator-foot.toml")  # a plain bush, and one with a spigot
LIMIT = 1.0  # seconds beyond the import


def seconds(*words: str) -> float:
    """Wall time of one Python process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def timed(name: str, rounds: int) -> dict[str, float]:
    """Median times of one job, of the import, and of the job less the import. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder, "bush.pdf"))
        job = ("-m", "threadwright", "repair", "--job", str(SAMPLES / name), "--sheet", out)
        pairs = [(seconds("-c", "import reportlab"), seconds(*job)) for _ in range(rounds)]
    bare, whole = (statistics.median(column) for column in zip(*pairs, strict=True))
    return {"import_s": round(bare, 3), "job_s": round(whole, 3), "beyond_s": round(whole - bare, 3)}


def main() -> int:
    """Time both jobs; status 1 if one is over the limit."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    jobs = {name: timed(name, rounds) for name in JOBS}
    slowest = max(one["beyond_s"] for one in jobs.values())
    result = {"bench": "sheet_speed", "rounds": rounds, "limit_s": LIMIT, "slowest_beyond_s": slowest}
    print(json.dumps(result | {"jobs": jobs}))
    print(
        f"A job file becomes a PDF in at most {max(one['job_s'] for one in jobs.values())} s, {slowest} s "
        f"beyond importing reportlab (limit {LIMIT:g} s)."
    )
    return int(slowest >= LIMIT)


if __name__ == "__main__":
    sys.exit(main())
