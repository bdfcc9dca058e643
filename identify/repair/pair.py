"""One pair of threads, inner and outer, with its root and hole given: can the bush be made, what is least."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.engagement import percent_engagement
from threadwright.repair.candidates import engaged_length
from threadwright.repair.strength import bush_loads
from threadwright.repair.wall import least_wall, worst_sizes
from threadwright.tables.errors import JobError
from threadwright.tables.materials import find_material
from threadwright.tables.screw_grades import find_grade

if TYPE_CHECKING:
    from threadwright.repair.strength import Loads
    from threadwright.repair.wall import WorstSizes
    from threadwright.tables.thread import Thread

__all__ = ["PairCheck", "check_pair"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PairCheck:
    """What one pair of threads leaves and carries."""

    wall_mm: float
    """From the root to the *basic* inner major diameter, as documents of ready-made bushes print it."""
    wall_worst_mm: float
    """From the root to the greatest inner major diameter."""
    least_wall_mm: float
    thread_left_percent: tuple[float, float]
    """Depth of the thread in the part at the largest and the smallest hole, in per cent of 5H/8."""
    loads: Loads
    can_be_made: bool
    because: str

    def to_dict(self) -> dict[str, object]:
        """Plain data: mm, kN."""
        return {
            "wall_mm": round(self.wall_mm, 3),
            "wall_worst_mm": round(self.wall_worst_mm, 3),
            "least_wall_mm": round(self.least_wall_mm, 3),
            "thread_left_percent": [round(value, 1) for value in self.thread_left_percent],
            "loads_kN": self.loads.to_dict(),
            "can_be_made": self.can_be_made,
            "because": self.because,
        }


def check_pair(
    inner: Thread,
    outer: Thread,
    *,
    length_mm: float,
    parent: str,
    root_mm: float | None = None,
    hole_mm: tuple[float, float] | None = None,
    bush_material: str = "heat-treated steel",
    bolt_grade: str = "8.8",
) -> PairCheck:
    """Check one pair of threads as a bush, with the root of the bush and the bored hole as they are given.

    Parameters
    ----------
    inner, outer : Thread
        Threads of the bush.
    length_mm : float
        Length of the bush. [mm]
    parent : str
        Metal of the part.
    root_mm : float, optional
        Least root diameter to which the outer thread is held; else the standard's. [mm]
    hole_mm : (float, float), optional
        Least and greatest bored hole before tapping; else the standard's minor limits, opened as far
        as the root needs to clear. [mm]
    bush_material, bolt_grade : str
        Metal of the bush and grade of the screw.

    Returns
    -------
    PairCheck

    Raises
    ------
    JobError
        If a size makes no sense, or the root is larger than the hole.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> one = check_pair(find_thread("5/16-18 UNC"), find_thread("7/16-14 UNC"), length_mm=11.1,
    ...                  parent="LM25-TF", root_mm=0.375 * 25.4, hole_mm=(0.396 * 25.4, 0.401 * 25.4))
    >>> round(one.wall_mm, 2), one.can_be_made, one.loads.limited_by
    (0.79, True, 'screw')
    """
    sizes, inner_sizes = _as_given(outer, length_mm, root_mm, hole_mm), worst_sizes(inner)
    metal = find_material(bush_material)
    loads = bush_loads(
        outer=outer,
        outer_sizes=sizes,
        outer_engaged_mm=engaged_length(length_mm, pitch_mm=outer.pitch_mm),
        inner=inner,
        inner_sizes=inner_sizes,
        inner_engaged_mm=engaged_length(length_mm, pitch_mm=inner.pitch_mm),
        parent=find_material(parent),
        bush=metal,
        grade=find_grade(bolt_grade),
    )
    wall = (sizes.screw_least_root - inner.major_basic * inner.to_mm) / 2
    wanted = least_wall(metal, inner_pitch_mm=inner.pitch_mm)
    left = (_left(outer, sizes.hole_greatest_minor), _left(outer, sizes.hole_least_minor))
    made = wall >= wanted - 1e-9 and left[0] > 0 and loads.least_strip > 0
    words = "is enough" if wall >= wanted - 1e-9 else "is too little"
    return PairCheck(
        wall_mm=wall,
        wall_worst_mm=(sizes.screw_least_root - inner_sizes.hole_greatest_major) / 2,
        least_wall_mm=wanted,
        thread_left_percent=left,
        loads=loads,
        can_be_made=made,
        because=(
            f"wall {wall:.2f} mm, {wanted:.2f} mm wanted in {metal.name}, {words}; {left[0]:.0f} to "
            f"{left[1]:.0f} % of the thread's depth is left in the part; the least strength is "
            f"{loads.limited_by.replace('_', ' ')}"
        ),
    )


def _as_given(
    outer: Thread, length_mm: float, root_mm: float | None, hole_mm: tuple[float, float] | None
) -> WorstSizes:
    """Worst sizes of the outer thread, with root and hole replaced by those that are given."""
    for name, value in (("length", length_mm), ("root", root_mm), ("hole", hole_mm and min(hole_mm))):
        if value is not None and not (math.isfinite(value) and value > 0):
            raise JobError(f"{name}: {value} is not a size; write it like 9.5, above 0")
    sizes = worst_sizes(outer)
    if root_mm is not None:
        opened = max(root_mm + judgement.ROOT_CLEARANCE_MM - sizes.hole_least_minor, 0.0)
        sizes = replace(
            sizes,
            screw_least_root=root_mm,
            hole_least_minor=sizes.hole_least_minor + opened,
            hole_greatest_minor=sizes.hole_greatest_minor + opened,
        )
    if hole_mm is not None:
        sizes = replace(sizes, hole_least_minor=min(hole_mm), hole_greatest_minor=max(hole_mm))
    if sizes.screw_least_root >= sizes.hole_least_minor:
        raise JobError(
            f"root: {sizes.screw_least_root:.3f} mm does not clear the hole of "
            f"{sizes.hole_least_minor:.3f} mm; give a smaller root or a larger hole"
        )
    return sizes


def _left(outer: Thread, bore_mm: float) -> float:
    """Depth of thread that a bored hole leaves in the part. [% of 5H/8]"""
    return float(
        percent_engagement(
            external_major=outer.major_basic * outer.to_mm,
            internal_minor=bore_mm,
            pitch=outer.pitch_mm,
            depth_over_pitch=outer.form.depth_over_pitch,
        )
    )
