"""The door with a memory, for the page's worker: it keeps the folded jobs between questions.

``ask(name, text) -> text``, JSON both ways. The worker may be killed at any time: the page opens
its jobs again from the stored events.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, Final

from weeptrace import __version__, door, screen
from weeptrace.job.advance import advance, fold
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules import load

Json = dict[str, Any]

_jobs: Final[dict[str, Job]] = {}


def ask(name: str, text: str) -> str:
    """Answer one question: about, open, advance, view or call. Nothing is raised."""
    try:
        answer = _ANSWERS[name](json.loads(text))
    except Refusal as problem:
        answer = {"error": problem.as_dict()}
    except Exception as problem:  # the page must get an answer, whatever happened in here
        words = f"The engine could not answer “{name}”: {problem!r}"
        answer = {"error": Refusal("internal", words).as_dict()}
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)


def _about(_: Json) -> Json:
    rules = load()
    return {
        "version": __version__,
        "bundle": rules.hash,
        "unit_sets": [
            {"id": each["id"], "label": rules.text(f"units.{each['id']}"), "units": each["units"]}
            for each in rules.unit_sets
        ],
        "operations": list(door.OPERATIONS),
    }


def _open(question: Json) -> Json:
    _jobs[question["job"]] = fold(load(), question["events"])
    return {"count": len(question["events"])}


def _new(question: Json) -> Json:
    """What a new job begins with: tester and shop as entered once, with the days of that."""
    shop = fold(load(), question["events"]) if question["events"] else None
    kept = shop.facts.values() if shop is not None else ()
    events = [fact.event for fact in sorted(kept, key=lambda fact: fact.event.seq)]
    return {
        "events": [
            {
                "kind": event.kind,
                "field": event.field,
                "typed": event.typed,
                "unit": event.unit,
                "moment": {
                    "at": event.at,
                    "mono": event.moment.mono * 1000.0,
                    "boot": event.moment.boot,
                },
            }
            for event in events
            if event.field != "shop.done"
        ]
    }


def _advance(question: Json) -> Json:
    """What became of one stored event: accepted, refused with words, or waiting."""
    event = question["event"]
    job = advance(load(), _jobs[event["job"]], event)
    _jobs[event["job"]] = job
    trouble = job.troubles.get(event["field"])
    words = trouble.words if trouble is not None and trouble.event.id == event["id"] else ""
    return {"state": job.seen.get(event["id"], "waiting"), "message": words}


def _view(question: Json) -> Json:
    rules = load()
    chosen = screen.preferences(question.get("preferences"), rules)
    job = _jobs[question["job"]]
    return screen.view(rules, job, question["now"], chosen, question.get("look", ""))


def _call(question: Json) -> Json:
    return door.call(question["operation"], question["payload"])


_ANSWERS: Final[dict[str, Callable[[Json], Json]]] = {
    "about": _about,
    "open": _open,
    "new": _new,
    "advance": _advance,
    "view": _view,
    "call": _call,
}
