"""Threads of tyre valves (VG): ISO 4570 and JIS D 9422, 60 deg.

JIS prints basic sizes of the ISO profile. ISO 4570 prints limits only, and its nominal size is not the size
from which they hang: there the largest screw stands for the basic size.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import numpy as np

from threadwright.tables.iso_metric import ISO_FORM
from threadwright.tables.numbers import exact, round_columns
from threadwright.tables.system import (
    Array,
    Basic,
    Basis,
    LimitColumns,
    Period,
    Size,
    Source,
    System,
    in_order,
    seed_columns,
)

__all__ = ["SYSTEMS"]

# name:major or nominal diameter in mm:threads per inch (t) or pitch in mm:other names, by "/"
_ISO_READ = "5V2:5.2:24t: 6V1:6:.8:"
_ISO_RECALLED = """
5V1:5.2:36t:.209-36_valve 8V1:7.7:32t:.305-32_valve 10V2:10.3:28t: 12V1:12.2:26t:.482-26_valve
"""
_JIS = "CTV5-36:5.33:36t: CTV5-24:5.1:24t: CTV8-32:7.9:32t: CTV8-30:8.1:30t:"
_EXTERNAL = {  # major max, min; pitch diameter max, min; minor max. [mm]
    "5V2": (5.220, 5.040, 4.705, 4.555, 4.200),
    "6V1": (6.030, 5.830, 5.670, 5.520, 5.385),
}
_INTERNAL = {"5V2": (5.370, 4.865, 4.760)}  # major min; pitch diameter max, min. [mm]
_PLACES = 3


def _columns(system: System, names: tuple[str, ...], rows: dict[str, tuple[float, ...]]) -> dict[str, Array]:
    blank = (np.nan,) * len(names)
    values = np.array([rows.get(size.name, blank) for size in system.sizes])
    return dict(zip(names, values.T, strict=True))


def valve_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes of the ISO profile; those of ISO 4570 with printed limits are its largest screw. [mm]"""
    major, pitch = seed_columns(system)
    external = _columns(
        system,
        ("major_max", "major_min", "pitch_diameter_max", "pitch_diameter_min", "minor_max"),
        dict(_EXTERNAL),
    )
    internal = _columns(system, ("major_min", "pitch_diameter_max", "pitch_diameter_min"), dict(_INTERNAL))
    held = ~np.isnan(external["major_max"])
    by_profile = (
        round_columns(major - 2 * share * pitch, _PLACES)
        for share in (ISO_FORM.addendum, ISO_FORM.depth_over_pitch)
    )
    pitch_diameter, minor = (
        np.where(held, external[f"{part}_max"], computed)
        for part, computed in zip(("pitch_diameter", "minor"), by_profile, strict=True)
    )
    return Basic(np.where(held, external["major_max"], major), pitch_diameter, minor), (
        LimitColumns(side="external", tolerance_class="", columns=external, basis="table"),
        LimitColumns(side="internal", tolerance_class="", columns=internal, basis="table"),
    )


def _sizes() -> tuple[Size, ...]:
    groups: tuple[tuple[str, Basis | None], ...] = (
        (_ISO_READ, "table"),
        (_ISO_RECALLED, "from memory"),
        (_JIS, None),
    )
    sizes = []
    for text, basis in groups:
        for entry in text.split():
            name, major, pitch, other = entry.split(":")
            tpi = exact(pitch.removesuffix("t")) if pitch.endswith("t") else None
            aliases = [f"VG {name}", *(alias.replace("_", " ") for alias in other.split("/") if alias)]
            sizes.append(
                Size(
                    name,
                    exact(major),
                    exact(pitch) if tpi is None else Fraction("25.4") / tpi,
                    aliases=tuple(aliases),
                    basis=basis,
                    tpi=tpi,
                )
            )
    return in_order(sizes)


def _designation(size: Size) -> str:
    return size.name


SYSTEMS = (
    System(
        symbol="VG",
        title="Tyre valve",
        unit="mm",
        form=ISO_FORM,
        seeds=_sizes,
        source=Source(
            "JIS D 9422 Annex A with limits of ISO 4570",
            "5V1, 8V1, 10V2 and 12V1 have nominal size and pitch from memory and the ISO profile, which the "
            "printed limits of 5V2 and 6V1 do not follow: take them as estimates; sizes known by name only "
            "(8V2, 10V1, 11V1, 13V2 and larger) and DIN 7756 are not held",
        ),
        used=(
            "World-wide: valves of tyres and inner tubes, 20th century. 8V1 (0.305-32) is taken for 5/16-32; "
            "CTV8-30 beside CTV8-32; the cap thread 5V2 for No. 12-24."
        ),
        periods=(Period("", 1900, 2100, "met"),),
        designation=_designation,
        rules=valve_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
    ),
)
