"""Text in, millimetres and degrees out.

The grammar is strict: one number of :mod:`threadwright.tables.numbers`, one unit word. Text is read exactly
and rounded once, to the nearest float.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.tables.errors import NumberError, ReadingError
from threadwright.tables.numbers import format_decimal, parse_number, shorten

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "INCH",
    "WRITE_LIKE",
    "ColumnUnit",
    "Dimension",
    "check_range",
    "column_unit",
    "parse_angle",
    "parse_length",
    "parse_pitch",
    "parse_uncertainty",
    "split_unit",
]

Dimension = Literal["length", "angle", "pitch"]


INCH: Final = Fraction(127, 5)  # mm, exact: international inch
_LENGTHS: Final[Mapping[str, Fraction]] = MappingProxyType(
    {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "um": Fraction(1, 1000),
        "µm": Fraction(1, 1000),  # micro sign
        "μm": Fraction(1, 1000),  # Greek mu
        "in": INCH,
        "inch": INCH,
        "inches": INCH,
        '"': INCH,
        "″": INCH,
        "''": INCH,
        "thou": INCH / 1000,
        "mil": INCH / 1000,  # the inch thousandth, never the angle of the same name
    }
)
_ANGLES: Final[Mapping[str, Fraction]] = MappingProxyType({"deg": Fraction(1), "°": Fraction(1)})
_PITCHES: Final[Mapping[str, Fraction]] = MappingProxyType({**_LENGTHS, "tpi": INCH})
_TABLES: Final[Mapping[Dimension, Mapping[str, Fraction]]] = MappingProxyType(
    {"length": _LENGTHS, "angle": _ANGLES, "pitch": _PITCHES}
)
WRITE_LIKE: Final[Mapping[Dimension, str]] = MappingProxyType(
    {
        "length": "'8.5 mm', '0.335 in' or '5/16 in'",
        "angle": "'27.5deg'",
        "pitch": "'20 tpi', '1.25 mm' or '0.05 in'",
    }
)
_ADD_UNIT: Final[Mapping[Dimension, tuple[str, ...]]] = MappingProxyType(
    {"length": ("mm", "in"), "angle": ("deg",), "pitch": ("tpi", "mm")}
)
_SOME: Final[Mapping[Dimension, str]] = MappingProxyType(
    {"length": "a size", "angle": "an angle", "pitch": "a pitch"}
)
_SUGGESTED: Final = ("mm", "cm", "in", "inch", "inches", "thou", "tpi", "deg")
_PARTS = re.compile(r"(?P<number>[-\u2212+*\d\s./\u2044,¼½¾⅛⅜⅝⅞⅓⅔]*)(?P<unit>.*)", re.DOTALL)


def split_unit(text: str) -> tuple[str, str]:
    """Part a text into what should be a number and what should be a unit word.

    Parameters
    ----------
    text : str
        For example ``"5/16 in"``.

    Returns
    -------
    tuple of str
        Number and unit, each stripped, either perhaps empty. Neither has been checked.

    Examples
    --------
    >>> split_unit("5/16 in"), split_unit("20tpi"), split_unit("0.25")
    (('5/16', 'in'), ('20', 'tpi'), ('0.25', ''))
    """
    match = _PARTS.match(text.strip())
    assert match is not None  # both groups may be empty
    return match["number"].strip(), match["unit"].strip()


def parse_length(text: str, *, name: str) -> float:
    """Read a length.

    Parameters
    ----------
    text : str
        Number and unit: mm, cm, um, in, inch, inches, ", '', thou or mil (the thousandth of an inch).
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Length. [mm]

    Raises
    ------
    ReadingError
        If the text is not of that form, or the length is not within 0.01 to 2000 mm.

    Examples
    --------
    >>> parse_length("3/8 in", name="major diameter"), parse_length("248 thou", name="major diameter")
    (9.525, 6.2992)
    """
    value = _exact(text, name=name, dimension="length")
    return check_range(float(value), name=name, given=shorten(text), dimension="length")


def parse_angle(text: str, *, name: str) -> float:
    """Read an angle.

    Parameters
    ----------
    text : str
        Number and unit: deg or the degree sign.
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Angle. [deg]

    Raises
    ------
    ReadingError
        If the text is not of that form, or the angle is not between 0 and 180 degrees.

    Examples
    --------
    >>> parse_angle("27.5deg", name="flank angle"), parse_angle("23 3/4°", name="flank angle")
    (27.5, 23.75)
    """
    value = _exact(text, name=name, dimension="angle")
    return check_range(float(value), name=name, given=shorten(text), dimension="angle")


def parse_pitch(text: str, *, name: str) -> float:
    """Read a pitch; threads per inch are taken exactly, P = 25.4/n.

    Parameters
    ----------
    text : str
        Number and unit: tpi, or any unit of length.
    name : str
        What was measured, for the message.

    Returns
    -------
    float
        Pitch. [mm]

    Raises
    ------
    ReadingError
        If the text is not of that form, or the pitch is not within 0.05 to 50 mm.

    Examples
    --------
    >>> parse_pitch("20 tpi", name="pitch"), parse_pitch("1.25 mm", name="pitch")
    (1.27, 1.25)
    """
    value = _exact(text, name=name, dimension="pitch")
    return check_range(float(value), name=name, given=shorten(text), dimension="pitch")


def parse_uncertainty(text: str, *, name: str, dimension: Dimension, of: float) -> float:
    """Read a standard uncertainty.

    Parameters
    ----------
    text : str
        Number and unit, as in ``"0.02 mm"``; for a pitch also ``"0.2 tpi"``.
    name : str
        What was measured, for the message.
    dimension : {"length", "angle", "pitch"}
        What the reading is.
    of : float
        The reading it belongs to. [mm or deg]

    Returns
    -------
    float
        Standard uncertainty; from threads per inch, u(P) = u(n) P**2 / 25.4. [mm or deg]

    Raises
    ------
    ReadingError
        If the text is not of that form, or the uncertainty is too small or too large for its reading.

    Examples
    --------
    >>> parse_uncertainty("1 thou", name="major diameter", dimension="length", of=9.41)
    0.0254
    """
    exact = _exact(text, name=name, dimension=dimension)
    if split_unit(text)[1] == "tpi":
        value = of**2 / float(exact)
    else:
        value = float(exact)
    least, word = (judgement.LEAST_U_DEG, "deg") if dimension == "angle" else (judgement.LEAST_U_MM, "mm")
    most = judgement.GREATEST_U_SHARE * of
    if least <= value < most:
        return value
    raise ReadingError(
        f"{name}: an uncertainty of {shorten(text)} is not possible here; write a standard uncertainty "
        f"from {format_decimal(least)} to below {format_decimal(most, 3)} {word}, like "
        f"{'27.5deg +- 0.5' if dimension == 'angle' else '9.41 mm +- 0.02'!r}"
    )


@dataclass(frozen=True, slots=True)
class ColumnUnit:
    """The unit of a whole column of numbers.

    Attributes
    ----------
    word : str
        The unit as written.
    dimension : {"length", "angle", "pitch"}
        What the column may hold; only ``tpi`` is a pitch, other pitches are lengths.
    """

    word: str
    dimension: Dimension

    def to_mm(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Convert a column, unchecked: NaN stays NaN, and no threads per inch is an infinite pitch.

        Parameters
        ----------
        values : array (n,)
            Numbers in the unit of the column.

        Returns
        -------
        array (n,)
            Lengths and pitches [mm]; angles stay in degrees [deg].

        Examples
        --------
        >>> import numpy as np
        >>> column_unit("tpi").to_mm(np.array([20.0, 16.0]))
        array([1.27  , 1.5875])
        """
        import numpy as np

        if self.dimension == "pitch":
            with np.errstate(divide="ignore"):
                return np.asarray(float(INCH) / values, dtype=np.float64)
        return np.asarray(values * float(_TABLES[self.dimension][self.word]), dtype=np.float64)


