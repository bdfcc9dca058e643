"""Where the bush's two threads begin and end, the relief between collar and thread, and the neck there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from threadwright import judgement
from threadwright.tables.errors import JobError
from threadwright.tables.undercuts import undercut as table_undercut
from threadwright.tables.undercuts import undercut_pitches

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.repair.spigot import Bore, Limits
    from threadwright.tables.thread import Thread

__all__ = [
    "Relief",
    "Zones",
    "by_standard",
    "net_section_kN",
    "relieve",
    "thread_zones",
    "tube_shear_kN",
    "undercut_width",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """How the outer thread ends below a collar: both ways, and the one taken. Lengths in mm."""

    chosen: Literal["undercut", "mouth"]
    width: float
    """Of the undercut, or depth of the relief at the hole's mouth below the counterbore."""
    undercut: Limits
    """Limits of the undercut's diameter on the bush."""
    mouth: Limits
    """Limits of the relief's diameter in the hole."""
    neck_wall: float
    """Least wall between the neck and what is bored inside it, as chosen."""
    says: str

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""
        return {
            "chosen": self.chosen,
            "width_mm": round(self.width, 3),
            "undercut_diameter_mm": [round(value, 3) for value in self.undercut],
            "mouth_diameter_mm": [round(value, 3) for value in self.mouth],
            "neck_wall_mm": round(self.neck_wall, 3),
            "says": self.says,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Zones:
    """Both threads along the bush, from the part's face down. [mm]"""

    outer: Limits
    inner: Limits
    outer_full_mm: float
    inner_full_mm: float
    """Full threads: lead, chamfer and countersink taken off."""
    bore: Bore | None
    """Clearance bore above the inner thread; None where that begins at the face."""
    bore_end: float
    """Depth of the clearance bore below the part's face."""
    inside: bool
    """Whether the engaged screw lies inside the outer-threaded length, so that no section is pulled apart."""
    net_section_kN: float | None = None
    """Load at which the neck tears, where the screw also engages above the outer thread."""

    def to_dict(self) -> dict[str, object]:
        """Plain data, to 0.001 mm."""
        return {
            "outer_thread_mm": [round(value, 3) for value in self.outer],
            "inner_thread_mm": [round(value, 3) for value in self.inner],
            "outer_full_mm": round(self.outer_full_mm, 3),
            "inner_full_mm": round(self.inner_full_mm, 3),
            "clearance_bore_to_mm": None if self.bore is None else round(self.bore_end, 3),
            "screw_inside_outer_thread": self.inside,
            "net_section_kN": None if self.net_section_kN is None else round(self.net_section_kN, 2),
        }


def net_section_kN(*, neck_mm: float, inner_major_mm: float, tensile_MPa: float) -> float:
    r"""Load at which a bush tears between its two threads.

    .. math:: F = R_m \frac{\pi}{4} (d_n^2 - D_i^2)

    Parameters
    ----------
    neck_mm : float
        Least outside diameter there. [mm]
    inner_major_mm : float
        Greatest major diameter of the inner thread. [mm]
    tensile_MPa : float
        Tensile strength of the bush. [MPa]

    Returns
    -------
    float
        Load, nothing where no metal is left. [kN]

    Examples
    --------
    >>> round(net_section_kN(neck_mm=9.8, inner_major_mm=8.34, tensile_MPa=400.0), 1)
    8.3
    """
    return max(tensile_MPa * math.pi / 4 * (neck_mm**2 - inner_major_mm**2), 0.0) / 1000


def tube_shear_kN(*, outside_mm: float, inside_mm: float, shear_MPa: float) -> float:
    r"""Load across a tube or spigot at which it shears off.

    .. math:: F = \tau \frac{\pi}{4} (D^2 - d^2)

    Parameters
    ----------
    outside_mm, inside_mm : float
        Outside diameter, and diameter of its bore. [mm]
    shear_MPa : float
        Shear strength. [MPa]

    Returns
    -------
    float
        Load. [kN]

    Examples
    --------
    >>> round(tube_shear_kN(outside_mm=10.0, inside_mm=6.6, shear_MPa=240.0), 1)
    10.6
    """
    return shear_MPa * math.pi / 4 * (outside_mm**2 - inside_mm**2) / 1000


def undercut_width(pitch_mm: float, *, by_die: bool = False) -> float:
    """Width of the undercut of a bush; judgement. [mm]

    Examples
    --------
    >>> undercut_width(1.5), undercut_width(1.5, by_die=True)
    (2.25, 3.0)
    """
    return (judgement.DIE_UNDERCUT_PITCHES if by_die else judgement.UNDERCUT_PITCHES) * pitch_mm


def by_standard(outer: Thread, relief: Relief, *, within_mm: float) -> str:
    """What the standard's undercut would be, beside the one of this bush.

    Parameters
    ----------
    outer : Thread
        Outer thread of the bush.
    relief : Relief
        The relief as it was laid out.
    within_mm : float
        Greatest diameter of what is bored inside it. [mm]

    Returns
    -------
    str
        A sentence; an inch pitch goes by the next larger one of the table.

    References
    ----------
    DIN 76-1:2016-08, Table 1, short form.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> relief = Relief(chosen="undercut", width=2.25, undercut=(11.78, 11.83), mouth=(14.1, 14.3),
    ...                 neck_wall=0.7, says="")
    >>> by_standard(find_thread("M14x1.5"), relief, within_mm=10.4)[:62]
    'The short undercut of DIN 76-1 (pitch 1.5) is 11.70 mm across,'
    """
    larger = [pitch for pitch in undercut_pitches("external") if pitch >= outer.pitch_mm - 1e-6]
    if not larger:
        return "DIN 76-1 gives no undercut for so coarse a pitch."
    groove = table_undercut("external", min(larger), "short")
    across = outer.major_basic * outer.to_mm + groove.diameter_offset
    more = max(groove.greatest_width - relief.width, 0.0)
    neck = (across - within_mm) / 2
    room = (
        f"its neck of {max(neck, 0.0):.2f} mm is too thin here"
        if neck < judgement.LEAST_NECK_WALL_MM
        else "its neck would do"
    )
    return (
        f"The short undercut of DIN 76-1 (pitch {groove.pitch:g}) is {across:.2f} mm across, up to "
        f"{groove.greatest_width:g} mm wide, radius {groove.radius:g} mm: {more:.2f} mm less thread, and "
        f"{room}."
    )


def relieve(
    *, pitch_mm: float, least_root_mm: float, major_mm: float, by_die: bool
) -> tuple[float, Limits, Limits]:
    """Width of the relief below a collar, and limits of the undercut and of the relief at the hole's mouth.

    Parameters
    ----------
    pitch_mm, least_root_mm, major_mm : float
        Of the outer thread; the greatest major diameter. [mm]
    by_die : bool
        A die needs more room than a single point.

    Returns
    -------
    tuple
        Width, undercut on the bush, relief in the hole. [mm]

    Examples
    --------
    >>> relieve(pitch_mm=1.5, least_root_mm=9.93, major_mm=11.968, by_die=False)
    (2.25, (9.78, 9.83), (12.068, 12.268))
    """
    groove = least_root_mm - judgement.UNDERCUT_BELOW_ROOT_MM
    over = judgement.COUNTERBORE_OVER_MM
    return (
        round(undercut_width(pitch_mm, by_die=by_die), 6),
        (round(groove - judgement.LENGTH_TOLERANCE_MM, 6), round(groove, 6)),
        (round(major_mm + over, 6), round(major_mm + 3 * over, 6)),
    )


def _full(start: float, end: float, lost: float) -> float:
    return max(end - start - lost, 0.0)


def _outer_full(collar_mm: float, start: float, length_mm: float, pitch_mm: float) -> float:
    """Full outer thread below the collar and its relief, refused if it makes no joint. [mm]"""
    full = _full(start, length_mm, pitch_mm)
    wanted = judgement.LEAST_FULL_THREADS * pitch_mm
    if full < wanted - 1e-9:
        raise JobError(
            f"depth: below a collar of {collar_mm:g} mm and its relief {full:.1f} mm of full thread is left, "
            f"{wanted:.1f} mm wanted; make the collar shorter, the hole deeper, or take a finer outer thread"
        )
    return full


def _leaves_a_neck(outside: float, within: float) -> bool:
    return (outside - within) / 2 >= judgement.LEAST_NECK_WALL_MM - 1e-9


def _neck_load(neck: float, inner_major: float, tensile_MPa: float, required_kN: float) -> float:
    """Load at which the neck tears, refused if that is less than the joint asks for. [kN]"""
    net = net_section_kN(neck_mm=neck, inner_major_mm=inner_major, tensile_MPa=tensile_MPa)
    if net < required_kN:
        raise JobError(
            "net section: the screw must engage above the outer thread, and the neck there tears at "
            f"{net:.1f} kN, {required_kN:.1f} kN wanted; take a larger outer thread, a deeper hole or a "
            "shorter collar"
        )
    return net


def thread_zones(
    *,
    collar_mm: float,
    length_mm: float,
    outer_pitch_mm: float,
    inner_pitch_mm: float,
    least_root_mm: float,
    outer_major_mm: float,
    inner_major_mm: float,
    bores: Sequence[Bore],
    by_die: bool,
    inner_needed_mm: float,
    tensile_MPa: float,
    required_kN: float,
) -> tuple[Zones, Relief]:
    """Lay out the threads of a bush with a collar at the face.

    The inner thread begins where the outer thread does, so that the screw pulls inside the outer-threaded
    length. Where that leaves too little inner thread, or too thin a neck, it begins just below the
    collar, and the neck must stand the load.

    Parameters
    ----------
    collar_mm, length_mm : float
        Collar, and the bush below the part's face. [mm]
    outer_pitch_mm, inner_pitch_mm, least_root_mm, outer_major_mm, inner_major_mm : float
        Of the two threads; the inner major diameter is its greatest. [mm]
    bores : sequence of Bore
        Clearance bores that the spigot or collar allows, the easiest first.
    by_die : bool
        Whether the outer thread is cut with a die.
    inner_needed_mm : float
        Full inner thread that the load needs. [mm]
    tensile_MPa : float
        Tensile strength of the bush. [MPa]
    required_kN : float
        Load that every part must stand. [kN]

    Raises
    ------
    JobError
        If no thread is left below the collar, or the neck would tear.
    """
    width, undercut, mouth = relieve(
        pitch_mm=outer_pitch_mm, least_root_mm=least_root_mm, major_mm=outer_major_mm, by_die=by_die
    )
    start = collar_mm + width
    outer_full = _outer_full(collar_mm, start, length_mm, outer_pitch_mm)
    lost = judgement.LOST_PITCHES * inner_pitch_mm
    clear = [bore for bore in bores if _leaves_a_neck(undercut[0], bore.high)]
    inside = bool(clear) and _full(start, length_mm, lost) >= inner_needed_mm - 1e-9
    bore = clear[0] if inside else bores[0]
    inner_start = start if inside else collar_mm
    within = bore.high if inside else inner_major_mm
    cut = _leaves_a_neck(undercut[0], within)
    neck = undercut[0] if cut else least_root_mm
    net = None if inside else _neck_load(neck, inner_major_mm, tensile_MPa, required_kN)
    zones = Zones(
        outer=(start, length_mm),
        inner=(inner_start, length_mm),
        outer_full_mm=outer_full,
        inner_full_mm=_full(inner_start, length_mm, lost),
        bore=bore,
        bore_end=inner_start,
        inside=inside,
        net_section_kN=net,
    )
    relief = Relief(
        chosen="undercut" if cut else "mouth",
        width=width,
        undercut=undercut,
        mouth=mouth,
        neck_wall=(neck - within) / 2,
        says=_says(width, undercut, mouth, cut=cut),
    )
    return zones, relief


def _says(width: float, undercut: Limits, mouth: Limits, *, cut: bool) -> str:
    groove = f"an undercut {width:.2f} mm wide and {undercut[1]:.2f} mm across in the bush"
    hole = (
        f"a relief {mouth[0]:.2f} mm across and {width:.2f} mm deep at the hole's mouth, below the "
        "counterbore"
    )
    if cut:
        return f"Relief below the collar: {groove} (taken here); or {hole}, with a thicker neck."
    return f"Relief below the collar: {hole} (taken here); {groove} would leave the neck too thin."
