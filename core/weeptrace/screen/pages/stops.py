"""A page that stops the work: what to do now stands first, then how to go on."""

from __future__ import annotations

from weeptrace.job.danger import EVENING, HAPPENED, LOOKED, Over
from weeptrace.job.events import Moment
from weeptrace.job.holds import LET_OFF
from weeptrace.job.procedure import gate_state, parts_out
from weeptrace.job.standing import standing
from weeptrace.job.state import Fact, Job
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import gate
from weeptrace.screen.parts import Json


def stopped(show: Show, job: Job, now: Moment) -> tuple[list[Json], Json]:
    """The job was stopped: how the car stands, and what makes it safe to leave; then go on."""
    assert job.stopped is not None
    text = show.rules.text
    body = [
        parts.title(text("screen.stopped")),
        parts.state("stop", f"Stop, because {job.stopped.typed}"),
        parts.heading(text("stopped.stands")),
        *(_stands(show, job, name) for name in standing(show.rules, job, now)),
        parts.state(None, text("stopped.tag"), [text("stopped.tag_then")]),
        parts.prompt(text("stopped.refer")),
    ]
    undo = parts.event(job.stopped.field, "undo", supersedes=job.stopped.id)
    return body, {
        "caution": None,
        "keys": [parts.key(text("screen.record_so_far"), {"look": "record"}, "print")],
        "main": parts.key(text("stopped.go_on"), {"event": undo}, "undo"),
    }


def _stands(show: Show, job: Job, name: str) -> Json:
    """One thing that is on, out, off or open, and what is done about it."""
    text = show.rules.text
    out = [text(f"field.{part.id}") for part in parts_out(show.rules, job)]
    names = [", ".join(out)] if name == "parts_off" else []
    return parts.state("stop", text(f"stopped.{name}"), [*names, text(f"stopped.{name}_then")],
                       framed=True)  # fmt: skip


def too_hot(show: Show, job: Job, hot: Fact, now: Moment) -> tuple[list[Json], Json]:
    """The engine is too hot: stop it; behind the cool-down gate say what happened."""
    text, rules = show.rules.text, show.rules
    assert isinstance(hot.value, float)
    cold = rules.gates["cold"]
    body = [
        parts.title(text("stop_hot.title"), show.figure(hot.value, "temperature")),
        parts.state(
            "stop",
            text("stop_hot.now"),
            [text(f"stop_hot.{line}") for line in ("move", "shut", "water")],
            framed=True,
        ),
    ]
    if gate_state(rules, job, cold, now).open is not True:
        rows, foot = gate.blocks(show, job, cold, now)
        return [*body, parts.heading(text("stop_hot.then")), *rows[1:]], foot
    keys = [parts.stop_key(rules, "cold")]
    return [*body, parts.prompt(text("stop_hot.ask")), parts.words(rules, HAPPENED)], {
        "caution": parts.hazard(show.rules, "hot_coolant"),
        "keys": keys,
        "main": None,
    }


def above_rating(show: Show, job: Job, over: Over) -> tuple[list[Json], Json]:
    """The needle is above its rating: let off now; where it was far above, say what it did."""
    text, rules = show.rules.text, show.rules
    assert isinstance(over.highest.value, float)
    event = over.highest.event
    highest = show.figure(over.highest.value, "pressure")
    allowed = show.limit(over.allowed, "pressure")
    caution = parts.hazard(rules, "letting_off")
    slip = {"event": parts.event(event.field, "undo", supersedes=event.id)}
    keys = [parts.key(text("over.slip"), slip, "undo"), parts.stop_key(rules, "job")]
    foot: Json = {"caution": caution, "keys": keys, "main": None}
    if over.on:
        pad = parts.pad(show, job, rules.fields[LET_OFF])
        foot["main"] = parts.key(text("over.main"), {"read": pad}, sub=text("over.type"))
        body = [
            parts.title(text("over.evening" if event.field == EVENING else "over.title"), highest),
            parts.state(
                "stop", f"{text('over.now')} {allowed}", [text("over.slowly"), text("over.why")],
                framed=True,
            ),
        ]  # fmt: skip
        return body, foot
    body = [
        parts.title(text("over.was"), highest),
        parts.state("stop", text("over.look"), [f"{text('over.rating')} {allowed}"], framed=True),
        parts.prompt(text("over.ask")),
        parts.words(rules, LOOKED),
    ]
    return body, foot


def hot_beforehand(show: Show) -> Json:
    """The condition that stops a run, before anybody meets it, in the reader's unit."""
    limit = show.limit(show.rules.limits["warmup.highest_coolant"], "temperature")
    words = show.rules.text("stop_hot.beforehand")
    return parts.state("stop", f"{words} {limit}", [show.rules.text("stop_hot.also")])
