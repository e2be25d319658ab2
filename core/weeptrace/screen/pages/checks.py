"""A page of things to tick, each a question of its own; none is ticked beforehand."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, clock
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of a checklist; the main key ticks the next open row."""
    rules = show.rules
    rows = []
    left: list[str] = []
    for name in step.checks:
        fact = job.facts.get(name)
        ticked = fact is not None and fact.value is not None
        if not ticked:
            left.append(name)
        do = {"event": parts.event(name, "done")}
        if fact is not None and ticked:
            do = {"event": parts.event(name, "undo", supersedes=fact.event.id)}
        rows.append(
            {
                "shape": "done" if ticked else "to_do",
                "label": rules.text(f"field.{name}"),
                "figure": clock(fact.event.at) if fact and ticked else "",
                "do": do,
            }
        )
    count = show.say("answer.count", done=len(step.checks) - len(left), all=len(step.checks))
    body = [
        parts.title(rules.text(f"step.{step.id}.title"), count),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        {"block": "checklist", "rows": rows},
    ]
    main = None
    if left:
        label = rules.text(f"field.{left[0]}")
        main = parts.key(label, {"event": parts.event(left[0], "done")}, "tick")
    keys = [parts.stop_key(rules, step.gates[-1])] if step.gates else []
    return body, {"caution": step_caution(show, step), "keys": keys, "main": main}
