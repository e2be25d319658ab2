"""The warm-up as it runs: coolant and vent temperatures, fan on and off; then what it shows."""

from __future__ import annotations

from weeptrace.hold.looks import on_pace
from weeptrace.job import warm
from weeptrace.job.danger import HAPPENED, LOW
from weeptrace.job.state import Fact, Job
from weeptrace.quantity import from_si
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, as_typed, minutes
from weeptrace.screen.pages import stops
from weeptrace.screen.pages.recorder import axis, minutes_axis, moment
from weeptrace.screen.pages.step import level_key, step_caution
from weeptrace.screen.parts import Json
from weeptrace.told import Figure, signed


def log_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the running log."""
    rules, say = show.rules, show.say
    times = job.present(warm.COOLANT).times()
    vents = job.present(warm.VENT).times()
    interval = rules.limits["recorder.interval"]
    last = times[-1] if times else None
    due = on_pace(last[0], interval) if last else None
    body = [
        parts.title(say(f"step.{step.id}.title"), say("warm_log.count", done=len(times))),
        *([] if times else [parts.prompt(show.say(f"step.{step.id}.prompt"))]),
        stops.hot_beforehand(show),
        {
            "block": "recorder",
            "last": None
            if last is None
            else {
                "value": signed(last[1].event.typed),
                "unit": last[1].event.unit or "",
                "label": say("warm_log.last", time=minutes(last[0])),
            },
            "fall": None,
            "start": moment(times) if times else None,
            "due": due,
            "interval": interval,
            "due_label": say("warm_log.first")
            if due is None
            else say("recorder.next", time=minutes(due)),
            "call": say("warm_log.call", car=str(job.value("car.name") or say("screen.a_car"))),
            "plot": _plot(show, job) if len(times) >= 2 else None,
        },
        *_seen(show, job),
    ]
    if vents:
        body.append(parts.state("done", say("field.warm.vent"), [], _last_vent(vents)))
    vent = {"read": parts.pad(show, job, rules.fields[warm.VENT])}
    marks = [mark.field for mark in job.present(warm.COOLANT).marks]
    fan = "off" if marks[-1:] == ["warm.fan_on"] else "on"
    keys = [
        parts.key(say("warm_log.key.vent"), vent, "temperature"),
        parts.key(say(f"field.warm.fan_{fan}"), {"event": parts.event(f"warm.fan_{fan}", "mark")}),
        parts.key(say("recorder.key.ended"), {"event": parts.event("warm.ended", "mark")}, "stop"),
    ]
    read = {"read": parts.pad(show, job, rules.fields[warm.COOLANT])}
    main = parts.key(say("recorder.key.read"), read, sub=say("warm_log.read_then"))
    caution = step_caution(show, step)
    return body, {"caution": caution, "keys": [*(keys if times else []), *level_key(rules, step)],
            "main": main}  # fmt: skip


def result_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of what the warm-up shows."""
    say = show.say
    body = [parts.title(say(f"step.{step.id}.title")), *_findings(show, job)]
    ended = job.facts.get("warm.ended")
    keys = [parts.key(say("shared.key.readings"), {"look": "so_far"}, "undo")]
    if ended is not None:
        undo = {"event": parts.event("warm.ended", "undo", supersedes=ended.event.id)}
        keys.insert(0, parts.key(say("warm_log.key.longer"), undo, "clock"))
    main = parts.key(say(f"step.{step.id}.main"), {"event": parts.event("warm.seen", "done")})
    return body, {"caution": None, "keys": keys, "main": main}


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The warm-up's rows of the record."""
    told = tuple(
        (show.say(f"field.{name}"), job.facts[name].event.typed)
        for name in (HAPPENED, LOW)
        if name in job.facts
    )
    return told + tuple(
        (row["word"], " ".join([row["figure"], *row["lines"]]).strip())
        for row in _findings(show, job)
    )


def _stop(show: Show, hottest: float | None, code: str) -> Json:
    """Why to stop the engine, in the reader's units."""
    say = show.say
    if code != "too_hot" or hottest is None:
        return parts.state("stop", say(f"warm.stop_{code}"), [], "", True)
    limit = Figure(show.rules.limits["warmup.highest_coolant"], "temperature")
    words = say("warm.too_hot", hottest=Figure(hottest, "temperature"), limit=limit)
    return parts.state("stop", words, [say("stop_hot.now")], "", True)


def _last_vent(vents: list[tuple[float, Fact]]) -> str:
    event = vents[-1][1].event
    return as_typed(event.typed, event.unit)


def _seen(show: Show, job: Job) -> list[Json]:
    """Whether the fan was seen to go on, and off again."""
    say = show.say
    return [
        parts.state(
            "done" if job.answered(f"warm.fan_{word}") else "not_measured",
            say(f"field.warm.fan_{word}"),
            [],
            say("warm_log.seen" if job.answered(f"warm.fan_{word}") else "warm_log.not_seen"),
        )
        for word in ("on", "off")
    ]


def _plot(show: Show, job: Job) -> Json:
    unit = show.unit("temperature")
    times = job.present(warm.COOLANT).times()
    values = [(t / 60.0, f.value) for t, f in times if isinstance(f.value, float)]
    read = [(minute, from_si(value, unit)) for minute, value in values]
    shown = [value for _, value in read]
    first, last = (Figure(value, "temperature") for _, value in (values[0], values[-1]))
    return {
        "block": "plot",
        "x": minutes_axis(times[-1][0] / 60.0 + 2.0),
        "y": {**axis(min(shown), max(shown)), "unit": unit},
        "points": [{"x": x, "y": y, "kind": "read"} for x, y in read],
        "fit": [],
        "now": times[-1][0] / 60.0,
        "limit": None,
        "marks": [],
        "next": None,
        "words": show.say("warm_log.plot"),
        "sentence": show.say("warm_log.spoken", first=first, last=last),
    }


def _findings(show: Show, job: Job) -> list[Json]:
    """Thermostat, heater, air, fan: proved, not proved, or not measured; and why to stop."""
    say = show.say
    hottest = warm.hottest(job)
    figure = show.unmeasured() if hottest is None else show.figure(hottest, "temperature")
    rows = [parts.state(None, say("warm.hottest"), [], figure, True)]
    found = warm.assess(show.rules, job)
    if found is None:
        lines = [say("warm.needs_air")]
        return [*rows, parts.state("not_measured", say("warm.not_judged"), lines, "", True)]
    rows = [*(_stop(show, hottest, stop.reason.code) for stop in found.stop), *rows]
    words = {"opens": "done", "stuck_open": "stop", "closed_or_no_flow": "stop"}
    sign = found.thermostat.signature
    where = found.thermostat.temperature
    figure = "" if where is None else show.figure(where.value, "temperature")
    rows.append(
        parts.state(words.get(sign, "not_measured"), say("warm.thermostat"),
                    [say(f"warm.thermostat_{sign}")], figure, True)
    )  # fmt: skip
    heat = found.heater
    figure = "" if heat.effectiveness is None else f"{heat.effectiveness.value:.2f}"
    shape = {"good": "done", "weak": "stop"}.get(heat.heat, "not_measured")
    lines = [say(f"warm.heater_{heat.heat}")]
    if found.air_sign == "yes":
        lines.append(say("warm.air_sign"))
    rows.append(parts.state(shape, say("warm.heater"), lines, figure, True))
    fan = found.fan.signature
    shape = "done" if fan == "cycled" else "not_measured"
    rows.append(parts.state(shape, say("warm.fan"), [say(f"warm.fan_{fan}")], "", True))
    return rows
