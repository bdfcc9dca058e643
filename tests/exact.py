"""Exact arithmetic for the tests, 40 digits, independent of the library: angles, roots, rounding, forms."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction

DIGITS = 40
_GUARD = 12
_PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494459")

Number = Fraction | Decimal | int | str


def decimal(value: Number) -> Decimal:
    """A number to 40 digits and more."""
    if isinstance(value, Decimal):
        return value
    value = Fraction(value)
    with localcontext(prec=DIGITS + _GUARD):
        return Decimal(value.numerator) / Decimal(value.denominator)


def rounded(value: Number, places: int) -> Decimal:
    """Round half away from zero, as printed tables do."""
    return decimal(value).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def rounded_half_even(value: Number, places: int = 0) -> Decimal:
    """Round half to the even digit."""
    return decimal(value).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)


def root(value: Number, degree: int = 2) -> Decimal:
    """The positive root of a positive number."""
    with localcontext(prec=DIGITS + _GUARD):
        return decimal(value) ** (1 / Decimal(degree))


def power(value: Number, exponent: Fraction) -> Decimal:
    """A positive number to a fractional power."""
    with localcontext(prec=DIGITS + _GUARD):
        return decimal(value) ** decimal(exponent)


def sine(degrees: Number) -> Decimal:
    """Sine of an angle, by its power series."""
    return _series(degrees, first=1)


def cosine(degrees: Number) -> Decimal:
    """Cosine of an angle, by its power series."""
    return _series(degrees, first=0)


def tangent(degrees: Number) -> Decimal:
    """Tangent of an angle below 90 degrees."""
    with localcontext(prec=DIGITS + _GUARD):
        return sine(degrees) / cosine(degrees)


def _series(degrees: Number, *, first: int) -> Decimal:
    """Sum of (-1)^k x^(2k + first) / (2k + first)!"""
    with localcontext(prec=DIGITS + _GUARD):
        angle = decimal(degrees) * _PI / 180
        term = angle if first else Decimal(1)
        total, order = term, first
        while abs(term) > Decimal(1).scaleb(-DIGITS - _GUARD):
            order += 2
            term = -term * angle * angle / (order * (order - 1))
            total += term
        return total


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactForm:
    """The profile of a thread for a pitch of one, worked from its givens alone.

    ``crest`` and ``root`` are pairs: the share of the sharp height and the share of the pitch cut off.
    """

    flank_angle: Number
    flank_angle_clear: Number | None = None
    crest: tuple[Number, Number] | None = None
    root: tuple[Number, Number] | None = None
    depth: Number | None = None
    crest_is_rounded: bool = False

    @property
    def height(self) -> Decimal:
        clear = self.flank_angle if self.flank_angle_clear is None else self.flank_angle_clear
        with localcontext(prec=DIGITS + _GUARD):
            return 1 / (tangent(self.flank_angle) + tangent(clear))

    def _cut(self, end: tuple[Number, Number] | None) -> Decimal:
        with localcontext(prec=DIGITS + _GUARD):
            if end is not None:
                return decimal(end[0]) * self.height + decimal(end[1])
            assert self.depth is not None
            return (self.height - decimal(self.depth)) / 2

    @property
    def crest_truncation(self) -> Decimal:
        return self._cut(self.crest)

    @property
    def root_truncation(self) -> Decimal:
        return self._cut(self.root)

    @property
    def addendum(self) -> Decimal:
        with localcontext(prec=DIGITS + _GUARD):
            return self.height / 2 - self.crest_truncation

    @property
    def dedendum(self) -> Decimal:
        with localcontext(prec=DIGITS + _GUARD):
            return self.height / 2 - self.root_truncation

    @property
    def depth_over_pitch(self) -> Decimal:
        with localcontext(prec=DIGITS + _GUARD):
            return self.height - self.crest_truncation - self.root_truncation

    @property
    def crest_radius(self) -> Decimal:
        """Radius of the arc tangent to both flanks; its centre lies r / sin(a) below the sharp apex."""
        if not self.crest_is_rounded:
            return Decimal(0)
        with localcontext(prec=DIGITS + _GUARD):
            flank = sine(self.flank_angle)
            return self.crest_truncation * flank / (1 - flank)

    @property
    def straight_addendum(self) -> Decimal:
        """The arc meets the flank r cos(a) cot(a) below the sharp apex."""
        if not self.crest_is_rounded:
            return self.addendum
        with localcontext(prec=DIGITS + _GUARD):
            below_apex = self.crest_radius * cosine(self.flank_angle) / tangent(self.flank_angle)
            return self.height / 2 - below_apex
