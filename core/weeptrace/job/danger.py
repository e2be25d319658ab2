"""What the stored readings say is dangerous now, whatever step the job stands at."""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass
from typing import Final

from weeptrace.hold.usable import is_above
from weeptrace.job import warm
from weeptrace.job.state import Fact, Job
from weeptrace.quantity import parse, to_si
from weeptrace.rules import Rules

LOOKED: Final = "over.looked"
EVENING: Final = "test.evening"
_ANSWERS: Final = ("fact", "reading", "done")
# Their answers say that nothing is on any more.
_OFF: Final = ("pressure.released", "dry.released", "after.released", "test.released")
ROAD: Final = "road.hottest"
HAPPENED: Final = "hot.happened"
FALLS: Final = "engine.level_falls"
LOW: Final = "low.happened"


def level_falls(job: Job) -> bool:
    """Whether the level was seen to fall while the engine ran, and nobody has said why since."""
    seen, said = job.facts.get(FALLS), job.facts.get(LOW)
    since = -1 if said is None or said.value is None else said.event.seq
    return seen is not None and seen.event.seq > since


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


@dataclass(frozen=True)
class Over:
    """A needle above its rating. Pa gauge.

    ``highest``: the highest since somebody last looked; ``allowed``: what it may show; ``on``:
    nothing was typed since that shows it was let off.
    """

    highest: Fact
    allowed: float
    on: bool


def above_rating(rules: Rules, job: Job) -> Over | None:
    """The needle that is above its rating now, or was so far above it that somebody must look.

    Left alone over night, the rating counts for ``hold.overnight_most`` of what is printed: who
    pumps up in the evening sees no needle until the morning. Above ``1 + cap.high`` of the rating,
    more than a sound cap lets through, tank, core and heater are looked at.
    """
    above = {fact.event.id: (fact, allowed) for fact, allowed in too_high(rules, job)}
    if not above:
        return None
    highest: Fact | None = None
    on: tuple[Fact, float] | None = None
    rated = {field.id for field in rules.fields.values() if field.rated}
    for entry in job.log:
        event = entry.event
        if entry.outcome != "accepted":
            continue
        if event.id in above:
            on = above[event.id]
            highest = on[0] if highest is None or pascal(on[0]) > pascal(highest) else highest
        elif event.field == LOOKED and event.kind == "fact":
            highest = None
        elif event.kind in _ANSWERS and (event.field in rated or event.field in _OFF):
            on = None
    if on is not None:
        return Over(on[0], on[1], on=True)
    rating = job.value("car.cap_rating")
    if highest is None or not isinstance(rating, float):
        return None
    most = (1.0 + rules.limits["cap.high"]) * rating
    return Over(highest, rating, on=False) if pascal(highest) > most else None


def too_high(rules: Rules, job: Job) -> list[tuple[Fact, float]]:
    """Every needle ever typed above its rating as that is known now, and what it may show, Pa."""
    division = job.value("tester.division")
    fine = division if isinstance(division, float) else 0.0
    allowed = {
        field.id: rating * (rules.limits["hold.overnight_most"] if field.id == EVENING else 1.0)
        for field in rules.fields.values()
        if field.rated and isinstance(rating := job.value(field.rated), float)
    }
    found = []
    for fact in _needles(rules, job, allowed):
        most = allowed[fact.event.field]
        if is_above(pascal(fact), most, fine, rules.limits):
            found.append((fact, most))
    return found


def _needles(rules: Rules, job: Job, fields: Container[str]) -> Iterator[Fact]:
    """The needles of some fields, those too that were typed anew since."""
    known = {
        fact.event.id: fact
        for series in (*job.past, *job.series.values())
        if series.field in fields
        for fact in series.readings.values()
    }
    for entry in job.log:
        event = entry.event
        if event.field in fields and entry.outcome == "accepted" and event.kind in _ANSWERS:
            fact = known.get(event.id)
            if fact is None:
                dimension = rules.fields[event.field].dimension or ""
                fact = Fact(event, to_si(parse(event.typed).value, event.unit or "", dimension))
            yield fact


def pascal(fact: Fact) -> float:
    """The needle of a fact, Pa gauge."""
    assert isinstance(fact.value, float)
    return fact.value
