"""Which causes are there: sets of causes, their chances, and each cause's.

P(S | E) ∝ prod over c in S of odds_c * P(E | S), S not empty: somebody complains. All single causes
and all pairs are taken; larger sets grow from the likeliest of the size before. What that leaves
out is small, and is tested against all sets.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from weeptrace.causes.likelihood import Kinds, Layout

# How many of the likeliest sets grow by one cause: pairs into triples, triples into fours; and the
# least share of all so far that a set must have to grow.
GROWING: Final = (12, 4)
LEAST: Final = 1e-3


@dataclass(frozen=True)
class Hypothesis:
    """A set of causes with its chance."""

    causes: tuple[str, ...]
    chance: float


@dataclass(frozen=True)
class Posterior:
    """Sets of causes, the likeliest first; each cause's chance; ``total``: P(E and some cause)."""

    sets: tuple[Hypothesis, ...]
    causes: Mapping[str, float]
    total: float

    @property
    def several(self) -> float:
        """Chance that more than one cause is there."""
        return sum(each.chance for each in self.sets if len(each.causes) > 1)


def posterior(layout: Layout, odds: Mapping[str, float]) -> Posterior:
    """The chances of sets of causes given the evidence.

    Adding ``c`` to ``S`` multiplies the weight by ``odds_c`` and, for each term that ``c`` touches,
    by ``chance(S + c) / chance(S)``. Where no cause of ``S`` touches the term, that is what ``c``
    gains by itself, so only terms that both touch are looked at.

    ``layout``: the evidence; ``odds``: of each cause before it. Valid where few causes are there at
    once. No error is raised. Source: Bayes' rule.

    Without evidence, of odds 0.1 and 0.2: sets 0.1, 0.2 and 0.02, of 0.32.

    >>> found = posterior(Layout((), {"a": (), "b": ()}, 1.0), {"a": 0.1, "b": 0.2})
    >>> round(found.causes["a"], 4), round(found.causes["b"], 4)
    (0.375, 0.6875)
    """
    order = list(odds)
    alone = [odds[cause] * math.prod(layout.gains[cause]) for cause in order]
    found: dict[tuple[int, ...], float] = {}
    level: dict[tuple[int, ...], float] = {(): layout.nothing}
    shares = _Shares(layout, order)
    for size in range(1, 3 + len(GROWING)):
        if size > 2:
            most = sorted(level.items(), key=lambda each: -each[1])[: GROWING[size - 3]]
            least = LEAST * sum(found.values())
            level = {causes: weight for causes, weight in most if weight >= least}
        grown: dict[tuple[int, ...], float] = {}
        for causes, weight in level.items():
            first = causes[0] + 1 if size == 2 else 0
            for index in range(first, len(order)):
                if index in causes:
                    continue
                key = (*causes, index) if size < 3 else tuple(sorted((*causes, index)))
                if key not in grown:
                    grown[key] = weight * alone[index] * shares.factor(causes, index)
        level = grown
        found |= grown
    total = sum(found.values())
    chances = [0.0] * len(order)
    for causes, weight in found.items():
        for index in causes:
            chances[index] += weight
    sets = sorted(found.items(), key=lambda each: -each[1])
    return Posterior(
        tuple([Hypothesis(tuple([order[i] for i in key]), weight / total) for key, weight in sets]),
        {cause: chance / total for cause, chance in zip(order, chances, strict=True)},
        total,
    )


class _Shares:
    """What a cause gains less, or more, where others already speak in the same terms."""

    def __init__(self, layout: Layout, order: list[str]) -> None:
        index = {cause: n for n, cause in enumerate(order)}
        self.terms = [term for term in layout.terms if len(term.kind_of) > 1]
        self.kinds: list[list[int]] = []
        self.masks = [0] * len(order)
        for t, term in enumerate(self.terms):
            kinds = [-1] * len(order)
            for cause, kind in term.kind_of.items():
                kinds[index[cause]] = kind
                self.masks[index[cause]] |= 1 << t
            self.kinds.append(kinds)
        self.bits: dict[int, list[int]] = {}
        self.ratios: list[dict[Kinds, float]] = [{} for _ in self.terms]

    def factor(self, causes: tuple[int, ...], index: int) -> float:
        """The product over shared terms of gain(c | S) / gain(c)."""
        mask = 0
        for other in causes:
            mask |= self.masks[other]
        mask &= self.masks[index]
        terms = self.bits.get(mask)
        if terms is None:
            terms = self.bits[mask] = [t for t in range(len(self.kinds)) if mask >> t & 1]
        product = 1.0
        for t in terms:
            kinds = self.kinds[t]
            step = (kinds[index], *[kinds[other] for other in causes])
            ratio = self.ratios[t].get(step)
            if ratio is None:
                ratio = self.ratios[t][step] = self._ratio(t, step)
            product *= ratio
        return product

    def _ratio(self, t: int, step: Kinds) -> float:
        chance = self.terms[t].chance
        before = tuple(sorted([kind for kind in step[1:] if kind >= 0]))
        after = tuple(sorted((*before, step[0])))
        return chance(after) * chance(()) / (chance(before) * chance((step[0],)))
