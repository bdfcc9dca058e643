"""One list of cautions: what no calculation here may bless, and what the metals and the shop ask for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from threadwright import judgement

if TYPE_CHECKING:
    from threadwright.tables.materials import Material
    from threadwright.tables.screw_grades import ScrewGrade

__all__ = [
    "ALWAYS",
    "DANGEROUS_USES",
    "METAL_CAUTIONS",
    "NAMED_USES",
    "PRESSURE_BEYOND",
    "SHOP",
    "DangerousUse",
    "cautions_for",
    "dangerous_use",
    "dangerous_use_or_place",
]


@dataclass(frozen=True, slots=True)
class DangerousUse:
    """A use for which no verdict is given, and the words that give it away."""

    name: str
    pattern: str

    @property
    def text(self) -> str:
        """The caution as a sentence."""
        return (
            f"{self.name}: not to be judged by this calculation; no verdict that it holds is given. "
            "Have it designed and inspected by someone licensed for it."
        )


DANGEROUS_USES: tuple[DangerousUse, ...] = (
    DangerousUse("brakes", r"brakes?|braking"),
    DangerousUse("steering", r"steering|tie rods?|track rods?"),
    DangerousUse("suspension and road wheels", r"suspension|road wheels?|wheel (?:studs?|nuts?|bolts?)"),
    DangerousUse(
        "lifting",
        r"lifting|lifts?|elevators?|hoists?|cranes?|jacks?|eye ?bolts?|slings?|shackles?|winch(?:es)?",
    ),
    DangerousUse(
        "pressure, steam and air",
        r"pressure|boilers?|steam|compressed air|air receivers?|gas|hydraulic|safety valves?",
    ),
    DangerousUse("high-speed rotors and bowls", r"rotors?|bowls?|centrifuges?|impellers?|spindles?|chucks?"),
    DangerousUse("flywheels", r"fly ?wheels?"),
    DangerousUse("connecting rods", r"con(?:necting)? ?rods?"),
    DangerousUse("guards", r"guards?"),
    DangerousUse(
        "electrical earth points", r"earth(?:ing)?|ground(?:ing)? (?:points?|studs?|screws?)|electric\w*"
    ),
    DangerousUse("anything carrying a person", r"seats?|harness(?:es)?|ladders?|footrests?|footsteps?"),
    DangerousUse("anything under inspection law", r"inspection law|statutory|insurance inspection"),
)

NAMED_USES = (
    "brakes, steering, suspension, lifting, pressure, steam and air, high-speed rotors and bowls, flywheels, "
    "connecting rods, guards, electrical earth points, anything carrying a person or under inspection law"
)
"""The uses that get no verdict, as one phrase."""

ALWAYS: tuple[str, ...] = (
    "No substitute for licensed practice and local codes.",
    f"Not for {NAMED_USES}.",
    "Strip loads are shear strength times shear area at the worst limits of the usual class; wear, shock and "
    "fatigue are not in them. What was assumed and what is from memory is listed.",
    "A thread does not locate: where the part is located by this hole, the bush needs a register.",
    "Tap lead, drill point and chips need room below the depth that is given.",
    "Cracked castings, welded repairs and wrought iron of before 1920 want an inspection, not a sum.",
)

SHOP: tuple[str, ...] = (
    "Food contact: no leaded brass and no compound that is not listed for it.",
    "Heat loosens compound and seized screws; keep it away from zinc, magnesium, old paint and solvent.",
    "Old paint may hold lead and old packing asbestos: do not sand, burn or blow them.",
    "Take the chuck key out, tie back sleeves, move swarf with a hook, never by hand.",
    "Do not tap under power in a thin boss.",
)

METAL_CAUTIONS: dict[str, tuple[str, ...]] = {
    "zinc die casting": (
        "Zinc die castings may be corroded between the grains: no strength is assumed and no verdict given. "
        "Keep heat away from them.",
    ),
    "magnesium": (
        "Magnesium: tell it from aluminium first, cut dry with sharp tools, no water on a fire; "
        "keep heat away and keep bare brass, bronze or stainless steel out of it.",
    ),
    "grey iron": ("Grey iron cracks rather than gives: never force a tight thread into it.",),
    "cast aluminium": ("Old aluminium may be magnesium: tell them apart before cutting dry.",),
}

PRESSURE_BEYOND = ("steam", "compressed air", "gas")
"""What may not lie beyond the hole if a verdict is to be given."""


def dangerous_use(part: str | None) -> DangerousUse | None:
    """Tell whether the name of a part speaks of a use for which no verdict may be given.

    Parameters
    ----------
    part : str or None
        What the person calls the part or the joint.

    Returns
    -------
    DangerousUse or None
        The first use that its words name.

    Examples
    --------
    >>> dangerous_use("flywheel hub cover").name
    'flywheels'
    >>> dangerous_use("ink table bracket") is None
    True
    """
    if part is None:
        return None
    words = " ".join(re.findall(r"[a-z0-9]+", part.lower()))
    for use in DANGEROUS_USES:
        if re.search(rf"\b(?:{use.pattern})\b", words):
            return use
    return None


def dangerous_use_or_place(part: str | None, beyond: str = "nothing") -> DangerousUse | None:
    """Tell whether a part's name, or what lies beyond its hole, forbids a verdict.

    Parameters
    ----------
    part : str or None
        What the person calls the part or the joint.
    beyond : str
        What lies beyond the floor or a thin wall of the hole.

    Returns
    -------
    DangerousUse or None

    Examples
    --------
    >>> dangerous_use_or_place("top cover", "steam").name
    'pressure, steam and air'
    >>> dangerous_use_or_place("top cover", "oil") is None
    True
    """
    return dangerous_use("pressure" if beyond in PRESSURE_BEYOND else part)


def cautions_for(
    *,
    parent: Material,
    bush: Material | None = None,
    grade: ScrewGrade | None = None,
    part: str | None = None,
    beyond: str = "nothing",
    temperature_C: float | None = None,
    through: bool | None = None,
    also: tuple[str, ...] = (),
) -> tuple[str, ...]:
    """Collect the cautions that one repair must print, gravest first.

    Parameters
    ----------
    parent : Material
        Metal of the part.
    bush : Material, optional
        Metal of the bush.
    grade : ScrewGrade, optional
        Grade of the screw.
    part : str, optional
        What the part is called.
    beyond : str, optional
        What lies beyond the floor or a thin wall of the hole.
    temperature_C : float, optional
        Service temperature. [deg C]
    through : bool, optional
        Whether the hole goes through.
    also : tuple of str, optional
        Cautions of the plan itself.

    Returns
    -------
    tuple of str
        Sentences; the last of them hold for every repair.

    Examples
    --------
    >>> from threadwright.tables.materials import find_material
    >>> cautions_for(parent=find_material("magnesium"), part="top cover")[0][:9]
    'Magnesium'
    """
    use = dangerous_use_or_place(part, beyond)
    found = [] if use is None else [use.text]
    found += also
    if beyond in ("oil", "water") and through:
        found.append(
            f"There is {beyond} behind the hole: seal the outer thread of a bush, and the screw under its "
            "head."
        )
    elif beyond in ("oil", "water"):
        found.append(
            f"There is {beyond} beyond the floor or wall: drill to a stop, and seal the outer thread of a "
            "bush if the wall is broken through."
        )
    if temperature_C is not None and temperature_C >= judgement.HOT_C:
        found.append(
            f"In service at {temperature_C:g} C: no retaining compound alone, and strengths here are those "
            "of a cold metal."
        )
    found += METAL_CAUTIONS.get(parent.kind, ())
    for label, entry in (("parent", parent), ("bush", bush)):
        if entry is not None and entry.from_memory:
            found.append(
                f"From memory, not read: {' and '.join(entry.from_memory)} of the {label} ({entry.name})."
            )
    if grade is not None and not grade.source.seen:
        found.append(f"From memory, not read: tensile strength of the screw ({grade.name}).")
    if grade is not None and grade.name == "unmarked":
        found.append(
            "An unmarked screw is taken at the low end of strength: a stronger one may strip the hole."
        )
    return (*found, *ALWAYS, *SHOP)
