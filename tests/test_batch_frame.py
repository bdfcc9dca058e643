"""A frame of readings: anything that names its columns and gives them."""

import csv
from collections.abc import Iterable

import numpy as np
import pytest

from threadwright import identify_frame
from threadwright.batch import run_batch
from threadwright.tables.errors import FileFaultError, ReadingError


class Frame:
    """What pandas and polars have in common, and nothing else."""

    def __init__(self, columns: dict[object, Iterable[object]]) -> None:
        self._columns = columns

    @property
    def columns(self) -> list[object]:
        return list(self._columns)

    def __getitem__(self, name: object) -> Iterable[object]:
        return self._columns[name]


class Twice(Frame):
    """A frame with two columns of one name."""

    @property
    def columns(self) -> list[object]:
        return [*self._columns, *self._columns]


READINGS: dict[object, Iterable[object]] = {
    "id": ["a", "b", "c", "d", "e"],
    "major [mm]": np.array([7.9, 9.88, 9.44, 5.0, np.nan]),
    "pitch": ["1.25 mm", None, "20 tpi", "3.3 mm", "one mm"],
    "side": ["external", "external", None, "", "external"],
}
TABLE = (
    "id,major [mm],pitch,side\na,7.9,1.25 mm,external\nb,9.88,,external\nc,9.44,20 tpi,\n"
    "d,5.0,3.3 mm,\ne,,one mm,external\n"
)


def test_a_frame_is_answered_as_the_table_that_holds_the_same(tmp_path):
    (tmp_path / "in.csv").write_text(TABLE)
    run_batch(tmp_path / "in.csv", tmp_path / "out.csv", top=2)
    with (tmp_path / "out.csv").open(newline="") as file:
        expected = list(csv.DictReader(file))
    answers = identify_frame(Frame(READINGS), top=2)
    assert list(expected[0]) == list(answers)
    for name, column in answers.items():
        told = [row[name] for row in expected]
        if isinstance(column[0], float):
            assert [float(cell) if cell else None for cell in told] == [
                None if cell is None else pytest.approx(cell, abs=5.1e-11) for cell in column
            ]
        else:
            assert told == ["" if cell is None else cell for cell in column]
    assert ["ok", "unsettled", "unsettled", "none", "error"] == answers["status"]


def test_rows_without_ids_are_numbered_and_pieces_make_no_difference(monkeypatch):
    columns = {name: column for name, column in READINGS.items() if name != "id"}
    whole = identify_frame(Frame(columns), top=1)
    monkeypatch.setattr("threadwright.batch_frame._PIECE", 2)
    parts = identify_frame(Frame(columns), top=1)
    assert whole["id"] == [0, 1, 2, 3, 4]
    assert whole["designation_1"] == parts["designation_1"]
    assert whole["message"] == parts["message"]


def test_numbers_of_every_kind_are_read():
    cells = [8, np.int64(8), np.float32(8.0), 8.0, "8", "8 mm"]
    answers = identify_frame(Frame({"major [mm]": cells}), top=1)
    assert 1 == len(set(answers["probability_1"]))
    small = identify_frame(Frame({"pitch [mm]": [1e-5], "major [mm]": [float("inf")]}), top=1)
    assert "cannot read 'inf'" in small["message"][0]


def test_no_rows_give_no_answers():
    assert {0} == {len(column) for column in identify_frame(Frame({"major [mm]": []})).values()}


@pytest.mark.parametrize(
    "frame, fault, message",
    [
        (Frame({"colour": [1]}), FileFaultError, "frame: no column 'colour'"),
        (Frame({0: [1]}), FileFaultError, "frame: no header, or an unknown column '0'"),
        (Frame({"id": ["a"]}), FileFaultError, "frame: no column of readings"),
        (Twice({"major [mm]": [8.0]}), FileFaultError, "is there twice"),
        (Frame({"major [mm]": [8.0], "minor [mm]": []}), ReadingError, "frame: columns differ in length"),
    ],
)
def test_a_frame_that_is_no_table_of_readings_is_refused(frame, fault, message):
    with pytest.raises(fault, match=message):
        identify_frame(frame)


def test_no_number_of_threads_below_one_is_taken():
    with pytest.raises(ReadingError, match="top: 0 candidates cannot be given"):
        identify_frame(Frame({"major [mm]": [8.0]}), top=0)
