"""The filling room's operations: mix, uptake of a vacuum fill, flush."""

from __future__ import annotations

from weeptrace.door.properties import GLYCOL
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.fill import flush, mix, uptake
from weeptrace.rules import limits

_STRENGTH = "glycol over the sum of the unmixed volumes at 20 °C"
_FLUID_PROPERTIES: Json = {
    "kind": {"type": "string", "enum": ["concentrate", "premix", "water"]},
    "strength": quantity_schema("ratio", _STRENGTH + "; a premix must say it"),
}


def _share(payload: Json, key: str, path: str = "") -> float:
    return read(payload, key, "ratio", path=path, low=0.0, high=1.0, unit="%")


@operation(
    "fill.mix",
    "What to pour so that the coolant ends at its target strength.",
    input=object_schema(
        {
            "capacity": quantity_schema("volume"),
            "drained": quantity_schema("volume", "what came out into the pan"),
            "missing_before": quantity_schema("volume", "below full before draining, if any"),
            "residual_strength": quantity_schema("ratio", _STRENGTH),
            "target": quantity_schema("ratio", _STRENGTH),
            "glycol": GLYCOL,
            "at_hand": {
                "type": "array",
                "minItems": 1,
                "maxItems": 20,
                "items": object_schema(
                    {
                        **_FLUID_PROPERTIES,
                        "volume": quantity_schema("volume", "absent: there is enough"),
                    },
                    ["kind"],
                ),
            },
        },
        ["capacity", "drained", "residual_strength", "target", "glycol", "at_hand"],
    ),
    output=object_schema(
        {
            "amounts": {
                "type": "array",
                "items": object_schema(
                    {**_FLUID_PROPERTIES, "volume": quantity_schema("volume", "pour this much")}
                ),
            },
            "fill_volume": quantity_schema("volume", "what the car takes"),
            "fill_strength": quantity_schema("ratio", "that the target asks of the fill"),
            "result": quantity_schema("ratio", "strength after filling and mixing"),
            "freeze_point": quantity_schema("temperature", "inhibited coolant of that strength"),
            "reachable": {"type": "boolean"},
            "nearest": quantity_schema("ratio", "where the target is not reached"),
            "draw_off_first": quantity_schema("volume", "more to drain so that it is reached"),
            "short": quantity_schema("volume", "that all fluids together lack to fill up"),
            "premix_alone": quantity_schema("ratio", "strength after filling with premix only"),
            "warnings": {
                "type": "array",
                "items": {
                    "type": "string",
                    "enum": ["below_lowest_strength", "above_highest_strength"],
                },
            },
        },
        ["amounts", "fill_volume", "result", "reachable", "warnings"],
    ),
    sample={
        "capacity": {"value": 7.6, "unit": "L"},
        "drained": {"value": 4.3, "unit": "L"},
        "residual_strength": {"value": 35, "unit": "%"},
        "target": {"value": 50, "unit": "%"},
        "glycol": "ethylene",
        "at_hand": [
            {"kind": "concentrate"},
            {"kind": "water"},
            {"kind": "premix", "strength": {"value": 50, "unit": "%"}},
        ],
    },
)
def fill_mix(payload: Json) -> Json:
    """See ``weeptrace.fill.mix.plan``."""
    fluids = []
    for i, item in enumerate(payload["at_hand"]):
        path = f"at_hand[{i}]"
        strength = _share(item, "strength", path) if "strength" in item else None
        volume = read_optional(item, "volume", "volume", path=path, low=0.0, unit="L")
        fluids.append(mix.at_hand(item["kind"], strength, volume, path))
    missing = read_optional(payload, "missing_before", "volume", low=0.0, unit="L")
    rules = limits()
    plan = mix.plan(
        capacity=read(payload, "capacity", "volume", unit="L"),
        drained=read(payload, "drained", "volume", low=0.0, unit="L"),
        residual_strength=_share(payload, "residual_strength"),
        target=_share(payload, "target"),
        glycol=payload["glycol"],
        at_hand=fluids,
        limits=rules,
        missing_before=missing or 0.0,
    )
    out: Json = {
        "amounts": [
            {
                "kind": amount.fluid.kind,
                "strength": give(amount.fluid.strength, "%"),
                "volume": give(amount.volume, "L"),
            }
            for amount in plan.amounts
        ],
        "fill_volume": give(plan.fill_volume, "L"),
        "result": give(plan.result, "%"),
        "reachable": plan.reachable,
        "warnings": list(plan.warnings),
    }
    if not plan.reachable:
        out["nearest"] = give(plan.result, "%")
    if plan.short > 0.0:
        out["short"] = give(plan.short, "L")
    optional = {
        "fill_strength": (plan.fill_strength, "%"),
        "freeze_point": (plan.freeze_point, "°C"),
        "draw_off_first": (plan.draw_off_first, "L"),
        "premix_alone": (plan.premix_alone, "%"),
    }
    given = {k: give(v, unit) for k, (v, unit) in optional.items() if v is not None}
    return {**out, **given}


