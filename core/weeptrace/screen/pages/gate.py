"""A shut gate: what keeps it shut, and for the cool-down gate how long it takes until it opens."""

from __future__ import annotations

import math

from weeptrace.job.events import Moment
from weeptrace.job.procedure import GateState, Known, gate_state, over_the_ceiling, parts_out
from weeptrace.job.state import Fact, Job
from weeptrace.quantity import from_si
from weeptrace.rules import Gate, conditions
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, clock
from weeptrace.screen.parts import Json
from weeptrace.warmup.lumped import cool_down


def blocks(show: Show, job: Job, gate: Gate, now: Moment) -> tuple[list[Json], Json]:
    """The blocks and the foot of a shut gate."""
    if "coolant.temperature" in gate.evidence:
        return _cold(show, job, gate, now)
    return _ticked(show, job, gate, gate_state(show.rules, job, gate, now).stale)


def _ticked(show: Show, job: Job, gate: Gate, stale: tuple[str, ...]) -> tuple[list[Json], Json]:
    """A gate that opens by what the job knows: each part of its condition that does not hold."""
    rules, text = show.rules, show.rules.text
    parted = gate.opens[1:] if gate.opens[0] == "and" else [gate.opens]
    shut = [part for part in parted if not _opens(show, job, part, stale)]
    names = dict.fromkeys(name for part in shut for name in conditions.fields(part))
    ticked = {
        name
        for name in gate.evidence
        if name not in stale and job.value(name) == "yes" and rules.fields[name].kind == "yes"
    }
    unasked = {name for name in names if name not in job.facts and name in rules.fields}
    beside = unasked - set(gate.evidence) if gate.evidence else set()  # no evidence, never asked
    rows = [
        row
        for name in names
        if name not in ticked | beside
        for row in _shut(show, job, name, gate, stale)
    ]
    body = [
        parts.title(text(f"gate.{gate.id}.title")),
        parts.prompt(show.rules.text(f"gate.{gate.id}.prompt")),
    ]
    keys = [
        parts.key(text("screen.so_far"), {"look": "so_far"}, "undo"),
        parts.stop_key(rules, gate.id),
    ]
    return [*body, *rows], {"caution": None, "keys": keys, "main": None}


def _opens(show: Show, job: Job, part: conditions.Tree, stale: tuple[str, ...]) -> bool:
    """Whether one part of a gate's condition holds on what is known and not stale."""
    known = Known(show.rules, job)
    found = conditions.evaluate(
        part, lambda name: None if name in stale else known[name], show.rules.limits,
        lambda name: 0.0,
    )  # fmt: skip
    return found is True


def _shut(show: Show, job: Job, name: str, gate: Gate, stale: tuple[str, ...]) -> list[Json]:
    """What keeps a gate shut, and the hand that opens it where one press can."""
    rules, text = show.rules, show.rules.text
    if name in ("ledger.out_to_run", "ledger.out"):
        return [
            parts.state(
                "stop", text(f"field.{part.id}"), ["still off"], "put it on", True,
                {"event": parts.event(part.id, "fact", "on")},
            )
            for part in parts_out(rules, job)
            if part.needed_to_run or name == "ledger.out"
        ]  # fmt: skip
    if name == "quote.over":
        over = over_the_ceiling(job)
        figure = "not measured" if over is None else f"{over:.0f}"
        return [parts.state("stop", text("screen.over_ceiling"), [], figure, True)]
    if name == "ledger.unfilled":
        return [parts.state("stop", text("gate.unfilled.seen"), [], "", True)]
    if name == "hold.gross":
        return [parts.state("stop", text("gate.not_gross.seen"), [], "", True)]
    if name == "seen.liquid":
        return [parts.state("stop", text("gate.no_liquid.seen"), [], "", True)]
    field, fact = rules.fields[name], job.facts.get(name)
    told = fact is not None and fact.value is not None and name not in stale
    words = show.fact(field, fact) if fact is not None else "not measured"
    words = text("screen.done_before") if name in stale else words
    do = None
    if field.kind == "yes" and not told:
        do = {"event": parts.event(name, "done")}
    elif fact is not None and told:
        do = {"event": parts.event(name, "undo", supersedes=fact.event.id)}
    # Under the name, which it would squeeze beside it.
    lines = [words, text("screen.press_to_undo")] if told else [words]
    rows = [parts.state("stop", text(f"field.{name}"), lines, "", True, do)]
    if field.kind == "choice" and not told and name in gate.evidence:
        rows.append(parts.choice(rules, field))
    return rows


def _cold(show: Show, job: Job, gate: Gate, now: Moment) -> tuple[list[Json], Json]:
    """The cool-down gate: temperature, then pressure."""
    status = gate_state(show.rules, job, gate, now)
    text = show.rules.text
    temperature = job.facts.get("coolant.temperature")
    fresh = temperature is not None and "coolant.temperature" not in status.stale
    body = [parts.title(text(f"gate.{gate.id}.title"))]
    if temperature is not None and temperature.value is not None:
        body += _measured(show, job, temperature, fresh)
    else:
        body.append(
            parts.state("not_measured", show.rules.text("field.coolant.temperature"),
                        [], text("gate.cold.not_measured"), framed=True)
        )  # fmt: skip
    value = temperature.value if temperature is not None and fresh else None
    cold = isinstance(value, float) and value < show.rules.limits["gate.temperature"]
    body += _pressure(show, job, status, cold)
    return body, _foot(show, job, cold)


