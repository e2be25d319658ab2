"""The quote room's operation. Money is a plain number in the one currency that the rate names."""

from __future__ import annotations

from collections.abc import Sequence
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
from weeptrace.quote import estimate
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

_LARGEST = 1e12  # of any amount: more is a slip
_NAME: Json = {"type": "string", "minLength": 1, "maxLength": 80}
_AMOUNT: Json = {"type": "number", "minimum": 0, "maximum": _LARGEST}
_CURRENCY: Json = {"type": "string", "pattern": "^[A-Z]{3}$"}
_MONEY = object_schema({"value": {"type": "number"}, "currency": _CURRENCY})
_MONEY_ROWS: Json = {
    "type": "array",
    "items": object_schema(
        {
            "id": _NAME,
            "low": {"type": "number"},
            "mean": {"type": "number"},
            "high": {"type": "number"},
            "sd": {"type": "number"},
            "quantity": {"type": "number"},
            "probability": {"type": "number"},
        },
        ["id", "low", "mean", "high", "sd"],
    ),
}


@operation(
    "quote.estimate",
    input=object_schema(
        {
            "phases": {
                "type": "array",
                "minItems": 1,
                "maxItems": 60,
                "items": object_schema(
                    {
                        "id": _NAME,
                        "low": quantity_schema("time"),
                        "likely": quantity_schema("time"),
                        "high": quantity_schema("time"),
                    }
                ),
            },
            "rate": object_schema({"value": _AMOUNT, "currency": _CURRENCY}),
            "lines": {
                "type": "array",
                "maxItems": 200,
                "items": object_schema(
                    {
                        "id": _NAME,
                        "quantity": _AMOUNT,
                        "volume": quantity_schema("volume"),
                        "container": quantity_schema("volume"),
                        "price": object_schema({"low": _AMOUNT, "high": _AMOUNT}),
                    },
                    ["id", "price"],
                ),
            },
            "contingencies": {
                "type": "array",
                "maxItems": estimate.MOST_CONTINGENCIES,
                "items": object_schema(
                    {
                        "id": _NAME,
                        "probability": {"type": "number", "minimum": 0, "maximum": 1},
                        "time": quantity_schema("time"),
                        "price": _AMOUNT,
                    },
                    ["id", "probability"],
                ),
            },
            "authorised": _AMOUNT,
        },
        ["phases", "rate"],
    ),
    output=object_schema(
        {
            "median": _MONEY,
            "ceiling": _MONEY,
            "mean": _MONEY,
            "sd": _MONEY,
            "time": quantity_schema("time"),
            "time_sd": quantity_schema("time"),
            "labour": _MONEY_ROWS,
            "lines": _MONEY_ROWS,
            "contingencies": _MONEY_ROWS,
            "may_be_added": _MONEY,
            "authorised": {"type": "string", "enum": list(get_args(estimate.Authorised))},
            "chance_within_authorised": quantity_schema("ratio"),
        },
        [
            "median",
            "ceiling",
            "mean",
            "sd",
            "time",
            "time_sd",
            "labour",
            "lines",
            "contingencies",
            "may_be_added",
            "authorised",
        ],
    ),
    sample={
        "phases": [
            {
                "id": name,
                "low": {"value": low, "unit": "min"},
                "likely": {"value": likely, "unit": "min"},
                "high": {"value": high, "unit": "min"},
            }
            for name, low, likely, high in (
                ("drain", 10, 15, 30),
                ("teardown", 30, 60, 150),
                ("reassembly", 35, 70, 170),
                ("fill", 8, 12, 25),
            )
        ],
        "rate": {"value": 80, "currency": "XTS"},
        "lines": [
            {"id": "radiator", "quantity": 1, "price": {"low": 180, "high": 240}},
            {
                "id": "coolant",
                "volume": {"value": 5.13, "unit": "L"},
                "container": {"value": 5, "unit": "L"},
                "price": {"low": 24, "high": 24},
            },
        ],
        "contingencies": [
            {
                "id": "screw",
                "probability": 0.2,
                "time": {"value": 25, "unit": "min"},
                "price": 5,
            }
        ],
        "authorised": 700,
    },
)
def quote_estimate(payload: Json) -> Json:
    """See ``weeptrace.quote.estimate.estimate``."""
    currency = payload["rate"]["currency"]
    lines = [_line(line, index) for index, line in enumerate(payload.get("lines", []))]
    risks = [_risk(item, index) for index, item in enumerate(payload.get("contingencies", []))]
    found = estimate.estimate(
        [_phase(item, index) for index, item in enumerate(payload["phases"])],
        float(payload["rate"]["value"]),
        limits(),
        lines=lines,
        contingencies=risks,
        authorised=payload.get("authorised"),
    )
    out: Json = {
        "time": give(found.time, "min"),
        "time_sd": give(found.time_sd, "min"),
        "labour": _rows(found.labour),
        "lines": [
            {**row, "quantity": line.quantity}
            for row, line in zip(_rows(found.lines), lines, strict=True)
        ],
        "contingencies": [
            {**row, "probability": risk.probability}
            for row, risk in zip(_rows(found.contingencies), risks, strict=True)
        ],
        "authorised": found.authorised,
    }
    for name in ("median", "ceiling", "mean", "sd", "may_be_added"):
        out[name] = {"value": getattr(found, name), "currency": currency}
    if found.chance is not None:
        out["chance_within_authorised"] = give(found.chance, "%")
    return out


def _rows(rows: Sequence[estimate.Row]) -> list[Json]:
    return [
        {"id": row.id, "low": row.low, "mean": row.mean, "high": row.high, "sd": row.sd}
        for row in rows
    ]


def _phase(item: Json, index: int) -> estimate.Phase:
    path = f"phases[{index}]"
    low, likely, high = (read(item, key, "time", path=path) for key in ("low", "likely", "high"))
    return estimate.Phase(item["id"], estimate.Range(low, likely, high))


def _line(item: Json, index: int) -> estimate.Line:
    path = f"lines[{index}]"
    fluid = "volume" in item and "container" in item
    if fluid == ("quantity" in item) or ("volume" in item) != ("container" in item):
        raise Refusal(
            "bad_input",
            "refused.door_quote.line_has_quantity_else",
            path,
            "accepted.quantity_volume_container",
        )
    if fluid:
        size = read(item, "container", "volume", path=path)
        if size <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.door_quote.container_hold_something_type",
                f"{path}.container",
                "accepted.above_zero_volume",
            )
        volume = read(item, "volume", "volume", path=path, low=0.0, unit="L")
        quantity = float(estimate.containers(volume, size))
    else:
        quantity = float(item["quantity"])
    low, high = float(item["price"]["low"]), float(item["price"]["high"])
    return estimate.Line(item["id"], quantity, estimate.Range(low, (low + high) / 2.0, high))


def _risk(item: Json, index: int) -> estimate.Contingency:
    time = read_optional(item, "time", "time", path=f"contingencies[{index}]") or 0.0
    if "time" not in item and "price" not in item:
        raise Refusal(
            "missing",
            "refused.door_quote.contingency_adds_time_price",
            f"contingencies[{index}]",
            "accepted.time_price_both",
        )
    return estimate.Contingency(
        item["id"], float(item["probability"]), time, float(item.get("price", 0.0))
    )
