"""Answers of a guided session, turned into readings as they were typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from threadwright.evidence import CRESTS, HANDS
from threadwright.guided_questions import NAMES
from threadwright.readings import CONDITIONS
from threadwright.record import Answer
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import shorten
from threadwright.units import parse_angle

__all__ = ["NOT_OWNED", "SKIP", "names", "typed_of"]

SKIP: Final = "skip"
NOT_OWNED: Final = "don't have"
_TIGHT = re.compile(r"t(?:ight)?(?: after)? (?P<turns>[\d./ ]+?)(?: turns?)?", re.IGNORECASE)
_OVER = re.compile(r"(?P<over>.+?) over (?:(?P<wires>[123]) (?:wires? |x ))?(?P<wire>.+?)(?: wires?)?")
_OUTCOMES: Final = ("runs in", "slides in", "will not start")
_SIDES: Final[Mapping[str, str]] = MappingProxyType(
    {"screw": "external", "stud": "external", "bolt": "external", "hole": "internal"}
)


def typed_of(answers: Sequence[Answer]) -> dict[str, Any]:
    """Readings by the names of :class:`threadwright.readings.Readings`, as they were typed.

    Parameters
    ----------
    answers : sequence of Answer
        In their order; the later goes before the earlier, but pieces that were tried add up.

    Returns
    -------
    dict

    Raises
    ------
    ReadingError
        If an answer cannot be read as one to its question.

    Examples
    --------
    >>> typed_of([Answer("side", "hole stripped"), Answer("tried M8 screw", "tight after 2")])
    {'side': 'internal', 'condition': 'stripped', 'tried': ['M8 screw: tight after 2 turns']}
    """
    typed: dict[str, Any] = {}
    for answer in answers:
        kind, _, detail = answer.ask.partition(" ")
        if kind not in _PUT:
            raise ReadingError(f"{shorten(answer.ask)}: no such question; {names()}")
        if answer.say not in (SKIP, NOT_OWNED):
            _PUT[kind](typed, detail, answer.say)
    return typed


def names() -> str:
    """What may be asked or given, for a message."""
    return f"there is {', '.join(NAMES)}"


def _choice(name: str, say: str, choices: Sequence[str], *, also: str = "") -> str:
    """One of a few words, or how it begins."""
    found = [word for word in choices if word.startswith(say.casefold())]
    if len(found) != 1:
        raise ReadingError(f"{name}: cannot be {shorten(say)}; write one of {', '.join(choices)}{also}")
    return found[0]


def _as_typed(name: str) -> Callable[[dict[str, Any], str, str], None]:
    def put(typed: dict[str, Any], _: str, say: str) -> None:
        typed[name] = say

    return put


def _one_of(name: str, choices: Sequence[str]) -> Callable[[dict[str, Any], str, str], None]:
    def put(typed: dict[str, Any], _: str, say: str) -> None:
        typed[name] = _choice(name, say, choices)

    return put


def _put_side(typed: dict[str, Any], _: str, say: str) -> None:
    first, *more = say.casefold().replace(",", " ").split()
    if first not in _SIDES:
        raise ReadingError(f"side: cannot be {shorten(say)}; write screw, hole or hole with its screw")
    typed["side"] = _SIDES[first]
    if "screw" in more:
        typed["side"] = "external"
        more.remove("screw")
    for word in more:
        if word in CONDITIONS:
            typed["condition"] = word
        elif word not in ("with", "its", "and"):
            raise ReadingError(
                f"side: {shorten(word)} says nothing; write screw, hole or hole with its screw, and behind "
                f"it one of {', '.join(CONDITIONS)}"
            )


def _put_over_wires(typed: dict[str, Any], detail: str, say: str) -> None:
    found = _OVER.fullmatch(say)
    wire = detail if found is None else found["wire"]
    if not wire:
        raise ReadingError(
            f"over wires: {shorten(say)} without the wires; write it like '9.78 mm over 0.7 mm'"
        )
    typed.update(over_wires=say if found is None else found["over"], wire=wire)
    if found is not None and found["wires"]:
        typed["wires"] = int(found["wires"])


def _put_tried(typed: dict[str, Any], detail: str, say: str) -> None:
    text = say
    if detail and ":" not in say:
        tight = _TIGHT.fullmatch(say)
        went = (
            f"tight after {tight['turns']} turn{'' if tight['turns'] == '1' else 's'}"
            if tight
            else _choice("tried", say, _OUTCOMES, also=", tight after 2 turns")
        )
        text = f"{detail}: {went}"
    typed["tried"] = [*typed.get("tried", []), text]


def _put_hand(typed: dict[str, Any], _: str, say: str) -> None:
    hand, _, starts = say.partition(",")
    typed["hand"] = _choice("hand", hand.strip(), HANDS)
    if starts:
        _put_starts(typed, "", starts.strip().partition(" ")[0])


def _put_starts(typed: dict[str, Any], _: str, say: str) -> None:
    if not (say.isascii() and say.isdecimal() and len(say) < 3):
        raise ReadingError(f"starts: cannot read {shorten(say)}; write a count, like 2, or 'right, 2 starts'")
    typed["starts"] = int(say)


def _put_anvil(typed: dict[str, Any], _: str, say: str) -> None:
    typed["anvil"] = parse_angle(say if not say.replace(".", "").isdecimal() else f"{say} deg", name="anvil")


_PUT: Final[Mapping[str, Callable[[dict[str, Any], str, str], None]]] = MappingProxyType(
    {
        "side": _put_side,
        **{
            name: _as_typed(name)
            for name in ("major", "minor", "pitch", "pitch_diameter", "flank_angle", "across_flats", "taper")
        },
        **{name: _as_typed(name) for name in ("clearance", "lead", "cast", "visible")},
        "counted": _as_typed("pitch"),
        "over_wires": _put_over_wires,
        "crest": _one_of("crest", CRESTS),
        "condition": _one_of("condition", CONDITIONS),
        "tried": _put_tried,
        "hand": _put_hand,
        "starts": _put_starts,
        "anvil": _put_anvil,
    }
)
