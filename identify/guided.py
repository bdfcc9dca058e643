"""The guided session: one question at a time, and what the answers mean so far.

A session is nothing but its answers: :func:`begin` works out from them what is believed and what to ask
next, so that answers which were kept go on where they ended. Nothing here reads or writes anything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Literal

from threadwright.guided_answers import NOT_OWNED, SKIP, names, typed_of
from threadwright.guided_questions import FIRST, NAMES, QUESTIONS, Question
from threadwright.next_reading import Suggestion, leaders, pick, ranked_readings
from threadwright.priors import UNKNOWN, Prior
from threadwright.ranking import Identification, identify
from threadwright.readings import Readings
from threadwright.record import Answer
from threadwright.tables.errors import ReadingError, ThreadwrightError
from threadwright.tables.numbers import shorten

__all__ = ["Asked", "Difference", "Help", "Reply", "Session", "begin", "check_kept", "differences", "reply"]

Did = Literal["taken", "skipped", "not owned", "back", "help", "done"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question as it is asked: its kind, the name by which its answer is kept, and its words.

    ``gear`` is what one needs for it; ``suggestion`` says what it would show, where that is known.
    """

    kind: str
    ask: str
    words: str
    write: str
    gear: str
    suggestion: Suggestion | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """Where a session stands.

    Attributes
    ----------
    answers : tuple of Answer
        All of them, skips too.
    prior : Prior
        What was known before any reading.
    typed : mapping
        Readings as they were typed, by the names of :class:`threadwright.readings.Readings`.
    belief : Identification or None
        What they mean; None while there is no reading.
    asked : Asked or None
        What to ask next; None when the session is at its end.
    for_hole : bool
        Whether the thread of a hole is wanted, though its screw may be what is measured.
    done : bool
        Whether it was ended by the word of the person who measures.
    """

    answers: tuple[Answer, ...]
    prior: Prior
    typed: Mapping[str, Any]
    belief: Identification | None
    asked: Asked | None
    for_hole: bool
    done: bool = False

    @property
    def side(self) -> Literal["external", "internal"]:
        """Side of the part that is measured."""
        return "internal" if self.typed.get("side") == "internal" else "external"


@dataclass(frozen=True, slots=True)
class Help:
    """How a reading is taken, and a drawing of it in characters."""

    question: Question
    suggestion: Suggestion | None = None


@dataclass(frozen=True, slots=True)
class Reply:
    """What a line of the person who measures did to the session."""

    did: Did
    session: Session
    help: Help | None = None
    undone: Answer | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """A reading in which the leaders differ and that was not taken, and why not."""

    suggestion: Suggestion
    because: str


def begin(answers: Sequence[Answer] = (), *, prior: Prior = UNKNOWN) -> Session:
    """A session with the answers given so far.

    Parameters
    ----------
    answers : sequence of Answer
        In their order; none for a new session.
    prior : Prior
        What is known of the fastener before any reading.

    Returns
    -------
    Session

    Raises
    ------
    ReadingError
        If an answer cannot be read or contradicts another.

    Examples
    --------
    >>> begin().asked.words
    'Is it a screw or a hole?'
    >>> session = begin([Answer("side", "screw"), Answer("major", "0.372 in"), Answer("pitch", "20 tpi")])
    >>> session.belief.candidates[0].designation, session.asked.kind
    ('3/8-20 BSF', 'across_flats')
    """
    typed = typed_of(answers)
    places = [one.say for one in answers if one.ask == "side"]
    readings = Readings(**typed)
    known = readings.given() or readings.evidence.given()
    belief = identify(readings, prior=prior) if known else None
    side = readings.side
    asked = _next(tuple(answers), side, belief, prior)
    return Session(
        answers=tuple(answers),
        prior=prior,
        typed=MappingProxyType(typed),
        belief=belief,
        asked=asked,
        for_hole=bool(places) and "hole" in places[-1].casefold(),
    )


