"""A car's state by its own equations: the pressure balances the volumes, and amounts are in SI."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from weeptrace.practice.car import Car, Hoses
from weeptrace.practice.describe import load
from weeptrace.practice.state import (
    charged,
    compliance,
    gas_volume,
    gauge_pressure,
    liquid_volume,
    pressure,
    under,
)
from weeptrace.refusal import Refusal

R = 287.05  # J/(kg K), dry air: 8.314 J/(mol K) over 28.96 g/mol


def hoses_hold(hoses: Hoses, p: float) -> float:
    """Ch p, less what lies flat: Vf p²/(p² + pf²) in a vacuum."""
    flat = p * p / (p * p + hoses.flat_at**2) if p < 0.0 else 0.0
    return hoses.compliance * p - hoses.flat_volume * flat


def by_halves(hoses: Hoses, air: float, free: float, gas: float, vapour: float) -> float:
    """The pressure at which walls, hoses and gas fit, found by halving alone."""
    low, high = vapour - air + 1e-9, 1e7
    for _ in range(200):
        p = 0.5 * (low + high)
        if free + hoses_hold(hoses, p) < gas / (p + air - vapour):
            low = p
        else:
            high = p
    return 0.5 * (low + high)


def drawn(seed: int) -> tuple[Hoses, float, float, float, float]:
    chance = random.Random(seed)
    hoses = Hoses(
        chance.choice([0.0, 0.3e-9, 0.8e-9]),
        flat_volume=chance.choice([0.0, 0.2e-3, 0.6e-3]),
        flat_at=chance.choice([10e3, 20e3]),
    )
    air, vapour = chance.uniform(75e3, 103e3), chance.choice([0.0, 700.0, 20e3])
    free = chance.uniform(0.2e-3, 5e-3) + hoses.flat_volume
    return hoses, air, free, chance.uniform(0.05, 2.2) * air * free, vapour


@pytest.mark.parametrize("seed", range(60))
def test_the_pressure_is_where_walls_hoses_and_gas_fit(seed: int) -> None:
    hoses, air, free, gas, vapour = drawn(seed)
    found = gauge_pressure(hoses, air, free, gas, vapour)
    assert found == pytest.approx(by_halves(hoses, air, free, gas, vapour), abs=1e-3)
    left = free + hoses_hold(hoses, found) - gas / (found + air - vapour)
    assert abs(left) < 1e-11


def test_a_liquid_that_fills_stiff_walls_has_no_room() -> None:
    for free in (0.0, -1e-6):
        with pytest.raises(Refusal) as refused:
            gauge_pressure(Hoses(0.0), 100e3, free, 100.0, 0.0)
        assert refused.value.code == "no_room"
    # Hoses that give take what is too much: 10 mL more than the walls hold, by 0.5 mL/kPa.
    assert gauge_pressure(Hoses(0.5e-9), 100e3, -1e-5, 0.0, 0.0) == pytest.approx(20e3)
    # Room that exactly vanishes, c (Pa - pv): what is left is sqrt(gas / c).
    none = gauge_pressure(Hoses(1e-9), 100e3, 1e-4, 0.4, 0.0)
    assert none == pytest.approx(20e3 - 100e3)
    hardly = gauge_pressure(Hoses(0.0), 100e3, 1e-3, 0.0, 0.0)
    assert hardly == pytest.approx(-100e3)  # no gas at all: nothing but vacuum


CAR = replace(load("larkspur_seam"), expansion=4e-4, temperature=290.0, altitude=540.0)


def test_liquid_expands_from_the_cars_own_temperature() -> None:
    state = charged(CAR, 5e-3, 1e-3, 20e3, temperature=290.0, vapour=1e3)
    assert liquid_volume(CAR, state) == pytest.approx(5e-3)
    warm = replace(state, temperature=315.0)
    assert liquid_volume(CAR, warm) == pytest.approx(5e-3 * 1.01)
    assert liquid_volume(CAR, replace(state, temperature=265.0)) == pytest.approx(5e-3 * 0.99)


@pytest.mark.parametrize("gauge", [-30e3, 0.0, 60e3])
@pytest.mark.parametrize("kelvin", [270.0, 330.0])
def test_what_is_charged_is_there(gauge: float, kelvin: float) -> None:
    """m = (p + Pa - pv) V / (R T): the gas that was asked for, at the pressure that was asked."""
    car = replace(CAR, hoses=Hoses(0.5e-9, flat_volume=0.3e-3))
    state = charged(car, 5e-3, 1.3e-3, gauge, temperature=kelvin, vapour=2e3)
    assert state.air == pytest.approx(
        (gauge + car.atmosphere - 2e3) * 1.3e-3 / (R * kelvin), rel=1e-4
    )
    assert (state.vapour, state.temperature, state.strength) == (2e3, kelvin, car.strength)
    assert (state.time, state.crept, state.leaked, state.old) == (0.0, 0.0, 0.0, 1.0)
    assert pressure(car, state) == pytest.approx(gauge, abs=1e-2)
    assert gas_volume(car, state) == pytest.approx(1.3e-3, rel=1e-6)
    hot = 5e-3 * (1.0 + 4e-4 * (kelvin - 290.0))
    assert state.room == pytest.approx(hot + 1.3e-3 - hoses_hold(car.hoses, gauge), rel=1e-9)
    # What has crept is room more: the gas is thinner by it.
    wider = replace(state, crept=0.1e-3)
    assert pressure(car, wider) < pressure(car, state)
    more = gas_volume(car, wider) - gas_volume(car, state)
    given = hoses_hold(car.hoses, pressure(car, wider)) - hoses_hold(car.hoses, gauge)
    assert more == pytest.approx(0.1e-3 + given, rel=1e-6)


@pytest.mark.parametrize("gauge", [-30e3, 15e3, 80e3])
def test_the_compliance_is_volume_for_pressure(gauge: float) -> None:
    """A drop of liquid more, the gas and its vapour as they were: the pressure's answer to it."""
    car = replace(CAR, hoses=Hoses(0.5e-9, flat_volume=0.3e-3))
    state = charged(car, 5e-3, 1.3e-3, gauge, temperature=290.0, vapour=2e3)
    drop = 1e-9
    rise = pressure(car, replace(state, liquid=state.liquid + drop)) - pressure(car, state)
    assert compliance(car, state) == pytest.approx(drop / rise, rel=1e-3)


