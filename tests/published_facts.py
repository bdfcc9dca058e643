"""Published check values of hexagons, wires, drills, fits and undercuts: ``published/facts/*.csv``.

The columns and the tolerance are those of :mod:`published_values`: half the last printed digit, one unit more
where a row allows it and says why. A quantity ending in ``_rule`` prints a formula instead of a number.
"""

from __future__ import annotations

import ast
import csv
import operator
from collections.abc import Callable, Iterable
from fractions import Fraction

from published_values import FOLDER, FormulaRow, disagreement

Answer = tuple[float | Fraction, str]
_OPERATORS: dict[type[ast.operator], Callable[[Fraction, Fraction], Fraction]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def fact_rows(stem: str) -> list[FormulaRow]:
    """All rows of one file."""
    with (FOLDER / "facts" / f"{stem}.csv").open(encoding="ascii", newline="") as lines:
        return [FormulaRow(**record) for record in csv.DictReader(lines, strict=True)]


def excluded_facts() -> list[dict[str, str]]:
    """Rows that are not compared, each with the reason."""
    with (FOLDER / "facts" / "excluded.csv").open(encoding="ascii", newline="") as lines:
        return list(csv.DictReader(lines, strict=True))


def rule_value(text: str, **names: Fraction) -> Fraction:
    """The exact value of a printed rule such as ``1.5*D+1/8``."""

    def value(node: ast.expr) -> Fraction:
        if isinstance(node, ast.BinOp):
            return _OPERATORS[type(node.op)](value(node.left), value(node.right))
        if isinstance(node, ast.Name):
            return names[node.id]
        assert isinstance(node, ast.Constant)
        return Fraction(str(node.value))

    return value(ast.parse(text, mode="eval").body)


def faults(rows: Iterable[FormulaRow], answer: Callable[[FormulaRow], Answer]) -> list[str]:
    """What disagrees with print, and rows whose allowance is not needed or not explained."""
    found = []
    for row in rows:
        value, unit = answer(row)
        if fault := disagreement(row, value, unit):
            found.append(fault)
        elif row.allow and disagreement(FormulaRow(**{**_fields(row), "allow": ""}), value, unit) is None:
            found.append(f"{row.name}: the allowance is not needed")
        if bool(row.allow) != bool(row.reason) or not (row.source and row.edition):
            found.append(f"{row.name}: an allowance without a reason, or no source")
    return found


def _fields(row: FormulaRow) -> dict[str, str]:
    return {name: getattr(row, name) for name in FormulaRow.__dataclass_fields__}
