"""``threadwright mate``: will this screw enter that hole, and what must not go into it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from threadwright.cli import DONE
from threadwright.cli.completion import single_words
from threadwright.cli.values import OneOf, Whole

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.dangers import LookAlike
    from threadwright.mating import Case, Mating
    from threadwright.readings import Readings
    from threadwright.tables.thread import Thread

__all__ = ["danger_lines", "mate"]

_READ = {
    "screw": ("major", "pitch_diameter", "over_wires", "wire", "minor", "pitch", "flank_angle"),
    "hole": ("major", "pitch_diameter", "minor", "pitch", "flank_angle"),
}
_SHORT = {"as read, tight end": "read, tight", "as read, loose end": "read, loose"}
_WIDTH = 80


@click.command(
    epilog="""\b
Never force a screw to test a hole; taps are not gauges.

\b
Example:
  threadwright mate "1/2-12 BSW" "1/2-13 UNC"
  threadwright mate "2 BA" M5 --screw-major "4.62 mm" --hole-minor "4.2 mm"
  threadwright mate M6 --dangers
"""
)
@click.argument("names", nargs=-1, metavar="SCREW HOLE", shell_complete=single_words)
@click.option("--dangers", is_flag=True, help="Every thread that starts by hand and then binds or strips.")
@click.option("--top", type=Whole(5), metavar="N", help="Most dangers to list for each side  [default: all]")
@click.option("--screw-major", metavar="LENGTH", help="Read on the screw.")
@click.option("--screw-pitch-diameter", metavar="LENGTH", help="Read on the screw.")
@click.option(
    "--screw-over-wires", metavar="LENGTH", help="Over three wires on the screw; needs --screw-wire."
)
@click.option("--screw-wire", metavar="LENGTH", help="Diameter of those wires.")
@click.option("--screw-minor", metavar="LENGTH", help="Read on the screw.")
@click.option("--screw-pitch", metavar="PITCH", help='Read on the screw, "10 pitches over 12.7 mm".')
@click.option("--screw-flank-angle", metavar="ANGLE", help="One flank of the screw.")
@click.option("--hole-major", metavar="LENGTH", help="Read in the hole, or on a cast of it.")
@click.option("--hole-pitch-diameter", metavar="LENGTH", help="Read in the hole.")
@click.option("--hole-minor", metavar="LENGTH", help='Read in the hole; by plugs "4.2..4.3 mm".')
@click.option("--hole-pitch", metavar="PITCH", help="Read in the hole.")
@click.option("--hole-flank-angle", metavar="ANGLE", help="One flank of the hole, on a cast.")
@click.option("--length", metavar="LENGTH", help="Length engaged  [default: one diameter of the screw]")
@click.option(
    "--unit", type=OneOf(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def mate(
    *,
    names: tuple[str, ...],
    dangers: bool,
    top: int | None,
    length: str | None,
    unit: LengthUnit,
    as_json: bool,
    **given: str | None,
) -> int:
    """Will this screw enter that hole: turns before it binds, overlap, strength left. First the screw.

    With --dangers, one thread: what starts by hand in its hole or on its screw, and must not go there.
    """
    if dangers:
        return _dangers(names, top, as_json=as_json, other=[length, *given.values()])
    from threadwright.cli import format
    from threadwright.mating import mate as put_together
    from threadwright.quantities import length_mm
    from threadwright.tables.registry import find_thread_and_class

    if len(names) != 2 or top is not None:
        wrong = f"{len(names)} thread{'' if len(names) == 1 else 's'} named" if top is None else "--top given"
        raise click.UsageError(
            f'{wrong}; name the screw, then the hole, like "2 BA" M5, or one thread and --dangers',
            click.get_current_context(),
        )
    (screw, screw_class), (hole, hole_class) = map(find_thread_and_class, names)
    answer = put_together(
        screw,
        hole,
        screw_class=screw_class,
        hole_class=hole_class,
        screw_readings=_readings("screw", "external", given),
        hole_readings=_readings("hole", "internal", given),
        length=None if length is None else length_mm(length, name="length engaged"),
    )
    click.echo(format.as_json(answer.to_dict()) if as_json else "\n".join(_lines(answer, unit)))
    return DONE


def _readings(part: str, side: str, given: dict[str, Any]) -> Readings | None:
    """Readings of one part, if there are any."""
    from threadwright.readings import Readings
    from threadwright.tables.errors import ReadingError

    read = {name: given[f"{part}_{name}"] for name in _READ[part]}
    if all(value is None for value in read.values()):
        return None
    try:
        return Readings(side=side, **read)
    except ReadingError as fault:
        raise ReadingError(f"{part}, {fault}") from None


def _lines(answer: Mating, unit: LengthUnit) -> list[str]:
    from threadwright.cli.format import columns, heading, paragraph, width
    from threadwright.mating import WARNING

    rows: list[tuple[str, ...]] = [
        ("sizes", "outcome", "flank room", "turns", "overlap", "strength"),
        *(_row(case, unit) for case in answer.cases),
    ]
    head, *lines = columns(rows, within=width())
    read = len(rows) > 4
    said = [
        f"Over {_length(answer.length, unit)} {unit} engaged. Flank room: clearance on the pitch diameter "
        f"less what unlike flank angles take up, in {unit}. Turns: by hand before it binds, of a rigid pair, "
        "and one more for chamfer and burrs (common practice, no source). Overlap: of the hole's basic "
        "depth. Strength: what is left of that of the proper pair at the same limits.",
        *(["What was not read counts at its basic size; the ends lie 2 standard uncertainties off."] * read),
        *answer.notes,
        WARNING,
    ]
    return [heading(paragraph(answer.sentence())), "", heading(head), *lines, "", *map(paragraph, said)]


def _row(case: Case, unit: LengthUnit) -> tuple[str, ...]:
    room = case.clearance - case.flank_mismatch
    caught = case.outcome in ("binds", "wedges", "strips", "runs")
    turns = "no limit" if math.isinf(case.turns) else f"about {case.turns:.1f}"
    return (
        _SHORT.get(case.sizes, case.sizes),
        case.outcome,
        _length(room, unit),
        turns if caught else "-",
        f"{100 * case.overlap_share:.0f} %",
        f"{100 * case.strength_left:.0f} %" if caught else "-",
    )


def _length(value: float, unit: LengthUnit) -> str:
    from threadwright.cli.format import length

    return length(value, unit)


def _dangers(names: tuple[str, ...], top: int | None, *, as_json: bool, other: list[str | None]) -> int:
    from threadwright.cli import format
    from threadwright.dangers import look_alikes
    from threadwright.mating import WARNING
    from threadwright.tables.registry import find_thread

    if not names or any(value is not None for value in other):
        raise click.UsageError(
            "--dangers takes one thread and no readings, like threadwright mate M6 --dangers",
            click.get_current_context(),
        )
    thread = find_thread(" ".join(names))
    screws = look_alikes(thread, "internal", top=top) if "internal" in thread.sides else ()
    holes = look_alikes(thread, "external", top=top) if "external" in thread.sides else ()
    if as_json:
        plain = {"screws": [one.to_dict() for one in screws], "holes": [one.to_dict() for one in holes]}
        answer = {"schema_version": 1, "thread": thread.designation, **plain, "warning": WARNING}
        click.echo(format.as_json(answer))
        return DONE
    lines = []
    if "internal" in thread.sides:
        lines += [*danger_lines(thread, screws, "screws that must not go into"), ""]
    if "external" in thread.sides:
        lines += [*danger_lines(thread, holes, "holes that must not take"), ""]
    order = (
        "Worst first: how usual the other thread is, times how far it runs in by hand, how deep the threads "
        "meet and the strength that is lost; a rigid pair at basic sizes or at the loosest limits, one "
        "diameter engaged."
    )
    click.echo("\n".join([*lines, format.paragraph(order), WARNING]))
    return DONE


def danger_lines(thread: Thread, found: tuple[LookAlike, ...], what: str) -> list[str]:
    """One side's look-alikes as a table, worst first."""
    from threadwright.cli.format import columns, heading, width

    part = "hole" if what.startswith("screws") else "screw"
    if not found:
        return [heading(f"The tables hold no {what} the {thread.designation} {part}.")]
    rows: list[tuple[str, ...]] = [("thread", "by hand", "at", "overlap")]
    rows += [(one.designation, one.words(), one.sizes, f"{100 * one.overlap_share:.0f} %") for one in found]
    room = _WIDTH - 4 - sum(2 + max(map(len, column)) for column in zip(*rows, strict=True))
    also = ["also called", *(_fitting(one.also, room) for one in found)]
    head, *lines = columns([(*row, name) for row, name in zip(rows, also, strict=True)], within=width())
    title = f"{what[0].upper()}{what[1:]} the {thread.designation} {part}:"
    return [heading(title), heading(head), *lines]


def _fitting(names: tuple[str, ...], room: int) -> str:
    """As many names as there is room for; JSON has them all."""
    for number in range(len(names), 0, -1):
        text = ", ".join([*names[:number], *(["..."] if number < len(names) else [])])
        if len(text) <= room:
            return text
    return "..." if names else ""
