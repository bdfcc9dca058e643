"""Metals of castings, bushes and bar stock, with the strengths a strip calculation needs.

The low end of every published range is used: an old casting carries no certificate.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal

from threadwright.tables.errors import MaterialError, TableError
from threadwright.tables.numbers import shorten
from threadwright.tables.system import Source

__all__ = ["MATERIALS", "Kind", "Material", "find_material"]

Kind = Literal[
    "grey iron",
    "SG iron",
    "cast aluminium",
    "zinc die casting",
    "magnesium",
    "bronze",
    "brass",
    "steel",
    "stainless steel",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A metal, the low end of its strength, and where each figure comes from.

    Parameters
    ----------
    name : str
        As a person types it.
    kind : str
        The family that the rules on wall, edge and cutting go by.
    tensile : float or None
        Tensile strength, low end. None: no strength may be assumed. [MPa]
    source : Source or None
        Where ``tensile`` was read; ``seen`` is False for a value from memory.
    tensile_high : float, optional
        High end of the published range. [MPa]
    shear_stated : float, optional
        Shear strength, when the sheet of the alloy gives one. [MPa]
    shear_ratio : float, optional
        Shear strength over tensile strength, used when the sheet gives no shear. [-]
    shear_source : Source, optional
        Where the shear strength or the ratio comes from.
    aliases : tuple of str
        Other names that find it.

    Raises
    ------
    TableError
        If a strength is given without a shear strength or ratio, or the range is upside down.

    Examples
    --------
    >>> round(find_material("cast aluminium").shear, 1)
    67.6
    """

    name: str
    kind: Kind
    tensile: float | None
    source: Source | None = None
    tensile_high: float | None = None
    shear_stated: float | None = None
    shear_ratio: float | None = None
    shear_source: Source | None = None
    note: str = ""
    aliases: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.tensile is None:
            return
        if (self.shear_stated is None) == (self.shear_ratio is None):
            raise TableError(f"{self.name}: give either a shear strength or a shear ratio, with its source")
        if self.source is None or self.shear_source is None:
            raise TableError(f"{self.name}: a strength needs its source")
        if self.tensile_high is not None and self.tensile_high < self.tensile:
            raise TableError(f"{self.name}: {self.tensile_high} MPa is below the low end {self.tensile} MPa")

    @property
    def shear(self) -> float | None:
        """Shear strength: as stated for the alloy, else ratio times tensile strength. [MPa]"""
        if self.shear_stated is not None:
            return self.shear_stated
        if self.tensile is None or self.shear_ratio is None:
            return None
        return self.tensile * self.shear_ratio

    @property
    def from_memory(self) -> tuple[str, ...]:
        """Names of the values that are recalled rather than read."""
        pairs = (("tensile strength", self.source), ("shear strength", self.shear_source))
        return tuple(name for name, source in pairs if source is not None and not source.seen)


_BS1490 = Source("BS 1490 alloy sheets, LM series", "sand cast test bars; read in a reprint")
_FOUNDRY = Source("BS 1490, LM4 and LM6 sand cast", "read on a foundry's data page")
_EN1561 = Source(
    "EN 1561, expected strength in the casting, wall 20 to 40 mm", "read in a foundry data sheet"
)
_EN1561_SHEAR = Source(
    "EN 1561 annex and VDI 2230-1:2015 Table 6 (ratio 1.15); 1.0 used", "read second-hand; rounded down"
)
_EN1563 = Source(
    "EN 1563, tensile and shear strength (shear 0.90 of tensile)", "read in a foundry data sheet"
)
_VDI_CAST = Source("VDI 2230-1:2015 Table 6, cast aluminium 0.52", "read second-hand")
_VDI_MAGNESIUM = Source("VDI 2230-1:2015 Table 6, cast magnesium 0.55", "an estimate there; read second-hand")
_STEEL_RATIO = Source("steel 0.6, common design ratio", "from memory; below VDI 2230 (0.80)", seen=False)
_COPPER_RATIO = Source("brass and bronze 0.65, common design ratio", "from memory", seen=False)
_STAINLESS_RATIO = Source("austenitic 0.65, common design ratio", "from memory; below VDI 2230", seen=False)
_BRASS_ROD = Source("CuZn39Pb3 (CZ121) rod, 40 to 75 mm", "read in a rod data sheet")
_BS1400 = Source("BS 1400, sand or chill cast", "read converted from kgf/mm2")
_PB1_BAR = Source("CC481K (PB1) continuously cast", "read in a stockist's data sheet")
_EN10087 = Source("EN 10087, 11SMn30 (230M07) hot rolled to 40 mm", "read in a stockist's reprint")
_EN10277 = Source("EN 10277-3:2008, 11SMn30 (230M07) cold drawn, 16 to 40 mm", "read in a stockist's reprint")

