"""An ordinary step: one field to answer, by hand, word, tick or number."""

from __future__ import annotations

from weeptrace.job.danger import FALLS
from weeptrace.job.procedure import Known, applies
from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules, Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of a step that asks a field."""
    rules = show.rules
    assert step.asks is not None
    field = rules.fields[step.asks]
    body = [parts.title(rules.text(f"step.{step.id}.title"), _count(show, job, step))]
    body.append(parts.prompt(show.say(f"step.{step.id}.prompt")))
    main: Json | None = None
    if field.kind == "text":
        body.append(parts.words(show, field.id))
    elif field.kind == "choice":
        body.append(parts.choice(rules, field, parts.usual(job, field)))
    elif field.numeric:
        body.append(parts.pad(show, job, field))
    elif field.kind == "photo":
        photo = {"photo": parts.event(field.id, "photo")}
        main = parts.key(rules.text(f"step.{step.id}.main"), photo, "camera")
    else:
        kind = "mark" if field.kind == "mark" else "done"
        main = parts.key(
            rules.text(f"step.{step.id}.main"), {"event": parts.event(field.id, kind)}, "tick"
        )
    return body, {
        "caution": step_caution(show, step),
        "keys": keys(rules, step, field),
        "main": main,
    }


def step_caution(show: Show, step: Step) -> Json | None:
    """The caution of the step's first hazard; the rules give a step one at most on a phone."""
    return parts.hazard(show.rules, step.hazards[0]) if step.hazards else None


def keys(rules: Rules, step: Step, field: Field) -> list[Json]:
    """The second keys: "not measured" where a figure may be left out, else "skip"; behind a gate,
    the one to stop, which only the menu has where two others leave no room for it.
    """
    made = []
    measured = field.kind in ("quantity", "reading")
    if step.skip:
        made.append(
            parts.key(
                rules.text("screen.not_measured" if measured else "screen.skip"),
                {"event": parts.event(field.id, "not_done")},
                "not_measured",
            )
        )
    made += level_key(rules, step)
    if step.gates and len(made) < 2:
        made.append(parts.stop_key(rules, step.gates[-1]))
    if step.again is not None:
        again = {"event": parts.event(step.again, "mark")}
        made.append(parts.key(rules.text(f"field.{step.again}"), again, "pump"))
    return made


def level_key(rules: Rules, step: Step) -> list[Json]:
    """Where the engine runs: the key that takes the page at once, as the level falls."""
    if "running_engine" not in step.hazards or FALLS not in rules.fields:
        return []
    return [parts.key(rules.text(f"field.{FALLS}"), {"event": parts.event(FALLS, "mark")}, "drop")]


def _count(show: Show, job: Job, step: Step) -> str:
    """Which step of its phase: "2 of 7", of those that apply."""
    rules = show.rules
    steps = rules.procedures[job.procedure].steps
    known = Known(rules, job)
    own = [s.id for s in steps if s.phase == step.phase and applies(known, s)]
    if len(own) < 2:
        return ""
    return show.say("answer.count", done=own.index(step.id) + 1, all=len(own))
