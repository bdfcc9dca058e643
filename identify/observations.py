"""Readings of many fasteners as columns of numbers, all of one kind; one fastener is the case of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from threadwright.tables.thread import Array, Side

__all__ = [
    "DIMENSIONS",
    "CombColumn",
    "Dimension",
    "FlatsColumn",
    "LengthColumn",
    "Observations",
    "WireColumn",
]

Dimension = str  # "major", "pitch_diameter" or "minor"
DIMENSIONS: tuple[Dimension, ...] = ("major", "pitch_diameter", "minor")


@dataclass(frozen=True, slots=True, eq=False)
class LengthColumn:
    """Readings of one dimension, one for each of N fasteners. [mm or deg]"""

    value: Array
    u: Array
    width: Array | None = None
    """Width of an interval reading around ``value``; None for plain values."""


@dataclass(frozen=True, slots=True, eq=False)
class WireColumn:
    """Sizes over wires of N fasteners. [mm]"""

    value: Array
    u: Array
    wire: Array
    u_wire: Array


@dataclass(frozen=True, slots=True, eq=False)
class CombColumn:
    """Comb leaves read on N fasteners. [mm]"""

    leaf: Array
    visible: Array
    """Length over which the comb was laid; NaN means ten pitches."""
    combs: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class FlatsColumn:
    """Sizes across flats of N fasteners' heads or nuts, or of spanners that fit them. [mm]"""

    value: Array
    u: Array
    of: str
    """``"head"``, ``"nut"`` or ``"spanner"``."""
    country: str | None = None
    year: int | None = None
    """Where and when the machine was made; None is not known."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Observations:
    """The readings of N fasteners that all have the same kinds of reading."""

    n: int
    side: Side = "external"
    condition: str = "unknown"
    lengths: Mapping[Dimension, LengthColumn] = field(default_factory=lambda: MappingProxyType({}))
    over_wires: WireColumn | None = None
    comb: CombColumn | None = None
    pitch: LengthColumn | None = None
    flank_angle: LengthColumn | None = None
    anvil: float | None = None
    """Angle of the thread micrometer's anvils; None means that they fit. [deg]"""
    flats: FlatsColumn | None = None
