"""Intervals of a hold that follow from a formula, by a second way: a certified line, draws, a scan.

None shares code with what it judges. A width that is off by 15 % fails each of them.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable
from typing import Any

import numpy
import pytest

from tests.hold.holds import KPA_PER_MIN, ML, ML_PER_KPA, ML_PER_MIN
from weeptrace.door import call
from weeptrace.finding import Estimate
from weeptrace.hold.compare import ratio
from weeptrace.hold.data import Compliance, Drawn, Headspace, Reading, Stored, Strokes
from weeptrace.hold.looks import straight_fall
from weeptrace.hold.plan import plan
from weeptrace.hold.stored import stored_volume
from weeptrace.hold.two_level import Level, level, two_level
from weeptrace.rules import limits

LIMITS = limits()
DRAWS = 20000  # tell a standard deviation to 0.5 %
Floats = numpy.ndarray[Any, numpy.dtype[numpy.float64]]

# NIST StRD, linear regression, "Norris": y against x. Certified (B1, its standard deviation, the
# residual one): they follow from these 36 rows only if each is right.
NORRIS = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3
449.1 448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0
448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3
0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3
228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5
"""
SLOPE, SLOPE_SD, RESIDUAL_SD = 1.00211681802045, 0.429796848199937e-3, 0.884796396144373


def norris() -> tuple[list[float], list[float]]:
    numbers = [float(word) for word in NORRIS.split()]
    pairs = sorted(zip(numbers[1::2], numbers[::2], strict=True))
    return [x for x, _ in pairs], [y for _, y in pairs]


def test_a_straight_fall_by_its_scatter_is_the_certified_line() -> None:
    x, y = norris()
    assert len(x) == 36
    found = straight_fall(x, [-value for value in y], 0.0, LIMITS)
    assert found is not None
    assert found.value == pytest.approx(SLOPE, rel=1e-12)
    assert (found.high - found.value) / 1.96 == pytest.approx(SLOPE_SD, rel=1e-9)
    assert (found.value - found.low) / 1.96 == pytest.approx(SLOPE_SD, rel=1e-9)


@pytest.mark.parametrize("factor", [0.5, 0.99, 1.01, 3.0])
def test_the_larger_of_usual_noise_and_scatter_counts(factor: float) -> None:
    x, y = norris()
    found = straight_fall(x, [-value for value in y], factor * RESIDUAL_SD, LIMITS)
    assert found is not None
    assert found.high - found.low == pytest.approx(3.92 * SLOPE_SD * max(factor, 1.0), rel=1e-9)


def test_three_readings_have_one_degree_of_freedom() -> None:
    # By hand: 0, 3, 0 at -1, 0, 1: slope 0, residuals -1, 2, -1, s = sqrt(6/1), over sqrt(2).
    found = straight_fall([-1.0, 0.0, 1.0], [0.0, 3.0, 0.0], 0.0, LIMITS)
    assert found is not None
    assert found.high == pytest.approx(1.96 * math.sqrt(3.0))


# --- two levels ----------------------------------------------------------------------------------

LOW_C, HIGH_C, LOW_P, HIGH_P = 3.0 * ML_PER_KPA, 2.0 * ML_PER_KPA, 25e3, 100e3
LOW_U, HIGH_U = 0.03 * KPA_PER_MIN, 0.06 * KPA_PER_MIN


@pytest.mark.parametrize(("n", "n_sd", "relative"), [(0.75, 0.0, 0.0), (0.75, 0.05, 0.1)])
def test_leak_and_drift_of_two_levels_scatter_as_told(
    n: float, n_sd: float, relative: float
) -> None:
    # Slopes, exponent and the compliances' common scale drawn around one truth; the estimates are
    # those of the usual exponent and the typed compliances.
    rng = numpy.random.default_rng(11)
    leak, drift = 0.5 * ML_PER_MIN, -0.3 * ML_PER_MIN
    scale = 1.0 + relative * rng.standard_normal(DRAWS)
    power = n + n_sd * rng.standard_normal(DRAWS)
    at_low = leak * (LOW_P / HIGH_P) ** power
    low = (drift - at_low) / (scale * LOW_C) + LOW_U * rng.standard_normal(DRAWS)
    high = (drift - leak) / (scale * HIGH_C) + HIGH_U * rng.standard_normal(DRAWS)
    known = LIMITS | {"hold.exponent": n, "hold.exponent_uncertainty": n_sd}
    flows, rates = [], []
    for a, b in zip(low[:4000], high[:4000], strict=True):
        found = two_level(
            Level(LOW_P, float(a), LOW_U, LOW_C),
            Level(HIGH_P, float(b), HIGH_U, HIGH_C),
            known,
            relative,
        )
        flows.append((found.flow.value - leak) / (found.flow.high - found.flow.value) * 1.96)
        rates.append((found.thermal.value - drift) / (found.thermal.high - found.thermal.low))
    assert statistics.pstdev(flows) == pytest.approx(1.0, abs=0.05)
    assert statistics.pstdev(rates) * 3.92 == pytest.approx(1.0, abs=0.05)
    told = two_level(
        Level(LOW_P, float(low.mean()), LOW_U, LOW_C),
        Level(HIGH_P, float(high.mean()), HIGH_U, HIGH_C),
        known,
        relative,
    )
    # The same by the needle alone: 2 x 1.645 of it is flagged in 95 of 100.
    part = 1.0 - (LOW_P / HIGH_P) ** n
    needle = math.hypot(LOW_C * LOW_U, HIGH_C * HIGH_U) / part
    assert told.smallest_detectable == pytest.approx(3.29 * needle)
    sd = (told.flow.high - told.flow.value) / 1.96
    assert told.not_larger_than == pytest.approx(told.flow.value + 1.645 * sd)


