"""``threadwright batch``: name every thread of a CSV table."""

from __future__ import annotations

import click

from threadwright.cli import DONE, NOT_ALL

__all__ = ["batch"]


@click.command(
    epilog="""\b
IN.csv has a header with the column id and at least one reading: major, pitch,
over_wires, wire, pitch_diameter, minor, flank_angle; also side (external,
internal) and condition (good, worn, stripped, plated). The unit stands in the
header, major [mm], or in each cell. OUT.csv has one row for each row of
IN.csv, in its order; a row that cannot be read says why, and no other suffers.

\b
Example:
  threadwright batch samples/mixed-fasteners.csv -o named.csv
"""
)
@click.argument("in_path", metavar="IN.csv")
@click.option("-o", "--output", "out_path", required=True, metavar="OUT.csv", help="Table to write.")
@click.option("--top", type=int, default=3, show_default=True, metavar="K", help="Candidates for each row.")
def batch(in_path: str, out_path: str, top: int) -> int:
    """Name every thread of a CSV table."""
    from threadwright.batch import run_batch

    report = run_batch(in_path, out_path, top=top)
    if report.faults:
        click.echo(
            f"threadwright: {report.faults} of {report.rows} rows failed; see their messages", err=True
        )
    return NOT_ALL if report.faults else DONE
