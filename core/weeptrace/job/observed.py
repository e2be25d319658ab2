"""From a job's facts to what the causes room takes: features, tools, observations, shut gates.

What was measured enters as a figure with its interval; what was not asked is not there.
"""

from __future__ import annotations

from typing import Final

from weeptrace.causes import Figure, Knowledge, Observation, Ranking, from_bundle
from weeptrace.causes import rank as rank_causes
from weeptrace.hold.data import Assessment
from weeptrace.job import holds
from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import Job
from weeptrace.rules import Rules
from weeptrace.rules.found import FEATURES, FINDING, TOOLS

_KNOWN: Final = ("no_leak_found", "tight")


# By the bundle's hash: a bundle never changes.
_made: Final[dict[str, Knowledge]] = {}


def knowledge(rules: Rules) -> Knowledge:
    """What the trade knows, as these rules compile it."""
    if rules.hash not in _made:
        _made[rules.hash] = from_bundle(rules.causes, rules.limits)
    return _made[rules.hash]


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
        several(job, FEATURES) or (),
        observations(rules, job),
        rules.limits,
        tools=tools,
        closed=[id for id in closed if any(id in test.gates for test in known.tests.values())],
    )


def observations(rules: Rules, job: Job) -> list[Observation]:
    """All that was answered or measured in this job, each once."""
    told = [*_answered(rules, job), *_places(rules, job), *_held(rules, job)]
    return list(dict.fromkeys(told))


def _answered(rules: Rules, job: Job) -> list[Observation]:
    out = []
    for name in sorted(job.facts, key=lambda each: job.facts[each].event.seq):
        if name.startswith(f"{FINDING}."):
            words = several(job, name)
            out += [Observation(name.partition(".")[2], word) for word in words or ()]
    rate = job.value("owner.rate")
    if isinstance(rate, float) and job.value(f"{FINDING}.loss_rate") is None:
        out.append(Observation("loss_rate", Figure(rate)))
    return out


def _places(rules: Rules, job: Job) -> list[Observation]:
    """The zones that were looked at, and the proof: wet, dried and wet again."""
    zones = {id: field.place for id, field in rules.fields.items() if field.place}
    finding = "wet_under_pressure_at" if job.present(holds.PRESSURE).readings else "residue_at"
    wet = [place for id, place in zones.items() if job.value(id) == "wet"]
    out = [Observation(finding, place) for place in wet]
    looked = [job.value(id) for id in zones]
    if not wet and all(word == "dry" for word in looked):
        out.append(Observation(finding, "none"))
    proven = zones.get(f"zone.{job.value('finding.place')}")
    if proven is not None and job.value("finding.wet_again") == "wet":
        out.append(Observation("wet_again_at", proven))
    return out


def _held(rules: Rules, job: Job) -> list[Observation]:
    """The hold: its leak as a figure, its shape where it only settled, and what it could see."""
    series = job.present(holds.PRESSURE)
    if not series.readings or job.value(f"{FINDING}.pressure_hold_cold") is not None:
        return []
    found = holds.assess(rules, job, series)
    out = [*_shape(found)]
    if found.verdict == "too_weak":
        out.append(Observation("hold_sensitivity", "too_weak"))
    elif found.verdict in _KNOWN and job.value("owner.rate") is not None:
        out.append(Observation("hold_sensitivity", "sees_the_complaint"))
    exponent = found.exponent
    if exponent is not None and not exponent.assumed:
        out.append(Observation("hold_exponent", Figure(exponent.value)))
    return out


def _shape(found: Assessment) -> list[Observation]:
    if found.verdict == "not_judged":
        return []
    if found.verdict == "gross":
        return [Observation("pressure_hold_cold", "fast_fall")]
    settled = found.explanations.get("settling", 0.0)
    if found.verdict in (*_KNOWN, "too_weak"):
        shape = "falls_then_steady" if settled > 0.5 else "holds"
        return [Observation("pressure_hold_cold", shape)]
    flow = found.leak_flow
    if flow is None:
        return [Observation("pressure_hold_cold", "slow_fall")]
    return [Observation("pressure_hold_cold", Figure(flow.value, flow.low, flow.high))]
