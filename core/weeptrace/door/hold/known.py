"""The hold room's operations on a known system: what it stores, what it will show and see."""

from __future__ import annotations

from collections.abc import Mapping

from weeptrace.door.hold.read import (
    PLACE,
    STORED,
    Place,
    density_of,
    read_place,
    read_stored,
    read_volume,
)
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
from weeptrace.hold.data import Drawn, Stored, Strokes
from weeptrace.hold.expected import KnownSystem, pressures
from weeptrace.hold.leak_law import hole, pore
from weeptrace.hold.plan import plan
from weeptrace.hold.pump import efficiency
from weeptrace.hold.settling import creep
from weeptrace.hold.stored import StoredVolume, headspace, hoses_from_two, stored_volume
from weeptrace.hold.warmth import thermal_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

DIVISION = quantity_schema("pressure")
STROKES: Json = {"strokes": 27, "stroke_volume": {"value": 40, "unit": "mL"}}
HUNDRED: Json = {"value": 100, "unit": "kPa"}


def read_pressure(payload: Json, key: str, known: Mapping[str, float], path: str = "") -> float:
    """A gauge pressure in Pa, above zero."""
    return read(payload, key, "pressure", path=path, low=1.0, high=known["hold.highest_pressure"])


def read_system(
    payload: Json, target: float, known: Mapping[str, float]
) -> tuple[Place, Stored, StoredVolume]:
    """Place, what was measured, and the stored volume of a filled system at a target in Pa."""
    place = read_place(payload, known)
    given = read_stored(payload["stored"], False, place.coolant, known)
    noise = 0.0
    if "division" in payload:
        high = known["hold.highest_pressure"]
        division = read(payload, "division", "pressure", low=1.0, high=high)
        noise = known["hold.noise_divisions"] * division
    elif isinstance(given, Drawn):
        raise Refusal(
            "missing",
            "refused.door_hold.fall_difference_two_looks",
            "division",
            "accepted.one_division_gauge_above_kpa",
        )
    if "hoses" in payload:
        share = known["hold.hose_compliance_uncertainty"] / known["hold.hose_compliance"]
        hoses = read(payload, "hoses", "compliance", low=1e-12)
        known = {
            **known,
            "hold.hose_compliance": hoses,
            "hold.hose_compliance_uncertainty": share * hoses,
        }
    start = read_pressure(payload, "pressure", known)
    vapour = place.coolant.vapour(place.temperature)
    stored = stored_volume(given, start, target, place.atmosphere, vapour, known, noise)
    return place, given, stored


def read_target(payload: Json, known: Mapping[str, float]) -> float:
    """The target in Pa, else the pressure at the end of pumping."""
    return read_pressure(payload, "target" if "target" in payload else "pressure", known)


def compliance_json(stored: StoredVolume, known: Mapping[str, float]) -> Json:
    """The compliance with its 95 % interval."""
    wide = known["hold.interval_factor"] * (stored.uncertainty or 0.0)
    c = stored.compliance
    return interval(Estimate(c, max(c - wide, 0.0), c + wide), "mL/kPa")


SYSTEM: Json = {
    "stored": STORED,
    "pressure": quantity_schema("pressure"),
    "target": quantity_schema("pressure"),
    "division": DIVISION,
    "hoses": quantity_schema("compliance"),
    **PLACE,
}


@operation(
    "hold.stored_volume",
    input=object_schema(SYSTEM, ["stored", "pressure"]),
    output=object_schema(
        {
            "compliance": quantity_schema("compliance"),
            "hoses": quantity_schema("compliance"),
            "gas": quantity_schema("volume"),
            "headspace": quantity_schema("volume"),
            "pump_efficiency": quantity_schema("ratio"),
        },
        ["compliance", "hoses", "gas", "headspace"],
    ),
    sample={"stored": STROKES, "pressure": HUNDRED},
)
def _stored_volume(payload: Json) -> Json:
    known = limits()
    target = read_target(payload, known)
    place, given, stored = read_system(payload, target, known)
    start = read_pressure(payload, "pressure", known)
    out = {
        "compliance": compliance_json(stored, known),
        "hoses": give(stored.hoses, "mL/kPa"),
        "gas": give(stored.gas / (target + place.dry), "mL"),
        "headspace": give(headspace(stored, start, place.dry), "mL"),
    }
    if isinstance(given, Strokes):
        out["pump_efficiency"] = give(efficiency(given, start, place.atmosphere), "%")
    return out


