"""Fit any curve to any points: values and their standard errors, by ``least_squares``.

    from weeptrace.hold.curve_fit import fit_curve
    found = fit_curve(lambda b, x: b[0] * x ** b[1], [50.0, 0.6], x, y)
    found.values, found.errors

``y_i = f(b, x_i) + e_i`` with independent errors of one unknown variance s^2:
``s^2 = sum r^2/(N - p)``, ``cov(b) = s^2 (J'J)^-1``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from weeptrace.hold.least_squares import Matrix, Vector, inverse, minimise
from weeptrace.refusal import Refusal

Curve = Callable[[Sequence[float], float], float]
STEP = 3e-5  # of a parameter: error of the differences by shape and by rounding are both tiny


@dataclass(frozen=True)
class CurveFit:
    """Parameters and their standard errors, residual standard deviation, sum of squares, degrees
    of freedom, and whether the minimum was reached."""

    values: tuple[float, ...]
    errors: tuple[float, ...]
    residual_sd: float
    sum_of_squares: float
    freedom: int
    converged: bool


def fit_curve(
    curve: Curve,
    start: Sequence[float],
    x: Sequence[float],
    y: Sequence[float],
    slopes: Callable[[Sequence[float], float], Sequence[float]] | None = None,
) -> CurveFit:
    """Least squares of ``y - f(b, x)`` from a first guess.

    Parameters
    ----------
    curve: f, a function of the parameters b and of one x.
    start: first guess of b.
    x, y: the points; more of them than parameters.
    slopes: derivatives of f by each parameter; without it four differences each,
        ``(8 (f(b + h) - f(b - h)) - f(b + 2h) + f(b - 2h))/12h``.

    Valid for smooth curves; any minimum near the guess is found, which need not be the lowest.
    ``Refusal`` (``too_few_points``) for points that are not more than parameters or not in pairs;
    ``ArithmeticError`` where the curve can't be computed at the guess, or its parameters can't be
    told apart. Source: as ``least_squares``; certified on NIST sets in tests/certified.

    A line through (0, 1), (1, 2), (2, 2), (3, 5):

    >>> found = fit_curve(lambda b, x: b[0] + b[1] * x, [0.0, 0.0], [0, 1, 2, 3], [1, 2, 2, 5])
    >>> [round(value, 6) for value in found.values], [round(e, 6) for e in found.errors]
    ([0.7, 1.2], [0.793725, 0.424264])
    """
    freedom = len(y) - len(start)
    if len(x) != len(y) or freedom < 1:
        raise Refusal(
            "too_few_points",
            "refused.curve_fit.fit_needs_pairs_more",
            "y",
            "accepted.pairs_more",
            {"value": len(start) + 1},
        )

    def model(values: Vector) -> tuple[Vector, Matrix]:
        residuals = [curve(values, a) - b for a, b in zip(x, y, strict=True)]
        if slopes is not None:
            rows = [list(slopes(values, a)) for a in x]
            return residuals, [list(column) for column in zip(*rows, strict=True)]
        return residuals, [_difference(curve, values, j, x) for j in range(len(values))]

    # A heavy first damping: the guess may be far off, and a long first step leaves the valley.
    fit = minimise(model, start, damping=1e3, tolerance=1e-9, max_steps=20000, curved=True)
    variance = fit.cost / freedom
    errors = tuple(math.sqrt(variance * row[j]) for j, row in enumerate(inverse(fit.normal)))
    return CurveFit(
        tuple(fit.values), errors, math.sqrt(variance), fit.cost, freedom, fit.converged
    )


def _difference(curve: Curve, values: Vector, j: int, x: Sequence[float]) -> Vector:
    """Derivative by one parameter at each x."""
    h = STEP * abs(values[j]) or STEP

    def moved(by: float) -> Vector:
        at = [*values[:j], values[j] + by * h, *values[j + 1 :]]
        return [curve(at, a) for a in x]

    near = zip(moved(1.0), moved(-1.0), moved(2.0), moved(-2.0), strict=True)
    return [(8.0 * (a - b) - c + d) / (12.0 * h) for a, b, c, d in near]
