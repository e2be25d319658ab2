"""The property room's operation on screw threads."""

from __future__ import annotations

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.properties.thread import thread


@operation(
    "properties.thread",
    input=object_schema(
        {
            "diameter": quantity_schema("length", default_unit="mm"),
            "pitch": quantity_schema("length", default_unit="mm"),
        },
        ["diameter"],
    ),
    output=object_schema(
        {
            "pitch": quantity_schema("length"),
            "tap_drill": quantity_schema("length"),
            "nut_bore": quantity_schema("length"),
            "screw_core": quantity_schema("length"),
            "flank_diameter": quantity_schema("length"),
        }
    ),
    sample={"diameter": {"value": 6, "unit": "mm"}},
)
def metric_thread(payload: Json) -> Json:
    """ISO 261's coarse pitch where none is given."""
    diameter = read(payload, "diameter", "length", low=0.0, high=0.1, unit="mm")
    found = thread(
        diameter, read_optional(payload, "pitch", "length", low=0.0, high=0.01, unit="mm")
    )
    return {
        "pitch": give(found.pitch, "mm"),
        "tap_drill": give(found.tap_drill, "mm"),
        "nut_bore": give(found.nut_bore, "mm"),
        "screw_core": give(found.screw_core, "mm"),
        "flank_diameter": give(found.flank, "mm"),
    }
