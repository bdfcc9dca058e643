"""How the bush is kept from turning: retaining compound, a key pin, staking; and what the two metals do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.repair.key_pin import KeyPin, key_pin
from threadwright.repair.outer import hand
from threadwright.tables.joints import JOINTS, clearance_change, galvanic_difference

if TYPE_CHECKING:
    from threadwright.tables.materials import Material

__all__ = [
    "Compound",
    "Fixing",
    "Joint",
    "KeyPin",
    "compound",
    "fix_bush",
    "key_pin",
    "metals_warning",
    "unscrewing_torque",
    "vent_flat",
]

Json = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A bush in its hole, as far as fixing goes."""

    parent: Material
    bush: Material
    diameter_mm: float
    """Major diameter of the outer thread."""
    length_mm: float
    """Full outer thread."""
    pitch_mm: float
    screw_mm: float
    """Nominal diameter of the screw."""
    clamp_kN: float | None
    """Load the screw is tightened to; None for a thread that does not clamp."""
    wall_mm: float
    """Metal between what is bored inside and the outer major diameter."""
    gap_mm: tuple[float, float] | None = None
    """Least and greatest clearance on the pitch diameter; None where the tables give no limits."""
    blind: bool | None = None
    collar: tuple[float, float] | None = None
    """Diameter and length of a collar that a pin can bite into."""
    spigot_mm: float | None = None
    """Greatest diameter of a spigot that stands on the face: a pin is drilled beside it."""
    service_C: float | None = None
    left_hand_screw: bool = False
    outer_left_hand: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Compound:
    """What a retaining compound gives, estimated."""

    torque_Nm: tuple[float, float]
    """Breakaway torque at the low and the high end of the shear strength."""
    ratio: float | None
    """Low breakaway torque over the torque that loosens the screw; None where that is not known. [-]"""
    alone: bool
    """Whether it may be trusted without a pin: it carries the torque, and service is not hot."""
    verdict: str
    notes: tuple[str, ...]

    def to_dict(self) -> Json:
        """Plain data."""
        return {
            "breakaway_Nm": [round(value, 1) for value in self.torque_Nm],
            "over_screw_torque": None if self.ratio is None else round(self.ratio, 2),
            "alone": self.alone,
            "verdict": self.verdict,
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """All ways of fixing one bush."""

    screw_torque_Nm: float | None
    """Torque that loosens the screw; None for a thread that does not clamp."""
    compound: Compound
    key_pin: KeyPin | None
    together: str
    """Whether compound and pin hold the screw's torque, and what relieves them if not."""
    staking: str
    vent: str | None
    hand: str
    metals: tuple[str, ...]

    @property
    def undoing(self) -> str:
        """What undoing the screw asks of the bush, and which way it turns it."""
        if self.screw_torque_Nm is None:
            return f"What torque comes on the bush is not known: its thread clamps nothing. {self.hand}"
        return f"Undoing the screw may take {self.screw_torque_Nm:.1f} N m. {self.hand}"

    def to_dict(self) -> Json:
        """Plain data, torques in N m."""
        return {
            "screw_torque_Nm": None if self.screw_torque_Nm is None else round(self.screw_torque_Nm, 1),
            "compound": self.compound.to_dict(),
            "key_pin": None if self.key_pin is None else self.key_pin.to_dict(),
            "together": self.together,
            "staking": self.staking,
            "vent": self.vent,
            "hand": self.hand,
            "metals": list(self.metals),
        }


def unscrewing_torque(clamp_kN: float, *, screw_mm: float) -> float:
    r"""Torque that may come on the bush as a rusty screw is undone: that of tightening it dry.

    .. math:: T = K d F, \quad K = 0.20

    Parameters
    ----------
    clamp_kN : float
        Clamp load, F. [kN]
    screw_mm : float
        Nominal diameter of the screw, d. [mm]

    Returns
    -------
    float
        Torque. [N m]

    References
    ----------
    K of a dry steel screw: a usual handbook value; rusty service counted as the full tightening torque is
    common practice, no source.

    Examples
    --------
    >>> unscrewing_torque(8.0, screw_mm=8.0)
    12.8
    """
    return judgement.TORQUE_FACTORS[0] * screw_mm * clamp_kN


def compound(joint: Joint, *, against_Nm: float | None) -> Compound:
    r"""Breakaway torque of an anaerobic retaining compound in the thread.

    .. math:: T = \tau \, \pi d L \, d / 2

    Parameters
    ----------
    joint : Joint
        The bush in its hole.
    against_Nm : float or None
        Torque of the screw; None where it is not known, and the compound is then not trusted alone. [N m]

    Returns
    -------
    Compound
        Estimated: a range of shear strengths, halved on passive metals and again where it is hot.

    References
    ----------
    Shear strengths, gaps and deratings from memory; the test is ISO 10123 (pin and collar), which ranks
    products and does not predict service.

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> joint = Joint(parent=find_material("grey iron"), bush=find_material("mild steel"), diameter_mm=9.5,
    ...               length_mm=12.0, pitch_mm=1.0, screw_mm=6.0, clamp_kN=5.0, wall_mm=1.5)
    >>> [round(value) for value in compound(joint, against_Nm=6.0).torque_Nm]
    [17, 43]
    """
    factor, notes = _derating(joint)
    lever = math.pi * joint.diameter_mm**2 * joint.length_mm / 2
    low, high = (factor * shear * lever / 1000 for shear in judgement.COMPOUND_SHEAR_MPA)
    ratio = None if against_Nm is None else low / against_Nm
    hot = joint.service_C is not None and joint.service_C > judgement.HOT_C
    if ratio is None:
        verdict = "whether that is enough is not judged: add a key pin"
    elif ratio < 1:
        verdict = "does not carry the screw's torque alone, estimated: add a key pin"
    elif hot:
        verdict = (
            f"carries the screw's torque, estimated, but never alone at {joint.service_C:g} C: add a key pin"
        )
    else:
        verdict = (
            "carries the screw's torque, estimated; not alone where the screw is undone often, where it is "
            "hot, or near food"
        )
    return Compound(
        torque_Nm=(low, high),
        ratio=ratio,
        alone=ratio is not None and ratio >= 1 and not hot,
        verdict=verdict,
        notes=(*notes, *_gap(joint), *_USE),
    )


_USE = (
    "Clean and dry both threads: no oil, no cutting fluid.",
    "To undo it later, heat the bush to about 250 C where metal, paint and surroundings allow, and turn "
    "it hot.",
    "The figures are generic and from memory; take the maker's data sheet where you have one.",
)


def _derating(joint: Joint) -> tuple[float, list[str]]:
    factor, notes = 1.0, []
    passive = [one.name for one in (joint.parent, joint.bush) if JOINTS[one.kind].passive]
    if passive:
        factor *= judgement.COMPOUND_PASSIVE
        notes.append(f"Passive metal ({', '.join(passive)}): use an activator; half the strength is counted.")
    if joint.service_C is not None and joint.service_C > judgement.HOT_C:
        factor *= judgement.COMPOUND_HOT
        notes.append(f"Above {judgement.HOT_C:g} C in service: half the strength is counted.")
    return factor, notes


def _gap(joint: Joint) -> list[str]:
    best, most = judgement.COMPOUND_GAP_MM[:2], judgement.COMPOUND_GAP_MM[2]
    if joint.gap_mm is None:
        return [
            f"Gap on the pitch diameter: best {best[0]:g} to {best[1]:g} mm; the tables give no limits to "
            "check."
        ]
    least, greatest = joint.gap_mm
    text = f"Gap on the pitch diameter {least:.2f} to {greatest:.2f} mm within the limits"
    if greatest <= best[1]:
        return [f"{text}: any grade."]
    if greatest <= most:
        return [
            f"{text}, best {best[0]:g} to {best[1]:g} mm: take a thick grade, or cut the thread to its "
            "high limit."
        ]
    return [f"{text}: above {most:g} mm no grade bridges it; cut the thread to its high limit and measure."]


def metals_warning(joint: Joint) -> tuple[str, ...]:
    """What the two metals do to each other: galvanic potential and thermal expansion, with numbers.

    Parameters
    ----------
    joint : Joint
        The bush in its hole.

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> joint = Joint(parent=find_material("cast aluminium"), bush=find_material("stainless steel"),
    ...               diameter_mm=12.0, length_mm=12.0, pitch_mm=1.5, screw_mm=8.0, clamp_kN=8.0, wall_mm=2.9)
    >>> metals_warning(joint)[0][:55]
    'Stainless steel in cast aluminium: 0.84 V apart, 0.3 V '
    """
    parent, bush = joint.parent, joint.bush
    volts = galvanic_difference(parent.kind, bush.kind)
    dry, wet = judgement.GALVANIC_LIMITS_V
    eaten = "part" if volts > 0 else "bush"
    pair = f"{bush.name[0].upper()}{bush.name[1:]} in {parent.name}"
    lines = [f"{pair}: {abs(volts):.2f} V apart, {dry:g} V is the most in the dry and {wet:g} V in the wet."]
    if abs(volts) > wet:
        lines[0] += f" Damp eats the {eaten}: seal the thread and keep water out."
    if parent.kind == "magnesium" and bush.kind != "steel":
        lines.append(
            f"Never bare {bush.name} in magnesium: choose another metal, or insulate the joint wholly."
        )
    warming = judgement.WARMING_K if joint.service_C is None else joint.service_C - judgement.SHOP_C
    change = 1000 * clearance_change(parent.kind, bush.kind, diameter=joint.diameter_mm, warming=warming)
    word = "loosens" if change > 0 else "tightens"
    lines.append(
        f"Warmed by {warming:.0f} K the bush {word} by {abs(change):.1f} um on {joint.diameter_mm:.1f} mm "
        "(thermal expansion)."
        if abs(change) >= 0.05
        else f"Warmed by {warming:.0f} K bush and part grow alike."
    )
    recalled = [one.name for one in (parent, bush) if JOINTS[one.kind].from_memory]
    if recalled:
        lines.append(
            f"From memory, not read: expansion or potential of {' and '.join(dict.fromkeys(recalled))}."
        )
    return tuple(lines)


def fix_bush(joint: Joint) -> Fixing:
    """All ways of keeping one bush from turning, with numbers.

    Parameters
    ----------
    joint : Joint
        The bush in its hole.

    Returns
    -------
    Fixing
    """
    clamp = joint.clamp_kN
    against = None if clamp is None else unscrewing_torque(clamp, screw_mm=joint.screw_mm)
    bond, pin = compound(joint, against_Nm=against), key_pin(joint, against_Nm=against)
    turned = hand(screw_left=joint.left_hand_screw, bush_left=joint.outer_left_hand)
    return Fixing(
        screw_torque_Nm=against,
        compound=bond,
        key_pin=pin,
        together=_together(joint, bond, pin, against_Nm=against),
        staking=_staking(joint),
        vent=_vent(joint),
        hand=f"{turned[0].upper()}{turned[1:]}.",
        metals=metals_warning(joint),
    )


def _together(joint: Joint, bond: Compound, pin: KeyPin | None, *, against_Nm: float | None) -> str:
    """Whether what fixes the bush holds the screw's torque."""
    if bond.alone:
        more = "" if pin is None else f"; a pin adds {pin.torque_Nm:.1f} N m where the screw is often undone"
        return f"The compound may do alone{more}."
    held = bond.torque_Nm[0] + (0.0 if pin is None else pin.torque_Nm)
    ways = "The compound" if pin is None else "Compound and pin together"
    verb = "stands" if pin is None else "stand"
    if against_Nm is None:
        return f"{ways} {verb} about {held:.1f} N m: hold the bush whenever what is in it is turned hard."
    if held >= against_Nm and pin is not None:
        return f"{ways} stand about {held:.1f} N m, {against_Nm:.1f} N m are asked: enough, estimated."
    if held >= against_Nm:
        return (
            f"The compound is not to be trusted alone at {joint.service_C:g} C, and no pin finds room: "
            "give the bush a larger collar with a pin."
        )
    most = held / unscrewing_torque(1.0, screw_mm=joint.screw_mm)
    return (
        f"{ways} {verb} about {held:.1f} N m, {against_Nm:.1f} N m are asked: not to be trusted. Tighten the "
        f"screw to no more than {most:.1f} kN, hold the bush as the screw is undone, or give it a larger "
        "collar with a pin."
    )


def _staking(joint: Joint) -> str:
    if joint.parent.kind in ("grey iron", "zinc die casting", "magnesium"):
        return f"Do not stake: {joint.parent.name} chips or cracks under the punch."
    return "Staking with 3 or 4 punch marks is for light duty only; no strength is calculated for it."


def vent_flat(pitch_mm: float) -> float:
    """Depth of a vent flat along an outer thread of a pitch. [mm]

    Examples
    --------
    >>> vent_flat(1.5)
    0.6
    """
    return round(max(judgement.VENT_FLAT_PITCHES * pitch_mm, judgement.LEAST_VENT_FLAT_MM), 6)


def _vent(joint: Joint) -> str | None:
    if joint.blind is False:
        return None
    deep = vent_flat(joint.pitch_mm)
    where = "The hole is blind" if joint.blind else "Unless the hole goes through"
    return (
        f"{where}: file a vent flat {deep:.1f} mm deep along the outer thread, so that air and compound "
        "escape instead of holding the bush up."
    )
