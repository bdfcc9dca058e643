"""``threadwright scan``: measure a screw in a picture of its shadow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import file_names
from threadwright.cli.values import Number

if TYPE_CHECKING:
    from threadwright.ranking import Identification
    from threadwright.scan import ScanResult

__all__ = ["scan"]


@click.command(
    epilog="""\b
Lay the screw on the glass of a flatbed scanner, lid open in a dark room, or
photograph it against the light, square to its axis. Show ten threads or more.
The dpi alone leaves a doubt of 0.3 % in all sizes; a disc or square of known
size in the picture leaves less, given with its box in pixels:
  threadwright scan IMAGE --scale-object LENGTH --box X,Y,W,H

\b
Example:
  threadwright scan samples/scan-screw.png --dpi 1200 --identify
"""
)
@click.argument("image", metavar="IMAGE", shell_complete=file_names)
@click.option("--dpi", type=Number(1200), metavar="N", help="Pixels in an inch.")
@click.option("--scale-object", metavar="LENGTH", help="Width and height of an object in the picture.")
@click.option("--box", metavar="X,Y,W,H", help="Box round it: column, row, width and height in pixels.")
@click.option("--identify", "named", is_flag=True, help="Name the thread too.")
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def scan(
    *, image: str, dpi: float | None, scale_object: str | None, box: str | None, named: bool, as_json: bool
) -> int:
    """Measure the external thread in a picture of its shadow.

    IMAGE is a flatbed scan or a backlit photograph: PNG, JPEG, TIFF, BMP, GIF, WebP or PNM.
    """
    from threadwright.scan import parse_box
    from threadwright.scan import scan as measure

    result = measure(image, dpi=dpi, scale_object=scale_object, box=None if box is None else parse_box(box))
    answer = _identified(result) if named else None
    if as_json:
        _print_json(result, answer)
    else:
        _print_plain(result, answer)
    if answer is None:
        return DONE

    return NOT_ALL if answer.fits_nothing else DONE


def _identified(result: ScanResult) -> Identification:
    from threadwright.ranking import identify

    return identify(result.readings())


def _print_json(result: ScanResult, answer: Identification | None) -> None:
    from threadwright.cli.format import as_json

    found: dict[str, Any] = result.to_dict()
    if answer is not None:
        found["identification"] = answer.to_dict()
    click.echo(as_json(found))


def _print_plain(result: ScanResult, answer: Identification | None) -> None:
    from threadwright.cli.format import columns, heading, paragraph

    ground = "dark on light" if result.dark_on_light else "light on dark"
    click.echo(heading(paragraph(f"{result.threads} whole threads on each side, {ground}.")))
    head, *lines = columns([("size", "measured", "+-", ""), *_rows(result)], right=[1, 2])
    click.echo("\n".join([heading(head), *lines]))
    click.echo("+- is one standard uncertainty; twice that covers 95 %.")
    for note in result.notes:
        click.echo(paragraph(f"{note[:1].upper()}{note[1:]}."))
    if answer is not None:
        from threadwright.cli.identify_command import identification_lines

        click.echo("\n".join(["", *identification_lines(answer)]))


def _rows(result: ScanResult) -> list[tuple[str, ...]]:
    """Cells of each size: name, value, uncertainty, unit."""
    rows = [
        (label, f"{size.value:.4f}", f"{size.u:.4f}", "mm")
        for label, size in (
            ("pitch", result.pitch),
            ("major diameter", result.major),
            ("pitch diameter", result.pitch_diameter),
            ("minor diameter", result.minor),
        )
    ]
    rows += [
        (label, f"{size.value:.2f}", f"{size.u:.2f}", "deg")
        for label, size in (("first flank", result.flank_first), ("second flank", result.flank_second))
    ]
    return [*rows, ("taper", f"{result.taper.value:.4f}", f"{result.taper.u:.4f}", "of the length")]
