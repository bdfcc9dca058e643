"""The machine record: what was identified on one machine so far, in a TOML file that people may edit.

::

    [machine]
    name = "treadle press"
    made_in = "GB"
    year = 1938

    [[fastener]]
    place = "ink disc bracket"
    thread = "3/8-20 BSF"
    probability = 0.98
    readings = {major = "0.372 in", pitch = "20 tpi"}
    date = 2026-05-31
    notes = "three alike"

A guided session that is not finished stands under ``[[session]]``, with its place and all answers; it weighs
nothing. Saving changes one entry and leaves the rest of the file as it is, comments and all.
"""

from __future__ import annotations

import datetime
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from threadwright.notebook import machine_html
from threadwright.readings import Readings
from threadwright.record_keys import (
    FASTENER_KEYS,
    LONGEST_PLACE,
    MACHINE_KEYS,
    READING_KEYS,
    SECTIONS,
    SESSION_KEYS,
    checked,
    did_you_mean,
    same_place,
)
from threadwright.record_text import new_text, with_entry, with_session, without_session
from threadwright.safe_file import LOCK_TIMEOUT_S, locked, write_whole
from threadwright.tables.errors import FileFaultError, ReadingError, RecordError, ThreadwrightError
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import find_thread_and_class
from threadwright.tables.thread import Thread

