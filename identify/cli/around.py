"""Every thread of any system whose major diameter is near a size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from threadwright.cli import DONE, NOT_ALL

if TYPE_CHECKING:
    from threadwright.cli.format import LengthUnit
    from threadwright.tables.around import Near

__all__ = ["print_around"]

SCHEMA_VERSION = 1
_INCHES = ("in", "inch", "inches", '"', "''", "thou", "mil")
_MM = {"mm": 1.0, "in": 25.4}
_PITCH_PLACES = {"mm": 4, "in": 5}
_UNIT_WORDS = {"mm": "mm", "in": "inches"}
_FIELDS = (
    "designation", "leading_name", "system", "title", "major_basic", "off", "pitch", "tpi", "starts",
    "flank_angle_load", "flank_angle_clear", "taper", "unit", "basis",
)  # fmt: skip


def print_around(size: str, within: str | None, *, layout: str | None, unit: LengthUnit | None) -> int:
    """List the threads near a size; the unit is that in which the size is written, if none is asked for."""
    from threadwright.cli.format import as_json
    from threadwright.cli.table import write_csv
    from threadwright.tables.around import around
    from threadwright.units import parse_length, split_unit

    major = parse_length(size, name="--around")
    named = unit or ("in" if split_unit(size)[1] in _INCHES else "mm")
    reach = _usual_reach(major) if within is None else parse_length(within, name="--within")
    found = around(major, within=reach)
    rows = [row for near in found for row in _rows(near, named)]
    if layout == "csv":
        write_csv([_FIELDS, *rows])
    elif layout == "json":
        scale = _MM[named]
        asked = {"around": round(major / scale, 8), "within": round(reach / scale, 8), "unit": named}
        click.echo(
            as_json(
                {
                    "schema_version": SCHEMA_VERSION,
                    **asked,
                    "threads": [dict(zip(_FIELDS, row, strict=True)) for row in rows],
                }
            )
        )
    else:
        click.echo("\n".join(_lines(found, major, reach, usual=within is None, unit=named)))
    return DONE if found else NOT_ALL


def _usual_reach(major: float) -> float:
    from threadwright import judgement

    return max(judgement.AROUND_SHARE * major, judgement.AROUND_LEAST_MM)


def _rows(near: Near, unit: LengthUnit) -> list[tuple[object, ...]]:
    """One row for each name; lengths in the unit asked for."""
    from threadwright.tables.listing import LENGTH_PLACES

    scale, places = _MM[unit], LENGTH_PLACES[unit]
    thread, form = near.thread, near.thread.form
    sizes = (thread.major_basic * thread.to_mm, near.off, thread.pitch_mm)
    major, off, pitch = (round(size / scale, places) for size in sizes)
    clear = form.flank_angle if form.flank_angle_clear is None else form.flank_angle_clear
    rest = (
        major, off, pitch, None if thread.tpi is None else float(thread.tpi), thread.starts,
        round(form.flank_angle, 6), round(clear, 6), float(thread.taper), unit, thread.basis,
    )  # fmt: skip
    return [(name, thread.designation, symbol, title, *rest) for name, symbol, title in near.names]


def _lines(
    found: tuple[Near, ...], major: float, reach: float, *, usual: bool, unit: LengthUnit
) -> list[str]:
    from threadwright import judgement
    from threadwright.cli.format import columns, heading, length, paragraph, width
    from threadwright.tables.around import nearest

    named = f"{length(reach, unit)} {unit} of {length(major, unit)} {unit}"
    said = f"Threads with a basic major diameter within {named}"
    if usual:
        least = length(judgement.AROUND_LEAST_MM, unit)
        said += f" ({100 * judgement.AROUND_SHARE:g} %, at least {least} {unit}; --within sets another)"
    if not found:
        near = nearest(major)
        there = length(near.thread.major_basic * near.thread.to_mm, unit)
        title = near.names[0][2]
        return [
            paragraph(f"{said}: none. The nearest is {near.thread.designation}, {title}, at {there} {unit}.")
        ]
    head, *lines = columns(_table(found, unit), right=(0, 1, 2, 3), within=width())
    others = sum(len(near.names) - 1 for near in found)
    foot = f"{len(found)} threads, and {others} more names for the same metal."
    if any(near.thread.taper for near in found):
        foot += " A taper thread stands at the size of its gauge plane."
    return [paragraph(f"{said}, sizes in {_UNIT_WORDS[unit]}:"), heading(head), *lines, paragraph(foot)]


def _table(found: tuple[Near, ...], unit: LengthUnit) -> list[tuple[str, ...]]:
    """Rows of the list; the last column has what 80 columns leave."""
    from threadwright.cli.format import length
    from threadwright.tables.numbers import format_decimal

    rows: list[tuple[str, ...]] = [("major", "pitch", "tpi", "flank", "thread = same metal", "system")]
    for near in found:
        thread = near.thread
        also = dict.fromkeys(symbol for _, symbol, _ in near.names[1:])
        cells = (
            length(thread.major_basic * thread.to_mm, unit),
            f"{thread.pitch_mm / _MM[unit]:.{_PITCH_PLACES[unit]}f}",
            "" if thread.tpi is None else format_decimal(thread.tpi, 3),
            _flanks(near),
            " = ".join([thread.designation, *([" ".join(also)] if also else [])]),
        )
        rows.append((*cells, near.names[0][2]))
    room = 80 - sum(max(map(len, column)) + 2 for column in list(zip(*rows, strict=True))[:-1]) - 2
    return [(*row[:-1], _short(row[-1], room)) for row in rows]


def _short(text: str, room: int) -> str:
    return text if len(text) <= room else f"{text[: max(room - 2, 0)].rstrip()}.."


def _flanks(near: Near) -> str:
    """One flank angle, or load and clear of an asymmetric form. [deg]"""
    form = near.thread.form
    clear = "" if form.flank_angle_clear is None else f"/{form.flank_angle_clear:g}"
    return f"{form.flank_angle:.4g}{clear}"
