"""Records of the tables: made by keyword, never changed, refused if a field is missing or unknown."""

from __future__ import annotations

import copy

import pytest

from threadwright.tables.iso_metric import ISO_FORM
from threadwright.tables.record import Record
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
