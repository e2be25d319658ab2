"""Non-linear least squares with Gaussian priors: a small Levenberg-Marquardt.

Minimise ``S(x) = sum r_i(x)^2 + sum ((x_j - m_j)/s_j)^2`` over the parameters ``x``. Each step
solves ``(H + mu D) step = -g`` with ``H = J'J + 1/s^2``, ``g = J'r + (x - m)/s^2`` and ``D`` the
diagonal of ``H``, which falls by half a step at most; ``mu`` falls after a step that helps and
grows after one that does not. Where asked for, a step is bent along the valley by its second
derivative.

Source: D. W. Marquardt, J. SIAM 11 (1963) 431; the scale ``D`` after J. J. More, Lecture Notes in
Mathematics 630 (1978) 105; the bent step as in M. K. Transtrum, J. P. Sethna, arXiv 1201.5885;
stopping by the size of the Newton step against the cost as in D. M. Bates, D. G. Watts,
Technometrics 23 (1981) 179; all from memory. Certified in tests/certified on the NIST StRD data
sets, values and standard errors. For any curve by its name alone: ``curve_fit``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import mul

Vector = list[float]
Matrix = list[list[float]]
# Parameters -> residuals, and one column of derivatives per parameter.
Model = Callable[[Vector], tuple[Vector, Matrix]]
Prior = tuple[float, float] | None  # mean and standard deviation


@dataclass(frozen=True)
class Fit:
    """The minimum: parameters, cost ``S``, residuals without the priors', and ``H`` there."""

    values: Vector
    cost: float
    residuals: Vector
    normal: Matrix
    converged: bool


def minimise(
    model: Model,
    start: Sequence[float],
    *,
    priors: Sequence[Prior] | None = None,
    bounds: Sequence[tuple[float, float]] | None = None,
    damping: float = 1e-3,
    tolerance: float = 1e-10,
    max_steps: int = 200,
    curved: bool = False,
) -> Fit:
    """The parameters that minimise the residuals and the priors together.

    Parameters
    ----------
    model: residuals and their derivatives, one column a parameter.
    start: first guess.
    priors: mean and standard deviation per parameter, or ``None`` where nothing is known.
    bounds: lowest and highest value per parameter; one that would go beyond is held there.
    damping: the first ``mu``; about 1 where the first guess may be far off.
    tolerance: stop when the step, in standard errors, is below this part of ``sqrt(S)``.
    max_steps: a fit that needs more is given back with ``converged=False``.
    curved: bend each step along the valley, at the price of one more look at the model.

    ``S(x) = sum r_i(x)^2 + sum ((x_j - m_j)/s_j)^2``. Valid for smooth residuals; the nearest
    minimum is found, not the lowest. ``ArithmeticError`` where the model cannot be computed at the
    first guess. Source: the module's.

    >>> line = lambda x: ([x[0] - 1.0, x[0] + x[1] - 3.0], [[1.0, 1.0], [0.0, 1.0]])
    >>> [round(value, 6) for value in minimise(line, [0.0, 0.0]).values]
    [1.0, 2.0]
    """
    gaussian: list[Prior] = list(priors) if priors is not None else [None] * len(start)
    limits = list(bounds) if bounds is not None else [(-math.inf, math.inf)] * len(start)
    values = _clip(list(start), limits)
    residuals, cost, normal, gradient, columns = _system(model, values, gaussian)
    if not normal:
        raise ArithmeticError("the model cannot be computed at the first guess")
    growth = 2.0
    scale = [0.0] * len(values)
    for _ in range(max_steps):
        scale = [
            max(0.5 * seen, row[j]) for j, (seen, row) in enumerate(zip(scale, normal, strict=True))
        ]
        damped = [row[:] for row in normal]
        push = gradient[:]
        for j, row in enumerate(damped):
            row[j] += damping * scale[j]
        for j in _held(values, gradient, limits):
            push[j] = 0.0
            for k, row in enumerate(damped):
                row[j] = damped[j][k] = float(j == k)
        try:
            step = [-value for value in solve(damped, push)]
        except ArithmeticError:
            damping, growth = damping * growth, growth * 2.0
            continue
        size = sum(map(mul, step, (sum(map(mul, row, step)) for row in normal)))
        if not math.isfinite(size):  # derivatives so large that their squares overflow
            damping, growth = damping * growth, growth * 2.0
            continue
        small = size <= tolerance * tolerance * cost
        if small and damping <= 1.0:
            return Fit(values, cost, residuals, normal, True)
        if curved and not small:
            step = _bent(model, values, residuals, columns, damped, step, scale)
        moved = _clip([a + b for a, b in zip(values, step, strict=True)], limits)
        trial = _system(model, moved, gaussian)
        if trial[1] <= cost:
            values = moved
            residuals, cost, normal, gradient, columns = trial
            damping, growth = max(damping / 5.0, 1e-12), 2.0
        else:
            damping, growth = damping * growth, growth * 2.0
        if small:
            return Fit(values, cost, residuals, normal, True)
        if damping > 1e12:
            break
    return Fit(values, cost, residuals, normal, False)


