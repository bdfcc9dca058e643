"""A thread system: its exact seeds, and its table as whole columns in the unit its standard is written in."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from threadwright.tables.columns import (
    BOTH_SIDES,
    LIMIT_QUANTITIES,
    MM_PER_INCH,
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Side,
    TaperLengths,
    Unit,
    rounded_basic,
)
from threadwright.tables.errors import TableError
from threadwright.tables.form import Form
from threadwright.tables.numbers import float_column, round_columns
from threadwright.tables.periods import COMMONWEALTH, CONTINENT, NORTH_AMERICA, Period, Standing
from threadwright.tables.record import Record

if TYPE_CHECKING:
    from threadwright.tables.thread import Thread

__all__ = [
    "BOTH_SIDES",
    "COMMONWEALTH",
    "CONTINENT",
    "LIMIT_QUANTITIES",
    "MM_PER_INCH",
    "NORTH_AMERICA",
    "Array",
    "Basic",
    "Basis",
    "DeferredColumns",
    "LimitColumns",
    "Period",
    "SeriesTable",
    "Side",
    "Size",
    "Source",
    "Standing",
    "System",
    "TaperLengths",
    "Unit",
    "fine_first",
    "in_order",
    "rounded_basic",
    "seed_columns",
    "tpi_column",
]


class Size(NamedTuple):
    """One exact seed of a series, in the unit of its standard."""

    name: str
    """The size as the standard prints it, without the pitch: ``"M8"``, ``"3/8"``, ``"No. 10"``, ``"2"``."""
    major: Fraction
    """Nominal major diameter."""
    pitch: Fraction
    """Pitch; for inch series 1 / tpi exactly."""
    choice: int = 1
    """Order of preference in the standard: 1 first choice, 2 second, 3 third or not for new work."""
    aliases: tuple[str, ...] = ()
    """Other spellings that find this size."""
    basis: Basis | None = None
    """Where the seed comes from, if it differs from the rest of the series."""
    starts: int = 1
    nominal: Fraction | None = None
    """The size the name means, where it is not the major diameter: 1/2 in of G 1/2."""
    tpi: Fraction | None = None
    """Threads per inch of a size whose series otherwise gives pitches in millimetres; exact."""
    since: int | None = None
    """First year the size was in use, where that is known and later or earlier than its series."""


class Source(NamedTuple):
    """Where a fact was read."""

    document: str
    note: str = ""
    seen: bool = True
    """False when the numbers are recalled, not read."""


class SeriesTable(Record):
    """A system as columns, in the unit of its standard."""

    system: System
    nominal_major: Array
    pitch: Array
    basic: Basic
    limits: tuple[LimitColumns, ...]
    lengths: TaperLengths | None = None

    def __len__(self) -> int:
        return len(self.pitch)

    @property
    def designations(self) -> tuple[str, ...]:
        """Every size as its standard writes it.

        Raises
        ------
        TableError
            If a designation stands twice.
        """
        return _designations(self.system)

    def designation(self, row: int) -> str:
        """One size as its standard writes it."""
        return _designation(self.system, row)

    def thread(self, row: int, *, left_hand: bool = False) -> Thread:
        """Return one row as a thread."""
        from threadwright.tables.thread import thread_of

        return thread_of(self, row, left_hand=left_hand)


class System(Record):
    """One thread system: exact seeds, rules, source; its table is built when first asked for.

    ``rules(system)`` returns the basic sizes and the limits as whole columns. ``designation(size)``
    prints a size as its standard writes it, in plain ASCII, always with the pitch.
    """

    symbol: str
    title: str
    unit: Unit
    form: Form
    seeds: Callable[[], tuple[Size, ...]]
    """Makes the exact seeds; called once, when the system is first used."""
    source: Source
    used: str
    """When and where the system was in use."""
    designation: Callable[[Size], str]
    rules: Callable[[System], tuple[Basic, tuple[LimitColumns, ...]]]
    default_classes: Mapping[Side, str]
    basis: Basis = "computed"
    tpi_pitch: bool = False
    """True for a system in millimetres whose pitch is given in threads per inch."""
    pitch_places: int | None = None
    """Decimal places the standard rounds the pitch to before anything else."""
    periods: tuple[Period, ...] = ()
    """The same as ``used``, to compute with; empty means nothing is known."""
    spellings: tuple[str, ...] = ()
    """Other names of the system that may stand in a designation, for example ``"BSP"``."""
    inch: Fraction = Fraction("25.4")
    """Millimetres in the inch of a system in millimetres with threads per inch."""
    sides: tuple[Side, ...] = BOTH_SIDES
    taper: Fraction = Fraction(0)
    """Change of diameter over length: 1/16 of pipe threads, 0 of parallel ones."""
    lengths: Callable[[System], TaperLengths] | None = None
    """Gauge and useful lengths of a taper system, whose basic sizes are those at the gauge plane."""
    unlisted: Callable[[System, str], Size | None] | None = None
    """Reads the key of a designation that follows from a listed size, such as one with several starts."""

    @property
    def sizes(self) -> tuple[Size, ...]:
        """The exact seeds, checked against each other.

        Raises
        ------
        TableError
            If a pitch is not below its major diameter.
        """
        return _seeded(self)[0]

    def build(self) -> SeriesTable:
        """Compute the whole system."""
        basic, limits = self.rules(self)
        major, pitch = seed_columns(self)
        named = [(row, size.nominal) for row, size in enumerate(self.sizes) if size.nominal is not None]
        if named:
            major = major.copy()
            major[[row for row, _ in named]] = float_column(nominal for _, nominal in named)
        return SeriesTable(
            system=self,
            nominal_major=major,
            pitch=pitch,
            basic=basic,
            limits=limits,
            lengths=None if self.lengths is None else self.lengths(self),
        )


_MAJOR, _PITCH = attrgetter("major"), attrgetter("pitch")


def fine_first(size: Size) -> tuple[float, float]:
    """Diameter and pitch of a size as floats: the same for the same thread."""
    major, pitch = size.major, size.pitch
    return major.numerator / major.denominator, pitch.numerator / pitch.denominator


def in_order(sizes: Sequence[Size], *, coarse_first: bool = False) -> tuple[Size, ...]:
    """Sizes by diameter, the finest pitch of one diameter first, or the coarsest."""
    major, pitch = float_column(map(_MAJOR, sizes)), float_column(map(_PITCH, sizes))
    order = np.lexsort((-pitch if coarse_first else pitch, major))
    return tuple(map(sizes.__getitem__, order.tolist()))


def tpi_column(system: System) -> Array:
    """Threads per inch of every size of a system in inches. [1/in]"""
    return float_column(map(_PITCH, system.sizes), inverse=True)


_KEPT = 128  # systems whose seeds stay at hand: all that are registered, and some made up of one size


@lru_cache(maxsize=_KEPT)
def _seeded(system: System) -> tuple[tuple[Size, ...], Array, Array]:
    """The checked seeds, and their major diameters and pitches as columns, as they stand in the list."""
    sizes = system.seeds()
    major, pitch = float_column(map(_MAJOR, sizes)), float_column(map(_PITCH, sizes))
    inch = float(system.inch) if system.unit == "mm" and system.tpi_pitch else 1.0
    below = (pitch > 0) & (pitch * inch < major)
    if not below.all():
        size = sizes[int(below.argmin())]
        raise TableError(
            f"{system.symbol} {system.designation(size)}: pitch {size.pitch} must be below major diameter "
            f"{size.major}"
        )
    return sizes, major, pitch


@lru_cache(maxsize=4096)
def _designation(system: System, row: int) -> str:
    return system.designation(system.sizes[row])


@lru_cache(maxsize=_KEPT)
def _designations(system: System) -> tuple[str, ...]:
    names = tuple(system.designation(size) for size in system.sizes)
    if len(set(names)) < len(names):
        twice = next(name for row, name in enumerate(names) if name in names[:row])
        raise TableError(f"{system.symbol} {twice} stands twice in its table")
    return names


@lru_cache(maxsize=_KEPT)
def seed_columns(system: System) -> tuple[Array, Array]:
    """Nominal major diameters and pitches of a system as columns, in its unit.

    A system in millimetres with pitches in threads per inch gets its pitch in millimetres, rounded
    first if its standard says so.
    """
    _, major, pitch = _seeded(system)
    if system.tpi_pitch and system.unit == "mm":
        pitch = pitch * float(system.inch)
    if system.pitch_places is not None:
        pitch = round_columns(pitch, system.pitch_places)
    major.flags.writeable = pitch.flags.writeable = False
    return major, pitch
