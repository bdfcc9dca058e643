"""What is made at the lathe, as lines: place, sizes, operations, change wheels and fixing."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from threadwright.cli.format import columns, heading, paragraph

if TYPE_CHECKING:
    from threadwright.repair.change_wheels import Trains
    from threadwright.repair.cutting import Infeed, OverWires
    from threadwright.repair.fixing import Fixing
    from threadwright.repair.making import Making
    from threadwright.repair.sizes import Sizes

__all__ = ["making_lines", "train_lines"]

_NAMED = {"hole": "Sizes of the hole", "bush": "Sizes of the bush"}


def making_lines(made: Making) -> list[str]:
    """The lines of one bush that is to be made.

    Parameters
    ----------
    made : Making
        The bush, worked up.
    """
    return [
        "",
        heading("How it finds its place"),
        *_bullets(made.locating.says),
        "",
        *_sizes(made.sizes),
        "",
        heading("Order of operations"),
        *_operations(made),
        *([] if made.change_wheels is None else ["", *train_lines(made.change_wheels)]),
        "",
        heading("Fixing"),
        *_fixing(made.fixing),
    ]


def _bullets(texts: tuple[str, ...]) -> list[str]:
    return [paragraph(text, first="- ") for text in texts]


def _sizes(sizes: Sizes) -> list[str]:
    lines: list[str] = []
    for part, title in _NAMED.items():
        rows = [row for row in sizes.rows if row.part == part]
        lines.append(heading(f"{title}, mm"))
        names = [row.name for row in rows]
        texts = [row.text.removesuffix(" mm") for row in rows]
        wide, across = max(map(len, names)), max(map(len, texts))
        for row, text in zip(rows, texts, strict=True):
            first = f"  {row.name:<{wide}}  {text:<{across}}"
            lines.append(paragraph(row.note, first=f"{first}  ") if row.note else first.rstrip())
    lines.append(paragraph(_infeed(sizes.infeed)))
    if sizes.over_wires is not None:
        lines.append(paragraph(_over_wires(sizes.over_wires)))
    return lines


def _infeed(cut: Infeed) -> str:
    shows = "the diameter" if cut.dial == "diameter" else "the tool's travel"
    text = (
        f"Depth of the outer thread {cut.depth_mm:.3f} mm: straight in, a cross-slide that shows {shows} "
        "moves by "
        f"{cut.dial_reading_mm:.3f} mm"
    )
    if cut.divisions is not None and cut.division_mm is not None:
        text += f", {cut.divisions:.1f} divisions of {cut.division_mm:g} mm"
    text += (
        f"; along the flank, the top slide set over {cut.flank_angle:g} deg travels "
        f"{cut.along_flank_mm:.3f} mm"
    )
    if cut.along_flank_divisions is not None:
        text += f", {cut.along_flank_divisions:.1f} of the same divisions if it has them"
    return f"{text}. The size over wires decides, not the dial."


def _over_wires(over: OverWires) -> str:
    held = f"at hand; best {over.best_mm:.3f} mm" if over.at_hand else "the best size"
    return (
        f"Over three wires of {over.wire_mm:.3f} mm ({held}, {over.allowed_mm[0]:.3f} to "
        f"{over.allowed_mm[1]:.3f} mm will do): {over.low:.3f} to {over.high:.3f} mm."
    )


def _operations(made: Making) -> list[str]:
    lines = []
    number = 0
    for (where, setting), steps in groupby(made.operations, key=lambda one: (one.where, one.setting)):
        lines.append(f"{where[0].upper()}{where[1:]}: {setting}")
        for one in steps:
            number += 1
            lines.append(paragraph(one.text, first=f"  {number:>2}  "))
    return lines


def train_lines(found: Trains) -> list[str]:
    """The best trains of change wheels for one thread.

    Parameters
    ----------
    found : Trains
        The trains, and how to run the lathe with them.
    """
    lines = [heading(f"Change wheels for {found.thread} on a leadscrew of {found.leadscrew}")]
    judged = {True: "fits", False: "does not fit", None: "no limits to judge it by"}
    rows = [
        (str(one), f"{float(one.lead):.5f} mm", f"{one.error_ppm:+.0f} ppm", judged[one.fits])
        for one in found.trains
    ]
    lines += columns(rows, right=[2])
    lines.append(paragraph("Each pair is driver over driven, from the spindle to the leadscrew."))
    if found.permitted_ppm is not None:
        lines.append(
            paragraph(
                f"Over {found.engagement_mm:.1f} mm the thread's clearance takes up "
                f"{found.permitted_ppm:.0f} ppm."
            )
        )
    return [*lines, paragraph(found.half_nuts)]


def _fixing(fixing: Fixing) -> list[str]:
    bond = fixing.compound
    low, high = bond.torque_Nm
    lines = [
        fixing.undoing,
        f"Retaining compound breaks away at about {low:.0f} to {high:.0f} N m: {bond.verdict}.",
        *bond.notes,
    ]
    pin = fixing.key_pin
    if pin is None:
        lines.append("No key pin finds room beside what is bored inside the bush, or beside its spigot.")
    else:
        stands = (
            f"{pin.torque_Nm:.1f} N m, estimated; {pin.gives_way} gives way first"
            if pin.torque_Nm
            else "no strength is counted, for the part has none to assume"
        )
        lines.append(
            f"Key pin {pin.diameter_mm:g} mm in the joint of the {pin.place}, drilled {pin.deep_mm:.1f} mm "
            f"deep, half in bush, half in part: {stands}. Where a hard and a soft metal meet, the drill "
            "wanders to the soft one: start it with a slot drill."
        )
    lines.append(fixing.together)
    lines += [fixing.staking, *fixing.metals]
    return _bullets(tuple(lines))
