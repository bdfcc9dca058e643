"""The tools a person owns, read from a TOML file: taps, dies, drills, reamers, wires."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Final

from threadwright.quantities import length_mm
from threadwright.tables.errors import (
    DesignationError,
    FileFaultError,
    JobError,
    ReadingError,
    UnknownThreadError,
)
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

__all__ = ["Cutter", "Drawer", "read_drawer"]

_CUTTERS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {"taps": ("taper", "second", "bottoming"), "dies": ("split", "solid")}
)
_SIZES: Final = ("drills", "reamers", "wires")
_KEYS: Final = (*_CUTTERS, *_SIZES)
_EXAMPLE: Final = '{ thread = "M12x1.5", kind = "KIND", hand = "left" }'


@dataclass(frozen=True, slots=True)
class Cutter:
    """One tap or die: its thread, and its kind where that is known."""

    thread: Thread
    kind: str | None = None
    """Of a tap: taper, second or bottoming; of a die: split or solid."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawer:
    """Tools at hand.

    Parameters
    ----------
    tap_set, die_set : tuple of Cutter
        Taps and dies.
    drills, reamers, wires : tuple of float
        Diameters. [mm]

    Examples
    --------
    >>> drawer = Drawer.from_mapping({"taps": ["M12x1.75", "M14x1.5"], "dies": ["M14x1.5"]})
    >>> [tap.designation for tap in drawer.taps], drawer.has_die(drawer.taps[0])
    (['M12x1.75', 'M14x1.5'], False)
    """

    tap_set: tuple[Cutter, ...]
    die_set: tuple[Cutter, ...] = ()
    drills: tuple[float, ...] = ()
    reamers: tuple[float, ...] = ()
    wires: tuple[float, ...] = ()

    @property
    def taps(self) -> tuple[Thread, ...]:
        """Threads for which there is a tap."""
        return tuple(one.thread for one in self.tap_set)

    @property
    def dies(self) -> tuple[Thread, ...]:
        """Threads for which there is a die."""
        return tuple(one.thread for one in self.die_set)

    def has_die(self, thread: Thread) -> bool:
        """Whether the drawer holds a die for a thread of the same hand."""
        return bool(_of(self.die_set, thread))

    def die_name(self, thread: Thread) -> str:
        """What to call the die for a thread: a split one can be opened for the first pass."""
        kinds = {one.kind for one in _of(self.die_set, thread)}
        return "split die" if "split" in kinds else "solid die" if "solid" in kinds else "die"

    def lacks_bottoming_tap(self, thread: Thread) -> bool:
        """Whether all taps for a thread are known to be taper or second ones."""
        kinds = {one.kind for one in _of(self.tap_set, thread)}
        return bool(kinds) and kinds <= {"taper", "second"}

    def drill_between(self, least_mm: float, greatest_mm: float) -> float | None:
        """The drill nearest the middle of a range; None where none lies in it. [mm]"""
        middle = (least_mm + greatest_mm) / 2
        fitting = [size for size in self.drills if least_mm <= size <= greatest_mm]
        return min(fitting, key=lambda size: (abs(size - middle), size), default=None)

    @classmethod
    def from_mapping(cls, table: Mapping[str, object], *, name: str = "drawer") -> Drawer:
        """Build a drawer from lists of tools.

        Parameters
        ----------
        table : mapping
            ``taps`` and, if any, ``dies``: lists of designations, or tables with ``thread``, ``kind`` and
            ``hand``; ``drills``, ``reamers``, ``wires``: lists of diameters with their unit.
        name : str, optional
            What messages call it, e.g. the file.

        Raises
        ------
        JobError
            If a key is unknown, a list is missing or empty, or an entry cannot be read.
        """
        for key in table:
            if key not in _KEYS:
                near = get_close_matches(key, _KEYS, n=1, cutoff=0.4)
                hint = f"did you mean '{near[0]}'?" if near else f"it may hold {', '.join(_KEYS)}"
                raise JobError(f"{name}: no such key {shorten(key)}; {hint}")
        taps, dies = (_cutters(table.get(key, []), name=name, key=key) for key in _CUTTERS)
        if not taps:
            raise JobError(f'{name}: it holds no taps; write a list like taps = ["M12x1.5", "M14x1.5"]')
        drills, reamers, wires = (_sizes(table.get(key, []), name=f"{name}, {key}") for key in _SIZES)
        return cls(tap_set=taps, die_set=dies, drills=drills, reamers=reamers, wires=wires)


def _of(cutters: tuple[Cutter, ...], thread: Thread) -> list[Cutter]:
    """The tools for one thread of the same hand."""
    wanted = (thread.designation, thread.left_hand)
    return [one for one in cutters if (one.thread.designation, one.thread.left_hand) == wanted]


def _cutters(value: object, *, name: str, key: str) -> tuple[Cutter, ...]:
    if not isinstance(value, list) or not all(isinstance(entry, str | Mapping) for entry in value):
        raise JobError(
            f'{name}: {key} must be a list of designations like ["M12x1.5"], not {shorten(str(value))}'
        )
    found = []
    for entry in value:
        try:
            found.append(Cutter(find_thread(entry)) if isinstance(entry, str) else _cutter(entry, key))
        except (DesignationError, JobError, UnknownThreadError) as error:
            raise JobError(f"{name}, {key}: {error}") from error
    return tuple(found)


def _cutter(entry: Mapping[str, object], key: str) -> Cutter:
    """One tool that is written as a table."""
    kinds = _CUTTERS[key]
    example = _EXAMPLE.replace("KIND", kinds[-1])
    text = entry.get("thread")
    if not isinstance(text, str) or not set(entry) <= {"thread", "kind", "hand"}:
        raise JobError(f"cannot read {shorten(str(dict(entry)))}; write it like {example}")
    kind, hand = entry.get("kind"), entry.get("hand", "right")
    if kind is not None and kind not in kinds:
        raise JobError(f"{shorten(str(kind))} is no kind of it; write {' or '.join(kinds)}")
    if hand not in ("right", "left"):
        raise JobError(f'{shorten(str(hand))} is no hand; write "right" or "left"')
    thread = find_thread(text)
    left = hand == "left" or thread.left_hand
    if left and not thread.left_hand:
        thread = find_thread(f"{thread.designation} LH")
    return Cutter(thread, None if kind is None else str(kind))


def _sizes(value: object, *, name: str) -> tuple[float, ...]:
    if not isinstance(value, list) or not all(isinstance(entry, str) for entry in value):
        raise JobError(
            f'{name}: it must be a list of diameters like ["10.5 mm", "13/32 in"], not {shorten(str(value))}'
        )
    try:
        return tuple(length_mm(entry, name=name) for entry in value)
    except ReadingError as error:
        raise JobError(str(error)) from error


def read_drawer(path: str | Path) -> Drawer:
    """Read a drawer file: TOML with lists ``taps``, ``dies``, ``drills``, ``reamers``, ``wires``.

    Parameters
    ----------
    path : str or Path
        The file.

    Raises
    ------
    FileFaultError
        If the file is missing, unreadable or not TOML.
    JobError
        As :meth:`Drawer.from_mapping`.
    """
    try:
        text = Path(path).read_bytes().decode("utf-8")
        table = tomllib.loads(text)
    except OSError as error:
        raise FileFaultError(
            f"drawer {path}: cannot read it ({error.strerror}); give the path of a TOML file"
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileFaultError(f'drawer {path}: not a TOML file ({error}); write taps = ["M12x1.5"]') from error
    return Drawer.from_mapping(table, name=f"drawer {path}")
