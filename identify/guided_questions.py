"""What the guided session can ask: the words of each question, how the reading is taken, and a sketch.

How readings are taken is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

__all__ = ["FIRST", "NAMES", "QUESTIONS", "Question"]


@dataclass(frozen=True, slots=True)
class Question:
    """One kind of question.

    Attributes
    ----------
    words : str
        The question; ``{}`` stands for the piece to try or the wire to use.
    like : str
        An answer, as it may be written.
    gear : str
        What one needs for it; ``{}`` as in ``words``; empty where eyes are enough.
    how : str
        How the reading is taken.
    sketch : str
        The same as a small drawing in characters.
    choice : bool
        Whether ``like`` holds all that can be answered, not examples.
    """

    words: str
    like: str
    gear: str
    how: str
    sketch: str
    choice: bool = False

    @property
    def write(self) -> str:
        """What to write, as a sentence."""
        return f"Write {self.like}." if self.choice else f"Write it like {self.like}."


_SIDE = Question(
    "Is it a screw or a hole?",
    "screw, hole or hole with its screw; add worn, stripped or plated",
    "",
    "A screw, stud or bolt is measured itself. A hole whose own screw came out of it is best known by that "
    "screw, if it ran in easily before the thread went: write 'hole with its screw', and measure the screw.",
    r"""
   /\/\/\/\/\         ####\/\/\/\/\####
  (  screw   |             hole
   \/\/\/\/\/         ####/\/\/\/\/####""",
    choice=True,
)
_MAJOR = Question(
    "Major diameter, over the crests.",
    "9.45 mm, 0.372 in, 3/8 in or 0.3725 in by micrometer",
    "caliper",
    "Lay the flat of the jaws across several crests where the thread is least worn, near the head or a "
    "protected end. Turn the screw a quarter and look again; the greater reading is nearer the truth.",
    r"""
  ---------------------   jaw
   /\  /\  /\  /\  /\
  /  \/  \/  \/  \/  \
  - - - - - - - - - - -   axis
  \  /\  /\  /\  /\  /
   \/  \/  \/  \/  \/
  ---------------------   jaw""",
)
_MINOR = Question(
    "Minor diameter, at the root.",
    "8.13 mm or 0.320 in",
    "caliper with knife edges",
    "Set the knife edges of the jaws down into grooves. The groove on the far side stands half a pitch off: "
    "the jaws go a little askew, and the reading comes out a trifle large.",
    r"""
      V   V   V           knife edge, down in the groove
   /\   /\   /\
  /  \_/  \_/  \
  - - - - - - - - -       axis
  \  /~\  /~\  /
   \/   \/   \/
      A   A   A""",
)
_BORE = Question(
    "Bore of the hole: the greatest drill shank that enters, and the next that does not.",
    "6.6..6.7 mm (6.6 enters, 6.7 does not) or 6.65 mm by inside jaws",
    "drill shanks",
    "Try plain shanks, largest last, by hand: one that drops in and the next that does not. A plug gauge "
    "does as well. Where the crests are torn, the hole is larger than it was: answer from its sound part.",
    r"""
  #####>         <#####
  #####>|  6.6  |<#####   6.6 enters,
  #####>|       |<#####   6.7 does not
  #####>|       |<#####""",
)
_COMB = Question(
    "Pitch, with the comb.",
    "20 tpi or 1.25 mm",
    "comb",
    "Try leaves against the light until one shows no daylight along its whole length. A leaf that fits five "
    "teeth and rocks on ten is the wrong one.",
    r"""
  [========= 20 ==========]   leaf
   \/\/\/\/\/\/\/\/\/\/\/     no daylight anywhere
  (-------- thread --------)""",
)
_COUNTED = Question(
    "Pitch, by counting along a rule.",
    "10 pitches over 12.7 mm",
    "rule",
    "Count the spaces, not the crests: ten spaces lie between the first crest and the eleventh. The more "
    "spaces, the better. A caliper reads the length more closely than a rule: put 'by caliper' behind it.",
    r"""
  |....:....|....:....|....:....|..    rule
   /\ /\ /\ /\ /\ /\ /\ /\ /\ /\ /\
   0  1  2  3  4  5  6  7  8  9  10""",
)
_EFFECTIVE = Question(
    "Pitch diameter, with the thread micrometer.",
    "8.71 mm or 0.343 in",
    "thread micrometer",
    "The cone goes into a groove, the vee over the crest across from it. Anvils made for another thread "
    "angle read wrong on worn flanks: write 'anvil: 60' or 'anvil: 55' for theirs.",
    r"""
        \/                cone
   /\  /  \  /\
  - - - - - - - - -       axis
   \  /\  /\  /
     /  \/  \             vee""",
)
_OVER_WIRES = Question(
    "Size over three wires of {}.",
    "9.78 mm, or with other wires 9.78 mm over 0.7 mm",
    "wires",
    "Lay two alike wires (needles, drill shanks) in neighbouring grooves and the third across from them. "
    "They must stand proud of the crests. Read over all of them with the micrometer. With two wires write "
    "'9.78 mm over 2 wires 0.7 mm'.",
    r"""
  =================   anvil
     ( )   ( )
   /\   /\   /\
  - - - - - - - - -   axis
   \/   \/   \/
        ( )
  =================   anvil""",
)
_FLANK = Question(
    "Flank angle: one flank, half of the thread angle.",
    "27.5deg",
    "loupe and bright light",
    "Hold it against a bright background, or enlarge a picture of its edge, and measure the angle between a "
    "flank and the line square to the axis. The angle between two flanks is twice that.",
    r"""
     \     |     /
      \    |<-a->        a: the answer
       \   |   /
        \__|__/
  - - - - - - - - -      axis""",
)
_CREST = Question(
    "Crests under the loupe: flat, rounded or sharp?",
    "flat, rounded or sharp",
    "loupe",
    "Look along a sound stretch of thread. Wear rounds the edges of a flat, so look in a protected place.",
    r"""
     __         _
    /  \       / \        /\
   /    \     /   \      /  \
    flat     rounded    sharp""",
    choice=True,
)
_FLATS = Question(
    "Across the flats of its hexagon.",
    "16.1 mm or 0.6 in",
    "hexagon",
    "Measure across two flats, not over the corners, where the hexagon is least battered.",
    r"""
      ______    ---
     /      \    |
    /        \   |   across the flats
    \        /   |
     \______/   ---""",
)
_NUT = Question(
    "Try a good {} on it.",
    "runs in, tight after 2 turns, slides in (it catches nothing) or will not start",
    "{}",
    "By the fingers only, clean and oiled; never with a spanner. Count the turns to where it binds.",
    r"""
          ____
  /\/\/\/|    |
  -------|    |->   by the fingers
  \/\/\/\|____|""",
    choice=True,
)
_PIECE = Question(
    "Try a good {} in it.",
    "runs in, tight after 2 turns, slides in (it catches nothing) or will not start",
    "{}",
    "By the fingers only, clean and oiled; never with a spanner. Count the turns to where it binds. A screw "
    "that has to be forced tells nothing and spoils the hole; a tap is no gauge.",
    r"""
       |  |
       |/\|        by the fingers
  #####|\/|#####
  #####|/\|#####
  #####      ###""",
    choice=True,
)
_TAPER = Question(
    "Does it taper: two diameters over the crests, and how far apart they were read.",
    "12.9 mm and 13.3 mm 6.4 mm apart, or 1:16",
    "caliper",
    "Read the diameter near the end and again further up, and the distance between the two places.",
    r"""
         |      |
     __--/\/\/\/\     12.9 .. 13.3 mm,
    (------------|    6.4 mm apart
     ~~--\/\/\/\/
         |<---->|""",
)
_HAND = Question(
    "Right-hand or left-hand, and how many starts?",
    "right or left; with two starts left, 2 starts",
    "",
    "Hold it upright: the threads towards you rise to the right on a right-hand thread, to the left on a "
    "left-hand one. Count the thread ends at its end: nearly always one.",
    r"""
    ____        ____
   | / /|      |\ \ |
   |/ / |      | \ \|
   | / /|      |\ \ |
   right       left""",
    choice=True,
)
_CLEARANCE = Question(
    "Clearance hole of the part that it holds.",
    "10.3 mm",
    "part that it holds",
    "The plain hole in the part that the screw passes through: a little larger than the screw was.",
    r"""
  ######|      |######   part held: this hole
  ------+      +------
  ######>      <######   threaded part""",
)
_CAST_HOW = (
    "Take a cast of the oiled hole and draw it out by turning. Measure the cast as if it were the screw. "
    "Casts shrink: write 'cast: 0.5 %' for how much yours does."
)
_CAST_SKETCH = r"""
  ####\/\/\/\####
      (cast  |->     out by turning, then measured
  ####/\/\/\/####"""
