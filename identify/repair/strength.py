"""What breaks first: the screw, the parent metal, the bush outside or the bush inside."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright.engagement import external_shear_area, internal_shear_area, tensile_stress_area

if TYPE_CHECKING:
    from threadwright.repair.wall import WorstSizes
    from threadwright.tables.materials import Material
    from threadwright.tables.screw_grades import ScrewGrade
    from threadwright.tables.thread import Thread

__all__ = ["Loads", "boss_hoop_stress", "bush_loads", "screw_stress_area"]

_ISO_ROOT = 1.226869  # d3 = d - 1.226869 P, ISO 724 and ISO 898-1
_UN_ROOT = 1.299038  # d - 3H/2: makes d - 0.974279 P the mean, FED-STD-H28/2B (1b)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """Loads at which each part of a bushed joint gives way; None: no strength may be assumed. [kN]"""

    screw: float
    parent_strip: float | None
    bush_outer_strip: float
    bush_inner_strip: float

    def strips(self) -> dict[str, float]:
        """The strip loads that are known, by name."""
        known = {"bush_outer_strip": self.bush_outer_strip, "bush_inner_strip": self.bush_inner_strip}
        return known if self.parent_strip is None else {"parent_strip": self.parent_strip, **known}

    @property
    def weakest_strip(self) -> str:
        """Name of the least strip load."""
        return min(self.strips().items(), key=lambda item: item[1])[0]

    @property
    def least_strip(self) -> float:
        """The least strip load. [kN]"""
        return min(self.strips().values())

    @property
    def limited_by(self) -> str:
        """Name of the least load of all; the screw where it is no stronger than a strip."""
        return "screw" if self.screw <= self.least_strip else self.weakest_strip

    def to_dict(self) -> dict[str, float | str | None]:
        """Loads in kN, rounded to 0.01, and the name of the least."""
        return {
            "screw": round(self.screw, 2),
            "parent_strip": None if self.parent_strip is None else round(self.parent_strip, 2),
            "bush_outer_strip": round(self.bush_outer_strip, 2),
            "bush_inner_strip": round(self.bush_inner_strip, 2),
            "limited_by": self.limited_by,
        }


def screw_stress_area(thread: Thread) -> float:
    """Tensile stress area of the screw of one thread.

    Parameters
    ----------
    thread : Thread
        Any thread of the tables.

    Returns
    -------
    float
        Area on the mean of the basic pitch and root diameters. [mm2]

    References
    ----------
    ISO 898-1 (metric); FED-STD-H28/2B Table II.B.1 (inch, 60 deg); other forms: the mean of the
    effective and core diameters.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(screw_stress_area(find_thread("M8x1.25")), 1)
    36.6
    """
    if math.isclose(thread.form.thread_angle, 60.0) and thread.form.crest_end == "flat":
        factor = _ISO_ROOT if thread.unit == "mm" else _UN_ROOT
        root = min(thread.major_basic - factor * thread.pitch, thread.minor_basic)  # sharp V goes deeper
    else:
        root = thread.minor_basic
    return float(
        tensile_stress_area(
            pitch_diameter=thread.pitch_diameter_basic * thread.to_mm, root_diameter=root * thread.to_mm
        )
    )


def bush_loads(
    *,
    outer: Thread,
    outer_sizes: WorstSizes,
    outer_engaged_mm: float,
    inner: Thread,
    inner_sizes: WorstSizes,
    inner_engaged_mm: float,
    parent: Material,
    bush: Material,
    grade: ScrewGrade,
) -> Loads:
    """Breaking load of the screw and the three strip loads of a bush, every thread at its worst limits.

    Parameters
    ----------
    outer, inner : Thread
        The bush's two threads.
    outer_sizes, inner_sizes : WorstSizes
        Their worst limits.
    outer_engaged_mm, inner_engaged_mm : float
        Lengths of full engaged thread. [mm]
    parent, bush : Material
        Metals; a parent without a strength gives no parent strip load.
    grade : ScrewGrade
        Grade of the screw.

    Returns
    -------
    Loads
        Shear strength times shear area, without correction for bell mouth or dilation. [kN]

    References
    ----------
    FED-STD-H28/2B (1991), formulas (2a) and (4a), for any flank angle.
    """
    hole_area = internal_shear_area(
        length=outer_engaged_mm,
        pitch=outer.pitch_mm,
        external_major=outer_sizes.screw_least_major,
        internal_pitch_diameter=outer_sizes.hole_greatest_pitch_diameter,
        flank_angle=outer.form.flank_angle,
    )
    outside_area = external_shear_area(
        length=outer_engaged_mm,
        pitch=outer.pitch_mm,
        internal_minor=outer_sizes.hole_greatest_minor,
        external_pitch_diameter=outer_sizes.screw_least_pitch_diameter,
        flank_angle=outer.form.flank_angle,
    )
    inside_area = internal_shear_area(
        length=inner_engaged_mm,
        pitch=inner.pitch_mm,
        external_major=inner_sizes.screw_least_major,
        internal_pitch_diameter=inner_sizes.hole_greatest_pitch_diameter,
        flank_angle=inner.form.flank_angle,
    )
    bush_shear = bush.shear or 0.0
    return Loads(
        screw=grade.tensile_MPa(inner.major_basic * inner.to_mm) * screw_stress_area(inner) / 1000,
        parent_strip=None if parent.shear is None else parent.shear * float(hole_area) / 1000,
        bush_outer_strip=bush_shear * float(outside_area) / 1000,
        bush_inner_strip=bush_shear * float(inside_area) / 1000,
    )


def boss_hoop_stress(
    *, load_kN: float, pitch_diameter_mm: float, length_mm: float, flank_angle: float, boss_over_major: float
) -> float:
    r"""Hoop stress at the hole as the flanks push the boss open.

    .. math:: p = \frac{F \tan\alpha}{\pi d_2 L}, \qquad \sigma = p\,\frac{k^2 + 1}{k^2 - 1}

    Parameters
    ----------
    load_kN : float
        Axial load, F. [kN]
    pitch_diameter_mm, length_mm : float
        Pitch diameter and engaged length of the outer thread. [mm]
    flank_angle : float
        Angle of one flank. [deg]
    boss_over_major : float
        Outside diameter of the boss over the major diameter of the thread, k; above 1. [-]

    Returns
    -------
    float
        Stress. [MPa]

    References
    ----------
    Thick ring under internal pressure (Lame).

    Examples
    --------
    >>> round(boss_hoop_stress(load_kN=10.0, pitch_diameter_mm=11.0, length_mm=20.0, flank_angle=30.0,
    ...                        boss_over_major=2.0), 2)
    13.92
    """
    pressure = (
        1000 * load_kN * math.tan(math.radians(flank_angle)) / (math.pi * pitch_diameter_mm * length_mm)
    )
    square = boss_over_major**2
    return pressure * (square + 1) / (square - 1)
