"""The shadow of one screw, drawn into samples/scan-screw.png for the README's example.

Run by hand: ``python tests/bench/scan_sample.py``. The screw is that of the press's ink-disc bracket, a worn
3/8-20 BSF of medium class, as a flatbed scanner of 1200 dpi with a lamp on one side might show it.
"""

import sys
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))

from helicoid import Shadow, draw

OUT = Path(__file__).parents[2] / "samples" / "scan-screw.png"
SCREW = Shadow(
    form="55 round",
    pitch=1.27,
    major=9.41,
    threads=10.8,
    turn=1.5,
    stretch=1.001,
    blur=1.1,
    noise=0.004,
    penumbra=0.15,
    margin=30,
    seed=1926,
)


STEP = 15  # 18 grey levels keep the file small


def main() -> int:
    """Draw, and say how large the file is."""
    levels = np.round(draw(SCREW) / STEP).astype(np.uint8) * STEP
    Image.fromarray(levels).save(OUT, optimize=True)
    print(f"{OUT}: {OUT.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
