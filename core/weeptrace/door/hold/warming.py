"""The hold room's operation on a closed system that warms: its pressure, and gas on top of it."""

from __future__ import annotations

from weeptrace.door.hold.read import PLACE, read_place, read_temperature, read_volume
from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold, Gas, Point
from weeptrace.warmup.gas import assess, model_uncertainty, warming_pressure

_LOG = object_schema(
    {
        "time": quantity_schema("time"),
        "temperature": quantity_schema("temperature"),
        "pressure": quantity_schema("pressure"),
    }
)


@operation(
    "hold.closed_warming",
    input=object_schema(
        {
            "headspace": quantity_schema("volume"),
            "liquid_volume": quantity_schema("volume"),
            "temperatures": {
                "type": "array",
                "items": quantity_schema("temperature"),
                "minItems": 1,
                "maxItems": 200,
            },
            "first": quantity_schema("pressure"),
            "hoses": quantity_schema("compliance"),
            "expansion": quantity_schema("expansion"),
            "log": {"type": "array", "items": _LOG, "maxItems": 1000},
            **PLACE,
        },
        ["headspace", "liquid_volume", "temperature", "temperatures"],
    ),
    output=object_schema(
        {
            "points": {
                "type": "array",
                "items": object_schema(
                    {
                        "temperature": quantity_schema("temperature"),
                        "pressure": quantity_schema("pressure"),
                    }
                ),
            },
            "gas": object_schema(
                {
                    "sign": {"type": "string", "enum": ["yes", "no", "not_measured"]},
                    "reason": {"type": "string"},
                    "excess": quantity_schema("pressure"),
                    "inflow": quantity_schema("volume_flow"),
                    "not_larger_than": quantity_schema("volume_flow"),
                },
                ["sign"],
            ),
        },
        ["points"],
    ),
    sample={
        "headspace": {"value": 1, "unit": "L"},
        "liquid_volume": {"value": 8, "unit": "L"},
        "temperature": {"value": 20, "unit": "°C"},
        "temperatures": [{"value": t, "unit": "°C"} for t in (30, 40, 50, 60, 80, 90)],
    },
)
def _closed_warming(payload: Json) -> Json:
    known = dict(limits())
    place = read_place(payload, known)
    first = read_optional(
        payload, "first", "pressure", low=0.0, high=known["hold.highest_pressure"]
    )
    hoses = read_optional(payload, "hoses", "compliance", low=0.0)
    if hoses is not None:
        known["hold.hose_compliance"] = hoses
    expansion = read_optional(payload, "expansion", "expansion", low=0.0)
    if expansion is not None:
        known["hold.expansion"], known["hold.expansion_growth"] = expansion, 0.0
        known["hold.expansion_propylene"] = 1.0
    cold = Cold(
        read_volume(payload, "headspace", known),
        read_volume(payload, "liquid_volume", known),
        place.atmosphere,
        place.coolant.glycol,
        place.coolant.mass_fraction,
    )
    hose, wide = known["hold.hose_compliance"], known["hold.interval_factor"]
    points = []
    for index, item in enumerate(payload["temperatures"]):
        t = read_temperature({"temperature": item}, "temperature", f"temperatures[{index}]", known)
        assert t is not None
        state = (cold, place.temperature, first or 0.0, t, hose, known)
        p, u = warming_pressure(*state), wide * model_uncertainty(*state)
        points.append({"temperature": give(t, "°C"), "pressure": give(p, "kPa", p - u, p + u)})
    if "log" not in payload:
        return {"points": points}
    rows = sorted(
        (
            Point(
                read(row, "time", "time", path=f"log[{index}]"),
                read(row, "temperature", "temperature", path=f"log[{index}]"),
                pressure=read(row, "pressure", "pressure", path=f"log[{index}]", low=0.0),
            )
            for index, row in enumerate(payload["log"])
        ),
        key=lambda row: row.time,
    )
    return {"points": points, "gas": _gas(assess(rows, place.temperature, cold, known))}


def _gas(found: Gas) -> Json:
    out: Json = {"sign": found.sign}
    if found.reason is not None:
        out["reason"] = found.reason.message
    figures = (
        ("excess", found.excess, "kPa"),
        ("inflow", found.inflow, "mL/min"),
        ("not_larger_than", found.not_larger_than, "mL/min"),
    )
    return out | {name: give(value, unit) for name, value, unit in figures if value is not None}
