"""The machine behind ``threadwright identify``: origin, record, and fasteners believed to be the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import click

from threadwright import judgement

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.machine import RecordEffect
    from threadwright.open_set import Slip
    from threadwright.priors import Prior
    from threadwright.ranking import Identification
    from threadwright.record import Entry, Record

__all__ = ["Found", "beside_lines", "entry_of", "from_machine", "slips"]

_AS_USUAL: Final = {"wires": 3, "flats_of": "head"}  # not worth a place in the record


@dataclass(frozen=True, slots=True)
class Found:
    """An answer and what the machine has to do with it; ``refused``: it was to be saved, and fits nothing."""

    answer: Identification
    prior: Prior
    path: str | None = None
    effect: RecordEffect | None = None
    saved: Entry | None = None
    refused: bool = False

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        plain = self.answer.to_dict()
        origin = self.prior.origin
        if origin.country is not None or origin.year is not None:
            plain["origin"] = {"made_in": origin.country, "year": origin.year}
        if self.effect is not None:
            saved = None if self.saved is None else self.saved.designation
            plain["record"] = {"path": self.path, **self.effect.to_dict(), "saved": saved}
        plain["measure_next"] = self._next()
        plain["slips"] = [slip.to_dict() for slip in slips(self.answer)]
        return plain

    def _next(self) -> dict[str, Any] | None:
        """The reading to take next; None where it is settled, fits nothing or no reading would tell."""
        from threadwright.next_reading import next_reading

        if self.answer.fits_nothing:
            return None
        hint = next_reading(self.answer, prior=self.prior)
        return None if hint is None else hint.to_dict()


def slips(answer: Identification) -> list[Slip]:
    """Slips that would make sense of readings that fit nothing, or hardly anything."""
    if answer.none_of_these < judgement.LOOK_FOR_SLIPS:
        return []
    from threadwright.open_set import find_slips

    return [slip for one in answer.fasteners if one.given() for slip in find_slips(one)[:3]]


def from_machine(
    typed: dict[str, Any],
    *,
    top: int,
    same_path: str | None,
    made_in: str | None,
    year: int | None,
    record_path: str | None,
    place: str | None,
    save: bool,
    replace: bool,
    priors_path: str | None,
) -> Found:
    """Identify what was typed, with all that is known of its machine, and save it if asked."""
    from threadwright.machine import identify_with_record, prior_of, read_same, read_weights
    from threadwright.ranking import identify_same
    from threadwright.readings import Readings

    _check_usage(record_path, place, save=save, replace=replace)
    own = Readings(**typed)
    if same_path is None:
        fasteners: tuple[Readings, ...] = (own,)
    else:
        read = own.given() or own.evidence.given()
        fasteners = ((own,) if read else ()) + read_same(same_path)
    record = None if record_path is None else _record(record_path, save=save)
    weights = None if priors_path is None else read_weights(priors_path)
    prior = prior_of(record, place=place, made_in=made_in, year=year, weights=weights)
    if record is None:
        return Found(identify_same(fasteners, top=top, prior=prior), prior)
    answer, effect = identify_with_record(fasteners, record, place=place, prior=prior, top=top)
    saved = None
    if save and not answer.fits_nothing:
        assert record_path is not None
        assert place is not None
        notes = None if same_path is None else f"{len(fasteners)} alike, of {same_path}"
        saved = _save(record_path, place, answer, typed, prior, notes=notes, replace=replace)
    return Found(answer, prior, record_path, effect, saved, refused=save and answer.fits_nothing)


def _check_usage(record_path: str | None, place: str | None, *, save: bool, replace: bool) -> None:
    """Refuse options that mean nothing without others."""
    context = click.get_current_context()
    if record_path is None and (place is not None or save):
        what = "--save" if save else "--place"
        raise click.UsageError(f"{what} needs a record; give --record FILE.toml too", context)
    if save and place is None:
        raise click.UsageError('--save needs a place; give --place too, like "ink disc bracket"', context)
    if replace and not save:
        raise click.UsageError("--replace does nothing alone; give --save too, or leave it out", context)


def _record(path: str, *, save: bool) -> Record:
    """The record; an empty one where it is about to be made."""
    import os

    from threadwright.record import Record, read_record

    return Record() if save and not os.path.lexists(path) else read_record(path)


def _save(
    path: str,
    place: str,
    answer: Identification,
    typed: dict[str, Any],
    prior: Prior,
    *,
    notes: str | None,
    replace: bool,
) -> Entry:
    """Add the first candidate to the record."""
    from threadwright.record import Machine, save_entry

    entry = entry_of(place, answer, typed, notes=notes)
    machine = Machine(made_in=prior.origin.country, year=prior.origin.year)
    save_entry(path, entry, machine=machine, replace=replace)
    return entry


def entry_of(
    place: str, answer: Identification, typed: Mapping[str, Any], *, notes: str | None = None
) -> Entry:
    """The first candidate as an entry of a record."""
    import datetime

    from threadwright.record import Entry

    first = answer.candidates[0]
    return Entry(
        place=place,
        thread=first.thread,
        probability=first.probability,
        readings={name: value for name, value in typed.items() if _AS_USUAL.get(name) != value},
        date=datetime.date.today(),
        notes=notes,
    )


# --- what is said of it -------------------------------------------------------------------------------------


def beside_lines(found: Found) -> list[str]:
    """Origin, what the record did, and what was saved, as paragraphs below an answer."""
    from threadwright.cli.format import paragraph

    texts = [_hand(found.answer), _origin(found.prior), *_record_texts(found), *_saved(found)]
    said = [paragraph(text) for text in texts if text]
    return ["", *said] if said else []


def _hand(answer: Identification) -> str:
    """What the hand is used for."""
    if answer.hand == "left":
        return (
            "Left hand: it goes into the thread's name, the record and the repair (taps, dies and bush too). "
            "It does not tell one standard from another: all were made with either hand."
        )
    return "Right hand, as nearly all: it does not tell one standard from another." if answer.hand else ""


def _origin(prior: Prior) -> str:
    country, year = prior.origin.country, prior.origin.year
    place = "" if country is None else f" in {country}"
    when = "" if year is None else f" in {year}" if country is None else f", {year}"
    texts = [f"Weighed for a machine made{place}{when}."] if place or when else []
    if prior.weights:
        texts.append(f"Weights given for {', '.join(prior.weights)}.")
    return " ".join(texts)


def _record_texts(found: Found) -> list[str]:
    effect = found.effect
    if effect is None:
        return []
    texts = []
    if not effect.counted:
        texts.append(f"The record {found.path} holds no other fastener yet: it does not change the answer.")
    else:
        count = sum(number for _, number in effect.counted)
        held = ", ".join(f"{number} {system}" for system, number in effect.counted)
        noun = "fastener" if count == 1 else "fasteners"
        texts.append(f"The record {found.path} ({count} {noun}: {held}) {_did(effect, found.answer)}.")
    if effect.own is not None:
        texts.append(f"Its own entry there, {effect.own.designation}, was not counted.")
    return texts


def _did(effect: RecordEffect, answer: Identification) -> str:
    """What the record did, after "The record"."""
    from threadwright.cli.format import share

    first, before = answer.candidates[0], effect.without.candidates[0]
    was = f"probability {share(before.probability)}"
    if effect.change == "first":
        if effect.without.fits_nothing:
            return "changed the answer: without it, none of the threads in the tables would fit"
        return f"changed the answer: without it, {before.designation} would come first, {was}"
    if effect.change == "settled":
        return f"changed the answer: without it, {first.designation} would not be settled, {was}"
    if effect.change == "unsettled":
        return f"changed the answer: without it, {first.designation} would be settled, {was}"
    if effect.change == "probability":
        return f"did not change the answer; without it, {first.designation} would have {was}"
    return "does not change the answer"


def _saved(found: Found) -> list[str]:
    from threadwright.cli.format import share

    if found.refused:
        return ["Not saved: no thread fits."]
    if found.saved is None:
        return []
    one = found.saved
    text = f'Saved in {found.path} as "{one.place}": {one.designation}, probability {share(one.probability)}'
    return [text + ("." if found.answer.settled else ", not settled: it counts by its probability.")]
