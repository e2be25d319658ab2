"""The hold as it runs: the last needle, the fall so far, the fit, the next reading."""

from __future__ import annotations

import math
from typing import Any

from weeptrace.hold.data import Assessment
from weeptrace.hold.judge import LEAKS
from weeptrace.hold.looks import on_pace
from weeptrace.job import holds
from weeptrace.job.state import Fact, Job, Series
from weeptrace.quantity import from_si
from weeptrace.rules import Step
from weeptrace.screen import parts, weighed
from weeptrace.screen.figures import Show, minutes
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json
from weeptrace.told import Figure, signed

# The marks of a running hold, each with its sign.
KEYS = (("pumped", "pump"), ("disturbed", "bump"), ("missed", "clock"), ("ended", "stop"))
_SHOWN = ("pumped", "disturbed", "missed")  # in the plot


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of a running hold."""
    rules, say = show.rules, show.say
    assert step.reads is not None
    field = rules.fields[step.reads]
    series = job.present(step.reads)
    times = series.times()
    planned = rules.limits["recorder.planned"]
    found = holds.assess(rules, job, series) if times else None
    last = times[-1][0] if times else 0.0
    body = [
        parts.title(
            say(f"step.{step.id}.title"),
            say("recorder.minutes", done=f"{last / 60.0:.0f}", all=f"{planned / 60.0:.0f}"),
        ),
        *([] if times else [parts.prompt(show.say(f"step.{step.id}.prompt"))]),
        _recorder(show, job, series, found),
        *_words(show, job, series, found, last, planned),
    ]
    kin = step.reads.partition(".")[0]
    keys = [
        parts.key(
            say(f"recorder.key.{mark}"), {"event": parts.event(f"{kin}.{mark}", "mark")}, icon
        )
        for mark, icon in KEYS
        if f"{kin}.{mark}" in rules.fields
    ]
    main = parts.key(
        say("recorder.key.read"),
        {"read": parts.pad(show, job, field)},
        sub=say("recorder.read_then"),
    )
    caution = step_caution(show, step)
    return body, {"caution": caution, "keys": keys if times else [], "main": main}


def _words(
    show: Show, job: Job, series: Series, found: Assessment | None, last: float, planned: float
) -> list[Json]:
    if found is None:
        return []
    rows, say = [], show.say
    if found.verdict in LEAKS:
        then = [say("recorder.leak_then")]
        rows.append(parts.state("done", say("recorder.leak_shows"), then))
    elif last >= planned:
        then = [say("recorder.planned_then")]
        rows.append(parts.state("done", say("recorder.planned"), then))
    return [*rows, *_so_far(show, found), *weighed.apart(show, job, series, found)]


def _so_far(show: Show, found: Assessment) -> list[Json]:
    """What the readings speak for so far, and how long until they say more."""
    more = weighed.more(show, found)
    if more is None and found.verdict == "too_weak":
        more = show.say("weighed.no_time")
    lines = [] if more is None else [more]
    if found.verdict in ("no_leak_found", "tight") and found.not_larger_than is not None:
        loss = Figure(found.not_larger_than, "loss_per_distance")
        lines.insert(0, show.say("recorder.none_above", loss=loss))
    answer = weighed.answer(show, found)
    if not answer:
        return []
    return [parts.state("waits", show.say("recorder.so_far", answer=answer), lines)]


def _recorder(
    show: Show,
    job: Job,
    series: Series,
    found: Assessment | None,
) -> Json:
    times = series.times()
    start = series.start()
    last_time = times[-1][0] if times else 0.0
    pace = found.next_reading if found is not None else None
    interval = show.rules.limits["recorder.interval"] if pace is None else pace
    due = on_pace(last_time, interval) if times else None
    name = str(job.value("car.name") or show.say("screen.a_car"))
    return {
        "block": "recorder",
        "last": _last(show, times),
        "fall": _fall(show, found, last_time),
        "start": None if start is None else moment(times),
        "due": due,
        "interval": interval,
        "due_label": show.say("recorder.first")
        if due is None
        else show.say("recorder.next", time=minutes(due)),
        "call": show.say("recorder.call", car=name),
        "plot": plot(show, series, found, due) if len(times) >= 2 else None,
    }


def moment(times: list[tuple[float, Fact]]) -> Json:
    """The moment of the first reading, as the shell counts from it."""
    first = times[0][1].event
    return {"at": first.at, "mono": first.moment.mono * 1000.0, "boot": first.moment.boot}


def _last(show: Show, times: list[tuple[float, Fact]]) -> Json | None:
    if not times:
        return None
    time, fact = times[-1]
    return {
        "value": signed(fact.event.typed),
        "unit": fact.event.unit or "",
        "label": show.say("recorder.last", time=minutes(time)),
    }


def _fall(show: Show, found: Assessment | None, last_time: float) -> Json | None:
    """The running slope, once it no longer jumps with each reading."""
    if (
        found is None
        or found.fall is None
        or last_time < show.rules.limits["recorder.fall_shown_from"]
    ):
        return None
    low, high = Figure(found.fall.low, "pressure_rate"), Figure(found.fall.high, "pressure_rate")
    return {
        "label": show.say("recorder.fall"),
        "value": show.number(found.fall.value, "pressure_rate"),
        "unit": show.unit("pressure_rate"),
        "interval": show.say("recorder.between", low=low, high=high),
    }


def plot(show: Show, series: Series, found: Assessment | None, due: float | None) -> Json:
    """Readings, fit and band against minutes, with the line of a leak at the class limit."""
    unit = show.unit("pressure")
    times = series.times()
    start = series.start()
    planned = show.rules.limits["recorder.planned"]
    end = max(planned, times[-1][0], due or 0.0) / 60.0
    suspects = set(found.suspect_readings) if found is not None else set()
    needles = [
        (time / 60.0, from_si(fact.value, unit), "suspect" if index in suspects else "read")
        for index, (time, fact) in enumerate(times)
        if isinstance(fact.value, float)
    ]
    curve = found.curve if found is not None else ()
    fit = [[p.time / 60.0, *(from_si(v, unit) for v in (p.pressure, p.low, p.high))] for p in curve]
    limit = [[p.time / 60.0, from_si(p.limit, unit)] for p in curve if p.limit is not None]
    seeping = Figure(show.rules.limits["hold.seeping"], "loss_per_distance")
    shown = [needle[1] for needle in needles] + [row[1] for row in fit]
    return {
        "block": "plot",
        "x": minutes_axis(end),
        "y": {**axis(min(shown), max(shown)), "unit": unit},
        "points": [{"x": x, "y": y, "kind": kind} for x, y, kind in needles],
        "fit": fit,
        "now": times[-1][0] / 60.0,
        "limit": {"line": limit, "words": show.say("plot.limit", loss=seeping)} if limit else None,
        "marks": [
            {"x": mark.moment.since(start) / 60.0, "words": show.say(f"plot.mark.{word}")}
            for mark in series.marks
            if start is not None and (word := mark.field.partition(".")[2]) in _SHOWN
        ],
        "next": None if due is None else due / 60.0,
        "words": show.say("plot.fit") if fit else "",
        "sentence": _sentence(show, times, found),
    }


def minutes_axis(end: float) -> Json:
    """A time axis from 0 to ``end``, min, with two to seven labels."""
    high = max(1.0, math.ceil(end))
    each = next(step for step in (1, 2, 5, 10, 20, 60, 1e6) if high / step <= 6)
    labels = [float(n * each) for n in range(int(high // each) + 1)]
    return {"low": 0.0, "high": high, "labels": labels, "minor": each / 5 if each >= 5 else 1.0,
            "unit": "min"}  # fmt: skip


def axis(low: float, high: float) -> dict[str, Any]:
    """Three to five labelled values that hold all that is shown, on steps of 1, 2 or 5."""
    span = max(high - low, 1e-9 + 0.02 * abs(high))
    step = 10.0 ** math.floor(math.log10(span / 2))
    each = next(step * m for m in (1, 2, 5, 10) if span / (step * m) <= 3.2)
    bottom, top = math.floor(low / each) * each, math.ceil(high / each) * each
    if top - high < 0.1 * each:
        top += each / 2
    if low - bottom < 0.1 * each and bottom > 0:
        bottom -= each / 2
    first = math.ceil(bottom / each - 1e-9)
    labels = [round(n * each, 9) for n in range(first, math.floor(top / each + 1e-9) + 1)]
    return {"low": bottom, "high": top, "labels": labels}


def _sentence(show: Show, times: list[tuple[float, Fact]], found: Assessment | None) -> str:
    values = [fact.value for _, fact in times if isinstance(fact.value, float)]
    count, time = len(values), minutes(times[-1][0])
    first, last = Figure(values[0], "pressure"), Figure(values[-1], "pressure")
    if found is None or found.fall is None:
        return show.say("plot.spoken.read", count=count, time=time, first=first, last=last)
    fall = Figure(found.fall.value, "pressure_rate")
    return show.say(
        "plot.spoken.falling", count=count, time=time, first=first, last=last, fall=fall
    )
