"""What must not go into a hole, or on a screw, though it starts by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

    from threadwright.tables.thread import Side

__all__ = ["look_alike_entries", "look_alike_lines"]


def look_alike_lines(names: Iterable[str], side: Side) -> list[str]:
    """The worst look-alikes of each thread in one sentence; no sentence for a thread without any."""
    from threadwright.dangers import warning_line
    from threadwright.tables.registry import find_thread

    lines = [warning_line(find_thread(name), side) for name in names]
    return [line for line in lines if line]


def look_alike_entries(names: Iterable[str], side: Side) -> list[dict[str, Any]]:
    """The same for JSON: each thread with its look-alikes, the worst first."""
    from threadwright.dangers import look_alikes
    from threadwright.tables.registry import find_thread

    found = [(name, look_alikes(find_thread(name), side)) for name in names]
    return [
        {"thread": name, "side": side, "look_alikes": [one.to_dict() for one in ones]} for name, ones in found
    ]
