"""Ranges in words, one of several keys, and figures that stand exactly on an edge of the door."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call
from weeptrace.door.hold.assess import VACUUM_SAMPLE
from weeptrace.door.hold.read import read_readings
from weeptrace.door.properties.fluids import exactly_one
from weeptrace.door.properties.readings import _shares
from weeptrace.door.registry import read
from weeptrace.properties import readings
from weeptrace.properties.readings import Strength, strength_from_index
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

INF = float("inf")
ATMOSPHERE = 101325.0  # Pa, the standard one


@pytest.mark.parametrize(
    ("low", "high", "dimension", "value", "unit", "words"),
    [
        (0.0, 160e3, "pressure", 161.0, "kPa", "0 to 160 kPa"),
        (0.0, 160e3, "pressure", -1.0, "psi", "0 to 23.206 psi"),
        (0.0, INF, "pressure", -1.0, "kPa", "not below 0 kPa"),
        (-INF, 5e-3, "volume", 5.1, "L", "not above 5 L"),
        (233.15, 423.15, "temperature", 151.0, "degC", "-40 to 150 °C"),
    ],
)
def test_a_range_in_words(
    low: float, high: float, dimension: str, value: float, unit: str, words: str
) -> None:
    with pytest.raises(Refusal) as refused:
        read({"it": {"value": value, "unit": unit}}, "it", dimension, low=low, high=high)
    assert (refused.value.code, refused.value.accepted) == ("out_of_range", words)
    assert refused.value.message == f"it is {value:g} {unit}; accepted is {words}."


def test_exactly_one_of_several_keys() -> None:
    assert exactly_one({"b": 1, "x": 2}, "a", "b", "c") == "b"
    one = "Give exactly one of a, b and c"
    for payload, said in (({}, f"{one}."), ({"a": 1, "c": 1}, f"{one}; these were given: a, c.")):
        with pytest.raises(Refusal) as refused:
            exactly_one(payload, "a", "b", "c")
        assert refused.value.message == said
        assert (refused.value.code, refused.value.accepted) == ("bad_input", "one of a, b, c")


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_one_division_on_the_other_side_is_no_other_sign(sign: float) -> None:
    """With a division of 1 kPa, whichever sign the rest of the vacuum is typed with."""
    payload = copy.deepcopy(VACUUM_SAMPLE)
    for reading in payload["readings"]:
        reading["pressure"]["value"] *= sign
    assert (payload["readings"][1]["pressure"]["value"] < 0.0) is (sign > 0.0)
    first = payload["readings"][0]["pressure"]
    for inside in (1.0, 0.5, 0.0, -0.5, -1.0):
        first["value"] = sign * inside
        assert call("hold.assess", payload).get("error", {}).get("code") != "mixed_signs"
    first["value"] = sign * 1.01
    told = call("hold.assess", payload)["error"]
    assert (told["code"], told["path"]) == ("mixed_signs", "readings[1].pressure")
    above, below = (0, 1) if sign > 0.0 else (1, 0)
    assert f"Reading {above} is above zero and reading {below} below" in told["message"]


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_vacuum_is_as_deep_as_the_atmosphere_and_a_billionth_for_rounding(sign: float) -> None:
    def read(depth: float) -> float:
        pressure = {"value": sign * depth, "unit": "Pa"}
        item = {"time": {"value": 0, "unit": "s"}, "pressure": pressure}
        (made,) = read_readings([item], ATMOSPHERE, limits())
        return made.pressure

    deepest = ATMOSPHERE * (1.0 + 1e-9)
    for depth in (0.0, ATMOSPHERE, deepest):
        assert read(depth) == sign * depth
    for depth in (math.nextafter(deepest, INF), ATMOSPHERE + 1.0):
        with pytest.raises(Refusal) as refused:
            read(depth)
        assert (refused.value.code, refused.value.path) == ("out_of_range", "readings[0].pressure")


@pytest.mark.parametrize("key", ["before", "after"])
@pytest.mark.parametrize(
    ("ends", "fits"),
    [
        ({"low": 1.2, "high": 1.4}, True),
        ({"low": 1.0, "high": 1.2}, True),
        ({"low": 1.2, "high": 1.2}, True),
        ({"low": 1.21, "high": 1.4}, False),
        ({"low": 1.0, "high": 1.19}, False),
        ({"low": 1.0}, False),
        ({"high": 1.4}, False),
    ],
)
def test_a_flow_lies_within_its_interval_or_on_its_ends(
    key: str, ends: dict[str, float], fits: bool
) -> None:
    flow = {"value": 1.2, "unit": "mL/min", **ends}
    answer = call("hold.compare", {**OPERATIONS["hold.compare"].sample, key: flow})
    assert ("error" not in answer) is fits
    if not fits:
        assert (answer["error"]["code"], answer["error"]["path"]) == ("bad_input", key)


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
@pytest.mark.parametrize(
    ("key", "unit", "ends", "divisions"),
    [
        ("mass_fraction", "%", (0, 20, 80, 100), ("%", 1, 2)),
        ("volume_fraction", "%", (0, 20, 80, 100), ("%", 1, 2)),
        ("freeze_point", "°C", (-10, -40, -50.4), ("K", 1, 2)),
    ],
)
def test_half_a_division_is_taken_inwards_at_both_ends_of_a_scale(
    glycol: str, key: str, unit: str, ends: tuple[float, ...], divisions: tuple[str, int, int]
) -> None:
    """No strength beyond the scale's end is looked up, and a coarser scale says less."""
    half, *steps = divisions
    for reading in ends:
        widths = []
        for step in steps:
            answer = call("properties.refractometer", {
                "glycol": glycol, "compensated": True,
                key: {"value": reading, "unit": unit},
                "temperature": {"value": 20, "unit": "°C"},
                "half_division": {"value": step, "unit": half},
            })  # fmt: skip
            assert "error" not in answer, (reading, answer)
            found = answer["mass_fraction"]
            assert found["low"] <= found["value"] <= found["high"]
            widths.append(found["high"] - found["low"])
        assert widths[0] < widths[1]


