"""Each reading beside the range that a candidate would show."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from threadwright import judgement
from threadwright.observations import FlatsColumn
from threadwright.observing import flats_column
from threadwright.priors import UNKNOWN, Prior, class_log_weights
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.wires import size_over_wires
from threadwright.zones import class_zones

__all__ = ["Fit", "fits_of"]

_NEAR = 2.0  # standard uncertainties outside the limits that still count as "near"


@dataclass(frozen=True, slots=True)
class Fit:
    """One reading beside what a candidate would show.

    ``low`` and ``high`` are the ends of the range expected of an unworn part of any class, in
    ``unit``; ``fit`` is ``"inside"``, ``"near"`` (within two standard uncertainties), ``"below"`` or
    ``"above"``, ``"no contact"`` for a wire that cannot touch the flanks, or ``"no table"`` for a hexagon of
    which no table tells. ``standard`` names that of a hexagon.
    """

    value: float
    u: float
    low: float | None
    high: float | None
    unit: str
    fit: str
    standard: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        plain = {name: getattr(self, name) for name in ("value", "u", "low", "high", "unit", "fit")}
        return plain if self.standard is None else {**plain, "standard": self.standard}


def fits_of(readings: Readings, candidate: int, *, prior: Prior = UNKNOWN) -> dict[str, Fit]:
    """Every reading of one fastener beside what a candidate would show.

    Parameters
    ----------
    readings : Readings
    candidate : int
        Place in the catalogue.
    prior : Prior
        Where and when the machine was made, which bears on hexagons.

    Returns
    -------
    dict of str to Fit
        By name of the reading.

    Examples
    --------
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> fit = fits_of(Readings(across_flats="15.1 mm"), names.index("3/8-20 BSF"))["across_flats"]
    >>> fit.fit, fit.standard, round(fit.low, 2), round(fit.high, 2)
    ('inside', 'BS 1083', 15.04, 15.24)
    """
    found = {name: _fit(readings, name, candidate) for name in readings.given()}
    flats = flats_column(readings, prior)
    if flats is not None:
        found["across_flats"] = _fit_flats(flats, candidate)
    return found


def _fit_flats(flats: FlatsColumn, candidate: int) -> Fit:
    from threadwright.across_flats import likeliest_hexagon

    value, u = float(flats.value[0]), float(flats.u[0])
    likeliest = likeliest_hexagon(flats, candidate)
    if likeliest is None:
        return Fit(value, u, None, None, "mm", "no table")
    entry, low, high = likeliest
    return replace(_judge(value, u, low, high, "mm"), standard=entry.name)


def _expected(readings: Readings, dimension: str, index: int) -> tuple[float, float]:
    """Range of a dimension over all classes of a candidate. [mm]"""
    first, end = np.searchsorted(class_rows(readings.side).candidate, (index, index + 1))
    counts = np.isfinite(class_log_weights(readings.side)[first:end])
    low, high = class_zones(readings.side, dimension)
    return float(low[first:end][counts].min()), float(high[first:end][counts].max())


def _fit(readings: Readings, name: str, index: int) -> Fit:
    catalogue = candidates()
    if name == "pitch":
        pitch = readings.pitch
        assert pitch is not None
        true = float(catalogue.pitch[index])
        u = judgement.COMB_DAYLIGHT_MM / (pitch.visible_mm or judgement.COMB_PITCHES * true) * true
        return _judge(pitch.value_mm, u if pitch.u_mm is None else pitch.u_mm, true, true, "mm")
    if name == "flank_angle":
        assert readings.flank_angle is not None
        flank = float(catalogue.flank_angle[index])
        return _judge(readings.flank_angle.value, readings.flank_angle.u, flank, flank, "deg")
    if name == "over_wires":
        return _fit_wires(readings, index)
    reading = getattr(readings, name)
    return _judge(reading.value, reading.spread, *_expected(readings, name, index), "mm")


def _fit_wires(readings: Readings, index: int) -> Fit:
    catalogue, over = candidates(), readings.over_wires
    assert over is not None
    value, u = over.three_wire
    if not catalogue.wire_least[index] <= over.wire_mm <= catalogue.wire_greatest[index]:
        return Fit(value, u, None, None, "mm", "no contact")
    ends = size_over_wires(
        flank_angle=catalogue.flank_angle[index],
        pitch=catalogue.pitch[index],
        lead=catalogue.pitch[index] * catalogue.starts[index],
        pitch_diameter=np.array(_expected(readings, "pitch_diameter", index)),
        wire=over.wire_mm,
    )
    spread = float(np.hypot(u, catalogue.wire_factor[index] * over.u_wire_mm))
    return _judge(value, spread, float(ends[0]), float(ends[1]), "mm")


def _judge(value: float, u: float, low: float, high: float, unit: str) -> Fit:
    outside = max(low - value, value - high, 0.0)
    if outside <= 1e-9:
        word = "inside"
    elif outside <= _NEAR * u:
        word = "near"
    else:
        word = "below" if value < low else "above"
    return Fit(value, u, low, high, unit, word)
