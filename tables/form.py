"""Thread forms: every proportion of a profile derived from a few exact numbers.

A straight-flanked thread is a sharp triangle of height *H*, cut or rounded off at its crest and at
its root. Two flank angles and two truncations fix the rest.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cached_property
from typing import Literal, NamedTuple

from threadwright.tables.errors import TableError
from threadwright.tables.record import Record

__all__ = ["Form", "Truncation", "fundamental_height"]

End = Literal["flat", "rounded"]


def fundamental_height(*, flank_angle_load: float, flank_angle_clear: float | None = None) -> float:
    r"""Height of the sharp triangle for a pitch of one.

    .. math:: H / P = 1 / (\tan \beta + \tan \gamma)

    Parameters
    ----------
    flank_angle_load : float
        Angle of the loaded flank to the normal of the axis. [deg]
    flank_angle_clear : float, optional
        Angle of the other flank; the same if left out. [deg]

    Returns
    -------
    float
        H over P. [-]

    Raises
    ------
    TableError
        If an angle is outside 0 to 90 or both are 0.

    References
    ----------
    ISO 68-1 (60 deg: 0.866025); BS 84 (55 deg: 0.960491); ASME B1.9 (7/45 deg: 0.890643).

    Examples
    --------
    >>> round(fundamental_height(flank_angle_load=30.0), 6)
    0.866025
    """
    other = flank_angle_load if flank_angle_clear is None else flank_angle_clear
    total = math.tan(math.radians(flank_angle_load)) + math.tan(math.radians(other))
    if not (0 <= flank_angle_load < 90 and 0 <= other < 90 and total > 0):
        raise TableError(
            f"flank angles {flank_angle_load} and {other} deg do not make a thread; give 0 to 90 deg"
        )
    return 1.0 / total


class Truncation(NamedTuple):
    """What is cut or rounded off one end of the sharp triangle.

    Parameters
    ----------
    of_height : Fraction
        Share of the height of the sharp triangle, H. [-]
    of_pitch : Fraction
        Share of the pitch, P, added to it. [-]
    """

    of_height: Fraction = Fraction(0)
    of_pitch: Fraction = Fraction(0)


class Form(Record):
    """The profile of a thread, for a pitch of one.

    Parameters
    ----------
    name : str
        As the trade says it, for example ``"Whitworth 55 deg"``.
    flank_angle : float
        One flank, to the normal of the axis; for an asymmetric form the loaded flank. [deg]
    flank_angle_clear : float, optional
        The other flank of an asymmetric form. [deg]
    crest, root : Truncation, optional
        What the basic profile loses at the external crest and at the internal crest side (the root
        of the basic profile).
    depth : Fraction, optional
        Basic depth over pitch, when the standard gives the depth instead of the truncations; the
        rest of the sharp triangle is then shared equally.
    crest_end, root_end : {"flat", "rounded"}
        How the ends of the external thread are finished.

    Raises
    ------
    TableError
        If the angles or truncations leave no flank or reach beyond the sharp triangle, or both a depth
        and truncations are given.

    Examples
    --------
    >>> iso = Form(
    ...     name="ISO 60 deg",
    ...     flank_angle=30.0,
    ...     crest=Truncation(Fraction(1, 8)),
    ...     root=Truncation(Fraction(1, 4)),
    ... )
    >>> round(2 * iso.addendum, 6), round(iso.depth_over_pitch, 6)
    (0.649519, 0.541266)
    """

    name: str
    flank_angle: float
    flank_angle_clear: float | None = None
    crest: Truncation | None = None
    root: Truncation | None = None
    depth: Fraction | None = None
    crest_end: End = "flat"
    root_end: End = "rounded"

    def __eq__(self, other: object) -> bool:
        return type(other) is Form and self._proportions == other._proportions

    def __hash__(self) -> int:
        return hash(self._proportions)

    def __repr__(self) -> str:
        return f"Form({self.name!r})"

    @property
    def _proportions(self) -> tuple[object, ...]:
        return tuple(getattr(self, name) for name in sorted(self._fields))

    def _check(self) -> None:
        if (self.depth is None) == (self.crest is None and self.root is None):
            raise TableError(f"{self.name}: give either the depth or both truncations")
        if (self.crest is None) != (self.root is None):
            raise TableError(f"{self.name}: give the truncation of both ends")
        if not (self.addendum > 0 and self.dedendum > 0):
            raise TableError(f"{self.name}: the truncations leave no flank on both sides of the pitch line")
        if min(self.crest_truncation, self.root_truncation) < 0:
            raise TableError(
                f"{self.name}: the profile reaches beyond the sharp triangle of {self.height:.6f} P"
            )

    @cached_property
    def height(self) -> float:
        """Height of the sharp triangle over pitch, H / P. [-]"""
        return fundamental_height(flank_angle_load=self.flank_angle, flank_angle_clear=self.flank_angle_clear)

    @property
    def symmetric(self) -> bool:
        """Whether both flanks have the same angle."""
        return self.flank_angle_clear is None or self.flank_angle_clear == self.flank_angle

    @property
    def thread_angle(self) -> float:
        """Angle between the flanks. [deg]"""
        return self.flank_angle + (
            self.flank_angle if self.flank_angle_clear is None else self.flank_angle_clear
        )

    def _cut(self, end: Truncation | None) -> float:
        if end is None:
            assert self.depth is not None
            return (self.height - float(self.depth)) / 2
        return float(end.of_height) * self.height + float(end.of_pitch)

    @property
    def crest_truncation(self) -> float:
        """Truncation of the external crest over pitch. [-]"""
        return self._cut(self.crest)

    @property
    def root_truncation(self) -> float:
        """Truncation of the root of the basic profile over pitch. [-]"""
        return self._cut(self.root)

    @property
    def addendum(self) -> float:
        """Pitch line to external crest over pitch. [-]"""
        return self.height / 2 - self.crest_truncation

    @property
    def dedendum(self) -> float:
        """Pitch line to internal crest (root of the basic profile) over pitch. [-]"""
        return self.height / 2 - self.root_truncation

    @property
    def depth_over_pitch(self) -> float:
        """Depth of the basic profile over pitch. [-]"""
        return self.addendum + self.dedendum

    @property
    def crest_radius(self) -> float:
        r"""Radius of a rounded external crest over pitch, tangent to both flanks, 0 if flat. [-]

        .. math:: r = t / (\csc \alpha - 1)
        """
        if self.crest_end == "flat" or not self.symmetric:
            return 0.0
        return self.crest_truncation / (1 / math.sin(math.radians(self.flank_angle)) - 1)

    @property
    def straight_addendum(self) -> float:
        """Pitch line to the outer end of the straight flank over pitch. [-]"""
        return self.addendum - self.crest_radius * (1 - math.sin(math.radians(self.flank_angle)))
