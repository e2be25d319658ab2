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

# Sets of causes looked at: enough to hold this share of all, at most so many.
SHARE: Final = 0.98
LIKELIEST: Final = 24
# Places of a search told apart; the rest is one answer, "none".
PLACES: Final = 5

# The answers, and for each of them its chance under each set of causes.
Answers = tuple[tuple[str, ...], list[list[float]]]


class Predictor:
    """Chances of answers under the likeliest sets of causes."""

    def __init__(self, knowledge: Knowledge, layout: Layout, sets: Sequence[Hypothesis]) -> None:
        self.knowledge = knowledge
        self.terms: Mapping[str, Term] = {term.state: term for term in layout.terms}
        mass, count = 0.0, 0
        while mass < SHARE and count < min(LIKELIEST, len(sets)):
            mass, count = mass + sets[count].chance, count + 1
        self.sets = tuple(sets[:count])
        self.weights = tuple(each.chance / mass for each in self.sets)
        self._states: dict[str, list[tuple[float, float]]] = {}

    def state(self, id: str) -> list[tuple[float, float]]:
        """For each set: chance that the state shows, and that its source is there."""
        found = self._states.get(id)
        if found is None:
            term = self.terms.get(id)
            touching = term.kind_of if term else self.knowledge.states[id].causes
            own = [
                tuple([cause for cause in each.causes if cause in touching]) for each in self.sets
            ]
            made = {causes: self._state(id, term, causes) for causes in set(own)}
            found = self._states[id] = [made[causes] for causes in own]
        return found

    def _state(self, id: str, term: Term | None, causes: tuple[str, ...]) -> tuple[float, float]:
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
        own = [
            tuple([cause for cause in each.causes if cause in finding.causes]) for each in self.sets
        ]
        made = {causes: sign_given(self.knowledge, finding.id, causes) for causes in set(own)}
        size = range(len(finding.values))
        if finding.state is None:
            return finding.values, [[made[causes][1][n] for causes in own] for n in size]
        shows = [each[0] for each in self.state(finding.state)]
        return finding.values, [
            [
                chance * made[causes][0][n] + (1.0 - chance) * made[causes][1][n]
                for chance, causes in zip(shows, own, strict=True)
            ]
            for n in size
        ]

    def _places(self, finding: Finding) -> Answers:
        """The first place named, in order of likelihood, or none of them."""
        which = 1 if finding.source else 0
        expected: list[tuple[float, str, list[float]]] = []
        for place, state in finding.places.items():
            chances = [each[which] for each in self.state(state)]
            mean = sum([w * c for w, c in zip(self.weights, chances, strict=True)])
            expected.append((mean, place, chances))
        expected.sort(key=lambda each: (-each[0], each[1]))
        columns: list[list[float]] = []
        left = [1.0] * len(self.sets)
        for _, _, chances in expected[:PLACES]:
            told = [wet * finding.seen + (1.0 - wet) * finding.misread for wet in chances]
            columns.append([a * b for a, b in zip(left, told, strict=True)])
            left = [a * (1.0 - b) for a, b in zip(left, told, strict=True)]
        named = tuple([each[1] for each in expected[:PLACES]])
        return (*named, finding.values[0]), [*columns, left]
