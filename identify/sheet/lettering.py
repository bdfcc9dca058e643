"""Letters of a sheet: which characters every renderer can show, and how wide they are.

The lettering is Helvetica, one of the fonts that every PDF reader has, so no font is shipped or
searched for, and the width of a label does not depend on the machine.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["ASCENT", "CAP_HEIGHT", "DESCENT", "plain", "text_width", "wrap"]

ASCENT: Final = 0.73
"""Base line to the top of a letter or a ring above it, over the size of the type."""
DESCENT: Final = 0.21
"""Base line to the lower end of a letter, over the size of the type."""
CAP_HEIGHT: Final = 0.718
"""Height of a capital letter over the size of the type."""

# Widths of the characters 32 to 126 in thousandths of the size: Adobe core 14 font metrics, Helvetica and
# Helvetica-Bold.
_REGULAR: Final = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 "
    "556 556 278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 "
    "556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD: Final = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 "
    "556 556 333 333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 "
    "611 278 278 556 278 889 611 611 611 611 389 556 333 611 556 778 556 556 500 389 280 389 584"
)
# The rest of Latin-1 that is no letter with an accent: width in thousandths, regular and bold.
_SIGNS: Final[Mapping[tuple[int, int], str]] = MappingProxyType(
    {
        (260, 280): "\u00a6",
        (278, 278): "\u00b7\u00ec\u00ed\u00ee\u00ef",
        (333, 333): "\u00b2\u00b3\u00b9\u00a1\u00a8\u00af\u00b4\u00b8",
        (365, 365): "\u00ba",
        (370, 370): "\u00aa",
        (400, 400): "\u00b0",
        (537, 556): "\u00b6",
        (556, 556): "\u00a7\u00a3\u00a2\u00a5\u00a4\u00ab\u00bb",
        (556, 611): "\u00f0\u00fe\u00b5",
        (584, 584): "\u00d7\u00f7\u00b1\u00ac",
        (611, 611): "\u00df\u00f8\u00bf",
        (667, 667): "\u00de",
        (722, 722): "\u00d0",
        (737, 737): "\u00a9\u00ae",
        (778, 778): "\u00d8",
        (834, 834): "\u00bc\u00bd\u00be",
        (889, 889): "\u00e6",
        (1000, 1000): "\u00c6",
    }
)
_INSTEAD: Final[Mapping[int, str]] = MappingProxyType(
    {
        **dict.fromkeys((0x2300, 0x2205, 0x00F8), "\u00d8"),  # diameter sign, empty set: O with stroke
        **dict.fromkeys((*range(0x2010, 0x2016), 0x2212, 0x00AD), "-"),
        **dict.fromkeys((0x2018, 0x2019, 0x201A, 0x2032), "'"),
        **dict.fromkeys((0x201C, 0x201D, 0x201E, 0x2033), '"'),
        0x2044: "/",
        0x20AC: "EUR",
        0x2265: ">=",
        0x2264: "<=",
        0x2248: "~",
        0x03BC: "\u00b5",
        0x2190: "<-",
        0x2192: "->",
    }
)
_VULGAR: Final[Mapping[str, str]] = MappingProxyType(
    {sign: f" {unicodedata.normalize('NFKD', sign).replace(chr(0x2044), '/')}" for sign in "¼½¾⅓⅔⅛⅜⅝⅞"}
)


_SPACE: Final = re.compile(r"(?<!\bN) ")  # a line may end here, but not inside "N m"


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """The text in characters that PDF, SVG and DXF all show, on one line.

    Parameters
    ----------
    text : str
        Anything. Fractions are spelled (3/8), signs outside Latin-1 replaced by what they mean, letters
        by their base letter; a character without a likeness becomes a question mark.

    Examples
    --------
    >>> plain("⌀12 ± 0,1 ⅜″"), plain("Łódź\\n 1⅜")
    ('Ø12 ± 0,1 3/8"', '?ódz 1 3/8')
    """
    for sign, spelled in _VULGAR.items():
        text = text.replace(sign, spelled)
    found = []
    for character in text.translate(_INSTEAD):
        if character.isspace() or unicodedata.category(character) == "Cc":
            found.append(" ")
        elif ord(character) < 0x100:
            found.append(character)
        else:
            alike = unicodedata.normalize("NFKD", character)
            found.append("".join(one for one in alike if ord(one) < 0x100) or "?")
    return " ".join("".join(found).split())


@cache
def _widths(bold: bool) -> Mapping[str, int]:
    """Width of each character in thousandths of the size."""
    row = (_BOLD if bold else _REGULAR).split()
    widths = {chr(32 + index): int(width) for index, width in enumerate(row)}
    for pair, signs in _SIGNS.items():
        widths |= dict.fromkeys(signs, pair[bold])
    for code in range(0xC0, 0x100):
        base = unicodedata.normalize("NFKD", chr(code))[0]
        widths.setdefault(chr(code), widths.get(base, 1000))
    return widths


@lru_cache(maxsize=4096)
def text_width(text: str, *, size: float, bold: bool = False) -> float:
    """Width of a line of text.

    Parameters
    ----------
    text : str
        In plain characters.
    size : float
        Size of the type. [mm]
    bold : bool
        Whether in bold letters.

    Returns
    -------
    float
        Width. [mm]

    Examples
    --------
    >>> text_width("MM", size=10.0)
    16.66
    """
    widths = _widths(bold)
    return sum(widths.get(character, 1000) for character in text) * size / 1000


def wrap(text: str, *, width: float, size: float, bold: bool = False) -> list[str]:
    """Fold a text into lines no wider than a column.

    Parameters
    ----------
    text : str
        Any text; a word wider than the column is cut.
    width : float
        Width of the column. [mm]
    size : float
        Size of the type. [mm]
    bold : bool
        Whether in bold letters.

    Returns
    -------
    list of str
        At least one line.

    Examples
    --------
    >>> wrap("face, drill and bore", width=11.0, size=2.0)
    ['face, drill', 'and bore']
    """
    lines = [""]
    for word in _SPACE.split(plain(text)):
        rest = word
        joined = f"{lines[-1]} {rest}".strip()
        if text_width(joined, size=size, bold=bold) <= width:
            lines[-1] = joined
            continue
        while text_width(rest, size=size, bold=bold) > width:
            fits = max(1, _fitting(rest, width, size, bold))
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return [line for line in lines if line] or [""]


def _fitting(word: str, width: float, size: float, bold: bool) -> int:
    """How many characters of a word fit the width."""
    return next(
        (n - 1 for n in range(1, len(word) + 1) if text_width(word[:n], size=size, bold=bold) > width),
        len(word),
    )
