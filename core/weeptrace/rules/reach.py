"""Which steps a job can come to: none waits for what nothing asks, or for itself in a circle."""

from __future__ import annotations

from collections.abc import Sequence, Set
from typing import Any

from weeptrace.rules import conditions


def unreached(steps: Sequence[dict[str, Any]], given: Sequence[Set[str]]) -> list[dict[str, Any]]:
    """The steps that no order of answers leads to; ``given``: what each of them lets a hand set.

    Grows the set of fields that can be known, step by step, until nothing more comes.
    """
    known: set[str] = set()
    left = list(range(len(steps)))
    while True:
        whens = {each: steps[each]["when"] for each in left}
        reached = [each for each, when in whens.items() if when is None or possible(when, known)]
        if not reached:
            return [steps[each] for each in left]
        left = [each for each in left if each not in reached]
        known |= {name for each in reached for name in given[each]}


def possible(tree: conditions.Tree, known: Set[str], wanted: bool = True) -> bool:
    """Whether a condition can come out as wanted when only the fields of ``known`` can be known.

    >>> tree = conditions.parse("known(a.x) and not known(b.x)")
    >>> possible(tree, {"a.x"}), possible(tree, {"b.x"})
    (True, False)
    """
    word = tree[0]
    if word == "not":
        return possible(tree[1], known, not wanted)
    if word in ("and", "or"):
        parts = [possible(part, known, wanted) for part in tree[1:]]
        return all(parts) if (word == "and") is wanted else any(parts)
    return not wanted if word == "known" and tree[1] not in known else _has(tree, known)


def _has(tree: conditions.Tree, known: Set[str]) -> bool:
    return all(name in known for name in conditions.fields(tree))