__all__ = [
    "Answer",
    "Entry",
    "Machine",
    "OpenSession",
    "Record",
    "checked_place",
    "parse_record",
    "read_record",
    "save_entry",
    "save_session",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """What the record says of the machine; None is not known."""

    name: str | None = None
    made_in: str | None = None
    year: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One fastener that was identified.

    Attributes
    ----------
    place : str
        Where on the machine it sits; names the entry.
    thread : Thread
    tolerance_class : str or None
    probability : float
        How sure that was; 1 where the record does not say.
    readings : mapping
        Readings as they were typed, by the names of :class:`threadwright.readings.Readings`.
    date : datetime.date or None
    notes : str or None
    """

    place: str
    thread: Thread
    tolerance_class: str | None = None
    probability: float = 1.0
    readings: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    date: datetime.date | None = None
    notes: str | None = None

    @property
    def designation(self) -> str:
        """The thread as the standard prints it, with LH behind a left-hand one."""
        return f"{self.thread.designation}{' LH' if self.thread.left_hand else ''}"


@dataclass(frozen=True, slots=True)
class Answer:
    """What was asked in a guided session, and what was answered, as it was typed."""

    ask: str
    say: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSession:
    """A guided session that is not finished; ``date`` is the day of its last answer."""

    place: str
    answers: tuple[Answer, ...] = ()
    date: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """A machine and the fasteners that were identified on it; ``name`` is what messages call it.

    ``sessions`` are those that are not finished; they are no evidence of anything.

    Examples
    --------
    >>> text = '[[fastener]]\\nplace = "foot"\\nthread = "2 BA"\\nprobability = 0.9\\n'
    >>> dict(parse_record(text, name="press.toml").counts())
    {'BA': 0.9}
    """

    machine: Machine = field(default_factory=Machine)
    entries: tuple[Entry, ...] = ()
    name: str = "record"
    sessions: tuple[OpenSession, ...] = ()

    def _repr_html_(self) -> str:
        """The fasteners as a table, for a notebook."""
        return machine_html(
            self.machine.name or "A machine without a name",
            [(one.place, one.designation, one.probability, one.notes) for one in self.entries],
            not_finished=[one.place for one in self.sessions],
        )

    def at(self, place: str) -> Entry | None:
        """The entry of a place, if there is one."""
        return next((entry for entry in self.entries if same_place(entry.place, place)), None)

    def session_at(self, place: str) -> OpenSession | None:
        """The session of a place that is not finished, if there is one."""
        return next((one for one in self.sessions if same_place(one.place, place)), None)

    def without(self, place: str | None) -> tuple[Entry, ...]:
        """All entries but that of one place."""
        return tuple(entry for entry in self.entries if place is None or not same_place(entry.place, place))

    def counts(self, *, without: str | None = None) -> dict[str, float]:
        """Fasteners of each system, each counted by its probability.

        Parameters
        ----------
        without : str, optional
            A place whose entry is not counted: a fastener is no evidence of itself.
        """
        found: dict[str, float] = {}
        for entry in self.without(without):
            found[entry.thread.system] = found.get(entry.thread.system, 0.0) + entry.probability
        return found


def read_record(path: str | os.PathLike[str]) -> Record:
    """Read and check a machine record.

    Parameters
    ----------
    path : path
        The TOML file.

    Raises
    ------
    FileFaultError
        If the file is missing, unreadable or not TOML.
    RecordError
        As :func:`parse_record`.
    """
    return parse_record(_text(path), name=f"record {os.fspath(path)}")


def parse_record(text: str, *, name: str) -> Record:
    """Check the text of a machine record.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        What messages call the file.

    Raises
    ------
    FileFaultError
        If the text is not TOML.
    RecordError
        If a section or key is unknown, missing, of the wrong kind or impossible, or a place is there twice.

    Examples
    --------
    >>> parse_record('[machine]\\nname = "press"\\n', name="press.toml").machine.name
    'press'
    """
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise FileFaultError(
            f"{name}: not a whole TOML file ({fault}); mend that line, or take the file from a copy"
        ) from fault
    for section in tables:
        if section not in SECTIONS:
            raise RecordError(f"{name}, {section}: no such section; {did_you_mean(section, SECTIONS)}")
    machine = Machine(**checked(tables.get("machine", {}), MACHINE_KEYS, f"{name}, [machine]"))
    entries = tuple(
        _entry(table, f"{name}, [[fastener]] {number}")
        for number, table in enumerate(_listed(tables, "fastener", name), start=1)
    )
    sessions = tuple(
        _session(table, f"{name}, [[session]] {number}")
        for number, table in enumerate(_listed(tables, "session", name), start=1)
    )
    _check_places([one.place for one in entries], name, "place")
    _check_places([one.place for one in sessions], name, "a session at place")
    return Record(machine, entries, name, sessions)


def save_entry(
    path: str | os.PathLike[str],
    entry: Entry,
    *,
    machine: Machine | None = None,
    replace: bool = False,
    end_session: bool = False,
    timeout_s: float = LOCK_TIMEOUT_S,
) -> Record:
    """Add an entry to a machine record, under its lock.

    Parameters
    ----------
    path : path
        The file; it is made if it is missing.
    entry : Entry
    machine : Machine, optional
        Heads a file that is made; an old file keeps its own.
    replace : bool
        Whether the entry may take the place of one that is there; its notes stay unless new ones are given.
    end_session : bool
        Whether a guided session of that place is finished by it, and goes.
    timeout_s : float
        How long to wait for another program that writes the record. [s]

    Returns
    -------
    Record
        As it is now on disk.

    Raises
    ------
    FileFaultError
        If the file cannot be read, locked or written; it is as it was before.
    RecordError
        If the file is wrong, or the place is in it already and is not to be replaced.
    """
    name = f"record {os.fspath(path)}"
    place = checked_place(entry.place)
    with locked(path, timeout_s=timeout_s):
        text = _text(path) if os.path.exists(path) else new_text(_known(machine or Machine()))
        old = parse_record(text, name=name).at(place)
        if old is not None and not replace:
            raise RecordError(
                f"{name}: place {shorten(old.place)} is there already, as {old.designation}; "
                "say --replace to replace it, or name another place"
            )
        edited = with_entry(text, place, _plain(entry), name=name)
        if end_session:
            edited = without_session(edited, place, name=name)
        record = parse_record(edited, name=name)
        write_whole(path, edited)
    return record


def save_session(
    path: str | os.PathLike[str],
    session: OpenSession,
    *,
    before: OpenSession | None,
    machine: Machine | None = None,
    timeout_s: float = LOCK_TIMEOUT_S,
) -> Record:
    """Keep a guided session that is not finished in a machine record, under its lock.

    Parameters
    ----------
    path : path
        The file; it is made if it is missing.
    session : OpenSession
    before : OpenSession or None
        The session as it was last seen there; None if there was none.
    machine : Machine, optional
        Heads a file that is made; an old file keeps its own.
    timeout_s : float
        How long to wait for another program that writes the record. [s]

    Returns
    -------
    Record
        As it is now on disk.

    Raises
    ------
    FileFaultError
        If the file cannot be read, locked or written; it is as it was before.
    RecordError
        If the file is wrong, or another program has gone on with that session or finished it.
    """
    name = f"record {os.fspath(path)}"
    place = checked_place(session.place)
    with locked(path, timeout_s=timeout_s):
        text = _text(path) if os.path.exists(path) else new_text(_known(machine or Machine()))
        there = parse_record(text, name=name).session_at(place)
        if (there.answers if there else None) != (before.answers if before else None):
            raise RecordError(
                f"{name}: another program has changed the session at {shorten(place)} meanwhile, and the "
                "last answer is not kept; begin again, to go on with what is there now"
            )
        answers = [{"ask": one.ask, "say": one.say} for one in session.answers]
        edited = with_session(text, place, answers, date=session.date, name=name)
        record = parse_record(edited, name=name)
        write_whole(path, edited)
    return record


def checked_place(text: str) -> str:
    place = " ".join(text.split())
    if not place or len(place) > LONGEST_PLACE:
        raise RecordError(
            f"place: cannot be {shorten(place)}; write 1 to {LONGEST_PLACE} letters, like 'ink disc bracket'"
        )
    return place


# --- one fastener, one session ------------------------------------------------------------------------------


def _listed(tables: Mapping[str, Any], section: str, name: str) -> list[object]:
    listed = tables.get(section, [])
    if not isinstance(listed, list):
        raise RecordError(f"{name}, {section}: it is no list; write [[{section}]], with two brackets")
    return listed


def _check_places(places: list[str], name: str, what: str) -> None:
    for number, place in enumerate(places):
        if any(same_place(place, other) for other in places[:number]):
            raise RecordError(f"{name}: {what} {shorten(place)} is there twice; leave one, or rename it")


def _session(table: object, where: str) -> OpenSession:
    given = checked(table, SESSION_KEYS, where)
    if "place" not in given:
        raise RecordError(f'{where}, place is missing; write it like place = "ink disc bracket"')
    answers = tuple(Answer(**one) for one in given.get("answers", ()))
    return OpenSession(place=given["place"], answers=answers, date=given.get("date"))


def _entry(table: object, where: str) -> Entry:
    given = checked(table, FASTENER_KEYS, where)
    for key, like in (("place", "ink disc bracket"), ("thread", "3/8-20 BSF")):
        if key not in given:
            raise RecordError(f'{where}, {key} is missing; write it like {key} = "{like}"')
    where = f"{where} ({shorten(given['place'])})"
    try:
        thread, named = find_thread_and_class(given["thread"])
    except ThreadwrightError as fault:
        raise RecordError(f"{where}, {fault}") from fault
    tolerance_class = given.get("class", named)
    held = tuple(
        dict.fromkeys(limits.tolerance_class for limits in thread.all_limits if limits.tolerance_class)
    )
    if tolerance_class is not None and tolerance_class not in held:
        raise RecordError(
            f"{where}, class: {thread.designation} has no class {shorten(tolerance_class)} in the tables; "
            f"they hold {', '.join(held) or 'none'}"
        )
    readings = checked(given.get("readings", {}), READING_KEYS, f"{where}, readings")
    try:
        Readings(**readings)
    except ReadingError as fault:
        raise RecordError(f"{where}, readings: {fault}") from fault
    return Entry(
        place=given["place"],
        thread=thread,
        tolerance_class=tolerance_class,
        probability=given.get("probability", 1.0),
        readings=MappingProxyType(readings),
        date=given.get("date"),
        notes=given.get("notes"),
    )


# --- the file -----------------------------------------------------------------------------------------------


def _text(path: str | os.PathLike[str]) -> str:
    try:
        return Path(path).read_bytes().decode("utf-8")
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "it is not text in UTF-8"
        raise FileFaultError(
            f"record {os.fspath(path)}: cannot be read ({reason}); name a TOML file, or begin one with --save"
        ) from fault


def _known(machine: Machine) -> dict[str, Any]:
    """Keys of a machine that are known."""
    return {key: value for key in MACHINE_KEYS if (value := getattr(machine, key)) is not None}


def _plain(entry: Entry) -> dict[str, Any]:
    """Keys of an entry but its place."""
    values: dict[str, Any] = {
        "thread": entry.designation,
        "class": entry.tolerance_class,
        "probability": round(entry.probability, 4) or 1e-4,
        "readings": dict(entry.readings) or None,
        "date": entry.date,
        "notes": entry.notes,
    }
    return {key: value for key, value in values.items() if value is not None}
