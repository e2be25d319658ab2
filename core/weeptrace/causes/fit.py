"""Findings that don't fit: pairs that can't both be so, one that the others speak against, and
findings that nothing on the list explains.

    misfit of f = P(f) / P(f | all others)

Source: Jensen, Chamberlain, Nordahl and Jensen, Proceedings of the 6th Conference on Uncertainty
in Artificial Intelligence, 1990.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.causes.knowledge import Knowledge
from weeptrace.causes.likelihood import Layout, Term, alone, term
from weeptrace.causes.observe import Evidence
from weeptrace.causes.posterior import Posterior
from weeptrace.told import Sentence


@dataclass(frozen=True)
class Contradiction:
    """Findings that contradict each other; ``recheck``: the one to look at again.

    That is the one that most others speak against; of equal ones, the most often misread.
    """

    findings: tuple[str, ...]
    recheck: str
    why: Sentence


def contradictions(
    knowledge: Knowledge,
    evidence: Evidence,
    layout: Layout,
    found: Posterior,
    limits: Mapping[str, float],
) -> tuple[Contradiction, ...]:
    """All contradictions, those named in the rules first."""
    pairs = [
        ((a[0], b[0]), Sentence(f"why.{why}"))
        for a, b, why in knowledge.conflicts
        if _said(evidence, a) and _said(evidence, b)
    ]
    named = {id for pair, _ in pairs for id in pair} | set(evidence.twice)
    for pair in misfits(knowledge, evidence, layout, found, limits).items():
        if pair[1] and named.isdisjoint(pair):
            pairs.append((pair, Sentence("ranked.line.misfit")))
            named |= set(pair)
    count = Counter(id for pair, _ in pairs for id in pair)
    twice = [Contradiction((id,), id, Sentence("ranked.line.twice")) for id in evidence.twice]
    return tuple(
        twice
        + [
            Contradiction(
                pair, max(pair, key=lambda id: (count[id], _doubt(evidence, id), id)), why
            )
            for pair, why in pairs
        ]
    )


def _said(evidence: Evidence, answer: tuple[str, str]) -> bool:
    finding, value = answer
    if value == "any":
        return bool(evidence.places.get(finding))
    return evidence.said(finding, value)


def _doubt(evidence: Evidence, id: str) -> float:
    return 1.0 - evidence.seen[id] if id in evidence.seen else evidence.misread.get(id, 0.0)


def misfits(
    knowledge: Knowledge,
    evidence: Evidence,
    layout: Layout,
    found: Posterior,
    limits: Mapping[str, float],
) -> dict[str, str]:
    """Each sign that the others speak against, with the one that speaks against it most."""
    attention = limits["causes.attention"]
    total = sum(evidence.odds.values())
    sets = [each for n, each in enumerate(found.sets) if n < _SETS or len(each.causes) == 1]
    held = sum([each.chance for each in sets])
    without: dict[str, tuple[Term, Term]] = {}
    for each in layout.terms:
        for report in each.reports:
            if not report[1]:
                rest = [other for other in each.reports if other != report]
                less = term(knowledge, evidence, each.state, rest, attention)
                without[report[0]] = (each, less)
    out: dict[str, str] = {}
    for id, (full, less) in without.items():
        before = sum(
            evidence.odds[cause] / total * chance
            for cause, chance in alone(knowledge, evidence, id, attention).items()
        )
        freed = [(each.causes, each.chance * _ratio(less, full, each.causes)) for each in sets]
        after = held / sum([weight for _, weight in freed])
        if before / after > limits["causes.misfit"]:
            out[id] = _against(id, without, freed, full)
    return out


# Likeliest sets of causes looked at, beside every single cause.
_SETS = 24


def _ratio(top: Term, bottom: Term, causes: tuple[str, ...]) -> float:
    return top.chance(top.kinds(causes)) / bottom.chance(bottom.kinds(causes))


def _against(
    id: str,
    without: Mapping[str, tuple[Term, Term]],
    back: list[tuple[tuple[str, ...], float]],
    full: Term,
) -> str:
    """The finding that, taken out as well, lets ``id`` fit best."""
    best, most = "", 0.0
    for other, (whole, less) in without.items():
        if other == id or whole is full:
            continue
        num = den = 0.0
        for causes, weight in back:
            freed = weight * _ratio(less, whole, causes)
            den += freed
            num += freed * full.chance(full.kinds(causes))
        if num / den > most:
            best, most = other, num / den
    return best
