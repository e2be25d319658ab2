"""What an operation is: a name, a line of help, two JSON Schemas, a sample, and a function.

Each folder or module beside this one adapts one room of the core: JSON in, SI through, JSON out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from weeptrace.quantity import canonical, from_si, to_si, units_of, usual_unit
from weeptrace.refusal import Refusal

Json = dict[str, Any]


@dataclass(frozen=True)
class Operation:
    """One named operation of the door; its words are texts (``door.shown``).

    ``sample`` is an input that answers; it is shown by ``--help`` and run by the tests.
    """

    name: str
    input: Json
    output: Json
    sample: Json
    run: Callable[[Json], Json]


OPERATIONS: Final[dict[str, Operation]] = {}


def operation(
    name: str, *, input: Json, output: Json, sample: Json
) -> Callable[[Callable[[Json], Json]], Callable[[Json], Json]]:
    """Register a function as the operation ``name``."""

    def register(run: Callable[[Json], Json]) -> Callable[[Json], Json]:
        if name in OPERATIONS:
            raise ValueError(f"operation {name} is registered twice")
        OPERATIONS[name] = Operation(name, _asked(input, sample), output, sample, run)
        return run

    return register


# --- schemas -----------------------------------------------------------------------------------


def quantity_schema(
    dimension: str, *, interval: bool = False, default_unit: str = "", also: str = ""
) -> Json:
    """The schema of one quantity of a dimension: ``{"value": 15.5, "unit": "psi"}``.

    ``low`` and ``high`` (95 %) may stand beside the value: in an answer wherever there are some, in
    an input where the operation reads them (``interval``, shown as ``x-interval``).
    ``default_unit``: what a form begins with, where that is neither the sample's nor the usual
    one; an input's is shown as ``x-default-unit``. ``also``: a unit of another dimension.
    """
    made: Json = {
        "type": "object",
        "required": ["value", "unit"],
        "properties": {
            "value": {"type": "number"},
            "unit": {"type": "string", "enum": [*units_of(dimension), *([also] if also else [])]},
            "low": {"type": "number"},
            "high": {"type": "number"},
        },
        "additionalProperties": False,
        "x-dimension": dimension,
    }
    if interval:
        made["x-interval"] = True
    if default_unit:
        made["x-default-unit"] = default_unit
    return made


def is_quantity(schema: Json) -> bool:
    """Whether a schema is that of one quantity."""
    return "unit" in schema.get("properties", ())


def _asked(schema: Json, sample: Any) -> Json:
    """A schema of an input: an interval only where it is read, and a unit to begin a form with,
    that of ``sample`` where it has one."""
    made = dict(schema)
    if "x-dimension" in schema:
        given = sample.get("unit") if isinstance(sample, dict) else None
        made.setdefault("x-default-unit", given or usual_unit(schema["x-dimension"]))
        if "x-interval" not in schema:
            made["properties"] = {key: schema["properties"][key] for key in ("value", "unit")}
    elif "properties" in schema:
        inner = sample if isinstance(sample, dict) else {}
        parts = schema["properties"].items()
        made["properties"] = {key: _asked(part, inner.get(key)) for key, part in parts}
    elif "items" in schema:
        first = sample[0] if isinstance(sample, list) and sample else None
        made["items"] = _asked(schema["items"], first)
    return made


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
        raise _outside(quantity, key, where, low, high, shown)
    return value


def read_own_time(
    payload: Mapping[str, Any], path: str, index: int, seen: dict[float, int]
) -> float:
    """The ``time`` of a list's entry, s, noted in ``seen``: time -> entry.

    Raises ``Refusal`` (``repeated_time``) where another entry of the list has the same.
    """
    time = read(payload, "time", "time", path=path)
    if time in seen:
        raise Refusal(
            "repeated_time",
            "refused.door.repeated_time",
            f"{path}.time",
            "accepted.time_its_own_each_reading",
            {"first": seen[time], "second": index},
        )
    seen[time] = index
    return time


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


def _outside(quantity: Json, key: str, where: str, low: float, high: float, shown: str) -> Refusal:
    bounded = low > float("-inf"), high < float("inf")
    which = {(True, False): "not_below", (False, True): "not_above"}.get(bounded, "between")
    return Refusal(
        "out_of_range",
        f"refused.range.{which}",
        where,
        f"accepted.range.{which}",
        {
            "key": key.replace("_", " "),
            "value": quantity["value"],
            "unit": quantity["unit"],
            **bounds(low, high, shown),
        },
    )


def bounds(low: float, high: float, unit: str) -> dict[str, float | str]:
    """The figures of a range that is told in one unit, as ``accepted.range.between`` names them;
    an open end has none.

    >>> bounds(0.0, 160e3, "kPa")
    {'low': 0.0, 'high': 160.0, 'in_unit': 'kPa'}
    """
    ends = {"low": low, "high": high}
    told = {key: from_si(end, unit) for key, end in ends.items() if math.isfinite(end)}
    return {**told, "in_unit": unit}


def give(value: float, unit: str, low: float | None = None, high: float | None = None) -> Json:
    """An SI value as a quantity in ``unit``, with its 95 % interval where there is one."""
    out: Json = {"value": from_si(value, unit), "unit": canonical(unit)}
    if low is not None:
        out["low"] = from_si(low, unit)
    if high is not None:
        out["high"] = from_si(high, unit)
    return out
