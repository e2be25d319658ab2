"""The filling room's operations on strength: mix and flush."""

from __future__ import annotations

from weeptrace.door.properties.fluids import GLYCOL
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.fill import flush, mix
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_FLUID_PROPERTIES: Json = {
    "kind": {"type": "string", "enum": ["concentrate", "premix", "water"]},
    "strength": quantity_schema("ratio"),
}
_AT_HAND: Json = {
    "type": "array",
    "minItems": 1,
    "maxItems": 20,
    "items": object_schema(
        {
            **_FLUID_PROPERTIES,
            "volume": quantity_schema("volume"),
        },
        ["kind"],
    ),
}
_PLAN = object_schema(
    {
        "amounts": {
            "type": "array",
            "items": object_schema({**_FLUID_PROPERTIES, "volume": quantity_schema("volume")}),
        },
        "fill_volume": quantity_schema("volume"),
        "fill_strength": quantity_schema("ratio"),
        "result": quantity_schema("ratio"),
        "freeze_point": quantity_schema("temperature"),
        "reachable": {"type": "boolean"},
        "nearest": quantity_schema("ratio"),
        "draw_off_first": quantity_schema("volume"),
        "short": quantity_schema("volume"),
        "premix_alone": quantity_schema("ratio"),
        "warnings": {
            "type": "array",
            "items": {
                "type": "string",
                "enum": ["below_lowest_strength", "above_highest_strength"],
            },
        },
    },
    ["amounts", "fill_volume", "result", "reachable", "warnings"],
)


def _share(payload: Json, key: str, path: str = "") -> float:
    return read(payload, key, "ratio", path=path, low=0.0, high=1.0, unit="%")


@operation(
    "fill.mix",
    input=object_schema(
        {
            "capacity": quantity_schema("volume"),
            "drained": quantity_schema("volume"),
            "missing_before": quantity_schema("volume"),
            "residual_strength": quantity_schema("ratio"),
            "target": quantity_schema("ratio"),
            "glycol": GLYCOL,
            "at_hand": _AT_HAND,
        },
        ["capacity", "drained", "residual_strength", "target", "glycol", "at_hand"],
    ),
    output=_PLAN,
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
    missing = read_optional(payload, "missing_before", "volume", low=0.0, unit="L")
    rules = limits()
    plan = mix.plan(
        capacity=read(payload, "capacity", "volume", unit="L"),
        drained=read(payload, "drained", "volume", low=0.0, unit="L"),
        residual_strength=_share(payload, "residual_strength"),
        target=_share(payload, "target"),
        glycol=payload["glycol"],
        at_hand=_fluids(payload["at_hand"]),
        limits=rules,
        missing_before=missing or 0.0,
    )
    return _plan(plan)


def _fluids(items: list[Json]) -> list[mix.AtHand]:
    fluids = []
    for i, item in enumerate(items):
        path = f"at_hand[{i}]"
        strength = _share(item, "strength", path) if "strength" in item else None
        volume = read_optional(item, "volume", "volume", path=path, low=0.0, unit="L")
        fluids.append(mix.at_hand(item["kind"], strength, volume, path))
    return fluids


def _plan(plan: mix.Plan) -> Json:
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
    "fill.flush",
    input=object_schema(
        {
            "capacity": quantity_schema("volume"),
            "drained": quantity_schema("volume"),
            "limit": quantity_schema("ratio"),
            "rinses": object_schema(
                {
                    "strength": quantity_schema("ratio"),
                    "target": quantity_schema("ratio"),
                    "glycol": GLYCOL,
                    "at_hand": _AT_HAND,
                }
            ),
            "can": quantity_schema("volume"),
        },
        ["capacity", "drained", "limit"],
    ),
    output=object_schema(
        {
            "cycles": {"type": "integer"},
            "shares": {
                "type": "array",
                "items": quantity_schema("ratio"),
            },
            "waste": quantity_schema("volume"),
            "cans": {"type": "integer"},
            "can_short": quantity_schema("volume"),
            "strengths": {
                "type": "array",
                "items": quantity_schema("ratio"),
            },
            "residual_strength": quantity_schema("ratio"),
            "rinse_water": quantity_schema("volume"),
            "water": quantity_schema("volume"),
            "water_short": quantity_schema("volume"),
            "final": _PLAN,
        },
        ["cycles", "shares", "waste"],
    ),
    sample={
        "capacity": {"value": 24, "unit": "L"},
        "drained": {"value": 13, "unit": "L"},
        "limit": {"value": 10, "unit": "%"},
        "rinses": {
            "strength": {"value": 72, "unit": "%"},
            "target": {"value": 50, "unit": "%"},
            "glycol": "ethylene",
            "at_hand": [
                {"kind": "concentrate", "volume": {"value": 12, "unit": "L"}},
                {
                    "kind": "premix",
                    "strength": {"value": 50, "unit": "%"},
                    "volume": {"value": 25, "unit": "L"},
                },
                {"kind": "water", "volume": {"value": 60, "unit": "L"}},
            ],
        },
        "can": {"value": 30, "unit": "L"},
    },
)
def fill_flush(payload: Json) -> Json:
    """See ``weeptrace.fill.flush.flush`` and ``weeptrace.fill.flush.rinses``."""
    capacity = read(payload, "capacity", "volume", low=0.0, unit="L")
    drained = read(payload, "drained", "volume", unit="L")
    limit = _share(payload, "limit")
    can = read_optional(payload, "can", "volume", unit="L")
    if "rinses" not in payload:
        found = flush.flush(capacity=capacity, drained=drained, limit=limit)
        return {**_flush(found), **_cans(flush.cans(found.waste, can))}
    inside = payload["rinses"]
    try:
        made = flush.rinses(
            capacity=capacity,
            drained=drained,
            limit=limit,
            strength=_share(inside, "strength"),
            target=_share(inside, "target"),
            glycol=inside["glycol"],
            at_hand=_fluids(inside["at_hand"]),
            limits=limits(),
        )
    except Refusal as refusal:
        inner = refusal.path.partition("[")[0].partition(".")[0] in inside
        path = f"rinses.{refusal.path}" if inner else refusal.path
        raise refusal.at(path) from None
    out = {
        **_flush(made.flush),
        **_cans(flush.cans(made.flush.waste, can)),
        "strengths": [give(strength, "%") for strength in made.strengths],
        "residual_strength": give(made.residual_strength, "%"),
        "rinse_water": give(made.rinse_water, "L"),
        "water": give(made.water, "L"),
    }
    if made.water_short > 0.0:
        out["water_short"] = give(made.water_short, "L")
    return out if made.final is None else {**out, "final": _plan(made.final)}


def _flush(found: flush.Flush) -> Json:
    return {
        "cycles": found.cycles,
        "shares": [give(share, "%") for share in found.shares],
        "waste": give(found.waste, "L"),
    }


def _cans(needed: tuple[int, float] | None) -> Json:
    if needed is None:
        return {}
    return {"cans": needed[0], "can_short": give(needed[1], "L")}
