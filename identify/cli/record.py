"""``threadwright record``: the thread schedule of one machine."""

from __future__ import annotations

import csv
import io
import textwrap
from itertools import islice
from typing import TYPE_CHECKING

import click

from threadwright.cli import DONE
from threadwright.cli.completion import file_names

if TYPE_CHECKING:
    from threadwright.record import Machine, Record
    from threadwright.schedule import ScheduleLine

__all__ = ["record"]

SCHEMA_VERSION = 2
_WIDTH = 80
_LEAST_PLACE = 12  # characters of a place on one line
_MOST_SPANNERS = 2  # named in one line
_HEADINGS = ("place", "thread", "spanner", "drill", "depth", "N m", "look-alike")
_RECALLED = "*"
_CSV = (
    *("place", "thread", "class", "probability", "settled", "spanner", "spanner_basis"),
    *("tapping_hole_min_mm", "tapping_hole_max_mm", "drill", "drill_mm", "engagement"),
    *("torque_dry_Nm", "look_alike", "look_alike_does", "notes"),
)


@click.command(
    epilog="""\b
FILE.toml is written by identify --record FILE.toml --place TEXT --save, and
may be edited: each [[fastener]] has place and thread, and may have class,
probability, readings, date and notes; [machine] has name, made_in and year.
A guided session that is not finished stands under [[session]].

\b
Example:
  threadwright record samples/milk-separator-record.toml
"""
)
@click.argument("path", metavar="FILE.toml", shell_complete=file_names)
@click.option("--csv", "layout", flag_value="csv", help="Comma-separated values, one line for each place.")
@click.option("--json", "layout", flag_value="json", help="JSON, lengths in mm.")
def record(path: str, layout: str | None) -> int:
    """Show a machine's thread schedule: thread, spanner, tapping drill, torque and look-alike of each place.

    Spanners are those of the machine's country and time. Torques are for unmarked steel screws, dry.
    """
    from threadwright.cli import format
    from threadwright.record import read_record
    from threadwright.schedule import schedule

    held = read_record(path)
    lines = schedule(held)
    if layout == "json":
        click.echo(format.as_json(_plain(held, lines)))
    elif layout == "csv":
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows([_CSV, *(_csv_row(line) for line in lines)])
        click.echo(text.getvalue(), nl=False)
    else:
        click.echo("\n".join(_schedule(held, lines)))
    return DONE


def _plain(held: Record, lines: tuple[ScheduleLine, ...]) -> dict[str, object]:
    machine = held.machine
    return {
        "schema_version": SCHEMA_VERSION,
        "machine": {"name": machine.name, "made_in": machine.made_in, "year": machine.year},
        "fasteners": [line.to_dict() for line in lines],
        "not_finished": [
            {"place": one.place, "answers": [{"ask": each.ask, "say": each.say} for each in one.answers]}
            for one in held.sessions
        ],
    }


def _csv_row(line: ScheduleLine) -> list[object]:
    """What a spreadsheet takes: the first spanner, drill and look-alike; empty where there is none."""
    hole = ("", "") if line.tapping_hole is None else (round(end, 4) for end in line.tapping_hole)
    drill = line.drills[0] if line.drills else None
    worst = line.beware[0] if line.beware else None
    return [
        line.place,
        line.thread,
        line.tolerance_class or "",
        line.probability,
        "yes" if line.settled else "no",
        " or ".join(dict.fromkeys(one.spanner for one in line.spanners)),
        " or ".join(dict.fromkeys(one.basis for one in line.spanners)),
        *hole,
        drill.drill.name if drill else "",
        drill.drill.diameter if drill else "",
        round(drill.engagement.basic, 3) if drill else "",
        round(line.torque.dry_Nm, 2) if line.torque else "",
        worst.designation if worst else "",
        worst.words() if worst else "",
        line.notes or "",
    ]


def _title(machine: Machine) -> str:
    made = ", ".join(str(part) for part in (machine.made_in, machine.year) if part is not None)
    return f"{machine.name or 'A machine without a name'}{made and f' ({made})'}"


