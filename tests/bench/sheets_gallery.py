"""Twenty jobs across systems, metals and spigots, drawn and laid side by side in samples/sheets.png.

Run by hand: ``python tests/bench/sheets_gallery.py``; needs pdftoppm (poppler-utils) and Pillow. Plain
bushes come from the planner; bushes with a spigot are given their sizes here, to show what can be drawn.
"""

import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from sheet_cases import drawn, full_bush, near
from threadwright.job import job_from_tables, plan_job
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import (
    Bore,
    BushDrawing,
    Driving,
    HoleDrawing,
    Inspection,
    Lists,
    Size,
    Step,
    Title,
    Undercut,
)
from threadwright.sheet.from_plan import bush_drawing
from threadwright.sheet.pdf import to_pdf

OUT = Path(__file__).parents[2] / "samples" / "sheets.png"
DPI = 50
ACROSS = 10  # pages in a row

# thread or readings, metal of the part, depth, boss, part, unit, paper
PLAIN: tuple[tuple[dict[str, str], str, str, str | None, str, str, str], ...] = (
    ({"designation": "M5x0.8"}, "cast iron", "12 mm", "30 mm", "ink table foot", "mm", "A4"),
    ({"designation": "M10x1.5"}, "cast aluminium", "30 mm", None, "belt cover", "mm", "A4"),
    ({"designation": "1/4-20 BSW"}, "cast iron", "16 mm", "35 mm", "feed board bracket", "in", "Letter"),
    ({"designation": "5/16-22 BSF"}, "cast iron", "20 mm", None, "treadle bracket", "mm", "A4"),
    ({"designation": "2 BA"}, "brass", "10 mm", "25 mm", "oil cup foot", "mm", "A4"),
    ({"designation": "3/8-16 UNC"}, "cast iron", "25 mm", "60 mm", "drill column bracket", "in", "Letter"),
    ({"designation": "No. 10-32 UNF"}, "cast aluminium", "12 mm", None, "scale plate", "in", "Letter"),
    ({"designation": "1/2-12 BSW"}, "SG iron", "32 mm", None, "drill base foot", "mm", "A4"),
    ({"designation": "M6x1"}, "zinc die casting", "14 mm", "45 mm", "separator spout bracket", "mm", "A4"),
    ({"designation": "M8x1.25"}, "magnesium", "20 mm", "60 mm", "top cover", "mm", "A4"),
    ({"major": "5.92 mm", "pitch": "1 mm", "condition": "worn"}, "cast aluminium", "16 mm", "40 mm",
     "belt cover", "mm", "A4"),
    ({"major": "0.372 in", "pitch": "20 tpi"}, "cast iron", "22 mm", None, "bracket foot", "mm", "A4"),
)  # fmt: skip

# outer thread, inner thread, spigot, collar, length, driving feature
SPIGOTS: tuple[tuple[str, str, float, float, float, str], ...] = (
    ("M14x1.5", "3/8-20 BSF", 16.0, 20.0, 26.0, "slot"),
    ("M10x1", "M6x1", 9.0, 14.0, 18.0, "flats"),
    ("M12x1.5", "5/16-18 BSW", 12.5, 16.0, 22.0, "slot"),
    ("M18x1.5", "1/2-13 UNC", 18.0, 24.0, 40.0, "two holes"),
    ("5/8-14 BSF", "7/16-18 BSF", 15.0, 22.0, 30.0, "slot"),
    ("M24x2", "M16x2", 24.0, 32.0, 60.0, "two holes"),
    ("3/4-16 UNF", "M10x1.5", 17.0, 25.0, 45.0, "flats"),
    ("M8x1", "2 BA", 8.0, 11.0, 14.0, "slot"),
)


