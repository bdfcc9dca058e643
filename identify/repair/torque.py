"""Torques: of tightening a screw, of cutting a thread, and the grip that cutting asks of a chuck."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.tables.cutting_forces import CUTTING_FORCES

if TYPE_CHECKING:
    from threadwright.tables.materials import Material
    from threadwright.tables.thread import Thread

__all__ = ["ClampTorque", "CuttingTorque", "clamp_torque", "cutting_torque", "jaw_grip", "torque_factor"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampTorque:
    """Torque that gives a clamp load, dry and oiled. [kN, N m]"""

    clamp_kN: float
    dry_Nm: float
    oiled_Nm: float

    def to_dict(self) -> dict[str, object]:
        """Plain data, torques to 0.1 N m."""
        return {
            "clamp_kN": round(self.clamp_kN, 2),
            "dry_Nm": round(self.dry_Nm, 1),
            "oiled_Nm": round(self.oiled_Nm, 1),
            "scatter_percent": judgement.TORQUE_SCATTER_PERCENT,
            "basis": "T = K d F, K 0.20 dry and 0.15 oiled, from memory",
        }


def clamp_torque(clamp_kN: float, *, diameter_mm: float) -> ClampTorque:
    r"""Torque that gives a clamp load, with a dry and with an oiled thread and seat.

    .. math:: T = K d F

    Parameters
    ----------
    clamp_kN : float
        Clamp load, F. [kN]
    diameter_mm : float
        Nominal diameter of the screw, d. [mm]

    Returns
    -------
    ClampTorque
        K is 0.20 dry and 0.15 oiled. [N m]

    References
    ----------
    Common handbook values, from memory; NASA TM-106943 takes a scatter of 25 % for a torque wrench.

    Examples
    --------
    >>> one = clamp_torque(8.0, diameter_mm=8.0)
    >>> one.dry_Nm, one.oiled_Nm
    (12.8, 9.6)
    """
    dry, oiled = (factor * diameter_mm * clamp_kN for factor in judgement.TORQUE_FACTORS)
    return ClampTorque(clamp_kN=clamp_kN, dry_Nm=round(dry, 9), oiled_Nm=round(oiled, 9))


def torque_factor(thread: Thread, *, friction: float) -> float:
    r"""Torque over clamp load and diameter, with the same friction in the thread and under the head.

    .. math:: K = \frac{d_2}{2 d} \frac{\tan\psi + \mu \sec\alpha}{1 - \mu \tan\psi \sec\alpha} + 0.625 \mu

    Parameters
    ----------
    thread : Thread
        Thread of the screw; any flank angle.
    friction : float
        Coefficient of friction. [-]

    Returns
    -------
    float
        K. [-]

    References
    ----------
    NASA TM-106943 (1995), equation 2.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(torque_factor(find_thread("M10"), friction=0.15), 3)
    0.197
    """
    pitch_diameter = thread.pitch_diameter_basic * thread.to_mm
    slope = thread.lead_mm / (math.pi * pitch_diameter)
    rub = friction / math.cos(math.radians(thread.form.flank_angle))
    arm = pitch_diameter / (2 * thread.major_basic * thread.to_mm)
    return arm * (slope + rub) / (1 - slope * rub) + 0.625 * friction


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingTorque:
    """Torque of cutting one thread with a tap or die. [N m]"""

    sharp_Nm: float
    worn_Nm: float
    estimated: str = ""
    """The metal whose cutting force was taken, where none was read for this one."""


def cutting_torque(*, pitch_mm: float, diameter_mm: float, metal: Material) -> CuttingTorque:
    r"""Torque of a tap or die: it grows with the square of the pitch.

    .. math:: T = \frac{k_c P^2 D}{8000}

    Parameters
    ----------
    pitch_mm, diameter_mm : float
        Pitch and major diameter of the thread. [mm]
    metal : Material
        The metal that is cut.

    Returns
    -------
    CuttingTorque
        With a sharp tool, and with a worn one. [N m]

    References
    ----------
    Formula and k_c of :data:`threadwright.tables.cutting_forces.CUTTING_FORCES`; a worn tool: from memory.

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> steel = find_material("free-cutting steel")
    >>> round(cutting_torque(pitch_mm=1.25, diameter_mm=8.0, metal=steel).sharp_Nm, 1)
    3.6
    """
    force = CUTTING_FORCES[metal.kind]
    sharp = force.newtons_per_mm2 * pitch_mm**2 * diameter_mm / 8000
    return CuttingTorque(
        sharp_Nm=sharp, worn_Nm=judgement.WORN_TOOL_FACTOR * sharp, estimated=force.estimated
    )


def jaw_grip(torque_Nm: float, *, held_diameter_mm: float) -> float:
    r"""Force that all jaws together must press with so that the work does not turn in them.

    .. math:: F = \frac{2 T}{\mu D}

    Parameters
    ----------
    torque_Nm : float
        Torque of the cut. [N m]
    held_diameter_mm : float
        Diameter at which the work is held. [mm]

    Returns
    -------
    float
        Sum of the jaw forces. [kN]

    References
    ----------
    Friction of hardened jaws on bright steel: common practice, no source.

    Examples
    --------
    >>> round(jaw_grip(6.0, held_diameter_mm=16.0), 2)
    5.0
    """
    return 2 * torque_Nm / (judgement.JAW_FRICTION * held_diameter_mm)
