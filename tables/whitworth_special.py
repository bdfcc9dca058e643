"""Whitworth-form specials: constant pitch (WHIT), model engineer (ME), conduit (CON), objective (RMS).

All have the profile of BS 84 and round the effective and minor diameters to 0.0001 in.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables import whitworth
from threadwright.tables.numbers import exact, format_mixed, per_inch
from threadwright.tables.system import (
    COMMONWEALTH,
    Basic,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    fine_first,
    in_order,
    seed_columns,
)
from threadwright.tables.whitworth import (
    WHITWORTH_FORM,
    inch_basic,
    inch_designation,
    limits_from_tolerance_unit,
)

__all__ = ["SYSTEMS"]

# Threads per inch of the selected constant pitches, from memory. 26 tpi at every diameter is the brass
# thread, 32 and 40 tpi, recalled with less certainty, are the model engineer's.
_CONSTANT_PITCHES = (4, 6, 8, 12, 16, 20)
_LEAST_DIAMETER = 0.25  # in
_MOST_TURNS = 40  # in a length of one diameter: judgement, common practice, no source
_ME = """
1/8-40 5/32-40 3/16-40 7/32-40 1/4-40 9/32-40 5/16-40 3/8-40 7/16-40 1/2-40
1/4-32 9/32-32 5/16-32 3/8-32 7/16-32 1/2-32
"""
# From memory, 1/2 and 2 1/2 in least sure. The nominal size is the outside diameter.
_CON = "1/2-18 5/8-18 3/4-16 1-16 1+1/4-16 1+1/2-14 2-14 2+1/2-14"
_RMS_LIMITS = {"external": (0.7804, 0.7774), "internal": (0.7852, 0.7822)}  # pitch diameter max, min; memory


def special_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes, and limits estimated by the formulas of BS 84 with L = D. [in]"""
    nominal, pitch = seed_columns(system)
    basic = inch_basic(system.form, nominal, pitch)
    return basic, limits_from_tolerance_unit(
        nominal, pitch, basic, quarter_inch_pitch=pitch, basis="estimated", basis_of_basic="estimated"
    )


