"""From a job's facts to its time, its price and its ceiling."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from weeptrace.job.coolant import number
from weeptrace.job.procedure import Known
from weeptrace.job.state import Job
from weeptrace.quote.estimate import Contingency, Line, Phase, Quote, Range, estimate
from weeptrace.rules import Phase as RulesPhase
from weeptrace.rules import Rules, conditions

RISKS: Final = ("risk.fastener", "risk.fitting", "risk.brittle", "risk.more_wet", "risk.aim")
# What will be so once the owner has agreed.
_AGREED: Final[dict[str, float | str]] = {"consent.how": "spoken"}
_DRAINED: Final[dict[str, float | str]] = {
    **_AGREED, "coolant.drained": 1.0, "rounds.drained": 1.0, "fill.how": "open_neck",
}  # fmt: skip


def phases(rules: Rules, job: Job) -> list[Phase]:
    """The phases that follow the owner's yes, with their usual minutes as times in s."""
    every = rules.procedures[job.procedure].phases
    after = next(i for i, phase in enumerate(every) if phase.id == "quote") + 1
    known = Known(rules, job)

    def follows(phase: RulesPhase, so: Mapping[str, float | str]) -> bool:
        def supposed(name: str) -> float | str | None:
            if name == "transmission.caught" and job.value("repair.kind") == "radiator_with_cooler":
                return 1.0
            return so.get(name) or known[name]

        entry = phase.entry
        return entry is None or conditions.evaluate(entry, supposed, rules.limits) is True

    drains = any(phase.id == "drain" and follows(phase, _AGREED) for phase in every)
    return [
        Phase(phase.id, Range(*(60.0 * minutes for minutes in phase.minutes)))
        for phase in every[after:]
        if phase.minutes and phase.id != "extra"
        and follows(phase, _DRAINED if drains else _AGREED)
    ]  # fmt: skip


def usual(rules: Rules, job: Job) -> Range:
    """Low, likely and high time of those phases, s."""
    times = [phase.time for phase in phases(rules, job)]
    return Range(*(sum(getattr(time, end) for time in times) for end in ("low", "likely", "high")))


def quoted(rules: Rules, job: Job) -> Quote | None:
    """Price and ceiling; None where an hour's price is not known.

    Hours that were typed stand for the likely time; low and high keep their ratio to it. A risk
    that was not weighed counts as unlikely.
    """
    rate = number(job, "shop.rate")
    if rate is None:
        return None
    work = phases(rules, job)
    hours = number(job, "quote.hours")
    if hours is not None:
        time = usual(rules, job)
        scale = hours / time.likely
        work = [Phase("work", Range(time.low * scale, hours, time.high * scale))]
    bought = number(job, "quote.parts")
    limits = rules.limits
    return estimate(
        work,
        rate,
        limits,
        lines=[] if bought is None else [Line("parts", 1.0, Range(bought, bought, bought))],
        contingencies=[
            Contingency(
                name,
                limits["quote.likely" if job.value(name) == "likely" else "quote.unlikely"],
                limits["quote.risk_time"],
                0.0,
            )
            for name in RISKS
        ],
        authorised=number(job, "quote.ceiling"),
    )
