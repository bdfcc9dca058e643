"""What else can be seen or tried on a fastener or hole, beside its sizes.

Starts, lead, hand, taper, the look of the crests, the size across flats of its hexagon, pieces of
known name tried in it, the clearance hole of the mating part, and a cast of a hole.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Final, Literal, TypeVar

from threadwright import judgement
from threadwright.tables.errors import NumberError, ReadingError, ThreadwrightError
from threadwright.tables.numbers import parse_number, shorten
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread
from threadwright.units import parse_length

__all__ = ["CRESTS", "HANDS", "HEXAGONS", "Evidence", "Flats", "Lead", "Taper", "Tried"]

Crest = Literal["flat", "rounded", "sharp"]
Hand = Literal["right", "left"]
Hexagon = Literal["head", "nut", "spanner"]
Outcome = Literal["runs in", "tight", "will not start", "slides in"]
CRESTS: Final[tuple[Crest, ...]] = ("flat", "rounded", "sharp")
HANDS: Final[tuple[Hand, ...]] = ("right", "left")
HEXAGONS: Final[tuple[Hexagon, ...]] = ("head", "nut", "spanner")
_TRIED_LIKE = (
    "'M8x1.25 screw: runs in', 'M8x1.25 screw: tight after 2 turns' or '3/8-16 BSW nut: will not start'"
)
_TRIED = re.compile(
    r"(?P<thread>.+?)\s+(?P<kind>screw|bolt|nut|tap|stud)\s*:\s*(?P<outcome>.+)", re.IGNORECASE
)
_TIGHT = re.compile(r"tight after (?P<turns>[\d./ ]+?)(?: turns?)?", re.IGNORECASE)
_TAPER = re.compile(
    r"(?P<first>.+?)\s+and\s+(?P<second>.+?)\s+(?P<apart>\S+(?: \S+)?)\s+apart", re.IGNORECASE
)
_RATIO = re.compile(r"1\s*:\s*(?P<ratio>\d+(?:\.\d+)?)(?:\s+on diameter)?", re.IGNORECASE)
_Parsed = TypeVar("_Parsed")
_Word = TypeVar("_Word", bound=str)


@dataclass(frozen=True, slots=True)
class Tried:
    """A piece of known thread tried in the hole or on the screw.

    ``turns`` is how far it went before it bound, None unless the outcome is ``"tight"``.
    """

    text: str
    piece: Thread
    kind: Literal["screw", "nut"]
    outcome: Outcome
    turns: float | None = None


@dataclass(frozen=True, slots=True)
class Taper:
    """Change of diameter along the axis over the distance, and its standard uncertainty. [-]"""

    value: float
    u: float


@dataclass(frozen=True, slots=True)
class Lead:
    """Advance in one turn, and its standard uncertainty. [mm]"""

    value_mm: float
    u_mm: float


@dataclass(frozen=True, slots=True)
class Flats:
    """Size across flats of a head or nut, or of the spanner that fits it. [mm]"""

    value_mm: float
    u_mm: float
    of: Hexagon


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything that is not a size of the thread itself; None is not looked at."""

    starts: int | None = None
    lead: Lead | None = None
    hand: Hand | None = None
    taper: Taper | None = None
    crest: Crest | None = None
    flats: Flats | None = None
    tried: tuple[Tried, ...] = ()
    clearance_mm: float | None = None
    cast_shrinkage: float | None = None

    def given(self) -> tuple[str, ...]:
        """Names of what is present that tells threads apart, in a fixed order.

        Examples
        --------
        >>> Evidence(starts=2, hand="left").given()
        ('starts',)
        """
        names = ("starts", "lead", "taper", "crest", "flats", "clearance_mm")
        present = [name.removesuffix("_mm") for name in names if getattr(self, name) is not None]
        return (*present, *(("tried",) if self.tried else ()))


def read_evidence(
    faults: list[str],
    *,
    starts: int | None = None,
    lead: str | None = None,
    hand: str | None = None,
    taper: str | None = None,
    crest: str | None = None,
    across_flats: str | None = None,
    flats_of: str = "head",
    tried: str | Iterable[str] = (),
    clearance: str | None = None,
    cast: str | None = None,
    side: str = "external",
) -> Evidence:
    """Read the evidence of one fastener; what cannot be read is added to ``faults``, one line each.

    Parameters
    ----------
    faults : list of str
        Messages are appended.
    starts, lead, hand, taper, crest, across_flats, flats_of, tried, clearance, cast
        As typed; see the messages for their forms.
    side : {"external", "internal"}
        What the evidence is about.

    Returns
    -------
    Evidence

    Examples
    --------
    >>> taper = read_evidence([], taper="12.9 mm and 13.3 mm 6.4 mm apart").taper
    >>> round(taper.value, 4), round(taper.u, 4)
    (0.0625, 0.0044)
    >>> read_evidence([], tried="M8 screw: tight after 2 turns", side="internal").tried[0].turns
    2.0
    """
    door = _Door(faults)
    pieces = (tried,) if isinstance(tried, str) else tuple(tried)
    return Evidence(
        starts=door.tried(lambda: _starts(starts)),
        lead=door.tried(lambda: _lead(lead)),
        hand=door.choice("hand", hand, HANDS),
        taper=door.tried(lambda: _taper(taper)),
        crest=door.choice("crest", crest, CRESTS),
        flats=door.tried(lambda: _flats(across_flats, flats_of)),
        tried=tuple(found for text in pieces if (found := door.tried(partial(_tried, text, side)))),
        clearance_mm=door.tried(lambda: _clearance(clearance)),
        cast_shrinkage=door.tried(lambda: _cast(cast, side)),
    )


