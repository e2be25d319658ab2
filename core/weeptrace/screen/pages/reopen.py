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
    text = show.rules.text
    rows = [
        parts.state("stop", text(f"field.{name}"), [], show.fact(show.rules.fields[name], fact))
        for name in ("after.old_place", "after.other", "road.look")
        if (fact := job.facts.get(name)) is not None and fact.value in ("wet", "found")
    ]
    keeps = [text("screen.reopen_keeps")]
    body = [
        parts.title(text(f"step.{step.id}.title")),
        parts.state("stop", text("screen.reopen_stop"), keeps, framed=True),
        *rows,
    ]
    left = {"reason": parts.event("work.left_leaking", "fact")}
    again = {"event": parts.event(MARK, "mark")}
    keys = [parts.key(text("field.work.left_leaking"), left)]
    main = parts.key(text(f"step.{step.id}.main"), again, "drop")
    return body, {"caution": None, "keys": keys, "main": main}
