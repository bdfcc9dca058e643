"""The taps and dies a person owns, read from a TOML file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from threadwright.tables.errors import DesignationError, FileFaultError, JobError, UnknownThreadError
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

__all__ = ["Drawer", "read_drawer"]

_KEYS = ("taps", "dies")


@dataclass(frozen=True, slots=True)
class Drawer:
    """Taps and dies at hand.

    Parameters
    ----------
    taps, dies : tuple of Thread
        What the drawer holds, as threads of the tables.

    Examples
    --------
    >>> drawer = Drawer.from_mapping({"taps": ["M12x1.75", "M14x1.5"], "dies": ["M14x1.5"]})
    >>> [tap.designation for tap in drawer.taps], drawer.has_die(drawer.taps[0])
    (['M12x1.75', 'M14x1.5'], False)
    """

    taps: tuple[Thread, ...]
    dies: tuple[Thread, ...] = ()

    def has_die(self, thread: Thread) -> bool:
        """Whether the drawer holds a die for a thread of the same hand."""
        return any(
            (die.designation, die.left_hand) == (thread.designation, thread.left_hand) for die in self.dies
        )

    @classmethod
    def from_mapping(cls, table: Mapping[str, object], *, name: str = "drawer") -> Drawer:
        """Build a drawer from lists of designations.

        Parameters
        ----------
        table : mapping
            ``taps`` and, if any, ``dies``: lists of designations.
        name : str, optional
            What messages call it, e.g. the file.

        Raises
        ------
        JobError
            If a key is unknown, a list is missing, empty or not of text, or a designation is unknown.
        """
        for key in table:
            if key not in _KEYS:
                near = get_close_matches(key, _KEYS, n=1, cutoff=0.4)
                hint = f"did you mean '{near[0]}'?" if near else "it may hold 'taps' and 'dies'"
                raise JobError(f"{name}: no such key {shorten(key)}; {hint}")
        taps, dies = (_threads(table.get(key, []), name=name, key=key) for key in _KEYS)
        if not taps:
            raise JobError(f'{name}: it holds no taps; write a list like taps = ["M12x1.5", "M14x1.5"]')
        return cls(taps, dies)


def _threads(value: object, *, name: str, key: str) -> tuple[Thread, ...]:
    if not isinstance(value, list) or not all(isinstance(entry, str) for entry in value):
        raise JobError(
            f'{name}: {key} must be a list of designations like ["M12x1.5"], not {shorten(str(value))}'
        )
    found = []
    for entry in value:
        try:
            found.append(find_thread(entry))
        except (DesignationError, UnknownThreadError) as error:
            raise JobError(f"{name}, {key}: {error}") from error
    return tuple(found)


def read_drawer(path: str | Path) -> Drawer:
    """Read a drawer file: TOML with lists ``taps`` and ``dies``.

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
