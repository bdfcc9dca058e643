"""What the renderers write: SVG, PDF and DXF of the same sheet."""

import base64
import re
import sys
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from command_line import python
from sheet_cases import bushes, full_bush
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import BushDrawing
from threadwright.sheet.dxf import to_dxf
from threadwright.sheet.model import (
    LAYERS,
    Arc,
    Dimension,
    Hatch,
    Label,
    Line,
    Page,
    Point,
    Polyline,
    Sheet,
    Text,
)
from threadwright.sheet.pdf import to_pdf
from threadwright.sheet.svg import to_svg
from threadwright.sheet.write import ENDINGS, check_ending, render, write_sheet, write_whole
from threadwright.tables.errors import FileFaultError

SVG = "{http://www.w3.org/2000/svg}"
MM = 72 / 25.4


def hostile_sheet() -> Sheet:
    """A sheet whose words are codes in every form of file."""
    words = ("<script>alert(1)</script> & \"'", "%%d 50%% \\P {x}; ^J", "⌀ ⅜″ Łódź \x00\x1b", "")
    found = [Text(Point(30.0, 30.0 + 5.0 * row), text) for row, text in enumerate(words)]
    label = Label("Ø", upper="1/2;^", lower="\\P{}", after="%%c")
    dimensions = (
        Dimension("linear", Point(50, 100), Point(90, 100), 90.0, "x", label, Point(70, 95), scale=2.0),
        Dimension("diameter", Point(50, 110), Point(50, 140), 40.0, "y", label, Point(38, 125), half=True),
        Dimension("radius", Point(100, 110), Point(110, 120), 0.0, "points", Label("R14"), Point(115, 125)),
        Dimension("diameter", Point(100, 150), Point(110, 160), 0.0, "points", Label(""), Point(115, 165)),
    )
    shapes = (
        Hatch((Point(150, 150), Point(180, 150), Point(180, 170))),
        Arc(Point(100, 200), 10.0, "thread", 100.0, 350.0),
        Arc(Point(150, 200), 10.0, "outline"),
        Polyline((Point(20, 250), Point(40, 250)), "hidden"),
    )
    page = Page("Letter", '<a href="">', (*found, *dimensions, *shapes))
    return Sheet("<title> & more", (page, replace(page, paper="A4")), made_with="<made>")


def pdf_pages(content: bytes) -> list[str]:
    """The drawing operators of each page."""
    found = []
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", content, re.DOTALL):
        found.append(zlib.decompress(base64.a85decode(b"<~" + stream.strip(), adobe=True)).decode("latin-1"))
    return found


def dxf_document(content: bytes, folder: Path) -> Any:
    """The file as its library reads it again."""
    import ezdxf

    library: Any = ezdxf
    path = folder / "sheet.dxf"
    path.write_bytes(content)
    return library.readfile(path)


# --- the same bytes -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_same_sheet_gives_the_same_bytes(ending: str) -> None:
    assert render(compose(full_bush()), ending) == render(compose(full_bush()), ending)


@pytest.mark.parametrize("ending", ENDINGS)
def test_another_process_with_another_hash_seed_and_time_zone_gives_the_same_bytes(ending: str) -> None:
    code = (
        "import sys, hashlib; sys.path.insert(0, sys.argv[2]); from sheet_cases import full_bush\n"
        "from threadwright.sheet.bush import compose; from threadwright.sheet.write import render\n"
        "print(hashlib.sha256(render(compose(full_bush()), sys.argv[1])).hexdigest())"
    )
    folder = str(Path(__file__).parent)
    ran = {
        python(code, ending, folder, PYTHONHASHSEED=seed, TZ=zone).out
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }
    assert 1 == len(ran)
    assert 65 == len(ran.pop())


# --- SVG ----------------------------------------------------------------------------------------------------


@settings(max_examples=20)
@given(bushes())
def test_svg_is_well_formed_and_as_large_as_its_pages(bush: BushDrawing) -> None:
    sheet = compose(bush)
    root = ElementTree.fromstring(to_svg(sheet))
    width, height = max(page.width for page in sheet.pages), sum(page.height for page in sheet.pages)
    assert (f"{width:g}mm", f"{height:g}mm") == (root.get("width"), root.get("height"))
    assert f"0 0 {width:g} {height:g}" == root.get("viewBox")
    assert len(sheet.pages) == len(root.findall(f"{SVG}g"))


