"""The operation hold.assess: JSON in, JSON out, refusals with words."""

from __future__ import annotations

import copy
import json
from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call, call_text

OPERATION = OPERATIONS["hold.assess"]
Json = dict[str, Any]


def sample(**changes: Any) -> Json:
    made: Json = copy.deepcopy(OPERATION.sample)
    made.update(changes)
    return made


def kpa(value: float) -> Json:
    return {"value": value, "unit": "kPa"}


def at(minute: float, pressure: Json) -> Json:
    return {"time": {"value": minute, "unit": "min"}, "pressure": pressure}


def test_the_sample_answers_in_its_schema() -> None:
    answer = call("hold.assess", sample())
    fastjsonschema.compile(OPERATION.output)(answer)
    assert answer["verdict"] == "leaking"
    assert answer["leak_flow"]["unit"] == "mL/min"
    assert answer["leak_flow"]["value"] == pytest.approx(1.27, abs=0.3)
    assert answer["rate"]["unit"] == "kPa/min"
    assert answer["per_1000_km"]["value"] == pytest.approx(1.5 * answer["leak_flow"]["value"])
    assert sum(answer["explanations"].values()) == pytest.approx(1.0)
    assert answer["exponent"]["assumed"] is True
    assert answer["assumed"] == ["strength", "temperature"]


def test_units_change_nothing() -> None:
    in_kpa = call("hold.assess", sample())
    in_psi = sample(
        readings=[
            {
                "time": {"value": 60 * r["time"]["value"], "unit": "s"},
                "pressure": {"value": r["pressure"]["value"] / 6.894757293168361, "unit": "psi"},
            }
            for r in OPERATION.sample["readings"]
        ]
    )
    found = call("hold.assess", in_psi)
    assert found["verdict"] == in_kpa["verdict"]
    assert found["rate"]["value"] == pytest.approx(in_kpa["rate"]["value"], rel=1e-6)


def test_altitude_and_strength_are_said_to_be_assumed() -> None:
    without = sample()
    del without["altitude"]
    assert "altitude" in call("hold.assess", without)["assumed"]
    known = sample(strength={"value": 50, "unit": "%"}, glycol="propylene")
    assert "strength" not in call("hold.assess", known)["assumed"]


@pytest.mark.parametrize(
    ("changes", "code", "path"),
    [
        ({"kind": "vacuum"}, "out_of_range", "readings[0].pressure"),
        ({"medium": "air"}, "bad_input", "stored"),
        ({"readings": [at(0, kpa(100)), at(0, kpa(99))]}, "repeated_time", "readings[1].time"),
        ({"readings": [at(0, kpa(100)), at(1, kpa(-3))]}, "out_of_range", "readings[1].pressure"),
        ({"readings": [at(0, kpa(1e5))]}, "out_of_range", "readings[0].pressure"),
        (
            {"readings": [at(0, {"value": 3, "unit": "L"})]},
            "wrong_dimension",
            "readings[0].pressure",
        ),
        ({"division": kpa(0)}, "out_of_range", "division"),
        ({"stored": {}}, "bad_input", "stored"),
        ({"stored": {"strokes": 5}}, "bad_input", "stored"),
        ({"stored": {"evacuated_volume": {"value": 6, "unit": "L"}}}, "bad_input", "stored"),
        ({"stored": {"compliance": {"value": 0, "unit": "mL/kPa"}}}, "bad_input", "stored"),
        ({"altitude": {"value": 9000, "unit": "m"}}, "out_of_range", "altitude"),
        ({"strength": {"value": 140, "unit": "%"}}, "out_of_range", "strength"),
        ({"actions": [{"kind": "kicked", "time": {"value": 1, "unit": "min"}}]}, "bad_input", ""),
    ],
)
def test_refusals_say_what_and_where(changes: Json, code: str, path: str) -> None:
    error = call("hold.assess", sample(**changes))["error"]
    assert error["code"] == code
    assert error["path"].startswith(path)
    assert error["accepted"]
    assert error["message"].endswith(".")


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"readings": []}, "too_few_readings"),
        ({"readings": [at(0, kpa(100))]}, "too_few_readings"),
    ],
)
def test_not_judged_says_why(changes: Json, code: str) -> None:
    answer = call("hold.assess", sample(**changes))
    fastjsonschema.compile(OPERATION.output)(answer)
    assert answer["verdict"] == "not_judged"
    assert answer["reason"]["code"] == code


def test_above_the_rating_it_is_told_beside_the_verdict() -> None:
    answer = call("hold.assess", sample(rated=kpa(90)))
    fastjsonschema.compile(OPERATION.output)(answer)
    assert answer["verdict"] == call("hold.assess", sample())["verdict"]
    assert [hint["code"] for hint in answer["hints"]] == ["above_rating"]


def test_nan_is_refused_in_words() -> None:
    text = json.dumps(sample()).replace("98.6", "NaN")
    assert json.loads(call_text("hold.assess", text))["error"]["code"] == "not_json"
    broken = sample()
    broken["readings"][2]["pressure"]["value"] = float("nan")
    assert call("hold.assess", broken)["error"]["code"] == "not_finite"


