"""The options of ``threadwright identify``, under headings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeVar

import click

from threadwright.cli.completion import file_names
from threadwright.cli.values import Number, Whole

__all__ = ["SEVERAL", "GroupedCommand", "machine_options", "reading_options"]

_Command = TypeVar("_Command", bound=Callable[..., Any])
SEVERAL: Final = ("major", "minor", "pitch_diameter", "over_wires", "tried")
"""Options that may be given more than once."""
_SIZES: Final = "Sizes"
_SEEN: Final = "What else was seen or tried"
_HOW: Final = "How it was read"
_MACHINE: Final = "The machine it is from"
_OUTPUT: Final = "Answer"


class _GroupedOption(click.Option):
    """An option that stands under a heading."""

    def __init__(self, *args: Any, group: str = _OUTPUT, **attributes: Any) -> None:
        super().__init__(*args, **attributes)
        self.group = group


class GroupedCommand(click.Command):
    """A command whose help lists its options under headings."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options, one section for each heading, in the order of their first option."""
        sections: dict[str, list[tuple[str, str]]] = {}
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is not None:
                sections.setdefault(getattr(parameter, "group", _OUTPUT), []).append(record)
        for heading, records in sections.items():
            with formatter.section(heading):
                formatter.write_dl(records)


def _option(group: str, *names: str, **attributes: Any) -> Callable[[_Command], _Command]:
    return click.option(*names, cls=_GroupedOption, group=group, **attributes)


_READINGS: Final = (
    _option(
        _SIZES, "--major", metavar="LENGTH", multiple=True, help="Over the crests of a screw. Repeatable."
    ),
    _option(_SIZES, "--pitch", metavar="PITCH", help='By comb ("20 tpi"), or "10 pitches over 12.7 mm".'),
    _option(
        _SIZES, "--over-wires", metavar="LENGTH", multiple=True, help="Over wires; needs --wire. Repeatable."
    ),
    _option(_SIZES, "--wire", metavar="LENGTH", help="Diameter of the wires."),
    _option(
        _SIZES,
        "--wires",
        type=Whole(3),
        default=3,
        show_default=True,
        metavar="N",
        help="Wires in use: 3, 2 or 1.",
    ),
    _option(
        _SIZES,
        "--pitch-diameter",
        metavar="LENGTH",
        multiple=True,
        help="Pitch (effective) diameter. Repeatable.",
    ),
    _option(
        _SIZES,
        "--minor",
        metavar="LENGTH",
        multiple=True,
        help="Bore of a hole, core of a screw. Repeatable.",
    ),
    _option(_SIZES, "--flank-angle", metavar="ANGLE", help="Angle of one flank."),
    _option(_SEEN, "--starts", type=Whole(2), metavar="N", help="Thread starts at its end."),
    _option(_SEEN, "--lead", metavar="LENGTH", help="Advance in one turn."),
    _option(_SEEN, "--hand", metavar="WORD", help="right or left."),
    _option(_SEEN, "--taper", metavar="TEXT", help='"12.9 mm and 13.3 mm 6.4 mm apart", or "1:16".'),
    _option(_SEEN, "--crest", metavar="WORD", help="flat, rounded or sharp."),
    _option(_SEEN, "--across-flats", metavar="LENGTH", help="Size across flats of its hexagon."),
    _option(
        _SEEN, "--flats-of", default="head", show_default=True, metavar="WORD", help="head, nut or spanner."
    ),
    _option(
        _SEEN,
        "--tried",
        metavar="TEXT",
        multiple=True,
        help='"M8 screw: runs in", "2 BA nut: will not start", "M8 tap: tight after 2 turns". Repeatable.',
    ),
    _option(_SEEN, "--clearance", metavar="LENGTH", help="Clearance hole of the mating part."),
    _option(
        _SEEN, "--cast", metavar="PERCENT", help='A cast of the hole was measured; it shrinks ("0.5 %").'
    ),
    _option(_HOW, "--internal/--external", help="A hole, or a screw.  [default: external]"),
    _option(_HOW, "--condition", metavar="WORD", help="good, worn, stripped or plated."),
    _option(
        _HOW, "--visible", metavar="LENGTH", help="Length the comb was laid along  [default: ten pitches]"
    ),
    _option(_HOW, "--combs", metavar="NAMES", help="Combs owned  [default: inch,metric]"),
    _option(_HOW, "--instrument", metavar="NAME", help="Of all readings  [default: the usual for each]"),
    _option(
        _HOW,
        "--anvil",
        type=Number(60),
        metavar="DEGREES",
        help="Whole angle of the thread micrometer's anvils.",
    ),
)
_MACHINE_OPTIONS: Final = (
    _option(
        _HOW,
        "--same",
        "same_path",
        metavar="FILE.csv",
        shell_complete=file_names,
        help="More fasteners, believed to be the same: see batch.",
    ),
    _option(_MACHINE, "--made-in", metavar="CODE", help="Country, in two letters: GB, US, DE."),
    _option(_MACHINE, "--year", type=Whole(1938), metavar="YEAR", help="When the machine was made."),
    _option(
        _MACHINE,
        "--record",
        "record_path",
        metavar="FILE.toml",
        shell_complete=file_names,
        help="What was found on this machine before.",
    ),
    _option(_MACHINE, "--place", metavar="TEXT", help="Where on the machine the fastener sits."),
    _option(_MACHINE, "--save", is_flag=True, help="Add the first candidate to the record."),
    _option(_MACHINE, "--replace", is_flag=True, help="Save in the place of what the record says of it."),
    _option(
        _MACHINE,
        "--priors",
        "priors_path",
        metavar="FILE.toml",
        shell_complete=file_names,
        help="Weights of series: [series], BSF = 0.3.",
    ),
)


def _all_of(options: tuple[Callable[[Any], Any], ...]) -> Callable[[_Command], _Command]:
    def put(command: _Command) -> _Command:
        for option in reversed(options):
            command = option(command)
        return command

    return put


reading_options = _all_of(_READINGS)
machine_options = _all_of(_MACHINE_OPTIONS)
