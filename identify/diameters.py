"""Diameters that follow from what was read: over wires, between balls, by known screws; and what pitch and
flank errors leave of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from threadwright import judgement
from threadwright.instruments import wires_uncertainty
from threadwright.mating_sizes import straight_depth
from threadwright.over_wires import check_wire, pitch_diameter_from_wires
from threadwright.reading import LABELS, Reading
from threadwright.reading_text import parse_reading
from threadwright.readings import Readings
from threadwright.tables.errors import DesignationError, ReadingError, UnknownThreadError
from threadwright.tables.numbers import format_decimal, shorten
from threadwright.tables.registry import find_thread_and_class
from threadwright.tables.thread import Thread
from threadwright.tables.wire_relations import (
    pitch_diameter_between_balls,
    pitch_diameter_from_ball_ends,
    span_of_offset_balls,
)
from threadwright.tables.wires import wire_constants

__all__ = ["Balls", "Size", "Virtual", "diameters", "read_balls", "virtual_of", "virtual_pitch_diameter"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Balls:
    """Two balls in opposite grooves of a hole.

    ``gap`` is measured square to the axis between their inner faces, ``span`` over the ball ends of an inside
    micrometer, which lie half a pitch apart where the starts are odd: give one of them.
    """

    ball: Reading
    gap: Reading | None = None
    span: Reading | None = None


def read_balls(ball: str, *, gap: str | None = None, span: str | None = None) -> Balls:
    """Read what was measured by balls.

    Parameters
    ----------
    ball, gap, span : str
        Texts such as ``"0.85 mm"``; a micrometer is meant where no instrument is named.

    Returns
    -------
    Balls

    Raises
    ------
    ReadingError
        If one cannot be read.

    Examples
    --------
    >>> read_balls("0.85 mm", gap="7.85 mm").gap.value
    7.85
    """

    def between(label: str, text: str | None) -> Reading | None:
        return None if text is None else _parsed(label, "over_wires", text)

    return Balls(
        ball=_parsed("ball", "wire", ball), gap=between("ball gap", gap), span=between("ball span", span)
    )


def _parsed(label: str, name: str, text: str) -> Reading:
    """A reading whose faults are told under its own name."""
    try:
        return parse_reading(name, text)
    except ReadingError as fault:
        raise ReadingError(f"{label}: {str(fault).partition(': ')[2]}") from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A diameter as it was read, or follows from what was read. [mm]"""

    quantity: str
    label: str
    low: float
    high: float
    u: float
    instrument: str

    unit: str = "mm"
    u_beside: float = 0.0
    """What of the doubt is not the instrument's: that of a plating."""

    @property
    def single(self) -> bool:
        """Whether it is one value, not an interval."""
        return self.low == self.high


def diameters(
    thread: Thread, readings: Readings, balls: Balls | None, enters: Sequence[str], refused: Sequence[str]
) -> Iterator[Size]:
    """Every diameter read or derived.

    Parameters
    ----------
    thread : Thread
    readings : Readings
    balls : Balls or None
    enters, refused : sequence of str
        Known screws.

    Yields
    ------
    Size

    Raises
    ------
    ReadingError
        If a wire, ball or known screw does not suit the thread, or two of them contradict each other.
    """
    for name in ("major", "pitch_diameter", "minor"):
        found = getattr(readings, name)
        if found is not None:
            yield _as_read(thread, readings, found)
    if readings.over_wires is not None:
        yield _from_wires(thread, readings)
    if balls is not None:
        yield _from_balls(thread, balls)
    if enters or refused:
        yield _from_screws(thread, enters, refused)


