"""Every thread of every system as columns in millimetres, sorted by major diameter.

Threads that are the same metal (flank angles, major and pitch diameter, pitch, starts, taper) are one
candidate with several names. Each candidate has one row for each class of each of its names. Sizes and
limits of a taper thread are those at its gauge plane.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from operator import attrgetter
from typing import TYPE_CHECKING

import numpy as np

from threadwright.tables.record import Record
from threadwright.tables.registry import SYSTEMS, series
from threadwright.tables.system import MM_PER_INCH, Array, SeriesTable, Side
from threadwright.tables.wires import wire_constants

__all__ = ["Catalogue", "ClassRows", "candidates", "class_rows", "every_thread", "has_side", "owners"]

_SAME_METAL_MM = 0.0005
_SAME_PITCH_MM = 0.00005
_BOUNDS = ("major", "pitch_diameter", "minor")
if TYPE_CHECKING:
    from numpy.typing import NDArray

    from threadwright.tables.thread import Thread

    Integers = NDArray[np.int64]
else:
    Integers = np.ndarray


class Catalogue(Record):
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
        return series(symbol).designation(row)

    def also(self, candidate: int, side: Side | None = None) -> tuple[str, ...]:
        """Other names of the same metal, on a side."""
        return tuple(series(symbol).designation(row) for symbol, row in self.names_on(candidate, side)[1:])

    def thread(self, candidate: int, side: Side | None = None) -> Thread:
        """The thread under its leading name, on a side."""
        symbol, row = self.names_on(candidate, side)[0]
        return series(symbol).thread(row)


class ClassRows(Record):
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


def _tables() -> list[SeriesTable]:
    return [series(entry.symbol) for entry in SYSTEMS]


def _wires(tables: list[SeriesTable]) -> Array:
    """Factor, least and greatest wire of each system's form, over the pitch; NaN if asymmetric. [-]"""
    held = {id(table.system.form): table.system.form for table in tables}
    of_form = {
        key: (constants.diameter_factor, constants.least, constants.greatest)
        for key, form in held.items()
        if form.symmetric and (constants := wire_constants(form))
    }
    return np.array([of_form.get(id(table.system.form), (np.nan,) * 3) for table in tables]).T


def _starts(table: SeriesTable) -> Array:
    return np.array(list(map(attrgetter("starts"), table.system.sizes)), dtype=np.float64)


def _stack(tables: list[SeriesTable]) -> dict[str, Array]:
    """All threads in the registry's order, as columns. [mm and degrees]"""
    count = [len(table) for table in tables]
    system = np.repeat(np.arange(len(tables)), count)
    scale = np.array([MM_PER_INCH if table.system.unit == "in" else 1.0 for table in tables])[system]
    forms = [table.system.form for table in tables]
    factor, least, greatest = _wires(tables)
    pitch = np.concatenate([table.pitch for table in tables]) * scale
    gauge = [
        np.full(n, np.nan) if table.lengths is None else table.lengths.gauge
        for n, table in zip(count, tables, strict=True)
    ]
    return {
        "system": system.astype(np.float64),
        "row": np.arange(len(system)) - np.repeat(np.cumsum(count) - count, count).astype(np.float64),
        "scale": scale,
        "major": np.concatenate([table.basic.major for table in tables]) * scale,
        "nominal_major": np.concatenate([table.nominal_major for table in tables]) * scale,
        "pitch": pitch,
        "pitch_diameter": np.concatenate([table.basic.pitch_diameter for table in tables]) * scale,
        "minor": np.concatenate([table.basic.minor for table in tables]) * scale,
        "flank_angle": np.array([form.flank_angle for form in forms])[system],
        "thread_angle": np.array([form.thread_angle for form in forms])[system],
        "starts": np.concatenate([_starts(table) for table in tables]),
        "taper": np.array([float(table.system.taper) for table in tables])[system],
        "gauge_length": np.concatenate(gauge) * scale,
        "wire_factor": factor[system],
        "wire_least": pitch * least[system],
        "wire_greatest": pitch * greatest[system],
    }


