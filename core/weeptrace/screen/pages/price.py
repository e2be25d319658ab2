"""The price: what the hours and the parts come to, beside the figure that is typed."""

from __future__ import annotations

from weeptrace.job.quoted import quoted, usual
from weeptrace.job.state import Job
from weeptrace.quantity import from_si
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import NBSP, Show
from weeptrace.screen.pages import step
from weeptrace.screen.parts import Json
from weeptrace.told import Figure


def blocks(show: Show, job: Job, at: Step) -> tuple[list[Json], Json]:
    """An ordinary step that asks the price, with the sum above its pad where one is known."""
    body, foot = step.blocks(show, job, at)
    rows = [*lines(show, job), *_estimated(show, job)]
    return ([*body[:2], parts.table(rows, figures=(1,)), *body[2:]] if rows else body), foot


def lines(show: Show, job: Job) -> list[list[str]]:
    """One row: labour, parts, and their sum in the shop's currency, of what is known."""
    say = show.say
    hours, rate, bought = (job.value(n) for n in ("quote.hours", "shop.rate", "quote.parts"))
    known: dict[str, float] = {}
    if isinstance(hours, float) and isinstance(rate, float):
        known[say("price.labour", time=Figure(hours, "time"), rate=rate)] = (
            from_si(hours, "h") * rate
        )
    if isinstance(bought, float):
        known[say("field.quote.parts")] = bought
    if not known:
        return []
    words = ", ".join(
        say("answer.named", name=name, words=f"{value:.0f}") for name, value in known.items()
    )
    return [[words, _amount(job, sum(known.values()))]]


def _estimated(show: Show, job: Job) -> list[list[str]]:
    """The usual time of what follows; with an hour's price, the price and the ceiling by that."""
    say = show.say
    time = usual(show.rules, job)
    low, likely, high = (Figure(each, "time") for each in (time.low, time.likely, time.high))
    usually = say("price.usual", likely=likely, low=low, high=high)
    rows = [[say("screen.hours_usual"), usually]]
    found = quoted(show.rules, job)
    if found is not None:
        rows.append([say("screen.price_half"), _amount(job, found.median)])
        rows.append([say("screen.price_ceiling"), _amount(job, found.ceiling)])
    return rows


def _amount(job: Job, value: float) -> str:
    money = str(job.value("shop.currency") or "")
    return f"{value:.0f}{NBSP}{money}" if money else f"{value:.0f}"
