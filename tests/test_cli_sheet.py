"""Drawings from the command line: the sheet of a repair, profiles, templates."""

import json
import math
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from command_line import run
from project_files import ROOT
from sheet_cases import drawn_thread
from threadwright.cli import VERSION
from threadwright.job import job_from_tables, plan_job, read_job
from threadwright.sheet.bush import compose
from threadwright.sheet.drawing import Title
from threadwright.sheet.from_plan import bush_drawing, doubts
from threadwright.sheet.model import Leader, Polyline, Text
from threadwright.sheet.outline import thread_outline
from threadwright.sheet.profile import Shown, compose_profiles
from threadwright.sheet.template import compose_template
from threadwright.tables.errors import JobError, SheetError, UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.registry import SYSTEMS, find_thread
from threadwright.tables.thread import System, Thread

COVER = str(ROOT / "samples" / "pillar-drill-cover.toml")
BRACKET = str(ROOT / "samples" / "press-ink-disc-bracket.toml")
SVG = "{http://www.w3.org/2000/svg}"
TITLE = Title(part="cover", bush_material="steel", parent_material="iron")


def texts_of(path: Path) -> list[str]:
    """All lettering of an SVG file."""
    root = ElementTree.fromstring(path.read_bytes())
    return [one.text or "" for one in root.iter(f"{SVG}text")]


def job_file(folder: Path, more: str = "", part: str = "top cover") -> str:
    """A job in a folder of its own."""
    path = folder / "job.toml"
    path.write_text(
        f'[fastener]\ndesignation = "M8x1.25"\n[hole]\ndepth = "20 mm"\nthrough = true\n'
        f'[parent]\nmaterial = "cast iron"\nboss = "40 mm"\npart = {part!r}\n{more}'
    )
    return str(path)


