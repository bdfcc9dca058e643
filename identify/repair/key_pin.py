"""A key pin along the joint, half in the bush and half in the part: its room, and what it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from threadwright import judgement
from threadwright.tables.materials import find_material

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from threadwright.repair.fixing import Joint

__all__ = ["KeyPin", "key_pin"]

Place = Literal["thread", "collar"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyPin:
    """A plain pin or grub screw along the joint, half in the bush and half in the part."""

    diameter_mm: float
    length_mm: float
    """In the joint that it keys; one in the thread is drilled through a collar above it."""
    circle_mm: float
    """Diameter of the circle its axis lies on."""
    torque_Nm: float
    ratio: float | None
    gives_way: str
    """What gives way first: the pin's shear or the softer metal's bearing."""
    place: Place = "thread"
    """Which joint it keys."""
    deep_mm: float = 0.0
    """How deep it is drilled from the face."""

    def to_dict(self) -> dict[str, object]:
        """Plain data."""
        return {
            "diameter_mm": self.diameter_mm,
            "length_mm": round(self.length_mm, 2),
            "circle_mm": round(self.circle_mm, 3),
            "torque_Nm": round(self.torque_Nm, 1),
            "over_screw_torque": None if self.ratio is None else round(self.ratio, 2),
            "gives_way": self.gives_way,
            "place": self.place,
            "deep_mm": round(self.deep_mm, 2),
        }


def key_pin(joint: Joint, *, against_Nm: float | None, pins: Sequence[float] | None = None) -> KeyPin | None:
    r"""Pin along the joint that leaves the bush's wall and stands the most torque.

    .. math:: T = \min(\tau_{pin} d L, \ \sigma L d / 2) \, D / 2

    Parameters
    ----------
    joint : Joint
        The bush in its hole; a collar may be keyed instead of the thread.
    against_Nm : float or None
        Torque of the screw; None where it is not known. [N m]
    pins : sequence of float, optional
        Diameters at hand. [mm]

    Returns
    -------
    KeyPin or None
        None where no pin leaves wall enough, or a spigot stands where it would be drilled.

    Notes
    -----
    The pin is mild steel; bearing is taken at the tensile strength of the softer of the two metals, and not
    at all where no strength may be assumed.

    Examples
    --------
    >>> from threadwright.repair.fixing import Joint
    >>> from threadwright.tables.materials import find_material
    >>> joint = Joint(parent=find_material("grey iron"), bush=find_material("mild steel"), diameter_mm=14.0,
    ...               length_mm=12.0, pitch_mm=1.5, screw_mm=8.0, clamp_kN=8.0, wall_mm=2.9)
    >>> pin = key_pin(joint, against_Nm=12.8)
    >>> pin.diameter_mm, pin.gives_way
    (2.5, 'the part')
    """
    sizes = sorted(judgement.KEY_PINS_MM if pins is None else pins)
    found = list(_all(joint, sizes, against_Nm=against_Nm))
    return max(found, key=lambda pin: (pin.torque_Nm, pin.diameter_mm), default=None)


def _all(joint: Joint, sizes: Sequence[float], *, against_Nm: float | None) -> Iterator[KeyPin]:
    """The pins that find room, in the joint of the thread and of the collar."""
    above = 0.0 if joint.collar is None else joint.collar[1]
    places: list[tuple[Place, float, float, float]] = [
        ("thread", joint.diameter_mm, joint.length_mm, joint.wall_mm)
    ]
    if joint.collar is not None:
        circle, length = joint.collar
        places.append(("collar", circle, length, joint.wall_mm + (circle - joint.diameter_mm) / 2))
    for place, circle, length, wall in places:
        for pin in sizes:
            beside = joint.spigot_mm is None or circle - pin >= joint.spigot_mm
            if beside and pin / 2 <= judgement.KEY_PIN_WALL_SHARE * wall:
                keyed = min(length, judgement.KEY_PIN_LENGTH * pin)
                deep = keyed + (above if place == "thread" else 0.0)
                yield _pin(joint, place, pin, length=keyed, circle=circle, deep=deep, against_Nm=against_Nm)


def _pin(
    joint: Joint,
    place: Place,
    pin: float,
    *,
    length: float,
    circle: float,
    deep: float,
    against_Nm: float | None,
) -> KeyPin:
    shear = (find_material("mild steel").shear or 0.0) * pin * length
    bearings = [
        (metal.tensile * length * pin / 2, name)
        for metal, name in ((joint.parent, "the part"), (joint.bush, "the bush"))
        if metal.tensile is not None
    ]
    force, gives_way = min([(shear, "the pin"), *bearings])
    if joint.parent.tensile is None:
        force, gives_way = 0.0, "the part (no strength may be assumed)"
    torque = force * circle / 2 / 1000
    return KeyPin(
        diameter_mm=pin,
        length_mm=length,
        circle_mm=circle,
        torque_Nm=torque,
        ratio=None if against_Nm is None else torque / against_Nm,
        gives_way=gives_way,
        place=place,
        deep_mm=deep,
    )