def _system(
    model: Model, values: Vector, priors: list[Prior]
) -> tuple[Vector, float, Matrix, Vector, Matrix]:
    """Residuals, cost, ``H``, ``g`` and derivatives; an overflow costs infinitely much."""
    try:
        residuals, columns = model(values)
        cost = sum(map(mul, residuals, residuals))
    except (OverflowError, ZeroDivisionError):
        return [], math.inf, [], [], []
    if not math.isfinite(cost):
        return [], math.inf, [], [], []
    count = len(columns)
    normal = [[0.0] * count for _ in range(count)]
    gradient = [sum(map(mul, column, residuals)) for column in columns]
    for i, column in enumerate(columns):
        for j in range(i + 1):
            normal[i][j] = normal[j][i] = sum(map(mul, column, columns[j]))
    for j, prior in enumerate(priors):
        if prior is not None:
            mean, sd = prior
            off = (values[j] - mean) / sd
            cost += off * off
            gradient[j] += off / sd
            normal[j][j] += 1.0 / (sd * sd)
    return residuals, cost, normal, gradient, columns


def _bent(
    model: Model,
    values: Vector,
    residuals: Vector,
    columns: Matrix,
    damped: Matrix,
    step: Vector,
    scale: Vector,
) -> Vector:
    """``v + a/2``, where ``(H + mu D) a = -J' r''`` and ``r''`` the residuals' bend along ``v``.

    The step as it is where the bend is as long as the step itself, or can't be computed.
    """
    h = 0.1
    try:
        ahead, _ = model([a + h * b for a, b in zip(values, step, strict=True)])
        along = [sum(map(mul, step, row)) for row in zip(*columns, strict=True)]
        bend = [
            2.0 / h * ((a - b) / h - c) for a, b, c in zip(ahead, residuals, along, strict=True)
        ]
        turn = [-x for x in solve(damped, [sum(map(mul, column, bend)) for column in columns])]
    except ArithmeticError:
        return step
    length, off = (sum(d * x * x for d, x in zip(scale, v, strict=True)) for v in (step, turn))
    if not 4.0 * off <= 0.5625 * length:  # 2 |a| <= 0.75 |v|
        return step
    return [a + 0.5 * b for a, b in zip(step, turn, strict=True)]


def _held(values: Vector, gradient: Vector, limits: Sequence[tuple[float, float]]) -> list[int]:
    """Parameters that stand at a bound and would go beyond."""
    return [
        j
        for j, (value, slope, (low, high)) in enumerate(zip(values, gradient, limits, strict=True))
        if (value <= low and slope > 0.0) or (value >= high and slope < 0.0)
    ]


def _clip(values: Vector, limits: Sequence[tuple[float, float]]) -> Vector:
    return [min(max(v, low), high) for v, (low, high) in zip(values, limits, strict=True)]


def _factor(matrix: Matrix) -> tuple[Matrix, Vector]:
    """Cholesky factor of a symmetric matrix scaled to a unit diagonal, and the scale.

    A parameter without any information (zero diagonal) raises ``ZeroDivisionError``.
    """
    scale = [1.0 / math.sqrt(row[j]) for j, row in enumerate(matrix)]
    factor: Matrix = []
    for i, row in enumerate(matrix):
        line: Vector = []
        for j in range(i + 1):
            other = factor[j] if j < i else line
            value = row[j] * scale[i] * scale[j] - sum(map(mul, line, other[:j]))
            if j < i:
                line.append(value / other[j])
            elif value <= 1e-15:
                raise ZeroDivisionError("the parameters cannot be told apart")
            else:
                line.append(math.sqrt(value))
        factor.append(line)
    return factor, scale


def solve(matrix: Matrix, right: Sequence[float]) -> Vector:
    """``x`` in ``matrix x = right``, the matrix symmetric and positive.

    Scaled to a unit diagonal, ``M = L L'``; then ``L y = right`` and ``L' x = y``. Valid where no
    parameter is a sum of others to 1e-15; ``ArithmeticError`` otherwise. Source: Cholesky.

    >>> [round(value, 9) for value in solve([[4.0, 2.0], [2.0, 3.0]], [8.0, 8.0])]
    [1.0, 2.0]
    """
    return _substitute(*_factor(matrix), right)


def _substitute(factor: Matrix, scale: Vector, right: Sequence[float]) -> Vector:
    """``x`` in ``M x = right``, from the factor and the scale of ``M``."""
    values: Vector = []
    for line, value, unit in zip(factor, right, scale, strict=True):
        values.append((value * unit - sum(map(mul, line, values))) / line[-1])
    for i in reversed(range(len(values))):
        above = sum(factor[k][i] * values[k] for k in range(i + 1, len(values)))
        values[i] = (values[i] - above) / factor[i][i]
    return [value * unit for value, unit in zip(values, scale, strict=True)]


def inverse(matrix: Matrix) -> Matrix:
    """The inverse of a symmetric positive ``matrix``: of ``H``, the covariance.

    Valid, ``ArithmeticError`` and source as ``solve``. Source: column by column, ``M x = e_j``.

    >>> inverse([[4.0, 0.0], [0.0, 0.25]])
    [[0.25, 0.0], [0.0, 4.0]]
    """
    size, (factor, scale) = len(matrix), _factor(matrix)
    return [_substitute(factor, scale, [float(i == j) for i in range(size)]) for j in range(size)]


def log_determinant(matrix: Matrix) -> float:
    """Natural logarithm of the determinant of a symmetric positive ``matrix``.

    ``ln det M = 2 sum ln L_jj`` of its Cholesky factor. Valid and ``ArithmeticError`` as ``solve``.
    Source: the determinant of a product.

    >>> round(log_determinant([[4.0, 0.0], [0.0, 2.0]]), 6) == round(math.log(8.0), 6)
    True
    """
    factor, scale = _factor(matrix)
    return 2.0 * sum(
        math.log(line[-1]) - math.log(unit) for line, unit in zip(factor, scale, strict=True)
    )