def column_unit(header_unit: str) -> ColumnUnit:
    """Find the unit of a whole column from the word in its header.

    Parameters
    ----------
    header_unit : str
        A unit of length, ``tpi`` or ``deg``.

    Returns
    -------
    ColumnUnit
        The converter of the column.

    Raises
    ------
    ReadingError
        If the word is no unit.

    Examples
    --------
    >>> column_unit("in").dimension, column_unit("deg").dimension
    ('length', 'angle')
    """
    word = header_unit.strip()
    for dimension, table in _TABLES.items():  # lengths come before pitches, which hold them too
        if word in table:
            return ColumnUnit(word, dimension)
    near = _near_unit(word, {**_PITCHES, **_ANGLES})
    remedy = f"did you mean {near!r}?" if near else "write one of mm, in, thou, tpi, deg"
    raise ReadingError(f"column unit: {shorten(header_unit)} is not a unit; {remedy}")


def check_range(value: float, *, name: str, given: str, dimension: Dimension) -> float:
    """Refuse what no thread shows: not finite, zero, negative, far too small or far too large.

    Parameters
    ----------
    value : float
        The value. [mm or deg]
    name, given : str
        What was measured, and how it was written, for the message.
    dimension : {"length", "angle", "pitch"}
        What the value is.

    Returns
    -------
    float
        The value, unchanged. [mm or deg]

    Raises
    ------
    ReadingError
        If the value is outside 0.01 to 2000 mm, 0.05 to 50 mm for a pitch, or 0 to 180 degrees.

    Examples
    --------
    >>> check_range(8.5, name="major diameter", given="8.5 mm", dimension="length")
    8.5
    """
    if dimension == "angle":
        possible, span = 0 < value < 180, "between 0 and 180 deg"
    elif dimension == "pitch":
        possible = judgement.LEAST_PITCH_MM <= value <= judgement.GREATEST_PITCH_MM
        span = f"from {judgement.LEAST_PITCH_MM:g} to {judgement.GREATEST_PITCH_MM:g} mm"
    else:
        possible = judgement.LEAST_LENGTH_MM <= value <= judgement.GREATEST_LENGTH_MM
        span = f"from {judgement.LEAST_LENGTH_MM:g} to {judgement.GREATEST_LENGTH_MM:g} mm"
    if possible:
        return value
    raise ReadingError(f"{name}: {given} is impossible; write one {span}, like {WRITE_LIKE[dimension]}")


