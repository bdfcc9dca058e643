"""``threadwright wires``: wires for one thread, and sizes over them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from threadwright.cli import DONE
from threadwright.cli.completion import file_names, thread_names
from threadwright.cli.values import OneOf

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.over_wires import ClassSizes, WireSheet

__all__ = ["wires"]


@click.command(
    epilog="""\b
A drawer is a TOML file: shanks = ["0.7 mm", "0.75 mm"], needles and wires
likewise. Shanks are taken at the size marked on them; measure them for less
doubt ("0.698 mm by micrometer").

\b
Example:
  threadwright wires "3/8-20 BSF" --wire "0.75 mm"
  threadwright wires M8 --owned "0.7 mm, 0.75 mm, 0.8 mm"
"""
)
@click.argument("designation", nargs=-1, required=True, shell_complete=thread_names)
@click.option("--wire", metavar="LENGTH", help="Wire to use  [default: the best owned, or the best size]")
@click.option("--owned", metavar="SIZES", help='Sizes at hand, parted by commas: "0.5 mm, 0.55 mm".')
@click.option(
    "--drawer",
    "drawer_path",
    metavar="FILE.toml",
    shell_complete=file_names,
    help="Sizes at hand, from a file.",
)
@click.option(
    "--unit", type=OneOf(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def wires(
    *,
    designation: tuple[str, ...],
    wire: str | None,
    owned: str | None,
    drawer_path: str | None,
    unit: LengthUnit,
    as_json: bool,
) -> int:
    """Best wire, allowed range and size over wires at the limits of each class; the best three owned."""
    from threadwright.cli import format
    from threadwright.over_wires import owned_wires, read_wire_drawer, wire_sheet
    from threadwright.quantities import length_mm
    from threadwright.tables.registry import find_thread

    thread = find_thread(" ".join(designation))
    at_hand = () if owned is None else owned_wires(owned)
    if drawer_path is not None:
        at_hand += read_wire_drawer(drawer_path)
    used = None if wire is None else length_mm(wire, name="wire")
    sheet = wire_sheet(thread, wire=used, owned=at_hand)
    click.echo(format.as_json(sheet.to_dict()) if as_json else "\n".join(_lines(sheet, unit)))
    return DONE


def _lines(sheet: WireSheet, unit: LengthUnit) -> list[str]:
    from threadwright.cli.format import columns, heading, length, paragraph, width

    rows: list[tuple[str, ...]] = [
        ("class", "pitch diameter", "over three wires", "under two wires", "over one wire"),
        _row("basic", sheet.basic, unit),
        *(_row(one.tolerance_class or "limits", one, unit) for one in sheet.classes),
    ]
    head, *lines = columns(rows, within=width())
    micro = 1000 if unit == "mm" else 1 / 25.4 * 1e6
    word = "um" if unit == "mm" else "millionths of an inch"
    said = [
        f"Best wire {length(sheet.best, unit)} {unit}; any from {length(sheet.least, unit)} to "
        f"{length(sheet.greatest, unit)} touches the flanks and stands proud of the crests.",
        f"Sizes below are for wires of {length(sheet.wire, unit)} {unit}; the slope of the thread, "
        f"{sheet.lead_correction * micro:.1f} {word}, is counted in them.",
    ]
    after = [
        f"Under {sheet.force:g} N, steel wires and flanks give way by {sheet.compression * micro:.0f} {word} "
        "(estimated), and the micrometer reads that much small: add it to the reading; it is not in the "
        "sizes.",
        "Two wires need square jaws: the size is between the anvils less both wires. One wire lies against "
        "the opposite crest: the sizes are for a screw of basic major diameter; with your own crest d, "
        "M = 2 x reading - d.",
    ]
    if sheet.thread.taper:
        after.append(
            "Taper thread: sizes are those at the gauge plane; the wires tilt with the taper, which is not "
            "counted."
        )
    hand = " LH" if sheet.thread.left_hand else ""
    title = heading(f"Wires for {sheet.thread.designation}{hand}, {sheet.thread.form.name}")
    sizes = ["", heading(head), *lines, *_owned(sheet, unit), ""]
    return [title, *map(paragraph, said), *sizes, *map(paragraph, after)]


def _row(name: str, one: ClassSizes, unit: LengthUnit) -> tuple[str, ...]:
    from threadwright.cli.format import length

    ranges = (one.pitch_diameter, one.three_wires, one.two_wires, one.one_wire)
    shown = ("-".join(dict.fromkeys(length(end, unit) for end in ends)) for ends in ranges)
    return (name, *shown)


def _owned(sheet: WireSheet, unit: LengthUnit) -> list[str]:
    """The best three owned, with the uncertainty that they bring."""
    from threadwright.cli.format import columns, heading, length, paragraph, width

    found: list[str] = []
    if sheet.owned:
        rows: list[tuple[str, ...]] = [
            ("owned", "known to", "doubt by the wire", "by the flanks", "in all, over three")
        ]
        for one in sheet.owned:
            sizes = (one.wire, one.u_wire, one.u_from_wire, one.u_from_flank, one.u_pitch_diameter)
            rows.append(tuple(length(size, unit) for size in sizes))
        head, *lines = columns(rows, within=width())
        found += ["", heading(head), *lines]
        found.append(
            paragraph(
                "Doubt: standard uncertainty of the pitch diameter, least first. Use wires of one size."
            )
        )
    if sheet.unfit:
        sizes_out = ", ".join(length(size, unit) for size in sheet.unfit)
        found += ["", paragraph(f"Owned, but outside the range: {sizes_out} {unit}.")]
    return found
