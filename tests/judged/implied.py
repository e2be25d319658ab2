"""Whether a gate that a step lost never matters there, whatever is known.

Either the gates that it still has keep it shut, or, where the gate asks for nothing that grows
old, the job stands at the step only when the steps before it are done. Every field of the
conditions takes every value that they tell apart: unknown, each word and one that none names, each
number of a comparison and one on either side of it; and each age likewise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import Any, Final

from weeptrace.job.car.seen import MIXED
from weeptrace.rules import Rules, conditions
from weeptrace.rules.model import Gate, Step

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


# --- what must be so where a job stands at a step -----------------------------------------------

TRIED: Final = 20_000  # values; with more, nothing is said to follow
# What is reckoned and may be unknown; all else that is no field is a count of what was entered.
RECKONED: Final = ("quote.over", "tester.fall_in_divisions", "cap.outside")
NUMBERS: Final = ("quantity", "count", "reading")
HELD: Final = 60  # clauses
YES, NO, UNKNOWN = 1, 2, 4  # what a condition may come to, as bits
BITS: Final = {True: YES, False: NO, None: UNKNOWN}
_LEAF: Final = YES | NO | UNKNOWN
# One of these conditions comes to one of these bits.
Clause = tuple[tuple[conditions.Tree, int], ...]


def never_shut(rules: Rules, lost: Gate, left: Sequence[Gate], step: Step) -> bool:
    """Whether ``lost`` opens in each state in which a job can stand at a ``step``.

    There the step applies and is not done, what comes before it does not apply or is done, and
    those of the gates ``left`` that do not grow old are open.
    """
    if lost.evidence:
        return False
    asked = (rules.hash, lost.id, step.id, repr([each.opens for each in left]))
    if asked not in _SAID:
        _SAID[asked] = _never_shut(rules, lost, left, step)
    return _SAID[asked]


_SAID: Final[dict[tuple[str, ...], bool]] = {}


def _never_shut(rules: Rules, lost: Gate, left: Sequence[Gate], step: Step) -> bool:
    first = [((lost.opens, NO | UNKNOWN),), *_here(step)]
    every = [*(((gate.opens, YES),) for gate in left if not gate.evidence), *_before(rules, step)]
    named = set(conditions.fields(lost.opens))
    every = [each for each in every if _values(rules, each)]
    every.sort(key=lambda each: not named & _named(each))  # stable: those that speak of it first
    held = [each for each in first if _values(rules, each)]
    while len(held) < HELD:  # a state of some clauses is looked for, then a clause that it breaks
        search = _Search(rules, held)
        if not search.found:
            return search.tried <= TRIED
        broken = next((each for each in every if search.breaks(each)), None)
        if broken is None:
            return False
        every.remove(broken)
        held.append(broken)
    return False


def _named(clause: Clause) -> set[str]:
    return {name for tree, _ in clause for name in _fields(tree)}


_FIELDS: Final[dict[int, tuple[conditions.Tree, tuple[str, ...]]]] = {}


def _fields(tree: conditions.Tree) -> tuple[str, ...]:
    """The fields of a tree, worked out once."""
    if id(tree) not in _FIELDS:
        _FIELDS[id(tree)] = tree, tuple(dict.fromkeys(conditions.fields(tree)))
    return _FIELDS[id(tree)][1]


def _here(step: Step) -> Iterator[Clause]:
    """A job stands at a step that applies and is not done."""
    if step.when is not None:
        yield ((step.when, YES),)
    if (done := _done(step)) is not None:
        yield ((done, NO | UNKNOWN),)


def _before(rules: Rules, step: Step) -> Iterator[Clause]:
    """Each step before a ``step`` at which a job stands does not apply, or is done."""
    steps = next(each.steps for each in rules.procedures.values() if step in each.steps)
    for each in reversed(steps[: steps.index(step)]):
        if (done := _done(each)) is not None:
            past = ((done, YES),)
            yield past if each.when is None else ((each.when, NO | UNKNOWN), *past)


def _done(step: Step) -> conditions.Tree | None:
    """When a step is done; None where "not measured" is enough."""
    if step.done is not None:
        return step.done
    if step.asks is None:
        return ["and", *(["known", name] for name in step.checks)]
    return None if step.skip else ["known", step.asks]


class _Search:
    """Whether there is a state in which all ``clauses`` are so: values are tried one by one."""

    def __init__(self, rules: Rules, clauses: list[Clause]) -> None:
        self.rules, self.state, self.tried = rules, dict[str, Any](), 0
        whole = _values(rules, tuple(each for clause in clauses for each in clause)) or {}
        self.values = {name: sorted(found, key=repr) for name, found in whole.items()}
        self.found = self._fits(clauses)

    def _fits(self, clauses: list[Clause]) -> bool:
        left: list[tuple[int, int, Clause]] = []
        for number, clause in enumerate(clauses):
            might = [(tree, self._may(tree), asked) for tree, asked in clause]
            if any(not may & ~asked for _, may, asked in might):
                continue
            open_ = {
                name for tree, may, asked in might if may & asked
                for name in _fields(tree) if name not in self.state
            }  # fmt: skip
            if not open_:
                return False
            left.append((len(open_), number, clause))
        if not left or self.tried > TRIED:
            return not left
        rest = [clause for _, _, clause in left]
        often = Counter(name for clause in rest for name in _named(clause))
        asked_now = [
            name for tree, asked in min(left)[2] if self._may(tree) & asked
            for name in _fields(tree) if name not in self.state
        ]  # fmt: skip
        name = max(asked_now, key=lambda each: often[each])
        for value in self.values[name]:
            self.tried += 1
            self.state[name] = value
            if _can_be(self.state) and self._fits(rest):
                return True
        del self.state[name]
        return False

    def breaks(self, clause: Clause) -> bool:
        """Whether the state that was found is against a clause; what it leaves open is unknown."""
        values = _values(self.rules, clause) or {}
        nought = {name: min(found) for name, found in values.items() if None not in found}
        whole = {**dict.fromkeys(values), **nought, **self.state}
        return not any(
            asked & BITS[conditions.evaluate(tree, whole.get, self.rules.limits)]
            for tree, asked in clause
        )

    def _may(self, tree: conditions.Tree) -> int:
        """What a condition may still come to."""
        if tree[0] == "not":
            may = self._may(tree[1])
            return may & UNKNOWN | (YES if may & NO else 0) | (NO if may & YES else 0)
        if tree[0] in ("and", "or"):
            one, all_ = (NO, YES) if tree[0] == "and" else (YES, NO)
            parts = [self._may(part) for part in tree[1:]]
            may = one if any(part & one for part in parts) else 0
            may |= all_ if all(part & all_ for part in parts) else 0
            if any(part & UNKNOWN for part in parts):
                may |= UNKNOWN if all(part & (all_ | UNKNOWN) for part in parts) else 0
            return may
        if any(name not in self.state for name in _fields(tree)):
            return YES | NO if tree[0] == "known" else _LEAF
        return BITS[conditions.evaluate(tree, self.state.get, self.rules.limits)]


def _can_be(state: Mapping[str, Any]) -> bool:
    """What some of it has to do with each other: a part to run with is a part, oil seen is seen."""
    out, needed = state.get("ledger.out"), state.get("ledger.out_to_run")
    if out is not None and needed is not None and needed > out:
        return False
    if state.get("seen.oil") == 0.0 and any(state.get(n) in words for n, words in MIXED.items()):
        return False
    priced = "quote.over" in state and "quote.total" in state
    return not priced or (state["quote.over"] is None) is (state["quote.total"] is None)


def _values(rules: Rules, clause: Clause) -> dict[str, set[Any]] | None:
    """Of each field the values that tell apart; None where one is compared with another field."""
    found: dict[str, set[Any]] = {}
    for leaf in (leaf for tree, _ in clause for leaf in _leaves(tree)):
        name, told = (None, set[Any]()) if leaf[0] == "within" else _read(rules, leaf)
        if name is None:
            return None
        found.setdefault(name, {None}).update(told)
    for name, told in found.items():
        own = rules.fields.get(name)
        if own is not None and own.kind == "choice":
            other = [word for word in own.options if word not in {*told, *MIXED.get(name, ())}]
            found[name] = {*(told - {NEVER}), *other[:1]}
        elif name in RECKONED or (own is not None and own.kind in NUMBERS):
            found[name] = {*(told - {NEVER}), 1.0}
        if own is None and name not in RECKONED:
            found[name] = {each for each in told - {None, NEVER} if each >= 0.0}
    return found
