"""MJ threads of ISO 5855: the ISO metric thread with a large controlled root radius, for aircraft bolts.

Major and pitch diameters are those of ISO metric. The root of the screw is an arc of 0.15011 P to
0.18042 P, and the minor diameters of both parts are larger to make room for it, so an MJ nut goes on a
plain metric bolt but an MJ bolt may foul a plain metric nut. The sums are carried unrounded and rounded
once to 0.001 mm, as the worked example of FED-STD-H28/21B has it.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from threadwright.tables import iso_metric
from threadwright.tables.form import Form, Truncation
from threadwright.tables.numbers import format_decimal, round_all
from threadwright.tables.system import (
    Array,
    Basic,
    DeferredColumns,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    seed_columns,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["MJ_FORM", "ROOT_RADIUS", "SYSTEMS", "mj_rules"]

MJ_FORM = Form(
    name="MJ 60 deg",
    flank_angle=30.0,
    crest=Truncation(Fraction(1, 8)),
    root=Truncation(Fraction(5, 16)),
)
ROOT_RADIUS = (0.15011, 0.18042)
"""Least and greatest radius of the external root over the pitch; ISO 5855-1 and ASME B1.15. [-]"""

# FED-STD-H28/21B: from the pitch diameter to the external root, at most and at least metal, over the pitch.
_ROOT_BELOW_PITCH_LINE = (0.505181, 0.565805)
_LEAST_DIAMETER = 1.6  # mm, of ISO 5855-1; from memory
_SMALL = 5.0  # mm: up to here the nut's minor diameter has grade 6, above grade 5


def mj_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of class 4h6h screws and 4H5H nuts, 4H6H up to 5 mm.

    The basic minor diameter is that of the nut, D - 9H/8. No limit of the nut's major diameter other
    than the basic size was found in print.
    """
    nominal, pitch = seed_columns(system)
    screw = DeferredColumns(partial(_screw, nominal, pitch))
    limits = [LimitColumns(side="external", tolerance_class="4h6h", columns=screw)]
    for name, grade, held in (("4H5H", 5, nominal > _SMALL), ("4H6H", 6, nominal <= _SMALL)):
        nut = DeferredColumns(partial(_nut, grade, held, nominal, pitch))
        limits.append(LimitColumns(side="internal", tolerance_class=name, columns=nut))
    return iso_metric.metric_basic(MJ_FORM, nominal, pitch), tuple(limits)


def _screw(nominal: Array, pitch: Array) -> dict[str, Array]:
    middle = nominal - 2 * MJ_FORM.addendum * pitch
    least = middle - iso_metric.pitch_tolerance("external", 4, nominal, pitch) / 1000
    columns = {
        "major_max": nominal,
        "major_min": nominal - iso_metric.crest_tolerance_external(6, pitch) / 1000,
        "pitch_diameter_max": middle,
        "pitch_diameter_min": least,
        "minor_max": middle - _ROOT_BELOW_PITCH_LINE[0] * pitch,
        "minor_min": least - _ROOT_BELOW_PITCH_LINE[1] * pitch,
    }
    return _rounded(columns)


def _nut(grade: int, held: NDArray[np.bool_], nominal: Array, pitch: Array) -> dict[str, Array]:
    middle = nominal - 2 * MJ_FORM.addendum * pitch
    minor = nominal - 2 * MJ_FORM.depth_over_pitch * pitch
    columns = {
        "major_min": nominal,
        "pitch_diameter_max": middle + iso_metric.pitch_tolerance("internal", 4, nominal, pitch) / 1000,
        "pitch_diameter_min": middle,
        "minor_max": minor + iso_metric.crest_tolerance_internal(grade, pitch) / 1000,
        "minor_min": minor,
    }
    return _rounded({key: np.where(held, value, np.nan) for key, value in columns.items()})


def _rounded(columns: dict[str, Array]) -> dict[str, Array]:
    return round_all(columns, 3)


def _designation(size: Size) -> str:
    return f"{size.name}x{format_decimal(size.pitch)}"


def _sizes() -> tuple[Size, ...]:
    """The sizes of ISO 261 from 1.6 mm up, with the pitches and the order of preference they have there."""
    (metric,) = iso_metric.SYSTEMS
    return tuple(
        Size(f"MJ{size.name[1:]}", size.major, size.pitch, size.choice)  # always written with the pitch
        for size, major in zip(metric.sizes, seed_columns(metric)[0].tolist(), strict=True)
        if major >= _LEAST_DIAMETER
    )


SYSTEMS = (
    System(
        symbol="MJ",
        title="MJ, metric with controlled root radius",
        unit="mm",
        form=MJ_FORM,
        seeds=_sizes,
        source=Source(
            "ISO 5855-1:1999; FED-STD-H28/21B; tolerances of ISO 965-1:1998",
            "sizes and pitches as ISO 261; that the list begins at 1.6 mm, and that class 4H6H goes up to "
            "5 mm, from memory; root radius 0.15011 P to 0.18042 P",
        ),
        used="Aircraft and spacecraft; its inch forerunner is MIL-S-8879. Not met on machines of before "
        "the 1970s (from memory). Major and pitch diameters are those of ISO metric.",
        periods=(Period("", 1975, 2100, "rare"),),
        designation=_designation,
        rules=mj_rules,
        default_classes=MappingProxyType({"external": "4h6h", "internal": "4H5H"}),
    ),
)
