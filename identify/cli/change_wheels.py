"""``threadwright change-wheels``: the best trains for a thread from the wheels at hand."""

from __future__ import annotations

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import thread_names
from threadwright.cli.values import Whole

__all__ = ["change_wheels"]


@click.command(
    name="change-wheels",
    epilog="""\b
Example:
  threadwright change-wheels M12x1.5 --leadscrew "8 tpi" \\
      --wheels 20,30,40x2,50,60,63,80
""",
)
@click.argument("designation", nargs=-1, metavar="DESIGNATION", shell_complete=thread_names)
@click.option("--leadscrew", required=True, metavar="LEAD", help='Lead of the leadscrew: "8 tpi" or "3 mm".')
@click.option("--wheels", required=True, metavar="LIST", help="Teeth of the wheels held: 20,40x2,63,80.")
@click.option("--over", default="20 mm", show_default=True, metavar="LENGTH", help="Engaged length.")
@click.option(
    "--ratio", default="1", show_default=True, help="Turns of the first wheel for one of the spindle."
)
@click.option(
    "--top",
    default=5,
    show_default=True,
    type=Whole(5, span=(1, 50)),
    metavar="N",
    help="How many trains, up to 50.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def change_wheels(
    *,
    designation: tuple[str, ...],
    leadscrew: str,
    wheels: str,
    over: str,
    ratio: str,
    top: int,
    as_json: bool,
) -> int:
    """Find the best trains of change wheels for a thread, and how far the lead of each is off.

    DESIGNATION is the thread to cut, such as M12x1.5 or "3/8 BSF".
    """
    from threadwright.cli import format
    from threadwright.cli.making import train_lines
    from threadwright.quantities import length_mm
    from threadwright.repair.change_wheels import trains_for
    from threadwright.repair.lathe import Lathe, read_leadscrew, read_ratio, read_wheels
    from threadwright.tables.registry import find_thread

    if not designation:
        raise click.UsageError("no thread; name it, like M12x1.5", click.get_current_context())
    lathe = Lathe(
        leadscrew=read_leadscrew(leadscrew, name="--leadscrew"),
        wheels=read_wheels(wheels, name="--wheels"),
        spindle_ratio=read_ratio(ratio, name="--ratio"),
    )
    found = trains_for(
        find_thread(" ".join(designation)),
        lathe=lathe,
        engagement_mm=length_mm(over, name="--over"),
        top=top,
    )
    click.echo(format.as_json(found.to_dict()) if as_json else "\n".join(train_lines(found)))
    return NOT_ALL if all(train.fits is False for train in found.trains) else DONE
