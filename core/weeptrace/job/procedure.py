"""Where a job stands: the first step that applies and is not done, and the gate before it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from weeptrace.job import holds as holds_of
from weeptrace.job import rounds
from weeptrace.job.events import Moment
from weeptrace.job.state import Job, Touch
from weeptrace.rules import Field, Gate, Procedure, Rules, Step, conditions


@dataclass(frozen=True)
class GateState:
    """How a gate stands now.

    ``open`` is True, False, or None where evidence is missing or stale; ``stale`` names evidence
    that is too old or that something since has undone.
    """

    open: bool | None
    stale: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Position:
    """The present step (None: the job is done), and the shut gate that stands before it."""

    step: Step | None
    gate: Gate | None
    phase: int


def position(rules: Rules, job: Job, now: Moment) -> Position:
    """Where the job stands at ``now``."""
    procedure = rules.procedures[job.procedure]
    known = Known(rules, job)
    step = next(
        (step for step in procedure.steps if not done(known, step) and applies(known, step)), None
    )
    phases = [phase.id for phase in procedure.phases]
    if step is None:
        return Position(None, None, len(phases) - 1)
    for gate in (rules.gates[id] for id in step.gates):
        if gate_state(rules, job, gate, now).open is not True:
            return Position(step, gate, _gate_phase(procedure, step, gate))
    return Position(step, None, phases.index(step.phase))


def _gate_phase(procedure: Procedure, step: Step, gate: Gate) -> int:
    """The gate's own phase when it comes before the step's, else the step's."""
    own = next(i for i, phase in enumerate(procedure.phases) if phase.id == step.phase)
    before = procedure.phases[own - 1].gate if own else None
    return own - 1 if before == gate.id else own


class Known(dict[str, float | str | None]):
    """What a condition may look up in one job: its values, and figures computed where asked.

    The values stand in a plain dict and a figure is computed once: to find the present step, some
    hundred conditions look up hundreds of them.
    """

    def __init__(self, rules: Rules, job: Job) -> None:
        super().__init__(job.values)
        self.rules, self.job = rules, job

    def __missing__(self, name: str) -> float | str | None:
        made = _COMPUTED.get(name)
        self[name] = value = None if made is None else made(self.rules, self.job)
        return value

    def holds(self, tree: conditions.Tree) -> bool:
        """Whether a condition is true of the job; one that hangs on something unknown is not."""
        return conditions.evaluate(tree, self.__getitem__, self.rules.limits) is True


def applies(known: Known, step: Step) -> bool:
    """Whether a step is part of this job; on something unknown it is not, yet."""
    return step.when is None or known.holds(step.when)


def done(known: Known, step: Step) -> bool:
    """Whether a step is done: by its own condition, else by the answer to what it asks."""
    if step.done is not None:
        return known.holds(step.done)
    if step.asks is None:
        return all(known[name] is not None for name in step.checks)
    return known[step.asks] is not None or (step.skip and known.job.answered(step.asks))


def is_open(rules: Rules, job: Job) -> bool:
    """Whether a system stands open or under pressure, as far as the job knows."""
    condition = rules.procedures[job.procedure].open
    return condition is not None and Known(rules, job).holds(condition)


def fall_in_divisions(job: Job) -> float | None:
    """The tester's own fall on a blank, in divisions of its gauge; None where one is not known."""
    fall, division = job.value("tester.self_fall"), job.value("tester.division")
    if not isinstance(fall, float) or not isinstance(division, float):
        return None
    return fall / division


def openings_outside(rules: Rules, job: Job) -> float | None:
    """How many of the cap's opening pressures lie outside its tolerance; None where none is known.

    The tolerance is a share of the printed rating, ``cap.low`` below it and ``cap.high`` above.
    """
    rating = job.value("car.cap_rating")
    found = [job.value(f"cap.opening_{number}") for number in (1, 2, 3)]
    opened = [value for value in found if isinstance(value, float)]
    if not isinstance(rating, float) or not opened:
        return None
    low, high = ((1.0 + rules.limits[f"cap.{end}"]) * rating for end in ("low", "high"))
    # 115 % of 100 kPa must not miss 115 kPa by a rounding of the last bit.
    slip = 1e-9 * rating
    return float(sum(not low - slip <= value <= high + slip for value in opened))


def over_the_ceiling(job: Job) -> float | None:
    """Price and agreed add-ons less the ceiling, in money; None where no price is known.

    Without a ceiling the price is the ceiling. A price after a late finding stands by itself.
    """
    price = job.value("quote.total")
    if not isinstance(price, float):
        return None
    ceilings = [job.value(name) for name in ("quote.ceiling_new", "quote.ceiling", "quote.total")]
    ceiling = next(value for value in ceilings if isinstance(value, float))
    return price + added(job) - ceiling


def added(job: Job) -> float:
    """The money of all add-ons and broken pieces under this price that nobody refused."""
    money = 0.0
    for facts in rounds.quoted(job):
        for kin in ("extra", "broken"):
            price, how = (facts.get(f"{kin}.{part}") for part in ("price", "how"))
            refused = how is not None and how.value == "refused"
            if price is not None and isinstance(price.value, float) and not refused:
                money += price.value
    return money


