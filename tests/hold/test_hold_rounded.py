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

from tests.hold.straight import fitted
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
    plain, exact, over = [], [], []
    for _ in range(HOLDS):
        start = 50.0 + rng.random()
        truth = [start - fall * t for t in TIMES]
        seen = [round(2.0 * (p + rng.gauss(0.0, scatter))) / 2.0 for p in truth]
        slope, error = least_squares(seen, sigma)
        plain.append(slope - fall)
        exact.append(censored(seen, scatter, 0.25, (seen[0], slope)) - fall)
        over.append((slope - fall) / error)
    spread = [math.sqrt(statistics.mean(x * x for x in off)) for off in (plain, exact)]
    # The better likelihood gains below 4 %; both are the same slope to a fraction of its error.
    assert spread[0] < 1.04 * spread[1]
    apart = math.sqrt(statistics.mean((a - b) ** 2 for a, b in zip(plain, exact, strict=True)))
    assert apart < 0.25 * spread[0]
    # Over its error: 1, told to 0.06 by 150 holds.
    assert math.sqrt(statistics.mean(z * z for z in over)) == pytest.approx(1.0, abs=0.13)


@pytest.mark.parametrize(("count", "least"), [(16, 136), (61, 105)])
def test_without_scatter_the_floor_keeps_the_error_honest(count: int, least: int) -> None:
    # A needle that doesn't shake and a fall of a division or less: rounding is the only error, and
    # follows the fall, so that neighbours err alike and the readings fit better than they are. 95 %
    # with a reading a minute: fewer than 136 of 150 has a chance of 1 %. With one every quarter of
    # a minute many repeat the same error, which the fit doesn't know: three in four
    # (README).
    rng = random.Random("still")
    times = [15.0 / (count - 1) * k for k in range(count)]
    inside = 0
    for _ in range(HOLDS):
        start, fall = 50.0 + rng.random(), rng.uniform(0.0, 0.1)
        full = fitted(times, [round(2.0 * (start - fall * t)) / 2.0 for t in times])
        inside += abs(full.fit.values[0] - fall) < 1.96 * math.sqrt(full.covariance[0][0])
    assert inside >= least


def test_the_noise_of_readings_on_a_line_is_pooled_with_the_usual() -> None:
    # No scatter seen: ten readings' worth of the usual 0.3 division among 10 + 14, by hand; of
    # very many readings nothing would be left, but half of the usual is the least.
    line = [50.0 - 0.3 * t for t in TIMES]
    assert fitted([float(t) for t in TIMES], line).noise == pytest.approx(
        0.3 * math.sqrt(10.0 / 24.0)
    )
    long = [0.25 * k for k in range(241)]
    assert fitted(long, [50.0 - 0.1 * t for t in long]).noise == pytest.approx(0.15)


@pytest.mark.parametrize("scatter", [0.3, 0.6, 1.2])
def test_the_noise_is_never_below_the_scatter_seen(scatter: float) -> None:
    # By numpy: the residuals of a straight line over its N - 2 degrees of freedom. Robust weights
    # hold what a normal scatter loses by them back (0.866, Huber), to a few percent on average.
    rng = random.Random(f"scatter {scatter}")
    told, seen = [], []
    for _ in range(60):
        read = [50.0 - 0.3 * t + rng.gauss(0.0, scatter) for t in TIMES]
        told.append(fitted([float(t) for t in TIMES], read).noise)
        line = numpy.polyval(numpy.polyfit(TIMES, read, 1), TIMES)
        seen.append(math.sqrt(float(((numpy.array(read) - line) ** 2).sum()) / 14.0))
    assert statistics.mean(told) > 0.97 * statistics.mean(seen)
    assert statistics.mean(told) < 1.15 * statistics.mean(seen)
    assert statistics.mean(seen) == pytest.approx(scatter, rel=0.1)
