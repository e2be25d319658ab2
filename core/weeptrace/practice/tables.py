"""The parts of a description: quantities, numbers and tables, refused with their path."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from weeptrace.quantity import from_si, to_si
from weeptrace.refusal import Refusal

Table = Mapping[str, Any]

# Fields of a part that are quantities: key in the description -> (field, dimension, low, high).
Fields = dict[str, tuple[str, str, float, float]]


def quantities(
    table: Table, fields: Fields, path: str, needed: tuple[str, ...] = ()
) -> dict[str, Any]:
    """Each field of ``fields`` that the ``table`` at ``path`` has, in SI; refused where one is
    ``needed`` and missing, or out of its range.
    """
    table = table_of(table, path)
    for key in needed:
        need(table, key, path)
    return {
        field: quantity(table[key], dimension, f"{path}.{key}" if path else key, low, high)
        for key, (field, dimension, low, high) in fields.items()
        if key in table
    }


def quantity(given: Any, dimension: str, path: str, low: float, high: float) -> float:
    """What is ``given`` as ``{value, unit}``, in SI of its ``dimension``.

    Refused by its ``path`` where it is none, or not from ``low`` to ``high``.
    """
    number = given.get("value") if isinstance(given, Mapping) else None
    unit = given.get("unit") if isinstance(given, Mapping) else None
    if not isinstance(number, int | float) or not isinstance(unit, str):
        raise Refusal(
            "bad_input", "refused.describe.quantity_has_value_unit", path, "accepted.quantity"
        )
    value = to_si(float(number), unit, dimension, path)
    if not low <= value <= high:
        raise Refusal(
            "out_of_range",
            "refused.describe.check_number_unit",
            path,
            "accepted.between_units",
            {
                "path": path,
                "number": number,
                "unit": unit,
                "from_si": from_si(low, unit),
                "from_si_2": from_si(high, unit),
            },
        )
    return value


def numbers(given: Any, path: str, low: float, high: float) -> list[float]:
    """A ``given`` list of numbers from ``low`` to ``high``; refused by its ``path`` else."""
    good = isinstance(given, list) and 0 < len(given) <= 2000
    if not good or not all(isinstance(n, int | float) and low <= n <= high for n in given):
        raise Refusal(
            "bad_input",
            "refused.describe.list_numbers_asked",
            path,
            "accepted.between",
            {"low": low, "high": high},
        )
    return [float(n) for n in given]


def entries(table: Table, key: str, path: str) -> list[Any]:
    """The list that a ``table`` at ``path`` has by ``key``; refused where it is no list."""
    found = table.get(key, [])
    if not isinstance(found, list):
        where = f"{path}.{key}" if path else key
        raise Refusal("bad_input", "refused.describe.list_asked", where, "accepted.list")
    return found


def table_of(given: Any, path: str) -> Table:
    """What is ``given``, where it is a table; refused by its ``path`` where it is none."""
    if not isinstance(given, Mapping):
        raise Refusal(
            "bad_input",
            "refused.describe.not_table",
            path,
            "accepted.table_named_parts",
            {"path": path},
        )
    return given


def need(table: Table, key: str, path: str) -> Any:
    """What a ``table`` at ``path`` has by ``key``; refused where it has nothing."""
    where = f"{path}.{key}" if path else key
    if key not in table_of(table, path):
        raise Refusal(
            "bad_input",
            "refused.describe.missing",
            where,
            "accepted.see_files_practice_cars",
            {"where": where},
        )
    return table[key]


def no_others(table: Table, known: set[str], path: str) -> None:
    """Nothing, where the ``table`` at ``path`` has only ``known`` keys; refused else."""
    for key in table_of(table, path):
        if key not in known:
            raise Refusal(
                "bad_input",
                "refused.describe.not_known",
                path,
                "accepted.these",
                {"key": key, "these": ", ".join(sorted(known))},
            )