@lru_cache(maxsize=1)
def _grouped() -> tuple[dict[str, Array], Integers]:
    """All threads in the registry's order, and the candidate each belongs to."""
    flat = _stack(_tables())
    grid = {
        "major": np.rint(flat["major"] / _SAME_METAL_MM),
        "pitch": np.rint(flat["pitch"] / _SAME_PITCH_MM),
    }
    keys = [grid["major"], grid["pitch"]]
    keys += [flat[name] for name in ("flank_angle", "thread_angle", "taper", "starts")]
    order = np.lexsort((flat["pitch_diameter"], *reversed(keys)))
    changed = np.zeros(len(order), dtype=bool)
    for key in keys:
        changed[1:] |= np.diff(key[order]) != 0
    changed[1:] |= np.diff(flat["pitch_diameter"][order]) > _SAME_METAL_MM
    group = np.empty(len(order), dtype=np.int64)
    group[order] = np.cumsum(changed)
    return flat, group


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
    symbols = [entry.symbol for entry in SYSTEMS]
    by_name = np.argsort(group, kind="stable")
    start = np.flatnonzero(np.diff(group[by_name], prepend=-1))
    first = by_name[start]  # the leading name
    system, row = (flat[name][by_name].astype(np.int64).tolist() for name in ("system", "row"))
    names = tuple(zip(map(symbols.__getitem__, system), row, strict=True))
    ends = [*start.tolist(), len(names)]
    plain = {name: flat[name][first] for name in flat if name not in ("system", "row", "scale", "starts")}
    return Catalogue(
        names=tuple([names[begin:end] for begin, end in pairwise(ends)]),
        starts=flat["starts"][first].astype(np.int64),
        **plain,
    )


def owners() -> Integers:
    """The candidate of every thread, in the order of :func:`every_thread`.

    Returns
    -------
    array of int (n,)

    Examples
    --------
    >>> bool((np.bincount(owners()) == [len(names) for names in candidates().names]).all())
    True
    """
    return _grouped()[1]


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
    sided = np.array([side in entry.sides for entry in SYSTEMS], dtype=np.float64)
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
    picked: list[Integers] = []
    names: list[str] = []
    columns: dict[str, list[Array]] = {f"{name}_{end}": [] for name in _BOUNDS for end in ("min", "max")}
    begin = 0
    for table in _tables():
        here = np.arange(begin, begin + len(table))
        begin += len(table)
        counts = slice(None) if side in table.system.sides else ~has_side(side)[group[here]]
        blank = np.full(len(table), np.nan)
        sided = [limits for limits in table.limits if limits.side == side]
        for held, class_name in [(x.arrays, x.tolerance_class) for x in sided] or [({}, "")]:
            picked.append(here[counts])
            names += [class_name] * len(picked[-1])
            for name, parts in columns.items():
                parts.append(held.get(name, blank)[counts])
    row = np.concatenate(picked)
    order = np.argsort(group[row], kind="stable")
    row = row[order]
    scale = flat["scale"][row]
    limits_mm = {name: np.concatenate(parts)[order] * scale for name, parts in columns.items()}
    return ClassRows(
        candidate=group[row],
        system=flat["system"][row].astype(np.int64),
        row=flat["row"][row].astype(np.int64),
        tolerance_class=tuple(map(names.__getitem__, order.tolist())),
        **{f"{name}_low": limits_mm[f"{name}_min"] for name in _BOUNDS},
        **{f"{name}_high": limits_mm[f"{name}_max"] for name in _BOUNDS},
    )


def every_thread() -> Iterator[Thread]:
    """Every thread of every system in the registry's order, aliases of the same metal included."""
    for entry in SYSTEMS:
        table = series(entry.symbol)
        for row in range(len(table)):
            yield table.thread(row)