def planned(row: tuple[dict[str, str], str, str, str | None, str, str, str]) -> BushDrawing:
    """A plain bush as the planner finds it."""
    fastener, metal, depth, boss, part, unit, paper = row
    parent: dict[str, str] = {"material": metal, "part": part} | ({} if boss is None else {"boss": boss})
    tables: dict[str, Any] = {"fastener": fastener, "hole": {"depth": depth}, "parent": parent}
    tables["sheet"] = {"date": "2026-11-25", "unit": unit, "paper": paper}
    job = job_from_tables(tables, where=lambda section, key: f"{section} {key}")
    answer = plan_job(job)
    assert answer.leading is not None
    title = Title(
        part=part,
        bush_material=answer.leading.bush.material,
        parent_material=answer.leading.parent,
        date="2026-11-25",
    )
    return bush_drawing(
        answer, title=title, boss_mm=job.parent.boss, unit=job.sheet.unit, paper=job.sheet.paper
    )


def with_spigot(
    outer: str, inner: str, spigot: float, collar: float, length: float, kind: str
) -> BushDrawing:
    """A bush that carries its spigot."""
    outside, inside = drawn(outer), drawn(inner)
    high, thick = 0.2 * spigot, 0.15 * collar
    clear = inside.major + 0.5
    deep = length - high + 0.5
    ring = (clear + spigot) / 2
    widths = {"slot": 0.15 * spigot, "flats": spigot - 1.0, "two holes": 0.4 * (spigot - clear)}
    step, register = near(spigot, 0.011, "h6"), near(collar, 0.013, "h6")
    measured = (
        Inspection(name="spigot", wanted=step, diameter=True),
        Inspection(name="register", wanted=register, diameter=True),
    )
    return replace(
        full_bush(),
        bush=replace(full_bush().bush, sizes=(), inspections=measured),
        hole_lists=Lists(operations=full_bush().hole_lists.operations),
        verdict="Sizes for the picture only; no strength was worked out.",
        title=replace(full_bush().title, part="ink-disc bracket foot"),
        outer=outside,
        inner=inside,
        length=near(length, 0.1),
        spigot=Step(diameter=step, length=near(high, 0.1)),
        collar=Step(diameter=register, length=near(thick, 0.02)),
        undercut=Undercut(diameter=near(outside.minor - 0.1, 0.1), width=near(1.5 * outside.pitch)),
        bore=Bore(diameter=near(clear), depth=near(high + thick, 0.2)),
        chamfer=0.8 * outside.pitch,
        countersink=Size(inside.major + 0.2),
        driving=Driving(
            kind=kind,  # type: ignore[arg-type]
            width=Size(round(widths[kind], 1)),
            depth=Size(round(0.4 * high, 1)),
            spacing=ring if kind == "two holes" else None,
        ),
        hole=HoleDrawing(
            thread=outside,
            drill=near(outside.minor + 0.1, 0.2),
            thread_depth=near(deep, 0.5),
            drill_depth=near(deep + 3 * outside.pitch, 0.5),
            counterbore=Bore(diameter=near(collar + 0.021, 0.021, "H7"), depth=near(thick, 0.02)),
            relief=Undercut(diameter=near(outside.major + 0.4), width=near(0.7)),
        ),
        not_settled=(),
    )


def main() -> int:
    """Draw all jobs and lay their pages side by side."""
    from PIL import Image

    drawings = [*map(planned, PLAIN), *(with_spigot(*row) for row in SPIGOTS)]
    pictures = []
    with tempfile.TemporaryDirectory() as folder:
        for number, drawing in enumerate(drawings):
            path = Path(folder, f"{number:02}.pdf")
            path.write_bytes(to_pdf(compose(drawing)))
            subprocess.run(
                ["pdftoppm", "-r", str(DPI), "-png", str(path), str(path.with_suffix(""))], check=True
            )
        for picture in sorted(Path(folder).glob("*.png")):
            with Image.open(picture) as page:
                pictures.append(page.convert("L"))
    wide, high = max(page.width for page in pictures), max(page.height for page in pictures)
    rows = -(-len(pictures) // ACROSS)
    sheet = Image.new("L", (ACROSS * (wide + 6), rows * (high + 6)), 160)
    for number, page in enumerate(pictures):
        sheet.paste(page, ((number % ACROSS) * (wide + 6) + 3, (number // ACROSS) * (high + 6) + 3))
    sheet.quantize(16).save(OUT, optimize=True)
    print(f"{len(drawings)} jobs, {len(pictures)} pages: {OUT.name}, {OUT.stat().st_size // 1024} KiB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
