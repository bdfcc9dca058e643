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

Saving changes one entry and leaves the rest of the file as it is, comments and all.
"""

from __future__ import annotations

import datetime
import os
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from threadwright.readings import Readings
from threadwright.safe_file import LOCK_TIMEOUT_S, locked, write_whole
from threadwright.tables.errors import FileFaultError, ReadingError, RecordError, ThreadwrightError
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import find_thread_and_class
from threadwright.tables.thread import Thread

__all__ = ["Entry", "Machine", "Record", "parse_record", "read_record", "save_entry"]

_Reader = Callable[[object, str], object]


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
class Record:
    """A machine and the fasteners that were identified on it; ``name`` is what messages call it.

    Examples
    --------
    >>> text = '[[fastener]]\\nplace = "foot"\\nthread = "2 BA"\\nprobability = 0.9\\n'
    >>> dict(parse_record(text, name="press.toml").counts())
    {'BA': 0.9}
    """

    machine: Machine = field(default_factory=Machine)
    entries: tuple[Entry, ...] = ()
    name: str = "record"

    def at(self, place: str) -> Entry | None:
        """The entry of a place, if there is one."""
        return next((entry for entry in self.entries if _same_place(entry.place, place)), None)

    def without(self, place: str | None) -> tuple[Entry, ...]:
        """All entries but that of one place."""
        return tuple(entry for entry in self.entries if place is None or not _same_place(entry.place, place))

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
        if section not in _SECTIONS:
            raise RecordError(f"{name}, {section}: no such section; {_did_you_mean(section, _SECTIONS)}")
    machine = Machine(**_checked(tables.get("machine", {}), _MACHINE_KEYS, f"{name}, [machine]"))
    listed = tables.get("fastener", [])
    if not isinstance(listed, list):
        raise RecordError(f"{name}, fastener: it is no list; write [[fastener]], with two brackets")
    entries: list[Entry] = []
    for number, table in enumerate(listed, start=1):
        entry = _entry(table, f"{name}, [[fastener]] {number}")
        if any(_same_place(entry.place, other.place) for other in entries):
            raise RecordError(f"{name}: place {shorten(entry.place)} is there twice; leave one, or rename it")
        entries.append(entry)
    return Record(machine, tuple(entries), name)


def save_entry(
    path: str | os.PathLike[str],
    entry: Entry,
    *,
    machine: Machine | None = None,
    replace: bool = False,
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
    place = " ".join(entry.place.split())
    if not place or len(place) > _LONGEST_PLACE:
        raise RecordError(
            f"place: cannot be {shorten(place)}; write 1 to {_LONGEST_PLACE} letters, like 'ink disc bracket'"
        )
    with locked(path, timeout_s=timeout_s):
        text = _text(path) if os.path.exists(path) else _new_text(machine or Machine())
        old = parse_record(text, name=name).at(place)
        if old is not None and not replace:
            raise RecordError(
                f"{name}: place {shorten(old.place)} is there already, as {old.designation}; "
                "say --replace to replace it, or name another place"
            )
        new_text = _with_entry(text, entry, place, name)
        record = parse_record(new_text, name=name)
        write_whole(path, new_text)
    return record


# --- what each key holds ------------------------------------------------------------------------------------


def _words(value: object, where: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise RecordError(
            f'{where}: {shorten(str(value))} is not text; write it in quotes, like "steel cover"'
        )
    return value


def _word_or_list(value: object, where: str) -> object:
    if isinstance(value, list) and value:
        return [_words(one, where) for one in value]
    return _words(value, where)


def _whole(value: object, where: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise RecordError(
            f"{where}: {shorten(str(value))} is not a whole number; write it without quotes, like 3"
        )
    return value


def _number(value: object, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RecordError(
            f"{where}: {shorten(str(value))} is not a number; write it without quotes, like 0.95"
        )
    return float(value)


def _probability(value: object, where: str) -> float:
    probability = _number(value, where)
    if not 0.0 < probability <= 1.0:
        raise RecordError(
            f"{where}: {probability:g} is no probability; write one above 0 and up to 1, like 0.95"
        )
    return probability


def _date(value: object, where: str) -> datetime.date:
    if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
        raise RecordError(
            f"{where}: {shorten(str(value))} is not a date; write it without quotes, like 2026-05-31"
        )
    return value


def _table(value: object, where: str) -> Mapping[str, object]:
    if not isinstance(value, Mapping):
        raise RecordError(f'{where}: it is no table; write it like {{major = "0.372 in", pitch = "20 tpi"}}')
    return value


_LONGEST_PLACE: Final = 60
_SECTIONS: Final = ("machine", "fastener")
_MACHINE_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
    {"name": _words, "made_in": _words, "year": _whole}
)
_FASTENER_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
    {
        "place": _words,
        "thread": _words,
        "class": _words,
        "probability": _probability,
        "readings": _table,
        "date": _date,
        "notes": _words,
    }
)
_READING_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
    {
        **dict.fromkeys(("major", "over_wires", "pitch_diameter", "minor", "combs", "tried"), _word_or_list),
        **dict.fromkeys(
            ("pitch", "wire", "flank_angle", "side", "condition", "visible", "instrument"), _words
        ),
        **dict.fromkeys(("lead", "hand", "taper", "crest", "across_flats", "flats_of"), _words),
        **dict.fromkeys(("clearance", "cast"), _words),
        **dict.fromkeys(("wires", "starts"), _whole),
        "anvil": _number,
    }
)


def _checked(table: object, known: Mapping[str, _Reader], where: str) -> dict[str, Any]:
    """Values of one table, each read by its key."""
    if not isinstance(table, Mapping):
        raise RecordError(f"{where}: it is not a section; write it on a line of its own")
    for key in table:
        if key not in known:
            raise RecordError(f"{where}, {shorten(key)}: no such key; {_did_you_mean(key, known)}")
    return {key: known[key](value, f"{where}, {key}") for key, value in table.items()}


def _entry(table: object, where: str) -> Entry:
    given = _checked(table, _FASTENER_KEYS, where)
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
    readings = _checked(given.get("readings", {}), _READING_KEYS, f"{where}, readings")
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


def _did_you_mean(word: str, known: Sequence[str] | Mapping[str, object]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"there is {', '.join(known)}"


def _same_place(one: str, other: str) -> bool:
    """Whether two names of a place differ in capitals and blanks only."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