def test_the_slope_of_a_level_scatters_as_told() -> None:
    rng = numpy.random.default_rng(12)
    slopes, told = [], 0.0
    for _ in range(3000):
        parts = [
            [Reading(60.0 * k, 20e3 - k + rng.normal(0.0, 600.0)) for k in range(first, first + 6)]
            for first in (0, 17)
        ]
        found = level(parts, 600.0, LOW_C)
        slopes.append(found.slope)
        told = found.slope_sd
    assert told / statistics.pstdev(slopes) == pytest.approx(1.0, abs=0.05)


# --- before against after ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after"),
    [((2.0, 0.3), (0.3, 0.1)), ((2.0, 0.7), (0.4, 0.1)), ((1.0, 0.1), (1.2, 0.3))],
)
def test_the_ends_of_a_ratio_by_a_scan(
    before: tuple[float, float], after: tuple[float, float]
) -> None:
    # Fieller: all q at which a - q b is within 1.96 of its own standard error of zero.
    (b, sb), (a, sa) = before, after
    left = ratio(
        Estimate(b, b - 1.96 * sb, b + 1.96 * sb), Estimate(a, a - 1.96 * sa, a + 1.96 * sa), LIMITS
    )
    scan = numpy.linspace(0.0, 5.0, 500001)
    within = scan[numpy.abs(a - scan * b) <= 1.96 * numpy.hypot(sa, scan * sb)]
    assert left.value == pytest.approx(a / b)
    assert left.low == pytest.approx(within[0], abs=2e-5)
    assert left.high == pytest.approx(within[-1], abs=2e-5)


# --- stored volume -------------------------------------------------------------------------------

START, TARGET, PLACE, VAPOUR = 110e3, 100e3, 80.5e3, 1.7e3  # 1900 m, two different targets
DRY = PLACE - VAPOUR
HOSES, HOSES_SD = 0.5 * ML_PER_KPA, 0.25 * ML_PER_KPA  # common practice, limits of the room
Draw = Callable[[numpy.random.Generator, Floats], Floats]


def by_strokes(count: float) -> Draw:
    def compliance(rng: numpy.random.Generator, hoses: Floats) -> Floats:
        """A tenth of the stroke; whole strokes were counted, so that any part of one may lack."""
        strokes = count + rng.uniform(-0.5, 0.5, DRAWS)
        air = strokes * 40 * ML * (1.0 + 0.1 * rng.standard_normal(DRAWS))
        gas = PLACE * air / START - DRY * hoses  # the mass of dry air, as in pump
        return hoses + gas * (START + DRY) / (TARGET + DRY) ** 2

    return compliance


def by_headspace(rng: numpy.random.Generator, hoses: Floats) -> Floats:
    headspace = 800 * ML * (1.0 + 0.1 * rng.standard_normal(DRAWS))
    return hoses + (headspace + hoses * START) * (START + DRY) / (TARGET + DRY) ** 2


def by_drawn(caught: bool) -> Draw:
    def compliance(rng: numpy.random.Generator, hoses: Floats) -> Floats:
        """Weighed to 0.5 mL, a tenth of a caught leak lost; the needle read twice, 0.6 kPa."""
        lost = 15 * ML * 0.1 * rng.standard_normal(DRAWS) if caught else 0.0
        volume = 15 * ML + 0.5 * ML * rng.standard_normal(DRAWS) + lost
        fall = 8e3 + 0.6e3 * (rng.standard_normal(DRAWS) - rng.standard_normal(DRAWS))
        gas = (volume / fall - hoses) * (START + DRY) * (START - 8e3 + DRY)
        return hoses + gas / (TARGET + DRY) ** 2

    return compliance


def typed(rng: numpy.random.Generator, hoses: Floats) -> Floats:
    return 3.0 * ML_PER_KPA * (1.0 + 0.1 * rng.standard_normal(DRAWS)) + 0.0 * hoses


