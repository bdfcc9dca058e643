"""threadwright: which thread was it, how sure is that, and what to turn to put the hole back in service.

The public names load on first use, so that importing the package costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadwright.batch import run_batch
    from threadwright.batch_frame import identify_frame
    from threadwright.batch_many import identify_many
    from threadwright.card import thread_card
    from threadwright.conformity import verify
    from threadwright.dangers import look_alikes
    from threadwright.mating import mate
    from threadwright.ranking import identify, identify_same
    from threadwright.readings import Readings
    from threadwright.repair.bush import recommend_bush
    from threadwright.tables.errors import ThreadwrightError
    from threadwright.tables.registry import find_thread

__all__ = [
    "Readings",
    "ThreadwrightError",
    "find_thread",
    "identify",
    "identify_frame",
    "identify_many",
    "identify_same",
    "look_alikes",
    "mate",
    "recommend_bush",
    "run_batch",
    "thread_card",
    "verify",
]

_HOMES = {
    "Readings": "threadwright.readings",
    "ThreadwrightError": "threadwright.tables.errors",
    "find_thread": "threadwright.tables.registry",
    "identify": "threadwright.ranking",
    "identify_frame": "threadwright.batch_frame",
    "identify_many": "threadwright.batch_many",
    "identify_same": "threadwright.ranking",
    "look_alikes": "threadwright.dangers",
    "mate": "threadwright.mating",
    "recommend_bush": "threadwright.repair.bush",
    "run_batch": "threadwright.batch",
    "thread_card": "threadwright.card",
    "verify": "threadwright.conformity",
}


def __getattr__(name: str) -> object:
    """Load a public name from its module on first use."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """Public names, loaded or not."""
    return sorted(__all__)
