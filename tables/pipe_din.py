"""Parallel pipe threads of DIN 259, worked with an inch of 25.40095 mm: a variant beside ISO 228-1.

Diameters are the inch sizes of the British Standard Pipe thread times that inch; the depth is not rounded.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

from threadwright.tables.din_whitworth import GERMAN_INCH
from threadwright.tables.numbers import exact, round_columns, round_half_up
from threadwright.tables.pipe_parallel import pipe_sizes
from threadwright.tables.system import Basic, LimitColumns, Period, Size, Source, System, seed_columns
from threadwright.tables.whitworth import WHITWORTH_FORM

__all__ = ["SYSTEMS"]

_LARGE = (("7 8 9 10", 10), ("11 12", 8))  # sizes in inches, threads per inch
_OVER_BORE = Fraction("0.45")  # what the larger sizes measure above the inches they name
_READ = ("1/4", "1/2", "3/4", "1", "1 1/4", "1 1/2", "2", "3", "4", "6", "8", "10", "12")
_NOT_LISTED = ("1/16",)
_PLACES = 3


def _size(name: str, inches: Fraction, tpi: int) -> Size:
    return Size(
        name=name,
        major=round_half_up(inches * GERMAN_INCH, _PLACES),
        pitch=Fraction(1, tpi),
        aliases=(f"DIN 259 R {name}", f"R {name} DIN259", f"DIN259 R {name}"),
        basis=None if name in _READ else "from memory",
        nominal=exact(name) * GERMAN_INCH,
    )


def _inches() -> list[tuple[str, Fraction, int]]:
    """Name, old inch size of the major diameter and threads per inch of every size."""
    listed = [
        (size.name, round_half_up(size.major / Fraction("25.4"), _PLACES), size.pitch.denominator)
        for size in pipe_sizes()
        if size.name not in _NOT_LISTED
    ]
    large = [(name, int(name) + _OVER_BORE, tpi) for names, tpi in _LARGE for name in names.split()]
    return listed + large


def _sizes() -> tuple[Size, ...]:
    return tuple(_size(*row) for row in _inches())


def _rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    rounded, pitch = seed_columns(system)
    major = round_columns(rounded / float(GERMAN_INCH), _PLACES) * float(GERMAN_INCH)
    depth = WHITWORTH_FORM.depth_over_pitch * pitch
    return Basic(*(round_columns(major - share * depth, _PLACES) for share in (0, 1, 2))), ()


def _designation(size: Size) -> str:
    return f"R {size.name} DIN 259"


SYSTEMS = (
    System(
        symbol="DIN259",
        title="Pipe thread, parallel, DIN 259",
        unit="mm",
        form=WHITWORTH_FORM,
        seeds=_sizes,
        source=Source(
            "DIN 259 values in a reproduced pipe thread table",
            "the inch of 25.40095 mm is from memory and reproduces every printed value; sizes other than "
            f"{', '.join(_READ)} are those of the British list, from memory; no limits are held",
        ),
        used=(
            "Germany and central Europe from the 1920s (from memory) until ISO 228 replaced it; written "
            "R 1/4 in, which in ISO 7-1 means the taper thread. Diameters are up to 0.006 mm above ISO 228."
        ),
        periods=(Period("DE AT CH NL CZ PL", 1920, 1980, "usual"),),
        designation=_designation,
        rules=_rules,
        default_classes=MappingProxyType({"external": "", "internal": ""}),
        tpi_pitch=True,
        inch=GERMAN_INCH,
    ),
)