@pytest.mark.parametrize(
    ("given", "draw"),
    [
        (Strokes(27, 40 * ML), by_strokes(27)),
        (Strokes(6, 40 * ML), by_strokes(6)),  # here the half stroke is as large as the tenth
        (Strokes(3, 40 * ML), by_strokes(3)),
        (Headspace(800 * ML), by_headspace),
        (Drawn(15 * ML, START, START - 8e3), by_drawn(caught=False)),
        (Drawn(15 * ML, START, START - 8e3, by_leak=True), by_drawn(caught=True)),
        (Compliance(3.0 * ML_PER_KPA), typed),
    ],
    ids=["27 strokes", "6 strokes", "3 strokes", "headspace", "drawn", "caught", "typed"],
)
def test_the_stored_volume_scatters_as_told(given: Stored, draw: Draw) -> None:
    rng = numpy.random.default_rng(13)
    hoses = HOSES + HOSES_SD * rng.standard_normal(DRAWS)
    drawn = draw(rng, hoses)
    found = stored_volume(given, START, TARGET, PLACE, VAPOUR, LIMITS, noise=600.0)
    # Middle half, so that the long tail of a quotient does not count: 1.349 sd of a normal.
    quarters = numpy.quantile(drawn, [0.25, 0.5, 0.75])
    assert found.compliance == pytest.approx(quarters[1], rel=0.02)
    assert found.uncertainty == pytest.approx((quarters[2] - quarters[0]) / 1.349, rel=0.04)


def q(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


def test_the_interval_of_the_stored_volume_through_the_door() -> None:
    # 27 strokes of 40 mL to 100 kPa at sea level and 0 °C (vapour 0.5 kPa), hoses 0.3 mL/kPa
    # measured, known to half of it: C = Ch + Pa N Vs/p/(p + P) - P Ch/(p + P), by hand.
    found = call(
        "hold.stored_volume",
        {
            "stored": {"strokes": 27, "stroke_volume": q(40, "mL")},
            "pressure": q(100, "kPa"),
            "hoses": q(0.3, "mL/kPa"),
            "temperature": q(0, "°C"),
        },
    )["compliance"]
    dry = 101.325 - 0.46
    air = 101.325 * 27 * 40 / 100.0 / (100.0 + dry)
    expected = 0.3 + air - dry * 0.3 / (100.0 + dry)
    counted = math.hypot(0.1, math.sqrt(1.0 / 12.0) / 27.0)
    sd = math.hypot(air * counted, 0.15 * 100.0 / (100.0 + dry))
    assert found["value"] == pytest.approx(expected, rel=2e-3)
    assert (found["high"] - found["value"]) / 1.96 == pytest.approx(sd, rel=5e-3)
    assert (found["value"] - found["low"]) / 1.96 == pytest.approx(sd, rel=5e-3)


# --- plan ----------------------------------------------------------------------------------------


def test_a_plan_scatters_as_told() -> None:
    # 31 readings in half an hour: the needle drawn, a drift of 0.01 K/min (1 sigma, engine at
    # rest), a tester's fall of 0.1 kPa/min in 0.3 mL/kPa; a straight line by numpy through each.
    rng = numpy.random.default_rng(14)
    times = 60.0 * numpy.arange(31)
    c, per_kelvin, fall = 2.0 * ML_PER_KPA, 5.0 * ML, 0.1 * KPA_PER_MIN
    drift = 0.01 / 60.0 * rng.standard_normal(DRAWS) * per_kelvin
    tester = fall * rng.standard_normal(DRAWS) * 0.3 * ML_PER_KPA
    seen = numpy.outer(times, (drift + tester) / c) + rng.normal(0.0, 600.0, (31, DRAWS))
    flows = c * numpy.polyfit(times, seen, 1)[0]
    found = plan(list(times), 600.0, c, LIMITS, per_kelvin=per_kelvin, self_leak=fall)
    assert found.uncertainty / flows.std() == pytest.approx(1.0, abs=0.03)
    assert found.not_larger_than / flows.std() == pytest.approx(1.645, rel=0.03)
    assert found.smallest_detectable / flows.std() == pytest.approx(3.29, rel=0.03)
    assert found.by_drift == pytest.approx(0.05 * ML_PER_MIN)
    assert found.by_tester == pytest.approx(0.03 * ML_PER_MIN)


def test_what_settling_leaves_open_in_a_plan() -> None:
    # The volume that hoses still take from 2 to 12 min after pumping, by small steps of their
    # rate, for a share that is 2 % more than usual (one sigma); tau 1.7 min.
    step, taken = 0.1, 0.0
    for k in range(6000):
        age = 120.0 + (k + 0.5) * step
        taken += 0.5 * ML_PER_KPA * 0.02 * 100e3 / 102.0 * math.exp(-age / 102.0) * step
    times = [60.0 * k for k in range(11)]
    found = plan(times, 0.0, 1e-9, LIMITS, hoses=0.5 * ML_PER_KPA, pressure=100e3, waited=120.0)
    assert found.by_settling == pytest.approx(taken / 600.0, rel=1e-4)
    assert found.uncertainty == pytest.approx(found.by_settling)
