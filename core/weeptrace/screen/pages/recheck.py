"""The cold level after the first full cooling: how far it fell, and how much of that is air."""

from __future__ import annotations

from weeptrace.job.rounds import last_filled
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.pages.watch import rows
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

FIELDS = ("recheck.before", "recheck.after", "watch.area")
_AIR = {"vacuum": "level.air_after_vacuum_fill", "open_neck": "level.air_after_pouring"}


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot; each figure has a pad of its own, and none is needed."""
    say = show.say
    body = [
        parts.title(say(f"step.{step.id}.title")),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        *rows(show, job, FIELDS),
        *_change(show, job),
    ]
    seen = {"event": parts.event("recheck.seen", "done")}
    main = parts.key(say(f"step.{step.id}.main"), seen, "tick")
    return body, {"caution": step_caution(show, step), "keys": [], "main": main}


def change(job: Job) -> float | None:
    """``V = A (h_before - h_after)``, m3, what the level fell by; None where one is not known."""
    before, after, area = (job.value(name) for name in FIELDS)
    if not (isinstance(before, float) and isinstance(after, float) and isinstance(area, float)):
        return None
    return area * (before - after)


def _change(show: Show, job: Job) -> list[Json]:
    fell = change(job)
    limit = _AIR.get(str(last_filled(job).value("fill.how")))
    if fell is None or limit is None:
        return []
    say, most = show.say, show.rules.limits[limit]
    words = say("screen.level_expected", most=Figure(most, "small_volume"))
    more = fell > most
    lines = [words, *([say("screen.level_more")] if more else [])]
    figure = show.figure(fell, "small_volume")
    shape = "stop" if more else "done"
    return [parts.state(shape, say("screen.level_change"), lines, figure, True)]
