"""The stripped hole and what lies around it, checked for contradictions."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from difflib import get_close_matches
from typing import Final, Literal, get_args

from threadwright import judgement
from threadwright.tables.errors import JobError, NumberError
from threadwright.tables.numbers import parse_number, shorten
from threadwright.units import split_unit

__all__ = ["Beyond", "State", "Surroundings", "parse_temperature", "read_beyond", "read_state"]

State = Literal["stripped", "worn", "damaged", "broken screw", "off position", "out of square"]
Beyond = Literal["nothing", "oil", "water", "steam", "compressed air", "gas"]

_STATES: Final[tuple[str, ...]] = get_args(State)
_BEYOND: Final[tuple[str, ...]] = get_args(Beyond)


def _one_of(text: str, known: tuple[str, ...], name: str) -> str:
    plain = " ".join(text.lower().replace("-", " ").split())
    if plain in known:
        return plain
    near = get_close_matches(plain, known, n=1, cutoff=0.5)
    hint = f"did you mean '{near[0]}'?" if near else f"write one of: {', '.join(known)}"
    raise JobError(f"{name}: no such word {shorten(text)}; {hint}")


def read_state(text: str, *, name: str = "state") -> str:
    """Read the state of the thread in the hole.

    Parameters
    ----------
    text : str
        stripped, worn, damaged, broken screw, off position or out of square.
    name : str
        What the message calls it.

    Raises
    ------
    JobError
        If it is none of these; the message names the nearest.

    Examples
    --------
    >>> read_state("Broken-screw")
    'broken screw'
    """
    return _one_of(text, _STATES, name)


def read_beyond(text: str, *, name: str = "beyond") -> str:
    """Read what lies beyond the floor of the hole or a thin wall beside it.

    Parameters
    ----------
    text : str
        nothing, oil, water, steam, compressed air or gas.
    name : str
        What the message calls it.

    Raises
    ------
    JobError
        If it is none of these; the message names the nearest.

    Examples
    --------
    >>> read_beyond("oil")
    'oil'
    """
    return _one_of(text, _BEYOND, name)


def parse_temperature(text: str, *, name: str) -> float:
    """Read a service temperature.

    Parameters
    ----------
    text : str
        Number and unit, C or F.
    name : str
        What the message calls it.

    Returns
    -------
    float
        Temperature. [deg C]

    Raises
    ------
    JobError
        If the text is not of that form or no machine runs that hot or cold.

    Examples
    --------
    >>> parse_temperature("80 C", name="temperature"), parse_temperature("212 F", name="temperature")
    (80.0, 100.0)
    """
    sign, plain = (-1, text.strip()[1:]) if text.strip().startswith("-") else (1, text)
    number, unit = split_unit(plain)
    try:
        value = sign * float(parse_number(number))
    except NumberError:
        value = math.nan
    celsius = {"C": value, "degC": value, "F": (value - 32) / 1.8, "degF": (value - 32) / 1.8}.get(
        unit, math.nan
    )
    low, high = judgement.SERVICE_RANGE_C
    if not low <= celsius <= high:
        raise JobError(
            f"{name}: cannot take {shorten(text)} as a service temperature; write it like '80 C' or '176 F', "
            f"{low:g} to {high:g} C"
        )
    return celsius


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The hole and its surroundings; None is "not known". Lengths in mm.

    Parameters
    ----------
    depth_mm : float
        Depth that a bush may fill, from the face.
    through : bool, optional
        Whether the hole goes through.
    state : str
        State of the thread, see :func:`read_state`.
    bore_mm : float, optional
        Diameter over what is left of the thread, inside.
    floor_mm : float, optional
        Metal below the depth of a blind hole.
    boss_mm, edge_mm, next_hole_mm : float, optional
        Diameter of the boss; hole's centre to the nearest edge; centre to centre of the next hole.
    beyond : str
        What lies beyond the floor or a thin wall, see :func:`read_beyond`.
    far_side : bool, optional
        Whether the far side of a through hole can be reached with a tool and a nut.
    counterbore_mm, counterbore_depth_mm : float, optional
        Counterbore that the face has already.
    spigot_mm, spigot_length_mm : float, optional
        Locating spigot or tube round the screw: its outside diameter, and how far it stands out.
    mating_bore_mm, mating_thickness_mm : float, optional
        Bore of the mating part that the spigot enters, and the mating part's thickness.
    off_by_mm : float, optional
        How far the hole stands from where it belongs.
    screw_length_mm : float, optional
        Length of the screw under its head.
    temperature_C : float, optional
        Service temperature. [deg C]

    Raises
    ------
    JobError
        If a size makes no sense or contradicts another.

    Examples
    --------
    >>> hole = Surroundings(depth_mm=22.0, through=False, boss_mm=40.0, edge_mm=25.0)
    >>> hole.nearest_edge_mm, hole.locates
    (20.0, False)
    """

    depth_mm: float
    through: bool | None = None
    state: str = "stripped"
    bore_mm: float | None = None
    floor_mm: float | None = None
    boss_mm: float | None = None
    edge_mm: float | None = None
    next_hole_mm: float | None = None
    beyond: str = "nothing"
    far_side: bool | None = None
    counterbore_mm: float | None = None
    counterbore_depth_mm: float | None = None
    spigot_mm: float | None = None
    spigot_length_mm: float | None = None
    mating_bore_mm: float | None = None
    mating_thickness_mm: float | None = None
    off_by_mm: float | None = None
    screw_length_mm: float | None = None
    temperature_C: float | None = None

    def __post_init__(self) -> None:
        read_state(self.state)
        read_beyond(self.beyond)
        for one in fields(self):
            value = getattr(self, one.name)
            if one.name.endswith("_mm") and value is not None and not (math.isfinite(value) and value > 0):
                name = one.name.removesuffix("_mm").replace("_", " ")
                raise JobError(f"{name}: {value} is not a size; write it like 25.0, above 0")
        fault = self._contradiction()
        if fault is not None:
            raise JobError(fault)

    def _contradiction(self) -> str | None:
        if self.through and self.floor_mm is not None:
            return "floor: a through hole has none; leave the floor out, or write through = false"
        if self.far_side and self.through is False:
            return "far side: a blind hole has none to reach; write through = true, or leave far_side out"
        for name, outer in (("boss", self.boss_mm), ("counterbore", self.counterbore_mm)):
            if self.bore_mm is not None and outer is not None and outer <= self.bore_mm:
                return (
                    f"{name}: {outer:g} mm is no larger than the bore of {self.bore_mm:g} mm; "
                    "measure both again"
                )
        if self.counterbore_depth_mm is not None and self.counterbore_depth_mm >= self.depth_mm:
            return (
                f"counterbore: its depth of {self.counterbore_depth_mm:g} mm leaves nothing of the "
                f"{self.depth_mm:g} mm deep hole; give the whole depth from the face"
            )
        spigot, bore = self.spigot_mm, self.mating_bore_mm
        if spigot is not None and bore is not None and spigot > bore:
            return (
                f"spigot: {spigot:g} mm does not enter the mating bore of {bore:g} mm; give a smaller "
                "spigot or measure the bore again"
            )
        return None

    @property
    def nearest_edge_mm(self) -> float | None:
        """Centre of the hole to the nearest edge, of the boss or of the part. [mm]"""
        known = [] if self.edge_mm is None else [self.edge_mm]
        known += [] if self.boss_mm is None else [self.boss_mm / 2]
        return min(known, default=None)

    @property
    def locates(self) -> bool:
        """Whether the part is located round this hole."""
        return self.spigot_mm is not None

    @property
    def least_floor_mm(self) -> float:
        """Metal that drilling must leave. [mm]"""
        return judgement.LEAST_FLOOR_MM if self.beyond == "nothing" else judgement.LEAST_FLOOR_TO_FLUID_MM

    @property
    def spare_below_mm(self) -> float:
        """Depth below the bush that may still be drilled; infinite where it is not known or goes through."""
        if self.floor_mm is None:
            return math.inf
        return max(self.floor_mm - self.least_floor_mm, 0.0)
