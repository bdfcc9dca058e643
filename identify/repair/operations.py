"""The order of operations: the hole, the bush in two settings, and the fitting; each can be done as told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from threadwright import judgement
from threadwright.repair.register import WHERE_IT_BELONGS
from threadwright.repair.route import BROKEN

if TYPE_CHECKING:
    from threadwright.repair.fixing import Fixing
    from threadwright.repair.locating import Locating
    from threadwright.repair.plan import BushPlan
    from threadwright.repair.sizes import Sizes
    from threadwright.repair.wish import Wish

__all__ = ["Operation", "operations"]

Where = Literal["hole", "bush", "fitting"]
_FIRST: Final = "first setting, threaded end outward"
_SECOND: Final = "second setting, face outward"
_PART: Final = "the part, one setting"


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One step."""

    where: Where
    setting: str
    text: str
    sizes: tuple[str, ...] = ()
    """Keys of the sizes it is cut to."""

    def to_dict(self) -> dict[str, object]:
        """Plain data."""
        return {"where": self.where, "setting": self.setting, "text": self.text, "sizes": list(self.sizes)}


def operations(
    plan: BushPlan, *, sizes: Sizes, placed: Locating, fixing: Fixing, wish: Wish
) -> tuple[Operation, ...]:
    """Order of operations for a hole and its bush.

    Parameters
    ----------
    plan : BushPlan
        The bush as recommended.
    sizes : Sizes
        Its sizes.
    placed : Locating
        Where register, spigot and threads lie.
    fixing : Fixing
        How it is kept from turning.
    wish : Wish
        What was asked for.

    Returns
    -------
    tuple of Operation
        First the hole, then the bush, then the fitting.
    """
    return (
        *_hole(plan, sizes, placed, wish),
        *_first_setting(plan, sizes, placed),
        *_second_setting(plan, placed, wish),
        *_fitting(plan, sizes, placed, fixing, wish),
    )


def _set_up(placed: Locating, wish: Wish) -> list[str]:
    """What comes before the first cut: a broken screw out, and what the part is set by."""
    first = [f"{BROKEN[0].upper()}{BROKEN[1:]}."] if wish.state == "broken screw" else []
    by = placed.register.bored_from if placed.register.locates else "the hole"
    if wish.state in ("off position", "out of square"):
        by = placed.register.bored_from or WHERE_IT_BELONGS
        by += "; the old hole only shows what must be cleaned up"
    return [*first, f"Clamp the part with its face square to the spindle and set it by {by}."]


def _hole(plan: BushPlan, sizes: Sizes, placed: Locating, wish: Wish) -> list[Operation]:
    register, thread = placed.register, plan.bush.outer_thread

    def step(text: str, *keys: str) -> Operation:
        return Operation(where="hole", setting=_PART, text=text, sizes=keys)

    drilling = step(
        f"Drill {thread.tapping_drill_mm:.2f} mm and bore true to {sizes.find('tapping_hole').text}.",
        "tapping_hole",
    )
    tap = step(f"Tap {thread.designation}, started in the same setting so that it is square.", "thread_depth")
    steps = [step(text) for text in _set_up(placed, wish)]
    if not register.at_face:
        pilot = register.kind == "pilot"
        deep = [step("Drill and ream the pilot's bore below.", "pilot_bore")] if pilot else []
        tap = tap if not pilot else step(tap.text, "tapping_depth")
        return [*steps, drilling, *deep, step("Countersink the mouth.", "countersink_diameter"), tap]
    if not register.kept:
        bored = sizes.find("counterbore_diameter").text
        steps.append(
            step(
                f"Bore the counterbore {bored}, {sizes.find('counterbore_depth').text} deep, its shoulder "
                "square.",
                "counterbore_diameter",
                "counterbore_depth",
            )
        )
    if placed.relief is not None and placed.relief.chosen == "mouth":
        steps.append(step("Bore the relief below it.", "mouth_relief_diameter", "mouth_relief_depth"))
        return [*steps, drilling, tap]
    return [*steps, drilling, step("Break the mouth of the tapping hole, inside the shoulder."), tap]


def _first_setting(plan: BushPlan, sizes: Sizes, placed: Locating) -> list[Operation]:
    """Everything that must be true to the outer thread, with the stock still thick round the inner thread."""
    register, zones, relief = placed.register, placed.zones, placed.relief

    def step(text: str, *keys: str) -> Operation:
        return Operation(where="bush", setting=_FIRST, text=text, sizes=keys)

    stock = sizes.find("stock_diameter").low
    steps = [
        step(f"Grip {plan.bush.material} of {stock:g} mm or more, threaded end outward; face it."),
        step(_drilling(plan, pilot=register.kind == "pilot"), "inner_tapping_hole", "inner_countersink"),
    ]
    turn = "register and outside" if register.at_face else "outside true to the bore"
    keys = ["register_diameter"] if register.bush is not None else []
    if register.kind == "pilot":
        turn = "pilot and outside"
        keys.append("pilot_length")
    true = "." if register.bush is None else ", so that they run true together."
    steps.append(step(f"Turn the {turn} in this setting{true}", *keys, "outer_major"))
    if relief is not None and relief.chosen == "undercut":
        steps.append(
            step(
                "Cut the undercut below the collar; check the wall there.",
                "undercut_diameter",
                "undercut_width",
            )
        )
    steps.append(step("Chamfer the lead.", "lead_chamfer"))
    steps.append(step(_threading(plan, collar=zones.bore is not None), "outer_pitch_diameter"))
    if register.kind != "pilot":
        steps.append(step("Try the real screw through the inner thread before parting off."))
    over = sizes.over_wires
    if over is not None:
        steps.append(
            step(
                f"Measure over three wires of {over.wire_mm:.3f} mm: {over.low:.3f} to {over.high:.3f} "
                "mm, or try "
                "the bush in the tapped hole while it is still in the chuck."
            )
        )
    steps.append(step("Part off, longer by a facing cut.", "overall_length"))
    return steps