def test_svg_escapes_whatever_a_part_is_called() -> None:
    root = ElementTree.fromstring(to_svg(hostile_sheet()))
    assert [] == root.findall(f".//{SVG}script")
    assert "<script>alert(1)</script> & \"'" in [one.text for one in root.iter(f"{SVG}text")]
    assert "<title> & more" == root.findtext(f"{SVG}title")
    sheet = compose(replace(full_bush(), title=replace(full_bush().title, part="<script>x</script>")))
    root = ElementTree.fromstring(to_svg(sheet))
    assert "<script>x</script>" in [one.text for one in root.iter(f"{SVG}text")]


def test_each_svg_page_has_a_bar_of_100_mm_from_edge_to_edge() -> None:
    root = ElementTree.fromstring(to_svg(compose(full_bush())))
    for group in root.findall(f"{SVG}g"):
        filled = [one for one in group.iter(f"{SVG}path") if "stroke:none" in one.get("style", "")]
        corners = [[float(x) for x in re.findall(r"[ML]([\d.]+)", one.get("d", ""))] for one in filled]
        assert 100.0 in [round(max(xs) - min(xs), 6) for xs in corners]


def test_a_layer_keeps_its_weight_and_dashes_in_svg() -> None:
    text = to_svg(compose(full_bush())).decode()
    assert ".outline{fill:none;stroke:#000;stroke-width:0.5;" in text
    assert "stroke-dasharray:6 1 0.6 1}" in text


# --- PDF ----------------------------------------------------------------------------------------------------


def test_pdf_has_two_pages_of_the_size_of_the_paper() -> None:
    for paper, box in (("A4", (595.276, 841.89)), ("Letter", (612.0, 792.0))):
        content = to_pdf(compose(replace(full_bush(), paper=paper)))
        boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", content)
        assert [box, box] == [(round(float(w), 3), round(float(h), 3)) for w, h in boxes]
        assert b"/Count 2" in content


def test_each_pdf_page_is_scaled_from_mm_and_has_a_bar_of_100_mm_from_edge_to_edge() -> None:
    for page in pdf_pages(to_pdf(compose(full_bush()))):
        scale = re.search(r"(2[\d.]+) 0 0 ([\d.]+) 0 0 cm", page)
        assert scale is not None
        assert MM == pytest.approx(float(scale[1]), abs=1e-6)
        assert scale[1] == scale[2]
        filled = re.findall(r"n ([\d.]+) ([\d.]+) m ([\d.]+) \2 l [\d. l]+ h\nf", page)
        assert 100.0 in [round(float(end) - float(start), 6) for start, _, end in filled]


def test_pdf_text_is_text_and_holds_no_code() -> None:
    page = pdf_pages(to_pdf(hostile_sheet()))[0]
    assert "(<script>alert\\(1\\)</script> & \"')" in page
    assert '\\330 3/8" ?\\363dz' in page


# --- DXF ----------------------------------------------------------------------------------------------------


@settings(max_examples=10)
@given(bushes())
def test_dxf_is_read_again_without_a_fault(
    tmp_path_factory: pytest.TempPathFactory, bush: BushDrawing
) -> None:
    document = dxf_document(to_dxf(compose(bush)), tmp_path_factory.mktemp("dxf"))
    audit = document.audit()
    assert ([], []) == (audit.errors, audit.fixes)


def test_dxf_with_hostile_words_is_read_again_without_a_fault(tmp_path: Path) -> None:
    document = dxf_document(to_dxf(hostile_sheet()), tmp_path)
    audit = document.audit()
    assert ([], []) == (audit.errors, audit.fixes)
    texts = [one.dxf.text for one in document.modelspace().query("TEXT")]
    assert "% %d 50% % \\P {x}; ^J" in texts
    said = [one.dxf.text for one in document.modelspace().query("DIMENSION")]
    assert r"Ø\S1\/2\;\^^ \\P\{\};% %c".replace(";%", "; %") in said