# --- repair --sheet -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["bush.pdf", "bush.svg", "bush.dxf"])
def test_a_job_gives_the_same_sheet_each_time(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paths = [tmp_path / f"{number}-{name}" for number in range(2)]
    for path in paths:
        ran = run(capsys, "repair", "--job", BRACKET, "--sheet", str(path))
        assert (0, "") == (ran.status, ran.err)
        assert "Verdict" in ran.out
    assert paths[0].read_bytes() == paths[1].read_bytes()
    assert 2 == len(list(tmp_path.iterdir()))


def test_the_sheet_says_what_the_plan_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bush.svg"
    more = '[sheet]\ndate = 2026-11-25\ndrawn_by = "the workshop"\nnumber = "7"\n[bush]\ndriving = "slot"\n'
    ran = run(capsys, "repair", "--job", job_file(tmp_path, more, "<script> cover"), "--sheet", str(path))
    assert 0 == ran.status
    plan = plan_job(read_job(tmp_path / "job.toml")).leading
    assert plan is not None
    said = texts_of(path)
    outer = plan.bush.outer_thread.designation
    shown = {"<script> cover", "2026-11-25", "the workshop", "7", f"{outer}-6g", "M8x1.25-6H"}
    assert set() == shown - set(said)
    assert f"threadwright {VERSION}" in said
    whole = " ".join(said)
    assert plan.cautions[-1] in whole
    assert whole.count("the screw pulls the bush out against its outer thread alone") == 2
    assert f"{plan.verdict[0].upper()}{plan.verdict[1:]}: {plan.because}"[:40] in whole
    assert "slot 1.6 wide, 1.6 deep" in said
    assert "Slot across the bush's face" in whole
    assert "NOT SETTLED" not in said


def test_a_thread_in_doubt_puts_the_stamp_on_both_pages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bush.svg"
    assert 0 == run(capsys, "repair", "--job", COVER, "--sheet", str(path)).status
    said = texts_of(path)
    assert 2 == said.count("NOT SETTLED")
    assert 2 == said.count("Inner thread of the bush: M6x1 or 0 BA.")


def test_sizes_and_paper_follow_the_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bush.svg"
    job = job_file(tmp_path, '[sheet]\nunit = "in"\npaper = "Letter"\n')
    assert 0 == run(capsys, "repair", "--job", job, "--sheet", str(path)).status
    assert "Sizes of the bush in inches" in texts_of(path)
    assert "215.9mm" == ElementTree.fromstring(path.read_bytes()).get("width")


@pytest.mark.parametrize(
    "line, message",
    [
        ('date = "25 November"', "date: '25 November' is no day; write it like 2026-11-25"),
        ("date = 2026-11-25T10:00:00", "date: '2026-11-25 10:00:00' is no day"),
        ("date = 3", "date: '3' is no day"),
        ('paper = "A3"', 'paper: cannot take \'A3\'; write "A4" or "Letter"'),
        ('unit = "cm"', 'unit: cannot take \'cm\'; write "mm" or "in"'),
        ('colour = "red"', "no such key"),
    ],
)
def test_a_wrong_title_block_is_refused(
    line: str, message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "repair", "--job", job_file(tmp_path, f"[sheet]\n{line}\n"), "--sheet", "x.pdf")
    assert message in ran.refusal


def test_a_sheet_is_written_whole_or_not_at_all(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "end the name with .pdf" in run(capsys, "repair", "--job", COVER, "--sheet", "bush.png").refusal
    missing = str(tmp_path / "none" / "bush.pdf")
    assert "cannot be written" in run(capsys, "repair", "--job", COVER, "--sheet", missing).refusal

    def refused(*_: object) -> None:
        raise SheetError("drawing: refused")

    monkeypatch.setattr("threadwright.sheet.bush.compose", refused)
    path = tmp_path / "bush.pdf"
    assert "drawing: refused" in run(capsys, "repair", "--job", COVER, "--sheet", str(path)).refusal
    assert [] == list(tmp_path.iterdir())


def test_no_plan_gives_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[fastener]\nmajor = "8.1 mm by micrometer"\npitch = "3.1 mm"\n'
        '[hole]\ndepth = "20 mm"\n[parent]\nmaterial = "cast iron"\n'
    )
    path = tmp_path / "bush.pdf"
    assert 3 == run(capsys, "repair", "--job", str(job), "--sheet", str(path)).status
    assert not path.exists()


def test_a_named_thread_leaves_no_doubt_and_its_drawing_is_complete() -> None:
    job = job_from_tables(
        {
            "fastener": {"designation": "3/8-20 BSF LH"},
            "hole": {"depth": "22 mm"},
            "parent": {"material": "zinc die casting"},
        },
        where=lambda section, key: f"{section} {key}",
    )
    answer = plan_job(job)
    assert () == doubts(answer)
    drawing = bush_drawing(answer, title=TITLE)
    assert "3/8-20 BSF normal LH" == drawing.inner.designation
    assert "tap 3/8-20 BSF LH now" in drawing.bush.operations[0].texts[1]
    assert "No verdict" in drawing.verdict
    assert drawing.hole.drill_depth is not None
    assert drawing.hole.drill_depth.note == "min"
    leaders = [one for one in compose(drawing).pages[0].entities if isinstance(one, Leader)]
    assert "flat 0.5 deep along the thread: vent" in [one.words for one in leaders]


@pytest.mark.parametrize("entry", SYSTEMS, ids=lambda entry: entry.symbol)
def test_a_bush_for_each_system_can_be_drawn(entry: System) -> None:
    designation = entry.build().designations[len(entry.sizes) // 3]
    job = job_from_tables(
        {
            "fastener": {"designation": designation},
            "hole": {"depth": "40 mm"},
            "parent": {"material": "cast iron"},
        },
        where=lambda section, key: f"{section} {key}",
    )
    try:
        answer = plan_job(job)
    except JobError:
        pytest.skip(f"no bush fits {designation}")
    assert 2 == len(compose(bush_drawing(answer, title=TITLE, boss_mm=40.0)).pages)


# --- identify --profile -------------------------------------------------------------------------------------


def test_profiles_of_the_leaders_are_drawn_at_a_stated_magnification(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "profiles.svg"
    words = ("identify", "--major", "5.92 mm", "--pitch", "1 mm", "--condition", "worn")
    before = run(capsys, *words)
    ran = run(capsys, *words, "--profile", str(path))
    assert (0, before.out) == (ran.status, ran.out)
    said = texts_of(path)
    assert "Profiles of M6x1, 0 BA at 50:1" in said
    assert any(text.startswith("0 BA: pitch 1 mm, thread angle 47.5") for text in said)
    first = path.read_bytes()
    run(capsys, *words, "--profile", str(path))
    assert first == path.read_bytes()


def test_a_profile_needs_a_known_ending(capsys: pytest.CaptureFixture[str]) -> None:
    refusal = run(capsys, "identify", "--major", "6 mm", "--profile", "x.jpg").refusal
    assert "sheet x.jpg" in refusal


def test_no_profile_or_more_than_the_line_types_is_refused() -> None:
    one = Shown(find_thread("M6x1"))
    for count in (0, 5):
        with pytest.raises(SheetError, match=f"profiles: {count} threads; give 1 to 4"):
            compose_profiles([one] * count)


def test_threads_far_apart_in_size_are_drawn_at_a_smaller_magnification() -> None:
    sheet = compose_profiles([Shown(find_thread("M6x1")), Shown(find_thread("M64x6"))])
    assert sheet.title.endswith("at 5:1")


def heights(thread: Thread) -> tuple[float, float]:
    """Highest and lowest point of a profile over the axis. [mm]"""
    points = thread_outline(thread.form, pitch=thread.pitch_mm, turns=2)
    middle = thread.pitch_diameter_basic * thread.to_mm / 2
    return middle + max(y for _, y in points), middle + min(y for _, y in points)


@pytest.mark.parametrize(
    "designation", ["M8x1.25", "3/8-20 BSF", "0 BA", "1/4-20 UNC", "1/4-26 BSC", "G 1/2"]
)
def test_a_profile_reaches_from_minor_to_major_diameter(designation: str) -> None:
    thread = find_thread(designation)
    drawn = drawn_thread(thread)
    assert heights(thread) == pytest.approx((drawn.major / 2, drawn.minor / 2), abs=0.006)


@pytest.mark.parametrize("designation", ["M8x1.25", "3/8-20 BSF", "0 BA"])
def test_flanks_have_the_angle_of_the_form_and_meet_the_pitch_line_at_a_quarter_pitch(
    designation: str,
) -> None:
    form = find_thread(designation).form
    points = thread_outline(form, pitch=1.0, turns=3)
    assert list(points) == sorted(points)
    flanks = [(a, b) for a, b in pairwise(points) if a[1] * b[1] < 0]
    assert 6 == len(flanks)
    for (x, y), (u, v) in flanks:
        assert form.flank_angle == pytest.approx(math.degrees(math.atan(abs((u - x) / (v - y)))))
        crossing = x + (u - x) * y / (y - v)
        assert 0.25 == pytest.approx(abs(crossing - round(crossing)))


def test_an_asymmetrical_form_has_both_its_flanks() -> None:
    form = Form(name="buttress 7/45", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(3, 5))
    points = thread_outline(form, pitch=1.0, turns=1)
    angles = {
        round(math.degrees(math.atan(abs((b[0] - a[0]) / (b[1] - a[1])))), 6)
        for a, b in pairwise(points)
        if abs(b[1] - a[1]) > 0.1
    }
    assert {7.0, 45.0} == angles
    assert 1.0 == pytest.approx(points[-1][0] - points[0][0])


# --- template -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_template_has_every_pitch_at_true_scale_and_a_bar_on_each_page(paper: str) -> None:
    sheet = compose_template("M", paper=paper)
    named = " ".join(
        one.text for page in sheet.pages for one in page.entities if isinstance(one, Text) and one.bold
    )
    assert all(f"pitch {pitch} mm" in named for pitch in ("0.25", "0.5", "1", "1.25", "2", "6"))
    for page in sheet.pages:
        assert any(
            isinstance(one, Text) and one.text.startswith("Check bar 100 mm.") for one in page.entities
        )
        boxes = [box for _, box in page.labels()]
        assert not [1 for n, a in enumerate(boxes) for b in boxes[:n] if a.overlaps(b)]


def test_crests_of_a_template_are_a_pitch_apart() -> None:
    shapes = [one for one in compose_template("BSF").pages[0].entities if isinstance(one, Polyline)]
    rows = [one for one in shapes if len(one.points) > 50]
    top = max(point.y for point in rows[0].points)
    crests = sorted(point.x for point in rows[0].points if math.isclose(point.y, top))
    assert 25.4 / 32 == pytest.approx(crests[1] - crests[0])


def test_a_template_is_written_and_the_same_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = []
    for name in ("one.pdf", "two.pdf"):
        ran = run(capsys, "template", "BSF", "-o", str(tmp_path / name), "--paper", "Letter")
        assert (0, "", "") == (ran.status, ran.out, ran.err)
        found.append((tmp_path / name).read_bytes())
    assert found[0] == found[1]


def test_a_template_of_an_unknown_series_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.pdf"
    assert "no thread system 'BSQ'" in run(capsys, "template", "BSQ", "-o", str(path)).refusal
    assert "end the name with" in run(capsys, "template", "BSF", "-o", "x").refusal
    assert not path.exists()
    with pytest.raises(UnknownThreadError):
        compose_template("BSQ")
    with pytest.raises(SheetError, match="paper"):
        compose_template("BSF", paper="A3")


def test_a_template_says_in_json_what_was_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bsf.svg"
    ran = run(capsys, "template", "BSF", "-o", str(path), "--json")
    plain = json.loads(ran.out)
    assert (0, "", True) == (ran.status, ran.err, path.exists())
    assert (str(path), "A4", 1) == (plain["path"], plain["paper"], plain["schema_version"])
    assert [page.title for page in compose_template("BSF").pages] == plain["pages"]
