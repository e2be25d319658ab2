"""Pieces of the fit, each by the arithmetic that its words say."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy
import pytest

from tests.hold.straight import fitted
from weeptrace.hold.air_decay import AirSystem, air_decay
from weeptrace.hold.air_hold import rate_to_half
from weeptrace.hold.data import Exponent
from weeptrace.hold.decay import LiquidReadings, Segment, System, decay
from weeptrace.hold.fit import FullFit, _noise, _weigh
from weeptrace.hold.least_squares import Fit, _bent, _held, minimise
from weeptrace.hold.liquid_hold import exponent, median_slope
from weeptrace.hold.priors import liquid_priors
from weeptrace.hold.warmth import Course
from weeptrace.rules import limits

LIMITS = limits()
Curve = Callable[[float], tuple[float, float]]

# --- least squares -------------------------------------------------------------------------------

CURVES: dict[str, Curve] = {
    "straight": lambda x: (2.0 * x - 3.0, 2.0),
    "flat far off": lambda x: (math.atan(x), 1.0 / (1.0 + x * x)),
    "bent": lambda x: (math.exp(x) - 2.0, math.exp(x)),
}


def marquardt(curve: Curve, x: float, mu: float, steps: int) -> float:
    """One parameter: a step -g/(H + mu D), D the largest H seen, halved at most; mu a fifth after
    a step that helps, twice, four, eight times after those that do not."""
    r, slope = curve(x)
    scale, growth = 0.0, 2.0
    for _ in range(steps):
        scale = max(0.5 * scale, slope * slope)
        new = x - slope * r / (slope * slope + mu * scale)
        if curve(new)[0] ** 2 <= r * r:
            x, mu, growth = new, mu / 5.0, 2.0
            r, slope = curve(x)
        else:
            mu, growth = mu * growth, growth * 2.0
    return x


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("steps", [1, 2, 3, 4, 6, 9])
@pytest.mark.parametrize(("start", "mu"), [(4.0, 1e-3), (-2.0, 1e-3), (3.0, 2.0)])
def test_each_step_is_marquardts(name: str, steps: int, start: float, mu: float) -> None:
    def model(values: list[float]) -> tuple[list[float], list[list[float]]]:
        r, slope = CURVES[name](values[0])
        return [r], [[slope]]

    fit = minimise(model, [start], damping=mu, max_steps=steps, tolerance=0.0)
    assert fit.values[0] == pytest.approx(marquardt(CURVES[name], start, mu, steps), rel=1e-9)
    if mu == 1e-3:  # as by itself
        assert minimise(model, [start], max_steps=steps, tolerance=0.0).values == fit.values
    assert fit.cost == pytest.approx(CURVES[name](fit.values[0])[0] ** 2, abs=1e-30)


@pytest.mark.parametrize("steps", [0, 1, 30])
def test_a_fit_says_whether_it_came_to_rest(steps: int) -> None:
    fit = minimise(lambda v: ([v[0] - 1.0, v[0] + 1.0], [[1.0, 1.0]]), [5.0], max_steps=steps)
    assert fit.converged is (steps == 30)
    assert fit.normal == [[2.0]]
    assert (fit.values[0] == 5.0) is (steps == 0)


@pytest.mark.parametrize(("tolerance", "done"), [(0.1, True), (1e-6, False)])
def test_rest_is_a_step_within_a_part_of_the_cost(tolerance: float, done: bool) -> None:
    # Residuals x - 1 and x + 1: least 2 at 0, H 2; from 0.05 the step is worth 2 (0.05)^2 of 2.
    fit = minimise(
        lambda v: ([v[0] - 1.0, v[0] + 1.0], [[1.0, 1.0]]),
        [0.05],
        tolerance=tolerance,
        max_steps=1,
    )
    assert fit.converged is done


@pytest.mark.parametrize(("start", "end"), [(7.0, 4.0), (-7.0, -4.0), (0.5, 0.5)])
def test_a_guess_beyond_its_bounds_begins_at_them(start: float, end: float) -> None:
    fit = minimise(lambda v: ([v[0]], [[1.0]]), [start], bounds=[(-4.0, 4.0)], max_steps=0)
    assert fit.values == [end]


@pytest.mark.parametrize(("pull", "at"), [(9.0, 4.0), (-9.0, -4.0)])
def test_a_bound_holds_at_either_end_and_one_that_pulls_inside_lets_go(
    pull: float, at: float
) -> None:
    # Two parameters that share: x + y = pull, y = 0; x held at its end, y takes half of the rest.
    def model(v: list[float]) -> tuple[list[float], list[list[float]]]:
        return [v[0] + v[1] - pull, v[1]], [[1.0, 0.0], [1.0, 1.0]]

    free = (-math.inf, math.inf)
    fit = minimise(model, [0.0, 0.0], bounds=[(-4.0, 4.0), free])
    assert fit.values == pytest.approx([at, (pull - at) / 2.0])
    back = minimise(model, [-at, 0.0], bounds=[(-4.0, 4.0), free])
    assert back.values == pytest.approx(fit.values)
    inside = minimise(lambda v: ([v[0] - 1.0], [[1.0]]), [at], bounds=[(-4.0, 4.0)])
    assert inside.values == pytest.approx([1.0])


@pytest.mark.parametrize("slope", [-3.0, -0.05, 0.0, 0.05, 3.0])
@pytest.mark.parametrize("value", [-4.0, -3.99, 0.0, 3.99, 4.0])
def test_what_stands_at_a_bound_and_pulls_beyond_is_held(value: float, slope: float) -> None:
    """A cost that rises with the value (slope above zero) pulls it down."""
    beyond = (value == -4.0 and slope > 0.0) or (value == 4.0 and slope < 0.0)
    free, bound = (-math.inf, math.inf), (-4.0, 4.0)
    held = _held([value, value, value], [slope, slope, 0.0], [free, bound, bound])
    assert held == ([1] if beyond else [])


@pytest.mark.parametrize("part", [0.0, 0.5, 0.99, 1.01, 2.0])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_step_is_bent_by_half_its_second_derivative(part: float, sign: float) -> None:
    # r = (3 + x + b x^2, y) from 0, a step v: r'' = (2 b vx^2, 0), a = -(H + mu D)^-1 J' r'', taken
    # up to 2 |a| = 0.75 |v| in the scale D, and h of the differences does not matter.
    step, scale = numpy.array([-1.2, 0.8]), numpy.array([4.0, 9.0])
    damped = numpy.array([[2.0, 0.5], [0.5, 1.0]])
    one = -numpy.linalg.solve(damped, [2.0 * step[0] ** 2, 0.0])
    limit = 0.375 * math.sqrt(scale @ step**2) / math.sqrt(scale @ one**2)
    bend = sign * part * limit

    def model(v: list[float]) -> tuple[list[float], list[list[float]]]:
        return [3.0 + v[0] + bend * v[0] ** 2, v[1]], [[1.0 + 2.0 * bend * v[0], 0.0], [0.0, 1.0]]

    found = _bent(model, [0.0, 0.0], [3.0, 0.0], [[1.0, 0.0], [0.0, 1.0]], damped.tolist(),
                  step.tolist(), scale.tolist())  # fmt: skip
    bent = step + bend * one / 2.0 if part <= 1.0 else step
    assert found == pytest.approx(list(bent))


# --- weights and noise ---------------------------------------------------------------------------


@pytest.mark.parametrize("leave_out", [True, False])
@pytest.mark.parametrize("usual", [0.3, 1.0])
def test_weights_are_hubers_and_few_that_are_far_off_are_left_out(
    usual: float, leave_out: bool
) -> None:
    off = [0.1, -0.2, 0.0, 0.3, -0.5, 0.45, 0.2, -9.0, 0.4, 1.1, 0.25]
    scale = max(usual, 1.4826 * float(numpy.median(numpy.abs(off))))
    weights, suspects = _weigh(off, usual, LIMITS, leave_out)
    far = tuple(k for k, x in enumerate(off) if abs(x) > 3.5 * scale)
    assert suspects == far == (7,)
    for k, (x, weight) in enumerate(zip(off, weights, strict=True)):
        gone = leave_out and k in far
        assert weight == pytest.approx(1e-12 if gone else min(1.0, 1.5 * scale / max(abs(x), 1e-9)))


@pytest.mark.parametrize(("many", "gone"), [(1, True), (2, True), (3, False)])
def test_a_fifth_at_most_is_left_out(many: int, gone: bool) -> None:
    off = [0.1] * (10 - many) + [5.0, -6.0, 7.0][:many]
    weights, suspects = _weigh(off, 0.3, LIMITS, True)
    assert suspects == tuple(range(10 - many, 10))
    assert (min(weights) < 1e-6) is gone


@pytest.mark.parametrize("scatter", [0.0, 0.2, 1.5])
@pytest.mark.parametrize("count", [2, 3, 12])
def test_the_noise_is_the_usual_one_and_the_scatter_pooled(scatter: float, count: int) -> None:
    # Two parameters, of the second of which a prior of 0.5 knows 0.16/0.25 already.
    off = [scatter * (-1.0) ** k for k in range(count)]
    weights = [1.0, 0.5, *[1.0] * (count - 2)]
    found = _noise(off, weights, 0.3, 2.0, [[1.0, 0.0], [0.0, 0.16]], [None, (0.0, 0.5)], LIMITS)
    freedom = count - 2 + 0.64
    left = (count - 0.5) * scatter**2 / 0.866
    pooled = (10.0 * 0.09 + left) / (10.0 + freedom)
    assert found == pytest.approx(max(0.3, math.sqrt(max(pooled, left / freedom))))
    finer = _noise(off, weights, 0.3, 0.1, [[1.0, 0.0], [0.0, 0.16]], [None, (0.0, 0.5)], LIMITS)
    assert finer == pytest.approx(math.sqrt(max(pooled, left / freedom)))
    # A reading left out is none.
    out = _noise([*off, 50.0], [*weights, 1e-12], 0.3, 0.1, [[1.0, 0.0], [0.0, 0.16]],
                 [None, (0.0, 0.5)], LIMITS)  # fmt: skip
    assert out == pytest.approx(finer, rel=1e-6)


@pytest.mark.parametrize(("known", "usual"), [(0.5, True), (0.49, True), (0.51, False)])
def test_with_less_than_half_a_reading_over_the_usual_noise_stands(
    known: float, usual: bool
) -> None:
    off, priors = [4.0, -4.0], [None, (0.0, 1.0)]
    found = _noise(off, [1.0, 1.0], 0.3, 0.1, [[1.0, 0.0], [0.0, known]], priors, LIMITS)
    wanted = 0.3 if known < 0.5 else math.sqrt(32.0 / 0.866 / known)
    assert found == pytest.approx(wanted)
    assert usual or found > 1.0


def test_a_straight_line_is_found_in_few_looks() -> None:
    # Each look at the course costs a phone; the fit is done where no step is worth a thousandth.
    times = [float(k) for k in range(16)]
    full = fitted(times, [50.0 - 0.3 * t for t in times])
    assert full.fit.converged
    assert full.fit.values == pytest.approx([0.3, 50.0], abs=1e-4)


def renewed(times: list[float], seen: list[float]) -> tuple[float, list[float], int]:
    """Noise and weights in turn, by numpy: until no weight moves by a twentieth and the noise by
    three in a hundred, after two turns at least and six at most; nothing is left out in the first.
    """
    x = numpy.array([[-t, 1.0] for t in times])
    y, noise, weights = numpy.array(seen), 0.3, numpy.ones(len(times))
    for turn in range(6):
        h = x.T @ (x * weights[:, None]) / noise**2
        best = numpy.linalg.solve(h, x.T @ (y * weights) / noise**2)
        off = x @ best - y
        scale = max(0.3, 1.4826 * float(numpy.sort(numpy.abs(off))[len(off) // 2]))
        new = numpy.minimum(1.0, 1.5 * scale / numpy.maximum(numpy.abs(off), 1e-12))
        far = numpy.abs(off) > 3.5 * scale
        if turn and far.sum() <= 0.2 * len(off):
            new[far] = 1e-12
        freedom = int((new > 1e-12).sum()) - 2
        left = float((new * off**2).sum()) / 0.866
        pooled = (10.0 * 0.09 + left) / (10.0 + freedom)
        now = max(0.15, math.sqrt(max(pooled, left / freedom)))
        moved = float(numpy.abs(new - weights).max())
        if turn and moved < 0.05 and abs(now / noise - 1.0) < 0.03:
            return noise, list(weights), turn
        weights, noise = new, now
    return noise, list(weights), 6


def test_noise_and_weights_are_renewed_until_they_settle() -> None:
    rng = numpy.random.default_rng(3)
    times = [float(k) for k in range(16)]
    turns = set()
    for number in range(24):
        seen = [50.0 - 0.3 * t + float(rng.normal(0.0, 0.2 + 0.02 * number)) for t in times]
        seen[number % 16] += 4.0 if number % 3 else 0.0
        full = fitted(times, seen)
        noise, weights, turn = renewed(times, seen)
        assert full.noise == pytest.approx(noise, rel=1e-3)
        assert full.weights == pytest.approx(tuple(weights), abs=2e-3)
        turns.add(turn)
    assert {1, 2, 3} <= turns


@pytest.mark.parametrize("seen", [[100e3, 99e3, 97e3, 92e3, 20e3, 10e3, 5e3], [100e3, 40e3, 0.0]])
def test_the_first_guess_is_the_median_slope_of_what_still_holds(seen: list[float]) -> None:
    still = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
    times = tuple(30.0 * k for k in range(len(seen)))
    system = System(100e3, 1e5, 0.0, 0.0, still, 30.0)
    series = LiquidReadings(system, (), (times,), tuple(seen))
    kept = [(t, p) for k, (t, p) in enumerate(zip(times, seen, strict=True)) if k < 2 or p > 30e3]
    gap = len(kept) // 2
    some = sorted((p - q) / (b - a) for (a, p), (b, q) in zip(kept, kept[gap:], strict=False))
    assert median_slope(series) == pytest.approx(some[len(some) // 2])


@pytest.mark.parametrize(
    ("left", "rate"),
    [
        ([80.0, 70.0, 60.0, 50.0], 1.0),  # never half: over all
        ([80.0, 41.0, 40.0, 5.0], 2.0),  # half at the third
        ([80.0, 39.0, 38.0, 37.0], 4.1),
        ([80.0, 80.5], -0.05),
    ],
)
def test_the_first_rate_of_a_drained_system(left: list[float], rate: float) -> None:
    moments = [5.0 + 10.0 * k for k in range(len(left))]
    assert rate_to_half(moments, left) == pytest.approx(rate)


def test_what_is_known_before_a_fit() -> None:
    course = Course(0.0, 900.0, 300.0, 0.0, 0.0, 2e-5, 7e-5, True)
    series = LiquidReadings(System(100e3, 1e5, 0.0, 0.0, course, 30.0), (), (), ())
    known = {
        **LIMITS,
        "hold.exponent": 0.8,
        "hold.exponent_uncertainty": 0.2,
        "hold.creep_share": 0.04,
        "hold.creep_share_uncertainty": 0.01,
        "hold.creep_time": 90.0,
        "hold.creep_time_spread": 0.4,
        "hold.gas_settling_share": 0.02,
        "hold.hose_compliance": 4e-10,
        "hold.hose_compliance_uncertainty": 1e-10,
    }
    assert liquid_priors(series, known) == [
        None,
        (0.8, 0.2),
        (0.04, pytest.approx(math.hypot(0.01, 0.04 / 4.0))),
        (pytest.approx(math.log(90.0)), 0.4),
        (0.0, 0.02),
        (2e-5, 7e-5),
    ]


@pytest.mark.parametrize(("sd", "assumed"), [(0.12, False), (0.125, False), (0.13, True)])
def test_an_exponent_known_to_less_than_half_of_what_was_assumed_is_measured(
    sd: float, assumed: bool
) -> None:
    """0.25 is how well it is known before (limit hold.exponent_uncertainty)."""
    values, none = [9.0, 0.8, 7.0], ((0.0, 1.0),) * 3
    covariance = [[9.0, 0.0, 0.0], [0.0, sd * sd, 0.0], [0.0, 0.0, 9.0]]
    fit = Fit(values, 0.0, [], [], True)
    full = FullFit(fit, covariance, (), none, 1.0, (), ())
    assert exponent(full, LIMITS) == Exponent(0.8, assumed)


@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("rate", [50.0, 0.0, -5.0])
def test_a_stretch_of_one_moment_is_its_start(rate: float, count: int) -> None:
    """A single reading after an action tells where the stretch starts, and nothing else."""
    still = Course(0.0, 0.0, 293.0, 0.0, 0.0, 0.0, 0.0, False)
    filled = Segment(120.0, 0.4, 0.6 * 200e3**2, ((0.0, 90e3),))
    values = [rate, 0.8, 0.03, 4.6, 0.01, 1e-4, 90e3]
    pressures, rows = decay(
        System(100e3, 1e5, 40.0, 0.0, still, 30.0), filled, values, [120.0] * count
    )
    assert pressures == pytest.approx([90e3] * count)
    assert rows == [pytest.approx([0.0] * 6 + [1.0])] * count
    for outside in (101325.0, 60e3):
        system = AirSystem(outside > 80e3, outside, 80e3, 300.0, still)
        start = [rate, 0.3, 700.0, 4.0, 500.0, 5.0, 1e-4, 80e3]
        pressures, rows = air_decay(system, 120.0, 30.0, start, [120.0] * count)
        assert pressures == pytest.approx([80e3] * count)
        assert rows == [pytest.approx([0.0] * 7 + [1.0])] * count


@pytest.mark.parametrize(("slope", "bend"), [(2e-3, 0.0), (0.0, 3e-6), (-1e-3, 2e-6)])
def test_a_logged_temperature_moves_the_needle_by_its_slope_and_its_bend(
    slope: float, bend: float
) -> None:
    """40 Pa/K of hoses alone, 300 Pa/K of a drained system; no leak, and a leak of nothing."""
    way = Course(0.0, 900.0, 300.0, slope, bend, 0.0, 0.0, True)
    times = [0.0, 300.0, 900.0]
    warmer = [slope * t + bend * t * t for t in times]
    stiff = Segment(0.0, 1.0, 0.0, ())
    drained = AirSystem(False, 100e3, 190e3, 300.0, way)
    for leaks in (True, False):
        values = [0.0, 0.8, 0.0, 4.6, 0.0, 0.0, 90e3]
        found, _ = decay(System(100e3, 1e5, 40.0, 0.0, way, 30.0), stiff, values, times, leaks)
        assert found == pytest.approx([90e3 + 40.0 * k for k in warmer])
        start = [0.0, 0.3, 0.0, 4.0, 0.0, 5.0, 0.0, 180e3]
        found, _ = air_decay(drained, 0.0, 0.0, start, times, leaks)
        assert found == pytest.approx([180e3 + 300.0 * k for k in warmer])
