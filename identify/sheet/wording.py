"""Sentences of a plan, which are in millimetres, for a sheet in inches."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from threadwright.sheet.quantity import Size, number

if TYPE_CHECKING:
    from threadwright.sheet.quantity import Unit

__all__ = ["Words", "in_unit"]

_NUMBER: Final = r"\d+(?:\.\d+)?"
_LENGTH: Final = re.compile(
    r"(?P<tool>\b[Dd]rill |wires of )?(?<![\w.])"
    rf"(?P<first>{_NUMBER})(?: to (?P<second>{_NUMBER}))? mm\b"
)


def in_unit(text: str, unit: Unit) -> str:
    """A sentence with its lengths in the unit of the sheet.

    Parameters
    ----------
    text : str
        Lengths written like ``2.50 mm`` or ``2.5 to 3.0 mm``.
    unit : {"mm", "in"}
        Unit of the sheet.

    Returns
    -------
    str
        In inches the limits lie inside those in millimetres; a drill or wire keeps its millimetres, and has
        its inches behind them.

    Examples
    --------
    >>> in_unit("Drill 12.50 mm and bore true to 12.376 to 12.676 mm.", "in")
    'Drill 12.50 mm (0.4921 in) and bore true to 0.4873 to 0.4990 in.'
    >>> in_unit("Clamp M14x1.5 with 23 N m.", "in")
    'Clamp M14x1.5 with 23 N m.'
    """
    return text if unit == "mm" else _LENGTH.sub(_inches, text)


def _inches(found: re.Match[str]) -> str:
    tool, first, second = found["tool"], found["first"], found["second"]
    if second is None:
        written = f"{number(float(first), 'in')} in"
        return f"{tool}{first} mm ({written})" if tool else written
    low, high = sorted((float(first), float(second)))
    size = Size((low + high) / 2, low, high) if low > 0 else None
    limits = (size and size.limits("in")) or (number(low, "in"), number(high, "in"))
    return f"{tool or ''}{limits[0]} to {limits[1]} in"


@dataclass(frozen=True, slots=True)
class Words:
    """How a sheet says what a plan says: lengths in its unit, left hand named wherever a thread is.

    Examples
    --------
    >>> Words("mm", ("M8x1.25",))("Tap M8x1.25, then M8x1.")
    'Tap M8x1.25 LH, then M8x1.'
    """

    unit: Unit
    left_hand: tuple[str, ...] = ()
    """Designations that are left-handed."""

    def __call__(self, text: str) -> str:
        """One sentence."""
        for name in self.left_hand:
            text = re.sub(rf"(?<!\w){re.escape(name)}(?![\w.]*\w)(?! LH)", f"{name} LH", text)
        return in_unit(text, self.unit)
