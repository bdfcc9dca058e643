"""The outline of a thread in a plane through its axis, from its form."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from threadwright.tables.form import Form

__all__ = ["thread_outline"]

_STEPS: Final = 8  # chords of a quarter of a rounded crest or root


def thread_outline(form: Form, *, pitch: float, turns: int) -> tuple[tuple[float, float], ...]:
    """Basic profile of an external thread, from the middle of one root to that of another.

    Rounded forms are rounded at crest and root, tangent to both flanks; a form with flat crests is drawn
    with flat roots too, as its basic profile is.

    Parameters
    ----------
    form : Form
        Angles and truncations.
    pitch : float
        Pitch. [mm]
    turns : int
        Number of threads.

    Returns
    -------
    tuple of (float, float)
        Place along the axis, 0 at the middle of the first crest, and height over the pitch line. [mm]

    References
    ----------
    Form: see :class:`threadwright.tables.form.Form`.

    Examples
    --------
    >>> from threadwright.tables.registry import find_thread
    >>> points = thread_outline(find_thread("M8x1.25").form, pitch=1.25, turns=1)
    >>> [(round(x, 3), round(y, 3)) for x, y in points][:4]
    [(-0.625, -0.271), (-0.469, -0.271), (-0.078, 0.406), (0.0, 0.406)]
    """
    crest = _end(form, form.crest_truncation, rounded=form.crest_end == "rounded")
    root = _end(form, form.root_truncation, rounded=form.crest_end == form.root_end == "rounded")
    half = form.height / 2
    left, right = _slopes(form)
    # the root is the crest of the groove: turned upside down, and its flanks change places
    out = [(-2 * half * left - x, y - half) for x, y in reversed(root) if x <= 0]
    into = [(2 * half * right - x, y - half) for x, y in reversed(root) if x >= 0]
    tooth = [*out, *((x, half - y) for x, y in crest), *into]
    return tuple(
        ((x + turn) * pitch, y * pitch) for turn in range(turns) for x, y in (tooth[1:] if turn else tooth)
    )


def _slopes(form: Form) -> tuple[float, float]:
    """Run of the left and the right flank for a rise of one."""
    clear = form.flank_angle if form.flank_angle_clear is None else form.flank_angle_clear
    return math.tan(math.radians(clear)), math.tan(math.radians(form.flank_angle))


def _end(form: Form, truncation: float, *, rounded: bool) -> list[tuple[float, float]]:
    """The cut or rounded end of the sharp triangle: place from its tip, and depth below it."""
    left, right = _slopes(form)
    if not (rounded and form.symmetric):
        return [(-truncation * left, truncation), (0.0, truncation), (truncation * right, truncation)]
    angle = math.radians(form.flank_angle)
    radius = truncation / (1 / math.sin(angle) - 1)
    reach = math.pi / 2 - angle
    turns = (reach * (step / _STEPS - 1) for step in range(2 * _STEPS + 1))
    return [(radius * math.sin(turn), truncation + radius * (1 - math.cos(turn))) for turn in turns]
