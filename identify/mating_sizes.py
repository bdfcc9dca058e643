"""Sizes of one side of a thread, or of the whole catalogue: basic, and at either end of the limits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Literal

import numpy as np

from threadwright import judgement
from threadwright.tables.catalogue import Catalogue, candidates
from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.form import Form
from threadwright.tables.registry import SYSTEMS, series
from threadwright.tables.thread import MM_PER_INCH, Array, SeriesTable, Side, Thread

__all__ = ["STATES", "SideSizes", "State", "catalogue_sizes", "root_of_screw", "sizes_of", "straight_depth"]

State = Literal["tightest", "basic", "loosest"]
STATES: tuple[State, ...] = ("tightest", "basic", "loosest")
_SIDES: tuple[Side, ...] = ("external", "internal")
_QUANTITIES = ("major", "pitch_diameter", "minor")
_FLAT_ROOT = 0.577350  # d2 - d3 over the pitch for 60 deg: d3 = d - 1.226869 P, ISO 68-1 and ASME B1.1
_FLAT_RADIUS = 0.144338  # H / 6, the radius of that root
_Ends = Mapping[str, tuple[Array, Array]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideSizes:
    """Screws, or holes, as columns that broadcast against each other. [mm, deg]

    ``major`` and ``minor`` are the outermost and innermost points of the profile: the crest and the bottom
    of the root.
    """

    major: Array
    pitch_diameter: Array
    minor: Array
    pitch: Array
    load_flank: Array
    clear_flank: Array
    flat_crest: Array
    """Whether the crest is flat, not rounded (1 or 0)."""
    root_radius: Array
    """Radius of the root; 0 for a flat one."""
    rounding: Array
    """What a rounded crest of the screw takes off the diameter up to which its flanks are straight."""
    mate_crest: Array
    """Crest of the proper partner in the same state: major diameter of the screw up to which its flanks are
    straight, or minor diameter of the nut."""
    straight: Array
    """Depth of straight flank."""
    depth: Array
    """Depth of the basic profile."""
    starts: Array
    taper: Array
    """Change of diameter over length; 0 for a parallel thread. [-]"""
    gauge: Array
    """Small end to the gauge plane, where a taper thread has its sizes; 0 for a parallel thread."""
    left_hand: Array

    def __len__(self) -> int:
        return int(self.major.shape[0])

    def pick(self, index: object) -> SideSizes:
        """Some of the rows."""
        return SideSizes(**{f.name: getattr(self, f.name)[index] for f in fields(self)})

    def column(self) -> SideSizes:
        """The same rows standing, (n, 1), so that they meet every row of the other side."""
        return SideSizes(**{f.name: getattr(self, f.name)[:, None] for f in fields(self)})

    @property
    def tangent(self) -> Array:
        """Mean tangent of the two flank angles. [-]"""
        both = np.tan(np.radians(self.load_flank)) + np.tan(np.radians(self.clear_flank))
        return np.asarray(both / 2)


def root_of_screw(form: Form, *, pitch: Array, pitch_diameter: Array, instead: Array) -> Array:
    """Bottom of a screw's root.

    Parameters
    ----------
    form : Form
    pitch, pitch_diameter : array
        [mm]
    instead : array
        Minor diameter that counts for any form but 60 deg with flat crests. [mm]

    Returns
    -------
    array
        Root diameter; for 60 deg d2 - 0.57735 P. [mm]

    References
    ----------
    ISO 68-1 and ASME B1.1: d3 = d - 1.226869 P, root radius H/6.

    Examples
    --------
    >>> from threadwright.tables.iso_metric import ISO_FORM
    >>> one = np.array([1.5])
    >>> root_of_screw(ISO_FORM, pitch=one, pitch_diameter=np.array([9.026]), instead=one).round(2)
    array([8.16])
    """
    return pitch_diameter - _FLAT_ROOT * pitch if _flat_sixty(form) else instead


def straight_depth(form: Form) -> float:
    """Depth of straight flank over pitch, root and crest roundings left out. [-]

    Parameters
    ----------
    form : Form

    References
    ----------
    Geometry: 0.54127 for 60 deg (5H/8), 0.49249 for Whitworth, 0.38399 for BA.

    Examples
    --------
    >>> from threadwright.tables.whitworth import WHITWORTH_FORM
    >>> round(straight_depth(WHITWORTH_FORM), 5)
    0.49249
    """
    return form.straight_addendum + (form.straight_addendum if form.crest_radius > 0 else form.dedendum)


def sizes_of(
    thread: Thread,
    side: Side,
    state: State = "basic",
    *,
    tolerance_class: str | None = None,
    read: Mapping[str, float] | None = None,
) -> SideSizes:
    """One side of one thread.

    Parameters
    ----------
    thread : Thread
    side : {"external", "internal"}
    state : {"tightest", "basic", "loosest"}
        Which end of the limits; sizes without a limit are estimated.
    tolerance_class : str, optional
        The usual commercial class if left out.
    read : mapping, optional
        What was measured and counts instead: ``major``, ``pitch_diameter``, ``minor``, ``pitch``,
        ``load_flank``, ``clear_flank``. [mm, deg]

    Returns
    -------
    SideSizes
        One row. [mm]

    Raises
    ------
    UnknownThreadError
        If the thread has no such side, or no such class on that side.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> float(sizes_of(find_thread("M10"), "external", "loosest").major[0])
    9.732
    """
    if side not in thread.sides:
        part = "screw" if side == "external" else "hole"
        raise UnknownThreadError(
            f"{thread.designation}: this thread has no {side} side, so it is no {part}; "
            "name the thread that is"
        )
    both: dict[Side, _Ends] = {
        one: _ends_of(thread, one, tolerance_class if one == side else None) for one in _SIDES
    }
    found = _assemble(
        thread.form,
        side,
        state,
        pitch=np.array([thread.pitch_mm]),
        basic={name: np.array([getattr(thread, f"{name}_basic") * thread.to_mm]) for name in _QUANTITIES},
        ends=both,
        starts=np.array([float(thread.starts)]),
        taper=float(thread.taper),
        gauge=np.array([math.nan if thread.gauge_length is None else thread.gauge_length * thread.to_mm]),
    )
    found["left_hand"] = np.array([float(thread.left_hand)])
    measured = {name: np.array([value]) for name, value in (read or {}).items()}
    if side == "external" and "pitch_diameter" in measured and "minor" not in measured:
        shift = measured["pitch_diameter"] - found["pitch_diameter"]
        measured["minor"] = found["minor"] + shift
    return SideSizes(**(found | measured))


@lru_cache(maxsize=6)
def catalogue_sizes(side: Side, state: State = "basic") -> SideSizes:
    """One side of every candidate of the catalogue, under its leading name there and in its usual class.

    Parameters
    ----------
    side : {"external", "internal"}
    state : {"tightest", "basic", "loosest"}

    Examples
    --------
    >>> sizes = catalogue_sizes("internal")
    >>> len(sizes) == len(candidates())
    True
    """
    catalogue = candidates()
    blocks: list[dict[str, Array]] = []
    place: dict[str, int] = {}
    for entry in SYSTEMS:
        place[entry.symbol] = sum(block["pitch"].size for block in blocks)
        blocks.append(_system(series(entry.symbol), side, state))
    order = [place[symbol] + row for symbol, row in _leading(catalogue, side)]
    columns = {name: np.concatenate([block[name] for block in blocks])[order] for name in blocks[0]}
    return SideSizes(**columns)


def _leading(catalogue: Catalogue, side: Side) -> Iterable[tuple[str, int]]:
    return (catalogue.names_on(index, side)[0] for index in range(len(catalogue)))


def _system(table: SeriesTable, side: Side, state: State) -> dict[str, Array]:
    scale = MM_PER_INCH if table.system.unit == "in" else 1.0
    found = _assemble(
        table.system.form,
        side,
        state,
        pitch=table.pitch * scale,
        basic={name: getattr(table.basic, name) * scale for name in _QUANTITIES},
        ends={one: _ends_of_system(table, one, scale) for one in _SIDES},
        starts=np.array([float(size.starts) for size in table.system.sizes]),
        taper=float(table.system.taper),
        gauge=np.full(len(table), np.nan) if table.lengths is None else table.lengths.gauge * scale,
    )
    found["left_hand"] = np.zeros(len(table))
    return found


def _ends_of(thread: Thread, side: Side, tolerance_class: str | None = None) -> _Ends:
    """Both ends of the limits of one thread, NaN where there are none. [mm]"""
    if tolerance_class is None and not thread.classes(side):
        return {name: (np.array([math.nan]), np.array([math.nan])) for name in _QUANTITIES}
    limits = thread.limits(side, tolerance_class).in_mm()
    return {
        name: (np.array([getattr(limits, f"{name}_min")]), np.array([getattr(limits, f"{name}_max")]))
        for name in _QUANTITIES
    }


def _ends_of_system(table: SeriesTable, side: Side, scale: float) -> _Ends:
    """Both ends for every size: the usual class, or the first that has limits for that size. [mm]"""
    usual = table.system.default_classes.get(side, "")
    classes = [columns for columns in table.limits if columns.side == side]
    classes.sort(key=lambda columns: columns.tolerance_class != usual)
    n = len(table)
    ends = {f"{name}_{end}": np.full(n, np.nan) for name in _QUANTITIES for end in ("min", "max")}
    open_rows = np.ones(n, dtype=bool)
    for columns in classes:
        defined = np.zeros(n, dtype=bool)
        for column in columns.columns.values():
            defined |= np.isfinite(column)
        take = open_rows & defined
        for name in ends:
            if name in columns.columns:
                ends[name][take] = columns.columns[name][take] * scale
        open_rows &= ~take
    return {name: (ends[f"{name}_min"], ends[f"{name}_max"]) for name in _QUANTITIES}


def _flat_sixty(form: Form) -> bool:
    """Whether the root lies deeper than the basic profile says: 60 deg of ISO 68-1, not American National."""
    plain = math.isclose(form.thread_angle, 60.0) and form.symmetric and form.crest_end == "flat"
    return plain and 2 * form.dedendum < _FLAT_ROOT


def _size(
    name: str, side: Side, state: State, *, pitch: Array, basic: Mapping[str, Array], ends: _Ends
) -> Array:
    """One diameter in one state; an end without a limit is estimated from the basic size."""
    if state == "basic":
        return basic[name]
    high = (state == "tightest") == (side == "external")
    zone = judgement.ESTIMATED_ZONE[side, name]
    limit = ends[name][1 if high else 0]
    return np.where(np.isfinite(limit), limit, basic[name] + zone[1 if high else 0] * pitch)


def _assemble(
    form: Form,
    side: Side,
    state: State,
    *,
    pitch: Array,
    basic: Mapping[str, Array],
    ends: Mapping[Side, _Ends],
    starts: Array,
    taper: float,
    gauge: Array,
) -> dict[str, Array]:
    """All columns of one side but the hand."""

    def size(name: str, of: Side) -> Array:
        return _size(name, of, state, pitch=pitch, basic=basic, ends=ends[of])

    rounded = form.crest_radius > 0
    clear = form.flank_angle if form.flank_angle_clear is None else form.flank_angle_clear
    rounding = 2 * (form.addendum - form.straight_addendum) * pitch
    diameters = {name: size(name, side) for name in _QUANTITIES}
    radius = form.crest_radius
    if side == "external":
        diameters["minor"] = root_of_screw(
            form, pitch=pitch, pitch_diameter=diameters["pitch_diameter"], instead=diameters["minor"]
        )
        radius = _FLAT_RADIUS if _flat_sixty(form) else radius
        mate_crest = size("minor", "internal")
    else:
        mate_crest = size("major", "external") - rounding
    full: Callable[[float], Array] = lambda value: np.full(len(pitch), float(value))  # noqa: E731
    return {
        **diameters,
        "pitch": pitch,
        "load_flank": full(form.flank_angle),
        "clear_flank": full(clear),
        "flat_crest": full(not rounded),
        "root_radius": radius * pitch,
        "rounding": rounding,
        "mate_crest": mate_crest,
        "straight": straight_depth(form) * pitch,
        "depth": form.depth_over_pitch * pitch,
        "starts": starts,
        "taper": full(taper),
        "gauge": np.where(np.isnan(gauge), judgement.TAPER_PITCHES * pitch, gauge) * (taper > 0),
    }
