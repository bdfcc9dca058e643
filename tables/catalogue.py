"""Every thread of every system as columns in millimetres, sorted by major diameter.

Threads that are the same metal (flank angles, major and pitch diameter, pitch, starts, taper) are one
candidate with several names. Each candidate has one row for each class of each of its names. Sizes and
limits of a taper thread are those at its gauge plane.
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

__all__ = ["Catalogue", "ClassRows", "candidates", "class_rows", "every_thread", "has_side"]

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
    taper: Array
    """Change of diameter over length; 0 for a parallel thread. [-]"""
    gauge_length: Array
    """Small end to gauge plane of a taper thread; NaN if parallel or not held. [mm]"""
    wire_factor: Array
    """1 + cosec(alpha); NaN for an asymmetric form, as the next two."""
    wire_least: Array
    """Thinnest wire that stands proud of the crests. [mm]"""
    wire_greatest: Array
    """Thickest wire that touches the flanks. [mm]"""

    def __len__(self) -> int:
        return len(self.names)

    def names_on(self, candidate: int, side: Side | None = None) -> tuple[tuple[str, int], ...]:
        """The names that exist on a side: a hole is Rc 1/2, not R 1/2. All if none does or none is asked."""
        names = self.names[candidate]
        return tuple(name for name in names if side in series(name[0]).system.sides) or names

    def designation(self, candidate: int, side: Side | None = None) -> str:
        """Leading name of a candidate, on a side."""
        symbol, row = self.names_on(candidate, side)[0]
        return series(symbol).designations[row]

    def also(self, candidate: int, side: Side | None = None) -> tuple[str, ...]:
        """Other names of the same metal, on a side."""
        return tuple(series(symbol).designations[row] for symbol, row in self.names_on(candidate, side)[1:])

    def thread(self, candidate: int, side: Side | None = None) -> Thread:
        """The thread under its leading name, on a side."""
        symbol, row = self.names_on(candidate, side)[0]
        return series(symbol).thread(row)


@dataclass(frozen=True, slots=True, eq=False)
class ClassRows:
    """Limits of one side, one row for each class of each name, grouped by candidate. [mm]"""

    candidate: Integers
    """Candidate of each row, ascending."""
    system: Integers
    """Index of the row's system in the registry."""
    row: Integers
    """Row of the name in the table of its system."""
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
        lengths = table.lengths
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
            "taper": np.full(n, float(table.system.taper)),
            "gauge_length": np.full(n, np.nan) if lengths is None else lengths.gauge * scale,
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
            flat["taper"],
            flat["thread_angle"],
            flat["flank_angle"],
            grid["pitch"],
            grid["major"],
        )
    )
    keys = [grid["major"], grid["pitch"]]
    keys += [flat[name] for name in ("flank_angle", "thread_angle", "starts", "taper")]
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
    by_name = np.lexsort((flat["row"], flat["system"], group))
    first = by_name[np.flatnonzero(np.diff(group, prepend=-1))]
    plain = {name: flat[name][first] for name in flat if name not in ("system", "row", "starts")}
    return Catalogue(
        names=tuple(tuple((symbol, row) for _, symbol, row in sorted(group)) for group in members),
        starts=flat["starts"][first].astype(np.int64),
        **plain,
    )


@lru_cache(maxsize=2)
def has_side(side: Side) -> NDArray[np.bool_]:
    """Whether any name of each candidate exists on a side: an NPSC coupling has no external thread.

    Parameters
    ----------
    side : {"external", "internal"}

    Returns
    -------
    array of bool (n,)

    Examples
    --------
    >>> catalogue = candidates()
    >>> lacking = np.flatnonzero(~has_side("external"))
    >>> catalogue.designation(int(lacking[0]))
    '1/8-27 NPSC'
    """
    flat, group = _grouped()
    sided = np.array([side in entry.sides for entry in SYSTEMS])
    return np.bincount(group, sided[flat["system"].astype(np.int64)]) > 0


@lru_cache(maxsize=2)
def class_rows(side: Side) -> ClassRows:
    """Limits of one side for every class of every name of every candidate.

    A name without limits on that side has one row of NaN. A name that does not exist on that side has no
    row, unless no name of its candidate does (:func:`has_side`): then each has one row of NaN.

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
    place: list[Array] = []
    names: list[str] = []
    for index, (table, scale) in enumerate(_tables()):
        here = np.flatnonzero(flat["system"] == index)
        if side not in table.system.sides:
            here = here[~has_side(side)[group[here]]]
        rows = flat["row"][here].astype(np.int64)
        sided = [limits for limits in table.limits if limits.side == side]
        blank = np.full(len(table), np.nan)
        for columns, class_name in [(x.columns, x.tolerance_class) for x in sided] or [({}, "")]:
            owner.append(group[here].astype(np.float64))
            system.append(np.full(len(here), float(index)))
            place.append(flat["row"][here])
            names += [class_name] * len(here)
            for name in bounds:
                lows[name].append(columns.get(f"{name}_min", blank)[rows] * scale)
                highs[name].append(columns.get(f"{name}_max", blank)[rows] * scale)
    candidate = np.concatenate(owner).astype(np.int64)
    order = np.argsort(candidate, kind="stable")
    return ClassRows(
        candidate=candidate[order],
        system=np.concatenate(system).astype(np.int64)[order],
        row=np.concatenate(place).astype(np.int64)[order],
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
