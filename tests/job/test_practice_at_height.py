"""The practice car at 1900 metres, carried on from where its events end."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.logbook import Logbook
from weeptrace.job import coolant, holds
from weeptrace.job.advance import fold
from weeptrace.job.state import Job
from weeptrace.rules import load

RULES = load()
CAR = Path(__file__).parents[2] / "demo_scenarios" / "larkspur_at_1900_metres.toml"


@pytest.fixture(scope="module")
def car() -> dict[str, Any]:
    return tomllib.loads(CAR.read_text("utf-8"))


def folded(log: Logbook) -> Job:
    return fold(RULES, log.events)


def begun(car: dict[str, Any]) -> Logbook:
    log = Logbook()
    for event in car["events"]:
        log.now = float(event["after"])
        log.add(event["kind"], event["field"], event["typed"], event.get("unit"))
    return log


def drawn_again(car: dict[str, Any]) -> Logbook:
    log = begun(car)
    log.add("mark", "vacuum.again")
    # The seal ring is in: it settles from 72.5 to 71.9 kPa below the air (constructed).
    for needle in ("72.5", "72.1", "71.9", "71.9", "71.9", "71.9", "71.9", "71.9"):
        log.now += 60.0
        log.add("reading", "vacuum.pressure", needle, "kPa")
    log.add("mark", "vacuum.ended")
    return log


def test_a_straight_leak_up_is_air_and_its_size_is_told(car: dict[str, Any]) -> None:
    log = begun(car)
    found = holds.assess(RULES, folded(log), folded(log).present(holds.VACUUM))
    assert found.verdict in car["expected"]["verdicts"][-1]
    assert max(found.explanations, key=lambda id: found.explanations[id]) == "air_leak"
    assert found.air_flow is not None
    assert found.liquid_equivalent is not None
    # Within a quarter, as a good reader of the shape would convert it; 12 mL/min as an orifice.
    assert found.air_flow.value * 60e6 == pytest.approx(car["expected"]["air_ml_per_min"], rel=0.25)
    assert found.liquid_equivalent.orifice.value * 60e6 == pytest.approx(12.0, rel=0.25)


def test_the_vacuum_is_judged_by_what_is_left_inside_not_by_the_needle(car: dict[str, Any]) -> None:
    log = drawn_again(car)
    found = holds.assess(RULES, folded(log), folded(log).present(holds.VACUUM))
    assert found.residual_fraction == pytest.approx(0.10, abs=0.005)
    assert found.verdict not in ("gross", "leaking", "leaking_or_gross", "seeping")


def test_the_uptake_and_the_container(car: dict[str, Any]) -> None:
    log = drawn_again(car)
    plan = coolant.uptake(RULES, folded(log))
    assert plan is not None
    expected = car["expected"]
    # Expected for the needle at which the pump stopped; it settled by 0.6 kPa, which is 0.05 L.
    assert 1e3 * plan.uptake == pytest.approx(expected["uptake_l"], abs=0.06)
    assert 1e3 * plan.air_left == pytest.approx(expected["air_left_l"], abs=0.06)
    assert 1e3 * plan.container == pytest.approx(expected["container_l"], abs=0.07)
    log.add("fact", "coolant.filled", "5.1", "L")
    plan = coolant.uptake(RULES, folded(log))
    assert plan is not None
    assert plan.judgement == "as_expected"


def test_the_strength_that_premix_gives(car: dict[str, Any]) -> None:
    mixed = coolant.mix_plan(RULES, folded(begun(car)))
    assert mixed is not None
    # (0.42 x 2.0 L + 0.50 x 5.6 L) / 7.6 L
    assert mixed.plan.result == pytest.approx(car["expected"]["strength_after"], abs=0.002)


def test_the_transmission_gets_back_what_it_lost(car: dict[str, Any]) -> None:
    found = coolant.transmission(RULES, folded(begun(car)))
    assert found is not None
    # 430 g at 0.85 g/mL
    assert 1e3 * found.out.value == pytest.approx(car["expected"]["transmission_l"], abs=0.005)
