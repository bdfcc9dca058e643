"""The lathe at hand: its leadscrew, its change wheels, and how its cross-slide is graduated."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from threadwright import judgement
from threadwright.tables.errors import JobError, NumberError
from threadwright.tables.numbers import format_decimal, parse_number, shorten
from threadwright.units import split_unit

__all__ = ["Dial", "Lathe", "Leadscrew", "read_leadscrew", "read_ratio", "read_wheels"]

Dial = Literal["radius", "diameter"]
_INCH: Final = Fraction("25.4")
_LEAD_UNITS: Final = {"mm": Fraction(1), "in": _INCH, '"': _INCH}


@dataclass(frozen=True, slots=True)
class Leadscrew:
    """Lead of a leadscrew, exactly, and the family its nut belongs to."""

    lead_mm: Fraction
    inch: bool

    def __str__(self) -> str:
        """As the lathe's plate says it."""
        if not self.inch:
            return f"{format_decimal(self.lead_mm)} mm"
        return f"{format_decimal(_INCH / self.lead_mm)} tpi"


def read_leadscrew(text: str, *, name: str = "leadscrew") -> Leadscrew:
    """Read the lead of a leadscrew.

    Parameters
    ----------
    text : str
        Threads per inch, or the lead in mm or in.
    name : str, optional
        What a message calls it.

    Raises
    ------
    JobError
        If the text is not of that form, or no leadscrew is so coarse or so fine.

    Examples
    --------
    >>> read_leadscrew("8 tpi").lead_mm, str(read_leadscrew("3 mm"))
    (Fraction(127, 40), '3 mm')
    """
    try:
        number, unit = split_unit(text)
        value = parse_number(number)
        lead = _INCH / value if unit == "tpi" else value * _LEAD_UNITS[unit]
    except (NumberError, KeyError, ZeroDivisionError):
        lead = Fraction(0)
    least, most = judgement.LEADSCREW_RANGE_MM
    if not least <= lead <= most:
        raise JobError(
            f"{name}: cannot take {shorten(text)} as the lead of a leadscrew; write it like '8 tpi' or '3 mm'"
        )
    return Leadscrew(lead, inch=unit != "mm")


def read_ratio(text: str, *, name: str = "spindle ratio") -> Fraction:
    """Read the turns of the first wheel for one of the spindle.

    Parameters
    ----------
    text : str
        A decimal, a fraction or a mixed number.
    name : str, optional
        What a message calls it.

    Raises
    ------
    JobError
        If it is no number.

    Examples
    --------
    >>> read_ratio("1/2")
    Fraction(1, 2)
    """
    try:
        return parse_number(text)
    except NumberError as fault:
        raise JobError(f"{name}: {fault}") from fault


def read_wheels(text: str, *, name: str = "wheels") -> tuple[int, ...]:
    """Read a list of change wheels.

    Parameters
    ----------
    text : str
        Teeth, parted by commas; ``40x2`` for two of the same.
    name : str, optional
        What a message calls it.

    Raises
    ------
    JobError
        If an entry is not of that form.

    Examples
    --------
    >>> read_wheels("20, 40x2, 63")
    (20, 40, 40, 63)
    """
    found: list[int] = []
    for entry in text.split(","):
        match = re.fullmatch(r"([0-9]{1,3})(?:x([1-9]))?", entry.strip())
        if match is None:
            raise JobError(
                f"{name}: cannot read {shorten(entry)} as a wheel; write teeth parted by commas, like "
                "20,40x2,63"
            )
        found += [int(match[1])] * int(match[2] or 1)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lathe:
    """One lathe.

    Parameters
    ----------
    leadscrew : Leadscrew, optional
        Without it no trains are worked out.
    wheels : tuple of int, optional
        Teeth of every change wheel, one entry for each wheel held.
    dial : {"radius", "diameter"}, optional
        Whether a graduation of the cross-slide means travel of the tool or change of the diameter.
    division_mm : float, optional
        One graduation of the cross-slide. [mm]
    spindle_ratio : Fraction, optional
        Turns of the first change wheel's shaft for one turn of the spindle.

    Raises
    ------
    JobError
        If the wheels cannot be used, or the division or ratio makes no sense.

    Examples
    --------
    >>> Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(20, 40, 63, 80)).can_cut
    True
    """

    leadscrew: Leadscrew | None = None
    wheels: tuple[int, ...] = ()
    dial: Dial = "radius"
    division_mm: float | None = None
    spindle_ratio: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        least, most = judgement.WHEEL_TEETH
        for teeth in self.wheels:
            if not least <= teeth <= most:
                raise JobError(
                    f"wheels: a change wheel has no {teeth} teeth; write whole numbers like 20, 63, 80"
                )
        if len(self.wheels) > judgement.MOST_WHEELS:
            raise JobError(
                f"wheels: {len(self.wheels)} are more than the {judgement.MOST_WHEELS} that are looked at; "
                "leave out what cannot be fitted"
            )
        low, high = judgement.DIAL_RANGE_MM
        if self.division_mm is not None and not low <= self.division_mm <= high:
            raise JobError(
                f"division: {self.division_mm:g} mm is no graduation of a cross-slide; write it like "
                "'0.02 mm' "
                "or '0.001 in'"
            )
        if not Fraction(1, 10) <= self.spindle_ratio <= 10:
            raise JobError(
                f"spindle ratio: cannot use {self.spindle_ratio}; write turns of the first wheel for one "
                "of the "
                "spindle, like '1/2'"
            )

    @property
    def can_cut(self) -> bool:
        """Whether trains can be worked out."""
        return self.leadscrew is not None and len(self.wheels) > 1
