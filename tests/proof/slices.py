"""Small exact proofs: one dangerous step at a time, any hand, any order, without a bound.

A slice keeps one dangerous step, and drops all others or all but a few. That leaves out no danger:
where the whole procedure offers a step, every kept step before it is done, so the slice offers it
too; and a condition or a gate left out lets the slice offer it more often than it ever is. The
moves are the most general: every answer to every field of the slice at any time, whether a screen
asks for it or not, "not measured", corrections, undo of the last. So what holds in a slice holds
for every order of entries that a hand, a phone or a file can make.

fit       the step that drives, alone behind what says that the car is closed and whole
loop      the step alone behind what says which loop it is, and whether it is isolated
vacuum    the step alone behind what says that nothing in it boils
timed     the step that starts, behind what says that its timing belt was turned
liquid    the step alone behind what says that a cylinder is dry, or who answers for a start
filled    the steps that take off, put on, fill and look at the level, and the last: one joint
hot       the step alone, what is read of the heat, and what was said of it
evidence  the step alone behind its gate on evidence: cold, fan off, fan back, stands, air. For the
          first step of each: all that undoes the evidence, time (0.6 of the age, exactly the age,
          beyond it), the same while the phone is asleep and its monotonic clock stands still, a
          wall clock set back, a restart, an answer typed late (of stands, four at once, which no
          screen takes late, only fresh and too old). For the others their own answers only: how a
          gate opens does not hang on the step behind it
ledger    the step alone behind its gates on what the job knows: consent and ceiling, cream,
          coolant; and each part by itself
above     the step alone, its needle, the rating, the end of the scale, what lets off, and the look
back      the step that runs, drives or leaves, alone behind what says how neck, level, plugs,
          clamps, tray and wheels are: of each what first moves and first puts it back, with every
          other field of the same by itself
gross     the step that drives, alone, after a hold that lost half of its pressure at once
order     the step and the earlier ones that ask what it takes for granted, all gates left out
undone    the steps that pump up or drain, those that let off or fill, what their conditions ask,
          and the last
close     the steps that take off and put on, and the last: each part by itself

Parts go alone because every condition sees them only by name or by their number, and none looks for
more than "none". The key of a state is the cell of each value of the slice's fields; "not measured"
is one with unknown unless a step allows it. Evidence that the rules count as fresh adds its age and
whether the oracle calls it disturbed; stale evidence only ever opens again by a new answer, so its
value is dropped. Undo and correction lead to the fold of another log, which is searched as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from tests.proof import guarded, invariants, trade
from tests.proof.offered import hazards, sets
from tests.proof.search import Check
from tests.proof.slicing import (
    AIR,
    BACK,
    BATTERY,
    COLD,
    COOL,
    EVERY,
    FAN_BACK,
    FAN_OFF,
    KEY,
    LIQUID,
    PROCEDURE,
    STANDS,
    Shown,
    Slice,
    part_fields,
)
from tests.proof.world import Move, answer
from weeptrace.rules import Rules, Step, conditions

# Of these it must be known how they are, whatever was done.
KNOWN: Final = [(name, trade.PUT_BACK[name]) for name in ("neck", "tray")]
NEVER: Final = ["known", "job.number"]  # no slice answers it: its step stays
_ORDER: Final = (
    invariants.caps_known, invariants.under_the_scale, invariants.warned,
    invariants.never_opened, invariants.begins_anew, invariants.no_number_from_nothing,
    invariants.nothing_lost,
)  # fmt: skip
_LEDGER: Final = (
    invariants.ready_to_run, invariants.consented, invariants.firm_ground,
    invariants.stop_offered, invariants.nothing_lost,
)  # fmt: skip
_LOOP: Final = (invariants.isolated, invariants.stop_offered, invariants.nothing_lost)
_LIQUID: Final = (invariants.no_liquid, invariants.stop_offered, invariants.nothing_lost)
LOOP: Final = (
    trade.DRIVE, trade.LOOP, trade.TOLD_LIVE, trade.LIVE_LOOP_LEAKS, *trade.MADE_DEAD,
)  # fmt: skip
_BACK: Final = (invariants.put_back, invariants.stop_offered, invariants.nothing_lost)
_FIT: Final = (invariants.fit_to_drive, invariants.stop_offered, invariants.nothing_lost)
TEST_FIT: Final = (*trade.CLOSED, trade.DECIDED, trade.KIND, "part.under_tray")
ROAD_FIT: Final = (
    trade.TRAY, *trade.CLOSES, *(n for names in trade.CLOSES.values() for n in names),
    "part.under_tray",
)  # fmt: skip
VACUUM: Final = (trade.TEMPERATURE, "engine.ran", "app.resumed")
OIL: Final = (trade.CONDITION, *trade.OILS, *trade.OVERRIDE, trade.DECIDED)
_COLD: Final = (guarded.cold_for_vacuum, invariants.nothing_lost)
_OIL: Final = (invariants.oil_goes, invariants.stop_offered, invariants.nothing_lost)
_ABOVE: Final = (invariants.lets_off, invariants.under_the_scale)
_CLOSE: Final = (invariants.closes_whole, invariants.nothing_lost)


def slices(rules: Rules, only: set[str] | None = None) -> Iterator[Slice]:
    """Every slice of the main procedure; ``only``: those of some steps, by id."""
    steps = rules.procedures[PROCEDURE].steps
    met: set[str] = set()
    for number, step in enumerate(steps):
        if only is not None and step.id not in only:
            continue
        found = hazards(step, sets(step))
        for shown in _shown(rules, step, found):
            yield _evidence(rules, step, shown, met)
        yield from _ledger(rules, step, met)
        if sets(step) & {*trade.HOTTEST}:
            fields = (*trade.HOTTEST, trade.HAPPENED, trade.TEMPERATURE, trade.SIGN)
            alone = _alone(rules, step, ())
            yield Slice(f"hot {step.id}", alone, fields, (invariants.stops_hot,))
        if sets(step) & {*trade.RATED}:
            yield from _above(rules, step)
        yield from _answered(rules, step, met)
        yield from _back(rules, step, met)
        if "not_gross" in step.gates or sets(step) & {*trade.DRIVES_OFF}:
            gates = tuple(id for id in step.gates if id == "not_gross")
            checks = (invariants.after_gross,)
            alone = _alone(rules, step, gates)
            yield Slice(f"gross {step.id}", alone, ("test.again",), checks, _gross(rules))
        if found or sets(step) & {*trade.CAPS, *trade.BEGINS}:
            plain = _order(rules, steps[:number], step)
            yield plain
            if sets(step) & {*trade.PRESSURES} - {*trade.RATED}:
                low = {trade.SPAN: (trade.LOW[trade.SPAN],)}
                yield replace(plain, name=f"{plain.name} low {trade.SPAN}", apart=low)
    for second, before in trade.FOLLOWS.items():
        kept = [step for step in steps if sets(step) & {second, before}]
        if only is None or any(step.id in only for step in kept):
            wanted = {name for step in kept for name in conditions.fields(step.when or ["and"])}
            first = [step for step in steps if step.asks in wanted and step not in kept]
            both = sorted((*first, *kept), key=steps.index)
            check = invariants.let_off if second in trade.LET_OFF else invariants.closes_whole
            yield _undone(rules, second, (*both, steps[-1]), check)
    if only is None or any(step.id in only for step in steps if step.asks == trade.LEVEL):
        yield _filled(rules)
    if only is None or any(step.id in only for step in steps if _moves_parts(step)):
        yield from _close(rules)


def sliced(rules: Rules, steps: tuple[Step, ...]) -> Rules:
    """The rules with only some steps in the main procedure."""
    kept = replace(rules.procedures[PROCEDURE], steps=steps)
    return replace(rules, procedures={**rules.procedures, PROCEDURE: kept})


def _alone(rules: Rules, step: Step, gates: Iterable[str]) -> Rules:
    """Only this step, applying always, behind some of its gates."""
    return sliced(rules, (replace(step, when=None, done=NEVER, gates=tuple(gates)),))


def _on(rules: Rules, step: Step, shown: Shown) -> list[str]:
    """The gates of a step that rest on evidence of one kind."""
    named = [id for id in step.gates if (id == "cool_metal") == (shown is COOL)]
    return [id for id in named if set(rules.gates[id].evidence) & set(shown.opens)]


def _shown(rules: Rules, step: Step, found: set[str]) -> Iterator[Shown]:
    """The evidence that a step needs by the trade, or asks for by its gates."""
    asked = sets(step)
    opens = trade.OPENS in found or asked & {*trade.OPENS_TOO}
    asks_fan = asked & {*trade.FAN_OFF, *trade.FAN_ON}
    needs = {
        COLD.name: opens,
        FAN_OFF.name: (opens or found & {*trade.NEAR_FAN}) and not asks_fan,
        KEY.name: opens or found & {*trade.NEAR_FAN} or asked & {*trade.BELT_TOO},
        COOL.name: asked & {*trade.TOUCHES, *trade.OPEN_AT_IDLE},
        FAN_BACK.name: trade.RUNS in found
        or asked & {*trade.RUNS_TOO, *trade.LEAVES, *trade.DRIVES_OFF},
        STANDS.name: trade.UNDER_CAR in found or asked & {*trade.UNDER_TOO},
        AIR.name: trade.RUNS in found or asked & {*trade.RUNS_TOO},
        BATTERY.name: asked & {*trade.TRIM_OFF},
    }
    for shown in EVERY:
        if needs[shown.name] or _on(rules, step, shown):
            yield shown


def _evidence(rules: Rules, step: Step, shown: Shown, met: set[str]) -> Slice:
    """The step alone behind its gates that rest on evidence of one kind."""
    gates = _on(rules, step, shown)
    alone = _alone(rules, step, gates)
    clock = not set(gates) <= met
    names = set(shown.opens)
    for gate in (rules.gates[id] for id in gates):
        names |= set(gate.evidence) if clock else set(conditions.fields(gate.opens))
    met |= set(gates)
    checks = (shown.check, invariants.stop_offered, invariants.nothing_lost)
    given: tuple[str | Move, ...] = ()
    if shown is COLD:
        given = (trade.RATING, trade.SPAN)  # or no reading is taken
    elif shown is BATTERY:
        given = (answer(rules.fields[trade.REPAIR], trade.HEATER),)
    return Slice(
        f"{shown.name} {step.id}", alone, tuple(sorted(names)), checks, given, shown, clock
    )


def _ledger(rules: Rules, step: Step, met: set[str]) -> Iterator[Slice]:
    """The step alone behind its other gates: first all that they know of, then each part."""
    found = hazards(step, sets(step))
    apart = {*LOOP, *LIQUID, *TEST_FIT, *ROAD_FIT}  # slices of their own
    # What a look at the coolant leaves open is proved on the course: here it would shut out all.
    apart |= {"left.level", "left.neck", "left.clamps", "left.tray", "left.raised"}
    gates = [
        id for id in step.gates
        if not rules.gates[id].evidence and not apart & {*conditions.fields(rules.gates[id].opens)}
    ]  # fmt: skip
    alone = _alone(rules, step, gates)
    names = {n for id in gates for n in conditions.fields(rules.gates[id].opens)}
    runs = trade.RUNS in found or sets(step) & {*trade.RUNS_TOO}
    names |= {trade.CONDITION, *trade.OILS, *trade.OVERRIDE} if runs else set()
    names |= {trade.SITE} if sets(step) & set(trade.ON_SITE) else set()
    if sets(step) & set(trade.TAKES_OFF):
        names |= {trade.CONSENT, trade.TOTAL, "quote.ceiling"}
        if step.gates and "ceiling" not in met:  # the sums at length, once
            met.add("ceiling")
            for kin in trade.ADDED:
                money = (*trade.CEILINGS, f"{kin}.price", f"{kin}.how")
                known = tuple(name for name in money if name in rules.fields)
                yield Slice(f"ceiling {step.id} {kin}", alone, known, _LEDGER, (trade.CONSENT,))
    filled = {trade.DRAINED, trade.FILLED}
    names = {name for name in names if name in rules.fields}
    if names:
        yield Slice(f"ledger {step.id}", alone, tuple(sorted(names - filled)), _LEDGER)
    if runs:
        given = (trade.CONDITION, *trade.OILS)
        behind = " ".join(sorted(gates))  # every part once for the same gates
        for part in part_fields(rules) if behind not in met else part_fields(rules)[-1:]:
            yield Slice(f"ledger {step.id} {part}", alone, (*sorted(filled), part), _LEDGER, given)
        met.add(behind)


def _answered(rules: Rules, step: Step, met: set[str]) -> Iterator[Slice]:
    """The step alone behind what it hangs on who answered: which loop, liquid in a cylinder.

    Whole for the first step behind a gate; for the others whether they stand behind it at all.
    """
    found, asked = hazards(step, sets(step)), sets(step)
    too = {*trade.OPENS_TOO, *trade.OPEN_AT_IDLE, *trade.PRESSES}
    opens = (trade.OPENS in found or asked & too) and step.shows != "verdict"
    runs = trade.RUNS in found or asked & {*trade.RUNS_TOO}
    for wanted, kin, fields, checks in (
        (opens, "loop", LOOP, _LOOP), (runs, "liquid", LIQUID, _LIQUID),
        (asked & {*trade.DRIVES_OFF, "test.ran"}, "fit", TEST_FIT, _FIT),
        (trade.ROAD in asked, "fit", ROAD_FIT, _FIT),
        (asked & {*trade.LEAVES}, "oil", OIL, _OIL),
        (trade.VACUUM in found and step.shows != "verdict", "vacuum", VACUUM, _COLD),
        (runs, "timed", (trade.BELT, trade.TIMED), (guarded.timed,)),
    ):  # fmt: skip
        if not wanted:
            continue
        gates = [id for id in step.gates if {*fields} & {*conditions.fields(rules.gates[id].opens)}]
        names = fields if not gates or not set(gates) <= met else fields[:2]
        met |= set(gates)
        known = tuple(name for name in names if name in rules.fields)
        alone = _alone(rules, step, gates)
        if trade.KIND in names:
            alone = _of_its_kind(rules, step, gates)
        yield Slice(f"{kin} {step.id}", alone, known, checks)


def _of_its_kind(rules: Rules, step: Step, gates: Iterable[str]) -> Rules:
    """Only this step: where one kind of test needs it and the others do not, that stays."""
    every = _each_of(step.when or ["and"])
    own = [part for part in every if {*conditions.fields(part)} == {trade.KIND}]
    (kept,) = _alone(rules, step, gates).procedures[PROCEDURE].steps
    return sliced(rules, (replace(kept, when=["and", *own] if own else None),))


def _back(rules: Rules, step: Step, met: set[str]) -> Iterator[Slice]:
    """The step alone behind what was opened, moved or taken out for a look: each kind by itself.

    Every field for the first step behind the same gates; for the others one of each.
    """
    asked = sets(step)
    runs = trade.RUNS in hazards(step, asked) or asked & {*trade.RUNS_TOO}
    if not (runs or asked & {*trade.LEAVES, *trade.DRIVES_OFF, trade.ROAD}):
        return
    gates = [id for id in step.gates if {*BACK} & {*conditions.fields(rules.gates[id].opens)}]
    alone = _of_its_kind(rules, step, gates)
    kind = tuple(name for name in (trade.KIND, *trade.RELIEF[:1]) if trade.KIND in asked_by(step))
    behind = f"back {' '.join(sorted(gates))}"
    for name, (out, back) in trade.PUT_BACK.items():
        fields = tuple(dict.fromkeys(each.split()[0] for each in (*out, *back)))
        base = (fields[0], back[0].split()[0])
        others = [each for each in fields if each not in base] if behind not in met else []
        others += trade.NECK_CLOSED[:1] if name == "level" else ()  # else it shuts the gate too
        for other in others or [""]:
            names = (*kind, *base, *([other] if other else []))
            known = tuple(dict.fromkeys(each for each in names if each in rules.fields))
            words = " ".join(("back", step.id, name, other)).strip()
            given = [back[0] for at, (_, back) in KNOWN if at != name]
            yield Slice(words, alone, known, _BACK, tuple(given))
    met.add(behind)


def asked_by(step: Step) -> set[str]:
    """The fields that a step asks, and those that its condition hangs on."""
    return sets(step) | set(conditions.fields(step.when or ["and"]))


def _above(rules: Rules, step: Step) -> Iterator[Slice]:
    """A needle, its rating and the end of its scale, also low ones; what lets off, and the look."""
    needles = tuple(sorted(sets(step) & {*trade.RATED}))
    kin = needles[0].partition(".")[0]
    off = tuple(name for name in trade.LET_OFF if name.startswith(f"{kin}."))
    names = (trade.RATING, trade.SPAN, *needles, trade.EASED, trade.LOOKED, *off)
    plain = Slice(f"above {step.id}", _alone(rules, step, ()), names, _ABOVE)
    yield plain
    for name, at in trade.LOW.items():
        yield replace(plain, name=f"{plain.name} low {name}", apart={name: (at,)})


def _gross(rules: Rules) -> tuple[Move, ...]:
    """A dye test that follows a hold which lost most of its pressure at once."""
    said = answer(rules.fields[trade.DIVISION], 2e3), answer(rules.fields[trade.KIND], trade.DYE)
    needle = rules.fields[trade.HOLD]
    falls = (110e3, 60e3, 40e3, 30e3, 20e3, 15e3)
    read = (replace(answer(needle, each), wait=30.0) for each in falls)
    return (*said, *read)


def _each_of(tree: conditions.Tree) -> Iterator[conditions.Tree]:
    """What must hold for a condition: the parts of an "and", else the whole of it."""
    if tree[0] != "and":
        yield tree
        return
    for part in tree[1:]:
        yield from _each_of(part)


def _order(rules: Rules, before: tuple[Step, ...], step: Step) -> Slice:
    """The step and what it takes for granted, every gate left out."""
    asked = sets(step)
    pumps = step.shows != "verdict"
    wanted = {cap for name in asked if pumps for cap in trade.CAPS.get(name, ())}
    kept = (*(each for each in before if sets(each) & wanted), step)
    names = set(wanted)
    for each in kept:  # of a list to tick one stands for all: unticked, it is offered the longer
        names |= {each.asks, each.reads, *each.checks[:1]} - {None}
        for tree in (each.when, each.done):
            names |= set() if tree is None else set(conditions.fields(tree))
    alone = sliced(rules, tuple(replace(each, gates=()) for each in kept))
    names = {name for name in names if name in rules.fields}
    return Slice(f"order {step.id}", alone, tuple(sorted(names)), _ORDER)


def _close(rules: Rules) -> Iterator[Slice]:
    """Off, on, and the end of the job: each part by itself."""
    steps = rules.procedures[PROCEDURE].steps
    kept = tuple(replace(s, gates=()) for s in steps if _moves_parts(s) or s is steps[-1])
    alone = sliced(rules, kept)
    names = {step.asks for step in kept if step.asks is not None}
    for tree in (step.when for step in kept):
        names |= {n for n in conditions.fields(tree or ["and"]) if n in rules.fields}
    for part in part_fields(rules):
        yield Slice(f"close {part}", alone, (*sorted(names - {part}), part), _CLOSE)


def _filled(rules: Rules) -> Slice:
    """Off, on, fill, level, the end: one joint, in any order, whatever the kind of repair."""
    steps = rules.procedures[PROCEDURE].steps
    asked = {trade.FILLED, trade.LEVEL, "fill.how"}
    kept = tuple(
        replace(step, gates=())
        for step in steps
        if _moves_parts(step) or step.asks in asked or step is steps[-1]
    )
    names = {*asked, trade.JOINTS[0], trade.CONSENT, *(s.asks for s in kept if _moves_parts(s))}
    known = tuple(sorted(name for name in names if name in rules.fields))
    checks = (invariants.filled_up, invariants.levelled, invariants.nothing_lost)
    return Slice("filled", sliced(rules, kept), known, checks, ("repair.kind",))


def _undone(rules: Rules, second: str, kept: tuple[Step, ...], check: Check) -> Slice:
    """What pumps up or drains, what undoes that, and the end of the job."""
    names: set[str] = set()
    for step in kept:
        names |= {step.asks, step.reads, *step.checks} - {None}
        for tree in (step.when, step.done):
            names |= set(conditions.fields(tree or ["and"]))
    names |= {trade.REOPENED}
    known = tuple(sorted(name for name in names if name in rules.fields))
    alone = sliced(rules, tuple(replace(step, gates=()) for step in kept))
    return Slice(f"undone {second}", alone, known, (check, invariants.nothing_lost))


def _moves_parts(step: Step) -> bool:
    """Not those that only put on what is off, before a run: without them it ends the sooner."""
    return step.shows in ("ledger_off", "ledger_on") and step.asks is not None
