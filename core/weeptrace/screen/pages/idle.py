"""The engine at idle with its neck open: when it is stopped, said before it is started."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json
from weeptrace.told import Figure


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step with the temperature that ends the idle above its key."""
    body, foot = step.blocks(show, job, at)
    say = show.say
    hottest = Figure(show.rules.limits["fill.open_neck_stop"], "temperature")
    words = say("screen.idle_stop", at=hottest)
    stop = parts.state("waits", words, [say("screen.idle_or")], framed=True)
    return [*body[:2], stop, *body[2:]], foot
