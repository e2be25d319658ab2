"""The day of a job: each phase as bars on a rule of clock times, with when it began and ended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from weeptrace.job.advance import course
from weeptrace.job.procedure import position
from weeptrace.job.state import Job
from weeptrace.rules import Rules
from weeptrace.screen.figures import Show
from weeptrace.screen.record.drawing.svg import Scale, drawing, line, tag, words

WIDTH: Final = 320.0
_LEFT, _RIGHT, _TOP, _ROW = 176.0, 308.0, 28.0, 19.0
_HOUR: Final = 3600.0
# Steps of the clock's rule, s; from a day on its labels are days.
_STEPS: Final = (300.0, 900.0, 1800.0, _HOUR, 2 * _HOUR, 6 * _HOUR, 24 * _HOUR, 168 * _HOUR)
_ROOMS: Final = 2  # the most labels that fit
_WINDOW: Final = 30 * 24 * _HOUR  # a clock that jumped further tells nothing of the day
_MOST: Final = 12  # rows; of more phases the shortest are told together


@dataclass(frozen=True)
class Stretch:
    """A time that went by in one phase: from the entry before to the entry that ended it."""

    phase: str
    start: datetime
    end: datetime


def stretches(rules: Rules, job: Job) -> list[Stretch]:
    """What was done when. The time before an entry belongs to the phase that it was made in."""
    phases = rules.procedures[job.procedure].phases
    made: list[Stretch] = []
    last: datetime | None = None
    for before, entry in course(rules, job):
        event = entry.event
        at = datetime.fromisoformat(event.at)
        if last is None or not timedelta() <= at - last <= timedelta(seconds=_WINDOW):
            last = at
            continue
        if event.kind not in ("opened", "resumed", "closed"):
            phase = phases[position(rules, before, event.moment).phase].id
            newest = made[-1] if made else None
            if newest is not None and newest.phase == phase and newest.end == last:
                made[-1] = Stretch(phase, newest.start, at)
            else:
                made.append(Stretch(phase, last, at))
        last = at
    return made


def day(show: Show, names: Mapping[str, str], done: Sequence[Stretch]) -> str:
    """The stretches, one row a phase of the longest; "" where nothing was done yet."""
    if not done:
        return ""
    first, last = min(each.start for each in done), max(each.end for each in done)
    span = max((last - first).total_seconds(), 60.0)
    each = next((s for s in _STEPS if span / s <= _ROOMS), _STEPS[-1])
    zero = first.replace(hour=0, minute=0, second=0, microsecond=0)
    start, end = ((at - zero).total_seconds() for at in (first, last))
    across = Scale(start, max(end, start + 60.0), _LEFT, _RIGHT)
    every = [phase for phase in names if any(stretch.phase == phase for stretch in done)]
    longest = sorted(every, key=lambda phase: _lasted(done, phase), reverse=True)[:_MOST]
    phases = [phase for phase in every if phase in longest]
    short = [phase for phase in every if phase not in longest]
    foot = _TOP + _ROW * len(phases)
    made = [line([(_LEFT, _TOP), (_RIGHT, _TOP)], "axis")]
    for n in range(int(start // each), int(end // each) + 1):
        at = n * each
        if not start <= at <= end:
            continue
        moment = zero + timedelta(seconds=at)
        label = f"{moment:%H:%M}" if each < 24 * _HOUR else f"{moment:%m-%d}"
        made.append(line([(across(at), _TOP - 7), (across(at), foot)], "minor"))
        made.append(words(across(at), _TOP - 11, label, "middle"))
    for row, phase in enumerate(phases):
        own = [stretch for stretch in done if stretch.phase == phase]
        y = _TOP + _ROW * row
        made.append(words(0, y + 15, names[phase], "start", "b"))
        made.append(words(_LEFT - 8, y + 15, f"{own[0].start:%H:%M}", "end"))
        for stretch in own:
            x1, x2 = (across((at - zero).total_seconds()) for at in (stretch.start, stretch.end))
            made.append(tag("rect", x=x1, y=y + 6, width=max(x2 - x1, 2.0), height=8,
                            class_="solid"))  # fmt: skip
    if short:
        together = sum(_lasted(done, phase) for phase in short) / 60.0
        foot += _ROW
        said = show.say("day.short", count=len(short), minutes=f"{together:.0f}")
        made.append(words(0, foot - 4, said))
    said = "; ".join(
        show.say("day.spent", name=names[phase], times=_times(show, done, phase)) for phase in every
    )
    whole = show.say("record.line.sentence", words=said)
    return drawing("day", WIDTH, foot + 4, whole, *made)


def _lasted(done: Sequence[Stretch], phase: str) -> float:
    """The time in a phase, s."""
    return sum((each.end - each.start).total_seconds() for each in done if each.phase == phase)


def _times(show: Show, done: Sequence[Stretch], phase: str) -> str:
    own = (stretch for stretch in done if stretch.phase == phase)
    return ", ".join(
        show.say("day.between", start=f"{stretch.start:%H:%M}", end=f"{stretch.end:%H:%M}")
        for stretch in own
    )
