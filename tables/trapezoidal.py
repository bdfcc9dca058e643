"""ISO metric trapezoidal threads: profile of ISO 2901, sizes of ISO 2902 and 2904, tolerances of ISO 2903.

Only the pitch diameter of the screw is moved off basic, by the deviation c or e; crest tolerances are of
grade 4 in every class. Several starts have the profile of one start and a wider pitch diameter tolerance.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache, lru_cache, partial
from types import MappingProxyType

import numpy as np

from threadwright.tables.errors import DesignationError
from threadwright.tables.form import Form
from threadwright.tables.iso_metric import crest_tolerance_external, pitch_tolerance
from threadwright.tables.numbers import exact, format_decimal, round_all, round_columns
from threadwright.tables.system import (
    COMMONWEALTH,
    CONTINENT,
    LIMIT_QUANTITIES,
    Array,
    Basic,
    Basis,
    DeferredColumns,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    seed_columns,
)

__all__ = [
    "COARSEST",
    "MOST_STARTS",
    "SYSTEMS",
    "TRAPEZOIDAL_FORM",
    "crest_clearance",
    "crest_tolerance_nut",
    "fundamental_deviation",
    "metric_designation",
    "metric_plan",
    "more_starts",
    "starts_factor",
]

TRAPEZOIDAL_FORM = Form(name="Trapezoidal 30 deg", flank_angle=15.0, depth=Fraction(1, 2), root_end="flat")
MOST_STARTS = 12  # a bound on what a designation may ask for; common practice, no source

# ISO 2902: diameters:pitches, coarse, normal, fine; of two pitches the first is the normal one
_ISO_2902 = """
8:1.5 9:2,1.5 10:2,1.5 11:3,2 12/14:3,2 16/18/20:4,2 22/24/26/28:8,5,3 30/32/34/36:10,6,3 38/40/42:10,7,3
44:12,7,3 46/48/50/52:12,8,3 55/60:14,9,3 65/70/75/80:16,10,4 85/90/95:18,12,4 100/105/110:20,12,4
115/120/125/130:22,14,6 135/140/145:24,14,6 150/155:24,16,6 160/165/170:28,16,6 175:28,16,8 180:28,18,8
185/190/195/200:32,18,8 210/220/230:36,20,8 240:36,22,8 250/260:40,22,12 270/280:40,24,12 290/300:44,24,12
"""
# ISO 2903 Tables 1 and 3: P, es of c and of e (amounts), TD1(4). [mm, um]
_ISO_2903 = """
1.5:140,67,190 2:150,71,236 3:170,85,315 4:190,95,375 5:212,106,450 6:236,118,500 7:250,125,560 8:265,132,630
9:280,140,670 10:300,150,710 12:335,160,800 14:355,180,900 16:375,190,1000 18:400,200,1120 20:425,212,1180
22:450,224,1250 24:475,236,1320 28:500,250,1500 32:530,265,1600 36:560,280,1800 40:600,300,1900
44:630,315,2000
"""
COARSEST = 44.0  # of ISO 2902. [mm]
_SCREWS = ((7, "e"), (8, "e"), (8, "c"))
_STARTS_FACTOR = (1.0, 1.12, 1.25, 1.4, 1.6)  # 1 to 4 starts, 5 and more; from memory
_KEY = r"([A-Z]+)(\d+)-(\d+(?:\.\d+)?)\(?P(\d+(?:\.\d+)?)\)?"
_PLACES = 3


@lru_cache(maxsize=1)
def _table() -> dict[float, list[float]]:
    rows = (entry.split(":") for entry in _ISO_2903.split())
    return {float(pitch): [float(value) for value in values.split(",")] for pitch, values in rows}


def _column(pitch: Array, column: int) -> Array:
    held, blank = _table(), [np.nan] * 3
    return np.array([held.get(one, blank)[column] for one in pitch.tolist()])


def fundamental_deviation(position: str, pitch: Array) -> Array:
    """Amount by which the pitch diameter of the screw lies below basic, es of c or e.

    Parameters
    ----------
    position : {"c", "e"}
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        Amount; NaN for a pitch that ISO 2903 does not hold. [um]

    References
    ----------
    ISO 2903:2016 Table 1.

    Examples
    --------
    >>> fundamental_deviation("e", np.array([1.5, 4.0]))
    array([67., 95.])
    """
    return _column(pitch, {"c": 0, "e": 1}[position])


def crest_tolerance_nut(pitch: Array) -> Array:
    """Tolerance of the internal minor diameter, TD1 of grade 4.

    Parameters
    ----------
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        The tolerance. [um]

    References
    ----------
    ISO 2903:2016 Table 3; it is 0.63 x 230 P^0.7 to the nearest R40 number, except at P = 12.

    Examples
    --------
    >>> crest_tolerance_nut(np.array([4.0, 12.0]))
    array([375., 800.])
    """
    return _column(pitch, 2)


def crest_clearance(pitch: Array) -> Array:
    """Clearance between crest and root of the mating thread, on the radius, a_c.

    Parameters
    ----------
    pitch : array (n,)
        Pitch, P. [mm]

    Returns
    -------
    array (n,)
        The clearance. [mm]

    References
    ----------
    ISO 2901; from P = 14 on from memory.

    Examples
    --------
    >>> crest_clearance(np.array([1.5, 4.0, 6.0, 14.0]))
    array([0.15, 0.25, 0.5 , 1.  ])
    """
    return np.select([pitch < 2, pitch < 6, pitch < 14], [0.15, 0.25, 0.5], 1.0)


def starts_factor(starts: int) -> float:
    """What several starts multiply the pitch diameter tolerance by, from memory. [-]

    Examples
    --------
    >>> starts_factor(1), starts_factor(2), starts_factor(8)
    (1.0, 1.12, 1.6)
    """
    return _STARTS_FACTOR[min(starts, len(_STARTS_FACTOR)) - 1]


def _widths(system: System) -> Callable[[Side, int], Array]:
    """Tolerance of the pitch diameter by side and grade for the starts of each size, each once. [mm]"""
    major, pitch = seed_columns(system)

    starts = [size.starts for size in system.sizes]
    factor = np.array(list(map({n: starts_factor(n) for n in set(starts)}.__getitem__, starts)))

    @cache
    def width(side: Side, grade: int) -> Array:
        tolerance = pitch_tolerance(side, grade, major, pitch, coarsest=COARSEST)
        return round_columns(tolerance * factor / 1000, _PLACES)

    return width


def _limits(
    several: bool, side: Side, name: str, make: Callable[[], dict[str, Array]], widened: tuple[str, ...]
) -> LimitColumns:
    """Limits; for several starts those that the tolerance widens are from memory."""
    firm: dict[str, Basis] = {key: "computed" for key in LIMIT_QUANTITIES if several and key not in widened}
    return LimitColumns(
        side=side,
        tolerance_class=name,
        columns=DeferredColumns(make),
        basis="from memory" if several else "computed",
        basis_of=MappingProxyType(firm),
    )


def _rounded(**columns: Array) -> dict[str, Array]:
    return round_all(columns, _PLACES)


def _external(
    system: System, grade: int, position: str, basic: Basic, widths: Callable[[Side, int], Array]
) -> dict[str, Array]:
    major, pitch = seed_columns(system)
    deviation = fundamental_deviation(position, pitch) / 1000
    width = widths("external", grade)
    root = major - pitch - 2 * crest_clearance(pitch)
    return _rounded(
        major_max=major,
        major_min=major - crest_tolerance_external(4, pitch) / 1000,
        pitch_diameter_max=basic.pitch_diameter - deviation,
        pitch_diameter_min=basic.pitch_diameter - deviation - width,
        minor_max=root,
        minor_min=root - np.rint(np.round(1250 * width, 6)) / 1000 - deviation,
    )


def _internal(
    system: System, grade: int, basic: Basic, widths: Callable[[Side, int], Array]
) -> dict[str, Array]:
    major, pitch = seed_columns(system)
    width = widths("internal", grade)
    return _rounded(
        major_min=major + 2 * crest_clearance(pitch),
        pitch_diameter_max=basic.pitch_diameter + width,
        pitch_diameter_min=basic.pitch_diameter,
        minor_max=basic.minor + crest_tolerance_nut(pitch) / 1000,
        minor_min=basic.minor,
    )


def trapezoidal_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of ISO 2904 and limits of ISO 2903, length of engagement N. [mm]

    ``minor_max`` of the screw is the root diameter d3, ``major_min`` of the nut is D4; Td3 = 1.25 Td2 + es,
    its first term in whole micrometres, half to even.
    """
    major, pitch = seed_columns(system)
    basic = Basic(major, round_columns(major - pitch / 2, _PLACES), round_columns(major - pitch, _PLACES))
    widths, several = _widths(system), any(size.starts > 1 for size in system.sizes)
    screws = [(f"{grade}{at}", partial(_external, system, grade, at, basic, widths)) for grade, at in _SCREWS]
    nuts = [(f"{grade}H", partial(_internal, system, grade, basic, widths)) for grade in (7, 8)]
    widened = ("pitch_diameter_min", "minor_min")
    return basic, (
        *(_limits(several, "external", name, make, widened) for name, make in screws),
        *(_limits(several, "internal", name, make, ("pitch_diameter_max",)) for name, make in nuts),
    )


