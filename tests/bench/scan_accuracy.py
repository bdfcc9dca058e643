"""How well pictures are measured: many drawn shadows, one line of JSON and one sentence.

Run by hand: ``python tests/bench/scan_accuracy.py [COUNT] [PITCH]``. Three of four pictures have a known
scale, so that 280 hold 210 of those. A pitch given fixes it, to see ones finer than 1 mm.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from helicoid import Shadow, disc_box, draw, random_shadow
from threadwright import judgement
from threadwright.scan import Scale, ScanResult, scan
from threadwright.tables.errors import ThreadwrightError

_KNOWN = 2e-4  # a scale known to 0.02 %
_WAYS = ("known", "known", "disc", "dpi")


def errors_of(shadow: Shadow, result: ScanResult) -> dict[str, tuple[float, float]]:
    """Error and standard uncertainty: pitch in percent, the rest in mm and degrees."""
    truth = shadow.truth
    found: dict[str, tuple[float, float]] = {}
    for name in ("major", "minor", "pitch_diameter"):
        measured = getattr(result, name)
        found[name] = measured.value - truth[name], measured.u
    found["pitch"] = 100 * (result.pitch.value / truth["pitch"] - 1), 100 * result.pitch.u / truth["pitch"]
    found["flank_first"] = result.flank_first.value - truth["flank_angle"], result.flank_first.u
    found["flank_second"] = result.flank_second.value - truth["flank_angle"], result.flank_second.u
    found["taper"] = result.taper.value - truth["taper"], result.taper.u
    return found


def scale_errors(number: int) -> tuple[float, float]:
    """How far a scanner's dpi is off along the rows and down the columns, each for itself."""
    across, down = np.random.default_rng(5000 + number).normal(0.0, judgement.DPI_U_SHARE, 2)
    return float(across), float(down)


def picture_of(number: int, pitch: float | None) -> tuple[Shadow, str]:
    """One shadow, and how its scale is given."""
    way = _WAYS[number // 6 % len(_WAYS)]
    fixed: dict[str, float] = {"disc": 20.0} if way == "disc" else {}
    if way == "dpi":
        across, down = scale_errors(number)
        fixed = {"stretch": (1 + across) / (1 + down)}
    shadow = random_shadow(number, **fixed)
    if pitch is not None:
        shadow = random_shadow(number, pitch=pitch, major=shadow.major / shadow.pitch * pitch, **fixed)
    return shadow, way


def measured(shadow: Shadow, way: str, folder: Path) -> ScanResult:
    """Draw, save as a file, and measure."""
    path = folder / "shadow.png"
    Image.fromarray(draw(shadow)).save(path, compress_level=1)
    if way == "disc":
        return scan(path, scale_object="20.000 mm +- 0.004", box=disc_box(shadow))
    if way == "dpi":
        return scan(path, dpi=shadow.dpi * (1 + scale_errors(shadow.seed)[0]))
    return scan(path, scale=Scale(*shadow.step, _KNOWN))


def main(count: int, pitch: float | None) -> None:
    """Measure, and print."""
    errors: dict[str, dict[str, list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    forms, refused = set(), []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            shadow, way = picture_of(number, pitch)
            forms.add(shadow.form)
            try:
                result = measured(shadow, way, Path(folder))
            except ThreadwrightError as fault:
                refused.append(f"{number}: {fault}")
                continue
            kind = "dpi" if way == "dpi" else "known"
            for name, pair in errors_of(shadow, result).items():
                errors[kind][name].append(pair)
    table = {
        kind: {name: _figures(pairs) for name, pairs in by_name.items()} for kind, by_name in errors.items()
    }
    kinds = {kind: len(by_name["pitch"]) for kind, by_name in errors.items()}
    answer = {"pictures": count, "pitch": pitch, "measured": kinds, "forms": sorted(forms)}
    print(json.dumps(answer | {"refused": refused, "errors": table}))
    known = table["known"]
    covered = min(known[name]["covered"] for name in ("pitch", "major", "flank_first", "flank_second"))
    fixed = "pitch 1 mm and coarser" if pitch is None else f"pitch {pitch:g} mm"
    print(
        f"{count} pictures of {len(forms)} forms, {fixed}, {len(refused)} refused; of {kinds['known']} with "
        f"a known scale 95 % are within {known['pitch']['p95']:.3f} % of the pitch, "
        f"{known['major']['p95']:.4f} mm of the major diameter and "
        f"{max(known['flank_first']['p95'], known['flank_second']['p95']):.2f} deg of the flank angle; twice "
        f"the stated uncertainty covers at least {100 * covered:.1f} % of the errors."
    )


def _figures(pairs: list[tuple[float, float]]) -> dict[str, float]:
    """Median, 95 % and greatest error, and the share that twice the stated uncertainty covers."""
    error, u = np.abs([pair[0] for pair in pairs]), np.array([pair[1] for pair in pairs])
    return {
        "median": round(float(np.median(error)), 5),
        "p95": round(float(np.quantile(error, 0.95)), 5),
        "max": round(float(error.max()), 5),
        "bias": round(float(np.mean([pair[0] for pair in pairs])), 5),
        "u": round(float(np.median(u)), 5),
        "covered": round(float(np.mean(error <= 2 * u)), 3),
    }


if __name__ == "__main__":
    arguments = sys.argv[1:]
    main(int(arguments[0]) if arguments else 280, float(arguments[1]) if len(arguments) > 1 else None)
