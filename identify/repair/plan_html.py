"""A repair plan in a notebook: plain tables, every text in them escaped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from threadwright.notebook import share
from threadwright.tables.html import table_html

if TYPE_CHECKING:
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.settle import Decision, RepairPlan

__all__ = ["bush_plan_html", "repair_plan_html"]


def bush_plan_html(plan: BushPlan) -> str:
    """What to make, what it carries, and what to take care of.

    Parameters
    ----------
    plan : BushPlan

    Returns
    -------
    str
        One table.
    """
    bush, outer = plan.bush, plan.bush.outer_thread
    rows = [
        ("outer thread", outer.designation),
        ("inner thread", plan.inner_thread),
        ("metal", bush.material),
        ("length", f"{bush.length_mm:g} mm"),
        ("wall", f"{bush.wall_mm:.3f} mm, least {bush.least_wall_mm:.2f} mm"),
        ("tapping drill in the part", f"{outer.tapping_drill_mm:.2f} mm"),
        ("tapping drill in the bush", f"{bush.inner_tapping_drill_mm:.2f} mm"),
        ("verdict", f"{plan.verdict}: {plan.because}"),
        *(("caution", caution) for caution in plan.cautions),
    ]
    return table_html(rows, caption=f"Bush for {plan.inner_thread} in {plan.parent}")


def repair_plan_html(plan: RepairPlan) -> str:
    """The doubt about the thread, what may be cut now, the ways to repair the hole, and each plan.

    Parameters
    ----------
    plan : RepairPlan

    Returns
    -------
    str
        Tables, one below the other.
    """
    parts = [] if plan.identification is None else [plan.identification._repr_html_()]
    if not plan.settled:
        decisions = [
            (one.name, "yes" if one.settled else "NOT SETTLED", _wanted(one)) for one in plan.decisions
        ]
        parts.append(table_html(decisions, header=("", "may be cut now", "wanted")))
    ways = [(one.name, one.sentence) for one in plan.routes if one.offered]
    if ways:
        parts.append(table_html(ways, caption="Ways to repair the hole, best first"))
    for one in plan.plans:
        if one.plan is not None:
            parts.append(one.plan._repr_html_())
        else:
            title = f"{one.designation}, probability {share(one.probability)}"
            parts.append(table_html([("no bush", one.refused_because)], caption=title))
    return "".join(parts)


def _wanted(one: Decision) -> str:
    """What each candidate asks for; once, where they agree."""
    if one.settled:
        return one.wanted[0][1]
    return "; ".join(value if value == name else f"{value} for {name}" for name, value in one.wanted)
