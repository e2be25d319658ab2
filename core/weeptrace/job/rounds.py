"""Rounds of a job: what is begun again because it still leaks goes on with what was done before.

A round ends where the job is opened again. Its coolant came out and went in, and its balance was
not struck yet: so it counts with the last round, in litres and in what is still to be done.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from pyrsistent import pmap

from weeptrace.job.state import Fact, Job

_DRAINED: Final = "coolant.drained"
# What a round did with its coolant, and what was read meanwhile.
_FLUID: Final = ("coolant.", "fill.", "vacuum.", "dry.", "bleed.", "transmission.", "warm.")


def unbalanced(job: Job) -> list[Mapping[str, Fact]]:
    """The facts of the rounds whose fluid balance is still to be struck, the present one last."""
    return [*(facts for facts in _since(job, "balance.seen") if _DRAINED in facts), job.facts]


def quoted(job: Job) -> list[Mapping[str, Fact]]:
    """What was begun anew under the present price, as one more add-on is, the present one last."""
    return [*_since(job, "quote.total"), job.facts]


def _since(job: Job, name: str) -> list[Mapping[str, Fact]]:
    """What was cleared after the last round that answered a field."""
    last = max((n for n, facts in enumerate(job.cleared, 1) if name in facts), default=0)
    return list(job.cleared[last:])


def drained(job: Job) -> int:
    """In how many of those rounds the coolant came out."""
    return sum(_DRAINED in facts for facts in unbalanced(job))


def told(job: Job, name: str) -> list[Fact]:
    """A field's answers in those rounds."""
    return [facts[name] for facts in unbalanced(job) if name in facts]


def every(job: Job, name: str) -> list[float | str]:
    """A field's answers of the whole job in their order, those that were begun anew too, SI."""
    told = [facts[name].value for facts in (*job.cleared, job.facts) if name in facts]
    return [value for value in told if value is not None]


def total(job: Job, name: str) -> float | None:
    """``V = V_1 + V_2 + ...``, m3: a field of all those rounds together.

    None where no round answered it, or one answered it "not measured".
    """
    values = [fact.value for fact in told(job, name)]
    if not values or not all(isinstance(value, float) for value in values):
        return None
    return sum(value for value in values if isinstance(value, float))


def last_filled(job: Job) -> Job:
    """The job with the fluids of the latest round in which its coolant came out."""
    if _DRAINED in job.facts:
        return job
    facts = next((facts for facts in reversed(job.cleared) if _DRAINED in facts), None)
    if facts is None:
        return job
    fluid = {name: fact for name, fact in facts.items() if name.startswith(_FLUID)}
    read = {
        series.field: series
        for series in job.past
        if series.field.startswith(_FLUID)
        and series.facts is not None
        and series.facts.get(_DRAINED) is facts[_DRAINED]
    }
    return replace(job, facts=pmap(fluid).update(job.facts), series=pmap(read).update(job.series))
