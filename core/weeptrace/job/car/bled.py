"""Whether so much was poured in that air is in it, and no full warm-up has let it out since."""

from __future__ import annotations

from typing import Final

from weeptrace.job import rounds, warm
from weeptrace.job.state import Job
from weeptrace.rules import Rules

# Ticks and answers by which coolant goes in before anybody types how much.
_FILLS: Final = (
    "pressure.level_set", "finding.level_set", "test.level_set", "test.tester_off", "test.dye_in",
)  # fmt: skip


def unbled(rules: Rules, job: Job) -> float:
    """0: no air by what is known; 1: it was low and filled, nobody said how far; 2: much went in.

    Much: more than ``fill.traps_air``, m3. A warm-up to the fan, a drive, or one for this lets it
    out; vents that stayed cold at the warm-up say that it did not, until one for this was run.
    """
    felt = job.touched.get(warm.VENT)
    if felt is not None and felt.number > _at(job, "level.ran") and _cold_vents(rules, job):
        return 2.0
    much = rules.limits["fill.traps_air"]
    open_from = rules.limits["warmup.bleeds_from"]
    since = _at(job, "level.ran")
    if _drive_opens(job, open_from):
        since = max(since, _at(job, "road.driven"))
    hottest = warm.hottest(job)
    if hottest is not None and hottest > open_from:
        since = max(since, _at(job, "warm.fan_on"))
    for name in ("coolant.filled", "level.litres"):
        last = rounds.every(job, name)[-1:]  # of an earlier round too
        if any(isinstance(v, float) and v > much for v in last) and _at(job, name) > since:
            return 2.0
    if since >= 0:
        return 0.0
    return float(_low(job) or (job.answered("level.litres") and job.value("level.litres") is None))


def _cold_vents(rules: Rules, job: Job) -> bool:
    """Whether the heater blew cold at the end of the warm-up: air inside, or poor flow."""
    found = warm.assess(rules, job)
    return found is not None and found.heater.heat == "weak"


def _drive_opens(job: Job, open_from: float) -> bool:
    """Whether the drive got hot enough, K; untyped an engine does, an electric drive may not."""
    hottest = rounds.every(job, "road.hottest")[-1:]
    if hottest and isinstance(hottest[0], float):
        return hottest[0] > open_from
    return job.value("car.drive") == "no_high_voltage"


def _low(job: Job) -> bool:
    """It stood below the lower mark when it came, or nobody looked before it was filled."""
    found = job.value("cold.level")
    if isinstance(found, float):
        low = found < 0.0
    else:
        low = "to_neck" in rounds.every(job, "hold.level") or any(_at(job, f) >= 0 for f in _FILLS)
    ends = (each.event.typed for each in job.log if each.event.field == "level.end")
    return low or "below_mark" in ends


def _at(job: Job, name: str) -> float:
    """The number of a field's last answer; -1 where it has none."""
    touch = job.touches.get(name)
    return touch.number if touch is not None and rounds.every(job, name) else -1
