"""The hold room's operations on two holds: two levels of one leak, and before against after."""

from __future__ import annotations

from collections.abc import Mapping

from weeptrace.door.hold.known import DIVISION, read_pressure
from weeptrace.door.hold.read import READING, read_readings
from weeptrace.door.hold.show import interval
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
from weeptrace.hold.compare import ratio
from weeptrace.hold.two_level import Level, level, two_level
from weeptrace.quantity import to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

LEVEL = object_schema(
    {
        "compliance": quantity_schema("compliance"),
        "pressure": quantity_schema("pressure"),
        "slope": quantity_schema("pressure_rate", interval=True),
        "stretches": {
            "type": "array",
            "minItems": 1,
            "maxItems": 10,
            "items": {"type": "array", "items": READING, "maxItems": 500},
        },
    },
    ["compliance"],
)


@operation(
    "hold.two_level",
    input=object_schema(
        {
            "low": LEVEL,
            "high": LEVEL,
            "division": DIVISION,
            "exponent": {"type": "number", "minimum": 0.3, "maximum": 2.5},
            "compliance_uncertainty": quantity_schema("ratio"),
            "thermal_rate": quantity_schema("volume_flow"),
        },
        ["low", "high"],
    ),
    output=object_schema(
        {
            "leak_flow": quantity_schema("volume_flow"),
            "thermal_rate": quantity_schema("volume_flow"),
            "noise": quantity_schema("volume_flow"),
            "claimed": {"type": "boolean"},
            "not_larger_than_flow": quantity_schema("volume_flow"),
            "smallest_detectable_flow": quantity_schema("volume_flow"),
            "exponent": object_schema(
                {"value": {"type": "number"}, "assumed": {"type": "boolean"}}
            ),
        }
    ),
    sample={
        "low": {
            "compliance": {"value": 6.02, "unit": "mL/kPa"},
            "pressure": {"value": 20, "unit": "kPa"},
            "slope": {"value": -0.0497, "unit": "kPa/min", "low": -0.25, "high": 0.15},
        },
        "high": {
            "compliance": {"value": 3.88, "unit": "mL/kPa"},
            "pressure": {"value": 100, "unit": "kPa"},
            "slope": {"value": -0.1458, "unit": "kPa/min", "low": -0.26, "high": -0.03},
        },
        "exponent": 0.9,
    },
)
def _two_level(payload: Json) -> Json:
    known = dict(limits())
    if "exponent" in payload:
        known["hold.exponent"] = payload["exponent"]
    relative = read_optional(payload, "compliance_uncertainty", "ratio", low=0.0, high=1.0)
    found = two_level(
        _level(payload, "low", known),
        _level(payload, "high", known),
        known,
        known["hold.compliance_uncertainty"] if relative is None else relative,
        read_optional(payload, "thermal_rate", "volume_flow"),
    )
    measured = found.measured_exponent
    return {
        "leak_flow": interval(found.flow, "mL/min"),
        "thermal_rate": interval(found.thermal, "mL/min"),
        "noise": give(found.noise, "mL/min"),
        "claimed": found.claimed,
        "not_larger_than_flow": give(found.not_larger_than, "mL/min"),
        "smallest_detectable_flow": give(found.smallest_detectable, "mL/min"),
        "exponent": {
            "value": found.exponent if measured is None else measured,
            "assumed": measured is None,
        },
    }


def _level(payload: Json, key: str, known: Mapping[str, float]) -> Level:
    item = payload[key]
    compliance = read(item, "compliance", "compliance", path=key, low=1e-13)
    if set(item) == {"compliance", "pressure", "slope"}:
        slope = read(item, "slope", "pressure_rate", path=key)
        unit = item["slope"]["unit"]
        ends = [
            to_si(float(item["slope"][end]), unit, "pressure_rate", f"{key}.slope.{end}")
            for end in ("low", "high")
            if end in item["slope"]
        ]
        half = max((abs(end - slope) for end in ends), default=0.0)
        pressure = read_pressure(item, "pressure", known, key)
        return Level(pressure, slope, half / known["hold.interval_factor"], compliance)
    if set(item) == {"compliance", "stretches"} and "division" in payload:
        division = read(payload, "division", "pressure", low=1.0)
        stretches = [
            read_readings(part, 0.0, known, f"{key}.stretches[{index}]")
            for index, part in enumerate(item["stretches"])
        ]
        return level(stretches, known["hold.noise_divisions"] * division, compliance)
    raise Refusal(
        "bad_input",
        "refused.door_hold.level_its_pressure_slope",
        key,
        "accepted.level",
    )


_FLOW = quantity_schema("volume_flow", interval=True)


@operation(
    "hold.compare",
    input=object_schema({"before": _FLOW, "after": _FLOW}),
    output=object_schema({"left": quantity_schema("ratio")}),
    sample={
        "before": {"value": 1.2, "unit": "mL/min", "low": 1.0, "high": 1.4},
        "after": {"value": 0.02, "unit": "mL/min", "low": -0.06, "high": 0.1},
    },
)
def _compare(payload: Json) -> Json:
    before, after = _flow(payload, "before"), _flow(payload, "after")
    return {"left": interval(ratio(before, after, limits()), "%")}


def _flow(payload: Json, key: str) -> Estimate:
    """A flow with its interval; refused where the interval is missing or beside the value."""
    item = payload[key]
    value = read(payload, key, "volume_flow")
    ends = [
        to_si(float(item[end]), item["unit"], "volume_flow", f"{key}.{end}")
        for end in ("low", "high")
        if end in item
    ]
    if len(ends) < 2 or not ends[0] <= value <= ends[1]:
        raise Refusal(
            "bad_input", "refused.door_hold.flow_needs_its_interval", key, "accepted.low_value_high"
        )
    return Estimate(value, *ends)
