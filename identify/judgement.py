"""Every number that is judgement, once, with its basis.

A figure with a printed source belongs to ``threadwright.tables``. What stands here is experience,
or a printed figure widened for an old thread; each says which. Nothing here is computed.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

# --- readings that no screw thread shows ----------------------------------------------------------

# Shortest and longest length accepted for anything measured [mm]: a slip of the decimal point or of
# the unit falls outside. Basis: common practice, no source.
LEAST_LENGTH_MM: Final = 0.01
GREATEST_LENGTH_MM: Final = 2000.0

# Finest and coarsest pitch accepted [mm]: watch screws go down to about 0.07 mm, and 50 mm is coarser than
# any fastener. Basis: common practice, no source.
LEAST_PITCH_MM: Final = 0.05
GREATEST_PITCH_MM: Final = 50.0

# Least and greatest angle of one flank accepted [deg]. Basis: common practice, no source.
LEAST_FLANK_DEG: Final = 5.0
GREATEST_FLANK_DEG: Final = 50.0

# Smallest standard uncertainty accepted: no workshop instrument on an old thread resolves less.
# Basis: common practice, no source.
LEAST_U_MM: Final = 0.0001
LEAST_U_DEG: Final = 0.01

# A standard uncertainty from this share of the reading upwards leaves no reading.
# Basis: common practice, no source.
GREATEST_U_SHARE: Final = 0.5

# Most pitches counted along a rule in one reading. Basis: common practice, no source.
MOST_PITCHES: Final = 500

# Two readings contradict each other when they do so by more than this many combined standard uncertainties.
# Basis: common practice, no source.
CONTRADICTION_IN_U: Final = 3.0

# --- instruments, on an old thread ----------------------------------------------------------------

# Standard uncertainty of one reading of a length [mm]. The error limits in print are for the
# instrument alone (caliper 0.02 and 0.05 mm, inside jaws 0.02 mm more: DIN 862; micrometer 0.004 mm:
# DIN 863); burrs, ovality and touch on an old thread are most of the figure. Basis of the figures:
# common practice, no source.
INSTRUMENT_U_MM: Final[Mapping[str, float]] = MappingProxyType(
    {
        "digital caliper": 0.02,
        "vernier caliper": 0.03,
        "inside jaws": 0.035,
        "micrometer": 0.006,
        "thread micrometer": 0.015,  # with anvils for the right angle and pitch
        "wires": 0.006,  # the micrometer laid over them; the wires' own doubt is added by its formula
        "steel rule": 0.15,  # one length, read at both ends; over N pitches each pitch has 0.15/N
        "plug gauge": 0.005,  # how sharply "enters" turns into "does not" at each end of the interval
        "drill shank": 0.01,  # the same; shanks are a little under size, and scored
    }
)

# Standard uncertainty of one flank angle held against a protractor, or read from a shadow or a scan [deg].
# Basis: common practice, no source.
FLANK_ANGLE_U_DEG: Final = 1.0

# Standard uncertainty of the diameter of a smooth, clean wire [mm]; instruments not named here have
# the same as on a thread. Basis: common practice, no source.
WIRE_U_MM: Final[Mapping[str, float]] = MappingProxyType({"micrometer": 0.002, "wires": 0.002})

# Elastic flattening of wires and flanks under a hand micrometer [mm], added to the uncertainty of a
# measurement over wires instead of corrected. Basis: Hertz contact gives 2 to 7 um in steel at 4 to
# 10 N; the habit of adding it is common practice, no source.
WIRE_FLATTENING_U_MM: Final = 0.005

# A wire inside these shares of the pitch may touch the flanks of some form: the geometric range is
# 0.486 (30 deg trapezoidal) to 1.010 (60 deg, flat crest), widened for doubt about the pitch. Basis:
# geometry; the widening is common practice, no source.
LEAST_WIRE_SHARE: Final = 0.45
GREATEST_WIRE_SHARE: Final = 1.05

# Pitches laid along the comb when no visible length is given. Basis: common practice, no source.
COMB_PITCHES: Final = 10

# --- how a screw or hole that has been in use differs from its limits -----------------------------

# The true size is taken to lie anywhere in one of a few bounded zones. A zone stretches the
# standard's limits: (name, low end in pitches, high end in pitches, both ends in tolerances). Basis
# of the zones: common practice, no source; the share outside the limits when new: 25 of about 200 new
# bolts lay outside their pitch-diameter limits (student study of American National and Unified bolts
# over three wires, 2011).
ZONES: Final[Mapping[tuple[str, str], tuple[tuple[str, float, float, float], ...]]] = MappingProxyType(
    {
        ("external", "major"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("crests worn", -0.10, -0.01, 0.0),
            ("crests badly worn", -0.30, -0.06, 0.0),
        ),
        ("external", "pitch_diameter"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("flanks worn", -0.05, 0.0, 0.0),
            ("flanks stripped", -0.25, -0.02, 0.0),
        ),
        ("external", "minor"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("roots filled", 0.0, 0.10, 0.0),
            ("roots filled with rust or metal", 0.0, 0.25, 0.0),
        ),
        ("internal", "major"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("roots filled", -0.10, 0.0, 0.0),
            ("roots torn", 0.0, 0.25, 0.0),
        ),
        ("internal", "pitch_diameter"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("flanks worn", 0.0, 0.05, 0.0),
            ("flanks stripped", 0.02, 0.25, 0.0),
        ),
        ("internal", "minor"): (
            ("unworn", 0.0, 0.0, 0.0),
            ("outside the limits when new", 0.0, 0.0, 0.5),
            ("drilled large or worn", 0.0, 0.15, 0.0),
            ("crests stripped", 0.05, 0.50, 0.0),
        ),
    }
)

# Share of each of the four zones by the condition of the part. A plated part shares the weights of an
# unknown one. Basis: common practice, no source.
ZONE_SHARES: Final[Mapping[str, tuple[float, float, float, float]]] = MappingProxyType(
    {
        "unknown": (0.66, 0.12, 0.18, 0.04),
        "good": (0.86, 0.12, 0.02, 0.0),
        "worn": (0.20, 0.12, 0.50, 0.18),
        "stripped": (0.10, 0.10, 0.25, 0.55),
        "plated": (0.66, 0.22, 0.10, 0.02),
    }
)

# Zone taken where a standard gives no limits for a size: (low end, high end) in pitches from the
# basic size. Basis: width of the medium classes of ISO 965-1, ASME B1.1 and BS 84 in print, taken
# over; an estimate.
ESTIMATED_ZONE: Final[Mapping[tuple[str, str], tuple[float, float]]] = MappingProxyType(
    {
        ("external", "major"): (-0.20, 0.0),
        ("external", "pitch_diameter"): (-0.12, 0.0),
        ("external", "minor"): (-0.25, 0.0),
        ("internal", "major"): (0.0, 0.25),
        ("internal", "pitch_diameter"): (0.0, 0.15),
        ("internal", "minor"): (0.0, 0.25),
    }
)

# Daylight that the eye still sees between a comb's blade and the crests [mm]: 0.05 to 0.1 mm at best.
# Basis: common practice, no source.
COMB_DAYLIGHT_MM: Final = 0.08

# Share of comb readings taken on poor or dirty threads, and how far those scatter, as a share of the pitch.
# Basis: common practice, no source.
COMB_POOR_SHARE: Final = 0.03
COMB_POOR_SPREAD: Final = 0.05

# Cumulative pitch error of a commercial thread, as a share of the pitch: it widens a measured pitch.
# Basis: common practice, no source.
PITCH_ERROR_SHARE: Final = 0.002

# Flank angle error of a commercial thread [deg]. Basis: common practice, no source.
FLANK_ERROR_DEG: Final = 0.5

# --- how common threads are -----------------------------------------------------------------------

# Weight of each system on machines of the 1880s to the 1960s whose origin is not known; they need not
# add to one. Basis: common practice, no source.
SERIES_WEIGHT: Final[Mapping[str, float]] = MappingProxyType(
    {
        "M": 0.34,
        "UNC": 0.12,
        "UNF": 0.10,
        "UNEF": 0.01,
        "UN": 0.05,
        "UNS": 0.01,
        "BSW": 0.14,
        "BSF": 0.09,
        "BSB": 0.02,
        "BA": 0.08,
        "BSC": 0.03,
        "G": 0.04,
        "MJ": 0.0005,
        "S": 0.001,
        "UNM": 0.001,
        "SI": 0.01,
        "DIN-M": 0.02,
        "JIS-M": 0.004,
        "UNJ": 0.0005,
        "NC": 0.03,
        "NF": 0.03,
        "USS": 0.01,
        "V": 0.001,
        "ASME1907": 0.006,
        "SAE": 0.008,
        "R": 0.01,
        "Rc": 0.005,
        "Rp": 0.005,
        "DIN259": 0.005,
        "NPT": 0.02,
        "NPSM": 0.001,
        "NPSC": 0.0005,
        "NH": 0.001,
        "Tr": 0.01,
        "ACME": 0.008,
        "STUB-ACME": 0.001,
        "S-BUTT": 0.001,
        "BUTT": 0.0005,
        "WHIT": 0.002,
        "ME": 0.003,
        "CON": 0.003,
        "RMS": 0.0005,
        "DIN11": 0.01,
        "LOEW": 0.003,
        "THURY": 0.0005,
        "BC": 0.001,
        "BCR": 0.0003,
        "VG": 0.0005,
        "Rd": 0.001,
        "Pg": 0.001,
        "E": 0.0005,
    }
)

# Weight of a system that the list above does not name. Basis: common practice, no source.
OTHER_SERIES_WEIGHT: Final = 0.005

# Weight of a size by its order of preference in the standard (first, second, third choice).
# Basis: common practice, no source.
CHOICE_WEIGHT: Final[Mapping[int, float]] = MappingProxyType({1: 1.0, 2: 0.3, 3: 0.08})

# How common fasteners of a diameter are: a bell curve in the logarithm of the diameter around this
# size [mm], with this spread, over a floor. Basis: common practice, no source.
COMMON_DIAMETER_MM: Final = 8.0
DIAMETER_SPREAD_LOG: Final = 0.75
DIAMETER_FLOOR: Final = 0.02

# A fine pitch of the metric system against the coarse one of the same size. Basis: common practice,
# no source.
FINE_METRIC_WEIGHT: Final = 0.12

# Weight of each tolerance class, by side. Commercial black bolts were mostly made to the free class
# and their nuts to the normal one (BS 916 amendment 2 of 1961, clause 7); the figures are common
# practice, no source.
CLASS_WEIGHT: Final[Mapping[str, float]] = MappingProxyType(
    {
        "6g": 0.62,
        "6h": 0.15,
        "8g": 0.15,
        "6e": 0.03,
        "4h": 0.05,
        "6H": 0.75,
        "5H": 0.08,
        "6G": 0.05,
        "7H": 0.12,
        "1A": 0.10,
        "2A": 0.75,
        "3A": 0.15,
        "1B": 0.10,
        "2B": 0.75,
        "3B": 0.15,
        "close": 0.15,
        "medium": 0.45,
        "free": 0.40,
        "normal": 0.70,
        "A": 0.5,
        "B": 0.5,
    }
)
OTHER_CLASS_WEIGHT: Final = 0.3

# Chance that a fastener is none of the threads in the catalogue. Basis: common practice, no source.
NONE_OF_THESE: Final = 0.02

# Least and greatest size over which the density of "none of these" is spread evenly in the logarithm
# [mm], and the width over which its second diameter is spread, as a share of the diameter; its flank
# angle is spread over 10 to 45 degrees. Basis: common practice, no source.
NONE_DIAMETERS_MM: Final = (0.5, 300.0)
NONE_PITCHES_MM: Final = (0.1, 10.0)
NONE_DIAMETER_SHARE: Final = 0.3

# Pitch of a thread that is in no table: mostly near this share of its diameter, with this spread of the
# logarithm, and in a few cases anything. Basis: common practice, no source.
NONE_PITCH_SHARE: Final = 0.13
NONE_PITCH_SPREAD_LOG: Final = 0.5
NONE_ODD_PITCH: Final = 0.1

NONE_FLANK_RANGE_DEG: Final = 35.0

# Probability from which a candidate counts as settled, and below which it is left out of a plan.
# Basis: common practice, no source.
SETTLED: Final = 0.95
WORTH_PLANNING: Final = 0.05

# Doubt that a reading must be expected to take away to be worth naming [bit], and by what share a case
# with all its doubt left counts for more than one that is nearly settled, when readings are planned [-].
# Basis: common practice, no source.
LEAST_BITS: Final = 0.03
DOUBT_ON_THE_WAY: Final = 0.1

# Plans whose expected minutes differ by less than this share are equal, and of them the one that begins
# with what tells most is taken [-]. Basis: the minutes, found from some hundred cases, are that uncertain.
AS_SOON: Final = 0.02

# Candidates whose probability is less than this share of what may be left open do not count in a plan [-].
# Basis: in simulated cases the minutes to 99 % rise by 4 % with a share of one, and fall no more below this.
PLANNED_SHARE: Final = 0.05

# --- the bush -------------------------------------------------------------------------------------

# Least wall of a bush by its metal: share of the inner pitch [-] and fixed wall [mm], the greater
# counts. Basis: published thin-wall bushes of heat-treated steel keep 0.33 to 1.06 pitches (0.42 to
# 0.79 mm, MS51830, MIL-DTL-45932/3); the figures for shop-made ones are common practice, no source.
LEAST_WALL: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "steel": (0.6, 0.7),
        "stainless steel": (0.6, 0.7),
        "brass": (0.8, 1.0),
        "bronze": (0.8, 1.0),
    }
)

# Least distance from the hole's centre to the edge of the metal, in outer diameters of the bush, by parent
# metal. Basis: design articles on inserts say 1 or more, more in brittle metal; the figures are common
# practice, no source.
EDGE_DISTANCE: Final[Mapping[str, float]] = MappingProxyType(
    {
        "cast aluminium": 1.5,
        "grey iron": 2.0,
        "SG iron": 2.0,
        "zinc die casting": 2.0,
        "magnesium": 2.0,
        "bronze": 1.5,
        "brass": 1.5,
        "steel": 1.5,
        "stainless steel": 1.5,
    }
)

# How far the edge distance may fall short before the thread is refused, as a share of it: the rule is
# a round figure and a boss is measured on a rough casting. Such a thread comes last and says so.
# Basis: common practice, no source.
EDGE_SHORTFALL: Final = 0.1

# Strip loads are at least this many times the screw's breaking load (or the clamp load asked for), so that
# the screw is the fuse. Basis: common practice, no source.
STRIP_FACTOR: Final = 1.25

# Greatest clamp load as a share of the weakest part of a repaired joint. Basis: common practice, no source
# (NASA TM-106943 aims at 65 % of yield for a new one).
CLAMP_SHARE: Final = 0.6

# Pitches of an engaged length that carry nothing: one at each end, chamfer and countersink.
# Basis: VDI 2230 adds two pitches to the effective length; read second-hand.
LOST_PITCHES: Final = 2.0

# Fewest full threads that make a joint at all. Basis: common practice, no source.
LEAST_FULL_THREADS: Final = 3.0

# Hoop stress round the hole above this share of the parent's tensile strength earns a caution, at the load
# the joint is worked for. Basis: common practice, no source.
HOOP_SHARE: Final = 0.5

# Largest outer thread looked at, as a multiple of the greatest inner major diameter.
# Basis: common practice, no source.
LARGEST_BUSH: Final = 2.5

# Weight of a system by how usual it was where and when the machine was made; "not usual" is outside
# all the periods its module tells of. Basis: common practice, no source.
STANDING_WEIGHT: Final[Mapping[str, float]] = MappingProxyType(
    {"usual": 1.0, "met": 0.2, "rare": 0.03, "not usual": 0.004}
)

# How many fasteners of a machine's own record weigh as much as the general weights.
# Basis: common practice, no source.
RECORD_STRENGTH: Final = 3.0

# --- other evidence -------------------------------------------------------------------------------

# Most starts a fastening or feed screw has. Basis: common practice, no source.
MOST_STARTS: Final = 8

# Standard uncertainty of the advance in one turn, taken with a rule or caliper [mm].
# Basis: common practice, no source.
LEAD_U_MM: Final = 0.15

# How far apart two diameters are usually read for a taper [pitches], and by how much of a nominal taper real
# ones differ, gauge length and wear included [-]. Basis: common practice, no source.
TAPER_APART_PITCHES: Final = 6
TAPER_SPREAD_SHARE: Final = 0.25

# Standard uncertainty of a taper that was stated, not measured. Basis: common practice, no source.
STATED_TAPER_U: Final = 0.005

# Standard uncertainty of a size across flats [mm]: a hexagon read with a caliper on rusty corners; the size
# marked on a spanner is exact, and its opening is near it. Basis: common practice, no source.
FLATS_U_MM: Final[Mapping[str, float]] = MappingProxyType({"head": 0.08, "nut": 0.08, "spanner": 0.02})

# How common each series of hexagons is among fasteners of its threads where origin and year are not known;
# 1 for those not named. Basis: common practice, no source.
HEXAGON_WEIGHT: Final[Mapping[str, float]] = MappingProxyType(
    {
        "original Whitworth": 0.4,
        "BS 1768": 0.5,
        "ASME heavy": 0.2,
        "milled cap screw": 0.3,
        "ISO 272": 0.6,
        "early DIN": 0.2,
        "JIS normal": 0.15,
        "JIS small": 0.1,
        "JIS flange": 0.1,
    }
)

# The same by how usual it was where and when the machine was made; nearer to one than for threads, as heads
# and nuts are replaced. Basis: common practice, no source.
HEXAGON_STANDING: Final[Mapping[str, float]] = MappingProxyType(
    {"usual": 1.0, "met": 0.3, "rare": 0.1, "not usual": 0.05}
)

# Share of hexagons that are not of the thread's own standard: made in the shop, filed for another spanner, or
# of another system (metric threads with Whitworth hexagons were made). Half of them are some standard's
# hexagon for about that diameter, within this spread of the logarithm. Basis: common practice, no source.
FOREIGN_HEXAGON: Final = 0.12
ALIKE_SPREAD_LOG: Final = 0.03

# Any hexagon: its size across flats over the major diameter, and the spread of the logarithm. Basis: the
# printed tables run from 1.45 (1 in) to 1.85 (3 mm); the spread is common practice, no source.
FLATS_RATIO: Final = 1.65
FLATS_SPREAD_LOG: Final = 0.2

# Share of hexagons worn smaller or filed, and how much smaller they are at most, as a share.
# Basis: common practice, no source.
WORN_HEXAGON: Final = 0.15
HEXAGON_WEAR: Final = 0.03

# A spanner that fits a hexagon: how often the size is the one marked on it, how often that of its measured
# opening, and how often of a spanner of another series that goes on with room to spare, up to this share.
# Basis: common practice, no source; 13 mm goes on 1/2 in, 2.4 % larger.
SPANNER_SHARES: Final = (0.5, 0.3, 0.2)
LOOSE_SPANNER: Final = 0.035

# Share of fasteners that have a hexagon at all. Basis: common practice, no source.
HAVE_A_HEXAGON: Final = 0.6

# How the crests look by how the form finishes them: chances of flat, rounded and sharp. Wear rounds
# flat crests and flattens rounded ones. Basis: common practice, no source.
CREST_LOOK: Final[Mapping[str, tuple[float, float, float]]] = MappingProxyType(
    {"flat": (0.72, 0.22, 0.06), "rounded": (0.20, 0.75, 0.05), "sharp": (0.25, 0.15, 0.60)}
)

# Clearance hole over the screw's major diameter: mean of the logarithm of the ratio and its spread.
# ISO 273 medium holes are 4 to 10 % over (from memory); old drilled holes scatter more. Basis: common
# practice, no source.
CLEARANCE_RATIO_LOG: Final = 0.07
CLEARANCE_SPREAD_LOG: Final = 0.04

# Trying a known piece: it is taken to start if the interference on the effective diameter is below
# this [mm], with this softness; the chamfer, burrs and spring add this many turns; it runs in from
# this many turns; and this share of trials says nothing. Basis: common practice, no source.
START_SLACK_MM: Final = 0.02
START_SOFTNESS_MM: Final = 0.015
EXTRA_TURNS: Final = 1.0
RUNS_IN_TURNS: Final = 6.0
TURNS_SPREAD: Final = 1.0
POOR_TRIALS: Final = 0.04

# Greatest shrinkage of a cast that is still a measurement [%], and its standard uncertainty as a
# share of the diameter. Basis: common practice, no source.
GREATEST_SHRINKAGE: Final = 5.0
SHRINKAGE_U: Final = 0.002

# Angles of a thread micrometer's anvils that are one [deg], how near they must be to the thread's,
# and the standard uncertainty they add when they are not: a bias of up to a few hundredths. Basis:
# common practice, no source.
ANVIL_RANGE_DEG: Final = (25.0, 90.0)
ANVIL_TOLERANCE_DEG: Final = 1.0
WRONG_ANVIL_U_MM: Final = 0.03

# Thickness of the coating on an old plated part [mm]: chrome, nickel and cadmium are usually 5 to 12
# um thick. Basis: common practice, no source.
PLATING_MM: Final = (0.003, 0.012)

# Doubt of a plating of stated thickness, as a share of it: crests take more than flanks and roots. No plating
# of a thread is thicker than the last number [mm]. Basis: common practice, no source.
PLATING_U_SHARE: Final = 0.25
THICKEST_PLATING_MM: Final = 0.2

# --- what a reading costs -------------------------------------------------------------------------

# Minutes that a reading takes a practised person with the tools at hand, by side.
# Basis: common practice, no source.
EFFORT_MINUTES: Final[Mapping[tuple[str, str], float]] = MappingProxyType(
    {
        ("external", "major"): 0.5,
        ("external", "minor"): 3.0,
        ("external", "pitch_diameter"): 3.0,
        ("external", "over_wires"): 6.0,
        ("external", "pitch"): 1.0,
        ("external", "counted"): 2.0,
        ("external", "flank_angle"): 8.0,
        ("external", "crest"): 0.5,
        ("external", "tried"): 1.5,
        ("external", "across_flats"): 0.5,
        ("external", "taper"): 1.0,
        ("internal", "taper"): 3.0,
        ("internal", "major"): 15.0,
        ("internal", "minor"): 2.0,
        ("internal", "pitch_diameter"): 15.0,
        ("internal", "pitch"): 2.0,
        ("internal", "counted"): 8.0,
        ("internal", "flank_angle"): 20.0,
        ("internal", "tried"): 1.5,
    }
)

# How each reading is taken, in the words of the advice.
HOW_TO_READ: Final[Mapping[tuple[str, str], str]] = MappingProxyType(
    {
        ("external", "major"): "the major diameter, over the crests",
        ("external", "minor"): "the minor diameter",
        ("external", "pitch_diameter"): "the pitch diameter, with a thread micrometer",
        ("external", "pitch"): "the pitch, with a comb",
        ("external", "counted"): "the pitch, by counting ten pitches along a rule",
        ("external", "flank_angle"): "the flank angle, against a bright background or on an enlarged picture",
        ("external", "crest"): "the crests, flat or rounded, under a loupe",
        ("external", "taper"): "the major diameter at both ends, and how far apart, for a taper",
        ("internal", "taper"): "the bore at the mouth and deeper, and how far apart, for a taper",
        ("internal", "major"): "the major diameter, on a cast of the hole",
        ("internal", "minor"): "the minor diameter, by the largest drill shank that enters",
        ("internal", "pitch_diameter"): "the pitch diameter, on a cast of the hole",
        ("internal", "pitch"): "the pitch, with a comb",
        ("internal", "counted"): "the pitch, by counting ten pitches on a cast or rubbing",
        ("internal", "flank_angle"): "the flank angle, on a cast of the hole",
        ("external", "across_flats"): "its hexagon, across flats",
    }
)

# Pitches counted along a rule, leaders whose own piece is proposed for a trial, and the step in which
# needles and drill shanks to serve as wires come [mm]. Basis: common practice, no source.
COUNTED_PITCHES: Final = 10
PIECES_TRIED: Final = 3

# Weight of a system from which a shop has screws and nuts of it to try. Basis: common practice, no source.
COMMON_SERIES: Final = 0.07
WIRE_STEP_MM: Final = 0.05

# --- slips of the person who measures -------------------------------------------------------------

# Share of fasteners on which each slip is made. Basis: common practice, no source.
SLIP_SHARE: Final[Mapping[str, float]] = MappingProxyType(
    {
        "inch": 0.004,  # written as millimetres, meant in inches
        "millimetre": 0.004,  # written as inches, meant in millimetres
        "radius": 0.002,
        "leaf": 0.006,
        "count": 0.008,
        "zero": 0.003,
        "wire": 0.003,
        "side": 0.002,
    }
)

# Zero errors of a caliper [mm] and errors of a wire's size [mm] that are tried. Basis: common
# practice, no source.
ZERO_ERRORS_MM: Final = (-0.4, -0.2, -0.1, 0.1, 0.2, 0.4)
WIRE_ERRORS_MM: Final = (-0.1, -0.05, 0.05, 0.1)

# Probability of "none of these" from which slips are looked for. Basis: common practice, no source.
LOOK_FOR_SLIPS: Final = 0.05

# Probability of a slip from which it is told. Basis: common practice, no source.
SLIP_TOLD: Final = 0.5

# Pitches from the small end to the gauge plane of a taper thread whose length is not held.
# Basis: common practice, no source.
TAPER_PITCHES: Final = 5.0

# --- pictures of screws -----------------------------------------------------------------------------------

# Most pixels of a picture read at all: a whole A4 sheet at 600 dpi. Basis: memory, about 1 GB while
# measuring.
MOST_PIXELS: Final = 40_000_000

# Standard uncertainty of the scale that a dpi figure alone gives, each direction for itself, as a share.
# Basis: common practice, no source.
DPI_U_SHARE: Final = 0.003

# Standard uncertainty of one edge of a picture for lamp, blur and shadow beside the screw [pixels]; the same
# along a whole edge. Basis: common practice, no source; tests/bench/scan_accuracy.py shows it covers drawn
# shadows.
EDGE_U_PIXELS: Final = 0.10

# The part of it that differs between the two ends of a flank and turns its angle [pixels]. Basis: as above.
FLANK_EDGE_U_PIXELS: Final = 0.05

# How far the axis of a screw may lie out of the plane of the picture without being seen [deg]: it shortens
# the pitch. Basis: common practice, no source.
OUT_OF_PLANE_DEG: Final = 1.0

# Fewest whole threads, and fewest pixels in a pitch, from which a picture is measured.
# Basis: common practice, no source.
LEAST_THREADS: Final = 4
LEAST_PITCH_PIXELS: Final = 12.0

# Most blur as a share of the pitch (standard deviation of the edge). Basis: a quarter of the straight flank
# of the common forms is then rounded off.
MOST_BLUR_SHARE: Final = 0.07

# Least difference between light and dark, as a share of white. Basis: common practice, no source.
LEAST_CONTRAST: Final = 0.15

# Furthest that the axis may be turned from the rows or columns [deg]: beyond it unequal scales of the two
# directions look like unequal flanks. Basis: common practice, no source.
MOST_TURN_DEG: Final = 20.0

# Greatest growth of the pitch from one end of the thread to the other, as a share: more means a camera that
# looked aslant, or a stretched screw. Basis: common practice, no source.
MOST_PITCH_GROWTH: Final = 0.015
# --- one screw in one hole ------------------------------------------------------------------------

# Length of thread engaged when none is given, in diameters of the screw. Basis: common practice, no source.
USUAL_ENGAGEMENT: Final = 1.0

# Threads that still bear once a pair of unlike pitches has bound: one or two; the greater is taken.
# Basis: mechanics of a rigid pair; the figure is common practice, no source.
BEARING_THREADS: Final = 2.0

# A screw that holds less than this share of what the hole's own screw holds is counted as stripping.
# Basis: common practice, no source.
HOLDS_SHARE: Final = 0.8

# Least overlap, as a share of the hole's basic depth, at which the hand feels a thread catch at all; looser
# pairs drop through and deceive nobody. Basis: common practice, no source.
LEAST_CATCH: Final = 0.2

# Force of a hand micrometer turned lightly on wires [N]. Basis: common practice, no source.
MEASURING_FORCE_N: Final = 5.0

# --- the ways to repair a hole ---------------------------------------------------------------------

# Least wall of a bush of heat-treated alloy steel: share of the inner pitch, and fixed wall [mm]; print
# measures it from the least root to the *basic* inner major diameter. Basis: the least that MS51830E
# and MIL-DTL-45932/3 keep (0.33 pitches in No. 110, 0.42 mm in No. 103), taken over.
HEAT_TREATED_WALL: Final = (0.33, 0.41)

# Least clearance between the root of a bush, where it is held larger than the standard, and the bored hole,
# on the diameter [mm]. Basis: the least of MS51830E beside MS51835B (0.006 in, No. 101), taken over.
ROOT_CLEARANCE_MM: Final = 0.15

# Least depth of thread in the part that a hole opened to clear such a root may leave, as a share of the full
# depth. Basis: the least of MS51835B (43 % of 5H/8 for 5/8-11), taken over.
LEAST_THREAD_LEFT: Final = 0.43

# The undercut of a bush behind its collar: depth below the least root [mm], width in pitches for single point
# cutting and for a die that is turned round for the last pass, least radius in its corners in pitches. Basis:
# common practice, no source; the undercuts of DIN 76-1 (threadwright.tables.undercuts) are wider, and told
# beside it.
UNDERCUT_BELOW_ROOT_MM: Final = 0.1
UNDERCUT_PITCHES: Final = 1.5
DIE_UNDERCUT_PITCHES: Final = 2.0
UNDERCUT_RADIUS_PITCHES: Final = 0.2

# Room below a bush in a blind hole: lead of a bottoming tap and chips, in pitches. Basis: Machinery's
# Handbook adds the same to the hole of a wire insert.
BOTTOMING_LEAD_PITCHES: Final = 2.0
CHIP_PITCHES: Final = 1.0

# Length of a drill's point over its diameter: 118 deg point. Basis: geometry.
DRILL_POINT: Final = 0.3

# Least floor that drilling may leave, with nothing and with a fluid beyond it [mm].
# Basis: common practice, no source.
LEAST_FLOOR_MM: Final = 2.0
LEAST_FLOOR_TO_FLUID_MM: Final = 3.0

# Least metal between a bush and the next hole, in outer diameters of the bush. Basis: common practice,
# no source.
NEXT_HOLE_WEB: Final = 0.5

# Length of a collar or of the seat of a ring dowel where none is given [mm], and how much larger than
# the outer thread a collar is at least [mm]. Basis: common practice, no source; published countersinks
# for locked inserts are 0.25 mm larger than the thread (MS51835B).
COLLAR_LENGTH_MM: Final = 2.0
COLLAR_OVER_THREAD_MM: Final = 0.2

# Clearance of a screw in a plain bore where no table of clearance holes holds the screw: share of its
# diameter, and least clearance [mm]. Basis: near the medium series of ISO 273, from memory.
SCREW_CLEARANCE: Final = (0.05, 0.3)

# Least wall of a spigot or ring dowel that locates [mm]. Basis: common practice, no source.
LEAST_SPIGOT_WALL_MM: Final = 0.8

# Share of the full thread depth that a worn thread must still have to be left as it is, and to be chased.
# Basis: common practice, no source.
LEAVE_SHARE: Final = 0.25
CHASE_SHARE: Final = 0.5

# Least wall of a plug that is tapped to the old size again, in diameters of the screw; how far the hole is
# moved comes on top. Basis: common practice, no source.
PLUG_WALL: Final = 0.25

# Least flange of a bush put in from behind: thickness and overhang, as shares of the screw's diameter.
# Basis: common practice, no source.
FLANGE_THICKNESS: Final = 0.3
FLANGE_OVERHANG: Final = 0.25

# Torque over clamp load and diameter, dry and oiled. Basis: common handbook values, from memory; the dry
# one was also read in a torque table.
TORQUE_FACTORS: Final = (0.20, 0.15)

# Scatter of the clamp load of a screw tightened by torque [%]. Basis: NASA TM-106943 (1995).
TORQUE_SCATTER_PERCENT: Final = 25

# Factor on the cutting torque of a worn tap or die. Basis: 1.5 to 2, common practice, no source.
WORN_TOOL_FACTOR: Final = 1.5

# Friction of chuck jaws on bright steel. Basis: common practice, no source.
JAW_FRICTION: Final = 0.15

# Shear over tensile strength of a screw. Basis: VDI 2230-1, 0.60 to 0.70 for classes 12.9 to 4.6, read
# second-hand; the least is taken.
SCREW_SHEAR_RATIO: Final = 0.6

# Temperatures accepted for a machine in service [deg C]. Basis: common practice, no source.
SERVICE_RANGE_C: Final = (-60.0, 500.0)

# Service temperature from which retaining compound and zinc are named as in danger [deg C].
# Basis: common practice, no source.
HOT_C: Final = 100.0

# --- making the bush ------------------------------------------------------------------------------

# Leads of leadscrews, teeth of change wheels, and graduations of a cross-slide that are taken for such
# [mm, teeth, mm], and the most wheels looked at. Basis: common practice, no source.
LEADSCREW_RANGE_MM: Final = (0.5, 30.0)
WHEEL_TEETH: Final = (10, 200)
MOST_WHEELS: Final = 60
DIAL_RANGE_MM: Final = (0.001, 1.0)

# A compound train stands on its studs if each pair of wheels that mesh has at least this many teeth more
# than the wheel beside it, so that no wheel rubs on the next shaft. Basis: common practice, no source.
WHEEL_ROOM_TEETH: Final = 15

# Share of the clearance on the pitch diameter that a lead error may use up over the engagement.
# Basis: common practice, no source.
LEAD_ERROR_SHARE: Final = 0.25

# Anaerobic retaining compound, generic: shear strength on clean steel [MPa], best gap on the diameter and the
# most a thick grade bridges [mm], what is left of the strength on passive metals and where it is hot
# [-]. Basis: from memory, no source.
COMPOUND_SHEAR_MPA: Final = (10.0, 25.0)
COMPOUND_GAP_MM: Final = (0.02, 0.10, 0.25)
COMPOUND_PASSIVE: Final = 0.5
COMPOUND_HOT: Final = 0.5

# Key pins along the joint: diameters [mm], share of the bush's wall that half a pin may take, and the length
# that is drilled true, in diameters. Basis: common practice, no source.
KEY_PINS_MM: Final = (1.5, 2.0, 2.5, 3.0, 4.0)
KEY_PIN_WALL_SHARE: Final = 0.5
KEY_PIN_LENGTH: Final = 5.0

# Galvanic potential that two metals may be apart, in the dry and in the wet [V]. Basis: NASA-STD-6012 and
# MIL-STD-889D by a reprint.
GALVANIC_LIMITS_V: Final = (0.3, 0.15)

# Temperature of the shop [deg C], and the warming that is looked at where none is given [K].
# Basis: common practice, no source.
SHOP_C: Final = 20.0
WARMING_K: Final = 80.0

# Depth of a vent flat along the outer thread, in pitches, and the least [mm]. Basis: common practice,
# no source.
VENT_FLAT_PITCHES: Final = 0.4
LEAST_VENT_FLAT_MM: Final = 0.4

# Locating spigot: least length [mm], how far it stops short of the mating bore's bottom, runout
# to the register [mm], readings of the mating bore (two depths, two directions), and the length in diameters
# from which it also guides. Basis: common practice, no source.
LEAST_SPIGOT_MM: Final = 1.0
SPIGOT_SHORT_MM: Final = 0.3
SPIGOT_RUNOUT_MM: Final = 0.02
BORE_READINGS: Final = 4
SPIGOT_GUIDE: Final = 0.5

# How much larger than its drill a clearance hole may come out [mm]. Basis: common practice, no source.
DRILLED_OVER_MM: Final = 0.1

# Collar: shoulder that it stands on, and that its face leaves round a spigot, on the radius [mm]; metal left
# beside its counterbore [mm]; how much larger a counterbore is that locates nothing [mm]. Basis: common
# practice, no source.
COLLAR_SHOULDER_MM: Final = 0.75
LEAST_RIM_MM: Final = 1.5
COUNTERBORE_OVER_MM: Final = 0.1

# Pilot below the thread: length, how much deeper its bore is, and how far it stays below root and tapped hole
# on the diameter [mm]. Basis: common practice, no source.
PILOT_LENGTH_MM: Final = 3.0
PILOT_SPARE_MM: Final = 0.5
PILOT_CLEAR_MM: Final = 0.1

# Tolerance of a turned length and of a counterbore's depth, the flush limit where none is given, the flush
# limit below which the collar's face is finished in place, and the metal left on for that [mm]. Basis:
# common practice, no source.
LENGTH_TOLERANCE_MM: Final = 0.05
FLUSH_MM: Final = 0.10
FINISH_IN_PLACE_BELOW_MM: Final = 0.05
LEFT_TO_FACE_MM: Final = 0.15

# Least wall of the neck between undercut and bore; nothing pulls on it but the driving torque [mm].
# Basis: common practice, no source.
LEAST_NECK_WALL_MM: Final = 0.5

# Driving features: widths of a slot below and from a diameter, pin spanner holes and the metal beside them,
# flats over the diameter and their length [mm]. Basis: common practice, no source.
SLOT_WIDTHS_MM: Final = (1.6, 2.0, 16.0)
SPANNER_HOLES_MM: Final = (1.5, 2.0, 2.5, 3.0)
HOLE_WEB_MM: Final = 0.75
FLATS_SHARE: Final = 0.85
FLATS_LENGTH_MM: Final = 5.0

# A screw with a jam nut that drives the bush: thread that it takes hold of and the nut, in diameters, and the
# washer between nut and bush [mm]. Basis: common practice, no source.
DRIVING_HOLD: Final = 1.0
JAM_NUT: Final = 0.8
DRIVING_WASHER_MM: Final = 2.0

# Countersink at the mouth of a thread over its major diameter, low and high, and stock over the largest
# diameter [mm]. Basis: MS51835B countersinks holes 0.010 in over the thread; the rest is common
# practice, no source.
COUNTERSINK_OVER_MM: Final = (0.2, 0.5)
STOCK_OVER_MM: Final = 1.0

# --- the card of one thread ------------------------------------------------------------------------

# Shares of the basic depth for which a card offers tapping drills: of fastening threads, and of threads whose
# flank is below the angle [deg] (trapezoidal, Acme, buttress, round), with holes bored to the basic minor
# diameter or little more. Basis: BS 1157 drills give 0.77 to 0.87; the rest is common practice, no source.
CARD_ENGAGEMENTS: Final = (0.9, 0.8, 0.7)
POWER_ENGAGEMENTS: Final = (1.0, 0.9)
POWER_FLANK_DEG: Final = 20.0

# How far from a major diameter threads are listed when nothing is said: a share of it, and the least [mm].
# Basis: the widest commercial tolerance of a major diameter with some wear; common practice, no source.
AROUND_SHARE: Final = 0.025
AROUND_LEAST_MM: Final = 0.1
