"""Strength grades of screws: ISO 898-1, SAE J429, the British letters, and screws with no mark."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal

from threadwright.tables.errors import MaterialError, TableError
from threadwright.tables.materials import plain_name
from threadwright.tables.numbers import format_decimal, shorten
from threadwright.tables.system import Source

__all__ = ["SCREW_GRADES", "ScrewGrade", "Step", "find_grade"]

StressUnit = Literal["MPa", "ksi", "tonf/in2"]
_MPA: dict[str, float] = {"MPa": 1.0, "ksi": 6.894757293168361, "tonf/in2": 15.444256}


@dataclass(frozen=True, slots=True)
class Step:
    """Strength up to a size, in the unit of the grade; ``up_to_mm`` None means every size."""

    up_to_mm: float | None
    tensile: float
    yield_or_proof: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewGrade:
    """A grade of screw with its least tensile strength, by size.

    Parameters
    ----------
    name : str
        As the head or the paper says it.
    standard : str
        The document that defines the grade.
    unit : {"MPa", "ksi", "tonf/in2"}
        The unit the standard is written in.
    steps : tuple of Step
        Least strengths, smallest sizes first.
    source : Source
        Where they were read; ``seen`` is False for values from memory.

    Raises
    ------
    TableError
        If there is no step, or the steps are not in order of size.

    Examples
    --------
    >>> round(find_grade("8.8").tensile_MPa(20.0))
    830
    """

    name: str
    standard: str
    unit: StressUnit
    steps: tuple[Step, ...]
    source: Source
    aliases: tuple[str, ...] = ()
    note: str = ""

    def __post_init__(self) -> None:
        sizes = [float("inf") if step.up_to_mm is None else step.up_to_mm for step in self.steps]
        if not sizes or sizes != sorted(set(sizes)):
            raise TableError(f"grade {self.name}: give its steps in order of size")

    def step(self, nominal_mm: float) -> Step:
        """Strengths for a screw of one size.

        Parameters
        ----------
        nominal_mm : float
            Nominal major diameter. [mm]

        Raises
        ------
        MaterialError
            If the standard gives no strength for that size.
        """
        for step in self.steps:
            if step.up_to_mm is None or nominal_mm <= step.up_to_mm * (1 + 1e-9):
                return step
        largest = self.steps[-1].up_to_mm
        raise MaterialError(
            f"screw grade {self.name}: {self.standard} gives it up to {format_decimal(largest or 0.0)} mm, "
            f"not for {format_decimal(nominal_mm, 3)} mm; give a clamp load, or another grade"
        )

    def tensile_MPa(self, nominal_mm: float) -> float:
        """Least tensile strength of a screw of one size. [MPa]"""
        return self.step(nominal_mm).tensile * _MPA[self.unit]

    def yield_MPa(self, nominal_mm: float) -> float | None:
        """Yield or proof stress of a screw of one size; None where it is not known. [MPa]"""
        stress = self.step(nominal_mm).yield_or_proof
        return None if stress is None else stress * _MPA[self.unit]


_ISO = Source("ISO 898-1", "least tensile and nominal yield strength; read in a reprinted table")
_SAE = Source("SAE J429", "tensile and proof strength; read in a fastener institute's table")
_SAE8 = Source("SAE J429", "grade 8 from memory", seen=False)
_LETTERS = Source("British letter grades as the condition letters of BS 970", "from memory", seen=False)
_UNMARKED = Source("pre-war commercial screws, 26 to 28 tonf/in2", "from memory", seen=False)
_WROUGHT = Source("wrought iron bar, 20 to 24 tonf/in2", "from memory", seen=False)


def _iso(name: str, *steps: tuple[float | None, float, float]) -> ScrewGrade:
    """Build a property class of ISO 898-1."""
    rows = tuple(Step(up_to, tensile, limit) for up_to, tensile, limit in steps)
    return ScrewGrade(
        name=name, standard="ISO 898-1", unit="MPa", steps=rows, source=_ISO, aliases=(f"class {name}",)
    )


def _sae(name: str, source: Source, *steps: tuple[float, float, float]) -> ScrewGrade:
    """Build a grade of SAE J429, sizes in inches."""
    rows = tuple(Step(up_to * 25.4, tensile, proof) for up_to, tensile, proof in steps)
    return ScrewGrade(
        name=f"SAE grade {name}",
        standard="SAE J429",
        unit="ksi",
        steps=rows,
        source=source,
        aliases=(f"grade {name}", f"SAE {name}", name, f"J429 grade {name}"),
    )


def _letter(letter: str, tonf: float) -> ScrewGrade:
    """Build a British letter grade."""
    note = (
        "two restoration articles give T as 150 000 psi, which no letter table supports"
        if letter == "T"
        else ""
    )
    return ScrewGrade(
        name=f"grade {letter}",
        standard="British letter grade",
        unit="tonf/in2",
        steps=(Step(None, tonf),),
        source=_LETTERS,
        aliases=(letter, f"British grade {letter}", f"British {letter}"),
        note=note,
    )


SCREW_GRADES: tuple[ScrewGrade, ...] = (
    _iso("4.6", (39.0, 400.0, 240.0)),
    _iso("4.8", (39.0, 420.0, 320.0)),
    _iso("5.6", (39.0, 500.0, 300.0)),
    _iso("5.8", (39.0, 520.0, 400.0)),
    _iso("6.8", (39.0, 600.0, 480.0)),
    _iso("8.8", (16.0, 800.0, 640.0), (39.0, 830.0, 660.0)),
    _iso("9.8", (16.0, 900.0, 720.0)),
    _iso("10.9", (39.0, 1000.0, 900.0)),
    _iso("12.9", (39.0, 1200.0, 1080.0)),
    _sae("1", _SAE, (1.5, 60.0, 33.0)),
    _sae("2", _SAE, (0.75, 74.0, 55.0), (1.5, 60.0, 33.0)),
    _sae("5", _SAE, (1.0, 120.0, 85.0), (1.5, 105.0, 74.0)),
    _sae("8", _SAE8, (1.5, 150.0, 120.0)),
    _letter("P", 35.0),
    _letter("Q", 40.0),
    _letter("R", 45.0),
    _letter("S", 50.0),
    _letter("T", 55.0),
    _letter("V", 65.0),
    _letter("X", 75.0),
    _letter("Y", 80.0),
    ScrewGrade(
        name="unmarked",
        standard="no mark on the head",
        unit="tonf/in2",
        steps=(Step(None, 26.0),),
        source=_UNMARKED,
        aliases=("no mark", "unknown", "none", "unmarked steel", "plain"),
        note="low end; a screw made later may be stronger: mark or test it before relying on the strips",
    ),
    ScrewGrade(
        name="wrought iron",
        standard="wrought iron bar",
        unit="tonf/in2",
        steps=(Step(None, 20.0),),
        source=_WROUGHT,
        aliases=("iron", "wrought"),
        note="likely before about 1900, common practice, no source",
    ),
)


@lru_cache(maxsize=1)
def _names() -> dict[str, ScrewGrade]:
    """Every name and alias, plain, to its grade."""
    return {plain_name(name): grade for grade in SCREW_GRADES for name in (grade.name, *grade.aliases)}


def find_grade(text: str) -> ScrewGrade:
    """Find a screw grade by what stands on the head or in the parts list.

    Parameters
    ----------
    text : str
        For example ``"8.8"``, ``"SAE grade 5"``, ``"R"``, ``"unmarked"`` or ``"wrought iron"``.

    Raises
    ------
    MaterialError
        If no table holds the grade; the message gives the nearest names.

    Examples
    --------
    >>> find_grade("class 10.9").tensile_MPa(8.0), round(find_grade("R").tensile_MPa(8.0))
    (1000.0, 695)
    """
    names = _names()
    wanted = plain_name(text)
    if wanted in names:
        return names[wanted]
    near = dict.fromkeys(names[name].name for name in get_close_matches(wanted, names, n=3, cutoff=0.5))
    if near:
        raise MaterialError(f"screw grade: no table holds {shorten(text)}; did you mean {' or '.join(near)}?")
    raise MaterialError(
        f"screw grade: no table holds {shorten(text)}; write it like '8.8', 'SAE grade 5', 'grade R', "
        "'unmarked' or 'wrought iron'"
    )
