"""The states of the car, searched: where a job stands, and what is known of the car there.

A state of the car is smaller than a job: two jobs that stand at one step, with the same known of
each variable of the state, the same off, unfilled and undone, and the same read by the gates, are
one. So a state stands for many jobs, and one of them goes on for all: what is proved of jobs
stands in the slices. What is looked for here is a second bad day on top of the first.

Of a field that gates read, of the route and of the kind of repair a key holds what each part of a
condition that asks of it alone comes to: of all gates, and of the steps from here on. A condition
is made of such parts, so no gate and no step ahead tells apart what the key does not. Dropped is
the word itself: two kinds of repair whose own steps are done, say, are one from there on, and where
a key leads back before those steps, one of the two goes on for both. What only steps read, and no
gate, was never held: there too one job goes on for all that stand at its step. The words that the
oracle asks for are held beside (``WORDS``, ``ASKED``), whatever the rules have forgotten.

Moves are those of the whole procedure (``walk.py``) and more departures: time past each age, a wall
clock set back, a phone that sleeps or starts anew, a car that was moved, every key that begins
something again (of those that nothing reads one of each kind), an earlier entry taken back. Of a
bound of 5 a departure at a step whose acts can hurt costs 2, elsewhere 3: one anywhere and another
where an act can hurt.

The oracle's own view of the car is part of the key, so that no state hides that it differs.
"""

from __future__ import annotations

import hashlib
import math
import re
import resource
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import replace
from typing import Any, Final

from tests.proof import invariants, trade
from tests.proof.cells import trees
from tests.proof.history import is_cold, parts_off
from tests.proof.invariants import State, Told
from tests.proof.search import Found, search
from tests.proof.walk import FREE, Whole
from tests.proof.world import Move, corrections, start
from weeptrace.job.car.known import Known, known
from weeptrace.job.procedure import gate_state
from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules, Step, conditions

