"""A page that stops the work: what to do now stands first, then how to go on."""

from __future__ import annotations

from weeptrace.job.car.parts import parts_out
from weeptrace.job.danger import EVENING, HAPPENED, LOOKED, LOW, Over
from weeptrace.job.events import Moment
from weeptrace.job.holds import LET_OFF
from weeptrace.job.procedure import gate_state
from weeptrace.job.standing import standing
from weeptrace.job.state import Fact, Job
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import gate
from weeptrace.screen.parts import Json
from weeptrace.told import Figure


def stopped(show: Show, job: Job, now: Moment) -> tuple[list[Json], Json]:
    """The job was stopped: how the car stands, and what makes it safe to leave; then go on."""
    assert job.stopped is not None
    say = show.say
    body = [
        parts.title(say("screen.stopped")),
        parts.state("stop", say("stop.because", reason=job.stopped.typed)),
        parts.heading(say("stopped.stands")),
        *(_stands(show, job, name) for name in standing(show.rules, job, now)),
        parts.state(None, say("stopped.tag"), [say("stopped.tag_then")]),
        parts.prompt(say("stopped.refer")),
    ]
    undo = parts.event(job.stopped.field, "undo", supersedes=job.stopped.id)
    return body, {
        "caution": None,
        "keys": [parts.key(say("screen.record_so_far"), {"look": "record"}, "print")],
        "main": parts.key(say("stopped.go_on"), {"event": undo}, "undo"),
    }


def _stands(show: Show, job: Job, name: str) -> Json:
    """One thing that is on, out, off or open, and what is done about it."""
    say = show.say
    out = [say(f"field.{part.id}") for part in parts_out(show.rules, job)]
    names = ["; ".join(out)] if name == "parts_off" else []
    return parts.state("stop", say(f"stopped.{name}"), [*names, say(f"stopped.{name}_then")],
                       framed=True)  # fmt: skip


def too_hot(show: Show, job: Job, hot: Fact, now: Moment) -> tuple[list[Json], Json]:
    """The engine is too hot: stop it; behind the cool-down gate say what happened."""
    say = show.say
    assert isinstance(hot.value, float)
    body = [
        parts.title(say("stop_hot.title"), show.figure(hot.value, "temperature")),
        parts.state(
            "stop",
            say("stop_hot.now"),
            [say("stop_hot.move"), say("stop_hot.shut"), say("stop_hot.water")],
            framed=True,
        ),
    ]
    return _once_cold(show, job, now, body, say("stop_hot.ask"), HAPPENED)


def level_falls(show: Show, job: Job, now: Moment) -> tuple[list[Json], Json]:
    """The level falls while the engine runs: stop it; once it is cold say where it went."""
    say = show.say
    body = [
        parts.title(say("stop_low.title")),
        parts.state(
            "stop", say("stop_hot.now"), [say("stop_low.ground"), say("stop_low.shut")],
            framed=True,
        ),
    ]  # fmt: skip
    return _once_cold(show, job, now, body, say("stop_low.ask"), LOW)


def _once_cold(
    show: Show, job: Job, now: Moment, body: list[Json], ask: str, field: str
) -> tuple[list[Json], Json]:
    """A page that stopped an engine: behind the cool-down gate what happened is asked."""
    say, rules = show.say, show.rules
    cold = rules.gates["cold"]
    if gate_state(rules, job, cold, now).open is not True:
        rows, foot = gate.blocks(show, job, cold, now)
        return [*body, parts.heading(say("stop_hot.then")), *rows[1:]], foot
    return [*body, parts.prompt(ask), parts.words(show, field)], {
        "caution": parts.hazard(rules, "hot_coolant"),
        "keys": [parts.stop_key(rules, "cold")],
        "main": None,
    }


def above_rating(show: Show, job: Job, over: Over) -> tuple[list[Json], Json]:
    """The needle is above its rating: let off now; where it was far above, say what it did."""
    say, rules = show.say, show.rules
    assert isinstance(over.highest.value, float)
    event = over.highest.event
    highest = show.figure(over.highest.value, "pressure")
    allowed = Figure(over.allowed, "pressure")
    caution = parts.hazard(rules, "letting_off")
    slip = {"event": parts.event(event.field, "undo", supersedes=event.id)}
    keys = [parts.key(say("over.slip"), slip, "undo"), parts.stop_key(rules, "job")]
    foot: Json = {"caution": caution, "keys": keys, "main": None}
    if over.on:
        pad = parts.pad(show, job, rules.fields[LET_OFF])
        foot["main"] = parts.key(say("over.main"), {"read": pad}, sub=say("over.type"))
        body = [
            parts.title(say("over.evening" if event.field == EVENING else "over.title"), highest),
            parts.state(
                "stop", say("over.now", allowed=allowed), [say("over.slowly"), say("over.why")],
                framed=True,
            ),
        ]  # fmt: skip
        return body, foot
    body = [
        parts.title(say("over.was"), highest),
        parts.state("stop", say("over.look"), [say("over.rating", allowed=allowed)], framed=True),
        parts.prompt(say("over.ask")),
        parts.words(show, LOOKED),
    ]
    return body, foot


def hot_beforehand(show: Show) -> Json:
    """The condition that stops a run, before anybody meets it, in the reader's unit."""
    limit = Figure(show.rules.limits["warmup.highest_coolant"], "temperature")
    words = show.say("stop_hot.beforehand", limit=limit)
    return parts.state("stop", words, [show.say("stop_hot.also")])
