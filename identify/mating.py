"""Will this screw enter that hole, how far, and what is left of the strength.

Answers are for a rigid pair at the tightest limits, the basic sizes, the loosest limits and the sizes
read. Never force a screw to test a hole; taps are not gauges.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

from threadwright.diameters import diameters
from threadwright.mating_sizes import STATES, SideSizes, sizes_of
from threadwright.pairing import OUTCOMES, Outcome, pair
from threadwright.readings import Readings
from threadwright.tables.errors import ReadingError
from threadwright.tables.thread import Side, Thread

__all__ = ["WARNING", "Case", "Mating", "Verdict", "mate"]

WARNING = "Never force a screw to test a hole; taps are not gauges."
Verdict = Literal[
    "fits", "tight", "binds", "wedges", "strips", "drops through", "does not enter", "another helix"
]
_WITHOUT_END = ("pitch", "load_flank", "clear_flank")
_COVERAGE = 2.0  # standard uncertainties to either end of a reading's doubt, about 95 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One pair of sizes; lengths are diametral unless said. [mm]"""

    sizes: str
    """``tightest``, ``basic``, ``loosest``, ``as read`` or one end of the doubt of the readings."""
    outcome: Outcome
    clearance: float
    """Hole less screw on the effective diameter."""
    flank_mismatch: float
    """What of it unlike flank angles take up."""
    crest_room: float
    root_room: float
    turns: float
    """Turns by hand before it binds, one for chamfer and burrs among them; inf if it never binds. [-]"""
    interference_per_turn: float
    overlap: float
    """Radial."""
    overlap_share: float
    """Over the basic depth of the hole's thread. [-]"""
    strength_left: float
    """Share of the strength of the hole's own screw, or the screw's own nut, at the same limits. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mating:
    """One screw and one hole."""

    screw: Thread
    hole: Thread
    length: float
    """Length engaged. [mm]"""
    verdict: Verdict
    cases: tuple[Case, ...]
    notes: tuple[str, ...]

    def sentence(self) -> str:
        """The verdict in words."""
        at = [case.sizes for case in self._judged if case.outcome == _OUTCOME_OF[self.verdict]]
        where = "" if len(at) == len(self._judged) else f" ({' and '.join(_AT[sizes] for sizes in at)})"
        return f"Screw {_name(self.screw)} in hole {_name(self.hole)}: {_WORDS[self.verdict]}{where}."

    @property
    def _judged(self) -> tuple[Case, ...]:
        """The readings if there are any, else the limits."""
        return self.cases[len(STATES) :] or self.cases

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON, lengths in mm; turns are None where it never binds."""
        return {
            "schema_version": 1,
            "screw": _name(self.screw),
            "hole": _name(self.hole),
            "length_engaged": self.length,
            "verdict": self.verdict,
            "sentence": self.sentence(),
            "cases": [_plain(asdict(case)) for case in self.cases],
            "notes": list(self.notes),
            "warning": WARNING,
        }


_WORDS: Mapping[Verdict, str] = {
    "fits": "it runs in and holds",
    "tight": "it starts by hand only where the parts have room to spare, then runs in and holds",
    "binds": "it starts by hand, then binds; not a joint",
    "wedges": "it wedges on its taper, as a pipe thread is meant to; no gauge of fit",
    "strips": "it runs in, but holds too little and strips",
    "drops through": "it drops through; no thread catches",
    "does not enter": "it does not start by hand",
    "another helix": "starts or hands differ; it cannot run in",
}
_OUTCOME_OF: Mapping[Verdict, Outcome] = {
    "fits": "runs",
    "tight": "runs",
    "binds": "binds",
    "wedges": "wedges",
    "strips": "strips",
    "drops through": "drops through",
    "does not enter": "does not enter",
    "another helix": "another helix",
}
_VERDICT_OF: Mapping[Outcome, Verdict] = {
    outcome: verdict for verdict, outcome in _OUTCOME_OF.items() if verdict != "tight"
}
_AT: Mapping[str, str] = {
    "tightest": "at the tightest limits",
    "basic": "at basic sizes",
    "loosest": "at the loosest limits",
    "as read, tight end": "at the tight end of the readings' doubt",
    "as read": "as read",
    "as read, loose end": "at the loose end of the readings' doubt",
}


