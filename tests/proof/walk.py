"""The whole procedure as the screen leads through it, and every departure from that, up to a bound.

The plain course answers each step with its first option; the fields named as free take any. A
departure is anything else: another option, a figure on another side of a constant, "not measured",
an earlier answer corrected to each other kind, time that passes, an engine that ran, a restart, a
part off out of order, a new beginning or a late finding. Within the bound every combination of
departures, at every place, is searched. "Stop, refer" and the first undo of the last are free
everywhere: what was taken back goes on to speak against what was shown before it, so a second one
multiplies all that comes after.

A gate is answered in the order of its evidence, and what it opens without is left out: each other
order is a departure. Every order of them, and every set, multiplied what came after (of stands
eightfold), and is proved without a bound in the slices of evidence.

The key of a state: which steps apply and are not done, which of those ahead are done already, the
cells of all fields that the conditions and gates of the steps from here on look at, of evidence
that is fresh its cell and whether the oracle calls it undone, the parts that are off, whether the
present series has readings, stopped or not; kept as a digest of 16 bytes. While a job goes forward
that decides all that follows; after a step back (a correction) one of the merged states stands for
the others, so here the combinations of departures are a bounded search and not a proof. What is
dangerous is proved without a bound in the slices; here it is asked again of the real procedure,
with the real screens, and it is asked that some way always leads on to the end.
"""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Iterator
from dataclasses import replace
from typing import Final

from tests.proof import invariants, trade
from tests.proof.cells import Cuts
from tests.proof.offered import State
from tests.proof.search import Found, search
from tests.proof.slicing import COLD, EVERY, PROCEDURE
from tests.proof.world import Move, answer, answers, corrections, start, undo_last
from weeptrace.job.car.left import BACK
from weeptrace.job.car.parts import parts_out
from weeptrace.job.procedure import Known, done, gate_state
from weeptrace.rules import Field, Gate, Rules, Step, conditions

UNDONE: Final = {name: shown.undone for shown in EVERY for name in shown.opens}
FREE: Final = ("work.route", "repair.kind")
# As well: nothing was found, which leads to the tests that follow; the cap is tested.
WIDE: Final = (*FREE, "finding.place", "cap.how")
# Where the plain figure is the lowest, and not the highest.
LOW: Final = (
    "tester.self_fall", "transmission.caught", "cap.opening_1", "cap.opening_2", "cap.opening_3",
    "road.hottest",
)  # fmt: skip


def walk(
    rules: Rules, departures: int, *, first: bool = False, most: int = 1_000_000,
    repairs: tuple[str, ...] = (), free: tuple[str, ...] = FREE, undo: bool = True,
) -> Found:  # fmt: skip
    """Search the main procedure; ``repairs``: only these kinds, "" of route "seen" as well.

    ``free``: the fields whose every answer belongs to the plain course; ``undo``: so does taking
    the last entry back.
    """
    whole = Whole(rules, repairs, free, undo)
    return search(
        rules, start(rules), whole.moves, whole.key, invariants.ALL,
        first=first, most=most, ends=True, departures=departures,
    )  # fmt: skip


