"""``threadwright table`` and the records behind it."""

import csv
import io
import json

import pytest

from command_line import run
from threadwright.tables.catalogue import candidates
from threadwright.tables.listing import Selection, counts, every_selection, records, select
from threadwright.tables.registry import SYSTEMS, find_thread, series

HEADER = "system,designation,side,tolerance_class,quantity,value,unit,basis"


def csv_of(capsys: pytest.CaptureFixture[str], *args: str) -> list[dict[str, str]]:
    ran = run(capsys, "table", *args, "--csv")
    assert (0, "") == (ran.status, ran.err)
    assert HEADER == ran.out.splitlines()[0]
    return list(csv.DictReader(io.StringIO(ran.out)))


def test_the_csv_of_one_thread_prints_every_value_as_its_standard_rounds_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    lines = run(capsys, "table", "M8", "--csv").out.splitlines()
    for line in (
        "M,M8x1.25,basic,,pitch,1.25,mm,computed",
        "M,M8x1.25,basic,,flank_angle,30,deg,computed",
        "M,M8x1.25,basic,,starts,1,,computed",
        "M,M8x1.25,external,6g,major_max,7.972,mm,computed",
        "M,M8x1.25,external,6g,minor_flat_max,6.619,mm,computed",
        "M,M8x1.25,internal,6H,minor_max,6.912,mm,computed",
    ):
        assert line in lines
    assert [] == [line for line in lines if ",tpi," in line]


def test_only_a_standard_that_gives_threads_per_inch_has_such_a_row(
    capsys: pytest.CaptureFixture[str],
) -> None:
    rows = csv_of(capsys, "3/8 BSF", "G 1/2", "2 BA")
    found = {row["designation"]: (row["value"], row["unit"]) for row in rows if row["quantity"] == "tpi"}
    assert {"3/8-20 BSF": ("20", ""), "G 1/2": ("14", "")} == found


def test_a_limit_that_the_standard_does_not_give_has_no_row(capsys: pytest.CaptureFixture[str]) -> None:
    inside = {row["quantity"] for row in csv_of(capsys, "3/8 BSF") if row["side"] == "internal"}
    assert "major_min" in inside
    assert "major_max" not in inside


def test_everything_is_printed_when_nothing_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    rows = csv_of(capsys)
    names = {(row["system"], row["designation"]) for row in rows}
    assert sum(len(entry.sizes) for entry in SYSTEMS) == len(names)
    assert all(float(row["value"]) > 0 for row in rows)


def test_every_limit_of_the_tables_has_its_row() -> None:
    limits = [record for record in records(every_selection()) if record.side != "basic"]
    finite = sum(
        int((column == column).sum())
        for entry in SYSTEMS
        for columns in series(entry.symbol).limits
        for column in columns.columns.values()
    )
    assert finite == len(limits)


def test_a_class_in_the_name_narrows_the_limits_to_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert {"", "6g"} == {row["tolerance_class"] for row in csv_of(capsys, "M8x1.25-6g")}


def test_lengths_are_converted_on_request_and_counts_and_angles_are_not(
    capsys: pytest.CaptureFixture[str],
) -> None:
    rows = {(row["side"], row["quantity"]): row for row in csv_of(capsys, "3/8 BSF", "--unit", "mm")}
    assert ("9.525", "mm") == (rows["basic", "major_basic"]["value"], rows["basic", "major_basic"]["unit"])
    assert ("20", "") == (rows["basic", "tpi"]["value"], rows["basic", "tpi"]["unit"])
    assert ("27.5", "deg") == (rows["basic", "flank_angle"]["value"], rows["basic", "flank_angle"]["unit"])
    inches = next(record for record in records([select("M8")], unit="in") if record.quantity == "pitch")
    assert ("0.0492126", "in") == (inches.value, inches.unit)


def test_the_json_of_a_thread_has_no_number_where_the_standard_gives_none(
    capsys: pytest.CaptureFixture[str],
) -> None:
    answer = json.loads(run(capsys, "table", "3/8 BSF", "--json").out)
    assert 1 == answer["schema_version"]
    (thread,) = answer["threads"]
    assert ("3/8-20 BSF", "in", 20.0, 0.375) == (
        thread["designation"], thread["unit"], thread["tpi"], thread["major_basic"],
    )  # fmt: skip
    medium = next(
        row for row in thread["limits"] if (row["side"], row["tolerance_class"]) == ("internal", "medium")
    )
    assert medium["major_max"] is None
    assert find_thread("3/8 BSF").limits("internal", "medium").minor_max == medium["minor_max"]


