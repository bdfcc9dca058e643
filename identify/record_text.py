"""Changes to the text of a machine record that leave the rest of it as it is, comments and all."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from threadwright.record_keys import same_place
from threadwright.tables.errors import RecordError

if TYPE_CHECKING:
    from tomlkit import TOMLDocument
    from tomlkit.items import AoT

__all__ = ["new_text", "with_entry", "with_session", "without_session"]


def new_text(machine: Mapping[str, Any]) -> str:
    """Text of a record without a fastener.

    Parameters
    ----------
    machine : mapping
        What is known of the machine, by its keys.

    Examples
    --------
    >>> print(new_text({"name": "press"}).splitlines()[2])
    [machine]
    """
    import tomlkit

    head = "# Fasteners identified on one machine. Edit it as you like: comments are kept.\n"
    return f"{head}\n{tomlkit.dumps({'machine': machine})}" if machine else head


def with_entry(text: str, place: str, values: Mapping[str, Any], *, name: str) -> str:
    """The text with a fastener added, or changed where its place is there.

    Parameters
    ----------
    text : str
        A record.
    place : str
        Of the fastener.
    values : mapping
        Its other keys; notes that are there stay where there are none.
    name : str
        What messages call the file.

    Raises
    ------
    RecordError
        If the fasteners are written as one list.

    Examples
    --------
    >>> print(with_entry("", "lid", {"thread": "M8"}, name="press.toml").strip())
    [[fastener]]
    place = "lid"
    thread = "M8"
    """
    import tomlkit

    document = _document(text)
    fasteners = _list_in(document, "fastener", name)
    at = _at(fasteners, place)
    if at is None:
        fasteners.append(_new_table(place))
        at = len(fasteners) - 1
    table = fasteners[at]
    for key in [key for key in table if key not in ("place", "notes", *values)]:
        del table[key]
    for key, value in values.items():
        if isinstance(value, Mapping):
            inline = tomlkit.inline_table()
            inline.update(value)
            value = inline
        table[key] = value
    return tomlkit.dumps(document)


def with_session(
    text: str, place: str, answers: Sequence[Mapping[str, str]], *, date: datetime.date | None, name: str
) -> str:
    """The text with a guided session added or changed.

    Parameters
    ----------
    text : str
        A record.
    place : str
        Of the session.
    answers : sequence of mapping
        What was asked and said.
    date : datetime.date, optional
        Of the last answer.
    name : str
        What messages call the file.

    Raises
    ------
    RecordError
        If the sessions are written as one list.

    Examples
    --------
    >>> text = with_session("", "lid", [{"ask": "major", "say": "8 mm"}], date=None, name="press.toml")
    >>> print(text.strip())
    [[session]]
    # not finished; threadwright guide goes on with it
    place = "lid"
    answers = [
        {ask = "major", say = "8 mm"},
    ]
    """
    import tomlkit

    document = _document(text)
    sessions = _list_in(document, "session", name)
    at = _at(sessions, place)
    if at is None:
        sessions.append(_new_table(place, "not finished; threadwright guide goes on with it"))
        at = len(sessions) - 1
    lines = tomlkit.array().multiline(True)
    for answer in answers:
        line = tomlkit.inline_table()
        line.update(answer)
        lines.append(line)
    if date is not None:
        sessions[at]["date"] = date
    sessions[at]["answers"] = lines
    return tomlkit.dumps(document)


def without_session(text: str, place: str, *, name: str) -> str:
    """The text without the guided session of a place.

    Parameters
    ----------
    text : str
        A record.
    place : str
        Of the session; there need be none.
    name : str
        What messages call the file.

    Raises
    ------
    RecordError
        If the sessions are written as one list.

    Examples
    --------
    >>> without_session("# foot\\n", "lid", name="press.toml")
    '# foot\\n'
    """
    import tomlkit

    document = _document(text)
    sessions = _list_in(document, "session", name)
    at = _at(sessions, place)
    if at is not None:
        del sessions[at]
    if not sessions:
        del document["session"]
    return tomlkit.dumps(document)


def _document(text: str) -> TOMLDocument:
    import tomlkit

    return tomlkit.parse(text if text.endswith("\n") or not text else f"{text}\n")


def _new_table(place: str, comment: str | None = None) -> Any:
    """A table for a place, an empty line before it."""
    import tomlkit

    table = tomlkit.table()
    table.trivia.indent = "\n"
    if comment is not None:
        table.add(tomlkit.comment(comment))
    table["place"] = place
    return table


def _at(listed: AoT, place: str) -> int | None:
    """Where a place stands in a list of tables."""
    return next((n for n, one in enumerate(listed) if same_place(str(one["place"]), place)), None)


def _list_in(document: TOMLDocument, section: str, name: str) -> AoT:
    """A list of tables in a record, which is begun if it is missing."""
    import tomlkit
    from tomlkit.items import AoT

    listed = document.setdefault(section, tomlkit.aot())
    if not isinstance(listed, AoT):
        raise RecordError(
            f"{name}, {section}: written as one list; begin each with [[{section}]] to add another"
        )
    return listed
