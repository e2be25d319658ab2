"""The filling room's operations on heat: the margin to boiling, and what cooling draws."""

from __future__ import annotations

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
from weeptrace.fill import boil
from weeptrace.fill.contraction import contraction
from weeptrace.finding import Estimate
from weeptrace.properties import air
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.rules import limits
from weeptrace.warmup.data import Cold

_YES_NO: Json = {"type": "string", "enum": ["yes", "no"]}
_KELVIN = quantity_schema("temperature")
_JUDGED: Json = {"type": "string", "enum": list(get_args(boil.Margin))}


@operation(
    "fill.boil_margin",
    input=object_schema(
        {
            "glycol": GLYCOL,
            "strength": quantity_schema("ratio"),
            "altitude": quantity_schema("length"),
            "rated": quantity_schema("pressure"),
            "opens": quantity_schema("pressure"),
            "holds": {"type": "string", "enum": list(get_args(boil.Holds))},
            "level_low": _YES_NO,
            "outlet_idle": quantity_schema("temperature"),
            "outlet_load": quantity_schema("temperature"),
        },
        ["strength", "altitude", "rated"],
    ),
    output=object_schema(
        {
            "pressure": quantity_schema("pressure"),
            "boiling_point": quantity_schema("temperature"),
            "at_rating": quantity_schema("temperature"),
            "without_cap": quantity_schema("temperature"),
            "lost_without_cap": _KELVIN,
            "cap": {"type": "string", "enum": list(get_args(boil.Cap))},
            "margin_idle": _KELVIN,
            "margin_load": _KELVIN,
            "idle": _JUDGED,
            "load": _JUDGED,
            "highest_outlet": quantity_schema("temperature"),
        },
        [
            "pressure",
            "boiling_point",
            "at_rating",
            "without_cap",
            "lost_without_cap",
            "cap",
            "idle",
            "load",
            "highest_outlet",
        ],
    ),
    sample={
        "strength": {"value": 50, "unit": "%"},
        "altitude": {"value": 1200, "unit": "m"},
        "rated": {"value": 110, "unit": "kPa"},
        "opens": {"value": 110, "unit": "kPa"},
        "outlet_load": {"value": 112, "unit": "°C"},
    },
)
def fill_boil_margin(payload: Json) -> Json:
    """See ``weeptrace.fill.boil.boil_margin``."""
    rules = limits()
    coldest, hottest = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    outlets = {
        key: read_optional(payload, key, "temperature", low=coldest, high=hottest)
        for key in ("outlet_idle", "outlet_load")
    }
    found = boil.boil_margin(
        strength=read(payload, "strength", "ratio", low=0.0, high=1.0, unit="%"),
        altitude=read(payload, "altitude", "length"),
        rated=read(payload, "rated", "pressure"),
        opens=read_optional(payload, "opens", "pressure"),
        glycol=payload.get("glycol", "ethylene"),
        limits=rules,
        holds=payload.get("holds", "not_tested"),
        level_low=payload.get("level_low") == "yes",
        outlet_idle=outlets["outlet_idle"],
        outlet_load=outlets["outlet_load"],
    )
    out: Json = {
        "pressure": give(found.pressure, "kPa"),
        "boiling_point": give(found.boiling, "°C"),
        "at_rating": give(found.at_rating, "°C"),
        "without_cap": give(found.without_cap, "°C"),
        "lost_without_cap": give(found.lost, "K"),
        "cap": found.cap,
        "idle": found.judged_idle,
        "load": found.judged_load,
        "highest_outlet": give(found.highest_outlet, "°C"),
    }
    margins = {"margin_idle": found.idle, "margin_load": found.load}
    return {**out, **{key: give(m, "K") for key, m in margins.items() if m is not None}}


@operation(
    "fill.contraction",
    input=object_schema(
        {
            "hot": quantity_schema("temperature"),
            "cool": quantity_schema("temperature"),
            "liquid_volume": quantity_schema("volume"),
            "headspace": quantity_schema("volume"),
            "pressure": quantity_schema("pressure"),
            "altitude": quantity_schema("length"),
            "area": quantity_schema("area"),
            "glycol": GLYCOL,
            "strength": quantity_schema("ratio"),
        },
        ["hot", "cool", "liquid_volume"],
    ),
    output=object_schema(
        {
            "shrinks": quantity_schema("volume"),
            "falls": quantity_schema("length"),
            "vacuum": quantity_schema("pressure"),
            "with_return_valve": quantity_schema("pressure"),
        },
        ["shrinks"],
    ),
    sample={
        "hot": {"value": 90, "unit": "°C"},
        "cool": {"value": 20, "unit": "°C"},
        "liquid_volume": {"value": 8, "unit": "L"},
        "headspace": {"value": 1, "unit": "L"},
        "area": {"value": 100, "unit": "cm²"},
    },
)
def fill_contraction(payload: Json) -> Json:
    """See ``weeptrace.fill.contraction.contraction``."""
    rules = limits()
    coldest, hottest = rules["hold.lowest_temperature"], rules["hold.highest_temperature"]
    most, glycol = rules["hold.largest_volume"], payload.get("glycol", "ethylene")
    share = read_optional(payload, "strength", "ratio", low=0.0, high=1.0, unit="%")
    altitude = read_optional(payload, "altitude", "length")
    highest = rules["hold.highest_pressure"]
    found = contraction(
        cold=Cold(
            headspace=read_optional(payload, "headspace", "volume", high=most, unit="L"),
            liquid_volume=read(payload, "liquid_volume", "volume", high=most, unit="L"),
            atmosphere=air.pressure(0.0 if altitude is None else altitude),
            glycol=glycol,
            mass_fraction=None if share is None else mass_from_volume(glycol, share),
        ),
        hot=read(payload, "hot", "temperature", low=coldest, high=hottest),
        cool=read(payload, "cool", "temperature", low=coldest, high=hottest),
        limits=rules,
        area=read_optional(payload, "area", "area"),
        pressure=read_optional(payload, "pressure", "pressure", low=0.0, high=highest) or 0.0,
    )
    given = {
        "shrinks": (found.shrinks, "L"),
        "falls": (found.falls, "mm"),
        "vacuum": (found.vacuum, "kPa"),
        "with_return_valve": (found.with_return_valve, "kPa"),
    }
    return {key: _give(value, unit) for key, (value, unit) in given.items() if value is not None}


def _give(found: Estimate, unit: str) -> Json:
    return give(found.value, unit, found.low, found.high)
