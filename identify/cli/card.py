"""The card of one thread as a person reads it, at 80 columns."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from threadwright.cli.format import columns, heading, length, paragraph, width
from threadwright.tables.drills import CHART_DEPTH
from threadwright.tables.numbers import format_decimal

if TYPE_CHECKING:
    from threadwright.card import Bore, Card
    from threadwright.tables.drills import TappingDrill
    from threadwright.tables.hexagons import Hexagon
    from threadwright.tables.listing import Record
    from threadwright.tables.thread import Unit

__all__ = ["card_lines", "cut"]

_LENGTHS = ("major", "pitch_diameter", "minor")
_UNIT_WORDS = {"mm": "mm", "in": "inches"}
_MM = {"mm": 1.0, "in": 25.4}
_WIDEST = 80
_MIXED = "mixed"
_NO_BREAK = "\u00a0"
_OF = {"head": "head", "nut": "nut", "both": "head and nut"}
_CHOICES = {2: "Second choice of its standard.", 3: "Third choice of its standard, or not for new work."}


def card_lines(card: Card, records: list[Record], unit: Unit) -> list[str]:
    """Everything that is known of one thread, block by block, each with its basis.

    Parameters
    ----------
    card : Card
    records : list of Record
        Basic sizes and limits, in the unit asked for.
    unit : {"mm", "in"}
        Unit of all lengths.
    """
    lines = [*_sizes(card, records, unit), *_along(card, unit), *_limits(card, records, unit)]
    source = card.system.source
    note = f" Note: {source.note}." if source.note else ""
    unread = "" if source.seen else " From memory, not read in print."
    lines.append(paragraph(f"Source: {source.document}.{note}{unread}"))
    return [
        *lines,
        *_drills(card, unit),
        *_clearance(card, unit),
        *_wires(card, unit),
        *_hexagons(card, unit),
        *_stress(card, unit),
        paragraph(f"In use: {card.system.used} {_CHOICES.get(card.thread.choice, '')}".rstrip()),
        *_mistaken(card),
        paragraph(f'Near it in diameter: threadwright table --around "{_major(card, unit)} {unit}"'),
    ]


def _major(card: Card, unit: Unit) -> str:
    return format_decimal(float(length(card.thread.major_basic * card.thread.to_mm, unit)))


def cut(number: str) -> str:
    """A number at no more than five decimals, for reading."""
    return format_decimal(float(number), 5) if number else ""


def _sizes(card: Card, records: list[Record], unit: Unit) -> list[str]:
    """Name, pitch, form and basic sizes."""
    entry = card.system
    value = {record.quantity: record.value for record in records if record.side == "basic"}
    pitch = f"pitch {cut(value['pitch'])} {unit}" + (f" ({value['tpi']} tpi)" if "tpi" in value else "")
    if value["starts"] != "1":
        lead = cut(str(float(value["starts"]) * float(value["pitch"])))
        pitch += f", {value['starts']} starts, lead {lead} {unit}"
    hand = ", left hand" if card.thread.left_hand else ""
    basic = ", ".join(f"{name.replace('_', ' ')} {cut(value[f'{name}_basic'])}" for name in _LENGTHS)
    lines = [
        heading(f"{records[0].designation}  {entry.title}, {_flanks(value)}{hand}"),
        paragraph(f"{pitch}; basic sizes: {basic} {unit}"),
        paragraph(f"Form: {_form(card)} (form and basic sizes {card.thread.basis})"),
    ]
    if card.also:
        lines.append(paragraph(f"The same metal: {', '.join(card.also)}."))
    if entry.taper:
        gauge = value.get("gauge_length")
        where = f", {cut(gauge)} {unit} from the small end" if gauge else ""
        lines.append(paragraph(f"taper 1 in {1 / entry.taper}; sizes at the gauge plane{where}"))
    return lines


def _flanks(value: dict[str, str]) -> str:
    """The flank angle in words, or both of an asymmetric form."""
    if "flank_angle" in value:
        return f"flank angle {cut(value['flank_angle'])} deg"
    return f"flanks {value['flank_angle_load']} deg (load) and {value['flank_angle_clear']} deg (clear)"


def _form(card: Card) -> str:
    form = card.thread.form
    ends = f"crest {form.crest_end}, root {form.root_end}"
    if form.crest_end == form.root_end:
        ends = f"crest and root {form.crest_end}"
    if form.crest_radius > 0:
        ends += f" (radius of the crest {form.crest_radius:.4f} P)"
    return f"{form.name}, {ends}, basic depth {form.depth_over_pitch:.4f} P"


def _along(card: Card, unit: Unit) -> list[str]:
    """Sizes of a taper thread at the places that its standard names."""
    if "along the axis" in card.unknown:
        return [paragraph(f"Along the axis: {card.unknown['along the axis']}.")]
    if not card.planes:
        return []
    scale = card.thread.to_mm
    rows: list[tuple[str, ...]] = [("place", "from small end", "major", "pitch diameter", "minor")]
    for plane in card.planes:
        name = "gauge plane, hand-tight" if plane.name == "gauge plane" else plane.name
        rows.append((name, *(length(size * scale, unit) for size in plane[1:])))
    head, *lines = columns(rows, within=width())
    inside = "; a hole is widest at its mouth" if "internal" in card.thread.sides else ""
    said = f"Along the axis in {_UNIT_WORDS[unit]} ({card.thread.basis}){inside}:"
    return [paragraph(said), heading(head), *lines]


def _limits(card: Card, records: list[Record], unit: Unit) -> list[str]:
    if "limits" in card.unknown:
        return [paragraph(f"Limits: {card.unknown['limits']}.")]
    for places in (5, 4, 3):
        rows = _limit_rows(records, places)
        head, *lines = columns(rows, within=width())
        if max(map(len, lines)) <= _WIDEST:
            break
    found = [paragraph(f"Limits in {_UNIT_WORDS[unit]}, least to greatest:"), heading(head), *lines]
    if any(row[-1] == _MIXED for row in rows):
        bases = sorted({record.basis for record in records if record.side != "basic"})
        found.append(
            paragraph(f"Mixed: {' and '.join(bases)}; --csv has the basis of each value.", first="  ")
        )
    return found


def _limit_rows(one: list[Record], most: int) -> list[tuple[str, ...]]:
    """One row for each side and class, all numbers at the same decimals, ``most`` at most."""
    limits: dict[tuple[str, str], list[Record]] = {}
    for record in one:
        if record.side != "basic":
            limits.setdefault((record.side, record.tolerance_class), []).append(record)
    places = max((len(record.value.partition(".")[2]) for record in one if record.side != "basic"), default=0)
    rows: list[tuple[str, ...]] = [("side", "class", "major", "pitch diameter", "minor", "basis")]
    for key, group in limits.items():
        found = {record.quantity: record.value for record in group}
        ranges = (_range(found, name, min(places, most)) for name in _LENGTHS)
        bases = {record.basis for record in group}
        rows.append((*key, *ranges, bases.pop() if len(bases) == 1 else _MIXED))
    return rows


def _range(found: dict[str, str], name: str, places: int) -> str:
    """Least to greatest, or the one limit that the standard gives."""
    ends = [found.get(f"{name}_{end}") for end in ("min", "max")]
    least, most = (None if text is None else f"{float(text):.{places}f}" for text in ends)
    if least and most:
        return f"{least}-{most}"
    return f"from {least}" if least else f"to {most}" if most else "-"


def _drills(card: Card, unit: Unit) -> list[str]:
    if "tapping drills" in card.unknown:
        return [paragraph(f"Tapping drills: {card.unknown['tapping drills']}.")]
    depth = f"the basic depth, {card.thread.form.depth_over_pitch:.4f} P"
    said = f"Tapping drills, with the share that they leave of {depth}"
    if card.thread.taper:
        said += ", at the small end"
    if _has_chart(card):
        said += f" (in brackets: of {CHART_DEPTH:.4f} P, as most printed charts have it)"
    if any(one.within_limits for bore in card.bores for one in bore.drills):
        named = card.thread.limits("internal").tolerance_class
        said += f"; * lies inside the limits of the hole{f', class {named}' if named else ''}"
    lines = [paragraph(f"{said}:")]
    lines += [_bore(bore, unit, chart=_has_chart(card)) for bore in card.bores]
    return [*lines, paragraph("Drill sizes are from memory, the holes and shares computed.", first="  ")]


def _has_chart(card: Card) -> bool:
    """Whether printed charts count another depth than the form has, and one that the form reaches."""
    shares = [one.engagement.chart for bore in card.bores for one in bore.drills]
    return card.thread.form.depth_over_pitch < CHART_DEPTH - 1e-6 and bool(shares) and None not in shares


def _bore(bore: Bore, unit: Unit, *, chart: bool) -> str:
    first = f"  {100 * bore.share:.0f} %  hole {length(bore.hole, unit)} {unit}: "
    named = ", ".join(_drill(one, chart=chart).replace(" ", _NO_BREAK) for one in bore.drills)
    return paragraph(named or "no drill comes near: bore it", first=first).replace(_NO_BREAK, " ")


def _drill(one: TappingDrill, *, chart: bool) -> str:
    """A drill with its engagement; figures and marks keep together."""
    inside = "*" if one.within_limits else ""
    printed = one.engagement.chart
    brackets = f" ({100 * printed:.0f})" if chart and printed is not None else ""
    return f"{one.drill.name}{inside} {100 * one.engagement.basic:.0f} %{brackets}"


def _clearance(card: Card, unit: Unit) -> list[str]:
    if not card.clearance:
        return [paragraph(f"Clearance holes: {card.unknown['clearance holes']}.")]
    sizes = ", ".join(f"{length(hole.diameter, unit)} {hole.fit}" for hole in card.clearance)
    first = card.clearance[0]
    return [paragraph(f"Clearance holes in {_UNIT_WORDS[unit]}: {sizes} ({first.basis}: {first.source}).")]


def _wires(card: Card, unit: Unit) -> list[str]:
    sheet = card.wires
    if sheet is None:
        return [paragraph(f"Wires: {card.unknown['wires']}.")]
    shown = [
        one
        for one in (sheet.basic, *sheet.classes)
        if one is sheet.basic or card.tolerance_class in (None, one.tolerance_class)
    ]
    rows: list[tuple[str, ...]] = [("class", "over three wires", "under two wires")]
    for one in shown:
        ranges = (
            "-".join(dict.fromkeys(length(end, unit) for end in ends))
            for ends in (one.three_wires, one.two_wires)
        )
        rows.append(("basic" if one is sheet.basic else one.tolerance_class or "limits", *ranges))
    head, *lines = columns(rows, within=width())
    taper = ", at the gauge plane, the tilt of the wires not counted" if card.thread.taper else ""
    said = (
        f"Wires: best {length(sheet.best, unit)}, usable {length(sheet.least, unit)} to "
        f"{length(sheet.greatest, unit)} {unit}. Size over the best wires in {_UNIT_WORDS[unit]}, the slope "
        f"of the thread counted{taper} (computed):"
    )
    return [paragraph(said), heading(head), *lines]


def _hexagons(card: Card, unit: Unit) -> list[str]:
    if not card.hexagons:
        return [paragraph(f"Hexagon across flats: {card.unknown['hexagons']}.")]
    sizes = [_across(one, unit) for one in card.hexagons]
    widest = max(map(len, sizes))
    lines = [paragraph(f"Hexagon across flats in {_UNIT_WORDS[unit]}, by standard and period:")]
    for one, size in zip(card.hexagons, sizes, strict=True):
        text = f"{one.spanner}, {_OF[one.of]}: {one.standard}; {one.period} ({_basis(one)})"
        lines.append(paragraph(text, first=f"  {size:<{widest}}  "))
    return lines


def _across(one: Hexagon, unit: Unit) -> str:
    scale = _MM[one.unit]
    ends = [size for size in (one.across_flats_min, one.across_flats_max) if math.isfinite(size)]
    return "-".join(length(size * scale, unit) for size in ends)


def _basis(one: Hexagon) -> str:
    return one.basis if one.basis == "from memory" else f"{one.basis}: {one.source.document}"


def _stress(card: Card, unit: Unit) -> list[str]:
    if not card.stress_areas:
        return [paragraph(f"Stress area: {card.unknown['stress area']}.")]
    places = {"mm": 2, "in": 4}[unit] + (2 if card.stress_areas[0].area < 1 else 0)
    areas = [f"{area.area / _MM[unit] ** 2:.{places}f} {unit}2" for area in card.stress_areas]
    if card.stress_areas[0].tolerance_class:
        pairs = zip(areas, card.stress_areas, strict=True)
        areas = [f"{text} ({area.tolerance_class})" for text, area in pairs]
    mean = {"basic": "the basic", "least": "each class's least"}[card.stress_areas[0].taken_at]
    said = f"{', '.join(areas)}, on the mean of {mean} pitch and root diameters (computed)"
    load = ""
    if card.breaking is not None:
        kilonewtons = float(f"{card.breaking.load_kN:.3g}")
        load = f" Of unmarked steel, {card.breaking.strength}, it breaks at {kilonewtons:g} kN."
    return [paragraph(f"Stress area of a solid screw: {said}.{load}")]


def _mistaken(card: Card) -> list[str]:
    from threadwright.dangers import warning_text

    said = [warning_text(card.thread, side, found) for side, found in card.look_alikes.items()]
    lines = [paragraph(text, first="  ") for text in said if text]
    if not lines:
        return [
            paragraph("Mistaken for: no thread of the tables starts by hand here and then binds or strips.")
        ]
    head = "Mistaken for (estimated, as rigid pairs at basic sizes and at the loosest limits):"
    return [paragraph(head), *lines]
