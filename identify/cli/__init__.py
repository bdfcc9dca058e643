"""The command line: one module per command, and one place where errors become a line and a status."""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, Final

import click

from threadwright.tables.errors import ThreadwrightError

__all__ = ["DONE", "INTERRUPTED", "NOT_ALL", "REFUSED", "VERSION", "cli", "main", "run"]

VERSION: Final = "0.1.0"

DONE: Final = 0
REFUSED: Final = 2
NOT_ALL: Final = 3
INTERRUPTED: Final = 130

# name: (module, function, what --help says of it); the module is imported when the command is called
_COMMANDS: Final[dict[str, tuple[str, str, str]]] = {
    "identify": ("threadwright.cli.identify_command", "identify", "Name a thread from readings."),
    "guide": ("threadwright.cli.guide", "guide", "Name a thread, one reading at a time."),
    "record": ("threadwright.cli.record", "record", "Show the threads found on one machine."),
    "table": ("threadwright.cli.table", "table", "Show thread tables: sizes and limits."),
    "verify": ("threadwright.cli.verify", "verify", "Prove that a part is a thread of a class, or not."),
    "mate": ("threadwright.cli.mate", "mate", "Will this screw enter that hole; what must not go in."),
    "wires": ("threadwright.cli.wires", "wires", "Wires for a thread, and sizes over them."),
    "repair": ("threadwright.cli.repair", "repair", "Plan the bush for a stripped hole."),
    "scan": ("threadwright.cli.scan", "scan", "Measure a screw in a picture of its shadow."),
    "template": ("threadwright.cli.template", "template", "Draw the profiles of a series at true scale."),
    "change-wheels": (
        "threadwright.cli.change_wheels",
        "change_wheels",
        "Find the change wheels for a thread.",
    ),
    "batch": ("threadwright.cli.batch", "batch", "Name every thread of a CSV table."),
    "completion": ("threadwright.cli.completion", "completion", "Print the completion script of a shell."),
}

_EPILOG: Final = """\b
Exit status:
  0    done
  2    bad usage, reading or file: one line on stderr, nothing on stdout
  3    done, but no thread of the tables fits, the part does not conform,
       or some rows failed
  130  interrupted
A closed pipe ends the program quietly.

\b
Example:
  threadwright identify --major "0.372 in" --pitch "20 tpi"
"""


class _Commands(click.Group):
    """Commands that are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's own signature
        """Names of the commands in the order in which they are used."""
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import one command."""
        if cmd_name not in _COMMANDS:
            return None
        module, function, _ = _COMMANDS[cmd_name]
        command = getattr(import_module(module), function)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Refuse an unknown command with the nearest name."""
        if args[0] not in _COMMANDS and not args[0].startswith("-") and not ctx.resilient_parsing:
            from difflib import get_close_matches

            near = get_close_matches(args[0], _COMMANDS, n=1, cutoff=0.5)
            hint = f"did you mean '{near[0]}'?" if near else f"there is {', '.join(_COMMANDS)}"
            raise click.UsageError(f"no command {args[0][:40]!r}; {hint}", ctx)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; where the parser does not say whose option was used wrongly, say it."""
        try:
            return super().invoke(ctx)
        except click.BadOptionUsage as fault:
            name = ctx.invoked_subcommand
            command = None if fault.ctx is not None or name is None else self.get_command(ctx, name)
            if command is not None:
                fault.ctx = click.Context(command, info_name=name, parent=ctx)
            raise

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, _, text) in _COMMANDS.items()])


@click.group(
    cls=_Commands,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"]},
    no_args_is_help=False,
)
@click.version_option(VERSION, message="threadwright %(version)s")
@click.option("--no-color", is_flag=True, help="No bold letters on a terminal.")
@click.pass_context
def cli(ctx: click.Context, no_color: bool) -> None:
    """Name the screw thread of an old machine from a few readings, and plan the bush that repairs its hole.

    --help behind a command shows its options and an example.
    """
    if no_color or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False


def main(args: Sequence[str] | None = None) -> int:
    """Run one command line.

    Parameters
    ----------
    args : sequence of str, optional
        Words after the program's name; those of the process if left out.

    Returns
    -------
    int
        Exit status: 0 done, 2 refused, 3 done but nothing fits or some rows failed, 130 interrupted.

    Examples
    --------
    >>> main(["--version"])
    threadwright 0.1.0
    0
    """
    try:
        status = cli.main(
            args=None if args is None else list(args), prog_name="threadwright", standalone_mode=False
        )
        sys.stdout.flush()
    except (ThreadwrightError, click.ClickException) as fault:
        return _refuse(fault)
    except click.Abort:
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):  # click turns a broken pipe into SystemExit
        return _hang_up()
    return status if isinstance(status, int) else DONE


def run() -> int:
    """The program: :func:`main` in a process of its own, which ends with it.

    What one answer makes is thrown away whole, so cyclic garbage is looked for a hundred times less
    often than in a process that lives on, and not once more at the end.
    """
    gc.set_threshold(70_000, *gc.get_threshold()[1:])
    status = main()
    gc.freeze()
    return status


def _refuse(fault: ThreadwrightError | click.ClickException) -> int:
    """One line on stderr, whatever the fault."""
    message = fault.format_message() if isinstance(fault, click.ClickException) else str(fault)
    if isinstance(fault, click.UsageError):
        from threadwright.cli.refusals import plainly

        message, path = plainly(fault), fault.ctx.command_path if fault.ctx else "threadwright"
        message += f"{' See' if message.endswith('?') else '; see'} '{path} --help'"
    with contextlib.suppress(BrokenPipeError):
        print(f"threadwright: {' '.join(message.split())}", file=sys.stderr)
    return REFUSED


def _hang_up() -> int:
    """Whoever read the output has gone: the rest is written nowhere, quietly."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return DONE
