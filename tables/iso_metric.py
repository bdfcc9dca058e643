"""ISO metric threads: profile of ISO 68-1, sizes of ISO 261, limits by the tolerances of ISO 965-1."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache, partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form, Truncation
from threadwright.tables.iso_965 import (
    crest_tolerance_external,
    crest_tolerance_internal,
    fundamental_deviation,
    pitch_tolerance,
)
from threadwright.tables.numbers import exact, format_decimal, round_columns
from threadwright.tables.record import Record
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    rounded_basic,
    seed_columns,
)

__all__ = [
    "ISO_FORM",
    "SYSTEMS",
    "crest_tolerance_external",
    "crest_tolerance_internal",
    "fundamental_deviation",
    "metric_basic",
    "pitch_tolerance",
]

ISO_FORM = Form(
    name="ISO 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(1, 4)),
)

# ISO 261: d(choice):coarse|fine pitches. The choice column is from memory, about 85 % sure.
_ISO_261 = """
1(1):.25|.2 1.1(2):.25|.2 1.2(1):.25|.2 1.4(2):.3|.2 1.6(1):.35|.2 1.8(2):.35|.2
2(1):.4|.25 2.2(2):.45|.25 2.5(1):.45|.35 3(1):.5|.35 3.5(2):.6|.35 4(1):.7|.5
4.5(2):.75|.5 5(1):.8|.5 5.5(3):-|.5 6(1):1|.75 7(2):1|.75 8(1):1.25|1,.75
9(3):1.25|1,.75 10(1):1.5|1.25,1,.75 11(3):1.5|1,.75 12(1):1.75|1.5,1.25,1
14(2):2|1.5,1.25,1 15(3):-|1.5,1 16(1):2|1.5,1 17(3):-|1.5,1 18(2):2.5|2,1.5,1
20(1):2.5|2,1.5,1 22(2):2.5|2,1.5,1 24(1):3|2,1.5,1 25(3):-|2,1.5,1 26(3):-|1.5
27(2):3|2,1.5,1 28(3):-|2,1.5,1 30(1):3.5|3,2,1.5,1 32(3):-|2,1.5 33(2):3.5|3,2,1.5
35(3):-|1.5 36(1):4|3,2,1.5 38(3):-|1.5 39(2):4|3,2,1.5 40(3):-|3,2,1.5
42(1):4.5|4,3,2,1.5 45(2):4.5|4,3,2,1.5 48(1):5|4,3,2,1.5 50(3):-|3,2,1.5 52(2):5|4,3,2,1.5
55(3):-|4,3,2,1.5 56(1):5.5|4,3,2,1.5 58(3):-|4,3,2,1.5 60(2):5.5|4,3,2,1.5 62(3):-|4,3,2,1.5
64(1):6|4,3,2,1.5 65(3):-|4,3,2,1.5 68(2):6|4,3,2,1.5
70(3):-|6,4,3,2,1.5 72(1):-|6,4,3,2,1.5 75(3):-|4,3,2,1.5 76(2):-|6,4,3,2,1.5 78(3):-|2
80(1):-|6,4,3,2,1.5 82(3):-|2 85(2),90(1),95(2),100(1),105(2),110(1),115(2),120(2):-|6,4,3,2
125(1),130(2),140(1),150(2):-|8,6,4,3,2 135(3),145(3):-|6,4,3,2
160(1),170(2),180(1),190(2),200(1),210(2),220(1),230(3),240(2),250(1):-|8,6,4,3
155(3),165(3),175(3),185(3),195(3),205(3),215(3),225(3),235(3),245(3):-|6,4,3
260(2),270(3),280(1),290(3),300(2):-|8,6,4 255(3),265(3),275(3),285(3),295(3):-|6,4
"""


class _Amounts(Record):
    """Deviations and tolerances of one list of sizes, each worked out once. [mm]"""

    deviation: Callable[[str], Array]
    crest: Callable[[Side, int], Array]
    middle: Callable[[Side, int], Array]


def _amounts(nominal: Array, pitch: Array) -> _Amounts:
    crests = {"external": crest_tolerance_external, "internal": crest_tolerance_internal}
    return _Amounts(
        deviation=cache(lambda letter: fundamental_deviation(letter, pitch) / 1000),
        crest=cache(lambda side, grade: crests[side](grade, pitch) / 1000),
        middle=cache(lambda side, grade: pitch_tolerance(side, grade, nominal, pitch) / 1000),
    )


def _defined(columns: dict[str, Array]) -> dict[str, Array]:
    """Limits to 0.001 mm; none at all where the standard leaves a tolerance of the class blank."""
    limits = round_columns(np.array(list(columns.values())), 3)
    limits[:, np.isnan(limits.sum(axis=0))] = np.nan
    return dict(zip(columns, limits, strict=True))


def _external(of: _Amounts, name: str, nominal: Array, pitch: Array, basic: Basic) -> dict[str, Array]:
    grade, deviation = int(name[0]), of.deviation(name[1])
    major_max = nominal - deviation
    pitch_max = basic.pitch_diameter - deviation
    pitch_min = pitch_max - of.middle("external", grade)
    columns = {
        "major_max": major_max,
        "major_min": major_max - of.crest("external", grade),
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": nominal - deviation - (17 / 12) * ISO_FORM.height * pitch,
        "minor_min": pitch_min - 0.616025 * pitch,
        "minor_flat_max": pitch_max - 0.433013 * pitch,
    }
    return _defined(columns)


def _internal(of: _Amounts, name: str, nominal: Array, pitch: Array, basic: Basic) -> dict[str, Array]:
    grade, deviation = int(name[0]), of.deviation(name[1])
    pitch_min = basic.pitch_diameter + deviation
    pitch_max = pitch_min + of.middle("internal", grade)
    minor_min = basic.minor + deviation
    columns = {
        "major_max": pitch_max + 0.793857 * pitch,
        "major_min": nominal + deviation,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": pitch_min,
        "minor_max": minor_min + of.crest("internal", grade),
        "minor_min": minor_min,
    }
    return _defined(columns)


def metric_basic(form: Form, nominal: Array, pitch: Array) -> Basic:
    """Basic sizes of a metric thread, each worked from the nominal diameter and rounded once to 0.001 mm.

    Parameters
    ----------
    form : Form
        Gives the pitch line and the depth.
    nominal, pitch : array (n,)
        Nominal diameter and pitch. [mm]

    Returns
    -------
    Basic

    References
    ----------
    ISO 724.

    Examples
    --------
    >>> metric_basic(ISO_FORM, np.array([8.0]), np.array([1.25])).minor
    array([6.647])
    """
    return rounded_basic(
        nominal, nominal - 2 * form.addendum * pitch, nominal - 2 * form.depth_over_pitch * pitch, 3
    )


def metric_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of ISO 724 and limits of ISO 965-1 for the usual classes, length of engagement N."""
    nominal, pitch = seed_columns(system)
    basic, amounts = metric_basic(ISO_FORM, nominal, pitch), _amounts(nominal, pitch)
    names: tuple[tuple[Side, Callable[..., dict[str, Array]], str], ...] = (
        ("external", _external, "4h 6g 6h 6e 8g"),
        ("internal", _internal, "5H 6H 6G 7H"),
    )
    return basic, tuple(
        LimitColumns(
            side=side,
            tolerance_class=name,
            columns=DeferredColumns(partial(make, amounts, name, nominal, pitch, basic)),
        )
        for side, make, classes in names
        for name in classes.split()
    )


