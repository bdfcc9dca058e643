"""From a job to its plan: identify if there are readings, recommend the bush, work every route out."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from threadwright.job.records import collar_length, surroundings, wish

if TYPE_CHECKING:
    from threadwright.job.records import Job
    from threadwright.repair.drawer import Drawer
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.route import Route
    from threadwright.repair.settle import RepairPlan
    from threadwright.tables.thread import Thread

__all__ = ["plan_job"]


def plan_job(job: Job, *, drawer: Drawer | None = None, keep_refusal: bool = False) -> RepairPlan:
    """Go the whole way: identify if there are readings, recommend the bush, and work every route out.

    Parameters
    ----------
    job : Job
        What was asked for.
    drawer : Drawer, optional
        Used instead of the job's own.
    keep_refusal : bool
        Whether a bush that does not fit is kept as a refusal, beside the other routes, instead of raised.

    Returns
    -------
    RepairPlan

    Raises
    ------
    JobError
        If no bush fits.
    """
    from threadwright.priors import Origin, Prior
    from threadwright.ranking import identify
    from threadwright.repair.bush import recommend_bush
    from threadwright.repair.making import recommend_for, work_up
    from threadwright.repair.settle import plan_for_identification, plan_for_thread

    held = drawer or job.drawer
    asked = wish(replace(job, drawer=held))
    recommended = partial(
        recommend_bush,
        parent=job.parent.material,
        boss_mm=job.parent.boss,
        edge_mm=job.hole.edge,
        bolt_grade=job.screw.grade,
        clamp_kN=job.screw.clamp,
        bush_material=job.bush.material,
        drawer=held,
        part=job.parent.part,
        next_hole_mm=job.hole.next_hole,
        floor_mm=job.hole.floor,
        beyond=job.hole.beyond,
        temperature_C=job.hole.temperature,
        collar_mm=collar_length(job),
        collar_diameter_mm=asked.collar_asked_mm,
        spigot_mm=job.locate.spigot_mm,
        outer_hand=job.bush.hand,
        through=job.hole.through,
        state=job.hole.state,
        off_by_mm=job.hole.off_by,
    )

    def work_out(thread: Thread) -> BushPlan:
        screw = _handed(thread, job)
        plan = recommend_for(recommended, screw, wish=asked, depth_mm=job.hole.depth)
        plan = replace(plan, assumptions=(*plan.assumptions, *_hand_taken(job)))
        return work_up(plan, wish=asked, inner=screw, wires=() if held is None else held.wires)

    if job.fastener.thread is not None:
        thread = job.fastener.thread
        answer = plan_for_thread(thread, work_out, keep_refusal=keep_refusal)
    else:
        assert job.fastener.readings is not None
        prior = Prior(Origin(job.fastener.made_in, job.fastener.year))
        seen = identify(job.fastener.readings, top=20, prior=prior)
        answer = plan_for_identification(seen, work_out, keep_refusal=keep_refusal)
        thread = _handed(seen.candidates[0].thread, job)
    return replace(answer, routes=_routes(job, thread, drawer)) if answer.plans else answer


def _handed(thread: Thread, job: Job) -> Thread:
    """A thread with the hand that the job gives its screw."""
    return replace(thread, left_hand=thread.left_hand or job.fastener.hand == "left")


def _hand_taken(job: Job) -> tuple[str, ...]:
    """The hand of a screw that readings cannot tell."""
    if job.fastener.thread is not None or job.fastener.hand is not None:
        return ()
    return ('The screw is taken for right-hand: readings do not tell; hand = "left" in [fastener] if not.',)


def _routes(job: Job, thread: Thread, drawer: Drawer | None) -> tuple[Route, ...]:
    from threadwright.repair.bush import case_for
    from threadwright.repair.routes import work_out_routes

    hole = surroundings(job)
    case = case_for(
        thread,
        hole,
        parent=job.parent.material,
        bush_material=job.bush.material,
        bolt_grade=job.screw.grade,
        clamp_kN=job.screw.clamp,
        outer_hand=job.bush.hand,
    )
    return work_out_routes(case, hole, drawer=drawer or job.drawer, part=job.parent.part)
