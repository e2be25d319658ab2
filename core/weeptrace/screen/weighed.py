"""What the readings of a hold speak for, what would see a smaller leak, and what stands apart."""

from __future__ import annotations

from weeptrace.hold.data import Assessment
from weeptrace.hold.explain import CANNOT_TELL, WITH_LEAK
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.screen import parts
from weeptrace.screen.figures import NBSP, Show, minutes
from weeptrace.screen.parts import Json

# Verdicts that prove a leak: a running hold may announce them, by the rule for repeated looks.
PROVED = ("seeping", "seeping_or_leaking", "leaking", "leaking_or_gross", "gross")
LEAST_SHOWN = 0.005


def answer(show: Show, found: Assessment) -> str:
    """Leak or no leak with its weight in words: "A leak, very likely"; "" where nothing is fitted.

    The word goes by ``hold.favoured_weight`` and ``hold.very_likely_weight``.
    """
    text = show.rules.text
    if found.favoured is None:
        return ""
    if found.favoured == CANNOT_TELL:
        return text("weighed.cannot_tell")
    leak = _leak_weight(found)
    side, weight = ("leak", leak) if found.favoured in WITH_LEAK else ("no_leak", 1.0 - leak)
    very = weight >= show.rules.limits["hold.very_likely_weight"]
    return f"{text(f'weighed.{side}')}, {text('weighed.very_likely' if very else 'weighed.likely')}"


def _leak_weight(found: Assessment) -> float:
    return sum(weight for name, weight in found.explanations.items() if name in WITH_LEAK)


def explained(show: Show, found: Assessment) -> list[Json]:
    """The answer, and all explanations with their weights as shares of one whole."""
    text = show.rules.text
    if not found.explanations:
        return []
    leak = _leak_weight(found)
    lines = [f"Leak {_weight(leak)}, no leak {_weight(1.0 - leak)}"]
    told = found.favoured not in (None, CANNOT_TELL)
    if told:
        lines.insert(0, f"{text('weighed.best')} {text(f'explanation.{found.favoured}')}")
    ranked = sorted(found.explanations.items(), key=lambda pair: -pair[1])
    rows = [
        [text(f"explanation.{id}"), _weight(weight)]
        for id, weight in ranked
        if weight >= LEAST_SHOWN
    ]
    return [
        parts.heading(text("weighed.heading")),
        parts.state(None if told else "waits", answer(show, found), lines),
        parts.table(rows),
    ]


def _weight(share: float) -> str:
    """A weight in percent; one that is almost all or nothing is never rounded to that."""
    if share <= LEAST_SHOWN:
        return f"<1{NBSP}%"
    return f">99{NBSP}%" if share >= 1.0 - LEAST_SHOWN else _percent(share)


def _percent(share: float) -> str:
    return f"{100 * share:.0f}{NBSP}%"


def smaller(show: Show, found: Assessment) -> list[Json]:
    """The smallest leak that such a hold flags; where none was proved, what shrinks it most."""
    text = show.rules.text
    if found.smallest_detectable is None:
        return []
    unit, least = show.unit("loss_per_distance"), show.loss(found.smallest_detectable)
    if found.verdict in PROVED or not found.advice:
        return [parts.table([[text("weighed.smaller"), f"{least}{NBSP}{unit}"]])]
    rows = [[text("weighed.this_hold"), "", least]]
    rows += [
        [text(f"advice.{way.code}"), _in_minutes(way.time), show.loss(way.smallest_detectable)]
        for way in found.advice
    ]
    heads = ["", text("weighed.takes"), text("weighed.sees_from")]
    heading = f"{text('weighed.smaller')}, {unit.replace(' ', NBSP)}"
    return [parts.heading(heading), parts.table(rows, heads)]


def _in_minutes(seconds: float) -> str:
    return f"{max(1, round(seconds / 60))}{NBSP}min"


def more(found: Assessment) -> str | None:
    """When the hold is expected to say more: "About 6 min more would tell"; None where never."""
    return (
        None if found.more_time is None else f"About {_in_minutes(found.more_time)} more would tell"
    )


def apart(show: Show, job: Job, series: Series, found: Assessment) -> list[Json]:
    """Each reading that stands apart from the others, by name, with the pad to type it again."""
    field = show.rules.fields[series.field]
    read = [(time, fact) for time, fact in series.times() if isinstance(fact.value, float)]
    return [
        parts.state(
            "not_done",
            f"{fact.event.typed}{NBSP}{fact.event.unit} at {minutes(time)} stands apart",
            [show.rules.text("weighed.again")],
            framed=True,
            do={"pad": parts.pad(show, job, field, supersedes=fact.event.id)},
        )
        for time, fact in (read[place] for place in found.suspect_readings)
    ]


def left(show: Show, job: Job, series: Series, found: Assessment) -> str | None:
    """Of a hold after the repair: how much of the leak before is left, with its interval."""
    before = job.all_series(holds.PRESSURE)[-1:]
    if series.field != holds.AFTER or not before:
        return None
    part = holds.left(show.rules, holds.assess(show.rules, job, before[0]), found)
    if part is None:
        return show.rules.text("weighed.left_unknown")
    low, high = _percent(part.low), _percent(part.high)
    return f"{_percent(part.value)} ({low} to {high})"
