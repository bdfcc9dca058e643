"""``python -m threadwright``."""

import sys

from threadwright.cli import run

if __name__ == "__main__":
    sys.exit(run())
