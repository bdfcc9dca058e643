"""Values of options that are no readings: whole numbers, numbers, and one of a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    _Words = click.Choice[str]
else:
    _Words = click.Choice

__all__ = ["Number", "OneOf", "Whole"]


def _refuse(value: object, remedy: str, param: click.Parameter | None, ctx: click.Context | None) -> NoReturn:
    """Name the option, the value given, and what to write instead."""
    from threadwright.tables.numbers import shorten

    name = "value" if param is None else str(param.name)
    if isinstance(param, click.Option):
        name = max(param.opts, key=len)
    raise click.UsageError(f"{name}: cannot be {shorten(str(value))}; write {remedy}", ctx)


class Whole(click.types.IntParamType):
    """A whole number like ``like``, and within ``span`` if one is given."""

    def __init__(self, like: int, *, span: tuple[int, int] | None = None) -> None:
        self.like = like
        self.span = span

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read it, or refuse it with what to write."""
        within = "" if self.span is None else f" from {self.span[0]} to {self.span[1]}"
        remedy = f"a whole number{within}, like {self.like}"
        try:
            number = int(value)
        except ValueError:
            _refuse(value, remedy, param, ctx)
        if self.span is not None and not self.span[0] <= number <= self.span[1]:
            _refuse(value, remedy, param, ctx)
        return number


class Number(click.types.FloatParamType):
    """A number without a unit, like ``like``."""

    def __init__(self, like: float) -> None:
        self.like = like

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read it, or refuse it with what to write."""
        try:
            return float(value)
        except ValueError:
            _refuse(value, f"a number without a unit, like {self.like:g}", param, ctx)


class OneOf(_Words):
    """One of a few words."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Find it, or refuse it with all there are."""
        if value not in self.choices:
            _refuse(value, listed(self.choices), param, ctx)
        return str(value)


def listed(words: tuple[str, ...]) -> str:
    """Words as a choice.

    Examples
    --------
    >>> listed(("bash", "zsh", "fish"))
    'bash, zsh or fish'
    """
    return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
