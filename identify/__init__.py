"""threadwright: which thread was it, how sure is that, and what to turn to put the hole back in service.

The public names load on first use, so that importing the package costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadwright.tables.registry import find_thread

__all__ = ["find_thread"]

_HOMES = {"find_thread": "threadwright.tables.registry"}


def __getattr__(name: str) -> object:
    """Load a public name from its module on first use."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
