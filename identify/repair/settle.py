"""A repair for a thread that is perhaps not settled: what may be cut now, and what must wait.

The bush is worked out for every candidate that is still likely. What all of them share may be cut;
what differs is not settled, and the reading that would settle it is named.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from threadwright import judgement
from threadwright.next_reading import Suggestion, settling_reading
from threadwright.repair.candidates import named
from threadwright.repair.plan import BushPlan
from threadwright.tables.errors import JobError

if TYPE_CHECKING:
    from threadwright.ranking import Identification
    from threadwright.repair.route import Route
    from threadwright.tables.thread import Thread

__all__ = ["CandidatePlan", "Decision", "RepairPlan", "plan_for_identification", "plan_for_thread"]

# What is decided by cutting: name, and its value in a plan.
_DECISIONS: tuple[tuple[str, Callable[[BushPlan], str]], ...] = (
    ("outer thread of the bush", lambda plan: plan.bush.outer_thread.designation),
    ("tapping drill in the part", lambda plan: f"{plan.bush.outer_thread.tapping_drill_mm:.2f} mm"),
    ("length of the bush", lambda plan: f"{plan.bush.length_mm:g} mm"),
    ("inner thread of the bush", lambda plan: plan.inner_thread),
    ("tapping drill in the bush", lambda plan: f"{plan.bush.inner_tapping_drill_mm:.2f} mm"),
)
_OF_THE_INNER_THREAD = ("inner thread of the bush", "tapping drill in the bush")


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidatePlan:
    """The plan for one candidate; without one, ``refused_because`` tells why no bush fits."""

    designation: str
    probability: float
    plan: BushPlan | None
    refused_because: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "designation": self.designation,
            "probability": self.probability,
            "plan": None if self.plan is None else self.plan.to_dict(),
            "refused_because": self.refused_because,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One thing to cut, and what each candidate asks for: pairs of designation and value."""

    name: str
    wanted: tuple[tuple[str, str], ...]
    settled: bool

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        wanted = [{"designation": name, "value": value} for name, value in self.wanted]
        return {"name": self.name, "settled": self.settled, "wanted": wanted}


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairPlan:
    """Plans for all likely candidates, the most probable first, and what they agree on.

    ``identification`` is None for a thread that was named, not identified. ``plans`` is empty where
    no thread of the tables fits the readings.
    """

    identification: Identification | None
    plans: tuple[CandidatePlan, ...]
    decisions: tuple[Decision, ...]
    settle_by: Suggestion | None
    routes: tuple[Route, ...] = ()
    """Every way to repair the hole, for the most probable candidate; best first."""

    @property
    def leading(self) -> BushPlan | None:
        """Plan of the most probable candidate that has one."""
        return next((one.plan for one in self.plans if one.plan is not None), None)

    @property
    def settled(self) -> bool:
        """Whether everything may be cut."""
        return all(one.settled for one in self.decisions)

    def _repr_html_(self) -> str:
        """The plans as tables, for a notebook."""
        from threadwright.repair.plan_html import repair_plan_html

        return repair_plan_html(self)

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON: the leading plan, and beside it the doubt about the thread."""
        leading = self.leading
        return {
            **({} if leading is None else leading.to_dict()),
            "settled": self.settled and leading is not None,
            "identification": None if self.identification is None else self.identification.to_dict(),
            "plans": [one.to_dict() for one in self.plans] if self.identification else [],
            "may_be_cut_now": [one.to_dict() for one in self.decisions if one.settled],
            "not_settled": [one.to_dict() for one in self.decisions if not one.settled],
            "settle_by": None if self.settle_by is None else self.settle_by.to_dict(),
            "routes": [one.to_dict() for one in self.routes],
        }


def plan_for_thread(
    thread: Thread, work_out: Callable[[Thread], BushPlan], *, keep_refusal: bool = False
) -> RepairPlan:
    """Plan the repair of a thread that is known by name.

    Parameters
    ----------
    thread : Thread
        Inner thread of the bush.
    work_out : callable
        Gives the bush for an inner thread.
    keep_refusal : bool
        Whether a bush that does not fit is kept as a refusal instead of raised.

    Raises
    ------
    JobError
        If no bush fits.
    """
    only = _candidate(thread, 1.0, work_out)
    if only.plan is None and not keep_refusal:
        raise JobError(only.refused_because)
    return RepairPlan(
        identification=None, plans=(only,), decisions=_decisions((only,), sure=True), settle_by=None
    )


def plan_for_identification(
    identification: Identification, work_out: Callable[[Thread], BushPlan], *, keep_refusal: bool = False
) -> RepairPlan:
    """Plan the repair of a thread that readings have named, with their doubt.

    Parameters
    ----------
    identification : Identification
        Settled: one plan. Not settled: one for each candidate whose probability is worth planning for.
    work_out : callable
        Gives the bush for an inner thread.
    keep_refusal : bool
        Whether bushes that do not fit are kept as refusals instead of raised.

    Returns
    -------
    RepairPlan
        Without plans if "none of these" is the most probable.

    Raises
    ------
    JobError
        If no candidate has a bush that fits: the reason of the most probable one.
    """
    first = identification.candidates[0]
    if first.probability <= identification.none_of_these:
        return RepairPlan(identification=identification, plans=(), decisions=(), settle_by=None)
    likely = (
        [first]
        if identification.settled
        else [one for one in identification.candidates if one.probability > judgement.WORTH_PLANNING]
    )
    plans = tuple(_candidate(one.thread, one.probability, work_out) for one in likely or [first])
    if all(one.plan is None for one in plans) and not keep_refusal:
        raise JobError(f"{plans[0].designation}: {plans[0].refused_because}")
    return RepairPlan(
        identification=identification,
        plans=plans,
        decisions=_decisions(plans, sure=identification.settled),
        settle_by=settling_reading(identification),
    )


def _candidate(thread: Thread, probability: float, work_out: Callable[[Thread], BushPlan]) -> CandidatePlan:
    try:
        plan = work_out(thread)
    except JobError as fault:
        return CandidatePlan(
            designation=named(thread), probability=probability, plan=None, refused_because=str(fault)
        )
    return CandidatePlan(designation=plan.inner_thread, probability=probability, plan=plan)


def _decisions(plans: tuple[CandidatePlan, ...], *, sure: bool) -> tuple[Decision, ...]:
    """Compare the plans; a candidate without a bush agrees with no other."""
    found = []
    for name, value_in in _DECISIONS:
        wanted = tuple(
            (one.designation, "no bush fits" if one.plan is None else value_in(one.plan)) for one in plans
        )
        agreed = len({value for _, value in wanted}) == 1
        alone = len(plans) == 1 and not sure and name in _OF_THE_INNER_THREAD
        found.append(Decision(name=name, wanted=wanted, settled=agreed and not alone))
    return tuple(found)
