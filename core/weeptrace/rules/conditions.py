"""The small language of conditions: parsed when the rules are compiled, walked on the phone.

Grammar (a subset of Python's, so Python's own parser reads it)::

    known(field)   a < b   <=   >   >=   ==   !=   and   or   not
    within(field, limit.x.y)   its value is no older than that limit
    field          a word of the vocabulary, such as car.capacity
    limit.x.y      a limit of the rules, as its SI value
    "word", 5      a choice, a number
    agreed         a term: a condition that the procedure has given this name

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
Age = Callable[[str], float]
Test = Callable[[Lookup, Mapping[str, float], Age | None], bool | None]

_MEND: Final = "write names, comparisons, and, or, not, known(name), within(name, limit.room.name)"

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


def parse(text: str, terms: Mapping[str, Tree] | None = None) -> Tree:
    """The tree of a condition, its terms put in. Raises ``ValueError`` with what is wrong in it.

    >>> parse("hot and not known(car.name)", {"hot": ["known", "car.heat"]})
    ['and', ['known', 'car.heat'], ['not', ['known', 'car.name']]]
    """
    text = " ".join(text.splitlines()).strip()
    try:
        return _convert(ast.parse(text, mode="eval").body, text, terms or {})
    except SyntaxError as problem:
        raise ValueError(f"“{text}” is not a condition: {_where(problem)}; {_MEND}") from None
    except (MemoryError, RecursionError):
        raise ValueError("nests too deep for a condition; write two fields instead") from None


def _where(problem: SyntaxError) -> str:
    return f"it does not read on from its sign {problem.offset or 1}"


def _convert(node: ast.AST, text: str, terms: Mapping[str, Tree]) -> Tree:
    if isinstance(node, ast.BoolOp):
        word = "and" if isinstance(node.op, ast.And) else "or"
        return [word, *(_convert(part, text, terms) for part in node.values)]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        return ["not", _convert(node.operand, text, terms)]
    if isinstance(node, ast.Name) and node.id in terms:
        return terms[node.id]
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in _COMPARE:
        word = _COMPARE[type(node.ops[0])]
        return [word, _value(node.left, text), _value(node.comparators[0], text)]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and not node.keywords:
        names = [_dotted(each, text) for each in node.args]
        if node.func.id == "known" and len(names) == 1:
            return ["known", names[0]]
        if node.func.id == "within" and len(names) == 2 and names[1].startswith("limit."):
            return ["within", names[0], ["limit", names[1].removeprefix("limit.")]]
    raise ValueError(f"“{ast.unparse(node)}” in “{text}” is not allowed; {_MEND}")


def _value(node: ast.AST, text: str) -> Tree:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return ["word", node.value]
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        if isinstance(node.value, bool):
            raise ValueError(f"“{text}” holds {node.value}; {_MEND}")
        if not abs(node.value) < 1e12:
            raise ValueError(f"“{text}” holds an absurd number; write a smaller one")
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
    raise ValueError(f"“{ast.unparse(node)}” in “{text}” is not a name; {_MEND}")


def fields(tree: Tree) -> Iterator[str]:
    """The fields that a condition names."""
    if tree[0] in ("field", "known", "within"):
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


def ages(tree: Tree) -> Iterator[Tree]:
    """The ``within`` parts of a condition."""
    if tree[0] == "within":
        yield tree
    for part in tree[1:]:
        if isinstance(part, list):
            yield from ages(part)


def comparisons(tree: Tree) -> Iterator[tuple[str, Tree, Tree]]:
    """The comparisons of a condition: what is compared, how, and with what."""
    if tree[0] in _APPLY:
        yield tree[0], tree[1], tree[2]
        return
    for part in tree[1:]:
        if isinstance(part, list):
            yield from comparisons(part)


def unmet(
    tree: Tree, lookup: Lookup, limit: Mapping[str, float], age: Age, wanted: bool = True
) -> Iterator[Tree]:
    """The pieces of a condition that keep it from being what is wanted, in its order.

    Of an ``or`` that is not so every way that would make it so.

    >>> tree = parse('car.capacity < 5 and (known(car.name) or car.glycol == "other")')
    >>> list(unmet(tree, {"car.capacity": 4.0}.get, {}, lambda _: 0.0))
    [['known', 'car.name'], ['==', ['field', 'car.glycol'], ['word', 'other']]]
    """
    if evaluate(tree, lookup, limit, age) is wanted:
        return
    if tree[0] in ("and", "or"):
        for part in tree[1:]:
            yield from unmet(part, lookup, limit, age, wanted)
    elif tree[0] == "not":
        yield from unmet(tree[1], lookup, limit, age, not wanted)
    else:
        yield tree


class Condition(list[Any]):
    """A tree that is asked often: the function that it comes to is made once.

    >>> Condition(parse("known(car.name)")) == parse("known(car.name)")
    True
    """

    def __init__(self, tree: Tree) -> None:
        super().__init__(tree)
        self.test = _test(tree)


def evaluate(
    tree: Tree, lookup: Lookup, limit: Mapping[str, float], age: Age | None = None
) -> bool | None:
    """True, False, or None where it hangs on something unknown.

    ``lookup`` gives a field's value (SI, or a word) or None; ``limit`` the SI values of limits;
    ``age`` the age of a known field's value in s, None where no clock is at hand.
    """
    test = tree.test if isinstance(tree, Condition) else _test(tree)
    return test(lookup, limit, age)


def _test(tree: Tree) -> Test:
    word = tree[0]
    if word in _APPLY:
        return _comparison(_APPLY[word], tree[1], tree[2])
    if word == "known":
        return lambda lookup, limit, age: lookup(tree[1]) is not None
    if word in ("and", "or"):
        return _joined(word == "or", tuple(_test(part) for part in tree[1:]))
    if word == "not":
        return _opposite(_test(tree[1]))
    return _within(tree[1], tree[2][1])


def _comparison(apply: Callable[[Any, Any], bool], left: Tree, right: Tree) -> Test:
    name, constant = left[1], right[1]
    if left[0] == "field" and right[0] in ("word", "number"):  # the most, by far

        def plain(lookup: Lookup, limit: Mapping[str, float], age: Age | None) -> bool | None:
            found = lookup(name)
            return None if found is None else apply(found, constant)

        return plain

    def test(lookup: Lookup, limit: Mapping[str, float], age: Age | None) -> bool | None:
        one, other = _read(left, lookup, limit), _read(right, lookup, limit)
        return None if one is None or other is None else apply(one, other)

    return test


def _joined(decides: bool, parts: tuple[Test, ...]) -> Test:
    """``or`` is decided by one that is true, ``and`` by one that is not."""

    def test(lookup: Lookup, limit: Mapping[str, float], age: Age | None) -> bool | None:
        unknown = False
        for part in parts:
            found = part(lookup, limit, age)
            if found is decides:
                return decides
            unknown = unknown or found is None
        return None if unknown else not decides

    return test


def _opposite(inner: Test) -> Test:
    def test(lookup: Lookup, limit: Mapping[str, float], age: Age | None) -> bool | None:
        found = inner(lookup, limit, age)
        return None if found is None else not found

    return test


def _within(name: str, most: str) -> Test:
    def test(lookup: Lookup, limit: Mapping[str, float], age: Age | None) -> bool | None:
        return None if age is None or lookup(name) is None else age(name) <= limit[most]

    return test


def _read(tree: Tree, lookup: Lookup, limit: Mapping[str, float]) -> Any:
    if tree[0] == "field":
        return lookup(tree[1])
    if tree[0] == "limit":
        return limit[tree[1]]
    return tree[1]
