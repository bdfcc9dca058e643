"""American pipe threads of ASME B1.20.1: taper NPT, parallel mechanical NPSM, parallel couplings NPSC.

The standard's own letters: D outside diameter of the pipe, p pitch, E0 pitch diameter at the small end,
E1 at the hand-tight plane L1 from it (the gauge plane), L2 effective thread, L3 wrench make-up, V vanish
threads, K0 minor diameter at the small end. L1 is tabulated; the rest follows from D and p. The dryseal
NPTF, which keeps E0, E1 and L1 and lets the crests crush, is not held: its truncations were not read.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache, partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import (
    exact,
    float_column,
    format_decimal,
    format_mixed,
    round_all,
    round_columns,
    tpi_text,
)
from threadwright.tables.record import Record
from threadwright.tables.system import (
    BOTH_SIDES,
    NORTH_AMERICA,
    Array,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    TaperLengths,
    seed_columns,
)
from threadwright.tables.unified import UNIFIED_FORM, allowance, major_tolerance, pitch_tolerance

__all__ = ["SYSTEMS", "PipeLengths", "pipe_lengths"]

TAPER = Fraction(1, 16)
PIPE_FORM = Form(
    name="American pipe 60 deg", flank_angle=30.0, depth=Fraction(4, 5), crest_end="flat", root_end="flat"
)
# tpi: size, outside diameter of the pipe D in, hand-tight engagement L1 in
_PIPE = {
    "27": "1/16:.3125:.160 1/8:.405:.1615",
    "18": "1/4:.540:.2278 3/8:.675:.240",
    "14": "1/2:.840:.320 3/4:1.050:.339",
    "11.5": "1:1.315:.400 1+1/4:1.660:.420 1+1/2:1.900:.420 2:2.375:.436",
    "8": """2+1/2:2.875:.682 3:3.500:.766 3+1/2:4.000:.821 4:4.500:.844 5:5.563:.937 6:6.625:.958
    8:8.625:1.063 10:10.750:1.210 12:12.750:1.360 14:14:1.562 16:16:1.812 18:18:2.000 20:20:2.125
    24:24:2.375""",
}
_LAST_READ = 6  # above it L1 is from memory
_FIRST_OUTSIDE = 14  # from here up the size is the outside diameter
_LAST_OF = MappingProxyType({"NPT": 24, "NPSM": 6, "NPSC": 4})
_FIRST_COARSE = Fraction(5, 2)
# NPSM internal minor diameter, maximum: no formula of the Unified tables gives it. [in]
_NPSM_MINOR_MAX = MappingProxyType({"1/8": 0.364, "1/4": 0.481, "3/8": 0.612, "1/2": 0.759, "3/4": 0.970})
_NPSC_TURNS = 1.5


class PipeLengths(Record):
    """The standard's lengths and diameters of every size, arrays (n,). [in]"""

    d: Array
    """Outside diameter of the pipe, D."""
    e0: Array
    """Pitch diameter at the small end, E0 = D - (0.05 D + 1.1) p."""
    e1: Array
    """Pitch diameter at the hand-tight plane, E1 = E0 + L1 / 16."""
    l1: Array
    """Hand-tight engagement, tabulated."""
    l2: Array
    """Effective thread, L2 = (0.8 D + 6.8) p."""
    l3: Array
    """Wrench make-up, 3 p; 2 p from size 2 1/2 up."""
    v: Array
    """Vanish threads, V = 3.47 p."""
    l4: Array
    """Overall length, L4 = L2 + V."""
    k0: Array
    """Minor diameter at the small end, K0 = E0 - 0.8 p."""