def _schedule(held: Record, lines: tuple[ScheduleLine, ...]) -> list[str]:
    """The schedule as a person reads it; a column in which nothing stands is left out."""
    from threadwright.cli.format import columns, heading, paragraph

    title = heading(_title(held.machine))
    if not lines and not held.sessions:
        return [title, "No fastener yet; add one with identify --record FILE.toml --place TEXT --save."]
    open_ones = [paragraph(f"{one.place}: {_not_finished(len(one.answers))}") for one in held.sessions]
    if not lines:
        return [title, *open_ones]
    rows = [_HEADINGS, *(_row(line) for line in lines)]
    kept = [column for column in zip(*rows, strict=True) if any(column[1:])]
    room = _WIDTH - sum(2 + max(map(len, column)) for column in kept[1:])
    places = [textwrap.wrap(text, max(room, _LEAST_PLACE)) for text in kept[0]]
    rest = list(zip(*kept[1:], strict=True))
    folded = [(place[0], *cells) for place, cells in zip(places, rest, strict=True)]
    more = [[(text, *("" for _ in rest[0])) for text in place[1:]] for place in places]
    flat = [row for first, others in zip(folded, more, strict=True) for row in (first, *others)]
    body = iter(columns(flat, indent=0))
    found = [title, heading(next(body))]
    for line, others in zip(lines, more[1:], strict=True):
        found += islice(body, 1 + len(others))
        found += [paragraph(text, first="    ") for text in _below(line)]
    return [*found, *open_ones, *map(paragraph, _foot(lines, {column[0] for column in kept}))]


def _not_finished(count: int) -> str:
    """What is held of a guided session."""
    return f"not finished; {count} answer{'' if count == 1 else 's'} kept, and guide goes on with it"


def _row(line: ScheduleLine) -> tuple[str, ...]:
    """One fastener in one line."""
    drill = line.drills[0] if line.drills else None
    return (
        line.place,
        " ".join(filter(None, (line.thread, line.tolerance_class))),
        _spanner(line),
        drill.drill.name if drill else "",
        f"{100 * drill.engagement.basic:.0f} %" if drill else "",
        _newton_metres(line.torque.dry_Nm) if line.torque else "",
        line.beware[0].designation if line.beware else "",
    )


def _spanner(line: ScheduleLine) -> str:
    """The likeliest spanners, each by its first name; a star where one is not from a printed table."""
    names = list(dict.fromkeys(one.spanner.partition(" = ")[0] for one in line.spanners))
    shown = " or ".join(names[:_MOST_SPANNERS])
    recalled = any(
        one.basis != "table"
        for one in line.spanners
        if one.spanner.partition(" = ")[0] in names[:_MOST_SPANNERS]
    )
    return f"{shown}{' ...' if len(names) > _MOST_SPANNERS else ''}{_RECALLED if recalled else ''}"


def _newton_metres(torque: float) -> str:
    """Two figures, which is more than a torque is good for."""
    return f"{torque:.2g}" if torque < 100 else f"{torque:.0f}"


def _below(line: ScheduleLine) -> list[str]:
    """What stands under a line: that it is not settled, and its notes."""
    from threadwright.cli.format import share

    found = []
    if not line.settled:
        found.append(
            f"NOT SETTLED, probability {share(line.probability)}: measure again before anything is cut to it."
        )
    return [*found, line.notes] if line.notes else found


def _foot(lines: tuple[ScheduleLine, ...], shown: set[str]) -> list[str]:
    """What the columns mean and what was assumed."""
    from threadwright import judgement

    found = []
    if "spanner" in shown:
        recalled = any(_spanner(line).endswith(_RECALLED) for line in lines)
        star = f"; {_RECALLED} from memory or computed, not from a printed table" if recalled else ""
        found.append(f"Spanner: of the hexagon usual there and then, if it has one{star}.")
    if "drill" in shown:
        found.append(
            "Drill: for the hole, and the share of the basic depth of thread that it leaves; 80 % is common "
            "practice, no source."
        )
    if "N m" in shown:
        found.append(
            f"N m: at most, dry, for an unmarked steel screw (26 tonf/in2, from memory) clamped at "
            f"{judgement.CLAMP_SHARE:g} of its breaking load, T = {judgement.TORQUE_FACTORS[0]:g} d F; "
            f"brass, or a hole in soft metal, holds less. Scatter {judgement.TORQUE_SCATTER_PERCENT} %."
        )
    if "look-alike" in shown:
        found.append(
            "Look-alike: the worst screw that starts in the hole by hand and then binds or strips; never "
            "force one. More: threadwright mate THREAD --dangers."
        )
    return found
