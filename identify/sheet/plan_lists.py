"""What a plan says beside the drawing: sizes by name, operations, inspection, place and fixing."""

from __future__ import annotations

import math
from itertools import groupby
from typing import TYPE_CHECKING, Final

from threadwright import judgement
from threadwright.sheet.drawing import Inspection, Lists, Size, SizeRow, Texts
from threadwright.sheet.quantity import number
from threadwright.tables.hexagons import hexagons_for
from threadwright.tables.registry import find_thread

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from threadwright.repair.making import Making
    from threadwright.repair.operations import Operation
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.size import Part
    from threadwright.repair.size import Size as PlanSize
    from threadwright.sheet.wording import Words

__all__ = ["DIAMETERS", "bush_lists", "drawn_size", "hole_lists"]

_NAMES: Final[Mapping[str, str]] = {
    "counterbore_depth": "depth of the counterbore",
    "mouth_relief_diameter": "relief at its mouth",
    "mouth_relief_depth": "depth of the relief",
    "pilot_bore_depth": "depth of the pilot's bore",
    "thread_depth": "full thread to",
    "collar_edge": "lower edge of the collar",
    "projection": "spigot stands out",
    "inner_thread_length": "inner thread",
    "outer_major": "outer thread, major",
    "outer_pitch_diameter": "outer thread, pitch diameter",
    "outer_root": "outer thread, root",
    "outer_thread_length": "outer thread, length",
    "undercut_diameter": "undercut",
    "undercut_width": "width of the undercut",
    "clearance_bore": "clearance bore",
    "clearance_bore_depth": "depth of that bore",
    "below_shoulder": "shoulder to lower end",
    "driving_washer": "washer under its nut",
    "driving_screw": "driving screw's thread",
}
DIAMETERS: Final = frozenset(
    (
        "counterbore_diameter",
        "mouth_relief_diameter",
        "tapping_hole",
        "pilot_bore",
        "countersink_diameter",
        "stock_diameter",
        "register_diameter",
        "spigot_diameter",
        "clearance_bore",
        "inner_tapping_hole",
        "inner_countersink",
        "outer_major",
        "die_blank",
        "outer_pitch_diameter",
        "outer_root",
        "undercut_diameter",
        "lead_chamfer",
    )
)
"""Keys of sizes that are diameters."""
_COARSE: Final = frozenset(
    (
        "undercut_width",
        "undercut_diameter",
        "lead_chamfer",
        "inner_countersink",
        "countersink_diameter",
        "clearance_bore",
        "clearance_bore_depth",
        "below_shoulder",
        "overall_length",
        "collar_edge",
        "mouth_relief_diameter",
        "mouth_relief_depth",
        "inner_thread_length",
        "outer_thread_length",
        "screw_reach",
        "thread_depth",
        "tapping_depth",
    )
)
"""Keys of sizes that a caliper is good enough for."""
_ELSEWHERE: Final = frozenset(
    (
        "stock_diameter",
        "register_diameter",
        "spigot_diameter",
        "projection",
        "collar_length",
        "below_shoulder",
        "shoulder_to_spigot_end",
        "overall_length",
        "length",
        "pilot_length",
        "undercut_diameter",
        "undercut_width",
        "clearance_bore",
        "clearance_bore_depth",
        "inner_countersink",
        "lead_chamfer",
        "outer_major",
        "outer_pitch_diameter",
        "counterbore_diameter",
        "counterbore_depth",
        "mouth_relief_diameter",
        "mouth_relief_depth",
        "countersink_diameter",
        "thread_depth",
        "pilot_bore",
        "driving_width",
        "driving_depth",
        "driving_spacing",
    )
)
"""Keys of sizes that stand in the view or in the inspection; all others are in the table."""
_MEASURED: Final[Mapping[Part, tuple[str, ...]]] = {
    "bush": (
        "register_diameter",
        "spigot_diameter",
        "collar_length",
        "shoulder_to_spigot_end",
        "below_shoulder",
        "length",
        "pilot_length",
        "undercut_diameter",
        "outer_major",
        "outer_pitch_diameter",
    ),
    "hole": (
        "counterbore_diameter",
        "counterbore_depth",
        "mouth_relief_diameter",
        "tapping_hole",
        "pilot_bore",
        "thread_depth",
        "tapping_depth",
    ),
}


