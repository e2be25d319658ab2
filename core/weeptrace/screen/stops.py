"""A page that stops the work: what to do now stands first, then how to go on."""

from __future__ import annotations

from weeptrace.job.danger import HAPPENED
from weeptrace.job.events import Moment
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import Fact, Job
from weeptrace.screen import gate, parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json


def too_hot(show: Show, job: Job, hot: Fact, now: Moment) -> tuple[list[Json], Json]:
    """The engine is too hot: stop it; behind the cool-down gate say what happened."""
    text, rules = show.rules.text, show.rules
    assert isinstance(hot.value, float)
    cold = rules.gates["cold"]
    body = [
        parts.title(text("stop_hot.title"), show.figure(hot.value, "temperature")),
        parts.state(
            "stop",
            text("stop_hot.now"),
            [text(f"stop_hot.{line}") for line in ("move", "shut", "water")],
            framed=True,
        ),
    ]
    if gate_state(rules, job, cold, now).open is not True:
        rows, foot = gate.blocks(show, job, cold, now)
        return [*body, parts.heading(text("stop_hot.then")), *rows[1:]], foot
    field = rules.fields[HAPPENED]
    ask: Json = {
        "block": "text",
        "event": parts.event(HAPPENED, "fact"),
        "label": text(f"field.{HAPPENED}"),
        "longest": field.longest,
        "store": "Store",
    }
    keys = [parts.stop_key(rules, "cold")]
    return [*body, parts.prompt(text("stop_hot.ask")), ask], {
        "caution": parts.caution(text(rules.cautions["hot_coolant"])),
        "keys": keys,
        "main": None,
    }


def hot_beforehand(show: Show) -> Json:
    """The condition that stops a run, before anybody meets it, in the reader's unit."""
    limit = show.figure(show.rules.limits["warmup.highest_coolant"], "temperature")
    words = show.rules.text("stop_hot.beforehand")
    return parts.state("stop", f"{words} {limit}", [show.rules.text("stop_hot.also")])
