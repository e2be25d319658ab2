"""Observations as they come in, made into evidence: answers by name, figures by bands, doubts.

An answer is a word, or a figure in SI with its 95 % interval, which the rules' bands turn into
words; a figure near an edge counts as both words, each by its share. What is not told is not there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from weeptrace.causes.knowledge import Finding, Knowledge
from weeptrace.refusal import Refusal


@dataclass(frozen=True)
class Figure:
    """A measured value in SI, with its 95 % interval where there is one."""

    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Observation:
    """One answer to one finding's question."""

    finding: str
    value: str | Figure


@dataclass(frozen=True)
class Evidence:
    """What is known of one car.

    ``signs``: each finding's weights over its values. ``places``: the places named wet, none where
    it was looked at and dry. ``misread``, ``seen``: how far each is trusted, doubts applied.
    ``answers``: the words told. ``twice``: findings told with two answers that exclude each other.
    """

    signs: Mapping[str, Mapping[str, float]]
    places: Mapping[str, tuple[str, ...]]
    misread: Mapping[str, float]
    seen: Mapping[str, float]
    odds: Mapping[str, float]
    shifted: Mapping[str, tuple[tuple[str, float, str], ...]]
    answers: Mapping[str, tuple[str, ...]]
    twice: tuple[str, ...]

    def said(self, finding: str, value: str) -> bool:
        """Whether an answer was given."""
        return value in self.answers.get(finding, ())


def evidence(
    knowledge: Knowledge, features: Iterable[str], observations: Sequence[Observation]
) -> Evidence:
    """The evidence of observations.

    Raises ``Refusal``: ``unknown_feature``, ``unknown_finding``, ``unknown_value``, and
    ``not_a_measure`` where a figure is given for a finding that is answered in words.
    """
    fitted = _fitted(knowledge, features)
    weights: dict[str, dict[str, float]] = {}
    answers: dict[str, list[str]] = {}
    for index, each in enumerate(observations):
        found = _weights(knowledge, each, f"observations[{index}]")
        if found is None:
            answers.setdefault(each.finding, []).append(str(each.value))
            continue
        told = weights.setdefault(each.finding, {})
        for value, weight in found.items():
            told[value] = max(weight, told.get(value, 0.0))
        answers.setdefault(each.finding, []).append(max(found, key=lambda value: found[value]))
    kinds = {id: knowledge.findings[id].kind for id in weights}
    twice = [
        id for id, told in answers.items() if len(set(told)) > 1 and _excludes(knowledge, id, told)
    ]
    misread = {id: knowledge.findings[id].misread for id in weights}
    seen = {id: knowledge.findings[id].seen for id, kind in kinds.items() if kind == "places"}
    _doubt(knowledge, answers, misread, seen)
    odds, shifted = _shift(knowledge, fitted, weights)
    return Evidence(
        signs={
            id: {value: weight / sum(told.values()) for value, weight in told.items()}
            for id, told in weights.items()
            if kinds[id] == "sign"
        },
        places={
            id: tuple(value for value in told if value != knowledge.findings[id].values[0])
            for id, told in weights.items()
            if kinds[id] == "places"
        },
        misread=misread,
        seen=seen,
        odds=odds,
        shifted=shifted,
        answers={id: tuple(dict.fromkeys(told)) for id, told in answers.items()},
        twice=tuple(twice),
    )


def _fitted(knowledge: Knowledge, features: Iterable[str]) -> set[str]:
    fitted = set(features)
    for feature in sorted(fitted - set(knowledge.features)):
        raise Refusal(
            "unknown_feature",
            "refused.observe.no_feature",
            "features",
            "accepted.these",
            {"feature": feature, "these": ", ".join(knowledge.features)},
        )
    return fitted


def _excludes(knowledge: Knowledge, id: str, told: list[str]) -> bool:
    finding = knowledge.findings[id]
    return finding.kind != "places" or finding.values[0] in told