def mate(
    screw: Thread,
    hole: Thread,
    *,
    screw_class: str | None = None,
    hole_class: str | None = None,
    screw_readings: Readings | None = None,
    hole_readings: Readings | None = None,
    length: float | None = None,
) -> Mating:
    """Will this screw enter that hole, how many turns before it binds, and what is left of the strength.

    Parameters
    ----------
    screw, hole : Thread
    screw_class, hole_class : str, optional
        The usual commercial ones if left out.
    screw_readings, hole_readings : Readings, optional
        Taken on the parts; what was not measured counts at its basic size.
    length : float, optional
        Length engaged; one diameter of the screw if left out. [mm]

    Returns
    -------
    Mating

    Raises
    ------
    ReadingError
        If the length is not above 0, readings are of the other side, wires do not suit the thread, or one
        flank angle is given of a thread with unlike flanks.
    UnknownThreadError
        If a thread has no such class.

    References
    ----------
    A rigid model: see :mod:`threadwright.pairing`. About one turn more for chamfer and burrs: common
    practice, no source.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> mate(find_thread("M5"), find_thread("2 BA")).sentence()
    'Screw M5x0.8 in hole 2 BA: it does not start by hand.'
    """
    if length is not None and not 0 < length < math.inf:
        raise ReadingError(f"length engaged: cannot be {length} mm; give a length above 0, like '12 mm'")
    engaged = length if length is not None else screw.major_basic * screw.to_mm
    classes = {"external": screw_class, "internal": hole_class}
    cases = []
    for state in STATES:
        outer = sizes_of(screw, "external", state, tolerance_class=classes["external"])
        inner = sizes_of(hole, "internal", state, tolerance_class=classes["internal"])
        cases.append(_case(state, outer, inner, engaged))
    by_tables = tuple(cases)
    outer_read = _sizes_read(screw, "external", screw_readings)
    inner_read = _sizes_read(hole, "internal", hole_readings)
    read = _read_cases(screw, hole, outer_read, inner_read, engaged)
    return Mating(
        screw=screw,
        hole=hole,
        length=engaged,
        verdict=_verdict(read or by_tables),
        cases=(*by_tables, *read),
        notes=tuple(_notes(screw, hole, read or by_tables, outer_read, inner_read)),
    )


def _sizes_read(thread: Thread, side: Side, readings: Readings | None) -> dict[str, tuple[float, float]]:
    """Diameters, pitch and flanks that were read, each with its standard uncertainty. [mm, deg]"""
    if readings is None:
        return {}
    if readings.side != side:
        raise ReadingError(f"readings: these are of the {readings.side} thread; give those of the {side} one")
    found = {
        size.quantity: (
            (size.low + size.high) / 2,
            math.hypot(size.u, (size.high - size.low) / math.sqrt(12)),
        )
        for size in diameters(thread, readings, None, (), ())
    }
    if readings.pitch is not None:
        found["pitch"] = (readings.pitch.value_mm, readings.pitch.u_mm or 0.0)
    if readings.flank_angle is not None:
        if not thread.form.symmetric:
            raise ReadingError(
                f"flank angle: the flanks of {thread.designation} differ, so one angle does not say which; "
                "leave it out"
            )
        flank = (readings.flank_angle.value, readings.flank_angle.u)
        found |= {"load_flank": flank, "clear_flank": flank}
    return found


def _read_cases(
    screw: Thread,
    hole: Thread,
    outer: Mapping[str, tuple[float, float]],
    inner: Mapping[str, tuple[float, float]],
    engaged: float,
) -> tuple[Case, ...]:
    """The readings themselves, and both ends of their doubt."""
    if not outer and not inner:
        return ()
    found = []
    for name, sign in (("as read, tight end", 1.0), ("as read", 0.0), ("as read, loose end", -1.0)):
        larger = sizes_of(screw, "external", read=_shifted(outer, sign))
        smaller = sizes_of(hole, "internal", read=_shifted(inner, -sign))
        found.append(_case(name, larger, smaller, engaged))
    return tuple(found)


