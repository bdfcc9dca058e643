"""How the rows of ``published/formulas_power.csv`` are worked out by the library."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import numpy as np

from published_values import FormulaRow, printed_number
from threadwright.tables import acme, buttress, iso_metric, trapezoidal
from threadwright.tables.form import Form
from threadwright.tables.registry import find_thread, system
from threadwright.tables.thread import Limits, Size
from threadwright.tables.wires import wire_constants

Answer = tuple[float | Fraction, str]

RULES_TESTED_ELSEWHERE = {"trapezoidal_ratio": "test_trapezoidal.py compares it over the whole table"}
NOT_HELD = {"stub_acme_tolerance": "the library holds no tolerances of stub Acme: they are not verified"}


def _one(value: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([value])


def _range_top(row: FormulaRow) -> float:
    return float(printed_number(row.given["range"].split(" to ")[1]))


def _trapezoidal_table(row: FormulaRow) -> list[Answer]:
    pitch = _one(float(row.given["P"]))
    value = {
        "es_c": lambda: -trapezoidal.fundamental_deviation("c", pitch),
        "es_e": lambda: -trapezoidal.fundamental_deviation("e", pitch),
        "TD1": lambda: trapezoidal.crest_tolerance_nut(pitch),
        "Td": lambda: iso_metric.crest_tolerance_external(4, pitch),
    }[row.quantity]()
    return [(float(value[0]), "um")]


def _trapezoidal_class(row: FormulaRow) -> list[Answer]:
    thread = find_thread(row.given["thread"])
    limits = thread.limits("external", row.given["class"])
    value = {
        "es_c": limits.pitch_diameter_max - thread.pitch_diameter_basic,
        "Td": limits.major_max - limits.major_min,
        "Td2": limits.pitch_diameter_max - limits.pitch_diameter_min,
        "Td3": limits.minor_max - limits.minor_min,
    }[row.quantity]
    return [(value, "mm")]


def _trapezoidal_unlisted(row: FormulaRow) -> list[Answer]:
    """A size outside ISO 2902, put together as a system of its own."""
    size = Size(row.given["d"], Fraction(row.given["d"]), Fraction(row.given["P"]))
    thread = system("Tr").but(seeds=lambda: (size,)).build().thread(0)
    return [(getattr(thread.limits("external", row.given["class"]), row.quantity), "mm")]


def _proportions(form: Form) -> dict[str, float]:
    return {
        "depth": form.depth_over_pitch,
        "height": form.height,
        "crest_flat": form.crest_truncation / form.height,
        "crest_truncation": form.crest_truncation,
    }


def _inch_form(row: FormulaRow) -> list[Answer]:
    symbol = row.given["form"]
    form = system(symbol).form
    if "thread" in row.given:
        return [(_proportions(form)["crest_flat"] * find_thread(row.given["thread"]).pitch, "in")]
    pitch = 1 / float(row.given["tpi"])
    if row.quantity == "full_depth":
        basic = find_thread(f"1 1/2-{row.given['tpi']} BUTT") if row.given["tpi"] == "12" else None
        basic = basic or find_thread(f"1/2-{row.given['tpi']} BUTT")
        return [((basic.limits("external").major_max - basic.limits("external").minor_max) / 2, "in")]
    clearance = float(acme.crest_clearance(_one(pitch))[0])
    if row.quantity == "total_depth":
        return [(form.depth_over_pitch * pitch + clearance / 2, "in")]
    if row.quantity == "root_flat":
        narrower = 2 * math.tan(math.radians(form.flank_angle)) * clearance / 2
        return [(_proportions(form)["crest_flat"] * pitch - narrower, "in")]
    return [(_proportions(form)[row.quantity] * pitch, "in")]


def _metric_buttress(row: FormulaRow) -> list[Answer]:
    """Proportions of DIN 513 from the sizes held, on a pitch and diameter where rounding does not count."""
    form = system("S-BUTT").form
    root = (1000 - float(buttress.metric_root_diameter(_one(1000.0), _one(100.0))[0])) / 100
    gap = root / 2 - form.depth_over_pitch
    load, clear = math.radians(form.flank_angle), math.radians(form.flank_angle_clear or 0)
    wide = form.root_truncation / form.height - gap * (math.tan(load) + math.tan(clear))
    half_turns = math.tan((math.pi / 2 - load) / 2) + math.tan((math.pi / 2 - clear) / 2)
    value = {
        "h3_over_P": root / 2,
        "H1_over_P": form.depth_over_pitch,
        "R_over_P": wide / half_turns,
        "d_minus_d2_over_P": form.depth_over_pitch,
        "d_minus_D1_over_P": 2 * form.depth_over_pitch,
        "d_minus_d3_over_P": root,
    }[row.quantity]
    return [(value, row.unit)]


def _acme_allowance(row: FormulaRow) -> list[Answer]:
    return [(float(acme.pitch_allowance(row.given["class"], _one(_range_top(row)))[0]), "in")]


def _acme_coefficient(row: FormulaRow) -> list[Answer]:
    name = row.given["class"]
    nothing, unit = _one(0.0), _one(1.0)
    value = {
        "allowance_coefficient_sqrtD": lambda: acme.pitch_allowance(name, unit),
        "tolerance_coefficient_sqrtP": lambda: acme.pitch_tolerance(name, diameter=nothing, pitch=unit),
        "tolerance_coefficient_sqrtD": lambda: acme.pitch_tolerance(name, diameter=unit, pitch=nothing),
    }[row.quantity]()
    return [(float(value[0]), "in")]


def mean_area(limits: Limits) -> float:
    """Area of the circle of the mean of the least pitch and minor diameters."""
    return math.pi / 16 * (limits.pitch_diameter_min + limits.minor_min) ** 2


def _stress_area(row: FormulaRow) -> list[Answer]:
    limits = find_thread(row.given["thread"]).limits("external", row.given["class"])
    return [(mean_area(limits), row.unit)]


def _acme_wires(row: FormulaRow) -> list[Answer]:
    return [(getattr(wire_constants(acme.ACME_FORM), row.quantity), row.unit)]


def _buttress_tolerance(row: FormulaRow) -> list[Answer]:
    pitch = _one(1 / float(row.given["tpi"]))
    value = buttress.class_tolerance(row.given["class"], diameter=_one(_range_top(row)), pitch=pitch)
    return [(float(value[0]), "in")]


TOPICS: dict[str, Callable[[FormulaRow], list[Answer]]] = {
    "trapezoidal_table": _trapezoidal_table,
    "trapezoidal_class": _trapezoidal_class,
    "trapezoidal_unlisted": _trapezoidal_unlisted,
    "acme_allowance": _acme_allowance,
    "acme_coefficient": _acme_coefficient,
    "acme_form": _inch_form,
    "acme_stress_area": _stress_area,
    "acme_wires": _acme_wires,
    "buttress_form": _inch_form,
    "buttress_tolerance": _buttress_tolerance,
    "metric_buttress_form": _metric_buttress,
}
