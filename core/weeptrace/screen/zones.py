"""Where it was looked: each zone dry, wet, or not reachable; one that was not looked at says so."""

from __future__ import annotations

from typing import Final

from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules, Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json

# A press goes on to the next word; after the last one the zone is open again.
_SHAPES: Final = {"dry": "done", "wet": "now", "not_reachable": "not_done"}


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the list of zones."""
    rules, text = show.rules, show.rules.text
    zones = listed(rules)
    looked = [zone for zone in zones if job.value(zone.id) is not None]
    body = [
        parts.title(text(f"step.{step.id}.title"), f"{len(looked)} of {len(zones)}"),
        parts.prompt(text(f"step.{step.id}.prompt")),
        {"block": "checklist", "rows": [_row(rules, job, zone) for zone in zones]},
    ]
    main = parts.key(
        text(f"step.{step.id}.main"), {"event": parts.event("zone.seen", "done")}, "tick"
    )
    return body, {"caution": None, "keys": [], "main": main}


def _row(rules: Rules, job: Job, zone: Field) -> Json:
    fact = job.facts.get(zone.id)
    word = fact.value if fact is not None else None
    if fact is None or word is None:
        shape, words = "to_do", ""
        do = parts.event(zone.id, "fact", zone.options[0])
    else:
        shape, words = _SHAPES[str(word)], rules.text(f"choice.zone.{word}")
        after = zone.options.index(str(word)) + 1
        last = after == len(zone.options)
        do = (
            parts.event(zone.id, "undo", supersedes=fact.event.id)
            if last
            else parts.event(zone.id, "fact", zone.options[after], supersedes=fact.event.id)
        )
    return {
        "shape": shape,
        "label": rules.text(f"field.{zone.id}"),
        "figure": words,
        "do": {"event": do},
    }


def listed(rules: Rules) -> list[Field]:
    """The zones, from the top of the car down."""
    return [f for f in rules.fields.values() if f.id.startswith("zone.") and f.kind == "choice"]


def rows_of_record(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """Where it was looked and what was found; empty where nothing was looked at."""
    rules = show.rules
    zones = [(zone, job.value(zone.id)) for zone in listed(rules)]
    if all(word is None for _, word in zones):
        return ()
    return tuple(
        (
            rules.text(f"field.{zone.id}"),
            rules.text("screen.not_looked" if word is None else f"choice.zone.{word}"),
        )
        for zone, word in zones
    )
