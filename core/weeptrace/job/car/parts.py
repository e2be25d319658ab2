"""The ledger: what is off, and which joints with coolant behind them were opened."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules


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