def test_what_is_not_given_is_the_cars_own() -> None:
    state = charged(CAR, 5e-3, 1e-3, 0.0)
    assert (state.temperature, state.vapour) == (290.0, CAR.vapour(290.0))


def test_below_its_vapour_pressure_it_boils_and_is_refused() -> None:
    car = Car("any", Hoses(0.0))  # at the sea: 101.325 kPa
    edge = charged(car, 1e-3, 1e-3, -99.325e3, temperature=300.0, vapour=2e3)
    assert edge.air == pytest.approx(0.0, abs=1e-15)
    with pytest.raises(Refusal) as refused:
        charged(car, 1e-3, 1e-3, -99.5e3, temperature=300.0, vapour=2e3)
    assert (refused.value.code, refused.value.path) == ("out_of_range", "pressure")
    for figure in ("26.85", "99.5"):  # °C, kPa
        assert figure in refused.value.message
    assert "99.3" in refused.value.accepted


def test_a_condition_changes_what_it_names_and_no_more() -> None:
    car = load("larkspur_seam")
    for condition in car.conditions:
        made, state, found = under(car, condition.name)
        assert found is condition
        assert made.leaks == (() if condition.sealed else car.leaks)
        assert made.temperature == state.temperature == condition.course.at(0.0)
        wanted = car.expansion if condition.expansion is None else condition.expansion
        assert (made.expansion, made.gas_inflow) == (wanted, condition.inflow)
        assert state.liquid == condition.liquid
        assert gas_volume(made, state) == pytest.approx(condition.gas, rel=1e-6)
        same = replace(made, temperature=car.temperature, expansion=car.expansion,
                       leaks=car.leaks, gas_inflow=car.gas_inflow)  # fmt: skip
        assert same == car
    with pytest.raises(Refusal) as refused:
        under(car, "no such")
    assert refused.value.code == "unknown_condition"
    assert refused.value.accepted == ", ".join(c.name for c in car.conditions)
    own = replace(car.conditions[0], expansion=7e-4, vapour=3e3, inflow=1e-6)
    made, state, _ = under(replace(car, conditions=(own,)), own.name)
    assert (made.expansion, made.gas_inflow, state.vapour) == (7e-4, 1e-6, 3e3)
