"""Reading a job file: sections and keys, each fault named with its place."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from threadwright.job.keys import KEYS, READING_KEYS, READINGS
from threadwright.job.records import (
    BushWish,
    Fastener,
    Hole,
    Job,
    Parent,
    Screw,
    SheetWish,
    surroundings,
    wish,
)
from threadwright.priors import Origin
from threadwright.readings import Readings
from threadwright.repair.drawer import Drawer
from threadwright.repair.lathe import Lathe
from threadwright.repair.wish import Locate
from threadwright.tables.errors import FileFaultError, JobError, ReadingError

__all__ = ["job_from_tables", "read_job"]

Where = Callable[[str, str], str]
_NEEDED: Final = (("hole", "depth"), ("parent", "material"))
_EXAMPLES: Final = MappingProxyType({"depth": 'depth = "25 mm"', "material": 'material = "cast aluminium"'})


def read_job(path: str | Path) -> Job:
    """Read and check a job file.

    Parameters
    ----------
    path : str or Path
        The TOML file.

    Raises
    ------
    FileFaultError
        If the file is missing, unreadable or not TOML.
    JobError
        If a section or key is unknown, missing or of the wrong kind; the message names file, section and key.
    """
    try:
        tables = tomllib.loads(Path(path).read_bytes().decode("utf-8"))
    except OSError as fault:
        raise FileFaultError(
            f"job {path}: cannot read it ({fault.strerror}); give the path of a TOML file"
        ) from fault
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise FileFaultError(f"job {path}: not a TOML file ({fault}); see the files in samples/") from fault
    job = job_from_tables(tables, where=lambda section, key: f"job {path}, [{section}]{key and f' {key}'}")
    return replace(job, from_file=True)


def job_from_tables(tables: Mapping[str, Any], *, where: Where) -> Job:
    """Check the sections of a job.

    Parameters
    ----------
    tables : mapping
        Sections, each a mapping of keys.
    where : callable
        What a message calls a section and a key of it; the key may be empty.

    Raises
    ------
    JobError
        At the first key that is unknown, missing, of the wrong kind or impossible.

    Examples
    --------
    >>> job = job_from_tables(
    ...     {
    ...         "fastener": {"designation": "m8"},
    ...         "hole": {"depth": "25 mm"},
    ...         "parent": {"material": "cast iron"},
    ...     },
    ...     where=lambda section, key: f"{section} {key}",
    ... )
    >>> job.fastener.thread.designation, job.hole.depth
    ('M8x1.25', 25.0)
    """
    for section in tables:
        if section not in KEYS:
            raise JobError(f"{where(section, '')}: no such section; {_did_you_mean(section, KEYS)}")
    given = {section: _read_section(section, tables.get(section, {}), where) for section in KEYS}
    for section, key in _NEEDED:
        if key not in given[section]:
            raise JobError(f"{where(section, key)} is missing; write it like {_EXAMPLES[key]}")
    drawer = None
    if "drawer" in tables:
        drawer = Drawer.from_mapping(given["drawer"], name=where("drawer", ""))
    job = Job(
        fastener=_fastener(given["fastener"], where),
        hole=Hole(**given["hole"]),
        parent=Parent(**given["parent"]),
        screw=Screw(**given["screw"]),
        bush=BushWish(**given["bush"]),
        locate=Locate(**given["locate"]),
        sheet=SheetWish(**given["sheet"]),
        lathe=_lathe(given["lathe"], where) if "lathe" in tables else None,
        drawer=drawer,
    )
    for section, check in (("hole", surroundings), ("locate", wish)):
        try:
            check(job)
        except JobError as fault:
            raise JobError(f"{where(section, '')}: {fault}") from fault
    idle = _idle(job)
    return replace(job, noted=tuple(f"{part} {key}" for part, key in idle if key in given[part]))


def _idle(job: Job) -> list[tuple[str, str]]:
    """Keys that a job of this kind has no use for."""
    asked = wish(job)
    named = job.fastener.thread is not None
    found = [("fastener", key) for key in (*READING_KEYS, "made_in", "year") if named]
    if not asked.has_spigot:
        found += [("locate", key) for key in ("fit", "projection")]
    if not asked.has_spigot or asked.mating_depth_mm is not None:
        found.append(("locate", "spigot_length"))
    if asked.kind not in ("collar", "pilot"):
        found += [("locate", key) for key in ("register_fit", "bored_from", "collar")]
    if asked.kind not in ("collar", "stop collar"):
        found.append(("locate", "flush"))
    if asked.kind == "none":
        found.append(("locate", "collar_length"))
    if asked.kind != "pilot" or asked.collar_mm is not None:
        found.append(("drawer", "reamers"))
    if asked.lathe is not None and not asked.lathe.can_cut:
        found += [("lathe", key) for key in ("leadscrew", "wheels", "spindle_ratio")]
    return found


def _lathe(given: dict[str, Any], where: Where) -> Lathe:
    kept = {("division_mm" if key == "division" else key): value for key, value in given.items()}
    try:
        return Lathe(**kept)
    except JobError as fault:
        raise JobError(f"{where('lathe', '')}: {fault}") from fault


def _did_you_mean(word: str, known: Mapping[str, object]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"there is {', '.join(known)}"


def _read_section(section: str, table: object, where: Where) -> dict[str, Any]:
    if not isinstance(table, Mapping):
        raise JobError(f"{where(section, '')}: it is not a section; write [{section}] on a line of its own")
    known = KEYS[section]
    for key in table:
        if key not in known:
            raise JobError(f"{where(section, key)}: no such key; {_did_you_mean(key, known)}")
    return {key: known[key](value, where(section, key)) for key, value in table.items()}


def _fastener(given: dict[str, Any], where: Where) -> Fastener:
    readings = {key: given[key] for key in READING_KEYS if key in given}
    thread = given.get("designation")
    taken = [key for key in READINGS if key in readings]
    if thread is not None and taken:
        raise JobError(
            f"{where('fastener', taken[0])}: the designation is given too; give the designation or readings"
        )
    if thread is None and not taken:
        raise JobError(
            f'{where("fastener", "")}: neither designation nor readings; write designation = "M8x1.25", or '
            'major = "7.9 mm" and pitch = "1.25 mm"'
        )
    kept = {key: given[key] for key in ("made_in", "year", "hand") if key in given}
    try:
        Origin(kept.get("made_in"), kept.get("year"))
    except ReadingError as fault:
        raise JobError(f"{where('fastener', '')}: {fault}") from fault
    left = kept.get("hand") == "left"
    if thread is not None and thread.left_hand and kept.get("hand") == "right":
        raise JobError(
            f"{where('fastener', 'hand')}: the designation {thread.designation} LH is left-hand; leave one "
            "of them out"
        )
    if thread is not None:
        return Fastener(thread=replace(thread, left_hand=thread.left_hand or left), **kept)
    try:
        return Fastener(readings=Readings(**readings), **kept)
    except ReadingError as fault:
        raise JobError(f"{where('fastener', '')}: {fault}") from fault
