"""How a bush is to be located, driven and made: what the person says of it, and what lies around it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from threadwright import judgement
from threadwright.tables.errors import JobError

if TYPE_CHECKING:
    from threadwright.repair.driving import DrivingKind
    from threadwright.repair.lathe import Lathe
    from threadwright.repair.register import Datum, RegisterFit, RegisterKind
    from threadwright.repair.spigot import SpigotFit

__all__ = ["Locate", "Wish"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked of a bush; None is "choose" or "not known". Lengths in mm.

    Parameters
    ----------
    register : str, optional
        ``collar``, ``pilot``, ``stop collar`` or ``none``; a collar where a
        part is located or a seat is kept, else none.
    register_fit : {"h6", "k6"}, optional
        Fit of the register in its bore H7.
    datum : str, optional
        What the counterbore is bored from: ``spigot seat``, ``mating part`` or ``hole pattern``.
    collar_mm, collar_length_mm : float, optional
        Diameter and length of the collar.
    seat_mm : tuple of float, optional
        A surviving counterbore that is kept, as measured.
    spigot_mm : float, optional
        Diameter of the old spigot.
    mating_bore_mm : tuple of float, optional
        The mating part's bore, at two depths and in two directions.
    mating_depth_mm : float, optional
        Its depth.
    spigot_fit : {"sliding", "snug", "press"}, optional
        How the spigot goes in.
    projection_mm : float, optional
        How far the spigot stands out of the face.
    flush_mm : float, optional
        How far the collar's face may lie below the part's.
    driving : str, optional
        What the bush is driven by.
    lathe : Lathe, optional
        The lathe at hand.
    through : bool, optional
        Whether the hole goes through.
    edge_mm : float, optional
        Hole's centre to the nearest edge.
    service_C : float, optional
        Service temperature. [deg C]
    reamers_mm : tuple of float, optional
        Reamers at hand, for a pilot's bore.
    state : str
        State of the hole.

    Raises
    ------
    JobError
        If a spigot is asked for on a register that cannot carry it, or a length is not above zero.
    """

    register: RegisterKind | None = None
    register_fit: RegisterFit = "h6"
    datum: Datum | None = None
    collar_mm: float | None = None
    collar_length_mm: float | None = None
    seat_mm: tuple[float, ...] = ()
    spigot_mm: float | None = None
    mating_bore_mm: tuple[float, ...] = ()
    mating_depth_mm: float | None = None
    spigot_fit: SpigotFit = "sliding"
    projection_mm: float | None = None
    flush_mm: float | None = None
    driving: DrivingKind = "jam nut"
    lathe: Lathe | None = None
    through: bool | None = None
    edge_mm: float | None = None
    service_C: float | None = None
    reamers_mm: tuple[float, ...] = ()
    state: str = "stripped"

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            given = value if isinstance(value, tuple) else (value,)
            if one.name.endswith("_mm") and any(size is not None and not size > 0 for size in given):
                name = one.name.removesuffix("_mm").replace("_", " ")
                raise JobError(f"{name}: {value} is not a size; write it like 2.5, above 0")
        if self.has_spigot and self.kind != "collar":
            raise JobError(
                f"register: a spigot stands on a collar, not on '{self.kind}'; write register = "
                '"collar", or '
                "leave the spigot out: a thread does not locate"
            )

    @property
    def has_spigot(self) -> bool:
        """Whether the bush carries a locating spigot."""
        return self.spigot_mm is not None or bool(self.mating_bore_mm)

    @property
    def kind(self) -> RegisterKind:
        """The register: a collar where nothing else is said and a part is located or a collar sized."""
        if self.register is not None:
            return self.register
        return "collar" if self.has_spigot or self.seat_mm else "none"

    @property
    def length_mm(self) -> float:
        """Length of the collar or pilot; nothing for a plain bush. [mm]"""
        if self.kind == "none":
            return 0.0
        usual = judgement.PILOT_LENGTH_MM if self.kind == "pilot" else judgement.COLLAR_LENGTH_MM
        return self.collar_length_mm or usual

    @property
    def collar_asked_mm(self) -> float | None:
        """Diameter that a collar is bound to, if it is. [mm]"""
        if self.kind != "collar":
            return None
        return min(self.seat_mm) if self.seat_mm else self.collar_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Locate:
    """What is located round the hole, as a job file says it. Lengths in mm.

    Parameters
    ----------
    spigot, spigot_length : float, optional
        The old spigot: diameter, and how far it stood out.
    mating_bore : float or tuple of float, optional
        The mating part's bore, once or at two depths and in two directions.
    mating_thickness, mating_depth : float, optional
        Thickness of the mating part, and the depth of its bore where that does not go through.
    register : {"collar", "pilot", "none"}, optional
        What is to locate the bush.
    register_fit, fit : str, optional
        Fit of the register (``h6`` or ``k6``) and of the spigot (``sliding``, ``snug`` or ``press``).
    bored_from : str, optional
        ``spigot seat``, ``mating part`` or ``hole pattern``.
    collar, collar_length : float, optional
        The collar (or pilot): diameter and length.
    seat : float or tuple of float, optional
        A surviving counterbore that is kept, as measured.
    projection, flush : float, optional
        How far the spigot is to stand out, and how far the collar's face may lie below the part's.

    Examples
    --------
    >>> Locate(mating_bore=12.02, mating_thickness=8.0).wish().mating_depth_mm
    8.0
    """

    spigot: float | None = None
    spigot_length: float | None = None
    mating_bore: float | tuple[float, ...] | None = None
    mating_thickness: float | None = None
    mating_depth: float | None = None
    register: RegisterKind | None = None
    register_fit: RegisterFit = "h6"
    bored_from: Datum | None = None
    collar: float | None = None
    collar_length: float | None = None
    seat: float | tuple[float, ...] | None = None
    fit: SpigotFit = "sliding"
    projection: float | None = None
    flush: float | None = None

    @property
    def bores(self) -> tuple[float, ...]:
        """Every reading of the mating bore. [mm]"""
        return _all(self.mating_bore)

    @property
    def spigot_mm(self) -> float | None:
        """Diameter of the spigot: of the bore it enters, else of the old one. [mm]"""
        return min(self.bores, default=self.spigot)

    @property
    def collar_mm(self) -> float | None:
        """Diameter that a collar is bound to: a seat that is kept, else the one asked for. [mm]"""
        if self.register == "pilot":
            return None
        return min(_all(self.seat), default=self.collar)

    def wish(
        self,
        *,
        collar: bool | None = None,
        counterbore_mm: float | None = None,
        counterbore_depth_mm: float | None = None,
        driving: DrivingKind = "jam nut",
        lathe: Lathe | None = None,
        through: bool | None = None,
        edge_mm: float | None = None,
        service_C: float | None = None,
    ) -> Wish:
        """Put what is asked of the bush together with what lies around it.

        Parameters
        ----------
        collar : bool, optional
            Whether a collar was asked for by itself; without anything located it only stops the bush.
        counterbore_mm, counterbore_depth_mm : float, optional
            Counterbore that the face has already.
        driving, lathe, through, edge_mm, service_C
            As in :class:`Wish`.

        Raises
        ------
        JobError
            If they contradict each other.
        """
        if self.spigot is not None and self.bores and self.spigot > max(self.bores):
            raise JobError(
                f"spigot: {self.spigot:g} mm does not enter the mating bore of {max(self.bores):g} mm; "
                "measure both again"
            )
        kind = self.register
        if collar and kind in (None, "none"):
            kind = "stop collar" if kind == "none" else "collar"
        depth = self.mating_thickness if self.mating_depth is None else self.mating_depth
        seat = _all(self.seat)
        old = self.spigot_length if depth is None else None
        return Wish(
            register=kind,
            register_fit=self.register_fit,
            datum=self.bored_from,
            collar_mm=self.collar if self.collar or seat else counterbore_mm,
            collar_length_mm=self.collar_length or counterbore_depth_mm,
            seat_mm=seat,
            spigot_mm=self.spigot,
            mating_bore_mm=self.bores,
            mating_depth_mm=depth,
            spigot_fit=self.fit,
            projection_mm=self.projection or old,
            flush_mm=self.flush,
            driving=driving,
            lathe=lathe,
            through=through,
            edge_mm=edge_mm,
            service_C=service_C,
        )


def _all(given: float | tuple[float, ...] | None) -> tuple[float, ...]:
    if given is None:
        return ()
    return given if isinstance(given, tuple) else (given,)
