"""The hold room's operation: a hold under pressure or vacuum, from readings to a verdict."""

from __future__ import annotations

from typing import get_args

from weeptrace.door.hold.read import (
    PLACE,
    READING,
    STORED,
    read_place,
    read_readings,
    read_share,
    read_stored,
    read_temperature,
    read_volume,
    refuse_mixed_signs,
)
from weeptrace.door.hold.show import OUTPUT, assessment_json
from weeptrace.door.registry import (
    Json,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.hold.data import Action, ActionKind, Hold
from weeptrace.rules import limits

INPUT = object_schema(
    {
        "kind": {"type": "string", "enum": ["pressure", "vacuum"]},
        "medium": {"type": "string", "enum": ["coolant", "air"]},
        "readings": {"type": "array", "items": READING, "maxItems": 2000},
        "division": quantity_schema("pressure"),
        "target": quantity_schema("pressure"),
        "rated": quantity_schema("pressure"),
        "altitude": PLACE["altitude"],
        "stored": STORED,
        "liquid_volume": quantity_schema("volume"),
        "glycol": PLACE["glycol"],
        "strength": PLACE["strength"],
        "self_leak": quantity_schema("pressure_rate"),
        "actions": {
            "type": "array",
            "items": object_schema(
                {
                    "kind": {"type": "string", "enum": list(get_args(ActionKind))},
                    "time": quantity_schema("time"),
                }
            ),
        },
        "owner_rate": quantity_schema("loss_per_distance"),
        "planned": quantity_schema("time"),
        "ambient_temperature": quantity_schema("temperature"),
        "wet": {
            "type": "boolean",
        },
        "engine_temperature": quantity_schema("temperature"),
    },
    ["kind", "medium", "readings", "division"],
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
    input=INPUT,
    output=OUTPUT,
    sample=SAMPLE,
)
def _assess(payload: Json) -> Json:
    from weeptrace.hold.assess import assess  # only here: a list of operations fits nothing

    known = limits()
    highest = known["hold.highest_pressure"]
    place = read_place(payload, known)
    altitude = read_optional(payload, "altitude", "length")
    vacuum = payload["kind"] == "vacuum"
    drained = vacuum or payload["medium"] == "air"
    deepest = place.atmosphere if vacuum else 0.0
    hold = Hold(
        readings=read_readings(payload["readings"], deepest, known),
        kind=payload["kind"],
        medium=payload["medium"],
        division=read(payload, "division", "pressure", low=1.0, high=highest),
        target=read_optional(payload, "target", "pressure", low=1.0, high=highest),
        rated=read_optional(payload, "rated", "pressure", low=1.0, high=highest),
        atmosphere=None if altitude is None else place.atmosphere,
        glycol=place.coolant.glycol,
        mass_fraction=read_share(payload),
        stored=read_stored(payload["stored"], drained, place.coolant, known)
        if "stored" in payload
        else None,
        liquid_volume=read_volume(payload, "liquid_volume", known),
        self_leak=read_optional(payload, "self_leak", "pressure_rate", low=0.0),
        actions=tuple(
            Action(action["kind"], read(action, "time", "time", path=f"actions[{index}]"))
            for index, action in enumerate(payload.get("actions", ()))
        ),
        owner_rate=read_optional(payload, "owner_rate", "loss_per_distance", low=0.0),
        planned=read_optional(payload, "planned", "time", low=0.0),
        ambient_temperature=read_temperature(payload, "ambient_temperature", "", known),
        wet=payload.get("wet"),
        engine_temperature=read_temperature(payload, "engine_temperature", "", known),
    )
    if vacuum:
        refuse_mixed_signs(hold)
    return assessment_json(assess(hold, known))