def pipe_lengths(system: System) -> PipeLengths:
    """Lengths and diameters of ASME B1.20.1 for the sizes of one of its systems, not rounded.

    Parameters
    ----------
    system : System
        NPT, NPSM or NPSC, or any with the sizes of these.

    Returns
    -------
    PipeLengths
        Columns, one row a size. [in]

    References
    ----------
    ASME B1.20.1-1983, in Machinery's Handbook, 27th ed., Tables 1a and 1b.

    Examples
    --------
    >>> columns = pipe_lengths(SYSTEMS[0])
    >>> [float(value[1].round(4)) for value in (columns.e0, columns.e1, columns.l2, columns.k0)]
    [0.3635, 0.3736, 0.2639, 0.3339]
    """
    engagement = {name: l1 for _, name, _, l1 in _entries()}
    d, pitch = seed_columns(system)
    l1 = float_column(engagement[size.name] for size in system.sizes)
    coarse = np.array([exact(size.name) >= _FIRST_COARSE for size in system.sizes])
    e0 = d - (0.05 * d + 1.1) * pitch
    l2 = (0.8 * d + 6.8) * pitch
    vanish = 3.47 * pitch
    return PipeLengths(
        d=d,
        e0=e0,
        e1=e0 + float(TAPER) * l1,
        l1=l1,
        l2=l2,
        l3=np.where(coarse, 2, 3) * pitch,
        v=vanish,
        l4=l2 + vanish,
        k0=e0 - float(PIPE_FORM.depth_over_pitch) * pitch,
    )


def _pitch(system: System) -> Array:
    return seed_columns(system)[1]


def _pipe_basic(system: System) -> tuple[Basic, Array]:
    """Basic sizes at the gauge plane, and the depth of the form. [in]"""
    depth = PIPE_FORM.depth_over_pitch * _pitch(system)
    e1 = pipe_lengths(system).e1
    return Basic(*(round_columns(value, 5) for value in (e1 + depth, e1, e1 - depth))), depth


def _taper_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """NPT: one turn either way, which is p / 16 on the diameter at the gauge plane."""
    basic, _ = _pipe_basic(system)
    turn = float(TAPER) * _pitch(system)
    pitch_diameter = {
        "pitch_diameter_max": basic.pitch_diameter + turn,
        "pitch_diameter_min": basic.pitch_diameter - turn,
    }
    metal = {
        "external": {"major_max": basic.major + turn, "minor_max": basic.minor + turn},
        "internal": {"major_min": basic.major - turn, "minor_min": basic.minor - turn},
    }
    return basic, tuple(
        LimitColumns(
            side=side,
            tolerance_class="",
            columns=round_all(pitch_diameter | metal[side], 5),
        )
        for side in BOTH_SIDES
    )


def _taper_lengths(system: System) -> TaperLengths:
    columns = pipe_lengths(system)
    return TaperLengths(gauge=columns.l1, useful=round_columns(columns.l2, 4))


def _mechanical_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """NPSM: Unified form, allowance and tolerances of classes 2A and 2B over nine pitches, about E1."""
    pitch, e1 = _pitch(system), pipe_lengths(system).e1
    addendum, dedendum = 2 * UNIFIED_FORM.addendum * pitch, 2 * UNIFIED_FORM.dedendum * pitch
    middle = round_columns(e1, 4)
    major = e1 + addendum
    tpi = 1 / pitch
    given = {"diameter": e1, "tpi": tpi, "engagement": 9 * pitch}
    pitch_max = middle - allowance("2A", **given)
    major_max = round_columns(pitch_max + addendum, 3)
    external = {
        "major_max": major_max,
        "major_min": round_columns(major_max - major_tolerance("2A", tpi=tpi), 3),
        "pitch_diameter_max": round_columns(pitch_max, 4),
        "pitch_diameter_min": round_columns(pitch_max - pitch_tolerance("2A", **given), 4),
    }
    internal = {
        "major_min": round_columns(major, 3),
        "pitch_diameter_max": round_columns(middle + pitch_tolerance("2B", **given), 4),
        "pitch_diameter_min": middle,
        "minor_max": np.array([_NPSM_MINOR_MAX.get(size.name, np.nan) for size in system.sizes]),
        "minor_min": round_columns(e1 - dedendum, 3),
    }
    basic = Basic(round_columns(major, 4), middle, round_columns(e1 - dedendum, 4))
    return basic, (
        LimitColumns(side="external", tolerance_class="", columns=external),
        LimitColumns(
            side="internal",
            tolerance_class="",
            columns=internal,
            basis_of=MappingProxyType({"minor_max": "table"}),
        ),
    )


