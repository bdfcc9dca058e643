"""How a guided session ends: the thread, the doubt left, the dangers, and the command lines that follow."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from threadwright.cli.identify_command import expectations, identification_lines
from threadwright.cli.identify_machine import beside_lines

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.cli.identify_machine import Found
    from threadwright.guided import Difference, Session
    from threadwright.ranking import Candidate
    from threadwright.tables.thread import Side

__all__ = ["end_lines", "end_plain"]

SCHEMA_VERSION = 1
_VERIFIED: Final = (
    "major", "pitch_diameter", "anvil", "over_wires", "wire", "wires", "minor", "pitch", "flank_angle",
    "cast",
)  # fmt: skip
_DIAMETERS: Final = ("major", "pitch_diameter", "over_wires", "minor")
_MOST_DIFFERENCES: Final = 3
_PART: Final = ("--parent", "cast iron", "--depth", "20 mm")


def end_lines(session: Session, found: Found, unit: LengthUnit) -> list[str]:
    """The end of a session as a person reads it."""
    from threadwright.cli.format import heading, paragraph

    answer = found.answer
    lines = identification_lines(
        answer, unit, prior=found.prior, unsettled=_doubt(session, found, unit), part=_part(session)
    )
    lines += beside_lines(found)
    offered = _offers(session, found)
    if offered:
        lines += ["", heading("Next"), *(f"  {_command(words)}" for words in offered)]
    if any(words[1] == "repair" for words in offered):
        lines.append(paragraph("Put the part's own metal and depth into the last line.", first="  "))
    return lines


def end_plain(session: Session, found: Found, *, ended: bool) -> dict[str, Any]:
    """The end of a session as plain values for JSON."""
    from threadwright.dangers import look_alikes

    answer = found.answer
    among = [] if answer.fits_nothing else look_alikes(answer.candidates[0].thread, _part(session))
    return {
        **found.to_dict(),
        "schema_version": SCHEMA_VERSION,
        "finished": ended and not answer.fits_nothing,
        "settled": answer.settled,
        "answers": [{"ask": one.ask, "say": one.say} for one in session.answers],
        "differ_in": [
            {"because": one.because, **one.suggestion.to_dict()} for one in _differences(session, found)
        ],
        "dangers": [one.to_dict() for one in among],
        "next": [_command(words) for words in _offers(session, found)],
    }


def _part(session: Session) -> Side:
    """Side of the part in question: the hole, even if its screw was measured."""
    return "internal" if session.for_hole else session.side


def _differences(session: Session, found: Found) -> tuple[Difference, ...]:
    from threadwright.guided import differences

    return () if found.answer.fits_nothing else differences(session)


def _doubt(session: Session, found: Found, unit: LengthUnit) -> list[str]:
    """What is not settled, in which readings the leaders differ, and what would go wrong."""
    from threadwright.dangers import warning_line
    from threadwright.next_reading import leaders

    answer = found.answer
    among = leaders(answer)
    if answer.settled or answer.fits_nothing:
        return []
    names = " or ".join(one.designation for one in among)
    texts = [f"Not settled: {names}{'' if len(among) > 1 else ', or another'}. Cut nothing to it yet."]
    different = _differences(session, found)
    texts += [_difference(one, among, unit) for one in different[:_MOST_DIFFERENCES]]
    if not different:
        texts.append("No single reading parts them; when and where the machine was made may.")
    warning = warning_line(among[0].thread, _part(session))
    return (
        [*texts, f"If it is {among[0].designation}: {warning[0].lower()}{warning[1:]}"] if warning else texts
    )


def _difference(one: Difference, among: tuple[Candidate, ...], unit: LengthUnit) -> str:
    shows = expectations(one.suggestion, among, unit)
    return f"To part them, {one.suggestion.action} ({one.because}){f': {shows}' if shows else ''}."


# --- command lines ------------------------------------------------------------------------------------------


def _offers(session: Session, found: Found) -> list[list[str]]:
    """Command lines that take it further."""
    answer = found.answer
    if answer.fits_nothing:
        return []
    if not answer.settled:
        return [["threadwright", "identify", *_options(session.typed, tuple(session.typed)), *_origin(found)]]
    thread = answer.candidates[0].thread
    left = " LH" if session.typed.get("hand") == "left" else ""
    name = f"{thread.designation}{left}"
    offered = []
    if any(one in session.typed for one in _DIAMETERS) and thread.classes(session.side):
        flag = ["--internal"] if session.side == "internal" else ["--external"]
        offered.append(["threadwright", "verify", name, *flag, *_options(session.typed, _VERIFIED)])
    if _part(session) == "internal":
        offered.append(["threadwright", "repair", name, *_PART])
    return offered


def _origin(found: Found) -> list[str]:
    origin = found.prior.origin
    country = [] if origin.country is None else ["--made-in", origin.country]
    return country + ([] if origin.year is None else ["--year", str(origin.year)])


def _options(typed: Mapping[str, Any], names: Sequence[str]) -> list[str]:
    """Readings as options, as they were typed."""
    words = []
    for name in names:
        if name == "side":
            words += ["--internal"] if typed[name] == "internal" else []
        elif name in typed:
            values = typed[name] if isinstance(typed[name], list) else [typed[name]]
            for value in values:
                words += [f"--{name.replace('_', '-')}", f"{value:g}" if name == "anvil" else str(value)]
    return words


def _command(words: Sequence[str]) -> str:
    """A command line to copy: double quotes where they do, which every shell knows."""
    return " ".join(_quoted(word) for word in words)


def _quoted(word: str) -> str:
    plain = shlex.quote(word)
    return plain if plain == word or any(one in word for one in '"$`\\!') else f'"{word}"'
