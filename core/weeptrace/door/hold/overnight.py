"""The hold room's operation on a night under pressure: what a tight car shows in the morning."""

from __future__ import annotations

from weeptrace.door.hold.known import DIVISION, read_pressure
from weeptrace.door.hold.read import PLACE, read_share, read_temperature, read_volume
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.hold.data import Strokes
from weeptrace.hold.overnight import Evening, Warmth, expected, sign
from weeptrace.properties import air
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_WARMTH = object_schema(
    {
        "block": quantity_schema("temperature"),
        "air": quantity_schema("temperature"),
    },
    ["block"],
)


@operation(
    "hold.overnight",
    input=object_schema(
        {
            "strokes": {"type": "number", "exclusiveMinimum": 0, "maximum": 5000},
            "stroke_volume": quantity_schema("volume"),
            "pumped": quantity_schema("pressure"),
            "start": quantity_schema("pressure"),
            "evening": _WARMTH,
            "morning": _WARMTH,
            "seen": quantity_schema("pressure"),
            "division": DIVISION,
            "liquid_volume": quantity_schema("volume"),
            "altitude": PLACE["altitude"],
            "glycol": PLACE["glycol"],
            "strength": PLACE["strength"],
        },
        ["strokes", "stroke_volume", "pumped", "evening", "morning"],
    ),
    output=object_schema(
        {
            "tight": quantity_schema("pressure"),
            "sign": {"type": "string", "enum": ["as_a_tight_one", "below", "above"]},
        },
        ["tight"],
    ),
    sample={
        "strokes": 10,
        "stroke_volume": {"value": 40, "unit": "mL"},
        "pumped": {"value": 85, "unit": "kPa"},
        "evening": {"block": {"value": 24, "unit": "°C"}, "air": {"value": 18, "unit": "°C"}},
        "morning": {"block": {"value": 12, "unit": "°C"}},
        "seen": {"value": 58, "unit": "kPa"},
        "division": {"value": 2, "unit": "kPa"},
        "liquid_volume": {"value": 7.5, "unit": "L"},
    },
)
def _overnight(payload: Json) -> Json:
    known = limits()
    high = known["hold.highest_pressure"]
    altitude = read_optional(payload, "altitude", "length")
    pumped = read_pressure(payload, "pumped", known)
    start = read_optional(payload, "start", "pressure", low=0.0, high=pumped)
    evening = Evening(
        Strokes(
            payload["strokes"],
            read(payload, "stroke_volume", "volume", low=1e-6, high=known["hold.largest_volume"]),
        ),
        pumped,
        pumped if start is None else start,
        _warmth(payload, "evening"),
        read_volume(payload, "liquid_volume", known),
        None if altitude is None else air.pressure(altitude),
        payload.get("glycol", "ethylene"),
        read_share(payload),
    )
    tight = expected(evening, _warmth(payload, "morning"), known)
    out: Json = {"tight": give(tight.value, "kPa", tight.low, tight.high)}
    seen = read_optional(payload, "seen", "pressure", low=0.0, high=high)
    if seen is None:
        return out
    if "division" not in payload:
        raise Refusal(
            "missing",
            "refused.door_hold.how_far_needle_can",
            "division",
            "accepted.one_division_gauge_above_kpa",
        )
    division = read(payload, "division", "pressure", low=1.0, high=high)
    return {**out, "sign": sign(seen, tight, division, known)}


def _warmth(payload: Json, when: str) -> Warmth:
    known = limits()
    block = read_temperature(payload[when], "block", when, known)
    assert block is not None
    return Warmth(block, read_temperature(payload[when], "air", when, known))
