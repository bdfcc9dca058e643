"""Parts asked for by name that have the thread of another table: spark plugs, tripods, bicycle parts."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["NAMED_PARTS", "NamedPart"]


class NamedPart(NamedTuple):
    """One part and the thread it has."""

    names: tuple[str, ...]
    designation: str
    """As the thread's own table prints it."""
    note: str


def _spark_plug(size: str, designation: str, note: str) -> NamedPart:
    return NamedPart((f"spark plug {size}", f"{size} spark plug"), designation, note)


_METRIC_PLUG = "ISO 28741; plug 6e, hole 6H (from memory)"

NAMED_PARTS = (
    _spark_plug("8 mm", "M8x1", _METRIC_PLUG),
    _spark_plug("10 mm", "M10x1", _METRIC_PLUG),
    _spark_plug("12 mm", "M12x1.25", _METRIC_PLUG),
    _spark_plug("14 mm", "M14x1.25", f"{_METRIC_PLUG}; from about 1930"),
    _spark_plug("18 mm", "M18x1.5", f"{_METRIC_PLUG}; most European plugs before 1930"),
    NamedPart(("tripod 1/4", "1/4 tripod"), "1/4-20 UNC", "ISO 1222; 1/4-20 BSW on older ones, they mate"),
    NamedPart(("tripod 3/8", "3/8 tripod"), "3/8-16 UNC", "ISO 1222; 3/8-16 BSW on older ones, they mate"),
    NamedPart(("French pedal", "Swiss pedal"), "M14x1.25", "1933; left pedal left hand"),
    NamedPart(("English pedal", "ISO pedal", "Italian pedal"), "9/16-20 BSC", "left pedal left hand"),
    NamedPart(("one-piece crank pedal",), "1/2-20 BSC", "left pedal left hand"),
    NamedPart(
        ("English bottom bracket", "English freewheel"), "1.370-24 BSC", "bracket: fixed cup left hand"
    ),
    NamedPart(("English steerer", "ISO steerer"), "1-24 BSC", "from memory"),
    NamedPart(("axle 9x1",), "M9x1", "continental hub axle"),
    NamedPart(("axle 10x1",), "M10x1", "continental hub axle"),
    NamedPart(("hub gear axle",), "13/32-26 BSC", "one British maker of hub gears"),
)
"""In the order of the kinds."""
