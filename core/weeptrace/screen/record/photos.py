"""The pictures of a job in its record: those that are kept, and the names of those that are not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.job.state import Job
from weeptrace.screen.figures import Show, clock
from weeptrace.screen.record.drawing.svg import safe, tag
from weeptrace.screen.record.facts import name_of


@dataclass(frozen=True)
class Picture:
    """A picture that an event names: its id, what it shows, and when it was taken."""

    id: str
    caption: str


def _taken(show: Show, job: Job) -> list[Picture]:
    """All pictures in the order in which they were taken."""
    return [
        Picture(
            entry.event.typed,
            show.say(
                "record.sheet_line.picture",
                name=name_of(show, job, entry.event.field),
                time=clock(entry.event.at),
            ),
        )
        for entry in job.log
        if entry.event.kind == "photo" and entry.outcome == "accepted"
    ]


def kept(show: Show, job: Job, photos: Mapping[str, str]) -> int:
    """How many of the job's pictures are at hand."""
    return sum(each.id in photos for each in _taken(show, job))


def pictures(show: Show, job: Job, photos: Mapping[str, str]) -> str:
    taken = _taken(show, job)
    if not taken:
        return ""
    figures = "".join(
        "<figure>"
        + tag("img", src=photos[each.id], alt=each.caption).replace("/>", ">")
        + f"<figcaption>{safe(each.caption)}</figcaption></figure>"
        for each in taken
        if each.id in photos
    )
    missing = [each.caption for each in taken if each.id not in photos]
    words = show.say("record.sheet_line.erased", names="; ".join(missing)) if missing else ""
    return (
        f"<section class=pictures><h2>{safe(show.say('record.pictures'))}</h2>"
        f"<div class=photos>{figures}</div>"
        + (f"<p>{safe(words)}</p>" if words else "")
        + "</section>"
    )
