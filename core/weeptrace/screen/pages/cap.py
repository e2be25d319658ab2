"""The cap by itself: what it is pumped to, where it opened, and the new one where it failed."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step with the cap's figures above its key."""
    body, foot = step.blocks(show, job, at)
    text = show.rules.text
    rows = figures(show, job)
    if at.asks != "cap.replaced":
        return [*body[:2], *([parts.table(rows)] if rows else []), *body[2:]], foot
    stop = parts.state("stop", text("screen.cap_stop"), [text("screen.cap_watch")], framed=True)
    return [body[0], stop, *([parts.table(rows)] if rows else [])], foot


def figures(show: Show, job: Job) -> list[list[str]]:
    """The rating, what is accepted, what it is pumped to, and where it opened."""
    rating = job.value("car.cap_rating")
    if not isinstance(rating, float):
        return []
    limits, text = show.rules.limits, show.rules.text
    low, high = ((1.0 + limits[f"cap.{end}"]) * rating for end in ("low", "high"))
    hold = limits["cap.hold_at"] * rating
    names = [f"cap.opening_{number}" for number in (1, 2, 3)]
    opened = [
        show.fact(show.rules.fields[name], job.facts[name]) for name in names if job.answered(name)
    ]
    accepted = f"{show.number(low, 'pressure')} to {show.figure(high, 'pressure')}"
    return [
        [text("screen.cap_print"), show.figure(rating, "pressure")],
        [text("screen.cap_target"), show.limit(hold, "pressure")],
        [text("screen.cap_opened"), ", ".join(opened) or "not measured"],
        [text("screen.cap_allowed"), accepted],
    ]
