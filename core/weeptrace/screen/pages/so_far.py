"""All that is stored of a job, newest first, and the way to correct or take back any of it."""

from __future__ import annotations

from weeptrace.job.state import Entry, Job
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, as_typed, clock
from weeptrace.screen.parts import Json

_HIDDEN = ("opened", "resumed")


def blocks(show: Show, job: Job) -> tuple[list[Json], Json]:
    """The blocks and the foot of the list of what is stored so far."""
    shown = (entry for entry in reversed(job.log) if entry.event.kind not in _HIDDEN)
    rows = [_row(show, job, entry) for entry in shown]
    body = [parts.title(show.say("screen.so_far"), f"{len(rows)}"), *rows]
    if not rows:
        body.append(parts.state("not_measured", show.say("so_far.nothing")))
    for event in reversed(job.superseded):
        name = show.rules.texts.get(f"field.{event.field}", event.field)
        body.append(
            parts.state(
                "not_done", name, [show.say("so_far.superseded")], as_typed(event.typed, event.unit)
            )
        )
    pictures = [
        {"id": id, "caption": show.say(f"field.{name}")}
        for name, ids in sorted(job.photos.items())
        for id in ids
    ]
    if pictures:
        body.append(parts.heading(show.say("screen.pictures")))
        body.append({"block": "photo", "photos": pictures})
    return body, {
        "caution": None,
        "keys": [],
        "main": parts.key(show.say("screen.back"), {"look": ""}, "back"),
    }


def _row(show: Show, job: Job, entry: Entry) -> Json:
    event = entry.event
    name = show.rules.texts.get(f"field.{event.field}", event.field)
    lines = [clock(event.at)]
    field = show.rules.fields.get(event.field)
    if entry.said is not None:
        return parts.state(
            "stop", name, [*lines, show.told(entry.said)], as_typed(event.typed, event.unit)
        )
    do = None
    if field is not None and field.numeric and event.kind in ("fact", "reading"):
        do = {"pad": parts.pad(show, job, field, supersedes=event.id)}
    elif field is not None:
        undo = parts.event(event.field, "undo", supersedes=event.id)
        do = {"event": undo}
        lines.append(show.say("screen.press_to_undo"))
    if event.kind == "not_done":
        words = show.not_done("" if field is None else field.kind, event.typed.strip())
        return parts.state("not_measured", name, lines, words, do=do)
    if event.kind == "stopped":
        return parts.state("stop", show.say("screen.stopped"), [*lines, event.typed])
    words = event.typed
    if field is not None and field.kind == "choice" and event.typed in field.options:
        words = show.chosen(field, event.typed)
    return parts.state("done", name, lines, as_typed(words, event.unit), do=do)
