"""What the bush is screwed in by, and how that is hidden or removed afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final, Literal

from threadwright import judgement
from threadwright.repair.size import down_to, up_to
from threadwright.tables.errors import JobError
from threadwright.tables.numbers import shorten

__all__ = ["DRIVING_KINDS", "Driving", "DrivingKind", "drive", "read_driving"]

DrivingKind = Literal["slot", "two holes", "flats", "jam nut"]
DRIVING_KINDS: Final[tuple[DrivingKind, ...]] = ("slot", "two holes", "flats", "jam nut")


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """One driving feature. Lengths in mm; None where it has no such size."""

    kind: DrivingKind
    width_mm: float | None = None
    """Width of the slot, diameter of the holes, or size across the flats."""
    depth_mm: float | None = None
    spacing_mm: float | None = None
    """Between the centres of two holes."""
    washer_mm: float | None = None
    """Greatest diameter of the washer under a jam nut."""
    screw_mm: float | None = None
    """Least thread of the driving screw below its head."""
    says: str = ""

    def to_dict(self) -> dict[str, object]:
        """Plain data."""
        return {
            "kind": self.kind,
            "width_mm": self.width_mm,
            "depth_mm": self.depth_mm,
            "spacing_mm": self.spacing_mm,
            "washer_mm": self.washer_mm,
            "screw_mm": self.screw_mm,
            "says": self.says,
        }


def read_driving(text: str, *, name: str = "driving") -> DrivingKind:
    """Read what the bush is to be driven by.

    Parameters
    ----------
    text : str
        ``slot``, ``two holes``, ``flats`` or ``jam nut``.
    name : str, optional
        What a message calls it.

    Raises
    ------
    JobError
        If it is none of these.

    Examples
    --------
    >>> read_driving("Two Holes")
    'two holes'
    """
    plain = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
    for kind in DRIVING_KINDS:
        if plain == kind:
            return kind
    near = get_close_matches(plain, DRIVING_KINDS, n=1, cutoff=0.5)
    hint = f"did you mean '{near[0]}'?" if near else f"write one of {', '.join(DRIVING_KINDS)}"
    raise JobError(f"{name}: no bush is driven by {shorten(text)}; {hint}")


def drive(
    kind: DrivingKind,
    *,
    face_mm: float,
    within_mm: float,
    deep_mm: float,
    spigot: bool,
    screw_mm: float,
    above_mm: float = 0.0,
) -> Driving:
    """Size a driving feature for the face at hand.

    Parameters
    ----------
    kind : str
        Which.
    face_mm, within_mm : float
        Outside diameter of the face that the tool reaches, and diameter of what stands or is bored within
        it. [mm]
    deep_mm : float
        Depth that a slot or hole may take. [mm]
    spigot : bool
        Whether a spigot stands on that face.
    screw_mm : float
        Diameter of the screw. [mm]
    above_mm : float
        From that face down to the inner thread. [mm]

    Raises
    ------
    JobError
        If two holes find no room in the ring.

    Examples
    --------
    >>> drive("two holes", face_mm=18.0, within_mm=12.0, deep_mm=2.0, spigot=True, screw_mm=8.0).width_mm
    1.5
    >>> one = drive("jam nut", face_mm=14.0, within_mm=9.0, deep_mm=2.0, spigot=False, screw_mm=8.0)
    >>> one.washer_mm, one.screw_mm
    (13.9, 16.5)
    """
    if kind == "slot":
        return _slot(face_mm, deep_mm, spigot=spigot)
    if kind == "two holes":
        return _two_holes(face_mm, within_mm, deep_mm)
    if kind == "flats":
        return Driving(
            kind=kind,
            width_mm=down_to(judgement.FLATS_SHARE * face_mm, 0.5),
            depth_mm=judgement.FLATS_LENGTH_MM,
            says="Flats on a head left on the bush's end: once the bush is home and fixed, saw the head off "
            "and face the end. Nothing of it remains.",
        )
    return _jam_nut(face_mm, screw_mm, above_mm, spigot=spigot)


def _jam_nut(face: float, screw: float, above: float, *, spigot: bool) -> Driving:
    """A nut locked against the bush; the washer is smaller than its face, so that it follows the bush in."""
    washer = down_to(face - judgement.PILOT_CLEAR_MM, 0.1)
    reach = (judgement.DRIVING_HOLD + judgement.JAM_NUT) * screw + above + judgement.DRIVING_WASHER_MM
    end = "the spigot's end" if spigot else "the bush's face"
    return Driving(
        kind="jam nut",
        washer_mm=washer,
        screw_mm=up_to(reach, 0.5),
        says=(
            f"Drive it by a screw with {up_to(reach, 0.5):g} mm of thread or more and a nut locked against "
            f"{end}, with a soft washer of {washer:g} mm or less between, so that nothing else is touched; "
            "hold the screw and slack the nut to let go. It leaves no mark."
        ),
    )


def _slot(face: float, deep: float, *, spigot: bool) -> Driving:
    narrow, wide, from_mm = judgement.SLOT_WIDTHS_MM
    width = narrow if face < from_mm else wide
    where = "across the spigot's end: it lies inside the mating bore" if spigot else "across the bush's face"
    hidden = (
        ", and the spigot locates by what is below it"
        if spigot
        else ": it lies under the mating part, or leave the bush longer by its depth and face it off"
    )
    return Driving(
        kind="slot",
        width_mm=width,
        depth_mm=round(min(width, deep), 2),
        says=f"Slot {where}{hidden}.",
    )


def _two_holes(face: float, within: float, deep: float) -> Driving:
    ring, web = (face - within) / 2, judgement.HOLE_WEB_MM
    fitting = [hole for hole in judgement.SPANNER_HOLES_MM if hole + 2 * web <= ring + 1e-9]
    if not fitting:
        wide = within + 2 * (judgement.SPANNER_HOLES_MM[0] + 2 * web)
        raise JobError(
            f"driving: two holes need a ring {judgement.SPANNER_HOLES_MM[0] + 2 * web:g} mm wide, the "
            "face has "
            f"{max(ring, 0.0):.2f} mm; make the collar {up_to(wide, 0.5):g} mm or larger, or drive the "
            "bush by a jam nut"
        )
    return Driving(
        kind="two holes",
        width_mm=fitting[-1],
        depth_mm=round(deep, 2),
        spacing_mm=round((face + within) / 2, 2),
        says="Two holes in the face for a pin spanner: they lie under the mating part.",
    )
