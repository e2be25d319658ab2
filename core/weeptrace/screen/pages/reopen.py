"""It still leaks after the work: back to the place, with nothing lost, or left with a reason."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json

MARK = "work.reopened"


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot: the main key begins the search anew."""
    say = show.say
    rows = [
        parts.state("stop", say(f"field.{name}"), [], show.fact(show.rules.fields[name], fact))
        for name in ("after.old_place", "after.other", "road.look")
        if (fact := job.facts.get(name)) is not None and fact.value in ("wet", "found")
    ]
    keeps = [say("screen.reopen_keeps")]
    body = [
        parts.title(say(f"step.{step.id}.title")),
        parts.state("stop", say("screen.reopen_stop"), keeps, framed=True),
        *rows,
    ]
    left = {"reason": parts.event("work.left_leaking", "fact")}
    again = {"event": parts.event(MARK, "mark")}
    keys = [parts.key(say("field.work.left_leaking"), left)]
    main = parts.key(say(f"step.{step.id}.main"), again, "drop")
    return body, {"caution": None, "keys": keys, "main": main}
