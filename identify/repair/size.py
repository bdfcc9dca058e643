"""One size of a bush or its hole, with its limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

__all__ = ["Part", "Size", "down_to", "up_to"]

Part = Literal["hole", "bush"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size to make; a limit that does not matter is None.

    Parameters
    ----------
    key : str
        Stable name for a drawing or a program.
    name : str
        As the bench says it.
    part : {"hole", "bush"}
    low, high : float, optional
        Limits. [mm, or deg where ``unit`` says so]
    note : str, optional
        What it is for, or where the figure comes from.
    unit : {"mm", "deg"}, optional

    Examples
    --------
    >>> Size(key="collar", name="collar", part="bush", low=15.989, high=16.0).text
    '15.989 to 16.000 mm'
    >>> Size(key="drill", name="drill", part="hole", low=10.5, high=10.5).text
    '10.50 mm'
    """

    key: str
    name: str
    part: Part
    low: float | None
    high: float | None
    note: str = ""
    unit: Literal["mm", "deg"] = "mm"

    @property
    def text(self) -> str:
        """The limits in words."""
        if self.low is None or self.high is None:
            word, value = ("at most", self.high) if self.low is None else ("at least", self.low)
            return f"{word} {value:.2f} {self.unit}"
        if math.isclose(self.low, self.high, abs_tol=5e-7):
            return f"{self.low:.2f} {self.unit}" if self.unit == "mm" else f"{self.low:g} {self.unit}"
        return f"{self.low:.3f} to {self.high:.3f} {self.unit}"

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001."""
        return {
            "key": self.key,
            "name": self.name,
            "part": self.part,
            "low": None if self.low is None else round(self.low, 3),
            "high": None if self.high is None else round(self.high, 3),
            "unit": self.unit,
            "note": self.note,
        }


def down_to(value: float, step: float) -> float:
    """The multiple of a step at or below a value.

    Examples
    --------
    >>> down_to(5.77, 0.1), down_to(6.0, 0.5)
    (5.7, 6.0)
    """
    return round(math.floor(value / step + 1e-9) * step, 6)


def up_to(value: float, step: float) -> float:
    """The multiple of a step at or above a value.

    Examples
    --------
    >>> up_to(5.77, 0.1), up_to(6.0, 0.5)
    (5.8, 6.0)
    """
    return round(math.ceil(value / step - 1e-9) * step, 6)