@pytest.mark.parametrize(
    ("key", "unit", "half", "pairs"),
    [
        ("mass_fraction", "%", "%", {0: 1, 49: 50, 50: 49, 54: 53, 100: 99}),
        ("volume_fraction", "%", "%", {0: 1, 49: 50, 50: 49, 54: 53, 100: 99}),
        ("freeze_point", "°C", "K", {-50: -49, -20: -19, -10: -9}),
    ],
)
def test_half_a_division_reaches_to_the_next_reading_inwards(
    monkeypatch: pytest.MonkeyPatch, key: str, unit: str, half: str, pairs: dict[int, int]
) -> None:
    """Half the width in index is that between two readings which lie one apart."""
    widths: list[float | None] = []

    def noted(*given: Any, half_width: float | None, **named: Any) -> Strength:
        widths.append(half_width)
        return strength_from_index(*given, half_width=half_width, **named)

    monkeypatch.setattr(readings, "strength_from_index", noted)
    drop = {"glycol": "ethylene", "compensated": True, "temperature": {"value": 20, "unit": "°C"}}
    for reading, inwards in pairs.items():
        own = {**drop, key: {"value": reading, "unit": unit}}
        next_to_it = {**drop, key: {"value": inwards, "unit": unit}}
        here, there = (call("properties.refractometer", each) for each in (own, next_to_it))
        call("properties.refractometer", {**own, "half_division": {"value": 1, "unit": half}})
        apart = abs(here["index_read"]["value"] - there["index_read"]["value"])
        assert widths[-1] == pytest.approx(apart, rel=1e-9)


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_a_freezing_point_is_told_while_the_whole_interval_is_known(glycol: Any) -> None:
    """The tables end at 61 % by mass."""
    for high, told in ((0.609, True), (0.61, True), (math.nextafter(0.61, 1.0), False)):
        out = _shares(glycol, Strength(0.58, 0.55, high))
        assert ("freeze_point_inhibited" in out) is told
        assert out["mass_fraction"]["high"] == pytest.approx(100.0 * high)
        if told:
            point = out["freeze_point_inhibited"]
            assert point["low"] < point["value"] < point["high"]


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
