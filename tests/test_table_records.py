"""Records of the tables: made by keyword, never changed, refused if a field is missing or unknown."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from dataclasses import field

import pytest

from threadwright.tables.iso_metric import ISO_FORM
from threadwright.tables.record import Record, dataclass
from threadwright.tables.registry import system


class Nut(Record):
    """A record of the tests."""

    flats: float
    height: float
    note: str = ""


def test_a_record_holds_what_it_was_given_and_its_defaults() -> None:
    nut = Nut(flats=13.0, height=6.8)
    assert (13.0, 6.8, "") == (nut.flats, nut.height, nut.note)


@pytest.mark.parametrize(
    "given, named",
    [({"flats": 13.0}, "height"), ({"flats": 13.0, "height": 6.8, "colour": 1}, "colour"), ({}, "flats")],
)
def test_a_missing_or_unknown_field_is_refused_by_name(given: dict[str, float], named: str) -> None:
    with pytest.raises(TypeError, match=f"Nut: field '{named}' is missing or unknown"):
        Nut(**given)


def test_a_record_is_never_changed_but_another_is_made() -> None:
    nut = Nut(flats=13.0, height=6.8)
    with pytest.raises(AttributeError, match=r"Nut is never changed; make another with but\(flats=...\)"):
        nut.flats = 14.0  # type: ignore[misc]
    other = nut.but(flats=14.0, note="large")
    assert (14.0, 6.8, "large") == (other.flats, other.height, other.note)
    assert 13.0 == nut.flats


def test_two_records_are_equal_only_if_they_are_the_same_but_forms_by_their_proportions() -> None:
    assert Nut(flats=13.0, height=6.8) != Nut(flats=13.0, height=6.8)
    assert ISO_FORM == copy.deepcopy(ISO_FORM)
    assert hash(ISO_FORM) == hash(copy.deepcopy(ISO_FORM))
    assert ISO_FORM != ISO_FORM.but(name="another")
    assert "Form('ISO 60 deg')" == repr(ISO_FORM)


def test_what_was_worked_out_for_a_form_is_not_taken_over_by_a_changed_one() -> None:
    assert 0.866025 == round(ISO_FORM.height, 6)
    assert 0.5 == round(ISO_FORM.but(flank_angle=45.0).height, 6)


def test_systems_are_kept_apart_by_themselves() -> None:
    assert system("M") == system("M")
    assert system("M") != system("M").but(title="ISO metric")


@dataclass(frozen=True, slots=True)
class Washer:
    """A washer."""

    bore: float
    note: str = ""
    marks: dict[str, int] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        if self.bore <= 0:
            raise ValueError("bore must be above 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rivet:
    """A rivet."""

    length: float
    head: str = field(default="round", hash=False, repr=False)


@dataclass(frozen=True, slots=True, eq=False)
class Pin:
    """A pin; no two are the same."""

    width: float


@dataclasses.dataclass(frozen=True, slots=True)
class StandardWasher:
    """The same as a washer, by the standard library."""

    bore: float
    note: str = ""
    marks: dict[str, int] = field(default_factory=dict, compare=False)


def test_a_light_dataclass_is_made_compared_and_shown_as_the_standard_one() -> None:
    for given, named in [((8.4,), {}), ((8.4, "thin"), {}), ((), {"bore": 8.4, "marks": {"a": 1}})]:
        light, standard = Washer(*given, **named), StandardWasher(*given, **named)  # type: ignore[arg-type]
        assert dataclasses.asdict(standard) == dataclasses.asdict(light)
        assert repr(standard).removeprefix("Standard") == repr(light)
        assert hash(standard) == hash(light)
        assert dataclasses.astuple(dataclasses.replace(standard, bore=9.0)) == dataclasses.astuple(
            dataclasses.replace(light, bore=9.0)
        )
        assert light != standard
    assert StandardWasher.__match_args__ == Washer.__match_args__
    expected = inspect.signature(StandardWasher).replace(return_annotation=inspect.Signature.empty)
    assert [*expected.parameters] == [*inspect.signature(Washer).parameters]
    assert ["POSITIONAL_OR_KEYWORD"] * 3 == [
        one.kind.name for one in inspect.signature(Washer).parameters.values()
    ]
    assert "(*, length: 'float', head: 'str' = 'round')" == str(inspect.signature(Rivet))


def test_a_light_dataclass_leaves_out_of_its_methods_what_its_fields_say() -> None:
    assert Washer(8.4, marks={"a": 1}) == Washer(8.4)
    assert Rivet(length=6.0) != Rivet(length=6.0, head="flat")
    assert hash(Rivet(length=6.0)) == hash(Rivet(length=6.0, head="flat"))
    assert "Rivet(length=6.0)" == repr(Rivet(length=6.0))
    pin = Pin(3.0)
    assert pin != Pin(3.0)
    assert 2 == len({pin, Pin(3.0)})


def test_a_light_dataclass_is_checked_never_changed_and_survives_a_copy() -> None:
    washer = Washer(8.4, "thin", {"a": 1})
    for copied in (copy.copy(washer), copy.deepcopy(washer), pickle.loads(pickle.dumps(washer))):
        assert washer == copied
        assert washer.marks == copied.marks
    with pytest.raises(ValueError, match="bore must be above 0"):
        dataclasses.replace(washer, bore=0.0)
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'bore'"):
        washer.bore = 9.0  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot delete field 'bore'"):
        del washer.bore


@pytest.mark.parametrize(
    ("given", "named", "told"),
    [
        ((), {}, r"Washer\(\): field 'bore' is missing or unknown"),
        ((8.4,), {"bord": 1.0}, r"Washer\(\): field 'bord' is missing or unknown"),
        ((8.4,), {"bore": 1.0}, r"Washer\(\) got two values for 'bore'"),
        ((8.4, "", {}, 1), {}, r"Washer\(\) takes 3 values by place, not 4"),
    ],
)
def test_a_light_dataclass_refuses_wrong_fields(
    given: tuple[object, ...], named: dict[str, float], told: str
) -> None:
    with pytest.raises(TypeError, match=told):
        Washer(*given, **named)  # type: ignore[arg-type]


def test_a_light_dataclass_is_frozen_and_has_slots() -> None:
    with pytest.raises(TypeError, match="changes or has no slots"):
        dataclass(frozen=False, slots=True)
