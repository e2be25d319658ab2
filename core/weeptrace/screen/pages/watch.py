"""The level watch: a cold level now, another in a week, booked with the owner."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the level watch."""
    say = show.say
    body = [
        parts.title(say(f"step.{step.id}.title")),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        *rows(show, job, ("watch.level", "watch.area")),
    ]
    booked = {"event": parts.event("watch.booked", "fact", "booked")}
    refused = {"event": parts.event("watch.booked", "fact", "not_booked")}
    keys = [
        parts.key(say("screen.calendar"), {"call": "calendar"}, "export"),
        parts.key(say("choice.watch.booked.not_booked"), refused),
    ]
    main = parts.key(say("choice.watch.booked.booked"), booked, "tick")
    return body, {"caution": None, "keys": keys, "main": main}


def rows(show: Show, job: Job, names: tuple[str, ...]) -> list[Json]:
    """One row a figure: what is known of it, and a pad that types it anew."""
    made = []
    for name in names:
        field = show.rules.fields[name]
        fact = job.facts.get(name)
        known = fact is not None and fact.value is not None
        words = show.fact(field, fact) if fact is not None else show.unmeasured()
        again = fact.event.id if fact is not None else None
        do = {"pad": parts.pad(show, job, field, supersedes=again)}
        shape = "done" if known else "not_measured"
        made.append(parts.state(shape, show.say(f"field.{name}"), [], words, True, do))
    return made
