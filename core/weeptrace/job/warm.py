"""From a job's warm-up log to its judgement."""

from __future__ import annotations

from typing import Final

from weeptrace.job.holds import number
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules import Rules
from weeptrace.warmup.assess import assess as assess_log
from weeptrace.warmup.data import Assessment, Point

COOLANT: Final = "warm.coolant"
VENT: Final = "warm.vent"
_FAN: Final = {"warm.fan_on": True, "warm.fan_off": False}


def assess(rules: Rules, job: Job) -> Assessment | None:
    """The judgement of the log; None without readings or without the air's temperature.

    A row is a coolant temperature, with the vent temperature nearest to it in time (within
    ``recorder.paired_within``), and the fan as it was last seen.
    """
    ambient = number(job.facts.get("place.ambient"))
    points = rows(rules, job)
    if ambient is None or not points:
        return None
    try:
        return assess_log(points, ambient, rules.limits)
    except Refusal:
        return None  # a temperature that no car has: it stands in the log, and proves nothing


def rows(rules: Rules, job: Job) -> list[Point]:
    """The log as rows, in order of time."""
    series = job.present(COOLANT)
    start = series.start()
    if start is None:
        return []
    vents = [
        (fact.event.moment.since(start), number(fact)) for _, fact in job.present(VENT).times()
    ]
    seen = sorted(
        (mark.moment.since(start), _FAN[mark.field]) for mark in series.marks if mark.field in _FAN
    )
    return [
        Point(time, value, vent=_near(vents, time, rules), fan=_fan(seen, time))
        for time, value in ((time, number(fact)) for time, fact in series.times())
        if value is not None
    ]


def hottest(job: Job) -> float | None:
    """The highest coolant temperature of the log, K."""
    values = (number(fact) for _, fact in job.present(COOLANT).times())
    return max((value for value in values if value is not None), default=None)


def _near(vents: list[tuple[float, float | None]], time: float, rules: Rules) -> float | None:
    within = rules.limits["recorder.paired_within"]
    near = [(abs(at - time), value) for at, value in vents if abs(at - time) <= within]
    return min(near, key=lambda pair: pair[0])[1] if near else None


def _fan(seen: list[tuple[float, bool]], time: float) -> bool | None:
    """As it was last seen; before its first mark it was the other way round."""
    if not seen:
        return None
    before = [on for at, on in seen if at <= time]
    return before[-1] if before else not seen[0][1]
