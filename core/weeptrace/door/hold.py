"""The hold room's operation: a hold under pressure or vacuum, from readings to a verdict."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    range_words,
    read,
    read_optional,
)
from weeptrace.hold.assess import assess
from weeptrace.hold.data import (
    Action,
    ActionKind,
    Assessment,
    Compliance,
    Estimate,
    EvacuatedVolume,
    Headspace,
    Hold,
    Reading,
    Stored,
    Strokes,
    Verdict,
)
from weeptrace.properties import air
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

FILLED_FORMS = "{strokes, stroke_volume}, {compliance} or {headspace}"
DRAINED_FORMS = "{evacuated_volume}"

READING = object_schema(
    {
        "time": quantity_schema("time"),
        "pressure": quantity_schema(
            "pressure", "gauge, as the needle stood; a vacuum with either sign, the same throughout"
        ),
        "temperature": quantity_schema("temperature", "of the engine or its liquid"),
    },
    ["time", "pressure"],
)
STORED = object_schema(
    {
        "strokes": {"type": "number", "exclusiveMinimum": 0, "maximum": 5000},
        "stroke_volume": quantity_schema("volume", "outside air per stroke"),
        "compliance": quantity_schema("compliance", "of the whole system at the target"),
        "headspace": quantity_schema("volume", "gas above the liquid at zero gauge"),
        "evacuated_volume": quantity_schema(
            "volume", "of a drained system, about what was drained and was missing"
        ),
    },
    [],
)
POINT = object_schema(
    {
        "time": quantity_schema("time"),
        "pressure": quantity_schema("pressure", "low and high: 95 % band of the fit"),
        "limit": quantity_schema(
            "pressure", "the same hold with a leak just between seeping and leaking"
        ),
    },
    ["time", "pressure"],
)
INPUT = object_schema(
    {
        "kind": {"type": "string", "enum": ["pressure", "vacuum"]},
        "medium": {"type": "string", "enum": ["coolant", "air"]},
        "readings": {"type": "array", "items": READING, "maxItems": 2000},
        "division": quantity_schema("pressure", "one division of the gauge"),
        "target": quantity_schema("pressure", "gauge; without it the start of the hold"),
        "rated": quantity_schema("pressure", "lowest rating in the circuit, gauge"),
        "altitude": quantity_schema("length", "without it 0 m is assumed"),
        "stored": STORED,
        "liquid_volume": quantity_schema("volume"),
        "glycol": {"type": "string", "enum": ["ethylene", "propylene"]},
        "strength": quantity_schema("ratio", "glycol by volume"),
        "self_leak": quantity_schema("pressure_rate", "the tester's own fall on a blank"),
        "actions": {
            "type": "array",
            "items": object_schema(
                {
                    "kind": {"type": "string", "enum": list(get_args(ActionKind))},
                    "time": quantity_schema("time"),
                }
            ),
        },
        "owner_rate": quantity_schema("loss_per_distance", "what the owner tells"),
        "planned": quantity_schema("time", "duration planned; readings are looked at as they come"),
        "ambient_temperature": quantity_schema("temperature"),
        "engine_temperature": quantity_schema(
            "temperature", "of a drained system, for its vapour, where readings have none"
        ),
    },
    ["kind", "medium", "readings", "division"],
)
OUTPUT = object_schema(
    {
        "verdict": {"type": "string", "enum": list(get_args(Verdict))},
        "reason": object_schema({"code": {"type": "string"}, "message": {"type": "string"}}),
        "explanations": {
            "type": "object",
            "description": "weights of tight, settling, leak, leak_and_settling; of a vacuum of "
            "tight, settling, air_leak, vapour, both; they sum to 1",
            "additionalProperties": {"type": "number"},
        },
        "rate": quantity_schema(
            "pressure_rate", "fall (leak-up of a vacuum) by the leak alone at the target"
        ),
        "leak_flow": quantity_schema(
            "volume_flow", "at the target; of a drained system as liquid, low and high by both ways"
        ),
        "air_flow": quantity_schema("volume_flow", "of air at the atmosphere, drained system"),
        "liquid_equivalent": {
            **object_schema(
                {
                    "orifice": quantity_schema("volume_flow", "as through a sharp hole"),
                    "laminar": quantity_schema("volume_flow", "as through a fine crack"),
                }
            ),
            "description": "hot coolant at the rated pressure through the opening that lets this "
            "air through. Bounds for the same direction only: a hose that a vacuum sucks tight may "
            "leak under pressure, a flap seal the other way round.",
        },
        "residual_fraction": quantity_schema("ratio", "absolute pressure reached, of atmosphere"),
        "best_vacuum": quantity_schema(
            "pressure",
            "gauge; what this place and engine allow with a usual pump, a good one (low), and just "
            "within the limit (high)",
        ),
        "per_1000_km": quantity_schema("loss_per_distance", "leak flow times the exposure"),
        "not_larger_than": quantity_schema("loss_per_distance", "one-sided 95 % upper limit"),
        "not_larger_than_flow": quantity_schema("volume_flow", "the same as a flow"),
        "smallest_detectable": quantity_schema(
            "loss_per_distance", "what such a hold flags with 95 % chance; to plan with"
        ),
        "smallest_detectable_flow": quantity_schema("volume_flow", "the same as a flow"),
        "exponent": object_schema({"value": {"type": "number"}, "assumed": {"type": "boolean"}}),
        "compliance": quantity_schema("compliance", "of the whole system at the target"),
        "target": quantity_schema("pressure", "where rate and flow are given, gauge"),
        "more_time": quantity_schema("time", "from now, until the hold says more"),
        "suspect_readings": {
            "type": "array",
            "items": {"type": "integer"},
            "description": "places in readings, from 0, of those that should be read again",
        },
        "curve": {"type": "array", "items": POINT},
        "fall": quantity_schema(
            "pressure_rate", "straight line through all readings, towards zero, unjudged"
        ),
        "noise": quantity_schema("pressure", "standard deviation of a reading, as used"),
        "look_factor": {"type": "number", "description": "standard errors a claim needed"},
        "assumed": {
            "type": "array",
            "items": {"type": "string"},
            "description": "what was not measured and had to be assumed",
        },
    },
    ["verdict", "explanations", "suspect_readings", "curve", "assumed"],
)


def _quantity(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


SAMPLE: Json = {
    "kind": "pressure",
    "medium": "coolant",
    "readings": [
        {"time": _quantity(minute, "min"), "pressure": _quantity(pressure, "kPa")}
        for minute, pressure in (
            (0, 110),
            (1, 108.3),
            (3, 105.7),
            (5, 103.6),
            (10, 98.6),
            (15, 94),
        )
    ],
    "division": _quantity(2, "kPa"),
    "rated": _quantity(110, "kPa"),
    "altitude": _quantity(190, "m"),
    "stored": {"strokes": 5.4, "stroke_volume": _quantity(40, "mL")},
    "liquid_volume": _quantity(7.5, "L"),
}
VACUUM_SAMPLE: Json = {
    "kind": "vacuum",
    "medium": "air",
    "readings": [
        {"time": _quantity(minute, "min"), "pressure": _quantity(pressure, "kPa")}
        for minute, pressure in (
            (0, -72.5),
            (1, -70.1),
            (2, -67.7),
            (3, -65.3),
            (5, -60.5),
            (8, -53.3),
            (10, -48.5),
        )
    ],
    "division": _quantity(1, "kPa"),
    "rated": _quantity(110, "kPa"),
    "altitude": _quantity(1900, "m"),
    "stored": {"evacuated_volume": _quantity(5.6, "L")},
    "engine_temperature": _quantity(15, "°C"),
}
INPUT["examples"] = [SAMPLE, VACUUM_SAMPLE]


@operation(
    "hold.assess",
    "Judge a hold, of coolant, dry air or a vacuum: verdict, leak, and what it couldn't have seen.",
    input=INPUT,
    output=OUTPUT,
    sample=SAMPLE,
)
def _assess(payload: Json) -> Json:
    known = limits()
    highest = known["hold.highest_pressure"]
    glycol = payload.get("glycol", "ethylene")
    strength = read_optional(payload, "strength", "ratio", low=0.0, high=1.0, unit="%")
    altitude = read_optional(payload, "altitude", "length")
    vacuum = payload["kind"] == "vacuum"
    drained = vacuum or payload["medium"] == "air"
    atmosphere = None if altitude is None else air.pressure(altitude)
    deepest = (air.SEA_LEVEL if atmosphere is None else atmosphere) if vacuum else 0.0
    hold = Hold(
        readings=_readings(payload["readings"], deepest, known),
        kind=payload["kind"],
        medium=payload["medium"],
        division=read(payload, "division", "pressure", low=1.0, high=highest),
        target=read_optional(payload, "target", "pressure", low=1.0, high=highest),
        rated=read_optional(payload, "rated", "pressure", low=1.0, high=highest),
        atmosphere=atmosphere,
        glycol=glycol,
        mass_fraction=None if strength is None else mass_from_volume(glycol, strength),
        stored=_stored(payload["stored"], drained, known) if "stored" in payload else None,
        liquid_volume=_volume(payload, "liquid_volume", known),
        self_leak=read_optional(payload, "self_leak", "pressure_rate", low=0.0),
        actions=tuple(
            Action(action["kind"], read(action, "time", "time", path=f"actions[{index}]"))
            for index, action in enumerate(payload.get("actions", ()))
        ),
        owner_rate=read_optional(payload, "owner_rate", "loss_per_distance", low=0.0),
        planned=read_optional(payload, "planned", "time", low=0.0),
        ambient_temperature=_temperature(payload, "ambient_temperature", "", known),
        engine_temperature=_temperature(payload, "engine_temperature", "", known),
    )
    if vacuum:
        _refuse_mixed_signs(hold)
    return assessment_json(assess(hold, known))


def _readings(items: list[Json], deepest: float, known: Mapping[str, float]) -> tuple[Reading, ...]:
    """The readings; ``deepest``: the atmosphere in Pa for a vacuum, which has either sign, or 0."""
    made: list[Reading] = []
    seen: dict[float, int] = {}
    for index, item in enumerate(items):
        path = f"readings[{index}]"
        time = read(item, "time", "time", path=path)
        if time in seen:
            raise Refusal(
                "repeated_time",
                f"Readings {seen[time]} and {index} have the same time. Take one of them out.",
                f"{path}.time",
                "a time of its own for each reading",
            )
        seen[time] = index
        high = known["hold.highest_pressure"]
        if deepest > 0.0:
            pressure = _vacuum(item, path, deepest)
        else:
            pressure = read(item, "pressure", "pressure", path=path, low=0.0, high=high)
        made.append(Reading(time, pressure, _temperature(item, "temperature", path, known)))
    return tuple(made)


def _vacuum(item: Json, path: str, deepest: float) -> float:
    pressure = read(item, "pressure", "pressure", path=path)
    if abs(pressure) > deepest * (1.0 + 1e-9):
        unit = item["pressure"]["unit"]
        accepted = range_words(0.0, deepest, unit)
        raise Refusal(
            "out_of_range",
            f"A vacuum of {abs(item['pressure']['value']):g} {unit} is deeper than the atmosphere "
            f"of this place; accepted is {accepted}, with either sign. Check the reading, its unit "
            "and the altitude.",
            f"{path}.pressure",
            accepted,
        )
    return pressure


def _refuse_mixed_signs(hold: Hold) -> None:
    above = [i for i, r in enumerate(hold.readings) if r.pressure > hold.division]
    below = [i for i, r in enumerate(hold.readings) if r.pressure < -hold.division]
    if above and below:
        raise Refusal(
            "mixed_signs",
            f"Reading {above[0]} is above zero and reading {below[0]} below. Type a vacuum with "
            "one sign throughout, such as -72 or 72 for 72 kPa below the atmosphere.",
            f"readings[{max(above[0], below[0])}].pressure",
            "one sign throughout",
        )


def _temperature(item: Json, key: str, path: str, known: Mapping[str, float]) -> float | None:
    low, high = known["hold.lowest_temperature"], known["hold.highest_temperature"]
    return read_optional(item, key, "temperature", path=path, low=low, high=high)


def _volume(item: Json, key: str, known: Mapping[str, float], path: str = "") -> float | None:
    high = known["hold.largest_volume"]
    return read_optional(item, key, "volume", path=path, low=0.0, high=high)


def _stored(item: Json, drained: bool, known: Mapping[str, float]) -> Stored:
    keys = set(item)
    if drained:
        if keys == {"evacuated_volume"}:
            volume = _volume(item, "evacuated_volume", known, "stored")
            if volume:
                return EvacuatedVolume(volume)
        raise Refusal(
            "bad_input",
            "What a drained system stores is its evacuated volume, above zero; "
            f"this has {', '.join(sorted(keys)) or 'nothing'}.",
            "stored",
            DRAINED_FORMS,
        )
    if keys == {"strokes", "stroke_volume"}:
        volume = _volume(item, "stroke_volume", known, "stored")
        if volume:
            return Strokes(float(item["strokes"]), volume)
    elif keys == {"headspace"}:
        return Headspace(_volume(item, "headspace", known, "stored") or 0.0)
    elif keys == {"compliance"}:
        value = read(item, "compliance", "compliance", path="stored", low=0.0)
        if value > 0.0:
            return Compliance(value)
    raise Refusal(
        "bad_input",
        "The stored volume is given as pump strokes with the volume of a stroke, as a compliance, "
        f"or as a headspace, above zero; this has {', '.join(sorted(keys)) or 'nothing'}.",
        "stored",
        FILLED_FORMS,
    )


def _interval(estimate: Estimate, unit: str) -> Json:
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
    out |= {key: _interval(e, unit) for key, (e, unit) in estimates.items() if e is not None}
    plain: dict[str, tuple[float | None, str]] = {
        "not_larger_than": (found.not_larger_than, "L/1000 km"),
        "not_larger_than_flow": (found.not_larger_than_flow, "mL/min"),
        "smallest_detectable": (found.smallest_detectable, "L/1000 km"),
        "smallest_detectable_flow": (found.smallest_detectable_flow, "mL/min"),
        "target": (found.target, "kPa"),
        "more_time": (found.more_time, "min"),
        "noise": (found.noise, "kPa"),
        "residual_fraction": (found.residual_fraction, "%"),
    }
    out |= {key: give(value, unit) for key, (value, unit) in plain.items() if value is not None}
    if found.liquid_equivalent is not None:
        pair = found.liquid_equivalent
        out["liquid_equivalent"] = {
            "orifice": _interval(pair.orifice, "mL/min"),
            "laminar": _interval(pair.laminar, "mL/min"),
        }
    if found.look_factor is not None:
        out["look_factor"] = found.look_factor
    return out
