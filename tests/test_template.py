"""The template measured: its bar and its profiles in every kind of file, and every series on both papers."""

from __future__ import annotations

import base64
import json
import re
import subprocess
import zlib
from pathlib import Path
from shutil import which
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from command_line import run
from threadwright.sheet.dxf import to_dxf
from threadwright.sheet.model import PAPERS, Polyline, Sheet, Text
from threadwright.sheet.pdf import to_pdf
from threadwright.sheet.svg import to_svg
from threadwright.sheet.template import compose_template
from threadwright.tables.registry import SYSTEMS, series

MM = 72 / 25.4
SVG = "{http://www.w3.org/2000/svg}"
BAR = 100.0


@pytest.fixture(scope="module")
def bsf() -> Sheet:
    return compose_template("BSF")


def pdf_drawing(sheet: Sheet) -> list[str]:
    """The drawing operators of each page, in the PDF."""
    streams = re.findall(rb"stream\r?\n(.*?)endstream", to_pdf(sheet), re.DOTALL)
    return [
        zlib.decompress(base64.a85decode(b"<~" + one.strip(), adobe=True)).decode("latin-1")
        for one in streams
    ]


def widths(paths: list[str]) -> list[float]:
    """How wide each path of an SVG is. [mm]"""
    found = []
    for path in paths:
        across = [float(x) for x in re.findall(r"[ML]\s*([-\d.]+)", path)]
        found.append(round(max(across) - min(across), 6))
    return found


# --- true size ----------------------------------------------------------------------------------------------


def test_the_bar_is_100_mm_in_svg_and_pdf_and_dxf(bsf: Sheet, tmp_path: Path) -> None:
    root = ElementTree.fromstring(to_svg(bsf))
    filled = [one.get("d", "") for one in root.iter(f"{SVG}path") if "stroke:none" in one.get("style", "")]
    assert BAR == max(widths(filled))
    (page,) = pdf_drawing(bsf)
    scale = re.search(r"(2[\d.]+) 0 0 \1 0 0 cm", page)
    assert scale is not None
    ends = re.findall(r"n ([\d.]+) ([\d.]+) m ([\d.]+) \2 l [\d. l]+ h\nf", page)
    drawn = max(float(end) - float(start) for start, _, end in ends) * float(scale[1]) / MM
    assert BAR == pytest.approx(drawn, abs=1e-4)
    import ezdxf

    library: Any = ezdxf
    path = tmp_path / "bsf.dxf"
    path.write_bytes(to_dxf(bsf))
    solids = [
        [float(point[0]) for point in one.wcs_vertices()]
        for one in library.readfile(path).modelspace().query("SOLID")
    ]
    assert BAR == pytest.approx(max(max(xs) - min(xs) for xs in solids), abs=1e-6)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_on_the_printed_page_the_bar_is_100_mm_within_a_tenth(paper: str, tmp_path: Path) -> None:
    renderer = which("pdftoppm")
    if renderer is None:
        pytest.skip("no pdftoppm here to draw the page as a printer would")
    path, dpi = tmp_path / "bsf.pdf", 600
    path.write_bytes(to_pdf(compose_template("BSF", paper=paper)))
    command = [renderer, "-r", str(dpi), "-gray", "-f", "1", "-l", "1", str(path), str(tmp_path / "page")]
    subprocess.run(command, check=True, timeout=60)
    head, _, rest = next(tmp_path.glob("page*.pgm")).read_bytes().partition(b"\n255\n")
    columns, rows = map(int, head.split()[1:3])
    assert PAPERS[paper] == pytest.approx((columns / dpi * 25.4, rows / dpi * 25.4), abs=0.05)
    dark = np.frombuffer(rest, np.uint8).reshape(rows, columns) < 128
    runs = [_longest_run(row) / dpi * 25.4 for row in dark[int(rows * 0.9) :]]
    bar = [run for run in runs if 95 < run < 105]
    assert len(bar) > 5  # the bar is half a millimetre thick
    assert [] == [run for run in bar if abs(run - BAR) >= 0.1]


