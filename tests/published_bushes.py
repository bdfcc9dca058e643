"""Rows of ``published/locked_bushes.csv``: the pairs and the holes of the ready-made locked bushes."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from threadwright.tables.registry import find_thread, system
from threadwright.tables.thread import Size, Thread

PATH = Path(__file__).resolve().parent / "published" / "locked_bushes.csv"


@dataclass(frozen=True)
class Published:
    """One document row: inner and outer thread, and its printed sizes [in] by name."""

    document: str
    inner: str
    outer: str
    sizes: dict[str, str]

    @property
    def name(self) -> str:
        """For messages."""
        return f"{self.document} {self.inner} in {self.outer}"

    def inch(self, quantity: str) -> float:
        """A printed size. [in]"""
        return float(self.sizes[quantity])

    def mm(self, quantity: str) -> float:
        """A printed size. [mm]"""
        return 25.4 * self.inch(quantity)

    @property
    def root(self) -> str:
        """Name of the least root that the document gives."""
        return "outer_minor_min" if "outer_minor_min" in self.sizes else "outer_minor_altered"


def published() -> list[Published]:
    """Every pair, one for each of its inner threads, and every hole."""
    found: dict[tuple[str, str, str], dict[str, str]] = {}
    with PATH.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            assert row["source"]
            assert row["basis"] == "read"
            for inner in row["inner"].split(" & "):
                found.setdefault((row["document"], inner, row["outer"]), {})[row["quantity"]] = row["value"]
    return [Published(*key, sizes) for key, sizes in found.items()]


def pairs() -> list[Published]:
    """Rows that name both threads."""
    return [row for row in published() if row.inner]


def outer_thread(row: Published) -> Thread:
    """The outer thread; sizes outside the series are built by the rules of the special ones."""
    if row.outer.startswith(".") or row.outer.startswith("11/16-11"):
        size, tpi = row.outer.removesuffix(" UNS").split("-")
        major = Fraction(Decimal(size)) if size.startswith(".") else Fraction(size)
        special = Size(size, major, Fraction(1, int(tpi)))
        return replace(system("UNS"), seeds=lambda: (special,)).build().thread(0)
    return find_thread(row.outer)
