"""What a vacuum fill will take, the container for it, and the air that stays."""

from __future__ import annotations

from weeptrace.job import coolant
from weeptrace.job.holds import evacuated
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json
from weeptrace.told import Figure


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the uptake plan."""
    say = show.say
    body = [parts.title(say(f"step.{step.id}.title"))]
    try:
        found = coolant.uptake(show.rules, job)
        trouble = ""
    except Refusal as problem:
        found, trouble = None, show.told(problem)
    if found is None:
        word = say("uptake.misfit" if trouble else "uptake.unknown")
        lines = [trouble or say("uptake.unmeasured")]
        body.append(parts.state("stop" if trouble else "not_measured", word, lines, framed=True))
    else:
        volume = evacuated(job.facts)
        rows = [
            [say("uptake.row.empty"), "" if volume is None else show.figure(volume, "volume")],
            [say("uptake.row.takes"), show.figure(found.uptake, "volume")],
            [say("uptake.row.air"), show.figure(found.air_left, "volume")],
        ]
        body += [_container(show, job, found.container), parts.table(rows, figures=(1,))]
    keys = [parts.key(say("shared.key.change"), {"look": "so_far"}, "undo")]
    main = parts.key(
        say(f"step.{step.id}.main"), {"event": parts.event("fill.plan_seen", "done")}, "jug"
    )
    return body, {"caution": None, "keys": keys, "main": main}


def _container(show: Show, job: Job, needed: float) -> Json:
    """What must stand ready, and whether it does."""
    say = show.say
    ready = job.value("fill.container")
    words = say("uptake.ready", volume=Figure(needed, "volume"))
    enough = say("uptake.enough")
    if not isinstance(ready, float):
        return parts.state("now", words, [enough, say("screen.two_jugs")], framed=True)
    there = Figure(ready, "volume")
    if ready >= needed:
        words_there = say("uptake.there", volume=there)
        return parts.state("done", words, [enough], words_there, framed=True)
    missing = Figure(needed - ready, "volume")
    lines = [say("uptake.short", volume=there, missing=missing), say("screen.join_containers")]
    return parts.state("stop", words, lines, framed=True)


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The uptake's rows of the record."""
    try:
        found = coolant.uptake(show.rules, job)
    except Refusal:
        return ()
    if found is None:
        return ()
    made = [
        (show.say("uptake.row.expected"), show.figure(found.uptake, "volume")),
        (show.say("uptake.row.air_left"), show.figure(found.air_left, "volume")),
    ]
    if found.judgement is not None:
        made.append((show.say("uptake.row.measured"), show.say(f"uptake.found.{found.judgement}")))
    return tuple(made)
