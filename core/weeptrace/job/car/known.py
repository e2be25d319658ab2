"""A variable of the car's state: what it is now, by the effects of the answers, and how old."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from weeptrace.job import rounds
from weeptrace.job.events import Moment
from weeptrace.job.state import Job, Touch
from weeptrace.rules import Rules
from weeptrace.rules.model import UNKNOWN, Variable


class Known(NamedTuple):
    """``value``: what is known now, a word or SI; None where nothing fresh shows it.

    ``told``: what was shown last, however old; ``by`` the field that gave it, ``age`` in s since
    then (infinite where a clock went back). ``undone``: what came since speaks against it.
    """

    value: float | str | None = None
    told: float | str | None = None
    by: str | None = None
    age: float = math.inf
    undone: bool = False


class _Effect(NamedTuple):
    """An answer that did something to a variable: what, by which field, and when."""

    field: str
    value: float | str | None
    touch: Touch
    shown: bool


def known(rules: Rules, job: Job, variable: Variable, now: Moment) -> Known:
    """What is known of a variable at ``now``.

    Evidence counts first: a field that says how it is shown, where the variable has such a field.
    What was done since undoes it, and may itself say what the variable is now.
    """
    if variable.keeps is not None and kept(job, variable):
        return Known(variable.keeps, variable.keeps)
    done = sorted(_effects(rules, job, variable), key=lambda each: each.touch.number)
    proof = any(each.shown for each in done) or any(
        rules.fields[f].shown_by != "" for f, *_ in variable.given if f in rules.fields
    )
    given = [each for each in done if each.value is not None and (each.shown or not proof)]
    if not given:
        return Known()
    last = given[-1]
    age = now.age(last.touch.moment)
    against = [
        each
        for each in done
        if each.value != last.value and not (each.shown and each.touch.number < last.touch.number)
        and undone(job, last.touch, each.touch)
    ]  # fmt: skip
    old = variable.lasts is not None and age > rules.limits[variable.lasts]
    value = against[-1].value if against else None if old else last.value
    return Known(value, last.value, last.field, age, bool(against))


def told(
    rules: Rules, job: Job, variable: Variable, only_shown: bool = False
) -> float | str | None:
    """What the last answer with an effect on a variable made it, however old; None for unknown.

    ``only_shown``: the last that made it anything, whatever made it unknown since.
    """
    done = [each for each in _effects(rules, job, variable) if each.value or not only_shown]
    return max(done, key=lambda each: each.touch.number).value if done else None


def kept(job: Job, variable: Variable) -> bool:
    """Whether the last that some field told of a variable is the word that it ``keeps``.

    Of the whole job: what another test begins anew is remembered; a word without an effect on the
    variable tells nothing of it.
    """
    told: dict[str, dict[float | str, str]] = {}
    for field, word, made in variable.given:
        told.setdefault(field, {})[word or ""] = made
    lasts = (
        [made[word] for word in rounds.every(job, field) if word in made][-1:]
        for field, made in told.items()
    )
    return any(word == variable.keeps for last in lasts for word in last)


def _effects(rules: Rules, job: Job, variable: Variable) -> Iterator[_Effect]:
    """Every answer of the job that has an effect on a variable, the latest of each field."""
    for name, word, made in variable.given:
        field, fact = rules.fields.get(name), job.answers.get(name)
        by_word = word is not None and field is not None and field.kind == "part"
        touch = job.touches.get(f"{name} {word}") if by_word else job.dones.get(name)
        if field is None or touch is None:  # never, or only ever answered "not done"
            continue
        if word is not None and not by_word and (fact is None or fact.value != word):
            continue
        shown = field.shown_by != ""
        if shown and (fact is None or fact.value is None):  # taken back
            continue
        if shown and fact is not None:
            touch = Touch(touch.number, fact.event.moment)
        value: float | str | None = None if made == UNKNOWN else made
        if variable.dimension is not None and value is not None:
            value = None if fact is None else fact.value
        yield _Effect(name, value, touch, shown)
    for name, touch, _ in taken_back(job, variable):
        yield _Effect(name, None, touch, False)


def taken_back(job: Job, variable: Variable) -> Iterator[tuple[str, Touch, float | str | None]]:
    """What may have been done to a variable: by which field, when, and what that makes it.

    By entries that were taken back, and by a page from which its reader turned to take back or
    correct another; the latter only where it would not leave the variable as it was answered last.
    """
    for event, touch in job.withdrawn:
        for name, word, made in variable.given:
            if event.field == name and word in (None, event.typed):
                yield name, touch, made
    for field, touch in job.begun:
        for name, word, made in variable.given:
            if field == name and word is None and not _is_so(job, variable, made, touch):
                yield name, touch, made


def runs_taken_back(rules: Rules, job: Job) -> list[float]:
    """Where in the log a whole run of the engine was ticked that was taken back since.

    It may have run all the same: coolant was lost, or pressed into a cylinder as it stood hot.
    """
    heats = {name for name, _, _ in rules.state["heat"].given}
    starts = {name for name, _, made in rules.state["key"].given if made == "here"}
    runs = {name for name in heats & starts if rules.fields[name].kind in ("yes", "choice")}
    return [touch.number for event, touch in job.withdrawn if event.field in runs]


def _is_so(job: Job, variable: Variable, made: float | str | None, touch: Touch) -> bool:
    """Whether the last answer before ``touch`` made a variable just that."""
    answers = [
        (job.done[name].number, was)
        for name, word, was in variable.given
        if name in job.done
        and job.done[name].number < touch.number
        and word in (None, job.value(name))
    ]
    return bool(answers) and max(answers, key=lambda each: each[0])[1] == made


def undone(job: Job, shown: Touch, touch: Touch) -> bool:
    """Whether something came after what was shown: in the log, or before that by the clock.

    Within a boot by its own clock, which never goes back. What is typed late to before its boot
    goes by the wall clock.
    """
    measured = shown.moment
    if touch.moment.boot == measured.boot:
        later = touch.moment.mono > measured.mono
    else:
        resumed = job.touches.get("app.resumed")
        own = resumed is not None and resumed.moment.boot == measured.boot
        began = resumed.moment.mono if resumed is not None and own else 0.0
        later = measured.mono < began and touch.moment.wall > measured.wall
    return later or touch.number > shown.number
