"""``threadwright batch``: name every thread of a CSV table."""

from __future__ import annotations

import sys
from typing import Final

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import file_names
from threadwright.cli.values import Whole

__all__ = ["batch"]

SCHEMA_VERSION: Final = 1
_WIPE: Final = "\r" + " " * 20 + "\r"


@click.command(
    epilog="""\b
IN.csv has a header with the column id and at least one reading: major, pitch,
over_wires, wire, pitch_diameter, minor, flank_angle; also side (external,
internal) and condition (good, worn, stripped, plated). The unit stands in the
header, major [mm], or in each cell. OUT.csv has one row for each row of
IN.csv, in its order; a row that cannot be read says why.

\b
Example:
  threadwright batch samples/mixed-fasteners.csv -o named.csv
"""
)
@click.argument("in_path", metavar="IN.csv", shell_complete=file_names)
@click.option("-o", "--output", "out_path", required=True, metavar="OUT.csv", help="Table to write.")
@click.option(
    "--top", type=Whole(3), default=3, show_default=True, metavar="K", help="Candidates for each row."
)
@click.option("--json", "as_json", is_flag=True, help="How many rows were read and failed, as JSON.")
def batch(in_path: str, out_path: str, top: int, as_json: bool) -> int:
    """Name every thread of a CSV table."""
    from threadwright.batch import run_batch
    from threadwright.batch_csv import MOST_IDS

    shown = sys.stderr.isatty()
    try:
        report = run_batch(in_path, out_path, top=top, progress=_progress if shown else None)
    finally:
        if shown:
            click.echo(_WIPE, err=True, nl=False)
    if as_json:
        from threadwright.cli import format

        counted = {"rows": report.rows, "failed": report.faults, "ids_unchecked": report.ids_unchecked}
        click.echo(format.as_json({"schema_version": SCHEMA_VERSION, "path": out_path, **counted}))
    if report.ids_unchecked:
        click.echo(
            f"threadwright: ids are looked at for doubles up to {MOST_IDS:,} rows; those of the last "
            f"{report.ids_unchecked:,} were not",
            err=True,
        )
    if report.faults:
        click.echo(
            f"threadwright: {report.faults} of {report.rows} rows failed; see their messages", err=True
        )
    return NOT_ALL if report.faults else DONE


def _progress(rows: int) -> None:
    """Tell how far it is, on one line of the terminal."""
    click.echo(f"\r{rows:,} rows", err=True, nl=False)
