"""From a job's stored readings to a judged hold: before the repair, in a vacuum, after it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Final

from pyrsistent import PMap, PVector

from weeptrace.hold.assess import assess as assess_hold
from weeptrace.hold.compare import ratio
from weeptrace.hold.data import (
    Action,
    ActionKind,
    Assessment,
    Estimate,
    Hold,
    Reading,
    Reason,
    Strokes,
)
from weeptrace.job.state import Entry, Fact, Job, Series
from weeptrace.properties import air
from weeptrace.refusal import Refusal
from weeptrace.rules import Rules
from weeptrace.rules.found import FINDING

PRESSURE: Final = "hold.pressure"
VACUUM: Final = "vacuum.pressure"
DRY: Final = "dry.pressure"
AFTER: Final = "after.pressure"
TEST: Final = "test.pressure"
LET_OFF: Final = "over.let_off"
_KEPT: Final = 32  # judgements; more holds than any job's record tells
# Where nobody watched, nobody knows what was done to it: the fit cuts there as where it was bumped.
_ACTIONS: Final[dict[str, ActionKind]] = {
    "pumped": "pumped",
    "disturbed": "disturbed",
    "missed": "disturbed",
}
# What ends the look at a system under pressure: it is let off, or the hold or the job begins anew.
_LOOK_ENDS: Final[dict[str, tuple[str, ...]]] = {
    PRESSURE: ("pressure.released", "hold.again", "work.reopened"),
    AFTER: ("after.released", "after.again", "work.reopened"),
}


def assess(rules: Rules, job: Job, series: Series) -> Assessment:
    """The judgement of one hold of a job, the present or an earlier one."""
    made = hold(rules, job, series)
    if made is None:
        return Assessment(
            "not_judged", Reason("no_division", "reason.holds.gauges_division_not_known")
        )
    return judged(TheseLimits(rules.limits), made)


class TheseLimits:
    """One mapping of limits, equal to nothing but itself: others may have its values, or its place
    in memory once it is gone. What is kept under it keeps it."""

    __slots__ = ("limits",)

    def __init__(self, limits: Mapping[str, float]) -> None:
        """Of ``limits``, which nobody changes any more."""
        self.limits = limits

    def __eq__(self, other: object) -> bool:
        """Whether it is of the same mapping."""
        return isinstance(other, TheseLimits) and other.limits is self.limits

    def __hash__(self) -> int:
        """By the mapping itself, not by what stands in it."""
        return id(self.limits)


@lru_cache(maxsize=_KEPT)
def judged(limits: TheseLimits, made: Hold) -> Assessment:
    """The judgement of a hold by some limits, kept: a page asks several times, and every half
    minute again, while nothing was read anew."""
    try:
        return assess_hold(made, limits.limits)
    except Refusal as problem:
        return Assessment("not_judged", Reason(problem.code, problem.text, problem.figures))


def hold(rules: Rules, job: Job, series: Series) -> Hold | None:
    """A series of readings with what the job knew of car, place and tester, in SI.

    What is not known stays unknown; without the gauge's division there is no hold to judge (None).
    """
    facts = job.facts if series.facts is None else series.facts
    kin = series.field.partition(".")[0]
    start = series.start()
    first = number(series.temperature)
    division = number(facts.get("tester.division"))
    if division is None:
        return None
    readings = tuple(
        Reading(time, fact.value, first if index == 0 else None)
        for index, (time, fact) in enumerate(series.times())
        if isinstance(fact.value, float)
    )
    altitude = number(facts.get("place.altitude"))
    vacuum, drained = series.field == VACUUM, series.field in (VACUUM, DRY)
    rated = number(facts.get("car.cap_rating"))
    highest = max((reading.pressure for reading in readings), default=0.0)
    return Hold(
        readings=readings,
        division=division,
        kind="vacuum" if vacuum else "pressure",
        medium="air" if series.field == DRY else "coolant",
        rated=rated,
        atmosphere=None if altitude is None else air.pressure(altitude),
        stored=None if drained else _stored(facts, kin),
        evacuated_volume=evacuated(facts) if drained else None,
        engine_temperature=first if drained else None,
        liquid_volume=number(facts.get("car.capacity")),
        self_leak=_self_leak(rules, facts),
        target=None if rated is None or vacuum or highest <= rated else rated,
        actions=tuple(
            Action(_ACTIONS[word], mark.moment.since(start))
            for mark in series.marks
            if start is not None and (word := mark.field.partition(".")[2]) in _ACTIONS
        )
        + tuple(Action("pumped", time) for time, _ in let_off(job, series)),
        owner_rate=None if kin != "hold" else number(facts.get("owner.rate")),
        planned=rules.limits["recorder.planned"],
        ambient_temperature=number(facts.get("place.ambient")),
        wet=_wet(rules, job, series),
    )


def let_off(job: Job, series: Series) -> list[tuple[float, Fact]]:
    """What the needle showed each time it was let off to its rating, with s since the first."""
    start, times = series.start(), series.times()
    if start is None:
        return []
    told = [(fact.event.moment.since(start), fact) for _, fact in job.present(LET_OFF).times()]
    return [(time, fact) for time, fact in told if 0.0 < time <= times[-1][0]]


def left(rules: Rules, before: Assessment, after: Assessment) -> Estimate | None:
    """What part of the leak before a repair is left after it, both at the pressure before.

    None where a hold has no size, or the one before did not find a leak.
    """
    flow, law = after.leak_flow, before.exponent
    if before.leak_flow is None or flow is None or law is None:
        return None
    assert before.target is not None
    assert after.target is not None
    raised = (before.target / after.target) ** law.value
    same = Estimate(flow.value * raised, flow.low * raised, flow.high * raised)
    try:
        return ratio(before.leak_flow, same, rules.limits)
    except Refusal:
        return None


def too_warm(rules: Rules, job: Job) -> bool:
    """Whether the engine is so far above the air that a hold now could not be judged."""
    engine, air_around = job.value("coolant.temperature"), job.value("place.ambient")
    if not isinstance(engine, float) or not isinstance(air_around, float):
        return False
    return engine - air_around > rules.limits["hold.warm_engine"]


def number(fact: Fact | None) -> float | None:
    """The number of a fact, SI; None where it is unknown or not measured."""
    return fact.value if fact is not None and isinstance(fact.value, float) else None


def _wet(rules: Rules, job: Job, series: Series) -> bool | None:
    """Whether something got wet while this hold stood under pressure.

    False where all was looked at and found dry. None where nobody looked, or not at all of it, or
    where a wet place was dried and did not get wet again.
    """
    seen = _looked(job, series)
    if series.field == AFTER:
        old, other = seen.get("after.old_place"), seen.get("after.other")
        if old == "wet" or other == "found":
            return True
        facts = job.facts if series.facts is None else series.facts
        place = facts.get("finding.place")
        asked = place is not None and place.value != "not_found"
        return False if other == "none" and (old == "dry" or not asked) else None
    zones = [seen.get(id) for id, field in rules.fields.items() if field.place]
    where = seen.get(f"{FINDING}.wet_under_pressure_at")
    named = seen.get("finding.place", "not_found") != "not_found"
    if named or "wet" in zones or where not in (None, "none"):
        return None if seen.get("finding.wet_again") == "dry" else True
    every = bool(zones) and None not in zones
    return False if "not_reachable" not in zones and (every or where == "none") else None


def _looked(job: Job, series: Series) -> dict[str, str]:
    """The words that were answered from a hold's first reading until its pressure was let off."""
    ends = _LOOK_ENDS.get(series.field)
    own = {fact.event.id for fact in series.readings.values()}
    seen: dict[str, str] = {}
    if ends is None or not own:
        return seen
    for entry in _since_first(job.log, own):
        event = entry.event
        if entry.outcome != "accepted":
            continue
        if event.field in ends:
            break
        if event.kind == "fact":
            seen[event.field] = event.typed
        else:
            seen.pop(event.field, None)
    return seen


