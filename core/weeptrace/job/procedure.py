"""Where a job stands: the first step that applies and is not done, and the gate before it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from weeptrace.job.events import Moment
from weeptrace.job.state import Job
from weeptrace.rules import Field, Gate, Procedure, Rules, Step, conditions


@dataclass(frozen=True)
class GateState:
    """How a gate stands now.

    ``open`` is True, False, or None where evidence is missing or stale; ``stale`` names evidence
    that is too old or that something since has undone.
    """

    open: bool | None
    stale: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Position:
    """The present step (None: the job is done), and the shut gate that stands before it."""

    step: Step | None
    gate: Gate | None
    phase: int


def position(rules: Rules, job: Job, now: Moment) -> Position:
    """Where the job stands at ``now``."""
    procedure = rules.procedures[job.procedure]
    step = next(
        (
            step
            for step in procedure.steps
            if applies(rules, job, step) and not done(rules, job, step)
        ),
        None,
    )
    phases = [phase.id for phase in procedure.phases]
    if step is None:
        return Position(None, None, len(phases) - 1)
    if step.gate is not None:
        gate = rules.gates[step.gate]
        if gate_state(rules, job, gate, now).open is not True:
            return Position(step, gate, _gate_phase(procedure, step))
    return Position(step, None, phases.index(step.phase))


def _gate_phase(procedure: Procedure, step: Step) -> int:
    """The gate's own phase when it comes before the step's, else the step's."""
    own = next(i for i, phase in enumerate(procedure.phases) if phase.id == step.phase)
    before = [
        i for i, phase in enumerate(procedure.phases) if phase.gate == step.gate and i == own - 1
    ]
    return before[0] if before else own


def applies(rules: Rules, job: Job, step: Step) -> bool:
    """Whether a step is part of this job; on something unknown it is not, yet."""
    return step.when is None or _true(rules, job, step.when)


def done(rules: Rules, job: Job, step: Step) -> bool:
    """Whether a step is done: by its own condition, else by the answer to what it asks."""
    if step.done is not None:
        return _true(rules, job, step.done)
    if step.checks:
        return all(job.value(name) is not None for name in step.checks)
    if step.asks is None or not job.answered(step.asks):
        return False
    return step.skip or job.value(step.asks) is not None


def is_open(rules: Rules, job: Job) -> bool:
    """Whether a system stands open or under pressure, as far as the job knows."""
    condition = rules.procedures[job.procedure].open
    return condition is not None and _true(rules, job, condition)


def _true(rules: Rules, job: Job, tree: conditions.Tree) -> bool:
    return conditions.evaluate(tree, known(rules, job), rules.limits) is True


def known(rules: Rules, job: Job) -> conditions.Lookup:
    """What a condition may look up: a field's value, or a figure that the job computes."""

    def look_up(name: str) -> float | str | None:
        if name == "ledger.out":
            return float(len(parts_out(rules, job)))
        if name == "tester.fall_in_divisions":
            return fall_in_divisions(job)
        if name == "ledger.out_to_run":
            return float(sum(part.needed_to_run for part in parts_out(rules, job)))
        return job.value(name)

    return look_up


def fall_in_divisions(job: Job) -> float | None:
    """The tester's own fall on a blank, in divisions of its gauge; None where one is not known."""
    fall, division = job.value("tester.self_fall"), job.value("tester.division")
    if not isinstance(fall, float) or not isinstance(division, float):
        return None
    return fall / division


def parts_out(rules: Rules, job: Job) -> list[Field]:
    """The parts that are off, in the order in which they came off."""
    out = [
        (fact.event.seq, rules.fields[name])
        for name, fact in job.facts.items()
        if fact.value == "off" and rules.fields[name].kind == "part"
    ]
    return [part for _, part in sorted(out, key=lambda pair: pair[0])]


def gate_state(rules: Rules, job: Job, gate: Gate, now: Moment) -> GateState:
    """How a gate stands: on fresh evidence only.

    Evidence is stale when it is older than the gate's age, or when one of the gate's ``stale_on``
    events came after it (the app was opened again, the engine ran, the system was pumped up).
    """
    missing = tuple(name for name in gate.evidence if job.value(name) is None)
    stale = tuple(
        name
        for name in gate.evidence
        if name not in missing and _is_stale(rules, job, gate, name, now)
    )
    look_up = known(rules, job)
    opens = conditions.evaluate(
        gate.opens,
        lambda name: None if name in stale else look_up(name),
        rules.limits,
        lambda name: _age(job, name, now),
    )
    return GateState(opens, stale, missing)


def _age(job: Job, name: str, now: Moment) -> float:
    """The age of a field's value in s; one from the future, by more than a slip, is never young."""
    age = now.since(job.facts[name].event.moment)
    return age if age >= -1.0 else math.inf


def _is_stale(rules: Rules, job: Job, gate: Gate, name: str, now: Moment) -> bool:
    within = (part for part in conditions.ages(gate.opens) if part[1] == name)
    if any(_age(job, name, now) > rules.limits[part[2][1]] for part in within):
        return True
    return any(job.touched.get(other, -1) > job.touched[name] for other in gate.stale_on)
