"""From a job's evening and morning to what a tight car would have shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from weeptrace.finding import Estimate
from weeptrace.hold.data import Strokes
from weeptrace.hold.overnight import Evening, Sign, Warmth, expected, sign
from weeptrace.job.danger import EVENING
from weeptrace.job.holds import LET_OFF, number
from weeptrace.job.state import Fact, Job
from weeptrace.properties import air
from weeptrace.rules import Rules

MORNING: Final = "test.morning"


@dataclass(frozen=True)
class Night:
    """What a tight car shows (Pa) at a temperature of the block (K); what the needle seen says.

    ``sign`` is None before the morning, or without its temperature: then ``block`` is the evening's
    air, as the block will be as cold by then.
    """

    tight: Estimate
    block: float
    sign: Sign | None


def night(rules: Rules, job: Job) -> Night | None:
    """The judgement of a night; None without the pump's strokes or a temperature it rests on."""
    known = {name: number(fact) for name, fact in job.facts.items()}
    needle, count = known.get(EVENING), known.get("test.strokes")
    stroke, block = known.get("tester.stroke_volume"), known.get("test.block_evening")
    if needle is None or count is None or stroke is None or block is None or needle <= 0.0:
        return None
    outside, altitude = known.get("test.air_evening"), known.get("place.altitude")
    evening = Evening(
        Strokes(count, stroke),
        needle,
        left_at(job) or needle,
        Warmth(block, outside),
        known.get("car.capacity"),
        None if altitude is None else air.pressure(altitude),
        "propylene" if job.value("car.glycol") == "propylene" else "ethylene",
    )
    later, seen = known.get("test.block_morning"), known.get(MORNING)
    warmth = Warmth(later, known.get("test.air_morning")) if later is not None else None
    if warmth is None and outside is not None:
        warmth = Warmth(outside, outside)
    if warmth is None:
        return None
    tight = expected(evening, warmth, rules.limits)
    if later is None or seen is None:
        return Night(tight, warmth.block, None)
    division = known.get("tester.division") or 0.0
    return Night(tight, warmth.block, sign(seen, tight, division, rules.limits))


def left_at(job: Job) -> float | None:
    """The needle as it was let off to after the evening's was typed, Pa; None where it was not."""
    evening = job.facts.get(EVENING)
    if evening is None:
        return None
    after = [
        fact
        for _, fact in job.present(LET_OFF).times()
        if fact.event.moment.since(evening.event.moment) > 0.0 and not _too_late(job, fact)
    ]
    return number(after[-1]) if after else None


def _too_late(job: Job, fact: Fact) -> bool:
    """Whether it was let off only after the morning's needle."""
    morning = job.facts.get(MORNING)
    return morning is not None and fact.event.moment.since(morning.event.moment) > 0.0