def test_dxf_has_layers_line_weights_and_dimensions_of_the_true_size(tmp_path: Path) -> None:
    document = dxf_document(to_dxf(compose(full_bush())), tmp_path)
    assert "AC1015" == document.dxfversion
    assert {name.upper(): round(100 * layer.weight) for name, layer in LAYERS.items()} == {
        name.upper(): document.layers.get(name.upper()).dxf.lineweight for name in LAYERS
    }
    measured = {
        round(one.get_measurement() * one.override().get("dimlfac"), 6)
        for one in document.modelspace().query("DIMENSION")
    }
    assert {26.0, 16.0, 20.0, 14.0, 9.525, 40.0} <= measured
    assert {"DIMENSION", "HATCH", "LINE", "LWPOLYLINE", "SOLID", "TEXT", "CIRCLE", "ARC"} == {
        one.dxftype() for one in document.modelspace()
    }
    for one in document.modelspace().query("DIMENSION"):
        assert len(document.blocks.get(one.dxf.geometry)) >= 4


def test_writing_dxf_leaves_the_library_as_it_was() -> None:
    import ezdxf

    library: Any = ezdxf
    library.options.write_fixed_meta_data_for_testing = False
    to_dxf(hostile_sheet())
    assert library.options.write_fixed_meta_data_for_testing is False


# --- the file -----------------------------------------------------------------------------------------------


def test_a_sheet_is_written_by_its_ending(tmp_path: Path) -> None:
    sheet = Sheet("a line", (Page("A4", "one", (Line(Point(0, 0), Point(100, 0), "outline"),)),))
    starts = {".pdf": b"%PDF-", ".svg": b"<?xml", ".dxf": b"  0\nSECTION"}
    for ending in ENDINGS:
        path = tmp_path / f"sheet{ending.upper()}"
        path.write_text("what was there")
        path.chmod(0o640)
        write_sheet(sheet, path)
        assert path.read_bytes().startswith(starts[ending])
        assert 0o640 == path.stat().st_mode & 0o777
    assert 3 == len(list(tmp_path.iterdir()))


@pytest.mark.parametrize("name", ["sheet", "sheet.png", "pdf", "sheet.pdf.txt"])
def test_another_ending_is_refused(name: str) -> None:
    with pytest.raises(FileFaultError, match=f"sheet {name}: .* end the name with .pdf, .svg, .dxf"):
        check_ending(name)


def test_a_folder_or_a_missing_folder_is_refused_and_nothing_is_left(tmp_path: Path) -> None:
    (tmp_path / "x.pdf").mkdir()
    with pytest.raises(FileFaultError, match="is not an ordinary file"):
        write_whole(tmp_path / "x.pdf", b"")
    with pytest.raises(FileFaultError, match="cannot be written: No such file or directory"):
        write_whole(tmp_path / "missing" / "x.pdf", b"")
    assert ["x.pdf"] == [path.name for path in tmp_path.iterdir()]


def test_a_fault_of_the_disk_leaves_the_old_file_and_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    path = tmp_path / "x.svg"
    path.write_text("old")
    monkeypatch.setattr("threadwright.sheet.write.os.fsync", full)
    with pytest.raises(FileFaultError, match="x.svg: cannot be written: No space left on device"):
        write_whole(path, b"new")
    assert [("x.svg", "old")] == [(one.name, one.read_text()) for one in tmp_path.iterdir()]


def test_composing_a_sheet_imports_no_drawing_library() -> None:
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); from sheet_cases import full_bush\n"
        "from threadwright.sheet.write import render; from threadwright.sheet.bush import compose\n"
        "render(compose(full_bush()), '.svg'); print(*sys.modules)"
    )
    loaded = set(python(code, str(Path(__file__).parent)).out.split())
    assert "threadwright.sheet.svg" in loaded
    assert set() == loaded & {"reportlab", "ezdxf", "PIL", "scipy", "pint"}
    assert sys.modules["threadwright.sheet.pdf"].__name__ == "threadwright.sheet.pdf"
