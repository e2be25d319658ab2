"""The warm-up room's operation on a log: its judgement."""

from __future__ import annotations

from collections.abc import Mapping
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
    read_own_time,
)
from weeptrace.finding import Estimate, Reason
from weeptrace.properties import air
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.rules import limits
from weeptrace.warmup import data
from weeptrace.warmup.assess import COLUMNS, assess

_SIGN: Json = {"type": "string", "enum": list(get_args(data.Sign))}
_REASON = object_schema({"code": {"type": "string"}, "message": {"type": "string"}})
_ROW = object_schema(
    {
        "time": quantity_schema("time"),
        "coolant": quantity_schema("temperature"),
        "radiator_inlet": quantity_schema("temperature"),
        "vent": quantity_schema("temperature"),
        "fan": {"type": "string", "enum": ["on", "off"]},
        "pressure": quantity_schema("pressure"),
        "heater_in": quantity_schema("temperature"),
        "heater_out": quantity_schema("temperature"),
        "level": quantity_schema("length", default_unit="mm"),
    },
    ["time", "coolant"],
)
_EDGES: Json = {
    "type": "array",
    "items": object_schema(
        {"time": quantity_schema("time"), "temperature": quantity_schema("temperature")}
    ),
}


@operation(
    "warmup.assess",
    input=object_schema(
        {
            "log": {"type": "array", "minItems": 1, "maxItems": 1000, "items": _ROW},
            "ambient": quantity_schema("temperature"),
            "opening": quantity_schema("temperature"),
            "fan_on": quantity_schema("temperature"),
            "headspace": quantity_schema("volume"),
            "liquid_volume": quantity_schema("volume"),
            "altitude": quantity_schema("length"),
            "area": quantity_schema("area"),
            "glycol": GLYCOL,
            "strength": quantity_schema("ratio"),
        },
        ["log", "ambient"],
    ),
    output=object_schema(
        {
            "thermostat": object_schema(
                {
                    "signature": {"type": "string", "enum": list(get_args(data.ThermostatSign))},
                    "opening_temperature": quantity_schema("temperature"),
                    "time": quantity_schema("time"),
                    "opening": {"type": "string", "enum": list(get_args(data.Opening))},
                    "reason": _REASON,
                },
                ["signature", "opening"],
            ),
            "fan": object_schema(
                {
                    "signature": {"type": "string", "enum": list(get_args(data.FanSign))},
                    "on": _EDGES,
                    "off": _EDGES,
                }
            ),
            "heater": object_schema(
                {
                    "judgement": {"type": "string", "enum": list(get_args(data.Heat))},
                    "effectiveness": quantity_schema("ratio"),
                    "steady": {"type": "string", "enum": list(get_args(data.Steady))},
                    "falling": _SIGN,
                    "fall": quantity_schema("ratio"),
                    "pipe_drop": quantity_schema("temperature"),
                    "pipe_flow": {"type": "string", "enum": list(get_args(data.PipeFlow))},
                },
                ["judgement", "steady", "falling", "pipe_flow"],
            ),
            "air_sign": _SIGN,
            "air_out": object_schema(
                {
                    "seen": _SIGN,
                    "steps": {
                        "type": "array",
                        "items": object_schema(
                            {
                                "time": quantity_schema("time"),
                                "fall": quantity_schema("length"),
                                "volume": quantity_schema("volume"),
                            },
                            ["time", "fall"],
                        ),
                    },
                    "volume": quantity_schema("volume"),
                },
                ["seen", "steps"],
            ),
            "gas_sign": _SIGN,
            "gas": object_schema(
                {
                    "excess": quantity_schema("pressure"),
                    "uncertainty": quantity_schema("pressure"),
                    "inflow": quantity_schema("volume_flow"),
                    "not_larger_than": quantity_schema("volume_flow"),
                    "reason": _REASON,
                },
                [],
            ),
            "stop": {
                "type": "array",
                "items": object_schema(
                    {
                        "code": {"type": "string", "enum": list(get_args(data.StopCode))},
                        "time": quantity_schema("time"),
                        "message": {"type": "string"},
                    }
                ),
            },
            "not_measured": {
                "type": "array",
                "items": {"type": "string", "enum": list(COLUMNS)},
            },
        }
    ),
    sample={
        "log": [
            {
                "time": {"value": minute, "unit": "min"},
                "coolant": {"value": coolant, "unit": "°C"},
                "radiator_inlet": {"value": inlet, "unit": "°C"},
                "vent": {"value": vent, "unit": "°C"},
                "fan": fan,
            }
            for minute, coolant, inlet, vent, fan in (
                (0, 18, 18, 18, "off"),
                (4, 34, 18.5, 24, "off"),
                (8, 50, 19, 36, "off"),
                (12, 65, 20, 47, "off"),
                (16, 79, 20.5, 57, "off"),
                (18, 85, 21, 61, "off"),
                (19, 88, 21.5, 62, "off"),
                (20, 89, 34, 63, "off"),
                (21, 90, 47, 63, "off"),
                (22, 90, 60, 64, "off"),
                (23, 91, 73, 64, "off"),
                (26, 95, 86, 67, "off"),
                (28, 98, 90, 70, "on"),
                (30, 93, 80, 66, "off"),
            )
        ],
        "ambient": {"value": 18, "unit": "°C"},
        "opening": {"value": 88, "unit": "°C"},
        "fan_on": {"value": 97, "unit": "°C"},
    },
)
def warmup_assess(payload: Json) -> Json:
    """See ``weeptrace.warmup.assess.assess``."""
    rules = limits()
    found = assess(
        _rows(payload["log"], rules),
        _temperature(payload, "ambient", rules),
        rules,
        opening=_optional(payload, "opening", rules),
        fan_on=_optional(payload, "fan_on", rules),
        cold=_cold(payload, rules),
        area=read_optional(payload, "area", "area"),
    )
    heat, gas = found.heater, found.gas
    return {
        "thermostat": _known(
            signature=found.thermostat.signature,
            opening_temperature=_give(found.thermostat.temperature, "°C"),
            time=_give(found.thermostat.time, "min"),
            opening=found.thermostat.opening,
            reason=_reason(found.thermostat.reason),
        ),
        "fan": {
            "signature": found.fan.signature,
            "on": [_edge(edge) for edge in found.fan.on],
            "off": [_edge(edge) for edge in found.fan.off],
        },
        "heater": _known(
            judgement=heat.heat,
            effectiveness=_give(heat.effectiveness, "1"),
            steady=heat.steady,
            falling=heat.falling,
            fall=None if heat.fall is None else give(heat.fall, "1"),
            pipe_drop=_give(heat.pipe_drop, "K"),
            pipe_flow=heat.pipe_flow,
        ),
        "air_sign": found.air_sign,
        "air_out": _known(
            seen=found.purge.sign,
            steps=[
                _known(
                    time=give(step.time, "min"),
                    fall=give(step.fall, "mm"),
                    volume=_give(step.volume, "mL"),
                )
                for step in found.purge.steps
            ],
            volume=_give(found.purge.volume, "mL"),
        ),
        "gas_sign": gas.sign,
        "gas": _known(
            excess=None if gas.excess is None else give(gas.excess, "kPa"),
            uncertainty=None if gas.uncertainty is None else give(gas.uncertainty, "kPa"),
            inflow=None if gas.inflow is None else give(gas.inflow, "mL/min"),
            not_larger_than=(
                None if gas.not_larger_than is None else give(gas.not_larger_than, "mL/min")
            ),
            reason=_reason(gas.reason),
        ),
        "stop": [
            {
                "code": stop.reason.code,
                "time": give(stop.time, "min"),
                "message": stop.reason.message,
            }
            for stop in found.stop
        ],
        "not_measured": list(found.not_measured),
    }


