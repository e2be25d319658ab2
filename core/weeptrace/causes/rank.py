"""From observations to ranked causes, what is not ruled out, and the next tests."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from weeptrace.causes import next_test
from weeptrace.causes.explain import Reason, reasons
from weeptrace.causes.fit import Contradiction, contradictions
from weeptrace.causes.knowledge import Knowledge
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import Evidence, Observation, evidence
from weeptrace.causes.plan import Plan, Proposal, plan, proven, spent
from weeptrace.causes.posterior import posterior
from weeptrace.causes.predict import Predictor
from weeptrace.told import Sentence


@dataclass(frozen=True)
class Ranked:
    """A cause with its chance (of being there, alone or with others) and the reasons for it."""

    id: str
    probability: float
    plus: tuple[Reason, ...]
    minus: tuple[Reason, ...]
    proven: bool


@dataclass(frozen=True)
class Open:
    """A cause that is not ruled out, and the cheapest test that speaks on it."""

    id: str
    probability: float
    test: str | None


@dataclass(frozen=True)
class Ranking:
    """The answer. ``several``: chance of two faults or more; ``masked``: causes that the car can't
    have, with the feature that it lacks; ``forbidden``: by its caution, why something seen forbids
    a test.
    """

    causes: tuple[Ranked, ...]
    several: float
    not_ruled_out: tuple[Open, ...]
    masked: Mapping[str, str]
    plan: Plan
    contradictions: tuple[Contradiction, ...]
    cautions: tuple[str, ...]
    forbidden: Mapping[str, tuple[Sentence, ...]]

    @property
    def next_tests(self) -> tuple[Proposal, ...]:
        """What to do next, in order."""
        return self.plan.proposals


def rank(
    knowledge: Knowledge,
    features: Collection[str] | None,
    observations: Sequence[Observation],
    limits: Mapping[str, float],
    *,
    tools: Collection[str] | None = None,
    closed: Collection[str] = (),
) -> Ranking:
    """Rank causes and say what to do next.

    Parameters
    ----------
    knowledge: what the trade knows, as the rules compile it.
    features: what the car has or may have; causes that need another are masked, and shown as
        masked. ``None`` where nothing was told of it: then none is masked.
    observations: answers so far; what was not looked at is left out, and counts for nothing.
    limits: the room's limits, SI, by full id.
    tools: tools at hand; ``None`` where all are. Tests that need another are not proposed.
    closed: gates that can't be opened now; tests behind them are not proposed.

    Raises ``Refusal`` as ``observe.evidence`` does.
    """
    features = knowledge.needed if features is None else features
    told = evidence(knowledge, features, observations)
    terms = layout(knowledge, told, limits["causes.attention"])
    found = posterior(terms, told.odds)
    tests = next_test.allowed(knowledge, told, features, tools, closed)
    predictor = Predictor(knowledge, terms, found.sets)
    valued = next_test.value(knowledge, told, predictor, tests, limits)
    made = plan(knowledge, told, found.causes, valued, tests, limits)
    why = reasons(knowledge, told, limits["causes.attention"])
    order = sorted(found.causes, key=lambda cause: (-found.causes[cause], cause))
    causes = tuple(
        Ranked(
            cause,
            found.causes[cause],
            why[cause].plus,
            why[cause].minus,
            proven(knowledge, told, cause, found.causes, limits),
        )
        for cause in order
    )
    return Ranking(
        causes,
        found.several,
        tuple(
            Open(each.id, each.probability, _speaks(knowledge, told, each.id, valued))
            for each in causes[1:]
            if each.probability >= limits["causes.ruled_out"]
        ),
        {
            id: cause.needs
            for id, cause in knowledge.causes.items()
            if cause.needs is not None and id not in told.odds
        },
        made,
        contradictions(knowledge, told, terms, found, limits),
        _cautions(knowledge, told, features, causes, made),
        _forbidden(knowledge, told),
    )


def _speaks(
    knowledge: Knowledge, told: Evidence, cause: str, valued: Sequence[next_test.Valued]
) -> str | None:
    """The cheapest test left that has a proof of a cause to give, or else any sign of it."""
    proof = set(knowledge.causes[cause].proof)
    left = [e for e in valued if e.test in proof and not spent(knowledge, told, cause, e.test)]
    if not left:
        left = [e for e in valued if any(_shows(knowledge, id, cause) for id in e.asks)]
    return min(left, key=lambda each: each.cost).test if left else None


def _shows(knowledge: Knowledge, id: str, cause: str) -> bool:
    finding = knowledge.findings[id]
    states = [finding.state, *finding.places.values()]
    return cause in finding.causes or any(
        cause in knowledge.states[state].causes for state in states if state
    )


def _cautions(
    knowledge: Knowledge,
    told: Evidence,
    features: Collection[str],
    causes: Sequence[Ranked],
    made: Plan,
) -> tuple[str, ...]:
    """The cautions that apply now: those of something seen first, then in the rules' order."""
    first = {each.id for each in causes[:3]}
    tests = made.proposals[:3]
    hazards = {hazard for each in tests for hazard in each.hazards}
    holds: dict[str, Collection[str]] = {
        "always": ("",),
        "cause": first,
        "test": {each.test for each in tests},
        "hazard": hazards,
        "feature": features,
        "leading": ("leaks",) if knowledge.causes[causes[0].id].leaks else (),
    }
    seen: list[str] = []
    others: list[str] = []
    for id, conditions in knowledge.cautions.items():
        if any(when[0] == "answer" and told.said(when[1], when[2]) for when in conditions):
            seen.append(id)
        elif any(when[1] in holds.get(when[0], ()) for when in conditions):
            others.append(id)
    return (*seen, *others)


def _forbidden(knowledge: Knowledge, told: Evidence) -> dict[str, tuple[Sentence, ...]]:
    """Why each block in force forbids what it stops, by its caution."""
    out: dict[str, tuple[Sentence, ...]] = {}
    for block in knowledge.in_force(told.said):
        why = knowledge.why(f"block.{'-'.join(block['when'][0])}")
        if why is not None:
            out[block["caution"]] = (*out.get(block["caution"], ()), why)
    return out
