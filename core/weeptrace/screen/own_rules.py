"""Which rules a job runs on, told wherever they are not this version's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from weeptrace.job.procedure import Position
from weeptrace.job.state import Job
from weeptrace.rules import Rules
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json

_SHOWN = 12  # signs of a hash
_LONGEST = 60  # signs of an entry that are shown


def named(job: Job) -> str:
    """The hash of the rules that the job began on, as it is shown."""
    return job.rules[:_SHOWN]


def missing(rules: Rules, job: Job) -> bool:
    """Whether the job is judged by other rules than those that it began on.

    The shop's page is no job that is judged: it always stands on this version's rules.
    """
    return job.procedure != "shop" and bool(job.id) and job.rules != rules.hash


def words(show: Show, job: Job) -> tuple[str, str]:
    """In short, and what follows from it; empty where the job runs on this version's rules."""
    rules, say = show.rules, show.say
    if missing(rules, job):
        word = say("screen.rules_missing", rules=named(job))
        return word, say("screen.rules_missing_then", judged=rules.hash)
    if rules.newest is not None:
        word = say("screen.rules_older", rules=rules.hash)
        return word, say("screen.rules_older_then", newest=rules.newest)
    return "", ""


def blocks(show: Show, job: Job, here: Position, look: str) -> list[Json]:
    """A row over the screen: always where the job's own rules are missing, else where it matters.

    That is at intake, when it is closed, and over all that is stored or the record.
    """
    word, line = words(show, job)
    if not word:
        return []
    if missing(show.rules, job):
        return [parts.state("not_measured", word, [line], framed=True)]
    first = here.step is not None and here.step.phase == "intake"
    shown = first or here.step is None or look
    return [parts.state(None, word, [line])] if shown else []


def raw_view(rules: Rules, job: str, events: Sequence[Mapping[str, Any]], why: str) -> Json:
    """The view of a job whose own rules this version can't read: what is stored, and no verdict."""
    text = rules.text
    names = {str(each.get("field")): str(each.get("typed")) for each in events}
    rows = [
        [
            str(each.get("field"))[:_LONGEST],
            f"{each.get('typed')} {each.get('unit') or ''}".strip()[:_LONGEST],
            str(each.get("at"))[11:16],
        ]
        for each in events
    ]
    return {
        "job": job,
        "practice": "job.practice" in names,
        "bar": {
            "title": (names.get("car.name") or text("screen.new_coolant_loss"))[:_LONGEST],
            "number": names.get("job.number", "")[:_LONGEST],
        },
        "edge": {"phases": [text("screen.rules_unread_phase")], "now": 0},
        "step": "rules_unread",
        "state": {"shape": "stop", "word": text("screen.rules_unread_state"), "figure": ""},
        "rules": why,
        "blocks": [
            parts.title(text("screen.rules_unread")),
            parts.state("stop", text("screen.rules_unread_then"), [why], framed=True),
            parts.heading(text("screen.rules_unread_events")),
            parts.table(rows),
        ],
        "foot": {
            "caution": None,
            "keys": [],
            "main": parts.key(text("screen.export"), {"call": "export"}, "export"),
        },
        "more": [],
        "awake": False,
        "open": False,
    }
