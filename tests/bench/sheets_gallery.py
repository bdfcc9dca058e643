"""Twenty jobs across systems, metals and spigots, drawn and laid side by side in samples/sheets.png.

Run by hand: ``python tests/bench/sheets_gallery.py [FOLDER]``; needs pdftoppm (poppler-utils) and Pillow.
Every sheet comes from the planner, as ``repair --job FILE --sheet OUT`` writes it. With a folder the pages
are kept there at full size.
"""

import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from threadwright.job import job_from_tables, plan_job
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import BushDrawing, Title
from threadwright.sheet.from_plan import bush_drawing
from threadwright.sheet.pdf import to_pdf

OUT = Path(__file__).parents[2] / "samples" / "sheets.png"
DPI = 50
FULL_DPI = 110
ACROSS = 10  # pages in a row

Tables = dict[str, Any]


def job(part: str, metal: str, depth: str, thread: str | Tables, **more: Tables) -> Tables:
    """One job as its file would say it."""
    fastener = {"designation": thread} if isinstance(thread, str) else thread
    return {
        "fastener": fastener,
        "hole": {"depth": depth, **more.pop("hole", {})},
        "parent": {"material": metal, "part": part, **more.pop("parent", {})},
        "sheet": {"date": "2026-11-25", "drawn_by": "the workshop", **more.pop("sheet", {})},
        **more,
    }


def bores(*millimetres: float) -> list[str]:
    """Readings of a mating bore."""
    return [f"{one:g} mm" for one in millimetres]


BLIND, THROUGH = {"through": False}, {"through": True}
INCH: Tables = {"unit": "in", "paper": "Letter"}
DRIVEN = {kind: {"driving": kind} for kind in ("slot", "two holes", "flats")}
JOBS: tuple[Tables, ...] = (
    # spigots on a register collar
    job("ink-disc bracket foot", "cast iron", "26 mm", "3/8-20 BSF", hole=BLIND | {"floor": "12 mm"},
        locate={"mating_bore": bores(16.02, 16.03, 16.02, 16.04), "mating_depth": "8 mm", "fit": "snug",
                "bored_from": "mating part"}, bush=DRIVEN["slot"], parent={"boss": "50 mm"}),
    job("drill column bracket", "cast iron", "30 mm", "M10x1.5", hole=THROUGH,
        locate={"mating_bore": bores(18.01, 18.02, 18.01, 18.01), "mating_depth": "12 mm", "collar": "26 mm",
                "collar_length": "3 mm", "bored_from": "spigot seat"}, bush=DRIVEN["two holes"]),
    job("separator <script>foot</script>", "cast aluminium", "24 mm", "M6x1", hole=BLIND,
        locate={"mating_bore": bores(12.02, 12.03, 12.02, 12.02), "mating_depth": "6 mm", "flush": "0.03 mm"},
        bush=DRIVEN["flats"]),
    job("treadle bracket", "SG iron", "32 mm", "7/16-14 UNC", hole=BLIND | {"floor": "15 mm"}, sheet=INCH,
        locate={"mating_bore": ["0.7505 in", "0.7510 in", "0.7505 in", "0.7507 in"],
                "mating_depth": "3/8 in", "register_fit": "k6"}, bush=DRIVEN["slot"],
        lathe={"leadscrew": "8 tpi", "wheels": [20, 30, 40, 50, 55, 60, 63, 65, 70, 75, 80],
               "dial": "diameter", "division": "0.001 in"}),
    job("feed board bracket", "cast iron", "20 mm", "1/4-20 BSW", hole=BLIND,
        locate={"spigot": "12 mm", "bored_from": "hole pattern"}),
    job("drill base foot", "grey iron", "45 mm", "M16x2", hole=BLIND | {"floor": "25 mm", "edge": "45 mm"},
        locate={"mating_bore": bores(26.01, 26.02, 26.01, 26.02), "mating_depth": "10 mm", "fit": "press",
                "collar": "34 mm"},
        bush=DRIVEN["two holes"]),
    job("oil cup foot", "bronze", "14 mm", "2 BA", hole=BLIND,
        locate={"mating_bore": bores(9.02, 9.02, 9.03, 9.02), "mating_depth": "5 mm"}, bush=DRIVEN["slot"]),
    job("delivery table foot", "cast iron", "28 mm", "3/8-16 BSW LH", hole=BLIND,
        locate={"mating_bore": bores(17.01, 17.02, 17.01, 17.01), "mating_depth": "7 mm"}),
    # registers without a spigot
    job("scale plate", "cast aluminium", "18 mm", "No. 10-32 UNF", hole=BLIND, sheet=INCH,
        locate={"register": "collar", "collar": "13 mm", "bored_from": "hole pattern"},
        bush=DRIVEN["two holes"]),
    job("separator spout bracket", "cast iron", "24 mm", "5/16-18 BSW", hole=BLIND,
        locate={"seat": bores(16.01, 16.02), "bored_from": "spigot seat"}),
    job("top cover", "cast aluminium", "30 mm", "M8x1.25", hole=BLIND, locate={"register": "pilot"}),
    job("ink table foot", "cast iron", "18 mm", "M8x1.25", hole=BLIND, locate={"register": "none"},
        bush={"collar": True, "driving": "slot"}),
    # plain bushes
    job("ink table foot", "cast iron", "12 mm", "M5x0.8", parent={"boss": "30 mm"}),
    job("feed board bracket", "cast iron", "16 mm", "1/4-20 BSW", hole=THROUGH, sheet=INCH,
        bush=DRIVEN["slot"]),
    job("separator lid bracket", "zinc die casting", "14 mm", "M6x1", parent={"boss": "45 mm"}),
    job("top cover", "magnesium", "20 mm", "M8x1.25", hole=THROUGH, bush=DRIVEN["flats"]),
    job("drill column bracket", "cast iron", "25 mm", "3/8-16 UNC", sheet={"paper": "Letter"},
        parent={"boss": "60 mm"}),
    job("treadle bracket", "cast iron", "20 mm", "5/16-22 BSF", hole=THROUGH),
    # threads in doubt
    job("top cover", "cast aluminium", "16 mm", {"major": "5.92 mm", "pitch": "1 mm", "condition": "worn"},
        parent={"boss": "40 mm"}),
    job("bracket foot", "cast iron", "24 mm", {"major": "7.86 mm", "pitch": "1.25 mm", "condition": "worn"},
        hole=BLIND, locate={"mating_bore": bores(15.02, 15.03, 15.02, 15.02), "mating_depth": "6 mm"}),
)  # fmt: skip


