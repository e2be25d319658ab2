"""The causes room through the door."""

from __future__ import annotations

import statistics
import time
from typing import Any

import fastjsonschema
import pytest

from tests.causes.support import CASES
from weeptrace.door import OPERATIONS, call


def payload(case: dict[str, Any]) -> dict[str, Any]:
    return {"features": case["vehicle"]["features"], "observations": case["observations"]}


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_every_case_is_answered_as_the_schema_says(case: dict[str, Any]) -> None:
    found = call("causes.rank", payload(case))
    fastjsonschema.compile(OPERATIONS["causes.rank"].output)(found)
    assert found["causes"][0]["id"] == case["true_cause"]
    assert found["causes"][0]["for"]
    assert all(each["why"] for each in found["causes"][0]["for"])


def test_the_leader_s_reasons_and_what_speaks_against_the_others() -> None:
    case = next(case for case in CASES if case["id"] == "P10")
    found = call("causes.rank", payload(case))
    egr = found["causes"][0]
    assert egr["for"][0]["finding"] == "exhaust_white"
    assert egr["for"][0]["why"] == "It leaks straight into hot exhaust."
    gasket = next(each for each in found["causes"] if each["id"] == "head_gasket_internal")
    assert {"gas_test", "borescope"} <= {each["finding"] for each in gasket["against"]}


@pytest.mark.parametrize(
    ("change", "code", "accepted"),
    [
        ({"observations": [{"finding": "smell", "value": "x"}]}, "unknown_finding", "cabin_sign"),
        ({"observations": [{"finding": "cap_test", "value": "x"}]}, "unknown_value", "opens_early"),
        ({"features": ["wings"]}, "unknown_feature", "drain_plug"),
        ({"tools": ["hammer"]}, "unknown_tool", "pressure_tester"),
        ({"closed_gates": ["barn"]}, "unknown_gate", "cold"),
    ],
)
def test_bad_input_is_refused_by_name(change: dict[str, Any], code: str, accepted: str) -> None:
    error = call("causes.rank", {"observations": []} | change)["error"]
    assert error["code"] == code
    assert accepted in error["accepted"]


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ({"value": 0.2, "unit": "kPa"}, "wrong_dimension"),
        ({"value": 0.2, "unit": "L/1000 km", "low": 0.3, "high": 0.4}, "low_above_high"),
    ],
)
def test_a_bad_figure_is_refused(value: dict[str, Any], code: str) -> None:
    told = [{"finding": "loss_rate", "value": value}]
    assert call("causes.rank", {"observations": told})["error"]["code"] == code


def test_an_update_is_quick() -> None:
    """Median of processor time; a browser's Python takes about three times as long."""
    taken = []
    for case in CASES * 2:
        began = time.process_time()
        call("causes.rank", payload(case))
        taken.append(time.process_time() - began)
    assert statistics.median(taken) < 0.06
