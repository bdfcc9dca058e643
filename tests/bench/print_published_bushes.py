"""Print our own pick beside each published locked bush, with root and hole withheld, and why it differs.

Run it with the tests folder on the path: ``PYTHONPATH=tests python tests/bench/print_published_bushes.py``.
Behind the list it prints one JSON line and a sentence.
"""

from __future__ import annotations

import json

from published_bushes import differs, pairs


def main() -> None:
    """One line for each pair, then how many there are of each kind."""
    reasons = []
    print(f"{'document':16} {'inner':14} {'theirs':14} {'ours':14} why")
    for row in pairs():
        pick, why = differs(row)
        print(f"{row.document:16} {row.inner:14} {row.outer:14} {pick:14} {why}")
        reasons.append(why)
    counts = {
        "pairs": len(reasons),
        "same": reasons.count("the same"),
        "refused_as_standard": sum(why.startswith("theirs refused as standard") for why in reasons),
    }
    counts["other"] = counts["pairs"] - counts["same"] - counts["refused_as_standard"]
    print(json.dumps({"bench": "print_published_bushes", **counts}))
    print(
        f"Of {counts['pairs']} published pairs of threads {counts['same']} are picked the same, "
        f"{counts['refused_as_standard']} are refused on their wall at the standard root, and "
        f"{counts['other']} differ for another reason."
    )


if __name__ == "__main__":
    main()
