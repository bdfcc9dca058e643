"""How long a job file takes to become a PDF, beside what importing reportlab alone takes.

Run by hand: ``python tests/bench/sheet_speed.py``. Each figure is the median of five processes.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "samples"
JOBS = ("press-ink-disc-bracket.toml", "milk-separator-foot.toml")  # a plain bush, and one with a spigot
ROUNDS = 5
LIMIT = 1.0  # seconds beyond the import


def seconds(*words: str) -> float:
    """Wall time of one Python process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def beyond_the_import(name: str) -> float:
    """Median time of one job less that of the import, printed. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder, "bush.pdf"))
        job = ("-m", "threadwright", "repair", "--job", str(SAMPLES / name), "--sheet", out)
        pairs = [(seconds("-c", "import reportlab"), seconds(*job)) for _ in range(ROUNDS)]
    bare, whole = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(f"{name}: import reportlab {bare:.3f} s, job to PDF {whole:.3f} s, beyond it {whole - bare:.3f} s")
    return whole - bare


def main() -> int:
    """Time both jobs; status 1 if one is over the limit."""
    return int(max(map(beyond_the_import, JOBS)) >= LIMIT)


if __name__ == "__main__":
    sys.exit(main())