def metric_plan() -> tuple[tuple[str, str, bool], ...]:
    """Diameter, pitch and whether the pitch is the normal one, of all pairs of ISO 2902.

    Examples
    --------
    >>> metric_plan()[:3]
    (('8', '1.5', True), ('9', '2', True), ('9', '1.5', False))
    """
    rows = []
    for group in _ISO_2902.split():
        diameters, listed = group.split(":")
        pitches = listed.split(",")
        normal = pitches[1] if len(pitches) == 3 else pitches[0]
        rows += [(d, p, p == normal) for d in diameters.split("/") for p in pitches]
    return tuple(rows)


def metric_designation(letters: str, size: Size) -> str:
    """``Tr 20x4``; with several starts the lead, then the pitch: ``Tr 20x8 P4``."""
    pitch = format_decimal(size.pitch)
    if size.starts == 1:
        return f"{letters} {size.name}x{pitch}"
    return f"{letters} {size.name}x{format_decimal(size.pitch * size.starts)} P{pitch}"


def more_starts(letters: str, system: System, key: str) -> Size | None:
    """Read a designation with lead and pitch, for any whole number of starts of a listed size.

    Parameters
    ----------
    letters : str
        What the designation begins with.
    system : System
        The system that lists the single-start sizes.
    key : str
        The spelling, reduced to a key: ``"TR20-8P4"``.

    Returns
    -------
    Size or None
        None if the key is no such designation, or the diameter and pitch are not listed.

    Raises
    ------
    DesignationError
        If the lead is no whole number of pitches, or more than :data:`MOST_STARTS` of them.
    """
    match = re.fullmatch(_KEY, key)
    if match is None or match[1] != letters.upper():
        return None
    diameter, lead, pitch = (Fraction(text) for text in match.groups()[1:])
    single = next((s for s in system.sizes if s.major == diameter and s.pitch == pitch), None)
    if single is None:
        return None
    given = f"{letters} {match[2]}x{match[3]} P{match[4]}"
    starts = lead / pitch
    if starts.denominator != 1 or not 1 <= starts <= MOST_STARTS:
        example = metric_designation(letters, single._replace(starts=2))
        raise DesignationError(
            f"thread: the lead in {given!r} must be 1 to {MOST_STARTS} whole pitches of {match[4]} mm; "
            f"write it like {example!r}"
        )
    return single._replace(starts=int(starts), aliases=())


