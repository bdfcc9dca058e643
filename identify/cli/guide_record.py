"""Where a guided session is kept: in the machine record, answer by answer, or nowhere."""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from threadwright.cli.identify_machine import Found, entry_of

if TYPE_CHECKING:
    from threadwright.guided import Session
    from threadwright.priors import Prior
    from threadwright.record import OpenSession, Record

__all__ = ["Keeper", "keeper_of"]


@dataclass(slots=True)
class Keeper:
    """Keeps a session in a record under its place; without a path it keeps nothing."""

    path: str | None
    place: str
    record: Record
    prior: Prior
    replace: bool
    held: OpenSession | None
    """The session as it was last seen in the file."""

    def begin(self) -> Session:
        """The session that is open there, or a new one."""
        from threadwright.guided import check_kept

        answers = () if self.held is None else self.held.answers
        where = f"record {self.path}, [[session]] {self.place!r}"
        return check_kept(answers, prior=self.prior, where=where)

    def keep(self, session: Session) -> None:
        """Write all answers."""
        import datetime

        from threadwright.record import Machine, OpenSession, save_session

        if self.path is None:
            return
        now = OpenSession(place=self.place, answers=session.answers, date=datetime.date.today())
        machine = Machine(made_in=self.prior.origin.country, year=self.prior.origin.year)
        save_session(self.path, now, before=self.held, machine=machine)
        self.held = now

    def finish(self, session: Session) -> Found:
        """Put the thread into the record, and take the session out of it."""
        from threadwright.record import save_entry

        found = self.leave(session)
        if self.path is None:
            return found
        if found.answer.fits_nothing:
            return Found(found.answer, self.prior, self.path, found.effect, refused=True)
        notes = "read on the screw of this hole" if session.for_hole and session.side == "external" else None
        entry = entry_of(self.place, found.answer, session.typed, notes=notes)
        save_entry(self.path, entry, replace=self.replace, end_session=True)
        return Found(found.answer, self.prior, self.path, found.effect, entry)

    def leave(self, session: Session) -> Found:
        """What is known, with the record as it is."""
        from threadwright.machine import identify_with_record
        from threadwright.readings import Readings

        assert session.belief is not None
        if self.path is None:
            return Found(session.belief, self.prior)
        answer, effect = identify_with_record(
            [Readings(**session.typed)], self.record, place=self.place, prior=self.prior
        )
        return Found(answer, self.prior, self.path, effect)

    def where(self) -> str:
        """Where the answers are kept, as a sentence."""
        if self.path is None:
            return "Nothing is kept; --record FILE.toml and --place TEXT keep every answer."
        return f'Every answer is kept in {self.path}, as "{self.place}".'

    def left_open(self) -> list[str]:
        """What to say where the session is not finished."""
        from threadwright.cli.format import paragraph

        if self.path is None or self.held is None:
            return []
        return [paragraph(f'Not finished: open in {self.path} as "{self.place}"; the same command goes on.')]


def keeper_of(
    path: str | None,
    place: str | None,
    *,
    replace: bool,
    made_in: str | None,
    year: int | None,
    priors_path: str | None,
) -> Keeper:
    """Look into the record, if there is one."""
    from threadwright.machine import prior_of, read_weights
    from threadwright.record import Record, checked_place, read_record
    from threadwright.tables.errors import RecordError

    context = click.get_current_context()
    if (path is None) != (place is None):
        missing = "--record FILE.toml" if path is None else 'a --place, like "ink disc bracket"'
        raise click.UsageError(f"a session is kept in a record under a place; give {missing} too", context)
    if replace and path is None:
        raise click.UsageError("--replace needs --record and --place; give both, or leave it out", context)
    weights = None if priors_path is None else read_weights(priors_path)
    record = read_record(path) if path is not None and os.path.lexists(path) else Record()
    spot = "" if place is None else checked_place(place)
    old = None if path is None else record.at(spot)
    if old is not None and not replace:
        raise RecordError(
            f"record {path}: place {spot!r} is there already, as {old.designation}; "
            "say --replace to measure it again, or name another place"
        )
    prior = prior_of(record, place=spot or None, made_in=made_in, year=year, weights=weights)
    held = None if path is None else record.session_at(spot)
    return Keeper(path, spot, record, prior, replace, held)
