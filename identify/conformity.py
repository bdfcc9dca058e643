"""Is it really that thread: each reading against the limits of a class, with its doubt.

Every quantity conforms, does not, or cannot be told with the instrument used; then it is said which
instrument could.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from threadwright import judgement
from threadwright.decision import GUARD_FACTOR, Decision, conformance_probability, decide
from threadwright.diameters import Balls, Size, Virtual, diameters, virtual_of
from threadwright.mating_sizes import straight_depth
from threadwright.plating import Plating, bare, growth, limit_when_plated, thickest
from threadwright.reading import LABELS, Pitch
from threadwright.readings import Readings
from threadwright.remedies import could_measure, could_tell
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import format_decimal
from threadwright.tables.thread import Limits, Thread

__all__ = ["Check", "Conformity", "verify"]

_NEEDED = {"external": ("major", "pitch_diameter"), "internal": ("minor", "pitch_diameter")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One quantity against its limits, all in ``unit``."""

    quantity: str
    label: str
    low: float
    """The reading; an interval's lower end, -inf where that is open."""
    high: float
    u: float
    least: float | None
    greatest: float | None
    decision: Decision
    probability: float | None
    """Probability of conformity, from this reading alone; None for an interval with an open end. [-]"""
    instrument: str
    remedy: str
    """The instrument that could tell, where this one cannot; else empty."""
    unit: str = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conformity:
    """What the readings prove about one thread of one class."""

    thread: Thread
    side: str
    tolerance_class: str
    basis: str
    checks: tuple[Check, ...]
    decision: Decision
    probability: float | None
    """Probability that all that was read conforms, the readings taken as independent. [-]"""
    missing: tuple[str, ...]
    """Diameters without which conformity cannot be proven."""
    could_measure: tuple[str, ...]
    """An instrument for each of them, or why none would do."""
    virtual: Virtual | None
    plating: Plating | None
    notes: tuple[str, ...]

    @property
    def designation(self) -> str:
        """Thread, hand if it is the left one, and class."""
        hand = "LH" if self.thread.left_hand else ""
        return " ".join(part for part in (self.thread.designation, hand, self.tolerance_class) if part)

    def sentence(self) -> str:
        """The verdict on the thread in words."""
        what = f"this {'screw' if self.side == 'external' else 'hole'}"
        if self.decision == "conforms":
            return f"As far as it was measured, {what} conforms to {self.designation}."
        if self.decision == "does not conform":
            wrong = _listed([c.label for c in self.checks if c.decision == self.decision])
            return f"{what.capitalize()} does not conform to {self.designation}: {wrong}."
        open_ones = [c.label for c in self.checks if c.decision == "cannot tell"]
        why = [f"{_listed(open_ones)} too near a limit for the instrument"] if open_ones else []
        why += [f"{_listed(self.missing)} not measured"] if self.missing else []
        return f"Cannot tell whether {what} conforms to {self.designation}: {'; '.join(why)}."

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON, lengths in mm; an open end of an interval is None."""
        checks = [
            {name: value if _sayable(value) else None for name, value in asdict(check).items()}
            for check in self.checks
        ]
        return {
            "schema_version": 1,
            "thread": self.thread.designation,
            "left_hand": self.thread.left_hand,
            "side": self.side,
            "tolerance_class": self.tolerance_class,
            "limits_basis": self.basis,
            "decision": self.decision,
            "sentence": self.sentence(),
            "probability": self.probability,
            "guard_factor": GUARD_FACTOR,
            "checks": checks,
            "missing": [
                {"quantity": name, "could_measure": by}
                for name, by in zip(self.missing, self.could_measure, strict=True)
            ],
            "plating": None if self.plating is None else asdict(self.plating),
            "virtual_pitch_diameter": None if self.virtual is None else asdict(self.virtual),
            "notes": list(self.notes),
        }


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _sayable(value: object) -> bool:
    return not isinstance(value, float) or math.isfinite(value)


def verify(
    thread: Thread,
    readings: Readings,
    *,
    tolerance_class: str | None = None,
    length: float | None = None,
    plating: Plating | None = None,
    balls: Balls | None = None,
    enters: Sequence[str] = (),
    refused: Sequence[str] = (),
) -> Conformity:
    """Lay every reading against the limits of one class, with its uncertainty.

    Parameters
    ----------
    thread : Thread
    readings : Readings
        Of a screw or of a hole.
    tolerance_class : str, optional
        The usual commercial one if left out.
    length : float, optional
        Length engaged, over which an error of the pitch adds up; one diameter if left out. [mm]
    plating : Plating, optional
        Of the part; its limits hold below the plating, and the plated thread may reach the basic sizes.
    balls : Balls, optional
        Balls in a hole.
    enters, refused : sequence of str
        Known screws that run into the hole, or do not start in it: the pitch diameter measured on each,
        or its designation with its class.

    Returns
    -------
    Conformity

    Raises
    ------
    ReadingError
        If nothing was read, a reading does not suit the side, or a wire or ball does not suit the thread.
    UnknownThreadError
        If the thread has no such class on that side.

    References
    ----------
    ISO 14253-1 (decision rules, 95 % conformance probability); JCGM 106:2012 (probability).

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> found = verify(find_thread("2 BA"), Readings(major="4.500 +- 0.015 mm"), tolerance_class="normal")
    >>> found.decision, round(found.checks[0].probability, 3)
    ('cannot tell', 0.193)
    """
    side = readings.side
    limits = thread.limits(side, tolerance_class).in_mm()
    if length is not None and not 0 < length < math.inf:
        raise ReadingError(f"length engaged: cannot be {length} mm; give a length above 0, like '12 mm'")
    if side == "external" and (balls is not None or enters or refused):
        raise ReadingError("balls and known screws measure a hole; say internal, or leave them out")
    read = list(diameters(thread, readings, balls, enters, refused))
    sizes = read if plating is None else [bare(thread, side, size, plating) for size in read]
    checks = [check for size in sizes if (check := _checked(thread, limits, size)) is not None]
    engaged = thread.major_basic * thread.to_mm if length is None else length
    simple = next((size for size in sizes if size.quantity == "pitch_diameter" and size.single), None)
    virtual = None if simple is None else virtual_of(thread, readings, simple, engaged)
    if virtual is not None and simple is not None:
        checks += _virtual_check(thread, limits, simple, virtual)
    else:
        checks += _error_checks(thread, readings, limits, engaged)
    checks += _comb_check(thread, readings.pitch)
    if plating is not None:
        checks += _plated_checks(thread, side, read, virtual, plating)
    if not checks:
        raise ReadingError(
            f"verify: no reading has a limit in {thread.designation}; give major, minor, pitch diameter or "
            "over wires"
        )
    covered = {check.quantity for check in checks}
    missing = tuple(name for name in _NEEDED[side] if name not in covered)
    return Conformity(
        thread=thread,
        side=side,
        tolerance_class=limits.tolerance_class,
        basis=limits.basis,
        checks=tuple(checks),
        decision=_overall(checks, missing),
        probability=_joint(checks),
        missing=tuple(LABELS[name] for name in missing),
        could_measure=tuple(could_measure(thread, limits, name) for name in missing),
        virtual=virtual,
        plating=plating,
        notes=tuple(_notes(thread, readings, limits, virtual, plating)),
    )


def _checked(thread: Thread, limits: Limits, size: Size) -> Check | None:
    """One size against its limits; None where the standard has none for it."""
    ends = (getattr(limits, f"{size.quantity}_{end}") for end in ("min", "max"))
    least, greatest = (float(value) if math.isfinite(value) else None for value in ends)
    return None if least is None and greatest is None else _check(thread, limits.side, size, least, greatest)


def _check(thread: Thread, side: str, size: Size, least: float | None, greatest: float | None) -> Check:
    decision = decide(size.low, size.high, size.u, least=least, greatest=greatest)
    return Check(
        quantity=size.quantity,
        label=size.label,
        low=size.low,
        high=size.high,
        u=size.u,
        least=least,
        greatest=greatest,
        decision=decision,
        probability=conformance_probability(size.low, size.high, size.u, least=least, greatest=greatest),
        instrument=size.instrument,
        unit=size.unit,
        remedy=could_tell(thread, side, size, least, greatest) if decision == "cannot tell" else "",
    )


def _errors(readings: Readings) -> Iterator[Size]:
    """Pitch and flank angle, which may use up the pitch diameter tolerance but no more."""
    pitch, flank = readings.pitch, readings.flank_angle
    if pitch is not None and pitch.u_mm is not None:
        yield Size(
            quantity="pitch",
            label="pitch",
            low=pitch.value_mm,
            high=pitch.value_mm,
            u=pitch.u_mm,
            instrument=pitch.instrument,
        )
    if flank is not None:
        yield Size(
            quantity="flank_angle",
            label="flank angle",
            low=flank.value,
            high=flank.value,
            u=flank.u,
            instrument=flank.instrument,
            unit="deg",
        )


def _error_checks(thread: Thread, readings: Readings, limits: Limits, engaged: float) -> Iterator[Check]:
    tolerance = limits.pitch_diameter_max - limits.pitch_diameter_min
    if not math.isfinite(tolerance):
        return
    alpha = math.radians(thread.form.flank_angle)
    depth = straight_depth(thread.form) * thread.pitch_mm
    room = {
        "pitch": tolerance * math.tan(alpha) * thread.pitch_mm / engaged,
        "flank_angle": math.degrees(tolerance * math.sin(2 * alpha) / (2 * depth)),
    }
    nominal = {"pitch": thread.pitch_mm, "flank_angle": thread.form.flank_angle}
    for size in _errors(readings):
        middle, either = nominal[size.quantity], room[size.quantity]
        yield _check(thread, limits.side, size, middle - either, middle + either)


def _virtual_check(thread: Thread, limits: Limits, simple: Size, virtual: Virtual) -> Iterator[Check]:
    """The virtual pitch diameter against the limit of most metal."""
    outer = limits.side == "external"
    limit = limits.pitch_diameter_max if outer else limits.pitch_diameter_min
    if math.isfinite(limit):
        size = Size(
            quantity="virtual_pitch_diameter",
            label=("bare " if simple.u_beside else "") + "virtual pitch diameter",
            low=virtual.value,
            high=virtual.value,
            u=virtual.u,
            instrument=simple.instrument,
        )
        yield _check(thread, limits.side, size, None if outer else limit, limit if outer else None)


def _plated_checks(
    thread: Thread, side: str, read: Sequence[Size], virtual: Virtual | None, plating: Plating
) -> Iterator[Check]:
    """What was read against the basic sizes, beyond which no plating may go."""
    sizes = [replace(size, label=f"plated {size.label}") for size in read]
    if virtual is not None:
        factor = growth(thread.form, "pitch_diameter")
        plated = virtual.value + (1 if side == "external" else -1) * factor * plating.thickness
        u = math.sqrt(max(virtual.u**2 - (factor * plating.u) ** 2, 0.0))
        label = "plated virtual pitch diameter"
        sizes.append(
            Size(
                quantity="virtual_pitch_diameter", label=label, low=plated, high=plated, u=u, instrument="",
            )
        )  # fmt: skip
    for size in sizes:
        limit = limit_when_plated(thread, side, size.quantity.removeprefix("virtual_"))
        if limit is not None:
            ends = (None, limit) if side == "external" else (limit, None)
            plated_size = replace(size, quantity=f"plated_{size.quantity}")
            yield _check(thread, side, plated_size, *ends)


def _comb_check(thread: Thread, pitch: Pitch | None) -> list[Check]:
    """A comb's leaf that drifts visibly from the thread's pitch proves another pitch."""
    if pitch is None or pitch.kind != "comb":
        return []
    visible = pitch.visible_mm or judgement.COMB_PITCHES * pitch.value_mm
    drift = visible / pitch.value_mm * abs(pitch.value_mm - thread.pitch_mm)
    if drift <= judgement.COMB_DAYLIGHT_MM:
        return []
    slack = judgement.COMB_DAYLIGHT_MM * pitch.value_mm / visible
    return [
        Check(
            quantity="pitch",
            label="pitch",
            low=pitch.value_mm,
            high=pitch.value_mm,
            u=slack / GUARD_FACTOR,
            least=thread.pitch_mm,
            greatest=thread.pitch_mm,
            decision="does not conform",
            probability=None,
            instrument="comb",
            remedy="",
        )
    ]


def _overall(checks: Sequence[Check], missing: Sequence[str]) -> Decision:
    decisions = {check.decision for check in checks}
    if "does not conform" in decisions:
        return "does not conform"
    return "cannot tell" if "cannot tell" in decisions or missing else "conforms"


def _joint(checks: Sequence[Check]) -> float | None:
    """Product over the quantities; the least favourable of several readings of one quantity counts."""
    worst: dict[str, float] = {}
    for check in checks:
        if check.probability is None:
            return None
        name = check.quantity.removeprefix("plated_").removeprefix("virtual_")
        worst[name] = min(worst.get(name, 1.0), check.probability)
    return math.prod(worst.values())


def _notes(
    thread: Thread, readings: Readings, limits: Limits, virtual: Virtual | None, plating: Plating | None
) -> Iterator[str]:
    if limits.basis in ("from memory", "estimated"):
        yield f"The limits used for {thread.designation} are {limits.basis}."
    if thread.taper:
        yield "Limits of a taper thread are those at its gauge plane: measure there."
    if readings.side == "internal":
        yield "The major diameter of a hole is left to the tap; it is not needed to tell."
    if plating is not None:
        yield from _plating_notes(thread, limits, plating)
    if virtual is None:
        yield (
            "Pitch and flank angles were not measured: their errors take up room that the pitch diameter "
            "alone does not show."
        )
    if readings.pitch is not None and readings.pitch.kind == "comb":
        yield "A comb can prove another pitch, but not that this one is within its limits."


def _plating_notes(thread: Thread, limits: Limits, plating: Plating) -> Iterator[str]:
    yield (
        f"Plating {_um(plating.thickness)} +- {_um(plating.u)} um: the limits of the class hold below it; "
        "the plated thread may reach the basic sizes but not pass them (from memory)."
    )
    found = thickest(thread, limits)
    if found is None:
        return
    allowance, most = found
    kind = f"class {limits.tolerance_class}".strip()
    if most > 0:
        yield (
            f"The allowance of {kind}, {format_decimal(allowance, 3)} mm on the pitch diameter, takes "
            f"{_um(most)} um of plating at its limit of most metal."
        )
    else:
        yield f"A part at the limit of most metal of {kind} cannot be plated: there is no allowance."


def _um(value: float) -> str:
    return format_decimal(1000 * value, 1)
