"""The printed tables inside a general modelling library, read as text: nothing of it is imported or run."""

from __future__ import annotations

import ast
import re
from fractions import Fraction
from functools import cache
from importlib.metadata import distribution
from itertools import pairwise
from typing import Any

PACKAGE = "solidpython2"
FOLDER = "solid2/extensions/bosl2/BOSL2"
_NAMED = {"undef": None, "INCH": Fraction("25.4")}


@cache
def text_of(file: str) -> str:
    """One file of the library without its comments."""
    path = distribution(PACKAGE).locate_file(f"{FOLDER}/{file}")
    return re.sub(r"//[^\n]*", "", path.read_text(encoding="utf-8"))


@cache
def table(file: str, after: str) -> list[Any]:
    """The first list in brackets after a piece of text, its numbers exact."""
    text = text_of(file)
    assert text.count(after) == 1, f"{file} has {text.count(after)} of {after!r}"
    start = text.index("[", text.index(after) + len(after) - 1)
    depth = 0
    for at in range(start, len(text)):
        depth += {"[": 1, "]": -1}.get(text[at], 0)
        if depth == 0:
            break
    listed = _value(ast.parse(" ".join(text[start : at + 1].split()), mode="eval").body)
    assert isinstance(listed, list)
    return listed


def _value(node: ast.expr) -> Any:
    """A list, a text, an exact number, or what a name stands for."""
    match node:
        case ast.List():
            return [_value(part) for part in node.elts]
        case ast.Constant(value=str(text)):
            return text
        case ast.Constant(value=number):
            return Fraction(str(number))
        case ast.Name(id=name):
            return _NAMED[name]
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            return _value(left) + _value(right)
        case ast.BinOp(left=left, op=ast.Div(), right=right):
            return _value(left) / _value(right)
        case ast.BinOp(left=left, op=ast.Mult(), right=right):
            return _value(left) * _value(right)
    raise AssertionError(f"a table of {PACKAGE} holds {ast.dump(node)}")


def between(rows: list[list[Fraction]], at: Fraction) -> Fraction:
    """What the library reads off a table of corners: straight lines between them, the ends beyond."""
    if at <= rows[0][0]:
        return rows[0][1]
    for (x0, y0), (x1, y1) in pairwise(rows):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return rows[-1][1]
