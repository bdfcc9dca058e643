"""All readings of one fastener or hole, checked one by one and against each other.

How a single reading is written is told in :mod:`threadwright.reading_text`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Final, Literal, TypeVar

from threadwright import judgement
from threadwright.evidence import Evidence, read_evidence
from threadwright.instruments import check_combs, find_instrument, one_wire_to_three
from threadwright.quantities import length_mm
from threadwright.reading import LABELS, Pitch, Reading, together
from threadwright.reading_text import parse_pitch_reading, parse_reading, suits
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import format_decimal, shorten

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from threadwright.instruments import Instrument
    from threadwright.quantities import QuantityLike

    One = str | QuantityLike | Reading
    Given = One | list[One] | tuple[One, ...] | None

__all__ = ["CONDITIONS", "LABELS", "SIDES", "OverWires", "Pitch", "Reading", "Readings"]

Side = Literal["external", "internal"]
Condition = Literal["good", "worn", "stripped", "plated"]
SIDES: Final[tuple[Side, ...]] = ("external", "internal")
CONDITIONS: Final[tuple[Condition, ...]] = ("good", "worn", "stripped", "plated")
_GIVEN: Final = ("major", "pitch", "over_wires", "pitch_diameter", "minor", "flank_angle")
_Parsed = TypeVar("_Parsed")
_Word = TypeVar("_Word", bound=str)


@dataclass(frozen=True, slots=True)
class OverWires:
    """A measurement over wires laid in the thread grooves of a screw.

    Attributes
    ----------
    value_mm, u_mm : float
        The measurement as read, and its standard uncertainty. [mm]
    wire_mm, u_wire_mm : float
        Diameter of the wires, and its standard uncertainty. [mm]
    wires : {3, 2, 1}
        Wires in use; one wire is measured against the opposite crest.
    crest_mm, u_crest_mm : float or None
        Diameter over the crests of the same screw, for one wire only. [mm]
    instrument : str
        Plain name of the instrument.
    """

    value_mm: float
    u_mm: float
    wire_mm: float
    u_wire_mm: float
    wires: int = 3
    crest_mm: float | None = None
    u_crest_mm: float | None = None
    instrument: str = "wires"

    @property
    def three_wire(self) -> tuple[float, float]:
        """Size over three wires, M, and its standard uncertainty; M = 2 M1 - d for one wire. [mm]."""
        if self.crest_mm is None or self.u_crest_mm is None:
            return self.value_mm, self.u_mm
        return one_wire_to_three(
            self.value_mm, u_over_one=self.u_mm, crest=self.crest_mm, u_crest=self.u_crest_mm
        )


@dataclass(frozen=True, slots=True, init=False)
class Readings:
    """All readings of one fastener or hole, checked against each other.

    Parameters
    ----------
    side : {"external", "internal"}
        A screw or a hole.
    condition : {"good", "worn", "stripped", "plated"} or None
        What it looks like.
    major, minor, pitch_diameter, over_wires, wire : str, quantity, Reading or None
        Lengths; ``over_wires`` needs ``wire``. Text without an uncertainty takes its usual instrument's.
    pitch : str, quantity, Reading, Pitch or None
        Pitch; text such as ``20 tpi`` is what a comb says.
    flank_angle : str, quantity, Reading or None
        Angle of one flank, half the thread angle.
    wires : {3, 2, 1}
        Wires in use.
    visible : str, quantity or None
        Length over which the comb was laid; None means ten pitches.
    combs : str, iterable of str or None
        Combs owned, ``inch`` and ``metric``; None means both.
    instrument : str or None
        Instrument of the readings that name none and can be taken with it.
    anvil : float or None
        Angle of the thread micrometer's anvils, the whole thread angle; None means anvils that fit. [deg]
    starts, lead, hand, taper, crest, across_flats, flats_of, tried, clearance, cast
        What else was seen or tried: see :func:`threadwright.evidence.read_evidence`.

    Notes
    -----
    A length may be a list of readings taken at different places: their mean is used, and their spread adds to
    the uncertainty.

    Raises
    ------
    ReadingError
        If anything cannot be read, is impossible, or contradicts another reading; all faults in one message.

    Examples
    --------
    >>> readings = Readings(major="0.372 in", pitch="20 tpi")
    >>> readings.given()
    ('major', 'pitch')
    >>> readings.major
    Reading(name='major', value=9.4488, u=0.02, unit='mm', interval=None, instrument='digital caliper')
    """

    side: Side
    condition: Condition | None
    major: Reading | None
    pitch: Pitch | None
    over_wires: OverWires | None
    wire: Reading | None
    wires: int
    pitch_diameter: Reading | None
    minor: Reading | None
    flank_angle: Reading | None
    visible: float | None
    combs: tuple[str, ...]
    instrument: Instrument | None
    anvil: float | None
    evidence: Evidence

    def __init__(
        self,
        *,
        side: str = "external",
        condition: str | None = None,
        major: Given = None,
        pitch: str | QuantityLike | Reading | Pitch | None = None,
        over_wires: Given = None,
        wire: str | QuantityLike | Reading | None = None,
        wires: int = 3,
        pitch_diameter: Given = None,
        minor: Given = None,
        flank_angle: str | QuantityLike | Reading | None = None,
        visible: str | QuantityLike | None = None,
        combs: str | Iterable[str] | None = None,
        instrument: str | None = None,
        anvil: float | None = None,
        **seen: Any,
    ) -> None:
        door = _Door(side=side, instrument=instrument)
        owned = door.tried(lambda: check_combs(combs)) or ()
        length = None if visible is None else door.tried(lambda: length_mm(visible, name="visible length"))
        over = door.reading("over_wires", over_wires)
        put = partial(object.__setattr__, self)
        put("side", door.choice("side", side, SIDES))
        put("condition", None if condition is None else door.choice("condition", condition, CONDITIONS))
        put("major", door.reading("major", major))
        put("pitch", door.pitch(pitch, visible_mm=length, combs=owned))
        put("wire", door.reading("wire", wire))
        put("wires", wires)
        put(
            "over_wires",
            door.over_wires(over, wire=self.wire, wires=wires, major=self.major, lost=wire is not None),
        )
        put("pitch_diameter", door.reading("pitch_diameter", pitch_diameter))
        put("minor", door.reading("minor", minor))
        put("flank_angle", door.reading("flank_angle", flank_angle))
        put("visible", length)
        put("combs", owned)
        put("instrument", door.usual)
        put("anvil", door.anvil(anvil, self.pitch_diameter))
        put("evidence", read_evidence(door.faults, side=side, **seen))
        if not door.faults:  # what could not be read contradicts nothing
            door.faults.extend(_contradictions(self))
        if door.faults:
            raise ReadingError("; ".join(door.faults))

    def given(self) -> tuple[str, ...]:
        """Names of the readings present, in a fixed order; a wire size alone is none.

        Returns
        -------
        tuple of str
            Some of ``major``, ``pitch``, ``over_wires``, ``pitch_diameter``, ``minor``, ``flank_angle``.

        Examples
        --------
        >>> Readings().given()
        ()
        """
        return tuple(name for name in _GIVEN if getattr(self, name) is not None)


class _Door:
    """Reads everything given, and gathers the faults instead of stopping at the first."""

    __slots__ = ("faults", "side", "usual")

    def __init__(self, *, side: str, instrument: str | None) -> None:
        self.faults: list[str] = []
        self.side = side
        self.usual = None if instrument is None else self.tried(lambda: find_instrument(instrument))

    def tried(self, read: Callable[[], _Parsed]) -> _Parsed | None:
        """What was read, or None and a fault."""
        try:
            return read()
        except ReadingError as fault:
            self.faults.append(str(fault))
            return None

    def choice(self, name: str, word: str, choices: tuple[_Word, ...]) -> _Word | None:
        """One of a few words."""
        for choice in choices:
            if word == choice:
                return choice
        self.faults.append(f"{name}: cannot be {shorten(str(word))}; write one of {', '.join(choices)}")
        return None

    def anvil(self, angle: float | None, pitch_diameter: Reading | None) -> float | None:
        """The anvils' angle, if it is one and something was read with them."""
        least, most = judgement.ANVIL_RANGE_DEG
        if angle is not None and not least <= angle <= most:
            self.faults.append(f"anvil: {angle:g} deg is impossible; write the whole angle, like 60 or 55")
        elif angle is not None and pitch_diameter is None:
            self.faults.append(
                "anvil: given without a pitch diameter; give what the thread micrometer says too"
            )
        return angle

    def reading(self, name: str, given: Given) -> Reading | None:
        """One length or angle, if given; several of one diameter are taken together."""
        if given is None:
            return None
        if isinstance(given, list | tuple):
            parts = [found for one in given if (found := self.reading(name, one)) is not None]
            return self.tried(lambda: together(parts)) if parts and len(parts) == len(given) else None
        return self.tried(lambda: parse_reading(name, given, side=self.side, usual=self.usual))

    def pitch(
        self,
        given: str | QuantityLike | Reading | Pitch | None,
        *,
        visible_mm: float | None,
        combs: tuple[str, ...],
    ) -> Pitch | None:
        """The pitch, if given."""
        if given is not None and combs:
            return self.tried(
                lambda: parse_pitch_reading(given, visible_mm=visible_mm, combs=combs, usual=self.usual)
            )
        if given is None and visible_mm is not None:
            self.faults.append(
                "visible length: given without a pitch; give what the comb says too, like '20 tpi'"
            )
        return None

    def over_wires(
        self, over: Reading | None, *, wire: Reading | None, wires: int, major: Reading | None, lost: bool
    ) -> OverWires | None:
        """The measurement over wires with its wires, if given; ``lost`` says a wire size was given."""
        if isinstance(wires, bool) or wires not in (1, 2, 3):
            self.faults.append(f"wires: cannot be {shorten(str(wires))}; write 3, 2 or 1")
            return None
        if over is None or wire is None:
            if over is not None and not lost:
                self.faults.append(
                    "over wires: needs the diameter of the wires; give wire too, like '0.577 mm'"
                )
            return None
        if wires > 1:
            return OverWires(over.value, over.u, wire.value, wire.u, wires, instrument=over.instrument)
        if major is None:
            self.faults.append(
                "over wires: one wire is measured against the opposite crest; give the major diameter of "
                "this screw too, or use three wires"
            )
            return None
        return OverWires(
            over.value, over.u, wire.value, wire.u, 1, major.value, major.spread, over.instrument
        )