def liquid(job: Job) -> float:
    """1 where liquid may stand in a cylinder, else 0, by all tests of the job, not the present one.

    A wet cylinder until a later look finds all dry; combustion gas shown in the coolant; or coolant
    in a cylinder by what was answered for driving.
    """
    looks = [word for word in rounds.every(job, "test.cylinders") if word in ("wet", "dry")]
    gas = "changed" in rounds.every(job, "test.gas")
    told = rounds.every(job, "drive.coolant_in_cylinder")[-1:] == ["yes"]
    return float(looks[-1:] == ["wet"] or gas or told)


def is_gross(rules: Rules, job: Job) -> bool:
    """Whether a hold of this round was judged gross; after a repair only the hold after it counts.

    Another test forgets no gross hold of an earlier one.
    """
    if holds_of.AFTER in job.series and job.present(holds_of.AFTER).readings:
        series = [job.present(holds_of.AFTER)]
    elif job.value("coolant.filled") is not None or job.value("ledger.on_complete") is not None:
        return False
    else:
        opened_at = job.facts.get("work.reopened")
        tests = [
            each for each in job.all_series(holds_of.TEST)
            if each.facts is None or each.facts.get("work.reopened") == opened_at
        ]  # fmt: skip
        series = [job.present(holds_of.PRESSURE), *tests]
    return any(
        "gross" in holds_of.assess(rules, job, each).verdict for each in series if each.readings
    )


def opened(rules: Rules, job: Job) -> list[str]:
    """The parts with coolant behind them that came off in this round, on again or not."""
    return [n for n, fact in job.facts.items() if rules.fields[n].holds_coolant and fact.value]


def opened_after(rules: Rules, job: Job, name: str) -> float:
    """How many of those came off or went on after a field was answered; all where it was not."""
    touches = (job.touched.get(part) for part in opened(rules, job))  # none: only by its name
    at = -1 if (last := job.touched.get(name)) is None else last.number
    known = job.value(name) is not None
    return float(sum(not known or touch is None or touch.number > at for touch in touches))


def parts_out(rules: Rules, job: Job) -> list[Field]:
    """The parts that are off, in the order in which they came off."""
    out = [
        (fact.event.seq, rules.fields[name])
        for name, fact in job.facts.items()
        if fact.value == "off" and rules.fields[name].kind == "part"
    ]
    return [part for _, part in sorted(out, key=lambda pair: pair[0])]


def gate_state(rules: Rules, job: Job, gate: Gate, now: Moment) -> GateState:
    """How a gate stands: on fresh evidence only.

    Evidence is stale when it is older than the gate's age, or when one of the gate's ``stale_on``
    events came after it (the app was opened again, the engine ran, the system was pumped up): after
    it in the log, or, where it is typed late, after the moment at which it was measured.
    """
    missing = tuple(name for name in gate.evidence if job.value(name) is None)
    stale = tuple(
        name
        for name in gate.evidence
        if name not in missing and _is_stale(rules, job, gate, name, now)
    )
    known = Known(rules, job)
    opens = conditions.evaluate(
        gate.opens,
        lambda name: None if name in stale else known[name],
        rules.limits,
        lambda name: now.age(job.facts[name].event.moment),
    )
    return GateState(opens, stale, missing)


def _is_stale(rules: Rules, job: Job, gate: Gate, name: str, now: Moment) -> bool:
    within = (part for part in conditions.ages(gate.opens) if part[1] == name)
    age = now.age(job.facts[name].event.moment)
    if any(age > rules.limits[part[2][1]] for part in within):
        return True
    return any(_undone(job, name, touch) for touch in map(job.touched.get, gate.stale_on) if touch)


def _undone(job: Job, name: str, touch: Touch) -> bool:
    """Whether something came after a value: in the log, or before that by the clock.

    Within a boot by its own clock, which never goes back. What is typed late to before its boot
    goes by the wall clock.
    """
    measured = job.facts[name].event.moment
    if touch.moment.boot == measured.boot:
        later = touch.moment.mono > measured.mono
    else:
        resumed = job.touched.get("app.resumed")
        own = resumed is not None and resumed.moment.boot == measured.boot
        began = resumed.moment.mono if resumed is not None and own else 0.0
        later = measured.mono < began and touch.moment.wall > measured.wall
    return later or touch.number > job.touched[name].number


_COMPUTED: Final[dict[str, Callable[[Rules, Job], float | None]]] = {
    "ledger.out": lambda rules, job: float(len(parts_out(rules, job))),
    "ledger.out_to_run": lambda rules, job: float(
        sum(part.needed_to_run for part in parts_out(rules, job))
    ),
    "tester.fall_in_divisions": lambda _, job: fall_in_divisions(job),
    "cap.outside": openings_outside,
    "quote.over": lambda _, job: over_the_ceiling(job),
    "hold.gross": lambda rules, job: float(is_gross(rules, job)),
    "ledger.opened": lambda rules, job: float(len(opened(rules, job))),
    "ledger.unfilled": lambda rules, job: opened_after(rules, job, "coolant.filled"),
    "ledger.unlevelled": lambda rules, job: opened_after(rules, job, "level.end"),
    "seen.liquid": lambda _, job: liquid(job),
    "rounds.drained": lambda _, job: float(rounds.drained(job)),
}
