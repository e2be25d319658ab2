"""Ranges cut at every constant: which values of a field the conditions of the rules tell apart.

A condition compares a field with words, numbers, limits or other fields. Two values that lie on the
same side of all of them can't be told apart by any step or gate, so a few representatives stand for
all: one word of each kind, and for a number one just below, one exactly at and one just above each
constant. Two words are of one kind where every condition comes to the same when either is put in.
A field that no condition compares has one cell.

>>> from weeptrace.rules import load
>>> cuts = Cuts(load())
>>> limit = load().limits["gate.temperature"]
>>> [round(value - limit, 3) for value in cuts.values("coolant.temperature")]
[-10.001, -10.0, -9.999, -0.001, 0.0, 0.001]
>>> cuts.cell("coolant.temperature", 280.0) == cuts.cell("coolant.temperature", 300.0)
True
>>> cuts.values("system.pressure_sign")
('hose_soft', 'under_pressure')
"""

from __future__ import annotations

import bisect
import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Final

from weeptrace.rules import Field, Rules, conditions

Value = float | str
# How close to a constant "just below" and "just above" are, in the field's SI unit or as a share of
# its range, whichever is finer: far coarser than a float, far finer than any gauge.
NEAR: Final = 1e-3
SHARE: Final = 1e-5
# What a computed name is made of, so that its cuts are cuts of fields. A quotient is cut where the
# upper field is the cut times the lower; a sum where one field is the sum of others; a tolerance
# where a field is a share of another, the shares being limits.
_QUOTIENTS: Final = {"tester.fall_in_divisions": ("tester.self_fall", "tester.division")}
_SUMS: Final = {
    "quote.over": (
        ("quote.ceiling", ("quote.total",)),
        ("quote.ceiling_new", ("quote.total",)),
        ("quote.ceiling_new", ("quote.total", "extra.price")),
        ("quote.ceiling_new", ("quote.total", "broken.price")),
    )
}
_WORDS: Final = {"quote.over": (("extra.how", "refused"), ("broken.how", "refused"))}
_SHARES: Final = {
    "cap.outside": (
        ("cap.opening_1", "cap.opening_2", "cap.opening_3"), "car.cap_rating",
        ("cap.low", "cap.high"),
    )
}  # fmt: skip
_READ: Final = frozenset(name for words in _WORDS.values() for name, _ in words)
_SIGNS: Final = ("<", "<=", ">", ">=", "==", "!=")


def trees(rules: Rules) -> Iterator[conditions.Tree]:
    """Every condition of the rules: of gates, of procedures and of their steps."""
    for gate in rules.gates.values():
        yield gate.opens
    for procedure in rules.procedures.values():
        steps = [tree for step in procedure.steps for tree in (step.when, step.done)]
        yield from (tree for tree in (procedure.open, *steps) if tree is not None)


def comparisons(tree: conditions.Tree) -> Iterator[conditions.Tree]:
    """The comparisons within a condition."""
    if tree[0] in _SIGNS:
        yield tree
    elif tree[0] in ("and", "or", "not"):
        for part in tree[1:]:
            yield from comparisons(part)


