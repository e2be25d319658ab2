"""The loss room's operation on a drain and fill: the fluid balance."""

from __future__ import annotations

from typing import Literal

from weeptrace.door.registry import (
    Json,
    give,
    object_schema,
    operation,
    quantity_schema,
    read_optional,
)
from weeptrace.loss import balance
from weeptrace.quantity import to_si
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_MEASURED: Literal["measured"] = "measured"
_ESTIMATED: Literal["estimated"] = "estimated"
_STREAMS: dict[str, Literal["measured", "estimated", "capacity"]] = {
    "drained": _MEASURED,
    "filled": _MEASURED,
    "topped_up": _MEASURED,
    "kept_for_reuse": _MEASURED,
    "spilled": _ESTIMATED,
    "missing_before": _ESTIMATED,
    "air_left": _ESTIMATED,
    "left_in": _ESTIMATED,
    "capacity": "capacity",
    "rinsed": _MEASURED,
    "transmission_fluid": _MEASURED,
}
_CAUSE: Json = {
    "type": "string",
    "enum": ["air_left", "old_coolant_left", "wrong_capacity", "uncounted_spill"],
}


@operation(
    "loss.balance",
    input=object_schema({name: quantity_schema("volume", interval=True) for name in _STREAMS}, []),
    output=object_schema(
        {
            "closure": quantity_schema("volume"),
            "capacity_closure": quantity_schema("volume"),
            "left_behind": quantity_schema("volume"),
            "closes": {"type": "string", "enum": ["yes", "no", "not_judged"]},
            "misfit": object_schema(
                {
                    "cause": _CAUSE,
                    "size": quantity_schema("volume"),
                    "or_else": {"type": "array", "items": _CAUSE},
                }
            ),
            "waste": object_schema(
                {
                    "used_coolant": quantity_schema("volume"),
                    "spilled": quantity_schema("volume"),
                    "transmission_fluid": quantity_schema("volume"),
                },
                [],
            ),
            "not_measured": {
                "type": "array",
                "items": {"type": "string", "enum": list(balance.NEEDED)},
            },
        },
        ["closes", "waste", "not_measured"],
    ),
    sample={
        "missing_before": {"value": 0.5, "unit": "L"},
        "drained": {"value": 5.1, "unit": "L"},
        "spilled": {"value": 0.0, "unit": "L"},
        "filled": {"value": 5.13, "unit": "L"},
        "air_left": {"value": 0.47, "unit": "L"},
    },
)
def loss_balance(payload: Json) -> Json:
    """See ``weeptrace.loss.balance.close``."""
    known = {name: _read(payload, name) for name in _STREAMS}
    found = balance.close(limits=limits(), **known)
    out: Json = {
        "closes": found.closes,
        "waste": {name: _give(volume) for name, volume in found.waste.items()},
        "not_measured": list(found.not_measured),
    }
    if found.closure is not None:
        out["closure"] = _give(found.closure)
    if found.capacity_closure is not None:
        out["capacity_closure"] = _give(found.capacity_closure)
    if found.left_behind is not None:
        out["left_behind"] = _give(found.left_behind)
    if found.misfit is not None:
        out["misfit"] = {
            "cause": found.misfit.cause,
            "size": give(found.misfit.size, "L"),
            "or_else": list(found.misfit.or_else),
        }
    return out


def _read(payload: Json, name: str) -> balance.Volume | None:
    value = read_optional(payload, name, "volume", low=0.0, unit="L")
    if value is None:
        return None
    unit = payload[name]["unit"]
    low, high = (
        to_si(float(payload[name][end]), unit, "volume", f"{name}.{end}")
        if end in payload[name]
        else None
        for end in ("low", "high")
    )
    try:
        return balance.measured(value, limits(), low=low, high=high, how=_STREAMS[name])
    except Refusal as refusal:
        raise refusal.at(name) from None


def _give(volume: balance.Volume) -> Json:
    return give(volume.value, "L", volume.low, volume.high)
