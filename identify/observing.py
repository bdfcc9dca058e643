"""The readings of one fastener laid out as columns of length one."""

from __future__ import annotations

import numpy as np

from threadwright import judgement
from threadwright.observations import CombColumn, FlatsColumn, LengthColumn, Observations, WireColumn
from threadwright.priors import UNKNOWN, Prior
from threadwright.readings import Reading, Readings
from threadwright.tables.thread import Array

__all__ = ["flats_column", "observe"]


def observe(readings: Readings, prior: Prior = UNKNOWN) -> Observations:
    """Lay out the readings of one fastener as columns of length one.

    Parameters
    ----------
    readings : Readings
    prior : Prior
        Where and when the machine was made, which bears on its hexagons.

    Returns
    -------
    Observations
        With ``n`` equal to 1.

    Examples
    --------
    >>> observe(Readings(major="8 mm")).lengths["major"].value
    array([8.])
    """
    shrinkage = readings.evidence.cast_shrinkage
    lengths = {
        name: _column(reading) if shrinkage is None else _uncast(_column(reading), shrinkage)
        for name in ("major", "pitch_diameter", "minor")
        if (reading := getattr(readings, name)) is not None
    }
    over, pitch = readings.over_wires, readings.pitch
    wires = comb = measured = None
    if over is not None:
        value, u = over.three_wire
        wires = WireColumn(_one(value), _one(u), _one(over.wire_mm), _one(over.u_wire_mm))
    if pitch is not None and pitch.u_mm is None:
        visible = np.nan if pitch.visible_mm is None else pitch.visible_mm
        comb = CombColumn(_one(pitch.value_mm), _one(visible), pitch.combs)
    elif pitch is not None and pitch.u_mm is not None:
        measured = LengthColumn(_one(pitch.value_mm), _one(pitch.u_mm))
    return Observations(
        n=1,
        side=readings.side,
        condition=readings.condition or "unknown",
        lengths=lengths,
        over_wires=wires,
        comb=comb,
        pitch=measured,
        flank_angle=None if readings.flank_angle is None else _column(readings.flank_angle),
        anvil=readings.anvil,
        flats=flats_column(readings, prior),
    )


def flats_column(readings: Readings, prior: Prior = UNKNOWN) -> FlatsColumn | None:
    """The size across flats of one fastener's hexagon; None if it was not read.

    Parameters
    ----------
    readings : Readings
    prior : Prior

    Returns
    -------
    FlatsColumn or None

    Examples
    --------
    >>> flats_column(Readings(across_flats="13 mm", flats_of="nut")).of
    'nut'
    """
    flats, origin = readings.evidence.flats, prior.origin
    if flats is None:
        return None
    return FlatsColumn(_one(flats.value_mm), _one(flats.u_mm), flats.of, origin.country, origin.year)


def _one(value: float) -> Array:
    return np.array([value], dtype=np.float64)


def _column(reading: Reading) -> LengthColumn:
    width = None if reading.interval is None else _one(reading.interval[1] - reading.interval[0])
    return LengthColumn(_one(reading.value), _one(reading.u), width)


def _uncast(column: LengthColumn, shrinkage: float) -> LengthColumn:
    """The hole's size from that of its cast."""
    value = column.value / (1 - shrinkage)
    width = None if column.width is None else column.width / (1 - shrinkage)
    return LengthColumn(value, np.hypot(column.u, judgement.SHRINKAGE_U * value), width)
