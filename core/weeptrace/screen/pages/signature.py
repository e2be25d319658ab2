"""A signature drawn by finger, kept as a picture that can be erased."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """The place to sign, over what is signed for; the block has its own key to keep it."""
    say = show.say
    body, foot = step.blocks(show, job, at)
    field = str(at.asks)
    money = str(job.value("shop.currency") or "")
    names = ("quote.total", "quote.ceiling")
    rows = [
        [say(f"field.{name}"), " ".join([show.fact(show.rules.fields[name], fact), money]).strip()]
        for name in names
        if (fact := job.facts.get(name)) is not None and fact.value is not None
    ]
    block = {
        "block": "signature",
        "event": parts.event(field, "photo"),
        "label": str(job.value("consent.who") or ""),
        "store": say(f"step.{at.id}.main"),
    }
    return [*body[:2], *([parts.table(rows, figures=(1,))] if rows else []), block], {
        **foot,
        "main": None,
    }
