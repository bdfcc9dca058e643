"""``threadwright verify``: is it really that thread."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import thread_names
from threadwright.cli.values import Number, OneOf, Whole

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.conformity import Check, Conformity
    from threadwright.diameters import Balls
    from threadwright.tables.thread import Thread

__all__ = ["verify"]

_SEVERAL: Final = ("major", "pitch_diameter", "over_wires", "minor")
_ALL_BUT_SURE: Final = 1 - 1e-9  # no reading makes it certain, whatever a float rounds to
_VERDICTS: Final = {"conforms": "conforms", "does not conform": "does not", "cannot tell": "cannot tell"}
_SHORT: Final = (
    ("by known screws", "by screws"),
    (" pitch diameter over ", ", over "),
    (" pitch diameter by ", ", by "),
    ("pitch diameter over ", "pitch dia., "),
    ("pitch diameter by ", "pitch dia., "),
    ("virtual pitch diameter", "virtual pitch dia."),
    ("bare minor diameter", "bare minor dia."),
    ("plated minor diameter", "plated minor dia."),
)


@click.command(
    epilog="""\b
Proof of conformity keeps the reading a guard band of 1.645 standard
uncertainties inside the limits (ISO 14253-1, 95 %); proof of the contrary,
as far outside. Between them the instrument cannot tell. Several readings of
one diameter are taken together. Exit status 3: it does not conform.

\b
Example:
  threadwright verify "3/8-20 BSF" --class medium --major "9.44 mm" \\
    --over-wires "9.78 mm" --wire "0.75 mm"
  threadwright verify M8 --internal --minor "6.7..6.8 mm" \\
    --screw-enters "7.20 mm" --screw-refused "7.32 mm"
