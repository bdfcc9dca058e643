"""``threadwright template``: print the profiles of a series at true scale."""

from __future__ import annotations

import click

from threadwright.cli import DONE, VERSION
from threadwright.cli.completion import series_names
from threadwright.cli.values import OneOf

__all__ = ["template"]

SCHEMA_VERSION = 1


@click.command(
    epilog="""\b
Print it at 100 % and check the bar of 100 mm with a rule before use.

\b
Example:
  threadwright template BSF -o bsf.pdf
"""
)
@click.argument("system", metavar="SYSTEM", shell_complete=series_names)
@click.option(
    "-o", "--output", "path", required=True, metavar="FILE.pdf", help="FILE.pdf, FILE.svg or FILE.dxf."
)
@click.option(
    "--paper", type=OneOf(["A4", "Letter"]), default="A4", show_default=True, help="Size of the pages."
)
@click.option("--json", "as_json", is_flag=True, help="Say in JSON what was drawn.")
def template(system: str, path: str, paper: str, *, as_json: bool) -> int:
    """Draw each pitch of a series at true scale, to lay a screw against.

    SYSTEM is a symbol of 'threadwright table --list', such as BSF.
    """
    from threadwright.sheet.write import check_ending, write_sheet

    check_ending(path)
    from threadwright.sheet.template import compose_template

    sheet = compose_template(system, paper=paper, made_with=f"threadwright {VERSION}")
    write_sheet(sheet, path)
    if as_json:
        from threadwright.cli import format

        pages = [page.title for page in sheet.pages]
        drawn = {"system": system, "title": sheet.title, "paper": paper, "pages": pages, "check_bar_mm": 100}
        click.echo(format.as_json({"schema_version": SCHEMA_VERSION, "path": path, **drawn}))
    return DONE
