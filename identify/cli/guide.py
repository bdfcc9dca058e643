"""``threadwright guide``: a thread named one reading at a time."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING, Any, Final

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import file_names
from threadwright.cli.values import OneOf, Whole
from threadwright.tables.errors import ReadingError, ThreadwrightError

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.cli.guide_record import Keeper
    from threadwright.guided import Asked, Help, Reply, Session
    from threadwright.ranking import Identification

__all__ = ["guide"]

_LONGEST: Final = 2000  # of one line
_KEYS: Final = re.compile(r"\x1b(?:\[[0-9;?]*[A-Za-z~]|O[A-Za-z])")  # what arrow keys and the like send
_SHOWN: Final = 3
_WORDS: Final = "? how to measure, back, skip, don't have, done"
_MORE: Final = (
    "Or back, skip, don't have (never asks for it again), done. Another reading unasked: 'pitch: 20 tpi'; "
    "'? pitch' tells of it."
)


@click.command(
    epilog="""\b
Answer with a reading ("9.45 mm", "20 tpi"), or with a word: ? how to measure,
back, skip, don't have, done (or stop). The end of input, or Ctrl-C, leaves
the session open in its record, and the same command goes on with it.

\b
Example:
  threadwright guide --record press.toml --place "ink disc bracket"
  printf 'screw\\n4.66 mm\\n0.81 mm\\ndone\\n' | threadwright guide
"""
)
@click.option(
    "--record",
    "record_path",
    metavar="FILE.toml",
    shell_complete=file_names,
    help="Keep every answer in this record.",
)
@click.option("--place", metavar="TEXT", help="Where on the machine the fastener sits.")
@click.option("--replace", is_flag=True, help="Measure again what the record has there.")
@click.option("--made-in", metavar="CODE", help="Country, in two letters: GB, US, DE.")
@click.option("--year", type=Whole(1938), metavar="YEAR", help="When the machine was made.")
@click.option("--priors", "priors_path", metavar="FILE.toml", help="Weights of series: [series], BSF = 0.3.")
@click.option(
    "--unit", type=OneOf(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option("--json", "as_json", is_flag=True, help="The end as JSON; the questions go to stderr.")
def guide(
    *,
    record_path: str | None,
    place: str | None,
    replace: bool,
    unit: LengthUnit,
    as_json: bool,
    **origin: Any,
) -> int:
    """Name a thread by one reading at a time, the most telling for its effort first.

    Without --record nothing is kept.
    """
    from threadwright.cli import format
    from threadwright.cli.guide_end import end_lines, end_plain
    from threadwright.cli.guide_record import keeper_of

    keeper = keeper_of(record_path, place, replace=replace, **origin)
    talk = _Talk(unit, err=as_json)
    session = keeper.begin()
    talk.lines(*_opening(session, keeper))
    if session.belief is not None:
        talk.lines(*_belief(session.belief))
    try:
        session, ended = _converse(session, keeper, talk)
    except KeyboardInterrupt:
        talk.lines("", *keeper.left_open())
        raise
    if session.belief is None:
        raise ReadingError(
            "no reading given; measure the major diameter over the crests first (caliper), then the pitch"
        )
    found = keeper.finish(session) if ended else keeper.leave(session)
    if as_json:
        click.echo(format.as_json(end_plain(session, found, ended=ended)))
    else:
        talk.lines("", *end_lines(session, found, unit), *([] if ended else keeper.left_open()))
    return NOT_ALL if found.answer.fits_nothing else DONE


class _Talk:
    """The conversation: questions out, lines in. A script's lines are shown behind the prompt."""

    def __init__(self, unit: LengthUnit, *, err: bool) -> None:
        self.unit = unit
        self.err = err
        self.stream = getattr(sys.stdin, "buffer", None)
        self.typed = sys.stdin is not None and sys.stdin.isatty()

    def lines(self, *texts: str) -> None:
        """Print lines."""
        if texts:
            click.echo("\n".join(texts), err=self.err)

    def ask(self) -> str | None:
        """The next line; None at the end of input."""
        click.echo("> ", nl=False, err=self.err)
        raw = b"" if self.stream is None else self.stream.readline(_LONGEST)
        text = raw.decode("utf-8", errors="replace").rstrip("\r\n")
        plain = "".join(one for one in _KEYS.sub("", text) if one.isprintable())
        if not raw or not self.typed:
            charset = getattr(sys.stderr if self.err else sys.stdout, "encoding", None) or "ascii"
            click.echo(plain.encode(charset, "replace").decode(charset), err=self.err)
        return plain if raw else None