"""
)
@click.argument("designation", nargs=-1, required=True, shell_complete=thread_names)
@click.option("--class", "tolerance_class", metavar="CLASS", help="Tolerance class  [default: the usual]")
@click.option("--major", multiple=True, metavar="LENGTH", help="Major diameter, over the crests of a screw.")
@click.option("--pitch-diameter", multiple=True, metavar="LENGTH", help="Pitch (effective) diameter.")
@click.option(
    "--anvil", type=Number(60), metavar="DEG", help="Whole angle of the thread micrometer's anvils."
)
@click.option("--over-wires", multiple=True, metavar="LENGTH", help="Measurement over wires; needs --wire.")
@click.option("--wire", metavar="LENGTH", help="Diameter of the wires.")
@click.option(
    "--wires", type=Whole(3), default=3, show_default=True, metavar="N", help="Wires in use: 3, 2 or 1."
)
@click.option("--minor", multiple=True, metavar="LENGTH", help='Minor diameter; by plugs "6.7..6.8 mm".')
@click.option("--pitch", metavar="PITCH", help='"20 tpi", or "10 pitches over 12.7 mm".')
@click.option("--flank-angle", metavar="ANGLE", help="Angle of one flank.")
@click.option("--internal/--external", default=None, help="A hole, or a screw.  [default: as the class says]")
@click.option("--plated", metavar="THICKNESS", help='Plating of the part, "8 um" or "5..12 um".')
@click.option("--cast", metavar="SHARE", help='Readings are of a cast, shrunk by "0.5 %".')
@click.option("--ball", metavar="LENGTH", help="Diameter of two balls in a hole's grooves.")
@click.option("--ball-gap", metavar="LENGTH", help="Between the inner faces of the balls.")
@click.option("--ball-span", metavar="LENGTH", help="Over the ball ends of an inside micrometer.")
@click.option(
    "--screw-enters",
    multiple=True,
    metavar="SIZE",
    help="Pitch diameter, or thread, of a screw that runs in.",
)
@click.option("--screw-refused", multiple=True, metavar="SIZE", help="The same of one that does not start.")
@click.option("--length", metavar="LENGTH", help="Length engaged  [default: one diameter]")
@click.option("--instrument", metavar="NAME", help="What all was measured with.")
@click.option(
    "--unit", type=OneOf(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def verify(
    *,
    designation: tuple[str, ...],
    tolerance_class: str | None,
    internal: bool | None,
    plated: str | None,
    ball: str | None,
    ball_gap: str | None,
    ball_span: str | None,
    screw_enters: tuple[str, ...],
    screw_refused: tuple[str, ...],
    length: str | None,
    unit: LengthUnit,
    as_json: bool,
    **given: Any,
) -> int:
    """Prove from readings that a screw or hole is a thread of a class, that it is not, or neither."""
    from threadwright.cli import format
    from threadwright.conformity import verify as prove
    from threadwright.plating import parse_plating
    from threadwright.quantities import length_mm
    from threadwright.readings import Readings
    from threadwright.tables.registry import find_thread_and_class

    thread, named = find_thread_and_class(" ".join(designation))
    if named is not None and tolerance_class not in (None, named):
        raise click.UsageError(
            f"--class {tolerance_class} and class {named} in the name; leave one of them out",
            click.get_current_context(),
        )
    wanted = tolerance_class if named is None else named
    for name in _SEVERAL:
        given[name] = given[name][0] if len(given[name]) == 1 else list(given[name]) or None
    answer = prove(
        thread,
        Readings(side=_side(thread, wanted, internal), **given),
        tolerance_class=wanted,
        length=None if length is None else length_mm(length, name="length engaged"),
        plating=None if plated is None else parse_plating(plated),
        balls=_balls(ball, ball_gap, ball_span),
        enters=screw_enters,
        refused=screw_refused,
    )
    click.echo(format.as_json(answer.to_dict()) if as_json else "\n".join(_lines(answer, unit)))
    return NOT_ALL if answer.decision == "does not conform" else DONE


def _side(thread: Thread, tolerance_class: str | None, internal: bool | None) -> str:
    """The side that was asked for, or else the one that has the class."""
    if internal is None and tolerance_class is not None:
        internal = tolerance_class not in thread.classes("external") and tolerance_class in thread.classes(
            "internal"
        )
    return "internal" if internal else "external"


def _balls(ball: str | None, gap: str | None, span: str | None) -> Balls | None:
    """Balls, if any were given."""
    from threadwright.diameters import read_balls

    if ball is not None:
        return read_balls(ball, gap=gap, span=span)
    if gap is None and span is None:
        return None
    raise click.UsageError("balls need --ball, their diameter", click.get_current_context())


def _lines(answer: Conformity, unit: LengthUnit) -> list[str]:
    from threadwright.cli.format import columns, heading, paragraph, share, width
    from threadwright.decision import GUARD_FACTOR

    rows: list[tuple[str, ...]] = [("quantity", "read", "+-", "limits", "verdict", "p")]
    for check in answer.checks:
        probability = "-" if check.probability is None else share(min(check.probability, _ALL_BUT_SURE))
        read = (_short(check.label), _read(check, unit), _number(check.u, check, unit))
        rows.append((*read, _limits(check, unit), _VERDICTS[check.decision], probability))
    head, *lines = columns(rows, within=width())
    remedies = [f"To tell the {check.label}: {check.remedy}." for check in answer.checks if check.remedy]
    remedies += [
        f"To tell the {name}: {by}." for name, by in zip(answer.missing, answer.could_measure, strict=True)
    ]
    said = [
        f"Limits of {answer.designation}, {answer.side}, in {unit}; +- is one standard uncertainty, p the "
        "probability of conformity."
    ]
    said.append(
        f"Proof keeps {GUARD_FACTOR} standard uncertainties off a limit (ISO 14253-1; 95 %, from memory)."
    )
    if answer.probability is not None:
        said.append(
            f"Probability that all that was read conforms: {share(min(answer.probability, _ALL_BUT_SURE))}."
        )
    if answer.virtual is not None:
        said.append(_virtual(answer, unit))
    return [
        heading(paragraph(answer.sentence())),
        "",
        heading(head),
        *lines,
        "",
        *(paragraph(text[0].upper() + text[1:]) for text in (*said, *remedies, *answer.notes)),
    ]


def _number(value: float, check: Check, unit: LengthUnit) -> str:
    from threadwright.cli.format import length

    return f"{value:.2f}" if check.unit == "deg" else length(value, unit)


def _short(label: str) -> str:
    """The label cut to what the column holds."""
    for long, short in _SHORT:
        label = label.replace(long, short)
    return label


def _read(check: Check, unit: LengthUnit) -> str:
    ends = [_number(value, check, unit) if math.isfinite(value) else "" for value in (check.low, check.high)]
    return ends[0] if check.low == check.high else "..".join(ends)


def _limits(check: Check, unit: LengthUnit) -> str:
    if check.least is None:
        assert check.greatest is not None
        return f"to {_number(check.greatest, check, unit)}"
    if check.greatest is None:
        return f"from {_number(check.least, check, unit)}"
    if check.least == check.greatest:
        return _number(check.least, check, unit)
    return f"{_number(check.least, check, unit)}-{_number(check.greatest, check, unit)}"


def _virtual(answer: Conformity, unit: LengthUnit) -> str:
    from threadwright.cli.format import length

    virtual = answer.virtual
    assert virtual is not None
    return (
        f"Virtual pitch diameter {length(virtual.value, unit)} {unit}: the pitch accounts for "
        f"{length(virtual.from_pitch, unit)}, the flank angle for {length(virtual.from_flanks, unit)}."
    )
