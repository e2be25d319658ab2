"""Door to the state of the car: what a job knows of it at a moment."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from weeptrace.door.job import BUNDLE, EVENTS, EVENTS_SAMPLE, NOW, NOW_SAMPLE
from weeptrace.door.registry import Json, give, object_schema, operation, quantity_schema
from weeptrace.rules import of_bundle

if TYPE_CHECKING:
    from weeptrace.job.car.known import Known

_WORD: Final[Json] = {"type": ["string", "null"]}
_KNOWN: Final[Json] = object_schema(
    {
        "value": _WORD,
        "told": _WORD,
        "by": _WORD,
        "undone": {"type": "boolean"},
        "age": quantity_schema("time"),
        "temperature": quantity_schema("temperature"),
    },
    ["value", "told", "by", "undone"],
)


@operation(
    "job.car",
    input=object_schema(
        {"events": EVENTS, "now": NOW, "rules": BUNDLE}, required=["events", "now"]
    ),
    output=object_schema(
        {
            "known": {"type": "object", "additionalProperties": _KNOWN},
            "hottest": quantity_schema("temperature"),
            "pressure": quantity_schema("pressure"),
            "off": {"type": "array", "items": {"type": "string"}},
            "unfilled": {"type": "integer"},
            "unlevelled": {"type": "integer"},
            "liquid": {"type": "boolean"},
            "gross": {"type": "boolean"},
        },
        ["known", "off", "unfilled", "unlevelled", "liquid", "gross"],
    ),
    sample={"events": EVENTS_SAMPLE, "now": NOW_SAMPLE},
)
def job_car(payload: Json) -> Json:
    """See ``weeptrace.job.car``; ``hottest`` and ``pressure`` lack where nobody knows."""
    from weeptrace.job.advance import fold
    from weeptrace.job.car import car
    from weeptrace.job.events import read_moment

    rules = of_bundle(payload.get("rules"))
    here = car(rules, fold(rules, payload["events"]), read_moment(payload["now"]))
    made: Json = {
        "known": {id: _known(each) for id, each in here.known.items()},
        "off": list(here.off),
        "unfilled": here.unfilled,
        "unlevelled": here.unlevelled,
        "liquid": here.liquid,
        "gross": here.gross,
    }
    if here.hottest is not None:
        made["hottest"] = give(here.hottest, "°C")
    if here.pressure is not None:
        made["pressure"] = give(here.pressure, "kPa")
    return made


def _known(each: Known) -> Json:
    """One variable: its word, ``measured`` for a figure that stands beside it."""
    words = [None if word is None else str(word) for word in (each.value, each.told)]
    made: Json = {"by": each.by, "undone": each.undone}
    if isinstance(each.told, float):
        words = ["measured" if each.value is not None else None, "measured"]
        made["temperature"] = give(each.told, "°C")
    if not math.isinf(each.age):
        made["age"] = give(each.age, "s")
    return {"value": words[0], "told": words[1], **made}
