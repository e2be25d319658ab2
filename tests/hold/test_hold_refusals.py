"""What the pieces of the hold room refuse: its code, its place, what is accepted; and just not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.refusals import refused
from weeptrace.finding import Estimate
from weeptrace.hold.compare import ratio
from weeptrace.hold.curve_fit import fit_curve
from weeptrace.hold.data import Reading, Strokes
from weeptrace.hold.leak_law import exponent_between
from weeptrace.hold.pump import air_pumped, efficiency, gas_from_strokes
from weeptrace.hold.stored import hoses_from_two
from weeptrace.hold.two_level import Level, level, two_level
from weeptrace.rules import limits

LIMITS = limits()
OUT = "out_of_range"
Call = Callable[[], Any]


def line(x: list[float], y: list[float]) -> Call:
    return lambda: fit_curve(lambda b, a: b[0] + b[1] * a, [0.0, 1.0], x, y)


def before(low: float, value: float, high: float) -> Call:
    return lambda: ratio(Estimate(value, low, high), Estimate(0.5, 0.4, 0.6), LIMITS)


def exponent(low: float, at_low: float, high: float, at_high: float) -> Call:
    return lambda: exponent_between(low, at_low, high, at_high)


def dead(part: float, pressure: float = 100e3) -> Call:
    return lambda: efficiency(Strokes(5, 40e-6, part * 40e-6), pressure, 100e3)


def two(low: float, high: float) -> Call:
    return lambda: two_level(Level(low, -1.0, 0.1, 1e-9), Level(high, -3.0, 0.1, 1e-9), LIMITS)


def stretch(*times: float) -> Call:
    return lambda: level([[Reading(t, 20e3 - t) for t in times]], 100.0, 1e-9)


def hoses(first: tuple[float, float], second: tuple[float, float]) -> Call:
    return lambda: hoses_from_two(first, second, 2e5)


NO_EXPONENT = ("low", "0 kPa < low < high, and both leaks above 0 mL/min", "An exponent needs")
NO_HOSES = ("second", "another gas volume, and a slope that belongs to it", "fit no hoses")
NEAR = ("low.pressure", "0 to 80 kPa, above zero", "too close to each other")
FEW = ("stretches", "two readings or more in each stretch", "fewer than two readings")


@pytest.mark.parametrize(
    ("call", "code", "told"),
    [
        (line([0.0, 1.0], [1.0, 2.0]), "too_few_points", ("y", "3 pairs or more", "more pairs")),
        (line([0.0, 1.0, 2.0], [1.0, 2.0]), "too_few_points", ("y", "3 pairs or more", "pairs")),
        (line([0.0, 1.0, 2.0], [1.0] * 4), "too_few_points", ("y", "3 pairs or more", "pairs")),
        (before(-0.1, 1.0, 2.1), "before_not_resolved",
         ("before", "a leak whose 95 % interval lies above zero", "found no leak")),
        (before(-2.1, -2.0, -1.9), "before_not_resolved",
         ("before", "a leak whose 95 % interval lies above zero", "found no leak")),
        (before(0.0, 0.0, 0.0), "before_not_resolved",
         ("before", "a leak whose 95 % interval lies above zero", "found no leak")),
        (exponent(0.0, 1.0, 1e5, 2.0), OUT, NO_EXPONENT),
        (exponent(1e5, 1.0, 1e5, 2.0), OUT, NO_EXPONENT),
        (exponent(1e5, 1.0, 9e4, 2.0), OUT, NO_EXPONENT),
        (exponent(2e4, 0.0, 1e5, 2.0), OUT, NO_EXPONENT),
        (exponent(2e4, 1.0, 1e5, 0.0), OUT, NO_EXPONENT),
        (dead(1.0), OUT, ("dead_volume", "a pressure below 100 kPa", "can't reach")),
        (dead(0.5, 200e3), OUT, ("dead_volume", "a pressure below 200 kPa", "can't reach")),
        (two(0.0, 100e3), OUT, NEAR),
        (two(-1e3, 100e3), OUT, NEAR),
        (two(80.001e3, 100e3), OUT, NEAR),
        (stretch(0.0), "too_few_readings", FEW),
        (stretch(60.0, 60.0), "too_few_readings", FEW),
        (hoses((-1.0, 1e-3), (-1.0, 2e-3)), OUT, NO_HOSES),  # one slope with more gas
        (hoses((-1.0, 1e-4), (-0.05, 1e-3)), OUT, NO_HOSES),  # slower than gas alone
        (hoses((-1.0, 1e-3), (-2.0, 2e-3)), OUT, NO_HOSES),
    ],
)  # fmt: skip
def test_refused(call: Call, code: str, told: tuple[str, str, str]) -> None:
    refused(call, code, *told)


@pytest.mark.parametrize(
    ("call", "worth"),
    [
        (lambda: line([0.0, 1.0, 2.0], [1.0, 2.0, 4.0])().freedom, 1.0),
        (lambda: before(0.01, 1.0, 1.99)().value, 0.5),
        (exponent(99.9e3, 0.999, 100e3, 1.0), 1.0),
        (lambda: dead(0.999)() > 0.0, True),
        (lambda: two(80e3, 100e3)().claimed, True),
        (lambda: two(1.0, 100e3)().claimed, True),
        (lambda: stretch(0.0, 60.0)().slope, -1.0),
        (hoses((-1.0, 1e-4), (-0.1, 1e-3)), 0.0),  # just as the gas alone makes it
    ],
)
def test_just_accepted(call: Call, worth: float) -> None:
    assert call() == pytest.approx(worth, abs=1e-6)


@pytest.mark.parametrize("part", [0.0, 1e-12, 0.2, 0.6, 0.95])
@pytest.mark.parametrize("pressure", [40e3, 100e3])
def test_a_pump_with_a_dead_volume_stroke_by_stroke(part: float, pressure: float) -> None:
    """A pump of small strokes into one volume: what it draws in at p is Vs - Vd p/Pa, so that all
    of it up to p is the sum of those, and the strokes are those that it took."""
    outside, stroke, volume = 100e3, 1e-7, 1e-3
    p, count = 0.0, 0
    while p < pressure:
        p += (stroke - part * stroke * p / outside) * outside / volume
        count += 1
    strokes = Strokes(count, stroke, part * stroke)
    air = p * volume / outside
    assert air_pumped(strokes, p, outside) == pytest.approx(air, rel=2e-3)
    assert efficiency(strokes, p, outside) == pytest.approx(air / (count * stroke), rel=2e-3)
    # The gas that it presses together is the volume itself; hoses that give and vapour take off.
    assert gas_from_strokes(strokes, p, 0.0, outside) == pytest.approx(volume, rel=2e-3)
    soft = gas_from_strokes(strokes, p, 1e-9, outside, 2e3)
    assert soft == pytest.approx(volume - 1e-9 * (outside - 2e3), rel=2e-3)
    assert gas_from_strokes(Strokes(1, 1e-9), p, 1e-9, outside) == 0.0
