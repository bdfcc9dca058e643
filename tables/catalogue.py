"""Every thread of every system as columns in millimetres, sorted by major diameter.

Threads that are the same metal (flank angles, major and pitch diameter, pitch, starts) are one
candidate with several names. Each candidate has one row for each class of each of its names.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from threadwright.tables.registry import SYSTEMS, series
from threadwright.tables.thread import MM_PER_INCH, Array, SeriesTable, Side, Thread
from threadwright.tables.wires import wire_constants

__all__ = ["Catalogue", "ClassRows", "candidates", "class_rows", "every_thread"]

_SAME_METAL_MM = 0.0005
_SAME_PITCH_MM = 0.00005
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Catalogue:
    """Distinct candidates as columns (n,) in millimetres and degrees, sorted by major diameter."""

    names: tuple[tuple[tuple[str, int], ...], ...]
    """For each candidate its (system symbol, row in that system), the registry's order."""
    major: Array
    nominal_major: Array
    pitch: Array
    pitch_diameter: Array
    minor: Array
    flank_angle: Array
    thread_angle: Array
    starts: Integers
    wire_factor: Array
    """1 + cosec(alpha); NaN for an asymmetric form, as the next two."""
    wire_least: Array
    """Thinnest wire that stands proud of the crests. [mm]"""
    wire_greatest: Array
    """Thickest wire that touches the flanks. [mm]"""

    def __len__(self) -> int:
        return len(self.names)

    def designation(self, candidate: int) -> str:
        """Leading name of a candidate."""
        symbol, row = self.names[candidate][0]
        return series(symbol).designations[row]

    def also(self, candidate: int) -> tuple[str, ...]:
        """Other names of the same metal."""
        return tuple(series(symbol).designations[row] for symbol, row in self.names[candidate][1:])

    def thread(self, candidate: int) -> Thread:
        """The thread under its leading name."""
        symbol, row = self.names[candidate][0]
        return series(symbol).thread(row)


@dataclass(frozen=True, slots=True, eq=False)
class ClassRows:
    """Limits of one side, one row for each class of each name, grouped by candidate. [mm]"""

    candidate: Integers
    """Candidate of each row, ascending."""
    system: Integers
    """Index of the row's system in the registry."""
    tolerance_class: tuple[str, ...]
    major_low: Array
    major_high: Array
    pitch_diameter_low: Array
    pitch_diameter_high: Array
    minor_low: Array
    minor_high: Array


def _tables() -> list[tuple[SeriesTable, float]]:
    return [(series(s.symbol), MM_PER_INCH if s.unit == "in" else 1.0) for s in SYSTEMS]


def _stack(tables: list[tuple[SeriesTable, float]]) -> dict[str, Array]:
    columns: dict[str, list[Array]] = {}
    for index, (table, scale) in enumerate(tables):
        form, n = table.system.form, len(table)
        pitch = table.pitch * scale
        wires = wire_constants(form) if form.symmetric else None
        parts = {
            "system": np.full(n, float(index)),
            "row": np.arange(n, dtype=np.float64),
            "major": table.basic.major * scale,
            "nominal_major": table.nominal_major * scale,
            "pitch": pitch,
            "pitch_diameter": table.basic.pitch_diameter * scale,
            "minor": table.basic.minor * scale,
            "flank_angle": np.full(n, form.flank_angle),
            "thread_angle": np.full(n, form.thread_angle),
            "starts": np.array([float(size.starts) for size in table.system.sizes]),
            "wire_factor": np.full(n, wires.diameter_factor if wires else np.nan),
            "wire_least": pitch * (wires.least if wires else np.nan),
            "wire_greatest": pitch * (wires.greatest if wires else np.nan),
        }
        for name, part in parts.items():
            columns.setdefault(name, []).append(part)
    return {name: np.concatenate(parts) for name, parts in columns.items()}


