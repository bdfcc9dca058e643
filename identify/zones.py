"""Where the true size of a thread may lie: the limits of each class, and those stretched by wear."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from threadwright import judgement
from threadwright.observations import Dimension
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.thread import Array, Side

__all__ = ["class_zones", "stretched_zones"]


@lru_cache(maxsize=8)
def class_zones(side: Side, dimension: Dimension) -> tuple[Array, Array]:
    """Limits of one dimension for every class row; a band is estimated where there are none.

    Parameters
    ----------
    side : {"external", "internal"}
    dimension : {"major", "pitch_diameter", "minor"}

    Returns
    -------
    tuple of array (m,)
        Least and greatest size. [mm]

    Examples
    --------
    >>> low, high = class_zones("external", "major")
    >>> bool((low < high).all())
    True
    """
    rows, catalogue = class_rows(side), candidates()
    low = getattr(rows, f"{dimension}_low")
    high = getattr(rows, f"{dimension}_high")
    basic = getattr(catalogue, dimension)[rows.candidate]
    pitch = catalogue.pitch[rows.candidate]
    below, above = judgement.ESTIMATED_ZONE[side, dimension]
    # one limit missing: the band keeps its estimated width beside the limit that is given
    estimated_low = np.where(np.isnan(high), basic + below * pitch, high - (above - below) * pitch)
    low = np.where(np.isnan(low), estimated_low, low)
    high = np.where(
        np.isnan(high), np.maximum(basic + above * pitch, low + (above - below) * pitch / 2), high
    )
    # a taper thread is smaller towards its small end, and the reading may have been taken anywhere
    unknown = np.isnan(catalogue.gauge_length)
    length = np.where(unknown, judgement.TAPER_PITCHES * catalogue.pitch, catalogue.gauge_length)
    return low - (catalogue.taper * length)[rows.candidate], high


def stretched_zones(
    low: Array,
    high: Array,
    pitch: Array,
    *,
    side: Side,
    dimension: Dimension,
    condition: str,
    flank_angle: Array,
) -> list[tuple[float, Array, Array]]:
    """Zones in which the true size of a part in use may lie, by stretching its limits.

    Parameters
    ----------
    low, high : array (k,)
        Limits of the class. [mm]
    pitch : array (k,)
        Pitch. [mm]
    side, dimension, condition : str
        Which zones of ``judgement.ZONES``, with the shares of which condition.
    flank_angle : array (k,)
        One flank: a coating of thickness t enlarges the effective diameter of a screw by
        2 t / sin(alpha), its other diameters by 2 t. [deg]

    Returns
    -------
    list of (share, bottom, top)
        Only zones with a share; ``bottom <= top``. [mm]

    Examples
    --------
    >>> one = np.array([1.0])
    >>> zones = stretched_zones(
    ...     7.7 * one,
    ...     7.9 * one,
    ...     1.25 * one,
    ...     side="external",
    ...     dimension="major",
    ...     condition="good",
    ...     flank_angle=30 * one,
    ... )
    >>> [(share, float(bottom[0]), float(top[0])) for share, bottom, top in zones][0]
    (0.86, 7.7, 7.9)
    """
    tolerance = high - low
    if condition == "plated":
        thin, thick = judgement.PLATING_MM
        factor = 2 / np.sin(np.radians(flank_angle)) if dimension == "pitch_diameter" else 2.0
        grow = (thin, thick) if side == "external" else (-thick, -thin)
        low, high = low + grow[0] * factor, high + grow[1] * factor
    found = []
    shares = judgement.ZONE_SHARES[condition]
    for share, (_, down, up, outside) in zip(shares, judgement.ZONES[side, dimension], strict=True):
        if share:
            bottom = low + down * pitch - outside * tolerance
            # a zone that wear turns inside out is a point at its lower end
            found.append((share, bottom, np.maximum(high + up * pitch + outside * tolerance, bottom)))
    return found
