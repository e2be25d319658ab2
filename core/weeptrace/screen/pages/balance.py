"""The fluid balance: what came out, what went in, what is left over, what is waste."""

from __future__ import annotations

from typing import Final

from weeptrace.job import coolant, rounds
from weeptrace.job.state import Job
from weeptrace.loss.balance import Balance, Volume
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

STREAMS: Final = (
    "coolant.missing_before", "coolant.drained", "coolant.spilled", "coolant.filled",
)  # fmt: skip


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the balance."""
    say = show.say
    body = [parts.title(say(f"step.{step.id}.title"))]
    streams = [[say(f"field.{name}"), _typed(show, job, name)] for name in STREAMS]
    try:
        found = coolant.fluid_balance(show.rules, job)
    except Refusal as problem:
        body += [
            parts.state("stop", say("shared.volumes_misfit"), [show.told(problem)], framed=True)
        ]
        body.append(parts.table(streams, figures=(1,)))
    else:
        body += [_verdict(show, found), parts.table(streams, figures=(1,))]
        body += [
            parts.heading(say("balance.heading.waste")),
            parts.table([list(row) for row in _waste(show, found)], figures=(1,)),
        ]
        body.append(parts.state(None, "", [say("screen.waste")]))
    keys = [parts.key(say("shared.key.change"), {"look": "so_far"}, "undo")]
    main = parts.key(say(f"step.{step.id}.main"), {"event": parts.event("balance.seen", "done")})
    return body, {"caution": None, "keys": keys, "main": main}


def rows(show: Show, job: Job, waste: bool = True) -> tuple[tuple[str, str], ...]:
    """The balance's rows of the record, with those of the waste or without."""
    try:
        found = coolant.fluid_balance(show.rules, job)
    except Refusal as problem:
        return ((show.say("balance.row.closes"), show.told(problem)),)
    row, say = _verdict(show, found), show.say
    words = say("balance.in_record", word=row["word"], lines=" ".join(row["lines"]))
    wasted = _waste(show, found) if waste else ()
    return (
        (say("balance.row.closes"), words),
        *((say("balance.row.waste", name=name), volume) for name, volume in wasted),
    )


def _verdict(show: Show, found: Balance) -> Json:
    """Whether it closes if no air is left; what that means where it does not."""
    say = show.say
    if found.closure is None:
        names = ", ".join(say(f"field.coolant.{name}") for name in found.not_measured)
        lines = [say("balance.not_measured", names=names)]
        return parts.state("not_measured", say("balance.not_judged"), lines, framed=True)
    left = _left_over(show, found.closure)
    if found.closes == "yes":
        lines = [left, say("screen.closes")]
        return parts.state("done", say("balance.closes"), lines, framed=True)
    if found.closes == "not_judged" or found.misfit is None:
        return parts.state("not_measured", say("balance.vague"), [left], framed=True)
    others = ", ".join(say(f"misfit.{other}") for other in found.misfit.or_else)
    lines = [left, *([say("balance.or_else", causes=others)] if others else [])]
    cause = say(f"misfit.{found.misfit.cause}")
    word = say("balance.cause", size=Figure(found.misfit.size, "volume"), cause=cause)
    return parts.state("stop", word, lines, framed=True)


def _left_over(show: Show, volume: Volume) -> str:
    return show.say(
        "balance.left_over",
        value=Figure(volume.value, "volume"),
        low=Figure(volume.low, "volume"),
        high=Figure(volume.high, "volume"),
    )


def _waste(show: Show, found: Balance) -> tuple[tuple[str, str], ...]:
    return tuple(
        (show.say(f"waste.{stream}"), show.figure(volume.value, "volume"))
        for stream, volume in found.waste.items()
    )


def _typed(show: Show, job: Job, name: str) -> str:
    """As it was typed; the sum of all rounds where it was typed in more than one."""
    facts = rounds.told(job, name)
    if len(facts) == 1:
        return show.fact(show.rules.fields[name], facts[0])
    volume = rounds.total(job, name)
    return show.unmeasured() if volume is None else show.figure(volume, "volume")
