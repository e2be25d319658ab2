"""From a job's stored readings to a judged hold."""

from __future__ import annotations

from typing import Final

from pyrsistent import PMap

from weeptrace.hold.assess import assess as assess_hold
from weeptrace.hold.data import Action, ActionKind, Assessment, Hold, Reading, Reason, Strokes
from weeptrace.job.state import Fact, Job, Series
from weeptrace.properties import air
from weeptrace.rules import Rules

PRESSURE: Final = "hold.pressure"
_ACTIONS: Final[dict[str, ActionKind]] = {
    "hold.pumped": "pumped",
    "hold.disturbed": "disturbed",
}


def assess(rules: Rules, job: Job, series: Series) -> Assessment:
    """The judgement of one hold of a job, the present or an earlier one."""
    made = hold(rules, job, series)
    if made is None:
        words = "The gauge's division is not known, so neither is how far a reading can be trusted."
        return Assessment("not_judged", Reason("no_division", words))
    return assess_hold(made, rules.limits)


def hold(rules: Rules, job: Job, series: Series) -> Hold | None:
    """A series of readings with what the job knew of car, place and tester, in SI.

    What is not known stays unknown; without the gauge's division there is no hold to judge (None).
    """
    facts = job.facts if series.facts is None else series.facts
    start = series.start()
    first = _number(series.temperature)
    readings = tuple(
        Reading(time, fact.value, first if index == 0 else None)
        for index, (time, fact) in enumerate(series.times())
        if isinstance(fact.value, float)
    )
    altitude = _number(facts.get("place.altitude"))
    division = _number(facts.get("tester.division"))
    if division is None:
        return None
    return Hold(
        readings=readings,
        division=division,
        rated=_number(facts.get("car.cap_rating")),
        atmosphere=None if altitude is None else air.pressure(altitude),
        stored=_stored(facts),
        liquid_volume=_number(facts.get("car.capacity")),
        actions=tuple(
            Action(_ACTIONS[mark.field], mark.moment.since(start))
            for mark in series.marks
            if start is not None and mark.field in _ACTIONS
        ),
        owner_rate=_number(facts.get("owner.rate")),
        planned=rules.limits["recorder.planned"],
        ambient_temperature=_number(facts.get("place.ambient")),
    )


def too_warm(rules: Rules, job: Job) -> bool:
    """Whether the engine is so far above the air that a hold now could not be judged."""
    engine, air_around = job.value("coolant.temperature"), job.value("place.ambient")
    if not isinstance(engine, float) or not isinstance(air_around, float):
        return False
    return engine - air_around > rules.limits["hold.warm_engine"]


def _number(fact: Fact | None) -> float | None:
    return fact.value if fact is not None and isinstance(fact.value, float) else None


def _stored(facts: PMap[str, Fact]) -> Strokes | None:
    """The air in the system from the pump's strokes, where both were measured."""
    volume = _number(facts.get("tester.stroke_volume"))
    count = _number(facts.get("hold.strokes"))
    return None if volume is None or count is None else Strokes(count, volume)