def _rows(log: list[Json], rules: Mapping[str, float]) -> list[data.Point]:
    rows: list[data.Point] = []
    seen: dict[float, int] = {}
    for index, row in enumerate(log):
        path = f"log[{index}]"
        time = read_own_time(row, path, index, seen)
        high = rules["hold.highest_pressure"]
        rows.append(
            data.Point(
                time,
                _temperature(row, "coolant", rules, path),
                _optional(row, "radiator_inlet", rules, path),
                _optional(row, "vent", rules, path),
                row["fan"] == "on" if "fan" in row else None,
                read_optional(row, "pressure", "pressure", path=path, low=0.0, high=high),
                _optional(row, "heater_in", rules, path),
                _optional(row, "heater_out", rules, path),
                read_optional(row, "level", "length", path=path),
            )
        )
    return rows


def _cold(payload: Json, rules: Mapping[str, float]) -> data.Cold:
    share = read_optional(payload, "strength", "ratio", low=0.0, high=1.0, unit="%")
    glycol = payload.get("glycol", "ethylene")
    most = rules["hold.largest_volume"]
    altitude = read_optional(payload, "altitude", "length")
    return data.Cold(
        headspace=read_optional(payload, "headspace", "volume", high=most, unit="L"),
        liquid_volume=read_optional(payload, "liquid_volume", "volume", high=most, unit="L"),
        atmosphere=air.pressure(0.0 if altitude is None else altitude),
        glycol=glycol,
        mass_fraction=None if share is None else mass_from_volume(glycol, share),
    )


def _temperature(payload: Json, key: str, rules: Mapping[str, float], path: str = "") -> float:
    low, high = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    return read(payload, key, "temperature", path=path, low=low, high=high)


def _optional(payload: Json, key: str, rules: Mapping[str, float], path: str = "") -> float | None:
    return _temperature(payload, key, rules, path) if key in payload else None


def _known(**fields: object) -> Json:
    """The fields that are known; what is not stays out."""
    return {name: value for name, value in fields.items() if value is not None}


def _give(found: Estimate | None, unit: str) -> Json | None:
    return None if found is None else give(found.value, unit, found.low, found.high)


def _reason(reason: Reason | None) -> Json | None:
    return None if reason is None else {"code": reason.code, "message": reason.message}


def _edge(edge: data.Edge) -> Json:
    return {"time": _give(edge.time, "min"), "temperature": _give(edge.temperature, "°C")}
