"""Wires in one thread: what they show at the limits of each class, and which of those owned to take."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from threadwright import judgement
from threadwright.instruments import wires_uncertainty
from threadwright.reading import Reading
from threadwright.reading_text import parse_reading
from threadwright.tables.errors import FileFaultError, ReadingError, TableError
from threadwright.tables.numbers import format_decimal, shorten
from threadwright.tables.thread import Thread
from threadwright.tables.wire_contact import contact_best_wire, lead_angle
from threadwright.tables.wire_relations import elastic_compression
from threadwright.tables.wires import CLOSED_BELOW, size_over_wires, wire_constants

__all__ = [
    "ClassSizes",
    "OwnedWire",
    "WireSheet",
    "check_wire",
    "owned_wires",
    "pitch_diameter_from_wires",
    "read_wire_drawer",
    "size_over",
    "wire_sheet",
]

_KEYS = ("wires", "needles", "shanks")
_STEPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassSizes:
    """What wires show at the limits of one class, least and greatest; without taper. [mm]"""

    tolerance_class: str
    pitch_diameter: tuple[float, float]
    three_wires: tuple[float, float]
    two_wires: tuple[float, float]
    """Under the wires, T = M - 2 w."""
    one_wire: tuple[float, float]
    """Over one wire and the opposite crest, (M + d) / 2 with the basic major diameter d."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedWire:
    """A wire at hand, and what it brings to the pitch diameter. [mm]"""

    wire: float
    u_wire: float
    instrument: str
    u_from_wire: float
    u_from_flank: float
    """From the flank angle, which a commercial thread keeps to about half a degree; 0 for a best wire."""
    u_pitch_diameter: float
    """In all, with a micrometer over three of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WireSheet:
    """All that wires need to know of one thread. [mm]"""

    thread: Thread
    best: float
    least: float
    greatest: float
    wire: float
    """The wire that the sizes are for."""
    lead_correction: float
    """What the slope of the thread adds to the size over wires; it is in the sizes."""
    compression: float
    """Estimate of what wires and flanks give way under the force; it is not in the sizes."""
    force: float
    """Measuring force. [N]"""
    basic: ClassSizes
    classes: tuple[ClassSizes, ...]
    owned: tuple[OwnedWire, ...]
    """The best three, the best first."""
    unfit: tuple[float, ...]
    """Owned, but too thin or too thick."""

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON, lengths in mm."""
        plain = {name: getattr(self, name) for name in ("best", "least", "greatest", "wire", "force")}
        return {
            "schema_version": 1,
            "thread": self.thread.designation,
            **plain,
            "lead_correction": self.lead_correction,
            "compression_estimated": self.compression,
            "basic": asdict(self.basic),
            "classes": [asdict(one) for one in self.classes],
            "owned": [asdict(one) for one in self.owned],
            "unfit": list(self.unfit),
        }


def size_over(thread: Thread, *, pitch_diameter: float, wire: float) -> float:
    """Size over three wires laid in one thread.

    Parameters
    ----------
    thread : Thread
    pitch_diameter, wire : float
        [mm]

    Returns
    -------
    float
        Size over wires, M, the slope of the thread counted. [mm]

    Raises
    ------
    TableError
        If the form is asymmetric.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> round(size_over(find_thread("M10"), pitch_diameter=9.026, wire=0.866), 3)
    10.327
    """
    wire_constants(thread.form)
    size = size_over_wires(
        flank_angle=thread.form.flank_angle,
        pitch=thread.pitch_mm,
        lead=thread.lead_mm,
        pitch_diameter=np.array([pitch_diameter]),
        wire=wire,
    )
    return float(size[0])


def pitch_diameter_from_wires(thread: Thread, *, over: float, wire: float) -> float:
    """Pitch diameter of a screw from the size over three wires.

    Parameters
    ----------
    thread : Thread
        Its pitch, lead and flank angle count.
    over, wire : float
        Size over wires and wire. [mm]

    Returns
    -------
    float
        [mm]

    Raises
    ------
    TableError
        If the form is asymmetric.
    ReadingError
        If nothing is left between the wires.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> thread = find_thread("M10")
    >>> over = size_over(thread, pitch_diameter=8.95, wire=0.9)
    >>> round(pitch_diameter_from_wires(thread, over=over, wire=0.9), 9)
    8.95
    """
    constants = wire_constants(thread.form)
    found = over - constants.diameter_factor * wire + constants.pitch_factor * thread.pitch_mm
    if not found > 0:
        raise ReadingError(
            f"over wires: {_mm(over)} leaves no {thread.designation} between wires of {_mm(wire)}; check both"
        )
    for _ in range(_STEPS):  # the slope of the thread hardly depends on the diameter
        found += over - size_over(thread, pitch_diameter=found, wire=wire)
    return found


