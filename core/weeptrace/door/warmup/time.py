"""The warm-up room's operations on time: to the thermostat, and until it is cool again."""

from __future__ import annotations

from collections.abc import Mapping

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.finding import Estimate
from weeptrace.rules import limits
from weeptrace.warmup import lumped

_OUT = object_schema(
    {
        "reached": {
            "type": "string",
            "enum": ["yes", "not_sure", "no"],
        },
        "time": quantity_schema("time"),
    },
    ["reached"],
)


@operation(
    "warmup.time_to_thermostat",
    input=object_schema(
        {
            "coolant": quantity_schema("temperature"),
            "ambient": quantity_schema("temperature"),
            "opening": quantity_schema("temperature"),
            "idle": {"type": "string", "enum": ["plain", "brisk"]},
            "warming": quantity_schema("temperature_rate"),
            "cooling_time": quantity_schema("time"),
        },
        ["coolant", "ambient", "opening"],
    ),
    output=_OUT,
    sample={
        "coolant": {"value": 20, "unit": "°C"},
        "ambient": {"value": 20, "unit": "°C"},
        "opening": {"value": 90, "unit": "°C"},
        "idle": "plain",
    },
)
def warmup_time_to_thermostat(payload: Json) -> Json:
    """See ``weeptrace.warmup.lumped.time_to_thermostat``."""
    rules = limits()
    found = lumped.time_to_thermostat(
        coolant=_temperature(payload, "coolant", rules),
        ambient=_temperature(payload, "ambient", rules),
        opening=_temperature(payload, "opening", rules),
        limits=rules,
        brisk=payload.get("idle") == "brisk",
        warming=read_optional(payload, "warming", "temperature_rate"),
        cooling_time=read_optional(payload, "cooling_time", "time"),
    )
    return _reached(found)


@operation(
    "warmup.cool_down",
    input=object_schema(
        {
            "coolant": quantity_schema("temperature"),
            "ambient": quantity_schema("temperature"),
            "goal": quantity_schema("temperature"),
            "bonnet": {
                "type": "string",
                "enum": ["closed", "open"],
            },
            "cooling_time": quantity_schema("time"),
        },
        ["coolant", "ambient", "goal"],
    ),
    output=_OUT,
    sample={
        "coolant": {"value": 90, "unit": "°C"},
        "ambient": {"value": 20, "unit": "°C"},
        "goal": {"value": 50, "unit": "°C"},
    },
)
def warmup_cool_down(payload: Json) -> Json:
    """See ``weeptrace.warmup.lumped.cool_down``."""
    rules = limits()
    return _reached(
        lumped.cool_down(
            start=_temperature(payload, "coolant", rules),
            ambient=_temperature(payload, "ambient", rules),
            goal=_temperature(payload, "goal", rules),
            limits=rules,
            open_bonnet=payload.get("bonnet") == "open",
            cooling_time=read_optional(payload, "cooling_time", "time"),
        )
    )


def _temperature(payload: Json, key: str, rules: Mapping[str, float]) -> float:
    low, high = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    return read(payload, key, "temperature", low=low, high=high)


def _reached(found: Estimate) -> Json:
    never = float("inf")
    if found.value == never:
        return {"reached": "no"}
    high = None if found.high == never else found.high
    return {
        "reached": "not_sure" if high is None else "yes",
        "time": give(found.value, "min", found.low, high),
    }