class _Door:
    """Lets evidence in, and keeps the reasons of what it turns away."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = faults

    def tried(self, read: Callable[[], _Parsed | None]) -> _Parsed | None:
        try:
            return read()
        except ThreadwrightError as fault:
            self.faults.append(str(fault))
            return None

    def choice(self, name: str, word: str | None, choices: tuple[_Word, ...]) -> _Word | None:
        for choice in choices:
            if word == choice:
                return choice
        if word is not None:
            self.faults.append(f"{name}: cannot be {shorten(word)}; write one of {', '.join(choices)}")
        return None


def _starts(starts: int | None) -> int | None:
    if starts is not None and not 1 <= starts <= judgement.MOST_STARTS:
        raise ReadingError(f"starts: {starts} is impossible; write 1 to {judgement.MOST_STARTS}")
    return starts


def _lead(text: str | None) -> Lead | None:
    if text is None:
        return None
    value = parse_length(text, name="lead")
    return Lead(value, judgement.LEAD_U_MM)


def _taper(text: str | None) -> Taper | None:
    if text is None:
        return None
    ratio = _RATIO.fullmatch(text.strip())
    if ratio is not None:
        value = 1 / float(ratio["ratio"]) if float(ratio["ratio"]) > 0 else 0.0
        return Taper(value, judgement.STATED_TAPER_U)
    match = _TAPER.fullmatch(text.strip())
    if match is None:
        raise ReadingError(
            f"taper: cannot read {shorten(text)}; write it like '12.9 mm and 13.3 mm 6.4 mm apart' or '1:16'"
        )
    first, second, apart = (parse_length(match[name], name="taper") for name in ("first", "second", "apart"))
    u = judgement.INSTRUMENT_U_MM["digital caliper"] * 2**0.5 / apart
    return Taper(abs(second - first) / apart, u)


def _flats(text: str | None, of: str) -> Flats | None:
    for word in HEXAGONS:
        if of == word:
            if text is None:
                return None
            return Flats(parse_length(text, name="across flats"), judgement.FLATS_U_MM[word], word)
    raise ReadingError(f"flats of: cannot be {shorten(of)}; write one of {', '.join(HEXAGONS)}")


def _clearance(text: str | None) -> float | None:
    return None if text is None else parse_length(text, name="clearance hole")


def _cast(text: str | None, side: str) -> float | None:
    if text is None:
        return None
    if side != "internal":
        raise ReadingError("cast: only a hole is cast; say that it is internal, or leave the cast out")
    plain = text.strip()
    try:
        share = float(parse_number(plain.removesuffix("%")))
    except NumberError:
        share = -1.0
    if not plain.endswith("%") or not 0 <= share <= judgement.GREATEST_SHRINKAGE:
        raise ReadingError(
            f"cast: cannot read {shorten(text)}; write how much it shrinks, like '0.5 %', "
            f"at most {judgement.GREATEST_SHRINKAGE:g} %"
        )
    return share / 100


def _tried(text: str, side: str) -> Tried:
    match = _TRIED.fullmatch(text.strip())
    if match is None:
        raise ReadingError(f"tried: cannot read {shorten(text)}; write it like {_TRIED_LIKE}")
    kind: Literal["screw", "nut"] = "nut" if match["kind"].lower() == "nut" else "screw"
    if (kind == "nut") != (side == "external"):
        fitting = "a screw or tap" if side == "internal" else "a nut"
        raise ReadingError(f"tried: {shorten(text)} is tried in the wrong part; try {fitting} there")
    piece = find_thread(match["thread"])
    plain = " ".join(match["outcome"].lower().split())
    outcomes: tuple[Outcome, ...] = ("runs in", "will not start", "slides in")
    for outcome in outcomes:
        if plain == outcome:
            return Tried(" ".join(text.split()), piece, kind, outcome)
    tight = _TIGHT.fullmatch(plain)
    if tight is None:
        raise ReadingError(
            f"tried: cannot read the outcome {shorten(match['outcome'])}; "
            "write 'runs in', 'tight after 2 turns', 'will not start' or 'slides in'"
        )
    return Tried(" ".join(text.split()), piece, kind, "tight", float(parse_number(tight["turns"])))
