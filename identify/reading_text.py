"""The text a reading is written in.

Text of a reading is ``VALUE UNIT [+- U [UNIT]] [by INSTRUMENT]`` (``9.41 mm``, ``9.41 +- 0.02 mm``,
``0.372 in by micrometer``) or an interval (``6.4..6.5 mm``: 6.4 enters, 6.5 does not). A pitch is what a comb
says (``20 tpi``, ``1.25 mm``) or is measured (``10 pitches over 12.7 mm``, ``1.25 mm +- 0.01``).
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.instruments import INSTRUMENTS, find_instrument
from threadwright.quantities import angle_deg, length_mm, pitch_mm
from threadwright.reading import LABELS, STATED, Pitch, Reading, dimension_of
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import format_decimal, shorten
from threadwright.units import (
    check_range,
    parse_angle,
    parse_length,
    parse_pitch,
    parse_uncertainty,
    split_unit,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from threadwright.instruments import Instrument
    from threadwright.quantities import QuantityLike
    from threadwright.units import Dimension

__all__ = ["parse_pitch_reading", "parse_reading", "suits"]

_CALIPERS = ("digital caliper", "vernier caliper")
_ENTERING = ("drill shank", "plug gauge")
# what each reading can be taken with; the first is taken unless another is named
_TAKEN_WITH: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "major": (*_CALIPERS, "inside jaws", "micrometer", "steel rule", *_ENTERING),
        "minor": (*_CALIPERS, "inside jaws", "micrometer", "steel rule", *_ENTERING),
        "over_wires": ("wires", "micrometer", *_CALIPERS),
        "wire": ("wires", "micrometer", *_CALIPERS),
        "pitch_diameter": ("thread micrometer",),
        "flank_angle": ("shadow", "protractor"),
        "pitch": ("steel rule", *_CALIPERS),
    }
)
_PARSERS: Final[Mapping[Dimension, Callable[..., float]]] = MappingProxyType(
    {"length": parse_length, "angle": parse_angle, "pitch": parse_pitch}
)
_COMB_OF_UNIT: Final[Mapping[str, str]] = MappingProxyType({"tpi": "inch", "mm": "metric"})
_BY = re.compile(r"\s+by\s+")
_PLUS_MINUS = re.compile(r"\+/?-|±")
_OVER = re.compile(r"(?P<count>\d{1,6})\s*pitch(?:es)?\s+over\s+(?P<length>.+)", re.DOTALL)
_COUNT_LIKE = "'10 pitches over 12.7 mm' (ten spaces, from the first crest to the eleventh)"


def parse_reading(
    name: str, given: str | QuantityLike | Reading, *, side: str = "external", usual: Instrument | None = None
) -> Reading:
    """Read one length or angle.

    Parameters
    ----------
    name : str
        Which reading: a key of ``LABELS`` other than ``pitch``.
    given : str, quantity or Reading
        The reading; a :class:`Reading` must be of that name.
    side : {"external", "internal"}
        A caliper on the minor diameter of a hole reads with its inside jaws.
    usual : Instrument or None
        Instrument of a reading that names none, if it can be taken with it.

    Returns
    -------
    Reading
        The reading, with the uncertainty given or that of its instrument.

    Raises
    ------
    ReadingError
        If it cannot be read, is impossible, or cannot be taken with that instrument.

    Examples
    --------
    >>> parse_reading("major", "9.41 +- 0.03 mm").u
    0.03
    >>> parse_reading("minor", "6.4..6.5 mm").interval
    (6.4, 6.5)
    """
    if isinstance(given, Reading):
        if given.name != name:
            raise ReadingError(
                f"{LABELS[name]}: this is a reading of {given.name!r}; give it as {given.name}"
            )
        return given
    dimension = dimension_of(name)
    unit: Literal["mm", "deg"] = "deg" if dimension == "angle" else "mm"
    body, named = _part_instrument(given) if isinstance(given, str) else ("", None)
    if ".." in _PLUS_MINUS.split(body, maxsplit=1)[0]:
        return _interval(name, body, named, usual=usual)
    if isinstance(given, str):
        value, stated = _part_uncertainty(body, label=LABELS[name], dimension=dimension)
    else:
        value, stated = (angle_deg if dimension == "angle" else length_mm)(given, name=LABELS[name]), None
    if stated is not None:
        instrument = _name_of(named, label=LABELS[name])
        return Reading(name, value, stated, unit, None, instrument)
    tool = _instrument(name, named, side=side, usual=usual)
    return Reading(name, value, _u(name, tool), unit, None, tool.name)


def parse_pitch_reading(
    given: str | QuantityLike | Reading | Pitch,
    *,
    visible_mm: float | None = None,
    combs: tuple[str, ...] = ("inch", "metric"),
    usual: Instrument | None = None,
) -> Pitch:
    """Read one pitch, by comb or measured.

    Parameters
    ----------
    given : str, quantity, Reading or Pitch
        The reading; a :class:`Reading` of ``pitch`` is a measured pitch, a bare quantity what a comb says.
    visible_mm : float or None
        Length over which the comb was laid. [mm]
    combs : tuple of str
        Combs owned.
    usual : Instrument or None
        Instrument of a count of pitches that names none, if it can be taken with it.

    Returns
    -------
    Pitch
        The pitch; N pitches over a length L have P = L/N and u(P) = u(L)/N.

    Raises
    ------
    ReadingError
        If it cannot be read, is impossible, or is not on the combs owned.

    Examples
    --------
    >>> parse_pitch_reading("20 tpi").kind
    'comb'
    >>> pitch = parse_pitch_reading("10 pitches over 12.7 mm by vernier")
    >>> pitch.value_mm, pitch.u_mm
    (1.27, 0.003)
    """
    if isinstance(given, Pitch):
        pitch = given
    elif isinstance(given, Reading):
        reading = parse_reading("pitch", given)
        text = f"{format_decimal(reading.value)} +- {format_decimal(reading.u)} mm"
        pitch = _measured(reading.value, reading.u, text=text, instrument=reading.instrument)
    elif isinstance(given, str):
        pitch = _pitch_text(given, combs=combs, usual=usual)
    else:
        value = pitch_mm(given, name="pitch")
        pitch = Pitch(kind="comb", value_mm=value, text=f"{format_decimal(value, 4)} mm", combs=combs)
    if visible_mm is None:
        return pitch
    if pitch.kind == "measured":
        raise ReadingError(
            f"visible length: the pitch {shorten(pitch.text)} was measured, not read from a comb; "
            "leave the visible length out"
        )
    return replace(pitch, visible_mm=visible_mm)


def suits(instrument: Instrument, names: tuple[str, ...]) -> bool:
    """Whether any of the readings named can be taken with an instrument.

    Parameters
    ----------
    instrument : Instrument
        The instrument.
    names : tuple of str
        Names of readings.

    Returns
    -------
    bool
        True if at least one can.

    Examples
    --------
    >>> suits(find_instrument("comb"), ("major",)), suits(find_instrument("comb"), ("major", "pitch"))
    (False, True)
    """
    return any(
        instrument.name in (*_TAKEN_WITH[name], *(("comb",) if name == "pitch" else ())) for name in names
    )


def _part_instrument(text: str) -> tuple[str, str | None]:
    """Part off ``by INSTRUMENT``."""
    body, *named = _BY.split(text.strip(), maxsplit=1)
    return body, named[0] if named else None


def _part_uncertainty(body: str, *, label: str, dimension: Dimension) -> tuple[float, float | None]:
    """Value and stated uncertainty; a unit written once serves both."""
    first, *more = _PLUS_MINUS.split(body)
    doubt_unit = split_unit(more[0])[1] if more else ""
    value = _PARSERS[dimension](_lend_unit(first, doubt_unit), name=label)
    if not more:
        return value, None
    if len(more) > 1:
        raise ReadingError(
            f"{label}: {shorten(body)} has two uncertainties; write one, like '9.41 mm +- 0.02'"
        )
    doubt = _lend_unit(more[0], split_unit(first)[1])
    return value, parse_uncertainty(doubt, name=f"{label} +-", dimension=dimension, of=value)


def _lend_unit(text: str, unit: str) -> str:
    """The text with a unit: its own, or else the one lent to it."""
    return text if split_unit(text)[1] else f"{text.strip()} {unit}"


def _interval(name: str, body: str, named: str | None, *, usual: Instrument | None) -> Reading:
    """Read ``6.4..6.5 mm``: the end that enters and the end that does not."""
    label = LABELS[name]
    if name not in ("major", "minor"):
        like = "'27.5deg'" if name == "flank_angle" else "'9.41 mm +- 0.02'"
        raise ReadingError(f"{label}: {shorten(body)} is an interval; write one value, like {like}")
    ends, *doubt = _PLUS_MINUS.split(body, maxsplit=1)
    first, last = ends.split("..", 1)
    unit = split_unit(last)[1] or split_unit("".join(doubt))[1]
    low = parse_length(_lend_unit(first, unit), name=label)
    high = parse_length(_lend_unit(last, unit), name=label)
    if usual is None or usual.kind != "interval":
        usual = INSTRUMENTS[_ENTERING[0]]
    if doubt:
        u = parse_uncertainty(_lend_unit(doubt[0], unit), name=f"{label} +-", dimension="length", of=low)
        instrument = _name_of(named, label=LABELS[name])
    else:
        tool = usual if named is None else find_instrument(named, name=LABELS[name])
        u, instrument = _u(name, tool), tool.name
    return Reading(name, (low + high) / 2, u, "mm", (low, high), instrument)


def _instrument(name: str, named: str | None, *, side: str, usual: Instrument | None) -> Instrument:
    """The instrument of a reading that is no interval."""
    taken = _TAKEN_WITH[name]
    if named is not None:
        found = find_instrument(named, name=LABELS[name])
    elif usual is not None and usual.kind != "interval" and usual.name in taken and name != "wire":
        found = usual
    else:
        found = INSTRUMENTS[taken[0]]
    if found.kind == "interval":
        raise ReadingError(
            f"{LABELS[name]}: {shorten(found.name)} gives an interval; write the size that enters and the "
            "size that does not, like '6.4..6.5 mm'"
        )
    if side == "internal" and name == "minor" and found.kind == "caliper":
        return INSTRUMENTS["inside jaws"]
    return found


def _name_of(named: str | None, *, label: str) -> str:
    """Plain name of the instrument of a reading whose uncertainty was stated."""
    return STATED if named is None else find_instrument(named, name=label).name


def _u(name: str, tool: Instrument) -> float:
    """Standard uncertainty of one reading taken with an instrument [mm or deg]."""
    u = tool.u_deg if name == "flank_angle" else tool.u_mm
    if u is None or tool.name not in _TAKEN_WITH[name]:
        raise ReadingError(
            f"{LABELS[name]}: not read with {shorten(tool.name)}; write one of {', '.join(_TAKEN_WITH[name])}"
            ", or give the uncertainty with '+-'"
        )
    if name == "wire":
        return judgement.WIRE_U_MM.get(tool.name, u)
    return math.hypot(u, judgement.WIRE_FLATTENING_U_MM) if name == "over_wires" else u


def _measured(value: float, u: float, *, text: str, instrument: str) -> Pitch:
    """A measured pitch, whose uncertainty leaves something of it."""
    if u >= judgement.GREATEST_U_SHARE * value:
        raise ReadingError(
            f"pitch: {shorten(text)} leaves the pitch open by {u:.3g} mm in {value:.3g} mm; "
            f"count more pitches, like {_COUNT_LIKE}"
        )
    return Pitch(kind="measured", value_mm=value, text=text, u_mm=u, instrument=instrument)


def _pitch_text(text: str, *, combs: tuple[str, ...], usual: Instrument | None) -> Pitch:
    """Read what a comb says, a pitch with its uncertainty, or a count of pitches."""
    body, named = _part_instrument(text)
    clean = " ".join(text.split())
    if "over" in body:
        value, u, instrument = _counted(body, named, usual=usual)
        return _measured(value, u, text=clean, instrument=instrument)
    if ".." in body:
        raise ReadingError(f"pitch: {shorten(body)} is an interval; write one value, like '1.25 mm +- 0.01'")
    value, stated = _part_uncertainty(body, label="pitch", dimension="pitch")
    if stated is not None:
        instrument = _name_of(named, label="pitch")
        return _measured(value, stated, text=clean, instrument=instrument)
    if named is not None and (tool := find_instrument(named, name="pitch")).kind != "comb":
        raise ReadingError(
            f"pitch: {shorten(clean)} is not read with {shorten(tool.name)}; write the count and the length, "
            f"like {_COUNT_LIKE}, or give the uncertainty, like '1.25 mm +- 0.01'"
        )
    needed = _COMB_OF_UNIT.get(split_unit(body)[1])
    if needed is not None and needed not in combs:
        raise ReadingError(
            f"pitch: {shorten(clean)} needs the {needed} comb, and the combs owned are {', '.join(combs)}; "
            f"add {needed} to the combs, or count pitches, like {_COUNT_LIKE}"
        )
    return Pitch(kind="comb", value_mm=value, text=body, combs=combs)


def _counted(body: str, named: str | None, *, usual: Instrument | None) -> tuple[float, float, str]:
    """Read ``N pitches over L``: pitch, its uncertainty and the instrument."""
    match = _OVER.fullmatch(body)
    if match is None or not 1 <= int(match["count"]) <= judgement.MOST_PITCHES:
        raise ReadingError(
            f"pitch: cannot read {shorten(body)}; count from 1 to {judgement.MOST_PITCHES} pitches, "
            f"like {_COUNT_LIKE}"
        )
    count = int(match["count"])
    length, stated = _part_uncertainty(match["length"], label="pitch", dimension="length")
    if stated is not None:
        u, instrument = stated, _name_of(named, label="pitch")
    else:
        tool = _instrument("pitch", named, side="external", usual=usual)
        u, instrument = _u("pitch", tool), tool.name
    given = f"{format_decimal(length / count, 4)} mm from {shorten(body)}"
    return check_range(length / count, name="pitch", given=given, dimension="pitch"), u / count, instrument
