"""What each key of a job file holds, and how its value is read."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from threadwright.quantities import length_mm
from threadwright.repair.driving import read_driving
from threadwright.repair.hole import parse_temperature, read_beyond, read_state
from threadwright.repair.lathe import read_leadscrew, read_ratio
from threadwright.repair.register import REGISTER_FITS
from threadwright.repair.spigot import SPIGOT_FITS
from threadwright.tables.errors import (
    DesignationError,
    JobError,
    MaterialError,
    NumberError,
    ReadingError,
    UnknownThreadError,
)
from threadwright.tables.materials import find_material
from threadwright.tables.numbers import parse_number, shorten
from threadwright.tables.registry import find_thread
from threadwright.tables.screw_grades import find_grade
from threadwright.units import split_unit

__all__ = ["KEYS", "READINGS", "READING_KEYS", "parse_load"]

_Reader = Callable[[object, str], object]
_MOST_COUNTED: Final = 99
_NEWTONS: Final = MappingProxyType(
    {"kN": Fraction(1000), "N": Fraction(1), "kgf": Fraction("9.80665"), "lbf": Fraction("4.4482216152605")}
)


def parse_load(text: str, *, name: str) -> float:
    """Read a load.

    Parameters
    ----------
    text : str
        Number and unit: kN, N, kgf or lbf.
    name : str
        What the message calls it.

    Returns
    -------
    float
        Load. [kN]

    Raises
    ------
    JobError
        If the text is not of that form, or the load is nothing.

    Examples
    --------
    >>> parse_load("6.5 kN", name="clamp"), round(parse_load("1000 lbf", name="clamp"), 3)
    (6.5, 4.448)
    """
    number, unit = split_unit(text)
    try:
        newtons = parse_number(number) * _NEWTONS[unit]
    except (NumberError, KeyError):
        newtons = Fraction(0)
    if not newtons:
        raise JobError(f"{name}: cannot read {shorten(text)} as a load; write it like '6.5 kN' or '1400 lbf'")
    return float(newtons / 1000)


def _text(value: object, where: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise JobError(f'{where}: {shorten(str(value))} is not text; write it in quotes, like "steel"')
    return value


def _length(value: object, where: str) -> float:
    if not isinstance(value, str):
        raise JobError(
            f'{where}: {shorten(str(value))} has no unit; write it in quotes with its unit, like "25 mm"'
        )
    try:
        return length_mm(value, name=where)
    except ReadingError as fault:
        raise JobError(str(fault)) from fault


def _flag(value: object, where: str) -> bool:
    if not isinstance(value, bool):
        raise JobError(
            f"{where}: {shorten(str(value))} is neither true nor false; write true or false, without quotes"
        )
    return value


def _whole(value: object, where: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise JobError(
            f"{where}: {shorten(str(value))} is not a whole number; write it without quotes, like 3"
        )
    return value


def _count(value: object, where: str) -> int:
    """How many: none up to as many as a line shows."""
    count = _whole(value, where)
    if not 0 <= count <= _MOST_COUNTED:
        raise JobError(f"{where}: {shorten(str(value))} is no count; write 0 to {_MOST_COUNTED}, like 3")
    return count


def _load(value: object, where: str) -> float:
    return parse_load(_text(value, where), name=where)


def _hand(value: object, where: str) -> str:
    if value not in ("right", "left"):
        raise JobError(f'{where}: {shorten(str(value))} is no hand; write "right" or "left"')
    return value


def _date(value: object, where: str) -> str:
    """A day, as TOML has it or in quotes; the day of printing is never put in its place."""
    try:
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value.isoformat()
        return datetime.date.fromisoformat(_text(value, where)).isoformat()
    except ValueError as fault:
        raise JobError(f"{where}: {shorten(str(value))} is no day; write it like 2026-11-25") from fault


def _looked_up(find: Callable[[str], object]) -> _Reader:
    """Read text that some table must hold."""

    def read(value: object, where: str) -> object:
        try:
            return find(_text(value, where))
        except (DesignationError, MaterialError, UnknownThreadError) as fault:
            raise JobError(f"{where}: {fault}") from fault

    return read


def _word(read: Callable[..., object]) -> _Reader:
    """Read text by a reader that names what it reads."""
    return lambda value, where: read(_text(value, where), name=where)


def _one_of(*known: str) -> _Reader:
    """Read one of a few words."""

    def read(value: object, where: str) -> str:
        if value not in known:
            words = " or ".join(f'"{word}"' for word in known)
            raise JobError(f"{where}: cannot take {shorten(str(value))}; write {words}")
        return str(value)

    return read


def _lengths(value: object, where: str) -> float | tuple[float, ...]:
    """One length, or a list of readings of it."""
    return tuple(_length(one, where) for one in value) if isinstance(value, list) else _length(value, where)


def _wheels(value: object, where: str) -> tuple[int, ...]:
    if not isinstance(value, list):
        raise JobError(f"{where}: {shorten(str(value))} is not a list; write it like [20, 40, 63, 80]")
    return tuple(_whole(one, where) for one in value)


def _ratio(value: object, where: str) -> Fraction:
    return read_ratio(_text(value, where), name=where)


def _list(value: object, where: str) -> list[object]:
    if not isinstance(value, list):
        raise JobError(f'{where}: {shorten(str(value))} is not a list; write it like ["M12x1.5", "M14x1.5"]')
    return value


READINGS: Final = ("major", "pitch", "over_wires", "wire", "wires", "pitch_diameter", "minor", "flank_angle")
READING_KEYS: Final = (*READINGS, "side", "condition", "visible", "combs", "instrument")
_METAL: Final = _looked_up(lambda text: find_material(text).name)
KEYS: Final[Mapping[str, Mapping[str, _Reader]]] = MappingProxyType(
    {
        "fastener": {
            "designation": _looked_up(find_thread),
            **dict.fromkeys(READING_KEYS, _text),
            "wires": _whole,
            "made_in": _text,
            "year": _whole,
            "hand": _hand,
        },
        "hole": {
            "depth": _length,
            "through": _flag,
            "bore": _length,
            "floor": _length,
            "edge": _length,
            "next_hole": _length,
            "face_counterbore": _length,
            "counterbore_depth": _length,
            "state": _word(read_state),
            "beyond": _word(read_beyond),
            "far_side": _flag,
            "off_by": _length,
            "temperature": _word(parse_temperature),
        },
        "locate": {
            **dict.fromkeys(("spigot", "spigot_length", "mating_thickness", "mating_depth"), _length),
            **dict.fromkeys(("collar", "collar_length", "projection", "flush"), _length),
            **dict.fromkeys(("mating_bore", "seat"), _lengths),
            "register": _one_of("collar", "pilot", "none"),
            "register_fit": _one_of(*REGISTER_FITS),
            "bored_from": _one_of("spigot seat", "mating part", "hole pattern"),
            "fit": _one_of(*SPIGOT_FITS),
        },
        "lathe": {
            "leadscrew": _word(read_leadscrew),
            "wheels": _wheels,
            "dial": _one_of("radius", "diameter"),
            "division": _length,
            "spindle_ratio": _ratio,
        },
        "parent": {"material": _METAL, "boss": _length, "part": _text},
        "screw": {"grade": _looked_up(lambda text: find_grade(text).name), "clamp": _load, "length": _length},
        "bush": {
            "material": _METAL,
            "collar": _flag,
            "driving": _word(read_driving),
            "hand": _hand,
            "routes": _count,
        },
        "drawer": dict.fromkeys(("taps", "dies", "drills", "reamers", "wires"), _list),
        "sheet": {
            "date": _date,
            "drawn_by": _text,
            "number": _text,
            "paper": _one_of("A4", "Letter"),
            "unit": _one_of("mm", "in"),
        },
    }
)