def _as_read(thread: Thread, readings: Readings, found: Reading) -> Size:
    """One diameter; a cast is enlarged by its shrinkage, and anvils that do not fit the thread add doubt."""
    u, scale = found.u, 1.0
    if found.name == "pitch_diameter" and readings.anvil is not None:
        off = abs(readings.anvil - thread.form.thread_angle)
        u = math.hypot(u, judgement.WRONG_ANVIL_U_MM) if off > judgement.ANVIL_TOLERANCE_DEG else u
    if readings.evidence.cast_shrinkage is not None:
        scale = 1 / (1 - readings.evidence.cast_shrinkage)
        u = math.hypot(u, judgement.SHRINKAGE_U * found.value * scale)
    return Size(
        quantity=found.name,
        label=LABELS[found.name],
        low=found.low * scale,
        high=found.high * scale,
        u=u,
        instrument=found.instrument,
    )


def _from_wires(thread: Thread, readings: Readings) -> Size:
    """Pitch diameter from a measurement over wires; the pitch is taken as the thread's own."""
    over = readings.over_wires
    assert over is not None
    check_wire(thread, over.wire_mm)
    three, u_three = over.three_wire
    found = pitch_diameter_from_wires(thread, over=three, wire=over.wire_mm)
    u = wires_uncertainty(flank_angle=thread.form.flank_angle, u_over_wires=u_three, u_wire=over.u_wire_mm)
    return Size(
        quantity="pitch_diameter",
        label="pitch diameter over wires",
        low=found,
        high=found,
        u=u,
        instrument=over.instrument,
    )


def _from_balls(thread: Thread, balls: Balls) -> Size:
    given = [one for one in (balls.gap, balls.span) if one is not None]
    if len(given) != 1:
        raise ReadingError("balls: give either the gap between them or the span over the ball ends")
    check_wire(thread, balls.ball.value)
    sizes = {"flank_angle": thread.form.flank_angle, "pitch": thread.pitch_mm, "ball": balls.ball.value}
    factor = wire_constants(thread.form).diameter_factor
    if balls.gap is not None:
        found = pitch_diameter_between_balls(balls.gap.value, **sizes)
    else:
        square = given[0].value
        if thread.starts % 2:  # the grooves on opposite sides lie half a pitch apart
            centres = span_of_offset_balls(square - balls.ball.value, pitch=thread.pitch_mm)
            square = centres + balls.ball.value
        found, factor = pitch_diameter_from_ball_ends(square, **sizes), factor - 2
    return Size(
        quantity="pitch_diameter",
        label="pitch diameter by balls",
        low=found,
        high=found,
        u=math.hypot(given[0].u, factor * balls.ball.u),
        instrument="balls",
    )


def _from_screws(thread: Thread, enters: Sequence[str], refused: Sequence[str]) -> Size:
    """Between the largest known screw that runs in and the smallest that does not start."""
    low = max((_known_screw(text, thread)[0] for text in enters), default=-math.inf)
    high = min((_known_screw(text, thread)[1] for text in refused), default=math.inf)
    if not low < high:
        raise ReadingError(
            f"known screws: one of {_mm(low)} runs in and one of {_mm(high)} does not start; try both again"
        )
    return Size(
        quantity="pitch_diameter",
        label="pitch diameter by known screws",
        low=low,
        high=high,
        u=judgement.INSTRUMENT_U_MM["plug gauge"],
        instrument="known screws",
    )


def _known_screw(text: str, thread: Thread) -> tuple[float, float]:
    """Least and greatest pitch diameter of a known screw of the same pitch and form. [mm]"""
    try:
        known, name = find_thread_and_class(text)
    except (DesignationError, UnknownThreadError):
        found = parse_reading("pitch_diameter", text).value
        return found, found
    if (known.pitch_mm, known.form, known.starts, known.left_hand) != (
        thread.pitch_mm,
        thread.form,
        thread.starts,
        thread.left_hand,
    ):
        raise ReadingError(
            f"known screw: {shorten(text)} has another pitch, form or hand than {thread.designation}, so it "
            "does not measure that; see 'threadwright mate'"
        )
    limits = known.limits("external", name).in_mm()
    if not math.isfinite(limits.pitch_diameter_min + limits.pitch_diameter_max):
        raise ReadingError(
            f"known screw: the tables hold no pitch diameter limits of {shorten(text)}; give the one measured"
        )
    return limits.pitch_diameter_min, limits.pitch_diameter_max


