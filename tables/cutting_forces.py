"""Specific cutting force of a tap or die, by family of metal."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from threadwright.tables.system import Source

if TYPE_CHECKING:
    from collections.abc import Mapping

    from threadwright.tables.materials import Kind

__all__ = ["CUTTING_FORCES", "CuttingForce"]


@dataclass(frozen=True, slots=True)
class CuttingForce:
    """Specific cutting force for ``T = k_c P^2 D / 8000``.

    Other tapping formulas have a k_c of their own; the sets must not be mixed.
    """

    newtons_per_mm2: float
    source: Source
    estimated: str = ""
    """For which metal the figure was read, where it was not this one."""


_PAGE = Source("tapping torque T = k_c P^2 D / 8000 with its k_c", "read on a tool supplier's page")
_STEEL = CuttingForce(2300.0, _PAGE)
_STAINLESS = CuttingForce(3200.0, _PAGE)
_GREY_IRON = CuttingForce(1250.0, _PAGE)
_ALUMINIUM = CuttingForce(680.0, _PAGE)
_COPPER = CuttingForce(720.0, _PAGE)

CUTTING_FORCES: Final[Mapping[Kind, CuttingForce]] = MappingProxyType(
    {
        "steel": _STEEL,
        "stainless steel": _STAINLESS,
        "grey iron": _GREY_IRON,
        "SG iron": CuttingForce(2300.0, _PAGE, "free-cutting steel"),
        "cast aluminium": _ALUMINIUM,
        "bronze": _COPPER,
        "brass": _COPPER,
        "magnesium": CuttingForce(680.0, _PAGE, "short-chipping aluminium"),
        "zinc die casting": CuttingForce(720.0, _PAGE, "short-chipping copper alloy"),
    }
)
