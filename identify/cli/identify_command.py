"""``threadwright identify``: name one thread from its readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import click

from threadwright import judgement
from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.identify_options import SEVERAL, GroupedCommand, machine_options, reading_options
from threadwright.cli.values import OneOf, Whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threadwright.next_reading import Suggestion
    from threadwright.priors import Prior
    from threadwright.ranking import Candidate, Fit, Identification
    from threadwright.readings import Readings
    from threadwright.tables.thread import Side, Thread

__all__ = ["expectations", "identification_lines", "identify"]

Unit = Literal["mm", "in"]
_MORE_LIKELY_THAN_NOT = 0.5
_MOST_OF_IT = 0.9
_OF_MACHINE = ("same_path", "made_in", "year", "record_path", "place", "save", "replace", "priors_path")
_FIT_OF_POINT = {"inside": "agrees", "near": "near it", "below": "too low", "above": "too high"}
_FIT_OF_RANGE = {"inside": "inside", "near": "near it", "below": "below it", "above": "above it"}


@click.command(
    cls=GroupedCommand,
    epilog="""\b
A length needs its unit: 9.45 mm, 0.372 in, 3/8 in, 372 thou. Your own
doubt goes behind it ("9.41 mm +- 0.02"), and so does the instrument
("0.372 in by micrometer"). 6.4..6.5 mm: a 6.4 drill enters, a 6.5 does not.
Flank angle is one flank: 27.5deg for a thread angle of 55.

\b
Example:
  threadwright identify --major "0.372 in" --pitch "20 tpi"
  threadwright identify --internal --minor "6.6..6.7 mm" --pitch "1.25 mm"
  threadwright identify --major "0.372 in" --pitch "20 tpi" \\
    --record press.toml --place "ink disc bracket" --save
