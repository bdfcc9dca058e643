"""A size with its limits, and how it is written in millimetres or inches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from threadwright.sheet.model import Label
from threadwright.tables.errors import SheetError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["UNITS", "Size", "Unit", "number"]

Unit = Literal["mm", "in"]
UNITS: Final[Mapping[str, float]] = {"mm": 1.0, "in": 25.4}
"""Millimetres in each unit."""
_PLACES: Final[Mapping[str, int]] = {"mm": 3, "in": 4}


def number(value_mm: float, unit: Unit, *, places: int | None = None) -> str:
    """A length without needless zeros.

    Parameters
    ----------
    value_mm : float
        Length. [mm]
    unit : {"mm", "in"}
        Unit it is written in.
    places : int, optional
        Decimals kept; thousandths of a millimetre or tenths of a thou if left out.

    Examples
    --------
    >>> number(12.7, "mm"), number(12.7, "in"), number(12.0, "mm")
    ('12.7', '0.5', '12')
    """
    text = f"{value_mm / UNITS[unit]:.{_PLACES[unit] if places is None else places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class Size:
    """A size and its limits. [mm]

    Parameters
    ----------
    nominal : float
        What is drawn. [mm]
    low, high : float, optional
        Limits; both or none. [mm]
    note : str
        What stands behind it, such as a tolerance class.
    coarse : bool
        Whether a decimal less is written: hundredths of a millimetre, or thou.

    Raises
    ------
    SheetError
        If it is not a positive number, or the limits are not in order.

    Examples
    --------
    >>> Size(14.0, 13.989, 14.0, "h6").words("mm"), Size(12.7).words("in")
    ('13.989 to 14.000 h6', '0.5')
    """

    nominal: float
    low: float | None = None
    high: float | None = None
    note: str = ""
    coarse: bool = False

    def __post_init__(self) -> None:
        given = [value for value in (self.nominal, self.low, self.high) if value is not None]
        if not all(math.isfinite(value) and value > 0 for value in given):
            raise SheetError(f"size: {self.nominal}, {self.low}, {self.high} mm; every value must be above 0")
        if (self.low is None) != (self.high is None):
            raise SheetError(f"size {self.nominal:g} mm: it has one limit only; give both, or none")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise SheetError(
                f"size {self.nominal:g} mm: the limits {self.low:g} and {self.high:g} mm are the wrong way "
                "round; give the lower one first"
            )

    def _places(self, unit: Unit) -> int:
        return _PLACES[unit] - self.coarse

    def _alone(self, unit: Unit) -> str:
        """The size without its limits."""
        return number(self.nominal, unit, places=self._places(unit))

    def limits(self, unit: Unit) -> tuple[str, str] | None:
        """Both limits as text, rounded so that the zone never grows; None if there are none."""
        if self.low is None or self.high is None:
            return None
        places = self._places(unit)
        grid = 10**places
        low = math.ceil(self.low / UNITS[unit] * grid - 1e-6)
        high = math.floor(self.high / UNITS[unit] * grid + 1e-6)
        if low > high:
            low = high = round(self.nominal / UNITS[unit] * grid)
        spare = 1 if places == 3 and low % 10 == 0 and high % 10 == 0 else 0
        return f"{low / grid:.{places - spare}f}", f"{high / grid:.{places - spare}f}"

    def label(self, unit: Unit, *, before: str = "", after: str = "", size: float = 2.5) -> Label:
        """What a dimension says: the limits one above the other, or the size alone."""
        behind = " ".join(part for part in (self.note, after) if part)
        limits = self.limits(unit)
        if limits is None:
            return Label(" ".join(filter(None, (before + self._alone(unit), behind))), size=size)
        return Label(before, upper=limits[1], lower=limits[0], after=behind, size=size)

    def words(self, unit: Unit) -> str:
        """The size on one line."""
        limits = self.limits(unit)
        text = self._alone(unit) if limits is None else f"{limits[0]} to {limits[1]}"
        return f"{text} {self.note}".strip()