def reply(session: Session, line: str) -> Reply:
    """Take one line: an answer to what is asked, another reading with its name, or a word.

    Words are ``?`` (how to measure; ``? pitch`` for another reading), ``back``, ``skip``, ``don't have``, and
    ``done`` or ``stop``.

    Parameters
    ----------
    session : Session
        Before the line.
    line : str

    Returns
    -------
    Reply

    Raises
    ------
    ReadingError
        If the line is none of these; the message says what to write.

    Examples
    --------
    >>> first = reply(begin(), "screw").session
    >>> first.asked.words
    'Major diameter, over the crests.'
    >>> reply(first, "pitch: 20 tpi").session.typed["pitch"]
    '20 tpi'
    """
    text = " ".join(line.replace("\u2019", "'").split())
    word = text.casefold()
    if text.startswith("?"):
        return Reply("help", session, _help(session, text[1:].strip()))
    if word == "back":
        if not session.answers:
            raise ReadingError("back: there is no answer to take back")
        before = begin(session.answers[:-1], prior=session.prior)
        return Reply("back", before, undone=session.answers[-1])
    if word in ("done", "stop"):
        return Reply("done", replace(session, asked=None, done=True))
    asked = session.asked
    if asked is None:
        raise ReadingError("the session is at its end; write back to go on from the last answer, or done")
    if word in (SKIP, NOT_OWNED, "dont have"):
        return _passed(session, asked, SKIP if word == SKIP else NOT_OWNED)
    name, colon, rest = text.partition(":")
    named = NAMES.get(name.strip().casefold().replace("_", " ")) if colon else None
    answer = Answer(asked.ask, text) if named is None else Answer(named, rest.strip())
    if not answer.say:
        raise ReadingError(
            f"nothing written; {_like(asked) if named is None else 'write its value behind it'}"
        )
    return Reply("taken", begin((*session.answers, answer), prior=session.prior))


def check_kept(answers: Sequence[Answer], *, prior: Prior, where: str) -> Session:
    """A session of answers that were kept in a file, or the reason why it cannot go on, with the place in it.

    Parameters
    ----------
    answers : sequence of Answer
    prior : Prior
    where : str
        What messages call it.

    Raises
    ------
    ReadingError
        Naming the first answer that cannot be.
    """
    for count in range(1, len(answers)):
        try:
            Readings(**typed_of(answers[:count]))
        except ThreadwrightError as fault:
            raise ReadingError(f"{where}, answer {count}: {fault}") from fault
    try:
        return begin(answers, prior=prior)
    except ThreadwrightError as fault:
        raise ReadingError(f"{where}, answer {len(answers)}: {fault}") from fault


def differences(session: Session) -> tuple[Difference, ...]:
    """What would part the leaders of a session that is not settled, the most telling reading first.

    Parameters
    ----------
    session : Session

    Returns
    -------
    tuple of Difference
        One for each kind of reading; empty if the answer is settled or nothing parts them.

    Examples
    --------
    >>> session = begin([Answer("side", "screw"), Answer("major", "0.372 in"), Answer("pitch", "20 tpi")])
    >>> [(one.suggestion.reading, one.because) for one in differences(session)][:1]
    [('flank_angle', 'not taken')]
    """
    if session.belief is None:
        return ()
    shut = _Shut(session.answers, session.side)
    found: dict[str, Difference] = {}
    ranked = ranked_readings(session.belief, prior=session.prior)
    for suggestion in sorted(ranked, key=lambda one: -one.bits):
        asked = _asked(suggestion, session.side)
        if asked is not None and asked.ask not in shut.answered:
            found.setdefault(suggestion.reading, Difference(suggestion, shut.reason(asked) or "not taken"))
    return tuple(found.values())


# --- what is asked ------------------------------------------------------------------------------------------