def _longest_run(row: Any) -> int:
    """Most dark pixels beside each other."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return int(np.max(edges[1::2] - edges[::2], initial=0))


def test_each_profile_is_drawn_with_its_own_pitch(bsf: Sheet) -> None:
    paths = [one.get("d", "") for one in ElementTree.fromstring(to_svg(bsf)).iter(f"{SVG}path")]
    found = set()
    for path in paths:
        points = [(float(x), float(y)) for x, y in re.findall(r"[ML]\s*([-\d.]+)[ ,]([-\d.]+)", path)]
        if len(points) > 50:
            crest = min(y for _, y in points)  # y runs down the page
            tops = sorted(x for x, y in points if abs(y - crest) < 1e-6)
            found.add(round(25.4 / ((tops[-1] - tops[0]) / (len(tops) - 1)), 2))
    table = series("BSF")
    assert {round(1 / float(pitch), 2) for pitch in table.pitch} == found


# --- every series -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("symbol", [entry.symbol for entry in SYSTEMS])
def test_every_series_is_printable_with_all_its_pitches_inside_the_frame(symbol: str, paper: str) -> None:
    sheet = compose_template(symbol, paper=paper)
    width, height = PAPERS[paper]
    titles = [page.title for page in sheet.pages]
    assert [f"{symbol}, {n} of {len(titles)}" for n in range(1, len(titles) + 1)] == titles
    drawn = 0
    for page in sheet.pages:
        points = [point for one in page.entities if isinstance(one, Polyline) for point in one.points]
        assert 10 <= min(point.x for point in points) <= max(point.x for point in points) <= width - 10
        assert 10 <= min(point.y for point in points) <= max(point.y for point in points) <= height - 10
        assert [] == [
            text
            for text, box in page.labels()
            if not (10 <= box.left <= box.right <= width - 10 and 10 <= box.bottom <= box.top <= height - 10)
        ]
        bold = [one.text for one in page.entities if isinstance(one, Text) and one.bold]
        drawn += sum("pitch" in text and not text.startswith("Template") for text in bold)
        assert any(
            isinstance(one, Text) and one.text.startswith("Check bar 100 mm.") for one in page.entities
        )
    table = series(symbol)
    threads = [table.thread(row) for row in range(len(table))]
    assert len({(round(one.pitch_mm, 6), one.starts) for one in threads}) == drawn


# --- the command --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["BSF"], "--output: not given"),
        ([], ": not given"),
        (["-o", "x.pdf"], "SYSTEM: not given"),
        (["BSQ", "-o", "x.pdf"], "no thread system 'BSQ'"),
        (["BSF", "-o", "x.doc"], "end the name with"),
        (["BSF", "-o", "x"], "end the name with"),
        (["BSF", "-o", "no/such/folder/x.pdf"], "no/such/folder/x.pdf"),
        (["BSF", "-o", "x.pdf", "--paper", "A3"], "--paper: cannot be 'A3'; write A4 or Letter"),
        (["BSF", "BSW", "-o", "x.pdf"], "'BSW' belongs to no option"),
        (["BSF", "-o"], "-o: no value given; write -o FILE.pdf"),
    ],
)
def test_a_faulty_question_is_refused_in_one_line_and_writes_nothing(
    words: list[str],
    said: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert said in run(capsys, "template", *words).refusal
    assert [] == list(tmp_path.iterdir())


def test_the_json_says_what_was_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "m.svg"
    plain = json.loads(run(capsys, "template", "M", "-o", str(path), "--paper", "Letter", "--json").out)
    assert (1, "M", "Letter", 100) == (
        plain["schema_version"], plain["system"], plain["paper"], plain["check_bar_mm"],
    )  # fmt: skip
    assert ["M, 1 of 2", "M, 2 of 2"] == plain["pages"]
    assert path.stat().st_size > 1000
