"""Whether a gate that a step lost is shut by the gates that it still has, whatever is known.

Every field of the conditions takes every value that they tell apart: unknown, each word and one
that none names, each number of a comparison and one on either side of it; and each age likewise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import prod
from typing import Any, Final

from weeptrace.rules import Rules, conditions
from weeptrace.rules.model import Gate

MOST: Final = 100_000  # states; with more, nothing is said to follow
NEVER: Final = "no word of any condition"


def implied(rules: Rules, lost: Gate, left: Sequence[Gate]) -> bool:
    """Whether ``lost`` opens in each state in which all of ``left`` do."""
    named = set(conditions.fields(lost.opens))
    near = [gate for gate in left if named & set(conditions.fields(gate.opens))]
    if not near or any(_outlasts(gate, lost) for gate in near):
        return False
    trees = [lost.opens, *(gate.opens for gate in near)]
    values: dict[str, set[Any]] = {}
    ages: dict[str, set[float]] = {}
    for leaf in (leaf for tree in trees for leaf in _leaves(tree)):
        if leaf[0] == "within":
            most = rules.limits[leaf[2][1]]
            ages.setdefault(leaf[1], set()).update((most, most + 1.0))
            values.setdefault(leaf[1], {None, NEVER})
            continue
        name, found = _read(rules, leaf)
        if name is None:
            return False
        values.setdefault(name, {None}).update(found)
    for found in values.values():
        if any(isinstance(each, float) for each in found):
            found.discard(NEVER)
    if prod(map(len, (*values.values(), *ages.values()))) > MOST:
        return False
    for each in product(*values.values()):
        state = dict(zip(values, each, strict=True))
        for old in product(*ages.values()):
            age = dict(zip(ages, old, strict=True))

            def opens(tree: Any, state: Any = state, age: Any = age) -> bool:
                return conditions.evaluate(tree, state.get, rules.limits, age.get) is True

            if all(map(opens, trees[1:])) and not opens(trees[0]):
                return False
    return True


def _outlasts(gate: Gate, lost: Gate) -> bool:
    """Whether a ``gate`` still believes what no longer counts for the ``lost`` one."""
    shared = set(conditions.fields(gate.opens)) & set(lost.evidence)
    return bool(shared) and not (
        shared <= set(gate.evidence) and set(lost.stale_on) <= set(gate.stale_on)
    )


def _leaves(tree: conditions.Tree) -> Iterator[conditions.Tree]:
    if tree[0] in ("and", "or", "not"):
        for part in tree[1:]:
            yield from _leaves(part)
    else:
        yield tree


def _read(rules: Rules, leaf: conditions.Tree) -> tuple[str | None, set[Any]]:
    """The field of a leaf, and the values of it that tell apart; None for two fields compared."""
    if leaf[0] == "known":
        return leaf[1], {NEVER}
    (_, name), (kind, told) = leaf[1], leaf[2]
    if leaf[1][0] != "field" or kind == "field":
        return None, set()
    if kind == "word":
        return name, {told, NEVER}
    edge = float(rules.limits[told] if kind == "limit" else told)
    return name, {edge - 1.0, edge, edge + 1.0}
