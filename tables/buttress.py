"""Buttress threads: metric of DIN 513 (3 and 30 deg) and American of ANSI B1.9 (7 and 45 deg).

One flank carries, nearly square to the axis; the other only clears.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.form import Form
from threadwright.tables.numbers import exact, format_mixed, per_inch, round_all, round_columns
from threadwright.tables.system import (
    CONTINENT,
    NORTH_AMERICA,
    Array,
    Basic,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)
from threadwright.tables.trapezoidal import metric_designation, metric_plan, more_starts

__all__ = [
    "AMERICAN_BUTTRESS_FORM",
    "METRIC_BUTTRESS_FORM",
    "SYSTEMS",
    "class_tolerance",
    "metric_root_diameter",
]

METRIC_BUTTRESS_FORM = Form(
    name="Buttress 3/30 deg", flank_angle=3.0, flank_angle_clear=30.0, depth=Fraction(3, 4)
)
AMERICAN_BUTTRESS_FORM = Form(
    name="Buttress 7/45 deg", flank_angle=7.0, flank_angle_clear=45.0, depth=Fraction(3, 5)
)

# DIN 513, one pitch for each diameter: pitch:diameters
_DIN_513 = """
2:10 3:12/14 4:16/18/20 5:22/24/26/28 6:30/32/34/36 7:38/40/42/44 8:46/48/50/52 9:55/60 10:65/70/75/80
12:85/90/95/100 14:110/120/130/140 16:150/160/170/180 18:190/200 20:210/220/230/240 22:250/260/270/280
24:290/300
"""
_LEAST_METRIC_PITCH = 2  # mm: S 10x2 is the first
# ANSI B1.9: tpi:diameters
_B1_9 = """
20,16,12:1/2|5/8|3/4 16,12,10:7/8|1 12,10,8:1+1/4|1+3/8|1+1/2 10,8,6:1+3/4|2+1/4|2+1/2 10,8,6,4:2
8,6,5:2+3/4|3|3+1/2|4 6,5,4:4+1/2|5|5+1/2|6
"""
_RANGE_TOPS = np.array([0.5, 0.7, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0])
_ROOT = 1.32542  # twice the height of the thread, ANSI B1.9
_NUT_CREST = 0.12542  # basic internal major diameter above D
_BEYOND_PITCH_LINE = 0.80803  # from the pitch diameter to the sharpest root
_METRIC_ROOT = 1.73554
_PLACES = {"mm": 3, "in": 4}


def class_tolerance(tolerance_class: str, *, diameter: Array, pitch: Array) -> Array:
    r"""Tolerance of the pitch diameter, the external major and the internal minor diameter.

    .. math:: T_2 = 0.002 \sqrt[3]{D_m} + 0.0173 \sqrt{p}, \qquad T_3 = \tfrac{2}{3} T_2

    with D_m the mean of the range of diameters. It is 0.002 D^(1/3) + 0.00278 Le^(1/2) + 0.00854 p^(1/2) for
    an engagement of ten pitches, the last two terms joined as the printed table has them.

    Parameters
    ----------
    tolerance_class : {"2", "3"}
    diameter, pitch : array (n,)
        Nominal diameter, 0.5 to 16, and pitch. [in]

    Returns
    -------
    array (n,)
        Tolerance, to 0.0001 in. [in]

    References
    ----------
    ANSI B1.9-1973 Table 4, class 2 (Machinery's Handbook 27th ed.); two thirds for class 3 from memory.

    Examples
    --------
    >>> class_tolerance("2", diameter=np.array([1.25, 12.0]), pitch=np.array([1 / 16, 1 / 10]))
    array([0.0065, 0.0102])
    """
    above = np.clip(np.searchsorted(_RANGE_TOPS, diameter), 1, len(_RANGE_TOPS) - 1)
    middle = (_RANGE_TOPS[above] + _RANGE_TOPS[above - 1]) / 2
    full = 0.002 * np.cbrt(middle) + 0.0173 * np.sqrt(pitch)
    return round_columns(full if tolerance_class == "2" else full * 2 / 3, _PLACES["in"])


def metric_root_diameter(major: Array, pitch: Array) -> Array:
    """Root diameter of the metric buttress screw, d3 = d - 1.73554 P.

    Parameters
    ----------
    major, pitch : array (n,)
        Nominal diameter, d, and pitch, P. [mm]

    Returns
    -------
    array (n,)
        Root diameter, d3. [mm]

    References
    ----------
    DIN 513: h3 = 0.86777 P, rounded with R = 0.12427 P.

    Examples
    --------
    >>> metric_root_diameter(np.array([40.0]), np.array([7.0]))
    array([27.851])
    """
    return round_columns(major - _METRIC_ROOT * pitch, _PLACES["mm"])


def _basic(system: System) -> Basic:
    major, pitch = seed_columns(system)
    depth, places = system.form.depth_over_pitch, _PLACES[system.unit]
    return Basic(
        round_columns(major, places),
        round_columns(major - depth * pitch, places),
        round_columns(major - 2 * depth * pitch, places),
    )


def metric_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes d, d2 and D1 of DIN 513; its tolerances were not found. [mm]"""
    return _basic(system), ()


def _american_limits(system: System, basic: Basic, name: str) -> tuple[LimitColumns, LimitColumns]:
    major, pitch = seed_columns(system)
    width = class_tolerance(name, diameter=major, pitch=pitch)
    gap = class_tolerance("3", diameter=major, pitch=pitch)
    pitch_min = basic.pitch_diameter - gap - width
    screw = {
        "major_max": basic.major - gap,
        "major_min": basic.major - gap - width,
        "pitch_diameter_max": basic.pitch_diameter - gap,
        "pitch_diameter_min": pitch_min,
        "minor_max": major - _ROOT * pitch - gap,
        "minor_min": pitch_min - _BEYOND_PITCH_LINE * pitch,
    }
    pitch_max = basic.pitch_diameter + width
    nut = {
        "major_max": pitch_max + _BEYOND_PITCH_LINE * pitch,
        "major_min": major + _NUT_CREST * pitch,
        "pitch_diameter_max": pitch_max,
        "pitch_diameter_min": basic.pitch_diameter,
        "minor_max": basic.minor + width,
        "minor_min": basic.minor,
    }
    return (
        LimitColumns(
            side="external",
            tolerance_class=name,
            columns=round_all(screw, _PLACES["in"]),
            basis="from memory",
        ),
        LimitColumns(
            side="internal",
            tolerance_class=name,
            columns=round_all(nut, _PLACES["in"]),
            basis="computed" if name == "2" else "from memory",
        ),
    )


def american_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes and limits of ANSI B1.9, classes 2 and 3, engagement of ten pitches. [in]

    The allowance of both classes is the tolerance of class 3, so that every external limit rests on it.
    """
    basic = _basic(system)
    pairs = [_american_limits(system, basic, name) for name in ("2", "3")]
    return basic, (*(screw for screw, _ in pairs), *(nut for _, nut in pairs))


def _metric_sizes() -> tuple[Size, ...]:
    read = {
        (diameter, pitch)
        for pitch, diameters in (group.split(":") for group in _DIN_513.split())
        for diameter in diameters.split("/")
    }
    least = min(int(diameter) for diameter, _ in read)
    recalled = {
        (diameter, pitch)
        for diameter, pitch, _ in metric_plan()
        if int(diameter) >= least and float(pitch) >= _LEAST_METRIC_PITCH
    }
    return tuple(
        Size(
            name=diameter,
            major=exact(diameter),
            pitch=exact(pitch),
            choice=1 if (diameter, pitch) in read else 2,
            aliases=(f"S {diameter}x{pitch} BUTT",),
            basis=None if (diameter, pitch) in read else "from memory",
        )
        for diameter, pitch in sorted(read | recalled, key=lambda pair: (int(pair[0]), -float(pair[1])))
    )


def _american_sizes() -> tuple[Size, ...]:
    sizes = []
    for group in _B1_9.split():
        counts, diameters = group.split(":")
        for text in diameters.split("|"):
            major = exact(text)
            sizes += [Size(format_mixed(major), major, per_inch(tpi)) for tpi in counts.split(",")]
    return in_order(sizes)


SYSTEMS = (
    System(
        symbol="S-BUTT",
        title="Metric buttress",
        unit="mm",
        form=METRIC_BUTTRESS_FORM,
        seeds=_metric_sizes,
        source=Source(
            "DIN 513, as reproduced",
            "basic sizes only, its tolerances were not found; first choice is the list with one pitch for "
            "each diameter, the other pitches are those of ISO 2902 from memory; written S 40x7, the "
            "diameter from 10 mm up, where the miniature thread S ends at 1.4 mm",
        ),
        used=(
            "Germany and its neighbours, from the 1920s (from memory): screws loaded from one side, presses, "
            "jacks, clamping."
        ),
        periods=(Period(CONTINENT, 1920, 2100, "met"),),
        designation=partial(metric_designation, "S"),
        rules=metric_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        unlisted=partial(more_starts, "S"),
    ),
    System(
        symbol="BUTT",
        title="American buttress",
        unit="in",
        form=AMERICAN_BUTTRESS_FORM,
        seeds=_american_sizes,
        source=Source(
            "ANSI B1.9-1973, Machinery's Handbook 27th ed. Tables 2 to 5",
            "class 3, and the allowance that equals its tolerance, from memory",
        ),
        used=(
            "North America, standard from 1953 (from memory): presses and hoists, thin tubes, screws loaded "
            "from one side. Britain has the same flanks, also with a depth of 0.4 p."
        ),
        periods=(Period(f"{NORTH_AMERICA} GB", 1950, 2100, "rare"),),
        designation=lambda size: f"{size.name}-{1 / size.pitch} BUTT",
        rules=american_rules,
        default_classes=MappingProxyType({"external": "2", "internal": "2"}),
    ),
)
