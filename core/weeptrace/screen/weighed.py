"""What the readings of a hold speak for, what would see a smaller leak, and what stands apart."""

from __future__ import annotations

from weeptrace.hold.data import Assessment
from weeptrace.hold.explain import CANNOT_TELL, WITH_LEAK
from weeptrace.hold.judge import LEAKS
from weeptrace.job import holds
from weeptrace.job.state import Job, Series
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, as_typed, minutes
from weeptrace.screen.parts import Json
from weeptrace.told import Figure

# Verdicts that prove a leak: a running hold may announce them, by the rule for repeated looks.
LEAST_SHOWN = 0.005


def answer(show: Show, found: Assessment) -> str:
    """Leak or no leak with its weight in words: "A leak, very likely"; "" where nothing is fitted.

    The word goes by ``hold.favoured_weight`` and ``hold.very_likely_weight``.
    """
    say = show.say
    if found.favoured is None:
        return ""
    if found.favoured == CANNOT_TELL:
        return say("weighed.cannot_tell")
    leak = _leak_weight(found)
    side, weight = ("leak", leak) if found.favoured in WITH_LEAK else ("no_leak", 1.0 - leak)
    very = weight >= show.rules.limits["hold.very_likely_weight"]
    return say(f"weighed.side.{side}_{'very_likely' if very else 'likely'}")


def _leak_weight(found: Assessment) -> float:
    return sum(weight for name, weight in found.explanations.items() if name in WITH_LEAK)


def leans(found: Assessment) -> bool:
    """Whether no leak was found, yet the readings speak for one: then "no leak" is not told."""
    return found.verdict == "no_leak_found" and found.favoured in WITH_LEAK


def explained(show: Show, found: Assessment) -> list[Json]:
    """The answer, and all explanations with their weights as shares of one whole."""
    say = show.say
    if not found.explanations:
        return []
    leak = _leak_weight(found)
    lines = [
        say("weighed.says.weights", leak=_weight(show, leak), no_leak=_weight(show, 1.0 - leak))
    ]
    told = found.favoured not in (None, CANNOT_TELL)
    if told:
        lines.insert(0, say("weighed.says.best", explanation=say(f"explanation.{found.favoured}")))
    ranked = sorted(found.explanations.items(), key=lambda pair: -pair[1])
    rows = [
        [say(f"explanation.{id}"), _weight(show, weight)]
        for id, weight in ranked
        if weight >= LEAST_SHOWN
    ]
    return [
        parts.heading(say("weighed.heading")),
        parts.state(None if told else "waits", answer(show, found), lines),
        parts.table(rows, figures=(1,)),
    ]


def _weight(show: Show, share: float) -> str:
    """A weight in percent; one that is almost all or nothing is never rounded to that."""
    if share <= LEAST_SHOWN:
        return show.say("weighed.share.below")
    if share >= 1.0 - LEAST_SHOWN:
        return show.say("weighed.share.above")
    return show.figure(share, "ratio")


def smaller(show: Show, found: Assessment) -> list[Json]:
    """The smallest leak that such a hold flags; where none was proved, what shrinks it most."""
    say = show.say
    if found.smallest_detectable is None:
        return []
    least = Figure(found.smallest_detectable, "loss_per_distance")
    if found.verdict in LEAKS or not found.advice:
        return [
            parts.table(
                [[say("weighed.smaller"), say("weighed.says.sees", loss=least)]], figures=(1,)
            )
        ]
    rows = [[say("weighed.this_hold"), "", show.loss(least.value)]]
    rows += [
        [say(f"advice.{way.code}"), _in_minutes(show, way.time), show.loss(way.smallest_detectable)]
        for way in found.advice
    ]
    heads = ["", say("weighed.takes"), say("weighed.sees_from")]
    heading = say("weighed.says.smaller_in", unit=show.loss_unit())
    return [parts.heading(heading), parts.table(rows, heads, (1, 2))]


def _minutes(seconds: float) -> int:
    return max(1, round(seconds / 60))


def _in_minutes(show: Show, seconds: float) -> str:
    return show.say("weighed.says.in_minutes", count=_minutes(seconds))


def more(show: Show, found: Assessment) -> str | None:
    """When the hold is expected to say more: "About 6 min more would tell"; None where never."""
    if found.more_time is None:
        return None
    return show.say("weighed.says.more", count=_minutes(found.more_time))


def apart(show: Show, job: Job, series: Series, found: Assessment) -> list[Json]:
    """Each reading that stands apart from the others, by name, with the pad to type it again."""
    field = show.rules.fields[series.field]
    read = [(time, fact) for time, fact in series.times() if isinstance(fact.value, float)]
    return [
        parts.state(
            "not_done",
            show.say(
                "weighed.says.apart",
                needle=as_typed(fact.event.typed, fact.event.unit),
                time=minutes(time),
            ),
            [show.say("weighed.again")],
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
        return show.say("weighed.left_unknown")
    return show.say(
        "hold.share",
        value=Figure(part.value, "ratio"),
        low=Figure(part.low, "ratio"),
        high=Figure(part.high, "ratio"),
    )
