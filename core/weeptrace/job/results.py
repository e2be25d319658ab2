"""What a job works out of several entries, by the names of the rules' results.

Each says what it found as words, places or figures of SI; nothing where it was not looked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from statistics import median
from typing import Final

from weeptrace.causes import Figure
from weeptrace.hold.data import Assessment
from weeptrace.job import holds, overnight, rounds, warm
from weeptrace.job.state import Job, Series, changed
from weeptrace.rules import Rules
from weeptrace.warmup.data import Assessment as Warmth

Value = str | Figure
_KNOWN: Final = ("no_leak_found", "tight")
_FAN: Final = {"cycled": "runs", "on_only": "runs", "off_only": "runs", "always_on": "runs"}


def results(rules: Rules, job: Job) -> dict[str, list[Value]]:
    """By result, all that it found."""
    cold = _hold(rules, job, _cold(job))
    told = None if cold is None else _owner(job)
    found: dict[str, list[Value]] = {
        **_held(cold),
        "cold_hold.sees": _sees(cold, told),
        "cold_hold.exponent": _exponent(cold),
        **_tests(rules, job, cold),
        "night.needle": _night(rules, job),
        "cap.opens": _cap(job),
        **_looks(rules, job),
        **_warm(rules, job),
        "watch.trend": _level(rules, job),
    }
    return {name: values for name, values in found.items() if values}


def _hold(rules: Rules, job: Job, series: Series | None) -> Assessment | None:
    return None if series is None else holds.assess(rules, job, series)


def _cold(job: Job) -> Series | None:
    """The last cold hold; where the job was opened again, the one after the repair counts too."""
    taken = job.all_series(holds.PRESSURE)
    if job.answered("work.reopened"):
        taken += [each for each in job.all_series(holds.AFTER) if each.facts is not None]
    begun = [(start, each) for each in taken if (start := each.start()) is not None]
    return max(begun, key=lambda pair: pair[0].wall)[1] if begun else None


def _owner(job: Job) -> float | None:
    rate = job.value("owner.rate")
    return rate if isinstance(rate, float) else None


def _shape(found: Assessment | None) -> str | None:
    """How a hold went, in a word of the results; None where it is not judged."""
    if found is None or found.verdict == "not_judged":
        return None
    if found.verdict == "gross":
        return "fast"
    return "holds" if found.verdict in (*_KNOWN, "too_weak") else "slow"


def _held(found: Assessment | None) -> dict[str, list[Value]]:
    """The shape of the cold hold, or its leak as a figure with its interval."""
    shape = _shape(found)
    if found is None or shape is None:
        return {}
    flow = found.leak_flow
    if shape == "slow" and flow is not None:
        return {"cold_hold.flow": [Figure(flow.value, flow.low, flow.high)]}
    settled = shape == "holds" and found.explanations.get("settling", 0.0) > 0.5
    return {"cold_hold.shape": ["settles" if settled else shape]}


def _sees(found: Assessment | None, rate: float | None) -> list[Value]:
    if found is not None and found.verdict == "too_weak":
        return ["too_weak"]
    seen = found is not None and found.verdict in _KNOWN and rate is not None
    return ["the_complaint"] if seen else []


def _exponent(found: Assessment | None) -> list[Value]:
    exponent = None if found is None else found.exponent
    return [] if exponent is None or exponent.assumed else [Figure(exponent.value)]


def _tests(rules: Rules, job: Job, cold: Assessment | None) -> dict[str, list[Value]]:
    """The test holds, by what was tested: warm, or with the heater shut off."""
    made: dict[str, list[Value]] = {}
    for series in job.all_series(holds.TEST):
        facts = job.facts if series.facts is None else series.facts
        kind = facts["test.kind"].value if "test.kind" in facts else None
        found = holds.assess(rules, job, series)
        shape = _shape(found)
        if kind == "warm_hold" and shape is not None:
            made["warm_hold.shape"] = [shape]
        elif kind == "heater_isolation" and cold is not None:
            made["heater_shut.loss"] = _isolated(cold, found)
    return made


def _isolated(cold: Assessment, shut: Assessment) -> list[Value]:
    """Whether the leak of the whole system is gone with the heater shut off."""
    if _shape(cold) not in ("slow", "fast"):
        return []
    if shut.verdict in _KNOWN:
        return ["stops"]
    return ["continues"] if _shape(shut) in ("slow", "fast") else []


def _night(rules: Rules, job: Job) -> list[Value]:
    night = overnight.night(rules, _answered_last(job, overnight.MORNING))
    if night is None or night.sign is None:
        return []
    return ["falls" if night.sign == "below" else "holds"]


def _cap(job: Job) -> list[Value]:
    """The middle of the cap's opening pressures as a share of its rating."""
    rating = job.value("car.cap_rating")
    read = [job.value(f"cap.opening_{number}") for number in (1, 2, 3)]
    opened = [each for each in read if isinstance(each, float)]
    return [Figure(median(opened) / rating)] if isinstance(rating, float) and opened else []


