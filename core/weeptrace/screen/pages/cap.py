"""The cap by itself: what it is pumped to, where it opened, and the new one where it failed."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json
from weeptrace.told import Figure


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step with the cap's figures above its key."""
    body, foot = step.blocks(show, job, at)
    say = show.say
    rows = figures(show, job)
    if at.asks != "cap.replaced":
        return [*body[:2], *([parts.table(rows, figures=(1,))] if rows else []), *body[2:]], foot
    stop = parts.state("stop", say("screen.cap_stop"), [say("screen.cap_watch")], framed=True)
    return [body[0], stop, *([parts.table(rows, figures=(1,))] if rows else [])], foot


def figures(show: Show, job: Job) -> list[list[str]]:
    """The rating, what is accepted, what it is pumped to, and where it opened."""
    rating = job.value("car.cap_rating")
    if not isinstance(rating, float):
        return []
    limits, say = show.rules.limits, show.say
    low, high = ((1.0 + limits[f"cap.{end}"]) * rating for end in ("low", "high"))
    hold = limits["cap.hold_at"] * rating
    names = [f"cap.opening_{number}" for number in (1, 2, 3)]
    opened = [
        show.fact(show.rules.fields[name], job.facts[name]) for name in names if job.answered(name)
    ]
    ends = say("screen.cap_range", low=Figure(low, "pressure"), high=Figure(high, "pressure"))
    return [
        [say("screen.cap_print"), show.figure(rating, "pressure")],
        [say("screen.cap_target"), show.limit(hold, "pressure")],
        [say("screen.cap_opened"), ", ".join(opened) or show.unmeasured()],
        [say("screen.cap_allowed"), ends],
    ]
