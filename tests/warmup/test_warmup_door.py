"""The warm-up through the door."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from weeptrace.door import OPERATIONS, call

SAMPLE = OPERATIONS["warmup.assess"].sample


def changed(**change: Any) -> dict[str, Any]:
    return call("warmup.assess", copy.deepcopy(SAMPLE) | change)


def celsius(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "°C"}


def row(minute: float, coolant: float, **more: Any) -> dict[str, Any]:
    return {"time": {"value": minute, "unit": "min"}, "coolant": celsius(coolant), **more}


def test_a_good_warm_up() -> None:
    found = changed()
    assert found["thermostat"]["signature"] == "opens"
    assert found["thermostat"]["opening_temperature"]["value"] == pytest.approx(88, abs=1)
    assert found["thermostat"]["time"]["value"] == pytest.approx(19, abs=0.2)
    assert found["fan"]["signature"] == "cycled"
    assert found["heater"]["judgement"] == "good"
    assert (found["air_sign"], found["gas_sign"]) == ("no", "not_measured")
    assert found["stop"] == []
    assert found["not_measured"] == ["pressure"]


def test_units_of_the_log_change_nothing() -> None:
    in_f = copy.deepcopy(SAMPLE)
    for line in in_f["log"]:
        line["coolant"] = {"value": line["coolant"]["value"] * 1.8 + 32, "unit": "°F"}
        line["time"] = {"value": line["time"]["value"] * 60, "unit": "s"}
    one, other = call("warmup.assess", SAMPLE), call("warmup.assess", in_f)
    assert other["thermostat"]["time"]["value"] == pytest.approx(one["thermostat"]["time"]["value"])
    assert other["fan"]["signature"] == one["fan"]["signature"]


def test_a_van_with_air_in_its_heater() -> None:
    found = call("warmup.assess", {"log": [row(20, 86, vent=celsius(38))], "ambient": celsius(18)})
    assert found["heater"]["effectiveness"]["value"] == pytest.approx(0.29, abs=0.005)
    assert found["air_sign"] == "yes"
    assert found["thermostat"] == {"signature": "not_measured", "opening": "not_judged"}


def test_gas_from_a_cold_start() -> None:
    pressures = (0, 17, 36, 56, 77, 97, 118)
    log = [
        row(i, t, pressure={"value": p, "unit": "kPa"})
        for i, (t, p) in enumerate(zip((18, 22, 27, 32, 37, 41, 45), pressures, strict=True))
    ]
    payload = {
        "log": log,
        "ambient": celsius(18),
        "headspace": {"value": 800, "unit": "mL"},
        "liquid_volume": {"value": 5.6, "unit": "L"},
        "altitude": {"value": 300, "unit": "m"},
        "strength": {"value": 50, "unit": "%"},
    }
    found = call("warmup.assess", payload)
    assert found["gas_sign"] == "yes"
    assert found["gas"]["inflow"]["value"] == pytest.approx(120, abs=30)


@pytest.mark.parametrize(
    ("log", "code", "path"),
    [
        ([row(1, 20), row(1, 21)], "repeated_time", "log[1].time"),
        ([row(1, 20), {**row(2, 21), "time": {"value": 60, "unit": "s"}}], "repeated_time",
         "log[1].time"),
        ([], "bad_input", "log"),
        ([row(1, 151)], "out_of_range", "log[0].coolant"),
        ([row(1, 20, vent=celsius(-41))], "out_of_range", "log[0].vent"),
        ([row(1, 20, fan="running")], "bad_input", "log[0].fan"),
        ([row(1, 20, pressure={"value": -1, "unit": "kPa"})], "out_of_range", "log[0].pressure"),
        ([{"time": {"value": 1, "unit": "min"}}], "bad_input", "log[0]"),
    ],
)  # fmt: skip
def test_refused(log: list[Any], code: str, path: str) -> None:
    error = call("warmup.assess", {"log": log, "ambient": celsius(18)})["error"]
    assert (error["code"], error["path"]) == (code, path)


def test_time_to_the_thermostat() -> None:
    payload = {"coolant": celsius(20), "ambient": celsius(20), "opening": celsius(90)}
    plain = call("warmup.time_to_thermostat", payload)
    assert plain["reached"] == "yes"
    assert plain["time"]["value"] == pytest.approx(38, abs=0.5)
    assert plain["time"]["low"] < 38 < plain["time"]["high"]
    brisk = call("warmup.time_to_thermostat", payload | {"idle": "brisk"})
    assert brisk["time"]["value"] == pytest.approx(14, abs=0.5)
    frost = payload | {"coolant": celsius(-25), "ambient": celsius(-25)}
    slow = call("warmup.time_to_thermostat", frost)
    assert slow["reached"] == "not_sure"
    assert "high" not in slow["time"]
    weak = frost | {"warming": {"value": 1, "unit": "K/min"}}
    assert call("warmup.time_to_thermostat", weak) == {"reached": "no"}
