"""The literal list of thread systems, and the way from a spelling to a thread."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from threadwright.tables import (
    acme,
    american_national,
    american_pipe,
    association,
    bicycle,
    buttress,
    conduit_pg,
    continental_historic,
    cycle,
    din_whitworth,
    edison,
    historic_american,
    hose,
    iso_metric,
    metric_aerospace,
    metric_historic,
    miniature,
    pipe_din,
    pipe_parallel,
    pipe_taper,
    round_thread,
    trapezoidal,
    unified,
    unified_aerospace,
    valve,
    whitworth,
    whitworth_special,
)
from threadwright.tables.errors import DesignationError, UnknownThreadError
from threadwright.tables.numbers import shorten
from threadwright.tables.system import SeriesTable, Size, System

if TYPE_CHECKING:
    from threadwright.tables.thread import Thread

__all__ = ["SYSTEMS", "find_row", "find_thread", "find_thread_and_class", "series", "system"]

SYSTEMS: tuple[System, ...] = (
    *iso_metric.SYSTEMS,
    *metric_aerospace.SYSTEMS,
    *miniature.SYSTEMS,
    *metric_historic.SYSTEMS,
    *unified.SYSTEMS,
    *unified_aerospace.SYSTEMS,
    *american_national.SYSTEMS,
    *historic_american.SYSTEMS,
    *whitworth.SYSTEMS,
    *whitworth_special.SYSTEMS,
    *din_whitworth.SYSTEMS,
    *association.SYSTEMS,
    *continental_historic.SYSTEMS,
    *cycle.SYSTEMS,
    *bicycle.SYSTEMS,
    *valve.SYSTEMS,
    *pipe_parallel.SYSTEMS,
    *pipe_taper.SYSTEMS,
    *pipe_din.SYSTEMS,
    *american_pipe.SYSTEMS,
    *hose.SYSTEMS,
    *trapezoidal.SYSTEMS,
    *acme.SYSTEMS,
    *buttress.SYSTEMS,
    *round_thread.SYSTEMS,
    *conduit_pg.SYSTEMS,
    *edison.SYSTEMS,
)

# multiplication sign, dashes, primes and fraction slash as word processors write them; full width letters
_PLAIN: dict[int, str] = {
    **{0xFF01 + offset: chr(0x21 + offset) for offset in range(94)},
    **dict.fromkeys((*range(0x2010, 0x2016), 0x2212), "-"),
    **str.maketrans({"\u00d7": "x", "*": "x", "\u2044": "/", "\u2116": "No. "}),
    **str.maketrans({"\u2033": '"', "\u201d": '"', "\u2019": "'"}),
}
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LONGEST = 40


@cache
def series(symbol: str) -> SeriesTable:
    """The table of one system, built when first asked for.

    Parameters
    ----------
    symbol : str
        For example ``"M"``, ``"BSF"``.

    Raises
    ------
    UnknownThreadError
        If no system has this symbol.

    Examples
    --------
    >>> series("M").designations[0]
    'M1x0.25'
    """
    return system(symbol).build()


@cache
def _by_symbol() -> dict[str, System]:
    return {entry.symbol: entry for entry in SYSTEMS}


def system(symbol: str) -> System:
    """The definition of one system.

    Raises
    ------
    UnknownThreadError
        If no system has this symbol; the message names the nearest ones.
    """
    if symbol in _by_symbol():
        return _by_symbol()[symbol]
    from difflib import get_close_matches

    symbols = [entry.symbol for entry in SYSTEMS]
    near = get_close_matches(symbol.upper(), symbols, n=3, cutoff=0.4) or symbols
    raise UnknownThreadError(
        f"no thread system {shorten(symbol)}; there is {', '.join(near)}; see 'threadwright table --list'"
    )


def _plain(text: str) -> str:
    """The text in plain characters with single spaces."""
    return " ".join(text.translate(_PLAIN).split())


def designation_key(text: str) -> str:
    """Reduce a spelling to what two spellings of the same thread share.

    Examples
    --------
    >>> designation_key("m8 X 1.0"), designation_key("1-1/2 - 6 unc"), designation_key("No. 10-32 UNF")
    ('M8-1', '1+1/2-6UNC', '10-32UNF')
    """
    key = _plain(text)
    for sign, spelled in _VULGAR.items():
        key = key.replace(sign, f" {spelled}")
    key = re.sub(r'["\']|(?<![A-Z])(?:INCH(?:ES)?|IN|MM|TPI)\b', " ", key.upper())
    key = re.sub(r"\bNO\b\.?|#", " ", key).strip()
    key = re.sub(r"(\d)[ -]+(\d+/\d)", r"\1+\2", key)
    key = re.sub(r"(\d)\s*[-X]\s*(?=[\d.])", r"\1-", key)
    key = re.sub(r"(\d*\.\d*?)0+(?!\d)", r"\1", key)
    key = re.sub(r"\.(?!\d)", "", key)
    key = re.sub(r"(?<!\d)\.(?=\d)", "0.", key)
    key = re.sub(r"(\d)\s+(?=\d)", r"\1-", key)
    return re.sub(r"\s+", "", key)


def _spellings(entry: System, row: int) -> set[str]:
    size = entry.sizes[row]
    printed = entry.designation(size)
    names = {printed, *size.aliases}
    for spelling in entry.spellings:
        names |= {name.replace(entry.symbol, spelling) for name in names if entry.symbol in name}
    return {designation_key(name) for name in names}


@cache
def _index() -> dict[str, tuple[tuple[str, int], ...]]:
    from threadwright.tables.named_parts import NAMED_PARTS

    index: dict[str, tuple[tuple[str, int], ...]] = {}
    for entry in SYSTEMS:
        for row in range(len(entry.sizes)):
            for key in _spellings(entry, row):
                index[key] = (*index.get(key, ()), (entry.symbol, row))
    for part in NAMED_PARTS:
        for name in part.names:
            index[designation_key(name)] = index[designation_key(part.designation)]
    return index


@cache
def _class_names() -> tuple[str, ...]:
    names = {limits.tolerance_class for entry in SYSTEMS for limits in series(entry.symbol).limits}
    return tuple(sorted((name for name in names if name), key=len, reverse=True))


def _classes_of(symbol: str) -> set[str]:
    return {limits.tolerance_class for limits in series(symbol).limits}


def _case_tells_side(symbol: str) -> bool:
    """Whether small letters are for screws and capitals for nuts: ``8g`` is a class of M, ``8G`` is not."""
    return len({name.islower() for name in _classes_of(symbol) if name}) > 1


def find_thread_and_class(text: str) -> tuple[Thread, str | None]:
    """Find a thread by a usual spelling, with the tolerance class if the spelling names one.

    Parameters
    ----------
    text : str
        ``"M8"``, ``"m8 x 1-6g"``, ``"3/8 BSF medium"``, ``"No. 10-32 UNF-2A"``; ``LH`` at the end for
        left hand.

    Raises
    ------
    DesignationError
        If the text is empty, far too long or fits several threads.
    UnknownThreadError
        If no table holds it; the message names the nearest designations.

    Examples
    --------
    >>> thread, tolerance_class = find_thread_and_class("M8x1.25-6g")
    >>> thread.designation, tolerance_class
    ('M8x1.25', '6g')
    """
    table, row, tolerance_class, left_hand = find_row(text)
    return table.thread(row, left_hand=left_hand), tolerance_class


def find_row(text: str) -> tuple[SeriesTable, int, str | None, bool]:
    """Find the table that holds a thread, and its row; one of its own for a thread that no table lists.

    Parameters
    ----------
    text : str
        As for :func:`find_thread_and_class`.

    Returns
    -------
    tuple of SeriesTable, int, str or None, bool
        The table, the row, the tolerance class if the spelling names one, and whether it is left hand.

    Raises
    ------
    DesignationError, UnknownThreadError
        As :func:`find_thread_and_class`.

    Examples
    --------
    >>> table, row, _, left_hand = find_row("Tr 20x8 P4 LH")
    >>> table.designations[row], len(table), left_hand
    ('Tr 20x8 P4', 1, True)
    """
    if not text.strip() or len(text) > _LONGEST:
        raise DesignationError(
            f"thread: cannot read {shorten(text)}; write it like 'M8x1.25' or '3/8-20 BSF'"
        )
    plain = _plain(text)
    left = re.search(r"(?<=[\w\s-])[\s-]*LH\b[\s-]*", plain, re.IGNORECASE)
    if left is not None:
        plain = f"{plain[: left.start()]} {plain[left.end() :]}".strip()
    rows, tolerance_class = _rows(plain)
    if not rows:
        _refuse(text, plain)
    if len(rows) > 1:
        several = len({table.system.symbol for table, _ in rows}) > 1
        names = " or ".join(
            repr(table.designations[row]) + (f" ({table.system.title})" if several else "")
            for table, row in rows
        )
        raise DesignationError(f"thread: {shorten(text)} fits several threads; write {names}")
    table, row = rows[0]
    return table, row, tolerance_class, left is not None


def _named(plain: str) -> tuple[tuple[SeriesTable, int], ...]:
    """Tables and rows of a spelling without a class: listed, or following from a listed size."""
    key = designation_key(plain)
    listed = tuple((series(symbol), row) for symbol, row in _index().get(key, ()))
    return listed or tuple((table, 0) for entry in SYSTEMS if (table := _unlisted(entry, key)) is not None)


def _unlisted(entry: System, key: str) -> SeriesTable | None:
    size = None if entry.unlisted is None else entry.unlisted(entry, key)
    return None if size is None else _one_row(entry, size)


@lru_cache(maxsize=64)
def _one_row(entry: System, size: Size) -> SeriesTable:
    return entry.but(seeds=lambda: (size,)).build()


def _rows(plain: str) -> tuple[tuple[tuple[SeriesTable, int], ...], str | None]:
    rows = _named(plain)
    if rows:
        return rows, None
    for name, flags in [
        *((name, 0) for name in _class_names()),
        *((name, re.IGNORECASE) for name in _class_names()),
    ]:
        head = re.sub(rf"[\s-]+{re.escape(name)}$", "", plain, flags=flags)
        if head == plain:
            continue
        fitting = tuple(
            (table, row)
            for table, row in _named(head)
            if name in _classes_of(table.system.symbol)
            and not (flags and _case_tells_side(table.system.symbol))
        )
        if fitting:
            return fitting, name
    return (), None


def _refuse_class(plain: str) -> None:
    """Refuse a thread of the tables with a class that they do not hold; leave anything else alone."""
    match = re.fullmatch(r"(.+?)[\s-]+((?:\d[A-Za-z]){1,2})", plain)
    rows = _index().get(designation_key(match[1]), ()) if match else ()
    if match and rows:
        thread = series(rows[0][0]).thread(rows[0][1])
        held = ", ".join(row.tolerance_class for row in thread.all_limits if row.tolerance_class) or "none"
        raise UnknownThreadError(
            f"thread: {thread.designation} has no class {match[2]!r} in the tables; they hold {held}"
        )


def _refuse(text: str, plain: str) -> None:
    from difflib import get_close_matches

    _refuse_class(plain)
    names = {key: rows[0] for key, rows in _index().items()}
    near = get_close_matches(designation_key(plain), names, n=3, cutoff=0.6)
    printed = list(dict.fromkeys(series(names[key][0]).designations[names[key][1]] for key in near))
    hint = (
        f"did you mean {' or '.join(repr(name) for name in printed)}?"
        if printed
        else "see 'threadwright table --list'"
    )
    raise UnknownThreadError(f"thread: no table holds {shorten(text)}; {hint}")


def find_thread(text: str) -> Thread:
    """Find a thread by a usual spelling; see :func:`find_thread_and_class`.

    Raises
    ------
    DesignationError, UnknownThreadError
        As :func:`find_thread_and_class`.

    Examples
    --------
    >>> find_thread("m8").designation
    'M8x1.25'
    """
    return find_thread_and_class(text)[0]