def basic_only(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of a series whose limits were not found. [in]"""
    return inch_basic(system.form, *seed_columns(system)), ()


def objective_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes, and the pitch diameter limits of the objective thread, from memory. [in]"""
    basic, _ = basic_only(system)
    external = {
        f"pitch_diameter_{end}": np.array([value])
        for end, value in zip(("max", "min"), _RMS_LIMITS["external"], strict=True)
    }
    internal = {
        f"pitch_diameter_{end}": np.array([value])
        for end, value in zip(("max", "min"), _RMS_LIMITS["internal"], strict=True)
    }
    columns = LimitColumns(side="external", tolerance_class="", columns=external, basis="from memory")
    return basic, (columns, columns.but(side="internal", columns=internal))


def _designation(symbol: str, size: Size) -> str:
    return inch_designation(size, symbol)


def _listed(text: str, symbol: str, other: str) -> tuple[Size, ...]:
    sizes = []
    for entry in text.split():
        diameter, tpi = entry.split("-")
        major = exact(diameter)
        name = format_mixed(major)
        aliases = (f"{name} {symbol}", f"{symbol} {name}", f"{other} {name}")
        sizes.append(Size(name, major, per_inch(tpi), aliases=aliases))
    return in_order(sizes)


def _constant_pitch_sizes() -> tuple[Size, ...]:
    """Diameters of the coarse series from 1/4 in in each constant pitch finer than the coarse one."""
    coarse, fine = (
        next(system for system in whitworth.SYSTEMS if system.symbol == symbol).sizes
        for symbol in ("BSW", "BSF")
    )
    standard = {fine_first(size) for size in (*coarse, *fine)}
    sizes = []
    for size in coarse:
        major, pitch = fine_first(size)
        if size.choice < 3 and major >= _LEAST_DIAMETER:
            sizes += [
                Size(size.name, size.major, per_inch(str(tpi)), choice=3)
                for tpi in _CONSTANT_PITCHES
                if 1 < tpi * pitch and tpi * major <= _MOST_TURNS and (major, 1 / tpi) not in standard
            ]
    return tuple(sizes)


def _objective() -> tuple[Size, ...]:
    return (Size("0.800", Fraction("0.8"), Fraction(1, 36), aliases=("RMS", "RMS 0.800-36", "0.8 RMS")),)


_NO_CLASS: Mapping[Side, str] = MappingProxyType({"external": "", "internal": ""})
_USUAL: Mapping[Side, str] = MappingProxyType({"external": "medium", "internal": "normal"})

SYSTEMS = (
    System(
        symbol="WHIT",
        title="Whitworth form, special pitch",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=_constant_pitch_sizes,
        source=Source(
            "BS 84:1956, BS 84:2007 (scope only)",
            "BS 84 allows any diameter and pitch as Whit. and selects some as Whit. S. up to 7 in; the "
            "selected list was not read. Held are the BSW diameters from 1/4 in in the pitches 4, 6, 8, 12, "
            "16 and 20 tpi (from memory) finer than BSW, up to 40 turns in one diameter (judgement); 26 tpi "
            "is BSB. Limits by the formulas of BS 84 with L = D",
            seen=False,
        ),
        used=(
            "Great Britain and the Commonwealth: machine tools, adjusting nuts, spindle ends, instruments, "
            "wherever BSW is too coarse and BSF has no size."
        ),
        periods=(Period(COMMONWEALTH, 1860, 1980, "met"),),
        designation=partial(_designation, "WHIT"),
        rules=special_rules,
        default_classes=_USUAL,
        basis="from memory",
        spellings=("Whit. S", "Whitworth"),
    ),
    System(
        symbol="ME",
        title="Model engineer",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_listed, _ME, "ME", "model engineer"),
        source=Source(
            "list of the model engineers' society, 1912, as reproduced",
            "no published tolerances: limits estimated by the formulas of BS 84 with L = D",
        ),
        used=(
            "Great Britain from 1912: model boilers, steam fittings, light machinery. 1/8-40 is the same "
            "thread as 1/8-40 BSW; larger fittings have 26 tpi as the brass thread. 1/4-32 UNEF has 60 deg."
        ),
        periods=(Period(COMMONWEALTH, 1912, 2100, "met"),),
        designation=partial(_designation, "ME"),
        rules=special_rules,
        default_classes=_USUAL,
        spellings=("model engineer",),
    ),
    System(
        symbol="CON",
        title="Conduit, BS 31",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=partial(_listed, _CON, "CON", "conduit"),
        source=Source(
            "BS 31:1940 (front matter only)",
            "sizes and pitches from memory, 1/2 and 2 1/2 in least sure; limits not found",
            seen=False,
        ),
        used=(
            "Great Britain and the Commonwealth: electrical conduit, BS 31 of 1906, 1910, 1923, 1933 and "
            "1940, metric with 1.5 mm pitch from about 1970. The size is the outside diameter, not a bore: "
            "3/4 BSP is 1.041 in. 3/4-16 UNF has 60 deg."
        ),
        periods=(Period(COMMONWEALTH, 1906, 1980, "met"),),
        designation=partial(_designation, "CON"),
        rules=basic_only,
        default_classes=_NO_CLASS,
        basis="from memory",
        spellings=("conduit", "BS conduit"),
    ),
    System(
        symbol="RMS",
        title="Microscope objective",
        unit="in",
        form=WHITWORTH_FORM,
        seeds=_objective,
        source=Source(
            "ASTM E210, ASME B1.11 (extracts)",
            "pitch diameter limits of June 1924 from memory; no other limits are held",
        ),
        used=(
            "World-wide: microscope objectives, 1858, revised 1896 to 1936, later ASME B1.11 (truncated, "
            "interchangeable), DIN 58888, ISO 8038. Screws from before 1924 vary: of five makers' screws of "
            "the 1880s one alone entered a tap of the society."
        ),
        periods=(Period("", 1858, 2100, "rare"),),
        designation=partial(_designation, "RMS"),
        rules=objective_rules,
        default_classes=_NO_CLASS,
    ),
)
