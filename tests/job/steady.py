"""A steady hand for random walks: does what the screen asks, truly enough to get to the end."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

from tests.hands import NEEDLES, USUAL, Answer
from tests.logbook import Logbook
from weeptrace import screen
from weeptrace.job import danger, holds
from weeptrace.job.car.parts import parts_out
from weeptrace.job.procedure import Position, gate_state
from weeptrace.job.state import Job
from weeptrace.rules import Field, Gate, Step, load

RULES = load()
CHOSEN = screen.preferences(None, RULES)
KINDS = {"yes": "done", "photo": "photo", "mark": "mark", "reading": "reading"}
# What opens a gate; any other evidence is ticked, or takes any of its words.
OPENING: dict[str, tuple[Answer, ...]] = {
    "coolant.temperature": (("18", "°C"), ("22", "°C"), ("31", "°C"), ("64", "°C")),
    "system.pressure_sign": (("hose_soft", None),) * 9 + (("under_pressure", None),),
}


def _often(field: str, word: str, more: int) -> tuple[Answer, ...]:
    """Each word of a choice once, and one of them more often."""
    return tuple((each, None) for each in (*RULES.fields[field].options, *[word] * more))


# What most cars are, where any word as likely as any other would lead nowhere.
LIKELY: dict[str, tuple[Answer, ...]] = {
    **{
        field.id: (("no", None),) * 19 + (("yes", None),)
        for field in RULES.fields.values()
        if field.id.startswith("drive.") and "yes" in field.options
    },
    "drive.decision": (("drive", None),) * 3 + (("tow", None),),
    "belt.kind": (("timing", None), ("timing", None), ("accessory", None), ("electric", None)),
    "finding.place": _often("finding.place", "not_found", 5),
    "test.kind": _often("test.kind", "dye", 1) + _often("test.kind", "level_watch", 1),
}


def follow(rng: random.Random, log: Logbook, job: Job, here: Position) -> None:
    """Do what the present page asks."""
    step = here.step
    assert step is not None
    over = danger.above_rating(RULES, job)
    if over is not None and over.on:
        log.add("reading", holds.LET_OFF, f"{0.9 * over.allowed:.0f}", "Pa")
    elif over is not None:
        log.add("fact", danger.LOOKED, "All dry")
    elif here.gate is not None:
        _open(rng, log, job, here.gate)
    elif step.shows == "ledger_off":
        _take_off(rng, log, job)
        log.add("done", "ledger.off_complete")
    elif step.shows == "ledger_on":
        for part in parts_out(RULES, job)[::-1]:
            log.add("fact", part.id, "on")
        log.add("done", "ledger.on_complete")
    elif step.reads is not None and step.asks is None:
        _read(rng, log, job, step)
    else:
        _answer_all(rng, log, step)


def _open(rng: random.Random, log: Logbook, job: Job, gate: Gate) -> None:
    """Show a gate's evidence; where it has none to type, press what the page offers."""
    state = gate_state(RULES, job, gate, screen.read_moment(log.moment()))
    due = [*state.missing, *state.stale]
    for name in due:
        _say(rng, log, RULES.fields[name], OPENING.get(name))
    if due:
        return
    offered = list(_offered(screen.view(RULES, job, log.moment(), CHOSEN, "")))
    forward = [each for each in offered if each["kind"] != "undo"]
    if not offered or rng.random() < 0.02:
        log.add("stopped", f"gate.{gate.id}", "it cannot be done here")
        return
    do = rng.choice(forward or offered)
    log.add(do["kind"], do["field"], do["typed"], do["unit"], supersedes=do.get("supersedes"))


def _offered(view: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The events behind the rows and keys of a page."""
    for block in view["blocks"]:
        for row in (block, *block.get("rows", [])):
            do = row.get("do") if isinstance(row, dict) else None
            if do and "event" in do:
                yield do["event"]


def _take_off(rng: random.Random, log: Logbook, job: Job) -> None:
    kind = job.value("repair.kind")
    for field in RULES.fields.values():
        if kind in field.belongs and job.value(field.id) != "off" and rng.random() < 0.97:
            if ".own_" in field.id:
                continue
            log.add("fact", field.id, "off")


def _read(rng: random.Random, log: Logbook, job: Job, step: Step) -> None:
    """Some needles, then the end of the series."""
    assert step.reads is not None
    needles = NEEDLES[step.reads]
    taken = len(job.present(step.reads).readings)
    for typed, unit in needles[taken:]:
        log.now += rng.choice((30.0, 60.0))
        log.add("reading", step.reads, typed, unit)
    log.add("mark", f"{step.reads.partition('.')[0]}.ended")


def _answer_all(rng: random.Random, log: Logbook, step: Step) -> None:
    """The rows of a page, then its question; a page of ticks alone has them all ticked."""
    for name in step.checks:
        field = RULES.fields[name]
        if step.asks is None or rng.random() < 0.5:
            _say(rng, log, field)
    if step.asks is None:
        return
    field = RULES.fields[step.asks]
    if step.skip and rng.random() < 0.15:
        log.add("not_done", field.id)
    else:
        _say(rng, log, field)


def _say(
    rng: random.Random, log: Logbook, field: Field, answers: tuple[Answer, ...] | None = None
) -> None:
    """One answer: a usual one most of the time, else another that the field takes."""
    usual = USUAL.get(field.id)
    answers = answers or LIKELY.get(field.id)
    if answers is not None:
        typed, unit = rng.choice(answers)
    elif field.kind in ("choice", "choices"):
        typed, unit = rng.choice(field.options), None
    elif usual is not None and usual[1] is not None and rng.random() < 0.85:
        typed, unit = usual
    elif field.numeric:
        typed, unit = _figure(rng, field)
    else:
        typed, unit = "Sand" if field.kind in ("text", "photo") else "", None
    kind = "closed" if field.id == "job.closed" else KINDS.get(field.kind, "fact")
    log.add(kind, field.id, typed, unit)


def _figure(rng: random.Random, field: Field) -> Answer:
    """A figure in the lower part of the field's range, as a hand would type it."""
    if field.kind == "count":
        return str(rng.randrange(int(field.low or 0), 20)), "1"
    low, high = field.low or 0.0, field.high if field.high is not None else 1.0
    shown = screen.Show(RULES, CHOSEN.units).number(
        rng.uniform(low, low + 0.3 * (high - low)), field.unit_key
    )
    return shown.replace("\N{MINUS SIGN}", "-"), CHOSEN.units[field.unit_key]