def test_the_list_counts_the_threads_of_every_series(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "--list").out
    _, *lines, total, more, _ = text.splitlines()
    assert [[entry.symbol, str(len(entry.sizes))] for entry in SYSTEMS] == [
        line.split()[:2] for line in lines
    ]
    assert max(map(len, text.splitlines())) <= 80
    assert f"{len(SYSTEMS)} series, {sum(len(entry.sizes) for entry in SYSTEMS)} threads" in total
    aliases = sum(int(line.split()[2]) for line in lines)
    assert f"{aliases} of them are aliases" in f"{total} {more}"
    rows = list(csv.reader(io.StringIO(run(capsys, "table", "--list", "--csv").out)))
    assert [entry.symbol for entry in SYSTEMS] == [row[0] for row in rows[1:]]
    counts = json.loads(run(capsys, "table", "--list", "--json").out)["series"]
    assert sum(len(entry.sizes) for entry in SYSTEMS) == sum(row["threads"] for row in counts)
    assert text == run(capsys, "table").out


def test_names_of_metal_that_another_series_has_already_are_counted_apart() -> None:
    distinct = len(candidates())
    assert distinct == sum(row.threads - row.aliases for row in counts())
    assert 0 == counts()[0].aliases
    # of the brass thread's sizes the fine series has the 1/4 in one, which has 26 threads to the inch itself
    assert 1 == next(row.aliases for row in counts() if row.system == "BSB")


def test_a_series_is_shown_as_one_line_for_each_size(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "ba").out
    assert "British Association (BA), 26 threads, basic sizes in mm" == text.splitlines()[0]
    assert ["2", "BA", "4.7", "0.81", "4.215", "3.73"] in [line.split() for line in text.splitlines()]
    assert "tpi" not in text
    assert "Source: BS 93" in text


def test_a_series_in_inches_shows_threads_per_inch(capsys: pytest.CaptureFixture[str]) -> None:
    lines = [line.split() for line in run(capsys, "table", "BSF").out.splitlines()]
    assert ["3/8-20", "BSF", "0.375", "0.05", "20", "0.343", "0.311"] in lines


def test_a_thread_is_shown_with_its_limits_by_class(capsys: pytest.CaptureFixture[str]) -> None:
    text = run(capsys, "table", "M8", "G 1/2").out
    assert "external  6g     7.760-7.972  7.042-7.160     6.272-6.438  computed" in text
    assert "to 18.631" in text
    assert "from 20.955" in text
    assert max(map(len, text.splitlines())) <= 80


def test_an_asymmetric_form_shows_both_flanks(capsys: pytest.CaptureFixture[str]) -> None:
    angles = {row["quantity"]: row["value"] for row in csv_of(capsys, "S 20x4") if row["unit"] == "deg"}
    assert {"flank_angle_load": "3", "flank_angle_clear": "30"} == angles
    assert "flanks 3 deg (load) and 30 deg (clear)" in run(capsys, "table", "S 20x4").out


def test_a_thread_of_several_starts_is_shown_though_no_series_lists_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "pitch 4 mm, 2 starts, lead 8 mm; basic" in run(capsys, "table", "Tr 20x8 P4").out
    rows = {row["quantity"]: row["value"] for row in csv_of(capsys, "Tr 20x8 P4") if row["side"] == "basic"}
    assert ("2", "4", "18") == (rows["starts"], rows["pitch"], rows["pitch_diameter_basic"])


def test_a_taper_thread_says_where_along_it_the_sizes_lie(capsys: pytest.CaptureFixture[str]) -> None:
    assert "taper 1 in 16; sizes at the gauge plane, 8.2 mm from" in run(capsys, "table", "R 1/2").out
    rows = {row["quantity"]: row["value"] for row in csv_of(capsys, "R 1/2") if row["side"] == "basic"}
    assert ("0.0625", "8.2", "13.2") == (rows["taper"], rows["gauge_length"], rows["useful_length"])


def test_the_words_of_one_designation_may_stand_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "table", "3/8 BSF").out == run(capsys, "table", "3/8", "BSF").out


@pytest.mark.parametrize(
    "names, said",
    [
        (["BSX"], "no thread system 'BSX'; there is BSW, BSF, BSC"),
        (["M8x1.3"], "did you mean 'M8x1'"),
        (["3/8", "BSG"], "no table holds '3/8 BSG'"),
        (["M8", "BSX"], "no thread system 'BSX'"),
        ([" "], "cannot read ''"),
        (["--list", "M8"], "--list takes no names"),
    ],
)
def test_a_name_that_no_table_holds_is_refused_with_the_nearest(
    names: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in run(capsys, "table", *names).refusal


@pytest.mark.parametrize("names", [(), ("BSF",), ("--list",), ("--around", "9.5 mm")])
def test_two_forms_of_one_answer_are_refused_whichever_comes_first(
    names: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    for forms in (("--csv", "--json"), ("--json", "--csv")):
        assert (
            "threadwright: --csv and --json are two forms of one answer; leave one of them out; "
            "see 'threadwright table --help'" == run(capsys, "table", *names, *forms).refusal
        )


def test_a_selection_by_symbol_is_the_whole_series() -> None:
    assert Selection("BA", tuple(range(26))) == select("ba")
