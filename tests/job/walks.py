"""Random walks over whole jobs: what a hand, a phone and a bad day can do to one."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass
from typing import Any

from tests.job import steady
from tests.job.steady import CHOSEN, RULES
from tests.logbook import Logbook
from weeptrace import screen
from weeptrace.job.advance import advance, fold
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import Position, position
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import Field

FIELDS = [field for field in RULES.fields.values() if field.id not in ("job.practice",)]
NONSENSE = ("", "abc", "-1", "1e9", "12,5", "9" * 14, "NaN", "0x10", "½", " 7 ", "--3", "\x00")
LATER = ("extra.found", "broken.found", "work.reopened", "test.again")
STEPS = {step.id for step in RULES.procedures["coolant_loss"].steps}
LOOKS = ("", "", "", "so_far", "record", "find", "find.asks")


TEMPERS = {"steady": (0.975, 260), "careless": (0.70, 40)}
"""How often a hand does what the screen asks, and in how many turns it gives up."""


@dataclass
class Walked:
    """What one walk did: its counts, the steps and gates that it stood at, and its events."""

    counts: Counter[str]
    met: set[str]
    events: list[dict[str, Any]]


def walk(seed: int, views: int = 2) -> Walked:
    """One walk; raises AssertionError where a promise breaks."""
    rng = random.Random(seed)
    temper = rng.choice(("steady", "steady", "careless"))
    follows, turns = TEMPERS[temper]
    log = Logbook()
    live = advance(RULES, EMPTY, log.events[0])
    looked_at = set(rng.sample(range(turns), views))
    met: set[str] = set()
    for number in range(turns):
        log.now += rng.choice((1.0, 5.0, 60.0, 60.0, 1500.0 if temper == "careless" else 90.0))
        here = standing(log, live)
        if here is not None:
            met |= {f"gate.{here.gate.id}"} if here.gate else {here.step.id} if here.step else set()
        if here is not None and here.step is None and temper == "steady":
            break
        before = len(log.events)
        if rng.random() >= follows:
            _depart(rng, log)
        elif here is not None and here.step is not None:
            (_follow if temper == "careless" else steady.follow)(rng, log, live, here)
        for event in log.events[before:]:
            live = advance(RULES, live, event)
        if number in looked_at:
            look = rng.choice(LOOKS)
            view = screen.view(RULES, live, log.moment(), CHOSEN, look)
            assert view["blocks"], (seed, number)
    assert live == fold(RULES, log.events), f"replay differs from live, seed {seed}"
    _nothing_lost(live, log, seed)
    outcomes = Counter(live.seen.values())
    counts = Counter(
        walks=1,
        events=len(log.events),
        refused=outcomes["refused"],
        superseded=outcomes["superseded"],
        closed=int(live.value("job.closed") is not None),
    )
    return Walked(counts, met, log.events)


def standing(log: Logbook, job: Job) -> Position | None:
    """Where a job stands now; None where its fold stopped short."""
    if job.broken is not None or not job.id:
        return None
    return position(RULES, job, read_moment(log.moment()))


def _nothing_lost(job: Job, log: Logbook, seed: int) -> None:
    """Every stored event is accounted for: judged, superseded, broken or waiting behind that."""
    waiting = " ".join([*job.waiting, job.broken[0] if job.broken else ""])
    for event in log.events:
        assert event["id"] in job.seen or event["id"] in waiting, (seed, event)


def _depart(rng: random.Random, log: Logbook) -> None:
    """Something else than the screen asks: a slip, a correction, a restart, a late finding."""
    luck = rng.uniform(0.70, 1.0)
    if luck < 0.80:
        field = rng.choice(FIELDS)
        kind = rng.choice(("fact", "reading", "mark", "done", "not_done", "note", "photo"))
        log.add(
            kind, field.id, rng.choice(NONSENSE), rng.choice((None, "kPa", "L", "furlong", "1"))
        )
    elif luck < 0.86:
        target = rng.choice(log.events)
        log.add("undo", target["field"], supersedes=target["id"])
    elif luck < 0.92:
        target = rng.choice(log.events)
        typed, unit = _answer(rng, RULES.fields.get(target["field"]))
        log.add(target["kind"], target["field"], typed, unit, supersedes=target["id"])
    elif luck < 0.95:
        log.reboot()
    elif luck < 0.98:
        log.add(
            "mark", rng.choice(("engine.ran", "hold.again", "hold.pumped", "vacuum.again", *LATER))
        )
    else:
        broken = log.add("fact", "car.name", "x")
        broken.pop(rng.choice(("typed", "mono", "at")))
        log.add("undo", "car.name", supersedes=broken["id"])


def _follow(rng: random.Random, log: Logbook, job: Job, here: Position) -> None:
    """Answer the present step anyhow, as a careless hand does."""
    step = here.step
    assert step is not None
    if here.gate is not None and here.gate.evidence:
        log.add("fact", "coolant.temperature", rng.choice(("15", "20", "49", "50", "74")), "°C")
        log.add("fact", "system.pressure_sign", rng.choice(("hose_soft", "under_pressure")))
        return
    if step.reads is not None and step.shows in ("recorder", "warm_log"):
        if len(job.present(step.reads).readings) > 6:
            log.add("mark", f"{step.reads.partition('.')[0]}.ended")
            return
        typed, unit = _answer(rng, RULES.fields[step.reads])
        log.add("reading", step.reads, typed, unit)
        return
    if step.shows in ("ledger_off", "ledger_on") and rng.random() < 0.7:
        parts = [f for f in RULES.fields.values() if job.value("repair.kind") in f.belongs]
        parts = parts or [f for f in RULES.fields.values() if f.kind == "part"]
        log.add("fact", rng.choice(parts).id, "off" if step.shows == "ledger_off" else "on")
        return
    asked = (
        step.checks
        if step.asks is None
        else (*rng.sample(step.checks, min(2, len(step.checks))), step.asks)
    )
    for name in asked:
        field = RULES.fields[name]
        if step.skip and rng.random() < 0.3:
            log.add("not_done", name, "no time")
            continue
        typed, unit = _answer(rng, field)
        kind: dict[str, Any] = {"yes": "done", "photo": "photo", "mark": "mark"}
        closes = name == "job.closed"
        log.add("closed" if closes else kind.get(field.kind, "fact"), name, typed, unit)


def _answer(rng: random.Random, field: Field | None) -> tuple[str, str | None]:
    """A plausible answer, within the range three times in four."""
    if field is None:
        return "x", None
    if field.kind in ("choice", "part"):
        return rng.choice(field.options), None
    if not field.numeric or field.low is None or field.high is None:
        return rng.choice(("Selwick", "a tray", "x" * 200)), None
    if field.kind == "count":
        return str(rng.randrange(0, 120)), "1"
    unit = CHOSEN.units[field.unit_key]
    show = screen.Show(RULES, CHOSEN.units)
    low, high = field.low, min(field.high, field.low + 0.4 * (field.high - field.low))
    value = rng.uniform(low, high) if rng.random() < 0.75 else rng.uniform(-high, 2.0 * high)
    return show.number(value, field.unit_key).replace("\N{MINUS SIGN}", "-"), unit
