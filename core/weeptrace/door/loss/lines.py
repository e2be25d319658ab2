"""The loss room's operation on the transmission's cooler and lines."""

from __future__ import annotations

from typing import get_args

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read,
    read_optional,
)
from weeptrace.loss import lines
from weeptrace.rules import limits


@operation(
    "loss.lines",
    input=object_schema(
        {
            "caught": quantity_schema("mass"),
            "density": quantity_schema("density"),
            "spilled": quantity_schema("volume"),
            "cooler": quantity_schema("volume"),
            "lines": object_schema(
                {
                    "diameter": quantity_schema("length", default_unit="mm"),
                    "length": quantity_schema("length"),
                }
            ),
            "container": quantity_schema("volume"),
        },
        ["caught"],
    ),
    output=object_schema(
        {
            "out": quantity_schema("volume"),
            "in": quantity_schema("volume"),
            "to_order": quantity_schema("volume"),
            "expected": quantity_schema("volume"),
            "judgement": {"type": "string", "enum": list(get_args(lines.Judgement))},
            "usual": {
                "type": "string",
                "enum": list(get_args(lines.Usual)),
            },
            "check_level_again": {
                "type": "string",
                "enum": ["yes", "no", "not_judged"],
            },
        },
        ["out", "in", "to_order", "judgement", "usual", "check_level_again"],
    ),
    sample={
        "caught": {"value": 430, "unit": "g"},
        "lines": {"diameter": {"value": 8, "unit": "mm"}, "length": {"value": 3, "unit": "m"}},
        "container": {"value": 1, "unit": "L"},
    },
)
def loss_lines(payload: Json) -> Json:
    """See ``weeptrace.loss.lines.lines``."""
    pipes = None
    if "lines" in payload:
        inside = payload["lines"]
        pipes = lines.pipe_volume(
            read(inside, "diameter", "length", path="lines", low=2e-3, high=30e-3, unit="mm"),
            read(inside, "length", "length", path="lines", low=1e-3, high=20.0, unit="m"),
        )
    found = lines.lines(
        caught=read(payload, "caught", "mass"),
        limits=limits(),
        spilled=read_optional(payload, "spilled", "volume") or 0.0,
        density=read_optional(payload, "density", "density"),
        cooler=read_optional(payload, "cooler", "volume"),
        pipes=pipes,
        container=read_optional(payload, "container", "volume"),
    )
    again = {"not_judged": "not_judged", "little_caught": "yes"}.get(found.judgement, "no")
    out: Json = {
        "out": give(found.out.value, "L", found.out.low, found.out.high),
        "in": give(found.out.value, "L"),
        "to_order": give(found.to_order, "L"),
        "judgement": found.judgement,
        "usual": found.usual,
        "check_level_again": again,
    }
    if found.expected is not None:
        held = found.expected
        out["expected"] = give(held.value, "L", held.low, held.high)
    return out