# Of this bound are one departure anywhere and another where an act can hurt, in either order.
BOUND: Final = 5
HURTS: Final = 2  # what a departure costs where an act can hurt
ELSEWHERE: Final = 3
SET_BACK: Final = -100.0 * trade.EVIDENCE_AGE
# Words and answers that the oracle looks for, and that no other part of a key holds.
WORDS: Final = (
    (trade.SITE, (trade.FIRM,)), (trade.KIT_STANDS, (trade.MISSING,)),
    (trade.DRIVE, (trade.NO_HIGH_VOLTAGE,)), (trade.TOLD_LIVE, ("yes",)),
    (trade.LOOP, (trade.HARMLESS_LOOP,)), (trade.LIVE_LOOP_LEAKS, ("yes",)),
    (trade.DECIDED, (trade.TOWED,)), (trade.DECIDED, ("drive",)), (trade.CONSENT, (trade.REFUSED,)),
)  # fmt: skip
ASKED: Final = (
    trade.CONSENT, *trade.OILS, *trade.OVERRIDE, *trade.START_ANYWAY, *trade.MADE_DEAD,
)  # fmt: skip
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
    only: frozenset[str] = frozenset(), seconds: float = math.inf,
) -> Found:  # fmt: skip
    """Search the states of the car; ``only``: departures at these steps alone, at all where empty.

    ``repairs``, ``free``, ``most``, ``first`` as of ``walk``, ``seconds`` as of ``search``.
    """
    states = States(rules, repairs, free, only)
    return search(
        rules, start(rules), states.moves, states.key, DANGERS,
        first=first, most=most, departures=bound, seconds=seconds,
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
        super().__init__(rules, repairs, free, undo=False)
        self.only = only
        self.keys = list(_unlike(rules))
        self.shows = {
            name: {field for field, *_ in variable.given} for name, variable in rules.state.items()
        }
        shown = set().union(*self.shows.values())
        opens = [gate.opens for gate in rules.gates.values()]
        read = {name for tree in opens for name in conditions.fields(tree)} & set(rules.fields)
        self.gates = _asked_of_one(opens, read - shown)
        self.read = sorted(self.gates)
        # From here on no list of parts is asked for anew.
        self.last_off = 1 + max(n for n, step in enumerate(self.steps) if step.shows == "ledger_on")
        self.asks: list[list[tuple[str, list[conditions.Tree]]]] = []
        for number in range(len(self.steps)):
            ahead = [t for s in self.steps[number:] for t in (s.when, s.done) if t is not None]
            ahead += [f.only for f in rules.fields.values() if f.only and number < self.last_off]
            asked = _asked_of_one(ahead, {*free, *self.read})
            self.asks.append([(name, asked[name]) for name in sorted(asked)])
        ages = {trade.EVIDENCE_AGE, trade.AIR_AGE, trade.FAN_AGE}
        ages |= {rules.limits[v.lasts] for v in rules.state.values() if v.lasts is not None}
        self.waits = tuple(1.01 * age for age in sorted(ages))

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
            [history.said(name) in words for name, words in WORDS],
            [history.said(name) is None for name in ASKED],
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
            [self._told(job, name, self.gates[name]) for name in self.read],
            [self._told(job, *each) for each in self._ahead(here.step)],
        )  # fmt: skip
        return hashlib.blake2b(repr(whole).encode(), digest_size=16).digest()

    def _ahead(self, step: Step | None) -> list[tuple[str, list[conditions.Tree]]]:
        """What the steps from here on ask of each free field, and of each that gates read."""
        return self.asks[-1 if step is None else self.numbers[step.id]]

    def _told(self, job: Job, name: str, asked: list[conditions.Tree]) -> list[bool | None]:
        """What a field comes to in each condition that asks of it alone."""
        value = job.value(name)
        return [conditions.evaluate(t, lambda _: value, self.rules.limits) for t in asked]

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
        shown = ([job.facts[n] for n in names if n in job.facts] for names in self.shows.values())
        lasts = (max(facts, key=lambda fact: fact.event.seq) for facts in shown if facts)
        # Whatever last showed something, taken back; one entry may show several.
        for event in {fact.event.id: fact.event for fact in lasts}.values():
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
            departs = 1 if move.kind == "stopped" else move.departs
            yield replace(move, departs=cost * departs) if departs else move


def _asked_of_one(
    trees: Iterable[conditions.Tree], names: set[str]
) -> dict[str, list[conditions.Tree]]:
    """By field, of those named, the largest parts of some conditions that look at it alone."""
    found: dict[str, list[conditions.Tree]] = {}

    def take(tree: conditions.Tree) -> None:
        looks = set(conditions.fields(tree))
        if not looks & names:
            return
        if len(looks) == 1:
            parts = found.setdefault(looks.pop(), [])
            parts += [] if tree in parts else [tree]
        else:
            assert tree[0] in ("and", "or", "not"), f"compares two fields: {tree}"
            for part in tree[1:]:
                take(part)

    for tree in trees:
        take(tree)
    return found


def _unlike(rules: Rules) -> Iterator[Field]:
    """The marks, one of each kind: those that nothing reads are told apart by what they do."""
    named = {name for tree in trees(rules) for name in conditions.fields(tree)}
    patterns = [each for each in vars(trade).values() if isinstance(each, re.Pattern)]
    lists = [each for each in vars(trade).values() if isinstance(each, (tuple, frozenset, set))]
    seen: set[str] = set()
    for field in rules.fields.values():
        if field.kind != "mark":
            continue
        does = repr((
            field.id if field.id in named else "", field.clears,
            sorted((n, word, made) for n, variable in rules.state.items()
                   for name, word, made in variable.given if name == field.id),
            [bool(each.fullmatch(field.id)) for each in patterns],
            [field.id in each for each in lists],
        ))  # fmt: skip
        if does not in seen:
            seen.add(does)
            yield field
