"""A judgement of a hold as the door gives it out, and its schema."""

from __future__ import annotations

from typing import Any, get_args

from weeptrace.door.registry import Json, give, object_schema, quantity_schema
from weeptrace.hold.data import ASSUMED, Assessment, Estimate, Verdict
from weeptrace.hold.explain import CANNOT_TELL, EXPLANATIONS

POINT = object_schema(
    {
        "time": quantity_schema("time"),
        "pressure": quantity_schema("pressure"),
        "limit": quantity_schema("pressure"),
    },
    ["time", "pressure"],
)
OUTPUT = object_schema(
    {
        "verdict": {"type": "string", "enum": list(get_args(Verdict))},
        "reason": object_schema({"code": {"type": "string"}, "message": {"type": "string"}}),
        "explanations": object_schema({name: {"type": "number"} for name in EXPLANATIONS}, []),
        "favoured": {"type": "string", "enum": [*EXPLANATIONS, CANNOT_TELL]},
        "advice": {
            "type": "array",
            "items": object_schema(
                {
                    "code": {
                        "type": "string",
                        "enum": ["top_up", "hold_longer", "finer_gauge", "log_temperature"],
                    },
                    "message": {"type": "string"},
                    "smallest_detectable": quantity_schema("loss_per_distance"),
                    "smallest_detectable_flow": quantity_schema("volume_flow"),
                    "time": quantity_schema("time"),
                }
            ),
        },
        "rate": quantity_schema("pressure_rate"),
        "leak_flow": quantity_schema("volume_flow"),
        "air_flow": quantity_schema("volume_flow"),
        "liquid_equivalent": object_schema(
            {
                "orifice": quantity_schema("volume_flow"),
                "laminar": quantity_schema("volume_flow"),
            }
        ),
        "residual_fraction": quantity_schema("ratio"),
        "best_vacuum": quantity_schema("pressure"),
        "per_1000_km": quantity_schema("loss_per_distance"),
        "not_larger_than": quantity_schema("loss_per_distance"),
        "not_larger_than_flow": quantity_schema("volume_flow"),
        "smallest_detectable": quantity_schema("loss_per_distance"),
        "smallest_detectable_flow": quantity_schema("volume_flow"),
        "exponent": object_schema({"value": {"type": "number"}, "assumed": {"type": "boolean"}}),
        "compliance": quantity_schema("compliance"),
        "hints": {
            "type": "array",
            "items": object_schema({"code": {"type": "string"}, "message": {"type": "string"}}),
        },
        "air_side": object_schema(
            {
                "orifice": quantity_schema("volume_flow"),
                "laminar": quantity_schema("volume_flow"),
            }
        ),
        "target": quantity_schema("pressure"),
        "more_time": quantity_schema("time"),
        "next_reading": quantity_schema("time"),
        "suspect_readings": {
            "type": "array",
            "items": {"type": "integer"},
        },
        "curve": {"type": "array", "items": POINT},
        "fall": quantity_schema("pressure_rate"),
        "noise": quantity_schema("pressure"),
        "look_factor": {"type": "number"},
        "assumed": {"type": "array", "items": {"type": "string", "enum": list(ASSUMED)}},
    },
    ["verdict", "explanations", "suspect_readings", "curve", "assumed"],
)


def interval(estimate: Estimate, unit: str) -> Json:
    """An estimate as a quantity with its 95 % interval."""
    return give(estimate.value, unit, estimate.low, estimate.high)


def assessment_json(found: Assessment) -> Json:
    """A judgement as the door gives it out, quantities in the trade's units."""
    out: Json = {
        "verdict": found.verdict,
        "explanations": dict(found.explanations),
        "suspect_readings": list(found.suspect_readings),
        "curve": [
            {
                "time": give(point.time, "min"),
                "pressure": give(point.pressure, "kPa", point.low, point.high),
                **({} if point.limit is None else {"limit": give(point.limit, "kPa")}),
            }
            for point in found.curve
        ],
        "assumed": list(found.assumed),
    }
    if found.reason is not None:
        out["reason"] = {"code": found.reason.code, "message": found.reason.message}
    if found.favoured is not None:
        out["favoured"] = found.favoured
    if found.advice:
        out["advice"] = [
            {
                "code": way.code,
                "message": way.reason.message,
                "smallest_detectable": give(way.smallest_detectable, "L/1000 km"),
                "smallest_detectable_flow": give(way.smallest_detectable_flow, "mL/min"),
                "time": give(way.time, "min"),
            }
            for way in found.advice
        ]
    if found.exponent is not None:
        out["exponent"] = {"value": found.exponent.value, "assumed": found.exponent.assumed}
    estimates: dict[str, tuple[Any, str]] = {
        "rate": (found.rate, "kPa/min"),
        "leak_flow": (found.leak_flow, "mL/min"),
        "per_1000_km": (found.per_distance, "L/1000 km"),
        "compliance": (found.compliance, "mL/kPa"),
        "fall": (found.fall, "kPa/min"),
        "air_flow": (found.air_flow, "mL/min"),
        "best_vacuum": (found.best_vacuum, "kPa"),
    }
    out |= {key: interval(e, unit) for key, (e, unit) in estimates.items() if e is not None}
    plain: dict[str, tuple[float | None, str]] = {
        "not_larger_than": (found.not_larger_than, "L/1000 km"),
        "not_larger_than_flow": (found.not_larger_than_flow, "mL/min"),
        "smallest_detectable": (found.smallest_detectable, "L/1000 km"),
        "smallest_detectable_flow": (found.smallest_detectable_flow, "mL/min"),
        "target": (found.target, "kPa"),
        "more_time": (found.more_time, "min"),
        "next_reading": (found.next_reading, "s"),
        "noise": (found.noise, "kPa"),
        "residual_fraction": (found.residual_fraction, "%"),
    }
    out |= {key: give(value, unit) for key, (value, unit) in plain.items() if value is not None}
    if found.liquid_equivalent is not None:
        pair = found.liquid_equivalent
        out["liquid_equivalent"] = {
            "orifice": interval(pair.orifice, "mL/min"),
            "laminar": interval(pair.laminar, "mL/min"),
        }
    if found.air_side is not None:
        out["air_side"] = {
            "orifice": interval(found.air_side.orifice, "mL/min"),
            "laminar": interval(found.air_side.laminar, "mL/min"),
        }
    if found.hints:
        out["hints"] = [{"code": hint.code, "message": hint.message} for hint in found.hints]
    if found.look_factor is not None:
        out["look_factor"] = found.look_factor
    return out
