"""Where the project's own files are: beside tests/, or in the folder that THREADWRIGHT_ROOT names."""

import os
from pathlib import Path

ROOT = Path(os.environ.get("THREADWRIGHT_ROOT") or Path(__file__).resolve().parent.parent)
