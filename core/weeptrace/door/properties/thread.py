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
    "Metric screw thread: its pitch, its diameters, and the hole to drill for a tap.",
    input=object_schema(
        {
            "diameter": quantity_schema("length", "nominal: 6 mm for M6"),
            "pitch": quantity_schema("length", "of a fine thread; the coarse one if absent"),
        },
        ["diameter"],
    ),
    output=object_schema(
        {
            "pitch": quantity_schema("length"),
            "tap_drill": quantity_schema("length", "diameter less pitch"),
            "nut_bore": quantity_schema("length", "smallest diameter inside a nut"),
            "screw_core": quantity_schema("length", "diameter of a screw at the root"),
            "flank_diameter": quantity_schema("length", "where tooth and gap are as wide"),
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