class Whole:
    """The moves and the keys of the whole procedure."""

    def __init__(
        self, rules: Rules, repairs: tuple[str, ...] = (), free: tuple[str, ...] = FREE,
        undo: bool = True,
    ) -> None:  # fmt: skip
        self.rules, self.cuts = rules, Cuts(rules, trade.APART)
        self.repairs, self.free, self.undo = repairs, free, undo
        self.steps = rules.procedures[PROCEDURE].steps
        self.numbers = {step.id: number for number, step in enumerate(self.steps)}
        self.ahead: list[tuple[str, ...]] = []
        names: set[str] = set()
        for step in reversed(self.steps):
            for tree in (step.when, step.done, *(rules.gates[id].opens for id in step.gates)):
                names |= set() if tree is None else set(conditions.fields(tree))
            names |= set(trade.CEILINGS) if "quote.over" in names else set()
            self.ahead.append(tuple(sorted(name for name in names if name in rules.fields)))
        self.ahead.reverse()
        self.evidence = sorted({e for gate in rules.gates.values() for e in gate.evidence})
        self.shut = [gate for gate in rules.gates.values() if gate.evidence]
        self.begins = [f for f in rules.fields.values() if f.kind == "mark" and f.clears]
        one = next(f.id for f in rules.fields.values() if f.needed_to_run)
        self.parts = (one, trade.JOINTS[0])  # one that holds no coolant, and one that does

    def key(self, state: State) -> Hashable:
        """See the module."""
        rules, job, value = self.rules, state.node.job, state.node.job.values.get
        all_known = Known(rules, job)
        here = len(self.steps) - 1
        if state.here.step is not None:
            here = self.numbers[state.here.step.id]
        ahead = self.steps[here:]
        now = state.node.read_moment()
        stale = {
            name
            for gate in self.shut
            for name in gate_state(rules, job, gate, now, all_known).stale
        }
        fresh: list[Hashable] = []
        for name in self.evidence:
            line = state.history.latest(name)
            known = value(name) is not None and name not in stale and line is not None
            cell = self.cuts.cell(name, value(name))
            undone = known and line is not None and state.history.since(line, UNDONE[name])
            fresh.append((cell, undone) if known and line else None)
        step = state.here.step
        reads = None if step is None else step.reads
        whole = (
            None if step is None else here,
            () if step is None else tuple(value(name) is not None for name in step.checks),
            tuple(done(all_known, each) for each in ahead),
            tuple(self.cuts.cell(n, value(n)) for n in self.ahead[here]),
            tuple(fresh),
            sorted(part.id for part in parts_out(rules, job)),
            reads is not None and bool(job.present(reads).readings),
            tuple(state.history.lacks(*pair) for pair in trade.FOLLOWS.items()),
            state.history.empty(),
            state.history.liquid(),
            state.history.hot(),
            state.history.above(),
            tuple(n for n in trade.JOINTS if value(n) is not None),
            tuple(len(state.history.opened_since(n)) for n in (trade.FILLED, trade.LEVEL)),
            tuple(all_known[name] for name in BACK),
            state.history.put_back(),
            job.stopped is None,
        )
        return hashlib.blake2b(repr(whole).encode(), digest_size=16).digest()

    def moves(self, state: State) -> Iterator[Move]:
        """What the screen asks, then all departures."""
        job = state.node.job
        if job.stopped is not None:
            yield Move("go on", "undo", job.stopped.field, supersedes=job.stopped.id)
            return
        if state.history.hot():
            yield from self._at_hot(state)
        elif above := state.history.above():
            yield from self._options(trade.EASED if above == "on" else trade.LOOKED)
        elif state.here.gate is not None:
            yield from self._at_gate(state, state.here.gate)
        elif state.here.step is not None:
            yield from self._at_step(state, state.here.step)
        for move in undo_last(state.node):
            again = bool(job.withdrawn) or not self.undo
            yield replace(move, departs=int(again), onward=move.onward and not again)
        for move in self._departures(state):
            yield replace(move, departs=1, onward=False)

    def _at_hot(self, state: State) -> Iterator[Move]:
        """The page that stops the work: what shows that it is cold, then what happened."""
        cold, job = self.rules.gates[COLD.name], state.node.job
        if gate_state(self.rules, job, cold, state.node.read_moment()).open is not True:
            yield from self._at_gate(state, cold)
        else:
            yield from self._options(trade.HAPPENED)

    def _at_gate(self, state: State, gate: Gate) -> Iterator[Move]:
        yield Move("stop", "stopped", f"gate.{gate.id}", "refer")
        node = state.node
        now = gate_state(self.rules, node.job, gate, node.read_moment())
        lacking = [name for name in gate.evidence if name in (*now.missing, *now.stale)]
        for number, name in enumerate(lacking or gate.evidence):
            if not (name == trade.SIGN and self._cold_enough(state) is False):
                for move in self._options(name):
                    yield replace(move, departs=move.departs + int(number > 0 and bool(lacking)))
        known = Known(self.rules, node.job)
        for name, back in BACK.items():
            if name in conditions.fields(gate.opens) and known[name]:
                kind = "fact" if back.typed else "done"
                yield Move(f"{back.field} back", kind, back.field, back.typed)

    def _cold_enough(self, state: State) -> bool | None:
        number = state.history.number(trade.TEMPERATURE)
        return None if number is None else number < trade.COLD_BELOW

    def _at_step(self, state: State, step: Step) -> Iterator[Move]:
        job = state.node.job
        if step.shows == "ledger_off":
            for part in (each for each in self.parts if job.value(each) is None):
                own = part == self.parts[0] or job.value("repair.kind") == "hose_or_clamp"
                yield Move(f"{part} off", "fact", part, "off", departs=int(not own))
        if step.shows == "ledger_on":
            yield from self._on_again(state)
        if step.reads is not None and step.shows != "verdict":
            if not job.present(step.reads).readings:
                yield answer(self.rules.fields[step.reads], self._plain(step.reads))
            for name in conditions.fields(step.done or ["and"]):
                yield from self._options(name) if name in self.rules.fields else ()
        if step.asks is None or step.shows == "answers":
            for name in step.checks:  # in order; of answers only those that something looks at
                if job.value(name) is None and (step.asks is None or name in self.cuts.named):
                    yield from self._options(name)
                    if step.asks is None:
                        break
        if step.asks is not None:
            yield from self._options(step.asks)
            for name in conditions.fields(step.done or ["and"]):
                if name in self.rules.fields and name != step.asks:
                    yield from (replace(move, departs=1) for move in self._options(name))
            if step.skip:
                yield Move(f"{step.asks} not measured", "not_done", step.asks, "no", departs=1)
        if step.again is not None:
            yield Move(step.again, "mark", step.again, departs=1)

    def _on_again(self, state: State) -> Iterator[Move]:
        """The parts that a page lists as off: one whose "off" was taken back may still be."""
        for part in parts_out(self.rules, state.node.job):
            yield Move(f"{part.id} on", "fact", part.id, "on")

    def _plain(self, name: str) -> float:
        """A figure that every cap accepts."""
        field = self.rules.fields[name]
        low, high = field.low or 0.0, field.high or 1.0
        value = low + (0.1 if field.not_above else 0.4) * (high - low)
        return float(round(value)) if field.kind == "count" else value

    def _options(self, name: str) -> Iterator[Move]:
        """The plain answer first; every other one is a departure, but for the free fields."""
        field = self.rules.fields[name]
        every = list(answers(self.cuts, field))
        if field.numeric and name not in self.evidence:
            if name in self.cuts.constants:
                every = every[:: max(len(every) - 1, 1)]  # the lowest and the highest
                every = every if name in LOW else every[::-1]
                if field.not_above and name not in LOW:  # the highest is refused
                    every.insert(0, answer(field, self._plain(name)))
            elif not set(self.cuts.against.get(name, ())) & self.cuts.named:
                every = [answer(field, self._plain(name))]
        if name == "repair.kind" and self.repairs:
            every = [move for move in every if move.typed in self.repairs]
        every.sort(key=lambda move: not _is_plain(field, move))
        for number, move in enumerate(every):
            yield replace(move, departs=int(number > 0 and name not in self.free))

    def _departures(self, state: State) -> Iterator[Move]:
        node, job = state.node, state.node.job
        named = [n for n in job.facts if n in self.cuts.named and n not in self.evidence]
        for move in corrections(self.cuts, node, named):
            if self.rules.fields[move.field].options:
                yield move
        yield Move("later", wait=1.01 * trade.EVIDENCE_AGE)
        yield Move("engine ran", "mark", "engine.ran")
        yield Move("restart", "resumed", "app.resumed", boots=True)
        for part in (each for each in self.parts if job.value(each) != "off"):
            yield Move(f"{part} off", "fact", part, "off")
        for field in self.begins:
            yield Move(field.id, "mark", field.id)


def _is_plain(field: Field, move: Move) -> bool:
    """The answer that a plain course gives: agreed, clean, found, on the ground."""
    plain = {
        trade.CONSENT: "signed", trade.CONDITION: "clean", trade.SIGN: "hose_soft",
        "place.site": "firm_level", trade.RAISED: trade.ON_GROUND, "work.where": "workshop",
        "test.kind": "none", "dry.wanted": "no_dry_air", "cap.how": "replaced",
        "told.high_voltage": "no", trade.KEY: trade.KEY_AWAY[0], "arrival.hot": "no",
        **dict.fromkeys(trade.OILS, "clean"), trade.DRIVE: trade.NO_HIGH_VOLTAGE,
        trade.CYLINDERS: "dry", trade.GAS: "not_changed", trade.TOLD_LIQUID: "no",
        trade.TURNED: "freely", trade.SUMP: "oil",
        "finding.wet_again": "wet", "after.old_place": "dry",
        "after.other": "none", "road.look": "dry", "coolant.label_fits": "fits",
        "transmission.label_fits": "fits", "off.hidden": "none", "after.wanted": "no_hold",
    }  # fmt: skip
    if field.id == "finding.place":
        return move.typed != "not_found"
    return field.id not in plain or move.typed == plain[field.id]
