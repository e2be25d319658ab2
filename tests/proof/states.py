"""The states of the car, searched: where a job stands, and what is known of the car there.

A state of the car is smaller than a job: two jobs that stand at one step, with the same known of
each variable of the state, the same off, unfilled and undone, and the same read by the gates ahead,
are one. So a state stands for many jobs, and one of them goes on for all: what is proved of jobs
stands in the slices. What is looked for here is a second bad day on top of the first.

Moves are those of the whole procedure (``walk.py``) and more departures: time past each age, the
next day, a wall clock set back, a phone that sleeps or starts anew, a car that was moved, every key
that begins something again, an earlier entry taken back. A departure at a step whose acts can hurt
costs 1, elsewhere 2; of a bound of 3 that is one anywhere and another at each such step.

The oracle's own view of the car is part of the key, so that no state hides that it differs.
"""

from __future__ import annotations

import hashlib
import math
import resource
from collections.abc import Callable, Hashable, Iterator
from dataclasses import replace
from typing import Any, Final

from tests.proof import invariants, trade
from tests.proof.history import is_cold, parts_off
from tests.proof.invariants import State, Told
from tests.proof.search import Found, search
from tests.proof.walk import FREE, Whole
from tests.proof.world import Move, corrections, start
from weeptrace.job.car.known import Known, known
from weeptrace.job.procedure import gate_state
from weeptrace.rules import Rules, conditions

BOUND: Final = 3
HURTS: Final = 1  # what a departure costs where an act can hurt
ELSEWHERE: Final = 2
SHORT: Final = 0.6  # of the age of what shows that it is cold
DAY: Final = 24.0 * 3600.0  # s
SET_BACK: Final = -100.0 * trade.EVIDENCE_AGE
# What says that no act is offered while it is dangerous; the others are about pages and records.
DANGERS: Final[tuple[Callable[[State], Told], ...]] = (
    invariants.opens_cold, invariants.fan_off, invariants.key_away, invariants.touches_cool,
    invariants.oil_goes, invariants.fan_back, invariants.firm_ground, invariants.on_stands,
    invariants.caps_known, invariants.under_the_scale, invariants.lets_off,
    invariants.ready_to_run, invariants.stops_hot, invariants.after_gross, invariants.put_back,
    invariants.open_air, invariants.no_liquid, invariants.isolated, invariants.fit_to_drive,
    invariants.consented, invariants.closes_whole, invariants.filled_up, invariants.levelled,
    invariants.let_off,
)  # fmt: skip


def explore(
    rules: Rules, *, bound: int = BOUND, repairs: tuple[str, ...] = (),
    free: tuple[str, ...] = FREE, most: int = 1_000_000, first: bool = False,
    only: frozenset[str] = frozenset(),
) -> Found:  # fmt: skip
    """Search the states of the car; ``only``: departures at these steps alone, at all where empty.

    ``repairs``, ``free``, ``most``, ``first`` as of ``walk``.
    """
    states = States(rules, repairs, free, only)
    return search(
        rules, start(rules), states.moves, states.key, DANGERS,
        first=first, most=most, departures=bound,
    )  # fmt: skip


