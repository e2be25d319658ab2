"""From a job's facts to the mix plan and the fluid balance."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import Final, cast

from weeptrace.fill import mix
from weeptrace.fill.uptake import Uptake
from weeptrace.fill.uptake import uptake as plan_uptake
from weeptrace.job import rounds
from weeptrace.job.holds import evacuated
from weeptrace.job.state import Job
from weeptrace.loss import balance
from weeptrace.loss.lines import Lines, lines
from weeptrace.properties import air
from weeptrace.properties.fraction import Glycol
from weeptrace.rules import Rules

NEEDED: Final = (
    "car.capacity", "coolant.drained", "coolant.residual_strength", "coolant.target_strength",
    "coolant.at_hand",
)  # fmt: skip
_FLUIDS: Final = {
    "concentrate": (mix.at_hand("concentrate"), mix.at_hand("water")),
    "premix_50": (mix.at_hand("premix", 0.5),),
}


@dataclass(frozen=True)
class MixPlan:
    """The plan, what it was made from (SI), and the glycol where it is known."""

    plan: mix.Plan
    capacity: float
    residual: float
    residual_strength: float
    target: float
    glycol: Glycol | None


def number(job: Job, name: str) -> float | None:
    """A field's number in SI; None where it is unknown or not measured."""
    value = job.value(name)
    return value if isinstance(value, float) else None


def not_measured(job: Job) -> list[str]:
    """The fields that a mix plan needs and that are not known."""
    return [name for name in NEEDED if job.value(name) is None]


def mix_plan(rules: Rules, job: Job) -> MixPlan | None:
    """The job's mix plan; None where something that it needs is not known.

    Raises ``Refusal`` where the volumes do not fit together.
    """
    capacity, drained, strength, target = (number(job, name) for name in NEEDED[:4])
    fluids = _FLUIDS.get(str(job.value("coolant.at_hand")))
    if capacity is None or drained is None or strength is None or target is None or fluids is None:
        return None
    known = job.value("car.glycol")
    glycol = cast("Glycol", known) if known in ("ethylene", "propylene") else None
    plan = mix.plan(
        capacity=capacity,
        drained=drained,
        residual_strength=strength,
        target=target,
        glycol=glycol or "ethylene",  # the amounts hold for both; the freeze point is not shown
        at_hand=fluids,
        limits=rules.limits,
        missing_before=number(job, "coolant.missing_before") or 0.0,
    )
    return MixPlan(plan, capacity, capacity - plan.fill_volume, strength, target, glycol)


def fluid_balance(rules: Rules, job: Job) -> balance.Balance:
    """The fluid balance of all rounds, supposing that no air is left in the system.

    So what does not close is air still inside, or something uncounted. Streams that were not
    measured stay unknown. Raises ``Refusal`` where the volumes are impossible.
    """

    def volume(name: str) -> balance.Volume | None:
        value = rounds.total(job, name)
        return None if value is None else balance.measured(value, rules.limits)

    capacity, times = number(job, "car.capacity"), max(rounds.drained(job), 1)
    return balance.close(
        drained=volume("coolant.drained"),
        filled=volume("coolant.filled"),
        spilled=volume("coolant.spilled"),
        missing_before=volume("coolant.missing_before"),
        air_left=balance.Volume(0.0, 0.0, 0.0),
        capacity=None
        if capacity is None
        else balance.measured(capacity * times, rules.limits, how="capacity"),
        limits=rules.limits,
    )


def uptake(rules: Rules, job: Job) -> Uptake | None:
    """What the vacuum fill will take; None where something that it needs is not known.

    The residual pressure is the atmosphere less where the needle stood: the middle of the last
    readings, since the deepest of them is the one that was read too deep. Raises ``Refusal`` where
    the readings are impossible here.
    """
    volume = evacuated(job.facts)
    needles = [
        fact.value
        for _, fact in job.present("vacuum.pressure").times()
        if isinstance(fact.value, float)
    ]
    if volume is None or not needles:
        return None
    altitude = number(job, "place.altitude") or 0.0
    stood = median(needles[-int(rules.limits["fill.last_needles"]) :])
    return plan_uptake(
        volume=volume,
        residual_pressure=air.pressure(altitude) - stood,
        altitude=altitude,
        temperature=number(job, "coolant.temperature") or rules.limits["hold.temperature_unknown"],
        limits=rules.limits,
        strength=number(job, "coolant.target_strength"),
        measured=number(job, "coolant.filled"),
    )


def transmission(rules: Rules, job: Job) -> Lines | None:
    """What the transmission lost, by what was caught; None where nothing was weighed."""
    caught = number(job, "transmission.caught")
    return None if caught is None else lines(caught=caught, limits=rules.limits)