def _exact(text: str, *, name: str, dimension: Dimension) -> Fraction:
    """Read number and unit exactly, in mm or degrees, without looking at the size."""
    number, unit = split_unit(text)
    unreadable = f"{name}: cannot read {shorten(text)}"
    if number[:1] in ("-", "\u2212"):
        raise ReadingError(
            f"{name}: {shorten(text)} is negative; write a value above zero, like {WRITE_LIKE[dimension]}"
        )
    if re.fullmatch(r"\d+,\d+", number):
        repaired = text.strip().replace(",", ".")
        raise ReadingError(f"{unreadable}: the decimal sign is a point; write {shorten(repaired)}")
    try:
        value = parse_number(number)
    except NumberError:
        raise ReadingError(f"{unreadable}; write it like {WRITE_LIKE[dimension]}") from None
    if value == 0 and unit not in _TABLES[dimension]:  # a unit would not mend it
        raise ReadingError(
            f"{name}: {shorten(text)} is nothing; write {_SOME[dimension]} over zero with its unit, like "
            f"{WRITE_LIKE[dimension]}"
        )
    if not unit:
        choices = " or ".join(f"'{number} {word}'" for word in _ADD_UNIT[dimension])
        raise ReadingError(f"{name}: {shorten(text)} has no unit; write {choices}")
    factor = _TABLES[dimension].get(unit)
    if factor is None:
        raise ReadingError(_unit_message(text, number, unit, name=name, dimension=dimension))
    if unit != "tpi":
        return value * factor
    if value == 0:
        raise ReadingError(f"{name}: {shorten(text)} is no thread; write it like {WRITE_LIKE[dimension]}")
    return factor / value


def _unit_message(text: str, number: str, unit: str, *, name: str, dimension: Dimension) -> str:
    """Say what is wrong with a unit word, and what to write instead."""
    if dimension != "pitch" and unit == "tpi":
        return f"{name}: {shorten(text)} is a pitch; write it like {WRITE_LIKE[dimension]}"
    if unit in _ANGLES or unit in _LENGTHS:
        kind = "an angle" if unit in _ANGLES else "a length"
        return f"{name}: {shorten(text)} is {kind}; write it like {WRITE_LIKE[dimension]}"
    near = None if re.search(r"\d", unit) else _near_unit(unit, _TABLES[dimension])
    if near:
        return (
            f"{name}: cannot read {shorten(text)}: no unit {shorten(unit)}; did you mean '{number} {near}'?"
        )
    return f"{name}: cannot read {shorten(text)}; write it like {WRITE_LIKE[dimension]}"


def _near_unit(word: str, table: Mapping[str, Fraction]) -> str | None:
    """The unit someone probably meant, if any."""
    if word.lower() in table:
        return word.lower()
    import difflib

    near = difflib.get_close_matches(
        word[:20].lower(), [w for w in _SUGGESTED if w in table], n=1, cutoff=0.5
    )
    return near[0] if near else None
