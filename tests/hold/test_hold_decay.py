"""The forward model against closed forms, finite differences and an independent integrator."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from tests.hold.holds import ML_PER_KPA, ML_PER_MIN, hold_of, minutes
from tests.simulated_car import Car, Kind, draw
from weeptrace.hold.decay import START, Segment, System, decay
from weeptrace.hold.liquid_hold import liquid_hold
from weeptrace.hold.warmth import Course
from weeptrace.rules import limits

STILL = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
KNOWN = System(100e3, 100e3, 40.0, 0.0, STILL, 30.0)
STIFF = Segment(0.0, 1.0, 0.0, ())
SOFT = Segment(0.0, 0.4, 0.6 * 200e3**2, ((0.0, 100e3),))


@pytest.mark.parametrize(
    ("exponent", "rate_kpa_min", "expected"),
    [
        (1.0, 100 * 0.02, 100 * math.exp(-0.3)),  # p0 exp(-k't), k' 0.02/min, 15 min: 74.1 kPa
        (0.5, 0.2 * 10, (10 - 0.2 * 15 / 2) ** 2),  # sqrt p = sqrt p0 - k't/2, k' 0.2: 72.25 kPa
        # p^(1-n) = p0^(1-n) - (1-n) k' t
        (0.75, 2.0, (100**0.25 - 0.25 * 2.0 / 100**0.75 * 15) ** 4),
        (2.0, 3.0, 1.0 / (1 / 100 + 3.0 / 100**2 * 15)),
    ],
)
def test_closed_forms_at_constant_compliance(
    exponent: float, rate_kpa_min: float, expected: float
) -> None:
    values = [rate_kpa_min * 1e3 / 60, exponent, 0.0, 4.0, 0.0, 0.0, 100e3]
    pressures, _ = decay(KNOWN, STIFF, values, minutes(16))
    assert pressures[-1] / 1e3 == pytest.approx(expected, rel=1e-5)


def test_golden_figures() -> None:
    # Computed from the closed forms above: 74.1 and 72.25 kPa after 15 min.
    for exponent, rate, golden in ((1.0, 2.0, 74.1), (0.5, 2.0, 72.25)):
        values = [rate * 1e3 / 60, exponent, 0.0, 4.0, 0.0, 0.0, 100e3]
        pressures, _ = decay(KNOWN, STIFF, values, [900.0])
        assert pressures[0] / 1e3 == pytest.approx(golden, abs=0.05)


@pytest.mark.parametrize("segment", [STIFF, SOFT])
@pytest.mark.parametrize("rate", [0.0, 5.0, 80.0, 600.0])
def test_derivatives_are_those_of_the_pressures(segment: Segment, rate: float) -> None:
    values = [rate, 0.7, 0.03, math.log(100.0), 0.01, 2e-4, 99e3]
    steps = [1e-3, 1e-5, 1e-6, 1e-5, 1e-6, 1e-8, 1.0]
    times = [0.0, 7.0, 30.0, 61.0, 200.0, 455.0, 900.0]
    _, rows = decay(KNOWN, segment, values, times)
    for j, step in enumerate(steps):
        up, down = list(values), list(values)
        up[j] += step
        down[j] -= step
        above, _ = decay(KNOWN, segment, up, times)
        below, _ = decay(KNOWN, segment, down, times)
        numeric = [(a - b) / (2 * step) for a, b in zip(above, below, strict=True)]
        scale = max(map(abs, numeric)) + 1e-9
        for row, expected in zip(rows, numeric, strict=True):
            assert row[j] == pytest.approx(expected, rel=5e-3, abs=5e-3 * scale)


def test_closed_form_without_a_leak_equals_the_integration() -> None:
    values = [0.0, 0.7, 0.03, math.log(100.0), 0.01, 2e-4, 99e3]
    times = [0.0, 20.0, 100.0, 500.0, 900.0]
    with_leak, rows = decay(KNOWN, SOFT, values, times)
    without, plain = decay(KNOWN, SOFT, values, times, leaks=False)
    assert without == pytest.approx(with_leak, rel=1e-12)
    for row, other in zip(rows, plain, strict=True):
        assert other[2:] == pytest.approx(row[2:], rel=1e-9)


@pytest.mark.parametrize("kind", ["tight", "settling", "seeping", "leaking", "gross"])
def test_the_second_model_gives_the_same_pressures(kind: Kind) -> None:
    rng = random.Random(kind)
    known = dict(limits())
    for _ in range(4):
        car = draw(rng, kind)
        known["hold.hose_compliance"] = car.compliance
        times = minutes(16)
        hold = hold_of(car, times, target=100e3)
        held = liquid_hold(hold, hold.readings, known)
        stored, series = held.stored, held.series
        compliance = car.total_compliance(100e3)
        assert stored.compliance == pytest.approx(compliance, rel=2e-3)
        values = [
            car.leak_flow(100e3) / compliance,
            car.exponent,
            car.creep_share,
            math.log(car.creep_time),
            0.0,
            0.0,
            car.start,
        ]
        assert len(values) == START + 1
        pressures, _ = series.predict(values)
        assert pressures == pytest.approx(car.pressure_at(times), abs=150.0)


def test_temperature_and_vapour_as_in_the_second_model() -> None:
    # A warm engine that cools by 0.6 K/min: 140 to 121 kPa in 15 min without a leak.
    car = Car(
        start=140e3,
        gas_volume=450e-6,
        altitude=60.0,
        compliance=0.35 * ML_PER_KPA,
        liquid_volume=4.2e-3,
        temperature=328.15,
        cooling=-0.01,
        strength=0.45,
        creep_share=0.0,
    )
    known = dict(limits())
    known["hold.hose_compliance"] = car.compliance
    known["hold.expansion"], known["hold.expansion_growth"] = car.expansion, 0.0
    times = minutes(16)
    hold = hold_of(car, times)
    logged = tuple(replace(r, temperature=car.temperature_at(r.time)) for r in hold.readings)
    series = liquid_hold(replace(hold, readings=logged), logged, known).series
    assert series.system.course.slope == pytest.approx(-0.01)
    values = [0.0, 0.75, 0.0, 4.0, 0.0, 0.0, car.start]
    pressures, _ = series.predict(values)
    # Within 2 % of the fall: the volume per kelvin is taken as linear in the temperature.
    assert pressures == pytest.approx(car.pressure_at(times), abs=300.0)


def test_an_emptied_system_stays_at_zero() -> None:
    values = [100e3 / 30, 0.5, 0.0, 4.0, 0.0, 0.0, 110e3]
    pressures, _ = decay(KNOWN, STIFF, values, [0.0, 30.0, 60.0, 120.0, 900.0])
    assert pressures[0] == 110e3
    # sqrt p = sqrt p0 - k't/2: 30 kPa at 30 s, empty at 63 s.
    assert pressures[1] == pytest.approx(30.12e3, abs=50)
    assert all(abs(p) < 10.0 for p in pressures[3:])


def test_units_of_the_helpers() -> None:
    assert Car(leak_100=1.2 * ML_PER_MIN).leak_flow(100e3) * 60e6 == pytest.approx(1.2)
