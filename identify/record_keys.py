"""What each section and key of a machine record holds, and how a wrong one is refused."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any, Final

from threadwright.tables.errors import RecordError
from threadwright.tables.numbers import shorten

__all__ = [
    "FASTENER_KEYS",
    "LONGEST_PLACE",
    "MACHINE_KEYS",
    "READING_KEYS",
    "SECTIONS",
    "SESSION_KEYS",
    "checked",
    "did_you_mean",
    "same_place",
]

_Reader = Callable[[object, str], object]


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


def _answers(value: object, where: str) -> tuple[dict[str, Any], ...]:
    if not isinstance(value, list):
        raise RecordError(f'{where}: it is no list; write it like [{{ask = "major", say = "9.45 mm"}}]')
    found = []
    for number, one in enumerate(value, start=1):
        held = checked(one, _ANSWER_KEYS, f"{where} {number}")
        for key in _ANSWER_KEYS:
            if key not in held:
                raise RecordError(
                    f'{where} {number}, {key} is missing; write it like {{ask = "major", say = "9.45 mm"}}'
                )
        found.append(held)
    return tuple(found)


LONGEST_PLACE: Final = 60
SECTIONS: Final = ("machine", "fastener", "session")
MACHINE_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
    {"name": _words, "made_in": _words, "year": _whole}
)
FASTENER_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
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
_ANSWER_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType({"ask": _words, "say": _words})
SESSION_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
    {"place": _words, "date": _date, "answers": _answers}
)
READING_KEYS: Final[Mapping[str, _Reader]] = MappingProxyType(
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


def checked(table: object, known: Mapping[str, _Reader], where: str) -> dict[str, Any]:
    """Values of one table, each read by its key."""
    if not isinstance(table, Mapping):
        raise RecordError(f"{where}: it is not a section; write it on a line of its own")
    for key in table:
        if key not in known:
            raise RecordError(f"{where}, {shorten(key)}: no such key; {did_you_mean(key, known)}")
    return {key: known[key](value, f"{where}, {key}") for key, value in table.items()}


def did_you_mean(word: str, known: Sequence[str] | Mapping[str, object]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"there is {', '.join(known)}"


def same_place(one: str, other: str) -> bool:
    """Whether two names of a place differ in capitals and blanks only."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()
