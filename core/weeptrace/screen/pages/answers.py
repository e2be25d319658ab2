"""A page of questions with few answers each: a press goes on to the next; one not asked says so."""

from __future__ import annotations

from collections.abc import Iterable

from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules, Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot; the main key ends the page, whatever was answered."""
    rules, say = show.rules, show.say
    assert step.asks is not None
    answered = [name for name in step.checks if job.value(name) is not None]
    body = [
        parts.title(
            say(f"step.{step.id}.title"),
            say("answer.count", done=len(answered), all=len(step.checks)),
        ),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        {"block": "checklist", "rows": rows(rules, job, step.checks)},
    ]
    main = parts.key(say(f"step.{step.id}.main"), {"event": parts.event(step.asks, "done")}, "tick")
    keys = [parts.stop_key(rules, step.gates[-1])] if step.gates else []
    return body, {"caution": step_caution(show, step), "keys": keys, "main": main}


def rows(rules: Rules, job: Job, names: Iterable[str]) -> list[Json]:
    """One row a question."""
    return [_row(rules, job, rules.fields[name]) for name in names]


def _row(rules: Rules, job: Job, field: Field) -> Json:
    """A press goes on to the next word; after the last one the question is open again."""
    fact = job.facts.get(field.id)
    word = fact.value if fact is not None else None
    if fact is None or word is None:
        shape, words = "to_do", ""
        do = parts.event(field.id, "fact", field.options[0])
    else:
        words = rules.text(field.word(str(word)))
        after = field.options.index(str(word)) + 1
        shape = "done" if after == 1 else "not_done" if str(word).startswith("not_") else "now"
        do = (
            parts.event(field.id, "undo", supersedes=fact.event.id)
            if after == len(field.options)
            else parts.event(field.id, "fact", field.options[after], supersedes=fact.event.id)
        )
    return {
        "shape": shape,
        "label": rules.text(f"field.{field.id}"),
        "figure": words,
        "do": {"event": do},
    }


def zones(rules: Rules) -> list[Field]:
    """The zones of the car, from the top down."""
    return [f for f in rules.fields.values() if f.id.startswith("zone.") and f.kind == "choice"]
