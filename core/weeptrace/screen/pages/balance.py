"""The fluid balance: what came out, what went in, what is left over, what is waste."""

from __future__ import annotations

from typing import Final

from weeptrace.job import coolant, rounds
from weeptrace.job.state import Job
from weeptrace.loss.balance import Balance, Volume
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.parts import Json

STREAMS: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.spilled", "coolant.filled",
)  # fmt: skip


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the balance."""
    text = show.rules.text
    body = [parts.title(text(f"step.{step.id}.title"))]
    streams = [[text(f"field.{name}"), _typed(show, job, name)] for name in STREAMS]
    try:
        found = coolant.fluid_balance(show.rules, job)
    except Refusal as problem:
        body += [
            parts.state(
                "stop", "The volumes do not fit together", [show.told(problem)], framed=True
            )
        ]
        body.append(parts.table(streams))
    else:
        body += [_verdict(show, found), parts.table(streams)]
        body += [parts.heading("Waste"), parts.table([list(row) for row in _waste(show, found)])]
        body.append(parts.state(None, "", [text("screen.waste")]))
    keys = [parts.key("Change a figure", {"look": "so_far"}, "undo")]
    main = parts.key(text(f"step.{step.id}.main"), {"event": parts.event("balance.seen", "done")})
    return body, {"caution": None, "keys": keys, "main": main}


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The balance's rows of the record."""
    try:
        found = coolant.fluid_balance(show.rules, job)
    except Refusal as problem:
        return (("Balance", show.told(problem)),)
    row = _verdict(show, found)
    words = " ".join([row["word"] + ".", *row["lines"]])
    return (("Balance", words), *((f"Waste: {name}", words) for name, words in _waste(show, found)))


def _verdict(show: Show, found: Balance) -> Json:
    """Whether it closes if no air is left; what that means where it does not."""
    if found.closure is None:
        names = ", ".join(
            show.rules.text(f"field.coolant.{name}").lower() for name in found.not_measured
        )
        return parts.state("not_measured", "Not judged", [f"Not measured: {names}."], framed=True)
    left = f"Out less in: {_figure(show, found.closure)}."
    if found.closes == "yes":
        return parts.state(
            "done", "The balance closes", [left, show.rules.text("screen.closes")], framed=True
        )
    if found.closes == "not_judged" or found.misfit is None:
        return parts.state("not_measured", "Too vague to say", [left], framed=True)
    cause = show.rules.text(f"misfit.{found.misfit.cause}")
    others = [show.rules.text(f"misfit.{other}") for other in found.misfit.or_else]
    lines = [left, *([f"Or: {', '.join(others)}."] if others else [])]
    size = show.figure(found.misfit.size, "volume")
    return parts.state("stop", f"{size}: {cause}", lines, framed=True)


def _figure(show: Show, volume: Volume) -> str:
    low, high = (show.number(v, "volume") for v in (volume.low, volume.high))
    return f"{show.figure(volume.value, 'volume')} ({low} to {high}, 95{NBSP}%)"


def _waste(show: Show, found: Balance) -> tuple[tuple[str, str], ...]:
    return tuple(
        (show.rules.text(f"waste.{stream}"), show.figure(volume.value, "volume"))
        for stream, volume in found.waste.items()
    )


def _typed(show: Show, job: Job, name: str) -> str:
    """As it was typed; the sum of all rounds where it was typed in more than one."""
    facts = rounds.told(job, name)
    if len(facts) == 1:
        return show.fact(show.rules.fields[name], facts[0])
    volume = rounds.total(job, name)
    return "not measured" if volume is None else show.figure(volume, "volume")
