"""What an operation is: a name, a line of help, two JSON Schemas, a sample, and a function.

Each folder or module beside this one adapts one room of the core: JSON in, SI through, JSON out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from weeptrace.quantity import canonical, from_si, to_si, units_of
from weeptrace.refusal import Refusal

Json = dict[str, Any]


@dataclass(frozen=True)
class Operation:
    """One named operation of the door.

    ``sample`` is an input that answers; it is shown by ``--help`` and run by the tests.
    """

    name: str
    help: str
    input: Json
    output: Json
    sample: Json
    run: Callable[[Json], Json]


OPERATIONS: Final[dict[str, Operation]] = {}


def operation(
    name: str, help: str, *, input: Json, output: Json, sample: Json
) -> Callable[[Callable[[Json], Json]], Callable[[Json], Json]]:
    """Register a function as the operation ``name``."""

    def register(run: Callable[[Json], Json]) -> Callable[[Json], Json]:
        if name in OPERATIONS:
            raise ValueError(f"operation {name} is registered twice")
        OPERATIONS[name] = Operation(name, help, input, output, sample, run)
        return run

    return register


# --- schemas -----------------------------------------------------------------------------------


def quantity_schema(dimension: str, note: str = "") -> Json:
    """The schema of one quantity of a dimension: ``{"value": 15.5, "unit": "psi"}``.

    ``low`` and ``high`` (95 %) may stand beside the value.
    """
    return {
        "type": "object",
        "description": f"{dimension.replace('_', ' ')}. {note}".strip(),
        "required": ["value", "unit"],
        "properties": {
            "value": {"type": "number"},
            "unit": {"type": "string", "description": ", ".join(units_of(dimension))},
            "low": {"type": "number"},
            "high": {"type": "number"},
        },
        "additionalProperties": False,
    }


def object_schema(properties: Json, required: list[str] | None = None) -> Json:
    """An object with these properties and no others."""
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties) if required is None else required,
        "additionalProperties": False,
    }


# --- quantities --------------------------------------------------------------------------------


def read(
    payload: Mapping[str, Any],
    key: str,
    dimension: str,
    *,
    path: str = "",
    low: float = float("-inf"),
    high: float = float("inf"),
    unit: str | None = None,
) -> float:
    """The quantity ``payload[key]`` in SI; refused outside ``low``..``high`` (SI, inclusive).

    The accepted range is told in ``unit``, else in the unit that the caller used.
    """
    quantity = payload[key]
    where = f"{path}.{key}" if path else key
    value = to_si(float(quantity["value"]), quantity["unit"], dimension, where)
    if not low <= value <= high:
        shown = unit or canonical(quantity["unit"])
        accepted = range_words(low, high, shown)
        raise Refusal(
            "out_of_range",
            "refused.door.out_of_range",
            where,
            "accepted.these",
            {
                "key": key.replace("_", " "),
                "value": quantity["value"],
                "unit": quantity["unit"],
                "accepted": accepted,
                "these": accepted,
            },
        )
    return value


def read_optional(
    payload: Mapping[str, Any],
    key: str,
    dimension: str,
    *,
    path: str = "",
    low: float = float("-inf"),
    high: float = float("inf"),
    unit: str | None = None,
) -> float | None:
    """As ``read``, or ``None`` where the key is absent: what is unknown stays unknown."""
    if key not in payload:
        return None
    return read(payload, key, dimension, path=path, low=low, high=high, unit=unit)


def range_words(low: float, high: float, unit: str) -> str:
    """A range in words, with its unit: "0 to 160 kPa", "above 0 kPa", "not above 5 L"."""
    bottom = None if low == float("-inf") else f"{from_si(low, unit):.6g}"
    top = None if high == float("inf") else f"{from_si(high, unit):.6g}"
    if bottom is not None and top is not None:
        return f"{bottom} to {top} {unit}"
    return f"not below {bottom} {unit}" if bottom is not None else f"not above {top} {unit}"


def give(value: float, unit: str, low: float | None = None, high: float | None = None) -> Json:
    """An SI value as a quantity in ``unit``, with its 95 % interval where there is one."""
    out: Json = {"value": from_si(value, unit), "unit": canonical(unit)}
    if low is not None:
        out["low"] = from_si(low, unit)
    if high is not None:
        out["high"] = from_si(high, unit)
    return out