def _contradictions(readings: Readings) -> list[str]:
    """What readings, each possible alone, say against each other."""
    found = [*_misplaced(readings), *_wire_faults(readings)]
    pairs = [("minor", "major")]
    if readings.condition != "stripped":  # stripped crests may end beyond the pitch line
        pairs += [("minor", "pitch_diameter"), ("pitch_diameter", "major")]
    for smaller, larger in pairs:
        inner, outer = getattr(readings, smaller), getattr(readings, larger)
        if inner is not None and outer is not None and inner.low >= outer.high:
            found.append(
                f"{LABELS[smaller]}: {_mm(inner.value)} is not below the {LABELS[larger]} {_mm(outer.value)}"
                "; measure both again, or say which is which"
            )
    pitch, major = readings.pitch, readings.major
    if pitch is not None and major is not None and pitch.value_mm >= major.high:
        found.append(
            f"pitch: {shorten(pitch.text)} is not below the major diameter {_mm(major.value)}; "
            "check both units"
        )
    return found


def _misplaced(readings: Readings) -> list[str]:
    """Readings that need another reading, the other side or another instrument."""
    found = []
    if readings.side == "internal" and (readings.over_wires is not None or readings.wire is not None):
        found.append(
            "over wires: wires lie on an external thread only; for a hole give minor and pitch, or measure a "
            "cast of it as an external thread"
        )
    if readings.wire is not None and readings.over_wires is None:
        found.append(
            f"wire: {_mm(readings.wire.value)} alone says nothing; give the measurement over_wires too"
        )
    tool, given = readings.instrument, readings.given()
    if tool is not None and given and not suits(tool, given):
        found.append(
            f"instrument: none of {', '.join(given)} is read with {shorten(tool.name)}; "
            "leave it out, or name another instrument"
        )
    return found


