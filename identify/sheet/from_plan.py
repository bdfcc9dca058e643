"""From the plan of a bush to its drawing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from threadwright.repair.making import work_up
from threadwright.repair.wish import Wish
from threadwright.sheet.plan_lists import bush_lists, hole_lists
from threadwright.sheet.plan_shape import Planned
from threadwright.sheet.wording import Words
from threadwright.tables.registry import find_thread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from threadwright.repair.making import Making
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.settle import RepairPlan
    from threadwright.sheet.drawing import BushDrawing, Title
    from threadwright.sheet.quantity import Unit

__all__ = ["bush_drawing", "doubts"]


def bush_drawing(
    answer: RepairPlan,
    *,
    title: Title,
    through: bool | None = None,
    boss_mm: float | None = None,
    floor_mm: float | None = None,
    unit: Unit = "mm",
    paper: str = "A4",
) -> BushDrawing:
    """What the leading plan asks for, as a drawing of bush and hole.

    Parameters
    ----------
    answer : RepairPlan
        With a leading plan.
    title : Title
        What stands in the title block; its metals are those of the plan.
    through : bool, optional
        Whether the hole goes through; None is "not known" and drawn blind.
    boss_mm : float, optional
        Outside diameter of the boss. [mm]
    floor_mm : float, optional
        Metal below the depth of a blind hole. [mm]
    unit : {"mm", "in"}
        Of the sizes written.
    paper : {"A4", "Letter"}
        Size of the pages.

    Returns
    -------
    BushDrawing
    """
    plan = answer.leading
    assert plan is not None
    inner = find_thread(plan.inner_thread)
    outer = replace(
        find_thread(plan.bush.outer_thread.designation), left_hand=plan.bush.outer_thread.left_hand
    )
    made = plan.making or work_up(plan, wish=Wish(through=through), inner=inner).making
    assert made is not None
    job = Planned(plan, made, outer, inner)
    words = Words(unit, tuple(one.designation for one in (outer, inner) if one.left_hand))
    shape = job.bush(title, job.hole(through=bool(through), boss_mm=boss_mm, floor_mm=floor_mm))
    return replace(
        shape,
        bush=bush_lists(plan, made, words),
        hole_lists=hole_lists(plan, made, words, boss_mm=boss_mm),
        verdict=words(_verdict(plan)),
        assumptions=tuple(map(words, plan.assumptions)),
        cautions=tuple(map(words, _cautions(plan, made))),
        not_settled=tuple(map(words, (*doubts(answer), *_open(made)))),
        unit=unit,
        paper=paper,
    )


def doubts(answer: RepairPlan) -> tuple[str, ...]:
    """What is in doubt about a plan, as sentences for the stamp; none if everything may be cut."""
    found = []
    for one in answer.decisions:
        if not one.settled:
            wanted = " or ".join(
                name if value == name else f"{value} for {name}" for name, value in one.wanted
            )
            found.append(f"{one.name[0].upper()}{one.name[1:]}: {wanted}.")
    if found and answer.settle_by is not None:
        found.append(f"Drawn for the most likely. To settle it, {answer.settle_by.action}.")
    return tuple(found)


def _open(made: Making) -> Iterator[str]:
    """What the mating part still has to tell, before a spigot is turned for it."""
    stands = made.locating.spigot
    if stands is not None and stands.measured is None:
        yield "Diameter of the spigot: measure the mating bore, at two depths and in two directions."
    if stands is not None and stands.projection is None:
        yield "Length of the spigot, here drawn at will: measure how deep the mating bore is."


def _cautions(plan: BushPlan, made: Making) -> tuple[str, ...]:
    """What the plan warns of, without what both pages say already of the bush's place."""
    placed = made.locating
    said = ["pulls the bush"] if any("pulls the bush" in text for text in placed.register.says) else []
    return tuple(text for text in plan.cautions if not any(one in text for one in said))


def _verdict(plan: BushPlan) -> str:
    text = f"{plan.verdict[0].upper()}{plan.verdict[1:]}: {plan.because}."
    if plan.allowed_clamp_kN is not None:
        asked, most = plan.torque_asked, plan.torque
        turn = asked or most
        load = f"the {asked.clamp_kN:.1f} kN asked for, at most" if asked else "at most"
        text += f" Clamp it with {load} {plan.allowed_clamp_kN:.1f} kN"
        text += "." if turn is None else f": {turn.dry_Nm:.1f} N m dry, {turn.oiled_Nm:.1f} N m oiled."
    return text
