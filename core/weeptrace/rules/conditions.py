"""The small language of conditions: parsed when the rules are compiled, walked on the phone.

Grammar (a subset of Python's, so Python's own parser reads it)::

    known(field)   a < b   <=   >   >=   ==   !=   and   or   not
    field          a word of the vocabulary, such as car.capacity
    limit.x.y      a limit of the rules, as its SI value
    "word", 5      a choice, a number

A condition on something unknown is unknown: the logic has three values (Kleene's strong logic), so
a missing fact never turns a "no" into a "yes".

>>> tree = parse('known(car.name) and car.capacity > 5')
>>> tree
['and', ['known', 'car.name'], ['>', ['field', 'car.capacity'], ['number', 5.0]]]
>>> evaluate(tree, {"car.name": "Larkspur"}.get, {})
>>> evaluate(tree, {"car.name": "Larkspur", "car.capacity": 7.6}.get, {})
True
"""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

Tree = list[Any]
Lookup = Callable[[str], Any]

_COMPARE: Final[dict[type, str]] = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}
_APPLY: Final[dict[str, Callable[[Any, Any], Any]]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}


def parse(text: str) -> Tree:
    """The tree of a condition. Raises ``ValueError`` with what is wrong in it."""
    try:
        body = ast.parse(text, mode="eval").body
    except SyntaxError as problem:
        raise ValueError(f"“{text}” is not a condition: {problem.msg}") from None
    return _convert(body, text)


def _convert(node: ast.AST, text: str) -> Tree:
    if isinstance(node, ast.BoolOp):
        word = "and" if isinstance(node.op, ast.And) else "or"
        return [word, *(_convert(part, text) for part in node.values)]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        return ["not", _convert(node.operand, text)]
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in _COMPARE:
        word = _COMPARE[type(node.ops[0])]
        return [word, _value(node.left, text), _value(node.comparators[0], text)]
    if (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "known"
        and len(node.args) == 1
    ):
        return ["known", _dotted(node.args[0], text)]
    raise ValueError(
        f"“{ast.unparse(node)}” in “{text}” is not allowed; "
        "use names, comparisons, and, or, not, known(name)"
    )


def _value(node: ast.AST, text: str) -> Tree:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return ["word", node.value]
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return ["number", float(node.value)]
    name = _dotted(node, text)
    if name.startswith("limit."):
        return ["limit", name.removeprefix("limit.")]
    return ["field", name]


def _dotted(node: ast.AST, text: str) -> str:
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        return f"{_dotted(node.value, text)}.{node.attr}"
    raise ValueError(f"“{ast.unparse(node)}” in “{text}” is not a name")


def fields(tree: Tree) -> Iterator[str]:
    """The fields that a condition names."""
    if tree[0] in ("field", "known"):
        yield tree[1]
    for part in tree[1:]:
        if isinstance(part, list):
            yield from fields(part)


def limits(tree: Tree) -> Iterator[str]:
    """The limits that a condition names."""
    if tree[0] == "limit":
        yield tree[1]
    for part in tree[1:]:
        if isinstance(part, list):
            yield from limits(part)


def evaluate(tree: Tree, lookup: Lookup, limit: Mapping[str, float]) -> bool | None:
    """True, False, or None where it hangs on something unknown.

    ``lookup`` gives a field's value (SI, or a word) or None; ``limit`` the SI values of limits.
    """
    word = tree[0]
    if word == "known":
        known: bool = lookup(tree[1]) is not None
        return known
    if word == "not":
        inner = evaluate(tree[1], lookup, limit)
        return None if inner is None else not inner
    if word in ("and", "or"):
        decides: bool = word == "or"
        parts = [evaluate(part, lookup, limit) for part in tree[1:]]
        if decides in parts:
            return decides
        return None if None in parts else not decides
    left, right = (_read(part, lookup, limit) for part in tree[1:])
    if left is None or right is None:
        return None
    outcome: bool = _APPLY[word](left, right)
    return outcome


def _read(tree: Tree, lookup: Lookup, limit: Mapping[str, float]) -> Any:
    if tree[0] == "field":
        return lookup(tree[1])
    if tree[0] == "limit":
        return limit[tree[1]]
    return tree[1]
