"""Door to the room ``practice``: what a gauge on a car shows, and whole jobs played on one."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.practice import names
from weeptrace.practice.world.technicians import TEMPERS

if TYPE_CHECKING:
    from weeptrace.practice.world.player import Played

# The room is large and most commands have no need of it: each operation imports what it runs.

_READING = object_schema(
    {
        "time": quantity_schema("time"),
        "pressure": quantity_schema("pressure"),
        "truth": quantity_schema("pressure"),
    }
)


@operation(
    "practice.readings",
    input=object_schema(
        {
            "car": {"type": ["string", "object"], "examples": names()},
            "condition": {"type": "string"},
            "seed": {"type": "integer"},
            "division": quantity_schema("pressure"),
            "stroke_volume": quantity_schema("volume"),
        },
        ["car", "condition", "seed", "division"],
    ),
    output=object_schema(
        {
            "readings": {"type": "array", "items": _READING},
            "strokes": {"type": "number"},
            "gas_volume": quantity_schema("volume"),
            "compliance": quantity_schema("compliance"),
            "leaked": quantity_schema("volume"),
        },
        ["readings", "gas_volume", "compliance", "leaked"],
    ),
    sample={
        "car": "larkspur_seam",
        "condition": "to_neck",
        "seed": 1,
        "division": {"value": 2, "unit": "kPa"},
        "stroke_volume": {"value": 40, "unit": "mL"},
    },
)
def practice_readings(payload: Json) -> Json:
    """See ``weeptrace.practice.balance.run`` and ``weeptrace.practice.gauge``."""
    from weeptrace.practice.acts import HandPump, pressures, pump_to, release
    from weeptrace.practice.balance import run
    from weeptrace.practice.describe import car_from, load
    from weeptrace.practice.gauge import Gauge
    from weeptrace.practice.state import compliance, gas_volume, under

    given = payload["car"]
    whole = load(given) if isinstance(given, str) else car_from(given)
    gauge = Gauge(read(payload, "division", "pressure", low=10.0, high=50e3, unit="kPa"))
    stroke = read_optional(payload, "stroke_volume", "volume", low=1e-6, high=1e-3, unit="mL")
    car, start, condition = under(whole, payload["condition"])
    states = run(car, start, condition.times, condition.course)
    truth = pressures(car, states)
    seen = gauge.readings(truth, random.Random(int(payload["seed"])))
    out: Json = {
        "readings": [
            {"time": give(t, "min"), "pressure": give(read_as, "kPa"), "truth": give(p, "kPa")}
            for t, read_as, p in zip(condition.times, seen, truth, strict=True)
        ],
        "gas_volume": give(gas_volume(car, start), "mL"),
        "compliance": give(compliance(car, start), "mL/kPa"),
        "leaked": give(states[-1].leaked, "mL"),
    }
    if stroke is not None and condition.pressure > 0.0:
        rest = release(car, start)
        out["strokes"] = pump_to(car, rest, condition.pressure, HandPump(stroke))[1]
    return out


_UNTRUE = object_schema(
    {
        "moment": {"type": "number"},
        "step": {"type": "string"},
        "field": {"type": "string"},
        "typed": {"type": "string"},
    }
)
_ANSWER = object_schema(
    {
        "kind": {"type": "string"},
        "field": {"type": "string"},
        "typed": {"type": "string"},
        "unit": {"type": ["string", "null"]},
    }
)


@operation(
    "practice.job",
    input=object_schema(
        {
            "car": {"type": ["string", "object"], "examples": names()},
            "technician": {"enum": list(TEMPERS)},
            "seed": {"type": "integer"},
        }
    ),
    output=object_schema(
        {
            "closed": {"type": "boolean"},
            "pages": {
                "type": "array",
                "items": object_schema(
                    {
                        "moment": {"type": "number"},
                        "step": {"type": "string"},
                        "words": {"type": "array", "items": {"type": "string"}},
                        "answer": _ANSWER,
                        "car": {"type": "object"},
                    }
                ),
            },
            "harms": {
                "type": "array",
                "items": object_schema(
                    {
                        "moment": {"type": "number"},
                        "step": {"type": "string"},
                        "harm": {"type": "string"},
                        "why": {"type": "string"},
                        "untrue": {"oneOf": [_UNTRUE, {"type": "null"}]},
                    }
                ),
            },
        }
    ),
    sample={"car": "pika_cap", "technician": "hurried", "seed": 3},
)
def practice_job(payload: Json) -> Json:
    """See ``weeptrace.practice.world.play.play``."""
    from weeptrace.door.phone import Phone
    from weeptrace.practice.world.cars import world_from, world_load
    from weeptrace.practice.world.play import play
    from weeptrace.practice.world.world import World

    given, seed = payload["car"], int(payload["seed"])
    car = world_load(given) if isinstance(given, str) else world_from(given)
    return played_json(play(World(car, seed), payload["technician"], seed, Phone()))


def played_json(played: Played) -> Json:
    """A played job as JSON: moments in s since the car arrived, the car's truth in SI."""
    return {
        "closed": played.end == "closed",
        "pages": played.pages,
        "harms": [
            {
                "moment": hurt.harm.at,
                "step": hurt.step,
                "harm": hurt.harm.kind,
                "why": hurt.harm.why,
                "untrue": hurt.untrue,
            }
            for hurt in played.harms
        ],
    }
