"""The holds of a job for its record: the one before, the one after, and all others."""

from __future__ import annotations

from typing import Final

from weeptrace.hold.data import Assessment, Estimate
from weeptrace.hold.judge import LEAKS
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.screen import weighed
from weeptrace.screen.figures import NBSP, Show, as_typed, clock, minutes
from weeptrace.screen.pages import verdict
from weeptrace.told import Figure

LIMITED: Final = ("no_leak_found", "tight", "too_weak")  # verdicts that name a largest leak
_NAMES: Final = (
    (holds.PRESSURE, "pressure"), (holds.DRY, "dry"), (holds.VACUUM, "vacuum"),
    (holds.AFTER, "after"),
)  # fmt: skip


def kept_holds(job: Job) -> tuple[Series | None, Series | None]:
    """The last pressure hold before the work and the last after it; None where there is none."""
    before = job.all_series(holds.PRESSURE)[-1:]
    after = job.all_series(holds.AFTER)[-1:]
    return (before[0] if before else None, after[0] if after else None)


def every_hold(show: Show, job: Job) -> list[tuple[str, Series]]:
    """All holds of the job by name; those of one kind are numbered."""
    made = []
    for field, id in _NAMES:
        series, name = job.all_series(field), show.say(f"record.hold.{id}")
        for number, each in enumerate(series, 1):
            numbered = show.say("record.hold_line.numbered", name=name, number=number)
            made.append((numbered if len(series) > 1 else name, each))
    return made


def other_holds(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The holds that are neither the one before nor the one after, in one row each."""
    return tuple(
        (named(show, name, series), _in_words(show, job, series))
        for name, series in every_hold(show, job)
        if all(series is not kept for kept in kept_holds(job))
    )


def named(show: Show, name: str, series: Series) -> str:
    """A hold's name with the clock time of its first reading."""
    return show.say("record.line.timed", words=name, time=begun(series))


def begun(series: Series) -> str:
    """The clock time of its first reading."""
    first = series.times()[0][1].event
    return clock(first.at)


def finding(show: Show, found: Assessment) -> str:
    """A verdict as one phrase with its figure: "no leak found larger than 0.14 L/1000 km"."""
    per, limit = found.per_distance, found.not_larger_than
    leans = weighed.leans(found)
    alone = show.say("leaning.alone" if leans else f"judged.alone.{found.verdict}")
    if found.verdict in LEAKS and per is not None:
        return show.say(
            "judged.sized",
            verdict=alone,
            value=Figure(per.value, "loss_per_distance"),
            low=Figure(per.low, "loss_per_distance"),
            high=Figure(per.high, "loss_per_distance"),
            unit=show.loss_unit(),
        )
    if found.verdict in LIMITED and limit is not None:
        loss = Figure(limit, "loss_per_distance")
        return show.say(
            "leaning.limited" if leans else f"judged.limited.{found.verdict}", loss=loss
        )
    return alone


def falls(show: Show, fall: Estimate | None) -> str:
    """How fast the needle falls, with its 95 % interval."""
    if fall is None:
        return show.say("record.hold_line.fall_unknown")
    return show.say(
        "record.hold_line.falls",
        value=Figure(fall.value, "pressure_rate"),
        low=Figure(fall.low, "pressure_rate"),
        high=Figure(fall.high, "pressure_rate"),
        unit=show.unit("pressure_rate"),
    )


def typed(series: Series) -> str:
    """Its readings as typed, each with its minutes: "0:00 110 kPa, 1:00 109 kPa"."""
    return ", ".join(
        f"{minutes(time)}{NBSP}{as_typed(fact.event.typed, fact.event.unit)}"
        for time, fact in series.times()
    )


def compared(show: Show, job: Job) -> list[list[str]]:
    """The table of before and after: heads, then rows; empty where no hold was taken."""
    kept = [
        (name, series)
        for name, series in zip(("before", "after"), kept_holds(job), strict=True)
        if series is not None
    ]
    if not kept:
        return []
    columns = [_column(show, job, series) for _, series in kept]
    heads = ["", *(named(show, show.say(f"record.when.{name}"), series) for name, series in kept)]
    return [
        heads,
        *(
            [show.say(f"record.column.{row}"), *(column[row] for column in columns)]
            for row in columns[0]
        ),
    ]


def left(show: Show, job: Job) -> str:
    """What part of the leak before is left, by the last hold: words; "" where there are not two."""
    _, after = kept_holds(job)
    if after is None:
        return ""
    part = weighed.left(show, job, after, holds.assess(show.rules, job, after))
    if part is None:
        return ""
    return show.say("answer.named", name=show.say("weighed.left"), words=part)


def _in_words(show: Show, job: Job, series: Series) -> str:
    found = holds.assess(show.rules, job, series)
    over, words = verdict.over(show, series), finding(show, found)
    if found.reason is None:
        return show.say("record.hold_line.judged", over=over, finding=words)
    why = show.told(found.reason)
    return show.say("record.hold_line.judged_why", over=over, finding=words, why=why)


def _column(show: Show, job: Job, series: Series) -> dict[str, str]:
    found = holds.assess(show.rules, job, series)
    facts = job.facts if series.facts is None else series.facts
    kin = series.field.partition(".")[0]
    times = series.times()

    def said(name: str, strokes: bool = False) -> str:
        field, fact = show.rules.fields.get(name), facts.get(name)
        if field is None:
            return show.say("answer.not_asked")
        if fact is None or fact.value is None:
            return show.unmeasured()
        number = show.fact(field, fact)
        return show.say("record.hold_line.strokes", number=number) if strokes else number

    needles = [as_typed(fact.event.typed, fact.event.unit) for _, fact in times]
    strokes, level = said(f"{kin}.strokes", strokes=True), said(f"{kin}.level")
    stored = None if found.compliance is None else found.compliance.value
    give = _figure(show, stored, "compliance")
    warmth = _figure(show, holds.number(series.temperature), "temperature")
    time = minutes(times[-1][0])
    read = show.say("record.hold_line.read", count=len(times), time=time)
    return {
        "verdict": finding(show, found),
        "time": read,
        "ends": f"{needles[0]}, {needles[-1]}",
        "division": said("tester.division"),
        "strokes": f"{strokes}, {give}" if give != strokes else give,
        "level": f"{level}, {warmth}" if warmth != level else warmth,
    }


def _figure(show: Show, value: float | None, dimension: str) -> str:
    return show.unmeasured() if value is None else show.figure(value, dimension)
