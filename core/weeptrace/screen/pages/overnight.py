"""The night under pressure: how far it is pumped, what a tight car shows, what the morning says."""

from __future__ import annotations

from typing import Final

from weeptrace.job.danger import EVENING
from weeptrace.job.overnight import MORNING, Night, left_at, night
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

_SHAPES: Final = {"as_a_tight_one": "done", "below": "stop", "above": "waits"}


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step with the figures of the night above its key."""
    body, foot = step.blocks(show, job, at)
    found = night(show.rules, job)
    if at.asks == MORNING:
        made = [] if found is None else [parts.table(_tight(show, found), figures=(1,))]
    else:
        made = _result(show, job, found)
    return [*body[:2], *made, *body[2:]], foot


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """What the record says of the night beside what was typed."""
    found = night(show.rules, job)
    if found is None or found.sign is None:
        return ()
    told = [(name, words) for name, words in _tight(show, found)]
    return (*told, (show.say("step.night_result.title"), _says(show, found)))


def _tight(show: Show, found: Night) -> list[list[str]]:
    """What a tight car shows, and how warm its block is then."""
    tight, say = found.tight, show.say
    value, low, high = (Figure(x, "pressure") for x in (tight.value, tight.low, tight.high))
    words = say("night.tight", value=value, low=low, high=high)
    warmth = show.figure(found.block, "temperature")
    return [[say("overnight.if_tight"), words], [say("overnight.block"), warmth]]


def _says(show: Show, found: Night) -> str:
    return show.say(f"overnight.{found.sign}")


def _result(show: Show, job: Job, found: Night | None) -> list[Json]:
    say, off = show.say, left_at(job)
    told = [
        [say(f"overnight.{word}"), show.fact(show.rules.fields[name], job.facts[name])]
        for word, name in (("evening", EVENING), ("morning", MORNING))
        if job.value(name) is not None
    ]
    if off is not None:
        told.insert(1, [say("overnight.let_off"), show.figure(off, "pressure")])
    if found is None or found.sign is None:
        return [
            parts.state("not_measured", say("overnight.unknown")),
            parts.table(told, figures=(1,)),
        ]
    words = [say(f"overnight.{found.sign}_then")]
    plate = parts.state(_SHAPES[found.sign], _says(show, found), words, framed=True)
    return [plate, parts.table([*told, *_tight(show, found)], figures=(1,))]
