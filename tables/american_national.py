"""American National threads (NC, NF) of 1924 to 1948: the sizes of Unified on the Sellers form.

The tolerances depend on the pitch alone. Those of classes 2 and 3 from 4 to 20 tpi are held, from memory;
of classes 1 and 4, and of finer pitches, no figures are. The external major diameter has no lower limit here
for the same reason.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables import unified
from threadwright.tables.errors import UnknownThreadError
from threadwright.tables.historic_american import SELLERS_FORM
from threadwright.tables.numbers import round_columns
from threadwright.tables.system import (
    COMMONWEALTH,
    NORTH_AMERICA,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)
from threadwright.tables.whitworth import inch_basic, inch_designation

__all__ = ["NATIONAL_FORM", "SYSTEMS", "national_rules", "pitch_tolerance"]

NATIONAL_FORM = SELLERS_FORM.but(name="American National 60 deg")

# tpi: tolerance of the pitch diameter in class 2 and class 3, 0.0001 in; from memory
_TOLERANCE = {
    20.0: (36, 26),
    18.0: (41, 30),
    16.0: (45, 32),
    14.0: (49, 36),
    13.0: (52, 37),
    12.0: (56, 40),
    11.0: (59, 42),
    10.0: (64, 45),
    9.0: (70, 49),
    8.0: (76, 54),
    7.0: (85, 59),
    6.0: (101, 71),
    5.0: (116, 82),
    4.5: (127, 89),
    4.0: (140, 97),
}
_CLASSES = {"2": 0, "3": 1}


def pitch_tolerance(tolerance_class: str, tpi: Array) -> Array:
    """Tolerance of the pitch diameter, the same for screw and nut.

    Parameters
    ----------
    tolerance_class : {"2", "3"}
        2 is the free fit, 3 the medium fit.
    tpi : array (n,)
        Threads per inch. [1/in]

    Returns
    -------
    array (n,)
        The tolerance; NaN where none is held. [in]

    Raises
    ------
    UnknownThreadError
        If no figures are held for the class.

    References
    ----------
    Report of the National Screw Thread Commission, 1924, and NBS Handbook H28-1944; from memory.

    Examples
    --------
    >>> pitch_tolerance("3", np.array([20.0, 28.0]))
    array([0.0026,    nan])
    """
    if tolerance_class not in _CLASSES:
        raise UnknownThreadError(
            f"pitch diameter: no American National class {tolerance_class!r} in the tables; write 2 or 3"
        )
    column = _CLASSES[tolerance_class]
    found = [_TOLERANCE[n][column] / 10_000 if n in _TOLERANCE else np.nan for n in tpi.tolist()]
    return np.array(found)


def national_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes to 0.0001 in; classes 2 and 3 without allowance, where a tolerance is held. [in]"""
    nominal, pitch = seed_columns(system)
    basic = inch_basic(system.form, nominal, pitch)
    limits: list[LimitColumns] = []
    for name in _CLASSES:
        width = pitch_tolerance(name, round_columns(1 / pitch, 6))
        held = ~np.isnan(width)
        major, middle = (np.where(held, value, np.nan) for value in (basic.major, basic.pitch_diameter))
        screw = {
            "major_max": major,
            "pitch_diameter_max": middle,
            "pitch_diameter_min": round_columns(middle - width, 4),
        }
        nut = {
            "major_min": major,
            "pitch_diameter_max": round_columns(middle + width, 4),
            "pitch_diameter_min": middle,
        }
        limits += [
            LimitColumns(side="external", tolerance_class=name, columns=screw, basis="from memory"),
            LimitColumns(side="internal", tolerance_class=name, columns=nut, basis="from memory"),
        ]
    return basic, tuple(limits)


def _sizes(of_unified: str, symbol: str) -> tuple[Size, ...]:
    """The sizes of a Unified series; 1 in fine has 14 tpi instead of 12."""
    (base,) = (entry for entry in unified.SYSTEMS if entry.symbol == of_unified)
    sizes = []
    for size in base.sizes:
        aliases = tuple(alias.replace(of_unified, symbol) for alias in size.aliases if of_unified in alias)
        if size.name == "1" and size.pitch == Fraction(1, 12):
            pitch, aliases = Fraction(1, 14), (f"{size.name} {symbol}",)
        else:
            pitch = size.pitch
        sizes.append(Size(size.name, size.major, pitch, size.choice, aliases, size.basis))
    return tuple(sizes)


def _designation(symbol: str, size: Size) -> str:
    return inch_designation(size, symbol)


_SOURCE = Source(
    "Report of the National Screw Thread Commission, 1924 and 1933; ASA B1.1-1935; NBS Handbook H28-1944",
    "read in abstract: sizes as Unified except 1-14 NF, no allowance in classes 2 and 3, names of the "
    "classes; the tolerances from memory, for 4 to 20 tpi alone; classes 1, 4 and 5 not held",
)


def _system(symbol: str, title: str, of_unified: str, used: str) -> System:
    return System(
        symbol=symbol,
        title=title,
        unit="in",
        form=NATIONAL_FORM,
        seeds=partial(_sizes, of_unified, symbol),
        source=_SOURCE,
        used=used,
        periods=(
            Period(NORTH_AMERICA, 1924, 1948, "usual"),
            Period(NORTH_AMERICA, 1949, 1960, "met"),
            Period(COMMONWEALTH, 1939, 1948, "rare"),
        ),
        designation=partial(_designation, symbol),
        rules=national_rules,
        default_classes=MappingProxyType({"external": "2", "internal": "2"}),
    )


SYSTEMS = (
    _system(
        "NC",
        "American National coarse",
        "UNC",
        "United States, 1924 to 1948: machine tools, vehicles, wartime deliveries; US Standard before, "
        "UNC after. 1 3/8 in and 3 1/4 to 4 in were added in 1933.",
    ),
    _system(
        "NF",
        "American National fine",
        "UNF",
        "United States, 1924 to 1948: vehicles and aircraft; SAE before, UNF after. 1 in has 14 tpi. The "
        "series of 8, 12 and 16 tpi written 8N, 12N and 16N have the sizes of UN.",
    ),
)
