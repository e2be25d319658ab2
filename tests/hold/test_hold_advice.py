"""What would let a hold see more, and what a known system shows, by differences and by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy
import pytest

from tests.hold.holds import ML, ML_PER_KPA
from tests.hold.second_way import Filled, Least, Prior, Stretch, slopes
from weeptrace.hold.advice import Present, advise
from weeptrace.hold.decay import System
from weeptrace.hold.expected import KnownSystem, pressures
from weeptrace.hold.stored import StoredVolume
from weeptrace.hold.warmth import Course
from weeptrace.rules import limits

LIMITS = limits()
TARGET, DRY, GAS, HOSES = 100e3, 78e3, 700 * ML * 178e3, 0.5 * ML_PER_KPA
PRESENT = Present(
    [60.0 * k for k in range(11)],
    600.0,
    2e3,
    HOSES,
    GAS,
    6 * ML,
    System(TARGET, DRY, 0.0, 0.0, Course(0.0, 0.0, 300.0, 0.0, 0.0, 0.0, 4e-4, False), 30.0),
    20.0,
)


def flow_sd(now: Present) -> float:
    """The same by differences: tight, and a leak that takes from the pressure as it takes from the
    start."""
    thin = math.ceil(len(now.times) / 12)
    times, noise = now.times[::thin], now.noise / math.sqrt(thin)
    start = times[0]
    dry = now.system.dry
    compliance = now.hoses + now.gas / (TARGET + dry) ** 2
    stretch = Stretch(start, now.gas, ((start, TARGET),), tuple(times))
    own = Filled(TARGET, dry, compliance, now.hoses, (stretch,), now.per_kelvin)
    share = math.hypot(0.02, 0.035 * 0.5)
    drift = (0.0, now.system.course.drift_sd)
    priors: list[Prior] = [None, None, (0.035, share), (math.log(102.0), 0.35), (0.0, 0.015), drift]
    values = [0.0, 0.75, 0.035, math.log(102.0), 0.0, 0.0, TARGET]
    least = Least(own, [0.0] * len(times), noise, [*priors, None],
                  (0.05, 1e-3, 1e-4, 1e-3, 1e-4, 1e-6, 5.0))  # fmt: skip
    by = slopes(own, values, least.steps)
    by[:, 0] = -(numpy.array(times) - start) * by[:, 6]
    used = [0, *range(2, 7)]
    h = by[:, used].T @ by[:, used] / noise**2
    for k, j in enumerate(used):
        if (prior := least.priors[j]) is not None:
            h[k, k] += 1.0 / prior[1] ** 2
    sd = math.sqrt(float(numpy.linalg.inv(h)[0, 0]))
    return math.hypot(compliance * sd, now.self_leak * 0.3 * ML_PER_KPA)


@pytest.mark.parametrize("count", [3, 11, 12, 13, 24, 25])
@pytest.mark.parametrize("first", [0.0, 90.0])
def test_the_error_of_a_tight_system_by_differences(count: int, first: float) -> None:
    now = replace(PRESENT, times=[first + 60.0 * k for k in range(count)])
    assert now.flow_sd(LIMITS) == pytest.approx(flow_sd(now), rel=1e-3)
    none = replace(now, self_leak=0.0)
    assert none.flow_sd(LIMITS) == pytest.approx(flow_sd(none), rel=1e-3)


def test_ways_to_see_more_are_weighed_against_the_hold_as_it_is() -> None:
    smallest, before = 2e-9, flow_sd(PRESENT)
    span, step = 600.0, 60.0
    neck = 100 * ML * 178e3
    less = 600 * ML / 300.0  # the gas's own growth with the temperature: Vg/T of what is gone
    temperature = 0.1 / math.sqrt(sum((t - 300.0) ** 2 for t in PRESENT.times))
    course = replace(PRESENT.system.course, drift_sd=min(4e-4, temperature))
    ways = {
        "top_up": (replace(PRESENT, gas=neck, per_kelvin=6 * ML - less), span + 600.0),
        "hold_longer": (replace(PRESENT, times=[step * k for k in range(21)]), span),
        "finer_gauge": (replace(PRESENT, noise=600.0 * 500.0 / 2e3), span + 180.0),
        "log_temperature": (
            replace(PRESENT, system=replace(PRESENT.system, course=course)),
            span + 180.0,
        ),
    }
    found = advise(PRESENT, smallest, LIMITS)
    wanted = {}
    for code, (then, time) in ways.items():
        flow = smallest * flow_sd(then) / before
        if flow <= 0.9 * smallest:
            wanted[code] = (flow, time)
    assert len(wanted) >= 3
    assert [way.code for way in found] == sorted(wanted, key=lambda code: wanted[code][0])
    for way in found:
        flow, time = wanted[way.code]
        assert way.smallest_detectable_flow == pytest.approx(flow, rel=2e-3)
        assert way.smallest_detectable == pytest.approx(flow * 0.09, rel=2e-3)
        assert way.time == pytest.approx(time)


def test_what_a_known_system_shows() -> None:
    # Nothing named does nothing.
    hoses = StoredVolume(1e-9, None, 1e-9, 0.0)
    plain = KnownSystem(hoses, 100e3, 99e3)
    times = [0.0, 60.0, 300.0, 900.0]
    assert pressures(plain, 90e3, times) == pytest.approx([90e3] * 4)
    assert pressures(replace(plain, warming=1e-3), 90e3, times) == pytest.approx([90e3] * 4)
    warmed = pressures(replace(plain, warming=1e-3, per_kelvin=5 * ML), 90e3, times)
    assert warmed == pytest.approx([90e3 + 5.0 * t for t in times])
    crept = pressures(replace(plain, creep_share=0.03), 90e3, times)  # 100 s
    assert crept == pytest.approx([90e3 - 2.7e3 * (1.0 - math.exp(-t / 100.0)) for t in times])
    leaked = pressures(replace(plain, flow=10.0 * 1e-9), 90e3, times)  # 0.75
    power = [(90e3**0.25 - 0.25 * 10.0 / 100e3**0.75 * t) ** 4 for t in times]
    assert leaked == pytest.approx(power, rel=1e-6)


def test_what_a_known_system_with_gas_shows_by_small_steps() -> None:
    stored = StoredVolume(HOSES + GAS / (TARGET + DRY) ** 2, None, HOSES, GAS)
    flow = 15.0 * stored.compliance
    known = KnownSystem(stored, TARGET, DRY, 6 * ML, 2e-4, flow, 0.6, 0.04, 140.0)
    times = [0.0, 60.0, 300.0, 600.0, 900.0]
    stretch = Stretch(0.0, GAS, ((0.0, 112e3),), tuple(times))
    own = Filled(TARGET, DRY, stored.compliance, HOSES, (stretch,), 6 * ML)
    values = [15.0, 0.6, 0.04, math.log(140.0), 0.0, 2e-4, 112e3]
    wanted = own.pressures(numpy.array([values]))[0]
    assert pressures(known, 112e3, times) == pytest.approx(list(wanted), abs=2.0)
    # A minute in, the hoses have taken their part, the warming has given some back.
    assert 104e3 < wanted[1] < 111e3
