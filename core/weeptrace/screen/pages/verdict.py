"""What a hold shows, how sure that is, and what it cannot see."""

from __future__ import annotations

from typing import Final

from weeptrace.hold.data import Assessment, Estimate
from weeptrace.hold.judge import LEAKS
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.quantity import from_si
from weeptrace.rules import Step
from weeptrace.screen import parts, weighed
from weeptrace.screen.figures import Show, minutes
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

CLASSES: Final = ("tight", "seeping", "leaking", "gross")
# The limits between them: the largest leak that is still tight, still seeping; the least gross one.
LIMITS: Final = ("hold.tight", "hold.seeping", "hold.gross")
CANNOT_SEE: Final = ("turning", "hot", "cap", "cylinder")
VACUUM_CANNOT_SEE: Final = ("pushed_open", "small", "turning")
DRY_CANNOT_SEE: Final = ("small", "turning", "hot")


def blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """The blocks and the foot of a finished hold's verdict."""
    rules = show.rules
    assert step.reads is not None
    series = job.present(step.reads)
    kin = step.reads.partition(".")[0]
    found = holds.assess(rules, job, series)
    body = [
        plate(show, job, series, found),
        *_left(show, job, series, found),
        *weighed.apart(show, job, series, found),
        *weighed.explained(show, found),
        *weighed.smaller(show, found),
        *_air(show, found),
        parts.heading(rules.text("screen.cannot_see")),
        *(
            parts.state("not_measured", rules.text(f"cannot_see.{id}"))
            for id in cannot_see(series.field)
        ),
        *_assumed(show, found),
    ]
    keys = []
    ended = job.facts.get(f"{kin}.ended")
    if ended is not None:
        longer = {"event": parts.event(f"{kin}.ended", "undo", supersedes=ended.event.id)}
        keys.append(
            parts.key(show.say("hold.key.longer"), longer, "clock", weighed.more(show, found))
        )
    if step.again is not None:
        again = {"event": parts.event(step.again, "mark")}
        keys.append(parts.key(rules.text(f"field.{step.again}"), again, "pump"))
    keys.append(parts.key(show.say("shared.key.readings"), {"look": "so_far"}, "undo"))
    main = parts.key(
        rules.text(f"step.{step.id}.main"), {"event": parts.event(f"{kin}.seen", "done")}
    )
    return body, {"caution": None, "keys": keys, "main": main}


def cannot_see(field: str) -> tuple[str, ...]:
    """What a hold of this kind is blind to."""
    return {holds.VACUUM: VACUUM_CANNOT_SEE, holds.DRY: DRY_CANNOT_SEE}.get(field, CANNOT_SEE)


def plate(show: Show, job: Job, series: Series, found: Assessment) -> Json:
    """The verdict in its shape, with its figure on the rule of classes."""
    unit = show.unit("loss_per_distance")
    figure, lines = _figure(show, found)
    return {
        "block": "verdict",
        "verdict": found.verdict,
        "over": over(show, series),
        "head": show.lines("leaning.head" if weighed.leans(found) else f"verdict.{found.verdict}"),
        "figure": figure,
        "unit": unit if figure is not None else "",
        "lines": lines,
        "rule": None if figure is None else _rule(show, job, found),
    }


def over(show: Show, series: Series) -> str:
    """Under what conditions: "Hold at 110 kPa, 15:00 min, 8 °C"."""
    times = series.times()
    if not times:
        return show.say("shared.nothing_read")
    first = times[0][1].value
    assert isinstance(first, float)
    at, time = Figure(first, "pressure"), minutes(times[-1][0])
    temperature = series.temperature
    if temperature is None or not isinstance(temperature.value, float):
        return show.say("hold.over", at=at, time=time)
    warmth = Figure(temperature.value, "temperature")
    return show.say("hold.over_warm", at=at, time=time, warmth=warmth)