class Cuts:
    """The constants at which the conditions of a set of rules cut each field.

    ``apart``: constants, words and other fields that somebody else tells a field's values apart by.
    """

    def __init__(self, rules: Rules, apart: Mapping[str, Sequence[Value]] | None = None) -> None:
        self.rules, self.apart = rules, apart or {}
        self.named: set[str] = set()  # the fields that occur in a condition, compared or not
        self.constants: dict[str, set[Value]] = {}
        self.against: dict[str, set[str]] = {}  # the fields that a field is compared with
        for tree in trees(rules):
            self.named |= set(conditions.fields(tree))
            for compared in comparisons(tree):
                self._note(compared)
        for id, field in rules.fields.items():  # a cap is a comparison too
            for other in (*field.not_above, *filter(None, (field.rated,))):
                self._pair(id, other)
            self.named |= set(conditions.fields(field.only)) if field.only is not None else set()
        for id, cuts in self.apart.items():
            self.named |= set() if any(at in rules.fields for at in cuts) else {id}
            for at in cuts:
                if at in rules.fields:
                    self._pair(id, str(at))
                elif not isinstance(at, str):
                    self._cut(id, at)
        for name in sorted(self.named):
            self._computed(name)
        self.kinds = cache(self._kinds)
        self.values = cache(self._values)
        self._bounds = cache(lambda id: sorted(self._numbers(id)))

    def _note(self, compared: conditions.Tree) -> None:
        left, right = compared[1:]
        for part, other in ((left, right), (right, left)):
            if part[0] == "field" and other[0] == "field":
                self._pair(part[1], other[1])
            elif part[0] == "field":
                self._cut(part[1], self._constant(other))

    def _constant(self, part: conditions.Tree) -> Value:
        value: Any = self.rules.limits[part[1]] if part[0] == "limit" else part[1]
        return str(value) if isinstance(value, str) else float(value)

    def _cut(self, id: str, at: Value) -> None:
        self.constants.setdefault(id, set()).add(at)

    def _computed(self, name: str) -> None:
        """The cuts of a computed name as cuts of the fields that it is made of."""
        fields, limits = self.rules.fields, self.rules.limits
        upper, lower = _QUOTIENTS.get(name, ("", ""))
        if upper:
            self.named |= {upper, lower}
            for value in tuple(self.constants.get(name, ())):
                self._cut(upper, float(value) * _middle(fields[lower]))
        for total, parts in _SUMS.get(name, ()):
            self.named |= {total, *parts}
            self._cut(total, sum(_middle(fields[part]) for part in parts))
        for word, at in _WORDS.get(name, ()):
            self._cut(word, at)
            self.named.add(word)
        for parted, whole, shares in (_SHARES[name],) if name in _SHARES else ():
            self.named |= {whole, *parted}
            for part in parted:
                for share in shares:
                    self._cut(part, (1.0 + limits[share]) * _middle(fields[whole]))

    def _pair(self, one: str, other: str) -> None:
        if one in self.rules.fields and other in self.rules.fields:
            self.against.setdefault(one, set()).add(other)

    def _numbers(self, id: str, seen: frozenset[str] = frozenset()) -> set[float]:
        """The numbers that cut a field: its constants, and what those it is compared with take."""
        found = {each for each in self.constants.get(id, ()) if isinstance(each, float)}
        for other in self.against.get(id, set()) - seen:
            found |= self._numbers(other, seen | {id}) or {_middle(self.rules.fields[other])}
        return found

    def _values(self, id: str) -> tuple[Value, ...]:
        """One value of each cell of a field (SI, or a word), all within its own range."""
        field = self.rules.fields[id]
        if not field.numeric:
            first: dict[str, str] = {}
            for word, kind in self.kinds(id).items():
                if word is not None:
                    first.setdefault(kind, word)
            return tuple(first.values())
        cut = sorted(self._numbers(id))
        near = 1.0 if field.kind == "count" else _near(field)
        made = sorted({at + shift for at in cut for shift in (-near, 0.0, near)})
        return tuple(value for value in made if _within(field, value)) or (_middle(field),)

    def _kinds(self, id: str) -> dict[str | None, str]:
        """The kind of each word of a choice, and of none: what it makes of the conditions."""
        named = [tree for tree in trees(self.rules) if id in conditions.fields(tree)]
        named += [
            f.only for f in self.rules.fields.values() if f.only and id in conditions.fields(f.only)
        ]
        apart, others = self.constants.get(id, set()), self.apart.get(id, ())
        return {
            word: json.dumps([put_in(tree, id, word) for tree in named])
            + (word if word in apart and id in _READ else "")
            + (f" {word and word in others}" if others else "")
            for word in (None, *self.rules.fields[id].options)
        }

    def cell(self, id: str, value: Value | None) -> Value | None:
        """What tells a value apart from those of other cells; None where it is unknown."""
        field = self.rules.fields.get(id)
        if field is not None and field.options and not isinstance(value, float):
            return self.kinds(id)[value]
        if value is None or id not in self.named:
            return value if value is None else "known"
        if isinstance(value, float):
            cut = self._bounds(id)
            return 2.0 * bisect.bisect_left(cut, value) + (value in cut)
        return "known"


def put_in(tree: conditions.Tree, id: str, value: str | None) -> Any:
    """A condition with a word put in for a field, as far as that decides: a tree, or a truth value.

    >>> tree = conditions.parse('a.x == "one" and b.y > 0 or a.x == "two"')
    >>> put_in(tree, "a.x", "one"), put_in(tree, "a.x", "two"), put_in(tree, "a.x", "three")
    (['>', ['field', 'b.y'], ['number', 0.0]], True, False)
    """
    found = _put_in(tree, id, value)
    # Without a "not", unknown comes to the same as false: neither is true.
    return found if _negates(tree) else _settle(found)


def _negates(tree: conditions.Tree) -> bool:
    return tree[0] == "not" or any(_negates(part) for part in tree[1:] if isinstance(part, list))


def _settle(tree: Any) -> Any:
    """A condition without a "not", with unknown written as false."""
    if not isinstance(tree, list) or tree[0] not in ("and", "or"):
        return False if tree is None else tree
    decides = tree[0] == "or"
    parts = [_settle(part) for part in tree[1:]]
    if decides in parts:
        return decides
    left = [part for part in parts if part is not (not decides)]
    return left[0] if len(left) == 1 else [tree[0], *left] if left else not decides


def _put_in(tree: conditions.Tree, id: str, value: str | None) -> Any:
    word = tree[0]
    if word == "known":
        return value is not None if tree[1] == id else tree
    if word == "not":
        inner = _put_in(tree[1], id, value)
        return ["not", inner] if isinstance(inner, list) else None if inner is None else not inner
    if word in ("and", "or"):
        decides = word == "or"
        parts = [_put_in(part, id, value) for part in tree[1:]]
        if any(part is decides for part in parts):
            return decides
        left = [part for part in parts if part is not (not decides)]
        return left[0] if len(left) == 1 else [word, *left] if left else not decides
    if word == "within" or ["field", id] not in tree:
        return tree
    other = tree[2] if tree[1] == ["field", id] else tree[1]
    if other[0] != "word":
        return [word, other, value]
    return None if value is None else (value == other[1]) is (word == "==")


def _within(field: Field, value: float) -> bool:
    low = float("-inf") if field.low is None else field.low
    high = float("inf") if field.high is None else field.high
    return low <= value <= high


def _near(field: Field) -> float:
    if field.low is None or field.high is None:
        return NEAR
    return min(NEAR, SHARE * (field.high - field.low))


def _middle(field: Field) -> float:
    """A plain value of a field that nothing cuts."""
    low, high = field.low or 0.0, field.high or 1.0
    middle = low + 0.4 * (high - low)
    return float(round(middle)) if field.kind == "count" else middle