def _wire_faults(readings: Readings) -> list[str]:
    """Wires that cannot touch the flanks, or that do not stand proud of the crests."""
    over, pitch, major = readings.over_wires, readings.pitch, readings.major
    if over is None:
        return []
    found = []
    if pitch is not None:
        least, most = (
            k * pitch.value_mm for k in (judgement.LEAST_WIRE_SHARE, judgement.GREATEST_WIRE_SHARE)
        )
        if not least <= over.wire_mm <= most:
            found.append(
                f"wire: {_mm(over.wire_mm)} is too {'thin' if over.wire_mm < least else 'thick'} to touch "
                f"the flanks at a pitch of {shorten(pitch.text)}; use wires from {_mm(least)} to {_mm(most)}"
            )
    if over.wire_mm * min(over.wires + 1, 3) >= over.value_mm:
        found.append(
            f"over wires: {_mm(over.value_mm)} leaves no screw between wires of {_mm(over.wire_mm)}; "
            "check both"
        )
    slack = 0.0 if major is None else judgement.CONTRADICTION_IN_U * math.hypot(over.u_mm, major.u)
    if major is not None and over.value_mm < major.low - slack:
        found.append(
            f"over wires: {_mm(over.value_mm)} is below the major diameter {_mm(major.value)}: the wires do "
            "not stand proud of the crests; use thicker wires, or check both"
        )
    return found


def _mm(value: float) -> str:
    """A length as a message shows it."""
    return f"{format_decimal(value, 4)} mm"