def _coupling_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """NPSC: the taper thread's hand-tight size, 1 1/2 turns either way."""
    basic, depth = _pipe_basic(system)
    e1 = pipe_lengths(system).e1
    turns = _NPSC_TURNS * float(TAPER) * _pitch(system)
    least = round_columns(e1 - turns, 4)
    columns = {
        "major_min": round_columns(least + depth, 3),
        "pitch_diameter_max": round_columns(e1 + turns, 4),
        "pitch_diameter_min": least,
        "minor_min": round_columns(least - depth, 3),
    }
    return basic, (LimitColumns(side="internal", tolerance_class="", columns=columns),)


def _designation(symbol: str, size: Size) -> str:
    return f"{size.name}-{tpi_text(size.pitch)} {symbol}"


@cache
def _entries() -> tuple[tuple[Fraction, str, Fraction, Fraction], ...]:
    """Threads per inch, name, D and L1 of every size. [1/in, -, in, in]"""
    rows = []
    for tpi, group in _PIPE.items():
        for entry in group.split():
            name, d, l1 = entry.split(":")
            rows.append((exact(tpi), format_mixed(exact(name)), exact(d), exact(l1)))
    return tuple(rows)


def _sizes(symbol: str) -> tuple[Size, ...]:
    sizes = []
    for tpi, name, d, _ in _entries():
        nominal = exact(name)
        if nominal > _LAST_OF[symbol] or (symbol != "NPT" and nominal < Fraction(1, 8)):
            continue
        aliases = [f"{name} {symbol}", f"{symbol} {name}"]
        if tpi.denominator > 1:
            aliases.append(f"{name}-{format_mixed(tpi)} {symbol}")
        if nominal >= _FIRST_OUTSIDE:
            aliases += [f"{name} OD {symbol}", f"{name} OD-{format_decimal(tpi)} {symbol}"]
        basis: Basis | None = "from memory" if nominal > _LAST_READ else None
        sizes.append(Size(name, d, 1 / tpi, 1, tuple(aliases), basis, nominal=nominal))
    return tuple(sizes)


_HANDBOOK = "ASME B1.20.1-1983, in Machinery's Handbook, 27th ed.,"


def _system(symbol: str, title: str, used: str, source: Source) -> System:
    sides: tuple[Side, ...] = ("internal",) if symbol == "NPSC" else BOTH_SIDES
    return System(
        symbol=symbol,
        title=title,
        unit="in",
        form=UNIFIED_FORM if symbol == "NPSM" else PIPE_FORM,
        seeds=partial(_sizes, symbol),
        source=source,
        used=used,
        periods=(
            Period(NORTH_AMERICA, 1886, 2100, "usual"),
            Period("", 1886, 2100, "rare"),
        ),
        designation=partial(_designation, symbol),
        rules={"NPT": _taper_rules, "NPSM": _mechanical_rules, "NPSC": _coupling_rules}[symbol],
        default_classes=MappingProxyType(dict.fromkeys(sides, "")),
        sides=sides,
        taper=TAPER if symbol == "NPT" else Fraction(0),
        lengths=_taper_lengths if symbol == "NPT" else None,
    )


SYSTEMS = (
    _system(
        "NPT",
        "American pipe thread, taper",
        "North America, partly Japan, oil fields everywhere; the Briggs pipe thread of 1886 has the same "
        "sizes, and parts from the 1880s interchange.",
        Source(
            f"{_HANDBOOK} Tables 1a and 1b",
            "engagement L1 of sizes 8 to 24 from memory; the tolerance is one turn either way; the tolerance "
            "of the crests is not held",
        ),
    ),
    _system(
        "NPSM",
        "American pipe thread, parallel mechanical",
        "North America, free-fitting mechanical joints in pipe sizes.",
        Source(
            f"{_HANDBOOK} Table 5",
            "limits by the Unified formulas of class 2A and 2B over nine pitches, at the diameter E1, which "
            "reproduces the printed limits; the largest minor diameter of the hole is held to 3/4 only",
        ),
    ),
    _system(
        "NPSC",
        "American pipe thread, parallel coupling",
        "North America, pipe couplings that take a taper NPT pipe end.",
        Source(f"{_HANDBOOK} Table 4", "the hole only: the pipe end is NPT"),
    ),
)