# --- the file -----------------------------------------------------------------------------------------------


def _text(path: str | os.PathLike[str]) -> str:
    try:
        return Path(path).read_bytes().decode("utf-8")
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "it is not text in UTF-8"
        raise FileFaultError(
            f"record {os.fspath(path)}: cannot be read ({reason}); name a TOML file, or begin one with --save"
        ) from fault


def _new_text(machine: Machine) -> str:
    """Text of a record without a fastener."""
    import tomlkit

    head = "# Fasteners identified on one machine. Edit it as you like: comments are kept.\n"
    known = {key: value for key in _MACHINE_KEYS if (value := getattr(machine, key)) is not None}
    return f"{head}\n{tomlkit.dumps({'machine': known})}" if known else head


def _with_entry(text: str, entry: Entry, place: str, name: str) -> str:
    """The text with an entry added, or changed where its place is there."""
    import tomlkit
    from tomlkit.items import AoT

    document = tomlkit.parse(text if text.endswith("\n") or not text else f"{text}\n")
    fasteners = document.setdefault("fastener", tomlkit.aot())
    if not isinstance(fasteners, AoT):
        raise RecordError(
            f"{name}, fastener: written as one list; begin each with [[fastener]] to add another"
        )
    for table in fasteners:
        if _same_place(str(table["place"]), place):
            for key in [key for key in table if key not in ("place", "notes")]:
                if key not in _plain(entry):
                    del table[key]
            break
    else:
        table = tomlkit.table()
        table.trivia.indent = "\n"
        table["place"] = place
        fasteners.append(table)
    for key, value in _plain(entry).items():
        table[key] = value
    return tomlkit.dumps(document)


def _plain(entry: Entry) -> dict[str, Any]:
    """Keys of an entry but its place, as TOML holds them."""
    import tomlkit

    readings = tomlkit.inline_table()
    readings.update(entry.readings)
    values: dict[str, Any] = {
        "thread": entry.designation,
        "class": entry.tolerance_class,
        "probability": round(entry.probability, 4) or 1e-4,
        "readings": readings if entry.readings else None,
        "date": entry.date,
        "notes": entry.notes,
    }
    return {key: value for key, value in values.items() if value is not None}
