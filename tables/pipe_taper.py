"""Pipe threads of ISO 7-1, jointed on the thread: taper external R and internal Rc, parallel internal Rp.

Pitch, depth and diameters are those of ISO 228-1; on a taper thread they lie at the gauge plane. The taper
is 1 in 16 on the diameter.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.numbers import exact, round_all, round_columns
from threadwright.tables.pipe_parallel import basic_sizes, pipe_sizes
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    TaperLengths,
    seed_columns,
)
from threadwright.tables.whitworth import WHITWORTH_FORM

__all__ = ["SYSTEMS", "gauge_plane_tolerance", "on_diameter"]

TAPER = Fraction(1, 16)
# size: gauge length, useful thread for it. [mm]
_LENGTHS = MappingProxyType(
    {
        "1/16": (4.0, 6.5),
        "1/8": (4.0, 6.5),
        "1/4": (6.0, 9.7),
        "3/8": (6.4, 10.1),
        "1/2": (8.2, 13.2),
        "3/4": (9.5, 14.5),
        "1": (10.4, 16.8),
        "1 1/4": (12.7, 19.1),
        "1 1/2": (12.7, 19.1),
        "2": (15.9, 23.4),
        "2 1/2": (17.5, 26.7),
        "3": (20.6, 29.8),
        "4": (25.4, 35.8),
        "5": (28.6, 40.1),
        "6": (28.6, 40.1),
    }
)
_ONLY_OLD = "3 1/2"  # in BS 21 before ISO 7-1; its lengths are not held
_LAST_SMALL = 2
_TURNS_SMALL: MappingProxyType[Side, float] = MappingProxyType({"external": 1.0, "internal": 1.25})
_TURNS_LARGE = 1.5
_PLACES = 3


def gauge_plane_tolerance(side: Side, *, size: Array, pitch: Array) -> Array:
    """Tolerance, either way, of the place of the gauge plane along the axis.

    One turn of an external thread and 1 1/4 of an internal one up to size 2, 1 1/2 turns above.

    Parameters
    ----------
    side : {"external", "internal"}
    size : array (n,)
        The size the name means. [in]
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        The tolerance to 0.1 mm. [mm]

    References
    ----------
    ISO 7-1, from memory.

    Examples
    --------
    >>> gauge_plane_tolerance("external", size=np.array([0.5, 3.0]), pitch=np.array([1.814, 2.309]))
    array([1.8, 3.5])
    """
    return round_columns(_turns(side, size) * pitch, 1)


def on_diameter(side: Side, *, size: Array, pitch: Array) -> Array:
    """The same tolerance as a difference of diameter at the gauge plane, either way.

    Parameters
    ----------
    side, size, pitch
        As for :func:`gauge_plane_tolerance`.

    Returns
    -------
    array (n,)
        The turns times the pitch times the taper, to 0.001 mm. [mm]

    References
    ----------
    ISO 7-1, from memory; 1.25 P / 16 and 1.5 P / 16 are TD2 of ISO 228-1 at 14 and 11 tpi.

    Examples
    --------
    >>> on_diameter("internal", size=np.array([0.5, 3.0]), pitch=np.array([1.814, 2.309]))
    array([0.142, 0.216])
    """
    return round_columns(_turns(side, size) * pitch * float(TAPER), _PLACES)


def _turns(side: Side, size: Array) -> Array:
    return np.where(size <= _LAST_SMALL, _TURNS_SMALL[side], _TURNS_LARGE)


def _named(system: System) -> Array:
    return np.array([float(exact(size.name)) for size in system.sizes])


def _lengths(system: System) -> TaperLengths:
    rows = [_LENGTHS.get(size.name, (np.nan, np.nan)) for size in system.sizes]
    gauge, useful = np.array(rows).T
    return TaperLengths(gauge=gauge, useful=useful)


def _rules(side: Side, system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    basic = basic_sizes(system)
    _, pitch = seed_columns(system)
    either_way = on_diameter(side, size=_named(system), pitch=pitch)
    columns = {
        "pitch_diameter_max": basic.pitch_diameter + either_way,
        "pitch_diameter_min": basic.pitch_diameter - either_way,
    }
    if side == "external":
        columns |= {
            "major_max": basic.major + either_way,
            "major_min": basic.major - either_way,
            "minor_max": basic.minor + either_way,
        }
    else:
        columns |= {
            "major_min": basic.major - either_way,
            "minor_max": basic.minor + either_way,
            "minor_min": basic.minor - either_way,
        }
    return basic, (
        LimitColumns(
            side=side,
            tolerance_class="",
            columns=round_all(columns, _PLACES),
            basis="from memory",
        ),
    )


def _designation(symbol: str, size: Size) -> str:
    return f"{symbol} {size.name}"


def _aliases(symbol: str, name: str, tpi: int) -> tuple[str, ...]:
    """``1/4 BSP`` alone may be any of them, and G 1/4 too; the answer to it is a question."""
    others = {"R": ("BSPT", "BSP"), "Rc": ("BSP",), "Rp": ("BSP",)}[symbol]
    japanese = {"R": ("PT",), "Rc": (), "Rp": ("PS",)}[symbol]
    return (
        *(f"{name} {other}" for other in (symbol, *others)),
        *(f"{other} {name}" for other in (*others, *japanese)),
        *(f"{name}-{tpi} {other}" for other in (symbol, *others)),
    )


def _sizes(symbol: str) -> tuple[Size, ...]:
    return tuple(
        size._replace(choice=3, basis="from memory") if size.name == _ONLY_OLD else size
        for size in pipe_sizes(partial(_aliases, symbol))
        if size.name in _LENGTHS or size.name == _ONLY_OLD
    )


def _system(symbol: str, title: str, side: Side, *, tapered: bool) -> System:
    return System(
        symbol=symbol,
        title=title,
        unit="mm",
        form=WHITWORTH_FORM,
        seeds=partial(_sizes, symbol),
        source=Source(
            "ISO 7-1 (formerly BS 21), gauge and useful lengths as reproduced",
            "tolerances from memory: turns of the thread, made diameters by the taper; the gauge plane "
            "of an internal thread lies half a pitch behind its face; the profile is square to the axis",
        ),
        used=(
            "Steam, gas and water pipe world-wide except North America, joints sealed on the thread: BS 21 "
            "from 1905, later ISO 7-1; in Japan PT, and PS for the parallel hole. Size 3 1/2 only in the "
            "older BS 21."
        ),
        periods=(
            Period(f"{COMMONWEALTH} JP {CONTINENT}", 1905, 2100, "usual"),
            Period(NORTH_AMERICA, 1905, 2100, "rare"),
        ),
        designation=partial(_designation, symbol),
        rules=partial(_rules, side),
        default_classes=MappingProxyType({side: ""}),
        tpi_pitch=True,
        pitch_places=_PLACES,
        sides=(side,),
        taper=TAPER if tapered else Fraction(0),
        lengths=_lengths if tapered else None,
    )


SYSTEMS = (
    _system("R", "Pipe thread, taper external", "external", tapered=True),
    _system("Rc", "Pipe thread, taper internal", "internal", tapered=True),
    _system("Rp", "Pipe thread, parallel internal, for R", "internal", tapered=False),
)
