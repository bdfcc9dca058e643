"""Steel conduit threads of DIN 40430 (Pg): 80 deg, rounded, a tenth of the height off each end.

The depth is rounded to 0.01 mm and then doubled. The number names a bore, not a diameter of the thread.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import exact, per_inch, round_columns
from threadwright.tables.system import Basic, LimitColumns, Period, Size, Source, System, seed_columns

__all__ = ["PG_FORM", "SYSTEMS"]

PG_FORM = Form(
    name="Pg 80 deg",
    flank_angle=40.0,
    crest=Truncation(Fraction(1, 10)),
    root=Truncation(Fraction(1, 10)),
    crest_end="rounded",
    root_end="rounded",
)

# number:major diameter in mm-threads per inch
_PG = """
7:12.5-20 9:15.2-18 11:18.6-18 13.5:20.4-18 16:22.5-18 21:28.3-16 29:37.0-16 36:47.0-16 42:54.0-16 48:59.3-16
"""
_PLACES = 2


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes from the rounded depth; the limits of DIN 40430 were not found. [mm]"""
    major, pitch = seed_columns(system)
    depth = round_columns(PG_FORM.depth_over_pitch * pitch, _PLACES)
    return Basic(major, round_columns(major - depth, _PLACES), round_columns(major - 2 * depth, _PLACES)), ()


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for entry in _PG.split():
        number, thread = entry.split(":")
        major, tpi = thread.split("-")
        aliases = (f"Pg {number}-{tpi}", f"{number} Pg")
        sizes.append(Size(number, exact(major), per_inch(tpi), aliases=aliases, nominal=exact(number)))
    return tuple(sizes)


def _designation(size: Size) -> str:
    return f"Pg {size.name}"


SYSTEMS = (
    System(
        symbol="Pg",
        title="Steel conduit, DIN 40430",
        unit="mm",
        form=PG_FORM,
        seeds=_sizes,
        source=Source(
            "DIN 40430 table, as reproduced",
            "proportions from memory; depth to 0.01 mm reproduces every printed minor diameter; limits not "
            "found",
        ),
        used=(
            "Germany, Austria, Switzerland and neighbours: electrical conduit, cable glands and boxes, to "
            "about 2000-03 (EN 60423 metric after). Taken for M16x1.5 (Pg 9), M20x1.5 or M22x1.5 (Pg 16), "
            "M12x1.5 (Pg 7). French Pg threads differ slightly."
        ),
        periods=(Period("DE AT CH NL SE NO DK FI CZ PL IT", 1910, 2003, "met"),),
        designation=_designation,
        rules=_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        tpi_pitch=True,
    ),
)