def drawn_size(size: PlanSize, note: str = "") -> Size:
    """A size of the plan as the sheet writes it; one limit alone is a least or greatest size.

    Examples
    --------
    >>> from threadwright.repair.size import Size as PlanSize
    >>> drawn_size(PlanSize(key="root", name="root", part="bush", low=9.0, high=None)).words("mm")
    '9 min'
    """
    low, high, coarse = size.low, size.high, size.key in _COARSE
    if low is None or high is None:
        known = high if low is None else low
        assert known is not None
        return Size(known, note=f"{'max' if low is None else 'min'} {note}".strip(), coarse=coarse)
    if math.isclose(low, high, abs_tol=5e-7):
        return Size(low, note=note, coarse=coarse)
    return Size((low + high) / 2, low, high, note, coarse)


def _row(size: PlanSize, words: Words) -> SizeRow:
    shown: Size | str = size.text if size.unit == "deg" else drawn_size(size)
    name = words(_NAMES.get(size.key, size.name))
    return SizeRow(name=name, size=shown, diameter=size.key in DIAMETERS, note=words(size.note))


def _steps(operations: Iterable[Operation], words: Words, first: int) -> Iterator[Texts]:
    """Operations under the setting they are done in, numbered on."""
    for (where, setting), steps in groupby(operations, key=lambda one: (one.where, one.setting)):
        texts = tuple(words(one.text) for one in steps)
        yield Texts(heading=f"{where[0].upper()}{where[1:]}: {setting}", texts=texts, first=first)
        first += len(texts)


def _inspections(made: Making, part: Part, words: Words) -> Iterator[Inspection]:
    """Sizes to be measured; the size over wires stands for the pitch diameter."""
    found = {row.key: row for row in made.sizes.of(part)}
    wired = made.sizes.over_wires is not None
    for key in _MEASURED[part]:
        if key in found and not (wired and key == "outer_pitch_diameter"):
            name = words(_NAMES.get(key, found[key].name))
            if key == "register_diameter" and made.locating.register.locates:
                name = f"{name}, the register"
            through = found[key].note == "through"
            wanted: Size | str = "right through" if through else drawn_size(found[key])
            name = name.removesuffix(" to") if through else name
            yield Inspection(name=name, wanted=wanted, diameter=key in DIAMETERS)


def bush_lists(plan: BushPlan, made: Making, words: Words) -> Lists:
    """Place, sizes, operations and inspection of the bush.

    Parameters
    ----------
    plan : BushPlan
        The bush.
    made : Making
        How it is made.
    words : Words
        How the sheet writes its sentences.

    Returns
    -------
    Lists
    """
    rows = [_row(row, words) for row in made.sizes.of("bush") if row.key not in _ELSEWHERE]
    wall, least = (number(size, words.unit) for size in (plan.bush.wall_mm, plan.bush.least_wall_mm))
    note = f"at the worst limits; {least} is the least"
    rows.append(SizeRow(name="wall of the bush", size=wall, note=note))
    steps = _steps((one for one in made.operations if one.where == "bush"), words, 1)
    return Lists(
        says=(Texts(heading="What it does and does not do", texts=tuple(map(words, _bush_says(made)))),),
        sizes=(*rows, *_jam_nut(plan, made, words), *_infeed(made, words), *_wheels(made)),
        operations=tuple(steps),
        inspections=(*_inspections(made, "bush", words), *_checks(made, words)),
    )


def _bush_says(made: Making) -> Iterator[str]:
    """What the drawing of the bush cannot show: what locates, what pulls, the relief, the spigot's fit."""
    placed = made.locating
    yield from (text for text in placed.register.says if "setting" not in text)
    if not placed.zones.inside and placed.zones.net_section_kN is not None:
        yield (
            "The screw also engages above the outer thread: the neck between them stands "
            f"{placed.zones.net_section_kN:.1f} kN."
        )
    if placed.relief is not None:
        yield placed.relief.says
    if placed.spigot is not None:
        yield from placed.spigot.notes


def _jam_nut(plan: BushPlan, made: Making, words: Words) -> Iterator[SizeRow]:
    """Screw and nut that the bush is driven by, and their spanner."""
    if made.locating.driving.kind != "jam nut":
        return
    known = hexagons_for(find_thread(plan.inner_thread))
    note = words(plan.inner_thread) + (f", spanner {known[0].spanner}" if known else "")
    yield SizeRow(name="driven by", size="screw and jam nut", note=note)


def _infeed(made: Making, words: Words) -> Iterator[SizeRow]:
    """Depth of cut on the slides' own graduations."""
    cut = made.sizes.infeed
    shows = "the diameter" if cut.dial == "diameter" else "the travel"
    straight, along = number(cut.dial_reading_mm, words.unit), number(cut.along_flank_mm, words.unit)
    if cut.divisions is not None and cut.along_flank_divisions is not None:
        straight += f" = {cut.divisions:.1f} divisions"
        along += f" = {cut.along_flank_divisions:.1f} divisions"
    yield SizeRow(name="infeed straight", size=straight, note=f"cross-slide showing {shows}")
    yield SizeRow(name="infeed along the flank", size=along, note=f"top slide over {cut.flank_angle:g}°")


