"""The loss room's operation on the classes of a loss."""

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
from weeptrace.finding import Estimate
from weeptrace.hold.data import Verdict
from weeptrace.loss import classes
from weeptrace.quantity import to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_EDGE = object_schema(
    {
        "per_1000_km": quantity_schema("loss_per_distance"),
        "flow": quantity_schema("volume_flow"),
        "drops_per_minute": {"type": "number"},
    }
)


@operation(
    "loss.classes",
    input=object_schema(
        {
            "reserve": quantity_schema("volume"),
            "service": quantity_schema("length", default_unit="km"),
            "look": quantity_schema("length", default_unit="km"),
            "trip": quantity_schema("length", default_unit="km"),
            "exposure": quantity_schema("time_per_distance"),
            "loss": quantity_schema("loss_per_distance", interval=True),
        },
        ["reserve"],
    ),
    output=object_schema(
        {
            "tight": _EDGE,
            "seeping": _EDGE,
            "gross": _EDGE,
            "class": {"type": "string", "enum": list(get_args(Verdict))},
        },
        ["tight", "seeping", "gross"],
    ),
    sample={"reserve": {"value": 0.35, "unit": "L"}, "loss": {"value": 7.2, "unit": "L/1000 km"}},
)
def loss_classes(payload: Json) -> Json:
    """See ``weeptrace.loss.classes.classes``."""
    rules = limits()
    found = classes.classes(
        reserve=read(payload, "reserve", "volume"),
        limits=rules,
        service=read_optional(payload, "service", "length"),
        look=read_optional(payload, "look", "length"),
        trip=read_optional(payload, "trip", "length"),
        exposure=read_optional(payload, "exposure", "time_per_distance"),
    )
    out = {name: _edge(getattr(found, name)) for name in ("tight", "seeping", "gross")}
    return {**out, "class": found.of(_loss(payload), rules)} if "loss" in payload else out


def _loss(payload: Json) -> Estimate:
    quantity, value = payload["loss"], read(payload, "loss", "loss_per_distance", low=0.0)
    low, high = (
        to_si(float(quantity.get(end, quantity["value"])), quantity["unit"], "loss_per_distance")
        for end in ("low", "high")
    )
    if not low <= value <= high:
        raise Refusal(
            "out_of_range",
            "refused.door_loss.low_value_high_rise",
            "loss",
            "accepted.low_value_high",
        )
    return Estimate(value, low, high)


def _edge(edge: classes.Edge) -> Json:
    return {
        "per_1000_km": give(edge.loss, "L/1000 km"),
        "flow": give(edge.flow, "mL/min"),
        "drops_per_minute": edge.drops * 60.0,
    }