def _figure(show: Show, found: Assessment) -> tuple[str | None, list[str]]:
    """The figure of the plate and the lines under it."""
    per, say = found.per_distance, show.say
    if found.verdict in LEAKS and per is not None:
        low, high = Figure(per.low, "loss_per_distance"), Figure(per.high, "loss_per_distance")
        lines = [say("hold.sure", low=low, high=high)]
        if found.leak_flow is not None:
            lines.append(_flow(show, found.leak_flow))
        return show.loss(per.value), lines
    if (
        found.verdict in ("no_leak_found", "tight", "too_weak")
        and found.not_larger_than is not None
    ):
        lines = []
        if found.verdict == "too_weak":
            lines.append(say("hold.too_coarse"))
        return show.loss(found.not_larger_than), lines
    if found.verdict == "gross":
        return None, [say("hold.half_lost")]
    return None, [show.told(found.reason)] if found.reason is not None else _fall(show, found)


def _fall(show: Show, found: Assessment) -> list[str]:
    if found.rate is None:
        return []
    falls = show.say(
        "hold.falls",
        value=Figure(found.rate.value, "pressure_rate"),
        low=Figure(found.rate.low, "pressure_rate"),
        high=Figure(found.rate.high, "pressure_rate"),
    )
    return [falls, show.say("hold.strokes")]


def _rule(show: Show, job: Job, found: Assessment) -> Json:
    unit = show.unit("loss_per_distance")
    limits = [from_si(show.rules.limits[id], unit) for id in LIMITS]
    proved = found.verdict in LEAKS and found.per_distance is not None
    per = found.per_distance
    owner = job.value("owner.rate")
    hides = (
        None if proved or found.not_larger_than is None else from_si(found.not_larger_than, unit)
    )
    return {
        "low": limits[0] / 3,
        "high": limits[-1] * 4,
        "limits": limits,
        "words": [show.say(f"class.{id}") for id in CLASSES],
        "tip": from_si(per.value, unit) if proved and per is not None else None,
        "span": [from_si(per.low, unit), from_si(per.high, unit)] if proved and per else None,
        "hides_below": hides,
        "owner": from_si(owner, unit) if isinstance(owner, float) and owner > 0.0 else None,
        "under": show.say("hold.scale", unit=unit),
    }


def _left(show: Show, job: Job, series: Series, found: Assessment) -> list[Json]:
    """After the repair: what part of the leak before is left."""
    words = weighed.left(show, job, series, found)
    return [] if words is None else [parts.table([[show.say("weighed.left"), words]])]


def _air(show: Show, found: Assessment) -> list[Json]:
    """Of a drained system: how far the vacuum reached here, and what comes in or goes out."""
    say, rows = show.say, []
    if found.residual_fraction is not None:
        rows.append([say("screen.residual"), show.figure(found.residual_fraction, "ratio")])
    if found.best_vacuum is not None:
        rows.append([say("screen.best_vacuum"), show.figure(-found.best_vacuum.value, "pressure")])
    if found.air_flow is not None:
        rows.append([say("screen.air_flow"), _flow(show, found.air_flow)])
    if found.liquid_equivalent is not None and found.liquid_equivalent.orifice.low > 0.0:
        rows.append([say("screen.as_liquid"), _flow(show, found.liquid_equivalent.orifice)])
    return [parts.table(rows, figures=(1,))] if rows else []


def _flow(show: Show, flow: Estimate) -> str:
    return show.say(
        "hold.flow",
        value=Figure(flow.value, "volume_flow"),
        low=Figure(flow.low, "volume_flow"),
        high=Figure(flow.high, "volume_flow"),
    )


def _assumed(show: Show, found: Assessment) -> list[Json]:
    rows = []
    if found.exponent is not None:
        value, assumed = found.exponent.value, found.exponent.assumed
        how = show.say(f"hold.exponent.{'assumed' if assumed else 'measured'}", value=value)
        rows.append([show.say("hold.row.exponent"), how])
    if found.compliance is not None:
        give = show.figure(found.compliance.value, "compliance")
        rows.append([show.say("hold.row.give"), give])
    return [parts.table(rows, figures=(1,))] if rows else []
