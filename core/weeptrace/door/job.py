"""Operations on jobs: fold, view, replay, record, and the job's file."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Final

from weeptrace.door.blocks import VIEW
from weeptrace.door.hold.show import assessment_json
from weeptrace.door.registry import Json, object_schema, operation
from weeptrace.job import files
from weeptrace.rules import Rules, of_bundle

if TYPE_CHECKING:
    from weeptrace.job.state import Job

# The fold and the screen are large and most commands have no need of them: each operation imports
# what it runs.

EVENTS: Final[Json] = {
    "type": "array",
    "items": {"type": "object"},
    "maxItems": files.MOST,
}
# What was stored can be written out, however much it is.
_ANY_NUMBER: Final[Json] = {key: EVENTS[key] for key in EVENTS if key != "maxItems"}
NOW: Final[Json] = object_schema(
    {
        "at": {"type": "string"},
        "mono": {"type": "number"},
        "boot": {"type": "string"},
    }
)
PREFERENCES: Final[Json] = {
    "type": "object",
    "properties": {
        "units": {"type": "object", "additionalProperties": {"type": "string"}},
        "language": {"type": "string"},
    },
    "additionalProperties": False,
}
BUNDLE: Final[Json] = {
    "type": "object",
}
# The present page, the entries, the record; the causes and their pages: find.asks, find.ask.ID,
# find.cause.ID, find.test.ID.
_LOOK: Final[Json] = {
    "type": "string",
    "pattern": r"^(|so_far|record|find(\.asks|\.(ask|cause|test)\.[a-z_.]+)?)$",
}

_ID: Final = "01990000-0000-7000-8000-00000000000"
_SHARED: Final[Json] = {
    "device": "d1",
    "boot": "b1",
    "job": "01990000-0000-7000-8000-0000000000a0",
    "at": "2026-11-25T14:00:00+01:00",
}


# It began on older rules, as most jobs that are read again: no sample needs those of this version.
_ROWS: Final = (("opened", "rules", "5b1f0c27d9e4"), ("fact", "car.name", "larkspur"))
EVENTS_SAMPLE: Final = [
    {**_SHARED, "id": f"{_ID}{n}", "seq": n, "mono": n * 1000, "kind": kind, "field": field,
     "typed": typed, "unit": None}
    for n, (kind, field, typed) in enumerate(_ROWS)
]  # fmt: skip
NOW_SAMPLE: Final[Json] = {"at": "2026-11-25T14:01:00+01:00", "mono": 61000, "boot": "b1"}


def job_json(rules: Rules, job: Job) -> Json:
    """A folded job as JSON: facts in SI, readings in order of time, the log's outcomes.

    ``rules`` is what the job began on, ``judged_by`` what this fold was made on.
    """
    from weeptrace.job import holds

    return {
        "job": job.id,
        "rules": job.rules,
        "judged_by": rules.hash,
        "facts": {
            name: {
                "value": fact.value,
                "typed": fact.event.typed,
                "unit": fact.event.unit,
                "event": fact.event.id,
            }
            for name, fact in sorted(job.facts.items())
        },
        "holds": [
            [{"time": time, "pressure": fact.value, "event": fact.event.id}
             for time, fact in series.times()]
            for series in job.all_series(holds.PRESSURE)
        ],
        "outcomes": dict(sorted(job.seen.items())),
        "troubles": {name: trouble.words for name, trouble in sorted(job.troubles.items())},
        "stopped": job.stopped.typed if job.stopped else None,
        "broken": job.broken.words if job.broken else None,
    }  # fmt: skip


@operation(
    "job.fold",
    input=object_schema({"events": EVENTS, "rules": BUNDLE}, required=["events"]),
    output=object_schema(
        {
            "job": {"type": "string"},
            "rules": {"type": "string"},
            "judged_by": {"type": "string"},
            "facts": {"type": "object"},
            "holds": {"type": "array", "items": {"type": "array"}},
            "outcomes": {"type": "object"},
            "troubles": {"type": "object"},
            "stopped": {"type": ["string", "null"]},
            "broken": {"type": ["string", "null"]},
        }
    ),
    sample={"events": EVENTS_SAMPLE},
)
def _fold(payload: Json) -> Json:
    from weeptrace.job.advance import fold

    rules = of_bundle(payload.get("rules"))
    return job_json(rules, fold(rules, payload["events"]))


@operation(
    "job.view",
    input=object_schema(
        {
            "events": EVENTS,
            "now": NOW,
            "preferences": PREFERENCES,
            "look": _LOOK,
            "rules": BUNDLE,
        },
        required=["events", "now"],
    ),
    output=VIEW,
    sample={"events": EVENTS_SAMPLE, "now": NOW_SAMPLE},
)
def _view(payload: Json) -> Json:
    from weeptrace import screen
    from weeptrace.job.advance import fold

    rules = of_bundle(payload.get("rules"))
    chosen = screen.preferences(payload.get("preferences"), rules)
    job = fold(rules, payload["events"])
    return screen.view(rules, job, payload["now"], chosen, payload.get("look", ""))


@operation(
    "job.replay",
    input=object_schema({"events": EVENTS, "rules": BUNDLE}, required=["events"]),
    output=object_schema({"holds": {"type": "array", "items": {"type": "object"}}}),
    sample={"events": EVENTS_SAMPLE},
)
def _replay(payload: Json) -> Json:
    from weeptrace.job import holds
    from weeptrace.job.advance import fold

    rules = of_bundle(payload.get("rules"))
    job = fold(rules, payload["events"])
    series = job.all_series(holds.PRESSURE)
    return {"holds": [assessment_json(holds.assess(rules, job, each)) for each in series]}


@operation(
    "job.record",
    input=object_schema(
        {
            "events": EVENTS,
            "now": NOW,
            "preferences": PREFERENCES,
            "rules": BUNDLE,
            "photos": {
                "type": "object",
                "additionalProperties": {
                    "type": "string",
                    "pattern": "^data:image/jpeg;base64,[A-Za-z0-9+/=]*$",
                },
            },
        },
        required=["events", "now"],
    ),
    output=object_schema({"html": {"type": "string"}}),
    sample={"events": EVENTS_SAMPLE, "now": NOW_SAMPLE},
)
def _record(payload: Json) -> Json:
    from weeptrace import screen
    from weeptrace.job.advance import fold
    from weeptrace.job.events import read_moment
    from weeptrace.screen.figures import Show
    from weeptrace.screen.record import sheet

    rules = of_bundle(payload.get("rules"))
    chosen = screen.preferences(payload.get("preferences"), rules)
    job = fold(rules, payload["events"])
    photos = payload.get("photos", {})
    read_moment(payload["now"])
    return {
        "html": sheet.html(
            Show(rules, chosen.units, job, chosen.language), job, payload["now"], photos
        )
    }


@operation(
    "job.calendar",
    input=object_schema(
        {"events": EVENTS, "now": NOW, "rules": BUNDLE}, required=["events", "now"]
    ),
    output=object_schema({"text": {"type": "string"}}),
    sample={"events": EVENTS_SAMPLE, "now": NOW_SAMPLE},
)
def _calendar(payload: Json) -> Json:
    from weeptrace.job.advance import fold
    from weeptrace.job.events import read_moment
    from weeptrace.loss.calendar import reminder

    rules = of_bundle(payload.get("rules"))
    job = fold(rules, payload["events"])
    read_moment(payload["now"])
    name = job.value("car.name") or rules.text("screen.a_car")
    now = datetime.fromisoformat(payload["now"]["at"])
    after = timedelta(seconds=rules.limits["recorder.level_watch_after"])
    text = reminder(
        uid=job.id or "no-job",
        stamp=now,
        day=(now + after).date(),
        summary=f"{rules.text('screen.watch_title')}: {name}",
        description=rules.text("screen.watch_words"),
    )
    return {"text": text}


@operation(
    "job.to_file",
    input=object_schema({"events": _ANY_NUMBER}),
    output=object_schema({"text": {"type": "string"}}),
    sample={"events": EVENTS_SAMPLE},
)
def _to_file(payload: Json) -> Json:
    return {"text": files.to_text(payload["events"])}


@operation(
    "job.from_file",
    input=object_schema({"text": {"type": "string"}}),
    output=object_schema({"job": {"type": "string"}, "events": EVENTS}),
    sample={"text": files.to_text(EVENTS_SAMPLE)},
)
def _from_file(payload: Json) -> Json:
    events: list[dict[str, Any]] = files.from_text(payload["text"])
    return {"job": events[0]["job"], "events": events}