@dataclass(frozen=True, slots=True, kw_only=True)
class Virtual:
    """Pitch diameter that pitch and flank errors leave for the mating part, and its doubt. [mm]"""

    value: float
    u: float
    from_pitch: float
    from_flanks: float


def virtual_pitch_diameter(
    pitch_diameter: float,
    *,
    side: str,
    flank_angle: float,
    depth: float,
    pitch_error: float = 0.0,
    flank_error: float = 0.0,
) -> Virtual:
    r"""Pitch diameter of the perfect thread that an imperfect one just lets in.

    .. math:: E_v = E \pm \left(\delta p \cot\alpha + h\,\frac{2\,\delta\alpha}{\sin 2\alpha}\right)

    with plus for a screw and minus for a hole.

    Parameters
    ----------
    pitch_diameter : float
        Simple pitch diameter, E. [mm]
    side : {"external", "internal"}
    flank_angle : float
        One flank, alpha. [deg]
    depth : float
        Depth of straight flank in contact, h. [mm]
    pitch_error : float
        Cumulative over the length engaged, of either sign. [mm]
    flank_error : float
        Of each flank, of either sign. [deg]

    Returns
    -------
    Virtual
        Without uncertainty (0). [mm]

    References
    ----------
    National Physical Laboratory, Notes on Screw Gauges, sections 3.3 and 3.4 (its contents page;
    teaching slides).

    Examples
    --------
    One degree on each flank of an M10, and 0.01 mm of pitch:

    >>> found = virtual_pitch_diameter(
    ...     9.0, side="external", flank_angle=30.0, depth=0.812, pitch_error=0.01, flank_error=1.0
    ... )
    >>> round(found.value, 3)
    9.05
    """
    alpha = math.radians(flank_angle)
    from_pitch = abs(pitch_error) / math.tan(alpha)
    from_flanks = depth * 2 * math.radians(abs(flank_error)) / math.sin(2 * alpha)
    sign = 1.0 if side == "external" else -1.0
    value = pitch_diameter + sign * (from_pitch + from_flanks)
    return Virtual(value=value, u=0.0, from_pitch=from_pitch, from_flanks=from_flanks)


def virtual_of(thread: Thread, readings: Readings, simple: Size, engaged: float) -> Virtual | None:
    """Virtual pitch diameter, if the pitch was measured or a flank angle read; else None.

    Parameters
    ----------
    thread : Thread
    readings : Readings
    simple : Size
        Pitch diameter. [mm]
    engaged : float
        Length over which an error of the pitch adds up. [mm]

    Returns
    -------
    Virtual or None
    """
    pitch, flank = readings.pitch, readings.flank_angle
    measured = pitch is not None and pitch.kind == "measured"
    if not measured and flank is None:
        return None
    angle = thread.form.flank_angle
    threads = engaged / thread.pitch_mm
    error, u_error = 0.0, 0.0
    if pitch is not None and pitch.u_mm is not None:
        error, u_error = threads * (pitch.value_mm - thread.pitch_mm), threads * pitch.u_mm
    depth = straight_depth(thread.form) * thread.pitch_mm
    off, u_off = (0.0, 0.0) if flank is None else (flank.value - angle, flank.u)
    parts = {"side": readings.side, "flank_angle": angle, "depth": depth}
    found = virtual_pitch_diameter(simple.low, **parts, pitch_error=error, flank_error=off)  # type: ignore[arg-type]
    doubt = virtual_pitch_diameter(0.0, **parts, pitch_error=u_error, flank_error=u_off)  # type: ignore[arg-type]
    u = math.sqrt(simple.u**2 + doubt.from_pitch**2 + doubt.from_flanks**2)
    return Virtual(value=found.value, u=u, from_pitch=found.from_pitch, from_flanks=found.from_flanks)


def _mm(value: float) -> str:
    return f"{format_decimal(value, 4)} mm"
