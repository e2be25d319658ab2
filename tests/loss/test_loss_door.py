"""The fluid balance through the door."""

from __future__ import annotations

import copy
from typing import Any

import fastjsonschema
import pytest

from weeptrace.door import OPERATIONS, call

Json = dict[str, Any]


def q(value: float, unit: str = "L", **ends: float) -> Json:
    return {"value": value, "unit": unit, **ends}


def balance(**change: Any) -> Json:
    sample = copy.deepcopy(OPERATIONS["loss.balance"].sample)
    given = {**sample, **change}
    return call("loss.balance", {k: v for k, v in given.items() if v is not None})


def test_sample_answers_what_the_schema_says() -> None:
    out = balance()
    assert out["closes"] == "yes"
    fastjsonschema.compile(OPERATIONS["loss.balance"].output)(out)
    fastjsonschema.compile(OPERATIONS["loss.balance"].output)(balance(filled=q(3)))


def test_usual_intervals_add_by_root_sum_square() -> None:
    """Half-widths 0.15, 0.102, 0.15, 0.1026, 0.15 L; downwards the empty spill can't go below 0."""
    closure = balance()["closure"]
    half = (0.15**2 + 0.102**2 + 0.15**2 + 0.1026**2 + 0.15**2) ** 0.5
    assert closure["high"] == pytest.approx(half, abs=1e-6)
    assert closure["low"] == pytest.approx(-((half**2 - 0.15**2) ** 0.5), abs=1e-6)


def test_a_typed_interval_is_used() -> None:
    wide = balance(drained=q(5.1, low=4.6, high=5.6))["closure"]
    assert wide["high"] - wide["value"] > 0.5


def test_misfit_is_named_with_its_size() -> None:
    out = balance(filled=q(3.0))
    assert out["closes"] == "no"
    assert out["misfit"]["cause"] == "air_left"
    assert out["misfit"]["size"]["value"] == pytest.approx(2.13)


def test_nothing_measured_is_not_judged() -> None:
    out = call("loss.balance", {})
    assert out["closes"] == "not_judged"
    assert "closure" not in out
    assert set(out["not_measured"]) == {
        "missing_before", "drained", "spilled", "filled", "air_left",
    }  # fmt: skip
    assert out["waste"] == {}


def test_waste() -> None:
    out = balance(kept_for_reuse=q(2), spilled=q(300, "mL"))
    assert out["waste"]["used_coolant"]["value"] == pytest.approx(3.1)
    assert out["waste"]["spilled"]["value"] == pytest.approx(0.3)


def test_streams_beside_the_balance() -> None:
    out = balance(rinsed=q(26), transmission_fluid=q(0.5), capacity=q(7.6))
    assert out["waste"]["used_coolant"]["value"] == pytest.approx(31.1)
    assert out["waste"]["transmission_fluid"]["value"] == pytest.approx(0.5)
    assert out["left_behind"]["value"] == pytest.approx(2.0)
    fastjsonschema.compile(OPERATIONS["loss.balance"].output)(out)


@pytest.mark.parametrize(
    ("change", "code", "path"),
    [
        ({"drained": q(-1)}, "out_of_range", "drained"),
        ({"drained": q(1, "kPa")}, "wrong_dimension", "drained"),
        ({"drained": q(5, low=6.0)}, "out_of_range", "drained"),
        ({"kept_for_reuse": q(9)}, "out_of_range", "kept_for_reuse"),
        ({"capacity": q(4)}, "out_of_range", "drained"),
        ({"poured_away": q(1)}, "bad_input", ""),
    ],
)
def test_refused(change: Json, code: str, path: str) -> None:
    error = balance(**change)["error"]
    assert (error["code"], error["path"]) == (code, path)
    assert error["message"]
