"""The job file: one fastener, its hole, the metals and the bush, in TOML.

Lengths, angles and loads are text with their unit (``depth = "25 mm"``). A key that no section has is
an error, never a silence.
"""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from fractions import Fraction
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, Literal

from threadwright.quantities import length_mm
from threadwright.readings import Readings
from threadwright.repair.drawer import Drawer
from threadwright.repair.driving import read_driving
from threadwright.repair.hole import Surroundings, parse_temperature, read_beyond, read_state
from threadwright.repair.lathe import Lathe, read_leadscrew
from threadwright.repair.register import REGISTER_FITS
from threadwright.repair.spigot import SPIGOT_FITS
from threadwright.repair.wish import Locate, Wish
from threadwright.tables.errors import (
    DesignationError,
    FileFaultError,
    JobError,
    MaterialError,
    NumberError,
    ReadingError,
    UnknownThreadError,
)
from threadwright.tables.materials import find_material
from threadwright.tables.numbers import parse_number, shorten
from threadwright.tables.registry import find_thread
from threadwright.tables.screw_grades import find_grade
from threadwright.units import split_unit

if TYPE_CHECKING:
    from threadwright.repair.driving import DrivingKind
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.route import Route
    from threadwright.repair.settle import RepairPlan
    from threadwright.tables.thread import Thread

__all__ = [
    "BushWish",
    "Fastener",
    "Hole",
    "Job",
    "Locate",
    "Parent",
    "Screw",
    "SheetWish",
    "collar_length",
    "job_from_tables",
    "parse_load",
    "plan_job",
    "read_job",
    "surroundings",
    "wish",
]

