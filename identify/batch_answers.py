"""What is said of every row of a table: whether it is settled, and if not, what would part the leaders."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from threadwright import judgement
from threadwright.batch_cells import groups, readings_of, usual_u
from threadwright.batch_many import Ranked, identify_many
from threadwright.likelihood import Observations, class_zones
from threadwright.ranking import check_wire
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.errors import ReadingError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from threadwright.batch_csv import Sheet
    from threadwright.tables.thread import Array, Side

    Integers = NDArray[np.int64]

__all__ = ["EACH", "FIRST", "Answered", "answered", "doubt", "verdicts"]

FIRST: Final = ("id", "status", "message", "none_of_these")
"""Columns of the answers."""
EACH: Final = ("designation", "system", "probability", "nominal_major_mm", "pitch_mm", "thread_angle_deg")
"""Columns of the answers for each thread."""
_NONE_MESSAGE: Final = "no thread on file fits; check the units, or measure again"
_SAY: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pitch": "read the pitch",
        "flank_angle": "read the flank angle",
        "major": "measure the major diameter",
        "minor": "measure the minor diameter",
        "pitch_diameter": "measure over wires",
    }
)


class Answered(NamedTuple):
    """Rows of a sheet that have the same kinds of reading, and their threads."""

    rows: Integers
    seen: Observations
    ranked: Ranked


def answered(sheet: Sheet, top: int) -> Iterator[Answered]:
    """Rank the rows of a sheet; faults found on the way are added to its own.

    Parameters
    ----------
    sheet : Sheet
    top : int
        How many threads are wanted; one more is ranked where the second is to be named.

    Yields
    ------
    Answered

    Examples
    --------
    >>> import io
    >>> from threadwright.batch_csv import sheets
    >>> sheet = next(sheets(io.StringIO("id,major [mm],pitch [mm]\\na,7.9,1.25\\n"), name="table.csv"))
    >>> [candidates().designation(group.ranked.index[0, 0]) for group in answered(sheet, 1)]
    ['M8x1.25']
    """
    shown = max(top, min(2, len(candidates())))  # the second is named where the first is unsettled
    for rows, seen in groups(sheet):
        ranked = identify_many(seen, top=shown)
        if seen.over_wires is not None:
            _check_wires(sheet, rows, seen, ranked)
        yield Answered(rows, seen, ranked)


def verdicts(group: Answered) -> tuple[Integers, list[tuple[str, str]]]:
    """Status and message of every row of a group.

    Parameters
    ----------
    group : Answered

    Returns
    -------
    tuple of array of int (n,), list of (status, message)
        Which of the pairs each row has.

    Examples
    --------
    >>> import io
    >>> from threadwright.batch_csv import sheets
    >>> sheet = next(sheets(io.StringIO("id,major [mm],pitch [mm]\\na,7.9,1.25\\n"), name="table.csv"))
    >>> which, said = verdicts(next(answered(sheet, 1)))
    >>> said[which[0]]
    ('ok', '')
    """
    _, seen, ranked = group
    none = ranked.none_of_these > ranked.probability[:, 0]
    unsettled = np.flatnonzero(~none & (ranked.probability[:, 0] < judgement.SETTLED))
    given = frozenset(_given(seen))
    leaders = np.maximum((ranked.probability[unsettled] >= judgement.WORTH_PLANNING).sum(axis=1), 1)
    index = ranked.index[unsettled]
    cases, case = _cases(index, leaders)
    said = [("ok", ""), ("none", _NONE_MESSAGE)]
    for places, count in zip(index[cases].tolist(), leaders[cases].tolist(), strict=True):
        said.append(("unsettled", doubt(tuple(places[:count]), places[1], seen.side, given)))
    which = none.astype(np.int64)
    which[unsettled] = 2 + case
    return which, said


def _cases(index: Integers, leaders: Integers) -> tuple[Integers, Integers]:
    """One row for each different list of leaders and second, and which of them each row is."""
    key = leaders.copy()
    for rank in range(max(int(leaders.max(initial=0)), 2)):
        _, key = np.unique(
            key * len(candidates()) + np.where(rank < np.maximum(leaders, 2), index[:, rank], 0),
            return_inverse=True,
        )
    _, cases, case = np.unique(key, return_index=True, return_inverse=True)
    return cases, case


def _given(seen: Observations) -> Iterator[str]:
    """What was read of the fasteners of a group."""
    yield from seen.lengths
    if seen.over_wires is not None:
        yield "pitch_diameter"
    if seen.comb is not None or seen.pitch is not None:
        yield "pitch"
    if seen.flank_angle is not None:
        yield "flank_angle"


@lru_cache(maxsize=4096)
def doubt(leaders: tuple[int, ...], second: int, side: Side, given: frozenset[str]) -> str:
    """Which threads it may be, and the reading not yet taken that tells the first two apart.

    Parameters
    ----------
    leaders : tuple of int
        Places in the catalogue.
    second : int
        Place of the second.
    side : {"external", "internal"}
    given : frozenset of str
        What was read already.

    Returns
    -------
    str

    Examples
    --------
    >>> names = [candidates().designation(i) for i in range(len(candidates()))]
    >>> bsf, un = names.index("3/8-20 BSF"), names.index("3/8-20 UN")
    >>> doubt((bsf, un), un, "external", frozenset({"major", "pitch"}))
    '3/8-20 BSF or 3/8-20 UN; read the flank angle'
    """
    names = [candidates().designation(i, side) for i in leaders]
    text = " or ".join(names if len(names) > 1 else [*names, "another"])
    apart = {name: value for name, value in _apart(leaders[0], second, side).items() if name not in given}
    best = max(apart, key=lambda name: apart[name], default=None)
    return text if best is None or apart[best] < 1 else f"{text}; {_SAY[best]}"


def _apart(first: int, second: int, side: Side) -> dict[str, float]:
    """How far two threads differ, in standard uncertainties with the tolerance in them."""
    catalogue = candidates()
    pitches = catalogue.pitch[[first, second]]
    flanks = catalogue.flank_angle[[first, second]]
    daylight = judgement.COMB_DAYLIGHT_MM / judgement.COMB_PITCHES
    found = {
        "pitch": float(abs(np.diff(pitches)[0]) / daylight),
        "flank_angle": float(
            abs(np.diff(flanks)[0]) / np.hypot(usual_u("flank_angle", side), judgement.FLANK_ERROR_DEG)
        ),
    }
    reachable = ("major", "pitch_diameter") if side == "external" else ("minor",)
    owner = class_rows(side).candidate
    for name in reachable:
        low, high = class_zones(side, name)
        zones = [(low[owner == i].min(), high[owner == i].max()) for i in (first, second)]
        middle = [(a + b) / 2 for a, b in zones]
        width = max(b - a for a, b in zones) / np.sqrt(12.0)
        u = usual_u("over_wires" if name == "pitch_diameter" else name, side)
        found[name] = float(abs(middle[0] - middle[1]) / np.hypot(u, width))
    return found


def _check_wires(sheet: Sheet, rows: Integers, seen: Observations, ranked: Ranked) -> None:
    """Refuse rows whose wire touches the flanks of no thread near the size over it."""
    wires, catalogue = seen.over_wires, candidates()
    assert wires is not None
    best = ranked.index[:, 0]
    sure = np.abs(catalogue.pitch_diameter[best] - wires.value) < 3 * wires.wire
    sure &= (catalogue.wire_least[best] <= wires.wire) & (wires.wire <= catalogue.wire_greatest[best])
    read: Array | None = None
    if seen.comb is not None:
        read = seen.comb.leaf
    elif seen.pitch is not None:
        read = seen.pitch.value
    if read is not None:
        sure &= np.abs(catalogue.pitch[best] / read - 1) < 2 * judgement.COMB_POOR_SPREAD
    for row in rows[~sure].tolist():
        try:
            check_wire(readings_of(sheet, row))
        except ReadingError as fault:
            sheet.faults[row] = str(fault)
