"""The holds of a job for its record: the one before, the one after, and all others."""

from __future__ import annotations

from typing import Final

from weeptrace.hold.data import Assessment, Estimate
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.screen import weighed
from weeptrace.screen.figures import NBSP, Show, clock, minutes
from weeptrace.screen.pages import verdict
from weeptrace.screen.weighed import PROVED

_NAMES: Final = (
    (holds.PRESSURE, "Hold"), (holds.DRY, "Dry-air hold"), (holds.VACUUM, "Vacuum hold"),
    (holds.AFTER, "Hold after the repair"),
)  # fmt: skip


def kept_holds(job: Job) -> tuple[Series | None, Series | None]:
    """The last pressure hold before the work and the last after it; None where there is none."""
    before = job.all_series(holds.PRESSURE)[-1:]
    after = job.all_series(holds.AFTER)[-1:]
    return (before[0] if before else None, after[0] if after else None)


def every_hold(job: Job) -> list[tuple[str, Series]]:
    """All holds of the job by name; those of one kind are numbered."""
    made = []
    for field, name in _NAMES:
        series = job.all_series(field)
        numbered = len(series) > 1
        made += [(f"{name} {n}" if numbered else name, each) for n, each in enumerate(series, 1)]
    return made


def other_holds(show: Show, job: Job) -> tuple[tuple[str, str], ...]:
    """The holds that are neither the one before nor the one after, in one row each."""
    return tuple(
        (f"{name}, {begun(series)}", _in_words(show, job, series))
        for name, series in every_hold(job)
        if all(series is not kept for kept in kept_holds(job))
    )


def begun(series: Series) -> str:
    """The clock time of its first reading."""
    first = series.times()[0][1].event
    return clock(first.at)


def finding(show: Show, found: Assessment) -> str:
    """A verdict as one phrase with its figure: "no leak found larger than 0.14 L/1000 km"."""
    head = " ".join(show.rules.texts[f"verdict.{found.verdict}"])
    phrase = head[0].lower() + head[1:]
    per, unit = found.per_distance, _loss_unit(show)
    if found.verdict in PROVED and per is not None:
        between = f"({show.loss(per.low)} to {show.loss(per.high)})"
        return f"{phrase}, {show.loss(per.value)} {between}{NBSP}{unit}"
    if phrase.endswith(("than", "miss")) and found.not_larger_than is not None:
        return f"{phrase} {show.loss(found.not_larger_than)}{NBSP}{unit}"
    return phrase


def falls(show: Show, fall: Estimate | None) -> str:
    """How fast the needle falls, with its 95 % interval."""
    if fall is None:
        return "fall not measured"
    value, low, high = (show.number(v, "pressure_rate") for v in (fall.value, fall.low, fall.high))
    return f"falls {value} ({low} to {high}){NBSP}{show.unit('pressure_rate')}"


def typed(series: Series) -> str:
    """Its readings as typed, each with its minutes: "0:00 110 kPa, 1:00 109 kPa"."""
    return ", ".join(
        f"{minutes(time)}{NBSP}{fact.event.typed}{NBSP}{fact.event.unit}"
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
    heads = ["", *(f"{name}, {begun(series)}" for name, series in kept)]
    return [heads, *([row, *(column[row] for column in columns)] for row in columns[0])]


def left(show: Show, job: Job) -> str:
    """What part of the leak before is left, by the last hold: words; "" where there are not two."""
    _, after = kept_holds(job)
    if after is None:
        return ""
    part = weighed.left(show, job, after, holds.assess(show.rules, job, after))
    return "" if part is None else f"{show.rules.text('weighed.left')}: {part}"


def _in_words(show: Show, job: Job, series: Series) -> str:
    found = holds.assess(show.rules, job, series)
    why = f" ({show.told(found.reason)})" if found.reason is not None else ""
    words = finding(show, found)
    return f"{words[0].upper()}{words[1:]}{why} {verdict.over(show, series)}."


def _column(show: Show, job: Job, series: Series) -> dict[str, str]:
    found = holds.assess(show.rules, job, series)
    facts = job.facts if series.facts is None else series.facts
    kin = series.field.partition(".")[0]
    times = series.times()

    def said(name: str, unit: str = "") -> str:
        field, fact = show.rules.fields.get(name), facts.get(name)
        if field is None:
            return "not asked"
        if fact is None or fact.value is None:
            return "not measured"
        return show.fact(field, fact) + unit

    needles = [f"{fact.event.typed}{NBSP}{fact.event.unit}" for _, fact in times]
    strokes, level = said(f"{kin}.strokes", f"{NBSP}strokes"), said(f"{kin}.level")
    stored = None if found.compliance is None else found.compliance.value
    give = _figure(show, stored, "compliance")
    warmth = _figure(show, holds.number(series.temperature), "temperature")
    return {
        "Verdict": finding(show, found),
        "Readings, time": f"{len(times)} in {minutes(times[-1][0])}{NBSP}min",
        "Start, end": f"{needles[0]}, {needles[-1]}",
        "One division": said("tester.division"),
        "Strokes, give": f"{strokes}, {give}" if give != strokes else give,
        "Level, coolant": f"{level}, {warmth}" if warmth != level else warmth,
    }


def _figure(show: Show, value: float | None, dimension: str) -> str:
    return "not measured" if value is None else show.figure(value, dimension)


def _loss_unit(show: Show) -> str:
    """The unit of a loss, which no line may break."""
    return show.unit("loss_per_distance").replace(" ", NBSP)
