"""Time of the search for change wheels over a full set: python tests/bench/change_wheels.py."""

import statistics
import time
from fractions import Fraction

from threadwright.repair.change_wheels import best_trains

FULL_SET = (*range(20, 105, 5), 21, 38, 44, 46, 52, 54, 56, 63, 80, 127)
INCH = Fraction("25.4")


def main() -> None:
    """Print the median time for metric and inch threads, on inch and metric leadscrews."""
    for lead in (Fraction("1.25"), Fraction("0.81"), INCH / 26):
        for leadscrew in (INCH / 8, Fraction(3)):
            times = []
            for _ in range(9):
                start = time.perf_counter()
                best = best_trains(lead, leadscrew=leadscrew, wheels=FULL_SET)[0]
                times.append(time.perf_counter() - start)
            median = 1000 * statistics.median(times)
            print(
                f"lead {float(lead):.4f} mm, leadscrew {float(leadscrew):.3f} mm: {best}, "
                f"{best.error_ppm:+.0f} ppm, {median:.1f} ms"
            )


if __name__ == "__main__":
    main()
