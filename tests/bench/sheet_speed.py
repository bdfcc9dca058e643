"""How long a job file takes to become a PDF, beside what importing reportlab alone takes.

Run by hand: ``python tests/bench/sheet_speed.py``. Each figure is the median of five processes.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

JOB = Path(__file__).parents[2] / "samples" / "press-ink-disc-bracket.toml"
ROUNDS = 5
LIMIT = 1.0  # seconds beyond the import


def seconds(*words: str) -> float:
    """Wall time of one Python process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> int:
    """Print both medians and their difference; status 1 if it is over the limit."""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder, "bush.pdf"))
        job = ("-m", "threadwright", "repair", "--job", str(JOB), "--sheet", out)
        pairs = [(seconds("-c", "import reportlab"), seconds(*job)) for _ in range(ROUNDS)]
    bare, whole = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(f"import reportlab {bare:.3f} s, job to PDF {whole:.3f} s, difference {whole - bare:.3f} s")
    return int(whole - bare >= LIMIT)


if __name__ == "__main__":
    sys.exit(main())
