"""The rules behind the tables against print: tolerances, deviations, allowances and proportions of forms."""

from __future__ import annotations

import ast
import operator
import re
from collections.abc import Callable, Iterator
from fractions import Fraction

import numpy as np
import pytest

import published_power
import published_special
from published_values import FormulaRow, disagreement, formula_rows, printed_number
from threadwright.tables import american_pipe, iso_metric, pipe_taper, unified
from threadwright.tables.form import Form
from threadwright.tables.registry import find_thread, series, system
from threadwright.tables.thread import Limits, Size, Thread

Answer = tuple[float | Fraction, str]
Check = Callable[[FormulaRow], list[Answer]]

NOT_HELD = {
    "iso_metric_engagement": "the library holds no table of the lengths of engagement",
    "iso_metric_deviation_a_to_d": "no class of the library uses the positions a to d of ISO 965-1",
    "din_13_14_root": "the library has the root of a screw by its form, not by a tolerance of DIN 13-14",
    "cycle_internal_minor": "the library has the hole of the British standard, not the one JIS truncates",
    "nptf_truncation": "the library holds no dryseal thread: its truncations are known from memory only",
    **published_power.NOT_HELD,
}
"""Topics whose rows are kept for reference: the library answers no such question."""


def _diameter_and_pitch(row: FormulaRow) -> tuple[float, float]:
    given = row.given
    if "thread" in given:
        thread = find_thread(given["thread"])
        return thread.nominal_major, thread.pitch
    return float(given.get("d", "0-8").split("-")[1]), float(given["P"])


def _metric_deviation(row: FormulaRow) -> list[Answer]:
    position = row.given["position"]
    _, pitch = _diameter_and_pitch(row)
    amount = float(iso_metric.fundamental_deviation(position, np.array([pitch]))[0])
    return [(amount if position.isupper() else -amount, "um")]


def _metric_tolerance(row: FormulaRow) -> list[Answer]:
    grade = int(row.given["grade"])
    diameter, pitch = (np.array([number]) for number in _diameter_and_pitch(row))
    values = {
        "Td": lambda: iso_metric.crest_tolerance_external(grade, pitch),
        "TD1": lambda: iso_metric.crest_tolerance_internal(grade, pitch),
        "Td2": lambda: iso_metric.pitch_tolerance("external", grade, diameter, pitch),
        "TD2": lambda: iso_metric.pitch_tolerance("internal", grade, diameter, pitch),
    }[row.quantity]()
    return [(float(values[0]), "um")]


def _metric_class(row: FormulaRow) -> list[Answer]:
    """A class with its own grade for pitch and crest (4g6g), put together from the functions."""
    thread = find_thread(row.given["thread"])
    pair = re.findall(r"(\d)([a-z])", row.given["class"])
    (pitch_grade, letter), (crest_grade, _) = pair[0], pair[-1]
    pitch, diameter = np.array([thread.pitch]), np.array([thread.nominal_major])
    deviation = float(iso_metric.fundamental_deviation(letter, pitch)[0]) / 1000
    major = thread.major_basic - deviation
    middle = thread.pitch_diameter_basic - deviation
    least = (
        middle - float(iso_metric.pitch_tolerance("external", int(pitch_grade), diameter, pitch)[0]) / 1000
    )
    crest = float(iso_metric.crest_tolerance_external(int(crest_grade), pitch)[0]) / 1000
    answers = {
        "major_max": major,
        "major_min": major - crest,
        "pitch_diameter_max": middle,
        "pitch_diameter_min": least,
        "minor_min": least - 0.616025 * thread.pitch,
        "minor_flat_max": middle - 0.433013 * thread.pitch,
    }
    return [(answers[row.quantity], "mm")]


