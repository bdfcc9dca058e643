"""The exact number grammar of the workshop, and the rounding the standards use.

Numbers are decimals, common fractions and mixed numbers, read exactly: ``0.372``, ``3/8``,
``1 1/4``, ``1-1/4``. There is no exponent, no sign, no decimal comma and no expression.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from threadwright.tables.errors import NumberError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

__all__ = [
    "exact",
    "float_column",
    "format_decimal",
    "format_mixed",
    "parse_number",
    "per_inch",
    "round_all",
    "round_columns",
    "round_half_up",
    "shorten",
    "tpi_text",
]

_LONGEST = 24  # characters; longer text is not a reading
_NUMBER = r"""(?: (?P<whole>\d+) [ \-]+ )? (?P<num>\d+) \s* / \s* (?P<den>\d+)
      | (?P<decimal> \d+ (?:\.\d*)? | \.\d+ )"""
_VULGAR = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}  # fmt: skip
_GUARD = 1e-7  # of one unit in the last place: a tie that binary floats put just below stays a tie


@lru_cache(maxsize=1024)
def exact(text: str) -> Fraction:
    """Read a decimal, a fraction or a mixed number of the tables exactly; most stand in many of them.

    Examples
    --------
    >>> exact("0.375"), exact("5/16"), exact("1+1/4"), exact("1 1/4")
    (Fraction(3, 8), Fraction(5, 16), Fraction(5, 4), Fraction(5, 4))
    """
    if text.isdecimal():
        return Fraction(int(text))
    whole, _, part = text.replace(" ", "+").rpartition("+")
    top, slash, bottom = part.partition("/")
    if slash:
        return Fraction(int(whole or 0) * int(bottom) + int(top), int(bottom))
    digits, _, decimals = part.partition(".")
    return Fraction(int(digits + decimals), 10 ** len(decimals))


@lru_cache(maxsize=256)
def per_inch(text: str) -> Fraction:
    """Pitch of so many threads per inch, exactly. [in]

    Examples
    --------
    >>> per_inch("4.5")
    Fraction(2, 9)
    """
    tpi = exact(text)
    return Fraction(tpi.denominator, tpi.numerator)


def tpi_text(pitch: Fraction) -> str:
    """Threads per inch of an inch pitch as a designation writes it.

    Examples
    --------
    >>> tpi_text(Fraction(1, 20)), tpi_text(Fraction(2, 9))
    ('20', '4.5')
    """
    top, bottom = pitch.as_integer_ratio()
    return str(bottom) if top == 1 else format_decimal(bottom / top)


def float_column(values: Iterable[Fraction], *, inverse: bool = False) -> NDArray[np.float64]:
    """Exact numbers, or one over each, as a column of the nearest floats.

    Examples
    --------
    >>> float_column([Fraction(1, 8), Fraction(3)]), float_column([Fraction(1, 20)], inverse=True)
    (array([0.125, 3.   ]), array([20.]))
    """
    ratios = map(Fraction.as_integer_ratio, values)
    divided = (
        [bottom / top for top, bottom in ratios] if inverse else [top / bottom for top, bottom in ratios]
    )
    return np.array(divided, dtype=np.float64)


@lru_cache(maxsize=1024)
def parse_number(text: str) -> Fraction:
    """Read a decimal, a fraction or a mixed number exactly.

    Parameters
    ----------
    text : str
        For example ``"0.372"``, ``"3/8"``, ``"1 1/4"``, ``"1-1/4"`` or ``"1¼"``.

    Returns
    -------
    Fraction
        The exact value, never negative.

    Raises
    ------
    NumberError
        If the text is anything else: signs, exponents, decimal commas, expressions, ``nan``.

    Examples
    --------
    >>> parse_number("1 1/4")
    Fraction(5, 4)
    >>> parse_number(".372")
    Fraction(93, 250)
    """
    plain = text.strip().replace("\u2044", "/")
    for sign, spelled in _VULGAR.items():
        plain = plain.replace(sign, f" {spelled}")
    plain = plain.strip()
    match = re.fullmatch(_NUMBER, plain, re.VERBOSE) if len(plain) <= _LONGEST else None
    if match is None or not plain.isascii():
        raise NumberError(f"cannot read {shorten(text)} as a number; write it like '8.5', '5/16' or '1 1/4'")
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    if int(match["den"]) == 0:
        raise NumberError(f"{shorten(text)} divides by zero; write a fraction like '5/16'")
    return int(match["whole"] or 0) + Fraction(int(match["num"]), int(match["den"]))


def shorten(text: str) -> str:
    """Quote what was given, cut to a length that fits one line."""
    clean = " ".join(text.split())
    return repr(clean if len(clean) <= 40 else f"{clean[:37]}...")


def format_mixed(value: Fraction) -> str:
    """Write an exact inch size the way the standards print it.

    Examples
    --------
    >>> format_mixed(Fraction(11, 8))
    '1 3/8'
    >>> format_mixed(Fraction(5, 16)), format_mixed(Fraction(2))
    ('5/16', '2')
    """
    top, bottom = value.as_integer_ratio()
    whole, rest = divmod(top, bottom)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}/{bottom}" if whole else f"{rest}/{bottom}"


def format_decimal(value: Fraction | float, places: int = 10) -> str:
    """Write a number as a plain decimal, without trailing zeros and without an exponent.

    Examples
    --------
    >>> format_decimal(Fraction(5, 4)), format_decimal(0.00001), format_decimal(12.0)
    ('1.25', '0.00001', '12')
    """
    number = value if isinstance(value, float) else value.numerator / value.denominator
    text = f"{number:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def round_half_up(value: Fraction, places: int) -> Fraction:
    """Round an exact number half away from zero, as printed tables do.

    Examples
    --------
    >>> round_half_up(Fraction("0.12345"), 4)
    Fraction(247, 2000)
    """
    scale = 10**places
    units = (2 * scale * abs(value.numerator) + value.denominator) // (2 * value.denominator)
    return Fraction(units if value.numerator >= 0 else -units, scale)


def round_columns(values: NDArray[np.float64], places: int) -> NDArray[np.float64]:
    """Round a column half up, so that it equals :func:`round_half_up` of the exact numbers.

    Parameters
    ----------
    values : array (n,)
        Numbers of either sign; NaN stays NaN.
    places : int
        Decimal places.

    Returns
    -------
    array (n,)
        The float nearest to each rounded decimal.

    Examples
    --------
    >>> round_columns(np.array([0.12345, 2.675, -0.5]), 2)
    array([ 0.12,  2.68, -0.5 ])
    """
    rounded = np.array(values, dtype=np.float64)
    np.abs(rounded, out=rounded)
    rounded *= 10.0**places
    rounded += 0.5
    rounded += _GUARD
    np.floor(rounded, out=rounded)
    np.copysign(rounded, values, out=rounded)
    rounded /= 10.0**places
    return rounded


def round_all(columns: Mapping[str, NDArray[np.float64]], places: int) -> dict[str, NDArray[np.float64]]:
    """Round columns of one length with :func:`round_columns`, all at once.

    Examples
    --------
    >>> round_all({"major_max": np.array([0.12345]), "major_min": np.array([0.1])}, 4)
    {'major_max': array([0.1235]), 'major_min': array([0.1])}
    """
    return dict(zip(columns, round_columns(np.array(list(columns.values())), places), strict=True))
