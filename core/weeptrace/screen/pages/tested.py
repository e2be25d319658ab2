"""After a test: what it showed, of what such a test can show, and how the causes stand."""

from __future__ import annotations

from typing import Final

from weeptrace.job import observed
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import questions, step
from weeptrace.screen.parts import Json

# By the kind of test, which fields and results are its own.
_OWN: Final = {
    "warm_hold": ("warm_hold.",),
    "run_watch": ("look.running",),
    "heater_isolation": ("heater_shut.",),
    "overnight": ("night.", "test.cylinders"),
    "dye": ("look.dye",),
    "gas": ("test.gas",),
    "level_watch": ("watch.trend",),
}


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step with what the test showed above its keys."""
    body, foot = step.blocks(show, job, at)
    own = _OWN.get(str(job.value("test.kind")), ())
    rows = [
        parts.state(
            "done",
            show.say(f"field.find.{each.told.finding}"),
            [questions.told(show, each)],
        )
        for each in observed.shown(show.rules, job)
        if own and each.by.startswith(own)
    ]
    if not rows:
        rows = [parts.state("not_measured", show.say("find.showed_nothing"), [])]
    look = {"look": questions.LOOK}
    causes = parts.key(show.say("find.title"), look, "search")
    return [*body[:2], *rows, *body[2:]], {**foot, "keys": [*foot["keys"], causes]}
