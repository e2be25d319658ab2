"""``view(rules, job, now, ...) -> blocks``: what to draw, as plain data. Nothing is stored here."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from weeptrace.job import danger, holds
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import Position, is_open, position
from weeptrace.job.state import Job
from weeptrace.refusal import Refusal
from weeptrace.rules import Rules, Step
from weeptrace.screen import own_rules, parts
from weeptrace.screen.figures import Preferences, Show, preferences
from weeptrace.screen.pages import find, gate, so_far, step, stops, warm_engine
from weeptrace.screen.pages.index import PAGES
from weeptrace.screen.parts import Json
from weeptrace.screen.record import page as record

__all__ = ["Preferences", "preferences", "view"]

# The phases in which somebody looks at a system under a hold's pressure.
_LOOKED_IN = {"cause": holds.PRESSURE, "proof": holds.AFTER}


def view(
    rules: Rules,
    job: Job,
    now: Mapping[str, Any],
    chosen: Preferences,
    look: str = "",
) -> Json:
    """The view of a job, as ``door.blocks.VIEW`` says.

    Parameters
    ----------
    rules: the bundle that the job is judged by; it says where that is not the present one.
    job: the fold of its events.
    now: ``{at, mono, boot}``, the moment of asking; the core reads no clock.
    chosen: the reader's units.
    look: "" for the present step, "so_far" for all that is stored, "record" for the record, "find"
    and what begins with "find." for the causes.

    Raises ``Refusal`` (``damaged_event``) where ``now`` is no moment.
    """
    moment = read_moment(now)
    show = Show(rules, chosen.units, job, chosen.language)
    rules = show.rules
    here = position(rules, job, moment)
    name, blocks, foot = _screen(show, job, here, now, look)
    told = [] if look else [*_troubles(show, job, here), *_beside(show, job, here)]
    blocks[1:1] = [*own_rules.blocks(show, job, here, look), *told]
    return {
        "job": job.id,
        "practice": job.value("job.practice") is not None,
        "bar": {
            "title": str(job.value("car.name") or rules.text(f"screen.new_{job.procedure}")),
            "number": str(job.value("job.number") or ""),
        },
        "edge": {
            "phases": [
                rules.text(f"phase.{phase.id}") for phase in rules.procedures[job.procedure].phases
            ],
            "now": here.phase,
        },
        "step": name,
        "state": _state(show, job, here),
        "rules": " ".join(own_rules.words(show, job)).strip(),
        "blocks": blocks,
        "foot": foot,
        "more": _more(rules, job),
        "awake": here.step is not None and here.step.shows in ("recorder", "warm_log"),
        "open": is_open(rules, job),
    }


def _screen(
    show: Show, job: Job, here: Position, now: Mapping[str, Any], look: str
) -> tuple[str, list[Json], Json]:
    if job.broken is not None:
        return "broken", *_broken(show, job)
    if look == "so_far":
        return "so_far", *so_far.blocks(show, job)
    if look.partition(".")[0] == find.LOOK and job.procedure != "shop":
        return look, *find.page(show, job, look, read_moment(now))
    if here.step is None and job.procedure == "shop":
        return "so_far", *so_far.blocks(show, job)
    if look == "record" or here.step is None:
        return "record", *record.page(show, job, here.step)
    if look:
        raise Refusal(
            "unknown_look",
            "refused.screen.no_look",
            "look",
            "accepted.far_record_find",
            {"look": look},
        )
    if job.stopped is not None:
        return "stopped", *stops.stopped(show, job, read_moment(now))
    hot = danger.too_hot(show.rules, job)
    if hot is not None:
        return "stop.too_hot", *stops.too_hot(show, job, hot, read_moment(now))
    if danger.level_falls(job):
        return "stop.level_falls", *stops.level_falls(show, job, read_moment(now))
    over = danger.above_rating(show.rules, job)
    if over is not None:
        return "stop.above_rating", *stops.above_rating(show, job, over)
    if here.gate is not None:
        return f"gate.{here.gate.id}", *gate.blocks(show, job, here.gate, read_moment(now))
    page = PAGES.get(here.step.shows or "")
    if page is not None:
        return here.step.id, *page(show, job, here.step)
    return here.step.id, *step.blocks(show, job, here.step)


def _troubles(show: Show, job: Job, here: Position) -> list[Json]:
    """What was stored but not taken, for the fields that this screen asks, with the mend."""
    if here.step is None:
        return []
    asked = {here.step.asks, here.step.reads, *(here.gate.evidence if here.gate else ())}
    return [
        {
            **parts.state(
                "stop", show.say("screen.refused"), [show.told(trouble.said)], framed=True
            ),
            "refused": trouble.event.id,
        }
        for name, trouble in job.troubles.items()
        if name in asked
    ]


def _beside(show: Show, job: Job, here: Position) -> list[Json]:
    """What the job knows beside what this step asks."""
    if here.step is None or here.gate is not None:
        return []
    return [*warm_engine.blocks(show, job, here.step), *_above_the_liquid(show, job, here.step)]


def _above_the_liquid(show: Show, job: Job, step: Step) -> list[Json]:
    """While the pressure is still on: it falls, and all that was looked at is dry."""
    series = job.present(_LOOKED_IN.get(step.phase, ""))
    if not series.readings:
        return []
    word = show.say("explanation.air_side")
    return [
        parts.state("waits", word, [show.told(hint)], framed=True)
        for hint in holds.assess(show.rules, job, series).hints
        if hint.code == "air_side"
    ]


def _more(rules: Rules, job: Job) -> list[Json]:
    """What may be done at any time, whatever the step."""
    if job.procedure != "coolant_loss":
        return [parts.key(rules.text("screen.so_far"), {"look": "so_far"}, "undo")]
    seen = parts.event("work.route", "fact", "seen")
    measuring = job.value("work.route") == "measure" and job.value("finding.place") is None
    closed = job.value("job.closed") is not None
    marks = ["work.reopened"] if closed else []
    if job.value("consent.how") not in (None, "refused") and not closed:
        marks += ["extra.found", "broken.found"]
    return [
        *(
            [parts.key(rules.text("choice.work.route.seen"), {"event": seen}, "drop")]
            if measuring
            else []
        ),
        parts.key(rules.text("find.title"), {"look": find.LOOK}, "search"),
        *(
            parts.key(rules.text(f"field.{mark}"), {"event": parts.event(mark, "mark")}, "plus")
            for mark in marks
        ),
        parts.key(rules.text("screen.so_far"), {"look": "so_far"}, "undo"),
        parts.key(
            rules.text("screen.engine_ran"), {"event": parts.event("engine.ran", "mark")}, "clock"
        ),
        parts.key(
            rules.text("field.car.moved"), {"event": parts.event("car.moved", "mark")}, "clock"
        ),
        parts.key(rules.text("screen.record_so_far"), {"look": "record"}, "print"),
        parts.key(rules.text("screen.export"), {"call": "export"}, "export"),
        *([] if closed else [parts.stop_key(rules, "job")]),
    ]


def _broken(show: Show, job: Job) -> tuple[list[Json], Json]:
    """An entry can't be read: shown raw; it can be taken back, or the job exported as it is."""
    assert job.broken is not None
    raw, why = job.broken.raw, show.told(job.broken.said)
    event, say = json.loads(raw), show.say
    keys = [parts.key(say("screen.export"), {"call": "export"}, "export")]
    main = None
    if isinstance(event.get("id"), str):
        undo = parts.event(str(event.get("field", "")), "undo", supersedes=event["id"])
        main = parts.key(say("broken.key.undo"), {"event": undo}, "undo")
    body = [
        parts.title(say("broken.title")),
        parts.state("stop", say("broken.stands"), [why], framed=True),
        parts.heading(say("broken.stored")),
        parts.table([[str(key), str(value)] for key, value in event.items()]),
        parts.state(None, "", [say("broken.waiting", count=len(job.waiting))]),
    ]
    return body, {"caution": None, "keys": keys, "main": main}


