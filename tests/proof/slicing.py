"""What a slice is, what a hand can do in it, and how it is searched whole."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from tests.proof import guarded, invariants, trade
from tests.proof.cells import Cuts
from tests.proof.history import did, is_cold, parts_off
from tests.proof.offered import State, sets
from tests.proof.search import Check, Found, search
from tests.proof.world import Move, after, answer, answers, corrections, start, undo_last
from weeptrace.job.car.left import BACK, left
from weeptrace.job.procedure import gate_state
from weeptrace.rules import Gate, Rules

PROCEDURE: Final = "coolant_loss"
LATE: Final = 0.6  # of the age of evidence
SET_BACK: Final = 100.0  # times that age: further than any course of a search waits
LIQUID: Final = (
    trade.CYLINDERS, "test.again", trade.GAS, trade.TURNED, trade.TOLD_LIQUID,
    *trade.START_ANYWAY,
)  # fmt: skip


@dataclass(frozen=True)
class Shown:
    """Evidence of one kind: its fields with an answer that opens, its age, and what undoes it."""

    name: str
    opens: Mapping[str, str | float]
    age: float
    undone: re.Pattern[str]
    check: Check
    late: bool = True  # a hand may type it late, and it is of any age; else only fresh or too old


COLD: Final = Shown(
    "cold", {trade.TEMPERATURE: 290.0, trade.SIGN: "hose_soft"}, trade.EVIDENCE_AGE,
    trade.DISTURBS, invariants.opens_cold,
)  # fmt: skip
FAN_OFF: Final = Shown(
    "fan off", dict.fromkeys(trade.FAN_OFF, ""), trade.FAN_AGE, trade.FAN_LIVE, invariants.fan_off
)
KEY: Final = Shown(
    "key", {trade.KEY: trade.KEY_AWAY[0]}, trade.FAN_AGE, trade.KEY_HERE, invariants.key_away
)
COOL: Final = Shown(
    "cool", {trade.TEMPERATURE: 290.0}, trade.TOUCH_AGE, trade.HEATS, invariants.touches_cool
)
FAN_BACK: Final = Shown(
    "fan back", dict.fromkeys(trade.FAN_ON, ""), trade.FAN_AGE, trade.FAN_GONE, invariants.fan_back
)


STANDS: Final = Shown(
    "stands", {trade.RAISED: "raised", **dict.fromkeys(trade.STANDS, "")}, trade.STANDS_AGE,
    trade.MOVES_CAR, invariants.on_stands, late=False,
)  # fmt: skip
AIR: Final = Shown(
    "air", {trade.AIR: "outdoors"}, trade.AIR_AGE, trade.AIR_UNKNOWN, invariants.open_air
)
BATTERY: Final = Shown(
    "battery", {trade.WAITED: ""}, trade.FAN_AGE, trade.BATTERY_ON, guarded.airbags_dead
)
EVERY: Final = (COLD, COOL, KEY, FAN_OFF, FAN_BACK, STANDS, AIR, BATTERY)


@dataclass(frozen=True)
class Slice:
    """One proof: what is kept, which fields a hand sets, and what must hold."""

    name: str
    rules: Rules
    fields: tuple[str, ...]
    checks: tuple[Check, ...]
    given: tuple[str | Move, ...] = ()  # answered or done beforehand
    shown: Shown | None = None  # the evidence that it rests on
    clock: bool = False  # it grows old, and things undo it
    apart: Mapping[str, tuple[float]] = field(default_factory=dict)  # further cuts

    @cached_property
    def rests_on(self) -> list[Gate]:
        """The gates that rest on one of its fields."""
        every = self.rules.gates.values()
        return [gate for gate in every if not set(gate.evidence).isdisjoint(self.fields)]

    @property
    def kind(self) -> str:
        """The first word of its name."""
        return self.name.split()[0]

    @cached_property
    def skipped(self) -> set[str]:
        """The fields that may be answered "not measured"."""
        steps = self.rules.procedures[PROCEDURE].steps
        return {step.asks for step in steps if step.skip and step.asks is not None}

    @cached_property
    def asked(self) -> set[str]:
        """The fields that a step waits for."""
        return set().union(*(sets(step) for step in self.rules.procedures[PROCEDURE].steps))


def prove(piece: Slice, *, first: bool = False, most: int = 200_000) -> Found:
    """Search one slice whole."""
    parts = dict.fromkeys(part_fields(piece.rules), ("off",))
    cuts = Cuts(piece.rules, {**trade.APART, **parts, **piece.apart})
    node = start(piece.rules)
    for each in piece.given:
        told = isinstance(each, str)
        move = next(answers(cuts, piece.rules.fields[each])) if told else each
        node = after(piece.rules, node, move)
    return search(
        piece.rules, node, lambda state: _moves(piece, cuts, state),
        lambda state: _key(piece, cuts, state), piece.checks, first=first, most=most,
    )  # fmt: skip


def part_fields(rules: Rules) -> list[str]:
    return [field.id for field in rules.fields.values() if field.kind == "part"]


def _moves(piece: Slice, cuts: Cuts, state: State) -> Iterator[Move]:
    rules, node = piece.rules, state.node
    for name in piece.fields:
        fact = node.job.facts.get(name)
        every = list(answers(cuts, rules.fields[name]))
        if piece.kind == "order" and name in trade.RATED:  # what is above has slices of its own
            every = [min(every, key=lambda move: float(move.typed))]
        for move in every:
            same = fact is not None and move.typed == fact.event.typed
            if piece.clock or not same:  # the same again changes only the moment
                yield move
        if rules.fields[name].kind not in ("reading", "mark", "part"):
            yield Move(f"{name} not measured", "not_done", name, "no time")
    # Elsewhere a correction comes to the same as another answer: only where order counts.
    capped = not set(trade.CAPS).isdisjoint(piece.fields)
    ordered = piece.fields if piece.clock else (trade.RATING, trade.SPAN) if capped else ()
    yield from corrections(cuts, node, list(ordered))
    yield from undo_last(node)
    if state.here.gate is not None and node.job.stopped is None:
        yield Move("stop", "stopped", f"gate.{state.here.gate.id}", "refer")
    if piece.shown is None or not piece.clock:
        return
    for share in (LATE, 1.0, 1.01) if piece.shown.late else (1.01,):
        yield Move(f"wait {share:g} of the age", wait=share * piece.shown.age)
    yield Move("asleep", wait=1.01 * piece.shown.age, sleeps=True)
    if state.node.shift == 0.0:
        yield Move("clock set back", sets=-SET_BACK * piece.shown.age)
    yield Move("restart", "resumed", "app.resumed", boots=True)
    for name, value in piece.shown.opens.items() if piece.shown.late else ():
        field = rules.fields[name]
        move = answer(field, value) if value else next(answers(cuts, field))
        yield replace(move, label=f"{move.label}, typed late", ago=LATE * piece.shown.age)
    for field in rules.fields.values():
        if field.kind == "part":
            words = [f"{field.id} {word}" for word in field.options]
            if any(map(piece.shown.undone.fullmatch, words)):
                yield from answers(cuts, field)
        elif piece.shown.undone.fullmatch(field.id) and field.id not in piece.fields:
            yield next(answers(cuts, field))


def _key(piece: Slice, cuts: Cuts, state: State) -> Hashable:
    job = state.node.job
    stale: set[str] = set()
    shown = piece.shown if piece.clock else None
    for gate in piece.rests_on if shown is not None else ():
        stale |= set(gate_state(piece.rules, job, gate, state.node.read_moment()).stale)
    evidence = set(piece.fields) if shown is not None else set()
    parts: list[Hashable] = []
    for name in piece.fields:
        fact = job.facts.get(name)
        if fact is not None and fact.value is None and name not in piece.skipped:
            fact = None
        if name in stale or fact is None:
            unknown = (cuts.cell(name, None), bool(job.present(name).readings))
            parts.append(None if name in evidence else unknown)
            continue
        cell: Hashable = (cuts.cell(name, fact.value), name in piece.asked)
        if shown is not None:
            line = state.history.latest(name)
            age = None if line is None else round(state.now - line.wall)
            cell = (cell, age, line is None or state.history.since(line, shown.undone))
        parts.append(cell)
    if shown is not None and shown.late:
        late = state.now - LATE * shown.age
        moments = (x.wall for x in state.history.lines if shown.undone.fullmatch(did(x.raw)))
        parts.append(any(moment > late for moment in moments))
    if shown is not None:
        parts.append(state.node.shift)
        parts.append(tuple(sorted(parts_off(state.history))))
    pairs = (pair for pair in trade.FOLLOWS.items() if set(pair) & set(piece.fields))
    lacking = tuple(state.history.lacks(*pair) for pair in pairs)
    liquid = state.history.liquid() if set(LIQUID) & set(piece.fields) else ()
    joints: list[Hashable] = []
    if trade.LEVEL in piece.fields:
        since = [len(state.history.opened_since(name)) for name in (trade.FILLED, trade.LEVEL)]
        known = tuple(n for n in trade.JOINTS if job.value(n) is not None)
        joints = [*since, known, job.value("job.closed")]
    hot = state.history.hot() if set(trade.HOTTEST) & set(piece.fields) else False
    if set(trade.RATED) & set(piece.fields):
        parts.append(state.history.above())
    if piece.kind == "back":  # what the rules make of it too: they may see another order
        parts.append(state.history.put_back())
        parts.append(tuple(left(piece.rules, job, name) for name in BACK))
    if hot:
        parts.append(is_cold(state.history, state.now))
    return (*parts, lacking, hot, liquid, tuple(joints), job.stopped is None)