_LEAD = Question(
    "Lead: how far it goes in one turn.",
    "2 mm",
    "rule",
    "Turn it in its nut or hole, count whole turns, and divide the way it goes by them.",
    r"""
  |->|         one turn
  /\/\/\/\/""",
)


def _on_a_cast(words: str, like: str) -> Question:
    return Question(f"{words}, on a cast of the hole.", like, "cast of the hole", _CAST_HOW, _CAST_SKETCH)


QUESTIONS: Final[Mapping[tuple[str, str], Question]] = MappingProxyType(
    {
        **{(side, "side"): _SIDE for side in ("external", "internal")},
        ("external", "major"): _MAJOR,
        ("external", "minor"): _MINOR,
        ("external", "pitch"): _COMB,
        ("external", "counted"): _COUNTED,
        ("external", "pitch_diameter"): _EFFECTIVE,
        ("external", "over_wires"): _OVER_WIRES,
        ("external", "flank_angle"): _FLANK,
        ("external", "crest"): _CREST,
        ("external", "across_flats"): _FLATS,
        ("external", "tried"): _NUT,
        ("external", "taper"): _TAPER,
        ("external", "hand"): _HAND,
        ("external", "clearance"): _CLEARANCE,
        ("external", "lead"): _LEAD,
        ("internal", "major"): _on_a_cast("Major diameter", "9.5 mm"),
        ("internal", "minor"): _BORE,
        ("internal", "pitch"): _COMB,
        ("internal", "counted"): _on_a_cast("Pitch by counting", "10 pitches over 12.7 mm"),
        ("internal", "pitch_diameter"): _on_a_cast("Pitch diameter", "8.7 mm"),
        ("internal", "flank_angle"): _on_a_cast("Flank angle: one flank", "27.5deg"),
        ("internal", "across_flats"): _FLATS,
        ("internal", "tried"): _PIECE,
        ("internal", "taper"): _TAPER,
        ("internal", "hand"): _HAND,
        ("internal", "clearance"): _CLEARANCE,
        ("internal", "lead"): _LEAD,
    }
)
"""Every question by side and kind."""

FIRST: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {"external": ("major", "pitch", "flank_angle"), "internal": ("minor", "pitch", "clearance")}
)
"""What is asked while too little is known to rank the readings, in this order."""

NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        **{kind.replace("_", " "): kind for _, kind in QUESTIONS},
        "major diameter": "major",
        "minor diameter": "minor",
        "bore": "minor",
        "starts": "starts",
        "condition": "condition",
        "anvil": "anvil",
        "cast": "cast",
        "visible": "visible",
    }
)
"""What a reading may be called by one who gives it without being asked, and its kind."""