def _designation(size: Size) -> str:
    return f"{size.name}x{format_decimal(size.pitch)}"


def _sizes() -> tuple[Size, ...]:
    sizes = []
    for group in _ISO_261.split():
        diameters, pitches = group.split(":")
        coarse, fine = pitches.split("|")
        for entry in diameters.split(","):
            text, choice = entry.rstrip(")").split("(")
            name, major, rank = f"M{text}", exact(text), int(choice)
            if coarse != "-":
                sizes.append(Size(name, major, exact(coarse), rank, (name,)))
            sizes += [Size(name, major, exact(p), rank) for p in fine.split(",")]
    return tuple(sizes)


SYSTEMS = (
    System(
        symbol="M",
        title="ISO metric",
        unit="mm",
        form=ISO_FORM,
        seeds=_sizes,
        source=Source(
            "ISO 68-1, ISO 261, ISO 724, ISO 965-1:1998",
            "the choice column of ISO 261 from memory; minor_max is the rounded root d3 of DIN 13",
        ),
        used="Continental Europe from about 1919 as DIN and SI forms that mate with it, ISO from about 1959; "
        "Japan from 1964-68; Britain from 1965; North America from the 1970s.",
        periods=(
            Period(CONTINENT, 1919, 2100, "usual"),
            Period("FR CH IT BE", 1898, 1918, "usual"),
            Period("JP", 1920, 2100, "usual"),
            Period(f"{COMMONWEALTH} CA", 1970, 2100, "usual"),
            Period(COMMONWEALTH, 1955, 1969, "met"),
            Period("US", 1975, 2100, "met"),
            Period("RU", 1925, 2100, "usual"),
            Period(f"{COMMONWEALTH} {NORTH_AMERICA}", 1900, 1974, "rare"),
        ),
        designation=_designation,
        rules=metric_rules,
        default_classes=MappingProxyType({"external": "6g", "internal": "6H"}),
    ),
)