def _converse(session: Session, keeper: Keeper, talk: _Talk) -> tuple[Session, bool]:
    """Ask until the end; whether it was the session's own end, or that of the input."""
    from threadwright.guided import reply

    told: Asked | None = None
    while session.asked is not None:
        if session.asked is not told:
            talk.lines("", *_question(session.asked))
            told = session.asked
        line = talk.ask()
        if line is None:
            return session, False
        try:
            answer = reply(session, line)
        except ThreadwrightError as fault:
            click.echo(f"threadwright: {' '.join(str(fault).split())}", err=True)
            continue
        if answer.did not in ("help", "done"):
            keeper.keep(answer.session)
        talk.lines(*_said(answer, session, talk.unit))
        session = answer.session
    return session, True


# --- what is said -------------------------------------------------------------------------------------------


def _opening(session: Session, keeper: Keeper) -> list[str]:
    """How the session works and where it is kept, or where it goes on."""
    from threadwright.cli.format import paragraph

    if not session.answers:
        lines = ["Answer with a reading, or: " + _WORDS + "."]
        return [*lines, paragraph(keeper.where())]
    told = "; ".join(f"{one.ask.replace('_', ' ')}: {one.say}" for one in session.answers)
    return [paragraph(f"{keeper.where()} Going on after {told}.")]


def _question(asked: Asked) -> list[str]:
    from threadwright.cli.format import heading, paragraph

    return [heading(paragraph(asked.words)), paragraph(asked.write, first="  ")]


def _belief(answer: Identification) -> list[str]:
    """The leading threads, in a line or two."""
    from threadwright.cli.format import paragraph, share

    shown = answer.candidates[:_SHOWN]
    named = ", ".join(f"{one.designation} {share(one.probability)}" for one in shown)
    if answer.fits_nothing:
        text = f"No thread of the tables fits ({share(answer.none_of_these)}); nearest {named}."
        return [paragraph(f"{text} Check the last reading and its unit; back takes it back.", first="  ")]
    others = max(1.0 - sum(one.probability for one in shown), 0.0)
    settled = " Settled." if answer.settled else ""
    return [paragraph(f"{named}; others {share(others)}.{settled}", first="  ")]


def _said(answer: Reply, before: Session, unit: LengthUnit) -> list[str]:
    """What is said after a line."""
    from threadwright.cli.format import paragraph

    if answer.help is not None:
        return _help_lines(answer.help, before, unit)
    belief = [] if answer.session.belief is None else _belief(answer.session.belief)
    if answer.undone is not None:
        undone = f"{answer.undone.ask.replace('_', ' ')}: {answer.undone.say}"
        return [paragraph(f"Taken back: {undone}.", first="  "), *belief]
    if answer.did == "not owned" and before.asked is not None:
        return [paragraph(f"No more questions that need: {before.asked.gear}.", first="  ")]
    return belief if answer.did == "taken" else []


def _help_lines(told: Help, session: Session, unit: LengthUnit) -> list[str]:
    from threadwright.cli.format import paragraph
    from threadwright.cli.identify_command import expectations
    from threadwright.next_reading import leaders

    lines = [paragraph(told.question.how, first="  "), "", told.question.sketch.lstrip("\n"), ""]
    if told.suggestion is not None and session.belief is not None:
        shows = expectations(told.suggestion, leaders(session.belief), unit)
        minutes = f"About {told.suggestion.minutes:g} min."
        lines.append(paragraph(f"{minutes} It would show {shows}." if shows else minutes, first="  "))
    return [*lines, paragraph(told.question.write, first="  "), paragraph(_MORE, first="  ")]