def _measured(show: Show, job: Job, fact: Fact, fresh: bool) -> list[Json]:
    value = fact.value
    assert isinstance(value, float)
    text = show.rules.text
    limit = show.rules.limits["gate.temperature"]
    cold = value < limit
    shape, word = ("done", "cold") if cold else ("stop", "too_hot")
    label = f"{text('field.coolant.temperature')}, {clock(fact.event.at)}"
    body: list[Json] = [
        {
            "block": "value",
            "label": label,
            "value": show.number(value, "temperature"),
            "unit": show.unit("temperature"),
            "shape": shape if fresh else "not_measured",
            "word": text(f"gate.cold.{word}") if fresh else "Old",
        },
        _scale(show, value, limit, "now" if fresh else "then"),
    ]
    if not fresh:
        body.append(
            parts.state("waits", text("gate.cold.stale"), ["Measure again before it opens."])
        )
    elif not cold:
        body.append(_wait(show, job, fact, limit))
    return body


def _scale(show: Show, value: float, limit: float, when: str) -> Json:
    unit = show.unit("temperature")
    here, edge = from_si(value, unit), from_si(limit, unit)
    major = 10.0 if unit != "°F" else 20.0
    low = math.floor((min(here, edge - 3 * major) - 1) / major) * major
    high = math.ceil((max(here, edge + 4 * major) + 1) / major) * major
    words = show.rules.text("gate.cold.open_below")
    return {
        "block": "scale",
        "low": low,
        "high": high,
        "major": major if high - low <= 9 * major else 2 * major,
        "minor": major / 5,
        "unit": unit,
        "limit": {"at": edge, "words": words},
        "marks": [{"at": here, "words": when, "filled": True}],
        "sentence": f"{when.capitalize()} {show.figure(value, 'temperature')}; {words} "
        f"{show.limit(limit, 'temperature')}.",
    }


def _wait(show: Show, job: Job, fact: Fact, limit: float) -> Json:
    """When it will be cold, with the bonnet open."""
    figure = show.limit(limit, "temperature")
    ambient = job.value("place.ambient")
    if not isinstance(ambient, float) or ambient >= limit:
        return parts.state("waits", f"Waits for below {figure}", ["Measure again later."])
    about, between = cooled(show, fact, ambient, limit)
    return parts.state(
        "waits",
        f"Below {figure} at about {about}",
        [between, "Then measure again. Do other work."],
    )


def cooled(show: Show, fact: Fact, ambient: float, goal: float) -> tuple[str, str]:
    """When an engine of a measured temperature is as cool as ``goal`` (K, above ``ambient``).

    "14:30", "14:24 to 14:36, bonnet open.": Newton's law of cooling, ``warmup.lumped.cool_down``.
    """
    assert isinstance(fact.value, float)
    wait = cool_down(
        start=fact.value, ambient=ambient, goal=goal, limits=show.rules.limits, open_bonnet=True
    )
    about, low, high = (clock(fact.event.at, t) for t in (wait.value, wait.low, wait.high))
    return about, f"{low} to {high}, bonnet open."


def _pressure(show: Show, job: Job, status: GateState, cold: bool) -> list[Json]:
    """The pressure's row, or the question itself once the temperature is low enough."""
    text = show.rules.text
    name = "system.pressure_sign"
    field = show.rules.fields[name]
    fact = job.facts.get(name)
    answered = fact is not None and fact.value is not None and name not in status.stale
    if answered and fact is not None and fact.value != "under_pressure":
        return [parts.state("done", text("gate.cold.pressure"), [], show.fact(field, fact), True)]
    rows: list[Json] = []
    if answered:
        rows.append(parts.state("stop", text("gate.cold.pressure_pressing"), framed=True))
    elif not cold:
        words = text("gate.cold.not_measured")
        rows.append(parts.state("not_measured", text("gate.cold.pressure"), [], words, True))
    if cold:
        rows += [parts.heading(text("gate.cold.ask_pressure")), parts.choice(show.rules, field)]
    return rows


def _foot(show: Show, job: Job, cold: bool) -> Json:
    rules, text = show.rules, show.rules.text
    pad = parts.pad(show, job, rules.fields["coolant.temperature"])
    stop = parts.stop_key(rules, "cold")
    words = text("gate.cold.again" if "coolant.temperature" in job.facts else "gate.cold.measure")
    measure = parts.key(words, {"pad": pad}, "temperature")
    earlier = parts.key(text("screen.earlier"), {"earlier": pad}, "clock")
    return {
        "caution": parts.caution(show.rules.text(rules.cautions["hot_coolant"])),
        "keys": [measure, stop] if cold else [earlier, stop],
        "main": None if cold else measure,
    }
