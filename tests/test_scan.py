"""Pictures of screws: what they measure against drawn shadows, and what they are refused for."""

from __future__ import annotations

import json
import math
import struct
import sys
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from command_line import run
from helicoid import COMMON, FORMS, Shadow, disc_box, draw, random_shadow, silhouette
from project_files import ROOT
from threadwright import judgement
from threadwright.ranking import identify
from threadwright.scan import Measured, Scale, ScanResult, parse_box, scan
from threadwright.scan.axis import _regular, align, robust_line
from threadwright.scan.edges import find_edges
from threadwright.scan.image import Screw, parse_size, read_picture
from threadwright.scan.profile import (
    Optics,
    _common_slope,
    _Flank,
    _Level,
    _pitch_diameter,
    _SideShape,
    axial_points,
)
from threadwright.tables.errors import FileFaultError, ReadingError

PLAIN = Shadow(pitch=1.0, major=6.0, threads=9.6)


def saved(folder: Path, picture: NDArray[Any], name: str = "screw.png") -> Path:
    path = folder / name
    Image.fromarray(picture).save(path, compress_level=1)
    return path


def known(shadow: Shadow) -> Scale:
    return Scale(*shadow.step, 2e-4)


def seen(folder: Path, shadow: Shadow) -> ScanResult:
    """The drawn screw, measured with a known scale."""
    return scan(saved(folder, draw(shadow)), scale=known(shadow))


