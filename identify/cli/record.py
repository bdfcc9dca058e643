"""``threadwright record``: the thread schedule of one machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from threadwright.cli import DONE

if TYPE_CHECKING:
    from threadwright.machine import ScheduleLine
    from threadwright.record import Machine, Record

__all__ = ["record"]

SCHEMA_VERSION = 1


@click.command(
    epilog="""\b
FILE.toml is written by identify --record FILE.toml --place TEXT --save, and
may be edited: each [[fastener]] has place and thread, and may have class,
probability, readings, date and notes; [machine] has name, made_in and year.

\b
Example:
  threadwright record samples/milk-separator-record.toml
"""
)
@click.argument("path", metavar="FILE.toml")
@click.option("--json", "as_json", is_flag=True, help="JSON.")
def record(path: str, as_json: bool) -> int:
    """Show the threads found on one machine, one line for each place."""
    from threadwright.cli import format
    from threadwright.machine import schedule
    from threadwright.record import read_record

    held = read_record(path)
    lines = schedule(held)
    if as_json:
        click.echo(format.as_json(_plain(held, lines)))
    else:
        click.echo("\n".join(_schedule(held, lines)))
    return DONE


def _plain(held: Record, lines: tuple[ScheduleLine, ...]) -> dict[str, object]:
    machine = held.machine
    return {
        "schema_version": SCHEMA_VERSION,
        "machine": {"name": machine.name, "made_in": machine.made_in, "year": machine.year},
        "fasteners": [line.to_dict() for line in lines],
    }


def _title(machine: Machine) -> str:
    made = ", ".join(str(part) for part in (machine.made_in, machine.year) if part is not None)
    return f"{machine.name or 'A machine without a name'}{made and f' ({made})'}"


def _schedule(held: Record, lines: tuple[ScheduleLine, ...]) -> list[str]:
    """The schedule as a person reads it; a column in which nothing stands is left out."""
    from threadwright.cli.format import columns, heading, paragraph, share, width

    title = heading(_title(held.machine))
    if not lines:
        return [title, "No fastener yet; add one with identify --record FILE.toml --place TEXT --save."]
    beside = tuple(dict.fromkeys(name for line in lines for name in line.beside))
    rows = [("place", "thread", "class", "probability", *beside, "notes")]
    for line in lines:
        sure = share(line.probability) if line.settled else f"{share(line.probability)} NOT SETTLED"
        cells = (line.beside.get(name, "") for name in beside)
        rows.append((line.place, line.thread, line.tolerance_class or "", sure, *cells, line.notes or ""))
    kept = [column for column in zip(*rows, strict=True) if any(column[1:])]
    head, *body = columns(list(zip(*kept, strict=True)), indent=0, within=width())
    open_ones = any(not line.settled for line in lines)
    warning = paragraph("NOT SETTLED: measure again before anything is cut to that thread.")
    return [title, heading(head), *body, *([warning] if open_ones else [])]
