"""Fictional practice cars whose truth is known (constructed, computed by another model)."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from tests.hold.holds import (
    LITRE_PER_1000_KM,
    ML,
    ML_PER_KPA,
    ML_PER_MIN,
    hold_of,
    minutes,
    readings,
)
from tests.simulated_car import Car
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Action, Assessment, Headspace, Hold, Reading, Strokes
from weeptrace.properties.air import pressure
from weeptrace.rules import limits

SEAM = Car(start=110e3, gas_volume=150e-6, altitude=190.0, temperature=281.15, strength=0.46)
SEAM_TO_NECK = Hold(
    readings([(0, 110), (1, 108.3), (3, 105.7), (5, 103.6), (10, 98.6), (15, 94.0)]),
    2e3,
    rated=110e3,
    atmosphere=pressure(190.0),
    stored=Strokes(5.4, 40 * ML),
    liquid_volume=7.5e-3,
)


def flow(found: Assessment) -> tuple[float, float, float]:
    """mL/min: value, low, high."""
    assert found.leak_flow is not None
    e = found.leak_flow
    return e.value / ML_PER_MIN, e.low / ML_PER_MIN, e.high / ML_PER_MIN


def bound(found: Assessment) -> float:
    """X in mL/min."""
    assert found.not_larger_than_flow is not None
    return found.not_larger_than_flow / ML_PER_MIN


def test_sealed_to_the_neck_settles_and_does_not_leak() -> None:
    # 110 -> 108.7 kPa, from minute 8 on steady: hoses only.
    assert SEAM.pressure_at([480.0])[0] == pytest.approx(108.7e3, abs=100)
    found = assess(hold_of(SEAM, minutes(16)), limits())
    assert found.verdict == "no_leak_found"
    assert max(found.explanations, key=lambda name: found.explanations[name]) == "settling"
    assert sum(found.explanations.values()) == pytest.approx(1.0)
    assert bound(found) < 0.2


def test_sealed_to_the_neck_as_readers_see_it() -> None:
    found = [
        assess(hold_of(SEAM, minutes(16), rng=random.Random(seed)), limits()) for seed in range(20)
    ]
    # A 5 % test: 0 to 4 false leaks of 20 are within chance (binomial, 99.7 %).
    assert sum(one.verdict == "no_leak_found" for one in found) >= 16
    favoured = [max(one.explanations, key=lambda name: one.explanations[name]) for one in found]
    assert favoured.count("settling") > 10
    assert favoured.count("leak") + favoured.count("leak_and_settling") <= 4


def test_the_same_car_leaking() -> None:
    found = assess(SEAM_TO_NECK, limits())
    assert found.verdict == "leaking"
    value, low, high = flow(found)
    assert value == pytest.approx(1.27, abs=0.3)
    assert low < 1.27 < high
    assert found.exponent is not None
    assert found.exponent.assumed
    assert found.target == 110e3


def test_as_found_with_1600_ml_of_air() -> None:
    found = assess(
        replace(
            SEAM_TO_NECK,
            readings=readings(
                [(0, 110), (1, 109.8), (3, 109.4), (5, 109.0), (10, 108.3), (15, 107.5)]
            ),
            stored=Strokes(46, 40 * ML),
            liquid_volume=6.4e-3,
        ),
        limits(),
    )
    assert found.verdict in ("leaking", "seeping_or_leaking")
    value, low, high = flow(found)
    assert value == pytest.approx(1.3, abs=0.6)
    assert low < 1.27 < high


def test_static_hold_of_a_pump_seal_excludes_only_what_it_could_see() -> None:
    car = Car(
        start=140e3,
        gas_volume=900e-6,
        liquid_volume=11.6e-3,
        compliance=0.7 * ML_PER_KPA,
        altitude=420.0,
        temperature=288.15,
    )
    owner = 0.6 * LITRE_PER_1000_KM
    as_found = assess(hold_of(car, minutes(16), owner_rate=owner), limits())
    assert as_found.verdict == "too_weak"
    assert 0.2 <= bound(as_found) <= 0.35
    # Temperature is the floor: no time is enough, less air is.
    assert as_found.more_time is None
    to_neck = replace(car, gas_volume=120e-6, liquid_volume=12.4e-3)
    found = assess(hold_of(to_neck, minutes(16), owner_rate=owner), limits())
    assert found.verdict == "no_leak_found"
    assert bound(found) == pytest.approx(0.12, abs=0.03)
    assert found.more_time is None


WARM = Car(
    start=140e3,
    gas_volume=450e-6,
    liquid_volume=4.2e-3,
    compliance=0.35 * ML_PER_KPA,
    altitude=60.0,
    temperature=328.15,
    cooling=-0.01,
    expansion=6.2e-4,
    strength=0.45,
)


def warm_hold(every: int) -> Hold:
    hold = hold_of(
        WARM, minutes(16), ambient_temperature=294.15, owner_rate=0.2 * LITRE_PER_1000_KM
    )
    logged = tuple(
        Reading(r.time, r.pressure, WARM.temperature_at(r.time) if index % every == 0 else None)
        for index, r in enumerate(hold.readings)
    )
    return replace(hold, readings=logged)


@pytest.mark.parametrize("every", [1, 5])
def test_19_kpa_by_cooling_are_no_leak_when_logged(every: int) -> None:
    found = assess(warm_hold(every), limits())
    assert found.verdict == "too_weak"
    assert found.rate is not None
    assert found.rate.low < 0.0 < found.rate.high


def test_a_warm_engine_without_a_log_is_not_judged() -> None:
    found = assess(warm_hold(100), limits())
    assert found.verdict == "not_judged"
    assert found.reason is not None
    assert found.reason.code == "engine_warm"


def test_heater_core_over_an_hour() -> None:
    found = assess(
        Hold(
            readings(
                [(0, 100), (1, 99.6), (5, 99), (10, 98.5), (15, 98.1), (30, 96.8), (60, 94.3)]
            ),
            2e3,
            stored=Strokes(18, 40 * ML),
            atmosphere=pressure(540.0),
            liquid_volume=10.4e-3,
        ),
        limits(),
    )
    assert found.verdict in ("leaking", "seeping_or_leaking")
    assert flow(found)[0] == pytest.approx(0.35, abs=0.12)


def test_impact_leaks_4_ml_min() -> None:
    found = assess(
        Hold(
            readings(
                [(0, 110), (1, 106.9), (2, 104.1), (3, 101.5), (5, 96.7), (8, 90.1), (10, 86)]
            ),
            2e3,
            target=100e3,
            stored=Strokes(7.8, 40 * ML),
            atmosphere=pressure(20.0),
            liquid_volume=5.6e-3,
        ),
        limits(),
    )
    assert found.verdict in ("leaking_or_gross", "gross")
    assert flow(found)[0] == pytest.approx(4.0, abs=0.6)


@pytest.mark.parametrize("planned", [None, 900.0])
@pytest.mark.parametrize("stored", [Strokes(7.8, 40 * ML), None])
def test_half_gone_within_a_minute_is_called_at_three_readings(
    planned: float | None, stored: Strokes | None
) -> None:
    seen = readings([(0, 110), (0.33, 88), (0.75, 62)])
    found = assess(Hold(seen, 2e3, stored=stored, planned=planned), limits())
    assert found.verdict == "gross"


def test_two_levels_tell_leak_from_drift() -> None:
    # 5 min at 20 kPa, pumped up, 10 min at 100 kPa, while the car cools unnoticed by 0.03 K/min.
    # An integration of its own: hoses 0.5 mL/kPa, 300 mL of gas, leak 0.4 mL/min at 100 kPa, n 0.9.
    hoses, outside, thermal = 0.5 * ML_PER_KPA, 101e3, 4.5 * ML
    pressure_now, gas, step = 20e3, 300 * ML, 0.5
    rows: list[Reading] = []
    for k in range(int(900 / step) + 1):
        time = k * step
        if time == 330.0:
            pressure_now, gas = 100e3, gas + hoses * (100e3 - pressure_now)
        if time % 60 == 0:
            rows.append(Reading(time, pressure_now))
        leak = 0.4 * ML_PER_MIN * (pressure_now / 100e3) ** 0.9
        flow_out = leak + thermal * 0.03 / 60
        fall = flow_out / (hoses + gas / (pressure_now + outside)) * step
        gas *= (pressure_now + outside) / (pressure_now - fall + outside)
        pressure_now -= fall
    known = dict(limits()) | {"hold.creep_share": 0.0, "hold.creep_share_uncertainty": 1e-4}
    known["hold.temperature_drift_unknown"] = 0.05 / 60
    hold = Hold(
        tuple(rows),
        200.0,
        target=100e3,
        atmosphere=103e3,
        stored=Headspace(300 * ML - hoses * 20e3),
        actions=(Action("pumped", 330.0),),
    )
    truth = 0.4 * ML_PER_MIN
    double = assess(hold, known)
    top = tuple(r for r in rows if r.time > 330.0)
    volume = 300 * ML - hoses * 20e3
    single = assess(replace(hold, readings=top, actions=(), stored=Headspace(volume)), known)
    assert double.leak_flow is not None
    assert single.leak_flow is not None
    assert double.leak_flow.low < truth < double.leak_flow.high
    assert abs(double.leak_flow.value - truth) < 0.5 * abs(single.leak_flow.value - truth)
    width = [one.leak_flow.high - one.leak_flow.low for one in (double, single)]
    assert width[0] < 0.6 * width[1]
