"""What the stored readings say is dangerous now, whatever step the job stands at."""

from __future__ import annotations

from typing import Final

from weeptrace.job import warm
from weeptrace.job.state import Fact, Job
from weeptrace.rules import Rules

ROAD: Final = "road.hottest"
HAPPENED: Final = "hot.happened"


def too_hot(rules: Rules, job: Job) -> Fact | None:
    """The hottest temperature typed above the stop limit that nobody has explained since.

    Above ``warmup.highest_coolant`` (K), of every warm-up log and of the road test. None too where
    the job runs on rules that could not be told what happened.
    """
    if HAPPENED not in rules.fields:
        return None
    read = [fact for log in job.all_series(warm.COOLANT) for _, fact in log.times()]
    driven = job.facts.get(ROAD)
    told = [*read, *([] if driven is None else [driven])]
    above = [
        (fact.value, fact)
        for fact in told
        if isinstance(fact.value, float) and fact.value > rules.limits["warmup.highest_coolant"]
    ]
    said = job.facts.get(HAPPENED)
    since = -1 if said is None or said.value is None else said.event.seq
    left = [pair for pair in above if pair[1].event.seq > since]
    return max(left, key=lambda pair: pair[0])[1] if left else None
