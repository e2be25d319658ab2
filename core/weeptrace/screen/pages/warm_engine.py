"""Before a hold: the engine is too warm for it, until when, and a key to measure again."""

from __future__ import annotations

from typing import Final

from weeptrace.job import holds
from weeptrace.job.procedure import Known, applies
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import gate
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

TEST: Final = "test.pressure"
# The holds whose fall a cooling engine looks like; a vacuum falls the other way.
_FALLING: Final = (holds.PRESSURE, holds.DRY, holds.AFTER, TEST)


def blocks(show: Show, job: Job, step: Step) -> list[Json]:
    """The notice; [] where no hold is ahead or the engine is cool enough.

    It is a key, which types a new temperature with its own moment. Where the present step has the
    cool-down gate, that asks the pressure again too, once it is old.
    """
    rules, say = show.rules, show.say
    engine, ambient = job.facts.get("coolant.temperature"), job.value("place.ambient")
    if not _hold_ahead(show, job, step) or not holds.too_warm(rules, job):
        return []
    assert engine is not None
    assert isinstance(ambient, float)
    limit = rules.limits["hold.warm_engine"]
    within = Figure(limit, "difference")
    about, between = gate.cooled(show, engine, ambient, ambient + limit)
    pad = parts.pad(show, job, rules.fields["coolant.temperature"])
    lines = [say("warm_engine.at", time=about), between, say("warm_engine.why", within=within)]
    return [parts.state("waits", say("screen.too_warm"), lines, do={"pad": pad})]


def _hold_ahead(show: Show, job: Job, step: Step) -> bool:
    """Whether this phase holds a pressure of which nothing is read yet; a warm hold is meant so."""
    known = Known(show.rules, job)
    return any(
        each.shows == "recorder"
        and each.reads in _FALLING
        and not job.present(each.reads).readings
        and applies(known, each)
        and not (each.reads == TEST and job.value("test.kind") == "warm_hold")
        for each in show.rules.procedures[job.procedure].steps
        if each.phase == step.phase
    )