def check_wire(thread: Thread, wire: float) -> None:
    """Refuse a wire that cannot touch the flanks, or does not stand proud of the crests.

    Parameters
    ----------
    thread : Thread
    wire : float
        [mm]

    Raises
    ------
    ReadingError
        If it is outside the range of this thread.
    TableError
        If the form is asymmetric.
    """
    least, greatest = _range(thread)
    if not least <= wire <= greatest:
        fault = "does not stand proud of the crests" if wire < least else "does not reach the flanks"
        raise ReadingError(
            f"wire: {_mm(wire)} {fault} of {thread.designation}; "
            f"use wires from {_mm(least)} to {_mm(greatest)}"
        )


def wire_sheet(
    thread: Thread,
    *,
    wire: float | None = None,
    owned: Iterable[Reading] = (),
    force: float = judgement.MEASURING_FORCE_N,
) -> WireSheet:
    """Best wire, allowed range and size over wires at the limits of each class; the best of those owned.

    Parameters
    ----------
    thread : Thread
    wire : float, optional
        Wire that the sizes are for; the best of those owned, or else the best size. [mm]
    owned : iterable of Reading
        Wires at hand.
    force : float
        Measuring force, for the estimate of the compression. [N]

    Returns
    -------
    WireSheet

    Raises
    ------
    ReadingError
        If the wire is outside the range of this thread, or the thread is internal only.
    TableError
        If the form is asymmetric, or the force below 0.

    References
    ----------
    Machinery's Handbook 31st ed. pp. 2127-2131.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> sheet = wire_sheet(find_thread("3/8-20 BSF"), wire=0.75)
    >>> round(sheet.best, 3), [one.tolerance_class for one in sheet.classes]
    (0.716, ['close', 'medium', 'free'])
    """
    if "external" not in thread.sides:
        raise ReadingError(
            f"{thread.designation}: wires lie on an external thread only; measure a hole by balls, or a cast "
            "of it"
        )
    form, pitch = thread.form, thread.pitch_mm
    constants = wire_constants(form)
    least, greatest = _range(thread)
    if wire is not None:
        check_wire(thread, wire)
    at_hand = sorted({reading.value: reading for reading in owned}.values(), key=lambda one: one.value)
    fit = [_owned(thread, one) for one in at_hand if least <= one.value <= greatest]
    fit.sort(key=lambda one: one.u_pitch_diameter)
    best = _best(thread)
    used = wire if wire is not None else fit[0].wire if fit else best
    basic = thread.pitch_diameter_basic * thread.to_mm
    limits = [row.in_mm() for row in thread.all_limits if row.side == "external"]
    return WireSheet(
        thread=thread,
        best=best,
        least=least,
        greatest=greatest,
        wire=used,
        lead_correction=size_over(thread, pitch_diameter=basic, wire=used)
        - (basic + constants.diameter_factor * used - constants.pitch_factor * pitch),
        compression=elastic_compression(force, flank_angle=form.flank_angle, pitch_diameter=basic, wire=used),
        force=force,
        basic=_class_sizes(thread, "", basic, basic, used),
        classes=tuple(
            _class_sizes(thread, row.tolerance_class, row.pitch_diameter_min, row.pitch_diameter_max, used)
            for row in limits
            if math.isfinite(row.pitch_diameter_min) and math.isfinite(row.pitch_diameter_max)
        ),
        owned=tuple(fit[:3]),
        unfit=tuple(one.value for one in at_hand if not least <= one.value <= greatest),
    )


def owned_wires(text: str) -> tuple[Reading, ...]:
    """Wires at hand, from a text; a bare size is one marked on a drill shank.

    Parameters
    ----------
    text : str
        Sizes parted by commas, such as ``"0.5 mm, 0.548 mm by micrometer"``.

    Returns
    -------
    tuple of Reading

    Raises
    ------
    ReadingError
        If a size cannot be read.

    Examples
    --------
    >>> [(wire.value, wire.u) for wire in owned_wires("0.5 mm, 0.548 mm by micrometer")]
    [(0.5, 0.01), (0.548, 0.002)]
    """
    return tuple(_wire(part, marked=True) for part in text.split(","))