_OLD_SAND = "low end of unspecified old sand casting"


def _aluminium(name: str, low: float, high: float | None, source: Source, **rest: object) -> Material:
    """Build a cast aluminium whose sheet gives no shear strength."""
    aliases = rest.get("aliases", ())
    assert isinstance(aliases, tuple)
    return Material(
        name=name,
        kind="cast aluminium",
        tensile=low,
        tensile_high=high,
        source=source,
        shear_ratio=0.52,
        shear_source=_VDI_CAST,
        note=str(rest.get("note", "")),
        aliases=aliases,
    )


def _grey_iron(name: str, low: float, note: str, aliases: tuple[str, ...]) -> Material:
    """Build a grey iron by its expected strength in the casting."""
    return Material(
        name=name,
        kind="grey iron",
        tensile=low,
        source=_EN1561,
        shear_ratio=1.0,
        shear_source=_EN1561_SHEAR,
        note=note,
        aliases=aliases,
    )


MATERIALS: tuple[Material, ...] = (
    _aluminium(
        "cast aluminium",
        130.0,
        150.0,
        _BS1490,
        note=f"{_OLD_SAND}: LM25-M",
        aliases=(
            "cast aluminum",
            "aluminium",
            "aluminum",
            "aluminium casting",
            "cast alloy",
            "alloy casting",
        ),
    ),
    _aluminium("LM4-M", 140.0, 170.0, _FOUNDRY, note="sand, as cast", aliases=("LM4",)),
    _aluminium("LM4-TF", 230.0, 290.0, _FOUNDRY, note="sand, fully heat treated"),
    _aluminium("LM6-M", 160.0, 190.0, _FOUNDRY, note="sand, as cast", aliases=("LM6",)),
    _aluminium("LM25-M", 130.0, 150.0, _BS1490, note="sand, as cast", aliases=("LM25",)),
    _aluminium("LM25-TE", 150.0, 180.0, _BS1490, note="sand, precipitation treated"),
    Material(
        name="LM25-TB7",
        kind="cast aluminium",
        tensile=160.0,
        source=_BS1490,
        shear_stated=140.0,
        shear_source=_BS1490,
        note="sand, solution treated and stabilised",
    ),
    Material(
        name="LM25-TF",
        kind="cast aluminium",
        tensile=230.0,
        tensile_high=280.0,
        source=_BS1490,
        shear_stated=180.0,
        shear_source=_BS1490,
        note="sand, fully heat treated",
    ),
    Material(
        name="LM0-M",
        kind="cast aluminium",
        tensile=80.0,
        source=_BS1490,
        shear_stated=55.0,
        shear_source=_BS1490,
        note="nearly pure aluminium, as cast",
        aliases=("LM0", "pure cast aluminium"),
    ),
    _grey_iron(
        "grey iron",
        110.0,
        "low end of unspecified old casting: GJL-150",
        ("cast iron", "gray iron", "grey cast iron", "gray cast iron", "CI"),
    ),
    _grey_iron("GJL-150", 110.0, "grey iron", ("EN-GJL-150", "grade 150 iron")),
    _grey_iron("GJL-200", 155.0, "grey iron", ("EN-GJL-200", "grade 200 iron")),
    _grey_iron("GJL-250", 195.0, "grey iron", ("EN-GJL-250", "grade 250 iron")),
    Material(
        name="SG iron",
        kind="SG iron",
        tensile=400.0,
        source=_EN1563,
        shear_ratio=0.90,
        shear_source=_EN1563,
        note="low end: GJS-400-18",
        aliases=("ductile iron", "nodular iron", "spheroidal iron", "spheroidal graphite iron", "GJS-400-18"),
    ),
    Material(
        name="GJS-500-7",
        kind="SG iron",
        tensile=500.0,
        source=_EN1563,
        shear_ratio=0.90,
        shear_source=_EN1563,
        aliases=("EN-GJS-500-7",),
    ),
    Material(
        name="zinc die casting",
        kind="zinc die casting",
        tensile=None,
        note="old zinc castings may be corroded between the grains: no strength may be assumed",
        aliases=("zinc", "zinc alloy", "pot metal", "white metal casting", "cast zinc", "die cast zinc"),
    ),
    Material(
        name="magnesium",
        kind="magnesium",
        tensile=125.0,
        source=Source("sand cast magnesium-aluminium-zinc, as cast, low end", "from memory", seen=False),
        shear_ratio=0.55,
        shear_source=_VDI_MAGNESIUM,
        aliases=("cast magnesium", "magnesium alloy", "magnesium casting"),
    ),
    Material(
        name="bronze",
        kind="bronze",
        tensile=186.0,
        tensile_high=255.0,
        source=_BS1400,
        shear_ratio=0.65,
        shear_source=_COPPER_RATIO,
        note="low end of old sand castings: LG2",
        aliases=("gunmetal", "LG2", "cast bronze"),
    ),
    Material(
        name="phosphor bronze bar",
        kind="bronze",
        tensile=360.0,
        source=_PB1_BAR,
        shear_ratio=0.65,
        shear_source=_COPPER_RATIO,
        note="continuously cast",
        aliases=("phosphor bronze", "PB1", "bronze bar", "CC481K"),
    ),
    Material(
        name="brass",
        kind="brass",
        tensile=380.0,
        tensile_high=425.0,
        source=_BRASS_ROD,
        shear_ratio=0.65,
        shear_source=_COPPER_RATIO,
        note="leaded, free cutting; low end of the rod sizes",
        aliases=("CZ121", "free-cutting brass", "brass rod", "leaded brass"),
    ),
    Material(
        name="mild steel",
        kind="steel",
        tensile=360.0,
        source=Source("EN 10025, S235", "from memory", seen=False),
        shear_ratio=0.6,
        shear_source=_STEEL_RATIO,
        aliases=("steel", "EN3", "EN3B", "S235", "structural steel"),
    ),
    Material(
        name="free-cutting steel",
        kind="steel",
        tensile=380.0,
        tensile_high=570.0,
        source=_EN10087,
        shear_ratio=0.6,
        shear_source=_STEEL_RATIO,
        note="low end: hot rolled",
        aliases=("free machining steel", "EN1A", "230M07", "11SMn30"),
    ),
    Material(
        name="cold-drawn free-cutting steel",
        kind="steel",
        tensile=460.0,
        tensile_high=710.0,
        source=_EN10277,
        shear_ratio=0.6,
        shear_source=_STEEL_RATIO,
        aliases=("bright free-cutting steel", "cold drawn EN1A", "bright steel"),
    ),
    Material(
        name="heat-treated steel",
        kind="steel",
        tensile=1103.0,
        source=Source("MS51830E, 4140 or 8740 at 160 ksi (HRC 36 to 40)", "read from a page image"),
        shear_ratio=0.65,
        shear_source=Source("VDI 2230-1:2015 Table 6, quenched and tempered, low end", "read second-hand"),
        note="as ready-made locked bushes are",
        aliases=("hardened and tempered steel", "4140", "8740"),
    ),
    Material(
        name="stainless steel",
        kind="stainless steel",
        tensile=500.0,
        tensile_high=600.0,
        source=Source("303 or 304 bar, annealed", "from memory", seen=False),
        shear_ratio=0.65,
        shear_source=_STAINLESS_RATIO,
        aliases=("stainless", "303", "304", "303 stainless", "304 stainless"),
    ),
)