def _state(show: Show, job: Job, here: Position) -> Json:
    """How the job stands, for the list of jobs."""
    if job.broken is not None:
        return {
            "shape": "stop",
            "word": show.say("state.unread"),
            "figure": show.say("state.see_job"),
        }
    if here.step is None:
        return {"shape": "done", "word": show.say("state.closed"), "figure": ""}
    if job.stopped is not None:
        return {
            "shape": "stop",
            "word": show.say("screen.stopped"),
            "figure": job.stopped.typed[:30],
        }
    words = show.say(f"step.{here.step.id}.title")
    hot = danger.too_hot(show.rules, job)
    if hot is not None and isinstance(hot.value, float):
        figure = show.figure(hot.value, "temperature")
        return {"shape": "stop", "word": show.say("stop_hot.title"), "figure": figure}
    if danger.level_falls(job):
        return {"shape": "stop", "word": show.say("stop_low.title"), "figure": ""}
    over = danger.above_rating(show.rules, job)
    if over is not None and isinstance(over.highest.value, float):
        figure = show.figure(over.highest.value, "pressure")
        return {"shape": "stop", "word": show.say("over.title"), "figure": figure}
    if here.gate is not None:
        value = job.value("coolant.temperature")
        figure = (
            show.figure(value, "temperature") if isinstance(value, float) else show.unmeasured()
        )
        figure = figure if "coolant.temperature" in here.gate.evidence else ""
        return {
            "shape": "waits",
            "word": show.say(f"gate.{here.gate.id}.title"),
            "figure": figure,
        }
    return {"shape": "now", "word": words, "figure": ""}
