"""Before it is handed back: what is put right, and what was never looked for."""

from __future__ import annotations

from weeptrace.job import observed
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import answers, questions
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """A page of questions, and above them what is still due by what was seen."""
    body, foot = answers.blocks(show, job, step)
    due = [
        parts.state(
            "not_measured",
            show.say("find.not_looked"),
            [show.told(why)],
            framed=True,
            do={"look": questions.LOOK},
        )
        for why in observed.due(show.rules, job)
    ]
    return [*body[:2], *due, *body[2:]], foot
