"""The filling room through the door."""

from __future__ import annotations

import copy
from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call

Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def mix(**change: Any) -> Json:
    sample = copy.deepcopy(OPERATIONS["fill.mix"].sample)
    return call("fill.mix", {**sample, **change})


@pytest.mark.parametrize("name", [n for n in OPERATIONS if n.startswith("fill.")])
def test_samples_answer_what_the_schema_says(name: str) -> None:
    out = call(name, OPERATIONS[name].sample)
    assert "error" not in out
    fastjsonschema.compile(OPERATIONS[name].output)(out)


def test_mix_in_us_quarts_is_the_same_mix() -> None:
    litres = mix()
    quarts = mix(capacity=q(7.6 / 0.946352946, "US qt"), drained=q(4.3 / 0.946352946, "US qt"))
    for a, b in zip(litres["amounts"], quarts["amounts"], strict=True):
        assert a["volume"]["value"] == pytest.approx(b["volume"]["value"], rel=1e-6)


def test_unreachable_names_the_nearest_and_what_to_draw_off() -> None:
    out = mix(at_hand=[{"kind": "premix", "strength": q(50, "%")}])
    assert out["reachable"] is False
    assert out["nearest"] == out["result"] == {"value": pytest.approx(43.49, abs=0.01), "unit": "%"}
    assert out["draw_off_first"]["value"] == pytest.approx(3.3)


def test_a_result_beyond_the_tables_has_no_freezing_point() -> None:
    out = mix(drained=q(1.0, "L"), residual_strength=q(72, "%"), at_hand=[{"kind": "concentrate"}])
    assert "freeze_point" not in out
    assert out["warnings"] == ["above_highest_strength"]


@pytest.mark.parametrize(
    ("change", "code", "path"),
    [
        ({"drained": q(8, "L")}, "out_of_range", "drained"),
        ({"drained": q(-1, "L")}, "out_of_range", "drained"),
        ({"drained": q(4, "kPa")}, "wrong_dimension", "drained"),
        ({"residual_strength": q(120, "%")}, "out_of_range", "residual_strength"),
        ({"target": q(-1, "%")}, "out_of_range", "target"),
        ({"target": q(70, "%")}, "out_of_range", "target"),
        ({"at_hand": []}, "bad_input", "at_hand"),
        ({"at_hand": [{"kind": "premix"}]}, "missing", "at_hand[0].strength"),
        (
            {"at_hand": [{"kind": "water", "volume": q(-1, "L")}]},
            "out_of_range",
            "at_hand[0].volume",
        ),
        ({"at_hand": [{"kind": "beer"}]}, "bad_input", "at_hand[0].kind"),
    ],
)
def test_mix_refused(change: Json, code: str, path: str) -> None:
    error = mix(**change)["error"]
    assert (error["code"], error["path"]) == (code, path)
    assert error["message"]
    assert error["accepted"]


def test_uptake_without_a_strength_gives_an_interval() -> None:
    sample = copy.deepcopy(OPERATIONS["fill.uptake"].sample)
    known = call("fill.uptake", sample)
    assert "low" not in known["uptake"]
    del sample["strength"]
    unknown = call("fill.uptake", sample)["uptake"]
    assert unknown["low"] < known["uptake"]["value"] < unknown["high"]


def test_uptake_of_a_boiling_coolant_is_refused() -> None:
    sample = copy.deepcopy(OPERATIONS["fill.uptake"].sample)
    error = call("fill.uptake", {**sample, "temperature": q(60, "°C")})["error"]
    assert error["path"] == "residual_pressure"
    assert "boils" in error["message"]