def _shifted(read: Mapping[str, tuple[float, float]], sign: float) -> dict[str, float]:
    """Diameters at one end of their doubt; pitch and flanks have no tight end and stay."""
    return {
        name: value + (0.0 if name in _WITHOUT_END else sign * _COVERAGE * u)
        for name, (value, u) in read.items()
    }


def _case(name: str, outer: SideSizes, inner: SideSizes, engaged: float) -> Case:
    found = pair(outer, inner, length=engaged)
    return Case(
        sizes=name,
        outcome=OUTCOMES[int(found.outcome[0])],
        clearance=float(found.clearance[0]),
        flank_mismatch=float(found.mismatch[0]),
        crest_room=float(found.crest_room[0]),
        root_room=float(found.root_room[0]),
        turns=float(found.turns[0]),
        interference_per_turn=float(found.per_turn[0]),
        overlap=float(found.overlap[0]),
        overlap_share=float(found.overlap_share[0]),
        strength_left=float(found.strength[0]),
    )


def _verdict(cases: tuple[Case, ...]) -> Verdict:
    """The worst that may happen among the sizes at which the screw starts at all."""
    outcomes = {case.outcome for case in cases}
    if "runs" in outcomes and not outcomes & {"binds", "wedges", "strips"}:
        return "fits" if outcomes == {"runs"} else "tight"
    order: tuple[Outcome, ...] = (
        "binds",
        "strips",
        "wedges",
        "does not enter",
        "drops through",
        "another helix",
    )
    return next(_VERDICT_OF[outcome] for outcome in order if outcome in outcomes)


def _notes(
    screw: Thread,
    hole: Thread,
    cases: tuple[Case, ...],
    outer: Mapping[str, tuple[float, float]],
    inner: Mapping[str, tuple[float, float]],
) -> list[str]:
    found = []
    if screw.left_hand != hole.left_hand:
        found.append("One is left hand, the other right hand.")
    if screw.starts != hole.starts:
        found.append(f"The screw has {screw.starts} start{_s(screw.starts)}, the hole {hole.starts}.")
    if screw.taper or hole.taper:
        found.append("Sizes of a taper thread are those at its gauge plane; it starts by its small end.")
    if screw.taper != hole.taper:
        found.append(f"Tapers differ: the screw has {_taper(screw)}, the hole {_taper(hole)}.")
    found += _parting(screw, hole, outer, inner)
    for name, said in (
        ("crest_room", "crest fouls the hole's root"),
        ("root_room", "root fouls the hole's crest"),
    ):
        worst = min(getattr(case, name) for case in cases)
        if worst < 0 and not (screw.taper or hole.taper):
            found.append(f"The screw's {said}, at worst by {-worst:.3f} mm on diameter.")
    return found


def _parting(
    screw: Thread,
    hole: Thread,
    outer: Mapping[str, tuple[float, float]],
    inner: Mapping[str, tuple[float, float]],
) -> Iterator[str]:
    """How far pitches and thread angles part, as read where they were read."""
    pitch = inner.get("pitch", (hole.pitch_mm, 0.0))[0]
    drift = outer.get("pitch", (screw.pitch_mm, 0.0))[0] - pitch
    if abs(drift) > 1e-9:
        yield (f"The pitches part by {abs(drift):.4f} mm in each thread ({100 * abs(drift) / pitch:.1f} %).")
    angles = [
        2 * read["load_flank"][0] if "load_flank" in read else thread.form.thread_angle
        for thread, read in ((screw, outer), (hole, inner))
    ]
    apart = abs(angles[0] - angles[1])
    if apart > 1e-9:
        yield f"The thread angles differ by {apart:.3g} deg: the flanks touch at one end of their depth."


def _name(thread: Thread) -> str:
    return f"{thread.designation} LH" if thread.left_hand else thread.designation


def _taper(thread: Thread) -> str:
    return f"1 in {float(1 / thread.taper):g}" if thread.taper else "none"


def _s(number: int) -> str:
    return "" if number == 1 else "s"


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    """Infinity as None, which JSON can say."""
    return {name: None if value == math.inf else value for name, value in values.items()}