def _proportion(form: Form, quantity: str) -> float:
    sharp = form.height
    return {
        "H": sharp,
        "H_over_p": sharp,
        "H_over_6": sharp / 6,
        "H6_over_p": sharp / 6,
        "depth": form.depth_over_pitch,
        "h_over_p": form.depth_over_pitch,
        "radius": form.crest_radius,
        "r_over_p": form.crest_radius,
        "radius_over_p": form.crest_radius,
        "shortening_over_p": form.crest_truncation,
        "e_over_p": form.addendum - form.straight_addendum,
    }[quantity]


def _form_of(symbol: str) -> Check:
    def check(row: FormulaRow) -> list[Answer]:
        share = _proportion(system(symbol).form, row.quantity)
        if row.case == "profile":
            return [(share, row.unit)]
        if "P" in row.given:
            return [(share * float(row.given["P"]), "mm")]
        return [(share / float(row.given["tpi"]), "in")]

    return check


def _association_form(row: FormulaRow) -> list[Answer]:
    form = system("BA").form
    if row.case == "profile":
        return [(_proportion(form, row.quantity), row.unit)]
    thread = find_thread(row.case)
    if row.quantity == "depth":
        return [((thread.major_basic - thread.minor_basic) / 2, "mm")]
    return [(form.crest_radius * thread.pitch, "mm")]


def _unified_external(row: FormulaRow) -> tuple[float, float, float, Limits]:
    thread = find_thread(row.given["thread"])
    return thread.major_basic, thread.pitch, thread.form.height, thread.limits("external", row.given["class"])


def _unified_allowance(row: FormulaRow) -> list[Answer]:
    basic, _, _, limits = _unified_external(row)
    return [(basic - limits.major_max, "in")]


def _unified_root(share_of_height: float) -> Check:
    def check(row: FormulaRow) -> list[Answer]:
        _, pitch, height, limits = _unified_external(row)
        return [(limits.major_max - share_of_height * height * pitch, "in")]

    return check


def _pipe_tolerance(row: FormulaRow) -> list[Answer]:
    """Differences of the limits of every size in a group: TD1, TD2, Td2 of class A or B, Td."""
    kind, side, name = {
        "TD1": ("minor", "internal", ""),
        "TD2": ("pitch_diameter", "internal", ""),
        "Td2_A": ("pitch_diameter", "external", "A"),
        "Td2_B": ("pitch_diameter", "external", "B"),
        "Td": ("major", "external", "A"),
    }[row.quantity]
    answers: list[Answer] = []
    for thread in _threads("G"):
        small = printed_number(thread.designation.removeprefix("G ")) <= 2
        group = f"{thread.tpi} tpi"
        if thread.tpi == 11:
            group += " to G 2" if small else " over G 2"
        if group == row.given["group"]:
            answers.append((_width(thread.limits(side, name), kind), "mm"))
    return answers


def _threads(symbol: str) -> Iterator[Thread]:
    table = series(symbol)
    return (table.thread(number) for number in range(len(table)))


def _width(limits: Limits, kind: str) -> float:
    """Distance between the two limits of a diameter."""
    return float(getattr(limits, f"{kind}_max") - getattr(limits, f"{kind}_min"))


def _unified_tolerance(row: FormulaRow) -> list[Answer]:
    tpi = np.array([float(row.given["tpi"])])
    return [(float(unified.major_tolerance(row.given["class"], tpi=tpi)[0]), "in")]


def _unified_example(row: FormulaRow) -> list[Answer]:
    """The worked examples: 1/2-28 UNEF step by step, and 19/64-36, a size outside the series."""
    name = row.given["class"]
    if row.quantity in ("Td", "Td2"):
        diameter, tpi = np.array([0.5]), np.array([28.0])
        step = {
            "Td": lambda: unified.major_tolerance(name, tpi=tpi),
            "Td2": lambda: unified.pitch_tolerance(name, diameter=diameter, tpi=tpi, engagement=9 / tpi),
        }[row.quantity]()
        return [(float(step[0]), "in")]
    special = Size("19/64", Fraction(19, 64), Fraction(1, 36))
    thread = system("UNS").but(seeds=lambda: (special,)).build().thread(0)
    if row.quantity == "major_basic":
        return [(thread.major_basic, "in")]
    side = "external" if name.endswith("A") else "internal"
    return [(getattr(thread.limits(side, name), row.quantity), "in")]