def planned(tables: Tables) -> BushDrawing:
    """The drawing of a job as the planner finds it."""
    asked = job_from_tables(tables, where=lambda section, key: f"{section} {key}")
    answer = plan_job(asked)
    assert answer.leading is not None
    title = Title(
        part=asked.parent.part or "",
        bush_material=answer.leading.bush.material,
        parent_material=answer.leading.parent,
        date=asked.sheet.date,
        drawn_by=asked.sheet.drawn_by,
    )
    return bush_drawing(
        answer,
        title=title,
        through=asked.hole.through,
        boss_mm=asked.parent.boss,
        floor_mm=asked.hole.floor,
        unit=asked.sheet.unit,
        paper=asked.sheet.paper,
    )


def pictures(path: Path, dpi: int) -> list[Path]:
    """The pages of a PDF file as pictures beside it."""
    stem = path.with_name(f"{path.stem}-{dpi}")
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", str(path), str(stem)], check=True)
    return sorted(path.parent.glob(f"{stem.name}-*.png"))


def main() -> int:
    """Draw all jobs and lay their pages side by side."""
    from PIL import Image

    kept = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    pages = []
    with tempfile.TemporaryDirectory() as folder:
        for number, tables in enumerate(JOBS, 1):
            path = Path(kept or folder, f"{number:02}.pdf")
            path.write_bytes(to_pdf(compose(planned(tables))))
            if kept is not None:
                pictures(path, FULL_DPI)
            for picture in pictures(path, DPI):
                with Image.open(picture) as page:
                    pages.append(page.convert("L"))
    wide, high = max(page.width for page in pages), max(page.height for page in pages)
    rows = -(-len(pages) // ACROSS)
    sheet = Image.new("L", (ACROSS * (wide + 6), rows * (high + 6)), 160)
    for number, page in enumerate(pages):
        sheet.paste(page, ((number % ACROSS) * (wide + 6) + 3, (number // ACROSS) * (high + 6) + 3))
    sheet.quantize(16).save(OUT, optimize=True)
    print(f"{len(JOBS)} jobs, {len(pages)} pages: {OUT.name}, {OUT.stat().st_size // 1024} KiB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
