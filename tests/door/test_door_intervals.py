"""An interval beside a quantity changes the answer where it is read, and is refused elsewhere."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeptrace.door import OPERATIONS, call, shown
from weeptrace.door.registry import is_quantity

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def flagged(schema: Json, path: str = "") -> Iterator[tuple[str, bool]]:
    """Each quantity of an input, and whether an interval of it is read."""
    for key, part in schema.get("properties", {}).items():
        here = f"{path}.{key}" if path else key
        forms = [part, part.get("items", {}), *part.get("anyOf", ())]
        for each in forms:
            if is_quantity(each):
                yield here, bool(each.get("x-interval"))
            else:
                yield from flagged(each, here)


READ = {
    name: [path for path, read in flagged(shown(each)["input"]) if read]
    for name, each in OPERATIONS.items()
}
READ = {name: paths for name, paths in READ.items() if paths}
# What a sample leaves out of the quantities whose interval is read.
MORE: dict[str, Json] = {
    "loss.rate": {"owner": {"added": q(0.5, "L"), "distance": q(800, "km")}},
    "loss.balance": {
        "topped_up": q(0.2, "L"), "kept_for_reuse": q(2, "L"), "left_in": q(0.3, "L"),
        "capacity": q(7.5, "L"), "rinsed": q(4, "L"), "transmission_fluid": q(0.3, "L"),
    },
}  # fmt: skip


def at(value: Any, path: str) -> Json:
    """The quantity at a path, of a list's first row."""
    for key in path.split("."):
        value = value[key]
        if isinstance(value, list):
            value = value[0]
    found: Json = value
    return found


def answer(operation: str, path: str, half: float) -> Json:
    """The answer where the quantity at ``path`` has an interval of this half width."""
    payload = copy.deepcopy({**OPERATIONS[operation].sample, **MORE.get(operation, {})})
    quantity = at(payload, path)
    quantity |= {"low": quantity["value"] - half, "high": quantity["value"] + half}
    return call(operation, payload)


def widths(value: Any, path: str = "") -> Iterator[tuple[str, float]]:
    """How wide each interval of an answer is."""
    if isinstance(value, dict):
        if "low" in value and "high" in value and "unit" in value:
            yield path, value["high"] - value["low"]
        for key, each in value.items():
            yield from widths(each, f"{path}.{key}")
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from widths(each, f"{path}[{number}]")


def test_these_operations_read_intervals() -> None:
    assert READ == {
        "hold.two_level": ["low.slope", "high.slope"],
        "hold.compare": ["before", "after"],
        "loss.balance": ["drained", "filled", "topped_up", "kept_for_reuse", "spilled",
                         "missing_before", "air_left", "left_in", "capacity", "rinsed",
                         "transmission_fluid"],
        "loss.level_watch": ["level_change", "area", "temperature_before", "temperature_after"],
        "loss.rate": ["owner.added", "hold"],
        "loss.classes": ["loss"],
        "causes.rank": ["observations.value"],
    }  # fmt: skip


# Narrow and wide, of the unit in the sample; the answer has no interval where none is named.
HALVES: dict[str, tuple[float, float, str]] = {
    "hold.two_level low.slope": (0.01, 0.2, ".leak_flow"),
    "hold.two_level high.slope": (0.01, 0.2, ".leak_flow"),
    "hold.compare before": (0.01, 0.3, ".left"),
    "hold.compare after": (0.001, 0.02, ".left"),
    "loss.level_watch level_change": (0.1, 5.0, ".volume_lost"),
    "loss.level_watch area": (0.1, 50.0, ".volume_lost"),
    "loss.level_watch temperature_before": (0.05, 5.0, ".volume_lost"),
    "loss.level_watch temperature_after": (0.05, 5.0, ".volume_lost"),
    "loss.rate owner.added": (0.001, 0.4, ".ways[1].flow"),
    "loss.rate hold": (0.01, 3.0, ".flow"),
    "loss.classes loss": (0.01, 100.0, ""),
    "causes.rank observations.value": (0.001, 0.19, ""),
    "loss.balance kept_for_reuse": (0.001, 0.5, ".waste.used_coolant"),
    "loss.balance rinsed": (0.001, 0.5, ".waste.used_coolant"),
    "loss.balance transmission_fluid": (0.001, 0.2, ".waste.transmission_fluid"),
    "loss.balance left_in": (0.001, 0.2, ".capacity_closure"),
    "loss.balance capacity": (0.001, 0.5, ".capacity_closure"),
    **{f"loss.balance {name}": (0.001, 0.2, ".closure") for name in
       ("drained", "filled", "topped_up", "missing_before", "air_left")},
    "loss.balance spilled": (0.0, 0.2, ".closure"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("operation", "path"), [(name, path) for name, paths in READ.items() for path in paths]
)
def test_an_interval_that_is_read_makes_the_answer_sharper_or_wider(
    operation: str, path: str
) -> None:
    narrow, wide, shows = HALVES[f"{operation} {path}"]
    sharp, dull = answer(operation, path, narrow), answer(operation, path, wide)
    assert "error" not in sharp
    assert "error" not in dull
    assert sharp != dull
    if shows:
        assert dict(widths(sharp))[shows] < dict(widths(dull))[shows]


@given(st.floats(0.02, 5.0), st.floats(1.1, 5.0))
def test_a_level_that_is_better_known_tells_more_of_the_leak(half: float, factor: float) -> None:
    first, second = (
        answer("loss.level_watch", "level_change", each) for each in (half, half * factor)
    )
    assert dict(widths(first))[".volume_lost"] < dict(widths(second))[".volume_lost"]
    assert first["not_larger_than"]["value"] < second["not_larger_than"]["value"]


UNREAD = [
    (name, path)
    for name, each in OPERATIONS.items()
    if not name.startswith("job.")
    for path, read in flagged(each.input)
    if not read
]


def asked_at(schema: Json, path: str) -> list[Json]:
    """The quantities of an input that stand at a path."""
    key, _, rest = path.partition(".")
    part = schema["properties"][key]
    found: list[Json] = []
    for form in (part, part.get("items", {}), *part.get("anyOf", ())):
        if rest and key and rest.partition(".")[0] in form.get("properties", {}):
            found += asked_at(form, rest)
        elif not rest and is_quantity(form):
            found.append(form)
    return found


@pytest.mark.parametrize(("operation", "path"), UNREAD)
def test_where_no_interval_is_read_the_schema_has_no_ends(operation: str, path: str) -> None:
    found = asked_at(OPERATIONS[operation].input, path)
    assert found
    for each in found:
        assert each["properties"].keys() == {"value", "unit"}
        assert each["additionalProperties"] is False


def has(sample: Any, path: str) -> bool:
    try:
        return is_quantity({"properties": at(sample, path)})
    except (KeyError, TypeError, IndexError):
        return False


TAKEN = [(name, path) for name, path in UNREAD if has(OPERATIONS[name].sample, path)]


def test_most_of_them_are_looked_at() -> None:
    assert len(TAKEN) > 120


@pytest.mark.parametrize(("operation", "path"), TAKEN)
@pytest.mark.parametrize("end", ["low", "high"])
def test_an_interval_that_is_not_read_is_refused_in_words(
    operation: str, path: str, end: str
) -> None:
    payload = copy.deepcopy(OPERATIONS[operation].sample)
    quantity = at(payload, path)
    quantity[end] = quantity["value"]
    error = call(operation, payload)["error"]
    assert error["code"] == "bad_input"
    assert error["path"].replace("[0]", "") == path
    assert error["message"] == "No interval is accepted here. Leave low and high out."
