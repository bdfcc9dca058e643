"""How results look on a terminal: columns, lengths, probabilities and JSON."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Sequence
from typing import Literal

import click

from threadwright.notebook import share

__all__ = ["as_json", "columns", "heading", "length", "paragraph", "share", "width"]

LengthUnit = Literal["mm", "in"]
_PLACES = {"mm": 3, "in": 4}
_MM = {"mm": 1.0, "in": 25.4}


def width() -> int | None:
    """Columns of the terminal; None where stdout is not one, and nothing is cut or folded."""
    if not sys.stdout.isatty():
        return None
    import shutil

    return max(shutil.get_terminal_size((80, 24)).columns, 40)


def columns(
    rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), indent: int = 2, within: int | None = None
) -> list[str]:
    """Lines of a table whose columns are two blanks apart.

    Parameters
    ----------
    rows : sequence of sequence of str
        Cells, all rows of equal length.
    right : sequence of int
        Columns that are aligned to the right.
    indent : int
        Blanks before each line.
    within : int or None
        Width at which the last column is cut, for a terminal; None cuts nothing.

    Examples
    --------
    >>> for line in columns([["M8x1.25", "0.5"], ["M10", "12.25"]], right=[1]):
    ...     print(line)
      M8x1.25    0.5
      M10      12.25
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(size) if index in right else cell.ljust(size)
            for index, (cell, size) in enumerate(zip(row, widths, strict=True))
        ]
        line = " " * indent + "  ".join(cells).rstrip()
        lines.append(line if within is None or len(line) <= within else f"{line[: within - 3]}...")
    return lines


def heading(text: str) -> str:
    """A line in bold where the terminal can show it."""
    return click.style(text, bold=True)


def paragraph(text: str, *, first: str = "", rest: str | None = None) -> str:
    """Prose folded at 80 columns, or less on a narrow terminal.

    Parameters
    ----------
    text : str
        The prose.
    first, rest : str
        What the first line and the others begin with; without ``rest``, blanks as long as ``first``.

    Examples
    --------
    >>> paragraph("Edge: short.", first="- ")
    '- Edge: short.'
    """
    return textwrap.fill(
        text,
        min(width() or 80, 80),
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_on_hyphens=False,
        break_long_words=False,
    )


def length(value_mm: float, unit: LengthUnit = "mm") -> str:
    """A length as the bench reads it: thousandths of a millimetre, or tenths of a thou.

    Examples
    --------
    >>> length(9.525), length(9.525, "in")
    ('9.525', '0.3750')
    """
    return f"{value_mm / _MM[unit]:.{_PLACES[unit]}f}"


def as_json(value: object) -> str:
    """JSON without NaN or infinity, which are not JSON."""
    import json

    return json.dumps(value, indent=2, allow_nan=False, ensure_ascii=True)
