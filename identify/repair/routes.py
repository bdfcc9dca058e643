"""Every route for one hole, worked out and ranked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from threadwright.repair.route import BROKEN, Route, Site
from threadwright.repair.routes_bush import collar_bush, flanged_bush, plain_bush, plug, ring_dowel
from threadwright.repair.routes_keep import chase, leave_it, longer_screw
from threadwright.repair.routes_recut import stepped_stud, through_bolt, wire_insert

if TYPE_CHECKING:
    from threadwright.repair.candidates import Case
    from threadwright.repair.drawer import Drawer
    from threadwright.repair.hole import Surroundings

__all__ = ["ROUTES", "work_out_routes"]

ROUTES: Final[tuple[Callable[[Site], Route], ...]] = (
    leave_it,
    chase,
    longer_screw,
    wire_insert,
    stepped_stud,
    plain_bush,
    collar_bush,
    ring_dowel,
    flanged_bush,
    plug,
    through_bolt,
)

_NOT_CALCULATED = (
    ("welding", "welding the hole up", "welding is a craft of its own and is not calculated here"),
    ("filling", "filling with metal-filled resin", "a filled thread has no strength to calculate"),
)


def work_out_routes(
    case: Case, hole: Surroundings, *, drawer: Drawer | None = None, part: str | None = None
) -> tuple[Route, ...]:
    """Work every route out for one hole, and put them in order.

    Parameters
    ----------
    case : Case
        Inner thread, metals and load.
    hole : Surroundings
        The hole and what lies around it.
    drawer : Drawer, optional
        Only threads whose tap lies in it.
    part : str, optional
        What the part is called; some uses get no verdict.

    Returns
    -------
    tuple of Route
        Offered ones first: those that hold, then least metal removed, fewest tools, easiest undone.

    Examples
    --------
    >>> from threadwright.repair.bush import case_for
    >>> from threadwright.repair.hole import Surroundings
    >>> from threadwright.tables.registry import find_thread
    >>> hole = Surroundings(depth_mm=25.0, boss_mm=40.0, through=False)
    >>> case = case_for(find_thread("M8"), hole, parent="cast aluminium", bush_material="steel",
    ...                 bolt_grade="unmarked", clamp_kN=None)
    >>> [one.key for one in work_out_routes(case, hole) if one.offered][:2]
    ['wire insert', 'stepped stud']
    """
    site = Site(case=case, hole=hole, drawer=drawer, part=part)
    found = [work_out(site) for work_out in ROUTES]
    if hole.state == "broken screw":
        found = [replace(one, first=BROKEN) if one.offered else one for one in found]
    found.sort(key=lambda one: one.rank)
    refused = [site.refuse(*row) for row in _NOT_CALCULATED]
    return (*found, *refused)
