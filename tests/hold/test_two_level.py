"""The leak apart from the drift by two pressures; the figures follow from the balance at both."""

from __future__ import annotations

import random

import pytest

from tests.hold.holds import KPA_PER_MIN, ML_PER_KPA, ML_PER_MIN
from weeptrace.hold.data import Reading
from weeptrace.hold.leak_law import exponent_between, hole, pore, unit_flow
from weeptrace.hold.two_level import Level, level, two_level
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

N_09 = limits() | {"hold.exponent": 0.9, "hold.exponent_uncertainty": 0.0}
LOW = Level(20e3, -0.0497 * KPA_PER_MIN, 0.0, 6.02 * ML_PER_KPA)
HIGH = Level(100e3, -0.1458 * KPA_PER_MIN, 0.0, 3.88 * ML_PER_KPA)


def test_golden_figures() -> None:
    # (6.02 x -0.0497 + 3.88 x 0.1458)/(1 - 0.2^0.9) = 0.348 mL/min, by hand.
    found = two_level(LOW, HIGH, N_09)
    assert found.flow.value / ML_PER_MIN == pytest.approx(0.348, rel=0.005)
    assert found.thermal.value / ML_PER_MIN == pytest.approx(-3.88 * 0.1458 + 0.3483, abs=1e-3)


def stretch(
    seen: Level, start: float, minutes: int, noise: float, rng: random.Random
) -> list[Reading]:
    return [
        Reading(60.0 * (start + k), seen.pressure + 60.0 * k * seen.slope + rng.gauss(0.0, noise))
        for k in range(minutes + 1)
    ]


def test_the_price_is_noise() -> None:
    # Low, high, low for 5, 10, 5 min, a reading a minute, sigma 0.6 kPa: 0.85 mL/min with much
    # air, 0.22 filled to the neck (1.4 and 1.1 mL/kPa); and what 400 drawn holds scatter by.
    rng = random.Random("two levels")

    def drawn(low_c: float, high_c: float) -> tuple[float, float]:
        flows, noise = [], 0.0
        for _ in range(400):
            low = level(
                [stretch(LOW, 0, 5, 600.0, rng), stretch(LOW, 17, 5, 600.0, rng)], 600.0, low_c
            )
            high = level([stretch(HIGH, 6, 10, 600.0, rng)], 600.0, high_c)
            found = two_level(low, high, N_09)
            flows.append(found.flow.value)
            noise = found.noise
        mean = sum(flows) / len(flows)
        sd = (sum((q - mean) ** 2 for q in flows) / (len(flows) - 1)) ** 0.5
        return noise / ML_PER_MIN, sd / ML_PER_MIN

    noise, seen = drawn(6.02 * ML_PER_KPA, 3.88 * ML_PER_KPA)
    assert noise == pytest.approx(0.85, abs=0.01)
    assert seen == pytest.approx(noise, rel=0.11)  # 400 draws: 3.5 % standard error
    noise, seen = drawn(1.4 * ML_PER_KPA, 1.1 * ML_PER_KPA)
    assert noise == pytest.approx(0.20, abs=0.03)
    assert seen == pytest.approx(noise, rel=0.11)


def test_low_high_low_takes_out_an_even_change_of_the_drift() -> None:
    # E changes from -0.5 to -0.1 mL/min over 20 min, evenly; leak 0.3 mL/min at 100 kPa, n 0.9.
    def flow_at(minute: float) -> float:
        return (-0.5 + 0.02 * minute) * ML_PER_MIN

    def seen(start: int, span: int, pressure: float, leak: float, c: float) -> list[Reading]:
        rows, p = [], pressure
        for k in range(60 * span + 1):
            if k % 60 == 0:
                rows.append(Reading(60.0 * start + k, p))
            p += (flow_at(start + k / 60) - leak) / c
        return rows

    q, small = 0.3 * ML_PER_MIN, 0.3 * 0.2**0.9 * ML_PER_MIN
    lows = [seen(at, 5, 20e3, small, 3e-9) for at in (0, 15)]
    high = level([seen(5, 10, 100e3, q, 2e-9)], 100.0, 2e-9)
    both = two_level(level(lows, 100.0, 3e-9), high, N_09).flow.value
    first = two_level(level(lows[:1], 100.0, 3e-9), high, N_09).flow.value
    assert both == pytest.approx(q, rel=0.01)
    assert abs(first - q) > 0.3 * q


def test_a_known_drift_measures_the_exponent() -> None:
    rate = -3.88 * 0.1458 * ML_PER_MIN + two_level(LOW, HIGH, N_09).flow.value
    assert two_level(LOW, HIGH, N_09, thermal=rate).measured_exponent == pytest.approx(0.9)
    assert two_level(LOW, HIGH, N_09).measured_exponent is None
    # A leak below zero at one level has no exponent.
    assert two_level(LOW, HIGH, N_09, thermal=-1.0 * ML_PER_MIN).measured_exponent is None


def test_size_but_not_the_question_depends_on_exponent_and_compliance() -> None:
    low, high = (Level(x.pressure, x.slope, 40e-3, x.compliance) for x in (LOW, HIGH))
    plain = two_level(low, high, N_09)
    wide = two_level(low, high, N_09 | {"hold.exponent_uncertainty": 0.25}, 0.1)
    assert wide.noise == plain.noise
    assert wide.claimed == plain.claimed
    assert wide.flow.high > plain.flow.high
    assert wide.smallest_detectable == pytest.approx(3.29 * plain.noise)


@pytest.mark.parametrize(
    ("low", "good"), [(79e3, True), (80e3, True), (80.1e3, False), (0.0, False)]
)
def test_levels_too_near(low: float, good: bool) -> None:
    near = Level(low, LOW.slope, 0.0, LOW.compliance)
    if good:
        assert two_level(near, HIGH, N_09).flow.value > 0.0
    else:
        with pytest.raises(Refusal, match="close to each other"):
            two_level(near, HIGH, N_09)


def test_a_stretch_of_one_reading_has_no_slope() -> None:
    with pytest.raises(Refusal, match="no slope"):
        level([[Reading(0.0, 1e5)]], 600.0, 1e-9)


def test_exponent_between_and_its_refusals() -> None:
    at_low, at_high = (unit_flow(p, 100e3, 0.7) for p in (20e3, 100e3))
    assert exponent_between(20e3, at_low, 100e3, at_high) == pytest.approx(0.7)
    for bad in ((100e3, 1.0, 20e3, 1.0), (20e3, 0.0, 100e3, 1.0), (0.0, 1.0, 100e3, 1.0)):
        with pytest.raises(Refusal):
            exponent_between(*bad)


def test_holes_and_pores() -> None:
    # Common practice: about 7, 22 and 90 micrometres; below about 2 no liquid at 100 kPa.
    for flow, micro in ((0.02, 7), (0.2, 22), (3.3, 90)):
        assert hole(flow * ML_PER_MIN, 100e3, 1068.0) * 1e6 == pytest.approx(micro, rel=0.04)
    assert pore(100e3) * 1e6 == pytest.approx(2.0, abs=0.3)
