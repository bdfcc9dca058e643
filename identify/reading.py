"""One reading: what it holds, and several of one size as one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import format_decimal, shorten
from threadwright.units import check_range

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.units import Dimension

__all__ = ["LABELS", "STATED", "Pitch", "Reading", "dimension_of", "together"]

LABELS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "major": "major diameter",
        "pitch": "pitch",
        "over_wires": "over wires",
        "wire": "wire",
        "pitch_diameter": "pitch diameter",
        "minor": "minor diameter",
        "flank_angle": "flank angle",
    }
)
STATED = "stated"  # the instrument of a reading whose uncertainty was given and whose instrument was not


def dimension_of(name: str) -> Dimension:
    """What a reading is.

    Parameters
    ----------
    name : str
        Name of the reading, a key of ``LABELS``.

    Returns
    -------
    {"length", "angle", "pitch"}
        Its dimension.

    Examples
    --------
    >>> dimension_of("flank_angle"), dimension_of("major")
    ('angle', 'length')
    """
    return "angle" if name == "flank_angle" else "pitch" if name == "pitch" else "length"


def _check_uncertainty(u: float, *, name: str) -> None:
    """Refuse an uncertainty that is none."""
    if not (math.isfinite(u) and u > 0):
        raise ReadingError(f"{name}: uncertainty {u!r} is impossible; give a finite number above zero")


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a length or an angle.

    Attributes
    ----------
    name : str
        What was read: a key of ``LABELS``.
    value : float
        The reading; of an interval, its middle. [mm or deg]
    u : float
        Standard uncertainty; of an interval, of each of its ends. [mm or deg]
    unit : {"mm", "deg"}
        Unit of all numbers here.
    interval : tuple of float or None
        Least and greatest size it can have, for a reading that is an interval. [mm]
    instrument : str
        Plain name of the instrument; ``stated`` if the uncertainty was given without one.

    Raises
    ------
    ReadingError
        If the name is no reading, the unit is not its own, or a number is impossible.

    Examples
    --------
    >>> Reading("major", 9.41, 0.02).unit
    'mm'
    """

    name: str
    value: float
    u: float
    unit: Literal["mm", "deg"] = "mm"
    interval: tuple[float, float] | None = None
    instrument: str = STATED

    def __post_init__(self) -> None:
        label = LABELS.get(self.name)
        if label is None:
            raise ReadingError(
                f"reading: no reading {shorten(str(self.name))}; write one of {', '.join(LABELS)}"
            )
        if self.unit != ("deg" if self.name == "flank_angle" else "mm"):
            raise ReadingError(
                f"{label}: unit {self.unit!r} is wrong; give lengths in 'mm' and angles in 'deg'"
            )
        if self.interval is not None and not self.low < self.high:
            given = f"{format_decimal(self.low)}..{format_decimal(self.high)} mm"
            raise ReadingError(f"{label}: interval {given} is not in order; write the smaller end first")
        for number in (self.value, self.low, self.high):
            check_range(
                number, name=label, given=f"{number!r} {self.unit}", dimension=dimension_of(self.name)
            )
        _check_uncertainty(self.u, name=label)
        least, most = judgement.LEAST_FLANK_DEG, judgement.GREATEST_FLANK_DEG
        if self.name == "flank_angle" and not least <= self.value <= most:
            raise ReadingError(
                f"flank angle: {self.value:g} deg is impossible; flank angle is one flank, half the thread "
                f"angle; write one from {least:g} to {most:g} deg, like '27.5deg'"
            )

    @property
    def low(self) -> float:
        """Least size read: the lower end of an interval, else the value [mm or deg]."""
        return self.value if self.interval is None else self.interval[0]

    @property
    def high(self) -> float:
        """Greatest size read: the upper end of an interval, else the value [mm or deg]."""
        return self.value if self.interval is None else self.interval[1]

    @property
    def spread(self) -> float:
        """Standard uncertainty, with even odds over the width of an interval [mm or deg]."""
        return math.hypot(self.u, (self.high - self.low) / math.sqrt(12.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pitch:
    """A pitch, as a comb says it or as it was measured.

    Attributes
    ----------
    kind : {"comb", "measured"}
        A comb names one of its leaves; a measurement has an uncertainty.
    value_mm : float
        Pitch of the leaf, or the pitch measured. [mm]
    text : str
        The reading as written, for example ``20 tpi``.
    u_mm : float or None
        Standard uncertainty of a measured pitch; None for a comb. [mm]
    visible_mm : float or None
        Length over which the comb was laid; None means ten pitches. [mm]
    combs : tuple of str
        Combs owned, of ``inch`` and ``metric``.
    instrument : str
        Plain name of the instrument; ``stated`` if the uncertainty was given without one.

    Raises
    ------
    ReadingError
        If a number is impossible, or a measured pitch has no uncertainty, or a comb has one.

    Examples
    --------
    >>> Pitch(kind="measured", value_mm=1.25, text="1.25 mm +- 0.01", u_mm=0.01).combs
    ('inch', 'metric')
    """

    kind: Literal["comb", "measured"]
    value_mm: float
    text: str
    u_mm: float | None = None
    visible_mm: float | None = None
    combs: tuple[str, ...] = ("inch", "metric")
    instrument: str = "comb"

    def __post_init__(self) -> None:
        check_range(self.value_mm, name="pitch", given=f"{self.value_mm!r} mm", dimension="pitch")
        if (self.kind == "measured") != (self.u_mm is not None):
            raise ReadingError(
                f"pitch: {shorten(self.text)} as {self.kind!r} with uncertainty {self.u_mm}; "
                "give u_mm for a measured pitch, and none for a comb"
            )
        if self.u_mm is not None:
            _check_uncertainty(self.u_mm, name="pitch")
        if self.visible_mm is not None and not self.value_mm <= self.visible_mm < math.inf:
            raise ReadingError(
                f"visible length: {self.visible_mm:g} mm does not hold one pitch of {self.value_mm:.4g} mm; "
                "write the length the comb was laid along, like '12 mm'"
            )


def together(readings: list[Reading]) -> Reading:
    """Several readings of one size, taken at different places, as one.

    Parameters
    ----------
    readings : list of Reading
        At least one, all of one name, none of them an interval unless it is alone.

    Returns
    -------
    Reading
        Their mean; the instrument's uncertainty with the spread of the places added by squares.

    Raises
    ------
    ReadingError
        If an interval stands among several.

    Examples
    --------
    >>> both = together([Reading("major", 9.40, 0.02), Reading("major", 9.44, 0.02)])
    >>> round(both.value, 3), round(both.u, 4)
    (9.42, 0.0346)
    """
    first = readings[0]
    if len(readings) == 1:
        return first
    label = LABELS[first.name]
    if any(reading.interval is not None for reading in readings):
        raise ReadingError(f"{label}: an interval stands among several readings; give it alone")
    values = [reading.value for reading in readings]
    mean = sum(values) / len(values)
    spread = math.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))
    u = math.hypot(max(reading.u for reading in readings), spread)
    return Reading(first.name, mean, u, first.unit, None, first.instrument)