def covered(size: Measured, truth: float) -> bool:
    """Within three standard uncertainties: once in 370 it would not be."""
    return abs(size.value - truth) <= 3 * size.u


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with a plain screw."""
    return saved(tmp_path_factory.mktemp("scan"), draw(PLAIN))


# --- accuracy
# -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [0, 2, 3, 5, 7, 9, 10])
def test_ten_threads_at_1200_dpi_are_measured_within_the_targets(number: int, tmp_path: Path) -> None:
    shadow = random_shadow(number)
    result, truth = seen(tmp_path, shadow), shadow.truth
    assert result.threads >= 9
    assert result.starts == 1
    assert result.dark_on_light != shadow.inverted
    assert result.pitch.value == pytest.approx(truth["pitch"], rel=0.001)
    for name in ("major", "minor"):
        assert getattr(result, name).value == pytest.approx(truth[name], abs=0.02)
    for flank in (result.flank_first, result.flank_second):
        assert flank.value == pytest.approx(truth["flank_angle"], abs=0.5)
        assert covered(flank, truth["flank_angle"])
    for name in ("pitch", "major", "minor", "pitch_diameter", "taper"):
        assert covered(getattr(result, name), truth[name]), name


@pytest.mark.parametrize("form", COMMON)
def test_the_axial_profile_comes_back_from_the_silhouette(form: str) -> None:
    shadow = Shadow(form=form, pitch=2.0, major=10.0)
    depth = silhouette(shadow, samples=4096)
    reach = shadow.major / 2 - depth
    z = np.arange(len(depth)) * shadow.pitch / len(depth)
    slope = np.gradient(reach, z)
    axial_z, axial_r = axial_points(z, reach, slope, lead=shadow.pitch)
    expected = shadow.major / 2 - shadow.pitch * FORMS[form].below_crest(axial_z / shadow.pitch)
    smooth = np.abs(np.gradient(slope, z)) < 20  # corners have no slope
    smooth[[0, 1, -2, -1]] = False
    assert smooth.mean() > 0.8
    assert axial_r[smooth] == pytest.approx(expected[smooth], abs=2e-4)


def test_the_shadow_of_a_steep_flank_would_be_wrong_without_the_correction() -> None:
    shadow = Shadow(form="30 trapezoidal", pitch=2.0, major=9.0)
    table = silhouette(shadow)
    slope = np.gradient(table, shadow.pitch / len(table))
    at = np.argmin(np.abs(table - shadow.pitch * FORMS[shadow.form].depth / 2))
    seen_angle = math.degrees(math.atan(1 / abs(slope[at])))
    assert seen_angle > 15.5


def test_an_object_of_known_size_corrects_both_directions(tmp_path: Path) -> None:
    shadow = replace(PLAIN, disc=10.0, stretch=1.02, blur=0.8)
    result = scan(saved(tmp_path, draw(shadow)), scale_object="10.000 mm +- 0.002", box=disc_box(shadow))
    assert result.scale.x_mm / result.scale.y_mm == pytest.approx(1.02, rel=1e-3)
    assert result.pitch.value == pytest.approx(1.0, rel=0.001)
    assert result.major.value == pytest.approx(6.0, abs=0.02)
    assert result.flank_first.value == pytest.approx(30.0, abs=0.5)


def test_dpi_alone_carries_its_doubt_into_every_size(plain: Path) -> None:
    result = scan(plain, dpi=1200)
    assert result.pitch.u / result.pitch.value == pytest.approx(judgement.DPI_U_SHARE, rel=0.05)
    assert result.major.u >= 6 * judgement.DPI_U_SHARE * 0.999
    assert result.flank_first.u > math.degrees(
        judgement.DPI_U_SHARE * math.sin(math.radians(60)) / math.sqrt(2)
    )


def test_an_upright_screw_with_a_head_measures_the_same(tmp_path: Path) -> None:
    shadow = replace(PLAIN, head=10.0, turn=2.0)
    path = saved(tmp_path, np.ascontiguousarray(draw(shadow).T))
    result = scan(path, scale=known(shadow))
    assert result.turn_deg == pytest.approx(-2.0, abs=0.05)
    assert result.major.value == pytest.approx(6.0, abs=0.02)
    assert result.pitch.value == pytest.approx(1.0, rel=0.001)


def test_a_light_screw_on_a_dark_ground_measures_the_same_and_is_said_to_be_one(tmp_path: Path) -> None:
    result = seen(tmp_path, replace(PLAIN, inverted=True))
    assert not result.dark_on_light
    assert result.major.value == pytest.approx(6.0, abs=0.02)


def test_a_tapered_thread_is_found_to_be_one(tmp_path: Path) -> None:
    result = seen(tmp_path, replace(PLAIN, taper=1 / 16))
    assert result.tapered
    assert covered(result.taper, 1 / 16)
    assert result.pitch.value == pytest.approx(1.0, rel=0.001)
    taper = result.readings().evidence.taper
    assert taper is not None
    assert taper.value == pytest.approx(1 / 16, abs=2 * taper.u)


def test_crests_across_from_crests_are_an_even_number_of_starts(tmp_path: Path) -> None:
    result = seen(tmp_path, replace(PLAIN, pitch=1.25, major=10.0, starts=2))
    assert result.starts == 2
    assert any("even number of starts" in note for note in result.notes)
    assert result.flank_first.value == pytest.approx(30.0, abs=0.5)
    assert covered(result.pitch_diameter, 10.0 - 2 * FORMS[PLAIN.form].to_pitch_line * 1.25)


def test_a_speck_of_dust_and_a_bright_spot_change_nothing(tmp_path: Path) -> None:
    picture = draw(PLAIN)
    picture[4:9, 4:9] = 10
    middle = picture.shape[0] // 2, picture.shape[1] // 2
    picture[middle[0] : middle[0] + 12, middle[1] : middle[1] + 20] = 240
    result = scan(saved(tmp_path, picture), scale=known(PLAIN))
    assert result.major.value == pytest.approx(6.0, abs=0.02)


def test_readings_go_straight_into_identify(plain: Path) -> None:
    readings = scan(plain, scale=known(PLAIN)).readings()
    assert ("major", "pitch", "pitch_diameter", "minor", "flank_angle") == readings.given()
    assert "M6x1" == identify(readings).candidates[0].designation


def test_unlike_flanks_give_no_flank_angle_and_a_hidden_root_no_minor_diameter(plain: Path) -> None:
    result = scan(plain, scale=known(PLAIN))
    odd = replace(result, flank_first=Measured(7.0, 0.2), notes=("minor diameter: hidden",))
    assert odd.flank_angle is None
    assert ("major", "pitch", "pitch_diameter") == odd.readings().given()


def test_a_sharp_root_is_said_to_be_hidden(tmp_path: Path) -> None:
    result = seen(tmp_path, replace(PLAIN, form="60 sharp root", pitch=1.5, major=8.0))
    assert result.minor.value > 8.0 - 2 * FORMS["60 sharp root"].depth * 1.5 + 0.05
    assert result.minor_hidden
    assert "minor" not in result.readings().given()


def test_an_outlier_does_not_bend_a_line() -> None:
    at = np.arange(12.0)
    value = 0.5 * at + 3
    value[[2, 7]] += 9
    assert robust_line(at, value) == pytest.approx((0.5, 3.0))


# --- files
# ----------------------------------------------------------------------------------------------------


def as_grey(picture: NDArray[np.uint8]) -> dict[str, Image.Image]:
    """The same picture in several kinds of file."""
    grey = Image.fromarray(picture)
    clear = Image.merge("LA", [Image.new("L", grey.size, 0), Image.fromarray(255 - picture)])
    return {
        "sixteen.png": Image.fromarray(picture.astype(np.uint16) * 257),
        "float.tiff": Image.fromarray(picture.astype(np.float32) / 255),
        "colour.bmp": grey.convert("RGB"),
        "clear.png": clear,
    }


def test_every_kind_of_picture_is_read_as_the_same_grey_levels(tmp_path: Path) -> None:
    levels = np.linspace(0, 255, 64 * 64).reshape(64, 64).astype(np.uint8)
    for name, picture in as_grey(levels).items():
        picture.save(tmp_path / name)
        assert read_picture(tmp_path / name) == pytest.approx(levels / 255, abs=0.5 / 255), name


def refusal(path: Path, **ways: Any) -> str:
    """The message of a refused picture."""
    with pytest.raises((ReadingError, FileFaultError)) as caught:
        scan(path, **(ways or {"dpi": 1200}))
    message = str(caught.value)
    assert "\n" not in message
    return message


def png_header(width: int, height: int) -> bytes:
    """A PNG that promises pixels and holds none."""
    fields = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + fields + struct.pack(">I", zlib.crc32(fields))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk + struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    )


def test_a_missing_file_a_text_and_a_damaged_picture_are_refused(tmp_path: Path, plain: Path) -> None:
    assert "no file" in refusal(tmp_path / "missing.png")
    text = tmp_path / "text.png"
    text.write_text("no picture", encoding="utf-8")
    assert "not a picture that can be read" in refusal(text)
    cut = tmp_path / "cut.png"
    cut.write_bytes(plain.read_bytes()[:4000])
    assert "cannot be read" in refusal(cut)
    assert "is a directory; name a picture in it" in refusal(tmp_path)


def test_huge_pictures_are_refused_from_the_header_alone(tmp_path: Path) -> None:
    path = tmp_path / "huge.png"
    path.write_bytes(png_header(10_000, 9_999))
    assert "100 million pixels; crop it" in refusal(path)
    path.write_bytes(png_header(60_000, 60_000))
    assert "far too large; crop it" in refusal(path)


def test_without_pillow_the_message_says_how_to_install_it(
    plain: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "PIL", None)
    assert "pip install 'threadwright[scan]'" in refusal(plain)


# --- scales
# ---------------------------------------------------------------------------------------------------


def test_exactly_one_scale_is_wanted(plain: Path) -> None:
    for ways in ({"dpi": None}, {"dpi": 1200, "scale": known(PLAIN)}):
        assert "either the dpi or an object of known size" in refusal(plain, **ways)
    assert "give the box" in refusal(plain, scale_object="25.00 mm")
    assert "give the scale object" in refusal(plain, box=(0, 0, 50, 50))
    assert "from 50 to 20000" in refusal(plain, dpi=float("nan"))
    with pytest.raises(ReadingError, match="above zero"):
        Scale(0.02, -0.02, 0.001)


def test_a_box_must_lie_in_the_picture_round_an_object_as_wide_as_high(tmp_path: Path) -> None:
    shadow = replace(PLAIN, disc=6.0)
    picture = draw(shadow)
    x, y, width, height = disc_box(shadow)
    picture[20:60, 4:24] = 20
    path = saved(tmp_path, picture)
    size = "6.00 mm"
    assert "does not lie in the picture" in refusal(path, scale_object=size, box=(-3, y, width, height))
    assert "does not lie in the picture" in refusal(path, scale_object=size, box=(x, y, 9, 9))
    assert "touches its side" in refusal(path, scale_object=size, box=(x + 20, y, width - 20, height))
    assert "20 pixels wide and 40 high" in refusal(path, scale_object=size, box=(0, 8, 36, 64))
    assert "nothing but the object" in refusal(
        path, scale_object=size, box=(0, 0, picture.shape[1], picture.shape[0])
    )


def test_size_and_box_are_read_strictly() -> None:
    assert (25.4, 0.02) == parse_size("1 in")
    assert (25.0, 0.005) == parse_size("25 mm +- 0.005")
    with pytest.raises(ReadingError, match="scale object"):
        parse_size("25")
    for text in ("1,2,3", "a,b,c,d", ""):
        with pytest.raises(ReadingError, match="column, row, width and height"):
            parse_box(text)


# --- pictures that cannot be measured
# -------------------------------------------------------------------------


def test_an_empty_or_tiny_picture_is_refused(tmp_path: Path) -> None:
    noise = np.random.default_rng(5).normal(235, 4, (300, 400)).clip(0, 255).astype(np.uint8)
    assert "nothing stands out" in refusal(saved(tmp_path, noise))
    assert "nothing stands out" in refusal(saved(tmp_path, np.full((300, 400), 255, np.uint8)))
    assert "hold no screw" in refusal(saved(tmp_path, noise[:20, :20]))


def test_a_screw_that_fills_the_picture_has_no_outline() -> None:
    grey = np.zeros((60, 60))
    with pytest.raises(ReadingError, match="no outline"):
        find_edges(Screw(grey, grey < 1, (0, 0), True, (0.0, 1.0)))


def test_a_plain_pin_and_too_few_threads_are_refused(tmp_path: Path) -> None:
    pin = np.full((300, 500), 240, np.uint8)
    pin[90:210, 60:440] = 20
    assert "0 regular threads" in refusal(saved(tmp_path, pin))
    message = refusal(saved(tmp_path, draw(replace(PLAIN, threads=3.4))))
    assert "show at least 4 whole ones" in message


def test_blur_fine_pitches_and_a_screw_askew_are_refused(tmp_path: Path) -> None:
    assert "blurred" in refusal(saved(tmp_path, draw(replace(PLAIN, blur=3.8))))
    coarse = saved(tmp_path, draw(replace(PLAIN, dpi=290, blur=0.4, noise=0.002)))
    assert "scan with more dpi" in refusal(coarse, dpi=290)
    assert "askew" in refusal(saved(tmp_path, draw(replace(PLAIN, turn=23.0))))


def test_one_side_alone_is_no_screw(tmp_path: Path) -> None:
    picture = draw(PLAIN)
    assert "on both" in refusal(saved(tmp_path, picture[: picture.shape[0] // 2]))
    assert "both sides" in refusal(saved(tmp_path, draw(replace(PLAIN, major=2.1))))
    with pytest.raises(ReadingError, match="only one side"):
        align(np.column_stack([np.arange(30.0), np.zeros(30)]), step=0.02)


def test_a_pitch_that_grows_and_sides_that_do_not_fit_are_refused(tmp_path: Path) -> None:
    assert "pitch grows by" in refusal(saved(tmp_path, draw(replace(PLAIN, pitch_drift=0.05))))
    picture = draw(replace(PLAIN, threads=9.6))
    half = picture.shape[0] // 2
    shift = round(PLAIN.pitch / 4 / PLAIN.step[0])
    sheared = np.vstack([picture[:half, shift:], picture[half:, :-shift]])
    assert "of a pitch apart" in refusal(saved(tmp_path, sheared))


def test_threads_that_start_and_stop_are_measured_where_they_are_regular(tmp_path: Path) -> None:
    picture = draw(replace(PLAIN, threads=10.6))
    step = PLAIN.step[0]
    torn = PLAIN.margin + round(7.6 * PLAIN.pitch / step)
    picture[: picture.shape[0] // 2 - 60, torn : torn + 60] = 235
    result = scan(saved(tmp_path, picture), scale=known(PLAIN))
    assert 4 <= result.threads <= 8
    assert result.pitch.value == pytest.approx(1.0, rel=0.002)


def test_a_row_is_as_long_as_its_spacings_are_alike() -> None:
    rising = np.array([0.0, 10, 20, 30, 40, 63, 73])
    assert (0, 5) == _regular(rising, rising + 5)
    with pytest.raises(ReadingError, match="3 regular threads"):
        _regular(rising[:3], rising[:3] + 5)
    rising = np.array([0.0, 10, 20, 43, 53, 63])
    with pytest.raises(ReadingError, match="3 regular threads"):
        _regular(rising, rising + 5)


def flank_points(slopes: list[float], spread: list[float]) -> tuple[NDArray[Any], ...]:
    """Points on one flank of each thread."""
    f = np.concatenate([np.linspace(-s, s, 9) for s in spread])
    zeta = np.concatenate([m * np.linspace(-s, s, 9) for m, s in zip(slopes, spread, strict=True)])
    return zeta, f, np.repeat(np.arange(len(slopes)), 9), np.ones(9 * len(slopes), dtype=bool)


def test_flanks_too_few_or_too_unlike_are_refused() -> None:
    slope, u, places, threads = _common_slope(*flank_points([0.5, 0.501, 0.499, 0.5], [1, 1, 1, 1]))
    assert slope == pytest.approx(0.5)
    assert u < 0.001
    assert places == pytest.approx(np.zeros(len(threads)))
    with pytest.raises(ReadingError, match="too short or too ragged"):
        _common_slope(*flank_points([0.5, 0.5, 0.5], [1, 1, 1]))
    with pytest.raises(ReadingError, match="differ too much"):
        _common_slope(*flank_points([0.5, 0.5, 0.5, 0.5], [1, 1, 0.1, 0.1]))


def test_ridges_without_two_whole_threads_give_no_pitch_diameter() -> None:
    level = _Level(4.0, 0.0, 0.001, 0.0001, 0.0)
    rising = _Flank(np.arange(3.0), np.arange(3.0), 0.5, 0.001)
    falling = _Flank(np.arange(3.0), np.arange(3.0) + 3, -0.5, 0.001)
    with pytest.raises(ReadingError, match="too few whole threads"):
        _pitch_diameter(
            [_SideShape(level, level, rising, falling, 4.0)],
            Measured(1.0, 0.001),
            Optics(0.02, 0.02, 0.002, 0.001),
        )


# --- the command
# ----------------------------------------------------------------------------------------------


def test_the_command_prints_sizes_with_their_doubt_and_names_the_thread(
    plain: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "scan", str(plain), "--dpi", "1200", "--identify")
    assert (0, "") == (ran.status, ran.err)
    assert "whole threads on each side, dark on light." in ran.out
    for word in ("pitch diameter", "first flank", "taper", "M6x1"):
        assert word in ran.out
    assert "If it is" not in run(capsys, "scan", str(plain), "--dpi", "1200").out


def test_the_command_prints_json(plain: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(run(capsys, "scan", str(plain), "--dpi", "1200", "--json", "--identify").out)
    assert 1 == found["schema_version"]
    assert found["sizes"]["pitch"]["value"] == pytest.approx(1.0, rel=0.001)
    assert "M6x1" == found["identification"]["candidates"][0]["designation"]
    assert "identification" not in json.loads(run(capsys, "scan", str(plain), "--dpi", "1200", "--json").out)


def test_a_scale_object_goes_through_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shadow = replace(PLAIN, disc=8.0)
    path = saved(tmp_path, draw(shadow))
    box = ",".join(map(str, disc_box(shadow)))
    ran = run(capsys, "scan", str(path), "--scale-object", "8.00 mm", "--box", box, "--json")
    assert json.loads(ran.out)["scale"]["x_mm"] == pytest.approx(25.4 / 1200, rel=0.002)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "give either the dpi"),
        (["--dpi", "0"], "from 50 to 20000"),
        (["--dpi", "-1200"], "from 50 to 20000"),
        (["--dpi", "nan"], "from 50 to 20000"),
        (["--dpi", "inf"], "from 50 to 20000"),
        (["--dpi", "fine"], "--dpi: cannot be 'fine'; write a number without a unit, like 1200"),
        (["--dpi"], "--dpi: no value given; write --dpi N"),
        (["--dpi", "1200", "--scale-object", "25 mm", "--box", "1,2,90,90"], "give either the dpi"),
        (["--scale-object", "25.00 mm"], "give the box"),
        (["--scale-object", "25", "--box", "1,2,90,90"], "scale object: '25' has no unit"),
        (["--scale-object", "25,0 mm", "--box", "1,2,90,90"], "scale object: cannot read '25,0 mm'"),
        (["--scale-object", "0 mm", "--box", "1,2,90,90"], "scale object: '0 mm' is impossible"),
        (["--scale-object", "9 mm", "--box", "1,2"], "cannot read '1,2'"),
        (["--scale-object", "9 mm", "--box", "1,2,0,-5"], "does not lie in the picture"),
        (["--box", "1,2,90,90"], "give the scale object"),
        (["--dpi", "1200", "--identfy"], "no option '--identfy'; did you mean '--identify'?"),
    ],
)
def test_a_faulty_question_is_refused_in_one_line(
    words: list[str], said: str, plain: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused = run(capsys, "scan", str(plain), *words).refusal
    assert said in refused or said in refused.lower()


def test_a_file_that_is_no_picture_is_refused_in_one_line(
    plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = tmp_path / "text.png"
    text.write_text("no picture", encoding="utf-8")
    empty = tmp_path / "empty.png"
    empty.touch()
    huge = tmp_path / "huge.png"
    huge.write_bytes(png_header(60_000, 60_000))
    blank = saved(tmp_path, np.full((300, 400), 255, np.uint8))
    for path, said in (
        ("missing.png", "no file"),
        (str(tmp_path), "is a directory"),
        (str(text), "not a picture that can be read"),
        (str(empty), "not a picture that can be read"),
        (str(huge), "far too large; crop it"),
        (str(blank), "nothing stands out"),
    ):
        assert said in run(capsys, "scan", path, "--dpi", "1200").refusal
    assert "belongs to no option" in run(capsys, "scan", str(plain), str(plain)).refusal
    assert "IMAGE: not given; write it behind 'threadwright scan'" in run(capsys, "scan").refusal


def test_every_line_of_the_command_fits_80_columns(plain: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "scan", str(plain), "--dpi", "1200")
    assert [] == [line for line in ran.out.splitlines() if len(line) > 80]


def test_the_sample_is_the_screw_that_it_was_drawn_from(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("scan", str(ROOT / "samples" / "scan-screw.png"), "--dpi", "1200", "--identify", "--json")
    found = json.loads(run(capsys, *words).out)
    assert "3/8-20 BSF" == found["identification"]["candidates"][0]["designation"]
    for name, drawn in (("pitch", 1.27), ("major", 9.41)):
        size = found["sizes"][name]
        assert abs(size["value"] - drawn) <= 2 * size["u"]
