"""The plan of one bush as plain frozen records, and their JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from threadwright.repair.corrected import CorrectedLoads
    from threadwright.repair.making import Making
    from threadwright.repair.outer import OuterWork
    from threadwright.repair.pareto import Front
    from threadwright.repair.strength import Loads
    from threadwright.repair.torque import ClampTorque

__all__ = ["SCHEMA_VERSION", "Alternative", "Bush", "BushPlan", "OuterThread", "Verdict"]

SCHEMA_VERSION = 1
Verdict = Literal["holds", "reduced clamp load", "no verdict"]
Json = dict[str, object]


def _round(value: float | None, places: int = 3) -> float | None:
    return None if value is None else round(value, places)


@dataclass(frozen=True, slots=True, kw_only=True)
class OuterThread:
    """Outer thread of the bush, and how hole and bush are cut."""

    designation: str
    system: str
    nominal_major_mm: float
    major_mm: float
    """Basic major diameter; differs from the nominal one of a pipe thread."""
    pitch_mm: float
    thread_angle_deg: float
    least_root_mm: float
    tapping_drill_mm: float
    hole_minor_mm: tuple[float, float]
    """Least and greatest minor diameter of the tapped hole."""
    tap: str
    """``drawer``, ``usual`` or ``special``."""
    cut_by: str
    """``die from the drawer``, ``single point`` or ``die or single point`` for the bush."""
    left_hand: bool
    estimated: tuple[str, ...]
    """Sizes for which the standard gives no limit."""

    def to_dict(self) -> Json:
        """Plain data, lengths in mm to 0.001."""
        return {
            "designation": self.designation,
            "system": self.system,
            "nominal_major_mm": _round(self.nominal_major_mm),
            "major_mm": _round(self.major_mm),
            "pitch_mm": _round(self.pitch_mm, 5),
            "thread_angle_deg": _round(self.thread_angle_deg),
            "least_root_mm": _round(self.least_root_mm),
            "tapping_drill_mm": _round(self.tapping_drill_mm),
            "hole_minor_mm": [_round(size) for size in self.hole_minor_mm],
            "tap": self.tap,
            "cut_by": self.cut_by,
            "left_hand": self.left_hand,
            "estimated": list(self.estimated),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Bush:
    """The bush to turn."""

    outer_thread: OuterThread
    wall_mm: float
    least_wall_mm: float
    length_mm: float
    outer_engaged_mm: float
    inner_engaged_mm: float
    material: str
    inner_greatest_major_mm: float
    inner_tapping_drill_mm: float

    def to_dict(self) -> Json:
        """Plain data, lengths in mm to 0.001."""
        return {
            "outer_thread": self.outer_thread.to_dict(),
            "wall_mm": _round(self.wall_mm),
            "least_wall_mm": _round(self.least_wall_mm),
            "length_mm": _round(self.length_mm),
            "outer_engaged_mm": _round(self.outer_engaged_mm),
            "inner_engaged_mm": _round(self.inner_engaged_mm),
            "material": self.material,
            "inner_greatest_major_mm": _round(self.inner_greatest_major_mm),
            "inner_tapping_drill_mm": _round(self.inner_tapping_drill_mm),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """A thread that was not picked: either refused, or admitted and what it loses by."""

    designation: str
    wall_mm: float
    margin: float
    refused_because: str | None = None
    loses_by: str | None = None
    relief: str | None = None
    """What would let it in, where it is refused at the worst limits alone."""

    def to_dict(self) -> Json:
        """Plain data; only the reason that applies."""
        reason = (
            {"loses_by": self.loses_by}
            if self.refused_because is None
            else {"refused_because": self.refused_because}
        )
        return {
            "designation": self.designation,
            "wall_mm": _round(self.wall_mm),
            "margin": _round(self.margin, 2),
            **reason,
            **({} if self.relief is None else {"relief": self.relief}),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class BushPlan:
    """What to make, what it carries, and what else was looked at.

    ``holds`` is None and ``verdict`` "no verdict" where no strength may be assumed or the use is one
    that no calculation here may bless.
    """

    inner_thread: str
    parent: str
    grade: str
    depth_mm: float
    edge_mm: float | None
    bush: Bush
    loads: Loads
    required_strip_kN: float
    margin: float
    verdict: Verdict
    because: str
    allowed_clamp_kN: float | None
    boss_hoop_MPa: float | None
    alternatives: tuple[Alternative, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    work: OuterWork
    corrected: CorrectedLoads
    """The strip loads with their corrections; ``loads`` are without."""
    torque: ClampTorque | None
    """Of the greatest clamp load."""
    front: Front
    torque_asked: ClampTorque | None = None
    """Of the clamp load that was asked for, at most the greatest."""
    making: Making | None = None
    """How it is placed, made and fixed; None until that is worked up."""
    schema_version: int = SCHEMA_VERSION

    @property
    def holds(self) -> bool | None:
        """Whether every strip outlasts the load; None where no verdict is given."""
        return None if self.verdict == "no verdict" else self.verdict == "holds"

    def _repr_html_(self) -> str:
        """The plan as a table, for a notebook."""
        from threadwright.repair.plan_html import bush_plan_html

        return bush_plan_html(self)

    def to_dict(self) -> Json:
        """Plain data for JSON: lengths in mm, loads in kN."""
        return {
            "schema_version": self.schema_version,
            "inner_thread": self.inner_thread,
            "parent": self.parent,
            "bolt_grade": self.grade,
            "depth_mm": _round(self.depth_mm),
            "edge_mm": _round(self.edge_mm),
            "bush": self.bush.to_dict(),
            "loads_kN": self.loads.to_dict(),
            "required_strip_kN": _round(self.required_strip_kN, 2),
            "margin": _round(self.margin, 2),
            "verdict": self.verdict,
            "holds": self.holds,
            "because": self.because,
            "allowed_clamp_kN": _round(self.allowed_clamp_kN, 2),
            "boss_hoop_MPa": _round(self.boss_hoop_MPa, 1),
            "alternatives": [one.to_dict() for one in self.alternatives],
            "assumptions": list(self.assumptions),
            "cautions": list(self.cautions),
            "outer_work": self.work.to_dict(),
            "loads_corrected_kN": self.corrected.to_dict(),
            "torque": None if self.torque is None else self.torque.to_dict(),
            "torque_asked": None if self.torque_asked is None else self.torque_asked.to_dict(),
            "pareto": self.front.to_dict(),
            **({} if self.making is None else self.making.to_dict()),
        }