def test_an_action_and_the_owners_rate_are_taken() -> None:
    answer = call(
        "hold.assess",
        sample(
            actions=[{"kind": "disturbed", "time": {"value": 4, "unit": "min"}}],
            owner_rate={"value": 0.35, "unit": "L/1000 km"},
            planned={"value": 15, "unit": "min"},
            self_leak={"value": 0.1, "unit": "kPa/min"},
            ambient_temperature={"value": 8, "unit": "°C"},
            target=kpa(110),
        ),
    )
    assert answer["verdict"] in ("leaking", "seeping_or_leaking")
    assert answer["look_factor"] == pytest.approx(2.35, abs=0.01)


def vacuum(**changes: Any) -> Json:
    made: Json = copy.deepcopy(OPERATION.input["examples"][1])
    made.update(changes)
    return made


def test_the_first_example_is_the_sample() -> None:
    assert OPERATION.input["examples"][0] == OPERATION.sample


def test_a_vacuum_answers_in_its_schema() -> None:
    answer = call("hold.assess", vacuum())
    fastjsonschema.compile(OPERATION.output)(answer)
    assert answer["verdict"] == "gross"
    assert answer["air_flow"]["unit"] == "mL/min"
    assert answer["air_flow"]["value"] == pytest.approx(167, abs=6)
    assert answer["air_flow"]["low"] < answer["air_flow"]["value"] < answer["air_flow"]["high"]
    pair = answer["liquid_equivalent"]
    assert pair["orifice"]["value"] == pytest.approx(12, abs=0.8)
    assert pair["laminar"]["value"] < pair["orifice"]["value"]
    assert answer["residual_fraction"]["unit"] == "%"
    assert answer["residual_fraction"]["value"] == pytest.approx(9.9, abs=0.1)
    assert answer["best_vacuum"]["value"] == pytest.approx(-72.5, abs=0.3)
    assert set(answer["explanations"]) == {"tight", "settling", "air_leak", "vapour", "both"}
    assert sum(answer["explanations"].values()) == pytest.approx(1.0)
    assert answer["rate"]["value"] == pytest.approx(2.4, abs=0.1)
    assert answer["fall"]["value"] == pytest.approx(2.4, abs=0.1)
    assert answer["assumed"] == ["strength"]


def test_a_vacuum_with_the_other_sign_is_the_same() -> None:
    other = vacuum()
    for reading in other["readings"]:
        reading["pressure"]["value"] *= -1
    below, above = call("hold.assess", vacuum()), call("hold.assess", other)
    assert above["air_flow"] == below["air_flow"]
    assert above["verdict"] == below["verdict"]


def test_dry_air_answers_in_its_schema() -> None:
    answer = call(
        "hold.assess",
        {
            "kind": "pressure",
            "medium": "air",
            "readings": [at(k, kpa(100 - 0.8 * k)) for k in range(11)],
            "division": kpa(1),
            "stored": {"evacuated_volume": {"value": 6, "unit": "L"}},
        },
    )
    fastjsonschema.compile(OPERATION.output)(answer)
    assert answer["verdict"] in ("leaking", "leaking_or_gross")
    assert answer["air_flow"]["value"] == pytest.approx(47, abs=8)
    assert "best_vacuum" not in answer


@pytest.mark.parametrize(
    ("changes", "code", "path", "accepted"),
    [
        (
            {"readings": [at(0, kpa(-72)), at(1, kpa(-81))]},
            "out_of_range",
            "readings[1].pressure",
            "0 to 80.487",
        ),
        (
            {"readings": [at(0, {"value": 30, "unit": "inHg"})]},
            "out_of_range",
            "readings[0].pressure",
            "inHg",
        ),
        (
            {"readings": [at(0, kpa(-72)), at(1, kpa(70)), at(2, kpa(-68))]},
            "mixed_signs",
            "readings[1].pressure",
            "one sign",
        ),
        (
            {"readings": [at(0, kpa(-72)), at(0, kpa(-71))]},
            "repeated_time",
            "readings[1].time",
            "of its own",
        ),
        (
            {"stored": {"strokes": 5, "stroke_volume": {"value": 40, "unit": "mL"}}},
            "bad_input",
            "stored",
            "{evacuated_volume}",
        ),
        (
            {"stored": {"evacuated_volume": {"value": 0, "unit": "L"}}},
            "bad_input",
            "stored",
            "{evacuated_volume}",
        ),
        (
            {"engine_temperature": {"value": 400, "unit": "°C"}},
            "out_of_range",
            "engine_temperature",
            "150",
        ),
    ],
)
def test_a_vacuum_is_refused_in_words(changes: Json, code: str, path: str, accepted: str) -> None:
    error = call("hold.assess", vacuum(**changes))["error"]
    assert error["code"] == code
    assert error["path"] == path
    assert accepted in error["accepted"] or accepted in error["message"]
    assert error["message"].endswith(".")


def test_two_readings_of_a_vacuum_are_not_judged() -> None:
    answer = call("hold.assess", vacuum(readings=[at(0, kpa(-72)), at(5, kpa(-71))]))
    assert answer["verdict"] == "not_judged"
    assert answer["reason"]["code"] == "too_few_readings"
