"""From a job's facts to what the causes room takes: features, tools, observations, shut gates.

What any page learnt is here once: each field and each result shows what the rules say of it
(``rules.shows``). What was not asked is not there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple

from weeptrace.causes import Figure, Finding, Knowledge, Observation, Ranking, from_bundle, stake
from weeptrace.causes import rank as rank_causes
from weeptrace.causes.likelihood import layout
from weeptrace.causes.observe import evidence
from weeptrace.causes.posterior import posterior
from weeptrace.job import rounds
from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.results import Value, results
from weeptrace.job.state import Job
from weeptrace.rules import Rules
from weeptrace.rules.found import FEATURES, FINDING, LACKS, TOOLS
from weeptrace.rules.shows import FIGURE, FITTED, PLACE
from weeptrace.told import Sentence

# Of the round that it was seen in: a repair mends it, and another test begins its look anew.
_OF_THE_ROUND: Final = ("zone.", "finding.")


# By the bundle's hash: a bundle never changes.
_made: Final[dict[str, Knowledge]] = {}


def knowledge(rules: Rules) -> Knowledge:
    """What the trade knows, as these rules compile it."""
    if rules.hash not in _made:
        _made[rules.hash] = from_bundle(rules.causes, rules.limits)
    return _made[rules.hash]


class Shown(NamedTuple):
    """What one entry of a job shows: ``by`` a field of it, a result, or the finding's own field."""

    by: str
    told: Observation


def several(job: Job, field: str) -> tuple[str, ...] | None:
    """The words of a field that takes several; None where it was not answered."""
    value = job.value(field)
    return tuple(filter(None, value.split(","))) if isinstance(value, str) else None


def rank(rules: Rules, job: Job, now: Moment) -> Ranking:
    """The ranking of causes by all that the job knows, and the next tests that can be done now."""
    tools = several(job, TOOLS)
    closed = [
        id for id, gate in rules.gates.items() if gate_state(rules, job, gate, now).open is False
    ]
    known = knowledge(rules)
    return rank_causes(
        known,
        features(rules, job),
        observations(rules, job),
        rules.limits,
        tools=tools,
        closed=[id for id in closed if any(id in test.gates for test in known.tests.values())],
    )


def due(rules: Rules, job: Job) -> list[Sentence]:
    """Why something is still to be looked for, whatever it gains: after an overheat, say."""
    known = knowledge(rules)
    told = evidence(known, features(rules, job), observations(rules, job))
    terms = layout(known, told, rules.limits["causes.attention"])
    return [why for _, _, why in stake.due(known, told, posterior(terms, told.odds).causes)]


def features(rules: Rules, job: Job) -> list[str]:
    """What the car has, or may have: what a cause needs is only missing where that was told."""
    known = knowledge(rules)
    has = {*(several(job, FEATURES) or ()), *_fitted(rules, job)}
    lacks = {*(several(job, LACKS) or ())} - has
    may = {cause.needs for cause in known.causes.values() if cause.needs} - lacks
    return [each for each in known.features if each in has | may]


def observations(rules: Rules, job: Job) -> list[Observation]:
    """All that was answered or measured in this job, each once."""
    return list(dict.fromkeys(each.told for each in shown(rules, job)))


def shown(rules: Rules, job: Job) -> list[Shown]:
    """Each observation of a job with what shows it, in the order of the causes' findings.

    A hand's own word for a finding stands for all else, and no condition of another look doubts
    it. Of several that show a sign or a fact of the history, the gravest stands: what one page
    found is not undone by another that did not.
    """
    own, found = dict(_own(rules, job)), dict[str, list[Shown]]()
    for each in _all(rules, job):
        found.setdefault(each.told.finding, []).append(each)
    out: list[Shown] = []
    for id, finding in knowledge(rules).findings.items():
        if id in own:
            out += own[id]
            none = own[id][0].told.value == finding.values[0]
            if finding.kind == "places" and id in found and not none:  # several may be true
                out += [each for each in _together(finding, found[id]) if _wet(finding, each)]
        elif id in found and not any(doubt["finding"] in own for doubt in finding.doubts):
            out += _together(finding, found[id])
    return out


def _own(rules: Rules, job: Job) -> Iterator[tuple[str, list[Shown]]]:
    """What was answered to the findings' own questions."""
    for id in knowledge(rules).findings:
        name = f"{FINDING}.{id}"
        if words := several(job, name):
            yield id, [Shown(name, Observation(id, word)) for word in words]


def _together(finding: Finding, found: list[Shown]) -> list[Shown]:
    if finding.kind == "places":
        return [each for each in found if _wet(finding, each)] or found[:1]
    return [max(found, key=lambda each: _grave(finding, each.told.value))]


def _wet(finding: Finding, each: Shown) -> bool:
    return each.told.value != finding.values[0]


def _grave(finding: Finding, value: Value) -> int:
    """How far a value is from the quiet one; a figure by its band."""
    if isinstance(value, Figure):
        assert finding.measure is not None
        edges, values = finding.measure["edges"], finding.measure["values"]
        value = values[sum(value.value >= edge for edge in edges)]
    return finding.values.index(value) if value in finding.values else -1


def _all(rules: Rules, job: Job) -> Iterator[Shown]:
    """What fields and results show, in the rules' order."""
    worked_out = results(rules, job)
    findings = knowledge(rules).findings
    for name, how in rules.shows.items():
        values = worked_out.get(name) or _answer(job, name)
        for value in values:
            for finding, shows in how.items():
                told = _shows(rules, shows, value)
                if told is not None and finding in findings:  # older rules know fewer
                    yield Shown(name, Observation(finding, told))


def _answer(job: Job, name: str) -> list[float | str]:
    """A field's answer; the last of the whole job where nothing that is mended takes it away."""
    if name.startswith(_OF_THE_ROUND):
        value = job.value(name)
        return [] if value is None else [value]
    return rounds.every(job, name)[-1:]


def _shows(rules: Rules, shows: Any, value: Value | float) -> Value | None:
    """What a value shows of a finding by its entry of the rules; None for nothing."""
    if isinstance(shows, Mapping):
        word: str | None = shows.get(value)
        return word
    if shows == PLACE:
        return str(value)
    if shows == FIGURE:
        return Figure(value) if isinstance(value, float) else value
    assert isinstance(value, float)
    band = next(
        each for each in shows if "below" not in each or value < rules.limits[each["below"]]
    )
    found: str | None = band.get("value")
    return found


def _fitted(rules: Rules, job: Job) -> Iterator[str]:
    """The features that answers show."""
    for name, how in rules.shows.items():
        for value in _answer(job, name) if FITTED in how else ():
            feature = how[FITTED].get(value)
            if feature is not None:
                yield feature
