"""The filling room's operations on a vacuum fill: reach, uptake, a container that ran dry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, get_args

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
from weeptrace.fill import ran_dry, reach, uptake
from weeptrace.properties import air
from weeptrace.properties.expansion import Coolant
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_T = TypeVar("_T")
_EVACUATED: Json = {
    "volume": quantity_schema("volume"),
    "residual_pressure": quantity_schema("pressure"),
    "gauge": quantity_schema("pressure"),
    "altitude": quantity_schema("length"),
    "temperature": quantity_schema("temperature"),
    "strength": quantity_schema("ratio"),
    "lift": quantity_schema("length"),
}
_NEEDED = ["volume", "altitude", "temperature"]
_SAMPLE: Json = {
    "volume": {"value": 5.6, "unit": "L"},
    "residual_pressure": {"value": 8, "unit": "kPa"},
    "altitude": {"value": 1900, "unit": "m"},
    "temperature": {"value": 15, "unit": "°C"},
    "strength": {"value": 50, "unit": "%"},
}


def _share(payload: Json, key: str) -> float | None:
    return read_optional(payload, key, "ratio", low=0.0, high=1.0, unit="%")


def _evacuated(payload: Json, run: Callable[..., _T]) -> _T:
    """Run a function with what is common to both fills; a refusal names the key that was typed."""
    altitude = read(payload, "altitude", "length")
    if ("gauge" in payload) == ("residual_pressure" in payload):
        raise Refusal(
            "bad_input",
            "refused.door_fill.give_residual_pressure_else",
            "",
            "accepted.residual_pressure_gauge",
        )
    if "gauge" in payload:
        residual = air.pressure(altitude) - abs(read(payload, "gauge", "pressure"))
    else:
        residual = read(payload, "residual_pressure", "pressure", low=0.0, unit="kPa")
    known: dict[str, Any] = {
        "volume": read(payload, "volume", "volume", unit="L"),
        "residual_pressure": residual,
        "altitude": altitude,
        "temperature": read(payload, "temperature", "temperature"),
        "strength": _share(payload, "strength"),
        "lift": read_optional(payload, "lift", "length") or 0.0,
    }
    try:
        return run(**known)
    except Refusal as refusal:
        typed = "gauge" if "gauge" in payload else "residual_pressure"
        path = typed if refusal.path == "residual_pressure" else refusal.path
        raise refusal.at(path) from None


@operation(
    "fill.reach",
    input=object_schema(
        {
            "altitude": quantity_schema("length"),
            "temperature": quantity_schema("temperature"),
            "glycol": GLYCOL,
            "strength": quantity_schema("ratio"),
        },
        ["altitude", "temperature"],
    ),
    output=object_schema(
        {
            "gauge": quantity_schema("pressure"),
            "residual": quantity_schema("pressure"),
            "limited_by": {"type": "string", "enum": list(get_args(reach.LimitedBy))},
        }
    ),
    sample={
        "altitude": {"value": 2000, "unit": "m"},
        "temperature": {"value": 20, "unit": "°C"},
        "strength": {"value": 50, "unit": "%"},
    },
)
def fill_reach(payload: Json) -> Json:
    """See ``weeptrace.fill.reach.best_vacuum``."""
    rules = limits()
    share = _share(payload, "strength")
    coldest, hottest = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    glycol = payload.get("glycol", "ethylene")
    mass = mass_from_volume(glycol, rules["fill.usual_strength"] if share is None else share)
    found = reach.best_vacuum(
        air.pressure(read(payload, "altitude", "length")),
        Coolant(glycol, mass).vapour(
            read(payload, "temperature", "temperature", low=coldest, high=hottest)
        ),
        rules,
    )
    gauge, residual = found.gauge, found.residual
    return {
        "gauge": give(gauge.value, "kPa", gauge.low, gauge.high),
        "residual": give(residual.value, "kPa", residual.low, residual.high),
        "limited_by": found.limited_by,
    }


@operation(
    "fill.uptake",
    input=object_schema(
        {
            **_EVACUATED,
            "measured": quantity_schema("volume"),
            "pressure_after": quantity_schema("pressure"),
        },
        _NEEDED,
    ),
    output=object_schema(
        {
            "uptake": quantity_schema("volume"),
            "air_left": quantity_schema("volume"),
            "container": quantity_schema("volume"),
            "vacuum_volume": object_schema(
                {"low": quantity_schema("volume"), "high": quantity_schema("volume")}
            ),
            "highest_lift": quantity_schema("length"),
            "judgement": {"type": "string", "enum": list(get_args(uptake.Judgement))},
            "still_to_come": quantity_schema("volume"),
            "look_at": {
                "type": "array",
                "items": {"type": "string", "enum": list(get_args(uptake.LookAt))},
            },
        },
        ["uptake", "air_left", "container", "vacuum_volume", "highest_lift"],
    ),
    sample=_SAMPLE,
)
def fill_uptake(payload: Json) -> Json:
    """See ``weeptrace.fill.uptake.uptake``."""
    measured = read_optional(payload, "measured", "volume", low=0.0, unit="L")
    after = read_optional(payload, "pressure_after", "pressure", low=0.0, unit="kPa")

    def run(**known: Any) -> uptake.Uptake:
        return uptake.uptake(**known, limits=limits(), measured=measured, pressure_after=after)

    found = _evacuated(payload, run)
    volume = found.uptake + found.air_left
    low, high = found.vacuum_volume
    out: Json = {
        "uptake": give(found.uptake, "L", found.low, found.high),
        "air_left": give(found.air_left, "L", volume - found.high, volume - found.low),
        "container": give(found.container, "L"),
        "vacuum_volume": {"low": give(low, "L"), "high": give(high, "L")},
        "highest_lift": give(found.highest_lift, "m"),
    }
    if found.judgement is not None:
        out["judgement"] = found.judgement
        out["look_at"] = list(found.look_at)
    if found.still_to_come is not None:
        out["still_to_come"] = give(found.still_to_come, "L")
    return out


@operation(
    "fill.ran_dry",
    input=object_schema(
        {
            **_EVACUATED,
            "taken": quantity_schema("volume"),
            "second_pressure": quantity_schema("pressure"),
        },
        [*_NEEDED, "taken"],
    ),
    output=object_schema(
        {
            "expected": quantity_schema("volume"),
            "share": quantity_schema("ratio"),
            "air_entered": quantity_schema("volume"),
            "room": quantity_schema("volume"),
            "enough_pressure": quantity_schema("pressure"),
            "second_uptake": quantity_schema("volume"),
            "air_left": quantity_schema("volume"),
            "container": quantity_schema("volume"),
        }
    ),
    sample={**_SAMPLE, "taken": {"value": 3, "unit": "L"}},
)
def fill_ran_dry(payload: Json) -> Json:
    """See ``weeptrace.fill.ran_dry.ran_dry``."""
    taken = read(payload, "taken", "volume", low=0.0, unit="L")
    second = read_optional(payload, "second_pressure", "pressure", low=0.0, unit="kPa")

    def run(**known: Any) -> ran_dry.RanDry:
        return ran_dry.ran_dry(**known, taken=taken, limits=limits(), second_pressure=second)

    found = _evacuated(payload, run)
    return {
        "expected": give(found.expected, "L"),
        "share": give(found.share, "%"),
        "air_entered": give(found.air_entered, "L"),
        "room": give(found.room, "L"),
        "enough_pressure": give(found.enough_pressure, "kPa"),
        "second_uptake": give(found.second_uptake, "L"),
        "air_left": give(found.air_left, "L"),
        "container": give(found.container, "L"),
    }