def plain_name(text: str) -> str:
    """Reduce a name to lower-case words, so that hyphens and spaces do not matter."""
    return " ".join(re.findall(r"[a-z0-9.]+", text.lower()))


@lru_cache(maxsize=1)
def _names() -> dict[str, Material]:
    """Every name and alias, plain, to its material."""
    return {plain_name(name): entry for entry in MATERIALS for name in (entry.name, *entry.aliases)}


def find_material(text: str) -> Material:
    """Find a metal by the name a person gives it.

    Parameters
    ----------
    text : str
        For example ``"cast aluminium"``, ``"LM6"``, ``"cast iron"`` or ``"free-cutting steel"``.

    Returns
    -------
    Material
        The metal, with the low end of its strength.

    Raises
    ------
    MaterialError
        If no table holds the name; the message gives the nearest names.

    Examples
    --------
    >>> find_material("Cast Iron").name, find_material("lm6").tensile
    ('grey iron', 160.0)
    >>> find_material("zinc die-casting").tensile is None
    True
    """
    names = _names()
    wanted = plain_name(text)
    if wanted in names:
        return names[wanted]
    near = [names[name].name for name in get_close_matches(wanted, names, n=3, cutoff=0.6)]
    listed = list(dict.fromkeys(near))
    if listed:
        raise MaterialError(f"material: no table holds {shorten(text)}; did you mean {' or '.join(listed)}?")
    general = ", ".join(entry.name for entry in MATERIALS if plain_name(entry.name) == plain_name(entry.kind))
    raise MaterialError(f"material: no table holds {shorten(text)}; write one of: {general}, mild steel")