""",
)
@reading_options
@machine_options
@click.option(
    "--top", type=Whole(8), default=8, show_default=True, metavar="N", help="Most candidates to show."
)
@click.option(
    "--unit", type=OneOf(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option(
    "--profile",
    "profile_path",
    metavar="OUT.svg",
    help="Draw the leaders over each other: OUT.svg, OUT.pdf or OUT.dxf.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def identify(
    *, internal: bool, top: int, unit: Unit, profile_path: str | None, as_json: bool, **given: Any
) -> int:
    """Name a thread from readings, with the probability of each candidate.

    Give what you could measure; with none given it says what to measure first.
    """
    from threadwright.cli import format
    from threadwright.cli.identify_machine import beside_lines, from_machine

    if profile_path is not None:
        from threadwright.sheet.write import check_ending

        check_ending(profile_path)
    asked = {name: given.pop(name) for name in _OF_MACHINE}
    typed: dict[str, Any] = {"side": "internal"} if internal else {}
    typed |= {name: value for name, value in given.items() if value not in (None, ())}
    for name in SEVERAL:
        if name in typed:
            typed[name] = typed[name][0] if len(typed[name]) == 1 else list(typed[name])
    found = from_machine(typed, top=top, **asked)
    if profile_path is not None:
        _draw(found.answer, profile_path)
    if as_json:
        click.echo(format.as_json(found.to_dict()))
    else:
        click.echo(
            "\n".join([*identification_lines(found.answer, unit, prior=found.prior), *beside_lines(found)])
        )
    return NOT_ALL if found.answer.fits_nothing else DONE


def _draw(answer: Identification, path: str) -> None:
    """Write the profiles of the leading candidates."""
    from threadwright.cli import VERSION
    from threadwright.cli.format import share
    from threadwright.next_reading import leaders
    from threadwright.sheet.profile import MOST, Shown, compose_profiles
    from threadwright.sheet.write import write_sheet

    among = leaders(answer)[:MOST]
    shown = [Shown(one.thread, f"Probability {share(one.probability)}.") for one in among]
    write_sheet(compose_profiles(shown, made_with=f"threadwright {VERSION}"), path)


def identification_lines(
    answer: Identification,
    unit: Unit = "mm",
    *,
    prior: Prior | None = None,
    unsettled: Sequence[str] | None = None,
    part: Side | None = None,
) -> list[str]:
    """The answer as a person reads it: ranking, fit of the readings, what is open, what to measure next.

    ``unsettled`` takes the place of the two last, and the fit is that of the first thread alone; ``part`` is
    the part in question if it is not the one that was measured.
    """
    from threadwright.cli.format import heading, paragraph
    from threadwright.next_reading import leaders

    among = leaders(answer)
    lines = [heading(paragraph(_verdict(answer))), "", *_ranking(answer)]
    fitted = among if unsettled is None else among[:1]
    for one in fitted if any(answer.candidates[0].each or answer.candidates[0].readings) else ():
        lines += ["", *_readings(one, answer, unit)]
    if not answer.settled and not answer.fits_nothing:
        lines += ["", *map(paragraph, _open(answer, unit, prior) if unsettled is None else unsettled)]
    notes = _slips(answer) + _look_alikes(answer, part or answer.readings.side) + _notes(among, answer)
    return lines + (["", *map(paragraph, notes)] if notes else [])


def _verdict(answer: Identification) -> str:
    from threadwright.cli.format import share

    if answer.fits_nothing:
        said = "None of the threads in the tables fits these readings"
        if answer.none_of_these < _MORE_LIKELY_THAN_NOT:
            said = "No thread of the tables is more likely than that none of them fits"
        return (
            f"{said} (probability {share(answer.none_of_these)}). Check each reading and its unit. "
            "The nearest:"
        )
    first = answer.candidates[0]
    if answer.settled:
        return f"{first.designation}, probability {share(first.probability)}."
    return f"Most likely {first.designation}, probability {share(first.probability)}: not settled."


def _ranking(answer: Identification) -> list[str]:
    from threadwright.cli.format import columns, heading, share, width
    from threadwright.notebook import SHOWN
    from threadwright.tables.registry import system

    shown = [one for one in answer.candidates if one.probability >= SHOWN] or answer.candidates[:1]
    rows: list[tuple[str, ...]] = [("", "thread", "probability", "name")]
    for number, one in enumerate(shown, start=1):
        rows.append((str(number), one.designation, share(one.probability), system(one.system).title))
    others = 1.0 - answer.none_of_these - sum(one.probability for one in shown)
    rows.append(("", "any other", share(max(others, 0.0)), ""))
    rows.append(("", "none of these", share(answer.none_of_these), ""))
    if any(one.also for one in shown):
        room = 80 - sum(max(map(len, column)) + 2 for column in zip(*rows, strict=True))
        also = ["also called", *(_within(one.also, room) for one in shown), "", ""]
        if len(also[0]) <= room:
            rows = [(*row, names) for row, names in zip(rows, also, strict=True)]
    head, *lines = columns(rows, right=[0], indent=0, within=width())
    return [heading(head), *lines]


def _within(names: tuple[str, ...], room: int) -> str:
    """Names in a row, as many as there is room for."""
    for kept in range(len(names), 0, -1):
        more = len(names) - kept
        text = ", ".join(names[:kept]) + (f" and {more} more" if more else "")
        if len(text) <= room:
            return text
    return f"{len(names)} more" if names else ""


def _readings(one: Candidate, answer: Identification, unit: Unit) -> list[str]:
    from threadwright.cli.format import columns, heading
    from threadwright.readings import LABELS

    rows = [("", "reading", "read", "expected", "the reading is")]
    fits = zip(answer.fasteners, one.each or (one.readings,), strict=True)
    for number, (readings, fit_of) in enumerate(fits, start=1):
        for name, fit in fit_of.items():
            label = LABELS.get(name, name.replace("_", " "))
            rows.append((str(number), label, *_read_and_expected(name, fit, one.thread, readings, unit)))
    head, *lines = columns(rows if answer.same else [row[1:] for row in rows])
    return [heading(f"If it is {one.designation}:"), head, *lines]


def _read_and_expected(
    name: str, fit: Fit, thread: Thread, readings: Readings, unit: Unit
) -> tuple[str, str, str]:
    """Cells of one reading: what was read, what was to be expected, and how the one lies to the other."""
    from threadwright.cli.format import length

    pitch = readings.pitch
    if name == "pitch" and pitch is not None:
        return pitch.text, _pitch(thread), _FIT_OF_POINT[fit.fit]
    if name == "across_flats":
        return _hexagon(fit, unit)
    if fit.low is None or fit.high is None:
        return f"{length(fit.value, unit)} {unit}", "no contact", "the wire touches no flank"
    if name == "flank_angle":
        return f"{fit.value:g} deg", f"{fit.low:g} deg", _FIT_OF_POINT[fit.fit]
    interval = getattr(getattr(readings, name), "interval", None)
    if interval is None:
        read = f"{length(fit.value, unit)} {unit} +- {length(fit.u, unit)}"
    else:
        read = f"{length(interval[0], unit)}..{length(interval[1], unit)} {unit}"
    return read, f"{length(fit.low, unit)} to {length(fit.high, unit)}", _FIT_OF_RANGE[fit.fit]


def _hexagon(fit: Fit, unit: Unit) -> tuple[str, str, str]:
    """Cells of a size across flats: it may be worn or foreign, so it speaks softly."""
    from threadwright.cli.format import length

    read = f"{length(fit.value, unit)} {unit} +- {length(fit.u, unit)}"
    if fit.low is None or fit.high is None or fit.standard is None:
        return read, "no table", "of little weight"
    ends = dict.fromkeys((length(fit.low, unit), length(fit.high, unit)))
    return read, " to ".join(ends), f"{_FIT_OF_RANGE[fit.fit]} ({fit.standard})"


def _pitch(thread: Thread) -> str:
    """A pitch in the words of its standard."""
    from threadwright.tables.numbers import format_decimal

    return (
        f"{format_decimal(thread.pitch_mm, 4)} mm"
        if thread.tpi is None
        else f"{format_decimal(thread.tpi)} tpi"
    )


def _open(answer: Identification, unit: Unit, prior: Prior | None) -> list[str]:
    """What is unsettled, and which reading would help."""
    from threadwright.next_reading import leaders, pick, ranked_readings
    from threadwright.priors import UNKNOWN

    among = leaders(answer)
    between = " or ".join(one.designation for one in among)
    found = [f"Not settled: {between}{_or_else(answer, among)}."]
    ranked = ranked_readings(answer, prior=prior or UNKNOWN)
    hint = pick(ranked)
    if hint is None:
        found.append("No single reading parts them; when and where the machine was made may.")
        return found
    found.append(f"Next, {_advice(hint, among, unit)}")
    if hint.reading == "across_flats":
        other = pick([one for one in ranked if one.reading != "across_flats"])
        if other is not None:
            found.append(f"If it has none, {_advice(other, among, unit)}")
    return found


def _or_else(answer: Identification, among: tuple[Candidate, ...]) -> str:
    """What else it may be, where that is not less likely than a leader would be."""
    others = 1.0 - answer.none_of_these - sum(one.probability for one in among)
    found = ", or another of the tables" if others > judgement.WORTH_PLANNING else ""
    if answer.none_of_these > judgement.WORTH_PLANNING:
        found += ", or a thread that the tables do not hold"
    return found or ("" if len(among) > 1 else ", or another")


def _advice(hint: Suggestion, among: tuple[Candidate, ...], unit: Unit) -> str:
    """What to read next, what it would show, and what it costs and brings."""
    shows = expectations(hint, among, unit)
    outside = f" among the {len(hint.chances)} likeliest" if hint.planned < _MOST_OF_IT else ""
    return (
        f"{hint.action}{f': {shows}' if shows else ''}. "
        f"About {hint.minutes:g} min, to take away {_bits(hint.bits)} of {_bits(hint.doubt)} bits of doubt"
        f"{outside}."
    )


def _bits(bits: float) -> str:
    return f"{bits:.1f}" if bits >= 0.05 else f"{bits:.2f}"


def expectations(hint: Suggestion, among: tuple[Candidate, ...], unit: Unit) -> str:
    """What the reading to take next would show for each leader."""
    from threadwright.cli.format import length, share

    def words(low: float, high: float, thread: Thread) -> str:
        if hint.reading == "pitch":
            return _pitch(thread)
        if hint.unit == "deg":
            return f"{low:g} deg"
        if hint.reading == "taper":
            return f"1 in {1 / low:g}" if low else "none"
        ends = dict.fromkeys((length(low, unit), length(high, unit)))
        return f"{' to '.join(ends)} {unit}"

    if hint.shows:
        said = zip(hint.shows, hint.expected, strict=True)
        return ", ".join(f"{word} for {name} (chance {share(p)})" for (word, p), (name, _, _) in said)
    shown = zip(hint.expected, among, strict=True)
    untold = [name for name, low, _ in hint.expected if low is None] if hint.reading == "across_flats" else []
    return ", ".join(
        f"{words(low, high, one.thread)} for {name}"
        for (name, low, high), one in shown
        if low is not None and high is not None
    ) + (f"; no table tells of {' and '.join(untold)}" if untold else "")


def _slips(answer: Identification) -> list[str]:
    """Slips that would make sense of readings that fit nothing, or hardly anything."""
    from threadwright.cli.identify_machine import slips

    return [
        f"It would make sense if this were the slip: {slip.words} (then {slip.leads_to}; probability "
        f"{slip.probability:.2f})."
        for slip in slips(answer)
    ]


def _look_alikes(answer: Identification, part: Side) -> list[str]:
    """The threads that deceive the hand, once the thread is known."""
    if not answer.settled:
        return []
    from threadwright.dangers import warning_line

    line = warning_line(answer.candidates[0].thread, part)
    return [line] if line else []


def _notes(among: tuple[Candidate, ...], answer: Identification) -> list[str]:
    """Threads whose limits were not computed or read in a standard."""
    side = answer.readings.side
    notes = []
    for one in among:
        classes = one.thread.classes(side)
        basis = one.thread.limits(side, classes[0]).basis if classes else "estimated"
        if basis in ("from memory", "estimated"):
            notes.append(f"The limits used for {one.designation} are {basis}.")
        seen, held = answer.readings.evidence.starts, one.thread.starts
        if seen is not None and seen != held:
            starts = "1 start" if held == 1 else f"{held} starts"
            notes.append(
                f"{one.designation} has {starts} in the tables and {seen} were seen: a special, if it has "
                "that form and pitch."
            )
    return notes