class _Shut:
    """Questions that are not asked again, and why."""

    def __init__(self, answers: Sequence[Answer], side: str) -> None:
        self.answered = {one.ask for one in answers if one.say not in (SKIP, NOT_OWNED)}
        self.skipped = {_slot(one.ask) for one in answers if one.say == SKIP}
        self.not_owned = {_gear(side, one.ask) for one in answers if one.say == NOT_OWNED}

    def reason(self, asked: Asked) -> str:
        """Why it is not asked; empty if it may be."""
        if asked.gear and asked.gear in self.not_owned:
            return "not at hand"
        if _slot(asked.ask) in self.skipped:
            return "skipped"
        return "answered" if asked.ask in self.answered else ""

    def open(self, asked: Asked | None) -> bool:
        """Whether it may be asked."""
        return asked is not None and not self.reason(asked)


def _slot(ask: str) -> str:
    """What a skip holds for: one piece to try, but wires of any size."""
    return ask if ask.startswith("tried") else ask.partition(" ")[0]


def _gear(side: str, ask: str) -> str:
    """What one needs to answer a question; nothing for one that is not asked on that side."""
    kind, _, detail = ask.partition(" ")
    return QUESTIONS[side, kind].gear.format(detail) if (side, kind) in QUESTIONS else ""


def _make(side: str, ask: str, suggestion: Suggestion | None = None) -> Asked:
    """A question by the name under which its answer is kept."""
    kind, _, detail = ask.partition(" ")
    question = QUESTIONS[side, kind]
    return Asked(
        kind=kind,
        ask=ask,
        words=question.words.format(detail),
        write=question.write,
        gear=_gear(side, ask),
        suggestion=suggestion,
    )


def _asked(suggestion: Suggestion, side: str) -> Asked | None:
    """The question that a suggested reading is asked by; None if there is none."""
    kind, detail = suggestion.reading, suggestion.piece
    if kind == "pitch" and suggestion.instrument != "comb":
        kind = "counted"
    if suggestion.wire_mm is not None:
        detail = f"{suggestion.wire_mm:.2f} mm"
    if (side, kind) not in QUESTIONS:
        return None
    return _make(side, f"{kind} {detail}".rstrip(), suggestion)


def _next(
    answers: tuple[Answer, ...], side: str, belief: Identification | None, prior: Prior
) -> Asked | None:
    """What to ask next; None if nothing is left that would help."""
    shut = _Shut(answers, side)
    if "side" not in shut.answered:
        return _make(side, "side")
    first = [one for one in (_make(side, kind) for kind in FIRST[side]) if shut.open(one)]
    if belief is None:
        return first[0] if first else None
    if not belief.settled:
        ranked = {one: _asked(one, side) for one in ranked_readings(belief, prior=prior)}
        best = pick([one for one, asked in ranked.items() if shut.open(asked)])
        if best is not None:
            return ranked[best]
        if len(leaders(belief)) < 2 and first:
            return first[0]
    hand = _make(side, "hand")
    return hand if shut.open(hand) and not belief.fits_nothing else None


# --- what is answered ---------------------------------------------------------------------------------------


def _passed(session: Session, asked: Asked, how: str) -> Reply:
    """Leave a question out, for now or for want of an instrument."""
    if asked.kind == "side":
        raise ReadingError(f"side: it decides all the rest; {_like(asked).replace('skip, back, ', '')}")
    if how == NOT_OWNED and not asked.gear:
        raise ReadingError(f"{asked.words.rstrip('?.').lower()}: nothing is needed for it; {_like(asked)}")
    after = begin((*session.answers, Answer(asked.ask, how)), prior=session.prior)
    return Reply("skipped" if how == SKIP else "not owned", after)


def _help(session: Session, name: str) -> Help:
    asked = session.asked
    if not name and asked is not None:
        return Help(QUESTIONS[session.side, asked.kind], asked.suggestion)
    kind = NAMES.get(name.casefold().replace("_", " "), "")
    if (session.side, kind) not in QUESTIONS:
        raise ReadingError(f"?: no reading {shorten(name)}; {names()}")
    return Help(QUESTIONS[session.side, kind])


def _like(asked: Asked) -> str:
    return f"{asked.write[0].lower()}{asked.write[1:-1]}; or skip, back, ?"
