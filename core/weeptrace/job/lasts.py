"""From a job's facts to how long the coolant lasts, and whether the car may drive."""

from __future__ import annotations

from weeptrace.finding import Estimate
from weeptrace.job import holds
from weeptrace.job.car.unfit import answers
from weeptrace.job.coolant import number
from weeptrace.job.state import Job
from weeptrace.loss.lasts import Lasts
from weeptrace.loss.lasts import lasts as how_long
from weeptrace.loss.rate import Found, combine, from_owner
from weeptrace.rules import Rules


def lasts(rules: Rules, job: Job) -> Lasts | None:
    """The decision by what is known; None where the loss itself was not measured.

    The loss is what the hold found and what the owner tells, both where both are known.
    """
    ways = []
    owner = number(job, "owner.rate")
    if owner:
        ways.append(Found("owner", from_owner(Estimate(owner, owner, owner), rules.limits)))
    series = job.present(holds.PRESSURE)
    flow = holds.assess(rules, job, series).leak_flow if series.readings else None
    if flow is not None and flow.value > 0.0:
        ways.append(Found("hold", Estimate(flow.value, flow.low, flow.high)))
    if not ways:
        return None
    return how_long(
        combine(ways, rules.limits),
        rules.limits,
        reserve=number(job, "car.reserve") or None,
        capacity=number(job, "car.capacity"),
        trip=number(job, "drive.trip"),
        findings=answers(rules, job),
    )
