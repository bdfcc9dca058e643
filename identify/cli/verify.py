"""``threadwright verify``: is it really that thread."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from threadwright.cli import DONE, NOT_ALL

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.conformity import Check, Conformity
    from threadwright.diameters import Balls
    from threadwright.tables.thread import Thread

__all__ = ["verify"]


@click.command(
    epilog="""\b
Proof of conformity keeps the reading a guard band of 1.645 standard
uncertainties inside the limits (ISO 14253-1, 95 %); proof of the contrary,
as far outside. Between them the instrument cannot tell.

\b
Example:
  threadwright verify "3/8-20 BSF" --class medium --major "9.44 mm" \\
    --over-wires "9.78 mm" --wire "0.75 mm"
  threadwright verify M8 --internal --minor "6.7..6.8 mm" \\
    --screw-enters "7.20 mm" --screw-refused "7.32 mm"
"""
)
@click.argument("designation", nargs=-1, required=True)
@click.option("--class", "tolerance_class", metavar="CLASS", help="Tolerance class  [default: the usual]")
@click.option("--major", metavar="LENGTH", help="Major diameter, over the crests of a screw.")
@click.option("--pitch-diameter", metavar="LENGTH", help="Pitch (effective) diameter.")
@click.option("--anvil", type=float, metavar="DEG", help="Whole angle of the thread micrometer's anvils.")
@click.option("--over-wires", metavar="LENGTH", help="Measurement over wires; needs --wire.")
@click.option("--wire", metavar="LENGTH", help="Diameter of the wires.")
@click.option("--wires", type=int, default=3, show_default=True, metavar="N", help="Wires in use: 3, 2 or 1.")
@click.option("--minor", metavar="LENGTH", help='Minor diameter; by plugs "6.7..6.8 mm".')
@click.option("--pitch", metavar="PITCH", help='"26 tpi", or "10 pitches over 12.7 mm".')
@click.option("--flank-angle", metavar="ANGLE", help="Angle of one flank.")
@click.option("--internal/--external", default=None, help="A hole, or a screw.  [default: as the class says]")
@click.option("--cast", metavar="SHARE", help='Readings are of a cast that shrinks so much, "0.5 %".')
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
    "--unit", type=click.Choice(["mm", "in"]), default="mm", show_default=True, help="Unit of lengths shown."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm.")
def verify(
    *,
    designation: tuple[str, ...],
    tolerance_class: str | None,
    internal: bool | None,
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
    answer = prove(
        thread,
        Readings(side=_side(thread, wanted, internal), **given),
        tolerance_class=wanted,
        length=None if length is None else length_mm(length, name="length engaged"),
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
    from threadwright.diameters import Balls
    from threadwright.reading import Reading
    from threadwright.reading_text import parse_reading

    if ball is None:
        if gap is None and span is None:
            return None
        raise click.UsageError("balls need --ball, their diameter", click.get_current_context())

    def between(text: str | None) -> Reading | None:
        return None if text is None else parse_reading("over_wires", text)

    return Balls(ball=parse_reading("wire", ball), gap=between(gap), span=between(span))


def _lines(answer: Conformity, unit: LengthUnit) -> list[str]:
    from threadwright.cli.format import columns, heading, paragraph, share, width
    from threadwright.decision import GUARD_FACTOR

    rows: list[tuple[str, ...]] = [("quantity", "read", "limits", "probability", "verdict")]
    for check in answer.checks:
        probability = "-" if check.probability is None else share(check.probability)
        rows.append((check.label, _read(check, unit), _limits(check, unit), probability, check.decision))
    head, *lines = columns(rows, within=width())
    remedies = [f"{check.label}: could tell: {check.remedy}." for check in answer.checks if check.remedy]
    said = [
        f"Limits of {answer.designation}, {answer.side}; lengths in {unit}, +- is one standard uncertainty."
    ]
    said.append(
        f"Proof keeps {GUARD_FACTOR} standard uncertainties off a limit (ISO 14253-1; 95 %, from memory)."
    )
    if answer.probability is not None:
        said.append(f"Probability that all that was read conforms: {share(answer.probability)}.")
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


def _read(check: Check, unit: LengthUnit) -> str:
    import math

    ends = [_number(value, check, unit) if math.isfinite(value) else "" for value in (check.low, check.high)]
    value = ends[0] if check.low == check.high else "..".join(ends)
    return f"{value} +- {_number(check.u, check, unit)}"


def _limits(check: Check, unit: LengthUnit) -> str:
    if check.least is None:
        assert check.greatest is not None
        return f"to {_number(check.greatest, check, unit)}"
    if check.greatest is None:
        return f"from {_number(check.least, check, unit)}"
    if check.least == check.greatest:
        return _number(check.least, check, unit)
    return f"{_number(check.least, check, unit)} to {_number(check.greatest, check, unit)}"


def _virtual(answer: Conformity, unit: LengthUnit) -> str:
    from threadwright.cli.format import length

    virtual = answer.virtual
    assert virtual is not None
    return (
        f"Virtual pitch diameter {length(virtual.value, unit)} {unit}: the pitch accounts for "
        f"{length(virtual.from_pitch, unit)}, the flank angle for {length(virtual.from_flanks, unit)}."
    )
