"""The loss room's operations on a leak: the level watch and the rate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import get_args

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
from weeptrace.finding import Estimate
from weeptrace.hold.data import Verdict
from weeptrace.loss import lasts, level_watch, rate
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.quantity import to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_VERDICT: Json = {"type": "string", "enum": list(get_args(Verdict))}
_REASON = object_schema({"code": {"type": "string"}, "message": {"type": "string"}})


def _some_of(ids: Iterable[str]) -> Json:
    return {"type": "array", "items": {"type": "string", "enum": list(ids)}}


def _half(payload: Json, key: str, dimension: str) -> float | None:
    """Half of the interval beside ``payload[key]``, SI; ``None`` where none stands there."""
    quantity = payload.get(key, {})
    if "low" not in quantity and "high" not in quantity:
        return None
    found = _estimate(payload, key, dimension)
    return level_watch.half_width(found.value, found.low, found.high, 0.0)


def _estimate(
    payload: Json, key: str, dimension: str, usual_relative: float = 0.0, path: str = ""
) -> Estimate:
    """A quantity with its interval, or with the usual relative one where none is given."""
    value = read(payload, key, dimension, path=path)
    quantity, where = payload[key], f"{path}.{key}" if path else key
    usual = usual_relative * abs(value)
    low, high = value - usual, value + usual
    if "low" in quantity:
        low = to_si(float(quantity["low"]), quantity["unit"], dimension, f"{where}.low")
    if "high" in quantity:
        high = to_si(float(quantity["high"]), quantity["unit"], dimension, f"{where}.high")
    if not low <= value <= high:
        raise Refusal(
            "out_of_range",
            "refused.door_loss.low_value_high_rise",
            where,
            "accepted.low_value_high",
        )
    return Estimate(value, low, high)


def _give_estimate(found: Estimate, unit: str) -> Json:
    high = None if found.high == float("inf") else found.high
    return give(found.value, unit, found.low, high)


@operation(
    "loss.level_watch",
    input=object_schema(
        {
            "level_change": quantity_schema("length", interval=True),
            "area": quantity_schema("area", interval=True),
            "temperature_before": quantity_schema("temperature", interval=True),
            "temperature_after": quantity_schema("temperature", interval=True),
            "liquid_volume": quantity_schema("volume"),
            "glycol": GLYCOL,
            "distance": quantity_schema("length"),
            "topped_up": quantity_schema("volume"),
            "filled": {
                "type": "string",
                "enum": list(get_args(level_watch.Filled)),
            },
            "owner_rate": quantity_schema("loss_per_distance"),
        },
        ["level_change", "area", "distance"],
    ),
    output=object_schema(
        {
            "volume_lost": quantity_schema("volume"),
            "per_1000_km": quantity_schema("loss_per_distance"),
            "not_larger_than": quantity_schema("loss_per_distance"),
            "verdict": _VERDICT,
            "reason": _REASON,
            "distance_for_tight": quantity_schema("length"),
            "corrected": quantity_schema("volume"),
            "assumed": _some_of(level_watch.ASSUMED),
        },
        [
            "volume_lost",
            "per_1000_km",
            "not_larger_than",
            "verdict",
            "distance_for_tight",
            "corrected",
            "assumed",
        ],
    ),
    sample={
        "level_change": {"value": 1, "unit": "mm"},
        "area": {"value": 100, "unit": "cm²"},
        "temperature_before": {"value": 12, "unit": "°C"},
        "temperature_after": {"value": 15, "unit": "°C"},
        "liquid_volume": {"value": 7, "unit": "L"},
        "distance": {"value": 2000, "unit": "km"},
    },
)
def loss_level_watch(payload: Json) -> Json:
    """See ``weeptrace.loss.level_watch.watch``."""
    rules = limits()
    coldest, hottest = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    temperatures = {
        key: read_optional(payload, key, "temperature", low=coldest, high=hottest)
        for key in ("temperature_before", "temperature_after")
    }
    halves = [_half(payload, key, "temperature") for key in temperatures]
    known = [half for half in halves if half is not None]
    most = rules["hold.largest_volume"]
    found = level_watch.watch(
        level_change=read(payload, "level_change", "length"),
        area=read(payload, "area", "area"),
        distance=read(payload, "distance", "length"),
        limits=rules,
        level_half=_half(payload, "level_change", "length"),
        area_half=_half(payload, "area", "area"),
        temperature_before=temperatures["temperature_before"],
        temperature_after=temperatures["temperature_after"],
        temperature_half=max(known) if known else None,
        liquid_volume=read_optional(payload, "liquid_volume", "volume", low=0.0, high=most),
        glycol=payload.get("glycol", "ethylene"),
        topped_up=read_optional(payload, "topped_up", "volume", low=0.0, unit="L") or 0.0,
        filled=payload.get("filled"),
        owner_rate=read_optional(payload, "owner_rate", "loss_per_distance", low=0.0),
    )
    out: Json = {
        "volume_lost": _give_estimate(found.volume_lost, "mL"),
        "per_1000_km": _give_estimate(found.per_distance, "L/1000 km"),
        "not_larger_than": give(found.not_larger_than, "L/1000 km"),
        "verdict": found.verdict,
        "distance_for_tight": give(found.distance_for_tight, "km"),
        "corrected": give(found.corrected, "mL"),
        "assumed": list(found.assumed),
    }
    if found.reason is not None:
        out["reason"] = {"code": found.reason.code, "message": found.reason.message}
    return out


_DURATION = quantity_schema("time")
_WAY: Json = {"type": "string", "enum": list(get_args(rate.Way))}


@operation(
    "loss.rate",
    input=object_schema(
        {
            "drops": object_schema({"count": {"type": "number"}, "time": _DURATION}),
            "catch": object_schema(
                {
                    "mass": quantity_schema("mass"),
                    "time": _DURATION,
                    "density": quantity_schema("density"),
                },
                ["mass", "time"],
            ),
            "puddle": object_schema(
                {
                    "area": quantity_schema("area"),
                    "thickness": quantity_schema("length", default_unit="mm"),
                    "time": quantity_schema("time"),
                },
                ["area", "time"],
            ),
            "owner": object_schema(
                {
                    "added": quantity_schema("volume", interval=True),
                    "distance": quantity_schema("length", default_unit="km"),
                }
            ),
            "hold": quantity_schema("volume_flow", interval=True),
            "condition": object_schema(
                {
                    "pressure": quantity_schema("pressure"),
                    "rated": quantity_schema("pressure"),
                    "running_pressure": quantity_schema("pressure"),
                    "temperature": quantity_schema("temperature"),
                    "exponent": {"type": "number"},
                    "glycol": GLYCOL,
                    "strength": quantity_schema("ratio"),
                },
                ["pressure", "rated", "temperature"],
            ),
            "exposure": quantity_schema("time_per_distance"),
            "reserve": quantity_schema("volume"),
            "capacity": quantity_schema("volume"),
            "trip": quantity_schema("time"),
            "findings": object_schema(
                {name: {"type": "string", "enum": ["yes", "no"]} for name in lasts.NEVER_DRIVE}, []
            ),
        },
        [],
    ),
    output=object_schema(
        {
            "flow": quantity_schema("volume_flow"),
            "per_1000_km": quantity_schema("loss_per_distance"),
            "class": _VERDICT,
            "ways": {
                "type": "array",
                "items": object_schema({"way": _WAY, "flow": quantity_schema("volume_flow")}),
            },
            "agree": {"type": "string", "enum": list(get_args(rate.Agree))},
            "ratio": {"type": "number"},
            "suspect": {
                "type": "array",
                "items": {"type": "string", "enum": list(rate.SUSPECT)},
            },
            "running_factor": {
                "type": "number",
            },
            "time_to_low": quantity_schema("time"),
            "time_to_lost_circulation": quantity_schema("time"),
            "decision": {"type": "string", "enum": list(get_args(lasts.Decision))},
            "reasons": _some_of(lasts.REASONS),
            "not_answered": _some_of(lasts.NEVER_DRIVE),
        },
        ["flow", "per_1000_km", "class", "ways", "agree", "decision", "reasons", "not_answered"],
    ),
    sample={
        "hold": {"value": 4.0, "unit": "mL/min"},
        "condition": {
            "pressure": {"value": 100, "unit": "kPa"},
            "rated": {"value": 110, "unit": "kPa"},
            "temperature": {"value": 16, "unit": "°C"},
            "exponent": 0.6,
        },
        "reserve": {"value": 350, "unit": "mL"},
        "capacity": {"value": 6.2, "unit": "L"},
        "trip": {"value": 25, "unit": "min"},
        "findings": {"high_voltage_loop": "no", "not_secure": "yes"},
    },
)
def loss_rate(payload: Json) -> Json:
    """See ``weeptrace.loss.rate.combine`` and ``weeptrace.loss.lasts.lasts``."""
    rules = limits()
    factor = _factor(payload["condition"], rules) if "condition" in payload else None
    if factor is None and "hold" in payload:
        raise Refusal(
            "missing",
            "refused.door_loss.holds_leak_flow_needs",
            "condition",
            "accepted.condition_hold",
        )
    exposure = read_optional(payload, "exposure", "time_per_distance")
    ways = _ways(payload, 1.0 if factor is None else factor, exposure, rules)
    found = rate.combine(ways, rules, exposure)
    answer = lasts.lasts(
        found,
        rules,
        reserve=read_optional(payload, "reserve", "volume"),
        capacity=read_optional(payload, "capacity", "volume"),
        trip=read_optional(payload, "trip", "time"),
        findings=payload.get("findings"),
    )
    out: Json = {
        "flow": _give_estimate(found.flow, "mL/min"),
        "per_1000_km": _give_estimate(found.per_distance, "L/1000 km"),
        "class": found.size,
        "ways": [
            {"way": way.way, "flow": _give_estimate(way.flow, "mL/min")} for way in found.ways
        ],
        "agree": found.agree,
        "decision": answer.decision,
        "reasons": list(answer.reasons),
        "not_answered": list(answer.not_answered),
    }
    times = {
        "time_to_low": answer.to_low,
        "time_to_lost_circulation": answer.to_lost_circulation,
    }
    out.update({k: _give_estimate(v, "min") for k, v in times.items() if v is not None})
    if found.agree == "no":
        out["suspect"] = list(rate.SUSPECT)
    numbers = {"ratio": found.ratio, "running_factor": factor}
    out.update({k: v for k, v in numbers.items() if v is not None})
    return out


def _factor(condition: Json, rules: Mapping[str, float]) -> float:
    path, glycol = "condition", condition.get("glycol", "ethylene")
    share = read_optional(condition, "strength", "ratio", path=path, low=0.0, high=1.0, unit="%")
    highest = rules["hold.highest_pressure"]
    return rate.running_factor(
        pressure=read(condition, "pressure", "pressure", path=path, high=highest),
        rated=read(condition, "rated", "pressure", path=path, high=highest),
        temperature=read(condition, "temperature", "temperature", path=path),
        limits=rules,
        exponent=condition.get("exponent"),
        glycol=glycol,
        mass_fraction=None if share is None else mass_from_volume(glycol, share),
        running_pressure=read_optional(
            condition, "running_pressure", "pressure", path=path, high=highest
        ),
    )


def _ways(
    payload: Json, factor: float, exposure: float | None, rules: Mapping[str, float]
) -> list[rate.Found]:
    ways: list[rate.Found] = []
    if "drops" in payload:
        drops = payload["drops"]
        time = read(drops, "time", "time", path="drops")
        flow = rate.from_drops(float(drops["count"]), time, rules)
        ways.append(rate.Found("drops", rate.scaled(flow, factor)))
    if "catch" in payload:
        caught = payload["catch"]
        flow = rate.from_catch(
            read(caught, "mass", "mass", path="catch"),
            read(caught, "time", "time", path="catch"),
            rules,
            read_optional(caught, "density", "density", path="catch"),
        )
        ways.append(rate.Found("catch", rate.scaled(flow, factor)))
    if "puddle" in payload:
        seen = payload["puddle"]
        volume = rate.puddle(
            read(seen, "area", "area", path="puddle"),
            rules,
            read_optional(seen, "thickness", "length", path="puddle"),
        )
        flow = rate.from_puddle(volume, read(seen, "time", "time", path="puddle"))
        ways.append(rate.Found("puddle", rate.scaled(flow, factor)))
    if "hold" in payload:
        flow = _estimate(payload, "hold", "volume_flow", rules["loss.flow_relative"])
        if flow.value <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.door_loss.leak_flow_above_zero",
                "hold",
                "accepted.above_ml_min",
            )
        floor = Estimate(flow.value, max(flow.low, 0.0), flow.high)
        ways.append(rate.Found("hold", rate.scaled(floor, factor)))
    if "owner" in payload:
        owner = payload["owner"]
        added = _estimate(owner, "added", "volume", rules["loss.owner_relative"], "owner")
        distance = read(owner, "distance", "length", path="owner")
        if distance <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.door_loss.distance_above_zero",
                "owner.distance",
                "accepted.above_km",
            )
        told = rate.from_owner(rate.scaled(added, 1.0 / distance), rules, exposure)
        ways.append(rate.Found("owner", told))
    return ways