def peak() -> float:
    """The most memory that this process has had, bytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0


class States(Whole):
    """The moves of the whole procedure, and keys that hold the state of the car."""

    def __init__(
        self, rules: Rules, repairs: tuple[str, ...] = (), free: tuple[str, ...] = FREE,
        only: frozenset[str] = frozenset(),
    ) -> None:  # fmt: skip
        super().__init__(rules, repairs, free)
        self.only = only
        self.keys = [field for field in rules.fields.values() if field.kind == "mark"]
        self.shows = {
            name: {field for field, *_ in variable.given} for name, variable in rules.state.items()
        }
        shown = set().union(*self.shows.values())
        self.read = sorted(
            name
            for gate in rules.gates.values()
            for name in set(conditions.fields(gate.opens))
            if name in rules.fields and name not in shown
        )
        ages = {trade.EVIDENCE_AGE, trade.AIR_AGE, trade.FAN_AGE}
        ages |= {rules.limits[v.lasts] for v in rules.state.values() if v.lasts is not None}
        self.waits = (SHORT * trade.EVIDENCE_AGE, *(1.01 * age for age in sorted(ages)), DAY)

    def key(self, state: State) -> Hashable:
        """See the module."""
        rules, node, job = self.rules, state.node, state.node.job
        history, here, now = state.history, state.here, state.now
        moment = node.read_moment()
        of_car = [
            self._cell(known(rules, job, variable, moment), variable.dimension is not None)
            for variable in rules.state.values()
        ]
        off = parts_off(history)
        oracle = (
            is_cold(history, now), history.fan_is_off(now), history.key_is_away(now),
            history.metal_is_cool(now), history.fan_is_back(now), history.put_back(),
            history.liquid(), history.hot(), history.above(), tuple(history.oil()),
            [history.holds(name, trade.MOVES_CAR, trade.STANDS_AGE, now)
             for name in (trade.RAISED, *trade.STANDS)],
            history.holds(trade.AIR, trade.AIR_UNKNOWN, trade.AIR_AGE, now),
            history.gross(), history.over_the_ceiling(),
            [history.lacks(*pair) for pair in trade.FOLLOWS.items()],
        )  # fmt: skip
        ledger = (
            bool(off - set(trade.MAY_BE_OFF)), bool(off & set(trade.JOINTS)), bool(off),
            bool(history.opened_since(trade.FILLED)), bool(history.opened_since(trade.LEVEL)),
        )  # fmt: skip
        step = here.step
        reads = None if step is None else step.reads
        asked = () if step is None else (*step.checks, *conditions.fields(step.done or ["and"]))
        gates = [
            gate_state(rules, job, rules.gates[id], moment) for id in (step.gates if step else ())
        ]
        whole = (
            step and step.id, here.gate and here.gate.id, job.stopped is None,
            [(job.value(name) is None, self.cuts.cell(name, job.value(name))) for name in asked],
            reads is not None and bool(job.present(reads).readings),
            [(gate.open, gate.missing, gate.stale) for gate in gates], of_car, oracle, ledger,
            [self.cuts.cell(name, job.value(name)) for name in self.read],
            [job.value(name) for name in self.free],
        )  # fmt: skip
        return hashlib.blake2b(repr(whole).encode(), digest_size=16).digest()

    def _cell(self, now: Known, measured: bool) -> tuple[Any, ...]:
        """What is known of a variable; of a measurement only on which side of the limit."""

        def cell(value: float | str | None) -> float | str | bool | None:
            if measured and isinstance(value, float):
                return value < trade.COLD_BELOW
            return value

        return cell(now.value), cell(now.told), now.undone, math.isinf(now.age)

    def _departures(self, state: State) -> Iterator[Move]:
        """Every one, at its cost."""
        node, job = state.node, state.node.job
        here = state.here.step
        if self.only and (here is None or here.id not in self.only):
            return
        yield from (
            move
            for move in corrections(self.cuts, node, [n for n in job.facts if n in self.cuts.named])
            if self.rules.fields[move.field].options
        )
        for names in self.shows.values():  # whatever last showed something, taken back
            facts = [job.facts[name] for name in names if name in job.facts]
            if facts:
                event = max(facts, key=lambda fact: fact.event.seq).event
                yield Move(f"{event.field} taken back", "undo", event.field, supersedes=event.id)
        for wait in self.waits:
            yield Move(f"{wait / 60.0:.0f} min later", wait=wait)
        yield Move("asleep", wait=1.01 * trade.EVIDENCE_AGE, sleeps=True)
        if node.shift == 0.0:
            yield Move("clock set back", sets=SET_BACK)
        yield Move("restart", "resumed", "app.resumed", boots=True)
        for field in self.keys:
            yield Move(field.id, "mark", field.id)
        for part in self.parts:
            for word in self.rules.fields[part].options:
                if job.value(part) != word:
                    yield Move(f"{part} {word}", "fact", part, word)

    def moves(self, state: State) -> Iterator[Move]:
        """What the screen asks, then all departures, those at a step that can hurt the cheaper."""
        step = state.here.step
        cost = HURTS if step is not None and step.gates else ELSEWHERE
        for move in super().moves(state):
            yield replace(move, departs=cost * move.departs) if move.departs else move
