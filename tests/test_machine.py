"""What a machine's record, origin and given weights do to an answer."""

from pathlib import Path

import pytest

from threadwright.machine import identify_with_record, prior_of, read_same, read_weights
from threadwright.priors import Origin, Prior
from threadwright.ranking import identify, identify_same
from threadwright.readings import Readings
from threadwright.record import Record, parse_record
from threadwright.tables.errors import FileFaultError, ReadingError, RecordError

TWIN = Readings(major="5.92 mm", pitch="1 mm")  # M6x1 or 0 BA


def record_of(*threads: str, machine: str = "") -> Record:
    rows = [f'[[fastener]]\nplace = "p{n}"\nthread = "{thread}"\n' for n, thread in enumerate(threads)]
    return parse_record(machine + "".join(rows), name="record press.toml")


# --- prior --------------------------------------------------------------------------------------------------


def test_what_is_given_goes_before_what_the_record_says() -> None:
    record = record_of(machine='[machine]\nmade_in = "GB"\nyear = 1926\n')
    assert Origin("GB", 1926) == prior_of(record).origin
    assert Origin("US", 1926) == prior_of(record, made_in="us").origin
    assert Origin("GB", 1938) == prior_of(record, year=1938).origin
    assert Prior() == prior_of()


def test_the_fasteners_of_the_record_are_counted_but_not_the_one_in_hand() -> None:
    record = record_of("2 BA", "4 BA", "M8")
    assert {"BA": 2.0, "M": 1.0} == dict(prior_of(record).found)
    assert {"BA": 1.0, "M": 1.0} == dict(prior_of(record, place="P0").found)


@pytest.mark.parametrize(
    "machine, message",
    [
        ('made_in = "Ruritania"', r"record press.toml, \[machine\]: made in: no country 'Ruritania'"),
        ("year = 1492", r"record press.toml, \[machine\]: year: 1492 is impossible"),
    ],
)
def test_an_impossible_origin_in_the_record_is_named_with_its_file(machine: str, message: str) -> None:
    record = record_of(machine=f"[machine]\n{machine}\n")
    with pytest.raises(RecordError, match=message):
        prior_of(record)


def test_an_impossible_origin_that_is_given_is_refused() -> None:
    with pytest.raises(ReadingError, match="made in: no country 'XX'"):
        prior_of(made_in="xx")


# --- weights ------------------------------------------------------------------------------------------------


def test_weights_from_a_file_replace_the_general_ones(tmp_path: Path) -> None:
    path = tmp_path / "weights.toml"
    path.write_text("[series]\nBA = 4\nM = 0.01\n")
    assert {"BA": 4.0, "M": 0.01} == read_weights(path)
    weighed = identify(TWIN, prior=prior_of(weights=read_weights(path)))
    assert ("0 BA", "M6x1") == (weighed.candidates[0].designation, identify(TWIN).candidates[0].designation)


@pytest.mark.parametrize(
    "text, message",
    [
        ("", "no weights; write [series]"),
        ("[series]", "no weights; write [series]"),
        ("series = 3", "no weights; write [series]"),
        ("[serie]\nBA = 1", "'serie': no such section"),
        ("[series]\nBSFF = 1", "'BSFF': no such series; did you mean 'BSF'?"),
        ("[series]\nxyzzy = 1", "'xyzzy': no such series; there is M, MJ, "),
        ("[series]\nBA = 0", "BA: '0' is no weight; write a number from 1e-09 to 1e+09"),
        ("[series]\nBA = -1", "BA: '-1' is no weight"),
        ("[series]\nBA = inf", "BA: 'inf' is no weight"),
        ("[series]\nBA = nan", "BA: 'nan' is no weight"),
        ("[series]\nBA = true", "BA: 'True' is no weight"),
        ('[series]\nBA = "1"', "BA: '1' is no weight"),
        ("[series]\nBA = ", "not a TOML file"),
        ("\udcff", "not a TOML file"),
    ],
)
def test_weights_that_are_none_are_refused(text: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "weights.toml"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises((ReadingError, FileFaultError)) as refused:
        read_weights(path)
    assert message in str(refused.value)
    assert "weights.toml" in str(refused.value)


def test_weights_that_are_not_there_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFaultError, match="cannot be read .No such file"):
        read_weights(tmp_path / "none.toml")


