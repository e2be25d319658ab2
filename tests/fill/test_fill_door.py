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
    assert known["uptake"]["low"] == known["uptake"]["value"]
    del sample["strength"]
    unknown = call("fill.uptake", sample)["uptake"]
    assert unknown["low"] < known["uptake"]["value"]
    assert unknown["high"] > known["uptake"]["high"]


def uptake(**change: Any) -> Json:
    sample = {**copy.deepcopy(OPERATIONS["fill.uptake"].sample), **change}
    return call("fill.uptake", {k: v for k, v in sample.items() if v is not None})


@pytest.mark.parametrize("sign", [1, -1])
def test_a_needle_of_either_sign_is_the_residual_less_the_atmosphere(sign: int) -> None:
    """80.487 kPa at 1900 m (ISO 2533) less 72.487 on the needle leaves 8 kPa."""
    by_needle = uptake(residual_pressure=None, gauge=q(sign * 72.48715, "kPa"))
    assert by_needle["uptake"]["value"] == pytest.approx(uptake()["uptake"]["value"], rel=1e-5)


@pytest.mark.parametrize(
    ("gauge", "words"),
    [(-93.0, "deeper than a perfect vacuum"), (-79.5, "it boils"), (0.0, "no vacuum")],
)
def test_a_needle_that_the_place_does_not_allow(gauge: float, words: str) -> None:
    error = uptake(residual_pressure=None, gauge=q(gauge, "kPa"))["error"]
    assert (error["code"], error["path"]) == ("out_of_range", "gauge")
    assert words in error["message"]
    assert "kPa" in error["accepted"]


def test_the_residual_is_given_in_one_way() -> None:
    assert uptake(gauge=q(-70, "kPa"))["error"]["code"] == "bad_input"
    assert uptake(residual_pressure=None)["error"]["code"] == "bad_input"


def test_a_flow_that_stopped_early() -> None:
    """3 L in and 30 kPa absolute left: not air, something is shut; 2.13 L still go in."""
    out = uptake(measured=q(3, "L"), pressure_after=q(30, "kPa"))
    assert out["judgement"] == "flow_stopped"
    assert out["look_at"] == ["pinched_hose", "closed_valve"]
    assert out["still_to_come"]["value"] == pytest.approx(2.126, abs=2e-3)
    through = uptake(measured=q(3, "L"), pressure_after=q(80, "kPa"))
    assert through["judgement"] == "air_left"
    assert "still_to_come" not in through


def flush(**change: Any) -> Json:
    sample = copy.deepcopy(OPERATIONS["fill.flush"].sample)
    return call("fill.flush", {**sample, **change})


def test_a_mixed_truck_through_the_door() -> None:
    """24 L at 72 %, 13 L a drain (by hand): 3 drains, 15.1 %, fill 79.5 %, 10.3 L + 2.7 L, 39 L."""
    out = flush()
    assert out["cycles"] == 3
    assert [s["value"] for s in out["shares"]] == pytest.approx([45.83, 21.01, 9.63], abs=0.01)
    assert [s["value"] for s in out["strengths"]] == pytest.approx([33.0, 15.125], abs=0.01)
    assert out["final"]["fill_strength"]["value"] == pytest.approx(79.5, abs=0.05)
    amounts = {a["kind"]: a["volume"]["value"] for a in out["final"]["amounts"]}
    assert amounts == pytest.approx({"concentrate": 10.34, "water": 2.66}, abs=0.01)
    assert out["final"]["premix_alone"]["value"] == pytest.approx(34.0, abs=0.1)
    assert out["waste"]["value"] == pytest.approx(39)
    assert (out["cans"], out["can_short"]["value"]) == (2, pytest.approx(9))
    assert out["rinse_water"]["value"] == pytest.approx(26)
    assert out["water"]["value"] == pytest.approx(28.66, abs=0.01)


def test_a_refusal_inside_the_rinses_names_its_place() -> None:
    inside = copy.deepcopy(OPERATIONS["fill.flush"].sample["rinses"])
    inside["target"] = q(70, "%")
    assert flush(rinses=inside)["error"]["path"] == "rinses.target"
    inside["target"], inside["at_hand"] = q(50, "%"), [{"kind": "premix"}]
    assert flush(rinses=inside)["error"]["path"] == "rinses.at_hand[0].strength"
    assert flush(can=q(0, "L"))["error"]["path"] == "can"


def test_the_shares_alone_need_no_strength() -> None:
    out = call("fill.flush", {"capacity": q(24, "L"), "drained": q(13, "L"), "limit": q(10, "%")})
    assert set(out) == {"cycles", "shares", "waste"}


def boil(**change: Any) -> Json:
    return call("fill.boil_margin", {**OPERATIONS["fill.boil_margin"].sample, **change})


def test_a_truck_that_boils_over_through_the_door() -> None:
    out = boil()
    assert out["margin_load"]["value"] == pytest.approx(9, abs=0.5)
    assert (out["load"], out["idle"], out["cap"]) == ("enough", "not_measured", "within")
    assert boil(outlet_load=q(118, "°C"))["load"] == "block"
    error = boil(strength=q(72, "%"))["error"]
    assert (error["path"], error["accepted"]) == ("strength", "0 to 70 %")
    low = boil(level_low="yes")
    assert low["boiling_point"] == low["without_cap"]


def test_contraction_through_the_door() -> None:
    sample = OPERATIONS["fill.contraction"].sample
    out = call("fill.contraction", sample)
    assert out["with_return_valve"]["value"] == pytest.approx(-10)
    assert out["falls"]["value"] == pytest.approx(out["shrinks"]["value"] * 100)
    opened = call("fill.contraction", {k: v for k, v in sample.items() if k != "headspace"})
    assert set(opened) == {"shrinks", "falls"}
    error = call("fill.contraction", {**sample, "cool": q(91, "°C")})["error"]
    assert error["path"] == "cool"


def test_a_container_that_ran_dry_through_the_door() -> None:
    sample = OPERATIONS["fill.ran_dry"].sample
    out = call("fill.ran_dry", sample)
    assert out["air_entered"]["value"] == pytest.approx(2.126, abs=1e-3)
    again = call("fill.ran_dry", {**sample, "second_pressure": q(0.5, "kPa")})["error"]
    assert again["path"] == "second_pressure"
    full = call("fill.ran_dry", {**sample, "taken": q(5.2, "L")})["error"]
    assert full["path"] == "taken"


def test_uptake_of_a_boiling_coolant_is_refused() -> None:
    sample = copy.deepcopy(OPERATIONS["fill.uptake"].sample)
    error = call("fill.uptake", {**sample, "temperature": q(60, "°C")})["error"]
    assert error["path"] == "residual_pressure"
    assert "boils" in error["message"]
