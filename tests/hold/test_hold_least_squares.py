"""Priors, bounds and refusals of the fit; its certification is in tests/certified."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy
import pytest

from weeptrace.hold.curve_fit import fit_curve
from weeptrace.hold.least_squares import inverse, log_determinant, minimise, solve


def test_a_prior_is_a_weighted_reading() -> None:
    # One reading of 10 +/- 2 and a prior of 4 +/- 1: (10/4 + 4/1)/(1/4 + 1/1) = 5.2, sd 0.894.
    def model(values: list[float]) -> tuple[list[float], list[list[float]]]:
        return [(values[0] - 10.0) / 2.0], [[0.5]]

    fit = minimise(model, [0.0], priors=[(4.0, 1.0)])
    assert fit.values[0] == pytest.approx(5.2)
    assert math.sqrt(inverse(fit.normal)[0][0]) == pytest.approx(math.sqrt(0.8))
    assert fit.cost == pytest.approx((5.2 - 10) ** 2 / 4 + 1.2**2)


def test_a_bound_holds_and_the_others_find_their_place() -> None:
    # y = a + b x through (0, 1), (1, 0), (2, -1): b = -1; held at 0 the mean is left.
    def model(values: list[float]) -> tuple[list[float], list[list[float]]]:
        points = [(0.0, 1.0), (1.0, 0.0), (2.0, -1.0)]
        return [values[0] + values[1] * x - y for x, y in points], [[1.0] * 3, [0.0, 1.0, 2.0]]

    fit = minimise(model, [5.0, 3.0], bounds=[(-9.0, 9.0), (0.0, 9.0)])
    assert fit.converged
    assert fit.values == pytest.approx([0.0, 0.0], abs=1e-9)


def test_parameters_that_cannot_be_told_apart() -> None:
    with pytest.raises(ArithmeticError):
        inverse([[1.0, 1.0], [1.0, 1.0]])


def test_a_model_that_cannot_be_computed_at_the_start() -> None:
    with pytest.raises(ArithmeticError):
        minimise(lambda v: ([math.exp(v[0])], [[math.exp(v[0])]]), [1e4])


def test_linear_algebra_against_numpy() -> None:
    rows = [[4.0, 1.0, 0.5], [1.0, 3.0, -0.2], [0.5, -0.2, 2.0]]
    assert solve(rows, [1.0, 2.0, 3.0]) == pytest.approx(
        list(numpy.linalg.solve(rows, [1.0, 2.0, 3.0]))
    )
    assert log_determinant(rows) == pytest.approx(math.log(numpy.linalg.det(rows)))


def test_a_fit_that_begins_at_a_perfect_answer_is_done() -> None:
    def model(values: list[float]) -> tuple[list[float], list[list[float]]]:
        return [2.0 * values[0] - 6.0, values[0] - 3.0], [[2.0, 1.0]]

    fit = minimise(model, [3.0])
    assert fit.converged
    assert (fit.values, fit.cost) == ([3.0], 0.0)


def test_errors_of_a_curve_of_three_parameters_by_its_own_derivatives() -> None:
    # y = a + b exp(-c x): the derivatives by hand, s^2 (J'J)^-1 by numpy.
    x = [0.5 * k for k in range(12)]
    y = [1.0 + 4.0 * math.exp(-0.7 * a) + 0.05 * (-1.0) ** k for k, a in enumerate(x)]
    found = fit_curve(lambda b, a: b[0] + b[1] * math.exp(-b[2] * a), [0.5, 3.0, 1.0], x, y)
    assert found.converged
    at, (base, height, rate) = numpy.array(x), found.values
    fade = numpy.exp(-rate * at)
    slopes = numpy.array([numpy.ones(12), fade, -height * at * fade]).T
    left = numpy.array(y) - base - height * fade
    assert slopes.T @ left == pytest.approx(0.0, abs=1e-6)
    variance = left @ left / 9.0
    errors = numpy.sqrt(variance * numpy.diag(numpy.linalg.inv(slopes.T @ slopes)))
    assert found.errors == pytest.approx(errors, rel=1e-6)


Floats = numpy.ndarray[Any, numpy.dtype[numpy.float64]]


def valley(v: list[float]) -> tuple[list[float], list[list[float]]]:
    """Rosenbrock's bent valley."""
    x, y = v
    return [10.0 * (y - x * x), 1.0 - x], [[-20.0 * x, -1.0], [10.0, 0.0]]


def waves(v: list[float]) -> tuple[list[float], list[list[float]]]:
    """A curve of two parameters at four places, not of second degree in either."""
    a, b = v
    at = (0.2, 0.7, 1.3, 2.1)
    seen = (0.3, 0.9, 1.4, 1.2)
    return (
        [a * math.sin(b * t) - y for t, y in zip(at, seen, strict=True)],
        [[math.sin(b * t) for t in at], [a * t * math.cos(b * t) for t in at]],
    )


def marquardt(
    model: Callable[[list[float]], tuple[list[float], list[list[float]]]],
    start: list[float],
    mu: float,
    steps: int,
    curved: bool,
) -> Floats:
    """Marquardt's steps with the second-order correction of Transtrum and Sethna, by numpy."""

    def seen(x: Floats) -> tuple[Floats, Floats]:
        residuals, columns = model([float(value) for value in x])
        return numpy.array(residuals), numpy.array(columns).T

    x, growth = numpy.array(start), 2.0
    (r, j), scale = seen(x), numpy.zeros(len(start))
    for _ in range(steps):
        scale = numpy.maximum(0.5 * scale, numpy.diag(j.T @ j))
        damped = j.T @ j + mu * numpy.diag(scale)
        step = -numpy.linalg.solve(damped, j.T @ r)
        if curved:
            bend = 2.0 / 0.1 * ((seen(x + 0.1 * step)[0] - r) / 0.1 - j @ step)
            turn = -numpy.linalg.solve(damped, j.T @ bend)
            if 2.0 * math.sqrt(scale @ turn**2) <= 0.75 * math.sqrt(scale @ step**2):
                step = step + turn / 2.0
        new, slopes = seen(x + step)
        if new @ new <= r @ r:
            x, r, j, mu, growth = x + step, new, slopes, mu / 5.0, 2.0
        else:
            mu, growth = mu * growth, growth * 2.0
    return x


@pytest.mark.parametrize("model", [valley, waves])
@pytest.mark.parametrize("curved", [True, False])
@pytest.mark.parametrize("steps", [1, 2, 3, 5, 8])
@pytest.mark.parametrize(("start", "mu"), [([-1.2, 1.0], 1e-3), ([2.5, 2.0], 10.0)])
def test_each_step_of_two_parameters(
    model: Any, curved: bool, steps: int, start: list[float], mu: float
) -> None:
    fit = minimise(model, start, damping=mu, max_steps=steps, tolerance=0.0, curved=curved)
    wanted = marquardt(model, start, mu, steps, curved)
    assert fit.values == pytest.approx(list(wanted), rel=1e-6, abs=1e-9)


def test_derivatives_whose_squares_overflow_make_no_step_of_what_is_no_number() -> None:
    # Products of 1e160 are infinite: a step from them is not a number, and no model takes one.
    seen: list[float] = []

    def model(values: list[float]) -> tuple[list[float], list[list[float]]]:
        seen.extend(values)
        return [values[0] - 1.0, values[1] - 2.0], [[1e160, 1.0], [1.0, 1e160]]

    fit = minimise(model, [0.0, 0.0])
    assert not fit.converged
    assert all(map(math.isfinite, [*seen, *fit.values]))
