"""Door to the room ``practice``: what a gauge on a car with a hidden fault shows."""

from __future__ import annotations

import random

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.practice.acts import HandPump, pressures, pump_to, release
from weeptrace.practice.balance import run
from weeptrace.practice.describe import car_from, load, names
from weeptrace.practice.gauge import Gauge
from weeptrace.practice.state import compliance, gas_volume, under

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
