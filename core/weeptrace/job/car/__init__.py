"""The car as it is known now, from events and time alone: one place for all who ask.

What is unknown stays unknown. ``known`` holds the variables of ``rules/state.toml``; the rest is
worked out of them, of the ledger and of what was seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.job.car.known import Known, known
from weeptrace.job.car.parts import opened_after, parts_out
from weeptrace.job.car.seen import is_gross, liquid
from weeptrace.job.events import Moment
from weeptrace.job.state import Job
from weeptrace.rules import Rules


@dataclass(frozen=True)
class Car:
    """The car at one moment.

    ``hottest``: the hottest that its coolant can be, K; ``pressure``: the most that it can hold, Pa
    gauge; None where nobody knows. ``off``: the parts that are off, in order. ``unfilled``,
    ``unlevelled``: joints opened since it was filled, since its level was set. ``liquid``: whether
    liquid may stand in a cylinder; ``gross``: whether its leak was judged gross.
    """

    known: Mapping[str, Known]
    hottest: float | None
    pressure: float | None
    off: tuple[str, ...]
    unfilled: int
    unlevelled: int
    liquid: bool
    gross: bool

    def told(self, name: str) -> float | str | None:
        """What was last shown of a variable, however old."""
        return self.known.get(name, Known()).told


def car(rules: Rules, job: Job, now: Moment) -> Car:
    """What is known of the car at ``now``."""
    found = {id: known(rules, job, variable, now) for id, variable in rules.state.items()}
    return Car(
        known=found,
        hottest=_hottest(rules, job, found.get("heat", Known())),
        pressure=_pressure(rules, job, found),
        off=tuple(part.id for part in parts_out(rules, job)),
        unfilled=int(opened_after(rules, job, "coolant.filled")),
        unlevelled=int(opened_after(rules, job, "level.end")),
        liquid=liquid(rules, job) > 0.0,
        gross=is_gross(rules, job),
    )


def _hottest(rules: Rules, job: Job, heat: Known) -> float | None:
    """The last measured temperature, cooled as slowly as an open bonnet allows; None after a run.

    Newton's law, ``T = Ta + (T0 - Ta) exp(-t / tau)``, tau ``gate.cooling_slow``; where the air was
    not measured nothing is taken off.
    """
    if not isinstance(heat.told, float) or heat.undone or math.isinf(heat.age):
        return None
    air = job.value("place.ambient")
    if not isinstance(air, float) or air >= heat.told:
        return max(heat.told, air) if isinstance(air, float) else heat.told
    share = math.exp(-heat.age / rules.limits["gate.cooling_slow"])
    return air + (heat.told - air) * share


def _pressure(rules: Rules, job: Job, found: Mapping[str, Known]) -> float | None:
    """None left in where it is shown so; else what the cap lets it hold, with its tolerance."""
    if found.get("pressure", Known()).value == "none":
        return 0.0
    rating = job.value("car.cap_rating")
    return (1.0 + rules.limits["cap.high"]) * rating if isinstance(rating, float) else None
