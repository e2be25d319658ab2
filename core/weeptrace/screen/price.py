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
    """Labour, parts and their sum, in the shop's currency; what is not known is left out."""
    text = show.rules.text
    hours, rate, bought = (job.value(n) for n in ("quote.hours", "shop.rate", "quote.parts"))
    money = str(job.value("shop.currency") or "")

    def amount(value: float) -> str:
        return f"{value:.0f}{NBSP}{money}" if money else f"{value:.0f}"

    rows, total = [], 0.0
    if isinstance(hours, float) and isinstance(rate, float):
        labour = from_si(hours, "h") * rate
        total += labour
        rows.append([f"{show.figure(hours, 'time')} at {amount(rate)}", amount(labour)])
    if isinstance(bought, float):
        total += bought
        rows.append([text("field.quote.parts"), amount(bought)])
    if len(rows) == 2:
        rows.append([text("screen.together"), amount(total)])
    return rows