def _npt_geometry(row: FormulaRow) -> list[Answer]:
    """A length or diameter of ASME B1.20.1 by its own letter."""
    columns = american_pipe.pipe_lengths(system("NPT"))
    number = series("NPT").designations.index(row.given["thread"])
    return [(float(getattr(columns, row.quantity.lower())[number]), "in")]


def _npsm_allowance(row: FormulaRow) -> list[Answer]:
    thread = find_thread(row.given["thread"])
    return [(thread.pitch_diameter_basic - thread.limits("external").pitch_diameter_max, "in")]


def _pipe_depth(row: FormulaRow) -> list[Answer]:
    thread = find_thread(row.given["thread"])
    return [((thread.major_basic - thread.minor_basic) / 2, "mm")]


def _taper_tolerance(row: FormulaRow) -> list[Answer]:
    """Place of the gauge plane, or diameter there, either way, of every size in a group."""
    side = "external" if row.quantity.endswith("external") else "internal"
    rule = pipe_taper.on_diameter if "diameter" in row.quantity else pipe_taper.gauge_plane_tolerance
    answers: list[Answer] = []
    for thread in _threads("R"):
        size = printed_number(thread.designation.removeprefix("R "))
        group = f"{thread.tpi} tpi"
        if thread.tpi == 11:
            group += " to 2 in" if size <= 2 else " above 2 in"
        if group == row.given["group"]:
            value = rule(side, size=np.array([float(size)]), pitch=np.array([thread.pitch]))
            answers.append((float(value[0]), "mm"))
    return answers


TOPICS: dict[str, Check] = {
    "iso_metric_deviation": _metric_deviation,
    "iso_metric_tolerance": _metric_tolerance,
    "iso_metric_class": _metric_class,
    "unified_allowance": _unified_allowance,
    "unified_tolerance": _unified_tolerance,
    "unified_worked_example": _unified_example,
    "unified_root_17h12": _unified_root(17 / 12),
    "unified_flat_root": _unified_root(5 / 4),
    "whitworth_form": _form_of("BSW"),
    "pipe_parallel_tolerance": _pipe_tolerance,
    "pipe_form": _form_of("G"),
    "cycle_form": _form_of("BSC"),
    "ba_form": _association_form,
    "npt_geometry": _npt_geometry,
    "npsm_allowance": _npsm_allowance,
    "pipe_depth": _pipe_depth,
    "iso7_tolerance": _taper_tolerance,
    **published_power.TOPICS,
    **published_special.TOPICS,
}


# Printed formulas, compared over whole tables.

_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def evaluate(formula: str, names: dict[str, float]) -> float:
    """Work out a printed formula, sums, products and powers only, at given values."""

    def walk(node: ast.expr) -> float:
        if isinstance(node, ast.BinOp):
            return _OPERATORS[type(node.op)](walk(node.left), walk(node.right))
        if isinstance(node, ast.Name):
            return names[node.id]
        assert isinstance(node, ast.Constant), formula
        return float(node.value)  # type: ignore[arg-type]

    return walk(ast.parse(formula, mode="eval").body)


def _association_threads(row: FormulaRow) -> Iterator[tuple[Thread, Limits]]:
    """Threads that a printed BA rule governs: ``bolt normal 11-16``; close is for 0 to 10."""
    kind, name, *sizes = row.case.split(" ")
    side = "external" if kind == "bolt" else "internal"
    first, last = (sizes[0] if sizes else "0-10" if name == "close" else "0-16").split("-")
    for thread in _threads("BA"):
        if int(first) <= int(thread.designation.split(" ")[0]) <= int(last):
            yield thread, thread.limits(side, name)


