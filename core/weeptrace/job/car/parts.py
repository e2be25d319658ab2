"""The ledger: what is off, and which joints with coolant behind them were opened."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.rules import Field, Rules


def opened(rules: Rules, job: Job) -> list[str]:
    """The parts with coolant behind them that came off in this round, on again or not."""
    known = [n for n, fact in job.answers.items() if fact.value]
    names = [*known, *(n for n in _off_by_what_was_taken_back(rules, job) if n not in known)]
    return [name for name in names if rules.fields[name].holds_coolant]


def opened_after(rules: Rules, job: Job, name: str) -> float:
    """How many of those came off or went on after a field was answered; all where it was not."""
    touches = (job.touches.get(part) for part in opened(rules, job))  # none: only by its name
    at = -1 if (last := job.touches.get(name)) is None else last.number
    known = job.value(name) is not None
    return float(sum(not known or touch is None or touch.number > at for touch in touches))


def parts_out(rules: Rules, job: Job) -> list[Field]:
    """The parts that are off, in the order in which they came off.

    One whose "off" was taken back counts as off until something else is answered for it.
    """
    out = {
        name: fact.event.seq
        for name, fact in job.answers.items()
        if fact.value == "off" and rules.fields[name].kind == "part"
    } | _off_by_what_was_taken_back(rules, job)
    return [rules.fields[name] for name in sorted(out, key=out.__getitem__)]


def _off_by_what_was_taken_back(rules: Rules, job: Job) -> dict[str, int]:
    """The parts whose "off" was taken back, with nothing answered for them since: their numbers."""
    found: dict[str, int] = {}
    for event, _ in job.withdrawn:
        field = rules.fields.get(event.field)
        if field is not None and field.kind == "part" and event.typed == "off":
            rounds = [facts for facts in (*job.cleared, job.facts) if event.field in facts]
            if all(facts[event.field].event.seq < event.seq for facts in rounds):
                found[event.field] = event.seq
    return found
