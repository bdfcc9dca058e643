"""Time of the search for change wheels over a full set, for metric and inch threads and leadscrews.

Run: python tests/bench/change_wheels.py [REPEATS]. Prints one JSON line and a sentence.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from fractions import Fraction

from threadwright.repair.change_wheels import best_trains

FULL_SET = (*range(20, 105, 5), 21, 38, 44, 46, 52, 54, 56, 63, 80, 127)
INCH = Fraction("25.4")
LEADS = (Fraction("1.25"), Fraction("0.81"), INCH / 22)
LEADSCREWS = (INCH / 8, Fraction(3))


def searched(lead: Fraction, leadscrew: Fraction, repeats: int) -> dict[str, object]:
    """The best train of one thread on one lathe, and the median time of the search."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        best = best_trains(lead, leadscrew=leadscrew, wheels=FULL_SET)[0]
        times.append(time.perf_counter() - start)
    return {
        "lead_mm": round(float(lead), 4),
        "leadscrew_mm": float(leadscrew),
        "train": str(best),
        "error_ppm": round(best.error_ppm, 1),
        "ms": round(1000 * statistics.median(times), 1),
    }


def main() -> None:
    """Search for each thread on each leadscrew."""
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    found = [searched(lead, leadscrew, repeats) for lead in LEADS for leadscrew in LEADSCREWS]
    slowest = max(one["ms"] for one in found)
    worst = max(abs(one["error_ppm"]) for one in found)
    result = {"bench": "change_wheels", "repeats": repeats, "wheels": len(FULL_SET), "slowest_ms": slowest}
    print(json.dumps(result | {"worst_ppm": worst, "trains": found}))
    print(
        f"{len(found)} searches over {len(FULL_SET)} wheels took at most {slowest} ms each; the worst of the "
        f"best trains is {worst} ppm off."
    )


if __name__ == "__main__":
    main()