def _whitworth_threads(row: FormulaRow) -> Iterator[tuple[Thread, Limits]]:
    """Threads that a printed BS 84 rule governs: ``bolt medium``, ``nut 24 and 22 tpi``."""
    kind, rest = row.case.split(" ", 1)
    side = "external" if kind == "bolt" else "internal"
    pitches = {"26 tpi and finer": (26, 100), "24 and 22 tpi": (22, 24), "20 tpi and coarser": (0, 20)}
    low, high = pitches.get(rest, (0, 100))
    name = "medium" if rest in pitches else rest
    for symbol in ("BSW", "BSF"):
        for thread in _threads(symbol):
            assert thread.tpi is not None
            if low <= thread.tpi <= high and name in thread.classes(side):
                yield thread, thread.limits(side, name)


DIAMETER = {"major_tolerance": "major", "effective_tolerance": "pitch_diameter", "minor_tolerance": "minor"}


def _printed_and_held(row: FormulaRow) -> list[tuple[str, float, float]]:
    """Designation, tolerance by the printed formula, distance of the two limits held. [in, mm]"""
    unit_rule = next(r.value for r in formula_rows() if (r.topic, r.quantity) == ("bs84_tolerance", "T"))
    threads = _association_threads if row.topic == "ba_tolerance" else _whitworth_threads
    lines = []
    for thread, limits in threads(row):
        names = {"p": thread.pitch, "D": thread.nominal_major, "L": thread.nominal_major}
        names["T"] = evaluate(unit_rule, names)
        if row.quantity == "allowance":
            held = thread.major_basic - limits.major_max
        else:
            held = _width(limits, DIAMETER[row.quantity])
        if held == held:
            lines.append((thread.designation, evaluate(row.value, names), held))
    return lines


ROUNDING = {"bs84_tolerance": 0.0001, "ba_tolerance": 0.001}
"""The place to which the limits are rounded: two rounded limits may be half of it off, each. [in, mm]"""
NOT_TABULATED = [("bs84_tolerance", "all", "T"), ("bs84_tolerance", "nut close", "effective_tolerance")]
"""T itself is inside the other rules; the special close nut of BS 84 Annex E is not in the tables."""


@pytest.mark.parametrize("topic", ROUNDING)
def test_limits_lie_as_far_apart_as_the_printed_formulas_say(topic: str) -> None:
    faults = []
    for row in formula_rows():
        if row.topic != topic or not row.gates or (row.topic, row.case, row.quantity) in NOT_TABULATED:
            continue
        lines = _printed_and_held(row)
        assert lines, row.name
        faults += [
            f"{row.name}: {designation} {printed:.5f} by the formula, {held:.5f} held"
            for designation, printed, held in lines
            if abs(printed - held) > ROUNDING[topic] * (1 + 1e-6)
        ]
    assert [] == faults


@pytest.mark.parametrize("topic", TOPICS)
def test_every_published_rule_agrees_to_half_its_last_digit(topic: str) -> None:
    faults = []
    for row in formula_rows():
        if row.topic == topic and row.gates:
            answers = TOPICS[topic](row)
            assert answers, row.name
            faults += [fault for value, unit in answers if (fault := disagreement(row, value, unit))]
    assert [] == faults


def test_rules_from_memory_are_reported_and_never_a_gate(record_property: pytest.RecordProperty) -> None:
    recalled = [row for row in formula_rows() if row.topic in TOPICS and not row.gates]
    assert recalled
    for row in recalled:
        for value, unit in TOPICS[row.topic](row):
            if fault := disagreement(row, value, unit):
                record_property("from_memory_differs", fault)
                print(f"from memory, not a gate: {fault}")


def test_every_topic_is_compared_or_named_as_not_held() -> None:
    # test_published_v_threads.py compares a file of its own, and says the same of it
    elsewhere = {row.topic for row in formula_rows("formulas_v_threads")}
    assert {row.topic for row in formula_rows()} - elsewhere == {
        *TOPICS,
        *ROUNDING,
        *NOT_HELD,
        *published_power.RULES_TESTED_ELSEWHERE,
    }