Where = Callable[[str, str], str]
_Reader = Callable[[object, str], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """What was held: a thread by name, or readings of it."""

    thread: Thread | None = None
    readings: Readings | None = None
    made_in: str | None = None
    year: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """The stripped hole. Lengths in mm."""

    depth: float
    through: bool | None = None
    bore: float | None = None
    floor: float | None = None
    edge: float | None = None
    next_hole: float | None = None
    face_counterbore: float | None = None
    counterbore_depth: float | None = None
    state: str = "stripped"
    beyond: str = "nothing"
    far_side: bool | None = None
    off_by: float | None = None
    temperature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Parent:
    """The part with the hole: its metal, the boss about the hole [mm], and what it is called."""

    material: str
    boss: float | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """The screw that goes into the bush: grade, or the clamp load asked for [kN]; its length [mm]."""

    grade: str = "unmarked"
    clamp: float | None = None
    length: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BushWish:
    """What the bush is to be."""

    material: str = "free-cutting steel"
    collar: bool | None = None
    driving: DrivingKind = "jam nut"
    hand: str | None = None
    routes: int | None = None
    """How many routes are printed in full."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWish:
    """What stands in the title block of the drawing, its paper and the unit of its sizes."""

    date: str = ""
    drawn_by: str = ""
    number: str = ""
    paper: Literal["A4", "Letter"] = "A4"
    unit: Literal["mm", "in"] = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole repair as it was asked for.

    ``noted`` names what was given and checked but has no bearing on the plan of the bush's thread.
    """

    fastener: Fastener
    hole: Hole
    parent: Parent
    screw: Screw
    bush: BushWish
    sheet: SheetWish = SheetWish()
    locate: Locate = field(default_factory=Locate)
    lathe: Lathe | None = None
    drawer: Drawer | None = None
    noted: tuple[str, ...] = ()
    from_file: bool = False


# --- what each key holds ------------------------------------------------------------------------------------


def _text(value: object, where: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise JobError(f'{where}: {shorten(str(value))} is not text; write it in quotes, like "steel"')
    return value


def _length(value: object, where: str) -> float:
    if not isinstance(value, str):
        raise JobError(
            f'{where}: {shorten(str(value))} has no unit; write it in quotes with its unit, like "25 mm"'
        )
    try:
        return length_mm(value, name=where)
    except ReadingError as fault:
        raise JobError(str(fault)) from fault


def _flag(value: object, where: str) -> bool:
    if not isinstance(value, bool):
        raise JobError(
            f"{where}: {shorten(str(value))} is neither true nor false; write true or false, without quotes"
        )
    return value


def _whole(value: object, where: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise JobError(
            f"{where}: {shorten(str(value))} is not a whole number; write it without quotes, like 3"
        )
    return value


def _load(value: object, where: str) -> float:
    return parse_load(_text(value, where), name=where)


def _hand(value: object, where: str) -> str:
    if value not in ("right", "left"):
        raise JobError(f'{where}: {shorten(str(value))} is no hand; write "right" or "left"')
    return value


def _date(value: object, where: str) -> str:
    """A day, as TOML has it or in quotes; the day of printing is never put in its place."""
    try:
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value.isoformat()
        return datetime.date.fromisoformat(_text(value, where)).isoformat()
    except ValueError as fault:
        raise JobError(f"{where}: {shorten(str(value))} is no day; write it like 2026-11-25") from fault


def _looked_up(find: Callable[[str], object]) -> _Reader:
    """Read text that some table must hold."""

    def read(value: object, where: str) -> object:
        try:
            return find(_text(value, where))
        except (DesignationError, MaterialError, UnknownThreadError) as fault:
            raise JobError(f"{where}: {fault}") from fault

    return read


def _word(read: Callable[..., object]) -> _Reader:
    """Read text by a reader that names what it reads."""
    return lambda value, where: read(_text(value, where), name=where)


def _one_of(*known: str) -> _Reader:
    """Read one of a few words."""

    def read(value: object, where: str) -> str:
        if value not in known:
            words = " or ".join(f'"{word}"' for word in known)
            raise JobError(f"{where}: cannot take {shorten(str(value))}; write {words}")
        return str(value)

    return read


def _lengths(value: object, where: str) -> float | tuple[float, ...]:
    """One length, or a list of readings of it."""
    return tuple(_length(one, where) for one in value) if isinstance(value, list) else _length(value, where)


def _wheels(value: object, where: str) -> tuple[int, ...]:
    if not isinstance(value, list):
        raise JobError(f"{where}: {shorten(str(value))} is not a list; write it like [20, 40, 63, 80]")
    return tuple(_whole(one, where) for one in value)


def _ratio(value: object, where: str) -> Fraction:
    try:
        return parse_number(_text(value, where))
    except NumberError as fault:
        raise JobError(f"{where}: {fault}") from fault


def _list(value: object, where: str) -> list[object]:
    if not isinstance(value, list):
        raise JobError(f'{where}: {shorten(str(value))} is not a list; write it like ["M12x1.5", "M14x1.5"]')
    return value


_READINGS: Final = ("major", "pitch", "over_wires", "wire", "wires", "pitch_diameter", "minor", "flank_angle")
_READING_KEYS: Final = (*_READINGS, "side", "condition", "visible", "combs", "instrument")
_METAL: Final = _looked_up(lambda text: find_material(text).name)
_KEYS: Final[Mapping[str, Mapping[str, _Reader]]] = MappingProxyType(
    {
        "fastener": {
            "designation": _looked_up(find_thread),
            **dict.fromkeys(_READING_KEYS, _text),
            "wires": _whole,
            "made_in": _text,
            "year": _whole,
        },
        "hole": {
            "depth": _length,
            "through": _flag,
            "bore": _length,
            "floor": _length,
            "edge": _length,
            "next_hole": _length,
            "face_counterbore": _length,
            "counterbore_depth": _length,
            "state": _word(read_state),
            "beyond": _word(read_beyond),
            "far_side": _flag,
            "off_by": _length,
            "temperature": _word(parse_temperature),
        },
        "locate": {
            **dict.fromkeys(("spigot", "spigot_length", "mating_thickness", "mating_depth"), _length),
            **dict.fromkeys(("collar", "collar_length", "projection", "flush"), _length),
            **dict.fromkeys(("mating_bore", "seat"), _lengths),
            "register": _one_of("collar", "pilot", "none"),
            "register_fit": _one_of(*REGISTER_FITS),
            "bored_from": _one_of("spigot seat", "mating part", "hole pattern"),
            "fit": _one_of(*SPIGOT_FITS),
        },
        "lathe": {
            "leadscrew": _word(read_leadscrew),
            "wheels": _wheels,
            "dial": _one_of("radius", "diameter"),
            "division": _length,
            "spindle_ratio": _ratio,
        },
        "parent": {"material": _METAL, "boss": _length, "part": _text},
        "screw": {"grade": _looked_up(lambda text: find_grade(text).name), "clamp": _load, "length": _length},
        "bush": {
            "material": _METAL,
            "collar": _flag,
            "driving": _word(read_driving),
            "hand": _hand,
            "routes": _whole,
        },
        "drawer": dict.fromkeys(("taps", "dies", "drills", "reamers", "wires"), _list),
        "sheet": {
            "date": _date,
            "drawn_by": _text,
            "number": _text,
            "paper": _one_of("A4", "Letter"),
            "unit": _one_of("mm", "in"),
        },
    }
)
_NEEDED: Final = (("hole", "depth"), ("parent", "material"))
_EXAMPLES: Final = MappingProxyType({"depth": 'depth = "25 mm"', "material": 'material = "cast aluminium"'})
_NOT_USED: Final = (("bush", ("hand",)), ("drawer", ("reamers",)))
_NEWTONS: Final = MappingProxyType(
    {"kN": Fraction(1000), "N": Fraction(1), "kgf": Fraction("9.80665"), "lbf": Fraction("4.4482216152605")}
)


def parse_load(text: str, *, name: str) -> float:
    """Read a load.

    Parameters
    ----------
    text : str
        Number and unit: kN, N, kgf or lbf.
    name : str
        What the message calls it.

    Returns
    -------
    float
        Load. [kN]

    Raises
    ------
    JobError
        If the text is not of that form, or the load is nothing.

    Examples
    --------
    >>> parse_load("6.5 kN", name="clamp"), round(parse_load("1000 lbf", name="clamp"), 3)
    (6.5, 4.448)
    """
    number, unit = split_unit(text)
    try:
        newtons = parse_number(number) * _NEWTONS[unit]
    except (NumberError, KeyError):
        newtons = Fraction(0)
    if not newtons:
        raise JobError(f"{name}: cannot read {shorten(text)} as a load; write it like '6.5 kN' or '1400 lbf'")
    return float(newtons / 1000)


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
        if section not in _KEYS:
            raise JobError(f"{where(section, '')}: no such section; {_did_you_mean(section, _KEYS)}")
    given = {section: _read_section(section, tables.get(section, {}), where) for section in _KEYS}
    for section, key in _NEEDED:
        if key not in given[section]:
            raise JobError(f"{where(section, key)} is missing; write it like {_EXAMPLES[key]}")
    drawer = None
    if "drawer" in tables:
        drawer = Drawer.from_mapping(given["drawer"], name=where("drawer", ""))
    if {"grade", "clamp"} <= given["screw"].keys():
        raise JobError(f"{where('screw', 'clamp')}: the grade is given too; give the grade or the clamp load")
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
        noted=tuple(
            f"{section} {key}" for section, keys in _NOT_USED for key in keys if key in given[section]
        ),
    )
    for section, check in (("hole", surroundings), ("locate", wish)):
        try:
            check(job)
        except JobError as fault:
            raise JobError(f"{where(section, '')}: {fault}") from fault
    return job


def _lathe(given: dict[str, Any], where: Where) -> Lathe:
    kept = {("division_mm" if key == "division" else key): value for key, value in given.items()}
    try:
        return Lathe(**kept)
    except JobError as fault:
        raise JobError(f"{where('lathe', '')}: {fault}") from fault


def wish(job: Job) -> Wish:
    """Put together how the bush is to be located, driven and made.

    Parameters
    ----------
    job : Job
        What was asked for.

    Raises
    ------
    JobError
        If it contradicts itself.
    """
    return job.locate.wish(
        collar=job.bush.collar,
        counterbore_mm=job.hole.face_counterbore,
        counterbore_depth_mm=job.hole.counterbore_depth,
        driving=job.bush.driving,
        lathe=job.lathe,
        through=job.hole.through,
        edge_mm=surroundings(job).nearest_edge_mm,
        service_C=job.hole.temperature,
    )


def surroundings(job: Job) -> Surroundings:
    """Put the hole and what lies around it together.

    Parameters
    ----------
    job : Job
        What was asked for.

    Raises
    ------
    JobError
        If two sizes contradict each other.
    """
    hole, locate = job.hole, job.locate
    return Surroundings(
        depth_mm=hole.depth,
        through=hole.through,
        state=hole.state,
        bore_mm=hole.bore,
        floor_mm=hole.floor,
        boss_mm=job.parent.boss,
        edge_mm=hole.edge,
        next_hole_mm=hole.next_hole,
        beyond=hole.beyond,
        far_side=hole.far_side,
        counterbore_mm=locate.collar_mm or hole.face_counterbore,
        counterbore_depth_mm=hole.counterbore_depth,
        spigot_mm=locate.spigot_mm,
        spigot_length_mm=locate.spigot_length,
        mating_bore_mm=max(locate.bores, default=None),
        mating_thickness_mm=locate.mating_thickness,
        off_by_mm=hole.off_by,
        screw_length_mm=job.screw.length,
        temperature_C=hole.temperature,
    )


def _did_you_mean(word: str, known: Mapping[str, object]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"there is {', '.join(known)}"


def _read_section(section: str, table: object, where: Where) -> dict[str, Any]:
    if not isinstance(table, Mapping):
        raise JobError(f"{where(section, '')}: it is not a section; write [{section}] on a line of its own")
    known = _KEYS[section]
    for key in table:
        if key not in known:
            raise JobError(f"{where(section, key)}: no such key; {_did_you_mean(key, known)}")
    return {key: known[key](value, where(section, key)) for key, value in table.items()}


def _fastener(given: dict[str, Any], where: Where) -> Fastener:
    readings = {key: given[key] for key in _READING_KEYS if key in given}
    thread = given.get("designation")
    taken = [key for key in _READINGS if key in readings]
    if thread is not None and taken:
        raise JobError(
            f"{where('fastener', taken[0])}: the designation is given too; give the designation or readings"
        )
    if thread is None and not taken:
        raise JobError(
            f'{where("fastener", "")}: neither designation nor readings; write designation = "M8x1.25", or '
            'major = "7.9 mm" and pitch = "1.25 mm"'
        )
    kept = {key: given[key] for key in ("made_in", "year") if key in given}
    if thread is not None:
        return Fastener(thread=thread, **kept)
    try:
        return Fastener(readings=Readings(**readings), **kept)
    except ReadingError as fault:
        raise JobError(f"{where('fastener', '')}: {fault}") from fault


def plan_job(job: Job, *, drawer: Drawer | None = None, keep_refusal: bool = False) -> RepairPlan:
    """Go the whole way: identify if there are readings, recommend the bush, and work every route out.

    Parameters
    ----------
    job : Job
        What was asked for.
    drawer : Drawer, optional
        Used instead of the job's own.
    keep_refusal : bool
        Whether a bush that does not fit is kept as a refusal, beside the other routes, instead of raised.

    Returns
    -------
    RepairPlan

    Raises
    ------
    JobError
        If no bush fits.
    """
    from threadwright.priors import Origin, Prior
    from threadwright.ranking import identify
    from threadwright.repair.bush import recommend_bush
    from threadwright.repair.making import recommend_for, work_up
    from threadwright.repair.settle import plan_for_identification, plan_for_thread

    asked, held = wish(job), drawer or job.drawer
    recommended = partial(
        recommend_bush,
        parent=job.parent.material,
        boss_mm=job.parent.boss,
        edge_mm=job.hole.edge,
        bolt_grade=job.screw.grade,
        clamp_kN=job.screw.clamp,
        bush_material=job.bush.material,
        drawer=held,
        part=job.parent.part,
        next_hole_mm=job.hole.next_hole,
        floor_mm=job.hole.floor,
        beyond=job.hole.beyond,
        temperature_C=job.hole.temperature,
        collar_mm=collar_length(job),
        collar_diameter_mm=asked.collar_asked_mm,
        spigot_mm=job.locate.spigot_mm,
    )

    def work_out(thread: Thread) -> BushPlan:
        plan = recommend_for(recommended, thread, wish=asked, depth_mm=job.hole.depth)
        return work_up(plan, wish=asked, inner=thread, wires=() if held is None else held.wires)

    if job.fastener.thread is not None:
        thread = job.fastener.thread
        answer = plan_for_thread(thread, work_out, keep_refusal=keep_refusal)
    else:
        assert job.fastener.readings is not None
        prior = Prior(Origin(job.fastener.made_in, job.fastener.year))
        seen = identify(job.fastener.readings, top=20, prior=prior)
        answer = plan_for_identification(seen, work_out, keep_refusal=keep_refusal)
        thread = seen.candidates[0].thread
    return replace(answer, routes=_routes(job, thread, drawer)) if answer.plans else answer


def collar_length(job: Job) -> float | None:
    """Length of the collar that a job asks for; a spigot stands on one. None without. [mm]"""
    asked = wish(job)
    return asked.length_mm if asked.kind in ("collar", "stop collar") else None


def _routes(job: Job, thread: Thread, drawer: Drawer | None) -> tuple[Route, ...]:
    from threadwright.repair.bush import case_for
    from threadwright.repair.routes import work_out_routes

    hole = surroundings(job)
    case = case_for(
        thread,
        hole,
        parent=job.parent.material,
        bush_material=job.bush.material,
        bolt_grade=job.screw.grade,
        clamp_kN=job.screw.clamp,
    )
    return work_out_routes(case, hole, drawer=drawer or job.drawer, part=job.parent.part)