def read_wire_drawer(path: str | Path) -> tuple[Reading, ...]:
    """Wires at hand, from a TOML file with lists ``wires``, ``needles`` and ``shanks``.

    The sizes of wires and needles are taken as measured, those of drill shanks as marked.

    Parameters
    ----------
    path : str or Path
        The file.

    Raises
    ------
    FileFaultError
        If the file is missing, unreadable or not TOML.
    ReadingError
        If a key is unknown, a list is not one of sizes, or nothing is in it.
    """
    try:
        table = tomllib.loads(Path(path).read_bytes().decode("utf-8"))
    except OSError as error:
        raise FileFaultError(
            f"drawer {path}: cannot read it ({error.strerror}); give the path of a TOML file"
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileFaultError(
            f'drawer {path}: not a TOML file ({error}); write shanks = ["0.7 mm"]'
        ) from error
    return _drawer(table, f"drawer {path}")


def _drawer(table: Mapping[str, object], name: str) -> tuple[Reading, ...]:
    found: list[Reading] = []
    for key, sizes in table.items():
        if key not in _KEYS:
            raise ReadingError(f"{name}: no such key {shorten(key)}; it may hold {', '.join(_KEYS)}")
        if not isinstance(sizes, list) or not all(isinstance(size, str) for size in sizes):
            raise ReadingError(
                f'{name}: {key} must be a list of sizes like ["0.7 mm"], not {shorten(str(sizes))}'
            )
        found += [_wire(size, marked=key == "shanks") for size in sizes]
    if not found:
        raise ReadingError(f'{name}: it holds no wires; write a list like shanks = ["0.7 mm", "0.75 mm"]')
    return tuple(found)


def _wire(text: str, *, marked: bool) -> Reading:
    """One wire; a marked size that says nothing of its doubt has that of a drill shank."""
    found = parse_reading("wire", text.strip())
    if marked and found.instrument == "wires":
        shank = "drill shank"
        return Reading("wire", found.value, judgement.INSTRUMENT_U_MM[shank], instrument=shank)
    return found


def _range(thread: Thread) -> tuple[float, float]:
    constants = wire_constants(thread.form)
    return constants.least * thread.pitch_mm, constants.greatest * thread.pitch_mm


def _best(thread: Thread) -> float:
    """Wire that touches at the pitch diameter; on a steep thread one a little thinner than the form's own."""
    level = wire_constants(thread.form).best * thread.pitch_mm
    sizes = {"lead": thread.lead_mm, "pitch_diameter": thread.pitch_diameter_basic * thread.to_mm}
    if float(lead_angle(**sizes)) <= CLOSED_BELOW:
        return level
    try:
        touching = contact_best_wire(flank_angle=thread.form.flank_angle, pitch=thread.pitch_mm, **sizes)
    except TableError:  # so steep that no wire finds a rest; the sizes over it say so
        return level
    return max(touching, _range(thread)[0])  # on a sharp V it would not stand proud of the crests


def _owned(thread: Thread, one: Reading) -> OwnedWire:
    alpha = math.radians(thread.form.flank_angle)
    pitch = thread.pitch_mm
    slope = (one.value * math.cos(alpha) - pitch / 2) / math.sin(alpha) ** 2
    from_flank = abs(slope) * math.radians(judgement.FLANK_ERROR_DEG)
    over = math.hypot(judgement.INSTRUMENT_U_MM["wires"], judgement.WIRE_FLATTENING_U_MM)
    angle = thread.form.flank_angle
    total = wires_uncertainty(flank_angle=angle, u_over_wires=over, u_wire=one.u)
    return OwnedWire(
        wire=one.value,
        u_wire=one.u,
        instrument=one.instrument,
        u_from_wire=wires_uncertainty(flank_angle=angle, u_over_wires=0.0, u_wire=one.u),
        u_from_flank=from_flank,
        u_pitch_diameter=math.hypot(total, from_flank),
    )


def _class_sizes(thread: Thread, name: str, low: float, high: float, wire: float) -> ClassSizes:
    least, most = (size_over(thread, pitch_diameter=one, wire=wire) for one in (low, high))
    crest = thread.major_basic * thread.to_mm
    return ClassSizes(
        tolerance_class=name,
        pitch_diameter=(low, high),
        three_wires=(least, most),
        two_wires=(least - 2 * wire, most - 2 * wire),
        one_wire=((least + crest) / 2, (most + crest) / 2),
    )


def _mm(value: float) -> str:
    return f"{format_decimal(value, 4)} mm"
