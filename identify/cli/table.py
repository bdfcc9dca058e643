"""``threadwright table``: the thread tables, to read or to export."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Literal

import click

from threadwright.cli.completion import thread_names
from threadwright.cli.values import OneOf

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from threadwright.card import Card
    from threadwright.tables.errors import ThreadwrightError
    from threadwright.tables.listing import Record, Selection

__all__ = ["table", "write_csv"]

Unit = Literal["mm", "in"]
SCHEMA_VERSION = 1
_UNIT_WORDS = {"mm": "mm", "in": "inches"}
_CHUNK = 4000  # lines written at once


@click.command(
    epilog="""\b
Example:
  threadwright table M8
  threadwright table BSF --unit mm
  threadwright table "3/8 BSF" "G 1/2" --csv
  threadwright table --around "9.5 mm" --within "0.1 mm"
"""
)
@click.argument("names", nargs=-1, metavar="[NAME]...", shell_complete=thread_names)
@click.option(
    "--csv", "as_csv", is_flag=True, help="Comma-separated values; of threads one line for each value."
)
@click.option("--json", "as_json", is_flag=True, help="JSON.")
@click.option("--list", "only_list", is_flag=True, help="The series, with the number of threads in each.")
@click.option(
    "--around",
    "size",
    metavar="LENGTH",
    help="Every thread of any system whose major diameter is near LENGTH, sorted by it.",
)
@click.option(
    "--within", metavar="LENGTH", help="How near for --around  [default: 2.5 % of it, at least 0.1 mm]"
)
@click.option(
    "--unit",
    type=OneOf(["mm", "in"]),
    help="Unit of all lengths  [default: the standard's own; for --around that of its LENGTH]",
)
def table(
    *,
    names: tuple[str, ...],
    as_csv: bool,
    as_json: bool,
    only_list: bool,
    size: str | None,
    within: str | None,
    unit: Unit | None,
) -> int:
    """Show thread tables: series, the card of one thread, or all threads near a size.

    NAME is a series, such as BSF, or a thread, such as M8x1.25 or "3/8 BSF". A series is shown as its basic
    sizes. A thread is shown as its card: form, sizes, limits, drills, wires, hexagons, stress area, use and
    look-alikes, each with its basis. With no name, --csv and --json print everything, and plain output the
    list of series.
    """
    layout = _layout(as_csv=as_csv, as_json=as_json)
    _check(names, only_list=only_list, size=size, within=within)
    if size is not None:
        from threadwright.cli.around import print_around

        return print_around(size, within, layout=layout, unit=unit)
    if only_list or not (names or layout):
        _print_list(layout)
    elif layout == "csv":
        _print_csv(_chosen(names), unit, cards=bool(names))
    elif layout == "json":
        _print_json(_chosen(names), unit, cards=bool(names))
    else:
        for number, selection in enumerate(_chosen(names)):
            click.echo("\n" if number else "", nl=False)
            _print_plain(selection, unit)
    return 0


def _layout(*, as_csv: bool, as_json: bool) -> str | None:
    """What the output is written as; None for plain text."""
    if as_csv and as_json:
        raise click.UsageError(
            "--csv and --json are two forms of one answer; leave one of them out", click.get_current_context()
        )
    return "csv" if as_csv else "json" if as_json else None


def _check(names: tuple[str, ...], *, only_list: bool, size: str | None, within: str | None) -> None:
    """Refuse what does not go together."""
    context = click.get_current_context()
    if only_list and (names or size is not None):
        extra = "names" if names else "--around"
        raise click.UsageError(f"--list takes no {extra}; leave one of them out", context)
    if size is not None and names:
        raise click.UsageError(
            f"--around takes no names, but {names[0][:40]!r} was given; leave one of them out, and write the "
            'size with its unit in quotes, like "9.5 mm"',
            context,
        )
    if within is not None and size is None:
        raise click.UsageError('--within needs --around; add a size, like --around "9.5 mm"', context)


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
        write_csv([Count._fields, *rows])
    else:
        titles = ("series", "threads", "aliases", "unit", "name")
        head, *lines = columns([titles, *([*map(str, row)] for row in rows)], right=[1, 2], within=width())
        click.echo(heading(head))
        click.echo("\n".join(lines))
        threads, aliases = (sum(getattr(row, name) for row in rows) for name in ("threads", "aliases"))
        total = f"{len(rows)} series, {threads} threads; {aliases}"
        click.echo(paragraph(f"{total} of them are aliases, the same metal as a thread further up."))
        click.echo('Sizes: threadwright table BSF. One thread: threadwright table "3/8 BSF".')


def _print_csv(selections: tuple[Selection, ...], unit: Unit | None, *, cards: bool) -> None:
    from threadwright.tables.listing import Record

    write_csv([Record._fields])
    chunk: list[Record] = []
    for record in _records(selections, unit, cards=cards):
        chunk.append(record)
        if len(chunk) == _CHUNK:
            write_csv(chunk)
            chunk.clear()
    write_csv(chunk)


def _records(selections: tuple[Selection, ...], unit: Unit | None, *, cards: bool) -> Iterator[Record]:
    """Sizes and limits, and with ``cards`` what is on the card of a thread that stands alone."""
    from threadwright.tables.listing import records

    for selection in selections:
        yield from records([selection], unit=unit)
        if cards and len(selection.rows) == 1:
            from threadwright.card_facts import card_records

            yield from card_records(_card(selection), _unit_of(selection, unit))


def write_csv(rows: Sequence[Sequence[object]]) -> None:
    """Write rows as comma-separated values."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    click.echo(text.getvalue(), nl=False)


def _print_json(selections: tuple[Selection, ...], unit: Unit | None, *, cards: bool) -> None:
    from threadwright.cli.format import as_json
    from threadwright.tables.listing import describe

    threads = []
    for one in selections:
        threads += [describe(one, row, unit=unit) for row in one.rows]
        if cards and len(one.rows) == 1:
            from threadwright.card_facts import card_dict

            threads[-1]["card"] = card_dict(_card(one), _unit_of(one, unit))
    click.echo(as_json({"schema_version": SCHEMA_VERSION, "threads": threads}))


def _unit_of(selection: Selection, unit: Unit | None) -> Unit:
    """The unit asked for, or that of the standard."""
    return unit or selection.table.system.unit


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
    from threadwright.cli.card import cut
    from threadwright.tables.listing import records

    one = [r for r in records([selection._replace(rows=(row,))], unit=unit) if r.side == "basic"]
    value = {record.quantity: record.value for record in one}
    wanted = ("major_basic", "pitch", "tpi", "pitch_diameter_basic", "minor_basic")
    return (one[0].designation, *(cut(value.get(name, "")) for name in wanted))


def _print_thread(selection: Selection, unit: Unit | None) -> None:
    from threadwright.cli.card import card_lines
    from threadwright.tables.listing import records

    lines = card_lines(_card(selection), list(records([selection], unit=unit)), _unit_of(selection, unit))
    click.echo("\n".join(lines))


def _card(selection: Selection) -> Card:
    from dataclasses import replace

    from threadwright.card import thread_card

    thread = replace(selection.table.thread(selection.rows[0]), left_hand=selection.left_hand)
    return thread_card(thread, selection.tolerance_class)
