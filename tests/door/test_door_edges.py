"""Ranges in words, one of several keys, and figures that stand exactly on an edge of the door."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.door.hold import VACUUM_SAMPLE
from weeptrace.door.properties import exactly_one
from weeptrace.door.registry import range_words
from weeptrace.refusal import Refusal

INF = float("inf")


@pytest.mark.parametrize(
    ("low", "high", "unit", "words"),
    [
        (0.0, 160e3, "kPa", "0 to 160 kPa"),
        (0.0, INF, "kPa", "not below 0 kPa"),
        (-INF, 5e-3, "L", "not above 5 L"),
        (233.15, 423.15, "°C", "-40 to 150 °C"),
    ],
)
def test_a_range_in_words(low: float, high: float, unit: str, words: str) -> None:
    assert range_words(low, high, unit) == words


def test_exactly_one_of_several_keys() -> None:
    assert exactly_one({"b": 1, "x": 2}, "a", "b", "c") == "b"
    for payload, said in (({}, "none is given"), ({"a": 1, "c": 1}, "a and c are given")):
        with pytest.raises(Refusal) as refused:
            exactly_one(payload, "a", "b", "c")
        assert refused.value.message == f"Give exactly one of a, b and c; {said}."
        assert (refused.value.code, refused.value.accepted) == ("bad_input", "a or b or c")


def vacuum(first: float) -> Any:
    """A vacuum hold whose first reading stands at ``first`` kPa, with a division of 1 kPa."""
    payload = copy.deepcopy(VACUUM_SAMPLE)
    payload["readings"][0]["pressure"]["value"] = first
    return call("hold.assess", payload)


def test_one_division_on_the_other_side_of_zero_is_no_other_sign() -> None:
    assert vacuum(1.0).get("error", {}).get("code") != "mixed_signs"
    told = vacuum(1.01)["error"]
    assert told["code"] == "mixed_signs"
    assert "Reading 0 is above zero and reading 1 below" in told["message"]


@pytest.mark.parametrize(
    ("operation", "key", "share"),
    [
        ("hold.two_level", "compliance_uncertainty", 100),
        ("fill.uptake", "strength", None),
        ("fill.reach", "strength", None),
    ],
)
def test_a_share_is_at_most_the_whole(operation: str, key: str, share: float | None) -> None:
    payload = {**OPERATIONS[operation].sample, key: {"value": 100.5, "unit": "%"}}
    told = call(operation, payload)["error"]
    assert (told["code"], told["path"]) == ("out_of_range", key)
    assert told["accepted"] == "0 to 100 %"
    if share is not None:
        whole = {**payload, key: {"value": share, "unit": "%"}}
        assert "error" not in call(operation, whole)


def test_reasons_name_findings_and_answers_that_there_are() -> None:
    answer = call("causes.rank", OPERATIONS["causes.rank"].sample)
    asked = {each["finding"] for each in OPERATIONS["causes.rank"].sample["observations"]}
    reasons = [
        each for cause in answer["causes"] for side in ("for", "against") for each in cause[side]
    ]
    assert reasons
    assert {reason["finding"] for reason in reasons} <= asked
