"""How results look in a notebook, and how a probability is written; every text is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

__all__ = ["SHOWN", "candidates_html", "machine_html", "share"]

SHOWN: Final = 0.005
"""A smaller probability is not worth a line."""


def share(probability: float) -> str:
    """A probability to 0.01; what is not quite nothing or not quite certain is not rounded to it.

    Parameters
    ----------
    probability : float
        From 0 to 1. [-]

    Examples
    --------
    >>> share(0.846), share(0.00004), share(0.9999), share(0.0)
    ('0.85', '<0.01', '>0.99', '0.00')
    """
    if 0.0 < probability < 0.005:
        return "<0.01"
    return ">0.99" if 0.995 <= probability < 1.0 else f"{probability:.2f}"


def candidates_html(
    candidates: Sequence[tuple[str, float, str, tuple[str, ...]]],
    *,
    none: float,
    settled: bool,
    fits: bool,
) -> str:
    """Ranked candidates as a table, without those of hardly any probability.

    Parameters
    ----------
    candidates : sequence of tuple
        Designation, probability, title of the system, and what else it is called; the likeliest first.
    none : float
        Probability that it is none of the tables' threads. [-]
    settled, fits : bool
        Whether the first is settled, and whether any fits.

    Examples
    --------
    >>> html = candidates_html(
    ...     [("2 BA", 0.97, "British Association", ())], none=0.01, settled=True, fits=True
    ... )
    >>> "<caption>2 BA, probability 0.97</caption>" in html, "<td>any other</td><td>0.02</td>" in html
    (True, True)
    """
    from threadwright.tables.html import table_html

    shown = [one for one in candidates if one[1] >= SHOWN] or candidates[:1]
    first = f"{shown[0][0]}, probability {share(shown[0][1])}"
    caption = f"{first}{'' if settled else ', not settled'}"
    if not fits:
        caption = f"None of the threads in the tables fits (probability {share(none)}); the nearest"
    rest = max(1.0 - none - sum(one[1] for one in shown), 0.0)
    rows = [(name, share(p), title, ", ".join(also)) for name, p, title, also in shown]
    rows += [("any other", share(rest), "", ""), ("none of these", share(none), "", "")]
    return table_html(rows, header=("thread", "probability", "name", "also called"), caption=caption)


def machine_html(
    caption: str, fasteners: Iterable[tuple[str, str, float, str | None]], *, not_finished: Iterable[str]
) -> str:
    """The fasteners of one machine as a table.

    Parameters
    ----------
    caption : str
        Name of the machine.
    fasteners : iterable of tuple
        Place, thread, probability and notes.
    not_finished : iterable of str
        Places with a session that is not finished.

    Examples
    --------
    >>> "<td>lid</td><td>not finished</td>" in machine_html("press", [], not_finished=["lid"])
    True
    """
    from threadwright.tables.html import table_html

    rows = [(place, thread, share(p), notes) for place, thread, p, notes in fasteners]
    rows += [(place, "not finished", "", None) for place in not_finished]
    return table_html(rows, header=("place", "thread", "probability", "notes"), caption=caption)
