"""Rounded needles: the fit, which takes them as normal, against the interval-censored likelihood.

A reading that was rounded to p says only that p - d/4 < scattered pressure < p + d/4 (half a
division either way of the half division). Its likelihood is the normal's mass in between. Both are
fitted to the same readings of a straight fall, where nothing else differs.
"""

from __future__ import annotations

import math
import random
import statistics

import numpy
import pytest

from weeptrace.hold.least_squares import inverse, minimise

NORMAL = statistics.NormalDist()
TIMES = numpy.arange(16.0)
HOLDS = 150


def least_squares(seen: list[float], sigma: float) -> tuple[float, float]:
    """Slope and its standard error, readings taken as normal."""

    def model(v: list[float]) -> tuple[list[float], list[list[float]]]:
        off = [(v[0] - v[1] * t - p) / sigma for t, p in zip(TIMES, seen, strict=True)]
        return off, [[1.0 / sigma] * len(seen), [-float(t) / sigma for t in TIMES]]

    fit = minimise(model, [seen[0], 0.0])
    return fit.values[1], math.sqrt(inverse(fit.normal)[1][1])


def censored(seen: list[float], scatter: float, half: float, start: tuple[float, float]) -> float:
    """Slope of the greatest interval-censored likelihood, by Newton's method."""
    low, high = numpy.array(seen) - half, numpy.array(seen) + half
    slopes = numpy.array([numpy.ones(len(seen)), -TIMES])
    at = numpy.array(start)
    for _ in range(60):
        line = at @ slopes
        a, b = (low - line) / scatter, (high - line) / scatter
        mass = numpy.array([NORMAL.cdf(y) - NORMAL.cdf(x) for x, y in zip(a, b, strict=True)])
        mass = numpy.maximum(mass, 1e-300)
        pa, pb = (numpy.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi) for x in (a, b))
        score = (pa - pb) / mass / scatter
        bend = ((b * pb - a * pa) / mass) / scatter**2 + score**2
        step = numpy.linalg.solve(slopes * bend @ slopes.T, slopes @ score)
        at = at + step
        if abs(step[1]) < 1e-7:
            return float(at[1])
    raise AssertionError("the likelihood has no peak")


@pytest.mark.parametrize(("scatter", "fall"), [(0.25, 0.05), (0.25, 0.5), (0.15, 0.2), (0.4, 0.0)])
def test_normal_and_censored_give_the_same_slope(scatter: float, fall: float) -> None:
    # In divisions and minutes; read to half a division.
    rng = random.Random(f"rounded {scatter} {fall}")
    sigma = math.hypot(scatter, 0.5 / math.sqrt(12.0))
    plain, exact, covered = [], [], 0
    for _ in range(HOLDS):
        start = 50.0 + rng.random()
        truth = [start - fall * t for t in TIMES]
        seen = [round(2.0 * (p + rng.gauss(0.0, scatter))) / 2.0 for p in truth]
        slope, error = least_squares(seen, sigma)
        plain.append(slope - fall)
        exact.append(censored(seen, scatter, 0.25, (seen[0], slope)) - fall)
        covered += abs(slope - fall) < 1.96 * error
    spread = [math.sqrt(statistics.mean(x * x for x in off)) for off in (plain, exact)]
    # The better likelihood gains below 4 %; both are the same slope to a fraction of its error.
    assert spread[0] < 1.04 * spread[1]
    apart = math.sqrt(statistics.mean((a - b) ** 2 for a, b in zip(plain, exact, strict=True)))
    assert apart < 0.25 * spread[0]
    # 95 %: fewer than 136 of 150 has a chance of 1 %.
    assert covered >= 136


def test_without_scatter_the_floor_keeps_the_error_honest() -> None:
    # A needle that doesn't shake and a fall of a division or less: rounding is the only error, and
    # follows the fall. At 0.15 division alone, rounding's own spread, 129 of 150 intervals hold the
    # slope; the fit pools the scatter seen with the usual 0.3 division, worth ten readings.
    rng = random.Random("still")
    inside = 0
    for _ in range(HOLDS):
        start, fall = 50.0 + rng.random(), rng.uniform(0.0, 0.1)
        seen = [round(2.0 * (start - fall * t)) / 2.0 for t in TIMES]
        slope, error = least_squares(seen, 1.0)
        line = numpy.polyval(numpy.polyfit(TIMES, seen, 1), TIMES)
        left = float(((numpy.array(seen) - line) ** 2).sum())
        error *= max(0.15, math.sqrt((10.0 * 0.3**2 + left) / (10.0 + 14.0)))
        inside += abs(slope - fall) < 1.96 * error
    assert inside >= 136
