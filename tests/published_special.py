"""Printed proportions, radii, gauges and tolerances of the special threads, and how to compare them."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from published_values import FormulaRow
from threadwright.tables import edison
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.thread import Side

Answer = tuple[float, str]


def _loewenherz_form(row: FormulaRow) -> list[Answer]:
    form = system("LOEW").form
    value = {
        "depth_over_p": form.depth_over_pitch,
        "flat_over_p": 2 * form.crest_truncation * math.tan(math.radians(form.flank_angle)),
        "thread_angle": form.thread_angle * 60,
    }[row.quantity]
    return [(value, row.unit)]


def _thury_form(row: FormulaRow) -> list[Answer]:
    return [(system("THURY").form.thread_angle, row.unit)]


def _round_form(row: FormulaRow) -> list[Answer]:
    """Radii by geometry from the sizes held: R1 both ends of the screw, R2 crest and R3 root of the nut."""
    thread = find_thread("Rd 8x1/10")
    form, nut = thread.form, thread.limits("internal")
    out = (nut.major_min - thread.pitch_diameter_basic) / 2 / thread.pitch
    into = (thread.pitch_diameter_basic - nut.minor_min) / 2 / thread.pitch
    share = 1 / math.sin(math.radians(form.flank_angle)) - 1
    value = {
        "R1_over_P": form.crest_radius,
        "R2_over_P": (form.height / 2 - into) / share,
        "R3_over_P": (form.height / 2 - out) / share,
        "H_over_P": form.height,
    }[row.quantity]
    return [(value, row.unit)]


def _round_tolerance(row: FormulaRow) -> list[Answer]:
    """Distance of the two limits of every size of one pitch."""
    sides: dict[str, tuple[Side, str]] = {
        "Td_major": ("external", "major"),
        "Td2": ("external", "pitch_diameter"),
        "Td3": ("external", "minor"),
        "TD2": ("internal", "pitch_diameter"),
        "TD1": ("internal", "minor"),
    }
    side, part = sides[row.quantity]
    answers: list[Answer] = []
    table = series("Rd")
    for thread in (table.thread(number) for number in range(len(table))):
        if thread.tpi == int(row.given["tpi"]):
            limits = thread.limits(side)
            answers.append((getattr(limits, f"{part}_max") - getattr(limits, f"{part}_min"), "mm"))
    return answers


def _edison_form(row: FormulaRow) -> list[Answer]:
    thread = find_thread(row.given["thread"])
    if row.quantity == "radius":
        depth = np.array([(thread.major_basic - thread.minor_basic) / 2])
        return [(float(edison.arc_radius(np.array([thread.pitch]), depth)[0]), "mm")]
    smallest = {
        "go_plug_gauge_major": thread.major_basic,
        "go_plug_gauge_minor": thread.minor_basic,
    }[row.quantity]
    return [(smallest + float(edison.gauge_offset(thread.designation)), "mm")]


TOPICS: dict[str, Callable[[FormulaRow], list[Answer]]] = {
    "loewenherz_form": _loewenherz_form,
    "thury_form": _thury_form,
    "round_form": _round_form,
    "round_tolerance": _round_tolerance,
    "edison_form": _edison_form,
}
"""How each topic of ``formulas_special.csv`` is compared."""
