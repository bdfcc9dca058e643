"""Two metals side by side: galvanic potential and thermal expansion by family of metal."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from threadwright.tables.system import Source

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.tables.materials import Kind

__all__ = ["JOINTS", "JointMetal", "clearance_change", "galvanic_difference"]

_POTENTIALS = Source(
    "galvanic table after NASA-STD-6012 and MIL-STD-889D", "anode index against copper, read in a reprint"
)
_IRON_AS_STEEL = Source("galvanic table", "SG iron taken as grey iron", seen=False)
_ZINC_AS_PLATE = Source("galvanic table", "a zinc casting taken as zinc plate", seen=False)
_SHEETS = Source("data sheets of the alloys (LM25, CZ121)", "read")
_RECALLED = Source("handbook values of thermal expansion, 20 to 100 deg C", "from memory", seen=False)


@dataclass(frozen=True, slots=True)
class JointMetal:
    """What a joint needs to know of a metal."""

    potential: float
    """Anode index against copper; the greater is eaten. [V]"""
    potential_source: Source
    expansion: float
    """Coefficient of linear expansion. [1e-6 / K]"""
    expansion_source: Source
    passive: bool = False
    """Whether retaining compound cures on it only with an activator."""

    @property
    def from_memory(self) -> bool:
        """Whether either figure was recalled, not read."""
        return not (self.potential_source.seen and self.expansion_source.seen)


JOINTS: Final[Mapping[Kind, JointMetal]] = MappingProxyType(
    {
        "grey iron": JointMetal(0.38, _POTENTIALS, 10.8, _RECALLED),
        "SG iron": JointMetal(0.38, _IRON_AS_STEEL, 11.5, _RECALLED),
        "cast aluminium": JointMetal(0.52, _POTENTIALS, 22.0, _SHEETS, passive=True),
        "zinc die casting": JointMetal(0.83, _ZINC_AS_PLATE, 27.4, _RECALLED, passive=True),
        "magnesium": JointMetal(1.38, _POTENTIALS, 26.0, _RECALLED, passive=True),
        "bronze": JointMetal(0.15, _POTENTIALS, 18.0, _RECALLED),
        "brass": JointMetal(0.08, _POTENTIALS, 20.9, _SHEETS),
        "steel": JointMetal(0.43, _POTENTIALS, 12.0, _RECALLED),
        "stainless steel": JointMetal(-0.32, _POTENTIALS, 17.3, _RECALLED, passive=True),
    }
)


def galvanic_difference(parent: Kind, bush: Kind) -> float:
    """Galvanic potential of the part against the bush; positive: the part is eaten, negative: the bush.

    Parameters
    ----------
    parent, bush : str
        Families of metal.

    Returns
    -------
    float
        Difference. [V]

    References
    ----------
    See :data:`JOINTS`.

    Examples
    --------
    >>> round(galvanic_difference("cast aluminium", "stainless steel"), 2)
    0.84
    >>> round(galvanic_difference("grey iron", "steel"), 2)
    -0.05
    """
    return JOINTS[parent].potential - JOINTS[bush].potential


def clearance_change(parent: Kind, bush: Kind, *, diameter: float, warming: float) -> float:
    r"""Change of the clearance between a bush and its hole as both warm; negative: it tightens.

    .. math:: \Delta C = (\alpha_p - \alpha_b) D \, \Delta T

    Parameters
    ----------
    parent, bush : str
        Families of metal.
    diameter : float
        Diameter of the joint, D. [mm]
    warming : float
        Rise of temperature. [K]

    Returns
    -------
    float
        Change of the clearance on the diameter. [mm]

    References
    ----------
    See :data:`JOINTS`.

    Examples
    --------
    >>> round(1000 * clearance_change("cast aluminium", "steel", diameter=20.0, warming=80.0), 1)
    16.0
    """
    difference = JOINTS[parent].expansion - JOINTS[bush].expansion
    return difference * 1e-6 * diameter * warming
