"""A fastener on a known machine: what its record, its origin and given weights change in the answer."""

from __future__ import annotations

import math
import os
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from threadwright.priors import UNKNOWN, Origin, Prior
from threadwright.ranking import Identification, identify_same
from threadwright.tables.errors import FileFaultError, ReadingError, RecordError
from threadwright.tables.numbers import shorten
from threadwright.tables.registry import SYSTEMS

if TYPE_CHECKING:
    from threadwright.readings import Readings
    from threadwright.record import Entry, Record

__all__ = [
    "RecordEffect",
    "identify_with_record",
    "prior_of",
    "read_same",
    "read_weights",
]

Change = Literal["first", "settled", "unsettled", "probability", "nothing"]
_WEIGHTS: Final = (1e-9, 1e9)  # least and greatest weight of a system that a number can stand for
_LEAST_MOVE: Final = 0.005  # a smaller change of probability does not show in two decimals


@dataclass(frozen=True, slots=True)
class RecordEffect:
    """What a machine's record did to an answer.

    Attributes
    ----------
    counted : tuple of (str, int)
        Systems and how many fasteners of each were counted, the commonest first.
    own : Entry or None
        The entry of the fastener's own place, which was not counted.
    change : {"first", "settled", "unsettled", "probability", "nothing"}
        The record put another thread first, settled the answer, opened it, moved the first thread's
        probability only, or did nothing that shows.
    without : Identification
        The answer without the record.
    """

    counted: tuple[tuple[str, int], ...]
    own: Entry | None
    change: Change
    without: Identification

    @property
    def changed_the_answer(self) -> bool:
        """Whether another thread comes first, or the answer is settled or open by the record."""
        return self.change in ("first", "settled", "unsettled")

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        first = self.without.candidates[0]
        return {
            "counted": dict(self.counted),
            "own_place_not_counted": None if self.own is None else self.own.designation,
            "change": self.change,
            "changed_the_answer": self.changed_the_answer,
            "without_record": {
                "designation": first.designation,
                "probability": first.probability,
                "none_of_these": self.without.none_of_these,
            },
        }


def prior_of(
    record: Record | None = None,
    *,
    place: str | None = None,
    made_in: str | None = None,
    year: int | None = None,
    weights: Mapping[str, float] | None = None,
) -> Prior:
    """What is known of a fastener before anything is measured.

    Parameters
    ----------
    record : Record, optional
        Fasteners identified on the same machine; each raises its system by its probability.
    place : str, optional
        Place of the fastener: its own entry is not counted.
    made_in, year : optional
        Origin of the machine; each goes before what the record says.
    weights : mapping, optional
        Weights of systems by symbol, in the place of the general ones.

    Returns
    -------
    Prior

    Raises
    ------
    ReadingError
        If the country or the year is impossible.
    RecordError
        If that of the record is.

    Examples
    --------
    >>> prior_of(made_in="gb", year=1938).origin
    Origin(country='GB', year=1938)
    """
    origin = Origin(made_in, year)
    if record is None:
        return Prior(origin, weights or {})
    try:
        recorded = Origin(record.machine.made_in, record.machine.year)
    except ReadingError as fault:
        raise RecordError(f"{record.name}, [machine]: {fault}") from fault
    origin = Origin(origin.country or recorded.country, origin.year or recorded.year)
    return Prior(origin, weights or {}, record.counts(without=place))


def read_weights(path: str | os.PathLike[str]) -> dict[str, float]:
    """Read weights of systems: TOML with a section ``[series]``, such as ``BSF = 0.3``.

    Parameters
    ----------
    path : path
        The file.

    Returns
    -------
    dict of str to float
        Weight by system symbol; systems it does not name keep their general weight.

    Raises
    ------
    FileFaultError
        If the file is missing, unreadable or not TOML.
    ReadingError
        If it holds anything but weights of systems.
    """
    import tomllib

    name = f"priors {os.fspath(path)}"
    try:
        with open(path, "rb") as file:
            tables = tomllib.load(file)
    except OSError as fault:
        raise FileFaultError(f"{name}: cannot be read ({fault.strerror}); name a TOML file") from fault
    except ValueError as fault:
        raise FileFaultError(
            f"{name}: not a TOML file ({fault}); write [series], and below it BSF = 0.3"
        ) from fault
    for section in tables:
        if section != "series":
            raise ReadingError(
                f"{name}, {shorten(section)}: no such section; write the weights under [series]"
            )
    weights = tables.get("series")
    if not isinstance(weights, Mapping) or not weights:
        raise ReadingError(f"{name}: no weights; write [series], and below it BSF = 0.3")
    for symbol, weight in weights.items():
        _check_weight(symbol, weight, name)
    return {symbol: float(weight) for symbol, weight in weights.items()}


