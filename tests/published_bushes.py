"""Rows of ``published/bushes/locked_bushes.csv``: the pairs and the holes of the ready-made locked bushes."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from threadwright.repair.bush import case_for, choose
from threadwright.repair.candidates import evaluate
from threadwright.repair.hole import Surroundings
from threadwright.repair.usual import usual_tap
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread, system
from threadwright.tables.thread import Size, Thread

PATH = Path(__file__).resolve().parent / "published" / "bushes" / "locked_bushes.csv"


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
        return system("UNS").but(seeds=lambda: (special,)).build().thread(0)
    return find_thread(row.outer)


def differs(row: Published) -> tuple[str, str]:
    """Our own pick for the same inner thread and length, and why it is another one."""
    inner, wanted = find_thread(row.inner), outer_thread(row)
    metals = {"parent": "LM25-TF", "bush_material": "heat-treated steel", "bolt_grade": "8.8"}
    hole = Surroundings(depth_mm=row.mm("length"))
    case = case_for(inner, hole, clamp_kN=None, **metals)
    theirs = evaluate(case, wanted, "usual" if usual_tap(wanted) else "special")
    try:
        pick = choose(case, drawer=None)[0]
    except JobError as fault:
        return "none", str(fault).split(";")[0]
    name = pick.thread.designation
    if name == wanted.designation:
        return name, "the same"
    if theirs.refused_because is not None:
        return name, f"theirs refused as standard: {theirs.refused_because}"
    if theirs.tap == "special":
        return name, "theirs needs a special tap"
    if theirs.carries != pick.carries or not pick.carries:
        return name, f"theirs has a margin of {theirs.margin:.2f}, ours {pick.margin:.2f}"
    if pick.major_mm < theirs.major_mm - 1e-6:
        return name, f"ours removes {theirs.major_mm - pick.major_mm:.2f} mm less on the diameter"
    return name, f"at equal diameter ours has a margin of {pick.margin:.2f}, theirs {theirs.margin:.2f}"