_HOLD = object_schema(
    {
        "fall": quantity_schema("pressure_rate"),
        "gas": quantity_schema("volume"),
    }
)


@operation(
    "hold.hoses",
    input=object_schema(
        {"first": _HOLD, "second": _HOLD, "pressure": quantity_schema("pressure"), **PLACE},
        ["first", "second", "pressure"],
    ),
    output=object_schema({"hoses": quantity_schema("compliance")}),
    sample={
        "first": {"fall": {"value": 0.8, "unit": "kPa/min"}, "gas": {"value": 150, "unit": "mL"}},
        "second": {"fall": {"value": 0.182, "unit": "kPa/min"}, "gas": {"value": 1, "unit": "L"}},
        "pressure": HUNDRED,
    },
)
def _hoses(payload: Json) -> Json:
    known = limits()
    first, second = (
        (
            read(payload[key], "fall", "pressure_rate", path=key, low=0.0),
            read_volume(payload[key], "gas", known, key) or 0.0,
        )
        for key in ("first", "second")
    )
    dry = read_pressure(payload, "pressure", known) + read_place(payload, known).dry
    return {"hoses": give(hoses_from_two(first, second, dry), "mL/kPa")}


_PER_KELVIN = object_schema(
    {part: quantity_schema("volume") for part in ("liquid", "gas", "vapour", "total")}
)


@operation(
    "hold.expected",
    input=object_schema(
        {
            **SYSTEM,
            "times": {"type": "array", "items": quantity_schema("time"), "maxItems": 500},
            "liquid_volume": quantity_schema("volume"),
            "leak_flow": quantity_schema("volume_flow"),
            "exponent": {"type": "number", "minimum": 0.3, "maximum": 2.5},
            "creep_share": quantity_schema("ratio"),
            "creep_time": quantity_schema("time"),
            "warming": quantity_schema("temperature_rate"),
        },
        ["stored", "pressure", "times"],
    ),
    output=object_schema(
        {
            "points": {
                "type": "array",
                "items": object_schema(
                    {
                        "time": quantity_schema("time"),
                        "pressure": quantity_schema("pressure"),
                        "settling": quantity_schema("volume_flow"),
                    }
                ),
            },
            "compliance": quantity_schema("compliance"),
            "per_kelvin": _PER_KELVIN,
            "drift": quantity_schema("volume_flow"),
            "hole": quantity_schema("length"),
            "pore": quantity_schema("length"),
        },
        ["points", "compliance", "per_kelvin", "drift", "pore"],
    ),
    sample={
        "stored": STROKES,
        "pressure": HUNDRED,
        "times": [{"value": minute, "unit": "min"} for minute in (0, 1, 5, 15)],
        "leak_flow": {"value": 1.2, "unit": "mL/min"},
        "creep_share": {"value": 3, "unit": "%"},
        "warming": {"value": -0.1, "unit": "K/min"},
    },
)
def _expected(payload: Json) -> Json:
    known = limits()
    target = read_target(payload, known)
    place, _, stored = read_system(payload, target, known)
    start = read_pressure(payload, "pressure", known)
    times = sorted(
        read({"time": time}, "time", "time", path=f"times[{index}]", low=0.0)
        for index, time in enumerate(payload["times"])
    )
    liquid = read_volume(payload, "liquid_volume", known)
    warming = read_optional(payload, "warming", "temperature_rate") or 0.0
    flow = read_optional(payload, "leak_flow", "volume_flow", low=0.0) or 0.0
    share = read_optional(payload, "creep_share", "ratio", low=0.0, high=1.0, unit="%") or 0.0
    tau = read_optional(payload, "creep_time", "time", low=1.0) or known["hold.creep_time"]
    per_kelvin = thermal_volume(
        place.temperature + 0.5 * warming * (times[-1] if times else 0.0),
        known["hold.liquid_volume_unknown"] if liquid is None else liquid,
        stored.gas / (target + place.dry),
        target + place.dry,
        place.coolant,
        known,
    )
    system = KnownSystem(
        stored,
        target,
        place.dry,
        per_kelvin.total,
        warming,
        flow,
        payload.get("exponent", known["hold.exponent"]),
        share,
        tau,
    )
    out = {
        "points": [
            {
                "time": give(time, "min"),
                "pressure": give(pressure, "kPa"),
                "settling": give(creep(stored.hoses, share, start, tau, time), "mL/min"),
            }
            for time, pressure in zip(times, pressures(system, start, times), strict=True)
        ],
        "compliance": compliance_json(stored, known),
        "per_kelvin": {
            part: give(getattr(per_kelvin, part), "mL")
            for part in ("liquid", "gas", "vapour", "total")
        },
        "drift": give(per_kelvin.total * warming, "mL/min"),
        "pore": give(pore(target), "mm"),
    }
    if flow > 0.0:
        out["hole"] = give(hole(flow, target, density_of(place.coolant)), "mm")
    return out