def _looks(rules: Rules, job: Job) -> dict[str, list[Value]]:
    """Where it was wet, by how it was looked at; "none" where all of it was dry."""
    zones = {id: field.place for id, field in rules.fields.items() if field.place}
    wet: list[Value] = [place for id, place in zones.items() if job.value(id) == "wet"]
    if not wet and zones and all(job.value(id) == "dry" for id in zones):
        wet = ["none"]
    pressed = bool(job.all_series(holds.PRESSURE))
    place = zones.get(f"zone.{job.value('finding.place')}")
    again = job.value("finding.wet_again") == "wet"
    made: dict[str, list[Value]] = {"look.under_pressure" if pressed else "look.as_found": wet}
    if place is None:
        return made
    if again:
        made["look.again"] = [place]
    kind = _last(job, "test.kind") if _last(job, "test.result") == "found" else None
    if kind == "dye":
        made["look.dye"] = [place]
    if kind == "run_watch" or (again and job.value("finding.watch") == "running"):
        made["look.running"] = [place]
    return made


def _answered_last(job: Job, name: str) -> Job:
    """The job with what was answered beside a field's last answer, if begun anew since."""
    if name in job.facts:
        return job
    facts = next((facts for facts in reversed(job.cleared) if name in facts), None)
    return job if facts is None else changed(job, facts=job.facts.update(facts))


def _read_last(job: Job, *names: str) -> Job:
    """The job with the last series of some fields, where they were put away since."""
    last = {name: job.all_series(name)[-1:] for name in names}
    series = {name: each for name, found in last.items() for each in found}
    return changed(job, series=job.series.update(series))


def _last(job: Job, name: str) -> float | str | None:
    """A field's last answer, of a test that was begun anew too."""
    told = rounds.every(job, name)
    return told[-1] if told else None


def _warm(rules: Rules, job: Job) -> dict[str, list[Value]]:
    """The last warm-up: how hot it got, and what it says of each part."""
    job = _read_last(job, warm.COOLANT, warm.VENT)
    found = warm.assess(rules, job)
    hottest = warm.hottest(job)
    made: dict[str, list[Value]] = {}
    if hottest is not None and hottest > rules.limits["warmup.highest_coolant"]:
        made["warm.heat"] = ["too_hot"]
    elif found is not None and found.thermostat.signature == "opens":
        made["warm.heat"] = ["normal"]
    return made if found is None else {**made, **_parts(found, bool(made.get("warm.heat")))}


def _parts(found: Warmth, judged: bool) -> dict[str, list[Value]]:
    made: dict[str, list[Value]] = {}
    stat = found.thermostat
    if stat.signature in _STAT:
        made["warm.thermostat"] = [_STAT[stat.signature]]
    if found.fan.signature in _FAN:
        made["warm.fan"] = [_FAN[found.fan.signature]]
    elif found.fan.signature == "not_seen" and judged:
        made["warm.fan"] = ["never"]
    if found.heater.heat != "not_measured":
        falls = found.heater.falling == "yes" and found.heater.heat == "good"
        made["warm.heater"] = ["falls" if falls else found.heater.heat]
    return made


_STAT: Final[Mapping[str, str]] = {
    "opens": "opens", "stuck_open": "stuck_open", "closed_or_no_flow": "stays_closed",
}  # fmt: skip


def _level(rules: Rules, job: Job) -> list[Value]:
    """Whether the level of a watch fell by more than two looks at it may differ."""
    now, later = _last(job, "test.level_now"), _last(job, "test.level_later")
    if not isinstance(now, float) or not isinstance(later, float):
        return []
    return ["falls" if now - later > 2.0**0.5 * rules.limits["level.reading"] else "stands"]
