"""Transmission fluid back in: as much as ran out, in mass and in volume."""

from __future__ import annotations

from weeptrace.job import coolant
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step that asks the mass, with what ran out above its pad."""
    body, foot = step.blocks(show, job, at)
    rows = [list(row) for row in lines(show, job)]
    return ([*body[:2], parts.table(rows, figures=(1,)), *body[2:]] if rows else body), foot


def lines(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """What was caught as a volume, and how that stands against what is commonly lost."""
    try:
        found = coolant.transmission(show.rules, job)
    except Refusal as problem:
        return ((show.say("field.transmission.caught"), show.told(problem)),)
    if found is None:
        return ()
    words = show.say(f"transmission.{found.usual}")
    return ((words, show.figure(found.out.value, "volume")),)
