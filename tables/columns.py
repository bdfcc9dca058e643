"""Basic sizes and limits of a system as columns, in the unit of its standard."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from threadwright.tables.errors import TableError
from threadwright.tables.numbers import round_columns
from threadwright.tables.record import Record

__all__ = [
    "BOTH_SIDES",
    "LIMIT_QUANTITIES",
    "MM_PER_INCH",
    "Array",
    "Basic",
    "Basis",
    "DeferredColumns",
    "LimitColumns",
    "Side",
    "TaperLengths",
    "Unit",
    "rounded_basic",
]

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
else:  # numpy.typing takes longer to import than the columns to be made
    Array = np.ndarray
Side = Literal["external", "internal"]
Unit = Literal["mm", "in"]
Basis = Literal["computed", "table", "from memory", "estimated"]

MM_PER_INCH = 25.4
LIMIT_QUANTITIES = (
    "major_max",
    "major_min",
    "pitch_diameter_max",
    "pitch_diameter_min",
    "minor_max",
    "minor_min",
    "minor_flat_max",
)
BOTH_SIDES: tuple[Side, ...] = ("external", "internal")


class TaperLengths(Record):
    """Lengths of every size of a taper system along the axis, arrays (n,) in its unit; NaN if not held."""

    gauge: Array
    """Small end to gauge plane, where the basic sizes lie."""
    useful: Array
    """Small end to the last thread that is complete at its root."""


class Basic(NamedTuple):
    """Basic sizes of every size of a system, arrays (n,) in its unit."""

    major: Array
    pitch_diameter: Array
    minor: Array


def rounded_basic(major: Array, pitch_diameter: Array, minor: Array, places: int) -> Basic:
    """Basic sizes, each rounded once half up.

    Examples
    --------
    >>> rounded_basic(np.array([8.0]), np.array([7.18810]), np.array([6.64683]), 3).minor
    array([6.647])
    """
    return Basic(*round_columns(np.array([major, pitch_diameter, minor]), places))


class DeferredColumns(Mapping[str, Array]):
    """Columns that are worked out when one of them is first asked for.

    Parameters
    ----------
    make : callable
        Returns the columns by name.

    Examples
    --------
    >>> columns = DeferredColumns(lambda: {"major_max": np.array([8.0])})
    >>> columns["major_max"], len(columns)
    (array([8.]), 1)
    """

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Mapping[str, Array]]) -> None:
        self._make = make
        self._made: Mapping[str, Array] | None = None

    def made(self) -> Mapping[str, Array]:
        """The columns, worked out now if they were not yet."""
        if self._made is None:
            self._made = self._make()
        return self._made

    def __getitem__(self, name: str) -> Array:
        return self.made()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.made())

    def __len__(self) -> int:
        return len(self.made())


class LimitColumns(Record):
    """Limits of one side and class for every size of a system; NaN where the standard gives none.

    ``columns`` maps quantities of :data:`LIMIT_QUANTITIES` to arrays (n,) in the system's unit.
    ``basis_of`` names the quantities whose basis differs from ``basis``.
    """

    side: Side
    tolerance_class: str
    columns: Mapping[str, Array]
    basis: Basis = "computed"
    basis_of: Mapping[str, Basis] = MappingProxyType({})

    @property
    def arrays(self) -> Mapping[str, Array]:
        """The columns, worked out if they were not yet."""
        columns = self.columns
        return columns.made() if isinstance(columns, DeferredColumns) else columns

    def _check(self) -> None:
        named = () if isinstance(self.columns, DeferredColumns) else self.columns
        unknown = [name for name in named if name not in LIMIT_QUANTITIES]
        if unknown:
            raise TableError(f"{self.side} {self.tolerance_class}: no such limit {unknown[0]!r}")
