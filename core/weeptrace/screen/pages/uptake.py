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


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the uptake plan."""
    text = show.rules.text
    body = [parts.title(text(f"step.{step.id}.title"))]
    try:
        found = coolant.uptake(show.rules, job)
        trouble = ""
    except Refusal as problem:
        found, trouble = None, show.told(problem)
    if found is None:
        word = "The readings do not fit this place" if trouble else "Not known what it will take"
        lines = [trouble or "Coolant out or the vacuum's needle is not measured."]
        body.append(parts.state("stop" if trouble else "not_measured", word, lines, framed=True))
    else:
        volume = evacuated(job.facts)
        rows = [
            ["Empty before the fill", "" if volume is None else show.figure(volume, "volume")],
            ["It will take", show.figure(found.uptake, "volume")],
            ["Air that stays", show.figure(found.air_left, "volume")],
        ]
        body += [_container(show, job, found.container), parts.table(rows)]
    keys = [parts.key("Change a figure", {"look": "so_far"}, "undo")]
    main = parts.key(
        text(f"step.{step.id}.main"), {"event": parts.event("fill.plan_seen", "done")}, "jug"
    )
    return body, {"caution": None, "keys": keys, "main": main}


def _container(show: Show, job: Job, needed: float) -> Json:
    """What must stand ready, and whether it does."""
    text = show.rules.text
    ready = job.value("fill.container")
    words = f"{show.figure(needed, 'volume')} must stand ready"
    enough = "More than it takes, so that it does not run dry."
    if not isinstance(ready, float):
        return parts.state("now", words, [enough, text("screen.two_jugs")], framed=True)
    if ready >= needed:
        return parts.state(
            "done", words, [enough], f"{show.figure(ready, 'volume')} is there", framed=True
        )
    lines = [
        f"{show.figure(ready, 'volume')} is there, {show.figure(needed - ready, 'volume')} "
        f"{text('screen.container_short')}.",
        text("screen.join_containers"),
    ]
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
        ("Uptake expected", show.figure(found.uptake, "volume")),
        ("Air left after the fill", show.figure(found.air_left, "volume")),
    ]
    if found.judgement is not None:
        made.append(("Uptake measured", show.rules.text(f"uptake.{found.judgement}")))
    return tuple(made)
