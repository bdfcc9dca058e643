"""From the sizes of a plan to the shape of bush and hole: what lies where along the axis."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from threadwright import judgement
from threadwright.repair.fixing import vent_flat
from threadwright.sheet.drawing import (
    Along,
    Bore,
    BushDrawing,
    Driving,
    HoleDrawing,
    Size,
    Step,
    ThreadDrawing,
    Title,
    Undercut,
)
from threadwright.sheet.plan_lists import drawn_size

if TYPE_CHECKING:
    from threadwright.repair.making import Making
    from threadwright.repair.plan import BushPlan
    from threadwright.tables.thread import Side, Thread

__all__ = ["Planned"]

_SPIGOT_AT_WILL: Final = 0.3  # of its diameter: a spigot whose length waits for the mating part


@dataclass(frozen=True, slots=True)
class Planned:
    """A bush that is worked up, its two threads, and how much of it lies before the collar.

    Parameters
    ----------
    plan : BushPlan
        The bush.
    made : Making
        How it is made.
    outer, inner : Thread
        Its threads, with their hand.
    """

    plan: BushPlan
    made: Making
    outer: Thread
    inner: Thread

    def _size(self, key: str, note: str = "") -> Size | None:
        """A size by its key, where this bush has it."""
        for row in self.made.sizes.rows:
            if row.key == key:
                return drawn_size(row, note)
        return None

    def _known(self, key: str, note: str = "") -> Size:
        return drawn_size(self.made.sizes.find(key), note)

    @property
    def _fits(self) -> tuple[str, str]:
        """Tolerance classes of the register's hole and of the register."""
        hole, _, shaft = self.made.locating.register.fit.partition("/")
        return (hole.replace("measured seat", "as measured"), shaft) if shaft else ("", "")

    @property
    def _collar(self) -> float:
        size = self._size("collar_length")
        return 0.0 if size is None else size.nominal

    @property
    def _spigot(self) -> float:
        """Length of the spigot as drawn. [mm]"""
        if self.made.locating.spigot is None:
            return 0.0
        known = self._size("shoulder_to_spigot_end")
        if known is not None:
            return known.nominal - self._collar
        return max(judgement.LEAST_SPIGOT_MM, _SPIGOT_AT_WILL * self._known("spigot_diameter").nominal)

    @property
    def _shoulder(self) -> float:
        return self._spigot + self._collar

    @property
    def _thread_end(self) -> float:
        key = "below_shoulder" if self.made.locating.chain is not None else "length"
        return self._shoulder + self._known(key).nominal

    def bush(self, title: Title, hole: HoleDrawing) -> BushDrawing:
        """The bush and its hole, without what is written beside them.

        Parameters
        ----------
        title : Title
            For the title block.
        hole : HoleDrawing
            See :meth:`hole`.
        """
        placed = self.made.locating
        pilot = self._pilot()
        end = self._thread_end + (0.0 if pilot is None else pilot.length.nominal)
        cut = None
        if placed.relief is not None and placed.relief.chosen == "undercut":
            cut = Undercut(diameter=self._known("undercut_diameter"), width=self._known("undercut_width"))
        washout = 0.0 if placed.relief is None or cut is not None else placed.relief.width
        outer = drawn_thread(self.outer, "external")
        chamfer_to = self._known("lead_chamfer")
        return BushDrawing(
            title=title,
            outer=outer,
            inner=drawn_thread(self.inner, "internal"),
            length=Size(end),
            hole=hole,
            spigot=self._step("spigot_diameter", self._spigot, self._shaft),
            collar=self._step("register_diameter", self._collar, self._fits[1]),
            undercut=cut,
            washout=washout,
            pilot=pilot,
            bore=self._bore(),
            inner_depth=None if pilot is None else Size(self._thread_end, note="max"),
            along=self._along(end),
            chamfer=(outer.major - chamfer_to.nominal) / 2,
            chamfer_to=chamfer_to,
            countersink=self._countersink(chamfer_to.nominal),
            driving=self._driving(),
            runout=None if placed.spigot is None else judgement.SPIGOT_RUNOUT_MM,
            vent=None
            if self.made.fixing.vent is None
            else Size(round(vent_flat(self.outer.pitch_mm), 1), coarse=True),
            remarks=self._remarks(),
        )

    @property
    def _shaft(self) -> str:
        spigot = self.made.locating.spigot
        return "" if spigot is None else spigot.shaft

    def _step(self, key: str, length: float, note: str) -> Step | None:
        size = self._size(key, note)
        return Step(diameter=size, length=Size(length)) if size is not None and length > 0 else None

    def _pilot(self) -> Step | None:
        length = self._size("pilot_length")
        if length is None:
            return None
        return Step(diameter=self._known("register_diameter", self._fits[1]), length=length)

    def _bore(self) -> Bore | None:
        """Clearance bore; below a spigot whose length is open its depth is told from the collar."""
        diameter, depth = self._size("clearance_bore"), self._size("clearance_bore_depth")
        if diameter is None or depth is None:
            return None
        if self.made.locating.spigot is not None and self._size("projection") is None:
            return Bore(
                diameter=diameter,
                depth=replace(
                    depth, nominal=self._spigot + depth.nominal, note="deep from the collar's face"
                ),
            )
        return Bore(diameter=diameter, depth=depth)

    def _countersink(self, most: float) -> Size | None:
        """Countersink of the inner thread, where the lower end is wide enough for it."""
        size = self._known("inner_countersink")
        return size if size.nominal < most - 0.1 else None

    def _along(self, end: float) -> tuple[Along, ...]:
        """Lengths as they are measured: with a collar from its shoulder."""
        overall = Along(start=0.0, end=end, size=Size(end), auxiliary=True)
        if self.made.locating.chain is None:
            thread = Along(start=0.0, end=self._thread_end, size=self._known("length"))
            pilot = self._size("pilot_length")
            if pilot is None:
                return (thread,)
            return (thread, Along(start=self._thread_end, end=end, size=pilot), overall)
        found = [
            Along(start=self._spigot, end=self._shoulder, size=self._known("collar_length")),
            Along(start=self._shoulder, end=end, size=self._known("below_shoulder")),
        ]
        whole = self._size("shoulder_to_spigot_end")
        if whole is not None:
            found.append(Along(start=0.0, end=self._shoulder, size=whole))
        elif self.made.locating.spigot is not None:
            return tuple(found)
        return (*found, overall)

    def _driving(self) -> Driving | None:
        one = self.made.locating.driving
        if one.kind == "jam nut" or one.width_mm is None or one.depth_mm is None:
            return None
        return Driving(
            kind=one.kind,
            width=Size(one.width_mm, coarse=True),
            depth=Size(one.depth_mm, coarse=True),
            spacing=one.spacing_mm,
            at=self._spigot if one.kind == "two holes" else 0.0,
            note="sawn off later" if one.kind == "flats" else "",
        )

    def _remarks(self) -> tuple[tuple[float, str], ...]:
        placed, found = self.made.locating, []
        middle = self._spigot + 0.5 * self._collar
        if placed.chain is not None and placed.chain.finish_in_place:
            found.append((middle, "left proud, faced in place"))
        if placed.register.kind == "stop collar":
            found.append((middle, "sets the depth only, locates nothing"))
        if placed.spigot is not None and placed.spigot.projection is None:
            found.append((0.5 * self._spigot, "length open: measure the mating bore's depth"))
        return tuple(found)

    def hole(
        self, *, through: bool = False, boss_mm: float | None = None, floor_mm: float | None = None
    ) -> HoleDrawing:
        """The hole as it is to be made.

        Parameters
        ----------
        through : bool
            Whether it goes through.
        boss_mm, floor_mm : float, optional
            Outside diameter of the boss, and metal below the depth of a blind hole. [mm]
        """
        placed = self.made.locating
        depth, deep = self._size("counterbore_depth"), self._size("tapping_depth")
        seat = None
        if depth is not None:
            seat = Bore(diameter=self._known("counterbore_diameter", self._fits[0]), depth=depth)
        relief, pilot = None, None
        if self._size("mouth_relief_diameter") is not None:
            relief = Undercut(
                diameter=self._known("mouth_relief_diameter"), width=self._known("mouth_relief_depth")
            )
        if self._size("pilot_bore") is not None:
            pilot = Bore(
                diameter=self._known("pilot_bore", self._fits[0]), depth=self._known("pilot_bore_depth")
            )
        full = self._size("thread_depth") or Size(placed.zones.outer[1], note="min")
        bottom = None if deep is None else deep.nominal + (0.0 if pilot is None else pilot.depth.nominal)
        return HoleDrawing(
            thread=drawn_thread(self.outer, "internal"),
            drill=self._known("tapping_hole"),
            thread_depth=full,
            drill_depth=deep,
            through=through,
            thickness=self._thickness(bottom, through=through, floor_mm=floor_mm),
            counterbore=seat,
            relief=relief,
            countersink=self._size("countersink_diameter"),
            pilot=pilot,
            boss=boss_mm,
        )

    def _thickness(self, bottom: float | None, *, through: bool, floor_mm: float | None) -> float | None:
        """Metal from the face to the far side, where it is known and the hole ends in it."""
        if through:
            return self.plan.depth_mm
        if floor_mm is None or bottom is None:
            return None
        point = judgement.DRILL_POINT * self.plan.bush.outer_thread.tapping_drill_mm
        whole = self.plan.depth_mm + floor_mm
        return whole if whole > bottom + point else None


def drawn_thread(thread: Thread, side: Side) -> ThreadDrawing:
    """The thread with its usual class behind the designation, as its standard writes it."""
    name = thread.default_classes.get(side, "")
    joined = f"{thread.designation}-{name}" if name[:1].isdigit() else f"{thread.designation} {name}"
    return ThreadDrawing(
        designation=joined.strip() + (" LH" if thread.left_hand else ""),
        major=thread.major_basic * thread.to_mm,
        minor=thread.minor_basic * thread.to_mm,
        pitch=thread.pitch_mm,
    )
