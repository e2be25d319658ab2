"""What a finding not yet made would say, for each likely set of causes.

    P(answer | S, E) = sum over the state's own states of P(state | S, E) P(answer | S, state)

What is already known of the state counts: a second sign of one state teaches little.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from weeptrace.causes.knowledge import Finding, Knowledge
from weeptrace.causes.likelihood import Layout, Term, sign_given, source_chance
from weeptrace.causes.posterior import Hypothesis

# Sets of causes looked at, and places of a search told apart; the rest is one answer, "none".
LIKELIEST: Final = 24
PLACES: Final = 5

Answers = tuple[tuple[str, ...], list[tuple[float, ...]]]


class Predictor:
    """Chances of answers under the likeliest sets of causes."""

    def __init__(self, knowledge: Knowledge, layout: Layout, sets: Sequence[Hypothesis]) -> None:
        self.knowledge = knowledge
        self.terms: Mapping[str, Term] = {term.state: term for term in layout.terms}
        self.sets = tuple(sets[:LIKELIEST])
        mass = sum(each.chance for each in self.sets)
        self.weights = tuple(each.chance / mass for each in self.sets)
        self._states: dict[str, list[tuple[float, float]]] = {}

    def state(self, id: str) -> list[tuple[float, float]]:
        """For each set: chance that the state shows, and that its source is there."""
        found = self._states.get(id)
        if found is None:
            found = self._states[id] = [self._state(id, each.causes) for each in self.sets]
        return found

    def _state(self, id: str, causes: tuple[str, ...]) -> tuple[float, float]:
        term = self.terms.get(id)
        if term is None:
            source = source_chance(self.knowledge, id, causes)
            return source + (1.0 - source) * self.knowledge.states[id].run_down, source
        a, b, c = term.chances(term.kinds(causes))
        return (a + b) / (a + b + c), a / (a + b + c)

    def answers(self, id: str) -> Answers:
        """The answers that a finding can give, and their chances under each set."""
        finding = self.knowledge.findings[id]
        return self._places(finding) if finding.places else self._sign(finding)

    def _sign(self, finding: Finding) -> Answers:
        made: dict[tuple[str, ...], tuple[tuple[float, ...], tuple[float, ...]]] = {}
        state = self.state(finding.state) if finding.state else None
        rows: list[tuple[float, ...]] = []
        for index, each in enumerate(self.sets):
            own = tuple([cause for cause in each.causes if cause in finding.causes])
            pair = made.get(own)
            if pair is None:
                pair = made[own] = sign_given(finding, own)
            so, not_so = pair
            if state is None:
                rows.append(not_so)
            else:
                shows = state[index][0]
                rows.append(
                    tuple([shows * a + (1.0 - shows) * b for a, b in zip(so, not_so, strict=True)])
                )
        return finding.values, rows

    def _places(self, finding: Finding) -> Answers:
        """The first place named, in order of likelihood, or none of them."""
        which = 1 if finding.source else 0
        expected: list[tuple[float, str, list[tuple[float, float]]]] = []
        for place, state in finding.places.items():
            chances = self.state(state)
            mean = sum(w * c[which] for w, c in zip(self.weights, chances, strict=True))
            expected.append((mean, place, chances))
        expected.sort(key=lambda each: (-each[0], each[1]))
        rows: list[tuple[float, ...]] = []
        for index in range(len(self.sets)):
            left, row = 1.0, []
            for _, _, chances in expected[:PLACES]:
                wet = chances[index][which]
                told = wet * finding.seen + (1.0 - wet) * finding.misread
                row.append(left * told)
                left *= 1.0 - told
            rows.append((*row, left))
        return (*[each[1] for each in expected[:PLACES]], finding.values[0]), rows