@lru_cache(maxsize=1)
def _grouped() -> tuple[dict[str, Array], Integers]:
    """All threads sorted, and the candidate each belongs to."""
    flat = _stack(_tables())
    grid = {
        "major": np.rint(flat["major"] / _SAME_METAL_MM),
        "pitch": np.rint(flat["pitch"] / _SAME_PITCH_MM),
    }
    order = np.lexsort(
        (
            flat["row"],
            flat["system"],
            flat["pitch_diameter"],
            flat["starts"],
            flat["thread_angle"],
            flat["flank_angle"],
            grid["pitch"],
            grid["major"],
        )
    )
    keys = [grid["major"], grid["pitch"], flat["flank_angle"], flat["thread_angle"], flat["starts"]]
    changed = np.zeros(len(order), dtype=bool)
    for key in keys:
        changed[1:] |= key[order][1:] != key[order][:-1]
    changed[1:] |= np.abs(np.diff(flat["pitch_diameter"][order])) > _SAME_METAL_MM
    return {name: column[order] for name, column in flat.items()}, np.cumsum(changed)


@lru_cache(maxsize=1)
def candidates() -> Catalogue:
    """Every distinct thread of the catalogue.

    Examples
    --------
    >>> catalogue = candidates()
    >>> bool((np.diff(catalogue.major) > -0.001).all())
    True
    """
    flat, group = _grouped()
    members: list[list[tuple[int, str, int]]] = [[] for _ in range(int(group[-1]) + 1)]
    for index, system, row in zip(group, flat["system"], flat["row"], strict=True):
        members[index].append((int(system), SYSTEMS[int(system)].symbol, int(row)))
    first = np.flatnonzero(np.diff(group, prepend=-1))
    plain = {name: flat[name][first] for name in flat if name not in ("system", "row", "starts")}
    return Catalogue(
        names=tuple(tuple((symbol, row) for _, symbol, row in sorted(group)) for group in members),
        starts=flat["starts"][first].astype(np.int64),
        **plain,
    )


@lru_cache(maxsize=2)
def class_rows(side: Side) -> ClassRows:
    """Limits of one side for every class of every name of every candidate.

    A name without limits on that side has one row of NaN.

    Parameters
    ----------
    side : {"external", "internal"}

    Examples
    --------
    >>> rows = class_rows("external")
    >>> bool((np.diff(rows.candidate) >= 0).all())
    True
    """
    flat, group = _grouped()
    bounds = ("major", "pitch_diameter", "minor")
    lows: dict[str, list[Array]] = {name: [] for name in bounds}
    highs: dict[str, list[Array]] = {name: [] for name in bounds}
    owner: list[Array] = []
    system: list[Array] = []
    names: list[str] = []
    for index, (table, scale) in enumerate(_tables()):
        here = np.flatnonzero(flat["system"] == index)
        rows = flat["row"][here].astype(np.int64)
        sided = [limits for limits in table.limits if limits.side == side]
        blank = np.full(len(table), np.nan)
        for columns, class_name in [(x.columns, x.tolerance_class) for x in sided] or [({}, "")]:
            owner.append(group[here].astype(np.float64))
            system.append(np.full(len(here), float(index)))
            names += [class_name] * len(here)
            for name in bounds:
                lows[name].append(columns.get(f"{name}_min", blank)[rows] * scale)
                highs[name].append(columns.get(f"{name}_max", blank)[rows] * scale)
    candidate = np.concatenate(owner).astype(np.int64)
    order = np.argsort(candidate, kind="stable")
    return ClassRows(
        candidate=candidate[order],
        system=np.concatenate(system).astype(np.int64)[order],
        tolerance_class=tuple(names[i] for i in order),
        **{f"{name}_low": np.concatenate(lows[name])[order] for name in bounds},
        **{f"{name}_high": np.concatenate(highs[name])[order] for name in bounds},
    )


def every_thread() -> Iterator[Thread]:
    """Every thread of every system in the registry's order, aliases of the same metal included."""
    for entry in SYSTEMS:
        table = series(entry.symbol)
        for row in range(len(table)):
            yield table.thread(row)
