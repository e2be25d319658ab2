"""The mix plan as a graduated column, with the freeze point now and after."""

from __future__ import annotations

import math
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

_PATTERN: Final = {"concentrate": "solid", "water": "dotted", "premix": "solid"}


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of the mix plan."""
    rules = show.rules
    word = rules.text(f"step.{step.id}.main")
    try:
        made = coolant.mix_plan(rules, job)
        trouble = ""
    except Refusal as problem:
        made, trouble = None, show.told(problem)
    if made is None:
        title = rules.text(f"step.{step.id}.title")
        body = [parts.title(title), *_missing(show, job, trouble)]
        label = f"{word} without a plan"
    else:
        volume = show.figure(made.plan.fill_volume, "volume")
        body = [
            parts.title(f"Mix {volume}", f"to {100 * made.target:.0f}{NBSP}%"),
            _tank(show, made),
            *_ending(show, made),
            *_freeze(show, made),
        ]
        label = f"{word}, {volume}"
    keys = [parts.key("Change a figure", {"look": "so_far"}, "undo")]
    main = parts.key(label, {"event": parts.event("coolant.mixed", "done")}, "jug")
    return body, {"caution": step_caution(show, step), "keys": keys, "main": main}


def rows(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The plan's rows of the record."""
    try:
        made = coolant.mix_plan(show.rules, job)
    except Refusal as problem:
        return (("Mix plan", show.told(problem)),)
    if made is None:
        return (("Mix plan", "not made: " + ", ".join(_names(show, job)) + " not measured"),)
    amounts = ", ".join(_words(show, amount) for amount in made.plan.amounts)
    out = [("Mix plan", amounts), ("Strength after, planned", _percent(made.plan.result))]
    if made.glycol is not None and made.plan.freeze_point is not None:
        figure = show.figure(made.plan.freeze_point, "temperature")
        words = f"{figure}, inhibited coolant, within {show.difference(2.0)}"
        out.append(("Freeze point after, planned", words))
    return tuple(out)


def _names(show: Show, job: Job) -> list[str]:
    return [show.rules.text(f"field.{name}") for name in coolant.not_measured(job)]


def _missing(show: Show, job: Job, trouble: str) -> list[Json]:
    if trouble:
        return [parts.state("stop", "The volumes do not fit together", [trouble], framed=True)]
    rows = [
        parts.state("not_measured", name, [], "not measured", framed=True)
        for name in _names(show, job)
    ]
    return [parts.prompt("The mix cannot be planned without these. Nothing is guessed."), *rows]


def _words(show: Show, amount: Amount) -> str:
    return f"{show.figure(amount.volume, 'volume')} {amount.fluid.kind}"


def _percent(share: float) -> str:
    text = f"{100 * share:.1f}".removesuffix(".0")
    return f"{text}{NBSP}%"


def _tank(show: Show, made: MixPlan) -> Json:
    """What stays in, then concentrate, then water, from the bottom up."""
    unit = show.unit("volume")
    glycol = made.glycol or "glycol not known"
    subs = {
        "concentrate": f"{glycol}, from the label",
        "water": "deionised",
        "premix": f"{glycol}, 50{NBSP}%",
    }
    residual = {
        "amount": from_si(made.residual, unit),
        "pattern": "hatched",
        "value": show.number(made.residual, "volume"),
        "word": f"{unit} stays in",
        "sub": f"residual, measured {_percent(made.residual_strength)}",
    }
    order = sorted(made.plan.amounts, key=lambda amount: -amount.fluid.strength)
    poured = [
        {
            "amount": from_si(amount.volume, unit),
            "pattern": _PATTERN[amount.fluid.kind],
            "value": show.number(amount.volume, "volume"),
            "word": f"{unit} {amount.fluid.kind}",
            "sub": subs[amount.fluid.kind],
        }
        for amount in order
    ]
    high = from_si(made.capacity, unit)
    spoken = ", ".join(_words(show, amount) for amount in made.plan.amounts)
    return {
        "block": "picture",
        "picture": "tank",
        "high": high,
        "major": next(step for step in (0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if high / step <= 5),
        "unit": unit,
        "parts": [residual, *poured],
        "sentence": f"{show.figure(made.residual, 'volume')} stays in. Pour {spoken}.",
    }


def _ending(show: Show, made: MixPlan) -> list[Json]:
    """How it ends, where that is not the strength wanted, and what would mend it."""
    plan = made.plan
    if plan.reachable:
        return []
    lines = [f"Wanted is {_percent(made.target)}."]
    if plan.draw_off_first is not None:
        more = show.figure(plan.draw_off_first, "volume")
        lines.append(f"Draw off {more} more first, or use concentrate.")
    else:
        lines.append("It cannot be reached with what is at hand.")
    return [parts.state("stop", f"Ends at {_percent(plan.result)}", lines)]


def _freeze(show: Show, made: MixPlan) -> list[Json]:
    """The freeze points of inhibited coolant on one edge: after (filled), now (open)."""
    if made.glycol is None or made.plan.freeze_point is None:
        word = "Freeze point"
        return [parts.state("not_measured", word, ["The glycol is not known, or too strong."])]
    unit = show.unit("temperature")
    after = from_si(made.plan.freeze_point, unit)
    spread = 2.0 if unit == "°C" else 3.6
    said = show.number(made.plan.freeze_point, "temperature")
    mass = mass_from_volume(made.glycol, made.residual_strength)
    before = freeze_point_inhibited(made.glycol, mass) if mass <= INHIBITED_LIMIT else None
    now = None if before is None else from_si(before, unit)
    marks: list[Json] = [
        {"at": after, "words": f"after {said}", "filled": True,
         "from": after - spread, "to": after + spread}
    ]  # fmt: skip
    if before is not None:
        words = f"now {show.number(before, 'temperature')}"
        marks.append({"at": now, "words": words, "filled": False})
    shown = [after - spread, after + spread, *([now] if now is not None else [])]
    low = math.floor(min(shown) / 10) * 10 - 5
    high = max(math.ceil(max(shown) / 10) * 10, 0) + 2
    return [
        parts.heading("Freeze point"),
        {
            "block": "scale",
            "low": low,
            "high": high,
            "major": 10,
            "minor": 1 if high - low <= 70 else 2,
            "unit": unit,
            "limit": None,
            "marks": marks,
            "sentence": f"Freezes from about {said} {unit}, {made.glycol}, "
            f"within {show.difference(2.0)}.",
        },
    ]