def _since_first(log: PVector[Entry], own: set[str]) -> Iterator[Entry]:
    """The entries of a log from the first of its ``own`` events on.

    It is looked for from the end: of a long job a running hold has but the last entries.
    """
    first, missing = len(log), set(own)
    for index in reversed(range(len(log))):
        if not missing:
            break
        id = log[index].event.id
        if id in missing:
            missing.remove(id)
            first = index
    return (log[index] for index in range(first, len(log)))


def _stored(facts: PMap[str, Fact], kin: str) -> Strokes | None:
    """The air in the system from the pump's strokes, where both were measured."""
    volume = number(facts.get("tester.stroke_volume"))
    count = number(facts.get(f"{kin}.strokes"))
    return None if volume is None or count is None else Strokes(count, volume)


def evacuated(facts: PMap[str, Fact]) -> float | None:
    """What was empty before the vacuum, m3: drained, and missing before where that is known."""
    drained = number(facts.get("coolant.drained"))
    return None if drained is None else drained + (number(facts.get("coolant.missing_before")) or 0)


def _self_leak(rules: Rules, facts: PMap[str, Fact]) -> float | None:
    """The tester's own fall on a blank, Pa/s: today's, else as it was entered once."""
    fall = number(facts.get("tester.self_fall"))
    fall = number(facts.get("tester.own_fall")) if fall is None else fall
    return None if fall is None else fall / rules.limits["recorder.self_test"]