def _wheels(made: Making) -> Iterator[SizeRow]:
    """The best change wheels that fit, and how to run the half-nuts."""
    found = made.change_wheels
    if found is None or not found.trains:
        return
    best = found.trains[0]
    judged = {True: "fits", False: "does not fit", None: "not judged"}[best.fits]
    half_nuts = {"Keep": "keep the half-nuts closed", "Close": "half-nuts by the thread dial"}.get(
        found.half_nuts.split(" ")[0], "half-nuts as you like"
    )
    note = f"{best.error_ppm:+.0f} ppm, {judged}; {half_nuts}"
    yield SizeRow(name="change wheels", size=str(best), note=note)


def _checks(made: Making, words: Words) -> Iterator[Inspection]:
    """What is measured with more than a caliper, or tried."""
    over, placed = made.sizes.over_wires, made.locating
    if over is not None:
        sizes = (over.wire_mm, over.best_mm, *over.allowed_mm)
        wire, best, low, high = (number(size, words.unit) for size in sizes)
        held = f"{wire} (best {best}; {low} to {high} will do)" if over.at_hand else f"{best} (the best size)"
        name = f"over three wires of {held}"
        yield Inspection(name=name, wanted=Size(over.low, over.low, over.high))
    if placed.spigot is not None:
        runout = Size(judgement.SPIGOT_RUNOUT_MM, note="max")
        yield Inspection(name="runout, spigot to register", wanted=runout)
    yield Inspection(name="the real screw", wanted="runs in by hand")


def hole_lists(plan: BushPlan, made: Making, words: Words, *, boss_mm: float | None = None) -> Lists:
    """Sizes, operations, fitting, fixing and inspection of the hole.

    Parameters
    ----------
    plan : BushPlan
        The bush.
    made : Making
        How it is made.
    words : Words
        How the sheet writes its sentences.
    boss_mm : float, optional
        Outside diameter of the boss. [mm]

    Returns
    -------
    Lists
    """
    rows = [_row(row, words) for row in made.sizes.of("hole") if row.key not in _ELSEWHERE]
    tap = {"drawer": "tap from the drawer", "usual": "usual tap", "special": "special tap"}
    thread = plan.bush.outer_thread
    rows.append(SizeRow(name="tap", size=thread.designation, note=tap[thread.tap]))
    if boss_mm is not None:
        rows.append(SizeRow(name="boss", size=Size(boss_mm), diameter=True))
    if plan.edge_mm is not None:
        rows.append(SizeRow(name="middle to the nearest edge", size=Size(plan.edge_mm)))
    steps = (one for one in made.operations if one.where != "bush")
    place = tuple(map(words, made.locating.register.says))
    return Lists(
        says=(Texts(heading="How the bush finds its place", texts=place),),
        sizes=tuple(rows),
        operations=(
            *_steps(steps, words, 1),
            Texts(heading="Fixing", texts=tuple(map(words, _fixing(made)))),
        ),
        inspections=(*_inspections(made, "hole", words), *_fitted(made)),
    )


def _fitted(made: Making) -> Iterator[Inspection]:
    """What is measured when the bush is home."""
    chain = made.locating.chain
    if chain is not None:
        depth = -chain.flush[0]
        yield Inspection(name="collar below the face", wanted=Size(depth, note="max, never proud"))
        if chain.projection is not None:
            low, high = chain.projection
            yield Inspection(name="spigot stands out", wanted=Size((low + high) / 2, low, high))
    yield Inspection(name="bush in the tapped hole", wanted="runs in by hand")


def _fixing(made: Making) -> Iterator[str]:
    """How the bush is kept from turning, in few words."""
    fixing = made.fixing
    low, high = fixing.compound.torque_Nm
    yield fixing.undoing
    yield f"Retaining compound breaks away at about {low:.0f} to {high:.0f} N m: {fixing.compound.verdict}."
    yield from (text for text in fixing.compound.notes if not text.startswith("Clean"))
    pin = fixing.key_pin
    if pin is not None and not fixing.compound.alone:
        stands = (
            f"{pin.torque_Nm:.1f} N m, estimated; {pin.gives_way} gives way first"
            if pin.torque_Nm
            else "no strength is counted, for the part has none to assume"
        )
        yield (
            f"Key pin {pin.diameter_mm:g} mm in the joint of the {pin.place}, {pin.deep_mm:.1f} mm deep, "
            f"half in bush, half in part: {stands}."
        )
    yield fixing.together
    yield fixing.staking
    yield from fixing.metals
