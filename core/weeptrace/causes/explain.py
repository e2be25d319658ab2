"""Why a cause stands where it stands: findings for and against it, with the rules' reasons.

weight of f for c = log of P(f | c alone) / P(f | another cause, as common as it is)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from weeptrace.causes.knowledge import Finding, Knowledge
from weeptrace.causes.likelihood import alone
from weeptrace.causes.observe import Evidence
from weeptrace.told import Sentence

# Weights of evidence, as odds: weak, clear, strong.
WEAK: Final = math.log(1.5)
CLEAR: Final = math.log(3.0)
STRONG: Final = math.log(10.0)


@dataclass(frozen=True)
class Reason:
    """One finding for or against a cause: its answer, how much it weighs, and why."""

    finding: str
    value: str
    weight: float
    strength: str
    why: Sentence
    same_sign_as: tuple[str, ...]


@dataclass(frozen=True)
class Reasons:
    """The findings for and against one cause, the weightiest first."""

    plus: tuple[Reason, ...]
    minus: tuple[Reason, ...]


def reasons(knowledge: Knowledge, evidence: Evidence, attention: float) -> dict[str, Reasons]:
    """For and against, for each cause that the car can have."""
    weights: dict[str, list[Reason]] = {cause: [] for cause in evidence.odds}
    total = sum(evidence.odds.values())
    share = {cause: odds / total for cause, odds in evidence.odds.items()}
    for id in _told(evidence):
        finding = knowledge.findings[id]
        chance = alone(knowledge, evidence, id, attention)
        mean = sum(share[cause] * each for cause, each in chance.items())
        for cause, each in chance.items():
            others = (mean - share[cause] * each) / max(1.0 - share[cause], 1e-9)
            weight = math.log(each / others) if others > 0.0 else 0.0
            if abs(weight) >= WEAK:
                value = _value(knowledge, evidence, finding, cause)
                weights[cause].append(
                    Reason(
                        id,
                        value,
                        weight,
                        _strength(weight),
                        _why(knowledge, finding, value, cause, weight),
                        _same(knowledge, evidence, finding, value),
                    )
                )
    for cause, shifts in evidence.shifted.items():
        for id, by, why in shifts:
            weight = math.log(by)
            if abs(weight) >= WEAK:
                value = evidence.answers[id][0]
                told = Sentence(f"why.{why}")
                weights[cause].append(Reason(id, value, weight, _strength(weight), told, ()))
    return {cause: _sorted(each) for cause, each in weights.items()}


def _told(evidence: Evidence) -> list[str]:
    return [id for id in evidence.answers if id in evidence.signs or id in evidence.places]


def _value(knowledge: Knowledge, evidence: Evidence, finding: Finding, cause: str) -> str:
    """The answer; of several places, the one that the cause wets most."""

    def wets(place: str) -> float:
        state = finding.places.get(place)
        return knowledge.states[state].causes.get(cause, 0.0) if state else 0.0

    return max(evidence.answers[finding.id], key=wets)


def _sorted(each: list[Reason]) -> Reasons:
    each.sort(key=lambda reason: -abs(reason.weight))
    return Reasons(
        tuple([reason for reason in each if reason.weight > 0.0]),
        tuple([reason for reason in each if reason.weight < 0.0]),
    )


def _strength(weight: float) -> str:
    size = abs(weight)
    return "strong" if size >= STRONG else "clear" if size >= CLEAR else "weak"


def _why(knowledge: Knowledge, finding: Finding, value: str, cause: str, weight: float) -> Sentence:
    """The reason in the rules that links a cause to a finding, or that nothing links them."""
    linked = finding.reasons.get(cause)
    if linked is None:
        named = finding.places.get(value) if finding.places else finding.state
        states = [named] if named else list(finding.places.values())
        reasons = [knowledge.states[each].reasons.get(cause) for each in states if each]
        linked = next((each for each in reasons if each), None)
    quiet = value == finding.values[0]
    if linked is not None:
        why = Sentence(f"why.{linked}")
        if quiet and weight < 0.0:
            return Sentence("ranked.line.would_show", {"why": why})
        return why
    if quiet and weight > 0.0:
        return Sentence("ranked.line.no_sign")
    if not quiet and weight < 0.0:
        return Sentence("ranked.line.other_cause")
    return Sentence(f"why.{finding.why}") if finding.why else Sentence("ranked.line.others_more")


def _same(
    knowledge: Knowledge, evidence: Evidence, finding: Finding, value: str
) -> tuple[str, ...]:
    """Other findings told that show the same state: one sign seen twice."""
    state = finding.places.get(value) if finding.places else finding.state
    if state is None:
        return ()
    return tuple(
        id
        for id in _told(evidence)
        if id != finding.id
        and state
        in (
            knowledge.findings[id].state,
            *(knowledge.findings[id].places.get(v) for v in evidence.places.get(id, ())),
        )
    )
