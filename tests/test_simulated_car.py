"""The random cars of other tests: what they are called, and the same car however it is built."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from tests.simulated_car import ML_PER_KPA, ML_PER_MIN, Car, Kind, draw
from tests.simulated_vacuum import Drained
from weeptrace.practice.acts import pressures
from weeptrace.practice.balance import run
from weeptrace.practice.describe import load
from weeptrace.practice.state import charged, under

IMPACT = Car(
    start=110e3,
    gas_volume=250e-6,
    liquid_volume=5.6e-3,
    compliance=0.35 * ML_PER_KPA,
    leak_100=4.0 * ML_PER_MIN,
    altitude=20.0,
    temperature=289.15,
)


def test_the_flat_record_is_the_practice_car() -> None:
    car, start, condition = under(load("tace_impact"), "filled")
    whole = pressures(car, run(car, start, condition.times, condition.course))
    # The flat record's creep is driven by the start pressure all along: 0.3 kPa of 24 at most.
    assert IMPACT.pressure_at(condition.times) == pytest.approx(whole, abs=300.0)
    same = replace(car, hoses=replace(car.hoses, creep_at=110e3))
    exact = pressures(same, run(same, start, condition.times, condition.course))
    assert IMPACT.pressure_at(condition.times) == pytest.approx(exact, abs=0.5)


def test_the_drained_record_is_the_practice_car() -> None:
    car, _, condition = under(load("larkspur_vacuum"), "leak_up")
    stiff = replace(car, hoses=replace(car.hoses, compliance=0.0))
    start = charged(stiff, 0.0, 5.6e-3, -72.5e3)
    whole = pressures(stiff, run(stiff, start, condition.times))
    wet = stiff.vapour(stiff.temperature)
    box = Drained(
        volume=5.6e-3,
        start=stiff.atmosphere - 72.5e3,
        altitude=1900.0,
        orifice=stiff.leaks[0].orifice,
        vapour_pressure=wet,
        vapour_start=wet,
    )
    assert box.gauge_at(condition.times) == pytest.approx(whole, abs=1.0)


def test_compliance_at_another_pressure() -> None:
    # C = Ch + Vg/(p + Pa - pv), Vg (p + Pa - pv) the same at both pressures: 1.5 mL/kPa at 110 kPa.
    assert IMPACT.total_compliance(110e3) / ML_PER_KPA == pytest.approx(1.5, abs=0.1)
    car = IMPACT.physical()
    dry = car.atmosphere - car.vapour(car.temperature)
    gas = 250e-6 * (110e3 + dry) / (50e3 + dry)
    assert IMPACT.total_compliance(50e3) == pytest.approx(IMPACT.compliance + gas / (50e3 + dry))


def test_drawn_cars_are_what_they_are_called() -> None:
    rng = random.Random(11)
    for _ in range(20):
        assert draw(rng, "settling").leak_flow(100e3) == 0.0
        assert 0.2 <= draw(rng, "leaking").leak_flow(100e3) / ML_PER_MIN <= 3.3
        assert draw(rng, "gross").leak_flow(100e3) / ML_PER_MIN >= 5.0
        assert draw(rng, "cooling").cooling < 0.0


KINDS: list[Kind] = [
    "tight", "settling", "seeping", "leaking", "gross", "cooling", "cooling_leak",
]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_seed_draws_the_same_readings(kind: Kind) -> None:
    def seen(seed: int) -> list[float]:
        rng = random.Random(seed)
        return draw(rng, kind).needles([60.0 * k for k in range(16)], 2000.0, rng)

    assert seen(3) == seen(3)
    assert seen(3) != seen(4)
