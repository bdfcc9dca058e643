"""``threadwright table``: the thread tables, to read or to export."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Literal

import click

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.tables.errors import ThreadwrightError
    from threadwright.tables.listing import Record, Selection

__all__ = ["table"]

Unit = Literal["mm", "in"]
SCHEMA_VERSION = 1
_LENGTHS = ("major", "pitch_diameter", "minor")
_UNIT_WORDS = {"mm": "mm", "in": "inches"}
_CHUNK = 4000  # lines written at once


@click.command(
    epilog="""\b
Example:
  threadwright table M8
  threadwright table BSF --unit mm
  threadwright table "3/8 BSF" "G 1/2" --csv
"""
)
@click.argument("names", nargs=-1, metavar="[NAME]...")
@click.option("--csv", "layout", flag_value="csv", help="Comma-separated values, one line for each value.")
@click.option("--json", "layout", flag_value="json", help="JSON.")
@click.option("--list", "only_list", is_flag=True, help="The series, with the number of threads in each.")
@click.option(
    "--unit", type=click.Choice(["mm", "in"]), help="Unit of all lengths  [default: the standard's own]"
)
def table(names: tuple[str, ...], layout: str | None, only_list: bool, unit: Unit | None) -> int:
    """Show thread tables: basic sizes and limits.

    NAME is a series, such as BSF, or a thread, such as M8x1.25 or "3/8 BSF". With no name, --csv and --json
    print everything, and plain output the list of series.
    """
    if only_list and names:
        raise click.UsageError("--list takes no names; leave one of them out", click.get_current_context())
    if only_list or not (names or layout):
        _print_list(layout)
    elif layout == "csv":
        _print_csv(_chosen(names), unit)
    elif layout == "json":
        _print_json(_chosen(names), unit)
    else:
        for number, selection in enumerate(_chosen(names)):
            click.echo("\n" if number else "", nl=False)
            _print_plain(selection, unit)
    return 0


def _chosen(names: tuple[str, ...]) -> tuple[Selection, ...]:
    """What the names mean; words of one designation may stand apart."""
    from threadwright.tables.errors import DesignationError, UnknownThreadError
    from threadwright.tables.listing import every_selection, select

    if not names:
        return every_selection()
    if len(names) == 1:
        return (select(names[0]),)
    try:
        return (select(" ".join(names)),)
    except (DesignationError, UnknownThreadError) as fault:
        return tuple(_each(names, fault))


def _each(names: tuple[str, ...], fault: ThreadwrightError) -> Iterator[Selection]:
    """Several names; ``fault`` is what is wrong with them as one, told if not even the first is a name."""
    from threadwright.tables.errors import DesignationError, UnknownThreadError
    from threadwright.tables.listing import select

    for number, name in enumerate(names):
        try:
            yield select(name)
        except (DesignationError, UnknownThreadError):
            if number == 0:
                raise fault from None
            raise


def _print_list(layout: str | None) -> None:
    from threadwright.cli.format import as_json, columns, heading, paragraph, width
    from threadwright.tables.listing import Count, counts

    rows = counts()
    if layout == "json":
        listed = [row._asdict() for row in rows]
        click.echo(as_json({"schema_version": SCHEMA_VERSION, "series": listed}))
    elif layout == "csv":
        _write([Count._fields, *rows])
    else:
        titles = ("series", "threads", "aliases", "unit", "name")
        head, *lines = columns([titles, *([*map(str, row)] for row in rows)], right=[1, 2], within=width())
        click.echo(heading(head))
        click.echo("\n".join(lines))
        threads, aliases = (sum(getattr(row, name) for row in rows) for name in ("threads", "aliases"))
        total = f"{len(rows)} series, {threads} threads; {aliases}"
        click.echo(paragraph(f"{total} of them are aliases, the same metal as a thread further up."))
        click.echo('Sizes: threadwright table BSF. One thread: threadwright table "3/8 BSF".')


def _print_csv(selections: tuple[Selection, ...], unit: Unit | None) -> None:
    from threadwright.tables.listing import Record, records

    _write([Record._fields])
    chunk: list[tuple[object, ...]] = []
    for record in records(selections, unit=unit):
        chunk.append(record)
        if len(chunk) == _CHUNK:
            _write(chunk)
            chunk.clear()
    _write(chunk)


def _write(rows: list[tuple[object, ...]]) -> None:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    click.echo(text.getvalue(), nl=False)


def _print_json(selections: tuple[Selection, ...], unit: Unit | None) -> None:
    from threadwright.cli.format import as_json
    from threadwright.tables.listing import describe

    threads = [describe(one, row, unit=unit) for one in selections for row in one.rows]
    click.echo(as_json({"schema_version": SCHEMA_VERSION, "threads": threads}))


def _print_plain(selection: Selection, unit: Unit | None) -> None:
    if len(selection.rows) == 1:
        _print_thread(selection, unit)
    else:
        _print_series(selection, unit)


def _print_series(selection: Selection, unit: Unit | None) -> None:
    from threadwright.cli.format import columns, heading, paragraph, width
    from threadwright.tables.registry import system

    entry = system(selection.symbol)
    click.echo(
        heading(
            f"{entry.title} ({entry.symbol}), {len(selection.rows)} threads, "
            f"basic sizes in {_UNIT_WORDS[unit or entry.unit]}"
        )
    )
    rows: list[tuple[str, ...]] = [("thread", "major", "pitch", "tpi", "pitch dia.", "minor")]
    rows += [_basic_row(selection, row, unit) for row in selection.rows]
    if not any(row[3] for row in rows[1:]):
        rows = [(*row[:3], *row[4:]) for row in rows]
    head, *lines = columns(rows, right=range(1, 6), within=width())
    click.echo("\n".join([heading(head), *lines]))
    click.echo(paragraph(f"Source: {entry.source.document}."))
    click.echo(paragraph(f"In use: {entry.used}"))


def _basic_row(selection: Selection, row: int, unit: Unit | None) -> tuple[str, ...]:
    from threadwright.tables.listing import records

    one = [r for r in records([selection._replace(rows=(row,))], unit=unit) if r.side == "basic"]
    value = {record.quantity: record.value for record in one}
    wanted = ("major_basic", "pitch", "tpi", "pitch_diameter_basic", "minor_basic")
    return (one[0].designation, *(_cut(value.get(name, "")) for name in wanted))


def _cut(number: str) -> str:
    """A number at no more than five decimals, for reading."""
    from threadwright.tables.numbers import format_decimal

    return format_decimal(float(number), 5) if number else ""


def _print_thread(selection: Selection, unit: Unit | None) -> None:
    from threadwright.cli.format import columns, heading, paragraph, width
    from threadwright.tables.listing import records
    from threadwright.tables.registry import system

    entry, one = system(selection.symbol), list(records([selection], unit=unit))
    value = {record.quantity: record.value for record in one if record.side == "basic"}
    named = unit or entry.unit
    click.echo(heading(f"{one[0].designation}  {entry.title}, {_flanks(value)}"))
    pitch = f"pitch {_cut(value['pitch'])} {named}" + (f" ({value['tpi']} tpi)" if "tpi" in value else "")
    if value["starts"] != "1":
        lead = _cut(str(float(value["starts"]) * float(value["pitch"])))
        pitch += f", {value['starts']} starts, lead {lead} {named}"
    basic = ", ".join(f"{name.replace('_', ' ')} {_cut(value[f'{name}_basic'])}" for name in _LENGTHS)
    click.echo(paragraph(f"{pitch}; basic sizes: {basic} {named}"))
    if entry.taper:
        gauge = value.get("gauge_length")
        where = f", {_cut(gauge)} {named} from the small end" if gauge else ""
        click.echo(paragraph(f"taper 1 in {1 / entry.taper}; sizes at the gauge plane{where}"))
    head, *lines = columns(_limit_rows(one), within=width())
    click.echo(paragraph(f"Limits in {_UNIT_WORDS[named]}, least to greatest:"))
    click.echo("\n".join([heading(head), *lines]))
    click.echo(paragraph(f"Source: {entry.source.document}."))


def _flanks(value: dict[str, str]) -> str:
    """The flank angle in words, or both of an asymmetric form."""
    if "flank_angle" in value:
        return f"flank angle {value['flank_angle']} deg"
    return f"flanks {value['flank_angle_load']} deg (load) and {value['flank_angle_clear']} deg (clear)"


def _limit_rows(one: list[Record]) -> list[tuple[str, ...]]:
    """One row for each side and class, all numbers at the same decimals."""
    limits: dict[tuple[str, str], list[Record]] = {}
    for record in one:
        if record.side != "basic":
            limits.setdefault((record.side, record.tolerance_class), []).append(record)
    places = max((len(record.value.partition(".")[2]) for record in one if record.side != "basic"), default=0)
    rows: list[tuple[str, ...]] = [("side", "class", "major", "pitch diameter", "minor", "basis")]
    for key, group in limits.items():
        found = {record.quantity: record.value for record in group}
        ranges = (_range(found, name, min(places, 5)) for name in _LENGTHS)
        rows.append((*key, *ranges, ", ".join(dict.fromkeys(record.basis for record in group))))
    return rows


def _range(found: dict[str, str], name: str, places: int) -> str:
    """Least to greatest, or the one limit that the standard gives."""
    ends = [found.get(f"{name}_{end}") for end in ("min", "max")]
    least, most = (None if text is None else f"{float(text):.{places}f}" for text in ends)
    if least and most:
        return f"{least}-{most}"
    return f"from {least}" if least else f"to {most}" if most else "-"
