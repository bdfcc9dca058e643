"""Print our own pick beside each published locked bush, with root and hole withheld, and why it differs.

Run it with the tests folder on the path: ``PYTHONPATH=tests python tests/bench/print_published_bushes.py``.
"""

from __future__ import annotations

from published_bushes import differs, pairs


def main() -> None:
    """One line for each pair."""
    print(f"{'document':16} {'inner':14} {'theirs':14} {'ours':14} why")
    for row in pairs():
        pick, why = differs(row)
        print(f"{row.document:16} {row.inner:14} {row.outer:14} {pick:14} {why}")


if __name__ == "__main__":
    main()
