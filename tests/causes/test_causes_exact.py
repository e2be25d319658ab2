"""The engine against two others: weighted model counting, and a sum over every set of causes."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.causes import every_set, problog_model
from tests.causes.support import CASES, LIMITS
from weeptrace.causes import Observation, from_bundle, rank
from weeptrace.rules import load

SEVERAL, ATTENTION = LIMITS["causes.several"], LIMITS["causes.attention"]


def _only(*keep: str) -> dict[str, Any]:
    """The compiled rules with some of the causes, and every link to them."""
    bundle: dict[str, Any] = copy.deepcopy(dict(load().causes))
    bundle["causes"] = {id: each for id, each in bundle["causes"].items() if id in keep}
    for entry in (*bundle["states"].values(), *bundle["findings"].values()):
        if "from" in entry:
            entry["from"] = {id: link for id, link in entry["from"].items() if id in keep}
    return bundle


def _engine(
    bundle: dict[str, Any], features: list[str], answers: list[tuple[str, str]]
) -> dict[str, float]:
    known = from_bundle(bundle, LIMITS)
    told = [Observation(*answer) for answer in answers]
    found = rank(known, features, told, LIMITS, tools=())
    return {each.id: each.probability for each in found.causes}


@pytest.mark.parametrize(
    ("causes", "answers"),
    [
        (
            "head_gasket_internal head_or_block_crack trapped_air_after_service pressure_cap",
            "gas_test=positive gas_test_second=negative neck_bubbles=few_then_stop",
        ),
        (
            "pump_shaft_seal pump_or_stat_joint hose_joint radiator_core",
            "weep_hole=wet residue_at=pump_weep pressure_hold_cold=slow_fall",
        ),
        (
            "radiator_tank_seam hose_joint radiator_core heater_core",
            "wet_again_at=radiator_side_tank wet_under_pressure_at=none cabin_sign=sweet_smell",
        ),
        (
            "overheat_expulsion pressure_cap no_fault_look_alike trapped_air_after_service",
            "overflow_behaviour=pushes_out_hot loss_rate=one_time_drop ground_fluid=plain_water",
        ),
    ],
)
def test_as_problog_says(causes: str, answers: str) -> None:
    """ProbLog 2.3 (KU Leuven): general inference that knows nothing of this engine."""
    bundle = _only(*causes.split())
    pairs = [(a, b) for a, _, b in (each.partition("=") for each in answers.split())]
    wanted = problog_model.probabilities(bundle, [], pairs, SEVERAL, ATTENTION)
    found = _engine(bundle, [], pairs)
    assert found == pytest.approx(wanted, abs=1e-12)


def _plain(case: dict[str, Any]) -> list[tuple[str, str]]:
    findings = load().causes["findings"]
    return [
        (each["finding"], each["value"])
        for each in case["observations"]
        if findings[each["finding"]]["kind"] != "history"
        and each["value"] not in findings[each["finding"]]["neutral"]
    ]


@pytest.mark.parametrize("case", CASES[::2], ids=[case["id"] for case in CASES[::2]])
def test_sets_left_out_change_no_probability_by_more_than_a_hundredth(case: dict[str, Any]) -> None:
    features = case["vehicle"]["features"][:1]
    bundle = dict(load().causes)
    wanted = every_set.probabilities(bundle, features, _plain(case), SEVERAL, ATTENTION)
    found = _engine(bundle, features, _plain(case))
    assert found == pytest.approx(wanted, abs=0.01)


def test_nothing_told_leaves_the_prior() -> None:
    wanted = every_set.probabilities(dict(load().causes), [], [], SEVERAL, ATTENTION)
    assert _engine(dict(load().causes), [], []) == pytest.approx(wanted, abs=0.01)
