"""The mix plan as a graduated column, with the freeze point now and after."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from weeptrace.fill.mix import Amount
from weeptrace.job import coolant
from weeptrace.job.coolant import MixPlan
from weeptrace.job.state import Job
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.properties.freeze import INHIBITED_LIMIT, freeze_point_inhibited
from weeptrace.quantity import from_si
from weeptrace.refusal import Refusal
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.pages.step import step_caution
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

WITHIN: Final = 2.0  # K, how close the freeze point of an inhibited coolant is known
_PATTERN: Final = {"concentrate": "solid", "water": "dotted", "premix": "solid"}


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the mix plan."""
    say = show.say
    word = say(f"step.{step.id}.main")
    try:
        made = coolant.mix_plan(show.rules, job)
        trouble = ""
    except Refusal as problem:
        made, trouble = None, show.told(problem)
    if made is None:
        title = say(f"step.{step.id}.title")
        body = [parts.title(title), *_missing(show, job, trouble)]
        label = say("mix.key.without", main=word)
    else:
        volume = Figure(made.plan.fill_volume, "volume")
        to = say("mix.to", share=Figure(made.target, "ratio"))
        body = [
            parts.title(say("mix.title", volume=volume), to),
            _tank(show, made),
            *_ending(show, made),
            *_freeze(show, made),
        ]
        label = say("mix.key.with", main=word, volume=volume)
    keys = [parts.key(say("shared.key.change"), {"look": "so_far"}, "undo")]
    main = parts.key(label, {"event": parts.event("coolant.mixed", "done")}, "jug")
    return body, {"caution": step_caution(show, step), "keys": keys, "main": main}


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The plan's rows of the record."""
    try:
        made = coolant.mix_plan(show.rules, job)
    except Refusal as problem:
        return ((show.say("mix.row.plan"), show.told(problem)),)
    if made is None:
        names = ", ".join(_names(show, job))
        return ((show.say("mix.row.plan"), show.say("mix.plan.not_made", names=names)),)
    say = show.say
    out = [
        (say("mix.row.plan"), _words(show, made.plan.amounts)),
        (say("mix.row.result"), _percent(made.plan.result)),
    ]
    if made.glycol is not None and made.plan.freeze_point is not None:
        at, within = Figure(made.plan.freeze_point, "temperature"), Figure(WITHIN, "difference")
        out.append((say("mix.row.freeze"), say("mix.plan.freeze", at=at, within=within)))
    return tuple(out)


def _names(show: Show, job: Job) -> list[str]:
    return [show.say(f"field.{name}") for name in coolant.not_measured(job)]


def _missing(show: Show, job: Job, trouble: str) -> list[Json]:
    if trouble:
        word = show.say("shared.volumes_misfit")
        return [parts.state("stop", word, [trouble], framed=True)]
    rows = [
        parts.state("not_measured", name, [], show.unmeasured(), framed=True)
        for name in _names(show, job)
    ]
    return [parts.prompt(show.say("mix.missing")), *rows]


def _words(show: Show, amounts: Iterable[Amount]) -> str:
    return ", ".join(
        show.say(f"mix.amount.{amount.fluid.kind}", volume=Figure(amount.volume, "volume"))
        for amount in amounts
    )


def _percent(share: float) -> str:
    text = f"{100 * share:.1f}".removesuffix(".0")
    return f"{text}{NBSP}%"


def _tank(show: Show, made: MixPlan) -> Json:
    """What stays in, then concentrate, then water, from the bottom up."""
    unit, say = show.unit("volume"), show.say
    glycol = say(f"glycol.{made.glycol or 'unknown'}")
    residual = {
        "amount": from_si(made.residual, unit),
        "pattern": "hatched",
        "value": show.number(made.residual, "volume"),
        "word": say("mix.tank.residual", unit=unit),
        "sub": say("mix.measured", share=_percent(made.residual_strength)),
    }
    order = sorted(made.plan.amounts, key=lambda amount: -amount.fluid.strength)
    poured = [
        {
            "amount": from_si(amount.volume, unit),
            "pattern": _PATTERN[amount.fluid.kind],
            "value": show.number(amount.volume, "volume"),
            "word": say(f"mix.tank.{amount.fluid.kind}", unit=unit),
            "sub": say(f"mix.tank_sub.{amount.fluid.kind}", glycol=glycol),
        }
        for amount in order
    ]
    high = from_si(made.capacity, unit)
    amounts = _words(show, made.plan.amounts)
    return {
        "block": "picture",
        "picture": "tank",
        "high": high,
        "major": next(step for step in (0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if high / step <= 5),
        "unit": unit,
        "parts": [residual, *poured],
        "sentence": say("mix.spoken.tank", volume=Figure(made.residual, "volume"), amounts=amounts),
    }


def _ending(show: Show, made: MixPlan) -> list[Json]:
    """How it ends, where that is not the strength wanted, and what would mend it."""
    plan, say = made.plan, show.say
    if plan.reachable:
        return []
    lines = [say("mix.ends.wanted", share=_percent(made.target))]
    if plan.draw_off_first is not None:
        lines.append(say("mix.ends.draw_off", volume=Figure(plan.draw_off_first, "volume")))
    else:
        lines.append(say("mix.ends.never"))
    return [parts.state("stop", say("mix.ends.at", share=_percent(plan.result)), lines)]


def _freeze(show: Show, made: MixPlan) -> list[Json]:
    """The freeze points of inhibited coolant on one edge: after (filled), now (open)."""
    say, heading = show.say, show.say("mix.freeze.heading")
    if made.glycol is None or made.plan.freeze_point is None:
        return [parts.state("not_measured", heading, [say("mix.freeze.unknown")])]
    unit = show.unit("temperature")
    after = from_si(made.plan.freeze_point, unit)
    spread = from_si(made.plan.freeze_point + WITHIN, unit) - after
    at = Figure(made.plan.freeze_point, "temperature")
    mass = mass_from_volume(made.glycol, made.residual_strength)
    before = freeze_point_inhibited(made.glycol, mass) if mass <= INHIBITED_LIMIT else None
    now = None if before is None else from_si(before, unit)
    marks: list[Json] = [
        {"at": after, "words": say("mix.freeze.after", at=at), "filled": True,
         "from": after - spread, "to": after + spread}
    ]  # fmt: skip
    if before is not None:
        words = say("mix.freeze.now", at=Figure(before, "temperature"))
        marks.append({"at": now, "words": words, "filled": False})
    shown = [after - spread, after + spread, *([now] if now is not None else [])]
    low = math.floor(min(shown) / 10) * 10 - 5
    high = max(math.ceil(max(shown) / 10) * 10, 0) + 2
    return [
        parts.heading(heading),
        {
            "block": "scale",
            "low": low,
            "high": high,
            "major": 10,
            "minor": 1 if high - low <= 70 else 2,
            "unit": unit,
            "limit": None,
            "marks": marks,
            "sentence": say(
                "mix.spoken.freeze",
                at=at,
                glycol=say(f"glycol.{made.glycol}"),
                within=Figure(WITHIN, "difference"),
            ),
        },
    ]
