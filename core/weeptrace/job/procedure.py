"""Where a job stands: the first step that applies and is not done, and the gate before it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final, NamedTuple

from weeptrace.job import rounds
from weeptrace.job.car.bled import unbled
from weeptrace.job.car.known import undone
from weeptrace.job.car.left import BACK, left
from weeptrace.job.car.parts import opened, opened_after, parts_out
from weeptrace.job.car.seen import fell, is_gross, liquid, oil, wet_since
from weeptrace.job.car.unfit import unfit
from weeptrace.job.events import Moment
from weeptrace.job.state import Job, Touch
from weeptrace.rules import Gate, Procedure, Rules, Step, conditions


class GateState(NamedTuple):
    """How a gate stands now.

    ``open`` is True, False, or None where evidence is missing or stale; ``stale`` names evidence
    that is too old or that something since has undone.
    """

    open: bool | None
    stale: tuple[str, ...]
    missing: tuple[str, ...]


class Position(NamedTuple):
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
        if gate_state(rules, job, gate, now, known).open is not True:
            gate = _before_its_rows(rules, job, gate, now, known) or gate
            return Position(step, gate, _gate_phase(procedure, step, gate))
    return Position(step, None, phases.index(step.phase))


def _before_its_rows(rules: Rules, job: Job, gate: Gate, now: Moment, known: Known) -> Gate | None:
    """What must be shown before a hand does what a shut gate's rows ask for: the first shut gate.

    A row asks for the act of the step of its field, and stands behind what that step must be shown.
    """
    procedure = rules.procedures[job.procedure]
    names = (
        BACK[name].field if name in BACK else name for name in unmet(rules, job, gate, now, known)
    )
    for name in names:
        if (step := procedure.asking.get(name)) is None:
            continue
        for shown in (rules.gates[id] for id in step.gates):
            if not shown.evidence or shown.id == gate.id:
                continue
            if gate_state(rules, job, shown, now, known).open is not True:
                return shown
    return None


def unmet(
    rules: Rules, job: Job, gate: Gate, now: Moment, known: Known
) -> dict[str, list[conditions.Tree]]:
    """By name, what the condition of a gate wants of it and is not so, in the condition's order."""
    stale = gate_state(rules, job, gate, now, known).stale
    found: dict[str, list[conditions.Tree]] = {}
    for piece in conditions.unmet(
        gate.opens, lambda name: None if name in stale else known[name], rules.limits,
        lambda name: now.age(job.facts[name].event.moment),
    ):  # fmt: skip
        for name in conditions.fields(piece):
            found.setdefault(name, []).append(piece)
    return found


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
    if known[step.asks] is not None:
        return True
    # What may be left out is not asked where the same question was answered beside the causes.
    same = known.rules.asks_same.get(step.asks, "")
    return step.skip and (known.job.answered(step.asks) or known.job.value(same) is not None)


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


def gate_state(
    rules: Rules, job: Job, gate: Gate, now: Moment, known: Known | None = None
) -> GateState:
    """How a gate stands: on fresh evidence only. ``known``: of this job, where one is at hand.

    Evidence is stale when it is older than the gate's age, or when one of the gate's ``stale_on``
    events came after it (the app was opened again, the engine ran, the system was pumped up): after
    it in the log, or, where it is typed late, after the moment at which it was measured. Where one
    piece is taken back, what was shown by the others before is shown again.
    """
    missing = tuple(name for name in gate.evidence if job.value(name) is None)
    stale = tuple(
        name
        for name in gate.evidence
        if name not in missing and _is_stale(rules, job, gate, name, now)
    )
    looked_up = known or Known(rules, job)
    opens = conditions.evaluate(
        gate.opens,
        lambda name: None if name in stale else looked_up[name],
        rules.limits,
        lambda name: now.age(job.answers[name].event.moment),
    )
    return GateState(opens, stale, missing)


def _is_stale(rules: Rules, job: Job, gate: Gate, name: str, now: Moment) -> bool:
    within = (part for part in conditions.ages(gate.opens) if part[1] == name)
    moment = job.answers[name].event.moment
    age = now.age(moment)
    if any(age > rules.limits[part[2][1]] for part in within):
        return True
    shown = Touch(job.touches[name].number, moment)
    touches = [touch for touch in map(job.touches.get, gate.stale_on) if touch]
    for event, touch in job.withdrawn:  # it may have been so
        if event.field == name or {event.field, f"{event.field} {event.typed}"} & {*gate.stale_on}:
            touches.append(touch)
    touches += [touch for field, touch in job.begun if field in (name, *gate.stale_on)]
    touches += [touch for field, touch in job.taken_back if field in gate.evidence]
    return any(undone(job, shown, touch) for touch in touches)


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
    "seen.liquid": liquid,
    "seen.wet_since": wet_since,
    "seen.oil": lambda _, job: oil(job),
    "seen.fell": lambda _, job: fell(job),
    "fill.unbled": unbled,
    "seen.unfit": unfit,
    "rounds.drained": lambda _, job: float(rounds.drained(job)),
    **{name: partial(left, name=name) for name in BACK},
}
