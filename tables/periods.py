"""Where and when a thread system was usual."""

from __future__ import annotations

from typing import Literal, NamedTuple

__all__ = ["COMMONWEALTH", "CONTINENT", "NORTH_AMERICA", "Period", "Standing"]

Standing = Literal["usual", "met", "rare"]
COMMONWEALTH = "GB IE AU NZ IN ZA"
"""Britain and the countries that took their machines from it; Canada had American threads beside."""
CONTINENT = "DE AT CH FR IT BE NL SE NO DK FI ES CZ PL"
NORTH_AMERICA = "US CA"
"""Country groups for :class:`Period`."""


class Period(NamedTuple):
    """How usual a system was on machines made somewhere in some years; the first that fits counts."""

    countries: str
    """Two-letter country codes, separated by spaces; empty means anywhere."""
    since: int
    until: int
    standing: Standing

    def holds(self, country: str | None, year: int | None) -> bool:
        """Whether it speaks of a machine made there and then; None is not known."""
        where = not self.countries or country is None or country in self.countries.split()
        return where and (year is None or self.since <= year <= self.until)
