"""The hand-over record on the screen, as blocks; as a file it is ``sheet``."""

from __future__ import annotations

from weeptrace.job import holds
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import recorder, verdict
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json
from weeptrace.screen.record.facts import sections
from weeptrace.screen.record.holds import compared, kept_holds, left


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The record as the last step of a job."""
    return page(show, job, step)


def page(show: Show, job: Job, step: Step | None) -> tuple[list[Json], Json]:
    """The record on the screen; ``step`` is the present step, which the record may be itself."""
    say = show.say
    last, compared_holds = _holds(show, job)
    body = [parts.title(say("step.hand_over.title")), *last]
    for section in sections(show, job).values():
        if section.id not in ("car", "cause"):
            body, compared_holds = [*body, *compared_holds], []
        body.append(parts.heading(section.heading))
        if section.rows:
            body.append(parts.table([list(row) for row in section.rows]))
        body += [parts.state(None, "", [line]) for line in section.lines]
    keys = [
        parts.key(say("record.key.save"), {"call": "save_record"}, "export"),
        parts.key(say("record.key.print"), {"call": "print"}, "print"),
        parts.key(say("record.key.export"), {"call": "export"}, "export"),
    ]
    caution = None
    if step is not None and step.shows == "record":
        caution = step_caution(show, step)
        words = say(f"step.{step.id}.main")
        main = parts.key(words, {"event": parts.event("job.closed", "closed")}, "tick")
    elif step is not None:
        main = parts.key(say("screen.back"), {"look": ""}, "back")
    else:
        main = parts.key(say("record.key.jobs"), {"call": "home"}, "back")
    return body, {"caution": caution, "keys": keys, "main": main}


def _holds(show: Show, job: Job) -> tuple[list[Json], list[Json]]:
    """The last verdict in its shape; and both holds in figures and as plots."""
    kept = [series for series in kept_holds(job) if series is not None]
    if not kept:
        return [], []
    found = [holds.assess(show.rules, job, series) for series in kept]
    heads, *rows = compared(show, job)
    plots = [recorder.plot(show, s, each, None) for s, each in zip(kept, found, strict=True)]
    heading = parts.heading(show.say("record.holds"))
    plate = verdict.plate(show, job, kept[-1], found[-1])
    said = left(show, job)
    told = [plate, parts.state(None, "", [said])] if said else [plate]
    return told, [heading, parts.table(rows, heads), *plots]
