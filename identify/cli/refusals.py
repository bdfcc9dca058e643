"""What the parser of the command line refuses, in the words of the rest of the program."""

from __future__ import annotations

import re
from typing import Final

import click

__all__ = ["plainly"]

_EXTRA: Final = re.compile(r"Got unexpected extra arguments? \((?P<words>.*)\)", re.DOTALL)
_NO_COMMAND: Final = "Missing command."


def plainly(fault: click.UsageError) -> str:
    """Say what is wrong with a command line, and what to write instead.

    Parameters
    ----------
    fault : click.UsageError
        What the parser or a command raised.

    Returns
    -------
    str
        The fault without the name of the program; what a command says itself is left as it is.

    Examples
    --------
    >>> plainly(click.NoSuchOption("--majr", possibilities=["--major", "--minor"]))
    "no option '--majr'; did you mean '--major'?"
    """
    if isinstance(fault, click.MissingParameter):
        return _missing(fault)
    if isinstance(fault, click.NoSuchOption):
        near = f"; did you mean '{fault.possibilities[0]}'?" if fault.possibilities else ""
        return f"no option {fault.option_name!r}{near}"
    if isinstance(fault, click.BadOptionUsage):
        return _used_wrongly(fault)
    text = fault.format_message()
    extra = _EXTRA.fullmatch(text)
    if extra is not None:
        from threadwright.tables.numbers import shorten

        return (
            f"{shorten(extra['words'])} belongs to no option; write each value behind its option, and one of "
            "several words in quotes"
        )
    return "no command; write one, like 'threadwright identify'" if text == _NO_COMMAND else text


def _missing(fault: click.MissingParameter) -> str:
    """What was not given, and where it goes."""
    param = fault.param
    assert param is not None  # the parser names it
    if isinstance(param, click.Option):
        name = max(param.opts, key=len)
        return f"{name}: not given; add {name} {param.metavar}"
    if isinstance(param.type, click.Choice):
        from threadwright.cli.values import listed

        return f"{param.name}: not given; write {listed(param.type.choices)}"
    assert fault.ctx is not None
    name = param.metavar or str(param.name).upper()
    return f"{name}: not given; write it behind '{fault.ctx.command_path}'"


def _used_wrongly(fault: click.BadOptionUsage) -> str:
    """An option without its value, or a value with an option that takes none."""
    params = [] if fault.ctx is None else fault.ctx.command.params
    option = next((one for one in params if fault.option_name in one.opts), None)
    if isinstance(option, click.Option) and not option.is_flag:
        return f"{fault.option_name}: no value given; write {fault.option_name} {option.metavar}"
    return f"{fault.option_name}: takes no value; leave out what follows the '='"