@operation(
    "hold.plan",
    input=object_schema(
        {
            **SYSTEM,
            "duration": quantity_schema("time"),
            "count": {"type": "integer", "minimum": 2, "maximum": 2000},
            "waited": quantity_schema("time"),
            "liquid_volume": quantity_schema("volume"),
            "self_leak": quantity_schema("pressure_rate"),
        },
        ["stored", "pressure", "division", "duration", "count"],
    ),
    output=object_schema(
        {
            "slope_uncertainty": quantity_schema("pressure_rate"),
            "by_needle": quantity_schema("volume_flow"),
            "by_drift": quantity_schema("volume_flow"),
            "by_settling": quantity_schema("volume_flow"),
            "by_tester": quantity_schema("volume_flow"),
            "not_larger_than": quantity_schema("loss_per_distance"),
            "not_larger_than_flow": quantity_schema("volume_flow"),
            "smallest_detectable": quantity_schema("loss_per_distance"),
            "smallest_detectable_flow": quantity_schema("volume_flow"),
        }
    ),
    sample={
        "stored": {"compliance": {"value": 1, "unit": "mL/kPa"}},
        "pressure": HUNDRED,
        "division": {"value": 2, "unit": "kPa"},
        "duration": {"value": 15, "unit": "min"},
        "count": 16,
        "waited": {"value": 3, "unit": "min"},
        "liquid_volume": {"value": 7, "unit": "L"},
    },
)
def _plan(payload: Json) -> Json:
    known = limits()
    target = read_target(payload, known)
    place, _, stored = read_system(payload, target, known)
    span, count = read(payload, "duration", "time", low=1.0), payload["count"]
    liquid = read_volume(payload, "liquid_volume", known)
    per_kelvin = thermal_volume(
        place.temperature,
        known["hold.liquid_volume_unknown"] if liquid is None else liquid,
        stored.gas / (target + place.dry),
        target + place.dry,
        place.coolant,
        known,
    )
    found = plan(
        [span * k / (count - 1) for k in range(count)],
        known["hold.noise_divisions"] * read(payload, "division", "pressure"),
        stored.compliance,
        known,
        per_kelvin=per_kelvin.total,
        hoses=stored.hoses,
        pressure=read_pressure(payload, "pressure", known),
        waited=read_optional(payload, "waited", "time", low=0.0) or 0.0,
        self_leak=read_optional(payload, "self_leak", "pressure_rate", low=0.0) or 0.0,
    )
    flows = {
        "by_needle": found.by_needle,
        "by_drift": found.by_drift,
        "by_settling": found.by_settling,
        "by_tester": found.by_tester,
        "not_larger_than_flow": found.not_larger_than,
        "smallest_detectable_flow": found.smallest_detectable,
    }
    exposure = known["hold.exposure"]
    return {
        "slope_uncertainty": give(found.slope_sd, "kPa/min"),
        **{name: give(flow, "mL/min") for name, flow in flows.items()},
        "not_larger_than": give(found.not_larger_than * exposure, "L/1000 km"),
        "smallest_detectable": give(found.smallest_detectable * exposure, "L/1000 km"),
    }