def _weights(knowledge: Knowledge, each: Observation, path: str) -> dict[str, float] | None:
    """Weights over the values of one observation; ``None`` where the answer is "not known"."""
    finding = knowledge.findings.get(each.finding)
    if finding is None:
        raise Refusal(
            "unknown_finding",
            "refused.observe.no_finding",
            f"{path}.finding",
            "accepted.these",
            {"finding": each.finding, "these": ", ".join(knowledge.findings)},
        )
    if isinstance(each.value, Figure):
        if finding.measure is None:
            raise Refusal(
                "not_a_measure",
                "refused.observe.answered_words_not_by",
                f"{path}.value",
                "accepted.these",
                {"finding": each.finding, "these": ", ".join((*finding.values, *finding.neutral))},
            )
        return _bands(finding, each.value)
    if each.value in finding.neutral:
        return None
    if each.value not in finding.values:
        raise Refusal(
            "unknown_value",
            "refused.observe.has_no_value",
            f"{path}.value",
            "accepted.these",
            {
                "finding": each.finding,
                "value": each.value,
                "these": ", ".join((*finding.values, *finding.neutral)),
            },
        )
    return {each.value: 1.0}


def _bands(finding: Finding, figure: Figure) -> dict[str, float]:
    """Share of a normal distribution in each band; its deviation is the interval's width / 3.92."""
    assert finding.measure is not None
    edges: Sequence[float] = finding.measure["edges"]
    values: Sequence[str] = finding.measure["values"]
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    spread = (high - low) / 3.92
    below = [_below(edge, figure.value, spread) for edge in edges]
    shares = [b - a for a, b in zip([0.0, *below], [*below, 1.0], strict=True)]
    return {value: share for value, share in zip(values, shares, strict=True) if share > 0.0}


def _below(edge: float, mean: float, spread: float) -> float:
    if spread <= 0.0:
        return 1.0 if mean < edge else 0.0
    return 0.5 * (1.0 + math.erf((edge - mean) / (spread * math.sqrt(2.0))))


def _doubt(
    knowledge: Knowledge,
    answers: Mapping[str, list[str]],
    misread: dict[str, float],
    seen: dict[str, float],
) -> None:
    """Apply what is known of how a finding was made; the gravest doubt counts."""
    for id, told in answers.items():
        for doubt in knowledge.findings[id].doubts:
            about = doubt["finding"]
            if doubt["value"] not in told:
                continue
            if "misread" in doubt and about in misread:
                misread[about] = max(misread[about], doubt["misread"])
            if "seen" in doubt and about in seen:
                seen[about] = min(seen[about], doubt["seen"])


def _shift(
    knowledge: Knowledge, fitted: set[str], weights: Mapping[str, Mapping[str, float]]
) -> tuple[dict[str, float], dict[str, tuple[tuple[str, float, str], ...]]]:
    """Odds of each cause that the car can have: prior odds times the shifts of its history.

    Of the findings of one group, the strongest shift of a cause counts alone. A shift ``m`` of an
    answer misread with chance ``r`` is ``(1 - r) m + r``.
    """
    odds: dict[str, float] = {}
    shifted: dict[str, tuple[tuple[str, float, str], ...]] = {}
    for cause in knowledge.causes.values():
        if cause.needs is not None and cause.needs not in fitted:
            continue
        strongest: dict[str, tuple[str, float, str]] = {}
        for id, told in weights.items():
            finding = knowledge.findings[id]
            if finding.kind != "history":
                continue
            by, why = 0.0, ""
            for value, weight in told.items():
                factor, reason = finding.shifts[value].get(cause.id, (1.0, ""))
                by += weight * factor / sum(told.values())
                why = reason or why
            by = (1.0 - finding.misread) * by + finding.misread
            held = strongest.get(finding.group)
            if held is None or abs(math.log(by)) > abs(math.log(held[1])):
                strongest[finding.group] = (id, by, why)
        kept = tuple(each for each in strongest.values() if each[2])
        odds[cause.id] = cause.odds * math.prod(each[1] for each in kept)
        shifted[cause.id] = kept
    return odds, shifted
