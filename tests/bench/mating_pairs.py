"""How long it takes to put every screw of the catalogue into every hole, at three states of their limits.

Run it as ``python tests/bench/mating_pairs.py``: one line of JSON, and one sentence.
"""

from __future__ import annotations

import json
import time

from threadwright.dangers import count_outcomes, look_alikes
from threadwright.mating_sizes import STATES
from threadwright.tables.catalogue import candidates
from threadwright.tables.registry import find_thread


def main() -> None:
    """Time the tables, all pairs, and the look-alikes of one thread."""
    start = time.perf_counter()
    number = len(candidates())
    built = time.perf_counter()
    counts = {state: count_outcomes(state) for state in STATES}
    paired = time.perf_counter()
    found = look_alikes(find_thread("M6"), "internal", top=None)
    looked = time.perf_counter()
    pairs = len(STATES) * number**2
    answer = {
        "threads": number,
        "pairs": pairs,
        "tables_s": round(built - start, 3),
        "pairs_s": round(paired - built, 3),
        "look_alikes_s": round(looked - paired, 3),
        "outcomes": counts,
    }
    print(json.dumps(answer))
    print(
        f"{pairs} pairs of {number} threads at three states of their limits took {paired - built:.1f} s; "
        f"the {len(found)} look-alikes of one hole, {looked - paired:.2f} s."
    )


if __name__ == "__main__":
    main()
