"""The card of a thread as plain records: one fact a row for CSV, the same facts in groups for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from threadwright.card import Card
from threadwright.tables.listing import LENGTH_PLACES, Record
from threadwright.tables.numbers import format_decimal
from threadwright.tables.thread import MM_PER_INCH, Unit

__all__ = ["Fact", "card_dict", "card_records", "facts"]

_MM = {"mm": 1.0, "in": MM_PER_INCH}
Value = str | float | bool


class Fact(NamedTuple):
    """One fact of a card; lengths in mm and areas in mm2 until they are written."""

    block: str
    item: str
    """What of the block it belongs to: a drill, a hexagon; empty if there is one only."""
    side: str
    tolerance_class: str
    quantity: str
    value: Value
    unit: str
    """``"mm"`` and ``"mm2"`` are converted on request."""
    basis: str


def facts(card: Card) -> Iterator[Fact]:
    """Every fact of a card that is no basic size and no limit of the tables.

    Parameters
    ----------
    card : Card

    Yields
    ------
    Fact

    Examples
    --------
    >>> from threadwright.card import thread_card
    >>> from threadwright.tables.registry import find_thread
    >>> next(f for f in facts(thread_card(find_thread("M8"))) if f.block == "stress area")[5:]
    (36.6..., 'mm2', 'computed')
    """
    yield from _about(card)
    yield from _along(card)
    yield from _drills(card)
    yield from _wires(card)
    yield from _hexagons(card)
    for area in card.stress_areas:
        of = area.tolerance_class
        yield Fact("stress area", "", "external", of, "area", area.area, "mm2", "computed")
        yield Fact("stress area", "", "external", of, "taken_at", area.taken_at, "", "computed")
    if card.breaking is not None:
        head = ("breaking load", "unmarked", "external", "")
        yield Fact(*head, "load", card.breaking.load_kN, "kN", "from memory")
        yield Fact(*head, "strength", card.breaking.strength, "", "from memory")
    for side, found in card.look_alikes.items():
        for one in found:
            head = ("look-alike", one.designation, side, "")
            yield Fact(*head, "does", one.words(), "", "estimated")
            yield Fact(*head, "strength_left", one.strength_left, "", "estimated")
    for block, why in card.unknown.items():
        yield Fact("not known", block, "", "", "because", why, "", "")


def _about(card: Card) -> Iterator[Fact]:
    """Form, source and use."""
    thread, system, form = card.thread, card.system, card.thread.form
    seen = "table" if system.source.seen else "from memory"
    shape: dict[str, Value] = {
        "name": form.name,
        "depth_over_pitch": form.depth_over_pitch,
        "crest": form.crest_end,
        "root": form.root_end,
        "hand": "left" if thread.left_hand else "right",
    }
    if form.crest_radius > 0:
        shape["crest_radius_over_pitch"] = form.crest_radius
    for quantity, value in shape.items():
        yield Fact("form", "", "", "", quantity, value, "", thread.basis)
    yield Fact("use", "", "", "", "when_and_where", system.used, "", seen)
    yield Fact("use", "", "", "", "choice", float(thread.choice), "", seen)
    yield Fact("source", "", "", "", "document", system.source.document, "", seen)
    if system.source.note:
        yield Fact("source", "", "", "", "note", system.source.note, "", seen)
    for name in card.also:
        yield Fact("same metal", name, "", "", "designation", name, "", "computed")


def _along(card: Card) -> Iterator[Fact]:
    scale = card.thread.to_mm
    for plane in card.planes:
        for quantity in ("from_small_end", "major", "pitch_diameter", "minor"):
            value = getattr(plane, quantity)
            if value == value:
                head = ("along the axis", plane.name, "", "", quantity)
                yield Fact(*head, value * scale, "mm", card.thread.basis)


def _drills(card: Card) -> Iterator[Fact]:
    for bore in card.bores:
        head = ("bored hole", f"{100 * bore.share:.0f} %", "internal", "")
        yield Fact(*head, "diameter", bore.hole, "mm", "computed")
        for one in bore.drills:
            head = ("tapping drill", one.drill.name, "internal", "")
            yield Fact(*head, "diameter", one.drill.diameter, "mm", "from memory")
            yield Fact(*head, "engagement_basic", one.engagement.basic, "", "computed")
            if one.engagement.chart is not None:
                yield Fact(*head, "engagement_chart", one.engagement.chart, "", "computed")
            yield Fact(*head, "engagement_basis", one.engagement.basis, "", "computed")
            if one.within_limits is not None:
                yield Fact(*head, "within_limits", one.within_limits, "", "computed")
    for hole in card.clearance:
        head = ("clearance hole", hole.fit, "external", "")
        yield Fact(*head, "diameter", hole.diameter, "mm", hole.basis)
        yield Fact(*head, "source", hole.source, "", hole.basis)


def _wires(card: Card) -> Iterator[Fact]:
    sheet = card.wires
    if sheet is None:
        return
    for quantity in ("best", "least", "greatest"):
        yield Fact("wires", "", "external", "", quantity, getattr(sheet, quantity), "mm", "computed")
    for number, one in enumerate((sheet.basic, *sheet.classes)):
        if number and card.tolerance_class not in (None, one.tolerance_class):
            continue
        for way, sizes in (("over_three", one.three_wires), ("under_two", one.two_wires)):
            ends = (way,) if number == 0 else (f"{way}_min", f"{way}_max")
            for quantity, size in zip(ends, sizes, strict=False):
                item = "" if number else "basic"
                head = ("wires", item, "external", one.tolerance_class)
                yield Fact(*head, quantity, size, "mm", "computed")


def _hexagons(card: Card) -> Iterator[Fact]:
    for one in card.hexagons:
        scale = _MM[one.unit]
        head = ("hexagon", one.series, "", "")
        sizes = {"across_flats_max": one.across_flats_max, "across_flats_min": one.across_flats_min}
        for quantity, size in sizes.items():
            if size == size:
                yield Fact(*head, quantity, size * scale, "mm", one.basis)
        texts = {
            "spanner": one.spanner, "of": one.of, "standard": one.standard,
            "period": one.period, "source": one.source.document,
        }  # fmt: skip
        for quantity, text in texts.items():
            yield Fact(*head, quantity, text, "", one.basis)


def _converted(fact: Fact, unit: Unit) -> tuple[Value, str]:
    """Value and unit as they are written; booleans and texts as they are."""
    if isinstance(fact.value, str | bool):
        return fact.value, fact.unit
    power = {"mm": 1, "mm2": 2}.get(fact.unit, 0)
    if not power:
        return round(fact.value, 6), fact.unit
    return round(fact.value / _MM[unit] ** power, LENGTH_PLACES[unit]), fact.unit.replace("mm", unit)


def card_records(card: Card, unit: Unit) -> Iterator[Record]:
    """The facts of a card in the columns of the tables' export.

    Parameters
    ----------
    card : Card
    unit : {"mm", "in"}
        Unit of all lengths, and of areas in its square.

    Yields
    ------
    Record
        The quantity is block, item and quantity, parted by colons.

    Examples
    --------
    >>> from threadwright.card import thread_card
    >>> from threadwright.tables.registry import find_thread
    >>> rows = card_records(thread_card(find_thread("M8")), "mm")
    >>> next(row for row in rows if row.quantity.startswith("stress"))[4:]
    ('stress area:area', '36.608', 'mm2', 'computed')
    """
    thread = card.thread
    for fact in facts(card):
        value, written = _converted(fact, unit)
        if isinstance(value, bool):
            text = "yes" if value else "no"
        else:
            text = value if isinstance(value, str) else format_decimal(value, LENGTH_PLACES[unit])
        quantity = ":".join(part for part in (fact.block, fact.item, fact.quantity) if part)
        named = (thread.system, thread.designation, fact.side, fact.tolerance_class)
        yield Record(*named, quantity, text, written, fact.basis)


def card_dict(card: Card, unit: Unit) -> dict[str, Any]:
    """The facts of a card as plain data: by block, a list with one entry for each item, side and class.

    Parameters
    ----------
    card : Card
    unit : {"mm", "in"}
        Unit of all lengths, and of areas in its square.

    Examples
    --------
    >>> from threadwright.card import thread_card
    >>> from threadwright.tables.registry import find_thread
    >>> card_dict(thread_card(find_thread("M8")), "in")["stress_area"][0]["area"]
    0.05674251
    """
    blocks: dict[str, dict[tuple[str, str, str], dict[str, Any]]] = {}
    for fact in facts(card):
        value, _ = _converted(fact, unit)
        found = blocks.setdefault(fact.block.replace(" ", "_").replace("-", "_"), {})
        key = (fact.item, fact.side, fact.tolerance_class)
        entry = found.setdefault(
            key, {"item": key[0], "side": key[1], "tolerance_class": key[2], "basis": {}}
        )
        entry[fact.quantity] = value
        entry["basis"][fact.quantity] = fact.basis
    return {"unit": unit, **{block: list(entries.values()) for block, entries in blocks.items()}}
