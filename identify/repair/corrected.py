"""Strip loads of a bush with the corrections for bell mouth, dilation and the bending of the threads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.engagement import internal_shear_area
from threadwright.repair.corrections import (
    bell_mouth_area,
    dilation_factor,
    screw_thread_factor,
    strip_ratio,
    tapped_thread_factor,
)

if TYPE_CHECKING:
    from threadwright.repair.candidates import Candidate, Case
    from threadwright.repair.wall import WorstSizes
    from threadwright.tables.thread import Thread

__all__ = ["CorrectedLoads", "PairStrips", "corrected_loads", "corrected_strips"]

_LEAST_FACTOR = 0.897  # of C2 and C3 in their ranges, ISO/TR 16224


@dataclass(frozen=True, slots=True, kw_only=True)
class PairStrips:
    """Corrected strip loads of one screw thread in one tapped thread. [kN]"""

    internal: float
    external: float
    ratio: float
    """Strip ratio, from shear strengths. [-]"""
    outside_range: bool
    """True where the source gives no factor for the ratio, and its least one, 0.897, is taken."""


def corrected_strips(
    *,
    thread: Thread,
    sizes: WorstSizes,
    length_mm: float,
    internal_shear_MPa: float,
    external_shear_MPa: float,
    width_over_major: float,
) -> PairStrips | None:
    r"""Strip loads of both threads of a pair, corrected.

    .. math:: F_n = \tau_n A_{Sn} C_1 C_3, \qquad F_s = \tau_s A'_{Ss} C_1 C_2

    Parameters
    ----------
    thread : Thread
        The thread that screw and hole share.
    sizes : WorstSizes
        Its worst limits.
    length_mm : float
        Length of full engaged thread. [mm]
    internal_shear_MPa, external_shear_MPa : float
        Shear strengths of the tapped metal and of the screw. [MPa]
    width_over_major : float
        Metal round the hole: its outside diameter over the major diameter; infinite if not known. [-]

    Returns
    -------
    PairStrips or None
        None where the metal round the hole is thinner than the source allows (ratio below 1.4).

    References
    ----------
    ISO/TR 16224:2012, 4.2.3, after SAE 770420, with shear strengths in the strip ratio as VDI 2230-1 takes
    them; read second-hand.
    """
    dilation = 1.0 if math.isinf(width_over_major) else float(dilation_factor(width_over_major))
    if math.isnan(dilation):
        return None
    shared = {"length": length_mm, "pitch": thread.pitch_mm, "flank_angle": thread.form.flank_angle}
    hole = float(
        internal_shear_area(
            external_major=sizes.screw_least_major,
            internal_pitch_diameter=sizes.hole_greatest_pitch_diameter,
            **shared,
        )
    )
    screw = float(
        bell_mouth_area(
            internal_minor=sizes.hole_greatest_minor,
            external_pitch_diameter=sizes.screw_least_pitch_diameter,
            **shared,
        )
    )
    ratio = (
        float(
            strip_ratio(
                internal_strength=internal_shear_MPa,
                internal_area=hole,
                external_strength=external_shear_MPa,
                external_area=screw,
            )
        )
        if screw > 0
        else math.inf
    )
    known = math.isfinite(ratio)
    factors = (
        [float(tapped_thread_factor(ratio)), float(screw_thread_factor(ratio))] if known else [math.nan] * 2
    )
    kept = [_LEAST_FACTOR if math.isnan(factor) else factor for factor in factors]
    return PairStrips(
        internal=internal_shear_MPa * hole * dilation * kept[0] / 1000,
        external=external_shear_MPa * screw * dilation * kept[1] / 1000,
        ratio=ratio,
        outside_range=any(math.isnan(factor) for factor in factors),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectedLoads:
    """Corrected strip loads of a bush; None where the model gives none. [kN]"""

    parent_strip: float | None
    bush_outer_strip: float | None
    bush_inner_strip: float | None
    notes: tuple[str, ...] = ()

    @property
    def least(self) -> float | None:
        """The least of those that are known. [kN]"""
        known = [
            load
            for load in (self.parent_strip, self.bush_outer_strip, self.bush_inner_strip)
            if load is not None
        ]
        return min(known, default=None)

    def to_dict(self) -> dict[str, object]:
        """Loads in kN, rounded to 0.01."""

        def place(value: float | None) -> float | None:
            return None if value is None else round(value, 2)

        return {
            "parent_strip": place(self.parent_strip),
            "bush_outer_strip": place(self.bush_outer_strip),
            "bush_inner_strip": place(self.bush_inner_strip),
            "notes": list(self.notes),
        }


def corrected_loads(case: Case, one: Candidate) -> CorrectedLoads:
    """Correct the strip loads of one bush.

    Parameters
    ----------
    case : Case
        The hole.
    one : Candidate
        The outer thread.

    Returns
    -------
    CorrectedLoads
        Without the parent's and the outer strip for a parent of no known strength.
    """
    width = math.inf if case.edge_mm is None else 2 * case.edge_mm
    notes: list[str] = []
    bush_shear = case.bush.shear or 0.0
    outer = (
        None
        if case.parent.shear is None
        else corrected_strips(
            thread=one.thread,
            sizes=one.sizes,
            length_mm=one.engaged_mm,
            internal_shear_MPa=case.parent.shear,
            external_shear_MPa=bush_shear,
            width_over_major=width / one.major_mm,
        )
    )
    inner_major = case.inner.major_basic * case.inner.to_mm
    inner = corrected_strips(
        thread=case.inner,
        sizes=case.inner_sizes,
        length_mm=one.inner_engaged_mm,
        internal_shear_MPa=bush_shear,
        external_shear_MPa=judgement.SCREW_SHEAR_RATIO * case.grade.tensile_MPa(inner_major),
        width_over_major=width / inner_major,
    )
    for label, pair in (("outer", outer), ("inner", inner)):
        if pair is not None and pair.outside_range:
            notes.append(
                f"{label} thread: strip ratio {pair.ratio:.2f} lies outside the range of the source; its "
                f"least factor, {_LEAST_FACTOR}, is taken"
            )
    return CorrectedLoads(
        parent_strip=None if outer is None else outer.internal,
        bush_outer_strip=None if outer is None else outer.external,
        bush_inner_strip=None if inner is None else inner.internal,
        notes=tuple(notes),
    )
