"""The printed tables of hexagons: for which threads, where and when, and their rows as printed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from threadwright.tables.numbers import format_mixed
from threadwright.tables.periods import COMMONWEALTH, CONTINENT, NORTH_AMERICA, Period
from threadwright.tables.system import Basis, Source, Unit

__all__ = ["HEXAGON_SERIES", "HexagonSeries", "Part", "printed_rows"]

Part = Literal["head", "nut", "both"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HexagonSeries:
    """One printed table of hexagons."""

    name: str
    standard: str
    period: str
    systems: tuple[str, ...]
    unit: Unit
    source: Source
    rows: Callable[[], str]
    """One size a line or up to a semicolon: name, across flats max and min, then head, nut, lock nut and
    shank, max and min; ``-`` for none, an underscore for a blank inside the name."""
    of: Part = "both"
    basis: Basis = "table"
    spanner: Literal["AF", "BS", "W", "size", "mm"] = "AF"
    periods: tuple[Period, ...] = ()
    """``period`` to compute with; replacements are younger than the machine, so the last one has no end."""


_BRITISH = Source("BS 1083 Tables 1 and 2, reproduced; Machinery's Handbook, 31st edition")
_CHART = Source("spanner equivalence chart", "the openings of spanners marked with both series")
_CAP_SCREW = Source(
    "ASME B18.2.1 and B18.2.2 tables, reproduced", "up to 5/8 in by the table, above by the rule 1.5 D"
)
_RECALLED = Source("workshop knowledge", seen=False)
_UNIFIED = ("UNC", "UNF", "UNEF", "UN", "UNS", "NC", "NF")


def _bs_1083() -> str:
    return """
    1/4   .445  .438  .176 .166  .200  .190  -     -     .2500 .2465
    5/16  .525  .518  .218 .208  .250  .240  -     -     .3125 .3090
    3/8   .600  .592  .260 .250  .312  .302  -     -     .3750 .3715
    7/16  .710  .702  .302 .292  .375  .365  -     -     .4375 .4335
    1/2   .820  .812  .343 .333  .437  .427  -     -     .5000 .4960
    9/16  .920  .912  .375 .365  .500  .490  .333  .323  .5625 .5585
    5/8   1.010 1.000 .417 .407  .562  .552  .375  .365  .6250 .6190
    3/4   1.200 1.190 .500 .480  .687  .677  .458  .448  .7500 .7440
    7/8   1.300 1.288 .583 .563  .750  .740  .500  .490  .8750 .8670
    1     1.480 1.468 .666 .636  .875  .865  .583  .573  1.0000 .9920
    1_1/8 1.670 1.640 .750 .710  1.000 .990  .666  .656
    1_1/4 1.860 1.815 .830 .790  1.125 1.105 .750  .730
    1_3/8 2.050 2.005 .920 .880  1.250 1.230 .833  .813
    1_1/2 2.220 2.175 1.000 .960 1.375 1.355 .916  .896
    1_3/4 2.580 2.520 1.170 1.110 1.625 1.605 1.083 1.063
    2     2.760 2.700 1.330 1.270 1.750 1.730 1.166 1.146"""


def _cycle() -> str:
    sizes = ("1/4", "5/16", "3/8", "7/16", "1/2")
    return "; ".join(
        f"{size} {cells[0]} {cells[1]}" for size, cells in printed_rows(_bs_1083()) if size in sizes
    )


def _sellers(extra: Fraction) -> str:
    quarters = [Fraction(n, 4) for n in range(9, 13)] + [Fraction(n, 4) for n in range(19, 25)]
    eighths = [Fraction(n, 8) for n in range(6, 17)]
    small = [Fraction(n, 16) for n in range(4, 11)]
    lines = []
    for size in (*small, *eighths, *quarters):
        across = Fraction(3, 2) * size + Fraction(1, 8)
        head = across / 2
        if extra < Fraction(1, 8):
            across, head = Fraction(3, 2) * size + extra, size - Fraction(1, 16)
        nut = size if extra == Fraction(1, 8) else size - Fraction(1, 16)
        lines.append(f"{format_mixed(size).replace(' ', '_')} {across} - {head} - {nut} -")
    return "; ".join(lines)


def _one_and_a_half(first: str, sizes: str) -> str:
    """Rows as printed, then 1.5 D."""
    rest = [Fraction(*map(int, text.split("/"))) for text in sizes.split()]
    return first + "".join(
        f"; {format_mixed(size).replace(' ', '_')} {Fraction(3, 2) * size}" for size in rest
    )


def _heavy() -> str:
    sizes = [Fraction(n, 8) for n in (2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 22, 24)]
    sizes += [Fraction(5, 16), Fraction(7, 16), Fraction(9, 16)]
    return "; ".join(
        f"{format_mixed(s).replace(' ', '_')} {Fraction(3, 2) * s + Fraction(1, 8)}" for s in sorted(sizes)
    )


def _iso_272() -> str:
    return """
    M1.6 3.2; M2 4; M2.5 5; M3 5.5; M3.5 6; M4 7; M5 8; M6 10; M7 11; M8 13; M10 16; M12 18; M14 21
    M16 24; M18 27; M20 30; M22 34; M24 36; M27 41; M30 46; M33 50; M36 55; M39 60; M42 65; M45 70
    M48 75; M52 80; M56 85; M60 90; M64 95"""


def _din_931() -> str:
    changed = {"M10 16": "M10 17", "M12 18": "M12 19", "M14 21": "M14 22", "M22 34": "M22 32"}
    lines = [f"{size} {cells[0]}" for size, cells in printed_rows(_iso_272())]
    return "; ".join(changed.get(line, line) for line in lines)


def _jis_normal() -> str:
    kept = {f"M{d}" for d in (3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39)}
    return "; ".join(f"{size} {cells[0]}" for size, cells in printed_rows(_din_931()) if size in kept)


_LARGE = """
    1/8 .3438; 3/16 .4450; 1/4 .5250; 5/16 .6000; 3/8 .7100; 7/16 .8200; 1/2 .9200; 9/16 1.0100
    5/8 1.1000; 11/16 1.2000; 3/4 1.3000"""
_ORIGINAL = """
    1/2 .9191 - .4375 -; 9/16 1.011; 5/8 1.101; 11/16 1.2011; 3/4 1.3012; 13/16 1.39; 7/8 1.4788
    15/16 1.5745; 1 1.6701; 1_1/8 1.8605; 1_1/4 2.0483; 1_3/8 2.2146; 1_1/2 2.4131; 1_5/8 2.5763
    1_3/4 2.7578; 1_7/8 3.0183; 2 3.1492"""
_BS_1768 = """
    1/4 .4375 .4305 .163 .153; 5/16 .5000 .4930 .211 .201; 3/8 .5625 .5545 .243 .233
    7/16 .6250 .6170 .291 .281; 1/2 .7500 .7420 .323 .313; 9/16 .8125 .8045 .371 .361
    5/8 .9375 .9295 .403 .393; 3/4 1.1250 1.1150 .483 .463; 7/8 1.3125 1.3005 .563 .543"""
_BA = """
    0_BA .413; 1_BA .365; 2_BA .324; 3_BA .282; 4_BA .248; 5_BA .220; 6_BA .193; 7_BA .172; 8_BA .152
    9_BA .131; 10_BA .117"""
_CAP = "1/4 7/16; 5/16 1/2; 3/8 9/16; 7/16 5/8; 1/2 3/4; 9/16 13/16; 5/8 15/16"
_NUT = "1/4 7/16; 5/16 1/2; 3/8 9/16; 7/16 11/16; 1/2 3/4; 9/16 7/8; 5/8 15/16"
_SAE = """
    1/4 7/16; 5/16 1/2; 3/8 9/16; 7/16 5/8; 1/2 3/4; 9/16 7/8; 5/8 15/16; 11/16 1; 3/4 17/16; 7/8 5/4
    1 23/16"""
_SMALL_NUT = """
    No._0 5/32; No._1 5/32; No._2 3/16; No._3 3/16; No._4 1/4; No._5 5/16; No._6 5/16; No._8 11/32
    No._10 3/8; No._12 7/16"""
_JIS_SMALL = """
    M8 12; M10 14; M12 17; M14 19; M16 22; M18 24; M20 27; M22 30; M24 32; M27 36; M30 41; M33 46; M36 50
    M39 55"""
_GREAT_BRITAIN = (
    "Great Britain; BSF from 1908, BSW from 1929, the rule from about 1940; obsolescent after 1965"
)

HEXAGON_SERIES: tuple[HexagonSeries, ...] = (
    HexagonSeries(
        name="BS 1083",
        standard="BS 1083, the small Whitworth hexagon",
        period=_GREAT_BRITAIN,
        systems=("BSW", "BSF"),
        unit="in",
        source=_BRITISH,
        rows=_bs_1083,
        spanner="BS",
        periods=(Period(COMMONWEALTH, 1929, 1965, "usual"), Period(COMMONWEALTH, 1908, 2100, "met")),
    ),
    HexagonSeries(
        name="BSF 11/16",
        standard="small Whitworth hexagon, a size not in BS 1083",
        period="Great Britain; from 1908",
        systems=("BSW", "BSF"),
        unit="in",
        source=_CHART,
        rows=lambda: "11/16 1.1000",
        spanner="BS",
        periods=(Period(COMMONWEALTH, 1908, 1965, "usual"), Period(COMMONWEALTH, 1966, 2100, "met")),
    ),
    HexagonSeries(
        name="large Whitworth",
        standard="large Whitworth hexagon, by the spanners made for it",
        period="Great Britain; BSW to about 1940",
        systems=("BSW",),
        unit="in",
        source=_CHART,
        rows=lambda: _LARGE,
        spanner="W",
        periods=(Period(COMMONWEALTH, 1841, 1940, "usual"), Period("", 1841, 2100, "met")),
    ),
    HexagonSeries(
        name="original Whitworth",
        standard="Whitworth's original nuts and heads",
        period="Great Britain; nineteenth century to about 1930",
        systems=("BSW",),
        unit="in",
        source=Source("engineering cyclopaedia, table of Whitworth nuts and bolt heads"),
        rows=lambda: _ORIGINAL,
        spanner="W",
        periods=(Period(COMMONWEALTH, 1841, 1930, "usual"), Period("", 1841, 1950, "rare")),
    ),
    HexagonSeries(
        name="cycle",
        standard="cycle threads with the small Whitworth hexagon",
        period="Great Britain; cycle trade to about 1970",
        systems=("BSC",),
        unit="in",
        source=_RECALLED._replace(note="the usual hexagons; the sizes are those of BS 1083"),
        rows=_cycle,
        basis="from memory",
        spanner="BS",
        periods=(Period(COMMONWEALTH, 1902, 1970, "usual"), Period("", 1902, 2100, "met")),
    ),
    HexagonSeries(
        name="BS 57",
        standard="BS 57, BA screws and nuts",
        period="Great Britain; 1920 to the 1960s",
        systems=("BA",),
        unit="in",
        source=Source("BS 57", "largest sizes; about 1.75 times the major diameter", seen=False),
        rows=lambda: _BA,
        basis="from memory",
        spanner="size",
        periods=(Period(COMMONWEALTH, 1903, 1969, "usual"), Period("", 1903, 2100, "met")),
    ),
    HexagonSeries(
        name="BS 1768",
        standard="BS 1768, Unified precision bolts and nuts",
        period="Great Britain; 1951 to the 1970s",
        systems=_UNIFIED,
        unit="in",
        source=Source("BS 1768 Table 1, reproduced in a fastener-standards table"),
        rows=lambda: _BS_1768,
        of="head",
        periods=(Period(COMMONWEALTH, 1951, 1979, "usual"), Period(COMMONWEALTH, 1980, 2100, "met")),
    ),
    HexagonSeries(
        name="ASME B18.2.1",
        standard="ASME B18.2.1, hexagon cap screws and bolts",
        period="USA; from about 1941, world-wide with Unified threads",
        systems=_UNIFIED,
        unit="in",
        source=_CAP_SCREW,
        rows=lambda: _one_and_a_half(_CAP, "3/4 7/8 1/1 9/8 5/4 11/8 3/2 7/4 2/1 9/4 5/2 11/4 3/1"),
        of="head",
        periods=(Period(NORTH_AMERICA, 1941, 2100, "usual"), Period("", 1949, 2100, "usual")),
    ),
    HexagonSeries(
        name="ASME B18.2.2",
        standard="ASME B18.2.2, hexagon nuts",
        period="USA; from about 1941, world-wide with Unified threads",
        systems=_UNIFIED,
        unit="in",
        source=_CAP_SCREW,
        rows=lambda: _one_and_a_half(_NUT, "3/4 7/8 1/1 9/8 5/4 11/8 3/2"),
        of="nut",
        periods=(Period(NORTH_AMERICA, 1941, 2100, "usual"), Period("", 1949, 2100, "usual")),
    ),
    HexagonSeries(
        name="ASME heavy",
        standard="ASME B18.2.1 and B18.2.2, heavy hexagon: 1.5 D + 1/8 in",
        period="USA; from about 1941",
        systems=("UNC", "UN", "NC"),
        unit="in",
        source=Source("ASME B18.2.1 and B18.2.2, rule for heavy hexagons, reproduced"),
        rows=_heavy,
        basis="computed",
        periods=(Period(NORTH_AMERICA, 1941, 2100, "met"), Period("", 1949, 2100, "rare")),
    ),
    HexagonSeries(
        name="machine screw nut",
        standard="ASME B18.6.3, machine screw nuts",
        period="USA; machine screws",
        systems=(*_UNIFIED, "ASME1907"),
        unit="in",
        source=Source("machine screw nut table, reproduced in an open fastener data set"),
        rows=lambda: _SMALL_NUT,
        of="nut",
        periods=(Period(NORTH_AMERICA, 1907, 2100, "usual"), Period("", 1949, 2100, "usual")),
    ),
    HexagonSeries(
        name="old machine screw",
        standard="American hexagon head machine screws of the old gauge sizes",
        period="USA; to about 1930",
        systems=("ASME1907",),
        unit="in",
        source=Source("old American fastener list"),
        rows=lambda: "No._14 3/8; No._20 1/2; No._24 9/16",
        of="head",
        periods=(Period(NORTH_AMERICA, 1870, 1930, "usual"),),
    ),
    HexagonSeries(
        name="US Standard rough",
        standard="US Standard (Sellers), rough: 1.5 D + 1/8 in",
        period="USA; 1868 to about 1940",
        systems=("USS", "V", "NC"),
        unit="in",
        source=Source("Rose, Mechanical Drawing Self-Taught, US Standard table"),
        rows=lambda: _sellers(Fraction(1, 8)),
        periods=(Period(NORTH_AMERICA, 1868, 1940, "usual"), Period("", 1868, 1960, "met")),
    ),
    HexagonSeries(
        name="US Standard finished",
        standard="US Standard (Sellers), finished: 1.5 D + 1/16 in",
        period="USA; 1868 to about 1940",
        systems=("USS", "V", "NC"),
        unit="in",
        source=Source("Rose, Mechanical Drawing Self-Taught, rule under the US Standard table"),
        rows=lambda: _sellers(Fraction(1, 16)),
        basis="computed",
        periods=(Period(NORTH_AMERICA, 1868, 1940, "usual"), Period("", 1868, 1960, "met")),
    ),
    HexagonSeries(
        name="SAE",
        standard="SAE 1911 heads",
        period="USA; motor trade, 1911 to about 1940",
        systems=("SAE", "NF"),
        unit="in",
        source=Source("SAE 1911", seen=False),
        rows=lambda: _SAE,
        of="head",
        basis="from memory",
        periods=(Period(NORTH_AMERICA, 1911, 1940, "usual"), Period("", 1911, 1960, "met")),
    ),
    HexagonSeries(
        name="milled cap screw",
        standard="American milled cap screws",
        period="USA; to about 1930",
        systems=("USS", "NC"),
        unit="in",
        source=_RECALLED,
        rows=lambda: "3/4 1; 7/8 9/8; 1 5/4",
        of="head",
        basis="from memory",
        periods=(Period(NORTH_AMERICA, 1870, 1930, "met"),),
    ),
    HexagonSeries(
        name="ISO 272",
        standard="ISO 272 (ISO 4014, ISO 4032)",
        period="from about 1980, world-wide",
        systems=("M",),
        unit="mm",
        source=Source("ISO 4014 and ISO 4032 tables, reproduced in open fastener data"),
        rows=_iso_272,
        spanner="mm",
        periods=(Period("", 1980, 2100, "usual"),),
    ),
    HexagonSeries(
        name="DIN 931",
        standard="DIN 931, DIN 933 and DIN 934",
        period="continental Europe; to about 1990, still sold",
        systems=("M", "DIN-M"),
        unit="mm",
        source=Source("DIN 931 and DIN 934 tables, reproduced in open fastener data"),
        rows=_din_931,
        spanner="mm",
        periods=(Period(CONTINENT, 1925, 1990, "usual"), Period("", 1925, 2100, "met")),
    ),
    HexagonSeries(
        name="early DIN",
        standard="German heads before the present DIN sizes",
        period="Germany; to about 1940, M8 to about 1955",
        systems=("M", "DIN-M"),
        unit="mm",
        source=_RECALLED,
        rows=lambda: "M5 9; M6 11; M8 14; M10 17; M12 22",
        basis="from memory",
        spanner="mm",
        periods=(Period("DE AT CH", 1900, 1940, "usual"), Period(CONTINENT, 1900, 1955, "met")),
    ),
    HexagonSeries(
        name="JIS normal",
        standard="JIS B 1180 and B 1181, normal series",
        period="Japan; to the present",
        systems=("M", "JIS-M"),
        unit="mm",
        source=Source("JIS B 1180 annex, reproduced"),
        rows=_jis_normal,
        spanner="mm",
        periods=(Period("JP", 1930, 2100, "usual"),),
    ),
    HexagonSeries(
        name="JIS small",
        standard="JIS B 1180 annex, small series",
        period="Japan; road vehicles and light machines",
        systems=("M", "JIS-M"),
        unit="mm",
        source=Source("JIS B 1180 annex, reproduced"),
        rows=lambda: _JIS_SMALL,
        spanner="mm",
        periods=(Period("JP", 1950, 2100, "met"),),
    ),
    HexagonSeries(
        name="JIS flange",
        standard="JIS B 1189, flange bolts",
        period="Japan; from the 1970s",
        systems=("M",),
        unit="mm",
        source=Source("JIS B 1189, reproduced"),
        rows=lambda: "M5 7; M6 8; M8 10; M10 13; M12 15; M14 18; M16 21",
        of="head",
        spanner="mm",
        periods=(Period("JP", 1970, 2100, "met"),),
    ),
)


def printed_rows(rows: str) -> Iterator[tuple[str, list[str]]]:
    """Name of the size and the other cells of each row, ``-`` for a blank one."""
    for line in rows.replace(";", "\n").splitlines():
        cells = line.split()
        if cells:
            yield cells[0].replace("_", " "), cells[1:]
