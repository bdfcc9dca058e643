"""Published check values: the rows of ``published/*.csv`` and the one rule that says how close is close.

A row states what a document prints, as text. A value agrees if it is no further from the printed
number than half a unit of its last printed digit: ``0.1540`` allows 0.00005, ``0.154`` allows 0.0005,
``8`` allows 0.5. A printed fraction (``1/2``, ``4 1/2``) is exact and allows nothing. ``allow=1ulp``
on a row adds one whole unit of the last digit, 1.5 units in all, for a document that is known to round
differently; such a row carries the reason. Nothing else ever widens a tolerance.

Rows whose basis is ``from memory`` were recalled, not read in print: they are reported, never a gate.
Rows of ``excluded.csv`` are known to be wrong, or to belong to another table, and are not compared.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

FOLDER = Path(__file__).resolve().parent / "published"
NOT_SIZES = ("formulas", "excluded", "wires")
SYSTEM_FILES = tuple(
    sorted(path.stem for path in FOLDER.glob("*.csv") if not path.stem.startswith(NOT_SIZES))
)
"""The files of sizes: all but those of formulas, wires and excluded rows."""
MM = {"mm": Fraction(1), "um": Fraction(1, 1000), "in": Fraction("25.4")}
"""Millimetres in each unit of length of the files, exactly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """What one cell of a document prints."""

    value: str
    unit: str
    source: str
    edition: str
    basis: str
    allow: str
    reason: str

    @property
    def gates(self) -> bool:
        """Whether a disagreement is a failure."""
        return self.basis == "read"

    @property
    def number(self) -> Fraction:
        """The printed number, exactly. [unit of the row]"""
        return printed_number(self.value)

    @property
    def tolerance(self) -> Fraction:
        """Half a unit of the last printed digit, one unit more where the row allows it. [unit of the row]"""
        last = last_digit(self.value)
        return last / 2 + (last if self.allow == "1ulp" else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row(Printed):
    """A printed size of one thread."""

    system: str
    designation: str
    side: str
    tolerance_class: str
    quantity: str

    @property
    def name(self) -> str:
        """What the row is about, for messages."""
        words = (self.designation, self.side, self.tolerance_class, self.quantity)
        return " ".join(word for word in words if word)


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaRow(Printed):
    """A printed tolerance, deviation, proportion or formula."""

    topic: str
    case: str
    quantity: str

    @property
    def name(self) -> str:
        """What the row is about, for messages."""
        return f"{self.topic}: {self.case} {self.quantity}"

    @property
    def given(self) -> dict[str, str]:
        """The ``key=value`` pairs of a case: ``thread=No. 10-32 UNF class=2A`` has a thread and a class."""
        pairs: dict[str, str] = {}
        key = ""
        for word in self.case.split(" "):
            head, equals, tail = word.partition("=")
            if equals:
                key = head
                pairs[key] = tail
            elif key:
                pairs[key] += f" {word}"
        return pairs


def printed_number(text: str) -> Fraction:
    """Read a printed number exactly: a decimal, a fraction or a mixed number, with a sign or without."""
    return sum((Fraction(part) for part in text.split(" ")), Fraction(0))


def last_digit(text: str) -> Fraction:
    """One unit of the last printed digit; nothing for a printed fraction, which is exact."""
    if "/" in text:
        return Fraction(0)
    _, _, decimals = text.partition(".")
    return Fraction(1, 10 ** len(decimals))


def exact(value: float | Fraction) -> Fraction:
    """A computed number as a fraction, rid of the noise of binary floats below 1e-9 of a unit."""
    return value if isinstance(value, Fraction) else Fraction(f"{value:.9f}")


def convert(value: Fraction, unit: str, to: str) -> Fraction:
    """Change the unit of a length; numbers without a unit of length stay as they are."""
    return value if unit == to else value * MM[unit] / MM[to]


def disagreement(row: Row | FormulaRow, computed: float | Fraction, unit: str) -> str | None:
    """Say how a computed value differs from the printed one, or None if they agree.

    ``unit`` is the unit of the computed value: ``mm``, ``um``, ``in`` or, for a pure number, that of the row.
    """
    if computed != computed:
        return f"{row.name}: printed {row.value} {row.unit}, not defined in the library ({row.source})"
    got = convert(exact(computed), unit, row.unit)
    if abs(got - row.number) <= row.tolerance:
        return None
    return f"{row.name}: printed {row.value} {row.unit}, computed {float(got):.7g} ({row.source})"


def _records(stem: str) -> list[dict[str, str]]:
    with (FOLDER / f"{stem}.csv").open(encoding="ascii", newline="") as lines:
        return list(csv.DictReader(lines, strict=True))


def rows(stem: str) -> list[Row]:
    """All rows of the file of one system."""
    return [Row(**record) for record in _records(stem)]


def formula_rows(stem: str | None = None) -> list[FormulaRow]:
    """All rows of the files of formulas, or of one file of the same columns."""
    stems = sorted(path.stem for path in FOLDER.glob("formulas*.csv")) if stem is None else [stem]
    return [FormulaRow(**record) for one in stems for record in _records(one)]


def excluded() -> list[dict[str, str]]:
    """Rows that are not compared, each with the reason."""
    return _records("excluded")
