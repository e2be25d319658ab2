"""Drive or tow: what forbids it, how long the coolant lasts, and what a person decides."""

from __future__ import annotations

from weeptrace.job.car import unfit
from weeptrace.job.lasts import lasts
from weeptrace.job.state import Job
from weeptrace.loss.lasts import Lasts
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import answers
from weeptrace.screen.pages.watch import rows
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

FIELDS = ("car.reserve", "drive.trip")
_SHAPES = {"drive": "done", "tow": "stop", "not_judged": "not_measured"}


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot: what was answered, what follows, and the choice."""
    rules, say = show.rules, show.say
    found = lasts(rules, job)
    body = [
        parts.title(say(f"step.{step.id}.title")),
        _verdict(show, job, found),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        {"block": "checklist", "rows": _asked(show, job, step)},
        *rows(show, job, FIELDS),
        parts.heading(say("screen.drive_ask")),
        parts.choice(rules, rules.fields["drive.decision"]),
    ]
    return body, {"caution": None, "keys": [], "main": None}


def _asked(show: Show, job: Job, step: Step) -> list[Json]:
    """The rows; one that another page answered says so, and a press says yes to it."""
    known = unfit.known(show.rules, job)
    made = answers.rows(show.rules, job, step.checks)
    for name, row in zip(step.checks, made, strict=True):
        word = known.get(name.removeprefix("drive."))
        if word is not None and (word == "yes" or not job.answered(name)):
            row |= {
                "shape": "done" if word == "no" else "now",
                "figure": show.rules.text(show.rules.fields[name].word(word)),
                "do": {"event": parts.event(name, "fact", "yes")},
            }
    return made


def _verdict(show: Show, job: Job, found: Lasts | None) -> Json:
    """What the figures say; a person decides, and what is not known does not permit."""
    say = show.say
    if found is None:
        never = [name for name, word in unfit.answers(show.rules, job).items() if word == "yes"]
        if never:
            words = [say(f"field.drive.{name}") for name in never]
            return parts.state("stop", say("decision.tow"), ["; ".join(words)], framed=True)
        return parts.state("not_measured", say("decision.not_judged"), [say("decision.no_rate")],
                           framed=True)  # fmt: skip
    lines = ["; ".join(_reason(show, name) for name in found.reasons)] if found.reasons else []
    if found.to_low is not None:
        lines.append(say("screen.drive_to_low", time=Figure(found.to_low.value, "time")))
    word = say(f"decision.{found.decision}")
    return parts.state(_SHAPES[found.decision], word, lines, framed=True)


def _reason(show: Show, name: str) -> str:
    own = f"decision.{name}"
    return show.rules.texts[own] if own in show.rules.texts else show.say(f"field.drive.{name}")
