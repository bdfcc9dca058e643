"""``threadwright completion``: the script by which a shell completes commands, options and names."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from threadwright.cli import DONE
from threadwright.cli.values import OneOf

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

__all__ = ["completion", "file_names", "series_names", "single_words", "thread_names"]

_SHELLS = ("bash", "zsh", "fish")


@click.command(
    epilog="""\b
Put one of these into the start-up file of your shell:
  eval "$(threadwright completion bash)"           in ~/.bashrc
  eval "$(threadwright completion zsh)"            in ~/.zshrc
  threadwright completion fish | source            in config.fish

\b
Example:
  threadwright completion bash > threadwright-completion.bash
"""
)
@click.argument("shell", type=OneOf(_SHELLS), metavar="|".join(_SHELLS))
def completion(shell: str) -> int:
    """Print the script by which a shell completes commands, options, series, threads and files."""
    from click.shell_completion import get_completion_class

    from threadwright.cli import cli

    kind = get_completion_class(shell)
    assert kind is not None
    click.echo(kind(cli, {}, "threadwright", "_THREADWRIGHT_COMPLETE").source(), nl=False)
    return DONE


def file_names(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem[str]]:
    """Files, as the shell knows them."""
    from click.shell_completion import CompletionItem

    return [CompletionItem(incomplete, type="file")]


def series_names(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem[str]]:
    """Symbols of series, each with its title."""
    from click.shell_completion import CompletionItem

    from threadwright.tables.registry import SYSTEMS

    return [
        CompletionItem(one.symbol, help=one.title)
        for one in SYSTEMS
        if one.symbol.casefold().startswith(incomplete.casefold())
    ]


def thread_names(
    ctx: click.Context, parameter: click.Parameter, incomplete: str
) -> list[CompletionItem[str]]:
    """Designations, of which words may stand before the one that is typed; in a table series too."""
    from click.shell_completion import CompletionItem

    before = ctx.params.get(parameter.name or "") or ()
    head = "".join(f"{word} " for word in before).casefold()
    start = f"{head}{incomplete.casefold()}"
    found = [one[len(head) :] for one in _designations() if start and one.casefold().startswith(start)]
    items = [CompletionItem(one) for one in dict.fromkeys(found)]
    return items if head or parameter.name != "names" else [*series_names(ctx, parameter, incomplete), *items]


def single_words(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem[str]]:
    """Designations of one word, where several threads stand side by side."""
    from click.shell_completion import CompletionItem

    start = incomplete.casefold()
    found = dict.fromkeys(one for one in _designations() if " " not in one)
    return [CompletionItem(one) for one in found if start and one.casefold().startswith(start)]


def _designations() -> list[str]:
    from threadwright.tables.registry import SYSTEMS, series

    return [name for one in SYSTEMS for name in series(one.symbol).designations]
