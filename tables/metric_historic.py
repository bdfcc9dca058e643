"""Metric threads before ISO: Systeme International of 1898 (SI), old DIN (DIN-M), old JIS (JIS-M).

SI and old DIN have the Sellers form: flats, or an arc, of an eighth of the triangle's height at both ends.
Major and pitch diameters are those of ISO metric, so an old screw goes into an ISO nut of the same pitch. The
basic minor diameter, that of the old nut, is 0.2165 P smaller than the ISO one: an ISO screw may foul it.
Old JIS has pitches of its own on the form of ISO, in the copy read (which may have recast it).
Tolerances of these standards were not found in print: basic sizes only.

From memory: the lists of SI and DIN; the root of the old DIN screw, d - 1.389 P with a radius of 0.0633 P;
that of SI, which may be up to P/16 deeper than the flat.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, partial
from types import MappingProxyType

from threadwright.tables import iso_metric
from threadwright.tables.historic_american import SELLERS_FORM
from threadwright.tables.numbers import exact, format_decimal
from threadwright.tables.system import (
    Basic,
    Basis,
    LimitColumns,
    Period,
    Side,
    Size,
    Source,
    System,
    fine_first,
    in_order,
    seed_columns,
)

__all__ = ["OLD_METRIC_FORM", "SYSTEMS", "old_metric_rules"]

OLD_METRIC_FORM = SELLERS_FORM.but(name="SI 60 deg", root_end="rounded")

# diameter x pitch [mm], groups by choice; "!" ends an entry that was read, the rest is from memory
_SI_UP_TO_68 = """
6x1 7x1 8x1.25 9x1.25 10x1.5 11x1.5 12x1.75 14x2 16x2 18x2.5 20x2.5 22x2.5 24x3 27x3 30x3.5 33x3.5 36x4 39x4
42x4.5 45x4.5 48x5 52x5 56x5.5 60x5.5 64x6 68x6
"""
_SI_ABOVE = "72x6.5 76x6.5 80x7"
_FRENCH_OF_1894 = "8x1 12x1.5"
_DIN_SMALL = "1x0.25 1.2x0.25 1.4x0.3 1.7x0.35! 2x0.4 2.3x0.4! 2.6x0.45! 3x0.5 3.5x0.6 4x0.7 5x0.8"
_DIN_SECOND = "4.5x0.75 5.5x0.9"
# French (CNM) and other European pitches of before ISO, still on sale in Germany; further fine pitches of the
# DIN lists; two odd ones of data sets, origin not known.
_EUROPEAN = "3x0.6! 3.5x0.75! 4x0.75! 5x0.9! 13x1.75! 15x2!"
_DIN_FINE = "10x0.5! 22x3! 24x2.5! 40x2.5!"
_ODD = "10x1.12! 16x1.6!"
_JIS = "3x0.6! 4x0.75! 5x0.9! 5.5x0.9! | 4.5x0.75"

_SI = f"{_SI_UP_TO_68} {_SI_ABOVE} | | {_FRENCH_OF_1894}"
_DIN = f"{_DIN_SMALL} {_SI_UP_TO_68} | {_DIN_SECOND} | {_EUROPEAN} {_DIN_FINE} {_ODD}"


def old_metric_rules(system: System) -> tuple[Basic, tuple[LimitColumns, ...]]:
    """Basic sizes to 0.001 mm, no limits. [mm]"""
    return iso_metric.metric_basic(system.form, *seed_columns(system)), ()


@cache
def _sizes_of_iso() -> frozenset[tuple[float, float]]:
    (metric,) = iso_metric.SYSTEMS
    return frozenset(map(fine_first, metric.sizes))


def _sizes(text: str, suffix: str) -> tuple[Size, ...]:
    """Read a list; pitches that ISO 261 does not have are also found without the suffix."""
    of_iso = _sizes_of_iso()
    sizes = []
    for choice, group in enumerate(text.split("|"), start=1):
        for entry in group.split():
            diameter, pitch = entry.rstrip("!").split("x")
            basis: Basis = "computed" if entry.endswith("!") else "from memory"
            aliases = [f"{suffix} {diameter}x{pitch}"]
            if (float(diameter), float(pitch)) not in of_iso:
                aliases.append(f"M{diameter}x{pitch}")
            sizes.append(Size(f"M{diameter}", exact(diameter), exact(pitch), choice, tuple(aliases), basis))
    return in_order(sizes, coarse_first=True)


def _designation(suffix: str, size: Size) -> str:
    return f"{size.name}x{format_decimal(size.pitch)} {suffix}"


_NO_CLASSES: Mapping[Side, str] = MappingProxyType({"external": "", "internal": ""})

SYSTEMS = (
    System(
        symbol="SI",
        title="Systeme International of 1898",
        unit="mm",
        form=OLD_METRIC_FORM,
        seeds=partial(_sizes, _SI, "SI"),
        source=Source(
            "Congress of Zurich, October 1898; Kress, Gewindetoleranzen",
            "range 6 to 80 mm read; sizes, pitches and constants from memory; 8x1 and 12x1.5 are of the "
            "French series of 1894 (from memory, doubtful); no limits were found",
            seen=False,
        ),
        used=(
            "France, Switzerland, Germany, Italy, from 1898 to about 1930, then as the national standards "
            "that followed it, and replaced by ISO about 1959."
        ),
        periods=(
            Period("FR CH DE IT", 1898, 1930, "usual"),
            Period("FR CH DE IT", 1931, 1959, "met"),
        ),
        designation=partial(_designation, "SI"),
        rules=old_metric_rules,
        default_classes=_NO_CLASSES,
        basis="from memory",
    ),
    System(
        symbol="DIN-M",
        title="DIN 13 and 14 before ISO, old European",
        unit="mm",
        form=OLD_METRIC_FORM,
        seeds=partial(_sizes, _DIN, "DIN"),
        source=Source(
            "DIN 13 and DIN 14 of 1919-23; a German list of dies for old pitches; size lists after DIN 13",
            "the coarse list from memory except 1.7, 2.3 and 2.6 mm; 3x0.6, 4x0.75 and 5x0.9 are of the "
            "French CNM series (from memory), 3.5x0.75, 13x1.75 and 15x2 are sold as old pitches without an "
            "origin; 10x0.5, 22x3, 24x2.5 and 40x2.5 are fine pitches of the lists; 10x1.12 and 16x1.6 stand "
            "in data sets without an origin; no limits were found",
        ),
        used=(
            "Germany, Austria, Italy, Sweden and their neighbours, from 1919-23 to about 1970; the small "
            "sizes came from Loewenherz. France for 3x0.6, 4x0.75 and 5x0.9. Screws of 3, 4 and 5 mm with "
            "these pitches cross-thread in ISO nuts."
        ),
        periods=(
            Period("DE AT IT SE NO DK CH NL CZ PL", 1919, 1970, "usual"),
            Period("FR", 1919, 1970, "rare"),
        ),
        designation=partial(_designation, "DIN"),
        rules=old_metric_rules,
        default_classes=_NO_CLASSES,
    ),
    System(
        symbol="JIS-M",
        title="JIS metric before ISO",
        unit="mm",
        form=iso_metric.ISO_FORM,
        seeds=partial(_sizes, _JIS, "JIS"),
        source=Source(
            "old JIS coarse series in a JIS reproduction",
            "4.5x0.75 from memory; the copy may have recast the sizes on the form of ISO; no limits found",
        ),
        used=(
            "Japan to 1964-68; the other coarse sizes are those of ISO metric. ISO screws of the years after "
            "the change carry a dimple on the head. 5.5x0.9 was in the German list too (from memory)."
        ),
        periods=(Period("JP", 1920, 1968, "usual"),),
        designation=partial(_designation, "JIS"),
        rules=old_metric_rules,
        default_classes=_NO_CLASSES,
    ),
)
