"""One way to repair a hole, and the site that all ways are worked out for."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from threadwright import judgement
from threadwright.engagement import internal_shear_area
from threadwright.repair.candidates import major_mm
from threadwright.repair.cautions import dangerous_use_or_place
from threadwright.repair.spigot import screw_clearance
from threadwright.repair.strength import screw_stress_area
from threadwright.repair.torque import clamp_torque
from threadwright.repair.wall import edge_distance

if TYPE_CHECKING:
    from threadwright.repair.candidates import Case
    from threadwright.repair.drawer import Drawer
    from threadwright.repair.hole import Surroundings

__all__ = ["BROKEN", "Reversible", "Route", "Site"]

Reversible = Literal["nothing is changed", "can be repaired again", "cannot be undone"]
BROKEN = (
    "get the broken screw out: file it flat, centre it from the original location, drill it through with a "
    "guide bush, well under the thread, and draw the rest; heat and oil only where the metal bears it"
)
"""What must be done first where a broken screw stands in the hole."""
_UNDONE: tuple[Reversible, ...] = ("nothing is changed", "can be repaired again", "cannot be undone")


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """One way to repair the hole: offered with its numbers, or refused with its reason."""

    key: str
    name: str
    sentence: str
    refused_because: str | None = None
    holds: bool | None = None
    """Whether it carries what is asked; None where no verdict is given or it is not calculated."""
    strip_kN: float | None = None
    """The least load at which a thread gives way."""
    clamp_kN: float | None = None
    """Greatest clamp load."""
    diameter_mm: float = 8.0
    """Diameter of the screw, for its torque."""
    metal_mm3: float = 0.0
    """Metal taken out of the part."""
    tools: tuple[str, ...] = ()
    reversible: Reversible = "can be repaired again"
    numbers: tuple[tuple[str, float], ...] = ()
    """Sizes by name with their unit."""
    first: str | None = None
    """What must be done before anything else."""

    @property
    def offered(self) -> bool:
        """Whether it can be done here."""
        return self.refused_because is None

    @property
    def rank(self) -> tuple[int, int, float, int, int]:
        """Order: offered, holds, metal removed, tools, reversibility; less is better."""
        verdicts = {True: 0, None: 1, False: 2}
        return (
            int(not self.offered),
            verdicts[self.holds],
            round(self.metal_mm3, 1),
            len(self.tools),
            _UNDONE.index(self.reversible),
        )

    def to_dict(self) -> dict[str, object]:
        """Plain data: mm, kN, N m."""

        def place(value: float | None) -> float | None:
            return None if value is None else round(value, 2)

        base: dict[str, object] = {
            "key": self.key,
            "name": self.name,
            "offered": self.offered,
            "sentence": self.sentence,
        }
        if not self.offered:
            return {**base, "refused_because": self.refused_because}
        torque = None if self.clamp_kN is None else clamp_torque(self.clamp_kN, diameter_mm=self.diameter_mm)
        return {
            **base,
            "holds": self.holds,
            "strip_kN": place(self.strip_kN),
            "clamp_kN": place(self.clamp_kN),
            "torque": None if torque is None else torque.to_dict(),
            "metal_removed_mm3": round(self.metal_mm3, 1),
            "tools": list(self.tools),
            "reversible": self.reversible,
            "numbers": {name: round(value, 3) for name, value in self.numbers},
            "first": self.first,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What every route is worked out for."""

    case: Case
    hole: Surroundings
    drawer: Drawer | None = None
    part: str | None = None

    @property
    def major(self) -> float:
        """Basic major diameter of the screw. [mm]"""
        return major_mm(self.case.inner)

    @property
    def bore(self) -> float:
        """What is bored out today: as measured, else the basic minor diameter. [mm]"""
        inner = self.case.inner
        return self.hole.bore_mm or inner.minor_basic * inner.to_mm

    @property
    def clearance(self) -> float:
        """Plain bore that lets the screw through. [mm]"""
        return screw_clearance(self.case.inner)

    @property
    def wrong_place(self) -> bool:
        """Whether the hole itself is where it should not be."""
        return self.hole.state in ("off position", "out of square")

    @property
    def unjudged(self) -> bool:
        """Whether no verdict may be given on anything."""
        use = dangerous_use_or_place(self.part, self.hole.beyond)
        return use is not None or self.case.parent.shear is None

    def removed(self, diameter_mm: float, length_mm: float) -> float:
        """Metal taken out when the bore is opened. [mm3]"""
        return math.pi / 4 * max(diameter_mm**2 - self.bore**2, 0.0) * length_mm

    def seat_lost(self, diameter_mm: float) -> str | None:
        """Say so where a route gives the locating spigot no seat."""
        if not self.hole.locates:
            return None
        return f"opened to {diameter_mm:.2f} mm without a collar, the hole leaves no seat for the spigot"

    def too_near(self, diameter_mm: float) -> str | None:
        """Say so where a thread of that diameter comes too near the edge."""
        edge = self.hole.nearest_edge_mm
        wanted = edge_distance(self.case.parent, outer_major_mm=diameter_mm)
        if edge is None or edge >= (1 - judgement.EDGE_SHORTFALL) * wanted - 1e-9:
            return None
        return f"the edge is {edge:.1f} mm from the centre, {wanted:.1f} mm wanted for {diameter_mm:.2f} mm"

    def parent_strip(
        self,
        *,
        length_mm: float,
        pitch_mm: float,
        flank_angle: float,
        external_major_mm: float,
        pitch_diameter_mm: float,
    ) -> float | None:
        """Strip load of a thread in the part; None where no strength may be assumed. [kN]"""
        if self.case.parent.shear is None:
            return None
        area = internal_shear_area(
            length=length_mm,
            pitch=pitch_mm,
            external_major=external_major_mm,
            internal_pitch_diameter=pitch_diameter_mm,
            flank_angle=flank_angle,
        )
        return self.case.parent.shear * float(area) / 1000

    def verdict(self, strip_kN: float | None) -> tuple[bool | None, float | None, str]:
        """Whether a strip load suffices, the greatest clamp load, and both in words."""
        if self.unjudged or strip_kN is None:
            return None, None, "no verdict is given"
        screw = self.case.grade.tensile_MPa(self.major) * self.screw_area / 1000
        clamp = judgement.CLAMP_SHARE * min(screw, strip_kN)
        holds = strip_kN >= self.case.required_kN
        words = "it holds" if holds else "it does not carry the screw's strength"
        if self.case.load_name == "asked for" and not holds:
            words = f"it does not carry {judgement.STRIP_FACTOR:g} times the {self.case.load_kN:.1f} kN asked"
        if not self.case.clamps:
            return holds, None, words
        return holds, clamp, f"{words}; clamp with at most {clamp:.1f} kN"

    @property
    def screw_area(self) -> float:
        """Stress area of the screw. [mm2]"""
        return screw_stress_area(self.case.inner)

    def refuse(self, key: str, name: str, because: str) -> Route:
        """Make a refused route."""
        return Route(
            key=key, name=name, sentence=f"{because[0].upper()}{because[1:]}.", refused_because=because
        )

    def with_collar(self, *, length_mm: float, diameter_mm: float | None) -> Case:
        """The case with a collar at the face."""
        return replace(self.case, collar_mm=length_mm, collar_diameter_mm=diameter_mm)