@operation(
    "fill.uptake",
    "What a vacuum fill takes up, the air it leaves, and the container it needs.",
    input=object_schema(
        {
            "volume": quantity_schema("volume", "evacuated"),
            "residual_pressure": quantity_schema("pressure", "absolute"),
            "altitude": quantity_schema("length"),
            "temperature": quantity_schema("temperature", "of the coolant and the system"),
            "strength": quantity_schema("ratio", _STRENGTH),
            "lift": quantity_schema("length", "neck above the surface in the jug"),
            "measured": quantity_schema("volume", "what was taken up"),
        },
        ["volume", "residual_pressure", "altitude", "temperature"],
    ),
    output=object_schema(
        {
            "uptake": quantity_schema("volume", "low and high where no strength is given"),
            "air_left": quantity_schema("volume", "at atmospheric pressure"),
            "container": quantity_schema("volume", "that must stand ready"),
            "judgement": {"type": "string", "enum": ["as_expected", "air_left", "volume_differs"]},
        },
        ["uptake", "air_left", "container"],
    ),
    sample={
        "volume": {"value": 5.6, "unit": "L"},
        "residual_pressure": {"value": 8, "unit": "kPa"},
        "altitude": {"value": 1900, "unit": "m"},
        "temperature": {"value": 15, "unit": "°C"},
        "strength": {"value": 50, "unit": "%"},
    },
)
def fill_uptake(payload: Json) -> Json:
    """See ``weeptrace.fill.uptake.uptake``."""
    volume = read(payload, "volume", "volume", unit="L")
    lift = read_optional(payload, "lift", "length")
    found = uptake.uptake(
        volume=volume,
        residual_pressure=read(payload, "residual_pressure", "pressure", low=0.0, unit="kPa"),
        altitude=read(payload, "altitude", "length"),
        temperature=read(payload, "temperature", "temperature"),
        limits=limits(),
        strength=_share(payload, "strength") if "strength" in payload else None,
        lift=lift or 0.0,
        measured=read_optional(payload, "measured", "volume", low=0.0, unit="L"),
    )
    open_strength = found.high > found.low
    low, high = (found.low, found.high) if open_strength else (None, None)
    out = {
        "uptake": give(found.uptake, "L", low, high),
        "air_left": give(
            found.air_left,
            "L",
            None if high is None else volume - high,
            None if low is None else volume - low,
        ),
        "container": give(found.container, "L"),
    }
    return out if found.judgement is None else {**out, "judgement": found.judgement}


@operation(
    "fill.flush",
    "Cycles of drain and fill until the old share is small enough.",
    input=object_schema(
        {
            "capacity": quantity_schema("volume"),
            "drained": quantity_schema("volume", "in one cycle"),
            "limit": quantity_schema("ratio", "old share allowed"),
        }
    ),
    output=object_schema(
        {
            "cycles": {"type": "integer"},
            "shares": {
                "type": "array",
                "items": quantity_schema("ratio", "old share after each cycle"),
            },
            "waste": quantity_schema("volume", "drained in all"),
        }
    ),
    sample={
        "capacity": {"value": 24, "unit": "L"},
        "drained": {"value": 13, "unit": "L"},
        "limit": {"value": 10, "unit": "%"},
    },
)
def fill_flush(payload: Json) -> Json:
    """See ``weeptrace.fill.flush.flush``."""
    found = flush.flush(
        capacity=read(payload, "capacity", "volume", low=0.0, unit="L"),
        drained=read(payload, "drained", "volume", unit="L"),
        limit=_share(payload, "limit"),
    )
    return {
        "cycles": found.cycles,
        "shares": [give(share, "%") for share in found.shares],
        "waste": give(found.waste, "L"),
    }
