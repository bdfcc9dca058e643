"""``python -m threadwright``."""

import sys

from threadwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