def _sizes() -> tuple[Size, ...]:
    return tuple(
        Size(name, exact(name), exact(pitch), 1 if normal else 2) for name, pitch, normal in metric_plan()
    )


SYSTEMS = (
    System(
        symbol="Tr",
        title="ISO metric trapezoidal",
        unit="mm",
        form=TRAPEZOIDAL_FORM,
        seeds=_sizes,
        source=Source(
            "ISO 2901, ISO 2902, ISO 2904; ISO 2903:2016 Tables 1, 3 and 4, as reproduced",
            "first choice is the normal pitch of ISO 2902; classes 9c and 9H are left out; the factors for"
            " the tolerance of several starts from memory",
        ),
        used=(
            "Continental Europe as DIN 103 from 1924, ISO from 1977: lead screws, presses, vices, jacks; "
            "before that square threads and flat ones of Whitworth pitch (from memory). DIN 103 of 1924 has "
            "the same flanks and much the same pitches, but other clearances at crest and root: 0.25 mm "
            "for pitches of 3 to 12 mm, 0.5 mm above (from memory)."
        ),
        periods=(
            Period(CONTINENT, 1924, 2100, "usual"),
            Period(f"{COMMONWEALTH} JP", 1977, 2100, "met"),
        ),
        designation=partial(metric_designation, "Tr"),
        rules=trapezoidal_rules,
        default_classes=MappingProxyType({"external": "7e", "internal": "7H"}),
        unlisted=partial(more_starts, "Tr"),
    ),
)
