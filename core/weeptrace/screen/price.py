"""The price: what the hours and the parts come to, beside the figure that is typed."""

from __future__ import annotations

from weeptrace.job.state import Job
from weeptrace.quantity import from_si
from weeptrace.rules import Step
from weeptrace.screen import parts, step
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.parts import Json


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step that asks the price, with the sum above its pad where one is known."""
    body, foot = step.blocks(show, job, at)
    rows = lines(show, job)
    return ([*body[:2], parts.table(rows), *body[2:]] if rows else body), foot


def lines(show: Show, job: Job) -> list[list[str]]:
    """One row: labour, parts, and their sum in the shop's currency, of what is known."""
    text = show.rules.text
    hours, rate, bought = (job.value(n) for n in ("quote.hours", "shop.rate", "quote.parts"))
    money = str(job.value("shop.currency") or "")

    def amount(value: float) -> str:
        return f"{value:.0f}{NBSP}{money}" if money else f"{value:.0f}"

    known: dict[str, float] = {}
    if isinstance(hours, float) and isinstance(rate, float):
        known[f"{show.figure(hours, 'time')} at {rate:.0f}"] = from_si(hours, "h") * rate
    if isinstance(bought, float):
        known[text("field.quote.parts")] = bought
    if not known:
        return []
    words = ", ".join(f"{name}: {value:.0f}" for name, value in known.items())
    return [[words, amount(sum(known.values()))]]