def _check_weight(symbol: str, weight: object, name: str) -> None:
    known = [system.symbol for system in SYSTEMS]
    if symbol not in known:
        from difflib import get_close_matches

        near = get_close_matches(symbol.upper(), known, n=1, cutoff=0.5)
        hint = f"did you mean '{near[0]}'?" if near else f"there is {', '.join(known)}"
        raise ReadingError(f"{name}, {shorten(symbol)}: no such series; {hint}")
    least, greatest = _WEIGHTS
    number = math.nan if isinstance(weight, bool) or not isinstance(weight, int | float) else float(weight)
    if not least <= number <= greatest:
        raise ReadingError(
            f"{name}, {symbol}: {shorten(str(weight))} is no weight; write a number from {least:g} to "
            f"{greatest:g} without quotes, like 0.3"
        )


def read_same(path: str | os.PathLike[str]) -> tuple[Readings, ...]:
    """Read several fasteners from a table as ``batch`` takes it: a header with ``id``, and readings.

    Parameters
    ----------
    path : path
        Table in CSV.

    Returns
    -------
    tuple of Readings

    Raises
    ------
    FileFaultError
        If it cannot be read as such a table.
    ReadingError
        If a row cannot be read, or there is none; a fastener left out unseen would be no help.
    """
    from threadwright.batch_cells import readings_of
    from threadwright.batch_csv import sheets

    name, found = os.fspath(path), []
    try:
        with open(path, encoding="utf-8-sig", errors="surrogateescape") as file:
            for sheet in sheets(file, name=name):
                for row, own in enumerate(sheet.ids):
                    try:
                        if row in sheet.faults:
                            raise ReadingError(sheet.faults[row])
                        found.append(readings_of(sheet, row))
                    except ReadingError as fault:
                        raise ReadingError(
                            f"{name}, row {shorten(own) or len(found) + 1}: {fault}"
                        ) from fault
    except FileFaultError:
        raise
    except OSError as fault:
        raise FileFaultError(f"{name}: cannot be read ({fault.strerror}); name a table in CSV") from fault
    if not found:
        raise ReadingError(f"{name}: no row below the header; write one for each fastener")
    return tuple(found)


def identify_with_record(
    fasteners: Sequence[Readings],
    record: Record,
    *,
    place: str | None = None,
    prior: Prior = UNKNOWN,
    top: int | None = 8,
) -> tuple[Identification, RecordEffect]:
    """Identify a fastener with its machine's record and without it, and compare.

    Parameters
    ----------
    fasteners : sequence of Readings
        One, or several believed to be the same.
    record : Record
    place : str, optional
        Where the fastener sits; its own entry is not counted.
    prior : Prior
        As :func:`prior_of` gives it for that record and place.
    top : int, optional
        How many candidates to return.

    Returns
    -------
    tuple of Identification, RecordEffect

    Raises
    ------
    ReadingError
        As :func:`threadwright.ranking.identify_same`.

    Examples
    --------
    >>> from threadwright.readings import Readings
    >>> from threadwright.record import parse_record
    >>> lid = '[[fastener]]\\nplace = "lid"\\nthread = "2 BA"\\n'
    >>> press = parse_record(lid + lid.replace("lid", "cup"), name="press.toml")
    >>> screw = Readings(major="5.92 mm", pitch="1 mm")
    >>> answer, effect = identify_with_record([screw], press, prior=prior_of(press))
    >>> answer.candidates[0].designation, effect.without.candidates[0].designation
    ('0 BA', 'M6x1')
    """
    answer = identify_same(fasteners, top=top, prior=prior)
    without = identify_same(fasteners, top=top, prior=Prior(prior.origin, prior.weights))
    counted = Counter(entry.thread.system for entry in record.without(place))
    own = None if place is None else record.at(place)
    return answer, RecordEffect(tuple(counted.most_common()), own, _change(answer, without), without)


def _change(answer: Identification, without: Identification) -> Change:
    """What differs between two answers, the gravest thing only."""
    first, before = answer.candidates[0], without.candidates[0]
    if (answer.fits_nothing, first.designation) != (without.fits_nothing, before.designation):
        return "first"
    if answer.settled != without.settled:
        return "settled" if answer.settled else "unsettled"
    return "probability" if abs(first.probability - before.probability) >= _LEAST_MOVE else "nothing"
