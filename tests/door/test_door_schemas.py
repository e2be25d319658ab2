"""What holds for the schemas of all operations: no unknown key, no empty list, no bad clock."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.door.hold.assess import VACUUM_SAMPLE

Json = dict[str, Any]
NOW = [name for name, each in OPERATIONS.items() if "now" in each.input["properties"]]
ASKED = [name for name, each in OPERATIONS.items() if "preferences" in each.input["properties"]]


def closed(schema: Any, path: str = "") -> Iterator[tuple[str, Json]]:
    """Every object of named keys in a schema, with its path."""
    if isinstance(schema, dict):
        if isinstance(schema.get("properties"), dict):
            yield path, schema
        for key, each in schema.items():
            yield from closed(each, f"{path}.{key}")
    elif isinstance(schema, list):
        for number, each in enumerate(schema):
            yield from closed(each, f"{path}[{number}]")


def quantities(value: Any, path: str = "") -> Iterator[tuple[str, Json]]:
    """Every quantity of a sample, with its path."""
    if isinstance(value, dict):
        if set(value) >= {"value", "unit"}:
            yield path, value
        for key, each in value.items():
            yield from quantities(each, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from quantities(each, f"{path}[{number}]")


@pytest.mark.parametrize("side", ["input", "output"])
def test_an_object_of_named_keys_takes_no_others(side: str) -> None:
    found = [
        (f"{name}{path}", each)
        for name, operation in OPERATIONS.items()
        for path, each in closed(getattr(operation, side))
    ]
    assert len(found) > 2 * len(OPERATIONS)
    assert [path for path, each in found if each.get("additionalProperties") is not False] == []


@pytest.mark.parametrize("operation", OPERATIONS)
def test_an_unknown_key_is_refused_where_it_stands(operation: str) -> None:
    sample = OPERATIONS[operation].sample
    told = call(operation, {**sample, "no_such": 1})["error"]
    assert (told["code"], told["path"]) == ("bad_input", "")
    assert "no_such" in told["message"]
    changed = copy.deepcopy(sample)
    typed = [] if operation.startswith("job.") else list(quantities(changed))
    for path, quantity in typed[:1] + typed[-1:]:
        quantity["no_such"] = 1
        told = call(operation, changed)["error"]
        assert (told["code"], told["path"]) == ("bad_input", path)
        del quantity["no_such"]


@pytest.mark.parametrize("operation", ASKED)
def test_preferences_are_units_and_a_language(operation: str) -> None:
    sample = OPERATIONS[operation].sample
    assert "error" not in call(operation, {**sample, "preferences": {}})
    told = call(operation, {**sample, "preferences": {"no_such": "x"}})["error"]
    assert (told["code"], told["path"]) == ("bad_input", "preferences")


@pytest.mark.parametrize("operation", NOW)
@pytest.mark.parametrize("at", ["2026-11-25T14:00:00", "2026-11-25"])
def test_a_clock_without_its_offset_is_refused(operation: str, at: str) -> None:
    sample = OPERATIONS[operation].sample
    told = call(operation, {**sample, "now": {**sample["now"], "at": at}})["error"]
    assert (told["code"], told["path"]) == ("damaged_event", "now.at")
    assert told["accepted"].startswith("ISO 8601 with offset")


@pytest.mark.parametrize(
    ("operation", "payload"),
    [*((name, each.sample) for name, each in OPERATIONS.items()), ("hold.assess", VACUUM_SAMPLE)],
)
def test_what_there_is_none_of_is_left_out_where_it_may_be(operation: str, payload: Json) -> None:
    """A list that an answer need not hold is never there without an entry."""
    answer = call(operation, payload)
    assert "error" not in answer
    needed = OPERATIONS[operation].output.get("required", ())
    assert [key for key, each in answer.items() if each == [] and key not in needed] == []