def _drilling(plan: BushPlan, *, pilot: bool) -> str:
    """How the inner hole is made; a pilot is not tapped, so that it keeps its wall."""
    drill = f"Drill {plan.bush.inner_tapping_drill_mm:.2f} mm past the bush's length"
    if pilot:
        return f"{drill} and bore true; the inner thread comes from the other end."
    return f"{drill}, bore true, countersink, and tap {plan.inner_thread} now, while the stock is thick."


def _threading(plan: BushPlan, *, collar: bool) -> str:
    """How the outer thread is cut: a die does not pass a collar."""
    thread = plan.bush.outer_thread
    back = ""
    if thread.left_hand and "single point" in thread.cut_by:
        back = " Left-hand by single point: reverse the leadscrew and cut away from the chuck."
    if not collar:
        return f"Cut the outer thread {thread.designation} ({thread.cut_by}).{back}"
    if thread.cut_by == "single point":
        if thread.left_hand:
            return (
                f"Single-point the outer thread {thread.designation}: reverse the leadscrew, start in the "
                "relief and cut away from the chuck."
            )
        return f"Single-point the outer thread {thread.designation} into the relief."
    how = (
        "single point, or with a die"
        if thread.cut_by == "die or single point"
        else f"with the {thread.cut_by}"
    )
    return (
        f"Cut the outer thread {thread.designation} {how}. A die cannot pass the collar: turn it round for "
        f"the last pass, so that its lead does not stop short.{back}"
    )


def _second_setting(plan: BushPlan, placed: Locating, wish: Wish) -> list[Operation]:
    """The other end, held so that the register runs true."""
    register, stands = placed.register, placed.spigot

    def step(text: str, *keys: str) -> Operation:
        return Operation(where="bush", setting=_SECOND, text=text, sizes=keys)

    thread = plan.bush.outer_thread.designation
    if register.at_face:
        hold = (
            f"Bore and tap a stub in the chuck like the hole itself, in one setting: {thread}, a "
            "counterbore that "
            "fits the collar and a square shoulder. Screw the bush in against the shoulder; check that the "
            f"register runs true within {judgement.SPIGOT_RUNOUT_MM:g} mm."
        )
    else:
        hold = f"Tap a stub {thread} in the chuck, its face turned true in place, and screw the bush in."
    steps = [step(hold)]
    if stands is not None:
        steps.append(step("Face to length and turn the spigot.", "shoulder_to_spigot_end", "spigot_diameter"))
        steps.append(step("Face the collar, and leave a sharp, clean corner to the spigot.", "collar_length"))
    else:
        face = ("collar_length", "overall_length") if register.at_face else ("length",)
        steps.append(step("Face to length.", *face))
    if register.kind == "pilot":
        steps.append(
            step(f"Tap {plan.inner_thread} from the face, no further than the pilot; try the real screw.")
        )
    if placed.zones.bore is not None:
        through = "spigot and collar" if stands is not None else "the collar"
        steps.append(step(f"Bore {through} clear of the screw.", "clearance_bore", "clearance_bore_depth"))
    steps.append(step("Countersink the inner thread; chamfer the end and break all edges."))
    if wish.driving != "jam nut":
        steps.append(step(placed.driving.says))
    return steps


def _fitting(plan: BushPlan, sizes: Sizes, placed: Locating, fixing: Fixing, wish: Wish) -> list[Operation]:
    chain, stands = placed.chain, placed.spigot

    def step(text: str, *keys: str) -> Operation:
        return Operation(where="fitting", setting="in place", text=text, sizes=keys)

    steps = []
    if fixing.vent is not None:
        steps.append(step(fixing.vent))
    steps.append(step("Clean and dry both threads; try the bush home dry first."))
    shoulder = (
        "home against the shoulder, without forcing the thread"
        if placed.register.at_face
        else "to just below the face"
    )
    how = f" {placed.driving.says}" if wish.driving == "jam nut" else ""
    steps.append(step(f"Screw the bush in with its fixing, {shoulder}.{how}"))
    pin = fixing.key_pin
    if pin is not None and not fixing.compound.alone:
        steps.append(
            step(
                f"Drill {pin.diameter_mm:g} mm, {pin.deep_mm:.1f} mm deep, on the joint of the "
                f"{pin.place}, half in bush and half in part, and drive the pin below the face."
            )
        )
    if wish.driving == "flats":
        steps.append(step("Saw the driving head off and face the end."))
    if chain is not None and chain.finish_in_place:
        how = _by(stands is not None)
        steps.append(
            step(
                f"Finish the collar's face in place{how}: within {-chain.flush[0]:.2f} mm, never proud.",
                "collar_length",
            )
        )
    if stands is not None and stands.projection is not None:
        steps.append(
            step(f"Measure how far the spigot stands out: {sizes.find('projection').text}.", "projection")
        )
    torque = _torque(plan)
    steps.append(step(f"Try the mating part and the real screw{torque}."))
    return steps


def _by(spigot: bool) -> str:
    """How a collar's face is finished in place."""
    return (
        " round the spigot with a hollow cutter"
        if spigot
        else " with the part back in its setting, or by filing and scraping"
    )


def _torque(plan: BushPlan) -> str:
    """The torque of the load asked for, else of the greatest one allowed."""
    turn = plan.torque_asked or plan.torque
    if turn is None:
        return ""
    most = " at most" if plan.torque_asked is None else ""
    return f", tightened to {turn.dry_Nm:.1f} N m dry or {turn.oiled_Nm:.1f} N m oiled{most}"