# --- effect -------------------------------------------------------------------------------------------------


def effect_of(readings: Readings, record: Record, **known: object) -> tuple[str, bool]:
    prior = prior_of(record, **known)  # type: ignore[arg-type]
    _, effect = identify_with_record([readings], record, prior=prior)
    return effect.change, effect.changed_the_answer


def test_a_record_of_one_system_puts_its_thread_first() -> None:
    assert ("first", True) == effect_of(TWIN, record_of("2 BA", "4 BA", "6 BA"))


def test_a_record_settles_what_was_open() -> None:
    assert ("settled", True) == effect_of(TWIN, record_of("2 BA", "4 BA"), made_in="GB", year=1938)


def test_a_record_opens_what_was_settled() -> None:
    screw = Readings(major="0.372 in", pitch="20 tpi")
    record = record_of("7/16-16 UN")
    assert ("unsettled", True) == effect_of(screw, record, made_in="GB", year=1938)


def test_a_record_that_agrees_only_moves_the_probability() -> None:
    assert ("probability", False) == effect_of(TWIN, record_of("M8"))


def test_a_record_that_has_no_bearing_does_nothing() -> None:
    sure = Readings(major="0.372 in", pitch="20 tpi", flank_angle="27.5 deg")
    assert ("nothing", False) == effect_of(sure, record_of("2 BA"))


def test_the_answer_without_the_record_keeps_origin_and_weights() -> None:
    record = record_of("2 BA")
    prior = prior_of(record, made_in="GB", year=1938, weights={"M": 0.5})
    answer, effect = identify_with_record([TWIN], record, prior=prior)
    assert identify(TWIN, prior=prior).to_dict() == answer.to_dict()
    plain = identify(TWIN, prior=Prior(Origin("GB", 1938), {"M": 0.5}))
    assert plain.to_dict() == effect.without.to_dict()


def test_the_effect_tells_what_was_counted() -> None:
    record = record_of("M8", "2 BA", "4 BA")
    _, effect = identify_with_record([TWIN], record, place="p0", prior=prior_of(record, place="p0"))
    assert (("BA", 2),) == effect.counted
    assert effect.own is not None
    plain = effect.to_dict()
    assert {"BA": 2} == plain["counted"]
    assert "M8x1.25" == plain["own_place_not_counted"]
    assert "M6x1" == plain["without_record"]["designation"]


# --- fasteners that are the same ----------------------------------------------------------------------------


def test_several_fasteners_are_read_from_a_table(tmp_path: Path) -> None:
    path = tmp_path / "screws.csv"
    path.write_text("id,major [mm],pitch,side\na,5.92,1 mm,\n\nb,5.90,1 mm,external\n")
    read = read_same(path)
    assert [5.92, 5.90] == [one.major.value for one in read if one.major is not None]
    apart = [Readings(major=size, pitch="1 mm") for size in ("5.92 mm", "5.90 mm")]
    assert identify_same(apart).to_dict() == identify_same(read).to_dict()


@pytest.mark.parametrize(
    "text, message",
    [
        ("", "no header"),
        ("id,major [mm]\n", "no row below the header"),
        ("id,major [mm]\na,8\nb,soft\n", "row 'b': major diameter"),
        ("id,major [mm]\na,8\na,8\n", "row 'a': id: 'a' is there already"),
        ("id,major [mm]\na,8\nb,\n", "no reading given"),
    ],
)
def test_a_table_with_a_row_that_cannot_be_read_is_refused(text: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "screws.csv"
    path.write_text(text)
    with pytest.raises((ReadingError, FileFaultError)) as refused:
        read_same(path)
    assert message in str(refused.value)
    assert "screws.csv" in str(refused.value)


def test_a_table_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFaultError, match="cannot be read .No such file.*name a table in CSV"):
        read_same(tmp_path / "none.csv")
